package extract

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func sample() *Reading {
	return &Reading{
		Meta: ReadingMeta{TableID: "t00000001", Reader: "keyed-ab", Source: "tarnholm-12", SourceSHA256: strings.Repeat("0", 64), Program: "windtally 0.1.0", Settings: "keyed from polar.xlsx", Geometry: "0123456789abcdef"},
		Cells: []Cell{
			{Row: "r001", Column: "alpha", Text: "-2", Place: Place{Page: 4, Box: Rect{50, 100.25, 62, 109}}, Confidence: 0.75},
			{Row: "r001", Column: "cl", Text: ".014*", Place: Place{Page: 4}, Confidence: -1},
			{Row: "r002", Column: "alpha", Text: "", Place: Place{Sheet: "Data", Ref: "B7"}, Confidence: 0, Doubt: "nothing\tstands there"},
			{Row: "r002", Column: "cl", Text: "a \"quoted\", text", Place: Place{Line: 12}, Confidence: 1,
				Doubt: "no point, where the column has one", Candidates: []string{".5|", `\.5`, ""}},
			{Row: Given, Column: "re", Text: "3,080,000", Place: Place{Page: 4}, Confidence: -1, Candidates: []string{"3,060,000"}},
		},
	}
}

const sampleCells = `row,column,text,page,x0,y0,x1,y1,sheet,cell,line,confidence,doubt,candidates
r001,alpha,-2,4,50.00,100.25,62.00,109.00,,,,0.750,,
r001,cl,.014*,4,,,,,,,,,,
r002,alpha,,,,,,,Data,B7,,0.000,nothing\tstands there,
r002,cl,"a ""quoted"", text",,,,,,,,12,1.000,"no point, where the column has one",.5\||\\.5||
given,re,"3,080,000",4,,,,,,,,,,"3,060,000|"
`

// sha256sum of sampleCells
const sampleSum = "4078a1022eb516b702a18a97d813a65ae4dfbf9d044bbf1d38657a6ad75f889d"

const sampleMeta = `{
  "schema": 1,
  "table_id": "t00000001",
  "reader": "keyed-ab",
  "source": "tarnholm-12",
  "source_sha256": "0000000000000000000000000000000000000000000000000000000000000000",
  "program": "windtally 0.1.0",
  "settings": "keyed from polar.xlsx",
  "geometry": "0123456789abcdef",
  "rows": 2,
  "columns": 2,
  "cells_sha256": "` + sampleSum + `"
}
`

func TestReadingFiles(t *testing.T) {
	r := sample()
	meta, cells, err := r.Marshal()
	if err != nil {
		t.Fatal(err)
	}
	if string(cells) != sampleCells {
		t.Errorf("cells\n%s\nwant\n%s", cells, sampleCells)
	}
	if string(meta) != sampleMeta {
		t.Errorf("description\n%s\nwant\n%s", meta, sampleMeta)
	}
	got, err := UnmarshalReading("a.json", meta, "a.csv", cells)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, r) {
		t.Errorf("read back as\n%+v, want\n%+v", got, r)
	}
}

// Whatever stands in a text layer comes back as it was, on one line.
func TestTextSurvives(t *testing.T) {
	for _, text := range []string{"a\nb", "a\r\nb", "a\tb", `a\nb`, `\`, `\\`, `a\`, `\u000b`, "a\x02b", "\x00", "\u0085", "\u2028", " a ", "", `"`, `""`, `\.`, "−½°", "=1+1", ",", "\ufeff1"} {
		r := &Reading{Meta: ReadingMeta{Reader: "text"}, Cells: []Cell{{Row: "r001", Column: "a", Text: text, Place: Place{Sheet: text, Ref: text}, Confidence: -1,
			Doubt: text, Candidates: []string{text, "", text + "|" + text}}}}
		meta, cells, err := r.Marshal()
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if n := bytes.Count(cells, []byte("\n")); n != 2 {
			t.Errorf("%q takes %d lines: %q", text, n-1, cells)
		}
		got, err := UnmarshalReading("a.json", meta, "a.csv", cells)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		} else if c := got.Cells[0]; c.Text != text || c.Place.Sheet != text || c.Place.Ref != text {
			t.Errorf("%q came back as %q, sheet %q, cell %q", text, c.Text, c.Place.Sheet, c.Place.Ref)
		} else if c.Doubt != text || !slices.Equal(c.Candidates, []string{text, "", text + "|" + text}) {
			t.Errorf("%q came back as the doubt %q and the candidates %q", text, c.Doubt, c.Candidates)
		}
	}
}

