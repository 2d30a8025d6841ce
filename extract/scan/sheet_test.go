package scan

import (
	"math"
	"testing"

	"windtally/extract"
)

func near(a, b, by float64) bool { return math.Abs(a-b) <= by }

// A page seen as 200 wide and 100 high, in points at two pixels a point, whose top
// left corner, top right corner and a point right of and below the top left are
// followed by hand through each quarter turn.
func TestSeenAndFromSeen(t *testing.T) {
	type point struct{ x, y float64 }
	for _, c := range []struct {
		turn, w, h int
		corner     point // of the sheet that shows the seen top left
		right      point // ... the seen top right
		inner      point // ... the seen point (30, 10)
	}{
		{0, 400, 200, point{0, 0}, point{400, 0}, point{60, 20}},
		{90, 200, 400, point{200, 0}, point{200, 400}, point{180, 60}},
		{180, 400, 200, point{400, 200}, point{0, 200}, point{340, 180}},
		{270, 200, 400, point{0, 400}, point{0, 0}, point{20, 340}},
	} {
		s := &Sheet{Unit: 0.5, W: c.w, H: c.h, Turn: c.turn, RowSlope: 0.013, ColumnSlope: -0.017}
		for _, p := range []struct{ seen, sheet point }{
			{point{0, 0}, c.corner}, {point{200, 0}, c.right}, {point{30, 10}, c.inner},
		} {
			x, y := s.FromSeen(p.seen.x, p.seen.y)
			if !near(x, p.sheet.x, 1e-9) || !near(y, p.sheet.y, 1e-9) {
				t.Errorf("turn %d: seen %v is at %g, %g of the sheet; want %v", c.turn, p.seen, x, y, p.sheet)
			}
			sx, sy := s.Seen(p.sheet.x, p.sheet.y)
			if !near(sx, p.seen.x, 1e-9) || !near(sy, p.seen.y, 1e-9) {
				t.Errorf("turn %d: sheet %v is seen at %g, %g; want %v", c.turn, p.sheet, sx, sy, p.seen)
			}
			fx, fy := s.Flat(x, y)
			if bx, by := s.Sheet(fx, fy); !near(bx, x, 1e-9) || !near(by, y, 1e-9) {
				t.Errorf("turn %d: flat and back gives %g, %g; want %g, %g", c.turn, bx, by, x, y)
			}
		}
		if w, h := s.SeenSize(); w != 200 || h != 100 {
			t.Errorf("turn %d: seen size %g x %g, want 200 x 100", c.turn, w, h)
		}
		r := extract.Rect{X0: 20, Y0: 30, X1: 60, Y1: 40}
		back := s.SeenOfFlat(s.FlatOfSeen(r))
		if !near(back.MidX(), 40, 1e-9) || !near(back.MidY(), 35, 1e-9) || back.Width() < 40 || back.Height() < 10 {
			t.Errorf("turn %d: %v became %v by way of the flat frame", c.turn, r, back)
		}
	}
}

// In the flat frame a row with the slope of the sheet is level and a column plumb.
func TestFlatIsLevel(t *testing.T) {
	s := &Sheet{Unit: 1, W: 2000, H: 3000, RowSlope: 0.02, ColumnSlope: 0.01}
	_, y0 := s.Flat(100, 500)
	_, y1 := s.Flat(1100, 520)
	if !near(y0, y1, 1e-9) {
		t.Errorf("a row that falls by 20 in 1000 goes from %g to %g in the flat frame", y0, y1)
	}
	x0, _ := s.Flat(100, 500)
	x1, _ := s.Flat(110, 1500)
	if !near(x0, x1, 1e-9) {
		t.Errorf("a column that leans by 10 in 1000 goes from %g to %g in the flat frame", x0, x1)
	}
}

