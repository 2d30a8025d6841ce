package grid_test

import (
	"encoding/csv"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/grid"
)

var (
	pageElement = regexp.MustCompile(`(?s)<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>`)
	wordElement = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`)
)

// material returns the folder with the scans, or skips with what is not run.
func material(t testing.TB, what string) string {
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skipf("not run: %s, WINDTALLY_MATERIAL is not set", what)
	}
	return dir
}

// poppler reads the words of a report with pdftotext, an outside program.
func poppler(t testing.TB, file string) []extract.Page {
	t.Helper()
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext -bbox %s: %v (apt-get install poppler-utils)", filepath.Base(file), err)
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatalf("pdftotext gives %q for a coordinate", s)
		}
		return v
	}
	var pages []extract.Page
	for i, m := range pageElement.FindAllStringSubmatch(string(out), -1) {
		p := extract.Page{Number: i + 1, Width: number(m[1]), Height: number(m[2])}
		for _, w := range wordElement.FindAllStringSubmatch(m[3], -1) {
			p.Words = append(p.Words, extract.Word{Text: html.UnescapeString(w[5]),
				Box: extract.Rect{X0: number(w[1]), Y0: number(w[2]), X1: number(w[3]), Y1: number(w[4])}})
		}
		pages = append(pages, p)
	}
	if len(pages) == 0 {
		t.Fatalf("pdftotext gives no page for %s", filepath.Base(file))
	}
	return pages
}

// brief is a table as number, rows x columns, and sub-heads where it has any.
func brief(g grid.Table) string {
	rows, subs := 0, 0
	for _, r := range g.Rows {
		if r.SubHead != "" {
			subs++
		} else {
			rows++
		}
	}
	s := fmt.Sprintf("%s %dx%d", g.Number, rows, len(g.Columns))
	if subs > 0 {
		s += fmt.Sprintf("+%d", subs)
	}
	if g.Continued {
		s += " cont"
	}
	return strings.TrimSpace(s)
}

// What is printed on the pages, counted by eye on the scans: table number, rows x
// columns, "+" sub-heads. Every page that is not named has no table in its text.
var printed = map[string]map[int][]string{
	"naca-tn-2318.pdf":      {}, // figures only
	"naca-tr-552.pdf":       {}, // no text layer
	"nasa-tm-81244.pdf":     {}, // particulars in running prose
	"ussa-1976-excerpt.pdf": {}, // tables of words, on a sideways layer that poppler does not turn
	"naca-tr-572.pdf":       realTR572,
	"naca-tr-903.pdf":       realTR903,
	"nasa-tm-4741.pdf":      realTM4741,
}

// NACA TR 572 (1936), printed pages 16 to 20: Tables I to VI.
var realTR572 = map[int][]string{
	20: {"I 39x12+3"},
	21: {"I 65x12+5 cont"},
	22: {"II 65x12+5"},
	// 39x12+3 is printed; the layer is too far gone: specks make rows, and a sub-head
	// stands on the line of a row
	23: {"II 44x13+2 cont", "III 8x2", "IV 9x14"},
	24: {"V 9x7", "VI 9x9"},
}

// NACA TR 903 (1948): the table in figure 3 and Tables I to VII.
var realTR903 = map[int][]string{
	12: {"27x5 cont"}, // 26 rows; figures that braces centre between rows stand apart
	13: {"I 26x4", "III 26x4", "II 26x4", "IV 26x4"},
	14: {"V 26x4", "VII 26x4", "VI 26x4"},
}

// NASA TM-4741 (1996): two tables in the text, then listings.
var realTM4741 = map[int][]string{
	11: {"5x4 cont", "4x5 cont"},
	17: {"I 34x6"},
	18: {"I 53x6 cont"},
	19: {"I 53x6 cont"},
	20: {"I 27x6 cont"},
	21: {"II 22x11"},
	22: {"II 46x11 cont"},
	23: {"II 46x11 cont"},
	24: {"II 46x11 cont"},
	25: {"7x16 cont"}, // scanned upside down, the layer is of the page so: no figure is right
}

func TestReportsFound(t *testing.T) {
	dir := material(t, "tables of 7 reports")
	for file, want := range printed {
		t.Run(file, func(t *testing.T) {
			for _, p := range poppler(t, filepath.Join(dir, "reports", file)) {
				tables := grid.Find(p)
				account(t, p, tables)
				var got []string
				for _, g := range tables {
					got = append(got, brief(g))
				}
				if a, b := strings.Join(got, "; "), strings.Join(want[p.Number], "; "); a != b {
					t.Errorf("page %d: found %q, want %q", p.Number, a, b)
				}
			}
		})
	}
}

// TestReportsPlaced compares cells with truth keyed by eye. The layer is bad, so a
// cell may differ from the print; but it may never hold what is printed in a
// neighbouring cell.
func TestReportsPlaced(t *testing.T) {
	dir := material(t, "456 keyed cells of 3 tables")
	pages := poppler(t, filepath.Join(dir, "reports", "naca-tr-572.pdf"))
	for _, c := range []struct {
		page, table int
		truth       string
		skip        int // leading truth columns that are no column of print
		exact       int // cells whose layer text is the print exactly
	}{
		{24, 0, "naca-tr-572-p24-table-5.csv", 0, 17},
		{24, 1, "naca-tr-572-p24-table-6.csv", 0, 57},
		{22, 0, "naca-tr-572-p22-table-2-stations-0-and-0.2.csv", 1, 79},
	} {
		f, err := os.Open(filepath.Join(dir, "truth", c.truth))
		if err != nil {
			t.Fatal(err)
		}
		truth, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		truth = truth[1:]
		tables := grid.Find(pages[c.page-1])
		if len(tables) <= c.table {
			t.Errorf("%s: %d tables on the page, want more than %d", c.truth, len(tables), c.table)
			continue
		}
		var rows []grid.Row
		for _, r := range tables[c.table].Rows {
			if r.SubHead == "" {
				rows = append(rows, r)
			}
		}
		at := func(r, k int) string {
			if r < 0 || r >= len(truth) || k < 0 || k+c.skip >= len(truth[r]) {
				return ""
			}
			return truth[r][k+c.skip]
		}
		exact := 0
		for r := range truth {
			if r >= len(rows) {
				t.Errorf("%s: row %d is lost", c.truth, r+1)
				continue
			}
			for k, cell := range rows[r].Cells {
				own := at(r, k)
				if cell.Text == own {
					if own != "" {
						exact++
					}
					continue
				}
				if len(cell.Text) < 3 {
					continue // "0" and ".1" stand everywhere
				}
				for _, d := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, 1}} {
					if at(r+d[0], k+d[1]) == cell.Text {
						t.Errorf("%s: row %d column %d holds %q, printed in a neighbouring cell; here %q is printed", c.truth, r+1, k+1, cell.Text, own)
					}
				}
			}
		}
		if exact < c.exact {
			t.Errorf("%s: %d cells are as printed, want at least %d", c.truth, exact, c.exact)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	p := poppler(b, filepath.Join(material(b, "benchmark"), "reports", "naca-tr-572.pdf"))[21]
	b.ReportAllocs()
	for b.Loop() {
		grid.Find(p)
	}
}
