package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"windtally/datasets"
	"windtally/extract"
	"windtally/normalize"
	"windtally/validate"

	"github.com/Masterminds/semver/v3"
)

// Chain is the way of one figure from its place in a source to an edition.
type Chain struct {
	Cell     extract.CellID
	Where    string   // table:row:column
	ValueIDs []string // under which it would be published now; of several subjects there are several
	Steps    []normalize.Step
}

// Explain finds the figure that what names (a value id of an edition or of the study as
// it would be published now, a derived number's, or a cell as table:row:column) and tells its chain. An
// error says what is not known and what would have been right.
func Explain(r *validate.Report, what string) (*Chain, error) {
	editions, err := loaded(filepath.Join(r.Study.Dir, "editions"))
	if err != nil {
		return nil, err
	}
	if derivedForm(what) {
		return explainDerived(r, what, editions)
	}
	now := Edition(r)
	id, err := cellOf(r, what, now, editions)
	if err != nil {
		return nil, err
	}
	t := r.Study.Table(id.Table)
	c := &Chain{Cell: id, Where: t.Name + ":" + id.Row + ":" + id.Column}
	var series *normalize.Series
	for _, s := range r.Series {
		if s.Table.ID == id.Table {
			series = s
		}
	}
	if series == nil {
		return nil, fmt.Errorf("%s: the table is a draft, so that none of its figures has a meaning\nhint: complete tables/%s.yaml and set status: ready; windtally show %s prints what was read", c.Where, t.Name, t.Name)
	}
	cell := series.Collation.Cell(id.Row, id.Column)
	if cell == nil {
		return nil, noCell(series, id)
	}
	c.print(r, series, cell)
	if cell.State != extract.Withheld || !c.withheld(r, id) {
		c.Steps = append(c.Steps, series.Explain(id)...)
	}
	c.checks(r, series, cell)
	c.rulings(r, series, cell)
	c.published(r, series, cell, now, editions)
	c.follows(now)
	return c, nil
}

const noRuling = "nobody ruled on it"

func (c *Chain) add(name, says string, facts ...normalize.Fact) {
	kept := slices.DeleteFunc(facts, func(f normalize.Fact) bool { return f.Value == "" })
	c.Steps = append(c.Steps, normalize.Step{Name: name, Says: says, Facts: kept})
}

type named struct {
	version string
	*datasets.Edition
}

// loaded reads every edition of the study, the newest first.
func loaded(folder string) ([]named, error) {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	var versions []*semver.Version
	for _, entry := range entries {
		if v, err := semver.StrictNewVersion(entry.Name()); err == nil && entry.IsDir() {
			versions = append(versions, v)
		}
	}
	slices.SortFunc(versions, func(a, b *semver.Version) int { return b.Compare(a) })
	var list []named
	for _, v := range versions {
		e, err := datasets.Load(filepath.Join(folder, v.Original()))
		if err != nil {
			return nil, fmt.Errorf("the edition %s does not load: %w", v.Original(), err)
		}
		list = append(list, named{v.Original(), e})
	}
	return list, nil
}

// valueForm tells a value's id from a cell.
func valueForm(what string) bool {
	return len(what) == 13 && what[0] == 'v' && strings.Trim(what[1:], "0123456789abcdef") == ""
}

func cellOf(r *validate.Report, what string, now *datasets.Edition, editions []named) (extract.CellID, error) {
	if !strings.ContainsAny(what, ":/") {
		var ids []string
		for _, e := range append([]named{{"", now}}, editions...) {
			for i := range e.Values {
				v := &e.Values[i]
				ids = append(ids, v.ValueID)
				if v.ValueID != what {
					continue
				}
				t := r.Study.Table(v.Table)
				if t == nil {
					return extract.CellID{}, fmt.Errorf("value %s of edition %s was printed in %s:%s:%s, and the study no longer has a table of that name; known tables: %s", what, e.version, v.Table, v.Row, v.Column, tableNames(r.Study))
				}
				return extract.CellID{Table: t.ID, Row: v.Row, Column: v.Column}, nil
			}
		}
		slices.Sort(ids)
		ids = slices.Compact(ids)
		if !valueForm(what) {
			return extract.CellID{}, fmt.Errorf("%q is neither a value's id (v and twelve hexadecimal figures, as in column value_id of values.csv, or d and twelve as in derived.csv) nor a cell (TABLE:ROW:COLUMN, as windtally show prints their keys)%s", what, nearestOf(what, ids))
		}
		return extract.CellID{}, fmt.Errorf("no value %s is in an edition of the study, nor would be published now%s", what, nearestOf(what, ids))
	}
	parts := strings.Split(what, ":")
	if id, ok := extract.ParseCellID(what); ok {
		parts = []string{id.Table, id.Row, id.Column}
	}
	if len(parts) != 3 || slices.Contains(parts, "") {
		return extract.CellID{}, fmt.Errorf("%q is no cell; it should be TABLE:ROW:COLUMN, for example %s", what, exampleCell(r))
	}
	t := r.Study.Table(parts[0])
	if t == nil {
		return extract.CellID{}, r.Study.NoTable(parts[0])
	}
	return extract.CellID{Table: t.ID, Row: parts[1], Column: parts[2]}, nil
}

