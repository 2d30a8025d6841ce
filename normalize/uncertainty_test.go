package normalize

import (
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

func ratOf(t testing.TB, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no rational", s)
	}
	return r
}

// Factors of NIST SP 811, App. B.8; worked out by hand.
func TestStatedAccuracy(t *testing.T) {
	for _, c := range []struct{ quantity, unit, printed, accuracy, exact, published string }{
		{"drag coefficient", "1", "0.0120", "0.005", "1/200", "0.005"},
		{"stall speed", "mph", "60", "2", "0.89408", "0.8941"},
		{"stall speed", "mph", "60", "± 2 m.p.h.", "0.89408", "0.8941"},
		{"stall speed", "mph", "60", "1 knot", "463/900", "0.5145"},
		{"stall speed", "mph", "60", "2 %", "0.536448", "0.5365"}, // 60 x .44704 x .02
		{"stall speed", "mph", "60", "2% of value", "0.536448", "0.5365"},
		{"stall speed", "mph", "60", "1 1/2", "0.67056", "0.6706"},
		{"flap deflection", "deg", "-20", "5 per cent", "1", "1"},
		{"flap deflection", "deg", "15", "30 minutes of arc", "1/2", "0.5"},
		{"lift coefficient", "1", "0.00", "2 %", "", ""}, // a share of nothing says nothing
		{"drag coefficient", "%", "1.20", "0.05", "1/2000", "0.0005"},
		{"drag coefficient", "%", "1.20", "5 % of value", "3/5000", "0.0006"},
	} {
		tb, r := grid([]extract.Column{{Key: "x", Quantity: c.quantity, Unit: c.unit}}, full(), c.printed)
		tb.Accuracy = map[string]string{"x": c.accuracy}
		s := series(tb, r)
		wantProblems(t, s)
		d := s.Rows[0].Datum("x")
		a, stated := d.PublishedAccuracy()
		switch {
		case c.exact == "":
			if stated || d.Accuracy != nil {
				t.Errorf("%s %s: accuracy %s", c.printed, c.accuracy, a)
			}
		case !stated || d.Accuracy.Cmp(ratOf(t, c.exact)) != 0 || a.String() != c.published:
			t.Errorf("%s %s %s: accuracy %s, published %s; want %s, %s", c.printed, c.unit, c.accuracy, d.Accuracy, a, c.exact, c.published)
		}
		plain := one(c.quantity, c.unit, c.printed)
		if without := plain.Rows[0].Datum("x"); without.Half.Cmp(d.Half) != 0 {
			t.Errorf("%s: the accuracy changes the half-width from %s to %s", c.printed, without.Half, d.Half)
		}
	}
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "drag coefficient", Unit: "%"}}, full(), "1.20")
	tb.Accuracy = map[string]string{"x": "2 %"}
	wantProblems(t, series(tb, r), `meaning-missing table:x: accuracy of column x is "2 %", which may be 2 units of the column or 2 per cent of each figure; write "2" or "2 % of value"`)
}

// Rounding is outward, to four figures: the digits are worked out by hand.
func TestPublishedHalfIsOutward(t *testing.T) {
	for _, c := range []struct{ half, want string }{
		{"0.005", "0.005"}, {"1/3", "0.3334"}, {"2/3", "0.6667"}, {"0.022352", "0.02236"}, {"0.99991", "1"}, {"9.99951", "10"},
		{"123.41", "123.5"}, {"12341", "12350"}, {"12340", "12340"}, {"99999", "100000"}, {"500000", "500000"}, {"1234567.5", "1235000"}, {"0.00010001", "0.0001001"}, {"2.5", "2.5"}, {"1234", "1234"}, {"1234.1", "1235"},
	} {
		if got := PublishedHalf(ratOf(t, c.half)).String(); got != c.want {
			t.Errorf("%s is published as %s, want %s", c.half, got, c.want)
		}
	}
}

