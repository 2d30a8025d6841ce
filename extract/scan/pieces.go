package scan

// run is a horizontal stretch of ink.
type run struct {
	y, x0, x1 int32 // x1 excluded
	of        int32 // index of its piece
}

// piece is a connected patch of ink, as Mark is, without the map of pixels.
type piece struct {
	x0, y0, x1, y1 int // x1 and y1 excluded
	area           int
}

func (p piece) width() int  { return p.x1 - p.x0 }
func (p piece) height() int { return p.y1 - p.y0 }

// pieces cuts ink at a level into connected patches (eight neighbours). It holds
// runs and not pixels, so it is quick and small on a page that is mostly paper.
func pieces(ink []uint8, w, h int, level uint8) ([]piece, []run) {
	var runs []run
	parent := []int32{}
	find := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	above := 0 // first run of the row above
	for y := range h {
		start := len(runs)
		row := ink[y*w : (y+1)*w]
		k := above
		for x := 0; x < w; x++ {
			if row[x] < level {
				continue
			}
			x0 := x
			for x < w && row[x] >= level {
				x++
			}
			label := int32(-1)
			for k < start && int(runs[k].x1) < x0 {
				k++
			}
			for j := k; j < start && int(runs[j].x0) <= x; j++ {
				o := find(runs[j].of)
				switch {
				case label < 0:
					label = o
				case o < label:
					parent[label] = o
					label = o
				case o > label:
					parent[o] = label
				}
			}
			if label < 0 {
				label = int32(len(parent))
				parent = append(parent, label)
			}
			runs = append(runs, run{int32(y), int32(x0), int32(x), label})
		}
		above = start
	}
	index := make([]int32, len(parent))
	for i := range index {
		index[i] = -1
	}
	var list []piece
	for i := range runs {
		r := &runs[i]
		root := find(r.of)
		if index[root] < 0 {
			index[root] = int32(len(list))
			list = append(list, piece{int(r.x0), int(r.y), int(r.x1), int(r.y) + 1, 0})
		}
		r.of = index[root]
		p := &list[r.of]
		p.x0, p.x1, p.y1 = min(p.x0, int(r.x0)), max(p.x1, int(r.x1)), int(r.y)+1
		p.area += int(r.x1 - r.x0)
	}
	return list, runs
}
