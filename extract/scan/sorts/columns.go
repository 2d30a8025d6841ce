package sorts

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// likeComma reports whether commas would part the thousands of a text where it has a
// point.
func likeComma(text string) bool {
	return decimalsOf(text) == 3 && thousands(strings.Replace(text, ".", ",", 1))
}

// commaBelow is how much lower than points, in the figure height, the commas of a column
// stand that have lost their tails: on made pages such columns stand 0.06 to 0.10 lower,
// columns of points by 0.03 at most.
const commaBelow = 0.045

// commas doubts the points of columns that may be commas, for a worn or clogged comma
// looks like a point: some of the column have their tails, all stand lower than points
// do, or every figure ends as round thousands do.
func (c *cutter) commas(cells []cell, out []Reading) {
	var points []float64 // of cells in which they can be nothing else
	columns := map[int][]int{}
	below := make([]float64, len(cells))
	for i := range cells {
		k := slices.IndexFunc(cells[i].glyphs, func(g *glyph) bool { return g.kind == point })
		if k >= 0 {
			below[i] = c.below(cells[i].glyphs[k]) / c.fount.height
		}
		switch {
		case strings.Contains(out[i].Text, ",") || k >= 0 && likeComma(out[i].Text):
			columns[c.slots[i].Column] = append(columns[c.slots[i].Column], i)
		case k >= 0:
			points = append(points, below[i])
		}
	}
	usual := 0.0
	if len(points) >= 8 {
		usual = median(points)
	}
	for _, list := range columns {
		var like []int
		var lows []float64
		commas, tailed, round := 0, 0, 0
		for _, i := range list {
			if strings.Contains(out[i].Text, ",") {
				commas++
				continue
			}
			like = append(like, i)
			lows = append(lows, below[i])
			if slices.Contains(out[i].Doubts, tailedPoint) {
				tailed++
			}
			if strings.HasSuffix(out[i].Text, "0") {
				round++
			}
		}
		why := ""
		switch low := median(lows) - usual; {
		case 8*commas > len(like) || tailed > 1 && 5*tailed > len(like):
			why = "a point where a comma seems to stand in others of the column"
		case len(like) >= 3 && low > commaBelow || low > 1.4*commaBelow:
			why = "the points of the column stand lower than others, as commas do that have lost their tails"
		case len(like) >= 5 && round == len(like):
			why = "all figures of the column end as round thousands do: the point may be a comma"
		default:
			continue
		}
		for _, i := range like {
			out[i].Doubts = append(out[i].Doubts, why)
			out[i].Candidates = append(out[i].Candidates, strings.Replace(out[i].Text, ".", ",", 1))
		}
	}
}

// conventions learns what the cells of a column have in common and doubts a cell
// that departs from it.
func (c *cutter) conventions(out []Reading) {
	columns := map[int][]int{}
	for i, s := range c.slots {
		columns[s.Column] = append(columns[s.Column], i)
	}
	for col := range columns { // in any order: each cell is in one
		decimals := map[int]int{}
		n := 0
		for _, i := range columns[col] {
			if out[i].Empty || !strings.ContainsAny(out[i].Text, "0123456789?") {
				continue
			}
			n++
			decimals[decimalsOf(out[i].Text)]++
		}
		pointed := 0
		for _, i := range columns[col] {
			whole := strings.TrimLeft(out[i].Text, "-")
			if len(whole) > 1 && whole[0] == '0' && whole[1] != '.' {
				out[i].Doubts = append(out[i].Doubts, "begins with 0 and another figure")
			}
			if strings.Contains(whole, ".") {
				pointed++
			}
		}
		if n < 4 {
			for _, i := range columns[col] {
				if pointed == 1 && n > 1 && c.fount.point == 0 && strings.Contains(out[i].Text, ".") {
					out[i].Doubts = append(out[i].Doubts, "the only point of the column, and few stand on the page")
				}
			}
			continue
		}
		for _, i := range columns[col] {
			t := out[i].Text
			if out[i].Empty || !strings.ContainsAny(t, "0123456789?") {
				continue
			}
			d := decimalsOf(t)
			rare := float64(decimals[d]) < 1+0.04*float64(n)
			switch {
			case rare && d == 0 && t == "0":
				// A printed nought bears no decimals in many reports.
			case rare && d == 0:
				out[i].Doubts = append(out[i].Doubts, "no point, where the column has one")
			case rare:
				out[i].Doubts = append(out[i].Doubts, fmt.Sprintf("%d decimals, where the column has others", d))
			}
		}
	}
}

