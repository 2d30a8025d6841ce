package normalize

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	theory "windtally/validate/flight"
)

// inducedQuantities are what the induced flow bears on at one lift coefficient.
var inducedQuantities = []string{"angle of attack", "drag coefficient", "lift-curve slope"}

// lineTerms puts tau and delta of a lifting line within 1e-6 of their limits.
const lineTerms = 40

// wingLine is a wing as the lifting line sees it: taper is that of a wing with square
// tips, 1 for a rectangular one.
type wingLine struct{ aspectRatio, slope, taper float64 }

// lineFactors are Glauert's factors of such a wing.
type lineFactors struct{ tau, delta float64 }

// infinite reports whether figures of the basis hold for the section.
func infinite(b extract.Basis) bool {
	return b.Article == "section" || b.AspectRatioBasis == "infinite"
}

// aspectRatio is the aspect ratio that a series prints of the wing of a row, or beside
// the whole table; nil where it prints none, or two.
func (s *Series) aspectRatio(row *Row) *Datum {
	var found []*Datum
	look := func(d *Datum) {
		if d != nil && d.Quantity != nil && d.Quantity.Name == "aspect ratio" && d.Value.Known() {
			found = append(found, d)
		}
	}
	if row != nil && s.Table.Layout != "list" {
		for i := range s.Table.Columns {
			look(row.Datum(s.Table.Columns[i].Key))
		}
	}
	if len(found) == 0 {
		for i := range s.Table.Givens {
			look(s.Givens[s.Table.Givens[i].Key])
		}
	}
	if len(found) != 1 {
		return nil
	}
	return found[0]
}

func (v *deriver) notInduced(q *Quantity) Underived {
	return Underived{Msg: fmt.Sprintf("%s is asked for %s, and at one lift coefficient the induced flow bears on %s alone", v.target(), q.Name, strings.Join(inducedQuantities, ", "))}
}

// isInduced is the target where a basis has all of it as printed.
func (v *deriver) isInduced(b extract.Basis) string {
	if w := v.ask.Walls; w != nil && b.Walls != "corrected" {
		return ""
	}
	if a := v.ask.AspectRatio; a != nil && !(a.To == "infinite" && infinite(b)) {
		return ""
	}
	return v.target()
}

// laidInduced lays what was asked for over the basis of a converted figure. At
// infinite aspect ratio all drag is profile drag; a wing's has the induced drag in it.
func (v *deriver) laidInduced(b *extract.Basis) {
	if w := v.ask.Walls; w != nil {
		b.Walls = w.Basis()
	}
	if a := v.ask.AspectRatio; a != nil {
		b.AspectRatioBasis = a.Basis()
		if b.Drag != "" {
			b.Drag = map[bool]string{true: "profile", false: "total"}[a.To == "infinite"]
		}
	}
}

// turn is what is added to the angle of attack, in rad, for each unit of the lift
// coefficient, as text and as a function of all the parents.
type turn struct {
	text  string
	value func(x []float64) (float64, error)
}

