package validate

import (
	"math"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/validate/fit"
)

// Fit is a figure that a curve through the points of a table gives: no figure of
// the print.
type Fit struct {
	Subject string
	Table   string // its name
	Column  string // of the figure that is fitted: lift or drag
	// Configs is the configuration of the points; of a pooled fit, those that share
	// the figure.
	Configs []normalize.Configuration

	// Name is lift-curve slope, zero-lift angle, zero-lift drag coefficient,
	// lift-dependent drag factor (k of C_D = C_D0 + k C_L^2) or span efficiency.
	Name, Symbol, Unit string

	Value, StdError float64
	// Half is the half-width of 95 % confidence: Student's t times StdError, or what
	// the rounding of the figures that are fitted alone leaves, whichever is wider.
	// The rounding of angles and, in a polar, of lift shows in StdError alone: an
	// angle of 4 is set, not rounded from 4.4.
	Half float64

	Cells   []extract.CellID // the figures that made it
	LeftOut []extract.CellID // those that stand off the curve
	// Doubted says that a finding is made on the fit, or on what it was made from.
	Doubted bool

	// Pooled says that configurations share the figure, each with its own C_L at 0
	// deg or its own C_D0. Chance is that of Fisher's F, for configurations that do
	// share it to look as different as these; below PooledChance they do not.
	Pooled bool
	Chance float64
}

// PooledChance is the least chance at which a pooled fit is supported: common
// practice, no source.
const PooledChance = 0.01

// Supported reports whether the configurations share the figure, as far as their
// points tell. It is true of a fit to one configuration.
func (f *Fit) Supported() bool { return !f.Pooled || f.Chance >= PooledChance }

// mostWrong is how many points of a curve are left out at most: more make another
// curve.
const mostWrong = 3

// confidence of the half-widths of fits.
const confidence = 0.95

// greatest is the greatest lift coefficient of the points in the order of print,
// which is the range that they are judged in. A point within them that exceeds both
// its neighbours by half and more is a wrong figure, and no maximum.
func greatest(points []map[string]Entry) (at int) {
	value := func(i int) float64 { return float(points[i]["lift coefficient"].Value) }
	at = -1
	for i := range points {
		peak := len(points) >= 6 && i > 0 && i < len(points)-1 && value(i) > 1.5*math.Max(math.Abs(value(i-1)), math.Abs(value(i+1)))
		if !peak && (at < 0 || value(i) > value(at)) {
			at = i
		}
	}
	return max(at, 0)
}

// fitted is a resistant fit to points of a curve.
type fitted struct {
	*fit.Resistant
	points []map[string]Entry // all of them
	x, y   string
}

