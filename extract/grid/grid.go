// Package grid finds tables among the words of a page: rows from baselines,
// columns from aligned edges, white gaps and rules, heads over them and notes
// under them.
//
// It is pure geometry. A cell's text is the words that stand in it, joined with
// one space and never repaired; what a word means is only asked to tell a figure
// from a word and a dotted leader from either. Every word inside the region of a
// table ends in its caption, a head, a cell, a sub-head, a note, among its
// leaders, or in Stray.
//
// Lengths are points. Boxes are in the frame that a person sees; the ranges of
// columns and rows are in the reading frame of the table (Table.Turn), which is
// the seen frame for upright tables.
package grid

import (
	"fmt"
	"math"
	"regexp"
	"sort"

	"windtally/extract"
)

// Table is one table as found on a page.
type Table struct {
	// Region reaches from the caption to the last row or note of this table.
	Region extract.Rect
	// Turn is the direction of writing, in degrees clockwise: 0 upright, 90
	// reading downwards, 180, 270 reading upwards.
	Turn int
	// Number is what the caption numbers the table with ("V", "3"), or "".
	Number     string
	Caption    string
	CaptionBox extract.Rect
	// Heads are the head words, top to bottom, each with its box.
	Heads   []extract.Word
	Columns []Column
	Rows    []Row
	// Notes are footnotes under the table and bracketed lines under its caption.
	Notes []Line
	// Leaders are dotted leaders that are no part of a cell's text.
	Leaders []extract.Word
	// Stray are words inside the region for which no place was found.
	Stray []Stray
	// Continued says that the caption calls itself a continuation, or that there
	// is no caption: the table may go on from the page before.
	Continued bool

	captionWords int
}

// Column is one column: the slot from X0 to X1 in the reading frame. Slots of
// neighbouring columns touch.
type Column struct {
	X0, X1 float64
	Head   string // head words over the column, top to bottom, a spanning head first
	// Figures and Words count the cells that look like figures and those that do not.
	Figures, Words int
}

// Row is one row. Y0, Y1 and Baseline are in the reading frame; the baseline is
// that at the middle of the table's width.
type Row struct {
	Y0, Y1   float64
	Baseline float64
	SubHead  string // a line that heads a block; such a row has no cells
	Box      extract.Rect
	Cells    []Cell // one a column, in order

	words int // of the sub-head
}

// Cell is one cell; an empty one has Text "" and the box of its slot.
type Cell struct {
	Text  string
	Box   extract.Rect
	Words int
}

// Line is a line of print beside the grid, with its words joined by one space.
type Line struct {
	Text  string
	Box   extract.Rect
	Words int
}

// Stray is a word that stands inside a table and could not be placed.
type Stray struct {
	Text string
	Box  extract.Rect
	Why  string
}

// Words returns how many words of the page t accounts for: those of caption,
// heads, cells, sub-heads, notes, leaders and strays.
func (t Table) Words() int {
	n := t.captionWords + len(t.Heads) + len(t.Leaders) + len(t.Stray)
	for _, l := range t.Notes {
		n += l.Words
	}
	for _, r := range t.Rows {
		n += r.words
		for _, c := range r.Cells {
			n += c.Words
		}
	}
	return n
}

// maxWords bounds the work on one page; a dense printed page has about 1500 words.
const maxWords = 20000

// Find returns the tables of a page, in the order of their captions: top to
// bottom, left before right. A page of prose, of figures with labelled axes, of
// formulae or references gives none.
func Find(p extract.Page) []Table {
	if len(p.Words) > maxWords {
		return nil
	}
	var found []Table
	used := make([]bool, len(p.Words))
	for _, turn := range []int{0, 90, 180, 270} {
		f := newFrame(p, turn, nil)
		if len(f.items) == 0 {
			continue
		}
		for _, z := range f.zones() {
			found = append(found, f.tables(z, used)...)
		}
	}
	for i := range found {
		claim(&found[i], p, used)
	}
	sort.SliceStable(found, func(i, j int) bool {
		a, b := found[i].Region, found[j].Region
		if a.Y0 < b.Y1 && b.Y0 < a.Y1 && (a.X1 <= b.X0 || b.X1 <= a.X0) {
			return a.X0 < b.X0
		}
		return a.Y0 < b.Y0
	})
	return found
}

