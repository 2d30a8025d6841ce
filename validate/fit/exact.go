package fit

import (
	"fmt"
	"math"
	"math/big"
)

// integers scales a vector of rationals to integers without a common factor:
// whole[i] = values[i] * scale. A vector of zeros has the scale 1.
func integers(values []*big.Rat) (whole []*big.Int, scale *big.Rat) {
	lcm := big.NewInt(1)
	gcd := new(big.Int)
	for _, value := range values {
		gcd.GCD(nil, nil, lcm, value.Denom())
		lcm.Mul(lcm, new(big.Int).Quo(value.Denom(), gcd))
	}
	whole = make([]*big.Int, len(values))
	factor := new(big.Int)
	for i, value := range values {
		whole[i] = new(big.Int).Quo(lcm, value.Denom())
		whole[i].Mul(whole[i], value.Num())
		factor.GCD(nil, nil, factor, new(big.Int).Abs(whole[i]))
	}
	if factor.Sign() == 0 {
		return whole, big.NewRat(1, 1)
	}
	for i := range whole {
		whole[i].Quo(whole[i], factor)
	}
	return whole, new(big.Rat).SetFrac(lcm, factor)
}

// adjugate returns the adjugate and the determinant of a Gram matrix by
// fraction-free Gauss-Jordan elimination: every division is exact. The pivots
// are the leading principal minors, which for a Gram matrix are positive until
// the first column that depends on those before it; the index of that column is
// returned as dependent, -1 where there is none.
func adjugate(gram [][]*big.Int) (adj [][]*big.Int, det *big.Int, dependent int) {
	p := len(gram)
	a := make([][]*big.Int, p) // gram beside the unit matrix
	for i := range a {
		a[i] = make([]*big.Int, 2*p)
		for j := range p {
			a[i][j] = new(big.Int).Set(gram[i][j])
			a[i][p+j] = new(big.Int)
		}
		a[i][p+i].SetInt64(1)
	}
	previous := big.NewInt(1)
	product := new(big.Int)
	for k := range p {
		pivot := new(big.Int).Set(a[k][k])
		if pivot.Sign() == 0 {
			return nil, nil, k
		}
		for i := range p {
			if i == k {
				continue
			}
			lead := new(big.Int).Set(a[i][k])
			for j := range 2 * p {
				product.Mul(lead, a[k][j])
				a[i][j].Mul(a[i][j], pivot)
				a[i][j].Sub(a[i][j], product)
				a[i][j].Quo(a[i][j], previous)
			}
		}
		previous = pivot
	}
	adj = make([][]*big.Int, p)
	for i := range adj {
		adj[i] = a[i][p:]
	}
	return adj, previous, -1
}

// rounder turns exact values into float64, once each and to nearest even. It
// keeps the first value that float64 cannot hold, so that the caller asks once.
type rounder struct {
	err error
}

func (r *rounder) check(rounded float64, exactSign int, name string) float64 {
	if r.err == nil && (math.IsInf(rounded, 0) || (rounded == 0) != (exactSign == 0)) {
		r.err = fmt.Errorf("%s is outside the range of a 64-bit float; rescale the data", name)
	}
	return rounded
}

func (r *rounder) float(value *big.Rat, name string) float64 {
	rounded, _ := value.Float64()
	return r.check(rounded, value.Sign(), name)
}

// ratio returns num/den; den is not zero.
func (r *rounder) ratio(num, den *big.Int, name string) float64 {
	return r.float(new(big.Rat).SetFrac(num, den), name)
}

// sqrt returns the square root of a value that is not negative.
func (r *rounder) sqrt(value *big.Rat, name string) float64 {
	return r.check(sqrt(value), value.Sign(), name)
}

// sqrt returns the correctly rounded square root of a value that is not
// negative: an integer root of at least 64 bits, its last bit set where digits
// were cut off, so that the one rounding to 53 bits falls on the right side.
func sqrt(value *big.Rat) float64 {
	if value.Sign() == 0 {
		return 0
	}
	const bits = 64
	// root = floor(sqrt(num/den * 4^shift)) has more than bits bits.
	shift := bits + 2 - (value.Num().BitLen()-value.Denom().BitLen())/2
	num, den := new(big.Int).Set(value.Num()), new(big.Int).Set(value.Denom())
	if shift >= 0 {
		num.Lsh(num, uint(2*shift))
	} else {
		den.Lsh(den, uint(-2*shift))
	}
	quotient, rest := new(big.Int).QuoRem(num, den, new(big.Int))
	root := new(big.Int).Sqrt(quotient)
	if rest.Sign() != 0 || new(big.Int).Mul(root, root).Cmp(quotient) != 0 {
		root.SetBit(root, 0, 1)
	}
	scaled := new(big.Float).SetInt(root) // precision of root itself: nothing lost
	scaled.SetMantExp(scaled, -shift)
	rounded, _ := scaled.Float64()
	return rounded
}
