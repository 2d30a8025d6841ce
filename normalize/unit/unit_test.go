package unit

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func rat(t testing.TB, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is not a rational", s)
	}
	return r
}

func lookup(t testing.TB, code string) Unit {
	t.Helper()
	u, ok := Lookup(code)
	if !ok {
		t.Fatalf("no unit with the UCUM code %q", code)
	}
	return u
}

// si maps each dimension to its coherent SI unit in this package.
func si(t testing.TB, dim Dimension) Unit {
	codes := map[Dimension]string{
		Dimensionless: "1", Length: "m", Area: "m2", Volume: "m3", Time: "s", Mass: "kg", Force: "N", Pressure: "Pa",
		Power: "W", PowerLoading: "N/W", Moment: "N.m", Speed: "m/s", Acceleration: "m/s2", Density: "kg/m3",
		KinematicViscosity: "m2/s", Temperature: "K", Angle: "rad", AngularSpeed: "rad/s", PerAngle: "/rad", DynamicViscosity: "Pa.s",
		SpanLoading: "N/m", FuelConsumption: "kg/J", MomentOfInertia: "kg.m2", AngularAcceleration: "rad/s2", TemperatureDifference: "K{difference}",
	}
	code, ok := codes[dim]
	if !ok {
		t.Fatalf("no coherent unit for %s", dim)
	}
	return lookup(t, code)
}

// TestHandbookFactors compares with NIST SP 811 (2008) appendix B.8. Rows tagged
// VERIFIED-2ND were read in a transcription of that table, rows tagged "from
// memory" were not seen; exact says that the table prints the value in bold.
func TestHandbookFactors(t *testing.T) {
	tests := []struct {
		code    string
		printed string // mantissa and exponent as printed, blanks closed up
		exact   bool
		tag     string
	}{
		{"[ft_i]", "3.048E-01", true, "VERIFIED-2ND"},
		{"[mi_i]", "1.609344E+03", true, "VERIFIED-2ND"},
		{"[nmi_i]", "1.852E+03", true, "VERIFIED-2ND"},
		{"[ft_i]2", "9.290304E-02", true, "VERIFIED-2ND"},
		{"[mi_i]/h", "4.4704E-01", true, "VERIFIED-2ND"},
		{"km/h", "2.777778E-01", false, "VERIFIED-2ND"},
		{"[kn_i]", "5.144444E-01", false, "VERIFIED-2ND"},
		{"[ft_i]/s", "3.048E-01", true, "VERIFIED-2ND"},
		{"[lb_av]", "4.535924E-01", false, "VERIFIED-2ND"},
		{"[HP]", "7.456999E+02", false, "VERIFIED-2ND"},
		{"75.kgf.m/s", "7.354988E+02", false, "VERIFIED-2ND"},
		{"[lbf_av]/[in_i]2", "6.894757E+03", false, "VERIFIED-2ND"},
		{"[in_i'Hg]", "3.386389E+03", false, "VERIFIED-2ND"},
		{"mm[Hg]", "1.333224E+02", false, "VERIFIED-2ND"},
		{"atm", "1.01325E+05", true, "VERIFIED-2ND"},
		{"deg", "1.745329E-02", false, "VERIFIED-2ND"},
		{"[lton_av]", "1.016047E+03", false, "VERIFIED-2ND"},
		{"[lbf_av]", "4.448222", false, "from memory"},
		{"[lbf_av]/[ft_i]2", "47.88026", false, "from memory"},
		{"kgf", "9.80665", true, "from memory"},
		{"[lbf_av].s2/[ft_i]", "14.59390", false, "from memory"},
		{"[lbf_av].s2/[ft_i]4", "515.3788", false, "from memory"},
		{"[in_i]", "2.54E-02", true, "from memory"},
		{"[yd_i]", "9.144E-01", true, "from memory"},
		{"[in_i]2", "6.4516E-04", true, "from memory"},
		{"[ft_i]3", "2.831685E-02", false, "from memory"},
		{"[in_i]3", "1.638706E-05", false, "from memory"},
		{"[gal_us]", "3.785412E-03", false, "from memory"},
		{"[gal_br]", "4.54609E-03", true, "from memory"},
		{"[oz_av]", "2.834952E-02", false, "from memory"},
		{"[oz_av].[g]", "2.780139E-01", false, "from memory"},
		{"[ston_av]", "9.071847E+02", false, "from memory"},
		{"[ston_av].[g]", "8.896443E+03", false, "from memory"},
		{"[lcwt_av]", "5.080235E+01", false, "from memory"},
		{"[scwt_av]", "4.535924E+01", false, "from memory"},
		{"[in_i'H2O]", "2.490889E+02", false, "from memory"},
		{"mm[H2O]", "9.80665", true, "from memory"},
		{"bar", "1E+05", true, "from memory"},
		{"kgf/cm2", "9.80665E+04", true, "from memory"},
		{"[ft_i].[lbf_av]", "1.355818", false, "from memory"},
		{"[in_i].[lbf_av]", "1.129848E-01", false, "from memory"},
		{"[lbf_av]/[ft_i]", "1.459390E+01", false, "from memory"},
		{"[lbf_av]/[in_i]", "1.751268E+02", false, "from memory"},
		{"[lb_av]/([HP].h)", "1.689659E-07", false, "from memory"},
		{"[lb_av].[ft_i]2", "4.214011E-02", false, "from memory"},
		{"[lb_av]/[ft_i]3", "1.601846E+01", false, "from memory"},
		{"[ft_i]/min", "5.08E-03", true, "from memory"},
		{"[ft_i]2/s", "9.290304E-02", true, "from memory"},
		{"circ/min", "1.047198E-01", false, "from memory"},
		{"'", "2.908882E-04", false, "from memory"},
		{"''", "4.848137E-06", false, "from memory"},
		{"[degR]{difference}", "5.555556E-01", false, "from memory"},
	}
	for _, tt := range tests {
		u := lookup(t, tt.code)
		got := Exact{u.Factor, u.Pi}.Approx()
		want := rat(t, tt.printed)
		// Half a unit of the last printed digit.
		mantissa, exponent, _ := strings.Cut(tt.printed, "E")
		_, decimals, _ := strings.Cut(mantissa, ".")
		half := rat(t, "0.5e-"+itoa(len(decimals)))
		if exponent != "" {
			half.Mul(half, rat(t, "1e"+exponent))
		}
		if tt.exact {
			half.SetInt64(0)
		}
		miss := new(big.Rat).Sub(got, want)
		if miss.Abs(miss).Cmp(half) > 0 {
			t.Errorf("%s: factor %s, SP 811 prints %s (exact %t, %s)", tt.code, got.FloatString(15), tt.printed, tt.exact, tt.tag)
		}
	}
}

