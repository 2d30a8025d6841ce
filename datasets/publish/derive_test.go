package publish

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"
	"windtally/validate"

	"github.com/google/go-cmp/cmp"
)

const (
	errorsID = "t0000000e"
	cruiseID = "t0000000f"
)

// flown adds to report a table of position errors and one of airspeeds at altitude,
// and asks for what follows from them.
func flown(t testing.TB, ask ...extract.Derivation) *extract.Study {
	t.Helper()
	s := report(t)
	flight := extract.Basis{Article: "aeroplane", AirspeedKind: "IAS", AirspeedMeaning: "the reading of the instrument", Weight: "given w", WeightCondition: "test",
		Configuration: extract.Configuration{Flap: "split", Deflection: "column flap", Gear: "fixed"}}
	table(s, extract.Table{ID: errorsID, Name: "position-errors", Basis: flight, Givens: []extract.Column{{Key: "w", Quantity: "test weight", Unit: "lb"}}, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "ias", Quantity: "airspeed", Unit: "knots"},
		{Key: "cas", Quantity: "airspeed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS"}},
		{Key: "add", Quantity: "airspeed correction", Unit: "knots", Basis: &extract.Basis{CorrectionSign: "added"}},
	}}, "0|54|60|+6", "0|64|68|+4", "0|80|82|+2", "30|45|49|+4", "30|50|53|+3", "30|70|72|+2")
	given(s, errorsID, "w", "3,980")
	table(s, extract.Table{ID: cruiseID, Name: "cruise", Basis: extract.Basis{Article: "aeroplane", AirspeedKind: "CAS", Altitude: "column h", Atmosphere: "modern"},
		Columns: []extract.Column{
			{Key: "h", Quantity: "altitude", Unit: "ft", Basis: &extract.Basis{AltitudeKind: "pressure"}},
			{Key: "cas", Quantity: "airspeed", Unit: "knots"},
		}}, "10,000|100.0", "10,000|200.0", "20,000|250.0", "30,000|300.0")
	craft := s.Subjects[1]
	craft.Tables = append(craft.Tables, extract.SubjectTable{Table: "position-errors"}, extract.SubjectTable{Table: "cruise"})
	craft.Derive = ask
	return s
}

func derived(e *datasets.Edition, row, column string) (datasets.Derived, bool) {
	for _, v := range e.Values {
		for _, d := range e.Derived {
			if v.ValueID == d.Of && v.Row == row && v.Column == column {
				return d, true
			}
		}
	}
	return datasets.Derived{}, false
}

// The stalling speeds 56 kt (flaps 0) and 49 kt (flaps 30) by hand:
//
//	60 + (68 - 60)(56 - 54)/(64 - 54) = 61.6 kt = 31.6898 m/s
//	49 + (53 - 49)(49 - 45)/(50 - 45) = 52.2 kt = 26.8540 m/s
//
// Each printed figure may be 0.5 kt off. The farthest corner has V at 56.5, the rows'
// IAS at 53.5 and 63.5, their CAS at 60.5 and 68.5: 60.5 + 8*3/10 = 62.9 kt, 1.3 kt or
// 0.66878 m/s away.
func TestStallSpeedsAreCalibratedByTheTableOfPositionErrors(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "CAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: "cas"}})
	e := edition(t, s, "0.1.0")
	if len(e.Derived) != 2 {
		t.Fatalf("%d derived numbers", len(e.Derived))
	}
	printed := value(t, e, "stalls", "r01", "speed")
	if printed.Printed != "56" || printed.Value != "28.8089" || conditions(t, e, printed.ConditionsID).AirspeedKind != "IAS" {
		t.Errorf("the printed speed is %s (%s), %s", printed.Printed, printed.Value, conditions(t, e, printed.ConditionsID).AirspeedKind)
	}
	d, _ := derived(e, "r01", "speed")
	of := func(row, column string) string { return value(t, e, "position-errors", row, column).ValueID }
	parents := []string{printed.ValueID, of("r01", "ias"), of("r01", "cas"), of("r02", "ias"), of("r02", "cas")}
	slices.Sort(parents)
	want := datasets.Derived{DerivedID: d.DerivedID, SubjectID: "craft-a", ConfigurationID: printed.ConfigurationID, ConditionsID: d.ConditionsID, Quantity: "stall speed",
		Value: "31.6898", HalfWidth: "0.6688", Unit: "m/s", Of: printed.ValueID, Parents: strings.Join(parents, " "),
		Formula: of("r01", "cas") + " + (" + of("r02", "cas") + " - " + of("r01", "cas") + ") * (" + printed.ValueID + " - " + of("r01", "ias") + ") / (" + of("r02", "ias") + " - " + of("r01", "ias") + ")",
		Checked: "unwitnessed"}
	if diff := cmp.Diff(want, d); diff != "" {
		t.Error(diff)
	}
	if c := conditions(t, e, d.ConditionsID); c.AirspeedKind != "CAS" || c.AirspeedDefinition != "" || c.StallDefinition != "break" || c.WeightCondition != "test" {
		t.Errorf("conditions %+v", c)
	}
	if d, _ := derived(e, "r02", "speed"); d.Value != "26.8540" {
		t.Errorf("flaps 30: %s", d.Value)
	}
	// The printed speed stands in stall_speeds as before.
	if n := len(e.StallSpeeds); n != 2 || e.StallSpeeds[0].AirspeedKind != "IAS" || e.StallSpeeds[1].AirspeedKind != "IAS" {
		t.Errorf("%d stall speeds: %+v", n, e.StallSpeeds)
	}
}

