package press

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"

	"windtally/extract"
)

// Damage says how page and scan are spoilt. The zero value is a clean page in grey.
// A mil is a thousandth of an inch: a hairline of small table print is about 4 mil
// thick, a stem 8.
type Damage struct {
	RowSlope    float64 // dy/dx of rows
	ColumnSlope float64 // dx/dy of columns

	// Of the type.
	Worn   float64 // share of sorts with a chip
	Chip   float64 // its radius, ems
	Jitter float64 // standard deviation of the baseline, ems
	Tilt   float64 // standard deviation of a sort's turn, degrees
	Tight  float64 // share of a figure's width by which figures stand closer

	// Of the press.
	Gain   float64 // spread of the ink at an edge, mil; less than 0 is thin print
	Rough  float64 // raggedness of the edges, mil
	Break  float64 // share of characters with a broken stroke
	Gap    float64 // width of the break, mil
	Clog   float64 // 0 to 1: filling of the counters
	Uneven float64 // mil of gain that comes and goes over the page

	// Of the paper.
	Paper    float64 // grey of the paper, 0 to 1; 0 stands for 1
	Ink      float64 // grey of the ink
	Gradient float64 // grey lost from one corner to the other
	Tint     bool    // the scan is in colour and the paper yellow
	Stains   int
	Stain    float64 // grey lost in a stain
	Specks   float64 // to the square inch
	Speck    float64 // radius, mil

	// Of the scanner.
	Blur      float64 // standard deviation, mil
	Noise     float64 // standard deviation, grey levels of 255
	Salt      float64 // share of pixels made black or white
	Streaks   int
	Streak    float64 // grey of a streak
	Bilevel   bool
	Threshold float64 // grey above which a pixel is paper, 0 to 1; 0 stands for 0.5
	JPEG      int     // quality; 0 is none
}

func (s Spec) check() error {
	d := s.Damage
	if s.DPI < 72 || s.DPI > 600 {
		return fmt.Errorf("page %s: %d dpi: from 72 to 600 can be made", s.Name, s.DPI)
	}
	if math.Abs(d.RowSlope) > 0.1 || math.Abs(d.ColumnSlope) > 0.1 {
		return fmt.Errorf("page %s: slopes %v and %v: at most 0.1 can be made", s.Name, d.RowSlope, d.ColumnSlope)
	}
	switch s.Design.Turn {
	case 0, 90, 180, 270:
	default:
		return fmt.Errorf("page %s: turn %d: 0, 90, 180 or 270 can be made", s.Name, s.Design.Turn)
	}
	known := false
	for _, k := range Kinds() {
		known = known || k == s.Design.Kind
	}
	if !known {
		return fmt.Errorf("page %s: kind %q of table is not known: %q would be one", s.Name, s.Design.Kind, Kinds()[0])
	}
	if s.Design.Size <= 0 || s.Design.Pitch <= 0 || s.Design.Rows < 1 {
		return fmt.Errorf("page %s: size %v, pitch %v, %d rows: all must be above 0", s.Name, s.Design.Size, s.Design.Pitch, s.Design.Rows)
	}
	if d.Bilevel && (d.JPEG != 0 || d.Tint) {
		return fmt.Errorf("page %s: a bilevel scan has no colour and no JPEG", s.Name)
	}
	return nil
}

