// Package extract holds what is read from a source and where it stood: sources,
// pages of words, tables as a person describes them, readings cell by cell, and
// the collation of readings.
//
// Nothing here interprets a figure. A cell is kept exactly as printed; what it
// means is the business of package normalize.
package extract

import (
	"fmt"
	"math"
	"strings"
)

// Rect is a rectangle in the frame that a person sees: origin at the top left
// of the page as displayed, x to the right, y down, in points (1/72 inch) for
// paged sources and in pixels for images. X0 <= X1 and Y0 <= Y1.
type Rect struct {
	X0, Y0, X1, Y1 float64
}

// Empty reports whether r encloses nothing; the zero Rect says "no place known".
func (r Rect) Empty() bool { return r.X1 <= r.X0 || r.Y1 <= r.Y0 }

// Width returns X1-X0.
func (r Rect) Width() float64 { return r.X1 - r.X0 }

// Height returns Y1-Y0.
func (r Rect) Height() float64 { return r.Y1 - r.Y0 }

// MidX returns the horizontal centre.
func (r Rect) MidX() float64 { return (r.X0 + r.X1) / 2 }

// MidY returns the vertical centre.
func (r Rect) MidY() float64 { return (r.Y0 + r.Y1) / 2 }

// Union returns the smallest rectangle that holds both; an empty one adds nothing.
func (r Rect) Union(s Rect) Rect {
	if r.Empty() {
		return s
	}
	if s.Empty() {
		return r
	}
	return Rect{math.Min(r.X0, s.X0), math.Min(r.Y0, s.Y0), math.Max(r.X1, s.X1), math.Max(r.Y1, s.Y1)}
}

// Overlaps reports whether the two rectangles share an area.
func (r Rect) Overlaps(s Rect) bool {
	return r.X0 < s.X1 && s.X0 < r.X1 && r.Y0 < s.Y1 && s.Y0 < r.Y1
}

// Contains reports whether the point lies within r.
func (r Rect) Contains(x, y float64) bool {
	return x >= r.X0 && x < r.X1 && y >= r.Y0 && y < r.Y1
}

// Rounded returns r with two decimals, the form in which places are stored.
func (r Rect) Rounded() Rect {
	two := func(v float64) float64 { return math.Round(v*100) / 100 }
	return Rect{two(r.X0), two(r.Y0), two(r.X1), two(r.Y1)}
}

// Word is one printed word on a page.
type Word struct {
	Text string
	Box  Rect
	// Turn is the direction of writing in the seen frame, in degrees clockwise:
	// 0 upright, 90 reading downwards, 180 upside down, 270 reading upwards.
	Turn int
	// Size is the font size in points, 0 where unknown.
	Size float64
}

// Rule is a printed straight line: horizontal where Y0 == Y1, vertical where X0 == X1.
type Rule struct {
	X0, Y0, X1, Y1 float64
}

// Page is what a reader sees of one page of a source: words and rules in the
// frame that a person sees (rotation applied, crop box at the origin).
type Page struct {
	Number        int // from 1, as the file counts
	Width, Height float64
	Words         []Word
	Rules         []Rule
	// Images is the number of raster images; a page with images and no words is
	// a scan that has no text layer.
	Images int
}

// Place says where a cell stands: page and rectangle, page alone (keyed), sheet
// and cell of a workbook, or line of a text file.
type Place struct {
	Page  int    // 0 where the source has no pages
	Box   Rect   // empty where only the page is known
	Sheet string // workbook sheet
	Ref   string // workbook cell, for example "C7"
	Line  int    // line of a text file, from 1
}

func (p Place) String() string {
	var parts []string
	if p.Page > 0 {
		parts = append(parts, fmt.Sprintf("p%d", p.Page))
	}
	if !p.Box.Empty() {
		parts = append(parts, fmt.Sprintf("[%.2f %.2f %.2f %.2f]", p.Box.X0, p.Box.Y0, p.Box.X1, p.Box.Y1))
	}
	if p.Sheet != "" || p.Ref != "" {
		parts = append(parts, p.Sheet+"!"+p.Ref)
	}
	if p.Line > 0 {
		parts = append(parts, fmt.Sprintf("line %d", p.Line))
	}
	return strings.Join(parts, " ")
}

// Cell is one cell of a reading, its text exactly as printed.
type Cell struct {
	Row, Column string // keys that the cell keeps for life
	Text        string // as printed; "" where the print has nothing there
	Place       Place
	// Confidence is the reader's own, from 0 to 1; negative where it gives none.
	Confidence float64
	// Doubt says in plain words why the reader does not vouch for the text, "" where
	// it does: "the third figure lies between 3 and 8".
	Doubt string
	// Candidates is what else the reader took the print for, best first.
	Candidates []string
}

// Given is the row key of figures that stand outside the grid but govern it: those
// of caption and footnotes are cells of this row.
const Given = "given"

// Error is a fault at a place: which file, page, table, row and column, what was
// read, and what would have been right.
type Error struct {
	File   string
	Page   int
	Table  string
	Row    string
	Column string
	Line   int
	Msg    string // what was read and what would have been right
	Hint   string // a safe next step, or ""
}

func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File)
	}
	part := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(':')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if e.Line > 0 {
		part("%d", e.Line)
	}
	if e.Page > 0 {
		part("p%d", e.Page)
	}
	if e.Table != "" {
		part("%s", e.Table)
	}
	switch {
	case e.Row != "" && e.Column != "":
		part("%s:%s", e.Row, e.Column)
	case e.Row != "":
		part("%s", e.Row)
	case e.Column != "":
		part("column %s", e.Column)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(e.Msg)
	if e.Hint != "" {
		b.WriteString("\nhint: ")
		b.WriteString(e.Hint)
	}
	return b.String()
}
