package extract

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// holdLock is the variable by which a test starts this binary as a second program
// that holds the lock of a study until its input ends.
const holdLock = "EXTRACT_TEST_HOLD_LOCK"

func TestMain(m *testing.M) {
	if dir := os.Getenv(holdLock); dir != "" {
		os.Exit(hold(dir))
	}
	os.Exit(m.Run())
}

func hold(dir string) int {
	release, err := (&Study{Dir: dir}).Lock()
	if err != nil {
		fmt.Println(err)
		return 1
	}
	fmt.Println("held")
	_, _ = bufio.NewReader(os.Stdin).ReadString('\n')
	if err := os.WriteFile(filepath.Join(dir, "written"), []byte("by the first\n"), 0o666); err != nil {
		return 1
	}
	release()
	return 0
}

var settings = Settings{Name: "tarnholm", Title: "Flap tests of the Tarnholm laboratory", Licence: "CC0-1.0", People: []Person{{"ab", "Anna Berg"}, {"cd", "Carl Dahl"}}}

func newStudy(t *testing.T) string {
	t.Helper()
	// A name that a pattern of file names would take for a range.
	dir := filepath.Join(t.TempDir(), "reports [1936-1937]")
	if err := NewStudy(dir, settings); err != nil {
		t.Fatal(err)
	}
	return dir
}

