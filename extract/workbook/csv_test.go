package workbook

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

type placed struct {
	Text string
	Line int
}

func placedRows(s Sheet) [][]placed {
	var out [][]placed
	for _, row := range s.Rows {
		var line []placed
		for _, v := range row {
			line = append(line, placed{v.Text, v.Place.Line})
		}
		out = append(out, line)
	}
	return out
}

func TestReadCSV(t *testing.T) {
	for _, c := range []struct {
		name, file, text string
		want             [][]placed
	}{
		{"plain, bom, crlf", "a.csv", "\ufeffalpha,CL\r\n-2,0.30\r\n", [][]placed{{{"alpha", 1}, {"CL", 1}}, {{"-2", 2}, {"0.30", 2}}}},
		{"blank lines keep their place", "a.csv", "\n\na,b\n\n1,2\n", [][]placed{nil, nil, {{"a", 3}, {"b", 3}}, nil, {{"1", 5}, {"2", 5}}}},
		{"lines within quotes", "a.csv", "\"x\ny\",\"z\nw\",q\n\n1,2,3", [][]placed{{{"x\ny", 1}, {"z\nw", 2}, {"q", 3}}, nil, {{"1", 5}, {"2", 5}, {"3", 5}}}},
		{"semicolon, decimal comma", "a.csv", "alpha;CL\n-2;0,30\n0;0,45\n", [][]placed{{{"alpha", 1}, {"CL", 1}}, {{"-2", 2}, {"0,30", 2}}, {{"0", 3}, {"0,45", 3}}}},
		{"semicolon, decimal comma everywhere", "a.csv", "1,5;0,30\n2,5;0,45\n", [][]placed{{{"1,5", 1}, {"0,30", 1}}, {{"2,5", 2}, {"0,45", 2}}}},
		{"tab", "a.tsv", "a, b\tc\n1;2\t3\n", [][]placed{{{"a, b", 1}, {"c", 1}}, {{"1;2", 2}, {"3", 2}}}},
		{"ragged, trailing blanks", "a.csv", "a,b,,\n,,,\n1,2,3,\n,,\n", [][]placed{{{"a", 1}, {"b", 1}}, nil, {{"1", 3}, {"2", 3}, {"3", 3}}}},
		{"doubled quote", "a.csv", "\"a \"\"b\"\"\",1\n", [][]placed{{{`a "b"`, 1}, {"1", 1}}}},
		{"one column", "a.csv", "a\n1\n", [][]placed{{{"a", 1}}, {{"1", 2}}}},
		{"semicolon in one caption line", "a.csv", "Table I; flaps\na,b\n1,2\n3,4\n", [][]placed{{{"Table I; flaps", 1}}, {{"a", 2}, {"b", 2}}, {{"1", 3}, {"2", 3}}, {{"3", 4}, {"4", 4}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadCSV(c.file, strings.NewReader(c.text))
			if err != nil {
				t.Fatal(err)
			}
			if got := placedRows(s); !reflect.DeepEqual(got, c.want) && fmt.Sprint(got) != fmt.Sprint(c.want) {
				t.Errorf("got %v\nwant %v", got, c.want)
			}
		})
	}
}

func TestReadCSVRefused(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"a,b\n1,\"2\n", "a.csv:2: a quoted value is not closed"},
		{"a,b\n1,2\"3\n", `a.csv:2: column 4: a double quote inside a value without quotes`},
		{"a,b\n1,\xff\n", "a.csv:2: byte 0xff is not UTF-8"},
		{"a,b\r1,2\r", "a.csv:1: a carriage return without a line feed"},
		{"a,b\n1,\x00\n", "a.csv:2: control character 0x00"},
		{"\xff\xfea\x00", "a.csv:1: is UTF-16; save it as UTF-8"},
		{"a,b;c\nd,e;f\n", "a.csv:1: the separator cannot be told: comma, semicolon each stand in it and more than one divides the lines evenly"},
	} {
		_, err := ReadCSV("a.csv", strings.NewReader(c.text))
		wantFaults(t, err, "", c.want)
	}
}

// The keyed table of the material against Python's csv module.
func TestCSVAgainstPython(t *testing.T) {
	name := filepath.Join("testdata", "naca-tr-515-table-3.csv")
	var want []struct {
		Line int
		Row  []string
	}
	parseJSON(t, python(t, `
import sys, csv, json
r = csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True)
print(json.dumps([{"Line": r.line_num, "Row": row} for row in r]))
`, name), &want)
	sheets, err := ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if len(want) != 82 || len(sheets[0].Rows) != 82 {
		t.Fatalf("%d rows here, %d in Python, 82 in the table", len(sheets[0].Rows), len(want))
	}
	for i, row := range placedRows(sheets[0]) {
		for j, v := range row {
			if len(row) != 9 || v.Text != want[i].Row[j] || v.Line != want[i].Line {
				t.Fatalf("row %d: %v, Python has line %d %q", i+1, row, want[i].Line, want[i].Row)
			}
		}
	}
	tables := Find(sheets[0])
	if len(tables) != 1 || len(tables[0].Rows) != 81 || tables[0].Region != "lines 1-82" || tables[0].Heads[4].Text != "LD" {
		t.Errorf("tables: %d", len(tables))
	}
}

