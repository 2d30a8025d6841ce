package datasets

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
)

var (
	airForm = regexp.MustCompile(`^([A-Za-z_]+)\((.*), ([^\s()]+|density_altitude\([^()]*\)), (\S+)\)$`)
	// lineForm is a straight line between two rows: with a correction that is added
	// before it, or as the error that is taken off.
	lineForm = regexp.MustCompile(`^(?:([^\s()]+) (\+|- \() ?)?([^\s()]+) \+ \(([^\s()]+) - ([^\s()]+)\) \* \(([^\s()]+) - ([^\s()]+)\) / \(([^\s()]+) - ([^\s()]+)\)(\)?)$`)
	// backForm is the inverse of the line, of whatever stands for the calibrated airspeed.
	backForm     = regexp.MustCompile(`^([^\s()]+) \+ \(([^\s()]+) - ([^\s()]+)\) \* \((.*) - (` + rowForm + `)\) / \((` + rowForm + `) - (` + rowForm + `)\)$`)
	rowParts     = regexp.MustCompile(`^(?:\((\S+) ([-+]) (\S+)\)|(\S+))$`)
	densityForm  = regexp.MustCompile(`^density_altitude\((\S+), (\S+), (\S+)\)$`)
	angleForm    = regexp.MustCompile(`^(\S+) ([-+]) (\S+)(?: ([-+]) (\S+))?$`)
	momentForm   = regexp.MustCompile(`^(\S+) \+ \((\S+) \* cosd\((\S+)\) \+ (\S+) \* sind\((\S+)\)\) \* \((\S+) - (\S+)\)$`)
	chordNumbers = regexp.MustCompile(`\d*\.?\d+`)
)

// rowForm is the calibrated airspeed of a row: its own column, or the indicated one
// with its correction.
const rowForm = `[^\s()]+|\([^\s()]+ [-+] [^\s()]+\)`

type (
	sayer func(id, column string) string
	// judge says what keeps a parent from being what its place in a formula asks for.
	judge func(id, quantity, column, want string) string
)

func firstOf(reasons ...string) string {
	if i := slices.IndexFunc(reasons, func(why string) bool { return why != "" }); i >= 0 {
		return reasons[i]
	}
	return ""
}

// angleWay is way for angles: the setting of the line that is left is added, that of
// the line that is gone to taken off.
func angleWay(d *Derived, of *Value, values map[string]*Value, said sayer, is judge) string {
	from, to := said(of.ConditionsID, "angle_datum"), said(d.ConditionsID, "angle_datum")
	settings := map[string]string{"thrust-line": "angle of wing setting", "fuselage-datum": "angle of wing setting", "lower-surface": "angle of chord"}
	type term struct{ sign, quantity, datum string }
	var want []term
	switch {
	case to == "zero-lift":
		want = []term{{"-", "zero-lift angle", from}}
	case from == "zero-lift":
		want = []term{{"+", "zero-lift angle", to}}
	default:
		if from != "chord" {
			want = append(want, term{"+", settings[from], from})
		}
		if to != "chord" {
			want = append(want, term{"-", settings[to], to})
		}
	}
	right := d.Of
	for _, t := range want {
		if t.quantity == "" {
			return fmt.Sprintf("no setting leads from angle datum %q to %q", from, to)
		}
		right += fmt.Sprintf(" %s the %s from the %s", t.sign, t.quantity, t.datum)
	}
	m := angleForm.FindStringSubmatch(d.Formula)
	if m == nil || m[1] != d.Of || (m[5] != "") != (len(want) == 2) || m[2] != want[0].sign || len(want) == 2 && m[4] != want[1].sign {
		return "it would be right as " + right
	}
	for i, t := range want {
		id := m[3+2*i]
		if why := is(id, t.quantity, "angle_datum", t.datum); why != "" {
			return why
		}
		if t.quantity == "zero-lift angle" && values[id].ConfigurationID != of.ConfigurationID {
			return fmt.Sprintf("value %s is of the configuration %s, value %s of %s", id, values[id].ConfigurationID, of.ValueID, of.ConfigurationID)
		}
	}
	return ""
}

// altitudeWay is way for altitudes.
func altitudeWay(d *Derived, said sayer, is judge) string {
	m := densityForm.FindStringSubmatch(d.Formula)
	temperature, atmosphere := said(d.ConditionsID, "temperature_value_id"), said(d.ConditionsID, "atmosphere")
	if m == nil || m[1] != d.Of || m[2] != temperature || m[3] != atmosphere || said(d.ConditionsID, "altitude_kind") != "density" {
		return fmt.Sprintf("it would be right as density_altitude(%s, the temperature of its conditions, their atmosphere), a density altitude", d.Of)
	}
	return firstOf(is(m[1], "altitude", "altitude_kind", "pressure"), is(m[2], "air temperature", "", ""))
}

