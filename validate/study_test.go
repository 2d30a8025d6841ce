package validate

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"windtally/extract"
)

// A valid study of the invented Tarnholm laboratory, in memory: a wing with its
// polar and particulars, and an aeroplane with particulars, stall speeds and
// maximum lift coefficients. A case changes one thing in it.
//
// The wing has aspect ratio 6, the slope of Helmbold's formula (0.0790 per degree,
// DERIVED) and C_D = .0100 + C_L^2/(pi 6 0.9). The aeroplane has span, area and weight
// of a textbook example (span 10.912 m, area 16.165 m2, weight 13127.5 N, from which
// A 7.366 and W/S 812.1 N/m2 follow there).

const (
	polarID  = "t0000000a"
	wingID   = "t0000000b"
	craftID  = "t0000000c"
	stallsID = "t0000000d"
	liftID   = "t0000000e"
)

var monday = time.Date(1938, time.May, 2, 9, 0, 0, 0, time.UTC)

func addTable(s *extract.Study, t extract.Table, reader string, rows ...string) *extract.Table {
	t.Schema, t.Status, t.Source, t.Pages = 1, "ready", "report-12", "3"
	if t.Origin == "" {
		t.Origin = "print"
	}
	if t.Layout == "" {
		t.Layout = "grid"
	}
	s.Tables = append(s.Tables, &t)
	g := &extract.Register{Schema: 1, TableID: t.ID}
	for i := range rows {
		g.Rows = append(g.Rows, extract.KnownRow{Key: fmt.Sprintf("r%02d", i+1)})
	}
	s.Registers[t.ID] = g
	addReading(s, &t, reader, rows...)
	return s.Tables[len(s.Tables)-1]
}

// addReading keys rows of cells with strokes between; the given figures follow as
// rows "given KEY = TEXT".
func addReading(s *extract.Study, t *extract.Table, reader string, rows ...string) *extract.Reading {
	r := &extract.Reading{Meta: extract.ReadingMeta{Schema: 1, TableID: t.ID, Reader: reader}}
	for i, row := range rows {
		for k, text := range strings.Split(row, "|") {
			r.Cells = append(r.Cells, extract.Cell{Row: fmt.Sprintf("r%02d", i+1), Column: t.Columns[k].Key, Text: strings.TrimSpace(text),
				Place: extract.Place{Page: 3}, Confidence: -1})
		}
	}
	s.Readings[t.ID] = append(s.Readings[t.ID], r)
	return r
}

func addGiven(s *extract.Study, t *extract.Table, key, text string) {
	for _, r := range s.Readings[t.ID] {
		r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: key, Text: text, Place: extract.Place{Page: 3}, Confidence: -1})
	}
}

// set changes one cell of every reading of a table.
func set(s *extract.Study, table, row, column, text string) {
	for _, r := range s.Readings[table] {
		for i := range r.Cells {
			if c := &r.Cells[i]; c.Row == row && c.Column == column {
				c.Text = text
				return
			}
		}
	}
	panic("a fault of the test: the study has no cell " + table + "/" + row + "/" + column)
}

func newStudy() *extract.Study {
	return &extract.Study{
		Settings: extract.Settings{Schema: 1, Name: "tarnholm", Title: "Tarnholm", Licence: "CC0-1.0", People: []extract.Person{{Initials: "ab", Name: "A. Vendel"}, {Initials: "rt", Name: "R. Toskamp"}}},
		Sources: []*extract.Source{{Schema: 1, Name: "report-12", File: "report-12.pdf", Designation: "Report No. 12", Title: "Tests of a Wing", Year: 1936,
			Rights: "invented", SHA256: strings.Repeat("0", 64), Pages: 20, FirstPage: 41}},
		Readings: map[string][]*extract.Reading{}, Registers: map[string]*extract.Register{},
	}
}

func wingBasis() extract.Basis {
	return extract.Basis{Article: "wing", Coefficients: "absolute", ReferenceArea: "original", ReferenceChord: "chord", MomentCenter: "quarter-chord point", MomentSign: "nose-up",
		AngleDatum: "chord", Drag: "total", Walls: "corrected", AspectRatioBasis: "as-tested", ReynoldsKind: "not-stated", Configuration: extract.Configuration{Flap: "none"}}
}

