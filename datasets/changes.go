package datasets

import (
	"fmt"
	"slices"
	"strings"

	"github.com/Masterminds/semver/v3"
)

// Step is a step in the version of the data; "" is none.
type Step string

// The steps of MAJOR.MINOR.PATCH.
const (
	Patch Step = "patch" // what describes the data, and no number
	Minor Step = "minor" // rows that came, and any change of a published number
	Major Step = "major" // a record withdrawn, a meaning or a unit changed
)

func (s Step) rank() int { return slices.Index([]Step{"", Patch, Minor, Major}, s) }

// Change is one difference between two editions.
type Change struct {
	Resource string `csv:"resource" type:"text" key:"part" need:"yes" doc:"resource, or package for what describes the whole"`
	Key      string `csv:"key" type:"text" key:"part" doc:"primary key of the row, its parts with / between"`
	Field    string `csv:"field" type:"text" key:"part" doc:"column; empty where the whole row came or went"`
	Kind     string `csv:"kind" type:"text" need:"yes" enum:"added|removed|changed" doc:"added, removed or changed"`
	Old      string `csv:"old" type:"print" doc:"what stood there in the edition before, empty where nothing did; of a row of values or derived that went, its number"`
	New      string `csv:"new" type:"print" doc:"what stands there now, empty where nothing does; of a row of values or derived that came, its number"`
	Step     Step   `csv:"step" type:"text" need:"yes" enum:"major|minor|patch" doc:"step in the version of the data that the change demands"`
}

func (c Change) String() string {
	where := c.Resource
	if c.Key != "" {
		where += " " + c.Key
	}
	switch {
	case c.Field == "" && c.Old+c.New != "":
		return where + " " + c.Kind + ": " + c.Old + c.New
	case c.Field == "":
		return where + " " + c.Kind
	}
	text := func(s string) string {
		if s == "" {
			return "nothing"
		}
		return s
	}
	return fmt.Sprintf("%s: %s %s -> %s", where, c.Field, text(c.Old), text(c.New))
}

// Changes is the change list between two editions, sorted by resource, key and
// column.
type Changes []Change

// Least returns the least step in the version that the changes allow, "" where
// nothing changed.
func (c Changes) Least() Step {
	var least Step
	for _, change := range c {
		if change.Step.rank() > least.rank() {
			least = change.Step
		}
	}
	return least
}

// Compare lists what differs between two editions: rows by their primary keys
// (numbers, therefore, by value id), and within a row column by column.
//
// A row that came is minor, one that went major (minor for a finding or a
// tolerance). A number that changed is minor; a unit, a meaning or what a record
// is about is major; titles, notes and the like are patch.
func Compare(old, new *Edition) Changes {
	var list Changes
	describe := func(field, was, is string, step Step) {
		if was != is {
			list = append(list, Change{Resource: "package", Field: field, Kind: "changed", Old: was, New: is, Step: step})
		}
	}
	describe("name", old.Name, new.Name, Major)
	describe("title", old.Title, new.Title, Patch)
	describe("description", old.Description, new.Description, Patch)
	describe("created", old.Created, new.Created, Patch)
	describe("edition_format", fmt.Sprint(formatOf(old)), fmt.Sprint(formatOf(new)), Major)
	describe("licence_name", old.Licence.Name, new.Licence.Name, Major)
	describe("licence_path", old.Licence.Path, new.Licence.Path, Patch)
	describe("licence_title", old.Licence.Title, new.Licence.Title, Patch)
	describe("contributors", contributorText(old), contributorText(new), Patch)
	describe("caution", old.Caution, new.Caution, Patch)
	for _, r := range resources() {
		if r.name == "changes" {
			continue
		}
		was, is := r.rows(old), r.rows(new)
		for len(was) > 0 || len(is) > 0 {
			order := 0
			switch {
			case len(was) == 0:
				order = 1
			case len(is) == 0:
				order = -1
			default:
				order = r.compare(was[0], is[0])
			}
			switch {
			case order < 0:
				list = append(list, Change{Resource: r.name, Key: r.keyOf(was[0]), Kind: "removed", Old: r.number(was[0]), Step: r.withdraw})
				was = was[1:]
			case order > 0:
				list = append(list, Change{Resource: r.name, Key: r.keyOf(is[0]), Kind: "added", New: r.number(is[0]), Step: Minor})
				is = is[1:]
			default:
				for i, c := range r.columns {
					if was[0][i] != is[0][i] {
						list = append(list, Change{Resource: r.name, Key: r.keyOf(is[0]), Field: c.name, Kind: "changed", Old: was[0][i], New: is[0][i], Step: c.change})
					}
				}
				was, is = was[1:], is[1:]
			}
		}
	}
	changes := resourceNamed("changes")
	sorted := changes.rows(&Edition{Changes: list})
	var e Edition
	changes.fill(&e, sorted)
	return e.Changes
}

