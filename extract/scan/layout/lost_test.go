package layout_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
)

const (
	pitch = 36.0
	top   = 400.0
)

// design is a plain table: a label column and columns of figures under one line of
// heads, and what is done to it.
type design struct {
	rows, columns int
	ruled         bool
	row, column   float64 // slopes of the scan
	missingRow    int     // erased, 0 for none; counted from 1, as the others
	missingCol    int
	missingCell   [2]int
	pushedRow     int     // set too near to the row above
	shift         float64 // by which
	block         int     // rows of a block under sub-heads, 0 for no sub-heads
}

// columnAt is where the points of column c stand.
func columnAt(c int) float64 { return 260 + 190*float64(c) }

func (d design) draw(t testing.TB) (*scan.Sheet, *scan.Marks) {
	w := int(columnAt(d.columns)) + 200
	h := int(top) + int(pitch)*(d.rows+8+3*d.rows/max(1, d.block))
	p := newPaper(t, w, h, d.row, d.column)
	head := top - 70
	if d.block > 0 {
		head = top - 45 // the first sub-head stands lower than a first row
	}
	for c := range d.columns {
		p.middle(columnAt(c), head, []string{"Angle", "Lift", "Drag", "Moment", "Speed", "Force", "Ratio", "Power"}[c%8])
	}
	y := top
	for r := 1; r <= d.rows; r++ {
		if d.block > 0 && (r-1)%d.block == 0 {
			y += pitch
			p.middle(columnAt(0)+(columnAt(d.columns-1)-columnAt(0))/2, y, fmt.Sprintf("Flaps at %d degrees", 10*r))
			y += 2 * pitch
		}
		at := y
		if r == d.pushedRow {
			at -= d.shift
		}
		y += pitch
		if r == d.missingRow {
			continue
		}
		for c := 1; c <= d.columns; c++ {
			if c == d.missingCol || d.missingCell == [2]int{r, c} {
				continue
			}
			if c == 1 {
				p.point(columnAt(0), at, fmt.Sprintf("%d.5", r))
				continue
			}
			p.point(columnAt(c-1), at, fmt.Sprintf("%.3f", math.Mod(float64(r*37+c*11)/70, 8)+0.1))
		}
	}
	if d.ruled {
		end := y
		for c := 0; c <= d.columns; c++ {
			x := columnAt(c) - 100
			p.rule(x, head-50, x, end)
		}
		x0, x1 := columnAt(0)-100, columnAt(d.columns)-100
		for _, at := range []float64{head - 50, head + 25, end} {
			p.rule(x0, at, x1, at)
		}
	}
	return p.done()
}

func TestPlainTable(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := design{
			rows: rapid.IntRange(4, 40).Draw(rt, "rows"), columns: rapid.IntRange(3, 8).Draw(rt, "columns"),
			ruled: rapid.Bool().Draw(rt, "ruled"),
			row:   rapid.Float64Range(-0.02, 0.02).Draw(rt, "row slope"), column: rapid.Float64Range(-0.02, 0.02).Draw(rt, "column slope"),
		}
		if rapid.Bool().Draw(rt, "sub-heads") {
			d.columns = max(d.columns, 4) // the phrase is short beside the width of the table
			d.block = rapid.IntRange(4, 9).Draw(rt, "block")
			d.rows = d.block * rapid.IntRange(2, 4).Draw(rt, "blocks")
		}
		s, m := d.draw(t)
		found := layout.Find(s, m, nil)
		if len(found) != 1 {
			rt.Fatalf("found %d tables, want 1", len(found))
		}
		if got, want := shape(found[0]), [2]int{d.rows, d.columns}; got != want {
			rt.Errorf("found %v rows and columns, want %v", got, want)
		}
		if d.block > 0 && len(found[0].SubHeads) != d.rows/d.block {
			rt.Errorf("found %d sub-heads, want %d", len(found[0].SubHeads), d.rows/d.block)
		}
		for _, x := range found[0].Doubts {
			rt.Errorf("doubt on a clean page: %s: %s", x.Kind, x.Text)
		}
		r := 0
		for _, row := range found[0].Rows {
			if row.SubHead != nil {
				continue
			}
			r++
			for c, cell := range row.Cells {
				if !cell.Slot.Contains(cell.Box.MidX(), cell.Box.MidY()) {
					rt.Errorf("row %d column %d: ink %v is outside its slot %v", r, c+1, cell.Box, cell.Slot)
				}
				// "12.5", "1.234": one mark a character
				if n := len(cell.Marks); c > 0 && n != 5 {
					rt.Errorf("row %d column %d: %d marks, want 5", r, c+1, n)
				}
			}
		}
	})
}

