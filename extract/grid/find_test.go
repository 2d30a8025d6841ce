package grid_test

import (
	"testing"

	"windtally/extract"
	"windtally/extract/grid"
)

// Reports and figures in these tests are invented.

func wingTable(s *sheet, x, y float64) {
	s.line(x+60, y, "TABLE IV.--TESTS OF TAPERED WINGS")
	s.line(x+70, y+16, "[Effective Reynolds number, approximately 3,400,000]")
	s.word(x+10, y+40, "Wing")
	xs := []float64{x + 130, x + 190, x + 250, x + 310}
	for i, h := range []string{"CLmax", "CDmin", "Ratio", "Cm0"} {
		s.word(xs[i]-12, y+40, h)
	}
	y += 64
	for i, r := range [][]string{
		{"T-10", "........", "1.42", "0.0088", "161", "0"},
		{"T-11", "........", "1.51", ".0091", "166", "-.012"},
		{"T-12", "........", "1.60", ".0093", "", "-.031"},
		{"T-13A", ".......", ".98", ".0102", "96", "-.040"},
		{"T-14", "........", "1.39", ".0100", "139", "......"},
	} {
		b := y + 12*float64(i)
		s.word(x, b, r[0])
		s.word(x+40, b, r[1])
		s.row(b, xs, r[2:]...)
	}
	s.line(x, y+12*5+14, "* T-13A has no tip fairing.")
}

const wingWant = `
caption IV: TABLE IV.--TESTS OF TAPERED WINGS
heads Wing | CLmax | CDmin | Ratio | Cm0
T-10 | 1.42 | 0.0088 | 161 | 0
T-11 | 1.51 | .0091 | 166 | -.012
T-12 | 1.60 | .0093 |  | -.031
T-13A | .98 | .0102 | 96 | -.040
T-14 | 1.39 | .0100 | 139 | ......
note [Effective Reynolds number, approximately 3,400,000]
note * T-13A has no tip fairing.
`

func TestGrid(t *testing.T) {
	s := newSheet()
	s.middle(306, 40, "REPORT OF THE TARNHOLM AERODYNAMIC LABORATORY")
	wingTable(s, 80, 100)
	got := check(t, s.page, wingWant)[0]
	if got.Continued || got.Turn != 0 {
		t.Errorf("Continued %v, Turn %d; want false, 0", got.Continued, got.Turn)
	}
	if len(got.Leaders) != 5 {
		t.Errorf("%d leaders kept apart, want 5", len(got.Leaders))
	}
	// the empty cell has its slot as box, level with its row
	cell := got.Rows[2].Cells[3]
	if cell.Words != 0 || cell.Box.Empty() || cell.Box.MidY() < 180 || cell.Box.MidY() > 192 || cell.Box.X0 > 330 || cell.Box.X1 < 335 {
		t.Errorf("empty cell has box %v, %d words; want a slot in row 3 under Ratio", cell.Box, cell.Words)
	}
	if want := (extract.Rect{X0: 205, Y0: 156.5, X1: 225, Y1: 166}); got.Rows[0].Cells[1].Box != want {
		t.Errorf("cell 1.42 has box %v, want %v", got.Rows[0].Cells[1].Box, want)
	}
	c := got.Columns[3]
	if c.Figures != 4 || c.Words != 0 {
		t.Errorf("column Ratio: %d figures, %d words; want 4, 0", c.Figures, c.Words)
	}
}

func TestSkew(t *testing.T) {
	s := newSheet()
	wingTable(s, 80, 100)
	for _, d := range []float64{-1.8, -1, -0.4, 0.4, 1, 1.8} {
		check(t, askew(s.page, d), wingWant)
	}
}

func TestTurned(t *testing.T) {
	s := newSheet()
	wingTable(s, 80, 100)
	for _, turn := range []int{90, 180, 270} {
		p := turned(s.page, turn)
		got := check(t, p, wingWant)[0]
		if got.Turn != turn {
			t.Errorf("turn %d reported as %d", turn, got.Turn)
		}
		// boxes are in the seen frame: the cell's box is that of its word
		for _, w := range p.Words {
			if w.Text == "1.42" && got.Rows[0].Cells[1].Box != w.Box {
				t.Errorf("turn %d: cell 1.42 has box %v, its word %v", turn, got.Rows[0].Cells[1].Box, w.Box)
			}
		}
		// columns and rows are in the reading frame, as on the upright page
		if x := got.Columns[1].X0; x < 160 || x > 205 {
			t.Errorf("turn %d: column CLmax begins at %g in the reading frame, want between label and figures", turn, x)
		}
	}
}

