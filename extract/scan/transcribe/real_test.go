package transcribe

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/ocr"
)

// real is a printed table with a truth that was keyed twice from enlargements.
type real struct {
	name     string
	pdf      string // rendered by pdftoppm at 300 dpi
	page     string
	image    string
	table    int // among the tables of the page
	labels   int // leading columns that the truth lacks
	truth    string
	from     int // first column of the truth with cells of the table
	figures  int // printed figures
	accepted float64
}

var reals = []real{
	// NACA TR 572, 1936, page 22, Table II, stations 0 and 0.2, aspect ratios included.
	{name: "TR 572 p22", pdf: "naca-tr-572.pdf", page: "22", truth: "naca-tr-572-p22-table-2-stations-0-and-0.2.csv", from: 1, figures: 312, accepted: 0.97},
	// NACA TR 515, 1935, Table III.
	{name: "TR 515 Table III", image: "pages/naca-tr-515-table-3.png", truth: "naca-tr-515-table-3.csv", figures: 729, accepted: 0.97},
	// NACA TR 572, page 24, Tables V and VI; dashes stand for two missing figures.
	{name: "TR 572 Table V", pdf: "naca-tr-572.pdf", page: "24", truth: "naca-tr-572-p24-table-5.csv", from: 1, labels: 1, figures: 54, accepted: 0.92},
	{name: "TR 572 Table VI", pdf: "naca-tr-572.pdf", page: "24", table: 1, truth: "naca-tr-572-p24-table-6.csv", from: 1, labels: 1, figures: 70, accepted: 0.92},
	// NASA TM-4741, 1996, page 22.
	{name: "TM-4741 p22", pdf: "nasa-tm-4741.pdf", page: "22", truth: "nasa-tm-4741-p22.csv", figures: 506, accepted: 0.97},
	// Made by program, noisy and skewed.
	{name: "degraded typewriter", image: "pages/degraded-typewriter.png", truth: "degraded-typewriter.json", figures: 175, accepted: 0.97},
}

func keyed(t *testing.T, material string, r real) [][]string {
	t.Helper()
	if strings.HasSuffix(r.truth, ".json") {
		data, err := os.ReadFile(filepath.Join(material, "truth", r.truth))
		if err != nil {
			t.Fatal(err)
		}
		var v struct{ Rows [][]string }
		if err := json.Unmarshal(data, &v); err != nil {
			t.Fatal(err)
		}
		return v.Rows
	}
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "keyed", r.truth))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]string
	for _, row := range all[1:] {
		out = append(out, row[r.from:])
	}
	return out
}

// TestRealPages reads scans of published tables and holds every accepted figure
// against the truth: none may differ.
func TestRealPages(t *testing.T) {
	material := os.Getenv("WINDTALLY_MATERIAL")
	if material == "" {
		t.Skipf("not run: %d scanned tables, WINDTALLY_MATERIAL is not set", len(reals))
	}
	engine, err := ocr.Locate()
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Engine: engine, Parallel: runtime.NumCPU()}
	for _, r := range reals {
		t.Run(r.name, func(t *testing.T) {
			file := filepath.Join(material, r.image)
			if r.pdf != "" {
				base := filepath.Join(t.TempDir(), "page")
				out, err := exec.Command("pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", "-f", r.page, "-l", r.page, filepath.Join(material, "reports", r.pdf), base).CombinedOutput()
				if err != nil {
					t.Fatalf("pdftoppm: %v %s", err, out)
				}
				file = base + ".png"
			}
			f, err := scan.Open(file)
			if err != nil {
				t.Fatal(err)
			}
			img, dpi, err := f.Frame(1)
			if err != nil {
				t.Fatal(err)
			}
			p, err := Open(t.Context(), img, scan.Options{Page: 1, DPI: dpi, Unit: 1, Turn: -1}, o)
			if err != nil {
				t.Fatal(err)
			}
			if r.table >= len(p.Tables) {
				t.Fatalf("%d tables were seen", len(p.Tables))
			}
			parts := []Part{{Page: p, Table: p.Tables[r.table]}}
			for i, other := range p.Tables {
				if i != r.table {
					parts = append(parts, Part{Page: p, Table: other, Only: true})
				}
			}
			res, err := Read(t.Context(), parts, o)
			if err != nil {
				t.Fatal(err)
			}
			truth := keyed(t, material, r)
			at := align(res.Cells[0], truth, r.labels)
			found, right, accepted, silent := 0, 0, 0, 0
			for _, c := range res.Cells[0] {
				row := at[c.Row]
				k := c.Column - r.labels
				if row < 0 || k < 0 || k >= len(truth[row]) || !strings.ContainsAny(truth[row][k], "0123456789") {
					continue
				}
				found++
				text, ok, _ := c.Settle()
				is := extract.SameText(text, truth[row][k])
				if is {
					right++
				}
				if ok {
					accepted++
				}
				if ok && !is {
					silent++
					t.Errorf("row %d column %d: the print has %q, accepted was %q", row+1, k+1, truth[row][k], text)
				}
			}
			t.Logf("figures %d, found %d, right %d, accepted %d, flagged %d, silent %d", r.figures, found, right, accepted, found-accepted, silent)
			if found != r.figures {
				t.Errorf("%d of %d figures were found", found, r.figures)
			}
			if float64(accepted) < r.accepted*float64(r.figures) {
				t.Errorf("%d of %d figures were accepted; at least %.0f %% should be", accepted, r.figures, 100*r.accepted)
			}
		})
	}
}

// align matches the found rows (by table row index) to truth rows, in order.
func align(cells []Cell, truth [][]string, skip int) map[int]int {
	var rows []int
	text := map[int]map[int]string{}
	for _, c := range cells {
		if text[c.Row] == nil {
			text[c.Row] = map[int]string{}
			rows = append(rows, c.Row)
		}
		text[c.Row][c.Column-skip], _, _ = c.Settle()
	}
	n, m := len(rows), len(truth)
	score := make([][]int, n+1)
	for i := range score {
		score[i] = make([]int, m+1)
	}
	hit := func(i, j int) int {
		k := 0
		for c, w := range truth[j] {
			if extract.SameText(text[rows[i]][c], w) {
				k++
			}
		}
		return k
	}
	for i := n - 1; i >= 0; i-- {
		for j := m - 1; j >= 0; j-- {
			score[i][j] = max(score[i+1][j], score[i][j+1], score[i+1][j+1]+hit(i, j))
		}
	}
	out := map[int]int{}
	i, j := 0, 0
	for i < n {
		switch {
		case j < m && score[i][j] == score[i+1][j+1]+hit(i, j) && hit(i, j) > 0:
			out[rows[i]] = j
			i, j = i+1, j+1
		case j < m && score[i][j] == score[i][j+1]:
			j++
		default:
			out[rows[i]] = -1
			i++
		}
	}
	return out
}