func TestReadKeyed(t *testing.T) {
	keys := []string{"alpha", "CL", "Cl"}
	heads := []string{"Angle of attack", "", "section lift"}
	name := write(t, "k.csv", "Page,cl_roll\n")
	_, err := ReadKeyed(name, keys, heads)
	wantFaults(t, err, filepath.Dir(name), `k.csv:1: column "cl_roll" is not in the table; its columns are: alpha, CL, Cl`, `k.csv:1: column "alpha" is missing`, `k.csv:1: column "CL" is missing`, `k.csv:1: column "Cl" is missing`)

	name = write(t, "k.csv", "cl,alpha,CL\n1,2,3\n")
	_, err = ReadKeyed(name, keys, heads)
	wantFaults(t, err, filepath.Dir(name), `k.csv:1: column "cl" may be any of CL, Cl; write the key exactly`, `k.csv:1: column "Cl" is missing`)

	name = write(t, "k.csv", "alpha,CL,Cl,ANGLE OF ATTACK\n1,2,3,4\n")
	_, err = ReadKeyed(name, keys, heads)
	wantFaults(t, err, filepath.Dir(name), `k.csv:1: columns "alpha" and "ANGLE OF ATTACK" both name the column alpha`)

	name = write(t, "k.csv", "alpha,CL,Cl,page\n1,2,3,4\n5,6,7\n=1,2,3,x\n")
	_, err = ReadKeyed(name, keys, heads)
	wantFaults(t, err, filepath.Dir(name), "k.csv:3: the row has 3 fields; the first line names 4 columns", `k.csv:4:column alpha: "=1" starts with =`, `k.csv:4:column page: page "x" is not a page of the file`)

	name = write(t, "k.csv", "\nCL,page,angle OF  attack,Section Lift,configuration\n\n0.30,12,-2,,flap up\n-,12,.5,—,\n")
	rows, err := ReadKeyed(name, keys, heads)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range rows {
		for _, c := range r.Cells {
			got = append(got, fmt.Sprintf("%s=%s %s %q", c.Column, c.Text, c.Place, r.Configuration))
		}
	}
	want := []string{`alpha=-2 p12 line 4 "flap up"`, `CL=0.30 p12 line 4 "flap up"`, `Cl= p12 line 4 "flap up"`, `alpha=.5 p12 line 5 ""`, `CL=- p12 line 5 ""`, `Cl=— p12 line 5 ""`}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %q", got)
	}
}

func TestKeyedTruth(t *testing.T) {
	// NACA TR 515, Table III: 81 rows, 9 columns, 729 cells. The first and the last
	// row as printed.
	keys := []string{"LD", "mu", "alpha", "CL", "CD", "N", "Cl_roll", "Cm", "CY"}
	rows, err := ReadKeyed(filepath.Join("testdata", "naca-tr-515-table-3.csv"), keys, make([]string, 9))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, r := range rows {
		n += len(r.Cells)
	}
	if len(rows) != 81 || n != 729 {
		t.Errorf("%d rows, %d cells", len(rows), n)
	}
	if c := rows[1].Cells; c[0].Text != "3.13" || c[1].Text != ".145" || c[6].Text != ".001100" || c[6].Place.Line != 3 {
		t.Errorf("second row: %+v", c)
	}
}

func TestReadLines(t *testing.T) {
	name := write(t, "a.csv", "x,y\n1,2\n\n3,4\n5,6\n")
	s, err := ReadSheet(name, "", "lines 2-4")
	if err != nil {
		t.Fatal(err)
	}
	want := [][]placed{nil, {{"1", 2}, {"2", 2}}, nil, {{"3", 4}, {"4", 4}}}
	if got := placedRows(s); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v", got)
	}
	_, err = ReadSheet(name, "", "B3:C4")
	wantFaults(t, err, filepath.Dir(name), `a.csv: range "B3:C4": in a text file a range is written as in lines 2-40`)
	_, err = ReadSheet(name, "", "lines 8-9")
	wantFaults(t, err, filepath.Dir(name), `a.csv: range "lines 8-9": nothing stands there`)
	_, err = ReadSheet(name, "S", "")
	wantFaults(t, err, filepath.Dir(name), `a.csv: sheet "S": a text file has no sheets`)
}