// resist fits y = sum of powers of x to points, without those that stand off by the
// bound. Two or more points that stand off and lie beyond all others are a bend of
// the curve, not wrong figures.
func resist(points []map[string]Entry, x, y string, bound float64, powers ...int) (*fitted, error) {
	f := &fitted{points: points, x: x, y: y}
	var xs, ys []*big.Rat
	for _, p := range points {
		xs, ys = append(xs, p[x].Value.Rat()), append(ys, p[y].Value.Rat())
	}
	half := halfWidths(points, y)
	bounds := fit.Bounds{Studentized: bound, HalfWidths: 3, Most: mostWrong}
	if math.IsInf(bound, 1) {
		bounds.Most = 0
	}
	design := fit.PowersDesign(xs, powers...)
	var err error
	if f.Resistant, err = fit.Resist(design, ys, half, bounds); err != nil {
		return nil, err
	}
	if bend(f.Left, xs) {
		bounds.Most = 1
		if f.Resistant, err = fit.Resist(design, ys, half, bounds); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// plainly is the fit of powers of x to the points, leaving none out.
func plainly(points []map[string]Entry, x, y string, powers ...int) (*fitted, error) {
	return resist(points, x, y, math.Inf(1), powers...)
}

// again fits other powers to the points that f was made from.
func (f *fitted) again(powers ...int) (*fitted, error) {
	var used []map[string]Entry
	for _, i := range f.Used {
		used = append(used, f.points[i])
	}
	other, err := plainly(used, f.x, f.y, powers...)
	if err != nil {
		return nil, err
	}
	other.points, other.Used, other.Left = f.points, f.Used, f.Left
	return other, nil
}

// parabola fits C_D = C_D0 + k C_L^2 to the points of a polar that do not stand off.
// Which do is told by the general parabola, nil where there is none: a curve that is
// not this one (a section's drag bucket) must not make points doubtful, and the linear
// term takes camber up.
func (r *Report) parabola(points []map[string]Entry) (parabola, general *fitted, err error) {
	const x, y = "lift coefficient", "drag coefficient"
	if general, err = resist(points, x, y, r.bound(polarBounds, "point"), 0, 1, 2); err == nil {
		parabola, err = general.again(0, 2)
		return parabola, general, err
	}
	parabola, err = plainly(points, x, y, 0, 2)
	return parabola, nil, err
}

// halfWidths are those of the figures as they are known; a figure without one is
// taken to be known as well as the best.
func halfWidths(points []map[string]Entry, quantity string) []*big.Rat {
	half := make([]*big.Rat, len(points))
	var least *big.Rat
	for i, p := range points {
		d := p[quantity].Datum
		half[i] = d.Half
		if d.Accuracy != nil && (d.Half == nil || d.Accuracy.Cmp(d.Half) > 0) {
			half[i] = d.Accuracy
		}
		if h := half[i]; h != nil && h.Sign() > 0 && (least == nil || h.Cmp(least) < 0) {
			least = h
		}
	}
	if least == nil {
		least = big.NewRat(1, 1000000)
	}
	for i, h := range half {
		if h == nil || h.Sign() <= 0 {
			half[i] = least
		}
	}
	return half
}

// bend reports whether two or more points are left out and all of them lie beyond the
// others, at either end of x.
func bend(left []fit.Outlier, xs []*big.Rat) bool {
	if len(left) < 2 {
		return false
	}
	var low, high *big.Rat // of the others
	for i, x := range xs {
		if slices.ContainsFunc(left, func(o fit.Outlier) bool { return o.Row == i }) {
			continue
		}
		if low == nil || x.Cmp(low) < 0 {
			low = x
		}
		if high == nil || x.Cmp(high) > 0 {
			high = x
		}
	}
	return !slices.ContainsFunc(left, func(o fit.Outlier) bool { return xs[o.Row].Cmp(low) >= 0 && xs[o.Row].Cmp(high) <= 0 })
}

// cells are those of the points used and of the points left out.
func (f *fitted) cells() (used, left []extract.CellID) {
	for _, i := range f.Used {
		used = append(used, f.points[i][f.x].Cell.ID, f.points[i][f.y].Cell.ID)
	}
	for _, o := range f.Left {
		left = append(left, f.points[o.Row][f.x].Cell.ID, f.points[o.Row][f.y].Cell.ID)
	}
	return used, left
}

// record adds a figure of the fit to the report: value, standard error and rounding
// error.
func (r *Report) record(c *curve, f *fitted, name, symbol, unit string, value, standard, rounding float64) *Fit {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return &Fit{}
	}
	used, left := f.cells()
	r.Fits = append(r.Fits, Fit{Subject: c.rec.Subject.Name, Table: c.series.Table.Name, Column: f.points[0][f.y].Column,
		Configs: []normalize.Configuration{c.config}, Name: name, Symbol: symbol, Unit: unit,
		Value: value, StdError: standard, Half: f.Wider(standard, rounding, confidence), Cells: used, LeftOut: left})
	return &r.Fits[len(r.Fits)-1]
}

// recordEfficiency adds e = 1/(pi A k), whose half-width is that of k and of the
// aspect ratio together, to first order.
func (r *Report) recordEfficiency(c *curve, f *fitted, aspect Entry, e float64) *Fit {
	k := f.Coefficients[1]
	fit := r.record(c, f, "span efficiency", "e", "1", e, e*f.StdErrors[1]/k, e*f.Rounding[1]/k)
	fit.Half += e * width(aspect.Datum) / float(aspect.Value)
	fit.Cells = append(fit.Cells, aspect.Cell.ID)
	return fit
}

// one is a curve and the fit to it.
type one struct {
	*curve
	*fitted
}

// pool records what the curves of a table share over their configurations: the
// coefficient of the first power, all others being each curve's own. factor takes it
// to its unit.
func (r *Report) pool(curves []one, name, symbol, unit string, factor float64, shared int) {
	groups := map[string][]one{}
	var order []string
	for _, c := range curves {
		b := c.basis
		key := strings.Join([]string{c.series.Table.ID, c.fitted.points[0][c.y].Column, b.Article, b.ReferenceArea, b.Walls, b.AspectRatioBasis, b.Drag,
			c.first("Reynolds number", b.Reynolds), c.first("Mach number", b.Mach)}, "|")
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], c)
	}
	for _, key := range order {
		list := groups[key]
		if len(list) < 2 {
			continue
		}
		of := Fit{Subject: list[0].rec.Subject.Name, Table: list[0].series.Table.Name, Column: list[0].fitted.points[0][list[0].y].Column,
			Name: name, Symbol: symbol, Unit: unit, Pooled: true}
		var parts []fit.Group
		for _, c := range list {
			var g fit.Group
			half := halfWidths(c.fitted.points, c.y)
			for _, i := range c.Used {
				p := c.fitted.points[i]
				g.X, g.Y, g.Half = append(g.X, p[c.x].Value.Rat()), append(g.Y, p[c.y].Value.Rat()), append(g.Half, half[i])
			}
			parts = append(parts, g)
			used, left := c.cells()
			of.Configs, of.Cells, of.LeftOut = append(of.Configs, c.config), append(of.Cells, used...), append(of.LeftOut, left...)
		}
		p, err := fit.Pool(parts, []int{shared}, []int{0})
		if err != nil {
			continue // the rows of one curve do not determine it apart from the others
		}
		of.Value, of.StdError, of.Chance = factor*p.Shared[0], factor*p.SharedSE[0], p.Chance
		of.Half = p.Wider(of.StdError, factor*p.Rounding[0], confidence)
		of.Doubted = !of.Supported() || slices.ContainsFunc(r.Fits, func(f Fit) bool {
			return f.Doubted && f.Subject == of.Subject && f.Table == of.Table && f.Column == of.Column && f.Name == of.Name
		})
		r.Fits = append(r.Fits, of)
	}
}

// first is a figure that governs the first point of the curve.
func (c *one) first(quantity, ref string) string {
	e := c.fitted.points[0][c.y]
	return e.stateText(quantity, ref)
}
