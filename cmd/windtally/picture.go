package main

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"slices"

	"windtally/extract"

	"golang.org/x/image/draw"

	"github.com/urfave/cli/v2"
)

// picture is a part of a page of a source, with cells outlined.
type picture struct {
	URL           template.URL // data:, "" where there is none
	Width, Height int          // pixels
	Show          int          // width in CSS pixels
	Boxes         []htmlBox
	Alt, Caption  string

	table    *extract.Table
	page     int
	area     extract.Rect // in the seen frame
	near     extract.Rect // what should be seen beside it, or empty
	outlines []outline
	whole    bool // the table, made smaller; else cells, enlarged
}

// outline is a rectangle of the seen frame to be drawn.
type outline struct {
	box       extract.Rect
	to, title string // the anchor of its finding, and what it is
	about     bool
}

// htmlBox is an outline in the pixels of its picture.
type htmlBox struct {
	X, Y, Width, Height int
	To, Title           string
	About               bool
}

// pictures gathers what is to be shown, so that each page is drawn once.
type pictures struct {
	p      *program
	c      *cli.Context
	s      *extract.Study
	asked  []*picture
	faults []string
}

func (l *pictures) ask(m *picture) *picture {
	l.asked = append(l.asked, m)
	return m
}

func (l *pictures) taken() int {
	n := 0
	for _, m := range l.asked {
		if m.URL != "" {
			n++
		}
	}
	return n
}

// take draws the pages and cuts the pictures out of them. A page that cannot be
// drawn costs its pictures, not the page of findings.
func (l *pictures) take() error {
	type leaf struct {
		source string
		page   int
	}
	var order []leaf
	by := map[leaf][]*picture{}
	for _, m := range l.asked {
		k := leaf{m.table.Source, m.page}
		if by[k] == nil {
			order = append(order, k)
		}
		by[k] = append(by[k], m)
	}
	step, done := l.p.progress(len(order), "drawing pages")
	defer done()
	for _, k := range order {
		img, scale, err := l.draw(l.s.Source(k.source), k.page)
		if l.c.Context.Err() != nil {
			return l.c.Context.Err()
		}
		if err != nil {
			reason := err.Error()
			var e *extract.Error
			if errors.As(err, &e) {
				reason = e.Msg
			}
			l.faults = append(l.faults, fmt.Sprintf("%s page %d: %s", k.source, k.page, reason))
			for _, m := range by[k] {
				m.Caption += "; no picture: " + reason
			}
			continue
		}
		for _, m := range by[k] {
			if err := m.cut(img, scale, l.turn(m)); err != nil {
				return err
			}
		}
		step()
	}
	return nil
}

// turn is the clockwise turn that brings the picture upright, as a reader saw it.
func (l *pictures) turn(m *picture) int {
	for _, r := range l.s.Readings[m.table.ID] {
		if t := r.Meta.Turned[m.page]; t != 0 {
			return t
		}
	}
	return 0
}

// draw returns the page as seen, and its pixels to a unit of the seen frame.
func (l *pictures) draw(src *extract.Source, page int) (image.Image, float64, error) {
	switch sourceKind(src.File) {
	case "image":
		img, _, err := l.p.pageImage(l.c, l.s, src, page, 0)
		return img, 1, err
	case "pdf":
		// A page too large for the first is drawn coarser.
		var first error
		for _, dpi := range []float64{scanDPI, scanDPI / 2, scanDPI / 4} {
			img, _, err := l.p.pageImage(l.c, l.s, src, page, dpi)
			if err == nil {
				return img, dpi / 72, nil
			}
			if first == nil {
				first = err
			}
			if l.c.Context.Err() != nil {
				break
			}
		}
		return nil, 0, first
	}
	return nil, 0, errors.New("the source has no pages to draw")
}

// Sizes of pictures, in pixels.
const (
	wholeWidth  = 1300 // of a table, at most
	cellHeight  = 40   // of a cell in its picture, at most
	cellShown   = 30   // of a cell as shown, in CSS pixels
	cellWidth   = 1200 // of a picture of cells, at most
	shownAtMost = 920  // CSS pixels, the width of the page's column
)

