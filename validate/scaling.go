package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/validate/flight"
)

var ratioBounds = bounds{"stall-ratio", []Bound{
	{"doubt", 0.05, "relative miss beyond rounding, of figures of one source and kind of test, that is doubtful"},
	{"mixed-note", 0.03, "the same, of flight against tunnel and of two sources, that is noted"},
	{"mixed", 0.07, "the same that is doubtful"},
	{"scaling", 0.03, "relative miss beyond rounding from the root of weight and load factor that is doubtful"},
	{"power", 0.02, "relative gain of stall speed with power, beyond rounding, that is doubtful"},
}}

func ratioCheck() Check {
	return Check{Name: ratioBounds.check, Bounds: ratioBounds.list, run: stallRatios,
		About: "V_1/V_2 = sqrt(C_Lmax2/C_Lmax1) of two flap settings at one weight; V = V_ref sqrt(W/W_ref) at one setting, V = V_ref sqrt(n) in a turn of load factor n, " +
			"n = 1/cos(phi) in a level turn of bank phi; power does not raise the stall speed",
		Range: "stall speeds of one column and airspeed kind under otherwise like conditions; indicated speeds only for power, for their errors near the stall are not proportional; " +
			"a bank is taken for that of a level turn; silent where a stall-speed finding names the same figures",
		Source: "5 % of one source: as for the stall speed; 3 and 7 % of two: judgement, TRADE.md 5, from memory; NACA TN 604 misses by 4.5 % in speed, flight against tunnel (TRADE.md 4.3 a, VERIFIED and DERIVED); others common practice, no source",
	}
}

// likeBut reports whether no condition of two figures differs, but for those named.
// What one of them does not state is not held against them, nor what bears on one alone.
func likeBut(a, b Entry, but ...string) bool {
	y := b.Series.Conditions(b.Row, b.Datum)
	for _, h := range a.Series.Conditions(a.Row, a.Datum) {
		if slices.Contains(but, h.Name) {
			continue
		}
		for _, o := range y {
			if o.Name == h.Name && h.Agree(o) == normalize.Different {
				return false
			}
		}
	}
	return true
}

func stallRatios(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		speeds := slices.DeleteFunc(rec.scalars("stall speed"), func(e Entry) bool { return e.Value.Sign() <= 0 })
		list = append(list, r.flapRatios(rec, speeds)...)
		list = append(list, r.scalings(speeds)...)
		list = append(list, r.poweredStalls(speeds)...)
	}
	return list
}

// relative is the width of a figure as a part of it.
func relative(e Entry) float64 { return width(e.Datum) / math.Abs(float(e.Value)) }

func (r *Report) flapRatios(rec *Record, speeds []Entry) []draft {
	var list []draft
	lifts := rec.scalars("maximum lift coefficient")
	// The one C_Lmax of the setting of a speed in each column.
	type column struct {
		series *normalize.Series
		key    string
	}
	of := func(e Entry) (map[column]Entry, []column) {
		found, twice, order := map[column]Entry{}, map[column]bool{}, []column(nil)
		for _, c := range lifts {
			if !likeSetting(c, e) || c.Config.Gear != "" && e.Config.Gear != "" && c.Config.Gear != e.Config.Gear {
				continue
			}
			at := column{c.Series, c.Column}
			if _, known := found[at]; known {
				twice[at] = true
				continue
			}
			found[at], order = c, append(order, at)
		}
		for at := range twice {
			delete(found, at)
		}
		return found, order
	}
	for a, up := range speeds {
		if down, ok := lowered(up.Config); !ok || down || up.Config.Power == "on" || up.Basis.AirspeedKind == "IAS" {
			continue
		}
		ups, order := of(up)
		for b, low := range speeds {
			if down, ok := lowered(low.Config); a == b || !ok || !down || low.Series != up.Series || low.Column != up.Column || low.Config.Power == "on" || !otherwiseLike(up, low) {
				continue
			}
			lows, _ := of(low)
			for _, at := range order {
				cu, okUp := ups[at]
				cl, okLow := lows[at]
				if !okUp || !okLow {
					continue
				}
				want, err := flight.StallSpeedAtCLMax(float(up.Value), float(cu.Value), float(cl.Value))
				if err != nil {
					continue
				}
				got := float(low.Value)
				slack := relative(up) + relative(low) + (relative(cu)+relative(cl))/2
				miss := math.Abs(got/want-1) - slack
				mixed := cu.Source() != up.Source() || cu.Basis.Walls != "free-flight"
				if !mixed && miss <= r.bound(ratioBounds, "doubt") || mixed && miss <= r.bound(ratioBounds, "mixed-note") {
					continue
				}
				f := Finding{Check: ratioBounds.check, Severity: Doubt, Table: low.Series.Table.Name, Where: low.Series.Table.Name + ":" + low.Cell.ID.Row + ":" + low.Column,
					Cells: []extract.CellID{low.Cell.ID, up.Cell.ID, cl.Cell.ID, cu.Cell.ID},
					Message: fmt.Sprintf("the stall speeds %s with the flap lowered by %s deg and %s with it up have the ratio %.3f, and C_Lmax %s and %s give %.3f, which is %+.1f %%",
						low.Cell.Text, low.Config.Deflection, up.Cell.Text, got/float(up.Value), cl.Cell.Text, cu.Cell.Text, want/float(up.Value), 100*(got/want-1)),
					Expected: fmt.Sprintf("%.2f m/s, from %s and sqrt(%s/%s)", want, up.Cell.Text, cu.Cell.Text, cl.Cell.Text),
					Miss:     missIn(got-want, float(low.Half)),
					Why:      "at one weight the stall speed goes as the root of the greatest lift coefficient", Hint: "look at the four figures and at the deflections of their rows"}
				if mixed && miss <= r.bound(ratioBounds, "mixed") {
					f.Severity, f.Hint = Note, "flight and tunnel, and two sources, seldom agree better; no figure need be wrong"
				}
				list = append(list, draft{f, "flap"})
			}
		}
	}
	return list
}

