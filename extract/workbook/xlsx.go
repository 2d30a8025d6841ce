package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math/big"
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"windtally/extract"
)

// book is an opened workbook: the library's view for texts, styles and number
// formats, and our own scan of each sheet for what the library does not tell
// (which cells hold a formula, and what is stored before any formatting).
type book struct {
	name   string
	file   *excelize.File
	sheets []*sheetPart
	styles map[int]numberForm
}

// sheetPart is one sheet as it lies in the file.
type sheetPart struct {
	name           string
	cells          []rawCell
	merged         []area
	mergedRefs     []string
	maxRow, maxCol int
}

// rawCell is one stored cell that has a value or a formula.
type rawCell struct {
	row, col int
	kind     string // the cell's t attribute
	style    int
	value    string
	formula  bool
	filled   bool // a value is stored
}

// cellFault is a fault of one cell.
type cellFault struct {
	row, col int
	err      *extract.Error
}

// openBook checks what the file would unpack to before anything is unpacked,
// scans the sheets, and only then hands the file to the library.
func openBook(name string, data []byte) (b *book, err error) {
	fail := func(format string, args ...any) (*book, error) {
		return nil, &extract.Error{File: name, Msg: fmt.Sprintf(format, args...)}
	}
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fail("is not a whole workbook: %v", err)
	}
	if len(zr.File) > maxParts {
		return fail("has %d parts; a workbook of tables has at most %d", len(zr.File), maxParts)
	}
	var total uint64
	parts := map[string]*zip.File{}
	for _, f := range zr.File {
		if f.UncompressedSize64 > unzipXMLSizeLimit {
			return fail("part %s would unpack to %d MiB; the limit is %d MiB", f.Name, f.UncompressedSize64>>20, unzipXMLSizeLimit>>20)
		}
		if total += f.UncompressedSize64; total > unzipSizeLimit {
			return fail("would unpack to more than %d MiB, the limit", unzipSizeLimit>>20)
		}
		key := strings.ToLower(strings.ReplaceAll(f.Name, "\\", "/"))
		if parts[key] != nil {
			return fail("part %s stands in it twice", f.Name)
		}
		parts[key] = f
	}
	sheets, err := scanSheets(parts)
	if err != nil {
		return fail("%v", err)
	}
	// The library has failed with a panic on damaged files; that must stay a fault
	// of the file.
	defer func() {
		if r := recover(); r != nil {
			b, err = fail("is damaged: %v", r)
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		UnzipSizeLimit: unzipSizeLimit, UnzipXMLSizeLimit: unzipXMLSizeLimit,
	})
	if err != nil {
		return fail("is not a workbook that can be read: %v", err)
	}
	return &book{name: name, file: f, sheets: sheets, styles: map[int]numberForm{}}, nil
}

func (b *book) close() { _ = b.file.Close() }

func (b *book) sheet(name string) *sheetPart {
	for _, s := range b.sheets {
		if s.name == name {
			return s
		}
	}
	return nil
}

func (b *book) names() []string {
	var names []string
	for _, s := range b.sheets {
		names = append(names, s.name)
	}
	return names
}

func openPart(parts map[string]*zip.File, name string) (io.ReadCloser, error) {
	f := parts[strings.ToLower(name)]
	if f == nil {
		return nil, fmt.Errorf("part %s is missing", name)
	}
	rc, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("part %s: %v", name, err)
	}
	return rc, nil
}

func decodePart(parts map[string]*zip.File, name string, start func(xml.StartElement)) error {
	rc, err := openPart(parts, name)
	if err != nil {
		return err
	}
	defer rc.Close()
	dec := xml.NewDecoder(rc)
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("part %s is not well formed: %v", name, err)
		}
		if el, ok := tok.(xml.StartElement); ok {
			start(el)
		}
	}
}

