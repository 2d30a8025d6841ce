package validate

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
)

// Report is a study after collation, normalization and all checks.
type Report struct {
	Study    *extract.Study
	Rulings  []Ruling
	Series   []*normalize.Series // the ready tables, in order of name
	Records  []Record            // one a subject, in order of name
	Findings []Finding
	Fits     []Fit // the figures that curves give: of lift curves, then of polars

	stand   map[string]Ruling                  // the rulings that stand, by target
	settled map[extract.CellID]extract.Settled // what rulings on cells settle
}

// Record is the figures of one subject.
type Record struct {
	Subject *extract.Subject
	Entries []Entry
	// Derived are the figures that the subject's derive: asks for, and Underived why
	// others were not derived.
	Derived   []normalize.Derived
	Underived []Underived
}

// Entry is one figure of a record and where it stands.
type Entry struct {
	Series *normalize.Series
	Row    *normalize.Row // nil for a given figure
	Column string
	*normalize.Datum
}

// Source is the source that prints the figure.
func (e *Entry) Source() string { return e.Series.Table.Source }

// Run reads nothing but what it is given: it collates, normalizes and checks.
//
// What a ruling on a finding withholds is gone for all that leans on it: a ditto
// mark below it, a deflection, a weight. So the study is gone through again
// without it, until no finding withholds more.
func Run(s *extract.Study, rulings []Ruling) *Report {
	withheld := map[extract.CellID]Ruling{}
	kept := map[string]Finding{} // findings that withhold, by id; without their cells they are not made again
	for {
		r := run(s, rulings, withheld)
		for _, id := range slices.Sorted(maps.Keys(kept)) {
			if r.Finding(id) == nil {
				r.Findings = append(r.Findings, kept[id])
			}
		}
		more := false
		for i := range r.Findings {
			f := &r.Findings[i]
			if f.Ruling == nil || f.Ruling.Decision != Withhold {
				continue
			}
			if _, known := kept[f.ID]; known {
				continue
			}
			kept[f.ID] = *f
			for _, id := range f.Cells {
				if _, known := withheld[id]; !known && r.Cell(id) != nil {
					withheld[id] = *f.Ruling
					more = true
				}
			}
		}
		if !more {
			r.lapsed(sortedRulings(r.stand))
			sortFindings(r.Findings)
			return r
		}
	}
}

