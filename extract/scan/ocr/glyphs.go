package ocr

import (
	"context"
	"fmt"
	"image"
)

const (
	glyphTimes = 5 // how often a glyph stands in its line
	glyphGap   = 7 // pixels of white between two, with figures 36 to 40 pixels high
)

// Glyphs names single characters, such as the mean images of groups of figures: ink
// black on white, at the scale of Cells. allow is the set of characters, "" means
// Figures.
func (e *Engine) Glyphs(ctx context.Context, imgs []*image.Gray, allow string) ([]Result, error) {
	lines := make([]*image.Gray, len(imgs))
	for i, img := range imgs {
		if err := check(fmt.Sprintf("glyph %d of %d", i+1, len(imgs)), img, maxCellW/glyphTimes-glyphGap, maxCellH); err != nil {
			return nil, err
		}
		lines[i] = repeat(img)
	}
	read, err := e.lines(ctx, lines, Options{Allow: allow})
	if err != nil {
		return nil, err
	}
	return read, nil
}

// repeat sets an image several times in a line.
func repeat(img *image.Gray) *image.Gray {
	b := img.Bounds()
	out := image.NewGray(image.Rect(0, 0, glyphTimes*(b.Dx()+glyphGap)-glyphGap, b.Dy()))
	for i := range out.Pix {
		out.Pix[i] = 255
	}
	for y := range b.Dy() {
		from := img.PixOffset(b.Min.X, b.Min.Y+y)
		for k := range glyphTimes {
			copy(out.Pix[out.PixOffset(k*(b.Dx()+glyphGap), y):], img.Pix[from:from+b.Dx()])
		}
	}
	return out
}