func tableNames(s *extract.Study) string {
	var names []string
	for _, t := range s.Tables {
		names = append(names, t.Name)
	}
	return strings.Join(names, ", ")
}

// exampleCell is a cell that the study has.
func exampleCell(r *validate.Report) string {
	for _, s := range r.Series {
		if len(s.Collation.Rows) > 0 {
			return s.Table.Name + ":" + s.Collation.Rows[0] + ":" + s.Table.Columns[len(s.Table.Columns)-1].Key
		}
	}
	return "table:r001:cl"
}

func noCell(s *normalize.Series, id extract.CellID) error {
	where := s.Table.Name + ":" + id.Row + ":" + id.Column
	rows := slices.Clone(s.Collation.Rows)
	if len(s.Table.Givens) > 0 {
		rows = append(rows, extract.Given)
	}
	switch {
	case len(s.Collation.Readers) == 0:
		return fmt.Errorf("%s: the table has no reading\nhint: windtally extract %s, or windtally entry %s", where, s.Table.Name, s.Table.Name)
	case !slices.Contains(rows, id.Row):
		return fmt.Errorf("%s: the table has no row %q; known rows: %s", where, id.Row, strings.Join(nearest(id.Row, rows, 12), ", "))
	case !slices.Contains(s.Table.KeysOf(id.Row), id.Column):
		return fmt.Errorf("%s: row %s has no column %q; known columns: %s", where, id.Row, id.Column, strings.Join(s.Table.KeysOf(id.Row), ", "))
	}
	return fmt.Errorf("%s: no reading has the cell\nhint: rule reread on it with what the print says: windtally rule --reread TEXT %s", where, where)
}

func nearestOf(what string, ids []string) string {
	if len(ids) == 0 {
		return "; nothing is published yet"
	}
	return "; the nearest ids are " + strings.Join(nearest(what, ids, 3), ", ")
}

// nearest lists the texts that take the fewest changes of a letter to become what, in
// their own order where all are listed.
func nearest(what string, list []string, most int) []string {
	if len(list) <= most {
		return list
	}
	near := slices.Clone(list)
	slices.SortStableFunc(near, func(a, b string) int { return changesOf(what, a) - changesOf(what, b) })
	return near[:most]
}

// changesOf counts the letters to put in, take out or change between two texts.
func changesOf(a, b string) int {
	was := make([]int, len(b)+1)
	for j := range was {
		was[j] = j
	}
	for i := range len(a) {
		now := []int{i + 1}
		for j := range len(b) {
			change := was[j]
			if a[i] != b[j] {
				change++
			}
			now = append(now, min(change, was[j+1]+1, now[j]+1))
		}
		was = now
	}
	return was[len(b)]
}

