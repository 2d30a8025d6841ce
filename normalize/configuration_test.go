package normalize

import (
	"math/big"
	"testing"

	"windtally/extract"
)

// A moment that is printed positive nose down is published positive nose up, with its
// half-width, through any unit and any system of coefficients. Expected by hand.
func TestMomentsArePublishedNoseUp(t *testing.T) {
	for _, tc := range []struct{ sign, system, unit, print, value, half, formula, published string }{
		{"nose-up", "absolute", "1", "-.050", "-0.05", "0.0005", "", "nose-up"},
		{"nose-down", "absolute", "1", ".050", "-0.05", "0.0005", "1 from 1 x -1 (nose-down: C_m = -c_m)", "nose-up, converted from nose-down"},
		{"nose-down", "hundredfold", "1", "5.0", "-0.05", "0.0005", "1 from 1 x -0.01 (hundredfold: C = c/100)", "nose-up, converted from nose-down"},
		{"nose-down", "british-k", "1", "-.025", "0.05", "0.001", "1 from 1 x -2 (british-k: C = 2 k)", "nose-up, converted from nose-down"},
		{"nose-down", "absolute", "%", "5.0", "-0.05", "0.0005", "1 from % x -1 (nose-down: C_m = -c_m)", "nose-up, converted from nose-down"},
	} {
		b := full()
		b.MomentSign, b.Coefficients = tc.sign, tc.system
		s := series(grid([]extract.Column{{Key: "x", Quantity: "pitching-moment coefficient", Unit: tc.unit}}, b, tc.print, `"`))
		wantProblems(t, s)
		value, _ := new(big.Rat).SetString(tc.value)
		half, _ := new(big.Rat).SetString(tc.half)
		d := s.Rows[0].Datum("x")
		if d.Value.Rat().Cmp(value) != 0 || d.Half.Cmp(half) != 0 || d.Formula != tc.formula || PublishedSign(d.Basis) != tc.published {
			t.Errorf("%s %s in %s, %s: %s +- %s, %q, %q", tc.print, tc.sign, tc.system, tc.unit, d.Value.RatString(), d.Half.RatString(), d.Formula, PublishedSign(d.Basis))
		}
		ditto := s.Rows[1].Datum("x")
		want := "ditto: the figure of row r1"
		if tc.formula != "" {
			want = tc.formula + "; " + want
		}
		if ditto.Value.Rat().Cmp(value) != 0 || ditto.Formula != want {
			t.Errorf("ditto: %s, %q, want %q", ditto.Value.RatString(), ditto.Formula, want)
		}
	}
	// A lift has no such sign.
	b := full()
	b.MomentSign = "nose-down"
	s := series(grid([]extract.Column{{Key: "x", Quantity: "lift coefficient", Unit: "1"}}, b, "1.20"))
	if d := s.Rows[0].Datum("x"); d.Value.Sign() < 0 || d.Formula != "" {
		t.Errorf("a lift coefficient was turned round: %+v", d)
	}
	b.MomentSign = "not-stated"
	s = series(grid([]extract.Column{{Key: "x", Quantity: "pitching-moment coefficient", Unit: "1"}}, b, "-.05"))
	wantProblems(t, s, `odd-print table:x: pitching-moment coefficient, and moment_sign is not-stated: some sources have nose-down moments positive`)
	if got := PublishedSign(b); got != "" {
		t.Errorf("a sign that is not stated is published as %q", got)
	}
}

// How a deflection is measured goes from the column that prints it to the figures that
// are in that configuration.
func TestHowADeflectionIsMeasured(t *testing.T) {
	made := func(of, column string) *Series {
		b := full()
		b.Configuration.Deflection, b.Configuration.DeflectionDatum = "column flap", of
		return series(grid([]extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg", Basis: &extract.Basis{Configuration: extract.Configuration{DeflectionDatum: column}}},
			{Key: "x", Quantity: "lift increment", Unit: "1"}}, b, "30|.82", "45|.91"))
	}
	for _, tc := range []struct{ of, column, want, own string }{
		{"", "", "", ""}, {"chord", "", "chord", "chord"}, {"", "neutral", "neutral", "neutral"}, {"not-stated", "lower-surface", "lower-surface", "lower-surface"},
	} {
		s := made(tc.of, tc.column)
		wantProblems(t, s)
		for _, row := range s.Rows {
			if got, own := row.Datum("x").Config.DeflectionDatum, row.Datum("flap").Config.DeflectionDatum; got != tc.want || own != tc.own {
				t.Errorf("%q and %q: the increment has %q, the deflection %q", tc.of, tc.column, got, own)
			}
		}
	}
	b := full()
	b.Configuration.Deflection = "column flap"
	s := series(grid([]extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg", Basis: &extract.Basis{Configuration: extract.Configuration{DeflectionDatum: "neutral"}}},
		{Key: "x", Quantity: "lift increment", Unit: "1", Basis: &extract.Basis{Configuration: extract.Configuration{DeflectionDatum: "chord"}}}}, b, "30|.82", "45|.91"))
	wantProblems(t, s, `meaning-missing table:x: deflection_datum is stated as chord here, and as neutral for the figure that prints the deflection (column flap); state it once`)
	if !s.Rows[1].Datum("x").Refused {
		t.Error("the second row is not refused")
	}
	// Settings that differ in it alone are two; one that says nothing is what it was.
	if a, b := (Configuration{Flap: "split", Deflection: "30"}), (Configuration{Flap: "split", Deflection: "30", DeflectionDatum: "chord"}); a.Key() == b.Key() || a.Key() != "split|30||||||" {
		t.Errorf("keys %q and %q", a.Key(), b.Key())
	}
}

