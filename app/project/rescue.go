package project

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// errNothing tells that a damaged file has nothing left to give.
var errNothing = errors.New("it is damaged, and nothing in it could be read")

// openDamaged opens what is left of a damaged file.
func (p *Project) openDamaged(ctx context.Context, cause error) (err error) {
	err = errors.Join(p.file.close(), p.memory.close(), p.lock.release())
	p.file, p.memory, p.lock = nil, nil, nil
	if err != nil {
		return err
	}
	if p.file, err = openStore(ctx, p.path, rescuing); unfinished(err) {
		if err = p.copyAside(); err == nil {
			p.file, err = openStore(ctx, p.copied(), rescuing)
		}
	}
	if err == nil {
		p.missing, p.memory, err = rescue(ctx, p.file, p.forms)
	}
	if errors.Is(err, errNothing) || damaged(err) {
		return fmt.Errorf("%w (%w)", errNothing, cause)
	}
	if err != nil {
		return err
	}
	if len(p.missing) == 0 {
		p.missing = []string{"nothing is missing, but the file itself is damaged"}
	}
	p.reason = errDamaged
	return p.load()
}

var errDamaged = errors.New("the file is damaged")

// unfinished tells that a file could not be read because an edit was cut short
// that must be taken back first, which needs leave to write.
func unfinished(err error) bool {
	c := code(err)
	return err != nil && (c == codeReadOnly || c == codeCannotOpen)
}

// privately opens a copy of the file that may be written to, and goes with the
// project.
func (p *Project) privately(ctx context.Context) (version int, err error) {
	if err := p.file.close(); err != nil {
		return 0, err
	}
	p.file = nil
	if err := p.copyAside(); err != nil {
		return 0, err
	}
	if p.file, err = openStore(ctx, p.copied(), writing); err != nil {
		return 0, err
	}
	return p.check(ctx)
}

// copied is the private copy.
func (p *Project) copied() string { return filepath.Join(p.remove, "copy"+Extension) }

