package demo

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"windtally/extract"

	"go.yaml.in/yaml/v3"
)

// Exec runs one windtally command, as a person would type it.
type Exec func(args ...string) (code int, stdout, stderr string)

// Count is how the cells of the invented documents came through the reading.
type Count struct {
	Cells, Right, Flagged, Unwitnessed, Silent int
}

// Outcome is what the demonstration came to.
type Outcome struct {
	Tables    int
	Count     Count // by the text layer alone
	Found     int   // planted faults that a finding names
	Planted   int
	Scan      []string // findings on what was not read from the scan
	Others    []string // findings that name no planted fault and no slip of the typist
	Published string   // the edition's folder
}

// The second person's tables and slip. The particulars have words, which nothing reads
// from the scan.
const (
	keyedTable  = "tarnholm-15-table-2"
	keyedSlip   = "a figure typed one too high"
	wordedTable = "tarnholm-15-table-1"
)

// Steps is how often Run reports that it got on.
const Steps = 11

// Run makes the documents and carries them through the whole line, in the study
// folder dir, which must not exist. The documents are left in dir + "-reports".
func Run(dir string, exec Exec, render Render, out io.Writer, step func()) (*Outcome, error) {
	r := &runner{dir: dir, exec: exec, render: render, out: out, reports: dir + "-reports"}
	steps := [Steps]func() error{r.typeset, r.study, r.read, r.complete, r.readOnce, r.name, r.readAgain, r.find, r.rule, r.publish, r.summary}
	for _, do := range steps {
		if err := do(); err != nil {
			return nil, err
		}
		step()
	}
	return &r.o, nil
}

type runner struct {
	dir, reports string
	exec         Exec
	render       Render
	out          io.Writer
	docs         []Document
	tables       []Truth
	o            Outcome
	findings     []finding
}

type finding struct {
	ID, Check, Severity, Where, Message string
	Cells                               []string
	Mend                                bool
}

func (r *runner) say(format string, args ...any) { fmt.Fprintf(r.out, format+"\n", args...) }

// do runs a command in the study; ok lists the exit codes that are right.
func (r *runner) do(ok []int, args ...string) (string, error) {
	code, out, errs := r.exec(append([]string{"--study", r.dir}, args...)...)
	if !slices.Contains(ok, code) {
		return "", fmt.Errorf("windtally %s ended with exit code %d\n%s%s", strings.Join(args, " "), code, out, errs)
	}
	return out, nil
}

var (
	done   = []int{0}
	judged = []int{0, 1}
)

func (r *runner) typeset() (err error) {
	if r.docs, r.tables, err = compose(); err != nil {
		return err
	}
	if err := os.Mkdir(r.reports, 0o777); err != nil {
		return err
	}
	for i := range r.docs {
		d := &r.docs[i]
		if d.Scanned {
			typeset := filepath.Join(r.reports, strings.TrimSuffix(d.File, ".pdf")+"-typeset.pdf")
			if err := os.WriteFile(typeset, d.PDF, 0o666); err != nil {
				return err
			}
			if err := d.scan(typeset, r.render); err != nil {
				return err
			}
			if err := r.typesetTable(keyedTable); err != nil {
				return err
			}
		}
		if err := os.WriteFile(filepath.Join(r.reports, d.File), d.PDF, 0o666); err != nil {
			return err
		}
	}
	r.say("1. typeset %d invented documents of the Tarnholm Aerodynamic Laboratory, and printed and scanned the second: %s", len(r.docs), r.reports)
	return nil
}

// typesetTable writes a table's file as it is completed for the typeset pages, on which
// the table stands a little otherwise than on the scan.
func (r *runner) typesetTable(name string) error {
	i := slices.IndexFunc(r.tables, func(t Truth) bool { return t.Name == name })
	if i < 0 {
		return fmt.Errorf("the demonstration has no table %s", name)
	}
	file := r.tables[i].File()
	var err error
	if file.ID, err = extract.NewID("t"); err != nil {
		return err
	}
	data, err := yaml.Marshal(file)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.reports, name+".yaml"), data, 0o666)
}

