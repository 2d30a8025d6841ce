package validate

import (
	"testing"

	"windtally/extract"
)

func TestTurns(t *testing.T) {
	same := func(*extract.Study) {}
	of := func(kind string, rows ...string) func() *extract.Study {
		return func() *extract.Study {
			return of("aeroplane", printed{Table: extract.Table{Name: "turns", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{
				{Key: "v", Quantity: "airspeed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: kind}}, {Key: "bank", Quantity: "bank angle", Unit: "deg"},
				{Key: "r", Quantity: "turn radius", Unit: "m"}, {Key: "rate", Quantity: "turn rate", Unit: "deg/s"}}}, rows: rows})
		}
	}
	runChanges(t, []change{
		// 100 kt at 30, 45 and 60 deg (TRADE.md 4.5, VERIFIED).
		{"a page on turns", of("TAS", "100|30|467|6.3", "100|45|269|10.9", "100|60|156|18.9"), same, nil},
		{"figures exchanged", of("TAS", "100|30|467|6.3", "100|45|296|10.9", "100|60|156|18.9"), same, []string{
			`doubt turn turns:r02:r: the turn radius 296 metre is +9.5 % off V^2/(g tan(phi)) | expected 270.2 m, from airspeed 100 knot and bank angle 45 degree | t00000001/r02/r t00000001/r02/v t00000001/r02/bank | miss 51.60`,
		}},
		{"a figure of the rate", of("TAS", "100|30|467|6.8", "100|45|269|10.9", "100|60|156|18.9"), same, []string{
			`doubt turn turns:r01:rate: the turn rate 6.8 degree per second is +7.9 % off g tan(phi)/V | expected 6.3 deg/s, from airspeed 100 knot and bank angle 30 degree | t00000001/r01/rate t00000001/r01/v t00000001/r01/bank | miss 10.00`,
		}},
		// 120 kt, 60 deg, g = 10: 220 m (VERIFIED); 120 kt, 30 deg: 2,215 ft = 675 m, 5.25 deg/s (FAA).
		{"with g = 10", of("TAS", "120|60|220|8.2"), func(s *extract.Study) { s.Tables[0].Columns[3].Quantity = "unclassified" }, []string{
			`note unclassified turns:rate: is unclassified: read, collated and checked by relations, and not published`,
		}},
		{"by the handbook's constants", of("TAS", "120|30|675|5.25"), same, nil},
		{"miles per hour taken for knots", of("TAS", "100|30|353|7.2", "100|45|204|12.5", "100|60|118|21.7"), same, []string{
			`doubt turn turns:r: 3 of the 3 figures of the turn radius are off V^2/(g tan(phi)), the first, 353 metre, by -24.5 % | expected 467.4 m, from airspeed 100 knot and bank angle 30 degree | t00000001/r01/r t00000001/r01/v t00000001/r01/bank t00000001/r02/r t00000001/r02/v t00000001/r02/bank t00000001/r03/r t00000001/r03/v t00000001/r03/bank`,
			`doubt turn turns:rate: 3 of the 3 figures of the turn rate are off g tan(phi)/V, the first, 7.2 degree per second, by +14.2 % | expected 6.306 deg/s, from airspeed 100 knot and bank angle 30 degree | t00000001/r01/rate t00000001/r01/v t00000001/r01/bank t00000001/r02/rate t00000001/r02/v t00000001/r02/bank t00000001/r03/rate t00000001/r03/v t00000001/r03/bank`,
		}},
		{"calibrated airspeeds aloft are not true", of("CAS", "100|30|353|7.2"), same, nil},
	})
}
