package air

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TRADE.md 4.1 (DERIVED): p 84307.3 Pa at 5,000 ft, rho 0.904637 kg/m3 at 10,000 ft,
// R 287.05287 J/(kg K). Air of that pressure and that density has
// T = p/(R rho) = 324.661 K, and its density altitude is 10,000 ft; air of 46563.2 Pa
// (20,000 ft) and 0.458312 kg/m3 (30,000 ft) has 353.929 K. The digits of the table
// leave 1 ft.
func TestDensityAltitudeOfTheTables(t *testing.T) {
	for _, c := range []struct{ pressureFeet, kelvin, feet float64 }{
		{5000, 84307.3 / (287.05287 * 0.904637), 10000},
		{20000, 46563.2 / (287.05287 * 0.458312), 30000},
		{10000, 69681.6 / (287.05287 * 1.055546), 5000},
		{5000, 278.244, 5000},
	} {
		got, err := Modern.DensityAltitude(c.pressureFeet*foot, c.kelvin)
		if err != nil || math.Abs(got/foot-c.feet) > 1 {
			t.Errorf("pressure altitude %g ft at %.3f K: %.2f ft, %v; want %g", c.pressureFeet, c.kelvin, got/foot, err, c.feet)
		}
	}
	// A worked example of the FAA's Pilot's Handbook of Aeronautical Knowledge (FROM
	// MEMORY): pressure altitude 5,719 ft and 70 degF, read off a chart as 7,700 ft. One
	// of the chart's divisions is 200 ft.
	got, err := Modern.DensityAltitude(5719*foot, (70+459.67)/1.8)
	if err != nil || math.Abs(got/foot-7700) > 200 {
		t.Errorf("%.0f ft, %v; the chart gives 7700", got/foot, err)
	}
	// The rule of 120 ft a degree Celsius (common practice, no source): 10 degC above
	// the standard at sea level.
	if got, err = Modern.DensityAltitude(0, 298.15); err != nil || math.Abs(got/foot-1200) > 60 {
		t.Errorf("%.0f ft, %v; want about 1200", got/foot, err)
	}
}

// At the standard's own temperature the density altitude is the pressure altitude;
// and at any temperature the density there is p/(R T), in both standards.
func TestDensityAltitudeIsTheInverseOfTheStandard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, top := Modern, 79000.0
		if rapid.Bool().Draw(t, "period") {
			s, top = Period, periodTropopause
		}
		h := rapid.Float64Range(lowest, top).Draw(t, "h")
		state, err := s.At(h)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.DensityAltitude(h, state.Temperature)
		if err != nil && (h < lowest+1e-6 || h > top-1e-6) {
			return // rounding puts it over the edge
		}
		if err != nil || math.Abs(got-h) > 1e-7 {
			t.Fatalf("%v %g m: %g, %v", s, h, got, err)
		}
		warm := rapid.Float64Range(0.9, 1.1).Draw(t, "warm")
		if got, err = s.DensityAltitude(h, state.Temperature*warm); err != nil {
			return
		}
		there, err := s.At(got)
		if err != nil || math.Abs(there.Density*warm/state.Density-1) > 1e-12 {
			t.Fatalf("%v %g m, %g of the temperature: %g m, density %g against %g, %v", s, h, warm, got, there.Density, state.Density/warm, err)
		}
	})
}

// The period standard is denser by 0.05 % (0.002378 against 0.0023769 slug/ft3), but in
// ratios it is the same troposphere to the digits of its gas constant.
func TestDensityAltitudeKeepsTheStandardsApart(t *testing.T) {
	a, err := Modern.DensityAltitude(3048, 290)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Period.DensityAltitude(3048, 290)
	if err != nil {
		t.Fatal(err)
	}
	if a == b || math.Abs(a-b) > 2 {
		t.Errorf("modern %.3f m, period %.3f m", a, b)
	}
}

func TestDensityAltitudeRefuses(t *testing.T) {
	for _, c := range []struct {
		s              Standard
		height, kelvin float64
		want           string
	}{
		{Modern, 1000, 0, "temperature 0 K: a finite temperature above zero is wanted"},
		{Modern, 1000, math.NaN(), "temperature NaN K: a finite temperature above zero is wanted"},
		{Period, 12000, 288, "geopotential altitude 12000 m is outside the NACA standard atmosphere: -5000 m to 10769 m is wanted"},
		{Period, 10000, 300, "density 0.3069 kg/m3 (pressure altitude 10000 m, 300 K) is that of no altitude of the NACA standard atmosphere"},
		{Modern, -5000, 200, "density 3.095 kg/m3 (pressure altitude -5000 m, 200 K) is that of no altitude of the standard atmosphere"},
		{0, 1000, 288, "no standard atmosphere is named: Modern or Period is wanted"},
	} {
		if got, err := c.s.DensityAltitude(c.height, c.kelvin); err == nil || err.Error() != c.want {
			t.Errorf("%v %g m %g K: %g, %v; want %q", c.s, c.height, c.kelvin, got, err, c.want)
		}
	}
}
