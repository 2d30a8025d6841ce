package sorts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"windtally/extract"
)

// Prose is a number in running text: a caption, a sub-head, a footnote. Another reader
// says where it stands; what it says is read here by the sorts of a table.
type Prose struct {
	// Part is the part of the input whose fount and sheet it is.
	Part int
	// Words are the boxes of the words that hold the number, from left to right, in
	// sheet pixels, and Text is what the other reader has there, spaces left out.
	Words []extract.Rect
	Text  string
	// From and To bound the number in Text.
	From, To int
	// Prev and Next are what the other reader has before and behind these words, "" at
	// the ends of a line.
	Prev, Next string
}

const (
	// Text type is between these shares as high as the table's.
	smallestType, largestType = 0.6, 1.7
	// proseLike is the least likeness to a sort, of what is usual among its own
	// glyphs. Type of another size is never quite like it.
	proseLike = 0.85
	// direct is how near, in heights of a figure, print belongs to the same word: a
	// space between words is wider.
	direct = 0.28
	// signed is how far before a figure a dash may be its sign.
	signed = 1.3
	// pointed is how far before a figure a point may belong to it: in some founts it
	// has much space behind it.
	pointed = 0.75
)

// Prose reads a number in running text by the sorts of the tables that were read. The
// text of the reading has "?" where a piece is no figure, point, comma or minus sign.
// Every doubt is that of a reader who knows no other figures than those of the tables:
// type of another face is not read.
func (r *Result) Prose(p Prose) Reading {
	refuse := func(format string, args ...any) Reading {
		return Reading{Doubts: []string{fmt.Sprintf(format, args...)}}
	}
	if p.Part < 0 || p.Part >= len(r.cutters) || r.reader == nil || len(r.reader.named) == 0 || r.cutters[p.Part].fount.height == 0 {
		return refuse("no figures of a table name its shapes")
	}
	if len(p.Words) == 0 || p.From < 0 || p.From >= p.To || p.To > len(p.Text) {
		return refuse("it is not known where it stands")
	}
	c := r.cutters[p.Part]
	var list []int32
	for i := range c.marks.List {
		m := &c.marks.List[i]
		x, y := float64(m.X0+m.X1)/2, float64(m.Y0+m.Y1)/2
		if slices.ContainsFunc(p.Words, func(b extract.Rect) bool { return b.Contains(x, y) }) {
			list = append(list, int32(i))
		}
	}
	slices.SortFunc(list, func(a, b int32) int {
		return cmp.Or(c.marks.List[a].X0-c.marks.List[b].X0, int(a-b))
	})
	var best *prose
	for _, t := range c.typesOf(list) {
		for _, scale := range []float64{1, 0.96, 1.04} {
			q := newProse(c, list, t, scale, p, r.reader)
			if best == nil || q.before(best) {
				best = q
			}
		}
	}
	if best == nil {
		return refuse("nothing as high as a figure stands there")
	}
	return best.reading
}

// typeSize is a height of figures and the foot on which they stand, flat.
type typeSize struct{ height, foot float64 }

// typesOf lists what the height of figures may be among some marks: each height that
// is near to the table's, by the marks of about that height on one foot.
func (c *cutter) typesOf(list []int32) []typeSize {
	var out []typeSize
	for _, i := range list {
		h := float64(c.marks.List[i].Height())
		if h < 7 || h < smallestType*c.fount.height || h > largestType*c.fount.height {
			continue
		}
		var heights, feet []float64
		for _, k := range list {
			m := &c.marks.List[k]
			if math.Abs(float64(m.Height())-h) <= math.Max(1, 0.08*h) && math.Abs(m.Box.Y1-c.marks.List[i].Box.Y1) < 0.15*h {
				heights, feet = append(heights, float64(m.Height())), append(feet, m.Box.Y1)
			}
		}
		t := typeSize{median(heights), median(feet)}
		if !slices.ContainsFunc(out, func(o typeSize) bool { return math.Abs(o.height-t.height) < 1 && math.Abs(o.foot-t.foot) < 2 }) {
			out = append(out, t)
		}
	}
	return out
}

// prose is a number in running text read at one size of type.
type prose struct {
	*cutter
	foot    float64
	rd      *reader
	list    []int32
	reading Reading
	like    float64 // of the figures, summed over them and divided by their number
}

func (q *prose) before(o *prose) bool {
	if a, b := len(q.reading.Doubts) == 0, len(o.reading.Doubts) == 0; a != b {
		return a
	}
	return q.like > o.like
}

