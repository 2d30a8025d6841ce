package layout

import (
	"fmt"
	"math"
	"sort"

	"windtally/extract"
	"windtally/extract/scan"
)

// Kinds of doubt.
const (
	RowLost       = "row lost"       // ink of a row between or beside the rows
	RowGap        = "row gap"        // a gap of several pitches that does not come again
	RowsMerged    = "rows merged"    // rows closer than figures stand, or a cell of two rows
	RowCut        = "row cut"        // the region's edge cuts a row
	CellLost      = "cell lost"      // an empty cell in a column that is full
	LeaderCount   = "leader count"   // leaders and rows do not agree
	ColumnLost    = "column lost"    // ink of a column outside the columns
	ColumnCount   = "column count"   // rules, white corridors and columns do not agree
	ColumnsMerged = "columns merged" // a cell of two figures
	LeftOver      = "left over"      // ink in no cell
	NearSubHead   = "near sub-head"  // a row that runs into a sub-head
	LineOver      = "line over"      // print over the table that is in none of its parts
	Apart         = "apart"          // a block seen as a table, or two tables seen as one
	Stray         = "stray"          // a word that no row or column takes
	Touching      = "touching"       // a mark that belongs to two cells
)

// doubt counts rows and columns anew on the ink and says what differs.
func (p *Page) doubt(m *scan.Marks, t *Table, fixed bool) {
	add := func(kind string, row, col int, box extract.Rect, format string, args ...any) {
		t.Doubts = append(t.Doubts, Doubt{Kind: kind, Text: fmt.Sprintf(format, args...), Row: row, Col: col, Box: box})
	}
	if len(t.Rows) == 0 || len(t.Columns) == 0 {
		add(RowLost, -1, -1, t.Region, "no row was found")
		return
	}
	p.doubtRows(t, add)
	p.doubtColumns(t, add)
	p.doubtInk(m, t, t.led, fixed, add)
	whole := t.body()
	for _, s := range t.Grid.Stray {
		b := scaled(s.Box, 1/p.Scale)
		if b.MidX() < whole.X0-4*t.Figure || b.MidX() > whole.X1+4*t.Figure {
			if b.Width() < 0.5*t.Figure {
				continue // a speck in the margin
			}
		}
		add(Stray, -1, -1, b, "ink that no row and no column takes: %s", s.Why)
	}
}

type adder func(kind string, row, col int, box extract.Rect, format string, args ...any)

// body returns the rectangle of the rows.
func (t *Table) body() extract.Rect {
	first, last := t.Rows[0], t.Rows[len(t.Rows)-1]
	return extract.Rect{X0: t.Columns[0].X0, X1: t.Columns[len(t.Columns)-1].X1, Y0: first.Top, Y1: last.Bottom}
}

// apart says of tables that stand one below the other in the same columns that they may
// be blocks of one, and of a table whose columns repeat that it may be two.
func apart(tables []Table) {
	for i := range tables {
		a := &tables[i]
		if a.repeats() {
			a.Doubts = append(a.Doubts, Doubt{Kind: Apart, Row: -1, Col: len(a.Columns) / 2, Box: a.Region,
				Text: fmt.Sprintf("columns %d to %d repeat the ones before them: two tables side by side, or one set in two parts", len(a.Columns)/2+1, len(a.Columns))})
		}
		for j := range tables {
			b := &tables[j]
			if i == j || len(a.Columns) != len(b.Columns) || len(a.Rows) == 0 || len(b.Rows) == 0 {
				continue
			}
			gap := b.Rows[0].Top - a.Rows[len(a.Rows)-1].Bottom
			same := gap > 0 && gap < 14*a.Pitch
			for c := 1; c < len(a.Columns); c++ { // the edges between columns
				same = same && math.Abs(a.Columns[c].X0-b.Columns[c].X0) < 2*a.Figure
			}
			if same {
				b.Doubts = append(b.Doubts, Doubt{Kind: Apart, Row: -1, Col: -1, Box: b.Region, Text: "stands close under a table in the same columns: it may be a block of that table"})
			}
		}
	}
}