// print tells where the figure stands, and who read what there.
func (c *Chain) print(r *validate.Report, s *normalize.Series, cell *extract.Collated) {
	t := s.Table
	if src := r.Study.Source(t.Source); src != nil {
		c.add("source", fmt.Sprintf("%s, %s, %d (%s)", src.Designation, src.Title, src.Year, src.Name),
			normalize.Fact{Name: "source", Value: src.Name}, normalize.Fact{Name: "designation", Value: src.Designation}, normalize.Fact{Name: "title", Value: src.Title},
			normalize.Fact{Name: "year", Value: fmt.Sprint(src.Year)}, normalize.Fact{Name: "sha256", Value: src.SHA256})
		b := &builder{r: r}
		place := b.place(t, cell)
		says := placeWords(place)
		facts := []normalize.Fact{{Name: "sheet", Value: place.Sheet}, {Name: "ref", Value: place.Ref}}
		if place.Page > 0 {
			facts = append(facts, normalize.Fact{Name: "page", Value: fmt.Sprint(place.Page)})
			if src.FirstPage > 0 {
				printed := fmt.Sprint(place.Page + src.FirstPage - 1)
				says += ", which bears the number " + printed
				facts = append(facts, normalize.Fact{Name: "printed_page", Value: printed})
			}
		}
		if !place.Box.Empty() {
			box := fmt.Sprintf("%.2f %.2f %.2f %.2f", place.Box.X0, place.Box.Y0, place.Box.X1, place.Box.Y1)
			says += ", rectangle " + box + " (left, top, right, bottom as the page is seen)"
			facts = append(facts, normalize.Fact{Name: "box", Value: box})
		}
		if place.Line > 0 {
			facts = append(facts, normalize.Fact{Name: "line", Value: fmt.Sprint(place.Line)})
		}
		c.add("place", says, facts...)
	}
	caption := ""
	if t.Caption != "" {
		caption = fmt.Sprintf(", %q", t.Caption)
	}
	origin := ""
	if t.Origin == "figure" {
		origin = ", read off a plotted curve"
	}
	c.add("table", t.Name+caption+origin, normalize.Fact{Name: "table", Value: t.Name}, normalize.Fact{Name: "id", Value: t.ID},
		normalize.Fact{Name: "caption", Value: t.Caption}, normalize.Fact{Name: "origin", Value: t.Origin})
	if cell.ID.Row == extract.Given {
		words := ""
		if g := t.GivenFigure(cell.ID.Column); g != nil && g.Words != "" {
			words = fmt.Sprintf(", beside the words %q", g.Words)
		}
		c.add("given", fmt.Sprintf("a figure outside the grid, %s%s", cell.ID.Column, words), normalize.Fact{Name: "column", Value: cell.ID.Column})
	} else {
		row, _ := s.At(cell.ID)
		label := ""
		var labels []string
		if row != nil {
			for _, key := range t.ColumnKeys() {
				if at := s.Collation.Cell(row.Key, key); row.Labels[key] != "" && at != nil {
					labels = append(labels, at.Text)
				}
			}
			if len(labels) > 0 {
				label = fmt.Sprintf(", labelled %q", strings.Join(labels, ", "))
			}
		}
		c.add("row", cell.ID.Row+label, normalize.Fact{Name: "row", Value: cell.ID.Row}, normalize.Fact{Name: "label", Value: strings.Join(labels, ", ")})
		head := ""
		col := t.Column(cell.ID.Column)
		if col != nil && col.Head != "" {
			head = fmt.Sprintf(", under the head %q", col.Head)
		}
		facts := []normalize.Fact{{Name: "column", Value: cell.ID.Column}}
		if col != nil {
			facts = append(facts, normalize.Fact{Name: "head", Value: col.Head})
		}
		c.add("column", cell.ID.Column+head, facts...)
	}
	for _, w := range cell.Witnesses {
		confidence := ""
		if w.Confidence >= 0 {
			confidence = strconv.FormatFloat(w.Confidence, 'f', 2, 64)
		}
		c.add("reading", w.String(), normalize.Fact{Name: "confidence", Value: confidence}, normalize.Fact{Name: "reader", Value: w.Reader}, normalize.Fact{Name: "text", Value: w.Text},
			normalize.Fact{Name: "doubt", Value: w.Doubt}, normalize.Fact{Name: "candidates", Value: strings.Join(w.Candidates, " ")}, normalize.Fact{Name: "place", Value: w.Place.String()})
	}
	says := fmt.Sprintf("the print says %q (%s)", cell.Print, cell.State)
	switch {
	case cell.State.Waits():
		says = fmt.Sprintf("what the print says is open until a person rules (%s)", cell.State)
	case cell.State == extract.Emended:
		says = fmt.Sprintf("the print says %q and is wrong: a person put %q in its place (%s)", cell.Print, cell.Text, cell.State)
	case cell.State == extract.Withheld:
		says = fmt.Sprintf("the print says %q, and a person keeps it back (%s)", cell.Print, cell.State)
	}
	c.add("print", says, normalize.Fact{Name: "printed", Value: cell.Print}, normalize.Fact{Name: "text", Value: cell.Text}, normalize.Fact{Name: "state", Value: string(cell.State)})
}

