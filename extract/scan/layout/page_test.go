package layout_test

import (
	"image"
	"image/color"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"windtally/extract/scan"
	"windtally/extract/scan/layout"
)

// paper is a page that a test draws, in the flat frame: text at its places is slid to
// where the slopes of the scan put it.
type paper struct {
	t     testing.TB
	sheet *scan.Sheet
	img   *image.Gray
	face  font.Face
	rules [][4]float64
}

// newPaper takes an empty sheet; figures will be about 22 pixels high.
func newPaper(t testing.TB, w, h int, row, column float64) *paper {
	t.Helper()
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 30, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	return &paper{t: t, face: face, img: image.NewGray(image.Rect(0, 0, w, h)),
		sheet: &scan.Sheet{Page: 1, DPI: 300, Unit: 1, W: w, H: h, RowSlope: row, ColumnSlope: column}}
}

// left sets a text with its left edge at x and its baseline at y.
func (p *paper) left(x, y float64, text string) {
	// character by character, since the baseline slopes
	for _, r := range text {
		sx, sy := p.sheet.Sheet(x, y)
		d := font.Drawer{Dst: p.img, Src: image.NewUniform(color.White), Face: p.face,
			Dot: fixed.Point26_6{X: fixed.Int26_6(sx * 64), Y: fixed.Int26_6(sy * 64)}}
		d.DrawString(string(r))
		x += float64(font.MeasureString(p.face, string(r))) / 64
	}
}

func (p *paper) wide(text string) float64 { return float64(font.MeasureString(p.face, text)) / 64 }

// point sets a figure with its decimal point at x.
func (p *paper) point(x, y float64, text string) {
	whole, _, _ := strings.Cut(text, ".")
	p.left(x-p.wide(whole), y, text)
}

// middle sets a text with its middle at x.
func (p *paper) middle(x, y float64, text string) { p.left(x-p.wide(text)/2, y, text) }

// rule notes a rule of the flat frame; a prepared sheet has no ink of rules.
func (p *paper) rule(x0, y0, x1, y1 float64) { p.rules = append(p.rules, [4]float64{x0, y0, x1, y1}) }

// done gives the sheet and its marks.
func (p *paper) done() (*scan.Sheet, *scan.Marks) {
	p.sheet.Ink = p.img.Pix
	for _, r := range p.rules {
		var q scan.Rule
		q.X0, q.Y0 = p.sheet.Sheet(r[0], r[1])
		q.X1, q.Y1 = p.sheet.Sheet(r[2], r[3])
		q.Thick = 3
		p.sheet.Rules = append(p.sheet.Rules, q)
	}
	return p.sheet, p.sheet.Cut(128)
}

// shape is rows and columns of a table as found.
func shape(t layout.Table) [2]int { return [2]int{len(t.Rows) - len(t.SubHeads), len(t.Columns)} }

// kinds counts the doubts of a table by kind.
func kinds(t layout.Table) map[string]int {
	out := map[string]int{}
	for _, d := range t.Doubts {
		out[d.Kind]++
	}
	return out
}
