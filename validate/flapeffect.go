package validate

import (
	"fmt"
	"math/big"

	"windtally/extract"
	"windtally/normalize"
)

var flapBounds = bounds{"flap-effect", []Bound{
	{"lift", 0.02, "relative loss of C_Lmax with the flap down, beyond rounding, that blocks"},
	{"speed", 0.02, "relative gain of stall speed with the flap down, beyond rounding, that blocks"},
}}

func flapEffectCheck() Check {
	return Check{Name: flapBounds.check, Bounds: flapBounds.list, run: flapEffects,
		About: "a flap that is lowered raises C_Lmax and lowers the stall speed at one weight: C_Lmax(down) > C_Lmax(up), V_s(down) < V_s(up); " +
			"the reverse shows labels or rows exchanged; and a lift increment of a lowered flap is not negative",
		Range: "figures of one table and column that differ in the flap's deflection alone (one of them up, the other lowered by more than 0 deg), of flaps of a known kind; " +
			"silent on figures formed on the extended area, and where weights differ",
		Source: "TRADE.md 5 (flap increment negative: fail, from memory); bounds common practice, no source",
	}
}

// lowered reports whether the flap of a configuration is down, ok where it is known.
func lowered(c normalize.Configuration) (down, ok bool) {
	switch c.Flap {
	case "", "not-stated", "other":
		return false, false
	case "none":
		return false, true
	}
	d, known := new(big.Rat).SetString(c.Deflection)
	if !known || d.Sign() < 0 {
		return false, false
	}
	return d.Sign() > 0, true
}

func flapEffects(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		for _, quantity := range []string{"maximum lift coefficient", "stall speed"} {
			list = append(list, r.flapEffect(rec, quantity)...)
		}
		for _, e := range rec.scalars("lift increment") {
			down, ok := lowered(e.Config)
			if !ok || !down || float(e.Value)+width(e.Datum) >= 0 || e.Basis.ReferenceArea == "extended" {
				continue
			}
			list = append(list, draft{Finding{Check: flapBounds.check, Severity: Doubt, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column, Cells: []extract.CellID{e.Cell.ID},
				Message: fmt.Sprintf("the lift increment %s of a flap lowered by %s deg is negative", e.Cell.Text, e.Config.Deflection), Expected: "an increment above zero",
				Why: "a lowered flap adds lift", Hint: "look at the sign and at the label of the row"}, "increment"})
		}
	}
	return list
}

// flapEffect compares the figures of one column with flap up and down.
func (r *Report) flapEffect(rec *Record, quantity string) []draft {
	var list []draft
	index := map[string]int{}
	figures := rec.scalars(quantity)
	for _, up := range figures {
		if down, ok := lowered(up.Config); !ok || down {
			continue
		}
		for _, low := range figures {
			down, ok := lowered(low.Config)
			if !ok || !down || low.Series != up.Series || low.Column != up.Column || low.Basis.ReferenceArea == "extended" || up.Basis.ReferenceArea == "extended" || !otherwiseLike(up, low) {
				continue
			}
			u, d := float(up.Value), float(low.Value)
			f := Finding{Check: flapBounds.check, Severity: Blocking, Table: up.Series.Table.Name, Where: up.Series.Table.Name + ":" + up.Column, meaning: true,
				Why: "a lowered flap raises the greatest lift and lowers the stall speed; the reverse shows labels, rows or columns exchanged", Hint: "look at the labels of both rows"}
			slack := width(up.Datum) + width(low.Datum)
			if quantity == "stall speed" {
				if d-u-slack <= r.bound(flapBounds, "speed")*u {
					continue
				}
				f.Message = fmt.Sprintf("the stall speed is %s with the flap lowered by %s deg and %s with it up", low.Cell.Text, low.Config.Deflection, up.Cell.Text)
				f.Expected = "a lower speed with the flap down"
			} else {
				if u-d-slack <= r.bound(flapBounds, "lift")*u {
					continue
				}
				f.Message = fmt.Sprintf("C_Lmax is %s with the flap lowered by %s deg and %s with it up", low.Cell.Text, low.Config.Deflection, up.Cell.Text)
				f.Expected = "a greater C_Lmax with the flap down"
			}
			key := up.Series.Table.ID + "/" + up.Cell.ID.Row + "/" + up.Column
			if k, known := index[key]; known {
				list[k].Cells = append(list[k].Cells, low.Cell.ID)
				continue
			}
			index[key] = len(list)
			f.Cells = []extract.CellID{up.Cell.ID, low.Cell.ID}
			list = append(list, draft{f, quantity})
		}
	}
	return list
}

// otherwiseLike reports whether two figures differ in their flap alone: every other
// condition is the same, as far as both state it.
func otherwiseLike(a, b Entry) bool {
	x, y := a.Series.Conditions(a.Row, a.Datum), b.Series.Conditions(b.Row, b.Datum)
	of := func(list []normalize.Holding, name string) (normalize.Holding, bool) {
		for _, h := range list {
			if h.Name == name {
				return h, true
			}
		}
		return normalize.Holding{}, false
	}
	for _, h := range x {
		if h.Name == "flap" || h.Name == "flap deflection" || h.Name == "deflection state" {
			continue
		}
		if o, ok := of(y, h.Name); ok && h.Agree(o) == normalize.Different {
			return false
		}
	}
	return true
}
