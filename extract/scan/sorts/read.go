package sorts

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract/scan"
)

// Input is the cells of one fount: a table, or all tables of a report that are set
// in the same type.
type Input struct {
	Parts []Part
	// Names are the pictures of groups (Result.Groups of any run on the fount) that a
	// person named or is to name; their names go before all votes.
	Names []Named
	// Name, where there is one, names a group from its mean picture ("0" to "9", or
	// "?"), several pictures at a time; it may be nil.
	Name func(ctx context.Context, pictures []Picture) ([]string, error)
}

// Part is the cells of one sheet.
type Part struct {
	Sheet *scan.Sheet
	Marks *scan.Marks
	Slots []Slot
	// Votes are other readers' texts of the slots, for naming groups by majority:
	// one list a reader, each as long as Slots, "" where it has none.
	Votes [][]string
}

// Picture is a small grey picture, 0 black to 255 white, row by row.
type Picture struct {
	W, H int
	Pix  []uint8
}

// Reading is what the shapes of one cell say.
type Reading struct {
	Text string
	// Confidence is that of the weakest glyph, 0 to 1.
	Confidence float64
	// Doubts says in plain words why the text is not vouched for: something about the
	// cell is not as it should be, whatever its figures look like.
	Doubts []string
	// Shaky says of which figures the shape is not clear, where nothing else is wrong:
	// another reader who says the same may settle it.
	Shaky      []string
	Candidates []string
	Empty      bool // no ink stands in the slot
}

// Group is one sort of the fount as found: glyphs of one shape.
type Group struct {
	Key     string // Picture.Digest: the same shape has the same key
	Name    string // "0" to "9", "?" where a person could not tell, or "" where nothing named it
	By      string // person, votes, picture
	Size    int
	Purity  float64 // share of the votes that agree with the name; 1 without votes
	Picture Picture
	Odd     []Picture // the glyphs least like it
	// Of is the picture of Input.Names that the group is, with or without a name yet,
	// and Like how like it is; -1 where it is none.
	Of   int
	Like float64
}

// Matters reports whether the group is large enough to be named.
func (g Group) Matters() bool { return g.Size >= smallest }

// Result is the readings, by part and slot, and the groups that they rest on.
type Result struct {
	Readings [][]Reading
	Groups   []Group

	cutters []*cutter
	reader  *reader
}

// The gates were set by hand on the scans of transcribe's keyed tables alone, TR 572
// and TR 515 among them; no other fount has a say in them yet.
const (
	leastMargin = 0.45 // to the nearest sort of another name
	leastLike   = 0.80 // of what is usual on the page
	// of a glyph whose own group has no name
	surelyNearest = 0.75
	leastPurity   = 0.7  // share of the votes that name a group
	mostOff       = 0.22 // of the pitch, from figure to figure
	smallest      = 3    // glyphs of a group that names others
	// Of the pitch: a point from its usual distance to the figures beside it, and the
	// units of a cell from those of its column.
	mostPointOff = 0.3
	mostUnitsOff = 0.4
	// Of the pitch too: a figure from where its word has a place for it.
	mostBeside = 0.11
	// Of a figure's height: from what is usual of its name in height and foot.
	mostUneven = 0.14
	// With one glyph there is no neighbour to tell how like two of a sort are.
	loneCut = 0.90
)

// sort is the glyphs of one shape, named by their majority.
type sort struct {
	members []*glyph
	mean    []float32
	name    byte
	by      string
	purity  float64
	votes   map[byte]int
	rival   byte // what part of a mixed group seems to be
	doubled bool
	astray  byte // what a second group of the name looks more like
	// alone says that none of the other names it got votes for can be its own: each has
	// another shape.
	alone bool
	// seconded says that the mean picture was read as the votes name it.
	seconded bool
	match    match // to the pictures of a person
	refused  bool  // a person saw no one figure in it
	waits    bool  // nothing can name it yet
}

