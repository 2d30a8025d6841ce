package datasets

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"net/url"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"
)

// column is one column of a resource, made from the tags of a record type.
type column struct {
	name   string
	kind   string // see the tags in record.go; "number" for Number
	index  []int  // field of the record, and of Measured within it
	key    bool
	need   bool
	ref    string
	unit   string
	enum   []string
	min    int
	hasMin bool
	above0 bool // a half-width: empty or positive
	change Step
	doc    string
}

// measured says where the three columns of a Measured field are.
type measured struct {
	value    int // column; half-width and value id are the next two
	said     bool
	quantity []string // what the record in values may be
}

// resource is one CSV file of an edition.
type resource struct {
	name     string
	title    string
	path     string
	field    int // field of Edition
	record   reflect.Type
	columns  []column
	measured []measured
	// withdraw is the step that the removal of a row demands.
	withdraw Step
}

// resources describes every CSV file, in the order in which they are published.
var resources = sync.OnceValue(func() []*resource {
	e := reflect.TypeFor[Edition]()
	describe := func(field, name, title string, withdraw Step) *resource {
		f, ok := e.FieldByName(field)
		if !ok {
			panic("datasets: no field " + field)
		}
		r := &resource{name: name, title: title, path: "data/" + name + ".csv", field: f.Index[0], record: f.Type.Elem(), withdraw: withdraw}
		for i := range r.record.NumField() {
			r.add(r.record.Field(i))
		}
		return r
	}
	all := []*resource{
		describe("Sources", "sources", "Sources", Major),
		describe("Subjects", "subjects", "Subjects", Major),
		describe("Configurations", "configurations", "Configurations", Major),
		describe("Conditions", "conditions", "Conditions: what the figures mean", Major),
		describe("Values", "values", "Provenance of every published number", Major),
		describe("Polars", "polars", "Polars of sections and wings", Major),
		describe("FlapIncrements", "flap_increments", "Flap increments", Major),
		describe("StallSpeeds", "stall_speeds", "Stalling speeds", Major),
		describe("Limits", "limits", "Limits", Major),
		describe("Power", "power", "Power", Major),
		describe("Characteristics", "characteristics", "Characteristics", Major),
		describe("Derived", "derived", "Numbers that follow from published ones by a conversion", Major),
		describe("Reviews", "reviews", "Rulings of people", Major),
		// A finding and a tolerance are about the making of the data: they may go
		// when their cause does, and no number goes with them.
		describe("Findings", "findings", "Findings of checks", Minor),
		describe("Tolerances", "tolerances", "Tolerances that the study sets otherwise, and why", Minor),
		describe("Changes", "changes", "Changes against the edition before", Minor),
	}
	all[len(all)-1].path = "changes.csv"
	return all
})

func resourceNamed(name string) *resource {
	for _, r := range resources() {
		if r.name == name {
			return r
		}
	}
	return nil
}

func (r *resource) add(f reflect.StructField) {
	tag := f.Tag
	c := column{
		name:   tag.Get("csv"),
		kind:   tag.Get("type"),
		index:  f.Index,
		key:    tag.Get("key") != "",
		need:   tag.Get("need") != "" || tag.Get("key") == "yes",
		ref:    tag.Get("ref"),
		unit:   tag.Get("unit"),
		change: Step(tag.Get("change")),
		doc:    tag.Get("doc"),
	}
	if enum := tag.Get("enum"); enum != "" {
		c.enum = strings.Split(enum, "|")
	}
	if least := tag.Get("min"); least != "" {
		c.min, _ = strconv.Atoi(least)
		c.hasMin = true
	}
	switch {
	case f.Type == reflect.TypeFor[Measured]():
		r.measured = append(r.measured, measured{len(r.columns), tag.Get("said") != "", strings.Split(tag.Get("quantity"), "|")})
		change := cmp.Or(c.change, Minor)
		value, half, id := c, c, c
		value.kind, value.index, value.change = "number", []int{f.Index[0], 0}, change
		half.kind, half.index, half.change = "number", []int{f.Index[0], 1}, Minor
		half.name, half.need, half.above0 = c.name+"_half_width", false, true
		half.doc = "half the width of the interval that rounding leaves; empty or positive"
		id.kind, id.index, id.change = "id", []int{f.Index[0], 2}, Minor
		id.name, id.need, id.unit, id.ref = c.name+"_value_id", false, "", "values"
		id.doc = "record in values that the number repeats"
		if tag.Get("said") != "" {
			id.doc += "; empty where the conditions of the table state it"
		}
		r.columns = append(r.columns, value, half, id)
		return
	case c.kind == "" && f.Type == reflect.TypeFor[Number]():
		c.kind = "number"
		c.above0 = c.name == "half_width" || c.name == "accuracy"
	}
	if c.change == "" {
		c.change = Major
		if c.kind == "number" || c.kind == "integer" {
			c.change = Minor
		}
	}
	r.columns = append(r.columns, c)
}

