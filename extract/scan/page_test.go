package scan

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// drawing is a page on which a test prints.
type drawing struct {
	*image.Gray
	face font.Face
}

func newDrawing(t testing.TB, w, h int, size float64, mono bool) *drawing {
	t.Helper()
	ttf := goregular.TTF
	if mono {
		ttf = gomono.TTF
	}
	f, err := opentype.Parse(ttf)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	d := &drawing{image.NewGray(image.Rect(0, 0, w, h)), face}
	draw.Draw(d, d.Bounds(), image.White, image.Point{}, draw.Src)
	return d
}

func (d *drawing) print(x, y float64, text string) {
	(&font.Drawer{Dst: d.Gray, Src: image.Black, Face: d.face,
		Dot: fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)}}).DrawString(text)
}

func (d *drawing) bar(x0, y0, x1, y1 int) {
	draw.Draw(d.Gray, image.Rect(x0, y0, x1, y1), image.Black, image.Point{}, draw.Src)
}

// column x and row y of the made tables.
func columnAt(i int) int { return 300 + 200*i }
func rowAt(i int) int    { return 400 + 48*i }

// table prints 40 rows of 8 columns of made figures with minus signs and, where asked
// for, rules about the columns, above and below.
func table(t testing.TB, ruled bool) *drawing {
	d := newDrawing(t, 2000, 2600, 38, true)
	r := rand.New(rand.NewPCG(7, 7))
	for i := range 40 {
		for k := range 8 {
			text := []byte(" 0.000")
			if r.IntN(4) == 0 {
				text[0] = '-'
			}
			for _, at := range []int{1, 3, 4, 5} {
				text[at] = byte('0' + r.IntN(10))
			}
			d.print(float64(columnAt(k)), float64(rowAt(i)), string(text))
		}
	}
	if ruled {
		d.bar(270, 330, 1900, 334)
		d.bar(270, 340, 1900, 342)
		d.bar(270, 2320, 1900, 2324)
		for k := range 9 {
			d.bar(columnAt(k)-18, 350, columnAt(k)-15, 2310)
		}
	}
	return d
}

// sheared returns the page with its rows falling by rows degrees and its columns
// leaning by columns degrees, about its middle, with interpolated greys.
func sheared(src *image.Gray, rows, columns float64) *image.Gray {
	b := src.Bounds()
	out := image.NewGray(b)
	r, c := math.Tan(rows*math.Pi/180), math.Tan(columns*math.Pi/180)
	cx, cy := float64(b.Dx())/2, float64(b.Dy())/2
	for y := range b.Dy() {
		for x := range b.Dx() {
			dx, dy := float64(x)+0.5-cx, float64(y)+0.5-cy
			// dx = u + c*v and dy = v + r*u
			v := (dy - r*dx) / (1 - r*c)
			u := dx - c*v
			fx, fy := u+cx-0.5, v+cy-0.5
			x0, y0 := int(math.Floor(fx)), int(math.Floor(fy))
			kx, ky := fx-float64(x0), fy-float64(y0)
			at := func(x, y int) float64 {
				if x < 0 || y < 0 || x >= b.Dx() || y >= b.Dy() {
					return 255
				}
				return float64(src.Pix[y*src.Stride+x])
			}
			g := at(x0, y0)*(1-kx)*(1-ky) + at(x0+1, y0)*kx*(1-ky) + at(x0, y0+1)*(1-kx)*ky + at(x0+1, y0+1)*kx*ky
			out.Pix[y*out.Stride+x] = uint8(g + 0.5)
		}
	}
	return out
}

// twoLevels returns the page as a bilevel scan.
func twoLevels(src *image.Gray) *image.Gray {
	out := image.NewGray(src.Bounds())
	for i, v := range src.Pix {
		if v >= 128 {
			out.Pix[i] = 255
		}
	}
	return out
}

func prepared(t testing.TB, img image.Image, turn int) *Sheet {
	t.Helper()
	s, err := Prepare(img, Options{Page: 1, DPI: 300, Unit: 0.24, Turn: turn})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// turnedImage returns the picture turned clockwise by a quarter turn, pixel by pixel.
func turnedImage(src *image.Gray, degrees int) *image.Gray {
	b := src.Bounds()
	w, h := b.Dx(), b.Dy()
	out := image.NewGray(image.Rect(0, 0, h, w))
	if degrees%180 == 0 {
		out = image.NewGray(b)
	}
	for y := range h {
		for x := range w {
			v := color.Gray{src.Pix[y*src.Stride+x]}
			switch degrees {
			case 0:
				out.SetGray(x, y, v)
			case 90:
				out.SetGray(h-1-y, x, v)
			case 180:
				out.SetGray(w-1-x, h-1-y, v)
			case 270:
				out.SetGray(y, w-1-x, v)
			}
		}
	}
	return out
}

// picture returns a part of the sheet as dark on light.
func (s *Sheet) picture(x0, y0, x1, y1 int) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, x1-x0, y1-y0))
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			out.SetGray(x-x0, y-y0, color.Gray{255 - s.At(x, y)})
		}
	}
	return out
}

func writeTemp(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
