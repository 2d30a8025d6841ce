package demo

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"time"

	"github.com/go-pdf/fpdf"
)

// Render draws a page of a PDF file at a resolution and returns the image's file.
type Render func(file string, page int, dpi float64) ([]byte, error)

// scanDPI is the resolution of the demonstration's scan.
const scanDPI = 300

// scan makes of a document what a library would have: its pages printed, laid a little
// askew on the glass, scanned in black and white, and no text layer. Only whole
// numbers are used, so that every processor makes the same page of the same drawing.
func (d *Document) scan(typeset string, render Render, created time.Time) error {
	p := fpdf.New("P", "pt", "Letter", "")
	p.SetCreationDate(created)
	p.SetModificationDate(created)
	p.SetCatalogSort(true)
	p.SetProducer("", false)
	p.SetTitle(d.Title, false)
	p.SetAutoPageBreak(false, 0)
	for page := 1; page <= d.Pages; page++ {
		data, err := render(typeset, page, scanDPI)
		if err != nil {
			return err
		}
		drawn, _, err := image.Decode(bytes.NewReader(data))
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := png.Encode(&b, onGlass(drawn, page)); err != nil {
			return err
		}
		name := "page" + figure(float64(page), 0)
		p.AddPage()
		p.RegisterImageOptionsReader(name, fpdf.ImageOptions{ImageType: "PNG"}, &b)
		p.ImageOptions(name, 0, 0, pageWidth, pageHeight, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	}
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return err
	}
	d.PDF = b.Bytes()
	return nil
}

// onGlass is a drawn page as a scanner sees it.
func onGlass(drawn image.Image, page int) *image.Paletted {
	r := drawn.Bounds()
	w, h := r.Dx(), r.Dy()
	grey := make([]int, w*h)
	for y := range h {
		for x := range w {
			grey[y*w+x] = int(color.GrayModel.Convert(drawn.At(r.Min.X+x, r.Min.Y+y)).(color.Gray).Y)
		}
	}
	// Slopes in 1/65536: rows fall to the right by a third of a degree, and columns
	// lean, a little more or less from page to page.
	row, lean := 360+30*page, -(400 - 25*page)
	at := func(x, y int) int {
		if x < 0 || y < 0 || x >= w || y >= h {
			return 255
		}
		return grey[y*w+x]
	}
	out := image.NewPaletted(image.Rect(0, 0, w, h), color.Palette{color.White, color.Black})
	noise := uint32(page) * 2654435761
	for y := range h {
		for x := range w {
			fx := x<<16 - lean*(y-h/2)
			fy := y<<16 - row*(x-w/2)
			x0, y0 := fx>>16, fy>>16
			ax, ay := (fx>>8)&255, (fy>>8)&255
			v := ((at(x0, y0)*(256-ax)+at(x0+1, y0)*ax)*(256-ay) + (at(x0, y0+1)*(256-ax)+at(x0+1, y0+1)*ax)*ay) >> 16
			noise ^= noise << 13
			noise ^= noise >> 17
			noise ^= noise << 5
			// The edges of ink are ragged, and a speck of dust shows here and there.
			if v < 118+int(noise>>25) || noise%90001 == 0 {
				out.Pix[y*w+x] = 1
			}
		}
	}
	return out
}
