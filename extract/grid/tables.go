package grid

import (
	"math"
	"regexp"
	"strings"
	"unicode"

	"windtally/extract"
)

// body is a run of lines that may be the rows of a table.
type body struct {
	first, last int // line indices
	data        []int
	cores       []core
}

// tables finds the tables of one zone and marks the words they take.
func (f *frame) tables(z zone, used []bool) []Table {
	lines := linesOf(z.items, f.height)
	caps, after := f.captions(lines)
	var out []Table
	start := 0
	var cur *caption
	for k := 0; k <= len(caps); k++ {
		end := len(lines)
		if k < len(caps) {
			end = caps[k].at
		}
		out = append(out, f.domain(lines[start:end], cur, used)...)
		if k < len(caps) {
			cur, start = caps[k].cap, after[k]
		}
	}
	return out
}

type captionLine struct {
	at  int
	cap *caption
}

// captions finds the caption lines of a zone; after[k] is the line that follows
// the k-th caption.
func (f *frame) captions(lines []*line) (caps []captionLine, after []int) {
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		k := -1
		for j := range l.items {
			if f.startsCaption(l.items, j) {
				k = j
				break
			}
		}
		if k < 0 {
			continue
		}
		c := &caption{items: append([]*item(nil), l.items[k:]...), y0: l.y}
		c.number, _ = captionAt(c.items)
		h := f.height
		for _, it := range c.items {
			h = math.Max(h, it.box.Height())
		}
		upper := capitals(c.items)
		j := i + 1
		prev := l
		for ; j < len(lines) && j <= i+3; j++ {
			n := lines[j]
			if len(f.captionStarts([]*line{n})) > 0 || bracket(n) || !f.captionGoesOn(prev, n, upper, h, widestGap(c.items)) {
				break
			}
			c.items = append(c.items, n.items...)
			prev = n
		}
		c.text = joined(c.items)
		c.continued = goesOn.MatchString(c.text)
		caps = append(caps, captionLine{i, c})
		after = append(after, j)
		i = j - 1
	}
	return caps, after
}

// captionGoesOn reports whether line n continues a caption: set close, in the
// caption's own letters, and not in columns.
func (f *frame) captionGoesOn(prev, n *line, upper bool, h, space float64) bool {
	t, fig := 0, 0
	for _, it := range n.items {
		switch it.kind {
		case text:
			t++
		case figure:
			fig++
		case leader:
			return false
		}
	}
	if t == 0 || fig > t {
		return false
	}
	if widestGap(n.items) > math.Max(1.5*h, 1.3*space) {
		return false // set in columns
	}
	if upper {
		return capitals(n.items) && n.y-prev.y <= 3*h
	}
	if n.y-prev.y > 1.7*h || n.prose() && t > 9 {
		return false
	}
	return len(n.chunks(1.5*f.height)) == 1 && t >= 1 && !unicode.IsUpper([]rune(n.items[0].stem)[0])
}

// widestGap returns the widest white space between words of one line.
func widestGap(items []*item) float64 {
	w := 0.0
	for i := 1; i < len(items); i++ {
		if items[i].box.X0 > items[i-1].box.X0 {
			w = math.Max(w, items[i].box.X0-items[i-1].box.X1)
		}
	}
	return w
}

// capitals reports whether most letters are capitals.
func capitals(items []*item) bool {
	up, low := 0, 0
	for _, it := range items {
		for _, r := range it.stem {
			if unicode.IsUpper(r) {
				up++
			} else if unicode.IsLower(r) {
				low++
			}
		}
	}
	return up >= 3 && up > 3*low
}

// bracket reports whether a line is a remark in brackets.
func bracket(l *line) bool {
	s := strings.TrimSpace(l.text())
	return strings.HasPrefix(s, "[") || strings.HasSuffix(s, "]") || strings.HasPrefix(s, "(") && strings.HasSuffix(s, ")")
}

