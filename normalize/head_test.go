package normalize

import (
	"strings"
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
		{"C_D x 10^4", "drag coefficient", "1", `the print says "C_D x 10^4", a scaled figure, whose unit is 10*-4 (a figure of 123 means 123 x 10^-4); the unit is stated as 1`},
		{"C_D x 10^4", "drag coefficient", "10*-4", ""},
		{"C_D × 10⁴", "drag coefficient", "1", `the print says "C_D × 10⁴", a scaled figure, whose unit is 10*-4 (a figure of 123 means 123 x 10^-4); the unit is stated as 1`},
		{"R.N. (millions)", "Reynolds number", "1", `the print says "R.N. (millions)", a scaled figure, whose unit is 10*6 (a figure of 123 means 123 x 10^6); the unit is stated as 1`},
		{"R.N. (millions)", "Reynolds number", "10*6", ""},
		{"@Test weight * kg.", "test weight", "lb", `the print says "kg." in " (kg.)", which is kilogram-force; the unit is stated as pound-force`},
		{"@Test weight * lb. with", "test weight", "lb", ""},
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
		head, after, _ := strings.Cut(tc.head, "@")
		if got := strings.Join((&normalizer{}).headDoubts(head, after, q, u, full()), "; "); got != tc.want {
			t.Errorf("%q as %s in %s:\n%s\nwant\n%s", tc.head, tc.quantity, tc.unit, got, tc.want)
		}
	}
}

// What heads say of scale, unit and quantity, each beside a clean twin. says is a
// part of the finding, "" where there is none. The prints are common practice, no
// source.
func TestHeadAgainstMeaning(t *testing.T) {
	scaled := func(unit string) string { return "a scaled figure, whose unit is " + unit + " " }
	for _, tc := range []struct{ head, quantity, unit, says string }{
		{"C_D x 10^4", "drag coefficient", "10*4", scaled("10*-4")},
		{"C_D x 10^4", "drag coefficient", "10*-3", scaled("10*-4")},
		{"C_D x 10^-4", "drag coefficient", "10*4", ""},
		{"C_D X 104", "drag coefficient", "1", scaled("10*-4")},
		{"C_D X 104", "drag coefficient", "10*-4", ""},
		{"C_D x 1000", "drag coefficient", "1", scaled("10*-3")},
		{"C_D x 10,000", "drag coefficient", "10*-4", ""},
		{"1000 C_D", "drag coefficient", "1", scaled("10*-3")},
		{"1000 C_D", "drag coefficient", "10*-3", ""},
		{"10⁴ C_D", "drag coefficient", "10*-4", ""},
		{"C_D x 100", "drag coefficient", "%", ""},
		{"C_D x 10^7", "drag coefficient", "1", "there is no unit of 10 to the -7"},
		{"R.N. x 10^-6", "Reynolds number", "10*-6", scaled("10*6")},
		{"R.N. x 10⁻⁶", "Reynolds number", "10*6", ""},
		{"R.N. ÷ 1,000,000", "Reynolds number", "1", scaled("10*6")},
		{"R.N. / 10^6", "Reynolds number", "10*6", ""},
		{"R.N. (10^6)", "Reynolds number", "1", scaled("10*6")},
		{"R.N. in thousands", "Reynolds number", "10*3", ""},
		{"C_D, thousandths", "drag coefficient", "10*3", scaled("10*-3")},
		{"R.N.@R.N., * x 10^6", "Reynolds number", "1", scaled("10*6")},
		{"R.N.@R.N., * x 10^6", "Reynolds number", "10*6", ""},
		{"Altitude (1000 ft.)", "altitude", "ft", "altitude has no scaled unit: write unclassified or key"},
		{"Altitude, 1,000 ft.", "altitude", "ft", "altitude has no scaled unit"},
		{"Stalling speed at 1,000 ft., m.p.h.", "stall speed", "mph", ""},
		{"C_L at R.N. 3.1 x 10^6", "lift coefficient", "1", ""},
		{"C_L (10)", "lift coefficient", "1", ""}, // the tenth column
		{"10 per cent flap", "lift coefficient", "1", ""},

		{"CD", "lift coefficient", "1", "which is the drag coefficient"},
		{"Drag coefficient, C_D", "lift coefficient", "1", "which is the drag coefficient"},
		{"Wing span, ft.", "length", "ft", "which is the wing span"},
		{"Wing span, ft.", "wing span", "ft", ""},
		{"Span", "flap span", "ft", ""},
		{"C_L", "maximum lift coefficient", "1", ""},
		{"Weight, lb.", "test weight", "lb", ""},
		{"Speed m.p.h.", "stall speed", "mph", ""},
		{"Lift coefficient at minimum drag coefficient", "lift coefficient", "1", ""},

		{"Speed m.p.h.", "stall speed", "knots", "which is statute mile per hour"},
		{"M.P.H.", "stall speed", "knots", "which is statute mile per hour"},
		{"V mph", "stall speed", "knots", "which is statute mile per hour"},
		{"I.A.S. mph", "stall speed", "knots", "which is statute mile per hour"},
		{"V, m.p.h. (indicated)", "stall speed", "knots", "which is statute mile per hour"},
		{"Wing loading lb. per sq. ft.", "wing loading", "kg/m2", "which is pound-force per square foot"},
		{"Wing loading lb. per sq. ft.", "wing loading", "lb/sq ft", ""},
		{"Altitude (m)", "altitude", "ft", "which is metre"},
		{"Altitude m.", "altitude", "ft", "which is metre"},
		{"Altitude (a)", "altitude", "ft", ""},
		{"Span, flap drawn in", "wing span", "ft", ""},
		{"Angle, min.", "flap deflection", "minutes of arc", ""},
		{"Weight, tons", "weight", "lb", `"tons" in "Weight, tons": long (2240 lb), short (2000 lb) or metric?`},
		{"Weight, tons", "weight", "long ton", ""},
		{"Power loading, kg/hp", "power loading", "lb/hp", "the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s?"},
		{"Power loading, kg/hp", "power loading", "kg per metric hp", ""},
	} {
		q, _ := Find(tc.quantity)
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(tc.unit, canonical.Dim)
		if err != nil {
			t.Fatal(err)
		}
		head, after, _ := strings.Cut(tc.head, "@")
		got := strings.Join((&normalizer{}).headDoubts(head, after, q, u, full()), "; ")
		if tc.says == "" && got != "" || !strings.Contains(got, tc.says) {
			t.Errorf("%q as %s in %s:\n%s\nwant\n%s", tc.head, tc.quantity, tc.unit, got, tc.says)
		}
	}
}

