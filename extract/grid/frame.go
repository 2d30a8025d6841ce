package grid

import (
	"math"
	"sort"

	"windtally/extract"
)

// item is one word in the reading frame with the page's slope removed.
type item struct {
	at   int          // index among the page's words
	word extract.Word // as given
	raw  extract.Rect // in the reading frame, as it stands
	box  extract.Rect // the same, levelled; a leader at its end cut off
	kind kind
	stem string  // text without a leader at its end
	mid  float64 // box.MidY(), or what a column's own offset made of it
}

// frame is the reading frame of the words of one direction of writing.
type frame struct {
	turn           int
	w, h           float64 // of the seen page
	items          []*item
	rules          []extract.Rule // in the reading frame, levelled
	height         float64        // usual height of a word
	slope          float64        // of the baselines: dy/dx
	shear          float64        // of the columns: dx/dy
	pivotX, pivotY float64
	fixed          bool // a person has fixed the region
	// captioned says that a caption announces a table here: a label and a figure
	// need no wide gap between them to be a row.
	captioned bool
}

// upright turns a rectangle of the seen frame into the reading frame.
func (f *frame) upright(r extract.Rect) extract.Rect {
	switch f.turn {
	case 90:
		return extract.Rect{X0: r.Y0, Y0: f.w - r.X1, X1: r.Y1, Y1: f.w - r.X0}
	case 180:
		return extract.Rect{X0: f.w - r.X1, Y0: f.h - r.Y1, X1: f.w - r.X0, Y1: f.h - r.Y0}
	case 270:
		return extract.Rect{X0: f.h - r.Y1, Y0: r.X0, X1: f.h - r.Y0, Y1: r.X1}
	}
	return r
}

// seen turns a rectangle of the reading frame back into the seen frame.
func (f *frame) seen(r extract.Rect) extract.Rect {
	switch f.turn {
	case 90:
		return extract.Rect{X0: f.w - r.Y1, Y0: r.X0, X1: f.w - r.Y0, Y1: r.X1}
	case 180:
		return extract.Rect{X0: f.w - r.X1, Y0: f.h - r.Y1, X1: f.w - r.X0, Y1: f.h - r.Y0}
	case 270:
		return extract.Rect{X0: r.Y0, Y0: f.h - r.X1, X1: r.Y1, Y1: f.h - r.X0}
	}
	return r
}

func newFrame(p extract.Page, turn int, region *extract.Rect) *frame {
	f := &frame{turn: turn, w: p.Width, h: p.Height}
	for i, w := range p.Words {
		if w.Turn != turn || !finite(w.Box) || w.Text == "" {
			continue
		}
		if region != nil && !within(*region, w.Box) {
			continue
		}
		it := &item{at: i, word: w, raw: f.upright(w.Box)}
		if it.raw.X1 < it.raw.X0 || it.raw.Y1 < it.raw.Y0 {
			continue
		}
		it.kind, it.stem = classify(w.Text)
		f.items = append(f.items, it)
	}
	for _, r := range p.Rules {
		b := extract.Rect{X0: math.Min(r.X0, r.X1), Y0: math.Min(r.Y0, r.Y1), X1: math.Max(r.X0, r.X1), Y1: math.Max(r.Y0, r.Y1)}
		if !finite(b) {
			continue
		}
		b = f.upright(b)
		f.rules = append(f.rules, extract.Rule(b))
	}
	sort.SliceStable(f.items, func(i, j int) bool {
		a, b := f.items[i].raw, f.items[j].raw
		if a.MidY() != b.MidY() {
			return a.MidY() < b.MidY()
		}
		return a.X0 < b.X0
	})
	var hs []float64
	var all extract.Rect
	for i, it := range f.items {
		hs = append(hs, it.raw.Height())
		if i == 0 {
			all = it.raw
		} else {
			all = span(all, it.raw)
		}
	}
	f.height = math.Max(median(hs), 0.5)
	f.pivotX, f.pivotY = all.MidX(), all.MidY()
	f.slope = slopeOf(f.items, f.height, f.pivotX)
	f.level()
	return f
}

// level applies slope and shear to the items.
func (f *frame) level() {
	for _, it := range f.items {
		dy := f.slope * (it.raw.MidX() - f.pivotX)
		dx := f.shear * (it.raw.MidY() - f.pivotY)
		it.box = extract.Rect{X0: it.raw.X0 - dx, X1: it.raw.X1 - dx, Y0: it.raw.Y0 - dy, Y1: it.raw.Y1 - dy}
		if n := len([]rune(it.word.Text)); it.kind != leader && n > 0 {
			it.box.X1 = it.box.X0 + it.box.Width()*float64(len([]rune(it.stem)))/float64(n)
		}
		it.mid = it.box.MidY()
	}
}

// span is the union of two rectangles that also holds empty ones.
func span(a, b extract.Rect) extract.Rect {
	return extract.Rect{X0: math.Min(a.X0, b.X0), Y0: math.Min(a.Y0, b.Y0), X1: math.Max(a.X1, b.X1), Y1: math.Max(a.Y1, b.Y1)}
}

// maxSlope is the steepest baseline looked for: a scan is rarely more than two
// degrees askew.
const maxSlope = 0.045

// slopeOf estimates the slope of the baselines: the one at which the middles of
// the words, slid along it, gather most sharply. Level wins unless another slope
// gathers clearly better, for few words gather by chance.
func slopeOf(items []*item, height, pivot float64) float64 {
	if len(items) < 12 {
		return 0
	}
	ys := make([]float64, len(items))
	score := func(s float64) float64 {
		for i, it := range items {
			ys[i] = it.raw.MidY() - s*(it.raw.MidX()-pivot)
		}
		sort.Float64s(ys)
		return gathering(ys, height*0.25)
	}
	level := score(0)
	best, at := level*1.06, 0.0
	const step = 0.0015
	for k := 1; float64(k)*step <= maxSlope; k++ {
		for _, s := range []float64{float64(k) * step, -float64(k) * step} {
			if v := score(s); v > best {
				best, at = v, s
			}
		}
	}
	return at
}

// gathering measures how closely sorted positions gather: the number of pairs
// nearer than w, each weighted by its nearness.
func gathering(v []float64, w float64) float64 {
	sum := 0.0
	for i := range v {
		for j := i + 1; j < len(v) && v[j]-v[i] < w; j++ {
			sum += 1 - (v[j]-v[i])/w
		}
	}
	return sum
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

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	return s[int(q*float64(len(s)-1)+0.5)]
}