// repeats reports whether the ink of the right half of the columns, three or more,
// stands as that of the left half does.
func (t *Table) repeats() bool {
	n := len(t.Columns)
	if n < 6 || n%2 != 0 || len(t.Rows) == 0 {
		return false
	}
	ink := make([]extract.Rect, n)
	for _, r := range t.Rows {
		for c, cell := range r.Cells {
			ink[c] = ink[c].Union(cell.Box)
		}
	}
	// all columns alike and equally far apart repeat in any case
	even := true
	for c := 2; c < n; c++ {
		even = even && math.Abs(ink[c].MidX()-2*ink[c-1].MidX()+ink[c-2].MidX()) < 1.5*t.Figure
	}
	if even {
		return false
	}
	shift := ink[n/2].MidX() - ink[0].MidX()
	for c := 0; c < n/2; c++ {
		if math.Abs(ink[c+n/2].MidX()-ink[c].MidX()-shift) > 0.8*t.Figure {
			return false
		}
	}
	return true
}

// doubtRows compares the rows with the baselines that the figures of each column have
// of their own.
func (p *Page) doubtRows(t *Table, add adder) {
	h := t.Figure
	// gaps between rows
	var gaps []int
	for i := 1; i < len(t.Rows); i++ {
		a, b := t.Rows[i-1], t.Rows[i]
		d := b.Baseline - a.Baseline
		box := extract.Rect{X0: t.Columns[0].X0, X1: t.Columns[len(t.Columns)-1].X1, Y0: a.Top, Y1: b.Bottom}
		switch {
		case a.SubHead != nil || b.SubHead != nil:
			if b.Top-a.Bottom < -0.1*h {
				add(NearSubHead, i, -1, box, "a row and a sub-head overlap by %.0f px", a.Bottom-b.Top)
			}
		case d < 0.6*t.Pitch:
			add(RowsMerged, i, -1, box, "rows %d and %d stand %.0f px apart, usual are %.0f", i, i+1, d, t.Pitch)
		case d > 1.5*t.Pitch:
			gaps = append(gaps, i)
		}
	}
	for _, i := range gaps {
		d := t.Rows[i].Baseline - t.Rows[i-1].Baseline
		again := 0
		for _, j := range gaps {
			if e := t.Rows[j].Baseline - t.Rows[j-1].Baseline; math.Abs(e-d) < 0.2*t.Pitch {
				again++
			}
		}
		// space that comes again parts groups of rows; a whole number of pitches that
		// does not is a row that is missing
		k := d / t.Pitch
		if again < 3 && math.Abs(k-math.Round(k)) < 0.2 || again < 2 {
			add(RowGap, i, -1, extract.Rect{X0: t.Columns[0].X0, X1: t.Columns[len(t.Columns)-1].X1, Y0: t.Rows[i-1].Bottom, Y1: t.Rows[i].Top},
				"%.1f pitches lie between rows %d and %d: a row may be missing", k, i, i+1)
		}
	}
	// each column's own baselines, counted on the pieces
	body := t.body()
	for c, col := range t.Columns {
		filled := 0
		for _, r := range t.Rows {
			if r.Cells != nil && r.Cells[c].Words > 0 {
				filled++
			}
		}
		var feet []float64
		for _, k := range p.pieces {
			x := k.box.MidX()
			if k.lead || k.shape != tall || x < col.X0 || x >= col.X1 || k.box.MidY() < body.Y0-0.3*h || k.box.MidY() > body.Y1+0.3*h {
				continue
			}
			feet = append(feet, k.box.Y1)
		}
		lines := gather(feet, 0.35*h)
		var lost []float64
		for _, y := range lines {
			if near := t.nearRow(y); near > 0.45*math.Min(t.Pitch, 2*h) {
				lost = append(lost, y)
			}
		}
		for _, y := range lost {
			add(RowLost, -1, c, extract.Rect{X0: col.X0, X1: col.X1, Y0: y - h, Y1: y}, "column %d has figures at %.0f px, where no row stands", c+1, y)
		}
		rows := t.count()
		if miss := rows - filled; miss > 0 && (c == 0 || col.Figures > col.Words) && (10*miss <= rows || miss <= 2) {
			for i, r := range t.Rows {
				if r.Cells != nil && r.Cells[c].Words == 0 {
					add(CellLost, i, c, r.Cells[c].Slot, "no figure in a column that has %d in %d rows", filled, rows)
				}
			}
		}
		for i, r := range t.Rows {
			if r.Cells == nil || r.Cells[c].Words == 0 {
				continue
			}
			if b := r.Cells[c].Box; b.Height() > 1.75*h {
				add(RowsMerged, i, c, b, "ink %.0f px high in a row of figures %.0f px high", b.Height(), h)
			}
		}
	}
	// leaders
	if len(t.Leaders) > 0 {
		led := 0
		for i, r := range t.Rows {
			if r.Cells == nil {
				continue
			}
			has := false
			for _, b := range t.Leaders {
				has = has || b.MidY() > r.Top-0.3*h && b.MidY() < r.Bottom+0.35*h
			}
			if has {
				led++
			} else if 10*len(t.Leaders) > 9*t.count() {
				add(LeaderCount, i, -1, extract.Rect{}, "the only row without a leader, or one of few")
			}
		}
		for _, b := range t.Leaders {
			if t.nearRow(b.Y1) > 0.6*t.Pitch {
				add(LeaderCount, -1, 0, b, "a leader where no row stands")
			}
		}
	}
}