func placeWords(p extract.Place) string {
	switch {
	case p.Page > 0:
		return fmt.Sprintf("page %d of the file", p.Page)
	case p.Sheet != "" || p.Ref != "":
		return fmt.Sprintf("cell %s of the sheet %q", p.Ref, p.Sheet)
	case p.Line > 0:
		return fmt.Sprintf("line %d of the file", p.Line)
	}
	return "no reading says where it stands"
}

// checks tells which checks look at the figure, and what was found of it.
func (c *Chain) checks(r *validate.Report, s *normalize.Series, cell *extract.Collated) {
	var uses []string
	for _, text := range s.Table.Relations {
		if slices.Contains(strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" =+-*/", r) }), cell.ID.Column) {
			uses = append(uses, text)
		}
	}
	if len(uses) > 0 {
		c.add("relation", "the table prints it in "+strings.Join(uses, " and in "), normalize.Fact{Name: "relations", Value: strings.Join(uses, "; ")})
	}
	if list := r.Answering(cell.ID); len(list) > 0 {
		c.add("checks", "another figure here (its negative, ten times, a tenth, twice, half, six or four fifths of it) would have set off "+strings.Join(list, ", "),
			normalize.Fact{Name: "answering", Value: strings.Join(list, " ")})
	} else if _, d := s.At(cell.ID); d != nil {
		c.add("checks", "no check of values looks at it: its readings alone vouch for it")
	}
	found := 0
	for i := range r.Findings {
		f := &r.Findings[i]
		of := concerns(f, s, cell)
		if above := repeated(s, cell); of == "" && above != nil && concerns(f, s, above) == "cell" {
			of = "figure that it repeats"
		}
		if of == "" {
			continue
		}
		found++
		state := string(f.Severity) + ", open"
		facts := []normalize.Fact{{Name: "finding", Value: f.ID}, {Name: "check", Value: f.Check}, {Name: "severity", Value: string(f.Severity)}, {Name: "of", Value: of},
			{Name: "message", Value: f.Message}, {Name: "expected", Value: f.Expected}}
		if f.Ruling != nil {
			state = fmt.Sprintf("%s, ruled: %s by %s, %s", f.Severity, f.Ruling.Decision, f.Ruling.Who, f.Ruling.ID)
			facts = append(facts, normalize.Fact{Name: "state", Value: "ruled"}, normalize.Fact{Name: "ruling", Value: f.Ruling.ID})
		} else {
			facts = append(facts, normalize.Fact{Name: "state", Value: "open"})
		}
		expected := ""
		if f.Expected != "" {
			expected = "; expected " + f.Expected
		}
		c.add("finding", fmt.Sprintf("%s, of the %s: %s: %s%s (%s; %s)", f.Check, of, f.Where, f.Message, expected, f.ID, state), facts...)
	}
	if found == 0 {
		c.add("finding", "none concerns it, its row, its column or its table")
	}
}

// repeated is the cell that prints the figure of a ditto mark, or nil.
func repeated(s *normalize.Series, cell *extract.Collated) *extract.Collated {
	if _, d := s.At(cell.ID); d != nil {
		return d.Above
	}
	return nil
}

// concerns says what of a cell a finding is about: the cell itself, or the column, row,
// reading or table in which it stands; "" where it is about something else.
func concerns(f *validate.Finding, s *normalize.Series, cell *extract.Collated) string {
	if slices.Contains(f.Cells, cell.ID) {
		return "cell"
	}
	if len(f.Cells) > 0 || f.Table != s.Table.Name {
		return ""
	}
	rest, ok := strings.CutPrefix(f.Where, s.Table.Name)
	if !ok {
		return "table"
	}
	rest = strings.TrimPrefix(rest, ":")
	row, _ := s.At(cell.ID)
	labelled := false
	if row != nil {
		for _, text := range row.Labels {
			labelled = labelled || rest != "" && extract.Label(rest) == text
		}
	}
	switch {
	case rest == "":
		return "table"
	case rest == cell.ID.Column, rest == "column "+cell.ID.Column:
		return "column"
	case rest == cell.ID.Row, labelled:
		return "row"
	case rest == cell.ID.Row+":"+cell.ID.Column:
		return "cell"
	case slices.Contains(s.Collation.Readers, rest):
		return "reading"
	}
	return ""
}