// spacing doubts points and minus signs that stand elsewhere beside their figures than
// others do: what looks like one may be a piece of a broken figure.
// It returns how far points stand behind the figure before them.
func (c *cutter) spacing(cells []cell, out []Reading) (lead float64) {
	type gap struct {
		cell   int
		length float64
	}
	var before, after, behind []gap // a point; a minus sign, edge to edge
	for i := range cells {
		g := cells[i].glyphs
		if len(g) > 1 && g[0].kind == minus {
			behind = append(behind, gap{i, float64(g[1].x0 - g[0].x1)})
		}
		for k := range g {
			if g[k].kind != point {
				continue
			}
			if k > 0 && g[k-1].kind == figure {
				before = append(before, gap{i, g[k].mid() - g[k-1].mid()})
			}
			if k+1 < len(g) && g[k+1].kind == figure {
				after = append(after, gap{i, g[k+1].mid() - g[k].mid()})
			}
		}
	}
	lead = 0.75 * c.fount.pitch // where nothing shows it
	names := []string{"the point stands %.1f pixels behind the figure before it, usually %.1f", "the point stands %.1f pixels before the next figure, usually %.1f",
		"%.1f pixels are white behind the minus sign, usually %.1f"}
	for i, gaps := range [][]gap{before, after, behind} {
		if len(gaps) < 8 {
			for _, g := range gaps {
				if i == 2 && g.length > 0.7*c.fount.height {
					out[g.cell].Doubts = append(out[g.cell].Doubts, fmt.Sprintf("%.1f pixels are white behind the minus sign", g.length))
				}
			}
			continue
		}
		var lengths []float64
		for _, g := range gaps {
			lengths = append(lengths, g.length)
		}
		usual := median(lengths)
		if i == 0 {
			lead = usual
		}
		for _, g := range gaps {
			if math.Abs(g.length-usual) > mostPointOff*c.fount.pitch {
				out[g.cell].Doubts = append(out[g.cell].Doubts, fmt.Sprintf(names[i], g.length, usual))
			}
		}
	}
	return lead
}

// alignment doubts cells whose units do not stand under those of their column, where
// the column is set so: a point was lost or seen where none is, or a figure was.
func (c *cutter) alignment(cells []cell, out []Reading, lead float64) {
	type cellAt struct {
		cell int
		x    float64
	}
	columns := map[int][]cellAt{}
	for i := range cells {
		var units *glyph
		for _, g := range cells[i].glyphs {
			if g.kind == point {
				break
			}
			if g.kind == figure {
				units = g
			}
		}
		first := slices.IndexFunc(cells[i].glyphs, func(g *glyph) bool { return g.kind == point })
		switch {
		case units != nil:
			x, _ := c.sheet.Flat(units.mid(), float64(units.y0+units.y1)/2)
			columns[c.slots[i].Column] = append(columns[c.slots[i].Column], cellAt{i, x})
		case first >= 0:
			// Where no figure is before the point, the units would stand there.
			g := cells[i].glyphs[first]
			x, _ := c.sheet.Flat(g.mid()-lead, float64(g.y0+g.y1)/2)
			columns[c.slots[i].Column] = append(columns[c.slots[i].Column], cellAt{i, x})
		}
	}
	for _, list := range columns {
		var all []float64
		for _, k := range list {
			all = append(all, k.x)
		}
		usual := median(all)
		in := 0
		for _, x := range all {
			if math.Abs(x-usual) < mostUnitsOff*c.fount.pitch {
				in++
			}
		}
		if in < 5 || float64(in) < 0.8*float64(len(all)) {
			continue
		}
		for _, k := range list {
			if off := (k.x - usual) / c.fount.pitch; math.Abs(off) >= mostUnitsOff {
				out[k.cell].Doubts = append(out[k.cell].Doubts, fmt.Sprintf("its units stand %.1f figures beside those of the column", off))
			}
		}
	}
}

func decimalsOf(text string) int {
	_, part, ok := strings.Cut(text, ".")
	if !ok {
		return 0
	}
	return len(part)
}

// signs doubts a cell whose sign is not that of the cells over and under it, though it
// is as far from nought as they are: a minus sign is easily lost.
func (c *cutter) signs(out []Reading) {
	type number struct {
		cell, row int
		value     float64
	}
	columns := map[int][]number{}
	for i, s := range c.slots {
		if v, err := strconv.ParseFloat(strings.ReplaceAll(out[i].Text, ",", ""), 64); err == nil {
			columns[s.Column] = append(columns[s.Column], number{i, s.Row, v})
		}
	}
	for _, list := range columns {
		for k := 1; k+1 < len(list); k++ {
			a, b, d := list[k-1], list[k], list[k+1]
			if b.row-a.row > 1 || d.row-b.row > 1 || a.value*b.value >= 0 || d.value*b.value >= 0 {
				continue
			}
			if math.Abs(b.value) >= 0.5*math.Min(math.Abs(a.value), math.Abs(d.value)) {
				out[b.cell].Doubts = append(out[b.cell].Doubts, "its sign is not that of the cells over and under it")
			}
		}
	}
}