// copyAside copies the file, and the journal of an edit that was cut short.
func (p *Project) copyAside() (err error) {
	if p.remove, err = os.MkdirTemp("", "flatwright-project-"); err != nil {
		return err
	}
	if err := copyFile(p.path, p.copied()); err != nil {
		return err
	}
	err = copyFile(p.path+"-journal", p.copied()+"-journal")
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return err
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// rescued is what could be read of a damaged file.
type rescued struct {
	ctx  context.Context
	from *store
	to   *sql.Tx
	// there are the tables that are as we make them.
	there map[string]bool
	// rows is how many a file of that length can have at most.
	rows int64
	lost []string
}

// rescue reads a damaged file row by row, and holds each to its checksum. It
// returns what is lost, in sentences, and the rest in memory; the photographs
// stay where they are. Errors: errNothing.
func rescue(ctx context.Context, from *store, s schema) ([]string, *store, error) {
	m, err := memoryStore(ctx, s)
	if err != nil {
		return nil, nil, err
	}
	r := rescued{ctx: ctx, from: from, there: map[string]bool{}, rows: most}
	var pages int64
	if from.db.QueryRowContext(ctx, "PRAGMA page_count").Scan(&pages) == nil {
		r.rows = min(most, pages*rowsOfPage)
	}
	have, _ := objects(ctx, from.db)
	for _, t := range s.tables() {
		r.there[t.name] = have[t.name] == t.create
	}
	found := 0
	err = m.transact(func(tx *sql.Tx) error {
		r.to = tx
		for _, step := range []func() (int, error){r.photos, r.revisions, r.settings} {
			n, err := step()
			if err != nil {
				return err
			}
			found += n
		}
		return nil
	})
	if err == nil && found == 0 {
		err = errNothing
	}
	if err != nil {
		return nil, nil, errors.Join(err, m.close())
	}
	return r.lost, m, nil
}

// say adds a sentence to what is lost.
func (r *rescued) say(format string, args ...any) {
	r.lost = append(r.lost, fmt.Sprintf(format, args...))
}

// rowsOfPage is more than a page can hold of rows with a checksum.
const rowsOfPage = 100

// most bounds the rows that are looked for in a table, and mostMisses how many
// edits in a row may be missing before the search is given up: an inner page of
// the tree that is lost takes some ten thousand rows with it.
const (
	most       = 2 * MaxRevisions
	mostMisses = 20_000
)

// keys finds the numbers of a table's rows: from the front to the first that
// cannot be read, then from the back, then one by one between. Each list must
// rise or fall steadily, since a damaged tree may lead in circles.
func (r *rescued) keys(table, key string, misses int64) (keys []int64, whole bool) {
	if !r.there[table] {
		return nil, false
	}
	query := func(end string) ([]int64, error) {
		return r.list(fmt.Sprintf("SELECT %s FROM %s ORDER BY %s %s LIMIT %d", key, table, key, end, most))
	}
	front, err := query("ASC")
	if err == nil {
		return front, true
	}
	back, _ := query("DESC")
	keys = front
	low, high := int64(0), int64(most)
	if len(front) > 0 {
		low = front[len(front)-1]
	}
	if len(back) > 0 {
		high = back[len(back)-1]
	}
	for k := low + 1; k < high && k-low < min(misses, r.rows); k++ {
		if r.has(table, key, k) {
			keys = append(keys, k)
			low = k
		}
	}
	for i := len(back) - 1; i >= 0; i-- {
		if len(keys) == 0 || back[i] > keys[len(keys)-1] {
			keys = append(keys, back[i])
		}
	}
	return keys, false
}

// has tells whether a row can be found by its number.
func (r *rescued) has(table, key string, k int64) bool {
	var one int64
	return r.ctx.Err() == nil && r.row(fmt.Sprintf("SELECT %s FROM %s WHERE %s = ?", key, table, key), k).Scan(&one) == nil
}

// list reads numbers until an error, or until they no longer go one way.
func (r *rescued) list(query string) (list []int64, err error) {
	rows, err := r.from.db.QueryContext(r.ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var k int64
		if err := rows.Scan(&k); err != nil {
			return list, err
		}
		n := len(list)
		if n > 0 && k == list[n-1] || n > 1 && (k > list[n-1]) != (list[n-1] > list[n-2]) {
			return list, errBroken
		}
		list = append(list, k)
	}
	return list, rows.Err()
}

func (r *rescued) row(query string, key int64) *sql.Row {
	return r.from.db.QueryRowContext(r.ctx, query, key)
}

// photos takes over the photographs whose parts are all there.
func (r *rescued) photos() (found int, err error) {
	keys, whole := r.keys("photo", "id", 10*MaxPhotos)
	if !whole {
		r.say("the list of photographs is damaged; those that it names no more are lost")
	}
	source := &Project{file: r.from}
	for _, k := range keys[:min(len(keys), MaxPhotos)] {
		var f Photo
		err := f.scan(r.row("SELECT "+photoColumns+" FROM photo WHERE id = ?", k))
		if err == nil {
			err = source.eachPart(r.ctx, f, func(int64, []byte) error { return nil })
		}
		if err != nil {
			r.say("the photograph %s is damaged and was left out", named(f.Name, k))
			continue
		}
		if err := f.insert(r.to); err != nil {
			return found, err
		}
		found++
	}
	return found, nil
}

func named(name string, number int64) string {
	if name == "" {
		return fmt.Sprintf("number %d", number)
	}
	return name
}

// revisions takes over the edits that lead from a whole state to one whose
// checksum is right.
func (r *rescued) revisions() (found int, err error) {
	keys, whole := r.keys("revision", "number", mostMisses)
	if !whole {
		r.say("the list of edits is damaged; those that it holds no more are lost")
	}
	var state []byte
	var good []row
	broken := 0
	for _, k := range keys {
		var x row
		next := state
		err := r.ctx.Err()
		if err == nil {
			err = x.scan(r.row("SELECT "+rowColumns+" FROM revision WHERE number = ?", k))
		}
		if err == nil && !x.whole && state == nil {
			err = errBroken
		}
		if err == nil {
			next, err = x.apply(state)
		}
		if err == nil {
			_, err = decodeState(next)
		}
		if err != nil {
			state = nil
			broken++
			continue
		}
		if err := x.insert(r.to); err != nil {
			return found, err
		}
		state = next
		x.content = nil
		good = append(good, x)
	}
	if broken > 0 {
		r.say("%d of %d edits of the history cannot be read", broken, len(keys))
	}
	return len(good), r.head(good)
}

// head makes that edit the present one which was, or the last good one before
// it, or the first after it.
func (r *rescued) head(good []row) error {
	if len(good) == 0 {
		r.say("the pattern and its history cannot be read")
		state, err := State{}.encode()
		if err != nil {
			return err
		}
		first, err := rowOf(1, firstName, unixStart, nil, state, true)
		if err != nil {
			return err
		}
		return errors.Join(first.insert(r.to), setHead(r.to, 1))
	}
	last := good[len(good)-1]
	want := last.number
	if !r.there["head"] || r.row("SELECT revision FROM head WHERE id = ?", 1).Scan(&want) != nil {
		r.say("which edit was the present one cannot be read; it is taken to be the last, %q", last.name)
	}
	best := good[0]
	for _, x := range good {
		if x.number <= want {
			best = x
		}
	}
	if best.number != want {
		r.say("the present state cannot be read; the nearest one that can is that of edit %d, %q", best.number, cleanName(best.name))
	}
	return setHead(r.to, best.number)
}

// settings takes over those that are JSON.
func (r *rescued) settings() (found int, err error) {
	keys, whole := r.keys("setting", "id", 10*MaxSettings)
	broken := 0
	for _, k := range keys[:min(len(keys), MaxSettings)] {
		var key, value string
		err := r.row("SELECT key, value FROM setting WHERE id = ?", k).Scan(&key, &value)
		if err != nil || len(value) > MaxSettingBytes || !json.Valid([]byte(value)) {
			broken++
			continue
		}
		if _, err := r.to.Exec("INSERT OR IGNORE INTO setting (key, value) VALUES (?, ?)", key, value); err != nil {
			return found, err
		}
	}
	if broken > 0 || !whole {
		r.say("settings of the export, the mat or the printer cannot be read")
	}
	return 0, nil
}