// momentWay is way for pitching moments.
func momentWay(d *Derived, of *Value, values map[string]*Value, said sayer, is judge) string {
	m := momentForm.FindStringSubmatch(d.Formula)
	if m == nil || m[1] != d.Of || m[3] != m[5] {
		return fmt.Sprintf("it would be right as %s + (lift * cosd(angle) + drag * sind(angle)) * (the new point - the old)", d.Of)
	}
	for _, p := range [][3]string{{m[6], d.ConditionsID, "derived number"}, {m[7], of.ConditionsID, "value " + of.ValueID}} {
		center := said(p[1], "moment_center")
		x, ok := Number(p[0]).Float64()
		if share, known := chordShareOf(center); !ok || !known || math.Abs(x-share) > 1e-12 {
			return fmt.Sprintf("%s is not where the %s has its moment_center, %q", p[0], p[2], center)
		}
	}
	area := said(of.ConditionsID, "reference_area")
	sign := said(of.ConditionsID, "moment_sign")
	if sign != "nose-up" && sign != "nose-up, converted from nose-down" {
		return fmt.Sprintf("value %s has moment_sign %q, it would be right as %q", of.ValueID, sign, "nose-up")
	}
	for _, why := range []string{is(m[1], "pitching-moment coefficient", "moment_sign", sign), is(m[2], "lift coefficient", "reference_area", area),
		is(m[4], "drag coefficient", "reference_area", area), is(m[3], "angle of attack", "angle_datum", "chord")} {
		if why != "" {
			return why
		}
	}
	for _, id := range []string{m[2], m[4], m[3]} {
		v := values[id]
		if v.Table != of.Table || v.Row != of.Row || v.SourceID != of.SourceID {
			return fmt.Sprintf("value %s stands in row %s of %s, value %s in row %s of %s", id, v.Row, v.Table, of.ValueID, of.Row, of.Table)
		}
	}
	return ""
}

// chordShareOf finds the share of the chord at which a point lies.
func chordShareOf(center string) (float64, bool) {
	s := strings.ToLower(center)
	for _, known := range []struct {
		word  string
		share float64
	}{{"leading edge", 0}, {"leading-edge", 0}, {"quarter", 0.25}, {"c/4", 0.25}, {"half", 0.5}, {"mid", 0.5}, {"c/2", 0.5}} {
		if strings.Contains(s, known.word) {
			return known.share, true
		}
	}
	numbers := chordNumbers.FindAllString(s, -1)
	if len(numbers) != 1 {
		return 0, false
	}
	if numbers[0][0] == '.' {
		numbers[0] = "0" + numbers[0]
	}
	x, ok := Number(numbers[0]).Float64()
	if strings.Contains(s, "%") || strings.Contains(s, "cent") {
		x /= 100
	}
	return x, ok
}

// speedWay is way for airspeeds, up or down the row IAS, CAS, EAS, TAS.
func (k *checker) speedWay(d *Derived, of *Value, values map[string]*Value, said sayer, is judge) string {
	kinds := []string{"IAS", "CAS", "EAS", "TAS"}
	from, to := slices.Index(kinds, said(of.ConditionsID, "airspeed_kind")), slices.Index(kinds, said(d.ConditionsID, "airspeed_kind"))
	if from < 0 || to < 0 || to == from {
		return fmt.Sprintf("no way leads from airspeed kind %q to %q", said(of.ConditionsID, "airspeed_kind"), said(d.ConditionsID, "airspeed_kind"))
	}
	rest, level, stop := d.Formula, to, max(from, 1)
	if to == 0 {
		m := backForm.FindStringSubmatch(rest)
		if m == nil {
			return fmt.Sprintf("%q is no way back along a straight line between two rows of a table of position errors", rest)
		}
		if why := k.backWay(m, of, values, is); why != "" {
			return why
		}
		rest, level = m[4], 1
	}
	for level != stop {
		name, dense := kinds[level], level == 3
		if level < stop {
			name, dense = kinds[level]+"_of_"+kinds[level+1], level == 2
		}
		m := airForm.FindStringSubmatch(rest)
		if m == nil || m[1] != name {
			return fmt.Sprintf("%s(...) would be right where %q stands", name, rest)
		}
		if why := altitudeIn(m[3], dense, d, said, is); why != "" {
			return why
		}
		if m[4] != said(d.ConditionsID, "atmosphere") {
			return fmt.Sprintf("the atmosphere is %s, the conditions have %q", m[4], said(d.ConditionsID, "atmosphere"))
		}
		rest = m[2]
		if level > stop {
			level--
		} else {
			level++
		}
	}
	if from == 0 {
		return k.lineWay(rest, of, values, is)
	}
	if rest != d.Of {
		return fmt.Sprintf("%q stands where %s would be right", rest, d.Of)
	}
	return ""
}

