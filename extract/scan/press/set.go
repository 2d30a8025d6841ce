package press

import (
	"fmt"
	"math"
	"strings"

	"windtally/extract"
)

// setter sets lines and tables; all lengths are points on the flat page.
type setter struct {
	*sheet
	spec  Spec
	fig   float64 // width of a figure, ems
	size  float64
	scale float64 // of the face
}

// width returns how wide the text sets.
func (t *setter) width(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		w += t.advance(r, size)
	}
	return w
}

func (t *setter) advance(r rune, size float64) float64 {
	if r >= '0' && r <= '9' {
		return t.fig * size * t.scale
	}
	o, err := t.face.glyph(r)
	if err != nil {
		if t.missing == nil {
			t.missing = err
		}
		return 0
	}
	return o.advance * size * t.scale
}

// line sets text from x on the baseline y and returns the boxes of its runes.
func (t *setter) line(text string, x, y, size float64) ([]extract.Rect, float64) {
	var boxes []extract.Rect
	for _, r := range text {
		a := t.advance(r, size)
		at := x
		if r >= '0' && r <= '9' {
			at += (a - t.own(r, size)) / 2
		}
		boxes = append(boxes, t.print(r, at, y, size))
		x += a
	}
	return boxes, x
}

func (t *setter) own(r rune, size float64) float64 {
	o, err := t.face.glyph(r)
	if err != nil {
		return 0
	}
	return o.advance * size * t.scale
}

func union(boxes []extract.Rect) extract.Rect {
	var u extract.Rect
	for _, b := range boxes {
		u = u.Union(b)
	}
	return u
}

// colPlan is one column measured.
type colPlan struct {
	x0, x1 float64 // bounds
	point  float64 // where the point begins: the figures before it end there
	before float64 // widest before the point
	after  float64
}

// cellParts splits a cell's text at its point.
func cellParts(text string) (before, after string) {
	if i := strings.IndexByte(text, '.'); i >= 0 {
		return text[:i], text[i:]
	}
	return text, ""
}

// printed turns a truth text into the characters that the fount sets.
func (t *setter) printed(s string) string {
	return strings.ReplaceAll(s, "-", string(t.face.Minus))
}

func (t *setter) pitchOf(r rune) float64 {
	w := t.advance(r, t.size)
	if r >= '0' && r <= '9' {
		w *= 1 - t.damage.Tight
	}
	return w
}

func (t *setter) widthOf(s string) float64 {
	w := 0.0
	for _, r := range s {
		w += t.pitchOf(r)
	}
	if strings.HasPrefix(s, ".") && len(s) > 1 {
		w += t.spec.Design.PointSpace * t.size
	}
	return w
}

// figures sets a cell about its point and returns its ink.
func (t *setter) figures(text string, point, y float64) (extract.Rect, float64) {
	b, a := cellParts(text)
	var boxes []extract.Rect
	x := point - t.widthOf(t.printed(b))
	put := func(r rune) {
		p := t.pitchOf(r)
		boxes = append(boxes, t.print(r, x+(p-t.own(r, t.size))/2, y, t.size))
		x += p
	}
	for _, r := range t.printed(b) {
		put(r)
	}
	for i, r := range a {
		put(r)
		if i == 0 {
			x += t.spec.Design.PointSpace * t.size
		}
	}
	return union(boxes), x
}

