package pdf

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// TestScanKeepsPixels compares what Scan draws with the picture that pdfimages (poppler)
// takes out of the file: every pixel the same, up to the turn and the page's edge.
func TestScanKeepsPixels(t *testing.T) {
	cases := []struct {
		file string
		page int
		dpi  float64
	}{
		{"nasa-tm-4741.pdf", 18, 300}, // set sideways in a file whose page is smaller than its picture
		{"nasa-tm-4741.pdf", 22, 300},
		{"naca-tr-572.pdf", 22, 300},
		{"naca-tr-903.pdf", 13, 300},
		{"nasa-tm-81244.pdf", 18, 300},
	}
	path := material(t, len(cases), "pages beside pdfimages")
	for _, c := range cases {
		file := path("reports", c.file)
		data, dpi, err := reader().Scan(ctx(t), file, c.page, 200)
		if err != nil {
			t.Fatal(err)
		}
		drawn, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		root := filepath.Join(t.TempDir(), "p")
		n := strconv.Itoa(c.page)
		poppler(t, "pdfimages", "-png", "-f", n, "-l", n, file, root)
		raw, err := os.ReadFile(root + "-000.png")
		if err != nil {
			t.Fatal(err)
		}
		own, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		same, turn := 0.0, 0
		for k := range 4 {
			if v := agreement(drawn, own, k); v > same {
				same, turn = v, 90*k
			}
		}
		t.Logf("%s page %d: %.1f dpi, %v drawn, %v in the file turned by %d, %.5f of the pixels the same", c.file, c.page, dpi, drawn.Bounds().Size(), own.Bounds().Size(), turn, same)
		if same < 1 || dpi < c.dpi-1 || dpi > c.dpi+1 {
			t.Errorf("%s page %d: at %.1f dpi %.5f of the pixels are as in the file, want all at %.0f", c.file, c.page, dpi, same, c.dpi)
		}
	}
}

// agreement returns the share of the pixels that are as dark in a as in b turned by
// quarters, where a's corner lies at the best of a few shifts.
func agreement(a, b image.Image, quarters int) float64 {
	w, h := b.Bounds().Dx(), b.Bounds().Dy()
	at := func(x, y int) (image.Point, bool) {
		p := image.Pt(x, y)
		switch quarters {
		case 1:
			p = image.Pt(y, h-1-x)
		case 2:
			p = image.Pt(w-1-x, h-1-y)
		case 3:
			p = image.Pt(w-1-y, x)
		}
		return p, p.In(image.Rect(0, 0, w, h))
	}
	best := 0.0
	for dx := -4; dx <= 4; dx++ {
		for dy := -4; dy <= 4; dy++ {
			same, all := 0, 0
			// A part of the pixels tells which shift it is.
			step := 7
			for pass := range 2 {
				if pass == 1 && float64(same) < 0.999*float64(all) {
					break
				}
				if pass == 1 {
					step, same, all = 1, 0, 0
				}
				for y := 8; y < a.Bounds().Dy()-8; y += step {
					for x := 8; x < a.Bounds().Dx()-8; x += step {
						p, ok := at(x+dx, y+dy)
						if !ok {
							continue
						}
						all++
						if dark(a, image.Pt(x, y)) == dark(b, p) {
							same++
						}
					}
				}
			}
			if all > a.Bounds().Dx()*a.Bounds().Dy()/(2*step*step) && float64(same)/float64(all) > best {
				best = float64(same) / float64(all)
			}
		}
	}
	return best
}

func dark(img image.Image, p image.Point) bool {
	p = p.Add(img.Bounds().Min)
	if g, ok := img.(*image.Gray); ok {
		return g.Pix[(p.Y-g.Rect.Min.Y)*g.Stride+p.X-g.Rect.Min.X] < 128
	}
	r, g, b, _ := img.At(p.X, p.Y).RGBA()
	return r+g+b < 3*0x8000
}
