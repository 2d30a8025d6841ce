package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"time"
)

// made is written by openpyxl, so that nothing of the library under test has a
// hand in it.
const made = `
import sys, datetime, openpyxl
wb = openpyxl.Workbook()
ws = wb.active
ws.title = "Polar"
ws["A1"] = "Table III. Lift and drag of the wing, flap 30 deg"
ws["B3"] = "alpha, deg"; ws["C3"] = "Coefficients"; ws.merge_cells("C3:D3")
ws["C4"] = "CL"; ws["D4"] = "CD"
rows = [("-2", 0.3, 0.0123), ("0", 0.45, 0.02), ("2", "0.60", "—")]
for i, r in enumerate(rows):
    for j, v in enumerate(r):
        ws.cell(5 + i, 2 + j, v)
ws["C5"].number_format = "0.00"
ws["C6"].number_format = "0.0"     # shows 0.5 (or 0.4): not all of 0.45
ws["D6"].number_format = "0.0000"
ws["B9"] = "* corrected for the walls"
f = wb.create_sheet("Formats")
for i, (v, fmt) in enumerate([(0.3,"0.00"), (0.00001234,"0.00E+00"), (-1.5,"0.0"), (1234.5,"#,##0.0"), (0.125,"0.0%"), (0.3,"General"), (1.1,"General"), (1200000,"General"), (7,"@")]):
    f.cell(i + 1, 1, v).number_format = fmt
wb.save(sys.argv[1])
`

func TestReadWorkbook(t *testing.T) {
	name := filepath.Join(t.TempDir(), "made.xlsx")
	python(t, made, name)
	sheets, err := ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheets) != 2 || sheets[0].Name != "Polar" || sheets[1].Name != "Formats" {
		t.Fatalf("sheets: %+v", sheets)
	}
	type shown struct {
		text, ref, stored string
		number            bool
	}
	var got []shown
	for _, row := range sheets[1].Rows {
		v := row[0]
		got = append(got, shown{v.Text, v.Place.Sheet + "!" + v.Place.Ref, v.Stored, v.Number})
	}
	want := []shown{
		{"0.30", "Formats!A1", "", false},
		{"1.23E-05", "Formats!A2", "0.00001234", false},
		{"-1.5", "Formats!A3", "", false},
		{"1,234.5", "Formats!A4", "", false},
		{"12.5%", "Formats!A5", "", false},
		{"0.3", "Formats!A6", "", true},
		{"1.1", "Formats!A7", "", true},
		{"1200000", "Formats!A8", "", true},
		{"7", "Formats!A9", "", true},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("formats:\n got %+v\nwant %+v", got, want)
	}
	if v := sheets[0].Rows[5][2]; v.Stored != "0.45" {
		t.Errorf("C6 shows %q of 0.45 and says %q is stored", v.Text, v.Stored)
	}

	tables := Find(sheets[0])
	if len(tables) != 1 {
		t.Fatalf("tables: %+v", tables)
	}
	tab := tables[0]
	if tab.Region != "B3:D7" || tab.Caption != "Table III. Lift and drag of the wing, flap 30 deg" || tab.Sheet != "Polar" {
		t.Errorf("table: %q %q %q", tab.Sheet, tab.Region, tab.Caption)
	}
	if h := heads(tab); !reflect.DeepEqual(h, []string{"alpha, deg", "Coefficients CL", "Coefficients CD"}) {
		t.Errorf("heads: %q", h)
	}
	if r := texts(tab); !reflect.DeepEqual(r[0], []string{"-2", "0.30", "0.0123"}) || !reflect.DeepEqual(r[2], []string{"2", "0.60", "—"}) || len(r) != 3 {
		t.Errorf("rows: %q", r)
	}
	if len(tab.Notes) != 1 || tab.Notes[0].Text != "* corrected for the walls" || tab.Notes[0].Place.Ref != "B9" {
		t.Errorf("notes: %+v", tab.Notes)
	}
}

func heads(t Table) []string {
	var out []string
	for _, h := range t.Heads {
		out = append(out, h.Text)
	}
	return out
}

func texts(t Table) [][]string {
	var out [][]string
	for _, row := range t.Rows {
		var line []string
		for _, v := range row {
			line = append(line, v.Text)
		}
		out = append(out, line)
	}
	return out
}