func (r *runner) study() error {
	if code, out, errs := r.exec("new", "--title", "Tarnholm demonstration", "--by", "it", "--name", "I. Toskamp", r.dir); code != 0 {
		return fmt.Errorf("windtally new ended with exit code %d\n%s%s", code, out, errs)
	}
	// A second person joins by adding a line to study.yaml.
	file := filepath.Join(r.dir, "study.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	more := strings.Replace(string(text), "people:\n", "people:\n  - initials: rm\n    name: R. Maarsund\n", 1)
	if err := os.WriteFile(file, []byte(more), 0o666); err != nil {
		return err
	}
	for _, d := range r.docs {
		args := []string{"cite", "--designation", d.Designation, "--title", d.Title, "--year", fmt.Sprint(d.Year), "--rights", d.Rights,
			"--publisher", d.Publisher, "--name", d.Source, "--first-page", fmt.Sprint(d.FirstPage)}
		for _, a := range d.Authors {
			args = append(args, "--author", a)
		}
		if _, err := r.do(done, append(args, filepath.Join(r.reports, d.File))...); err != nil {
			return err
		}
	}
	r.say("2. made the study %s and cited them, each with its SHA-256, pages and rights", r.dir)
	return nil
}

func (r *runner) read() error {
	seen := 0
	for _, d := range r.docs {
		out, err := r.do(done, "extract", "--json", "--no-ocr", d.Source)
		if err != nil {
			return err
		}
		var list []struct{ Table string }
		if err := json.Unmarshal([]byte(out), &list); err != nil {
			return err
		}
		seen += len(list)
	}
	r.say("3. extract saw %d tables on their pages and drafted tables/*.yaml", seen)
	return nil
}

// complete is the curator's act: the drafts get quantities, units and bases.
func (r *runner) complete() error {
	drafts, err := filepath.Glob(filepath.Join(r.dir, "tables", "*.yaml"))
	if err != nil {
		return err
	}
	for i := range r.tables {
		truth := &r.tables[i]
		file := truth.File()
		for _, name := range drafts {
			data, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			var draft extract.Table
			if err := yaml.Unmarshal(data, &draft); err != nil {
				return err
			}
			if draft.Source != file.Source || !samePlace(draft.Regions[0], file.Regions[0]) {
				continue
			}
			file.ID, file.Regions, file.Orientation = draft.ID, draft.Regions, draft.Orientation
			if len(draft.Columns) == len(file.Columns) {
				file.Columns = slices.Clone(file.Columns)
				for k := range draft.Columns {
					file.Columns[k].X = draft.Columns[k].X
				}
			}
			if err := os.Remove(name); err != nil {
				return err
			}
			drafts = slices.DeleteFunc(drafts, func(d string) bool { return d == name })
			break
		}
		if file.ID == "" {
			// The program did not see this one: the curator draws it by hand.
			if file.ID, err = extract.NewID("t"); err != nil {
				return err
			}
			r.say("   (table %s was not seen; its region and columns are drawn by hand)", truth.Name)
		}
		if err := r.yaml("tables", truth.Name, file); err != nil {
			return err
		}
	}
	for _, sub := range Subjects() {
		if err := r.yaml("subjects", sub.Name, sub); err != nil {
			return err
		}
	}
	r.o.Tables = len(r.tables)
	r.say("4. a curator completed %d drafts (quantity, unit, basis of every column) and wrote %d subjects", len(r.tables), len(Subjects()))
	return nil
}

func samePlace(a, b extract.Region) bool {
	x, y := a.Rect(), b.Rect()
	return a.Page == b.Page && (y.Contains(x.MidX(), x.MidY()) || x.Contains(y.MidX(), y.MidY()))
}

func (r *runner) yaml(folder, name string, v any) error {
	data, err := yaml.Marshal(v)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.dir, folder, name+".yaml"), data, 0o666)
}

func (r *runner) scanned(source string) bool {
	return slices.ContainsFunc(r.docs, func(d Document) bool { return d.Source == source && d.Scanned })
}

// readOnce reads the tables of the scan, which puts the shapes of its figures forward.
func (r *runner) readOnce() error {
	page := 0
	for _, t := range r.tables {
		// All tables of a page put their shapes forward together.
		if !r.scanned(t.Source) || t.Pages[0] == page {
			continue
		}
		page = t.Pages[0]
		if _, err := r.do(done, "extract", "--no-ocr", t.Name); err != nil {
			return err
		}
	}
	return nil
}

