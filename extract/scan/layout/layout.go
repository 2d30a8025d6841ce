// Package layout finds the tables of a page from its ink alone: rows, columns, cells,
// heads, sub-heads and notes, each with its rectangle and its marks.
//
// It makes words of shapes and leaves the finding of rows and columns to package grid;
// then it counts rows and columns a second time on the ink and says where the two
// counts differ. A row or a column that was lost would publish wrong numbers silently:
// so Table.Doubts must be shown to a person, and a table with doubts is not read
// without one.
//
// All rectangles are in flat pixels (see package scan) unless said otherwise.
package layout

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/scan"
)

// Table is one table found on a sheet.
type Table struct {
	Grid                   grid.Table // in points of the flat frame, its texts made of shapes
	Region                 extract.Rect
	Number                 string // what the caption numbers the table with, where another reader gave its text
	Columns                []Column
	Rows                   []Row
	Caption                Line
	Heads, SubHeads, Notes []Line
	Leaders                []extract.Rect
	// Left are the marks inside the body, larger than dust, that are in no cell, no
	// sub-head and no leader.
	Left   []int
	Doubts []Doubt
	Pitch  float64 // usual distance of rows
	Figure float64 // usual height of figures

	led map[int]bool // marks of leaders
}

// Column is one column: the slot from X0 to X1.
type Column struct {
	X0, X1 float64
	Head   string
	// HeadBox holds the head words over this column alone.
	HeadBox extract.Rect
	// Figures and Words count the cells that look like figures and those that do not.
	Figures, Words int
}

// under reports whether a line of print stands over this column alone, but for play at
// its sides.
func (c *Column) under(l Line, play float64) bool {
	return l.Box.MidX() > c.X0 && l.Box.MidX() < c.X1 && l.Box.X0 > c.X0-play && l.Box.X1 < c.X1+play
}

// Row is one row of figures, or a sub-head, which has no cells.
type Row struct {
	Baseline, Top, Bottom float64 // of its figures
	Cells                 []Cell
	SubHead               *Line
}

// Cell is one cell. Slot is the whole space that belongs to it: the column by the row
// to half-way to its neighbours. Box is the ink of its words and empty where there is
// none. Marks are all marks in it that are not part of a leader.
type Cell struct {
	Slot, Box extract.Rect
	Marks     []int
	Text      string // made of shapes
	Words     int
	// Noted are the notes whose mark stands raised in this cell, as indexes of
	// Table.Notes.
	Noted []int
}

// Line is a line of print beside the grid.
type Line struct {
	Text  string
	Box   extract.Rect
	Marks []int
}

// Doubt is one reason why the geometry may be wrong. Row and Col are indexes of
// Table.Rows and Table.Columns, -1 where the doubt is about the whole table.
type Doubt struct {
	Kind     string
	Text     string
	Row, Col int
	Box      extract.Rect
}

// Find returns the tables of a sheet in reading order. prose may be nil.
func Find(s *scan.Sheet, m *scan.Marks, prose []Word) []Table {
	p := Words(s, m, prose)
	var out []Table
	for _, g := range p.find(p.Page.Words, 0) {
		out = append(out, p.table(m, g, nil))
	}
	for i := range out { // once it is known what belongs to which table
		p.doubt(m, &out[i], false)
	}
	apart(out)
	return out
}

// find finds the tables among words. Where the level rules show that one of them is
// two that stand side by side, each side is searched by itself.
func (p *Page) find(words []extract.Word, depth int) []grid.Table {
	q := p.Page
	q.Words = words
	found := grid.Find(q)
	if depth > 3 {
		return found
	}
	type band struct{ x0, x1, y0, y1 float64 }
	var out []grid.Table
	var bands []band
	done := map[extract.Rect]bool{}
next:
	for _, g := range found {
		for _, b := range bands {
			if y := g.Region.MidY(); y > b.y0 && y < b.y1 && g.Region.X0 < b.x1 && g.Region.X1 > b.x0 {
				continue next // searched side by side already
			}
		}
		x, y0, y1, ok := p.parted(g)
		if !ok {
			out = append(out, g)
			continue
		}
		var left, right []extract.Word
		for _, w := range words {
			switch y := w.Box.MidY(); {
			case y < y0 || y > y1:
			case w.Box.MidX() < x:
				left = append(left, w)
			default:
				right = append(right, w)
			}
		}
		bands = append(bands, band{g.Region.X0, g.Region.X1, y0, y1})
		for _, side := range [][]extract.Word{left, right} {
			for _, s := range p.find(side, depth+1) {
				if s.Region.X0 < g.Region.X1 && s.Region.X1 > g.Region.X0 && !done[s.Region] {
					done[s.Region] = true
					out = append(out, s)
				}
			}
		}
	}
	return out
}

