package sorts

import (
	"math"
	"slices"

	"windtally/extract"
	"windtally/extract/scan"
)

// Slot is the room of one cell in the flat frame: the column's width by the row's
// height, reaching half-way to its neighbours.
type Slot struct {
	Row, Column int
	Room        extract.Rect // flat pixels
	// Baseline is the foot of the row's figures, at the middle of the slot.
	Baseline float64
}

// kind sorts glyphs by their size and height above the baseline alone.
type kind uint8

const (
	figure kind = iota // as high as a figure
	point              // small, at the foot
	comma              // small, through the foot
	minus              // flat, half-way up
	raised             // small, at the head: a footnote mark, an apostrophe
	scrap              // none of these
)

// glyph is one piece of print in a cell, cut out by geometry alone.
type glyph struct {
	slot int
	kind kind
	// x0, x1 bound it in sheet pixels; all its ink belongs to marks.
	x0, x1, y0, y1 int
	marks          []int32
	area           int
	split          bool // cut out of figures that touch
	foot           float64

	fine  []float32 // the mask
	of    *sort     // the group that it is in
	votes []byte    // what other readers take it for
	// The reading: the name of the nearest sort, how like it is, the margin to the
	// nearest of another name, and how pure the sort's votes are.
	name, rival  byte
	like, margin float64
	sort         *sort // the nearest
}

func (g *glyph) width() float64  { return float64(g.x1 - g.x0) }
func (g *glyph) height() float64 { return float64(g.y1 - g.y0) }
func (g *glyph) mid() float64    { return float64(g.x0+g.x1) / 2 }

// fount is what the figures of a table measure, in pixels.
type fount struct {
	height float64 // of a figure
	pitch  float64 // from figure to figure
	width  float64 // usual ink width of a figure
	point  float64 // usual area of a point; 0 where there are none
	gap    float64 // usual white between figures that do not touch
	minus  float64 // usual width of a minus sign or dash; 0 where there are none
}

// cutter cuts the slots of one sheet into glyphs.
type cutter struct {
	sheet *scan.Sheet
	marks *scan.Marks
	slots []Slot
	of    [][]int32 // marks of each slot
	fount fount
	foot  []float64 // of each slot, flat
}

func newCutter(s *scan.Sheet, m *scan.Marks, slots []Slot) *cutter {
	c := &cutter{sheet: s, marks: m, slots: slots, of: make([][]int32, len(slots)), foot: make([]float64, len(slots))}
	c.assign()
	c.measure()
	c.share()
	return c
}

// assign gives every mark to the slot in which its middle lies.
func (c *cutter) assign() {
	// A coarse grid of cells finds the slots near a mark.
	const step = 64
	type key struct{ x, y int }
	near := map[key][]int{}
	for i, s := range c.slots {
		for y := int(s.Room.Y0) / step; y <= int(s.Room.Y1)/step; y++ {
			for x := int(s.Room.X0) / step; x <= int(s.Room.X1)/step; x++ {
				near[key{x, y}] = append(near[key{x, y}], i)
			}
		}
	}
	for i := range c.marks.List {
		b := c.marks.List[i].Box
		x, y := b.MidX(), b.MidY()
		for _, s := range near[key{int(x) / step, int(y) / step}] {
			if c.slots[s].Room.Contains(x, y) {
				c.of[s] = append(c.of[s], int32(i))
				break
			}
		}
	}
	for _, list := range c.of {
		slices.SortFunc(list, func(a, b int32) int { return c.marks.List[a].X0 - c.marks.List[b].X0 })
	}
}

// share gives a mark that is higher than a figure to every slot that it reaches into:
// figures of two rows that touch are lost to none of them without a doubt.
func (c *cutter) share() {
	h := c.fount.height
	if h == 0 {
		return
	}
	var high []int32
	for k := range c.marks.List {
		if c.marks.List[k].Box.Height() >= 1.35*h {
			high = append(high, int32(k))
		}
	}
	for i, s := range c.slots {
		for _, k := range high {
			b := c.marks.List[k].Box
			if b.MidX() < s.Room.X0 || b.MidX() >= s.Room.X1 || math.Min(b.Y1, s.Room.Y1)-math.Max(b.Y0, s.Room.Y0) < 0.3*h {
				continue
			}
			if !slices.Contains(c.of[i], k) {
				c.of[i] = append(c.of[i], k)
			}
		}
	}
}

