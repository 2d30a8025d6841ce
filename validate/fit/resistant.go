package fit

import (
	"fmt"
	"math"
	"math/big"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Outlier is a row that a fit was made without.
type Outlier struct {
	Row int // from 0

	// Apart is y less what the other rows predict, in the unit of y, and
	// Studentized the same in standard errors of that prediction for a row of its
	// weight. Of a row that is left out alone it is infinite where the others leave
	// no residual; of several, the standard errors are at least those of rounding.
	Apart, Studentized float64
}

// Resistant is least squares over the rows that a table can be trusted to hold.
type Resistant struct {
	*Known           // of the rows used: its n values are in the order of Used
	Used   []int     // rows, ascending
	Left   []Outlier // rows, ascending; they and Used are all rows
}

// Bounds says when a row is left out of a Resistant fit.
type Bounds struct {
	Studentized float64 // least |Studentized|
	HalfWidths  float64 // least |Apart| in half-widths of the row
	Most        int     // rows that may be left out at most; never more than a third
}

// chanceOfSeveral is the greatest chance of a set of two or more rows to be left out
// of a table without any that is wrong, normal errors being independent.
const chanceOfSeveral = 0.01

// Resist fits by HalfWidths all rows but those that stand off a curve through the
// others beyond the bounds. Where none does, it is HalfWidths to the last bit.
//
// Rows that a Biweight fit gives no weight are candidates; each that does not stand
// off the least squares of the rest goes back. Two or more are left out only where
// n!/(m!(n-m)!) times the tail of Student's t for the least of them is below 0.01;
// otherwise at most the one row of the largest studentized residual. Below 6 rows
// none is left out: three points lie on a line by chance, five seldom do.
//
// Errors: as of Linear and HalfWidths.
func Resist(design [][]*big.Rat, y, half []*big.Rat, bounds Bounds) (*Resistant, error) {
	all, err := HalfWidths(design, y, half)
	if err != nil {
		return nil, err
	}
	n := len(y)
	whole := &Resistant{Known: all, Used: make([]int, n)}
	for i := range n {
		whole.Used[i] = i
	}
	if n < 6 || bounds.Most < 1 {
		return whole, nil
	}
	if bounds.Most > 1 && !within(all.Residuals, half, bounds.HalfWidths/3) {
		robust, err := biweight(design, y, half)
		if err != nil || len(robust.Left) < 2 {
			robust = &Robust{}
		}
		if several := stand(design, y, half, robust.Left, bounds); several != nil {
			return several, nil
		}
	}
	rows, t := all.Extreme()
	if len(rows) != 1 || math.Abs(t) < bounds.Studentized {
		return whole, nil
	}
	i := rows[0]
	h, _ := half[i].Float64()
	if !(math.Abs(all.Deleted[i]) > bounds.HalfWidths*h) {
		return whole, nil
	}
	without, err := fitWithout(design, y, half, rows)
	if err != nil {
		return whole, nil // the row alone determines a parameter
	}
	without.Left = []Outlier{{Row: i, Apart: all.Deleted[i], Studentized: t}}
	return without, nil
}

// within reports whether no residual exceeds so many half-widths: such rows hold no
// two that stand off by three times as much.
func within(residuals []float64, half []*big.Rat, widths float64) bool {
	for i, e := range residuals {
		if h, _ := half[i].Float64(); math.Abs(e) > widths*h {
			return false
		}
	}
	return true
}

// stand returns the fit without those of the rows that stand off it, nil where they
// are fewer than two or may do so by chance.
func stand(design [][]*big.Rat, y, half []*big.Rat, left []int, bounds Bounds) *Resistant {
	n := len(y)
	for left = slices.Clone(left); len(left) > 1; {
		f, err := fitWithout(design, y, half, left)
		if err != nil {
			return nil
		}
		f.Left = nil
		back, least := -1, math.Inf(1)
		for k, i := range left {
			o := f.outlier(design[i], y[i], half[i])
			o.Row = i
			f.Left = append(f.Left, o)
			h, _ := half[i].Float64()
			size := math.Abs(o.Studentized)
			if !(math.Abs(o.Apart) > bounds.HalfWidths*h) {
				size = 0
			}
			if size < least {
				back, least = k, size
			}
		}
		if math.IsInf(least, 1) {
			return nil
		}
		if least < bounds.Studentized || len(left) > bounds.Most || len(left) > n/3 {
			left = slices.Delete(left, back, back+1)
			continue
		}
		tail := 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(f.DF)}.CDF(-least)
		m := float64(len(left))
		if math.Exp(-mathext.Lbeta(m+1, float64(n)-m+1))/float64(n+1)*tail > chanceOfSeveral {
			return nil
		}
		return f
	}
	return nil
}

func fitWithout(design [][]*big.Rat, y, half []*big.Rat, left []int) (*Resistant, error) {
	f := &Resistant{}
	var x [][]*big.Rat
	var v, h []*big.Rat
	for i := range y {
		if !slices.Contains(left, i) {
			f.Used = append(f.Used, i)
			x, v, h = append(x, design[i]), append(v, y[i]), append(h, half[i])
		}
	}
	var err error
	if f.Known, err = HalfWidths(x, v, h); err != nil {
		return nil, fmt.Errorf("without rows %v: %w", left, err)
	}
	return f, nil
}

// outlier says how far a row that the fit was made without stands off it.
func (k *Known) outlier(x []*big.Rat, y, half *big.Rat) Outlier {
	h, _ := half.Float64()
	sd, covariance := k.ResidualSD, k.Covariance
	if least := 1 / math.Sqrt(3); sd < least { // no print is better than its rounding
		sd, covariance = least, k.RoundingCovariance
	}
	variance := sd * sd * h * h
	apart := new(big.Rat).Set(y)
	term := new(big.Rat)
	for j := range x {
		term.SetFloat64(k.Coefficients[j])
		apart.Sub(apart, term.Mul(term, x[j]))
		a, _ := x[j].Float64()
		for l := range x {
			b, _ := x[l].Float64()
			variance += a * b * covariance[j][l]
		}
	}
	o := Outlier{}
	o.Apart, _ = apart.Float64()
	o.Studentized = o.Apart / math.Sqrt(variance)
	return o
}