// kindsOfPrint are quantities with the units in which reports print them.
var kindsOfPrint = [][2]string{{"stall speed", "knots"}, {"stall speed", "mph"}, {"stall speed", "km/h"}, {"stall speed", "ft/s"}, {"stall speed", "m/s"}, {"wing area", "sq ft"}, {"wing area", "m2"},
	{"weight", "lb"}, {"weight", "kg"}, {"weight", "long tons"}, {"wing loading", "lb/sq ft"}, {"wing loading", "kg/m2"}, {"power", "hp"}, {"power", "PS"}, {"power", "kW"},
	{"wing span", "ft"}, {"wing span", "in"}, {"lift-curve slope", "per degree"}, {"lift-curve slope", "per radian"}, {"angle of attack", "rad"}, {"angle of attack", "deg"}, {"flap deflection", "minutes of arc"}, {"power loading", "lb/hp"}, {"lift coefficient", "1"}, {"drag coefficient", "%"}, {"Reynolds number", "millions"}, {"altitude", "ft"}}

// TestRandomNumerals: 100,000 random numerals, drawn in the manner of the print.
// In its own unit a printed value is published with the printed digits; in another
// it comes back from the published value with the printed digits; and the
// published interval holds the exact one.
func TestRandomNumerals(t *testing.T) {
	const numerals = 100_000
	r := rand.New(rand.NewPCG(9, 4))
	same := 0
	for i := range numerals {
		k := kindsOfPrint[i%len(kindsOfPrint)]
		q, _ := Find(k[0])
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(k[1], canonical.Dim)
		if err != nil {
			t.Fatal(err)
		}
		plain, printed := drawn(r)
		num, err := numeral.Parse(printed)
		if err != nil {
			t.Fatalf("%q: %v", printed, err)
		}
		if got := num.Decimal.String(); got != plain || !num.Finite {
			t.Fatalf("%q is read as %s, want %s", printed, got, plain)
		}
		n := &normalizer{t: &extract.Table{}}
		d, err := n.datum(nil, &extract.Collated{Text: printed}, &columnMeaning{quantity: q, unit: u}, &num, 1)
		if err != nil {
			t.Fatalf("%q: %v", printed, err)
		}
		// In the unit of the print, whatever the canonical one.
		if own := Published(num.Rat(), d.Half, true, num).String(); own != plain {
			t.Fatalf("%q in %s is rendered as %s, want %s", printed, k[1], own, plain)
		}
		published := d.Number()
		if u.UCUM == q.Canonical {
			same++
			if published.String() != plain {
				t.Fatalf("%q %s is published as %s", printed, k[1], published)
			}
		}
		back, err := unit.Convert(published.Rat(), canonical, u)
		if err != nil {
			t.Fatal(err)
		}
		if got := numeral.RoundTo(back.Approx(), num.Decimals).String(); got != plain {
			t.Fatalf("%q %s is published as %s %s, which is %s again", printed, k[1], published, q.Canonical, got)
		}
		w := d.HalfWidth().Rat()
		low, high := new(big.Rat).Sub(published.Rat(), w), new(big.Rat).Add(published.Rat(), w)
		exactLow, exactHigh := new(big.Rat).Sub(d.Value.Rat(), d.Half), new(big.Rat).Add(d.Value.Rat(), d.Half)
		if low.Cmp(exactLow) > 0 || high.Cmp(exactHigh) < 0 {
			t.Fatalf("%q %s is published as %s +- %s, which does not hold %s +- %s", printed, k[1], published, d.HalfWidth(), d.Value.Rat().FloatString(20), d.Half.FloatString(20))
		}
		// Outward, and not far out: four figures and the rounding of the value.
		if far := new(big.Rat).Mul(d.Half, ratOf(t, "1.0021")); w.Cmp(far) > 0 {
			t.Fatalf("%q %s: half-width %s, far outside of %s", printed, k[1], d.HalfWidth(), d.Half.FloatString(20))
		}
	}
	if same < numerals/8 {
		t.Errorf("only %d of %d numerals were in the canonical unit", same, numerals)
	}
}

// drawn makes a numeral as printed and its plain form.
func drawn(r *rand.Rand) (plain, printed string) {
	whole, decimals := "0", ""
	for n := r.IntN(7); len(whole) <= n; {
		if whole == "0" {
			whole = string(rune('1' + r.IntN(9)))
			if n == 0 {
				break
			}
			continue
		}
		whole += string(rune('0' + r.IntN(10)))
	}
	if r.IntN(4) == 0 {
		whole = "0"
	}
	for range r.IntN(6) {
		decimals += string(rune('0' + r.IntN(10)))
	}
	sign := r.IntN(5) == 0
	plain = whole
	if decimals != "" {
		plain += "." + decimals
	}
	if strings.Trim(plain, "0.") == "" {
		sign = false // a zero has no sign
	}
	printed = plain
	if whole == "0" && decimals != "" && r.IntN(2) == 0 {
		printed = printed[1:] // .30
	}
	if len(whole) > 3 && len(whole) < 7 && r.IntN(2) == 0 {
		printed = whole[:len(whole)-3] + "," + printed[len(whole)-3:]
	}
	if sign {
		plain = "-" + plain
		printed = []string{"-", "−", "–"}[r.IntN(3)] + printed
	}
	return plain, printed
}