// parted returns where level rules part a table into two side by side, and how far up
// and down they do: at two heights or more a rule ends and another begins beyond a gap,
// and none crosses it.
func (p *Page) parted(g grid.Table) (x, y0, y1 float64, ok bool) {
	if len(g.Columns) < 4 {
		return 0, 0, 0, false
	}
	h, k := p.Height, 1/p.Scale
	r := scaled(g.Region, k)
	body := r
	for _, row := range g.Rows {
		body.Y0 = row.Box.Y0 * k
		break
	}
	levels := p.levels()
	for c := 1; c+2 < len(g.Columns); c++ {
		x := g.Columns[c].X1 * k // between columns c and c+1
		top, bottom := math.Inf(-1), math.Inf(1)
		crossed := false
		var left, right []extract.Rule
		for _, l := range levels {
			if l.X1-l.X0 < 6*h {
				continue
			}
			switch {
			case l.X1 < x+3*h && l.X1 > x-25*h && l.X0 < x-4*h:
				left = append(left, l)
			case l.X0 > x-3*h && l.X0 < x+25*h && l.X1 > x+4*h:
				right = append(right, l)
			case l.X0 < x && l.X1 > x:
				switch {
				case l.Y0 < body.Y0-8*h:
					top = math.Max(top, l.Y0)
				case l.Y0 > r.Y1+2*h:
					bottom = math.Min(bottom, l.Y0)
				default:
					crossed = true
				}
			}
		}
		if p.gutter(x, r) {
			return x * p.Scale, (r.Y0 - h) * p.Scale, (r.Y1 + 6*h) * p.Scale, true
		}
		if crossed {
			continue
		}
		if 2*(c+1) == len(g.Columns) && c >= 2 && p.halves(g) {
			return x * p.Scale, (r.Y0 - h) * p.Scale, (r.Y1 + 6*h) * p.Scale, true
		}
		pairs, lo, hi := 0, body.Y0, r.Y1
		for _, a := range left {
			if a.Y0 < top || a.Y0 > bottom {
				continue
			}
			for _, b := range right {
				gap := b.X0 - a.X1
				if math.Abs(a.Y0-b.Y0) < 1.2*h && (gap > 1.5*h || gap > 0.3*h && p.twoUprights(a.X1, b.X0, body)) {
					pairs++
					lo, hi = math.Min(lo, a.Y0), math.Max(hi, a.Y0)
					break
				}
			}
		}
		if pairs >= 2 && 3*pairs >= 2*min(len(left), len(right)) {
			reach := 12 * h
			y0 = math.Max(math.Min(lo-reach, r.Y0-h), top)
			y1 = math.Min(hi+reach, bottom)
			return x * p.Scale, y0 * p.Scale, y1 * p.Scale, true
		}
	}
	return 0, 0, 0, false
}

// halves reports whether the right half of the columns repeats the left one with more
// white between them than between any others: a long table set in two parts.
func (p *Page) halves(g grid.Table) bool {
	n := len(g.Columns)
	ink := make([]extract.Rect, n)
	for _, r := range g.Rows {
		for c, cell := range r.Cells {
			if cell.Words > 0 && strings.HasPrefix(strings.TrimLeft(cell.Text, "-."), "0") {
				ink[c] = ink[c].Union(cell.Box)
			}
		}
	}
	h := p.Height * p.Scale
	gap := ink[n/2].X0 - ink[n/2-1].X1
	shift := ink[n/2].X0 - ink[0].X0
	for c := 0; c < n/2; c++ {
		if math.Abs(ink[c+n/2].X0-ink[c].X0-shift) > h || math.Abs(ink[c+n/2].X1-ink[c].X1-shift) > h {
			return false
		}
	}
	for c := 1; c < n; c++ {
		if c != n/2 && ink[c].X0-ink[c-1].X1 > 0.8*gap {
			return false
		}
	}
	return true
}

