package publish

import (
	"fmt"
	"slices"
	"strings"

	"windtally/datasets"
	"windtally/extract"
	"windtally/normalize"
	"windtally/validate"
)

// Following is a derived number as it would be published now, and how it was made.
type Following struct {
	datasets.Derived
	From *normalize.Derived
	// Changed says what the conversion changed of the basis, as "airspeed kind: CAS".
	Changed []string
}

// Follow lists the derived numbers that would be published now.
func Follow(r *validate.Report) []Following {
	b := build(r)
	list := make([]Following, len(b.e.Derived))
	for i := range list {
		list[i] = Following{Derived: b.e.Derived[i], From: b.follow[i]}
		was := normalize.Stated(b.follow[i].Of.Basis)
		for _, f := range normalize.Stated(b.follow[i].Basis) {
			if !slices.Contains(was, f) {
				list[i].Changed = append(list[i].Changed, strings.ReplaceAll(f.Name, "_", " ")+": "+f.Value)
			}
		}
	}
	return list
}

// derivedForm tells a derived number's id from a cell and from a value's id.
func derivedForm(what string) bool {
	return len(what) == 13 && what[0] == 'd' && strings.Trim(what[1:], "0123456789abcdef") == ""
}

// parentSteps are the steps of a parent that the chain of a derived number repeats.
var parentSteps = []string{"source", "place", "print", "numeral", "unit", "conversion", "half-width", "accuracy", "ruling"}

// explainDerived tells the chain of a derived number: its formula, in ids and in
// figures, what it changed, its width, and the way of each parent from its print.
func explainDerived(r *validate.Report, what string, editions []named) (*Chain, error) {
	c := &Chain{Where: what, ValueIDs: []string{what}}
	now := Follow(r)
	var ids []string
	var d *datasets.Derived
	var e *datasets.Edition
	var changed []string
	for i := range now {
		ids = append(ids, now[i].DerivedID)
		if now[i].DerivedID == what {
			d, e, changed = &now[i].Derived, Edition(r), now[i].Changed
			c.Cell = now[i].From.Of.Cell.ID
		}
	}
	published := d != nil
	for _, n := range editions {
		for i := range n.Derived {
			ids = append(ids, n.Derived[i].DerivedID)
			if d == nil && n.Derived[i].DerivedID == what {
				d, e = &n.Derived[i], n.Edition
			}
		}
	}
	if d == nil {
		slices.Sort(ids)
		return nil, fmt.Errorf("no derived number %s is in an edition of the study, nor would be published now%s", what, nearestOf(what, slices.Compact(ids)))
	}
	values := map[string]*datasets.Value{}
	for i := range e.Values {
		values[e.Values[i].ValueID] = &e.Values[i]
	}
	in := func(unit string) string {
		if unit == "1" {
			return ""
		}
		return " " + unit
	}
	cell := func(v *datasets.Value) string { return v.Table + ":" + v.Row + ":" + v.Column }
	parents := strings.Fields(d.Parents)
	c.add("derived", fmt.Sprintf("%s of %s, by a conversion from printed figures; it stands beside them and never in their place", d.Quantity, d.SubjectID),
		normalize.Fact{Name: "derived_id", Value: d.DerivedID}, normalize.Fact{Name: "quantity", Value: d.Quantity}, normalize.Fact{Name: "subject", Value: d.SubjectID})
	of := values[d.Of]
	c.add("of", fmt.Sprintf("%s, %s, which prints %q: %s%s", d.Of, cell(of), of.Printed, of.Value, in(of.Unit)), normalize.Fact{Name: "value_id", Value: d.Of}, normalize.Fact{Name: "where", Value: cell(of)})
	if len(changed) > 0 {
		c.add("changes", strings.Join(changed, "; ")+"; all else is meant as in the print", normalize.Fact{Name: "changed", Value: strings.Join(changed, "; ")})
	}
	c.add("formula", d.Formula, normalize.Fact{Name: "formula", Value: d.Formula})
	figures := d.Formula
	for _, id := range parents {
		number := string(values[id].Value)
		if strings.HasPrefix(number, "-") {
			number = "(" + number + ")"
		}
		figures = strings.ReplaceAll(figures, id, number)
	}
	c.add("in figures", fmt.Sprintf("%s = %s%s, each in its canonical unit", figures, d.Value, in(d.Unit)), normalize.Fact{Name: "figures", Value: figures}, normalize.Fact{Name: "value", Value: string(d.Value)},
		normalize.Fact{Name: "unit", Value: d.Unit})
	for i := range now {
		if now[i].DerivedID == what {
			c.add("rounding", fmt.Sprintf("once, to %d digits after the point", now[i].From.Number().Scale()), normalize.Fact{Name: "decimals", Value: fmt.Sprint(now[i].From.Number().Scale())})
		}
	}
	c.add("half-width", fmt.Sprintf("%s%s: how far the formula goes in the corners of the %d intervals of its parents, with its own rounding, outward", d.HalfWidth, in(d.Unit), len(parents)),
		normalize.Fact{Name: "half_width", Value: string(d.HalfWidth)}, normalize.Fact{Name: "unit", Value: d.Unit})
	if d.Accuracy != "" {
		c.add("accuracy", fmt.Sprintf("%s%s: the same with what sources state of their measurements, which is kept apart from rounding", d.Accuracy, in(d.Unit)), normalize.Fact{Name: "accuracy", Value: string(d.Accuracy)})
	}
	c.add("checked", fmt.Sprintf("%s, as the least vouched for of its parents; verify works it out again", d.Checked), normalize.Fact{Name: "checked", Value: d.Checked})
	// In the order of the formula, the number that was converted first.
	order := []string{d.Of}
	for _, word := range strings.FieldsFunc(d.Formula, func(r rune) bool { return strings.ContainsRune(" +-*/(),", r) }) {
		if slices.Contains(parents, word) && !slices.Contains(order, word) {
			order = append(order, word)
		}
	}
	for i, id := range order {
		v := values[id]
		c.add("parent", fmt.Sprintf("%d of %d: %s, %s of %s: %s%s, half-width %s, %s", i+1, len(order), id, v.Quantity, cell(v), v.Value, in(v.Unit), v.HalfWidth, v.Checked),
			normalize.Fact{Name: "value_id", Value: id}, normalize.Fact{Name: "where", Value: cell(v)}, normalize.Fact{Name: "value", Value: string(v.Value)}, normalize.Fact{Name: "unit", Value: v.Unit},
			normalize.Fact{Name: "half_width", Value: string(v.HalfWidth)}, normalize.Fact{Name: "checked", Value: v.Checked})
		parent, err := Explain(r, id)
		if err != nil { // only of an edition from before its table went
			c.add("print", fmt.Sprintf("%q; its way cannot be told: %v", v.Printed, err), normalize.Fact{Name: "printed", Value: v.Printed})
			continue
		}
		for _, step := range parent.Steps {
			if slices.Contains(parentSteps, step.Name) && step.Says != noRuling {
				c.Steps = append(c.Steps, step)
			}
		}
	}
	says := func(d *datasets.Derived) string {
		return fmt.Sprintf("%s of %s is %s%s, half-width %s, %s", d.DerivedID, d.SubjectID, d.Value, in(d.Unit), d.HalfWidth, d.Checked)
	}
	if published {
		when := "would be published now"
		if n := len(r.Blocking()); n > 0 {
			when = fmt.Sprintf("would be published once the blocking findings of the study are settled (%d open)", n)
		}
		c.add("published", when+": "+says(d), normalize.Fact{Name: "derived_id", Value: what}, normalize.Fact{Name: "value", Value: string(d.Value)})
	} else {
		c.add("not published", "it would not be published now: it is not asked for any more, or a parent is withheld or waits for a ruling")
	}
	for _, n := range editions {
		for i := range n.Derived {
			if n.Derived[i].DerivedID == what {
				c.add("edition", fmt.Sprintf("edition %s, line %d of derived.csv: %s", n.version, i+2, says(&n.Derived[i])),
					normalize.Fact{Name: "edition", Value: n.version}, normalize.Fact{Name: "line", Value: fmt.Sprint(i + 2)}, normalize.Fact{Name: "value", Value: string(n.Derived[i].Value)})
			}
		}
	}
	return c, nil
}