func itoa(n int) string { return big.NewInt(int64(n)).String() }

// TestRatios: DERIVED from published factors.
func TestRatios(t *testing.T) {
	tests := []struct {
		from, to, want string
		decimals       int
	}{
		{"75.kgf.m/s", "[HP]", "0.98632", 5},
		{"[HP]", "75.kgf.m/s", "1.01387", 5},
		{"[mi_i]/h", "[kn_i]", "0.868976", 6},
		{"[kn_i]", "[mi_i]/h", "1.150779", 6},
		{"kgf/m2", "[lbf_av]/[ft_i]2", "0.204816", 6},
		{"/deg", "/rad", "57.2958", 4},
		{"/rad", "/deg", "0.0174533", 7},
	}
	for _, tt := range tests {
		e, err := Convert(big.NewRat(1, 1), lookup(t, tt.from), lookup(t, tt.to))
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Approx().FloatString(tt.decimals); got != tt.want {
			t.Errorf("1 %s = %s %s, want %s", tt.from, got, tt.to, tt.want)
		}
	}
}

// TestStandardDensity: the NACA symbol page prints 0.002378 slug/ft3 beside 0.12497
// kg-m^-4-s^2 (TR 824, inside cover, VERIFIED), and 1 PS is 75
// kgf m/s.
func TestStandardDensity(t *testing.T) {
	e, err := Convert(rat(t, "0.12497"), lookup(t, "kgf.s2/m4"), lookup(t, "[lbf_av].s2/[ft_i]4"))
	if err != nil {
		t.Fatal(err)
	}
	if got := e.Approx().FloatString(6); got != "0.002378" {
		t.Errorf("0.12497 kgf s2/m4 = %s slug/ft3, the symbol page prints 0.002378", got)
	}
}