func attr(el xml.StartElement, local string) string {
	for _, a := range el.Attr {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

// scanSheets reads the list of worksheets and each worksheet's cells.
func scanSheets(parts map[string]*zip.File) ([]*sheetPart, error) {
	main := ""
	err := decodePart(parts, "_rels/.rels", func(el xml.StartElement) {
		if el.Name.Local == "Relationship" && strings.HasSuffix(attr(el, "Type"), "/officeDocument") {
			main = strings.TrimPrefix(attr(el, "Target"), "/")
		}
	})
	if err != nil {
		return nil, err
	}
	if main == "" {
		return nil, fmt.Errorf("names no workbook part; it is another kind of packed file")
	}
	target := map[string]string{}
	rels := path.Join(path.Dir(main), "_rels", path.Base(main)+".rels")
	err = decodePart(parts, rels, func(el xml.StartElement) {
		if el.Name.Local != "Relationship" || !strings.HasSuffix(attr(el, "Type"), "/worksheet") {
			return
		}
		t := attr(el, "Target")
		if strings.HasPrefix(t, "/") {
			t = strings.TrimPrefix(t, "/")
		} else {
			t = path.Join(path.Dir(main), t)
		}
		target[attr(el, "Id")] = t
	})
	if err != nil {
		return nil, err
	}
	var sheets []*sheetPart
	var paths []string
	err = decodePart(parts, main, func(el xml.StartElement) {
		if el.Name.Local != "sheet" {
			return
		}
		id := ""
		for _, a := range el.Attr {
			if a.Name.Local == "id" && a.Name.Space != "" {
				id = a.Value
			}
		}
		// A chart sheet has no cells and no worksheet part.
		if t, ok := target[id]; ok {
			sheets = append(sheets, &sheetPart{name: attr(el, "name")})
			paths = append(paths, t)
		}
	})
	if err != nil {
		return nil, err
	}
	if len(sheets) == 0 {
		return nil, fmt.Errorf("has no worksheet")
	}
	for i, s := range sheets {
		if err := s.scan(parts, paths[i]); err != nil {
			return nil, err
		}
	}
	return sheets, nil
}

// scan walks one worksheet part. Rows and cells must ascend, as the format has
// it; with anything else readers disagree about what stands where.
func (s *sheetPart) scan(parts map[string]*zip.File, name string) error {
	rc, err := openPart(parts, name)
	if err != nil {
		return err
	}
	defer rc.Close()
	dec := xml.NewDecoder(rc)
	var (
		row, col int
		cell     *rawCell
		into     *strings.Builder
		value    strings.Builder
	)
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return fmt.Errorf("sheet %q is not well formed: %v", s.name, err)
		}
		switch el := tok.(type) {
		case xml.StartElement:
			switch el.Name.Local {
			case "row":
				next := row + 1
				if r := attr(el, "r"); r != "" {
					if next, err = strconv.Atoi(r); err != nil || next <= row {
						return fmt.Errorf("sheet %q: row %q stands after row %d; rows must ascend", s.name, r, row)
					}
				}
				row, col = next, 0
				if row > maxRows {
					return fmt.Errorf("sheet %q: row %d lies beyond row %d, the limit", s.name, row, maxRows)
				}
			case "c":
				next := col + 1
				if r := attr(el, "r"); r != "" {
					c, rr, err := excelize.CellNameToCoordinates(r)
					if err != nil || rr != row || c <= col {
						return fmt.Errorf("sheet %q: cell %q stands in row %d after column %d; cells must ascend within their row", s.name, r, row, col)
					}
					next = c
				}
				col = next
				if col > maxColumns {
					return fmt.Errorf("sheet %q: row %d has a cell in column %d; the limit is %d columns", s.name, row, col, maxColumns)
				}
				s.maxRow, s.maxCol = max(s.maxRow, row), max(s.maxCol, col)
				if s.maxRow*s.maxCol > maxCells {
					return fmt.Errorf("sheet %q spans %d rows and %d columns; the limit is %d cells", s.name, s.maxRow, s.maxCol, maxCells)
				}
				style, _ := strconv.Atoi(attr(el, "s"))
				cell = &rawCell{row: row, col: col, kind: attr(el, "t"), style: style}
			case "f":
				if cell != nil {
					cell.formula = true
				}
			case "v":
				if cell != nil {
					cell.filled = true
					value.Reset()
					into = &value
				}
			case "is":
				if cell != nil {
					cell.filled = true
				}
			case "mergeCell":
				ref := attr(el, "ref")
				a, err := parseArea(ref)
				if err != nil {
					return fmt.Errorf("sheet %q: merged cells %q: %v", s.name, ref, err)
				}
				if s.merged = append(s.merged, a); len(s.merged) > maxMerges {
					return fmt.Errorf("sheet %q has more than %d merged ranges, the limit", s.name, maxMerges)
				}
				s.mergedRefs = append(s.mergedRefs, ref)
			}
		case xml.CharData:
			if into != nil {
				into.Write(el)
			}
		case xml.EndElement:
			switch el.Name.Local {
			case "v":
				if cell != nil && into != nil {
					cell.value = strings.TrimSpace(value.String())
				}
				into = nil
			case "c":
				if cell != nil && (cell.filled || cell.formula) {
					s.cells = append(s.cells, *cell)
				}
				cell = nil
			}
		}
	}
	return nil
}

