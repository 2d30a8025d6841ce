package scan

import "math"

// clearBorders clears what a scanner sees beside the page: solid black that touches an
// edge, and punch holes in the margins.
func (s *Sheet) clearBorders() {
	const lv = 128
	list, _ := pieces(s.Ink, s.W, s.H, lv)
	fh := figureHeight(list, s.H)
	// Solid is ink that holds a square of this side; no stroke of print does.
	side := int(max(12, 0.7*fh))
	solid := opened(s.Ink, s.W, s.H, lv, side)
	if solid == nil {
		return
	}
	blots, runs := pieces(solid, s.W, s.H, 1)
	out := make([]bool, len(blots))
	near := func(p piece, d int) bool {
		return p.x0 < d || p.y0 < d || p.x1 > s.W-d || p.y1 > s.H-d
	}
	for i, p := range blots {
		wd, ht := p.width(), p.height()
		// A hole is a disk: pi/4 of its square.
		hole := max(wd, ht)*10 < 14*min(wd, ht) && p.area*100 > 65*wd*ht &&
			wd < min(s.W, s.H)/15 && near(p, min(s.W, s.H)/8)
		out[i] = near(p, max(3, min(s.W, s.H)/400)) || hole
	}
	const grow = 3 // its ragged edge
	clear(solid)
	for _, r := range runs {
		if !out[r.of] {
			continue
		}
		x0, x1 := max(int(r.x0)-grow, 0), min(int(r.x1)+grow, s.W)
		for y := max(int(r.y)-grow, 0); y <= min(int(r.y)+grow, s.H-1); y++ {
			clear(s.Ink[y*s.W+x0 : y*s.W+x1])
			for x := x0; x < x1; x++ {
				solid[y*s.W+x] = 1
			}
		}
	}
	// What still hangs on it goes too, where it is too thin for a figure.
	list, runs = pieces(s.Ink, s.W, s.H, lv)
	hangs := make([]bool, len(list))
	for _, r := range runs {
		if p := list[r.of]; hangs[r.of] || float64(min(p.width(), p.height())) > 0.4*max(fh, 12) {
			continue
		}
		for y := max(int(r.y)-1, 0); y <= min(int(r.y)+1, s.H-1) && !hangs[r.of]; y++ {
			for x := max(int(r.x0)-1, 0); x < min(int(r.x1)+1, s.W); x++ {
				if solid[y*s.W+x] != 0 {
					hangs[r.of] = true
					break
				}
			}
		}
	}
	s.clearRuns(runs, hangs, lv)
}

// opened returns the pixels that lie in a square of ink of the side, or nil.
func opened(ink []uint8, w, h int, lv uint8, side int) []uint8 {
	down := make([]int32, w) // rows up to here in which the last side pixels are ink
	var out []uint8
	for y := range h {
		row := ink[y*w : (y+1)*w]
		n := 0
		for x, v := range row {
			if v < lv {
				n = 0
				down[x] = 0
				continue
			}
			n++
			if n < side {
				down[x] = 0
				continue
			}
			down[x]++
			if int(down[x]) < side {
				continue
			}
			if out == nil {
				out = make([]uint8, len(ink))
			}
			// The square that ends here; where its left neighbour was one too, only
			// its last column is new.
			from := x - side + 1
			top := y - side + 1
			if x > 0 && int(down[x-1]) >= side {
				from = x
			}
			if y > 0 && out[(y-1)*w+x] != 0 && int(down[x]) > side {
				top = y
				from = x - side + 1
			}
			for yy := top; yy <= y; yy++ {
				for xx := from; xx <= x; xx++ {
					out[yy*w+xx] = 1
				}
			}
		}
	}
	return out
}

