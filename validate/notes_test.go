package validate

import (
	"strings"
	"testing"

	"windtally/extract"
)

// A reading binds figures to keys by where the table's file said that the columns
// stand; when that changes, the figures may be under the wrong keys.
func TestStaleReadingBlocks(t *testing.T) {
	s := craftStudy()
	for _, table := range s.Tables {
		for _, r := range s.Readings[table.ID] {
			r.Meta.Geometry = table.Geometry(r.Meta.Reader)
		}
	}
	if r := Run(s, nil); len(r.Blocking()) != 0 {
		t.Fatalf("nothing changed: %v", tell(r))
	}
	lift := table(s, liftID)
	lift.Columns[0].Key, lift.Columns[1].Key = lift.Columns[1].Key, lift.Columns[0].Key
	var stale []*Finding
	for _, f := range Run(s, nil).Blocking() {
		if f.Check == "reading-stale" {
			stale = append(stale, f)
		}
	}
	if len(stale) != 1 || !stale[0].Mend || stale[0].Table != "lift" ||
		stale[0].Message != "tables/lift.yaml was changed after the table was read: its columns now stand elsewhere or under other keys" ||
		!strings.HasPrefix(stale[0].Hint, "take it in again: windtally entry --take FILE --by ab lift") {
		t.Errorf("two keys exchanged: %+v", stale)
	}
}

// What a reader saw and put into no cell is a finding of its own.
func TestNotesOfAReading(t *testing.T) {
	for _, tc := range []struct {
		kind     extract.NoteKind
		severity Severity
	}{{extract.SubHead, Blocking}, {extract.Geometry, Blocking}, {extract.Qualified, Blocking}, {extract.Stray, Doubt}, {extract.GivenLost, Doubt}, {extract.GivenOutside, Doubt}} {
		s := craftStudy()
		s.Readings[liftID][0].Meta.Notes = []extract.Note{{Kind: tc.kind, Text: `page 2: "Flap 30"`}}
		r := Run(s, nil)
		found := 0
		for _, f := range r.Findings {
			if f.Check == string(tc.kind) {
				found++
				if f.Severity != tc.severity || f.Message != `page 2: "Flap 30"` || f.Hint == "" || f.Why == "" || f.Mend {
					t.Errorf("%s: %+v", tc.kind, f)
				}
			}
		}
		if found != 1 {
			t.Errorf("%s: %d findings: %v", tc.kind, found, tell(r))
		}
	}
}
