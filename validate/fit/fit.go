// Package fit is linear least squares with standard errors, exact until the last
// rounding.
//
// The inputs are exact rationals, as printed decimals are. The normal equations
// are solved in integers without fractions, so the conditioning of a table costs
// no digits, and every figure of a Result is the exact value rounded once to the
// nearest float64. A Result is therefore the same on every processor, and a
// perfect fit has residuals, standard errors and residual deviation of exactly
// zero.
//
// Rows and parameters are counted from 1 in messages and from 0 in slices.
package fit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Result is a least-squares fit of n rows to p parameters. A figure that the data
// leave undefined is NaN, as said at each field; nothing else is ever NaN.
type Result struct {
	Coefficients []float64 // p, in the order of the columns
	StdErrors    []float64 // p; square roots of the diagonal of Covariance

	// Covariance of the coefficients, p x p: s^2 (X'WX)^-1 with s = ResidualSD.
	Covariance [][]float64

	// DF is n - p, at least 1.
	DF int

	// ResidualSS is sum w r^2, in the unit of y squared (times that of w).
	ResidualSS float64

	// ResidualSD is s = sqrt(ResidualSS/DF). With weights 1/half-width^2 it is a
	// pure number: scatter in half-widths.
	ResidualSD float64

	// RSquared is 1 - ResidualSS/TSS. TSS is sum w (y - mean)^2 where the model
	// has an intercept and sum w y^2 where it has none, which is how NIST defines
	// it; Centred says which. NaN where TSS is zero: y does not vary.
	RSquared float64
	Centred  bool

	Residuals []float64 // n; y less the fitted value, in the unit of y

	// Leverage is the diagonal of the hat matrix, n values from 0 to 1 whose sum
	// is p. At 1 the row alone determines its fitted value.
	Leverage []float64

	// Deleted is y less what the fit to the other rows predicts: r/(1-h). NaN
	// where the leverage is 1, since the other rows do not determine the fit.
	Deleted []float64

	// Studentized is the deleted residual in units of its standard error, both
	// from the fit to the other rows (externally studentized):
	//
	//	t = r sqrt(w) / (s(-i) sqrt(1-h)),  s(-i)^2 = (RSS - w r^2/(1-h)) / (DF-1)
	//
	// For normal errors it follows Student's t with DF-1 degrees of freedom.
	// Infinite, with the sign of r, where the other rows fit perfectly and this
	// one does not. Zero throughout for a perfect fit. NaN where the leverage is
	// 1 and, unless the fit is perfect, where DF is 1.
	//
	// Source: Belsley, Kuh and Welsch, Regression Diagnostics (1980), from memory;
	// compared in the tests with R's rstudent and with refits.
	Studentized []float64
}

// Extreme returns the rows that share the largest |Studentized|, and its signed
// value at the first of them: a row that stands alone there is the one that
// spoils the fit most. No row is returned where none has a defined value other
// than zero.
//
// The value alone does not make a row wrong. Among rows that fit perfectly, a
// figure that was rounded by half a unit of its last digit has an infinite one:
// compare Deleted with the half-widths too.
func (r *Result) Extreme() (rows []int, studentized float64) {
	for i, t := range r.Studentized {
		switch size := math.Abs(t); {
		case math.IsNaN(t) || size == 0 || size < math.Abs(studentized):
		case size > math.Abs(studentized):
			rows, studentized = []int{i}, t
		default:
			rows = append(rows, i)
		}
	}
	return rows, studentized
}

// ExtremeChance bounds the chance that the largest |Studentized| of a table
// without a spoiled row, with independent normal errors, is as large as it is
// here: n times the two-sided tail of Student's t with DF-1 degrees of freedom,
// at most 1. It is 1 where Extreme finds no row. Unlike a fixed bound on the
// value, it allows for the few degrees of freedom of a short table.
//
// Computed in float64, for comparing with a level such as 0.01, not for
// publishing. Source: Bonferroni's inequality; standard.
func (r *Result) ExtremeChance() float64 {
	rows, t := r.Extreme()
	if len(rows) == 0 {
		return 1
	}
	if math.IsInf(t, 0) {
		return 0
	}
	tail := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.DF - 1)}.CDF(-math.Abs(t))
	return math.Min(1, 2*tail*float64(len(r.Studentized)))
}

