package validate

import (
	"fmt"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/normalize"
)

// Check is one test that every study goes through.
type Check struct {
	Name string
	// About says what it tests, with the equation in ASCII.
	About string
	// Range says where it holds; outside it the check is silent.
	Range string
	// Source of the tolerance: published, or "common practice, no source".
	Source string
	// Bounds are the tolerances that study.yaml may set otherwise, with their values.
	Bounds []Bound
	run    func(r *Report) []draft
}

// Bound is one tolerance of a check.
type Bound struct {
	Name  string
	Value float64
	What  string
}

// draft is a finding before it has an id; detail tells it from others of the same
// check on the same cells.
type draft struct {
	Finding
	detail string
}

// Checks is the explicit list of checks, in the order in which they run.
func Checks() []Check {
	return []Check{
		{Name: "collation", About: "all readings of a table say the same in every cell, row and column", Range: "every ready table", Source: "the design of this program", run: collation},
		{Name: "reader-doubt", About: "of every cell one reader at least vouches for what it read", Range: "every ready table", Source: "the design of this program", run: doubts},
		{Name: "meaning", About: "every figure is a numeral, and its quantity, unit and basis are stated", Range: "every ready table", Source: "the design of this program", run: meaning},
		{Name: "article", About: "the record of a section, wing, rotor, model or aeroplane holds figures of such an article", Range: "figures whose basis states the article", Source: "the design of this program", run: articles},
		{Name: "eyes", About: "every value has as many independent readings or persons as study.yaml asks for", Range: "studies with eyes: 1 or 2", Source: "study.yaml", run: eyes},
		{Name: "settings", About: "the tolerances in study.yaml name a check and one of its bounds", Range: "every study", Source: "study.yaml", run: settings},
		{Name: "derivation", About: "every conversion that a subject asks for has all that it needs, stated and in one configuration", Range: "subjects with derive:", Source: "the design of this program", run: derivations},
		relationCheck(),
		smoothCheck(),
		slopeCheck(),
		polarCheck(),
		stallCheck(),
		aspectCheck(),
		loadingCheck(),
		reynoldsCheck(),
		magnitudeCheck(),
		systemCheck(),
		correctionCheck(),
		powerLoadingCheck(),
		massCheck(),
		horsepowerCheck(),
		twinCheck(),
		flapEffectCheck(),
		bankCheck(),
		areasCheck(),
		repeatedCheck(),
		twiceCheck(),
		ratioCheck(),
		symmetryCheck(),
		extremesCheck(),
		growthCheck(),
		turnCheck(),
	}
}

// bounds is the tolerances of one check.
type bounds struct {
	check string
	list  []Bound
}

// bound returns a tolerance of a check: the study's own where it sets one.
func (r *Report) bound(of bounds, name string) float64 {
	for _, t := range r.Study.Settings.Tolerances {
		if t.Check == of.check && t.Name == name {
			if v, ok := tolerance(t.Value); ok {
				return v
			}
		}
	}
	for _, b := range of.list {
		if b.Name == name {
			return b.Value
		}
	}
	// Unreachable from data: every call names a bound of this package's own tables.
	panic("validate: check " + of.check + " has no bound " + name)
}