// A coefficient with an area-increasing flap says on which area it is.
func TestAreaOfAnExtendingFlap(t *testing.T) {
	for _, tc := range []struct{ quantity, flap, area, article, deflection, want string }{
		{"lift increment", "area-increasing", "original", "wing", "given flap", ""},
		{"lift increment", "slotted+area-increasing", "extended", "wing", "given flap", ""},
		{"lift increment", "slotted", "gross", "wing", "given flap", ""},
		{"maximum lift coefficient", "area-increasing", "gross", "aeroplane", "up", ""},
		{"lift increment", "area-increasing", "gross", "wing", "given flap", `meaning-missing table:x: lift increment with an area-increasing flap, whose reference_area is gross: on the original area it is greater than on the extended one by the chord extension; write reference_area: original or extended`},
		{"drag increment", "slotted+area-increasing", "not-stated", "wing", "given flap", `meaning-missing table:x: drag increment with an area-increasing flap, whose reference_area is not stated: on the original area it is greater than on the extended one by the chord extension; write reference_area: original or extended`},
		{"lift coefficient", "area-increasing", "", "section", "given flap", `meaning-missing table:x: lift coefficient with an area-increasing flap, whose reference_area is not stated: on the original area it is greater than on the extended one by the chord extension; write reference_area: original or extended`},
		{"maximum lift coefficient", "area-increasing", "gross", "wing", "given flap", `odd-print table:x: maximum lift coefficient with an area-increasing flap, whose reference_area is gross: on the original area it is greater than on the extended one by the chord extension`},
		{"maximum lift coefficient", "area-increasing", "not-stated", "wing", "given flap", `odd-print table:x: maximum lift coefficient with an area-increasing flap, whose reference_area is not stated: on the original area it is greater than on the extended one by the chord extension`},
	} {
		b := full()
		b.ReferenceArea, b.Article, b.Configuration.Flap, b.Configuration.Deflection = tc.area, tc.article, tc.flap, tc.deflection
		var want []string
		if tc.want != "" {
			want = append(want, tc.want)
		}
		wantProblems(t, series(grid([]extract.Column{{Key: "x", Quantity: tc.quantity, Unit: "1"}}, b, "1.20")), want...)
	}
}

// A centre of gravity that stands in a column is a figure of its row.
func TestCenterOfGravityInAColumn(t *testing.T) {
	b := full()
	b.CenterOfGravity = "column cg"
	columns := []extract.Column{{Key: "cg", Quantity: "center-of-gravity position", Unit: "%"}, {Key: "x", Quantity: "stall speed", Unit: "knots"}}
	s := series(grid(columns, b, "24|55", "31|53"))
	wantProblems(t, s)
	texts := ""
	for r := range s.Rows {
		for _, c := range s.Conditions(&s.Rows[r], s.Rows[r].Datum("x")) {
			if c.Name == "center of gravity" {
				texts += c.Text + ";"
			}
		}
	}
	if texts != "24 %;31 %;" {
		t.Errorf("the rows have %q", texts)
	}
	columns[0].Quantity = "bank angle"
	columns[0].Unit = "deg"
	s = series(grid(columns, b, "24|55"))
	wantProblems(t, s, `meaning-missing table:x: the basis names column cg as the center of gravity, and its quantity is bank angle; it should be center-of-gravity position`)
	s = series(grid([]extract.Column{{Key: "cg", Quantity: "center-of-gravity position", Unit: "%"}, {Key: "x", Quantity: "stall speed", Unit: "knots"}}, b, "...|55"))
	wantProblems(t, s, `reference table:x: the center of gravity (column cg) has no figure here`)
}