// units reports whether a line in round brackets is the unit line of a head, such
// as "(deg.)": it stands over columns, short enough to be over one column each.
func (f *frame) units(l *line, cores []core) bool {
	if !strings.HasPrefix(strings.TrimSpace(l.text()), "(") {
		return false
	}
	for _, c := range l.chunks(1.1 * f.height) {
		box := c.items[0].box
		for _, it := range c.items {
			box = box.Union(it.box)
		}
		over := 0
		for _, k := range cores {
			if box.X0 < k.x1+f.height && box.X1 > k.x0-f.height {
				over++
			}
		}
		if over != 1 {
			return false
		}
	}
	return true
}

// rowKind says how much a line looks like a row of figures.
type rowKind int

const (
	noRow   rowKind = iota
	weakRow         // a label and one figure
	row             // figures apart from each other
)

func (f *frame) rowKindOf(l *line) rowKind {
	h := f.height
	if parameter(l) {
		return noRow
	}
	cs := l.chunks(1.1 * h)
	figs, words := 0, 0
	lead := false
	for _, it := range l.items {
		switch it.kind {
		case leader:
			lead = true
		case text:
			words++
			if it.stem != it.word.Text {
				lead = true
			}
		case figure:
			if it.stem != it.word.Text {
				lead = true
			}
		}
	}
	far := false
	for i, c := range cs {
		led := lead && i > 0 && c.items[0].kind == figure // "...... 185 m.p.h."
		if c.figures() || led {
			figs++
			if i > 0 && (f.captioned || c.box.X0-cs[i-1].box.X1 >= 2*h) {
				far = true
			}
		}
	}
	switch {
	case figs >= 2 && 5*figs >= 2*len(cs):
		return row
	case figs >= 1 && lead && words <= 14, figs >= 1 && far && words <= 9:
		return weakRow
	}
	return noRow
}

// domain finds the tables among the lines between one caption and the next.
func (f *frame) domain(lines []*line, c *caption, used []bool) []Table {
	if len(lines) == 0 {
		return nil
	}
	if c != nil {
		g := *f
		g.captioned = true
		f = &g
	}
	var data []int
	var its []*item
	for i, l := range lines {
		if f.rowKindOf(l) != noRow {
			data = append(data, i)
			its = append(its, l.items...)
		}
	}
	if len(data) < 2 {
		return nil
	}
	// figures are often set smaller than the prose around them
	var hs []float64
	for _, it := range its {
		hs = append(hs, it.box.Height())
	}
	local := *f
	local.height = math.Max(0.5*f.height, math.Min(f.height, median(hs)))
	f = &local
	its = its[:0]
	for _, l := range lines[data[0] : data[len(data)-1]+1] {
		if !l.prose() {
			its = append(its, l.items...) // also rows of which only the label is left
		}
	}
	pitch := pitchOf(its, f.height)
	if pitch <= 0 {
		pitch = 1.5 * f.height
	}
	pitch = math.Max(pitch, 0.5*f.height)

	var bodies []body
	for _, i := range data {
		if n := len(bodies); n > 0 {
			b := &bodies[n-1]
			prose := 0
			for k := b.last + 1; k < i; k++ {
				if lines[k].prose() {
					prose++
				}
			}
			if lines[i].y-lines[b.last].y <= 2.6*pitch && i-b.last <= 3 && prose == 0 {
				b.last = i
				b.data = append(b.data, i)
				continue
			}
		}
		bodies = append(bodies, body{first: i, last: i, data: []int{i}})
	}
	for k := range bodies {
		f.lay(lines, &bodies[k], c != nil, pitch)
	}
	// blocks under sub-heads are one table when their columns agree; a sub-head with
	// a figure in it may stand between them as a small body of its own
	for k := 0; k < len(bodies); k++ {
		for j := k + 1; j < len(bodies) && j <= k+3; j++ {
			a, b := bodies[k], bodies[j]
			if len(a.data) < 2 || len(b.data) < 2 {
				continue
			}
			prose := 0
			for i := a.last + 1; i < b.first; i++ {
				if lines[i].prose() && !f.headsBlock(lines[i], a.cores) {
					prose++
				}
			}
			if prose > 0 || b.first-a.last > 6 || lines[b.first].y-lines[a.last].y > 12*pitch {
				break
			}
			if !compatible(a.cores, b.cores) {
				if j == k+1 {
					continue
				}
				break
			}
			m := body{first: a.first, last: b.last, data: append(append([]int(nil), a.data...), b.data...)}
			f.lay(lines, &m, c != nil, pitch)
			if len(m.cores) >= max(len(a.cores), len(b.cores))-1 {
				bodies[k] = m
				bodies = append(bodies[:k+1], bodies[j+1:]...)
				j = k
			}
		}
	}
	var out []Table
	free := c
	floor := 0
	for k, b := range bodies {
		if len(b.data) < 3 || len(b.cores) < 2 {
			continue
		}
		var own *caption
		if free != nil && lines[b.first].y-free.y0 <= 45*pitch {
			own = free
		}
		if !f.accept(lines, b, own != nil, pitch) {
			continue
		}
		ceil := len(lines)
		for _, next := range bodies[k+1:] {
			if len(next.data) >= 3 && len(next.cores) >= 2 { // may be a table of its own
				ceil = next.first
				break
			}
		}
		t, end := f.build(lines, floor, ceil, b, own, pitch, used)
		out = append(out, t)
		floor = end
		if own != nil {
			free = nil
		}
	}
	return out
}