// measure finds the height and the pitch of the figures and the foot of each cell.
func (c *cutter) measure() {
	var heights []float64
	for i, list := range c.of {
		room := c.slots[i].Room.Height()
		for _, k := range list {
			m := c.marks.List[k]
			if h := float64(m.Height()); h >= 7 && h <= room*1.1 && float64(m.Width()) < 8*h && float64(m.Width()) > 0.2*h {
				heights = append(heights, h)
			}
		}
	}
	c.fount.height = mode(heights, 0.08)
	h := c.fount.height
	if h == 0 {
		return
	}
	var widths []float64
	var steps []step
	var skips []float64         // from a piece to the next but one
	rows := map[int][]float64{} // highest foot of each cell
	words, hanging := 0, 0      // cells with feet, and those with feet apart
	for i, list := range c.of {
		var feet, sound []float64
		var last, before *scan.Mark
		for _, k := range list {
			m := &c.marks.List[k]
			if float64(m.Height()) < 0.75*h || float64(m.Height()) > 1.3*h {
				if !c.dusty(m) {
					last, before = nil, nil // a point stands between, or one of the two is broken
				}
				continue
			}
			feet = append(feet, m.Box.Y1)
			if float64(m.Height()) > 0.88*h { // a broken figure may lack its foot
				sound = append(sound, m.Box.Y1)
			}
			w := float64(m.Width())
			widths = append(widths, w)
			if w > 1.15*h {
				last, before = nil, nil
				continue
			}
			if last != nil {
				steps = append(steps, step{m.Box.MidX() - last.Box.MidX(), math.Min(w, float64(last.Width()))})
			}
			if before != nil {
				skips = append(skips, m.Box.MidX()-before.Box.MidX())
			}
			last, before = m, last
		}
		c.foot[i] = c.slots[i].Baseline
		switch {
		case len(sound) > 0:
			c.foot[i] = median(sound)
		case len(feet) > 0 && math.Abs(median(feet)-c.foot[i]) < 0.1*h:
			c.foot[i] = median(feet)
		}
		if len(sound) > 1 {
			words++
			if slices.Max(sound)-slices.Min(sound) > 0.11*h-0.2 { // two pixels at 200 dpi
				hanging++
			}
		}
		if len(sound) > 0 {
			rows[c.slots[i].Row] = append(rows[c.slots[i].Row], slices.Min(sound))
		}
	}
	// In some founts 3, 4, 5, 7 and 9 hang below the foot of the others. There the foot of
	// a cell is that of its row, for a cell may have none of the others.
	if base := map[int]float64{}; 10*hanging > 4*words {
		for row, feet := range rows {
			base[row] = median(feet)
		}
		for i, s := range c.slots {
			if y, ok := base[s.Row]; ok {
				c.foot[i] = y
			}
		}
	}
	c.fount.pitch, c.fount.width = pitch(widths, steps, skips, h)
	c.fount.gap = math.Max(0, c.fount.pitch-c.fount.width)
	var areas, dashes []float64
	for i, list := range c.of {
		// Where several stand in a cell they are a leader's.
		n, area := 0, 0.0
		for _, k := range list {
			m := &c.marks.List[k]
			switch k := c.kind(m.Box, c.foot[i]); {
			case k == point && float64(m.Area) > 0.008*h*h:
				n, area = n+1, float64(m.Area)
			case k == minus:
				dashes = append(dashes, float64(m.Width()))
			}
		}
		if n == 1 {
			areas = append(areas, area)
		}
	}
	if len(dashes) >= 5 {
		slices.Sort(dashes)
		c.fount.minus = dashes[len(dashes)*9/10] // broken ones are shorter
	}
	if len(areas) >= 5 {
		c.fount.point = mode(areas, 0.25)
	}
}

// pointOff is how far from the foot of the figures a point may end, in their height:
// on made pages points end up to 0.10 below it and commas from 0.14.
const pointOff = 0.12

// kind sorts a piece by its box in the flat frame.
func (c *cutter) kind(b extract.Rect, foot float64) kind {
	h := c.fount.height
	w, t := b.Width(), b.Height()
	up := foot - b.Y1 // how far its bottom stands above the foot
	mid := foot - b.MidY()
	switch {
	case t >= 0.7*h && t <= 1.35*h && math.Abs(up) < 0.35*h:
		return figure
	case t <= 0.42*h && w <= 0.5*h && math.Abs(up) < pointOff*h && w < 2*t:
		return point
	case t <= 0.6*h && t > w && w <= 0.5*h && up <= -pointOff*h && up > -0.4*h && mid > -0.2*h,
		t > 0.42*h && t <= 0.6*h && t > 1.25*w && w <= 0.4*h && up <= -0.05*h && up > -0.4*h: // a typewriter's
		return comma
	case t <= 0.3*h && w >= 0.28*h && w <= 1.6*h && mid > 0.15*h && mid < 0.75*h && w > 1.4*t:
		return minus
	case t <= 0.75*h && up > 0.25*h:
		return raised
	}
	return scrap
}

