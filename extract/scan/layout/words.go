package layout

import (
	"math"
	"sort"
	"strings"
	"unicode"

	"windtally/extract"
	"windtally/extract/scan"
)

// Word is one word that another reader found on the page, for example a pass of
// character recognition: Box is in sheet pixels.
type Word struct {
	Text string
	Box  extract.Rect
}

// Page is a page of words made of shapes alone, in points of the flat frame.
type Page struct {
	extract.Page
	Scale float64 // points per pixel
	// Height is the usual height of figures on the page in pixels, 0 where it has none.
	Height float64
	// Flat and Marks say for every word of the page where it stands in flat pixels and
	// of which marks it is made.
	Flat  []extract.Rect
	Marks [][]int

	pieces []piece
	words  []word
	big    []int // marks too large for print: drawings, braces, what is left of rules
	rules  []extract.Rule
	texts  bool   // another reader gave texts
	owned  []bool // words that a table has
}

// shape is what a piece of ink can be in a line of print.
type shape int

const (
	tall   shape = iota // a figure or a letter
	point               // small, low
	flat                // wider than high: a minus sign, a dash, a dash of a leader
	raised              // small, above mid-height: a note's mark, a degree sign
)

// piece is a glyph as far as geometry can tell: a mark, several that stand one above
// the other, or one row's part of a mark that touches the row below.
type piece struct {
	box   extract.Rect // flat pixels
	marks []int
	shape shape
	size  float64 // usual height of the tall pieces around it
	lead  bool    // part of a dotted leader
	foot  bool    // a point touches it on the right
}

type word struct {
	pieces    []int
	box       extract.Rect
	text      string
	figure    bool
	leader    bool
	stacked   bool // above or below a fraction bar
	letters   bool // its text comes from another reader
	base, top float64
}

const (
	// assumedFigure is the height of figures, in points, that scales a page of unknown
	// resolution: that of figures in 9 to 10 point type (common practice, no source).
	assumedFigure           = 6.5
	leastPoints, mostPoints = 2.5, 16.0
	// leastFigure and mostFigure bound the height of figures in pixels.
	leastFigure, mostFigure = 5, 140
	// maxPieces bounds the work on one page.
	maxPieces = 60000
)

// Words makes a page of words of the marks of a sheet. The texts are made of shapes:
// "0" for a figure, "." for a point, "-" for a flat stroke, "*" for a raised mark, "x"
// for anything else. Words of prose give their texts to words that are not figures.
func Words(s *scan.Sheet, m *scan.Marks, prose []Word) Page {
	p := Page{Page: extract.Page{Number: s.Page, Images: 1}, texts: len(prose) > 0}
	p.Height = figureHeight(m)
	p.Scale = 1
	if p.Height > 0 {
		p.Scale = assumedFigure / p.Height
	}
	// a file may name any resolution: one that makes figures impossibly small or large
	// is not believed
	if s.DPI > 0 {
		if pt := p.Height * 72 / s.DPI; p.Height == 0 || pt >= leastPoints && pt <= mostPoints {
			p.Scale = 72 / s.DPI
		}
	}
	p.Width, p.Page.Height = float64(s.W)*p.Scale, float64(s.H)*p.Scale
	for _, r := range s.Rules {
		var f extract.Rule
		f.X0, f.Y0 = s.Flat(r.X0, r.Y0)
		f.X1, f.Y1 = s.Flat(r.X1, r.Y1)
		if r.Level() {
			y := (f.Y0 + f.Y1) / 2
			f.Y0, f.Y1 = y, y
			f.X0, f.X1 = math.Min(f.X0, f.X1), math.Max(f.X0, f.X1)
		} else {
			x := (f.X0 + f.X1) / 2
			f.X0, f.X1 = x, x
			f.Y0, f.Y1 = math.Min(f.Y0, f.Y1), math.Max(f.Y0, f.Y1)
		}
		p.rules = append(p.rules, f)
		p.Rules = append(p.Rules, extract.Rule{X0: f.X0 * p.Scale, Y0: f.Y0 * p.Scale, X1: f.X1 * p.Scale, Y1: f.Y1 * p.Scale})
	}
	if p.Height == 0 {
		return p
	}
	p.cut(m, s.W)
	p.shapes()
	p.join()
	p.name()
	p.headLines()
	p.fractions()
	p.adopt(s, prose)
	for _, w := range p.words {
		var marks []int
		for _, i := range w.pieces {
			marks = append(marks, p.pieces[i].marks...)
		}
		sort.Ints(marks)
		k := p.Scale
		p.Page.Words = append(p.Page.Words, extract.Word{Text: w.text, Box: extract.Rect{X0: w.box.X0 * k, Y0: w.line(0) * k, X1: w.box.X1 * k, Y1: w.line(1) * k}})
		p.Flat = append(p.Flat, w.box)
		p.Marks = append(p.Marks, marks)
	}
	return p
}

// line returns the upper or the lower edge that a reader of lines should see: that of
// the tall pieces, so that a tail or a raised mark does not shift a word.
func (w word) line(edge int) float64 {
	if edge == 0 {
		return w.top
	}
	return w.base
}

