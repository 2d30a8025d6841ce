package air

import (
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const (
	foot        = 0.3048
	knot        = 1852.0 / 3600
	psf         = 4.4482216152605 / 0.3048 / 0.3048
	psi         = 4.4482216152605 / 0.0254 / 0.0254
	slugPerFoot = 515.378818393196 // slug/ft3 in kg/m3
)

func at(t testing.TB, s Standard, geopotential float64) State {
	t.Helper()
	state, err := s.At(geopotential)
	if err != nil {
		t.Fatal(err)
	}
	return state
}

// near reports whether got, shown with the digits of the printed text, is that text
// or lies within half a unit of its last digit.
func near(got float64, printed string, slack float64) bool {
	want, err := strconv.ParseFloat(printed, 64)
	if err != nil {
		return false
	}
	mantissa, exponent, _ := strings.Cut(strings.ToUpper(printed), "E")
	_, fraction, _ := strings.Cut(mantissa, ".")
	power, _ := strconv.Atoi(exponent)
	half := 0.5 * math.Pow10(power-len(fraction))
	return math.Abs(got-want) <= half*(1+1e-9)+slack*math.Abs(want)
}

// TestPDASTables compares with tables computed by Public Domain Aeronautical
// Software, within their printed rounding. They take 6369 km for the radius of the
// earth where the standard has 6356.766 km (found from the tables themselves), which
// moves a geometric altitude by Z^2/r * 1.9e-3; the slack is that shift over the
// least scale height, 5.6 km, and 1e-6 for the gas constant of 1976.
func TestPDASTables(t *testing.T) {
	tables := []struct {
		file                     string
		columns, rows            int
		alt, temp, press, dens   float64
		speed, viscosity, kinema float64
	}{
		{"PDAS_atmosTable1SI.rst", 10, 45, 1000, 1, 1, 1, 1, 1e-6, 1},
		{"PDAS_atmosTable1US.rst", 10, 58, 1000 * foot, 5.0 / 9, psf, slugPerFoot, foot, 1e-6 * psf, foot * foot},
		{"PDAS_atmosTable2SI.rst", 11, 42, 1000, 1, 1, 1, 1, 1e-6, 1},
		{"PDAS_atmosTable2US.rst", 11, 67, 1000 * foot, 5.0 / 9, psf, slugPerFoot, foot, 1e-6 * psf, foot * foot},
	}
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skip("not run: 212 rows of 4 atmosphere tables, WINDTALLY_MATERIAL is not set")
	}
	for _, table := range tables {
		data, err := os.ReadFile(filepath.Join(dir, "reference", "atmosphere", table.file))
		if err != nil {
			t.Fatal(err)
		}
		_, body, found := strings.Cut(string(data), "\nalt sigma delta")
		body, _, end := strings.Cut(body, "Last updated")
		if !found || !end {
			t.Fatalf("%s: no table", table.file)
		}
		var cells []string
		for _, field := range strings.Fields(body) {
			if _, err := strconv.ParseFloat(field, 64); err == nil {
				cells = append(cells, field)
			}
		}
		if len(cells) != table.columns*table.rows {
			t.Fatalf("%s: %d cells, want %d rows of %d", table.file, len(cells), table.rows, table.columns)
		}
		for ; len(cells) > 0; cells = cells[table.columns:] {
			alt, _ := strconv.ParseFloat(cells[0], 64)
			z := alt * table.alt
			h := Geopotential(z)
			if h > 79000 {
				if _, err := Modern.At(h); err == nil {
					t.Errorf("no error at %g m", h)
				}
				continue
			}
			s := at(t, Modern, h)
			slack := z*z/6.36e6*1.93e-3/5600 + 1e-6
			for i, got := range []float64{
				s.Sigma, s.Delta, s.Theta, s.Temperature / table.temp, s.Pressure / table.press, s.Density / table.dens,
				s.SoundSpeed / table.speed, s.Viscosity / table.viscosity, s.Viscosity / s.Density / table.kinema,
			} {
				if truncated := table.file == "PDAS_atmosTable2SI.rst" && i == 4; truncated {
					got -= 0.5 // whole pascals are cut there, not rounded: 26499.9 is printed 26499
				}
				if !near(got, cells[i+1], slack) {
					t.Errorf("%s: altitude %s column %d: %.7g, printed %s", table.file, cells[0], i+1, got, cells[i+1])
				}
			}
			if table.columns == 11 {
				unit := 1.0
				if table.alt != 1000 {
					unit = foot
				}
				ratio := s.SoundSpeed / (s.Viscosity / s.Density) * unit * 1e-6
				if !near(ratio, cells[10], slack) {
					t.Errorf("%s: altitude %s: ratio %.5g, printed %s", table.file, cells[0], ratio, cells[10])
				}
			}
		}
	}
}

