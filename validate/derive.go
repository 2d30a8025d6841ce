package validate

import (
	"fmt"

	"windtally/extract"
	"windtally/normalize"
)

// Underived is a conversion that was asked for and refused.
type Underived struct {
	Ask int // index in the subject's derive:
	normalize.Underived
}

// derive makes the derived series of every record.
func (r *Report) derive() {
	for i := range r.Records {
		rec := &r.Records[i]
		if len(rec.Subject.Derive) == 0 {
			continue
		}
		figures := make([]normalize.Figure, len(rec.Entries))
		for k, e := range rec.Entries {
			figures[k] = normalize.Figure{Series: e.Series, Row: e.Row, Datum: e.Datum}
		}
		for k, ask := range rec.Subject.Derive {
			done, not := normalize.Derive(figures, ask)
			rec.Derived = append(rec.Derived, done...)
			for _, u := range not {
				rec.Underived = append(rec.Underived, Underived{k, u})
			}
		}
	}
}

// derivations says what was not derived. Where a request as a whole cannot be met
// its file must be mended; where single figures are left out, the others are not
// less right for it.
func derivations(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		type group struct {
			ask                 int
			table, reason, hint string
		}
		at := map[group]int{} // index in list
		count := map[group]int{}
		for _, u := range rec.Underived {
			ask := rec.Subject.Derive[u.Ask]
			f := Finding{Check: "derivation", Where: fmt.Sprintf("subjects/%s.yaml:derive[%d]", rec.Subject.Name, u.Ask), Message: u.Msg, Hint: u.Hint, meaning: true,
				Why: "figures that differ in what bears on them, or do not state it, are never mixed"}
			detail := fmt.Sprintf("%s/%s", rec.Subject.Name, wanted(ask))
			if u.Of == nil {
				f.Severity, f.Mend = Blocking, true
				list = append(list, draft{f, detail + "/" + u.Msg})
				continue
			}
			f.Severity, f.Table, f.Cells = Doubt, u.Of.Series.Table.Name, []extract.CellID{u.Of.Cell.ID}
			g := group{u.Ask, f.Table, u.Reason, u.Hint}
			if count[g]++; count[g] == 1 {
				at[g] = len(list)
				list = append(list, draft{f, detail})
				continue
			}
			// What holds of many figures of a table is said once.
			have := &list[at[g]].Finding
			have.Cells = append(have.Cells, u.Of.Cell.ID)
			have.Message = fmt.Sprintf("%d figures of %s in %s are not derived as %s: %s", count[g], ask.Quantity, f.Table, ask.Target(), u.Reason)
		}
	}
	return list
}

// wanted tells the requests of one subject apart, wherever they stand in its file.
func wanted(d extract.Derivation) string {
	key := fmt.Sprintf("%q %q %q %q%q%q", d.Quantity, d.Table, d.Column, d.AirspeedKind, d.ReferenceArea, d.AngleDatum)
	if d.AltitudeKind != "" || d.MomentCenter != "" {
		key += fmt.Sprintf(" %q%q", d.AltitudeKind, d.MomentCenter)
	}
	if d.AspectRatio != nil || d.Walls != nil {
		key += fmt.Sprintf(" %q", d.Target())
		if a := d.AspectRatio; a != nil {
			key += fmt.Sprintf(" %q %q", a.FromPlanform, a.SectionSlope)
		}
	}
	if p := d.PositionError; p != nil {
		key += fmt.Sprintf(" %q", *p)
	}
	return key
}
