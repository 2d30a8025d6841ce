package validate

import (
	"testing"

	"windtally/extract"
)

// tunnelStudy is a wing with a Reynolds number, a speed and a chord in each row.
func tunnelStudy(altitude, atmosphere, kind, reynolds string, rows ...string) func() *extract.Study {
	return func() *extract.Study {
		s := newStudy()
		columns := []extract.Column{
			{Key: "v", Quantity: "airspeed", Unit: "m.p.h."},
			{Key: "c", Quantity: "mean chord", Unit: "ft"},
			{Key: "re", Quantity: "Reynolds number", Unit: "1"},
			{Key: "h", Quantity: "altitude", Unit: "ft", Basis: &extract.Basis{AltitudeKind: "pressure"}},
		}
		addTable(s, extract.Table{ID: polarID, Name: "runs", Columns: columns, Basis: extract.Basis{Article: "wing", AirspeedKind: kind, AirspeedMeaning: "as read",
			Altitude: altitude, Atmosphere: atmosphere, ReynoldsKind: reynolds}}, "keyed-ab", rows...)
		s.Subjects = []*extract.Subject{{Schema: 1, Name: "wing-a", Kind: "wing", Title: "Wing A", Tables: []extract.SubjectTable{{Table: "runs"}}}}
		return s
	}
}

// NACA's symbols page (TRADE.md 1.6, VERIFIED): a chord of 1.0 foot at 100 miles an
// hour at standard pressure and 15 C has Reynolds number 935,400; older pages, 3
// inches, 234,000. 48 in. at 50 m.p.h. and 2,000 ft is printed as 1,800,000 (VERIFIED)
// and comes to 1.778e6 (DERIVED), within the rounding of the print. A turbulence
// factor of 2.64 makes 935,400 2,469,000. Misses by hand: 50,000/(50 + 935,400(0.05/100
// + 0.0005/1)) = 50.74, and so on.
func TestReynoldsCheck(t *testing.T) {
	same := func(*extract.Study) {}
	runChanges(t, []change{
		{"NACA's anchor", tunnelStudy("sea-level", "period", "TAS", "test", "100.0|1.000|935,400|0"), same, nil},
		{"its older one", tunnelStudy("sea-level", "period", "TAS", "test", "100.0|.250|234,000|0"), same, nil},
		{"in the atmosphere of today, 0.3 % apart", tunnelStudy("sea-level", "modern", "TAS", "test", "100.0|1.000|935,400|0"), same, nil},
		{"at altitude", tunnelStudy("column h", "modern", "TAS", "test", "50.0|4.00|1,800,000|2,000"), same, nil},
		{"at altitude, taken as indicated", tunnelStudy("column h", "modern", "IAS", "test", "50.0|4.00|3,600,000|2,000"), same, nil},
		{"no air stated", tunnelStudy("", "", "TAS", "test", "100.0|1.000|835,400|0"), same, nil},
		{"no kind stated", tunnelStudy("sea-level", "period", "TAS", "not-stated", "100.0|1.000|835,400|0"), same, nil},
		{"effective", tunnelStudy("sea-level", "period", "TAS", "effective", "100.0|1.000|2,469,000|0"), same, nil},
		{"a figure", tunnelStudy("sea-level", "period", "TAS", "test", "100.0|1.000|985,400|0"), same, []string{
			`doubt reynolds-number runs:r01:re: the Reynolds number 985,400 is stated as that of the test, and is 1.05 times what speed and chord come to | expected 9.354e+05, from 100.0 statute mile per hour TAS, a mean chord of 1.000 foot and the air at sea level of the NACA standard atmosphere | t0000000a/r01/re t0000000a/r01/v t0000000a/r01/c | miss 50.74`}},
		{"effective taken for the test's", tunnelStudy("sea-level", "period", "TAS", "test", "100.0|1.000|2,469,000|0"), same, []string{
			`blocking reynolds-number runs:r01:re: the Reynolds number 2,469,000 is stated as that of the test, and is 2.64 times what speed and chord come to | expected 9.354e+05, from 100.0 statute mile per hour TAS, a mean chord of 1.000 foot and the air at sea level of the NACA standard atmosphere | t0000000a/r01/re t0000000a/r01/v t0000000a/r01/c | miss 1068.41`}},
		{"an effective one below the test's", tunnelStudy("sea-level", "period", "TAS", "effective", "100.0|1.000|635,400|0"), same, []string{
			`blocking reynolds-number runs:r01:re: the Reynolds number 635,400 is stated as effective, and is 0.679 times that of the test, which speed and chord come to | expected 9.354e+05, from 100.0 statute mile per hour TAS, a mean chord of 1.000 foot and the air at sea level of the NACA standard atmosphere | t0000000a/r01/re t0000000a/r01/v t0000000a/r01/c | miss 304.44`}},
		{"inches for feet", tunnelStudy("sea-level", "period", "TAS", "test", "100.0|3.000|234,000|0"), same, []string{
			`blocking reynolds-number runs:r01:re: the Reynolds number 234,000 is stated as that of the test, and is 0.0834 times what speed and chord come to | expected 2.806e+06, from 100.0 statute mile per hour TAS, a mean chord of 3.000 foot and the air at sea level of the NACA standard atmosphere | t0000000a/r01/re t0000000a/r01/v t0000000a/r01/c | miss 1084.95`}},
	})
}
