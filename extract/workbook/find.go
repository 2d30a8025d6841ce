package workbook

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"windtally/extract"
)

// Head is the head of one column, its lines joined.
type Head struct {
	Text  string
	Place extract.Place // of the lowest line of the head
}

// Table is a block of cells that looks like a table: heads over rows.
type Table struct {
	Sheet   string
	Region  string // heads and rows: "B3:H40", or "lines 2-40" of a text file
	Caption string // the lines above, joined
	Notes   []Value
	Heads   []Head // one a column; blank texts where the block has no head
	// Rows has one value a head in each row. Blank rows are left out; a line across
	// the table (a sub-head) is a row with one value.
	Rows [][]Value
}

// maxHeadRows bounds the lines of a head, and maxCaptionRows those of a caption in
// one block with it.
const (
	maxHeadRows    = 5
	maxCaptionRows = 3
)

// block is a rectangle of the sheet, bounds included, counted from 0.
type block struct{ r0, c0, r1, c1 int }

// found is a table in the making.
type found struct {
	block
	head    int // first row of the head
	body    int // first row after the head
	caption []Value
	notes   []Value
}

// Find finds the tables of a sheet: blocks parted by blank rows and columns, with
// lines of text above as caption and below as notes. A block without heads under a
// table of the same columns goes on with that table. A block without a single
// numeral, or of one row, is no table.
func Find(s Sheet) []Table {
	g := newGrid(s)
	var (
		tables  []*found
		pending []block
	)
	for _, b := range g.blocks() {
		if !g.isTable(b) {
			if t := goesOn(tables, b); t != nil && b.c1 > b.c0 && g.numerals(b) > 0 {
				t.r1 = b.r1
				pending = without(pending, t.block)
				continue
			}
			pending = append(pending, b)
			continue
		}
		capRows, headRows := g.headRows(b)
		if headRows == 0 && capRows == 0 {
			if t := goesOn(tables, b); t != nil {
				t.r1 = b.r1
				pending = without(pending, t.block)
				continue
			}
		}
		t := &found{block: b, head: b.r0 + capRows, body: b.r0 + capRows + headRows}
		var rest []block
		for _, p := range pending {
			if p.r1 < b.r0 && p.c0 <= b.c1 && b.c0 <= g.runsTo(p) {
				t.caption = append(t.caption, g.texts(p)...)
			} else {
				rest = append(rest, p)
			}
		}
		pending = rest
		t.caption = append(t.caption, g.texts(block{b.r0, b.c0, b.r0 + capRows - 1, b.c1})...)
		tables = append(tables, t)
	}
	for _, p := range pending {
		for _, t := range slices.Backward(tables) {
			if t.r1 < p.r0 && p.c0 <= t.c1 && t.c0 <= g.runsTo(p) {
				t.notes = append(t.notes, g.texts(p)...)
				break
			}
		}
	}
	var out []Table
	for _, t := range tables {
		out = append(out, g.table(t))
	}
	return out
}

// goesOn finds the last table that b, without heads, continues: b lies below it
// within its columns, and no other table lies between.
func goesOn(tables []*found, b block) *found {
	for _, t := range slices.Backward(tables) {
		if b.c0 > t.c1 || b.c1 < t.c0 {
			continue
		}
		if b.r0 > t.r1 && b.c0 >= t.c0 && b.c1 <= t.c1 {
			return t
		}
		return nil
	}
	return nil
}

// without drops the lines that a longer table has taken in.
func without(pending []block, t block) []block {
	return slices.DeleteFunc(pending, func(p block) bool {
		return p.r0 > t.r0 && p.r1 <= t.r1 && p.c0 >= t.c0 && p.c1 <= t.c1
	})
}

// runsTo is the last column over which a text is seen: a long text in one cell runs
// over the blank cells to its right.
func (g *grid) runsTo(b block) int {
	c := b.c1
	for c+1 < g.w && g.blankColumn(block{b.r0, c, b.r1, c}, c+1) {
		c++
	}
	return c
}