// nearRow returns the distance from a foot to the nearest baseline of a row or the
// extent of a sub-head.
func (t *Table) nearRow(y float64) float64 {
	near := math.Inf(1)
	for _, r := range t.Rows {
		if r.SubHead != nil && y > r.Top-0.2*t.Figure && y < r.Bottom+0.4*t.Figure {
			return 0
		}
		near = math.Min(near, math.Abs(y-r.Baseline))
	}
	return near
}

func (t *Table) count() int {
	n := 0
	for _, r := range t.Rows {
		if r.SubHead == nil {
			n++
		}
	}
	return n
}

// gather returns the middles of groups of values that lie nearer than reach.
func gather(v []float64, reach float64) []float64 {
	sort.Float64s(v)
	var out []float64
	for i := 0; i < len(v); {
		j := i + 1
		for j < len(v) && v[j]-v[j-1] < reach {
			j++
		}
		out = append(out, median(v[i:j]))
		i = j
	}
	return out
}

// doubtColumns compares the columns with the rules and with the white corridors that
// the ink itself leaves.
func (p *Page) doubtColumns(t *Table, add adder) {
	h := t.Figure
	body := t.body()
	// rules along most of the body
	for _, x := range p.verticals(body) {
		for c, col := range t.Columns {
			if x <= col.X0+0.3*h || x >= col.X1-0.3*h {
				continue
			}
			left, right := 0, 0
			for _, r := range t.Rows {
				if r.Cells != nil && r.Cells[c].Words > 0 {
					b := r.Cells[c].Box
					if b.X0 < x-0.2*h {
						left++
					}
					if b.X1 > x+0.2*h {
						right++
					}
				}
			}
			if left > 0 && right > 0 {
				add(ColumnCount, -1, c, extract.Rect{X0: x, X1: x + 1, Y0: body.Y0, Y1: body.Y1}, "a rule runs through column %d with figures on both sides of it", c+1)
			}
		}
	}
	for c := 1; c < len(t.Columns); c++ {
		// a figure that touches its point may fall in two here and there; two columns in
		// one do so in most rows, or far apart
		two, filled, far := 0, 0, false
		for _, r := range t.Rows {
			if r.Cells == nil || r.Cells[c].Words == 0 {
				continue
			}
			filled++
			if figuresIn(r.Cells[c].Text) >= 2 {
				two++
				far = far || p.widest(r.Cells[c].Box) > 1.15*h
			}
		}
		if two == 0 || !far && 3*two <= filled {
			continue
		}
		for i, r := range t.Rows {
			if r.Cells != nil && figuresIn(r.Cells[c].Text) >= 2 {
				add(ColumnsMerged, i, c, r.Cells[c].Box, "two figures in one cell, so in %d of %d rows of column %d", two, filled, c+1)
			}
		}
	}
	p.corridors(t, add)
	p.bareHeads(t, add)
}

