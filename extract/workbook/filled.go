package workbook

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"windtally/extract"
)

// Filled is an entry workbook that a person filled in.
type Filled struct {
	TableID string
	// Columns are in the order in which the entry was written, with the quantity
	// and the unit that the person chose; Hint is not kept.
	Columns      []EntryColumn
	Rows         []FilledRow
	GivenColumns []EntryColumn  // the same of the figures outside the grid
	Givens       []extract.Cell // row key extract.Given; one for each given figure
}

// FilledRow is one printed row as typed. Cells has one cell for each column, in
// order; the caller gives them their row key.
type FilledRow struct {
	Page          int // 0 where it was left blank
	Configuration string
	Cells         []extract.Cell
}

// unsure is the confidence of a reader that gives none.
const unsure = -1

// ReadEntryFor reads a filled entry workbook and refuses one of another table.
func ReadEntryFor(name, tableID string) (Filled, error) {
	f, err := ReadEntry(name)
	if err == nil && f.TableID != tableID {
		return Filled{}, &extract.Error{File: name, Msg: fmt.Sprintf("is the entry workbook of table %s; the table asked for is %s", f.TableID, tableID)}
	}
	return f, err
}

// ReadEntry reads a filled entry workbook. Columns are told by the keys in the
// hidden row, wherever they stand. It is refused, with every fault at its cell,
// where a key is missing, doubled or of another table, where something stands
// outside the columns, where a formula or an unformatted number was typed in (a
// number in the General format has lost its zeros; one with fixed decimals is taken
// as shown), and where a text could be taken for a formula.
func ReadEntry(name string) (Filled, error) {
	data, kind, err := load(name)
	if err != nil {
		return Filled{}, err
	}
	if kind != kindXLSX {
		return Filled{}, &extract.Error{File: name, Msg: "is a text file; an entry workbook is an .xlsx file"}
	}
	b, err := openBook(name, data)
	if err != nil {
		return Filled{}, err
	}
	defer b.close()
	r := entryReader{name: name, lists: map[string][]string{}, heads: map[string]string{}}
	for _, s := range []string{sheetLists, sheetTable, sheetGiven} {
		part := b.sheet(s)
		if part == nil {
			if s == sheetGiven {
				continue
			}
			return Filled{}, &extract.Error{File: name, Msg: fmt.Sprintf("has no sheet %q; it is not an entry workbook, or the sheet was renamed", s)}
		}
		sheet, bad, err := b.read(part)
		if err != nil {
			return Filled{}, err
		}
		for _, f := range bad {
			r.faults.add(f.err)
		}
		switch s {
		case sheetLists:
			r.readLists(sheet)
		case sheetTable:
			r.readTable(sheet)
		case sheetGiven:
			r.readGivens(sheet)
		}
	}
	r.missing()
	if err := r.faults.err(name); err != nil {
		return Filled{}, err
	}
	return r.out, nil
}

type entryReader struct {
	name   string
	faults faultList
	out    Filled
	lists  map[string][]string // by head of the list
	keys   []string            // all keys that the workbook was written with
	heads  map[string]string   // by key
	found  []string
	broken bool // the layout is not understood; what follows from it is not told
}

func (r *entryReader) fail(p extract.Place, column, format string, args ...any) {
	r.faults.add(&extract.Error{File: r.name, Table: p.Sheet + "!" + p.Ref, Column: column, Msg: fmt.Sprintf(format, args...)})
}

func at(row []Value, col int) Value {
	if col >= 1 && col <= len(row) {
		return row[col-1]
	}
	return Value{}
}

func (r *entryReader) readLists(s Sheet) {
	if len(s.Rows) == 0 {
		return
	}
	for _, head := range s.Rows[0] {
		if head.Blank() {
			continue
		}
		for _, row := range s.Rows[1:] {
			for _, v := range row {
				if !v.Blank() && column(v) == column(head) {
					r.lists[head.Text] = append(r.lists[head.Text], v.Text)
				}
			}
		}
	}
	r.keys = r.lists["keys"]
	// Keys and heads stand side by side; a blank head must not shift the others.
	for _, row := range s.Rows[1:] {
		for i, v := range row {
			if strings.Count(v.Text, "/") >= 2 && slices.Contains(r.keys, v.Text) {
				r.heads[v.Text] = at(row, i+2).Text
			}
		}
	}
	if len(r.keys) == 0 {
		r.faults.add(&extract.Error{File: r.name, Table: sheetLists, Msg: "the column \"keys\" is gone; fill in a workbook that was written for the table"})
		r.broken = true
		return
	}
	r.out.TableID, _, _ = strings.Cut(r.keys[0], "/")
}

