package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"image"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/transcribe"
)

// published is a printed table whose truth was keyed from enlargements.
type published struct {
	name, file, page string // page of a PDF file, which is rendered at 300 dpi
	table            int    // among the tables of the page
	labels           int    // leading columns that the truth lacks
	truth            string
	from             int // first column of the truth with cells of the table
}

func publishedTables() []published {
	return []published{
		// NACA TR 572, 1936, Table II, and Tables V and VI.
		{name: "TR 572 p22", file: "reports/naca-tr-572.pdf", page: "22", truth: "naca-tr-572-p22-table-2-stations-0-and-0.2.csv", from: 1},
		{name: "TR 572 Table V", file: "reports/naca-tr-572.pdf", page: "24", truth: "naca-tr-572-p24-table-5.csv", from: 1, labels: 1},
		{name: "TR 572 Table VI", file: "reports/naca-tr-572.pdf", page: "24", table: 1, truth: "naca-tr-572-p24-table-6.csv", from: 1, labels: 1},
		// NACA TR 515, 1935, Table III.
		{name: "TR 515 Table III", file: "pages/naca-tr-515-table-3.png", truth: "naca-tr-515-table-3.csv"},
		// NASA TM-4741, 1996.
		{name: "TM-4741 p22", file: "reports/nasa-tm-4741.pdf", page: "22", truth: "nasa-tm-4741-p22.csv"},
		// Made by program, noisy and skewed.
		{name: "degraded typewriter", file: "pages/degraded-typewriter.png", truth: "degraded-typewriter.json"},
	}
}

func readReal(ctx context.Context, s settings, o transcribe.Options, b *board, progress io.Writer) error {
	tables := publishedTables()
	material := os.Getenv("WINDTALLY_MATERIAL")
	if material == "" {
		return fmt.Errorf("%d scanned tables cannot be read: WINDTALLY_MATERIAL is not set to their folder", len(tables))
	}
	for i, r := range tables {
		if s.pages > 0 && i == s.pages {
			break
		}
		truth, err := keyed(".", material, r)
		if err != nil {
			return err
		}
		img, dpi, err := open(ctx, material, r)
		if err != nil {
			return err
		}
		start := time.Now()
		t := readPublished(ctx, r, img, dpi, truth, o)
		t.seconds = time.Since(start).Seconds()
		if err := ctx.Err(); err != nil {
			return err
		}
		b.addReal(r.name, t)
		fmt.Fprintf(progress, "%s: printed %d, found %d, right %d, accepted %d, silent %d, %.1f s%s\n", r.name,
			t.figures.printed, t.figures.found, t.figures.right, t.figures.accepted, t.figures.silent(), t.seconds, t.remark())
	}
	return nil
}

func open(ctx context.Context, material string, r published) (image.Image, float64, error) {
	file := filepath.Join(material, filepath.FromSlash(r.file))
	if r.page != "" {
		dir, err := os.MkdirTemp("", "accuracy")
		if err != nil {
			return nil, 0, err
		}
		defer os.RemoveAll(dir)
		base := filepath.Join(dir, "page")
		out, err := exec.CommandContext(ctx, "pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", "-f", r.page, "-l", r.page, file, base).CombinedOutput()
		if err != nil {
			return nil, 0, fmt.Errorf("%s page %s: pdftoppm: %w: %s", r.file, r.page, err, out)
		}
		file = base + ".png"
	}
	f, err := scan.Open(file)
	if err != nil {
		return nil, 0, err
	}
	return f.Frame(1)
}

func keyed(root, material string, r published) ([][]string, error) {
	if strings.HasSuffix(r.truth, ".json") {
		data, err := os.ReadFile(filepath.Join(material, "truth", r.truth))
		if err != nil {
			return nil, err
		}
		var v struct{ Rows [][]string }
		if err := json.Unmarshal(data, &v); err != nil {
			return nil, fmt.Errorf("%s: %w", r.truth, err)
		}
		return v.Rows, nil
	}
	data, err := os.ReadFile(filepath.Join(root, "testdata", "keyed", r.truth))
	if err != nil {
		return nil, err
	}
	all, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", r.truth, err)
	}
	if len(all) < 2 || len(all[0]) <= r.from {
		return nil, fmt.Errorf("%s: a head and rows of more than %d columns would be right", r.truth, r.from)
	}
	var out [][]string
	for _, row := range all[1:] {
		out = append(out, row[r.from:])
	}
	return out, nil
}

// readPublished holds one table against what was keyed. Rows are matched by their
// texts, for the truth has no places; rows that the truth lacks are not judged, since
// some truths hold a part of their table.
func readPublished(ctx context.Context, r published, img image.Image, dpi float64, truth [][]string, o transcribe.Options) tally {
	t := tally{pages: 1}
	for _, row := range truth {
		for _, w := range row {
			if strings.ContainsAny(w, "0123456789") {
				t.figures.printed++
			}
		}
	}
	p, err := transcribe.Open(ctx, img, scan.Options{Page: 1, DPI: dpi, Unit: 1, Turn: -1}, o)
	switch {
	case err != nil:
		t.refuse(err.Error())
		return t
	case p.Sheet.Unreadable != "":
		t.refuse(p.Sheet.Unreadable)
		return t
	case r.table >= len(p.Tables):
		t.refuse(fmt.Sprintf("%d tables were seen", len(p.Tables)))
		return t
	}
	parts := []transcribe.Part{{Page: p, Table: p.Tables[r.table]}}
	for i, other := range p.Tables {
		if i != r.table {
			parts = append(parts, transcribe.Part{Page: p, Table: other})
		}
	}
	res, err := transcribe.Read(ctx, parts, o)
	if err != nil {
		t.refuse(err.Error())
		return t
	}
	doubted := len(p.Tables[r.table].Doubts) > 0
	at := align(res.Cells[0], truth, r.labels)
	for _, c := range res.Cells[0] {
		j, k := at[c.Row], c.Column-r.labels
		if j < 0 || k < 0 || k >= len(truth[j]) || !strings.ContainsAny(truth[j][k], "0123456789") {
			continue
		}
		if t.judge(c, truth[j][k]) {
			t.silents = append(t.silents, fmt.Sprintf("%s row %d column %d: misread %q as %s", r.name, j+1, k+1, truth[j][k], said(c)))
		}
	}
	for range t.figures.printed - t.figures.found {
		t.figures.miss(doubted)
	}
	if n := t.figures.lost; n > 0 {
		t.silents = append(t.silents, fmt.Sprintf("%s: %d figures lost in a table without doubts", r.name, n))
	}
	return t
}

// align matches the found rows, by their index, to rows of the truth in order, so that
// most texts agree; -1 stands for none.
func align(cells []transcribe.Cell, truth [][]string, skip int) map[int]int {
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
	hit, score := make([][]int, n), make([][]int, n+1)
	score[n] = make([]int, m+1)
	for i := n - 1; i >= 0; i-- {
		hit[i], score[i] = make([]int, m), make([]int, m+1)
		for j := m - 1; j >= 0; j-- {
			for c, w := range truth[j] {
				if extract.SameText(text[rows[i]][c], w) {
					hit[i][j]++
				}
			}
			score[i][j] = max(score[i+1][j], score[i][j+1], score[i+1][j+1]+hit[i][j])
		}
	}
	out := map[int]int{}
	j := 0
	for i := 0; i < n; {
		switch {
		case j < m && hit[i][j] > 0 && score[i][j] == score[i+1][j+1]+hit[i][j]:
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
