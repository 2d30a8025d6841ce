package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/air"
	"windtally/normalize/numeral"
)

// Figure is a figure of a subject's record: a datum and where it stands.
type Figure struct {
	Series *Series
	Row    *Row // nil for a given figure
	*Datum
}

func (f *Figure) where() string {
	return f.Series.Table.Name + ":" + f.Cell.ID.Row + ":" + f.Cell.ID.Column
}

// Derived is a figure that follows from printed ones by a conversion that a person
// asked for. It stands beside them and never in their place.
type Derived struct {
	Of *Figure // the figure that was converted
	// Basis is that of Of, but for what the conversion changed.
	Basis extract.Basis
	// Parents are the figures that Value follows from, Of the first of them.
	Parents []*Datum
	// Formula is arithmetic in the parents: {0} stands for the first, and every
	// number in it is in the parents' canonical units. EAS(v, h, standard) turns a
	// CAS, and TAS(v, h, standard) an EAS, at an altitude in a standard atmosphere.
	Formula string
	Value   *big.Rat
	// Half is the half-widths of the parents carried through:
	//
	//	Half = sum over the parents i of |f(.., x_i + h_i, ..) - f(.., x_i - h_i, ..)|/2
	//
	// which is |df/dx_i| h_i to first order, and exact where f is linear in x_i. The
	// shares are added and not their squares: rounding leaves an interval that holds
	// the figure for certain, and the sum keeps it so.
	Half *big.Rat
	// Accuracy is the same sum with the accuracy that the source states, where it
	// states one, in place of the half-width; nil where no parent states any.
	Accuracy *big.Rat
}

// Number is the value as it is published, rounded once, to a thousandth of its
// half-width.
func (d *Derived) Number() numeral.Decimal {
	return numeral.RoundTo(d.Value, max(0, placesOf(d.Half)+guardDigits))
}

// Underived is why a conversion was not made: of one figure, or where Of is nil of
// all that were asked for.
type Underived struct {
	Of     *Figure
	Msg    string
	Reason string // what Msg says of the figure, apart from which one it is
	Hint   string
}

// Derive converts figures of one subject's record as asked. What is not stated, or
// differs between a figure and what is to convert it, is refused and never assumed.
//
// Airspeeds go from indicated to calibrated by a table of position errors, in which
// flap and gear are as in the figure, with a straight line between neighbouring rows
// and nothing beyond the first and the last; from there to equivalent and true ones
// by air.CASToEAS and air.EASToTAS at the altitude and in the standard atmosphere
// that the basis states, the altitude taken as one in that atmosphere (a pressure
// altitude). Coefficients go to another area as C S_from/S_to. Angles of attack go
// to the chord as alpha + i_w, and to zero lift as alpha - alpha_L0 (NACA symbols
// page; TRADE.md 1.4, VERIFIED).
func Derive(record []Figure, ask extract.Derivation) ([]Derived, []Underived) {
	v := deriver{record: record, ask: ask}
	v.all()
	return v.done, v.not
}

type deriver struct {
	record []Figure
	ask    extract.Derivation
	done   []Derived
	not    []Underived
	nodes  []node   // of the table of position errors, once it is gathered
	none   *refused // why there are none
}

// refused says why one figure is not converted.
type refused struct{ msg, hint string }

func refuse(hint, format string, args ...any) *refused {
	return &refused{fmt.Sprintf(format, args...), hint}
}

func (v *deriver) target() string { return v.ask.AirspeedKind + v.ask.ReferenceArea + v.ask.AngleDatum }

