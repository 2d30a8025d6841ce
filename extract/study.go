package extract

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// Study is a folder of plain files in which people work on one collection of
// reports. See DEVELOPERS.md for its layout.
type Study struct {
	Dir       string
	Settings  Settings
	Sources   []*Source
	Tables    []*Table
	Subjects  []*Subject
	Readings  map[string][]*Reading // by table id, in order of reader
	Registers map[string]*Register  // by table id
}

// Faults is every fault that was found while reading files that people wrote.
type Faults []*Error

func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, e := range f {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// studyFolders are the folders of a study, with what stands in each.
var studyFolders = []struct{ name, what string }{
	{"sources", "one .yaml a cited report, and the report's file beside it"},
	{"tables", "one .yaml a printed table: where it stands, what its columns mean"},
	{"readings", "written by the program: one .csv and one .json a reading, one .rows.json a table"},
	{"subjects", "one .yaml a section, wing, rotor, model or aeroplane: which tables make up its record"},
	{"editions", "written by the program: published versions, never changed afterwards"},
}

// lockWait bounds the wait for another windtally that works on the same study.
const lockWait = 10 * time.Second

// Lock takes the study's lock, so that two programs do not write at once. The
// caller releases it.
func (s *Study) Lock() (release func(), err error) { return lockDir(s.Dir) }

func lockDir(dir string) (func(), error) {
	l := flock.New(filepath.Join(dir, ".lock"))
	for deadline := time.Now().Add(lockWait); ; time.Sleep(50 * time.Millisecond) {
		ok, err := l.TryLock()
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be locked: %w", dir, err)
		}
		if ok {
			return func() { _ = l.Unlock() }, nil
		}
		if time.Now().After(deadline) {
			return nil, fmt.Errorf("%s: another windtally is writing in this study; waited %s", dir, lockWait)
		}
	}
}

// RulingsHead is the head row of rulings.csv, which package validate writes.
const RulingsHead = "id,supersedes,target,decision,value,reason,who,when,evidence\n"

