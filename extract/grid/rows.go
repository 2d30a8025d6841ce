package grid

import (
	"math"
	"sort"
	"strings"

	"windtally/extract"
)

// apart reports whether a line is a row of which some cells are words ("10  0.911
// unsteady  unsteady", "Wing area  198.0  sq. ft."): every phrase stands in a column
// of its own, and one of them is nothing but a figure.
func (f *frame) apart(l *line, cores []core) bool {
	chunks := l.chunks(1.1 * f.height)
	if len(chunks) < 2 {
		return false
	}
	seen := map[int]bool{}
	alone, pointed := false, 0
	for _, c := range chunks {
		if _, behind, _ := strings.Cut(joined(c.items), "."); behind != "" {
			pointed++
		}
		alone = alone || len(c.items) == 1 && c.items[0].kind == figure
		at := -1
		for i, k := range cores {
			if m := c.box.MidX(); m > k.lo && m < k.hi && c.box.X0 >= k.lo && c.box.X1 <= k.hi {
				at = i
			}
		}
		if at < 0 || seen[at] {
			return false
		}
		seen[at] = true
	}
	// figures too broken to be known as such still have their points, and stand one in
	// each column
	return alone || len(chunks) >= 3 && 10*len(chunks) >= 7*len(cores) && 2*pointed >= len(chunks)
}

// subHead reports whether a line heads a block of rows: one phrase that runs
// across columns, or words without a figure in the first column alone.
func (f *frame) subHead(l *line, cores []core) bool {
	figs, texts, lead := 0, 0, 0
	cols := map[int]bool{}
	for _, it := range l.items {
		switch it.kind {
		case figure:
			figs++
		case text:
			texts++
		case leader:
			lead++
			continue
		}
		cols[columnAt(it, cores, f.height)] = true
	}
	if texts == 0 || lead > 0 {
		return false
	}
	if len(cols) == 1 && cols[0] {
		return figs == 0
	}
	if figs > texts || f.apart(l, cores) {
		return false
	}
	if len(l.items) >= 2 && len(l.chunks(f.height)) == 1 && columnAt(l.items[0], cores, f.height) > 0 {
		return true // one phrase beside the labels
	}
	// one phrase: no gap in it as wide as those between columns
	gap := 0.0
	for i := 1; i < len(l.items); i++ {
		gap = math.Max(gap, l.items[i].box.X0-l.items[i-1].box.X1)
	}
	crossing := 0
	for _, c := range l.chunks(math.Max(gap, 0) + 0.1) {
		for _, k := range cores[min(1, len(cores)):] {
			if m := c.box.MidX(); m > k.lo && m < k.hi && c.box.X0 < k.lo && c.box.X1 > k.hi {
				crossing++ // wider than the slot it stands in
			}
		}
		for i := 1; i < len(cores); i++ {
			if c.box.X0 < cores[i-1].x1 && c.box.X1 > cores[i].x0 {
				crossing++
			}
		}
	}
	return crossing > 0 && gap < 6*f.height && texts >= figs
}

// rows makes the rows of the lines of a body.
func (f *frame) rows(t *Table, lines []*line, cores []core, headTexts []string, pitch float64, used []bool) {
	f.straighten(lines, cores, pitch)
	type slot struct {
		l     *line
		sub   bool
		cells [][]*item
	}
	var out []slot
	ys := []float64{}
	for _, l := range lines {
		s := slot{l: l, sub: f.subHead(l, cores)}
		s.cells = make([][]*item, len(cores))
		out = append(out, s)
		ys = append(ys, l.y)
	}
	stray := func(it *item, why string) {
		t.Stray = append(t.Stray, Stray{it.word.Text, it.word.Box, why})
		used[it.at] = true
	}
	var steps []float64
	last := -1
	for i := range ys {
		if len(out[i].l.items) < 2 {
			continue
		}
		if last >= 0 {
			steps = append(steps, ys[i]-ys[last])
		}
		last = i
	}
	if step := median(steps); step > 0 {
		pitch = math.Min(pitch, step) // a thin body hides its pitch from its columns
	}
	reach := math.Min(pitch, 2*f.height)
	for i := range out {
		if out[i].sub {
			continue
		}
		at := assign(out[i].l, cores, f.height)
		for n, it := range out[i].l.items {
			c := at[n]
			if c < 0 {
				stray(it, "stands in no column")
				continue
			}
			if k := cores[c]; speck(it.stem) && (it.box.X0 > k.x1+0.3*f.height || it.box.X1 < k.x0-0.3*f.height) {
				stray(it, "a stroke between columns")
				continue
			}
			// a word between two rows belongs to neither for certain
			if it.kind != leader && it.box.Height() > 1.6*f.height || math.Abs(it.mid-ys[i]) > 0.38*reach {
				near := math.Inf(1)
				for k, y := range ys {
					if k != i && !out[k].sub {
						near = math.Min(near, math.Abs(it.mid-y))
					}
				}
				if near-math.Abs(it.mid-ys[i]) < 0.25*reach {
					stray(it, "stands between two rows")
					continue
				}
			}
			out[i].cells[c] = append(out[i].cells[c], it)
		}
	}
	// words squeezed between two rows that stand one pitch apart are no row: a brace
	// centres a figure so, and a bad layer misplaces words so
	for i := 1; i+1 < len(out); i++ {
		var own []*item
		for _, its := range out[i].cells {
			own = append(own, its...)
		}
		a, b := out[i-1], out[i+1]
		if out[i].sub || a.sub || b.sub || 2*len(own) >= len(cores) || len(own) >= len(a.l.items) || len(own) >= len(b.l.items) {
			continue
		}
		if ys[i+1]-ys[i-1] < 1.3*pitch {
			for _, it := range own {
				// a raised or lowered mark is clearly nearer to one of them
				up, down := math.Abs(it.mid-ys[i-1]), math.Abs(it.mid-ys[i+1])
				to := i - 1
				if down < up {
					to = i + 1
				}
				c := columnAt(it, cores, f.height)
				if c < 0 || math.Min(up, down) > 0.4*reach || math.Abs(up-down) < 0.25*reach {
					stray(it, "stands between two rows")
					continue
				}
				out[to].cells[c] = append(out[to].cells[c], it)
			}
			out[i].cells = make([][]*item, len(cores))
		}
	}
	leaders := make([]int, len(cores))
	for _, s := range out {
		for c, its := range s.cells {
			for _, it := range its {
				if it.kind == leader || it.kind != mark && it.stem != it.word.Text {
					leaders[c]++
				}
			}
		}
	}
	for _, s := range out {
		y0, y1 := s.l.box.Y0, s.l.box.Y1
		r := Row{Baseline: s.l.y + 0.3*f.height + f.slope*((cores[0].x0+cores[len(cores)-1].x1)/2-f.pivotX)}
		if s.sub {
			r.SubHead = s.l.text()
			r.Box = f.boxOf(s.l.items)
			r.words = len(s.l.items)
			raw := f.upright(r.Box)
			r.Y0, r.Y1 = raw.Y0, raw.Y1
			take(s.l.items, used)
			t.Rows = append(t.Rows, r)
			continue
		}
		n := 0
		var raw extract.Rect
		for _, its := range s.cells {
			for _, it := range its {
				if n == 0 {
					raw = it.raw
				} else {
					raw = span(raw, it.raw)
				}
				n++
			}
		}
		if n == 0 {
			continue
		}
		r.Y0, r.Y1 = raw.Y0, raw.Y1
		for c, its := range s.cells {
			r.Cells = append(r.Cells, f.cell(t, its, c == 0 || leaders[c]*3 >= len(out), cores[c], y0, y1, used))
		}
		r.Box = f.seen(raw)
		t.Rows = append(t.Rows, r)
	}
	t.Columns = t.Columns[:0]
	for c, k := range cores {
		col := Column{X0: round2(k.lo), X1: round2(k.hi)}
		col.Head = headTexts[c]
		for _, r := range t.Rows {
			if r.Cells == nil || r.Cells[c].Text == "" {
				continue
			}
			if looksFigure(strings.ReplaceAll(r.Cells[c].Text, " ", "")) {
				col.Figures++
			} else {
				col.Words++
			}
		}
		t.Columns = append(t.Columns, col)
	}
}

