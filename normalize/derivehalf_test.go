package normalize

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"windtally/extract"
)

// Each conversion again in plain floating point, from the equations and not from the
// program's formula: a straight line, a quotient of areas, a sum of angles, and the
// pitot tube in the standard atmosphere (constants of ISO 2533, from memory).
func lineAgain(x []float64) float64 { return x[3] + (x[4]-x[3])*(x[0]-x[1])/(x[2]-x[1]) }

func trueAgain(cas, height float64) float64 {
	const g, r, lapse, t0, p0 = 9.80665, 287.05287, 0.0065, 288.15, 101325
	t := t0 - lapse*height
	p := p0 * math.Pow(t/t0, g/(r*lapse))
	impact := p0 * (math.Pow(1+cas*cas/(5*1.4*r*t0), 3.5) - 1)
	return math.Sqrt(5*(math.Pow(impact/p+1, 2.0/7)-1)) * math.Sqrt(1.4*r*t)
}

// TestDerivedHalfWidthsHold: whatever the true figures are within the half-widths of
// the print, the derived one lies within its own, as worked out and as published: in
// every corner of the box and in random points of it.
func TestDerivedHalfWidthsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	position := &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}
	wing := full()
	wing.Configuration.Deflection = "up"
	thrust := full()
	thrust.AngleDatum = "thrust-line"
	aloft := flight()
	aloft.AirspeedKind, aloft.AirspeedMeaning, aloft.Altitude = "CAS", "", "column h"
	speed := func(key string) extract.Column { return extract.Column{Key: key, Quantity: "airspeed", Unit: "m/s"} }
	height := extract.Column{Key: "h", Quantity: "altitude", Unit: "m"}
	low := flight()
	low.Altitude = "column h"
	calibrated := speed("cas")
	calibrated.Basis = &extract.Basis{AirspeedKind: "CAS"}
	net := &extract.Basis{ReferenceArea: "net"}
	// Tenths of a unit, drawn from [from, from + span).
	draw := func(from, span int64) string { return fmt.Sprintf("%.1f", float64(from+r.Int64N(span))/10) }
	errors := func() *Series {
		return named(t, "errors", []extract.Column{speed("ias"), calibrated}, flight(), draw(240, 20)+"|"+draw(250, 30), draw(290, 30)+"|"+draw(300, 30))
	}
	corners, points := 0, 0
	for _, c := range []struct {
		name   string
		ask    extract.Derivation
		record func() []Figure
		again  func(x []float64) float64
	}{
		{"position error", extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "CAS", PositionError: position},
			func() []Figure {
				return figures(named(t, "speeds", []extract.Column{speed("v")}, flight(), draw(262, 25)), errors())
			}, lineAgain},
		{"true airspeed", extract.Derivation{Quantity: "airspeed", AirspeedKind: "TAS"},
			func() []Figure {
				return figures(named(t, "speeds", []extract.Column{height, speed("v")}, aloft, draw(0, 80000)+"|"+draw(300, 1000)))
			}, func(x []float64) float64 { return trueAgain(x[0], x[1]) }},
		{"the whole way", extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "TAS", PositionError: position},
			func() []Figure {
				return figures(named(t, "speeds", []extract.Column{height, speed("v")}, low, draw(10000, 40000)+"|"+draw(262, 25)), errors())
			}, func(x []float64) float64 { return trueAgain(lineAgain(x), x[5]) }},
		{"area", extract.Derivation{Quantity: "lift coefficient", ReferenceArea: "net"},
			func() []Figure {
				areas := named(t, "areas", []extract.Column{{Key: "gross", Quantity: "wing area", Unit: "m2"}, {Key: "net", Quantity: "wing area", Unit: "m2", Basis: net}}, wing, draw(150, 80)+"|"+draw(120, 30))
				return figures(named(t, "polar", []extract.Column{{Key: "cl", Quantity: "lift coefficient", Unit: "1"}}, wing, draw(-9, 30)), areas)
			}, func(x []float64) float64 { return x[0] * x[1] / x[2] }},
		{"chord", extract.Derivation{Quantity: "angle of attack", AngleDatum: "chord"},
			func() []Figure {
				return figures(named(t, "polar", []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}}, thrust, draw(-80, 200)),
					named(t, "particulars", []extract.Column{{Key: "i", Quantity: "angle of wing setting", Unit: "deg"}}, thrust, draw(10, 20)))
			}, func(x []float64) float64 { return x[0] + x[1] }},
		{"zero lift", extract.Derivation{Quantity: "angle of attack", AngleDatum: "zero-lift"},
			func() []Figure {
				return figures(named(t, "polar", []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}}, thrust, draw(-80, 200)),
					named(t, "zero", []extract.Column{{Key: "z", Quantity: "zero-lift angle", Unit: "deg"}}, thrust, draw(-90, 80)))
			}, func(x []float64) float64 { return x[0] - x[1] }},
	} {
		reached := 0.0 // of the half-width, by the farthest corner
		for range 40 {
			done, not := Derive(c.record(), c.ask)
			if len(done) != 1 {
				t.Fatalf("%s: %d derived, %v", c.name, len(done), not)
			}
			d := done[0]
			value, half := float(d.Value), float(d.Half)
			number, published := float(d.Number().Rat()), float(d.HalfWidth().Rat())
			if d.HalfWidth().Rat().Cmp(d.Half) < 0 || published > half*1.003 {
				t.Errorf("%s: half-width %v, published %v", c.name, half, published)
			}
			at, wide := make([]float64, len(d.Parents)), make([]float64, len(d.Parents))
			for i, p := range d.Parents {
				at[i], wide[i] = float(p.Value.Rat()), float(p.Half)
			}
			holds := func(x []float64) float64 {
				y := c.again(x)
				apart := math.Abs(y - value)
				if apart > half*(1+1e-9) || math.Abs(y-number) > published*(1+1e-9) {
					t.Fatalf("%s: %v within %v +- %v gives %v, outside of %v +- %v (published %v +- %v)", c.name, x, at, wide, y, value, half, number, published)
				}
				return apart
			}
			x := make([]float64, len(at))
			for corner := range 1 << len(at) {
				for i := range at {
					x[i] = at[i] + wide[i]*float64(2*(corner>>i&1)-1)
				}
				reached = max(reached, holds(x)/half)
				corners++
			}
			for range 200 {
				for i := range at {
					x[i] = at[i] + wide[i]*(2*r.Float64()-1)
				}
				holds(x)
				points++
			}
		}
		if reached < 1-1e-9 {
			t.Errorf("%s: no corner goes farther than %.9f of the half-width", c.name, reached)
		}
	}
	if corners != 40*(32+4+64+8+4+4) || points != 48000 {
		t.Errorf("%d corners and %d points", corners, points)
	}
}

