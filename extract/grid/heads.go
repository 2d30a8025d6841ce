package grid

import (
	"math"
	"strings"
)

// heads joins the head words over each column, top to bottom. A head that stands
// over several columns with heads of their own is put before each of them.
func (f *frame) heads(t *Table, lines []*line, cores []core, used []bool) []string {
	parts := make([][]string, len(cores))
	rows := make([][]chunk, len(lines))
	for k, l := range lines {
		for _, it := range l.items {
			t.Heads = append(t.Heads, it.word)
			used[it.at] = true
		}
		rows[k] = l.chunks(f.wordGap(l))
	}
	for k := range rows {
		for _, c := range rows[k] {
			i, j := f.group(c, rows[k+1:], cores)
			if i < 0 {
				continue
			}
			if i == j && f.severalColumns(c, cores) {
				for _, it := range c.items {
					if n, _ := f.group(chunk{[]*item{it}, it.box}, nil, cores); n >= 0 {
						parts[n] = append(parts[n], it.word.Text)
					}
				}
				continue
			}
			for n := i; n <= j; n++ {
				parts[n] = append(parts[n], joined(c.items))
			}
		}
	}
	out := make([]string, len(cores))
	for i, p := range parts {
		out[i] = strings.Join(p, " ")
	}
	return out
}

// severalColumns reports whether words of a chunk stand right over different columns.
func (f *frame) severalColumns(c chunk, cores []core) bool {
	seen := -1
	for _, it := range c.items {
		for i, k := range cores {
			if m := it.box.MidX(); m >= k.x0-0.5*f.height && m <= k.x1+0.5*f.height {
				if seen >= 0 && seen != i {
					return true
				}
				seen = i
			}
		}
	}
	return false
}

// group returns the columns that a head stands over: one, or several when it is
// centred over them or reaches across them, and lines below give heads to them.
func (f *frame) group(c chunk, below [][]chunk, cores []core) (int, int) {
	m := c.box.MidX()
	one, d := -1, math.Inf(1)
	for i, k := range cores {
		dist := math.Max(0, math.Max(k.x0-m, m-k.x1))
		if v := dist + 1e-3*math.Abs(m-(k.x0+k.x1)/2); v < d {
			one, d = i, v
		}
	}
	if one < 0 {
		return -1, -1
	}
	step := cores[len(cores)-1].x1 - cores[0].x0
	if len(cores) > 1 {
		step = ((cores[len(cores)-1].x0+cores[len(cores)-1].x1)/2 - (cores[0].x0+cores[0].x1)/2) / float64(len(cores)-1)
	}
	best, bi, bj := math.Abs(m-(cores[one].x0+cores[one].x1)/2), one, one
	for i := range cores {
		for j := i + 1; j < len(cores); j++ {
			x0, x1 := cores[i].x0, cores[j].x1
			if c.box.X1 < x0 || c.box.X0 > x1 || !headed(below, cores, i, j) {
				continue
			}
			off := math.Abs(m - (x0+x1)/2)
			reaches := c.box.X0 < cores[i].x1+0.2*step && c.box.X1 > cores[j].x0-0.2*step
			if (j == i+1 || reaches) && off < 0.3*step && off+0.12*step < best {
				best, bi, bj = off, i, j
			}
		}
	}
	return bi, bj
}

// headed reports whether every column from i to j has a head in the lines below,
// and the first and last of them one of its own.
func headed(below [][]chunk, cores []core, i, j int) bool {
	has := make([]bool, len(cores))
	for _, l := range below {
		for _, c := range l {
			for k := i; k <= j; k++ {
				if m := c.box.MidX(); m >= cores[k].lo && m <= cores[k].hi {
					has[k] = true
				}
			}
		}
	}
	for k := i; k <= j; k++ {
		if !has[k] {
			return false
		}
	}
	return true
}

// wordGap returns the gap that parts heads on a line. Where narrow and wide gaps
// are clearly two kinds, it lies between them.
func (f *frame) wordGap(l *line) float64 {
	least, most := math.Inf(1), 0.0
	for i := 1; i < len(l.items); i++ {
		if g := l.items[i].box.X0 - l.items[i-1].box.X1; g > 0.1*f.height {
			least, most = math.Min(least, g), math.Max(most, g)
		}
	}
	if least <= 3*f.height && most >= 3*least && most >= 3*f.height {
		return math.Max(math.Sqrt(least*most), 0.9*f.height)
	}
	return 0.9 * f.height
}
