package validate

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"windtally/extract"
	"windtally/normalize"
)

// Act is what a person asks to have recorded.
type Act struct {
	Decision Decision
	Undo     bool // take the standing ruling back
	Value    string
	Reason   string
	Who      string
	When     time.Time
}

// Decide records a person's act on a finding or on a cell (table:row:column, the
// table by its name) and returns the rulings written. What stands on the same
// target is superseded. The caller holds the study's lock.
//
// A decision that gives a text is about a cell: on a finding it is recorded for
// the finding's cell where it has just one.
func (r *Report) Decide(target string, act Act) ([]Ruling, error) {
	id, evidence, err := r.target(target, &act)
	if err != nil {
		return nil, err
	}
	act.Reason = strings.TrimSpace(act.Reason)
	var old []Ruling
	for _, u := range live(r.Rulings) {
		if u.Target == id {
			old = append(old, u)
		}
	}
	if c, isCell := extract.ParseCellID(id); isCell && act.Decision == Confirm && !act.Undo {
		if act, err = r.endorse(c, evidence, old, act); err != nil {
			return nil, err
		}
	}
	if c, isCell := extract.ParseCellID(id); isCell && act.Decision == Emend {
		evidence = r.emendEvidence(c, act.Value, evidence)
	}
	if act.Reason == "" {
		switch act.Decision {
		case Confirm:
			act.Reason = "the print was looked at and says so"
		case Reread:
			act.Reason = "read from the print"
		}
	}
	if act.Undo {
		return r.undo(id, evidence, old, act)
	}
	if len(old) == 0 {
		old = []Ruling{{}}
	}
	var done []Ruling
	for _, o := range old {
		ruling, err := r.newRulingID(done)
		if err != nil {
			return done, err
		}
		u := Ruling{ID: ruling, Supersedes: o.ID, Target: id, Decision: act.Decision, Value: act.Value, Reason: act.Reason, Who: act.Who,
			When: act.When.UTC().Truncate(time.Second), Evidence: evidence}
		if err := AppendRuling(r.Study.Dir, u); err != nil {
			return done, err
		}
		done = append(done, u)
	}
	return done, nil
}

// newRulingID draws an id that no ruling bears yet.
func (r *Report) newRulingID(written []Ruling) (string, error) {
	for {
		id, err := extract.NewID("u")
		bears := func(u Ruling) bool { return u.ID == id }
		if err != nil || !slices.ContainsFunc(r.Rulings, bears) && !slices.ContainsFunc(written, bears) {
			return id, err
		}
	}
}

// lifted marks a ruling that only takes others back: a confirm on no evidence,
// which stands for nothing.
const lifted = "lifted"

// undo takes the rulings that stand back: what each of them superseded is written
// again, where that was made on what is there now; else nothing stands.
func (r *Report) undo(id, evidence string, old []Ruling, act Act) ([]Ruling, error) {
	old = slices.DeleteFunc(old, func(u Ruling) bool { return u.Evidence == lifted })
	if len(old) == 0 {
		if c, isCell := extract.ParseCellID(id); isCell {
			id = r.named(c)
		}
		return nil, fmt.Errorf("no ruling stands on %s", id)
	}
	if act.Reason == "" {
		return nil, fmt.Errorf("undo needs a reason (--reason)")
	}
	byID := rulingsByID(r.Rulings)
	var done []Ruling
	for _, o := range old {
		ruling, err := r.newRulingID(done)
		if err != nil {
			return done, err
		}
		u := Ruling{ID: ruling, Supersedes: o.ID, Target: id, Decision: Confirm, Reason: act.Reason, Who: act.Who,
			When: act.When.UTC().Truncate(time.Second), Evidence: lifted}
		if p, ok := before(byID, o); ok && p.Evidence != lifted {
			now := evidence
			if c, isCell := extract.ParseCellID(id); isCell && p.Decision == Emend {
				now = r.emendEvidence(c, p.Value, evidence)
			}
			if p.Evidence == now {
				u.Decision, u.Value, u.Evidence = p.Decision, p.Value, p.Evidence
				u.Reason = backTo + p.ID + ": " + act.Reason
			}
		}
		if err := AppendRuling(r.Study.Dir, u); err != nil {
			return done, err
		}
		done = append(done, u)
	}
	return done, nil
}