// Two rows that their rounding may lay on one another have no line through them.
func TestRowsThatMayFallTogetherAreRefused(t *testing.T) {
	ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "CAS", PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}}
	record := figures(named(t, "speeds", []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}, flight(), "25.0"),
		named(t, "errors", errorColumns, flight(), "25.0|26.0|1", "25.1|26.1|1"))
	wantTold(t, record, ask, `refused: airspeed "25.0" at speeds:r1:v is not derived as CAS: its half-width cannot be carried through: where the figures that it follows from move by theirs, two rows of the table of position errors fall together, within their half-widths`)
}

// A value that is written shorter than it is takes the rounding into its half-width:
// 1/3 +- 0.0005 is written 0.3333333 +- 0.0005001, and 1/3 lies within.
func TestRoundingOfADerivedValueWidensIt(t *testing.T) {
	for _, c := range []struct{ value, half, number, width string }{
		{"1/3", "1/2000", "0.3333333", "0.0005001"},
		{"1/4", "1/2000", "0.2500000", "0.0005"},
		{"2/3", "1234/10000", "0.6667", "0.1235"}, // 0.1234 + 0.0000333
	} {
		d := Derived{Value: ratOf(t, c.value), Half: ratOf(t, c.half), Accuracy: ratOf(t, c.half)}
		a, stated := d.PublishedAccuracy()
		if d.Number().String() != c.number || d.HalfWidth().String() != c.width || !stated || a.Cmp(d.HalfWidth()) != 0 {
			t.Errorf("%s +- %s is %s +- %s (accuracy %s), want %s +- %s", c.value, c.half, d.Number(), d.HalfWidth(), a, c.number, c.width)
		}
	}
}

func float(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
