// Package scan makes a page image ready to be read: grey, levelled, upright, its
// skew measured, its rules taken out and kept as geometry.
//
// Three frames are in use. The seen frame is that of extract.Rect: the page as the
// file shows it, in points for paged sources and in pixels for images; places are
// stored in it. The sheet frame is the pixels of Sheet.Ink: the page turned by a
// quarter turn, or none, so that its print stands upright; nothing is resampled.
// The flat frame is the sheet frame without skew: a shear of the two axes, so that
// rows are level and columns are plumb in it.
package scan

import (
	"math"

	"windtally/extract"
)

// Sheet is a page image made ready. Ink is stored row by row: 0 is paper, 255 is
// full ink. Rules have been taken out of it.
type Sheet struct {
	Page    int     // of the source, from 1
	DPI     float64 // dots per inch; 0 where nothing says it
	Unit    float64 // seen units per pixel: 72/DPI for paged sources, 1 for images
	W, H    int
	Ink     []uint8
	Bilevel bool // the scan has two levels alone
	// Turn is the clockwise quarter turn, in degrees, that brings the page as seen
	// upright: 0, 90, 180 or 270.
	Turn int
	// Feet and Heads count the points that stand at the feet and at the heads of
	// figures, where Prepare found the turn out by them: half a turn exchanges them.
	Feet, Heads int
	// RowSlope is dy/dx of printed rows and ColumnSlope is dx/dy of printed columns
	// in the sheet frame; on a scan they differ, for it is sheared and not only turned.
	RowSlope, ColumnSlope float64
	Rules                 []Rule
	// Unreadable says why the page cannot be read, or is "".
	Unreadable string
}

// Rule is a printed straight line in the sheet frame, by its middle line.
type Rule struct {
	X0, Y0, X1, Y1 float64
	Thick          float64 // pixels
}

// Level reports whether the rule is horizontal rather than vertical.
func (r Rule) Level() bool { return math.Abs(r.X1-r.X0) >= math.Abs(r.Y1-r.Y0) }

// At returns the ink of the pixel, 0 outside the sheet.
func (s *Sheet) At(x, y int) uint8 {
	if x < 0 || y < 0 || x >= s.W || y >= s.H {
		return 0
	}
	return s.Ink[y*s.W+x]
}

// Flat maps a point of the sheet frame into the flat frame. The middle of the sheet
// stays where it is.
func (s *Sheet) Flat(x, y float64) (fx, fy float64) {
	cx, cy := float64(s.W)/2, float64(s.H)/2
	dx, dy := x-cx, y-cy
	// (dx, dy) = fx' * (1, RowSlope) + fy' * (ColumnSlope, 1)
	det := 1 - s.RowSlope*s.ColumnSlope
	return cx + (dx-s.ColumnSlope*dy)/det, cy + (dy-s.RowSlope*dx)/det
}

// Sheet maps a point of the flat frame into the sheet frame.
func (s *Sheet) Sheet(fx, fy float64) (x, y float64) {
	cx, cy := float64(s.W)/2, float64(s.H)/2
	dx, dy := fx-cx, fy-cy
	return cx + dx + s.ColumnSlope*dy, cy + dy + s.RowSlope*dx
}

// Seen maps a point of the sheet frame into the seen frame.
func (s *Sheet) Seen(x, y float64) (sx, sy float64) {
	w, h := float64(s.W), float64(s.H)
	switch s.Turn {
	case 90: // the seen page was turned clockwise: its left edge became the top
		x, y = y, w-x
	case 180:
		x, y = w-x, h-y
	case 270:
		x, y = h-y, x
	}
	return x * s.Unit, y * s.Unit
}

// FromSeen maps a point of the seen frame into the sheet frame.
func (s *Sheet) FromSeen(sx, sy float64) (x, y float64) {
	x, y = sx/s.Unit, sy/s.Unit
	w, h := float64(s.W), float64(s.H)
	switch s.Turn {
	case 90:
		x, y = w-y, x
	case 180:
		x, y = w-x, h-y
	case 270:
		x, y = y, h-x
	}
	return x, y
}

// SeenSize returns the width and height of the page in the seen frame.
func (s *Sheet) SeenSize() (w, h float64) {
	if s.Turn == 90 || s.Turn == 270 {
		return float64(s.H) * s.Unit, float64(s.W) * s.Unit
	}
	return float64(s.W) * s.Unit, float64(s.H) * s.Unit
}