// gutter reports whether an empty strip between two vertical rules stands at x along a
// table: the space between two tables in one frame.
func (p *Page) gutter(x float64, r extract.Rect) bool {
	v := p.verticals(r)
	for i := 1; i < len(v); i++ {
		a, b := v[i-1], v[i]
		if b-a < 0.8*p.Height || b-a > 10*p.Height || x < a-3*p.Height || x > b+3*p.Height {
			continue
		}
		empty := true
		for _, f := range p.Flat {
			if f.MidX() > a && f.MidX() < b && f.MidY() > r.Y0 && f.MidY() < r.Y1 {
				empty = false
			}
		}
		if empty {
			return true
		}
	}
	return false
}

// twoUprights reports whether two vertical rules stand along a body at x0 and x1: the
// sides of two frames.
func (p *Page) twoUprights(x0, x1 float64, body extract.Rect) bool {
	v := p.verticals(body)
	for _, a := range v {
		for _, b := range v {
			if b-a > 0.3*p.Height && math.Abs(a-x0) < 0.4*p.Height && math.Abs(b-x1) < 0.4*p.Height {
				return true
			}
		}
	}
	return false
}

// Read reads the table of a region and columns that a person has fixed: region in the
// seen frame, columns as ranges on the axis along the rows (seen x for upright tables)
// at the region's middle, in the order of the print: a cell's column is its index there,
// so columns out of order are refused and never sorted.
func Read(s *scan.Sheet, m *scan.Marks, prose []Word, region extract.Rect, columns [][2]float64) (Table, error) {
	p := Words(s, m, prose)
	if region.Empty() {
		return Table{}, fmt.Errorf("page %d: region [%g %g %g %g] is empty: want x0 < x1 and y0 < y1", s.Page, region.X0, region.Y0, region.X1, region.Y1)
	}
	r := s.FlatOfSeen(region)
	cols := make([]grid.Column, len(columns))
	for i, c := range columns {
		a, b := flatOfAxis(s, region, c[0]), flatOfAxis(s, region, c[1])
		if a > b {
			a, b = b, a
		}
		cols[i] = grid.Column{X0: a * p.Scale, X1: b * p.Scale}
	}
	g, _, err := grid.Read(p.Page, scaled(r, p.Scale).Rounded(), cols)
	if err != nil {
		return Table{}, err
	}
	t := p.table(m, g, &r)
	p.doubt(m, &t, true)
	return t, nil
}

// flatOfAxis returns the flat x of a position on the axis along the rows, at the
// region's middle.
func flatOfAxis(s *scan.Sheet, region extract.Rect, v float64) float64 {
	var x float64
	if s.Turn == 90 || s.Turn == 270 {
		x, _ = s.Flat(s.FromSeen(region.MidX(), v))
	} else {
		x, _ = s.Flat(s.FromSeen(v, region.MidY()))
	}
	return x
}

// SeenColumns returns the region of a table in the seen frame and the ranges of its
// columns on the axis along its rows at the region's middle, from low to high: what a
// person's table file says, and what Read takes.
func SeenColumns(s *scan.Sheet, t Table) (region extract.Rect, columns [][2]float64) {
	r := t.Region
	x, y := s.Seen(s.Sheet(r.MidX(), r.MidY()))
	w, h := r.Width()*s.Unit/2, r.Height()*s.Unit/2
	if s.Turn == 90 || s.Turn == 270 {
		w, h = h, w
	}
	region = extract.Rect{X0: x - w, Y0: y - h, X1: x + w, Y1: y + h}
	for _, c := range t.Columns {
		ax, ay := s.Seen(s.Sheet(c.X0, r.MidY()))
		bx, by := s.Seen(s.Sheet(c.X1, r.MidY()))
		a, b := ax, bx
		if s.Turn == 90 || s.Turn == 270 {
			a, b = ay, by
		}
		columns = append(columns, [2]float64{math.Min(a, b), math.Max(a, b)})
	}
	return region, columns
}

func scaled(r extract.Rect, k float64) extract.Rect {
	return extract.Rect{X0: r.X0 * k, Y0: r.Y0 * k, X1: r.X1 * k, Y1: r.Y1 * k}
}

