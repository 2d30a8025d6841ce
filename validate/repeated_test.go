package validate

import (
	"testing"

	"windtally/extract"
)

func wingRow(row string, alpha string, rest ...string) func(s *extract.Study) {
	return func(s *extract.Study) {
		if alpha != "" {
			set(s, polarID, row, "alpha", alpha)
		}
		for i, key := range []string{"cl", "cd", "ld"} {
			if i < len(rest) {
				set(s, polarID, row, key, rest[i])
			}
		}
	}
}

// steady is a column of angles and one of zero-lift angles, in steps.
func steady(figures ...string) func() *extract.Study {
	return func() *extract.Study {
		b := wingBasis()
		b.Configuration = extract.Configuration{Flap: "split", Deflection: "column flap"}
		p := printed{Table: extract.Table{Name: "zeros", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "zero", Quantity: "zero-lift angle", Unit: "deg"}}}}
		for i, f := range figures {
			p.rows = append(p.rows, plain(float64(5*i))+"|"+f)
		}
		return of("wing", p)
	}
}

// A duplicated row, and a row shifted by one (TRADE.md 5.2, from memory).
func TestRepeatedRow(t *testing.T) {
	same := func(*extract.Study) {}
	runChanges(t, []change{
		{"the row above at another angle", wingStudy, wingRow("r06", "", ".474", ".0232", "20.4"), []string{
			`doubt lift-curve-slope polar:r06:cl: C_L .474 at 6 deg stands off the straight part of the lift curve by -0.1580 (the other points lie on one line) | expected 0.632, from a line through the other 5 points of polar | t0000000a/r06/alpha t0000000a/r06/cl | miss 316.00`,
			`doubt repeated-row polar:r06: the row r06 repeats figures of the row above, r05, at another alpha: cl .474, cd .0232, ld 20.4 | expected figures that move from row to row, as those of the other rows do | t0000000a/r05/cl t0000000a/r06/cl t0000000a/r05/cd t0000000a/r06/cd t0000000a/r05/ld t0000000a/r06/ld`,
		}},
		{"one of two figures is another", wingStudy, wingRow("r08", "", ".948", ".0630", "15.0"), nil},
		{"the row above, angle and all", wingStudy, wingRow("r06", "4", ".474", ".0232", "20.4"), []string{
			`doubt repeated-row polar:r06: the row r06 is the same as the row r05: 4, .474, .0232, 20.4 | expected figures that move from row to row, as those of the other rows do | t0000000a/r06/alpha t0000000a/r06/cl t0000000a/r06/cd t0000000a/r06/ld t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r05/cd t0000000a/r05/ld`,
		}},
		{"a column that stands still between clear steps", steady("-1.0", "-2.5", "-4.0", "-4.0", "-7.0", "-8.5", "-10.0", "-11.5"), same, []string{
			`doubt repeated-row zeros:r04: the row r04 repeats figures of the row above, r03, at another flap: zero -4.0 | expected figures that move from row to row, as those of the other rows do | t00000001/r03/zero t00000001/r04/zero`,
		}},
		{"one that bends", steady("-1.0", "-2.5", "-4.0", "-5.3", "-6.1", "-6.1", "-6.1", "-6.0"), same, nil},
		{"one that scatters", steady("-1.0", "-3.5", "-4.0", "-4.0", "-6.0", "-6.3", "-9.0", "-9.3"), same, nil},
	})
}