func open(t *testing.T, dir string) *Study {
	t.Helper()
	s, err := OpenStudy(dir)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func put(t *testing.T, dir, file, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(file)), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// listing is every file and folder of a study with its content.
func listing(t *testing.T, dir string) map[string]string {
	t.Helper()
	list := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			list[rel+"/"] = ""
			return nil
		}
		data, err := os.ReadFile(path)
		list[rel] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func names(list map[string]string) []string {
	var names []string
	for n := range list {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

func wantError(t *testing.T, what string, err error, want string) {
	t.Helper()
	if err == nil || err.Error() != want {
		t.Errorf("%s:\n%v\nwant\n%s", what, err, want)
	}
}

func TestNewStudy(t *testing.T) {
	dir := newStudy(t)
	list := listing(t, dir)
	want := []string{"./", ".gitattributes", ".gitignore", "README.md", "editions/", "editions/.gitkeep", "names/", "names/.gitkeep", "readings/", "readings/.gitkeep", "rulings.csv",
		"sources/", "sources/.gitkeep", "study.yaml", "subjects/", "subjects/.gitkeep", "tables/", "tables/.gitkeep"}
	if got := names(list); !slices.Equal(got, want) {
		t.Errorf("files %v, want %v", got, want)
	}
	wantYAML := `# What this study is and what it asks of its numbers. See README.md.
schema: 1
name: tarnholm
title: Flap tests of the Tarnholm laboratory
people:
  - initials: ab
    name: Anna Berg
  - initials: cd
    name: Carl Dahl
licence: CC0-1.0
eyes: 0
`
	if list["study.yaml"] != wantYAML {
		t.Errorf("study.yaml\n%s", list["study.yaml"])
	}
	if list["rulings.csv"] != "id,supersedes,target,decision,value,reason,who,when,evidence\n" {
		t.Errorf("rulings.csv %q", list["rulings.csv"])
	}
	if !strings.Contains(list[".gitattributes"], "rulings.csv merge=union\nsources/* -text\nnames/**/*.png -text\nsources/*.yaml text eol=lf\neditions/** -text\n") {
		t.Errorf(".gitattributes %q", list[".gitattributes"])
	}
	for _, f := range []string{"study.yaml", "sources/", "tables/", "readings/", "subjects/", "editions/", "rulings.csv"} {
		if !strings.Contains(list["README.md"], "| "+f+" |") {
			t.Errorf("README.md does not say what %s is", f)
		}
	}
	s := open(t, dir)
	if s.Settings.Title != settings.Title || len(s.Sources)+len(s.Tables)+len(s.Subjects)+len(s.Readings) != 0 {
		t.Errorf("opened as %+v", s)
	}
	// The same study from another folder, at another time: the same bytes.
	other := listing(t, newStudy(t))
	for name, text := range list {
		if other[name] != text {
			t.Errorf("%s differs between two new studies", name)
		}
		if strings.Contains(text, filepath.Dir(dir)) {
			t.Errorf("%s holds the folder's path", name)
		}
	}
}

// The bytes of a cited file survive git: what .gitattributes says is asked of git.
func TestGitKeepsCitedBytes(t *testing.T) {
	git, err := exec.LookPath("git")
	if err != nil {
		t.Skip("not run: 6 files whose line ends git must keep or mend; git is not installed")
	}
	dir := newStudy(t)
	run := func(args ...string) string {
		c := exec.Command(git, args...)
		c.Dir = dir
		out, err := c.CombinedOutput()
		if err != nil {
			t.Fatalf("git %v: %v\n%s", args, err, out)
		}
		return string(out)
	}
	run("init", "-q", ".")
	got := run("check-attr", "text", "--", "sources/a.csv", "sources/a.pdf", "sources/a.yaml", "editions/0.1.0/a.csv", "readings/a.text.csv", "rulings.csv")
	want := "sources/a.csv: text: unset\nsources/a.pdf: text: unset\nsources/a.yaml: text: set\neditions/0.1.0/a.csv: text: unset\nreadings/a.text.csv: text: set\nrulings.csv: text: set\n"
	if got != want {
		t.Errorf("git says\n%swant\n%s", got, want)
	}
	if got := run("check-attr", "merge", "--", "rulings.csv"); got != "rulings.csv: merge: union\n" {
		t.Errorf("git says %s", got)
	}
}

func TestNewStudyInAnEmptyFolder(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	if err := NewStudy(".", settings); err != nil {
		t.Fatal(err)
	}
	if got := names(listing(t, ".")); len(got) != 18 {
		t.Errorf("files %v", got)
	}
	open(t, ".")
}

func TestNewStudyRefused(t *testing.T) {
	parent := t.TempDir()
	full := filepath.Join(parent, "full")
	if err := os.Mkdir(full, 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, full, "mine.txt", "mine\n")
	put(t, parent, "file", "mine\n")
	before := listing(t, parent)
	wantError(t, "a full folder", NewStudy(full, settings), full+": is not empty; name a new folder")
	wantError(t, "a file", NewStudy(filepath.Join(parent, "file"), settings), filepath.Join(parent, "file")+": is a file; name a new folder")
	bad := settings
	bad.Name = "Tarnholm 12"
	bad.People = nil
	wantError(t, "bad settings", NewStudy(filepath.Join(parent, "deep", "new"), bad),
		"study.yaml:2: name is \"Tarnholm 12\"; write small letters, figures and hyphens, a letter first\nstudy.yaml:4: people has 0 entries; it should have at least 1")
	if after := listing(t, parent); !slices.Equal(names(after), names(before)) {
		t.Errorf("left behind: %v, there was %v", names(after), names(before))
	}
	// A parent in which nothing can be made.
	if err := NewStudy(filepath.Join(parent, "file", "new"), settings); err == nil {
		t.Error("a study was made below a file")
	}
	if after := listing(t, parent); !slices.Equal(names(after), names(before)) {
		t.Errorf("left behind: %v, there was %v", names(after), names(before))
	}
}

const fileText = "alpha;cl\n-2;.014\n"

// sha256sum of fileText
const fileSum = "6fc8775e478ee551788f380a30d62c2cede878488c939f146daa9d88fc649e70"

// madeStudy is a study with a source, a table and a subject.
func madeStudy(t *testing.T) string {
	t.Helper()
	dir := newStudy(t)
	put(t, dir, "sources/tarnholm-12.pdf", fileText)
	put(t, dir, "sources/tarnholm-12.yaml", instead(t, goodSource, "abababababababababababababababababababababababababababababababab", fileSum))
	put(t, dir, "tables/polar.yaml", polarYAML)
	put(t, dir, "subjects/sandmark.yaml", sandmarkYAML)
	return dir
}

const polarYAML = `schema: 1
id: t0000000a
status: ready
source: tarnholm-12
pages: 3-4
regions:
  - page: 3
    box: [50, 100, 500, 700]
  - page: 4
    box: [50, 100, 500, 700]
    dx: 12.5
origin: print
layout: grid
columns:
  - key: alpha
    x: [50, 90]
  - key: cl
    x: [90, 130]
givens:
  - key: re
basis:
  reynolds: given re
`

const sandmarkYAML = `schema: 1
kind: wing
title: Sandmark wing
tables:
  - table: polar
    where: {column: alpha, is: "-2"}
prefer:
  - {quantity: maximum_lift_coefficient, source: tarnholm-12}
`

func polarRows() []RawRow {
	var rows []RawRow
	for i, texts := range [][2]string{{"-2", ".014"}, {"0", ".160"}, {"2", ".310"}, {"4", ".458"}} {
		page, y := 3, 100+12*float64(i)
		if i >= 2 {
			page, y = 4, 100+12*float64(i-2)
		}
		box := Rect{50, y, 130, y + 9}
		rows = append(rows, RawRow{Page: page, Box: box, Cells: map[string]Cell{
			"alpha": {Text: texts[0], Place: Place{Page: page, Box: Rect{50, y, 62.126, y + 9}}, Confidence: -1},
			"cl":    {Text: texts[1], Place: Place{Page: page, Box: Rect{90, y, 120, y + 9}}, Confidence: 0.5},
		}})
	}
	return rows
}

func add(t *testing.T, s *Study, reader string, rows []RawRow, givens ...Cell) *Reading {
	t.Helper()
	r, err := s.AddReading(s.Table("t0000000a"), ReadingMeta{Reader: reader, Program: "windtally 0.1.0", Settings: "none"}, rows, givens)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestOpenStudyFaults(t *testing.T) {
	open(t, madeStudy(t)) // without a mutation it opens
	const columns = "; its columns: alpha, cl"
	for _, c := range []struct {
		name     string
		file     string
		from, to string // in file; from "" writes the file anew
		want     string
	}{
		{name: "missing source", file: "tables/polar.yaml", from: "source: tarnholm-12", to: "source: tarnholm-13", want: `tables/polar.yaml:4: the source "tarnholm-13" is not cited; known sources: tarnholm-12`},
		{name: "nothing to derive to", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - quantity: airspeed\nprefer:", want: "subjects/sandmark.yaml:8: 0 of airspeed_kind, reference_area, angle_datum, altitude_kind, moment_center, and aspect_ratio with walls are stated; write the one that the derived airspeed is to be on"},
		{name: "two to derive to", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, angle_datum: chord}\nprefer:", want: "subjects/sandmark.yaml:8: 2 of airspeed_kind, reference_area, angle_datum, altitude_kind, moment_center, and aspect_ratio with walls are stated; write the one that the derived airspeed is to be on"},
		{name: "two conversions, one of the walls", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, angle_datum: chord, walls: {section: closed, delta: '+0.125'}}\nprefer:", want: `subjects/sandmark.yaml:8: 2 of airspeed_kind, reference_area, angle_datum, altitude_kind, moment_center, and aspect_ratio with walls are stated; write the one that the derived angle of attack is to be on`},
		{name: "walls without a sign", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, walls: {section: closed, delta: '0.125'}}\nprefer:", want: `subjects/sandmark.yaml:8: delta is "0.125"; the factor of the wall correction is written with its sign, more than 0 and at most 0.5 in size, such as "+0.125" for a closed section and "-0.125" for an open jet`},
		{name: "walls of size 0", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, walls: {section: closed, delta: '+0.0'}}\nprefer:", want: `subjects/sandmark.yaml:8: delta is "+0.0"; the factor of the wall correction is written with its sign, more than 0 and at most 0.5 in size, such as "+0.125" for a closed section and "-0.125" for an open jet`},
		{name: "closed section with the sign of an open one", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, walls: {section: closed, delta: '-0.125'}}\nprefer:", want: `subjects/sandmark.yaml:8: delta is -0.125 in a closed section; there it is more than 0: walls hold the flow up, and the correction is always added`},
		{name: "open jet with the sign of a closed one", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, walls: {section: open, delta: '+0.125'}}\nprefer:", want: `subjects/sandmark.yaml:8: delta is +0.125 in an open jet; there it is less than 0, and the correction is always added`},
		{name: "walls of another kind", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, walls: {section: slotted, delta: '+0.1'}}\nprefer:", want: `subjects/sandmark.yaml:8: derive[0].walls.section is "slotted"; it should be one of: closed, open`},
		{name: "aspect ratio of nothing", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {from_planform: elliptic}}\nprefer:", want: `subjects/sandmark.yaml:8: derive[0].aspect_ratio.to is missing; it should be given`},
		{name: "aspect ratio below the lifting line", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: 3, to_planform: elliptic}}\nprefer:", want: `subjects/sandmark.yaml:8: the aspect ratio asked for is "3"; write infinite, or a number of 4 or more: the lifting line does not hold below`},
		{name: "aspect ratio without a planform", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: 8}}\nprefer:", want: `subjects/sandmark.yaml:8: of which planform is the wing of aspect ratio 8? write to_planform: elliptic, rectangular or tapered`},
		{name: "planform of the section", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: infinite, to_planform: elliptic}}\nprefer:", want: `subjects/sandmark.yaml:8: an infinite aspect ratio is that of the section, which has no planform; leave to_planform: out`},
		{name: "planform of another kind", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: 8, to_planform: delta}}\nprefer:", want: `subjects/sandmark.yaml:8: derive[0].aspect_ratio.to_planform is "delta"; it should be one of: elliptic, rectangular, tapered`},
		{name: "tapered without taper", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: 8, to_planform: tapered, section_slope: '5.7'}}\nprefer:", want: `subjects/sandmark.yaml:8: the taper ratio of the wing asked for is ""; write to_taper: with tip chord over root chord, more than 0 and less than 1`},
		{name: "taper of a wing that has none", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: 8, to_planform: elliptic, to_taper: '0.5'}}\nprefer:", want: `subjects/sandmark.yaml:8: a taper ratio is asked for and the wing is not tapered; write to_planform: tapered, or leave to_taper: out`},
		{name: "lifting line without a slope", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: infinite, from_planform: rectangular}}\nprefer:", want: `subjects/sandmark.yaml:8: the section's lift-curve slope is ""; the lifting line of a wing that is not elliptic depends on it: write section_slope: with 4 to 7.5 per radian (a slope per degree times 57.3)`},
		{name: "slope per degree", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: infinite, from_planform: rectangular, section_slope: '0.1'}}\nprefer:", want: `subjects/sandmark.yaml:8: the section's lift-curve slope is "0.1"; the lifting line of a wing that is not elliptic depends on it: write section_slope: with 4 to 7.5 per radian (a slope per degree times 57.3)`},
		{name: "slope of an elliptic wing", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, aspect_ratio: {to: infinite, from_planform: elliptic, section_slope: 6}}\nprefer:", want: `subjects/sandmark.yaml:8: an elliptic wing's induced angle does not depend on the section's slope; leave section_slope: out`},
		{name: "derived as no kind", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: ground}\nprefer:", want: `subjects/sandmark.yaml:8: derive[0].airspeed_kind is "ground"; it should be one of: IAS, CAS, EAS, TAS`},
		{name: "derived from no table", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, table: polars}\nprefer:", want: `subjects/sandmark.yaml:8: the subject does not take the table "polars"; name it under tables:`},
		{name: "derived from no column", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, table: polar, column: v}\nprefer:", want: "subjects/sandmark.yaml:8: table polar has no column v" + columns},
		{name: "derived from a column of no table", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, column: cl}\nprefer:", want: "subjects/sandmark.yaml:8: column cl of which table? write table: beside column:"},
		{name: "position error of no airspeed", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: angle of attack, angle_datum: chord, position_error: {table: polar, indicated: alpha, calibrated: cl}}\nprefer:", want: "subjects/sandmark.yaml:8: a position error bears on airspeeds alone; write airspeed_kind: IAS, CAS, EAS or TAS beside it, or leave it out"},
		{name: "position error without calibrated speeds", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, position_error: {table: polar, indicated: alpha}}\nprefer:", want: "subjects/sandmark.yaml:8: write calibrated: or correction:, one of the two, with the key of its column"},
		{name: "position error of no column", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, position_error: {table: polar, indicated: ias, calibrated: cl}}\nprefer:", want: "subjects/sandmark.yaml:8: table polar has no column ias" + columns},
		{name: "position error of no table", file: "subjects/sandmark.yaml", from: "prefer:", to: "derive:\n  - {quantity: airspeed, airspeed_kind: CAS, position_error: {table: errors, indicated: ias, calibrated: cas}}\nprefer:", want: `subjects/sandmark.yaml:8: the subject does not take the table "errors"; name it under tables:, so that its figures are published with what follows from them`},
		{name: "page beyond the source", file: "tables/polar.yaml", from: "pages: 3-4", to: "pages: 3-14", want: "tables/polar.yaml:5: page 14 is named; tarnholm-12.pdf has 6 pages"},
		{name: "pages", file: "tables/polar.yaml", from: "pages: 3-4", to: "pages: three", want: `tables/polar.yaml:5: pages "three": "three" is not a page or a range; write pages as in 12-14,20`},
		{name: "region beyond the source", file: "tables/polar.yaml", from: "  - page: 4", to: "  - page: 40", want: "tables/polar.yaml:9: page 40 is named; tarnholm-12.pdf has 6 pages"},
		{name: "region on no page of the table", file: "tables/polar.yaml", from: "  - page: 4", to: "  - page: 5", want: "tables/polar.yaml:9: the region is on page 5; pages: says 3-4, and should name it too"},
		{name: "empty region", file: "tables/polar.yaml", from: "500, 700]\n  - page", to: "50, 700]\n  - page", want: "tables/polar.yaml:8: the box [50 100 50 700] is empty; it should be [x0, y0, x1, y1] with x0 < x1 and y0 < y1"},
		{name: "region without end", file: "tables/polar.yaml", from: "500, 700]\n  - page", to: ".inf, 700]\n  - page", want: "tables/polar.yaml:8: the box [50 100 +Inf 700] with dx 0 should have finite numbers"},
		{name: "dx", file: "tables/polar.yaml", from: "dx: 12.5", to: "dx: .nan", want: "tables/polar.yaml:10: the box [50 100 500 700] with dx NaN should have finite numbers"},
		{name: "column turned round", file: "tables/polar.yaml", from: "[90, 130]", to: "[130, 90]", want: "tables/polar.yaml:18: x of column cl is [130 90]; it should be [x0, x1] with x0 < x1"},
		{name: "given that is not there", file: "tables/polar.yaml", from: "given re", to: "given rn", want: `tables/polar.yaml:22: "given rn": the table has no given figure rn under givens:`},
		{name: "column that is not there", file: "tables/polar.yaml", from: "given re", to: "column rn", want: `tables/polar.yaml:22: "column rn": the table has no column rn` + columns},
		{name: "column of a column's basis", file: "tables/polar.yaml", from: "    x: [90, 130]\n", to: "    basis: {mach: column m}\n", want: `tables/polar.yaml:18: "column m": the table has no column m` + columns},
		{name: "deflection of a row", file: "tables/polar.yaml", from: "basis:\n", to: "rows:\n  - label: Flap down\n    basis: {configuration: {deflection: column d}}\nbasis:\n", want: `tables/polar.yaml:23: "column d": the table has no column d` + columns},
		{name: "label twice", file: "tables/polar.yaml", from: "basis:\n", to: "rows:\n  - label: Flap down\n  - label: Flap down . . .\nbasis:\n", want: `tables/polar.yaml:23: the label "Flap down" stands twice under rows:; each should stand once`},
		{name: "accuracy", file: "tables/polar.yaml", from: "basis:\n", to: "accuracy: {cd: \"0.1\", cx: \"0.1\"}\nbasis:\n", want: "tables/polar.yaml:21: accuracy names the column cd, which the table has not" + columns + "\ntables/polar.yaml:21: accuracy names the column cx, which the table has not" + columns},
		{name: "list without value", file: "tables/polar.yaml", from: "layout: grid", to: "layout: list", want: "tables/polar.yaml:14: a list of particulars needs a column with key label and one with key value"},
		{name: "copied table", file: "tables/polar-2.yaml", to: polarYAML, want: "tables/polar.yaml:2: the id t0000000a is also that of tables/polar-2.yaml; a copied table needs an id of its own"},
		{name: "table named like an id", file: "tables/t1111111a.yaml", to: strings.Replace(polarYAML, "t0000000a", "t0000000b", 1), want: "tables/t1111111a.yaml:2: the file's name looks like a table's id; name it otherwise"},
		{name: "name", file: "tables/Polar 2.yaml", to: polarYAML, want: "tables/Polar 2.yaml: the file's name should be small letters, figures and hyphens, a letter first"},
		{name: "ending", file: "tables/polar-2.yml", to: polarYAML, want: "tables/polar-2.yml: would not be read: its name should end in .yaml"},
		{name: "subject of no table", file: "subjects/sandmark.yaml", from: "table: polar", to: "table: polars", want: `subjects/sandmark.yaml:5: there is no table "polars"; known tables: polar`},
		{name: "subject by no column", file: "subjects/sandmark.yaml", from: "column: alpha", to: "column: flap", want: "subjects/sandmark.yaml:6: table polar has no column flap" + columns},
		{name: "subject prefers no source", file: "subjects/sandmark.yaml", from: "source: tarnholm-12", to: "source: tarnholm-13", want: `subjects/sandmark.yaml:8: the source "tarnholm-13" is not cited; known sources: tarnholm-12`},
		{name: "source in another folder", file: "sources/tarnholm-12.yaml", from: "file: tarnholm-12.pdf", to: "file: ../tarnholm-12.pdf", want: `sources/tarnholm-12.yaml:2: file is "../tarnholm-12.pdf"; it should be the name of a file in sources/, without a folder`},
		{name: "source above", file: "sources/tarnholm-12.yaml", from: "file: tarnholm-12.pdf", to: "file: ..", want: `sources/tarnholm-12.yaml:2: file is ".."; it should be the name of a file in sources/, without a folder`},
		{name: "source twice", file: "sources/zz.yaml", to: strings.Replace(goodSource, strings.Repeat("ab", 32), strings.ToUpper(fileSum), 1), want: "sources/zz.yaml:7: the same file is cited already as tarnholm-12"},
		{name: "broken settings", file: "study.yaml", from: "eyes: 0", to: "eyes: none", want: `study.yaml:11: "none" stands where a whole number should be`},
		{name: "two broken files", file: "study.yaml", from: "eyes: 0", to: "eye: 0", want: `study.yaml:11: the key "eye" is not known here; known keys: schema, name, title, people, licence, eyes, tolerances`},
	} {
		dir := madeStudy(t)
		text := c.to
		if c.from != "" {
			data, err := os.ReadFile(filepath.Join(dir, c.file))
			if err != nil {
				t.Fatal(err)
			}
			text = instead(t, string(data), c.from, c.to)
		}
		put(t, dir, c.file, text)
		before := listing(t, dir)
		s, err := OpenStudy(dir)
		if s != nil {
			t.Errorf("%s: opened all the same", c.name)
		}
		wantError(t, c.name, err, c.want)
		var faults Faults
		if !errors.As(err, &faults) {
			t.Errorf("%s: the error is %T", c.name, err)
		}
		if after := listing(t, dir); len(after) != len(before) {
			t.Errorf("%s: opening wrote files: %v", c.name, names(after))
		}
	}
	// All faults are told at once.
	dir := madeStudy(t)
	put(t, dir, "tables/polar.yaml", "schema: 1\nids: 1\n")
	put(t, dir, "subjects/sandmark.yaml", "")
	_, err := OpenStudy(dir)
	wantError(t, "two broken files", err, "tables/polar.yaml:2: the key \"ids\" is not known here; known keys: schema, id, status, source, pages, regions, sheet, range, number, caption, orientation, origin, accuracy, layout, columns, rows, givens, basis, relations, note\n"+
		"subjects/sandmark.yaml:1: is empty; it should begin with schema: 1")
	nowhere := t.TempDir()
	_, err = OpenStudy(nowhere)
	wantError(t, "no study", err, filepath.Join(nowhere, "study.yaml")+": is not there, so this is not the folder of a study\nhint: go to the study's folder, name it with --study DIR, or make one: windtally new DIR")
}