// set sets the whole page.
func set(s Spec, f *face) (Page, *sheet, error) {
	d := s.Design
	fig, err := f.figure()
	if err != nil {
		return Page{}, nil, err
	}
	r := chance(s.Seed, chanceFigures)
	const margin = 50.0
	widthPt, heightPt := 612.0, 792.0
	across := max(1, d.Across)
	var tables []content
	for n := range across {
		tables = append(tables, write(d, r, n))
		if n > 0 { // goes on with the columns and conventions of the first
			tables[n].title = tables[0].title
			tables[n].givens, tables[n].foot = nil, nil
		}
	}

	// Measure first: the size is brought down until the tables fit the page.
	t := &setter{spec: s, fig: fig, size: d.Size, scale: f.Scale}
	t.sheet = newSheet(s, f, 1, 1)
	var plans [][]colPlan
	gap := 18.0
	total := 0.0
	fit := func() float64 {
		plans = nil
		total = gap * float64(across-1)
		for _, c := range tables {
			p := t.plan(c)
			plans = append(plans, p)
			total += p[len(p)-1].x1
		}
		return total
	}
	if w := fit(); w > widthPt-2*margin {
		// Turned pages have the long side for the width, as big tables were printed.
		if d.Turn == 90 || d.Turn == 270 {
			widthPt, heightPt = heightPt, widthPt
		}
		if w > widthPt-margin {
			t.size = math.Max(6.2, t.size*(widthPt-margin)/w)
			fit()
		}
		if total > widthPt-margin {
			widthPt = total + margin
		}
	} else if d.Turn == 90 || d.Turn == 270 {
		widthPt, heightPt = heightPt, widthPt
	}
	lines := prose(r, d.Prose)
	head := 0.0
	need := func() float64 {
		head = 3.4 * t.size
		if d.Spanning {
			head += 1.6 * t.size
		}
		high := 0.0
		for _, c := range tables {
			high = math.Max(high, t.bodyHeight(c))
		}
		return 2*margin + 8*t.size + head + high + 12*float64(len(lines)) + 10
	}
	if need() > heightPt {
		lines = nil
	}
	if n := need(); n > heightPt {
		t.size = math.Max(6.4, t.size*heightPt/n)
		fit()
		heightPt = math.Max(heightPt, need())
	}

	t.sheet = newSheet(s, f, widthPt, heightPt)
	x := (widthPt - total) / 2
	y := margin
	// Running head and page number.
	run := "REPORT TARNHOLM AERODYNAMIC LABORATORY"
	t.line(run, (widthPt-t.width(run, t.size))/2, y, t.size)
	t.line(fmt.Sprint(10+r.IntN(80)), margin, y, t.size)
	y += 2.2 * t.size
	half := len(lines) / 2
	for _, l := range lines[:half] {
		t.line(l, margin, y, 9)
		y += 11.5
	}
	if half > 0 {
		y += 10
	}
	p := Page{Spec: s, DPI: float64(s.DPI), RowSlope: t.rs, ColumnSlope: t.cs}
	caption := tables[0].title
	capSize := math.Min(t.size*1.15, (widthPt-60)/t.width(caption, 1))
	t.line(caption, (widthPt-t.width(caption, capSize))/2, y, capSize)
	y += 1.5 * t.size
	var givens []Given
	full := caption
	if len(tables[0].givens) > 0 {
		parts := tables[0].givens
		text := "["
		if t.face.lacks != "" {
			text = ""
		}
		w := t.width(t.joined(parts, text), t.size)
		gs, line := t.givenLine(parts, text, (widthPt-w)/2, y, t.size)
		for i := range gs {
			gs[i].Where, gs[i].Block = "caption", -1
		}
		givens = append(givens, gs...)
		full += " " + line
		y += 1.2 * t.size
	}
	y += 0.6 * t.size
	foot := y
	for n, c := range tables {
		tb, end := t.table(c, plans[n], x, y, head)
		tb.Caption = full
		if n == 0 {
			tb.Givens = append(givens, tb.Givens...)
		}
		foot = math.Max(foot, end)
		p.Tables = append(p.Tables, tb)
		x += plans[n][len(plans[n])-1].x1 + gap
	}
	y = foot + 1.5*t.size
	if len(tables[0].foot) > 0 {
		gs, _ := t.givenLine(tables[0].foot, "", (widthPt-total)/2+6, y, t.size*0.9)
		for i := range gs {
			gs[i].Where, gs[i].Block = "footnote", -1
		}
		p.Tables[0].Givens = append(p.Tables[0].Givens, gs...)
		y += 1.3 * t.size
	}
	for _, m := range marksUsed(tables, d.marks()) {
		notes := []string{"Estimated.", "Mean of two runs.", "Interpolated."}
		note := notes[strings.Index(d.marks(), m)%len(notes)]
		x := (widthPt-total)/2 + 6
		t.line(m, x, y-0.3*t.size, t.size*0.6)
		t.line(note, x+0.5*t.size, y, t.size*0.9)
		y += 1.2 * t.size
	}
	if half < len(lines) {
		y += 10
	}
	for _, l := range lines[half:] {
		t.line(l, margin, y, 9)
		y += 11.5
	}
	if t.missing != nil {
		return Page{}, nil, t.missing
	}
	p.turn(t.sheet, d.Turn)
	return p, t.sheet, nil
}