// NewStudy makes the folder of an empty study that explains itself. The folder
// must not exist, or be empty.
func NewStudy(dir string, set Settings) error {
	if set.Schema == 0 {
		set.Schema = Schema
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("%s: is not empty; name a new folder", dir)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	text, err := encodeYAML(set)
	if err != nil {
		return err
	}
	var check Settings
	if faults := decodeYAML("study.yaml", text, &check); len(faults) > 0 {
		return Faults(faults)
	}
	parent := filepath.Dir(filepath.Clean(dir))
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return err
	}
	temp, err := os.MkdirTemp(parent, ".new-study-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temp) // a no-op after the rename
	files := map[string]string{
		"study.yaml":     "# What this study is and what it asks of its numbers. See README.md.\n" + string(text),
		"rulings.csv":    RulingsHead,
		".gitattributes": "rulings.csv merge=union\n*.csv text eol=lf\n*.yaml text eol=lf\n*.json text eol=lf\n",
		".gitignore":     ".lock\n",
		"README.md":      studyReadme(set.Title),
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(temp, name), []byte(content), 0o666); err != nil {
			return err
		}
	}
	for _, f := range studyFolders {
		if err := os.Mkdir(filepath.Join(temp, f.name), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(temp, f.name, ".gitkeep"), nil, 0o666); err != nil {
			return err
		}
	}
	if err := os.Chmod(temp, 0o777&^umask()); err != nil {
		return err
	}
	if err := os.Remove(dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(temp, dir)
}

// umask is the usual mask; asking the system for it would change it for a moment.
func umask() fs.FileMode { return 0o022 }

func studyReadme(title string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\nA study made with windtally: numbers of printed reports, each bound to its place on the page.\n\n", title)
	b.WriteString("| here | what it is |\n|---|---|\n| study.yaml | title, people, licence, how many eyes a value needs |\n")
	for _, f := range studyFolders {
		fmt.Fprintf(&b, "| %s/ | %s |\n", f.name, f.what)
	}
	b.WriteString("| rulings.csv | what people decided about findings and cells; append-only, written by `windtally rule` |\n")
	b.WriteString(`
People write study.yaml, sources, tables and subjects. The program writes readings, rulings and editions, and never changes what a person wrote.

The order of work, each step a command (` + "`windtally COMMAND --help`" + `):

1. ` + "`windtally cite report.pdf --designation ... --title ... --year ... --rights ...`" + `
2. ` + "`windtally extract SOURCE`" + ` lists the tables that it sees and drafts tables/*.yaml
3. complete the draft: quantity, unit and basis of each column, then status: ready
4. ` + "`windtally extract TABLE`" + ` writes a reading; ` + "`windtally entry TABLE`" + ` makes a workbook to type the table in
5. write subjects/*.yaml
6. ` + "`windtally findings`" + `, then ` + "`windtally rule`" + ` for each that blocks
7. ` + "`windtally publish --version 0.1.0`" + ` and ` + "`windtally verify editions/0.1.0`" + `

Caution: the numbers serve study and simulation. They are not for flight planning or for the operation of a real aircraft; the approved flight manual of the individual aircraft and local rules govern.
`)
	return b.String()
}

// OpenStudy reads everything in a study's folder. On faults it returns them all
// as Faults, each with file, line and remedy, and no study.
func OpenStudy(dir string) (*Study, error) {
	s := &Study{Dir: dir, Readings: map[string][]*Reading{}, Registers: map[string]*Register{}}
	var faults Faults
	data, err := os.ReadFile(filepath.Join(dir, "study.yaml"))
	if err != nil {
		return nil, &Error{File: filepath.Join(dir, "study.yaml"), Msg: "is not there, so this is not the folder of a study",
			Hint: "go to the study's folder, name it with --study DIR, or make one: windtally new DIR"}
	}
	faults = append(faults, decodeYAML("study.yaml", data, &s.Settings)...)

	faults = append(faults, eachYAML(dir, "sources", func(name, file string, data []byte) []*Error {
		v := &Source{Name: name}
		s.Sources = append(s.Sources, v)
		return decodeYAML(file, data, v)
	})...)
	faults = append(faults, eachYAML(dir, "tables", func(name, file string, data []byte) []*Error {
		v := &Table{Name: name}
		s.Tables = append(s.Tables, v)
		return decodeYAML(file, data, v)
	})...)
	faults = append(faults, eachYAML(dir, "subjects", func(name, file string, data []byte) []*Error {
		v := &Subject{Name: name}
		s.Subjects = append(s.Subjects, v)
		return decodeYAML(file, data, v)
	})...)
	if len(faults) == 0 {
		faults = append(faults, s.crossCheck()...)
	}
	if len(faults) == 0 {
		faults = append(faults, s.readReadings()...)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return s, nil
}

func eachYAML(dir, folder string, each func(name, file string, data []byte) []*Error) Faults {
	var faults Faults
	entries, err := os.ReadDir(filepath.Join(dir, folder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Faults{{File: folder, Msg: err.Error()}}
	}
	for _, e := range entries {
		name, isYAML := strings.CutSuffix(e.Name(), ".yaml")
		if !isYAML {
			continue
		}
		file := folder + "/" + e.Name()
		data, err := os.ReadFile(filepath.Join(dir, folder, e.Name()))
		switch {
		case err != nil:
			faults = append(faults, &Error{File: file, Msg: err.Error()})
		case !slugForm.MatchString(name):
			faults = append(faults, &Error{File: file, Msg: "the file's name should be small letters, figures and hyphens, a letter first"})
		default:
			faults = append(faults, each(name, file, data)...)
		}
	}
	return faults
}

// lineOf finds the line on which a key of a study's file stands.
func (s *Study) lineOf(file, path string) int {
	data, err := os.ReadFile(filepath.Join(s.Dir, filepath.FromSlash(file)))
	if err != nil {
		return 0
	}
	return yamlLineOf(data, path)
}

// crossCheck looks at what one file says of another.
func (s *Study) crossCheck() Faults {
	var faults Faults
	add := func(file, path, format string, args ...any) {
		faults = append(faults, &Error{File: file, Line: s.lineOf(file, path), Msg: fmt.Sprintf(format, args...)})
	}
	ids := map[string]string{}
	for _, t := range s.Tables {
		file := "tables/" + t.Name + ".yaml"
		if other, twice := ids[t.ID]; twice {
			add(file, "id", "the id %s is also that of tables/%s.yaml; a copied table needs an id of its own", t.ID, other)
		}
		ids[t.ID] = t.Name
		src := s.Source(t.Source)
		if src == nil {
			add(file, "source", "the source %q is not cited; known sources: %s", t.Source, s.sourceNames())
			continue
		}
		if t.Pages != "" {
			pages, err := ParsePages(t.Pages)
			if err != nil {
				add(file, "pages", "%v", err)
			} else if src.Pages > 0 && pages[len(pages)-1] > src.Pages {
				add(file, "pages", "page %d is named; %s has %d pages", pages[len(pages)-1], src.File, src.Pages)
			}
		}
		for i, r := range t.Regions {
			if r.Rect().Empty() {
				add(file, fmt.Sprintf("regions[%d].box", i), "the box %v is empty; it should be [x0, y0, x1, y1] with x0 < x1 and y0 < y1", r.Box)
			}
		}
		keys := map[string]bool{}
		for _, c := range t.Columns {
			keys[c.Key] = true
		}
		refs := func(path, ref string) {
			kind, key, ok := CellRef(ref)
			if !ok {
				return
			}
			if kind == "column" && !keys[key] {
				add(file, path, "%q: the table has no column %s; its columns: %s", ref, key, strings.Join(t.ColumnKeys(), ", "))
			}
			if kind == "given" && t.GivenFigure(key) == nil {
				add(file, path, "%q: the table has no given figure %s under givens:", ref, key)
			}
		}
		check := func(path string, b *Basis) {
			if b == nil {
				return
			}
			refs(path+".reynolds", b.Reynolds)
			refs(path+".mach", b.Mach)
			refs(path+".weight", b.Weight)
			refs(path+".altitude", b.Altitude)
			refs(path+".configuration.deflection", b.Configuration.Deflection)
		}
		check("basis", &t.Basis)
		for i := range t.Columns {
			check(fmt.Sprintf("columns[%d].basis", i), t.Columns[i].Basis)
		}
		for i := range t.Rows {
			check(fmt.Sprintf("rows[%d].basis", i), t.Rows[i].Basis)
		}
		for key := range t.Accuracy {
			if !keys[key] {
				add(file, "accuracy", "accuracy names the column %s, which the table has not", key)
			}
		}
		if t.Layout == "list" && (t.Column("label") == nil || t.Column("value") == nil) {
			add(file, "columns", "a list of particulars needs a column with key label and one with key value")
		}
	}
	for _, sub := range s.Subjects {
		file := "subjects/" + sub.Name + ".yaml"
		for i, st := range sub.Tables {
			t := s.Table(st.Table)
			if t == nil {
				add(file, fmt.Sprintf("tables[%d].table", i), "there is no table %q; known tables: %s", st.Table, s.tableNames())
				continue
			}
			if st.Where != nil && t.Column(st.Where.Column) == nil {
				add(file, fmt.Sprintf("tables[%d].where.column", i), "table %s has no column %s; its columns: %s", t.Name, st.Where.Column, strings.Join(t.ColumnKeys(), ", "))
			}
		}
		for i, p := range sub.Prefer {
			if s.Source(p.Source) == nil {
				add(file, fmt.Sprintf("prefer[%d].source", i), "the source %q is not cited; known sources: %s", p.Source, s.sourceNames())
			}
		}
	}
	files := map[string]string{}
	for _, src := range s.Sources {
		file := "sources/" + src.Name + ".yaml"
		if filepath.Base(src.File) != src.File {
			add(file, "file", "file is %q; it should be the name of a file in sources/, without a folder", src.File)
		}
		if other, twice := files[src.SHA256]; twice {
			add(file, "sha256", "the same file is cited already as %s", other)
		}
		files[src.SHA256] = src.Name
	}
	return faults
}

func (s *Study) readReadings() Faults {
	var faults Faults
	folder := filepath.Join(s.Dir, "readings")
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Faults{{File: "readings", Msg: err.Error()}}
	}
	fault := func(err error) {
		var e *Error
		if !errors.As(err, &e) {
			e = &Error{Msg: err.Error()}
		}
		faults = append(faults, e)
	}
	described := map[string]bool{}
	for _, e := range entries {
		name := e.Name()
		file := "readings/" + name
		if !strings.HasSuffix(name, ".json") {
			continue
		}
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			fault(err)
			continue
		}
		if strings.HasSuffix(name, ".rows.json") {
			g, err := UnmarshalRegister(file, data)
			if err != nil {
				fault(err)
				continue
			}
			s.Registers[g.TableID] = g
			continue
		}
		base := strings.TrimSuffix(name, ".json")
		described[base+".csv"] = true
		cells, err := os.ReadFile(filepath.Join(folder, base+".csv"))
		if err != nil {
			fault(&Error{File: "readings/" + base + ".csv", Msg: "is not there; " + file + " describes it", Hint: "restore the file, or read the table again"})
			continue
		}
		r, err := UnmarshalReading(file, data, "readings/"+base+".csv", cells)
		if err != nil {
			fault(err)
			continue
		}
		t := s.tableByID(r.Meta.TableID)
		if t == nil {
			fault(&Error{File: file, Msg: fmt.Sprintf("is a reading of the table with id %s, which no file in tables/ bears", r.Meta.TableID),
				Hint: "restore the table's file, or move the reading out of the study"})
			continue
		}
		for _, c := range r.Cells {
			if c.Row == Given && t.GivenFigure(c.Column) == nil || c.Row != Given && t.Column(c.Column) == nil {
				fault(&Error{File: "readings/" + base + ".csv", Table: t.Name, Row: c.Row, Column: c.Column,
					Msg: "tables/" + t.Name + ".yaml has no such column", Hint: "put the column back, or read the table again"})
				break
			}
		}
		s.Readings[r.Meta.TableID] = append(s.Readings[r.Meta.TableID], r)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".csv") && !described[e.Name()] {
			fault(&Error{File: "readings/" + e.Name(), Msg: "has no description beside it (" + strings.TrimSuffix(e.Name(), ".csv") + ".json)",
				Hint: "restore it, or take the file in as a keyed reading: windtally entry TABLE --take FILE --by INITIALS"})
		}
	}
	return faults
}