func TestReadingsOfAStudy(t *testing.T) {
	const restore = "\nhint: the program alone writes readings: restore the file, or move the reading's .csv and .json out of the study and read the table again"
	const moved = "move the reading's .csv and .json out of the study and read the table again"
	for _, c := range []struct {
		name   string
		change func(t *testing.T, dir string)
		want   string
	}{
		{"untouched", func(*testing.T, string) {}, ""},
		{"row deleted", func(t *testing.T, dir string) {
			edit(t, dir, "readings/polar.text.csv", "r004,alpha,4,4,50.00,112.00,62.13,121.00,,,,,,\nr004,cl,.458,4,90.00,112.00,120.00,121.00,,,,0.500,,\n", "")
		}, "readings/polar.text.csv:7: has 3 rows; the reader gave 4 (readings/polar.text.json)" + restore},
		{"cells gone", func(t *testing.T, dir string) { remove(t, dir, "readings/polar.text.csv") },
			"readings/polar.text.csv: is not there; readings/polar.text.json describes it" + restore},
		{"description gone", func(t *testing.T, dir string) { remove(t, dir, "readings/polar.text.json") },
			"readings/polar.text.csv: has no description beside it (polar.text.json)\nhint: restore it, or take the file in as a keyed reading: windtally entry TABLE --take FILE --by INITIALS"},
		{"register gone", func(t *testing.T, dir string) { remove(t, dir, "readings/polar.rows.json") },
			"readings/polar.rows.json: is not there; the rows of readings/polar.keyed-ab.csv are registered in it\nhint: the program alone writes this file: restore it"},
		{"row out of the register", func(t *testing.T, dir string) {
			edit(t, dir, "readings/polar.rows.json", `{"key":"r002","page":3,"x0":50,"y0":112,"x1":130,"y1":121},`+"\n", "")
		}, "readings/polar.rows.json:r002: has not this row, which readings/polar.keyed-ab.csv has; it should have every row that was ever read\nhint: the program alone writes this file: restore it"},
		{"two registers", func(t *testing.T, dir string) {
			copyFile(t, dir, "readings/polar.rows.json", "readings/wing.rows.json")
		},
			"readings/wing.rows.json: is a register of the table with id t0000000a, and so is readings/polar.rows.json; a table has one\nhint: keep the one that git knows"},
		{"one reader twice", func(t *testing.T, dir string) {
			copyFile(t, dir, "readings/polar.text.csv", "readings/wing.text.csv")
			copyFile(t, dir, "readings/polar.text.json", "readings/wing.text.json")
		}, "readings/wing.text.json: is a reading of polar by text, and so is readings/polar.text.json; a reader has one reading of a table\nhint: move one of them out of the study"},
		{"another reader's name", func(t *testing.T, dir string) {
			copyFile(t, dir, "readings/polar.text.csv", "readings/polar.keyed-cd.csv")
			copyFile(t, dir, "readings/polar.text.json", "readings/polar.keyed-cd.json")
		}, "readings/polar.keyed-cd.json: is by the reader text; its name should end in .text.json\nhint: restore the names that the program gave"},
		{"keyed by nobody", func(t *testing.T, dir string) { edit(t, dir, "study.yaml", "initials: ab", "initials: xy") },
			"readings/polar.keyed-ab.json: was keyed by ab, who is not in study.yaml under people:\nhint: name the person there"},
		{"table gone", func(t *testing.T, dir string) {
			edit(t, dir, "tables/polar.yaml", "t0000000a", "t0000000b")
			remove(t, dir, "readings/polar.keyed-ab.csv")
			remove(t, dir, "readings/polar.keyed-ab.json")
		}, "readings/polar.text.json: is a reading of the table with id t0000000a, which no file in tables/ bears\nhint: restore the table's file, or move the reading out of the study"},
		{"another file cited", func(t *testing.T, dir string) {
			edit(t, dir, "sources/tarnholm-12.yaml", fileSum, strings.Repeat("ab", 32))
			remove(t, dir, "readings/polar.keyed-ab.csv")
			remove(t, dir, "readings/polar.keyed-ab.json")
		}, "readings/polar.text.json: was read from a file with SHA-256 " + fileSum + "; tables/polar.yaml names the source tarnholm-12, whose file has " + strings.Repeat("ab", 32) +
			"\nhint: name the source that was read, or " + moved},
	} {
		dir := madeStudy(t)
		s := open(t, dir)
		add(t, s, "text", polarRows())
		add(t, s, "keyed-ab", unplaced(polarRows()), Cell{Column: "re", Text: "3,080,000", Place: Place{Page: 3}, Confidence: -1})
		c.change(t, dir)
		again, err := OpenStudy(dir)
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			for i, r := range again.Readings["t0000000a"] {
				if want := s.Readings["t0000000a"][i]; fmt.Sprint(*r) != fmt.Sprint(*want) {
					t.Errorf("%s read back as\n%v, was\n%v", want.Meta.Reader, *r, *want)
				}
			}
			continue
		}
		wantError(t, c.name, err, c.want)
	}
}