func marksUsed(tables []content, marks string) []string {
	var out []string
	for _, r := range marks {
		m, used := string(r), false
		for _, c := range tables {
			for _, b := range c.blocks {
				for _, row := range b.rows {
					for _, it := range row {
						used = used || it.note == m
					}
				}
			}
		}
		if used {
			out = append(out, m)
		}
	}
	return out
}

func (t *setter) joined(parts []given, open string) string {
	for i, g := range parts {
		if i > 0 {
			open += "; "
		}
		open += g.before + g.figure + t.after(g)
	}
	if strings.HasPrefix(open, "[") {
		open += "]"
	}
	return open
}

// after gives the words after a figure; a typewriter of the time has no degree sign.
func (t *setter) after(g given) string {
	if t.face.Typewriter {
		return strings.ReplaceAll(g.after, "°", " deg.")
	}
	return g.after
}

func (t *setter) givenLine(parts []given, open string, x, y, size float64) ([]Given, string) {
	var out []Given
	text := t.joined(parts, open)
	if open != "" {
		_, x = t.line(open, x, y, size)
	}
	for i, g := range parts {
		if i > 0 {
			_, x = t.line("; ", x, y, size)
		}
		_, x = t.line(g.before, x, y, size)
		var boxes []extract.Rect
		boxes, x = t.line(t.printed(g.figure), x, y, size)
		_, x = t.line(t.after(g), x, y, size)
		out = append(out, Given{Key: g.key, Text: g.figure, Box: union(boxes), Words: g.before + "*" + t.after(g)})
	}
	if strings.HasPrefix(open, "[") {
		t.line("]", x, y, size)
	}
	return out, text
}

// plan measures the columns of a table from x = 0.
func (t *setter) plan(c content) []colPlan {
	pad := t.size * 0.75
	if t.spec.Design.Ruling == RulesNone || t.spec.Design.Ruling == RulesLevel {
		pad = t.size * 0.9
	}
	x := 0.0
	var out []colPlan
	for j, k := range c.cols {
		var p colPlan
		for _, b := range c.blocks {
			for _, row := range b.rows {
				bf, af := cellParts(row[j].text)
				p.before = math.Max(p.before, t.widthOf(t.printed(bf)))
				p.after = math.Max(p.after, t.widthOf(af))
			}
		}
		w := p.before + p.after + 2*pad
		if t.spec.Design.Notes > 0 && j > 0 {
			w += 0.4 * t.size
		}
		if j == 0 && t.spec.Design.Leader != "" {
			w += 3 * t.size
		}
		if h := t.width(t.headText(k.head), t.size*0.9) + pad; h > w {
			w = h
		}
		slack := (w - p.before - p.after) / 2
		p.x0, p.x1 = x, x+w
		p.point = x + slack + p.before
		if j == 0 && t.spec.Design.Leader != "" {
			p.point = x + pad + p.before
		}
		x += w
		out = append(out, p)
	}
	// A spanning head needs its room too.
	if t.spec.Design.Spanning {
		for i := 0; i < len(c.cols); {
			e := i
			for e < len(c.cols) && c.cols[e].over == c.cols[i].over {
				e++
			}
			if c.cols[i].over != "" {
				need := t.width(t.headText(c.cols[i].over), t.size*0.9) + pad
				if have := out[e-1].x1 - out[i].x0; have < need {
					each := (need - have) / float64(e-i)
					for m := i; m < len(out); m++ {
						n := math.Min(float64(m-i), float64(e-i))
						out[m].x0 += n * each
						out[m].point += n*each + func() float64 {
							if m < e {
								return each / 2
							}
							return 0
						}()
						out[m].x1 += math.Min(n+1, float64(e-i)) * each
					}
				}
			}
			i = e
		}
	}
	return out
}

func (t *setter) headText(s string) string {
	if t.face.Typewriter {
		for _, p := range [][2]string{{"α", "Alpha"}, {"δf", "Flap"}, {"Δ", "Inc. "}, {"η", "Eff."}, {"°", " deg."}} {
			s = strings.ReplaceAll(s, p[0], p[1])
		}
	}
	return s
}