// wingStudy is the wing alone.
func wingStudy() *extract.Study {
	s := newStudy()
	addTable(s, extract.Table{ID: polarID, Name: "polar", Basis: wingBasis(), Relations: []string{"ld = cl / cd"}, Columns: []extract.Column{
		{Key: "alpha", Quantity: "angle of attack", Unit: "deg"},
		{Key: "cl", Quantity: "lift coefficient", Unit: "1"},
		{Key: "cd", Quantity: "drag coefficient", Unit: "1"},
		{Key: "ld", Quantity: "lift-drag ratio", Unit: "1"},
	}}, "keyed-ab",
		"-4|-.158|.0115|-13.7", "-2|.000|.0100|0.0", "0|.158|.0115|13.7", "2|.316|.0159|19.9", "4|.474|.0232|20.4",
		"6|.632|.0335|18.9", "8|.790|.0468|16.9", "10|.948|.0630|15.0", "12|1.100|.0813|13.5", "14|1.200|.0949|12.6")
	addTable(s, extract.Table{ID: wingID, Name: "wing", Layout: "list", Basis: extract.Basis{Article: "wing"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}, {Key: "unit"}},
		Rows: []extract.RowRule{
			{Label: "Span", Quantity: "wing span", Unit: "in."},
			{Label: "Chord", Quantity: "mean chord"},
			{Label: "Area", Quantity: "wing area", Unit: "sq. in.", Basis: &extract.Basis{ReferenceArea: "original"}},
			{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"},
		}}, "keyed-ab", "Span|60.00|in.", "Chord|10.00|in.", "Area|600.0|sq. in.", "Aspect ratio|6.00|")
	s.Subjects = []*extract.Subject{{Schema: 1, Name: "wing-a", Kind: "wing", Title: "Wing A", Tables: []extract.SubjectTable{{Table: "polar"}, {Table: "wing"}}}}
	return s
}

func flightBasis() extract.Basis {
	return extract.Basis{Article: "aeroplane", Stall: "minimum-speed", AirspeedKind: "CAS", AirspeedMeaning: "corrected for position error", Weight: "column weight", WeightCondition: "test",
		Coefficients: "absolute", ReferenceArea: "gross", Walls: "free-flight", ReynoldsKind: "not-stated",
		Configuration: extract.Configuration{Flap: "plain", Deflection: "column flap", Gear: "fixed", Power: "idle"}}
}

// craftStudy is the aeroplane alone.
func craftStudy() *extract.Study {
	s := newStudy()
	addTable(s, extract.Table{ID: craftID, Name: "craft", Layout: "list", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
		Rows: []extract.RowRule{
			{Label: "Span, m", Quantity: "wing span", Unit: "m"},
			{Label: "Wing area, sq. m", Quantity: "wing area", Unit: "sq. m", Basis: &extract.Basis{ReferenceArea: "gross"}},
			{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"},
			{Label: "Weight, N", Quantity: "weight", Unit: "N", Basis: &extract.Basis{WeightCondition: "normal"}},
			{Label: "Wing loading, N per sq. m", Quantity: "wing loading", Unit: "N/m2", Basis: &extract.Basis{WeightCondition: "normal"}},
		}}, "keyed-ab", "Span, m|10.912", "Wing area, sq. m|16.165", "Aspect ratio|7.366", "Weight, N|13127.5", "Wing loading, N per sq. m|812.1")
	addTable(s, extract.Table{ID: stallsID, Name: "stalls", Basis: flightBasis(), Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "weight", Quantity: "test weight", Unit: "N"},
		{Key: "speed", Quantity: "stall speed", Unit: "knots"},
	}}, "keyed-ab", "0|13127.5|56.0", "40|13127.5|48.8")
	addTable(s, extract.Table{ID: liftID, Name: "lift", Basis: flightBasis(), Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"},
	}}, "keyed-ab", "0.0|1.60", "40.0|2.10")
	s.Subjects = []*extract.Subject{{Schema: 1, Name: "craft-a", Kind: "aeroplane", Title: "Craft A",
		Tables: []extract.SubjectTable{{Table: "craft"}, {Table: "stalls"}, {Table: "lift"}}}}
	return s
}

// told is what a test compares of a finding.
func told(f *Finding) string {
	text := fmt.Sprintf("%s %s %s: %s", f.Severity, f.Check, f.Where, f.Message)
	if f.Expected != "" {
		text += " | expected " + f.Expected
	}
	if len(f.Cells) > 0 {
		text += " | " + strings.Join(cellTexts(f.Cells), " ")
	}
	if f.Miss != 0 {
		text += fmt.Sprintf(" | miss %.2f", f.Miss)
	}
	return text
}

func tell(r *Report) []string {
	var list []string
	for i := range r.Findings {
		list = append(list, told(&r.Findings[i]))
	}
	return list
}

// check runs a study without rulings and compares all its findings.
func check(t *testing.T, s *extract.Study, want ...string) *Report {
	t.Helper()
	r := Run(s, nil)
	if got := tell(r); !slices.Equal(got, want) {
		t.Errorf("%d findings:\n%s\nwant %d:\n%s", len(got), strings.Join(got, "\n"), len(want), strings.Join(want, "\n"))
	}
	return r
}

func TestTheValidStudiesHaveNoFinding(t *testing.T) {
	check(t, wingStudy())
	check(t, craftStudy())
}
