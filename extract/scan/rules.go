package scan

import (
	"cmp"
	"math"
	"slices"
)

// A level rule is at least this many figure heights long: a dash is little over one, a
// dash for a missing value up to four. An upright one may be shorter, for no sign of
// print is so high, straight and thin.
const levelRule, uprightRule = 6, 2.5

// strip is a connected bundle of long runs along one direction in the flat frame,
// with the sums of a straight line fitted to its pixels.
type strip struct {
	x0, x1, y0, y1      int
	n, sx, sy, sxx, sxy float64
	length              float64 // covered
	slope, at           float64 // y = at + slope*x, pixel middles at whole numbers
	thick               float64
}

func (t *strip) add(y, x0, x1 int) {
	l := float64(x1 - x0)
	mid := float64(x0+x1-1) / 2
	t.n += l
	t.sx += l * mid
	t.sy += l * float64(y)
	t.sxx += l * (mid*mid + (l*l-1)/12)
	t.sxy += l * mid * float64(y)
}

func (t *strip) fit() {
	t.at = t.sy / t.n
	if d := t.n*t.sxx - t.sx*t.sx; d > 0 {
		t.slope = (t.n*t.sxy - t.sx*t.sy) / d
		t.at = (t.sy - t.slope*t.sx) / t.n
	}
	t.length = float64(t.x1 - t.x0)
	t.thick = t.n / t.length
}

func (t *strip) y(x float64) float64 { return t.at + t.slope*x }

// line is a chain of strips: one printed rule with its breaks. Its coordinates are
// those of the ink that it was found in, y by x.
type line struct {
	xs, ys []float64 // knots
	spans  [][2]int  // x from and to (excluded) in which it is printed
	thick  float64
}

func (l *line) y(x float64) float64 {
	k := 0
	for k+2 < len(l.xs) && x > l.xs[k+1] {
		k++
	}
	if len(l.xs) == 1 || l.xs[k+1] == l.xs[k] {
		return l.ys[k]
	}
	t := (x - l.xs[k]) / (l.xs[k+1] - l.xs[k])
	return l.ys[k] + t*(l.ys[k+1]-l.ys[k])
}

// takeRules finds the printed straight lines, keeps them in Rules and takes them out
// of the ink. The ink of a stroke that crosses a rule stays.
func (s *Sheet) takeRules() {
	lv := s.Level()
	list, _ := pieces(s.Ink, s.W, s.H, lv)
	fh := figureHeight(list, s.H)
	if fh == 0 {
		fh = max(float64(s.H)/120, 10)
	}
	across := findLines(s.Ink, s.W, s.H, lv, s.RowSlope, fh, levelRule)
	extend(across, list, s.RowSlope, fh)
	turned := make([]uint8, len(s.Ink))
	transpose(turned, s.Ink, s.W, s.H)
	down := findLines(turned, s.H, s.W, lv, s.ColumnSlope, fh, uprightRule)
	for i, p := range list {
		list[i] = piece{p.y0, p.x0, p.y1, p.x1, p.area}
	}
	extend(down, list, s.ColumnSlope, fh)
	if len(across)+len(down) == 0 {
		return
	}
	// First paint where all rules lie; then a stroke that goes on beyond a rule is told
	// from another rule that crosses it.
	painted := make([]uint8, len(s.Ink))
	var crossA, crossD []cut
	across = slices.DeleteFunc(across, func(l line) bool {
		c, thick := trace(s.Ink, painted, s.W, s.H, 1, s.W, lv, l, fh)
		crossA = append(crossA, c...)
		return thick == 0
	})
	down = slices.DeleteFunc(down, func(l line) bool {
		c, thick := trace(s.Ink, painted, s.H, s.W, s.W, 1, lv, l, fh)
		crossD = append(crossD, c...)
		return thick == 0
	})
	erase(s.Ink, painted, s.W, s.H, 1, s.W, lv, crossA, fh, s.Bilevel)
	erase(s.Ink, painted, s.H, s.W, s.W, 1, lv, crossD, fh, s.Bilevel)
	s.clearFringe(painted, lv, fh)
	for _, l := range across {
		a, b := 0, len(l.xs)-1
		s.Rules = append(s.Rules, Rule{l.xs[a], l.ys[a] + 0.5, l.xs[b], l.ys[b] + 0.5, l.thick})
	}
	for _, l := range down {
		a, b := 0, len(l.xs)-1
		s.Rules = append(s.Rules, Rule{l.ys[a] + 0.5, l.xs[a], l.ys[b] + 0.5, l.xs[b], l.thick})
	}
	sortRules(s.Rules)
}

