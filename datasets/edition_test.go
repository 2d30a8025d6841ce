package datasets

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := make(map[string]string)
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, path))
		files[path] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// testdata/2.0.0 was read through by a person when it was made, against the records
// in fixture_test.go. It changes only with the published form.
func TestWriteMakesThePublishedForm(t *testing.T) {
	want := tree(t, filepath.Join("testdata", "2.0.0"))
	if len(want) != 22 {
		t.Fatalf("testdata has %d files", len(want))
	}
	got := tree(t, write(t, tarnholmNext()))
	if diff := cmp.Diff(slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got))); diff != "" {
		t.Fatal(diff)
	}
	for path := range want {
		if line, was, right, differs := firstDifference([]byte(got[path]), []byte(want[path])); differs {
			t.Errorf("%s:%d: got %s, want %s", path, line, was, right)
		}
	}
}

// The texts below are written out by hand, apart from the golden folder.
func TestWriteLiterals(t *testing.T) {
	files := tree(t, write(t, tarnholm()))
	for path, want := range map[string]string{
		"data/subjects.csv": "subject_id,kind,title,note\nheron-wing,wing,Heron wing,\n",
		"data/polars.csv": "polar_id,point,subject_id,configuration_id,conditions_id,source_id,table," +
			"angle_of_attack,angle_of_attack_half_width,angle_of_attack_value_id," +
			"lift_coefficient,lift_coefficient_half_width,lift_coefficient_value_id," +
			"drag_coefficient,drag_coefficient_half_width,drag_coefficient_value_id," +
			"moment_coefficient,moment_coefficient_half_width,moment_coefficient_value_id\n" +
			"heron-plain,1,heron-wing,plain,wing-8m,tal-r-12,table-4,-4.0,0.05,v04,-0.12,0.005,v05,,,,,,\n" +
			"heron-plain,2,heron-wing,plain,wing-8m,tal-r-12,table-4,2.0,0.05,v01,0.30,0.005,v02,0.011,0.0005,v03,,,\n",
		"data/limits.csv": "limit_id,subject_id,configuration_id,conditions_id,quantity,value,half_width,unit,value_id,limit_kind,airspeed_kind,weight,weight_half_width,weight_value_id,rolling\n" +
			"l1,heron-wing,split-30,wing-8m,flap limit speed,40.23,0.2235,m/s,v09,limit,true,,,,false\n",
		"data/findings.csv": "finding_id,check,state,severity,message,expected,miss,cells,value_ids,ruling_id\n" +
			"f1,difference,ruled,blocking,breaks the run of its column,0.62,72,table-4/r1/lift-increment,v0b,u2\n" +
			"f2,slope,open,note,slope is below theory <by 3 %>,-0.11,,,v01 v02 v04 v05,\n",
		"data/tolerances.csv": "check,name,value,reason\nslope,theory,0.1,the wing has cut-outs\n",
		"changes.csv":         "resource,key,field,kind,old,new,step\n",
		"CHANGES.md":          "# Changes in 1.0.0\n\nThis is the first edition.\n",
	} {
		if diff := cmp.Diff(want, files[path]); diff != "" {
			t.Errorf("%s: %s", path, diff)
		}
	}
	for path, want := range map[string]string{
		"data/values.csv":            "\nv02,heron-wing,plain,wing-8m,lift coefficient,0.30,1,0.005,,.30*,,2,1,tal-r-12,table-4,,7,r1,lift-coefficient,72.00,144.50,98.25,154.00,,,,keyed-ab text,agreed,,\n",
		"datapackage.json":           `{"name": "speed", "type": "number", "unit": "m/s", "description": "stalling speed, of the kind in column airspeed_kind", "constraints": {"required": true}},`,
		"schema/subject.schema.json": `"speed_half_width": {"type": ["number", "null"], "exclusiveMinimum": 0, "unit": "m/s", "description": "half the width of the interval that rounding leaves; empty or positive"},`,
		"subjects/heron-wing.json":   `"lift_coefficient": 0.30, "lift_coefficient_half_width": 0.005, "lift_coefficient_value_id": "v02", `,
		"README.md":                  "**Caution.** Not for flight: period measurements, published for study.\n",
	} {
		if !strings.Contains(files[path], want) {
			t.Errorf("%s does not hold %s", path, want)
		}
	}
}

