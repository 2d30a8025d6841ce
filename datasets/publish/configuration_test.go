package publish

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"
)

// withMoments is the study with moments in its polar.
func withMoments(t *testing.T, sign string) *extract.Study {
	s := report(t)
	p := s.Tables[0]
	p.Columns = append(p.Columns, extract.Column{Key: "cm", Quantity: "pitching-moment coefficient", Unit: "1", Basis: &extract.Basis{MomentSign: sign}})
	r := s.Readings[polarID][0]
	for i, text := range []string{".050", ".048", ".046", ".150", ".148", ".146"} {
		cell := r.Cells[4*i]
		cell.Column, cell.Text = "cm", text
		r.Cells = append(r.Cells, cell)
	}
	return s
}

func valueOf(t *testing.T, e *datasets.Edition, quantity, printed string) datasets.Value {
	t.Helper()
	for _, v := range e.Values {
		if v.Quantity == quantity && v.Printed == printed {
			return v
		}
	}
	t.Fatalf("no %s is printed %q", quantity, printed)
	return datasets.Value{}
}

// A moment that the print has positive nose down is published with the other sign, says
// so, and is held against the print when the edition is read.
func TestMomentsOfTheOtherSign(t *testing.T) {
	for _, tc := range []struct{ sign, value, formula, want string }{
		{"nose-up", "0.050", "", "nose-up"},
		{"nose-down", "-0.0500000", "1 from 1 x -1 (nose-down: C_m = -c_m)", "nose-up, converted from nose-down"},
	} {
		e := edition(t, withMoments(t, tc.sign), "")
		v := valueOf(t, e, "pitching-moment coefficient", ".050")
		if string(v.Value) != tc.value || v.Formula != tc.formula || conditions(t, e, v.ConditionsID).MomentSign != tc.want {
			t.Errorf("%s: %s, %q, %q", tc.sign, v.Value, v.Formula, conditions(t, e, v.ConditionsID).MomentSign)
		}
		if lift := valueOf(t, e, "lift coefficient", ".158"); conditions(t, e, lift.ConditionsID).MomentSign != "" {
			t.Errorf("a lift has the sign of moments: %+v", conditions(t, e, lift.ConditionsID))
		}
		// With the print's own sign, or a formula without it, the edition is not whole.
		if tc.sign != "nose-down" {
			continue
		}
		for _, change := range []struct {
			do   func(v *datasets.Value)
			want string
		}{
			{func(v *datasets.Value) { v.Value = "0.0500000" }, `value: is 0.0500000, printed ".050" in 1 comes to -0.0500000 in 1`},
			{func(v *datasets.Value) { v.Formula = "" }, `formula: is "", it would be right as "1 from 1 x -FACTOR (nose-down: EQUATION)"`},
			{func(v *datasets.Value) { v.Formula = "1 from 1 x 1 (nose-down: C_m = -c_m)" }, `formula: is "1 from 1 x 1 (nose-down: C_m = -c_m)", it would be right as "1 from 1 x -FACTOR (nose-down: EQUATION)"`},
		} {
			bad := *e
			bad.Values = slices.Clone(e.Values)
			for i := range bad.Values {
				if bad.Values[i].ValueID == v.ValueID {
					change.do(&bad.Values[i])
				}
			}
			err := datasets.Write(filepath.Join(t.TempDir(), bad.Version), &bad)
			if err == nil || !strings.Contains(err.Error(), change.want) {
				t.Errorf("got %v, want %s", err, change.want)
			}
		}
	}
}

// How a deflection is measured is published with the configuration, and leaves every id
// as it was where nobody states it.
func TestHowADeflectionIsMeasuredIsPublished(t *testing.T) {
	plain := edition(t, report(t), "")
	s := report(t)
	s.Tables[0].Columns[0].Basis = &extract.Basis{Configuration: extract.Configuration{DeflectionDatum: "neutral", DeflectionPlane: "hinge"}}
	e := edition(t, s, "")
	v := valueOf(t, e, "lift coefficient", ".858")
	found := false
	for _, c := range e.Configurations {
		if c.ConfigurationID == v.ConfigurationID {
			found = true
			if c.FlapDeflectionDatum != "neutral" || c.FlapDeflectionPlane != "hinge" || string(c.FlapDeflection.Value) != "30" {
				t.Errorf("the configuration is %+v", c)
			}
		}
	}
	if !found {
		t.Error("no configuration")
	}
	for _, c := range plain.Configurations {
		if c.FlapDeflectionDatum != "" || c.FlapDeflectionPlane != "" {
			t.Errorf("nothing was stated: %+v", c)
		}
	}
	if got := valueOf(t, plain, "lift coefficient", ".858"); got.ValueID == v.ValueID || got.ConfigurationID == v.ConfigurationID {
		t.Errorf("another setting has the ids of this one: %s, %s", got.ValueID, got.ConfigurationID)
	}
}

// A centre of gravity that a column prints is a number of the conditions.
func TestCenterOfGravityOfARow(t *testing.T) {
	s := report(t)
	stalls := s.Tables[2]
	stalls.Basis.CenterOfGravity = "column cg"
	stalls.Columns = append(stalls.Columns, extract.Column{Key: "cg", Quantity: "center-of-gravity position", Unit: "%", Basis: &extract.Basis{ReferenceChord: "mean chord"}})
	r := s.Readings[stallsID][0]
	for i, text := range []string{"24.0", "31.0"} {
		cell := r.Cells[2*i]
		cell.Column, cell.Text = "cg", text
		r.Cells = append(r.Cells, cell)
	}
	e := edition(t, s, "")
	for speed, want := range map[string]string{"56": "0.2400000", "49": "0.3100000"} {
		c := conditions(t, e, valueOf(t, e, "stall speed", speed).ConditionsID)
		if string(c.GravityPosition.Value) != want || c.GravityPosition.ValueID == "" || c.CenterOfGravity != "" {
			t.Errorf("%s knots: %+v, %q", speed, c.GravityPosition, c.CenterOfGravity)
		}
	}
	if v := valueOf(t, e, "center-of-gravity position", "24.0"); conditions(t, e, v.ConditionsID).ReferenceChord != "mean chord" {
		t.Errorf("the chord is lost: %+v", conditions(t, e, v.ConditionsID))
	}
}
