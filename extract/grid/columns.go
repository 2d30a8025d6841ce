package grid

import (
	"math"
	"regexp"
	"sort"
	"strings"
)

// core is the part of a column in which its figures stand, and its slot.
type core struct {
	x0, x1 float64
	lo, hi float64
	rows   int // in which it has a word
}

// spot is a word of the body and the row it stands in.
type spot struct {
	it  *item
	row int
}

func spotsOf(rows []*line) []spot {
	var out []spot
	for r, l := range rows {
		for _, it := range l.items {
			if it.kind != leader && it.kind != mark {
				out = append(out, spot{it, r})
			}
		}
	}
	return out
}

// columnsOf finds the columns of body rows by the white space between them.
// heads are lines over the body: they decide whether a column of a single figure
// is one. A gap that a few rows cross (figures that the layer glued together, a
// long label) still separates.
func (f *frame) columnsOf(rows, heads []*line) []core {
	h := f.height
	spots := spotsOf(rows)
	if len(spots) == 0 {
		return nil
	}
	n := len(rows)
	tol := 0
	switch {
	case n >= 16:
		tol = max(1, n*7/100)
	case n >= 6:
		tol = 1
	}
	cores := coresOf(spots, tol, 0.3*h)
	cores = f.splitAtRules(cores, rows)

	cores = withoutSpecks(cores, spots)

	// words in no core: columns with few figures, or specks
	var orphans []spot
	for _, s := range spots {
		hit := false
		for _, c := range cores {
			if math.Min(s.it.box.X1, c.x1)-math.Max(s.it.box.X0, c.x0) > 0.1*s.it.box.Width() || s.it.box.MidX() > c.x0 && s.it.box.MidX() < c.x1 {
				hit = true
				break
			}
		}
		if !hit && !speck(s.it.stem) {
			orphans = append(orphans, s)
		}
	}
	for _, o := range coresOf(orphans, 0, 1.2*h) {
		near := math.Inf(1)
		at := -1
		for i, c := range cores {
			if d := math.Max(c.x0-o.x1, o.x0-c.x1); d < near {
				near, at = d, i
			}
		}
		switch {
		case at >= 0 && near < 0.6*h:
			cores[at].x0, cores[at].x1 = math.Min(cores[at].x0, o.x0), math.Max(cores[at].x1, o.x1)
		case figuresIn(orphans, o) >= 2 && (o.rows >= 3 || n < 12) || 4*o.rows >= n && o.rows >= 3 || digitIn(orphans, o) && headOver(heads, o, cores, h), n < 12 && near > h && lone(orphans, o):
			cores = append(cores, o)
		}
	}
	sort.SliceStable(cores, func(i, j int) bool { return cores[i].x0 < cores[j].x0 })
	cores = f.joinFragments(cores, spots, rows)
	slots(cores, rows, h)
	return cores
}

// coresOf returns the ranges of x that words of more than tol rows cover, ranges
// nearer than gap joined.
func coresOf(spots []spot, tol int, gap float64) []core {
	byRow := map[int][]*item{}
	var order []int
	for _, s := range spots {
		if byRow[s.row] == nil {
			order = append(order, s.row)
		}
		byRow[s.row] = append(byRow[s.row], s.it)
	}
	type event struct {
		x float64
		d int
	}
	var ev []event
	for _, r := range order {
		its := byRow[r]
		sort.SliceStable(its, func(i, j int) bool { return its[i].box.X0 < its[j].box.X0 })
		x0, x1 := its[0].box.X0, its[0].box.X1
		for _, it := range its[1:] {
			if it.box.X0 <= x1 {
				x1 = math.Max(x1, it.box.X1)
				continue
			}
			ev = append(ev, event{x0, 1}, event{x1, -1})
			x0, x1 = it.box.X0, it.box.X1
		}
		ev = append(ev, event{x0, 1}, event{x1, -1})
	}
	sort.SliceStable(ev, func(i, j int) bool {
		if ev[i].x != ev[j].x {
			return ev[i].x < ev[j].x
		}
		return ev[i].d > ev[j].d
	})
	var out []core
	cover := 0
	start := math.NaN()
	for _, e := range ev {
		was := cover
		cover += e.d
		if was <= tol && cover > tol {
			start = e.x
		}
		if was > tol && cover <= tol {
			if k := len(out); k > 0 && start-out[k-1].x1 < gap {
				out[k-1].x1 = e.x
			} else {
				out = append(out, core{x0: start, x1: e.x})
			}
		}
	}
	for i := range out {
		seen := map[int]bool{}
		for _, s := range spots {
			if s.it.box.X0 <= out[i].x1 && s.it.box.X1 >= out[i].x0 {
				seen[s.row] = true
			}
		}
		out[i].rows = len(seen)
	}
	return out
}

