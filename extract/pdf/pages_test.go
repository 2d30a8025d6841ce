package pdf

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

func onePage(t *testing.T, file string) extract.Page {
	t.Helper()
	pages, err := reader().Pages(ctx(t), file, []int{1})
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) != 1 || pages[0].Number != 1 {
		t.Fatalf("got %d pages, want page 1 alone", len(pages))
	}
	return pages[0]
}

func texts(p extract.Page) []string {
	var out []string
	for _, w := range p.Words {
		out = append(out, w.Text)
	}
	return out
}

const letter = "/MediaBox[0 0 612 792]"

// Where a word ends is decided by the content streams below, which state every
// distance; Courier at 10 points advances 6 points a letter.
func TestWordEnds(t *testing.T) {
	for _, c := range []struct {
		name, content string
		want          []string
	}{
		{"spaces", "BT /F1 10 Tf 72 700 Td (1.25 -0.012) Tj ET", []string{"1.25", "-0.012"}},
		{"kerning", "BT /F1 10 Tf 72 700 Td [(1.) -100 (25)] TJ ET", []string{"1.25"}},
		{"gap of 0.6 em", "BT /F1 10 Tf 72 700 Td [(1.25) -600 (3.5)] TJ ET", []string{"1.25", "3.5"}},
		{"gap of 0.3 em", "BT /F1 10 Tf 72 700 Td [(1.25) -300 (3.5)] TJ ET", []string{"1.25", "3.5"}},
		{"two objects that touch", "BT /F1 10 Tf 72 700 Td (1.) Tj ET BT /F1 10 Tf 84 700 Td (25) Tj ET", []string{"1.25"}},
		{"exponent", "BT /F1 10 Tf 72 700 Td (10) Tj /F1 6 Tf 4 Ts (5) Tj ET", []string{"10", "5"}},
		{"subscript", "BT /F1 10 Tf 72 700 Td (C) Tj /F1 6 Tf -2 Ts (L) Tj ET", []string{"C", "L"}},
		{"small footnote mark on the line", "BT /F1 10 Tf 72 700 Td (0.50) Tj /F1 5 Tf (1) Tj ET", []string{"0.50", "1"}},
		{"small capitals stay one word", "BT /F1 10 Tf 72 700 Td (T) Tj /F1 8 Tf (ABLE) Tj ET", []string{"TABLE"}},
		{"next line", "BT /F1 10 Tf 72 700 Td (1.25) Tj 0 -12 Td (2.5) Tj ET", []string{"1.25", "2.5"}},
		{"same line, written from the right", "BT /F1 10 Tf 300 700 Td (1.25) Tj -200 0 Td (2.5) Tj ET", []string{"2.5", "1.25"}},
		{"letter over letter", "BT /F1 10 Tf 72 700 Td [(2.5) 600 (8)] TJ ET", []string{"2.\uFFFD"}},
		{"accent over a letter", "BT /F1 10 Tf 72 700 Td [(Ren\264) 600 (e)] TJ ET", []string{"Ren\u00b4e"}},
		{"turned neighbour", "BT /F1 10 Tf 72 700 Td (12) Tj 0 1 -1 0 86 700 Tm (34) Tj ET", []string{"12", "34"}},
		{"printed twice to look bold", "BT /F1 10 Tf 72 700 Td (1.25) Tj 0.3 0 Td (1.25) Tj ET", []string{"1.25"}},
		{"same text on the next line is no second print", "BT /F1 10 Tf 72 700 Td (1.25) Tj 0 -10 Td (1.25) Tj ET", []string{"1.25", "1.25"}},
		{"letters printed twice", "BT /F1 10 Tf 72 700 Td [(1) 570 (1) -30 (.) 570 (.)] TJ ET", []string{"1."}},
		{"equal digits are not bold", "BT /F1 10 Tf 72 700 Td (1100) Tj ET", []string{"1100"}},
		{"hyphen at the end of a line", "BT /F1 10 Tf 72 700 Td (minus-) Tj 0 -12 Td (cule) Tj ET", []string{"minus-", "cule"}},
		{"en dash", "BT /F1 10 Tf 72 700 Td (\\2261.5) Tj ET", []string{"\u20131.5"}},
		{"degree and fraction", "BT /F1 10 Tf 72 700 Td (7\\275\\260) Tj ET", []string{"7\u00bd\u00b0"}},
		{"outside the page", "BT /F1 10 Tf 72 900 Td (900) Tj 0 -200 Td (700) Tj ET", []string{"700"}},
		{"no text", "", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := texts(onePage(t, build(t, letter, c.content))); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// A glyph that the file gives no meaning is U+FFFD, and never the code that
// stands for it; a ligature is its letters.
func TestUnmappedGlyphs(t *testing.T) {
	font := func(differences, more string) string {
		return "<</Type/Font/Subtype/Type1/BaseFont/Courier/Encoding<</Type/Encoding/Differences[" + differences + "]>>" + more + ">>"
	}
	res := letter + "/Resources<</Font<</F1 6 0 R>>>>"
	cmap := "/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapType 2 def 1 begincodespacerange <00> <FF> endcodespacerange 2 beginbfchar <41> <00660069> <42> <0035> endbfchar endcmap end end"
	for _, c := range []struct {
		name    string
		objects []string
		want    []string
	}{
		{"unknown glyph name", []string{font("65 /glyph17 /five", "")}, []string{"\uFFFD5"}},
		{"ligature by name", []string{font("65 /fi /five", "")}, []string{"fi5"}},
		{"ligature by map", []string{font("", "/ToUnicode 7 0 R"), stream("", cmap)}, []string{"fi5"}},
		{"minus by name", []string{font("65 /minus /five", "")}, []string{"\u22125"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := texts(onePage(t, build(t, res, "BT /F1 10 Tf 72 700 Td (AB) Tj ET", c.objects...))); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// The same word on a page of 612 x 792 with a crop box that begins at 100, 200,
// turned by each quarter. The word stands at x 172 to 196, baseline 900, in user
// space; the wanted places are worked out by hand from the definition of /Rotate
// (ISO 32000-1 table 30: clockwise when displayed).
func TestFrame(t *testing.T) {
	for _, c := range []struct {
		rotate        int
		width, height float64
		turn          int
		x0, x1, base  float64 // along the writing, and the baseline across it
	}{
		{0, 612, 792, 0, 72, 96, 92},        // x-100; 992-y
		{90, 792, 612, 90, 72, 96, 700},     // y-200 across; x-100 downwards
		{180, 612, 792, 180, 516, 540, 700}, // 712-x; y-200
		{270, 792, 612, 270, 516, 540, 92},  // 992-y across; 712-x
		{-90, 792, 612, 270, 516, 540, 92},  // the same as 270
		{450, 792, 612, 90, 72, 96, 700},    // the same as 90
		{360, 612, 792, 0, 72, 96, 92},      // a whole turn
	} {
		t.Run(fmt.Sprint(c.rotate), func(t *testing.T) {
			page := fmt.Sprintf("/MediaBox[0 0 1000 1200]/CropBox[100 200 712 992]/Rotate %d", c.rotate)
			p := onePage(t, build(t, page, "1 w 172 880 m 272 880 l S BT /F1 10 Tf 172 900 Td (1.25) Tj ET"))
			if p.Width != c.width || p.Height != c.height {
				t.Errorf("page %g x %g, want %g x %g", p.Width, p.Height, c.width, c.height)
			}
			if len(p.Words) != 1 || len(p.Rules) != 1 {
				t.Fatalf("got %d words and %d rules, want 1 and 1", len(p.Words), len(p.Rules))
			}
			w := p.Words[0]
			if w.Text != "1.25" || w.Turn != c.turn || w.Size != 10 {
				t.Errorf("got %q turned %d of size %g, want 1.25 turned %d of size 10", w.Text, w.Turn, w.Size, c.turn)
			}
			x0, x1, y0, y1 := w.Box.X0, w.Box.X1, w.Box.Y0, w.Box.Y1
			if c.turn%180 == 90 {
				x0, x1, y0, y1 = w.Box.Y0, w.Box.Y1, w.Box.X0, w.Box.X1
			}
			if x0 != c.x0 || x1 != c.x1 || c.base < y0 || c.base > y1 {
				t.Errorf("box %v: want %g to %g along the writing, round %g", w.Box, c.x0, c.x1, c.base)
			}
			// The rule lies 20 points below the baseline as the word is read.
			r := p.Rules[0]
			below := map[int]float64{0: c.base + 20, 90: c.base - 20, 180: c.base - 20, 270: c.base + 20}[c.turn]
			if c.turn%180 == 0 {
				if r.Y0 != below || r.Y1 != below || r.X1-r.X0 != 100 {
					t.Errorf("rule %v: want 100 points long at y %g", r, below)
				}
			} else if r.X0 != below || r.X1 != below || r.Y1-r.Y0 != 100 {
				t.Errorf("rule %v: want 100 points long at x %g", r, below)
			}
		})
	}
}

// Text turned by its own matrix, and a scan that leans by a degree.
func TestTurn(t *testing.T) {
	for _, c := range []struct {
		degrees float64 // counter-clockwise, as PDF has it
		want    int     // clockwise, as extract has it
	}{{0, 0}, {90, 270}, {180, 180}, {270, 90}, {1, 0}, {-1, 0}, {89, 270}, {271, 90}} {
		s, k := math.Sincos(c.degrees * math.Pi / 180)
		p := onePage(t, build(t, letter, fmt.Sprintf("BT /F1 10 Tf %.6f %.6f %.6f %.6f 300 400 Tm (-0.6358 12) Tj ET", k, s, -s, k)))
		if got := texts(p); !slices.Equal(got, []string{"-0.6358", "12"}) {
			t.Errorf("%g degrees: got %q", c.degrees, got)
			continue
		}
		for _, w := range p.Words {
			if w.Turn != c.want || math.Abs(w.Size-10) > 0.01 {
				t.Errorf("%g degrees: %q turned %d, size %g; want %d and 10", c.degrees, w.Text, w.Turn, w.Size, c.want)
			}
		}
	}
}

func TestRules(t *testing.T) {
	r := func(x0, y0, x1, y1 float64) extract.Rule { return extract.Rule{X0: x0, Y0: y0, X1: x1, Y1: y1} }
	for _, c := range []struct {
		name, content string
		want          []extract.Rule
	}{
		{"strokes", "100 700 m 300 700 l S 100 700 m 100 500 l S", []extract.Rule{r(100, 92, 300, 92), r(100, 92, 100, 292)}},
		{"drawn right to left and upwards", "300 700 m 100 700 l S 100 500 m 100 700 l S", []extract.Rule{r(100, 92, 300, 92), r(100, 92, 100, 292)}},
		{"thin filled bars", "100 699.5 200 1 re f 99.5 500 1 200 re f", []extract.Rule{r(100, 92, 300, 92), r(100, 92, 100, 292)}},
		{"a box has four sides", "100 500 200 100 re S", []extract.Rule{r(100, 292, 300, 292), r(300, 192, 300, 292), r(100, 192, 300, 192), r(100, 192, 100, 292)}},
		{"several lines in one path", "100 700 m 300 700 l 100 600 m 300 600 l S", []extract.Rule{r(100, 92, 300, 92), r(100, 192, 300, 192)}},
		{"scaled and shifted", "q 2 0 0 0.5 10 20 cm 50 1000 m 150 1000 l S Q", []extract.Rule{r(110, 272, 310, 272)}},
		{"diagonal", "100 700 m 300 600 l S", nil},
		{"curve", "100 700 m 150 700 250 700 300 700 c S", nil},
		{"wide bar", "100 600 200 40 re f", nil},
		{"white bar", "1 g 100 700 200 1 re f", nil},
		{"clip only", "100 700 200 1 re W n", nil},
		{"dot", "100 700 m 101 700 l S", nil},
		{"black in grey, and CMYK", "0.2 g 100 699.5 200 1 re f 0 0 0 1 k 100 599.5 200 1 re f", []extract.Rule{r(100, 92, 300, 92), r(100, 192, 300, 192)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := onePage(t, build(t, letter, c.content))
			if !slices.Equal(p.Rules, c.want) {
				t.Errorf("got %v, want %v", p.Rules, c.want)
			}
		})
	}
}

// Text, rules and images within a form within a form; each has a matrix.
func TestForms(t *testing.T) {
	res := "/Resources<</XObject<</X 7 0 R/I 8 0 R>>/Font<</F1 5 0 R>>>>"
	inner := stream("/Type/XObject/Subtype/Form/BBox[0 0 1000 1000]/Matrix[1 0 0 1 5 7]/Resources<</Font<</F1 5 0 R>>/XObject<</I 8 0 R>>>>",
		"BT /F1 10 Tf 10 20 Td (1.25) Tj ET 10 10 m 110 10 l S q 10 0 0 10 0 0 cm /I Do Q")
	outer := stream("/Type/XObject/Subtype/Form/BBox[0 0 1000 1000]/Matrix[2 0 0 2 0 0]/Resources<</XObject<</X 6 0 R>>>>",
		"q 1 0 0 1 20 30 cm /X Do Q")
	image := stream("/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8", "\x80")
	p := onePage(t, build(t, letter+res, "q 1 0 0 1 100 200 cm /X Do Q q 10 0 0 10 0 0 cm /I Do Q", inner, outer, image))
	// x: ((10+5)+20)*2+100 = 170; the rule at y: ((10+7)+30)*2+200 = 294, 792-294 = 498.
	if len(p.Words) != 1 || p.Words[0].Text != "1.25" || p.Words[0].Box.X0 != 170 || p.Words[0].Box.X1 != 218 || p.Words[0].Size != 20 {
		t.Errorf("words %+v: want 1.25 from x 170 to 218 of size 20", p.Words)
	}
	if want := []extract.Rule{{X0: 170, Y0: 498, X1: 370, Y1: 498}}; !slices.Equal(p.Rules, want) {
		t.Errorf("rules %v, want %v", p.Rules, want)
	}
	if p.Images != 2 {
		t.Errorf("%d images, want 2", p.Images)
	}
}

// The order in which pages were asked for, and pages that there are not.
func TestPageNumbers(t *testing.T) {
	file := build(t, letter, "BT /F1 10 Tf 72 700 Td (1) Tj ET")
	for _, c := range []struct {
		pages []int
		want  string
	}{
		{[]int{2}, "made.pdf:p2: there is no such page: the file has 1"},
		{[]int{0}, "made.pdf: page 0: pages are counted from 1"},
		{[]int{1, -3}, "made.pdf: page -3: pages are counted from 1"},
	} {
		_, err := reader().Pages(ctx(t), file, c.pages)
		if err == nil || err.Error() != c.want {
			t.Errorf("pages %v: got %v, want %s", c.pages, err, c.want)
		}
	}
	pages, err := reader().Pages(ctx(t), file, []int{1, 1})
	if err != nil || len(pages) != 2 {
		t.Errorf("page 1 twice: got %d pages, %v", len(pages), err)
	}
	if pages, err := reader().Pages(ctx(t), file, []int{}); err != nil || len(pages) != 0 {
		t.Errorf("no page: got %d pages, %v", len(pages), err)
	}
}

func TestInfo(t *testing.T) {
	at := material(t, 4, "files for Info")
	for _, c := range []struct {
		file []string
		want Info
	}{
		{[]string{"malformed", "base14_courier.pdf"}, Info{Pages: 1, Title: "untitled"}},
		{[]string{"malformed", "enc_aes256_ownerpw.pdf"}, Info{Pages: 1, Encrypted: true, Title: "untitled"}},
		{[]string{"malformed", "bad_xref.pdf"}, Info{Pages: 1, Repaired: true}},
		{[]string{"reports", "nasa-tm-4741.pdf"}, Info{Pages: 27}},
	} {
		got, err := reader().Info(ctx(t), at(c.file...))
		if err != nil {
			t.Error(err)
			continue
		}
		if strings.HasPrefix(c.file[0], "reports") {
			got.Title = "" // the scan's own title is not ours to check
		}
		if got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.file[1], got, c.want)
		}
	}
}