// headsBlock reports whether a line of several words heads a block: it crosses columns and
// is much shorter than the table is wide, as running text is not.
func (f *frame) headsBlock(l *line, cores []core) bool {
	if len(cores) < 3 || !f.subHead(l, cores) {
		return false
	}
	x0, x1 := cores[0].x0, cores[len(cores)-1].x1
	return l.box.X0 > x0 && l.box.X1 < x1 && l.box.Width() < 0.6*(x1-x0)
}

// lay finds the columns of a body, from its full rows where there are enough of
// them, and leaves out rows at both ends that do not stand in the columns: a
// remark with a figure in it.
func (f *frame) lay(lines []*line, b *body, captioned bool, pitch float64) {
	var full []*line
	for _, i := range b.data {
		if f.rowKindOf(lines[i]) == row {
			full = append(full, lines[i])
		}
	}
	if len(full) < 3 || 2*len(full) < len(b.data) {
		full = pick(lines, b.data)
	}
	b.cores = f.columnsOf(full, f.over(lines, b.first, captioned, pitch))
	if len(b.cores) < 2 {
		return
	}
	fits := func(i int) bool {
		if f.rowKindOf(lines[i]) == row && !f.subHead(lines[i], b.cores) {
			return true
		}
		return f.dataRow(lines[i], b.cores)
	}
	for len(b.data) > 0 && !fits(b.data[0]) {
		b.data = b.data[1:]
	}
	for len(b.data) > 0 && !fits(b.data[len(b.data)-1]) {
		b.data = b.data[:len(b.data)-1]
	}
	if len(b.data) == 0 {
		return
	}
	cut := b.first != b.data[0] || b.last != b.data[len(b.data)-1]
	b.first, b.last = b.data[0], b.data[len(b.data)-1]
	if cut {
		f.lay(lines, b, captioned, pitch)
	}
}

func pick(lines []*line, at []int) []*line {
	out := make([]*line, len(at))
	for i, k := range at {
		out[i] = lines[k]
	}
	return out
}

// over returns the lines that may be heads over line i.
func (f *frame) over(lines []*line, i int, captioned bool, pitch float64) []*line {
	var out []*line
	for k := i - 1; k >= 0 && i-k <= 8; k-- {
		if !captioned && lines[k].prose() || lines[k+1].y-lines[k].y > 8*pitch {
			break
		}
		out = append(out, lines[k])
	}
	return out
}

// stats is what a column's words look like.
type stats struct {
	filled, figures, good int
	aligned               float64 // share of its figures that stand on a common edge
}