// TestDAVEML runs the check cases of the NASA DAVE-ML model atmos_76 (geometric
// feet in; degrees Fahrenheit, lbf/ft2 and density ratio out) with their tolerances.
func TestDAVEML(t *testing.T) {
	const cases, inRange = 42, 41
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skipf("not run: %d check cases of atmos_76, WINDTALLY_MATERIAL is not set", cases)
	}
	data, err := os.ReadFile(filepath.Join(dir, "reference", "atmosphere", "DAVE-ML_atmos_76.dml"))
	if err != nil {
		t.Fatal(err)
	}
	type signal struct {
		Name  string  `xml:"signalName"`
		Value float64 `xml:"signalValue"`
		Tol   float64 `xml:"tol"`
	}
	var model struct {
		Shots []struct {
			Name    string   `xml:"name,attr"`
			Inputs  []signal `xml:"checkInputs>signal"`
			Outputs []signal `xml:"checkOutputs>signal"`
		} `xml:"checkData>staticShot"`
	}
	if err := xml.Unmarshal(data, &model); err != nil {
		t.Fatal(err)
	}
	if len(model.Shots) != cases {
		t.Fatalf("%d check cases, want %d", len(model.Shots), cases)
	}
	run := 0
	for _, shot := range model.Shots {
		h := Geopotential(shot.Inputs[0].Value * foot)
		if h > 79000 {
			continue
		}
		run++
		s := at(t, Modern, h)
		compared := 0
		for _, out := range shot.Outputs {
			var got float64
			switch out.Name {
			case "AmbientTemperature":
				got = s.Temperature*9/5 - 459.67
			case "AmbientPressure":
				got = s.Pressure / psf
			case "RatioOfDensityToSeaLevel":
				got = s.Sigma
			case "SpeedOfSound":
				got = s.SoundSpeed / foot
			default:
				t.Fatalf("%s: output %q is not known", shot.Name, out.Name)
			}
			compared++
			if out.Tol <= 0 || !(math.Abs(got-out.Value) <= out.Tol) {
				t.Errorf("%s: %s is %g, check value %g +- %g", shot.Name, out.Name, got, out.Value, out.Tol)
			}
		}
		if compared < 3 {
			t.Errorf("%s: %d outputs compared", shot.Name, compared)
		}
	}
	if run != inRange {
		t.Errorf("%d check cases in range, want %d", run, inRange)
	}
}

