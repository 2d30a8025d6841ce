package validate

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// besides tells each quantity of a subject that two tables give: its lines, and what
// each pair says.
func besides(t *testing.T, s *extract.Study, subject string) []string {
	t.Helper()
	list, err := Run(s, nil).SideBySide(subject)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, b := range list {
		for i, l := range b.Lines {
			out = append(out, fmt.Sprintf("%s %d: %s:%s of %s, %d figures", b.Quantity.Name, i, l.Table, l.Column, l.Source, l.Figures))
		}
		for _, p := range b.Pairs {
			out = append(out, fmt.Sprintf("%d and %d: %s: %s", p.A, p.B, p.Verdict, strings.Join(p.Why, "; ")))
		}
	}
	return out
}

// besideStalls is the aeroplane of craftStudy with the stalls of a second source, in
// the one setting of the flap that both have; change makes them differ in one thing.
func besideStalls(change func(b *extract.Basis), rows ...string) *extract.Study {
	s := craftStudy()
	s.Sources = append(s.Sources, &extract.Source{Schema: 1, Name: "notes-3", File: "notes-3.pdf", Designation: "Notes No. 3", Title: "Notes", Year: 1938, Rights: "invented",
		SHA256: strings.Repeat("1", 64), Pages: 4})
	for _, t := range s.Tables {
		if t.Name == "stalls" {
			t.Basis.Configuration.Trim = "trimmed"
			s.Readings[t.ID][0].Cells = s.Readings[t.ID][0].Cells[:3] // flap up alone
			s.Registers[t.ID].Rows = s.Registers[t.ID].Rows[:1]
		}
	}
	basis := flightBasis()
	basis.Configuration.Trim = "trimmed"
	change(&basis)
	if rows == nil {
		rows = []string{"0|13127|57"}
	}
	t := addTable(s, extract.Table{ID: "t0000000f", Name: "notes", Basis: basis, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "weight", Quantity: "test weight", Unit: "N"},
		{Key: "vs", Quantity: "stall speed", Unit: "knots"},
	}}, "keyed-ab", rows...)
	t.Source = "notes-3"
	s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "notes"})
	return s
}