// bareHeads looks for heads that stand over no column, and for empty columns between
// rules: of both the figures may be lost.
func (p *Page) bareHeads(t *Table, add adder) {
	h := t.Figure
	n := len(t.Columns)
	ink := make([]extract.Rect, n)
	for _, r := range t.Rows {
		for c, cell := range r.Cells {
			if cell.Words > 0 {
				ink[c] = ink[c].Union(cell.Box)
			}
		}
	}
	body := t.body()
	low := math.Inf(-1)
	for _, l := range t.Heads {
		if !l.Box.Empty() {
			low = math.Max(low, l.Box.Y1)
		}
	}
	// the words of the lowest line of heads, those beside the table too
	for i, w := range p.words {
		b := p.Flat[i]
		if w.leader || b.Y1 < low-0.8*h || b.Y1 > low+0.3*h || b.Width() < 0.4*h || b.X1 < body.X0-8*h || b.X0 > body.X1+8*h ||
			p.owned[i] && !t.heads(b) {
			continue
		}
		over := false
		for c := range ink {
			// a head is centred on its column or near it
			over = over || !ink[c].Empty() && b.X1 > ink[c].X0-1.2*h && b.X0 < ink[c].X1+1.2*h
		}
		if !over && !p.ruleBetween(body, b) {
			add(ColumnLost, -1, -1, b, "a head stands over no column")
		}
	}
	v := p.verticals(body)
	for i := 1; i < len(v); i++ {
		if v[i]-v[i-1] < 2*h {
			continue
		}
		empty := true
		for c := range ink {
			empty = empty && (ink[c].Empty() || ink[c].X1 < v[i-1]-0.2*h || ink[c].X0 > v[i]+0.2*h || ink[c].MidX() < v[i-1] || ink[c].MidX() > v[i])
		}
		if empty && v[i-1] > body.X0-h && v[i] < body.X1+h {
			add(ColumnLost, -1, -1, extract.Rect{X0: v[i-1], X1: v[i], Y0: body.Y0, Y1: body.Y1}, "nothing stands between two rules: a column may be lost")
		}
	}
}

// heads reports whether a box is one of the table's heads.
func (t *Table) heads(b extract.Rect) bool {
	for _, l := range t.Heads {
		if l.Box.Contains(b.MidX(), b.MidY()) {
			return true
		}
	}
	return false
}

// widest returns the widest white space between the words in a box.
func (p *Page) widest(b extract.Rect) float64 {
	var in []extract.Rect
	for _, f := range p.Flat {
		if f.X0 >= b.X0-1 && f.X1 <= b.X1+1 && f.MidY() > b.Y0 && f.MidY() < b.Y1 {
			in = append(in, f)
		}
	}
	sort.SliceStable(in, func(i, j int) bool { return in[i].X0 < in[j].X0 })
	w := 0.0
	for i := 1; i < len(in); i++ {
		w = math.Max(w, in[i].X0-in[i-1].X1)
	}
	return w
}

// figuresIn counts the figures of a cell's text.
func figuresIn(s string) int {
	n, in := 0, false
	for _, r := range s {
		if r == ' ' {
			in = false
		} else if !in && r == '0' {
			n++
			in = true
		}
	}
	return n
}

// verticals returns the x of rules along at least 60 % of a body.
func (p *Page) verticals(body extract.Rect) []float64 {
	// a rule may be broken: the pieces at one x count together
	type part struct{ x, long float64 }
	var parts []part
	for _, r := range p.walls() {
		long := math.Min(r.Y1, body.Y1) - math.Max(r.Y0, body.Y0)
		if long <= 0 || r.X0 < body.X0-p.Height || r.X0 > body.X1+p.Height {
			continue
		}
		if n := len(parts); n > 0 && r.X0-parts[n-1].x < 0.4*p.Height {
			parts[n-1].long += long
			continue
		}
		parts = append(parts, part{r.X0, long})
	}
	var out []float64
	for _, q := range parts {
		if q.long >= 0.6*body.Height() {
			out = append(out, q.x)
		}
	}
	return out
}