// TestFractions compares with the exact fractions of the standards folder.
func TestFractions(t *testing.T) {
	const cases = 21
	dir := os.Getenv("WINDTALLY_STANDARDS")
	if dir == "" {
		t.Skipf("not run: %d units of units_table.tsv, WINDTALLY_STANDARDS is not set", cases)
	}
	f, err := os.Open(filepath.Join(dir, "units_table.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.LazyQuotes = '\t', true
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != cases+1 {
		t.Fatalf("%d rows, want %d", len(lines)-1, cases)
	}
	for _, line := range lines[1:] {
		code, factor := line[1], line[4]
		code, _, _ = strings.Cut(code, " (")
		u := lookup(t, code)
		factor, unitText, _ := strings.Cut(factor, " ")
		pi := 0
		if num, ok := strings.CutPrefix(factor, "pi/"); ok {
			factor, pi = "1/"+num, 1
		} else if num, ok := strings.CutSuffix(factor, "/pi"); ok {
			factor, pi = num, -1
		}
		if u.Factor.Cmp(rat(t, factor)) != 0 || u.Pi != pi {
			t.Errorf("%s: factor %s pi^%d, the table has %s pi^%d %s", code, u.Factor, u.Pi, factor, pi, unitText)
		}
	}
}

// ucumAtom holds what UCUM (ucum-essence 2.1) defines for the atoms that the codes
// of this package use, written out once more: value, power of pi, dimension.
// Mercury alone differs on purpose: see the package comment.
type ucumAtom struct {
	value string
	pi    int
	dim   Dimension
}

var ucumAtoms = map[string]ucumAtom{
	"10*3": {"1000", 0, Dimension{}}, "10*4": {"10000", 0, Dimension{}}, "10*5": {"100000", 0, Dimension{}}, "10*6": {"1000000", 0, Dimension{}},
	"10*-3": {"1/1000", 0, Dimension{}}, "10*-4": {"1/10000", 0, Dimension{}}, "10*-5": {"1/100000", 0, Dimension{}}, "10*-6": {"1/1000000", 0, Dimension{}},
	"1": {"1", 0, Dimension{}}, "75": {"75", 0, Dimension{}}, "%": {"1/100", 0, Dimension{}},
	"m": {"1", 0, Dimension{Length: 1}}, "mm": {"1/1000", 0, Dimension{Length: 1}}, "cm": {"1/100", 0, Dimension{Length: 1}}, "km": {"1000", 0, Dimension{Length: 1}},
	"[in_i]": {"254/10000", 0, Dimension{Length: 1}}, "[ft_i]": {"3048/10000", 0, Dimension{Length: 1}}, "[yd_i]": {"9144/10000", 0, Dimension{Length: 1}},
	"[mi_i]": {"201168/125", 0, Dimension{Length: 1}}, "[nmi_i]": {"1852", 0, Dimension{Length: 1}}, "[kn_i]": {"463/900", 0, Dimension{Length: 1, Time: -1}},
	"s": {"1", 0, Dimension{Time: 1}}, "min": {"60", 0, Dimension{Time: 1}}, "h": {"3600", 0, Dimension{Time: 1}},
	"kg": {"1", 0, Dimension{Mass: 1}}, "g": {"1/1000", 0, Dimension{Mass: 1}}, "t": {"1000", 0, Dimension{Mass: 1}},
	"[lb_av]": {"45359237/100000000", 0, Dimension{Mass: 1}}, "[oz_av]": {"45359237/1600000000", 0, Dimension{Mass: 1}},
	"[lton_av]": {"10160469088/10000000", 0, Dimension{Mass: 1}}, "[ston_av]": {"90718474/100000", 0, Dimension{Mass: 1}},
	"N": {"1", 0, Dimension{Length: 1, Mass: 1, Time: -2}}, "kN": {"1000", 0, Dimension{Length: 1, Mass: 1, Time: -2}},
	"[lbf_av]": {"44482216152605/10000000000000", 0, Dimension{Length: 1, Mass: 1, Time: -2}}, "kgf": {"980665/100000", 0, Dimension{Length: 1, Mass: 1, Time: -2}},
	"[g]": {"980665/100000", 0, Dimension{Length: 1, Time: -2}},
	"Pa":  {"1", 0, Dimension{Length: -1, Mass: 1, Time: -2}}, "hPa": {"100", 0, Dimension{Length: -1, Mass: 1, Time: -2}}, "kPa": {"1000", 0, Dimension{Length: -1, Mass: 1, Time: -2}},
	"mbar": {"100", 0, Dimension{Length: -1, Mass: 1, Time: -2}}, "atm": {"101325", 0, Dimension{Length: -1, Mass: 1, Time: -2}},
	"W": {"1", 0, Dimension{Length: 2, Mass: 1, Time: -3}}, "kW": {"1000", 0, Dimension{Length: 2, Mass: 1, Time: -3}},
	"[HP]": {"37284993579113511/50000000000000", 0, Dimension{Length: 2, Mass: 1, Time: -3}},
	"K":    {"1", 0, Dimension{Temperature: 1}}, "[degR]": {"5/9", 0, Dimension{Temperature: 1}},
	"rad": {"1", 0, Dimension{Angle: 1}}, "deg": {"1/180", 1, Dimension{Angle: 1}}, "'": {"1/10800", 1, Dimension{Angle: 1}}, "''": {"1/648000", 1, Dimension{Angle: 1}},
	"K{difference}": {"1", 0, Dimension{Difference: 1}}, "[degR]{difference}": {"5/9", 0, Dimension{Difference: 1}}, // annotated
	"cm3": {"1/1000000", 0, Dimension{Length: 3}}, "L": {"1/1000", 0, Dimension{Length: 3}}, "[gal_us]": {"473176473/125000000000", 0, Dimension{Length: 3}}, "[gal_br]": {"454609/100000000", 0, Dimension{Length: 3}},
	"[lcwt_av]": {"5080234544/100000000", 0, Dimension{Mass: 1}}, "[scwt_av]": {"45359237/1000000", 0, Dimension{Mass: 1}},
	"bar": {"100000", 0, Dimension{Length: -1, Mass: 1, Time: -2}}, "[in_i'H2O]": {"24908891/100000", 0, Dimension{Length: -1, Mass: 1, Time: -2}}, "mm[H2O]": {"980665/100000", 0, Dimension{Length: -1, Mass: 1, Time: -2}},
	"J":    {"1", 0, Dimension{Length: 2, Mass: 1, Time: -2}},
	"circ": {"2", 1, Dimension{Angle: 1}},
}

// evaluate reads a UCUM code of atoms, "." and "/", integer powers, and one pair of
// parentheses at the end.
func evaluate(t *testing.T, code string) (value *big.Rat, pi int, dim Dimension) {
	t.Helper()
	value = big.NewRat(1, 1)
	sign := 1
	if head, inner, ok := strings.Cut(code, "/("); ok {
		v, p, d := evaluate(t, head)
		w, q, e := evaluate(t, strings.TrimSuffix(inner, ")"))
		return v.Quo(v, w), p - q, Dimension{d.Length - e.Length, d.Mass - e.Mass, d.Time - e.Time, d.Temperature - e.Temperature, d.Angle - e.Angle, d.Difference - e.Difference}
	}
	for code != "" {
		switch code[0] {
		case '/':
			sign = -1
			code = code[1:]
		case '.':
			sign = 1
			code = code[1:]
		}
		end := strings.IndexAny(code, "./")
		if end < 0 {
			end = len(code)
		}
		name, power := code[:end], 1
		atom, ok := ucumAtoms[name]
		if !ok {
			last := len(name) - 1
			power = int(name[last] - '0')
			if atom, ok = ucumAtoms[name[:last]]; !ok {
				t.Fatalf("UCUM atom %q is not known", name)
			}
		}
		code = code[end:]
		for range power {
			if sign > 0 {
				value.Mul(value, rat(t, atom.value))
			} else {
				value.Quo(value, rat(t, atom.value))
			}
		}
		n := int8(sign * power)
		pi += int(n) * atom.pi
		dim.Length += n * atom.dim.Length
		dim.Mass += n * atom.dim.Mass
		dim.Time += n * atom.dim.Time
		dim.Temperature += n * atom.dim.Temperature
		dim.Angle += n * atom.dim.Angle
		dim.Difference += n * atom.dim.Difference
	}
	return value, pi, dim
}

// TestCodesMeanTheirFactors: every code, evaluated from the definitions of its
// UCUM atoms, gives the factor and the dimension of its row.
func TestCodesMeanTheirFactors(t *testing.T) {
	own := map[string]bool{"Cel": true, "[degF]": true, "[in_i'Hg]": true, "mm[Hg]": true} // scales, and our own mercury
	seen := map[string]bool{}
	for _, u := range All() {
		if seen[u.UCUM] {
			t.Errorf("%s: the code stands twice", u.UCUM)
		}
		seen[u.UCUM] = true
		if u.Factor == nil || u.Factor.Sign() <= 0 {
			t.Fatalf("%s: malformed factor", u.UCUM)
		}
		if own[u.UCUM] {
			continue
		}
		value, pi, dim := evaluate(t, u.UCUM)
		if u.Factor.Cmp(value) != 0 || u.Pi != pi || u.Dim != dim {
			t.Errorf("%s: %s pi^%d (%s), the code means %s pi^%d (%s)", u.UCUM, u.Factor, u.Pi, u.Dim, value, pi, dim)
		}
	}
}

// TestMercury: 1 in. Hg is 25.4 mm Hg; the digits are those of STANDARDS.md.
func TestMercury(t *testing.T) {
	inch := lookup(t, "[in_i'Hg]")
	if inch.Factor.Cmp(rat(t, "3386.388640341")) != 0 {
		t.Errorf("in. Hg is %s Pa", inch.Factor.FloatString(12))
	}
	e, err := Convert(big.NewRat(1, 1), inch, lookup(t, "mm[Hg]"))
	if err != nil || e.Rat.Cmp(rat(t, "25.4")) != 0 {
		t.Errorf("1 in. Hg = %v mm Hg, %v", e.Rat, err)
	}
}

// TestTemperatures: fixed points of the scales (SI Brochure: 0 degC = 273.15 K; 32
// degF = 0 degC and 212 degF = 100 degC by definition of the scale; -40 on both).
func TestTemperatures(t *testing.T) {
	tests := []struct{ from, value, to, want string }{
		{"Cel", "0", "K", "273.15"},
		{"Cel", "0", "[degF]", "32"},
		{"Cel", "100", "[degF]", "212"},
		{"[degF]", "-40", "Cel", "-40"},
		{"[degF]", "59", "Cel", "15"},
		{"[degF]", "59", "[degR]", "518.67"},
		{"[degF]", "-459.67", "K", "0"},
		{"[degR]", "0", "Cel", "-273.15"},
		{"K", "288.15", "[degF]", "59"},
		{"[degR]", "9", "K", "5"},
		{"[degR]{difference}", "9", "K{difference}", "5"},
	}
	for _, tt := range tests {
		e, err := Convert(rat(t, tt.value), lookup(t, tt.from), lookup(t, tt.to))
		if err != nil || e.Pi != 0 || e.Rat.Cmp(rat(t, tt.want)) != 0 {
			t.Errorf("%s %s = %v %s (%v), want %s", tt.value, tt.from, e.Rat, tt.to, err, tt.want)
		}
	}
}

// TestZero: 0 in every unit is 0 in its coherent unit, apart from the two scales
// with an offset, whose zero is written out.
func TestZero(t *testing.T) {
	offset := map[string]string{"Cel": "273.15", "[degF]": "45967/180"}
	for _, u := range All() {
		want := new(big.Rat)
		if s, ok := offset[u.UCUM]; ok {
			want = rat(t, s)
		}
		e, err := Convert(new(big.Rat), u, si(t, u.Dim))
		if err != nil {
			t.Fatal(err)
		}
		if e.Rat.Cmp(want) != 0 || e.Pi != 0 {
			t.Errorf("0 %s = %s pi^%d, want %s", u.UCUM, e.Rat, e.Pi, want)
		}
	}
}

func TestConvertRefuses(t *testing.T) {
	_, err := Convert(big.NewRat(1, 1), lookup(t, "[lb_av]"), lookup(t, "[lbf_av]"))
	const want = "cannot convert pound (mass) (mass) to pound-force (force)"
	if err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
	if _, err := Convert(nil, lookup(t, "m"), lookup(t, "m")); err == nil {
		t.Error("no error for an absent value")
	}
	if _, err := Convert(big.NewRat(1, 1), Unit{}, lookup(t, "1")); err == nil {
		t.Error("no error for a unit without a factor")
	}
}

// TestTableIsSafe: a caller who changes a unit changes its own copy.
func TestTableIsSafe(t *testing.T) {
	u := lookup(t, "[degF]")
	u.Factor.SetInt64(7)
	u.Offset.SetInt64(7)
	if again := lookup(t, "[degF]"); again.Factor.Cmp(big.NewRat(5, 9)) != 0 || again.Offset.Cmp(rat(t, "459.67")) != 0 {
		t.Error("the table changed under a caller's hands")
	}
}

// TestRoundTrips: there and back is exact, for any value and any two units of one
// dimension.
func TestRoundTrips(t *testing.T) {
	all := All()
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.SampledFrom(all).Draw(t, "from")
		var same []Unit
		for _, u := range all {
			if u.Dim == from.Dim {
				same = append(same, u)
			}
		}
		to := rapid.SampledFrom(same).Draw(t, "to")
		v := big.NewRat(rapid.Int64().Draw(t, "numerator"), rapid.Int64Range(1, math.MaxInt64).Draw(t, "denominator"))
		there, err := Convert(v, from, to)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Convert(there.Rat, to, from)
		if err != nil {
			t.Fatal(err)
		}
		if back.Rat.Cmp(v) != 0 || (v.Sign() != 0 && there.Pi+back.Pi != 0) {
			t.Fatalf("%s %s -> %s pi^%d %s -> %s pi^%d", v, from.UCUM, there.Rat, there.Pi, to.UCUM, back.Rat, back.Pi)
		}
	})
}

