package transcribe

import (
	"context"
	"fmt"
	"image"
	"math"
	"strings"
	"sync/atomic"
	"unicode"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/sorts"
)

// Part is one table on one page.
type Part struct {
	Page  *Page
	Table layout.Table
}

// Word is one reader's word about a cell.
type Word struct {
	Text       string
	Confidence float64
	Doubt      string
	Candidates []string
}

// Cell is one cell with what the two readers say.
type Cell struct {
	Row, Column int
	Place       extract.Rect // seen frame
	Sorts, OCR  Word
	Letters     bool // words stand in this column: sorts does not read it
	Blank       bool // no ink

	hard bool // shapes doubt more than the shape of a figure
}

// Result is the cells of each part, rows of the table that are sub-heads left out.
type Result struct {
	Cells  [][]Cell // by part
	Groups []sorts.Group

	parts []Part
	read  *sorts.Result
}

const (
	// cellHeight is how high the engine gets its figures, in pixels.
	cellHeight = 38.0
	cellMargin = 10
)

// Read reads the cells of the parts, which should be set in one type: the tables of a
// report lend their figures to a small one.
func Read(ctx context.Context, parts []Part, o Options) (*Result, error) {
	res := &Result{Cells: make([][]Cell, len(parts))}
	in := sorts.Input{Names: o.Names}
	index := make([][]int, len(parts))    // cell of each slot
	reaches := make([][]bool, len(parts)) // whether its print goes beyond it
	var inked int
	var recognized atomic.Int64
	for _, part := range parts {
		for _, row := range part.Table.Rows {
			for _, cell := range row.Cells {
				if len(cell.Marks) > 0 {
					inked++
				}
			}
		}
	}
	done := func(n int) { o.progress("cells", int(recognized.Add(int64(n))), inked) }
	for p, part := range parts {
		s := part.Page.Sheet
		sp := sorts.Part{Sheet: s, Marks: part.Page.Marks}
		var figures, letters []layout.Cell
		var figureAt, letterAt []int
		for r, row := range part.Table.Rows {
			if row.SubHead != nil {
				continue
			}
			for c, cell := range row.Cells {
				box := cell.Box
				if box.Empty() {
					box = cell.Slot
				}
				at := len(res.Cells[p])
				res.Cells[p] = append(res.Cells[p], Cell{Row: r, Column: c, Place: s.SeenOfFlat(box).Rounded(), Blank: len(cell.Marks) == 0})
				k := &res.Cells[p][at]
				if part.Table.Columns[c].Words > part.Table.Columns[c].Figures {
					k.Letters = true
					if !k.Blank {
						letters = append(letters, cell)
						letterAt = append(letterAt, at)
					}
					continue
				}
				reaches[p] = append(reaches[p], outside(part.Page.Marks, cell))
				sp.Slots = append(sp.Slots, sorts.Slot{Row: r, Column: c, Room: cell.Slot, Baseline: row.Baseline})
				index[p] = append(index[p], at)
				if !k.Blank {
					figures = append(figures, cell)
					figureAt = append(figureAt, at)
				}
			}
		}
		if o.Engine != nil {
			figureHeight := s.FigureHeight()
			recognize := func(cells []layout.Cell, at []int, letters bool) error {
				imgs := make([]*image.Gray, len(cells))
				for i, cell := range cells {
					imgs[i] = crop(s, part.Page.Marks, cell, figureHeight)
				}
				got, err := o.Engine.Cells(ctx, imgs, ocr.Options{Parallel: o.Parallel, Letters: letters, Done: done})
				for i, g := range got {
					res.Cells[p][at[i]].OCR = Word{Text: g.Text, Confidence: g.Confidence}
				}
				return err
			}
			if err := recognize(figures, figureAt, false); err != nil {
				return nil, err
			}
			if err := recognize(letters, letterAt, true); err != nil {
				return nil, err
			}
			votes := make([]string, len(sp.Slots))
			for i, at := range index[p] {
				votes[i] = res.Cells[p][at].OCR.Text
			}
			sp.Votes = append(sp.Votes, votes)
		}
		in.Parts = append(in.Parts, sp)
	}
	if o.Engine != nil {
		in.Name = func(ctx context.Context, pictures []sorts.Picture) ([]string, error) {
			imgs := make([]*image.Gray, len(pictures))
			for i, p := range pictures {
				imgs[i] = enlarge(p, cellHeight/sorts.PictureHeight)
			}
			got, err := o.Engine.Glyphs(ctx, imgs, "")
			names := make([]string, len(got))
			for i, g := range got {
				names[i] = oneFigure(g.Text)
			}
			return names, err
		}
	}
	o.progress("shapes", 0, 1)
	got, err := sorts.Read(ctx, in)
	if err != nil {
		return nil, err
	}
	o.progress("shapes", 1, 1)
	res.Groups = got.Groups
	res.parts, res.read = parts, got
	for p := range parts {
		cells := res.Cells[p]
		for i, r := range got.Readings[p] {
			k := &cells[index[p][i]]
			if k.Blank != r.Empty {
				r.Doubts = append(r.Doubts, "whether print stands in the cell is not clear")
				k.Blank = false
			}
			if reaches[p][i] {
				r.Doubts = append(r.Doubts, "print of the cell reaches beyond its column or row")
			}
			k.Sorts = Word{Text: r.Text, Confidence: r.Confidence, Candidates: r.Candidates,
				Doubt: strings.Join(append(r.Doubts, r.Shaky...), "; ")}
			k.hard = len(r.Doubts) > 0
		}
	}
	res.weigh(o.Engine != nil)
	return res, nil
}

