package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
)

// Holding is one thing under which a figure holds, of those that bear on its quantity.
type Holding struct {
	Name string
	Text string // as stated; "" where it is not
	// Value is the figure that prints it, nil where it is no figure or has none.
	Value *Datum
	// Words says that Text is in the source's own words, which may say one thing in two ways.
	Words bool
	// Seldom marks what reports state only where it departs from the usual: where
	// neither of two figures states it, nothing is held against them.
	Seldom bool
}

// Conditions lists what bears on a figure of the series, stated or not, in the order in
// which a curator asks for it. row is nil for a given figure.
func (s *Series) Conditions(row *Row, d *Datum) []Holding {
	b, q := d.Basis, d.Quantity
	if q == nil {
		return nil
	}
	name := q.Name
	aero := q.Aerodynamic()
	angle := name == "angle of attack" || name == "zero-lift angle" || name == "stalling angle"
	moment, drag := strings.Contains(name, "moment"), strings.Contains(name, "drag")
	stall := q.Group == Stall || name == "maximum lift coefficient" || name == "stalling angle"
	speed := q.Canonical == "m/s"
	flown := aero || q.Group == Stall
	whole := b.Article != "section" && b.Article != "wing" && b.Article != "rotor" // of a machine with gear and engine
	flap := q.flapped()
	kind := b.AirspeedKind
	if k, err := AirspeedKind(kind); err == nil {
		kind = k
	}
	var list []Holding
	put := func(bears bool, c Holding) {
		if c.Text == "not-stated" {
			c.Text = ""
		}
		if bears {
			list = append(list, c)
		}
	}
	figure := func(bears bool, name, ref string, seldom bool) {
		c := Holding{Name: name, Seldom: seldom}
		if at := s.Ref(row, ref); at != nil && at.Quantity != nil && at.Value.Known() {
			c.Value, c.Text = at, at.Cell.Text
			if at.Above != nil {
				c.Text = at.Above.Text
			}
			if at.Unit.UCUM != "1" {
				u, _ := s.statedUnit(row, at.Cell.ID)
				c.Text += " " + u
			}
		} else if _, _, isRef := extract.CellRef(ref); !isRef {
			c.Text = ref // sea-level, a standard density
		}
		put(bears, c)
	}
	put(true, Holding{Name: "article", Text: b.Article, Seldom: !flown})
	figure(aero, "Reynolds number", b.Reynolds, false)
	put(aero, Holding{Name: "kind of Reynolds number", Text: b.ReynoldsKind})
	figure(aero, "Mach number", b.Mach, false)
	figure(aero && whole, "thrust coefficient", b.Thrust, d.Config.Power != "on")
	put(flown && whole, Holding{Name: "power", Text: d.Config.Power})
	put(flown && whole, Holding{Name: "trim", Text: d.Config.Trim})
	put(aero, Holding{Name: "walls", Text: b.Walls})
	put(aero && !angle || name == "wing area" || name == "wing loading", Holding{Name: "reference area", Text: b.ReferenceArea})
	put(aero && b.Article == "wing", Holding{Name: "aspect-ratio basis", Text: b.AspectRatioBasis})
	if a := s.aspectRatio(row); a != nil {
		put(aero && !infinite(b), Holding{Name: "aspect ratio", Text: a.Cell.Text, Value: a})
	}
	put(drag, Holding{Name: "kind of drag", Text: b.Drag})
	datum := b.AngleDatum
	at := q.Group == Polar && !angle && row != nil && slices.ContainsFunc(s.Table.ColumnKeys(), func(key string) bool {
		a := row.Datum(key)
		if a == nil || a.Quantity == nil || a.Quantity.Name != "angle of attack" {
			return false
		}
		datum = a.Basis.AngleDatum // the coefficient is one at that angle
		return true
	})
	put(angle || at || name == "angle of wing setting" || name == "angle of chord", Holding{Name: "angle datum", Text: datum})
	put(flap, Holding{Name: "flap", Text: d.Config.Flap})
	if flap && d.Config.Flap != "none" {
		c := Holding{Name: "flap deflection", Text: d.Config.Deflection, Value: d.Config.DeflectionCell}
		put(true, c)
		put(true, Holding{Name: "deflection state", Text: d.Config.State, Seldom: true})
		put(true, Holding{Name: "deflection datum", Text: d.Config.DeflectionDatum, Seldom: true})
		put(true, Holding{Name: "deflection plane", Text: d.Config.DeflectionPlane, Seldom: true})
	}
	put(flown, Holding{Name: "slats", Text: d.Config.Slats, Seldom: true})
	put((flown || q.Group == Limit) && whole, Holding{Name: "gear", Text: d.Config.Gear, Seldom: !flown})
	put(flown && whole, Holding{Name: "propeller", Text: d.Config.Propeller, Words: true, Seldom: true})
	put(speed, Holding{Name: "airspeed kind", Text: kind})
	put(speed && kind == "IAS", Holding{Name: "airspeed meaning", Text: b.AirspeedMeaning, Words: true})
	figure(q.weighed(), "weight", b.Weight, q.Group != Stall)
	put(q.Group == Stall || q.Group == Limit || q.spoken(needCondition), Holding{Name: "weight condition", Text: b.WeightCondition, Seldom: q.weighed()})
	system := b.Coefficients
	if _, known := FindSystem(system); known {
		system = "absolute" // as all are published
	}
	put(aero && !angle, Holding{Name: "coefficients", Text: system})
	figure(q.Coefficient() && b.Density != "", "density of the coefficients", b.Density, true)
	put(moment, Holding{Name: "moment center", Text: b.MomentCenter, Words: true})
	sign := b.MomentSign
	if sign == "nose-down" {
		sign = "nose-up" // as all are published
	}
	put(moment, Holding{Name: "moment sign", Text: sign})
	put(moment, Holding{Name: "reference chord", Text: b.ReferenceChord, Words: true})
	put(q.Group == Increment, Holding{Name: "increment", Text: b.Increment})
	put(stall, Holding{Name: "stall", Text: b.Stall, Seldom: q.Group != Stall})
	put(stall, Holding{Name: "entry rate", Text: b.EntryRate, Words: true, Seldom: true})
	if _, _, isRef := extract.CellRef(b.CenterOfGravity); isRef {
		figure(flown, "center of gravity", b.CenterOfGravity, true)
	} else {
		put(flown, Holding{Name: "center of gravity", Text: b.CenterOfGravity, Words: true, Seldom: true})
	}
	put(aero, Holding{Name: "surface", Text: b.Surface, Words: true, Seldom: true})
	put(flown, Holding{Name: "fitted", Text: b.Fitted, Words: true, Seldom: true})
	put(q.spoken(needLimit), Holding{Name: "limit", Text: b.Limit})
	put(q.spoken(needRating), Holding{Name: "power rating", Text: b.PowerRating})
	figure(q.aloft(), "altitude", b.Altitude, q.Group != Power)
	put(speed || q.Group == Power, Holding{Name: "atmosphere", Text: b.Atmosphere, Seldom: true})
	height := name == "altitude"
	altitudes := b.AltitudeKind
	if at := s.Ref(row, b.Altitude); !height {
		altitudes = ""
		if at != nil {
			altitudes = at.Basis.AltitudeKind
		}
	}
	put(height || q.aloft(), Holding{Name: "altitude kind", Text: altitudes, Seldom: !height})
	figure(height || q.aloft(), "air temperature", b.Temperature, true)
	put(q.spoken(needCorrectionSign), Holding{Name: "correction sign", Text: b.CorrectionSign})
	put(true, Holding{Name: "note", Text: b.Note, Words: true, Seldom: true})
	// A field that is not told above is never left out: nobody said that it does not bear.
	for _, f := range fieldsOf(b) {
		if !slices.Contains(weighedFields, f.Name) {
			put(true, Holding{Name: fieldName(f.Name), Text: f.Value, Words: true, Seldom: true})
		}
	}
	return list
}