// TooFewRowsError says that the rows do not exceed the parameters, so that a fit
// has no residual to estimate its standard errors from.
type TooFewRowsError struct {
	Rows, Parameters int
}

func (e *TooFewRowsError) Error() string {
	return fmt.Sprintf("%d rows for %d parameters: a fit with standard errors needs at least %d rows",
		e.Rows, e.Parameters, e.Parameters+1)
}

// RankError says that the columns of the design are linearly dependent.
type RankError struct {
	Parameter int    // index from 0 of the first column that depends on those before it
	Reason    string // what would have been right, "" where only the design is known
}

func (e *RankError) Error() string {
	text := fmt.Sprintf("the design is rank deficient: column %d is a linear combination of those before it", e.Parameter+1)
	if e.Parameter == 0 {
		text = "the design is rank deficient: column 1 is zero in every row"
	}
	if e.Reason != "" {
		text += "; " + e.Reason
	}
	return text
}

// Linear fits y = sum_j b_j x_j by ordinary least squares. The design has one row
// an observation and one column a parameter; an intercept is a column of ones.
// R-squared is centred exactly where the constant lies in the space of the
// columns.
//
// Errors: *TooFewRowsError, *RankError; a missing number, unequal lengths and a
// result beyond the range of float64 are plain errors that say where.
func Linear(design [][]*big.Rat, y []*big.Rat) (*Result, error) {
	s, err := solve(design, y, nil)
	if err != nil {
		return nil, err
	}
	return s.result(s.constantWithin())
}

// Weighted is Linear with a positive weight for each row; 1/half-width^2 where
// the rows are known to different accuracy. Only the ratios of the weights act on
// coefficients and standard errors: the size of the scatter is taken from the
// residuals, not from the weights.
func Weighted(design [][]*big.Rat, y, weight []*big.Rat) (*Result, error) {
	if len(weight) != len(y) {
		return nil, fmt.Errorf("%d weights for %d values of y: want one for each", len(weight), len(y))
	}
	for i, w := range weight {
		if w == nil {
			return nil, fmt.Errorf("weight of row %d is missing", i+1)
		}
		if w.Sign() <= 0 {
			return nil, fmt.Errorf("weight of row %d is %s: want one above zero", i+1, w.RatString())
		}
	}
	s, err := solve(design, y, weight)
	if err != nil {
		return nil, err
	}
	return s.result(s.constantWithin())
}

// Polynomial fits y = b0 + b1 x + ... + bd x^d, d = degree; without intercept,
// y = b1 x + ... + bd x^d. Coefficients come in ascending powers.
func Polynomial(x, y []*big.Rat, degree int, intercept bool) (*Result, error) {
	if degree < 0 || (degree == 0 && !intercept) {
		return nil, fmt.Errorf("degree %d leaves no parameter: want at least 1, or 0 with an intercept", degree)
	}
	var powers []int
	for power := range degree + 1 {
		if power > 0 || intercept {
			powers = append(powers, power)
		}
	}
	return Powers(x, y, powers...)
}

// Powers fits y = sum_j b_j x^powers[j]: powers 0 and 2 are the drag polar
// CD = CD0 + k CL^2. The powers ascend from 0. R-squared is centred where power 0
// is among them.
func Powers(x, y []*big.Rat, powers ...int) (*Result, error) {
	s, err := solvePowers(x, y, powers)
	if err != nil {
		return nil, err
	}
	return s.result(powers[0] == 0)
}

// LineResult is a straight line y = Intercept + Slope x.
type LineResult struct {
	*Result
	Intercept, InterceptSE float64
	Slope, SlopeSE         float64

	// Root is the x at which y is zero, -Intercept/Slope: of a lift curve over
	// angle of attack, the zero-lift angle. RootSE is its standard error to first
	// order, sqrt(v00 + 2 x0 v01 + x0^2 v11)/|Slope|, which means little where
	// SlopeSE is not small beside Slope. Both are NaN where the slope is zero.
	Root, RootSE float64
}