// tolerance reads a positive plain decimal, the only form that an edition takes:
// 1e-1 and Inf are none.
func tolerance(text string) (float64, bool) {
	whole, part, point := strings.Cut(text, ".")
	if whole == "" || strings.Trim(whole+part, "0123456789") != "" || point && part == "" || len(whole) > 1 && whole[0] == '0' || len(text) > 20 {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && v > 0
}

func settings(r *Report) []draft {
	var list []draft
	seen := map[[2]string]bool{}
	for i, t := range r.Study.Settings.Tolerances {
		fault := func(format string, args ...any) {
			list = append(list, draft{Finding{Check: "settings", Severity: Blocking, Where: fmt.Sprintf("study.yaml:tolerances[%d]", i), Mend: true,
				Message: fmt.Sprintf(format, args...)}, fmt.Sprint(i, format)})
		}
		var check *Check
		var names []string
		checks := Checks()
		for k := range checks {
			if len(checks[k].Bounds) > 0 {
				names = append(names, checks[k].Name)
			}
			if checks[k].Name == t.Check {
				check = &checks[k]
			}
		}
		if check == nil {
			fault("there is no check %q with a tolerance; known: %s", t.Check, strings.Join(names, ", "))
			continue
		}
		var bounds []string
		known := false
		for _, b := range check.Bounds {
			bounds = append(bounds, b.Name)
			known = known || b.Name == t.Name
		}
		if !known {
			fault("check %s has no tolerance %q; known: %s", t.Check, t.Name, strings.Join(bounds, ", "))
		}
		if _, ok := tolerance(t.Value); !ok {
			fault("the tolerance %s of %s is %q; it should be a positive number such as 0.05", t.Name, t.Check, t.Value)
		}
		if seen[[2]string{t.Check, t.Name}] {
			fault("the tolerance %s of %s stands twice; keep one", t.Name, t.Check)
		}
		seen[[2]string{t.Check, t.Name}] = true
	}
	return list
}

func collation(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		for _, d := range s.Collation.Differences {
			f := Finding{Check: "collation", Severity: Blocking, Table: s.Table.Name, Message: s.Collation.Describe(d), meaning: d.Kind != extract.TextDiffers}
			switch d.Kind {
			case extract.TextDiffers:
				c := s.Collation.Cell(d.Row, d.Column)
				f.Cells = []extract.CellID{c.ID}
				f.Where = s.Table.Name + ":" + d.Row + ":" + d.Column
				f.Why = "two readings of one print cannot both be right"
				f.Hint = "look at the print" + placeHint(c) + " and rule --reread TEXT"
			case extract.RowLost:
				f.Where = s.Table.Name + ":" + d.Row
				for _, column := range s.Table.ColumnKeys() {
					if c := s.Collation.Cell(d.Row, column); c != nil {
						f.Cells = append(f.Cells, c.ID)
					}
				}
				f.Why = "a lost row is an error like any other"
				f.Hint = "read the table again, confirm that " + d.Reader + " rightly lacks the row, or withhold a row that the print has not"
			case extract.ColumnLost:
				f.Where = s.Table.Name + ":column " + d.Column
				f.Why = "a lost column is an error like any other"
				f.Hint = "read the table again, or confirm that " + d.Reader + " rightly lacks the column"
			}
			list = append(list, draft{f, string(d.Kind) + "/" + s.Table.ID + "/" + d.Row + "/" + d.Column + "/" + d.Reader})
		}
	}
	return list
}

// doubts asks a person about each cell for the text of which no reader vouches. A
// ruling on the finding is one on its cell.
func doubts(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		ask := func(row, column string) {
			c := s.Collation.Cell(row, column)
			if c == nil || c.State != extract.Doubtful {
				return
			}
			f := Finding{Check: "reader-doubt", Severity: Blocking, Table: s.Table.Name, Where: s.Table.Name + ":" + row + ":" + column, Cells: []extract.CellID{c.ID},
				Message: s.Collation.Describe(extract.Difference{Kind: extract.TextDiffers, Row: row, Column: column}),
				Why:     "what the reader itself does not vouch for is never taken for read"}
			switch _, text, one := c.Read(); {
			case !one:
				f.Hint = "look at the print" + placeHint(c) + " and rule --reread TEXT"
			case text == "":
				f.Hint = "look at the print" + placeHint(c) + " and rule --reread TEXT, or --confirm if nothing is printed there"
			default:
				f.Hint = fmt.Sprintf("look at the print%s and rule --confirm if it says %q, else --reread TEXT", placeHint(c), text)
			}
			list = append(list, draft{f, ""})
		}
		for _, row := range s.Collation.Rows {
			for _, column := range s.Table.ColumnKeys() {
				ask(row, column)
			}
		}
		for _, g := range s.Table.Givens {
			ask(extract.Given, g.Key)
		}
	}
	return list
}

func placeHint(c *extract.Collated) string {
	if p := c.Place().String(); p != "" {
		return " at " + p
	}
	return ""
}

