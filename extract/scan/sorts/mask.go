package sorts

import (
	"math"
	"slices"
)

// A mask is a glyph drawn small on one canvas: its figure height is maskHeight and
// its centre of ink stands in the middle, so that shapes compare without a search.
const (
	maskHeight = 26.0
	maskW      = 32
	maskH      = 40
	// PictureHeight is the height of a figure in a group's Picture.
	PictureHeight = maskHeight
)

// draw fills the mask of a glyph: its own ink sampled on the canvas, blurred, with
// mean 0 and length 1.
func (c *cutter) draw(g *glyph) {
	s := c.sheet
	scale := c.fount.height / maskHeight // sheet pixels a canvas pixel
	pad := 1
	own := func(x, y int) float64 {
		if x < g.x0-pad || x >= g.x1+pad || y < g.y0-pad || y >= g.y1+pad || x < 0 || y < 0 || x >= s.W || y >= s.H {
			return 0
		}
		if g.split && (x < g.x0 || x >= g.x1) {
			return 0
		}
		if o := c.marks.Of[y*s.W+x]; o != 0 && !slices.Contains(g.marks, o-1) {
			return 0
		}
		return float64(s.Ink[y*s.W+x]) / 255
	}
	var sum, sx, sy float64
	w, h := g.x1-g.x0+2*pad, g.y1-g.y0+2*pad
	ink := make([]float64, w*h)
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			v := own(g.x0-pad+x, g.y0-pad+y)
			ink[y*w+x] = v
			sum += v
			sx += v * (float64(x) + 0.5)
			sy += v * (float64(y) + 0.5)
		}
	}
	raw := make([]float64, maskW*maskH)
	if sum > 0 {
		cx, cy := sx/sum, sy/sum
		// Each source pixel is spread over the canvas by area.
		for y := 0; y < h; y++ {
			for x := 0; x < w; x++ {
				v := ink[y*w+x]
				if v == 0 {
					continue
				}
				// The shear is undone to first order.
				dx, dy := float64(x)-cx, float64(y)-cy
				x0 := (dx-s.ColumnSlope*(dy+0.5))/scale + maskW/2
				y0 := (dy-s.RowSlope*(dx+0.5))/scale + maskH/2
				spread(raw, x0, y0, 1/scale, v)
			}
		}
	}
	g.fine = unit(blur(raw, maskW, maskH, blurRadius))
}

const blurRadius = 1.0

// spread adds v times the area of a square of the given side to the pixels it covers.
func spread(dst []float64, x0, y0, side, v float64) {
	x1, y1 := x0+side, y0+side
	for y := int(math.Floor(y0)); float64(y) < y1; y++ {
		if y < 0 || y >= maskH {
			continue
		}
		hy := math.Min(y1, float64(y+1)) - math.Max(y0, float64(y))
		for x := int(math.Floor(x0)); float64(x) < x1; x++ {
			if x < 0 || x >= maskW {
				continue
			}
			dst[y*maskW+x] += v * hy * (math.Min(x1, float64(x+1)) - math.Max(x0, float64(x)))
		}
	}
}

// blur is a Gaussian of the given standard deviation in pixels.
func blur(src []float64, w, h int, sigma float64) []float64 {
	r := int(math.Ceil(3 * sigma))
	kernel := make([]float64, 2*r+1)
	sum := 0.0
	for i := range kernel {
		d := float64(i - r)
		kernel[i] = math.Exp(-d * d / (2 * sigma * sigma))
		sum += kernel[i]
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	tmp, dst := make([]float64, len(src)), make([]float64, len(src))
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			v := src[y*w+x]
			if v == 0 {
				continue
			}
			for k := max(0, x-r); k <= min(w-1, x+r); k++ {
				tmp[y*w+k] += v * kernel[k-x+r]
			}
		}
	}
	for y := 0; y < h; y++ {
		for x := 0; x < w; x++ {
			v := tmp[y*w+x]
			if v == 0 {
				continue
			}
			for k := max(0, y-r); k <= min(h-1, y+r); k++ {
				dst[k*w+x] += v * kernel[k-y+r]
			}
		}
	}
	return dst
}

// unit gives v mean 0 and length 1; all zeros where it is level.
func unit(v []float64) []float32 {
	mean := 0.0
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	sum := 0.0
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	out := make([]float32, len(v))
	if sum < 1e-12 {
		return out
	}
	k := 1 / math.Sqrt(sum)
	for i, x := range v {
		out[i] = float32((x - mean) * k)
	}
	return out
}

func dot(a, b []float32) float32 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float32
	i := 0
	for ; i+3 < len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}

// shifted is v moved by whole pixels on its canvas, zeros moving in.
func shifted(v []float32, dx, dy int) []float32 {
	out := make([]float32, len(v))
	for y := max(0, dy); y < min(maskH, maskH+dy); y++ {
		for x := max(0, dx); x < min(maskW, maskW+dx); x++ {
			out[y*maskW+x] = v[(y-dy)*maskW+x-dx]
		}
	}
	return out
}