// TestGeopotentialTable: DERIVED from the definition of 1976 by another program, at
// geopotential feet.
func TestGeopotentialTable(t *testing.T) {
	rows := [][]string{
		{"0", "288.150", "518.67", "101325.0", "2116.22", "1.225000", "0.0023769", "1.00000", "1.00000", "340.294", "1116.45", "661.48"},
		{"5000", "278.244", "500.84", "84307.3", "1760.79", "1.055546", "0.0020481", "0.86167", "0.83205", "334.394", "1097.09", "650.01"},
		{"10000", "268.338", "483.01", "69681.6", "1455.33", "0.904637", "0.0017553", "0.73848", "0.68770", "328.387", "1077.39", "638.33"},
		{"20000", "248.526", "447.35", "46563.2", "972.49", "0.652694", "0.0012664", "0.53281", "0.45954", "316.032", "1036.85", "614.32"},
		{"30000", "228.714", "411.69", "30089.6", "628.43", "0.458312", "0.0008893", "0.37413", "0.29696", "303.174", "994.66", "589.32"},
	}
	for _, row := range rows {
		h, _ := strconv.ParseFloat(row[0], 64)
		s := at(t, Modern, h*foot)
		for i, got := range []float64{
			s.Temperature, s.Temperature * 9 / 5, s.Pressure, s.Pressure / psf, s.Density, s.Density / slugPerFoot,
			s.Sigma, s.Delta, s.SoundSpeed, s.SoundSpeed / foot, s.SoundSpeed / knot,
		} {
			if !near(got, row[i+1], 0) {
				t.Errorf("%s ft column %d: %.8g, want %s", row[0], i+1, got, row[i+1])
			}
		}
	}
}

// TestPublishedAnchors: single values as their sources print them.
func TestPublishedAnchors(t *testing.T) {
	// 11 km and 20 km geopotential, NASA-TM-X-74335 (VERIFIED-2ND).
	if s := at(t, Modern, 11000); !near(s.Temperature, "216.65", 0) || !near(s.Pressure, "22632", 0) {
		t.Errorf("11 km: %.6g K, %.7g Pa", s.Temperature, s.Pressure)
	}
	if s := at(t, Modern, 20000); !near(s.Pressure, "5474.9", 0) {
		t.Errorf("20 km: %.7g Pa, want 5474.9", s.Pressure)
	}
	// Mechanical Engineers' Handbook vol. 4, table 6 (VERIFIED): geometric metres,
	// K, bar, kg/m3, m/s.
	for _, row := range [][]string{
		{"0", "288.15", "1.0133", "1.2250", "340.3"}, {"1000", "281.65", "0.8988", "1.1117", "336.4"}, {"3000", "268.66", "0.7012", "0.9093", "328.6"},
		{"6000", "249.19", "0.4722", "0.6601", "316.5"}, {"9000", "229.73", "0.3080", "0.4671", "303.8"}, // 303.9 is printed; 303.848 was rounded twice
	} {
		z, _ := strconv.ParseFloat(row[0], 64)
		s := at(t, Modern, Geopotential(z))
		for i, got := range []float64{s.Temperature, s.Pressure / 1e5, s.Density, s.SoundSpeed} {
			if !near(got, row[i+1], 0) {
				t.Errorf("%s m column %d: %.6g, printed %s", row[0], i+1, got, row[i+1])
			}
		}
	}
	// Anderson, Introduction to Flight, example 4.16 (VERIFIED): 1524 m, 0.8432e5 Pa,
	// interpolated in a table and so one unit of the last digit high.
	if s := at(t, Modern, Geopotential(1524)); !near(s.Pressure, "0.8432e5", 1e-4) {
		t.Errorf("1524 m: %.6g Pa, printed 0.8432e5", s.Pressure)
	}
}

