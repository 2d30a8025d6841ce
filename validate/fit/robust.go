package fit

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Robust is a fit that a few wrong rows do not move: an M-estimate with Tukey's
// biweight, started from least trimmed squares.
type Robust struct {
	Coefficients []float64
	StdErrors    []float64 // square roots of the diagonal of Covariance

	// Covariance is Huber's, for an M-estimate of fixed scale s:
	//
	//	K^2 s^2 sum psi^2/(n-p) / mean(psi')^2 (X'WX)^-1,  K = 1 + p/n var(psi')/mean(psi')^2
	//
	// Source: Huber, Robust Statistics (1981), 7.6, from memory; compared in the
	// tests with statsmodels' RLM. Zero where Scale is.
	Covariance [][]float64

	// Scale is s = 1.4826 (1 + 5/(n-p)) median|r sqrt(w)| of the least trimmed
	// squares, of which a normal error has the standard deviation. With half-widths
	// it is in half-widths and at least 1/sqrt(3), that of rounding; without, it is
	// zero where more than half of the rows lie on one curve.
	// Source: Rousseeuw and Leroy, Robust Regression (1987), 5.1, from memory.
	Scale float64

	Residuals []float64 // n; y less the fitted value, in the unit of y
	Weights   []float64 // n; Tukey's (1-(r/cs)^2)^2, 0 where |r| >= c s, c = 4.685

	// Left are the rows of weight 0, ascending: the fit goes by the others alone.
	// They are not thereby wrong: see Resistant.
	Left []int
}

const (
	tuning       = 4.685 // 95 % efficiency for normal errors
	most         = 1500  // of the subsets that a start is sought from
	concentrated = 6     // of them that are improved to a local optimum
	perfect      = 1e-9  // of the largest |y|: a residual below it is float64's own
)

// Biweight fits y = sum_j b_j x_j against up to about (n-p)/2 wrong rows, wrong in y
// or in x. half, where it is not nil, gives the weights 1/h^2 and the least scale.
//
// The start is the subset of p rows whose exact fit, after concentration steps, has
// the least sum of the h = (n+p+1)/2 smallest squares; all subsets where they are
// 1500 or fewer, else 1500 by a fixed sequence. The same rows in the same order give
// the same fit. Computed in float64.
//
// Errors: *TooFewRowsError below 2p+1 rows, *RankError; as of Linear.
func Biweight(design [][]*big.Rat, y, half []*big.Rat) (*Robust, error) {
	var weight []*big.Rat
	if half != nil {
		var err error
		if weight, err = weights(y, half); err != nil {
			return nil, err
		}
	}
	if _, err := solve(design, y, weight); err != nil { // says what is amiss with the data
		return nil, err
	}
	return biweight(design, y, half)
}

// biweight is Biweight of rows that are known to determine a fit.
func biweight(design [][]*big.Rat, y, half []*big.Rat) (*Robust, error) {
	n, p := len(y), len(design[0])
	if n < 2*p+1 {
		return nil, &TooFewRowsError{Rows: n, Parameters: 2 * p}
	}
	f := newFloats(design, y, half)
	start := f.trimmed()
	if start == nil {
		return nil, fmt.Errorf("no %d of %d rows determine %d parameters well enough for a robust fit", p, n, p)
	}
	r := &Robust{Coefficients: start, Weights: make([]float64, n)}
	absolute := f.residuals(start)
	for i := range absolute {
		absolute[i] = math.Abs(absolute[i])
	}
	slices.Sort(absolute)
	median := (absolute[(n-1)/2] + absolute[n/2]) / 2
	r.Scale = 1.4826 * (1 + 5/float64(n-p)) * median
	if half != nil {
		r.Scale = math.Max(r.Scale, 1/math.Sqrt(3))
	}
	flat := r.Scale <= perfect*f.size
	if flat {
		r.Scale = 0
	}
	cut := tuning * r.Scale
	if flat {
		cut = perfect * f.size
	}
	for range 500 {
		before := slices.Clone(r.Coefficients)
		weigh(f.residuals(r.Coefficients), cut, r.Weights)
		next := f.solve(r.Weights)
		if next == nil {
			return nil, fmt.Errorf("the rows that agree with one another do not determine %d parameters", p)
		}
		r.Coefficients = next
		step := 0.0
		for j := range next {
			step = math.Max(step, math.Abs(next[j]-before[j])/(math.Abs(next[j])+1e-300))
		}
		if step < 1e-13 {
			break
		}
	}
	scaled := f.residuals(r.Coefficients)
	weigh(scaled, cut, r.Weights)
	r.Residuals = make([]float64, n)
	for i := range scaled {
		r.Residuals[i] = scaled[i] / f.root[i]
		if r.Weights[i] == 0 {
			r.Left = append(r.Left, i)
		}
	}
	f.errors(r, scaled)
	// Columns were scaled for the sake of float64.
	for j := range p {
		r.Coefficients[j] /= f.column[j]
		for k := range p {
			r.Covariance[j][k] /= f.column[j] * f.column[k]
		}
		r.StdErrors = append(r.StdErrors, math.Sqrt(r.Covariance[j][j]))
	}
	return r, nil
}