// An empty resource has its head row all the same, and an edition may have no
// subject yet.
func TestWriteEmptyEdition(t *testing.T) {
	e := &Edition{Name: "empty", Title: "Empty", Version: "0.1.0", Created: "2031-05-04T10:00:00Z", Licence: Licence{Name: "CC0-1.0"}, Caution: "Empty."}
	dir := write(t, e)
	if got := readFile(t, dir, "data", "tolerances.csv"); got != "check,name,value,reason\n" {
		t.Errorf("got %q", got)
	}
	got, err := Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	e.Format = 1
	if diff := cmp.Diff(e, got); diff != "" {
		t.Error(diff)
	}
}

func TestSameRecordsSameBytes(t *testing.T) {
	first := tree(t, write(t, tarnholm()))
	e := tarnholm()
	for _, reverse := range []func(){
		func() { slices.Reverse(e.Values) }, func() { slices.Reverse(e.Polars) }, func() { slices.Reverse(e.Configurations) },
		func() { slices.Reverse(e.Reviews) }, func() { slices.Reverse(e.Findings) },
	} {
		reverse()
	}
	if diff := cmp.Diff(first, tree(t, write(t, e))); diff != "" {
		t.Error(diff)
	}
}

func TestLoadReturnsWhatWasWritten(t *testing.T) {
	for _, e := range []*Edition{tarnholm(), tarnholmNext()} {
		got, err := Load(write(t, e))
		if err != nil {
			t.Fatal(err)
		}
		want := *e
		want.Format = 1
		slices.SortFunc(want.Polars, func(a, b Polar) int { return a.Point - b.Point })
		slices.SortFunc(want.Reviews, func(a, b Review) int { return strings.Compare(a.RulingID, b.RulingID) })
		slices.SortFunc(want.Sources, func(a, b Source) int { return strings.Compare(a.SourceID, b.SourceID) })
		if diff := cmp.Diff(&want, got); diff != "" {
			t.Error(diff)
		}
		if changes := Compare(e, got); changes != nil {
			t.Errorf("%v", changes)
		}
	}
}

func TestLoadThroughALink(t *testing.T) {
	dir := write(t, tarnholm())
	link := filepath.Join(t.TempDir(), "latest")
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(link); err != nil {
		t.Error(err)
	}
}