func edit(t *testing.T, dir, file, from, to string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, file))
	if err != nil {
		t.Fatal(err)
	}
	put(t, dir, file, instead(t, string(data), from, to))
}

func remove(t *testing.T, dir, file string) {
	t.Helper()
	if err := os.Remove(filepath.Join(dir, file)); err != nil {
		t.Fatal(err)
	}
}

func copyFile(t *testing.T, dir, from, to string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, from))
	if err != nil {
		t.Fatal(err)
	}
	put(t, dir, to, string(data))
}

func unplaced(rows []RawRow) []RawRow {
	for i := range rows {
		rows[i].Box = Rect{}
		for k, c := range rows[i].Cells {
			c.Place = Place{Page: rows[i].Page}
			c.Confidence = -1
			rows[i].Cells[k] = c
		}
	}
	return rows
}

// A table that gets another name, a redrawn region and a new reading keeps its rows,
// and with them every ruling.
func TestRenamedTableLosesNothing(t *testing.T) {
	dir := madeStudy(t)
	s := open(t, dir)
	add(t, s, "text", polarRows())
	keyed := unplaced(polarRows())
	c := keyed[1].Cells["cl"]
	c.Text = ".161"
	keyed[1].Cells["cl"] = c
	add(t, s, "keyed-ab", keyed)
	table := s.Table("polar")
	settled := map[CellID]Settled{{"t0000000a", "r002", "cl"}: {State: Reread, Print: ".160", Ruling: "u00000001", By: "ab"}}
	before := Collate(table, s.Registers[table.ID], s.Readings[table.ID], settled)
	evidence := before.Cell("r002", "cl").Evidence()

	if err := os.Rename(filepath.Join(dir, "tables", "polar.yaml"), filepath.Join(dir, "tables", "aileron.yaml")); err != nil {
		t.Fatal(err)
	}
	edit(t, dir, "tables/aileron.yaml", "- page: 3\n    box: [50, 100, 500, 700]", "- page: 3\n    box: [40, 80, 500, 700]")
	edit(t, dir, "subjects/sandmark.yaml", "table: polar", "table: aileron")
	s = open(t, dir)
	// The larger region also takes in a line above the table.
	rows := append([]RawRow{{Page: 3, Box: Rect{50, 84, 130, 93}, Cells: map[string]Cell{"alpha": {Text: "deg.", Confidence: -1}}}}, polarRows()...)
	add(t, s, "text", rows)
	after := Collate(s.Table("aileron"), s.Registers["t0000000a"], s.Readings["t0000000a"], settled)
	if !slices.Equal(after.Rows, []string{"r005", "r001", "r002", "r003", "r004"}) {
		t.Errorf("rows %v", after.Rows)
	}
	cell := after.Cell("r002", "cl")
	if cell.State != Reread || cell.Print != ".160" || cell.Evidence() != evidence {
		t.Errorf("the ruled cell is %+v", cell)
	}
	for _, f := range []string{"readings/aileron.text.csv", "readings/aileron.rows.json"} {
		if _, err := os.Stat(filepath.Join(dir, f)); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s was made beside the files of the old name", f)
		}
	}
	open(t, dir)

	// A new table that takes the old name gets files of its own.
	put(t, dir, "tables/polar.yaml", strings.Replace(polarYAML, "t0000000a", "t0000000b", 1))
	s = open(t, dir)
	if _, err := s.AddReading(s.Table("t0000000b"), ReadingMeta{Reader: "text"}, polarRows(), nil); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	if len(s.Readings["t0000000a"]) != 2 || len(s.Readings["t0000000b"]) != 1 || len(s.Registers["t0000000a"].Rows) != 5 || len(s.Registers["t0000000b"].Rows) != 4 {
		t.Errorf("readings %v", s.Readings)
	}
	list := listing(t, dir)
	for _, f := range []string{"readings/t0000000b.rows.json", "readings/t0000000b.text.csv", "readings/t0000000b.text.json"} {
		if _, ok := list[f]; !ok {
			t.Errorf("%s is not among %v", f, names(list))
		}
	}
	for name, text := range list {
		if strings.Contains(text, filepath.Dir(dir)) {
			t.Errorf("%s holds the folder's path", name)
		}
	}
}

func TestAddReadingRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		rows   []RawRow
		givens []Cell
		meta   ReadingMeta
		want   string
	}{
		{"no row", nil, nil, ReadingMeta{Reader: "text"}, "tables/polar.yaml:polar: no row of the table was read; a reading has at least one\nhint: look at pages: and regions: (range: in a workbook), or key the table: windtally entry polar"},
		{"foreign column", []RawRow{{Page: 3, Cells: map[string]Cell{"cl": {Text: ".1"}, "cd": {Text: ".01"}}}}, nil, ReadingMeta{Reader: "text"},
			"tables/polar.yaml:polar:column cd: row 1 of the reading has a cell in this column, which the table has not; its columns: alpha, cl"},
		{"foreign given", polarRows(), []Cell{{Column: "mach", Text: ".2"}}, ReadingMeta{Reader: "text"}, "tables/polar.yaml:polar:given:mach: the reading has this figure, which stands not under givens:"},
		{"given twice", polarRows(), []Cell{{Column: "re", Text: "1"}, {Column: "re", Text: "2"}}, ReadingMeta{Reader: "text"}, "reading text:11: row given, column re stands already at line 10\nhint: " + restoreCells},
		{"reader", polarRows(), nil, ReadingMeta{Reader: "eye"}, `reader "eye" should be text, sorts, ocr, workbook or keyed-<initials>`},
	} {
		dir := madeStudy(t)
		s := open(t, dir)
		before := listing(t, dir)
		_, err := s.AddReading(s.Table("polar"), c.meta, c.rows, c.givens)
		wantError(t, c.name, err, c.want)
		if after := listing(t, dir); !slices.Equal(names(after), names(before)) {
			t.Errorf("%s: wrote %v", c.name, names(after))
		}
		if len(s.Readings["t0000000a"]) != 0 || s.Registers["t0000000a"] != nil {
			t.Errorf("%s: the study has %v", c.name, s.Readings)
		}
	}
}

