package keep

import (
	"encoding/json"

	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// bareSettings is what a project without work says of a photograph.
type bareSettings struct {
	PitchMM     float64 `json:"pitch_mm"`
	Lines       int     `json:"lines"`
	RaisedMM    float64 `json:"raised_mm"`
	Calibration struct {
		Scale struct {
			X float64 `json:"x_factor"`
			Y float64 `json:"y_factor"`
		} `json:"scale"`
	} `json:"calibration"`
}

// bare is the document of a project that holds photographs and a pattern, but
// no work: one that was not made in the window. Of a single photograph it is
// known how to square it up again; of others the pieces count as lying
// elsewhere, so that squaring up takes none of them away.
func (k *Keeper) bare(s project.State, active int) (session.Document, *photo.Photo, error) {
	list, err := k.p.Photos()
	if err != nil {
		return session.Document{}, nil, err
	}
	var shots []session.Shot
	for _, x := range list {
		if p := k.sums.photo(sumText(x.SHA256)); p != nil {
			shots = append(shots, bareShot(p, x.Settings, s.Pattern))
		}
	}
	if len(shots) == 0 {
		return session.Document{Pattern: s.Pattern}, nil, nil
	}
	var from map[string]session.Origin
	if len(shots) > 1 || shots[0].SolvedWith.PitchMM == 0 {
		from = map[string]session.Origin{}
		for _, q := range s.Pattern.Pieces {
			from[q.ID] = session.Origin{Shots: []int{0}, Elsewhere: true}
		}
		for i := range shots {
			shots[i].SolvedWith, shots[i].Traced = rectify.Options{}, nil
		}
	}
	return session.Assembled(shots, active, s.Pattern, from, nil), shots[0].Photo, nil
}

// bareShot is a photograph squared up as its settings say. What cannot be read
// of them is left to the maker.
func bareShot(p *photo.Photo, settings json.RawMessage, all pattern.Pattern) session.Shot {
	var b bareSettings
	if len(settings) > 0 && json.Unmarshal(settings, &b) != nil {
		b = bareSettings{}
	}
	set := session.Settings{PitchMM: b.PitchMM, Kind: b.Lines, Raised: rectify.Raised{ThicknessMM: b.RaisedMM}}
	return session.Shot{Photo: p, Work: session.Work{
		Settings: set, Solved: set,
		SolvedWith: rectify.Options{
			PitchMM: b.PitchMM, Kind: b.Lines, Raised: set.Raised,
			Scale: rectify.Scale{X: b.Calibration.Scale.X, Y: b.Calibration.Scale.Y},
		},
		Traced: &trace.Traced{Pattern: all},
	}}
}
