package validate

import (
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"windtally/extract"

	"pgregory.net/rapid"
)

const digestA = "0123456789abcdef"

func rulingsFile(t testing.TB, rows ...string) string {
	t.Helper()
	dir := t.TempDir()
	text := extract.RulingsHead
	for _, r := range rows {
		text += r + "\n"
	}
	if err := os.WriteFile(filepath.Join(dir, "rulings.csv"), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestRulingsAreReadAsTheyWereWritten(t *testing.T) {
	dir := rulingsFile(t)
	want := []Ruling{
		{ID: "u00000001", Target: "t0000000a/r01/cl", Decision: Reread, Value: `.158, "about"`, Reason: "a comma, and \"marks\"", Who: "ab", When: monday, Evidence: digestA},
		{ID: "u00000002", Supersedes: "u00000001", Target: "t0000000a/r01/cl", Decision: Emend, Value: "-.158", Reason: "sign", Who: "rt", When: monday.Add(time.Hour), Evidence: digestA},
		{ID: "u00000003", Target: "f0123456789ab", Decision: Withhold, Reason: "unsure", Who: "ab", When: monday, Evidence: digestA},
		{ID: "u00000004", Target: "f0123456789ac", Decision: Confirm, Reason: "seen", Who: "ab", When: monday, Evidence: digestA},
	}
	for _, u := range want {
		if err := AppendRuling(dir, u); err != nil {
			t.Fatal(err)
		}
	}
	got, err := ReadRulings(dir)
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%v\n%v\nwant\n%v", err, got, want)
	}
	data, _ := os.ReadFile(filepath.Join(dir, "rulings.csv"))
	wantText := `id,supersedes,target,decision,value,reason,who,when,evidence
u00000001,,t0000000a/r01/cl,reread,".158, ""about""","a comma, and ""marks""",ab,1938-05-02T09:00:00Z,0123456789abcdef
u00000002,u00000001,t0000000a/r01/cl,emend,-.158,sign,rt,1938-05-02T10:00:00Z,0123456789abcdef
u00000003,,f0123456789ab,withhold,,unsure,ab,1938-05-02T09:00:00Z,0123456789abcdef
u00000004,,f0123456789ac,confirm,,seen,ab,1938-05-02T09:00:00Z,0123456789abcdef
`
	if string(data) != wantText {
		t.Errorf("the file is\n%s\nwant\n%s", data, wantText)
	}
}

func TestAppendAfterALineWithoutEnd(t *testing.T) {
	dir := rulingsFile(t)
	name := filepath.Join(dir, "rulings.csv")
	if err := os.WriteFile(name, []byte(strings.TrimSuffix(extract.RulingsHead, "\n")), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := AppendRuling(dir, Ruling{ID: "u00000001", Target: "f0123456789ab", Decision: Confirm, Reason: "seen", Who: "ab", When: monday, Evidence: digestA}); err != nil {
		t.Fatal(err)
	}
	if list, err := ReadRulings(dir); err != nil || len(list) != 1 {
		t.Errorf("%d rulings, %v; want the one that was written", len(list), err)
	}
}

const (
	rowA = "u00000001,,t0000000a/r01/cl,confirm,,seen,ab,1938-05-02T09:00:00Z," + digestA
	rowB = "u00000002,u00000001,t0000000a/r01/cl,withhold,,unsure,ab,1938-05-02T10:00:00Z," + digestA
)

func TestMalformedRulings(t *testing.T) {
	const again = "\nhint: no row of the file is ever taken out or changed; restore it from your version control"
	for _, c := range []struct {
		name, row, want string
	}{
		{"valid", rowB, ""},
		{"a field too few", "u00000003,,t0000000a/r01/cl,confirm,,seen,ab,1938-05-02T09:00:00Z", "rulings.csv:3: has 8 fields; it should have 9"},
		{"a time", "u00000003,,t0000000a/r01/cl,confirm,,seen,ab,yesterday," + digestA, `rulings.csv:3: when is "yesterday"; it should be a time such as 2026-01-31T09:30:00Z`},
		{"an id", "3,,t0000000a/r01/cl,confirm,,seen,ab,1938-05-02T09:00:00Z," + digestA, "rulings.csv:3: ruling 3: the id should be u and eight hexadecimal figures"},
		{"a target", "u00000003,,cl,confirm,,seen,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: is about "cl"; it should be a cell (table/row/column) or a finding's id`},
		{"a decision", "u00000003,,t0000000a/r01/cl,approve,,seen,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: decision "approve"; it should be confirm, reread, emend or withhold`},
		{"a value to a confirm", "u00000003,,t0000000a/r01/cl,confirm,.15,seen,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: confirm takes no value, got ".15"`},
		{"an emendation without value", "u00000003,,t0000000a/r01/cl,emend,,seen,ab,1938-05-02T09:00:00Z," + digestA, "rulings.csv:3: ruling u00000003: emend needs the value that is right"},
		{"no reason", "u00000003,,t0000000a/r01/cl,emend,.15,,ab,1938-05-02T09:00:00Z," + digestA, "rulings.csv:3: ruling u00000003: emend needs a reason"},
		{"nobody", "u00000003,,t0000000a/r01/cl,emend,.15,why,,1938-05-02T09:00:00Z," + digestA, "rulings.csv:3: ruling u00000003: nobody signed it"},
		{"a formula", "u00000003,,t0000000a/r01/cl,emend,.15,=1+1,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the reason begins with '=', which spreadsheet programs take for a formula; begin with a letter or a figure`},
		{"a newline in the reason", "u00000003,,t0000000a/r01/cl,confirm,,\"one\ntwo\",ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the reason holds the control character '\n'; write it on one line`},
		{"a newline in the value", "u00000003,,t0000000a/r01/cl,emend,\"1\n2\",why,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the value holds the control character '\n'; write it on one line`},
		{"a formula for a value", "u00000003,,t0000000a/r01/cl,emend,=1+1,why,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the value is "=1+1", which spreadsheet programs take for a formula; only a figure begins with a sign`},
		{"words after a stroke", "u00000003,,t0000000a/r01/cl,reread,-flaps,why,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the value is "-flaps", which spreadsheet programs take for a formula; only a figure begins with a sign`},
		{"a negative figure", "u00000003,,t0000000a/r01/cd,reread,-.158,why,ab,1938-05-02T09:00:00Z," + digestA, ""},
		{"a stroke for no figure", "u00000003,,t0000000a/r01/cd,reread,--,why,ab,1938-05-02T09:00:00Z," + digestA, ""},
		{"nothing printed", "u00000003,,t0000000a/r01/cd,reread,,nothing stands there,ab,1938-05-02T09:00:00Z," + digestA, ""},
		{"white space after the value", "u00000003,,t0000000a/r01/cl,reread,.158 ,why,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the value is ".158 ", with white space at an end; write it without`},
		{"white space after the reason", "u00000003,,t0000000a/r01/cl,confirm,,seen ,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: ruling u00000003: the reason is "seen ", with white space at an end; write it without`},
		{"no evidence", "u00000003,,t0000000a/r01/cl,confirm,,seen,ab,1938-05-02T09:00:00Z,", `rulings.csv:3: ruling u00000003: its evidence is ""; it should be sixteen hexadecimal figures`},
		{"an open quotation mark", "u00000003,,t0000000a/r01/cl,confirm,,\"seen,ab,1938-05-02T09:00:00Z," + digestA, `rulings.csv:3: is not a row of CSV: extraneous or missing " in quoted-field`},
		{"a mark of a conflict", "<<<<<<< HEAD", "rulings.csv:3: has 1 fields; it should have 9"},
		{"the same id with other words", strings.Replace(rowA, "seen", "looked at", 1), "rulings.csv:3: ruling u00000001 stands twice with different words"},
		{"the same row twice, as a merge leaves it", rowA, ""},
		{"what it supersedes is lost", strings.Replace(rowB, "u00000001", "u0000000f", 1), "rulings.csv:3: ruling u00000002: supersedes u0000000f, which is not in the file" + again},
		{"it supersedes a ruling on something else", strings.Replace(rowB, "r01", "r02", 1), "rulings.csv:3: ruling u00000002: is about t0000000a/r02/cl and supersedes u00000001, which is about t0000000a/r01/cl" + again},
		{"it supersedes itself", strings.Replace(rowB, "u00000001", "u00000002", 1), "rulings.csv:3: ruling u00000002: it supersedes itself"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadRulings(rulingsFile(t, rowA, c.row))
			got := ""
			if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
	circle := strings.Replace(rowA, "u00000001,,", "u00000001,u00000002,", 1)
	if _, err := ReadRulings(rulingsFile(t, circle, rowB)); err == nil || err.Error() != "rulings.csv:2: ruling u00000001: supersedes itself by way of u00000002"+again {
		t.Errorf("a circle: %v", err)
	}
	dir := rulingsFile(t)
	if err := os.WriteFile(filepath.Join(dir, "rulings.csv"), []byte("id,target\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadRulings(dir); err == nil || err.Error() != "rulings.csv:1: the head row should be id,supersedes,target,decision,value,reason,who,when,evidence" {
		t.Errorf("another head: %v", err)
	}
	if _, err := ReadRulings(t.TempDir()); err == nil || err.Error() != "rulings.csv: is not there; a study without rulings has it with its head row alone\nhint: restore it from your version control" {
		t.Errorf("no file: %v", err)
	}
}

func TestAMalformedRulingIsNotWritten(t *testing.T) {
	dir := rulingsFile(t, rowA)
	before, _ := os.ReadFile(filepath.Join(dir, "rulings.csv"))
	err := AppendRuling(dir, Ruling{ID: "u00000002", Target: "t0000000a/r01/cl", Decision: Emend, Value: "1\n2", Reason: "why", Who: "ab", When: monday, Evidence: digestA})
	if want := `ruling u00000002: the value holds the control character '\n'; write it on one line`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if after, _ := os.ReadFile(filepath.Join(dir, "rulings.csv")); string(after) != string(before) {
		t.Errorf("the file was changed to\n%s", after)
	}
}

func FuzzRulings(f *testing.F) {
	f.Add([]byte(extract.RulingsHead))
	f.Add([]byte(extract.RulingsHead + rowA + "\n" + rowB + "\n"))
	f.Add([]byte(extract.RulingsHead + rowB + "\n" + rowA + "\n\n" + rowA))
	f.Add([]byte(extract.RulingsHead + "u00000003,,t0000000a/r01/cl,emend,\"1,\"\"2\",why,ab,1938-05-02T09:00:00+02:00," + digestA))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := parseRulings(data)
		if err != nil {
			return
		}
		// What was read is written and read again as the same rulings.
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "rulings.csv"), []byte(extract.RulingsHead), 0o666); err != nil {
			t.Fatal(err)
		}
		for _, u := range list {
			if err := AppendRuling(dir, u); err != nil {
				t.Fatalf("%+v was read and cannot be written: %v", u, err)
			}
		}
		again, err := ReadRulings(dir)
		if err != nil || len(again) != len(list) {
			t.Fatalf("%d rulings became %d: %v", len(list), len(again), err)
		}
		for i := range list {
			if a, b := list[i], again[i]; a.ID != b.ID || a.Value != b.Value || a.Reason != b.Reason || !a.When.Truncate(time.Second).Equal(b.When) {
				t.Fatalf("%+v became %+v", a, b)
			}
		}
	})
}

// at runs a study of a folder with its rulings.
func at(t *testing.T, s *extract.Study) *Report {
	t.Helper()
	list, err := ReadRulings(s.Dir)
	if err != nil {
		t.Fatal(err)
	}
	return Run(s, list)
}

func rule(t *testing.T, s *extract.Study, target string, act Act) *Report {
	t.Helper()
	if act.Who == "" {
		act.Who = "ab"
	}
	if act.When.IsZero() {
		act.When = monday
	}
	if _, err := at(t, s).Decide(target, act); err != nil {
		t.Fatal(err)
	}
	return at(t, s)
}

func want(t *testing.T, r *Report, list ...string) {
	t.Helper()
	if got := tell(r); !slices.Equal(got, list) {
		t.Errorf("findings:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(list, "\n"))
	}
}

func cell(r *Report, row, column string) extract.Collated {
	return *r.Cell(extract.CellID{Table: liftID, Row: row, Column: column})
}

// disputed is the aeroplane with two readings of its maxima that differ in one cell.
func disputed(t *testing.T) *extract.Study {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	addReading(s, table(s, liftID), "keyed-rt", "0.0|1.66", "40.0|2.10")
	return s
}

const differs = `blocking collation lift:r01:clmax: keyed-ab reads "1.60", keyed-rt reads "1.66" | t0000000e/r01/clmax`

func TestRereadSettlesADispute(t *testing.T) {
	s := disputed(t)
	r := at(t, s)
	want(t, r, differs)
	_, err := r.Decide("lift:r01:clmax", Act{Decision: Confirm, Who: "ab", When: monday})
	if msg := `the readings of lift:r01:clmax differ (keyed-ab reads "1.60", keyed-rt reads "1.66"); say what the print says: --reread TEXT`; err == nil || err.Error() != msg {
		t.Errorf("a confirm of two texts: %v", err)
	}
	// On the finding it is recorded for the cell.
	r = rule(t, s, r.Findings[0].ID, Act{Decision: Reread, Value: "1.60"})
	want(t, r)
	if c := cell(r, "r01", "clmax"); c.State != extract.Reread || c.Print != "1.60" || c.Text != "1.60" || c.Settled.By != "ab" {
		t.Errorf("the cell is %+v", c)
	}
}

func TestEmendKeepsThePrint(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, liftID, "r01", "clmax", "1.06")
	if r := at(t, s); len(r.Blocking()) != 1 || r.Blocking()[0].Check != "stall-speed" {
		t.Fatalf("1.06 for 1.60 is not noticed: %v", tell(r))
	}
	r := rule(t, s, "lift:r01:clmax", Act{Decision: Emend, Value: "1.60", Reason: "digits exchanged, the speed says so"})
	want(t, r)
	if c := cell(r, "r01", "clmax"); c.State != extract.Emended || c.Print != "1.06" || c.Text != "1.60" {
		t.Errorf("the cell is %+v", c)
	}
	for _, e := range r.Records[0].Entries {
		if e.Cell.ID.String() == "t0000000e/r01/clmax" && e.Number().String() != "1.60" {
			t.Errorf("the study goes on with %s, the emendation is 1.60", e.Number())
		}
	}
}

func TestConfirmCountsAsAnEye(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	s.Settings.Eyes = 1
	for _, list := range s.Readings {
		for _, r := range list {
			r.Meta.Reader = "text"
		}
	}
	r := at(t, s)
	if len(r.Findings) != 3 {
		t.Fatalf("three tables that nobody looked at, findings: %v", tell(r))
	}
	for range 3 {
		r = rule(t, s, at(t, s).Blocking()[0].ID, Act{Decision: Confirm})
	}
	if len(r.Blocking()) != 0 || len(r.Findings) != 3 {
		t.Errorf("after three confirmations: %v", tell(r))
	}
	if c := cell(r, "r01", "clmax"); c.State != extract.Confirmed || c.Settled.By != "ab" {
		t.Errorf("the cell is %+v", c)
	}
}

func TestARulingLapsesWhenTheReadingChanges(t *testing.T) {
	s := disputed(t)
	r := rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60"})
	u := r.Rulings[0].ID
	set(s, liftID, "r01", "clmax", "1.50")
	lapsed := "blocking ruling-lapsed lift:r01:clmax: ruling " + u + " (reread by ab) was made on readings that have changed since | t0000000e/r01/clmax"
	r = at(t, s)
	want(t, r, strings.Replace(differs, "1.60", "1.50", 1), lapsed)
	// Ruling on the lapsed one is ruling on the cell.
	r = rule(t, s, r.Findings[1].ID, Act{Decision: Reread, Value: "1.60", Reason: "looked again"})
	want(t, r)
	if last := r.Rulings[1]; last.Supersedes != u || last.Target != "t0000000e/r01/clmax" {
		t.Errorf("the new ruling is %+v", last)
	}
}

// What a figure means is evidence too: a finding confirmed in miles is another in knots.
func TestARulingOnAFindingLapses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(s *extract.Study)
	}{
		{"the cell", func(s *extract.Study) { set(s, stallsID, "r01", "speed", "66.0") }},
		{"the unit", func(s *extract.Study) { table(s, stallsID).Columns[2].Unit = "m/s" }},
		{"the kind of airspeed", func(s *extract.Study) { table(s, stallsID).Basis.AirspeedKind = "EAS" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := craftStudy()
			s.Dir = rulingsFile(t)
			set(s, stallsID, "r01", "speed", "64.4")
			id := at(t, s).Blocking()[0].ID
			if r := rule(t, s, id, Act{Decision: Confirm}); len(r.Blocking()) != 0 {
				t.Fatalf("blocks after a confirmation: %v", tell(r))
			}
			c.change(s)
			r := at(t, s)
			f := r.Finding(id)
			if f == nil || !f.Blocks() || !strings.HasSuffix(f.Message, "(ruling "+r.Rulings[0].ID+" by ab was made on other evidence and has lapsed)") {
				t.Errorf("findings: %v", tell(r))
			}
		})
	}
}

// A doubt whose ruling has lapsed blocks: what was withheld would come out again.
func TestALapsedDoubtBlocks(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, craftID, "r03", "value", "7.51")
	id := at(t, s).Findings[0].ID
	r := rule(t, s, id, Act{Decision: Withhold, Reason: "2 percent off"})
	if len(r.Findings) != 1 || r.Findings[0].Blocks() || r.Cell(extract.CellID{Table: craftID, Row: "r03", Column: "value"}).State != extract.Withheld {
		t.Fatalf("after withholding: %v", tell(r))
	}
	set(s, craftID, "r03", "value", "7.52")
	if r = at(t, s); len(r.Blocking()) != 1 || r.Blocking()[0].ID != id {
		t.Errorf("the figure changed: %v", tell(r))
	}
	set(s, craftID, "r03", "value", "7.366")
	r = at(t, s)
	want(t, r, "blocking ruling-lapsed "+id+": ruling "+r.Rulings[0].ID+" by ab withheld the figures of a finding that is no longer made")
	want(t, rule(t, s, id, Act{Undo: true, Reason: "the print was read anew"}))
}

// What leans on a withheld figure does not come out without it.
func TestWithheldFiguresGovernNothing(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, stallsID, "r01", "weight", "9000")
	set(s, stallsID, "r02", "weight", `"`)
	id := at(t, s).Blocking()[0].ID // the first speed does not fit the weight
	r := rule(t, s, id, Act{Decision: Withhold, Reason: "weight in doubt"})
	var blocking []string
	for _, f := range r.Blocking() {
		blocking = append(blocking, f.Check+" "+f.Where)
	}
	// The wing area is among the cells of the finding, so it goes too.
	if got := strings.Join(blocking, ", "); got != "not-a-number stalls:r02:weight, reference stalls:speed" {
		t.Errorf("blocking: %s", got)
	}
	for _, e := range r.Records[0].Entries {
		if e.Series.Table.Name == "stalls" && e.Column != "flap" {
			t.Errorf("%s is still in the record", e.Cell.ID)
		}
	}
}

func TestTwoRulingsThatDisagreeBlock(t *testing.T) {
	s := disputed(t)
	evidence := at(t, s).Cell(extract.CellID{Table: liftID, Row: "r01", Column: "clmax"}).Evidence()
	for _, u := range []Ruling{
		{ID: "u00000001", Target: "t0000000e/r01/clmax", Decision: Reread, Value: "1.60", Reason: "seen", Who: "ab", When: monday, Evidence: evidence},
		{ID: "u00000002", Target: "t0000000e/r01/clmax", Decision: Reread, Value: "1.66", Reason: "seen", Who: "rt", When: monday, Evidence: evidence},
	} {
		if err := AppendRuling(s.Dir, u); err != nil {
			t.Fatal(err)
		}
	}
	r := at(t, s)
	want(t, r, differs, "blocking rulings-disagree lift:r01:clmax: two rulings that stand disagree: u00000001: reread 1.60 (ab); u00000002: reread 1.66 (rt) | t0000000e/r01/clmax")
	r = rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60", Reason: "settled together"})
	want(t, r)
	if len(r.Rulings) != 4 || r.Rulings[2].Supersedes != "u00000001" || r.Rulings[3].Supersedes != "u00000002" {
		t.Errorf("the rulings are %+v", r.Rulings)
	}
}

func TestTwoRulingsThatAgreeAreOne(t *testing.T) {
	s := disputed(t)
	evidence := at(t, s).Cell(extract.CellID{Table: liftID, Row: "r01", Column: "clmax"}).Evidence()
	for i, who := range []string{"ab", "rt"} {
		if err := AppendRuling(s.Dir, Ruling{ID: "u0000000" + string(rune('1'+i)), Target: "t0000000e/r01/clmax", Decision: Reread, Value: "1.60", Reason: "seen", Who: who, When: monday, Evidence: evidence}); err != nil {
			t.Fatal(err)
		}
	}
	want(t, at(t, s))
}

func TestUndo(t *testing.T) {
	s := disputed(t)
	rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60"})
	r := rule(t, s, "lift:r01:clmax", Act{Undo: true, Reason: "wrong row"})
	want(t, r, differs)
	if !r.Rulings[1].Lifts() || r.Rulings[0].Lifts() {
		t.Errorf("the rulings are %+v", r.Rulings)
	}
	if _, err := r.Decide("lift:r01:clmax", Act{Undo: true, Reason: "again", Who: "ab", When: monday}); err == nil || err.Error() != "no ruling stands on lift:r01:clmax" {
		t.Errorf("a second undo: %v", err)
	}
	want(t, rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60"}))
}

func TestWithholdACell(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	r := rule(t, s, "lift:r01:clmax", Act{Decision: Withhold, Reason: "not for publication"})
	want(t, r)
	for _, e := range r.Records[0].Entries {
		if e.Cell.ID.String() == "t0000000e/r01/clmax" {
			t.Error("the withheld figure is in the record")
		}
	}
}

func TestDecideRefuses(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, stallsID, "r01", "speed", "64.4")
	table(s, liftID).Relations = []string{"x = y / z"}
	r := at(t, s)
	mend, stall := "", ""
	for _, f := range r.Findings {
		if f.Check == "relation" {
			mend = f.ID
		} else {
			stall = f.ID
		}
	}
	for _, c := range []struct {
		target string
		act    Act
		want   string
	}{
		{"clmax", Act{Decision: Confirm}, `"clmax" is neither a finding's id nor a cell; write a cell as TABLE:ROW:COLUMN with the keys that windtally show prints`},
		{"f0123456789ab", Act{Decision: Confirm}, "there is no finding f0123456789ab; windtally findings lists them"},
		{"lift:r09:clmax", Act{Decision: Confirm}, "table lift has no row r09; windtally show lift prints its rows"},
		{"lift:r01:cd", Act{Decision: Confirm}, "table lift has no column cd; its columns: flap, clmax"},
		{"lift:given:re", Act{Decision: Confirm}, "table lift has no given figure re"},
		{mend, Act{Decision: Confirm}, mend + " (relation) is settled by mending the file, not by a ruling: "},
		{stall, Act{Decision: Emend, Value: "56.0", Reason: "r"}, stall + " is about 4 cells; name the one that is wrong: stalls:r01:speed, stalls:r01:weight, craft:r02:value, lift:r01:clmax"},
		{"lift:r01:clmax", Act{Decision: Withhold}, "withhold needs a reason"},
		{"lift:r01:clmax", Act{Undo: true, Reason: "r"}, "no ruling stands on lift:r01:clmax"},
	} {
		c.act.Who, c.act.When = "ab", monday
		_, err := r.Decide(c.target, c.act)
		if err == nil || !strings.HasSuffix(err.Error(), c.want) {
			t.Errorf("%s %+v: %v, want %s", c.target, c.act, err, c.want)
		}
	}
	if data, _ := os.ReadFile(filepath.Join(s.Dir, "rulings.csv")); string(data) != extract.RulingsHead {
		t.Errorf("a refused act was written:\n%s", data)
	}
}

// The order of the rows of rulings.csv means nothing.
func TestTheOrderOfRulingsMeansNothing(t *testing.T) {
	s := disputed(t)
	set(s, stallsID, "r02", "speed", "56.2")
	rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.66"})
	rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60", When: monday.Add(time.Hour)})
	rule(t, s, "lift:r02:clmax", Act{Decision: Withhold, Reason: "w"})
	rule(t, s, "lift:r02:clmax", Act{Undo: true, Reason: "u"})
	rule(t, s, "craft:r01:value", Act{Decision: Confirm})
	for _, f := range at(t, s).Blocking() {
		rule(t, s, f.ID, Act{Decision: Withhold, Reason: "does not fit"})
	}
	r := at(t, s)
	wanted := strings.Join(tell(r), "\n")
	states := func(r *Report) string {
		var list []string
		for _, s := range r.Series {
			for c := range s.Collation.Cells() {
				list = append(list, c.ID.String()+" "+string(c.State)+" "+c.Text)
			}
		}
		slices.Sort(list)
		return strings.Join(list, "\n")
	}
	rapid.Check(t, func(rt *rapid.T) {
		list := slices.Clone(r.Rulings)
		rand.New(rand.NewSource(rapid.Int64().Draw(rt, "seed"))).Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		again := Run(s, list)
		if got := strings.Join(tell(again), "\n"); got != wanted {
			rt.Errorf("in the order %v the findings are\n%s\nwant\n%s", list, got, wanted)
		}
		if states(again) != states(r) {
			rt.Errorf("in the order %v the cells are\n%s\nwant\n%s", list, states(again), states(r))
		}
	})
}

// An id of a finding and an id of a cell outlive the file's name and the value.
func TestFindingIDsOutliveNamesAndValues(t *testing.T) {
	s := wingStudy()
	for _, r := range s.Readings[polarID] {
		r.Meta.Reader = "text"
	}
	set(s, polarID, "r05", "ld", "204")
	set(s, polarID, "r06", "cd", "")
	set(s, polarID, "r07", "cd", ".O468")
	ids := func() string {
		var list []string
		for _, f := range Run(s, nil).Findings {
			list = append(list, f.Check+" "+f.ID)
		}
		slices.Sort(list)
		return strings.Join(list, "\n")
	}
	before := ids()
	if n := strings.Count(before, "\n") + 1; n != 4 {
		t.Fatalf("%d findings, want 4:\n%s", n, before)
	}
	table(s, polarID).Name, s.Subjects[0].Tables[0].Table = "polar-of-the-wing", "polar-of-the-wing"
	if after := ids(); after != before {
		t.Errorf("after renaming the table:\n%s\nwant\n%s", after, before)
	}
	set(s, polarID, "r05", "ld", "205")
	set(s, polarID, "r07", "cd", ".O469")
	if after := ids(); after != before {
		t.Errorf("with other values:\n%s\nwant\n%s", after, before)
	}
}

// The print's text outlives an emendation also where the readings differ and only a
// reread said what the print says; a cell of which nobody has said what the print
// says cannot be emended.
func TestEmendAfterReread(t *testing.T) {
	s := disputed(t)
	act := Act{Decision: Emend, Value: "1.61", Reason: "misprint", Who: "ab", When: time.Date(1938, 5, 2, 9, 0, 0, 0, time.UTC)}
	_, err := at(t, s).Decide("lift:r01:clmax", act)
	if want := "what the print says in lift:r01:clmax is not settled; say that first (--reread TEXT), then what is right (--emend TEXT)"; err == nil || err.Error() != want {
		t.Fatalf("emending a disputed cell: %v; want %s", err, want)
	}
	rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Value: "1.60"})
	rule(t, s, "lift:r01:clmax", act)
	act.Value = "1.62"
	r := rule(t, s, "lift:r01:clmax", act) // an emendation of an emendation
	if c := cell(r, "r01", "clmax"); c.State != extract.Emended || c.Print != "1.60" || c.Text != "1.62" {
		t.Errorf("after reread 1.60, emend 1.61 and emend 1.62: %+v", c)
	}
	// Nothing printed there: nothing to emend.
	rule(t, s, "lift:r01:clmax", Act{Decision: Reread, Reason: "the paper is torn"})
	if _, err := at(t, s).Decide("lift:r01:clmax", act); err == nil || !strings.Contains(err.Error(), "is not settled") {
		t.Errorf("emending what is not printed: %v", err)
	}
}

// single is the aeroplane in a folder, with one reading of its maxima.
func single(t *testing.T) *extract.Study {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, liftID, "r01", "clmax", "1.66")
	return s
}

const clmax = "lift:r01:clmax"

func standsAs(t *testing.T, r *Report, state extract.State, print, text string) {
	t.Helper()
	if c := cell(r, "r01", "clmax"); c.State != state || c.Print != print || c.Text != text {
		t.Errorf("the cell is %s, print %q, text %q; want %s, %q, %q", c.State, c.Print, c.Text, state, print, text)
	}
}

// Who confirms a cell endorses what stands on it, not the reading that was wrong.
func TestConfirmEndorsesWhatStands(t *testing.T) {
	s := single(t)
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.60", Reason: "a blot"})
	r := rule(t, s, clmax, Act{Decision: Confirm, Who: "rt"})
	standsAs(t, r, extract.Reread, "1.60", "1.60")
	if u := r.Rulings[1]; u.Decision != Reread || u.Value != "1.60" || u.Reason != "a blot" || u.Who != "rt" || u.Supersedes != r.Rulings[0].ID {
		t.Errorf("a confirm of a reread is written as %+v", u)
	}
	rule(t, s, clmax, Act{Decision: Emend, Value: "1.61", Reason: "misprint"})
	r = rule(t, s, clmax, Act{Decision: Confirm, Who: "rt", Reason: "the errata say so"})
	standsAs(t, r, extract.Emended, "1.60", "1.61")
	if u := r.Rulings[3]; u.Decision != Emend || u.Value != "1.61" || u.Reason != "misprint; the errata say so" || u.Who != "rt" {
		t.Errorf("a confirm of an emendation is written as %+v", u)
	}
	rule(t, s, clmax, Act{Decision: Withhold, Reason: "unsure"})
	_, err := at(t, s).Decide(clmax, Act{Decision: Confirm, Who: "rt", When: monday})
	if want := "a withhold stands on lift:r01:clmax; undo it first (--undo)"; err == nil || err.Error() != want {
		t.Errorf("a confirm of a withheld cell: %v; want %s", err, want)
	}

	// Also where the readings differ, and a person's text stands.
	s = disputed(t)
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.60"})
	standsAs(t, rule(t, s, clmax, Act{Decision: Confirm, Who: "rt"}), extract.Reread, "1.60", "1.60")
}

func TestConfirmOfRulingsThatDisagree(t *testing.T) {
	s := single(t)
	evidence := at(t, s).Cell(extract.CellID{Table: liftID, Row: "r01", Column: "clmax"}).Evidence()
	for i, value := range []string{"1.60", "1.61"} {
		if err := AppendRuling(s.Dir, Ruling{ID: "u0000000" + string(rune('1'+i)), Target: "t0000000e/r01/clmax", Decision: Reread, Value: value, Reason: "seen", Who: "ab", When: monday, Evidence: evidence}); err != nil {
			t.Fatal(err)
		}
	}
	_, err := at(t, s).Decide(clmax, Act{Decision: Confirm, Who: "rt", When: monday})
	if want := "two rulings that stand on lift:r01:clmax disagree, so there is nothing to confirm; say what the print says: --reread TEXT"; err == nil || err.Error() != want {
		t.Errorf("%v; want %s", err, want)
	}
}

// Each undo goes one step back, and none goes forward again.
func TestUndoStepsBack(t *testing.T) {
	undo := Act{Undo: true, Reason: "not so", Who: "rt"}
	s := single(t)
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.60"})
	rule(t, s, clmax, Act{Decision: Emend, Value: "1.61", Reason: "misprint"})
	rule(t, s, clmax, Act{Decision: Emend, Value: "1.62", Reason: "misprint"})
	rule(t, s, clmax, Act{Decision: Withhold, Reason: "blot"})
	r := rule(t, s, clmax, undo)
	standsAs(t, r, extract.Emended, "1.60", "1.62")
	if u := r.Rulings[4]; u.Reason != "back to ruling "+r.Rulings[2].ID+": not so" || u.Who != "rt" || u.Supersedes != r.Rulings[3].ID || u.Evidence != r.Rulings[2].Evidence {
		t.Errorf("the undo is written as %+v", u)
	}
	standsAs(t, rule(t, s, clmax, undo), extract.Emended, "1.60", "1.61")
	standsAs(t, rule(t, s, clmax, undo), extract.Reread, "1.60", "1.60")
	standsAs(t, rule(t, s, clmax, undo), extract.Keyed, "1.66", "1.66")
	if _, err := at(t, s).Decide(clmax, Act{Undo: true, Reason: "r", Who: "ab", When: monday}); err == nil || err.Error() != "no ruling stands on lift:r01:clmax" {
		t.Errorf("a fifth undo: %v", err)
	}

	// A decision after an undo goes back to what the undo left.
	s = single(t)
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.60"})
	rule(t, s, clmax, Act{Decision: Withhold, Reason: "blot"})
	rule(t, s, clmax, undo)
	rule(t, s, clmax, Act{Decision: Confirm, Who: "rt"})
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.68"})
	standsAs(t, rule(t, s, clmax, undo), extract.Reread, "1.60", "1.60") // the confirm's
	standsAs(t, rule(t, s, clmax, undo), extract.Reread, "1.60", "1.60") // the undo's
	standsAs(t, rule(t, s, clmax, undo), extract.Keyed, "1.66", "1.66")

	// Not back to what was decided on other readings.
	s = single(t)
	rule(t, s, clmax, Act{Decision: Reread, Value: "1.60"})
	set(s, liftID, "r01", "clmax", "1.67")
	rule(t, s, clmax, Act{Decision: Withhold, Reason: "blot"})
	r = rule(t, s, clmax, undo)
	standsAs(t, r, extract.Keyed, "1.67", "1.67")
	if !r.Rulings[2].Lifts() {
		t.Errorf("the undo is written as %+v", r.Rulings[2])
	}
}

func TestUndoOfARulingOnAFinding(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, stallsID, "r01", "speed", "64.4")
	id := at(t, s).Blocking()[0].ID
	rule(t, s, id, Act{Decision: Withhold, Reason: "does not fit"})
	rule(t, s, id, Act{Decision: Confirm})
	undo := Act{Undo: true, Reason: "the other page"}
	if r := rule(t, s, id, undo); r.Finding(id).Ruling == nil || r.Finding(id).Ruling.Decision != Withhold {
		t.Errorf("after withhold, confirm and undo: %+v", r.Finding(id))
	}
	if r := rule(t, s, id, undo); !r.Finding(id).Blocks() {
		t.Errorf("after the second undo: %+v", r.Finding(id))
	}
}

// Words that a person wrote bring nothing back.
func TestAReasonThatLooksLikeAnUndo(t *testing.T) {
	all := []Ruling{
		{ID: "u00000001", Target: "t0000000a/r01/cl", Decision: Reread, Value: "1"},
		{ID: "u00000002", Supersedes: "u00000001", Target: "t0000000a/r01/cl", Decision: Reread, Value: "2"},
		{ID: "u00000003", Supersedes: "u00000002", Target: "t0000000a/r01/cl", Decision: Reread, Value: "3", Reason: "back to ruling u00000001: no"},
		{ID: "u00000004", Supersedes: "u00000003", Target: "t0000000a/r01/cl", Decision: Reread, Value: "4", Reason: "back to ruling u00000004: no"},
		{ID: "u00000005", Supersedes: "u00000004", Target: "t0000000a/r01/cl", Decision: Reread, Value: "5", Reason: "back to ruling u0000000f: no"},
	}
	byID := rulingsByID(all)
	for i, u := range all {
		wanted := ""
		if i > 0 {
			wanted = all[i-1].ID
		}
		if p, _ := before(byID, u); p.ID != wanted {
			t.Errorf("before %s stood %q, want %q", u.ID, p.ID, wanted)
		}
	}
}

// Nobody looked at the digits of a row that another reading rightly lacks.
func TestConfirmOfALostRowIsNoLookAtItsFigures(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	addReading(s, table(s, liftID), "keyed-rt", "0.0|1.60")
	id := at(t, s).Blocking()[0].ID
	r := rule(t, s, id, Act{Decision: Confirm, Reason: "keyed-rt stopped at the page break"})
	if c := cell(r, "r02", "clmax"); len(r.Blocking()) != 0 || c.State != extract.Keyed || c.Settled != nil {
		t.Errorf("the cell is %+v; findings %v", c, tell(r))
	}
	r = rule(t, s, id, Act{Decision: Withhold, Reason: "the print has no such row"})
	if c := cell(r, "r02", "clmax"); c.State != extract.Withheld {
		t.Errorf("withheld, the cell is %+v", c)
	}
}

// An emendation is a value in a unit; what the print says is not.
func TestAnEmendationLapsesWithItsUnit(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	set(s, stallsID, "r01", "speed", "66.0")
	r := rule(t, s, "stalls:r01:speed", Act{Decision: Emend, Value: "56.0", Reason: "misprint"})
	rule(t, s, "stalls:r02:speed", Act{Decision: Reread, Value: "48.9"})
	want(t, r)
	u := r.Rulings[0].ID
	table(s, stallsID).Columns[2].Unit = "m/s"
	r = at(t, s)
	var lapsed []string
	for _, f := range r.Findings {
		if f.Check == "ruling-lapsed" {
			lapsed = append(lapsed, told(&f))
		}
	}
	if len(lapsed) != 1 || lapsed[0] != "blocking ruling-lapsed stalls:r01:speed: ruling "+u+" (emend by ab) was made on readings, a quantity or a unit that have changed since | t0000000d/r01/speed" {
		t.Errorf("lapsed: %v", lapsed)
	}
	if c := r.Cell(extract.CellID{Table: stallsID, Row: "r01", Column: "speed"}); c.Text != "66.0" {
		t.Errorf("the study goes on with %q", c.Text)
	}
	// The unit in other words is the same unit.
	table(s, stallsID).Columns[2].Unit = "kn"
	want(t, at(t, s))

	// In a list the meaning is the row's.
	s = craftStudy()
	s.Dir = rulingsFile(t)
	rule(t, s, "craft:r04:value", Act{Decision: Emend, Value: "13127.6", Reason: "misprint"})
	want(t, at(t, s))
	table(s, craftID).Rows[3].Quantity, table(s, craftID).Rows[3].Unit = "mass", "kg"
	if r := at(t, s); !slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Check == "ruling-lapsed" && f.Blocks() }) {
		t.Errorf("newtons became kilograms: %v", tell(r))
	}
}

// When an emendation has lapsed, a confirm goes back to what was reread before it.
func TestConfirmOfALapsedEmendationKeepsTheReread(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	rule(t, s, "stalls:r01:speed", Act{Decision: Reread, Value: "56.1"})
	rule(t, s, "stalls:r01:speed", Act{Decision: Emend, Value: "56.2", Reason: "misprint"})
	table(s, stallsID).Columns[2].Unit = "mph"
	r := rule(t, s, "stalls:r01:speed", Act{Decision: Confirm})
	if c := r.Cell(extract.CellID{Table: stallsID, Row: "r01", Column: "speed"}); c.State != extract.Reread || c.Text != "56.1" {
		t.Errorf("the cell is %+v", c)
	}
}

func TestARulingOfNobody(t *testing.T) {
	s := single(t)
	r := rule(t, s, clmax, Act{Decision: Reread, Value: "1.60", Who: "zz"})
	want(t, r, "blocking ruling-signature rulings.csv: ruling "+r.Rulings[0].ID+` (reread) is signed by "zz", who is not in study.yaml`)
	if f := r.Findings[0]; !f.Mend || !f.Blocks() {
		t.Errorf("%+v", f)
	}
}

func TestAGivenFigureOfTwoSubjects(t *testing.T) {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	l := table(s, liftID)
	l.Basis.Configuration.Flap = "none"
	l.Columns[0] = extract.Column{Key: "flap", Quantity: "label"}
	l.Basis.Configuration.Deflection = ""
	l.Givens = []extract.Column{{Key: "s", Quantity: "taper ratio", Unit: "1"}, {Key: "h", Quantity: "altitude", Unit: "m", Basis: &extract.Basis{AltitudeKind: "not-stated"}}}
	set(s, liftID, "r01", "flap", "A")
	set(s, liftID, "r02", "flap", "B")
	addGiven(s, l, "s", ".50")
	addGiven(s, l, "h", "0")
	s.Subjects[0].Tables = []extract.SubjectTable{{Table: "lift", Where: &extract.Where{Column: "flap", Is: "A"}}}
	other := *s.Subjects[0]
	other.Name, other.Tables = "craft-b", []extract.SubjectTable{{Table: "lift", Where: &extract.Where{Column: "flap", Is: "B"}}}
	s.Subjects, s.Tables = append(s.Subjects, &other), []*extract.Table{l}
	r := at(t, s)
	want(t, r, "blocking row-of-two-subjects lift:given:s: the given figure .50 is in the record of craft-a and of craft-b | t0000000e/given/s",
		"doubt row-of-two-subjects lift:given:h: the given figure 0 is in the record of craft-a and of craft-b | t0000000e/given/h")
	r = rule(t, s, r.Findings[0].ID, Act{Decision: Confirm})
	if c := cell(r, extract.Given, "s"); len(r.Blocking()) != 0 || c.State != extract.Keyed {
		t.Errorf("after a confirmation: %+v, %v", c, tell(r))
	}
	// A third subject is another finding.
	third := other
	third.Name = "craft-c"
	s.Subjects = append(s.Subjects, &third)
	if r := at(t, s); !slices.ContainsFunc(r.Blocking(), func(f *Finding) bool { return f.Where == "lift:given:s" }) {
		t.Errorf("with a third subject: %v", tell(r))
	}
}
