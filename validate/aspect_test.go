package validate

import (
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// A polar of a second source of the wing of wingStudy, in which each table prints the
// aspect ratio of its wing.
func besidePolar(change func(b *extract.Basis), first, second string) *extract.Study {
	s := wingStudy()
	polar := s.Table(polarID)
	aspect := extract.Column{Key: "aspect", Quantity: "aspect ratio", Unit: "1"}
	basis := wingBasis()
	change(&basis)
	addTable(s, extract.Table{ID: "t0000000f", Name: "notes", Basis: basis, Columns: polar.Columns}, "keyed-ab", "0|.158|.0115|13.7", "2|.316|.0159|19.9")
	for _, t := range []struct {
		table   *extract.Table
		printed string
	}{{polar, first}, {s.Table("t0000000f"), second}} {
		if t.printed != "" {
			t.table.Givens = append(t.table.Givens, aspect)
			addGiven(s, t.table, "aspect", t.printed)
		}
	}
	s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "notes"})
	return s
}

// flow is what the two never state.
const flow = "Reynolds number cannot be told: not stated against not stated; kind of Reynolds number cannot be told: not stated against not stated; " +
	"Mach number cannot be told: not stated against not stated"

// What walls or another aspect ratio turned is not combined with what they did not.
func TestWallsAndAspectRatiosAreNotCombined(t *testing.T) {
	for _, c := range []struct {
		name, first, second string
		change              func(b *extract.Basis)
		want                string
	}{
		{"alike", "6.00", "6.0", func(*extract.Basis) {}, "cannot be told: " + flow},
		{"other aspect ratios", "6.00", "8.00", func(*extract.Basis) {}, "may not be combined: " + flow + "; aspect ratio differs: 6.00 against 8.00"},
		{"one prints none", "6.00", "", func(*extract.Basis) {}, "cannot be told: " + flow},
		{"uncorrected", "6.00", "6.00", func(b *extract.Basis) { b.Walls = "uncorrected" }, "may not be combined: " + flow + "; walls differs: corrected against uncorrected"},
		{"not stated", "6.00", "6.00", func(b *extract.Basis) { b.Walls = "not-stated" }, "cannot be told: " + flow + "; walls cannot be told: corrected against not stated"},
		{"the section", "6.00", "", func(b *extract.Basis) { b.AspectRatioBasis = "infinite" }, "may not be combined: " + flow + "; aspect-ratio basis differs: as-tested against infinite"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := besides(t, besidePolar(c.change, c.first, c.second), "wing-a")
			i := slices.Index(got, "lift coefficient 1: notes:cl of report-12, 2 figures")
			if i < 0 || i+1 >= len(got) {
				t.Fatalf("got\n%s", strings.Join(got, "\n"))
			}
			if want := "0 and 1: " + c.want; got[i+1] != want {
				t.Errorf("got\n%s\nwant\n%s", got[i+1], want)
			}
		})
	}
}

// An angle that walls turned makes no lift curve with coefficients at which they are
// corrected for, and nothing is judged by it.
func TestAnAngleInWallsMakesNoLiftCurve(t *testing.T) {
	for _, c := range []struct {
		walls  string
		curves int
	}{{"corrected", 1}, {"not-stated", 1}, {"uncorrected", 0}} {
		s := wingStudy()
		s.Table(polarID).Columns[0].Basis = &extract.Basis{Walls: c.walls}
		r := Run(s, nil)
		if got := len(r.Records[0].curves("angle of attack", "lift coefficient")); got != c.curves {
			t.Errorf("angles %s: %d lift curves, want %d", c.walls, got, c.curves)
		}
	}
}

// What is asked for in vain is a finding with the file and what to write.
func TestUnderivedAspectRatios(t *testing.T) {
	s := wingStudy()
	s.Subjects[0].Derive = []extract.Derivation{
		{Quantity: "lift coefficient", AspectRatio: &extract.AspectRatio{To: "infinite", FromPlanform: "elliptic"}},
		{Quantity: "angle of attack", Walls: &extract.Walls{Section: "closed", Delta: "+0.125"}},
		{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "infinite", FromPlanform: "elliptic"}},
	}
	s.Table(polarID).Columns[0].Basis = &extract.Basis{Walls: "not-stated"}
	s.Table(polarID).Columns[1].Basis = &extract.Basis{Walls: "not-stated"}
	var got []string
	for _, f := range Run(s, nil).Findings {
		if f.Check == "derivation" {
			got = append(got, string(f.Severity)+" "+f.Where+" "+f.Message+" | "+f.Hint)
		}
	}
	for i, want := range []string{
		"blocking subjects/wing-a.yaml:derive[0] aspect ratio infinite is asked for lift coefficient, and at one lift coefficient the induced flow bears on angle of attack, drag coefficient, lift-curve slope alone | ",
		"doubt subjects/wing-a.yaml:derive[1] 10 figures of angle of attack in polar are not derived as corrected for a closed section, delta 0.125: its basis does not say whether it is corrected for the walls, and to correct twice is as wrong as not at all | write walls: uncorrected or walls: corrected in the basis of table polar, where the source says it",
		"doubt subjects/wing-a.yaml:derive[2] 10 figures of angle of attack in polar are not derived as aspect ratio infinite: its basis says walls: not-stated, and walls turn the flow as the induced angle does | add walls: {section: closed, delta: ...} to the entry of derive: where the source says that no correction was made",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("%d: got\n%s\nwant among them\n%s", i, strings.Join(got, "\n"), want)
		}
	}
	if len(got) != 3 {
		t.Errorf("%d findings:\n%s", len(got), strings.Join(got, "\n"))
	}
}