func run(s *extract.Study, rulings []Ruling, withheld map[extract.CellID]Ruling) *Report {
	r := &Report{Study: s, Rulings: rulings}
	var conflict map[string][]Ruling
	r.stand, conflict = standing(rulings)

	// First the readings as they are: a ruling on a cell stands only on the
	// evidence that it was made on.
	settled := map[extract.CellID]extract.Settled{}
	seen := map[extract.CellID]bool{}
	for _, t := range s.Tables {
		if t.Status != "ready" {
			continue
		}
		plain := extract.Collate(t, s.Registers[t.ID], s.Readings[t.ID], nil)
		readings := func(id extract.CellID) string {
			if cell := plain.Cell(id.Row, id.Column); cell != nil {
				return cell.Evidence()
			}
			return EmptyEvidence
		}
		lapsed := func(u Ruling, id extract.CellID, on string) {
			r.add(Finding{Check: "ruling-lapsed", Severity: Blocking, Table: t.Name, Where: t.Name + ":" + id.Row + ":" + id.Column,
				Cells: []extract.CellID{id}, Evidence: readings(id),
				Message: fmt.Sprintf("ruling %s (%s by %s) was made on %s changed since", u.ID, u.Decision, u.Who, on),
				Why:     "a decision holds for the evidence that it was made on",
				Hint:    "look again and rule again on the cell; the new ruling supersedes the old one"}, u.ID)
		}
		emended := map[extract.CellID]Ruling{}
		for _, u := range sortedRulings(r.stand) {
			id, isCell := extract.ParseCellID(u.Target)
			if !isCell || id.Table != t.ID {
				continue
			}
			seen[id] = true
			now := u.settles()
			switch {
			case u.Decision == Emend:
				emended[id] = u
				now.Print, _ = rereadBefore(rulings, u, readings(id))
			case u.Evidence != readings(id):
				lapsed(u, id, "readings that have")
				continue
			}
			settled[id] = now
		}
		if len(emended) == 0 {
			continue
		}
		// What an emended value means is known once all of them are in their places.
		meant := normalize.Normalize(extract.Collate(t, s.Registers[t.ID], s.Readings[t.ID], settled))
		for _, u := range sortedRulings(r.stand) {
			id, isCell := extract.ParseCellID(u.Target)
			if _, ok := emended[id]; isCell && ok && emendedOn(readings(id), meant, id) != u.Evidence {
				lapsed(u, id, "readings, a quantity or a unit that have")
				delete(settled, id)
			}
		}
	}
	r.settled = maps.Clone(settled)
	for id, u := range withheld {
		settled[id] = u.settles()
	}
	for _, u := range sortedRulings(r.stand) {
		if id, isCell := extract.ParseCellID(u.Target); isCell && !seen[id] && s.Table(id.Table) == nil {
			r.add(Finding{Check: "ruling-lapsed", Severity: Note, Where: u.Target,
				Message: fmt.Sprintf("ruling %s (%s by %s) is about a table that the study no longer has", u.ID, u.Decision, u.Who)}, u.ID)
		}
	}
	for _, u := range rulings {
		signs := func(p extract.Person) bool { return p.Initials == u.Who }
		if !slices.ContainsFunc(s.Settings.People, signs) {
			r.add(Finding{Check: "ruling-signature", Severity: Blocking, Where: "rulings.csv", Mend: true,
				Message: fmt.Sprintf("ruling %s (%s) is signed by %q, who is not in study.yaml", u.ID, u.Decision, u.Who),
				Why:     "a decision of nobody settles nothing; the file may have been changed by hand",
				Hint:    "restore rulings.csv from your version control, or name the person under people: in study.yaml"}, u.ID)
		}
	}
	for _, target := range slices.Sorted(maps.Keys(conflict)) {
		var said []string
		for _, u := range conflict[target] {
			said = append(said, strings.TrimSpace(fmt.Sprintf("%s: %s %s (%s)", u.ID, u.Decision, u.Value, u.Who)))
		}
		f := Finding{Check: "rulings-disagree", Severity: Blocking, Where: target,
			Message: "two rulings that stand disagree: " + strings.Join(said, "; "),
			Why:     "nobody but a person can say which of two people is right",
			Hint:    "rule again on " + target + "; the new ruling supersedes both", Mend: true}
		if id, isCell := extract.ParseCellID(target); isCell {
			f.Cells = []extract.CellID{id}
			if t := s.Table(id.Table); t != nil {
				f.Table, f.Where = t.Name, t.Name+":"+id.Row+":"+id.Column
			}
		}
		r.add(f, target)
	}

	for _, t := range s.Tables {
		if t.Status != "ready" {
			r.add(Finding{Check: "draft", Severity: Note, Table: t.Name, Where: t.Name, Message: "is a draft: nothing of it is checked or published",
				Hint: "complete tables/" + t.Name + ".yaml and set status: ready", Mend: true}, t.ID)
			continue
		}
		if len(s.Readings[t.ID]) == 0 {
			r.add(Finding{Check: "no-reading", Severity: Doubt, Table: t.Name, Where: t.Name, Message: "has no reading",
				Hint: "windtally extract " + t.Name + ", or windtally entry " + t.Name, Mend: true}, t.ID)
		}
		r.Series = append(r.Series, normalize.Normalize(extract.Collate(t, s.Registers[t.ID], s.Readings[t.ID], settled)))
		r.notes(t)
	}
	r.assemble()
	r.derive()
	var drafts []draft
	for _, c := range Checks() {
		drafts = append(drafts, c.run(r)...)
	}
	for _, f := range explained(drafts) {
		r.add(f.Finding, f.detail)
	}
	r.rule()
	return r
}

