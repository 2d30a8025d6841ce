package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/unit"
	"windtally/validate/flight"
)

var powerLoadingBounds = bounds{"power-loading", []Bound{
	{"doubt", 0.01, "relative miss beyond rounding that is doubtful"},
	{"blocking", 0.03, "relative miss beyond rounding that blocks"},
}}

func powerLoadingCheck() Check {
	return Check{Name: powerLoadingBounds.check, Bounds: powerLoadingBounds.list, run: powerLoadings,
		About:  "power loading W/P for the stated weight W and power P",
		Range:  "aeroplanes with all three in the record, the weight of the same condition and the power of the same rating",
		Source: "as for the wing loading; the horsepowers of 550 ft lbf/s and of 75 kgf m/s are 1.4 % apart (NIST SP 811 appendix B.8)",
	}
}

func powerLoadings(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind != "aeroplane" {
			continue
		}
		for _, stated := range rec.scalars("power loading") {
			w, okW := theOne(rec.scalars("weight"), func(e Entry) string { return e.Basis.WeightCondition }, stated.Basis.WeightCondition)
			p, okP := theOne(rec.scalars("power"), func(e Entry) string { return e.Basis.PowerRating }, stated.Basis.PowerRating)
			if !okW || !okP || w.Value.Sign() <= 0 || p.Value.Sign() <= 0 {
				continue
			}
			value := float(w.Value) / float(p.Value)
			rel := width(w.Datum)/float(w.Value) + width(p.Datum)/float(p.Value)
			if d, bad := r.quotient(powerLoadingBounds, "power loading", stated, value, rel, []Entry{w, p}, "W/P"); bad {
				d.Hint = "look at all of them: horsepower of 550 ft lbf/s or metric? take-off, rated or continuous power? which weight?"
				list = append(list, d)
			}
		}
	}
	return list
}

// theOne is the only figure that is stated for the condition that is wanted; several
// that are the same value within their widths count as one.
func theOne(list []Entry, condition func(Entry) string, wanted string) (Entry, bool) {
	if !said(wanted) {
		return Entry{}, false
	}
	var best *Entry
	for i := range list {
		e := &list[i]
		if condition(*e) != wanted {
			continue
		}
		if best != nil && math.Abs(float(e.Value)-float(best.Value)) > width(e.Datum)+width(best.Datum) {
			return Entry{}, false
		}
		if best == nil || e.Half.Cmp(best.Half) < 0 {
			best = e
		}
	}
	if best == nil {
		return Entry{}, false
	}
	return *best, true
}

var massBounds = bounds{"mass", []Bound{
	{"doubt", 0.005, "relative miss beyond rounding that is doubtful"},
	{"blocking", 0.03, "relative miss beyond rounding that blocks"},
}}

func massCheck() Check {
	return Check{Name: massBounds.check, Bounds: massBounds.list, run: masses,
		About:  "mass m = W/g for the stated weight W under standard gravity; a figure that is off by g in either unit is a weight taken for a mass or the reverse",
		Range:  "models and aeroplanes with mass and weight of one condition in the record",
		Source: "standard gravity 9.80665 m/s2, 32.1740 ft/s2 (NACA symbols page, TRADE.md 1.1); sources that compute with 9.8 or 32.2 miss by 0.1 %",
	}
}

func masses(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind != "aeroplane" && rec.Subject.Kind != "model" {
			continue
		}
		for _, stated := range rec.scalars("mass") {
			w, ok := theOne(rec.scalars("weight"), func(e Entry) string { return e.Basis.WeightCondition }, stated.Basis.WeightCondition)
			if !ok || w.Value.Sign() <= 0 {
				continue
			}
			if d, bad := r.quotient(massBounds, "mass", stated, float(w.Value)/flight.StandardGravity, width(w.Datum)/float(w.Value), []Entry{w}, "W/g"); bad {
				d.Hint = "is the mass printed as W/g (slugs, kgf s2/m), or is it the weight in pounds or kilograms?"
				list = append(list, d)
			}
		}
	}
	return list
}

func horsepowerCheck() Check {
	return Check{Name: "horsepower", run: horsepowers,
		About: "a power in hp (550 ft lbf/s) in a source whose other figures are all metric may be in the metric horsepower of 75 kgf m/s, 1.4 % less, which translations print as hp; " +
			"and one in metric horsepower where all others are in feet and pounds may be in hp",
		Range:  "sources with lengths, areas, weights, loadings or speeds of at least two quantities, all of one kind of units (knots are of neither); silent where the source prints powers in both, and where unit: is the code [HP] or 75.kgf.m/s, which leaves nothing open",
		Source: "NACA symbols pages list \"horsepower (metric)\" beside \"horsepower\" (TRADE.md 2.4, VERIFIED); that translations print it as hp: common practice, no source",
	}
}

