package datasets

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// changeable are the columns of conditions in which a derived number may differ from
// the one that it was converted from.
var changeable = [...]string{"airspeed_kind", "airspeed_definition", "reference_area", "angle_datum", "altitude_kind", "moment_center", "walls", "aspect_ratio_basis", "drag_kind"}

// derived works every derived number out again, from its formula and the published
// numbers that it names.
func (k *checker) derived() {
	r := resourceNamed("derived")
	k.lines = map[[3]float64][2]float64{}
	values := k.byID()
	least := [...]string{"unwitnessed", "keyed", "agreed", "confirmed", "reread", "emended"}
	conditions := resourceNamed("conditions")
	for i, d := range k.e.Derived {
		fail := func(column, format string, args ...any) { k.fail(r, i, column, format, args...) }
		of := values[d.Of]
		parents := strings.Fields(d.Parents)
		if of == nil || slices.ContainsFunc(parents, func(id string) bool { return values[id] == nil }) {
			continue // references said so
		}
		if !slices.Contains(parents, d.Of) {
			fail("parents", "do not name %s, the number that was converted", d.Of)
			continue
		}
		for _, same := range [][3]string{
			{"subject_id", d.SubjectID, of.SubjectID}, {"configuration_id", d.ConfigurationID, of.ConfigurationID},
			{"quantity", d.Quantity, of.Quantity}, {"unit", d.Unit, of.Unit},
		} {
			if same[1] != same[2] {
				fail(same[0], "is %q, value %s has %q", same[1], of.ValueID, same[2])
			}
		}
		if mine, its := k.conditions[d.ConditionsID], k.conditions[of.ConditionsID]; mine != nil && its != nil {
			changed := false
			for n, c := range conditions.columns {
				switch {
				case c.key || mine[n] == its[n]:
				case slices.Contains(changeable[:], c.name):
					changed = changed || c.name != "airspeed_definition" && c.name != "drag_kind"
				default:
					fail("conditions_id", "conditions with %s %q, those of value %s have %q, which no conversion changes", c.name, mine[n], of.ValueID, its[n])
				}
			}
			if !changed {
				fail("conditions_id", "the conditions have the airspeed kind, reference area, angle datum, altitude kind, moment center, walls and aspect ratio of value %s, so nothing was converted", of.ValueID)
			}
		}
		worst := len(least) - 1
		for _, id := range parents {
			if values[id].SubjectID != d.SubjectID {
				fail("parents", "value %s is about %s, the row is about %s", id, values[id].SubjectID, d.SubjectID)
			}
			worst = min(worst, slices.Index(least[:], values[id].Checked))
		}
		if worst >= 0 && d.Checked != least[worst] {
			fail("checked", "is %s, the least vouched for of its parents is %s", d.Checked, least[worst])
		}
		if !k.worked(i, &d, parents, values) || d.ConditionsID == of.ConditionsID {
			continue
		}
		if why := k.way(&d, of, values); why != "" {
			fail("formula", "%q: %s", d.Formula, why)
		}
	}
}

// worked checks value, half-width and accuracy against the formula. The parents are
// published to a thousandth of their half-widths, and so is the result; half-widths
// have four figures. It reports whether the formula could be worked out.
func (k *checker) worked(i int, d *Derived, parents []string, values map[string]*Value) bool {
	r := resourceNamed("derived")
	at := make(map[string]float64, len(parents))
	for _, id := range parents {
		at[id], _ = values[id].Value.Float64()
	}
	f, err := parseFormula(d.Formula, k.lines)
	if err != nil {
		k.fail(r, i, "formula", "%q: %v", d.Formula, err)
		return false
	}
	if used := slices.Compact(slices.Sorted(slices.Values(f.ids))); !slices.Equal(used, parents) {
		k.fail(r, i, "formula", "follows from %s, parents has %s", strings.Join(used, " "), d.Parents)
		return false
	}
	right, err := f.value(at)
	if err != nil {
		k.fail(r, i, "formula", "%q: %v", d.Formula, err)
		return false
	}
	stated := false
	// How far the formula goes from its value in the corners of its parents' intervals.
	carried := func(width func(v *Value) Number) (float64, error) {
		if len(parents) > maxParents {
			return 0, fmt.Errorf("it follows from %d numbers, at most %d would be right", len(parents), maxParents)
		}
		most := 0.0
		moved := make(map[string]float64, len(parents))
		for corner := range 1 << len(parents) {
			for bit, id := range parents {
				w, _ := width(values[id]).Float64()
				if corner&(1<<bit) == 0 {
					w = -w
				}
				moved[id] = at[id] + w
			}
			end, err := f.value(moved)
			if err != nil {
				return 0, err
			}
			most = max(most, math.Abs(end-right))
		}
		return most, nil
	}
	half, err := carried(func(v *Value) Number { return v.HalfWidth })
	if err != nil {
		k.fail(r, i, "formula", "%q: %v", d.Formula, err)
		return false
	}
	accuracy, err := carried(func(v *Value) Number {
		if v.Accuracy == "" {
			return v.HalfWidth
		}
		stated = true
		return v.Accuracy
	})
	if err != nil {
		k.fail(r, i, "formula", "%q: %v", d.Formula, err)
		return false
	}
	show := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	if is, _ := d.Value.Float64(); !(math.Abs(is-right) <= half/500) {
		k.fail(r, i, "value", "is %s, %s comes to %s", d.Value, d.Formula, show(right))
	}
	if is, _ := d.HalfWidth.Float64(); !(math.Abs(is-half) <= half/500) {
		k.fail(r, i, "half_width", "is %s, those of its parents come to %s", d.HalfWidth, show(half))
	}
	is, given := d.Accuracy.Float64()
	switch {
	case given != stated:
		k.fail(r, i, "accuracy", "is %q, it stands where a parent states one", d.Accuracy)
	case given && !(math.Abs(is-accuracy) <= accuracy/500):
		k.fail(r, i, "accuracy", "is %s, that of its parents comes to %s", d.Accuracy, show(accuracy))
	}
	return true
}

