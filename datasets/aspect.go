package datasets

import (
	"fmt"
	"math"
	"regexp"
	"strings"
)

// sideForm is (1+k)/A of one wing, 0 of the section.
const sideForm = `0|1 / [^ ()]+|\(1 \+ (?:TAU|DELTA)\([^ ()]+, [^ ()]+, [^ ()]+\)\) / [^ ()]+`

var (
	angleTurn = regexp.MustCompile(`^(\S+) \+ 180 / pi \* (\S+) \* \((.+)\)$`)
	dragTurn  = regexp.MustCompile(`^(\S+) \+ (\S+) \* (\S+) \* \((.+)\)$`)
	slopeTurn = regexp.MustCompile(`^(\S+) / \(1 \+ (\S+) \* \((.+)\)\)$`)

	turnForm   = regexp.MustCompile(`^(?:(-?[0-9.]+) \* (\S+) / (\S+))?( \+ )?(?:\((` + sideForm + `) - (` + sideForm + `)\) / pi)?$`)
	wingForm   = regexp.MustCompile(`^\(1 \+ (TAU|DELTA)\((\S+), (\S+), (\S+)\)\) / (\S+)$`)
	wallsMeant = regexp.MustCompile(`^corrected for (?:a closed section|an (open) jet), delta (-?[0-9.]+)$`)
	ratioMeant = regexp.MustCompile(`^([0-9.]+), (?:(elliptic)|(?:(rectangular)|tapered ([0-9.]+)), section slope ([0-9.]+) per radian)$`)
)