// column gives the letters of a value's place.
func column(v Value) string { return strings.TrimRight(v.Place.Ref, "0123456789") }

// splitKey takes a key cell apart; ok is false for any other text.
func splitKey(text string) (table, kind, key string, ok bool) {
	parts := strings.Split(text, "/")
	if len(parts) != 3 || parts[0] == "" || parts[2] == "" {
		return "", "", "", false
	}
	switch parts[1] {
	case kindColumn, kindGiven, kindRow:
		return parts[0], parts[1], parts[2], true
	}
	return "", "", "", false
}

// claim notes that a key was found and refuses a double, a stranger and a key of
// another table.
func (r *entryReader) claim(v Value) bool {
	table, kind, key, _ := splitKey(v.Text)
	switch {
	case table != r.out.TableID:
		r.fail(v.Place, "", "the column %s is of table %s; this is the entry workbook of table %s", key, table, r.out.TableID)
		return false
	case slices.Contains(r.found, v.Text):
		r.fail(v.Place, "", "the key %q stands twice; every column of the table stands once", v.Text)
		return false
	case kind != kindRow && !slices.Contains(r.keys, v.Text):
		r.fail(v.Place, "", "the key %q is none of this table's columns", v.Text)
		return false
	}
	r.found = append(r.found, v.Text)
	return true
}

func (r *entryReader) missing() {
	if r.broken {
		return
	}
	for _, k := range r.keys {
		if !slices.Contains(r.found, k) {
			_, kind, key, _ := splitKey(k)
			sheet := sheetTable
			if kind == kindGiven {
				sheet = sheetGiven
			}
			r.faults.add(&extract.Error{File: r.name, Table: sheet, Column: key, Msg: fmt.Sprintf("the key %q (head %q) is missing; its column was deleted or its key overwritten", k, r.heads[k])})
		}
	}
}

func (r *entryReader) readTable(s Sheet) {
	keyRow := -1
	for i, row := range s.Rows {
		for _, v := range row {
			if _, kind, _, ok := splitKey(v.Text); ok && kind != kindGiven {
				keyRow = i
				break
			}
		}
		if keyRow >= 0 {
			break
		}
	}
	if keyRow < 0 {
		r.faults.add(&extract.Error{File: r.name, Table: sheetTable, Msg: "the hidden row with the keys of the columns is gone; fill in a workbook that was written for the table"})
		r.broken = true
		return
	}
	position := map[string]int{} // sheet column by key cell's text
	for i, v := range s.Rows[keyRow] {
		if v.Blank() {
			continue
		}
		if _, _, _, ok := splitKey(v.Text); !ok {
			r.fail(v.Place, "", "%q stands in the hidden row of keys and is no key", v.Text)
			continue
		}
		if r.claim(v) {
			position[v.Text] = i + 1
		}
	}
	id := r.out.TableID
	partCol := position[keyOf(id, kindRow, "part")]
	pageCol := position[keyOf(id, kindRow, "page")]
	confCol := position[keyOf(id, kindRow, "configuration")]
	known := map[int]bool{partCol: true, pageCol: true, confCol: true}
	for _, k := range []string{"part", "page", "configuration"} {
		if position[keyOf(id, kindRow, k)] == 0 {
			r.faults.add(&extract.Error{File: r.name, Table: sheetTable, Msg: fmt.Sprintf("the key %q is missing; the column of that name was deleted or its key overwritten", keyOf(id, kindRow, k))})
		}
	}
	if partCol == 0 {
		r.broken = true
		return
	}
	rows := map[string]int{}
	body := keyRow + 1
	for i := keyRow + 1; i < len(s.Rows); i++ {
		v := at(s.Rows[i], partCol)
		switch v.Text {
		case partCaption, partHint, partHead, partQuantity, partUnit:
			if _, ok := rows[v.Text]; ok {
				r.fail(v.Place, "", "the row %q stands twice", v.Text)
			}
			rows[v.Text] = i
			body = i + 1
		}
	}
	for _, p := range []string{partHead, partQuantity, partUnit} {
		if _, ok := rows[p]; !ok {
			r.faults.add(&extract.Error{File: r.name, Table: sheetTable, Msg: fmt.Sprintf("the row %q is missing; it is told by that word in the column of parts", p)})
			r.broken = true
		}
	}
	if r.broken {
		return
	}
	// Between the keys and the body there is nothing but the named rows.
	named := map[int]bool{}
	for _, i := range rows {
		named[i] = true
	}
	for i := keyRow + 1; i < body; i++ {
		if !named[i] {
			for _, v := range s.Rows[i] {
				if !v.Blank() {
					r.fail(v.Place, "", "%q stands above the row %q; rows of the table go below it", v.Text, partUnit)
				}
			}
		}
	}
	var columns []int
	for _, k := range r.keys {
		_, kind, key, _ := splitKey(k)
		c := position[k]
		if kind != kindColumn || c == 0 {
			continue
		}
		columns = append(columns, c)
		known[c] = true
		r.out.Columns = append(r.out.Columns, EntryColumn{Key: key, Head: r.heads[k],
			Quantity: r.choice(at(s.Rows[rows[partQuantity]], c), key, "quantities"),
			Unit:     r.choice(at(s.Rows[rows[partUnit]], c), key, "units")})
	}
	for i := body; i < len(s.Rows); i++ {
		r.readRow(s, i, columns, known, pageCol, confCol)
	}
}