func TestHeadAgainstBasis(t *testing.T) {
	const no = ", and no airspeed_meaning says so"
	for _, tc := range []struct{ head, quantity, kind, meaning, drag, want string }{
		{"Indicated air speed", "stall speed", "CAS", "", "", `the print says "Indicated air speed" (IAS); airspeed_kind is stated as CAS` + no},
		{"Indicated air speed", "stall speed", "CAS", "corrected for position error", "", `the print says "Indicated air speed" (IAS); airspeed_kind is stated as CAS` + no},
		{"Indicated air speed", "stall speed", "CAS", "the indicated speed corrected for position error", "", ""},
		{"Indicated air speed", "stall speed", "IAS", "the reading", "", ""},
		{"True air speed", "stall speed", "CAS", "", "", `the print says "True air speed" (TAS); airspeed_kind is stated as CAS` + no},
		{"True air speed", "stall speed", "IAS", "not stated", "", `the print says "True air speed" (TAS); airspeed_kind is stated as IAS` + no},
		{"True, corrected to sea level", "stall speed", "CAS", "corrected for the errors of instrument and position", "", ""},
		{"True air speed", "stall speed", "TAS", "", "", ""},
		{"T.A.S.", "airspeed", "EAS", "", "", `the print says "T.A.S." (TAS); airspeed_kind is stated as EAS` + no},
		{"KIAS", "airspeed", "CAS", "", "", `the print says "KIAS" (IAS); airspeed_kind is stated as CAS` + no},
		{"Speed (m/s C.A.S.)", "limit speed", "CAS", "", "", ""},
		{"True angle", "angle of attack", "CAS", "", "", ""},
		{"Profile drag", "drag coefficient", "", "", "total", `the print says "Profile drag" (profile); drag is stated as total`},
		{"Profile drag", "drag coefficient", "", "", "profile", ""},
		{"Total drag", "drag coefficient", "", "", "profile", `the print says "Total drag" (total); drag is stated as profile`},
		{"Total drag", "drag coefficient", "", "", "total", ""},
		{"Total weight", "weight", "", "", "profile", ""},
	} {
		q, _ := Find(tc.quantity)
		canonical, _ := unit.Lookup(q.Canonical)
		b := full()
		b.AirspeedKind, b.AirspeedMeaning, b.Drag = tc.kind, tc.meaning, tc.drag
		if got := strings.Join((&normalizer{}).headDoubts(tc.head, "", q, canonical, b), "; "); got != tc.want {
			t.Errorf("%q, %s, %s:\n%s\nwant\n%s", tc.head, tc.kind, tc.drag, got, tc.want)
		}
	}
}