func parseArea(ref string) (area, error) {
	from, to, ranged := strings.Cut(strings.ReplaceAll(strings.TrimSpace(ref), "$", ""), ":")
	if !ranged {
		to = from
	}
	c0, r0, err := excelize.CellNameToCoordinates(from)
	c1, r1, err1 := excelize.CellNameToCoordinates(to)
	if err != nil || err1 != nil || c1 < c0 || r1 < r0 {
		return area{}, fmt.Errorf("range %q is not a range of cells; write it as in B3:H40", ref)
	}
	return area{r0, c0, r1, c1}, nil
}

// covered reports whether the cell lies under a merged range whose text stands in
// another cell.
func (s *sheetPart) covered(row, col int) bool {
	for _, a := range s.merged {
		if a.holds(row, col) && (row != a.row0 || col != a.col0) {
			return true
		}
	}
	return false
}

func cellName(row, col int) string {
	name, _ := excelize.CoordinatesToCellName(col, row)
	return name
}

// read gives the sheet as it is shown, with the faults of single cells, whose
// values are left blank.
func (b *book) read(part *sheetPart) (s Sheet, bad []cellFault, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &extract.Error{File: b.name, Table: part.name, Msg: fmt.Sprintf("is damaged: %v", r)}
		}
	}()
	s = Sheet{Name: part.name, Merged: part.mergedRefs}
	s.Rows = make([][]Value, part.maxRow)
	widths := make([]int, part.maxRow+1)
	for _, c := range part.cells {
		widths[c.row] = max(widths[c.row], c.col)
	}
	for i := range s.Rows {
		s.Rows[i] = make([]Value, widths[i+1])
		for j := range s.Rows[i] {
			s.Rows[i][j].Place = extract.Place{Sheet: part.name, Ref: cellName(i+1, j+1)}
		}
	}
	for _, c := range part.cells {
		ref := cellName(c.row, c.col)
		fail := func(format string, args ...any) {
			bad = append(bad, cellFault{c.row, c.col, &extract.Error{File: b.name, Table: part.name + "!" + ref, Msg: fmt.Sprintf(format, args...)}})
		}
		if part.covered(c.row, c.col) {
			if c.value != "" {
				fail("holds a value that merged cells hide; part the cells and look")
			}
			continue
		}
		v, msg := b.value(part.name, ref, c)
		if msg != "" {
			fail("%s", msg)
			continue
		}
		v.Place = extract.Place{Sheet: part.name, Ref: ref}
		s.Rows[c.row-1][c.col-1] = v
	}
	s.Rows = trimRows(s.Rows)
	return s, bad, nil
}

