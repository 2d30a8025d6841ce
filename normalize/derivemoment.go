package normalize

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strings"
)

var (
	chordShare = regexp.MustCompile(`^(?:(\d+(?:\.\d+)?) ?(?:per cent|percent|%)|(0?\.\d+)) ?(?:of )?(?:the )?(.*)$`)
	chordWords = regexp.MustCompile(`^(?:([a-z ]+) )?(?:chord|c)$`)
)

// chordPoint reads a point of the chord, as a share of the chord aft of the leading
// edge: "quarter chord", "quarter-chord point", "c/4", "25 percent of the mean chord",
// "0.25 c", "leading edge". which names the chord where the words do ("mean"). A point
// that is said to lie above or below the chord is none of these.
func chordPoint(text string) (x *big.Rat, which string, ok bool) {
	s := strings.Join(strings.Fields(strings.ToLower(text)), " ")
	s = strings.TrimPrefix(s, "the ")
	switch strings.TrimSuffix(strings.ReplaceAll(s, "-", " "), " point") {
	case "leading edge":
		return new(big.Rat), "", true
	case "quarter chord", "c/4", "one quarter chord", "quarter of the chord":
		return big.NewRat(1, 4), "", true
	case "half chord", "mid chord", "c/2":
		return big.NewRat(1, 2), "", true
	}
	m := chordShare.FindStringSubmatch(s)
	if m == nil {
		return nil, "", false
	}
	chord := chordWords.FindStringSubmatch(strings.TrimSuffix(m[3], " point"))
	if chord == nil {
		return nil, "", false
	}
	x, ok = new(big.Rat).SetString(m[1] + m[2])
	if !ok {
		return nil, "", false
	}
	if m[1] != "" {
		x.Quo(x, big.NewRat(100, 1))
	}
	return x, chord[1], x.Cmp(big.NewRat(1, 1)) <= 0
}

// moment builds the pitching-moment coefficient about another point of the chord,
//
//	C_m2 = C_m1 + C_N (x_2 - x_1)/c, C_N = C_L cos(alpha) + C_D sin(alpha)
//
// with moments positive nose-up, x counted aft from the leading edge, alpha from the
// chord, and all four coefficients of one row, in one state and on one area. The
// point lies on the chord, so that the axial force has no moment about it. Source:
// statics; sign of the NACA symbols page, FROM MEMORY.
func (v *deriver) moment(f *Figure) (*expression, *refused) {
	table := f.Series.Table.Name
	from, of1, ok := chordPoint(f.Basis.MomentCenter)
	if !ok {
		return nil, refuse("write moment_center: quarter chord, leading edge, or 30 percent chord in the basis of table "+table+", where the source says it",
			"its moment_center %q is read as no point of the chord", f.Basis.MomentCenter)
	}
	to, of2, ok := chordPoint(v.ask.MomentCenter)
	if !ok {
		return nil, refuse("write moment_center: quarter chord, leading edge, or 30 percent chord in the entry of derive:", "the moment_center %q is read as no point of the chord", v.ask.MomentCenter)
	}
	chord := strings.Join(strings.Fields(strings.ToLower(f.Basis.ReferenceChord)), " ")
	if chord == "not stated" || chord == "not-stated" {
		chord = ""
	}
	for _, which := range []string{of1, of2} {
		if which == "" {
			continue
		}
		if m := chordWords.FindStringSubmatch(strings.TrimPrefix(chord, "the ")); m == nil || m[1] != which {
			return nil, refuse("state the same chord in both", "a point of the %s chord is named, and its reference_chord is %q", which, f.Basis.ReferenceChord)
		}
	}
	if sign := f.Basis.MomentSign; sign != "nose-up" && sign != "nose-down" { // nose-down is turned already
		return nil, refuse("write moment_sign: nose-up or nose-down in the basis of table "+table+", as the source says", "its basis does not state which moments are positive")
	}
	if from.Cmp(to) == 0 {
		return nil, refuse("take the entry out of derive:", "it is about that point, in other words (%q)", f.Basis.MomentCenter)
	}
	if f.Row == nil {
		return nil, refuse("", "it stands in no row, so no lift and drag go with it")
	}
	beside := func(quantity string) (*Figure, *refused) {
		var found *Figure
		for i := range v.record {
			o := &v.record[i]
			if o.Series != f.Series || o.Row != f.Row || o.Quantity == nil || o.Quantity.Name != quantity || !SameState(o.Datum, f.Datum) {
				continue
			}
			if found != nil {
				return nil, refuse("name another table", "its row has two figures of %s in its state, %s and %s", quantity, found.where(), o.where())
			}
			found = o
		}
		if found == nil {
			return nil, refuse("", "its row has no %s in the same state, on the same area, which the normal force follows from", quantity)
		}
		return found, nil
	}
	lift, no := beside("lift coefficient")
	if no != nil {
		return nil, no
	}
	drag, no := beside("drag coefficient")
	if no != nil {
		return nil, no
	}
	alpha, no := beside("angle of attack")
	if no != nil {
		return nil, no
	}
	if b := drag.Basis; b.Drag == "profile" && b.Article != "section" && b.AspectRatioBasis != "infinite" {
		return nil, refuse("", "the drag of its row is the profile drag alone, and the normal force is of the whole")
	}
	if d := alpha.Basis.AngleDatum; d != "chord" {
		return nil, refuse("where the chord is meant, write angle_datum: chord", "the angle of attack of its row is counted from %q, and the normal force is normal to the chord", d)
	}
	x := &expression{parents: []*Figure{f}}
	at := x.places(lift, drag, alpha)
	shift := new(big.Rat).Sub(to, from)
	x.formula = fmt.Sprintf("{0} + ({%d} * cosd({%d}) + {%d} * sind({%d})) * (%s - %s)", at[0], at[2], at[1], at[2], exact(to), exact(from))
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		degrees, _ := p[at[2]].Float64()
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		c, err := rational(cos, "cosine")
		if err != nil {
			return nil, err
		}
		s, err := rational(sin, "sine")
		if err != nil {
			return nil, err
		}
		c.Mul(c, p[at[0]]).Add(c, s.Mul(s, p[at[1]]))
		return c.Mul(c, shift).Add(c, p[0]), nil
	}
	// The normal force is greatest or least at tan(alpha) = C_D/C_L.
	x.bent = at[2]
	x.turning = func(p []*big.Rat, low, high *big.Rat) []*big.Rat {
		l, _ := p[at[0]].Float64()
		d, _ := p[at[1]].Float64()
		var turns []*big.Rat
		for _, half := range []float64{-180, 0, 180} {
			turn := new(big.Rat).SetFloat64(math.Atan2(d, l)*180/math.Pi + half)
			if turn != nil && turn.Cmp(low) > 0 && turn.Cmp(high) < 0 {
				turns = append(turns, turn)
			}
		}
		return turns
	}
	return x, nil
}

