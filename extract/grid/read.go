package grid

import (
	"math"

	"windtally/extract"
)

// read makes the table of a region with given columns.
func (f *frame) read(region extract.Rect, columns []Column, used []bool) Table {
	f.fixed = true
	lines := linesOf(f.items, f.height)
	caps, after := f.captions(lines)
	var c *caption
	floor := 0
	if len(caps) > 0 && caps[0].at <= 6 {
		c, floor = caps[0].cap, after[0]
	}
	var own []*item
	for _, l := range lines[floor:] {
		own = append(own, l.items...)
	}
	pitch := pitchOf(own, f.height)
	if pitch <= 0 {
		pitch = 1.5 * f.height
	}
	cores := f.given(columns, lines[floor:])
	var data []int
	for i := floor; i < len(lines); i++ {
		if f.dataRow(lines[i], cores) {
			data = append(data, i)
		}
	}
	if len(data) == 0 { // a table of words
		for i := floor; i < len(lines); i++ {
			if !bracket(lines[i]) {
				data = append(data, i)
			}
		}
	}
	t := Table{Turn: f.turn}
	if len(data) > 0 {
		b := body{first: data[0], last: data[len(data)-1], data: data, cores: cores}
		t, _ = f.build(lines, floor, len(lines), b, c, pitch, used)
	}
	if len(t.Columns) == 0 {
		for _, k := range columns {
			t.Columns = append(t.Columns, Column{X0: k.X0, X1: k.X1})
		}
	}
	for i := range t.Columns {
		t.Columns[i].X0, t.Columns[i].X1 = columns[i].X0, columns[i].X1
	}
	t.Region = region
	return t
}

// given turns columns that a person fixed into cores: where the words of the
// column stand inside its range.
func (f *frame) given(columns []Column, lines []*line) []core {
	cores := make([]core, len(columns))
	for i, c := range columns {
		k := core{lo: c.X0, hi: c.X1, x0: c.X0 + 0.3*(c.X1-c.X0), x1: c.X1 - 0.3*(c.X1-c.X0)}
		var a, b []float64
		for _, l := range lines {
			if l.prose() {
				continue
			}
			for _, it := range l.items {
				if m := it.box.MidX(); it.kind == figure && m >= c.X0 && m < c.X1 {
					a = append(a, it.box.X0)
					b = append(b, it.box.X1)
				}
			}
		}
		if len(a) >= 2 {
			k.x0 = math.Max(c.X0, quantile(a, 0.1))
			k.x1 = math.Min(c.X1, quantile(b, 0.9))
			if k.x1 <= k.x0 {
				k.x0, k.x1 = c.X0, c.X1
			}
		}
		cores[i] = k
	}
	return cores
}

// dataRow reports whether a line has a figure in a column other than a column of
// labels, and is not running text.
func (f *frame) dataRow(l *line, cores []core) bool {
	if l.prose() || f.subHead(l, cores) {
		return false
	}
	figs, texts := 0, 0
	for _, it := range l.items {
		c := columnAt(it, cores, f.height)
		switch {
		case it.kind == figure && (c > 0 || c == 0 && len(cores) == 1):
			figs++
		case it.kind == text && c > 0:
			texts++
		}
	}
	if figs == 0 {
		return false
	}
	return figs >= texts || texts <= 4*figs && len(l.chunks(1.2*f.height)) >= 2
}