// Line fits a straight line with intercept.
func Line(x, y []*big.Rat) (*LineResult, error) {
	s, err := solvePowers(x, y, []int{0, 1})
	if err != nil {
		return nil, err
	}
	result, err := s.result(true)
	if err != nil {
		return nil, err
	}
	line := &LineResult{
		Result:    result,
		Intercept: result.Coefficients[0], InterceptSE: result.StdErrors[0],
		Slope: result.Coefficients[1], SlopeSE: result.StdErrors[1],
		Root: math.NaN(), RootSE: math.NaN(),
	}
	slope := s.coefficient(1)
	if slope.Sign() == 0 {
		return line, nil
	}
	root := s.coefficient(0)
	root.Quo(root, slope).Neg(root)
	variance := s.covariance(0, 1)
	variance.Add(variance, variance).Mul(variance, root).Add(variance, s.covariance(0, 0))
	square := new(big.Rat).Mul(root, root)
	variance.Add(variance, square.Mul(square, s.covariance(1, 1)))
	variance.Quo(variance, new(big.Rat).Mul(slope, slope))
	var round rounder
	line.Root = round.float(root, "the root of the line")
	line.RootSE = round.sqrt(variance, "the standard error of the root")
	if round.err != nil {
		return nil, round.err
	}
	return line, nil
}

func solvePowers(x, y []*big.Rat, powers []int) (*solution, error) {
	if len(x) != len(y) {
		return nil, fmt.Errorf("%d values of x for %d values of y: want as many", len(x), len(y))
	}
	if len(powers) == 0 {
		return nil, fmt.Errorf("no power of x to fit: want at least one")
	}
	for j, power := range powers {
		if power < 0 || (j > 0 && power <= powers[j-1]) {
			return nil, fmt.Errorf("powers %v: want them ascending from 0", powers)
		}
	}
	if i := slices.Index(x, nil); i >= 0 {
		return nil, fmt.Errorf("x of row %d is missing", i+1)
	}
	s, err := solve(PowersDesign(x, powers...), y, nil)
	var rank *RankError
	if errors.As(err, &rank) {
		distinct := make(map[string]bool)
		for _, abscissa := range x {
			distinct[abscissa.RatString()] = true
		}
		rank.Reason = fmt.Sprintf("x takes only %d different values in %d rows, which do not determine powers %v", len(distinct), len(x), powers)
	}
	return s, err
}

// solution holds a fit in integers. Column j of the design times columnScale[j],
// y times yScale and the weights times weightScale are whole numbers; gram, the
// adjugate and the determinant belong to those.
type solution struct {
	rows        [][]*big.Int // design, n x p
	y           []*big.Int
	weight      []*big.Int // nil where all are 1
	columnScale []*big.Rat
	yScale      *big.Rat
	weightScale *big.Rat
	adj         [][]*big.Int
	det         *big.Int
	scaled      []*big.Int // det times the coefficients of the scaled data
	residual    []*big.Int // det times the residuals of the scaled data
	rss         *big.Int   // det^2 times the residual sum of squares of the scaled data
}

func solve(design [][]*big.Rat, y, weight []*big.Rat) (*solution, error) {
	n := len(design)
	if n != len(y) {
		return nil, fmt.Errorf("%d rows of the design for %d values of y: want as many", n, len(y))
	}
	if n == 0 {
		return nil, fmt.Errorf("no rows to fit")
	}
	p := len(design[0])
	if p == 0 {
		return nil, fmt.Errorf("the design has no columns: want one for each parameter")
	}
	for i, row := range design {
		if len(row) != p {
			return nil, fmt.Errorf("row %d of the design has %d columns: want %d as in row 1", i+1, len(row), p)
		}
		for j, value := range row {
			if value == nil {
				return nil, fmt.Errorf("row %d, column %d of the design is missing", i+1, j+1)
			}
		}
		if y[i] == nil {
			return nil, fmt.Errorf("y of row %d is missing", i+1)
		}
	}
	if n <= p {
		return nil, &TooFewRowsError{Rows: n, Parameters: p}
	}

	s := &solution{rows: make([][]*big.Int, n), columnScale: make([]*big.Rat, p), weightScale: big.NewRat(1, 1)}
	for i := range s.rows {
		s.rows[i] = make([]*big.Int, p)
	}
	column := make([]*big.Rat, n)
	for j := range p {
		for i := range n {
			column[i] = design[i][j]
		}
		whole, scale := integers(column)
		for i := range n {
			s.rows[i][j] = whole[i]
		}
		s.columnScale[j] = scale
	}
	s.y, s.yScale = integers(y)
	if weight != nil {
		s.weight, s.weightScale = integers(weight)
	}

	gram := make([][]*big.Int, p)
	for j := range gram {
		gram[j] = make([]*big.Int, p)
	}
	term := new(big.Int)
	for j := range p {
		for k := range j + 1 {
			sum := new(big.Int)
			for i, row := range s.rows {
				s.weigh(term.Mul(row[j], row[k]), i)
				sum.Add(sum, term)
			}
			gram[j][k], gram[k][j] = sum, sum
		}
	}
	var dependent int
	if s.adj, s.det, dependent = adjugate(gram); dependent >= 0 {
		return nil, &RankError{Parameter: dependent}
	}
	s.scaled = s.applyAdjugate(s.moments(s.y))
	s.residual = make([]*big.Int, n)
	s.rss = new(big.Int)
	for i, row := range s.rows {
		rest := new(big.Int).Mul(s.y[i], s.det)
		for j, value := range row {
			rest.Sub(rest, term.Mul(value, s.scaled[j]))
		}
		s.residual[i] = rest
		s.weigh(term.Mul(rest, rest), i)
		s.rss.Add(s.rss, term)
	}
	return s, nil
}

