package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"

	"go.yaml.in/yaml/v3"
)

// material returns a file of the scans that stay out of the repository.
func material(t *testing.T, name string) string {
	t.Helper()
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skipf("NOT RUN: this run on a real report (1 of 4 in this package): %s; WINDTALLY_MATERIAL is not set", name)
	}
	file := filepath.Join(dir, filepath.FromSlash(name))
	if _, err := os.Stat(file); err != nil {
		t.Fatalf("WINDTALLY_MATERIAL is set and has no %s: %v", name, err)
	}
	return file
}

// keyed reads one of the keyed truths.
func keyed(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "keyed", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// complete does what a person does with a draft: reads it, changes it, and saves it.
func complete(t *testing.T, study, name string, change func(*extract.Table)) {
	t.Helper()
	file := filepath.Join(study, "tables", name+".yaml")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var table extract.Table
	if err := yaml.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	table.Status = "ready"
	change(&table)
	if data, err = yaml.Marshal(table); err != nil {
		t.Fatal(err)
	}
	write(t, file, string(data))
}

// columns gives the draft's columns their keys and meanings, in order.
func columns(t *testing.T, table *extract.Table, meant []extract.Column) {
	t.Helper()
	if len(table.Columns) != len(meant) {
		t.Fatalf("%s was drafted with %d columns; the print has %d", table.Name, len(table.Columns), len(meant))
	}
	for i := range meant {
		c := &table.Columns[i]
		c.Key, c.Head, c.Quantity, c.Unit, c.Basis = meant[i].Key, meant[i].Head, meant[i].Quantity, meant[i].Unit, meant[i].Basis
	}
}

// tally counts the cells of a reading against a keyed truth.
type tally struct {
	cells, right, flagged, wrongUnwitnessed, silent int
	wrong                                           []string
}

func (y tally) String() string {
	return fmt.Sprintf("%d cells: %d right, %d flagged, %d wrong and marked unwitnessed, %d wrong without a mark or a finding", y.cells, y.right, y.flagged, y.wrongUnwitnessed, y.silent)
}

// count compares what a table's only reading says with the truth, row by row in
// print order.
func count(t *testing.T, study, table string, truth [][]string) tally {
	t.Helper()
	var cells []cellJSON
	if err := json.Unmarshal([]byte(must(t, study, "show", "--json", table)), &cells); err != nil {
		t.Fatal(err)
	}
	_, out, _ := windtally(t, study, "findings", "--json", table)
	var found findingsJSON
	if err := json.Unmarshal([]byte(out), &found); err != nil {
		t.Fatal(err)
	}
	s, err := extract.OpenStudy(study)
	if err != nil {
		t.Fatal(err)
	}
	id := s.Table(table).ID
	flagged := map[string]bool{}
	for _, f := range found.Findings {
		for _, c := range f.Cells {
			flagged[c] = true
		}
	}
	read := map[[2]string]cellJSON{}
	for _, c := range cells {
		read[[2]string{c.Row, c.Column}] = c
	}
	var rows []string
	for _, r := range s.Registers[id].Rows {
		rows = append(rows, r.Key)
	}
	if len(rows) != len(truth)-1 {
		t.Errorf("%s: %d rows read, the print has %d", table, len(rows), len(truth)-1)
	}
	var y tally
	for i, want := range truth[1:] {
		for k, column := range s.Table(table).ColumnKeys() {
			y.cells++
			if i >= len(rows) {
				y.silent++
				continue
			}
			got := read[[2]string{rows[i], column}]
			cell := extract.CellID{Table: id, Row: rows[i], Column: column}.String()
			printedDash := want[k] == ""
			switch {
			case extract.SameText(got.Print, want[k]), printedDash && strings.Trim(got.Print, ".-— ") == "":
				y.right++
			case flagged[cell]:
				y.flagged++
			case got.State == string(extract.Unwitnessed):
				y.wrongUnwitnessed++
				y.wrong = append(y.wrong, fmt.Sprintf("%s:%s %q for %q", rows[i], column, got.Print, want[k]))
			default:
				y.silent++
				y.wrong = append(y.wrong, fmt.Sprintf("SILENT %s:%s %q for %q", rows[i], column, got.Print, want[k]))
			}
		}
	}
	return y
}

var wingBasis = extract.Basis{Article: "wing", Coefficients: "absolute", ReferenceArea: "gross", AngleDatum: "root-chord", Walls: "not-stated",
	AspectRatioBasis: "as-tested", ReynoldsKind: "effective", Reynolds: "given re", ReferenceChord: "not stated on the page", MomentSign: "nose-up",
	Configuration: extract.Configuration{Flap: "none"}}

// NACA TR 572 (1936), page 24: Tables V and VI side by side, under a ruined text
// layer. Truth keyed twice by eye (testdata/keyed).
func TestRealTR572TablesVAndVI(t *testing.T) {
	file := material(t, "reports/naca-tr-572.pdf")
	study := newStudy(t, "--title", "Tapered wings")
	must(t, study, "cite", "--designation", "NACA TR 572", "--title", "Determination of the characteristics of tapered wings", "--year", "1936",
		"--rights", "public domain, work of the United States government", file)
	must(t, study, "extract", "--pages", "24", "naca-tr-572")
	five, six := "naca-tr-572-table-v", "naca-tr-572-table-vi"

	complete(t, study, five, func(table *extract.Table) {
		columns(t, table, []extract.Column{
			{Key: "wing", Head: "Wing", Quantity: "label"},
			{Key: "CLmax", Head: "C_Lmax", Quantity: "maximum lift coefficient", Unit: "1"},
			{Key: "CD0min", Head: "C_D0 min", Quantity: "minimum drag coefficient", Unit: "1", Basis: &extract.Basis{Drag: "profile"}},
			{Key: "ratio", Head: "C_Lmax/C_D0min", Quantity: "unclassified"},
			{Key: "p", Head: "p/(S/b)", Quantity: "unclassified"},
			{Key: "h", Head: "h/(S/b)", Quantity: "unclassified"},
			{Key: "Cm0", Head: "C_m0", Quantity: "zero-lift moment coefficient", Unit: "1"},
		})
		table.Basis = wingBasis
		table.Relations = []string{"ratio = CLmax / CD0min"}
		table.Givens = []extract.Column{{Key: "re", Words: "Effective Reynolds number, approximately *]", Quantity: "Reynolds number", Unit: "1"}}
	})
	complete(t, study, six, func(table *extract.Table) {
		columns(t, table, []extract.Column{
			{Key: "wing", Head: "Wing", Quantity: "label"},
			{Key: "Cm0c", Head: "C_m0 calculated", Quantity: "unclassified"},
			{Key: "Cm0", Head: "C_m0 experimental", Quantity: "zero-lift moment coefficient", Unit: "1"},
			{Key: "xc", Head: "x_ac calculated", Quantity: "unclassified"},
			{Key: "x", Head: "x_ac experimental", Quantity: "unclassified"},
			{Key: "aL0c", Head: "alpha_L0 calculated", Quantity: "unclassified"},
			{Key: "aL0", Head: "alpha_L0 experimental", Quantity: "zero-lift angle", Unit: "deg"},
			{Key: "ac", Head: "a calculated", Quantity: "unclassified"},
			{Key: "a", Head: "a experimental", Quantity: "lift-curve slope", Unit: "per degree"},
		})
		table.Basis = wingBasis
		table.Basis.ReynoldsKind, table.Basis.Reynolds = "not-stated", ""
	})
	must(t, study, "extract", five)
	must(t, study, "extract", six)

	truth5, truth6 := keyed(t, "naca-tr-572-p24-table-5.csv"), keyed(t, "naca-tr-572-p24-table-6.csv")
	// Labels of Table VI are shortened in the keying as printed: the text layer's
	// own labels are compared with them like any cell.
	y5, y6 := count(t, study, five, truth5), count(t, study, six, truth6)
	t.Logf("text layer alone, Table V:  %v", y5)
	t.Logf("text layer alone, Table VI: %v", y6)
	for _, w := range append(y5.wrong, y6.wrong...) {
		t.Log(w)
	}
	if y5.silent+y6.silent > 0 {
		t.Errorf("%d silent wrong numbers", y5.silent+y6.silent)
	}

	// The keyed truth as a second reading.
	for table, name := range map[string]string{five: "naca-tr-572-p24-table-5.csv", six: "naca-tr-572-p24-table-6.csv"} {
		rows := keyed(t, name)
		s, err := extract.OpenStudy(study)
		if err != nil {
			t.Fatal(err)
		}
		rows[0] = s.Table(table).ColumnKeys()
		for _, row := range rows[1:] {
			for i := range row {
				if row[i] == "" {
					row[i] = "-" // the print has a leader where nothing is given
				}
			}
		}
		keyedFile := filepath.Join(t.TempDir(), name)
		f, err := os.Create(keyedFile)
		if err != nil {
			t.Fatal(err)
		}
		if err := csv.NewWriter(f).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		f.Close()
		must(t, study, "entry", "--take", keyedFile, "--by", "ab", table)
	}
	var found findingsJSON
	_, out, _ := windtally(t, study, "findings", "--json")
	if err := json.Unmarshal([]byte(out), &found); err != nil {
		t.Fatal(err)
	}
	differ := 0
	for _, f := range found.Findings {
		if f.Check == "collation" {
			differ++
		}
	}
	t.Logf("collation with the keyed reading: %d differences; states %v", differ, found.States)

	// A person looks at the print of each difference: it says what was keyed.
	for _, table := range []string{five, six} {
		var cells []cellJSON
		if err := json.Unmarshal([]byte(must(t, study, "show", "--json", table)), &cells); err != nil {
			t.Fatal(err)
		}
		for _, c := range cells {
			if c.State != string(extract.Disputed) {
				continue
			}
			for _, w := range c.Witnesses {
				if w.Reader == "keyed-ab" {
					must(t, study, "rule", "--reread", w.Text, "--by", "ab", table+":"+c.Row+":"+c.Column)
				}
			}
		}
	}
	must(t, study, "rule", "--reread", "8,000,000", "--by", "ab", "--reason", "the caption says approximately 8,000,000", five+":given:re")

	wings := 0
	for i, row := range truth5[1:] {
		sub := fmt.Sprintf("schema: 1\nkind: wing\ntitle: wing %s\ntables:\n  - table: %s\n    where: {column: wing, is: \"%s\"}\n  - table: %s\n    where: {column: wing, is: \"%s\"}\n",
			row[0], five, row[0], six, truth6[1+i][0])
		write(t, filepath.Join(study, "subjects", fmt.Sprintf("wing-%d.yaml", i+1)), sub)
		wings++
	}
	// Whatever else blocks is looked at too; the figures of the print stand.
	_, out, _ = windtally(t, study, "findings", "--json")
	if err := json.Unmarshal([]byte(out), &found); err != nil {
		t.Fatal(err)
	}
	for _, f := range found.Findings {
		if f.Severity == "blocking" {
			t.Logf("blocking after collation: %s %s: %s", f.Check, f.Where, f.Message)
			must(t, study, "rule", "--confirm", "--by", "ab", f.ID)
		}
	}
	t.Log(must(t, study, "publish"))
	edition := filepath.Join(study, "editions", "0.1.0")
	t.Log(must(t, study, "verify", edition))
	e, err := datasets.Load(edition)
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Subjects) != 9 {
		t.Errorf("%d subjects, 9 wings are printed", len(e.Subjects))
	}
	conditions := map[string]datasets.Conditions{}
	for _, c := range e.Conditions {
		conditions[c.ConditionsID] = c
	}
	for _, h := range e.Characteristics {
		c := conditions[h.ConditionsID]
		switch h.Quantity {
		case "maximum lift coefficient":
			if c.ReynoldsKind != "effective" || c.Reynolds.Value != "8000000" || c.Reynolds.HalfWidth != "500000" {
				t.Errorf("%s: CLmax at Reynolds number %s +- %s (%s), the caption says effective, approximately 8,000,000", h.SubjectID, c.Reynolds.Value, c.Reynolds.HalfWidth, c.ReynoldsKind)
			}
		case "minimum drag coefficient":
			if c.DragKind != "profile" || c.Article != "wing" {
				t.Errorf("%s: C_D0 min published as %s drag of a %s; it is profile drag of a wing", h.SubjectID, c.DragKind, c.Article)
			}
		case "lift-curve slope":
			// 0.072 to 0.078 per degree, x 180/pi.
			if v, _ := h.Value.Float64(); h.Unit != "/rad" || v < 4.12 || v > 4.48 {
				t.Errorf("%s: lift-curve slope %s %s; the print has .072 to .078 per degree, 4.13 to 4.47 per radian", h.SubjectID, h.Value, h.Unit)
			}
		}
	}
	published := map[string]string{}
	for _, v := range e.Values {
		published[v.SubjectID+"/"+v.Table+"/"+v.Column] = v.Printed
	}
	for i := range 9 {
		sub := fmt.Sprintf("wing-%d", i+1)
		for _, w := range []struct {
			table, column string
			truth         string
		}{{five, "CLmax", truth5[1+i][1]}, {five, "CD0min", truth5[1+i][2]}, {five, "Cm0", truth5[1+i][6]}, {six, "Cm0", truth6[1+i][2]}, {six, "aL0", truth6[1+i][6]}, {six, "a", truth6[1+i][8]}} {
			if got := published[sub+"/"+w.table+"/"+w.column]; !extract.SameText(got, w.truth) {
				t.Errorf("%s %s %s: published %q, keyed %q", sub, w.table, w.column, got, w.truth)
			}
		}
	}
}