func (f *frame) statsOf(rows []*line, cores []core) []stats {
	st := make([]stats, len(cores))
	edges := make([][3][]float64, len(cores))
	for _, l := range rows {
		cells := make([][]*item, len(cores))
		for _, it := range l.items {
			if it.kind == leader || it.kind == mark {
				continue
			}
			if c := columnAt(it, cores, f.height); c >= 0 {
				cells[c] = append(cells[c], it)
			}
		}
		for c, its := range cells {
			if len(its) == 0 {
				continue
			}
			st[c].filled++
			s := ""
			for _, it := range its {
				s += it.stem
			}
			if !looksFigure(s) {
				if c == 0 || its[0].kind != figure {
					continue
				}
				// a figure with its unit
				its = its[:1]
				s = its[0].stem
			}
			st[c].figures++
			if wellFormed(s) {
				st[c].good++
			}
			a, b := its[0].box, its[len(its)-1].box
			point := b.X1
			if i := strings.LastIndexAny(its[len(its)-1].stem, ".·"); i >= 0 {
				point = b.X0 + b.Width()*float64(i)/float64(len(its[len(its)-1].stem))
			}
			edges[c][0] = append(edges[c][0], a.X0)
			edges[c][1] = append(edges[c][1], b.X1)
			edges[c][2] = append(edges[c][2], point)
		}
	}
	for c := range st {
		for _, e := range edges[c] {
			if len(e) == 0 {
				continue
			}
			m := median(e)
			n := 0
			for _, v := range e {
				if math.Abs(v-m) <= 0.7*f.height {
					n++
				}
			}
			st[c].aligned = math.Max(st[c].aligned, float64(n)/float64(len(e)))
		}
	}
	return st
}

// accept decides whether a body is a table. Under a caption a body of three rows
// with aligned figures is enough. Without one it must be regular, dense and well
// formed: labels of axes stand far apart, formulae and references do not align.
func (f *frame) accept(lines []*line, b body, captioned bool, pitch float64) bool {
	var rows []*line
	for _, i := range b.data {
		if !f.subHead(lines[i], b.cores) {
			rows = append(rows, lines[i])
		}
	}
	if len(rows) < 3 {
		return false
	}
	st := f.statsOf(rows, b.cores)
	n := len(rows)
	filled, figures, good, solid, strong := 0, 0, 0, 0, 0
	for _, s := range st {
		filled += s.filled
		figures += s.figures
		good += s.good
		if s.figures >= 3 && 10*s.figures >= 6*s.filled && 10*s.filled >= 3*n && s.aligned >= 0.6 {
			solid++
			if 10*s.good >= 6*s.figures && s.aligned >= 0.75 && 10*s.filled >= 6*n {
				strong++
			}
		}
	}
	leaders := 0
	words := 0
	for _, l := range rows {
		lead := false
		for _, it := range l.items {
			if it.kind == leader || it.stem != it.word.Text {
				lead = true
			}
			if it.kind == text {
				words++
			}
		}
		if lead {
			leaders++
		}
	}
	var gaps []float64
	for i := 1; i < n; i++ {
		gaps = append(gaps, rows[i].y-rows[i-1].y)
	}
	step := median(gaps)
	regular := 0
	for _, g := range gaps {
		if g < 1.35*step && g > 0.7*step {
			regular++
		}
	}
	even := 10*regular >= 7*len(gaps)
	first := len(st) > 1 && 10*st[1].good >= 6*st[1].filled && st[1].aligned >= 0.6
	label := first && st[0].filled-st[0].figures > st[0].figures && 10*st[0].filled >= 8*n
	if captioned {
		if solid >= 2 && 10*figures >= 4*filled {
			return step <= 5*f.height
		}
		return solid >= 1 && st[0].filled > st[0].figures && len(b.cores) <= 4 && step <= 4*f.height
	}
	if step > 2.7*f.height || !even {
		return false
	}
	switch {
	case strong >= 3 && n >= 4 && figures >= 12 && 10*figures >= 6*filled:
		return true
	case strong >= 2 && n >= 6 && 10*figures >= 7*filled:
		return true
	case label && strong >= 1 && len(b.cores) <= 4 && n >= 4 && 2*leaders >= n:
		return true
	case label && strong >= 1 && len(b.cores) <= 3 && n >= 5 && words <= 6*n && widest(b.cores) >= 2*f.height:
		return true
	}
	return false
}

// widest returns the widest gap between neighbouring cores.
func widest(c []core) float64 {
	w := 0.0
	for i := 1; i < len(c); i++ {
		w = math.Max(w, c[i].x0-c[i-1].x1)
	}
	return w
}

var footMark = regexp.MustCompile(`^([*†‡§¹²³]|[0-9a-z][).]?$|NOTE|Note)`)

