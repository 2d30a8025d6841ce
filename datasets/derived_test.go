package datasets

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// withDerived is the edition of tarnholm with a lift coefficient carried to the net
// area, and a stalling speed carried to true airspeed at 10,000 ft (3,048 m).
//
// By hand: 0.30*18.58/17.65 = 0.315807; the farthest corner is 0.305*18.63/17.60 =
// 0.3228494, half-width 0.0070421, outward 0.007043.
//
// 100 kt CAS at 10,000 ft is 116.2 kt TAS (TRADE.md 2.2, DERIVED apart from this
// program). A few lines of Python with the equations of the standard atmosphere and
// of the pitot tube give 59.787584 m/s for 51.4444 m/s at 3,048 m, and 60.132474 m/s for
// 0.2572 m/s and 15.24 m more: the farthest corner, half-width 0.34489.
func withDerived() *Edition {
	e := tarnholm()
	net, cas, tas, height := e.Conditions[0], e.Conditions[0], e.Conditions[0], e.Conditions[0]
	height.ConditionsID, height.AltitudeKind = "height", "pressure"
	net.ConditionsID, net.ReferenceArea = "wing-net", "net wing area"
	cas.ConditionsID, cas.AirspeedKind, cas.Atmosphere, cas.Altitude = "flight-cas", "CAS", "modern", Measured{"3048.0", "15.24", "v0f"}
	tas.ConditionsID, tas.AirspeedKind, tas.Atmosphere, tas.Altitude = "flight-tas", "TAS", "modern", cas.Altitude
	e.Conditions = append(e.Conditions, net, cas, tas, height)
	add := func(id, configuration, conditions, quantity, printed, printedUnit string, number Number, unit string, half Number) {
		v := e.Values[5]
		v.ValueID, v.ConfigurationID, v.ConditionsID, v.Quantity, v.Printed, v.PrintedUnit = id, configuration, conditions, quantity, printed, printedUnit
		v.Value, v.Unit, v.HalfWidth, v.Decimals, v.Formula = number, unit, half, "0", unit+" from "+printedUnit
		e.Values = append(e.Values, v)
	}
	add("v0d", "", "wing-net", "wing area", "190", "[ft_i]2", "17.65", "m2", "0.05")
	add("v0e", "split-30", "flight-cas", "airspeed", "100", "[kn_i]", "51.4444", "m/s", "0.2572")
	add("v0f", "", "height", "altitude", "10000", "[ft_i]", "3048.0", "m", "15.24")
	e.Derived = []Derived{
		{DerivedID: "d1", SubjectID: "heron-wing", ConfigurationID: "plain", ConditionsID: "wing-net", Quantity: "lift coefficient", Value: "0.315807", HalfWidth: "0.007043",
			Unit: "1", Of: "v02", Parents: "v02 v06 v0d", Formula: "v02 * v06 / v0d", Checked: "agreed"},
		{DerivedID: "d2", SubjectID: "heron-wing", ConfigurationID: "split-30", ConditionsID: "flight-tas", Quantity: "airspeed", Value: "59.78758", HalfWidth: "0.3449",
			Unit: "m/s", Of: "v0e", Parents: "v0e v0f", Formula: "TAS(EAS(v0e, v0f, modern), v0f, modern)", Checked: "agreed"},
	}
	return e
}

func TestDerivedNumbersVerify(t *testing.T) {
	e := withDerived()
	dir := write(t, e)
	if problems, err := Verify(dir); err != nil || len(problems) > 0 {
		t.Fatalf("%v %v", problems, err)
	}
	want := "derived_id,subject_id,configuration_id,conditions_id,quantity,value,half_width,accuracy,unit,of,parents,formula,checked\n" +
		"d1,heron-wing,plain,wing-net,lift coefficient,0.315807,0.007043,,1,v02,v02 v06 v0d,v02 * v06 / v0d,agreed\n" +
		"d2,heron-wing,split-30,flight-tas,airspeed,59.78758,0.3449,,m/s,v0e,v0e v0f,\"TAS(EAS(v0e, v0f, modern), v0f, modern)\",agreed\n"
	if diff := cmp.Diff(want, readFile(t, dir, "data", "derived.csv")); diff != "" {
		t.Error(diff)
	}
	got, err := Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(e.Derived, got.Derived); diff != "" {
		t.Error(diff)
	}
	if doc := readFile(t, dir, "subjects", "heron-wing.json"); !strings.Contains(doc, `{"derived_id": "d1", "subject_id": "heron-wing",`) || !strings.Contains(doc, `"conditions_id": "flight-tas"`) {
		t.Error("the subject's document lacks its derived numbers, or what they mean")
	}
}