// name is a person's act.
func (r *runner) name() error {
	for _, d := range r.docs {
		if !d.Scanned {
			continue
		}
		n, err := r.fillNames(d.Source)
		if err != nil {
			return err
		}
		r.say("   a person looked at %d pictures of the shapes of figures in the scan and wrote which figure each shows", n)
	}
	return nil
}

func (r *runner) readAgain() error {
	cells := 0
	for _, t := range r.tables {
		out, err := r.do(done, "extract", "--json", "--no-ocr", t.Name)
		if err != nil {
			return err
		}
		var note struct{ Cells int }
		if err := json.Unmarshal([]byte(out), &note); err != nil {
			return err
		}
		cells += note.Cells
	}
	if err := r.load(); err != nil {
		return err
	}
	for i := range r.tables {
		if err := r.count(&r.tables[i]); err != nil {
			return err
		}
	}
	c := r.o.Count
	r.say("5. text layers and shapes gave %d cells; of the %d printed, %d were read right, %d wrongly with a finding, %d wrongly and marked unwitnessed, %d wrongly in silence",
		cells, c.Cells, c.Right, c.Flagged, c.Unwitnessed, c.Silent)

	// A second person keys two tables from the page, one with a slip of the finger.
	for _, name := range []string{wordedTable, keyedTable} {
		if err := r.key(name); err != nil {
			return err
		}
	}
	r.say("6. a second person keyed %s from the page, for its words, and %s (with %s)", wordedTable, keyedTable, keyedSlip)
	return nil
}

// key types a table from the page.
func (r *runner) key(name string) error {
	k := slices.IndexFunc(r.tables, func(t Truth) bool { return t.Name == name })
	if k < 0 {
		return fmt.Errorf("the demonstration has no table %s", name)
	}
	t := &r.tables[k]
	var b strings.Builder
	w := csv.NewWriter(&b)
	var head []string
	for _, c := range t.Columns {
		head = append(head, c.Key)
	}
	rows := [][]string{head}
	for i, row := range t.Rows {
		cells := slices.Clone(row.Cells)
		if i == 1 && name == keyedTable {
			cells[len(cells)-1] = slip(cells[len(cells)-1])
		}
		rows = append(rows, cells)
	}
	if err := w.WriteAll(rows); err != nil {
		return err
	}
	keyed := filepath.Join(r.reports, name+"-keyed.csv")
	if err := os.WriteFile(keyed, []byte(b.String()), 0o666); err != nil {
		return err
	}
	_, err := r.do(done, "entry", "--take", keyed, "--by", "rm", name)
	return err
}

// slip raises the last figure by one.
func slip(text string) string {
	b := []byte(text)
	for i := len(b) - 1; i >= 0; i-- {
		if b[i] >= '0' && b[i] <= '9' {
			b[i] = '0' + (b[i]-'0'+1)%10
			break
		}
	}
	return string(b)
}

// count compares a table as read with the table as printed.
func (r *runner) count(t *Truth) error {
	out, err := r.do(done, "show", "--json", t.Name)
	if err != nil {
		return err
	}
	var cells []struct{ Row, Column, Print, State string }
	if err := json.Unmarshal([]byte(out), &cells); err != nil {
		return err
	}
	var order []string
	got, unwitnessed := map[[2]string]string{}, map[[2]string]bool{}
	for _, c := range cells {
		if c.Row == extract.Given {
			continue
		}
		if !slices.Contains(order, c.Row) {
			order = append(order, c.Row)
		}
		got[[2]string{c.Row, c.Column}] = c.Print
		unwitnessed[[2]string{c.Row, c.Column}] = c.State == string(extract.Unwitnessed)
	}
	id := r.tableID(t.Name)
	c := &r.o.Count
	for i, row := range t.Rows {
		for k, want := range row.Cells {
			c.Cells++
			if i >= len(order) {
				c.Silent++
				continue
			}
			cell := [2]string{order[i], t.Columns[k].Key}
			switch {
			case extract.SameText(got[cell], want):
				c.Right++
			case slices.ContainsFunc(r.findings, func(f finding) bool {
				return slices.Contains(f.Cells, extract.CellID{Table: id, Row: cell[0], Column: cell[1]}.String())
			}):
				c.Flagged++
			case unwitnessed[cell]:
				c.Unwitnessed++
			default:
				c.Silent++
			}
		}
	}
	return nil
}