// A file that changed after the study was opened is not written over, and nothing
// else is written either.
func TestReadingChangedMeanwhile(t *testing.T) {
	for _, file := range []string{"polar.rows.json", "polar.text.csv", "polar.text.json"} {
		dir := madeStudy(t)
		add(t, open(t, dir), "text", polarRows())
		s := open(t, dir)
		name := filepath.Join(dir, "readings", file)
		put(t, dir, "readings/"+file, "mine\n")
		before := listing(t, dir)
		_, err := s.AddReading(s.Table("polar"), ReadingMeta{Reader: "text"}, append(polarRows()[:3], RawRow{Page: 4, Box: Rect{50, 300, 130, 309}, Cells: map[string]Cell{"cl": {Text: ".6"}}}), nil)
		wantError(t, file, err, name+": changed while the program worked; nothing was written, run the command again")
		after := listing(t, dir)
		for n, text := range before {
			if after[n] != text {
				t.Errorf("%s: %s was changed", file, n)
			}
		}
		if len(after) != len(before) {
			t.Errorf("%s: left behind: %v", file, names(after))
		}
		if got := s.Registers["t0000000a"].Keys(); len(got) != 4 || len(s.Readings["t0000000a"][0].RowKeys()) != 4 {
			t.Errorf("%s: the study was changed: %v", file, got)
		}
	}
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.csv")
	want := func(text string) {
		t.Helper()
		list := listing(t, dir)
		if list["a.csv"] != text || len(list) != 2 {
			t.Errorf("the folder holds %q", list)
		}
	}
	if err := WriteFile(name, nil, []byte("1\n")); err != nil {
		t.Fatal(err)
	}
	want("1\n")
	wantError(t, "a file that is there", WriteFile(name, nil, []byte("2\n")), name+": is there already; nothing was written over it")
	want("1\n")
	if err := WriteFile(name, []byte("1\n"), []byte("2\n")); err != nil {
		t.Fatal(err)
	}
	want("2\n")
	wantError(t, "a file that changed", WriteFile(name, []byte("1\n"), []byte("3\n")), name+": changed while the program worked; nothing was written, run the command again")
	want("2\n")
	gone := filepath.Join(dir, "b.csv")
	for _, was := range []string{"", "1\n"} {
		wantError(t, "a file that is gone", WriteFile(gone, []byte(was), []byte("3\n")), gone+": changed while the program worked; nothing was written, run the command again")
	}
	if err := WriteFile(filepath.Join(dir, "no", "a.csv"), nil, []byte("1\n")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is not there: %v", err)
	}
	want("2\n")
	// Several files: all or none.
	err := writeFiles([]fileWrite{{gone, nil, []byte("new\n")}, {name, nil, []byte("new\n")}})
	wantError(t, "the second of two", err, name+": is there already; nothing was written over it")
	want("2\n")
	// A folder in the way is found only when the file is put in its place.
	if err := os.MkdirAll(filepath.Join(dir, "c.csv", "full"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := writeFiles([]fileWrite{{gone, nil, []byte("new\n")}, {filepath.Join(dir, "c.csv"), nil, []byte("new\n")}}); err == nil {
		t.Error("a folder was written over")
	}
	if _, err := os.Stat(gone); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the first of two files was left behind")
	}
}

func TestAddSource(t *testing.T) {
	dir := newStudy(t)
	s := open(t, dir)
	file := filepath.Join(t.TempDir(), "Scan of 12.PDF")
	if err := os.WriteFile(file, []byte(fileText), 0o600); err != nil {
		t.Fatal(err)
	}
	full := func() *Source {
		return &Source{Name: "tarnholm-12", Designation: "Tarnholm Report 12", Title: "Wing with four flaps", Year: 1936, Rights: "public domain", Pages: 6}
	}
	refused := func(what string, src *Source, file, want string) {
		t.Helper()
		before := listing(t, dir)
		wantError(t, what, s.AddSource(src, file), want)
		if after := listing(t, dir); !slices.Equal(names(after), names(before)) {
			t.Errorf("%s: left behind: %v", what, names(after))
		}
	}
	src := full()
	src.Rights, src.Year = "", 0
	refused("missing right and year", src, file, "sources/tarnholm-12.yaml: year is missing; it should be given\nsources/tarnholm-12.yaml: rights is empty; it should not be")
	src = full()
	src.Year = 36
	refused("year", src, file, "sources/tarnholm-12.yaml: year is 36; it should be at least 1880")
	src = full()
	src.Name = "Tarnholm 12"
	refused("name", src, file, `source name "Tarnholm 12": write small letters, figures and hyphens, a letter first`)
	put(t, dir, "sources/tarnholm-12.yaml", "mine\n")
	refused("a citation that nobody read", full(), file, filepath.Join(dir, "sources", "tarnholm-12.yaml")+": is there already; nothing was written over it")
	remove(t, dir, "sources/tarnholm-12.yaml")

	src = full()
	if err := s.AddSource(src, file); err != nil {
		t.Fatal(err)
	}
	if src.SHA256 != fileSum || src.File != "tarnholm-12.pdf" || src.Schema != 1 {
		t.Errorf("cited as %+v", src)
	}
	list := listing(t, dir)
	if list["sources/tarnholm-12.pdf"] != fileText {
		t.Errorf("the copy holds %q", list["sources/tarnholm-12.pdf"])
	}
	want := `schema: 1
file: tarnholm-12.pdf
designation: Tarnholm Report 12
title: Wing with four flaps
year: 1936
rights: public domain
sha256: ` + fileSum + `
pages: 6
first_page: 0
`
	if list["sources/tarnholm-12.yaml"] != want {
		t.Errorf("the citation is\n%s", list["sources/tarnholm-12.yaml"])
	}
	src = full()
	src.Name = "another"
	refused("the same file", src, file, file+": is cited already as Tarnholm Report 12 (sources/tarnholm-12.yaml)")
	other := filepath.Join(t.TempDir(), "15.pdf")
	if err := os.WriteFile(other, []byte("15\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	refused("the same name", full(), other, "sources/tarnholm-12.yaml: is there already, for another file; name this source otherwise with --name")
	if err := s.AddSource(full(), filepath.Join(dir, "nowhere.pdf")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}

	s = open(t, dir)
	src = s.Source("tarnholm-12")
	if err := s.CheckSource(src); err != nil {
		t.Errorf("%v", err)
	}
	put(t, dir, "sources/tarnholm-12.pdf", "15\n")
	// printf '15\n' | sha256sum
	wantError(t, "changed", s.CheckSource(src), "sources/tarnholm-12.pdf: changed since it was cited: SHA-256 238903180cc104ec2c5d8b3f20c5bc61b389ec0a967df8cc208cdc7cd454174f, cited "+fileSum+
		"\nhint: put the cited file back, or cite the other file as a source of its own")
	remove(t, dir, "sources/tarnholm-12.pdf")
	wantError(t, "gone", s.CheckSource(src), "sources/tarnholm-12.pdf: cannot be read: it is cited by sources/tarnholm-12.yaml\nhint: put the cited file back")
}

func TestAddTable(t *testing.T) {
	dir := madeStudy(t)
	s := open(t, dir)
	table := &Table{Name: "flaps", Schema: 1, ID: "t0000000c", Status: "draft", Source: "tarnholm-12", Pages: "3", Caption: "TABLE I. - Flaps, c = 1.20", Origin: "print", Layout: "grid",
		Columns: []Column{{Key: "alpha", Head: "1.20", X: []float64{50, 90.25}}}}
	if err := s.AddTable(table); err != nil {
		t.Fatal(err)
	}
	got := listing(t, dir)["tables/flaps.yaml"]
	want := draftHead + `schema: 1
id: t0000000c
status: draft
source: tarnholm-12
pages: "3"
caption: TABLE I. - Flaps, c = 1.20
origin: print
layout: grid
columns:
  - key: alpha
    head: "1.20"
    x: [50, 90.25]
`
	if got != want {
		t.Errorf("the draft is\n%s\nwant\n%s", got, want)
	}
	wantError(t, "twice", s.AddTable(table), filepath.Join(dir, "tables", "flaps.yaml")+": is there already; nothing was written over it")
	open(t, dir)
}

// A second program waits for the lock, and is told when it waited in vain.
func TestLock(t *testing.T) {
	dir := newStudy(t)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	first := exec.Command(self)
	first.Env = append(os.Environ(), holdLock+"="+dir)
	input, err := first.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	output, err := first.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(output).ReadString('\n'); line != "held\n" {
		t.Fatalf("the first program says %q, %v", line, err)
	}
	_, err = lockDir(dir, 10*time.Millisecond)
	wantError(t, "a lock that is held", err, dir+": another windtally is writing in this study; waited 10ms")

	got := make(chan error, 1)
	go func() {
		release, err := (&Study{Dir: dir}).Lock()
		if err == nil {
			// The first program wrote before it let go.
			_, err = os.Stat(filepath.Join(dir, "written"))
			release()
		}
		got <- err
	}()
	if err := input.Close(); err != nil {
		t.Error(err)
	}
	if err := <-got; err != nil {
		t.Errorf("the second program: %v", err)
	}
	if err := first.Wait(); err != nil {
		t.Errorf("the first program: %v", err)
	}
}

func TestPerson(t *testing.T) {
	s := &Study{Settings: settings}
	if err := s.Person("cd"); err != nil {
		t.Error(err)
	}
	wantError(t, "a stranger", s.Person("xy"), `initials "xy" are not in study.yaml under people: (known: ab, cd)`)
	wantError(t, "no table", s.NoTable("polar"), `there is no table "polar"; known tables: none yet (windtally extract SOURCE)`)
}
