package validate

import (
	"fmt"
	"math"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/air"
	"windtally/validate/flight"
)

var turnBounds = bounds{"turn", []Bound{
	{"law", 0.05, "relative miss beyond rounding from radius or rate of a level turn at which a column is doubtful"},
	{"row", 0.02, "relative miss beyond rounding, from where the other rows put it, at which a row is doubtful"},
}}

func turnCheck() Check {
	return Check{Name: turnBounds.check, Bounds: turnBounds.list, run: turnRows,
		About:  "radius of a level turn R = V^2/(g tan(phi)), its rate omega = g tan(phi)/V, V the true airspeed and phi the bank, or tan(phi) = sqrt(n^2 - 1) of the load factor n",
		Range:  "rows with a bank between 0 and 90 deg or a load factor above 1, and one true airspeed there or among the given figures (EAS and CAS at sea level are true); a column of 3 rows or more is held to the factor of its median row, which takes up the g that a source computes with",
		Source: "FAA handbook: R and omega at 120 kt and 30 deg are 0.3 % from the exact ones, and a source with g = 10 m/s2 is 2 % off (TRADE.md 4.5, VERIFIED and DERIVED); bounds common practice, no source",
	}
}

// turning is a radius or rate of a turn and what the law gives for its row.
type turning struct {
	Entry
	want, slack float64
	from        []extract.CellID
	told        string // what the law was worked out from
}

func turnRows(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		for _, quantity := range []string{"turn radius", "turn rate"} {
			type column struct {
				series *normalize.Series
				key    string
			}
			var order []column
			columns := map[column][]turning{}
			for _, e := range rec.scalars(quantity) {
				t, ok := rec.turnOf(e)
				if !ok {
					continue
				}
				at := column{e.Series, e.Column}
				if columns[at] == nil {
					order = append(order, at)
				}
				columns[at] = append(columns[at], t)
			}
			for _, at := range order {
				list = append(list, r.turnColumn(quantity, columns[at])...)
			}
		}
	}
	return list
}

func (rec *Record) turnOf(e Entry) (turning, bool) {
	t := turning{Entry: e}
	if e.Row == nil || e.Value.Sign() <= 0 {
		return t, false
	}
	of := func(quantity string) (*Entry, bool) {
		o, ok := rec.beside(&e, func(o *Entry) bool {
			return o.Quantity.Name == quantity && o.Cell.State != extract.Withheld && o.Value.Known()
		})
		return o, ok
	}
	speed, ok := of("airspeed")
	if !ok || speed.Value.Sign() <= 0 {
		return t, false
	}
	kind, err := air.ParseKind(speed.Basis.AirspeedKind)
	if err != nil || kind == air.IAS || kind != air.TAS && speed.Basis.Altitude != "sea-level" {
		return t, false
	}
	v := float(speed.Value)
	var bank, slack float64 // slack of tan(phi), relative
	var by *Entry
	if b, ok := of("bank angle"); ok {
		by, bank = b, math.Abs(float(b.Value))
		slack = width(b.Datum) * math.Pi / 180 / (math.Sin(bank*math.Pi/180) * math.Cos(bank*math.Pi/180)) // d tan/tan
		if b.Numeral.Decimals == 0 {
			slack = 0 // an angle in whole degrees is set, not rounded
		}
	} else if n, ok := of("load factor in flight"); ok {
		by = n
		if bank, err = flight.BankDeg(float(n.Value)); err != nil {
			return t, false
		}
		f := float(n.Value)
		slack = width(n.Datum) * f / (f*f - 1)
	} else {
		return t, false
	}
	relV := width(speed.Datum) / v
	if e.Quantity.Name == "turn radius" {
		t.want, err = flight.TurnRadius(v, bank, flight.StandardGravity)
		t.slack = 2*relV + slack
	} else {
		rate, fault := flight.TurnRate(v, bank, flight.StandardGravity)
		t.want, err = rate*180/math.Pi, fault
		t.slack = relV + slack
	}
	if err != nil || !(t.want > 0) || math.IsInf(t.slack, 0) || math.IsNaN(t.slack) {
		return t, false
	}
	t.slack += width(e.Datum) / t.want
	t.from = []extract.CellID{e.Cell.ID, speed.Cell.ID, by.Cell.ID}
	t.told = fmt.Sprintf("%s %s and %s %s", speed.Quantity.Name, withUnit(speed), by.Quantity.Name, withUnit(by))
	return t, true
}

func (r *Report) turnColumn(quantity string, rows []turning) []draft {
	ratio := func(t turning) float64 { return float(t.Value) / t.want }
	law := map[string]string{"turn radius": "V^2/(g tan(phi))", "turn rate": "g tan(phi)/V"}[quantity]
	middle := 1.0
	if len(rows) >= 3 {
		var ratios []float64
		for _, t := range rows {
			ratios = append(ratios, ratio(t))
		}
		middle = median(ratios)
	}
	first := rows[0]
	f := Finding{Check: turnBounds.check, Severity: Doubt, Table: first.Series.Table.Name,
		Why: "speed, bank, radius and rate of a turn hang together; a miss shows a wrong figure, unit or airspeed kind", Hint: "look at the figures of the row"}
	bound, off, all := r.bound(turnBounds, "law"), 0, []extract.CellID(nil)
	for _, t := range rows {
		if math.Abs(ratio(t)-1)-t.slack > bound {
			off++
		}
		all = append(all, t.from...)
	}
	if math.Abs(middle-1) > bound && off*2 > len(rows) {
		f.Where, f.Cells = f.Table+":"+first.Column, unique(all)
		f.Message = fmt.Sprintf("%d of the %d figures of the %s are off %s, the first, %s, by %+.1f %%", off, len(rows), quantity, law, withUnit(&first.Entry), 100*(ratio(first)-1))
		f.Expected = fmt.Sprintf("%s %s, from %s", rounded(first.want), first.Quantity.Canonical, first.told)
		f.Hint = "mph or knots? feet or metres? true airspeed? are the banks in degrees?"
		return []draft{{f, "law"}}
	}
	if len(rows) >= 3 {
		bound = r.bound(turnBounds, "row")
	}
	var list []draft
	for _, t := range rows {
		if math.Abs(ratio(t)/middle-1)-t.slack <= bound {
			continue
		}
		f := f
		f.Where, f.Cells = f.Table+":"+t.Cell.ID.Row+":"+t.Column, t.from
		f.Message = fmt.Sprintf("the %s %s is %+.1f %% off %s", quantity, withUnit(&t.Entry), 100*(ratio(t)/middle-1), law)
		f.Expected = fmt.Sprintf("%s %s, from %s", rounded(t.want*middle), t.Quantity.Canonical, t.told)
		f.Miss = missIn(float(t.Value)-t.want*middle, float(t.Half))
		list = append(list, draft{f, quantity})
	}
	return list
}
