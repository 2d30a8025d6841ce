package grid

import (
	"math"
	"sort"
	"strings"
	"unicode"

	"windtally/extract"
)

// line is the words that share a baseline, left to right.
type line struct {
	y     float64
	items []*item
	box   extract.Rect
}

// chunk is a run of words of a line set close to each other.
type chunk struct {
	items []*item
	box   extract.Rect
}

// pitchOf estimates the distance between rows: the usual distance from a word to
// the next one below it in its own column. Sizes of words in text layers of scans
// are guesses, distances are not.
func pitchOf(items []*item, height float64) float64 {
	byY := append([]*item(nil), items...)
	sort.SliceStable(byY, func(i, j int) bool { return byY[i].mid < byY[j].mid })
	var d []float64
	for i, a := range byY {
		if a.kind != figure && a.kind != text {
			continue
		}
		for j := i + 1; j < len(byY) && byY[j].mid-a.mid < 4*height; j++ {
			b := byY[j]
			if b.kind != a.kind || b.mid-a.mid < 0.45*height {
				continue
			}
			over := math.Min(a.box.X1, b.box.X1) - math.Max(a.box.X0, b.box.X0)
			if over > 0.5*math.Min(a.box.Width(), b.box.Width()) {
				d = append(d, b.mid-a.mid)
				break
			}
		}
	}
	if len(d) < 3 {
		return 0
	}
	return median(d)
}

// linesOf gathers items into lines. Lines stand where the middles of words
// gather; a word belongs to the nearest. The reach of a line follows from the
// pitch, so that a layer with oversized boxes does not melt rows together.
func linesOf(items []*item, height float64) []*line {
	if len(items) == 0 {
		return nil
	}
	reach := height
	if p := pitchOf(items, height); p > 0 {
		reach = math.Min(height, p)
	}
	byY := append([]*item(nil), items...)
	sort.SliceStable(byY, func(i, j int) bool { return byY[i].mid < byY[j].mid })
	type peak struct{ y, strength, reach float64 }
	peaks := make([]peak, 0, len(byY))
	lo := 0
	for _, it := range byY {
		// small print beside large: each word reaches as far as its own height
		own := math.Max(math.Min(it.box.Height(), reach), 0.4*reach)
		w := 0.3 * own
		for byY[lo].mid < it.mid-0.3*reach {
			lo++
		}
		s, sum, tall := 0.0, 0.0, 0.0
		for j := lo; j < len(byY) && byY[j].mid <= it.mid+w; j++ {
			k := 1 - math.Abs(byY[j].mid-it.mid)/(w+1e-9)
			if k <= 0 {
				continue
			}
			h := byY[j].box.Height()
			if h > 1.5*height || byY[j].kind == mark {
				k *= 0.2 // a word taller than the line says little about where the line is
			}
			s += k
			sum += k * byY[j].mid
			tall += k * math.Max(math.Min(h, reach), 0.4*reach)
		}
		p := peak{it.mid, s, own}
		if s > 0 {
			p.y, p.reach = sum/s, tall/s
		}
		peaks = append(peaks, p)
	}
	sort.SliceStable(peaks, func(i, j int) bool { return peaks[i].strength > peaks[j].strength })
	var ys []float64 // sorted
	for _, p := range peaks {
		i := sort.SearchFloat64s(ys, p.y)
		if i > 0 && p.y-ys[i-1] < 0.6*p.reach || i < len(ys) && ys[i]-p.y < 0.6*p.reach {
			continue
		}
		ys = append(ys, 0)
		copy(ys[i+1:], ys[i:])
		ys[i] = p.y
	}
	lines := make([]*line, len(ys))
	for i, y := range ys {
		lines[i] = &line{y: y}
	}
	for _, it := range items {
		l := lines[nearest(ys, it.mid)]
		l.items = append(l.items, it)
	}
	out := lines[:0]
	for _, l := range lines {
		if len(l.items) == 0 {
			continue
		}
		l.finish()
		out = append(out, l)
	}
	return out
}

func (l *line) finish() {
	sort.SliceStable(l.items, func(i, j int) bool { return l.items[i].box.X0 < l.items[j].box.X0 })
	for i, it := range l.items {
		if i == 0 {
			l.box = it.box
		} else {
			l.box = span(l.box, it.box)
		}
	}
}

// nearest returns the index of the value of sorted v that is nearest to y.
func nearest(v []float64, y float64) int {
	i := sort.SearchFloat64s(v, y)
	if i == len(v) || i > 0 && y-v[i-1] <= v[i]-y {
		i--
	}
	return max(i, 0)
}

// chunks cuts a line where the gap between words is wider than gap, and at leaders.
func (l *line) chunks(gap float64) []chunk {
	var out []chunk
	var cur chunk
	flush := func() {
		if len(cur.items) > 0 {
			out = append(out, cur)
		}
		cur = chunk{}
	}
	for _, it := range l.items {
		if it.kind == leader {
			flush()
			continue
		}
		if len(cur.items) > 0 && it.box.X0-cur.box.X1 > gap {
			flush()
		}
		if len(cur.items) == 0 {
			cur.box = it.box
		} else {
			cur.box = span(cur.box, it.box)
		}
		cur.items = append(cur.items, it)
	}
	flush()
	return out
}

// figures reports whether the chunk reads as a figure: it has one, and at most
// as many words beside it.
func (c chunk) figures() bool {
	f, t := 0, 0
	for _, it := range c.items {
		switch it.kind {
		case figure:
			f++
		case text:
			t++
		}
	}
	return f > 0 && f > t
}

func (l *line) text() string { return joined(l.items) }

func joined(items []*item) string {
	s := make([]string, len(items))
	for i, it := range items {
		s[i] = it.word.Text
	}
	return strings.Join(s, " ")
}

// prose reports whether the line reads as running text: four words and more in a
// row, set close. Text layers leave words narrower than print, so the space may
// look wide.
func (l *line) prose() bool {
	t, f, run, longest := 0, 0, 0, 0
	var prev *item
	for _, it := range l.items {
		if it.kind == leader || it.stem != it.word.Text {
			return false
		}
		if it.kind == figure {
			f++
		}
		if it.kind != text || !spelled(it.stem) {
			if it.kind != mark && it.kind != figure {
				run = 0
			}
			continue
		}
		t++
		if prev != nil && it.box.X0-prev.box.X1 > 2.6*prev.box.Height() {
			run = 0
		}
		run++
		longest = max(longest, run)
		prev = it
	}
	return longest >= 4 && t >= 3*f
}

// spelled reports whether a word is made of letters.
func spelled(s string) bool {
	n, k := 0, 0
	for _, r := range s {
		n++
		if unicode.IsLetter(r) {
			k++
		}
	}
	return k >= 2 && 10*k >= 7*n
}