// number returns the number that comes or goes with a row of values or derived.
func (r *resource) number(row []string) string {
	if r.name != "values" && r.name != "derived" {
		return ""
	}
	return row[r.column("value")]
}

func formatOf(e *Edition) int {
	if e.Format == 0 {
		return Format
	}
	return e.Format
}

func contributorText(e *Edition) string {
	var names []string
	for _, c := range e.Contributors {
		names = append(names, strings.TrimSpace(c.Title+" ("+strings.Join(c.Roles, ", ")+")"))
	}
	return strings.Join(names, "; ")
}

// parseVersion reads MAJOR.MINOR.PATCH, and nothing else.
func parseVersion(text string) (*semver.Version, error) {
	v, err := semver.StrictNewVersion(text)
	if err != nil || v.Prerelease() != "" || v.Metadata() != "" {
		return nil, fmt.Errorf("version %q is not MAJOR.MINOR.PATCH, such as 1.0.0", text)
	}
	return v, nil
}

// CheckVersion returns an error where the step from version prev to version next
// is smaller than the changes allow; it says which step is needed and why. prev
// is "" for the first edition, which may have any version from 0.1.0.
func CheckVersion(prev, next string, c Changes) error {
	to, err := parseVersion(next)
	if err != nil {
		return err
	}
	if prev == "" {
		if to.LessThan(semver.New(0, 1, 0, "", "")) {
			return fmt.Errorf("version %s is too small, a first edition is 0.1.0 or later", next)
		}
		return nil
	}
	from, err := parseVersion(prev)
	if err != nil {
		return fmt.Errorf("the edition before: %w", err)
	}
	least := c.Least()
	var needed semver.Version
	switch least {
	case Major:
		needed = from.IncMajor()
	case Minor:
		needed = from.IncMinor()
	default:
		needed = from.IncPatch()
	}
	if !to.LessThan(&needed) {
		return nil
	}
	if least == "" {
		return fmt.Errorf("version %s does not come after %s: it would be right as %s or later", next, prev, needed.String())
	}
	var because []Change
	for _, change := range c {
		if change.Step == least {
			because = append(because, change)
		}
	}
	more := ""
	if n := len(because) - 1; n > 0 {
		more = fmt.Sprintf(", and %d more", n)
	}
	return fmt.Errorf("version %s is too small a step from %s: the least is %s, %s or later, because of %s%s", next, prev, least, needed.String(), because[0], more)
}

// CSV returns the change list as changes.csv of an edition holds it.
func (c Changes) CSV() []byte {
	r := resourceNamed("changes")
	return r.encode(r.rows(&Edition{Changes: c}))
}

