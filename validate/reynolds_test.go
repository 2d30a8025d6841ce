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

// aired is tunnelStudy with a temperature in each row, and altitudes of a kind.
func aired(kind, temperature string, rows ...string) func() *extract.Study {
	study := tunnelStudy("column h", "modern", "TAS", "test", rows...)
	return func() *extract.Study {
		s := study()
		tb := s.Tables[0]
		tb.Columns[3].Basis.AltitudeKind = kind
		tb.Basis.Temperature = temperature
		return s
	}
}

// 50.0 m.p.h. and 4.00 ft at 5,000 ft, by a few lines of Python with p = rho R T and
// Sutherland's law: 1.652e6 in the standard, 1.445e6 at a pressure altitude of 5,000 ft and
// 300.0 K, 1.558e6 with the density of 5,000 ft at 300.0 K.
func TestReynoldsInTheAirOfTheDay(t *testing.T) {
	same := func(*extract.Study) {}
	withTemperature := func(s *extract.Study) {
		tb := s.Tables[0]
		tb.Givens = []extract.Column{{Key: "t", Quantity: "air temperature", Unit: "K"}}
		addGiven(s, tb, "t", "300.0")
	}
	where := " | t0000000a/r01/re t0000000a/r01/v t0000000a/r01/c t0000000a/r01/h"
	runChanges(t, []change{
		{"warm", aired("pressure", "given t", "50.0|4.000|1,445,000|5,000"), withTemperature, nil},
		{"warm, the standard's", aired("pressure", "given t", "50.0|4.000|1,652,000|5,000"), withTemperature, []string{
			`doubt reynolds-number runs:r01:re: the Reynolds number 1,652,000 is stated as that of the test, and is 1.14 times what speed and chord come to | expected 1.445e+06, from 50.0 statute mile per hour TAS, a mean chord of 4.000 foot and the air at 5,000 foot and 300.0 kelvin of the standard atmosphere` + where + ` t0000000a/given/t | miss 80.17`}},
		{"density and temperature", aired("density", "given t", "50.0|4.000|1,558,000|5,000"), withTemperature, nil},
		{"density and temperature, the pressure's", aired("density", "given t", "50.0|4.000|1,445,000|5,000"), withTemperature, []string{
			`doubt reynolds-number runs:r01:re: the Reynolds number 1,445,000 is stated as that of the test, and is 0.927 times what speed and chord come to | expected 1.558e+06, from 50.0 statute mile per hour TAS, a mean chord of 4.000 foot and the air at 5,000 foot and 300.0 kelvin of density altitude of the standard atmosphere` + where + ` t0000000a/given/t | miss 45.73`}},
		{"density alone", aired("density", "", "50.0|4.000|1,580,000|5,000"), same, nil},
		// 13 % of the room of a geometric height hold the warm day's 1.445e6, and not 1.2e6.
		{"geometric", aired("geometric", "", "50.0|4.000|1,445,000|5,000"), same, nil},
		{"geometric, far off", aired("geometric", "", "50.0|4.000|1,200,000|5,000"), same, []string{
			`doubt reynolds-number runs:r01:re: the Reynolds number 1,200,000 is stated as that of the test, and is 0.726 times what speed and chord come to | expected 1.652e+06, from 50.0 statute mile per hour TAS, a mean chord of 4.000 foot and the air at 5,000 foot, no pressure or density altitude, of the standard atmosphere` + where + ` | miss 1.70`}},
		{"pressure, as far off as the room of a geometric height", aired("pressure", "", "50.0|4.000|1,445,000|5,000"), same, []string{
			`doubt reynolds-number runs:r01:re: the Reynolds number 1,445,000 is stated as that of the test, and is 0.875 times what speed and chord come to | expected 1.652e+06, from 50.0 statute mile per hour TAS, a mean chord of 4.000 foot and the air at 5,000 foot of the standard atmosphere` + where + ` | miss 87.03`}},
	})
}

// 56.0 knots of equivalent airspeed, 48.8 with flaps down: at a pressure altitude of
// 10,000 ft (69,682 Pa) and 300.0 K the density is 69682/101325*288.15/300 = .66054 of
// that of sea level (by hand): TAS is 1.2304 of EAS, 68.9 and 60.0.
func TestStallInTheAirOfTheDay(t *testing.T) {
	in := func(kind, up, down string) func(s *extract.Study) {
		return func(s *extract.Study) {
			tb := table(s, stallsID)
			tb.Basis.AirspeedKind, tb.Basis.Altitude, tb.Basis.Temperature = "TAS", "given h", "given t"
			if kind != "pressure" {
				tb.Basis.Temperature = ""
			}
			tb.Givens = []extract.Column{{Key: "h", Quantity: "altitude", Unit: "ft", Basis: &extract.Basis{AltitudeKind: kind}}, {Key: "t", Quantity: "air temperature", Unit: "K"}}
			rows(s, stallsID, "0|13127.5|"+up, "40|13127.5|"+down)
			addGiven(s, tb, "h", "10000")
			addGiven(s, tb, "t", "300.0")
		}
	}
	runChanges(t, []change{
		{"warm", craftStudy, in("pressure", "68.9", "60.0"), nil},
		{"warm, the standard's", craftStudy, in("pressure", "65.1", "56.8"), []string{
			`doubt stall-speed stalls:r01:speed: 65.1 knot (33.49 m/s TAS) is -5.4 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 1.79 | expected 35.42 m/s, from W/S = 812 N/m2, C_Lmax 1.60 and the density at 10000 foot and 300.0 kelvin | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax | miss 74.99`,
			`doubt stall-speed stalls:r02:speed: 56.8 knot (29.22 m/s TAS) is -5.5 % from the speed that C_Lmax 2.10 gives; it implies C_Lmax 2.35 | expected 30.92 m/s, from W/S = 812 N/m2, C_Lmax 2.10 and the density at 10000 foot and 300.0 kelvin | t0000000d/r02/speed t0000000d/r02/weight t0000000c/r02/value t0000000e/r02/clmax | miss 65.94`}},
		{"density altitude", craftStudy, in("density", "65.1", "56.8"), nil},
		{"geometric height", craftStudy, in("geometric", "68.9", "60.0"), nil},
	})
}
