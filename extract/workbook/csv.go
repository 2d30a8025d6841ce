package workbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"windtally/extract"
)

// ReadCSV reads separated values as RFC 4180 has them: UTF-8 with or without a
// byte order mark, lines ending in LF or CRLF, values with separators, quotes or
// line breaks in double quotes. The separator is a tab in a file named .tsv; else
// it is the one of comma, semicolon and tab that divides the lines evenly, and
// where two would, the file is refused. Blank lines are kept as empty rows. The
// place of each value is the line on which it starts.
func ReadCSV(name string, r io.Reader) (Sheet, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxText+1))
	if err != nil {
		return Sheet{}, &extract.Error{File: name, Msg: fmt.Sprintf("cannot be read: %v", err)}
	}
	if len(data) > maxText {
		return Sheet{}, &extract.Error{File: name, Msg: fmt.Sprintf("is larger than %d MiB, the limit for such a file", maxText>>20)}
	}
	k := kindCSV
	if strings.EqualFold(filepath.Ext(name), ".tsv") {
		k = kindTSV
	}
	return readText(name, data, k)
}

func readText(name string, data []byte, k kind) (Sheet, error) {
	rows, err := records(name, data, k)
	if err != nil {
		return Sheet{}, err
	}
	return Sheet{Rows: trimRows(rows)}, nil
}

// records reads all rows with all their fields; a blank line is an empty row.
func records(name string, data []byte, k kind) ([][]Value, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if err := plainText(name, data); err != nil {
		return nil, err
	}
	if k == kindTSV {
		return split(name, data, '\t')
	}
	return detect(name, data)
}

// plainText refuses what is not text in UTF-8 with LF or CRLF lines.
func plainText(name string, data []byte) error {
	fail := func(at int, msg string) error {
		return &extract.Error{File: name, Line: 1 + bytes.Count(data[:at], []byte("\n")), Msg: msg}
	}
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		return fail(0, "is UTF-16; save it as UTF-8")
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		switch {
		case r == utf8.RuneError && n <= 1:
			return fail(i, fmt.Sprintf("byte %#02x is not UTF-8; save the file as UTF-8", data[i]))
		case r == '\r' && (i+1 == len(data) || data[i+1] != '\n'):
			return fail(i, "a carriage return without a line feed; save the file with LF or CRLF line ends")
		case r < ' ' && r != '\r' && r != '\n' && r != '\t' || r == 0x7f:
			return fail(i, fmt.Sprintf("control character %#02x; the file is not plain text", r))
		}
		i += n
	}
	return nil
}

// split reads the records with a known separator.
func split(name string, data []byte, comma rune) ([][]Value, error) {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = comma
	r.FieldsPerRecord = -1
	var rows [][]Value
	line, offset, cells := 1, int64(0), 0
	for {
		rec, err := r.Read()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, csvFault(name, err)
		}
		first, _ := r.FieldPos(0)
		// The reader passes over blank lines; they part one table from the next.
		blank := first - line
		if len(rows)+blank > maxRows {
			return nil, &extract.Error{File: name, Line: first, Msg: fmt.Sprintf("more than %d lines, the limit", maxRows)}
		}
		rows = append(rows, make([][]Value, blank)...)
		line = first
		row := make([]Value, len(rec))
		for i, text := range rec {
			at, _ := r.FieldPos(i)
			row[i] = Value{Text: strings.TrimSpace(text), Place: extract.Place{Line: at}}
		}
		if cells += len(rec); cells > maxCells {
			return nil, &extract.Error{File: name, Line: first, Msg: fmt.Sprintf("more than %d values, the limit", maxCells)}
		}
		rows = append(rows, row)
		// Lines are counted in the bytes, because a quoted value may hold several.
		end := r.InputOffset()
		line += bytes.Count(data[offset:end], []byte("\n")) - blank
		offset = end
	}
}

func csvFault(name string, err error) error {
	var pe *csv.ParseError
	if !errors.As(err, &pe) {
		return &extract.Error{File: name, Msg: fmt.Sprintf("cannot be read: %v", err)}
	}
	switch {
	case errors.Is(pe.Err, csv.ErrBareQuote):
		return &extract.Error{File: name, Line: pe.Line, Msg: fmt.Sprintf("column %d: a double quote inside a value without quotes; put the value in quotes and double the quote", pe.Column)}
	case errors.Is(pe.Err, csv.ErrQuote):
		return &extract.Error{File: name, Line: pe.StartLine, Msg: fmt.Sprintf("a quoted value is not closed or something follows its quote (line %d, column %d); a quote inside a quoted value is doubled", pe.Line, pe.Column)}
	}
	return &extract.Error{File: name, Line: pe.Line, Msg: pe.Err.Error()}
}

// detect finds the separator. A comma between two figures or before a blank may be
// a decimal comma or prose, so it counts as a separator only where no other
// character divides the lines evenly.
func detect(name string, data []byte) ([][]Value, error) {
	seps := []struct {
		char rune
		word string
	}{{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}}
	var (
		present, even []int
		results       [3][][]Value
		faults        [3]error
	)
	for i, s := range seps {
		if outsideQuotes(data, byte(s.char)) == 0 {
			continue
		}
		present = append(present, i)
		results[i], faults[i] = split(name, data, s.char)
		if faults[i] == nil && dividesEvenly(results[i]) {
			even = append(even, i)
		}
	}
	if len(present) == 0 {
		return split(name, data, ',')
	}
	if len(present) == 1 {
		return results[present[0]], faults[present[0]]
	}
	if len(even) > 1 && even[0] == 0 && commaIsNoSeparator(data) {
		even = even[1:]
	}
	if len(even) == 1 {
		return results[even[0]], nil
	}
	var words []string
	for _, i := range present {
		words = append(words, seps[i].word)
	}
	divide := "none divides"
	if len(even) > 1 {
		divide = "more than one divides"
	}
	return nil, &extract.Error{File: name, Line: 1, Msg: fmt.Sprintf("the separator cannot be told: %s each stand in it and %s the lines evenly; put values that hold one in double quotes, or save the file as .tsv with tabs",
		strings.Join(words, ", "), divide)}
}

// dividesEvenly reports whether more than half of the lines that hold anything
// have the same number of fields, two or more.
func dividesEvenly(rows [][]Value) bool {
	count := map[int]int{}
	lines, best := 0, 0
	for _, row := range rows {
		if len(row) == 0 {
			continue
		}
		lines++
		if len(row) > 1 {
			count[len(row)]++
			best = max(best, count[len(row)])
		}
	}
	return best*2 > lines
}

// outsideQuotes counts a character outside double quotes.
func outsideQuotes(data []byte, c byte) int {
	n, quoted := 0, false
	for _, b := range data {
		switch {
		case b == '"':
			quoted = !quoted
		case b == c && !quoted:
			n++
		}
	}
	return n
}

func commaIsNoSeparator(data []byte) bool {
	figure := func(i int) bool { return i >= 0 && i < len(data) && data[i] >= '0' && data[i] <= '9' }
	quoted := false
	for i, b := range data {
		if b == '"' {
			quoted = !quoted
		}
		if b == ',' && !quoted && !(figure(i-1) && figure(i+1)) && !(i+1 < len(data) && data[i+1] == ' ') {
			return false
		}
	}
	return true
}
