package scan

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func degrees(slope float64) float64 { return math.Atan(slope) * 180 / math.Pi }

func TestSlopesAreMeasuredApart(t *testing.T) {
	plain, ruled := table(t, false), table(t, true)
	for i, c := range []struct{ rows, columns float64 }{
		{0, 0}, {0.75, -0.98}, {0.75, 0.98}, {-0.7, 0.1}, {2, -2}, {-4.6, 4.4}, {1, 1.5}, {0.2, -3}, {-0.04, 0.06},
	} {
		for _, page := range []struct {
			name string
			img  *image.Gray
		}{{"figures", plain.Gray}, {"figures and rules", ruled.Gray}} {
			img := sheared(page.img, c.rows, c.columns)
			if i%2 == 0 {
				img = twoLevels(img)
			}
			s := prepared(t, img, 0)
			if got := degrees(s.RowSlope); math.Abs(got-c.rows) > 0.05 {
				t.Errorf("%s, rows at %g and columns at %g degrees: rows measured at %.3f", page.name, c.rows, c.columns, got)
			}
			if got := degrees(s.ColumnSlope); math.Abs(got-c.columns) > 0.05 {
				t.Errorf("%s, rows at %g and columns at %g degrees: columns measured at %.3f", page.name, c.rows, c.columns, got)
			}
		}
	}
}

// Taking the rules out leaves the print as if they had never been there; and every
// rule is kept where it was drawn.
func TestRulesAreTakenOut(t *testing.T) {
	plain, ruled := table(t, false), table(t, true)
	for _, c := range []struct{ rows, columns float64 }{{0, 0}, {0.75, -0.98}, {-1.2, 0.4}} {
		a := prepared(t, twoLevels(sheared(plain.Gray, c.rows, c.columns)), 0)
		b := prepared(t, twoLevels(sheared(ruled.Gray, c.rows, c.columns)), 0)
		ma, mb := a.Cut(128), b.Cut(128)
		boxes := map[[4]int]bool{}
		for _, m := range mb.List {
			boxes[[4]int{m.X0, m.Y0, m.X1, m.Y1}] = true
		}
		lost := 0
		for _, m := range ma.List {
			if !boxes[[4]int{m.X0, m.Y0, m.X1, m.Y1}] {
				lost++
			}
		}
		if lost > 0 || len(ma.List) != len(mb.List) {
			t.Errorf("skew %v: %d marks without rules, %d with rules taken out, %d of the former not found again", c, len(ma.List), len(mb.List), lost)
		}
		// 40 rows of 8 cells of 4 figures and a point, and the minus signs: 86 of them
		// by the seed, counted from the drawn text.
		if want := 40*8*5 + minuses(); len(ma.List) != want {
			t.Errorf("skew %v: %d marks, want %d", c, len(ma.List), want)
		}
		level, upright := 0, 0
		for _, r := range b.Rules {
			if r.Level() {
				level++
				continue
			}
			upright++
			fx0, _ := b.Flat(r.X0, r.Y0)
			fx1, _ := b.Flat(r.X1, r.Y1)
			mid := (fx0 + fx1) / 2
			at := math.Inf(1)
			for k := range 9 {
				at = min(at, math.Abs(mid-(float64(columnAt(k))-16.5)))
			}
			if at > 1 || math.Abs(fx1-fx0) > 3 || r.Thick < 2 || r.Thick > 5 {
				t.Errorf("skew %v: rule %+v lies from %.1f to %.1f in the flat frame, %.1f from any drawn one", c, r, fx0, fx1, at)
			}
		}
		if level != 3 || upright != 9 {
			t.Errorf("skew %v: %d level and %d upright rules, want 3 and 9", c, level, upright)
		}
	}
}

// minuses counts the minus signs of the made table by drawing its numbers again.
func minuses() int {
	r := rand.New(rand.NewPCG(7, 7))
	n := 0
	for range 40 * 8 {
		if r.IntN(4) == 0 {
			n++
		}
		for range 4 {
			r.IntN(10)
		}
	}
	return n
}

