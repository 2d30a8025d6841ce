package sorts_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/press"
	"windtally/extract/scan/sorts"
)

// TestMadePages reads pages that were set and damaged by package press, and holds every
// cell without a doubt against what was set. The votes are what was set too, one figure
// in twenty wrong: they stand for another reader.
func TestMadePages(t *testing.T) {
	for _, c := range []struct {
		seed uint64
		page string
		hard string
		// accepted is the least share of the cells without a doubt.
		accepted float64
	}{
		{1936, "tuned-001", "detached feet of 3 and 5 that look like points", 0.95},
		{1936, "tuned-014", "commas of a typewriter", 0.95},
		{1936, "tuned-026", "noughts broken at head and foot", 0.85},
		{1936, "tuned-058", "minus signs that are nearly gone", 0.90},
		{1936, "tuned-109", "thick print in which commas lose their tails", 0.85},
		{2026, "held-out-045", "blurred print in which all commas of a column lose their tails", 0.85},
		{1967, "held-out-045", "figures of which two sides are left", 0.75},
		{1967, "held-out-077", "commas of another typewriter", 0.95},
	} {
		t.Run(fmt.Sprintf("%s of seed %d", c.page, c.seed), func(t *testing.T) {
			in, want := cells(t, c.seed, c.page)
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
func cells(t *testing.T, seed uint64, name string) (sorts.Input, [][]string) {
	t.Helper()
	plan, err := press.PlanOf(name[:strings.LastIndexByte(name, '-')], seed)
	if err != nil {
		t.Fatal(err)
	}
	page, s := prepared(t, plan[slices.IndexFunc(plan, func(s press.Spec) bool { return s.Name == name })])
	if s.Unreadable != "" {
		t.Fatal(s.Unreadable)
	}
	random := rand.New(rand.NewPCG(1, 2))
	marks := s.Cut(s.Level())
	var in sorts.Input
	var all [][]string
	for _, table := range layout.Find(s, marks, nil) {
		list, want := slots(page, table, func(cell layout.Cell) extract.Rect { return s.SeenOfFlat(cell.Slot) })
		var votes []string
		for _, text := range want {
			votes = append(votes, strings.Map(func(r rune) rune {
				if r >= '0' && r <= '9' && random.IntN(20) == 0 {
					return '0' + rune(random.IntN(10))
				}
				return r
			}, text))
		}
		in.Parts = append(in.Parts, sorts.Part{Sheet: s, Marks: marks, Slots: list, Votes: [][]string{votes}})
		all = append(all, want)
	}
	return in, all
}

func TestReadStops(t *testing.T) {
	in, _ := cells(t, 1936, "tuned-001")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := sorts.Read(ctx, in); err != context.Canceled {
		t.Errorf("error %v, want %v", err, context.Canceled)
	}
}
