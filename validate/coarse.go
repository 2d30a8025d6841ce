package validate

import (
	"fmt"

	"windtally/extract"
)

// coarseSlope judges a lift curve of too few points for a fit by the rise from its
// first point to its greatest lift, which a wrong system, unit or scale moves by a
// factor of several: no article rises by less than coarse-low per radian over 6 deg
// from an angle below 6 deg, nor by more than coarse-high. It is silent on what begins
// near the stall.
func (r *Report) coarseSlope(c *curve) []draft {
	if len(c.points) < 3 {
		return nil
	}
	value := func(p map[string]Entry, quantity string) float64 { return float(p[quantity].Value) }
	first, top := c.points[0], c.points[0]
	for _, p := range c.points {
		if value(p, "angle of attack") < value(first, "angle of attack") {
			first = p
		}
		if value(p, "lift coefficient") > value(top, "lift coefficient") {
			top = p
		}
	}
	from, to := value(first, "angle of attack"), value(top, "angle of attack")
	rise := value(top, "lift coefficient") - value(first, "lift coefficient")
	slack := width(top["lift coefficient"].Datum) + width(first["lift coefficient"].Datum)
	turn := width(top["angle of attack"].Datum) + width(first["angle of attack"].Datum)
	if to <= from || rise <= 0 {
		return nil
	}
	const radian = 57.29577951308232
	low, high := r.bound(slopeBounds, "coarse-low"), r.bound(slopeBounds, "coarse-high")
	slope := rise / (to - from) * radian
	switch {
	case to-from >= 6 && from <= 6 && to <= 30 && (rise+slack)/(to-from)*radian < low:
	case (rise-slack)/(to-from+turn)*radian > high && rise > 3*slack:
	default:
		return nil
	}
	f := Finding{Check: slopeBounds.check, Severity: Blocking, Table: c.series.Table.Name, Where: c.name(),
		Cells: append(c.all("angle of attack"), c.all("lift coefficient")...),
		Message: fmt.Sprintf("from %s to %s deg the lift coefficient of %s rises from %s to %s, by %.3g per radian, which no wing or section has",
			plain(from), plain(to), c.name(), first["lift coefficient"].Cell.Text, top["lift coefficient"].Cell.Text, slope),
		Expected: fmt.Sprintf("between %s and %s per radian, of a curve of %d points", plain(low), plain(high), len(c.points)),
		Why:      "the slope is fixed by aspect ratio within narrow bounds; a miss shows a wrong unit, coefficient system or figure",
		Hint:     "in which system and scale are the coefficients, in which unit the angles?"}
	f.Cells = unique(f.Cells)
	return []draft{{f, "fit"}}
}

// unique keeps the first of equal cells.
func unique(ids []extract.CellID) []extract.CellID {
	seen := map[extract.CellID]bool{}
	var list []extract.CellID
	for _, id := range ids {
		if !seen[id] {
			seen[id] = true
			list = append(list, id)
		}
	}
	return list
}