func (r *entryReader) readRow(s Sheet, i int, columns []int, known map[int]bool, pageCol, confCol int) {
	row := s.Rows[i]
	for j, v := range row {
		if !v.Blank() && !known[j+1] {
			r.fail(v.Place, "", "%q stands in a column that has no key; the table's columns are those with a head", v.Text)
		}
	}
	var out FilledRow
	filled := false
	for n, c := range columns {
		v := at(row, c)
		if !v.Blank() {
			filled = true
		}
		v.Place = extract.Place{Sheet: s.Name, Ref: cellName(i+1, c)}
		r.typed(v, r.out.Columns[n].Key)
		out.Cells = append(out.Cells, extract.Cell{Column: r.out.Columns[n].Key, Text: v.Text, Place: v.Place, Confidence: unsure})
	}
	conf := at(row, confCol)
	if !filled {
		if !conf.Blank() {
			r.fail(conf.Place, "", "a configuration is chosen in a row that has no cells; type the row or clear the choice")
		}
		return
	}
	out.Configuration = r.choice(conf, "configuration", "configurations")
	out.Page = r.page(at(row, pageCol))
	for n := range out.Cells {
		out.Cells[n].Place.Page = out.Page
	}
	r.out.Rows = append(r.out.Rows, out)
}

// typed checks one cell that a person typed.
func (r *entryReader) typed(v Value, key string) {
	switch {
	case v.Blank():
	case v.Formula:
		r.fail(v.Place, key, "holds a formula; type what is printed")
	case v.Number:
		r.fail(v.Place, key, "holds the number %s, not a text: zeros that the print may have at the end are lost; format the cell as text and type what is printed", v.Text)
	case v.Stored != "":
		r.fail(v.Place, key, "shows %q but holds the number %s; format the cell as text and type what is printed", v.Text, v.Stored)
	default:
		if msg := Typed(v.Text); msg != "" {
			r.fail(v.Place, key, "%s", msg)
		}
	}
}

func (r *entryReader) choice(v Value, key, list string) string {
	if v.Blank() {
		return ""
	}
	if v.Formula {
		r.fail(v.Place, key, "holds a formula; choose from the list")
		return ""
	}
	if msg := Typed(v.Text); msg != "" {
		r.fail(v.Place, key, "%s", msg)
		return ""
	}
	if l := r.lists[list]; len(l) > 0 && !slices.Contains(l, v.Text) {
		r.fail(v.Place, key, "%q is not in the list of %s; choose from the drop-down or leave the cell blank", v.Text, list)
	}
	return v.Text
}

// maxPage bounds a page number; no report is longer.
const maxPage = 5000