func orderedRule(r Rule) Rule {
	if r.Level() && r.X1 < r.X0 || !r.Level() && r.Y1 < r.Y0 {
		r.X0, r.Y0, r.X1, r.Y1 = r.X1, r.Y1, r.X0, r.Y0
	}
	return r
}

// sortRules puts level rules first, from the top, then the others from the left.
func sortRules(rules []Rule) {
	slices.SortFunc(rules, func(a, b Rule) int {
		if a.Level() != b.Level() {
			if a.Level() {
				return -1
			}
			return 1
		}
		if a.Level() {
			return cmp.Or(cmp.Compare(a.Y0, b.Y0), cmp.Compare(a.X0, b.X0), cmp.Compare(a.Y1, b.Y1), cmp.Compare(a.X1, b.X1))
		}
		return cmp.Or(cmp.Compare(a.X0, b.X0), cmp.Compare(a.Y0, b.Y0), cmp.Compare(a.X1, b.X1), cmp.Compare(a.Y1, b.Y1))
	})
}

// findLines finds the lines that run nearly along x with the slope dy/dx.
func findLines(ink []uint8, w, h int, lv uint8, slope, fh, least float64) []line {
	off := make([]int, w)
	lowest, highest := 0, 0
	for x := range off {
		off[x] = int(math.Round(slope * (float64(x) - float64(w)/2)))
		lowest, highest = min(lowest, off[x]), max(highest, off[x])
	}
	gap := 1 + int(fh/16)
	shortest := int(1.6 * fh)
	thickest := max(0.5*fh, 6)

	var strips []strip
	type stretch struct{ x0, x1, of int }
	var before, now []stretch
	parent := []int{}
	find := func(a int) int {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	var runs []struct{ y, x0, x1, of int }
	for fy := -highest; fy < h-lowest; fy++ {
		now = now[:0]
		x0, last := -1, -1
		close := func() {
			if x0 >= 0 && last+1-x0 >= shortest {
				of := -1
				for _, b := range before {
					if b.x0 < last+1 && b.x1 > x0 {
						o := find(b.of)
						if of < 0 {
							of = o
						} else if o != of {
							parent[max(o, of)] = min(o, of)
							of = min(o, of)
						}
					}
				}
				if of < 0 {
					of = len(parent)
					parent = append(parent, of)
				}
				now = append(now, stretch{x0, last + 1, of})
				runs = append(runs, struct{ y, x0, x1, of int }{fy, x0, last + 1, of})
			}
			x0 = -1
		}
		for x := 0; x < w; {
			// One stretch of x with the same offset at a time.
			end := x + 1
			for end < w && off[end] == off[x] {
				end++
			}
			y := fy + off[x]
			if y < 0 || y >= h {
				x = end
				continue
			}
			row := ink[y*w : (y+1)*w]
			for ; x < end; x++ {
				if row[x] < lv {
					continue
				}
				if x0 >= 0 && x-last-1 > gap {
					close()
				}
				if x0 < 0 {
					x0 = x
				}
				last = x
			}
		}
		close()
		before, now = now, before
	}
	index := map[int]int{}
	for _, r := range runs {
		root := find(r.of)
		k, ok := index[root]
		if !ok {
			k = len(strips)
			index[root] = k
			strips = append(strips, strip{x0: r.x0, x1: r.x1, y0: r.y, y1: r.y + 1})
		}
		t := &strips[k]
		t.x0, t.x1, t.y1 = min(t.x0, r.x0), max(t.x1, r.x1), r.y+1
		t.add(r.y, r.x0, r.x1)
	}
	kept := strips[:0]
	for _, t := range strips {
		t.fit()
		if t.thick > thickest || t.length < 2*t.thick || math.Abs(t.slope) > 0.03 {
			continue
		}
		kept = append(kept, t)
	}
	strips = kept
	slices.SortStableFunc(strips, func(a, b strip) int { return cmp.Or(cmp.Compare(a.x0, b.x0), cmp.Compare(a.y0, b.y0)) })
	used := make([]bool, len(strips))
	var lines []line
	for i := range strips {
		if used[i] {
			continue
		}
		chain := []int{i}
		cur := &strips[i]
		covered := cur.length
		for {
			next, bestOff := -1, math.Inf(1)
			for k := i + 1; k < len(strips); k++ {
				q := &strips[k]
				if used[k] || q == cur || q.x1 <= cur.x1 {
					continue
				}
				g := float64(q.x0 - cur.x1)
				if g > 3*fh {
					break
				}
				if g < -fh || q.thick > 2.5*cur.thick+1 || cur.thick > 2.5*q.thick+1 {
					continue
				}
				at := float64(q.x0+cur.x1) / 2
				d := math.Abs(q.y(at) - cur.y(at))
				if d <= max(1.5, 0.12*fh) && d+max(g, 0)*0.05 < bestOff {
					next, bestOff = k, d+max(g, 0)*0.05
				}
			}
			if next < 0 {
				break
			}
			used[next] = true
			chain = append(chain, next)
			cur = &strips[next]
			covered += cur.length
		}
		first, last := &strips[chain[0]], &strips[chain[len(chain)-1]]
		span := float64(last.x1 - first.x0)
		if covered < least*fh || covered < 0.6*span {
			continue
		}
		used[i] = true
		var l line
		for _, k := range chain {
			t := &strips[k]
			for _, x := range []int{t.x0, t.x1 - 1} {
				if n := len(l.xs); n > 0 && float64(x) <= l.xs[n-1] {
					continue
				}
				l.xs = append(l.xs, float64(x))
				l.ys = append(l.ys, t.y(float64(x))+slope*(float64(x)-float64(w)/2))
			}
			l.thick += t.thick * t.length / covered
			l.spans = append(l.spans, [2]int{t.x0, t.x1})
		}
		lines = append(lines, l)
	}
	return lines
}

// extend adds to the lines the small pieces of a worn rule: thin ones that lie on its
// course beyond its ends and in its breaks.
func extend(lines []line, list []piece, slope, fh float64) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b piece) int { return cmp.Or(cmp.Compare(a.x0, b.x0), cmp.Compare(a.y0, b.y0)) })
	for i := range lines {
		l := &lines[i]
		most := l.thick + 1 + fh/20
		on := func(p piece, x, y float64) bool {
			mx, my := float64(p.x0+p.x1-1)/2, float64(p.y0+p.y1-1)/2
			return float64(p.height()) <= most && p.width() >= 2*p.height() &&
				math.Abs(my-y-slope*(mx-x)) <= max(1.5, 0.08*fh)
		}
		// Lone pieces as long as a figure is high may be a 1 or a dash.
		doubtful := func(found []piece) bool {
			return len(found) == 1 && float64(found[0].width()) > 0.7*fh && float64(found[0].width()) < 1.4*fh
		}
		var add []piece
		// Breaks.
		for k := 0; k+1 < len(l.spans); k++ {
			from, to := l.spans[k][1], l.spans[k+1][0]
			if to <= from {
				continue
			}
			at, _ := slices.BinarySearchFunc(list, from, func(p piece, x int) int { return p.x0 - x })
			var found []piece
			for ; at < len(list) && list[at].x0 < to; at++ {
				if p := list[at]; p.x1 <= to && on(p, float64(from), l.y(float64(from))) {
					found = append(found, p)
				}
			}
			if !doubtful(found) {
				add = append(add, found...)
			}
		}
		// Beyond its ends.
		n := len(l.xs) - 1
		for _, dir := range []int{1, -1} {
			x, y := l.xs[n], l.ys[n]
			if dir < 0 {
				x, y = l.xs[0], l.ys[0]
			}
			var found []piece
			for {
				best, gap := -1, 3*fh
				at, _ := slices.BinarySearchFunc(list, int(x-8*fh), func(p piece, x int) int { return p.x0 - x })
				for ; at < len(list) && float64(list[at].x0) < x+3*fh; at++ {
					p := list[at]
					g := float64(p.x0) - x
					if dir < 0 {
						g = x - float64(p.x1-1)
					}
					if g > 0 && g < gap && on(p, x, y) {
						best, gap = at, g
					}
				}
				if best < 0 {
					break
				}
				p := list[best]
				found = append(found, p)
				nx := float64(p.x1 - 1)
				if dir < 0 {
					nx = float64(p.x0)
				}
				y += slope * (nx - x)
				y += (float64(p.y0+p.y1-1)/2 - slope*float64(p.width()-1)/2*float64(-dir) - y) / 2
				x = nx
			}
			if !doubtful(found) {
				add = append(add, found...)
			}
		}
		for _, p := range add {
			my := float64(p.y0+p.y1-1) / 2
			x0, x1 := float64(p.x0), float64(p.x1-1)
			half := slope * (x1 - x0) / 2
			at, _ := slices.BinarySearch(l.xs, x0)
			l.xs = slices.Insert(l.xs, at, x0, x1)
			l.ys = slices.Insert(l.ys, at, my-half, my+half)
			l.spans = append(l.spans, [2]int{p.x0, p.x1})
		}
		slices.SortFunc(l.spans, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	}
}

