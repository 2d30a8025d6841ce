package fit

import (
	"fmt"
	"math"
	"math/big"

	"gonum.org/v1/gonum/stat/distuv"
)

// Known is a fit to values that are each known to within a half-width.
type Known struct {
	*Result

	// Rounding holds, for each coefficient, the standard error that the half-widths
	// alone leave it, y being anywhere within them with equal chance (rounding):
	//
	//	sqrt((X'WX)^-1[j][j] / 3),  W = diag(1/h^2)
	//
	// It is independent of the residuals, so it stays where a fit happens to be
	// perfect. Source: variance h^2/3 of the uniform distribution; standard.
	Rounding           []float64
	RoundingCovariance [][]float64 // of the same, p x p
}

// HalfWidths fits y = sum_j b_j x_j with the weights 1/h^2, h the half-width of each
// y, in its unit and above zero. Standard errors are from the residuals, as those of
// Weighted: half-widths all twice as wide change Rounding and ResidualSD alone.
//
// Half-widths of x are not in the weights. Errors: as of Linear.
func HalfWidths(design [][]*big.Rat, y, half []*big.Rat) (*Known, error) {
	weight, err := weights(y, half)
	if err != nil {
		return nil, err
	}
	s, err := solve(design, y, weight)
	if err != nil {
		return nil, err
	}
	r, err := s.result(s.constantWithin())
	if err != nil {
		return nil, err
	}
	p := len(s.columnScale)
	k := &Known{Result: r, Rounding: make([]float64, p), RoundingCovariance: make([][]float64, p)}
	var round rounder
	for j := range p {
		k.RoundingCovariance[j] = make([]float64, p)
		for l := range p {
			v := new(big.Rat).SetFrac(s.adj[j][l], s.det)
			v.Mul(v, s.columnScale[j]).Mul(v, s.columnScale[l]).Mul(v, s.weightScale).Quo(v, big.NewRat(3, 1))
			k.RoundingCovariance[j][l] = round.float(v, fmt.Sprintf("rounding covariance %d, %d", j+1, l+1))
			if j == l {
				k.Rounding[j] = round.sqrt(v, fmt.Sprintf("rounding error %d", j+1))
			}
		}
	}
	if round.err != nil {
		return nil, round.err
	}
	return k, nil
}

// weights are 1/h^2.
func weights(y, half []*big.Rat) ([]*big.Rat, error) {
	if len(half) != len(y) {
		return nil, fmt.Errorf("%d half-widths for %d values of y: want one for each", len(half), len(y))
	}
	weight := make([]*big.Rat, len(half))
	for i, h := range half {
		switch {
		case h == nil:
			return nil, fmt.Errorf("half-width of row %d is missing", i+1)
		case h.Sign() <= 0:
			return nil, fmt.Errorf("half-width of row %d is %s: want one above zero", i+1, h.RatString())
		}
		weight[i] = new(big.Rat).Mul(h, h)
		weight[i].Inv(weight[i])
	}
	return weight, nil
}

// Half is the half-width within which coefficient j is known with the given
// confidence (0.95: in 19 of 20 tables): Student's t with DF degrees of freedom times
// the standard error, or what rounding alone leaves, whichever is wider.
//
//	max(t(DF) StdErrors[j], z Rounding[j])
//
// Computed in float64. Range of validity: independent normal errors beside the
// rounding; confidence above 0 and below 1, else NaN.
func (k *Known) Half(j int, confidence float64) float64 {
	return k.Wider(k.StdErrors[j], k.Rounding[j], confidence)
}

// Wider is Half for a figure that is computed from the coefficients, with its own
// standard error and rounding error.
func (k *Known) Wider(standard, rounding, confidence float64) float64 {
	t, z := quantiles(k.DF, confidence)
	return math.Max(t*standard, z*rounding)
}

// Root is the x at which a line of the coefficients b0 + b1 x is zero, with its
// standard error and rounding error to first order, as those of LineResult. NaN
// where the fit has not two coefficients or the slope is zero.
func (k *Known) Root() (x, standard, rounding float64) {
	if len(k.Coefficients) != 2 || k.Coefficients[1] == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	slope := k.Coefficients[1]
	x = -k.Coefficients[0] / slope
	of := func(v [][]float64) float64 {
		return math.Sqrt(math.Max(0, v[0][0]+2*x*v[0][1]+x*x*v[1][1])) / math.Abs(slope)
	}
	return x, of(k.Covariance), of(k.RoundingCovariance)
}

// quantiles are the two-sided ones of Student's t and of the normal distribution.
func quantiles(df int, confidence float64) (t, z float64) {
	if !(confidence > 0 && confidence < 1) {
		return math.NaN(), math.NaN()
	}
	p := (1 + confidence) / 2
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Quantile(p), distuv.UnitNormal.Quantile(p)
}

// PowersDesign is the design of y = sum_j b_j x^powers[j].
func PowersDesign(x []*big.Rat, powers ...int) [][]*big.Rat {
	design := make([][]*big.Rat, len(x))
	for i, abscissa := range x {
		for _, power := range powers {
			value := big.NewRat(1, 1)
			for range power {
				value.Mul(value, abscissa)
			}
			design[i] = append(design[i], value)
		}
	}
	return design
}