// weighedFields are the fields of a basis that Conditions weighs by their own rules.
var weighedFields = []string{"article", "fitted", "coefficients", "reference_area", "reference_chord", "moment_center", "moment_sign", "angle_datum", "drag", "walls", "aspect_ratio_basis",
	"reynolds_kind", "reynolds", "mach", "thrust", "density", "surface", "airspeed_kind", "airspeed_meaning", "configuration.flap", "configuration.deflection", "configuration.state", "configuration.deflection_datum", "configuration.deflection_plane",
	"configuration.slats", "configuration.gear", "configuration.propeller", "configuration.power", "configuration.trim", "increment", "stall", "entry_rate",
	"center_of_gravity", "limit", "weight", "weight_condition", "power_rating", "altitude", "atmosphere", "altitude_kind", "temperature", "correction_sign", "note"}

// Agreement is what two statements of one condition say of each other.
type Agreement int

// The agreements. What one side does not state is never taken for equal.
const (
	Same Agreement = iota
	Untold
	Different
)

// Agree compares one condition of two figures. Figures are the same where their
// half-widths (or stated accuracies, where these are wider) overlap:
//
//	|a - b| <= half(a) + half(b)
//
// Texts of a fixed choice are the same or different; two wordings of sources are the
// same or untold. What one side does not state is untold, and so is what neither
// states, unless reports state it seldom.
func (c Holding) Agree(o Holding) Agreement {
	switch {
	case c.Text == "" && o.Text == "" && c.Seldom && o.Seldom:
		return Same
	case c.Text == "" || o.Text == "":
		return Untold
	}
	a, halfA, numberA := c.number()
	b, halfB, numberB := o.number()
	if numberA && numberB {
		apart := new(big.Rat).Sub(a, b)
		if apart.Abs(apart).Cmp(new(big.Rat).Add(halfA, halfB)) <= 0 {
			return Same
		}
		return Different
	}
	switch {
	case extract.Label(c.Text) == extract.Label(o.Text):
		return Same
	case c.Words:
		return Untold
	}
	return Different
}

// number is the condition as a figure in its canonical unit: that of its cell, or one
// that stands in a label, which has the half-width zero.
func (c Holding) number() (value, half *big.Rat, ok bool) {
	if d := c.Value; d != nil {
		half = d.Half
		if d.Accuracy != nil && d.Accuracy.Cmp(half) > 0 {
			half = d.Accuracy
		}
		return d.Value.Rat(), half, true
	}
	if plainFigure(c.Text) {
		value, ok = new(big.Rat).SetString(c.Text)
	}
	return value, new(big.Rat), ok
}

// Key tells two statements of a condition apart; 15 and 15.0 are one.
func (c Holding) Key() string {
	if v, _, ok := c.number(); ok {
		return c.Name + "\t" + v.RatString()
	}
	return c.Name + "\t" + extract.Label(c.Text)
}

func (a Agreement) String() string {
	switch a {
	case Same:
		return "same"
	case Untold:
		return "cannot be told"
	case Different:
		return "differs"
	}
	return fmt.Sprintf("agreement %d", int(a))
}