func TestSideBySide(t *testing.T) {
	s := newSheet()
	s.size = 8
	s.middle(306, 30, "RESULTS OF TESTS")
	s.line(60, 60, "TABLE I.--FLAP UP")
	s.line(340, 60, "TABLE II.--FLAP AT 30 DEGREES")
	for i, h := range []string{"a", "CL", "CD"} {
		s.word(80+70*float64(i), 80, h)
		s.word(360+70*float64(i), 80, h)
	}
	left := [][]string{{"-2", ".11", ".0210"}, {"0", ".25", ".0205"}, {"2", ".39", ".0222"}, {"4", ".53", ".0260"}, {"6", ".67", ".0330"}}
	right := [][]string{{"-4", ".62", ".0810"}, {"-2", ".76", ".0840"}, {"0", ".90", ".0895"}, {"2", "1.04", ".0960"}}
	for i, r := range left {
		s.row(96+10*float64(i), []float64{85, 152, 222}, r...)
	}
	for i, r := range right {
		s.row(101+12.5*float64(i), []float64{365, 432, 502}, r...)
	}
	check(t, s.page, `
caption I: TABLE I.--FLAP UP
heads a | CL | CD
-2 | .11 | .0210
0 | .25 | .0205
2 | .39 | .0222
4 | .53 | .0260
6 | .67 | .0330
`, `
caption II: TABLE II.--FLAP AT 30 DEGREES
heads a | CL | CD
-4 | .62 | .0810
-2 | .76 | .0840
0 | .90 | .0895
2 | 1.04 | .0960
`)
}

func TestSpanningHeads(t *testing.T) {
	s := newSheet()
	s.line(100, 60, "TABLE 3. - CALCULATED AND MEASURED VALUES")
	s.line(180, 72, "FOR THREE TAPERED WINGS")
	xs := []float64{190, 250, 330, 390}
	s.word(105, 104, "Wing")
	s.middle(222, 96, "Slope")
	s.middle(362, 96, "Zero lift")
	for i, h := range []string{"Calc.", "Meas.", "Calc.", "Meas."} {
		s.middle(xs[i]+4, 112, h)
	}
	for i, r := range [][]string{{"A", ".074", ".075", "-1.7", "-1.9"}, {"B", ".071", ".070", "-1.2", "-1.1"}, {"C", ".069", ".072", "0", "-.2"}} {
		s.word(110, 130+13*float64(i), r[0])
		s.row(130+13*float64(i), xs, r[1:]...)
	}
	check(t, s.page, `
caption 3: TABLE 3. - CALCULATED AND MEASURED VALUES FOR THREE TAPERED WINGS
heads Wing | Slope Calc. | Slope Meas. | Zero lift Calc. | Zero lift Meas.
A | .074 | .075 | -1.7 | -1.9
B | .071 | .070 | -1.2 | -1.1
C | .069 | .072 | 0 | -.2
`)
}

func TestSubHeadsAndNumberedColumns(t *testing.T) {
	s := newSheet()
	s.line(90, 60, "TABLE II.--LIFT DISTRIBUTION--Continued")
	xs := []float64{150, 210, 270, 330, 390}
	s.word(100, 84, "A")
	for i, h := range []string{"0", "0.2", "0.4", "0.6", "0.8"} {
		s.point(xs[i], 84, h)
	}
	y := 120.0
	for b, head := range []string{"SPANWISE STATION 0", "SPANWISE STATION 0.2"} {
		s.middle(270, y, head)
		y += 24
		for i, r := range [][]string{{"2", "1.40", "1.30", "1.21", "1.18", "1.16"}, {"3", "1.44", "1.33", "1.22", "1.16", "1.12"}, {"4", "1.47", "1.35", "1.22", "1.14", "1.08"}} {
			s.word(100, y, r[0])
			s.word(108, y, ".......")
			if b == 1 && i == 1 {
				r = []string{"3", "1.39", "", "1.20", "", "1.10"}
			}
			s.row(y, xs, r[1:]...)
			y += 11
		}
		y += 20
	}
	got := check(t, s.page, `
caption II: TABLE II.--LIFT DISTRIBUTION--Continued
heads A | 0 | 0.2 | 0.4 | 0.6 | 0.8
== SPANWISE STATION 0
2 | 1.40 | 1.30 | 1.21 | 1.18 | 1.16
3 | 1.44 | 1.33 | 1.22 | 1.16 | 1.12
4 | 1.47 | 1.35 | 1.22 | 1.14 | 1.08
== SPANWISE STATION 0.2
2 | 1.40 | 1.30 | 1.21 | 1.18 | 1.16
3 | 1.39 |  | 1.20 |  | 1.10
4 | 1.47 | 1.35 | 1.22 | 1.14 | 1.08
`)[0]
	if !got.Continued {
		t.Error("a caption that says Continued is not taken for a continuation")
	}
}

