package validate

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"slices"

	"windtally/extract"
)

var extremeBounds = bounds{"extremes", []Bound{
	{"clmax", 0.02, "part of C_Lmax by which an entry of the same polar may be above it"},
	{"clmax-above", 0.10, "part of C_Lmax by which it may be above the highest entry of a polar that goes beyond the stall"},
	{"cdmin", 0.05, "part of C_Dmin by which an entry of the same polar may be below it"},
}}

func extremesCheck() Check {
	return Check{Name: extremeBounds.check, Bounds: extremeBounds.list, run: extremes,
		About:  "C_Lmax is the highest C_L of its polar, and C_Dmin the lowest C_D: no entry is above the one or below the other, and C_Lmax is near the highest entry of a polar that goes beyond the stall",
		Range:  "figures of one source under conditions none of which differs; C_Lmax against entries up to 30 deg; against a polar beyond the stall where the figure to either side of the highest is within 10 % of it; silent on rotors",
		Source: "repeats of C_Lmax scatter by 0.011 (Ladson, TRADE.md 4.4); others common practice, no source",
	}
}

func extremes(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind == "rotor" {
			continue
		}
		list = append(list, r.greatestLift(rec)...)
		list = append(list, r.leastDrag(rec)...)
	}
	return list
}

// ofPolar reports whether a point is one of the curve that a characteristic is of.
func ofPolar(e, point Entry) bool {
	return e.Source() == point.Source() && likeBut(e, point, "angle datum", "stall", "entry rate")
}

func (r *Report) greatestLift(rec *Record) []draft {
	maxima := rec.scalars("maximum lift coefficient")
	if len(maxima) == 0 {
		return nil
	}
	curves := rec.curves("angle of attack", "lift coefficient")
	var list []draft
	for _, e := range maxima {
		stated := float(e.Value)
		for _, c := range curves {
			var points []map[string]Entry
			for _, p := range c.points {
				if math.Abs(float(p["angle of attack"].Value)) <= 30 {
					points = append(points, p)
				}
			}
			if len(points) < 4 {
				continue
			}
			slices.SortStableFunc(points, func(a, b map[string]Entry) int {
				return cmp.Compare(float(a["angle of attack"].Value), float(b["angle of attack"].Value))
			})
			k := 0
			for i, p := range points {
				if float(p["lift coefficient"].Value) > float(points[k]["lift coefficient"].Value) {
					k = i
				}
			}
			top := points[k]["lift coefficient"]
			highest, slack := float(top.Value), width(e.Datum)+width(top.Datum)
			f := Finding{Check: extremeBounds.check, Severity: Doubt, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column,
				Cells: []extract.CellID{e.Cell.ID, top.Cell.ID}, Miss: missIn(highest-stated, float(e.Half)),
				Why: "the greatest lift coefficient is one of its curve", Hint: "look at both figures; is C_Lmax that of another flap setting or Reynolds number?"}
			at := fmt.Sprintf("C_L %s at %s deg of %s", top.Cell.Text, plain(float(points[k]["angle of attack"].Value)), c.name())
			switch {
			case highest-stated-slack > r.bound(extremeBounds, "clmax")*stated:
				f.Message, f.Expected = fmt.Sprintf("C_Lmax is %s, and its polar has %s", e.Cell.Text, at), "a C_Lmax no less than the highest C_L"
			case stated-highest-slack > r.bound(extremeBounds, "clmax-above")*stated && turnsNear(points, k):
				f.Message, f.Expected = fmt.Sprintf("C_Lmax is %s, and the highest entry of its polar, which goes beyond the stall, is %s", e.Cell.Text, at), "a C_Lmax near the highest C_L"
			default:
				continue
			}
			if ofPolar(e, top) {
				list = append(list, draft{f, "clmax"})
			}
		}
	}
	return list
}

// turnsNear reports whether a curve turns at its highest point and within 10 % of it, so
// that its top is not far above.
func turnsNear(points []map[string]Entry, k int) bool {
	if k == 0 || k+1 == len(points) {
		return false
	}
	top := float(points[k]["lift coefficient"].Value)
	for _, p := range []map[string]Entry{points[k-1], points[k+1]} {
		if float(p["lift coefficient"].Value) < .9*top {
			return false
		}
	}
	return true
}