func TestSideBySide(t *testing.T) {
	lines := []string{"stall speed 0: stalls:speed of report-12, 1 figures", "stall speed 1: notes:vs of notes-3, 1 figures"}
	for _, c := range []struct {
		name   string
		change func(b *extract.Basis)
		rows   []string
		want   string
	}{
		// 13127.5 and 13127 N: 0.5 <= 0.05 + 0.5.
		{"the same in all", func(*extract.Basis) {}, nil, "0 and 1: may be combined: "},
		{"another kind of airspeed", func(b *extract.Basis) { b.AirspeedKind, b.AirspeedMeaning = "EAS", "V sqrt(sigma)" }, nil, "0 and 1: may not be combined: airspeed kind differs: CAS against EAS"},
		{"trim not stated", func(b *extract.Basis) { b.Configuration.Trim = "not-stated" }, nil, "0 and 1: cannot be told: trim cannot be told: trimmed against not stated"},
		{"power on", func(b *extract.Basis) { b.Configuration.Power = "on" }, nil, "0 and 1: may not be combined: power differs: idle against on"},
		{"another definition of the stall", func(b *extract.Basis) { b.Stall = "landing" }, nil, "0 and 1: may not be combined: stall differs: minimum-speed against landing"},
		{"another flap", func(b *extract.Basis) { b.Configuration.Flap = "split" }, nil, "0 and 1: may not be combined: flap differs: plain against split"},
		{"another deflection", func(*extract.Basis) {}, []string{"10|13127|57"}, "0 and 1: may not be combined: flap deflection differs: 0 against 10"},
		{"another weight", func(*extract.Basis) {}, []string{"0|14000|59"}, "0 and 1: may not be combined: weight differs: 13127.5 N against 14000 N"},
		{"a center of gravity on one side", func(b *extract.Basis) { b.CenterOfGravity = "26 percent" }, nil, "0 and 1: cannot be told: center of gravity cannot be told: not stated against 26 percent"},
		{"two things", func(b *extract.Basis) { b.Configuration.Gear, b.Configuration.Trim = "up", "" }, nil,
			"0 and 1: may not be combined: trim cannot be told: trimmed against not stated; gear differs: fixed against up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := besides(t, besideStalls(c.change, c.rows...), "craft-a")
			if want := append(slices.Clone(lines), c.want); !slices.Equal(got, want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		})
	}
	// A weight of three that both have.
	got := besides(t, besideStalls(func(*extract.Basis) {}, "0|12000|54", "0|13127|57", "0|14000|59"), "craft-a")
	want := []string{lines[0], "stall speed 1: notes:vs of notes-3, 3 figures",
		"0 and 1: may be combined in part: weight is the same only at 13127.5 N: 13127.5 N against 12000 N, 13127 N, 14000 N"}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// What a source says of its indicated airspeed is in its own words.
	s := besideStalls(func(b *extract.Basis) { b.AirspeedKind, b.AirspeedMeaning = "IAS", "as the dial has it" })
	for _, table := range s.Tables {
		if table.Name == "stalls" {
			table.Basis.AirspeedKind, table.Basis.AirspeedMeaning = "IAS", "the reading of the instrument"
		}
	}
	got = besides(t, s, "craft-a")
	want = append(slices.Clone(lines), "0 and 1: cannot be told: airspeed meaning is stated in other words, which may mean the same: the reading of the instrument against as the dial has it")
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestSideBySideOfOneTableAlone(t *testing.T) {
	if got := besides(t, craftStudy(), "craft-a"); got != nil {
		t.Errorf("no quantity stands in two tables, and it tells %q", got)
	}
}

func TestSideBySideRefuses(t *testing.T) {
	if _, err := Run(craftStudy(), nil).SideBySide("craft-b"); err == nil || err.Error() != `there is no subject "craft-b"; known subjects: craft-a` {
		t.Errorf("got %v", err)
	}
	s := newStudy()
	if _, err := Run(s, nil).SideBySide("craft-b"); err == nil || err.Error() != "there is no subject \"craft-b\"; the study has none\nhint: write subjects/craft-b.yaml" {
		t.Errorf("got %v", err)
	}
}

// Which checks would have noticed: the relation that the table prints and the curves for
// a lift coefficient; nothing for the span of a wing whose table has no area.
func TestAnswering(t *testing.T) {
	s := wingStudy()
	r := Run(s, nil)
	before := tell(r)
	for _, c := range []struct {
		table, row, column, want string
	}{
		{polarID, "r05", "cl", "relation difference lift-curve-slope drag-polar"},
		{polarID, "r05", "ld", "relation"},
		{polarID, "r05", "cd", "relation difference drag-polar"},
		{wingID, "r01", "value", "aspect-ratio"},
		{wingID, "r01", "label", ""},
		{polarID, "r99", "cl", ""},
	} {
		if got := strings.Join(r.Answering(extract.CellID{Table: c.table, Row: c.row, Column: c.column}), " "); got != c.want {
			t.Errorf("%s/%s/%s: %q, want %q", c.table, c.row, c.column, got, c.want)
		}
	}
	// Every trial was put back.
	if after := tell(r); !slices.Equal(before, after) {
		t.Errorf("findings changed: %q", after)
	}
	if got, want := r.datum(extract.CellID{Table: polarID, Row: "r05", Column: "cl"}).Number().String(), "0.474"; got != want {
		t.Errorf("the figure is %s now, was %s", got, want)
	}
	// Without the relation and with a single point nothing looks at the figure.
	alone := newStudy()
	addTable(alone, extract.Table{ID: polarID, Name: "polar", Basis: wingBasis(), Columns: []extract.Column{
		{Key: "alpha", Quantity: "angle of attack", Unit: "deg"}, {Key: "cl", Quantity: "lift coefficient", Unit: "1"}}}, "keyed-ab", "2|.316")
	alone.Subjects = []*extract.Subject{{Schema: 1, Name: "wing-a", Kind: "wing", Title: "Wing A", Tables: []extract.SubjectTable{{Table: "polar"}}}}
	if got := Run(alone, nil).Answering(extract.CellID{Table: polarID, Row: "r01", Column: "cl"}); got != nil {
		t.Errorf("a lift coefficient alone: %q", got)
	}
}