// cut is what is to be taken out across a rule at one place along it.
type cut struct {
	x, y0, y1 int // band of the rule, y1 excluded
	a, b      int // ink that holds the band
}

// trace follows a rule through the ink, paints where it lies and returns the cuts and
// the thickness; that is 0 where the line is no rule. The
// ink is addressed as x*sx + y*sy, so that rules of both directions are followed alike.
func trace(ink, painted []uint8, w, h, sx, sy int, lv uint8, l line, fh float64) ([]cut, int) {
	type hit struct{ x, a, b int }
	var hits []hit
	reach := max(2, int(l.thick/2)+1)
	var along []int
	for _, sp := range l.spans {
		for x := max(sp[0]-2, 0); x < min(sp[1]+2, w); x++ {
			if n := len(along); n == 0 || x > along[n-1] {
				along = append(along, x)
			}
		}
	}
	for _, x := range along {
		yc := int(math.Round(l.y(float64(x))))
		at := -1
		for d := 0; d <= reach && at < 0; d++ {
			for _, y := range [2]int{yc - d, yc + d} {
				if y >= 0 && y < h && ink[x*sx+y*sy] >= lv {
					at = y
					break
				}
			}
		}
		if at < 0 {
			continue
		}
		a, b := at, at+1
		for a > 0 && ink[x*sx+(a-1)*sy] >= lv {
			a--
		}
		for b < h && ink[x*sx+b*sy] >= lv {
			b++
		}
		hits = append(hits, hit{x, a, b})
	}
	if len(hits) == 0 {
		return nil, 0
	}
	var sizes []int
	for _, t := range hits {
		sizes = append(sizes, t.b-t.a)
	}
	slices.Sort(sizes)
	thick := sizes[len(sizes)*45/100]
	slack := 1 + int(fh/20) + thick/3
	crossed := 0
	for _, n := range sizes {
		if n > thick+slack {
			crossed++
		}
	}
	// Serifs that run together are no rule, nor is the stem of a large letter.
	length := l.xs[len(l.xs)-1] - l.xs[0]
	if float64(crossed) > 0.25*float64(len(sizes)) || length < levelRule*fh && length < 14*float64(thick) {
		return nil, 0
	}
	cuts := make([]cut, 0, len(hits))
	for _, t := range hits {
		c := cut{x: t.x, y0: t.a, y1: t.b, a: t.a, b: t.b}
		if t.b-t.a > thick+slack {
			y0 := int(math.Round(l.y(float64(t.x)) - float64(thick)/2 + 0.5))
			c.y0 = min(max(y0, t.a), t.b)
			c.y1 = min(max(y0+thick, t.a), t.b)
		}
		for y := c.y0; y < c.y1; y++ {
			painted[c.x*sx+y*sy] = 1
		}
		cuts = append(cuts, c)
	}
	return cuts, thick
}