// EmptyEvidence is the evidence of a cell that no reading has.
var EmptyEvidence = extract.Digest()

// rereadBefore finds what a person said the print says before emending it: the
// print's text is always kept. Evidence is that of the readings as they are.
func rereadBefore(rulings []Ruling, u Ruling, evidence string) (print string, ok bool) {
	byID := rulingsByID(rulings)
	for range rulings {
		if u, ok = before(byID, u); !ok {
			return "", false
		}
		switch u.Decision {
		case Reread:
			if u.Evidence != evidence {
				return "", false
			}
			return u.Value, true
		case Emend:
		default:
			return "", false
		}
	}
	return "", false
}

// settles is what a ruling on a cell says of its text.
func (u Ruling) settles() extract.Settled {
	s := extract.Settled{Ruling: u.ID, By: u.Who}
	switch u.Decision {
	case Confirm:
		s.State = extract.Confirmed
	case Reread:
		s.State, s.Print = extract.Reread, u.Value
	case Emend:
		s.State, s.Value = extract.Emended, u.Value
	case Withhold:
		s.State = extract.Withheld
	}
	return s
}

func (r *Report) add(f Finding, detail string) {
	f.identify(detail)
	if f.Evidence == "" {
		f.Evidence = r.evidence(f.Cells)
	}
	r.Findings = append(r.Findings, f)
}

// evidence is the digest of what a finding rests on: what the study goes on with
// in these cells, and what the tables say that the figures mean.
func (r *Report) evidence(cells []extract.CellID) string {
	var lines []string
	for _, id := range cells {
		line := id.String() + "\t"
		if c := r.Cell(id); c != nil {
			line += c.Text + "\t" + c.Evidence()
		}
		if d := r.datum(id); d != nil {
			b := d.Basis
			line += "\t" + strings.Join([]string{d.Quantity.Name, d.Unit.UCUM, b.Article, b.ReferenceArea, b.Drag, b.AirspeedKind, b.Weight, b.WeightCondition,
				b.Altitude, b.Walls, b.AspectRatioBasis, d.Config.Flap, d.Config.Power}, "\t") + convertedFrom(d)
			for _, later := range []string{b.AltitudeKind, b.Temperature, b.CorrectionSign, b.MomentSign} {
				if later != "" { // evidence without it stays what it was
					line += "\t" + later
				}
			}
		}
		lines = append(lines, line)
	}
	return extract.Digest(lines...)
}

// datum returns the figure of a cell that has a meaning, or nil.
func (r *Report) datum(id extract.CellID) *normalize.Datum {
	for _, s := range r.Series {
		if s.Table.ID == id.Table {
			return figure(s, id)
		}
	}
	return nil
}

// figure returns the figure of a cell of the series that has a meaning, or nil.
func figure(s *normalize.Series, id extract.CellID) *normalize.Datum {
	if id.Row == extract.Given {
		return s.Givens[id.Column]
	}
	for i := range s.Rows {
		if d := s.Rows[i].Datum(id.Column); s.Rows[i].Key == id.Row && d != nil && d.Quantity != nil {
			return d
		}
	}
	return nil
}

// Cell returns a collated cell of a ready table, or nil.
func (r *Report) Cell(id extract.CellID) *extract.Collated {
	for _, s := range r.Series {
		if s.Table.ID == id.Table {
			return s.Collation.Cell(id.Row, id.Column)
		}
	}
	return nil
}

// Finding returns the finding with that id, or nil.
func (r *Report) Finding(id string) *Finding {
	for i := range r.Findings {
		if r.Findings[i].ID == id {
			return &r.Findings[i]
		}
	}
	return nil
}

