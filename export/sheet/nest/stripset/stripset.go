// Package stripset reads the public sets of irregular strip packing in the
// JSON form in which they lie beside the project.
package stripset

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"

	"flatwright/export/sheet/nest"
	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// Set is one set: pieces, and the strip that they are to be packed on.
type Set struct {
	Name    string
	Problem nest.Problem
	// MeanDensity is the mean density in % of 50 runs of 20 minutes that
	// arXiv 2509.13329 reports; 0 where it is not known here.
	MeanDensity float64
}

// means are the densities of the published runs.
func means() map[string]float64 {
	return map[string]float64{
		"albano": 89.46, "fu": 92.25, "jakobs1": 89.09,
		"shapes0": 68.58, "shirts": 89.72, "swim": 78.30,
	}
}

// Read reads a set.
func Read(path string) (Set, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return Set{}, err
	}
	var in struct {
		Name        string
		Items       []item
		StripHeight float64 `json:"strip_height"`
	}
	if err := json.Unmarshal(data, &in); err != nil {
		return Set{}, fmt.Errorf("%s is not a set of pieces: %w", filepath.Base(path), err)
	}
	s := Set{Name: in.Name, MeanDensity: means()[in.Name]}
	s.Problem.StripWidthMM = in.StripHeight
	for _, it := range in.Items {
		p, err := it.piece()
		if err != nil {
			return Set{}, fmt.Errorf("%s: %w", filepath.Base(path), err)
		}
		s.Problem.Pieces = append(s.Problem.Pieces, p)
	}
	return s, nil
}

type item struct {
	ID     int
	Demand int
	Turns  []float64 `json:"allowed_orientations"`
	Shape  struct {
		Type string
		Data [][2]float64
	}
}

func (it item) piece() (nest.Piece, error) {
	if it.Shape.Type != "simple_polygon" {
		return nest.Piece{}, fmt.Errorf("item %d is a %s; only simple polygons are read", it.ID, it.Shape.Type)
	}
	p := nest.Piece{Name: strconv.Itoa(it.ID), Count: it.Demand, TurnsDeg: it.Turns}
	for _, v := range it.Shape.Data {
		p.Shape.Outline = append(p.Shape.Outline, mat.Point{X: v[0], Y: v[1]})
	}
	if n := len(p.Shape.Outline); n > 1 && p.Shape.Outline[0] == p.Shape.Outline[n-1] {
		p.Shape.Outline = p.Shape.Outline[:n-1]
	}
	if p.Shape.Outline == nil {
		return nest.Piece{}, fmt.Errorf("item %d has no points", it.ID)
	}
	p.Shape.Outline = polygon.Clean(p.Shape.Outline)
	return p, nil
}

// DensityPercent returns the pieces' area over that of the strip in use.
func DensityPercent(p nest.Problem, lengthMM float64) float64 {
	sum := 0.0
	for _, q := range p.Pieces {
		sum += float64(q.Count) * q.Shape.AreaMM2()
	}
	return 100 * sum / (lengthMM * p.StripWidthMM)
}