// spoil prints the ink on paper and scans it.
func spoil(s *sheet, spec Spec) (image.Image, error) {
	d := spec.Damage
	cover := press(s, spec)
	dirt(s, cover, spec)
	px := s.k * 72 / 1000 // pixels per mil
	blur(cover, s.w, s.h, d.Blur*px)
	grey := paper(s, cover, spec)
	if d.Bilevel {
		s.cut(grey, spec)
	}
	grey, w, h := turned(grey, s.w, s.h, spec.Design.Turn)
	if d.Bilevel {
		im := image.NewPaletted(image.Rect(0, 0, w, h), color.Palette{color.Gray{0}, color.Gray{255}})
		for i, v := range grey {
			im.Pix[i] = v / 255
		}
		salt(spec, func(i int, white bool) {
			im.Pix[i] = 0
			if white {
				im.Pix[i] = 1
			}
		}, w*h)
		return im, nil
	}
	salt(spec, func(i int, white bool) {
		grey[i] = 0
		if white {
			grey[i] = 255
		}
	}, w*h)
	var im image.Image = &image.Gray{Pix: grey, Stride: w, Rect: image.Rect(0, 0, w, h)}
	if d.Tint {
		c := image.NewRGBA(image.Rect(0, 0, w, h))
		for i, v := range grey {
			// Old paper: red keeps, blue is lost, more so where it is dark.
			g := float64(v)
			c.Pix[4*i], c.Pix[4*i+1], c.Pix[4*i+2], c.Pix[4*i+3] = byteOf(g+6), byteOf(g-2), byteOf(g-28*g/255), 255
		}
		im = c
	}
	if d.JPEG > 0 {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, im, &jpeg.Options{Quality: d.JPEG}); err != nil {
			return nil, fmt.Errorf("page %s: %w", spec.Name, err)
		}
		back, err := jpeg.Decode(&b)
		if err != nil {
			return nil, fmt.Errorf("page %s: %w", spec.Name, err)
		}
		if d.Tint {
			c := image.NewRGBA(back.Bounds())
			y := back.(*image.YCbCr)
			for yy := range h {
				for xx := range w {
					i := y.COffset(xx, yy)
					r, g, bl := color.YCbCrToRGB(y.Y[y.YOffset(xx, yy)], y.Cb[i], y.Cr[i])
					o := c.PixOffset(xx, yy)
					c.Pix[o], c.Pix[o+1], c.Pix[o+2], c.Pix[o+3] = r, g, bl, 255
				}
			}
			return c, nil
		}
		return back, nil
	}
	return im, nil
}

func byteOf(v float64) uint8 { return uint8(math.Max(0, math.Min(255, math.Round(v)))) }

// press lets the ink spread or draw back: the forme is blurred by a little and cut
// again at a level that stands for the spread, which varies with the roughness of the
// paper and the unevenness of the inking. A blurred straight edge has the level
// Phi(-x/sigma) at x outside it, so a level of Phi(-gain/sigma) moves the edge by gain.
func press(s *sheet, spec Spec) []float32 {
	d := spec.Damage
	p := make([]float32, len(s.ink))
	for i, v := range s.ink {
		p[i] = float32(v) / 255
	}
	if d.Gain == 0 && d.Rough == 0 && d.Clog == 0 && d.Uneven == 0 && s.face.Heft == 0 {
		return p
	}
	px := s.k * 72 / 1000
	var wide []float32
	if d.Clog > 0 {
		wide = append([]float32(nil), p...)
		blur(wide, s.w, s.h, 6*px)
	}
	sigma := math.Max(2.2*px, 0.55)
	blur(p, s.w, s.h, sigma)
	rough := newField(chance(spec.Seed, chancePress), s.w, s.h, math.Max(1.5, 5*px))
	broad := newField(chance(spec.Seed, chancePress+100), s.w, s.h, 700*px)
	soft := float32(math.Min(1, 0.75/sigma)) * 0.4 // keeps an edge about a pixel soft
	for i, v := range p {
		if v < 0.004 {
			p[i] = 0
			continue
		}
		x, y := i%s.w, i/s.w
		gain := d.Gain + s.face.Heft
		if d.Rough > 0 {
			gain += d.Rough * rough.at(x, y)
		}
		if d.Uneven > 0 {
			gain += d.Uneven * broad.at(x, y)
		}
		t := float32(phi(-gain * px / sigma))
		c := (v-t)/soft + 0.5
		if d.Clog > 0 {
			// What has ink on most sides fills.
			if f := (wide[i] - float32(0.78-0.4*d.Clog)) / 0.12; f > c {
				c = f
			}
		}
		p[i] = min(1, max(0, c))
	}
	if spec.Ordinary {
		s.hold(p)
	}
	return p
}

