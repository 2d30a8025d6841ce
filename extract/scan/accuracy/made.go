package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/press"
	"windtally/extract/scan/transcribe"
)

// readPage reads a made page and holds it against its truth.
func readPage(ctx context.Context, page press.Page, o transcribe.Options) tally {
	t := tally{pages: 1}
	var want []press.Cell
	tableOf := map[int]int{}
	for k, table := range page.Tables {
		for _, row := range table.Rows {
			for _, cell := range row.Cells {
				// The figures of a label column are published like all others.
				if cell.Figure() {
					tableOf[len(want)] = k
					want = append(want, cell)
				}
			}
		}
	}
	t.figures.printed = len(want)
	for _, table := range page.Tables {
		t.givens.printed += len(table.Givens)
	}
	turn := 0
	if page.Spec.Design.Turn != 0 {
		turn = -1
	}
	p, err := transcribe.Open(ctx, page.Image, scan.Options{Page: 1, DPI: page.DPI, Unit: 1, Turn: turn}, o)
	if err != nil {
		t.refuse(err.Error())
		return t
	}
	if p.Sheet.Unreadable != "" {
		t.refuse(p.Sheet.Unreadable)
		return t
	}
	var parts []transcribe.Part
	for _, table := range p.Tables {
		parts = append(parts, transcribe.Part{Page: p, Table: table})
	}
	res, err := transcribe.Read(ctx, parts, o)
	if err != nil {
		t.refuse(err.Error())
		return t
	}
	t.readGivens(page, parts, res)
	var cells []transcribe.Cell
	var doubts []string // of the table of each cell
	for k, part := range parts {
		var kinds []string
		for _, d := range part.Table.Doubts {
			kinds = append(kinds, d.Kind)
		}
		slices.Sort(kinds)
		all := strings.Join(slices.Compact(kinds), ", ")
		for _, c := range res.Cells[k] {
			cells = append(cells, c)
			doubts = append(doubts, all)
		}
	}
	at := make([]int, len(want))
	used := make([]bool, len(cells))
	doubted := make([]string, len(page.Tables))
	for i, w := range want {
		if at[i] = over(cells, w.Box); at[i] >= 0 {
			used[at[i]] = true
			if d := doubts[at[i]]; d != "" {
				doubted[tableOf[i]] = d
			}
		}
	}
	for i, w := range want {
		if at[i] < 0 {
			t.figures.miss(doubted[tableOf[i]] != "")
			if doubted[tableOf[i]] == "" {
				t.say(page.Spec, "lost", w.Text, "", w.Box, "")
			}
			continue
		}
		c := cells[at[i]]
		if t.judge(c, w.Text) {
			t.say(page.Spec, "misread", w.Text, said(c), w.Box, doubts[at[i]])
		}
	}
	for i, c := range cells {
		text, accepted, _ := c.Settle()
		if used[i] || c.Blank || !accepted || !strings.ContainsAny(text, "0123456789") {
			continue
		}
		if l, ok := label(page, c); ok {
			same := extract.SameText(text, l)
			t.figures.printed++
			t.figures.count(same, true)
			if !same {
				t.say(page.Spec, "label misread", l, said(c), c.Place, doubts[i])
			}
			continue
		}
		t.figures.invented++
		t.say(page.Spec, "invented", "", said(c), c.Place, doubts[i])
	}
	return t
}

// readGivens holds the figures outside the grid against what was read where they
// stand. One that was not found is told to a person (extract.GivenLost), and so is
// flagged; one in a sub-head must have been seen as such, or the block under it would
// go with the figure of the block before it.
func (t *tally) readGivens(page press.Page, parts []transcribe.Part, res *transcribe.Result) {
	var got []transcribe.Figure
	if len(parts) > 0 {
		got = res.Numbers(0)
	}
	for _, table := range page.Tables {
		for _, g := range table.Givens {
			if g.Where == "sub-head" && !headed(parts, g.Box) {
				t.givens.miss(anyDoubts(parts))
				if anyDoubts(parts) {
					t.tell(page.Spec, g, "no sub-head found, and the table has doubts")
				} else {
					t.say(page.Spec, "sub-head lost", g.Text, "", g.Box, "")
				}
				continue
			}
			best, most := -1, 0.0
			for i, f := range got {
				if a := shared(f.Place, g.Box); a > most {
					best, most = i, a
				}
			}
			if best < 0 {
				t.givens.miss(true)
				t.tell(page.Spec, g, "not found")
				continue
			}
			f := got[best]
			text := f.OCR.Text
			same := extract.SameText(text, g.Text)
			t.givens.count(same, f.Accepted())
			switch {
			case !f.Accepted():
				t.tell(page.Spec, g, fmt.Sprintf("sorts %q, ocr %q: %s", f.Sorts.Text, f.OCR.Text, f.Sorts.Doubt))
			case !same:
				t.say(page.Spec, "given misread", g.Text, text, g.Box, "")
			}
		}
	}
}

// headed reports whether a sub-head of a table stands where the figure is printed.
func headed(parts []transcribe.Part, box extract.Rect) bool {
	for _, p := range parts {
		for _, row := range p.Table.Rows {
			if row.SubHead != nil && p.Page.Sheet.SeenOfFlat(row.SubHead.Box).Contains(box.MidX(), box.MidY()) {
				return true
			}
		}
	}
	return false
}

func anyDoubts(parts []transcribe.Part) bool {
	return slices.ContainsFunc(parts, func(p transcribe.Part) bool { return len(p.Table.Doubts) > 0 })
}

func said(c transcribe.Cell) string {
	text, _, _ := c.Settle()
	return fmt.Sprintf("%q (sorts %q, ocr %q %.2f %s)", text, c.Sorts.Text, c.OCR.Text, c.OCR.Confidence, c.OCR.Doubt)
}

// over returns the cell that covers the middle of the box, of several the one that
// covers most of it, or else the one that covers most of it; -1 where none does.
func over(cells []transcribe.Cell, box extract.Rect) int {
	best, most := -1, 0.0
	for i, c := range cells {
		a := shared(c.Place, box)
		if c.Place.Contains(box.MidX(), box.MidY()) {
			a += 2 * box.Width() * box.Height()
		}
		if a > most {
			best, most = i, a
		}
	}
	return best
}

func shared(a, b extract.Rect) float64 {
	w := math.Min(a.X1, b.X1) - math.Max(a.X0, b.X0)
	h := math.Min(a.Y1, b.Y1) - math.Max(a.Y0, b.Y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// label returns the printed label, no figure, that stands where the cell was found.
func label(page press.Page, c transcribe.Cell) (string, bool) {
	for _, table := range page.Tables {
		for _, row := range table.Rows {
			for k, cell := range row.Cells {
				if table.Columns[k].Label && !cell.Figure() && shared(cell.Box, c.Place) > 0.3*cell.Box.Width()*cell.Box.Height() {
					return cell.Text, true
				}
			}
		}
	}
	return "", false
}