// TestGeometricTrap: engineersedge.com table 1 (VERIFIED) gives psia
// at geometric feet; read as geopotential the same altitudes miss by up to 0.2 %.
// Its own digits are off by 2, 0, 1 and 2 units of the last place (DERIVED 12.228,
// 10.108, 6.759, 4.373).
func TestGeometricTrap(t *testing.T) {
	for _, row := range []struct {
		feet                    float64
		printed                 string
		ulps                    float64
		derived, ifGeopotential string
	}{
		{5000, "12.230", 2, "12.228", ""},
		{10000, "10.108", 0, "10.108", "10.1065"},
		{20000, "6.758", 1, "6.759", "6.7534"},
		{30000, "4.371", 2, "4.373", "4.3641"},
	} {
		right := at(t, Modern, Geopotential(row.feet*foot)).Pressure / psi
		wrong := at(t, Modern, row.feet*foot).Pressure / psi
		if !near(right, row.derived, 0) || !near(right, row.printed, row.ulps*0.001/right) {
			t.Errorf("%g ft geometric: %.5f psi, printed %s, derived %s", row.feet, right, row.printed, row.derived)
		}
		if row.ifGeopotential != "" && !near(wrong, row.ifGeopotential, 0) {
			t.Errorf("%g ft geopotential: %.5f psi, want %s", row.feet, wrong, row.ifGeopotential)
		}
		if row.feet >= 10000 && near(wrong, row.printed, 0) {
			t.Errorf("%g ft: the geopotential value %.5f passes for the geometric print %s", row.feet, wrong, row.printed)
		}
	}
}

// TestPeriod: NACA TR 824, aeronautic symbols (VERIFIED):
// 0.002378 slug/ft3, 0.07651 lb/ft3, 1.2255 kg/m3; Re 935,400 for 1 ft at 100 mph and
// 6,865,000 for 1 m at 100 m/s.
func TestPeriod(t *testing.T) {
	s := at(t, Period, 0)
	if got := s.Density / slugPerFoot; !near(got, "0.002378", 0) {
		t.Errorf("density %.7f slug/ft3, printed 0.002378", got)
	}
	if got := s.Density / (0.45359237 / (foot * foot * foot)); !near(got, "0.07651", 0) {
		t.Errorf("%.6f lb/ft3, printed 0.07651", got)
	}
	// 1.2255 was printed from 0.12497 kgf s2/m4, four units of whose last digit are 0.0004.
	if !near(s.Density, "1.2255", 0.0001) {
		t.Errorf("density %.5f kg/m3, printed 1.2255", s.Density)
	}
	if got := s.Reynolds(44.704, foot); math.Abs(got-935400) > 50 {
		t.Errorf("Re %.0f for 1 ft at 100 mph, printed 935,400", got)
	}
	if got := s.Reynolds(100, 1); math.Abs(got-6865000) > 500 {
		t.Errorf("Re %.0f for 1 m at 100 m/s, printed 6,865,000", got)
	}
	if s.Temperature != 288.15 || s.Pressure != 101325 || s.Sigma != 1 || s.Delta != 1 || s.Theta != 1 {
		t.Errorf("sea level %+v", s)
	}
	// The ratio of densities is that of the modern troposphere up to the gas
	// constant: that (DERIVED) has 0.73848 at 10,000 ft. The period's
	// density is 0.046 % higher, its exponent lower by as much: 0.0001.
	if got := at(t, Period, 3048).Sigma; math.Abs(got-0.73848) > 0.0003 {
		t.Errorf("sigma %.5f at 10,000 ft", got)
	}
	if modern := at(t, Modern, 0); !near(modern.Density, "1.2250", 0) || near(modern.Density/slugPerFoot, "0.002378", 0) {
		t.Errorf("the modern density %.6f passes for the period's", modern.Density)
	}
}

func TestAtRefuses(t *testing.T) {
	tests := []struct {
		s    Standard
		h    float64
		want string
	}{
		{Modern, 79001, "geopotential altitude 79001 m is outside the standard atmosphere: -5000 m to 79000 m is wanted"},
		{Modern, -5001, "geopotential altitude -5001 m is outside the standard atmosphere: -5000 m to 79000 m is wanted"},
		{Modern, math.NaN(), "geopotential altitude NaN m is outside the standard atmosphere: -5000 m to 79000 m is wanted"},
		{Period, 11000, "geopotential altitude 11000 m is outside the NACA standard atmosphere: -5000 m to 10769 m is wanted"},
		{0, 0, "no standard atmosphere is named: Modern or Period is wanted"},
	}
	for _, tt := range tests {
		if s, err := tt.s.At(tt.h); err == nil || err.Error() != tt.want || s != (State{}) {
			t.Errorf("%v.At(%g) = %+v, %v; want %s", tt.s, tt.h, s, err, tt.want)
		}
	}
}

func TestGeopotentialInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-5000, 80000).Draw(t, "z")
		if back := Geometric(Geopotential(z)); math.Abs(back-z) > 1e-12*math.Abs(z)+1e-9 {
			t.Fatalf("%v -> %v", z, back)
		}
	})
	// U.S. Standard Atmosphere 1976, section 1.2.5 (FROM MEMORY): 86 km geometric is
	// 84.852 km geopotential.
	if got := Geopotential(86000); !near(got, "84852", 0) {
		t.Errorf("86 km is %.1f m", got)
	}
}

// TestCompressibility: DERIVED with the exact pitot relation by another program; for
// 250 kt at 20,000 ft that gave TAS 336.0 where its own EAS over sqrt(sigma), 245.22 x
// 1.36998, is 335.9.
func TestCompressibility(t *testing.T) {
	for _, row := range []struct {
		cas, feet float64
		eas, tas  string
	}{
		{100, 10000, "99.87", "116.2"}, {150, 10000, "149.57", "174.1"}, {200, 10000, "199.00", "231.6"}, {200, 20000, "197.47", "270.5"},
		{250, 20000, "245.22", "335.9"}, {300, 20000, "292.05", "400.1"}, {300, 30000, "285.00", "465.9"},
	} {
		s := at(t, Modern, row.feet*foot)
		eas, err := CASToEAS(row.cas*knot, s)
		if err != nil {
			t.Fatal(err)
		}
		tas, err := EASToTAS(eas, s)
		if err != nil {
			t.Fatal(err)
		}
		if !near(eas/knot, row.eas, 0) || !near(tas/knot, row.tas, 0) {
			t.Errorf("CAS %g kt at %g ft: EAS %.3f TAS %.4f, want %s and %s", row.cas, row.feet, eas/knot, tas/knot, row.eas, row.tas)
		}
	}
	// At sea level the instrument is graduated right: CAS is EAS is TAS.
	if eas, err := CASToEAS(100, at(t, Modern, 0)); err != nil || math.Abs(eas-100) > 1e-12*100 {
		t.Errorf("CAS 100 m/s at sea level: EAS %v, %v", eas, err)
	}
	if eas, err := CASToEAS(0, at(t, Modern, 6096)); err != nil || eas != 0 {
		t.Errorf("CAS 0: EAS %v, %v", eas, err)
	}
}

func TestAirspeedRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, err := Modern.At(rapid.Float64Range(-1000, 15000).Draw(t, "altitude"))
		if err != nil {
			t.Fatal(err)
		}
		cas := rapid.Float64Range(1e-6, 130).Draw(t, "CAS")
		eas, err := CASToEAS(cas, s)
		if err != nil {
			t.Fatal(err)
		}
		back, err := EASToCAS(eas, s)
		if err != nil || math.Abs(back-cas) > 1e-12*cas {
			t.Fatalf("CAS %v -> EAS %v -> CAS %v (%v)", cas, eas, back, err)
		}
		tas, err := EASToTAS(eas, s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := TASToEAS(tas, s)
		if err != nil || math.Abs(again-eas) > 1e-12*eas {
			t.Fatalf("EAS %v -> TAS %v -> EAS %v (%v)", eas, tas, again, err)
		}
		// rho0 Ve^2/2 and rho V^2/2 are one dynamic pressure.
		q, q0 := DynamicPressure(s.Density, tas), DynamicPressure(s.Density/s.Sigma, eas)
		if math.Abs(q-q0) > 1e-12*q {
			t.Fatalf("q %v and %v", q, q0)
		}
	})
}

