package grid_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"windtally/extract"
	"windtally/extract/grid"
)

// made is a table set at random, and the cells that were set.
type made struct {
	page  extract.Page
	cells [][]string
	at    [][]int // index of the cell's word on the page, -1 where empty
}

// drawTable sets a captioned table of figures with a label column, columns
// aligned on their points, random pitch, skew and gaps in the print.
func drawTable(t *rapid.T) made {
	s := newSheet()
	s.size = float64(rapid.IntRange(5, 11).Draw(t, "size"))
	rows := rapid.IntRange(4, 24).Draw(t, "rows")
	cols := rapid.IntRange(2, 6).Draw(t, "columns")
	pitch := s.size * rapid.Float64Range(1.1, 1.8).Draw(t, "pitch")
	x0 := rapid.Float64Range(40, 90).Draw(t, "left")
	s.line(x0, 60, "TABLE XI.--RESULTS")
	m := made{}
	xs := make([]float64, cols)
	whole := make([]int, cols)
	decimals := make([]int, cols)
	blanks := make([]int, cols)
	x := x0 + 5*s.size
	for c := range cols {
		whole[c] = rapid.IntRange(1, 3).Draw(t, "whole")
		decimals[c] = rapid.IntRange(1, 4).Draw(t, "decimals")
		x += s.size * (0.5*float64(whole[c]+1) + rapid.Float64Range(2, 4).Draw(t, "gap"))
		xs[c] = x
		x += s.size * 0.5 * float64(decimals[c]+1)
	}
	y := 60 + 3.5*s.size
	for r := range rows {
		label := fmt.Sprintf("W-%d", 10+r)
		line := []string{label}
		at := []int{len(s.page.Words)}
		s.word(x0, y, label)
		for c := range cols {
			// the outer rows are whole, and most of the table is
			if r > 0 && r < rows-1 && 3*blanks[c] < r && rapid.IntRange(0, 9).Draw(t, "blank") == 0 {
				line, at = append(line, ""), append(at, -1)
				blanks[c]++
				continue
			}
			limit := int(math.Pow10(whole[c] + decimals[c]))
			v := rapid.IntRange(0, limit-1).Draw(t, "figure")
			text := fmt.Sprintf("%.*f", decimals[c], float64(v)/math.Pow10(decimals[c]))
			if rapid.Bool().Draw(t, "negative") {
				text = "-" + text
			}
			line, at = append(line, text), append(at, len(s.page.Words))
			s.point(xs[c], y, text)
		}
		m.cells, m.at = append(m.cells, line), append(m.at, at)
		y += pitch
	}
	if rapid.Bool().Draw(t, "bad layer") {
		// the layer's boxes: sizes guessed, places jittered
		for i := range s.page.Words {
			b := &s.page.Words[i].Box
			k := rapid.Float64Range(0.85, 1.15).Draw(t, "size of box")
			dy := s.size * rapid.Float64Range(-0.1, 0.1).Draw(t, "jitter")
			mid, h := b.MidY()+dy, b.Height()*k/2
			b.Y0, b.Y1 = mid-h, mid+h
			b.X1 = b.X0 + b.Width()*k
		}
	}
	m.page = askew(s.page, rapid.Float64Range(-1.2, 1.2).Draw(t, "skew"))
	return m
}

// compare asks that the table has the cells that were set, each in its place.
func compare(t *rapid.T, p extract.Page, want [][]string) {
	got := grid.Find(p)
	if len(got) != 1 {
		t.Fatalf("found %d tables, want 1", len(got))
	}
	g := got[0]
	if len(g.Rows) != len(want) || len(g.Columns) != len(want[0]) {
		t.Fatalf("found %d rows of %d columns, want %d of %d:\n%s", len(g.Rows), len(g.Columns), len(want), len(want[0]), show(g))
	}
	for r, row := range g.Rows {
		for c := range want[r] {
			if row.SubHead != "" || row.Cells[c].Text != want[r][c] {
				t.Fatalf("row %d column %d: want %q in\n%s", r+1, c+1, want[r][c], show(g))
			}
		}
	}
	account(t, p, got)
}

func TestRandomTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawTable(t)
		compare(t, m.page, m.cells)
	})
}

// A word taken away empties its cell and changes no other.
func TestDeletedWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawTable(t)
		r := rapid.IntRange(0, len(m.cells)-1).Draw(t, "row")
		c := rapid.IntRange(1, len(m.cells[0])-1).Draw(t, "column")
		if m.at[r][c] < 0 {
			t.Skip("the cell is empty already")
		}
		// a column needs figures to be one: two cells would be too few
		left := 0
		for i := range m.cells {
			if m.at[i][c] >= 0 {
				left++
			}
		}
		if left < 4 {
			t.Skip("too few figures in the column")
		}
		p := m.page
		p.Words = append(append([]extract.Word(nil), p.Words[:m.at[r][c]]...), p.Words[m.at[r][c]+1:]...)
		m.cells[r][c] = ""
		compare(t, p, m.cells)
	})
}