// Worked by hand: 2,000 lb +- 5 on 100 sq. ft. +- 0.5.
func TestProduct(t *testing.T) {
	in := func(name, value, half string, power int) Factor {
		f := Factor{Name: name, Value: ratOf(t, value), Power: power}
		if half != "" {
			f.Half = ratOf(t, half)
		}
		return f
	}
	for _, c := range []struct {
		name, c, value, half string
		inputs               []Factor
	}{
		{"wing loading", "1", "20", "30/199", []Factor{in("weight", "2000", "5", 1), in("area", "100", "0.5", -1)}}, // 2005/99.5 - 20
		{"exact inputs", "2", "6", "0", []Factor{in("weight", "3", "", 1)}},
		{"dynamic pressure", "0.5", "50", "10.5", []Factor{in("speed", "10", "1", 2)}}, // 121/2 - 50
		{"a speed about zero", "1", "1", "8", []Factor{in("speed", "1", "2", 2)}},      // 0 to 9
		{"below zero", "1", "-6", "6", []Factor{in("a", "-2", "1", 1), in("b", "3", "1", 1)}},
		{"a negative constant", "-1", "-4", "5", []Factor{in("a", "2", "1", 2)}}, // -9 to -1
	} {
		value, half, err := Product(ratOf(t, c.c), c.inputs...)
		if err != nil || value.Cmp(ratOf(t, c.value)) != 0 || half.Cmp(ratOf(t, c.half)) != 0 {
			t.Errorf("%s: %s +- %s, %v; want %s +- %s", c.name, value, half, err, c.value, c.half)
		}
	}
	for _, c := range []struct {
		inputs []Factor
		want   string
	}{
		{[]Factor{in("wing area", "0.4", "0.5", -1)}, "wing area is 0.400000 +- 0.500000, which may be zero, and it divides: the result has no bound"},
		{[]Factor{in("wing area", "0", "", -1)}, "wing area is 0.000000 +- 0, which may be zero, and it divides: the result has no bound"},
		{[]Factor{in("speed", "1", "-1", 1)}, "speed has no value, or a half-width below zero; it should have a value and a half-width of zero or more"},
		{[]Factor{in("speed", "1", "", 1), in("speed", "1", "", 1)}, "speed stands twice in a product; join its powers"},
	} {
		if _, _, err := Product(big.NewRat(1, 1), c.inputs...); err == nil || err.Error() != c.want {
			t.Errorf("error %v, want %s", err, c.want)
		}
	}
}

// TestProductHoldsItsSamples: no choice of inputs within their half-widths gives a
// result outside, and one of the corners or a zero reaches the end.
func TestProductHoldsItsSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 5))
	for range 2000 {
		var inputs []Factor
		for _, name := range []string{"a", "b", "c"} {
			f := Factor{Name: name, Value: big.NewRat(r.Int64N(2001)-1000, 10), Half: big.NewRat(r.Int64N(200), 10), Power: r.IntN(5) - 2}
			if f.Power < 0 && new(big.Rat).Abs(f.Value).Cmp(f.Half) <= 0 {
				f.Power = 1
			}
			inputs = append(inputs, f)
		}
		value, half, err := Product(big.NewRat(3, 7), inputs...)
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			moved := big.NewRat(3, 7)
			for _, f := range inputs {
				at := new(big.Rat).Mul(f.Half, big.NewRat(r.Int64N(201)-100, 100))
				at.Add(at, f.Value)
				for range max(f.Power, -f.Power) {
					if f.Power > 0 {
						moved.Mul(moved, at)
					} else {
						moved.Quo(moved, at)
					}
				}
			}
			if apart := moved.Sub(moved, value); apart.Abs(apart).Cmp(half) > 0 {
				t.Fatalf("%+v: a sample lies %s from the value, the half-width is %s", inputs, apart.FloatString(9), half.FloatString(9))
			}
		}
	}
}
