package validate

import (
	"strings"
	"testing"

	"windtally/extract"
)

// speedsOf is stall speeds with what stands in the columns before them.
func speedsOf(columns []extract.Column, change func(b *extract.Basis), rows ...string) func() *extract.Study {
	return func() *extract.Study {
		b := flightBasis()
		b.Configuration.Flap, b.Configuration.Deflection = "none", ""
		b.Weight = "given weight"
		if change != nil {
			change(&b)
		}
		p := printed{Table: extract.Table{Name: "stalls", Basis: b, Columns: append(columns, extract.Column{Key: "speed", Quantity: "stall speed", Unit: "knots"})}, rows: rows}
		if strings.HasPrefix(b.Weight, "given") {
			p.Givens, p.givens = []extract.Column{{Key: "weight", Quantity: "test weight", Unit: "lb"}}, []string{"weight = 2550"}
		}
		return of("aeroplane", p)
	}
}

var (
	bankColumn   = []extract.Column{{Key: "bank", Quantity: "bank angle", Unit: "deg"}}
	factorColumn = []extract.Column{{Key: "n", Quantity: "load factor in flight", Unit: "1"}}
	weightColumn = []extract.Column{{Key: "weight", Quantity: "test weight", Unit: "lb"}}
)

func byWeight(b *extract.Basis) { b.Weight = "column weight" }

// settings is stall speeds and C_Lmax of two settings without weight or area.
func settingsOf(walls, up, down, clup, cldown string) func() *extract.Study {
	return func() *extract.Study {
		m := maxima(clup, cldown)
		m.Basis.Walls = walls
		return of("aeroplane", stallTable("", "mph", nil, up, down), m)
	}
}