// induced builds, at the lift coefficient CL of the figure's own row,
//
//	alpha2 = alpha1 + 180/pi CL T   in degrees
//	CD2    = CD1 + CL^2 T
//	a2     = a1/(1 + a1 T)          per rad: dalpha/dCL = 1/a
//	T      = delta S/C + ((1+k2)/A2 - (1+k1)/A1)/pi
//
// in which delta S/C is left out where no walls are asked for, and the rest where no
// aspect ratio is. k is Glauert's tau of the wing for angle and slope, and his delta
// for the drag; both are 0 for an elliptic wing, and those of the lifting line with
// square tips for a rectangular or tapered one. A section has no such term. No twist,
// no sweep, below the stall. Sources: those of validate/theory.
func (v *deriver) induced(f *Figure) (*expression, *refused) {
	x := &expression{parents: []*Figure{f}}
	place := func(p *Figure) int {
		if i := slices.IndexFunc(x.parents, func(have *Figure) bool { return have.Datum == p.Datum }); i >= 0 {
			return i
		}
		x.parents = append(x.parents, p)
		return len(x.parents) - 1
	}
	area, cl := f, -1
	if f.Quantity.Name != "lift-curve slope" {
		at, no := v.lift(f)
		if no != nil {
			return nil, no
		}
		if no := v.stalled(f, at); no != nil {
			return nil, no
		}
		area, cl = at, place(at)
	}
	var turns []turn
	if v.ask.Walls != nil {
		t, no := v.wallTurn(f, area, place)
		if no != nil {
			return nil, no
		}
		turns = append(turns, t)
	} else if w := f.Basis.Walls; w != "corrected" && w != "free-flight" {
		return nil, refuse("add walls: {section: closed, delta: ...} to the entry of derive: where the source says that no correction was made",
			"its basis says walls: %s, and walls turn the flow as the induced angle does", w)
	}
	if v.ask.AspectRatio != nil {
		t, no := v.aspectTurn(f, area, place)
		if no != nil {
			return nil, no
		}
		turns = append(turns, t)
	}
	text := turns[0].text
	if len(turns) == 2 {
		text += " + " + turns[1].text
	}
	all := func(p []*big.Rat) (float64, []float64, error) {
		at := make([]float64, len(p))
		for i := range p {
			at[i], _ = p[i].Float64()
		}
		sum := 0.0
		for _, t := range turns {
			share, err := t.value(at)
			if err != nil {
				return 0, nil, err
			}
			sum += share
		}
		return sum, at, nil
	}
	if cl < 0 {
		x.formula = fmt.Sprintf("{0} / (1 + {0} * (%s))", text)
		x.value = func(p []*big.Rat) (*big.Rat, error) {
			t, at, err := all(p)
			if err != nil {
				return nil, err
			}
			if under := 1 + at[0]*t; !(at[0] > 0 && under > 0) {
				return nil, fmt.Errorf("the slope %.4g per radian is none that the wing can have", at[0])
			}
			return rational(at[0]/(1+at[0]*t), "slope")
		}
		return x, nil
	}
	x.formula = fmt.Sprintf("{0} + 180 / pi * {%d} * (%s)", cl, text)
	factor := 180 / math.Pi
	if f.Quantity.Name == "drag coefficient" {
		x.formula = fmt.Sprintf("{0} + {%d} * {%d} * (%s)", cl, cl, text)
	}
	drag := f.Quantity.Name == "drag coefficient"
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		t, at, err := all(p)
		if err != nil {
			return nil, err
		}
		add := factor * at[cl] * t
		if drag {
			add = at[cl] * at[cl] * t
		}
		r, err := rational(add, f.Quantity.Name)
		if err != nil {
			return nil, err
		}
		return r.Add(r, p[0]), nil
	}
	if drag {
		// What is left after the induced drag is the drag of sections, which have some.
		if d, no := x.carry(); no != nil {
			return nil, no
		} else if d.Value.Sign() <= 0 {
			return nil, refuse("look at the drag, the lift and the aspect ratio in the print", "it comes to %s, which is no drag", d.Number())
		}
	}
	return x, nil
}

// ofRow is the figures of the record in one row.
func (v *deriver) ofRow(row *Row) []*Figure {
	if v.rows == nil {
		v.rows = map[*Row][]*Figure{}
		for i := range v.record {
			f := &v.record[i]
			v.rows[f.Row] = append(v.rows[f.Row], f)
		}
	}
	return v.rows[row]
}

// lift finds the lift coefficient of the row that a figure stands in.
func (v *deriver) lift(f *Figure) (*Figure, *refused) {
	var fit []*Figure
	var why []string
	if f.Row != nil {
		for _, c := range v.ofRow(f.Row) {
			if c.Series != f.Series || c.Quantity == nil || c.Quantity.Name != "lift coefficient" || !c.Value.Known() {
				continue
			}
			if differ := apartFrom(f, c); differ != "" {
				why = append(why, fmt.Sprintf("%q at %s has %s", c.Cell.Text, c.where(), differ))
				continue
			}
			fit = append(fit, c)
		}
	}
	switch {
	case len(fit) == 1:
		return fit[0], nil
	case len(fit) > 1:
		return nil, refuse("name a table in which each row has one", "its row has %d lift coefficients, and nothing says which it is measured at", len(fit))
	case len(why) > 0:
		return nil, refuse("what is measured under other conditions is not combined; where both mean the same, write the same in both columns' bases", "no lift coefficient of its row was measured as it was: %s", strings.Join(why, "; "))
	}
	return nil, refuse("", "its row has no lift coefficient, and the induced flow is that of the lift")
}