// A figure that a rule crosses keeps its strokes; one that stands on a rule keeps what
// is above it.
func TestRuleThroughFigures(t *testing.T) {
	d := newDrawing(t, 1600, 900, 38, true)
	for i := range 10 {
		d.print(100, float64(150+60*i), "0123456789 0.123 -4.567 8.901 23.45")
	}
	clean := prepared(t, twoLevels(d.Gray), 0)
	// Row 5 has its base line at 450; its figures reach up to about 422.
	d.bar(80, 434, 1500, 437)
	s := prepared(t, twoLevels(d.Gray), 0)
	if len(s.Rules) != 1 || !s.Rules[0].Level() {
		t.Fatalf("rules: %+v, want one", s.Rules)
	}
	kept, all := 0, 0
	for y := 420; y < 452; y++ {
		for x := 100; x < 1400; x++ {
			if clean.At(x, y) >= 128 {
				all++
				if s.At(x, y) >= 128 {
					kept++
				}
			}
		}
	}
	if kept*100 < all*85 {
		t.Errorf("%d of %d pixels of the crossed row are left, want 85 %%", kept, all)
	}
	for x := 1420; x < 1490; x++ {
		if s.At(x, 435) != 0 {
			t.Fatalf("rule left at %d", x)
		}
	}
}

// Serifs that run together, dotted leaders, dashes and a column of ones are no rules.
func TestWhatIsNoRule(t *testing.T) {
	d := newDrawing(t, 1600, 1400, 38, true)
	for i := range 25 {
		y := 150 + 44*i
		d.print(120, float64(y), "1........1.11")
		d.print(700, float64(y), "\u2014\u2014 111")
		d.bar(1000, y-12, 1070, y-9) // a long dash for a missing value: two and a half heights
	}
	s := prepared(t, twoLevels(d.Gray), 0)
	if len(s.Rules) != 0 {
		t.Errorf("%d rules found where there are none: %+v", len(s.Rules), s.Rules)
	}
	marks := s.Cut(128)
	dashes, ones, points := 0, 0, 0
	for _, m := range marks.List {
		switch {
		case m.Width() == 70 && m.Height() == 3:
			dashes++
		case m.Height() > 22:
			ones++
		case m.Height() < 9 && m.Width() < 9:
			points++
		}
	}
	if dashes != 25 || ones != 25*7 || points != 25*9 {
		t.Errorf("%d long dashes, %d ones, %d points; want 25, 175, 225", dashes, ones, points)
	}
}

// A worn rule, broken every few pixels and missing for whole figure heights, is still
// one rule and leaves nothing behind.
func TestWornRule(t *testing.T) {
	d := newDrawing(t, 1600, 1400, 38, true)
	for i := range 20 {
		d.print(200, float64(200+50*i), "0.123  4.567  8.901")
	}
	r := rand.New(rand.NewPCG(3, 4))
	for y := 150; y < 1200; {
		n := 4 + r.IntN(60)
		d.bar(150, y, 152, min(y+n, 1200))
		y += n + 1 + r.IntN(3)
		if r.IntN(8) == 0 {
			y += 20
		}
	}
	s := prepared(t, twoLevels(d.Gray), 0)
	for y := 140; y < 1210; y++ {
		for x := 145; x < 157; x++ {
			if s.At(x, y) != 0 {
				t.Fatalf("ink left at %d, %d; rules %+v", x, y, s.Rules)
			}
		}
	}
	if len(s.Rules) == 0 {
		t.Error("no rule kept")
	}
}

func TestUprightIsFoundOut(t *testing.T) {
	for name, page := range map[string]*drawing{"figures": table(t, true), "prose": prose(t)} {
		for _, turn := range []int{0, 90, 180, 270} {
			// An image turned clockwise by so much comes upright by the rest.
			s := prepared(t, twoLevels(turnedImage(page.Gray, turn)), -1)
			if want := (360 - turn) % 360; s.Turn != want {
				t.Errorf("%s turned by %d: turn %d found, want %d", name, turn, s.Turn, want)
			}
		}
	}
}

func prose(t testing.TB) *drawing {
	d := newDrawing(t, 1800, 2200, 36, false)
	lines := []string{
		"The wing of the Tarnholm research glider was tested in the small tunnel",
		"at a speed of 60 feet a second. The flap was lowered to 20, 40 and 60",
		"degrees, its hinge lying at 0.75 of the chord. Lift was measured with the",
		"balance described in an earlier report, drag by the wake traverse; both",
		"are given as coefficients, based on the area of the plain wing.",
	}
	for i := range 35 {
		d.print(180, float64(250+52*i), lines[i%len(lines)])
	}
	return d
}

// Two levels stay as they are, without resampling; a sheet turned back shows the page.
func TestBilevelIsKept(t *testing.T) {
	img := twoLevels(table(t, false).Gray)
	s := prepared(t, img, 0)
	if !s.Bilevel {
		t.Fatal("a page of two levels is not seen as one")
	}
	for i, v := range img.Pix {
		if (v == 0) != (s.Ink[i] == 255) || s.Ink[i] != 0 && s.Ink[i] != 255 {
			t.Fatalf("pixel %d of luminance %d became ink %d", i, v, s.Ink[i])
		}
	}
}

