package validate

import (
	"fmt"
	"math"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/air"
)

var reynoldsBounds = bounds{"reynolds-number", []Bound{
	{"doubt", 0.005, "relative miss beyond rounding that is doubtful"},
	{"blocking", 0.2, "relative miss beyond rounding that blocks"},
}}

func reynoldsCheck() Check {
	return Check{Name: reynoldsBounds.check, Bounds: reynoldsBounds.list, run: reynolds,
		About: "a test Reynolds number is rho V c/mu of the true airspeed V and the mean chord c that stand with it, in the air that the basis of the speed states; an effective one is never below it",
		Range: "Reynolds numbers with one airspeed (CAS, EAS or TAS) in their row or among the given figures, a mean chord there or alone in the record, and both altitude and atmosphere stated; a temperature makes the density that of the day, and at a geometric height, where density and viscosity are the standard's within 8 and 5 %, the bounds are wider by these; silent where the kind is not stated",
		// The kinematic viscosities of the period and of today are 0.3 % apart.
		Source: "viscosities from NACA's symbols page (TRADE.md 1.6, VERIFIED and DERIVED); blocking bound common practice, no source"}
}

// beside returns the one figure that suits in the row of an entry, else among the
// given figures of its table.
func (rec *Record) beside(e *Entry, suits func(o *Entry) bool) (*Entry, bool) {
	for _, row := range []*normalize.Row{e.Row, nil} {
		var found *Entry
		for i := range rec.Entries {
			o := &rec.Entries[i]
			if o.Series != e.Series || o.Row != row || !suits(o) {
				continue
			}
			if found != nil {
				return nil, false // nothing says which is meant
			}
			found = o
		}
		if found != nil {
			return found, true
		}
	}
	return nil, false
}

func reynolds(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		for k := range rec.Entries {
			e := &rec.Entries[k]
			if e.Quantity.Name != "Reynolds number" || e.Value.Sign() <= 0 || e.Basis.ReynoldsKind != "test" && e.Basis.ReynoldsKind != "effective" {
				continue
			}
			speed, ok := rec.beside(e, func(o *Entry) bool {
				kind, err := air.ParseKind(o.Basis.AirspeedKind)
				return o.Quantity.Name == "airspeed" && err == nil && kind != air.IAS
			})
			if !ok {
				continue
			}
			chord, ok := rec.beside(e, func(o *Entry) bool { return o.Quantity.Name == "mean chord" })
			if !ok {
				only, one := rec.only("mean chord")
				if !one {
					continue
				}
				chord = &only
			}
			if f, bad := r.judgeReynolds(e, speed, chord); bad {
				list = append(list, draft{f, ""})
			}
		}
	}
	return list
}

func (r *Report) judgeReynolds(e, speed, chord *Entry) (Finding, bool) {
	standard := map[string]air.Standard{"modern": air.Modern, "period": air.Period}[speed.Basis.Atmosphere]
	kind, err := air.ParseKind(speed.Basis.AirspeedKind)
	if standard == 0 || err != nil {
		return Finding{}, false
	}
	surround, ok := surroundingsOf(speed, standard)
	if !ok {
		return Finding{}, false
	}
	cells := append([]extract.CellID{e.Cell.ID, speed.Cell.ID, chord.Cell.ID}, surround.cells...)
	where := surround.where
	of := func(v, c, dh, dt float64) float64 {
		state, err := surround.at(dh, dt)
		if err == nil && kind == air.CAS {
			v, err = air.CASToEAS(v, state)
		}
		if err == nil && kind != air.TAS {
			v, err = air.EASToTAS(v, state)
		}
		if err != nil {
			return math.NaN()
		}
		return state.Reynolds(v, c)
	}
	v, c := float(speed.Value), float(chord.Value)
	right := of(v, c, 0, 0)
	dv, dc := width(speed.Datum), width(chord.Datum)
	dh, dt := surround.height, surround.warm
	half := width(e.Datum) + right*(surround.density+surround.viscosity) +
		(math.Abs(of(v+dv, c, 0, 0)-of(v-dv, c, 0, 0))+math.Abs(of(v, c+dc, 0, 0)-of(v, c-dc, 0, 0))+math.Abs(of(v, c, dh, 0)-of(v, c, -dh, 0))+math.Abs(of(v, c, 0, dt)-of(v, c, 0, -dt)))/2
	if !(right > 0) || math.IsNaN(half) {
		return Finding{}, false // beyond the atmosphere, or the speed of sound
	}
	stated := float(e.Value)
	miss := (math.Abs(stated-right) - half) / right
	effective := e.Basis.ReynoldsKind == "effective"
	if effective && stated > right || !(miss > r.bound(reynoldsBounds, "doubt")) {
		return Finding{}, false
	}
	f := Finding{Check: reynoldsBounds.check, Severity: Doubt, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column, Cells: cells,
		Message:  fmt.Sprintf("the Reynolds number %s is stated as that of the test, and is %.3g times what speed and chord come to", e.Cell.Text, stated/right),
		Expected: fmt.Sprintf("%.4g, from %s %s %s, a mean chord of %s %s and the air %s of the %s", right, speed.Cell.Text, speed.Unit.Name, kind, chord.Cell.Text, chord.Unit.Name, where, standard),
		Miss:     missIn(math.Abs(stated-right), half),
		Why:      "Reynolds number, speed and chord hang together; a miss shows a wrong figure, unit or state of the air, or an effective Reynolds number taken for that of the test"}
	switch {
	case effective:
		f.Message = fmt.Sprintf("the Reynolds number %s is stated as effective, and is %.3g times that of the test, which speed and chord come to", e.Cell.Text, stated/right)
		f.Why = "turbulence only adds to a Reynolds number, so that an effective one is never below that of the test"
	case stated > right && stated < 3*right:
		// Turbulence factors reach 2.64 (TRADE.md 1.6, from memory).
		f.Hint = "look whether the source means the effective Reynolds number (reynolds_kind: effective), and at the figures"
	}
	if miss > r.bound(reynoldsBounds, "blocking") {
		f.Severity = Blocking
	}
	return f, true
}