// rule lays the rulings on findings over them, and what they say over their cells:
// who confirms a finding about digits has looked at each of its cells, who
// withholds one keeps all of its cells back (which Run does).
func (r *Report) rule() {
	for i := range r.Findings {
		f := &r.Findings[i]
		u, ok := r.stand[f.ID]
		if !ok || f.Mend {
			continue
		}
		if u.Evidence != f.Evidence {
			f.Severity = Blocking
			f.Message += fmt.Sprintf(" (ruling %s by %s was made on other evidence and has lapsed)", u.ID, u.Who)
			continue
		}
		f.Ruling = &u
		if u.Decision != Confirm || !f.digits() {
			continue
		}
		for _, id := range f.Cells {
			c := r.Cell(id)
			if c != nil && (c.State == extract.Unwitnessed || c.State == extract.Keyed || c.State == extract.Agreed) {
				c.State = extract.Confirmed
				c.Settled = &extract.Settled{State: extract.Confirmed, Ruling: u.ID, By: u.Who}
			}
		}
	}
}

// lapsed says which rulings withhold the figures of a finding that is no more.
func (r *Report) lapsed(stand []Ruling) {
	for _, u := range stand {
		if _, isCell := extract.ParseCellID(u.Target); isCell || u.Decision != Withhold || r.Finding(u.Target) != nil {
			continue
		}
		r.add(Finding{Check: "ruling-lapsed", Severity: Blocking, Where: u.Target,
			Message: fmt.Sprintf("ruling %s by %s withheld the figures of a finding that is no longer made", u.ID, u.Who),
			Why:     "the figures would now be published",
			Hint:    "look again; undo the ruling (windtally rule " + u.Target + " --undo), or withhold the cells themselves", Mend: true}, u.ID)
	}
}

// assemble gathers each subject's figures from its tables.
func (r *Report) assemble() {
	taken := map[[2]string][]string{} // table id and row key -> subjects
	parted := map[string]bool{}       // ids of tables of which subjects take rows by a label
	givens := map[extract.CellID][]string{}
	for _, sub := range r.Study.Subjects {
		rec := Record{Subject: sub}
		have := map[extract.CellID]bool{} // a table may be named twice, for rows of two labels
		enter := func(e Entry) {
			if !have[e.Cell.ID] {
				have[e.Cell.ID] = true
				rec.Entries = append(rec.Entries, e)
			}
		}
		for i, st := range sub.Tables {
			t := r.Study.Table(st.Table)
			series := r.seriesOf(t)
			if series == nil {
				r.add(Finding{Check: "subject-table", Severity: Note, Table: t.Name, Where: "subjects/" + sub.Name + ".yaml",
					Message: "names the table " + t.Name + ", which is not ready", Mend: true}, sub.Name+t.ID)
				continue
			}
			found := false
			parted[t.ID] = parted[t.ID] || st.Where != nil
			for k := range series.Rows {
				row := &series.Rows[k]
				if st.Where != nil && row.Labels[st.Where.Column] != extract.Label(st.Where.Is) {
					continue
				}
				found = true
				if of := taken[[2]string{t.ID, row.Key}]; !slices.Contains(of, sub.Name) {
					taken[[2]string{t.ID, row.Key}] = append(of, sub.Name)
				}
				for _, column := range t.ColumnKeys() {
					if d := row.Datum(column); d != nil && d.Quantity != nil && !d.Refused {
						enter(Entry{series, row, column, d})
					}
				}
			}
			for _, g := range t.Givens {
				if d := series.Givens[g.Key]; d != nil && !d.Refused {
					enter(Entry{series, nil, g.Key, d})
					if of := givens[d.Cell.ID]; !slices.Contains(of, sub.Name) {
						givens[d.Cell.ID] = append(of, sub.Name)
					}
				}
			}
			if !found && len(series.Rows) > 0 && st.Where != nil {
				r.add(Finding{Check: "subject-table", Severity: Blocking, Table: t.Name, Where: "subjects/" + sub.Name + ".yaml",
					Message: fmt.Sprintf("tables[%d] asks for rows of %s whose %s is %q; no row has that label", i, t.Name, st.Where.Column, st.Where.Is),
					Why:     "the subject would be published without figures that are its own",
					Hint:    "write the label as the collated reading has it, or rule on the label's cell", Mend: true}, sub.Name+t.ID+st.Where.Is)
			}
		}
		r.Records = append(r.Records, rec)
	}
	for _, s := range r.Series {
		var orphans []string
		for i := range s.Rows {
			subjects := taken[[2]string{s.Table.ID, s.Rows[i].Key}]
			if s.Rows[i].Empty() {
				continue
			}
			if len(subjects) == 0 {
				orphans = append(orphans, s.Rows[i].Key)
			}
			if len(subjects) > 1 {
				f := Finding{Check: "row-of-two-subjects", Severity: Doubt, Table: s.Table.Name, Where: s.Table.Name + ":" + s.Rows[i].Key,
					Message: "the row is in the record of " + strings.Join(subjects, " and of "), Mend: true,
					Why: "one printed figure seldom describes two things"}
				detail := s.Table.ID + s.Rows[i].Key
				for _, column := range s.Table.ColumnKeys() {
					if d := s.Rows[i].Datum(column); parted[s.Table.ID] && characteristic(d) {
						f.Cells = append(f.Cells, d.Cell.ID)
					}
				}
				if len(f.Cells) > 0 {
					detail += "/" + ofTwo(&f, subjects)
				}
				r.add(f, detail)
			}
		}
		// A caption's figure goes to every subject that takes a row of the table.
		for _, g := range s.Table.Givens {
			d := s.Givens[g.Key]
			if d == nil || !parted[s.Table.ID] || len(givens[d.Cell.ID]) < 2 {
				continue
			}
			subjects := givens[d.Cell.ID]
			f := Finding{Check: "row-of-two-subjects", Table: s.Table.Name, Where: s.Table.Name + ":" + extract.Given + ":" + g.Key, Cells: []extract.CellID{d.Cell.ID},
				Message: fmt.Sprintf("the given figure %s is in the record of %s", d.Cell.Text, strings.Join(subjects, " and of ")),
				Why:     "one printed figure seldom describes two things"}
			detail := ofTwo(&f, subjects)
			if !characteristic(d) {
				f.Severity = Doubt
			}
			r.add(f, detail)
		}
		if len(orphans) > 0 {
			r.add(Finding{Check: "row-without-subject", Severity: Note, Table: s.Table.Name, Where: s.Table.Name,
				Message: fmt.Sprintf("%d of %d rows are in no subject's record and are not published: %s", len(orphans), len(s.Rows), strings.Join(orphans, " ")),
				Hint:    "name the table in subjects/*.yaml", Mend: true}, s.Table.ID)
		}
	}
}

