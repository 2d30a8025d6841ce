package unit

import (
	"math/big"
	"math/bits"
)

// Conversion converts many values between two units: Convert with the factor worked
// out once. It is immutable.
type Conversion struct {
	factor *big.Rat // from.Factor / to.Factor * pi^(from.Pi - to.Pi), pi to 100 digits
	before *big.Rat // added before the factor, nil for nothing
	after  *big.Rat // taken off after it
	// num / den is the factor where both fit and there is no offset; den is 0
	// where they do not.
	num, den uint64
}

// NewConversion prepares the conversion of values in from to values in to.
func NewConversion(from, to Unit) (*Conversion, error) {
	e, err := Width(big.NewRat(1, 1), from, to)
	if err != nil {
		return nil, err
	}
	c := &Conversion{factor: e.Approx(), before: from.Offset, after: to.Offset}
	if from.UCUM == to.UCUM {
		c.before, c.after = nil, nil
	}
	if c.before == nil && c.after == nil && c.factor.Sign() > 0 && c.factor.Num().IsUint64() && c.factor.Denom().IsUint64() {
		c.num, c.den = c.factor.Num().Uint64(), c.factor.Denom().Uint64()
	}
	return c, nil
}

// Value is Convert(v, from, to).Approx().
func (c *Conversion) Value(v *big.Rat) *big.Rat {
	r := new(big.Rat).Set(v)
	if c.before != nil {
		r.Add(r, c.before)
	}
	r.Mul(r, c.factor)
	if c.after != nil {
		r.Sub(r, c.after)
	}
	return r
}

// Width is the function Width of an interval, with Approx.
func (c *Conversion) Width(w *big.Rat) *big.Rat { return new(big.Rat).Mul(w, c.factor) }

// powersOfTen are those that a uint64 holds.
var powersOfTen = func() (p [20]uint64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// Decimal is Value(coef * 10^-scale), for scale >= 0. It needs no big arithmetic
// while the result's numerator and denominator fit into 63 bits.
func (c *Conversion) Decimal(coef int64, scale int) *big.Rat {
	if c.den != 0 && scale < len(powersOfTen) && coef != -1<<63 {
		size := uint64(max(coef, -coef))
		// In lowest terms before they are multiplied: fewer overflow.
		ten, den := powersOfTen[scale], c.den
		g := gcd(size, den)
		size, den = size/max(g, 1), den/max(g, 1)
		g = gcd(c.num, ten)
		num := c.num / g
		ten /= g
		g = gcd(size, ten)
		size, ten = size/max(g, 1), ten/max(g, 1)
		top, a := bits.Mul64(size, num)
		bottom, b := bits.Mul64(den, ten)
		if top == 0 && bottom == 0 && a < 1<<63 && b < 1<<63 {
			n := int64(a)
			if coef < 0 {
				n = -n
			}
			if b == 1 || n == 0 {
				return new(big.Rat).SetInt64(n)
			}
			return new(big.Rat).SetFrac64(n, int64(b))
		}
	}
	v := new(big.Rat).SetInt64(coef)
	if scale > 0 {
		v.Quo(v, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale)), nil)))
	}
	return c.Value(v)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