// figureHeight returns the height that most glyph-like marks have, in pixels. Where
// fine strokes are lost, most marks are halves of figures: then it is the height that
// the halves have together.
func figureHeight(m *scan.Marks) float64 {
	var boxes []extract.Rect
	for _, k := range m.List {
		if 10*k.Area >= k.Width()*k.Height() {
			boxes = append(boxes, k.Box)
		}
	}
	h, n := usualHeight(boxes)
	if h == 0 {
		return 0
	}
	if whole, most := usualHeight(halvesJoined(boxes, h)); whole > 1.3*h && 3*most > n {
		return whole
	}
	return h
}

// usualHeight returns the height that most glyph-like boxes have, and how many have it.
func usualHeight(boxes []extract.Rect) (height, boxesOfIt float64) {
	var n [mostFigure + 2]float64
	total := 0.0
	for _, b := range boxes {
		w, t := b.Width(), b.Height()
		if h := int(math.Round(t)); h >= leastFigure && h <= mostFigure && 5*w >= t && 2*w <= 3*t {
			n[h]++
			total++
		}
	}
	if total < 6 {
		return 0, 0
	}
	about := func(least int) (best float64, at int) {
		for h := least; h <= mostFigure; h++ {
			sum := 0.0
			reach := max(1, h/12)
			for k := max(0, h-reach); k <= min(mostFigure, h+reach); k++ {
				sum += n[k]
			}
			// a page of small figures under large print is a page of figures
			if sum > best {
				best, at = sum, h
			}
		}
		return best, at
	}
	_, at := about(leastFigure)
	// The dots of leaders may be more than all else; no print is three times as high as
	// other print of a table.
	if most, high := about(3 * at); most >= 0.1*total {
		at = high
	}
	sum, weight := 0.0, 0.0
	for k, reach := max(0, at-at/10-1), min(mostFigure, at+at/10+1); k <= reach; k++ {
		sum += n[k] * float64(k)
		weight += n[k]
	}
	return sum / weight, weight
}

// halvesJoined joins boxes that stand close one over the other and together are no
// higher than two of the usual height h: rows are never so close.
func halvesJoined(boxes []extract.Rect, h float64) []extract.Rect {
	out := append([]extract.Rect(nil), boxes...)
	sort.SliceStable(out, func(i, j int) bool { return out[i].X0 < out[j].X0 })
	bands := map[int][]int{}
	for i, b := range out {
		k := int(b.MidY() / h)
		bands[k] = append(bands[k], i)
	}
	gone := make([]bool, len(out))
	for i := range out {
		for k := int(out[i].MidY()/h) - 2; k <= int(out[i].MidY()/h)+2; k++ {
			for _, j := range bands[k] {
				a, b := out[i], out[j]
				if j <= i || gone[i] || gone[j] {
					continue
				}
				u := a.Union(b)
				over := math.Min(a.X1, b.X1) - math.Max(a.X0, b.X0)
				if over < 0.4*math.Min(a.Width(), b.Width()) || u.Height() > 2*h || u.Width() > 1.6*h ||
					math.Max(a.Y0, b.Y0)-math.Min(a.Y1, b.Y1) > 0.25*h {
					continue
				}
				out[i] = u
				gone[j] = true
			}
		}
	}
	kept := out[:0]
	for i, b := range out {
		if !gone[i] {
			kept = append(kept, b)
		}
	}
	return kept
}

// cut makes pieces of the marks: dust and drawings are left out, a mark of several
// rows is cut between them, parts of one glyph are joined.
func (p *Page) cut(m *scan.Marks, stride int) {
	h := p.Height
	dust := math.Max(2, 0.012*h*h)
	for i, k := range m.List {
		w, t := k.Box.Width(), k.Box.Height()
		switch {
		case float64(k.Area) < dust:
			continue
		case t > 6*h || w > 14*h || t > 1.6*h && t > 3.5*w && t > 2.2*h:
			p.big = append(p.big, i)
			continue
		case p.crumb(k.Box):
			continue
		}
		if len(p.pieces) > maxPieces {
			break
		}
		if t < 1.65*h {
			p.pieces = append(p.pieces, piece{box: k.Box, marks: []int{i}, foot: footed(m, stride, i, h)})
			continue
		}
		for _, b := range slice(m, stride, i, h) {
			p.pieces = append(p.pieces, piece{box: b, marks: []int{i}})
		}
	}
	p.merge()
}

// crumb reports whether a thin straight mark lies on a rule or goes on where one ends:
// what taking out the rule has left of it.
func (p *Page) crumb(b extract.Rect) bool {
	h := p.Height
	w, t := b.Width(), b.Height()
	thin := 0.3 * h
	for _, r := range p.rules {
		if r.X0 == r.X1 {
			if w <= thin && t > 1.5*w && math.Abs(b.MidX()-r.X0) < 0.35*h && b.Y1 > r.Y0-4*h && b.Y0 < r.Y1+4*h {
				return true
			}
		} else if t <= thin && w > 1.5*t && math.Abs(b.MidY()-r.Y0) < 0.35*h && b.X1 > r.X0-4*h && b.X0 < r.X1+4*h {
			return true
		}
	}
	return false
}