// TestEveryPairThereAndBack: for each two units of one dimension some values come
// back as the exact rational, with no power of pi left over; a width is
// the distance between two points.
func TestEveryPairThereAndBack(t *testing.T) {
	all := All()
	r := rand.New(rand.NewPCG(4, 1))
	pairs := 0
	for _, from := range all {
		for _, to := range all {
			if from.Dim != to.Dim {
				continue
			}
			pairs++
			for range 20 {
				v := big.NewRat(r.Int64()-r.Int64(), 1+r.Int64N(1e12))
				there, err := Convert(v, from, to)
				if err != nil {
					t.Fatal(err)
				}
				back, err := Convert(there.Rat, to, from)
				if err != nil {
					t.Fatal(err)
				}
				if back.Rat.Cmp(v) != 0 || there.Pi+back.Pi != 0 {
					t.Fatalf("%s %s -> %s pi^%d %s -> %s pi^%d", v, from.UCUM, there.Rat, there.Pi, to.UCUM, back.Rat, back.Pi)
				}
				w, err := Width(v, from, to)
				if err != nil {
					t.Fatal(err)
				}
				// Two points of the scale that are v apart are w apart.
				zero, err := Convert(new(big.Rat), from, to)
				if err != nil {
					t.Fatal(err)
				}
				if apart := new(big.Rat).Sub(there.Rat, zero.Rat); apart.Cmp(w.Rat) != 0 {
					t.Fatalf("%s and 0 %s are %s %s apart, and the width is %s", v, from.UCUM, apart, to.UCUM, w.Rat)
				}
			}
		}
	}
	if pairs < 500 {
		t.Errorf("only %d pairs", pairs)
	}
}

