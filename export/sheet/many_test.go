package sheet

import (
	"context"
	"strings"
	"testing"

	"flatwright/export/page/specimen"
)

// Quantities beyond all reason are refused at once.
func TestTooManyCopies(t *testing.T) {
	p := specimen.Helmet()
	p.Pieces[0].Quantity = 2_000_000_000
	stock, err := ParseStock("600x1000mm")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Plan(context.Background(), p, Options{Stock: []Stock{stock}, Moves: 1}); err == nil || !strings.Contains(err.Error(), "copies") {
		t.Errorf("%v", err)
	}
}