func TestMarshalRefusesWhatCannotBeRead(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Reading)
		want   string
	}{
		{"not UTF-8", func(r *Reading) { r.Cells[0].Text = "a\xff\n" }, `r001:alpha: "a\xff\n" is not UTF-8, as every text of a study should be`},
		{"a doubt that is not UTF-8", func(r *Reading) { r.Cells[0].Doubt = "\xff" }, `r001:alpha: "\xff" is not UTF-8, as every text of a study should be`},
		{"a candidate that is not UTF-8", func(r *Reading) { r.Cells[0].Candidates = []string{"1", "\xff"} }, `r001:alpha: "\xff" is not UTF-8, as every text of a study should be`},
		{"a cell twice", func(r *Reading) { r.Cells[1].Column = "alpha" }, "reading keyed-ab:3: row r001, column alpha stands already at line 2"},
		{"no key", func(r *Reading) { r.Cells[0].Row = "" }, `reading keyed-ab:2: row "", column "alpha": both keys should be a letter followed by letters and figures`},
		{"confidence", func(r *Reading) { r.Cells[0].Confidence = 75 }, `reading keyed-ab:2: confidence is "75.000"; it should lie between 0 and 1`},
		{"no number", func(r *Reading) { r.Cells[0].Place.Box.X1 = math.Inf(1) }, `reading keyed-ab:2: x1 is "+Inf"; it should be a number`},
		{"reader", func(r *Reading) { r.Meta.Reader = "keyed-A" }, `reader "keyed-A" should be text, sorts, ocr, workbook or keyed-<initials>`},
	} {
		r := sample()
		c.change(r)
		_, _, err := r.Marshal()
		if err == nil || strings.TrimSuffix(err.Error(), "\nhint: "+restoreCells) != c.want {
			t.Errorf("%s: %v; want %s", c.name, err, c.want)
		}
	}
}