// inducedWay is way for what the induced flow bears on: angles, drags and slopes at
// another aspect ratio, without the walls of the tunnel, or both.
func inducedWay(d *Derived, of *Value, values map[string]*Value, said func(id, column string) string, is func(id, quantity, column, want string) string) string {
	var turn, lift string
	factor := "TAU"
	switch d.Quantity {
	case "angle of attack":
		if m := angleTurn.FindStringSubmatch(d.Formula); m != nil && m[1] == d.Of {
			lift, turn = m[2], m[3]
		}
	case "drag coefficient":
		factor = "DELTA"
		if m := dragTurn.FindStringSubmatch(d.Formula); m != nil && m[1] == d.Of && m[2] == m[3] {
			lift, turn = m[2], m[4]
		}
	case "lift-curve slope":
		if m := slopeTurn.FindStringSubmatch(d.Formula); m != nil && m[1] == d.Of && m[2] == d.Of {
			turn = m[3]
		}
	default:
		return fmt.Sprintf("%s does not change with walls or aspect ratio at one lift coefficient", d.Quantity)
	}
	m := turnForm.FindStringSubmatch(turn)
	if turn == "" || m == nil || (m[4] != "") != (m[1] != "" && m[5] != "") {
		return fmt.Sprintf("it is not %s with the turn of the flow added, delta S/C of the walls and ((1+k)/A - (1+k)/A)/pi of the wings", d.Of)
	}
	meant := func(column string) (before, after string) {
		return said(of.ConditionsID, column), said(d.ConditionsID, column)
	}
	area := of // the figure that says what S is
	if lift != "" {
		if why := is(lift, "lift coefficient", "walls", said(of.ConditionsID, "walls")); why != "" {
			return why
		}
		area = values[lift]
		if area.Table != of.Table || area.Row != of.Row {
			return fmt.Sprintf("value %s does not stand in the row of value %s", lift, of.ValueID)
		}
		for _, column := range []string{"article", "aspect_ratio_basis"} {
			if why := is(lift, "", column, said(of.ConditionsID, column)); why != "" {
				return why
			}
		}
	}
	switch before, after := meant("walls"); {
	case before == after && m[1] != "":
		return "it corrects for walls, and the conditions say nothing of it"
	case before == after && before != "corrected" && before != "free-flight":
		return fmt.Sprintf("it is for another aspect ratio, and the conditions of value %s have walls %q", of.ValueID, before)
	case before != after:
		w := wallsMeant.FindStringSubmatch(after)
		switch {
		case before != "uncorrected":
			return fmt.Sprintf("it corrects for walls, and the conditions of value %s have walls %q, they would be right as uncorrected", of.ValueID, before)
		case w == nil || w[2] != m[1]:
			return fmt.Sprintf("the factor of the walls is %q, the conditions have %q", m[1], after)
		case (w[1] != "") != strings.HasPrefix(w[2], "-"):
			return fmt.Sprintf("the factor of the walls is %s, in a closed section it is more than 0 and in an open jet less", w[2])
		}
		if factor == "DELTA" && said(of.ConditionsID, "drag_kind") == "profile" {
			return fmt.Sprintf("it corrects for walls, and value %s is a profile drag, which they do not change", of.ValueID)
		}
		s, c := values[m[2]], values[m[3]]
		for _, why := range []string{is(m[2], "wing area", "reference_area", said(area.ConditionsID, "reference_area")), is(m[3], "tunnel section area", "", "")} {
			if why != "" {
				return why
			}
		}
		big, _ := c.Value.Float64()
		if small, _ := s.Value.Float64(); !(small > 0 && small < big) {
			return fmt.Sprintf("the wing area %s is not less than the section %s of the tunnel", s.ValueID, c.ValueID)
		}
	}
	before, after := meant("aspect_ratio_basis")
	if before == after {
		if m[5] != "" {
			return "it is for another aspect ratio, and the conditions say nothing of it"
		}
		return ""
	}
	if m[5] == "" {
		return fmt.Sprintf("the aspect ratio stays as it is, the conditions have %q", after)
	}
	slope, why := toWing(m[5], after, factor)
	if why != "" {
		return why
	}
	drag := said(of.ConditionsID, "drag_kind")
	section := said(of.ConditionsID, "article") == "section" || before == "infinite"
	if section {
		if m[6] != "0" {
			return fmt.Sprintf("%q stands where 0 would be right, value %s is that of the section", m[6], of.ValueID)
		}
	} else if why := fromWing(m[6], factor, slope, is); why != "" {
		return why
	}
	want := "total"
	if after == "infinite" {
		want = "profile"
	}
	switch now := said(d.ConditionsID, "drag_kind"); {
	case factor != "DELTA":
	case now != want:
		return fmt.Sprintf("the conditions have drag_kind %q, it would be right as %q", now, want)
	case !section && drag != "total":
		return fmt.Sprintf("value %s has drag_kind %q, it would be right as total", of.ValueID, drag)
	}
	return ""
}

// toWing holds the wing converted to against what the conditions say of it, and
// returns the section slope that they state.
func toWing(side, meant, factor string) (slope, why string) {
	want := "0"
	if meant != "infinite" {
		m := ratioMeant.FindStringSubmatch(meant)
		if m == nil {
			return "", fmt.Sprintf("%q is no aspect ratio, it would be right as infinite, \"8, elliptic\" or \"8, rectangular, section slope 5.7 per radian\"", meant)
		}
		slope = m[5]
		taper := m[4]
		if m[3] != "" {
			taper = "1"
		}
		want = fmt.Sprintf("(1 + %s(%s, %s, %s)) / %s", factor, m[1], slope, taper, m[1])
		if m[2] != "" {
			want = "1 / " + m[1]
		}
	}
	if side != want {
		return "", fmt.Sprintf("%q stands where %q would be right, the conditions have %q", side, want, meant)
	}
	return slope, ""
}

// fromWing holds the wing that was tested against the published figures of it.
func fromWing(side, factor, slope string, is func(id, quantity, column, want string) string) string {
	if aspect, ok := strings.CutPrefix(side, "1 / "); ok {
		return is(aspect, "aspect ratio", "", "")
	}
	m := wingForm.FindStringSubmatch(side)
	switch {
	case m == nil || m[1] != factor || m[2] != m[5]:
		return fmt.Sprintf("%q is no wing, 1 / A or (1 + %s(A, slope, taper)) / A would be right", side, factor)
	case slope != "" && m[3] != slope:
		return fmt.Sprintf("the section's slope is %s for one wing and %s for the other", m[3], slope)
	}
	if why := is(m[2], "aspect ratio", "", ""); why != "" || m[4] == "1" {
		return why
	}
	return is(m[4], "taper ratio", "", "")
}

