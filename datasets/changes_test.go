package datasets

import (
	"slices"
	"strings"
	"testing"
)

func TestCompare(t *testing.T) {
	// One edit a case; the step is that of the published rules for versions.
	cases := []struct {
		name string
		edit func(e *Edition)
		want string // the first change
		n    int
		step Step
	}{
		{"nothing", func(e *Edition) {}, "", 0, ""},
		{"rows in another order", func(e *Edition) { slices.Reverse(e.Values) }, "", 0, ""},
		{"title", func(e *Edition) { e.Title = "Heron" }, "package: title Heron wing of the Tarnholm Aerodynamic Laboratory -> Heron", 1, Patch},
		{"caution", func(e *Edition) { e.Caution = "Not for flight." }, "package: caution Not for flight: period measurements, published for study. -> Not for flight.", 1, Patch},
		{"licence", func(e *Edition) { e.Licence.Name = "CC-BY-4.0" }, "package: licence_name CC0-1.0 -> CC-BY-4.0", 1, Major},
		{"note", func(e *Edition) { e.Subjects[0].Note = "span 30 ft" }, "subjects heron-wing: note nothing -> span 30 ft", 1, Patch},
		{"number", func(e *Edition) { e.Values[1].Value = "0.31" }, "values v02: value 0.30 -> 0.31", 1, Minor},
		{"trailing zero", func(e *Edition) { e.Values[1].Value = "0.3" }, "values v02: value 0.30 -> 0.3", 1, Minor},
		{"half-width", func(e *Edition) { e.Values[1].HalfWidth = "0.05" }, "values v02: half_width 0.005 -> 0.05", 1, Minor},
		{"how it was checked", func(e *Edition) { e.Values[1].Checked = "keyed" }, "values v02: checked agreed -> keyed", 1, Minor},
		{"number of a record", func(e *Edition) { e.Polars[0].LiftCoefficient.Value = "0.31" }, "polars heron-plain/2: lift_coefficient 0.30 -> 0.31", 1, Minor},
		{"unit", func(e *Edition) { e.Values[0].Unit = "rad" }, "values v01: unit deg -> rad", 1, Major},
		{"quantity", func(e *Edition) { e.Values[1].Quantity = "drag coefficient" }, "values v02: quantity lift coefficient -> drag coefficient", 1, Major},
		{"subject", func(e *Edition) { e.Values[1].SubjectID = "gull-wing" }, "values v02: subject_id heron-wing -> gull-wing", 1, Major},
		{"meaning", func(e *Edition) { e.Conditions[0].DragKind = "total" }, "conditions wing-8m: drag_kind profile -> total", 1, Major},
		{"Reynolds number", func(e *Edition) { e.Conditions[0].Reynolds.Value = "3000000" }, "conditions wing-8m: reynolds 8000000 -> 3000000", 1, Major},
		{"deflection", func(e *Edition) { e.Configurations[1].FlapDeflection.Value = "35" }, "configurations split-30: flap_deflection 30 -> 35", 1, Major},
		{"value came", func(e *Edition) { e.Values = append(e.Values, Value{ValueID: "v99", Value: "1.5"}) }, "values v99 added: 1.5", 1, Minor},
		{"value went", func(e *Edition) { e.Values = e.Values[1:] }, "values v01 removed: 2.0", 1, Major},
		{"ruling went", func(e *Edition) { e.Reviews = e.Reviews[1:] }, "reviews u2 removed", 1, Major},
		{"finding came", func(e *Edition) { e.Findings = append(e.Findings, Finding{FindingID: "f9"}) }, "findings f9 added", 1, Minor},
		{"finding went", func(e *Edition) { e.Findings = e.Findings[1:] }, "findings f1 removed", 1, Minor},
		{"id changed", func(e *Edition) { e.Subjects[0].SubjectID = "gull-wing" }, "subjects gull-wing added", 2, Major},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := tarnholm()
			c.edit(e)
			changes := Compare(tarnholm(), e)
			first := ""
			if len(changes) > 0 {
				first = changes[0].String()
			}
			if first != c.want || len(changes) != c.n || changes.Least() != c.step {
				t.Errorf("got %q of %d, %q", first, len(changes), changes.Least())
			}
		})
	}
}