func TestFind(t *testing.T) {
	type table struct {
		region, caption string
		heads           []string
		rows            int
		notes           int
	}
	for _, c := range []struct {
		name, text string
		want       []table
	}{
		{"side by side", "Table I,,,Table II\n\nalpha,CL,,alpha,CD\n0,0.1,,0,0.02\n2,0.3,,2,0.03\n", []table{
			{"lines 3-5", "Table I", []string{"alpha", "CL"}, 2, 0}, {"lines 3-5", "Table II", []string{"alpha", "CD"}, 2, 0}}},
		{"blank line in the rows", "alpha,CL\n0,0.1\n\n2,0.3\n4,0.5\n\n6,0.7\n", []table{{"lines 1-7", "", []string{"alpha", "CL"}, 4, 0}}},
		{"sub-head in the rows", "alpha,CL\n0,0.1\n\nFlap 30 deg\n\n2,0.3\n4,0.5\n", []table{{"lines 1-7", "", []string{"alpha", "CL"}, 4, 0}}},
		{"two tables under each other", "alpha,CL\n0,0.1\n2,0.2\n\nalpha,CD\n0,0.01\n2,0.02\n", []table{
			{"lines 1-3", "", []string{"alpha", "CL"}, 2, 0}, {"lines 5-7", "", []string{"alpha", "CD"}, 2, 0}}},
		{"two lines of head", "wing,lift,drag\n,CL,CD\nA,1.1,0.02\nB,1.2,0.03\n", []table{{"lines 1-4", "", []string{"wing", "lift CL", "drag CD"}, 2, 0}}},
		{"list of particulars", "Item,Value,Unit\nSpan,36.0,ft\nArea,300,sq ft\n", []table{{"lines 1-3", "", []string{"Item", "Value", "Unit"}, 2, 0}}},
		{"missing values", "alpha,CL,CD\n0,—,0.02\n2,0.3,—\n4,...,0.04\n", []table{{"lines 1-4", "", []string{"alpha", "CL", "CD"}, 3, 0}}},
		{"prose only", "This file holds notes\n\nSeen by two people, and kept\n", nil},
		{"note below", "alpha,CL\n0,0.1\n2,0.2\n\n* estimated\n", []table{{"lines 1-3", "", []string{"alpha", "CL"}, 2, 1}}},
		{"no head", "0,0.1\n2,0.2\n", []table{{"lines 1-2", "", []string{"", ""}, 2, 0}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadCSV("a.csv", strings.NewReader(c.text))
			if err != nil {
				t.Fatal(err)
			}
			var got []table
			for _, f := range Find(s) {
				got = append(got, table{f.Region, f.Caption, heads(f), len(f.Rows), len(f.Notes)})
			}
			if !reflect.DeepEqual(got, c.want) {
				t.Errorf("got  %+v\nwant %+v", got, c.want)
			}
		})
	}
}

// A sheet that was read, written again with every value in quotes, reads the same;
// no value is invented, and each stands on a line of the file.
func FuzzReadCSV(f *testing.F) {
	truth, err := os.ReadFile(filepath.Join("testdata", "naca-tr-515-table-3.csv"))
	if err != nil {
		f.Fatal(err)
	}
	for _, s := range []string{"a,b\n1,2\n", "\ufeffa;b\r\n1,5;2\r\n", "\"x\ny\",z\n\n1,2", "a\tb\n", "a,b;c\n", "\"", "a\"b", ",,\n\n,", "\r", "\x00", string(truth[:400])} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadCSV("a.csv", strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "a.csv") {
				t.Fatalf("an error without place: %v", err)
			}
			return
		}
		lines := 1 + strings.Count(text, "\n")
		var b bytes.Buffer
		for _, row := range s.Rows {
			for i, v := range row {
				if v.Place.Line < 1 || v.Place.Line > lines {
					t.Fatalf("%q stands on line %d of %d", v.Text, v.Place.Line, lines)
				}
				if v.Text != strings.TrimSpace(v.Text) {
					t.Fatalf("%q is not trimmed", v.Text)
				}
				first, _, _ := strings.Cut(v.Text, "\n")
				onLine := strings.Split(text, "\n")[v.Place.Line-1]
				if !strings.Contains(v.Text, "\"") && !strings.Contains(first, "\r") && first != "" && len(row) > 0 && !strings.Contains(onLine, "\"") && !strings.Contains(onLine, first) {
					t.Fatalf("%q does not stand on line %d: %q", v.Text, v.Place.Line, onLine)
				}
				if i > 0 {
					b.WriteByte('\t')
				}
				b.WriteString(`"` + strings.ReplaceAll(v.Text, `"`, `""`) + `"`)
			}
			b.WriteByte('\n')
		}
		again, err := ReadCSV("a.tsv", &b)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(textsOf(s), textsOf(again)) {
			t.Fatalf("%q\nread  %q\nagain %q", text, textsOf(s), textsOf(again))
		}
		Find(s)
	})
}

func textsOf(s Sheet) [][]string {
	var out [][]string
	for _, row := range s.Rows {
		line := []string{}
		for _, v := range row {
			line = append(line, v.Text)
		}
		out = append(out, line)
	}
	return out
}