func (v *deriver) all() {
	q, known := Find(v.ask.Quantity)
	if !known {
		v.not = append(v.not, Underived{Msg: fmt.Sprintf("the quantity %q is not in the list", v.ask.Quantity), Hint: "windtally quantities lists the quantities"})
		return
	}
	var convert func(f *Figure) (*expression, *refused)
	var on string
	var is func(b extract.Basis) string
	switch {
	case v.ask.AirspeedKind != "":
		if !q.spoken(needAirspeed) {
			v.not = append(v.not, Underived{Msg: fmt.Sprintf("airspeed_kind: %s is asked for %s, which is no airspeed", v.ask.AirspeedKind, q.Name)})
			return
		}
		on, convert = "airspeed_kind", v.airspeed
		is = func(b extract.Basis) string { kind, _ := AirspeedKind(b.AirspeedKind); return kind }
	case v.ask.ReferenceArea != "":
		if !q.spoken(needArea) || q.Canonical == "m2" || strings.Contains(q.Name, "moment") {
			v.not = append(v.not, Underived{Msg: fmt.Sprintf("reference_area: %s is asked for %s, which is no coefficient of lift or drag", v.ask.ReferenceArea, q.Name),
				Hint: "a moment coefficient is formed on a chord too, and is not converted"})
			return
		}
		on, convert = "reference_area", v.area
		is = func(b extract.Basis) string { return b.ReferenceArea }
	default:
		if !q.spoken(needDatum) || q.Name == "zero-lift angle" && v.ask.AngleDatum == "zero-lift" {
			v.not = append(v.not, Underived{Msg: fmt.Sprintf("angle_datum: %s is asked for %s, which is no angle of attack to be counted from it", v.ask.AngleDatum, q.Name)})
			return
		}
		on, convert = "angle_datum", v.angle
		is = func(b extract.Basis) string { return b.AngleDatum }
	}
	found, already := 0, 0
	for i := range v.record {
		f := &v.record[i]
		if f.Quantity == nil || f.Quantity.Name != q.Name || v.ask.Table != "" && f.Series.Table.Name != v.ask.Table || v.ask.Column != "" && f.Cell.ID.Column != v.ask.Column {
			continue
		}
		found++
		if is(f.Basis) == v.target() {
			already++
			continue
		}
		x, no := convert(f)
		if no == nil {
			var d *Derived
			if d, no = x.carry(); no == nil {
				d.Of, d.Basis = f, f.Basis
				switch on {
				case "airspeed_kind":
					// The source's words define its own airspeed, not this one.
					d.Basis.AirspeedKind, d.Basis.AirspeedMeaning = v.ask.AirspeedKind, ""
				case "reference_area":
					d.Basis.ReferenceArea = v.ask.ReferenceArea
				case "angle_datum":
					d.Basis.AngleDatum = v.ask.AngleDatum
				}
				v.done = append(v.done, *d)
				continue
			}
		}
		v.not = append(v.not, Underived{Of: f, Msg: fmt.Sprintf("%s %q at %s is not derived as %s: %s", q.Name, f.Cell.Text, f.where(), v.target(), no.msg), Reason: no.msg, Hint: no.hint})
	}
	which := "the record"
	if v.ask.Table != "" {
		which = strings.TrimSuffix("table "+v.ask.Table+", column "+v.ask.Column, ", column ")
	}
	switch {
	case found == 0:
		v.not = append(v.not, Underived{Msg: fmt.Sprintf("%s is asked for %s, and %s has no such figure", on+": "+v.target(), q.Name, which)})
	case found == already:
		v.not = append(v.not, Underived{Msg: fmt.Sprintf("%s is asked for %s, and all %d figures of %s are on it as printed", on+": "+v.target(), q.Name, found, which),
			Hint: "take the entry out of derive:"})
	}
}

// expression is a formula in its parents, as text and as what works it out.
type expression struct {
	parents []*Figure
	formula string
	value   func(x []*big.Rat) (*big.Rat, error)
}

// carry works the expression out, and the half-widths of its parents through it.
func (x *expression) carry() (*Derived, *refused) {
	at := make([]*big.Rat, len(x.parents))
	d := &Derived{Formula: x.formula}
	stated := false
	for i, p := range x.parents {
		at[i] = p.Value.Rat()
		d.Parents = append(d.Parents, p.Datum)
		stated = stated || p.Accuracy != nil
	}
	var err error
	if d.Value, err = x.value(at); err != nil {
		return nil, refuse("", "%v", err)
	}
	sum := func(width func(p *Figure) *big.Rat) (*big.Rat, *refused) {
		total := new(big.Rat)
		for i, p := range x.parents {
			moved := slices.Clone(at)
			var ends [2]*big.Rat
			for e, step := range []*big.Rat{width(p), new(big.Rat).Neg(width(p))} {
				moved[i] = new(big.Rat).Add(at[i], step)
				if ends[e], err = x.value(moved); err != nil {
					return nil, refuse("", "its half-width cannot be carried through: with %s moved by its own, %v", p.where(), err)
				}
			}
			share := ends[0].Sub(ends[0], ends[1])
			total.Add(total, share.Abs(share))
		}
		return total.Mul(total, big.NewRat(1, 2)), nil
	}
	var no *refused
	if d.Half, no = sum(func(p *Figure) *big.Rat { return p.Half }); no != nil {
		return nil, no
	}
	if stated {
		d.Accuracy, no = sum(func(p *Figure) *big.Rat {
			if p.Accuracy != nil {
				return p.Accuracy
			}
			return p.Half
		})
	}
	return d, no
}

