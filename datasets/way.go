package datasets

import (
	"fmt"
	"regexp"
	"slices"
)

var areaForm = regexp.MustCompile(`^(\S+) \* (\S+) / (\S+)$`)

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
	area, angle, speed, altitude, moment := changed("reference_area"), changed("angle_datum"), changed("airspeed_kind"), changed("altitude_kind"), changed("moment_center")
	many := 0
	for _, c := range []bool{area, angle, speed, altitude, moment} {
		if c {
			many++
		}
	}
	induced := changed("walls") || changed("aspect_ratio_basis")
	switch {
	case changed("drag_kind") && !changed("aspect_ratio_basis"):
		return "no conversion but that of the aspect ratio changes drag_kind"
	case many > 1, many == 1 && induced:
		return "two conversions at once, one of airspeed_kind, reference_area, angle_datum, altitude_kind and moment_center changes, or walls and aspect_ratio_basis do"
	case induced:
		return inducedWay(d, of, values, said, is)
	case area:
		m := areaForm.FindStringSubmatch(d.Formula)
		if m == nil || m[1] != d.Of {
			return fmt.Sprintf("it would be right as %s * the area of its conditions / the area of the derived number's", d.Of)
		}
		return first(is(m[2], "wing area", "reference_area", said(of.ConditionsID, "reference_area")), is(m[3], "wing area", "reference_area", said(d.ConditionsID, "reference_area")))
	case angle:
		return angleWay(d, of, values, said, is)
	case altitude:
		return altitudeWay(d, said, is)
	case moment:
		return momentWay(d, of, values, said, is)
	case speed:
		return k.speedWay(d, of, values, said, is)
	}
	return "" // derived said that nothing was converted
}