// claim makes every word inside the region that no table has taken a stray of t.
func claim(t *Table, p extract.Page, used []bool) {
	for i, w := range p.Words {
		if used[i] || !within(t.Region, w.Box) {
			continue
		}
		used[i] = true
		t.Stray = append(t.Stray, Stray{Text: w.Text, Box: w.Box, Why: "inside the table's region, not part of its grid"})
	}
}

// within reports whether the middle of b lies in r, edges included.
func within(r, b extract.Rect) bool {
	x, y := b.MidX(), b.MidY()
	return x >= r.X0 && x <= r.X1 && y >= r.Y0 && y <= r.Y1
}

// Read reads a table whose region and columns a person has fixed. Words belong to
// the region by their middle. The columns are taken as given; rows, heads, notes
// and sub-heads are found as Find finds them. Every word of the region ends in
// the table or among the strays, which are also in Table.Stray.
//
// It fails when there is no column, when columns overlap or are out of order,
// when the region is empty, and when no word stands in the region.
func Read(p extract.Page, region extract.Rect, columns []Column) (Table, []Stray, error) {
	if region.Empty() || !finite(region) {
		return Table{}, nil, fmt.Errorf("page %d: region [%g %g %g %g] is empty: want x0 < x1 and y0 < y1", p.Number, region.X0, region.Y0, region.X1, region.Y1)
	}
	if len(columns) == 0 {
		return Table{}, nil, fmt.Errorf("page %d: no column given: want at least one range x0, x1", p.Number)
	}
	for i, c := range columns {
		if !(c.X0 < c.X1) || math.IsInf(c.X0, 0) || math.IsInf(c.X1, 0) {
			return Table{}, nil, fmt.Errorf("page %d: column %d: range %g to %g: want x0 < x1", p.Number, i+1, c.X0, c.X1)
		}
		if i > 0 && c.X0 < columns[i-1].X1-0.01 {
			return Table{}, nil, fmt.Errorf("page %d: column %d begins at %g, before column %d ends at %g: want columns from left to right that do not overlap", p.Number, i+1, c.X0, i, columns[i-1].X1)
		}
	}
	if len(p.Words) > maxWords {
		return Table{}, nil, fmt.Errorf("page %d: %d words: want at most %d on one page", p.Number, len(p.Words), maxWords)
	}
	turn, n := dominantTurn(p, region)
	if n == 0 {
		return Table{}, nil, fmt.Errorf("page %d: no word in the region [%g %g %g %g]: a scan without a text layer has none", p.Number, region.X0, region.Y0, region.X1, region.Y1)
	}
	used := make([]bool, len(p.Words))
	f := newFrame(p, turn, &region)
	t := f.read(region, columns, used)
	claim(&t, p, used)
	return t, t.Stray, nil
}

// dominantTurn returns the direction of writing of most words in the region and
// how many words stand there at all.
func dominantTurn(p extract.Page, region extract.Rect) (turn, words int) {
	count := map[int]int{}
	for _, w := range p.Words {
		if within(region, w.Box) {
			words++
			count[w.Turn]++
		}
	}
	best := 0
	for _, t := range []int{0, 90, 180, 270} {
		if count[t] > best {
			turn, best = t, count[t]
		}
	}
	return turn, words
}

func finite(r extract.Rect) bool {
	for _, v := range []float64{r.X0, r.Y0, r.X1, r.Y1} {
		if math.IsNaN(v) || math.Abs(v) > 1e6 {
			return false
		}
	}
	return true
}

// captionForm is a caption as printers set it; a sentence about a table ("Table II
// gives the ...") has no stop behind the number.
var captionForm = regexp.MustCompile(`(?i)^\s*table\s*[ivxlc\d]+\s*[.:—–-]`)

// Announced returns the captions of tables that the page announces and that are not
// among found: a person should look there.
func Announced(p extract.Page, found []Table) []Line {
	if len(p.Words) > maxWords {
		return nil
	}
	var out []Line
	f := newFrame(p, 0, nil)
	for _, z := range f.zones() {
		caps, _ := f.captions(linesOf(z.items, f.height))
		for _, c := range caps {
			l := f.lineOf(c.cap.items)
			taken := false
			for _, t := range found {
				taken = taken || within(t.Region, l.Box) || within(t.CaptionBox, l.Box)
			}
			if !taken && captionForm.MatchString(l.Text) {
				out = append(out, l)
			}
		}
	}
	return out
}