// TestDynamicPressure, DERIVED: q = 0.0025577 lbf/ft2 at 1 mph with
// the period's density, 0.0025565 with the modern one.
func TestDynamicPressure(t *testing.T) {
	if got := DynamicPressure(at(t, Period, 0).Density, 0.44704) / psf; !near(got, "0.0025577", 0) {
		t.Errorf("period q %.8f", got)
	}
	if got := DynamicPressure(at(t, Modern, 0).Density, 0.44704) / psf; !near(got, "0.0025565", 0) {
		t.Errorf("modern q %.8f", got)
	}
}

func TestAirspeedRefuses(t *testing.T) {
	s := at(t, Modern, 6096)
	for name, convert := range map[string]func(float64, State) (float64, error){"CASToEAS": CASToEAS, "EASToCAS": EASToCAS, "EASToTAS": EASToTAS, "TASToEAS": TASToEAS} {
		if _, err := convert(-1, s); err == nil || err.Error() != "airspeed -1 m/s: a finite speed, not negative, is wanted" {
			t.Errorf("%s(-1): %v", name, err)
		}
		if _, err := convert(math.NaN(), s); err == nil || err.Error() != "airspeed NaN m/s: a finite speed, not negative, is wanted" {
			t.Errorf("%s(NaN): %v", name, err)
		}
		if _, err := convert(50, State{}); err == nil || err.Error() != "the state of the air is not set: it comes from Modern.At or Period.At" {
			t.Errorf("%s in no air: %v", name, err)
		}
	}
	if _, err := CASToEAS(300, s); err == nil || !strings.Contains(err.Error(), "calibrated airspeed 300 m/s is above the speed of sound") {
		t.Errorf("CAS 300 m/s at 20,000 ft: %v", err)
	}
	if _, err := EASToCAS(300, s); err == nil || !strings.Contains(err.Error(), "equivalent airspeed 300 m/s is above the speed of sound") {
		t.Errorf("EAS 300 m/s at 20,000 ft: %v", err)
	}
}

func TestParseKind(t *testing.T) {
	for want, spellings := range map[Kind]string{
		IAS: "IAS|i.a.s.|KIAS|A.S.I.",
		CAS: "CAS|C.A.S.|calibrated airspeed|Rectified|rectified air speed|R.A.S.|KCAS",
		EAS: "EAS|E.A.S.|equivalent airspeed|Equivalent air-speed|KEAS",
		TAS: "TAS|true airspeed|True air speed|true|KTAS|T.A.S.|true speed",
	} {
		for _, s := range strings.Split(spellings, "|") {
			if got, err := ParseKind(s); err != nil || got != want {
				t.Errorf("ParseKind(%q) = %v, %v; want %v", s, got, err, want)
			}
		}
		if got, err := ParseKind(want.String()); err != nil || got != want {
			t.Errorf("%v does not read back: %v, %v", want, got, err)
		}
	}
	const meaning = " has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))"
	for _, s := range []string{"true indicated airspeed", "correct indicated", "T.I.A.S.", "True-indicated air speed", "indicated airspeed"} {
		if got, err := ParseKind(s); got != 0 || err == nil || err.Error() != `airspeed kind "`+s+`"`+meaning {
			t.Errorf("ParseKind(%q) = %v, %v", s, got, err)
		}
	}
	if got, err := ParseKind(""); got != 0 || err == nil || err.Error() != "no airspeed kind is given: IAS, CAS, EAS or TAS is wanted" {
		t.Errorf("ParseKind of nothing = %v, %v", got, err)
	}
	if got, err := ParseKind("ground speed"); got != 0 || err == nil || err.Error() != `airspeed kind "ground speed" is not known: IAS, CAS, EAS or TAS is wanted` {
		t.Errorf("ParseKind(ground speed) = %v, %v", got, err)
	}
}

func BenchmarkCASToEAS(b *testing.B) {
	s := at(b, Modern, 6096)
	for b.Loop() {
		_, _ = CASToEAS(80, s)
	}
}