func TestTamperedReading(t *testing.T) {
	const (
		restore = "\nhint: the program alone writes readings: restore the file, or move the reading's .csv and .json out of the study and read the table again"
		edited  = "\nhint: a reading is never edited: restore it and put what the print says into a ruling (windtally rule ... --reread)"
	)
	cut := func(s, from, to string) string {
		if !strings.Contains(s, from) {
			t.Fatalf("%q is not in the sample", from)
		}
		return strings.Replace(s, from, to, 1)
	}
	for _, c := range []struct{ name, meta, cells, want string }{
		{"a digit changed", sampleMeta, cut(sampleCells, ".014*", ".041*"),
			"a.csv: was changed after it was read: SHA-256 7eb49ca579f43be07f8599b186e174b461c41a7237a55cd52a128a9dbfb894db, the reader gave " + sampleSum + edited},
		{"a given figure deleted", sampleMeta, cut(sampleCells, "given,re,\"3,080,000\",4,,,,,,,,,,\"3,060,000|\"\n", ""),
			"a.csv: was changed after it was read: SHA-256 5b43c7e0ca7e69cae5fd9fb31d3aaa9833cf30be938f234eac3a4790673c36c7, the reader gave " + sampleSum + edited},
		{"a row deleted", sampleMeta, cut(sampleCells, "r002,alpha,,,,,,,Data,B7,,0.000,nothing\\tstands there,\nr002,cl,\"a \"\"quoted\"\", text\",,,,,,,,12,1.000,\"no point, where the column has one\",.5\\||\\\\.5||\n", ""),
			"a.csv:4: has 1 rows; the reader gave 2 (a.json)" + restore},
		{"a column deleted", sampleMeta, cut(cut(sampleCells, "r001,cl,.014*,4,,,,,,,,,,\n", ""), "r002,cl,\"a \"\"quoted\"\", text\",,,,,,,,12,1.000,\"no point, where the column has one\",.5\\||\\\\.5||\n", ""),
			"a.csv: has 1 columns; the reader gave 2 (a.json)" + restore},
		{"a row too few from the start", cut(sampleMeta, `"rows": 2`, `"rows": 3`), sampleCells,
			"a.csv:6: has 2 rows; the reader gave 3 (a.json)" + restore},
		{"a cell deleted", sampleMeta, cut(sampleCells, "r001,cl,.014*,4,,,,,,,,,,\n", ""),
			"a.csv: was changed after it was read: SHA-256 4964c888d4ed6ea6f6bae2fa6fc2425e9d47ed99eec7a8ceaa7be128e9429bbb, the reader gave " + sampleSum + edited},
		{"line ends", sampleMeta, strings.ReplaceAll(sampleCells, "\n", "\r\n"),
			"a.csv: was changed after it was read: SHA-256 d1f60431ab646612f8f42da2b40cf2acec8db25207c3e013833ccea6291aeb9e, the reader gave " + sampleSum + edited},
		{"a cell twice", sampleMeta, sampleCells + "r001,cl,.015,4,,,,,,,,,,\n", "a.csv:7: row r001, column cl stands already at line 3" + restore},
		{"a field too many", sampleMeta, cut(sampleCells, "r001,cl,.014*,4,,,,,,,,,,", "r001,cl,0,014*,4,,,,,,,,,,"), "a.csv:3: has 15 fields; it should have 14" + restore},
		{"a field too few", sampleMeta, cut(sampleCells, "r001,cl,.014*,4,,,,,,,,,,", "r001,cl,.014*,4,,,,,,,,,"), "a.csv:3: has 13 fields; it should have 14" + restore},
		{"head", sampleMeta, cut(sampleCells, "row,column,text", "row,column,value"),
			"a.csv:1: the head row should be row,column,text,page,x0,y0,x1,y1,sheet,cell,line,confidence,doubt,candidates" + restore},
		{"emptied", sampleMeta, "", "a.csv:1: the head row should be row,column,text,page,x0,y0,x1,y1,sheet,cell,line,confidence,doubt,candidates" + restore},
		{"quote", sampleMeta, cut(sampleCells, ".014*", `.0"14`), "a.csv:3: is not CSV: bare \" in non-quoted-field; a field with a quote in it should be quoted" + restore},
		{"key", sampleMeta, cut(sampleCells, "r001,cl", "1,cl"), `a.csv:3: row "1", column "cl": both keys should be a letter followed by letters and figures` + restore},
		{"page", sampleMeta, cut(sampleCells, ".014*,4", ".014*,0"), `a.csv:3: page is "0"; it should be a whole number from 1` + restore},
		{"line", sampleMeta, cut(sampleCells, ",12,1.000", ",xii,1.000"), `a.csv:5: line is "xii"; it should be a whole number from 1` + restore},
		{"box", sampleMeta, cut(sampleCells, "62.00", "NaN"), `a.csv:2: x1 is "NaN"; it should be a number` + restore},
		{"box half", sampleMeta, cut(sampleCells, "62.00", ""), `a.csv:2: x1 is ""; it should be a number` + restore},
		{"box empty", sampleMeta, cut(sampleCells, "62.00", "50.00"), `a.csv:2: the box 50.00 100.25 50.00 109.00 is empty; it should have x0 < x1 and y0 < y1` + restore},
		{"confidence", sampleMeta, cut(sampleCells, "0.750", "NaN"), `a.csv:2: confidence is "NaN"; it should lie between 0 and 1` + restore},
		{"escape", sampleMeta, cut(sampleCells, ".014*", `.014\q`), `a.csv:3: text is ".014\\q"; a backslash should be followed by \, n, r, t or u and four figures, and a control character be written so` + restore},
		{"escape in a doubt", sampleMeta, cut(sampleCells, `nothing\tstands`, `nothing\qstands`),
			`a.csv:4: doubt is "nothing\\qstands there"; a backslash should be followed by \, n, r, t or u and four figures, and a control character be written so` + restore},
		{"candidates not ended", sampleMeta, cut(sampleCells, `"3,060,000|"`, `"3,060,000"`),
			`a.csv:6: candidates is "3,060,000"; each should be followed by |, with \, | and control characters escaped` + restore},
		{"candidates with a stray backslash", sampleMeta, cut(sampleCells, `"3,060,000|"`, `"3,060,000|\"`),
			`a.csv:6: candidates is "3,060,000|\\"; each should be followed by |, with \, | and control characters escaped` + restore},
		{"a reading of before doubts", sampleMeta, "row,column,text,page,x0,y0,x1,y1,sheet,cell,line,confidence\nr001,cl,1,,,,,,,,,\n",
			"a.csv:1: the head row should be row,column,text,page,x0,y0,x1,y1,sheet,cell,line,confidence,doubt,candidates" + restore},
		{"turned askew", cut(sampleMeta, `"rows"`, `"turned": {"4": 45}, "rows"`), sampleCells,
			"a.json: page 4 is turned by 45; a page from 1 is turned by 90, 180 or 270 degrees, or left out" + restore},
		{"schema", cut(sampleMeta, `"schema": 1`, `"schema": 2`), sampleCells, "a.json: schema is 2; this program reads schema: 1"},
		{"reader", cut(sampleMeta, "keyed-ab", "eye"), sampleCells, `a.json: reader is "eye"; it should be text, sorts, ocr, workbook or keyed-<initials>`},
		{"unknown key", cut(sampleMeta, `"schema"`, `"mood": "good", "schema"`), sampleCells, `a.json: is not the description of a reading: json: unknown field "mood"` + restore},
		{"not JSON", "rows: 2", sampleCells, `a.json: is not the description of a reading: invalid character 'r' looking for beginning of value` + restore},
		{"more after it", sampleMeta + "{}", sampleCells, `a.json: goes on after the description of a reading; it should end there` + restore},
	} {
		got, err := UnmarshalReading("a.json", []byte(c.meta), "a.csv", []byte(c.cells))
		if err == nil {
			t.Errorf("%s: read as %+v", c.name, got)
			continue
		}
		if err.Error() != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, err, c.want)
		}
		var e *Error
		if !errors.As(err, &e) || e.File == "" {
			t.Errorf("%s: the error names no file", c.name)
		}
	}
}