// However many words a layer has lost, what is left stands in its own row and its
// own column: no row of the grid holds words of two printed rows, no column words
// of two printed columns.
func TestThinnedTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawTable(t)
		row, column := map[int]int{}, map[int]int{}
		for r := range m.at {
			for c, i := range m.at[r] {
				if i >= 0 {
					row[i], column[i] = r, c
				}
			}
		}
		share := rapid.IntRange(0, 50).Draw(t, "lost percent")
		p := m.page
		p.Words = nil
		type spot struct{ row, column int }
		where := map[extract.Rect]spot{}
		for i, w := range m.page.Words {
			_, figure := row[i]
			if figure && column[i] > 0 && rapid.IntRange(0, 99).Draw(t, "lost") < share {
				continue
			}
			if k := strings.IndexByte(w.Text, '.'); figure && k > 0 && rapid.IntRange(0, 9).Draw(t, "broken") == 0 {
				// broken after its point, the pieces a little apart
				one, two := w, w
				one.Text, two.Text = w.Text[:k+1], w.Text[k+1:]
				x := w.Box.X0 + w.Box.Width()*float64(k+1)/float64(len(w.Text))
				one.Box.X1, two.Box.X0 = x, x+0.2*w.Box.Height()
				two.Box.X1 += 0.2 * w.Box.Height()
				p.Words = append(p.Words, one, two)
				where[one.Box], where[two.Box] = spot{row[i], column[i]}, spot{row[i], column[i]}
				continue
			}
			p.Words = append(p.Words, w)
			if figure {
				where[w.Box] = spot{row[i], column[i]}
			}
		}
		got := grid.Find(p)
		for _, g := range got {
			owner := map[int]int{}
			for n, r := range g.Rows {
				printed := -1
				for c, cell := range r.Cells {
					if cell.Words == 0 {
						continue
					}
					s, ok := where[cell.Box]
					if cell.Words == 2 { // the pieces of one figure
						for box, at := range where {
							if box.X0 == cell.Box.X0 && box.Y0 == cell.Box.Y0 && box.Y1 == cell.Box.Y1 {
								s, ok = at, true
							}
						}
						for box, at := range where {
							if box.X1 == cell.Box.X1 && box.Y0 == cell.Box.Y0 && box.Y1 == cell.Box.Y1 && at != s {
								ok = false
							}
						}
					}
					if cell.Words > 2 || cell.Words == 2 && !ok {
						continue // two figures in one cell: it shows, for it is no numeral
					}
					if !ok {
						t.Fatalf("row %d column %d: box %v is no word's", n+1, c+1, cell.Box)
					}
					if printed >= 0 && s.row != printed {
						t.Fatalf("row %d holds words of rows %d and %d\n%s", n+1, printed+1, s.row+1, show(g))
					}
					printed = s.row
					if o, seen := owner[c]; seen && o != s.column {
						t.Fatalf("column %d holds words of columns %d and %d\n%s", c+1, o+1, s.column+1, show(g))
					}
					owner[c] = s.column
				}
			}
		}
		account(t, p, got)
	})
}

// Fuzz input: five bytes a word: x, y, kind of text, width, height.
func pageOf(data []byte) extract.Page {
	texts := []string{"1.43", "-.040", "TABLE V.--TESTS", "Wing", "........", "I.", "--.", "0", "[note]", "*", "", "the", "12", ".5", "= 4", "\x00é", "Continued"}
	p := extract.Page{Number: 1, Width: 612, Height: 792}
	for len(data) >= 5 && len(p.Words) < 400 {
		x, y := float64(data[0])*2.4, float64(data[1])*3.1
		b := extract.Rect{X0: x, Y0: y, X1: x + float64(data[3])/4, Y1: y + float64(data[4])/12}
		if data[4] == 255 {
			b.X1, b.Y1 = math.Inf(1), math.NaN()
		}
		w := extract.Word{Text: texts[int(data[2])%len(texts)], Box: b}
		if data[2] > 200 {
			w.Turn = 90 * int(data[3]%4)
		}
		p.Words = append(p.Words, w)
		data = data[5:]
	}
	return p
}

func FuzzPage(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{10, 10, 0, 80, 100})
	var table []byte
	for r := range byte(12) {
		for c := range byte(5) {
			table = append(table, 10+40*c, 20+4*r, c%2, 80, 110)
		}
	}
	f.Add(table)
	f.Add(append([]byte{60, 12, 2, 255, 110, 20, 70, 201, 3, 255}, table...))
	seed := make([]byte, 0, 400)
	for i := range uint32(80) {
		seed = binary.LittleEndian.AppendUint32(seed, i*2654435761)
		seed = append(seed, byte(60+i))
	}
	f.Add(seed)
	f.Fuzz(func(t *testing.T, data []byte) {
		p := pageOf(data)
		got := grid.Find(p)
		account(t, p, got)
		cols := []grid.Column{{X0: 0, X1: 100}, {X0: 120, X1: 300}, {X0: 300, X1: 301}, {X0: 400, X1: 612}}
		region := extract.Rect{X0: 10, Y0: 10, X1: 580, Y1: 700}
		one, stray, err := grid.Read(p, region, cols)
		if err != nil {
			return
		}
		inside := 0
		for _, w := range p.Words {
			if x, y := w.Box.MidX(), w.Box.MidY(); x >= region.X0 && x <= region.X1 && y >= region.Y0 && y <= region.Y1 {
				inside++
			}
		}
		if one.Words() != inside || len(stray) != len(one.Stray) {
			t.Errorf("%d words in the region, %d accounted for, %d strays of %d", inside, one.Words(), len(one.Stray), len(stray))
		}
		for _, r := range one.Rows {
			if r.SubHead == "" && len(r.Cells) != len(cols) {
				t.Errorf("a row has %d cells, want %d", len(r.Cells), len(cols))
			}
		}
	})
}
