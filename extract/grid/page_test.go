package grid_test

import (
	"math"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/grid"
)

// sheet lays words on a page as a compositor with one fixed-pitch fount would.
type sheet struct {
	page extract.Page
	size float64
}

func newSheet() *sheet {
	return &sheet{page: extract.Page{Number: 7, Width: 612, Height: 792}, size: 10}
}

// advance is the width of one letter.
func (s *sheet) advance() float64 { return 0.5 * s.size }

func (s *sheet) wide(text string) float64 { return float64(len([]rune(text))) * s.advance() }

// word sets one word with its left edge at x on the baseline y.
func (s *sheet) word(x, y float64, text string) {
	s.page.Words = append(s.page.Words, extract.Word{
		Text: text, Size: s.size,
		Box: extract.Rect{X0: x, Y0: y - 0.75*s.size, X1: x + s.wide(text), Y1: y + 0.2*s.size},
	})
}

// line sets words with one space between them.
func (s *sheet) line(x, y float64, text string) {
	for _, w := range strings.Fields(text) {
		s.word(x, y, w)
		x += s.wide(w) + s.advance()
	}
}

// middle sets a line with its middle at x.
func (s *sheet) middle(x, y float64, text string) {
	s.line(x-s.wide(text)/2, y, text)
}

// right sets a word with its right edge at x.
func (s *sheet) right(x, y float64, text string) { s.word(x-s.wide(text), y, text) }

// point sets a figure with its decimal point at x.
func (s *sheet) point(x, y float64, text string) {
	i := strings.IndexByte(text, '.')
	if i < 0 {
		i = len(text)
	}
	s.word(x-s.wide(text[:i]), y, text)
}

// row sets the cells of a row with their points at the given x; "" sets nothing.
func (s *sheet) row(y float64, xs []float64, cells ...string) {
	for i, c := range cells {
		if c != "" {
			s.point(xs[i], y, c)
		}
	}
}

// askew turns the page by a small angle, in degrees clockwise.
func askew(p extract.Page, degrees float64) extract.Page {
	a := degrees * math.Pi / 180
	out := p
	out.Words = nil
	for _, w := range p.Words {
		x, y := w.Box.MidX()-p.Width/2, w.Box.MidY()-p.Height/2
		nx, ny := x*math.Cos(a)-y*math.Sin(a)+p.Width/2, x*math.Sin(a)+y*math.Cos(a)+p.Height/2
		hw, hh := w.Box.Width()/2, w.Box.Height()/2
		w.Box = extract.Rect{X0: nx - hw, Y0: ny - hh, X1: nx + hw, Y1: ny + hh}
		out.Words = append(out.Words, w)
	}
	return out
}

// turned gives the page as it lies when its writing runs in the given direction.
func turned(p extract.Page, turn int) extract.Page {
	out := p
	out.Words = nil
	if turn != 180 {
		out.Width, out.Height = p.Height, p.Width
	}
	for _, w := range p.Words {
		b := w.Box
		switch turn {
		case 90: // reading downwards: up is to the right
			b = extract.Rect{X0: p.Height - b.Y1, Y0: b.X0, X1: p.Height - b.Y0, Y1: b.X1}
		case 180:
			b = extract.Rect{X0: p.Width - b.X1, Y0: p.Height - b.Y1, X1: p.Width - b.X0, Y1: p.Height - b.Y0}
		case 270: // reading upwards: up is to the left
			b = extract.Rect{X0: b.Y0, Y0: p.Width - b.X1, X1: b.Y1, Y1: p.Width - b.X0}
		}
		w.Box, w.Turn = b, turn
		out.Words = append(out.Words, w)
	}
	return out
}

// show writes a table as text: caption, heads, rows, notes, strays.
func show(t grid.Table) string {
	var b strings.Builder
	if t.Caption != "" {
		b.WriteString("caption " + t.Number + ": " + t.Caption + "\n")
	}
	var heads []string
	for _, c := range t.Columns {
		heads = append(heads, c.Head)
	}
	b.WriteString("heads " + strings.Join(heads, " | ") + "\n")
	for _, r := range t.Rows {
		if r.SubHead != "" {
			b.WriteString("== " + r.SubHead + "\n")
			continue
		}
		var cells []string
		for _, c := range r.Cells {
			cells = append(cells, c.Text)
		}
		b.WriteString(strings.Join(cells, " | ") + "\n")
	}
	for _, n := range t.Notes {
		b.WriteString("note " + n.Text + "\n")
	}
	for _, s := range t.Stray {
		b.WriteString("stray " + s.Text + "\n")
	}
	return b.String()
}

// check compares the tables of a page with what was set, and counts the words.
func check(t *testing.T, p extract.Page, want ...string) []grid.Table {
	t.Helper()
	got := grid.Find(p)
	if len(got) != len(want) {
		var all []string
		for _, g := range got {
			all = append(all, show(g))
		}
		t.Fatalf("found %d tables, want %d:\n%s", len(got), len(want), strings.Join(all, "\n"))
	}
	for i, g := range got {
		if s := show(g); s != strings.TrimLeft(want[i], "\n") {
			t.Errorf("table %d is\n%s\nwant\n%s", i+1, s, strings.TrimLeft(want[i], "\n"))
		}
	}
	account(t, p, got)
	return got
}

// account checks that every word inside a region is in exactly one place.
func account(t interface {
	Helper()
	Errorf(string, ...any)
}, p extract.Page, tables []grid.Table) {
	t.Helper()
	inside, placed := 0, 0
	for _, w := range p.Words {
		for _, g := range tables {
			x, y, r := w.Box.MidX(), w.Box.MidY(), g.Region
			if x >= r.X0 && x <= r.X1 && y >= r.Y0 && y <= r.Y1 {
				inside++
				break
			}
		}
	}
	for _, g := range tables {
		placed += g.Words()
	}
	if inside != placed {
		t.Errorf("%d words stand inside the regions, %d are accounted for", inside, placed)
	}
}