// airspeed builds the way from the kind of a figure to the one asked for.
func (v *deriver) airspeed(f *Figure) (*expression, *refused) {
	kind, err := airspeedKind(f.Basis)
	if err != nil {
		return nil, refuse("", "%v", err)
	}
	to, err := air.ParseKind(v.ask.AirspeedKind)
	if err != nil {
		return nil, refuse("", "%v", err)
	}
	if kind > to {
		return nil, refuse("name the figures that are meant with table: and column:", "it is printed as %s; conversions go from IAS to CAS to EAS to TAS", kind)
	}
	x := &expression{parents: []*Figure{f}, formula: "{0}", value: func(x []*big.Rat) (*big.Rat, error) { return x[0], nil }}
	if kind == air.IAS {
		if v.ask.PositionError == nil {
			return nil, refuse("write position_error: {table: ..., indicated: ..., calibrated: ...} in the entry of derive:",
				"it is an IAS, and no table of position errors is named")
		}
		var no *refused
		if x, no = v.calibrate(f); no != nil {
			return nil, no
		}
		kind = air.CAS
	}
	if kind == to {
		return x, nil
	}
	return aloft(f, x, kind, to)
}

// aloft goes on from a CAS to an EAS and from an EAS to a TAS.
func aloft(f *Figure, x *expression, kind, to air.Kind) (*expression, *refused) {
	standard := map[string]air.Standard{"modern": air.Modern, "period": air.Period}[f.Basis.Atmosphere]
	if standard == 0 {
		return nil, refuse("write atmosphere: modern or atmosphere: period in the basis of table "+f.Series.Table.Name, "its basis does not state the standard atmosphere")
	}
	height := "0"
	at := -1
	switch ref := f.Basis.Altitude; ref {
	case "":
		return nil, refuse("write altitude: sea-level, column KEY or given KEY in the basis of table "+f.Series.Table.Name, "its basis does not state the altitude")
	case "sea-level":
	default:
		d := f.Series.Ref(f.Row, ref)
		if d == nil || d.Quantity == nil || d.Quantity.Name != "altitude" {
			return nil, refuse("", "the altitude (%s) has no figure here", ref)
		}
		at = len(x.parents)
		row := f.Row
		if d.Cell.ID.Row == extract.Given {
			row = nil
		}
		x.parents = append(x.parents, &Figure{f.Series, row, d})
		height = fmt.Sprintf("{%d}", at)
	}
	before, formula := x.value, x.formula
	for k := kind; k < to; k++ {
		formula = fmt.Sprintf("%s(%s, %s, %s)", k+1, formula, height, f.Basis.Atmosphere)
	}
	x.formula = formula
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		speed, err := before(p)
		if err != nil {
			return nil, err
		}
		h := 0.0
		if at >= 0 {
			h, _ = p[at].Float64()
		}
		state, err := standard.At(h)
		if err != nil {
			return nil, err
		}
		s, _ := speed.Float64()
		if kind == air.CAS {
			if s, err = air.CASToEAS(s, state); err != nil {
				return nil, err
			}
		}
		if to == air.TAS {
			if s, err = air.EASToTAS(s, state); err != nil {
				return nil, err
			}
		}
		r := new(big.Rat).SetFloat64(s)
		if r == nil {
			return nil, fmt.Errorf("the speed comes to no number")
		}
		return r, nil
	}
	return x, nil
}

// node is one row of a table of position errors.
type node struct{ indicated, other *Figure }