// value takes one cell as shown; msg says why that cannot be.
func (b *book) value(sheet, ref string, c rawCell) (v Value, msg string) {
	v.Formula = c.formula
	if c.formula && (!c.filled || c.value == "" && c.kind != "str") {
		return v, "holds a formula without a stored result; open the workbook in a spreadsheet program and save it, or type the value"
	}
	switch c.kind {
	case "b":
		return v, "holds a truth value; a table cell is a number or a text"
	case "e":
		return v, fmt.Sprintf("holds the error %s; a table cell is a number or a text", c.value)
	case "d":
		return v, fmt.Sprintf("holds the date %s; format the column as text and type what is printed", c.value)
	case "s", "str", "inlineStr":
		text, err := b.text(sheet, ref, c)
		if err != nil {
			return v, err.Error()
		}
		v.Text = strings.TrimSpace(text)
		for _, r := range v.Text {
			if r < ' ' && r != '\n' && r != '\t' || r == utf8.RuneError || r == 0x7f {
				return v, fmt.Sprintf("%q holds a control or broken character", v.Text)
			}
		}
		return v, ""
	case "", "n":
		if c.value == "" {
			return v, ""
		}
		return b.number(sheet, ref, c, v)
	}
	return v, fmt.Sprintf("is of the kind %q, which is not known; a table cell is a number or a text", c.kind)
}

// raised are the figures that a print sets above or below the line. Joining the
// runs of a cell would make 106 of ten to the sixth.
var (
	raised  = strings.NewReplacer("0", "\u2070", "1", "\u00b9", "2", "\u00b2", "3", "\u00b3", "4", "\u2074", "5", "\u2075", "6", "\u2076", "7", "\u2077", "8", "\u2078", "9", "\u2079", "+", "\u207a", "-", "\u207b", "\u2212", "\u207b")
	lowered = strings.NewReplacer("0", "\u2080", "1", "\u2081", "2", "\u2082", "3", "\u2083", "4", "\u2084", "5", "\u2085", "6", "\u2086", "7", "\u2087", "8", "\u2088", "9", "\u2089", "+", "\u208a", "-", "\u208b", "\u2212", "\u208b")
)

func (b *book) text(sheet, ref string, c rawCell) (string, error) {
	if c.kind == "str" {
		return c.value, nil
	}
	runs, err := b.file.GetCellRichText(sheet, ref)
	if err != nil {
		return "", err
	}
	var t strings.Builder
	for _, r := range runs {
		switch {
		case r.Font == nil:
			t.WriteString(r.Text)
		case r.Font.Strike && strings.ContainsAny(r.Text, "0123456789"):
			return "", fmt.Errorf("%q is struck out; take it out or undo the stroke", r.Text)
		case r.Font.VertAlign == "superscript":
			t.WriteString(raised.Replace(r.Text))
		case r.Font.VertAlign == "subscript":
			t.WriteString(lowered.Replace(r.Text))
		default:
			t.WriteString(r.Text)
		}
	}
	if len(runs) == 0 {
		return b.file.GetCellValue(sheet, ref, excelize.Options{RawCellValue: true})
	}
	return t.String(), nil
}

// numberForm is what a number format does to a number.
type numberForm int

const (
	formGeneral numberForm = iota
	formDate
	formShown
	formStruck
	formUnknown
)