// apartFrom is what keeps a lift coefficient from being that of a figure in its row, ""
// for nothing. An angle is set for all that is measured in its row, unless its basis
// says otherwise.
func apartFrom(f, c *Figure) string {
	own := []string{"angle_datum", "drag", "moment_center", "reference_chord", "increment", "note", "airspeed_kind", "airspeed_meaning", "weight", "weight_condition"}
	angle := f.Quantity.Name == "angle of attack"
	if angle {
		own = append(own, "coefficients", "density", "reference_area")
	}
	its := fieldsOf(c.Basis)
	for i, mine := range fieldsOf(f.Basis) {
		switch {
		case slices.Contains(own, mine.Name), strings.HasPrefix(mine.Name, "configuration."), mine.Value == its[i].Value:
		case angle && (mine.Value == "" || mine.Value == "not-stated") && mine.Name != "walls" && mine.Name != "aspect_ratio_basis":
		default:
			return fmt.Sprintf("%s: %s, and the %s %s", mine.Name, its[i].said(), f.Quantity.Name, mine.said())
		}
	}
	if a, b := f.Config, c.Config; a.Key() != b.Key() && !(angle && a == (Configuration{})) {
		return fmt.Sprintf("%s, and the %s %s", b.words(), f.Quantity.Name, a.words())
	}
	return ""
}

func (f Fact) said() string {
	if f.Value == "" {
		return "not stated"
	}
	return f.Value
}

// stalled refuses a point beyond the greatest or the least lift coefficient of its
// polar, where the lift is no longer spread as the lifting line has it. A polar without
// angles cannot tell.
func (v *deriver) stalled(f, c *Figure) *refused {
	angle := func(row *Row) *Figure {
		var found *Figure
		for _, a := range v.ofRow(row) {
			if a.Series == f.Series && a.Quantity != nil && a.Quantity.Name == "angle of attack" && a.Value.Known() {
				if found != nil {
					return nil
				}
				found = a
			}
		}
		return found
	}
	here := angle(f.Row)
	if here == nil {
		return nil
	}
	var top, bottom, topAngle, bottomAngle *Figure
	for i := range f.Series.Rows {
		row := &f.Series.Rows[i]
		a := angle(row)
		for _, o := range v.ofRow(row) {
			if a == nil || o.Cell.ID.Column != c.Cell.ID.Column || o.Quantity != c.Quantity || o.Basis != c.Basis || o.Config.Key() != c.Config.Key() || !v.sameFlow(o, c) {
				continue
			}
			if top == nil || o.Value.Cmp(top.Value) > 0 || o.Value.Cmp(top.Value) == 0 && a.Value.Cmp(topAngle.Value) > 0 {
				top, topAngle = o, a
			}
			if bottom == nil || o.Value.Cmp(bottom.Value) < 0 || o.Value.Cmp(bottom.Value) == 0 && a.Value.Cmp(bottomAngle.Value) < 0 {
				bottom, bottomAngle = o, a
			}
		}
	}
	beyond, angleAt := top, topAngle
	switch {
	case top != nil && top.Value.Sign() > 0 && here.Value.Cmp(topAngle.Value) > 0:
	case bottom != nil && bottom.Value.Sign() < 0 && here.Value.Cmp(bottomAngle.Value) < 0:
		beyond, angleAt = bottom, bottomAngle
	default:
		return nil
	}
	return refuse("", "it lies beyond the stall, at %s; the lift coefficient is %s already at %s, and a stalled wing's lift is not spread as the lifting line has it",
		here.Cell.Text, beyond.Cell.Text, angleAt.Cell.Text)
}