// grid is a sheet with even rows.
type grid struct {
	sheet  Sheet
	h, w   int
	lines  []int // the line of each row in a text file
	merged []area
}

func newGrid(s Sheet) *grid {
	g := &grid{sheet: s, h: len(s.Rows), lines: make([]int, len(s.Rows))}
	for i, row := range s.Rows {
		g.w = max(g.w, len(row))
		if len(row) > 0 {
			g.lines[i] = row[0].Place.Line
		}
	}
	for _, ref := range s.Merged {
		if a, err := parseArea(ref); err == nil {
			g.merged = append(g.merged, a)
		}
	}
	return g
}

// at gives the value of a cell, with its place also where it is blank.
func (g *grid) at(r, c int) Value {
	if c < len(g.sheet.Rows[r]) {
		return g.sheet.Rows[r][c]
	}
	if g.lines[r] > 0 {
		return Value{Place: extract.Place{Line: g.lines[r]}}
	}
	return Value{Place: extract.Place{Sheet: g.sheet.Name, Ref: cellName(r+1, c+1)}}
}

func (g *grid) blank(r, c int) bool {
	return c >= len(g.sheet.Rows[r]) || g.sheet.Rows[r][c].Blank()
}

func (g *grid) blankRow(b block, r int) bool {
	for c := b.c0; c <= b.c1; c++ {
		if !g.blank(r, c) {
			return false
		}
	}
	return true
}

func (g *grid) blankColumn(b block, c int) bool {
	for r := b.r0; r <= b.r1; r++ {
		if !g.blank(r, c) {
			return false
		}
	}
	return true
}

// blocks parts the sheet at blank rows, the parts at blank columns, and so on.
func (g *grid) blocks() []block {
	if g.h == 0 || g.w == 0 {
		return nil
	}
	return g.part(block{0, 0, g.h - 1, g.w - 1}, true, false)
}