func (t *setter) pitch() float64 { return t.spec.Design.Pitch * t.size }

func (t *setter) bodyHeight(c content) float64 {
	h := 0.0
	for _, b := range c.blocks {
		if b.sub != nil {
			h += 3.2 * t.size
		}
		h += t.pitch() * float64(len(b.rows))
		if t.spec.Design.Fives {
			h += 0.5 * t.pitch() * float64((len(b.rows)-1)/5)
		}
		h += 0.8 * t.size
	}
	return h
}

// table sets one table with its left edge at x0 and its top at y0 and returns it with
// the y of its foot.
func (t *setter) table(c content, plan []colPlan, x0, y0, head float64) (Table, float64) {
	d := t.spec.Design
	var out Table
	last := plan[len(plan)-1].x1
	thick := 0.55
	level := func(y, w float64) {
		if d.Ruling != RulesNone {
			t.rule(x0, y, x0+last, y, w)
		}
	}
	level(y0, thick)
	if d.Ruling == RulesLevel {
		level(y0+2, thick) // a double rule at the top
	}
	size := t.size * 0.9
	over, names := make([]string, len(c.cols)), make([]string, len(c.cols))
	base := y0 + head - 1.2*t.size
	for j, k := range c.cols {
		text := t.headText(k.head)
		if text == "" {
			continue
		}
		names[j] = text
		mid := x0 + (plan[j].x0+plan[j].x1)/2
		t.line(t.printed(text), mid-t.width(text, size)/2, base, size)
	}
	if d.Spanning {
		for i := 0; i < len(c.cols); {
			e := i
			for e < len(c.cols) && c.cols[e].over == c.cols[i].over {
				e++
			}
			if text := t.headText(c.cols[i].over); text != "" {
				for j := i; j < e; j++ {
					over[j] = text
				}
				a, b := x0+plan[i].x0, x0+plan[e-1].x1
				t.line(text, (a+b)/2-t.width(text, size)/2, y0+1.5*t.size, size)
				if d.Ruling != RulesNone {
					t.rule(a+1, y0+2.1*t.size, b-1, y0+2.1*t.size, thick*0.8)
				}
			}
			i = e
		}
		out.Heads = append(out.Heads, strings.Join(over, "\t"))
	}
	out.Heads = append(out.Heads, strings.Join(names, "\t"))
	level(y0+head, thick)

	y := y0 + head
	var segs [][2]float64 // where the rules between columns run
	for bi, b := range c.blocks {
		top := y
		sub := ""
		if b.sub != nil {
			parts := []given{*b.sub}
			sub = t.joined(parts, "")
			w := t.width(sub, t.size)
			gs, _ := t.givenLine(parts, "", x0+(plan[0].x1+last)/2-w/2, y+1.7*t.size, t.size)
			for i := range gs {
				gs[i].Where, gs[i].Block = "sub-head", bi
			}
			out.Givens = append(out.Givens, gs...)
			y += 2.6 * t.size
			if d.Ruling == RulesOpen || d.Ruling == RulesBox {
				if bi > 0 {
					level(top, thick)
				}
				t.rule(x0+plan[0].x1, y, x0+last, y, thick)
			}
			top = y
			y += 0.6 * t.size
		}
		y += 0.35 * t.size
		for i, row := range b.rows {
			if d.Fives && i > 0 && i%5 == 0 {
				y += 0.5 * t.pitch()
			}
			y += t.pitch()
			out.Rows = append(out.Rows, t.row(c, plan, row, x0, y, bi, sub))
		}
		y += 0.8*t.size - 0.35*t.size
		segs = append(segs, [2]float64{top, y})
	}
	level(y, thick)
	if d.Ruling == RulesOpen || d.Ruling == RulesBox {
		for j := range plan {
			if j == 0 {
				continue
			}
			top := y0
			if d.Spanning && over[j] != "" && over[j] == over[j-1] {
				top = y0 + 2.1*t.size
			}
			t.rule(x0+plan[j].x0, top, x0+plan[j].x0, y0+head, thick)
			for _, s := range segs {
				t.rule(x0+plan[j].x0, s[0], x0+plan[j].x0, s[1], thick)
			}
		}
		if d.Ruling == RulesBox {
			t.rule(x0, y0, x0, y, thick)
			t.rule(x0+last, y0, x0+last, y, thick)
		}
	}
	mid := (y0 + y) / 2
	for j, k := range c.cols {
		a, b := x0+plan[j].x0, x0+plan[j].x1
		ax, _ := t.at(a, mid)
		bx, _ := t.at(b, mid)
		cx, cy := t.at((a+b)/2, mid)
		half := (y - y0) / 2 * t.k
		o := k.over
		if !d.Spanning {
			o = ""
		}
		out.Columns = append(out.Columns, Column{Key: k.key, Head: t.headText(k.head), Over: t.headText(o), Label: j == 0, Decimals: k.dec, X0: ax, X1: bx,
			Box: extract.Rect{X0: cx - (bx-ax)/2, X1: cx + (bx-ax)/2, Y0: cy - half, Y1: cy + half}})
	}
	out.Box = t.flat(x0, y0, x0+last, y)
	return out, y
}

