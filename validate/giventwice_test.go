package validate

import (
	"testing"

	"windtally/extract"
)

// twoLists is one aeroplane in two lists.
func twoLists(a, b []particular, change func(s *extract.Study)) func() *extract.Study {
	return func() *extract.Study {
		s := of("aeroplane", particulars("first", a...), particulars("second", b...))
		if change != nil {
			change(s)
		}
		return s
	}
}

func TestGivenTwice(t *testing.T) {
	same := func(*extract.Study) {}
	span := func(figure string) []particular {
		return []particular{{"Span, ft.", "wing span", "ft", figure, extract.Basis{}}}
	}
	weight := func(figure, condition string) []particular {
		return []particular{{"Weight, lb.", "weight", "lb", figure, extract.Basis{WeightCondition: condition}}}
	}
	tunnel := func(walls, clmax string) func(s *extract.Study) {
		return func(s *extract.Study) {
			b := flightBasis()
			b.Weight, b.WeightCondition, b.Walls = "", "", walls
			addTable(s, extract.Table{ID: "t0000000f", Name: "tunnel", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"}}},
				"keyed-ab", "0.0|"+clmax)
			s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "tunnel"})
		}
	}
	other := func(s *extract.Study) {
		second := *s.Sources[0]
		second.Name = "report-13"
		s.Sources = append(s.Sources, &second)
		s.Tables[1].Source = "report-13"
	}
	runChanges(t, []change{
		{"the same", twoLists(span("36.0"), span("36.0"), nil), same, nil},
		{"within rounding and tolerance", twoLists(span("36"), span("36.25"), nil), same, nil},
		{"figures exchanged", twoLists(span("36.0"), span("39.0"), nil), same, []string{
			`doubt given-twice first:r01:value: the wing span of tarn is 36.0 foot in the table first and 39.0 foot in the table second, 8 % apart | expected one value within rounding and the tolerance of the check | t00000001/r01/value t00000002/r01/value | miss 30.00`,
		}},
		{"in two sources", twoLists(span("36.0"), span("39.0"), other), same, []string{
			`doubt given-twice first:r01:value: the wing span of tarn is 36.0 foot in the table first (report-12) and 39.0 foot in the table second (report-13), 8 % apart | expected one value within rounding and the tolerance of the check | t00000001/r01/value t00000002/r01/value | miss 30.00`,
		}},
		{"a source that is preferred", twoLists(span("36.0"), span("39.0"), func(s *extract.Study) {
			other(s)
			s.Subjects[0].Prefer = []extract.Preference{{Quantity: "wing span", Source: "report-12"}}
		}), same, []string{
			`note given-twice first:r01:value: the wing span of tarn is 36.0 foot in the table first (report-12) and 39.0 foot in the table second (report-13), 8 % apart | expected one value within rounding and the tolerance of the check | t00000001/r01/value t00000002/r01/value | miss 30.00`,
		}},
		{"weights of two conditions", twoLists(weight("2300", "normal"), weight("2550", "maximum"), nil), same, nil},
		{"weights of one", twoLists(weight("2300", "normal"), weight("2550", "normal"), nil), same, []string{
			`doubt given-twice first:r01:value: the weight of tarn is 2300 pound-force in the table first and 2550 pound-force in the table second, 10 % apart | expected one value within rounding and the tolerance of the check | t00000001/r01/value t00000002/r01/value | miss 250.00`,
		}},
		// C_Lmax varies by up to 14 % with altitude, loading and propeller (TRADE.md 4.3 h, VERIFIED).
		{"flight against tunnel", craftStudy, tunnel("corrected", "1.45"), []string{
			`note given-twice lift:r01:clmax: the maximum lift coefficient of craft-a is 1.60 in the table lift and 1.45 in the table tunnel, 9.8 % apart | expected one value within rounding and the tolerance of the check | t0000000e/r01/clmax t0000000f/r01/clmax | miss 15.00`,
		}},
		{"flight against tunnel, far off", craftStudy, tunnel("corrected", "1.16"), []string{
			`doubt given-twice lift:r01:clmax: the maximum lift coefficient of craft-a is 1.60 in the table lift and 1.16 in the table tunnel, 32 % apart | expected one value within rounding and the tolerance of the check | t0000000e/r01/clmax t0000000f/r01/clmax | miss 44.00`,
			`doubt stall-speed stalls:r01:speed: 56.0 knot (28.81 m/s CAS) is -14.8 % from the speed that C_Lmax 1.16 gives; it implies C_Lmax 1.60; with C_Lmax 1.60, of the same setting, it agrees | expected 33.81 m/s, from W/S = 812 N/m2, C_Lmax 1.16 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000f/r01/clmax | miss 194.35`,
		}},
		{"flight against flight", craftStudy, tunnel("free-flight", "1.45"), []string{
			`note given-twice lift:r01:clmax: the maximum lift coefficient of craft-a is 1.60 in the table lift and 1.45 in the table tunnel, 9.8 % apart | expected one value within rounding and the tolerance of the check | t0000000e/r01/clmax t0000000f/r01/clmax | miss 15.00`,
		}},
		{"a repeat", craftStudy, tunnel("free-flight", "1.57"), nil},
	})
}