func (r *resource) column(name string) int {
	return slices.IndexFunc(r.columns, func(c column) bool { return c.name == name })
}

func (r *resource) head() []string {
	head := make([]string, len(r.columns))
	for i, c := range r.columns {
		head[i] = c.name
	}
	return head
}

// rows returns the records of e as text, sorted by primary key.
func (r *resource) rows(e *Edition) [][]string {
	records := reflect.ValueOf(e).Elem().Field(r.field)
	rows := make([][]string, records.Len())
	for i := range rows {
		row := make([]string, len(r.columns))
		for j, c := range r.columns {
			v := records.Index(i).FieldByIndex(c.index)
			switch {
			case v.Kind() == reflect.String:
				row[j] = v.String()
			case v.Int() != 0:
				row[j] = strconv.FormatInt(v.Int(), 10)
			}
		}
		rows[i] = row
	}
	slices.SortStableFunc(rows, r.compare)
	return rows
}

// compare orders rows by primary key: integers by value, all else by bytes.
func (r *resource) compare(a, b []string) int {
	for i, c := range r.columns {
		if !c.key {
			continue
		}
		if c.kind == "integer" {
			x, errX := strconv.Atoi(a[i])
			y, errY := strconv.Atoi(b[i])
			if errX == nil && errY == nil && x != y {
				return cmp.Compare(x, y)
			}
		}
		if a[i] != b[i] {
			return cmp.Compare(a[i], b[i])
		}
	}
	return 0
}

// keyOf returns the primary key of a row, its parts with / between.
func (r *resource) keyOf(row []string) string {
	var parts []string
	for i, c := range r.columns {
		if c.key {
			parts = append(parts, row[i])
		}
	}
	return strings.Join(parts, "/")
}

// fill puts rows that passed check into e.
func (r *resource) fill(e *Edition, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	records := reflect.MakeSlice(reflect.SliceOf(r.record), len(rows), len(rows))
	for i, row := range rows {
		for j, c := range r.columns {
			v := records.Index(i).FieldByIndex(c.index)
			if v.Kind() == reflect.String {
				v.SetString(row[j])
			} else if row[j] != "" {
				n, _ := strconv.ParseInt(row[j], 10, 64)
				v.SetInt(n)
			}
		}
	}
	field := reflect.ValueOf(e).Elem().Field(r.field)
	field.Set(records.Convert(field.Type()))
}

// encode returns the CSV file: LF, quotes only where they are needed.
func (r *resource) encode(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(r.head())
	w.WriteAll(rows) // a bytes.Buffer takes every write
	return b.Bytes()
}

// decode reads a CSV file that should be as encode writes it. Problems say what
// is not so; rows are returned where all of the file could be split into cells.
func (r *resource) decode(data []byte) ([][]string, []Problem) {
	fail := func(line int, column, format string, args ...any) []Problem {
		return []Problem{{File: r.path, Row: line, Column: column, Message: fmt.Sprintf(format, args...)}}
	}
	lineOf := func(at int) int { return 1 + bytes.Count(data[:at], []byte{'\n'}) }
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		return nil, fail(1, "", "begins with a byte order mark, the file would be right without it")
	}
	if i := bytes.IndexByte(data, '\r'); i >= 0 {
		return nil, fail(lineOf(i), "", "holds a carriage return, lines end in a line feed alone")
	}
	if !utf8.Valid(data) {
		i := 0
		for c, n := utf8.DecodeRune(data); c != utf8.RuneError || n != 1; c, n = utf8.DecodeRune(data[i:]) {
			i += n
		}
		return nil, fail(lineOf(i), "", "byte %#02x is not UTF-8", data[i])
	}
	if len(data) == 0 || data[len(data)-1] != '\n' {
		return nil, fail(1+bytes.Count(data, []byte{'\n'}), "", "the last line does not end in a line feed, the file is cut short")
	}
	reader := csv.NewReader(bytes.NewReader(data))
	reader.FieldsPerRecord = -1
	all, err := reader.ReadAll()
	if err != nil {
		var at *csv.ParseError
		if errors.As(err, &at) {
			return nil, fail(at.StartLine, "", "cannot be split into cells: %v", at.Err)
		}
		return nil, fail(0, "", "cannot be split into cells: %v", err)
	}
	head := r.head()
	if len(all) == 0 {
		return nil, fail(1, "", "there is no head row")
	}
	if !slices.Equal(all[0], head) {
		for i, name := range all[0] {
			if i >= len(head) {
				return nil, fail(1, "", "the head row has %d columns, it would be right with %d", len(all[0]), len(head))
			}
			if name != head[i] {
				return nil, fail(1, "", "column %d is %q, it would be right as %q", i+1, name, head[i])
			}
		}
		return nil, fail(1, "", "the head row has %d columns, it would be right with %d", len(all[0]), len(head))
	}
	for i, row := range all[1:] {
		if len(row) != len(head) {
			return nil, fail(i+2, "", "the row has %d cells, it would be right with %d", len(row), len(head))
		}
	}
	rows := all[1:]
	for i := range rows[:max(len(rows)-1, 0)] {
		if r.compare(rows[i], rows[i+1]) > 0 {
			return rows, fail(i+3, "", "%s stands after %s, rows are sorted by primary key", r.keyOf(rows[i+1]), r.keyOf(rows[i]))
		}
	}
	if line, was, right, differs := firstDifference(data, r.encode(rows)); differs {
		return rows, fail(line, "", "is not in the one canonical form: it reads %s, it would be right as %s", was, right)
	}
	return rows, nil
}