func TestCellsThatAreNoPrint(t *testing.T) {
	name := filepath.Join(t.TempDir(), "bad.xlsx")
	python(t, `
import sys, datetime, openpyxl
wb = openpyxl.Workbook()
ws = wb.active
ws.title = "S"
ws["A1"] = 2 / 3
ws["A2"] = datetime.date(1936, 5, 1)
ws["A3"] = True
ws["A4"] = "#DIV/0!"
ws["A5"] = "=B1/B2"
ws["A6"] = 3.5; ws["A6"].number_format = ";;;"
ws["A7"] = 0.5; ws["A7"].number_format = "[h]:mm"
ws["A8"] = 2; ws["A8"].number_format = '0.0" deg"'
ws["B1"] = 1
ok = wb.create_sheet("Other")
ok["A1"] = "fine"
wb.save(sys.argv[1])
`, name)
	_, err := ReadFile(name)
	wantFaults(t, err, filepath.Dir(name),
		"bad.xlsx:S!A1: 0.6666666666666666 has 16 digits, the noise of binary arithmetic",
		"bad.xlsx:S!A2: holds a date or a time",
		"bad.xlsx:S!A3: holds a truth value",
		"bad.xlsx:S!A4: holds the error #DIV/0!",
		"bad.xlsx:S!A5: holds a formula without a stored result",
		"bad.xlsx:S!A6: holds 3.5, which its number format hides",
		"bad.xlsx:S!A7: holds a date or a time")
	if s, err := ReadSheet(name, "Other", ""); err != nil || s.Rows[0][0].Text != "fine" {
		t.Errorf("the sheet without faults: %+v, %v", s, err)
	}
	s, err := ReadSheet(name, "S", "A8:B8")
	if err != nil || len(s.Rows) != 8 || s.Rows[7][0].Text != "2.0 deg" {
		t.Errorf("the region without faults: %+v, %v", s, err)
	}
	_, err = ReadSheet(name, "T", "")
	wantFaults(t, err, filepath.Dir(name), `bad.xlsx: there is no sheet "T"; the sheets are: S, Other`)
	_, err = ReadSheet(name, "S", "8:9")
	wantFaults(t, err, filepath.Dir(name), `bad.xlsx:S: range "8:9" is not a range of cells`)
}

