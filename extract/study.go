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
	"maps"
	"math"
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
	Names     []*Names
	Readings  map[string][]*Reading // by table id, in order of reader
	Registers map[string]*Register  // by table id

	// What stood in readings/ when it was read, and which file is whose: a table's
	// file may have been renamed since.
	files         map[string][]byte
	registerFiles map[string]string   // by table id
	readingFiles  map[*Reading]string // without .csv or .json
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
	{"names", "one .yaml a scanned source that is read without tesseract: which figure each picture shows"},
	{"readings", "written by the program: one .csv and one .json a reading, one .rows.json a table"},
	{"subjects", "one .yaml a section, wing, rotor, model or aeroplane: which tables make up its record"},
	{"editions", "written by the program: published versions, never changed afterwards"},
}

// lockWait bounds the wait for another windtally that works on the same study.
const lockWait = 10 * time.Second

// Lock takes the study's lock, so that two programs do not write at once. The
// caller releases it.
func (s *Study) Lock() (release func(), err error) { return lockDir(s.Dir, lockWait) }

func lockDir(dir string, wait time.Duration) (func(), error) {
	// Others of the group that works in the study must be able to open it too.
	l := flock.New(filepath.Join(dir, ".lock"), flock.SetPermissions(0o666))
	for deadline := time.Now().Add(wait); ; time.Sleep(50 * time.Millisecond) {
		ok, err := l.TryLock()
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be locked: %w", dir, err)
		}
		if ok {
			return func() { _ = l.Unlock() }, nil
		}
		if time.Now().After(deadline) {
			return nil, fmt.Errorf("%s: another windtally is writing in this study; waited %s", dir, wait)
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
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return fmt.Errorf("%s: is a file; name a new folder", dir)
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
	files := map[string]string{
		"study.yaml":     "# What this study is and what it asks of its numbers. See README.md.\n" + string(text),
		"rulings.csv":    RulingsHead,
		".gitattributes": gitAttributes,
		".gitignore":     ".lock\n",
		"README.md":      studyReadme(set.Title),
	}
	for _, f := range studyFolders {
		files[f.name+"/.gitkeep"] = ""
	}
	// An empty folder is filled where it stands: it may be where the person is, or
	// a link. A new one appears whole.
	temp, err := tempDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		parent := filepath.Dir(filepath.Clean(dir))
		if err := os.MkdirAll(parent, 0o777); err != nil {
			return err
		}
		if temp, err = tempDir(parent); err != nil {
			return err
		}
		if err = fillStudy(temp, files); err == nil {
			err = os.Rename(temp, dir)
		}
		if err != nil {
			return errors.Join(err, os.RemoveAll(temp))
		}
		return nil
	}
	if err != nil {
		return err
	}
	err = fillStudy(temp, files)
	var made []string
	if err == nil {
		var entries []fs.DirEntry
		entries, err = os.ReadDir(temp)
		for _, e := range entries {
			if err == nil {
				err = os.Rename(filepath.Join(temp, e.Name()), filepath.Join(dir, e.Name()))
				made = append(made, filepath.Join(dir, e.Name()))
			}
		}
	}
	if err != nil {
		for _, name := range made {
			err = errors.Join(err, os.RemoveAll(name))
		}
	}
	return errors.Join(err, os.RemoveAll(temp))
}

// gitAttributes keeps the bytes of cited files and of editions as they are, since
// both are hashed, and lets rulings of two people merge.
const gitAttributes = `*.csv text eol=lf
*.yaml text eol=lf
*.json text eol=lf
rulings.csv merge=union
sources/* -text
names/**/*.png -text
sources/*.yaml text eol=lf
editions/** -text
`

// tempDir makes a new folder in dir, with the mode of any other new folder.
func tempDir(dir string) (string, error) {
	id, err := NewID(".new-study-")
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, id)
	return name, os.Mkdir(name, 0o777)
}