// outside reports whether a figure or a sign of the cell stands outside its slot, where
// the shapes are not read: an edge that a person drew may go through a number.
func outside(m *scan.Marks, cell layout.Cell) bool {
	for _, k := range cell.Marks {
		mark := m.List[k]
		if !cell.Slot.Contains(mark.Box.MidX(), mark.Box.MidY()) && float64(max(mark.Width(), mark.Height())) > 0.25*cell.Box.Height() {
			return true
		}
	}
	return false
}

// oneFigure is the figure of which a text consists, "" where it is several.
func oneFigure(text string) string {
	if text == "" || strings.Trim(text, text[:1]) != "" {
		return ""
	}
	return text[:1]
}

// crop draws the ink of one cell, skew undone, at the size that the engine reads best.
// figureHeight is the sheet's, 0 where it has none.
func crop(s *scan.Sheet, m *scan.Marks, cell layout.Cell, figureHeight float64) *image.Gray {
	box := cell.Box
	if box.Empty() {
		box = cell.Slot
	}
	own := map[int32]bool{}
	for _, k := range cell.Marks {
		own[int32(k)+1] = true
	}
	h := box.Height()
	scale := cellHeight / math.Max(h, 1)
	if figureHeight > 0 {
		scale = cellHeight / figureHeight
	}
	w, t := int(math.Ceil(box.Width()*scale))+2*cellMargin, int(math.Ceil(h*scale))+2*cellMargin
	w, t = min(w, 3000), min(t, 600)
	img := image.NewGray(image.Rect(0, 0, w, t))
	// The ink of this cell alone: paper between the marks keeps its grey edges.
	ink := func(x, y int) float64 {
		if x < 0 || y < 0 || x >= s.W || y >= s.H {
			return 0
		}
		i := y*s.W + x
		if k := m.Of[i]; k != 0 && !own[k] {
			return 0
		}
		return float64(s.Ink[i])
	}
	for y := range t {
		for x := range w {
			fx := box.X0 + (float64(x)+0.5-cellMargin)/scale
			fy := box.Y0 + (float64(y)+0.5-cellMargin)/scale
			sx, sy := s.Sheet(fx, fy)
			img.Pix[y*img.Stride+x] = 255 - uint8(between(ink, sx, sy)+0.5)
		}
	}
	return img
}

const (
	// leastConfidence is that below which the engine's word counts for nothing.
	leastConfidence = 0.85
	// leastRecord is the share of cells with clear shapes in which the engine must say
	// the same for its contradictions to count. On clogged print it errs in one cell
	// out of eight with full confidence, and the shapes in none.
	leastRecord = 0.97
	// settlingRecord is the share from which its agreement settles a shape that is not
	// clear: that both are wrong in the same way is rarer than that one is wrong.
	settlingRecord = 0.8
	// surely is the confidence from which its sight of a sign or figure more than the
	// shapes show raises a doubt.
	surely = 0.95
)