// characteristic reports whether a figure describes a thing itself, as its area does.
func characteristic(d *normalize.Datum) bool {
	return d != nil && d.Quantity != nil && !d.Refused && d.Quantity.Group == normalize.Characteristic
}

// ofTwo makes the finding one that a person must rule on, and returns what tells it
// from that of other subjects.
func ofTwo(f *Finding, subjects []string) (detail string) {
	f.Severity, f.Mend, f.meaning = Blocking, false, true
	f.Hint = "confirm if the source says it of each of them; else withhold it, or give each subject a table with its own figures"
	return strings.Join(subjects, "/")
}

func (r *Report) seriesOf(t *extract.Table) *normalize.Series {
	for _, s := range r.Series {
		if s.Table == t {
			return s
		}
	}
	return nil
}

// Blocking lists the findings that keep an edition from being published.
func (r *Report) Blocking() []*Finding {
	var list []*Finding
	for i := range r.Findings {
		if r.Findings[i].Blocks() {
			list = append(list, &r.Findings[i])
		}
	}
	return list
}

// States counts the cells of the ready tables by state; cells in which nothing is
// printed are left out.
func (r *Report) States() map[extract.State]int {
	count := map[extract.State]int{}
	for _, s := range r.Series {
		for c := range s.Collation.Cells() {
			if c.Text != "" || c.State.Waits() {
				count[c.State]++
			}
		}
	}
	return count
}

func sortedRulings(m map[string]Ruling) []Ruling {
	var list []Ruling
	for _, k := range slices.Sorted(maps.Keys(m)) {
		list = append(list, m[k])
	}
	return list
}
