package project

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// A photograph is stored in parts, so that neither reading nor writing needs
// memory of its size.
const (
	partBytes = 1 << 20
	// partsShift: part n of photograph id has the number id<<partsShift + n.
	partsShift = 16
	maxPhotoID = 1 << 40
)

// Photo is a photograph in a project.
type Photo struct {
	ID int64
	// Name is the name of the file it came from, fit to be shown.
	Name   string
	SHA256 [sha256.Size]byte
	Bytes  int64
	Added  time.Time
	// Settings are the caller's own JSON: how it was squared up.
	Settings json.RawMessage
}

// ErrNoPhoto tells that there is no photograph of that number.
var ErrNoPhoto = errors.New("the project holds no such photograph")

// AddPhoto stores a photograph's file as it is. One whose bytes are there
// already is not stored again; it is returned as it is. Errors: *LimitError,
// from reading, or a sentence when it cannot be stored; the project is then as
// it was. *NotStoredError as with CommitState.
func (p *Project) AddPhoto(ctx context.Context, name string, from io.Reader, settings json.RawMessage) (Photo, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	text, err := settingText(settings)
	if err != nil {
		return Photo{}, err
	}
	photo := Photo{Name: baseName(name), Added: time.Unix(p.clock().Unix(), 0), Settings: json.RawMessage(text)}
	// A photograph is not an edit: where the file takes no more, it is not added,
	// and the maker still has it.
	var twin *Photo
	err = p.writeHere(func(tx *sql.Tx) error {
		id, err := nextPhoto(tx)
		if err != nil {
			return err
		}
		photo.ID = id
		if err := insertParts(ctx, tx, &photo, from); err != nil {
			return err
		}
		if twin, err = photoOf(tx, photo.SHA256); err != nil || twin != nil {
			return errors.Join(err, errTwin)
		}
		return photo.insert(tx)
	})
	if twin != nil && errors.Is(err, errTwin) {
		return *twin, p.standing()
	}
	if err != nil && !inMemory(err) {
		return Photo{}, fmt.Errorf("the photograph %s was not added to the project: %w", photo.Name, trouble(err))
	}
	return photo, err
}

// errTwin takes back the storing of a photograph that is there already.
var errTwin = errors.New("the photograph is there already")

func nextPhoto(tx *sql.Tx) (id int64, err error) {
	var n int
	if err := tx.QueryRow("SELECT count(*), coalesce(max(id), 0) + 1 FROM photo").Scan(&n, &id); err != nil {
		return 0, err
	}
	if n >= MaxPhotos {
		return 0, &LimitError{What: "photographs", Most: MaxPhotos, Got: n + 1}
	}
	return id, nil
}

// insertParts stores what is read, and fills in length and checksum.
func insertParts(ctx context.Context, tx *sql.Tx, photo *Photo, from io.Reader) error {
	hash := sha256.New()
	part := make([]byte, partBytes)
	for n := int64(0); ; n++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		k, err := io.ReadFull(from, part)
		end := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !end {
			return fmt.Errorf("reading it: %w", err)
		}
		photo.Bytes += int64(k)
		if photo.Bytes > MaxPhotoBytes {
			return &LimitError{What: "MB in one photograph", Most: MaxPhotoBytes >> 20, Got: int(photo.Bytes>>20) + 1}
		}
		hash.Write(part[:k])
		if k > 0 {
			if _, err := tx.Exec("INSERT INTO photo_part (id, data) VALUES (?, ?)", photo.ID<<partsShift+n, part[:k]); err != nil {
				return err
			}
		}
		if end {
			copy(photo.SHA256[:], hash.Sum(nil))
			return nil
		}
	}
}

const photoColumns = "id, name, sha256, bytes, added, settings"

func (f *Photo) insert(tx *sql.Tx) error {
	_, err := tx.Exec("INSERT INTO photo ("+photoColumns+") VALUES (?, ?, ?, ?, ?, ?)",
		f.ID, f.Name, f.SHA256[:], f.Bytes, f.Added.Unix(), string(f.Settings))
	return err
}

// scan reads photoColumns. What a stranger's file says is held to the bounds.
func (f *Photo) scan(from interface{ Scan(...any) error }) error {
	var hash []byte
	var added int64
	var settings string
	if err := from.Scan(&f.ID, &f.Name, &hash, &f.Bytes, &added, &settings); err != nil {
		return err
	}
	if len(hash) != len(f.SHA256) || f.ID < 1 || f.ID > maxPhotoID || f.Bytes < 0 || f.Bytes > MaxPhotoBytes ||
		len(settings) > MaxSettingBytes || settings != "" && !json.Valid([]byte(settings)) {
		return fmt.Errorf("%w: what it says of photograph %d cannot be", errBroken, f.ID)
	}
	copy(f.SHA256[:], hash)
	f.Name, f.Added = baseName(f.Name), time.Unix(added, 0)
	f.Settings = nil
	if settings != "" {
		f.Settings = json.RawMessage(settings)
	}
	return nil
}