func meaning(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		for _, p := range s.Problems {
			f := Finding{Check: string(p.Kind), Severity: Blocking, Table: s.Table.Name, Where: p.Where, Cells: p.Cells, Message: p.Msg, Hint: p.Hint}
			switch p.Kind {
			case normalize.Numeral:
				f.Why = "what is not a numeral is never guessed at"
				if f.Hint == "" {
					f.Hint = "look at the print and rule --reread TEXT"
				}
			case normalize.Meaning, normalize.Unit, normalize.DeflectionNoPrint:
				f.Why = "a right figure with the wrong meaning is a silent error too"
				f.Mend = true
				if f.Hint == "" {
					f.Hint = "complete tables/" + s.Table.Name + ".yaml"
				}
				f.meaning = true
			case normalize.HeadDiffers:
				f.Why = "a right figure with the wrong unit or meaning is a silent error too"
				f.meaning = true
			case normalize.Reference:
				f.Mend = len(p.Cells) == 0
				f.meaning = true
			case normalize.UnknownListedRow:
				f.Severity, f.Mend, f.meaning = Doubt, true, true
			case normalize.Blank, normalize.OddPrint:
				f.Severity = Doubt
				f.Why = "what the print, or its reading, leaves open is for a person to settle"
			case normalize.UnclassifiedKind:
				f.Severity, f.Mend = Note, true
			}
			// The id of what a person may rule on never leans on a value, nor on a name
			// that may change.
			detail := p.What
			if f.Mend || len(p.Cells) == 0 {
				detail = p.Where + "/" + p.What + "/" + p.Msg
			}
			list = append(list, draft{f, detail})
		}
	}
	return list
}

// articles compares what a record is of with what its figures were measured on: a
// wing's least drag is not an aeroplane's.
func articles(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		seen := map[string]bool{}
		for _, e := range rec.Entries {
			article := e.Basis.Article
			key := e.Series.Table.ID + "/" + article
			if article == "" || article == rec.Subject.Kind || seen[key] {
				continue
			}
			seen[key] = true
			list = append(list, draft{Finding{Check: "article", Severity: Doubt, Table: e.Series.Table.Name, Where: "subjects/" + rec.Subject.Name + ".yaml", Mend: true,
				Message: fmt.Sprintf("the subject is of kind %s, and figures of the table %s were measured on an article of kind %s", rec.Subject.Kind, e.Series.Table.Name, article),
				Why:     "a coefficient of one is easily taken for that of the other",
				Hint:    "give what was tested a subject of its own, or mend article: in the table's basis"}, rec.Subject.Name + "/" + key})
		}
	}
	return list
}

// eyes asks for as many independent witnesses as the study wants.
func eyes(r *Report) []draft {
	want := r.Study.Settings.Eyes
	if want == 0 {
		return nil
	}
	var list []draft
	for _, s := range r.Series {
		var few []extract.CellID
		for k := range s.Rows {
			for _, column := range s.Table.ColumnKeys() {
				d := s.Rows[k].Datum(column)
				if d == nil || d.Quantity == nil {
					continue
				}
				if witnesses(d.Cell) < want || d.Above != nil && witnesses(d.Above) < want {
					few = append(few, d.Cell.ID)
				}
			}
		}
		for _, g := range s.Table.Givens {
			if d := s.Givens[g.Key]; d != nil && witnesses(d.Cell) < want {
				few = append(few, d.Cell.ID)
			}
		}
		if len(few) == 0 {
			continue
		}
		list = append(list, draft{Finding{Check: "eyes", Severity: Blocking, Table: s.Table.Name, Where: s.Table.Name, Cells: few,
			Message:  fmt.Sprintf("%d figures have fewer than %d independent witnesses (one machine's reading by itself is none)", len(few), want),
			Expected: fmt.Sprintf("study.yaml asks for eyes: %d", want),
			Hint:     "key the table (windtally entry " + s.Table.Name + "), or confirm this finding after looking at each figure"}, s.Table.ID})
	}
	return list
}

// witnesses counts persons who looked at a cell and the machines that read it
// independently. One machine's reading that nothing else bears out counts nothing, nor
// does one that doubts its own text or was passed over.
func witnesses(c *extract.Collated) int {
	people := map[string]bool{}
	machines := map[string]bool{}
	for _, w := range c.Witnesses {
		if by, ok := extract.KeyedBy(w.Reader); ok && w.Doubt == "" {
			people[by] = true
		} else if w.Doubt == "" && !(w.Scan && !extract.SameText(w.Text, c.Print)) {
			machines[w.Reader] = true
		}
	}
	if c.Settled != nil {
		people[c.Settled.By] = true
	}
	if len(people) == 0 && len(machines) < 2 {
		return 0
	}
	return len(people) + len(machines)
}
