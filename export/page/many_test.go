package page

import (
	"strings"
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// More pieces than can be packed are refused at once.
func TestTooManyToPack(t *testing.T) {
	p := specimen.Helmet()
	one := p.Pieces[0]
	for len(p.Pieces) <= mostPacked {
		one.ID = pattern.Letters(len(p.Pieces))
		p.Pieces = append(p.Pieces, one)
	}
	if _, _, err := Packed(t.Context(), p, DefaultSetup()); err == nil || !strings.Contains(err.Error(), "pieces") {
		t.Errorf("%v", err)
	}
}