// TestPi: pi by Machin's formula, pi/4 = 4 atan(1/5) - atan(1/239), to 100 digits.
func TestPi(t *testing.T) {
	atan := func(x int64) *big.Rat {
		sum, power := new(big.Rat), big.NewRat(1, x)
		for k := int64(0); k < 90; k++ {
			term := new(big.Rat).Mul(power, big.NewRat(1, 2*k+1))
			if k%2 == 0 {
				sum.Add(sum, term)
			} else {
				sum.Sub(sum, term)
			}
			power.Mul(power, big.NewRat(1, x*x))
		}
		return sum
	}
	pi := new(big.Rat).Sub(new(big.Rat).Mul(big.NewRat(16, 1), atan(5)), new(big.Rat).Mul(big.NewRat(4, 1), atan(239)))
	miss := new(big.Rat).Sub(Exact{big.NewRat(1, 1), 1}.Approx(), pi)
	if miss.Abs(miss).Cmp(rat(t, "1e-100")) > 0 {
		t.Errorf("pi is off by %s", miss.FloatString(110))
	}
	if got := (Exact{big.NewRat(1, 1), -1}).Float64(); got != 1/math.Pi {
		t.Errorf("1/pi = %v", got)
	}
}

func TestParse(t *testing.T) {
	tests := []struct{ code, spellings string }{
		{"[mi_i]/h", "m.p.h.|mph|M.P.H.|miles per hour|mi/h|miles an hour|mi./hr.|statute miles per hour|[mi_i]/h|mile/h"},
		{"[kn_i]", "kts|knots|Knots|kt|kts.|knot|nautical miles per hour|[kn_i]"},
		{"km/h", "km/h|km./hr.|k.p.h.|km.p.h.|kilometers per hour|kilometres per hour|km per hr"},
		{"m/s", "m/s|m/sec.|m. per sec.|m.p.s.|meters per second"},
		{"[ft_i]/s", "ft/s|ft./sec.|f.p.s.|fps|feet per second|ft per sec"},
		{"[ft_i]/min", "ft/min|ft./min.|ft per min|feet per minute|f.p.m."},
		{"[ft_i]", "ft|ft.|feet|foot|Ft.|FT."},
		{"[in_i]", "in|in.|inches|ins.|IN."},
		{"[yd_i]", "yd|yards"}, {"mm", "mm|mm.|MM."}, {"cm", "cm|cm."}, {"km", "km"}, {"m", "m|m.|metres|meters"},
		{"[mi_i]", "mi|miles|statute miles"}, {"[nmi_i]", "nautical miles|n. mile|nmi"},
		{"[ft_i]2", "sq. ft.|sq ft|sq.ft.|ft.^2|ft^2|ft2|ft²|ft.²|square feet|Sq. Ft.|ft**2"},
		{"[in_i]2", "sq. in.|in.^2|square inches"}, {"m2", "sq. m.|m2|m²|m^2|square metres"},
		{"[ft_i]3", "cu. ft.|ft^3|cubic feet"},
		{"[lbf_av]/[ft_i]2", "lb./sq. ft.|lb per sq ft|lb. per sq. ft.|lb/ft2|lbs./sq.ft.|pounds per square foot|psf|p.s.f.|lbf/ft^2|pound-force per square foot"},
		{"[lbf_av]/[in_i]2", "lb./sq. in.|psi|p.s.i.|pounds per square inch"},
		{"kgf/m2", "kg/m2|kg/m²|kg/sq. m.|kg per sq m|kgf/m2|kg./m.^2"},
		{"[in_i'Hg]", "in. Hg|in Hg|in. of mercury|inches of mercury|inHg|In. Hg."},
		{"mm[Hg]", "mm Hg|mm. Hg|mm of mercury"}, {"mbar", "mb|mb.|millibars"}, {"atm", "atm|atm."}, {"Pa", "Pa"}, {"kPa", "kPa"},
		{"[HP]", "hp|h.p.|H.P.|HP|b.h.p.|B.HP.|bhp|brake horsepower|horsepower|i.h.p.|s.h.p."},
		{"75.kgf.m/s", "PS|P.S.|CV|C.V.|ch|metric hp|metric horsepower|horsepower (metric)"},
		{"kW", "kW|KW|kilowatts"}, {"W", "W|watts"},
		{"[lbf_av]/[HP]", "lb/hp|lb./h.p.|lb. per hp.|lb./b.h.p.|pounds per horsepower"},
		{"kgf/(75.kgf.m/s)", "kg/PS|kg/CV|kg. per PS|kg per metric hp"},
		{"kgf/[HP]", "kg per hp (550 ft lbf/s)|kgf/hp (550 ft lbf/s)|kilogram-force per horsepower (550 ft lbf/s)"},
		{"deg", "deg|deg.|degrees|°|Degrees|DEG."}, {"rad", "rad|radians"},
		{"'", "minutes of arc|arcmin"}, {"''", "seconds of arc|''"},
		{"/deg", "per deg|per deg.|per degree|/deg|1/deg|/°|per °|deg^-1|1/degree"},
		{"/rad", "per radian|per rad|/rad|1/rad|rad⁻¹"},
		{"deg/s", "deg/s|deg./sec.|degrees per second|°/s"}, {"rad/s", "rad/s|radians per second"},
		{"circ/min", "rpm|r.p.m.|R.P.M.|rev/min|revs. per min.|revolutions per minute"},
		{"[lbf_av].s2/[ft_i]4", "slug/cu ft|slugs/cu. ft.|slugs per cubic foot|lb-ft^-4-sec^2|lb.-ft.^-4-sec.^2"},
		{"kgf.s2/m4", "kg-m^-4-s^2|kg-m⁻⁴-s²"},
		{"kg/m3", "kg/m3|kg/cu. m.|kg/m³"}, {"[lb_av]/[ft_i]3", "lb./cu. ft.|lb per cu ft"},
		{"[lbf_av].s2/[ft_i]", "slug|slugs"}, {"kgf.s2/m", "kgf s²/m|kg-s^2/m|kg-m^-1-s^2|kg-m⁻¹-s²"},
		{"N", "N|newtons"}, {"kN", "kN"}, {"[lbf_av]", "lbf|lb. force|pounds force|pound-force"}, {"[lb_av]", "lb mass|pound (mass)|lbm"}, {"kgf", "kgf|kp|kilogram-force"},
		{"Cel", "C|°C|° C.|deg C|deg. C.|degrees centigrade|Celsius|Cel"}, {"[degF]", "F|°F|° F.|deg. F|degrees Fahrenheit"}, {"K", "K|°K|deg K|kelvin"}, {"[degR]", "°R|deg R|Rankine"}, {"[degR]{difference}", "deg F difference|°F difference|deg. F. difference|degree Fahrenheit difference"}, {"K{difference}", "deg C difference|°C difference|kelvin difference|K{difference}"},
		{"1", "1|none|dimensionless|-|–"}, {"%", "%|percent|per cent"},
		{"10*6", "10*6|millions|million"}, {"10*3", "10*3|thousands"}, {"10*-3", "10*-3|thousandths"}, {"10*-4", "10*-4"}, {"10*-5", "10*-5"}, {"10*-6", "10*-6|millionths"},
		{"10*4", "10*4"}, {"10*5", "10*5"},
		{"[ft_i].[lbf_av]", "ft-lb|ft.-lb.|lb-ft|foot-pounds|lb. ft."}, {"[in_i].[lbf_av]", "in-lb|in.-lb.|inch-pounds"}, {"kgf.m", "kg-m|m-kg|kg. m."},
		{"[ft_i]/s2", "ft/sec^2|ft./sec./sec.|ft/s²"}, {"m/s2", "m/s2"}, {"m/min", "m/min|m. per min."}, {"[lbf_av].s/[ft_i]2", "slugs/ft-sec|lb.-sec./sq. ft."},
		{"[gal_us]", "U.S. gal.|U. S. gallons|US gallons|U.S. gallon|[gal_us]"}, {"[gal_br]", "Imp. gal.|imperial gallons|imp. gals.|British gallons"}, {"L", "litres|liters|l.|L"}, {"cm3", "cc|c.c.|cu. cm.|cm³"},
		{"[lbf_av]/[in_i]", "lb/in|lb./in.|lb. per in.|pounds per inch"}, {"[lbf_av]/[ft_i]", "lb./ft.|lb per ft|pounds per foot"}, {"kgf/m", "kg/m|kg. per m."}, {"N/m", "N/m"},
		{"[lb_av]/([HP].h)", "lb./hp./hr.|lb/hp-hr|lb. per b.h.p. per hour|lb/b.hp./hr|lb. per hp.-hr."}, {"g/(75.kgf.m/s.h)", "g/PS/h|g/CV/hr.|grams per CV per hour"}, {"kg/(75.kgf.m/s.h)", "kg/PS/hr|kg/CV/h"},
		{"[lbf_av].s2.[ft_i]", "slug-ft.²|slug-ft^2|slug ft2"}, {"[lb_av].[ft_i]2", "lb.-ft.^2|lb-ft²"}, {"kgf.m.s2", "kg-m-s²|kg-m-s^2"}, {"kg.m2", "kg-m²|kg-m^2"},
		{"[in_i'H2O]", "in. of water|inches of water|in. H2O"}, {"mm[H2O]", "mm of water|mm H2O|mm. water"}, {"bar", "bar"},
		{"deg/s2", "deg/s^2|deg./sec.²"}, {"rad/s2", "rad/s2|rad./sec.²"},
		{"75.kgf.m/s", "л. с.|л.с."}, {"km/h", "км/ч|км/час|km/Std."}, {"m/s", "м/сек"}, {"kgf/m2", "кг/м²|kg/qm|kg/mq"}, {"m2", "м²|qm|mq"}, {"circ/min", "U/min|Umdr./min.|tr/min|об/мин"}, {"deg", "град."},
		{"min", "minutes of time"}, {"h", "hr|hours|h"}, {"s", "s|sec.|seconds"},
	}
	for _, tt := range tests {
		for _, spelling := range strings.Split(tt.spellings, "|") {
			u, err := Parse(spelling)
			if err != nil || u.UCUM != tt.code {
				t.Errorf("Parse(%q) = %q, %v; want %q", spelling, u.UCUM, err, tt.code)
			}
		}
	}
}

