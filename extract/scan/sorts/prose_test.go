package sorts

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/scan"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobolditalic"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// printed is a page on which a table of figures and one line of text are set in the
// fonts that come with the font library.
type printed struct {
	img   *image.Gray
	slots []Slot
	votes []string
}

const (
	tableSize = 40.0 // pixels an em
	firstRow  = 100
	pitchRow  = 56
	firstLine = 1400
	pitchLine = 110
)

func face(t *testing.T, data []byte, size float64) font.Face {
	t.Helper()
	f, err := opentype.Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	out, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// set prints text with its foot at y from x on and returns where it ends and its box.
func (p *printed) set(f font.Face, x, y int, text string) (end int, box extract.Rect) {
	d := font.Drawer{Dst: p.img, Src: image.NewUniform(color.Gray{Y: 0}), Face: f, Dot: fixed.P(x, y)}
	b, _ := d.BoundString(text)
	d.DrawString(text)
	return d.Dot.X.Round(), extract.Rect{X0: float64(b.Min.X.Floor()) - 1, Y0: float64(b.Min.Y.Floor()) - 1, X1: float64(b.Max.X.Ceil()) + 1, Y1: float64(b.Max.Y.Ceil()) + 1}
}

func newPrinted(t *testing.T, lines int) *printed {
	p := &printed{img: image.NewGray(image.Rect(0, 0, 1500, firstLine+pitchLine*(lines+1)))}
	draw.Draw(p.img, p.img.Bounds(), image.NewUniform(color.Gray{Y: 255}), image.Point{}, draw.Src)
	f := face(t, goregular.TTF, tableSize)
	for r := range 20 {
		for c := range 6 {
			text := fmt.Sprintf("%d.%03d", (r+c)%10, (r*137+c*411+r*r*53)%1000)
			x, y := 100+220*c, firstRow+pitchRow*r
			p.set(f, x, y, text)
			p.slots = append(p.slots, Slot{Row: r, Column: c, Baseline: float64(y),
				Room: extract.Rect{X0: float64(x - 40), X1: float64(x + 180), Y0: float64(y - 42), Y1: float64(y + 14)}})
			p.votes = append(p.votes, text)
		}
	}
	return p
}

// read reads the table.
func (p *printed) read(t *testing.T) *Result {
	t.Helper()
	s, err := scan.Prepare(p.img, scan.Options{Page: 1, DPI: 300, Unit: 1})
	if err != nil {
		t.Fatal(err)
	}
	res, err := Read(t.Context(), Input{Parts: []Part{{Sheet: s, Marks: s.Cut(s.Level()), Slots: p.slots, Votes: [][]string{p.votes}}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range res.Readings[0] {
		if r.Text != p.votes[i] || len(r.Doubts) > 0 {
			t.Fatalf("cell %d of the table itself is read %q with doubts %q, want %q with none", i, r.Text, r.Doubts, p.votes[i])
		}
	}
	return res
}

// A run is a piece of the line of text: its words, larger or smaller and raised.
type run struct {
	text   string
	size   float64 // of the table's; 0 means 1
	raised float64 // heights of an em
	space  int     // pixels before it
	in     bool    // it belongs to the words that hold the number
	bold   bool    // and oblique
}

func TestProse(t *testing.T) {
	one := func(text string) []run { return []run{{text: text, in: true}} }
	cases := []struct {
		name string
		runs []run
		// What the other reader has in the words, and the number in it; "" is all.
		text, number string
		prev, next   string
		want, doubt  string
	}{
		{name: "figures", runs: one("45"), text: "45", want: "45"},
		{name: "one figure", runs: one("7"), text: "7", want: "7"},
		{name: "decimals", runs: one("0.25"), text: "0.25", want: "0.25"},
		{name: "no nought before the point", runs: one(".25"), text: ".25", want: ".25"},
		{name: "minus", runs: one("-10"), text: "-10", want: "-10"},
		{name: "commas", runs: one("8,370,000"), text: "8,370,000", want: "8,370,000"},
		{name: "spaced commas", runs: []run{{text: "8,", in: true}, {text: "370,", space: 9, in: true}, {text: "000", space: 9, in: true}}, text: "8,370,000", want: "8,370,000"},
		{name: "degree sign", runs: one("45°"), text: "45°", number: "45", want: "45"},
		{name: "degree sign as a word", runs: []run{{text: "45", in: true}, {text: "°"}}, text: "45", next: "°", want: "45"},
		{name: "closed by a semicolon", runs: one("6.5;"), text: "6.5;", number: "6.5", want: "6.5"},
		{name: "in brackets", runs: one("(6.5)"), text: "(6.5)", number: "6.5", want: "6.5"},
		{name: "letter behind", runs: one("0.003c"), text: "0.003c", number: "0.003", want: "0.003"},
		{name: "smaller type", runs: []run{{text: "0.25", size: 0.8, in: true}}, text: "0.25", want: "0.25"},
		{name: "larger type", runs: []run{{text: "1,250", size: 1.2, in: true}}, text: "1,250", want: "1,250"},
		{name: "word before", runs: []run{{text: "number,"}, {text: "6.5", space: 16, in: true}}, text: "6.5", prev: "number,", want: "6.5"},

		// The shapes stand by themselves where the other reader errs.
		{name: "misread figure", runs: one("46"), text: "48", want: "46"},
		{name: "point taken for a comma", runs: one("1.250"), text: "1,250", want: "1.250"},
		{name: "comma taken for a point", runs: one("1,250"), text: "1.250", want: "1,250"},
		{name: "minus lost", runs: one("-10"), text: "10", want: "-1", doubt: "another figure stands directly behind it"},
		{name: "figure lost", runs: one("145"), text: "45", want: "14", doubt: "another figure stands directly behind it"},
		{name: "point lost", runs: one("4.5"), text: "45", want: "4.", doubt: "another figure stands directly behind it"},
		{name: "figure outside the word", runs: []run{{text: "1"}, {text: "45", in: true}}, text: "45", want: "45", doubt: "print stands directly beside it"},
		{name: "nought and point outside the word", runs: []run{{text: "0."}, {text: "6", space: 10, in: true}}, text: "6", prev: "gan", want: "6", doubt: "a point may stand before it"},
		{name: "figure outside the word and apart", runs: []run{{text: "1"}, {text: "45", space: 14, in: true}}, text: "45", prev: "I", want: "45", doubt: "a figure stands before it"},
		{name: "minus apart", runs: []run{{text: "-"}, {text: "10", space: 8, in: true}}, text: "10", want: "10", doubt: "a sign may stand before it"},
		{name: "plus apart", runs: []run{{text: "+"}, {text: "10", space: 8, in: true}}, text: "10", want: "10", doubt: "a sign may stand before it"},

		// What is not understood.
		{name: "other type", runs: []run{{text: "0.25", in: true, bold: true}}, text: "0.25", doubt: "figure"},
		{name: "power of ten", runs: []run{{text: "10", in: true}, {text: "6", size: 0.6, raised: 0.4, in: true}}, text: "106", want: "10?", doubt: "neither figure nor point"},
		{name: "power of ten taken for degrees", runs: []run{{text: "10", in: true}, {text: "6", size: 0.6, raised: 0.4, in: true}}, text: "10°", number: "10", want: "10", doubt: "a raised mark or figure stands behind it"},
		{name: "power of ten not seen", runs: []run{{text: "10", in: true}, {text: "6", size: 0.6, raised: 0.4}}, text: "10", want: "10", doubt: "a raised mark or figure stands behind it"},
		{name: "footnote mark", runs: []run{{text: "45", in: true}, {text: "a", size: 0.6, raised: 0.4, in: true}}, text: "45*", number: "45", want: "45", doubt: "a raised mark or figure stands behind it"},
		{name: "fraction", runs: one("5½"), text: "5%", number: "5", want: "5", doubt: "what stands directly behind it is not understood"},
		{name: "plus or minus", runs: one("±5"), text: "A5", number: "5", want: "5", doubt: "what stands directly before it is not understood"},
		{name: "glued to a word", runs: one("Flaps45"), text: "Flaps45", number: "45", want: "45", doubt: "what stands directly before it is not understood"},
		{name: "dash inside", runs: one("5-10"), text: "5-10", want: "5?10", doubt: "neither figure nor point"},
		{name: "letters", runs: one("lOl"), text: "101", doubt: "figure"},
		{name: "nothing there", text: "45", runs: []run{{text: "   ", in: true}}, doubt: "nothing as high as a figure"},
	}
	p := newPrinted(t, len(cases))
	var list []Prose
	for i, c := range cases {
		in := Prose{Text: c.text, Prev: c.prev, Next: c.next}
		in.From, in.To = 0, len(c.text)
		if c.number != "" {
			in.From = strings.Index(c.text, c.number)
			in.To = in.From + len(c.number)
		}
		x := 400
		for _, r := range c.runs {
			size, data := tableSize, goregular.TTF
			if r.size > 0 {
				size *= r.size
			}
			if r.bold {
				data = gobolditalic.TTF
			}
			var box extract.Rect
			x, box = p.set(face(t, data, size), x+r.space, firstLine+pitchLine*i-int(r.raised*tableSize), r.text)
			if r.in {
				in.Words = append(in.Words, box)
			}
		}
		list = append(list, in)
	}
	res := p.read(t)
	for i, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := res.Prose(list[i])
			doubts := strings.Join(got.Doubts, "; ")
			if c.want != "" && got.Text != c.want {
				t.Errorf("read %q, want %q (%s)", got.Text, c.want, doubts)
			}
			switch {
			case c.doubt == "" && doubts != "":
				t.Errorf("read %q with doubts: %s; want none", got.Text, doubts)
			case c.doubt != "" && !strings.Contains(doubts, c.doubt):
				t.Errorf("read %q with doubts %q, want one that says %q", got.Text, doubts, c.doubt)
			}
		})
	}
}

// Without a table that names the shapes nothing is read.
func TestProseNamesNothing(t *testing.T) {
	got := (&Result{}).Prose(Prose{Text: "45", To: 2, Words: []extract.Rect{{X1: 10, Y1: 10}}})
	if got.Text != "" || len(got.Doubts) != 1 || got.Doubts[0] != "no figures of a table name its shapes" {
		t.Errorf("read %q with doubts %q", got.Text, got.Doubts)
	}
}
