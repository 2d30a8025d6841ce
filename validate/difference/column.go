package difference

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// column is the figures of one column over their argument. They are taken for a
// quadratic, a twice integrated random walk about it, which bends no more than they
// ask for, and scatter, which is no less than their rounding:
//
//	y = b0 + b1 x + b2 x^2 + w g(x) + c e
//	cov g(x, x') = integral from 0 to min(x, x') of (x-u)^2 (x'-u)^2 / 4 du
//	var e = h^2, c^2 >= 1/3
//
// The weight w of the walk and the scatter c are those of the greatest restricted
// likelihood of all entries but the one that is judged (H. D. Patterson and R.
// Thompson, Biometrika 58, 1971; the kernel is that of smoothing splines, G. Wahba,
// "Spline Models for Observational Data", 1990). In the contrasts that are free of the
// quadratic, turned to the axes of the walk, everything is a sum: with d = 1/(w l + c^2)
// over the eigenvalues l, an entry misses what the others predict by sum(b z d) /
// sum(b^2 d), whose standard deviation is 1/sqrt(sum(b^2 d)).
type column struct {
	at    []int      // the entries
	h     []float64  // their half-widths
	y     []float64  // figures in half-widths
	axes  *mat.Dense // of the contrasts, one a column
	eigen []float64
	z     []float64 // figures along the axes
}

// trend is the number of parameters of the quadratic.
const trend = 3

// beyond is how many times further off an entry may be at the end of a column:
// what lies beyond is not known, and a curve may begin to bend there.
const beyond = 5

// leastColumn is how many entries a column needs for its bends to be told from slips.
const leastColumn = 7

func newColumn(x, y, h []float64, at []int) (*column, bool) {
	n := len(x)
	c := &column{at: at, h: h, y: make([]float64, n), z: make([]float64, n-trend)}
	t, kernel := mat.NewDense(n, trend, nil), mat.NewSymDense(n, nil)
	lo, hi := x[0], x[n-1]
	u := func(i int) float64 { return (x[i] - lo) / (hi - lo) }
	for i := range n {
		c.y[i] = y[i] / h[i]
		v := 2*u(i) - 1
		t.SetRow(i, []float64{1 / h[i], v / h[i], (v*v - 1./3) / h[i]})
		for j := i; j < n; j++ {
			kernel.SetSym(i, j, walk(u(i), u(j))/(h[i]*h[j]))
		}
	}
	var qr mat.QR
	qr.Factorize(t)
	var q, free, inner mat.Dense
	qr.QTo(&q)
	free.CloneFrom(q.Slice(0, n, trend, n))
	inner.Product(free.T(), kernel, &free)
	sym := mat.NewSymDense(n-trend, nil)
	for i := range n - trend {
		for j := i; j < n-trend; j++ {
			sym.SetSym(i, j, (inner.At(i, j)+inner.At(j, i))/2)
		}
	}
	var es mat.EigenSym
	if !es.Factorize(sym, true) {
		return nil, false
	}
	c.eigen = es.Values(nil)
	var v mat.Dense
	es.VectorsTo(&v)
	c.axes = new(mat.Dense)
	c.axes.Mul(&free, &v)
	for k := range c.z {
		for i := range n {
			c.z[k] += c.axes.At(i, k) * c.y[i]
		}
	}
	return c, true
}

// walk is the covariance of the twice integrated random walk at two arguments from 0
// to 1.
func walk(x, y float64) float64 {
	m, d := min(x, y), math.Abs(x-y)
	return m * m * (m/3 + d/2)
}

// judged is what the others say of an entry, at their likeliest walk and scatter.
type judged struct {
	like    float64 // the likelihood of the others, as a logarithm
	scatter float64 // c
	miss    float64 // in half-widths
	sd      float64
}

// judge works out what the others say of each entry.
func (c *column) judge() []judged {
	n := len(c.y)
	best := make([]judged, n)
	for i := range best {
		best[i].like = math.Inf(-1)
	}
	d := make([]float64, len(c.eigen))
	top := c.eigen[len(c.eigen)-1]
	for ls := range 17 { // from rounding alone to 256 times as much
		scatter := math.Exp2(float64(ls)) / 3
		for lw := -8; lw <= 60; lw += 2 {
			w := math.Exp2(float64(lw)/1.5) / top
			whole := 0.0
			for k, l := range c.eigen {
				v := w*max(0, l) + scatter
				d[k] = 1 / v
				whole -= (math.Log(v) + c.z[k]*c.z[k]*d[k]) / 2
			}
			for i := range n {
				var r, m float64
				row := c.axes.RawRowView(i)
				for k, b := range row {
					r += b * b * d[k]
					m += b * c.z[k] * d[k]
				}
				// The likelihood of all is that of the others and of the entry given them.
				if like := whole - (math.Log(r)-m*m/r)/2; like > best[i].like {
					best[i] = judged{like, math.Sqrt(scatter), m / r, 1 / math.Sqrt(r)}
				}
			}
		}
	}
	return best
}

