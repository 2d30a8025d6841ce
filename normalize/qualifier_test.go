package normalize

import (
	"strings"
	"testing"

	"windtally/normalize/unit"
)

// A rating and a condition beside a unit are held against the basis; the unit is
// the plain one (common practice, no source).
func TestQualifiersInHeads(t *testing.T) {
	for _, tc := range []struct{ head, quantity, unit, rating, condition, want string }{
		{"Take-off hp", "power", "hp", "take-off", "", ""},
		{"Take-off hp", "power", "hp", "rated", "", `the print says "Take-off hp" (take-off); power_rating is stated as rated`},
		{"Take-off hp", "power", "PS", "take-off", "", `the print says "hp" in "Take-off hp", which is horsepower; the unit is stated as metric horsepower`},
		{"Power (hp, take-off)", "power", "PS", "take-off", "", `the print says "hp, take-off" in "Power (hp, take-off)", which is horsepower; the unit is stated as metric horsepower`},
		{"Power, h.p. (rated)", "power", "hp", "rated", "", ""},
		{"Power, h.p. (rated)", "power", "hp", "not-stated", "", `the print says "Power, h.p. (rated)" (rated); power_rating is stated as not-stated`},
		{"Max. continuous b.hp.", "power", "hp", "continuous", "", ""},
		{"Max. continuous b.hp.", "power", "hp", "take-off", "", `the print says "Max. continuous b.hp." (continuous); power_rating is stated as take-off`},
		{"War emergency power", "power", "hp", "emergency", "", ""},
		{"Rated power, take-off, hp", "power", "hp", "rated", "", `the print says "Rated power, take-off, hp" (which may be take-off or rated); power_rating is stated as rated`},
		{"Power", "power", "hp", "rated", "", ""},
		{"Berated", "power", "hp", "take-off", "", ""},
		{"Thrust horsepower", "power", "hp", "rated", "", `the print says "Thrust horsepower", a power measured as thrust power; the quantity is stated as power, which is that of the shaft: write unclassified, or confirm if the words mean something else`},
		{"Power (i.h.p.)", "power", "hp", "rated", "", `the print says "Power (i.h.p.)", a power measured as indicated power; the quantity is stated as power, which is that of the shaft: write unclassified, or confirm if the words mean something else`},
		{"Power, b.hp.", "power", "hp", "rated", "", ""},
		{"Maximum weight, lb.", "weight", "lb", "", "maximum", ""},
		{"Maximum weight, lb.", "weight", "lb", "", "test", `the print says "Maximum weight, lb." (maximum); weight_condition is stated as test`},
		{"Weight empty, lb.", "weight", "lb", "", "normal", `the print says "Weight empty, lb." (empty); weight_condition is stated as normal`},
		{"Weight (lb., test)", "weight", "kg", "", "test", `the print says "lb., test" in "Weight (lb., test)", which is pound-force; the unit is stated as kilogram-force`},
		{"Power loading, lb. per normal rated hp.", "power loading", "lb/hp", "rated", "maximum", ""},
		{"V (m.p.h. I.A.S.)", "stall speed", "knots", "", "", `the print says "m.p.h. I.A.S." in "V (m.p.h. I.A.S.)", which is statute mile per hour; the unit is stated as knot`},
	} {
		q, _ := Find(tc.quantity)
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(tc.unit, canonical.Dim)
		if err != nil {
			t.Fatal(err)
		}
		b := full()
		b.PowerRating, b.WeightCondition = tc.rating, tc.condition
		b.AirspeedKind, b.AirspeedMeaning = "IAS", "the reading"
		if got := strings.Join((&normalizer{}).headDoubts(tc.head, "", q, u, b), "; "); got != tc.want {
			t.Errorf("%q as %s in %s, %s%s:\n%s\nwant\n%s", tc.head, tc.quantity, tc.unit, tc.rating, tc.condition, got, tc.want)
		}
	}
}

// A unit that holds a rating is refused with what to write, in the column's words.
func TestARatingIsNoUnit(t *testing.T) {
	s := one("power", "take-off hp", "230")
	wantProblems(t, s, `unit table:x: unit of power: unit "take-off hp" holds more than a unit: "take-off" is the rating of a power; write the unit alone, "hp", and state the other where the table says what its figures mean`)
}