// sameFlow reports whether two figures of a series have Reynolds and Mach numbers that
// do not differ.
func (v *deriver) sameFlow(a, b *Figure) bool {
	for _, ref := range [][2]string{{a.Basis.Reynolds, b.Basis.Reynolds}, {a.Basis.Mach, b.Basis.Mach}, {a.Basis.Thrust, b.Basis.Thrust}} {
		x, y := a.Series.Ref(a.Row, ref[0]), b.Series.Ref(b.Row, ref[1])
		if x != nil && y != nil && x.Value.Known() && y.Value.Known() && x.Value.Cmp(y.Value) != 0 {
			return false
		}
	}
	return true
}

// wallTurn builds delta S/C. area is the figure whose basis says what S is.
func (v *deriver) wallTurn(f, area *Figure, place func(*Figure) int) (turn, *refused) {
	b := area.Basis
	switch b.Walls {
	case "uncorrected":
	case "corrected":
		return turn{}, refuse("take walls: out of the entry of derive:", "its basis says that it is corrected for the walls already")
	case "free-flight":
		return turn{}, refuse("take walls: out of the entry of derive:", "it was measured in free flight, where there are no walls")
	default:
		return turn{}, refuse("write walls: uncorrected or walls: corrected in the basis of table "+area.Series.Table.Name+", where the source says it",
			"its basis does not say whether it is corrected for the walls, and to correct twice is as wrong as not at all")
	}
	if f.Quantity.Name == "drag coefficient" && f.Basis.Drag == "profile" {
		return turn{}, refuse("name the column of total drag with table: and column:", "it is a profile drag, and walls change the induced drag alone")
	}
	switch b.Article {
	case "section":
		return turn{}, refuse("", "it is of a section, which spans the tunnel; its walls are to be corrected for the curvature of the flow, which the program does not")
	case "rotor":
		return turn{}, refuse("", "it is of a rotor, and the correction is that of a wing")
	}
	s, no := v.wingArea(area, b.ReferenceArea)
	if no != nil {
		return turn{}, no
	}
	c, no := v.own(area, "tunnel section area", "take the table that prints it under tables:; it is the area of the cross-section of the tunnel's stream")
	if no != nil {
		return turn{}, no
	}
	if s.Value.Cmp(c.Value) >= 0 {
		return turn{}, refuse("look at the areas and their units in the print", "the wing area %q at %s is not less than the section of the tunnel, %q at %s", s.Cell.Text, s.where(), c.Cell.Text, c.where())
	}
	delta := strings.TrimPrefix(v.ask.Walls.Delta, "+")
	size, _ := decimal(delta).Float64()
	is, ic := place(s), place(c)
	return turn{fmt.Sprintf("%s * {%d} / {%d}", delta, is, ic), func(x []float64) (float64, error) {
		return theory.WallAngle(size, x[is], x[ic], 1)
	}}, nil
}

// wingArea finds the wing area of a kind on which a figure's coefficients are formed.
func (v *deriver) wingArea(f *Figure, kind string) (*Figure, *refused) {
	switch kind {
	case "", "not-stated":
		return nil, refuse("write reference_area: in the basis of table "+f.Series.Table.Name+", where the source says it", "its basis does not state the area that the lift coefficient is formed on")
	case "section", "disc", "extended":
		return nil, refuse("", "the lift coefficient is formed on the area %q, which is not that of the wing", kind)
	}
	s, no := v.one("wing area", kind+" wing area", fmt.Sprintf("take the table that prints it under tables:, with reference_area: %s in its basis", kind),
		func(s *Figure) bool { return s.Basis.ReferenceArea == kind })
	if no != nil {
		return nil, no
	}
	return v.ofArticle(f, s)
}

// own finds a figure that holds for another: in its row, beside its table, or in the
// record.
func (v *deriver) own(f *Figure, quantity, hint string) (*Figure, *refused) {
	of := func(suits func(o *Figure) bool) bool {
		return slices.ContainsFunc(v.record, func(o Figure) bool { return o.Quantity != nil && o.Quantity.Name == quantity && suits(&o) })
	}
	inRow := func(o *Figure) bool { return o.Series == f.Series && o.Row == f.Row && f.Row != nil }
	beside := func(o *Figure) bool { return o.Series == f.Series && o.Row == nil }
	suits := func(*Figure) bool { return true }
	if of(inRow) {
		suits = inRow
	} else if of(beside) {
		suits = beside
	}
	found, no := v.one(quantity, quantity, hint, suits)
	if no != nil {
		return nil, no
	}
	return v.ofArticle(f, found)
}

