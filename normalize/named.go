package normalize

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"windtally/normalize/unit"
)

// namedUnits lists the texts of the print that name a unit by themselves: what stands
// in brackets, between commas, after "in", and the last words where no figure stands
// before them, for 60 m.p.h. is a speed and not the unit of the figures.
func namedUnits(text string) []string {
	var list []string
	add := func(t string) {
		if t = strings.Trim(strings.TrimSpace(t), ":;"); !noUnit(t) && !slices.Contains(list, t) {
			list = append(list, t)
		}
	}
	for _, m := range bracketed.FindAllStringSubmatch(text, -1) {
		for _, part := range strings.FieldsFunc(m[1], isComma) {
			add(part)
		}
	}
	for _, part := range strings.FieldsFunc(bracketed.ReplaceAllString(text, " "), isComma) {
		add(part)
		words := strings.Fields(part)
		for i, w := range words {
			if strings.EqualFold(w, "in") { // the longest is the unit: in feet per second
				for n := min(4, len(words)-i-1); n > 0; n-- {
					if t := strings.Join(words[i+1:i+1+n], " "); unitOfSomething(t) {
						add(t)
						break
					}
				}
			}
		}
		for n := min(4, len(words)-1); n > 0; n-- {
			if t := strings.Join(words[len(words)-n:], " "); unitOfSomething(t) {
				before := words[:len(words)-n]
				if !strings.ContainsFunc(before[len(before)-1], unicode.IsDigit) && !slices.ContainsFunc(before, func(w string) bool {
					return slices.Contains([]string{"at", "of", "per", "a", "an", "one", "for"}, strings.ToLower(w))
				}) {
					add(t)
				}
				break
			}
		}
	}
	return list
}

func isComma(r rune) bool { return r == ',' || r == ';' }

// noUnit are texts that look like a unit and mostly are none: "Drag coefficient,
// min.", "in a standard atmosphere", "Flap (rev.)", the letter or figure of a
// footnote.
func noUnit(text string) bool {
	t := strings.TrimSuffix(strings.ToLower(text), ".")
	if len(t) < 2 {
		return t == "" || !strings.ContainsAny(text, "°%'\"mKCF")
	}
	return slices.Contains([]string{"in", "min", "one", "none", "ratio", "coefficient", "sec", "second", "rev", "standard atmosphere", "atmosphere", "atmospheres", "bar", "tour", "ch", "tr"}, t)
}

// unitFor reads a text as a unit of a dimension, with or without a qualifier.
func unitFor(text string, dim unit.Dimension) (unit.Unit, bool) {
	u, err := unit.ParseFor(text, dim)
	if bare, _, ok := unit.Qualified(text); err != nil && ok {
		u, err = unit.ParseFor(bare, dim)
	}
	if err != nil || u.UCUM == "1" || strings.HasPrefix(u.UCUM, "10*") {
		return unit.Unit{}, false
	}
	return u, true
}

// foreignInHead says where a head names a unit of another dimension than the quantity
// has, and none of its own: R.P.M. over what is stated as a speed.
func foreignInHead(head string, q *Quantity) string {
	canonical, _ := unit.Lookup(q.Canonical)
	found := ""
	var dim unit.Dimension
	for _, text := range namedUnits(metricHead(head)) {
		if _, err := unit.ParseFor(text, canonical.Dim); err == nil {
			return ""
		}
		if bare, _, ok := unit.Qualified(text); ok {
			text = bare
			if _, err := unit.ParseFor(text, canonical.Dim); err == nil {
				return ""
			}
		}
		if len(strings.TrimSuffix(text, ".")) < 2 && text != "%" {
			continue // m is the subscript of a moment as well
		}
		if u, err := unit.Parse(text); err == nil && u.UCUM != "1" && !strings.HasPrefix(u.UCUM, "10*") && found == "" {
			found, dim = text, u.Dim
		}
	}
	if found == "" {
		return ""
	}
	return fmt.Sprintf("the print says %q in %q, a unit of %s; the quantity is stated as %s, which is one of %s", found, head, dim, q.Name, canonical.Dim)
}

// ratios are the quantities without dimension that a caption or a label may give in
// percent; of other coefficients percent is a word of the flap or the section.
var ratios = []string{"flap-chord ratio", "flap-span ratio", "chord extension", "center-of-gravity position"}