// Read reads the cells.
func Read(ctx context.Context, in Input) (*Result, error) {
	res := &Result{Readings: make([][]Reading, len(in.Parts))}
	list, err := readNames(in.Names)
	if err != nil {
		return nil, err
	}
	var all []*glyph
	cutters := make([]*cutter, len(in.Parts))
	cells := make([][]cell, len(in.Parts))
	for p, part := range in.Parts {
		c := newCutter(part.Sheet, part.Marks, part.Slots)
		cutters[p] = c
		cells[p] = make([]cell, len(part.Slots))
		for i := range part.Slots {
			if i%64 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			cell := &cells[p][i]
			cell.glyphs = c.dropLeaders(c.glyphs(i))
			for _, g := range cell.glyphs {
				if g.kind == figure {
					c.draw(g)
					all = append(all, g)
				}
			}
		}
	}
	groups := gather(ctx, all)
	for p, part := range in.Parts {
		for _, votes := range part.Votes {
			for i, text := range votes[:min(len(votes), len(cells[p]))] {
				cells[p][i].vote(text)
			}
		}
	}
	groups = purge(ctx, groups)
	if err := ctx.Err(); err != nil {
		return nil, err // grouping was broken off
	}
	nameByPerson(groups, list)
	if err := nameAll(ctx, groups, in); err != nil {
		return nil, err
	}
	hold(groups)
	rd := newReader(groups)
	for i, g := range all {
		if i%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		rd.read(g)
	}
	res.cutters, res.reader = cutters, rd
	for p := range in.Parts {
		res.Readings[p] = cutters[p].judge(cells[p], rd)
	}
	for _, s := range groups {
		g := Group{Size: len(s.members), Purity: s.purity, By: s.by, Picture: picture(s.mean), Odd: s.odd(), Of: s.match.picture, Like: float64(s.match.like)}
		g.Key = g.Picture.Digest()
		switch {
		case s.name != 0:
			g.Name = string(s.name)
		case s.refused:
			g.Name = Unclear
		}
		res.Groups = append(res.Groups, g)
	}
	return res, nil
}

// cell is the glyphs of one slot, from left to right.
type cell struct{ glyphs []*glyph }

// dropLeaders takes a run of small marks at one height at the right end, three or
// more, for a leader of dots or dashes.
func (c *cutter) dropLeaders(g []*glyph) []*glyph {
	h, n := c.fount.height, len(g)
	k := n
	for k > 0 && g[k-1].kind != figure && g[k-1].height() <= 0.45*h && (k == n || math.Abs(c.level(g[k-1])-c.level(g[n-1])) < 0.15*h) {
		k--
	}
	if k > 0 && n-k >= 3 {
		return g[:k]
	}
	return g
}

func (c *cell) figures() []*glyph {
	var out []*glyph
	for _, g := range c.glyphs {
		if g.kind == figure {
			out = append(out, g)
		}
	}
	return out
}

// vote gives the figures of another reader's text to the glyphs, where there are as
// many of them.
func (c *cell) vote(text string) {
	var digits []byte
	for i := 0; i < len(text); i++ {
		if text[i] >= '0' && text[i] <= '9' {
			digits = append(digits, text[i])
		}
	}
	figures := c.figures()
	if len(digits) == 0 || len(digits) != len(figures) {
		return
	}
	for i, g := range figures {
		g.votes = append(g.votes, digits[i])
	}
}

// most bounds the glyphs that are grouped all against all.
const most = 3600

// gather groups glyphs by shape.
func gather(ctx context.Context, all []*glyph) []*sort {
	base := all
	if len(base) > most {
		// Every k-th, so that all pages and columns are in it.
		base = nil
		for i := range most {
			base = append(base, all[i*len(all)/most])
		}
	}
	groups, cut := alike(ctx, base, 0)
	if len(base) < len(all) {
		for _, g := range all {
			if g.of != nil {
				continue
			}
			var best *sort
			top := float32(-1)
			for _, s := range groups {
				if v := dot(g.fine, s.mean); v > top {
					top, best = v, s
				}
			}
			if top >= cut {
				best.members = append(best.members, g)
				g.of = best
				continue
			}
			s := &sort{members: []*glyph{g}, mean: g.fine}
			g.of = s
			groups = append(groups, s)
		}
		for _, s := range groups {
			s.average()
		}
	}
	slices.SortStableFunc(groups, func(a, b *sort) int { return len(b.members) - len(a.members) })
	return groups
}