// footed reports whether a mark goes on to the right on its foot alone: a point
// touches the figure.
func footed(m *scan.Marks, stride, i int, h float64) bool {
	k := m.List[i]
	if float64(k.Height()) < 0.6*h {
		return false
	}
	right := k.X0
	for y := k.Y0; y < k.Y1-int(0.3*float64(k.Height())); y++ {
		for x := k.X1 - 1; x >= right; x-- {
			if m.Of[y*stride+x] == int32(i+1) {
				right = x + 1
				break
			}
		}
	}
	return float64(k.X1-right) >= 0.19*h
}

// slice cuts a mark of more than a row's height at the thinnest places between rows,
// where they are thin: touching figures of neighbouring rows, not tall letters.
func slice(m *scan.Marks, stride, i int, h float64) []extract.Rect {
	k := m.List[i]
	height := k.Height()
	if len(m.Of) == 0 {
		return []extract.Rect{k.Box}
	}
	ink := make([]int, height)
	lo, hi := make([]int, height), make([]int, height)
	most := 0
	for y := 0; y < height; y++ {
		lo[y], hi[y] = k.X1, k.X0
		for x := k.X0; x < k.X1; x++ {
			if m.Of[(k.Y0+y)*stride+x] == int32(i+1) {
				ink[y]++
				lo[y], hi[y] = min(lo[y], x), max(hi[y], x+1)
			}
		}
		most = max(most, ink[y])
	}
	var cuts []int
	from := 0
	for height-from > int(1.65*h) {
		at, least := -1, most
		for y := from + int(0.7*h); y < min(height-int(0.6*h), from+int(1.6*h)); y++ {
			if ink[y] < least {
				at, least = y, ink[y]
			}
		}
		if at < 0 || 3*least > most && least > int(0.35*h) && float64(k.Width()) < 0.5*h {
			break
		}
		cuts = append(cuts, at)
		from = at
	}
	if len(cuts) == 0 {
		return []extract.Rect{k.Box}
	}
	dx, dy := k.Box.X0-float64(k.X0), k.Box.Y0-float64(k.Y0)
	var out []extract.Rect
	cuts = append(cuts, height)
	from = 0
	for _, c := range cuts {
		a, b := k.X1, k.X0
		for y := from; y < c; y++ {
			a, b = min(a, lo[y]), max(b, hi[y])
		}
		if b > a {
			out = append(out, extract.Rect{X0: float64(a) + dx, X1: float64(b) + dx, Y0: float64(k.Y0+from) + dy, Y1: float64(k.Y0+c) + dy})
		}
		from = c
	}
	return out
}

// merge joins pieces of one glyph that stand one above the other: the halves of a
// broken figure. Together they must reach from the foot to the head of a whole piece
// beside them, so that a point is not joined with the figure under it.
func (p *Page) merge() {
	h := p.Height
	sort.SliceStable(p.pieces, func(i, j int) bool { return p.pieces[i].box.X0 < p.pieces[j].box.X0 })
	gone := make([]bool, len(p.pieces))
	ix := p.index()
	beside := func(u extract.Rect) bool {
		for _, k := range ix.bands[int(u.MidY()/ix.step)] {
			c := p.pieces[k].box
			if gap := math.Max(c.X0-u.X1, u.X0-c.X1); c.Height() > 0.7*h && gap >= 0 && gap < 4*h &&
				math.Abs(c.Y0-u.Y0) < 0.16*h && math.Abs(c.Y1-u.Y1) < 0.16*h {
				return true
			}
		}
		return false
	}
	for i := range p.pieces {
		if gone[i] {
			continue
		}
		for j := i + 1; j < len(p.pieces); j++ {
			a, b := p.pieces[i].box, p.pieces[j].box
			if b.X0 > a.X1 {
				break
			}
			if gone[j] || math.Max(a.Height(), b.Height()) > 0.85*h && !inside(a, b) && !inside(b, a) && !crumbOf(a, b) && !crumbOf(b, a) {
				continue
			}
			u := a.Union(b)
			if inside(b, a) || inside(a, b) || crumbOf(b, a) || crumbOf(a, b) { // the dot or bar inside a nought
				p.pieces[i].box = u
				p.pieces[i].marks = append(p.pieces[i].marks, p.pieces[j].marks...)
				gone[j] = true
				continue
			}
			over := math.Min(a.X1, b.X1) - b.X0
			if u.Height() > 1.2*h || u.Width() > 1.3*h || over < 0.4*math.Min(a.Width(), b.Width()) ||
				math.Max(a.Y0, b.Y0)-math.Min(a.Y1, b.Y1) > 0.3*h || !beside(u) {
				continue
			}
			p.pieces[i].box = u
			p.pieces[i].marks = append(p.pieces[i].marks, p.pieces[j].marks...)
			gone[j] = true
		}
	}
	kept := p.pieces[:0]
	for i, g := range gone {
		if !g {
			kept = append(kept, p.pieces[i])
		}
	}
	p.pieces = kept
}

