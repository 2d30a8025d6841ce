package scan

import (
	"math"
	"slices"
)

// maxSlope is the greatest slope that is measured: 5 degrees.
var maxSlope = math.Tan(5 * math.Pi / 180)

// spot is a mark of print, by the two edges that stand on lines: along the line and
// across it. For rows a0 and a1 are left and right edges and b0, b1 top and bottom.
type spot struct{ a0, a1, b0, b1 float64 }

func (p spot) mid() float64 { return (p.a0 + p.a1) / 2 }

// measureSlopes measures the two slopes of the print. Where one axis gives no
// evidence, the page is taken as turned and not sheared: ColumnSlope = -RowSlope.
func (s *Sheet) measureSlopes() {
	list, _ := pieces(s.Ink, s.W, s.H, s.Level())
	fh := figureHeight(list, s.H)
	if fh == 0 {
		return
	}
	var rows, columns []spot
	for _, p := range list {
		ht, wd := float64(p.height()), float64(p.width())
		if ht < 0.7*fh || ht > 1.4*fh || wd > 3*fh || wd < 0.12*fh {
			continue
		}
		rows = append(rows, spot{float64(p.x0), float64(p.x1), float64(p.y0), float64(p.y1)})
		if wd < 1.3*fh {
			columns = append(columns, spot{float64(p.y0), float64(p.y1), float64(p.x0), float64(p.x1)})
		}
	}
	r, rowsSure := slope(rows, fh)
	c, columnsSure := slope(columns, fh)
	// A shear of more than a degree is rare; prose without columns may seem to have one.
	if rowsSure && columnsSure && math.Abs(r+c) > 0.02 && len(columns) < 150 {
		columnsSure = false
	}
	if v, length := s.ruleSlope(false); length > 10*fh && !columnsSure {
		c, columnsSure = v, true
	}
	if v, length := s.ruleSlope(true); length > 10*fh && !rowsSure {
		r, rowsSure = v, true
	}
	switch {
	case rowsSure && !columnsSure:
		c = -r
	case columnsSure && !rowsSure:
		r = -c
	case !rowsSure:
		r, c = 0, 0
	}
	s.RowSlope, s.ColumnSlope = r, c
}

// ruleSlope returns the middle slope of the long rules of one direction, weighed by
// length, and their total length.
func (s *Sheet) ruleSlope(level bool) (slope, length float64) {
	type one struct{ slope, length float64 }
	var all []one
	for _, r := range s.Rules {
		if r.Level() != level {
			continue
		}
		dx, dy := r.X1-r.X0, r.Y1-r.Y0
		l := math.Hypot(dx, dy)
		if level {
			all = append(all, one{dy / dx, l})
		} else {
			all = append(all, one{dx / dy, l})
		}
		length += l
	}
	slices.SortFunc(all, func(a, b one) int {
		switch {
		case a.slope < b.slope:
			return -1
		case a.slope > b.slope:
			return 1
		}
		return 0
	})
	left := length / 2
	for _, o := range all {
		if left -= o.length; left <= 0 {
			return o.slope, length
		}
	}
	return 0, length
}

