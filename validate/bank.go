package validate

import (
	"fmt"
	"math"

	"windtally/extract"
	"windtally/normalize"
)

var bankBounds = bounds{"bank", []Bound{
	{"level", 0.25, "relative miss beyond rounding between a load factor and 1/cos(phi) beyond which no turn that was flown is level"},
	{"computed", 0.75, "share of the rows that fit 1/cos(phi) to the last digit from which a table is a computed one"},
}}

func bankCheck() Check {
	return Check{Name: bankBounds.check, Bounds: bankBounds.list, run: banks,
		About: "the load factor of a level turn is n = 1/cos(phi) at the bank phi; a table that fits with the angles in the other unit (degrees for radians) has the wrong unit; " +
			"in a table that is computed, a row that does not fit to the last digit has a wrong figure",
		Range: "rows with one bank and one load factor in flight; the last figure may be rounded or cut off; a table is taken for computed where at least 4 rows and three quarters of them fit; " +
			"measured turns, which climb or descend, are held to the coarse bound alone, and only where every row misses",
		Source: "n = 1/cos(phi), FAA handbook; a widely copied table cuts off and has 5.747 at 80 deg where 5.7588 is right (TRADE.md 4.5)",
	}
}

func banks(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		type pair struct{ bank, n Entry }
		var order []*normalize.Series
		tables := map[*normalize.Series][]pair{}
		for _, e := range rec.scalars("bank angle") {
			if e.Row == nil {
				continue
			}
			n, ok := rec.beside(&e, func(o *Entry) bool { return o.Row == e.Row && o.Quantity.Name == "load factor in flight" })
			if !ok || n.Cell.State == extract.Withheld {
				continue
			}
			if tables[e.Series] == nil {
				order = append(order, e.Series)
			}
			tables[e.Series] = append(tables[e.Series], pair{e, *n})
		}
		for _, s := range order {
			pairs := tables[s]
			// miss is how far n is beyond what the bank with its width gives, in n, with
			// the figure rounded or cut off: a unit of its last digit more.
			miss := func(p pair, times float64) (miss, right float64) {
				phi, half := math.Abs(float(p.bank.Value))*times*math.Pi/180, width(p.bank.Datum)*times*math.Pi/180
				if phi >= math.Pi/2 {
					return math.Inf(1), math.Inf(1) // no level turn is banked so far
				}
				right = 1 / math.Cos(phi)
				low, high := 1/math.Cos(max(0, phi-half)), 1/math.Cos(phi+half)
				n, unit := float(p.n.Value), 2*float(p.n.Half)
				if phi+half >= math.Pi/2 {
					high = math.Inf(1)
				}
				switch {
				case n < low-unit:
					return low - unit - n, right
				case n > high+unit/2:
					return n - high - unit/2, right
				}
				return 0, right
			}
			// exact takes a bank in whole figures as it stands, one with decimals (1.0472
			// rad) as rounded.
			exact := func(p pair) bool {
				phi, half := math.Abs(float(p.bank.Value))*math.Pi/180, 0.0
				if p.bank.Numeral.Decimals > 0 {
					half = width(p.bank.Datum) * math.Pi / 180
				}
				if phi+half >= math.Pi/2 {
					return false
				}
				n, digit := float(p.n.Value), float(p.n.Half)*1.0001
				return n >= 1/math.Cos(max(0, phi-half))-2*digit && n <= 1/math.Cos(phi+half)+digit
			}
			level := r.bound(bankBounds, "level")
			wrongly := func(p pair, times float64) bool {
				m, right := miss(p, times)
				return math.IsInf(m, 1) || m > level*right
			}
			other, times := "radians", 180/math.Pi
			if pairs[0].bank.Unit.UCUM == "rad" {
				other, times = "degrees", math.Pi/180
			}
			// In the other unit every row fits, none that tells a turn from straight flight
			// worse than as stated, and one of these does not fit as stated.
			exactly, telling, wrong, mended := 0, 0, 0, true
			var cells []extract.CellID
			for _, p := range pairs {
				cells = append(cells, p.bank.Cell.ID, p.n.Cell.ID)
				if exact(p) {
					exactly++
				}
				if float(p.n.Value) >= 1.1 {
					telling++
					if wrongly(p, 1) {
						wrong++
					}
				}
				now, _ := miss(p, 1)
				then, right := miss(p, times)
				if float(p.n.Value) >= 1.1 && then > now || !(then <= level/2*right) {
					mended = false
				}
			}
			if wrong > 0 && mended {
				p := pairs[len(pairs)-1]
				f := Finding{Check: bankBounds.check, Severity: Blocking, Table: s.Table.Name, Where: s.Table.Name + ":" + p.bank.Column, meaning: true,
					Message:  fmt.Sprintf("the banks are stated in %s, and the load factors fit them in %s: a bank of %s has the load factor %s", p.bank.Unit.Name, other, p.bank.Cell.Text, p.n.Cell.Text),
					Expected: "n = 1/cos(phi) in a level turn", Why: "an angle in the wrong unit is a right figure with the wrong meaning", Hint: "look at the head, and mend unit: in tables/" + s.Table.Name + ".yaml"}
				f.Cells = cells
				list = append(list, draft{f, "unit"})
				continue
			}
			if exactly < 4 || float64(exactly) < r.bound(bankBounds, "computed")*float64(len(pairs)) {
				if telling > 1 && wrong >= telling {
					f := Finding{Check: bankBounds.check, Severity: Doubt, Table: s.Table.Name, Where: s.Table.Name + ":" + pairs[0].bank.Column,
						Message:  fmt.Sprintf("no load factor fits its bank: %s at a bank of %s %s", pairs[0].n.Cell.Text, pairs[0].bank.Cell.Text, pairs[0].bank.Unit.Name),
						Expected: "n near 1/cos(phi)", Why: "bank and load factor hang together in a turn", Hint: "is it the bank, and in which unit? is it the load factor, or its increment?"}
					f.Cells = cells
					list = append(list, draft{f, "level"})
				}
				continue
			}
			for _, p := range pairs {
				if exact(p) {
					continue
				}
				_, right := miss(p, 1)
				list = append(list, draft{Finding{Check: bankBounds.check, Severity: Doubt, Table: s.Table.Name, Where: s.Table.Name + ":" + p.n.Cell.ID.Row + ":" + p.n.Column, Cells: []extract.CellID{p.bank.Cell.ID, p.n.Cell.ID},
					Message:  fmt.Sprintf("the load factor %s at a bank of %s does not fit 1/cos(phi), and %d of the %d rows fit to the last digit", p.n.Cell.Text, p.bank.Cell.Text, exactly, len(pairs)),
					Expected: fmt.Sprintf("%.4f", right), Miss: missIn(float(p.n.Value)-right, float(p.n.Half)),
					Why: "the table is computed, so that a figure that does not fit is a wrong one", Hint: "look at both figures of the row"}, "row"})
			}
		}
	}
	return list
}
