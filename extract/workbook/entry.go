package workbook

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"windtally/extract"
)

// EntryColumn is one column of an entry workbook, or one figure given outside the
// grid.
type EntryColumn struct {
	Key, Head      string
	Quantity, Unit string
	Hint           string // what to type, in a few words
}

// Entry says what an entry workbook asks for.
type Entry struct {
	TableID, Table, Source, Pages, Caption string
	Columns                                []EntryColumn
	// Quantities, Units and Configurations are offered in drop-downs.
	Quantities, Units, Configurations []string
	Rows                              int      // rows laid out; more may be typed below
	Labels                            []string // known texts of the first column
	Givens                            []EntryColumn
}

// Sheets of an entry workbook.
const (
	sheetTable  = "table"
	sheetGiven  = "given"
	sheetLists  = "lists"
	sheetReadMe = "read me"
)

// What stands in column A of the sheet "table" beside the rows above the body.
const (
	partCaption  = "caption"
	partHint     = "type"
	partHead     = "head"
	partQuantity = "quantity"
	partUnit     = "unit"
)

// Rows of the sheets "table" and "given" as they are written; on reading they are
// found by their keys.
const (
	rowKeys = 1 + iota
	rowCaption
	rowHint
	rowHead
	rowQuantity
	rowUnit
	rowBody
)

const (
	// spareRows are rows after the last one laid out in which drop-downs still work.
	spareRows = 200
	// defaultRows are laid out where the number of rows is not known.
	defaultRows = 40
	// madeAt stands for the time of making, which must not reach the bytes.
	madeAt = "2000-01-01T00:00:00Z"
	// maxHint keeps the line under the caption short.
	maxHint = 60
)

// typingRules go into the comment on every head.
const typingRules = "Type what is printed, nothing else. Leave the cell blank where the print has nothing; type a dash where the print has a dash. Keep zeros, also at the end (0.30). Do not convert and do not correct."

// keyOf is what the hidden row holds over a column: table, kind and key. With the
// table's id in it a column pasted from another table's workbook is noticed.
func keyOf(table, kind, key string) string { return table + "/" + kind + "/" + key }

const (
	kindColumn = "column"
	kindGiven  = "given"
	kindRow    = "row" // part, page and configuration of a row
)

// WriteEntry writes the entry workbook of a table: the sheet "table" to type in,
// "given" for figures outside the grid, "lists" with what the drop-downs offer, and
// "read me". All cells to type in are formatted as text, so that a spreadsheet
// program makes no date of 1-2 and drops no zero. Equal entries give equal bytes.
func WriteEntry(w io.Writer, e Entry) error {
	if err := e.check(); err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	b := entryWriter{f: f, e: e}
	if e.Rows == 0 {
		b.e.Rows = max(defaultRows, len(e.Labels))
	}
	b.write()
	if b.err != nil {
		return fmt.Errorf("entry workbook of table %s: %w", e.TableID, b.err)
	}
	// The library writes through a buffer, so that a fault leaves w untouched.
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		return fmt.Errorf("entry workbook of table %s: %w", e.TableID, err)
	}
	_, err := w.Write(out.Bytes())
	return err
}

