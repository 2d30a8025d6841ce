package validate

import (
	"fmt"
	"math"
	"slices"

	"windtally/extract"
)

var symmetryBounds = bounds{"symmetry", []Bound{
	{"lift", 0.05, "greatest miss of C_L(-a) = -C_L(a) beyond rounding that is not doubtful"},
	{"lift-smooth", 0.02, "the same where the other pairs miss by less than half of it"},
	{"drag", 0.001, "greatest miss of C_D(-a) = C_D(a) beyond rounding and drag-part that is not doubtful"},
	{"drag-part", 0.10, "part of C_D that is added to it"},
	{"angle", 0.5, "greatest zero-lift angle in degrees, of either sign, of what is symmetric"},
}}

func symmetryCheck() Check {
	return Check{Name: symmetryBounds.check, Bounds: symmetryBounds.list, run: symmetries,
		About: "of a symmetric article C_L(-alpha) = -C_L(alpha) and C_D(-alpha) = C_D(alpha), and its zero-lift angle is 0",
		Range: "sections, wings and models whose lift curve shows them to be symmetric: at least 4 pairs of angles of either sign below the stall, three quarters of which and their median agree within the bound; " +
			"an offset that all pairs share, as of an angle datum, is left out; silent with a flap down",
		Source: "0.02 and 0.05, and 0.5 deg: judgement, TRADE.md 5 (from memory), where a section by Ladson is within 0.02 and 0.1 deg; drag common practice, no source (the same section: 6 %)",
	}
}

// mirrored is two points of a curve at angles of one size.
type mirrored struct {
	plus, minus map[string]Entry
	sum         float64 // C_L(a) + C_L(-a)
	width       float64
}

func symmetries(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if k := rec.Subject.Kind; k != "section" && k != "wing" && k != "model" {
			continue
		}
		for _, c := range rec.curves("angle of attack", "lift coefficient") {
			list = append(list, r.symmetry(&c)...)
		}
	}
	return list
}

// mirror pairs the points of a curve below the stall of either side.
func (c *curve) mirror() []mirrored {
	at := func(p map[string]Entry) float64 { return float(p["angle of attack"].Value) }
	cl := func(p map[string]Entry) float64 { return float(p["lift coefficient"].Value) }
	top, bottom := c.points[0], c.points[0]
	negative := map[float64]map[string]Entry{}
	for _, p := range c.points {
		if cl(p) > cl(top) {
			top = p
		}
		if cl(p) < cl(bottom) {
			bottom = p
		}
		if a := at(p); a < 0 {
			if negative[-a] != nil {
				return nil // two runs in one table: it is not said which goes with which
			}
			negative[-a] = p
		}
	}
	var list []mirrored
	for _, p := range c.points {
		q := negative[at(p)]
		if at(p) <= 0 || q == nil || at(p) > at(top) || -at(p) < at(bottom) {
			continue
		}
		list = append(list, mirrored{p, q, cl(p) + cl(q), width(p["lift coefficient"].Datum) + width(q["lift coefficient"].Datum)})
	}
	return list
}

func median(list []float64) float64 {
	s := slices.Sorted(slices.Values(list))
	if len(s)%2 == 0 {
		return (s[len(s)/2-1] + s[len(s)/2]) / 2
	}
	return s[len(s)/2]
}