func TestParticulars(t *testing.T) {
	s := newSheet()
	s.middle(306, 60, "THE TARN TRAINER")
	for i, r := range [][]string{
		{"Wing area, sq ft", "...............", "236"},
		{"Span, ft", "........................", "38.5"},
		{"Weight as tested, lb", "...........", "4,310"},
		{"Horsepower at 2,200 r.p.m.", "......", "450"},
		{"Flap chord, percent", "............", "20"},
	} {
		y := 100 + 14*float64(i)
		s.line(90, y, r[0])
		s.right(330, y, r[1])
		s.point(380, y, r[2])
	}
	got := check(t, s.page, `
heads  | 
Wing area, sq ft | 236
Span, ft | 38.5
Weight as tested, lb | 4,310
Horsepower at 2,200 r.p.m. | 450
Flap chord, percent | 20
`)[0]
	if !got.Continued {
		t.Error("a table without a caption may go on from the page before; Continued is false")
	}
}

// A leader attached to its label is no text of the cell; a leader attached to a
// figure stays, for its last dot may be the point.
func TestAttachedLeaders(t *testing.T) {
	s := newSheet()
	s.line(90, 60, "TABLE 1.--SPANS")
	for i, r := range [][]string{{"T-1..........", "12.5", "1.1"}, {"T-2..........", "13.5", "....2"}, {"T-3..........", "14.5", "1.3"}, {"T-4..........", "15.5", "1.4"}} {
		y := 80 + 12*float64(i)
		s.word(90, y, r[0])
		s.point(200, y, r[1])
		s.right(260, y, r[2])
	}
	check(t, s.page, `
caption 1: TABLE 1.--SPANS
heads  |  | 
T-1 | 12.5 | 1.1
T-2 | 13.5 | ....2
T-3 | 14.5 | 1.3
T-4 | 15.5 | 1.4
`)
}

// What a bad layer does to figures: broken after the sign and point, glued to
// the next column, points lost. Nothing is repaired, nothing changes its column.
func TestRuinedFigures(t *testing.T) {
	s := newSheet()
	s.line(90, 50, "TABLE 2.--PITCHING MOMENTS")
	rows := [][]string{{".5", ".804"}, {".75", ".969"}, {"1.25", "1.225"}, {"2.5", "1.688"}, {"5.0", "2.327"}, {"7.5", "2.805"}, {"10", "3.199"}, {"15", "3.813"}}
	for i, r := range rows {
		y := 70 + 12*float64(i)
		s.point(120, y, r[0])
		s.point(200, y, r[1])
		switch i {
		case 2: // one word over two columns
			s.word(285, y, "-1.225--1.300")
		case 5: // sign and point as a word of their own
			s.word(275, y, "--.")
			s.word(296, y, "412")
			s.point(340, y, "-2.900")
		default:
			s.point(290, y, "-"+r[1])
			s.point(340, y, "-"+r[1])
		}
	}
	check(t, s.page, `
caption 2: TABLE 2.--PITCHING MOMENTS
heads  |  |  | 
.5 | .804 | -.804 | -.804
.75 | .969 | -.969 | -.969
1.25 | 1.225 | -1.225--1.300 | 
2.5 | 1.688 | -1.688 | -1.688
5.0 | 2.327 | -2.327 | -2.327
7.5 | 2.805 | --. 412 | -2.900
10 | 3.199 | -3.199 | -3.199
15 | 3.813 | -3.813 | -3.813
`)
}

