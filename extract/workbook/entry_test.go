package workbook

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"windtally/extract"
)

func entry() Entry {
	e := Entry{
		TableID: "t0a1b2c3d", Table: "Table III", Source: "Tarnholm Note 41", Pages: "24", Caption: "Lift and drag, flap lowered",
		Columns: []EntryColumn{
			{Key: "alpha", Head: "Angle of attack", Quantity: "angle of attack", Unit: "deg"},
			{Key: "CL", Head: "C_L", Quantity: "lift coefficient", Unit: "1", Hint: "as printed, keep zeros"},
			{Key: "CD", Head: "C_D"},
		},
		Quantities:     []string{"angle of attack", "lift coefficient", "drag coefficient"},
		Units:          []string{"1", "deg", "rad"},
		Configurations: []string{"flap up", "flap 30"},
		Rows:           4,
		Labels:         []string{"-2", "0", "2", "4"},
		Givens:         []EntryColumn{{Key: "R", Head: "Reynolds number", Hint: "in the caption"}},
	}
	// More than the 255 characters that a list in the rule itself may have.
	for i := range 40 {
		e.Quantities = append(e.Quantities, "another quantity "+string(rune('A'+i%26))+string(rune('a'+i/26)))
	}
	return e
}

func writeEntry(t *testing.T, e Entry) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteEntry(&b, e); err != nil {
		t.Fatal(err)
	}
	return write(t, "entry.xlsx", b.String())
}

func TestEntryBytes(t *testing.T) {
	var first []byte
	for i := range 12 {
		var b bytes.Buffer
		if err := WriteEntry(&b, entry()); err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Fatalf("writing %d differs from the first", i+1)
		}
	}
	z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if f.ModifiedDate != 0 || f.ModifiedTime != 0 || len(f.Extra) != 0 {
			t.Errorf("%s bears a time: date %d, time %d, %d extra bytes", f.Name, f.ModifiedDate, f.ModifiedTime, len(f.Extra))
		}
	}
}

// What another program sees in the entry workbook.
func TestEntrySeenByOpenpyxl(t *testing.T) {
	name := writeEntry(t, entry())
	var got struct {
		Sheets, Heads, Hints []string
		Comments             map[string]string
		Validations          []string
		Formats              map[string]string
		KeysHidden           bool
		Freeze, Print        string
		Orientation          string
		Fit                  bool
		Lists                int
		Body                 []string
		Created              string
	}
	parseJSON(t, python(t, `
import sys, json, openpyxl
wb = openpyxl.load_workbook(sys.argv[1])
ws = wb["table"]
print(json.dumps({
 "Sheets": wb.sheetnames,
 "Heads": [ws.cell(4, c).value for c in range(1, 7)],
 "Hints": [ws.cell(3, c).value for c in range(4, 7)],
 "Comments": {c.coordinate: c.comment.text for r in ws.iter_rows() for c in r if c.comment},
 "Validations": sorted("%s %s %s %s" % (d.type, d.sqref, d.formula1, d.errorStyle) for d in ws.data_validations.dataValidation),
 "Formats": {ref: ws[ref].number_format for ref in ["B7", "C7", "D7", "D10", "F10"]} | {"column " + c: ws.column_dimensions[c].number_format for c in "D"},
 "KeysHidden": ws.row_dimensions[1].hidden,
 "Freeze": ws.freeze_panes, "Print": str(ws.print_title_rows), "Orientation": ws.page_setup.orientation, "Fit": bool(ws.sheet_properties.pageSetUpPr.fitToPage),
 "Lists": sum(1 for r in range(2, 100) if wb["lists"].cell(r, 1).value),
 "Body": [ws.cell(7 + i, 4).value for i in range(4)] + [ws["B7"].value],
 "Created": wb.properties.created.isoformat(),
}))
`, name), &got)
	if want := []string{"table", "given", "lists", "read me"}; !reflect.DeepEqual(got.Sheets, want) {
		t.Errorf("sheets %q", got.Sheets)
	}
	if want := []string{"head", "page", "configuration", "Angle of attack", "C_L", "C_D"}; !reflect.DeepEqual(got.Heads, want) {
		t.Errorf("heads %q", got.Heads)
	}
	if want := []string{"as printed", "as printed, keep zeros", "as printed"}; !reflect.DeepEqual(got.Hints, want) {
		t.Errorf("hints %q", got.Hints)
	}
	if len(got.Comments) != 5 {
		t.Errorf("comments on %d cells: %q", len(got.Comments), got.Comments)
	}
	const rules = "CL: as printed, keep zeros. Type what is printed, nothing else. Leave the cell blank where the print has nothing; type a dash where the print has a dash. Keep zeros, also at the end (0.30). Do not convert and do not correct."
	if got.Comments["E4"] != rules {
		t.Errorf("comment on E4: %q", got.Comments["E4"])
	}
	wantRules := []string{"list C7:C210 lists!$C$2:$C$3 stop", "list D5:F5 lists!$A$2:$A$44 stop", "list D6:F6 lists!$B$2:$B$4 stop"}
	if !reflect.DeepEqual(got.Validations, wantRules) {
		t.Errorf("validations %q", got.Validations)
	}
	for ref, f := range got.Formats {
		if f != "@" {
			t.Errorf("number format of %s is %q, not text", ref, f)
		}
	}
	if !got.KeysHidden || got.Freeze != "D7" || got.Print != "$2:$6" || got.Orientation != "portrait" || !got.Fit || got.Lists != 43 || got.Created != "2000-01-01T00:00:00" {
		t.Errorf("layout: %+v", got)
	}
	if want := []string{"-2", "0", "2", "4", "24"}; !reflect.DeepEqual(got.Body, want) {
		t.Errorf("body %q", got.Body)
	}
}

