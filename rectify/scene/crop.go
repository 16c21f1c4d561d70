package scene

import "flatwright/rectify/mat"

// sidesOut is the number of sides of the mat's grid that lie out of the frame
// over the middle eight tenths of their length.
func sidesOut(c Camera, s *Spec) int {
	w, h := s.Mat.SizeMM()
	v := c.View()
	n := 0
	for _, side := range [4][2]mat.Point{
		{{X: 0, Y: 0}, {X: w, Y: 0}},
		{{X: w, Y: 0}, {X: w, Y: h}},
		{{X: w, Y: h}, {X: 0, Y: h}},
		{{X: 0, Y: h}, {X: 0, Y: 0}},
	} {
		out := true
		for i := range 9 {
			if inFrame(v.ToPhoto(lerp(side[0], side[1], 0.1+0.1*float64(i))), s.Width, s.Height, 0) {
				out = false
			}
		}
		if out {
			n++
		}
	}
	return n
}

// move is one way to bring sides of the mat out of the frame.
type move struct {
	nearer bool
	aside  mat.Point // by step, in parts of the mat's size
}

// fewSteps of a move leave most of the frame to the mat.
const fewSteps = 15

// cropped moves a camera until n sides of the mat lie out of the frame: one
// by a shift aside; two by a shift along both directions, or by coming nearer;
// three by both. Of the ways there are it takes, from a random one on, the
// first that does not go far, else the shortest.
func cropped(c Camera, s *Spec, n int) Camera {
	rng := s.extra(0xc409)
	ways := waysOut(n)
	rng.Shuffle(len(ways), func(i, j int) { ways[i], ways[j] = ways[j], ways[i] })
	best, fewest := c, 101
	for _, way := range ways {
		moved, steps := way.until(c, s, n)
		if steps < fewest {
			best, fewest = moved, steps
		}
		if fewest <= fewSteps {
			break
		}
	}
	return best
}

// waysOut are the moves that may bring n sides out.
func waysOut(n int) []move {
	var out []move
	for _, d := range []mat.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
		switch n {
		case 1:
			out = append(out, move{aside: d})
		case 2:
			out = append(out, move{aside: mat.Point{X: d.X - d.Y, Y: d.X + d.Y}})
		default:
			out = append(out, move{nearer: true, aside: d})
		}
	}
	if n == 2 {
		out = append(out, move{nearer: true})
	}
	return out
}

// until moves step by step until n sides are out; 100 steps at most.
func (m move) until(c Camera, s *Spec, n int) (Camera, int) {
	w, h := s.Mat.SizeMM()
	for step := range 100 {
		have := sidesOut(c, s)
		if have >= n {
			return c, step
		}
		if m.nearer && have < 2 {
			c.DistanceMM *= 0.985
		} else {
			c.TargetX, c.TargetY = c.TargetX+0.01*w*m.aside.X, c.TargetY+0.01*h*m.aside.Y
		}
	}
	return c, 100
}