// formula is arithmetic in ids:
//
//	sum     = product { ("+" | "-") product }
//	product = factor { ("*" | "/") factor }
//	factor  = id | number | "pi" | "-" factor | "(" sum ")" | ("cosd" | "sind") "(" sum ")"
//	        | ("EAS" | "TAS" | "CAS_of_EAS" | "EAS_of_TAS" | "density_altitude") "(" sum "," sum "," ("modern" | "period") ")"
//	        | ("TAU" | "DELTA") "(" sum "," sum "," sum ")"
//
// It is apart from what made the edition, so that one is a check on the other.
type formula struct {
	ids   []string
	value func(at map[string]float64) (float64, error)
}

type term func(at map[string]float64) (float64, error)

type formulaParser struct {
	tokens []string
	ids    []string
	depth  int
	lines  map[[3]float64][2]float64 // lifting lines that were worked out
}

// maxParents bounds the corners that are worked out; a conversion has six parents.
const maxParents = 12

// maxNested bounds brackets within brackets; a conversion needs four.
const maxNested = 50

// parseFormula reads a formula; lines keeps the lifting lines for the next one.
func parseFormula(text string, lines map[[3]float64][2]float64) (*formula, error) {
	p := &formulaParser{lines: lines}
	for rest := text; ; {
		rest = strings.TrimLeft(rest, " ")
		if rest == "" {
			break
		}
		n := 1
		if !strings.ContainsRune("+-*/(),", rune(rest[0])) {
			n = strings.IndexAny(rest, " +*/(),")
			if n < 0 {
				n = len(rest)
			}
		}
		p.tokens, rest = append(p.tokens, rest[:n]), rest[n:]
	}
	f, err := p.sum()
	if err == nil && len(p.tokens) > 0 {
		err = fmt.Errorf("%q stands after its end", p.tokens[0])
	}
	if err != nil {
		return nil, err
	}
	return &formula{p.ids, f}, nil
}

func (p *formulaParser) next() string {
	if len(p.tokens) == 0 {
		return ""
	}
	t := p.tokens[0]
	p.tokens = p.tokens[1:]
	return t
}

func (p *formulaParser) want(token string) error {
	if t := p.next(); t != token {
		return fmt.Errorf("%q stands where %q would be right", t, token)
	}
	return nil
}

func (p *formulaParser) chain(operators string, operand func() (term, error)) (term, error) {
	left, err := operand()
	for err == nil && len(p.tokens) > 0 && len(p.tokens[0]) == 1 && strings.Contains(operators, p.tokens[0]) {
		operator, a := p.next(), left
		var b term
		if b, err = operand(); err != nil {
			break
		}
		left = func(at map[string]float64) (float64, error) {
			x, err := a(at)
			if err != nil {
				return 0, err
			}
			y, err := b(at)
			if err != nil {
				return 0, err
			}
			switch operator {
			case "+":
				return x + y, nil
			case "-":
				return x - y, nil
			case "*":
				return x * y, nil
			}
			if y == 0 {
				return 0, fmt.Errorf("it divides by zero")
			}
			return x / y, nil
		}
	}
	return left, err
}

func (p *formulaParser) sum() (term, error) {
	if p.depth++; p.depth > maxNested {
		return nil, fmt.Errorf("more than %d brackets stand within each other", maxNested)
	}
	defer func() { p.depth-- }()
	return p.chain("+-", func() (term, error) { return p.chain("*/", p.factor) })
}

func (p *formulaParser) factor() (term, error) {
	switch t := p.next(); {
	case t == "(":
		f, err := p.sum()
		if err == nil {
			err = p.want(")")
		}
		return f, err
	case t == "EAS", t == "TAS", t == "CAS_of_EAS", t == "EAS_of_TAS", t == "density_altitude":
		return p.air(t)
	case t == "cosd", t == "sind":
		return p.circle(t)
	case t == "TAU", t == "DELTA":
		return p.line(t)
	case t == "-":
		if p.depth++; p.depth > maxNested {
			return nil, fmt.Errorf("more than %d signs stand before each other", maxNested)
		}
		defer func() { p.depth-- }()
		f, err := p.factor()
		return func(at map[string]float64) (float64, error) {
			x, err := f(at)
			return -x, err
		}, err
	case t == "pi":
		return func(map[string]float64) (float64, error) { return math.Pi, nil }, nil
	case idPattern.MatchString(t):
		p.ids = append(p.ids, t)
		return func(at map[string]float64) (float64, error) {
			x, ok := at[t]
			if !ok {
				return 0, fmt.Errorf("%s is no parent", t)
			}
			return x, nil
		}, nil
	default:
		x, ok := Number(t).Float64()
		if !ok {
			return nil, fmt.Errorf("%q stands where an id, a number or a bracket would be right", t)
		}
		return func(map[string]float64) (float64, error) { return x, nil }, nil
	}
}
