package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
)

var twiceBounds = bounds{"given-twice", []Bound{
	{"particular", 0.01, "part by which lengths, areas, ratios, weights and powers may differ beyond rounding"},
	{"speed", 0.03, "the same of speeds"},
	{"coefficient", 0.05, "the same of coefficients and slopes"},
	{"flight", 0.14, "the same of coefficients in flight against those in a tunnel, beyond which the difference is more than a note"},
	{"lift", 0.03, "difference of lift coefficients that is allowed beside it"},
	{"drag", 0.0015, "the same of drag coefficients"},
	{"moment", 0.01, "the same of moment coefficients"},
	{"angle", 0.5, "difference in degrees of angles"},
}}

func twiceCheck() Check {
	return Check{Name: twiceBounds.check, Bounds: twiceBounds.list, run: givenTwice,
		About: "one quantity of one subject that two tables give under like conditions is the same: |a - b| <= half(a) + half(b) + tolerance",
		Range: "figures of two tables none of whose conditions differ, points of curves at one angle of attack (drag without an angle: at one C_L) and flap setting; where a condition is stated by one side or by none, where prefer: of the subject settles it, " +
			"and in flight against a tunnel, a difference is a note; silent where either table has several figures of the quantity that nothing stated tells apart",
		Source: "areas scatter by 1 % (engrXiv 1700); C_Lmax varies by up to 14 % with altitude, loading and propeller (TRADE.md 4.3 h, VERIFIED); lift 0.01 to 0.03, drag 0.0003 to 0.0015 of tunnels (TRADE.md 5.4, from memory); others common practice, no source",
	}
}

// givenAt tells which figures of a quantity can be compared: at one flap setting and
// one argument; ok is false where a point has none.
func givenAt(e *Entry) (key string, ok bool) {
	q := e.Quantity
	key = q.Name + "\n" + flapKey(e.Config)
	if q.Group != normalize.Polar && q.Group != normalize.Increment {
		return key, true
	}
	if e.Row == nil {
		return "", false
	}
	var alpha, lift *normalize.Datum
	for k, c := range e.Series.Table.ColumnKeys() {
		if d := e.Row.At(k); d != nil && d.Quantity != nil && d.Value.Known() && c != e.Column {
			switch d.Quantity.Name {
			case "angle of attack":
				alpha = d
			case "lift coefficient":
				lift = d
			}
		}
	}
	switch {
	case alpha != nil:
		return key + "\nalpha " + alpha.Value.RatString(), true
	case lift != nil && strings.Contains(q.Name, "drag"):
		return key + "\nlift " + lift.Value.RatString(), true
	}
	return key, q.Group == normalize.Increment
}

func givenTwice(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		tables := map[*normalize.Series]bool{}
		for k := range rec.Entries {
			tables[rec.Entries[k].Series] = true
		}
		if len(tables) < 2 {
			continue
		}
		var order []string
		groups := map[string][]*Entry{}
		for k := range rec.Entries {
			e := &rec.Entries[k]
			q := e.Quantity
			if q.Group == normalize.Condition || q.Group == normalize.LabelGroup || q.Name == "angle of attack" || !e.Value.Known() || e.Cell.State == extract.Withheld || e.Cell.State.Waits() {
				continue
			}
			key, ok := givenAt(e)
			if !ok {
				continue
			}
			if groups[key] == nil {
				order = append(order, key)
			}
			groups[key] = append(groups[key], e)
		}
		for _, key := range order {
			list = append(list, r.twiceIn(rec, groups[key])...)
		}
	}
	return list
}