// lines are the datums of angles that a setting leads from to the chord.
var lines = map[string]string{"thrust-line": "angle of wing setting", "fuselage-datum": "angle of wing setting", "lower-surface": "angle of chord"}

// angle builds the way from one line to another,
//
//	alpha_chord = alpha_line + i, alpha_a = alpha - alpha_L0
//
// with i the setting of the chord to the line. From one line to another both settings
// are taken; zero lift is reached and left from the line that the zero-lift angle is
// counted from. Source: TRADE.md 1.4, VERIFIED.
func (v *deriver) angle(f *Figure) (*expression, *refused) {
	from, to := f.Basis.AngleDatum, v.ask.AngleDatum
	switch from {
	case "", "not-stated":
		return nil, refuse("write angle_datum: in the basis of table "+f.Series.Table.Name+", where the source says it", "its basis does not state the line that it is counted from")
	case "disc-plane":
		return nil, refuse("", "it is the angle of a disc")
	}
	x := &expression{parents: []*Figure{f}, formula: "{0}"}
	signs := []int64{1}
	add := func(by *Figure, sign string) {
		x.parents = append(x.parents, by)
		x.formula += fmt.Sprintf(" %s {%d}", sign, len(x.parents)-1)
		signs = append(signs, map[string]int64{"+": 1, "-": -1}[sign])
	}
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		sum := new(big.Rat)
		for i, sign := range signs {
			sum.Add(sum, new(big.Rat).Mul(p[i], big.NewRat(sign, 1)))
		}
		return sum, nil
	}
	if zero, line := "zero-lift", from; from == zero || to == zero {
		sign := "-"
		if from == zero {
			line, sign = to, "+"
		}
		what := fmt.Sprintf("zero-lift angle from the %s with %s", line, f.Config.words())
		by, no := v.one("zero-lift angle", what, "take the table that prints it under tables:", func(z *Figure) bool {
			return z.Basis.AngleDatum == line && z.Basis.Article == f.Basis.Article && z.Config.Key() == f.Config.Key()
		})
		if no != nil {
			return nil, no
		}
		add(by, sign)
		return x, nil
	}
	setting := func(line, sign string) *refused {
		if line == "chord" {
			return nil
		}
		quantity, known := lines[line]
		if !known {
			return refuse("", "it is counted from the %s; a setting leads to the chord from thrust-line, fuselage-datum and lower-surface alone", line)
		}
		by, no := v.one(quantity, quantity+" from the "+line, fmt.Sprintf("take the table that prints it under tables:, with angle_datum: %s in its basis", line),
			func(s *Figure) bool { return s.Basis.AngleDatum == line })
		if no == nil {
			add(by, sign)
		}
		return no
	}
	if no := setting(from, "+"); no != nil {
		return nil, no
	}
	if no := setting(to, "-"); no != nil {
		return nil, no
	}
	return x, nil
}