// Markdown returns the change list for a person to read: what was withdrawn and
// what changed line by line, what came as a count for each resource; of derived numbers,
// which nobody prints, each that came too.
func (c Changes) Markdown(previous, version string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Changes in %s\n\n", version)
	switch {
	case previous == "":
		b.WriteString("This is the first edition.\n")
		return b.String()
	case len(c) == 0:
		fmt.Fprintf(&b, "Nothing changed against %s.\n", previous)
		return b.String()
	}
	fmt.Fprintf(&b, "Against %s; the least step that the changes allow is %s.\n", previous, c.Least())
	section := func(title string, in func(Change) bool) {
		first := true
		for _, change := range c {
			if !in(change) {
				continue
			}
			if first {
				fmt.Fprintf(&b, "\n## %s\n\n", title)
				first = false
			}
			fmt.Fprintf(&b, "- %s\n", plainMarkdown(change.String()))
		}
	}
	section("Withdrawn", func(c Change) bool { return c.Kind == "removed" })
	section("Published numbers", func(c Change) bool { return c.Kind == "changed" && c.Resource == "values" && c.Step != Patch })
	section("Derived numbers", func(c Change) bool { return c.Kind != "removed" && c.Resource == "derived" })
	section("Other changes", func(c Change) bool {
		return c.Kind == "changed" && c.Resource != "derived" && (c.Resource != "values" || c.Step == Patch)
	})
	first := true
	for _, r := range resources() {
		n := 0
		for _, change := range c {
			if change.Kind == "added" && change.Resource == r.name {
				n++
			}
		}
		if n == 0 {
			continue
		}
		if first {
			b.WriteString("\n## Added\n\n")
			first = false
		}
		rows := "rows"
		if n == 1 {
			rows = "row"
		}
		fmt.Fprintf(&b, "- %s: %d %s\n", plainMarkdown(r.name), n, rows)
	}
	return b.String()
}

// plainMarkdown escapes what Markdown would not show as it stands.
func plainMarkdown(text string) string {
	var b strings.Builder
	for _, c := range text {
		switch c {
		case '\\', '`', '*', '_', '[', ']', '<', '&', '|', '#', '~':
			b.WriteByte('\\')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// checkChanges says where the change list does not fit the sorted edition that has
// it.
func checkChanges(e *Edition) []Problem {
	var problems []Problem
	fail := func(row int, column, format string, args ...any) {
		problems = append(problems, Problem{File: "changes.csv", Row: row, Column: column, Message: fmt.Sprintf(format, args...)})
	}
	if e.Previous == "" {
		if len(e.Changes) > 0 {
			fail(2, "", "the edition names none before it, its change list would be right empty")
		}
		return problems
	}
	present := make(map[string][]string)
	for _, r := range resources() {
		for _, row := range r.rows(e) {
			present[r.name+" "+r.keyOf(row)] = row
		}
	}
	for i, c := range e.Changes {
		if c.Resource == "package" {
			continue
		}
		r := resourceNamed(c.Resource)
		if r == nil || r.name == "changes" {
			fail(i+2, "resource", "%q is not a resource", c.Resource)
			continue
		}
		now, there := present[c.Resource+" "+c.Key]
		step := Minor
		switch {
		case c.Kind == "removed" && there:
			fail(i+2, "key", "%s is said to be withdrawn from %s and is there", c.Key, c.Resource)
			continue
		case c.Kind != "removed" && !there:
			fail(i+2, "key", "%s is not in %s", c.Key, c.Resource)
			continue
		case c.Kind == "removed":
			step = r.withdraw
		case c.Kind == "added" && c.New != r.number(now):
			fail(i+2, "new", "%q differs from %q in %s", c.New, r.number(now), r.path)
		case c.Kind == "changed":
			j := r.column(c.Field)
			if j < 0 {
				fail(i+2, "field", "%q is not a column of %s", c.Field, c.Resource)
				continue
			}
			if now[j] != c.New {
				fail(i+2, "new", "%q differs from %q in %s", c.New, now[j], r.path)
			}
			step = r.columns[j].change
		}
		if c.Step != step {
			fail(i+2, "step", "is %s, it would be right as %s", c.Step, step)
		}
	}
	return problems
}