func TestCheckVersion(t *testing.T) {
	number := Changes{{Resource: "values", Key: "v02", Field: "value", Kind: "changed", Old: "0.30", New: "0.31", Step: Minor}}
	unit := append(Changes{{Resource: "subjects", Key: "heron", Field: "note", Kind: "changed", New: "x", Step: Patch},
		{Resource: "values", Key: "v02", Kind: "removed", Old: "0.30", Step: Major}, {Resource: "values", Key: "v03", Kind: "removed", Old: "0.1", Step: Major}}, number...)
	for _, c := range []struct {
		prev, next string
		changes    Changes
		want       string
	}{
		{"", "0.1.0", nil, ""},
		{"", "1.0.0", nil, ""},
		{"", "0.0.9", nil, "version 0.0.9 is too small, a first edition is 0.1.0 or later"},
		{"", "1.0", nil, `version "1.0" is not MAJOR.MINOR.PATCH, such as 1.0.0`},
		{"", "v1.0.0", nil, `version "v1.0.0" is not MAJOR.MINOR.PATCH, such as 1.0.0`},
		{"", "1.0.0-rc.1", nil, `version "1.0.0-rc.1" is not MAJOR.MINOR.PATCH, such as 1.0.0`},
		{"", "01.0.0", nil, `version "01.0.0" is not MAJOR.MINOR.PATCH, such as 1.0.0`},
		{"x", "1.0.0", nil, `the edition before: version "x" is not MAJOR.MINOR.PATCH, such as 1.0.0`},
		{"1.0.0", "1.0.0", nil, "version 1.0.0 does not come after 1.0.0: it would be right as 1.0.1 or later"},
		{"1.2.3", "1.1.9", nil, "version 1.1.9 does not come after 1.2.3: it would be right as 1.2.4 or later"},
		{"1.2.3", "1.2.4", nil, ""},
		{"1.2.3", "1.2.4", number, "version 1.2.4 is too small a step from 1.2.3: the least is minor, 1.3.0 or later, because of values v02: value 0.30 -> 0.31"},
		{"1.2.3", "1.3.0", number, ""},
		{"1.2.3", "2.0.0", number, ""},
		{"1.2.3", "1.3.0", unit, "version 1.3.0 is too small a step from 1.2.3: the least is major, 2.0.0 or later, because of values v02 removed: 0.30, and 1 more"},
		{"1.2.3", "2.0.0", unit, ""},
		{"0.1.0", "0.2.0", unit, "version 0.2.0 is too small a step from 0.1.0: the least is major, 1.0.0 or later, because of values v02 removed: 0.30, and 1 more"},
		{"1.9.0", "1.10.0", number, ""},
	} {
		err := CheckVersion(c.prev, c.next, c.changes)
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%q to %q: got %q, want %q", c.prev, c.next, got, c.want)
		}
	}
}

func TestChangesCSV(t *testing.T) {
	e := tarnholm()
	e.Values[4].Value = "-0.13"
	e.Subjects[0].Title = `The "Heron", a wing`
	want := `resource,key,field,kind,old,new,step
subjects,heron-wing,title,changed,Heron wing,"The ""Heron"", a wing",patch
values,v05,value,changed,-0.12,-0.13,minor
`
	if got := string(Compare(tarnholm(), e).CSV()); got != want {
		t.Errorf("got\n%s", got)
	}
}

func TestChangesMarkdownHidesNothing(t *testing.T) {
	e := tarnholm()
	e.Subjects[0].Title = "<b>Heron</b> *wing* [x](y)"
	got := Compare(tarnholm(), e).Markdown("1.0.0", "1.0.1")
	want := `- subjects heron-wing: title Heron wing -> \<b>Heron\</b> \*wing\* \[x\](y)`
	if !strings.Contains(got, want) {
		t.Errorf("got\n%s", got)
	}
}

// A derived number that came, went or changed between two editions is named with its
// number, in changes.csv and in the text for people; its going is major.
func TestChangesNameDerivedNumbers(t *testing.T) {
	was, is := withDerived(), withDerived()
	is.Derived[0].DerivedID = "d3"                                      // d1 went, d3 came
	is.Derived[1].Value, is.Derived[1].HalfWidth = "59.78759", "0.3450" // and d2 is another
	changes := Compare(was, is)
	wantCSV := `resource,key,field,kind,old,new,step
derived,d1,,removed,0.315807,,major
derived,d2,half_width,changed,0.3449,0.3450,minor
derived,d2,value,changed,59.78758,59.78759,minor
derived,d3,,added,,0.315807,minor
`
	if got := string(changes.CSV()); got != wantCSV {
		t.Errorf("got\n%s", got)
	}
	want := `# Changes in 2.0.0

Against 1.0.0; the least step that the changes allow is major.

## Withdrawn

- derived d1 removed: 0.315807

## Derived numbers

- derived d2: half\_width 0.3449 -> 0.3450
- derived d2: value 59.78758 -> 59.78759
- derived d3 added: 0.315807

## Added

- derived: 1 row
`
	if got := changes.Markdown("1.0.0", "2.0.0"); got != want {
		t.Errorf("got\n%s", got)
	}
	// The list that an edition carries is held against its rows.
	is.Version, is.Previous, is.Changes = "2.0.0", "1.0.0", changes
	is.Derived[1].Value, is.Derived[1].HalfWidth = "59.78758", "0.3449"
	is.Changes = Compare(was, is)
	dir := write(t, is)
	if got, err := Load(dir); err != nil || len(got.Changes) != 2 {
		t.Errorf("%v, %d changes", err, len(got.Changes))
	}
	is.Changes[1].New = "0.31"
	if err := Write(t.TempDir()+"/2.0.0", is); err == nil || !strings.Contains(err.Error(), `changes.csv:3: new: "0.31" differs from "0.315807" in data/derived.csv`) {
		t.Errorf("got %v", err)
	}
}