// endorse turns a confirm of a cell on which a person's text stands into a ruling
// for that text: whoever confirms looks at what the study goes on with, never at a
// reading that was found wrong.
func (r *Report) endorse(c extract.CellID, evidence string, old []Ruling, act Act) (Act, error) {
	old = slices.DeleteFunc(slices.Clone(old), func(u Ruling) bool { return u.Evidence == lifted })
	if len(old) == 0 {
		return act, nil
	}
	for _, u := range old[1:] {
		if disagree(old[0], u) {
			return act, fmt.Errorf("two rulings that stand on %s disagree, so there is nothing to confirm; say what the print says: --reread TEXT", r.named(c))
		}
	}
	// Of several that agree any that holds on the present evidence speaks for all.
	u, holds := old[0], false
	for _, o := range old {
		now := evidence
		if o.Decision == Emend {
			now = r.emendEvidence(c, o.Value, evidence)
		}
		if o.Evidence == now {
			u, holds = o, true
		}
	}
	reason := u.Reason
	if _, own, ok := strings.Cut(reason, ": "); ok && strings.HasPrefix(reason, backTo) {
		reason = own // it is the undo that goes back there, not this
	}
	if act.Reason != "" {
		reason += "; " + act.Reason
	}
	switch {
	case holds && u.Decision == Withhold:
		return act, fmt.Errorf("a withhold stands on %s; undo it first (--undo)", r.named(c))
	case holds && (u.Decision == Reread || u.Decision == Emend):
		act.Decision, act.Value, act.Reason = u.Decision, u.Value, reason
	case u.Decision == Emend:
		// The emendation has lapsed; what was reread before it has not.
		if print, ok := rereadBefore(r.Rulings, u, evidence); ok {
			act.Decision, act.Value = Reread, print
		}
	}
	return act, nil
}

// emendEvidence is what an emendation of a cell rests on: its readings, and what
// the value that is put there means. 59 under mph is not 59 under knots.
func (r *Report) emendEvidence(c extract.CellID, value, evidence string) string {
	t := r.Study.Table(c.Table)
	if t == nil {
		return evidence
	}
	settled := maps.Clone(r.settled)
	settled[c] = extract.Settled{State: extract.Emended, Value: value}
	return emendedOn(evidence, normalize.Normalize(extract.Collate(t, r.Study.Registers[t.ID], r.Study.Readings[t.ID], settled)), c)
}

// emendedOn is the evidence of an emendation that the series has in its place.
func emendedOn(evidence string, s *normalize.Series, c extract.CellID) string {
	meaning := "no quantity"
	if d := figure(s, c); d != nil && d.Quantity != nil {
		meaning = d.Quantity.Name + "\t" + d.Unit.UCUM + convertedFrom(d)
	}
	return extract.Digest("readings\t"+evidence, "meaning\t"+meaning)
}