// table makes a Table of what grid found.
func (p *Page) table(m *scan.Marks, g grid.Table, region *extract.Rect) Table {
	k := 1 / p.Scale
	t := Table{Grid: g, Number: g.Number, Region: scaled(g.Region, k)}
	if region != nil {
		t.Region = *region
	}
	taken := make([]bool, len(p.words))
	if p.owned == nil {
		p.owned = make([]bool, len(p.words))
	}
	wordsIn := func(b extract.Rect) []int { return p.wordsIn(b, taken) }
	line := func(text string, at []int) Line {
		l := Line{Text: text}
		for _, i := range at {
			l.Box = l.Box.Union(p.Flat[i])
			l.Marks = append(l.Marks, p.Marks[i]...)
		}
		sort.Ints(l.Marks)
		return l
	}
	for _, c := range g.Columns {
		t.Columns = append(t.Columns, Column{X0: c.X0 * k, X1: c.X1 * k, Head: c.Head, Figures: c.Figures, Words: c.Words})
	}
	if g.Caption != "" {
		t.Caption = line(g.Caption, wordsIn(g.CaptionBox))
	}
	for _, h := range g.Heads {
		l := line(h.Text, wordsIn(h.Box))
		t.Heads = append(t.Heads, l)
		for i := range t.Columns {
			if c := &t.Columns[i]; c.under(l, p.Height) {
				c.HeadBox = c.HeadBox.Union(l.Box)
			}
		}
	}
	for _, n := range g.Notes {
		t.Notes = append(t.Notes, line(n.Text, wordsIn(n.Box)))
	}
	led := map[int]bool{}
	for _, w := range g.Leaders {
		for _, i := range wordsIn(w.Box) {
			t.Leaders = append(t.Leaders, p.Flat[i])
			for _, j := range p.Marks[i] {
				led[j] = true
			}
		}
	}
	var heights []float64
	for _, r := range g.Rows {
		row := Row{}
		if r.SubHead != "" {
			l := line(r.SubHead, wordsIn(r.Box))
			t.SubHeads = append(t.SubHeads, l)
			row.SubHead, row.Top, row.Bottom, row.Baseline = &l, l.Box.Y0, l.Box.Y1, l.Box.Y1
			t.Rows = append(t.Rows, row)
			continue
		}
		var tops, feet []float64
		for _, c := range r.Cells {
			cell := Cell{Text: c.Text, Words: c.Words}
			if c.Words > 0 {
				for _, i := range wordsIn(c.Box) {
					cell.Box = cell.Box.Union(p.Flat[i])
					cell.Marks = append(cell.Marks, p.Marks[i]...)
					if w := p.words[i]; !w.leader {
						tops, feet = append(tops, w.top), append(feet, w.base)
						if w.figure {
							heights = append(heights, w.base-w.top)
						}
					}
				}
			}
			row.Cells = append(row.Cells, cell)
		}
		row.Top, row.Bottom = median(tops), median(feet)
		row.Baseline = row.Bottom
		t.Rows = append(t.Rows, row)
	}
	t.Figure = median(heights)
	if t.Figure == 0 {
		t.Figure = p.Height
	}
	for t.rowOfHeads() {
	}
	t.behead(p)
	t.headBlock(p)
	t.Pitch = t.pitch()
	t.slots(m, led)
	t.tie(p)
	for i, own := range taken {
		if own {
			p.owned[i] = true
		}
	}
	t.led = led
	return t
}

