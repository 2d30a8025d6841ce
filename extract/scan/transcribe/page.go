// Package transcribe reads the tables of page images with two readers of different
// kinds, figures grouped by shape (package sorts) and character recognition (package
// ocr), on one geometry that is found on the ink alone (package layout).
package transcribe

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/sorts"
)

// Options say with what pages are read. What JSON makes of them is what has an
// influence on a result, the engine apart.
type Options struct {
	// Engine reads by character recognition; nil where there is none.
	Engine *ocr.Engine `json:"-"`
	// Names are the pictures of groups of figures that a person named or is to name.
	Names []sorts.Named
	// Parallel is the most child processes at a time; 0 means 1.
	Parallel int `json:"-"`
	// Progress, where there is one, is told how much of a stage is done: of "cells" as
	// the engine reads them, and of "shapes". Several goroutines call it.
	Progress func(stage string, done, total int) `json:"-"`
}

// Settings is what decides, beside the program and the pages, what is read; ok is
// false where the engine cannot be told from another.
func (o Options) Settings() (text string, ok bool) {
	data, err := json.Marshal(o)
	if err != nil {
		return "", false
	}
	engine := "none"
	if o.Engine != nil {
		if engine = o.Engine.Identity(); engine == "" {
			return "", false
		}
	}
	return engine + " " + string(data), true
}

func (o Options) progress(stage string, done, total int) {
	if o.Progress != nil {
		o.Progress(stage, done, total)
	}
}

// Page is one page image made ready.
type Page struct {
	Sheet *scan.Sheet
	Marks *scan.Marks
	// Tables is what the ink alone shows, with the texts of the heads where an engine
	// read them.
	Tables []layout.Table
	Prose  []Prose
}

// Prose is a word of caption, head, sub-head, note or text, as the engine reads it.
type Prose struct {
	Text       string
	Box        extract.Rect // sheet pixels
	Confidence float64
}

// Open makes the page ready: it stands it upright, finds its tables and has the
// engine read what stands outside the figures.
func Open(ctx context.Context, img image.Image, so scan.Options, o Options) (*Page, error) {
	s, err := scan.Prepare(img, so)
	if err != nil {
		return nil, err
	}
	p := &Page{Sheet: s}
	if s.Unreadable != "" {
		return p, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p.find()
	if so.Turn < 0 {
		if err := p.standUp(ctx, o); err != nil {
			return nil, err
		}
	}
	if o.Engine == nil {
		return p, nil
	}
	words, err := o.Engine.Page(ctx, p.withoutFigures(), p.Sheet.DPI)
	if err != nil {
		return nil, err
	}
	for _, w := range words {
		p.Prose = append(p.Prose, Prose{Text: w.Text, Confidence: w.Confidence,
			Box: extract.Rect{X0: float64(w.Box.Min.X), Y0: float64(w.Box.Min.Y), X1: float64(w.Box.Max.X), Y1: float64(w.Box.Max.Y)}})
	}
	p.Tables = layout.Find(p.Sheet, p.Marks, p.words())
	return p, nil
}

// find cuts the ink and finds the tables, no word of them read yet.
func (p *Page) find() {
	p.Marks = p.Sheet.Cut(p.Sheet.Level())
	p.Tables = layout.Find(p.Sheet, p.Marks, nil)
}

func (p *Page) words() []layout.Word {
	var out []layout.Word
	for _, w := range p.Prose {
		out = append(out, layout.Word{Text: w.Text, Box: w.Box})
	}
	return out
}

// standUp asks the engine, if there is one, about a page that has too few points to
// tell which way is up, and turns it where it stands on its head.
func (p *Page) standUp(ctx context.Context, o Options) error {
	s := p.Sheet
	if o.Engine == nil || s.Feet+s.Heads >= 20 && s.Feet >= 3*s.Heads {
		return nil
	}
	turn, confidence, err := o.Engine.Orientation(ctx, picture(s))
	if errors.Is(err, ocr.ErrNoOrientation) || err == nil && (turn != 180 || confidence < 0.5) {
		return nil
	}
	if err != nil {
		return ctx.Err() // the engine could not tell; the page stays as it is
	}
	p.Sheet = s.Turned(180)
	p.find()
	return nil
}

// withoutFigures is the sheet with the cells of its tables left white: the engine
// reads prose, and dense figures cost it seconds and mislead it.
func (p *Page) withoutFigures() *image.Gray {
	img := picture(p.Sheet)
	for _, t := range p.Tables {
		for _, r := range t.Rows {
			for c, cell := range r.Cells {
				if t.Columns[c].Words > t.Columns[c].Figures {
					continue
				}
				for _, k := range cell.Marks {
					m := p.Marks.List[k]
					for y := m.Y0; y < m.Y1; y++ {
						for x := m.X0; x < m.X1; x++ {
							if p.Marks.Of[y*p.Sheet.W+x] == int32(k)+1 {
								img.Pix[y*img.Stride+x] = 255
							}
						}
					}
				}
			}
		}
	}
	return img
}

// picture is the sheet as an image: black print on white.
func picture(s *scan.Sheet) *image.Gray {
	img := image.NewGray(image.Rect(0, 0, s.W, s.H))
	for i, v := range s.Ink {
		img.Pix[i] = 255 - v
	}
	return img
}

// Find returns the table that the sheet shows at a seen region with the given
// columns, as a person's file states them.
func (p *Page) Find(region extract.Rect, columns [][2]float64) (layout.Table, error) {
	if p.Sheet.Unreadable != "" {
		return layout.Table{}, fmt.Errorf("page %d: cannot be read: %s", p.Sheet.Page, p.Sheet.Unreadable)
	}
	return layout.Read(p.Sheet, p.Marks, p.words(), region, columns)
}