// cut makes the picture from its page, turned clockwise by turn.
func (m *picture) cut(page image.Image, scale float64, turn int) error {
	tall := 0.0 // height of a cell as read
	for _, o := range m.outlines {
		h := o.box.Height()
		if turn == 90 || turn == 270 {
			h = o.box.Width()
		}
		tall = max(tall, h)
	}
	area := m.area
	if m.whole {
		area = grown(area, 6/scale, 6/scale)
	} else {
		// A row or two above and below, and the neighbours on both sides.
		across, along := 2.2*tall, 6*tall
		if turn == 90 || turn == 270 {
			across, along = along, across
		}
		area = grown(area, along, across).Union(grown(m.near, tall, tall))
	}
	b := page.Bounds()
	r := image.Rect(int(math.Floor(area.X0*scale)), int(math.Floor(area.Y0*scale)), int(math.Ceil(area.X1*scale)), int(math.Ceil(area.Y1*scale))).Add(b.Min).Intersect(b)
	if r.Empty() {
		m.Caption += "; no picture: the place lies outside the page"
		return nil
	}
	w, h := r.Dx(), r.Dy()
	if turn == 90 || turn == 270 {
		w, h = h, w
	}
	factor := 1.0
	if m.whole {
		factor = min(1, wholeWidth/float64(w))
	} else {
		factor = min(1, cellHeight/(tall*scale), cellWidth/float64(w))
	}
	m.Width, m.Height = max(1, int(float64(w)*factor+0.5)), max(1, int(float64(h)*factor+0.5))
	grey := image.NewGray(image.Rect(0, 0, r.Dx(), r.Dy()))
	draw.Draw(grey, grey.Bounds(), page, r.Min, draw.Src)
	grey = turned(grey, turn)
	if factor < 1 {
		small := image.NewGray(image.Rect(0, 0, m.Width, m.Height))
		draw.CatmullRom.Scale(small, small.Bounds(), grey, grey.Bounds(), draw.Src, nil)
		grey = small
	}
	data, kind, err := packed(grey)
	if err != nil {
		return err
	}
	m.URL = template.URL("data:image/" + kind + ";base64," + base64.StdEncoding.EncodeToString(data)) // nothing in it comes from a file but pixels
	m.Show = m.Width
	if !m.whole {
		m.Show = int(float64(m.Width)*cellShown/(tall*scale*factor) + 0.5)
	}
	m.Show = min(m.Show, shownAtMost)
	for _, o := range m.outlines {
		x0, y0 := (o.box.X0*scale-float64(r.Min.X-b.Min.X))*factor, (o.box.Y0*scale-float64(r.Min.Y-b.Min.Y))*factor
		x1, y1 := x0+o.box.Width()*scale*factor, y0+o.box.Height()*scale*factor
		fw, fh := float64(r.Dx())*factor, float64(r.Dy())*factor
		switch turn {
		case 90:
			x0, y0, x1, y1 = fh-y1, x0, fh-y0, x1
		case 180:
			x0, y0, x1, y1 = fw-x1, fh-y1, fw-x0, fh-y0
		case 270:
			x0, y0, x1, y1 = y0, fw-x1, y1, fw-x0
		}
		// The line runs outside the ink.
		const off = 3
		box := htmlBox{X: int(x0) - off, Y: int(y0) - off, Width: int(math.Ceil(x1)-math.Floor(x0)) + 2*off, Height: int(math.Ceil(y1)-math.Floor(y0)) + 2*off,
			To: o.to, Title: o.title, About: o.about}
		m.Boxes = append(m.Boxes, box)
	}
	return nil
}

func grown(r extract.Rect, x, y float64) extract.Rect {
	return extract.Rect{X0: r.X0 - x, Y0: r.Y0 - y, X1: r.X1 + x, Y1: r.Y1 + y}
}

// turned turns an image clockwise.
func turned(g *image.Gray, turn int) *image.Gray {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if turn == 0 {
		return g
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	if turn != 180 {
		out = image.NewGray(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			v := g.Pix[y*g.Stride+x]
			switch turn {
			case 90:
				out.Pix[x*out.Stride+h-1-y] = v
			case 180:
				out.Pix[(h-1-y)*out.Stride+w-1-x] = v
			case 270:
				out.Pix[(w-1-x)*out.Stride+y] = v
			}
		}
	}
	return out
}

// packed writes the image as PNG in two or sixteen greys, or as JPEG, whichever is
// the smallest.
func packed(g *image.Gray) (data []byte, kind string, err error) {
	levels := 16
	if !slices.ContainsFunc(g.Pix, func(v uint8) bool { return v != 0 && v != 255 }) {
		levels = 2
	}
	var greys color.Palette
	for i := range levels {
		greys = append(greys, color.Gray{Y: uint8(i * 255 / (levels - 1))})
	}
	few := image.NewPaletted(g.Rect, greys)
	for i, v := range g.Pix {
		few.Pix[i] = uint8((int(v)*(levels-1) + 127) / 255)
	}
	var p, j bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&p, few); err != nil {
		return nil, "", err
	}
	if levels == 2 {
		return p.Bytes(), "png", nil
	}
	if err := jpeg.Encode(&j, g, &jpeg.Options{Quality: 60}); err != nil {
		return nil, "", err
	}
	if j.Len() < p.Len() {
		return j.Bytes(), "jpeg", nil
	}
	return p.Bytes(), "png", nil
}