func newProse(c *cutter, list []int32, t typeSize, scale float64, p Prose, rd *reader) *prose {
	k := t.height / c.fount.height
	f := c.fount
	f.height, f.pitch, f.width, f.point, f.gap, f.minus = t.height, k*f.pitch, k*f.width, k*k*f.point, k*f.gap, k*f.minus
	q := &prose{foot: t.foot, rd: rd, list: list,
		cutter: &cutter{sheet: c.sheet, marks: c.marks, slots: []Slot{{}}, of: [][]int32{list}, fount: f}}
	q.cutter.foot = []float64{t.foot}
	q.reading = q.read(p, scale)
	return q
}

func (q *prose) read(p Prose, scale float64) Reading {
	glyphs := q.glyphs(0)
	r := Reading{Confidence: 1}
	doubt := func(format string, args ...any) { r.Doubts = append(r.Doubts, fmt.Sprintf(format, args...)) }
	text := []rune(p.Text)
	from := len([]rune(p.Text[:p.From]))
	n := len([]rune(p.Text[p.From:p.To]))
	at := -1
	switch {
	case from == 0:
		at = 0
	case len(glyphs) == len(text):
		at = from
	case from+n == len(text):
		at = len(glyphs) - n
	}
	if at < 0 || at+n > len(glyphs) {
		r.Confidence = 0
		doubt("%d pieces of print stand where %d characters are read", len(glyphs), len(text))
		return r
	}
	for _, g := range glyphs {
		if g.kind != figure {
			continue
		}
		drawn := *q.cutter
		drawn.fount.height *= scale
		drawn.draw(g)
		q.rd.read(g)
	}
	number := glyphs[at : at+n]
	var b strings.Builder
	var rivals [][2]byte // position and figure
	figures := 0
	for i, g := range number {
		switch {
		case q.comma(g):
			b.WriteByte(',')
		case q.point(g):
			b.WriteByte('.')
		case g.kind == minus && i == 0:
			b.WriteByte('-')
		case g.kind == figure && g.name != 0:
			b.WriteByte(g.name)
			q.like += g.like
			r.Confidence = math.Min(r.Confidence, math.Max(0, g.margin))
			if g.margin < leastMargin && g.rival != 0 {
				rivals = append(rivals, [2]byte{byte(b.Len() - 1), g.rival})
			}
			if why := q.unclear(g); why != "" {
				doubt("the %s figure %s", ordinal(figures), why)
			} else if g.sort.doubled || g.sort.purity < leastPurity && !g.sort.seconded {
				r.Shaky = append(r.Shaky, fmt.Sprintf("the %s figure is read by a group of %c that is not pure", ordinal(figures), g.name))
			}
			figures++
		default:
			b.WriteByte('?')
			r.Confidence = 0
			doubt("the %s piece of print is neither figure nor point nor minus sign", ordinal(i))
		}
	}
	r.Text = b.String()
	for _, v := range rivals {
		t := []byte(r.Text)
		t[v[0]] = v[1]
		r.Candidates = append(r.Candidates, string(t))
	}
	if figures == 0 {
		doubt("no figure stands there")
		return r
	}
	q.like /= float64(figures)
	q.spacing(number, doubt)
	q.surroundings(p, glyphs, at, n, doubt)
	return r
}

// unclear says why a glyph is not vouched for as the figure to which it is nearest.
func (q *prose) unclear(g *glyph) string {
	h := q.fount.height
	switch {
	case g.margin < leastMargin:
		return fmt.Sprintf("lies between %c and %c", g.name, g.rival)
	case g.like < proseLike*q.rd.base:
		return fmt.Sprintf("is like no %c of the table", g.name)
	case math.Abs(g.height()-h) > math.Max(1.5, 0.14*h) || math.Abs(q.up(g)) > math.Max(1.5, 0.12*h):
		return "is raised, lowered or of another size"
	}
	return ""
}

// up is how far a glyph stands above the foot of the figures, in pixels.
func (q *prose) up(g *glyph) float64 {
	return q.foot - (q.level(g) + g.height()/2)
}

// low reports whether a glyph is a small mark at the foot.
func (q *prose) low(g *glyph) bool {
	h := q.fount.height
	return g.kind != figure && g.kind != minus && g.kind != raised && g.height() <= 0.6*h && g.width() <= 0.45*h && q.up(g)+g.height() < 0.45*h
}

// comma and point tell a low mark with a tail under the foot from one without; what
// lies between is neither. The other reader must say the same.
func (q *prose) comma(g *glyph) bool {
	h := q.fount.height
	return q.low(g) && q.up(g) < -math.Max(1.2, 0.06*h) && g.height() > 1.15*g.width() && g.height() > 0.2*h
}

