package grid

import (
	"math"
	"regexp"
	"sort"
	"strings"
)

// zone is a part of the page in which text flows in one column.
type zone struct {
	items []*item
}

// caption is a line that names a table, and the lines that go on with it.
type caption struct {
	items     []*item
	number    string
	text      string
	continued bool
	y0        float64
}

var (
	captionUpper = regexp.MustCompile(`^T[Aa][Bb][Ll][Ee]\s*([IVXLivxl1]+|[0-9]+[A-Za-z]?|[A-Z])?\s*([.,:;\-–—]|$|\(|Concluded|Continued|CONTINUED|CONCLUDED)`)
	ruinedNumber = regexp.MustCompile(`^[IVXL]+`)
	goesOn       = regexp.MustCompile(`(?i)\b(continued|concluded|cont'd|contd)\b`)
	inProse      = regexp.MustCompile(`^(Table|TABLE)\s*[IVXL0-9]+[A-Za-z]?\s+[a-z]`)
)

// captionAt returns the number that a chunk of words beginning with "Table" bears,
// and whether it is a caption at all.
func captionAt(items []*item) (number string, ok bool) {
	if len(items) == 0 || !strings.HasPrefix(strings.ToLower(items[0].word.Text), "table") {
		return "", false
	}
	s := joined(items)
	if inProse.MatchString(s) {
		return "", false
	}
	m := captionUpper.FindStringSubmatch(s)
	if m == nil && len(items) >= 4 && strings.HasPrefix(s, "TABLE") && capitals(items) {
		// a ruined number: the capitals of the line still say that it is one
		return ruinedNumber.FindString(items[1].word.Text), true
	}
	if m == nil || m[1] == "" && len(items) > 1 && !strings.ContainsAny(items[0].word.Text, ".-–—:") {
		return "", false
	}
	return m[1], true
}

// startsCaption reports whether a caption begins at items[i] of a line: the word
// "Table", and white space before it.
func (f *frame) startsCaption(items []*item, i int) bool {
	if i > 0 {
		b := items[i-1]
		gap := items[i].box.X0 - b.box.X1
		if gap < 2*f.height || b.kind == text && gap < 3*f.height {
			return false
		}
	}
	_, ok := captionAt(items[i:])
	return ok
}

// zones cuts the page along gutters into parts that hold one column of text each.
func (f *frame) zones() []zone {
	return f.cut(f.items, 0)
}

// maxDepth bounds the cutting: a page has few columns of text.
const maxDepth = 6

func (f *frame) cut(items []*item, depth int) []zone {
	if len(items) == 0 {
		return nil
	}
	if depth < maxDepth {
		if left, right, above, below, ok := f.gutter(items); ok {
			var out []zone
			for _, part := range [][]*item{above, left, right, below} {
				out = append(out, f.cut(part, depth+1)...)
			}
			return out
		}
	}
	return []zone{{items: items}}
}

// gutter looks for the tallest white strip with independent columns of text on
// its two sides.
func (f *frame) gutter(items []*item) (left, right, above, below []*item, ok bool) {
	if len(items) < 12 {
		return nil, nil, nil, nil, false
	}
	x0, x1 := math.Inf(1), math.Inf(-1)
	y0, y1 := math.Inf(1), math.Inf(-1)
	for _, it := range items {
		x0, x1 = math.Min(x0, it.box.X0), math.Max(x1, it.box.X1)
		y0, y1 = math.Min(y0, it.box.Y0), math.Max(y1, it.box.Y1)
	}
	type strip struct{ x0, x1, y0, y1 float64 }
	var strips []strip
	half := math.Max(2.5, 0.45*f.height)
	step := math.Max((x1-x0)/160, 0.5)
	for x := x0 + 0.12*(x1-x0); x < x0+0.88*(x1-x0); x += step {
		ya := y0
		var crossing []*item
		for _, it := range items {
			if it.kind != mark && it.box.X0 < x+half && it.box.X1 > x-half {
				crossing = append(crossing, it)
			}
		}
		sort.SliceStable(crossing, func(i, j int) bool { return crossing[i].box.Y0 < crossing[j].box.Y0 })
		add := func(yb float64) {
			if yb-ya < 6*f.height {
				return
			}
			if n := len(strips); n > 0 {
				for k := n - 1; k >= 0 && k > n-12; k-- {
					if s := &strips[k]; s.x1 >= x-1.5*step && s.y0 == ya && s.y1 == yb {
						s.x1 = x
						return
					}
				}
			}
			strips = append(strips, strip{x, x, ya, yb})
		}
		for _, it := range crossing {
			add(it.box.Y0)
			ya = math.Max(ya, it.box.Y1)
		}
		add(y1)
	}
	sort.SliceStable(strips, func(i, j int) bool {
		a, b := strips[i], strips[j]
		if ha, hb := a.y1-a.y0, b.y1-b.y0; ha != hb {
			return ha > hb
		}
		return a.x1-a.x0 > b.x1-b.x0
	})
	if len(strips) > 60 {
		strips = strips[:60]
	}
	lines := linesOf(items, f.height)
	// of the strips that part independent texts, about equally tall, the one whose
	// sides agree least in their baselines, then the widest
	best, bestMatch, tallest := strip{}, math.Inf(1), 0.0
	for _, s := range strips {
		if ok && s.y1-s.y0 < 0.8*tallest {
			break
		}
		l, r, _, _ := divide(items, (s.x0+s.x1)/2, s.y0, s.y1)
		if !f.independent(l, r) || f.cutsRows(items, l, r, lines, s.y0, s.y1) {
			continue
		}
		m := math.Round(10 * matched(linesOf(l, f.height), linesOf(r, f.height), f.height))
		if !ok {
			tallest = s.y1 - s.y0
		}
		if !ok || m < bestMatch || m == bestMatch && s.x1-s.x0 > best.x1-best.x0 {
			best, bestMatch, ok = s, m, true
		}
	}
	if !ok {
		return nil, nil, nil, nil, false
	}
	left, right, above, below = divide(items, (best.x0+best.x1)/2, best.y0, best.y1)
	return left, right, above, below, true
}