// ofArticle refuses what is of another article, or not above zero.
func (v *deriver) ofArticle(f, o *Figure) (*Figure, *refused) {
	if a, b := o.Basis.Article, f.Basis.Article; a != "" && b != "" && a != b {
		return nil, refuse("give the two a subject each", "it is of an article of kind %q, and the %s at %s of %q", b, o.Quantity.Name, o.where(), a)
	}
	if o.Value.Sign() <= 0 {
		return nil, refuse("", "the %s %q at %s is not above zero", o.Quantity.Name, o.Cell.Text, o.where())
	}
	return o, nil
}

// aspectTurn builds ((1+k2)/A2 - (1+k1)/A1)/pi.
func (v *deriver) aspectTurn(f, area *Figure, place func(*Figure) int) (turn, *refused) {
	a := v.ask.AspectRatio
	drag := f.Quantity.Name == "drag coefficient"
	slope := 0.0
	if a.SectionSlope != "" {
		slope, _ = decimal(a.SectionSlope).Float64()
	}
	// number is a literal, or the parent at an index.
	type number struct {
		text string
		of   func(x []float64) float64
	}
	literal := func(text string) number {
		x, _ := decimal(text).Float64()
		return number{text, func([]float64) float64 { return x }}
	}
	parent := func(p *Figure) number {
		i := place(p)
		return number{fmt.Sprintf("{%d}", i), func(x []float64) float64 { return x[i] }}
	}
	// side is (1+k)/A of one wing.
	side := func(planform string, aspect, taper number) turn {
		if planform == "elliptic" {
			return turn{"1 / " + aspect.text, func(x []float64) (float64, error) {
				if at := aspect.of(x); at > 0 {
					return 1 / at, nil
				}
				return 0, fmt.Errorf("the aspect ratio is not above zero")
			}}
		}
		name := "TAU"
		if drag {
			name = "DELTA"
		}
		return turn{fmt.Sprintf("(1 + %s(%s, %s, %s)) / %s", name, aspect.text, a.SectionSlope, taper.text, aspect.text), func(x []float64) (float64, error) {
			w, err := v.line(wingLine{aspect.of(x), slope, taper.of(x)})
			if err != nil {
				return 0, err
			}
			k := w.tau
			if drag {
				k = w.delta
			}
			return (1 + k) / aspect.of(x), nil
		}}
	}
	section := turn{"0", func([]float64) (float64, error) { return 0, nil }}
	from, to := section, section
	if infinite(f.Basis) {
		if a.FromPlanform != "" {
			return turn{}, refuse("take from_planform: out of the entry of derive:, or name wings alone with table: and column:", "it holds for the section, which has no planform")
		}
		if a.To == "infinite" {
			return turn{}, refuse("take aspect_ratio: out of the entry of derive:", "it holds for infinite aspect ratio as printed")
		}
	} else {
		if no := v.wingAlone(f, area); no != nil {
			return turn{}, no
		}
		where := "take the table that prints it under tables:"
		aspect, no := v.own(f, "aspect ratio", where)
		if no != nil {
			return turn{}, no
		}
		if four := big.NewRat(4, 1); aspect.Value.Rat().Cmp(four) < 0 {
			return turn{}, refuse("", "the aspect ratio %q at %s is less than 4, below which the lifting line does not hold", aspect.Cell.Text, aspect.where())
		}
		tested, taper := parent(aspect), literal("1")
		switch a.FromPlanform {
		case "":
			return turn{}, refuse("write from_planform: elliptic, rectangular or tapered in the entry of derive:", "it is of a wing, and the request does not say of which planform")
		case "tapered":
			ratio, no := v.own(f, "taper ratio", where)
			if no != nil {
				return turn{}, no
			}
			if ratio.Value.Rat().Cmp(big.NewRat(1, 1)) >= 0 {
				return turn{}, refuse("where the wing does not taper, write from_planform: rectangular", "the taper ratio %q at %s is not less than 1", ratio.Cell.Text, ratio.where())
			}
			taper = parent(ratio)
		}
		if a.To != "infinite" && a.FromPlanform == a.ToPlanform && a.FromPlanform != "tapered" && aspect.Value.Rat().Cmp(decimal(a.To)) == 0 {
			return turn{}, refuse("take aspect_ratio: out of the entry of derive:", "its wing has the aspect ratio %s and that planform as tested", aspect.Cell.Text)
		}
		from = side(a.FromPlanform, tested, taper)
	}
	if a.To != "infinite" {
		taper := "1"
		if a.ToPlanform == "tapered" {
			taper = a.ToTaper
		}
		to = side(a.ToPlanform, literal(a.To), literal(taper))
	}
	return turn{fmt.Sprintf("(%s - %s) / pi", to.text, from.text), func(x []float64) (float64, error) {
		there, err := to.value(x)
		if err != nil {
			return 0, err
		}
		here, err := from.value(x)
		if err != nil {
			return 0, err
		}
		return (there - here) / math.Pi, nil
	}}, nil
}