// rulings tells what people decided about the figure and about what was found of it.
func (c *Chain) rulings(r *validate.Report, s *normalize.Series, cell *extract.Collated) {
	superseded := map[string]string{}
	for _, u := range r.Rulings {
		if u.Supersedes != "" {
			superseded[u.Supersedes] = u.ID
		}
	}
	found := 0
	b := &builder{r: r}
	above := repeated(s, cell)
	for _, u := range r.Rulings {
		of := ""
		settled := cell.Settled
		if u.Target == cell.ID.String() {
			of = "the cell"
		} else if above != nil && u.Target == above.ID.String() {
			of, settled = "the figure that it repeats", above.Settled
		} else if f := r.Finding(u.Target); f != nil && concerns(f, s, cell) != "" {
			of = "the finding " + f.ID
		} else {
			continue
		}
		found++
		stands := "stands"
		switch by := superseded[u.ID]; {
		case by != "":
			stands = "superseded by " + by
		case u.Lifts():
			stands = "takes back " + u.Supersedes
		case r.Finding(u.Target) != nil:
			if f := r.Finding(u.Target); f.Ruling == nil || f.Ruling.ID != u.ID {
				stands = "does not stand"
			}
		case settled == nil || settled.Ruling != u.ID:
			stands = "does not stand"
		}
		value := ""
		if u.Value != "" || u.Decision == validate.Reread {
			value = fmt.Sprintf(" %q", u.Value)
		}
		when := u.When.UTC().Format("2006-01-02T15:04:05Z")
		c.add("ruling", fmt.Sprintf("%s of %s by %s (%s) on %s: %s%s, because: %s (%s)", u.ID, of, b.person(u.Who), u.Who, when, u.Decision, value, u.Reason, stands),
			normalize.Fact{Name: "ruling", Value: u.ID}, normalize.Fact{Name: "target", Value: u.Target}, normalize.Fact{Name: "decision", Value: string(u.Decision)}, normalize.Fact{Name: "value", Value: u.Value},
			normalize.Fact{Name: "who", Value: u.Who}, normalize.Fact{Name: "when", Value: when}, normalize.Fact{Name: "reason", Value: u.Reason}, normalize.Fact{Name: "standing", Value: stands})
	}
	if found == 0 {
		c.add("ruling", noRuling)
	}
}

// published tells as what the figure is and would be published, or why it is not.
func (c *Chain) published(r *validate.Report, s *normalize.Series, cell *extract.Collated, now *datasets.Edition, editions []named) {
	blocking := len(r.Blocking())
	for i := range now.Values {
		v := &now.Values[i]
		if v.Table != s.Table.Name || v.Row != cell.ID.Row || v.Column != cell.ID.Column {
			continue
		}
		c.ValueIDs = append(c.ValueIDs, v.ValueID)
		when := "would be published now"
		if blocking > 0 {
			when = fmt.Sprintf("would be published once the blocking findings of the study are settled (%d open)", blocking)
		}
		c.record("published", when, now, v)
	}
	for _, e := range editions {
		for i := range e.Values {
			v := &e.Values[i]
			if !slices.Contains(c.ValueIDs, v.ValueID) && !(v.Table == s.Table.Name && v.Row == cell.ID.Row && v.Column == cell.ID.Column) {
				continue
			}
			c.record("edition", fmt.Sprintf("edition %s, line %d of values.csv", e.version, i+2), e.Edition, v,
				normalize.Fact{Name: "edition", Value: e.version}, normalize.Fact{Name: "line", Value: fmt.Sprint(i + 2)})
		}
	}
	if len(c.ValueIDs) > 0 {
		return
	}
	why := unpublishedBecause(s, cell)
	c.add("not published", why, normalize.Fact{Name: "why", Value: why})
	for i := range now.Findings {
		if f := &now.Findings[i]; f.State == "withheld" && slices.Contains(strings.Fields(f.Cells), cell.ID.String()) {
			c.add("withheld", fmt.Sprintf("findings.csv says so in %s: %s", f.FindingID, f.Message), normalize.Fact{Name: "finding", Value: f.FindingID}, normalize.Fact{Name: "ruling", Value: f.RulingID})
		}
	}
}