// A file that was changed and sealed again is found too: the number no longer
// follows from its parents.
func TestATamperedDerivedNumberIsRefused(t *testing.T) {
	dir := write(t, withDerived())
	path := filepath.Join(dir, "data", "derived.csv")
	text := strings.Replace(readFile(t, dir, "data", "derived.csv"), "0.315807", "0.325807", 1)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	problems, err := Verify(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range problems {
		got = append(got, p.String())
	}
	if want := "data/derived.csv:2: value: is 0.325807, v02 * v06 / v0d comes to 0.315807"; !slices.Contains(got, want) {
		t.Errorf("got\n%s\nwant among them\n%s", strings.Join(got, "\n"), want)
	}
	if _, err := Load(dir); err == nil || !strings.Contains(err.Error(), "SHA256SUMS") {
		t.Errorf("it loads: %v", err)
	}
}

func TestWriteHoldsADerivedNumberAgainstItsParents(t *testing.T) {
	cases := []struct {
		name string
		edit func(e *Edition)
		want []string
	}{
		{"sound", func(*Edition) {}, nil},
		{"value within its rounding", func(e *Edition) { e.Derived[0].Value = "0.31580" }, nil},
		{"value", func(e *Edition) { e.Derived[0].Value = "0.3155" }, []string{"data/derived.csv:2: value: is 0.3155, v02 * v06 / v0d comes to 0.315807"}},
		{"half-width of the figure alone", func(e *Edition) { e.Derived[0].HalfWidth = "0.005263" }, []string{"data/derived.csv:2: half_width: is 0.005263, those of its parents come to 0.00704207"}},
		{"no half-width", func(e *Edition) { e.Derived[0].HalfWidth = "" }, []string{"data/derived.csv:2: half_width: is empty, it must not be"}},
		{"accuracy that no parent states", func(e *Edition) { e.Derived[0].Accuracy = "0.01" }, []string{`data/derived.csv:2: accuracy: is "0.01", it stands where a parent states one`}},
		{"accuracy that a parent states", func(e *Edition) { e.Values[1].Accuracy, e.Derived[0].Accuracy = "0.01", "0.01234" }, nil},
		{"accuracy left out", func(e *Edition) { e.Values[1].Accuracy = "0.01" }, []string{`data/derived.csv:2: accuracy: is "", it stands where a parent states one`}},
		{"another accuracy", func(e *Edition) { e.Values[1].Accuracy, e.Derived[0].Accuracy = "0.01", "0.01" }, []string{"data/derived.csv:2: accuracy: is 0.01, that of its parents comes to 0.0123347"}},
		{"parent that is not published", func(e *Edition) {
			e.Derived[0].Parents, e.Derived[0].Formula = "v02 v06 v99", "v02 * v06 / v99"
		}, []string{"data/derived.csv:2: parents: v99 is not in data/values.csv"}},
		{"parent left out", func(e *Edition) { e.Derived[0].Parents = "v02 v06" }, []string{"data/derived.csv:2: formula: follows from v02 v06 v0d, parents has v02 v06"}},
		{"of that is no parent", func(e *Edition) { e.Derived[0].Of = "v05" }, []string{"data/derived.csv:2: parents: do not name v05, the number that was converted"}},
		{"better vouched for than a parent", func(e *Edition) { e.Values[5].Checked = "unwitnessed" }, []string{"data/derived.csv:2: checked: is agreed, the least vouched for of its parents is unwitnessed"}},
		{"another quantity", func(e *Edition) { e.Derived[0].Quantity = "maximum lift coefficient" }, []string{`data/derived.csv:2: quantity: is "maximum lift coefficient", value v02 has "lift coefficient"`}},
		{"another unit", func(e *Edition) { e.Derived[0].Unit = "%" }, []string{`data/derived.csv:2: unit: is "%", value v02 has "1"`}},
		{"another configuration", func(e *Edition) { e.Derived[0].ConfigurationID = "split-30" }, []string{`data/derived.csv:2: configuration_id: is "split-30", value v02 has "plain"`}},
		{"nothing converted", func(e *Edition) { e.Derived[0].ConditionsID = "wing-8m" }, []string{
			"data/derived.csv:2: conditions_id: the conditions have the airspeed kind, reference area, angle datum, altitude kind, moment center, walls and aspect ratio of value v02, so nothing was converted"}},
		{"another meaning too", func(e *Edition) { e.Conditions[1].Surface = "rough"; e.Values[12].ConditionsID = "wing-8m" }, []string{
			`data/derived.csv:2: conditions_id: conditions with surface "rough", those of value v02 have "", which no conversion changes`,
			`data/derived.csv:2: formula: "v02 * v06 / v0d": value v0d has reference_area "gross wing area", it would be right as "net wing area"`}},
		{"atmosphere", func(e *Edition) { e.Derived[1].Formula = "TAS(EAS(v0e, v0f, icao), v0f, modern)" }, []string{
			`data/derived.csv:3: formula: "TAS(EAS(v0e, v0f, icao), v0f, modern)": "icao" is no standard atmosphere, it would be right as modern or period`}},
		{"a factor that no conversion has", func(e *Edition) {
			e.Derived[0].Value, e.Derived[0].HalfWidth, e.Derived[0].Formula = "0.631615", "0.014085", "v02 * v06 / v0d * 2"
		}, []string{`data/derived.csv:2: formula: "v02 * v06 / v0d * 2": it would be right as v02 * the area of its conditions / the area of the derived number's`}},
		{"areas exchanged", func(e *Edition) {
			e.Derived[0].Value, e.Derived[0].HalfWidth, e.Derived[0].Formula = "0.284984", "0.006355", "v02 * v0d / v06"
		}, []string{`data/derived.csv:2: formula: "v02 * v0d / v06": value v0d has reference_area "net wing area", it would be right as "gross wing area"`}},
		{"density left out", func(e *Edition) {
			e.Derived[1].Formula, e.Derived[1].Value, e.Derived[1].HalfWidth = "EAS(v0e, v0f, modern)", "51.37834", "0.2567"
		}, []string{`data/derived.csv:3: formula: "EAS(v0e, v0f, modern)": TAS(...) would be right where "EAS(v0e, v0f, modern)" stands`}},
		{"another atmosphere", func(e *Edition) {
			e.Conditions[3].Atmosphere = "period"
			e.Conditions[2].Atmosphere = "period"
		}, []string{`data/derived.csv:3: formula: "TAS(EAS(v0e, v0f, modern), v0f, modern)": the atmosphere is modern, the conditions have "period"`}},
		{"another altitude", func(e *Edition) {
			e.Conditions[3].Altitude, e.Conditions[2].Altitude = Measured{Value: "0"}, Measured{Value: "0"}
		}, []string{`data/derived.csv:3: formula: "TAS(EAS(v0e, v0f, modern), v0f, modern)": the altitude is v0f, the conditions have "0"`}},
		{"the wrong way round", func(e *Edition) { e.Conditions[2].AirspeedKind, e.Conditions[3].AirspeedKind = "TAS", "CAS" },
			[]string{`data/derived.csv:3: formula: "TAS(EAS(v0e, v0f, modern), v0f, modern)": CAS_of_EAS(...) would be right where "TAS(EAS(v0e, v0f, modern), v0f, modern)" stands`}},
		{"two conversions at once", func(e *Edition) { e.Conditions[1].AirspeedKind = "TAS" }, []string{
			`data/derived.csv:2: formula: "v02 * v06 / v0d": two conversions at once, one of airspeed_kind, reference_area, angle_datum, altitude_kind and moment_center changes, or walls and aspect_ratio_basis do`}},
		{"formula cut short", func(e *Edition) { e.Derived[0].Formula = "v02 * (v06 / v0d" }, []string{
			`data/derived.csv:2: formula: "v02 * (v06 / v0d": "" stands where ")" would be right`}},
		{"formula with more at its end", func(e *Edition) { e.Derived[0].Formula = "v02 * v06 / v0d)" }, []string{
			`data/derived.csv:2: formula: "v02 * v06 / v0d)": ")" stands after its end`}},
		{"formula of something else", func(e *Edition) { e.Derived[0].Formula = "v02 * v06 / $v0d" }, []string{
			`data/derived.csv:2: formula: "v02 * v06 / $v0d": "$v0d" stands where an id, a number or a bracket would be right`}},
		{"division by zero", func(e *Edition) { e.Derived[0].Formula = "v02 * v06 / (v0d - v0d)" }, []string{
			`data/derived.csv:2: formula: "v02 * v06 / (v0d - v0d)": it divides by zero`}},
		{"brackets without end", func(e *Edition) { e.Derived[0].Formula = strings.Repeat("(", 60) + "v02" }, []string{
			`data/derived.csv:2: formula: "` + strings.Repeat("(", 60) + `v02": more than 50 brackets stand within each other`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := withDerived()
			c.edit(e)
			got := ""
			if err := Write(filepath.Join(t.TempDir(), "1.0.0"), e); err != nil {
				got = err.Error()
			}
			want := ""
			if c.want != nil {
				want = "nothing is written: " + strings.Join(c.want, "\n")
			}
			if got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}
