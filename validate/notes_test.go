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
	}{{extract.SubHead, Blocking}, {extract.Geometry, Blocking}, {extract.Qualified, Blocking}, {extract.Stray, Doubt}, {extract.GivenLost, Doubt}, {extract.GivenOutside, Doubt}, {extract.WordsUnread, Doubt}} {
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

// A person who corrects the name of a shape has said that what was read with the old
// name is wrong.
func TestCorrectedNameBlocks(t *testing.T) {
	stale := func(used, now []string) []string {
		s := craftStudy()
		source := table(s, liftID).Source
		meta := &s.Readings[liftID][0].Meta
		meta.Reader = "sorts"
		n := &extract.Names{Schema: extract.Schema, Source: source, By: "ab"}
		for i, name := range used {
			meta.Named = append(meta.Named, extract.PictureName{Picture: strings.Repeat(string(rune('a'+i)), 12), Name: name})
		}
		for i, name := range now {
			n.Pictures = append(n.Pictures, extract.NamedPicture{Picture: strings.Repeat(string(rune('a'+i)), 12), Glyphs: 9, Name: name})
		}
		// Those of another source are of no concern.
		s.Names = []*extract.Names{{Source: "other", Pictures: []extract.NamedPicture{{Picture: "aaaaaaaaaaaa", Name: "7"}}}, n}
		var out []string
		for _, f := range Run(s, nil).Blocking() {
			if f.Check == "reading-stale" {
				if !f.Mend || f.Where != "lift:sorts" || f.Hint != "read it again: windtally extract lift" {
					t.Errorf("%+v", f)
				}
				out = append(out, f.Message)
			}
		}
		return out
	}
	for _, tc := range []struct {
		used, now []string
		want      string
	}{
		{[]string{"3", "5", "?"}, []string{"3", "5", "?"}, ""},
		{[]string{"3"}, []string{"3", "5"}, ""}, // one that was not used
		{[]string{"3", "5"}, []string{"3", "6"}, `picture bbbbbbbbbbbb was read as "5" and is named "6" now`},
		{[]string{"3", "5"}, []string{"8", "?"}, `picture aaaaaaaaaaaa was read as "3" and is named "8" now, picture bbbbbbbbbbbb was read as "5" and is named "?" now`},
		{[]string{"?"}, []string{"4"}, `picture aaaaaaaaaaaa was read as "?" and is named "4" now`},
		{[]string{"3"}, []string{""}, `picture aaaaaaaaaaaa was read as "3" and has no name now`},
		{[]string{"3"}, nil, `picture aaaaaaaaaaaa was read as "3" and has no name now`},
	} {
		got := stale(tc.used, tc.now)
		if tc.want == "" && len(got) > 0 || tc.want != "" && (len(got) != 1 || !strings.HasSuffix(got[0], ".yaml was changed after the table was read: "+tc.want)) {
			t.Errorf("used %q, now %q: %q, want %q", tc.used, tc.now, got, tc.want)
		}
	}
}