func (r *Report) symmetry(c *curve) []draft {
	if flapKey(c.config) != "up" && c.config.Flap != "" && c.config.Flap != "none" {
		return nil
	}
	pairs := c.mirror()
	if len(pairs) < 4 {
		return nil
	}
	var sums, misses []float64
	for _, p := range pairs {
		sums = append(sums, p.sum)
	}
	offset := median(sums)
	limit, near := r.bound(symmetryBounds, "lift"), 0
	for _, p := range pairs {
		miss := max(0, math.Abs(p.sum-offset)-p.width)
		misses = append(misses, miss)
		if miss <= limit {
			near++
		}
	}
	if math.Abs(offset) > limit || near*4 < len(pairs)*3 {
		return nil // not symmetric, or not to be told
	}
	smooth := r.bound(symmetryBounds, "lift-smooth")
	if median(misses) < smooth/2 {
		limit = smooth
	}
	var list []draft
	for k, p := range pairs {
		if misses[k] <= limit {
			continue
		}
		plus, minus := p.plus["lift coefficient"], p.minus["lift coefficient"]
		list = append(list, draft{Finding{Check: symmetryBounds.check, Severity: Doubt, Table: c.series.Table.Name, Where: c.series.Table.Name + ":" + plus.Cell.ID.Row + ":" + plus.Column,
			Cells: []extract.CellID{plus.Cell.ID, minus.Cell.ID},
			Message: fmt.Sprintf("C_L is %s at %s deg and %s at %s deg, of other size by %.3f, and the other %d pairs agree with a symmetric article within %.3f",
				plus.Cell.Text, plain(float(p.plus["angle of attack"].Value)), minus.Cell.Text, plain(float(p.minus["angle of attack"].Value)), math.Abs(p.sum-offset), len(pairs)-1, othersWithin(pairs, k, offset)),
			Expected: fmt.Sprintf("C_L(-alpha) = -C_L(alpha): %.3f or %.3f", offset-float(minus.Value), offset-float(plus.Value)),
			Miss:     missIn(p.sum-offset, p.width/2),
			Why:      "what is symmetric lifts as much to the one side as to the other", Hint: "look at both figures; one pair tells not which of the two it is"}, "lift"})
	}
	list = append(list, r.evenDrag(c)...)
	for _, e := range c.rec.scalars("zero-lift angle") {
		if flapKey(e.Config) != flapKey(c.config) || math.Abs(float(e.Value))-width(e.Datum) <= r.bound(symmetryBounds, "angle") || e.Basis.AngleDatum != pairs[0].plus["angle of attack"].Basis.AngleDatum {
			continue
		}
		list = append(list, draft{Finding{Check: symmetryBounds.check, Severity: Doubt, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column,
			Cells:    []extract.CellID{e.Cell.ID},
			Message:  fmt.Sprintf("the zero-lift angle is %s %s, and %d pairs of the lift curve of %s show a symmetric article", e.Cell.Text, e.Unit.Name, len(pairs), c.name()),
			Expected: fmt.Sprintf("a zero-lift angle within %s deg of 0", plain(r.bound(symmetryBounds, "angle"))),
			Miss:     missIn(float(e.Value), float(e.Half)),
			Why:      "what is symmetric has no lift at no angle", Hint: "is it a figure of another section, or an angle from another datum?"}, "angle"})
	}
	return list
}

func othersWithin(pairs []mirrored, but int, offset float64) float64 {
	most := 0.0
	for k, p := range pairs {
		if k != but {
			most = max(most, math.Abs(p.sum-offset))
		}
	}
	return most
}

// evenDrag holds the drag of the two sides of a symmetric article against each other.
func (r *Report) evenDrag(lift *curve) []draft {
	var list []draft
	for _, c := range lift.rec.curves("angle of attack", "lift coefficient", "drag coefficient") {
		if c.series != lift.series || c.config.Key() != lift.config.Key() {
			continue
		}
		pairs := c.mirror()
		if len(pairs) < 4 {
			continue
		}
		var off []mirrored
		for _, p := range pairs {
			plus, minus := p.plus["drag coefficient"], p.minus["drag coefficient"]
			a, b := float(plus.Value), float(minus.Value)
			if math.Abs(a-b)-width(plus.Datum)-width(minus.Datum) > r.bound(symmetryBounds, "drag")+r.bound(symmetryBounds, "drag-part")*min(math.Abs(a), math.Abs(b)) {
				off = append(off, p)
			}
		}
		if len(off)*4 > len(pairs) {
			continue // the other side was measured otherwise
		}
		for _, p := range off {
			plus, minus := p.plus["drag coefficient"], p.minus["drag coefficient"]
			list = append(list, draft{Finding{Check: symmetryBounds.check, Severity: Doubt, Table: c.series.Table.Name, Where: c.series.Table.Name + ":" + plus.Cell.ID.Row + ":" + plus.Column,
				Cells: []extract.CellID{plus.Cell.ID, minus.Cell.ID},
				Message: fmt.Sprintf("C_D is %s at %s deg and %s at %s deg, and the other %d pairs agree with a symmetric article",
					plus.Cell.Text, plain(float(p.plus["angle of attack"].Value)), minus.Cell.Text, plain(float(p.minus["angle of attack"].Value)), len(pairs)-len(off)),
				Expected: "C_D(-alpha) = C_D(alpha)", Miss: missIn(float(plus.Value)-float(minus.Value), width(plus.Datum)),
				Why: "what is symmetric has the same drag on either side", Hint: "look at both figures; one pair tells not which of the two it is"}, "drag"})
		}
	}
	return list
}