func (r *Report) twiceIn(rec *Record, group []*Entry) []draft {
	var list []draft
	for i, a := range group {
		for _, b := range group[i+1:] {
			if a.Series == b.Series || a.Cell.ID == b.Cell.ID {
				continue
			}
			x, y := float(a.Value), float(b.Value)
			apart := math.Abs(x-y) - width(a.Datum) - width(b.Datum)
			if apart <= r.twiceTolerance(a.Quantity, x, y, "coefficient") {
				continue
			}
			flown := a.Quantity.Aerodynamic() && (a.Basis.Walls == "free-flight") != (b.Basis.Walls == "free-flight") && said(a.Basis.Walls) && said(b.Basis.Walls)
			differ, untold := unlike(*a, *b, flown)
			if differ || manyAlike(group, a) || manyAlike(group, b) {
				continue
			}
			f := Finding{Check: twiceBounds.check, Severity: Doubt, Where: a.Series.Table.Name + ":" + a.Cell.ID.Row + ":" + a.Column, Cells: []extract.CellID{a.Cell.ID, b.Cell.ID},
				Message: fmt.Sprintf("the %s of %s is %s in the table %s and %s in the table %s, %.2g %% apart", a.Quantity.Name, rec.Subject.Name,
					withUnit(a), a.Series.Table.Name, withUnit(b), b.Series.Table.Name, 200*math.Abs(x-y)/max(math.Abs(x)+math.Abs(y), 1e-300)),
				Expected: "one value within rounding and the tolerance of the check", Miss: missIn(x-y, float(a.Half)+float(b.Half)),
				Why: "one thing under like conditions has one value; a miss shows a wrong figure, unit or condition", Hint: "look at both prints, and at what each says of its conditions"}
			if a.Source() != b.Source() {
				f.Message = strings.Replace(f.Message, "in the table "+a.Series.Table.Name, "in the table "+a.Series.Table.Name+" ("+a.Source()+")", 1)
				f.Message = strings.Replace(f.Message, "in the table "+b.Series.Table.Name+",", "in the table "+b.Series.Table.Name+" ("+b.Source()+"),", 1)
			}
			preferred := slices.ContainsFunc(rec.Subject.Prefer, func(p extract.Preference) bool { return p.Quantity == a.Quantity.Name })
			switch {
			case flown && apart <= r.twiceTolerance(a.Quantity, x, y, "flight"):
				f.Severity, f.Hint = Note, "flight and tunnel seldom agree better; no figure need be wrong"
			case flown:
			case preferred:
				f.Severity, f.Hint = Note, "prefer: of the subject says which source speaks for it"
			case len(untold) > 0:
				f.Severity, f.Hint = Note, "it is not told whether these are the same: "+strings.Join(untold, ", ")
			}
			list = append(list, draft{f, ""})
		}
	}
	return list
}

// withUnit is a figure as printed with its unit.
func withUnit(e *Entry) string {
	if e.Unit.UCUM == "1" {
		return e.Cell.Text
	}
	return e.Cell.Text + " " + e.Unit.Name
}

func (r *Report) twiceTolerance(q *normalize.Quantity, x, y float64, coefficient string) float64 {
	size := max(math.Abs(x), math.Abs(y))
	of := func(name string) float64 { return r.bound(twiceBounds, name) }
	switch {
	case q.Canonical == "deg":
		return of("angle")
	case q.Canonical == "m/s":
		return of("speed") * size
	case strings.Contains(q.Name, "moment"):
		return max(of(coefficient)*size, of("moment"))
	case strings.Contains(q.Name, "drag") && q.Coefficient():
		return max(of(coefficient)*size, of("drag"))
	case strings.Contains(q.Name, "lift") && q.Coefficient():
		return max(of(coefficient)*size, of("lift"))
	case q.Aerodynamic():
		return of(coefficient) * size
	}
	return of("particular") * size
}

// elsewhere are the conditions in which flight and tunnel differ without saying that
// another thing was measured.
var elsewhere = []string{"article", "walls", "Reynolds number", "kind of Reynolds number", "Mach number", "stall", "entry rate", "trim", "power", "thrust coefficient", "propeller",
	"center of gravity", "note", "surface", "aspect-ratio basis", "slats", "gear", "fitted"}

// unlike compares the conditions of two figures: whether one differs, and which are not told.
func unlike(a, b Entry, flown bool) (differ bool, untold []string) {
	y := b.Series.Conditions(b.Row, b.Datum)
	for _, h := range a.Series.Conditions(a.Row, a.Datum) {
		for _, o := range y {
			if o.Name != h.Name || h.Name == "angle datum" && a.Quantity.Canonical != "deg" && a.Quantity.Group != normalize.Polar {
				continue
			}
			switch h.Agree(o) {
			case normalize.Different:
				if !flown || !slices.Contains(elsewhere, h.Name) {
					return true, nil
				}
			case normalize.Untold:
				untold = append(untold, h.Name)
			}
		}
	}
	return false, untold
}

// manyAlike reports whether the table of a figure has another of the quantity that
// differs and that nothing stated tells from it.
func manyAlike(group []*Entry, e *Entry) bool {
	for _, o := range group {
		if o == e || o.Series != e.Series || math.Abs(float(o.Value)-float(e.Value)) <= width(o.Datum)+width(e.Datum) {
			continue
		}
		if likeBut(*e, *o) {
			return true
		}
	}
	return false
}
