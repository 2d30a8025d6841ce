package validate

import (
	"testing"

	"windtally/extract"
)

func TestExtremes(t *testing.T) {
	with := func(quantity, figure string, change func(b *extract.Basis)) func(s *extract.Study) {
		return func(s *extract.Study) {
			b := wingBasis()
			if change != nil {
				change(&b)
			}
			columns := []extract.Column{{Key: "x", Quantity: quantity, Unit: "1"}}
			if b.Configuration.Deflection != "" {
				columns, figure = append(columns, extract.Column{Key: "flap", Quantity: "flap deflection", Unit: "deg"}), figure+"|60"
			}
			addTable(s, extract.Table{ID: "t0000000f", Name: "summary", Basis: b, Columns: columns}, "keyed-ab", figure)
			s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "summary"})
		}
	}
	stalled := func() *extract.Study {
		return sectionOf(false, "-2|.00", "2|.43", "6|.86", "10|1.25", "12|1.40", "14|1.48", "16|1.45", "18|1.20")()
	}
	section := func(b *extract.Basis) {
		b.Article, b.ReferenceArea, b.AspectRatioBasis, b.Drag = "section", "", "", "profile"
	}
	flapped := func(b *extract.Basis) {
		b.Configuration = extract.Configuration{Flap: "split", Deflection: "column flap"}
	}
	runChanges(t, []change{
		{"the greatest lift", wingStudy, with("maximum lift coefficient", "1.21", nil), nil},
		{"a polar that ends before the stall", wingStudy, with("maximum lift coefficient", "1.45", nil), nil},
		{"an entry above it", wingStudy, with("maximum lift coefficient", "1.12", nil), []string{
			`doubt extremes summary:r01:x: C_Lmax is 1.12, and its polar has C_L 1.200 at 14 deg of polar | expected a C_Lmax no less than the highest C_L | t0000000f/r01/x t0000000a/r10/cl | miss 16.00`,
		}},
		{"of a flap", wingStudy, with("maximum lift coefficient", "1.12", flapped), nil},
		{"beyond the stall", stalled, with("maximum lift coefficient", "1.49", section), nil},
		{"beyond the stall, two figures exchanged", stalled, with("maximum lift coefficient", "1.94", section), []string{
			`doubt extremes summary:r01:x: C_Lmax is 1.94, and the highest entry of its polar, which goes beyond the stall, is C_L 1.48 at 14 deg of curve | expected a C_Lmax near the highest C_L | t0000000f/r01/x t00000001/r06/cl | miss 92.00`,
		}},
		{"the least drag", wingStudy, with("minimum drag coefficient", ".0100", nil), nil},
		{"an entry below it", wingStudy, with("minimum drag coefficient", ".0110", nil), []string{
			`doubt extremes polar:r02:cd: C_D is .0100, below the C_Dmin of .0110 that is given | expected no C_D below C_Dmin | t0000000a/r02/cd t0000000f/r01/x | miss 20.00`,
		}},
		{"profile drag", wingStudy, with("minimum drag coefficient", ".0110", func(b *extract.Basis) { b.Drag = "profile" }), nil},
	})
}

func TestFlapGrowth(t *testing.T) {
	same := func(*extract.Study) {}
	lifts := func(flap string, figures ...string) func() *extract.Study {
		return func() *extract.Study {
			b := wingBasis()
			b.Configuration = extract.Configuration{Flap: flap, Deflection: "column flap"}
			p := printed{Table: extract.Table{Name: "maxima", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"}}}}
			for i, f := range figures {
				p.rows = append(p.rows, plain(float64(15*i))+"|"+f)
			}
			return of("wing", p)
		}
	}
	runChanges(t, []change{
		// C_Lmax 1.90 at every deflection from 25 to 80 deg (TRADE.md 4.3 g, VERIFIED).
		{"a plateau", lifts("split", "1.30", "1.70", "1.90", "1.90", "1.90", "1.90"), same, nil},
		{"a fall beyond the greatest effect", lifts("plain", "1.20", "1.50", "1.70", "1.78", "1.72", "1.60"), same, nil},
		{"scatter on the plateau", lifts("split", "1.30", "1.70", "1.90", "1.87", "1.91", "1.88"), same, nil},
		{"a dip", lifts("split", "1.30", "1.70", "1.39", "1.98", "2.02", "2.04"), same, []string{
			`doubt flap-growth maxima:r03:clmax: the maximum lift coefficient 1.39 at 30 deg of flap is below both of its neighbours, 1.70 at 15 deg and 1.98 at 45 deg | expected between 1.7 and 1.98 | t00000001/r03/clmax t00000001/r02/clmax t00000001/r04/clmax | miss 62.00`,
		}},
		{"zero-lift angles that fall", steady("-1.0", "-3.0", "-4.8", "-6.3", "-7.5"), same, nil},
		{"a zero-lift angle that rises and falls", steady("-1.0", "-3.0", "-4.8", "-3.6", "-7.5"), same, []string{
			`doubt flap-growth zeros:r04:zero: the zero-lift angle -3.6 at 15 deg of flap is above both of its neighbours, -4.8 at 10 deg and -7.5 at 20 deg | expected between -7.5 and -4.8 | t00000001/r04/zero t00000001/r03/zero t00000001/r05/zero | miss 24.00`,
		}},
	})
}
