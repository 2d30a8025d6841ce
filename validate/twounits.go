package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/unit"
)

var twinBounds = bounds{"two-units", []Bound{
	{"apart", 0.002, "relative miss beyond rounding at which a figure printed in two units is not one figure"},
}}

func twinCheck() Check {
	return Check{Name: twinBounds.check, Bounds: twinBounds.list, run: twins,
		About: "where a table prints one figure in two units (power in hp and in PS, speed in mph and in knots), both are one value; " +
			"with t the ratio of two units of the dimension, v2 = v1 as stated, or v2 t = v1 in every row and v2 = v1 in none: then one of the units is another than stated",
		Range: "two columns of a grid, or two lines of a list, of one quantity under the same conditions, whose heads are the same words but for the unit; " +
			"figures apart that no two units explain are left alone, for they may be of two things",
		Source: "unit factors of NIST SP 811 appendix B.8 (1 metric hp is 0.98632 hp of 550 ft lbf/s); bound common practice, no source",
	}
}

// twin is one figure printed twice.
type twin struct{ a, b *normalize.Datum }

// twins finds pairs of columns whose figures are one apart from a ratio of two units.
func twins(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		for _, pair := range r.twinsOf(s) {
			if d, ok := r.judgeTwins(s, pair); ok {
				list = append(list, d)
			}
		}
	}
	return list
}

// twinsOf lists the pairs of columns (of a list, of lines) that print one figure twice.
func (r *Report) twinsOf(s *normalize.Series) [][]twin {
	measured := func(d *normalize.Datum) bool {
		return d != nil && d.Quantity != nil && !d.Refused && d.Value.Known() && d.Value.Sign() > 0 && d.Quantity.Canonical != "1" && d.Unit.Offset == nil && d.Cell.State != extract.Withheld
	}
	like := func(rowA, rowB *normalize.Row, a, b *normalize.Datum) bool {
		if a.Quantity.Name != b.Quantity.Name {
			return false
		}
		x, y := s.Conditions(rowA, a), s.Conditions(rowB, b)
		return slices.EqualFunc(x, y, func(p, q normalize.Holding) bool { return p.Key() == q.Key() })
	}
	var list [][]twin
	if s.Table.Layout == "list" {
		for i := range s.Rows {
			for k := i + 1; k < len(s.Rows); k++ {
				a, b := s.Rows[i].Datum("value"), s.Rows[k].Datum("value")
				if measured(a) && measured(b) && stemOf(s.Rows[i].Labels["label"]) == stemOf(s.Rows[k].Labels["label"]) && like(&s.Rows[i], &s.Rows[k], a, b) {
					list = append(list, []twin{{a, b}})
				}
			}
		}
		return list
	}
	for i := range s.Table.Columns {
		for k := i + 1; k < len(s.Table.Columns); k++ {
			a, b := &s.Table.Columns[i], &s.Table.Columns[k]
			if a.Quantity != b.Quantity || a.Quantity == normalize.Unclassified || a.Head != "" && b.Head != "" && stemOf(a.Head) != stemOf(b.Head) {
				continue
			}
			var both []twin
			for n := range s.Rows {
				x, y := s.Rows[n].Datum(a.Key), s.Rows[n].Datum(b.Key)
				if measured(x) && measured(y) && like(&s.Rows[n], &s.Rows[n], x, y) {
					both = append(both, twin{x, y})
				}
			}
			if len(both) > 0 {
				list = append(list, both)
			}
		}
	}
	return list
}

// stemOf is a head without what stands in brackets, behind a comma, or is a unit at
// its end: "Power" of "Power, hp", "Power (PS)" and "Power PS".
func stemOf(head string) string {
	if i := strings.IndexAny(head, ",(["); i >= 0 {
		head = head[:i]
	}
	words := strings.Fields(strings.ToLower(head))
	for n := 1; n < len(words); n++ {
		if _, err := unit.Parse(strings.Join(words[n:], " ")); err == nil {
			words = words[:n]
			break
		}
	}
	return strings.Join(words, " ")
}

func (r *Report) judgeTwins(s *normalize.Series, pair []twin) (draft, bool) {
	apart := r.bound(twinBounds, "apart")
	// off is how far beyond rounding two values are apart, as a share of the greater.
	off := func(t twin, ta, tb float64) float64 {
		a, b := float(t.a.Value)*ta, float(t.b.Value)*tb
		return (math.Abs(a-b) - width(t.a)*ta - width(t.b)*tb) / math.Max(a, b)
	}
	if slices.ContainsFunc(pair, func(t twin) bool { return off(t, 1, 1) <= apart }) {
		return draft{}, false
	}
	var found []string
	try := func(ta, tb float64, says string) {
		if !slices.ContainsFunc(pair, func(t twin) bool { return off(t, ta, tb) > 0 }) {
			found = append(found, says)
		}
	}
	a, b := pair[0].a.Unit, pair[0].b.Unit
	ratio := func(of, is unit.Unit) float64 { return float(is.Factor) / float(of.Factor) }
	for _, u := range unit.All() {
		if u.Dim != a.Dim || u.Offset != nil || u.Pi != a.Pi || u.Pi != b.Pi {
			continue
		}
		if u.UCUM != a.UCUM {
			try(ratio(a, u), 1, "the first in "+u.Name)
		}
		if u.UCUM != b.UCUM {
			try(1, ratio(b, u), "the second in "+u.Name)
		}
	}
	if len(found) == 0 && a.UCUM != b.UCUM {
		try(ratio(a, b), ratio(b, a), "the two units exchanged")
	}
	if len(found) == 0 {
		return draft{}, false
	}
	first := pair[0]
	f := Finding{Check: twinBounds.check, Severity: Blocking, Table: s.Table.Name, Where: s.Table.Name + ":" + first.a.Cell.ID.Column + " and " + first.b.Cell.ID.Column, meaning: true,
		Why:  "one figure in two units is one value; where it is not, one of the two has the wrong unit",
		Hint: "look at both heads; mend unit: in tables/" + s.Table.Name + ".yaml, or confirm if they are figures of two things"}
	if s.Table.Layout == "list" {
		f.Where = s.Table.Name + ":" + first.a.Cell.ID.Row + " and " + first.b.Cell.ID.Row
	}
	if len(pair) == 1 {
		f.Severity = Doubt // one pair may fit by chance
	}
	for _, t := range pair {
		f.Cells = append(f.Cells, t.a.Cell.ID, t.b.Cell.ID)
	}
	f.Message = fmt.Sprintf("the %s is printed twice and is not one value: %s in %s and %s in %s, a ratio of %.4f; it would be one with %s",
		first.a.Quantity.Name, first.a.Cell.Text, first.a.Unit.Name, first.b.Cell.Text, first.b.Unit.Name, float(first.b.Value)/float(first.a.Value), strings.Join(found, ", or "))
	f.Expected = fmt.Sprintf("one value in both units, in %d rows", len(pair))
	return draft{f, "units"}, true
}