// inside reports whether a lies within b, but for a pixel or two, and is no larger in
// width and height than two thirds of it.
func inside(a, b extract.Rect) bool {
	const e = 1.5
	return a.X0 >= b.X0-e && a.X1 <= b.X1+e && a.Y0 >= b.Y0-e && a.Y1 <= b.Y1+e && 3*a.Width() <= 2*b.Width() && 3*a.Height() <= 2*b.Height() &&
		a.MidX() > b.X0+0.25*b.Width() && a.MidX() < b.X0+0.75*b.Width() && a.MidY() > b.Y0+0.25*b.Height() && a.MidY() < b.Y0+0.75*b.Height()
}

// crumbOf reports whether a is a broken-off part of b: small, and nearly all of it within
// b's box. A point under the arm of a 7 is none.
func crumbOf(a, b extract.Rect) bool {
	if 2*a.Height() > b.Height() || 3*a.Width() > 2*b.Width() {
		return false
	}
	ox := math.Min(a.X1, b.X1) - math.Max(a.X0, b.X0)
	oy := math.Min(a.Y1, b.Y1) - math.Max(a.Y0, b.Y0)
	if ox < 0.7*a.Width() || oy < 0.45*a.Height() {
		return false
	}
	return a.MidY() < b.Y0+0.7*b.Height() || a.MidX() < b.X0+0.6*b.Width()
}

// index finds pieces by the band of lines they stand in.
type index struct {
	step  float64
	bands map[int][]int
}

func (p *Page) index() index {
	x := index{step: p.Height, bands: map[int][]int{}}
	for i, c := range p.pieces {
		for b := int(c.box.Y0 / x.step); b <= int(c.box.Y1/x.step); b++ {
			x.bands[b] = append(x.bands[b], i)
		}
	}
	return x
}

