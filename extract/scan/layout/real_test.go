package layout_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"windtally/extract/scan"
	"windtally/extract/scan/layout"
)

// printed are the tables of real pages, counted by eye on the scans: rows x columns,
// "+" sub-heads, "?" where geometry alone raises doubts.
var printed = []struct {
	file string // under reports (a page of it) or pages
	page int
	turn int
	want []string
}{
	// NACA TR 572 (1936), printed pages 16 to 20
	{"naca-tr-572.pdf", 20, 0, []string{"39x12+3 ?"}},
	{"naca-tr-572.pdf", 21, 0, []string{"65x12+5"}},
	{"naca-tr-572.pdf", 22, 0, []string{"65x12+5 ?"}},
	{"naca-tr-572.pdf", 23, 0, []string{"39x12+3 ?", "8x2", "9x14"}},
	{"naca-tr-572.pdf", 24, 0, []string{"9x7", "9x9"}},
	// NACA TR 552 (1936), Table I: its brackets touch from row to row
	{"naca-tr-552.pdf", 6, 0, []string{"7x7 ?"}},
	// NACA TR 903 (1948), Tables I to IV and V to VII, printed sideways
	{"naca-tr-903.pdf", 13, 90, []string{"26x4", "26x4", "26x4", "26x4"}},
	{"naca-tr-903.pdf", 14, 90, []string{"26x4", "26x4", "26x4"}},
	// the table in figure 3 has 5 columns; braces put figures of two of them between
	// rows, so that it falls apart, and says so
	{"naca-tr-903.pdf", 12, 90, []string{"26x3 ?", "9x2 ?"}},
	// NASA TM-4741 (1996), scanned upside down
	{"nasa-tm-4741.pdf", 17, -1, []string{"34x6"}},
	{"nasa-tm-4741.pdf", 18, -1, []string{"53x6"}},
	{"nasa-tm-4741.pdf", 21, -1, []string{"22x11 ?"}},
	{"nasa-tm-4741.pdf", 22, 180, []string{"46x11"}},
	// no table: figures, photographs, running text
	{"naca-tn-2318.pdf", 10, -1, nil},
	{"naca-tn-2318.pdf", 13, -1, nil},
	{"naca-tn-2318.pdf", 19, -1, nil},
	{"nasa-tm-81244.pdf", 4, -1, nil},
	// NACA TR 515 (1935), Table III
	{"naca-tr-515-table-3.png", 0, 0, []string{"81x9"}},
	{"degraded-typewriter.png", 0, 0, []string{"25x7"}},
}

func TestRealPages(t *testing.T) {
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skipf("not run: tables of %d real pages, WINDTALLY_MATERIAL is not set", len(printed))
	}
	for _, c := range printed {
		t.Run(fmt.Sprintf("%s-%d", c.file, c.page), func(t *testing.T) {
			file := filepath.Join(dir, "pages", c.file)
			if c.page > 0 {
				file = pageImage(t, filepath.Join(dir, "reports", c.file), c.page)
			}
			f, err := scan.Open(file)
			if err != nil {
				t.Fatal(err)
			}
			img, dpi, err := f.Frame(1)
			if err != nil {
				t.Fatal(err)
			}
			s, err := scan.Prepare(img, scan.Options{Page: max(1, c.page), DPI: dpi, Turn: c.turn})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, x := range layout.Find(s, s.Cut(s.Level()), nil) {
				g := fmt.Sprintf("%dx%d", shape(x)[0], shape(x)[1])
				if n := len(x.SubHeads); n > 0 {
					g += fmt.Sprintf("+%d", n)
				}
				if len(x.Doubts) > 0 {
					g += " ?"
				}
				got = append(got, g)
				for _, d := range x.Doubts {
					t.Logf("%s: %s: %s", g, d.Kind, d.Text)
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("found %q, want %q", got, c.want)
			}
		})
	}
}

// pageImage takes the scan out of a page of a report with pdfimages, an outside program.
func pageImage(t *testing.T, file string, page int) string {
	t.Helper()
	root := filepath.Join(t.TempDir(), "page")
	n := strconv.Itoa(page)
	if out, err := exec.Command("pdfimages", "-png", "-f", n, "-l", n, file, root).CombinedOutput(); err != nil {
		t.Fatalf("pdfimages page %d of %s: %v %s (apt-get install poppler-utils)", page, filepath.Base(file), err, out)
	}
	return root + "-000.png"
}
