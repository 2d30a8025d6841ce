package validate

import (
	"fmt"

	"windtally/extract"
	"windtally/normalize/air"
)

var correctionBounds = bounds{"correction-sign", []Bound{
	{"rows", 2, "rows that contradict the stated sign and fit the other, before anything is said"},
}}

func correctionCheck() Check {
	return Check{Name: correctionBounds.check, Bounds: correctionBounds.list, run: corrections,
		About:  "where a row prints indicated and calibrated airspeed beside the correction, the correction has the sign that the basis states: V_C = V_I + D (added), V_C = V_I - D (indicated-minus-true)",
		Range:  "rows with one indicated airspeed, one calibrated one and an airspeed correction; silent where rounding hides the sign",
		Source: "the definition of the correction"}
}

// corrections holds the stated sign of position errors against the two airspeeds of
// their rows.
func corrections(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		type column struct{ table, key string }
		type tally struct {
			e           *Entry
			against, of int
			cells       []extract.CellID
		}
		found := map[column]*tally{}
		var order []column
		for k := range rec.Entries {
			e := &rec.Entries[k]
			if e.Quantity.Name != "airspeed correction" || e.Row == nil || e.Basis.CorrectionSign == "" {
				continue
			}
			one := func(kind air.Kind) *Entry {
				var at *Entry
				for n := range rec.Entries {
					o := &rec.Entries[n]
					if o.Series != e.Series || o.Row != e.Row || o.Quantity.Name == "airspeed correction" || o.Quantity.Canonical != "m/s" {
						continue
					}
					if got, err := air.ParseKind(o.Basis.AirspeedKind); err != nil || got != kind {
						continue
					}
					if at != nil {
						return nil // nothing says which is meant
					}
					at = o
				}
				return at
			}
			indicated, calibrated := one(air.IAS), one(air.CAS)
			if indicated == nil || calibrated == nil {
				continue
			}
			room := (width(e.Datum) + width(indicated.Datum) + width(calibrated.Datum)) * (1 + 1e-9)
			added := float(calibrated.Value) - float(indicated.Value)
			d := float(e.Value)
			if e.Basis.CorrectionSign == "indicated-minus-true" {
				d = -d
			}
			fits := func(x float64) bool { return added-x <= room && x-added <= room }
			if fits(d) == fits(-d) {
				continue
			}
			c := column{e.Series.Table.Name, e.Column}
			t := found[c]
			if t == nil {
				t = &tally{e: e}
				found[c] = t
				order = append(order, c)
			}
			t.of++
			if fits(-d) {
				t.against++
				t.cells = append(t.cells, e.Cell.ID, indicated.Cell.ID, calibrated.Cell.ID)
			}
		}
		for _, c := range order {
			t := found[c]
			if float64(t.against) < r.bound(correctionBounds, "rows") || 2*t.against <= t.of {
				continue // a row or two are figures, not the sign
			}
			sign, other := t.e.Basis.CorrectionSign, "added"
			if sign == other {
				other = "indicated-minus-true"
			}
			list = append(list, draft{Finding{Check: correctionBounds.check, Severity: Blocking, Table: c.table, Where: c.table + ":" + c.key, Cells: t.cells, meaning: true,
				Message:  fmt.Sprintf("the corrections are stated as %s, and in %d of the %d rows that tell they lead from the indicated to the calibrated airspeed with the other sign", sign, t.against, t.of),
				Expected: "correction_sign: " + other,
				Why:      "a position error taken with the wrong sign is in the airspeed twice",
				Hint:     "look at the head of the column and at the text, and state correction_sign: in the table's file"}, c.table + ":" + c.key})
		}
	}
	return list
}