// kindOf sorts a glyph by its box.
func (c *cutter) kindOf(g *glyph) kind {
	x, y := c.sheet.Flat(g.mid(), float64(g.y0+g.y1)/2)
	return c.kind(extract.Rect{X0: x - g.width()/2, X1: x + g.width()/2, Y0: y - g.height()/2, Y1: y + g.height()/2}, g.foot)
}

// placed reports whether two figures of one word stand d pixels apart as figures do:
// at the pitch, or wider where a point or a comma parts them.
func (f fount) placed(d float64, parted bool) bool {
	if parted {
		return d >= 1.2*f.pitch && d <= 3*f.pitch
	}
	return d >= f.pitch*(1-mostOff) && d <= f.pitch*(1+mostOff)
}

// step is from one figure to the next; width is that of the narrower.
type step struct{ length, width float64 }

// pitch finds the distance from figure to figure, and their usual width, from the
// steps between single figures and from the widths of figures that touch. Where most
// figures have lost their thin strokes and are two sides, it is the step from a side to
// the next but one.
func pitch(widths []float64, steps []step, skips []float64, h float64) (p, width float64) {
	var single []float64
	narrow := 0 // a 1, or the side of a broken figure
	for _, w := range widths {
		switch {
		case w < 0.42*h:
			narrow++
		case w <= 0.95*h:
			single = append(single, w)
		}
	}
	// Figures of equal width are set 0.7 to 1.05 of their height apart; condensed type is
	// nearer (common practice, no source). Strokes of broken figures are nearer still.
	least := 0.55 * h
	if 3*len(single) >= len(widths)-narrow && len(single) > 0 {
		// The 1 is narrow, and in many tables the most frequent figure.
		slices.Sort(single)
		width = single[len(single)*3/4]
		least = 0.97 * width
	}
	sides := 4*narrow > 3*len(widths)
	best := math.Inf(-1)
	for q := least; q <= 1.25*h; q += 0.01 * h {
		score := 0.0
		if sides {
			for _, s := range skips {
				if e := math.Abs(s-q) / (0.08 * h); e < 1 {
					score += 1 - e*e
				}
			}
		}
		for _, s := range steps {
			if s.width < 0.7*width || sides {
				continue // half of a broken figure, or a 1
			}
			if e := math.Abs(s.length-q) / (0.08 * h); e < 1 {
				score += 1 - e*e
			}
		}
		gap := 0.08 * h
		if width > 0 {
			gap = q - width
		}
		for _, w := range widths {
			n := math.Round((w + gap) / q)
			if n < 2 || n > 7 {
				continue
			}
			if e := math.Abs(w+gap-n*q) / (0.12 * h); e < 1 {
				score += (1 - e*e) * 0.5 * math.Min(n, 3)
			}
		}
		if score > best {
			best, p = score, q
		}
	}
	if width == 0 {
		width = p - 0.08*h
	}
	return p, width
}

// glyphs cuts one slot.
func (c *cutter) glyphs(slot int) []*glyph {
	if c.fount.height == 0 {
		return nil
	}
	foot := c.foot[slot]
	var pieces []*glyph
	for _, k := range c.of[slot] {
		m := &c.marks.List[k]
		if c.dusty(m) {
			continue
		}
		pieces = append(pieces, &glyph{slot: slot, kind: c.kind(m.Box, foot), x0: m.X0, x1: m.X1, y0: m.Y0, y1: m.Y1, marks: []int32{k}, area: m.Area, foot: foot})
	}
	var out []*glyph
	for _, g := range c.join(pieces) {
		if g.kind == figure {
			out = append(out, c.split(g)...)
		} else {
			out = append(out, g)
		}
	}
	slices.SortFunc(out, func(a, b *glyph) int { return a.x0 + a.x1 - b.x0 - b.x1 })
	return c.recut(out)
}