func TestKeyedBy(t *testing.T) {
	for reader, want := range map[string]string{"keyed-ab": "ab", "text": "", "workbook": "", "ocr": "", "sorts": ""} {
		got, ok := ReadingMeta{Reader: reader}.Keyed()
		if ok != (want != "") || ok && got != want {
			t.Errorf("%s keyed by %q, %v", reader, got, ok)
		}
	}
}

func FuzzCells(f *testing.F) {
	f.Add([]byte(sampleCells))
	f.Add([]byte(strings.Join(readingHead, ",") + "\nr001,a,\\n\\r\\t\\\\\\u0002,1,0.00,0.00,1.00,1.00,s,A1,2,0.5,why\\n,.5\\||.6\\\\||\n"))
	f.Add([]byte(strings.Join(readingHead, ",") + "\n"))
	f.Add([]byte(strings.Join(readingHead, ",") + "\nr001,a,\"\r\n\",,,,,,,,,,,\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		cells, err := UnmarshalCells("f", data)
		if err != nil {
			return
		}
		for i := range cells {
			cells[i].Place.Box = cells[i].Place.Box.Rounded() // as AddReading does
		}
		text := MarshalCells(cells)
		again, err := UnmarshalCells("f", text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if len(again) != len(cells) {
			t.Fatalf("%d cells became %d", len(cells), len(again))
		}
		for i := range cells {
			if cells[i].Text != again[i].Text || cells[i].Row != again[i].Row || cells[i].Column != again[i].Column ||
				cells[i].Doubt != again[i].Doubt || !slices.Equal(cells[i].Candidates, again[i].Candidates) {
				t.Fatalf("%+v became %+v", cells[i], again[i])
			}
		}
		if twice := MarshalCells(again); !bytes.Equal(twice, text) {
			t.Fatalf("%q is written back as %q", text, twice)
		}
	})
}
