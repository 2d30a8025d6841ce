package numeral

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Decimal is an exact decimal, value = coefficient * 10^-scale with scale >= 0.
// Trailing zeros are kept: 0.30 is not written 0.3. The zero value is 0. A
// Decimal is immutable; compare values with Cmp, not with ==.
type Decimal struct {
	coef  int64    // the coefficient, unless wide is set
	wide  *big.Int // the coefficient where int64 is too narrow
	scale int
}

// maxScale bounds the digits after the point, so that no text of a few bytes
// asks for a number of megabytes.
const maxScale = 400

// powerOfTen returns 10^n for n >= 0.
func powerOfTen(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

func newDecimal(coef *big.Int, scale int) Decimal {
	if coef.IsInt64() {
		return Decimal{coef: coef.Int64(), scale: scale}
	}
	return Decimal{wide: coef, scale: scale}
}

// ParseDecimal reads a plain decimal in the one form that String writes:
// optional "-", digits without needless leading zeros, and, where there is a
// fraction, a point with at least one digit on either side. It is for files that
// the program itself wrote; what stands in a printed table is read by Parse.
func ParseDecimal(plain string) (Decimal, error) {
	bad := func(why string) (Decimal, error) {
		return Decimal{}, fmt.Errorf("%s is not a plain decimal: %s", quote(plain), why)
	}
	digits := strings.TrimPrefix(plain, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	switch {
	case whole == "":
		return bad("a figure is wanted before the point, as in -0.5")
	case point && fraction == "":
		return bad("a figure is wanted after the point")
	case len(whole) > 1 && whole[0] == '0':
		return bad("needless leading zero")
	case len(whole) > maxScale || len(fraction) > maxScale:
		return bad(fmt.Sprintf("more than %d figures", maxScale))
	}
	for _, part := range []string{whole, fraction} {
		for i := 0; i < len(part); i++ {
			if !isDigit(part[i]) {
				return bad("only figures, one point and a leading - are wanted, as in -0.50")
			}
		}
	}
	d := decimalFromDigits(whole+fraction, len(fraction), len(digits) < len(plain))
	if d.Sign() == 0 && len(digits) < len(plain) {
		return bad("zero has no sign")
	}
	return d, nil
}

// decimalFromDigits builds a decimal from ASCII figures alone.
func decimalFromDigits(figures string, scale int, negative bool) Decimal {
	if n, err := strconv.ParseInt(figures, 10, 64); err == nil {
		if negative {
			n = -n
		}
		return Decimal{coef: n, scale: scale}
	}
	coef, _ := new(big.Int).SetString(figures, 10)
	if negative {
		coef.Neg(coef)
	}
	return newDecimal(coef, scale)
}

func (d Decimal) coefficient() *big.Int {
	if d.wide != nil {
		return d.wide
	}
	return big.NewInt(d.coef)
}

// Rat returns the exact value in a new big.Rat.
func (d Decimal) Rat() *big.Rat {
	if d.scale == 0 {
		return new(big.Rat).SetInt(d.coefficient())
	}
	return new(big.Rat).SetFrac(d.coefficient(), powerOfTen(d.scale))
}

// Sign returns -1, 0 or 1.
func (d Decimal) Sign() int {
	switch {
	case d.wide != nil:
		return d.wide.Sign()
	case d.coef < 0:
		return -1
	case d.coef > 0:
		return 1
	}
	return 0
}

// Scale returns the number of digits after the point, trailing zeros counted.
func (d Decimal) Scale() int { return d.scale }

// Cmp compares the values of d and e: -1, 0 or 1; 0.30 and 0.3 are equal.
func (d Decimal) Cmp(e Decimal) int {
	if d.scale == e.scale && d.wide == nil && e.wide == nil {
		switch {
		case d.coef < e.coef:
			return -1
		case d.coef > e.coef:
			return 1
		}
		return 0
	}
	return d.Rat().Cmp(e.Rat())
}

// String writes d plainly: never an exponent, "0.30" stays "0.30", ".3" is
// written "0.3", and zero has no sign.
func (d Decimal) String() string {
	var buf [48]byte
	return string(d.appendTo(buf[:0]))
}

func (d Decimal) appendTo(out []byte) []byte {
	var figures []byte
	var buf [24]byte
	if d.wide != nil {
		figures = d.wide.Append(nil, 10)
	} else {
		figures = strconv.AppendInt(buf[:0], d.coef, 10)
	}
	if figures[0] == '-' {
		out = append(out, '-')
		figures = figures[1:]
	}
	if len(figures) <= d.scale {
		out = append(out, '0')
	} else {
		out = append(out, figures[:len(figures)-d.scale]...)
		figures = figures[len(figures)-d.scale:]
	}
	if d.scale == 0 {
		return out
	}
	out = append(out, '.')
	for i := len(figures); i < d.scale; i++ {
		out = append(out, '0')
	}
	return append(out, figures...)
}

// Float64 returns the float64 nearest to d.
func (d Decimal) Float64() float64 {
	if d.wide == nil && d.scale <= 22 && -1<<53 <= d.coef && d.coef <= 1<<53 {
		// Both are exact in float64, so that one division rounds once.
		return float64(d.coef) / math.Pow10(d.scale)
	}
	f, _ := d.Rat().Float64()
	return f
}

// RoundTo rounds r to a number of digits after the point, half to even. With
// decimals < 0 it rounds to tens, hundreds and so on, and the result has scale
// 0: RoundTo(12345, -2) is 12300.
func RoundTo(r *big.Rat, decimals int) Decimal {
	decimals = min(max(decimals, -maxScale), maxScale)
	num, den := new(big.Int).Set(r.Num()), new(big.Int).Set(r.Denom())
	if decimals >= 0 {
		num.Mul(num, powerOfTen(decimals))
	} else {
		den.Mul(den, powerOfTen(-decimals))
	}
	coef, rest := new(big.Int).QuoRem(num, den, new(big.Int))
	twice := rest.Abs(rest).Lsh(rest, 1)
	if c := twice.Cmp(den); c > 0 || c == 0 && coef.Bit(0) == 1 {
		coef.Add(coef, big.NewInt(int64(r.Sign())))
	}
	if decimals < 0 {
		return newDecimal(coef.Mul(coef, powerOfTen(-decimals)), 0)
	}
	return newDecimal(coef, decimals)
}

// Round is the one rounding at the end: r to a number of significant figures,
// half to even, trailing zeros kept (1 to three figures is 1.00). Figures before
// the point are filled with zeros: 123456 to three figures is 123000. Zero is
// 0. Fewer than one figure counts as one.
func Round(r *big.Rat, significant int) Decimal {
	significant = min(max(significant, 1), maxScale)
	if r.Sign() == 0 {
		return Decimal{}
	}
	decimals := significant - 1 - magnitude(r)
	d := RoundTo(r, decimals)
	// 9.996 to three figures is 10.0, not 10.00: rounding up gained a figure.
	if magnitude(d.Rat()) > magnitude(r) {
		d = RoundTo(r, decimals-1)
	}
	return d
}

// magnitude returns floor(log10 |r|) for r != 0, exactly.
func magnitude(r *big.Rat) int {
	abs := new(big.Rat).Abs(r)
	guess := int(math.Floor(float64(abs.Num().BitLen()-abs.Denom().BitLen()) * math.Log10(2)))
	for abs.Cmp(ratPowerOfTen(guess)) < 0 {
		guess--
	}
	for abs.Cmp(ratPowerOfTen(guess+1)) >= 0 {
		guess++
	}
	return guess
}

func ratPowerOfTen(n int) *big.Rat {
	if n >= 0 {
		return new(big.Rat).SetInt(powerOfTen(n))
	}
	return new(big.Rat).SetFrac(big.NewInt(1), powerOfTen(-n))
}

// finiteDecimal returns r as a decimal with as few digits as are exact, and
// whether r has one (its denominator divides a power of ten).
func finiteDecimal(r *big.Rat) (Decimal, bool) {
	den := new(big.Int).Set(r.Denom())
	scale := 0
	for _, prime := range []int64{2, 5} {
		p, rest, count := big.NewInt(prime), new(big.Int), 0
		for {
			quotient, _ := new(big.Int).QuoRem(den, p, rest)
			if rest.Sign() != 0 {
				break
			}
			den, count = quotient, count+1
		}
		scale = max(scale, count)
	}
	if den.Cmp(big.NewInt(1)) != 0 || scale > maxScale {
		return Decimal{}, false
	}
	return RoundTo(r, scale), true
}
