package datasets

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// tarnholm is a small edition of an invented laboratory's report and manual, with
// at least one row in every resource but derived, which derived_test.go adds. Conversions were made by hand with the exact
// factors of the units.
func tarnholm() *Edition {
	value := func(id, configuration, conditions, quantity, printed, printedUnit string, number Number, unit string, half Number, decimals int) Value {
		return Value{
			ValueID: id, SubjectID: "heron-wing", ConfigurationID: configuration, ConditionsID: conditions,
			Quantity: quantity, Value: number, Unit: unit, HalfWidth: half,
			Printed: printed, Decimals: Integer(decimals), PrintedUnit: printedUnit,
			SourceID: "tal-r-12", Table: "table-4", Page: 7, Row: "r1", Column: strings.ReplaceAll(quantity, " ", "-"),
			X0: "72.00", Y0: "144.50", X1: "98.25", Y1: "154.00",
			Readers: "keyed-ab text", Checked: "agreed",
		}
	}
	e := &Edition{
		Name:         "tarnholm-heron",
		Title:        "Heron wing of the Tarnholm Aerodynamic Laboratory",
		Version:      "1.0.0",
		Created:      "2031-05-04T10:00:00Z",
		Description:  "An invented wing, for tests.",
		Licence:      Licence{"CC0-1.0", "https://creativecommons.org/publicdomain/zero/1.0/", "Creative Commons Zero v1.0 Universal"},
		Contributors: []Contributor{{"A. Brandt", []string{"dataCurator"}}},
		Caution:      "Not for flight: period measurements, published for study.",
		Sources: []Source{{
			SourceID: "tal-r-12", Designation: "TAL R-12", Title: "Tests of the Heron wing, with flaps", Authors: "C. Dahl; E. Frost",
			Year: 1936, Publisher: "Tarnholm Aerodynamic Laboratory", Rights: "public domain",
			SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Pages: 24, FirstPage: "1",
		}},
		Subjects: []Subject{{SubjectID: "heron-wing", Kind: "wing", Title: "Heron wing"}},
		Configurations: []Configuration{
			{ConfigurationID: "plain", SubjectID: "heron-wing"},
			{ConfigurationID: "split-30", SubjectID: "heron-wing", FlapType: "split", FlapDeflection: Measured{"30", "0.5", "v0c"}, FlapDeflectionState: "lowered"},
		},
		Conditions: []Conditions{{
			ConditionsID: "wing-8m", Article: "wing", CoefficientSystem: "lift and drag coefficients on wing area", ReferenceArea: "gross wing area",
			AngleDatum: "chord line", DragKind: "profile", Walls: "corrected", ReynoldsKind: "effective", Reynolds: Measured{Value: "8000000"},
			AirspeedKind: "true", IncrementBasis: "constant angle of attack",
		}},
		Values: []Value{
			value("v01", "plain", "wing-8m", "angle of attack", "2.0", "deg", "2.0", "deg", "0.05", 1),
			value("v02", "plain", "wing-8m", "lift coefficient", ".30*", "1", "0.30", "1", "0.005", 2),
			value("v03", "plain", "wing-8m", "drag coefficient", "0.011", "1", "0.011", "1", "0.0005", 3),
			value("v04", "plain", "wing-8m", "angle of attack", "−4.0", "deg", "-4.0", "deg", "0.05", 1),
			value("v05", "plain", "wing-8m", "lift coefficient", "-.12", "1", "-0.12", "1", "0.005", 2),
			value("v06", "", "wing-8m", "wing area", "200", "[ft_i]2", "18.58", "m2", "0.05", 0),
			value("v07", "split-30", "wing-8m", "stall speed", "52", "[mi_i]/h", "23.25", "m/s", "0.2235", 0),
			value("v08", "", "wing-8m", "weight", "2,400", "[lbf_av]", "10675.7", "N", "2.224", 0),
			value("v09", "split-30", "wing-8m", "flap limit speed", "90", "[mi_i]/h", "40.23", "m/s", "0.2235", 0),
			value("v0a", "", "wing-8m", "power", "450", "[HP]", "335565", "W", "372.8", 0),
			value("v0b", "split-30", "wing-8m", "lift increment", "0.26", "1", "0.62", "1", "0.005", 2),
			value("v0c", "split-30", "wing-8m", "flap deflection", "30°", "deg", "30", "deg", "0.5", 0),
		},
		Polars: []Polar{
			{PolarID: "heron-plain", Point: 2, SubjectID: "heron-wing", ConfigurationID: "plain", ConditionsID: "wing-8m", SourceID: "tal-r-12", Table: "table-4",
				AngleOfAttack: Measured{"2.0", "0.05", "v01"}, LiftCoefficient: Measured{"0.30", "0.005", "v02"}, DragCoefficient: Measured{"0.011", "0.0005", "v03"}},
			{PolarID: "heron-plain", Point: 1, SubjectID: "heron-wing", ConfigurationID: "plain", ConditionsID: "wing-8m", SourceID: "tal-r-12", Table: "table-4",
				AngleOfAttack: Measured{"-4.0", "0.05", "v04"}, LiftCoefficient: Measured{"-0.12", "0.005", "v05"}},
		},
		FlapIncrements: []FlapIncrement{{IncrementID: "i1", SubjectID: "heron-wing", ConfigurationID: "split-30", ConditionsID: "wing-8m",
			AtAngleOfAttack: Measured{"2.0", "0.05", "v01"}, LiftIncrement: Measured{"0.62", "0.005", "v0b"}}},
		StallSpeeds: []StallSpeed{{StallSpeedID: "s1", SubjectID: "heron-wing", ConfigurationID: "split-30", ConditionsID: "wing-8m", AirspeedKind: "true",
			Speed: Measured{"23.25", "0.2235", "v07"}, Weight: Measured{"10675.7", "2.224", "v08"}, LoadFactor: Measured{Value: "1"}}},
		Limits: []Limit{{LimitID: "l1", SubjectID: "heron-wing", ConfigurationID: "split-30", ConditionsID: "wing-8m", Quantity: "flap limit speed",
			Value: "40.23", HalfWidth: "0.2235", Unit: "m/s", ValueID: "v09", LimitKind: "limit", AirspeedKind: "true", Rolling: "false"}},
		Power: []Power{{PowerID: "p1", SubjectID: "heron-wing", ConditionsID: "wing-8m", Rating: "take-off", Power: Measured{"335565", "372.8", "v0a"}, Duration: Measured{Value: "60"}}},
		Characteristics: []Characteristic{{CharacteristicID: "c1", SubjectID: "heron-wing", ConditionsID: "wing-8m", Quantity: "wing area",
			Value: "18.58", HalfWidth: "0.05", Unit: "m2", ValueID: "v06"}},
		Reviews: []Review{
			{RulingID: "u2", Supersedes: "u1", Target: "table-4/r1/lift-increment", Decision: "emend", Value: "0.62", Reason: "digits exchanged, the curve says 0.62", Who: "ab", When: "2031-05-04T10:00:00Z"},
			{RulingID: "u1", Target: "f1", Decision: "confirm", Who: "ab", When: "2031-05-03T10:00:00Z"},
		},
		Findings: []Finding{
			{FindingID: "f1", Check: "difference", State: "ruled", Severity: "blocking", Message: "breaks the run of its column", Expected: "0.62", Miss: "72", Cells: "table-4/r1/lift-increment", ValueIDs: "v0b", RulingID: "u2"},
			{FindingID: "f2", Check: "slope", State: "open", Severity: "note", Message: "slope is below theory <by 3 %>", Expected: "-0.11", ValueIDs: "v01 v02 v04 v05"},
		},
		Tolerances: []Tolerance{{Check: "slope", Name: "theory", Value: "0.1", Reason: "the wing has cut-outs"}},
	}
	emended := &e.Values[10]
	emended.PrintEmended, emended.Checked, emended.RulingID = "0.62", "emended", "u2"
	for i, formula := range map[int]string{5: "m2 from [ft_i]2", 6: "m/s from [mi_i]/h", 7: "N from [lbf_av]", 8: "m/s from [mi_i]/h", 9: "W from [HP]"} {
		e.Values[i].Formula = formula
	}
	return e
}

// tarnholmNext is the edition after tarnholm: a number changed, a note came, and
// a point of the polar was withdrawn.
func tarnholmNext() *Edition {
	e := tarnholm()
	e.Version = "2.0.0"
	e.Values[2].Value, e.Values[2].Printed = "0.012", "0.012"
	e.Polars[0].DragCoefficient.Value = "0.012"
	e.Subjects[0].Note = "span 30 ft"
	e.Polars = e.Polars[:1]
	e.Values = append(e.Values[:3:3], e.Values[5:]...)
	e.Findings[1].ValueIDs = "v01 v02"
	e.Sources = append(e.Sources, Source{SourceID: "tal-m-3", Designation: "TAL M-3", Title: "Pilot's notes", Rights: "public domain",
		SHA256: "60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752"})
	e.Previous = "1.0.0"
	e.Changes = Compare(tarnholm(), e)
	return e
}

func write(t *testing.T, e *Edition) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), e.Version)
	if err := Write(dir, e); err != nil {
		t.Fatal(err)
	}
	return dir
}

func readFile(t *testing.T, parts ...string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(parts...))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