// withoutSpecks leaves out cores that hold strokes for the most part.
func withoutSpecks(cores []core, spots []spot) []core {
	out := cores[:0]
	for _, c := range cores {
		n, k := 0, 0
		for _, s := range spots {
			if m := s.it.box.MidX(); m >= c.x0 && m <= c.x1 {
				n++
				if speck(s.it.stem) {
					k++
				}
			}
		}
		if 10*k < 6*n {
			out = append(out, c)
		}
	}
	return out
}

// figuresIn counts the figures of a core that are more than one sign.
func figuresIn(spots []spot, c core) int {
	n := 0
	for _, s := range spots {
		if s.it.kind == figure && s.it.box.MidX() >= c.x0 && s.it.box.MidX() <= c.x1 && len(s.it.stem) > 1 {
			n++
		}
	}
	return n
}

// lone reports whether a core is one well-formed figure of two digits or more: the
// only one left of its column.
func lone(spots []spot, c core) bool {
	ok := false
	for _, s := range spots {
		if m := s.it.box.MidX(); m >= c.x0 && m <= c.x1 {
			if ok || !wellFormed(s.it.stem) || strings.Count(s.it.stem, "")-1-strings.Count(s.it.stem, "-") < 2 {
				return false
			}
			ok = true
		}
	}
	return ok
}

// digitIn reports whether a word of a core has a digit.
func digitIn(spots []spot, c core) bool {
	for _, s := range spots {
		if m := s.it.box.MidX(); m >= c.x0 && m <= c.x1 && strings.ContainsAny(s.it.stem, "0123456789") {
			return true
		}
	}
	return false
}

// splitAtRules divides cores at column rules: vertical rules along most of the body.
func (f *frame) splitAtRules(cores []core, rows []*line) []core {
	y0, y1 := rows[0].y, rows[len(rows)-1].y
	var out []core
	for _, c := range cores {
		cuts := []float64{}
		for _, x := range f.verticals(y0, y1) {
			if x > c.x0+0.3*f.height && x < c.x1-0.3*f.height {
				cuts = append(cuts, x)
			}
		}
		for _, x := range cuts {
			out = append(out, core{x0: c.x0, x1: x - 0.1, rows: c.rows})
			c.x0 = x + 0.1
		}
		out = append(out, c)
	}
	return out
}

// verticals returns the x of vertical rules that run along at least 60 % of the
// range y0 to y1.
func (f *frame) verticals(y0, y1 float64) []float64 {
	var out []float64
	for _, r := range f.rules {
		if r.X1-r.X0 > 1 || r.Y1-r.Y0 < 2*f.height {
			continue
		}
		if math.Min(r.Y1, y1)-math.Max(r.Y0, y0) >= 0.6*(y1-y0) {
			out = append(out, (r.X0+r.X1)/2)
		}
	}
	sort.Float64s(out)
	return out
}

// ruleBetween reports whether a column rule stands between two cores.
func (f *frame) ruleBetween(a, b core, rows []*line) bool {
	for _, x := range f.verticals(rows[0].y, rows[len(rows)-1].y) {
		if x >= a.x1-0.5*f.height && x <= b.x0+0.5*f.height {
			return true
		}
	}
	return false
}

