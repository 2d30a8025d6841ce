package normalize

import (
	"fmt"
	"math/big"
	"strings"

	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

// How well a figure is known is said twice, and the two are never mixed:
//
//   - the half-width is what rounding leaves: the true quotient of the source's
//     arithmetic lies within value +- half-width. It is half a unit of the last
//     printed digit, or of the column's own coarser steps (grainOf), or of the last
//     figure that is not zero where trailing zeros fill up (zeroStep). It is a
//     bound, not a standard deviation.
//   - the accuracy is what the source states of its measurement, or the reading
//     error of a plotted curve: a number in the column's unit, a number with a unit
//     of its own, or a share of each figure.
//
// Both are carried exactly through a conversion of the unit, with the factor and
// without the offset of a scale. A conversion that has inputs (weight, area,
// density, speed) joins their half-widths by interval arithmetic (Product): the
// result's half-width is the farthest that it can move while each input stays
// within its own. A derived figure (Derived) does the same by the corners of its
// parents' intervals. Accuracies of different inputs are joined in the same way and
// apart from rounding, for a source seldom says whether its errors are independent;
// a sum in quadrature would claim more than it said.
//
// Published half-widths are rounded once, to four figures and outward, and take in
// the rounding of the published value, so that the published interval always holds
// the exact one.

// half-widths are published to four figures.
const halfFigures = 4

// HalfWidth is the half-width as it is published: that of the exact value and the
// rounding of Number, outward.
func (d *Datum) HalfWidth() numeral.Decimal {
	return PublishedHalf(widened(d.Half, d.Value.Rat(), d.Number()))
}

// PublishedAccuracy is the stated accuracy as it is published, outward in the same
// way; ok is false where the source states none.
func (d *Datum) PublishedAccuracy() (a numeral.Decimal, ok bool) {
	if d.Accuracy == nil {
		return numeral.Decimal{}, false
	}
	return PublishedHalf(widened(d.Accuracy, d.Value.Rat(), d.Number())), true
}

// widened is w + |published - exact|.
func widened(w, exact *big.Rat, published numeral.Decimal) *big.Rat {
	miss := published.Rat()
	if miss.Sub(miss, exact); miss.Sign() == 0 {
		return w
	}
	return miss.Add(miss.Abs(miss), w)
}

// PublishedHalf rounds a half-width outward to four figures; zeros at its end say
// nothing and are left out.
func PublishedHalf(half *big.Rat) numeral.Decimal {
	d := numeral.Round(half, halfFigures)
	if short := d.Rat(); short.Cmp(half) < 0 {
		// One unit of the fourth figure more. Round fills with zeros before the point.
		step := pow10(-d.Scale())
		if d.Scale() == 0 {
			if figures := len(strings.TrimPrefix(d.String(), "-")); figures > halfFigures {
				step = pow10(figures - halfFigures)
			}
		}
		d = numeral.RoundTo(short.Add(short, step), d.Scale())
	}
	exact := d.Rat()
	for d.Scale() > 0 {
		shorter := numeral.RoundTo(exact, d.Scale()-1)
		if shorter.Cmp(d) != 0 {
			break
		}
		d = shorter
	}
	return d
}

// pow10 is 10^n.
func pow10(n int) *big.Rat {
	p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n, -n))), nil)
	if n < 0 {
		return new(big.Rat).SetFrac(big.NewInt(1), p)
	}
	return new(big.Rat).SetInt(p)
}

// accuracy is what a source states of a column: a half-width in its printed unit,
// or a share of each figure.
type accuracy struct {
	width, share *big.Rat
}

func (a accuracy) stated() bool { return a.width != nil || a.share != nil }

// of is the half-width that the accuracy gives a printed figure, in the printed
// unit; nil where none is stated, and for a share of nothing.
func (a accuracy) of(printed *big.Rat) *big.Rat {
	switch {
	case a.width != nil:
		return a.width
	case a.share == nil || printed.Sign() == 0:
		return nil
	}
	w := new(big.Rat).Mul(printed, a.share)
	return w.Abs(w)
}

const shareOf = "of value"

// parseAccuracy reads a stated accuracy: "0.005" in the column's unit, "1 m.p.h." in
// another of the same quantity, "2 %" of each figure. In a column of percentages
// "2 %" may be two of its units or a fiftieth of each figure, and is refused.
func parseAccuracy(text string, u unit.Unit) (accuracy, error) {
	bad := func(why string) (accuracy, error) {
		return accuracy{}, fmt.Errorf(`%s; it should be a positive number in the column's unit ("0.005"), a number with its unit, or a share of each figure ("2 %%")`, why)
	}
	plain := strings.TrimSpace(text)
	plain = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(plain, "±"), "+-"))
	body, said := strings.CutSuffix(plain, shareOf)
	body = strings.TrimSpace(body)
	figure, name := body, ""
	num, err := numeral.Parse(body)
	if err != nil || num.Kind != numeral.Number || num.Percent || num.Degrees {
		i := strings.IndexFunc(body, func(r rune) bool { return !strings.ContainsRune("0123456789.-", r) })
		if i < 0 {
			i = len(body)
		}
		figure, name = body[:i], strings.TrimSpace(body[i:])
		if num, err = numeral.Parse(figure); err != nil || num.Kind != numeral.Number {
			return bad("is no number with or without a unit")
		}
	}
	width := num.Rat()
	if width.Sign() <= 0 {
		return bad("is not positive")
	}
	percent := name == "%" || strings.EqualFold(name, "per cent") || strings.EqualFold(name, "percent")
	switch {
	case said && !percent:
		return bad(`speaks of a share and gives no percentage`)
	case percent && !said && u.UCUM == "%":
		return accuracy{}, fmt.Errorf(`may be %[1]s units of the column or %[1]s per cent of each figure; write %[2]q or %[3]q`, figure, figure, figure+" % "+shareOf)
	case percent:
		if width.Cmp(big.NewRat(100, 1)) >= 0 {
			return bad("is the whole of each figure or more")
		}
		return accuracy{share: width.Quo(width, big.NewRat(100, 1))}, nil
	case name == "":
		return accuracy{width: width}, nil
	}
	from, err := unit.ParseFor(name, u.Dim)
	if err != nil {
		return bad("has no fitting unit: " + err.Error())
	}
	e, err := unit.Width(width, from, u)
	if err != nil {
		return bad("has no fitting unit: " + err.Error())
	}
	return accuracy{width: e.Approx()}, nil
}