func (r *Report) leastDrag(rec *Record) []draft {
	var list []draft
	drags := rec.scalars("drag coefficient")
	for _, e := range rec.scalars("minimum drag coefficient") {
		stated := float(e.Value)
		for _, o := range drags {
			if stated-float(o.Value)-width(e.Datum)-width(o.Datum) <= r.bound(extremeBounds, "cdmin")*stated || e.Basis.Drag != o.Basis.Drag || !ofPolar(e, o) {
				continue
			}
			list = append(list, draft{Finding{Check: extremeBounds.check, Severity: Doubt, Table: o.Series.Table.Name, Where: o.Series.Table.Name + ":" + o.Cell.ID.Row + ":" + o.Column,
				Cells:    []extract.CellID{o.Cell.ID, e.Cell.ID},
				Message:  fmt.Sprintf("C_D is %s, below the C_Dmin of %s that is given", o.Cell.Text, e.Cell.Text),
				Expected: "no C_D below C_Dmin", Miss: missIn(stated-float(o.Value), float(o.Half)),
				Why: "the least drag coefficient is the least of its curve", Hint: "look at both figures; profile or total drag, and of which flap setting?"}, "cdmin"})
		}
	}
	return list
}

var growthBounds = bounds{"flap-growth", []Bound{
	{"lift", 0.03, "part of C_Lmax or of a lift increment by which it may dip between two deflections, beyond rounding"},
	{"angle", 0.5, "degrees by which the zero-lift angle may rise between two deflections, beyond rounding"},
}}

func growthCheck() Check {
	return Check{Name: growthBounds.check, Bounds: growthBounds.list, run: growths,
		About: "C_Lmax and the lift increment grow with the flap's deflection up to that of the greatest effect, and stay level or fall beyond it, and the zero-lift angle falls and then stays or rises: " +
			"y_i < y_(i-1) and y_i < y_(i+1) (of the angle, the reverse) is a dip that no flap makes",
		Range:  "at least 4 deflections of one column under otherwise like conditions, flaps of a known kind; a plateau is silent; silent on the extended area",
		Source: "plateau: C_Lmax 1.90 at every deflection from 25 to 80 deg is real (TRADE.md 4.3 g, VERIFIED); bounds common practice, no source",
	}
}

func growths(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		for _, quantity := range []string{"maximum lift coefficient", "lift increment", "zero-lift angle"} {
			list = append(list, r.growth(&r.Records[i], quantity)...)
		}
	}
	return list
}

func (r *Report) growth(rec *Record, quantity string) []draft {
	type point struct {
		Entry
		deflection *big.Rat
	}
	var points []point
	for _, e := range rec.scalars(quantity) {
		down, ok := lowered(e.Config)
		if !ok || e.Basis.ReferenceArea == "extended" {
			continue
		}
		d := new(big.Rat)
		if down {
			d.SetString(e.Config.Deflection)
		}
		points = append(points, point{e, d})
	}
	var list []draft
	done := make([]bool, len(points))
	for i, a := range points {
		if done[i] {
			continue
		}
		group := []point{a}
		for k := i + 1; k < len(points); k++ {
			b := points[k]
			if !done[k] && b.Series == a.Series && b.Column == a.Column && otherwiseLike(a.Entry, b.Entry) {
				group, done[k] = append(group, b), true
			}
		}
		slices.SortStableFunc(group, func(a, b point) int { return a.deflection.Cmp(b.deflection) })
		twice := false
		for k := 1; k < len(group); k++ {
			twice = twice || group[k].deflection.Cmp(group[k-1].deflection) == 0
		}
		if len(group) < 4 || twice {
			continue // figures that something else tells apart
		}
		for k := 1; k+1 < len(group); k++ {
			before, at, after := group[k-1], group[k], group[k+1]
			sign, slack := 1.0, r.bound(growthBounds, "lift")*math.Abs(float(at.Value))
			if quantity == "zero-lift angle" {
				sign, slack = -1, r.bound(growthBounds, "angle")
			}
			slack += width(at.Datum) + max(width(before.Datum), width(after.Datum))
			y := func(p point) float64 { return sign * float(p.Value) }
			if min(y(before), y(after))-y(at) <= slack {
				continue
			}
			word := "below"
			if sign < 0 {
				word = "above"
			}
			lo, hi := float(before.Value), float(after.Value)
			list = append(list, draft{Finding{Check: growthBounds.check, Severity: Doubt, Table: at.Series.Table.Name, Where: at.Series.Table.Name + ":" + at.Cell.ID.Row + ":" + at.Column,
				Cells: []extract.CellID{at.Cell.ID, before.Cell.ID, after.Cell.ID},
				Message: fmt.Sprintf("the %s %s at %s deg of flap is %s both of its neighbours, %s at %s deg and %s at %s deg", quantity, at.Cell.Text, plain(float(at.deflection)), word,
					before.Cell.Text, plain(float(before.deflection)), after.Cell.Text, plain(float(after.deflection))),
				Expected: fmt.Sprintf("between %s and %s", plain(math.Min(lo, hi)), plain(math.Max(lo, hi))),
				Miss:     missIn(min(y(before), y(after))-y(at), float(at.Half)),
				Why:      "the effect of a flap grows with its deflection, and beyond the greatest effect it does not grow again",
				Hint:     "look at the figure, then at its neighbours: a wrong one before it makes the same dip"}, quantity})
		}
	}
	return list
}