// fillStudy writes the files of a new study.
func fillStudy(dir string, files map[string]string) error {
	for _, f := range studyFolders {
		if err := os.Mkdir(filepath.Join(dir, f.name), 0o777); err != nil {
			return err
		}
	}
	for name, content := range files {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(content), 0o666); err != nil {
			return err
		}
	}
	return nil
}

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
	s := &Study{Dir: dir, Readings: map[string][]*Reading{}, Registers: map[string]*Register{},
		files: map[string][]byte{}, registerFiles: map[string]string{}, readingFiles: map[*Reading]string{}}
	var faults Faults
	data, err := readYAML(filepath.Join(dir, "study.yaml"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, &Error{File: filepath.Join(dir, "study.yaml"), Msg: "cannot be read: " + err.Error()}
	}
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
	faults = append(faults, eachYAML(dir, "names", func(name, file string, data []byte) []*Error {
		v := &Names{Source: name}
		s.Names = append(s.Names, v)
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

// readYAML reads no more of a file than shows that it is too large.
func readYAML(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxYAML+1))
}

func eachYAML(dir, folder string, each func(name, file string, data []byte) []*Error) Faults {
	var faults Faults
	entries, err := os.ReadDir(filepath.Join(dir, folder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Faults{{File: folder, Msg: err.Error()}}
	}
	for _, e := range entries {
		file := folder + "/" + e.Name()
		name, isYAML := strings.CutSuffix(e.Name(), ".yaml")
		if !isYAML {
			if ext := strings.ToLower(filepath.Ext(e.Name())); ext == ".yml" || ext == ".yaml" {
				faults = append(faults, &Error{File: file, Msg: "would not be read: its name should end in .yaml"})
			}
			continue
		}
		data, err := readYAML(filepath.Join(dir, folder, e.Name()))
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
	s.checkNames(add)
	ids := map[string]string{}
	for _, t := range s.Tables {
		file := "tables/" + t.Name + ".yaml"
		if tableIDForm.MatchString(t.Name) {
			add(file, "id", "the file's name looks like a table's id; name it otherwise")
		}
		if other, twice := ids[t.ID]; twice {
			add(file, "id", "the id %s is also that of tables/%s.yaml; a copied table needs an id of its own", t.ID, other)
		}
		ids[t.ID] = t.Name
		src := s.Source(t.Source)
		if src == nil {
			add(file, "source", "the source %q is not cited; known sources: %s", t.Source, s.sourceNames())
			continue
		}
		var pages []int
		if t.Pages != "" {
			var err error
			if pages, err = ParsePages(t.Pages); err != nil {
				add(file, "pages", "%v", err)
			} else if src.Pages > 0 && pages[len(pages)-1] > src.Pages {
				add(file, "pages", "page %d is named; %s has %d pages", pages[len(pages)-1], src.File, src.Pages)
			}
		}
		for i, r := range t.Regions {
			at := fmt.Sprintf("regions[%d]", i)
			if !finite(append([]float64{r.DX}, r.Box...)...) {
				add(file, at+".box", "the box %v with dx %v should have finite numbers", r.Box, r.DX)
			} else if r.Rect().Empty() {
				add(file, at+".box", "the box %v is empty; it should be [x0, y0, x1, y1] with x0 < x1 and y0 < y1", r.Box)
			}
			if src.Pages > 0 && r.Page > src.Pages {
				add(file, at+".page", "page %d is named; %s has %d pages", r.Page, src.File, src.Pages)
			} else if len(pages) > 0 && !slices.Contains(pages, r.Page) {
				add(file, at+".page", "the region is on page %d; pages: says %s, and should name it too", r.Page, t.Pages)
			}
		}
		for i, c := range t.Columns {
			if len(c.X) == 2 && (!finite(c.X...) || c.X[0] >= c.X[1]) {
				add(file, fmt.Sprintf("columns[%d].x", i), "x of column %s is %v; it should be [x0, x1] with x0 < x1", c.Key, c.X)
			}
		}
		labels := map[string]bool{}
		for i, r := range t.Rows {
			if label := Label(r.Label); labels[label] {
				add(file, fmt.Sprintf("rows[%d].label", i), "the label %q stands twice under rows:; each should stand once", label)
			} else {
				labels[label] = true
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
			refs(path+".thrust", b.Thrust)
			refs(path+".weight", b.Weight)
			refs(path+".altitude", b.Altitude)
			refs(path+".temperature", b.Temperature)
			refs(path+".configuration.deflection", b.Configuration.Deflection)
		}
		check("basis", &t.Basis)
		for i := range t.Columns {
			check(fmt.Sprintf("columns[%d].basis", i), t.Columns[i].Basis)
		}
		for i := range t.Rows {
			check(fmt.Sprintf("rows[%d].basis", i), t.Rows[i].Basis)
		}
		places := map[string]string{}
		for i, c := range t.Columns {
			if c.At == "" {
				continue
			}
			if other, twice := places[c.At]; twice {
				add(file, fmt.Sprintf("columns[%d].at", i), "at: %q is where column %s stands already; two columns cannot stand in one", c.At, other)
			}
			places[c.At] = c.Key
		}
		for _, key := range slices.Sorted(maps.Keys(t.Accuracy)) {
			if !keys[key] && t.GivenFigure(key) == nil {
				add(file, "accuracy."+key, "accuracy names the column %s, which the table has not; its columns: %s", key, strings.Join(t.ColumnKeys(), ", "))
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
		s.derivations(sub, func(path, format string, args ...any) { add(file, path, format, args...) })
	}
	files := map[string]string{}
	for _, src := range s.Sources {
		file := "sources/" + src.Name + ".yaml"
		if strings.ContainsAny(src.File, `/\`) || src.File == "." || src.File == ".." {
			add(file, "file", "file is %q; it should be the name of a file in sources/, without a folder", src.File)
		}
		sum := strings.ToLower(src.SHA256)
		if other, twice := files[sum]; twice {
			add(file, "sha256", "the same file is cited already as %s", other)
		}
		files[sum] = src.Name
	}
	return faults
}

func finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
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
	broken := map[string]bool{} // tables with a register that cannot be read
	for _, e := range entries {
		name := e.Name()
		file := "readings/" + name
		if !strings.HasSuffix(name, ".json") {
			continue
		}
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			fault(&Error{File: file, Msg: err.Error()})
			continue
		}
		if strings.HasSuffix(name, ".rows.json") {
			g, err := UnmarshalRegister(file, data)
			if err != nil {
				fault(err)
				broken[strings.TrimSuffix(name, ".rows.json")] = true
				continue
			}
			if other, twice := s.registerFiles[g.TableID]; twice {
				fault(&Error{File: file, Msg: fmt.Sprintf("is a register of the table with id %s, and so is %s; a table has one", g.TableID, other), Hint: "keep the one that git knows"})
				continue
			}
			s.remember(file, data)
			s.registerFiles[g.TableID] = file
			s.Registers[g.TableID] = g
			continue
		}
		base := strings.TrimSuffix(name, ".json")
		described[base+".csv"] = true
		cells, err := os.ReadFile(filepath.Join(folder, base+".csv"))
		if err != nil {
			fault(&Error{File: "readings/" + base + ".csv", Msg: "is not there; " + file + " describes it", Hint: restoreCells})
			continue
		}
		r, err := UnmarshalReading(file, data, "readings/"+base+".csv", cells)
		if err != nil {
			fault(err)
			continue
		}
		if e := s.checkReading(r, file, "readings/"+base+".csv"); e != nil {
			fault(e)
			continue
		}
		s.remember(file, data)
		s.remember("readings/"+base+".csv", cells)
		s.readingFiles[r] = "readings/" + base
		s.Readings[r.Meta.TableID] = append(s.Readings[r.Meta.TableID], r)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".csv") && !described[e.Name()] {
			fault(&Error{File: "readings/" + e.Name(), Msg: "has no description beside it (" + strings.TrimSuffix(e.Name(), ".csv") + ".json)",
				Hint: "restore it, or take the file in as a keyed reading: windtally entry TABLE --take FILE --by INITIALS"})
		}
	}
	for _, t := range s.Tables {
		sortReadings(s.Readings[t.ID])
		g := s.Registers[t.ID]
		for _, r := range s.Readings[t.ID] {
			if g == nil {
				if len(broken) == 0 {
					fault(&Error{File: s.stem(t) + ".rows.json", Msg: fmt.Sprintf("is not there; the rows of %s.csv are registered in it", s.readingFiles[r]),
						Hint: restoreRegister})
				}
				break
			}
			known := map[string]bool{}
			for _, k := range g.Keys() {
				known[k] = true
			}
			if i := slices.IndexFunc(r.RowKeys(), func(k string) bool { return !known[k] }); i >= 0 {
				fault(&Error{File: s.registerFiles[t.ID], Row: r.RowKeys()[i], Msg: fmt.Sprintf("has not this row, which %s.csv has; it should have every row that was ever read", s.readingFiles[r]),
					Hint: restoreRegister})
				break
			}
		}
	}
	return faults
}

// checkReading looks at what a reading says of the rest of the study.
func (s *Study) checkReading(r *Reading, file, cellsFile string) *Error {
	const moved = "move the reading's .csv and .json out of the study and read the table again"
	t := s.tableByID(r.Meta.TableID)
	if t == nil {
		return &Error{File: file, Msg: fmt.Sprintf("is a reading of the table with id %s, which no file in tables/ bears", r.Meta.TableID),
			Hint: "restore the table's file, or move the reading out of the study"}
	}
	if !strings.HasSuffix(file, "."+r.Meta.Reader+".json") {
		return &Error{File: file, Msg: fmt.Sprintf("is by the reader %s; its name should end in .%s.json", r.Meta.Reader, r.Meta.Reader), Hint: "restore the names that the program gave"}
	}
	for _, o := range s.Readings[t.ID] {
		if o.Meta.Reader == r.Meta.Reader {
			return &Error{File: file, Msg: fmt.Sprintf("is a reading of %s by %s, and so is %s.json; a reader has one reading of a table", t.Name, r.Meta.Reader, s.readingFiles[o]),
				Hint: "move one of them out of the study"}
		}
	}
	if r.Meta.Geometry == "" {
		return &Error{File: file, Msg: "has no geometry, the digest of how the table's columns stood when it was read", Hint: "restore the file, or " + moved}
	}
	if by, ok := r.Meta.Keyed(); ok && s.Person(by) != nil {
		return &Error{File: file, Msg: fmt.Sprintf("was keyed by %s, who is not in study.yaml under people:", by), Hint: "name the person there"}
	}
	if src := s.Source(t.Source); src != nil && !strings.EqualFold(src.SHA256, r.Meta.SourceSHA256) {
		return &Error{File: file, Msg: fmt.Sprintf("was read from a file with SHA-256 %s; tables/%s.yaml names the source %s, whose file has %s", r.Meta.SourceSHA256, t.Name, src.Name, src.SHA256),
			Hint: "name the source that was read, or " + moved}
	}
	// Cells of columns that the table no longer has are left alone: the reading's
	// geometry differs then, which validate says, and reading again mends it.
	return nil
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

// NoTable is the error for a name that no table bears.
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
	if !strings.EqualFold(got, src.SHA256) {
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
	return writeFiles([]fileWrite{{name, was, data}})
}

type fileWrite struct {
	name      string
	was, data []byte
}

// writeFiles writes all of the files or none: each is first written in full beside
// its place, and what was put in place is taken back when a later one fails.
func writeFiles(list []fileWrite) error {
	temps := make([]string, 0, len(list))
	defer func() {
		for _, temp := range temps {
			_ = os.Remove(temp) // there no longer after the rename
		}
	}()
	for _, w := range list {
		now, err := os.ReadFile(w.name)
		switch {
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return err
		case err == nil && w.was == nil:
			return fmt.Errorf("%s: is there already; nothing was written over it", w.name)
		case err != nil && w.was != nil || !bytes.Equal(now, w.was):
			return fmt.Errorf("%s: changed while the program worked; nothing was written, run the command again", w.name)
		}
	}
	for _, w := range list {
		temp, err := writeTemp(filepath.Dir(w.name), w.data)
		if err != nil {
			return err
		}
		temps = append(temps, temp)
	}
	for i, w := range list {
		err := os.Rename(temps[i], w.name)
		if err == nil {
			continue
		}
		for _, done := range list[:i] {
			back := os.Remove(done.name)
			if done.was != nil {
				back = WriteFile(done.name, nil, done.was)
			}
			err = errors.Join(err, back)
		}
		return err
	}
	return nil
}

// writeTemp writes and syncs a new file in the folder. It is made with the mode of
// any other new file, so that the system's mask applies.
func writeTemp(dir string, data []byte) (name string, err error) {
	id, err := NewID(".writing-")
	if err != nil {
		return "", err
	}
	name = filepath.Join(dir, id)
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return "", errors.Join(err, os.Remove(name))
	}
	return name, nil
}

// AddSource cites a file: copies it into the study and writes its citation, both or
// neither.
func (s *Study) AddSource(src *Source, file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	cited := *src
	cited.Schema, cited.SHA256 = Schema, hex.EncodeToString(sum[:])
	if !slugForm.MatchString(cited.Name) {
		return fmt.Errorf("source name %q: write small letters, figures and hyphens, a letter first", cited.Name)
	}
	for _, other := range s.Sources {
		if strings.EqualFold(other.SHA256, cited.SHA256) {
			return &Error{File: file, Msg: fmt.Sprintf("is cited already as %s (sources/%s.yaml)", other.Designation, other.Name)}
		}
		if other.Name == cited.Name {
			return &Error{File: "sources/" + cited.Name + ".yaml", Msg: "is there already, for another file; name this source otherwise with --name"}
		}
	}
	cited.File = cited.Name + strings.ToLower(filepath.Ext(file))
	text, err := encodeYAML(&cited)
	if err != nil {
		return err
	}
	if faults := decodeYAML("sources/"+cited.Name+".yaml", text, &Source{}); len(faults) > 0 {
		for _, f := range faults {
			f.Line = 0 // the file was never written
		}
		return Faults(faults)
	}
	if data == nil {
		data = []byte{}
	}
	if err := writeFiles([]fileWrite{{name: s.SourceFile(&cited), data: data},
		{name: filepath.Join(s.Dir, "sources", cited.Name+".yaml"), data: text}}); err != nil {
		return err
	}
	*src = cited
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
		for _, f := range faults {
			f.Line = 0 // the file was never written
		}
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
// returns the reading. It replaces an earlier reading by the same reader. Nothing is
// written unless everything is.
func (s *Study) AddReading(t *Table, meta ReadingMeta, rows []RawRow, givens []Cell) (*Reading, error) {
	meta.TableID, meta.Geometry = t.ID, t.Geometry(meta.Reader)
	if src := s.Source(t.Source); src != nil && meta.SourceSHA256 == "" {
		meta.Source, meta.SourceSHA256 = src.Name, src.SHA256
	}
	file := "tables/" + t.Name + ".yaml"
	if len(rows) == 0 {
		return nil, &Error{File: file, Table: t.Name, Msg: "no row of the table was read; a reading has at least one",
			Hint: "look at pages: and regions: (range: in a workbook), or key the table: windtally entry " + t.Name}
	}
	for i, row := range rows {
		for _, column := range slices.Sorted(maps.Keys(row.Cells)) {
			if t.Column(column) == nil {
				return nil, &Error{File: file, Table: t.Name, Column: column, Msg: fmt.Sprintf("row %d of the reading has a cell in this column, which the table has not; its columns: %s", i+1, strings.Join(t.ColumnKeys(), ", "))}
			}
		}
	}
	for _, c := range givens {
		if t.GivenFigure(c.Column) == nil {
			return nil, &Error{File: file, Table: t.Name, Row: Given, Column: c.Column, Msg: "the reading has this figure, which stands not under givens:"}
		}
	}

	register := s.Registers[t.ID]
	stem := s.stem(t)
	registerFile, known := s.registerFiles[t.ID]
	if !known {
		registerFile = stem + ".rows.json"
	}
	if register == nil {
		register = &Register{Schema: Schema, TableID: t.ID}
	} else {
		register = register.clone()
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
	if old >= 0 {
		if b, ok := s.readingFiles[s.Readings[t.ID][old]]; ok {
			base = b
		}
	}
	var list []fileWrite
	for _, w := range []struct {
		file string
		data []byte
	}{{registerFile, registerText}, {base + ".csv", cellsText}, {base + ".json", metaText}} {
		list = append(list, fileWrite{name: filepath.Join(s.Dir, filepath.FromSlash(w.file)), was: s.files[w.file], data: w.data})
	}
	if err := writeFiles(list); err != nil {
		return nil, err
	}

	s.remember(registerFile, registerText)
	s.remember(base+".csv", cellsText)
	s.remember(base+".json", metaText)
	s.registerFiles[t.ID], s.readingFiles[r] = registerFile, base
	if s.Registers == nil {
		s.Registers = map[string]*Register{}
	}
	if s.Readings == nil {
		s.Readings = map[string][]*Reading{}
	}
	s.Registers[t.ID] = register
	if old >= 0 {
		delete(s.readingFiles, s.Readings[t.ID][old])
		s.Readings[t.ID][old] = r
	} else {
		s.Readings[t.ID] = append(s.Readings[t.ID], r)
		sortReadings(s.Readings[t.ID])
	}
	return r, nil
}

// stem is how the names of a table's files in readings/ begin: the table's name,
// or its id where a table that had the name before has files there.
func (s *Study) stem(t *Table) string {
	for id, file := range s.registerFiles {
		if id != t.ID && file == "readings/"+t.Name+".rows.json" {
			return "readings/" + t.ID
		}
	}
	return "readings/" + t.Name
}

// remember keeps what a file in readings/ holds, to tell whether it changed since.
func (s *Study) remember(file string, data []byte) {
	if s.files == nil {
		s.files, s.registerFiles, s.readingFiles = map[string][]byte{}, map[string]string{}, map[*Reading]string{}
	}
	s.files[file] = data
}

func sortReadings(list []*Reading) {
	slices.SortStableFunc(list, func(a, b *Reading) int { return strings.Compare(a.Meta.Reader, b.Meta.Reader) })
}