// shapes gives every piece its size and shape from the pieces beside it on its line.
func (p *Page) shapes() {
	h := p.Height
	ix := p.index()
	for i := range p.pieces {
		c := &p.pieces[i]
		// heights of the pieces beside it, to twelve heights away
		var hs []float64
		b := int(c.box.MidY() / ix.step)
		for _, j := range ix.bands[b] {
			d := p.pieces[j].box
			if d.Height() < 0.5*h || math.Max(d.X0-c.box.X1, c.box.X0-d.X1) > 12*h || c.box.MidY() < d.Y0-0.1*h || c.box.MidY() > d.Y1+0.15*h {
				continue
			}
			hs = append(hs, d.Height())
		}
		c.size = h
		if len(hs) > 0 {
			sort.Float64s(hs)
			c.size = math.Max(0.6*h, hs[len(hs)*8/10*boolInt(len(hs) > 4)+(len(hs)-1)*boolInt(len(hs) <= 4)])
		}
	}
	for i := range p.pieces {
		c := &p.pieces[i]
		w, t := c.box.Width(), c.box.Height()
		switch {
		case t >= 0.52*c.size:
			c.shape = tall
		case w >= 1.6*t && w >= 0.3*c.size:
			c.shape = flat
		default:
			c.shape = point
			// raised when its foot is above the middle of the tall pieces beside it
			b := int(c.box.MidY() / ix.step)
			near, top, foot := math.Inf(1), 0.0, 0.0
			for _, j := range ix.bands[b] {
				d := p.pieces[j].box
				gap := math.Max(d.X0-c.box.X1, c.box.X0-d.X1)
				if j != i && d.Height() >= 0.52*c.size && gap < near && d.Y0 < c.box.Y1 && d.Y1 > c.box.Y0-0.2*h {
					near, top, foot = gap, d.Y0, d.Y1
				}
			}
			if near < 1.5*h && c.box.Y1 < top+0.62*(foot-top) {
				c.shape = raised
			}
		}
	}
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// join makes words of pieces that stand close on one line, and leaders of runs of
// points or dashes.
func (p *Page) join() {
	h := p.Height
	ix := p.index()
	n := len(p.pieces)
	next := make([]int, n) // nearest piece to the right on the line
	gaps := make([]float64, n)
	prev := make([]int, n)
	over := make([]int, n)
	for i := range p.pieces {
		next[i], prev[i] = -1, -1
	}
	walls := p.walls()
	for i, a := range p.pieces {
		best, at := 4*h, -1
		nearTall, tallAt := 4*h, -1
		for b := int((a.box.Y0 - 0.2*h) / ix.step); b <= int((a.box.Y1+0.2*h)/ix.step); b++ {
			for _, j := range ix.bands[b] {
				c := p.pieces[j]
				if j == i || c.box.MidX() <= a.box.MidX() || !inLine(a, c) {
					continue
				}
				gap := c.box.X0 - a.box.X1
				if gap > -0.5*h && gap < best {
					best, at = gap, j
				}
				if gap > -0.5*h && gap < nearTall && c.shape == tall {
					nearTall, tallAt = gap, j
				}
			}
		}
		if a.shape == tall && tallAt >= 0 && tallAt != at && !walls.between(a.box, p.pieces[tallAt].box) && nearTall <= p.reach(a, p.pieces[tallAt]) {
			over[i] = tallAt + 1 // crumbs between two figures do not part them
		}
		if at >= 0 && !walls.between(a.box, p.pieces[at].box) {
			next[i], gaps[i] = at, best
			if prev[at] < 0 || best < gaps[prev[at]] {
				prev[at] = i
			}
		}
	}
	// leaders: three small pieces or more in a row
	for i := range p.pieces {
		if prev[i] >= 0 && small(p.pieces[prev[i]]) && gaps[prev[i]] < 1.1*h || !small(p.pieces[i]) {
			continue
		}
		run := []int{i}
		for j := i; next[j] >= 0 && small(p.pieces[next[j]]) && gaps[j] < 1.1*h && prev[next[j]] == j; j = next[j] {
			run = append(run, next[j])
		}
		if end := run[len(run)-1]; len(run) == 3 && next[end] >= 0 && p.pieces[next[end]].shape == tall && gaps[end] < 0.5*h {
			continue // a sign, a point and a crumb of the figure behind them
		}
		if len(run) >= 3 {
			for _, j := range run {
				p.pieces[j].lead = true
			}
		}
	}
	for i, c := range p.pieces { // a leader whose dots touch
		if c.shape == flat && c.box.Width() > 2.6*c.size {
			p.pieces[i].lead = true
		}
	}
	group := make([]int, n)
	for i := range group {
		group[i] = i
	}
	root := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	for i, j := range next {
		if j < 0 || prev[j] != i && gaps[i] > 0 {
			continue
		}
		if gaps[i] <= p.reach(p.pieces[i], p.pieces[j]) {
			group[root(j)] = root(i)
		}
	}
	for i, j := range over {
		if j > 0 {
			group[root(j-1)] = root(i)
		}
	}
	at := map[int]int{}
	for i := range p.pieces {
		r := root(i)
		k, ok := at[r]
		if !ok {
			k = len(p.words)
			at[r] = k
			p.words = append(p.words, word{})
		}
		p.words[k].pieces = append(p.words[k].pieces, i)
	}
	kept := p.words[:0]
	for _, w := range p.words {
		sort.SliceStable(w.pieces, func(a, b int) bool { return p.pieces[w.pieces[a]].box.MidX() < p.pieces[w.pieces[b]].box.MidX() })
		var tops, feet []float64
		any := false
		for _, i := range w.pieces {
			c := p.pieces[i]
			w.box = w.box.Union(c.box)
			if c.shape == tall {
				tops, feet = append(tops, c.box.Y0), append(feet, c.box.Y1)
			}
			any = any || c.shape == tall || c.shape == flat || c.lead
			w.leader = w.leader || c.lead
		}
		if !any {
			continue // a speck or a lone point
		}
		w.top, w.base = w.box.Y0, w.box.Y1
		if len(tops) > 0 {
			w.top, w.base = median(tops), median(feet)
		} else {
			// strokes stand at mid-height of a line
			mid := w.box.MidY()
			if w.leader {
				mid -= 0.25 * h
			}
			w.top, w.base = mid-0.4*h, mid+0.4*h
		}
		kept = append(kept, w)
	}
	p.words = kept
	p.lonely()
	p.level()
}

// lines finds words by the band of one figure height in which their lines stand.
func (p *Page) lines() map[int][]int {
	bands := map[int][]int{}
	for i, w := range p.words {
		for b := int(w.top / p.Height); b <= int(w.base/p.Height); b++ {
			bands[b] = append(bands[b], i)
		}
	}
	return bands
}

// level puts a word of one low piece, such as the comma of a typewriter, on the line of
// the word beside it, so that it makes no line of its own.
func (p *Page) level() {
	h := p.Height
	bands := p.lines()
	for i := range p.words {
		w := &p.words[i]
		if len(w.pieces) > 1 || w.leader || w.base-w.top > 0.72*p.pieces[w.pieces[0]].size {
			continue
		}
		near, at := 1.5*h, -1
		for _, j := range bands[int(w.box.MidY()/h)] {
			o := p.words[j]
			gap := math.Max(o.box.X0-w.box.X1, w.box.X0-o.box.X1)
			if gap < near && !o.leader && len(o.pieces) > 1 && o.base-o.top > 0.8*h && w.box.MidY() > o.top && w.box.Y1 < o.base+0.4*h {
				near, at = gap, j
			}
		}
		if at >= 0 {
			w.top, w.base = p.words[at].top, p.words[at].base
		}
	}
}

// lonely drops strokes and leaders that have no print beside them on their line: crumbs
// of rules, scratches.
func (p *Page) lonely() {
	h := p.Height
	bands := map[int][]int{}
	for i, w := range p.words {
		if p.hasTall(w) {
			for b := int(w.top / h); b <= int(w.base/h); b++ {
				bands[b] = append(bands[b], i)
			}
		}
	}
	kept := make([]word, 0, len(p.words))
	for _, w := range p.words {
		ok := p.hasTall(w)
		if y := w.box.MidY(); !ok {
			for _, j := range bands[int(y/h)] {
				o := p.words[j]
				if y > o.top-0.1*h && y < o.base+0.2*h && math.Max(o.box.X0-w.box.X1, w.box.X0-o.box.X1) < 12*h {
					ok = true
					break
				}
			}
		}
		if ok {
			kept = append(kept, w)
		}
	}
	p.words = kept
}

func (p *Page) hasTall(w word) bool {
	for _, i := range w.pieces {
		if p.pieces[i].shape == tall {
			return true
		}
	}
	return false
}

func small(c piece) bool { return c.shape == point || c.shape == flat }

// inLine reports whether two pieces can stand on one line.
func inLine(a, b piece) bool {
	over := math.Min(a.box.Y1, b.box.Y1) - math.Max(a.box.Y0, b.box.Y0)
	size := math.Max(a.size, b.size)
	switch {
	case a.shape == tall && b.shape == tall:
		return over >= 0.55*math.Min(a.box.Height(), b.box.Height())
	case a.shape == tall || b.shape == tall:
		t, s := a, b
		if b.shape == tall {
			t, s = b, a
		}
		m := s.box.MidY()
		return m > t.box.Y0-0.15*size && m < t.box.Y1+0.12*size
	}
	dy := a.box.MidY() - b.box.MidY()
	if a.shape == b.shape {
		return math.Abs(dy) < 0.3*size
	}
	if a.shape != raised && b.shape != raised && math.Abs(dy) < 0.25*size {
		return true // dashes of a leader, some of them broken
	}
	// a sign and the point right of it ("-.804"): the point stands lower
	if a.shape == flat && b.shape == point {
		return dy < -0.1*size && dy > -0.62*size
	}
	return false
}

// reach returns the widest gap that joins two neighbouring pieces into one word.
// Printers set a wide space behind the point of a figure ("1. 439"): that is one
// figure.
func (p *Page) reach(a, b piece) float64 {
	size := math.Max(a.size, b.size)
	if a.lead || b.lead {
		if a.lead && b.lead {
			return 1.2 * size
		}
		return -1
	}
	even := func(c piece) bool { return math.Abs(c.box.Height()-size) <= math.Max(2, 0.22*size) }
	switch {
	case a.shape == tall && b.shape == tall:
		if a.foot {
			return 0.95 * size
		}
		if even(a) && even(b) {
			return 0.75 * size // a fixed-pitch 1 stands in much white
		}
		return 0.32 * size
	case a.shape == point && b.shape == tall:
		return 0.85 * size
	case a.shape == flat:
		return 0.8 * size
	case a.shape == tall && b.shape == raised:
		return 0.5 * size
	}
	return 0.6 * size
}

// walls are the vertical rules, sorted by x.
type walls []extract.Rule

func (p *Page) walls() walls {
	var w walls
	for _, r := range p.rules {
		if r.X0 == r.X1 && r.Y1-r.Y0 > 1.5*p.Height {
			w = append(w, r)
		}
	}
	sort.SliceStable(w, func(i, j int) bool { return w[i].X0 < w[j].X0 })
	return w
}

// between reports whether a vertical rule parts two pieces.
func (w walls) between(a, b extract.Rect) bool {
	x0, x1 := a.MidX(), b.MidX()
	y := (a.MidY() + b.MidY()) / 2
	i := sort.Search(len(w), func(i int) bool { return w[i].X0 > x0 })
	for ; i < len(w) && w[i].X0 < x1; i++ {
		if w[i].Y0 <= y && w[i].Y1 >= y {
			return true
		}
	}
	return false
}

// fractions puts numerator and denominator on the line of the words beside them, so
// that they make no lines of their own. Figures of a table are never moved: what stands
// beside must be words, between the two and apart from both lines.
func (p *Page) fractions() {
	h := p.Height
	bands := map[int][]int{}
	for i, w := range p.words {
		for b := int(w.box.Y0/h) - 1; b <= int(w.box.Y1/h)+1; b++ {
			bands[b] = append(bands[b], i)
		}
	}
	for i := range p.words {
		up := &p.words[i]
		if up.leader || len(up.pieces) > 8 || up.box.Width() > 4*h {
			continue
		}
		upMid := (up.top + up.base) / 2
		for _, k := range bands[int(up.box.Y1/h)] {
			c := p.words[k]
			mid := (c.top + c.base) / 2
			gap := math.Max(c.box.X0-up.box.X1, up.box.X0-c.box.X1)
			if k == i || c.figure || c.leader || c.stacked || len(c.pieces) < 3 || gap > 1.3*h || gap <= 0 && p.over(c, up.box) || mid-upMid < 0.4*h || mid-upMid > 1.5*h {
				continue
			}
			for _, j := range bands[int(up.box.Y1/h)] {
				low := &p.words[j]
				over := math.Min(up.box.X1, low.box.X1) - math.Max(up.box.X0, low.box.X0)
				if j == i || j == k || low.leader || low.box.MidY() < up.box.MidY()+0.5*h || low.box.Y0-up.box.Y1 > 0.9*h ||
					over < 0.25*math.Min(up.box.Width(), low.box.Width()) || low.box.Y1 < c.base+0.3*h || low.box.Y0 > c.base+0.3*h {
					continue
				}
				for _, w := range []*word{up, low} {
					w.top, w.base, w.stacked = c.top, c.base, true
					if w.figure {
						w.figure = false
						w.text = p.spell(*w, false)
					}
				}
			}
			if up.stacked {
				break
			}
		}
	}
}

// over reports whether a tall piece of a word stands over or under a box: a fraction
// bar may.
func (p *Page) over(w word, b extract.Rect) bool {
	for _, k := range w.pieces {
		if c := p.pieces[k]; c.shape == tall && c.box.X0 < b.X1 && c.box.X1 > b.X0 {
			return true
		}
	}
	return false
}

// name gives the words their texts.
func (p *Page) name() {
	h := p.Height
	// mean width of even pieces along a line tells capitals from figures
	bands := p.lines()
	own := make([]measure, len(p.words))
	for i, w := range p.words {
		for _, k := range w.pieces {
			c := p.pieces[k]
			if c.shape != tall {
				continue
			}
			size := c.size
			if math.Abs(c.box.Height()-size) > math.Max(1.6, 0.15*size) || math.Abs(c.box.Y1-w.base) > math.Max(1.6, 0.14*size) {
				own[i].uneven++
			}
			v := c.box.Width() / size
			if v < 1.06 { // wider ones may be figures that touch
				own[i].wide += v
				own[i].n++
			}
			if v > 0.5 && v < 1.2 { // narrower ones are 1 or I
				own[i].size++
				own[i].square += v * v
				own[i].most += v
			}
		}
	}
	for i := range p.words {
		w := &p.words[i]
		if w.leader {
			w.text = strings.Repeat(".", max(3, len(w.pieces)))
			continue
		}
		line := own[i]
		for _, j := range bands[int((w.top+w.base)/2/h)] {
			o := p.words[j]
			if j != i && math.Abs(o.base-w.base) < 0.3*h && math.Max(o.box.X0-w.box.X1, w.box.X0-o.box.X1) < 2.5*h {
				line.wide += own[j].wide
				line.n += own[j].n
				line.uneven += own[j].uneven
			}
		}
		talls := 0
		for _, k := range w.pieces {
			if p.pieces[k].shape == tall {
				talls++
			}
		}
		points := 0
		for _, k := range w.pieces {
			if p.pieces[k].shape == point {
				points++
			}
		}
		caps := talls >= 9 && points == 0 || own[i].spread() > 0.13 ||
			own[i].n >= 4 && points == 0 && own[i].wide/own[i].n > 0.66 && p.pieces[w.pieces[0]].size > 1.12*h || own[i].n > 0 && (own[i].n > 1 && own[i].wide/own[i].n > 0.95 || line.n >= 3 && line.wide/line.n > 0.84)
		w.figure = talls > 0 && !caps && (own[i].uneven == 0 || own[i].uneven <= 0.35*float64(talls) && p.evenLine(i, own, bands))
		w.text = p.spell(*w, caps)
	}
}

// evenLine reports whether nearly all tall pieces on a word's line are of one height: a
// row of figures, some of them broken. Running text has half its letters lower.
func (p *Page) evenLine(i int, own []measure, bands map[int][]int) bool {
	h := p.Height
	w := p.words[i]
	all, uneven := 0, 0.0
	for _, j := range bands[int((w.top+w.base)/2/h)] {
		o := p.words[j]
		if math.Abs(o.base-w.base) > 0.3*h || math.Max(o.box.X0-w.box.X1, w.box.X0-o.box.X1) > 40*h {
			continue
		}
		uneven += own[j].uneven
		for _, k := range o.pieces {
			if p.pieces[k].shape == tall {
				all++
			}
		}
	}
	return all >= 8 && uneven <= 0.18*float64(all)
}

// headLines takes figures from lines of heads: where three or more phrases of letters
// stand apart on a line and outnumber the figures, "Lift" is a word whose letters
// happen to be of one height.
func (p *Page) headLines() {
	h := p.Height
	order := make([]int, len(p.words))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return p.words[order[a]].base < p.words[order[b]].base })
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && p.words[order[to]].base-p.words[order[to-1]].base < 0.2*h {
			to++
		}
		line := append([]int(nil), order[from:to]...)
		from = to
		sort.SliceStable(line, func(a, b int) bool { return p.words[line[a]].box.X0 < p.words[line[b]].box.X0 })
		letters, figures, led := 0, 0, false
		end := math.Inf(-1)
		for _, i := range line {
			w := p.words[i]
			led = led || w.leader
			switch {
			case w.figure:
				figures++
			case !w.leader && w.box.X0-end > 0.9*h:
				letters++
			}
			end = w.box.X1
		}
		if led || letters < 3 || letters <= figures {
			continue
		}
		for _, i := range line {
			if w := &p.words[i]; w.figure && !strings.Contains(w.text, ".") {
				w.figure = false
				w.text = p.spell(*w, false)
			}
		}
	}
}