// weigh decides where the engine's word counts beside the shapes, which share its
// geometry of cells and nothing else.
func (r *Result) weigh(engine bool) {
	clear, same := 0, 0
	each := func(f func(k *Cell)) {
		for p := range r.Cells {
			for i := range r.Cells[p] {
				if k := &r.Cells[p][i]; !k.Blank {
					f(k)
				}
			}
		}
	}
	each(func(k *Cell) {
		switch {
		case k.Letters:
			k.Sorts.Doubt = "words are not read by shape"
			switch {
			case k.OCR.Text != "" && k.OCR.Confidence < leastConfidence:
				k.OCR.Doubt = fmt.Sprintf("confidence %.2f", k.OCR.Confidence)
			case figuresOf(k.OCR.Text) != "" && !strings.ContainsFunc(k.OCR.Text, unicode.IsLetter):
				k.OCR.Doubt = "a figure in a column of words is read by character recognition alone"
			}
		case k.OCR.Confidence < leastConfidence:
			k.OCR.Doubt = fmt.Sprintf("confidence %.2f", k.OCR.Confidence)
		case len(figuresOf(k.OCR.Text)) != len(figuresOf(k.Sorts.Text)):
			k.OCR.Doubt = "reads another number of figures than stand there"
		case figuresOf(k.OCR.Text) == figuresOf(k.Sorts.Text) && k.OCR.Text != k.Sorts.Text:
			k.OCR.Doubt = otherwise
		case k.Sorts.Doubt == "":
			clear++
			if k.OCR.Text == k.Sorts.Text {
				same++
			}
		}
		if k.OCR.Text == "" {
			k.OCR.Doubt = "reads nothing"
		}
		if !engine {
			k.OCR.Doubt = "no character recognition is installed"
		}
	})
	reliable := clear > 0 && float64(same) >= leastRecord*float64(clear)
	settles := float64(same) >= settlingRecord*float64(clear)
	each(func(k *Cell) {
		switch {
		case k.Letters:
		case reliable && k.Sorts.Doubt == "" && k.OCR.Confidence >= surely && sees(k.OCR.Text, k.Sorts.Text):
			k.Sorts.Doubt = fmt.Sprintf("character recognition sees more than the shapes show: %q", k.OCR.Text)
			k.Sorts.Candidates = append(k.Sorts.Candidates, k.OCR.Text)
		case k.OCR.Doubt == otherwise && !k.hard && settles:
			k.Sorts.Doubt = "" // of its figures' shapes, on which the two agree
		case k.OCR.Doubt != "":
		case k.hard:
			k.OCR.Doubt = "what stands in the cell is not clear"
		case k.OCR.Text == k.Sorts.Text && k.Sorts.Doubt == "":
		case k.OCR.Text == k.Sorts.Text && settles:
			// A shape that is not clear is settled by a reader of another kind.
			k.Sorts.Doubt = ""
		case k.Sorts.Doubt != "":
			k.OCR.Doubt = "the shapes do not bear it out"
		case !reliable:
			k.OCR.Doubt = fmt.Sprintf("differs from clear shapes in %d of %d cells of this type", clear-same, clear)
		}
	})
	for _, cells := range r.Cells {
		distrust(cells)
	}
}

// leastClear is the share of a table's figures that must be clear for any of them to be
// vouched for: of a page that stands on its head, or that is ruined, a few look clear.
const leastClear = 0.5

// distrust doubts all figures of a table of which most are doubted.
func distrust(cells []Cell) {
	var vouched []*Cell
	figures := 0
	for i := range cells {
		k := &cells[i]
		if k.Blank || k.Letters {
			continue
		}
		figures++
		if _, ok, _ := k.Settle(); ok {
			vouched = append(vouched, k)
		}
	}
	if figures < 8 || float64(len(vouched)) >= leastClear*float64(figures) {
		return
	}
	for _, k := range vouched {
		k.Sorts.Doubt = fmt.Sprintf("of the table's %d figures %d alone are clear", figures, len(vouched))
		k.hard = true
	}
}

// otherwise is the engine's doubt where it has the same figures: their points and signs
// are told by geometry, which it does not see.
const otherwise = "reads point or sign otherwise than they stand there"

// sees reports whether a text has more figures than the other, or a sign more. The
// engine often takes a leading point for a sign, which is none more.
func sees(text, other string) bool {
	return len(figuresOf(text)) > len(figuresOf(other)) || len(text) > len(other) && strings.HasPrefix(text, "-") && !strings.HasPrefix(other, "-")
}

func figuresOf(text string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, text)
}

// enlarge draws a picture k times as large.
func enlarge(p sorts.Picture, k float64) *image.Gray {
	w, h := int(float64(p.W)*k), int(float64(p.H)*k)
	img := image.NewGray(image.Rect(0, 0, w, h))
	at := func(x, y int) float64 {
		return float64(p.Pix[min(p.H-1, max(0, y))*p.W+min(p.W-1, max(0, x))])
	}
	for y := range h {
		for x := range w {
			img.Pix[y*img.Stride+x] = uint8(between(at, (float64(x)+0.5)/k, (float64(y)+0.5)/k) + 0.5)
		}
	}
	return img
}

// between is the value of a picture at a point between the middles of its pixels.
func between(at func(x, y int) float64, x, y float64) float64 {
	x, y = x-0.5, y-0.5
	x0, y0 := math.Floor(x), math.Floor(y)
	ax, ay := x-x0, y-y0
	xi, yi := int(x0), int(y0)
	return (at(xi, yi)*(1-ax)+at(xi+1, yi)*ax)*(1-ay) + (at(xi, yi+1)*(1-ax)+at(xi+1, yi+1)*ax)*ay
}

// Settle is what a study makes of the cell when nobody rules on it (extract.Collate):
// shapes are followed where they have no doubt and the engine, where it has none
// either, says the same.
func (c Cell) Settle() (text string, accepted bool, why string) {
	switch {
	case c.Blank:
		return "", true, ""
	case c.Letters:
		return c.OCR.Text, c.OCR.Doubt == "", c.OCR.Doubt
	case c.Sorts.Doubt != "":
		return c.Sorts.Text, false, c.Sorts.Doubt
	case c.OCR.Doubt == "" && !extract.SameText(c.OCR.Text, c.Sorts.Text):
		return c.Sorts.Text, false, fmt.Sprintf("sorts reads %q and ocr reads %q", c.Sorts.Text, c.OCR.Text)
	}
	return c.Sorts.Text, true, ""
}