// target resolves what a person named to a ruling's target and its evidence.
func (r *Report) target(name string, act *Act) (id, evidence string, err error) {
	cell := func(c extract.CellID) (string, string, error) {
		evidence := EmptyEvidence
		known := r.Cell(c)
		if known != nil {
			evidence = known.Evidence()
		}
		switch {
		case act.Undo:
		case act.Decision == Confirm && r.printKnown(c, evidence): // it is a person's text that is confirmed
		case act.Decision == Confirm && (known == nil || len(known.Witnesses) == 0):
			return "", "", fmt.Errorf("no reading has the cell %s, so there is nothing to confirm; reread gives its text", name)
		case act.Decision == Emend && (known == nil || len(known.Witnesses) == 0 || !oneText(known) || strings.TrimSpace(known.Print) == "") && !r.printKnown(c, evidence):
			return "", "", fmt.Errorf("what the print says in %s is not settled; say that first (--reread TEXT), then what is right (--emend TEXT)", name)
		case act.Decision == Confirm && !oneText(known):
			var said []string
			for _, w := range known.Witnesses {
				said = append(said, w.String())
			}
			return "", "", fmt.Errorf("the readings of %s differ (%s); say what the print says: --reread TEXT", name, strings.Join(said, ", "))
		}
		return c.String(), evidence, nil
	}
	if findingID.MatchString(name) {
		f := r.Finding(name)
		if f == nil {
			if act.Undo {
				return name, "", nil
			}
			return "", "", fmt.Errorf("there is no finding %s; windtally findings lists them", name)
		}
		if f.Mend && !act.Undo {
			return "", "", fmt.Errorf("%s (%s) is settled by mending the file, not by a ruling: %s", name, f.Check, f.Hint)
		}
		if act.Decision == Reread || act.Decision == Emend || f.Check == "ruling-lapsed" || f.Check == "reader-doubt" ||
			f.Check == "collation" && len(f.Cells) == 1 && !oneText(r.Cell(f.Cells[0])) {
			if len(f.Cells) != 1 {
				var cells []string
				for _, c := range f.Cells {
					cells = append(cells, r.named(c))
				}
				return "", "", fmt.Errorf("%s is about %d cells; name the one that is wrong: %s", name, len(f.Cells), strings.Join(cells, ", "))
			}
			return cell(f.Cells[0])
		}
		return f.ID, f.Evidence, nil
	}
	parts := strings.Split(name, ":")
	if len(parts) != 3 {
		return "", "", fmt.Errorf("%q is neither a finding's id nor a cell; write a cell as TABLE:ROW:COLUMN with the keys that windtally show prints", name)
	}
	t := r.Study.Table(parts[0])
	if t == nil {
		return "", "", r.Study.NoTable(parts[0])
	}
	if t.Status != "ready" {
		return "", "", fmt.Errorf("table %s is a draft; set status: ready in tables/%s.yaml before ruling on its cells", t.Name, t.Name)
	}
	c := extract.CellID{Table: t.ID, Row: parts[1], Column: parts[2]}
	if c.Row == extract.Given {
		if t.GivenFigure(c.Column) == nil {
			return "", "", fmt.Errorf("table %s has no given figure %s", t.Name, c.Column)
		}
		return cell(c)
	}
	if t.Column(c.Column) == nil {
		return "", "", fmt.Errorf("table %s has no column %s; its columns: %s", t.Name, c.Column, strings.Join(t.ColumnKeys(), ", "))
	}
	if g := r.Study.Registers[t.ID]; g == nil || !slices.Contains(g.Keys(), c.Row) {
		return "", "", fmt.Errorf("table %s has no row %s; windtally show %s prints its rows", t.Name, c.Row, t.Name)
	}
	return cell(c)
}

// printKnown reports whether a ruling that stands says what the print says.
func (r *Report) printKnown(c extract.CellID, evidence string) bool {
	for _, u := range live(r.Rulings) {
		if u.Target != c.String() {
			continue
		}
		switch u.Decision {
		case Reread:
			return u.Value != "" && u.Evidence == evidence
		case Emend:
			if print, _ := rereadBefore(r.Rulings, u, evidence); print != "" {
				return true
			}
		}
	}
	return false
}

// oneText reports whether the readings themselves leave one text to confirm,
// whatever was ruled.
func oneText(c *extract.Collated) bool {
	if c == nil {
		return true
	}
	_, _, one := c.Read()
	return one
}

// named writes a cell as a person names it.
func (r *Report) named(c extract.CellID) string {
	name := c.Table
	if t := r.Study.Table(c.Table); t != nil {
		name = t.Name
	}
	return name + ":" + c.Row + ":" + c.Column
}