// behead makes heads of the first rows that are none: rows over a level rule that runs
// along the table, and rows of words over columns of figures.
func (t *Table) behead(p *Page) {
	if len(t.Rows) < 4 || len(t.Columns) < 2 {
		return
	}
	x0, x1 := t.Columns[0].X0, t.Columns[len(t.Columns)-1].X1
	n := 0
	for i := 1; i <= 4 && i+2 < len(t.Rows); i++ {
		a, b := t.Rows[i-1], t.Rows[i]
		if a.SubHead != nil {
			break // it heads the first block
		}
		long := 0.0
		for _, r := range p.rules {
			if r.Y0 == r.Y1 && r.Y0 > a.Bottom-0.2*p.Height && r.Y0 < b.Top+0.2*p.Height {
				long += math.Max(0, math.Min(r.X1, x1)-math.Max(r.X0, x0))
			}
		}
		plain := true
		for k := range t.Rows[:i] {
			plain = plain && t.other(k) >= 0.7
		}
		if plain && long >= 0.5*(x1-x0) && b.SubHead == nil {
			n = i
		}
	}
	for i := n; i < n+3 && i+3 < len(t.Rows) && t.Rows[i].Cells != nil; i++ {
		words, figures := 0, 0
		for c, cell := range t.Rows[i].Cells {
			below, filled := 0, 0
			for _, r := range t.Rows[i+1:] {
				if r.Cells != nil && r.Cells[c].Words > 0 {
					filled++
					if figuresIn(r.Cells[c].Text) > 0 {
						below++
					}
				}
			}
			if cell.Words == 0 || 2*below < filled || c == 0 {
				continue
			}
			if t.wordy(i, c) {
				words++
			} else {
				figures++
			}
		}
		if words < 2 || words <= figures {
			break
		}
		n = i + 1
	}
	// parameters of a listing over the line of heads: rows that fill few columns
	for i := n; i < n+10 && i+3 < len(t.Rows); i++ {
		if t.Rows[i].Cells == nil {
			continue
		}
		if t.headRow(i) {
			n = i + 1
			continue
		}
		filled := 0
		for _, c := range t.Rows[i].Cells {
			if c.Words > 0 {
				filled++
			}
		}
		if 2*filled >= len(t.Columns) {
			break
		}
	}
	// a line of whole numbers over the first row ("0 deg. 10 deg. 20 deg.") and units in
	// italics look like a row; what sets them apart are points, leaders, labels and space
	for n+3 < len(t.Rows) && t.Rows[n].Cells != nil {
		why := t.unlike(n)
		if why < 2 {
			break
		}
		if why == 2 {
			t.Doubts = append(t.Doubts, Doubt{Kind: RowLost, Row: -1, Col: -1, Box: extract.Rect{X0: x0, X1: x1, Y0: t.Rows[n].Top, Y1: t.Rows[n].Bottom},
				Text: "the line over the first row was taken for heads, and may be a row"})
		}
		n++
	}
	for _, r := range t.Rows[:n] {
		if r.SubHead != nil {
			t.Heads = append(t.Heads, *r.SubHead)
			t.SubHeads = t.SubHeads[1:]
		}
		for c, cell := range r.Cells {
			if cell.Words == 0 {
				continue
			}
			t.Heads = append(t.Heads, Line{Text: cell.Text, Box: cell.Box, Marks: cell.Marks})
			k := &t.Columns[c]
			k.HeadBox = k.HeadBox.Union(cell.Box)
			k.Head = strings.TrimSpace(k.Head + " " + cell.Text)
			if figuresIn(cell.Text) > 0 && !strings.ContainsAny(cell.Text, "xX") {
				k.Figures--
			} else {
				k.Words--
			}
		}
	}
	t.Rows = t.Rows[n:]
}

// rowOfHeads makes a row of the line over the first row where it was taken for heads,
// its figures being too broken to be known as such: it stands at the pitch of the rows
// and has the decimals of its columns.
func (t *Table) rowOfHeads() bool {
	if len(t.Rows) < 3 || t.Rows[0].Cells == nil || t.Rows[1].Cells == nil {
		return false
	}
	first := t.Rows[0]
	row := Row{Cells: make([]Cell, len(t.Columns))}
	var line, others []Line
	for _, l := range t.Heads {
		if l.Box.Y1 < first.Top+0.2*t.Figure && first.Bottom-l.Box.Y1 < 1.35*t.pitch() {
			line = append(line, l)
		} else {
			others = append(others, l)
		}
	}
	for _, l := range line {
		at := -1
		for c, k := range t.Columns {
			if k.under(l, t.Figure) {
				at = c
			}
		}
		if at < 0 || row.Cells[at].Words > 0 {
			return false
		}
		row.Cells[at] = Cell{Text: l.Text, Box: l.Box, Marks: l.Marks, Words: 1}
	}
	alike, pointed := 0, 0
	for c := range t.Columns {
		usual, of, cells := t.usualDecimals(c, 0)
		if usual < 1 || 2*of <= cells {
			continue
		}
		pointed++
		if row.Cells[c].Words > 0 && decimals(row.Cells[c].Text) == usual {
			alike++
		}
	}
	if alike < 2 || 10*alike < 7*pointed || 2*alike < len(t.Columns) {
		return false
	}
	var tops, feet []float64
	for c, cell := range row.Cells {
		if cell.Words > 0 {
			tops, feet = append(tops, cell.Box.Y0), append(feet, cell.Box.Y1)
			t.Columns[c].Figures++
		}
	}
	row.Top, row.Bottom = median(tops), median(feet)
	row.Baseline = row.Bottom
	t.Rows = append([]Row{row}, t.Rows...)
	t.unhead(line, others)
	return true
}