// number takes a numeric cell. A double is the decimal that it was typed as when
// the shortest decimal that gives the same double has at most 15 digits; with
// more, it is the result of binary arithmetic and no print.
func (b *book) number(sheet, ref string, c rawCell, v Value) (Value, string) {
	stored, err := strconv.ParseFloat(c.value, 64)
	if err != nil {
		return v, fmt.Sprintf("%q is stored as a number and is none", c.value)
	}
	form, err := b.form(c.style)
	if err != nil {
		return v, fmt.Sprintf("has a style that cannot be read: %v", err)
	}
	short := strconv.FormatFloat(stored, 'f', -1, 64)
	switch form {
	case formDate:
		shown, _ := b.file.GetCellValue(sheet, ref)
		return v, fmt.Sprintf("holds a date or a time (shown as %s, stored as %s); format the column as text and type what is printed", shown, c.value)
	case formStruck:
		return v, fmt.Sprintf("%s is struck out; take it out or undo the stroke", short)
	case formUnknown:
		return v, fmt.Sprintf("%s has a number format that is not known; format the cell as text", short)
	case formGeneral:
		if digits := significant(stored); digits > 15 {
			return v, fmt.Sprintf("%s has %d digits, the noise of binary arithmetic; type the number as text, with the digits that are printed", c.value, digits)
		}
		if len(short) > 25 {
			short = strconv.FormatFloat(stored, 'E', -1, 64)
		}
		v.Text, v.Number = short, true
		return v, ""
	}
	shown, err := b.file.GetCellValue(sheet, ref)
	if err != nil {
		return v, fmt.Sprintf("%s cannot be shown in its number format: %v", c.value, err)
	}
	v.Text = strings.TrimSpace(shown)
	if v.Text == "" {
		return v, fmt.Sprintf("holds %s, which its number format hides; show it or take it out", short)
	}
	if !showsAll(v.Text, stored) {
		v.Stored = short
	}
	return v, ""
}

// significant counts the digits of the shortest decimal of a double.
func significant(x float64) int {
	mantissa, _, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	return len(strings.TrimLeft(strings.ReplaceAll(mantissa, ".", ""), "-"))
}

var plainNumeral = regexp.MustCompile(`^-?[0-9]*\.?[0-9]+(E[+-]?[0-9]{1,3})?%?$`)

// showsAll reports whether the shown text is all of the stored number, apart from
// noise beyond the fifteenth digit.
func showsAll(text string, stored float64) bool {
	text = strings.ReplaceAll(text, ",", "")
	if !plainNumeral.MatchString(text) {
		return false
	}
	body, percent := strings.CutSuffix(text, "%")
	shown, ok := new(big.Rat).SetString(body)
	if !ok {
		return false
	}
	if percent {
		shown.Quo(shown, big.NewRat(100, 1))
	}
	want, ok := new(big.Rat).SetString(strconv.FormatFloat(stored, 'e', 14, 64))
	return ok && shown.Cmp(want) == 0
}

func (b *book) form(style int) (numberForm, error) {
	if f, ok := b.styles[style]; ok {
		return f, nil
	}
	f := formGeneral
	st, err := b.file.GetStyle(style)
	if err != nil && style == 0 {
		return formGeneral, nil // a workbook without styles
	}
	if err != nil {
		return formUnknown, err
	}
	switch {
	case st.CustomNumFmt != nil:
		f = classify(*st.CustomNumFmt)
	case st.NumFmt >= 14 && st.NumFmt <= 22, st.NumFmt >= 27 && st.NumFmt <= 36,
		st.NumFmt >= 45 && st.NumFmt <= 47, st.NumFmt >= 50 && st.NumFmt <= 58, st.NumFmt >= 71 && st.NumFmt <= 81:
		f = formDate
	case st.NumFmt == 0, st.NumFmt == 49:
		f = formGeneral
	case st.NumFmt <= 13, st.NumFmt >= 37 && st.NumFmt <= 44, st.NumFmt == 48:
		f = formShown
	default:
		f = formUnknown
	}
	if st.Font != nil && st.Font.Strike {
		f = formStruck
	}
	b.styles[style] = f
	return f, nil
}

var (
	formatLiteral = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.`)
	formatBracket = regexp.MustCompile(`\[[^\]]*\]`)
	formatElapsed = regexp.MustCompile(`(?i)\[(h+|m+|s+)\]`)
)

// classify tells the kind of a number format from its code, after literals and
// conditions are taken out of it.
func classify(code string) numberForm {
	bare := formatLiteral.ReplaceAllString(code, "")
	if formatElapsed.MatchString(bare) {
		return formDate
	}
	bare = strings.ToLower(formatBracket.ReplaceAllString(bare, ""))
	if bare == "general" || bare == "@" || bare == "" {
		return formGeneral
	}
	bare = strings.ReplaceAll(bare, "general", "")
	if strings.ContainsAny(bare, "ymdhsbg") {
		return formDate
	}
	return formShown
}
