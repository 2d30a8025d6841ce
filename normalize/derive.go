package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
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
	//	Half = max |f(.., x_i +- h_i, ..) - f(x)| over all 2^n corners of the parents' intervals
	//
	// It bounds f in all of the box where f goes one way in each parent while the others
	// stay, as most conversions here do: sums, products, quotients, the straight line
	// between two rows, and the airspeeds in speed and in altitude. The square of a lift
	// coefficient, and Glauert's factors in the taper, have a foot; what is convex falls
	// less to it than it rises to the end on the other side. A moment in the angle is
	// not always so, and is refused where it goes farther between than in any corner.
	Half *big.Rat
	// Accuracy is the same with the accuracy that the source states, where it
	// states one, in place of the half-width; nil where no parent states any.
	Accuracy *big.Rat
}

// Number is the value as it is published, rounded once, to a thousandth of its
// half-width.
func (d *Derived) Number() numeral.Decimal {
	return numeral.RoundTo(d.Value, max(0, placesOf(d.Half)+guardDigits))
}

// HalfWidth is the half-width as it is published: with the rounding of Number, and
// outward, so that Number +- HalfWidth holds Value +- Half.
func (d *Derived) HalfWidth() numeral.Decimal {
	return PublishedHalf(widened(d.Half, d.Value, d.Number()))
}

// PublishedAccuracy is the accuracy as it is published, outward in the same way; ok is
// false where no parent states one.
func (d *Derived) PublishedAccuracy() (a numeral.Decimal, ok bool) {
	if d.Accuracy == nil {
		return numeral.Decimal{}, false
	}
	return PublishedHalf(widened(d.Accuracy, d.Value, d.Number())), true
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
// Airspeeds go from indicated to calibrated and back by a table of position errors, in
// which flap and gear are as in the figure, with a straight line between neighbouring
// rows and nothing beyond the first and the last; from there to equivalent and true
// ones and back by air.CASToEAS, air.EASToTAS and their inverses, compressibility by
// the pressure altitude and density by the density altitude, in the standard
// atmosphere that the basis states. A density altitude follows from a pressure
// altitude and the temperature of the air. Coefficients go to another area as
// C S_from/S_to. Angles of attack go from one line to another through the chord as
// alpha + i_w, and to zero lift as alpha - alpha_L0 (NACA symbols page; TRADE.md 1.4,
// VERIFIED). Pitching moments go to another point of the chord by the normal force.
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
	rows   map[*Row][]*Figure
	lines  map[wingLine]lineFactors
	// meaning is what the source of position errors calls indicated, where the
	// figures become indicated airspeeds.
	meaning string
}

// refused says why one figure is not converted.
type refused struct{ msg, hint string }

func refuse(hint, format string, args ...any) *refused {
	return &refused{fmt.Sprintf(format, args...), hint}
}

func (v *deriver) target() string { return v.ask.Target() }