// headBlock makes a sub-head of a phrase that stands alone on the line under the heads
// and across the columns ("Mach number 0.5"): it heads the first block as others do
// the blocks below.
func (t *Table) headBlock(p *Page) {
	h := p.Height
	if len(t.Rows) == 0 || t.Rows[0].SubHead != nil {
		return
	}
	low := -1
	for i, l := range t.Heads {
		if l.Box.Y1 < t.Rows[0].Top && (low < 0 || l.Box.MidY() > t.Heads[low].Box.MidY()) {
			low = i
		}
	}
	if low < 0 {
		return
	}
	var line, others []Line
	for _, l := range t.Heads {
		if m := l.Box.MidY(); math.Abs(m-t.Heads[low].Box.MidY()) < 0.6*h {
			line = append(line, l)
		} else {
			others = append(others, l)
		}
	}
	sort.SliceStable(line, func(i, j int) bool { return line[i].Box.X0 < line[j].Box.X0 })
	own := 0 // columns with a head above the line
	for _, c := range t.Columns {
		for _, l := range others {
			if l.Box.MidX() > c.X0 && l.Box.MidX() < c.X1 && l.Box.Y1 < t.Heads[low].Box.Y0+0.2*h && l.Box.Y1 > t.Heads[low].Box.Y0-6*h {
				own++
				break
			}
		}
	}
	if 3*own < 2*len(t.Columns) {
		return
	}
	var sub Line
	var texts []string
	phrases, from := 1, 0
	for i, l := range line {
		if i > 0 && l.Box.X0-line[i-1].Box.X1 > 1.5*h {
			if !t.across(line[from].Box.X0, line[i-1].Box.X1) {
				return
			}
			phrases, from = phrases+1, i
		}
		sub.Box = sub.Box.Union(l.Box)
		sub.Marks = append(sub.Marks, l.Marks...)
		texts = append(texts, l.Text)
	}
	for _, l := range others {
		if l.Box.Y1 > sub.Box.Y0-0.8*h {
			return // a second line of heads
		}
	}
	// two tables side by side in one grid have it twice
	if len(line) < 2*phrases || phrases > 2 || !t.across(line[from].Box.X0, line[len(line)-1].Box.X1) {
		return
	}
	sort.Ints(sub.Marks)
	sub.Text = strings.Join(texts, " ")
	t.unhead(line, others)
	t.SubHeads = append([]Line{sub}, t.SubHeads...)
	t.Rows = append([]Row{{SubHead: &sub, Top: sub.Box.Y0, Bottom: sub.Box.Y1, Baseline: sub.Box.Y1}}, t.Rows...)
}

// unhead takes the last line of the heads, from left to right, from them: from the text
// of the columns that it stands over, and from the boxes.
func (t *Table) unhead(line, others []Line) {
	t.Heads = others
	var phrases []string
	for i, l := range line {
		if i > 0 && l.Box.X0-line[i-1].Box.X1 <= 1.5*t.Figure {
			phrases[len(phrases)-1] += " " + l.Text
		} else {
			phrases = append(phrases, l.Text)
		}
	}
	for i := range t.Columns {
		c := &t.Columns[i]
		whole := false
		for _, phrase := range phrases {
			if head, ok := strings.CutSuffix(c.Head, phrase); ok && !whole && strings.Contains(phrase, " ") {
				c.Head, whole = strings.TrimSpace(head), true
			}
		}
		if !whole {
			for k := len(line) - 1; k >= 0; k-- {
				if m := line[k].Box.MidX(); m > c.X0 && m < c.X1 {
					c.Head = strings.TrimSpace(strings.TrimSuffix(c.Head, line[k].Text))
				}
			}
		}
		c.HeadBox = extract.Rect{}
		for _, l := range t.Heads {
			if c.under(l, t.Figure) {
				c.HeadBox = c.HeadBox.Union(l.Box)
			}
		}
	}
}

// across reports whether a line of print from x0 to x1 lies in no column alone.
func (t *Table) across(x0, x1 float64) bool {
	for _, c := range t.Columns {
		if x0 >= c.X0 && x1 <= c.X1 {
			return false
		}
	}
	return true
}