// accuracy settles what the source states of a column's accuracy. A list has units
// by row, so there it stands under rows:; head is the row's label.
func (n *normalizer) accuracy(m *columnMeaning, where, key, head string) {
	text, stated := n.t.Accuracy[key]
	field := fmt.Sprintf("accuracy: {%s: ...} in the column's unit", key)
	of := "column " + key
	if n.t.Layout == "list" && key == "value" {
		if stated {
			// One number would be feet in one row and pounds in the next.
			m.ok = false
			n.problem(Meaning, "accuracy", nil, where, "", "the rows of a list have units of their own, so that no accuracy can be stated for all of them; write accuracy: with the row, under rows:")
			return
		}
		of, field = fmt.Sprintf("%q", head), "accuracy: with the row, under rows:"
		if rule := n.rule(head); rule != nil {
			text = rule.Accuracy
		}
		stated = text != ""
	}
	switch {
	case !stated && n.t.Origin == "figure" && n.t.Column(key) != nil:
		m.ok = false
		n.problem(Meaning, "accuracy", nil, where, "", "%s was read off a plotted curve, and its reading error is not stated; write %s", m.quantity.Name, field)
	case !stated || m.unit.Factor == nil: // without a unit nothing can be in it
	default:
		a, err := parseAccuracy(text, m.unit)
		if err != nil {
			m.ok = false
			n.problem(Meaning, "accuracy", nil, where, "", "accuracy of %s is %q, which %v", of, text, err)
			return
		}
		m.accuracy = a
	}
}

// Factor is one input of a product: a value, its half-width (nil for an exact
// one) and the power to which it stands.
type Factor struct {
	Name  string // for errors: "wing area"
	Value *big.Rat
	Half  *big.Rat
	Power int
}

// Product is y = c * prod x_i^p_i with the half-width that its inputs leave it, by
// interval arithmetic:
//
//	half = max |y' - y| over all x_i' within x_i +- half_i
//
// exactly, in coherent units: W/S is 1 * W^1 * S^-1, C_L is 2 * W^1 * rho^-1 *
// S^-1 * V^-2. The interval need not be centred on y, and the farther end counts.
// Each input may stand once. It is an error where an input that divides may be
// zero within its half-width, for then the result has no bound, and where a
// half-width is negative.
//
// Source: R. E. Moore, interval arithmetic (from memory); the extremes of a product
// of independent intervals lie at their ends, and for an even power at zero.
func Product(c *big.Rat, inputs ...Factor) (value, half *big.Rat, err error) {
	value = new(big.Rat).Set(c)
	low, high := new(big.Rat).Set(c), new(big.Rat).Set(c)
	seen := map[string]bool{}
	for _, x := range inputs {
		if x.Value == nil || x.Half != nil && x.Half.Sign() < 0 {
			return nil, nil, fmt.Errorf("%s has no value, or a half-width below zero; it should have a value and a half-width of zero or more", x.Name)
		}
		if seen[x.Name] {
			return nil, nil, fmt.Errorf("%s stands twice in a product; join its powers", x.Name)
		}
		seen[x.Name] = true
		a, b := new(big.Rat).Set(x.Value), new(big.Rat).Set(x.Value)
		if x.Half != nil {
			a.Sub(a, x.Half)
			b.Add(b, x.Half)
		}
		if x.Power < 0 && a.Sign() <= 0 && b.Sign() >= 0 {
			return nil, nil, fmt.Errorf("%s is %s +- %s, which may be zero, and it divides: the result has no bound", x.Name, x.Value.FloatString(6), halfText(x.Half))
		}
		value.Mul(value, powered(x.Value, x.Power))
		ends := []*big.Rat{powered(a, x.Power), powered(b, x.Power)}
		if x.Power > 0 && x.Power%2 == 0 && a.Sign()*b.Sign() < 0 {
			ends = append(ends, new(big.Rat))
		}
		var products []*big.Rat
		for _, end := range ends {
			products = append(products, new(big.Rat).Mul(low, end), new(big.Rat).Mul(high, end))
		}
		low, high = products[0], products[0]
		for _, p := range products[1:] {
			if p.Cmp(low) < 0 {
				low = p
			}
			if p.Cmp(high) > 0 {
				high = p
			}
		}
	}
	half = new(big.Rat).Sub(high, value)
	if below := new(big.Rat).Sub(value, low); below.Cmp(half) > 0 {
		half = below
	}
	return value, half, nil
}

func halfText(half *big.Rat) string {
	if half == nil {
		return "0"
	}
	return half.FloatString(6)
}

// powered is x^n, x not 0 where n < 0.
func powered(x *big.Rat, n int) *big.Rat {
	y := big.NewRat(1, 1)
	for range max(n, -n) {
		y.Mul(y, x)
	}
	if n < 0 {
		y.Inv(y)
	}
	return y
}
