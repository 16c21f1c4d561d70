package lens_test

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// truth is a camera written independently of the package: a pinhole with
// rotation and translation, and the distortion formulas of OpenCV's
// documentation, "Camera Calibration and 3D Reconstruction", section detailed
// description (from memory), in units of its own focal length.
type truth struct {
	f, cx, cy          float64
	k1, k2, p1, p2, k3 float64
	r                  [3][3]float64
	t                  [3]float64
	width, height      int
}

// look aims a camera at a point of the mat: from the given distance, tilted
// from the vertical towards an azimuth, and rolled about its own axis.
func look(f float64, width, height int, target mat.Point, distanceMM, tiltDeg, azimuthDeg, rollDeg float64) truth {
	tilt, az, roll := tiltDeg*math.Pi/180, azimuthDeg*math.Pi/180, rollDeg*math.Pi/180
	// Mat z points into the mat (x right, y down), so the camera has z < 0.
	dir := [3]float64{math.Sin(tilt) * math.Cos(az), math.Sin(tilt) * math.Sin(az), math.Cos(tilt)}
	right := unit(cross([3]float64{0, 1, 0}, dir))
	down := cross(dir, right)
	c, s := math.Cos(roll), math.Sin(roll)
	var r [3][3]float64
	for i := range 3 {
		r[0][i] = c*right[i] + s*down[i]
		r[1][i] = -s*right[i] + c*down[i]
		r[2][i] = dir[i]
	}
	eye := [3]float64{target.X - distanceMM*dir[0], target.Y - distanceMM*dir[1], -distanceMM * dir[2]}
	var t [3]float64
	for i := range 3 {
		t[i] = -(r[i][0]*eye[0] + r[i][1]*eye[1] + r[i][2]*eye[2])
	}
	return truth{f: f, cx: float64(width-1) / 2, cy: float64(height-1) / 2, r: r, t: t, width: width, height: height}
}

func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func unit(a [3]float64) [3]float64 {
	n := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	return [3]float64{a[0] / n, a[1] / n, a[2] / n}
}

// see projects a point at (x, y, z) mm; z is the height above the mat.
func (c truth) see(x, y, heightMM float64) (photo.Point, bool) {
	p := [3]float64{x, y, -heightMM}
	var q [3]float64
	for i := range 3 {
		q[i] = c.r[i][0]*p[0] + c.r[i][1]*p[1] + c.r[i][2]*p[2] + c.t[i]
	}
	if q[2] <= 0 {
		return photo.Point{}, false
	}
	a, b := q[0]/q[2], q[1]/q[2]
	r2 := a*a + b*b
	if 1+r2*(3*c.k1+r2*(5*c.k2+r2*7*c.k3)) <= 0 {
		return photo.Point{}, false
	}
	radial := 1 + c.k1*r2 + c.k2*r2*r2 + c.k3*r2*r2*r2
	u := photo.Point{
		X: c.cx + c.f*(a*radial+2*c.p1*a*b+c.p2*(r2+2*a*a)),
		Y: c.cy + c.f*(b*radial+c.p1*(r2+2*b*b)+2*c.p2*a*b),
	}
	inside := u.X >= 0 && u.Y >= 0 && u.X <= float64(c.width-1) && u.Y <= float64(c.height-1)
	return u, inside
}

// nearFold reports whether a mm of the mat takes up less than a tenth of the
// px along the radius that it would without the lens terms, anywhere on the
// way out to a point: there positions say next to nothing, and no real lens
// goes so far inside its picture.
func (c truth) nearFold(at mat.Point) bool {
	q := [3]float64{}
	for i := range 3 {
		q[i] = c.r[i][0]*at.X + c.r[i][1]*at.Y + c.t[i]
	}
	for part := 0.05; part <= 1; part += 0.05 {
		r2 := part * (q[0]*q[0] + q[1]*q[1]) / (q[2] * q[2])
		if 1+r2*(3*c.k1+r2*(5*c.k2+r2*7*c.k3)) < 0.1 {
			return true
		}
	}
	return false
}