// Turning a sheet moves its ink, its rules and its slopes together.
func TestTurned(t *testing.T) {
	s := &Sheet{Unit: 0.24, W: 5, H: 3, Ink: make([]uint8, 15), RowSlope: 0.01, ColumnSlope: 0.02,
		Rules: []Rule{{0, 1, 5, 1.05, 1}, {2, 0, 2.06, 3, 2}}}
	s.Ink[1*5+4] = 255 // at (4, 1)
	for _, c := range []struct {
		by, w, h, x, y int
		row, column    float64
		level, upright Rule
	}{
		{90, 3, 5, 1, 4, -0.02, -0.01, Rule{0, 2.06, 3, 2, 2}, Rule{2, 0, 1.95, 5, 1}},
		{180, 5, 3, 0, 1, 0.01, 0.02, Rule{0, 1.95, 5, 2, 1}, Rule{2.94, 0, 3, 3, 2}},
		{270, 3, 5, 1, 0, -0.02, -0.01, Rule{0, 3, 3, 2.94, 2}, Rule{1.05, 0, 1, 5, 1}},
	} {
		u := s.Turned(c.by)
		if u.W != c.w || u.H != c.h || u.Turn != c.by {
			t.Errorf("turned by %d: %d x %d, turn %d", c.by, u.W, u.H, u.Turn)
			continue
		}
		if u.At(c.x, c.y) != 255 {
			t.Errorf("turned by %d: no ink at %d, %d: %v", c.by, c.x, c.y, u.Ink)
		}
		if u.RowSlope != c.row || u.ColumnSlope != c.column {
			t.Errorf("turned by %d: slopes %g, %g; want %g, %g", c.by, u.RowSlope, u.ColumnSlope, c.row, c.column)
		}
		for i, want := range []Rule{c.level, c.upright} {
			got := u.Rules[i]
			if !near(got.X0, want.X0, 1e-9) || !near(got.Y0, want.Y0, 1e-9) || !near(got.X1, want.X1, 1e-9) || !near(got.Y1, want.Y1, 1e-9) || got.Thick != want.Thick {
				t.Errorf("turned by %d: rule %d is %v, want %v", c.by, i, got, want)
			}
		}
		sx, sy := u.Seen(float64(c.x)+0.5, float64(c.y)+0.5)
		if !near(sx, 4.5*0.24, 1e-9) || !near(sy, 1.5*0.24, 1e-9) {
			t.Errorf("turned by %d: the ink is seen at %g, %g; want %g, %g", c.by, sx, sy, 4.5*0.24, 1.5*0.24)
		}
	}
	if s.Turned(0) != s || s.Turned(-90).Turn != 270 {
		t.Error("no turn is the sheet itself, and a turn back by 90 is one by 270")
	}
}

// The marks of a small picture, counted by eye.
func TestCutAndPieces(t *testing.T) {
	picture := []string{
		"#..#....",
		".#.#..##",
		"...#..##",
		"#.#.....",
		"#......#",
	}
	s := &Sheet{Unit: 1, W: 8, H: 5}
	for _, row := range picture {
		for _, c := range row {
			v := uint8(0)
			if c == '#' {
				v = 200
			}
			s.Ink = append(s.Ink, v)
		}
	}
	want := []struct{ x0, y0, x1, y1, area int }{
		{0, 0, 2, 2, 2}, {2, 0, 4, 4, 4}, {6, 1, 8, 3, 4}, {0, 3, 1, 5, 2}, {7, 4, 8, 5, 1},
	}
	marks := s.Cut(128)
	list, _ := pieces(s.Ink, s.W, s.H, 128)
	if len(marks.List) != len(want) || len(list) != len(want) {
		t.Fatalf("%d marks, %d pieces; want %d", len(marks.List), len(list), len(want))
	}
	for i, w := range want {
		if m := marks.List[i]; m.X0 != w.x0 || m.Y0 != w.y0 || m.X1 != w.x1 || m.Y1 != w.y1 || m.Area != w.area {
			t.Errorf("mark %d is %+v, want %v", i, m, w)
		}
		if p := list[i]; p.x0 != w.x0 || p.y0 != w.y0 || p.x1 != w.x1 || p.y1 != w.y1 || p.area != w.area {
			t.Errorf("piece %d is %+v, want %v", i, p, w)
		}
	}
}