// SeenOfFlat returns the smallest seen rectangle that holds a rectangle of the flat
// frame: its place.
func (s *Sheet) SeenOfFlat(r extract.Rect) extract.Rect {
	return bounds(r, func(x, y float64) (float64, float64) { return s.Seen(s.Sheet(x, y)) })
}

// FlatOfSeen returns the rectangle of the flat frame with the middle and the extent
// of a seen one, the quarter turn undone. For a rectangle as tall as a table this is
// nearer to what a person meant than its bounds, which grow with the skew.
func (s *Sheet) FlatOfSeen(r extract.Rect) extract.Rect {
	fx, fy := s.Flat(s.FromSeen(r.MidX(), r.MidY()))
	w, h := r.Width()/s.Unit, r.Height()/s.Unit
	if s.Turn == 90 || s.Turn == 270 {
		w, h = h, w
	}
	return extract.Rect{X0: fx - w/2, Y0: fy - h/2, X1: fx + w/2, Y1: fy + h/2}
}

func bounds(r extract.Rect, to func(x, y float64) (float64, float64)) extract.Rect {
	out := extract.Rect{X0: math.Inf(1), Y0: math.Inf(1), X1: math.Inf(-1), Y1: math.Inf(-1)}
	for _, c := range [4][2]float64{{r.X0, r.Y0}, {r.X1, r.Y0}, {r.X0, r.Y1}, {r.X1, r.Y1}} {
		x, y := to(c[0], c[1])
		out.X0, out.X1 = math.Min(out.X0, x), math.Max(out.X1, x)
		out.Y0, out.Y1 = math.Min(out.Y0, y), math.Max(out.Y1, y)
	}
	return out
}

// Mark is one connected patch of ink: a letter, a figure, a point, a piece of a
// broken one, several that touch, or dirt.
type Mark struct {
	X0, Y0, X1, Y1 int // sheet pixels, X1 and Y1 excluded
	Area           int // pixels of ink
	// Flat box: the middle of the mark in the flat frame with its width and height.
	Box extract.Rect
}

// Width and Height are those in pixels.
func (m Mark) Width() int  { return m.X1 - m.X0 }
func (m Mark) Height() int { return m.Y1 - m.Y0 }

// Marks is the ink of a sheet cut into connected patches (eight neighbours).
type Marks struct {
	List []Mark
	// Of gives for every pixel of the sheet the index of its mark plus one, 0 for
	// paper.
	Of []int32
	// Level is the ink level at which they were cut.
	Level uint8
}

// Cut cuts the ink at the level into marks, in the order of their first pixel from
// the top.
func (s *Sheet) Cut(level uint8) *Marks {
	m := &Marks{Of: make([]int32, len(s.Ink)), Level: level}
	parent := []int32{0}
	find := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	for y := 0; y < s.H; y++ {
		row := y * s.W
		for x := 0; x < s.W; x++ {
			i := row + x
			if s.Ink[i] < level {
				continue
			}
			var at int32
			join := func(j int) {
				o := m.Of[j]
				if o == 0 {
					return
				}
				o = find(o)
				switch {
				case at == 0:
					at = o
				case o < at:
					parent[at] = o
					at = o
				case o > at:
					parent[o] = at
				}
			}
			if x > 0 {
				join(i - 1)
			}
			if y > 0 {
				if x > 0 {
					join(i - s.W - 1)
				}
				join(i - s.W)
				if x+1 < s.W {
					join(i - s.W + 1)
				}
			}
			if at == 0 {
				at = int32(len(parent))
				parent = append(parent, at)
			}
			m.Of[i] = at
		}
	}
	index := make([]int32, len(parent))
	for i, o := range m.Of {
		if o == 0 {
			continue
		}
		root := find(o)
		x, y := i%s.W, i/s.W
		if index[root] == 0 {
			m.List = append(m.List, Mark{X0: x, Y0: y, X1: x + 1, Y1: y + 1})
			index[root] = int32(len(m.List))
		}
		k := index[root]
		m.Of[i] = k
		e := &m.List[k-1]
		e.X0, e.X1, e.Y1 = min(e.X0, x), max(e.X1, x+1), y+1
		e.Area++
	}
	for i := range m.List {
		e := &m.List[i]
		fx, fy := s.Flat(float64(e.X0+e.X1)/2, float64(e.Y0+e.Y1)/2)
		w, h := float64(e.X1-e.X0)/2, float64(e.Y1-e.Y0)/2
		e.Box = extract.Rect{X0: fx - w, Y0: fy - h, X1: fx + w, Y1: fy + h}
	}
	return m
}