func TestStallRatios(t *testing.T) {
	same := func(*extract.Study) {}
	on := func(figures string) func() *extract.Study {
		return func() *extract.Study {
			b := flightBasis()
			b.Weight, b.Configuration = "given weight", extract.Configuration{Flap: "none", Gear: "fixed", Power: "off"}
			p := printed{Table: extract.Table{Name: "stalls", Basis: b, Columns: []extract.Column{
				{Key: "off", Quantity: "stall speed", Unit: "knots"}, {Key: "on", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{Configuration: extract.Configuration{Power: "on"}}}},
				Givens: []extract.Column{{Key: "weight", Quantity: "test weight", Unit: "lb"}}}, givens: []string{"weight = 2550"}, rows: []string{figures}}
			return of("aeroplane", p)
		}
	}
	runChanges(t, []change{
		// NACA TN 604, flight against tunnel (TRADE.md 4.3 a, VERIFIED; 4.5 % DERIVED).
		{"flight against tunnel", settingsOf("corrected", "46.8", "41.3", "1.51", "2.12"), same, []string{
			`note stall-ratio stalls:r02:speed: the stall speeds 41.3 with the flap lowered by 40 deg and 46.8 with it up have the ratio 0.882, and C_Lmax 2.12 and 1.51 give 0.844, which is +4.6 % | expected 17.66 m/s, from 46.8 and sqrt(1.51/2.12) | t00000001/r02/speed t00000001/r01/speed t00000002/r02/clmax t00000002/r01/clmax | miss 36.06`,
		}},
		{"flight against tunnel, far off", settingsOf("corrected", "46.8", "44.3", "1.51", "2.12"), same, []string{
			`doubt stall-ratio stalls:r02:speed: the stall speeds 44.3 with the flap lowered by 40 deg and 46.8 with it up have the ratio 0.947, and C_Lmax 2.12 and 1.51 give 0.844, which is +12.2 % | expected 17.66 m/s, from 46.8 and sqrt(1.51/2.12) | t00000001/r02/speed t00000001/r01/speed t00000002/r02/clmax t00000002/r01/clmax | miss 96.06`,
		}},
		// 53 and 46 kt of a manual, C_Lmax 1.546 and 2.052 DERIVED (TRADE.md 4.7).
		{"a manual", settingsOf("free-flight", "53", "46", "1.546", "2.052"), same, nil},
		{"a slip in one speed", settingsOf("free-flight", "53.0", "49.5", "1.546", "2.052"), same, []string{
			`doubt stall-ratio stalls:r02:speed: the stall speeds 49.5 with the flap lowered by 40 deg and 53.0 with it up have the ratio 0.934, and C_Lmax 2.052 and 1.546 give 0.868, which is +7.6 % | expected 20.57 m/s, from 53.0 and sqrt(1.546/2.052) | t00000001/r02/speed t00000001/r01/speed t00000002/r02/clmax t00000002/r01/clmax | miss 69.93`,
		}},
		{"indicated speeds", settingsOf("free-flight", "53.0", "49.5", "1.546", "2.052"), func(s *extract.Study) { s.Tables[0].Basis.AirspeedKind = "IAS" }, nil},

		// Stall growth 30 deg 1.0746, 45 deg 1.1892, 60 deg 1.4142, 75 deg 1.9656 (TRADE.md 4.5, DERIVED).
		{"banks", speedsOf(bankColumn, nil, "0|50.0", "30|53.7", "45|59.5", "60|70.7", "75|98.3"), same, nil},
		{"a bank with a wrong speed", speedsOf(bankColumn, nil, "0|50.0", "30|53.7", "45|56.5", "60|70.7", "75|98.3"), same, []string{
			`doubt stall-ratio stalls:r03:speed: the stall speed 56.5 is -5.0 % from where the other 4 rows put it by sqrt(1/cos(phi)) | expected 30.58 m/s | t00000001/r03/speed t00000001/r03/bank t00000001/given/weight | miss 59.03`,
		}},
		// 50 kt at 1 g, 100 at 4 g, 150 at 9 g (TRADE.md 4.5, VERIFIED).
		{"load factors", speedsOf(factorColumn, nil, "1.0|50", "4.0|100", "9.0|150"), same, nil},
		{"a load factor with a wrong speed", speedsOf(factorColumn, nil, "1.0|50", "4.0|100", "9.0|105"), same, []string{
			`doubt stall-ratio stalls:r03:speed: the stall speed 105 is -30.0 % from where the other 2 rows put it by sqrt(n) | expected 77.17 m/s | t00000001/r03/speed t00000001/r03/n t00000001/given/weight | miss 90.00`,
		}},
		// V goes as the root of the weight: 60 knots at 2500 lb is 53.67 at 2000 (DERIVED).
		{"weights", speedsOf(weightColumn, byWeight, "2500|60.0", "2250|56.9", "2000|53.7"), same, nil},
		{"a speed that does not go with its weight", speedsOf(weightColumn, byWeight, "2500|60.0", "2250|59.6", "2000|53.7"), same, []string{
			`doubt stall-ratio stalls:r02:speed: the stall speed 59.6 is +4.6 % from where the other 2 rows put it by sqrt(W) | expected 29.30 m/s | t00000001/r02/speed t00000001/r02/weight | miss 52.85`,
		}},
		{"two rows only", speedsOf(weightColumn, byWeight, "2500|60.0", "2000|57.0"), same, []string{
			`doubt stall-ratio stalls:speed: the stall speeds 60.0 and 57.0 have the ratio 1.053, and sqrt(W) gives 1.118 | expected V proportional to sqrt(W) | t00000001/r01/speed t00000001/r01/weight t00000001/r02/speed t00000001/r02/weight`,
		}},
		{"one weight, repeats", speedsOf(weightColumn, byWeight, "2500|60.0", "2500|62.9"), same, nil},

		{"power lowers it", on("60.0|55.0"), same, nil},
		{"power makes no difference", on("60.0|60.5"), same, nil},
		{"columns exchanged", on("55.0|60.0"), same, []string{
			`doubt stall-ratio stalls:r01:on: the stall speed is 60.0 with power on and 55.0 with power off | expected no greater speed with power on | t00000001/r01/on t00000001/r01/off | miss 100.00`,
		}},
	})
}