// line reads the arguments of TAU or DELTA: aspect ratio, section slope per radian and
// taper ratio of a wing with square tips.
func (p *formulaParser) line(which string) (term, error) {
	var of [3]term
	for i, before := range []string{"(", ",", ","} {
		err := p.want(before)
		if err == nil {
			of[i], err = p.sum()
		}
		if err != nil {
			return nil, err
		}
	}
	return func(at map[string]float64) (float64, error) {
		var x [3]float64
		for i := range of {
			var err error
			if x[i], err = of[i](at); err != nil {
				return 0, err
			}
		}
		if !(x[0] >= 1 && x[0] <= 2000 && x[1] >= 1 && x[1] <= 20 && x[2] > 0 && x[2] <= 1) {
			return 0, fmt.Errorf("%s(%g, %g, %g) is of no wing: aspect ratio, section slope per radian and taper ratio would be right", which, x[0], x[1], x[2])
		}
		known, ok := p.lines[x]
		if !ok {
			known = glauert(x[0], x[1], x[2])
			p.lines[x] = known
		}
		if which == "TAU" {
			return known[0], nil
		}
		return known[1], nil
	}, p.want(")")
}

// points of collocation, twice over.
const collocated = 60

// glauert returns tau and delta of a straight-tapered wing with square tips, by
// Glauert's collocation, which is another method than that by which the numbers were
// made:
//
//	sum A_n sin(n theta) (4 b/(a0 c) sin(theta) + n) = sin(theta), theta = k pi/(2 N)
//
// Its error goes down as N^-4 for a rectangular wing and as N^-2 for one with a kink at
// the root, so that two solutions make a better third: within 1e-6 from A = 4 to 20.
// Source: Glauert, The Elements of Aerofoil and Airscrew Theory, ch. XI.
func glauert(aspectRatio, slope, taper float64) [2]float64 {
	coarse, fine := collocation(aspectRatio, slope, taper, collocated), collocation(aspectRatio, slope, taper, 2*collocated)
	part := 1.0 / 3
	if taper == 1 {
		part = 1.0 / 15
	}
	for i := range fine {
		fine[i] += (fine[i] - coarse[i]) * part
	}
	return fine
}

func collocation(aspectRatio, slope, taper float64, n int) [2]float64 {
	rows := make([][]float64, n)
	for k := range rows {
		theta := float64(k+1) * math.Pi / 2 / float64(n)
		sin, cos := math.Sincos(theta)
		chord := 2 / aspectRatio / (1 + taper) * (1 - (1-taper)*cos) // in spans
		rows[k] = make([]float64, n+1)
		for i := range n {
			order := float64(2*i + 1)
			rows[k][i] = math.Sin(order*theta) * (4/(slope*chord)*sin + order)
		}
		rows[k][n] = sin
	}
	for i := range n {
		most := i
		for k := i + 1; k < n; k++ {
			if math.Abs(rows[k][i]) > math.Abs(rows[most][i]) {
				most = k
			}
		}
		rows[i], rows[most] = rows[most], rows[i]
		for k := i + 1; k < n; k++ {
			by := rows[k][i] / rows[i][i]
			for c := i; c <= n; c++ {
				rows[k][c] -= by * rows[i][c]
			}
		}
	}
	a := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		a[i] = rows[i][n]
		for c := i + 1; c < n; c++ {
			a[i] -= rows[i][c] * a[c]
		}
		a[i] /= rows[i][i]
	}
	delta := 0.0
	for i := 1; i < n; i++ {
		delta += float64(2*i+1) * (a[i] / a[0]) * (a[i] / a[0])
	}
	return [2]float64{1/a[0] - math.Pi*aspectRatio/slope - 1, delta}
}