// clearDirt clears specks that can be no print: much smaller than a point and far from
// any figure. When in doubt a speck stays, for it may be a decimal point.
func (s *Sheet) clearDirt() {
	lv := s.Level()
	list, runs := pieces(s.Ink, s.W, s.H, lv)
	fh := figureHeight(list, s.H)
	if fh < leastFigure {
		return
	}
	// Print by tiles of its height, so that what is near is found at once.
	tile := int(fh) + 1
	tw, th := s.W/tile+1, s.H/tile+1
	dense := make([]bool, tw*th)
	var specks []int // in the order of their first row
	for i, p := range list {
		if float64(max(p.width(), p.height())) < fh/6+1 {
			specks = append(specks, i)
			continue
		}
		// A minus sign or the dash of a leader counts as print too.
		if float64(max(p.height(), p.width())) < fh/4 {
			continue
		}
		for ty := p.y0 / tile; ty <= (p.y1-1)/tile; ty++ {
			for tx := p.x0 / tile; tx <= (p.x1-1)/tile; tx++ {
				dense[ty*tw+tx] = true
			}
		}
	}
	// lined reports whether a speck has two others of its kind beside it on its row.
	lined := func(k int, like func(p, q piece, dx, off float64) bool) bool {
		p := list[specks[k]]
		n := 0
		for _, dir := range []int{1, -1} {
			for j := k + dir; j >= 0 && j < len(specks) && n < 2; j += dir {
				q := list[specks[j]]
				dx, dy := float64(q.x0-p.x0), float64(q.y0-p.y0)
				if math.Abs(dy) > fh/2 {
					break
				}
				if like(p, q, math.Abs(dx), math.Abs(dy-s.RowSlope*dx)) {
					n++
				}
			}
		}
		return n == 2
	}
	// A point of a leader has others of its size near it, a piece of a broken bar others
	// close to it.
	leader := func(p, q piece, dx, off float64) bool {
		return dx < 2.5*fh && off <= fh/8 && 2*q.area >= p.area && 2*p.area >= q.area
	}
	broken := func(_, _ piece, dx, off float64) bool { return dx < fh && off <= 1.2 }
	marked := make([]bool, len(list))
	dust := max(1, int(fh*fh/350))
	point := fh * fh / 100 // a tenth of the height each way: the smallest point in use
	for k, i := range specks {
		p := list[i]
		tx, ty := p.x0/tile, p.y0/tile
		near := false
		for y := max(ty-1, 0); y <= min(ty+1, th-1); y++ {
			for x := max(tx-2, 0); x <= min(tx+2, tw-1); x++ {
				near = near || dense[y*tw+x]
			}
		}
		if near {
			marked[i] = p.area <= dust && !s.touching(p, lv, 2) && !s.streak(p, lv, fh) && !lined(k, broken)
		} else {
			marked[i] = float64(p.area) < 0.7*point || !lined(k, leader)
		}
	}
	s.clearRuns(runs, marked, lv)
}

// streak reports whether the piece is what the level leaves of a faint bar, such as a
// worn minus sign.
func (s *Sheet) streak(p piece, lv uint8, figureHeight float64) bool {
	most := int(figureHeight)
	for y := p.y0; y < p.y1; y++ {
		row := s.Ink[y*s.W : (y+1)*s.W]
		x0, x1 := p.x0, p.x1
		for x0 > max(0, p.x0-most) && row[x0-1] >= lv/2 {
			x0--
		}
		for x1 < min(s.W, p.x1+most) && row[x1] >= lv/2 {
			x1++
		}
		if float64(x1-x0) >= 0.3*figureHeight {
			return true
		}
	}
	return false
}

// touching reports whether other ink lies within d pixels of the piece.
func (s *Sheet) touching(p piece, lv uint8, d int) bool {
	n := 0
	for y := max(p.y0-d, 0); y < min(p.y1+d, s.H); y++ {
		for x := max(p.x0-d, 0); x < min(p.x1+d, s.W); x++ {
			if s.Ink[y*s.W+x] >= lv {
				n++
			}
		}
	}
	return n > p.area
}