// Every figure of a table broken off after its sign and point: the columns, set
// hardly wider apart than the pieces, stay apart.
func TestBrokenSigns(t *testing.T) {
	s := newSheet()
	s.size = 6
	s.line(90, 50, "TABLE 5.--BASIC LIFT")
	for i := range 8 {
		y := 70 + 7*float64(i)
		s.word(90, y, []string{"2", "3", "4", "5", "6", "7", "8", "10"}[i])
		for c := range 4 {
			x := 110 + 34*float64(c)
			s.word(x, y, "--.")
			s.word(x+13, y, []string{"118", "153", "183", "211", "235", "256", "274", "304"}[i])
		}
	}
	check(t, s.page, `
caption 5: TABLE 5.--BASIC LIFT
heads  |  |  |  | 
2 | --. 118 | --. 118 | --. 118 | --. 118
3 | --. 153 | --. 153 | --. 153 | --. 153
4 | --. 183 | --. 183 | --. 183 | --. 183
5 | --. 211 | --. 211 | --. 211 | --. 211
6 | --. 235 | --. 235 | --. 235 | --. 235
7 | --. 256 | --. 256 | --. 256 | --. 256
8 | --. 274 | --. 274 | --. 274 | --. 274
10 | --. 304 | --. 304 | --. 304 | --. 304
`)
}

// Two columns set closer than a layer's broken figures are kept apart by the
// rule between them.
func TestColumnRule(t *testing.T) {
	s := newSheet()
	s.line(90, 50, "TABLE 6.--COUNTS")
	for i, r := range [][]string{{"A", "12", "417"}, {"B", "15", "422"}, {"C", "11", "398"}, {"D", "19", "401"}} {
		y := 70 + 12*float64(i)
		s.word(95, y, r[0])
		s.right(160, y, r[1])
		s.right(184, y, r[2])
	}
	s.page.Rules = []extract.Rule{{X0: 164.5, Y0: 55, X1: 164.5, Y1: 112}}
	check(t, s.page, `
caption 6: TABLE 6.--COUNTS
heads  |  | 
A | 12 | 417
B | 15 | 422
C | 11 | 398
D | 19 | 401
`)
}

// A small table among larger prose keeps its rows apart: their pitch is less than
// the height of the prose.
func TestSmallPrintAmongProse(t *testing.T) {
	s := newSheet()
	prose(s, 90, 60, 8)
	s.size = 5
	for i, r := range [][]string{{"0", "0", ".475", "1.09"}, {".5", ".281", ".440", "1.10"}, {".75", ".396", ".395", "1.11"}, {"1.25", ".603", ".334", "1.12"}, {"2.5", "1.055", ".271", "1.13"}, {"5.0", "1.803", ".234", "1.14"}} {
		s.row(190+5.5*float64(i), []float64{110, 160, 210, 260}, r...)
	}
	s.size = 10
	prose(s, 90, 260, 8)
	check(t, s.page, `
heads  |  |  | 
0 | 0 | .475 | 1.09
.5 | .281 | .440 | 1.10
.75 | .396 | .395 | 1.11
1.25 | .603 | .334 | 1.12
2.5 | 1.055 | .271 | 1.13
5.0 | 1.803 | .234 | 1.14
`)
}

func prose(s *sheet, x, y float64, lines int) {
	text := []string{
		"The lift of the wing with the flap lowered 30 degrees was",
		"measured at 12 angles of attack between -4 and 22 degrees,",
		"and the tunnel was run at 60, 80 and 100 miles per hour. At",
		"each speed the balance was read 3 times; the mean of the",
		"readings is given in table IV. The correction of 0.4 degree",
	}
	for i := range lines {
		s.line(x, y+13*float64(i), text[i%len(text)])
	}
}