// White print on black, of two levels and in grey, comes out like black on white.
func TestWhiteOnBlackIsInverted(t *testing.T) {
	page := table(t, false)
	negative := image.NewGray(page.Bounds())
	for i, v := range page.Pix {
		negative.Pix[i] = 255 - v
	}
	for _, c := range []struct {
		name          string
		black, normal *image.Gray
	}{
		{"two levels", twoLevels(negative), twoLevels(page.Gray)},
		{"grey", negative, page.Gray},
	} {
		a, b := prepared(t, c.black, 0), prepared(t, c.normal, 0)
		differ := 0
		for i := range a.Ink {
			if (a.Ink[i] >= 128) != (b.Ink[i] >= 128) {
				differ++
			}
		}
		if differ > len(a.Ink)/1000 {
			t.Errorf("%s: %d of %d pixels differ from the page in black", c.name, differ, len(a.Ink))
		}
	}
}

// Yellow paper with a brown stain and a shadow along one side is levelled: paper to
// nothing, print to full ink, everywhere alike.
func TestPaperIsLevelled(t *testing.T) {
	page := table(t, false)
	b := page.Bounds()
	img := image.NewRGBA(b)
	r := rand.New(rand.NewPCG(5, 6))
	for y := range b.Dy() {
		for x := range b.Dx() {
			ink := 1 - float64(page.Pix[y*page.Stride+x])/255
			light := 1.0
			if d := math.Hypot(float64(x-900), float64(y-1300)); d < 500 {
				light -= 0.3 * math.Min(1, (500-d)/200) // the stain
			}
			if x < 300 {
				light -= 0.25 * float64(300-x) / 300 // the shadow of the binding
			}
			light += 0.02 * r.NormFloat64()
			at := func(paper float64) uint8 { return uint8(min(max(paper*light*(1-0.8*ink), 0), 255)) }
			img.SetRGBA(x, y, color.RGBA{at(240), at(225), at(180), 255})
		}
	}
	s := prepared(t, img, 0)
	var paper, ink, dirty, faint int
	for i, v := range s.Ink {
		switch page.Pix[i] {
		case 255:
			paper++
			if v > 64 {
				dirty++
			}
		case 0:
			ink++
			if v < 192 {
				faint++
			}
		}
	}
	if dirty*1000 > paper || faint*100 > ink {
		t.Errorf("%d of %d pixels of paper have ink over 64, %d of %d of ink are under 192", dirty, paper, faint, ink)
	}
}

// The black that a scanner sees beside the page and the holes of a punch go; print
// beside them stays.
func TestBordersAndHoles(t *testing.T) {
	page := table(t, false)
	clean := prepared(t, twoLevels(page.Gray), 0)
	page.bar(0, 0, 90, 2600)
	page.bar(0, 2540, 2000, 2600)
	for y := range 2600 { // a ragged inner edge
		page.bar(90, y, 90+(y*7919)%9, y+1)
	}
	for _, cy := range []int{700, 1900} {
		for y := -35; y <= 35; y++ {
			half := int(math.Sqrt(float64(35*35 - y*y)))
			page.bar(170-half, cy+y, 170+half, cy+y+1)
		}
	}
	s := prepared(t, twoLevels(page.Gray), 0)
	if a, b := len(clean.Cut(128).List), len(s.Cut(128).List); a != b {
		t.Errorf("%d marks on the clean page, %d with borders and holes cleared", a, b)
	}
}

// Dust far from print goes; a point, a minus sign and a leader never do.
func TestDirt(t *testing.T) {
	page := table(t, false)
	clean := len(prepared(t, twoLevels(page.Gray), 0).Cut(128).List)
	r := rand.New(rand.NewPCG(8, 9))
	for range 300 {
		x, y := 20+r.IntN(150), 20+r.IntN(2500)
		page.bar(x, y, x+1+r.IntN(2), y+1+r.IntN(2))
	}
	for i := range 12 { // a leader of points alone, away from any figure
		page.bar(400+24*i, 150, 405+24*i, 155)
	}
	s := prepared(t, twoLevels(page.Gray), 0)
	got := len(s.Cut(128).List) - clean
	if got < 12 || got > 40 {
		t.Errorf("%d marks more than on the clean page, want the 12 points of the leader and few of 300 specks", got)
	}
	for i := range 12 {
		if s.At(402+24*i, 152) == 0 {
			t.Errorf("point %d of the leader is gone", i)
		}
	}
}

