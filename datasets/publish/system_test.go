package publish

import (
	"path/filepath"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"
)

// inSystem puts the polar into a system. The factors by hand: C = 2 k; C = K/(rho/2),
// with 0.002378 slug/ft3 390.98068 K in lb per sq ft per (mile per hour)^2, and 16 K in
// kgf per sq m per (m per s)^2 at 0.125 kgf s2/m4 (see the tests of package normalize).
func inSystem(t *testing.T, system, density string, rows ...[3]string) *extract.Study {
	t.Helper()
	s := report(t)
	for _, table := range s.Tables {
		if table.ID == polarID {
			table.Basis.Coefficients, table.Basis.Density = system, density
			table.Givens = append(table.Givens, extract.Column{Key: "rho", Quantity: "air density", Unit: "kg s2/m4"})
		}
	}
	given(s, polarID, "rho", "0.125")
	for _, r := range rows {
		set(s, polarID, r[0], "cl", r[1])
		set(s, polarID, r[0], "cd", r[2])
	}
	return s
}

// An edition has the absolute coefficient, beside the print, and says the system.
func TestAnEditionSaysTheSystemOfCoefficients(t *testing.T) {
	british := [][3]string{{"r01", ".079", ".0058"}, {"r02", ".158", ".0080"}, {"r03", ".237", ".0116"}, {"r04", ".429", ".0456"}, {"r05", ".508", ".0532"}, {"r06", ".587", ".0629"}}
	metric := [][3]string{{"r01", ".0099", ".00072"}, {"r02", ".0198", ".00100"}, {"r03", ".0296", ".00145"}, {"r04", ".0536", ".00570"}, {"r05", ".0635", ".00665"}, {"r06", ".0734", ".00786"}}
	for _, c := range []struct {
		system, density string
		rows            [][3]string
		printed         string
		value, half     string
		formula         string
		conditions      string
	}{
		{"british-k", "", british, ".158", "0.316000", "0.001", "1 from 1 x 2 (british-k: C = 2 k)", "absolute, converted from british-k (k = F/(rho V^2 S))"},
		// 16 x .0198; the farthest is .01985/.06225 = .3188755.
		{"metric-k", "given rho", metric, ".0198", "0.316800", "0.002076", "1 from 1 x 16 (metric-k: C = K/(rho/2), rho 1.225831 kg/m3, cell given/rho)",
			"absolute, converted from metric-k (K = F/(S V^2) in kgf per sq m per (m per s)^2) with the density that the source states"},
	} {
		e := edition(t, inSystem(t, c.system, c.density, c.rows...), "")
		v := value(t, e, "polar", "r02", "cl")
		if v.Printed != c.printed || string(v.Value) != c.value || string(v.HalfWidth) != c.half || v.Formula != c.formula || v.PrintedUnit != "1" || v.Unit != "1" || v.Page != 3 {
			t.Errorf("%s: the value is %+v", c.system, v)
		}
		if got := conditions(t, e, v.ConditionsID).CoefficientSystem; got != c.conditions {
			t.Errorf("%s: conditions of the value say %q, want %q", c.system, got, c.conditions)
		}
		if got := conditions(t, e, e.Polars[0].ConditionsID).CoefficientSystem; got != c.conditions {
			t.Errorf("%s: conditions of the polar say %q, want %q", c.system, got, c.conditions)
		}
		if c.density != "" && !has(e, "polar", "given", "rho") {
			t.Errorf("%s: the density is not published", c.system)
		}

		// The published form proves itself: neither number nor formula nor conditions
		// may say another system.
		at := -1
		for i := range e.Values {
			if e.Values[i].ValueID == v.ValueID {
				at = i
			}
		}
		for _, m := range []struct {
			name string
			edit func(v *datasets.Value)
			says string
		}{
			{"another number", func(v *datasets.Value) { v.Value = "0.158000" }, `value: is 0.158000, printed "` + c.printed + `" in 1 comes to ` + strings.TrimRight(c.value, "0")},
			{"no formula", func(v *datasets.Value) { v.Formula = "" }, `formula: is "", it would be right as "1 from 1 x FACTOR (` + c.system + `: EQUATION)"`},
			{"another system", func(v *datasets.Value) { v.Formula = strings.Replace(v.Formula, c.system, "hundredfold", 1) }, `, it would be right as "1 from 1 x FACTOR (` + c.system + `: EQUATION)"`},
			{"a width that forgets the factor", func(v *datasets.Value) { v.HalfWidth = "0.00005" }, "half_width: is 0.00005, "},
		} {
			whole := e.Values[at]
			m.edit(&e.Values[at])
			if err := datasets.Write(filepath.Join(t.TempDir(), "0.1.0"), e); err == nil || !strings.Contains(err.Error(), m.says) {
				t.Errorf("%s, %s: %v, want %q", c.system, m.name, err, m.says)
			}
			e.Values[at] = whole
		}
	}
}

// Lift in one system and drag in another: both are published as absolute, each with
// its own conditions, and the edition is whole.
func TestTwoSystemsInARow(t *testing.T) {
	s := report(t)
	for _, table := range s.Tables {
		if table.ID == polarID {
			table.Columns[2].Basis = &extract.Basis{Coefficients: "british-k"}
		}
	}
	for row, k := range map[string]string{"r01": ".079", "r02": ".158", "r03": ".237", "r04": ".429", "r05": ".508", "r06": ".587"} {
		set(s, polarID, row, "cl", k)
	}
	e := edition(t, s, "")
	cl, cd := value(t, e, "polar", "r02", "cl"), value(t, e, "polar", "r02", "cd")
	if cl.Value != "0.316000" || cd.Value != ".0159" && cd.Value != "0.0159" {
		t.Errorf("lift %s, drag %s", cl.Value, cd.Value)
	}
	if a, b := conditions(t, e, cl.ConditionsID).CoefficientSystem, conditions(t, e, cd.ConditionsID).CoefficientSystem; a != "absolute, converted from british-k (k = F/(rho V^2 S))" || b != "absolute" {
		t.Errorf("systems %q and %q", a, b)
	}
	for _, p := range e.Polars {
		if p.LiftCoefficient.ValueID == cl.ValueID && p.DragCoefficient.ValueID != "" {
			t.Errorf("a point has both: %+v", p)
		}
	}
}
