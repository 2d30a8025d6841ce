// Package datasets is the published form of an edition: its records, and Write,
// Load, Verify and Compare.
//
// An edition is a folder, never changed once it is published:
//
//	datapackage.json            Data Package 2.0: what the edition is, and the schema of each CSV file
//	data/<resource>.csv         the master: UTF-8, LF, sorted by primary key, a missing cell is empty
//	subjects/<subject>.json     the same rows, those of one subject together
//	schema/subject.schema.json  JSON Schema of these documents
//	changes.csv CHANGES.md      what changed against the edition before
//	README.md                   what it is, the licence, the caution, how to verify
//	SHA256SUMS                  sha256sum -c SHA256SUMS
//
// Write and Load are exact: the same records make the same bytes, and Load refuses
// a folder of which a single byte differs from what Write would make of it. The
// package imports no stage of the program, so that whoever loads an edition
// compiles little more than this.
package datasets

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

const (
	descriptorPath = "datapackage.json"
	schemaPath     = "schema/subject.schema.json"
	readmePath     = "README.md"
	changesPath    = "CHANGES.md"
	sumsPath       = "SHA256SUMS"
)

// render returns every file of a sorted edition by its path.
func render(e *Edition, rows map[string][][]string) (map[string][]byte, error) {
	files := make(map[string][]byte)
	for _, r := range resources() {
		files[r.path] = r.encode(rows[r.name])
	}
	description, err := marshal(describe(e, files))
	if err != nil {
		return nil, err
	}
	if files[descriptorPath], err = layout(description); err != nil {
		return nil, err
	}
	if files[schemaPath], err = subjectSchema(); err != nil {
		return nil, err
	}
	maps.Copy(files, documents(e, rows))
	files[changesPath] = []byte(e.Changes.Markdown(e.Previous, e.Version))
	files[readmePath] = readme(e)
	files[sumsPath] = sums(files)
	return files, nil
}

// sums returns SHA256SUMS over all other files, as sha256sum writes it.
func sums(files map[string][]byte) []byte {
	var b bytes.Buffer
	for _, path := range slices.Sorted(maps.Keys(files)) {
		if path != sumsPath {
			fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(files[path]), path)
		}
	}
	return b.Bytes()
}

func readme(e *Edition) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s, %s\n\n", plainMarkdown(e.Title), e.Version)
	if e.Description != "" {
		fmt.Fprintf(&b, "%s\n\n", plainMarkdown(e.Description))
	}
	fmt.Fprintf(&b, "**Caution.** %s\n\n", plainMarkdown(e.Caution))
	fmt.Fprintf(&b, "Licence of the data: %s", plainMarkdown(e.Licence.Name))
	if e.Licence.Title != "" {
		fmt.Fprintf(&b, " (%s)", plainMarkdown(e.Licence.Title))
	}
	b.WriteString(". ")
	if e.Licence.Path != "" {
		fmt.Fprintf(&b, "<%s> ", e.Licence.Path)
	}
	b.WriteString("The sources have rights of their own, see data/sources.csv.\n\n")
	fmt.Fprintf(&b, "The master is the CSV files of data/ (sources: %d, subjects: %d, values: %d); datapackage.json says what each column means and its unit.\n", len(e.Sources), len(e.Subjects), len(e.Values))
	b.WriteString("Units are SI, with degrees for angles. An empty cell is a missing value, zero is zero; a half-width is what rounding leaves, not an accuracy.\n")
	b.WriteString("Every number names its record in data/values.csv: the text as printed, where it stands, who read it and how it was checked.\n")
	b.WriteString("subjects/ holds the same rows, those of one subject together, as JSON. CHANGES.md says what changed against the edition before.\n\n")
	b.WriteString("To verify, in this folder:\n\n    sha256sum -c SHA256SUMS\n")
	return b.Bytes()
}

// Write publishes e as a new folder dir: all or nothing, and never over anything
// that is there. The same records give the same bytes. An edition with a problem
// is refused with all its problems, each at the line that it would have had.
func Write(dir string, e *Edition) error {
	if _, err := os.Lstat(dir); err == nil {
		return fmt.Errorf("%s: is there already, an edition is never changed", filepath.Base(dir))
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	s, rows := sorted(e)
	if problems := check(s, rows); len(problems) > 0 {
		return fmt.Errorf("nothing is written: %w", joined(problems))
	}
	files, err := render(s, rows)
	if err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return err
	}
	temporary, err := os.MkdirTemp(parent, ".unpublished-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(temporary) // nothing is there any more once it is renamed
	// A temporary folder is its maker's alone, a published one is like any other.
	if err := os.Chmod(temporary, 0o755); err != nil {
		return err
	}
	folders := map[string]bool{temporary: true}
	for _, path := range slices.Sorted(maps.Keys(files)) {
		name := filepath.Join(temporary, filepath.FromSlash(path))
		folder := filepath.Dir(name)
		if !folders[folder] {
			if err := os.MkdirAll(folder, 0o755); err != nil {
				return err
			}
			folders[folder] = true
		}
		if err := writeFile(name, files[path]); err != nil {
			return err
		}
	}
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		if err := syncFolder(folder); err != nil {
			return err
		}
	}
	if _, err := os.Lstat(dir); err == nil {
		return fmt.Errorf("%s: is there already, an edition is never changed", filepath.Base(dir))
	}
	if err := os.Rename(temporary, dir); err != nil {
		return err
	}
	return syncFolder(parent)
}