func (r *runner) tableID(name string) string {
	data, err := os.ReadFile(filepath.Join(r.dir, "tables", name+".yaml"))
	if err != nil {
		return ""
	}
	var t extract.Table
	if err := yaml.Unmarshal(data, &t); err != nil {
		return ""
	}
	return t.ID
}

// load takes the open findings.
func (r *runner) load() error {
	out, err := r.do(judged, "findings", "--json")
	if err != nil {
		return err
	}
	var all struct{ Findings []finding }
	if err := json.Unmarshal([]byte(out), &all); err != nil {
		return err
	}
	r.findings = all.Findings
	return nil
}

// cellOf names the cell of a planted fault as the study does, by the label or
// first figure of its row.
func (r *runner) cellOf(p Planted) (name, id string, err error) {
	out, err := r.do(done, "show", "--json", p.Table)
	if err != nil {
		return "", "", err
	}
	var cells []struct{ Row, Column, Print string }
	if err := json.Unmarshal([]byte(out), &cells); err != nil {
		return "", "", err
	}
	var first string
	for _, t := range r.tables {
		if t.Name == p.Table {
			first = t.Columns[0].Key
		}
	}
	for _, c := range cells {
		if c.Column == first && extract.SameText(c.Print, p.Row) {
			return p.Table + ":" + c.Row + ":" + p.Key, extract.CellID{Table: r.tableID(p.Table), Row: c.Row, Column: p.Key}.String(), nil
		}
	}
	return "", "", fmt.Errorf("%s has no row %q", p.Table, p.Row)
}

func (r *runner) find() error {
	if err := r.load(); err != nil {
		return err
	}
	r.say("7. the checks found:")
	named := map[string]bool{}
	for _, p := range Faults() {
		_, id, err := r.cellOf(p)
		if err != nil {
			return err
		}
		r.o.Planted++
		var by []string
		for _, f := range r.findings {
			if slices.Contains(f.Cells, id) {
				named[f.ID] = true
				if !slices.Contains(by, f.Check) {
					by = append(by, f.Check)
				}
			}
		}
		if len(by) == 0 {
			r.say("   - %s, row %s: %s printed %s: NOT FOUND", p.Table, p.Row, p.Kind, p.Printed)
			continue
		}
		r.o.Found++
		r.say("   - %s, row %s: %s printed for %s (%s), by %s", p.Table, p.Row, p.Printed, p.Right, p.Kind, strings.Join(by, " and "))
	}
	for _, f := range r.findings {
		switch {
		case named[f.ID] || f.Severity == "note":
		case r.unread(f):
			r.o.Scan = append(r.o.Scan, f.Where+": "+f.Message)
			r.say("   - %s: %s (the scan)", f.Where, f.Message)
		case f.Check == "collation" && strings.HasPrefix(f.Where, keyedTable+":"):
			r.say("   - %s: %s (the slip of the second person)", f.Where, f.Message)
		default:
			r.o.Others = append(r.o.Others, f.Check+" "+f.Where+": "+f.Message)
		}
	}
	for _, o := range r.o.Others {
		r.say("   - %s", o)
	}
	return nil
}

// unread reports whether a finding says what could not be read from the scan.
func (r *runner) unread(f finding) bool {
	name, _, _ := strings.Cut(f.Where, ":")
	i := slices.IndexFunc(r.tables, func(t Truth) bool { return t.Name == name })
	return i >= 0 && r.scanned(r.tables[i].Source) && slices.Contains([]string{"geometry", "given-lost", "words-unread", "reader-doubt", "reference"}, f.Check)
}