// photoOf returns the photograph with a checksum, nil for none.
func photoOf(q queryer, hash [sha256.Size]byte) (*Photo, error) {
	var f Photo
	err := f.scan(q.QueryRow("SELECT "+photoColumns+" FROM photo WHERE sha256 = ?", hash[:]))
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return &f, err
}

// Photos returns the photographs in the order in which they were added.
func (p *Project) Photos() ([]Photo, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return photosOf(p.active().db)
}

func photosOf(q queryer) ([]Photo, error) {
	rows, err := q.Query("SELECT "+photoColumns+" FROM photo ORDER BY id LIMIT ?", MaxPhotos)
	if err != nil {
		return nil, trouble(err)
	}
	defer rows.Close()
	var list []Photo
	for rows.Next() {
		var f Photo
		if err := f.scan(rows); err != nil {
			return nil, trouble(err)
		}
		list = append(list, f)
	}
	return list, trouble(rows.Err())
}

// WritePhoto writes a photograph's file as it came. Errors: ErrNoPhoto; from
// writing; a sentence when what is stored is damaged, which shows when all of
// it has been written.
func (p *Project) WritePhoto(ctx context.Context, id int64, to io.Writer) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	var f Photo
	err := f.scan(p.active().db.QueryRow("SELECT "+photoColumns+" FROM photo WHERE id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return ErrNoPhoto
	}
	if err == nil {
		err = p.eachPart(ctx, f, func(_ int64, data []byte) error {
			_, err := to.Write(data)
			return err
		})
	}
	if err != nil {
		return fmt.Errorf("the photograph %s cannot be read from the project: %w", f.Name, trouble(err))
	}
	return nil
}

// PhotoBytes returns a photograph's file; see WritePhoto.
func (p *Project) PhotoBytes(ctx context.Context, id int64) ([]byte, error) {
	var out bytes.Buffer
	err := p.WritePhoto(ctx, id, &out)
	return out.Bytes(), err
}

// eachPart hands over a photograph's parts in order, from wherever they are,
// and checks their sum at the end.
func (p *Project) eachPart(ctx context.Context, f Photo, do func(n int64, data []byte) error) error {
	hash := sha256.New()
	parts := (f.Bytes + partBytes - 1) / partBytes
	for n := range parts {
		if err := ctx.Err(); err != nil {
			return err
		}
		data, err := p.part(f.ID<<partsShift + n)
		if err != nil {
			return err
		}
		hash.Write(data)
		if err := do(n, data); err != nil {
			return err
		}
	}
	if !bytes.Equal(hash.Sum(nil), f.SHA256[:]) {
		return fmt.Errorf("%w: it has another checksum", errBroken)
	}
	return nil
}

// part reads one part: from memory if it is there, else from the file.
func (p *Project) part(id int64) (data []byte, err error) {
	for _, s := range []*store{p.memory, p.file} {
		if s == nil {
			continue
		}
		err = s.db.QueryRow("SELECT data FROM photo_part WHERE id = ?", id).Scan(&data)
		if err == nil || !errors.Is(err, sql.ErrNoRows) {
			return data, err
		}
	}
	return nil, absent(sql.ErrNoRows, "a part of it")
}

// SetPhotoSettings stores the caller's JSON beside a photograph. Errors:
// ErrNoPhoto, *LimitError, *NotStoredError as with CommitState.
func (p *Project) SetPhotoSettings(id int64, settings json.RawMessage) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	text, err := settingText(settings)
	if err != nil {
		return err
	}
	return p.write(func(tx *sql.Tx) error {
		return onePhoto(tx.Exec("UPDATE photo SET settings = ? WHERE id = ?", text, id))
	})
}

// RemovePhoto takes a photograph out; undo does not bring it back. Errors: as
// SetPhotoSettings.
func (p *Project) RemovePhoto(id int64) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.write(func(tx *sql.Tx) error { return (&Photo{ID: id}).remove(tx) })
}

// remove takes a photograph's rows away.
func (f *Photo) remove(tx *sql.Tx) error {
	if err := onePhoto(tx.Exec("DELETE FROM photo WHERE id = ?", f.ID)); err != nil {
		return err
	}
	_, err := tx.Exec("DELETE FROM photo_part WHERE id BETWEEN ? AND ?", f.ID<<partsShift, (f.ID+1)<<partsShift-1)
	return err
}

func onePhoto(r sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err != nil || n == 1 {
		return err
	}
	return ErrNoPhoto
}