func writeFile(name string, data []byte) (err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.Sync()
}

// syncFolder makes names in a folder last; windows has no such call.
func syncFolder(name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Load reads an edition and proves it: every check of Verify holds, or the error
// says which do not.
func Load(dir string) (*Edition, error) {
	e, problems, err := inspect(dir)
	if err != nil {
		return nil, err
	}
	if err := joined(problems); err != nil {
		return nil, err
	}
	return e, nil
}

// Verify lists all that is not right with an edition: files that are missing or
// stray, digests, bytes that are not the canonical ones, cells that do not fit
// their column, keys, references, numbers that differ from their record in
// values, and records that do not hold together. The error is for a folder that
// cannot be read.
func Verify(dir string) ([]Problem, error) {
	_, problems, err := inspect(dir)
	return problems, err
}

// Limits on what is read, far above any edition: a hostile folder must not fill
// the memory.
const (
	maxFiles = 100_000
	maxBytes = 1 << 30
)

// read returns the files of an edition by path, with slashes. What is neither a
// folder nor a plain file is a problem.
func read(dir string) (map[string][]byte, []Problem, error) {
	files := make(map[string][]byte)
	var problems []Problem
	var total int64
	// The folder itself may be reached through a link; nothing in it may be one.
	root, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return nil, nil, err
	}
	info, err := os.Stat(root)
	if err != nil {
		return nil, nil, err
	}
	if !info.IsDir() {
		return nil, nil, fmt.Errorf("%s: is not a folder, an edition is one", filepath.Base(dir))
	}
	err = filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		path := filepath.ToSlash(relative)
		switch {
		case entry.IsDir():
			if path != "." && path != "data" && path != "subjects" && path != "schema" {
				problems = append(problems, Problem{File: path, Message: "is a folder that no edition has"})
				return fs.SkipDir
			}
			return nil
		case !entry.Type().IsRegular():
			problems = append(problems, Problem{File: path, Message: "is not a plain file"})
			return nil
		case len(files) == maxFiles:
			return fmt.Errorf("more than %d files, an edition has fewer", maxFiles)
		}
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		data, err := io.ReadAll(io.LimitReader(f, maxBytes-total+1))
		if err := errors.Join(err, f.Close()); err != nil {
			return err
		}
		if total += int64(len(data)); total > maxBytes {
			return fmt.Errorf("more than %d bytes, an edition has fewer", maxBytes)
		}
		files[path] = data
		return nil
	})
	return files, problems, err
}