// alike groups glyphs that are like each other by what is usual among them and closer
// more. It returns the likeness too. What it returns when ctx has ended means nothing.
func alike(ctx context.Context, glyphs []*glyph, closer float32) (groups []*sort, cut float32) {
	n := len(glyphs)
	like := make([]float32, n*n)
	parallel(n, func(i int) {
		if ctx.Err() != nil {
			return
		}
		for j := range i {
			v := dot(glyphs[i].fine, glyphs[j].fine)
			like[i*n+j], like[j*n+i] = v, v
		}
	})
	cut = cutAt(like, n) + closer
	for _, list := range linkage(like, n, cut) {
		s := &sort{}
		for _, i := range list {
			s.members = append(s.members, glyphs[i])
			glyphs[i].of = s
		}
		s.average()
		groups = append(groups, s)
	}
	return groups, cut
}

// cutAt is how like glyphs must be to be one sort: less on noisy paper, where even
// the nearest neighbour of a glyph is less like it.
func cutAt(like []float32, n int) float32 {
	if n < 2 {
		return loneCut
	}
	var near []float64
	for i := range n {
		best := float32(-1)
		for j := range n {
			if j != i {
				best = max(best, like[i*n+j])
			}
		}
		near = append(near, float64(best))
	}
	// On clean print neighbours are 0.98 alike; the share of the signal falls with
	// noise, and the distance between sorts with it.
	typical := median(near)
	return float32(math.Max(0.5, typical-0.075))
}

func (s *sort) average() {
	sum := make([]float64, maskW*maskH)
	for _, g := range s.members {
		for i, v := range g.fine {
			sum[i] += float64(v)
		}
	}
	s.mean = unit(sum)
}

func (s *sort) count() {
	s.votes = map[byte]int{}
	for _, g := range s.members {
		for _, v := range g.votes {
			s.votes[v]++
		}
	}
}

func (s *sort) top() (name byte, n, total int) {
	for d := byte('0'); d <= '9'; d++ {
		total += s.votes[d]
		if s.votes[d] > n {
			name, n = d, s.votes[d]
		}
	}
	return name, n, total
}

// mixed reports whether the members that other readers take for something else than
// the name look otherwise than the rest: then the group may hold two sorts. Where they
// look the same, or still less like the sort of the other name, it is the other reader
// that errs.
func (s *sort) mixed(named []*sort) (rival byte, is bool) {
	name := s.name
	for d := byte('0'); d <= '9'; d++ {
		if d == name || s.votes[d] < 2 {
			continue
		}
		a, b := &sort{}, &sort{}
		for _, g := range s.members {
			switch {
			case slices.Contains(g.votes, name):
				a.members = append(a.members, g)
			case slices.Contains(g.votes, d):
				b.members = append(b.members, g)
			}
		}
		if len(b.members) < 2 || len(a.members) < 2 {
			continue
		}
		a.average()
		b.average()
		// The mean of n noisy masks that are each like the group's by r is off by
		// about (1-r*r)/n.
		r := 0.0
		for _, g := range s.members {
			r += float64(dot(g.fine, s.mean))
		}
		r /= float64(len(s.members))
		expected := 0.5 * (1 - r*r) / (r * r) * (1/float64(len(a.members)) + 1/float64(len(b.members)))
		apart := 1 - float64(dot(a.mean, b.mean))
		if apart <= 3*expected+0.004 {
			continue
		}
		other, own := float32(-1), dot(b.mean, a.mean)
		for _, t := range named {
			if t.name == d && t.astray == 0 {
				other = max(other, dot(b.mean, t.mean))
			}
		}
		if other == -1 || other > own {
			return d, true
		}
	}
	return 0, false
}