// erase takes the cuts out of the ink, but for strokes that go on at both sides.
func erase(ink, painted []uint8, w, h, sx, sy int, lv uint8, cuts []cut, fh float64, bilevel bool) {
	most := int(fh)
	for _, c := range cuts {
		// How far ink goes on beyond the band, not counting what is rule itself; a
		// slanted stroke may step aside by a pixel.
		beyond := func(from, step int) int {
			n, x := 0, c.x
			for y := from; y >= 0 && y < h && n < most; y += step {
				ok := false
				for _, d := range [3]int{0, -1, 1} {
					if k := x + d; k >= 0 && k < w && ink[k*sx+y*sy] >= lv && painted[k*sx+y*sy] == 0 {
						x, ok = k, true
						break
					}
				}
				if !ok {
					break
				}
				n++
			}
			return n
		}
		up, low := beyond(c.y0-1, -1), beyond(c.y1, 1)
		if up >= 2 && low >= 2 && float64(up+low) >= fh/3 {
			continue
		}
		for y := c.y0; y < c.y1; y++ {
			ink[c.x*sx+y*sy] = 0
		}
		if bilevel {
			continue
		}
		// The grey edge of the rule.
		for y, left, was := c.y0-1, 3, uint8(255); y >= 0 && left > 0; y, left = y-1, left-1 {
			v := ink[c.x*sx+y*sy]
			if v == 0 || v >= lv || v > was {
				break
			}
			ink[c.x*sx+y*sy], was = 0, v
		}
		for y, left, was := c.y1, 3, uint8(255); y < h && left > 0; y, left = y+1, left-1 {
			v := ink[c.x*sx+y*sy]
			if v == 0 || v >= lv || v > was {
				break
			}
			ink[c.x*sx+y*sy], was = 0, v
		}
	}
}

