package publish

import (
	"slices"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/validate"
)

// The way of a derived number is its formula, in ids and in figures, and the way of
// each parent from its print: 49 + (53 - 49)(49 - 45)/(50 - 45) = 52.2 kt = 26.8540 m/s,
// with a knot of 463/900 m/s (NIST SP 811 B.8: 1852/3600). The farthest corner,
// 49.5 + 4*5/5 = 53.5 kt (V 49.5, IAS 44.5 and 49.5, CAS 49.5 and 53.5), is 0.66878 m/s away.
func TestExplainADerivedNumber(t *testing.T) {
	s := flown(t, extract.Derivation{Quantity: "stall speed", AirspeedKind: "CAS",
		PositionError: &extract.PositionError{Table: "position-errors", Indicated: "ias", Calibrated: "cas"}})
	e := edition(t, s, "0.1.0")
	d, _ := derived(e, "r02", "speed")
	of := func(row, column string) string { return value(t, e, "position-errors", row, column).ValueID }
	c := explained(t, s, d.DerivedID)
	if c.Where != d.DerivedID || c.Cell.String() != stallsID+"/r02/speed" || !slices.Equal(c.ValueIDs, []string{d.DerivedID}) {
		t.Errorf("%s of cell %s, ids %q", c.Where, c.Cell, c.ValueIDs)
	}
	says := d.DerivedID + " of craft-a is 26.8540 m/s, half-width 0.6688, unwitnessed"
	wantTold(t, told(c, "derived", "of", "changes", "formula", "in figures", "rounding", "half-width", "accuracy", "checked", "published", "not published")[:8],
		"derived: stall speed of craft-a, by a conversion from printed figures; it stands beside them and never in their place",
		"of: "+d.Of+`, stalls:r02:speed, which prints "49": 25.2078 m/s`,
		"changes: airspeed kind: CAS; all else is meant as in the print",
		"formula: "+of("r04", "cas")+" + ("+of("r05", "cas")+" - "+of("r04", "cas")+") * ("+d.Of+" - "+of("r04", "ias")+") / ("+of("r05", "ias")+" - "+of("r04", "ias")+")",
		"in figures: 25.2078 + (27.2656 - 25.2078) * (25.2078 - 23.1500) / (25.7222 - 23.1500) = 26.8540 m/s, each in its canonical unit",
		"rounding: once, to 4 digits after the point",
		"half-width: 0.6688 m/s: how far the formula goes in the corners of the 5 intervals of its parents, with its own rounding, outward",
		"checked: unwitnessed, as the least vouched for of its parents; verify works it out again")
	wantTold(t, told(c, "parent"),
		"parent: 1 of 5: "+d.Of+", stall speed of stalls:r02:speed: 25.2078 m/s, half-width 0.2573, unwitnessed",
		"parent: 2 of 5: "+of("r04", "cas")+", airspeed of position-errors:r04:cas: 25.2078 m/s, half-width 0.2573, unwitnessed",
		"parent: 3 of 5: "+of("r05", "cas")+", airspeed of position-errors:r05:cas: 27.2656 m/s, half-width 0.2573, unwitnessed",
		"parent: 4 of 5: "+of("r04", "ias")+", airspeed of position-errors:r04:ias: 23.1500 m/s, half-width 0.2573, unwitnessed",
		"parent: 5 of 5: "+of("r05", "ias")+", airspeed of position-errors:r05:ias: 25.7222 m/s, half-width 0.2573, unwitnessed")
	wantTold(t, told(c, "conversion"),
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 49 x (463/900) = 22687/900 m/s, about 25.2077777778",
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 49 x (463/900) = 22687/900 m/s, about 25.2077777778",
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 53 x (463/900) = 24539/900 m/s, about 27.2655555556",
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 45 x (463/900) = 23.15 m/s",
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 50 x (463/900) = 463/18 m/s, about 25.7222222222")
	if n := len(told(c, "place")); n != 5 {
		t.Errorf("%d places, want one a parent", n)
	}
	wantTold(t, told(c, "published"), "published: would be published now: "+says)

	// The printed figure says what follows from it; one that nothing follows from says nothing.
	wantTold(t, told(explained(t, s, "stalls:r02:speed"), "follows"), "follows: from it: "+d.DerivedID+", stall speed 26.8540 m/s")
	wantTold(t, told(explained(t, s, "polar:r02:cl"), "follows"))

	// A ruling on a parent is told; where a parent is withheld, what was published of it is.
	rule(t, s, "position-errors:r05:ias", validate.Act{Decision: validate.Withhold, Reason: "illegible"})
	c = explained(t, s, d.DerivedID)
	wantTold(t, told(c, "not published", "published"), "not published: it would not be published now: it is not asked for any more, or a parent is withheld or waits for a ruling")
	if got := told(c, "edition"); len(got) != 1 || !strings.HasSuffix(got[0], " of derived.csv: "+says) {
		t.Errorf("edition: %q", got)
	}
	if got := told(c, "ruling"); len(got) != 1 || !strings.Contains(got[0], "withhold, because: illegible (stands)") {
		t.Errorf("rulings: %q", got)
	}

	if _, err := Explain(run(t, s), "d00000000000"); err == nil || !strings.HasPrefix(err.Error(), `"d00000000000" is neither a value's id`) {
		t.Errorf("got %v", err)
	}
	if _, err := Explain(run(t, s), "d000000000000"); err == nil || !strings.HasPrefix(err.Error(), "no derived number d000000000000 is in an edition of the study, nor would be published now; the nearest ids are ") {
		t.Errorf("got %v", err)
	}
}