// nearer returns the other name that a second, lesser group of a name is more like than
// the first of its own: another reader that errs on a worn shape errs on all of it, and
// its votes name the group wrongly with one voice. It is 0 where there is none. surely
// says that the shapes are as good as one.
func (s *sort) nearer(named []*sort) (name byte, surely bool) {
	var first *sort
	for _, t := range named {
		if t.name == s.name && (first == nil || len(t.members) > len(first.members)) {
			first = t
		}
	}
	if first == nil || first == s {
		return 0, false
	}
	own := dot(s.mean, first.mean)
	top := own
	for _, t := range named {
		if t.name != 0 && t.name != s.name && len(t.members) > len(s.members) {
			if l := dot(s.mean, t.mean); l > top {
				top, name = l, t.name
			}
		}
	}
	return name, top > 0.9 && top > own+0.15
}

// excludes reports whether every other figure that the group got votes for has a sure
// group of its own that is much unlike it: in one fount a figure has one shape.
func (s *sort) excludes(named []*sort) bool {
	for d, n := range s.votes {
		if d == s.name || n < 2 {
			continue
		}
		if !slices.ContainsFunc(named, func(t *sort) bool {
			return t.name == d && t.purity >= 0.9 && len(t.members) >= 8 && dot(s.mean, t.mean) < 0.75
		}) || slices.ContainsFunc(named, func(t *sort) bool { return t.name == d && dot(s.mean, t.mean) >= 0.75 }) {
			return false
		}
	}
	return true
}

// purge parts groups whose votes disagree, by grouping their members more finely.
func purge(ctx context.Context, groups []*sort) []*sort {
	var out []*sort
	for _, s := range groups {
		s.count()
		out = append(out, s.part(ctx, 0)...)
	}
	slices.SortStableFunc(out, func(a, b *sort) int { return len(b.members) - len(a.members) })
	return out
}

func (s *sort) part(ctx context.Context, depth int) []*sort {
	_, top, total := s.top()
	n := len(s.members)
	if depth == 4 || n < 6 || n > most || total == 0 || float64(top) >= 0.9*float64(total) || total-top < 3 {
		return []*sort{s}
	}
	finer, _ := alike(ctx, s.members, float32(0.015*float64(depth+1)))
	var out []*sort
	for _, p := range finer {
		p.count()
		out = append(out, p.part(ctx, depth+1)...)
	}
	return out
}

func nameAll(ctx context.Context, groups []*sort, in Input) error {
	var named []*sort // by votes
	for _, s := range groups {
		if s.by != "" {
			continue
		}
		name, top, total := s.top()
		if total >= 8 && float64(top) >= 0.6*float64(total) {
			s.name, s.by, s.purity = name, "votes", float64(top)/float64(total)
			named = append(named, s)
		}
	}
	for _, s := range named {
		var surely bool
		if s.astray, surely = s.nearer(named); surely {
			s.name, s.by, s.purity, s.astray = 0, "", 0, 0
		}
	}
	named = slices.DeleteFunc(named, func(s *sort) bool { return s.name == 0 })
	for _, s := range named {
		s.rival, s.doubled = s.mixed(named)
	}
	// A few glyphs that stand alone, worn or badly cut, bear few votes: they name a
	// sort only where they agree, and with what the mean looks like.
	rd := newReader(groups)
	for _, s := range groups {
		name, top, total := s.top()
		if s.by != "" || total < 2 || 3*top < 2*total {
			continue
		}
		mean := &glyph{fine: s.mean}
		rd.read(mean)
		if mean.name == name && mean.margin > 0.3 || top == total && total >= 4 && (mean.name == name || mean.margin < leastMargin) {
			s.name, s.by, s.purity = name, "votes", float64(top)/float64(total)
		}
	}
	for _, s := range groups {
		s.alone = s.by == "votes" && s.excludes(named)
	}
	if in.Name == nil {
		return nil
	}
	var pictures []Picture
	var of []*sort
	for _, s := range groups {
		if s.by != "person" && len(s.members) >= smallest {
			pictures = append(pictures, picture(s.mean))
			of = append(of, s)
		}
	}
	names, err := in.Name(ctx, pictures)
	if err != nil {
		return err
	}
	for i, s := range of {
		if i >= len(names) || len(names[i]) != 1 || names[i][0] < '0' || names[i][0] > '9' {
			continue
		}
		switch {
		case s.name == 0 && len(s.votes) == 0:
			s.name, s.by, s.purity = names[i][0], "picture", 1
		case s.name == names[i][0]:
			s.seconded = true
		}
	}
	return nil
}