func (e Entry) check() error {
	fail := func(format string, args ...any) error {
		return &extract.Error{Table: e.TableID, Msg: fmt.Sprintf(format, args...)}
	}
	if e.TableID == "" || strings.ContainsAny(e.TableID, "/ ") {
		return fail("table id %q: an entry workbook needs the id of its table", e.TableID)
	}
	if len(e.Columns) == 0 {
		return fail("the table has no columns; an entry workbook needs at least one")
	}
	if len(e.Columns)+3 > maxColumns {
		return fail("%d columns; an entry workbook has at most %d", len(e.Columns), maxColumns-3)
	}
	if n := max(e.Rows, len(e.Labels)); n < 0 || (n+rowBody+spareRows)*(len(e.Columns)+3) > maxCells || n > maxRows/2 || e.Rows < 0 {
		return fail("%d rows of %d columns are more than an entry workbook holds", n, len(e.Columns))
	}
	if e.Rows > 0 && len(e.Labels) > e.Rows {
		return fail("%d labels for %d rows", len(e.Labels), e.Rows)
	}
	for _, list := range [][]EntryColumn{e.Columns, e.Givens} {
		seen := map[string]bool{}
		for _, c := range list {
			switch {
			case c.Key == "" || strings.ContainsAny(c.Key, "/ "):
				return fail("key %q: a column needs a key without blanks", c.Key)
			case seen[c.Key]:
				return fail("key %q stands twice", c.Key)
			case len([]rune(c.Hint)) > maxHint:
				return fail("hint of %s has %d characters; keep it to %d", c.Key, len([]rune(c.Hint)), maxHint)
			case c.Quantity != "" && !slices.Contains(e.Quantities, c.Quantity):
				return fail("quantity %q of %s is not in the list of quantities", c.Quantity, c.Key)
			case c.Unit != "" && !slices.Contains(e.Units, c.Unit):
				return fail("unit %q of %s is not in the list of units", c.Unit, c.Key)
			}
			seen[c.Key] = true
		}
	}
	for i, l := range e.Labels {
		if msg := Typed(l); msg != "" {
			return fail("label %d: %s", i+1, msg)
		}
	}
	return nil
}

// entryWriter keeps the first error, so that the layout reads as a layout.
type entryWriter struct {
	f   *excelize.File
	e   Entry
	err error

	input, head, choice, hint, plain, title, wrap, part int // styles
}

func (b *entryWriter) do(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *entryWriter) style(s excelize.Style) int {
	id, err := b.f.NewStyle(&s)
	b.do(err)
	return id
}

func (b *entryWriter) set(sheet string, row, col int, text string, style int) {
	ref := cellName(row, col)
	if text != "" {
		b.do(b.f.SetCellStr(sheet, ref, text))
	}
	b.do(b.f.SetCellStyle(sheet, ref, ref, style))
}

