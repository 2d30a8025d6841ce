package scan

import (
	"fmt"
	"image"

	"windtally/extract"
)

// Options say what is known of a page image before it is looked at.
type Options struct {
	Page int     // of the source, from 1
	DPI  float64 // of the image; 0 where unknown
	Unit float64 // seen units per pixel: 72/DPI for paged sources, 1 (or 0) for images
	// Turn is the clockwise quarter turn, in degrees, that brings the page upright, or
	// -1 to find it out. Found out it may be wrong by half a turn: whoever reads the
	// print decides, and turns the sheet with Turned.
	Turn int
}

// leastFigure is the height in pixels below which figures cannot be told apart; at
// 9 pixels the counters of 8 and 0 are two pixels wide. Below readableFigure a minus
// sign is thinner than a pixel: on made pages of 150 dpi signs were lost without a
// trace, on those of 200 dpi, with figures of 13.7 pixels and more, they were not.
const (
	leastFigure    = 9
	readableFigure = 13
)

// Prepare makes a page image ready to be read: paper levelled, print upright and dark
// on light, slopes measured, rules taken out and kept, borders and dirt cleared.
// The image is never resampled. A page that is no print gets Sheet.Unreadable, not an
// error; an error says that the options or the image cannot be worked with.
func Prepare(img image.Image, o Options) (*Sheet, error) {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	fail := func(format string, args ...any) (*Sheet, error) {
		return nil, &extract.Error{Page: o.Page, Msg: fmt.Sprintf(format, args...)}
	}
	if err := (shape{w: w, h: h}).check(); err != nil {
		return fail("%v", err)
	}
	switch o.Turn {
	case -1, 0, 90, 180, 270:
	default:
		return fail("turn %d: want 0, 90, 180 or 270 degrees, or -1 to find it out", o.Turn)
	}
	if o.Unit < 0 || o.DPI < 0 {
		return fail("unit %g and resolution %g dpi: want neither below 0", o.Unit, o.DPI)
	}
	if o.Unit == 0 {
		o.Unit = 1
	}
	s := &Sheet{Page: o.Page, DPI: o.DPI, Unit: o.Unit, W: w, H: h, Ink: grey(img)}
	s.Bilevel, _ = inked(s.Ink, w, h)
	s.clearBorders()
	switch {
	case o.Turn > 0:
		s = s.Turned(o.Turn)
	case o.Turn < 0:
		turn, feet, heads := s.upright()
		s = s.Turned(turn)
		s.Feet, s.Heads = feet, heads
	}
	s.measureSlopes()
	s.takeRules()
	s.clearDirt()
	s.measureSlopes()
	s.Unreadable = s.judge()
	return s, nil
}

// Turned returns the sheet turned clockwise by a quarter turn given in degrees (90,
// 180, 270; multiples of 360 more or less are the same): its ink, rules, slopes and
// Turn. For 0 it returns the sheet itself.
func (s *Sheet) Turned(degrees int) *Sheet {
	degrees = ((degrees % 360) + 360) % 360 / 90 * 90
	if degrees == 0 {
		return s
	}
	t := *s
	t.Turn = (s.Turn + degrees) % 360
	t.Ink = make([]uint8, len(s.Ink))
	w, h := s.W, s.H
	fw, fh := float64(w), float64(h)
	var point func(x, y float64) (float64, float64)
	switch degrees {
	case 90:
		t.W, t.H = h, w
		turnInk(t.Ink, s.Ink, w, h)
		point = func(x, y float64) (float64, float64) { return fh - y, x }
	case 180:
		for i, v := range s.Ink {
			t.Ink[len(t.Ink)-1-i] = v
		}
		point = func(x, y float64) (float64, float64) { return fw - x, fh - y }
	case 270:
		t.W, t.H = h, w
		turnInk(t.Ink, s.Ink, w, h)
		for i, j := 0, len(t.Ink)-1; i < j; i, j = i+1, j-1 {
			t.Ink[i], t.Ink[j] = t.Ink[j], t.Ink[i]
		}
		point = func(x, y float64) (float64, float64) { return y, fw - x }
	}
	if degrees != 180 {
		t.RowSlope, t.ColumnSlope = -s.ColumnSlope, -s.RowSlope
	}
	t.Rules = nil
	for _, r := range s.Rules {
		x0, y0 := point(r.X0, r.Y0)
		x1, y1 := point(r.X1, r.Y1)
		t.Rules = append(t.Rules, orderedRule(Rule{x0, y0, x1, y1, r.Thick}))
	}
	sortRules(t.Rules)
	return &t
}

