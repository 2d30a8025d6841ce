package fit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Group is the points of one configuration.
type Group struct {
	X, Y []*big.Rat
	Half []*big.Rat // half-widths of Y, above zero
}

// Pooled is one fit to several groups that share some parameters.
type Pooled struct {
	// Known is the fit to all rows, group after group. Its coefficients are those
	// shared and then, group after group, those of each group's own.
	*Known

	Shared, SharedSE []float64   // in the order of the shared powers
	Own, OwnSE       [][]float64 // by group, in the order of the own powers

	// F compares the pooled fit with separate fits of all powers to each group:
	//
	//	F = ((RSS_pooled - RSS_separate) / DF1) / (RSS_separate / DF2)
	//
	// with DF1 = (groups-1) * shared powers and DF2 = rows - groups * all powers.
	// It is 0 where pooling costs nothing, infinite where the separate fits are
	// perfect and the pooled one is not.
	F        float64
	DF1, DF2 int

	// Chance is the tail of Fisher's F above F: how likely groups that do share the
	// parameters are to look as different as these. Below 0.01 the pooling is not
	// supported. Range of validity: independent normal errors of one size (times
	// the half-widths) in all groups. Source: analysis of covariance; standard.
	Chance float64
}

// Pool fits y = sum_s b_s x^s + sum_o b_go x^o to the rows of each group g, the
// coefficients of the powers shared being the same in all groups and those of own
// each group's own: powers 1 and 0 for lift curves of one slope, 2 and 0 for polars
// of one induced drag. Weights are 1/h^2.
//
// Errors: fewer than two groups, a power twice or in both lists, a group that does
// not determine its parameters (*RankError or *TooFewRowsError, named by its number
// from 1); as of HalfWidths.
func Pool(groups []Group, shared, own []int) (*Pooled, error) {
	powers := slices.Concat(shared, own)
	switch distinct := slices.Clone(powers); {
	case len(groups) < 2:
		return nil, fmt.Errorf("%d groups: want at least two to pool", len(groups))
	case len(shared) == 0:
		return nil, errors.New("no shared power: want at least one")
	default:
		slices.Sort(distinct)
		if distinct[0] < 0 || len(slices.Compact(distinct)) != len(powers) {
			return nil, fmt.Errorf("powers %v shared and %v own: want each once, from 0", shared, own)
		}
	}
	var joint, apart [][]*big.Rat
	var y, half []*big.Rat
	for g, group := range groups {
		if len(group.X) != len(group.Y) || len(group.Half) != len(group.Y) {
			return nil, fmt.Errorf("group %d: %d values of x and %d half-widths for %d values of y: want as many", g+1, len(group.X), len(group.Half), len(group.Y))
		}
		if i := slices.Index(group.X, nil); i >= 0 {
			return nil, fmt.Errorf("group %d: x of row %d is missing", g+1, i+1)
		}
		if len(group.X) < len(powers) {
			return nil, fmt.Errorf("group %d: %w", g+1, &TooFewRowsError{Rows: len(group.X), Parameters: len(powers)})
		}
		for _, row := range PowersDesign(group.X, powers...) {
			one, alone := zeros(len(shared)+len(groups)*len(own)), zeros(len(groups)*len(powers))
			copy(one, row[:len(shared)])
			copy(one[len(shared)+g*len(own):], row[len(shared):])
			copy(alone[g*len(powers):], row)
			joint, apart = append(joint, one), append(apart, alone)
		}
		y, half = append(y, group.Y...), append(half, group.Half...)
	}
	weight, err := weights(y, half)
	if err != nil {
		return nil, err
	}
	separate, err := solve(apart, y, weight)
	if err != nil {
		var rank *RankError
		if errors.As(err, &rank) {
			return nil, fmt.Errorf("group %d: %w", rank.Parameter/len(powers)+1, &RankError{Parameter: rank.Parameter % len(powers)})
		}
		return nil, err
	}
	known, err := HalfWidths(joint, y, half)
	if err != nil {
		return nil, err
	}
	together, err := solve(joint, y, weight)
	if err != nil {
		return nil, err
	}
	p := &Pooled{Known: known, DF1: (len(groups) - 1) * len(shared), DF2: separate.freedom()}
	p.Shared, p.SharedSE = known.Coefficients[:len(shared)], known.StdErrors[:len(shared)]
	for g := range groups {
		from := len(shared) + g*len(own)
		p.Own = append(p.Own, known.Coefficients[from:from+len(own)])
		p.OwnSE = append(p.OwnSE, known.StdErrors[from:from+len(own)])
	}
	// y and the weights are scaled alike in both fits, so the ratio is exact.
	free := separate.scaledRSS()
	more := new(big.Rat).Sub(together.scaledRSS(), free)
	switch {
	case more.Sign() == 0:
		p.F, p.Chance = 0, 1
	case free.Sign() == 0:
		p.F, p.Chance = math.Inf(1), 0
	default:
		ratio := more.Quo(more, free)
		p.F, _ = ratio.Mul(ratio, big.NewRat(int64(p.DF2), int64(p.DF1))).Float64()
		p.Chance = distuv.F{D1: float64(p.DF1), D2: float64(p.DF2)}.Survival(p.F)
	}
	return p, nil
}

func zeros(n int) []*big.Rat {
	row := make([]*big.Rat, n)
	for i := range row {
		row[i] = new(big.Rat)
	}
	return row
}