// Tables as handbooks and manuals print them: labels of several words, units in a
// column of their own, sub-heads over blocks.
func TestHandbookTables(t *testing.T) {
	t.Run("stalling speeds", func(t *testing.T) {
		s := newSheet()
		s.line(90, 50, "TABLE III. - STALLING SPEEDS")
		s.line(90, 64, "(Indicated airspeed, weight 4,310 lb)")
		s.line(95, 84, "Configuration")
		s.line(260, 78, "Weight,")
		s.line(270, 90, "lb")
		s.line(340, 78, "Stalling speed,")
		s.line(340, 90, "m.p.h.")
		for i, r := range [][]string{{"Flaps up, gear up", "4,310", "71"}, {"Flaps 15 deg, gear up", "4,310", "66.5"}, {"Flaps 30 deg, gear down", "4,300", "61"}, {"Flaps 45 deg, gear down", "4,280", "58.5"}} {
			y := 110 + 13*float64(i)
			s.line(90, y, r[0])
			s.row(y, []float64{285, 370}, r[1:]...)
		}
		s.line(90, 180, "a Propeller idling.")
		prose(s, 90, 220, 8)
		check(t, s.page, `
caption III: TABLE III. - STALLING SPEEDS
heads Configuration | Weight, lb | Stalling speed, m.p.h.
Flaps up, gear up | 4,310 | 71
Flaps 15 deg, gear up | 4,310 | 66.5
Flaps 30 deg, gear down | 4,300 | 61
Flaps 45 deg, gear down | 4,280 | 58.5
note (Indicated airspeed, weight 4,310 lb)
note a Propeller idling.
`)
	})
	t.Run("particulars with units", func(t *testing.T) {
		s := newSheet()
		s.line(90, 50, "TABLE IV. - PARTICULARS OF THE AEROPLANE")
		for i, r := range [][]string{{"Wing area", "236", "sq ft"}, {"Span", "38.5", "ft"}, {"Aspect ratio", "6.28", ""}, {"Weight", "4,310", "lb"}, {"Wing loading", "18.3", "lb/sq ft"}} {
			y := 80 + 13*float64(i)
			s.line(90, y, r[0])
			s.point(250, y, r[1])
			s.line(280, y, r[2])
		}
		check(t, s.page, `
caption IV: TABLE IV. - PARTICULARS OF THE AEROPLANE
heads  |  | 
Wing area | 236 | sq ft
Span | 38.5 | ft
Aspect ratio | 6.28 | 
Weight | 4,310 | lb
Wing loading | 18.3 | lb/sq ft
`)
	})
	t.Run("limits with units beside the figures", func(t *testing.T) {
		s := newSheet()
		s.line(90, 50, "TABLE V. - LIMITING SPEEDS")
		for i, r := range [][]string{{"Never exceed", "185 m.p.h. IAS"}, {"Flaps 15 deg", "120 m.p.h. IAS"}, {"Flaps 45 deg", "95 m.p.h. IAS"}, {"Gear down", "110 m.p.h. IAS"}} {
			y := 80 + 13*float64(i)
			s.line(90, y, r[0])
			s.word(190, y, "...........")
			s.line(300, y, r[1])
		}
		check(t, s.page, `
caption V: TABLE V. - LIMITING SPEEDS
heads  | 
Never exceed | 185 m.p.h. IAS
Flaps 15 deg | 120 m.p.h. IAS
Flaps 45 deg | 95 m.p.h. IAS
Gear down | 110 m.p.h. IAS
`)
	})
	t.Run("a column of words", func(t *testing.T) {
		s := newSheet()
		s.line(90, 50, "TABLE VI. - FLAP INCREMENTS")
		for i, h := range []string{"Flap", "Type", "Deflection,", "DCL", "DCD"} {
			s.line([]float64{90, 140, 220, 310, 370}[i], 74, h)
		}
		s.line(230, 86, "deg")
		for i, r := range [][]string{{"A", "plain", "30", ".62", ".0510"}, {"B", "split", "30", ".71", ".0940"}, {"C", "slotted", "30", ".88", ".0470"}, {"D", "area-increasing", "30", "1.21", ".0830"}, {"", "", "40", "1.33", ".1110"}} {
			y := 104 + 13*float64(i)
			s.line(90, y, r[0])
			s.line(140, y, r[1])
			s.row(y, []float64{245, 315, 370}, r[2:]...)
		}
		check(t, s.page, `
caption VI: TABLE VI. - FLAP INCREMENTS
heads Flap | Type | Deflection, deg | DCL | DCD
A | plain | 30 | .62 | .0510
B | split | 30 | .71 | .0940
C | slotted | 30 | .88 | .0470
D | area-increasing | 30 | 1.21 | .0830
 |  | 40 | 1.33 | .1110
`)
	})
	t.Run("sub-heads with a figure, at the middle and at the left", func(t *testing.T) {
		s := newSheet()
		s.line(90, 50, "TABLE VII. - LIFT OF THE WING")
		for i, h := range []string{"a, deg", "CL", "CD"} {
			s.line(90+80*float64(i), 74, h)
		}
		y := 90.0
		for _, head := range []string{"Flap up", "Flap 30 deg"} {
			s.line(200, y, head)
			y += 13
			for _, r := range [][]string{{"-4", ".10", ".0210"}, {"-2", ".25", ".0240"}, {"0", ".40", ".0270"}} {
				s.row(y, []float64{100, 180, 260}, r...)
				y += 13
			}
			y += 3
		}
		s.line(90, 300, "TABLE VIII. - AREAS")
		for i, r := range [][]string{{"Wing group:"}, {"Area, sq ft", "236"}, {"Chord, ft", "6.4"}, {"Tail group:"}, {"Area, sq ft", "52"}, {"Span, ft", "12.5"}} {
			y := 330 + 13*float64(i)
			s.line(90, y, r[0])
			if len(r) > 1 {
				s.word(170, y, "......")
				s.point(240, y, r[1])
			}
		}
		check(t, s.page, `
caption VII: TABLE VII. - LIFT OF THE WING
heads a, deg | CL | CD
== Flap up
-4 | .10 | .0210
-2 | .25 | .0240
0 | .40 | .0270
== Flap 30 deg
-4 | .10 | .0210
-2 | .25 | .0240
0 | .40 | .0270
`, `
caption VIII: TABLE VIII. - AREAS
heads  | 
== Wing group:
Area, sq ft | 236
Chord, ft | 6.4
== Tail group:
Area, sq ft | 52
Span, ft | 12.5
`)
	})
}

