package validate

import (
	"fmt"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
)

// Beside is one quantity of a subject as two or more tables give it.
type Beside struct {
	Quantity *normalize.Quantity
	Lines    []Line
	Pairs    []Pair // of lines of different tables
}

// Line is the figures of one column, or given figure, that hold under the same conditions, but
// for Reynolds number, Mach number, weight and altitude, which may go from row to row.
type Line struct {
	Source, Table, Column string
	Figures               int
	Conditions            []Held
}

// Held is one condition of a line; Of has each distinct statement of it once, in print
// order, and one without text where some figure states none.
type Held struct {
	Name string
	Of   []normalize.Holding
}

// Verdict says whether two lines may be combined.
type Verdict string

// The verdicts, from the worst.
const (
	Apart    Verdict = "may not be combined"
	Unknown  Verdict = "cannot be told"
	Partly   Verdict = "may be combined in part"
	Combined Verdict = "may be combined"
)

// Pair is what two lines, by their index, say of each other.
type Pair struct {
	A, B    int
	Verdict Verdict
	// The names of conditions that differ, that one side or both do not state, that both
	// state in different words of their own, and that only some figures of both share.
	Differ, Untold, Reworded, Partly []string
	// Why says it in words, one condition each.
	Why []string
}

// ranging are the conditions that may go from row to row within a line.
var ranging = []string{"Reynolds number", "Mach number", "weight", "altitude", "center of gravity"}

// SideBySide lays what the tables of a subject say of one quantity side by side, for
// each quantity that two or more tables give, in the order of the quantities. Figures
// that govern others (deflections, Reynolds numbers, weights as tested, angles of attack)
// are conditions themselves and are left out, as is what is withheld or waits for a ruling.
func (r *Report) SideBySide(subject string) ([]Beside, error) {
	i := slices.IndexFunc(r.Records, func(rec Record) bool { return rec.Subject.Name == subject })
	if i < 0 {
		var names []string
		for _, rec := range r.Records {
			names = append(names, rec.Subject.Name)
		}
		if len(names) == 0 {
			return nil, fmt.Errorf("there is no subject %q; the study has none\nhint: write subjects/%s.yaml", subject, subject)
		}
		return nil, fmt.Errorf("there is no subject %q; known subjects: %s", subject, strings.Join(names, ", "))
	}
	var list []Beside
	for k := range normalize.Quantities() {
		q := &normalize.Quantities()[k]
		if q.Group == normalize.Condition || q.Group == normalize.LabelGroup || q.Name == "angle of attack" {
			continue
		}
		b := Beside{Quantity: q, Lines: linesOf(&r.Records[i], q)}
		for m := range b.Lines {
			for n := m + 1; n < len(b.Lines); n++ {
				if b.Lines[m].Table != b.Lines[n].Table {
					b.Pairs = append(b.Pairs, compare(b.Lines, m, n))
				}
			}
		}
		if len(b.Pairs) > 0 {
			list = append(list, b)
		}
	}
	return list, nil
}

func linesOf(rec *Record, q *normalize.Quantity) []Line {
	var lines []Line
	index := map[string]int{}
	for i := range rec.Entries {
		e := &rec.Entries[i]
		if e.Quantity.Name != q.Name || !e.Value.Known() || e.Cell.State == extract.Withheld || e.Cell.State.Waits() {
			continue
		}
		conditions := e.Series.Conditions(e.Row, e.Datum)
		key := []string{e.Series.Table.ID, e.Column}
		for _, c := range conditions {
			if !slices.Contains(ranging, c.Name) {
				key = append(key, c.Key())
			}
		}
		k := strings.Join(key, "\n")
		at, known := index[k]
		if !known {
			at = len(lines)
			index[k] = at
			l := Line{Source: e.Source(), Table: e.Series.Table.Name, Column: e.Column}
			for _, c := range conditions {
				l.Conditions = append(l.Conditions, Held{Name: c.Name})
			}
			lines = append(lines, l)
		}
		l := &lines[at]
		l.Figures++
		for k, c := range conditions {
			h := &l.Conditions[k]
			if !slices.ContainsFunc(h.Of, func(o normalize.Holding) bool { return o.Key() == c.Key() }) {
				h.Of = append(h.Of, c)
			}
		}
	}
	return lines
}

// Condition returns the condition of that name, nil where it does not bear on the line.
func (l *Line) Condition(name string) *Held {
	for i := range l.Conditions {
		if l.Conditions[i].Name == name {
			return &l.Conditions[i]
		}
	}
	return nil
}

const notStated = "not stated"

// Texts lists what is stated, "not stated" for what is not.
func (h *Held) Texts() []string {
	var list []string
	for _, c := range h.Of {
		text := c.Text
		if text == "" {
			text = notStated
		}
		list = append(list, text)
	}
	return list
}

func compare(lines []Line, a, b int) Pair {
	p := Pair{A: a, B: b}
	for i := range lines[a].Conditions {
		x := &lines[a].Conditions[i]
		y := lines[b].Condition(x.Name)
		if y == nil {
			continue // bears on the one article and not on the other, and articles are compared
		}
		both := strings.Join(x.Texts(), ", ") + " against " + strings.Join(y.Texts(), ", ")
		switch agreement, shared := agree(x, y); {
		case agreement == normalize.Different:
			p.Differ = append(p.Differ, x.Name)
			p.Why = append(p.Why, x.Name+" differs: "+both)
		case agreement == normalize.Untold && !slices.Contains(append(x.Texts(), y.Texts()...), notStated):
			p.Reworded = append(p.Reworded, x.Name)
			p.Why = append(p.Why, x.Name+" is stated in other words, which may mean the same: "+both)
		case agreement == normalize.Untold:
			p.Untold = append(p.Untold, x.Name)
			p.Why = append(p.Why, x.Name+" cannot be told: "+both)
		case len(shared) > 0:
			p.Partly = append(p.Partly, x.Name)
			p.Why = append(p.Why, x.Name+" is the same only at "+strings.Join(shared, ", ")+": "+both)
		}
	}
	switch {
	case len(p.Differ) > 0:
		p.Verdict = Apart
	case len(p.Untold) > 0, len(p.Reworded) > 0:
		p.Verdict = Unknown
	case len(p.Partly) > 0:
		p.Verdict = Partly
	default:
		p.Verdict = Combined
	}
	return p
}

// agree compares all statements of one condition. Where some of both sides are the
// same and others are not, shared says at which.
func agree(x, y *Held) (a normalize.Agreement, shared []string) {
	untold, lone := false, false
	found := make([]bool, len(y.Of))
	for _, c := range x.Of {
		same := false
		for k, o := range y.Of {
			switch c.Agree(o) {
			case normalize.Same:
				same, found[k] = true, true
			case normalize.Untold:
				untold = true
			}
		}
		if same {
			shared = append(shared, c.Text)
		} else {
			lone = true
		}
	}
	switch {
	case untold:
		return normalize.Untold, nil
	case len(shared) == 0:
		return normalize.Different, nil
	case lone || slices.Contains(found, false):
		return normalize.Same, shared
	}
	return normalize.Same, nil
}