// headOver reports whether a head word stands over o and over no other column.
func headOver(heads []*line, o core, cores []core, h float64) bool {
	for _, l := range heads {
		for _, it := range l.items {
			m := it.box.MidX()
			if it.kind == mark || m < o.x0-1.2*h || m > o.x1+1.2*h {
				continue
			}
			own := math.Abs(m - (o.x0+o.x1)/2)
			free := true
			for _, c := range cores {
				if m >= c.x0 && m <= c.x1 || math.Abs(m-(c.x0+c.x1)/2) < own {
					free = false
				}
			}
			if free {
				return true
			}
		}
	}
	return false
}

// joinFragments joins neighbouring cores that are parts of one column: figures
// that the layer broke after the sign or the point ("--. 816"), words of labels.
func (f *frame) joinFragments(cores []core, spots []spot, rows []*line) []core {
	h := f.height
	var gaps []float64
	for i := 1; i < len(cores); i++ {
		gaps = append(gaps, cores[i].x0-cores[i-1].x1)
	}
	usual := median(gaps)
	for i := 0; i+1 < len(cores); {
		a, b := cores[i], cores[i+1]
		gap := b.x0 - a.x1
		if gap > 3*h || f.ruleBetween(a, b, rows) {
			i++
			continue
		}
		left, right := inCore(spots, a), inCore(spots, b)
		both, broken, words, only, pointless := 0, 0, 0, 0, 0
		lefts, labels := 0, 0
		for r := range rows {
			l, k := left[r], right[r]
			if len(l) > 0 {
				lefts++
				if l[len(l)-1].kind == text {
					labels++
				}
			}
			if len(l) > 0 && len(k) > 0 {
				both++
				if fragment(before(rows[r], k[0]).stem) {
					broken++
				}
				if whole.MatchString(l[len(l)-1].stem) && decimals.MatchString(k[0].stem) {
					pointless++
				}
				if l[len(l)-1].kind == text && k[0].kind == text {
					words++
				}
			} else if len(l) > 0 || len(k) > 0 {
				only++
			}
		}
		switch {
		case both > 0 && 2*broken >= both && gap <= 2.2*h,
			both > 0 && 10*pointless >= 7*both && gap < 0.6*usual,
			both > 0 && gap < 1.6*h && 2*words > both,
			gap < 0.8*h && 2*labels > lefts, // a space between words of a label
			gap < h && both*6 <= only && both <= 1 && (gap < 0.45*h || 4*min(a.rows, b.rows) <= len(rows)):
			cores[i] = core{x0: a.x0, x1: b.x1, rows: max(a.rows, b.rows)}
			cores = append(cores[:i+1], cores[i+2:]...)
			if i > 0 {
				i--
			}
		default:
			i++
		}
	}
	return cores
}

// before returns the figure or word directly left of it on its line, or it itself;
// a sign that stands alone is part of the figure to its right.
func before(l *line, it *item) *item {
	last := it
	for _, k := range l.items {
		if k == it {
			break
		}
		if k.kind == figure || k.kind == text {
			last = k
		}
	}
	return last
}

// A figure whose point the layer lost stands there as "0 963901". Two columns of
// whole numbers set as close as that are joined too: a cell of two figures shows,
// decimals standing for a figure would not.
var (
	whole    = regexp.MustCompile(`^[-–—−]*[0-9IlOi]{1,3}$`)
	decimals = regexp.MustCompile(`^[.•]?[0-9IlOi)(]{2,}$`)
)

// fragment reports whether a figure cannot end here: it ends with its sign or point.
func fragment(s string) bool {
	if s == "" {
		return true
	}
	return strings.ContainsRune(".,•·-–—−", []rune(s)[len([]rune(s))-1])
}

func inCore(spots []spot, c core) map[int][]*item {
	out := map[int][]*item{}
	for _, s := range spots {
		if m := s.it.box.MidX(); m >= c.x0 && m <= c.x1 {
			out[s.row] = append(out[s.row], s.it)
		}
	}
	for _, v := range out {
		sort.SliceStable(v, func(i, j int) bool { return v[i].box.X0 < v[j].box.X0 })
	}
	return out
}