// cell makes one cell. In a column with leaders a leader is no text; in any other
// one it is what was printed for a missing figure.
func (f *frame) cell(t *Table, its []*item, led bool, c core, y0, y1 float64, used []bool) Cell {
	sort.SliceStable(its, func(i, j int) bool { return its[i].box.X0 < its[j].box.X0 })
	var s string
	var kept []*item
	for k, it := range its {
		used[it.at] = true
		// a leader close before a figure may hold its decimal point: it stays
		close := k+1 < len(its) && its[k+1].kind == figure && its[k+1].box.X0-it.box.X1 < 1.5*f.height
		if it.kind == leader && !close && (led || k > 0) {
			t.Leaders = append(t.Leaders, it.word)
			continue
		}
		if s != "" {
			s += " "
		}
		if led && (k+1 == len(its) || its[k+1].kind == leader) {
			s += it.stem
		} else {
			s += it.word.Text
		}
		kept = append(kept, it)
	}
	if len(kept) == 0 {
		dy := f.slope * ((c.lo+c.hi)/2 - f.pivotX)
		return Cell{Box: f.seen(extract.Rect{X0: c.lo, X1: c.hi, Y0: y0 + dy, Y1: y1 + dy}).Rounded()}
	}
	return Cell{Text: s, Box: f.boxOf(kept), Words: len(kept)}
}

// straighten removes what single columns are set too high or too low against the
// rows, and gathers the words into rows anew.
func (f *frame) straighten(lines []*line, cores []core, pitch float64) {
	if len(lines) < 3 {
		return
	}
	ys := make([]float64, len(lines))
	for i, l := range lines {
		ys[i] = l.y
	}
	off := make([]float64, len(cores))
	for pass := 0; pass < 3; pass++ {
		for c := range cores {
			var d []float64
			for i, l := range lines {
				for _, it := range l.items {
					if it.kind == figure && columnAt(it, cores, f.height) == c {
						d = append(d, it.box.MidY()-ys[i])
					}
				}
			}
			if len(d) >= 3 {
				off[c] = math.Max(-0.4*pitch, math.Min(0.4*pitch, median(d)))
			}
		}
		moved := false
		next := make([][]*item, len(lines))
		for i, l := range lines {
			sub := f.subHead(l, cores)
			for _, it := range l.items {
				k := i
				if c := columnAt(it, cores, f.height); c >= 0 && !sub {
					it.mid = it.box.MidY() - off[c]
					k = nearest(ys, it.mid)
					if k != i && f.subHead(lines[k], cores) {
						k = i
					}
				}
				moved = moved || k != i
				next[k] = append(next[k], it)
			}
		}
		for i, l := range lines {
			l.items = next[i]
			if len(l.items) > 0 {
				l.finish()
				var m []float64
				for _, it := range l.items {
					if it.kind != mark && it.box.Height() < 1.5*f.height {
						m = append(m, it.mid)
					}
				}
				if len(m) > 0 && !f.subHead(l, cores) {
					l.y = median(m)
				}
			}
		}
		sort.SliceStable(lines, func(i, j int) bool { return lines[i].y < lines[j].y })
		for i, l := range lines {
			ys[i] = l.y
		}
		if !moved {
			break
		}
	}
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }
