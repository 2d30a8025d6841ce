package extract

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reading is one transcription of a table, cell by cell, as printed.
type Reading struct {
	Meta  ReadingMeta
	Cells []Cell
}

// ReadingMeta is readings/<table>.<reader>.json: what makes a reading repeatable,
// and what proves that its cells are those that the reader gave.
type ReadingMeta struct {
	Schema       int    `json:"schema"`
	TableID      string `json:"table_id"`
	Reader       string `json:"reader"` // text, sorts, ocr, keyed-<initials>, workbook
	Source       string `json:"source"`
	SourceSHA256 string `json:"source_sha256"`
	Program      string `json:"program"`
	Settings     string `json:"settings"`
	// Geometry is the digest of how the table's file bound its columns to the print
	// when it was read (Table.Geometry).
	Geometry string `json:"geometry"`
	// Scan says that the pages are images, so that a text layer on them is somebody
	// else's OCR.
	Scan bool `json:"scan,omitempty"`
	// Turned is the clockwise quarter turn, in degrees, that brings a page as seen
	// upright, by page; a page that stands upright is left out.
	Turned map[int]int `json:"turned,omitempty"`
	// Named is the pictures from which the shapes of this reading took a person's
	// names, in order of picture; with another name for one of them it holds no longer.
	Named []PictureName `json:"named,omitempty"`
	// Notes is what the reader saw and could not put into a cell.
	Notes       []Note `json:"notes,omitempty"`
	Rows        int    `json:"rows"`
	Columns     int    `json:"columns"`
	CellsSHA256 string `json:"cells_sha256"`
}

// NoteKind sorts what a reader saw and could not put into a cell.
type NoteKind string

// The kinds of note. A remark is said once and not kept.
const (
	SubHead      NoteKind = "sub-head"      // a line that heads a block and that no column takes up
	Stray        NoteKind = "stray-words"   // words in the table's region and in no cell
	GivenLost    NoteKind = "given-lost"    // a figure outside the grid that was not found
	GivenOutside NoteKind = "given-outside" // a figure that was found outside the table's region
	WordsUnread  NoteKind = "words-unread"  // caption, heads and notes of a page image, where no reader of words was at work
	Qualified    NoteKind = "qualified"     // words such as "estimated" beside the figures of a page image
	Geometry     NoteKind = "geometry"      // rows or columns that two ways of counting do not agree on
	Remark       NoteKind = "remark"
)

// Note is one thing that a reader could not put into a cell.
type Note struct {
	Kind NoteKind `json:"kind"`
	Text string   `json:"text"`
}

// PictureName is a picture of a scanned source's shapes with the name that a person
// gave it.
type PictureName struct {
	Picture string `json:"picture"`
	Name    string `json:"name"`
}

var readerForm = regexp.MustCompile(`^(text|sorts|ocr|workbook|keyed-[a-z]{2,4})$`)

// Keyed reports whether a person typed the reading, and who.
func (m ReadingMeta) Keyed() (initials string, ok bool) { return KeyedBy(m.Reader) }

// KeyedBy returns the initials in a reader's name such as keyed-ab.
func KeyedBy(reader string) (initials string, ok bool) { return strings.CutPrefix(reader, "keyed-") }

// witness says on which evidence a reader rests, and how far it bears. Readers with
// the same evidence are one witness. What depends on what:
//
//	reader    evidence                      by itself                       against others
//	keyed-xx  the eyes of the person xx     bears (keyed)                   disputes
//	workbook  the file's own cells          bears (unwitnessed)             disputes
//	text      the file's text layer         bears (unwitnessed)             disputes
//	text of   somebody else's OCR of the    bears while neither sorts nor   disputes, but where sorts or ocr is
//	a scan    page image                    ocr has looked at the cell      without doubt: then it supports or is
//	                                                                        passed over
//	sorts     the shapes on the page image  bears (unwitnessed)             disputes
//	ocr       tesseract on the page image   bears unless sorts doubts the   disputes
//	                                        cell: it has the cell, and what
//	                                        is ink in it, from the same cut
//
// A reader that doubts its own text neither supports nor disputes. sorts leans on
// ocr for the name of a group, not for the reading of a glyph, so the two count
// apart; two modes of one engine would bear the same reader name.
func (w *Witness) evidence() string { return w.Reader }