// weigh multiplies value by the weight of a row, in place.
func (s *solution) weigh(value *big.Int, row int) {
	if s.weight != nil {
		value.Mul(value, s.weight[row])
	}
}

// moments returns X'W v.
func (s *solution) moments(v []*big.Int) []*big.Int {
	sums := make([]*big.Int, len(s.columnScale))
	term := new(big.Int)
	for j := range sums {
		sums[j] = new(big.Int)
		for i, row := range s.rows {
			s.weigh(term.Mul(row[j], v[i]), i)
			sums[j].Add(sums[j], term)
		}
	}
	return sums
}

func (s *solution) applyAdjugate(v []*big.Int) []*big.Int {
	product := make([]*big.Int, len(v))
	term := new(big.Int)
	for j := range product {
		product[j] = new(big.Int)
		for k := range v {
			product[j].Add(product[j], term.Mul(s.adj[j][k], v[k]))
		}
	}
	return product
}

// constantWithin says whether a column of ones is a linear combination of the
// columns: whether its own fit leaves nothing, 1'W1 det = m' adj m, m = X'W1.
func (s *solution) constantWithin() bool {
	ones := make([]*big.Int, len(s.rows))
	total := new(big.Int)
	for i := range ones {
		ones[i] = big.NewInt(1)
		unit := big.NewInt(1)
		s.weigh(unit, i)
		total.Add(total, unit)
	}
	total.Mul(total, s.det)
	moments := s.moments(ones)
	term := new(big.Int)
	for j, product := range s.applyAdjugate(moments) {
		total.Sub(total, term.Mul(moments[j], product))
	}
	return total.Sign() == 0
}

// totalSS returns the sum of squares of the scaled y, about its weighted mean
// where centred.
func (s *solution) totalSS(centred bool) *big.Rat {
	weights, sum, squares := new(big.Int), new(big.Int), new(big.Int)
	for i, value := range s.y {
		unit := big.NewInt(1)
		s.weigh(unit, i)
		weights.Add(weights, unit)
		unit.Mul(unit, value)
		sum.Add(sum, unit)
		squares.Add(squares, unit.Mul(unit, value))
	}
	total := new(big.Rat).SetInt(squares)
	if centred {
		mean := new(big.Rat).SetFrac(sum.Mul(sum, sum), weights)
		total.Sub(total, mean)
	}
	return total
}

// scaledRSS returns the residual sum of squares of the scaled data.
func (s *solution) scaledRSS() *big.Rat {
	return new(big.Rat).SetFrac(s.rss, new(big.Int).Mul(s.det, s.det))
}

func (s *solution) freedom() int { return len(s.rows) - len(s.columnScale) }

func (s *solution) coefficient(j int) *big.Rat {
	b := new(big.Rat).SetFrac(s.scaled[j], s.det)
	b.Mul(b, s.columnScale[j])
	return b.Quo(b, s.yScale)
}