// recut cuts a run of figures anew, as one stroke of ink, where two stand nearer than
// figures can: halves of broken figures that touch their neighbours look like figures.
func (c *cutter) recut(list []*glyph) []*glyph {
	var out []*glyph
	for len(list) > 0 {
		n, near := 1, false
		for list[0].kind == figure && n < len(list) && list[n].kind == figure {
			near = near || list[n].mid()-list[n-1].mid() < 0.75*c.fount.pitch
			n++
		}
		run := list[:n]
		list = list[n:]
		if !near {
			out = append(out, run...)
			continue
		}
		whole := *run[0]
		for _, g := range run[1:] {
			whole.x0, whole.x1 = min(whole.x0, g.x0), max(whole.x1, g.x1)
			whole.y0, whole.y1 = min(whole.y0, g.y0), max(whole.y1, g.y1)
			for _, k := range g.marks {
				if !slices.Contains(whole.marks, k) {
					whole.marks = append(slices.Clone(whole.marks), k)
				}
			}
		}
		parts := c.split(&whole)
		if w := whole.width() + c.fount.gap; math.Abs(w-math.Round(w/c.fount.pitch)*c.fount.pitch) > 0.25*c.fount.pitch || slices.ContainsFunc(parts, func(g *glyph) bool { return g.kind != figure }) {
			parts = run
		}
		out = append(out, parts...)
	}
	return out
}

// dusty reports whether a mark is too small to be even a worn point.
func (c *cutter) dusty(m *scan.Mark) bool {
	h := c.fount.height
	limit := 0.006 * h * h
	if c.fount.point > 0 {
		limit = 0.22 * c.fount.point
	}
	return float64(m.Area) < math.Max(2, limit)
}

// join puts together the pieces of broken figures: those that stand over one
// another, or a scrap that leans on a figure.
func (c *cutter) join(list []*glyph) []*glyph {
	h := c.fount.height
	for {
		joined := false
		for i := 0; i < len(list) && !joined; i++ {
			for j := i + 1; j < len(list) && !joined; j++ {
				a, b := list[i], list[j]
				if a.kind == point && b.kind == point {
					continue
				}
				together := math.Max(float64(a.x1), float64(b.x1)) - math.Min(float64(a.x0), float64(b.x0))
				// Two strokes nearer than two figures can stand are the sides of one.
				halves := a.kind == figure && b.kind == figure && math.Abs(a.mid()-b.mid()) < 0.62*c.fount.pitch && together <= 1.12*c.fount.width
				over := math.Min(float64(a.x1), float64(b.x1)) - math.Max(float64(a.x0), float64(b.x0))
				narrow := math.Min(a.width(), b.width())
				// Pieces side by side are one figure where together they are no wider
				// than one and a hair apart.
				beside := over > -0.16*h && !c.stands(a) && !c.stands(b) && together <= 1.08*c.fount.width
				// A broken dash: its pieces lie in one line.
				dash := c.flat(a) && c.flat(b) && over > -0.2*h && together <= math.Max(1.2*c.fount.minus, 0.9*h) && math.Abs(float64(a.y0+a.y1-b.y0-b.y1)) < 0.16*h
				if (over < 0.4*narrow || over <= 0) && !beside && !halves && !dash {
					continue
				}
				top, bottom := min(a.y0, b.y0), max(a.y1, b.y1)
				if float64(bottom-top) > 1.3*h {
					continue
				}
				if !beside && !halves && over < 0.4*narrow && (a.kind == figure && b.small() || b.kind == figure && a.small()) {
					continue
				}
				a.x0, a.x1, a.y0, a.y1 = min(a.x0, b.x0), max(a.x1, b.x1), top, bottom
				a.marks = append(a.marks, b.marks...)
				a.area += b.area
				a.kind = c.kindOf(a)
				list = slices.Delete(list, j, j+1)
				joined = true
			}
		}
		if !joined {
			return list
		}
	}
}

// profile is the ink of a glyph column by column: how many pixels, and how high the
// highest stands above the foot.
func (c *cutter) profile(g *glyph) (ink []int, high []float64) {
	n := g.x1 - g.x0
	ink, high = make([]int, n), make([]float64, n)
	for y := g.y0; y < g.y1; y++ {
		for x := g.x0; x < g.x1; x++ {
			if o := c.marks.Of[y*c.sheet.W+x]; o == 0 || !slices.Contains(g.marks, o-1) {
				continue
			}
			ink[x-g.x0]++
			if high[x-g.x0] == 0 {
				_, fy := c.sheet.Flat(float64(x), float64(y))
				high[x-g.x0] = g.foot - fy
			}
		}
	}
	return ink, high
}

