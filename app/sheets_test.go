package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// specimenFile writes the specimen as a bundle holds it.
func specimenFile(t *testing.T) string {
	t.Helper()
	raw, err := pattern.Encode(specimen.Helmet())
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "pattern.json")
	if err := os.WriteFile(name, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// The plan of the specimen holds every copy of every piece once.
func TestSheetPlan(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "sheets")
	var out, errs bytes.Buffer
	args := []string{"sheet", specimenFile(t), "--stock", "600x1000mm", "--out", dir, "--moves", "200", "--json"}
	if status := run(context.Background(), args, &out, &errs); status != statusDone {
		t.Fatal(status, errs.String())
	}
	var got sheetReport
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	want := map[string]int{}
	for _, p := range specimen.Helmet().Pieces {
		want[p.ID] = p.Quantity
	}
	for _, s := range got.Sheets {
		for _, q := range s.Pieces {
			want[q.Piece]--
		}
	}
	for id, n := range want {
		if n != 0 {
			t.Errorf("piece %s: %d copies too few", id, n)
		}
	}
	if len(got.Files) != 3*len(got.Sheets) || len(got.Left) > 0 {
		t.Errorf("%d files of %d sheets, left %v", len(got.Files), len(got.Sheets), got.Left)
	}
	for _, f := range got.Files {
		if info, err := os.Stat(filepath.Join(dir, f)); err != nil || info.Size() == 0 {
			t.Errorf("%s: %v", f, err)
		}
	}
}

// What cannot be planned is refused in a sentence, and nothing is written.
func TestSheetRefuses(t *testing.T) {
	file := specimenFile(t)
	bad := filepath.Join(t.TempDir(), "bad.json")
	if err := os.WriteFile(bad, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		status int
		says   string
		args   []string
	}{
		{statusUsage, "--stock", []string{file}},
		{statusUsage, "not understood", []string{file, "--stock", "24y60in"}},
		{statusUsage, "--gap", []string{file, "--stock", "24x60in", "--gap", "wide"}},
		{statusUsage, "--margin", []string{file, "--stock", "24x60in", "--margin", "-3mm"}},
		{statusUsage, "write 1500mm or 1.5mm", []string{file, "--stock", "24x60in", "--gap", "1,500"}},
		{statusUsage, "--turns", []string{file, "--stock", "24x60in", "--turns", "0,x"}},
		{statusUsage, "--seconds", []string{file, "--stock", "24x60in", "--seconds", "NaN"}},
		{statusUsage, "--dxf", []string{file, "--stock", "24x60in", "--dxf", "r13"}},
		{statusUsage, "one project", []string{file, file, "--stock", "24x60in"}},
		{statusFailed, "no such file", []string{"nothing.flatwright", "--stock", "24x60in"}},
		{statusFailed, "bad.json", []string{bad, "--stock", "24x60in"}},
		{statusFailed, "no project", []string{os.Args[0], "--stock", "24x60in"}},
		{statusFailed, "room", []string{file, "--stock", "20x30mm", "--moves", "1"}},
	} {
		dir := filepath.Join(t.TempDir(), "sheets")
		var out, errs bytes.Buffer
		status := run(context.Background(), append(append([]string{"sheet"}, c.args...), "--out", dir), &out, &errs)
		if status != c.status || !strings.Contains(errs.String(), c.says) || strings.Count(strings.TrimSpace(errs.String()), "\n") > 0 {
			t.Errorf("%v: status %d, %q", c.args, status, errs.String())
		}
		if _, err := os.Stat(dir); err == nil {
			t.Errorf("%v: something was written", c.args)
		}
	}
}
