package pdf

import (
	"math"

	"windtally/extract"
)

const (
	maxThick  = 2.5     // points; a filled rectangle that is thicker is a bar, not a rule
	minLong   = 3.0     // points; shorter strokes are dots, ticks and parts of letters
	maxSlope  = 0.01    // a straight line that leans more is part of a drawing
	maxRules  = 20000   // a page; beyond it the page is a drawing
	maxPoints = 200_000 // path points looked at on a page, for the same reason
	maxNest   = 16      // depth of forms within forms
)

// matrix maps x, y to a*x + c*y + e, b*x + d*y + f.
type matrix struct{ a, b, c, d, e, f float64 }

func (m matrix) point(x, y float64) (float64, float64) {
	return m.a*x + m.c*y + m.e, m.b*x + m.d*y + m.f
}

// then returns the map that applies m first and n after it.
func (m matrix) then(n matrix) matrix {
	return matrix{
		m.a*n.a + m.b*n.c, m.a*n.b + m.b*n.d,
		m.c*n.a + m.d*n.c, m.c*n.b + m.d*n.d,
		m.e*n.a + m.f*n.c + n.e, m.e*n.b + m.f*n.d + n.f,
	}
}

type point struct{ x, y float64 }

// outline is one subpath in the seen frame.
type outline struct {
	points []point
	closed bool
	curved bool
}

// rules returns the straight horizontal and vertical lines that an outline
// prints: its sides where it is stroked, its middle where it is a filled bar.
func (o outline) rules(filled, stroked bool) []extract.Rule {
	if o.curved || len(o.points) < 2 {
		return nil
	}
	x0, y0 := math.Inf(1), math.Inf(1)
	x1, y1 := math.Inf(-1), math.Inf(-1)
	for _, p := range o.points {
		x0, y0 = math.Min(x0, p.x), math.Min(y0, p.y)
		x1, y1 = math.Max(x1, p.x), math.Max(y1, p.y)
	}
	w, h := x1-x0, y1-y0
	if filled && len(o.points) <= 6 && o.upright() {
		switch {
		case h <= maxThick && w >= minLong && w > 3*h:
			return []extract.Rule{across(x0, x1, (y0+y1)/2)}
		case w <= maxThick && h >= minLong && h > 3*w:
			return []extract.Rule{down((x0+x1)/2, y0, y1)}
		}
	}
	if !stroked {
		return nil
	}
	var out []extract.Rule
	side := func(p, q point) {
		dx, dy := math.Abs(p.x-q.x), math.Abs(p.y-q.y)
		switch {
		case dx >= minLong && dy <= maxSlope*dx:
			out = append(out, across(math.Min(p.x, q.x), math.Max(p.x, q.x), (p.y+q.y)/2))
		case dy >= minLong && dx <= maxSlope*dy:
			out = append(out, down((p.x+q.x)/2, math.Min(p.y, q.y), math.Max(p.y, q.y)))
		}
	}
	for i := 1; i < len(o.points); i++ {
		side(o.points[i-1], o.points[i])
	}
	if last := o.points[len(o.points)-1]; o.closed && last != o.points[0] && len(o.points) > 2 {
		side(last, o.points[0])
	}
	return out
}

// upright reports whether every side is horizontal or vertical.
func (o outline) upright() bool {
	const slack = 0.05 // points
	for i := range o.points {
		p, q := o.points[i], o.points[(i+1)%len(o.points)]
		if math.Abs(p.x-q.x) > slack && math.Abs(p.y-q.y) > slack {
			return false
		}
	}
	return true
}

func two(v float64) float64 { return math.Round(v*100) / 100 }

func across(x0, x1, y float64) extract.Rule {
	return extract.Rule{X0: two(x0), Y0: two(y), X1: two(x1), Y1: two(y)}
}

func down(x, y0, y1 float64) extract.Rule {
	return extract.Rule{X0: two(x), Y0: two(y0), X1: two(x), Y1: two(y1)}
}
