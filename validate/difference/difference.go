// Package difference finds the entry of a table of smooth figures that does not
// fit its neighbours, which is how computers of tables have always found their
// slips: a wrong entry by e puts 1, -4, 6, -4, 1 times e into the fourth
// differences, and rounding alone puts little there.
//
// In place of differences, which want equal steps, each entry is predicted from others
// that do not use it. On equal steps the miss of a cubic through two neighbours on
// either side is the fourth difference divided by 6. A table of two arguments is tested
// by polynomials along its rows, down its columns and by surfaces over both, and a miss
// is held against the scatter of the neighbours' own misses. In a single column, where
// neighbours are few, all other figures together say how it may bend and scatter. What
// the rounding of the printed figures makes is never suspect.
package difference

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Table is the figures of one smooth function of the argument of the rows, and of
// that of the columns where there is more than one column.
type Table struct {
	Rows  []float64 // argument of each row, rising or falling
	Cols  []float64 // argument of each column, rising or falling; empty in a table of one column
	Value []float64 // row after row; NaN where the table has no figure
	Half  []float64 // half-width of rounding of each figure, more than 0
}

// Verdict is what the neighbours of an entry say of it.
type Verdict struct {
	// Checkable is false where too few neighbours stand around the entry, or it has
	// no figure; the other fields are then 0.
	Checkable bool
	Expected  float64 // the figure that the neighbours predict
	Miss      float64 // the printed figure less Expected
	Bound     float64 // a greater miss, of either sign, is suspect
	// Detectable is the size of slip that is found 99 times in a hundred: the bound
	// and the scatter that may lie against it.
	Detectable float64

	// Of a table of two arguments: the model that judged, and the scatter of its
	// neighbours.
	by   int
	size float64
}

// Suspect reports whether the entry is further off than its bound.
func (v Verdict) Suspect() bool { return v.Checkable && math.Abs(v.Miss) > v.Bound }

// excess is the miss in bounds.
func (v Verdict) excess() float64 { return math.Abs(v.Miss) / v.Bound }

// Suspect is an entry that does not fit its neighbours.
type Suspect struct {
	At int // the entry, counted row after row
	Verdict
	// Or are the other entries one of which, set right, leaves no more to wonder at:
	// the evidence does not tell them from At.
	Or []int
}

const (
	// floor is the miss, in standard deviations of what rounding alone makes, below
	// which no entry is suspect: with a dozen predictions of an entry it leaves less
	// than one false alarm in 1,000.
	floor = 3.5
	// level is the share of entries, of either sign, that scatter as great as that of
	// the neighbours would make suspect, were it normal.
	level = 0.002
	// against is the scatter, in standard deviations, that a found slip overcomes in
	// 99 of 100 cases: the upper 1 % point of the normal distribution.
	against = 2.33
	// reach is how many entries away the scatter of the neighbours is taken.
	reach = 3
	// least is how many misses of neighbours a scatter needs.
	least = 4
	// separation is how much greater a sum of squared misses shows an explanation to be
	// the worse one: the square of three standard deviations.
	separation = 9
	// side of the blocks that surfaces go over.
	side = 5
	// normalMedian is the median size of a standard normal variate.
	normalMedian = 0.6745
)

// line is a polynomial of a degree through the nearest entries of a row or column.
type line struct{ points, degree int }

// lines are the polynomials that are tried along rows and columns.
func lines() []line {
	return []line{{3, 2}, {4, 3}, {4, 2}, {5, 3}, {6, 3}, {6, 4}, {8, 4}, {8, 3}}
}

// surface is a polynomial in two arguments, with its greatest degree in each and in
// both together, over five by five entries.
type surface struct{ each, total int }

func surfaces() []surface { return []surface{{3, 3}, {4, 4}, {3, 6}} }

// shape is the entries that predict another, by their distance from a base, and
// their weights.
type shape struct {
	at     []int
	weight []float64
	square float64 // sum of squares of the weights
}

func newShape(at []int, weight []float64) *shape {
	s := &shape{at: at, weight: weight}
	for _, w := range weight {
		s.square += w * w
	}
	return s
}

// stencil predicts an entry as a weighted sum of others.
type stencil struct {
	*shape     // nil where there is no prediction
	base, step int
	sd         float64 // standard deviation of the miss that rounding alone makes
}

// uses is the weight of an entry in the prediction.
func (s *stencil) uses(c int) float64 {
	d := c - s.base
	if d%s.step != 0 {
		return 0
	}
	if k, found := slices.BinarySearch(s.at, d/s.step); found {
		return s.weight[k]
	}
	return 0
}