// split cuts figures that touch at the fount's pitch, where the ink is least, and
// takes a low detached foot at either end for the point that it is.
func (c *cutter) split(g *glyph) []*glyph {
	p, gap, h := c.fount.pitch, c.fount.gap, c.fount.height
	w := g.width()
	if w < 1.12*c.fount.width {
		return []*glyph{g}
	}
	ink, high := c.profile(g)
	part := func(x0, x1 int, k kind) *glyph {
		s := &glyph{slot: g.slot, kind: k, x0: g.x0 + x0, x1: g.x0 + x1, marks: g.marks, split: true, foot: g.foot, y0: g.y1, y1: g.y0}
		for y := g.y0; y < g.y1; y++ {
			for x := s.x0; x < s.x1; x++ {
				if o := c.marks.Of[y*c.sheet.W+x]; o != 0 && slices.Contains(g.marks, o-1) {
					s.y0, s.y1 = min(s.y0, y), max(s.y1, y+1)
					s.area++
				}
			}
		}
		return s
	}
	var out []*glyph
	lo, hi := 0, len(ink)
	// A point at an end: a run of low ink that is wider than a foot serif, and too
	// much width for whole figures.
	extra := func(w float64) float64 { n := math.Round((w + gap) / p); return w + gap - n*p }
	low := func(i int) bool { return high[i] < 0.36*h }
	run := 0
	for run < hi && high[run] > 0.25*h && high[run] < 0.7*h && float64(ink[run]) < 0.3*h {
		run++
	}
	if float64(run) > 0.25*h {
		if s := part(0, run, minus); c.kindOf(s) == minus {
			out = append(out, s)
			lo = run
		}
	}
	run = 0
	for lo == 0 && run < hi && low(run) {
		run++
	}
	if float64(run) > 0.12*h && math.Abs(extra(w)) > 0.12*p && math.Abs(extra(w-float64(run))) < math.Abs(extra(w)) {
		if s := part(0, run, point); c.likePoint(s) && c.kindOf(s) == point {
			out = append(out, s)
			lo = run
		}
	}
	run = 0
	var tail *glyph
	for hi-1-run > lo && low(hi-1-run) {
		run++
	}
	if w := float64(hi - lo); float64(run) > 0.12*h && math.Abs(extra(w)) > 0.12*p && math.Abs(extra(w-float64(run))) < math.Abs(extra(w)) {
		if s := part(hi-run, hi, point); c.likePoint(s) && c.kindOf(s) == point {
			tail = s
			hi -= run
		}
	}
	if tail == nil && float64(run) > 0.3*h {
		// Wider than any foot: a foot and a point that touch, parted where the ink is
		// least.
		at := hi - 2
		for x := hi - 3; x > hi-run; x-- {
			if ink[x] < ink[at] {
				at = x
			}
		}
		if s := part(at, hi, point); c.likePoint(s) && c.kindOf(s) == point {
			tail = s
			hi = at
		}
	}
	n := int(math.Max(1, math.Round((float64(hi-lo)+gap)/p)))
	cuts := []int{lo}
	start := float64(lo) - gap/2
	for k := 1; k < n; k++ {
		ideal := start + float64(k)*p
		// The last cut may drift: what remains must still be whole figures.
		ideal = (ideal + float64(hi) + gap/2 - float64(n-k)*p) / 2
		at, least := int(math.Round(ideal)), math.Inf(1)
		for x := int(ideal - 0.22*p); x <= int(ideal+0.22*p)+1; x++ {
			if x <= cuts[len(cuts)-1]+2 || x >= hi-2 {
				continue
			}
			d := (float64(x) - ideal) / p
			cost := float64(ink[x])/h + 6*d*d
			if cost < least {
				least, at = cost, x
			}
		}
		cuts = append(cuts, at)
	}
	cuts = append(cuts, hi)
	for k := 0; k+1 < len(cuts); k++ {
		if cuts[k+1] > cuts[k] {
			s := part(cuts[k], cuts[k+1], figure)
			s.split = n > 1 || lo > 0 || tail != nil
			if s.split {
				s.kind = c.kindOf(s) // a stroke that touched may be no figure
			}
			out = append(out, s)
		}
	}
	if tail != nil {
		out = append(out, tail)
	}
	return out
}

