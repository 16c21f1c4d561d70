package silhouette

import (
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/export/sheet/polygon"
	"flatwright/trace/pattern"
)

// The polygons of a piece hold its outline and its other face, within the
// chords' tolerance, on either face up.
func TestHoldsBothFaces(t *testing.T) {
	for _, face := range []pattern.Face{pattern.Front, pattern.Back} {
		for _, q := range specimen.Helmet().Pieces {
			q.Face = face
			shapes, _, err := Of(&q, 0.3)
			if err != nil {
				t.Fatal(err)
			}
			paths := q.Outline.Flatten(0.001)
			if other, _ := pattern.OtherFace(q); len(other) > 0 {
				paths = append(paths, other[0].Flatten(0.001)...)
			}
			for _, p := range paths {
				held := false
				for _, s := range shapes {
					thin := polygon.Shape{Outline: append(paths[:0:0], p, p, p)}
					held = held || s.Holds(p) || polygon.DistanceMM(s, thin) <= CurveToleranceMM
				}
				if !held {
					t.Fatalf("piece %s, %s up: %v is not covered", q.ID, face, p)
				}
			}
		}
	}
}

func TestRefusesOpenOutlines(t *testing.T) {
	q := specimen.Chiral().Pieces[0]
	q.Outline.Closed = false
	if _, _, err := Of(&q, 0.3); err == nil {
		t.Error("an open outline is taken")
	}
}