// divide sorts items by where they stand to a strip at x from y0 to y1.
func divide(items []*item, x, y0, y1 float64) (left, right, above, below []*item) {
	for _, it := range items {
		switch m := it.box.MidY(); {
		case m < y0:
			above = append(above, it)
		case m > y1:
			below = append(below, it)
		case it.box.MidX() < x:
			left = append(left, it)
		default:
			right = append(right, it)
		}
	}
	return left, right, above, below
}

// independent reports whether two groups of words side by side are columns of
// their own: each has its caption, or one is prose beside figures, or their rows
// do not stand on common baselines.
func (f *frame) independent(left, right []*item) bool {
	if len(left) < 6 || len(right) < 6 {
		return false
	}
	l, r := linesOf(left, f.height), linesOf(right, f.height)
	if len(l) < 4 || len(r) < 4 {
		return false
	}
	cl, cr := f.captionStarts(l), f.captionStarts(r)
	if len(cl) > 0 && len(cr) > 0 {
		for _, a := range cl {
			for _, b := range cr {
				if math.Abs(a-b) < 8*f.height {
					return true
				}
			}
		}
	}
	pl, pr := proseShare(l), proseShare(r)
	fl, fr := figureLines(l, f.height), figureLines(r, f.height)
	if pl > 0.6 && pr > 0.6 {
		return true
	}
	if pl > 0.7 && fr >= 3 && (len(cr) > 0 || matched(l, r, f.height) < 0.75) ||
		pr > 0.7 && fl >= 3 && (len(cl) > 0 || matched(l, r, f.height) < 0.75) {
		return true
	}
	if !(fl >= 3 && (fr >= 3 || pr > 0.4) || fr >= 3 && (fl >= 3 || pl > 0.4)) {
		return false // neither side can hold a table of its own beside the other
	}
	return len(l) >= 5 && len(r) >= 5 && matched(l, r, f.height) < 0.7
}

// cutsRows reports whether a strip from y0 to y1 begins or ends between rows of
// figures: then it lies inside a table. Signs of two texts side by side that are
// stronger than rows overrule that.
func (f *frame) cutsRows(items, left, right []*item, lines []*line, y0, y1 float64) bool {
	if f.sided(left, right) {
		return false
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, it := range items {
		lo, hi = math.Min(lo, it.box.Y0), math.Max(hi, it.box.Y1)
	}
	for _, y := range []float64{y0, y1} {
		if y <= lo || y >= hi {
			continue
		}
		for i := 1; i < len(lines); i++ {
			a, b := lines[i-1], lines[i]
			if a.y < y && b.y >= y && b.y-a.y < 2.2*f.height && f.rowKindOf(a) == row && f.rowKindOf(b) == row {
				return true
			}
		}
	}
	return false
}

// sided reports whether both sides begin a caption, or one is prose throughout:
// signs stronger than rows that happen to stand on common baselines.
func (f *frame) sided(left, right []*item) bool {
	l, r := linesOf(left, f.height), linesOf(right, f.height)
	return len(f.captionStarts(l)) > 0 && len(f.captionStarts(r)) > 0 || proseShare(l) > 0.7 || proseShare(r) > 0.7
}

func (f *frame) captionStarts(lines []*line) []float64 {
	var out []float64
	for _, l := range lines {
		for i := range l.items {
			if f.startsCaption(l.items, i) {
				out = append(out, l.y)
			}
		}
	}
	return out
}

func proseShare(lines []*line) float64 {
	n := 0
	for _, l := range lines {
		if l.prose() {
			n++
		}
	}
	return float64(n) / float64(len(lines))
}

// figureLines counts the lines with two figures or more apart from each other.
func figureLines(lines []*line, height float64) int {
	n := 0
	for _, l := range lines {
		k := 0
		for _, c := range l.chunks(1.2 * height) {
			if c.figures() {
				k++
			}
		}
		if k >= 2 {
			n++
		}
	}
	return n
}

// matched returns the share of the lines of the sparser side that have a line on
// the other side at the same height, where both sides have lines at all.
func matched(l, r []*line, height float64) float64 {
	a, b := ysOf(l), ysOf(r)
	lo, hi := math.Max(a[0], b[0])-height, math.Min(a[len(a)-1], b[len(b)-1])+height
	keep := func(v []float64) []float64 {
		var out []float64
		for _, y := range v {
			if y >= lo && y <= hi {
				out = append(out, y)
			}
		}
		return out
	}
	a, b = keep(a), keep(b)
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) < 4 {
		return 1
	}
	var d []float64
	for _, y := range a {
		d = append(d, b[nearest(b, y)]-y)
	}
	off := median(d) // a whole column may be set a little off
	if math.Abs(off) > 0.3*height {
		off = 0
	}
	n := 0
	for _, v := range d {
		if math.Abs(v-off) < 0.28*height {
			n++
		}
	}
	return float64(n) / float64(len(a))
}

func ysOf(lines []*line) []float64 {
	out := make([]float64, len(lines))
	for i, l := range lines {
		out[i] = l.y
	}
	sort.Float64s(out)
	return out
}