// captionScale is a caption's word that figures are scaled, not a figure's own power
// of ten: weights in thousands of pounds, drag coefficients multiplied by 10,000.
var captionScale = regexp.MustCompile(`(?i)\bin\s+(?:hundreds|thousands|millions|(?:ten[\s-]*)?thousandths|millionths)\b|\b(?:multiplied|divided)\s+by\s+10|[\pL)]\s*[x×]\s*10\s*(?:[\^⁰¹²³⁴⁵⁶⁷⁸⁹⁻]|[-−]?\d)`)

// unitsAgainst holds the units that the caption, and the labels and sub-heads of rows,
// name against the stated ones: a block of speeds in knots in a column of miles per
// hour. A head goes before the caption.
func (n *normalizer) unitsAgainst() {
	list := n.t.Layout == "list"
	type asked struct {
		text string
		dim  unit.Dimension
	}
	known := map[asked][]unit.Unit{}
	of := func(text string, dim unit.Dimension) []unit.Unit {
		if !strings.ContainsFunc(text, marksUnit) {
			return nil
		}
		units, is := known[asked{text, dim}]
		if !is {
			for _, t := range namedUnits(metricHead(text)) {
				if u, ok := unitFor(t, dim); ok {
					units = append(units, u)
				}
			}
			known[asked{text, dim}] = units
		}
		return units
	}
	differs := func(units []unit.Unit, d *Datum) bool {
		return len(units) > 0 && !slices.ContainsFunc(units, func(u unit.Unit) bool { return u.UCUM == d.Unit.UCUM })
	}
	n.scaleOfCaption()
	last := make([]*Sense, len(n.t.Columns)) // those that the caption was held against
	var texts []string
	for r := range n.s.Rows {
		row := &n.s.Rows[r]
		texts = texts[:0]
		if len(row.Labels) > 0 {
			for i := range n.t.Columns {
				if text := row.Labels[n.t.Columns[i].Key]; strings.ContainsFunc(text, marksUnit) {
					texts = append(texts, text)
				}
			}
		}
		for i := range n.t.Columns {
			d := row.At(i)
			if d == nil || d.Quantity == nil || d.Refused || len(texts) == 0 && last[i] == d.Sense {
				continue
			}
			dim := d.Unit.Dim
			if dim == unit.Dimensionless && !slices.Contains(ratios, d.Quantity.Name) {
				continue
			}
			near := len(of(n.t.Columns[i].Head, dim)) > 0
			if near && len(texts) == 0 {
				last[i] = d.Sense // the head goes before the caption
				continue
			}
			for _, text := range texts {
				units := of(text, dim)
				if len(units) == 0 {
					continue
				}
				near = true
				if list || !differs(units, d) {
					continue // a label of a list is its head, and was held against its own
				}
				n.group(HeadDiffers, "unit/label", d.Cell.ID, ":"+d.Cell.ID.Column, "a column has one unit: write the rows of the other as a table of their own; or confirm, if the label's words mean something else",
					fmt.Sprintf("the label %q says %s; the unit is stated as %s", text, units[0].Name, d.Unit.Name))
			}
			if near || last[i] == d.Sense {
				continue
			}
			last[i] = d.Sense
			if units := of(n.t.Caption, dim); differs(units, d) {
				n.group(HeadDiffers, "unit/caption", d.Cell.ID, ":"+d.Cell.ID.Column, "mend the table's file; or confirm, if the caption's words mean something else",
					fmt.Sprintf("the caption says %s; the unit is stated as %s", units[0].Name, d.Unit.Name))
			}
		}
	}
}

// marksUnit reports whether a unit may be written with the letter or sign.
func marksUnit(r rune) bool { return unicode.IsLetter(r) || strings.ContainsRune("°%'\"", r) }

// scaleOfCaption says where the caption speaks of scaled figures and no column is.
func (n *normalizer) scaleOfCaption() {
	said := captionScale.FindString(n.t.Caption)
	if said == "" {
		return
	}
	scaled := func(printed string) bool {
		u, err := unit.ParseFor(printed, unit.Dimensionless)
		return err == nil && u.UCUM != "1"
	}
	for _, c := range slices.Concat(n.t.Columns, n.t.Givens) {
		if scaled(c.Unit) || c.Basis != nil && c.Basis.Coefficients == "hundredfold" {
			return
		}
	}
	for _, r := range n.t.Rows {
		if scaled(r.Unit) {
			return
		}
	}
	if n.t.Basis.Coefficients == "hundredfold" {
		return
	}
	n.problem(HeadDiffers, "scale/caption", nil, ":caption", "write the scaled unit, as 10*-4 for a coefficient x 10^4, or unclassified where the quantity has none; or confirm, if the words mean something else",
		"the caption says %q, and no column has a scaled unit", strings.TrimSpace(said))
}