func (c *Chain) record(name, head string, e *datasets.Edition, v *datasets.Value, facts ...normalize.Fact) {
	u := ""
	if v.Unit != "1" {
		u = " " + v.Unit
	}
	says := fmt.Sprintf("%s: %s of %s is %s%s", head, v.ValueID, v.SubjectID, v.Value, u)
	if v.HalfWidth != "" {
		says += fmt.Sprintf(", half-width %s", v.HalfWidth)
	}
	says += ", " + v.Checked
	rows := repeats(e, v.ValueID)
	if len(rows) > 0 {
		says += "; repeated in " + strings.Join(rows, ", ")
	}
	c.add(name, says, append(facts, normalize.Fact{Name: "value_id", Value: v.ValueID}, normalize.Fact{Name: "subject", Value: v.SubjectID}, normalize.Fact{Name: "value", Value: string(v.Value)},
		normalize.Fact{Name: "unit", Value: v.Unit}, normalize.Fact{Name: "half_width", Value: string(v.HalfWidth)}, normalize.Fact{Name: "accuracy", Value: string(v.Accuracy)},
		normalize.Fact{Name: "checked", Value: v.Checked}, normalize.Fact{Name: "configuration_id", Value: v.ConfigurationID}, normalize.Fact{Name: "conditions_id", Value: v.ConditionsID},
		normalize.Fact{Name: "repeated_in", Value: strings.Join(rows, "; ")})...)
}

// unpublishedBecause says why a figure is in no edition that would be made now.
func unpublishedBecause(s *normalize.Series, cell *extract.Collated) string {
	_, d := s.At(cell.ID)
	switch {
	case cell.State == extract.Withheld:
		return "it is withheld by a ruling"
	case cell.State.Waits():
		return fmt.Sprintf("its readings are %s, and nobody has ruled yet", cell.State)
	case d == nil && s.Table.Column(cell.ID.Column) != nil && s.Table.Column(cell.ID.Column).Quantity == "label":
		return "it is a label and no figure"
	case d == nil:
		return "nothing that is printed there is a figure with a meaning"
	case s.Table.Column(cell.ID.Column) != nil && s.Table.Column(cell.ID.Column).Quantity == normalize.Unclassified:
		return "its quantity is unclassified"
	case d.Quantity == nil:
		return "what it means was refused: see the findings of its column and of its row"
	case d.Refused:
		return "what it means could not be settled: see its findings"
	}
	return "no subject's record names its row"
}

// repeats lists the records of an edition that repeat or refer to a value.
func repeats(e *datasets.Edition, valueID string) []string {
	var list []string
	all := reflect.ValueOf(e).Elem()
	for i := range all.NumField() {
		name := all.Type().Field(i).Name
		records := all.Field(i)
		if records.Kind() != reflect.Slice || records.Type().Elem().Kind() != reflect.Struct || name == "Values" || name == "Findings" {
			continue
		}
		for k := range records.Len() {
			rec := records.Index(k)
			key, first := "", true
			for j := range rec.NumField() {
				field := rec.Type().Field(j)
				column, ok := field.Tag.Lookup("csv")
				if !ok {
					continue
				}
				if field.Tag.Get("key") == "yes" && (first || field.Type.Kind() == reflect.Int) {
					key = strings.TrimSpace(key + " " + fmt.Sprint(rec.Field(j).Interface()))
					first = false
				}
				switch v := rec.Field(j).Interface().(type) {
				case datasets.Measured:
					if v.ValueID == valueID {
						list = append(list, fmt.Sprintf("%s of %s %s", column, resourceName(name), key))
					}
				case string:
					if column == "value_id" && v == valueID {
						list = append(list, fmt.Sprintf("%s %s", resourceName(name), key))
					}
				}
			}
		}
	}
	return list
}

// resourceName is the name of the CSV file of a field of an edition.
func resourceName(field string) string {
	var b strings.Builder
	for i, r := range field {
		if r >= 'A' && r <= 'Z' {
			if i > 0 {
				b.WriteByte('_')
			}
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}