// A table of corrections gives what one of calibrated speeds gives: 56 + 6 +
// (4 - 6)(56 - 54)/(64 - 54) = 61.6 kt, 49 + 4 + (3 - 4)(49 - 45)/(50 - 45) = 52.2 kt.
func TestACorrectionIsAdded(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "CAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Correction: "add"}})
	e := edition(t, s, "0.1.0")
	for row, want := range map[string]datasets.Number{"r01": "31.6898", "r02": "26.8540"} {
		if d, _ := derived(e, row, "speed"); d.Value != want {
			t.Errorf("%s: %s, want %s", row, d.Value, want)
		}
	}
}

// TRADE.md 2.2 (DERIVED apart from this program): CAS 100 kt at 10,000 ft is EAS
// 99.87 and TAS 116.2, 200 at 10,000 is 199.00 and 231.6, 250 at 20,000 is 245.22 and
// 336.0, 300 at 30,000 is 285.00 and 465.9. 1 kt = 1852/3600 m/s.
func TestCalibratedSpeedsGoToEquivalentAndTrueOnes(t *testing.T) {
	for kind, want := range map[string]map[string]float64{
		"EAS": {"r01": 99.87, "r02": 199.00, "r03": 245.22, "r04": 285.00},
		"TAS": {"r01": 116.2, "r02": 231.6, "r03": 336.0, "r04": 465.9},
	} {
		e := edition(t, flown(t, extract.Derivation{Quantity: "airspeed", Table: "cruise", AirspeedKind: kind}), "0.1.0")
		if len(e.Derived) != 4 {
			t.Fatalf("%d derived numbers", len(e.Derived))
		}
		tolerance := map[string]float64{"EAS": 0.005, "TAS": 0.06}[kind]
		for row, knots := range want {
			d, _ := derived(e, row, "cas")
			got, _ := d.Value.Float64()
			if got *= 3600.0 / 1852; got < knots-tolerance || got > knots+tolerance {
				t.Errorf("%s of row %s: %.3f kt, want %v", kind, row, got, knots)
			}
			c := conditions(t, e, d.ConditionsID)
			if c.AirspeedKind != kind || c.Atmosphere != "modern" || c.Altitude.ValueID != value(t, e, "cruise", row, "h").ValueID {
				t.Errorf("conditions %+v", c)
			}
		}
	}
}

// From the instrument to the true airspeed in one go: at sea level in the standard
// atmosphere the calibrated and the true airspeed are one, 31.6898 m/s.
func TestTheWholeWayIsOneFormula(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "TAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: "cas"}})
	b := &s.Table(stallsID).Basis
	b.Altitude, b.Atmosphere = "sea-level", "period"
	e := edition(t, s, "0.1.0")
	d, _ := derived(e, "r01", "speed")
	of := func(row, column string) string { return value(t, e, "position-errors", row, column).ValueID }
	want := "TAS(EAS(" + of("r01", "cas") + " + (" + of("r02", "cas") + " - " + of("r01", "cas") + ") * (" + d.Of + " - " + of("r01", "ias") + ") / (" + of("r02", "ias") + " - " + of("r01", "ias") + "), 0, period), 0, period)"
	if d.Formula != want || d.Value != "31.6898" || conditions(t, e, d.ConditionsID).Atmosphere != "period" {
		t.Errorf("got %s = %s\nwant %s", d.Formula, d.Value, want)
	}
}