func (q *prose) point(g *glyph) bool {
	h := q.fount.height
	return q.low(g) && g.kind == point && !q.comma(g) && math.Abs(q.up(g)) < math.Max(1.2, 0.08*h) && g.height() < 1.6*g.width()+1 && g.height() < 0.36*h &&
		(q.fount.point == 0 || float64(g.area) > 0.4*q.fount.point && float64(g.area) < 2.2*q.fount.point)
}

// mayPoint reports whether a low mark may be a point, be it worn or clogged: what has
// come off a letter is smaller or longer.
func (q *prose) mayPoint(g *glyph) bool {
	w, t := g.width(), g.height()
	return q.low(g) && w > 0.5*t-1 && w < 2*t && (q.fount.point == 0 || float64(g.area) > 0.35*q.fount.point && float64(g.area) < 2.5*q.fount.point)
}

// clear reports whether a glyph passes for a figure.
func (q *prose) clear(g *glyph) bool { return g.kind == figure && g.name != 0 && q.unclear(g) == "" }

// spacing doubts figures that do not stand at the pitch.
func (q *prose) spacing(number []*glyph, doubt func(string, ...any)) {
	var last *glyph
	parted := false
	for _, g := range number {
		switch {
		case g.kind == minus:
			last = nil
		case g.kind != figure:
			parted = true
		default:
			if last != nil {
				if d := g.mid() - last.mid(); !q.fount.placed(d, parted) {
					doubt("its figures stand %.1f pixels apart, their pitch is %.1f", d, q.fount.pitch)
				}
			}
			last, parted = g, false
		}
	}
	if number[0].kind == minus && len(number) > 1 && float64(number[1].x0-number[0].x1) > 0.6*q.fount.height {
		doubt("the dash stands apart from the figures")
	}
}

// surroundings doubts a number beside which stands what may belong to it.
func (q *prose) surroundings(p Prose, glyphs []*glyph, at, n int, doubt func(string, ...any)) {
	h := q.fount.height
	first, last := glyphs[at], glyphs[at+n-1]
	text, rest := []rune(p.Text), []rune(p.Text[p.To:]+p.Next)
	if at > 0 {
		// A letter set to the figures cannot be told from a sign by its shape.
		before := text[len([]rune(p.Text[:p.From]))-1]
		if g := glyphs[at-1]; !strings.ContainsRune("([", before) || g.height() <= 1.1*h {
			doubt("what stands directly before it is not understood")
		}
	}
	end := last
	if at+n < len(glyphs) {
		g := glyphs[at+n]
		next := ' '
		if p.To < len(p.Text) {
			next = rest[0]
		}
		switch {
		case g.kind == raised && len(rest) > 0 && rest[0] == '°' && q.ring(g):
			end = g
		case g.kind == raised:
			doubt("a raised mark or figure stands behind it")
		case (q.point(g) || q.comma(g)) && at+n+1 < len(glyphs) && q.clear(glyphs[at+n+1]):
			doubt("point and figure stand directly behind it")
		case strings.ContainsRune(".,;:", next) && (q.low(g) || q.stacked(g)):
		case q.clear(g):
			doubt("another figure stands directly behind it")
		case strings.ContainsRune(")]}", next) && (g.height() > 1.1*h || g.height() > 0.95*h && g.width() < 0.4*h):
		case unicode.IsLetter(next) && g.kind != minus && (g.height() < 0.85*h || len(glyphs) == len(text)):
		default:
			// A fraction is read as a letter or a sign.
			doubt("what stands directly behind it is not understood")
		}
	}
	if at == 0 {
		q.preceding(p.Prev, first, doubt)
	}
	for i := range q.marks.List {
		m := &q.marks.List[i]
		if slices.Contains(q.list, int32(i)) || q.dusty(m) || m.Box.MidY() < q.foot-1.2*h || m.Box.MidY() > q.foot+0.35*h || float64(m.Height()) > 3*h {
			continue
		}
		k := q.kind(m.Box, q.foot)
		before, behind := float64(first.x0-m.X1), float64(m.X0-end.x1)
		g := q.glyphOf(int32(i))
		switch {
		case before > -0.3*h && before < signed*h && at == 0 && (k == minus || q.plus(int32(i))):
			doubt("a sign may stand before it")
		case k == raised && behind > -0.3*h && behind < direct*h && at+n == len(glyphs):
			if len(rest) == 0 || rest[0] != '°' || !q.ring(g) {
				doubt("a raised mark or figure stands behind it")
			}
		case before < direct*h && behind < direct*h:
			doubt("print stands directly beside it that was not read with it")
		}
	}
}