// Source returns the cited source, or nil.
func (s *Study) Source(name string) *Source {
	for _, v := range s.Sources {
		if v.Name == name {
			return v
		}
	}
	return nil
}

// Table returns the table by its file's name or its id, or nil.
func (s *Study) Table(name string) *Table {
	for _, v := range s.Tables {
		if v.Name == name || v.ID == name {
			return v
		}
	}
	return nil
}

func (s *Study) tableByID(id string) *Table {
	for _, v := range s.Tables {
		if v.ID == id {
			return v
		}
	}
	return nil
}

func (s *Study) sourceNames() string {
	var names []string
	for _, v := range s.Sources {
		names = append(names, v.Name)
	}
	if len(names) == 0 {
		return "none yet (windtally cite)"
	}
	return strings.Join(names, ", ")
}

func (s *Study) tableNames() string {
	var names []string
	for _, v := range s.Tables {
		names = append(names, v.Name)
	}
	if len(names) == 0 {
		return "none yet (windtally extract SOURCE)"
	}
	return strings.Join(names, ", ")
}

// NoTable is the error for a name that is neither table nor source.
func (s *Study) NoTable(name string) error {
	return fmt.Errorf("there is no table %q; known tables: %s", name, s.tableNames())
}

// Person reports whether the initials are those of somebody in study.yaml.
func (s *Study) Person(initials string) error {
	var known []string
	for _, p := range s.Settings.People {
		if p.Initials == initials {
			return nil
		}
		known = append(known, p.Initials)
	}
	return fmt.Errorf("initials %q are not in study.yaml under people: (known: %s)", initials, strings.Join(known, ", "))
}