func weigh(scaled []float64, cut float64, weights []float64) {
	for i, e := range scaled {
		u := e / cut
		weights[i] = 0
		if math.Abs(u) < 1 {
			weights[i] = (1 - u*u) * (1 - u*u)
		}
	}
}

// floats is the rows as float64, each times the root of its weight, each column
// divided by its largest value.
type floats struct {
	rows   [][]float64
	y      []float64
	root   []float64
	column []float64
	size   float64 // of the largest |y|
}

func newFloats(design [][]*big.Rat, y, half []*big.Rat) *floats {
	n, p := len(y), len(design[0])
	f := &floats{rows: make([][]float64, n), y: make([]float64, n), root: make([]float64, n), column: make([]float64, p)}
	for i := range n {
		f.rows[i] = make([]float64, p)
		for j := range p {
			f.rows[i][j], _ = design[i][j].Float64()
			f.column[j] = math.Max(f.column[j], math.Abs(f.rows[i][j]))
		}
	}
	for i := range n {
		f.root[i] = 1
		if half != nil {
			h, _ := half[i].Float64()
			f.root[i] = 1 / h
		}
		f.y[i], _ = y[i].Float64()
		f.y[i] *= f.root[i]
		f.size = math.Max(f.size, math.Abs(f.y[i]))
		for j := range p {
			f.rows[i][j] *= f.root[i] / f.column[j]
		}
	}
	return f
}

func (f *floats) residuals(b []float64) []float64 {
	rest := make([]float64, len(f.y))
	for i, row := range f.rows {
		rest[i] = f.y[i]
		for j, x := range row {
			rest[i] -= b[j] * x
		}
	}
	return rest
}

// solve is weighted least squares by QR, nil where the rows of weight above zero do
// not determine it.
func (f *floats) solve(weights []float64) []float64 {
	p := len(f.column)
	var x, y []float64
	for i, w := range weights {
		if w == 0 {
			continue
		}
		root := math.Sqrt(w)
		for _, value := range f.rows[i] {
			x = append(x, root*value)
		}
		y = append(y, root*f.y[i])
	}
	if len(y) < p {
		return nil
	}
	var qr mat.QR
	qr.Factorize(mat.NewDense(len(y), p, x))
	if !(qr.Cond() < 1e12) {
		return nil
	}
	var b mat.VecDense
	if err := qr.SolveVecTo(&b, false, mat.NewVecDense(len(y), y)); err != nil {
		return nil
	}
	return slices.Clone(b.RawVector().Data)
}

// trimmed is the least trimmed squares over the h rows that agree best.
func (f *floats) trimmed() []float64 {
	n, p := len(f.y), len(f.column)
	h := (n + p + 1) / 2
	type start struct {
		b   []float64
		sum float64
	}
	var best []start
	square, b, squares := make([]float64, p*(p+1)), make([]float64, p), make([]float64, n)
	try := func(rows []int) {
		if !f.through(rows, square, b) {
			return
		}
		for i, row := range f.rows {
			e := f.y[i]
			for j, x := range row {
				e -= b[j] * x
			}
			squares[i] = e * e
		}
		slices.Sort(squares)
		sum := 0.0
		for _, e := range squares[:h] {
			sum += e
		}
		if len(best) == concentrated && sum >= best[len(best)-1].sum {
			return
		}
		at := len(best)
		for at > 0 && sum < best[at-1].sum {
			at--
		}
		if best = slices.Insert(best, at, start{slices.Clone(b), sum}); len(best) > concentrated {
			best = best[:concentrated]
		}
	}
	if subsets(n, p) <= most {
		rows := make([]int, p)
		for i := range rows {
			rows[i] = i
		}
		for more := true; more; more = next(rows, n) {
			try(rows)
		}
	} else {
		random := rand.New(rand.NewPCG(1, 2)) // a fixed sequence: the same fit every time
		for range most {
			try(random.Perm(n)[:p])
		}
	}
	var final []float64
	least := math.Inf(1)
	for _, s := range best {
		for {
			chosen, _ := f.closest(s.b, h)
			b := f.solve(chosen)
			if b == nil {
				break
			}
			_, sum := f.closest(b, h)
			if !(sum < s.sum) {
				break
			}
			s.b, s.sum = b, sum
		}
		if s.sum < least {
			final, least = s.b, s.sum
		}
	}
	return final
}