// Footnote marks raised above the line, and subscripts below it, stay in their row.
func TestRaisedMarks(t *testing.T) {
	s := newSheet()
	s.line(90, 50, "TABLE 8.--LIFT")
	for i, r := range [][]string{{"T-1", "1.40", ".0088"}, {"T-2", "1.51", ".0091"}, {"T-3", "1.60", ".0093"}, {"T-4", "1.39", ".0100"}} {
		y := 70 + 12*float64(i)
		s.word(90, y, r[0])
		s.row(y, []float64{180, 250}, r[1:]...)
		if i == 1 {
			s.size = 6
			s.word(196, y-4, "b")
			s.word(106, y+3, "2")
			s.size = 10
		}
	}
	check(t, s.page, `
caption 8: TABLE 8.--LIFT
heads  |  | 
T-1 | 1.40 | .0088
T-2 2 | 1.51 b | .0091
T-3 | 1.60 | .0093
T-4 | 1.39 | .0100
`)
}

// A word that stands between two rows is in neither: it is reported.
func TestBetweenRows(t *testing.T) {
	s := newSheet()
	s.line(90, 50, "TABLE 9.--LIFT")
	for i, r := range [][]string{{"T-1", "1.40", ".0088"}, {"T-2", "1.51", ".0091"}, {"T-3", "", ".0093"}, {"T-4", "", ".0100"}, {"T-5", "1.44", ".0100"}} {
		y := 70 + 12*float64(i)
		s.word(90, y, r[0])
		s.row(y, []float64{180, 250}, r[1:]...)
	}
	s.point(180, 70+12*2.5, "1.60")
	check(t, s.page, `
caption 9: TABLE 9.--LIFT
heads  |  | 
T-1 | 1.40 | .0088
T-2 | 1.51 | .0091
T-3 |  | .0093
T-4 |  | .0100
T-5 | 1.44 | .0100
stray 1.60
`)
}