func (b *entryWriter) write() {
	thin := func() []excelize.Border {
		var out []excelize.Border
		for _, side := range []string{"left", "top", "right", "bottom"} {
			out = append(out, excelize.Border{Type: side, Color: "BFBFBF", Style: 1})
		}
		return out
	}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	const textFormat = 49 // "@"
	b.input = b.style(excelize.Style{NumFmt: textFormat, Border: thin(), Alignment: &excelize.Alignment{Horizontal: "right"}})
	b.choice = b.style(excelize.Style{NumFmt: textFormat, Border: thin(), Fill: fill("FFF8E1"), Alignment: &excelize.Alignment{Horizontal: "center", ShrinkToFit: true}})
	b.head = b.style(excelize.Style{NumFmt: textFormat, Border: thin(), Fill: fill("DCE6F1"), Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{Horizontal: "center", Vertical: "center", WrapText: true}})
	b.hint = b.style(excelize.Style{NumFmt: textFormat, Font: &excelize.Font{Italic: true, Size: 9, Color: "595959"}, Alignment: &excelize.Alignment{Horizontal: "center", Vertical: "top", WrapText: true}})
	b.part = b.style(excelize.Style{NumFmt: textFormat, Font: &excelize.Font{Size: 9, Color: "595959"}})
	b.plain = b.style(excelize.Style{NumFmt: textFormat})
	b.title = b.style(excelize.Style{NumFmt: textFormat, Font: &excelize.Font{Bold: true, Size: 12}})
	b.wrap = b.style(excelize.Style{NumFmt: textFormat, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	if b.err != nil {
		return
	}
	b.do(b.f.SetSheetName("Sheet1", sheetTable))
	names := []string{sheetLists, sheetReadMe}
	if len(b.e.Givens) > 0 {
		names = []string{sheetGiven, sheetLists, sheetReadMe}
	}
	for _, name := range names {
		_, err := b.f.NewSheet(name)
		b.do(err)
	}
	b.lists()
	b.table()
	if len(b.e.Givens) > 0 {
		b.givens()
	}
	b.readMe()
	b.f.SetActiveSheet(0)
	b.do(b.f.SetDocProps(&excelize.DocProperties{Title: "entry of table " + b.e.Table, Creator: "windtally", LastModifiedBy: "windtally", Created: madeAt, Modified: madeAt}))
}

// lists writes what the drop-downs offer, and the keys and heads that the workbook
// must still have when it comes back.
func (b *entryWriter) lists() {
	s := sheetLists
	for i, list := range []struct {
		head string
		of   []string
	}{{"quantities", b.e.Quantities}, {"units", b.e.Units}, {"configurations", b.e.Configurations}} {
		b.set(s, 1, i+1, list.head, b.head)
		for j, v := range list.of {
			b.set(s, j+2, i+1, v, b.plain)
		}
	}
	b.set(s, 1, 5, "keys", b.head)
	b.set(s, 1, 6, "heads", b.head)
	row := 2
	add := func(kind string, c EntryColumn) {
		b.set(s, row, 5, keyOf(b.e.TableID, kind, c.Key), b.plain)
		b.set(s, row, 6, c.Head, b.plain)
		row++
	}
	for _, c := range b.e.Columns {
		add(kindColumn, c)
	}
	for _, c := range b.e.Givens {
		add(kindGiven, c)
	}
	b.do(b.f.SetColWidth(s, "A", "C", 28))
	b.do(b.f.SetColWidth(s, "E", "F", 28))
	b.do(b.f.SetColVisible(s, "E:F", false))
}

// dropDown offers a list of the sheet "lists"; a list in the cell's own rule is
// limited to 255 characters.
func (b *entryWriter) dropDown(sheet, cells string, column string, n int, what string) {
	if n == 0 {
		return
	}
	dv := excelize.NewDataValidation(true)
	dv.SetSqref(cells)
	dv.SetSqrefDropList(fmt.Sprintf("%s!$%s$2:$%s$%d", sheetLists, column, column, n+1))
	dv.SetError(excelize.DataValidationErrorStyleStop, what, "Choose from the list (sheet "+sheetLists+"), or leave the cell blank.")
	b.do(b.f.AddDataValidation(sheet, dv))
}

func (b *entryWriter) comment(sheet, ref, text string) {
	b.do(b.f.AddComment(sheet, excelize.Comment{Cell: ref, Author: "windtally", Text: text, Width: 300, Height: 150}))
}

// firstColumn is the sheet column of the table's first column: after the part of
// the row, the page and the configuration.
const firstColumn = 4

func (b *entryWriter) table() {
	s, e := sheetTable, b.e
	last := firstColumn + len(e.Columns) - 1
	bottom := rowBody + e.Rows - 1
	colName := func(c int) string { n, _ := excelize.ColumnNumberToName(c); return n }
	// Below the rows laid out the columns stay text.
	b.do(b.f.SetColStyle(s, "A:"+colName(last), b.plain))
	b.do(b.f.SetColWidth(s, "A", "A", 9))
	b.do(b.f.SetColWidth(s, "B", "B", 7))
	b.do(b.f.SetColWidth(s, "C", "C", 18))

	b.set(s, rowKeys, 1, keyOf(e.TableID, kindRow, "part"), b.part)
	b.set(s, rowKeys, 2, keyOf(e.TableID, kindRow, "page"), b.part)
	b.set(s, rowKeys, 3, keyOf(e.TableID, kindRow, "configuration"), b.part)
	for i, p := range []string{partCaption, partHint, partHead, partQuantity, partUnit} {
		b.set(s, rowCaption+i, 1, p, b.part)
	}
	b.set(s, rowCaption, 2, e.title(), b.title)
	b.set(s, rowHint, 2, "page of the file", b.hint)
	b.set(s, rowHint, 3, "choose, or leave blank", b.hint)
	b.set(s, rowHead, 2, "page", b.head)
	b.set(s, rowHead, 3, "configuration", b.head)
	b.comment(s, cellName(rowHead, 2), "The page of the file on which the row stands, counted from 1 as the file counts.")
	b.comment(s, cellName(rowHead, 3), "The configuration that the row is for, where the table has more than one. Leave it blank where a column or the caption says it.")
	for i, c := range e.Columns {
		col := firstColumn + i
		width := 12.0
		for _, t := range []string{c.Head, c.Quantity, c.Unit} {
			width = min(max(width, float64(len([]rune(t)))+2), 30)
		}
		if i == 0 {
			for _, l := range e.Labels {
				width = min(max(width, float64(len([]rune(l)))+2), 40)
			}
		}
		b.do(b.f.SetColWidth(s, colName(col), colName(col), width))
		b.set(s, rowKeys, col, keyOf(e.TableID, kindColumn, c.Key), b.part)
		hint := c.Hint
		if hint == "" {
			hint = "as printed"
		}
		b.set(s, rowHint, col, hint, b.hint)
		b.set(s, rowHead, col, c.Head, b.head)
		b.set(s, rowQuantity, col, c.Quantity, b.choice)
		b.set(s, rowUnit, col, c.Unit, b.choice)
		b.comment(s, cellName(rowHead, col), fmt.Sprintf("%s: %s. %s", c.Key, strings.TrimSuffix(hint, "."), typingRules))
	}
	page := ""
	if p, err := extract.ParsePages(e.Pages); err == nil && len(p) == 1 {
		page = strconv.Itoa(p[0])
	}
	for i := range e.Rows {
		r := rowBody + i
		b.set(s, r, 1, strconv.Itoa(i+1), b.part)
		b.set(s, r, 2, page, b.input)
		b.set(s, r, 3, "", b.choice)
		for c := firstColumn; c <= last; c++ {
			label := ""
			if c == firstColumn && i < len(e.Labels) {
				label = e.Labels[i]
			}
			b.set(s, r, c, label, b.input)
		}
	}
	across := func(row int) string { return cellName(row, firstColumn) + ":" + cellName(row, last) }
	b.dropDown(s, across(rowQuantity), "A", len(e.Quantities), "quantity")
	b.dropDown(s, across(rowUnit), "B", len(e.Units), "unit")
	b.dropDown(s, fmt.Sprintf("C%d:C%d", rowBody, bottom+spareRows), "C", len(e.Configurations), "configuration")
	b.do(b.f.SetRowVisible(s, rowKeys, false))
	b.do(b.f.SetRowHeight(s, rowHint, 26))
	b.do(b.f.SetRowHeight(s, rowHead, 32))
	b.do(b.f.SetPanes(s, &excelize.Panes{Freeze: true, XSplit: 3, YSplit: rowBody - 1, TopLeftCell: cellName(rowBody, firstColumn), ActivePane: "bottomRight",
		Selection: []excelize.Selection{{SQRef: cellName(rowBody, firstColumn), ActiveCell: cellName(rowBody, firstColumn), Pane: "bottomRight"}}}))
	b.page(s, len(e.Columns) > 6)
	b.do(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$A:$C,'%s'!$%d:$%d", s, s, rowCaption, rowUnit), Scope: s}))
	b.do(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", RefersTo: fmt.Sprintf("'%s'!$A$%d:$%s$%d", s, rowCaption, colName(last), bottom), Scope: s}))
}

// page sets up printing: A4, as wide as the paper, with the table's id.
func (b *entryWriter) page(sheet string, wide bool) {
	a4, wide1, tall, fit := 9, 1, 0, true
	orientation := "portrait"
	if wide {
		orientation = "landscape"
	}
	b.do(b.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
	b.do(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Size: &a4, Orientation: &orientation, FitToWidth: &wide1, FitToHeight: &tall}))
	b.do(b.f.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddFooter: "&L" + strings.ReplaceAll(b.e.TableID, "&", "&&") + "&RPage &P of &N"}))
}

func (e Entry) title() string {
	t := e.Table
	if e.Caption != "" {
		t += ": " + e.Caption
	}
	if e.Source != "" {
		t += " (" + e.Source
		if e.Pages != "" {
			t += ", page " + e.Pages
		}
		t += ")"
	}
	return t
}

// Columns of the sheet "given".
const (
	givenKey = 1 + iota
	givenFigure
	givenValue
	givenPage
	givenQuantity
	givenUnit
	givenHint
)

func (b *entryWriter) givens() {
	s := sheetGiven
	b.do(b.f.SetColStyle(s, "A:G", b.plain))
	b.set(s, 1, givenKey, keyOf(b.e.TableID, kindRow, "given"), b.part)
	for i, head := range []string{"figure", "as printed", "page", "quantity", "unit", "what to type"} {
		b.set(s, 1, givenFigure+i, head, b.head)
	}
	for i, c := range b.e.Givens {
		r := i + 2
		b.set(s, r, givenKey, keyOf(b.e.TableID, kindGiven, c.Key), b.part)
		b.set(s, r, givenFigure, c.Head, b.plain)
		b.set(s, r, givenValue, "", b.input)
		b.set(s, r, givenPage, "", b.input)
		b.set(s, r, givenQuantity, c.Quantity, b.choice)
		b.set(s, r, givenUnit, c.Unit, b.choice)
		b.set(s, r, givenHint, c.Hint, b.hint)
		b.comment(s, cellName(r, givenFigure), fmt.Sprintf("%s: a figure printed in the caption, a sub-head or a footnote. %s", c.Key, typingRules))
	}
	n := len(b.e.Givens) + 1
	b.dropDown(s, fmt.Sprintf("E2:E%d", n), "A", len(b.e.Quantities), "quantity")
	b.dropDown(s, fmt.Sprintf("F2:F%d", n), "B", len(b.e.Units), "unit")
	b.do(b.f.SetColVisible(s, "A", false))
	b.do(b.f.SetColWidth(s, "B", "C", 26))
	b.do(b.f.SetColWidth(s, "E", "F", 22))
	b.do(b.f.SetColWidth(s, "G", "G", 40))
	b.do(b.f.SetPanes(s, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	b.page(s, true)
}

func (b *entryWriter) readMe() {
	s := sheetReadMe
	lines := []string{
		"Type the printed table on the sheet \"" + sheetTable + "\", one printed row in each row, from the row after \"" + partUnit + "\" on.",
		typingRules,
		"Choose the quantity and the unit of each column from the lists under its head, as the print states them. Leave them blank where the print does not say.",
		"Page is the page of the file on which a row stands, counted from 1 as the file counts. Leave it blank where the table stands on one page only.",
		"Configuration is chosen where rows belong to different states of the tested article.",
		"The cells are formatted as text. Do not change that, and paste values only: a number that a spreadsheet program takes as a number loses its zeros, and is refused when the workbook is read.",
		"No formulas. A text must not start with = + or @, nor with a hyphen unless a figure follows it or it stands alone. Leave a printed plus sign out; it does not change the figure.",
		"Columns may be moved and rows may be added below or between. The hidden first row says which column is which; do not delete it.",
	}
	if len(b.e.Givens) > 0 {
		lines = append(lines, "Figures printed in the caption, a sub-head or a footnote go on the sheet \""+sheetGiven+"\".")
	}
	b.set(s, 1, 1, b.e.title(), b.title)
	for i, l := range lines {
		b.set(s, i+3, 1, l, b.wrap)
	}
	b.do(b.f.SetColWidth(s, "A", "A", 100))
	b.page(s, false)
}