// slots gives each core its slot: to the middle of the white space on both sides,
// or, after a column with leaders, to the middle of what the leaders leave white.
func slots(cores []core, rows []*line, h float64) {
	for i := range cores {
		if i == 0 {
			cores[i].lo = cores[i].x0 - 2*h
		} else {
			end := cores[i-1].x1
			var ends []float64
			for _, l := range rows {
				for _, it := range l.items {
					if it.kind == leader && it.box.X0 > cores[i-1].x0 && it.box.X1 < cores[i].x0 {
						ends = append(ends, it.box.X1)
					}
				}
			}
			if len(ends) >= 2 && 4*len(ends) >= len(rows) {
				end = math.Max(end, median(ends))
			}
			mid := (end + cores[i].x0) / 2
			cores[i-1].hi, cores[i].lo = mid, mid
		}
		cores[i].hi = cores[i].x1 + 2*h
	}
}

// columnAt returns the column of a word, or -1. A word that lies in two columns at
// once is kept where it starts, so that the empty slot beside it shows.
func columnAt(it *item, cores []core, h float64) int {
	best, over := -1, 0.0
	first, hits := -1, 0
	for i, c := range cores {
		o := math.Min(it.box.X1, c.x1) - math.Max(it.box.X0, c.x0)
		if o <= 0 {
			continue
		}
		if o >= 0.35*(c.x1-c.x0) || o >= 0.9*h {
			hits++
			if first < 0 {
				first = i
			}
		}
		if o > over {
			best, over = i, o
		}
	}
	if hits >= 2 {
		return first
	}
	if best >= 0 && over >= 0.3*it.box.Width() {
		return best
	}
	// in white space: the nearer column, within its slot or close to it
	m := it.box.MidX()
	near, at := math.Inf(1), -1
	for i, c := range cores {
		in := m >= c.lo && m <= c.hi
		if it.kind == leader {
			if in {
				return i
			}
			continue
		}
		d := math.Max(0, math.Max(c.x0-it.box.X1, it.box.X0-c.x1))
		if d < near && (in || d < 2*h) {
			near, at = d, i
		}
	}
	if it.kind == figure && (near > 0.8*h || near > 0.6*h && len([]rune(it.stem)) > 1) {
		return -1 // a figure that lines up with no column belongs to none
	}
	if at < 0 {
		at = best
	}
	return at
}

// assign returns the column of every word of a line. A sign, or a figure broken
// off after its point, goes with the figure to its right.
func assign(l *line, cores []core, h float64) []int {
	out := make([]int, len(l.items))
	for i := len(l.items) - 1; i >= 0; i-- {
		it := l.items[i]
		out[i] = columnAt(it, cores, h)
		if i+1 == len(l.items) || out[i+1] < 0 || out[i+1] == out[i] || it.kind == leader || !fragment(it.stem) {
			continue
		}
		next := l.items[i+1]
		if next.kind != figure || next.box.X0-it.box.X1 > 2*h {
			continue
		}
		if out[i] >= 0 {
			c := cores[out[i]]
			if math.Min(it.box.X1, c.x1)-math.Max(it.box.X0, c.x0) >= 0.5*it.box.Width() && it.kind == figure {
				continue // stands squarely in its own column, as "12." does
			}
		}
		out[i] = out[i+1]
	}
	return out
}

// compatible reports whether two sets of cores can be columns of one table.
func compatible(a, b []core) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) == 0 || len(b)-len(a) > 2+len(b)/4 {
		return false
	}
	n := 0
	for _, c := range a {
		hits := 0
		for _, d := range b {
			if math.Min(c.x1, d.x1)-math.Max(c.x0, d.x0) > 0.3*math.Min(c.x1-c.x0, d.x1-d.x0) {
				hits++
			}
		}
		if hits == 1 {
			n++
		}
	}
	return 4*n >= 3*len(a)
}