// firstDifference finds the first line in which two texts differ.
func firstDifference(is, right []byte) (line int, was, want string, differs bool) {
	if bytes.Equal(is, right) {
		return 0, "", "", false
	}
	a, b := bytes.SplitAfter(is, []byte{'\n'}), bytes.SplitAfter(right, []byte{'\n'})
	i := 0
	for i < len(a) && i < len(b) && bytes.Equal(a[i], b[i]) {
		i++
	}
	excerpts := func(x, y []byte) (string, string) {
		if bytes.HasSuffix(x, []byte{'\n'}) && bytes.HasSuffix(y, []byte{'\n'}) {
			x, y = x[:len(x)-1], y[:len(y)-1]
		}
		from := 0
		for from < len(x) && from < len(y) && x[from] == y[from] {
			from++
		}
		from = max(0, from-20)
		cut := func(s []byte) string {
			text := s[min(from, len(s)):]
			if len(text) > 60 {
				text = text[:60]
			}
			if strconv.CanBackquote(string(text)) {
				return "`" + string(text) + "`"
			}
			return strconv.QuoteToGraphic(string(text))
		}
		return cut(x), cut(y)
	}
	switch {
	case i >= len(a) || len(a[i]) == 0:
		_, want = excerpts([]byte{'\n'}, b[i])
		return i + 1, "the end of the file", want, true
	case i >= len(b) || len(b[i]) == 0:
		was, _ = excerpts(a[i], []byte{'\n'})
		return i + 1, was, "the end of the file", true
	}
	was, want = excerpts(a[i], b[i])
	return i + 1, was, want, true
}

var (
	idPattern     = regexp.MustCompile(`^[a-z][a-z0-9._-]*$`)
	listPattern   = regexp.MustCompile(`^[a-z][a-z0-9._-]*( [a-z][a-z0-9._-]*)*$`)
	digestPattern = regexp.MustCompile(`^[0-9a-f]{64}$`)
	unitPattern   = regexp.MustCompile(`^[!-<>?A-~][!-~]*$`)
	// Spreadsheet programs turn "mar-1" and "sept2" into dates.
	datePattern = regexp.MustCompile(`^(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[._-]?[0-9]{1,4}([._-][0-9]{1,4})?$`)
	// A printed numeral may begin with a sign; nothing in it can be a formula.
	signedPattern = regexp.MustCompile(`^[-+]{1,2} ?([½⅓⅔¼¾⅕-⅞⅐-⅒]|[.·]?[0-9][0-9.,·\x{2009}\x{202f}\x{a0} ]*` + // digits
		`(-?[0-9]+/[0-9]+|/[0-9]+|[½⅓⅔¼¾⅕-⅞⅐-⅒])?)` + // fraction
		`( ?[x×·] ?10(\^?[-−]?[0-9]+|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+)|[Ee][-+][0-9]+)?` + // power of ten
		`[°'"′″ 0-9]*%?( ?[*†‡§¹²³a-z])?$`) // degrees, per cent, mark of a footnote
)

// maxText bounds one cell: the longest caption is far shorter.
const maxText = 10000

