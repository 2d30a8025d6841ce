package scan

import (
	"image"
	"image/color"
	"math"
	"slices"
)

// grey returns the luminance of the image row by row, transparent parts on white.
func grey(img image.Image) []uint8 {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	out := make([]uint8, w*h)
	// Rec. 601 weights in sixteenths of a thousandth, as of 16-bit channels.
	luma := func(r, g, bl uint32) uint8 { return uint8((19595*r + 38470*g + 7471*bl + 1<<15) >> 24) }
	switch p := img.(type) {
	case *image.Gray:
		for y := range h {
			copy(out[y*w:(y+1)*w], p.Pix[p.PixOffset(b.Min.X, b.Min.Y+y):])
		}
	case *image.Gray16:
		for y := range h {
			o := p.PixOffset(b.Min.X, b.Min.Y+y)
			for x := range w {
				out[y*w+x] = p.Pix[o+2*x]
			}
		}
	case *image.YCbCr:
		for y := range h {
			copy(out[y*w:(y+1)*w], p.Y[p.YOffset(b.Min.X, b.Min.Y+y):])
		}
	case *image.RGBA:
		for y := range h {
			o := p.PixOffset(b.Min.X, b.Min.Y+y)
			for x := range w {
				q := p.Pix[o+4*x : o+4*x+4]
				rest := uint32(255-q[3]) * 0x101 // the channels are multiplied by alpha already
				out[y*w+x] = luma(uint32(q[0])*0x101+rest, uint32(q[1])*0x101+rest, uint32(q[2])*0x101+rest)
			}
		}
	case *image.NRGBA:
		for y := range h {
			o := p.PixOffset(b.Min.X, b.Min.Y+y)
			for x := range w {
				q := p.Pix[o+4*x : o+4*x+4]
				a := uint32(q[3])
				on := func(v uint8) uint32 { return (uint32(v)*a + 255*(255-a)) * 0x101 / 255 }
				out[y*w+x] = luma(on(q[0]), on(q[1]), on(q[2]))
			}
		}
	case *image.Paletted:
		var of [256]uint8
		for i, c := range p.Palette {
			if i < 256 {
				of[i] = lumaOf(c, luma)
			}
		}
		for y := range h {
			o := p.PixOffset(b.Min.X, b.Min.Y+y)
			for x := range w {
				out[y*w+x] = of[p.Pix[o+x]]
			}
		}
	default:
		for y := range h {
			for x := range w {
				out[y*w+x] = lumaOf(img.At(b.Min.X+x, b.Min.Y+y), luma)
			}
		}
	}
	return out
}

func lumaOf(c color.Color, luma func(r, g, b uint32) uint8) uint8 {
	r, g, b, a := c.RGBA()
	rest := 0xffff - a
	return luma(r+rest, g+rest, b+rest)
}

// inked turns luminance into ink, in place: 0 is paper, 255 full ink. A scan of two
// levels keeps them. noisy tells how strong the grain of the paper is against the ink.
func inked(g []uint8, w, h int) (bilevel bool, noise float64) {
	var hist [256]int
	for _, v := range g {
		hist[v]++
	}
	var levels []int
	for v, n := range hist {
		if n > 0 {
			levels = append(levels, v)
		}
	}
	negative := whiteOnBlack(g, w, h)
	if len(levels) <= 2 {
		paper := levels[len(levels)-1]
		if len(levels) == 2 && negative {
			paper = levels[0]
		}
		for i, v := range g {
			if int(v) == paper {
				g[i] = 0
			} else {
				g[i] = 255
			}
		}
		return true, 0
	}
	if negative {
		for i, v := range g {
			g[i] = 255 - v
		}
	}
	return false, level(g, w, h)
}

// whiteOnBlack reports whether the paper is darker than the print, by the inner four
// fifths of the page: scan borders do not count.
func whiteOnBlack(g []uint8, w, h int) bool {
	var hist [256]int
	for y := h / 10; y < h-h/10; y++ {
		for _, v := range g[y*w+w/10 : y*w+w-w/10] {
			hist[v]++
		}
	}
	t, ok := otsu(hist[:])
	if !ok {
		return false
	}
	dark, all := 0, 0
	for v, n := range hist {
		all += n
		if v <= t {
			dark += n
		}
	}
	return dark*100 > all*58
}

// otsu returns the level that parts a histogram into two classes with the least
// variance within them (Otsu 1979); values up to the level are the lower class.
func otsu(hist []int) (at int, ok bool) {
	var n, sum float64
	for v, c := range hist {
		n += float64(c)
		sum += float64(c) * float64(v)
	}
	var n0, sum0, best float64
	for v, c := range hist {
		n0 += float64(c)
		sum0 += float64(c) * float64(v)
		if n0 == 0 || n0 == n {
			continue
		}
		d := sum0/n0 - (sum-sum0)/(n-n0)
		if between := n0 * (n - n0) * d * d; between > best {
			best, at, ok = between, v, true
		}
	}
	return at, ok
}

// paperTile is the side in pixels of the tiles in which the paper is estimated.
const paperTile = 16