func TestFigureHeight(t *testing.T) {
	// Go Mono has a cap height of 1480/2048 em (its own OS/2 table); figures overshoot
	// by little.
	for _, size := range []float64{16, 24, 38, 60} {
		d := newDrawing(t, 1600, 1200, size, true)
		for y := 100.0; y < 1100; y += size * 1.4 {
			d.print(60, y, "012345 6789.0 -12.34 ......")
		}
		want := size * 1480 / 2048
		if got := prepared(t, d.Gray, 0).FigureHeight(); math.Abs(got-want) > 0.08*want+1 {
			t.Errorf("size %g: figure height %.1f, want about %.1f", size, got, want)
		}
	}
}

func TestUnreadable(t *testing.T) {
	photograph := image.NewGray(image.Rect(0, 0, 1200, 1500))
	r := rand.New(rand.NewPCG(1, 2))
	for y := range 1500 {
		for x := range 1200 {
			v := 128 + 90*math.Sin(float64(x)/90)*math.Cos(float64(y)/70) + 6*r.NormFloat64()
			photograph.SetGray(x, y, color.Gray{uint8(min(max(v, 0), 255))})
		}
	}
	black := image.NewGray(image.Rect(0, 0, 800, 1000))
	for i := range black.Pix {
		if (i/7+i/800)%2 == 0 {
			black.Pix[i] = 255
		}
	}
	tiny := newDrawing(t, 700, 900, 9, true)
	for y := 60.0; y < 850; y += 13 {
		tiny.print(40, y, "0.123 4.567 8.901 2.345 6.789 0.123 4.567 8.901")
	}
	empty := newDrawing(t, 1000, 1400, 20, true)
	empty.print(480, 1300, "12")
	for _, c := range []struct {
		name string
		img  image.Image
		want string
	}{
		{"photograph", photograph, "it looks like a photograph or a drawing"},
		{"half black", black, "of the page is ink: want a page of print"},
		{"tiny print", tiny.Gray, "pixels high: want at least 13, or thin signs are lost; scan at 300 dpi"},
		{"nearly empty", empty.Gray, ""},
		{"print", prose(t).Gray, ""},
		{"blank", newDrawing(t, 300, 400, 20, true).Gray, ""},
		{"one pixel", image.NewGray(image.Rect(0, 0, 1, 1)), ""},
	} {
		s, err := Prepare(c.img, Options{Turn: -1})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if c.want == "" && s.Unreadable != "" || !strings.Contains(s.Unreadable, c.want) {
			t.Errorf("%s: unreadable %q, want %q", c.name, s.Unreadable, c.want)
		}
	}
}

func TestPrepareRefuses(t *testing.T) {
	small := image.NewGray(image.Rect(0, 0, 10, 10))
	for _, c := range []struct {
		img  image.Image
		o    Options
		want string
	}{
		{small, Options{Page: 3, Turn: 45}, "p3: turn 45: want 0, 90, 180 or 270 degrees, or -1 to find it out"},
		{small, Options{Page: 1, Unit: -1}, "p1: unit -1 and resolution 0 dpi: want neither below 0"},
		{image.NewGray(image.Rect(0, 0, 0, 10)), Options{Page: 2}, "p2: the image claims to have 0 x 10 pixels: want at least 1 x 1"},
		{image.NewUniform(color.White), Options{}, "want sides of at most 30000"},
	} {
		_, err := Prepare(c.img, c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: error %v, want %q", c.o, err, c.want)
		}
	}
}

// The same page gives the same sheet.
func TestPrepareIsDeterministic(t *testing.T) {
	img := sheared(table(t, true).Gray, 0.4, -0.6)
	a, b := prepared(t, img, -1), prepared(t, img, -1)
	if fmt.Sprint(a.Rules, a.RowSlope, a.ColumnSlope, a.Turn) != fmt.Sprint(b.Rules, b.RowSlope, b.ColumnSlope, b.Turn) || string(a.Ink) != string(b.Ink) {
		t.Error("two runs differ")
	}
}

func BenchmarkPrepareBilevel(b *testing.B) {
	img := twoLevels(sheared(table(b, true).Gray, 0.7, -0.9))
	b.ReportAllocs()
	for b.Loop() {
		prepared(b, img, -1)
	}
}

func BenchmarkPrepareGrey(b *testing.B) {
	img := sheared(table(b, true).Gray, 0.7, -0.9)
	b.ReportAllocs()
	for b.Loop() {
		prepared(b, img, -1)
	}
}
