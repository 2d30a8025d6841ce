package scan

import (
	"bytes"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Published scans, prepared. The turn, the height of the figures and the number of
// upright rules were read off their pictures by eye; the slopes are held against what
// ImageMagick measures (-deskew) on the upright page, and for the columns on that page
// turned by a quarter.
func TestRealPages(t *testing.T) {
	cases := []struct {
		name        string
		report      string // or the path of a page image
		page        int
		turn        int
		by          float64 // degrees; 0 is not compared, for it takes seconds
		figure      float64
		least, most int // upright rules
	}{
		{"TR 572 p22", "naca-tr-572.pdf", 22, 0, 0.05, 19.7, 60, 72},
		{"TR 572 p24", "naca-tr-572.pdf", 24, 0, 0, 20, 17, 21},
		{"TR 903 p13", "naca-tr-903.pdf", 13, 90, 0, 17, 20, 30},
		{"TR 552 p6", "naca-tr-552.pdf", 6, 0, 0.08, 21, 8, 11},
		{"TM-4741 p22", "nasa-tm-4741.pdf", 22, 180, 0.06, 23, 0, 0},
		{"TM-4741 p25", "nasa-tm-4741.pdf", 25, 180, 0, 23, 0, 0},
		// Its rules lean by 0.14 degrees at the left and not at all at the right.
		{"TR 515 Table III", "naca-tr-515-table-3.png", 0, 0, 0.1, 16.5, 10, 10},
		{"typewriter", "degraded-typewriter.png", 0, 0, 0.04, 28, 0, 0},
	}
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		t.Skipf("NOT RUN: %d real pages, WINDTALLY_MATERIAL is not set", len(cases))
	}
	for _, c := range cases {
		file := filepath.Join(root, "pages", c.report)
		if c.page > 0 {
			n := strconv.Itoa(c.page)
			prefix := filepath.Join(t.TempDir(), "page")
			tool(t, "pdfimages", "-png", "-f", n, "-l", n, filepath.Join(root, "reports", c.report), prefix)
			file = prefix + "-000.png"
		}
		f, err := Open(file)
		if err != nil {
			t.Fatalf("WINDTALLY_MATERIAL is set, but %v", err)
		}
		img, _, err := f.Frame(1)
		if err != nil {
			t.Fatal(err)
		}
		s := prepared(t, img, -1)
		upright := 0
		for _, r := range s.Rules {
			if !r.Level() {
				upright++
			}
		}
		fh := s.FigureHeight()
		t.Logf("%s: turn %d, rows %.3f, columns %.3f degrees, figures %.1f pixels, level %d, %d rules (%d upright)",
			c.name, s.Turn, degrees(s.RowSlope), degrees(s.ColumnSlope), fh, s.Level(), len(s.Rules), upright)
		if s.Turn != c.turn || s.Unreadable != "" {
			t.Errorf("%s: turn %d, want %d; unreadable %q", c.name, s.Turn, c.turn, s.Unreadable)
		}
		if c.by > 0 {
			deskew := func(turn int) float64 {
				out := tool(t, "convert", file, "-colorspace", "Gray", "-rotate", strconv.Itoa(turn%360), "+repage",
					"-deskew", "40%", "-format", "%[deskew:angle]", "info:")
				v, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
				if err != nil {
					t.Fatalf("ImageMagick's angle: %v", err)
				}
				return v
			}
			// It gives the angle that levels the rows; turned clockwise, a column that leans
			// by c becomes a row that falls by -c.
			rows, cols := -deskew(c.turn), deskew(c.turn+90)
			if math.Abs(degrees(s.RowSlope)-rows) > c.by || math.Abs(degrees(s.ColumnSlope)-cols) > c.by {
				t.Errorf("%s: rows %.3f and columns %.3f degrees, ImageMagick has %.3f and %.3f", c.name, degrees(s.RowSlope), degrees(s.ColumnSlope), rows, cols)
			}
		}
		if math.Abs(fh-c.figure) > 2 {
			t.Errorf("%s: figures %.1f pixels high, want about %g", c.name, fh, c.figure)
		}
		if upright < c.least || upright > c.most {
			t.Errorf("%s: %d upright rules, want %d to %d", c.name, upright, c.least, c.most)
		}
	}
}

// Every decimal point of TM-4741 p22 survives: 46 rows of 11 numbers with one each.
func TestRealPointsSurvive(t *testing.T) {
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		t.Skip("NOT RUN: 1 real page with 506 points, WINDTALLY_MATERIAL is not set")
	}
	prefix := filepath.Join(t.TempDir(), "page")
	tool(t, "pdfimages", "-png", "-f", "22", "-l", "22", filepath.Join(root, "reports", "nasa-tm-4741.pdf"), prefix)
	f, err := Open(prefix + "-000.png")
	if err != nil {
		t.Fatal(err)
	}
	img, _, err := f.Frame(1)
	if err != nil {
		t.Fatal(err)
	}
	s := prepared(t, img, 180)
	points := 0
	for _, m := range s.Cut(128).List {
		if m.Width() >= 4 && m.Width() <= 8 && m.Height() >= 4 && m.Height() <= 8 && m.Area >= 14 {
			points++
		}
	}
	if points < 500 || points > 520 {
		t.Errorf("%d marks like a point, want about 506", points)
	}
	// tesseract reads the figures of the prepared sheet: four numbers of it, keyed by eye.
	var b bytes.Buffer
	if err := png.Encode(&b, s.picture(0, 0, s.W, s.H)); err != nil {
		t.Fatal(err)
	}
	text := string(tool(t, "tesseract", writeTemp(t, "sheet.png", b.Bytes()), "-", "--psm", "6", "--dpi", "300"))
	for _, number := range []string{"0.006250", "0.006500", "0.007000", "0.007250"} {
		if !strings.Contains(text, number) {
			t.Errorf("tesseract does not find %s on the prepared sheet", number)
		}
	}
}