// fill has openpyxl run each of the statements on the sheets ws (table), gs (given)
// and ls (lists) of an entry workbook, and returns the files that it saved.
func fill(t *testing.T, statements ...string) []string {
	t.Helper()
	args := []string{writeEntry(t, entry())}
	var names []string
	for _, s := range statements {
		names = append(names, filepath.Join(t.TempDir(), "entry.xlsx"))
		args = append(args, names[len(names)-1], s)
	}
	python(t, `
import sys, openpyxl, datetime
for out, statements in zip(sys.argv[2::2], sys.argv[3::2]):
    wb = openpyxl.load_workbook(sys.argv[1])
    ws, gs, ls = wb["table"], wb["given"], wb["lists"]
    exec(statements)
    wb.save(out)
`, args...)
	return names
}

const filledRows = `
for i, (cl, cd) in enumerate([("-0.10", ".0120"), ("0.05", "-"), ("0.30", ""), ("−.5", "0.02*")]):
    ws.cell(7 + i, 5).value = cl
    ws.cell(7 + i, 6).value = cd or None
ws["C8"] = "flap 30"
ws["F5"] = "drag coefficient"; ws["F6"] = "1"
gs["C2"] = "8,000,000"; gs["D2"] = "23"
`

func TestReadEntry(t *testing.T) {
	check := func(t *testing.T, f Filled, refs map[string]string) {
		t.Helper()
		if f.TableID != "t0a1b2c3d" {
			t.Errorf("table %q", f.TableID)
		}
		wantColumns := []EntryColumn{
			{Key: "alpha", Head: "Angle of attack", Quantity: "angle of attack", Unit: "deg"},
			{Key: "CL", Head: "C_L", Quantity: "lift coefficient", Unit: "1"},
			{Key: "CD", Head: "C_D", Quantity: "drag coefficient", Unit: "1"},
		}
		if !reflect.DeepEqual(f.Columns, wantColumns) {
			t.Errorf("columns %+v", f.Columns)
		}
		var rows [][]string
		for _, r := range f.Rows {
			line := []string{r.Configuration}
			for _, c := range r.Cells {
				line = append(line, c.Text)
				if r.Page != 24 || c.Place.Page != 24 || c.Place.Sheet != "table" || c.Confidence != -1 {
					t.Errorf("place %+v, page %d, confidence %v", c.Place, r.Page, c.Confidence)
				}
			}
			rows = append(rows, line)
		}
		want := [][]string{{"", "-2", "-0.10", ".0120"}, {"flap 30", "0", "0.05", "-"}, {"", "2", "0.30", ""}, {"", "4", "−.5", "0.02*"}}
		if !reflect.DeepEqual(rows, want) {
			t.Errorf("rows %q", rows)
		}
		for _, c := range f.Rows[0].Cells {
			if c.Place.Ref != refs[c.Column] {
				t.Errorf("%s stands in %s, want %s", c.Column, c.Place.Ref, refs[c.Column])
			}
		}
		wantGiven := []extract.Cell{{Row: "given", Column: "R", Text: "8,000,000", Confidence: -1, Place: extract.Place{Page: 23, Sheet: "given", Ref: "C2"}}}
		if !reflect.DeepEqual(f.Givens, wantGiven) {
			t.Errorf("given %+v", f.Givens)
		}
	}
	names := fill(t, filledRows, filledRows+`
for r in range(1, 12):
    a, b = ws.cell(r, 2).value, ws.cell(r, 6).value
    ws.cell(r, 2).value, ws.cell(r, 6).value = b, a
ws.insert_rows(1)
`, filledRows+`
ws["E9"].value = 0.3; ws["E9"].number_format = "0.00"
`)
	t.Run("as laid out", func(t *testing.T) {
		f, err := ReadEntryFor(names[0], "t0a1b2c3d")
		if err != nil {
			t.Fatal(err)
		}
		check(t, f, map[string]string{"alpha": "D7", "CL": "E7", "CD": "F7"})
	})
	t.Run("columns moved and a row added on top", func(t *testing.T) {
		f, err := ReadEntry(names[1])
		if err != nil {
			t.Fatal(err)
		}
		check(t, f, map[string]string{"alpha": "D8", "CL": "E8", "CD": "B8"})
	})
	t.Run("fixed decimals are taken as shown", func(t *testing.T) {
		f, err := ReadEntry(names[2])
		if err != nil {
			t.Fatal(err)
		}
		check(t, f, map[string]string{"alpha": "D7", "CL": "E7", "CD": "F7"})
	})
}