// parts writes a workbook from its bare parts, for what no library writes.
func parts(t *testing.T, sheet, strings, styles string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	add := func(name, text string) {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.WriteString(w, `<?xml version="1.0" encoding="UTF-8"?>`+text)
	}
	const main = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	const rel = `http://schemas.openxmlformats.org/officeDocument/2006/relationships`
	add("[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>`)
	add("_rels/.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="`+rel+`/officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	add("xl/workbook.xml", `<workbook `+main+` xmlns:r="`+rel+`"><sheets><sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>`)
	add("xl/_rels/workbook.xml.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="`+rel+`/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="`+rel+`/sharedStrings" Target="sharedStrings.xml"/><Relationship Id="rId3" Type="`+rel+`/styles" Target="styles.xml"/></Relationships>`)
	add("xl/sharedStrings.xml", `<sst `+main+`>`+strings+`</sst>`)
	add("xl/styles.xml", `<styleSheet `+main+`>`+styles+`</styleSheet>`)
	add("xl/worksheets/sheet1.xml", `<worksheet `+main+`>`+sheet+`</worksheet>`)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return write(t, "parts.xlsx", b.String())
}

func TestFormulaRaisedAndMerged(t *testing.T) {
	name := parts(t, `<sheetData><row r="1"><c r="A1"><f>B1*2</f><v>1.5</v></c><c r="B1" t="s"><v>0</v></c><c r="C1" t="str"><f>"a"&amp;"b"</f><v>ab</v></c></row>`+
		`<row r="2"><c r="A2" t="inlineStr"><is><t>0.30</t></is></c><c r="B2"/><c r="C2" t="s"><v>1</v></c></row></sheetData><mergeCells count="1"><mergeCell ref="A2:B2"/></mergeCells>`,
		`<si><r><t>10</t></r><r><rPr><vertAlign val="superscript"/></rPr><t>6</t></r></si><si><r><t>C</t></r><r><rPr><vertAlign val="subscript"/></rPr><t>L0</t></r></si>`, "")
	sheets, err := ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rows := sheets[0].Rows
	if v := rows[0][0]; v.Text != "1.5" || !v.Formula || !v.Number {
		t.Errorf("A1: %+v", v)
	}
	if v := rows[0][1]; v.Text != "10⁶" || v.Formula {
		t.Errorf("B1: %+v", v)
	}
	if v := rows[0][2]; v.Text != "ab" || !v.Formula {
		t.Errorf("C1: %+v", v)
	}
	if v := rows[1][0]; v.Text != "0.30" || v.Number {
		t.Errorf("A2: %+v", v)
	}
	if v := rows[1][1]; v.Text != "" {
		t.Errorf("B2 lies under a merged range and reads %q", v.Text)
	}
	if v := rows[1][2]; v.Text != "CL₀" {
		t.Errorf("C2: %+v", v)
	}
}

func TestHostileWorkbooks(t *testing.T) {
	for _, c := range []struct{ name, sheet, want string }{
		{"far corner", `<sheetData><row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>`, `parts.xlsx: sheet "S": row 1048576 lies beyond row 50000, the limit`},
		{"wide", `<sheetData><row r="1"><c r="XFD1"><v>1</v></c></row></sheetData>`, `parts.xlsx: sheet "S": row 1 has a cell in column 16384; the limit is 1024 columns`},
		{"area", `<sheetData><row r="1"><c r="ALL1"><v>1</v></c></row><row r="900"><c r="A900"><v>1</v></c></row></sheetData>`, `parts.xlsx: sheet "S" spans 900 rows and 1000 columns; the limit is 400000 cells`},
		{"rows descend", `<sheetData><row r="2"><c r="A2"><v>1</v></c></row><row r="1"><c r="A1"><v>2</v></c></row></sheetData>`, `parts.xlsx: sheet "S": row "1" stands after row 2; rows must ascend`},
		{"cell twice", `<sheetData><row r="1"><c r="A1"><v>1</v></c><c r="A1"><v>2</v></c></row></sheetData>`, `parts.xlsx: sheet "S": cell "A1" stands in row 1 after column 1`},
		{"broken", `<sheetData><row r="1">`, `parts.xlsx: sheet "S" is not well formed`},
		{"no number", `<sheetData><row r="1"><c r="A1"><v>1O.2</v></c></row></sheetData>`, `parts.xlsx:S!A1: "1O.2" is stored as a number and is none`},
		{"noise", `<sheetData><row r="1"><c r="A1"><v>0.30000000000000004</v></c><c r="B1"><v>1.1000000000000001</v></c></row></sheetData>`, `parts.xlsx:S!A1: 0.30000000000000004 has 17 digits, the noise of binary arithmetic`},
		{"hidden under a merged range", `<sheetData><row r="1"><c r="A1"><v>1</v></c><c r="B1"><v>2</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B1"/></mergeCells>`, `parts.xlsx:S!B1: holds a value that merged cells hide`},
		{"string index", `<sheetData><row r="1"><c r="A1" t="s"><v>99</v></c></row></sheetData>`, `parts.xlsx:S!A1: `},
	} {
		t.Run(c.name, func(t *testing.T) {
			name := parts(t, c.sheet, "", "")
			_, err := ReadFile(name)
			wantFaults(t, err, filepath.Dir(name), c.want)
		})
	}
}

// readInChild reads a file and prints the error and the peak of memory in MiB.
func readInChild(name string) int {
	_, err := ReadFile(name)
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	fmt.Printf("%d MiB\n%v\n", m.Sys>>20, err)
	return 0
}

func TestZipBomb(t *testing.T) {
	name := material(t, "1 malformed workbook", "malformed", "zipbomb.xlsx")
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "WORKBOOK_TEST_READ="+name)
	cmd.WaitDelay = time.Second
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var mib int
	if _, err := fmt.Sscanf(string(out), "%d MiB", &mib); err != nil {
		t.Fatalf("%q: %v", out, err)
	}
	if !strings.Contains(string(out), "zipbomb.xlsx: part xl/worksheets/sheet1.xml would unpack to 3072 MiB; the limit is 16 MiB\n") {
		t.Errorf("said %q", out)
	}
	// The file itself is 3 MB; what it unpacks to is a thousand times that.
	if mib > 100 {
		t.Errorf("took %d MiB of memory", mib)
	}
	t.Logf("%d MiB of memory", mib)
}

func TestWhatAFileIs(t *testing.T) {
	for _, c := range []struct{ base, text, want string }{
		{"a.xlsx", "alpha,CL\n", "a.xlsx: is named .xlsx but is not a workbook"},
		{"a.csv", "PK\x03\x04rest", "a.csv: is a packed file"},
		{"a.xlsx", "\xD0\xCF\x11\xE0\xA1\xB1", "a.xlsx: is a workbook of the older binary form or one with a password"},
		{"a.xlsx", "PK\x03\x04rest", "a.xlsx: is not a whole workbook"},
		{"a.ods", "PK\x03\x04rest", `a.ods: extension ".ods" is not read here; tables are read from .xlsx, .csv and .tsv`},
		{"a.csv", "", "a.csv: is empty"},
	} {
		name := write(t, c.base, c.text)
		_, err := ReadFile(name)
		wantFaults(t, err, filepath.Dir(name), c.want)
	}
	dir := t.TempDir()
	_, err := ReadFile(filepath.Join(dir, "none.csv"))
	wantFaults(t, err, dir, "none.csv: cannot be opened: ")
}

func BenchmarkReadWorkbook(b *testing.B) {
	var buf bytes.Buffer
	e := entry()
	e.Rows = 2000
	if err := WriteEntry(&buf, e); err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.TempDir(), "big.xlsx")
	if err := os.WriteFile(name, buf.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadFile(name); err != nil {
			b.Fatal(err)
		}
	}
}