// image reports whether the reader looked at the page image.
func (w *Witness) image() bool { return w.Reader == "sorts" || w.Reader == "ocr" }

// restoreCells is the remedy that always works: with a damaged reading no command
// can open the study to read the table again.
const restoreCells = "the program alone writes readings: restore the file, or move the reading's .csv and .json out of the study and read the table again"

var readingHead = []string{"row", "column", "text", "page", "x0", "y0", "x1", "y1", "sheet", "cell", "line", "confidence", "doubt", "candidates"}

// escapeText keeps a text on one line and free of control characters, reversibly:
// \\ \n \r \t, and \uXXXX for any other control character or line separator.
func escapeText(s string) string {
	if !strings.ContainsFunc(s, mustEscape) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\\':
			b.WriteString(`\\`)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\r':
			b.WriteString(`\r`)
		case r == '\t':
			b.WriteString(`\t`)
		case mustEscape(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func mustEscape(r rune) bool {
	return r == '\\' || unicode.IsControl(r) || r == '\u2028' || r == '\u2029'
}

// unescapeText undoes escapeText; ok is false for what escapeText does not write.
func unescapeText(s string) (text string, ok bool) {
	if !strings.Contains(s, `\`) {
		return s, escapeText(s) == s && utf8.ValidString(s)
	}
	var b strings.Builder
	for rest := s; rest != ""; {
		plain, escape, found := strings.Cut(rest, `\`)
		b.WriteString(plain)
		if !found {
			break
		}
		if escape == "" {
			return "", false
		}
		rest = escape[1:]
		switch escape[0] {
		case '\\':
			b.WriteByte('\\')
		case 'n':
			b.WriteByte('\n')
		case 'r':
			b.WriteByte('\r')
		case 't':
			b.WriteByte('\t')
		case 'u':
			if len(rest) < 4 {
				return "", false
			}
			n, err := strconv.ParseUint(rest[:4], 16, 16)
			if err != nil {
				return "", false
			}
			b.WriteRune(rune(n))
			rest = rest[4:]
		default:
			return "", false
		}
	}
	text = b.String()
	return text, escapeText(text) == s && utf8.ValidString(text)
}

// joinCandidates writes each text escaped and followed by a stroke, reversibly: a
// stroke within a text is escaped too.
func joinCandidates(list []string) string {
	var b strings.Builder
	for _, s := range list {
		b.WriteString(strings.ReplaceAll(escapeText(s), "|", `\|`) + "|")
	}
	return b.String()
}

// splitCandidates undoes joinCandidates; ok is false for what it does not write.
func splitCandidates(s string) (list []string, ok bool) {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '|':
			text, ok := unescapeText(b.String())
			if !ok {
				return nil, false
			}
			list = append(list, text)
			b.Reset()
		case s[i] == '\\' && i+1 < len(s):
			i++
			if s[i] != '|' {
				b.WriteByte('\\')
			}
			b.WriteByte(s[i])
		default:
			b.WriteByte(s[i])
		}
	}
	return list, b.Len() == 0 && joinCandidates(list) == s
}

// MarshalCells is the CSV form of a reading's cells: one row a cell, LF.
func MarshalCells(cells []Cell) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	write := func(rec []string) {
		// A bytes.Buffer takes every write.
		_ = w.Write(rec)
	}
	write(readingHead)
	two := func(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	for _, c := range cells {
		rec := []string{c.Row, c.Column, escapeText(c.Text), count(c.Place.Page), "", "", "", "",
			escapeText(c.Place.Sheet), escapeText(c.Place.Ref), count(c.Place.Line), "",
			escapeText(c.Doubt), joinCandidates(c.Candidates)}
		if !c.Place.Box.Empty() {
			rec[4], rec[5], rec[6], rec[7] = two(c.Place.Box.X0), two(c.Place.Box.Y0), two(c.Place.Box.X1), two(c.Place.Box.Y1)
		}
		if c.Confidence >= 0 {
			rec[11] = strconv.FormatFloat(c.Confidence, 'f', 3, 64)
		}
		write(rec)
	}
	w.Flush()
	return b.Bytes()
}

// UnmarshalCells reads what MarshalCells wrote.
func UnmarshalCells(file string, data []byte) ([]Cell, error) {
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	head, err := r.Read()
	if err != nil || !slices.Equal(head, readingHead) {
		return nil, &Error{File: file, Line: 1, Msg: fmt.Sprintf("the head row should be %s", strings.Join(readingHead, ",")), Hint: restoreCells}
	}
	var cells []Cell
	seen := map[[2]string]int{}
	for {
		rec, err := r.Read()
		if err == io.EOF {
			return cells, nil
		}
		if err != nil {
			var bad *csv.ParseError
			if errors.As(err, &bad) {
				return nil, &Error{File: file, Line: bad.Line, Msg: fmt.Sprintf("is not CSV: %v; a field with a quote in it should be quoted", bad.Err), Hint: restoreCells}
			}
			return nil, &Error{File: file, Msg: err.Error()}
		}
		line, _ := r.FieldPos(0)
		fail := func(format string, args ...any) error {
			return &Error{File: file, Line: line, Msg: fmt.Sprintf(format, args...), Hint: restoreCells}
		}
		if len(rec) != len(readingHead) {
			return nil, fail("has %d fields; it should have %d", len(rec), len(readingHead))
		}
		c := Cell{Row: rec[0], Column: rec[1], Confidence: -1}
		for _, f := range []struct {
			i   int
			dst *string
		}{{2, &c.Text}, {8, &c.Place.Sheet}, {9, &c.Place.Ref}, {12, &c.Doubt}} {
			var ok bool
			if *f.dst, ok = unescapeText(rec[f.i]); !ok {
				return nil, fail("%s is %q; a backslash should be followed by \\, n, r, t or u and four figures, and a control character be written so",
					readingHead[f.i], rec[f.i])
			}
		}
		if !keyForm.MatchString(c.Row) || !keyForm.MatchString(c.Column) {
			return nil, fail("row %q, column %q: both keys should be a letter followed by letters and figures", c.Row, c.Column)
		}
		if at, twice := seen[[2]string{c.Row, c.Column}]; twice {
			return nil, fail("row %s, column %s stands already at line %d", c.Row, c.Column, at)
		}
		seen[[2]string{c.Row, c.Column}] = line
		for _, f := range []struct {
			i   int
			dst *int
		}{{3, &c.Place.Page}, {10, &c.Place.Line}} {
			if rec[f.i] == "" {
				continue
			}
			if *f.dst, err = strconv.Atoi(rec[f.i]); err != nil || *f.dst < 1 {
				return nil, fail("%s is %q; it should be a whole number from 1", readingHead[f.i], rec[f.i])
			}
		}
		box := []*float64{&c.Place.Box.X0, &c.Place.Box.Y0, &c.Place.Box.X1, &c.Place.Box.Y1}
		if rec[4] != "" || rec[5] != "" || rec[6] != "" || rec[7] != "" {
			for i, dst := range box {
				if *dst, err = strconv.ParseFloat(rec[4+i], 64); err != nil || math.IsNaN(*dst) || math.IsInf(*dst, 0) {
					return nil, fail("%s is %q; it should be a number", readingHead[4+i], rec[4+i])
				}
			}
			if c.Place.Box.Empty() {
				return nil, fail("the box %s is empty; it should have x0 < x1 and y0 < y1", strings.Join(rec[4:8], " "))
			}
		}
		if rec[11] != "" {
			if c.Confidence, err = strconv.ParseFloat(rec[11], 64); err != nil || !(c.Confidence >= 0 && c.Confidence <= 1) {
				return nil, fail("confidence is %q; it should lie between 0 and 1", rec[11])
			}
		}
		var ok bool
		if c.Candidates, ok = splitCandidates(rec[13]); !ok {
			return nil, fail("candidates is %q; each should be followed by |, with \\, | and control characters escaped", rec[13])
		}
		cells = append(cells, c)
	}
}

// Marshal returns the reading's two files, its meta brought up to its cells. Cells
// that UnmarshalReading would refuse are an error.
func (r *Reading) Marshal() (meta, cells []byte, err error) {
	if !readerForm.MatchString(r.Meta.Reader) {
		return nil, nil, fmt.Errorf("reader %q should be text, sorts, ocr, workbook or keyed-<initials>", r.Meta.Reader)
	}
	for _, c := range r.Cells {
		for _, s := range append([]string{c.Text, c.Place.Sheet, c.Place.Ref, c.Doubt}, c.Candidates...) {
			if !utf8.ValidString(s) {
				return nil, nil, &Error{Row: c.Row, Column: c.Column, Msg: fmt.Sprintf("%q is not UTF-8, as every text of a study should be", s)}
			}
		}
	}
	cells = MarshalCells(r.Cells)
	if _, err := UnmarshalCells("reading "+r.Meta.Reader, cells); err != nil {
		return nil, nil, err
	}
	sum := sha256.Sum256(cells)
	r.Meta.Schema = Schema
	r.Meta.CellsSHA256 = hex.EncodeToString(sum[:])
	r.Meta.Rows, r.Meta.Columns = len(r.RowKeys()), len(r.columnKeys())
	meta, err = json.MarshalIndent(r.Meta, "", "  ")
	return append(meta, '\n'), cells, err
}

// UnmarshalReading reads a reading's two files and refuses cells that are not
// those that the reader gave.
func UnmarshalReading(metaFile string, meta []byte, cellsFile string, cells []byte) (*Reading, error) {
	r := &Reading{}
	dec := json.NewDecoder(bytes.NewReader(meta))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&r.Meta); err != nil {
		return nil, &Error{File: metaFile, Msg: "is not the description of a reading: " + err.Error(), Hint: restoreCells}
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, &Error{File: metaFile, Msg: "goes on after the description of a reading; it should end there", Hint: restoreCells}
	}
	if r.Meta.Schema != Schema {
		return nil, &Error{File: metaFile, Msg: fmt.Sprintf("schema is %d; this program reads schema: %d", r.Meta.Schema, Schema)}
	}
	if !readerForm.MatchString(r.Meta.Reader) {
		return nil, &Error{File: metaFile, Msg: fmt.Sprintf("reader is %q; it should be text, sorts, ocr, workbook or keyed-<initials>", r.Meta.Reader)}
	}
	for _, page := range slices.Sorted(maps.Keys(r.Meta.Turned)) {
		if turn := r.Meta.Turned[page]; page < 1 || turn != 90 && turn != 180 && turn != 270 {
			return nil, &Error{File: metaFile, Msg: fmt.Sprintf("page %d is turned by %d; a page from 1 is turned by 90, 180 or 270 degrees, or left out", page, turn), Hint: restoreCells}
		}
	}
	var err error
	if r.Cells, err = UnmarshalCells(cellsFile, cells); err != nil {
		return nil, err
	}
	if n := len(r.RowKeys()); n != r.Meta.Rows {
		return nil, &Error{File: cellsFile, Line: 1 + len(r.Cells), Msg: fmt.Sprintf("has %d rows; the reader gave %d (%s)", n, r.Meta.Rows, metaFile), Hint: restoreCells}
	}
	if n := len(r.columnKeys()); n != r.Meta.Columns {
		return nil, &Error{File: cellsFile, Msg: fmt.Sprintf("has %d columns; the reader gave %d (%s)", n, r.Meta.Columns, metaFile), Hint: restoreCells}
	}
	sum := sha256.Sum256(cells)
	if got := hex.EncodeToString(sum[:]); got != r.Meta.CellsSHA256 {
		return nil, &Error{File: cellsFile, Msg: fmt.Sprintf("was changed after it was read: SHA-256 %s, the reader gave %s", got, r.Meta.CellsSHA256),
			Hint: "a reading is never edited: restore it and put what the print says into a ruling (windtally rule ... --reread)"}
	}
	return r, nil
}

// RowKeys lists the rows of the grid in the reading's order, given figures left out.
func (r *Reading) RowKeys() []string {
	var keys []string
	seen := map[string]bool{}
	for _, c := range r.Cells {
		if c.Row != Given && !seen[c.Row] {
			seen[c.Row] = true
			keys = append(keys, c.Row)
		}
	}
	return keys
}

func (r *Reading) columnKeys() []string {
	var keys []string
	seen := map[string]bool{}
	for _, c := range r.Cells {
		if c.Row != Given && !seen[c.Column] {
			seen[c.Column] = true
			keys = append(keys, c.Column)
		}
	}
	return keys
}

// index gives the cells by row and column key.
func (r *Reading) index() map[[2]string]*Cell {
	m := make(map[[2]string]*Cell, len(r.Cells))
	for i := range r.Cells {
		m[[2]string{r.Cells[i].Row, r.Cells[i].Column}] = &r.Cells[i]
	}
	return m
}

// layer reports whether the reading is the text layer of a scan.
func (r *Reading) layer() bool { return r.Meta.Reader == "text" && r.Meta.Scan }