func TestParseRefuses(t *testing.T) {
	tests := []struct{ printed, want string }{
		{"", `no unit is given; write "1" for a number without one`},
		{"10^4", `unit "10^4": does the head multiply the figure or the quantity? a head C_D x 10^4 over 123 means 0.0123, write 10*-4; figures in ten thousands are 10*4`},
		{"x 10^-6", `unit "x 10^-6": does the head multiply the figure or the quantity? a head C_D x 10^4 over 123 means 0.0123, write 10*-4; figures in ten thousands are 10*4`},
		{"lb", `unit "lb" is ambiguous: write "pound-force" or "pound (mass)"`},
		{"kg.", `unit "kg." is ambiguous: write "kilogram-force" or "kilogram (mass)"`},
		{"tons", `unit "tons" is ambiguous: long (2240 lb), short (2000 lb) or metric? write "long ton", "short ton" or "metric ton"`},
		{"kg/hp", `unit "kg/hp" is ambiguous: the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? write "kg per metric hp" or "kg per hp (550 ft lbf/s)"`},
		{"kgf per h.p.", `unit "kgf per h.p." is ambiguous: the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? write "kg per metric hp" or "kg per hp (550 ft lbf/s)"`},
		{"Long tons", `unit "Long tons" is ambiguous: write "long ton-force" or "long ton (mass)"`},
		{"gal.", `unit "gal." is ambiguous: U.S. (231 cu. in.) or imperial (277.42 cu. in.)? write "U.S. gallon" or "imperial gallon"`},
		{"cwt.", `unit "cwt." is ambiguous: long (112 lb) or short (100 lb)? write "long hundredweight" or "short hundredweight"`},
		{"Fahrenheit degrees", `unit "Fahrenheit degrees" is ambiguous: a temperature on the scale or a difference? write "deg F" or "deg F difference", "deg C" or "deg C difference"`},
		{"long cwt.", `unit "long cwt." is ambiguous: write "long hundredweight-force" or "long hundredweight (mass)"`},
		{"kg/hp/hr", `unit "kg/hp/hr" is ambiguous: the metric horsepower (75 kgf m/s) or that of 550 ft lbf/s? a consumption per metric hp is written "kg/PS/hr" or "g/PS/hr"; enter one per hp of 550 ft lbf/s in "lb/hp/hr"`},
		{"knots per hour", `unit "knots per hour" is ambiguous: a knot is a nautical mile per hour already; write "knots" if a speed is meant`},
		{"min.", `unit "min." is ambiguous: write "minute of time" or "minute of arc"`},
		{"g", `unit "g" is ambiguous: write "one" or "standard gravity" or "gram"`},
		{"'", `unit "'" is ambiguous: write "foot" or "minute of arc"`},
		{"n", `unit "n" is ambiguous: capital and small letters of this symbol mean different things; write the unit in full`},
		{"KN", `unit "KN" is ambiguous: capital and small letters of this symbol mean different things; write the unit in full`},
		{"m.p.n.", `unit "m.p.n." is not known; did the source mean "min", "mph", "mps"?`},
		{"lb/sq fr", `unit "lb/sq fr" is not known; write its UCUM code or its name in full`},
		{"furlong per fortnight", `unit "furlong per fortnight" is not known; write its UCUM code or its name in full`},
	}
	for _, tt := range tests {
		u, err := Parse(tt.printed)
		if err == nil || err.Error() != tt.want {
			t.Errorf("Parse(%q) = %q, error\n\t%v\nwant\n\t%s", tt.printed, u.UCUM, err, tt.want)
		}
	}
}