func (v *deriver) all() {
	q, known := Find(v.ask.Quantity)
	if !known {
		v.not = append(v.not, Underived{Msg: fmt.Sprintf("the quantity %q is not in the list", v.ask.Quantity), Hint: "windtally quantities lists the quantities"})
		return
	}
	var convert func(f *Figure) (*expression, *refused)
	var on string
	var is func(b extract.Basis) string
	wrong := func(key, to, why, hint string) {
		v.not = append(v.not, Underived{Msg: fmt.Sprintf("%s: %s is asked for %s, %s", key, to, q.Name, why), Hint: hint})
	}
	switch {
	case v.ask.AspectRatio != nil || v.ask.Walls != nil:
		if !slices.Contains(inducedQuantities, q.Name) {
			v.not = append(v.not, v.notInduced(q))
			return
		}
		on, convert, is = "derive", v.induced, v.isInduced
	case v.ask.AirspeedKind != "":
		if !q.spoken(needAirspeed) {
			wrong("airspeed_kind", v.ask.AirspeedKind, "which is no airspeed", "")
			return
		}
		on, convert = "airspeed_kind", v.airspeed
		is = func(b extract.Basis) string { kind, _ := AirspeedKind(b.AirspeedKind); return kind }
	case v.ask.ReferenceArea != "":
		if !q.spoken(needArea) || q.Canonical == "m2" || strings.Contains(q.Name, "moment") {
			wrong("reference_area", v.ask.ReferenceArea, "which is no coefficient of lift or drag", "a moment coefficient is formed on a chord too, and is not converted")
			return
		}
		on, convert = "reference_area", v.area
		is = func(b extract.Basis) string { return b.ReferenceArea }
	case v.ask.AltitudeKind != "":
		if q.Name != "altitude" {
			wrong("altitude_kind", v.ask.AltitudeKind, "which is no altitude", "")
			return
		}
		on, convert = "altitude_kind", v.altitude
		is = func(b extract.Basis) string { return b.AltitudeKind }
	case v.ask.MomentCenter != "":
		if q.Name != "pitching-moment coefficient" {
			wrong("moment_center", v.ask.MomentCenter, "which is no pitching-moment coefficient of a polar", "")
			return
		}
		on, convert = "moment_center", v.moment
		is = func(b extract.Basis) string { return b.MomentCenter }
	default:
		if !q.spoken(needDatum) || q.Name == "angle of chord" || q.Name == "angle of wing setting" || q.Name == "zero-lift angle" && v.ask.AngleDatum == "zero-lift" {
			wrong("angle_datum", v.ask.AngleDatum, "which is no angle of attack to be counted from it", "")
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
				case "derive":
					v.laidInduced(&d.Basis)
				case "airspeed_kind":
					// The source's words define its own airspeed, not this one.
					d.Basis.AirspeedKind, d.Basis.AirspeedMeaning = v.ask.AirspeedKind, v.meaning
				case "reference_area":
					d.Basis.ReferenceArea = v.ask.ReferenceArea
				case "angle_datum":
					d.Basis.AngleDatum = v.ask.AngleDatum
				case "altitude_kind":
					d.Basis.AltitudeKind = v.ask.AltitudeKind
				case "moment_center":
					d.Basis.MomentCenter = v.ask.MomentCenter
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
	// turning is nil where the expression goes one way in each parent. Otherwise it tells
	// where it may turn round in the parent bent, between two ends of that.
	turning func(x []*big.Rat, low, high *big.Rat) []*big.Rat
	bent    int
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
	var no *refused
	if d.Half, no = x.farthest(at, d.Value, func(p *Figure) *big.Rat { return p.Half }); no != nil {
		return nil, no
	}
	if stated {
		d.Accuracy, no = x.farthest(at, d.Value, func(p *Figure) *big.Rat {
			if p.Accuracy != nil {
				return p.Accuracy
			}
			return p.Half
		})
	}
	return d, no
}

// maxParents bounds the corners that are worked out; a conversion has six parents.
const maxParents = 12

// farthest is how far the expression goes from its value, where each parent moves by its width.
func (x *expression) farthest(at []*big.Rat, value *big.Rat, width func(p *Figure) *big.Rat) (*big.Rat, *refused) {
	var wide []int
	for i, p := range x.parents {
		if w := width(p); w != nil && w.Sign() > 0 {
			wide = append(wide, i)
		}
	}
	if len(wide) > maxParents {
		return nil, refuse("", "it follows from %d figures; %d are the most whose half-widths are carried through", len(wide), maxParents)
	}
	most := new(big.Rat)
	moved := slices.Clone(at)
	far := func() (*big.Rat, *refused) {
		end, err := x.value(moved)
		if err != nil {
			return nil, refuse("", "its half-width cannot be carried through: where the figures that it follows from move by theirs, %v", err)
		}
		apart := new(big.Rat).Sub(end, value)
		return apart.Abs(apart), nil
	}
	for corner := range 1 << len(wide) {
		for bit, i := range wide {
			if corner&(1<<bit) == 0 {
				moved[i] = new(big.Rat).Sub(at[i], width(x.parents[i]))
			} else {
				moved[i] = new(big.Rat).Add(at[i], width(x.parents[i]))
			}
		}
		apart, no := far()
		if no != nil {
			return nil, no
		}
		if apart.Cmp(most) > 0 {
			most = apart
		}
	}
	if x.turning == nil || !slices.Contains(wide, x.bent) {
		return most, nil
	}
	bent := x.parents[x.bent]
	low, high := new(big.Rat).Sub(at[x.bent], width(bent)), new(big.Rat).Add(at[x.bent], width(bent))
	for corner := range 1 << len(wide) {
		for bit, i := range wide {
			if corner&(1<<bit) == 0 {
				moved[i] = new(big.Rat).Sub(at[i], width(x.parents[i]))
			} else {
				moved[i] = new(big.Rat).Add(at[i], width(x.parents[i]))
			}
		}
		for _, turn := range x.turning(moved, low, high) {
			moved[x.bent] = turn
			apart, no := far()
			if no != nil {
				return nil, no
			}
			if apart.Cmp(most) > 0 {
				return nil, refuse("", "its half-width cannot be carried through: %s %q at %s is known so coarsely that it goes farther between the ends of its interval than at them",
					bent.Quantity.Name, bent.Cell.Text, bent.where())
			}
		}
	}
	return most, nil
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