// kindOfUnits says of which kind a unit is: "metric", "British" or "".
func kindOfUnits(u unit.Unit) string {
	switch u.Dim {
	case unit.Length, unit.Area, unit.Volume, unit.Force, unit.Mass, unit.Pressure, unit.Speed, unit.SpanLoading, unit.Density:
	default:
		return ""
	}
	switch {
	case strings.Contains(u.UCUM, "kn_i") || strings.Contains(u.UCUM, "nmi_i") || strings.Contains(u.UCUM, "Hg") || strings.Contains(u.UCUM, "H2O"):
		return ""
	case strings.Contains(u.UCUM, "["):
		return "British"
	}
	return "metric"
}

func horsepowers(r *Report) []draft {
	type tally struct {
		kinds  map[string][]string // quantities, by kind of units
		powers []*normalize.Datum
		series []*normalize.Series
		all    []string // codes of all units of power: a source that prints both tells them apart
	}
	bySource := map[string]*tally{}
	var order []string
	see := func(s *normalize.Series, d *normalize.Datum, stated string) {
		if d == nil || d.Quantity == nil || d.Refused || d.Cell.State == extract.Withheld {
			return
		}
		t := bySource[s.Table.Source]
		if t == nil {
			t = &tally{kinds: map[string][]string{}}
			bySource[s.Table.Source] = t
			order = append(order, s.Table.Source)
		}
		if d.Unit.Dim == unit.Power {
			t.all = append(t.all, d.Unit.UCUM)
		}
		if d.Unit.Dim == unit.Power && (d.Unit.UCUM == "[HP]" || d.Unit.UCUM == "75.kgf.m/s") && stated != d.Unit.UCUM {
			t.powers, t.series = append(t.powers, d), append(t.series, s)
		}
		if kind := kindOfUnits(d.Unit); kind != "" && !slices.Contains(t.kinds[kind], d.Quantity.Name) {
			t.kinds[kind] = append(t.kinds[kind], d.Quantity.Name)
		}
	}
	for _, s := range r.Series {
		for _, g := range s.Table.Givens {
			see(s, s.Givens[g.Key], g.Unit)
		}
		for i := range s.Rows {
			row := &s.Rows[i]
			if s.Table.Layout == "list" {
				stated := ""
				for _, rule := range s.Table.Rows {
					if extract.Label(rule.Label) == row.Labels["label"] {
						stated = rule.Unit
					}
				}
				see(s, row.Datum("value"), stated)
				continue
			}
			for _, c := range s.Table.Columns {
				see(s, row.Datum(c.Key), c.Unit)
			}
		}
	}
	var list []draft
	for _, source := range order {
		t := bySource[source]
		index := map[string]int{} // of the finding on a table
		for i, d := range t.powers {
			own, other, metric := "hp (550 ft lbf/s)", "metric", true
			if d.Unit.UCUM != "[HP]" {
				own, other, metric = "metric horsepower", "British", false
			}
			against := map[bool]string{true: "British", false: "metric"}[metric]
			both := slices.ContainsFunc(t.all, func(code string) bool { return code != d.Unit.UCUM })
			if both || len(t.kinds[other]) < 2 || len(t.kinds[against]) > 0 {
				continue
			}
			table := t.series[i].Table
			key := table.ID + d.Unit.UCUM
			if k, known := index[key]; known {
				list[k].Cells = append(list[k].Cells, d.Cell.ID)
				continue
			}
			index[key] = len(list)
			list = append(list, draft{Finding{Check: "horsepower", Severity: Doubt, Table: table.Name, Where: table.Name + ":" + d.Cell.ID.Row + ":" + d.Cell.ID.Column, Cells: []extract.CellID{d.Cell.ID}, meaning: true,
				Message:  fmt.Sprintf("the power is stated in %s, and all other figures of %s are in %s units (%s)", own, source, other, strings.Join(t.kinds[other], ", ")),
				Expected: map[bool]string{true: "metric horsepower (75 kgf m/s)", false: "hp of 550 ft lbf/s"}[metric],
				Why:      "the two horsepowers are 1.4 % apart, and translations print either as hp",
				Hint:     "look for the source's definition or its country; write unit: PS or unit: \"[HP]\" in tables/" + table.Name + ".yaml, or confirm"}, d.Unit.UCUM})
		}
	}
	return list
}
