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
	Rounding []float64
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
	k := &Known{Result: r, Rounding: make([]float64, len(s.columnScale))}
	var round rounder
	for j := range k.Rounding {
		v := new(big.Rat).SetFrac(s.adj[j][j], s.det)
		v.Mul(v, s.columnScale[j]).Mul(v, s.columnScale[j]).Mul(v, s.weightScale)
		k.Rounding[j] = round.sqrt(v.Quo(v, big.NewRat(3, 1)), fmt.Sprintf("rounding error %d", j+1))
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
	t, z := quantiles(k.DF, confidence)
	return math.Max(t*k.StdErrors[j], z*k.Rounding[j])
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
