package validate

import (
	"math"
	"slices"
	"testing"

	"windtally/extract"
)

// curveOf returns the only curve of the quantities in the study.
func curveOf(t *testing.T, r *Report, y string) *Curve {
	t.Helper()
	var list []Curve
	for _, c := range r.Curves() {
		if c.Y.Name == y {
			list = append(list, c)
		}
	}
	if len(list) != 1 {
		t.Fatalf("%d curves of %s, want 1", len(list), y)
	}
	return &list[0]
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s is %v, want %v within %v", what, got, want, within)
	}
}

// The points of a line are C_L = .1 + .08 alpha, and those of the parabola C_D = .01 +
// .06 C_L^2, by hand; a point off the line is left out of the fit and named.
func TestCurves(t *testing.T) {
	s := wingStudy()
	liftOnly(s, "-4|-.22", "-2|-.06", "0|.10", "2|.46", "4|.42", "6|.58", "8|.74", "10|.90", "12|1.06", "14|1.20")
	c := curveOf(t, Run(s, nil), "lift coefficient")
	if len(c.Points) != 10 || len(c.Fits) != 1 {
		t.Fatalf("%d points and %d fits", len(c.Points), len(c.Fits))
	}
	f := &c.Fits[0]
	near(t, "the intercept", f.Coefficients[0], .1, 1e-12)
	near(t, "the slope", f.Coefficients[1], .08, 1e-12)
	near(t, "the line at 5 deg", f.At(5), .5, 1e-12)
	if f.From != -4 || f.To != 6 || f.Points != 5 {
		t.Errorf("the fit is over %d points from %v to %v, want 5 from -4 to 6", f.Points, f.From, f.To)
	}
	for i, p := range c.Points {
		if p.Fitted != (i < 6) || p.LeftOut != (i == 3) || (len(p.Suspect) > 0) != (i == 3) {
			t.Errorf("point %d: fitted %v, left out %v, %d findings", i, p.Fitted, p.LeftOut, len(p.Suspect))
		}
		near(t, "the half-width of alpha", p.HalfX, .5, 0)
		near(t, "the half-width of C_L", p.HalfY, .005, 1e-15)
	}
	if g := c.Greatest(); g.Y.Cell.Text != "1.20" {
		t.Errorf("the greatest C_L is %s", g.Y.Cell.Text)
	}

	// Two points that cannot be fitted are a curve all the same.
	s = wingStudy()
	liftOnly(s, "0|.10", "2|.26")
	if c := curveOf(t, Run(s, nil), "lift coefficient"); len(c.Points) != 2 || len(c.Fits) != 0 || c.Points[0].Fitted {
		t.Errorf("two points: %d points, %d fits", len(c.Points), len(c.Fits))
	}

	s = wingStudy()
	dragOnly(s, "-.1|.0106", "0|.0100", ".1|.0106", ".2|.0124", ".3|.0154", ".4|.0196", ".5|.0250", ".6|.0316", ".9|.0650", "1.0|.0900")
	c = curveOf(t, Run(s, nil), "drag coefficient")
	if len(c.Fits) != 2 {
		t.Fatalf("%d fits of the polar, want 2", len(c.Fits))
	}
	near(t, "C_D0", c.Fits[0].Coefficients[0], .01, 1e-12)
	near(t, "k", c.Fits[0].Coefficients[1], .06, 1e-12)
	near(t, "the term of camber", c.Fits[1].Coefficients[1], 0, 1e-12)
	if g := c.Greatest(); g.X.Cell.Text != "1.0" {
		t.Errorf("the greatest C_L of the polar is %s", g.X.Cell.Text)
	}
	if slices.ContainsFunc(c.Points, func(p CurvePoint) bool { return len(p.Suspect) > 0 }) || len(c.Whole) > 0 {
		t.Errorf("a sound polar has a suspect")
	}

	// A rotor has neither.
	s = wingStudy()
	asRotor(s)
	if list := Run(s, nil).Curves(); len(list) != 0 {
		t.Errorf("a rotor has %d curves", len(list))
	}
}

// A finding about a whole fit marks the curve, and no point of it; a withheld figure
// is on no curve.
func TestCurveWhole(t *testing.T) {
	s := wingStudy()
	liftOnly(s, "-4|-.079", "-2|.000", "0|.079", "2|.158", "4|.237", "6|.316", "8|.395", "10|.474", "12|.550", "14|.600")
	r := Run(s, nil)
	c := curveOf(t, r, "lift coefficient")
	if len(c.Whole) != 1 || c.Whole[0].Check != "lift-curve-slope" {
		t.Errorf("findings on the whole curve: %v", c.Whole)
	}
	for i, p := range c.Points {
		if len(p.Suspect) > 0 {
			t.Errorf("point %d is marked by %s", i, p.Suspect[0].Message)
		}
	}
	s.Dir = rulingsFile(t)
	after := rule(t, s, "polar:r10:cl", Act{Decision: Withhold, Reason: "cannot be read"})
	if c := curveOf(t, after, "lift coefficient"); len(c.Points) != 9 || !slices.Equal(c.Missing, []string{"r10"}) {
		t.Errorf("%d points with one withheld of ten, missing %v", len(c.Points), c.Missing)
	}
}

// The heads of the tables, counted by hand: ten rows of four figures, of which the
// relation holds three together.
func TestTables(t *testing.T) {
	s := wingStudy()
	set(s, polarID, "r05", "ld", "24.0")
	r := Run(s, nil)
	list := r.Tables()
	if len(list) != 2 || list[0].Name != "polar" || list[1].Name != "wing" {
		t.Fatalf("tables %v", list)
	}
	p := &list[0]
	if p.Figures != 40 || p.States[extract.Keyed] != 40 || p.ByRelation != 30 || p.Blocking != 1 || p.Doubts != 0 || p.Suspects != 3 {
		t.Errorf("polar: %+v", *p)
	}
	if w := &list[1]; w.Figures != 4 || w.Suspects != 0 || len(w.Findings) != 0 {
		t.Errorf("wing: %+v", *w)
	}

	// The worse table comes first, whatever its name; within it the greater miss.
	set(s, polarID, "r05", "ld", "20.4")
	set(s, polarID, "r08", "ld", "15.9")
	set(s, polarID, "r09", "ld", "15.9")
	list = Run(s, nil).Tables()
	if list[0].Name != "polar" || len(list[0].Findings) != 2 || list[0].Findings[0].Where != "polar:r09:ld" || list[0].Findings[1].Where != "polar:r08:ld" {
		t.Errorf("the order is %s: %v", list[0].Name, tell(r))
	}
	blocked := TableReport{Name: "b", Blocking: 1}
	doubted := TableReport{Name: "a", Doubts: 7}
	if blocked.worse(doubted) >= 0 || doubted.worse(blocked) <= 0 || doubted.worse(TableReport{Name: "c", Notes: 90}) >= 0 || doubted.worse(TableReport{}) <= 0 {
		t.Error("a blocking finding is worse than doubts, and they than notes")
	}
}