func (s *solution) covariance(j, k int) *big.Rat {
	v := s.scaledRSS()
	v.Quo(v, big.NewRat(int64(s.freedom()), 1))
	v.Mul(v, new(big.Rat).SetFrac(s.adj[j][k], s.det))
	v.Mul(v, s.columnScale[j]).Mul(v, s.columnScale[k])
	return v.Quo(v, s.yScale).Quo(v, s.yScale)
}

func (s *solution) result(centred bool) (*Result, error) {
	n, p, df := len(s.rows), len(s.columnScale), s.freedom()
	r := &Result{
		Coefficients: make([]float64, p), StdErrors: make([]float64, p), Covariance: make([][]float64, p),
		DF: df, Centred: centred,
		Residuals: make([]float64, n), Leverage: make([]float64, n), Deleted: make([]float64, n), Studentized: make([]float64, n),
	}
	var round rounder
	for j := range p {
		r.Covariance[j] = make([]float64, p)
	}
	for j := range p {
		r.Coefficients[j] = round.float(s.coefficient(j), fmt.Sprintf("coefficient %d", j+1))
		for k := range j + 1 {
			v := s.covariance(j, k)
			r.Covariance[j][k] = round.float(v, fmt.Sprintf("covariance %d, %d", j+1, k+1))
			r.Covariance[k][j] = r.Covariance[j][k]
			if j == k {
				r.StdErrors[j] = round.sqrt(v, fmt.Sprintf("standard error %d", j+1))
			}
		}
	}

	rss := s.scaledRSS()
	if total := s.totalSS(centred); total.Sign() == 0 {
		r.RSquared = math.NaN()
	} else {
		explained := new(big.Rat).Sub(total, rss)
		r.RSquared = round.float(explained.Quo(explained, total), "r-squared")
	}
	rss.Quo(rss, s.weightScale).Quo(rss, s.yScale).Quo(rss, s.yScale)
	r.ResidualSS = round.float(rss, "the residual sum of squares")
	r.ResidualSD = round.sqrt(rss.Quo(rss, big.NewRat(int64(df), 1)), "the residual standard deviation")

	toY := new(big.Rat).Inv(s.yScale)
	term, rest := new(big.Int), new(big.Int)
	for i, row := range s.rows {
		// h det = w x' adj x; then rest = (1-h) det, zero where the row determines itself.
		hat := new(big.Int)
		for j, product := range s.applyAdjugate(row) {
			hat.Add(hat, term.Mul(row[j], product))
		}
		s.weigh(hat, i)
		rest.Sub(s.det, hat)
		name := fmt.Sprintf("of row %d", i+1)
		residual := new(big.Rat).SetFrac(s.residual[i], s.det)
		r.Residuals[i] = round.float(residual.Mul(residual, toY), "the residual "+name)
		r.Leverage[i] = round.ratio(hat, s.det, "the leverage "+name)
		if rest.Sign() == 0 {
			r.Deleted[i], r.Studentized[i] = math.NaN(), math.NaN()
			continue
		}
		deleted := new(big.Rat).SetFrac(s.residual[i], rest)
		r.Deleted[i] = round.float(deleted.Mul(deleted, toY), "the deleted residual "+name)
		if s.rss.Sign() == 0 {
			continue // a perfect fit: zero
		}
		if df == 1 {
			r.Studentized[i] = math.NaN()
			continue
		}
		// t^2 = (DF-1) w r^2 / ((1-h) RSS - w r^2), all over 1/det^2 of the scaled data.
		square := new(big.Int).Mul(s.residual[i], s.residual[i])
		s.weigh(square, i)
		spread := new(big.Rat).SetFrac(term.Mul(rest, s.rss), s.det)
		spread.Sub(spread, new(big.Rat).SetInt(square))
		if spread.Sign() == 0 {
			r.Studentized[i] = math.Inf(s.residual[i].Sign())
			continue
		}
		t := new(big.Rat).SetInt(square.Mul(square, big.NewInt(int64(df-1))))
		r.Studentized[i] = round.sqrt(t.Quo(t, spread), "the studentized residual "+name)
		if s.residual[i].Sign() < 0 {
			r.Studentized[i] = -r.Studentized[i]
		}
	}
	if round.err != nil {
		return nil, round.err
	}
	return r, nil
}