// parts calls do for every character as printed and for its twelfths, three across and
// four down, with the ink that stands there and the share of it that must be left. A
// twelfth with hardly any ink is passed over. On a page of ordinary quality no point,
// minus or hairline vanishes, so that a person reads it without hesitation; what chips
// and breaks took away is not ink that stood there.
func (s *sheet) parts(do func(box image.Rectangle, ink, share float64)) {
	ink := func(b image.Rectangle) float64 {
		n := 0.0
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				n += float64(s.ink[y*s.w+x]) / 255
			}
		}
		return n
	}
	page := image.Rect(0, 0, s.w, s.h)
	for _, g := range s.glyphs {
		b := image.Rect(int(g.X0), int(g.Y0), int(g.X1), int(g.Y1)).Intersect(page)
		whole := ink(b)
		do(b, whole, 0.55)
		for i := range 12 {
			c, r := i%3, i/3
			p := image.Rect(b.Min.X+b.Dx()*c/3, b.Min.Y+b.Dy()*r/4, b.Min.X+b.Dx()*(c+1)/3, b.Min.Y+b.Dy()*(r+1)/4)
			if n := ink(p); n >= 0.8 && n >= 0.02*whole {
				do(p, n, 0.5)
			}
		}
	}
}

// hold puts ink back where less of a character is left than must be.
func (s *sheet) hold(p []float32) {
	s.parts(func(b image.Rectangle, ink, share float64) {
		left := 0.0
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for _, v := range p[y*s.w+b.Min.X : y*s.w+b.Max.X] {
				left += float64(v)
			}
		}
		if left >= share*ink {
			return
		}
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for i := y*s.w + b.Min.X; i < y*s.w+b.Max.X; i++ {
				p[i] = max(p[i], min(1, float32(s.ink[i])/255*1.4))
			}
		}
	})
}

func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// field is a smooth random surface of about unit deviation.
type field struct {
	cell float64
	w    int
	v    []float32
}

func newField(r *rand.Rand, w, h int, cell float64) *field {
	f := &field{cell: cell, w: int(float64(w)/cell) + 3}
	n := f.w * (int(float64(h)/cell) + 3)
	f.v = make([]float32, n)
	for i := range f.v {
		f.v[i] = float32(r.NormFloat64())
	}
	return f
}

func (f *field) at(x, y int) float64 {
	u, v := float64(x)/f.cell, float64(y)/f.cell
	i, j := int(u), int(v)
	a, b := float32(u-float64(i)), float32(v-float64(j))
	o := j*f.w + i
	return float64((f.v[o]*(1-a)+f.v[o+1]*a)*(1-b) + (f.v[o+f.w]*(1-a)+f.v[o+f.w+1]*a)*b)
}

// dirt adds specks: dust and splinters of the paper, black, of many sizes; most small.
func dirt(s *sheet, cover []float32, spec Spec) {
	d := spec.Damage
	if d.Specks == 0 {
		return
	}
	r := chance(spec.Seed, chanceDirt)
	in := float64(s.w*s.h) / (s.k * s.k * 72 * 72)
	px := s.k * 72 / 1000
	for range int(d.Specks * in) {
		x, y := r.Float64()*float64(s.w), r.Float64()*float64(s.h)
		rad := d.Speck * px * math.Exp(0.5*r.NormFloat64()-0.2)
		long := 1 + 1.2*r.Float64()*r.Float64()
		sin, cos := math.Sincos(math.Pi * r.Float64())
		dark := 0.55 + 0.45*r.Float64()
		reach := int(rad*long) + 2
		for yy := max(0, int(y)-reach); yy <= min(s.h-1, int(y)+reach); yy++ {
			for xx := max(0, int(x)-reach); xx <= min(s.w-1, int(x)+reach); xx++ {
				dx, dy := float64(xx)-x, float64(yy)-y
				u, v := (dx*cos+dy*sin)/long, dy*cos-dx*sin
				c := float32(dark * math.Max(0, math.Min(1, rad-math.Hypot(u, v)+0.5)))
				if i := yy*s.w + xx; c > cover[i] {
					cover[i] = c
				}
			}
		}
	}
}