// measure gathers the widths of the tall pieces of a word, in heights.
type measure struct{ wide, n, uneven, square, most, size float64 }

// spread returns how much the widths differ: those of figures hardly do, those of
// capitals do.
func (m measure) spread() float64 {
	if m.size < 5 {
		return 0
	}
	mean := m.most / m.size
	return math.Sqrt(math.Max(0, m.square/m.size-mean*mean)) / mean
}

// spell writes a word's shapes.
func (p *Page) spell(w word, caps bool) string {
	var b strings.Builder
	pointed := false
	last := w.pieces[0]
	for _, k := range w.pieces {
		if p.pieces[k].shape == tall {
			last = k
		}
	}
	for _, k := range w.pieces {
		c := p.pieces[k]
		if w.figure && c.shape != tall && p.under(w, c) {
			continue // a crumb of a figure
		}
		switch c.shape {
		case point:
			if w.figure && pointed {
				continue
			}
			pointed = true
			b.WriteByte('.')
		case flat:
			b.WriteByte('-')
		case raised:
			if w.figure && c.box.MidX() < p.pieces[last].box.X1 {
				continue
			}
			b.WriteByte('*')
		default:
			switch {
			case w.figure:
				n := max(1, int(c.box.Width()/(0.72*c.size)+0.4))
				b.WriteString(strings.Repeat("0", n))
			case caps:
				b.WriteByte('X')
			default:
				b.WriteByte('x')
			}
		}
	}
	return b.String()
}