// TestNothingLostSilently takes ink away and demands a doubt.
func TestNothingLostSilently(t *testing.T) {
	for _, c := range []struct {
		name string
		d    design
		want string // kind of doubt, "" for any
	}{
		{"row", design{rows: 20, columns: 6, missingRow: 9}, layout.RowGap},
		{"row under rules", design{rows: 20, columns: 6, missingRow: 9, ruled: true}, layout.RowGap},
		{"row of a block", design{rows: 20, columns: 6, block: 5, missingRow: 8}, layout.RowGap},
		{"second row", design{rows: 12, columns: 4, missingRow: 2}, layout.RowGap},
		{"cell", design{rows: 20, columns: 6, missingCell: [2]int{7, 4}}, layout.CellLost},
		{"label", design{rows: 20, columns: 6, missingCell: [2]int{7, 1}}, layout.CellLost},
		{"last cell", design{rows: 20, columns: 6, missingCell: [2]int{20, 6}}, layout.CellLost},
		{"column", design{rows: 20, columns: 6, missingCol: 4}, layout.ColumnLost},
		{"column between rules", design{rows: 20, columns: 6, missingCol: 4, ruled: true}, layout.ColumnLost},
		{"last column", design{rows: 20, columns: 6, missingCol: 6}, layout.ColumnLost},
		{"labels", design{rows: 20, columns: 6, missingCol: 1}, layout.ColumnLost},
		{"two rows in one", design{rows: 20, columns: 6, pushedRow: 9, shift: pitch - 4}, ""},
		{"two rows touching", design{rows: 20, columns: 6, pushedRow: 9, shift: pitch - 15}, ""},
		{"row half-way up", design{rows: 20, columns: 6, pushedRow: 9, shift: pitch / 2}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, m := c.d.draw(t)
			found := layout.Find(s, m, nil)
			if len(found) == 0 {
				t.Fatal("no table was found")
			}
			k := kinds(found[0])
			if c.want != "" && k[c.want] == 0 || len(k) == 0 {
				t.Errorf("%d x %d found with doubts %v, want one of kind %q", len(found[0].Rows), len(found[0].Columns), k, c.want)
			}
		})
	}
}