func (g *grid) part(b block, rows, whole bool) []block {
	var out []block
	from, to := b.r0, b.r1
	isBlank := func(i int) bool { return g.blankRow(b, i) }
	if !rows {
		from, to = b.c0, b.c1
		isBlank = func(i int) bool { return g.blankColumn(b, i) }
	}
	start := -1
	var parts []block
	for i := from; i <= to+1; i++ {
		if i <= to && !isBlank(i) {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 {
			p := block{start, b.c0, i - 1, b.c1}
			if !rows {
				p = block{b.r0, start, b.r1, i - 1}
			}
			parts = append(parts, p)
			start = -1
		}
	}
	// A part that could be divided neither way is a block.
	if len(parts) == 1 && whole && parts[0] == b {
		return parts
	}
	for _, p := range parts {
		out = append(out, g.part(p, !rows, len(parts) == 1)...)
	}
	return out
}

// numeral reports whether a text looks like a printed number: a figure first,
// after a sign or a point, and no fewer figures than letters.
func numeral(text string) bool {
	t := strings.TrimLeft(text, "+-\u2212\u2013\u2014(.\u00b7 ")
	if t == "" || t[0] < '0' || t[0] > '9' {
		return false
	}
	figures, letters := 0, 0
	for _, r := range t {
		switch {
		case unicode.IsDigit(r):
			figures++
		case unicode.IsLetter(r):
			letters++
		}
	}
	return figures >= letters
}

func (g *grid) numerals(b block) int {
	n := 0
	for r := b.r0; r <= b.r1; r++ {
		for c := b.c0; c <= b.c1; c++ {
			if numeral(g.at(r, c).Text) {
				n++
			}
		}
	}
	return n
}

func (g *grid) isTable(b block) bool {
	n := g.numerals(b)
	if b.r1 == b.r0 || n == 0 {
		return false
	}
	// Lines of text in one column are captions or notes unless they are figures.
	return b.c1 > b.c0 || 2*n >= b.r1-b.r0+1
}

// headRows counts the lines of caption and of head at the top of a block. A line
// is head while text stands over a column whose cells are figures for the most
// part; a line with one text before that is caption.
func (g *grid) headRows(b block) (caption, head int) {
	figures := make([]bool, b.c1-b.c0+1)
	for c := range figures {
		n, filled := 0, 0
		for r := b.r0; r <= b.r1; r++ {
			if !g.blank(r, b.c0+c) {
				filled++
				if numeral(g.at(r, b.c0+c).Text) {
					n++
				}
			}
		}
		figures[c] = n > 0 && 2*n >= filled
	}
	for r := b.r0; r < b.r1 && caption+head < maxHeadRows+maxCaptionRows; r++ {
		filled, over, against := 0, 0, 0
		for c := b.c0; c <= b.c1; c++ {
			if g.blank(r, c) {
				continue
			}
			filled++
			switch {
			case numeral(g.at(r, c).Text):
				against++
			case figures[c-b.c0] && !onlyMarks(g.at(r, c).Text):
				over++
			}
		}
		single := filled == 1 && against == 0 && b.c1 > b.c0
		switch {
		case head == 0 && single && !g.spans(r, b) && !numeral(g.at(r, b.c0).Text):
			caption++
		case head < maxHeadRows && over > 0 && 2*over >= against:
			head++
		default:
			return caption, head
		}
	}
	return caption, head
}

// spans reports whether the one text of a row is merged over some, not all,
// columns of the block: then it heads those columns.
func (g *grid) spans(r int, b block) bool {
	for _, a := range g.merged {
		if a.row0 == r+1 && a.col0-1 >= b.c0 && a.col1-1 <= b.c1 && a.col1 > a.col0 && a.col1-a.col0 < b.c1-b.c0 {
			return true
		}
	}
	return false
}

// onlyMarks reports whether a text is dashes or dots, as a print has for a missing
// value.
func onlyMarks(text string) bool {
	return strings.Trim(text, "-\u2212\u2013\u2014.\u2026\u00b7 ") == ""
}

func (g *grid) texts(b block) []Value {
	var out []Value
	for r := b.r0; r <= b.r1; r++ {
		for c := b.c0; c <= b.c1; c++ {
			if !g.blank(r, c) {
				out = append(out, g.at(r, c))
			}
		}
	}
	return out
}

// over gives the head text of a cell: its own, or that of the range merged over it.
func (g *grid) over(r, c int) Value {
	if g.blank(r, c) {
		for _, a := range g.merged {
			if a.holds(r+1, c+1) && a.row0 == r+1 {
				return g.at(a.row0-1, a.col0-1)
			}
		}
	}
	return g.at(r, c)
}

func (g *grid) table(t *found) Table {
	out := Table{Sheet: g.sheet.Name, Notes: t.notes}
	var caption []string
	for _, v := range t.caption {
		caption = append(caption, v.Text)
	}
	out.Caption = strings.Join(caption, " ")
	for c := t.c0; c <= t.c1; c++ {
		h := Head{Place: g.at(t.head, c).Place}
		var parts []string
		for r := t.head; r < t.body; r++ {
			if v := g.over(r, c); !v.Blank() {
				parts = append(parts, v.Text)
				h.Place = v.Place
			}
		}
		h.Text = strings.Join(strings.Fields(strings.Join(parts, " ")), " ")
		out.Heads = append(out.Heads, h)
	}
	for r := t.body; r <= t.r1; r++ {
		if g.blankRow(t.block, r) {
			continue
		}
		var row []Value
		for c := t.c0; c <= t.c1; c++ {
			row = append(row, g.at(r, c))
		}
		out.Rows = append(out.Rows, row)
	}
	if first := g.lines[t.head]; first > 0 {
		last := first
		for c := t.c0; c <= t.c1; c++ {
			last = max(last, g.at(t.r1, c).Place.Line)
		}
		out.Region = fmt.Sprintf("lines %d-%d", first, last)
	} else {
		out.Region = cellName(t.head+1, t.c0+1) + ":" + cellName(t.r1+1, t.c1+1)
	}
	return out
}
