package press

import (
	"image"
	"image/draw"
	"math"
	"math/rand/v2"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/vector"

	"windtally/extract"
)

// sheet is the forme on the press: ink laid at the final resolution in the frame of
// the page upright, skew and all, so that nothing is resampled.
type sheet struct {
	w, h    int
	ink     []uint8 // 255 is full ink
	k       float64 // pixels per point
	rs, cs  float64 // row and column slope
	face    *face
	damage  Damage
	cases   map[rune][]sortType
	wear    *rand.Rand
	set     *rand.Rand
	raster  *vector.Rasterizer
	mask    *image.Alpha
	missing error          // the first character that could not be set
	glyphs  []extract.Rect // every character printed: the box of its ink
}

// sortType is one cast letter or typebar with its own faults, which repeat wherever
// it prints.
type sortType struct {
	dx, dy, turn float64 // ems, ems, radians
	chips        []chip
}

// chip is a place where the type's face is broken off, in ems.
type chip struct{ x, y, r float64 }

func newSheet(s Spec, f *face, wPt, hPt float64) *sheet {
	k := float64(s.DPI) / 72
	sh := &sheet{w: int(math.Round(wPt * k)), h: int(math.Round(hPt * k)), k: k, rs: s.Damage.RowSlope, cs: s.Damage.ColumnSlope,
		face: f, damage: s.Damage, cases: map[rune][]sortType{}, wear: chance(s.Seed, chanceWear), set: chance(s.Seed, chanceSet), raster: vector.NewRasterizer(1, 1)}
	sh.ink = make([]uint8, sh.w*sh.h)
	return sh
}

// at maps a point of the flat page, in points, to pixels of the sheet: rows run down
// by the row slope and columns lean by the column slope about the page's middle.
func (s *sheet) at(x, y float64) (float64, float64) {
	cx, cy := float64(s.w)/2, float64(s.h)/2
	dx, dy := x*s.k-cx, y*s.k-cy
	return cx + dx + s.cs*dy, cy + dy + s.rs*dx
}

// pick takes a sort of r from the case, which is filled when first needed. Wear is
// drawn from its own stream in the order in which characters first appear.
func (s *sheet) pick(r rune, o *outline) *sortType {
	types, ok := s.cases[r]
	if !ok {
		n := 14
		if s.face.Typewriter {
			n = 1
		}
		types = make([]sortType, n)
		for i := range types {
			t := &types[i]
			t.dx = s.wear.NormFloat64() * 0.006
			t.dy = s.wear.NormFloat64() * s.damage.Jitter * 0.6
			t.turn = s.wear.NormFloat64() * s.damage.Tilt * math.Pi / 180
			if s.wear.Float64() < s.damage.Worn {
				for range 1 + s.wear.IntN(2) {
					// On the outline, for it is the edges that break off.
					if len(o.segs) == 0 {
						break
					}
					p := o.segs[s.wear.IntN(len(o.segs))].p[0]
					// A point or a minus is never chipped away: no reader could be asked for it.
					thin := math.Min(o.x1-o.x0, o.y1-o.y0)
					t.chips = append(t.chips, chip{p[0], p[1], math.Min(0.3*thin, s.damage.Chip*(0.6+0.8*s.wear.Float64()))})
				}
			}
		}
		s.cases[r] = types
	}
	return &types[s.set.IntN(len(types))]
}

// print lays one character with its left edge at x and its baseline at y, both in
// points, and returns the box of its ink in pixels.
func (s *sheet) print(r rune, x, y, size float64) extract.Rect {
	o, err := s.face.glyph(r)
	if err != nil {
		if s.missing == nil {
			s.missing = err
		}
		return extract.Rect{}
	}
	if len(o.segs) == 0 {
		return extract.Rect{}
	}
	t := s.pick(r, o)
	em := size * s.face.Scale * s.k
	sin, cos := math.Sincos(t.turn)
	jx, jy := t.dx, t.dy+s.set.NormFloat64()*s.damage.Jitter*0.4
	ox, oy := s.at(x, y)
	// ems to pixels: the sort's own tilt and place, then the page's shear.
	to := func(p [2]float64) (float64, float64) {
		u, v := cos*p[0]-sin*p[1]+jx, sin*p[0]+cos*p[1]+jy
		return ox + em*(u+s.cs*v), oy + em*(v+s.rs*u)
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, c := range [4][2]float64{{o.x0, o.y0}, {o.x1, o.y0}, {o.x0, o.y1}, {o.x1, o.y1}} {
		px, py := to(c)
		x0, x1 = math.Min(x0, px), math.Max(x1, px)
		y0, y1 = math.Min(y0, py), math.Max(y1, py)
	}
	left, top := int(math.Floor(x0))-1, int(math.Floor(y0))-1
	w, h := int(math.Ceil(x1))+1-left, int(math.Ceil(y1))+1-top
	if s.mask == nil || cap(s.mask.Pix) < w*h {
		s.mask = image.NewAlpha(image.Rect(0, 0, w, h))
	}
	m := &image.Alpha{Pix: s.mask.Pix[:w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}
	clear(m.Pix)
	s.raster.Reset(w, h)
	s.raster.DrawOp = draw.Src
	pt := func(p [2]float64) (float32, float32) {
		px, py := to(p)
		return float32(px - float64(left)), float32(py - float64(top))
	}
	for _, g := range o.segs {
		ax, ay := pt(g.p[0])
		switch g.op {
		case sfnt.SegmentOpMoveTo:
			s.raster.ClosePath()
			s.raster.MoveTo(ax, ay)
		case sfnt.SegmentOpLineTo:
			s.raster.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			bx, by := pt(g.p[1])
			s.raster.QuadTo(ax, ay, bx, by)
		case sfnt.SegmentOpCubeTo:
			bx, by := pt(g.p[1])
			cx, cy := pt(g.p[2])
			s.raster.CubeTo(ax, ay, bx, by, cx, cy)
		}
	}
	s.raster.ClosePath()
	s.raster.Draw(m, m.Rect, image.Opaque, image.Point{})

	box := inkBox(m, left, top)
	s.glyphs = append(s.glyphs, box)
	for _, c := range t.chips {
		px, py := to([2]float64{c.x, c.y})
		gouge(m, px-float64(left), py-float64(top), c.r*em, 0)
	}
	if s.set.Float64() < s.damage.Break {
		s.breakStroke(m)
	}
	for yy := range h {
		if top+yy < 0 || top+yy >= s.h {
			continue
		}
		for xx := range w {
			if left+xx < 0 || left+xx >= s.w {
				continue
			}
			a := uint32(m.Pix[yy*w+xx])
			if a == 0 {
				continue
			}
			p := &s.ink[(top+yy)*s.w+left+xx]
			*p = uint8(255 - (255-uint32(*p))*(255-a)/255)
		}
	}
	return box
}

func inkBox(m *image.Alpha, left, top int) extract.Rect {
	x0, y0, x1, y1 := m.Rect.Dx(), m.Rect.Dy(), 0, 0
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if m.Pix[y*m.Stride+x] >= 64 {
				x0, x1 = min(x0, x), max(x1, x+1)
				y0, y1 = min(y0, y), max(y1, y+1)
			}
		}
	}
	if x1 == 0 {
		return extract.Rect{}
	}
	return extract.Rect{X0: float64(left + x0), Y0: float64(top + y0), X1: float64(left + x1), Y1: float64(top + y1)}
}

