package demo

import "fmt"

// Planted is one misprint of the invented documents. A cell is printed otherwise
// than the model has it; everything else is printed right.
type Planted struct {
	Document string // file name
	Table    string
	Page     int
	Row      string // label or first figure of the row, as printed
	Column   string // the column's head as printed
	Key      string // the column's key
	Printed  string
	Right    string
	Kind     string
	FoundBy  string   // the check that is meant to see it
	AlsoBy   []string // checks that see it too
	// Ruling is what a person should decide: emend, withhold, or confirm where the
	// print is merely rough.
	Ruling string
}

// Faults lists the misprints in print order.
func Faults() []Planted {
	const (
		twelve, fifteen = "tarnholm-report-12.pdf", "tarnholm-report-15.pdf"
	)
	return []Planted{
		{Document: twelve, Table: "tarnholm-12-table-2", Page: 2, Row: "–4", Column: "CL", Key: "cl", Printed: ".168", Right: "–.168",
			Kind: "sign lost", FoundBy: "lift-curve-slope", AlsoBy: []string{"difference", "relation"}, Ruling: "emend"},
		{Document: twelve, Table: "tarnholm-12-table-2", Page: 2, Row: "10", Column: "L/D", Key: "ld", Printed: "16.2", Right: "16.1",
			Kind: "rough quotient", FoundBy: "relation", Ruling: "confirm"},
		{Document: twelve, Table: "tarnholm-12-table-4", Page: 3, Row: "–3", Column: "CL", Key: "cl", Printed: ".763", Right: ".768",
			Kind: "3 for 8", FoundBy: "lift-curve-slope", AlsoBy: []string{"difference", "drag-polar"}, Ruling: "emend"},
		{Document: twelve, Table: "tarnholm-12-table-5", Page: 5, Row: "4", Column: "CL", Key: "cl", Printed: ".841", Right: ".994",
			Kind: "repeated from the row above", FoundBy: "lift-curve-slope", AlsoBy: []string{"difference", "drag-polar"}, Ruling: "withhold"},
		{Document: twelve, Table: "tarnholm-12-table-6", Page: 5, Row: "2", Column: "CD", Key: "cd", Printed: "1.429", Right: ".1429",
			Kind: "decimal moved", FoundBy: "drag-polar", AlsoBy: []string{"difference"}, Ruling: "emend"},
		{Document: fifteen, Table: "tarnholm-15-table-1", Page: 2, Row: "Aspect ratio", Column: "", Key: "value", Printed: "5.38", Right: "5.83",
			Kind: "two figures exchanged", FoundBy: "aspect-ratio", Ruling: "emend"},
		{Document: fifteen, Table: "tarnholm-15-table-1", Page: 2, Row: "Wing loading, lb. per sq. ft.", Column: "", Key: "value", Printed: "16.6", Right: "17.3",
			Kind: "computed for another weight", FoundBy: "wing-loading", Ruling: "emend"},
		{Document: fifteen, Table: "tarnholm-15-table-4", Page: 3, Row: "3,700", Column: "Stalling speed (knots) Flaps up", Key: "up", Printed: "64.3", Right: "55.8",
			Kind: "miles per hour under knots", FoundBy: "stall-speed", Ruling: "emend"},
	}
}

// plant puts the misprints of a table into its rows, which hold what is right.
func (t *Truth) plant(document string) error {
	for _, p := range Faults() {
		if p.Document != document || p.Table != t.Name {
			continue
		}
		at := -1
		for i := range t.Columns {
			if t.Columns[i].Key == p.Key {
				at = i
			}
		}
		done := false
		for _, r := range t.Rows {
			if at < 0 || r.Cells[0] != p.Row {
				continue
			}
			if r.Cells[at] != p.Right {
				return fmt.Errorf("%s: row %s, %s: the model gives %s; the list of faults has %s", t.Name, p.Row, p.Key, r.Cells[at], p.Right)
			}
			r.Cells[at], done = p.Printed, true
		}
		if !done {
			return fmt.Errorf("%s: the list of faults names row %s, column %s, which the table has not", t.Name, p.Row, p.Key)
		}
	}
	return nil
}