// model is one way to predict every entry.
type model struct {
	of   []stencil // of each entry
	miss []float64
}

// check returns what is wrong with a table's shape.
func (t *Table) check() error {
	n, m := len(t.Rows), max(1, len(t.Cols))
	if len(t.Value) != n*m || len(t.Half) != n*m {
		return fmt.Errorf("difference: %d rows and %d columns want %d values and half-widths, not %d and %d", n, m, n*m, len(t.Value), len(t.Half))
	}
	for _, x := range [][]float64{t.Rows, t.Cols} {
		if !monotonic(x) {
			return errors.New("difference: the argument of the rows or columns does not rise or fall throughout")
		}
	}
	for i, h := range t.Half {
		if v := t.Value[i]; math.IsInf(v, 0) || !math.IsNaN(v) && !(h > 0 && h < math.MaxFloat64) {
			return fmt.Errorf("difference: entry %d is %g with half-width %g", i, v, h)
		}
	}
	return nil
}

func monotonic(x []float64) bool {
	for i := range x {
		if math.IsNaN(x[i]) || math.IsInf(x[i], 0) || i > 0 && x[i] == x[i-1] || i > 1 && (x[i] > x[i-1]) != (x[1] > x[0]) {
			return false
		}
	}
	return true
}

// work is a table and the predictions of its entries.
type work struct {
	*Table
	n, m   int
	even   bool      // all half-widths are the same
	value  []float64 // changed where a suspect is set right
	models []model
	t      map[int]float64 // Student's t at the level, by degrees of freedom, as far as asked for
}

func (t *Table) work() *work {
	w := &work{Table: t, n: len(t.Rows), m: max(1, len(t.Cols)), even: true, value: slices.Clone(t.Value), t: map[int]float64{}}
	for _, h := range t.Half {
		w.even = w.even && h == t.Half[0]
	}
	for _, l := range lines() {
		w.along(l, t.Rows, w.m, w.m, 1)
		w.along(l, t.Cols, w.n, 1, w.m)
	}
	if w.n >= side && w.m >= side {
		for _, s := range surfaces() {
			w.over(s)
		}
	}
	for i := range w.models {
		w.models[i].miss = make([]float64, len(w.value))
	}
	w.misses()
	return w
}

// along adds the model of one polynomial along every line of an axis: so many lines,
// next apart, their entries step apart.
func (w *work) along(l line, x []float64, count, step, next int) {
	if len(x) <= l.points {
		return
	}
	m := model{of: make([]stencil, len(w.value))}
	some := false
	var whole []*shape // lines without a gap share their shapes
	for k := range count {
		base := k * next
		full := true
		for i := range x {
			full = full && !math.IsNaN(w.value[base+i*step])
		}
		shapes := whole
		if !full || whole == nil {
			shapes = l.shapes(x, func(i int) bool { return full || !math.IsNaN(w.value[base+i*step]) })
		}
		if full {
			whole = shapes
		}
		for i, s := range shapes {
			if c := base + i*step; s != nil && !math.IsNaN(w.value[c]) {
				m.of[c] = w.stencil(c, s, base, step)
				some = true
			}
		}
	}
	if some {
		w.models = append(w.models, m)
	}
}

// stencil puts a shape in its place.
func (w *work) stencil(c int, s *shape, base, step int) stencil {
	h := w.Half[c]
	if w.even {
		return stencil{s, base, step, h * math.Sqrt((1+s.square)/3)}
	}
	v := h * h
	for j, a := range s.at {
		h := s.weight[j] * w.Half[base+a*step]
		v += h * h
	}
	return stencil{s, base, step, math.Sqrt(v / 3)}
}

// shapes are those of each entry of a line; nil where too few others are.
func (l line) shapes(x []float64, has func(int) bool) []*shape {
	list := make([]*shape, len(x))
	for k := range x {
		at := nearest(len(x), k, l.points, has)
		if len(at) < l.points {
			continue
		}
		xs := make([]float64, len(at))
		for j, a := range at {
			xs[j] = x[a]
		}
		list[k] = newShape(at, newBasis(xs, l.degree).weights(x[k]))
	}
	return list
}

