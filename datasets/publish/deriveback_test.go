package publish

import (
	"fmt"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"
)

const warmID = "t00000010"

// warmed adds airspeeds of several kinds in air of a stated temperature.
func warmed(t testing.TB, ask ...extract.Derivation) *extract.Study {
	t.Helper()
	s := flown(t, ask...)
	table(s, extract.Table{ID: warmID, Name: "warm", Basis: extract.Basis{Article: "aeroplane", AirspeedKind: "TAS", Altitude: "column h", AltitudeKind: "pressure", Temperature: "column t", Atmosphere: "modern"},
		Columns: []extract.Column{
			{Key: "h", Quantity: "altitude", Unit: "ft"},
			{Key: "t", Quantity: "air temperature", Unit: "K"},
			{Key: "tas", Quantity: "airspeed", Unit: "knots"},
			{Key: "eas", Quantity: "airspeed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "EAS"}},
		}}, "5,000|324.661|116.37|100.00", "10,000|268.338|231.57|199.00", "20,000|248.526|335.95|245.22")
	craft := s.Subjects[1]
	craft.Tables = append(craft.Tables, extract.SubjectTable{Table: "warm"})
	return s
}

// Every edition here is verified with arithmetic of its own when it is written.
//
// TRADE.md 2.2 and 4.1 (DERIVED apart from this program): EAS 199.00 kt at 10,000 ft is CAS
// 200 and TAS 199.00*1.16367 = 231.57 (printed 231.6), EAS 245.22 at 20,000 is CAS 250 and TAS
// 245.22*1.36998 = 335.95 (printed 336.0).
// At 5,000 ft and 324.661 K the
// density is that of 10,000 ft (TRADE.md 4.1): TAS 116.37 is EAS 100.00.
func TestTrueSpeedsComeDownInWarmAir(t *testing.T) {
	for kind, want := range map[string]map[string]float64{
		"EAS": {"r01": 100.00, "r02": 199.00, "r03": 245.22},
		"CAS": {"r02": 200, "r03": 250},
	} {
		e := edition(t, warmed(t, extract.Derivation{Quantity: "airspeed", Table: "warm", Column: "tas", AirspeedKind: kind}), "0.1.0")
		if len(e.Derived) != 3 {
			t.Fatalf("%d derived numbers", len(e.Derived))
		}
		for row, knots := range want {
			d, _ := derived(e, row, "tas")
			if got, _ := d.Value.Float64(); got*3600/1852 < knots-0.03 || got*3600/1852 > knots+0.03 {
				t.Errorf("%s of row %s: %.3f kt, want %v", kind, row, got*3600/1852, knots)
			}
			of := func(column string) string { return value(t, e, "warm", row, column).ValueID }
			formula := fmt.Sprintf("EAS_of_TAS(%s, density_altitude(%s, %s, modern), modern)", d.Of, of("h"), of("t"))
			if kind == "CAS" {
				formula = fmt.Sprintf("CAS_of_EAS(%s, %s, modern)", formula, of("h"))
			}
			if d.Formula != formula {
				t.Errorf("got %s, want %s", d.Formula, formula)
			}
			if c := conditions(t, e, d.ConditionsID); c.AirspeedKind != kind || c.Temperature.ValueID != of("t") || c.Altitude.ValueID != of("h") {
				t.Errorf("conditions %+v", c)
			}
		}
	}
}

func TestDensityAltitudesArePublished(t *testing.T) {
	e := edition(t, warmed(t, extract.Derivation{Quantity: "altitude", Table: "warm", AltitudeKind: "density"}), "0.1.0")
	if len(e.Derived) != 3 {
		t.Fatalf("%d derived numbers", len(e.Derived))
	}
	d, _ := derived(e, "r01", "h")
	if h, _ := d.Value.Float64(); h < 3047.7 || h > 3048.3 || d.Quantity != "altitude" || conditions(t, e, d.ConditionsID).AltitudeKind != "density" {
		t.Errorf("%s, %+v; want 10,000 ft, 3048 m", d.Value, conditions(t, e, d.ConditionsID))
	}
	printed := value(t, e, "warm", "r01", "h")
	if conditions(t, e, printed.ConditionsID).AltitudeKind != "pressure" || d.Formula != fmt.Sprintf("density_altitude(%s, %s, modern)", printed.ValueID, value(t, e, "warm", "r01", "t").ValueID) {
		t.Errorf("%s, printed %+v", d.Formula, conditions(t, e, printed.ConditionsID))
	}
}

// The stalling speeds 61.6 and 52.2 kt calibrated, which flown's table makes of 56 and 49
// indicated, go back to 56 and 49 kt = 28.8089 and 25.2078 m/s.
func TestCalibratedSpeedsGoBackToTheInstrument(t *testing.T) {
	for _, c := range []struct{ calibrated, correction, sign string }{{"cas", "", "added"}, {"", "add", "added"}, {"", "add", "indicated-minus-true"}} {
		s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "IAS", PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: c.calibrated, Correction: c.correction}})
		b := &s.Table(stallsID).Basis
		b.AirspeedKind, b.AirspeedMeaning = "rectified", ""
		set(s, stallsID, "r01", "speed", "61.6")
		set(s, stallsID, "r02", "speed", "52.2")
		errors := s.Table(errorsID)
		errors.Columns[3].Basis = &extract.Basis{CorrectionSign: c.sign}
		if c.sign != "added" {
			for i := range s.Readings[errorsID][0].Cells {
				if cell := &s.Readings[errorsID][0].Cells[i]; cell.Column == "add" {
					cell.Text = strings.Replace(cell.Text, "+", "-", 1)
				}
			}
		}
		e := edition(t, s, "0.1.0")
		for row, want := range map[string]datasets.Number{"r01": "28.8089", "r02": "25.2078"} {
			if d, ok := derived(e, row, "speed"); !ok || string(d.Value)[:7] != string(want) {
				t.Errorf("%v, %s: %s, want %s", c, row, d.Value, want)
			} else if m := conditions(t, e, d.ConditionsID); m.AirspeedKind != "IAS" || m.AirspeedDefinition != "the reading of the instrument" {
				t.Errorf("conditions %+v", m)
			}
		}
	}
}