// inspect reads an edition and gathers its problems, in the order of the checks.
func inspect(dir string) (*Edition, []Problem, error) {
	files, problems, err := read(dir)
	if err != nil {
		return nil, nil, err
	}
	fail := func(file string, row int, column, format string, args ...any) {
		problems = append(problems, Problem{File: file, Row: row, Column: column, Message: fmt.Sprintf(format, args...)})
	}
	always := []string{descriptorPath, schemaPath, readmePath, changesPath, sumsPath} // whatever it holds
	for _, r := range resources() {
		always = append(always, r.path)
	}
	slices.Sort(always)
	expected := make(map[string]bool)
	for _, path := range always {
		expected[path] = true
		if files[path] == nil {
			fail(path, 0, "", "is missing")
		}
	}
	problems = append(problems, checkSums(files)...)

	e := new(Edition)
	rows := make(map[string][][]string)
	whole := true // whether what the files hold is known
	var d descriptor
	if data := files[descriptorPath]; data == nil {
		whole = false
	} else if err := decodeDescriptor(data, &d); err != nil {
		fail(descriptorPath, 0, "", "%v", err)
		whole = false
	} else if d.EditionFormat != Format {
		fail(descriptorPath, 0, "edition_format", "is %d, this program knows %d", d.EditionFormat, Format)
		return nil, problems, nil
	} else {
		d.fill(e)
		for _, r := range d.Resources {
			data, there := files[r.Path]
			if digest := fmt.Sprintf("sha256:%x", sha256.Sum256(data)); there && r.Hash != digest {
				fail(r.Path, 0, "", "has %s, %s says %s", digest, descriptorPath, r.Hash)
			}
			if there && r.Bytes != len(data) {
				fail(r.Path, 0, "", "has %d bytes, %s says %d", len(data), descriptorPath, r.Bytes)
			}
		}
	}
	legible := true // whether every CSV file can be split into cells
	for _, r := range resources() {
		data, there := files[r.path]
		if !there {
			whole, legible = false, false
			continue
		}
		table, wrong := r.decode(data)
		problems = append(problems, wrong...)
		if len(wrong) > 0 {
			whole = false
			legible = legible && table != nil
		}
		rows[r.name] = table
		if table != nil {
			slices.SortStableFunc(table, r.compare)
		}
	}
	if legible {
		for _, r := range resources() {
			wellFormed := true
			for _, row := range rows[r.name] {
				for j := range r.columns {
					wellFormed = wellFormed && r.columns[j].wrong(row[j]) == ""
				}
			}
			if wellFormed {
				r.fill(e, rows[r.name])
			}
		}
		wrong := check(e, rows)
		if d.Resources == nil { // the description is not legible, which was said
			wrong = slices.DeleteFunc(wrong, func(p Problem) bool { return p.File == descriptorPath })
		}
		problems = append(problems, wrong...)
	}
	for _, s := range rows["subjects"] {
		path := documentPath(s[0])
		expected[path] = true
		if files[path] == nil && legible {
			fail(path, 0, "", "is missing")
		}
	}
	for _, path := range slices.Sorted(maps.Keys(files)) {
		if !expected[path] && (legible || !strings.HasPrefix(path, "subjects/")) {
			fail(path, 0, "", "is no file of this edition")
		}
	}

	// What is not CSV must be what Write makes of the CSV files. Where these
	// already have a problem, all the rest differs and says nothing new.
	for _, p := range problems {
		if p.File == descriptorPath || strings.HasSuffix(p.File, ".csv") {
			whole = false
		}
	}
	if !whole {
		return nil, problems, nil
	}
	right, err := render(e, rows)
	if err != nil {
		return nil, nil, err
	}
	paths := slices.Sorted(maps.Keys(right))
	paths = append(slices.DeleteFunc(paths, func(path string) bool { return path == sumsPath }), sumsPath)
	for _, path := range paths {
		is, there := files[path]
		if !there || path == sumsPath && len(problems) > 0 {
			continue // said above, or follows from it
		}
		if line, was, want, differs := firstDifference(is, right[path]); differs {
			fail(path, line, "", "is not what the CSV files say: it reads %s, it would be right as %s", was, want)
		}
	}
	return e, problems, nil
}

// checkSums compares files with SHA256SUMS.
func checkSums(files map[string][]byte) []Problem {
	data, there := files[sumsPath]
	if !there {
		return nil
	}
	var problems []Problem
	fail := func(file string, row int, format string, args ...any) {
		problems = append(problems, Problem{File: file, Row: row, Message: fmt.Sprintf(format, args...)})
	}
	listed := make(map[string]bool)
	lines := strings.Split(string(data), "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	for i, line := range lines {
		digest, path, ok := strings.Cut(line, "  ")
		switch is, there := files[path]; {
		case !ok || !digestPattern.MatchString(digest):
			fail(sumsPath, i+1, "%.100q is not a line of digest, two spaces and path", line)
		case listed[path]:
			fail(sumsPath, i+1, "%s is listed twice", path)
		case !there:
			fail(sumsPath, i+1, "%s is listed and is not there", path)
		case fmt.Sprintf("%x", sha256.Sum256(is)) != digest:
			fail(path, 0, "has the SHA-256 %x, %s says %s", sha256.Sum256(is), sumsPath, digest)
		}
		listed[path] = true
	}
	for _, path := range slices.Sorted(maps.Keys(files)) {
		if path != sumsPath && !listed[path] {
			fail(sumsPath, 0, "%s is not listed", path)
		}
	}
	return problems
}

func decodeDescriptor(data []byte, d *descriptor) error {
	decoder := json.NewDecoder(bytes.NewReader(data))
	if err := decoder.Decode(d); err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			return fmt.Errorf("is not JSON at line %d: %w", 1+bytes.Count(data[:min(int(syntax.Offset), len(data))], []byte{'\n'}), err)
		}
		return fmt.Errorf("is not a description of an edition: %w", err)
	}
	return nil
}

// fill puts the description of the whole into e.
func (d *descriptor) fill(e *Edition) {
	e.Name, e.Title, e.Version, e.Created = d.Name, d.Title, d.Version, d.Created
	e.Description, e.Format, e.Previous, e.Caution = d.Description, d.EditionFormat, d.Previous, d.Caution
	if len(d.Licenses) > 0 {
		e.Licence = Licence(d.Licenses[0])
	}
	for _, c := range d.Contributors {
		e.Contributors = append(e.Contributors, Contributor(c))
	}
}