// full reports whether a column has a word in every row from row i on.
func (t *Table) full(c, i int) bool {
	for _, r := range t.Rows[i:] {
		if r.Cells != nil && r.Cells[c].Words == 0 {
			return false
		}
	}
	return true
}

// headRow reports whether row i has words over at least half of the columns and hardly
// a figure.
func (t *Table) headRow(i int) bool {
	words, figures := 0, 0
	for c, cell := range t.Rows[i].Cells {
		if c == 0 || cell.Words == 0 {
			continue
		}
		if t.wordy(i, c) {
			words++
		} else {
			figures++
		}
	}
	return 2*words >= len(t.Columns) && 4*figures <= words
}

// other returns the share of the cells of row i, labels left out, that are shorter or
// longer in their decimals than the usual figure of their column; a nought alone is not.
func (t *Table) other(i int) float64 {
	cells, others := 0, 0
	for c, cell := range t.Rows[i].Cells {
		if c == 0 || cell.Words == 0 || cell.Text == "0" && t.space(i) < 1.25 {
			continue
		}
		usual, of, rows := t.usualDecimals(c, i+1)
		cells++
		if 2*of > rows && decimals(cell.Text) != usual {
			others++
		}
	}
	if cells == 0 {
		return 0
	}
	return float64(others) / float64(cells)
}

// decimals counts the figures behind the point, broken ones too; -1 where there is no
// point.
func decimals(s string) int {
	i := strings.LastIndexByte(s, '.')
	if i < 0 {
		return -1
	}
	return strings.Count(s[i:], "0") + strings.Count(s[i:], "x") + strings.Count(s[i:], "X")
}

// usualDecimals returns how many decimals most cells of column c have from row i on,
// how many cells that are and how many there are.
func (t *Table) usualDecimals(c, i int) (usual, of, cells int) {
	count := map[int]int{}
	for _, r := range t.Rows[i:] {
		if r.Cells != nil && r.Cells[c].Words > 0 {
			count[decimals(r.Cells[c].Text)]++
			cells++
		}
	}
	for d, n := range count {
		if n > count[usual] || n == count[usual] && d < usual {
			usual = d
		}
	}
	return usual, count[usual], cells
}

// wordy reports whether cell c of row i has words and no figure, broken figures with
// the point of the column's others apart.
func (t *Table) wordy(i, c int) bool {
	s := t.Rows[i].Cells[c].Text
	if figuresIn(s) > 0 && !strings.ContainsAny(s, "xX") {
		return false
	}
	usual, of, cells := t.usualDecimals(c, i+1)
	return usual < 1 || 2*of <= cells || decimals(s) != usual
}

// space returns the distance of row i from the next in usual distances of rows.
func (t *Table) space(i int) float64 {
	var steps []float64
	for k := i + 2; k < len(t.Rows); k++ {
		if t.Rows[k].Cells != nil && t.Rows[k-1].Cells != nil {
			steps = append(steps, t.Rows[k].Baseline-t.Rows[k-1].Baseline)
		}
	}
	if len(steps) < 2 || t.Rows[i+1].Cells == nil {
		return 1
	}
	return (t.Rows[i+1].Baseline - t.Rows[i].Baseline) / math.Max(1, median(steps))
}

// unlike counts the ways in which row i differs from the rows under it as a head does.
// It is 0 where its figures have the decimals of theirs.
func (t *Table) unlike(i int) int {
	labels, ledBelow, rows := 0, 0, 0
	led := func(r Row) bool {
		for _, b := range t.Leaders {
			if b.MidY() > r.Top-0.3*t.Figure && b.MidY() < r.Bottom+0.35*t.Figure {
				return true
			}
		}
		return false
	}
	for k := i + 1; k < len(t.Rows); k++ {
		r := t.Rows[k]
		if r.Cells == nil {
			continue
		}
		rows++
		if c := r.Cells[0]; c.Words > 0 && !strings.ContainsAny(c.Text, "xX") {
			labels++
		}
		if led(r) {
			ledBelow++
		}
	}
	if t.other(i) < 0.8 {
		// a line without label that leaves full columns empty, as units do
		missing := 0
		for c := 1; c < len(t.Columns); c++ {
			if t.Rows[i].Cells[c].Words == 0 && t.full(c, i+1) {
				missing++
			}
		}
		if t.Rows[i].Cells[0].Words == 0 && t.full(0, i+1) && missing >= 2 {
			return 2
		}
		return 0
	}
	why := 1
	first := t.Rows[i].Cells[0]
	if 10*labels > 8*rows && (first.Words == 0 || strings.ContainsAny(first.Text, "xX")) {
		why++
	}
	if first.Words == 0 {
		why++
	}
	if 10*ledBelow > 8*rows && !led(t.Rows[i]) {
		why++
	}
	if t.space(i) > 1.25 {
		why++
	}
	return why
}