// clearFringe clears what is left of the ragged edges of rules: pieces that lie wholly
// within a twelfth of a figure height of where a rule lay.
func (s *Sheet) clearFringe(painted []uint8, lv uint8, fh float64) {
	d := max(1, int(fh/12))
	list, runs := pieces(s.Ink, s.W, s.H, lv)
	goes := make([]bool, len(list))
	for i, p := range list {
		goes[i] = p.height() <= 2*d || p.width() <= 2*d
	}
	byRule := func(x, y int) bool {
		for yy := max(y-d, 0); yy <= min(y+d, s.H-1); yy++ {
			for xx := max(x-d, 0); xx <= min(x+d, s.W-1); xx++ {
				if painted[yy*s.W+xx] != 0 {
					return true
				}
			}
		}
		return false
	}
	for _, r := range runs {
		for x := int(r.x0); x < int(r.x1) && goes[r.of]; x++ {
			if !byRule(x, int(r.y)) {
				goes[r.of] = false
			}
		}
	}
	s.clearRuns(runs, goes, lv)
}

// clearRuns clears the marked pieces with their grey edges.
func (s *Sheet) clearRuns(runs []run, marked []bool, lv uint8) {
	edge := 2
	if s.Bilevel {
		edge = 0
	}
	for _, r := range runs {
		if !marked[r.of] {
			continue
		}
		for y := max(int(r.y)-edge, 0); y <= min(int(r.y)+edge, s.H-1); y++ {
			for x := max(int(r.x0)-edge, 0); x < min(int(r.x1)+edge, s.W); x++ {
				if y == int(r.y) && x >= int(r.x0) && x < int(r.x1) || s.Ink[y*s.W+x] < lv {
					s.Ink[y*s.W+x] = 0
				}
			}
		}
	}
}