// through solves for the curve through p rows exactly, by elimination with pivots; a
// is room for p(p+1) numbers. It is false where the rows do not determine it.
func (f *floats) through(rows []int, a, b []float64) bool {
	p := len(rows)
	at := func(i, j int) *float64 { return &a[i*(p+1)+j] }
	for i, row := range rows {
		copy(a[i*(p+1):], f.rows[row])
		*at(i, p) = f.y[row]
		size := 0.0 // rows of unlike weight are no worse determined
		for _, x := range f.rows[row] {
			size = math.Max(size, math.Abs(x))
		}
		if size == 0 {
			return false
		}
		for j := range p + 1 {
			*at(i, j) /= size
		}
	}
	for k := range p {
		pivot := k
		for i := k + 1; i < p; i++ {
			if math.Abs(*at(i, k)) > math.Abs(*at(pivot, k)) {
				pivot = i
			}
		}
		if math.Abs(*at(pivot, k)) < 1e-12 {
			return false
		}
		for j := k; j <= p; j++ {
			*at(k, j), *at(pivot, j) = *at(pivot, j), *at(k, j)
		}
		for i := k + 1; i < p; i++ {
			factor := *at(i, k) / *at(k, k)
			for j := k; j <= p; j++ {
				*at(i, j) -= factor * *at(k, j)
			}
		}
	}
	for k := p - 1; k >= 0; k-- {
		b[k] = *at(k, p)
		for j := k + 1; j < p; j++ {
			b[k] -= *at(k, j) * b[j]
		}
		b[k] /= *at(k, k)
	}
	return true
}

// closest marks the h rows of the smallest residuals and sums their squares. Of rows
// as far off as one another, the earlier come first.
func (f *floats) closest(b []float64, h int) (chosen []float64, sum float64) {
	rest := f.residuals(b)
	order := make([]int, len(rest))
	for i := range order {
		order[i] = i
		rest[i] *= rest[i]
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case rest[a] < rest[b]:
			return -1
		case rest[a] > rest[b]:
			return 1
		}
		return 0
	})
	chosen = make([]float64, len(rest))
	for _, i := range order[:h] {
		chosen[i] = 1
		sum += rest[i]
	}
	return chosen, sum
}

// subsets is n over p, or more than most.
func subsets(n, p int) int {
	count := 1
	for i := range p {
		if count = count * (n - i) / (i + 1); count > most*n {
			break
		}
	}
	return count
}

// next steps rows, p of n ascending, to the next subset.
func next(rows []int, n int) bool {
	p := len(rows)
	for i := p - 1; i >= 0; i-- {
		if rows[i] < n-p+i {
			rows[i]++
			for j := i + 1; j < p; j++ {
				rows[j] = rows[j-1] + 1
			}
			return true
		}
	}
	return false
}

// errors sets the covariance.
func (f *floats) errors(r *Robust, scaled []float64) {
	n, p := len(f.y), len(f.column)
	r.Covariance = make([][]float64, p)
	for j := range r.Covariance {
		r.Covariance[j] = make([]float64, p)
	}
	if r.Scale == 0 {
		return
	}
	squares, mean, square := 0.0, 0.0, 0.0
	var x []float64
	for i, e := range scaled {
		x = append(x, f.rows[i]...)
		u := e / (tuning * r.Scale)
		if math.Abs(u) >= 1 {
			continue
		}
		psi := e / r.Scale * (1 - u*u) * (1 - u*u)
		slope := (1 - u*u) * (1 - 5*u*u)
		squares += psi * psi
		mean += slope / float64(n)
		square += slope * slope / float64(n)
	}
	k := 1 + float64(p)/float64(n)*(square-mean*mean)/(mean*mean)
	factor := k * k * r.Scale * r.Scale * squares / float64(n-p) / (mean * mean)
	var qr mat.QR
	qr.Factorize(mat.NewDense(n, p, x))
	var upper mat.Dense
	qr.RTo(&upper)
	var inverse mat.Dense
	if err := inverse.Inverse(upper.Slice(0, p, 0, p)); err != nil {
		// Full rank was shown exactly; what float64 cannot invert has no figure.
		for j := range p {
			for l := range p {
				r.Covariance[j][l] = math.NaN()
			}
		}
		return
	}
	for j := range p {
		for l := range p {
			sum := 0.0
			for m := range p {
				sum += inverse.At(j, m) * inverse.At(l, m)
			}
			r.Covariance[j][l] = factor * sum
		}
	}
}