func TestLoadOfNoEdition(t *testing.T) {
	dir := t.TempDir()
	if _, err := Load(filepath.Join(dir, "9.9.9")); err == nil || !os.IsNotExist(err) {
		t.Errorf("no folder: got %v", err)
	}
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(file); err == nil || err.Error() != "file: is not a folder, an edition is one" {
		t.Errorf("a file: got %v", err)
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	_, err := Load(dir)
	if err == nil || !strings.HasPrefix(err.Error(), "CHANGES.md: is missing\nREADME.md: is missing\nSHA256SUMS: is missing\nchanges.csv: is missing\n") {
		t.Errorf("an empty folder: got %v", err)
	}
}

func TestWriteNeverOverwrites(t *testing.T) {
	dir := write(t, tarnholm())
	before := tree(t, dir)
	e := tarnholm()
	e.Title = "Another"
	if err := Write(dir, e); err == nil || err.Error() != "1.0.0: is there already, an edition is never changed" {
		t.Errorf("got %v", err)
	}
	empty := filepath.Join(t.TempDir(), "1.0.0")
	if err := os.Mkdir(empty, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Write(empty, e); err == nil || err.Error() != "1.0.0: is there already, an edition is never changed" {
		t.Errorf("an empty folder: got %v", err)
	}
	if diff := cmp.Diff(before, tree(t, dir)); diff != "" {
		t.Error(diff)
	}
}

func TestAFailedWriteLeavesNothing(t *testing.T) {
	parent := t.TempDir()
	e := tarnholm()
	e.Values[0].Value = "2e0"
	err := Write(filepath.Join(parent, "editions", "1.0.0"), e)
	want := "nothing is written: data/values.csv:2: value: \"2e0\" has an exponent, a number is a plain decimal such as 0.0012"
	if err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
	left, err := os.ReadDir(parent)
	if err != nil || len(left) != 0 {
		t.Errorf("left %v, %v", left, err)
	}
	// Where the folder above cannot be made, nothing is made of it.
	file := filepath.Join(parent, "editions")
	if err := os.WriteFile(file, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(filepath.Join(file, "1.0.0"), tarnholm()); err == nil || !strings.HasSuffix(err.Error(), "editions/1.0.0: not a directory") {
		t.Errorf("got %v", err)
	}
	if got := readFile(t, file); got != "x" {
		t.Errorf("the file in the way holds %q", got)
	}
}

func TestWriteRefuses(t *testing.T) {
	cases := []struct {
		name string
		edit func(e *Edition)
		want []string
	}{
		{"name", func(e *Edition) { e.Name = "Heron Wing" }, []string{`datapackage.json: name: "Heron Wing" is not a name of lower-case letters, digits, dots, dashes and underscores`}},
		{"no title", func(e *Edition) { e.Title = "" }, []string{"datapackage.json: title: is empty, it must not be"}},
		{"no caution", func(e *Edition) { e.Caution = "" }, []string{"datapackage.json: caution: is empty, it must not be"}},
		{"time with an offset", func(e *Edition) { e.Created = "2031-05-04T10:00:00+02:00" }, []string{`datapackage.json: created: "2031-05-04T10:00:00+02:00" is not a time, it would be right in UTC to the second, as 2031-05-04T10:00:00Z`}},
		{"time that never was", func(e *Edition) { e.Reviews[0].When = "2031-02-30T10:00:00Z" }, []string{`data/reviews.csv:3: when: "2031-02-30T10:00:00Z" is not a time, it would be right in UTC to the second, as 2031-05-04T10:00:00Z`}},
		{"licence", func(e *Edition) { e.Licence.Name = "free for all" }, []string{`datapackage.json: licenses: name "free for all" is not an SPDX identifier, such as CC0-1.0`}},
		{"licence path", func(e *Edition) { e.Licence.Path = "../LICENSE" }, []string{`datapackage.json: licenses: path "../LICENSE" is not a web address, it would begin with https://`}},
		{"format", func(e *Edition) { e.Format = 2 }, []string{"datapackage.json: edition_format: is 2, this program knows 1"}},
		{"version", func(e *Edition) { e.Version = "1.0" }, []string{`datapackage.json: version: version "1.0" is not MAJOR.MINOR.PATCH, such as 1.0.0`}},
		{"step too small", func(e *Edition) {
			e.Previous, e.Version = "1.0.0", "1.0.1"
			e.Changes = Changes{{Resource: "values", Key: "v02", Field: "value", Kind: "changed", Old: "0.31", New: "0.30", Step: Minor}}
		}, []string{"datapackage.json: version: version 1.0.1 is too small a step from 1.0.0: the least is minor, 1.1.0 or later, because of values v02: value 0.31 -> 0.30"}},
		{"change list of another edition", func(e *Edition) {
			e.Previous, e.Version = "1.0.0", "2.0.0"
			e.Changes = Changes{
				{Resource: "values", Key: "v02", Field: "value", Kind: "changed", Old: "0.30", New: "0.31", Step: Minor},
				{Resource: "values", Key: "v77", Kind: "added", New: "1", Step: Minor},
				{Resource: "values", Key: "v01", Kind: "removed", Old: "1", Step: Major},
				{Resource: "values", Key: "v01", Field: "unit", Kind: "changed", Old: "rad", New: "deg", Step: Patch},
				{Resource: "kites", Key: "k1", Kind: "added", Step: Minor},
			}
		}, []string{
			`changes.csv:2: resource: "kites" is not a resource`,
			"changes.csv:3: key: v01 is said to be withdrawn from values and is there",
			"changes.csv:4: step: is patch, it would be right as major",
			`changes.csv:5: new: "0.31" differs from "0.30" in data/values.csv`,
			"changes.csv:6: key: v77 is not in values",
		}},
		{"changes without an edition before", func(e *Edition) {
			e.Changes = Changes{{Resource: "package", Field: "title", Kind: "changed", Old: "x", New: "y", Step: Patch}}
		}, []string{"changes.csv:2: the edition names none before it, its change list would be right empty"}},
		{"line break in a text", func(e *Edition) { e.Subjects[0].Title = "Heron\nwing" }, []string{`data/subjects.csv:2: title: "Heron\nwing" holds a line break, a text is one line`}},
		{"control character", func(e *Edition) { e.Subjects[0].Title = "Heron\x00" }, []string{`data/subjects.csv:2: title: "Heron\x00" holds the control character U+0000`}},
		{"direction of writing turned", func(e *Edition) { e.Subjects[0].Title = "Heron \u202egniw" }, []string{`data/subjects.csv:2: title: "Heron \u202egniw" holds the control character U+202E`}},
		{"not UTF-8", func(e *Edition) { e.Subjects[0].Title = "H\xe9ron" }, []string{`data/subjects.csv:2: title: "H\xe9ron" is not UTF-8`}},
		{"white space at an end", func(e *Edition) { e.Subjects[0].Title = "Heron " }, []string{`data/subjects.csv:2: title: "Heron " has white space at an end`}},
		{"at sign", func(e *Edition) { e.Reviews[0].Reason = "@SUM(A1)" }, []string{`data/reviews.csv:3: reason: "@SUM(A1)" begins with "@", a spreadsheet program would take it for a formula`}},
		{"negative page", func(e *Edition) { e.Values[0].Page = -1 }, []string{"data/values.csv:2: page: is -1, the least is 1"}},
		{"no place", func(e *Edition) { e.Values[0].Page = 0 }, []string{"data/values.csv:2: v01 has no place, it would be right with a page, a sheet and cell, or a line"}},
		{"rectangle with three edges", func(e *Edition) { e.Values[0].X1 = "" }, []string{"data/values.csv:2: x0: the rectangle has 3 of its 4 edges"}},
		{"rectangle turned", func(e *Edition) { e.Values[0].X1 = "7.20" }, []string{"data/values.csv:2: x0: the rectangle 72.00 144.50 7.20 154.00 encloses nothing, its left and top edges come first"}},
		{"unit that is not UCUM", func(e *Edition) { e.Values[5].PrintedUnit = "[psf]" }, []string{`data/values.csv:7: printed_unit: "[psf]" is not a UCUM code`}},
		{"no unit", func(e *Edition) { e.Values[0].Unit = "" }, []string{"data/values.csv:2: unit: is empty, it must not be"}},
		{"no meaning", func(e *Edition) { e.Values[0].ConditionsID = "" }, []string{"data/values.csv:2: conditions_id: is empty, it must not be"}},
		{"unit that is not the column's", func(e *Edition) { e.Values[6].Unit = "km/h" }, []string{
			"data/stall_speeds.csv:2: speed: is in m/s, value v07 is in km/h",
			`data/values.csv:8: formula: is "m/s from [mi_i]/h", it would be right as "km/h from [mi_i]/h" between printed "52" in [mi_i]/h and a value in km/h`,
			`data/values.csv:8: value: is 23.25, printed "52" in [mi_i]/h comes to 83.69 in km/h`,
			`data/values.csv:8: half_width: is 0.2235, printed "52" in [mi_i]/h is rounded to 0.8047 km/h at best`,
		}},
		{"other subject's configuration", func(e *Edition) {
			e.Subjects = append(e.Subjects, Subject{SubjectID: "gull", Kind: "wing", Title: "Gull"})
			e.Configurations[0].SubjectID = "gull"
			e.Values, e.Findings = e.Values[:0], e.Findings[:0]
			e.FlapIncrements, e.StallSpeeds, e.Limits, e.Power, e.Characteristics = nil, nil, nil, nil, nil
			e.Configurations[1].FlapDeflection = Measured{}
			e.Polars = []Polar{{PolarID: "heron-plain", Point: 1, SubjectID: "heron-wing", ConfigurationID: "plain", ConditionsID: "wing-8m", SourceID: "tal-r-12", Table: "table-4"}}
		}, []string{"data/polars.csv:2: configuration_id: plain is a configuration of gull, the row is about heron-wing"}},
		{"other subject's value", func(e *Edition) {
			e.Subjects = append(e.Subjects, Subject{SubjectID: "gull", Kind: "wing", Title: "Gull"})
			e.Characteristics[0].SubjectID = "gull"
		}, []string{"data/characteristics.csv:2: value: value v06 is about heron-wing, the row is about gull"}},
		{"other quantity", func(e *Edition) { e.Characteristics[0].Quantity = "flap area" }, []string{"data/characteristics.csv:2: quantity: is flap area, value v06 is wing area"}},
		{"conditions that contradict", func(e *Edition) {
			other := e.Conditions[0]
			other.ConditionsID, other.DragKind, other.Note = "wing-total", "total", "another remark"
			e.Conditions = append(e.Conditions, other)
			e.Values[2].ConditionsID = "wing-total"
		}, []string{`data/polars.csv:3: drag_coefficient: value v03 has conditions with drag_kind total, those of the row have "profile"`}},
		{"half-width without a number", func(e *Edition) { e.Polars[0].MomentCoefficient.HalfWidth = "0.1" }, []string{"data/polars.csv:3: moment_coefficient_half_width: is 0.1, it would be right empty where there is no moment_coefficient"}},
		{"value id without a number", func(e *Edition) { e.Polars[0].MomentCoefficient.ValueID = "v01" }, []string{"data/polars.csv:3: moment_coefficient_value_id: is v01, it would be right empty where there is no moment_coefficient"}},
		{"emended without its text", func(e *Edition) { e.Values[10].PrintEmended = "" }, []string{
			"data/values.csv:12: print_emended: is empty, it holds the text that an emendation puts in place of the print",
			`data/values.csv:12: value: is 0.62, printed is "0.26" in the same unit`,
		}},
		{"emended text in a value that is not", func(e *Edition) { e.Values[1].PrintEmended = ".30" }, []string{`data/values.csv:3: print_emended: is ".30", it would be right empty in a value that is agreed`}},
		{"confirmed by nobody", func(e *Edition) { e.Values[1].Checked = "confirmed" }, []string{"data/values.csv:3: ruling_id: is empty, a value that is confirmed names its ruling"}},
		{"checked otherwise than ruled", func(e *Edition) {
			e.Values[10].Checked, e.Values[10].PrintEmended, e.Values[10].Printed = "reread", "", "0.62"
		}, []string{"data/values.csv:12: checked: is reread, the decision of u2 is emend"}},
		{"superseded ruling", func(e *Edition) { e.Values[1].RulingID = "u1" }, []string{"data/values.csv:3: ruling_id: u1 is superseded by u2"}},
		{"withheld number published", func(e *Edition) {
			e.Reviews = append(e.Reviews, Review{RulingID: "u3", Target: "f1", Decision: "withhold", Reason: "illegible", Who: "ab", When: "2031-05-04T10:00:00Z"})
			e.Values[1].RulingID = "u3"
		}, []string{"data/values.csv:3: ruling_id: u3 withholds the value, it must not be published"}},
		{"emendation without a reason", func(e *Edition) { e.Reviews[0].Reason = "" }, []string{"data/reviews.csv:3: reason: is empty, a ruling to emend says why"}},
		{"emendation without a text", func(e *Edition) { e.Reviews[0].Value = "" }, []string{"data/reviews.csv:3: value: is empty, a ruling to emend gives the text"}},
		{"confirmation with a text", func(e *Edition) { e.Reviews[1].Value = "0.30" }, []string{`data/reviews.csv:2: value: is "0.30", a ruling to confirm gives none`}},
		{"ruling that supersedes itself", func(e *Edition) { e.Reviews[0].Supersedes = "u2" }, []string{"data/values.csv:12: ruling_id: u2 is superseded by u2", "data/reviews.csv:3: supersedes: u2 supersedes itself"}},
		{"open blocking finding", func(e *Edition) { e.Findings[1].Severity = "blocking" }, []string{"data/findings.csv:3: state: is open and blocking, such a finding needs a ruling before anything is published"}},
		{"ruled by nobody", func(e *Edition) { e.Findings[0].RulingID = "" }, []string{"data/findings.csv:2: ruling_id: is empty, a finding that is ruled names its ruling"}},
		{"finding about no value", func(e *Edition) { e.Findings[1].ValueIDs = "v01 v98 v99" }, []string{"data/findings.csv:3: value_ids: v98 is not in data/values.csv", "data/findings.csv:3: value_ids: v99 is not in data/values.csv"}},
		{"list that is not sorted", func(e *Edition) { e.Values[0].Readers = "text keyed-ab" }, []string{`data/values.csv:2: readers: "keyed-ab" stands after "text", a list is sorted and names each once`}},
		{"subject that windows cannot hold", func(e *Edition) {
			e.Subjects = append(e.Subjects, Subject{SubjectID: "aux", Kind: "wing", Title: "Auxiliary"})
		}, []string{`data/subjects.csv:2: subject_id: "aux" cannot be the name of a file on every system`}},
		{"two points of one number", func(e *Edition) { e.Polars[0].Point = 1 }, []string{"data/polars.csv:3: heron-plain/1 is there twice, a primary key is unique"}},
		{"rolling", func(e *Edition) { e.Limits[0].Rolling = "yes" }, []string{`data/limits.csv:2: rolling: "yes" is neither true nor false`}},
		{"web address", func(e *Edition) { e.Sources[0].URL = "file:///report.pdf" }, []string{`data/sources.csv:2: url: "file:///report.pdf" is not a web address, it would begin with https://`}},
		{"digest", func(e *Edition) { e.Sources[0].SHA256 = "9F86" }, []string{`data/sources.csv:2: sha256: "9F86" is not a SHA-256, which has 64 lower-case hexadecimal figures`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := tarnholm()
			c.edit(e)
			dir := filepath.Join(t.TempDir(), "1.0.0")
			err := Write(dir, e)
			want := "nothing is written: " + strings.Join(c.want, "\n")
			if err == nil || err.Error() != want {
				t.Errorf("got\n%v\nwant\n%s", err, want)
			}
			if _, err := os.Lstat(dir); !os.IsNotExist(err) {
				t.Errorf("the edition is there: %v", err)
			}
		})
	}
}

// A converted value follows from its print. Expected figures: NIST SP 811 B.8
// (1 mi/h = 0.44704 m/s, 1 ft2 = 9.290304 E-02 m2, 1 kn = 5.144444 E-01 m/s, all
// [from memory]) and the sea-level 59 degF = 288.15 K of the standard atmosphere.
func TestWriteHoldsAConvertedValueAgainstItsPrint(t *testing.T) {
	set := func(number, half Number) func(e *Edition) {
		return func(e *Edition) {
			e.Values[6].Value, e.Values[6].HalfWidth = number, half
			e.StallSpeeds[0].Speed = Measured{number, half, "v07"}
		}
	}
	// lone adds a value that nothing repeats.
	lone := func(printed, printedUnit string, number Number, to string, half Number) func(e *Edition) {
		return func(e *Edition) {
			v := e.Values[0]
			v.ValueID, v.Quantity, v.Printed, v.PrintedUnit, v.Value, v.Unit, v.HalfWidth = "v0d", "an invented quantity", printed, printedUnit, number, to, half
			_, frac, _ := strings.Cut(printed, ".")
			v.Decimals, v.Formula = Integer(len(frac)), to+" from "+printedUnit
			e.Values = append(e.Values, v)
		}
	}
	cases := []struct {
		name string
		edit func(e *Edition)
		want []string
	}{
		{"value that does not follow", set("26.25", "0.2235"), []string{`data/values.csv:8: value: is 26.25, printed "52" in [mi_i]/h comes to 23.25 in m/s`}},
		{"value rounded the other way, by less than a unit", set("23.24", "0.2235"), nil},
		{"value exact", set("23.24608", "0.2235"), nil},
		{"value a unit and more away", set("23.2471", "0.2235"), []string{`data/values.csv:8: value: is 23.2471, printed "52" in [mi_i]/h comes to 23.2461 in m/s`}},
		{"value so coarse that it hides another", set("23", "0.2235"), []string{`data/values.csv:8: value: is 23, printed "52" in [mi_i]/h comes to 23.25 in m/s`}},
		{"value negative", set("-23.25", "0.2235"), []string{`data/values.csv:8: value: is -23.25, printed "52" in [mi_i]/h comes to 23.25 in m/s`}},
		{"half-width finer than the print", set("23.25", "0.2232"), []string{`data/values.csv:8: half_width: is 0.2232, printed "52" in [mi_i]/h is rounded to 0.2235 m/s at best`}},
		{"half-width coarser than the print", set("23.25", "1.118"), nil},
		{"another print", func(e *Edition) { e.Values[6].Printed = "99" }, []string{`data/values.csv:8: value: is 23.25, printed "99" in [mi_i]/h comes to 44.26 in m/s`}},
		{"another unit of the print", func(e *Edition) { e.Values[6].PrintedUnit = "[kn_i]" }, []string{
			`data/values.csv:8: formula: is "m/s from [mi_i]/h", it would be right as "m/s from [kn_i]" between printed "52" in [kn_i] and a value in m/s`,
			`data/values.csv:8: value: is 23.25, printed "52" in [kn_i] comes to 26.75 in m/s`,
			`data/values.csv:8: half_width: is 0.2235, printed "52" in [kn_i] is rounded to 0.2572 m/s at best`,
		}},
		{"another unit of the print and of the formula", func(e *Edition) { e.Values[6].PrintedUnit, e.Values[6].Formula = "[kn_i]", "m/s from [kn_i]" }, []string{
			`data/values.csv:8: value: is 23.25, printed "52" in [kn_i] comes to 26.75 in m/s`,
			`data/values.csv:8: half_width: is 0.2235, printed "52" in [kn_i] is rounded to 0.2572 m/s at best`,
		}},
		{"unit of the print that nobody knows", func(e *Edition) { e.Values[6].PrintedUnit, e.Values[6].Formula = "kn", "m/s from kn" }, []string{
			`data/values.csv:8: printed_unit: "kn" is not the UCUM code of a unit that is known`}},
		{"unit that nobody knows, under a print that is no numeral", func(e *Edition) {
			lone(`"`, "kn", "26.75", "mps", "0.26")(e)
		}, []string{
			`data/values.csv:14: printed_unit: "kn" is not the UCUM code of a unit that is known`,
			`data/values.csv:14: unit: "mps" is not the UCUM code of a unit that is known`,
		}},
		{"unit of the print of another dimension", func(e *Edition) { e.Values[6].PrintedUnit, e.Values[6].Formula = "[ft_i]2", "m/s from [ft_i]2" }, []string{
			`data/values.csv:8: unit: is m/s, printed is "52" in [ft_i]2: cannot convert square foot (area) to metre per second (speed)`}},
		{"no formula between two units", func(e *Edition) { e.Values[6].Formula = "" }, []string{
			`data/values.csv:8: formula: is "", it would be right as "m/s from [mi_i]/h" between printed "52" in [mi_i]/h and a value in m/s`}},
		{"formula in one unit", func(e *Edition) { e.Values[1].Formula = "as read" }, []string{
			`data/values.csv:3: formula: is "as read", it would be right as "" between printed ".30*" in 1 and a value in 1`}},
		{"formula that excuses another number in one unit", func(e *Edition) {
			e.Values[1].Value, e.Values[1].Formula, e.Polars[0].LiftCoefficient.Value = "0.31", "as read", "0.31"
		}, []string{
			`data/values.csv:3: formula: is "as read", it would be right as "" between printed ".30*" in 1 and a value in 1`,
			`data/values.csv:3: value: is 0.31, printed is ".30*" in the same unit`,
		}},
		{"emended print", func(e *Edition) {
			v := &e.Values[6]
			v.Printed, v.PrintEmended, v.Checked, v.RulingID = "52", "62", "emended", "u2"
		}, []string{`data/values.csv:8: value: is 23.25, print_emended "62" in [mi_i]/h comes to 27.72 in m/s`}},
		{"point on a scale with an offset", lone("59", "[degF]", "288.15", "K", "0.2778"), nil},
		{"point on a scale, offset left out", lone("59", "[degF]", "32.78", "K", "0.2778"), []string{
			`data/values.csv:14: value: is 32.78, printed "59" in [degF] comes to 288.15 in K`}},
		{"width on a scale with an offset", lone("59", "[degF]", "288.15", "K", "0.2"), []string{
			`data/values.csv:14: half_width: is 0.2, printed "59" in [degF] is rounded to 0.2778 K at best`}},
		{"half a turn", lone("180", "deg", "3.14159", "rad", "0.008727"), nil},
		{"half a turn in degrees", lone("180", "deg", "180.000", "rad", "0.5"), []string{
			`data/values.csv:14: value: is 180.000, printed "180" in deg comes to 3.1416 in rad`}},
		{"scaled column", lone("123", "10*-4", "0.0123", "1", "0.00005"), nil},
		{"scaled column, scale left out", lone("123", "10*-4", "123", "1", "0.5"), []string{
			`data/values.csv:14: value: is 123, printed "123" in 10*-4 comes to 0.012300 in 1`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := tarnholm()
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