// picture turns a mean into grey.
func picture(mean []float32) Picture {
	p := Picture{W: maskW, H: maskH, Pix: make([]uint8, len(mean))}
	lo, hi := float32(math.Inf(1)), float32(math.Inf(-1))
	for _, v := range mean {
		lo, hi = min(lo, v), max(hi, v)
	}
	for i, v := range mean {
		if hi > lo {
			p.Pix[i] = 255 - uint8(255*(v-lo)/(hi-lo))
		}
	}
	return p
}

// reader reads glyphs by the named groups.
type reader struct {
	named []*sort
	base  float64 // how like a glyph usually is to its sort
	near  float64 // the least likeness that is not out of the ordinary
}

func newReader(groups []*sort) *reader {
	rd := &reader{}
	var likes []float64
	for _, s := range groups {
		if s.name == 0 {
			continue
		}
		if len(s.members) >= smallest || s.by == "person" {
			rd.named = append(rd.named, s)
			for _, g := range s.members {
				likes = append(likes, float64(dot(g.fine, s.mean)))
			}
		}
	}
	rd.base = median(likes)
	var off []float64
	for _, v := range likes {
		off = append(off, math.Abs(v-rd.base))
	}
	rd.near = math.Max(0.5, rd.base-6*1.48*median(off))
	return rd
}

// read names a glyph by its nearest sort, with the margin to the nearest of another
// name: 1 where it stands as its own sort does, 0 half-way, negative beyond.
func (rd *reader) read(g *glyph) {
	if g.of != nil && (g.of.refused || g.of.waits) {
		return
	}
	var best, rival *sort
	var top float32 = -2
	at := g.fine
	for _, play := range [][2]int{{0, 0}, {-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		v := g.fine
		if play != [2]int{} {
			v = shifted(g.fine, play[0], play[1])
		}
		for _, s := range rd.named {
			if l := dot(v, s.mean); l > top {
				top, best, at = l, s, v
			}
		}
	}
	if best == nil {
		return
	}
	g.name, g.like = best.name, float64(top)
	g.margin = 1
	g.sort = best
	for _, s := range rd.named {
		if s.name == best.name {
			continue
		}
		l := dot(at, s.mean)
		apart := 1 - float64(dot(best.mean, s.mean))
		if apart < 1e-6 {
			apart = 1e-6
		}
		if m := float64(top-l) / apart; m < g.margin {
			g.margin, rival = m, s
		}
	}
	if rival != nil {
		g.rival = rival.name
	}
}

// judge puts the glyphs of every cell together and passes the gates over them.
func (c *cutter) judge(cells []cell, rd *reader) []Reading {
	out := make([]Reading, len(cells))
	for i := range cells {
		out[i] = c.word(i, &cells[i], rd)
	}
	c.commas(cells, out)
	c.conventions(out)
	c.signs(out)
	c.alignment(cells, out, c.spacing(cells, out))
	c.places(cells, out)
	c.sizes(cells, out)
	return out
}

func ordinal(k int) string {
	names := []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}
	if k < len(names) {
		return names[k]
	}
	return fmt.Sprintf("%dth", k+1)
}