// wordsIn returns the words that stand in a box of points and marks them taken.
func (p *Page) wordsIn(b extract.Rect, taken []bool) []int {
	const e = 0.02 // places are rounded to two decimals
	var out []int
	for i, w := range p.Page.Words {
		if !taken[i] && w.Box.X0 >= b.X0-e && w.Box.X1 <= b.X1+e && w.Box.Y0 >= b.Y0-e && w.Box.Y1 <= b.Y1+e {
			taken[i] = true
			out = append(out, i)
		}
	}
	return out
}

// pitch returns the usual distance of neighbouring rows.
func (t *Table) pitch() float64 {
	var d []float64
	for i := 1; i < len(t.Rows); i++ {
		if t.Rows[i].SubHead == nil && t.Rows[i-1].SubHead == nil {
			d = append(d, t.Rows[i].Baseline-t.Rows[i-1].Baseline)
		}
	}
	if len(d) == 0 {
		return 1.5 * t.Figure
	}
	return median(d)
}

// slots gives every cell its slot and the marks in it.
func (t *Table) slots(m *scan.Marks, led map[int]bool) {
	n := len(t.Rows)
	edge := math.Max(0.25*t.Figure, (t.Pitch-t.Figure)/2)
	top, bottom := make([]float64, n), make([]float64, n)
	for i, r := range t.Rows {
		top[i], bottom[i] = r.Top-edge, r.Bottom+edge
		if i > 0 && t.Rows[i-1].Bottom+2*edge > r.Top {
			top[i] = (t.Rows[i-1].Bottom + r.Top) / 2
		}
		if i+1 < n && r.Bottom+2*edge > t.Rows[i+1].Top {
			bottom[i] = (r.Bottom + t.Rows[i+1].Top) / 2
		}
	}
	home := map[int]bool{}
	for i := range t.Rows {
		for c := range t.Rows[i].Cells {
			cell := &t.Rows[i].Cells[c]
			cell.Slot = extract.Rect{X0: t.Columns[c].X0, X1: t.Columns[c].X1, Y0: top[i], Y1: bottom[i]}
			for _, j := range cell.Marks {
				home[j] = true
			}
		}
	}
	for _, h := range append(append([]Line(nil), t.SubHeads...), t.Notes...) {
		for _, j := range h.Marks {
			home[j] = true
		}
	}
	for j, k := range m.List {
		if home[j] || led[j] {
			continue
		}
		x, y := k.Box.MidX(), k.Box.MidY()
		i := sort.Search(n, func(i int) bool { return bottom[i] > y })
		if i == n || y < top[i] || t.Rows[i].Cells == nil || k.Box.Height() > 2*t.Figure {
			continue
		}
		for c := range t.Columns {
			if x >= t.Columns[c].X0 && x < t.Columns[c].X1 {
				t.Rows[i].Cells[c].Marks = append(t.Rows[i].Cells[c].Marks, j)
			}
		}
	}
	for i := range t.Rows {
		for c := range t.Rows[i].Cells {
			sort.Ints(t.Rows[i].Cells[c].Marks)
		}
	}
}

// tie ties raised marks in cells to notes: the n-th kind of note is not known from
// shapes, so a mark is tied only where the table has one note that begins with a
// raised mark.
func (t *Table) tie(p *Page) {
	var marked []int
	for i, n := range t.Notes {
		for k, b := range p.Flat {
			if n.Box.Contains(b.MidX(), b.MidY()) && math.Abs(b.X0-n.Box.X0) < 0.2*p.Height {
				if w := p.words[k]; p.pieces[w.pieces[0]].shape == raised {
					marked = append(marked, i)
				}
			}
		}
	}
	if len(marked) != 1 {
		return
	}
	for i := range t.Rows {
		for c := range t.Rows[i].Cells {
			cell := &t.Rows[i].Cells[c]
			if n := len(cell.Text); n > 1 && cell.Text[n-1] == '*' {
				cell.Noted = marked
			}
		}
	}
}
