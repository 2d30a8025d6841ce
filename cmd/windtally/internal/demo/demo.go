// Package demo makes the invented documents of the demonstration: two reports and
// a pilot's notes of the Tarnholm Aerodynamic Laboratory, which does not exist,
// about a wing and an aeroplane that do not exist. All figures follow from one
// model of wing and aeroplane (model.go), rounded to the digits that are printed,
// but for the misprints that Faults lists.
package demo

import (
	"fmt"
	"time"

	"windtally/extract"
)

// Document is one invented document, typeset.
type Document struct {
	File               string // for example tarnholm-report-12.pdf
	Source             string // the source's name in a study
	Designation, Title string
	Authors            []string
	Year               int
	Publisher, Rights  string
	FirstPage          int // the number that page 1 bears
	Pages              int
	PDF                []byte
	// Scanned says that the study gets a scan of the print, without a text layer.
	Scanned bool
	printed time.Time
}

// Row is one row of a table, its cells as printed, in the order of the columns.
type Row struct {
	Page  int
	Cells []string
}

// Given is a figure that governs a table and stands in its caption.
type Given struct {
	extract.Column
	Text string // as printed
}

// Truth is one table as it is printed, misprints included, and what a curator
// writes of its meaning.
type Truth struct {
	Source  string // the source's name
	Name    string // the name for the table's file
	Number  string
	Caption string // as printed, on one line; the bracketed line under it is in Governing
	// Governing is the bracketed line under the caption, "" where there is none.
	Governing string
	Pages     []int
	// Regions reach from the caption to the last row or note, one a page.
	Regions   []extract.Region
	Layout    string           // grid or list
	Columns   []extract.Column // Head as printed, X where the column was set
	Rows      []Row
	RowRules  []extract.RowRule
	Givens    []Given
	Basis     extract.Basis
	Relations []string
	Notes     []string // footnotes as printed
}

// File returns the table's file, complete but for its id.
func (t *Truth) File() extract.Table {
	f := extract.Table{Schema: extract.Schema, Name: t.Name, Status: "ready", Source: t.Source, Number: t.Number, Caption: t.Caption,
		Regions: t.Regions, Origin: "print", Layout: t.Layout, Columns: t.Columns, Rows: t.RowRules, Basis: t.Basis, Relations: t.Relations}
	for i, p := range t.Pages {
		if i > 0 {
			f.Pages += ","
		}
		f.Pages += fmt.Sprint(p)
	}
	for _, g := range t.Givens {
		f.Givens = append(f.Givens, g.Column)
	}
	return f
}

// keeper returns what plants the misprints of a table of the document, sets it, and
// adds it to tables.
func keeper(document string, tables *[]Truth) func(t Truth, set func(t *Truth)) error {
	return func(t Truth, set func(t *Truth)) error {
		if err := t.plant(document); err != nil {
			return err
		}
		set(&t)
		*tables = append(*tables, t)
		return nil
	}
}

// Documents typesets the documents. The same bytes come every time.
func Documents() ([]Document, error) {
	docs, _, err := compose()
	return docs, err
}

// Tables returns every table of the documents, in print order.
func Tables() ([]Truth, error) {
	_, tables, err := compose()
	return tables, err
}

// Subjects returns the records that the tables make up; the slices of the result
// are the caller's.
func Subjects() []extract.Subject {
	return []extract.Subject{
		{Schema: extract.Schema, Name: "tarnholm-wing-12", Kind: "wing", Title: "Rectangular wing of Tarnholm report No. 12",
			Note: "Invented for the demonstration.", Tables: subjectTables("tarnholm-12-table-1", "tarnholm-12-table-2", "tarnholm-12-table-3",
				"tarnholm-12-table-4", "tarnholm-12-table-5", "tarnholm-12-table-6", "tarnholm-12-table-7", "tarnholm-12-table-8"),
			Derive: []extract.Derivation{{Quantity: "angle of attack", Table: "tarnholm-12-table-2", AngleDatum: "zero-lift"}}},
		{Schema: extract.Schema, Name: "sandmark-2", Kind: "aeroplane", Title: "Sandmark 2",
			Note: "Invented for the demonstration.", Tables: subjectTables("tarnholm-15-table-1", "tarnholm-15-table-2", "tarnholm-15-table-3",
				"tarnholm-15-table-4", "sandmark-notes-table-1", "sandmark-notes-table-2", "sandmark-notes-table-3"),
			Derive: []extract.Derivation{{Quantity: "stall speed", Table: "sandmark-notes-table-2", AirspeedKind: "CAS",
				PositionError: &extract.PositionError{Table: "sandmark-notes-table-3", Indicated: "ias", Calibrated: "cas"}}}},
	}
}

func subjectTables(names ...string) []extract.SubjectTable {
	list := make([]extract.SubjectTable, len(names))
	for i, n := range names {
		list[i].Table = n
	}
	return list
}

// compose makes everything at once, because a table's place is known when it is set.
func compose() ([]Document, []Truth, error) {
	var docs []Document
	var tables []Truth
	for _, typeset := range []func() (Document, []Truth, error){report12, report15, notes} {
		d, list, err := typeset()
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", d.File, err)
		}
		docs, tables = append(docs, d), append(tables, list...)
	}
	return docs, tables, nil
}