// nearest are the count entries nearest to k by their order, without k itself, as
// many on either side as the line has.
func nearest(n, k, count int, has func(int) bool) []int {
	at := make([]int, 0, count+1)
	for d := 1; d < n && len(at) < count; d++ {
		for _, j := range [2]int{k - d, k + d} {
			if j >= 0 && j < n && len(at) < count && has(j) {
				at = append(at, j)
			}
		}
	}
	slices.Sort(at)
	return at
}

// over adds the model of a polynomial surface over five by five entries, where none
// of them is missing: a block that lies as centrally as the table allows.
func (w *work) over(f surface) {
	m := model{of: make([]stencil, len(w.value))}
	some := false
	rows, cols := blocks(w.Rows, f.each), blocks(w.Cols, f.each)
	type place struct {
		p, q     *basis
		row, col int
	}
	shapes := map[place]*shape{}
	for i := range w.n {
		for j := range w.m {
			a, b := min(max(0, i-side/2), w.n-side), min(max(0, j-side/2), w.m-side)
			if !w.complete(a, b) {
				continue
			}
			key := place{rows[a], cols[b], i - a, j - b}
			s, known := shapes[key]
			if !known {
				s = f.shape(key.p, key.q, key.row, key.col, w.m)
				shapes[key] = s
			}
			if s != nil {
				m.of[i*w.m+j] = w.stencil(i*w.m+j, s, a*w.m+b, 1)
				some = true
			}
		}
	}
	if some {
		w.models = append(w.models, m)
	}
}

// shape predicts an entry of a block from the others: the fit without the entry is
// the fit with it, its own share taken out. It is nil where the entry alone would
// settle the fit.
func (f surface) shape(p, q *basis, row, col, stride int) *shape {
	at := make([]int, 0, side*side-1)
	weight := make([]float64, 0, side*side-1)
	var own float64
	for r := range side {
		for s := range side {
			var v float64
			for d := range p.of {
				for e := range q.of {
					if d+e <= f.total {
						v += p.of[d][row] * p.of[d][r] * q.of[e][col] * q.of[e][s]
					}
				}
			}
			if r == row && s == col {
				own = v
				continue
			}
			at = append(at, r*stride+s)
			weight = append(weight, v)
		}
	}
	if own > 0.9 {
		return nil
	}
	for k := range weight {
		weight[k] /= 1 - own
	}
	return newShape(at, weight)
}

// blocks are the polynomials over each five entries of an axis; blocks of like
// spacing share them.
func blocks(x []float64, degree int) []*basis {
	list := make([]*basis, len(x)-side+1)
	for i := range list {
		b := newBasis(x[i:i+side], degree)
		if i > 0 && b.like(list[i-1]) {
			b = list[i-1]
		}
		list[i] = b
	}
	return list
}

func (w *work) complete(a, b int) bool {
	for r := range side {
		for s := range side {
			if math.IsNaN(w.value[(a+r)*w.m+b+s]) {
				return false
			}
		}
	}
	return true
}

func (w *work) misses() {
	for i := range w.models {
		m := &w.models[i]
		for c := range m.of {
			if s := &m.of[c]; s.shape != nil {
				r := w.value[c]
				for j, a := range s.at {
					r -= s.weight[j] * w.value[s.base+a*s.step]
				}
				m.miss[c] = r
			}
		}
	}
}

// judge gives the verdict of the prediction with the smallest bound.
func (w *work) judge(c int) Verdict {
	best := Verdict{Bound: math.Inf(1)}
	for i := range w.models {
		m := &w.models[i]
		s := &m.of[c]
		if s.shape == nil || floor*s.sd >= best.Bound {
			continue
		}
		size, t, ok := w.scatter(m, c)
		if !ok {
			continue
		}
		if limit := max(floor, t*size) * s.sd; limit < best.Bound {
			best = Verdict{true, w.value[c] - m.miss[c], m.miss[c], limit, limit + against*max(1, size)*s.sd, i, size}
		}
	}
	if !best.Checkable {
		return Verdict{}
	}
	return best
}

// plain reports whether no scatter could make an entry suspect.
func (w *work) plain(c int) bool {
	for i := range w.models {
		m := &w.models[i]
		if s := &m.of[c]; s.shape != nil && math.Abs(m.miss[c]) > floor*s.sd {
			return false
		}
	}
	return true
}