// word reads one cell.
func (c *cutter) word(slot int, cl *cell, rd *reader) Reading {
	p := c.fount.pitch
	r := Reading{Confidence: 1}
	if len(cl.glyphs) == 0 {
		r.Empty = true
		if slices.ContainsFunc(c.of[slot], func(k int32) bool { return c.fount.height == 0 || !c.dusty(&c.marks.List[k]) }) {
			r.Doubts, r.Confidence = append(r.Doubts, "ink that is no print"), 0
		}
		return r
	}
	doubt := func(format string, args ...any) { r.Doubts = append(r.Doubts, fmt.Sprintf(format, args...)) }
	shaky := func(format string, args ...any) { r.Shaky = append(r.Shaky, fmt.Sprintf(format, args...)) }
	var b strings.Builder
	var alternatives [][2]byte // position and rival
	figures, points, commas, others := 0, 0, 0, 0
	tailed := 0 // behind the point that is
	for _, g := range cl.glyphs {
		switch g.kind {
		case figure:
			figures++
		case point:
			points++
		case comma:
			commas++
		case minus:
		default:
			others++
		}
	}
	if figures == 0 {
		if c.dashes(cl) {
			r.Text = strings.Repeat("-", len(cl.glyphs))
			return r
		}
		doubt("ink that is neither figure nor dash")
		r.Confidence = 0
		return r
	}
	k := 0
	for i, g := range cl.glyphs {
		switch g.kind {
		case figure:
			name := g.name
			if name == 0 {
				name = '?'
				switch {
				case g.of != nil && g.of.refused:
					doubt("the %s figure is of a shape in which a person saw no one figure", ordinal(k))
				case g.of != nil && g.of.waits:
					doubt("the %s figure is of a shape that nobody has named yet", ordinal(k))
				default:
					doubt("the %s figure is like no named group", ordinal(k))
				}
				r.Confidence = 0
			} else {
				conf := math.Min(1, math.Max(0, g.margin))
				r.Confidence = math.Min(r.Confidence, conf)
				switch {
				case g.margin < leastMargin:
					shaky("the %s figure lies between %c and %c", ordinal(k), g.name, g.rival)
					alternatives = append(alternatives, [2]byte{byte(b.Len()), g.rival})
				case g.like < math.Max(leastLike*rd.base, rd.near) && (g.margin < 0.8 || g.like < 0.7*rd.base):
					shaky("the %s figure is like no %c of the page", ordinal(k), g.name)
				case g.of != nil && g.of.name == 0 && len(g.of.members) >= smallest && g.margin < surelyNearest:
					shaky("the %s figure stands in a group that has no name and is nearest to %c", ordinal(k), g.name)
				case g.of != nil && g.of.name != 0 && g.of.name != g.name:
					shaky("the %s figure stands in the group of %c and is nearest to %c", ordinal(k), g.of.name, g.name)
					alternatives = append(alternatives, [2]byte{byte(b.Len()), g.of.name})
				// In a group that is nearly pure only what nobody else takes for its name.
				case g.sort.doubled && (g.sort.purity < 0.95 || !slices.Contains(g.votes, g.name)):
					doubt("the group of the %s figure, %c, seems to hold %c too", ordinal(k), g.name, g.sort.rival)
				case g.sort.astray != 0:
					doubt("the group of the %s figure, %c, looks more like %c than like the other %cs", ordinal(k), g.name, g.sort.astray, g.name)
				case g.sort.purity < leastPurity && !g.sort.seconded && !g.sort.alone:
					doubt("the group of the %s figure, %c, is named by %.0f %% of the votes alone", ordinal(k), g.name, 100*g.sort.purity)
				}
			}
			b.WriteByte(name)
			k++
		case point:
			b.WriteByte('.')
			if a := float64(g.area); c.fount.point > 0 && (a < 0.4*c.fount.point || a > 2.2*c.fount.point) {
				doubt("the point has %.0f of the usual %.0f pixels", a, c.fount.point)
			}
			if a := float64(g.area) / (c.fount.height * c.fount.height); c.fount.point == 0 && a < 0.012 {
				doubt("the point has %.3f of the square of a figure's height; points have 0.015 and more", a)
			}
			if c.tailed(g) {
				tailed = b.Len()
			}
		case comma:
			b.WriteByte(',')
		case minus:
			b.WriteByte('-')
			if i > 0 {
				doubt("a dash stands inside the figures")
			}
			if m := c.fount.minus; m > 0 && g.width() < 0.55*m {
				doubt("the minus sign has %.0f of the usual %.0f pixels", g.width(), m)
			}
		default:
			if i == len(cl.glyphs)-1 && g.kind == raised {
				doubt("a raised mark stands behind the figures")
				continue
			}
			doubt("ink at %d of %d that is neither figure nor point", i+1, len(cl.glyphs))
		}
	}
	switch why := c.faint(cl, c.slots[cl.glyphs[0].slot].Room); why {
	case "":
	case faintMinus:
		r.Candidates = append(r.Candidates, "-"+b.String())
		fallthrough
	default:
		doubt("%s", why)
	}
	r.Text = b.String()
	if tailed > 0 && thousands(r.Text[:tailed-1]+","+r.Text[tailed:]) {
		doubt(tailedPoint)
		alternatives = append(alternatives, [2]byte{byte(tailed - 1), ','})
	}
	if points > 1 {
		doubt("%d points", points)
	}
	if commas > 0 && !thousands(r.Text) {
		doubt("a mark through the foot, like a comma, that does not part thousands")
	}
	for i, g := range cl.glyphs[:len(cl.glyphs)-1] {
		next := cl.glyphs[i+1]
		switch d := next.mid() - g.mid(); {
		case g.kind == point && next.kind == figure && d > 1.6*p:
			doubt("the point stands %.1f pixels before the next figure, the pitch is %.1f", d, p)
		case g.kind == minus && g.split && next.kind == figure && g.width() > 1.1*c.fount.minus:
			doubt("the minus sign touches a figure and may be in part a stroke of it")
		}
	}
	// The figures of one word stand at the pitch, wider where the point stands.
	var last *glyph
	pointed := false
	k = 0
	for _, g := range cl.glyphs {
		switch g.kind {
		case point, comma:
			pointed = true
		case figure:
			if last != nil {
				if d := g.mid() - last.mid(); !c.fount.placed(d, pointed) {
					doubt("the %s and the %s figure stand %.1f pixels apart, the pitch is %.1f", ordinal(k-1), ordinal(k), d, p)
				}
			}
			last, pointed = g, false
			k++
		}
	}
	for _, a := range alternatives {
		t := []byte(r.Text)
		t[a[0]] = a[1]
		r.Candidates = append(r.Candidates, string(t))
	}
	return r
}