// Lift .474, drag .0232 and moment -.050 at 4 deg about the quarter chord; about the
// leading edge, by hand: -.050 - (.474*0.9975641 + .0232*0.0697565)/4 = -.1686159.
func TestMomentsArePublishedAboutAnotherPoint(t *testing.T) {
	s := report(t)
	polar := s.Table(polarID)
	polar.Basis.MomentSign = "nose-up"
	polar.Columns = append(polar.Columns, extract.Column{Key: "cm", Quantity: "pitching-moment coefficient", Unit: "1"})
	for i, text := range []string{"-.050", "-.050", "-.050", "-.110", "-.110", "-.110"} {
		r := s.Readings[polarID][0]
		y := 200 + 12*float64(i)
		r.Cells = append(r.Cells, extract.Cell{Row: fmt.Sprintf("r%02d", i+1), Column: "cm", Text: text, Place: extract.Place{Page: 3, Box: extract.Rect{X0: 300, Y0: y, X1: 330, Y1: y + 9.5}}, Confidence: -1})
	}
	s.Subjects[0].Derive = []extract.Derivation{{Quantity: "pitching-moment coefficient", MomentCenter: "leading edge"}}
	e := edition(t, s, "0.1.0")
	d, ok := derived(e, "r03", "cm")
	if v, _ := d.Value.Float64(); !ok || v < -0.168617 || v > -0.168615 {
		t.Fatalf("%d derived: %+v", len(e.Derived), d)
	}
	c := conditions(t, e, d.ConditionsID)
	of := func(column string) string { return value(t, e, "polar", "r03", column).ValueID }
	if want := fmt.Sprintf("%s + (%s * cosd(%s) + %s * sind(%s)) * (0 - 0.25)", d.Of, of("cl"), of("alpha"), of("cd"), of("alpha")); d.Formula != want || c.MomentCenter != "leading edge" || c.MomentSign != "nose-up" {
		t.Errorf("%s, want %s; %+v", d.Formula, want, c)
	}
	if printed := conditions(t, e, value(t, e, "polar", "r03", "cm").ConditionsID); printed.MomentCenter != "quarter-chord point" {
		t.Errorf("printed %+v", printed)
	}
}

// 5.8 deg from the tangent of the lower surface, to which the chord stands at 1.8 deg.
func TestAnglesArePublishedFromAnotherLine(t *testing.T) {
	s := report(t)
	table(s, extract.Table{ID: "t00000011", Name: "flat", Basis: extract.Basis{Article: "wing", Walls: "corrected", AspectRatioBasis: "as-tested", ReynoldsKind: "not-stated", AngleDatum: "lower-surface"},
		Columns: []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}, {Key: "e", Quantity: "angle of chord", Unit: "deg"}}}, "4.0|1.8")
	s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "flat"})
	s.Subjects[0].Derive = []extract.Derivation{{Quantity: "angle of attack", Table: "flat", AngleDatum: "chord"}}
	e := edition(t, s, "0.1.0")
	d, _ := derived(e, "r01", "a")
	if v, _ := d.Value.Float64(); v != 5.8 || conditions(t, e, d.ConditionsID).AngleDatum != "chord" {
		t.Errorf("%d derived: %+v", len(e.Derived), d)
	}
}