// SourceFile is the path of a source's file.
func (s *Study) SourceFile(src *Source) string { return filepath.Join(s.Dir, "sources", src.File) }

// CheckSource proves that a source's file is still the file that was cited.
func (s *Study) CheckSource(src *Source) *Error {
	got, err := FileSHA256(s.SourceFile(src))
	file := "sources/" + src.File
	if err != nil {
		return &Error{File: file, Msg: "cannot be read: it is cited by sources/" + src.Name + ".yaml", Hint: "put the cited file back"}
	}
	if got != src.SHA256 {
		return &Error{File: file, Msg: fmt.Sprintf("changed since it was cited: SHA-256 %s, cited %s", got, src.SHA256),
			Hint: "put the cited file back, or cite the other file as a source of its own"}
	}
	return nil
}

// FileSHA256 hashes a file.
func FileSHA256(name string) (string, error) {
	f, err := os.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// NewID returns prefix and eight random hexadecimal figures.
func NewID(prefix string) (string, error) {
	var b [4]byte
	if _, err := rand.Read(b[:]); err != nil {
		return "", err
	}
	return prefix + hex.EncodeToString(b[:]), nil
}

// WriteFile puts data in place of a file of the study in one step: a sibling
// temporary, sync, rename. was is what the writer read there before (nil: there
// was no file); when the file is no longer that, nothing is written.
func WriteFile(name string, was, data []byte) error {
	now, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err == nil && was == nil {
		return fmt.Errorf("%s: is there already; nothing was written over it", name)
	}
	if !bytes.Equal(now, was) {
		return fmt.Errorf("%s: changed while the program worked; nothing was written, run the command again", name)
	}
	temp, err := os.CreateTemp(filepath.Dir(name), ".writing-")
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name()) // a no-op after the rename
	_, err = temp.Write(data)
	if err == nil {
		err = temp.Chmod(0o666 &^ umask())
	}
	if err == nil {
		err = temp.Sync()
	}
	if closeErr := temp.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return err
	}
	return os.Rename(temp.Name(), name)
}