// model is the package's model of the same camera.
func (c truth) model() lens.Model {
	m := lens.Model{ScalePx: c.f, CentreX: c.cx, CentreY: c.cy, K1: c.k1, K2: c.k2, K3: c.k3, P1: c.p1, P2: c.p2}
	for i := range 3 {
		m.H[3*i], m.H[3*i+1], m.H[3*i+2] = c.r[i][0], c.r[i][1], c.t[i]
	}
	return m
}

// sheet is a mat with lines 0..columns and 0..rows.
type sheet struct {
	pitchMM       float64
	columns, rows int
}

func (s sheet) size() (w, h float64) {
	return float64(s.columns) * s.pitchMM, float64(s.rows) * s.pitchMM
}

// noise is what happens to the samples.
type noise struct {
	sigmaPx float64
	// hidden is the part of the cells' sides that is covered by pieces.
	hidden float64
	// gross is the part of the samples that is off by up to grossPx.
	gross, grossPx float64
	perSide        int
}

// samples draws line samples of a sheet: perSide to each side of a cell.
func (c truth) samples(s sheet, n noise, random *rand.Rand) []mat.LinePoint {
	var points []mat.LinePoint
	for family := range 2 {
		lines, along := s.columns, s.rows
		if family == 1 {
			lines, along = s.rows, s.columns
		}
		for i := 0; i <= lines; i++ {
			for k := range along {
				if random.Float64() < n.hidden {
					continue
				}
				points = c.side(points, s, family, i, k, n, random)
			}
		}
	}
	return points
}

func (c truth) side(points []mat.LinePoint, s sheet, family, i, k int, n noise, random *rand.Rand) []mat.LinePoint {
	for j := range n.perSide {
		along := float64(k) + 0.1 + 0.8*(float64(j)+0.5)/float64(n.perSide)
		x, y := float64(i)*s.pitchMM, along*s.pitchMM
		dx, dy := 0.01, 0.0
		if family == 1 {
			x, y, dx, dy = y, x, dy, dx
		}
		at, ok := c.see(x, y, 0)
		if !ok {
			continue
		}
		// Noise across the line only, as a profile measures it.
		b, _ := c.see(x+dy, y+dx, 0)
		tx, ty := b.X-at.X, b.Y-at.Y
		t := math.Hypot(tx, ty)
		d := random.NormFloat64() * n.sigmaPx
		if random.Float64() < n.gross {
			d += (2*random.Float64() - 1) * n.grossPx
		}
		points = append(points, mat.LinePoint{
			Family: mat.Family(family), Index: i, Along: along, SigmaPx: n.sigmaPx,
			At: photo.Point{X: at.X - ty/t*d, Y: at.Y + tx/t*d},
		})
	}
	return points
}

// score returns the RMS and worst error in mm of a map over the part of the
// sheet that is in the picture, on a grid of half pitches.
func (c truth) score(m lens.Mapping, s sheet) (rms, worst float64) {
	n := 0
	for i := 0; i <= 2*s.columns; i++ {
		for k := 0; k <= 2*s.rows; k++ {
			x, y := float64(i)*s.pitchMM/2, float64(k)*s.pitchMM/2
			u, ok := c.see(x, y, 0)
			if !ok {
				continue
			}
			p, ok := m.ToMat(u)
			d := math.Hypot(p.X-x, p.Y-y)
			if !ok {
				d = math.Inf(1)
			}
			rms += d * d
			worst = math.Max(worst, d)
			n++
		}
	}
	return math.Sqrt(rms / float64(n)), worst
}

// offLine moves a sample across its printed line by px, as an error of the
// mat's own printing would.
func (c truth) offLine(s sheet, p mat.LinePoint, px float64) photo.Point {
	x, y, dx, dy := float64(p.Index)*s.pitchMM, p.Along*s.pitchMM, 0.0, 0.01
	if p.Family == mat.Rows {
		x, y, dx, dy = y, x, dy, dx
	}
	a, _ := c.see(x, y, 0)
	b, _ := c.see(x+dx, y+dy, 0)
	tx, ty := b.X-a.X, b.Y-a.Y
	t := math.Hypot(tx, ty)
	return photo.Point{X: p.At.X - ty/t*px, Y: p.At.Y + tx/t*px}
}
