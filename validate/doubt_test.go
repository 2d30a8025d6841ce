package validate

import (
	"testing"

	"windtally/extract"
)

// doubted is the aeroplane with its maxima read from the page image, one of them in
// doubt; others are the texts that further readers read, each with a doubt too.
func doubted(t *testing.T, others ...string) *extract.Study {
	s := craftStudy()
	s.Dir = rulingsFile(t)
	doubt := func(r *extract.Reading) {
		r.Meta.Scan = true
		c := &r.Cells[1]
		c.Doubt, c.Confidence, c.Candidates = "the third figure lies between 0 and 6", 0.5, []string{"1.66"}
	}
	s.Readings[liftID][0].Meta.Reader = "sorts"
	doubt(s.Readings[liftID][0])
	for _, text := range others {
		doubt(addReading(s, table(s, liftID), "ocr", "0.0|"+text, "40.0|2.10"))
	}
	return s
}

const (
	inDoubt = `blocking reader-doubt lift:r01:clmax: sorts reads "1.60" (confidence 0.50; doubts it: the third figure lies between 0 and 6; or "1.66") | t0000000e/r01/clmax`
	twice   = `blocking reader-doubt lift:r01:clmax: ocr reads "1.66" (confidence 0.50; doubts it: the third figure lies between 0 and 6; or "1.66"), ` +
		`sorts reads "1.60" (confidence 0.50; doubts it: the third figure lies between 0 and 6; or "1.66") | t0000000e/r01/clmax`
)

func TestReaderDoubtIsConfirmed(t *testing.T) {
	s := doubted(t)
	r := at(t, s)
	want(t, r, inDoubt)
	if c := cell(r, "r01", "clmax"); c.State != extract.Doubtful || c.Text != "" {
		t.Errorf("%s with the text %q", c.State, c.Text)
	}
	if f := r.Findings[0]; f.Hint != `look at the print at p3 and rule --confirm if it says "1.60", else --reread TEXT` || !f.Blocks() {
		t.Errorf("%+v", f)
	}
	if n := r.States()[extract.Doubtful]; n != 1 {
		t.Errorf("%d doubtful cells counted", n)
	}
	// On the finding it is recorded for the cell.
	target := r.Findings[0].ID
	r = rule(t, s, target, Act{Decision: Confirm})
	want(t, r)
	if c := cell(r, "r01", "clmax"); c.State != extract.Confirmed || c.Print != "1.60" || c.Text != "1.60" {
		t.Errorf("confirmed: %s, print %q, text %q", c.State, c.Print, c.Text)
	}
	// After a confirm the print is known and may be emended; its text is kept.
	r = rule(t, s, "lift:r01:clmax", Act{Decision: Emend, Value: "1.61", Reason: "misprint"})
	if c := cell(r, "r01", "clmax"); c.State != extract.Emended || c.Print != "1.60" || c.Text != "1.61" {
		t.Errorf("emended: %s, print %q, text %q", c.State, c.Print, c.Text)
	}
	// What the reader doubts otherwise lapses the ruling.
	s.Readings[liftID][0].Cells[1].Doubt = "no point where the column has one"
	blocking := map[string]int{}
	for _, f := range at(t, s).Blocking() {
		blocking[f.Check]++
	}
	if blocking["ruling-lapsed"] != 1 || blocking["reader-doubt"] != 1 {
		t.Errorf("blocking %v", blocking)
	}
}

func TestReaderDoubtOfSeveralTexts(t *testing.T) {
	s := doubted(t, "1.66")
	r := at(t, s)
	want(t, r, twice)
	if f := r.Findings[0]; f.Hint != "look at the print at p3 and rule --reread TEXT" {
		t.Errorf("hint %s", f.Hint)
	}
	for _, act := range []Act{{Decision: Confirm}, {Decision: Emend, Value: "1.6", Reason: "misprint"}} {
		act.Who, act.When = "ab", monday
		if _, err := r.Decide(r.Findings[0].ID, act); err == nil {
			t.Errorf("%s of two texts in doubt", act.Decision)
		}
	}
	r = rule(t, s, r.Findings[0].ID, Act{Decision: Reread, Value: "1.66"})
	want(t, r)
	if c := cell(r, "r01", "clmax"); c.State != extract.Reread || c.Text != "1.66" {
		t.Errorf("reread: %s %q", c.State, c.Text)
	}
}

func TestReaderDoubtIsWithheld(t *testing.T) {
	s := doubted(t, "1.66")
	r := rule(t, s, at(t, s).Findings[0].ID, Act{Decision: Withhold, Reason: "cannot be read"})
	want(t, r)
	if c := cell(r, "r01", "clmax"); c.State != extract.Withheld || c.Text != "" {
		t.Errorf("withheld: %s %q", c.State, c.Text)
	}
	r = rule(t, s, "lift:r01:clmax", Act{Undo: true, Reason: "looked again"})
	want(t, r, twice)
}

// A reader that doubts its text is no eye, nor is the layer of a scan that was
// passed over.
func TestDoubtIsNoEye(t *testing.T) {
	for _, tc := range []struct {
		name  string
		list  []extract.Witness
		print string
		want  int
	}{
		{"two machines", []extract.Witness{{Reader: "ocr", Text: "1"}, {Reader: "sorts", Text: "1"}}, "1", 2},
		{"one doubts", []extract.Witness{{Reader: "ocr", Text: "1", Doubt: "faint"}, {Reader: "sorts", Text: "1"}}, "1", 0},
		{"a layer that says the same", []extract.Witness{{Reader: "sorts", Text: "1"}, {Reader: "text", Text: "1", Scan: true}}, "1", 2},
		{"a layer that does not", []extract.Witness{{Reader: "sorts", Text: "1"}, {Reader: "text", Text: "l", Scan: true}}, "1", 0},
		{"a person and one that doubts", []extract.Witness{{Reader: "keyed-ab", Text: "1"}, {Reader: "sorts", Text: "1", Doubt: "faint"}}, "1", 1},
		{"a person who doubts", []extract.Witness{{Reader: "keyed-ab", Text: "1", Doubt: "faint"}}, "", 0},
	} {
		if got := witnesses(&extract.Collated{Witnesses: tc.list, Print: tc.print}); got != tc.want {
			t.Errorf("%s: %d, want %d", tc.name, got, tc.want)
		}
	}
}