func TestEntryRefused(t *testing.T) {
	cases := []struct {
		name, statements string
		want             []string
	}{
		{"number in a text cell", `ws["E7"] = 0.3`, []string{"entry.xlsx:table!E7:column CL: holds the number 0.3, not a text"}},
		{"noise", `ws["E7"] = 2 / 3`, []string{"entry.xlsx:table!E7: 0.6666666666666666 has 16 digits"}},
		{"more stored than shown", `ws["E7"] = 0.3049; ws["E7"].number_format = "0.00"`, []string{`entry.xlsx:table!E7:column CL: shows "0.30" but holds the number 0.3049`}},
		{"date", `ws["E7"] = datetime.date(2001, 2, 1); ws["E7"].number_format = "d-mmm"`, []string{"entry.xlsx:table!E7: holds a date or a time"}},
		{"formula text", `
for ref, v in [("E7", "=A1"), ("E8", "+0.5"), ("E9", "@x"), ("E10", "-cmd|x")]:
    ws[ref].value = v
    ws[ref].data_type = "s"`, []string{
			`entry.xlsx:table!E7:column CL: "=A1" starts with =`,
			`entry.xlsx:table!E8:column CL: "+0.5" starts with +`,
			`entry.xlsx:table!E9:column CL: "@x" starts with @`,
			`entry.xlsx:table!E10:column CL: "-cmd|x" starts with a hyphen`}},
		{"missing key", `ws.delete_cols(5)`, []string{`entry.xlsx:table:column CL: the key "t0a1b2c3d/column/CL" (head "C_L") is missing`}},
		{"missing page", `ws["B1"] = None
for r in range(7, 11): ws.cell(r, 2).value = None`, []string{`entry.xlsx:table: the key "t0a1b2c3d/row/page" is missing`}},
		{"doubled key", `ws["G1"] = ws["E1"].value`, []string{`entry.xlsx:table!G1: the key "t0a1b2c3d/column/CL" stands twice`}},
		{"another table's column", `ws["G1"] = "tffffffff/column/CL"`, []string{"entry.xlsx:table!G1: the column CL is of table tffffffff; this is the entry workbook of table t0a1b2c3d"}},
		{"no such key", `ws["G1"] = "t0a1b2c3d/column/CM"`, []string{`entry.xlsx:table!G1: the key "t0a1b2c3d/column/CM" is none of this table's columns`}},
		{"outside the columns", `ws["H8"] = "0.7"`, []string{`entry.xlsx:table!H8: "0.7" stands in a column that has no key`}},
		{"not in the list", `ws["E6"] = "percent"`, []string{`entry.xlsx:table!E6:column CL: "percent" is not in the list of units`}},
		{"page", `ws["B7"] = "xii"`, []string{`entry.xlsx:table!B7:column page: page "xii" is not a page of the file`}},
		{"row of heads gone", `ws["A5"] = None`, []string{`entry.xlsx:table: the row "quantity" is missing`}},
		{"lists gone", `del wb["lists"]`, []string{`entry.xlsx: has no sheet "lists"; it is not an entry workbook`}},
		{"given outside", `gs["C5"] = "9"`, []string{`entry.xlsx:given!C5: "9" stands in a row that has no key`}},
	}
	var statements []string
	for _, c := range cases {
		statements = append(statements, c.statements)
	}
	names := fill(t, statements...)
	for i, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadEntry(names[i])
			wantFaults(t, err, filepath.Dir(names[i]), c.want...)
		})
	}
	name := writeEntry(t, entry())
	_, err := ReadEntryFor(name, "tffffffff")
	wantFaults(t, err, filepath.Dir(name), "entry.xlsx: is the entry workbook of table t0a1b2c3d; the table asked for is tffffffff")
}

