package normalize

import "math/big"

// Exact is an exact number, as the figures of a column hold it: a printed figure is
// so many units of its last digit, and the column's figures share what such a unit
// is worth in the canonical unit.
//
//	value = count * worth
//
// The zero Exact is no number. An Exact is never changed.
type Exact struct {
	count int64
	worth *big.Rat
}

// ExactOf returns the number r, which is not to be changed afterwards; nil is none.
func ExactOf(r *big.Rat) Exact {
	if r == nil {
		return Exact{}
	}
	return Exact{1, r}
}

// Known reports whether x is a number at all.
func (x Exact) Known() bool { return x.worth != nil }

// Rat returns the number in a new big.Rat, nil where there is none.
func (x Exact) Rat() *big.Rat {
	if x.worth == nil {
		return nil
	}
	r := new(big.Rat).SetInt64(x.count)
	return r.Mul(r, x.worth)
}

// Sign returns -1, 0 or 1; that of no number is 0.
func (x Exact) Sign() int {
	switch {
	case x.worth == nil || x.count == 0:
		return 0
	case x.count < 0:
		return -x.worth.Sign()
	}
	return x.worth.Sign()
}

// Cmp compares two numbers: -1, 0 or 1.
func (x Exact) Cmp(y Exact) int { return x.Rat().Cmp(y.Rat()) }

// Float64 returns the float64 nearest to the number, and whether it is the number
// itself.
func (x Exact) Float64() (f float64, exact bool) { return x.Rat().Float64() }

// RatString writes the number as big.Rat does: 3/4, or 5.
func (x Exact) RatString() string { return x.Rat().RatString() }