// scaled is a stall speed and what of it does not depend on weight and load factor.
type scaled struct {
	Entry
	unit, root, slack float64
	from              []extract.CellID
	n                 string // what gives the load factor, and whether there is a weight
	weight            float64
}

// loadFactor is the load factor of the row of a stall speed, 1 where none stands there.
func loadFactor(e Entry) (n, rel float64, from *normalize.Datum, ok bool) {
	if e.Row == nil {
		return 1, 0, nil, true
	}
	var bank *normalize.Datum
	for k := range e.Series.Table.ColumnKeys() {
		d := e.Row.At(k)
		if d == nil || d.Quantity == nil {
			continue
		}
		of := &from
		switch d.Quantity.Name {
		case "load factor in flight":
		case "bank angle":
			of = &bank
		default:
			continue
		}
		if *of != nil || d.Refused || !d.Value.Known() || d.Cell.State == extract.Withheld {
			return 0, 0, nil, false // two, or one that says nothing
		}
		*of = d
	}
	if from != nil {
		v := float(from.Value)
		return v, width(from) / math.Abs(v), from, v > 0
	}
	if bank == nil {
		return 1, 0, nil, true
	}
	phi := math.Abs(float(bank.Value))
	n, err := flight.LoadFactorInTurn(phi)
	if err != nil {
		return 0, 0, nil, false
	}
	rel = math.Tan(phi*math.Pi/180) * width(bank) * math.Pi / 180 // dn/n = tan(phi) dphi
	return n, rel, bank, true
}

func (r *Report) scalings(speeds []Entry) []draft {
	var list []draft
	done := make([]bool, len(speeds))
	var scale []*scaled
	for _, e := range speeds {
		n, relN, from, ok := loadFactor(e)
		if !ok || e.Basis.AirspeedKind == "IAS" {
			scale = append(scale, nil)
			continue
		}
		s := &scaled{Entry: e, root: math.Sqrt(n), slack: relative(e) + relN/2, from: []extract.CellID{e.Cell.ID}, n: "none"}
		if from != nil {
			s.from, s.n = append(s.from, from.Cell.ID), from.Quantity.Name
		}
		if w := e.Series.Ref(e.Row, e.Basis.Weight); w != nil && w.Value.Known() && w.Value.Sign() > 0 {
			s.weight = float(w.Value)
			s.root *= math.Sqrt(s.weight)
			s.slack += width(w) / s.weight / 2
			s.from = append(s.from, w.Cell.ID)
			s.n += "/weight"
		}
		s.unit = float(e.Value) / s.root
		scale = append(scale, s)
	}
	for i, a := range scale {
		if a == nil || done[i] {
			continue
		}
		group := []*scaled{a}
		for k := i + 1; k < len(scale); k++ {
			b := scale[k]
			if b != nil && !done[k] && b.Series == a.Series && b.Column == a.Column && b.n == a.n && likeBut(a.Entry, b.Entry, "weight") {
				group, done[k] = append(group, b), true
			}
		}
		list = append(list, r.scaling(group)...)
	}
	return list
}

