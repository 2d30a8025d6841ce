package layout

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"windtally/extract/scan"
)

// find prepares a picture that stands upright and finds its tables.
func find(t *testing.T, img image.Image) []Table {
	t.Helper()
	s, err := scan.Prepare(img, scan.Options{Page: 1, DPI: 300, Unit: 1})
	if err != nil {
		t.Fatal(err)
	}
	if s.Unreadable != "" {
		t.Fatalf("the page counts as unreadable: %s", s.Unreadable)
	}
	return Find(s, s.Cut(s.Level()), nil)
}

// counted is "rows x columns, sub-heads" of a table.
func counted(t Table) string {
	rows, subs := 0, 0
	for _, r := range t.Rows {
		if r.SubHead != nil {
			subs++
		} else {
			rows++
		}
	}
	return fmt.Sprintf("%d x %d, %d", rows, len(t.Columns), subs)
}

const (
	drawnLeft  = 200 // of the first column, pixels
	drawnTop   = 300 // baseline of the first row
	drawnStep  = 240 // from column to column
	drawnPitch = 60  // from row to row
	drawnRows  = 12
	drawnCols  = 5
)

// drawn is a picture of a table of 12 x 5 invented figures in Go Mono, a face of the
// font package, with figures 30 pixels high.
func drawn(t *testing.T) *image.Gray {
	t.Helper()
	parsed, err := opentype.Parse(gomono.TTF)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: 42, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, 1600, 1200))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	for r := range drawnRows {
		for c := range drawnCols {
			d := font.Drawer{Dst: img, Src: image.NewUniform(color.Black), Face: face,
				Dot: fixed.P(drawnLeft+c*drawnStep, drawnTop+r*drawnPitch)}
			d.DrawString(fmt.Sprintf("%d.%03d", 1+(r+c)%9, (317*r+211*c+104)%1000))
		}
	}
	return img
}

// erase takes the print of a rectangle away.
func erase(img *image.Gray, r image.Rectangle) {
	draw.Draw(img, r, image.White, image.Point{}, draw.Src)
}

// rowBand is the strip of the page that row r stands in.
func rowBand(r int) image.Rectangle {
	base := drawnTop + r*drawnPitch
	return image.Rect(0, base-45, 1600, base+14)
}

func TestDrawnTable(t *testing.T) {
	tables := find(t, drawn(t))
	if len(tables) != 1 || counted(tables[0]) != "12 x 5, 0" {
		t.Fatalf("%d tables, want one of 12 x 5: %+v", len(tables), tables)
	}
	table := tables[0]
	for _, d := range table.Doubts {
		t.Errorf("a clean table has the doubt %s: %s", d.Kind, d.Text)
	}
	for r, row := range table.Rows {
		if want := float64(drawnTop + r*drawnPitch); row.Baseline < want-3 || row.Baseline > want+3 {
			t.Errorf("row %d stands at %.1f, was drawn at %.0f", r+1, row.Baseline, want)
		}
		for c, cell := range row.Cells {
			x := float64(drawnLeft + c*drawnStep)
			if cell.Text != "0.000" || cell.Words != 1 || cell.Box.X0 < x-2 || cell.Box.X0 > x+8 || cell.Box.X1 > x+130 {
				t.Errorf("row %d column %d: %q of %d words at %v; \"0.000\" was drawn from %.0f", r+1, c+1, cell.Text, cell.Words, cell.Box, x)
			}
		}
	}
	if table.Pitch < drawnPitch-1 || table.Pitch > drawnPitch+1 {
		t.Errorf("pitch %.1f, drawn %d", table.Pitch, drawnPitch)
	}
}

// A row that has gone leaves a doubt, and so does a figure that has gone.
func TestLostPrintIsDoubted(t *testing.T) {
	for r := 2; r < drawnRows-2; r++ {
		img := drawn(t)
		erase(img, rowBand(r))
		tables := find(t, img)
		if len(tables) == 0 {
			t.Errorf("row %d erased: no table", r+1)
			continue
		}
		kinds := map[string]bool{}
		for _, table := range tables {
			for _, d := range table.Doubts {
				kinds[d.Kind] = true
			}
		}
		if !kinds[RowLost] && !kinds[RowGap] {
			t.Errorf("row %d erased: doubts %v, want one of a row", r+1, kinds)
		}
	}
	img := drawn(t)
	x := drawnLeft + 2*drawnStep
	erase(img, rowBand(6).Intersect(image.Rect(x-20, 0, x+160, 1200)))
	tables := find(t, img)
	if len(tables) != 1 {
		t.Fatalf("%d tables, want 1", len(tables))
	}
	found := false
	for _, d := range tables[0].Doubts {
		found = found || d.Kind == CellLost && d.Row == 6 && d.Col == 2
	}
	if !found {
		t.Errorf("the figure of row 7 column 3 was erased: doubts %+v, want %q there", tables[0].Doubts, CellLost)
	}
}

// Columns out of the order of the print would bind figures to the keys of others.
func TestColumnsOutOfOrderAreRefused(t *testing.T) {
	s, err := scan.Prepare(drawn(t), scan.Options{Page: 1, DPI: 300, Unit: 1})
	if err != nil {
		t.Fatal(err)
	}
	m := s.Cut(s.Level())
	region, columns := SeenColumns(s, Find(s, m, nil)[0])
	if _, err := Read(s, m, nil, region, columns); err != nil {
		t.Fatal(err)
	}
	columns[1], columns[2] = columns[2], columns[1]
	_, err = Read(s, m, nil, region, columns)
	if err == nil || !strings.Contains(err.Error(), "want columns from left to right that do not overlap") {
		t.Errorf("columns 2 and 3 exchanged: error %v", err)
	}
}