// build makes the table of a body: its rows, the heads over it down from line
// floor, the notes under it up to line ceil. It returns the index of the first
// line that it left.
func (f *frame) build(lines []*line, floor, ceil int, b body, c *caption, pitch float64, used []bool) (Table, int) {
	t := Table{Turn: f.turn, Continued: true}
	h := f.height
	f.extend(lines, floor, ceil, &b, pitch)
	if c != nil {
		t.Number, t.Caption, t.Continued = c.number, c.text, c.continued
		t.CaptionBox = f.boxOf(c.items)
		t.captionWords = len(c.items)
		take(c.items, used)
	}
	// figures that number the columns stand above the body, apart from it
	top := b.first
	for k := 0; k < 2 && k+3 < len(b.data); k++ {
		i := b.data[k]
		if lines[b.data[k+1]].y-lines[i].y > 2.6*pitch && lines[i+1].y-lines[i].y > 1.8*pitch {
			top = b.data[k+1]
		}
	}
	x0, x1 := b.cores[0].x0-3*h, b.cores[len(b.cores)-1].x1+3*h

	// heads, upwards; what stands between them and the caption are notes
	var heads []*line
	from := top
	for k := top - 1; k >= floor; k-- {
		l := lines[k]
		if k < b.first {
			if bracket(l) && !f.units(l, b.cores) || parameter(l) || l.prose() && !f.fixed && !f.inColumns(l, b.cores) && !f.headsBlock(l, b.cores) {
				break
			}
			if !f.fixed && (top-k > 9 || lines[k+1].y-l.y > headReach(c != nil || f.ruledBetween(l, lines[k+1], x0, x1))*math.Max(pitch, h)) {
				break
			}
		}
		if !f.fixed && (l.box.X1 < x0 || l.box.X0 > x1) {
			continue
		}
		from = k
	}
	var subs []*line
	if c != nil || f.fixed {
		for k := floor; k < from; k++ {
			t.Notes = append(t.Notes, f.lineOf(lines[k].items))
			take(lines[k].items, used)
		}
	}
	inside := false
	for _, l := range lines[b.first:b.last] {
		inside = inside || f.subHead(l, b.cores)
	}
	for k := from; k < top; k++ {
		l := lines[k]
		if !f.fixed && (l.box.X1 < x0 || l.box.X0 > x1) {
			continue
		}
		if k == top-1 && (len(heads) > 0 && k >= b.first || inside) && f.subHead(l, b.cores) {
			subs = append(subs, l)
			continue
		}
		heads = append(heads, l)
	}
	headTexts := f.heads(&t, heads, b.cores, used)

	body := append(subs, lines[top:b.last+1]...)
	f.rows(&t, body, b.cores, headTexts, pitch, used)

	// notes
	last := lines[b.last]
	end := b.last + 1
	for k := end; k < ceil && (f.fixed || k < b.last+14); k++ {
		l := lines[k]
		if !f.fixed && (l.box.X1 < x0 || l.box.X0 > x1) {
			break
		}
		gap := l.y - last.y
		near := 2.5 * pitch
		if k > b.last+1 {
			near = 1.7 * math.Max(pitch, h)
		} else if footMark.MatchString(l.items[0].word.Text) {
			near = 4.5 * pitch
		} else if !l.prose() && len(l.items) <= 8 {
			near = 4 * pitch // a remark inside the table's frame ("Radius: 0.742")
		}
		if !f.fixed && gap > near {
			break
		}
		t.Notes = append(t.Notes, f.lineOf(l.items))
		take(l.items, used)
		last, end = l, k+1
	}
	f.finish(&t)
	return t, end
}