// verdicts are what the others say of each entry, in the unit of the figures.
func (c *column) verdicts(all []judged) []Verdict {
	n := len(c.y)
	t := student(n-1-trend, columnLevel)
	list := make([]Verdict, n)
	for i, j := range all {
		limit := t
		if j.scatter*j.scatter < 0.34 {
			// Rounding is a bound, and known; that there is no more is a guess of few figures.
			limit = min(limit, 4*(1+36/float64(n*n)))
		}
		if c.end(i) {
			limit *= beyond
		}
		h := c.h[i]
		miss := j.miss * h
		list[i] = Verdict{Checkable: true, Expected: c.y[i]*h - miss, Miss: miss, Bound: limit * j.sd * h, Detectable: (limit + against) * j.sd * h}
	}
	return list
}

// end reports whether an entry is the first or the last.
func (c *column) end(i int) bool { return i == 0 || i == len(c.y)-1 }

// columnLevel is the share of the entries of a column, of either sign, that would be
// suspect, were their scatter normal.
const columnLevel = 0.001

// quietest is how many standard deviations of rounding a cubic may miss by in a column
// that is not looked at closer.
const quietest = 3

// tie is how much likelier, as a logarithm, an explanation is that leaves no other.
const tie = 3

// column takes the figures of a table of one column, without the entries in out.
func (t *Table) column(out []int) (*column, bool) {
	var at []int
	var x, y, h []float64
	for i, v := range t.Value {
		if !math.IsNaN(v) && !slices.Contains(out, i) {
			at, x, y, h = append(at, i), append(x, t.Rows[i]), append(y, v), append(h, t.Half[i])
		}
	}
	if len(at) < leastColumn {
		return nil, false
	}
	return newColumn(x, y, h, at)
}

func (t *Table) columnJudge() []Verdict {
	list := make([]Verdict, len(t.Value))
	c, ok := t.column(nil)
	if !ok {
		return list
	}
	for i, v := range c.verdicts(c.judge()) {
		list[c.at[i]] = v
	}
	return list
}

// quiet reports whether a cubic through its four nearest neighbours predicts every
// entry to within what rounding makes, so that there is nothing to look for.
func (t *Table) quiet() bool {
	at := make([]int, 0, len(t.Value))
	for i, v := range t.Value {
		if !math.IsNaN(v) {
			at = append(at, i)
		}
	}
	if len(at) < leastColumn {
		return false
	}
	for k, c := range at {
		first := min(max(0, k-2), len(at)-5) // of five entries, of which k is one
		miss, variance := t.Value[c], t.Half[c]*t.Half[c]
		for _, a := range at[first : first+5] {
			if a == c {
				continue
			}
			w := 1.0 // Lagrange
			for _, o := range at[first : first+5] {
				if o != a && o != c {
					w *= (t.Rows[c] - t.Rows[o]) / (t.Rows[a] - t.Rows[o])
				}
			}
			miss -= w * t.Value[a]
			variance += w * w * t.Half[a] * t.Half[a]
		}
		if math.Abs(miss) > quietest*math.Sqrt(variance/3) {
			return false
		}
	}
	return true
}

// columnSuspects finds the entries beyond their bounds, likeliest first: that without
// which the others are likeliest, then again without it. Where an end of the column
// explains more than any entry does and is not itself suspect, a curve bends there,
// and the end is left out of the question.
func (t *Table) columnSuspects() (list []Suspect, smooth bool) {
	if t.quiet() {
		return nil, true
	}
	var out []int
	for {
		c, ok := t.column(out)
		if !ok {
			return list, true
		}
		all := c.judge()
		verdicts := c.verdicts(all)
		worst := -1
		for i := range all {
			if verdicts[i].Suspect() && (worst < 0 || all[i].like > all[worst].like) {
				worst = i
			}
		}
		if worst < 0 {
			return list, true
		}
		if len(out) >= max(1, len(t.Value)/8) {
			return nil, false
		}
		bend := -1
		for i := range all {
			if c.end(i) && !verdicts[i].Suspect() && all[i].like > all[worst].like {
				bend = i
			}
		}
		if bend >= 0 {
			out = append(out, c.at[bend])
			continue
		}
		s := Suspect{At: c.at[worst], Verdict: verdicts[worst]}
		for i := range all {
			if i != worst && all[worst].like-all[i].like < tie && verdicts[i].Suspect() {
				s.Or = append(s.Or, c.at[i])
			}
		}
		list, out = append(list, s), append(out, s.At)
	}
}
