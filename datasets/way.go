package datasets

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
)

var (
	areaForm  = regexp.MustCompile(`^(\S+) \* (\S+) / (\S+)$`)
	angleForm = regexp.MustCompile(`^(\S+) ([-+]) (\S+)$`)
	airForm   = regexp.MustCompile(`^(EAS|TAS)\((.*), (\S+), (\S+)\)$`)
	lineForm  = regexp.MustCompile(`^(?:(\S+) \+ )?(\S+) \+ \((\S+) - (\S+)\) \* \((\S+) - (\S+)\) / \((\S+) - (\S+)\)$`)
)

// way says why a formula is not the one that leads from the meaning of the number
// that was converted to that of the derived one, or "". What holds of the numbers
// alone is checked beside it.
func (k *checker) way(d *Derived, of *Value, values map[string]*Value) string {
	conditions := resourceNamed("conditions")
	said := func(id, column string) string {
		if row := k.conditions[id]; row != nil {
			return row[conditions.column(column)]
		}
		return ""
	}
	changed := func(column string) bool { return said(d.ConditionsID, column) != said(of.ConditionsID, column) }
	// is says what keeps a parent from being what its place in the formula asks for.
	is := func(id, quantity, column, want string) string {
		v := values[id]
		switch {
		case v == nil:
			return id + " is no number in values"
		case quantity != "" && v.Quantity != quantity:
			return fmt.Sprintf("value %s is a %s, it would be right as %s", id, v.Quantity, quantity)
		case column != "" && said(v.ConditionsID, column) != want:
			return fmt.Sprintf("value %s has %s %q, it would be right as %q", id, column, said(v.ConditionsID, column), want)
		}
		return ""
	}
	first := func(reasons ...string) string {
		if i := slices.IndexFunc(reasons, func(why string) bool { return why != "" }); i >= 0 {
			return reasons[i]
		}
		return ""
	}
	area, angle, speed := changed("reference_area"), changed("angle_datum"), changed("airspeed_kind")
	induced := changed("walls") || changed("aspect_ratio_basis")
	switch {
	case changed("drag_kind") && !changed("aspect_ratio_basis"):
		return "no conversion but that of the aspect ratio changes drag_kind"
	case induced && (area || angle || speed):
		return "two conversions at once, one of airspeed_kind, reference_area and angle_datum changes, or walls and aspect_ratio_basis do"
	case induced:
		return inducedWay(d, of, values, said, is)
	case area && (angle || speed), angle && speed:
		return "two conversions at once, one of airspeed_kind, reference_area and angle_datum changes"
	case area:
		m := areaForm.FindStringSubmatch(d.Formula)
		if m == nil || m[1] != d.Of {
			return fmt.Sprintf("it would be right as %s * the area of its conditions / the area of the derived number's", d.Of)
		}
		return first(is(m[2], "wing area", "reference_area", said(of.ConditionsID, "reference_area")), is(m[3], "wing area", "reference_area", said(d.ConditionsID, "reference_area")))
	case angle:
		m := angleForm.FindStringSubmatch(d.Formula)
		quantity, to := "angle of wing setting", "chord"
		if m != nil && m[2] == "-" {
			quantity, to = "zero-lift angle", "zero-lift"
		}
		if m == nil || m[1] != d.Of || said(d.ConditionsID, "angle_datum") != to {
			return fmt.Sprintf("it would be right as %s + the angle of wing setting, from the chord, or %s - the zero-lift angle, from zero lift", d.Of, d.Of)
		}
		return is(m[3], quantity, "angle_datum", said(of.ConditionsID, "angle_datum"))
	case speed:
		return k.speedWay(d, of, values, said, is)
	}
	return "" // derived said that nothing was converted
}

// speedWay is way for airspeeds.
func (k *checker) speedWay(d *Derived, of *Value, values map[string]*Value, said func(id, column string) string, is func(id, quantity, column, want string) string) string {
	kinds := []string{"IAS", "CAS", "EAS", "TAS"}
	from, to := slices.Index(kinds, said(of.ConditionsID, "airspeed_kind")), slices.Index(kinds, said(d.ConditionsID, "airspeed_kind"))
	if from < 0 || to <= from {
		return fmt.Sprintf("no way leads from airspeed kind %q to %q", said(of.ConditionsID, "airspeed_kind"), said(d.ConditionsID, "airspeed_kind"))
	}
	rest := d.Formula
	for ; to > max(from, 1); to-- {
		m := airForm.FindStringSubmatch(rest)
		if m == nil || m[1] != kinds[to] {
			return fmt.Sprintf("%s(...) would be right where %q stands", kinds[to], rest)
		}
		height := said(d.ConditionsID, "altitude_value_id")
		if height == "" {
			height = said(d.ConditionsID, "altitude")
		}
		if m[3] != height || height == "" {
			return fmt.Sprintf("the altitude is %s, the conditions have %q", m[3], height)
		}
		if m[4] != said(d.ConditionsID, "atmosphere") {
			return fmt.Sprintf("the atmosphere is %s, the conditions have %q", m[4], said(d.ConditionsID, "atmosphere"))
		}
		rest = m[2]
	}
	if from > 0 {
		if rest != d.Of {
			return fmt.Sprintf("%q stands where %s would be right", rest, d.Of)
		}
		return ""
	}
	m := lineForm.FindStringSubmatch(rest)
	if m == nil || m[2] != m[4] || m[5] != d.Of || m[6] != m[8] || m[1] != "" && m[1] != d.Of {
		return fmt.Sprintf("%q is no straight line between two rows of a table of position errors", rest)
	}
	quantity, column, kind := "", "airspeed_kind", "CAS"
	if m[1] != "" {
		quantity, column, kind = "airspeed correction", "", ""
	}
	for _, why := range []string{is(m[6], "", "airspeed_kind", "IAS"), is(m[7], "", "airspeed_kind", "IAS"), is(m[2], quantity, column, kind), is(m[3], quantity, column, kind)} {
		if why != "" {
			return why
		}
	}
	// Each is rounded to a thousandth of its half-width.
	between := func(low, v, high string) bool {
		size := func(n Number) *big.Rat {
			if r, ok := n.Rat(); ok {
				return r
			}
			return new(big.Rat)
		}
		room := new(big.Rat).Add(size(values[v].HalfWidth), new(big.Rat).Add(size(values[low].HalfWidth), size(values[high].HalfWidth)))
		room.Quo(room, big.NewRat(1000, 1))
		at := size(values[v].Value)
		return new(big.Rat).Add(at, room).Cmp(size(values[low].Value)) >= 0 && new(big.Rat).Sub(at, room).Cmp(size(values[high].Value)) <= 0
	}
	if !between(m[6], d.Of, m[7]) {
		return fmt.Sprintf("%s does not lie between %s and %s", d.Of, m[6], m[7])
	}
	state := func(id string) string {
		for _, c := range k.e.Configurations {
			if c.ConfigurationID == id {
				deflection := string(c.FlapDeflection.Value)
				if r, ok := c.FlapDeflection.Value.Rat(); ok {
					deflection = r.RatString()
				}
				return strings.TrimSpace(fmt.Sprintf("flap %s %s, gear %s", c.FlapType, deflection, c.Gear))
			}
		}
		return "none"
	}
	for _, id := range []string{m[2], m[3], m[6], m[7]} {
		if a, b := state(values[id].ConfigurationID), state(of.ConfigurationID); a != b {
			return fmt.Sprintf("value %s is of the configuration %s, value %s of %s", id, a, of.ValueID, b)
		}
	}
	return ""
}
