package keep

import (
	"bytes"
	"errors"
	"slices"

	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify/photo"
)

// link is a step of the window's history as it stands in the project.
type link struct {
	serial int64
	// weightless: the step changed nothing that is kept, so that the project has
	// no edit of its own for it.
	weightless bool
	// open: it was kept while it still took changes, so that it may be otherwise
	// by now.
	open bool
}

// chain brings a project's history in line with the window's. The project may
// reach further back and forward than what the window holds of it.
type chain struct {
	p     *project.Project
	links []link
	// at counts the links that are done.
	at int
	// title puts an edit into words.
	title func(session.Edit) string
	// sums are the checksums of the photographs' files.
	sums *sums
	// unsaid is how a document is printed that does not say it, once the project
	// says so; nil before.
	unsaid *session.Print
}

// encode is Encode, but a document that is printed as those that do not say it
// does not say it either: the steps of an older program stay as they are.
func (c *chain) encode(d session.Document, only *photo.Photo, e session.Edit) (project.State, error) {
	if c.unsaid != nil && d.Print == *c.unsaid {
		d.Print = session.Print{}
	}
	return Encode(d, only, e, c.sums.of)
}

// follow writes what has changed. On *project.NotStoredError all is done, but
// in memory. On another error the project stands before the step that it could
// not take; the next call tries again.
func (c *chain) follow(past session.Past) error {
	steps := slices.Concat(past.Done, past.Undone)
	if len(steps) == 0 {
		c.links, c.at = nil, 0
		return c.base(past)
	}
	c.forgetBefore(steps[0].Serial)
	same := c.same(steps, past)
	var kept error
	// goOn reports whether a part was done, be it in memory only.
	goOn := func(err error) bool {
		if err != nil {
			kept = err
		}
		return err == nil || inMemory(err)
	}
	if same < len(steps) {
		if !goOn(c.to(same)) {
			return kept
		}
		c.links = c.links[:same]
	}
	for _, x := range steps[same:] {
		if !goOn(c.commit(x, past)) {
			return kept
		}
	}
	if goOn(c.to(len(past.Done))) {
		goOn(c.amend(past))
	}
	return kept
}

// same counts the steps that the project holds as they are. One that was open
// counts only while it is the last: then amend looks at it.
func (c *chain) same(steps []session.Step, past session.Past) int {
	n := 0
	for n < min(len(steps), len(c.links)) && steps[n].Serial == c.links[n].serial {
		if c.links[n].open && (n < len(steps)-1 || len(past.Undone) > 0) {
			break
		}
		n++
	}
	return n
}

func inMemory(err error) bool {
	var e *project.NotStoredError
	return errors.As(err, &e)
}

// forgetBefore drops links that the window no longer holds: it holds fewer
// steps than the project.
func (c *chain) forgetBefore(serial int64) {
	for len(c.links) > 0 && c.links[0].serial < serial {
		c.links = c.links[1:]
		c.at = max(c.at-1, 0)
	}
}

// base keeps a document that nothing has been done to yet. Once there are
// edits it has nothing to keep: the window then merely holds none of them.
func (c *chain) base(past session.Past) error {
	now, err := c.p.Current()
	if err != nil {
		return err
	}
	if _, e, err := Decode(now, 0, c.sums.photo); err != nil || e.Action != session.NoAction {
		return err
	}
	st, err := c.encode(past.Now, past.Only, session.Edit{})
	if err != nil {
		return err
	}
	_, err = c.p.CommitState(c.title(session.Edit{}), st)
	return err
}

func (c *chain) commit(x session.Step, past session.Past) error {
	st, err := c.encode(x.After, past.Only, x.Edit)
	if err != nil {
		return err
	}
	before := c.p.Encoded()
	_, err = c.p.CommitState(c.title(x.Edit), st)
	if err != nil && !inMemory(err) {
		return err
	}
	open := past.Open && len(past.Done) > 0 && x.Serial == past.Done[len(past.Done)-1].Serial
	c.links = append(c.links, link{x.Serial, bytes.Equal(before, c.p.Encoded()), open})
	c.at = len(c.links)
	return err
}

// amend writes the present document in the place of the last step's, where it
// has changed without a step: a drag that went on after it was kept.
func (c *chain) amend(past session.Past) error {
	if len(past.Done) == 0 || len(past.Undone) > 0 || c.at == 0 {
		return nil
	}
	last := past.Done[len(past.Done)-1]
	st, err := c.encode(past.Now, past.Only, last.Edit)
	if err != nil {
		return err
	}
	if same, err := c.p.Holds(st); err != nil || same {
		c.links[c.at-1].open = past.Open
		return err
	}
	if err := c.to(c.at - 1); err != nil && !inMemory(err) {
		return err
	}
	c.links = c.links[:c.at]
	return c.commit(session.Step{Serial: last.Serial, Edit: last.Edit, After: past.Now}, past)
}

// to moves the project until so many links are done.
func (c *chain) to(n int) error {
	var kept error
	for c.at != n {
		move, by, crossed := c.p.Undo, -1, c.at-1
		if n > c.at {
			move, by, crossed = c.p.Redo, 1, c.at
		}
		if !c.links[crossed].weightless {
			if _, err := move(); err != nil {
				kept = err
				if !inMemory(err) {
					return err
				}
			}
		}
		c.at += by
	}
	return kept
}
