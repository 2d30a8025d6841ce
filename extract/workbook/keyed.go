package workbook

import (
	"fmt"
	"slices"
	"strings"

	"windtally/extract"
)

// ReadKeyed reads a table that a person keyed into a .csv or .tsv file. The first
// line that is not blank names the columns, each by its key or its head, in any
// order; case and blanks do not matter unless two keys or heads differ in them
// alone. The names "page" and "configuration" may be added where no column bears
// them. keys and heads run in parallel; a head may be "". Every row has as many
// fields as the first line. Cells come in the order of keys, blank ones too.
func ReadKeyed(name string, keys []string, heads []string) ([]FilledRow, error) {
	if len(heads) != len(keys) {
		return nil, fmt.Errorf("%s: %d keys and %d heads; they run in parallel", name, len(keys), len(heads))
	}
	data, kind, err := load(name)
	if err != nil {
		return nil, err
	}
	if kind == kindXLSX {
		return nil, &extract.Error{File: name, Msg: "is a workbook; a keyed table is a .csv or .tsv file, and a filled entry workbook is read as such"}
	}
	rows, err := records(name, data, kind)
	if err != nil {
		return nil, err
	}
	rows = slices.DeleteFunc(rows, func(row []Value) bool {
		return !slices.ContainsFunc(row, func(v Value) bool { return !v.Blank() })
	})
	if len(rows) == 0 {
		return nil, &extract.Error{File: name, Line: 1, Msg: "holds no values; the first line names the columns: " + strings.Join(keys, ", ")}
	}
	var faults faultList
	columns := matchColumns(name, rows[0], keys, heads, &faults)
	if err := faults.err(name); err != nil {
		return nil, err
	}
	var out []FilledRow
	for _, row := range rows[1:] {
		line := row[0].Place.Line
		if len(row) != len(rows[0]) {
			faults.add(&extract.Error{File: name, Line: line, Msg: fmt.Sprintf("the row has %d fields; the first line names %d columns", len(row), len(rows[0]))})
			continue
		}
		r := FilledRow{Cells: make([]extract.Cell, len(keys))}
		for i, v := range row {
			if msg := Typed(v.Text); msg != "" {
				faults.add(&extract.Error{File: name, Line: v.Place.Line, Column: rows[0][i].Text, Msg: msg})
				continue
			}
			switch c := columns[i]; {
			case c >= 0:
				r.Cells[c] = extract.Cell{Column: keys[c], Text: v.Text, Place: v.Place, Confidence: unsure}
			case c == columnPage && !v.Blank():
				if r.Page, err = pageNumber(v.Text); err != nil {
					faults.add(&extract.Error{File: name, Line: v.Place.Line, Column: "page", Msg: err.Error()})
				}
			case c == columnConfiguration:
				r.Configuration = v.Text
			}
		}
		for i := range r.Cells {
			r.Cells[i].Place.Page = r.Page
		}
		out = append(out, r)
	}
	if err := faults.err(name); err != nil {
		return nil, err
	}
	return out, nil
}

// Columns of a keyed file that are not the table's.
const (
	columnPage          = -1
	columnConfiguration = -2
	columnUnknown       = -3
)

// fold takes case and blanks out of a name.
func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

// matchColumns gives for each name of the first line the index of its key. An exact
// key goes before an exact head, and both before a match without case: Cl and CL
// are two quantities.
func matchColumns(name string, first []Value, keys, heads []string, faults *faultList) []int {
	match := func(text string) []int {
		var exact, head, folded []int
		for i, k := range keys {
			if k == text {
				exact = append(exact, i)
			}
			if heads[i] != "" && heads[i] == text {
				head = append(head, i)
			}
			if fold(k) == fold(text) || heads[i] != "" && fold(heads[i]) == fold(text) {
				folded = append(folded, i)
			}
		}
		for _, list := range [][]int{exact, head, folded} {
			if len(list) > 0 {
				return list
			}
		}
		return nil
	}
	columns := make([]int, len(first))
	taken := map[int]string{}
	for i, v := range first {
		fail := func(format string, args ...any) {
			faults.add(&extract.Error{File: name, Line: v.Place.Line, Msg: fmt.Sprintf(format, args...)})
		}
		columns[i] = columnUnknown
		switch found := match(v.Text); {
		case v.Blank():
			fail("column %d has no name; the first line names the columns: %s", i+1, strings.Join(keys, ", "))
			continue
		case len(found) == 1:
			columns[i] = found[0]
		case len(found) > 1:
			var may []string
			for _, c := range found {
				may = append(may, keys[c])
			}
			fail("column %q may be any of %s; write the key exactly", v.Text, strings.Join(may, ", "))
			continue
		case fold(v.Text) == "page":
			columns[i] = columnPage
		case fold(v.Text) == "configuration":
			columns[i] = columnConfiguration
		default:
			fail("column %q is not in the table; its columns are: %s", v.Text, strings.Join(keys, ", "))
			continue
		}
		if other, ok := taken[columns[i]]; ok {
			fail("columns %q and %q both name %s", other, v.Text, columnWord(columns[i], keys))
		}
		taken[columns[i]] = v.Text
	}
	for i, k := range keys {
		if _, ok := taken[i]; !ok {
			faults.add(&extract.Error{File: name, Line: first[0].Place.Line, Msg: fmt.Sprintf("column %q is missing; the first line names every column of the table", k)})
		}
	}
	return columns
}

func columnWord(c int, keys []string) string {
	switch c {
	case columnPage:
		return "the page"
	case columnConfiguration:
		return "the configuration"
	}
	return "the column " + keys[c]
}