// follows tells which derived numbers follow from the figure.
func (c *Chain) follows(now *datasets.Edition) {
	for i := range now.Derived {
		d := &now.Derived[i]
		if slices.ContainsFunc(strings.Fields(d.Parents), func(id string) bool { return slices.Contains(c.ValueIDs, id) }) {
			unit := ""
			if d.Unit != "1" {
				unit = " " + d.Unit
			}
			c.add("follows", fmt.Sprintf("from it: %s, %s %s%s", d.DerivedID, d.Quantity, d.Value, unit), normalize.Fact{Name: "derived_id", Value: d.DerivedID}, normalize.Fact{Name: "formula", Value: d.Formula})
		}
	}
}

// unwithheld is the report as it would be if the cell were not withheld, with the
// series of its table; nil where it is not withheld, or cannot be told without it.
func unwithheld(r *validate.Report, id extract.CellID) (*validate.Report, *normalize.Series) {
	cell := r.Cell(id)
	rulings := r.Rulings
	for range len(rulings) {
		if cell == nil || cell.State != extract.Withheld || cell.Settled == nil {
			break
		}
		by := cell.Settled.Ruling
		rulings = slices.DeleteFunc(slices.Clone(rulings), func(u validate.Ruling) bool { return u.ID == by })
		r = validate.Run(r.Study, rulings)
		cell = r.Cell(id)
	}
	if cell == nil || cell.State == extract.Withheld {
		return nil, nil
	}
	for _, s := range r.Series {
		if s.Table.ID == id.Table {
			return r, s
		}
	}
	return nil, nil
}

// withheld goes on where a ruling keeps the figure back: what would follow from the
// print without it, as far as that goes, and what the checks say of it.
func (c *Chain) withheld(r *validate.Report, id extract.CellID) bool {
	without, s := unwithheld(r, id)
	if s == nil {
		return false
	}
	c.add("if published", "a ruling keeps the figure back; what follows is its way without that ruling, and nothing of it is published")
	for _, step := range s.Explain(id) {
		if step.Name != "rounding" {
			c.Steps = append(c.Steps, step)
		}
	}
	if list := without.Answering(id); len(list) > 0 {
		c.add("checks", "without the ruling another figure here would set off "+strings.Join(list, ", "), normalize.Fact{Name: "answering", Value: strings.Join(list, " ")})
	}
	for i := range without.Findings {
		f := &without.Findings[i]
		if !slices.Contains(f.Cells, id) || r.Finding(f.ID) != nil {
			continue
		}
		c.add("finding", fmt.Sprintf("%s, if it were not withheld: %s: %s (%s, %s)", f.Check, f.Where, f.Message, f.ID, f.Severity), normalize.Fact{Name: "finding", Value: f.ID},
			normalize.Fact{Name: "check", Value: f.Check}, normalize.Fact{Name: "severity", Value: string(f.Severity)}, normalize.Fact{Name: "state", Value: "withheld"})
	}
	return true
}