// preceding doubts a number before which stands a figure, or a point that may belong to
// it: the other reader may have taken "0." before "6" for a word.
func (q *prose) preceding(prev string, first *glyph, doubt func(string, ...any)) {
	h := q.fount.height
	before := *q.cutter
	before.of = [][]int32{nil}
	for i := range q.marks.List {
		m := &q.marks.List[i]
		if gap := float64(first.x0 - m.X1); gap > -0.3*h && gap < 3*h && m.Box.MidY() > q.foot-h && m.Box.MidY() < q.foot+0.3*h && !slices.Contains(q.list, int32(i)) {
			before.of[0] = append(before.of[0], int32(i))
		}
	}
	slices.SortFunc(before.of[0], func(a, b int32) int { return cmp.Or(q.marks.List[a].X0-q.marks.List[b].X0, int(a-b)) })
	glyphs := before.glyphs(0)
	if len(glyphs) == 0 {
		return
	}
	last := glyphs[len(glyphs)-1]
	if last.kind == figure {
		before.draw(last)
		q.rd.read(last)
	}
	gap := float64(first.x0 - last.x1)
	switch {
	case q.mayPoint(last) && gap < pointed*h && !closes(prev):
		doubt("a point may stand before it")
	case q.clear(last) && gap < h:
		doubt("a figure stands before it")
	}
}

// closes reports whether a low mark ends the word before a number, as the comma does in
// "Reynolds number, 8,000".
func closes(prev string) bool {
	r := []rune(prev)
	return len(r) > 2 && strings.ContainsRune(",;:", r[len(r)-1]) && unicode.IsLetter(r[len(r)-2]) && unicode.IsLetter(r[len(r)-3])
}

// plus reports whether a mark may be a plus sign: as wide as high, half-way up, with
// nothing in its corners.
func (q *prose) plus(i int32) bool {
	m := &q.marks.List[i]
	h, w, t := q.fount.height, float64(m.Width()), float64(m.Height())
	mid := q.foot - m.Box.MidY()
	if t < 0.4*h || t > 1.1*h || math.Abs(w-t) > 0.25*t || mid < 0.2*h || mid > 0.7*h {
		return false
	}
	dx, dy := m.Width()/4, m.Height()/4
	for y := m.Y0; y < m.Y1; y++ {
		for x := m.X0; x < m.X1; x++ {
			if (x < m.X0+dx || x >= m.X1-dx) && (y < m.Y0+dy || y >= m.Y1-dy) && q.marks.Of[y*q.sheet.W+x] == i+1 {
				return false
			}
		}
	}
	return true
}

func (q *prose) glyphOf(i int32) *glyph {
	m := &q.marks.List[i]
	return &glyph{kind: q.kind(m.Box, q.foot), x0: m.X0, x1: m.X1, y0: m.Y0, y1: m.Y1, marks: []int32{i}, area: m.Area}
}

// ring reports whether a raised piece is a degree sign: a small ring, as wide as high,
// where a raised figure is higher and narrow and a footnote mark is no ring. It may be
// broken in one place.
func (q *prose) ring(g *glyph) bool {
	h, w, t := q.fount.height, g.width(), g.height()
	if g.kind != raised || len(g.marks) > 3 || t < 0.2*h || t > 0.56*h || w < 0.78*t || w > 1.3*t {
		return false
	}
	const sectors = 8
	var around [sectors]bool
	for y := g.y0; y < g.y1; y++ {
		for x := g.x0; x < g.x1; x++ {
			if o := q.marks.Of[y*q.sheet.W+x]; o == 0 || !slices.Contains(g.marks, o-1) {
				continue
			}
			dx, dy := (float64(x)+0.5-g.mid())/w, (float64(y)+0.5-float64(g.y0+g.y1)/2)/t
			if math.Hypot(dx, dy) < 0.16 {
				return false // no paper in the middle
			}
			around[int(math.Floor((math.Atan2(dy, dx)/math.Pi+1)*sectors/2))%sectors] = true
		}
	}
	inked := 0
	for _, is := range around {
		if is {
			inked++
		}
	}
	return inked >= sectors-1
}

// stacked reports whether a piece is two marks over one another, as a colon is.
func (q *prose) stacked(g *glyph) bool {
	if len(g.marks) != 2 {
		return false
	}
	a, b := q.marks.List[g.marks[0]], q.marks.List[g.marks[1]]
	return a.Y1 < b.Y0 || b.Y1 < a.Y0
}
