package grid

import (
	"strings"
	"testing"

	"windtally/extract"
)

// lineAt lays the words of a line on a page, 6 points a character.
func lineAt(x, y float64, text string) []extract.Word {
	var words []extract.Word
	for _, w := range strings.Fields(text) {
		width := 6 * float64(len(w))
		words = append(words, extract.Word{Text: w, Box: extract.Rect{X0: x, Y0: y, X1: x + width, Y1: y + 10}})
		x += width + 6
	}
	return words
}

func pageOf(lines ...[]extract.Word) extract.Page {
	p := extract.Page{Number: 1, Width: 1000, Height: 800}
	for _, l := range lines {
		p.Words = append(p.Words, l...)
	}
	return p
}

func TestGiven(t *testing.T) {
	whole := extract.Rect{X1: 1000, Y1: 800}
	p := pageOf(
		lineAt(50, 100, "TABLE V.-WING WITH SLOTTED FLAP"),
		lineAt(50, 115, "[Effective Reynolds number, approximately 8, 000, 000]"),
		lineAt(50, 130, "Flap 20 degrees; test weight 4,150 lb."),
		lineAt(50, 145, "Mach number .15."),
	)
	for _, tc := range []struct{ pattern, want string }{
		{"Reynolds number, approximately *]", "8, 000, 000"},
		{"REYNOLDS  number, approximately *", "8, 000, 000"},
		{"Flap * degrees", "20"},
		{"test weight * lb.", "4,150"},
		{"Mach number *", ".15"},
		{"* degrees", "20"},
	} {
		cell, ok, _, err := Given(p, whole, tc.pattern)
		if err != nil || !ok || cell.Text != tc.want {
			t.Errorf("%q: got %q, %v, %v; the page says %q", tc.pattern, cell.Text, ok, err, tc.want)
		}
		if ok && cell.Box.Empty() {
			t.Errorf("%q: no place", tc.pattern)
		}
	}
	if _, ok, _, err := Given(p, whole, "Wing span * ft"); ok || err != nil {
		t.Errorf("words that are not on the page: %v, %v", ok, err)
	}
	for _, bad := range []string{"no star", "two * stars *", "*", " * "} {
		_, _, _, err := Given(p, whole, bad)
		if err == nil || !strings.Contains(err.Error(), "write the words that stand beside the figure") {
			t.Errorf("pattern %q: %v", bad, err)
		}
	}
}

// Two tables side by side say the same words with their own figures: each is given
// its own, never its neighbour's.
func TestGivenKeepsNeighboursApart(t *testing.T) {
	p := pageOf(
		append(lineAt(50, 100, "[Flap 20 degrees]"), lineAt(500, 100, "[Flap 40 degrees]")...),
	)
	left, right := extract.Rect{X0: 40, Y0: 90, X1: 400, Y1: 300}, extract.Rect{X0: 490, Y0: 90, X1: 900, Y1: 300}
	for _, tc := range []struct {
		region extract.Rect
		want   string
	}{{left, "20"}, {right, "40"}} {
		cell, ok, _, err := Given(p, tc.region, "Flap * degrees")
		if err != nil || !ok || cell.Text != tc.want {
			t.Errorf("region %v: got %q, %v, %v; want %s", tc.region, cell.Text, ok, err, tc.want)
		}
	}
	// From a region that has neither, the page's two figures are refused.
	_, ok, _, err := Given(p, extract.Rect{X0: 0, Y0: 400, X1: 900, Y1: 500}, "Flap * degrees")
	if ok || err == nil || !strings.Contains(err.Error(), "the words stand twice, with 20 and with 40") {
		t.Errorf("two figures for one pattern: %v, %v", ok, err)
	}
}

func TestCaptured(t *testing.T) {
	for _, tc := range []struct {
		line, pattern, want string
		ok                  bool
	}{
		{"Spanwise station 0.4", "station *", "0.4", true},
		{"Flap  down 30 deg.", "down * deg.", "30", true},
		{"Flap up", "down * deg.", "", false},
		{"Spanwise station O.4", "station *", "O.4", true}, // a misread figure is kept as it is, for the numeral to refuse
	} {
		got, ok, err := Captured(tc.line, tc.pattern)
		if got != tc.want || ok != tc.ok || err != nil {
			t.Errorf("%q in %q: got %q, %v, %v; want %q, %v", tc.pattern, tc.line, got, ok, err, tc.want, tc.ok)
		}
	}
	_, ok, err := Captured("Station 3, tested with station 4 faired", "station *")
	if want := `words: "station *": the words stand twice, with 3 and with 4; write more of the words beside the figure`; ok || err == nil || err.Error() != want {
		t.Errorf("two figures: %v, %v; want %s", ok, err, want)
	}
}

// A part of a figure is a wrong figure: what continues it comes with it, and the
// numeral refuses what it cannot read.
func TestGivenTakesTheWholeFigure(t *testing.T) {
	whole := extract.Rect{X1: 2000, Y1: 800}
	for _, tc := range []struct{ line, pattern, want string }{
		{"R.N., 3.4 x 10^6", "R.N., *", "3.4 x 10^6"},
		{"R.N., 3.4 million.", "R.N., *", "3.4 million"},
		{"Weight 5,200 to 5,400 lb.", "Weight *", "5,200 to 5,400"},
		{"Weight 5,200 - 5,400 lb.", "Weight *", "5,200 - 5,400"},
		{"Span, 35 ft. 6 in.", "Span, * ft.", "35 ft. 6 in."},
		{"Flap 20 deg. 30 min.", "Flap * deg.", "20 deg. 30 min."},
		{"Flap 20 to 25 deg.", "* deg.", "20 to 25"},
		{"Weight 5,200 lb. The span is 35 ft.", "Weight * lb.", "5,200"},
		{"Flap 20 degrees; R.N., 3,000,000", "Flap *", "20"},
		{"Flap 20 degrees; R.N., 3,000,000", "R.N., *", "3,000,000"},
	} {
		cell, ok, _, err := Given(pageOf(lineAt(50, 100, tc.line)), whole, tc.pattern)
		if err != nil || !ok || cell.Text != tc.want {
			t.Errorf("%q in %q: got %q, %v, %v; want %q", tc.pattern, tc.line, cell.Text, ok, err, tc.want)
		}
		got, ok, err := Captured(tc.line, tc.pattern)
		if err != nil || !ok || got != tc.want {
			t.Errorf("captured %q in %q: got %q, %v, %v; want %q", tc.pattern, tc.line, got, ok, err, tc.want)
		}
	}
}