// corridors compares the columns with the white corridors that the ink itself leaves
// right of the labels, whose words have spaces of their own: a strip that is white in
// nearly all rows and wider than the space behind a point parts two columns.
func (p *Page) corridors(t *Table, add adder) {
	rows := t.count()
	if rows < 4 || len(t.Columns) < 2 {
		return
	}
	h := t.Figure
	body := t.body()
	body.X0 = t.Columns[0].X1
	n := int(body.Width()) + 1
	cover := make([]int, n)
	last := make([]int, n)
	for i := range last {
		last[i] = -1
	}
	rowAt := t.rowIndex()
	for _, k := range p.pieces {
		if k.lead || k.box.MidX() < body.X0 || k.box.MidX() >= body.X1 || k.shape == raised {
			continue
		}
		row := rowAt(k.box.MidY())
		if row < 0 {
			continue
		}
		for x := max(0, int(k.box.X0-body.X0)); x <= min(n-1, int(k.box.X1-body.X0)); x++ {
			if last[x] != row {
				last[x] = row
				cover[x]++
			}
		}
	}
	type run struct{ x0, x1, most int }
	var runs []run
	tol := rows / 40
	white := n
	for x := 0; x < n; x++ {
		if cover[x] <= tol {
			white++
			continue
		}
		if float64(white) > 0.8*h {
			runs = append(runs, run{x, x, 0})
		}
		r := &runs[len(runs)-1]
		r.x1, r.most = x, max(r.most, cover[x])
		white = 0
	}
	held := make([]int, len(t.Columns))
	for _, r := range runs {
		x0, x1 := body.X0+float64(r.x0), body.X0+float64(r.x1)
		box := extract.Rect{X0: x0, X1: x1, Y0: body.Y0, Y1: body.Y1}
		over := 0
		for c := 1; c < len(t.Columns); c++ {
			col := t.Columns[c]
			if math.Min(x1, col.X1)-math.Max(x0, col.X0) > 0.5*h {
				over++
				if mid := (x0 + x1) / 2; mid >= col.X0 && mid < col.X1 {
					held[c]++
					if held[c] == 2 && (10*r.most >= rows || r.most >= 3) {
						add(ColumnCount, -1, c, box, "a white corridor runs through column %d with ink on both sides of it", c+1)
					}
				}
			}
		}
		if over > 1 {
			add(ColumnCount, -1, -1, box, "no white corridor parts %d columns here", over)
		}
	}
}

// rowIndex returns a function that gives the row of figures at a height, or -1.
func (t *Table) rowIndex() func(y float64) int {
	edge := 0.2 * t.Figure
	return func(y float64) int {
		i := sort.Search(len(t.Rows), func(i int) bool { return t.Rows[i].Bottom+edge > y })
		if i < len(t.Rows) && t.Rows[i].Cells != nil && y > t.Rows[i].Top-edge {
			return i
		}
		return -1
	}
}