// scaling holds the speeds of one setting against the root of weight and load factor.
func (r *Report) scaling(group []*scaled) []draft {
	low, high := math.Inf(1), 0.0
	var units []float64
	for _, s := range group {
		low, high = min(low, s.root), max(high, s.root)
		units = append(units, s.unit)
	}
	if len(group) < 2 || high/low < 1.01 {
		return nil // nothing goes
	}
	slices.Sort(units)
	middle := units[len(units)/2]
	// Of an even number, that of the two which more of the others are near to.
	if len(units)%2 == 0 && len(units) > 2 && units[len(units)/2]-units[len(units)/2-2] < units[len(units)/2+1]-units[len(units)/2-1] {
		middle = units[len(units)/2-1]
	}
	bound := r.bound(ratioBounds, "scaling")
	var off []*scaled
	for _, s := range group {
		if math.Abs(s.unit/middle-1)-s.slack > bound {
			off = append(off, s)
		}
	}
	if len(off) == 0 {
		return nil
	}
	var laws []string
	switch {
	case strings.HasPrefix(group[0].n, "load factor"):
		laws = append(laws, "sqrt(n)")
	case strings.HasPrefix(group[0].n, "bank"):
		laws = append(laws, "sqrt(1/cos(phi))")
	}
	if slices.ContainsFunc(group, func(s *scaled) bool { return s.weight != group[0].weight }) {
		laws = append(laws, "sqrt(W)")
	}
	law := strings.Join(laws, " and ")
	f := Finding{Check: ratioBounds.check, Severity: Doubt, Table: group[0].Series.Table.Name,
		Why: "at one setting the stall speed goes as the root of weight and load factor", Hint: "look at the figures of the row"}
	if len(group) < 3 || len(off)*3 > len(group) {
		worst := slices.MaxFunc(off, func(a, b *scaled) int {
			switch x, y := math.Abs(math.Log(a.unit/middle)), math.Abs(math.Log(b.unit/middle)); {
			case x < y:
				return -1
			case x > y:
				return 1
			}
			return 0
		})
		f.Where = f.Table + ":" + group[0].Column
		for _, s := range group {
			f.Cells = append(f.Cells, s.from...)
		}
		f.Cells = unique(f.Cells)
		f.Message = fmt.Sprintf("the stall speeds do not go as %s: %s of the row %s is %+.1f %% off, and %d of the %d rows are off", law, worst.Cell.Text, worst.Cell.ID.Row, 100*(worst.unit/middle-1), len(off), len(group))
		if len(group) == 2 {
			a, b := group[0], group[1]
			f.Message = fmt.Sprintf("the stall speeds %s and %s have the ratio %.3f, and %s gives %.3f", a.Cell.Text, b.Cell.Text, float(a.Value)/float(b.Value), law, a.root/b.root)
		}
		f.Expected = "V proportional to " + law
		f.Hint = "look at the figures of all rows; which weight, which bank, and is the flap the same?"
		return []draft{{f, "scaling"}}
	}
	var list []draft
	for _, s := range off {
		f := f
		f.Where, f.Cells = f.Table+":"+s.Cell.ID.Row+":"+s.Column, s.from
		f.Message = fmt.Sprintf("the stall speed %s is %+.1f %% from where the other %d rows put it by %s", s.Cell.Text, 100*(s.unit/middle-1), len(group)-len(off), law)
		f.Expected = fmt.Sprintf("%.2f m/s", middle*s.root)
		f.Miss = missIn(float(s.Value)-middle*s.root, float(s.Half))
		list = append(list, draft{f, "scaling"})
	}
	return list
}

// poweredStalls finds a power-on stall among power-off ones and the reverse: rows or
// labels exchanged.
func (r *Report) poweredStalls(speeds []Entry) []draft {
	var list []draft
	for _, on := range speeds {
		if on.Config.Power != "on" {
			continue
		}
		for _, off := range speeds {
			if p := off.Config.Power; p != "off" && p != "idle" || off.Source() != on.Source() || !likeBut(on, off, "power", "thrust coefficient", "propeller") {
				continue
			}
			a, b := float(on.Value), float(off.Value)
			if a-b-width(on.Datum)-width(off.Datum) <= r.bound(ratioBounds, "power")*b {
				continue
			}
			list = append(list, draft{Finding{Check: ratioBounds.check, Severity: Doubt, Table: on.Series.Table.Name, Where: on.Series.Table.Name + ":" + on.Cell.ID.Row + ":" + on.Column,
				Cells:    []extract.CellID{on.Cell.ID, off.Cell.ID},
				Message:  fmt.Sprintf("the stall speed is %s with power on and %s with power %s", on.Cell.Text, off.Cell.Text, off.Config.Power),
				Expected: "no greater speed with power on",
				Miss:     missIn(a-b, float(on.Half)),
				Why:      "slipstream and the pull of the propeller lower the stall speed; the reverse shows rows or labels exchanged", Hint: "look at the labels of both rows"}, "power"})
		}
	}
	return list
}