// What holds of many figures of a table is said once, with all of their cells.
func TestOneReasonIsSaidOnce(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "airspeed", Table: "cruise", AirspeedKind: "EAS"})
	s.Table(cruiseID).Basis.Atmosphere = ""
	var got []string
	for _, f := range run(t, s).Findings {
		if f.Check == "derivation" {
			got = append(got, fmt.Sprintf("%s %s | %d cells | %s", f.Severity, f.Message, len(f.Cells), f.Hint))
		}
	}
	want := []string{"doubt 4 figures of airspeed in cruise are not derived as EAS: its basis does not state the standard atmosphere | 4 cells | write atmosphere: modern or atmosphere: period in the basis of table cruise"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// A record of which one request fails as a whole is not published.
func TestARequestThatCannotBeMetBlocks(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "airspeed", Table: "cruise", Column: "h", AirspeedKind: "TAS"})
	_, _, err := Study(run(t, s), "")
	var refused *RefusedError
	if !errors.As(err, &refused) || len(refused.Blocking) != 1 {
		t.Fatalf("got %v", err)
	}
	f := refused.Blocking[0]
	if got := f.Where + ": " + f.Message; got != "subjects/craft-a.yaml:derive[0]: airspeed_kind: TAS is asked for airspeed, and table cruise, column h has no such figure" || !f.Mend {
		t.Errorf("got %s, mend %v", got, f.Mend)
	}
}

// Withholding a parent takes what follows from it away, and says nothing untrue.
func TestADerivedNumberGoesWithItsParent(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "airspeed", Table: "cruise", AirspeedKind: "TAS"})
	rule(t, s, "cruise:r02:cas", validate.Act{Decision: validate.Withhold, Reason: "illegible"})
	e := edition(t, s, "0.1.0")
	if len(e.Derived) != 3 {
		t.Errorf("%d derived numbers", len(e.Derived))
	}
}

// What is refused is said in the edition, and the rest is published.
func TestWhatIsNotDerivedIsSaid(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "CAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: "cas"}})
	set(s, stallsID, "r02", "speed", "44")
	e := edition(t, s, "0.1.0")
	if len(e.Derived) != 1 {
		t.Errorf("%d derived numbers", len(e.Derived))
	}
	var got []string
	for _, f := range e.Findings {
		if f.Check == "derivation" {
			got = append(got, f.State+" "+f.Severity+" "+f.Message+" | "+f.Cells+" | "+f.ValueIDs)
		}
	}
	want := []string{`open doubt subjects/craft-a.yaml:derive[0]: stall speed "44" at stalls:r02:speed is not derived as CAS: the table of position errors position-errors goes from 45 to 70 knot for flap split, 30 deg, gear fixed, power idle | t0000000c/r02/speed | ` +
		value(t, e, "stalls", "r02", "speed").ValueID}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// An edition whose position errors are of another gear, or of rows that do not
// enclose the speed, is not written.
func TestVerifyKnowsTheWayOfAPositionError(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "CAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: "cas"}})
	e := edition(t, s, "0.1.0")
	of := func(row, column string) datasets.Value { return value(t, e, "position-errors", row, column) }
	for i := range e.Configurations {
		if e.Configurations[i].ConfigurationID == of("r01", "ias").ConfigurationID {
			e.Configurations[i].Gear = "up"
		}
	}
	d, _ := derived(e, "r01", "speed")
	want := fmt.Sprintf("value %s is of the configuration flap split 0, gear up, value %s of flap split 0, gear fixed", of("r01", "cas").ValueID, d.Of)
	if err := datasets.Write(filepath.Join(t.TempDir(), "0.1.0"), e); err == nil || !strings.HasSuffix(err.Error(), want) {
		t.Errorf("got %v\nwant %s", err, want)
	}

	e = Edition(run(t, s))
	e.Version = "0.2.0"
	for i := range e.Derived {
		d := &e.Derived[i]
		if d.Of != value(t, e, "stalls", "r01", "speed").ValueID {
			continue
		}
		for _, column := range []string{"ias", "cas"} {
			d.Formula = strings.NewReplacer(of("r01", column).ValueID, of("r02", column).ValueID, of("r02", column).ValueID, of("r03", column).ValueID).Replace(d.Formula)
			d.Parents = strings.NewReplacer(of("r01", column).ValueID, of("r02", column).ValueID, of("r02", column).ValueID, of("r03", column).ValueID).Replace(d.Parents)
		}
		parents := strings.Fields(d.Parents)
		slices.Sort(parents)
		d.Parents = strings.Join(parents, " ")
		want = fmt.Sprintf("%s does not lie between %s and %s", d.Of, of("r02", "ias").ValueID, of("r03", "ias").ValueID)
	}
	if err := datasets.Write(filepath.Join(t.TempDir(), "0.2.0"), e); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v\nwant %s", err, want)
	}
}