// unsafe says why a text cannot be published, or "".
func unsafe(text string, printed bool) string {
	if len(text) > maxText {
		return fmt.Sprintf("is %d bytes long, a text has at most %d", len(text), maxText)
	}
	if !utf8.ValidString(text) {
		return fmt.Sprintf("%q is not UTF-8", text)
	}
	for _, c := range text {
		switch {
		case c == '\n', c == '\r':
			return fmt.Sprintf("%q holds a line break, a text is one line", text)
		case unicode.IsControl(c), c == '\u2028', c == '\u2029', c == '\ufeff', c >= '\u202a' && c <= '\u202e', c >= '\u2066' && c <= '\u2069':
			return fmt.Sprintf("%q holds the control character %U", text, c)
		}
	}
	if strings.TrimSpace(text) != text {
		return fmt.Sprintf("%q has white space at an end", text)
	}
	if text != "" && strings.ContainsRune("=+-@", rune(text[0])) {
		switch {
		case printed && (signedPattern.MatchString(text) || strings.Trim(text, "-") == ""):
		case printed:
			return fmt.Sprintf("%q begins with %q and is no numeral, a spreadsheet program would take it for a formula", text, text[:1])
		default:
			return fmt.Sprintf("%q begins with %q, a spreadsheet program would take it for a formula", text, text[:1])
		}
	}
	return ""
}

func wrongID(id string) string {
	switch {
	case !idPattern.MatchString(id):
		return fmt.Sprintf("%q is not an id, an id is a lower-case letter and then lower-case letters, digits, dots, dashes and underscores", id)
	case len(id) > 200:
		return fmt.Sprintf("the id is %d characters long, an id has at most 200", len(id))
	case datePattern.MatchString(id):
		return fmt.Sprintf("%q looks like a date to a spreadsheet program, an id must not", id)
	}
	return ""
}

// wrong says what is not right with one cell by itself, or "".
func (c *column) wrong(text string) string {
	if text == "" {
		if c.need {
			return "is empty, it must not be"
		}
		return ""
	}
	switch c.kind {
	case "number", "integer":
		if err := Number(text).Valid(); err != nil {
			return err.Error()
		}
		if c.above0 {
			if x, ok := Number(text).Rat(); !ok || x.Sign() <= 0 {
				return fmt.Sprintf("is %s, it would be right empty or positive", text)
			}
		}
		if c.kind == "number" {
			return ""
		}
		n, err := strconv.Atoi(text)
		switch {
		case err != nil:
			return fmt.Sprintf("%q is not an integer", text)
		case c.hasMin && n < c.min:
			return fmt.Sprintf("is %d, the least is %d", n, c.min)
		}
		return ""
	case "id":
		return wrongID(text)
	case "list":
		var last string
		for _, id := range strings.Split(text, " ") {
			if why := wrongID(id); why != "" {
				return why
			}
			if id <= last {
				return fmt.Sprintf("%q stands after %q, a list is sorted and names each once", id, last)
			}
			last = id
		}
		return ""
	case "unit":
		switch {
		case !unitPattern.MatchString(text), text[0] == '+', text[0] == '-', text[0] == '@':
			return fmt.Sprintf("%q is not a UCUM code", text)
		case text == "PS" || text == "[slug]" || text == "[psf]":
			return fmt.Sprintf("%q is not a UCUM code", text)
		}
		return ""
	case "boolean":
		if text != "true" && text != "false" {
			return fmt.Sprintf("%q is neither true nor false", text)
		}
		return ""
	case "datetime":
		if !isTime(text) {
			return fmt.Sprintf("%q is not a time, it would be right in UTC to the second, as 2031-05-04T10:00:00Z", text)
		}
		return ""
	case "digest":
		if !digestPattern.MatchString(text) {
			return fmt.Sprintf("%q is not a SHA-256, which has 64 lower-case hexadecimal figures", text)
		}
		return ""
	case "uri":
		if u, err := url.Parse(text); err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || strings.ContainsAny(text, " \t") {
			return fmt.Sprintf("%q is not a web address, it would begin with https://", text)
		}
		return unsafe(text, false)
	}
	if why := unsafe(text, c.kind == "print"); why != "" {
		return why
	}
	if c.enum != nil && !slices.Contains(c.enum, text) {
		return fmt.Sprintf("%q is not among %s", text, strings.Join(c.enum, ", "))
	}
	return ""
}

func isTime(text string) bool {
	t, err := time.Parse("2006-01-02T15:04:05Z", text)
	return err == nil && t.Year() > 0 && t.Format("2006-01-02T15:04:05Z") == text
}