// NACA TR 515 (1935), Table III, as a keyed reading: in 13 of 81 rows the printed
// L/D is not the quotient of the printed C_L and C_D within their digits.
func TestRealTR515RelationCheck(t *testing.T) {
	study := newStudy(t, "--title", "Rotor")
	page := filepath.Join(t.TempDir(), "naca-tr-515-table-3.png")
	write(t, page, onePixel)
	must(t, study, "cite", "--designation", "NACA TR 515", "--title", "Full-scale wind-tunnel tests", "--year", "1935", "--rights", "public domain", page)
	write(t, filepath.Join(study, "tables", "table-3.yaml"), `schema: 1
id: t00000515
status: ready
source: naca-tr-515
pages: "1"
origin: print
layout: grid
columns:
  - {key: mu, quantity: unclassified}
  - {key: alpha, quantity: angle of attack, unit: deg}
  - {key: CL, quantity: lift coefficient, unit: "1"}
  - {key: CD, quantity: drag coefficient, unit: "1"}
  - {key: LD, quantity: lift-drag ratio, unit: "1"}
  - {key: N, quantity: unclassified}
  - {key: Cl_roll, quantity: unclassified}
  - {key: Cm, quantity: unclassified}
  - {key: CY, quantity: unclassified}
relations: ["LD = CL / CD"]
basis: {article: rotor, coefficients: absolute, reference_area: disc, drag: total, angle_datum: disc-plane, walls: not-stated, reynolds_kind: not-stated}
`)
	write(t, filepath.Join(study, "subjects", "rotor.yaml"), "schema: 1\nkind: rotor\ntitle: rotor\ntables: [{table: table-3}]\n")
	must(t, study, "entry", "--take", filepath.Join("..", "..", "testdata", "keyed", "naca-tr-515-table-3.csv"), "--by", "ab", "table-3")
	code, out, _ := windtally(t, study, "findings", "--json")
	if code != exitFailed {
		t.Errorf("findings: exit %d with blocking findings, want %d", code, exitFailed)
	}
	var found findingsJSON
	if err := json.Unmarshal([]byte(out), &found); err != nil {
		t.Fatal(err)
	}
	rows := map[string]bool{}
	for _, f := range found.Findings {
		if f.Check == "relation" {
			rows[strings.Split(f.Where, ":")[1]] = true
		} else if f.Check != "unclassified" {
			t.Errorf("another finding: %s %s %s", f.Check, f.Where, f.Message)
		}
	}
	// The rows, counted by hand from the keyed digits with exact fractions.
	want := strings.Fields("r016 r045 r063 r064 r067 r068 r069 r073 r075 r076 r077 r079 r081")
	if len(rows) != len(want) {
		t.Errorf("%d rows contradict themselves, want %d", len(rows), len(want))
	}
	for _, r := range want {
		if !rows[r] {
			t.Errorf("row %s was not found", r)
		}
	}
	t.Logf("%d of %d rows found, and no other; states %v", len(rows), len(keyed(t, "naca-tr-515-table-3.csv"))-1, found.States)
}