// level flattens the paper and spreads the ink, in place. The contrast of a pixel is
// (paper - value) / paper with the paper of its neighbourhood.
func level(g []uint8, w, h int) (noise float64) {
	paper, tw, th := paperOf(g, w, h)
	// Contrast in 0..255, bilinear between the middles of the tiles.
	rowA := make([]float32, w)
	for y := range h {
		fy := (float64(y)+0.5)/paperTile - 0.5
		y0 := min(max(int(math.Floor(fy)), 0), th-1)
		y1 := min(y0+1, th-1)
		ky := float32(min(max(fy-float64(y0), 0), 1))
		for x := range w {
			fx := (float32(x)+0.5)/paperTile - 0.5
			x0 := min(max(int(fx), 0), tw-1)
			x1 := min(x0+1, tw-1)
			kx := min(max(fx-float32(x0), 0), 1)
			top := paper[y0*tw+x0]*(1-kx) + paper[y0*tw+x1]*kx
			low := paper[y1*tw+x0]*(1-kx) + paper[y1*tw+x1]*kx
			rowA[x] = top*(1-ky) + low*ky
		}
		row := g[y*w : (y+1)*w]
		for x, v := range row {
			c := (rowA[x] - float32(v)) * 255 / rowA[x]
			row[x] = uint8(min(max(c, 0), 255))
		}
	}
	floor, full, grain := spread(g)
	noise = grain / full
	if noise > 0.10 {
		soften(g, w, h)
		floor, full, _ = spread(g)
	}
	var to [256]uint8
	for v := range to {
		to[v] = uint8(min(max((float64(v)-floor)*255/(full-floor)+0.5, 0), 255))
	}
	for i, v := range g {
		g[i] = to[v]
	}
	return noise
}

// paperOf estimates the paper's luminance tile by tile.
func paperOf(g []uint8, w, h int) (paper []float32, tw, th int) {
	tw, th = (w+paperTile-1)/paperTile, (h+paperTile-1)/paperTile
	raw := make([]float32, tw*th)
	for ty := range th {
		for tx := range tw {
			var hist [256]int
			n := 0
			for y := ty * paperTile; y < min((ty+1)*paperTile, h); y++ {
				for _, v := range g[y*w+tx*paperTile : y*w+min((tx+1)*paperTile, w)] {
					hist[v]++
					n++
				}
			}
			left := n * 20 / 100
			v := 255
			for ; v > 0; v-- {
				if left -= hist[v]; left < 0 {
					break
				}
			}
			raw[ty*tw+tx] = float32(v)
		}
	}
	sorted := slices.Clone(raw)
	slices.Sort(sorted)
	bright := sorted[len(sorted)*8/10]
	// Tiles below half the page's paper are ink or border, not paper.
	least := max(bright/2, 1)
	// The median of the tiles around, of those that are paper.
	out := make([]float32, tw*th)
	var near []float32
	for ty := range th {
		for tx := range tw {
			near = near[:0]
			for y := max(ty-2, 0); y <= min(ty+2, th-1); y++ {
				for x := max(tx-2, 0); x <= min(tx+2, tw-1); x++ {
					if v := raw[y*tw+x]; v >= least {
						near = append(near, v)
					}
				}
			}
			out[ty*tw+tx] = bright
			if len(near) > 0 {
				slices.Sort(near)
				out[ty*tw+tx] = near[len(near)*6/10]
			}
		}
	}
	return out, tw, th
}

// spread finds the contrast at which the grain of the paper ends, that of full ink,
// and the standard deviation of the grain.
func spread(c []uint8) (floor, full, grain float64) {
	var hist [256]int
	for _, v := range c {
		hist[v]++
	}
	t, ok := otsu(hist[:])
	if !ok || t < 1 {
		return 0, 255, 0
	}
	// The class above the threshold holds the edges of the strokes too: full ink is
	// the upper quarter of it.
	n := 0
	for _, k := range hist[t+1:] {
		n += k
	}
	left := n / 4
	f := 255
	for ; f > t; f-- {
		if left -= hist[f]; left < 0 {
			break
		}
	}
	full = float64(f)
	// The paper is the class below half the threshold; clipped at zero, so its
	// spread is measured above the median.
	paper := 0
	for v := 0; v <= t; v++ {
		paper += hist[v]
	}
	at := func(share float64) float64 {
		left := int(share * float64(paper))
		for v := 0; v <= t; v++ {
			if left -= hist[v]; left < 0 {
				return float64(v)
			}
		}
		return float64(t)
	}
	middle := at(0.5)
	grain = at(0.84) - middle
	floor = min(middle+2*grain, 0.35*full)
	return floor, max(full, floor+16), grain
}

// soften smooths with the binomial 1 2 1 along both axes.
func soften(g []uint8, w, h int) {
	line := make([]uint8, w)
	before := make([]uint8, w)
	for y := range h {
		row := g[y*w : (y+1)*w]
		copy(line, row)
		for x := 1; x+1 < w; x++ {
			row[x] = uint8((int(line[x-1]) + 2*int(line[x]) + int(line[x+1]) + 2) / 4)
		}
	}
	copy(before, g[:w])
	for y := 1; y+1 < h; y++ {
		row, next := g[y*w:(y+1)*w], g[(y+1)*w:(y+2)*w]
		copy(line, row)
		for x := range row {
			row[x] = uint8((int(before[x]) + 2*int(row[x]) + int(next[x]) + 2) / 4)
		}
		copy(before, line)
	}
}
