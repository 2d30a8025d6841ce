// Package workbook reads tables out of workbooks (.xlsx) and of comma or tab
// separated files, and makes the entry workbook into which a person types a
// printed table.
//
// Every value keeps the place where it stands: sheet and cell, or file and line.
// A value is taken as it is shown; what cannot be shown without guessing (a date,
// a truth value, an error cell, a number with binary noise) is an error with its
// place.
package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"windtally/extract"
)

// Limits on what is read. A workbook of printed tables is a few hundred
// kilobytes; a packed file of 3 MB can unfold to gigabytes.
const (
	// maxFile bounds the file as it lies on disk.
	maxFile = 64 << 20
	// maxText bounds a comma or tab separated file.
	maxText = 8 << 20
	// unzipSizeLimit bounds all parts of a workbook unpacked.
	unzipSizeLimit = 64 << 20
	// unzipXMLSizeLimit bounds one part; it keeps every part in memory, so that
	// nothing is unpacked to disk.
	unzipXMLSizeLimit = 16 << 20
	// maxParts bounds the number of parts of a workbook.
	maxParts = 4096
	// maxRows, maxColumns and maxCells bound the area of a sheet: one cell in the
	// far corner makes the library allocate all that lies before it.
	maxRows    = 50_000
	maxColumns = 1024
	maxCells   = 400_000
	// maxMerges bounds merged ranges, each of which is searched for every cell.
	maxMerges = 2000
	// maxFaults bounds how many faults of one file are told one by one.
	maxFaults = 50
)

// Sheet is one sheet of a workbook, or one text file.
type Sheet struct {
	Name string
	// Rows holds the values by line and column from the top left corner of the
	// sheet; rows are ragged, blanks at the end of a row and blank rows at the end
	// are left out.
	Rows [][]Value
	// Merged lists the merged ranges of a workbook sheet, for example "B2:D2"; the
	// text stands in the first cell, the others are blank.
	Merged []string
}

// Value is one cell of a sheet.
type Value struct {
	Text  string // as shown, without surrounding blanks
	Place extract.Place
	// Formula says that Text is the stored result of a formula, not something that
	// a person typed from print.
	Formula bool
	// Number says that the cell holds a number in the General or text format:
	// zeros at the end are lost, so the printed decimals are not certain.
	Number bool
	// Stored is the stored number where Text, by its number format, does not show
	// all of it (0.3049 shown as 0.30); else "".
	Stored string
}

// Blank reports whether nothing stands in the cell.
func (v Value) Blank() bool { return v.Text == "" }

// ReadFile reads all sheets of a workbook (.xlsx), or the one sheet that a .csv
// or .tsv file is. Every fault is reported, each with its sheet and cell or its
// line; with a fault no sheet is returned.
func ReadFile(name string) ([]Sheet, error) {
	data, kind, err := load(name)
	if err != nil {
		return nil, err
	}
	if kind != kindXLSX {
		s, err := readText(name, data, kind)
		if err != nil {
			return nil, err
		}
		return []Sheet{s}, nil
	}
	b, err := openBook(name, data)
	if err != nil {
		return nil, err
	}
	defer b.close()
	var sheets []Sheet
	var faults faultList
	for _, part := range b.sheets {
		s, bad, err := b.read(part)
		if err != nil {
			return nil, err
		}
		for _, f := range bad {
			faults.add(f.err)
		}
		sheets = append(sheets, s)
	}
	if err := faults.err(name); err != nil {
		return nil, err
	}
	return sheets, nil
}

// ReadSheet reads one sheet, or the region of it that a table's range names
// ("B3:H40", or "lines 2-40" in a text file; "" is all). Faults outside the region
// do not matter. Rows outside it are nil and values outside it blank, so that
// places and positions stay those of the sheet. The sheet of a text file is "".
func ReadSheet(name, sheet, region string) (Sheet, error) {
	data, kind, err := load(name)
	if err != nil {
		return Sheet{}, err
	}
	if kind != kindXLSX {
		if sheet != "" {
			return Sheet{}, &extract.Error{File: name, Msg: fmt.Sprintf("sheet %q: a text file has no sheets; leave sheet out", sheet)}
		}
		s, err := readText(name, data, kind)
		if err != nil || region == "" {
			return s, err
		}
		from, to, err := parseLines(region)
		if err != nil {
			return Sheet{}, &extract.Error{File: name, Msg: err.Error()}
		}
		found := false
		for i, row := range s.Rows {
			if len(row) > 0 && (row[0].Place.Line < from || row[0].Place.Line > to) {
				s.Rows[i] = nil
			} else if len(row) > 0 {
				found = true
			}
		}
		if !found {
			return Sheet{}, &extract.Error{File: name, Msg: fmt.Sprintf("range %q: nothing stands there", region)}
		}
		s.Rows = trimRows(s.Rows)
		return s, nil
	}
	b, err := openBook(name, data)
	if err != nil {
		return Sheet{}, err
	}
	defer b.close()
	area := wholeSheet
	if region != "" {
		if area, err = parseArea(region); err != nil {
			return Sheet{}, &extract.Error{File: name, Table: sheet, Msg: err.Error()}
		}
	}
	part := b.sheet(sheet)
	if part == nil {
		return Sheet{}, &extract.Error{File: name, Msg: fmt.Sprintf("there is no sheet %q; the sheets are: %s", sheet, strings.Join(b.names(), ", "))}
	}
	s, bad, err := b.read(part)
	if err != nil {
		return Sheet{}, err
	}
	var faults faultList
	for _, f := range bad {
		if area.holds(f.row, f.col) {
			faults.add(f.err)
		}
	}
	if err := faults.err(name); err != nil {
		return Sheet{}, err
	}
	found := false
	for i, row := range s.Rows {
		for j := range row {
			if !area.holds(i+1, j+1) {
				row[j] = Value{Place: row[j].Place}
			} else if !row[j].Blank() {
				found = true
			}
		}
	}
	if !found && region != "" {
		return Sheet{}, &extract.Error{File: name, Table: sheet, Msg: fmt.Sprintf("range %q: nothing stands there", region)}
	}
	s.Rows = trimRows(s.Rows)
	return s, nil
}