func TestParseFor(t *testing.T) {
	tests := []struct {
		printed string
		dim     Dimension
		want    string
	}{
		{"lb.", Force, "[lbf_av]"}, {"lb", Mass, "[lb_av]"}, {"kg", Force, "kgf"}, {"kg", Mass, "kg"},
		{"long tons", Force, "[lton_av].[g]"}, {"t", Mass, "t"}, {"metric tons", Force, "t.[g]"},
		{"min.", Angle, "'"}, {"min", Time, "min"}, {"'", Length, "[ft_i]"}, {"'", Angle, "'"}, {`"`, Length, "[in_i]"},
		{"g", Dimensionless, "1"}, {"g", Acceleration, "[g]"}, {"lb/sq ft", Pressure, "[lbf_av]/[ft_i]2"}, {"oz", Force, "[oz_av].[g]"},
	}
	for _, tt := range tests {
		u, err := ParseFor(tt.printed, tt.dim)
		if err != nil || u.UCUM != tt.want {
			t.Errorf("ParseFor(%q, %s) = %q, %v; want %q", tt.printed, tt.dim, u.UCUM, err, tt.want)
		}
	}
	_, err := ParseFor("mph", Length)
	const want = `unit "mph" is statute mile per hour (speed), but a unit of length is wanted, such as metre, millimetre, centimetre`
	if err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
	if u, err := ParseFor("tons", Force); err == nil {
		t.Errorf("tons are read as %s", u.Name)
	}
}

