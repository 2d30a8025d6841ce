package demo

import (
	"bytes"
	"embed"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"windtally/extract"

	"github.com/go-pdf/fpdf"
	"go.yaml.in/yaml/v3"
)

// Render draws a page of a PDF file at a resolution and returns the image's file.
type Render func(file string, page int, dpi float64) ([]byte, error)

// scanDPI is the resolution of the demonstration's scan.
const scanDPI = 300

// scan makes of a document what a library would have: its pages printed, laid a little
// askew on the glass, scanned in black and white, and no text layer. Only whole
// numbers are used, so that every processor makes the same page of the same drawing.
func (d *Document) scan(typeset string, render Render) error {
	p := fpdf.New("P", "pt", "Letter", "")
	p.SetCreationDate(d.printed)
	p.SetModificationDate(d.printed)
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
		glass, err := onGlass(drawn, page)
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := png.Encode(&b, glass); err != nil {
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
func onGlass(drawn image.Image, page int) (*image.Paletted, error) {
	r := drawn.Bounds()
	w, h := r.Dx(), r.Dy()
	grey := make([]int, w*h)
	if c, ok := drawn.(*image.Gray); ok {
		for y := range h {
			for x, v := range c.Pix[y*c.Stride : y*c.Stride+w] {
				grey[y*w+x] = int(v)
			}
		}
	} else if c, ok := drawn.(*image.RGBA); ok { // black ink on white: one channel tells
		for y := range h {
			for x := range w {
				grey[y*w+x] = int(c.Pix[y*c.Stride+4*x])
			}
		}
	} else if c, ok := drawn.(*image.NRGBA); ok {
		for y := range h {
			for x := range w {
				grey[y*w+x] = int(c.Pix[y*c.Stride+4*x])
			}
		}
	} else {
		return nil, fmt.Errorf("page %d was drawn as %T; a grey or coloured image is wanted", page, drawn)
	}
	// Slopes in 1/65536: rows fall to the right by a tenth of a degree, and columns
	// lean, a little more or less from page to page.
	row, lean := 100+10*page, -(120 - 10*page)
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
	return out, nil
}

//go:embed names
var namesFolder embed.FS

// pictureNames is what I. Toskamp saw in the pictures of the shapes of report 15: the
// file of names that was filled by eye, and the pictures that it names.
func pictureNames(source string) (map[string]string, map[string]*image.Gray, error) {
	data, err := namesFolder.ReadFile("names/" + source + ".yaml")
	if err != nil {
		return nil, nil, err
	}
	var file extract.Names
	if err := yaml.Unmarshal(data, &file); err != nil {
		return nil, nil, err
	}
	names, pictures := map[string]string{}, map[string]*image.Gray{}
	for _, p := range file.Pictures {
		data, err := namesFolder.ReadFile("names/" + source + "/" + p.Picture + ".png")
		if err != nil {
			return nil, nil, err
		}
		if pictures[p.Picture], err = greyPNG(data); err != nil {
			return nil, nil, err
		}
		names[p.Picture] = p.Name
	}
	return names, pictures, nil
}

func greyPNG(data []byte) (*image.Gray, error) {
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	grey, ok := img.(*image.Gray)
	if !ok {
		return nil, fmt.Errorf("a picture of shapes is %T, not grey", img)
	}
	return grey, nil
}

// mostOff is by how many grey steps the same picture may differ in the mean on another
// processor.
const mostOff = 3

// samePicture reports whether a person would take two pictures for one.
func samePicture(a, b *image.Gray) bool {
	if a.Rect != b.Rect {
		return false
	}
	off := 0
	for i := range a.Pix {
		d := int(a.Pix[i]) - int(b.Pix[i])
		off += max(d, -d)
	}
	return off <= mostOff*len(a.Pix)
}

// fillNames is the act of a person who looks at the pictures of a source in the study
// and writes what each shows, as the file asks. It returns how many were named.
func (r *runner) fillNames(source string) (int, error) {
	names, pictures, err := pictureNames(source)
	if err != nil {
		return 0, err
	}
	file := filepath.Join(r.dir, "names", source+".yaml")
	data, err := os.ReadFile(file)
	if err != nil {
		return 0, err
	}
	var asked extract.Names
	if err := yaml.Unmarshal(data, &asked); err != nil {
		return 0, err
	}
	text := strings.Replace(string(data), "by: \"\"\n", "by: \"it\"\n", 1)
	n := 0
	for _, p := range asked.Pictures {
		data, err := os.ReadFile(filepath.Join(r.dir, "names", source, p.Picture+".png"))
		if err != nil {
			return 0, err
		}
		seen, err := greyPNG(data)
		if err != nil {
			return 0, err
		}
		for _, known := range slices.Sorted(maps.Keys(names)) {
			entry := fmt.Sprintf("- picture: %q\n    glyphs: %d\n    name: ", p.Picture, p.Glyphs)
			if (known == p.Picture || samePicture(seen, pictures[known])) && strings.Contains(text, entry+"\"\"") {
				text = strings.Replace(text, entry+"\"\"", entry+fmt.Sprintf("%q", names[known]), 1)
				n++
			}
		}
	}
	return n, os.WriteFile(file, []byte(text), 0o666)
}
