package layout_test

import (
	"slices"
	"testing"

	"windtally/extract"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/press"
)

// TestMadePages holds every fifth page of the tuned half against its truth: as many
// rows and columns as were set, every printed cell in a slot of its own, and where that
// fails a doubt or no table at all.
func TestMadePages(t *testing.T) {
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		t.Fatal(err)
	}
	const step, least, refusals = 5, 22, 2
	fonts, err := press.Fonts()
	if err != nil {
		t.Skipf("not run: %d made pages: %v", (len(plan)+step-1)/step, err)
	}
	right, refused := 0, 0
	for n := 0; n < len(plan); n += step {
		p, err := press.Make(plan[n], fonts)
		if err != nil {
			t.Fatal(err)
		}
		s, err := scan.Prepare(p.Image, scan.Options{Page: 1, DPI: p.DPI, Turn: p.Spec.Design.Turn})
		if err != nil {
			t.Fatal(err)
		}
		if s.Unreadable != "" {
			if p.DPI > 150 {
				t.Errorf("%s, of %.0f dpi: %s", p.Spec.Name, p.DPI, s.Unreadable)
			}
			refused++
			continue
		}
		found := layout.Find(s, s.Cut(s.Level()), nil)
		doubts, exact := 0, len(found) == len(p.Tables)
		for _, x := range found {
			doubts += len(x.Doubts)
		}
		for _, want := range p.Tables {
			x, ok := over(s, found, want.Box)
			if !ok || shape(x) != [2]int{len(want.Rows), len(want.Columns)} || misplaced(s, x, want) > 0 {
				exact = false
			}
		}
		switch {
		case exact:
			right++
		case doubts == 0 && len(found) > 0:
			t.Errorf("%s: %d tables differ from the %d set and none has a doubt", p.Spec.Name, len(found), len(p.Tables))
		default:
			t.Logf("%s: not as set, with %d doubts", p.Spec.Name, doubts)
		}
	}
	if right < least || refused != refusals {
		t.Errorf("%d pages are right and %d refused, want at least %d and %d", right, refused, least, refusals)
	}
}

// TestBrokenPages holds pages whose fine strokes are lost against their truth: figures
// in halves, commas that stand apart, broken figures over the first row, a sub-head
// under the heads.
func TestBrokenPages(t *testing.T) {
	fonts, err := press.Fonts()
	if err != nil {
		t.Skipf("not run: made pages: %v", err)
	}
	for _, c := range []struct {
		half string
		seed uint64
		page string
		rows int // with sub-heads
	}{
		{press.HeldOut, 1967, "held-out-018", 42}, // halves of figures outnumber figures
		{press.HeldOut, 1967, "held-out-021", 39}, // the comma of "5,000" in a sub-head
		{press.HeldOut, 1967, "held-out-087", 21}, // a sub-head over the first block
		{press.HeldOut, 303, "held-out-091", 43},  // broken figures in the first row
		{press.HeldOut, 301, "held-out-070", 32},  // a row of broken figures
		{press.Tuned, 301, "tuned-096", 56},       // a label in two pieces
	} {
		plan, err := press.PlanOf(c.half, c.seed)
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(plan, func(s press.Spec) bool { return s.Name == c.page })
		p, err := press.Make(plan[i], fonts)
		if err != nil {
			t.Fatal(err)
		}
		s, err := scan.Prepare(p.Image, scan.Options{Page: 1, DPI: p.DPI, Turn: p.Spec.Design.Turn})
		if err != nil {
			t.Fatal(err)
		}
		found := layout.Find(s, s.Cut(s.Level()), nil)
		for _, want := range p.Tables {
			x, ok := over(s, found, want.Box)
			if !ok {
				t.Errorf("%s of seed %d: no table where one of %d rows is", c.page, c.seed, len(want.Rows))
				continue
			}
			if got, set := shape(x), [2]int{len(want.Rows), len(want.Columns)}; got != set || len(x.Rows) != c.rows {
				t.Errorf("%s of seed %d: %v and %d rows with sub-heads, want %v and %d", c.page, c.seed, got, len(x.Rows), set, c.rows)
				continue
			}
			if n := misplaced(s, x, want); n > 0 {
				t.Errorf("%s of seed %d: %d cells are not in their places", c.page, c.seed, n)
			}
		}
	}
}

// over returns the table whose columns lie over the middle of a box.
func over(s *scan.Sheet, found []layout.Table, box extract.Rect) (layout.Table, bool) {
	for _, x := range found {
		if len(x.Columns) == 0 {
			continue
		}
		r := x.Region
		r.X0, r.X1 = x.Columns[0].X0, x.Columns[len(x.Columns)-1].X1
		if s.SeenOfFlat(r).Contains(box.MidX(), box.MidY()) {
			return x, true
		}
	}
	return layout.Table{}, false
}

// misplaced counts the printed cells whose middle is not in the slot of their row and
// column, or whose slot has no ink.
func misplaced(s *scan.Sheet, x layout.Table, want press.Table) int {
	n, i := 0, 0
	for _, r := range x.Rows {
		if r.SubHead != nil {
			continue
		}
		for c, cell := range r.Cells {
			w := want.Rows[i].Cells[c]
			fx, fy := s.Flat(s.FromSeen(w.Box.MidX(), w.Box.MidY()))
			if w.Text != "" && (!cell.Slot.Contains(fx, fy) || len(cell.Marks) == 0) {
				n++
			}
		}
		i++
	}
	return n
}

func BenchmarkFind(b *testing.B) {
	s, m := design{rows: 60, columns: 12}.draw(b)
	b.ReportAllocs()
	for b.Loop() {
		layout.Find(s, m, nil)
	}
}