func TestRead(t *testing.T) {
	d := design{rows: 15, columns: 5, row: 0.013, column: -0.017}
	all := extract.Rect{X0: columnAt(0) - 100, X1: columnAt(4) + 100, Y0: top - 150, Y1: top + 15*pitch}
	for _, c := range []struct {
		name   string
		region extract.Rect
		at     []float64 // edges of the columns
		want   [2]int
		kind   string
	}{
		{"as printed", all, []float64{160, 350, 540, 730, 920, 1110}, [2]int{15, 5}, ""},
		{"two columns given as one", all, []float64{160, 350, 730, 920, 1110}, [2]int{15, 4}, layout.ColumnsMerged},
		{"last column left out", extract.Rect{X0: all.X0, X1: 920, Y0: all.Y0, Y1: all.Y1}, []float64{160, 350, 540, 730, 920}, [2]int{15, 4}, layout.ColumnLost},
		{"last rows cut off", extract.Rect{X0: all.X0, X1: all.X1, Y0: all.Y0, Y1: top + 11.5*pitch}, []float64{160, 350, 540, 730, 920, 1110}, [2]int{12, 5}, layout.RowLost},
		{"edge through a row", extract.Rect{X0: all.X0, X1: all.X1, Y0: all.Y0, Y1: top + 14*pitch - 8}, []float64{160, 350, 540, 730, 920, 1110}, [2]int{15, 5}, layout.RowCut},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, m := d.draw(t)
			x, y := s.Seen(s.Sheet(c.region.MidX(), c.region.MidY()))
			region := extract.Rect{X0: x - c.region.Width()/2, X1: x + c.region.Width()/2, Y0: y - c.region.Height()/2, Y1: y + c.region.Height()/2}
			var columns [][2]float64
			for i := 1; i < len(c.at); i++ {
				a, _ := s.Seen(s.Sheet(c.at[i-1], c.region.MidY()))
				b, _ := s.Seen(s.Sheet(c.at[i], c.region.MidY()))
				columns = append(columns, [2]float64{a, b})
			}
			got, err := layout.Read(s, m, nil, region, columns)
			if err != nil {
				t.Fatal(err)
			}
			if shape(got) != c.want {
				t.Errorf("read %v rows and columns, want %v", shape(got), c.want)
			}
			k := kinds(got)
			if c.kind == "" && len(k) > 0 || c.kind != "" && k[c.kind] == 0 {
				t.Errorf("doubts %v, want %q", k, c.kind)
			}
		})
	}
}

func TestReadRefuses(t *testing.T) {
	s, m := design{rows: 5, columns: 3}.draw(t)
	for _, c := range []struct {
		region  extract.Rect
		columns [][2]float64
		want    string
	}{
		{extract.Rect{X0: 10, Y0: 10, X1: 10, Y1: 50}, [][2]float64{{0, 10}}, "is empty"},
		{extract.Rect{X0: 100, Y0: 100, X1: 700, Y1: 700}, nil, "no column given"},
		{extract.Rect{X0: 100, Y0: 100, X1: 700, Y1: 700}, [][2]float64{{100, 400}, {300, 700}}, "do not overlap"},
		{extract.Rect{X0: 1, Y0: 1, X1: 9, Y1: 9}, [][2]float64{{1, 9}}, "no word in the region"},
	} {
		if _, err := layout.Read(s, m, nil, c.region, c.columns); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("region %v, columns %v: error %v, want one with %q", c.region, c.columns, err, c.want)
		}
	}
}

// TestSeenColumns reads a table with what SeenColumns says of it, for every quarter turn.
func TestSeenColumns(t *testing.T) {
	for _, turn := range []int{0, 90, 180, 270} {
		s, m := design{rows: 12, columns: 4, row: 0.01, column: -0.012}.draw(t)
		s.Turn = turn
		found := layout.Find(s, m, nil)
		if len(found) != 1 {
			t.Fatalf("turn %d: %d tables, want 1", turn, len(found))
		}
		region, columns := layout.SeenColumns(s, found[0])
		got, err := layout.Read(s, m, nil, region, columns)
		if err != nil {
			t.Fatalf("turn %d: %v", turn, err)
		}
		if shape(got) != [2]int{12, 4} {
			t.Errorf("turn %d: read %v rows and columns, want 12 and 4", turn, shape(got))
		}
		for i := range got.Rows {
			for c := range got.Rows[i].Cells {
				if a, b := got.Rows[i].Cells[c].Box, found[0].Rows[i].Cells[c].Box; a != b {
					t.Errorf("turn %d: row %d column %d stands at %v, was found at %v", turn, i+1, c+1, a, b)
				}
			}
		}
	}
}

func TestEmptySheet(t *testing.T) {
	for _, s := range []*scan.Sheet{{W: 0, H: 0}, {W: 40, H: 40, Ink: make([]uint8, 1600)}} {
		if got := layout.Find(s, s.Cut(128), nil); len(got) != 0 {
			t.Errorf("%d tables on an empty sheet of %d x %d, want none", len(got), s.W, s.H)
		}
	}
}
