package project

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"flatwright/trace/pattern"
)

// State is what an edit changes, and what undo brings back.
type State struct {
	Pattern pattern.Pattern
	// Work is the caller's own JSON: the settings of squaring up, corners placed
	// by hand, findings that were seen. It comes back without its white space.
	Work json.RawMessage
}

// errBroken tells that what a file holds is not what was written.
var errBroken = errors.New("what is stored is not what was written")

// encode writes a state: the pattern as pattern.Encode writes it, a line feed,
// and the work. JSON holds no line feed unless it is white space.
func (s State) encode() ([]byte, error) {
	if err := checkPattern(s.Pattern); err != nil {
		return nil, err
	}
	b, err := pattern.Encode(s.Pattern)
	if err != nil {
		return nil, err
	}
	out := bytes.NewBuffer(append(b, '\n'))
	if len(s.Work) > 0 {
		if err := json.Compact(out, s.Work); err != nil {
			return nil, fmt.Errorf("the work is not JSON: %w", err)
		}
	}
	if n := out.Len(); n > MaxStateBytes {
		return nil, &LimitError{What: "MiB of pattern", Most: MaxStateBytes >> 20, Got: n>>20 + 1}
	}
	return out.Bytes(), nil
}

// decodeState reads what encode wrote.
func decodeState(b []byte) (State, error) {
	text, work, ok := bytes.Cut(b, []byte("\n"))
	if !ok {
		return State{}, errBroken
	}
	p, err := pattern.Decode(text)
	if err != nil {
		return State{}, fmt.Errorf("%w: %w", errBroken, err)
	}
	s := State{Pattern: p}
	if len(work) > 0 {
		if !json.Valid(work) {
			return State{}, fmt.Errorf("%w: the work is not JSON", errBroken)
		}
		s.Work = bytes.Clone(work)
	}
	return s, nil
}

// sum is a state's checksum.
func sum(b []byte) []byte {
	h := sha256.Sum256(b)
	return h[:]
}

// pack makes bytes shorter (RFC 1951).
func pack(b []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.DefaultCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(b); err != nil {
		return nil, err
	}
	err = w.Close()
	return out.Bytes(), err
}

// unpack reads what pack wrote, and never more than a limit.
func unpack(b []byte, limit int) ([]byte, error) {
	out, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(b)), int64(limit)+1))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errBroken, err)
	}
	if len(out) > limit {
		return nil, fmt.Errorf("%w: it grows beyond %d bytes", errBroken, limit)
	}
	return out, nil
}

// cleanName makes a name from anywhere fit to be shown on one line: control
// characters and those that turn the direction of writing are taken out, and
// it is cut off at MaxNameRunes.
func cleanName(name string) string {
	name = strings.ToValidUTF8(name, "�")
	clean := []rune(strings.TrimSpace(strings.Map(printable, name)))
	if len(clean) > MaxNameRunes {
		clean = append(clean[:MaxNameRunes-1], '…')
	}
	return string(clean)
}

// printable drops what does not stand on a line. Of the format characters the
// joiner is kept, of which emoji and some scripts are made.
func printable(r rune) rune {
	const joiner, nonJoiner = '\u200d', '\u200c'
	if r == joiner || r == nonJoiner {
		return r
	}
	if unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) {
		return -1
	}
	return r
}

// baseName is the last part of a path, whichever way its separators lean.
func baseName(path string) string {
	if i := strings.LastIndexAny(path, `/\`); i >= 0 {
		path = path[i+1:]
	}
	return cleanName(path)
}