// flat reports whether a piece may be part of a dash.
func (c *cutter) flat(g *glyph) bool {
	h := c.fount.height
	mid := g.foot - c.level(g)
	return g.height() <= 0.25*h && mid > 0.15*h && mid < 0.75*h
}

// level is how high the middle of a glyph stands, in the flat frame.
func (c *cutter) level(g *glyph) float64 {
	_, y := c.sheet.Flat(g.mid(), float64(g.y0+g.y1)/2)
	return y
}

// below is how far the bottom of a glyph stands below the foot, in the flat frame.
func (c *cutter) below(g *glyph) float64 { return c.level(g) + g.height()/2 - g.foot }

// tailed reports whether a point reaches below the foot as a comma does. On made pages
// worn commas end 0.09 and more of the figure height below it and are 1.3 times as high
// as wide; points are one or the other in rare cases, and both in none.
func (c *cutter) tailed(g *glyph) bool {
	return c.below(g) >= math.Max(0.06*c.fount.height, 1.4) && g.height() >= 1.3*g.width()
}

// faint says what ink, too faint or too broken to be a mark, stands beside the glyphs of
// a cell: the rest of a minus sign before them, or a figure's before or behind them.
// It is "" where there is none.
func (c *cutter) faint(cl *cell, room extract.Rect) string {
	s, h := c.sheet, c.fount.height
	first, last := cl.glyphs[0], cl.glyphs[len(cl.glyphs)-1]
	level := c.marks.Level / 2
	own := map[int32]bool{}
	for _, g := range cl.glyphs {
		for _, k := range g.marks {
			own[k+1] = true
		}
	}
	fx, _ := s.Flat(float64(first.x0), float64(first.y1))
	_, foot := s.Sheet(fx, first.foot)
	left, _ := s.Sheet(room.X0, first.foot)
	right, _ := s.Sheet(room.X1, last.foot)
	reach := int(1.4 * c.fount.pitch)
	// A pixel of white keeps the blurred edges of the glyphs themselves out.
	sides := [][2]int{{max(0, int(left), first.x0-reach), first.x0 - 1}, {last.x1 + 1, min(s.W, int(right), last.x1+reach)}}
	inked := func(x, y int) bool {
		if y < 0 || y >= s.H {
			return false
		}
		i := y*s.W + x
		return s.Ink[i] >= level && !own[c.marks.Of[i]]
	}
	for n, side := range sides {
		// Columns with ink in the height of a minus sign, over and under it, and columns
		// with much ink.
		bar, from, to, high := 0, side[1], side[0], 0
		for x := side[0]; x < side[1]; x++ {
			var mid, rest int
			for y := int(foot - h); y <= int(foot); y++ {
				if !inked(x, y) {
					continue
				}
				if up := foot - float64(y); up > 0.2*h && up < 0.65*h {
					mid++
				} else {
					rest++
				}
			}
			if float64(mid+rest) > 0.35*h {
				high++
			}
			if mid > 0 && rest == 0 && float64(mid) < 0.25*h {
				bar++
				from, to = min(from, x), max(to, x+1)
			}
		}
		switch {
		case high >= 2:
			return "faint ink of a figure's height stands beside the figures"
		case n == 0 && first.kind != minus && bar >= 3 && float64(to-from) >= 0.3*h && float64(bar) >= 0.15*h:
			return faintMinus
		}
	}
	return ""
}

const faintMinus = "the rest of a bar stands where a minus would"

// small reports whether a piece is one of the small marks that part a number.
func (g *glyph) small() bool { return g.kind == point || g.kind == comma }

// stands reports whether a piece is a mark of its own beside a figure: a sign, or a
// point of the usual size.
func (c *cutter) stands(g *glyph) bool {
	return g.kind == minus || g.small() && c.fount.point > 0 && c.likePoint(g)
}

// likePoint reports whether a piece has the size of the table's points.
func (c *cutter) likePoint(g *glyph) bool {
	return c.fount.point == 0 || float64(g.area) > 0.45*c.fount.point && float64(g.area) < 2*c.fount.point
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}

// mode is the middle of the densest part of v: the value that has most others
// within the share of itself.
func mode(v []float64, share float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	best, at := 0, 0.0
	for i, lo := 0, 0; i < len(s); i++ {
		for s[lo] < s[i]*(1-2*share) {
			lo++
		}
		if n := i - lo + 1; n > best {
			best, at = n, median(s[lo:i+1])
		}
	}
	return at
}
