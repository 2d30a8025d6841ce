package unit

import (
	"math/big"
	"math/bits"
)

// Conversion converts many values between two units: Convert with the factor worked
// out once. It is not to be used by two goroutines at once.
type Conversion struct {
	factor *big.Rat // from.Factor / to.Factor * pi^(from.Pi - to.Pi), pi to 100 digits
	before *big.Rat // added before the factor, nil for nothing
	after  *big.Rat // taken off after it
	// num / den is the factor where both fit and there is no offset; den is 0
	// where they do not.
	num, den uint64
	// byDecimals is factor / 10^n, each worked out when it is first wanted.
	byDecimals [shortDecimals + 1]*big.Rat
}

// shortDecimals is how many decimals a printed figure seldom has more than.
const shortDecimals = 8

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

// Decimal is Value(coef * 10^-scale), for scale >= 0, written into r, or into a new
// rational where r is nil. It needs no big arithmetic while the result's numerator
// and denominator fit into 63 bits.
func (c *Conversion) Decimal(r *big.Rat, coef int64, scale int) *big.Rat {
	if r == nil {
		r = new(big.Rat)
	}
	if coef == 0 && c.before == nil && c.after == nil {
		return r.SetInt64(0)
	}
	size := uint64(max(coef, -coef))
	if c.den != 0 && scale < len(powersOfTen) && coef != -1<<63 {
		// In lowest terms before they are multiplied: num and den have no divisor in
		// common, so that nothing is left to reduce after.
		ten := powersOfTen[scale]
		g, h := gcd(size, c.den), gcd(c.num, ten)
		a, den, num := size/g, c.den/g, c.num/h
		ten /= h
		g = gcd(a, ten)
		top, a := bits.Mul64(a/g, num)
		bottom, b := bits.Mul64(den, ten/g)
		if top == 0 && bottom == 0 && a < 1<<63 && b < 1<<63 {
			n := int64(a)
			if coef < 0 {
				n = -n
			}
			if b == 1 {
				return r.SetInt64(n)
			}
			// 1/b, then n/b, which is in lowest terms: SetFrac64 would look for a
			// common divisor once more.
			r.SetInt64(int64(b)).Inv(r).Num().SetInt64(n)
			return r
		}
	}
	if scale <= shortDecimals && c.before == nil && c.after == nil && coef != -1<<63 {
		by := c.byDecimals[scale]
		if by == nil {
			by = new(big.Rat).SetInt64(int64(powersOfTen[scale]))
			by.Quo(c.factor, by)
			c.byDecimals[scale] = by
		}
		g := gcd(size, rest(by.Denom(), size))
		r.SetInt(by.Denom())
		if g > 1 {
			r.Num().Quo(r.Num(), new(big.Int).SetUint64(g))
		}
		r.Inv(r)
		r.Num().Mul(by.Num(), big.NewInt(coef/int64(g)))
		return r
	}
	v := new(big.Rat).SetInt64(coef)
	if scale > 0 {
		v.Quo(v, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale)), nil)))
	}
	return r.Set(c.Value(v))
}

// rest is x mod m for x, m > 0.
func rest(x *big.Int, m uint64) uint64 {
	if bits.UintSize != 64 {
		return new(big.Int).Rem(x, new(big.Int).SetUint64(m)).Uint64()
	}
	r := uint64(0)
	words := x.Bits()
	for i := len(words) - 1; i >= 0; i-- {
		r = bits.Rem64(r, uint64(words[i]), m)
	}
	return r
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