// under reports whether the middle of a small piece lies over or under a tall one of
// its word.
func (p *Page) under(w word, c piece) bool {
	for _, k := range w.pieces {
		if t := p.pieces[k]; t.shape == tall && c.box.MidX() > t.box.X0+1 && c.box.MidX() < t.box.X1-1 {
			return true
		}
	}
	return false
}

// adopt takes the texts of prose for words that are not figures.
func (p *Page) adopt(s *scan.Sheet, prose []Word) {
	if len(prose) == 0 {
		return
	}
	h := p.Height
	bands := map[int][]int{}
	for i, w := range p.words {
		for b := int(w.box.Y0 / h); b <= int(w.box.Y1/h); b++ {
			bands[b] = append(bands[b], i)
		}
	}
	got := make([][]int, len(p.words))
	flats := make([]extract.Rect, len(prose))
	for n, o := range prose {
		x, y := s.Flat(o.Box.MidX(), o.Box.MidY())
		bw, bh := o.Box.Width()/2, o.Box.Height()/2
		flats[n] = extract.Rect{X0: x - bw, Y0: y - bh, X1: x + bw, Y1: y + bh}
		best, at := 0.0, -1
		seen := map[int]bool{}
		for b := int(flats[n].Y0 / h); b <= int(flats[n].Y1/h); b++ {
			for _, i := range bands[b] {
				if seen[i] {
					continue
				}
				seen[i] = true
				w := p.words[i].box
				ox := math.Min(w.X1, flats[n].X1) - math.Max(w.X0, flats[n].X0)
				oy := math.Min(w.Y1, flats[n].Y1) - math.Max(w.Y0, flats[n].Y0)
				if ox > 0 && oy > 0.4*math.Min(w.Height(), flats[n].Height()) && ox > best {
					best, at = ox, i
				}
			}
		}
		if at >= 0 {
			got[at] = append(got[at], n)
		}
	}
	cut := make([][]word, len(p.words))
	for i := range p.words {
		w := &p.words[i]
		if len(got[i]) == 0 || w.leader {
			continue
		}
		sort.SliceStable(got[i], func(a, b int) bool { return flats[got[i][a]].X0 < flats[got[i][b]].X0 })
		var t []string
		for _, n := range got[i] {
			t = append(t, prose[n].Text)
		}
		if w.figure && !lettered(strings.Join(t, "")) {
			continue
		}
		w.figure = false
		if len(t) == 1 {
			w.text, w.letters = t[0], true
			continue
		}
		// the other reader saw several words: cut where it does
		parts := make([]word, len(t))
		for _, k := range w.pieces {
			x, at := p.pieces[k].box.MidX(), 0
			for n := range parts {
				if x > flats[got[i][n]].X0 {
					at = n
				}
			}
			parts[at].pieces = append(parts[at].pieces, k)
			parts[at].box = parts[at].box.Union(p.pieces[k].box)
		}
		for n := range parts {
			parts[n].text, parts[n].letters, parts[n].top, parts[n].base = t[n], true, w.top, w.base
			if len(parts[n].pieces) > 0 {
				cut[i] = append(cut[i], parts[n])
			}
		}
	}
	var out []word
	for i, w := range p.words {
		if len(cut[i]) > 0 {
			out = append(out, cut[i]...)
		} else {
			out = append(out, w)
		}
	}
	p.words = out
}

// lettered reports whether a text is a word beyond doubt: three letters or more and
// nothing that a bad reading of a figure would have.
func lettered(s string) bool {
	letters := 0
	for _, r := range s {
		switch {
		case unicode.IsLetter(r) && !strings.ContainsRune("IlOoSZBiL", r):
			letters++
		case unicode.IsDigit(r):
			return false
		}
	}
	return letters >= 3
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}