func TestNoTable(t *testing.T) {
	cases := map[string]func(s *sheet){
		"prose": func(s *sheet) { prose(s, 90, 60, 30) },
		"prose in two columns": func(s *sheet) {
			s.size = 8
			prose(s, 40, 60, 30)
			prose(s, 320, 60, 30)
		},
		"axes": func(s *sheet) {
			for i := range 7 {
				for _, x := range []float64{60, 230, 400} {
					s.right(x, 100+40*float64(i), []string{"1.2", "1.0", ".8", ".6", ".4", ".2", "0"}[i])
				}
			}
			for i := range 5 {
				for _, x := range []float64{60, 230, 400} {
					s.word(x+10+25*float64(i), 352, []string{"-8", "0", "8", "16", "24"}[i])
				}
			}
			s.line(100, 380, "FIGURE 4.--Lift of the wing with the flap at 0, 15 and 30 degrees.")
		},
		"references": func(s *sheet) {
			for i, r := range []string{
				"1. Harrow, M. E.: Flaps on Tapered Wings. T.A.L. Report 12, 1931.",
				"2. Lindqvist, O.: The Balance of the 5-Foot Tunnel. T.A.L. Note 7, 1929.",
				"3. Pell, A., and Ruiz, J.: Tests of 12 Sections. T.A.L. Report 31, 1934.",
				"4. Harrow, M. E.: Slots at 3 Reynolds Numbers. T.A.L. Report 35, 1935.",
			} {
				s.line(90, 100+14*float64(i), r)
			}
		},
		"formulae": func(s *sheet) {
			for i, r := range []string{"CL = L/qS", "CD = D/qS", "Cm = M/qSc", "R = 12,000,000"} {
				s.line(200, 100+24*float64(i), r)
				s.word(480, 100+24*float64(i), []string{"(1)", "(2)", "(3)", "(4)"}[i])
			}
		},
		"symbols": func(s *sheet) {
			for i, r := range [][]string{{"A", "aspect ratio"}, {"b", "span of the wing"}, {"CL", "lift coefficient"}, {"q", "dynamic pressure"}, {"S", "area of the wing"}} {
				s.word(100, 100+13*float64(i), r[0])
				s.line(150, 100+13*float64(i), r[1])
			}
		},
		"nothing":       func(s *sheet) {},
		"a single word": func(s *sheet) { s.word(100, 100, "1.43") },
	}
	for name, set := range cases {
		t.Run(name, func(t *testing.T) {
			s := newSheet()
			set(s)
			check(t, s.page)
		})
	}
}

func TestRead(t *testing.T) {
	s := newSheet()
	wingTable(s, 80, 100)
	s.word(430, 190, "smudge")
	cols := []grid.Column{{X0: 70, X1: 165}, {X0: 195, X1: 235}, {X0: 255, X1: 305}, {X0: 310, X1: 345}, {X0: 370, X1: 420}}
	region := extract.Rect{X0: 60, Y0: 80, X1: 480, Y1: 260}
	got, stray, err := grid.Read(s.page, region, cols)
	if err != nil {
		t.Fatal(err)
	}
	if want := wingWant[1:] + "stray smudge\n"; show(got) != want {
		t.Errorf("read\n%s\nwant\n%s", show(got), want)
	}
	if len(stray) != 1 || stray[0].Text != "smudge" || stray[0].Box.X0 != 430 {
		t.Errorf("strays %v, want smudge at 430", stray)
	}
	if got.Words() != len(s.page.Words) {
		t.Errorf("%d words accounted for, %d on the page", got.Words(), len(s.page.Words))
	}
	for i, c := range got.Columns {
		if c.X0 != cols[i].X0 || c.X1 != cols[i].X1 {
			t.Errorf("column %d is %g to %g, given %g to %g", i+1, c.X0, c.X1, cols[i].X0, cols[i].X1)
		}
	}
	// the columns that Find reports are good for Read
	found := grid.Find(s.page)[0]
	again, _, err := grid.Read(s.page, found.Region, found.Columns)
	if err != nil {
		t.Fatal(err)
	}
	if len(again.Rows) != 5 || again.Rows[4].Cells[4].Text != "......" || again.Rows[2].Cells[3].Text != "" {
		t.Errorf("read with the found columns:\n%s", show(again))
	}
}

func TestReadRefuses(t *testing.T) {
	s := newSheet()
	wingTable(s, 80, 100)
	all := extract.Rect{X0: 0, Y0: 0, X1: 612, Y1: 792}
	one := []grid.Column{{X0: 0, X1: 612}}
	for _, c := range []struct {
		region extract.Rect
		cols   []grid.Column
		want   string
	}{
		{extract.Rect{X0: 50, Y0: 80, X1: 50, Y1: 90}, one, "page 7: region [50 80 50 90] is empty: want x0 < x1 and y0 < y1"},
		{all, nil, "page 7: no column given: want at least one range x0, x1"},
		{all, []grid.Column{{X0: 30, X1: 30}}, "page 7: column 1: range 30 to 30: want x0 < x1"},
		{all, []grid.Column{{X0: 30, X1: 60}, {X0: 50, X1: 90}}, "page 7: column 2 begins at 50, before column 1 ends at 60: want columns from left to right that do not overlap"},
		{extract.Rect{X0: 0, Y0: 700, X1: 612, Y1: 792}, one, "page 7: no word in the region [0 700 612 792]: a scan without a text layer has none"},
	} {
		if _, _, err := grid.Read(s.page, c.region, c.cols); err == nil || err.Error() != c.want {
			t.Errorf("error %v, want %s", err, c.want)
		}
	}
}