func TestWriteEntryRefuses(t *testing.T) {
	for _, c := range []struct {
		change func(*Entry)
		want   string
	}{
		{func(e *Entry) { e.TableID = "" }, `table id ""`},
		{func(e *Entry) { e.Columns[1].Key = "alpha" }, `t0a1b2c3d: key "alpha" stands twice`},
		{func(e *Entry) { e.Columns[1].Unit = "furlong" }, `t0a1b2c3d: unit "furlong" of CL is not in the list`},
		{func(e *Entry) { e.Labels[0] = "=1" }, `t0a1b2c3d: label 1: "=1" starts with =`},
		{func(e *Entry) { e.Columns[0].Hint = strings.Repeat("x", 61) }, "t0a1b2c3d: hint of alpha has 61 characters; keep it to 60"},
		{func(e *Entry) { e.Columns = nil }, "t0a1b2c3d: the table has no columns"},
	} {
		e := entry()
		c.change(&e)
		var b bytes.Buffer
		err := WriteEntry(&b, e)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || b.Len() != 0 {
			t.Errorf("got %v and %d bytes, want %s", err, b.Len(), c.want)
		}
	}
}

func TestTyped(t *testing.T) {
	for _, ok := range []string{"", "-", "--", "—", "-0.5", "- .5", "-.5", "-1.2E-3", "-1.2e+03", "-2°30'", "-0.3*", "−5", "0.30", "a = b", "-4x10^-3", "-1.2×10-3", "1-2"} {
		if msg := Typed(ok); msg != "" {
			t.Errorf("%q is refused: %s", ok, msg)
		}
	}
	for _, bad := range []string{"=1", "+1", "@A1", "-A1", "-1+2", "-1-2", "-sum(1)", " =1", "-1|x", "a\nb", "a\tb", "-1&A2"} {
		if Typed(bad) == "" {
			t.Errorf("%q is taken", bad)
		}
	}
}

func TestEntryWithoutLists(t *testing.T) {
	e := Entry{TableID: "t00000001", Table: "Table I", Columns: []EntryColumn{{Key: "a", Head: "a"}}}
	name := writeEntry(t, e)
	f, err := ReadEntry(name)
	if err != nil || len(f.Rows) != 0 || len(f.Givens) != 0 || !reflect.DeepEqual(f.Columns, e.Columns) {
		t.Errorf("%+v, %v", f, err)
	}
	if _, err := os.Stat(name); err != nil {
		t.Fatal(err)
	}
}