// thousands reports whether commas part the whole figures by threes, none of them
// behind the point.
func thousands(text string) bool {
	whole, part, _ := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	parts := strings.Split(whole, ",")
	for i, p := range parts {
		if i > 0 && len(p) != 3 || len(p) == 0 || len(p) > 3 || len(parts) > 1 && parts[0][0] == '0' {
			return false
		}
	}
	return !strings.Contains(part, ",")
}

const tailedPoint = "the point reaches below the foot as a comma does"

// dashes reports whether the cell holds a row of dots or dashes, as print has it
// where there is no figure: marks of one kind, size and distance.
func (c *cutter) dashes(cl *cell) bool {
	g := cl.glyphs
	if len(g) < 3 {
		return false
	}
	var areas, steps []float64
	for i := range g {
		if g[i].kind != point && g[i].kind != minus || g[i].kind != g[0].kind || math.Abs(c.level(g[i])-c.level(g[0])) > 0.2*c.fount.height {
			return false
		}
		areas = append(areas, float64(g[i].area))
		if i > 0 {
			steps = append(steps, g[i].mid()-g[i-1].mid())
		}
	}
	area, step := median(areas), median(steps)
	return !slices.ContainsFunc(areas, func(a float64) bool { return a < area/2.5 || a > area*2.5 }) &&
		!slices.ContainsFunc(steps, func(d float64) bool { return d < step/1.6 || d > step*1.6 })
}