// paper puts the ink on paper with its colour, stains and streaks and adds the
// scanner's noise.
func paper(s *sheet, cover []float32, spec Spec) []uint8 {
	d := spec.Damage
	r := chance(spec.Seed, chancePaper)
	base := d.Paper
	if base == 0 {
		base = 1
	}
	type stain struct{ x, y, r, edge float64 }
	var stains []stain
	for range d.Stains {
		stains = append(stains, stain{r.Float64() * float64(s.w), r.Float64() * float64(s.h), (0.05 + 0.15*r.Float64()) * float64(s.w), 0.3 + 0.7*r.Float64()})
	}
	gx, gy := r.NormFloat64(), r.NormFloat64()
	gn := math.Hypot(gx, gy) * math.Hypot(float64(s.w), float64(s.h)) / 1.4
	// Light falls on the page unevenly, and stains lie on it: both smooth, so they
	// are reckoned on a coarse lattice.
	const cell = 8
	lw, lh := s.w/cell+2, s.h/cell+2
	light := make([]float32, lw*lh)
	ring := newField(r, s.w, s.h, 0.08*float64(s.w))
	for j := range lh {
		for i := range lw {
			x, y := float64(i*cell), float64(j*cell)
			v := base
			if d.Gradient > 0 {
				v -= d.Gradient * (0.5 + (gx*(x-float64(s.w)/2)+gy*(y-float64(s.h)/2))/gn)
			}
			for _, st := range stains {
				rad := st.r * (1 + 0.2*ring.at(min(int(x), s.w), min(int(y), s.h)))
				q := math.Hypot(x-st.x, y-st.y) / rad
				// Darkest towards the rim, as water leaves it.
				depth := 1 / (1 + math.Exp((q-1)*18)) * (0.6 + 0.4*math.Exp(-math.Pow((q-0.92)/0.08, 2)))
				v -= d.Stain * st.edge * depth
			}
			light[j*lw+i] = float32(v)
		}
	}
	streak := make([]float32, s.w)
	for range d.Streaks {
		x, wide := r.IntN(s.w), 1+r.IntN(max(1, int(s.k*0.5)))
		dark := float32(d.Streak * (0.4 + 0.6*r.Float64()))
		if r.IntN(3) == 0 {
			dark = -dark // a light one, over which ink is lost
		}
		for i := x; i < min(s.w, x+wide); i++ {
			streak[i] = dark
		}
	}
	noise := chance(spec.Seed, chanceNoise)
	out := make([]uint8, len(cover))
	ink := float32(d.Ink)
	for y := range s.h {
		j := y / cell
		b := float32(y%cell) / cell
		for x := range s.w {
			i := x / cell
			a := float32(x%cell) / cell
			o := j*lw + i
			p := (light[o]*(1-a)+light[o+1]*a)*(1-b) + (light[o+lw]*(1-a)+light[o+lw+1]*a)*b
			c := cover[y*s.w+x]
			v := p*(1-c) + ink*c - streak[x]
			g := v * 255
			if d.Noise > 0 {
				// Four uniform sixteenths of one draw, near enough to normal.
				u := noise.Uint64()
				sum := int(u&0xffff) + int(u>>16&0xffff) + int(u>>32&0xffff) + int(u>>48)
				g += float32(d.Noise) * (float32(sum) - 131070) / 37837
			}
			out[y*s.w+x] = uint8(min(255, max(0, g+0.5)))
		}
	}
	return out
}

func salt(spec Spec, put func(i int, white bool), n int) {
	if spec.Damage.Salt == 0 {
		return
	}
	r := chance(spec.Seed, chanceNoise+100)
	for range int(spec.Damage.Salt * float64(n)) {
		put(r.IntN(n), r.IntN(2) == 0)
	}
}

// cut makes the scan bilevel. On a page of ordinary quality the level is raised where
// less of a character would be left than must be, as scanners do that set the level by
// the neighbourhood.
func (s *sheet) cut(grey []uint8, spec Spec) {
	t := spec.Damage.Threshold
	if t == 0 {
		t = 0.5
	}
	black := make([]bool, len(grey))
	for i, v := range grey {
		black[i] = float64(v) <= t*255
	}
	if spec.Ordinary {
		s.parts(func(b image.Rectangle, ink, share float64) {
			for level := t; level < 0.88; level += 0.06 {
				n := 0.0
				for y := b.Min.Y; y < b.Max.Y; y++ {
					for i := y*s.w + b.Min.X; i < y*s.w+b.Max.X; i++ {
						black[i] = black[i] || float64(grey[i]) <= level*255
						if black[i] {
							n++
						}
					}
				}
				if n >= share*ink {
					return
				}
			}
		})
	}
	for i, b := range black {
		grey[i] = 255
		if b {
			grey[i] = 0
		}
	}
}