// altitudeIn says why an altitude in a formula is not that of the conditions. The step
// between CAS and EAS takes the pressure altitude, that between EAS and TAS (dense) the
// density altitude; they are one where no temperature is stated.
func altitudeIn(is string, dense bool, d *Derived, said sayer, judged judge) string {
	height := said(d.ConditionsID, "altitude_value_id")
	printed := height != ""
	if !printed {
		height = said(d.ConditionsID, "altitude")
	}
	kind := "pressure"
	if printed && dense && judged(height, "altitude", "altitude_kind", "density") == "" {
		kind = "density"
	}
	right := height
	if warm := said(d.ConditionsID, "temperature_value_id"); warm != "" && dense && kind == "pressure" {
		right = fmt.Sprintf("density_altitude(%s, %s, %s)", height, warm, said(d.ConditionsID, "atmosphere"))
		if why := judged(warm, "air temperature", "", ""); why != "" {
			return why
		}
	}
	if is != right || height == "" {
		return fmt.Sprintf("the altitude is %s, the conditions have %q", is, right)
	}
	if printed {
		return judged(height, "altitude", "altitude_kind", kind)
	}
	return ""
}

// lineWay is the step from an indicated to a calibrated airspeed.
func (k *checker) lineWay(text string, of *Value, values map[string]*Value, is judge) string {
	m := lineForm.FindStringSubmatch(text)
	if m == nil || m[3] != m[5] || m[6] != of.ValueID || m[7] != m[9] || m[1] != "" && m[1] != of.ValueID || (m[2] == "- (") != (m[10] != "") {
		return fmt.Sprintf("%q is no straight line between two rows of a table of position errors", text)
	}
	sign := map[string]string{"+": "+", "- (": "-"}[m[2]]
	if why := k.rowsWay([2]string{m[7], m[8]}, [2]string{m[3], m[4]}, sign, of, values, is); why != "" {
		return why
	}
	if !within(m[7], of.ValueID, m[8], values) {
		return fmt.Sprintf("%s does not lie between %s and %s", of.ValueID, m[7], m[8])
	}
	return ""
}

// backWay is the step from a calibrated airspeed back to an indicated one.
func (k *checker) backWay(m []string, of *Value, values map[string]*Value, is judge) string {
	low, high := rowParts.FindStringSubmatch(m[5]), rowParts.FindStringSubmatch(m[6])
	if m[1] != m[3] || m[5] != m[7] || low == nil || high == nil || low[2] != high[2] || low[2] != "" && (low[1] != m[1] || high[1] != m[2]) {
		return "the two rows of the table of position errors do not stand in their places"
	}
	if why := k.rowsWay([2]string{m[1], m[2]}, [2]string{low[3] + low[4], high[3] + high[4]}, low[2], of, values, is); why != "" {
		return why
	}
	if !within(m[5], m[4], m[6], values) {
		return fmt.Sprintf("%s does not lie between %s and %s", m[4], m[5], m[6])
	}
	return ""
}

// rowsWay holds that two rows of a table of position errors are what they are taken
// for, and of the configuration of the number that is converted.
func (k *checker) rowsWay(indicated, other [2]string, sign string, of *Value, values map[string]*Value, is judge) string {
	quantity, column, want := "", "airspeed_kind", "CAS"
	if sign != "" {
		quantity, column, want = "airspeed correction", "correction_sign", map[string]string{"+": "added", "-": "indicated-minus-true"}[sign]
	}
	if why := firstOf(is(indicated[0], "", "airspeed_kind", "IAS"), is(indicated[1], "", "airspeed_kind", "IAS"), is(other[0], quantity, column, want), is(other[1], quantity, column, want)); why != "" {
		return why
	}
	for i, id := range other {
		v, in := values[id], values[indicated[i]]
		if v.Table != in.Table || v.Row != in.Row || v.SourceID != in.SourceID {
			return fmt.Sprintf("value %s stands in row %s of %s, value %s in row %s of %s", id, v.Row, v.Table, in.ValueID, in.Row, in.Table)
		}
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
	for _, id := range []string{other[0], other[1], indicated[0], indicated[1]} {
		if a, b := state(values[id].ConfigurationID), state(of.ConfigurationID); a != b {
			return fmt.Sprintf("value %s is of the configuration %s, value %s of %s", id, a, of.ValueID, b)
		}
	}
	return ""
}

// within reports whether what a formula comes to lies between two others, the lower
// first. Each number is rounded to a thousandth of its half-width.
func within(low, formula, high string, values map[string]*Value) bool {
	room := 0.0
	size := func(text string) float64 {
		f, err := parseFormula(text, map[[3]float64][2]float64{})
		if err != nil {
			return math.NaN()
		}
		at := map[string]float64{}
		for _, id := range f.ids {
			if v := values[id]; v != nil {
				at[id], _ = v.Value.Float64()
				half, _ := v.HalfWidth.Float64()
				room += half / 1000
			}
		}
		x, err := f.value(at)
		if err != nil {
			return math.NaN()
		}
		return x
	}
	a, x, b := size(low), size(formula), size(high)
	room += 1e-12 * math.Abs(x)
	return a < b && x >= a-room && x <= b+room
}