// table gathers the rows of the table of position errors.
func (v *deriver) table(pe *extract.PositionError) ([]node, *refused) {
	key, wanted := pe.Calibrated, "CAS"
	if pe.Correction != "" {
		key, wanted = pe.Correction, "airspeed correction"
	}
	var nodes []node
	for i := range v.record {
		in := &v.record[i]
		if in.Row == nil || in.Series.Table.Name != pe.Table || in.Cell.ID.Column != pe.Indicated {
			continue
		}
		if kind, err := airspeedKind(in.Basis); err != nil || kind != air.IAS || !in.Quantity.spoken(needAirspeed) {
			return nil, refuse("state airspeed_kind: IAS in the basis of that column", "column %s of the table of position errors %s holds no IAS", pe.Indicated, pe.Table)
		}
		for k := range v.record {
			o := &v.record[k]
			if o.Series != in.Series || o.Row != in.Row || o.Cell.ID.Column != key {
				continue
			}
			kind, err := airspeedKind(o.Basis)
			if pe.Correction == "" && (err != nil || kind != air.CAS || !o.Quantity.spoken(needAirspeed)) || pe.Correction != "" && o.Quantity.Name != wanted {
				return nil, refuse("state it in table "+pe.Table, "column %s of the table of position errors %s holds no %s", key, pe.Table, wanted)
			}
			if o.Config.Key() != in.Config.Key() {
				return nil, refuse("state the configuration for the whole row in table "+pe.Table, "row %s of the table of position errors %s has two configurations: %s, and %s",
					in.Row.Key, pe.Table, in.Config.words(), o.Config.words())
			}
			nodes = append(nodes, node{in, o})
		}
	}
	if len(nodes) == 0 {
		return nil, refuse("", "the table of position errors %s has no row with both %s and %s", pe.Table, pe.Indicated, key)
	}
	return nodes, nil
}

// calibrate builds the way from an indicated to a calibrated airspeed: a straight
// line between the two neighbouring rows of the table of position errors,
//
//	t = (V_I - V_I0)/(V_I1 - V_I0), V_C = V_C0 + t (V_C1 - V_C0)
//	or, with corrections that are added, V_C = V_I + D_0 + t (D_1 - D_0)
func (v *deriver) calibrate(f *Figure) (*expression, *refused) {
	pe := v.ask.PositionError
	if v.nodes == nil && v.none == nil {
		v.nodes, v.none = v.table(pe)
	}
	if v.none != nil {
		return nil, v.none
	}
	nodes := v.nodes
	if what := f.Config.unstated(); what != "" {
		return nil, refuse("write "+what+" in the basis of table "+f.Series.Table.Name, "the position error depends on flap and gear, and the figure's basis does not state its %s", what)
	}
	var fit []node
	var others []string
	for _, n := range nodes {
		if what := n.indicated.Config.unstated(); what != "" {
			return nil, refuse("write "+what+" in the basis of table "+pe.Table, "the position error depends on flap and gear, and row %s of %s does not state its %s", n.indicated.Row.Key, pe.Table, what)
		}
		if n.indicated.Config.suits(f.Config) {
			fit = append(fit, n)
		} else if w := n.indicated.Config.words(); !slices.Contains(others, w) {
			others = append(others, w)
		}
	}
	if len(fit) == 0 {
		return nil, refuse("name a table of position errors for this configuration", "it is measured with %s, and the table of position errors %s is for %s", f.Config.words(), pe.Table, strings.Join(others, "; for "))
	}
	for _, n := range fit {
		if a, b := f.Basis.Article, n.indicated.Basis.Article; a != b {
			return nil, refuse("state article: in both tables' bases", "it is of an article of kind %q, and row %s of %s of %q", a, n.indicated.Row.Key, pe.Table, b)
		}
		if a, b := meaningWords(f.Basis), meaningWords(n.indicated.Basis); a != b {
			return nil, refuse("where both mean the same, write the same words in both", "its source calls indicated %q, and row %s of %s %q", f.Basis.AirspeedMeaning, n.indicated.Row.Key, pe.Table, n.indicated.Basis.AirspeedMeaning)
		}
		if a, b := f.Series.Ref(f.Row, f.Basis.Weight), n.indicated.Series.Ref(n.indicated.Row, n.indicated.Basis.Weight); a != nil && b != nil && apart(a, b) {
			return nil, refuse("name a table of position errors for this weight", "it is at the weight %s %s, and row %s of %s at %s %s; the position error depends on the lift coefficient",
				a.Cell.Text, a.Unit.Name, n.indicated.Row.Key, pe.Table, b.Cell.Text, b.Unit.Name)
		}
	}
	slices.SortStableFunc(fit, func(a, b node) int { return a.indicated.Value.Cmp(b.indicated.Value) })
	for i := 1; i < len(fit); i++ {
		if a, b := fit[i-1].indicated, fit[i].indicated; a.Value.Cmp(b.Value) == 0 {
			return nil, refuse("withhold one, or state what tells them apart in the configuration", "rows %s and %s of %s give two position errors at %s", a.Row.Key, b.Row.Key, pe.Table, a.Cell.Text)
		}
	}
	first, last := fit[0].indicated, fit[len(fit)-1].indicated
	if len(fit) == 1 {
		return nil, refuse("", "the table of position errors %s has one row for %s, and two at least make a line", pe.Table, f.Config.words())
	}
	if f.Value.Cmp(first.Value) < 0 || f.Value.Cmp(last.Value) > 0 {
		return nil, refuse("nothing is taken beyond the ends of the table", "the table of position errors %s goes from %s to %s %s for %s", pe.Table, first.Cell.Text, last.Cell.Text, last.Unit.Name, f.Config.words())
	}
	i := 0
	for i < len(fit)-2 && f.Value.Cmp(fit[i+1].indicated.Value) >= 0 {
		i++
	}
	return between(f, fit[i], fit[i+1], pe.Correction != ""), nil
}