// scatter is how much more the neighbours of an entry miss than rounding makes them,
// and Student's t for as many. The entry is taken to be what is predicted of it, or
// its own slip would widen the bound that finds it. Half of them miss less than the
// median: a second slip nearby does not hide the first. But where the nearest miss
// more than that, the figures bend there, as at the stall.
func (w *work) scatter(m *model, c int) (size, t float64, ok bool) {
	i, j := c/w.m, c%w.m
	list := make([]float64, 0, (2*reach+1)*(2*reach+1))
	var near float64
	var nears int
	for a := max(0, i-reach); a <= min(w.n-1, i+reach); a++ {
		for b := max(0, j-reach); b <= min(w.m-1, j+reach); b++ {
			o := a*w.m + b
			s := &m.of[o]
			if o == c || s.shape == nil {
				continue
			}
			z := math.Abs(m.miss[o]+s.uses(c)*m.miss[c]) / s.sd
			list = append(list, z)
			if a == i && abs(b-j) <= 2 || b == j && abs(a-i) <= 2 {
				near += z * z
				nears++
			}
		}
	}
	if len(list) < least {
		return 0, 0, false
	}
	slices.Sort(list)
	mid := list[len(list)/2]
	if len(list)%2 == 0 {
		mid = (mid + list[len(list)/2-1]) / 2
	}
	t, known := w.t[len(list)]
	if !known {
		t = student(len(list), level)
		w.t[len(list)] = t
	}
	return max(mid/normalMedian, math.Sqrt(near/float64(max(1, nears)))), t, true
}

// student is the Student's t, of either sign, that a share of variates is beyond.
func student(dof int, share float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(dof)}.Quantile(1 - share/2)
}

func abs(i int) int { return max(i, -i) }

// Judge gives the verdict on every entry.
func (t *Table) Judge() ([]Verdict, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	if len(t.Cols) < 2 {
		return t.columnJudge(), nil
	}
	w := t.work()
	list := make([]Verdict, len(w.value))
	for c := range list {
		if !math.IsNaN(w.value[c]) {
			list[c] = w.judge(c)
		}
	}
	return list, nil
}

// Suspects finds the entries that do not fit, worst first. Each is set right before
// the next is sought, so that a slip does not accuse its neighbours. Smooth is false
// where more than one entry in ten, or in eight of a single column, would be suspect:
// the figures are then no smooth function of their arguments, and the neighbours prove
// nothing.
func (t *Table) Suspects() (list []Suspect, smooth bool, err error) {
	if err := t.check(); err != nil {
		return nil, false, err
	}
	if len(t.Cols) < 2 {
		list, smooth = t.columnSuspects()
		return list, smooth, nil
	}
	w := t.work()
	most := max(1, len(w.value)/10)
	for {
		now := w.suspects()
		if len(now) == 0 {
			return list, true, nil
		}
		if len(list) == most {
			return nil, false, nil
		}
		worst := now[0]
		worst.Or = w.others(worst, now[1:])
		w.set(worst.At, worst.Expected)
		list = append(list, worst)
	}
}

// suspects are the entries beyond their bounds as the table stands, worst first.
func (w *work) suspects() []Suspect {
	var list []Suspect
	for c, v := range w.value {
		if math.IsNaN(v) || w.plain(c) {
			continue
		}
		if v := w.judge(c); v.Suspect() {
			list = append(list, Suspect{At: c, Verdict: v})
		}
	}
	slices.SortStableFunc(list, func(a, b Suspect) int { return cmp.Compare(b.excess(), a.excess()) })
	return list
}

// others are the suspects that explain as much as the worst does. Set right in its
// stead, they leave misses around both that are no greater, but for what scatter of
// the neighbours' size would make of them.
func (w *work) others(worst Suspect, rest []Suspect) []int {
	var or []int
	m := &w.models[worst.by]
	for _, s := range rest {
		if m.of[s.At].shape == nil {
			continue
		}
		own, its := m.left(worst.At, worst.At, s.At), m.left(s.At, worst.At, s.At)
		if its-own < separation*max(1, worst.size*worst.size) {
			or = append(or, s.At)
		}
	}
	slices.Sort(or)
	return or
}

// left is the sum of squares, in standard deviations of rounding, of the misses that
// lean on either of two entries once another is set right.
func (m *model) left(right, c, o int) float64 {
	var sum float64
	for k := range m.of {
		s := &m.of[k]
		if s.shape == nil || k != c && k != o && s.uses(c) == 0 && s.uses(o) == 0 {
			continue
		}
		r := m.miss[k]
		if k == right {
			r = 0
		} else {
			r += s.uses(right) * m.miss[right]
		}
		sum += r * r / (s.sd * s.sd)
	}
	return sum
}

func (w *work) set(c int, v float64) {
	w.value[c] = v
	w.misses()
}