// decimal is a number that extract has proved to be one.
func decimal(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		r = new(big.Rat)
	}
	return r
}

// wingAlone refuses what the lifting line of a plain wing does not speak of.
func (v *deriver) wingAlone(f, area *Figure) *refused {
	if f.Basis.Article != "wing" {
		return refuse("", "it is of an article of kind %q, and the lifting line is that of a wing alone", f.Basis.Article)
	}
	if f.Basis.Drag == "profile" && f.Quantity.Name == "drag coefficient" {
		return refuse("name the column of total drag with table: and column:", "it is a profile drag, of which the induced drag was taken away already")
	}
	switch s := area.Basis.ReferenceArea; s {
	case "gross", "original":
	case "", "not-stated":
		return refuse("write reference_area: in the basis of table "+area.Series.Table.Name+", where the source says it", "its basis does not state the area that the lift coefficient is formed on")
	default:
		return refuse("", "the lift coefficient is formed on the area %q, and the aspect ratio b^2/S on the whole of one wing's", s)
	}
	c := area.Config
	lowered := true
	if d, ok := new(big.Rat).SetString(c.Deflection); ok && d.Sign() == 0 || c.Flap == "none" {
		lowered = false
	}
	switch {
	case !lowered:
		return nil
	case c.Flap == "" || c.Flap == "not-stated":
		return refuse("write configuration.flap in the basis of table "+area.Series.Table.Name, "its basis does not state the flap, and one over part of the span spreads the lift otherwise")
	}
	every := func(*Figure) bool { return true }
	if ratio, no := v.one("flap-span ratio", "flap-span ratio", "", func(o *Figure) bool { return o.Config.Flap == c.Flap }); no == nil {
		if ratio.Value.Rat().Cmp(big.NewRat(1, 1)) == 0 {
			return nil
		}
	} else if flap, no := v.one("flap span", "flap span", "", every); no == nil {
		if wing, no := v.one("wing span", "wing span", "", every); no == nil && flap.Value.Cmp(wing.Value) == 0 {
			return nil
		}
	}
	return refuse("take the table that prints the flap-span ratio, or flap span and wing span, under tables:",
		"it is measured with %s, and the record does not say that the flap is over the whole span; one over part of it spreads the lift otherwise", c.words())
}

// line works out the lifting line of a wing, once.
func (v *deriver) line(w wingLine) (lineFactors, error) {
	if known, ok := v.lines[w]; ok {
		return known, nil
	}
	chord, err := theory.TaperedChord(w.aspectRatio, w.taper, 0)
	if err != nil {
		return lineFactors{}, err
	}
	l, err := theory.LiftingLine(theory.StraightWing{Span: 1, Chord: chord, SectionSlope: theory.Uniform(w.slope)}, lineTerms)
	if err != nil {
		return lineFactors{}, err
	}
	if v.lines == nil {
		v.lines = map[wingLine]lineFactors{}
	}
	v.lines[w] = lineFactors{l.Tau, l.Delta}
	return v.lines[w], nil
}
