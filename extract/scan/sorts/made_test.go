package sorts_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/press"
	"windtally/extract/scan/sorts"
)

// TestMadePages reads pages that were set and damaged by package press, and holds every
// cell without a doubt against what was set. The votes are what was set too, one figure
// in twenty wrong: they stand for another reader.
func TestMadePages(t *testing.T) {
	fonts, err := press.Fonts()
	if err != nil {
		t.Fatal(err)
	}
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		page string
		hard string
		// accepted is the least share of the cells without a doubt.
		accepted float64
	}{
		{"tuned-001", "detached feet of 3 and 5 that look like points", 0.95},
		{"tuned-014", "commas of a typewriter", 0.95},
		{"tuned-026", "noughts broken at head and foot", 0.85},
		{"tuned-058", "minus signs that are nearly gone", 0.90},
		{"tuned-109", "thick print in which commas lose their tails", 0.85},
	} {
		t.Run(c.page, func(t *testing.T) {
			at := slices.IndexFunc(plan, func(s press.Spec) bool { return s.Name == c.page })
			page, err := press.Make(plan[at], fonts)
			if err != nil {
				t.Fatal(err)
			}
			in, want := cells(t, page)
			res, err := sorts.Read(t.Context(), in)
			if err != nil {
				t.Fatal(err)
			}
			printed, accepted := 0, 0
			for p := range want {
				for i, w := range want[p] {
					if !strings.ContainsAny(w, "0123456789") {
						continue
					}
					printed++
					r := res.Readings[p][i]
					if len(r.Doubts)+len(r.Shaky) > 0 {
						continue
					}
					accepted++
					if !extract.SameText(r.Text, w) {
						t.Errorf("%s (%s): set %q, read %q without a doubt", c.page, c.hard, w, r.Text)
					}
				}
			}
			t.Logf("%d cells, %d without a doubt", printed, accepted)
			if printed < 100 || float64(accepted) < c.accepted*float64(printed) {
				t.Errorf("%d of %d cells are without a doubt, want %.0f %%", accepted, printed, 100*c.accepted)
			}
		})
	}
}

// cells cuts the figures of a made page into slots, with votes, and gives what was set
// in each.
func cells(t *testing.T, page press.Page) (sorts.Input, [][]string) {
	t.Helper()
	s, err := scan.Prepare(page.Image, scan.Options{Page: 1, DPI: page.DPI, Unit: 1, Turn: page.Spec.Design.Turn})
	if err != nil {
		t.Fatal(err)
	}
	if s.Unreadable != "" {
		t.Fatal(s.Unreadable)
	}
	random := rand.New(rand.NewPCG(1, 2))
	marks := s.Cut(s.Level())
	var in sorts.Input
	var all [][]string
	for _, table := range layout.Find(s, marks, nil) {
		part := sorts.Part{Sheet: s, Marks: marks}
		var want, votes []string
		for r, row := range table.Rows {
			if row.SubHead != nil {
				continue
			}
			for k, cell := range row.Cells {
				if table.Columns[k].Words > table.Columns[k].Figures {
					continue
				}
				part.Slots = append(part.Slots, sorts.Slot{Row: r, Column: k, Room: cell.Slot, Baseline: row.Baseline})
				text := setAt(page, s.SeenOfFlat(cell.Slot))
				want = append(want, text)
				votes = append(votes, strings.Map(func(r rune) rune {
					if r >= '0' && r <= '9' && random.IntN(20) == 0 {
						return '0' + rune(random.IntN(10))
					}
					return r
				}, text))
			}
		}
		part.Votes = [][]string{votes}
		in.Parts = append(in.Parts, part)
		all = append(all, want)
	}
	return in, all
}

func setAt(page press.Page, place extract.Rect) string {
	for _, table := range page.Tables {
		for _, row := range table.Rows {
			for _, cell := range row.Cells {
				if place.Contains(cell.Box.MidX(), cell.Box.MidY()) {
					return cell.Text
				}
			}
		}
	}
	return ""
}

func TestReadStops(t *testing.T) {
	fonts, err := press.Fonts()
	if err != nil {
		t.Fatal(err)
	}
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		t.Fatal(err)
	}
	page, err := press.Make(plan[0], fonts)
	if err != nil {
		t.Fatal(err)
	}
	in, _ := cells(t, page)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := sorts.Read(ctx, in); err != context.Canceled {
		t.Errorf("error %v, want %v", err, context.Canceled)
	}
}
