package validate

import (
	"testing"

	"windtally/extract"
)

// sectionOf is a section's curve: angle, lift and, in tables that have it, drag.
func sectionOf(drag bool, rows ...string) func() *extract.Study {
	return func() *extract.Study {
		b := wingBasis()
		b.Article, b.ReferenceArea, b.AspectRatioBasis, b.Drag = "section", "", "", "profile"
		columns := []extract.Column{{Key: "alpha", Quantity: "angle of attack", Unit: "deg"}, {Key: "cl", Quantity: "lift coefficient", Unit: "1"}}
		if drag {
			columns = append(columns, extract.Column{Key: "cd", Quantity: "drag coefficient", Unit: "1"})
		}
		return of("section", printed{Table: extract.Table{Name: "curve", Basis: b, Columns: columns}, rows: rows})
	}
}

func TestSymmetry(t *testing.T) {
	same := func(*extract.Study) {}
	// Smooth made figures: C_L = .108 alpha, C_D = .0080 + .0033 C_L^2.
	clean := []string{"-8|-.864|.0105", "-6|-.648|.0094", "-4|-.432|.0086", "-2|-.216|.0082", "0|.000|.0080", "2|.216|.0082", "4|.432|.0086", "6|.648|.0094", "8|.864|.0105"}
	with := func(row int, text string) []string {
		list := append([]string(nil), clean...)
		list[row] = text
		return list
	}
	zero := func(figure string) func(s *extract.Study) {
		return func(s *extract.Study) {
			b := s.Tables[0].Basis
			addTable(s, extract.Table{ID: "t0000000f", Name: "zero", Basis: b, Columns: []extract.Column{{Key: "zero", Quantity: "zero-lift angle", Unit: "deg"}}}, "keyed-ab", figure)
			s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "zero"})
		}
	}
	runChanges(t, []change{
		// A public reading of a plot of NACA 0012: .80 at 8 deg should be about .87 (TRADE.md 5.3 S6, VERIFIED).
		{"a figure of a plot misread", sectionOf(false, "-8|-.86", "-6|-.64", "-4|-.41", "-2|-.20", "0|0", "2|.23", "4|.45", "6|.65", "8|.80", "10|1.10"), same, []string{
			`doubt symmetry curve:r09:cl: C_L is .80 at 8 deg and -.86 at -8 deg, of other size by 0.080, and the other 3 pairs agree with a symmetric article within 0.020 | expected C_L(-alpha) = -C_L(alpha): 0.880 or -0.780 | t00000001/r09/cl t00000001/r01/cl | miss 16.00`,
		}},
		{"as it should be", sectionOf(false, "-8|-.86", "-6|-.64", "-4|-.41", "-2|-.20", "0|0", "2|.23", "4|.45", "6|.65", "8|.87", "10|1.10"), same, nil},
		{"smooth", sectionOf(true, clean...), zero("0.1"), nil},
		{"a slip of .03", sectionOf(true, with(7, "6|.684|.0094")...), same, []string{
			`doubt symmetry curve:r08:cl: C_L is .684 at 6 deg and -.648 at -6 deg, of other size by 0.036, and the other 3 pairs agree with a symmetric article within 0.000 | expected C_L(-alpha) = -C_L(alpha): 0.648 or -0.684 | t00000001/r08/cl t00000001/r02/cl | miss 72.00`,
		}},
		{"a slip in the drag", sectionOf(true, with(7, "6|.648|.0194")...), same, []string{
			`doubt symmetry curve:r08:cd: C_D is .0194 at 6 deg and .0094 at -6 deg, and the other 3 pairs agree with a symmetric article | expected C_D(-alpha) = C_D(alpha) | t00000001/r08/cd t00000001/r02/cd | miss 200.00`,
		}},
		{"the zero-lift angle of a cambered section", sectionOf(true, clean...), zero("-2.0"), []string{
			`doubt symmetry zero:r01:zero: the zero-lift angle is -2.0 degree, and 4 pairs of the lift curve of curve show a symmetric article | expected a zero-lift angle within 0.5 deg of 0 | t0000000f/r01/zero | miss 40.00`,
		}},
		{"a cambered section is not symmetric", sectionOf(true, "-8|-.648|.0105", "-6|-.432|.0094", "-4|-.216|.0086", "-2|.000|.0082", "0|.216|.0080", "2|.432|.0082", "4|.648|.0086", "6|.864|.0094", "8|1.080|.0105"), zero("-2.0"), nil},
		{"an angle datum off by a tenth of a degree", sectionOf(false, "-8|-.853", "-6|-.637", "-4|-.421", "-2|-.205", "0|.011", "2|.227", "4|.443", "6|.659", "8|.875"), same, nil},
	})
}
