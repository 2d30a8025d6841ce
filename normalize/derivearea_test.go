package normalize

import (
	"testing"

	"windtally/extract"
)

// An external or extending flap of 0.15 c: on the sum of the areas or on the original one
// (TRADE.md 1.5, two reports that differ in it), a lift increment differs by 15 percent.
func TestIncrementsOfAFlapThatAddsAreaSayOnWhich(t *testing.T) {
	const asks = "meaning-missing table:x: lift increment needs its reference_area, which the basis does not state; write reference_area: "
	which := func(is string) string {
		return "meaning-missing table:x: lift increment with an area-increasing flap, whose reference_area " + is + ": on the original area it is greater than on the extended one by the chord extension; write reference_area: original or extended"
	}
	for _, c := range []struct{ article, flap, area, want string }{
		{"wing", "area-increasing", "original", ""},
		{"wing", "slotted+area-increasing", "extended", ""},
		{"wing", "slotted+area-increasing", "gross", which("is gross")},
		{"wing", "area-increasing", "not-stated", which("is not stated")},
		{"wing", "area-increasing", "", asks + "gross, net, original, extended, all-wings, disc or not-stated"},
		{"section", "area-increasing", "", which("is not stated")},
		{"section", "area-increasing", "original", ""},
		{"section", "split", "", ""},
		{"wing", "split", "gross", ""},
	} {
		b := full()
		b.Article, b.Configuration.Flap, b.ReferenceArea = c.article, c.flap, c.area
		s := series(grid([]extract.Column{{Key: "x", Quantity: "lift increment", Unit: "1"}}, b, ".70"))
		if c.want == "" {
			wantProblems(t, s)
			continue
		}
		wantProblems(t, s, c.want)
	}
}