// doubtInk looks for ink of the region that is in no cell.
func (p *Page) doubtInk(m *scan.Marks, t *Table, led map[int]bool, fixed bool, add adder) {
	h := t.Figure
	dust := math.Max(3, 0.03*h*h)
	home := map[int]int{}
	for i, r := range t.Rows {
		for c, cell := range r.Cells {
			for _, j := range cell.Marks {
				if was, ok := home[j]; ok && was != c+i*1000 {
					add(Touching, i, c, m.List[j].Box, "a mark belongs to this cell and to that of row %d, column %d", was/1000+1, was%1000+1)
				}
				home[j] = c + i*1000
			}
		}
	}
	for _, l := range t.all() {
		for _, j := range l.Marks {
			home[j] = -1
		}
	}
	body := t.body()
	reach := extract.Rect{X0: body.X0 - 2*h, X1: body.X1 + 2*h, Y0: body.Y0 - 0.2*h, Y1: body.Y1 + 0.2*h}
	rowAt := t.rowIndex()
	for j, k := range m.List {
		if _, ok := home[j]; ok || led[j] || float64(k.Area) < dust || !reach.Contains(k.Box.MidX(), k.Box.MidY()) || p.crumb(k.Box) {
			continue
		}
		if float64(k.Area) < 0.1*h*h && rowAt(k.Box.MidY()) < 0 {
			continue // a speck where no row stands
		}
		if (k.Box.X1 < body.X0 || k.Box.X0 > body.X1) && p.ruleBetween(body, k.Box) {
			continue
		}
		t.Left = append(t.Left, j)
		add(LeftOver, -1, -1, k.Box, "ink of %d px in no cell", k.Area)
	}
	// words beside the body at the height of its rows, where a column was lost
	for i, w := range p.words {
		b := p.Flat[i]
		if !w.figure || p.owned[i] || b.MidY() < body.Y0 || b.MidY() > body.Y1 {
			continue
		}
		d := math.Max(body.X0-b.X1, b.X0-body.X1)
		framed := d > 0 && p.framed(body, b)
		if d > 0 && (framed && d < 40*h || d < 6*h && !p.ruleBetween(body, b) && t.nearRow(w.base) < 0.3*h) {
			add(ColumnLost, -1, -1, b, "a figure stands beside the table at the height of a row")
		}
	}
	// print close over the first row that is neither head nor caption: it may govern it
	for i, w := range p.words {
		b := p.Flat[i]
		if !p.texts {
			break // without texts a caption cannot be told from a line that is lost
		}
		if !p.owned[i] && len(w.pieces) >= 3 && b.MidX() > body.X0 && b.MidX() < body.X1 && b.Y1 < body.Y0 && b.Y1 > body.Y0-3.5*t.Pitch && !(fixed && b.Y1 < t.Region.Y0) {
			add(LineOver, -1, -1, b, "a line over the first row is neither head nor sub-head")
			break
		}
	}
	// rows cut off by the region
	if fixed {
		for i, w := range p.words {
			b := p.Flat[i]
			if b.X1 < t.Region.X0 || b.X0 > t.Region.X1 || w.leader {
				continue
			}
			if b.Y0 < t.Region.Y0 && b.Y1 > t.Region.Y0+0.15*h || b.Y0 < t.Region.Y1-0.15*h && b.Y1 > t.Region.Y1 {
				add(RowCut, -1, -1, b, "the region's edge runs through this word")
			}
		}
	}
	// figures in columns right above the first or under the last row
	for i, w := range p.words {
		b := p.Flat[i]
		if !w.figure || p.owned[i] || b.MidX() < body.X0 || b.MidX() > body.X1 {
			continue
		}
		up, down := body.Y0-b.MidY(), b.MidY()-body.Y1
		if up > 0 && up < 1.6*t.Pitch || down > 0 && down < 1.6*t.Pitch {
			add(RowLost, -1, -1, b, "a figure in the columns, one pitch outside the rows")
		}
	}
}

// framed reports whether two level rules or more run over a table and over a box beside
// its body: the box is in the table's frame.
func (p *Page) framed(body, b extract.Rect) bool {
	n := 0
	last := math.Inf(-1)
	for _, r := range p.levels() {
		if r.X0 < math.Min(body.MidX(), b.X0) && r.X1 > math.Max(body.MidX(), b.X1) && r.Y0 > body.Y0-12*p.Height && r.Y0 < body.Y1+8*p.Height && r.Y0-last > p.Height {
			n++
			last = r.Y0
		}
	}
	return n >= 2
}

// levels returns the level rules from top to bottom.
func (p *Page) levels() []extract.Rule {
	var out []extract.Rule
	for _, r := range p.rules {
		if r.Y0 == r.Y1 {
			out = append(out, r)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Y0 < out[j].Y0 })
	return out
}

// all returns caption, heads, sub-heads and notes.
func (t *Table) all() []Line {
	out := []Line{t.Caption}
	out = append(out, t.Heads...)
	out = append(out, t.SubHeads...)
	return append(out, t.Notes...)
}

// ruleBetween reports whether a vertical rule as long as the body parts it from a box
// beside it.
func (p *Page) ruleBetween(body, b extract.Rect) bool {
	for _, r := range p.walls() {
		if r.Y0 <= b.MidY() && r.Y1 >= b.MidY() && (r.X0 > body.X1-p.Height && r.X0 < b.X0 || r.X0 < body.X0+p.Height && r.X0 > b.X1) {
			return true
		}
	}
	return false
}
