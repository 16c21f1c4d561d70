// Package curve is the geometry of outlines: paths of straight lines and
// cubic Béziers on the mat, in millimetres (frame of mat.Point: y down).
package curve

import "flatwright/rectify/mat"

// Segment is one stretch of a path from P0 to P3: a straight line, or the
// cubic Bézier with control points P0 P1 P2 P3. Of a line P1 and P2 lie at
// its thirds, so that every segment can be evaluated as a cubic.
type Segment struct {
	Line           bool
	P0, P1, P2, P3 mat.Point
}

// Path is a chain of segments, each beginning where the one before ends.
// A closed path ends where it begins. On a page with y down a closed outline
// runs clockwise to the eye (positive shoelace area), an opening the other
// way round.
type Path struct {
	Segments []Segment
	Closed   bool
}