// sizes doubts whole figures that are higher, lower or set otherwise than others of
// their name: a footnote's figure behind a number is a little raised and smaller.
func (c *cutter) sizes(cells []cell, out []Reading) {
	h := c.fount.height
	var heights, feet [10][]float64
	each := func(f func(cell int, g *glyph, height, foot float64)) {
		for i := range cells {
			for _, g := range cells[i].glyphs {
				if g.kind == figure && !g.split && g.name != 0 {
					f(i, g, g.height(), c.below(g))
				}
			}
		}
	}
	each(func(_ int, g *glyph, height, foot float64) {
		n := g.name - '0'
		heights[n], feet[n] = append(heights[n], height), append(feet[n], foot)
	})
	var usual, low [10]float64
	for n := range usual {
		usual[n] = h
		if len(heights[n]) >= 5 {
			usual[n], low[n] = median(heights[n]), median(feet[n])
		}
	}
	most := math.Max(mostUneven*h, 2.5)
	each(func(i int, g *glyph, height, foot float64) {
		n := g.name - '0'
		switch {
		case math.Abs(height-usual[n]) > most:
			out[i].Doubts = append(out[i].Doubts, fmt.Sprintf("a %c is %.0f pixels high, usually %.0f", g.name, height, usual[n]))
		case math.Abs(foot-low[n]) > most:
			out[i].Doubts = append(out[i].Doubts, fmt.Sprintf("a %c is raised or lowered by %.1f pixels", g.name, math.Abs(foot-low[n])))
		}
	})
}

// places doubts figures that stand beside their place in a word of evenly spaced
// figures, where other figures of the name stand in it: a 4 that has lost its thin
// strokes looks like a 1, but its stem stands to the right of where a 1 does.
func (c *cutter) places(cells []cell, out []Reading) {
	type place struct {
		g   *glyph
		off float64 // pixels to the right of its place
	}
	p := c.fount.pitch
	var words [][]place // with the cell of each
	var of []int
	for i := range cells {
		var word []place
		end := func() {
			if len(word) > 1 {
				words, of = append(words, word), append(of, i)
			}
			word = nil
		}
		for _, g := range cells[i].glyphs {
			switch {
			case g.kind != figure:
				end()
			case g.split || g.name == 0:
				end() // cut at its place, or unknown
			case len(word) > 0 && math.Abs(g.mid()-word[len(word)-1].g.mid()-p) > mostOff*p:
				end()
				word = append(word, place{g: g})
			default:
				word = append(word, place{g: g})
			}
		}
		end()
	}
	var usual [10]float64 // of each name
	for range 3 {
		var offs [10][]float64
		for _, word := range words {
			var phases []float64
			for k, w := range word {
				phases = append(phases, w.g.mid()-float64(k)*p-usual[w.g.name-'0'])
			}
			mean := 0.0
			for _, v := range phases {
				mean += v / float64(len(phases))
			}
			for k := range word {
				// A wrong one shifts the mean itself: it is held against the others.
				n := float64(len(phases)) // 2 or more
				rest := (mean*n - phases[k]) / (n - 1)
				word[k].off = phases[k] - rest
				name := word[k].g.name - '0'
				offs[name] = append(offs[name], phases[k]+usual[name]-rest)
			}
		}
		for n := range usual {
			if len(offs[n]) >= 8 {
				usual[n] = median(offs[n])
			}
		}
	}
	var all []float64
	for _, word := range words {
		for _, w := range word {
			all = append(all, math.Abs(w.off))
		}
	}
	if len(all) < 30 {
		return
	}
	most := math.Max(math.Max(mostBeside*p, 1.6), 6*1.48*median(all))
	for k, word := range words {
		worst := word[0]
		for _, w := range word {
			if math.Abs(w.off) > math.Abs(worst.off) {
				worst = w
			}
		}
		if math.Abs(worst.off) > most {
			out[of[k]].Doubts = append(out[of[k]].Doubts, fmt.Sprintf("a %c stands %.1f pixels beside its place", worst.g.name, worst.off))
		}
	}
}