// AddSource cites a file: copies it into the study and writes its citation.
func (s *Study) AddSource(src *Source, file string) error {
	sum, err := FileSHA256(file)
	if err != nil {
		return err
	}
	src.Schema, src.SHA256 = Schema, sum
	for _, other := range s.Sources {
		if other.SHA256 == sum {
			return &Error{File: file, Msg: fmt.Sprintf("is cited already as %s (sources/%s.yaml)", other.Designation, other.Name)}
		}
		if other.Name == src.Name {
			return &Error{File: "sources/" + src.Name + ".yaml", Msg: "is there already, for another file; name this source otherwise with --name"}
		}
	}
	if !slugForm.MatchString(src.Name) {
		return fmt.Errorf("source name %q: write small letters, figures and hyphens, a letter first", src.Name)
	}
	src.File = src.Name + strings.ToLower(filepath.Ext(file))
	text, err := encodeYAML(src)
	if err != nil {
		return err
	}
	if faults := decodeYAML("sources/"+src.Name+".yaml", text, &Source{}); len(faults) > 0 {
		for _, f := range faults {
			f.Line = 0
		}
		return Faults(faults)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	if err := WriteFile(s.SourceFile(src), nil, data); err != nil {
		return err
	}
	if err := WriteFile(filepath.Join(s.Dir, "sources", src.Name+".yaml"), nil, text); err != nil {
		return err
	}
	s.Sources = append(s.Sources, src)
	return nil
}

// AddTable writes the draft of a table that a person will complete.
func (s *Study) AddTable(t *Table) error {
	text, err := encodeYAML(t)
	if err != nil {
		return err
	}
	file := "tables/" + t.Name + ".yaml"
	if faults := decodeYAML(file, text, &Table{}); len(faults) > 0 {
		return Faults(faults)
	}
	if err := WriteFile(filepath.Join(s.Dir, filepath.FromSlash(file)), nil, append([]byte(draftHead), text...)); err != nil {
		return err
	}
	s.Tables = append(s.Tables, t)
	return nil
}

const draftHead = `# A draft: complete quantity, unit and basis, then set status: ready.
# Quantities and units: windtally quantities. Each figure outside the grid that governs
# it (Reynolds number, weight, deflection in caption or footnote) goes under givens:.
`

// AddReading gives the rows their keys, writes the reading and the register, and
// returns the reading. It replaces an earlier reading by the same reader.
func (s *Study) AddReading(t *Table, meta ReadingMeta, rows []RawRow, givens []Cell) (*Reading, error) {
	meta.TableID = t.ID
	register := s.Registers[t.ID]
	stem := filepath.Join(s.Dir, "readings", t.Name)
	registerFile := stem + ".rows.json"
	var wasRegister []byte
	if register == nil {
		register = &Register{Schema: Schema, TableID: t.ID}
	} else {
		var err error
		if registerFile, wasRegister, err = s.findRegister(t); err != nil {
			return nil, err
		}
	}
	keys := register.Match(rows, Texts(s.Readings[t.ID]))
	r := &Reading{Meta: meta}
	for i, row := range rows {
		for _, column := range t.ColumnKeys() {
			c, ok := row.Cells[column]
			if !ok {
				continue
			}
			c.Row, c.Column = keys[i], column
			c.Place.Box = c.Place.Box.Rounded()
			r.Cells = append(r.Cells, c)
		}
	}
	for _, c := range givens {
		c.Row = Given
		c.Place.Box = c.Place.Box.Rounded()
		r.Cells = append(r.Cells, c)
	}
	metaText, cellsText, err := r.Marshal()
	if err != nil {
		return nil, err
	}
	registerText, err := register.Marshal()
	if err != nil {
		return nil, err
	}
	old := slices.IndexFunc(s.Readings[t.ID], func(o *Reading) bool { return o.Meta.Reader == meta.Reader })
	base := stem + "." + meta.Reader
	var wasMeta, wasCells []byte
	if old >= 0 {
		if base, err = s.findReading(s.Readings[t.ID][old]); err != nil {
			return nil, err
		}
		if wasMeta, err = os.ReadFile(base + ".json"); err != nil {
			return nil, err
		}
		if wasCells, err = os.ReadFile(base + ".csv"); err != nil {
			return nil, err
		}
	}
	for _, w := range []struct {
		name      string
		was, data []byte
	}{{registerFile, wasRegister, registerText}, {base + ".csv", wasCells, cellsText}, {base + ".json", wasMeta, metaText}} {
		if err := WriteFile(w.name, w.was, w.data); err != nil {
			return nil, err
		}
	}
	s.Registers[t.ID] = register
	if old >= 0 {
		s.Readings[t.ID][old] = r
	} else {
		s.Readings[t.ID] = append(s.Readings[t.ID], r)
	}
	return r, nil
}

func (s *Study) findRegister(t *Table) (file string, data []byte, err error) {
	matches, err := filepath.Glob(filepath.Join(s.Dir, "readings", "*.rows.json"))
	if err != nil {
		return "", nil, err
	}
	for _, m := range matches {
		if data, err = os.ReadFile(m); err != nil {
			return "", nil, err
		}
		if g, err := UnmarshalRegister(m, data); err == nil && g.TableID == t.ID {
			return m, data, nil
		}
	}
	return "", nil, fmt.Errorf("readings: the register of table %s was there a moment ago and is gone; run the command again", t.Name)
}

func (s *Study) findReading(r *Reading) (base string, err error) {
	matches, err := filepath.Glob(filepath.Join(s.Dir, "readings", "*."+r.Meta.Reader+".json"))
	if err != nil {
		return "", err
	}
	for _, m := range matches {
		base := strings.TrimSuffix(m, ".json")
		meta, err := os.ReadFile(m)
		if err != nil {
			return "", err
		}
		cells, err := os.ReadFile(base + ".csv")
		if err != nil {
			return "", err
		}
		if o, err := UnmarshalReading(m, meta, base+".csv", cells); err == nil && o.Meta.TableID == r.Meta.TableID {
			return base, nil
		}
	}
	return "", fmt.Errorf("readings: the reading %s was there a moment ago and is gone; run the command again", r.Meta.Reader)
}