// extend adds rows at both ends of a body whose figures the layer has ruined past
// knowing: lines at the rows' own pitch with words in two columns or more.
func (f *frame) extend(lines []*line, floor, ceil int, b *body, pitch float64) {
	inGrid := func(l *line, digits bool) bool {
		if l.prose() || bracket(l) || f.subHead(l, b.cores) {
			return false
		}
		cols := map[int]bool{}
		n, d := 0, 0
		for _, it := range l.items {
			c := -1
			for i, k := range b.cores {
				if math.Min(it.box.X1, k.x1)-math.Max(it.box.X0, k.x0) > 0 {
					c = i
				}
			}
			if c < 0 {
				if it.kind != mark && it.kind != leader && !speck(it.stem) {
					return false
				}
				continue
			}
			cols[c] = true
			n++
			if strings.ContainsAny(it.stem, "0123456789") {
				d++
			}
		}
		return len(cols) >= 2 && 2*len(cols) >= len(b.cores) && (!digits || 2*d >= n)
	}
	labelOnly := func(l *line) bool {
		for _, it := range l.items {
			if it.kind != leader && columnAt(it, b.cores, f.height) != 0 {
				return false
			}
		}
		return strings.ContainsAny(l.text(), "0123456789")
	}
	// rows of which only the label is left do not end a body when a row follows
	for k, from := b.last+1, b.last; k < ceil && lines[k].y-lines[k-1].y < 1.4*pitch && k-from < 8; k++ {
		if inGrid(lines[k], false) {
			b.last, from = k, k
			b.data = append(b.data, k)
		} else if !labelOnly(lines[k]) {
			break
		}
	}
	for k, from := b.first-1, b.first; k >= floor && lines[k+1].y-lines[k].y < 1.3*pitch && from-k < 8; k-- {
		if inGrid(lines[k], true) {
			b.first, from = k, k
			b.data = append([]int{k}, b.data...)
		} else if !labelOnly(lines[k]) {
			break
		}
	}
}

// headReach is how many pitches may lie between head lines: under a caption the
// space between rules is generous.
func headReach(captioned bool) float64 {
	if captioned {
		return 7
	}
	return 2.5
}

// ruledBetween reports whether level rules run over most of the range x0 to x1 between
// two lines: a head stands in a box of rules, however much white there is in it.
func (f *frame) ruledBetween(a, b *line, x0, x1 float64) bool {
	long := 0.0
	for _, r := range f.rules {
		if r.Y1-r.Y0 <= 1 && r.Y0 > a.y && r.Y0 < b.y {
			long += math.Max(0, math.Min(r.X1, x1)-math.Max(r.X0, x0))
		}
	}
	return long >= 0.5*(x1-x0)
}

// inColumns reports whether a line of words is set over columns: nearly every
// word over one, and not many words a column.
func (f *frame) inColumns(l *line, cores []core) bool {
	in := 0
	for _, it := range l.items {
		for _, k := range cores {
			if m := it.box.MidX(); m >= k.x0-0.5*f.height && m <= k.x1+0.5*f.height {
				in++
				break
			}
		}
	}
	return 10*in >= 8*len(l.items) && len(l.items) <= 2*len(cores)
}

// parameter reports whether a line gives a value ("A = 1.000"), as listings do
// over their columns.
func parameter(l *line) bool {
	for i, it := range l.items {
		if i > 0 && (it.word.Text == "=" || it.word.Text == ":") {
			return true
		}
	}
	return false
}

func take(items []*item, used []bool) {
	for _, it := range items {
		used[it.at] = true
	}
}

// boxOf is the union of the words' boxes in the seen frame.
func (f *frame) boxOf(items []*item) extract.Rect {
	var r extract.Rect
	for i, it := range items {
		if i == 0 {
			r = it.word.Box
		} else {
			r = span(r, it.word.Box)
		}
	}
	return r
}

func (f *frame) lineOf(items []*item) Line {
	return Line{Text: joined(items), Box: f.boxOf(items), Words: len(items)}
}

// finish gives the table its region: all that was placed in it.
func (f *frame) finish(t *Table) {
	var r extract.Rect
	first := true
	add := func(b extract.Rect) {
		if first {
			r, first = b, false
		} else {
			r = span(r, b)
		}
	}
	if t.captionWords > 0 {
		add(t.CaptionBox)
	}
	for _, w := range t.Heads {
		add(w.Box)
	}
	for _, w := range t.Leaders {
		add(w.Box)
	}
	for _, w := range t.Stray {
		add(w.Box)
	}
	for _, n := range t.Notes {
		add(n.Box)
	}
	for _, row := range t.Rows {
		if row.words > 0 {
			add(row.Box)
		}
		for _, c := range row.Cells {
			if c.Words > 0 {
				add(c.Box)
			}
		}
	}
	t.Region = r
}
