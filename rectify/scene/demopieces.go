package scene

import "flatwright/rectify/mat"

func pt(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }

// demoPieces are the shell's pieces, mm about their own origins.
func demoPieces() []demoPiece {
	crown := demoPiece{
		name:  "CROWN L",
		shape: cut{shapeOutline: begin(-76, 70).curve(-72, 5, -38, -62, 8, -88).curve(46, -58, 78, 8, 80, 72).bow(-76, 70, 11).close()},
		at:    pt(100, 108), angleDeg: -3,
		marks: []mat.Point{pt(-70, 30), pt(-44, -36), pt(68, 20), pt(50, -30), pt(-30, 80), pt(34, 82)},
		lines: []PenLine{{Points: begin(-44, 58).curve(-38, 10, -16, -38, 6, -62).points}},
		tapes: [][2]mat.Point{{pt(80, 72), pt(-76, 70)}},
	}
	cheek := demoPiece{
		name: "CHEEK L",
		shape: cut{shapeOutline: begin(-48, -54).bow(46, -60, 6).bow(54, 40, 9).line(23, 61).line(12, 16).line(3, 63).
			bow(-44, 50, 3).bow(-48, -54, -3).close()},
		at: pt(72, 272), angleDeg: 4,
		marks: []mat.Point{pt(-8, -62), pt(58, -20), pt(61, 10), pt(-46, -10), pt(-20, 58)},
		lines: []PenLine{{Points: begin(-36, -30).curve(-10, -36, 20, -36, 42, -32).points, Dashed: true}},
		tapes: [][2]mat.Point{{pt(46, -60), pt(54, 40)}},
	}
	return append([]demoPiece{
		crown, crown.mirrored("CROWN R", pt(274, 110), 2),
		cheek, cheek.mirrored("CHEEK R", pt(203, 274), -3),
	}, demoSinglePieces()...)
}

// demoSinglePieces are those that the helmet has once.
func demoSinglePieces() []demoPiece {
	face := cut{
		shapeOutline: begin(-95, -46).bow(95, -46, 15).bow(72, 62, 5).bow(-72, 62, 7).bow(-95, -46, 5).close(),
		openings: []shapeOutline{
			begin(-60, -6).curve(-34, -31, 34, -31, 60, -6).curve(34, 15, -34, 15, -60, -6).close(),
		},
	}
	lamp := cut{shapeOutline: ellipse(0, 0, 31, 31), openings: []shapeOutline{ellipse(0, 0, 12, 12)}}
	return []demoPiece{
		{
			name: "FACE", shape: face, at: pt(457, 84), angleDeg: 1.5,
			marks: []mat.Point{pt(-50, -56), pt(50, -56), pt(88, 10), pt(-88, 10), pt(-36, 66), pt(36, 66)},
			lines: []PenLine{{Points: []mat.Point{pt(0, 20), pt(0, 58)}, Dashed: true}, {Points: []mat.Point{pt(0, -52), pt(0, -34)}}},
			tapes: [][2]mat.Point{{pt(-95, -46), pt(95, -46)}},
		},
		{
			name: "BACK", shape: cut{shapeOutline: begin(-82, -48).bow(82, -48, 14).bow(72, 56, -4).bow(-72, 56, 6).bow(-82, -48, -4).close()},
			at: pt(352, 270), angleDeg: -2,
			marks: []mat.Point{pt(-40, -58), pt(40, -58), pt(74, 0), pt(-74, 0), pt(-40, 60), pt(40, 60)},
			lines: []PenLine{{Points: []mat.Point{pt(0, -50), pt(0, 50)}, Dashed: true}},
			tapes: [][2]mat.Point{{pt(-82, -48), pt(82, -48)}},
		},
		{
			name: "NECK", shape: cut{shapeOutline: begin(-128, -2).bow(128, -2, 38).line(122, 42).bow(-122, 42, -33).close()},
			at: pt(151, 388), angleDeg: 0.8,
			marks: []mat.Point{pt(-60, -32), pt(0, -40), pt(60, -32), pt(-60, 16), pt(60, 16)},
		},
		{
			name: "BROW", shape: cut{shapeOutline: begin(-112, -13).bow(112, -13, 16).line(109, 19).bow(-109, 19, -13).close()},
			at: pt(402, 412), angleDeg: -1.5,
			marks: []mat.Point{pt(-56, -26), pt(0, -29), pt(56, -26), pt(0, 6)},
			tapes: [][2]mat.Point{{pt(109, 19), pt(-109, 19)}},
		},
		{
			name: "FIN", shape: cut{shapeOutline: begin(-22, -62).curve(26, -58, 44, 0, 32, 60).bow(-30, 58, 3).curve(-20, 22, -28, -20, -22, -62).close()},
			at: pt(510, 240), angleDeg: 8,
			marks: []mat.Point{pt(26, -24), pt(35, 20), pt(-26, -20), pt(-24, 24)},
			lines: []PenLine{{Points: begin(-8, -44).curve(10, -30, 18, 10, 14, 44).points}},
		},
		{
			name: "LAMP", shape: lamp, at: pt(492, 346), angleDeg: 0,
			marks: []mat.Point{pt(22, -22), pt(22, 22), pt(-22, 22), pt(-22, -22)},
		},
		{
			name: "TAB", shape: cut{shapeOutline: begin(-19, -14).line(19, -14).line(19, 6).curve(19, 20, -19, 20, -19, 6).close()},
			at: pt(551, 398), angleDeg: 12, marks: []mat.Point{pt(0, -14)},
		},
	}
}
