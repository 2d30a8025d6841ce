package demo

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/validate"
)

// study is the demonstration as it stands when every table was read without a
// fault and every file was completed.
func study(t *testing.T, tables []Truth) *extract.Study {
	t.Helper()
	docs, err := Documents()
	if err != nil {
		t.Fatal(err)
	}
	s := &extract.Study{Settings: extract.Settings{Schema: extract.Schema, Name: "demo", Title: "Demo", Licence: "CC0-1.0"},
		Readings: map[string][]*extract.Reading{}, Registers: map[string]*extract.Register{}}
	for _, d := range docs {
		s.Sources = append(s.Sources, &extract.Source{Schema: extract.Schema, Name: d.Source, File: d.File, Pages: d.Pages})
	}
	for i := range tables {
		truth := &tables[i]
		f := truth.File()
		f.ID = fmt.Sprintf("t%08x", i+1)
		s.Tables = append(s.Tables, &f)
		reg := &extract.Register{Schema: extract.Schema, TableID: f.ID}
		r := &extract.Reading{Meta: extract.ReadingMeta{Schema: extract.Schema, TableID: f.ID, Reader: "text", Source: truth.Source, Rows: len(truth.Rows), Columns: len(truth.Columns)}}
		for n, row := range truth.Rows {
			key := fmt.Sprintf("r%03d", n+1)
			reg.Rows = append(reg.Rows, extract.KnownRow{Key: key, Page: row.Page})
			for k, text := range row.Cells {
				r.Cells = append(r.Cells, extract.Cell{Row: key, Column: f.Columns[k].Key, Text: text, Place: extract.Place{Page: row.Page}, Confidence: -1})
			}
		}
		for _, g := range truth.Givens {
			r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: g.Key, Text: g.Text, Place: extract.Place{Page: truth.Pages[0]}, Confidence: -1})
		}
		s.Registers[f.ID] = reg
		s.Readings[f.ID] = []*extract.Reading{r}
	}
	for _, sub := range Subjects() {
		s.Subjects = append(s.Subjects, &sub)
	}
	return s
}

// Every misprint is found by the check that is meant to see it, and nothing else
// is found but that the correction of table II has no quantity.
func TestFindings(t *testing.T) {
	tables, err := Tables()
	if err != nil {
		t.Fatal(err)
	}
	s := study(t, tables)
	report := validate.Run(s, nil)
	found := map[string][]string{} // table, row and column -> checks
	note := 0
	for _, f := range report.Findings {
		if f.Check == "unclassified" && f.Where == "tarnholm-15-table-2:correction" {
			note++
			continue
		}
		_, rest, _ := strings.Cut(f.Where, ":")
		row, key, _ := strings.Cut(rest, ":")
		at := f.Table + " " + row
		if !slices.Contains(found[at], f.Check) {
			found[at] = append(found[at], f.Check)
		}
		t.Logf("%s %s: %s (%s)", f.Severity, f.Where, f.Message, key)
	}
	if note != 1 {
		t.Errorf("%d notes on the unclassified correction, want 1", note)
	}
	for _, p := range Faults() {
		at := ""
		for i := range tables {
			for n, r := range tables[i].Rows {
				if tables[i].Name == p.Table && r.Cells[0] == p.Row {
					at = fmt.Sprintf("%s r%03d", p.Table, n+1)
				}
			}
		}
		want := append([]string{p.FoundBy}, p.AlsoBy...)
		slices.Sort(want)
		got := slices.Clone(found[at])
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s, row %s (%s): found by %v, want %v", p.Table, p.Row, p.Kind, got, want)
		}
		delete(found, at)
	}
	for at, checks := range found {
		t.Errorf("%s: found by %v, where nothing is misprinted", at, checks)
	}
}

// With the right figures in place nothing is found.
func TestNoFindingsWithoutFaults(t *testing.T) {
	tables, err := Tables()
	if err != nil {
		t.Fatal(err)
	}
	changed := 0
	for _, p := range Faults() {
		for i := range tables {
			for _, r := range tables[i].Rows {
				for k, c := range tables[i].Columns {
					if tables[i].Name == p.Table && r.Cells[0] == p.Row && c.Key == p.Key {
						if r.Cells[k] != p.Printed {
							t.Errorf("%s, row %s, %s: %q is printed, want %q", p.Table, p.Row, p.Key, r.Cells[k], p.Printed)
						}
						r.Cells[k] = p.Right
						changed++
					}
				}
			}
		}
	}
	if changed != 8 {
		t.Errorf("%d cells were put right, want 8", changed)
	}
	for _, f := range validate.Run(study(t, tables), nil).Findings {
		if f.Check != "unclassified" {
			t.Errorf("%s %s: %s", f.Check, f.Where, f.Message)
		}
	}
}
