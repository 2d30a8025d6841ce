package unit

import "math/big"

// Conversion converts many values between two units: Convert with the factor worked
// out once. It is not to be used by two goroutines at once.
type Conversion struct {
	factor *big.Rat // from.Factor / to.Factor * pi^(from.Pi - to.Pi), pi to 100 digits
	before *big.Rat // added before the factor, nil for nothing
	after  *big.Rat // taken off after it
	// byDecimals is factor / 10^n, each worked out when it is first wanted.
	byDecimals [shortDecimals + 1]*big.Rat
}

// shortDecimals is how many decimals a printed figure seldom has more than.
const shortDecimals = 8

// NewConversion prepares the conversion of values in from to values in to.
func NewConversion(from, to Unit) (*Conversion, error) {
	if from.UCUM == to.UCUM && from.Dim == to.Dim {
		return &Conversion{factor: big.NewRat(1, 1)}, nil
	}
	e, err := Width(big.NewRat(1, 1), from, to)
	if err != nil {
		return nil, err
	}
	return &Conversion{factor: e.Approx(), before: from.Offset, after: to.Offset}, nil
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

// Worth is what 10^-decimals of the one unit comes to in the other, for decimals >= 0:
// n times it is Value(n * 10^-decimals). It is shared and not to be changed. ok is
// false between scales whose zeros differ, where no number is so many times another.
func (c *Conversion) Worth(decimals int) (w *big.Rat, ok bool) {
	if c.before != nil || c.after != nil {
		return nil, false
	}
	if decimals <= shortDecimals && c.byDecimals[decimals] != nil {
		return c.byDecimals[decimals], true
	}
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	w = new(big.Rat).SetFrac(big.NewInt(1), ten)
	w.Mul(w, c.factor)
	if decimals <= shortDecimals {
		c.byDecimals[decimals] = w
	}
	return w, true
}