// flat gives the bounds in pixels of a rectangle of the flat page.
func (t *setter) flat(x0, y0, x1, y1 float64) extract.Rect {
	r := extract.Rect{X0: math.Inf(1), Y0: math.Inf(1), X1: math.Inf(-1), Y1: math.Inf(-1)}
	for _, c := range [4][2]float64{{x0, y0}, {x1, y0}, {x0, y1}, {x1, y1}} {
		x, y := t.at(c[0], c[1])
		r.X0, r.X1 = math.Min(r.X0, x), math.Max(r.X1, x)
		r.Y0, r.Y1 = math.Min(r.Y0, y), math.Max(r.Y1, y)
	}
	return r
}

func (t *setter) row(c content, plan []colPlan, row []item, x0, y float64, block int, sub string) Row {
	d := t.spec.Design
	out := Row{Key: row[0].text, Block: block, SubHead: sub}
	for j, it := range row {
		p := plan[j]
		if it.blank {
			cell := Cell{Text: d.Blank}
			if d.Blank == "" {
				cell.Box = t.flat(x0+p.point-p.before, y-0.66*t.size, x0+p.point+math.Max(p.after, t.size*0.3), y)
			} else {
				lead := d.Blank
				w := t.width(lead, t.size)
				boxes, _ := t.line(lead, x0+(p.point-p.before+p.point+p.after)/2-w/2, y, t.size)
				cell.Box = union(boxes)
			}
			out.Cells = append(out.Cells, cell)
			continue
		}
		cell := Cell{Text: it.text, Note: it.note}
		var end float64
		cell.Box, end = t.figures(it.text, x0+p.point, y)
		if it.note != "" {
			t.print([]rune(it.note)[0], end+0.04*t.size, y-0.32*t.size, t.size*0.62)
		}
		if j == 0 && d.Leader != "" {
			r := []rune(d.Leader)[0]
			step := t.advance(r, t.size) * 1.05
			if r == '.' && !t.face.Typewriter {
				step *= 1.6
			}
			// Leaders keep their places down the column.
			for x := x0 + p.x0 + math.Ceil((end+0.25*t.size-x0-p.x0)/step)*step; x+step < x0+p.x1; x += step {
				t.print(r, x, y, t.size)
			}
		}
		out.Cells = append(out.Cells, cell)
	}
	return out
}

// prose gives lines of an invented report.
func prose(r interface{ IntN(int) int }, on bool) []string {
	if !on {
		return nil
	}
	all := []string{
		"The wing was mounted on the six-component balance of the Tarnholm tunnel and was tested with",
		"the flap locked at each of the settings listed below. Lift, drag and pitching moment were read",
		"at intervals of two degrees, and readings beyond the stall were taken with falling angle as well.",
		"The results are given in coefficient form and are corrected for the constraint of the jet. They are",
		"believed to be accurate within the limits stated in part 2 of this report, save near maximum lift.",
		"No correction was made for the interference of the supports, which is less than 1 percent of the",
		"minimum drag. The tests were repeated in 14 cases after an interval of 3 months, and the greatest",
		"difference between the two sets was found at the largest deflection of the flap.",
	}
	n := 4 + 2*r.IntN(3)
	return all[:n]
}