func pageNumber(text string) (int, error) {
	p, err := strconv.Atoi(text)
	if err != nil || p < 1 || p > maxPage {
		return 0, fmt.Errorf("page %q is not a page of the file; write a whole number from 1", text)
	}
	return p, nil
}

func (r *entryReader) page(v Value) int {
	if v.Blank() {
		return 0
	}
	p, err := pageNumber(v.Text)
	if err != nil || v.Formula {
		r.fail(v.Place, "page", "page %q is not a page of the file; write a whole number from 1", v.Text)
	}
	return p
}

func (r *entryReader) readGivens(s Sheet) {
	if r.broken {
		return
	}
	cells := map[string]extract.Cell{}
	columns := map[string]EntryColumn{}
	position := map[string]int{}
	if len(s.Rows) == 0 {
		return
	}
	for i, v := range s.Rows[0] {
		if _, seen := position[v.Text]; seen && !v.Blank() {
			r.fail(v.Place, "", "the head %q stands twice", v.Text)
		}
		position[v.Text] = i + 1
	}
	keyCol := position[keyOf(r.out.TableID, kindRow, "given")]
	for _, head := range []string{"as printed", "quantity", "unit", "page"} {
		if position[head] == 0 || keyCol == 0 {
			r.faults.add(&extract.Error{File: r.name, Table: sheetGiven, Msg: fmt.Sprintf("the column %q or the hidden column of keys is missing in the first row", head)})
			return
		}
	}
	for i, row := range s.Rows[1:] {
		k := at(row, keyCol)
		_, kind, key, ok := splitKey(k.Text)
		v := at(row, position["as printed"])
		if !ok || kind != kindGiven {
			if !v.Blank() {
				r.fail(v.Place, "", "%q stands in a row that has no key", v.Text)
			}
			continue
		}
		if !r.claim(k) {
			continue
		}
		v.Place = extract.Place{Sheet: s.Name, Ref: cellName(i+2, position["as printed"])}
		r.typed(v, key)
		place := v.Place
		place.Page = r.page(at(row, position["page"]))
		cells[k.Text] = extract.Cell{Row: extract.Given, Column: key, Text: v.Text, Place: place, Confidence: unsure}
		columns[k.Text] = EntryColumn{Key: key, Head: r.heads[k.Text],
			Quantity: r.choice(at(row, position["quantity"]), key, "quantities"),
			Unit:     r.choice(at(row, position["unit"]), key, "units")}
	}
	for _, k := range r.keys {
		if c, ok := cells[k]; ok {
			r.out.Givens = append(r.out.Givens, c)
			r.out.GivenColumns = append(r.out.GivenColumns, columns[k])
		}
	}
}

var negativeNumeral = regexp.MustCompile(`^-\s*[.,·]?[0-9]`)

// Typed says what is wrong with a text that a person typed as a cell, or "": a
// text may not hold line breaks or control characters, and may not start with
// = + @, nor with a hyphen unless it is a number or a dash alone, because
// spreadsheet programs take such a text for a formula.
func Typed(text string) string {
	for _, r := range text {
		if unicode.IsControl(r) {
			return fmt.Sprintf("%q holds a line break, a tab or a control character; type one line", text)
		}
	}
	t := strings.TrimSpace(text)
	if t == "" {
		return ""
	}
	switch t[0] {
	case '=', '@':
		return fmt.Sprintf("%q starts with %c, which spreadsheet programs take for a formula; type what is printed without it", text, t[0])
	case '+':
		return fmt.Sprintf("%q starts with +, which spreadsheet programs take for a formula; leave the plus sign out, it does not change the figure", text)
	case '-':
		if strings.Trim(t, "- ") == "" {
			return ""
		}
		if !negativeNumeral.MatchString(t) || formulaSigns(t[1:]) {
			return fmt.Sprintf("%q starts with a hyphen and is neither a number nor a dash alone; spreadsheet programs take it for a formula", text)
		}
	}
	return ""
}

// formulaSigns reports whether a text after its sign holds what only a formula
// has: an operator other than in a power of ten, a call or a reference.
func formulaSigns(t string) bool {
	if strings.ContainsAny(t, "=|!@&(<>\"") {
		return true
	}
	for i, r := range t {
		if (r == '+' || r == '-') && (i == 0 || !strings.ContainsRune("eE^0", rune(t[i-1]))) {
			return true
		}
	}
	return false
}