// between is the straight line between two rows. A figure that is itself one of the
// rows' stands in the formula once.
func between(f *Figure, n0, n1 node, correction bool) *expression {
	x := &expression{parents: []*Figure{f}}
	place := func(p *Figure) int {
		for i, have := range x.parents {
			if have.Datum == p.Datum {
				return i
			}
		}
		x.parents = append(x.parents, p)
		return len(x.parents) - 1
	}
	i0, i1, o0, o1 := place(n0.indicated), place(n1.indicated), place(n0.other), place(n1.other)
	x.formula = fmt.Sprintf("{%d} + ({%d} - {%d}) * ({0} - {%d}) / ({%d} - {%d})", o0, o1, o0, i0, i1, i0)
	if correction {
		x.formula = "{0} + " + x.formula
	}
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		run := new(big.Rat).Sub(p[i1], p[i0])
		if run.Sign() == 0 {
			return nil, fmt.Errorf("two rows of the table of position errors fall together")
		}
		r := new(big.Rat).Sub(p[o1], p[o0])
		r.Mul(r, new(big.Rat).Sub(p[0], p[i0]))
		r.Quo(r, run).Add(r, p[o0])
		if correction {
			r.Add(r, p[0])
		}
		return r, nil
	}
	return x
}

// meaningWords is what a source says of its indicated airspeed, for comparison.
func meaningWords(b extract.Basis) string {
	return strings.Join(strings.Fields(strings.ToLower(b.AirspeedMeaning)), " ")
}

// apart reports whether two figures differ by more than their half-widths leave.
func apart(a, b *Datum) bool {
	miss := new(big.Rat).Sub(a.Value.Rat(), b.Value.Rat())
	return miss.Abs(miss).Cmp(new(big.Rat).Add(a.Half, b.Half)) > 0
}

// unstated names what a position error depends on and the configuration lacks.
func (c Configuration) unstated() string {
	switch {
	case c.Flap == "" || c.Flap == "not-stated":
		return "configuration.flap"
	case c.Flap != "none" && c.Deflection == "":
		return "configuration.deflection"
	case c.Gear == "" || c.Gear == "not-stated":
		return "configuration.gear"
	}
	return ""
}

// suits reports whether what was measured in one configuration holds in another:
// flap and gear are the same, and what both state otherwise does not differ.
func (c Configuration) suits(o Configuration) bool {
	same := func(a, b string) bool { return a == "" || b == "" || a == "not-stated" || b == "not-stated" || a == b }
	plain := func(c Configuration) string {
		return Configuration{Flap: c.Flap, Deflection: c.Deflection, Gear: c.Gear}.Key()
	}
	return plain(c) == plain(o) && same(c.State, o.State) && same(c.Slats, o.Slats) && same(c.Propeller, o.Propeller) && same(c.Power, o.Power)
}

// words says a configuration for a person to read.
func (c Configuration) words() string {
	var list []string
	add := func(what, is string) {
		if is != "" && is != "not-stated" {
			list = append(list, what+" "+is)
		}
	}
	add("flap", c.Flap)
	if c.Deflection != "" {
		list = append(list, c.Deflection+" deg")
	}
	add("slats", c.Slats)
	add("gear", c.Gear)
	add("propeller", c.Propeller)
	add("power", c.Power)
	if len(list) == 0 {
		return "no configuration stated"
	}
	return strings.Join(list, ", ")
}
