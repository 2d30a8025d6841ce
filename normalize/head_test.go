package normalize

import (
	"testing"

	"windtally/normalize/unit"
)

// The unit that a person states is held against the words of the printed head.
func TestAgainstHead(t *testing.T) {
	for _, tc := range []struct{ head, quantity, unit, want string }{
		{"Flap deflection (deg.)", "flap deflection", "deg", ""},
		{"Stalling speed (m.p.h.) Indicated", "stall speed", "mph", ""},
		{"Stalling speed (m.p.h.)", "stall speed", "knots", `the print says "m.p.h." in "Stalling speed (m.p.h.)", which is statute mile per hour; the unit is stated as knot`},
		{"Speed, knots", "airspeed", "km/h", `the print says "knots" in "Speed, knots", which is knot; the unit is stated as kilometre per hour`},
		{"Span in ft.", "wing span", "m", `the print says "ft." in "Span in ft.", which is foot; the unit is stated as metre`},
		{"Slope (per deg.)", "lift-curve slope", "per radian", `the print says "per deg." in "Slope (per deg.)", which is per degree; the unit is stated as per radian`},
		{"Wing loading, lb. per sq. ft.", "wing loading", "lb/sq ft", ""},
		{"Weight, lb.", "weight", "lb", ""},
		{"Weight (a)", "weight", "kg", ""}, // a footnote mark is no unit
		{"Area, flap drawn in", "wing area", "sq ft", ""},
		{"C_L", "lift coefficient", "1", ""},
		{"C_D x 10^4", "drag coefficient", "1", `the print says "C_D x 10^4", a scaled figure, and the unit is stated as 1; under a head C_D x 10^4 the unit is 10*-4, for millions it is 10*6`},
		{"C_D x 10^4", "drag coefficient", "10*-4", ""},
		{"C_D × 10⁴", "drag coefficient", "1", `the print says "C_D × 10⁴", a scaled figure, and the unit is stated as 1; under a head C_D x 10^4 the unit is 10*-4, for millions it is 10*6`},
		{"R.N. (millions)", "Reynolds number", "1", `the print says "R.N. (millions)", a scaled figure, and the unit is stated as 1; under a head C_D x 10^4 the unit is 10*-4, for millions it is 10*6`},
		{"R.N. (millions)", "Reynolds number", "10*6", ""},
		{" " + unitAfter("Test weight * kg."), "test weight", "lb", `the print says "kg." in " (kg.)", which is kilogram-force; the unit is stated as pound-force`},
		{" " + unitAfter("Test weight * lb. with"), "test weight", "lb", ""},
	} {
		q, ok := Find(tc.quantity)
		if !ok {
			t.Fatalf("no quantity %q", tc.quantity)
		}
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(tc.unit, canonical.Dim)
		if err != nil {
			t.Fatal(err)
		}
		if got := againstHead(tc.head, q, u); got != tc.want {
			t.Errorf("%q as %s in %s:\n%s\nwant\n%s", tc.head, tc.quantity, tc.unit, got, tc.want)
		}
	}
}