// slope measures db/da of the lines on which the spots stand. Evidence is of two
// kinds. Neighbours on a line give a rough slope that knows nothing of other lines;
// so a table whose far column stands one row off does not mislead it. Near that slope
// the one is taken at which the edges, brought together along it, crowd most.
func slope(spots []spot, fh float64) (float64, bool) {
	if len(spots) < 12 {
		return 0, false
	}
	rough, spreadOf, n := neighbours(spots, fh)
	var reach float64
	if n >= 12 {
		reach = max(4*spreadOf/math.Sqrt(float64(n)), 0.004)
	} else {
		rough, reach = 0, 0.03
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	mid := 0.0
	for _, p := range spots {
		lo, hi = min(lo, p.mid()), max(hi, p.mid())
		mid += p.mid() / float64(len(spots))
	}
	length := hi - lo
	if length < 2*fh {
		return rough, n >= 12
	}
	at := rough
	var low, best float64
	for _, bin := range []float64{max(fh/5, 1), max(fh/12, 1), max(fh/24, 0.7)} {
		step := bin / length / 2
		k := int(math.Ceil(reach / step))
		if k > 400 {
			k, step = 400, reach/400
		}
		crowds := make([]float64, 2*k+1)
		top, low0 := 0, math.Inf(1)
		for i := range crowds {
			v := at + float64(i-k)*step
			crowds[i] = crowd(spots, v, mid, bin)
			if crowds[i] > crowds[top] {
				top = i
			}
			low0 = min(low0, crowds[i])
		}
		if best == 0 {
			low, best = low0, crowds[top]
		}
		next := at + float64(top-k)*step
		if top > 0 && top < len(crowds)-1 {
			a, b, c := crowds[top-1], crowds[top], crowds[top+1]
			if d := a - 2*b + c; d < 0 {
				next += 0.5 * (a - c) / d * step
			}
		}
		at = max(min(next, maxSlope), -maxSlope)
		reach = 3 * step
	}
	return at, n >= 12 || best > 1.3*low
}

// neighbours returns the middle slope from each spot to the next one on its line, how
// widely those slopes are spread, and their number.
func neighbours(spots []spot, fh float64) (middle, spreadOf float64, n int) {
	byA := slices.Clone(spots)
	slices.SortFunc(byA, func(p, q spot) int {
		switch {
		case p.a0 != q.a0 && p.a0 < q.a0:
			return -1
		case p.a0 != q.a0:
			return 1
		case p.b0 < q.b0:
			return -1
		case p.b0 > q.b0:
			return 1
		}
		return 0
	})
	var all []float64
	for i, p := range byA {
		for _, q := range byA[i+1:] {
			if q.a0 > p.a1+1.6*fh {
				break
			}
			if q.a0 < p.a1-0.2*fh {
				continue
			}
			d := q.mid() - p.mid()
			if d < 0.3*fh || math.Abs(q.b1-p.b1) > 0.25*fh || math.Abs(q.b0-p.b0) > 0.25*fh {
				continue
			}
			all = append(all, ((q.b1+q.b0)-(p.b1+p.b0))/2/d)
			break
		}
	}
	n = len(all)
	if n < 12 {
		return 0, 0, n
	}
	slices.Sort(all)
	// The mean of the middle half: the median of whole pixels is too coarse.
	q := n / 4
	for _, v := range all[q : n-q] {
		middle += v / float64(n-2*q)
	}
	return max(min(middle, maxSlope), -maxSlope), (all[n-1-q] - all[q]) * 0.74, n
}

// crowd tells how closely the edges of the spots stand together when they are brought
// to one place along the slope: the sum of the squares of the counts by bins.
func crowd(spots []spot, slope, mid, bin float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range spots {
		off := slope * (p.mid() - mid)
		lo, hi = min(lo, p.b0-off), max(hi, p.b1-off)
	}
	n := int((hi-lo)/bin) + 3
	heads, feet := make([]float32, n), make([]float32, n)
	for _, p := range spots {
		off := slope*(p.mid()-mid) + lo
		put := func(to []float32, b float64) {
			f := (b - off) / bin
			k := int(f)
			r := float32(f - float64(k))
			to[k] += 1 - r
			to[k+1] += r
		}
		put(heads, p.b0)
		put(feet, p.b1)
	}
	sum := 0.0
	for i := range heads {
		sum += float64(heads[i])*float64(heads[i]) + float64(feet[i])*float64(feet[i])
	}
	return sum
}

// upright returns the clockwise turn that brings the print upright, as far as the ink
// alone tells it. That lines run across or down is sure on a page of print; which way
// round is guessed by points, which stand at the feet of figures; feet and heads say
// how many stand there and how many at their heads, once turned.
func (s *Sheet) upright() (turn, feet, heads int) {
	list, _ := pieces(s.Ink, s.W, s.H, s.Level())
	across, low, high := linesAlong(list, s.W, s.H, false)
	down, right, left := linesAlong(list, s.W, s.H, true)
	switch {
	case down > across && right >= left:
		// The feet of the figures point to the right, so their heads to the left, which
		// a clockwise turn brings to the top.
		return 90, right, left
	case down > across:
		return 270, left, right
	case low < high:
		return 180, high, low
	}
	return 0, low, high
}

// linesAlong counts the figures whose nearest neighbour stands beside them, rather
// than above or below, and the points beside figures that stand nearer to the greater
// side of the other axis and to the lesser. Swapped, the axes are exchanged.
func linesAlong(list []piece, w, h int, swapped bool) (beside, greater, lesser int) {
	long := make([]piece, len(list))
	for i, p := range list {
		m := max(p.width(), p.height())
		long[i] = piece{0, 0, m, m, m * m}
	}
	size := figureHeight(long, max(w, h))
	if size == 0 {
		return 0, 0, 0
	}
	var figures, points []piece
	for _, p := range list {
		if swapped {
			p = piece{p.y0, p.x0, p.y1, p.x1, p.area}
		}
		m := float64(max(p.width(), p.height()))
		switch {
		case m > 0.6*size && m < 1.6*size:
			figures = append(figures, p)
		case m < 0.35*size && m >= 0.08*size && p.width() <= 2*p.height() && p.height() <= 2*p.width():
			points = append(points, p)
		}
	}
	byX := func(a, b piece) int {
		if a.x0 != b.x0 {
			return a.x0 - b.x0
		}
		return a.y0 - b.y0
	}
	slices.SortFunc(figures, byX)
	slices.SortFunc(points, byX)
	shared := func(a0, a1, b0, b1 int) bool {
		return 10*(min(a1, b1)-max(a0, b0)) >= 6*min(a1-a0, b1-b0)
	}
	for i, p := range figures {
		right, below := 1.5*size, 1.5*size
		for k := i + 1; k < len(figures); k++ {
			q := figures[k]
			if float64(q.x0-p.x1) > 1.5*size {
				break
			}
			if shared(p.y0, p.y1, q.y0, q.y1) && q.x0 >= p.x1-1 {
				right = min(right, float64(q.x0-p.x1))
			}
			if shared(p.x0, p.x1, q.x0, q.x1) {
				below = min(below, float64(max(q.y0-p.y1, p.y0-q.y1)))
			}
		}
		if right < below {
			beside++
		}
	}
	at := 0
	// The dot of an i stands over its stem; no decimal point does.
	overStem := func(p piece, from int) bool {
		for _, q := range figures[from:] {
			if q.x0 > p.x1 {
				break
			}
			gap := max(q.y0-p.y1, p.y0-q.y1)
			off := math.Abs(float64(q.x0+q.x1-p.x0-p.x1)) / 2
			if gap >= 0 && float64(gap) < 0.3*size && float64(q.width()) < 0.5*size && off < 0.15*size {
				return true
			}
		}
		return false
	}
	for _, p := range points {
		for at < len(figures) && float64(figures[at].x1) < float64(p.x0)-2*size {
			at++
		}
		if overStem(p, at) {
			continue
		}
		for _, q := range figures[at:] {
			if float64(q.x0-p.x1) > 0.8*size {
				break
			}
			gap := max(q.x0-p.x1, p.x0-q.x1)
			if gap < 0 || float64(gap) > 0.8*size || p.y1 < q.y0-p.height() || p.y0 > q.y1+p.height() {
				continue
			}
			share := (float64(p.y0+p.y1)/2 - float64(q.y0)) / float64(q.height())
			if share > 0.7 && share < 1.2 {
				greater++
			} else if share < 0.3 && share > -0.2 {
				lesser++
			}
			break
		}
	}
	return beside, greater, lesser
}