// rule is a person's act: each misprint is decided on after a look at the page.
func (r *runner) rule() error {
	count := map[string]int{}
	for _, p := range Faults() {
		name, id, err := r.cellOf(p)
		if err != nil {
			return err
		}
		count[p.Ruling]++
		switch p.Ruling {
		case "emend":
			_, err = r.do(done, "rule", "--emend", p.Right, "--by", "it", "--reason", "misprint: "+p.Kind, name)
		case "withhold":
			_, err = r.do(done, "rule", "--withhold", "--by", "it", "--reason", "misprint: "+p.Kind+"; what was measured cannot be told", name)
		default:
			for _, f := range r.findings {
				if err == nil && slices.Contains(f.Cells, id) && !f.Mend {
					_, err = r.do(done, "rule", "--confirm", "--by", "it", "--reason", "the print says so; its quotient was formed from more digits", f.ID)
				}
			}
		}
		if err != nil {
			return err
		}
	}
	// The figures in the captions of the scan, which no reading has, are given by a person.
	for _, t := range r.tables {
		if !r.scanned(t.Source) {
			continue
		}
		for _, g := range t.Givens {
			if _, err := r.do(done, "rule", "--reread", g.Text, "--by", "it", "--reason", "stands under the caption", t.Name+":given:"+g.Key); err != nil {
				return err
			}
			count["reread"]++
		}
	}
	// The print settles in what two readings differ, and what a reader doubts.
	if err := r.load(); err != nil {
		return err
	}
	for _, f := range r.findings {
		if reason := map[string]string{
			"geometry":     "counted on the page: no row and no column is lost",
			"given-lost":   "ruled on, as it stands under the caption",
			"words-unread": "caption, heads and notes looked at on the page: the basis says what they say",
		}[f.Check]; reason != "" {
			if _, err := r.do(done, "rule", "--confirm", "--by", "it", "--reason", reason, f.ID); err != nil {
				return err
			}
			count["confirm"]++
			continue
		}
		if f.Check != "collation" && f.Check != "reader-doubt" || len(f.Cells) != 1 {
			continue
		}
		text, err := r.printed(f.Where)
		if err != nil {
			return err
		}
		if _, err := r.do(done, "rule", "--reread", text, "--by", "it", f.ID); err != nil {
			return err
		}
		count["reread"]++
	}
	r.say("8. after a look at the page each was ruled on: %d emended, %d withheld, %d reread, %d confirmed as printed", count["emend"], count["withhold"], count["reread"], count["confirm"])
	return nil
}

// printed is what the page says in a cell named table:row:column.
func (r *runner) printed(where string) (string, error) {
	parts := strings.Split(where, ":")
	out, err := r.do(done, "show", "--json", parts[0])
	if err != nil {
		return "", err
	}
	var cells []struct{ Row, Column string }
	if err := json.Unmarshal([]byte(out), &cells); err != nil {
		return "", err
	}
	var order []string
	for _, c := range cells {
		if c.Row != extract.Given && !slices.Contains(order, c.Row) {
			order = append(order, c.Row)
		}
	}
	for _, t := range r.tables {
		if t.Name != parts[0] {
			continue
		}
		for k, c := range t.Columns {
			if i := slices.Index(order, parts[1]); c.Key == parts[2] && i >= 0 && i < len(t.Rows) {
				return t.Rows[i].Cells[k], nil
			}
		}
	}
	return "", fmt.Errorf("%s is no cell of the invented documents", where)
}

func (r *runner) publish() error {
	out, err := r.do(done, "publish", "--json")
	if err != nil {
		return err
	}
	var p struct {
		Version, Dir string
		Values       int
		Derived      int
		Subjects     int
		Checked      map[string]int
	}
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		return err
	}
	r.o.Published = filepath.FromSlash(p.Dir)
	var checked []string
	for _, s := range []string{"unwitnessed", "keyed", "agreed", "confirmed", "reread", "emended"} {
		if n := p.Checked[s]; n > 0 {
			checked = append(checked, fmt.Sprintf("%d %s", n, s))
		}
	}
	r.say("9. published edition %s: %d values of %d subjects (%s), and %d derived from them: stalling speeds calibrated by a table, angles of attack from zero lift",
		p.Version, p.Values, p.Subjects, strings.Join(checked, ", "), p.Derived)
	if _, err := r.do(done, "verify", p.Dir); err != nil {
		return err
	}
	r.say("10. verified it: every byte, key and reference as published")
	return nil
}

func (r *runner) summary() error {
	r.say("Found %d of %d planted misprints. Where to look: the pages in %s, the study in %s,", r.o.Found, r.o.Planted, r.reports, r.dir)
	r.say("the data in %s; then: windtally --study %s findings --all", filepath.Join(r.o.Published, "data"), r.dir)
	r.say("Caution: the numbers are invented. Data of this kind serve study and simulation, not flight planning or the operation of a real aircraft.")
	return nil
}