// turnInk writes src, w by h, turned clockwise by 90 degrees. It goes by blocks, so
// that both sides stay in the cache.
func turnInk(dst, src []uint8, w, h int) {
	const block = 64
	for by := 0; by < h; by += block {
		for bx := 0; bx < w; bx += block {
			for y := by; y < min(by+block, h); y++ {
				row := src[y*w:]
				at := h - 1 - y
				for x := bx; x < min(bx+block, w); x++ {
					dst[x*h+at] = row[x]
				}
			}
		}
	}
}

// transpose writes src, w by h, with its axes swapped.
func transpose(dst, src []uint8, w, h int) {
	const block = 64
	for by := 0; by < h; by += block {
		for bx := 0; bx < w; bx += block {
			for y := by; y < min(by+block, h); y++ {
				row := src[y*w:]
				for x := bx; x < min(bx+block, w); x++ {
					dst[x*h+y] = row[x]
				}
			}
		}
	}
}

// Level returns the ink level at which strokes are best cut from paper: 128, half of
// full ink, unless the print is faint or blurred. Then it is half of what the middle
// lines of the strokes reach.
func (s *Sheet) Level() uint8 {
	if s.Bilevel {
		return 128
	}
	// Middles of strokes: pixels not darker than 64 levels whose ink is not exceeded
	// along one axis within two pixels.
	var hist [256]int
	n := 0
	for y := 2; y+2 < s.H; y++ {
		row := s.Ink[y*s.W : (y+1)*s.W]
		for x := 2; x+2 < s.W; x++ {
			v := row[x]
			if v < 64 {
				continue
			}
			across := v > row[x-2] && v >= row[x-1] && v > row[x+2] && v >= row[x+1]
			i := y*s.W + x
			down := v > s.Ink[i-2*s.W] && v >= s.Ink[i-s.W] && v > s.Ink[i+2*s.W] && v >= s.Ink[i+s.W]
			if across || down {
				hist[v]++
				n++
			}
		}
	}
	left := n / 4
	for v, k := range hist {
		if left -= k; left < 0 {
			return uint8(min(max(v/2, 72), 128))
		}
	}
	return 128
}

// FigureHeight returns the usual height in pixels of the figures and letters: the
// height at which the marks crowd. It is 0 on an empty sheet.
func (s *Sheet) FigureHeight() float64 {
	list, _ := pieces(s.Ink, s.W, s.H, s.Level())
	return figureHeight(list, s.H)
}

func figureHeight(list []piece, pageHeight int) float64 {
	const most = 400
	var count [most + 1]float64
	for _, p := range list {
		ht, wd := p.height(), p.width()
		// A figure is taller than 4 pixels, not a sixth of a page, neither a bar nor a
		// leader, and its ink fills a fair part of its box.
		if ht < 5 || ht > most || ht > max(pageHeight/6, 60) || wd*7 < ht || wd > 3*ht || p.area*8 < ht*wd {
			continue
		}
		// Specks are many; weighing by height keeps them from being taken for print.
		count[ht] += float64(ht)
	}
	best, at := 0.0, 0
	for v := 5; v <= most; v++ {
		reach := max(1, v/12)
		sum := 0.0
		for k := max(v-reach, 5); k <= min(v+reach, most); k++ {
			sum += count[k]
		}
		sum /= float64(2*reach + 1)
		// A wider window at a greater height must not lose by its width alone.
		sum *= float64(2*reach+1) / (1 + float64(2*reach))
		if sum > best {
			best, at = sum, v
		}
	}
	if at == 0 {
		return 0
	}
	reach := max(1, at/12)
	var sum, n float64
	for k := max(at-reach, 5); k <= min(at+reach, most); k++ {
		sum += count[k]
		n += count[k] / float64(k)
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// judge says why the page cannot be read, or "".
func (s *Sheet) judge() string {
	lv := s.Level()
	list, _ := pieces(s.Ink, s.W, s.H, lv)
	area := 0
	for _, p := range list {
		area += p.area
	}
	fh := figureHeight(list, s.H)
	ofPrint, printed := 0, 0
	for _, p := range list {
		if ht := float64(p.height()); ht >= 0.4*fh && ht <= 2.5*fh && float64(p.width()) < 10*fh {
			ofPrint += p.area
			printed++
		}
	}
	all := float64(s.W) * float64(s.H)
	switch {
	case float64(area) > 0.45*all:
		return fmt.Sprintf("%.0f %% of the page is ink: want a page of print, which has less than 45 %%", 100*float64(area)/all)
	case float64(area) > 0.04*all && (printed < 100 || float64(ofPrint) < 0.15*float64(area)):
		return "most of the ink is not print: it looks like a photograph or a drawing"
	case printed >= 20 && fh < readableFigure:
		return fmt.Sprintf("figures are about %.1f pixels high: want at least %d, or thin signs are lost; scan at 300 dpi", fh, readableFigure)
	}
	return ""
}