// TestNamesAndCodesParse: what an error tells people to write is understood, and a
// UCUM code is read back as itself where the quantity is known.
func TestNamesAndCodesParse(t *testing.T) {
	for _, u := range All() {
		if got, err := ParseFor(u.UCUM, u.Dim); err != nil || got.UCUM != u.UCUM {
			t.Errorf("ParseFor(%q, %s) = %q, %v", u.UCUM, u.Dim, got.UCUM, err)
		}
		if got, err := ParseFor(u.Name, u.Dim); err != nil || got.UCUM != u.UCUM {
			t.Errorf("ParseFor(%q, %s) = %q, %v; want %q", u.Name, u.Dim, got.UCUM, err, u.UCUM)
		}
	}
	for _, codes := range compounds {
		if len(codes) == 1 {
			continue
		}
		for _, code := range codes {
			u := lookup(t, code)
			if got, err := Parse(u.Name); err != nil || got.UCUM != code {
				t.Errorf("Parse(%q) = %q, %v; want %q", u.Name, got.UCUM, err, code)
			}
		}
	}
	for spelling := range refused {
		if _, ok := compounds[spelling]; ok {
			t.Errorf("%q is refused and understood", spelling)
		}
	}
}

func ExampleParseFor() {
	u, err := ParseFor("lb.", Force)
	fmt.Println(u, u.UCUM, err)
	_, err = Parse("lb.")
	fmt.Println(err)
	// Output:
	// pound-force [lbf_av] <nil>
	// unit "lb." is ambiguous: write "pound-force" or "pound (mass)"
}

func FuzzParse(f *testing.F) {
	seeds := []string{"m.p.h.", "lb./sq. ft.", "°", "per deg", "(", "/", "//", "-", "lb per", "ft.^2", "\xff", "1/°"}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		u, err := Parse(s)
		if err == nil {
			if again, ok := Lookup(u.UCUM); !ok || again.Factor.Cmp(u.Factor) != 0 {
				t.Errorf("Parse(%q) gives %q, which is not in the table", s, u.UCUM)
			}
		}
	})
}