// area is a range of cells, bounds included, counted from 1.
type area struct{ row0, col0, row1, col1 int }

var wholeSheet = area{1, 1, maxRows, maxColumns}

func (a area) holds(row, col int) bool {
	return row >= a.row0 && row <= a.row1 && col >= a.col0 && col <= a.col1
}

var lineRange = regexp.MustCompile(`^lines? *(\d{1,9}) *- *(\d{1,9})$`)

func parseLines(region string) (from, to int, err error) {
	m := lineRange.FindStringSubmatch(strings.TrimSpace(region))
	if m == nil {
		return 0, 0, fmt.Errorf("range %q: in a text file a range is written as in lines 2-40", region)
	}
	from, _ = strconv.Atoi(m[1])
	to, _ = strconv.Atoi(m[2])
	if from < 1 || to < from {
		return 0, 0, fmt.Errorf("range %q runs backwards or starts before line 1", region)
	}
	return from, to, nil
}

// kind is what a file is, by its name and its first bytes together.
type kind int

const (
	kindXLSX kind = iota
	kindCSV
	kindTSV
)

func load(name string) ([]byte, kind, error) {
	fail := func(format string, args ...any) ([]byte, kind, error) {
		return nil, 0, &extract.Error{File: name, Msg: fmt.Sprintf(format, args...)}
	}
	var k kind
	limit := int64(maxText)
	switch ext := strings.ToLower(filepath.Ext(name)); ext {
	case ".xlsx":
		k, limit = kindXLSX, maxFile
	case ".csv":
		k = kindCSV
	case ".tsv":
		k = kindTSV
	default:
		return fail("extension %q is not read here; tables are read from .xlsx, .csv and .tsv", ext)
	}
	f, err := os.Open(name)
	if err != nil {
		var pe *os.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return fail("cannot be opened: %v", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return fail("cannot be read: %v", err)
	}
	if int64(len(data)) > limit {
		return fail("is larger than %d MiB, the limit for such a file", limit>>20)
	}
	zipped := bytes.HasPrefix(data, []byte("PK\x03\x04"))
	switch {
	case len(data) == 0:
		return fail("is empty")
	case bytes.HasPrefix(data, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		return fail("is a workbook of the older binary form or one with a password; save it as .xlsx without a password")
	case k == kindXLSX && !zipped:
		return fail("is named .xlsx but is not a workbook; a workbook starts with the bytes PK")
	case k != kindXLSX && zipped:
		return fail("is a packed file, perhaps a workbook, by its content; name it .xlsx or save it as text")
	}
	return data, k, nil
}

// faultList gathers what is wrong in one file, so that all of it is told at once.
type faultList struct {
	list []error
	more int
}

func (l *faultList) add(err error) {
	if len(l.list) < maxFaults {
		l.list = append(l.list, err)
	} else {
		l.more++
	}
}

func (l *faultList) err(file string) error {
	if l.more > 0 {
		return errors.Join(append(l.list, &extract.Error{File: file, Msg: fmt.Sprintf("%d more faults of this kind", l.more)})...)
	}
	return errors.Join(l.list...)
}

// trimRows leaves out blanks at the end of rows and blank rows at the end.
func trimRows(rows [][]Value) [][]Value {
	for i, row := range rows {
		n := len(row)
		for n > 0 && row[n-1].Blank() {
			n--
		}
		rows[i] = row[:n]
	}
	n := len(rows)
	for n > 0 && len(rows[n-1]) == 0 {
		n--
	}
	return rows[:n]
}
