// Package transcribe reads the tables of page images with two readers of different
// kinds, figures grouped by shape (package sorts) and character recognition (package
// ocr), on one geometry that is found on the ink alone (package layout).
package transcribe

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/ocr"
)

// Options say with what pages are read.
type Options struct {
	// Engine reads by character recognition; nil where there is none.
	Engine *ocr.Engine
	// Names are the groups of figures that a person named, by group key.
	Names map[string]string
	// Parallel is the most child processes at a time; 0 means 1.
	Parallel int
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
	p.cut()
	p.Tables = layout.Find(s, p.Marks, nil)
	if so.Turn < 0 {
		if err := p.standUp(ctx, o); err != nil {
			return nil, err
		}
	}
	if o.Engine == nil {
		return p, nil
	}
	words, err := o.Engine.Page(ctx, p.withoutFigures(), s.DPI)
	if err != nil {
		return nil, err
	}
	for _, w := range words {
		p.Prose = append(p.Prose, Prose{Text: w.Text, Confidence: w.Confidence,
			Box: extract.Rect{X0: float64(w.Box.Min.X), Y0: float64(w.Box.Min.Y), X1: float64(w.Box.Max.X), Y1: float64(w.Box.Max.Y)}})
	}
	p.Tables = layout.Find(s, p.Marks, p.words())
	return p, nil
}

func (p *Page) cut() { p.Marks = p.Sheet.Cut(p.Sheet.Level()) }

func (p *Page) words() []layout.Word {
	var out []layout.Word
	for _, w := range p.Prose {
		out = append(out, layout.Word{Text: w.Text, Box: w.Box})
	}
	return out
}

// standUp turns a page that stands on its head. In figures the small marks tell:
// points stand at the foot of the line. Where there are too few of them the engine
// is asked, if there is one.
func (p *Page) standUp(ctx context.Context, o Options) error {
	low, high := p.smallMarks()
	switch {
	case low+high >= 20 && low >= 3*high:
		return nil
	case low+high >= 20 && high >= 3*low:
		p.turnOver()
		return nil
	case o.Engine == nil:
		return nil
	}
	turn, confidence, err := o.Engine.Orientation(ctx, picture(p.Sheet, extract.Rect{X1: float64(p.Sheet.W), Y1: float64(p.Sheet.H)}))
	if errors.Is(err, ocr.ErrNoOrientation) || err == nil && (turn != 180 || confidence < 0.5) {
		return nil
	}
	if err != nil {
		return ctx.Err() // the engine could not tell; the page stays as it is
	}
	p.turnOver()
	return nil
}

func (p *Page) turnOver() {
	p.Sheet = p.Sheet.Turned(180)
	p.cut()
	p.Tables = layout.Find(p.Sheet, p.Marks, nil)
}

// smallMarks counts marks of the size of a point between two figures: at their foot
// and at their head.
func (p *Page) smallMarks() (low, high int) {
	h := p.Sheet.FigureHeight()
	if h == 0 {
		return 0, 0
	}
	var tall []scan.Mark
	var small []scan.Mark
	for _, m := range p.Marks.List {
		switch t := float64(m.Height()); {
		case t >= 0.75*h && t <= 1.3*h && float64(m.Width()) < 6*h:
			tall = append(tall, m)
		case t <= 0.4*h && t >= 0.08*h && float64(m.Width()) <= 1.5*t && float64(m.Width()) >= 0.5*t:
			small = append(small, m)
		}
	}
	slices.SortFunc(tall, func(a, b scan.Mark) int { return a.Y0 - b.Y0 })
	for _, m := range small {
		at, _ := slices.BinarySearchFunc(tall, m.Y0-int(1.4*h), func(t scan.Mark, y int) int { return t.Y0 - y })
		for ; at < len(tall) && tall[at].Y0 < m.Y1+int(0.2*h); at++ {
			t := tall[at]
			gap := math.Max(float64(t.X0-m.X1), float64(m.X0-t.X1))
			if gap < 0 || gap > 0.5*h {
				continue
			}
			foot, head := math.Abs(float64(m.Y1-t.Y1)), math.Abs(float64(m.Y0-t.Y0))
			if foot < 0.2*h {
				low++
				break
			}
			if head < 0.2*h {
				high++
				break
			}
		}
	}
	return low, high
}

// withoutFigures is the sheet with the cells of its tables left white: the engine
// reads prose, and dense figures cost it seconds and mislead it.
func (p *Page) withoutFigures() *image.Gray {
	img := picture(p.Sheet, extract.Rect{X1: float64(p.Sheet.W), Y1: float64(p.Sheet.H)})
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

// picture is a part of the sheet as an image: black print on white.
func picture(s *scan.Sheet, r extract.Rect) *image.Gray {
	x0, y0 := max(0, int(r.X0)), max(0, int(r.Y0))
	x1, y1 := min(s.W, int(math.Ceil(r.X1))), min(s.H, int(math.Ceil(r.Y1)))
	img := image.NewGray(image.Rect(0, 0, max(1, x1-x0), max(1, y1-y0)))
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			img.Pix[(y-y0)*img.Stride+x-x0] = 255 - s.Ink[y*s.W+x]
		}
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