// gouge takes ink away within r of the point, softly at the edge.
func gouge(m *image.Alpha, x, y, r float64, angle float64) {
	for py := max(0, int(y-r-1)); py <= min(m.Rect.Dy()-1, int(y+r+1)); py++ {
		for px := max(0, int(x-r-1)); px <= min(m.Rect.Dx()-1, int(x+r+1)); px++ {
			d := math.Hypot(float64(px)+0.5-x, float64(py)+0.5-y)
			keep := math.Min(1, math.Max(0, d-r+0.5))
			p := &m.Pix[py*m.Stride+px]
			*p = uint8(float64(*p) * keep)
		}
	}
}

// breakStroke takes a narrow band of ink out of one stroke of the glyph.
func (s *sheet) breakStroke(m *image.Alpha) {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	for range 30 {
		x, y := s.set.IntN(w), s.set.IntN(h)
		if m.Pix[y*w+x] < 128 {
			continue
		}
		sin, cos := math.Sincos(math.Pi * s.set.Float64())
		half := 0.5 * s.damage.Gap / 1000 * 72 * s.k
		reach := 0.006 * 72 * s.k // a stroke's breadth
		for py := range h {
			for px := range w {
				dx, dy := float64(px-x), float64(py-y)
				if math.Abs(dx*cos+dy*sin) > reach {
					continue
				}
				keep := math.Min(1, math.Max(0, math.Abs(dy*cos-dx*sin)-half+0.5))
				p := &m.Pix[py*w+px]
				*p = uint8(float64(*p) * keep)
			}
		}
		return
	}
}

// rule prints a straight rule by its middle line; all in points. Brass rules are
// worn too: they lack ink here and there.
func (s *sheet) rule(x0, y0, x1, y1, thick float64) {
	level := x1-x0 >= y1-y0
	at := 0.0
	length := math.Max(x1-x0, y1-y0)
	for at < length {
		run := 60 + 200*s.set.Float64()
		if s.damage.Break == 0 && s.damage.Worn == 0 {
			run = length
		}
		to := math.Min(length, at+run)
		if level {
			s.bar(x0+at, y0-thick/2, x0+to, y0+thick/2)
		} else {
			s.bar(x0-thick/2, y0+at, x0+thick/2, y0+to)
		}
		at = to + 0.25 + 0.6*s.set.Float64()
	}
}

// bar fills a rectangle of the flat page.
func (s *sheet) bar(x0, y0, x1, y1 float64) {
	var c [4][2]float64
	lx, ly, hx, hy := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i, p := range [4][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
		c[i][0], c[i][1] = s.at(p[0], p[1])
		lx, hx = math.Min(lx, c[i][0]), math.Max(hx, c[i][0])
		ly, hy = math.Min(ly, c[i][1]), math.Max(hy, c[i][1])
	}
	left, top := int(math.Floor(lx)), int(math.Floor(ly))
	w, h := int(math.Ceil(hx))-left+1, int(math.Ceil(hy))-top+1
	m := image.NewAlpha(image.Rect(0, 0, w, h))
	s.raster.Reset(w, h)
	s.raster.DrawOp = draw.Src
	for i, p := range c {
		x, y := float32(p[0]-float64(left)), float32(p[1]-float64(top))
		if i == 0 {
			s.raster.MoveTo(x, y)
		} else {
			s.raster.LineTo(x, y)
		}
	}
	s.raster.ClosePath()
	s.raster.Draw(m, m.Rect, image.Opaque, image.Point{})
	for yy := range h {
		for xx := range w {
			if x, y := left+xx, top+yy; x >= 0 && y >= 0 && x < s.w && y < s.h {
				p := &s.ink[y*s.w+x]
				*p = max(*p, m.Pix[yy*w+xx])
			}
		}
	}
}