// blur is a Gaussian blur in place. Most of a page is blank: tiles of a row that have
// no ink near are passed over.
func blur(p []float32, w, h int, sigma float64) {
	if sigma < 0.15 {
		return
	}
	const tile = 32
	n := min(tile, int(math.Ceil(3*sigma)))
	k := make([]float32, 2*n+1)
	sum := 0.0
	for i := range k {
		// The integral over the pixel, so that a small sigma stays honest.
		x := float64(i - n)
		v := phi((x+0.5)/sigma) - phi((x-0.5)/sigma)
		k[i] = float32(v)
		sum += v
	}
	for i := range k {
		k[i] /= float32(sum)
	}
	tiles := (w + tile - 1) / tile
	line := make([]float32, w+2*n)
	full := make([]bool, tiles*h)
	was := make([]bool, tiles+2)
	for y := range h {
		row := p[y*w : y*w+w]
		clear(was)
		any := false
		for t := range tiles {
			for _, v := range row[t*tile : min(w, t*tile+tile)] {
				if v != 0 {
					was[t+1], any = true, true
					break
				}
			}
		}
		if !any {
			continue
		}
		copy(line[n:], row)
		for t := range tiles {
			if !was[t] && !was[t+1] && !was[t+2] {
				continue
			}
			full[y*tiles+t] = true
			for x := t * tile; x < min(w, t*tile+tile); x++ {
				acc := float32(0)
				for i, v := range line[x : x+2*n+1] {
					acc += k[i] * v
				}
				row[x] = acc
			}
		}
	}
	// Down the page, tile by tile, with a copy of the column of tiles.
	col := make([]float32, tile*h)
	for t := range tiles {
		x0, x1 := t*tile, min(w, t*tile+tile)
		m := x1 - x0
		for y := range h {
			if full[y*tiles+t] {
				copy(col[y*tile:y*tile+m], p[y*w+x0:y*w+x1])
			}
		}
		for y := range h {
			row := p[y*w+x0 : y*w+x1]
			blank := true
			for i := max(0, y-n); i <= min(h-1, y+n); i++ {
				if !full[i*tiles+t] {
					continue
				}
				if blank {
					clear(row)
					blank = false
				}
				kv := k[i-y+n]
				for x, v := range col[i*tile : i*tile+m] {
					row[x] += kv * v
				}
			}
		}
	}
}

// turned gives the picture as the file shows it: upright after a clockwise turn.
func turned(p []uint8, w, h, turn int) ([]uint8, int, int) {
	if turn == 0 {
		return p, w, h
	}
	out := make([]uint8, len(p))
	sw := w
	if turn != 180 {
		sw = h
	}
	for y := range h {
		for x := range w {
			var sx, sy int
			switch turn {
			case 90:
				sx, sy = y, w-1-x
			case 180:
				sx, sy = w-1-x, h-1-y
			default:
				sx, sy = h-1-y, x
			}
			out[sy*sw+sx] = p[y*w+x]
		}
	}
	if turn == 180 {
		return out, w, h
	}
	return out, h, w
}

// turn brings the truth from the upright frame into the seen one.
func (p *Page) turn(s *sheet, turn int) {
	if turn == 0 {
		return
	}
	w, h := float64(s.w), float64(s.h)
	to := func(r extract.Rect) extract.Rect {
		if r.Empty() {
			return r
		}
		switch turn {
		case 90:
			return extract.Rect{X0: r.Y0, X1: r.Y1, Y0: w - r.X1, Y1: w - r.X0}
		case 180:
			return extract.Rect{X0: w - r.X1, X1: w - r.X0, Y0: h - r.Y1, Y1: h - r.Y0}
		}
		return extract.Rect{X0: h - r.Y1, X1: h - r.Y0, Y0: r.X0, Y1: r.X1}
	}
	for i := range p.Tables {
		t := &p.Tables[i]
		t.Box = to(t.Box)
		for j := range t.Columns {
			c := &t.Columns[j]
			c.Box = to(c.Box)
			c.X0, c.X1 = c.Box.X0, c.Box.X1
			if turn != 180 {
				c.X0, c.X1 = c.Box.Y0, c.Box.Y1
			}
		}
		for j := range t.Rows {
			for k := range t.Rows[j].Cells {
				c := &t.Rows[j].Cells[k]
				c.Box = to(c.Box)
			}
		}
		for j := range t.Givens {
			t.Givens[j].Box = to(t.Givens[j].Box)
		}
	}
}