// onePixel is a grey PNG of one pixel: a page image that nobody needs to look at.
const onePixel = "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00:~\x9bU\x00\x00\x00\nIDATx\x9cc`\x00\x00\x00\x02\x00\x01H\xaf\xa4q\x00\x00\x00\x00IEND\xaeB`\x82"

// NASA TM-4741 (1996), page 22: 46 rows x 11 columns under a poor text layer.
func TestRealTM4741Page22(t *testing.T) {
	file := material(t, "reports/nasa-tm-4741.pdf")
	study := newStudy(t, "--title", "Ordinates")
	must(t, study, "cite", "--designation", "NASA TM-4741", "--title", "Computer program to obtain ordinates for NACA airfoils", "--year", "1996", "--rights", "public domain", file)
	t.Log(must(t, study, "extract", "--pages", "22", "nasa-tm-4741"))
	s, err := extract.OpenStudy(study)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Tables) != 1 {
		t.Fatalf("%d tables seen on the page, it has one", len(s.Tables))
	}
	name := s.Tables[0].Name
	truth := keyed(t, "nasa-tm-4741-p22.csv")
	complete(t, study, name, func(table *extract.Table) {
		var meant []extract.Column
		for i, h := range truth[0] {
			meant = append(meant, extract.Column{Key: fmt.Sprintf("c%d", i+1), Head: h, Quantity: "unclassified"})
		}
		columns(t, table, meant)
	})
	must(t, study, "extract", name)
	y := count(t, study, name, truth)
	t.Logf("text layer alone: %v", y)
	for _, w := range y.wrong {
		t.Log(w)
	}
	if y.silent > 0 {
		t.Errorf("%d silent wrong numbers", y.silent)
	}
}

// NACA TN 2318 (1951) has figures and prose and no table.
func TestRealTN2318HasNoTable(t *testing.T) {
	file := material(t, "reports/naca-tn-2318.pdf")
	study := newStudy(t, "--title", "Figures")
	must(t, study, "cite", "--designation", "NACA TN 2318", "--title", "Figures only", "--year", "1951", "--rights", "public domain", file)
	if out, want := must(t, study, "extract", "naca-tn-2318"), "naca-tn-2318: no table seen on 24 pages\n"; out != want {
		t.Errorf("extract:\n%s\nwant:\n%s", out, want)
	}
}
