package main

import (
	"encoding/xml"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"windtally/datasets/publish"
	"windtally/extract"
	"windtally/validate"
)

// plotHead begins every plot; a file that begins otherwise is somebody's own and is
// not written over.
const plotHead = `<svg xmlns="http://www.w3.org/2000/svg" data-made-by="windtally findings"`

// The plot is 800 units wide and is read at 800 pixels.
const (
	plotWidth               = 800
	plotLeft, plotRight     = 86.0, 776.0
	plotHeight              = 400.0 // of the field between the axes
	suspectsListed          = 8     // below the plot; of more the report tells
	textSize, smallTextSize = 13, 12
)

// Each mark differs in shape from the others, its colour only helps.
const (
	inkColour, secondColour, pointColour, blockingColour, doubtColour = "#222222", "#c2571a", "#1f4e79", "#b3261e", "#8a4b00"
)

// box is a rectangle on the plot: y grows downwards.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

// svgText escapes a text for an element or an attribute.
func svgText(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a Builder takes all
	return b.String()
}

// symbolText is a symbol with its index set lower: "C_L".
func symbolText(symbol string) string {
	if symbol == "alpha" {
		return "α"
	}
	name, index, ok := strings.Cut(symbol, "_")
	if !ok {
		return svgText(symbol)
	}
	return svgText(name) + `<tspan dy="4" font-size="80%">` + svgText(index) + `</tspan><tspan dy="-4">&#8203;</tspan>`
}

// widthOf is about the width of a text in a sans-serif face, rather too much.
func widthOf(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case strings.ContainsRune("iljtfr.,:;'|!()[] -/", r):
			w += 0.36
		case strings.ContainsRune("mwMW@%—", r):
			w += 1
		case r >= 'A' && r <= 'Z':
			w += 0.72
		case r < 0x370:
			w += 0.58
		default:
			w += 1
		}
	}
	return float64(w * size)
}

// folded breaks a text into lines that fit between left and the right edge.
func folded(text string, size, left float64) []string {
	var lines []string
	line := ""
	fits := func(text string) bool { return widthOf(text, size) <= plotRight-left }
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case fits(line + " " + word):
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
		for !fits(line) { // one word that is longer than a line
			r := []rune(line)
			n := len(r) - 1
			for n > 1 && !fits(string(r[:n])) {
				n--
			}
			lines, line = append(lines, string(r[:n])), string(r[n:])
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// axis maps values to units of the plot.
type axis struct {
	low, high, step float64
	from, to        float64
	decimals        int
}

// newAxis covers low to high, with ticks at round steps of which there are at most
// about count.
func newAxis(low, high, from, to float64, count int) axis {
	if high <= low {
		pad := max(math.Abs(low)*0.1, 0.01)
		low, high = low-pad, high+pad
	}
	raw := (high - low) / float64(count)
	power := int(math.Floor(math.Log10(raw)))
	decade := math.Pow10(power)
	a := axis{low: low, high: high, from: from, to: to, step: 10 * decade, decimals: max(0, -power-1)}
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*decade*(1+1e-9) {
			a.step, a.decimals = m*decade, max(0, -power)
			break
		}
	}
	return a
}

func (a axis) at(v float64) float64 {
	return a.from + float64((v-a.low)/(a.high-a.low)*(a.to-a.from))
}

func (a axis) ticks() []float64 {
	var list []float64
	for k := math.Ceil(a.low/a.step - 1e-9); k <= a.high/a.step+1e-9; k++ {
		list = append(list, k*a.step)
	}
	return list
}

func (a axis) label(v float64) string {
	if math.Abs(v) < a.step/2 {
		v = 0
	}
	return strings.Replace(strconv.FormatFloat(v, 'f', a.decimals, 64), "-", "−", 1)
}

// plotKind is "lift-curve" or "drag-polar".
func plotKind(c *validate.Curve) string {
	if c.Y.Name == "lift coefficient" {
		return "lift-curve"
	}
	return "drag-polar"
}

// configured says a curve's configuration and state for a person to read.
func configured(c *validate.Curve) string {
	var list []string
	add := func(what, is string) {
		if is != "" && is != "not-stated" {
			list = append(list, what+" "+is)
		}
	}
	flap := c.Config.Flap
	if d := c.Config.Deflection; d != "" && flap != "none" {
		flap += " at " + d + " deg"
	}
	add("flap", flap)
	add("flap", c.Config.State)
	add("slats", c.Config.Slats)
	add("gear", c.Config.Gear)
	add("propeller", c.Config.Propeller)
	add("power", c.Config.Power)
	add("trim", c.Config.Trim)
	if len(list) == 0 {
		list = append(list, "configuration not stated")
	}
	for _, e := range c.State {
		v, _ := e.Value.Float64()
		unit := ""
		if u := e.Quantity.Canonical; u != "1" {
			unit = " " + u
		}
		list = append(list, e.Quantity.Name+" "+strconv.FormatFloat(v, 'g', 4, 64)+unit)
	}
	if plotKind(c) == "drag-polar" {
		add("drag", c.Basis.Drag)
	}
	add("walls", c.Basis.Walls)
	return strings.Join(list, ", ")
}

// suspectName names the cells of a point that its findings are about: r003:alpha,CL.
func suspectName(p *validate.CurvePoint) string {
	var columns []string
	for _, f := range p.Suspect {
		for _, e := range []*validate.Entry{&p.X, &p.Y} {
			if slices.Contains(f.Cells, e.Cell.ID) && !slices.Contains(columns, e.Cell.ID.Column) {
				columns = append(columns, e.Cell.ID.Column)
			}
		}
	}
	return p.Y.Cell.ID.Row + ":" + strings.Join(columns, ",")
}

// drawing builds one plot.
type drawing struct {
	b     strings.Builder
	x, y  axis
	taken []box // by marks and labels
}

func (d *drawing) put(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }

func (d *drawing) text(x, y float64, size int, more, text string) {
	d.put(`<text x="%.1f" y="%.1f" font-size="%d"%s>%s</text>`, x, y, size, more, svgText(text))
}

// lines sets a text in as many lines as it needs and returns where the next goes.
func (d *drawing) lines(y float64, size int, more, text string) float64 {
	for _, l := range folded(text, float64(size), 20) {
		d.text(20, y, size, more, l)
		y += float64(size) + 5
	}
	return y
}

// mark draws a point's mark: a disc of the fit, a ring outside it, a square where a
// finding on it blocks, a triangle where one doubts.
func (d *drawing) mark(p *validate.CurvePoint, x, y float64, cells string) {
	var kind, shape string
	switch {
	case len(p.Suspect) > 0 && p.Suspect[0].Severity == validate.Blocking:
		kind = "blocking"
		shape = fmt.Sprintf(`<rect x="%.1f" y="%.1f" width="12" height="12" fill="#ffffff" fill-opacity="0.6" stroke="%s" stroke-width="2"/><path d="M%.1f %.1fl8 8m0 -8l-8 8" stroke="%s" stroke-width="1.6" fill="none"/>`,
			x-6, y-6, blockingColour, x-4, y-4, blockingColour)
	case len(p.Suspect) > 0:
		kind = "doubt"
		shape = fmt.Sprintf(`<path d="M%.1f %.1fl7.5 13h-15z" fill="#ffffff" fill-opacity="0.6" stroke="%s" stroke-width="2"/><circle cx="%.1f" cy="%.1f" r="1.8" fill="%s"/>`,
			x, y-8.5, doubtColour, x, y, doubtColour)
	case p.Fitted && !p.LeftOut:
		kind = "fitted"
		shape = fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="3.2" fill="%s"/>`, x, y, pointColour)
	default:
		kind = "outside"
		shape = fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="3.2" fill="#ffffff" stroke="%s" stroke-width="1.4"/>`, x, y, pointColour)
	}
	d.put(`<g class="point %s"><title>%s</title>%s</g>`, kind, svgText(cells), shape)
}

// bar draws a half-width to both sides of a point, with ends where they stand clear
// of its mark.
func (d *drawing) bar(x0, y0, x1, y1 float64) {
	if max(x1-x0, y0-y1) < 9 {
		d.put(`<path class="bar" d="M%.1f %.1fL%.1f %.1f"/>`, x0, y0, x1, y1)
		return
	}
	capX, capY := 0.0, 3.0
	if x0 == x1 {
		capX, capY = 3.0, 0.0
	}
	d.put(`<path class="bar" d="M%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1f"/>`, x0, y0, x1, y1,
		x0-capX, y0-capY, x0+capX, y0+capY, x1-capX, y1-capY, x1+capX, y1+capY)
}

// name sets a label beside a point where nothing stands yet; where all is full it
// stands to the right.
func (d *drawing) name(x, y float64, text, colour string, top, bottom float64) {
	w, h := widthOf(text, smallTextSize), float64(smallTextSize)
	spots := []box{}
	for _, off := range []float64{0, 14, 28, 42} {
		spots = append(spots,
			box{x + 11, y - h/2 + off, x + 11 + w, y + h/2 + off}, box{x - 11 - w, y - h/2 + off, x - 11, y + h/2 + off},
			box{x + 11, y - h/2 - off, x + 11 + w, y + h/2 - off}, box{x - 11 - w, y - h/2 - off, x - 11, y + h/2 - off},
			box{x - w/2, y - 11 - h - off, x + w/2, y - 11 - off}, box{x - w/2, y + 9 + off, x + w/2, y + 9 + h + off})
	}
	field := box{plotLeft + 2, top + 2, plotRight - 2, bottom - 2}
	at := spots[0]
	if at.x1 > field.x1 {
		at = spots[1]
	}
	for _, s := range spots {
		if s.x0 >= field.x0 && s.x1 <= field.x1 && s.y0 >= field.y0 && s.y1 <= field.y1 &&
			!slices.ContainsFunc(d.taken, s.meets) {
			at = s
			break
		}
	}
	d.taken = append(d.taken, at)
	d.put(`<text class="name" x="%.1f" y="%.1f" font-size="%d" font-weight="bold" fill="%s" text-anchor="middle" stroke="#ffffff" stroke-width="3" paint-order="stroke">%s</text>`,
		(at.x0+at.x1)/2, at.y1-2, smallTextSize, colour, svgText(text))
}

// equation writes a fit with its figures and standard errors.
func equation(f *validate.CurveFit) string {
	names := map[int][]string{2: {"b", "a"}, 3: {"c0", "c1", "c2"}}[len(f.Powers)]
	if f.Powers[len(f.Powers)-1] == 2 && len(f.Powers) == 2 {
		names = []string{"C_D0", "k"}
	}
	var parts []string
	for i, n := range names {
		unit := ""
		if n == "a" {
			unit = " per deg"
		}
		parts = append(parts, fmt.Sprintf("%s %.4g%s (s.e. %.2g)", n, f.Coefficients[i], unit, f.StdErrors[i]))
	}
	return f.Form + ": " + strings.Join(parts, ", ")
}

// plot draws a curve as one SVG. The same curve gives the same bytes.
func plot(s *extract.Study, c *validate.Curve) []byte {
	d := &drawing{}
	src := s.Source(c.Table.Source)
	what := "Lift curve"
	if plotKind(c) == "drag-polar" {
		what = "Drag polar"
	}
	title := what + " of " + c.Subject.Title
	if c.Subject.Title == "" {
		title = what + " of " + c.Subject.Name
	}
	about := []string{}
	if src != nil {
		about = append(about, src.Designation)
	}
	number := c.Table.Number
	if number != "" && !strings.HasPrefix(strings.ToLower(number), "table") {
		number = "table " + number
	}
	for _, t := range []string{number, c.Table.Name} {
		if t != "" {
			about = append(about, t)
		}
	}

	y := 28.0
	for _, l := range folded(title, 19, 20) {
		d.text(20, y, 18, ` font-weight="bold"`, l)
		y += 22
	}
	y = d.lines(y, textSize, "", strings.Join(about, ", "))
	y = d.lines(y, textSize, "", configured(c))
	top := y + 12
	bottom := top + plotHeight

	// The axes hold every point with its bars, and the fit.
	lowX, highX, lowY, highY := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	xs, ys := make([]float64, len(c.Points)), make([]float64, len(c.Points))
	for i := range c.Points {
		p := &c.Points[i]
		xs[i], _ = p.X.Value.Float64()
		ys[i], _ = p.Y.Value.Float64()
		lowX, highX = min(lowX, xs[i]-p.HalfX), max(highX, xs[i]+p.HalfX)
		lowY, highY = min(lowY, ys[i]-p.HalfY), max(highY, ys[i]+p.HalfY)
	}
	for _, f := range c.Fits {
		for _, v := range []float64{f.From, f.To} {
			lowY, highY = min(lowY, f.At(v)), max(highY, f.At(v))
		}
	}
	if plotKind(c) == "drag-polar" && lowY > 0 {
		lowY = 0 // so that the drag at no lift is seen for what it is
	}
	padX, padY := (highX-lowX)*0.03, (highY-lowY)*0.04
	if lowY == 0 {
		d.y = newAxis(0, highY+padY, bottom, top, 8)
	} else {
		d.y = newAxis(lowY-padY, highY+padY, bottom, top, 8)
	}
	d.x = newAxis(lowX-padX, highX+padX, plotLeft, plotRight, 14)

	if len(c.Fits) > 0 {
		from, to := d.x.at(c.Fits[0].From), d.x.at(c.Fits[0].To)
		d.put(`<rect class="range" x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="#e6eef6"/>`, from, top, to-from, plotHeight)
	}
	for _, v := range d.x.ticks() {
		at := d.x.at(v)
		d.put(`<path d="M%.1f %.1fV%.1f" stroke="#c8c8c8" stroke-width="0.8"/>`, at, top, bottom)
		d.text(at, bottom+17, smallTextSize, ` text-anchor="middle"`, d.x.label(v))
	}
	for _, v := range d.y.ticks() {
		at := d.y.at(v)
		d.put(`<path d="M%.1f %.1fH%.1f" stroke="#c8c8c8" stroke-width="0.8"/>`, plotLeft, at, plotRight)
		d.text(plotLeft-6, at+4, smallTextSize, ` text-anchor="end"`, d.y.label(v))
	}
	if d.x.low < 0 && d.x.high > 0 {
		d.put(`<path d="M%.1f %.1fV%.1f" stroke="#808080" stroke-width="1"/>`, d.x.at(0), top, bottom)
	}
	if d.y.low < 0 && d.y.high > 0 {
		d.put(`<path d="M%.1f %.1fH%.1f" stroke="#808080" stroke-width="1"/>`, plotLeft, d.y.at(0), plotRight)
	}
	d.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="none" stroke="%s"/>`, plotLeft, top, plotRight-plotLeft, plotHeight, inkColour)
	label := func(e *validate.Entry) string {
		text := symbolText(e.Quantity.Symbol) + ", " + svgText(e.Quantity.Name)
		if u := e.Quantity.Canonical; u != "1" {
			text += " (" + svgText(u) + ")"
		}
		return text
	}
	d.put(`<text x="%.1f" y="%.1f" font-size="14" text-anchor="middle">%s</text>`, (plotLeft+plotRight)/2, bottom+38, label(&c.Points[0].X))
	d.put(`<text transform="translate(24 %.1f) rotate(-90)" font-size="14" text-anchor="middle">%s</text>`, (top+bottom)/2, label(&c.Points[0].Y))

	// The greatest lift coefficient.
	g := c.Greatest()
	gx, _ := g.X.Value.Float64()
	d.put(`<path class="greatest" d="M%.1f %.1fV%.1f" stroke="#555555" stroke-width="1.2" stroke-dasharray="2 4"/>`, d.x.at(gx), top, bottom)

	for i := range c.Fits {
		f := &c.Fits[i]
		var path strings.Builder
		const steps = 48
		for k := range steps + 1 {
			v := f.From + float64((f.To-f.From)*float64(k)/steps)
			fmt.Fprintf(&path, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[k == 0], d.x.at(v), d.y.at(f.At(v)))
		}
		colour, dash := inkColour, ""
		if i > 0 {
			colour, dash = secondColour, ` stroke-dasharray="8 4"`
		}
		d.put(`<path class="fit" d="%s" fill="none" stroke="%s" stroke-width="1.6"%s/>`, path.String(), colour, dash)
	}
	d.put(`<g fill="none" stroke="%s" stroke-width="1">`, pointColour)
	for i := range c.Points {
		p := &c.Points[i]
		px, py := d.x.at(xs[i]), d.y.at(ys[i])
		d.bar(d.x.at(xs[i]-p.HalfX), py, d.x.at(xs[i]+p.HalfX), py)
		d.bar(px, d.y.at(ys[i]-p.HalfY), px, d.y.at(ys[i]+p.HalfY))
		d.taken = append(d.taken, box{d.x.at(xs[i] - p.HalfX), py - 3, d.x.at(xs[i] + p.HalfX), py + 3},
			box{px - 3, d.y.at(ys[i] + p.HalfY), px + 3, d.y.at(ys[i] - p.HalfY)})
	}
	d.put(`</g>`)
	// Suspects last, so that no other point hides them.
	for _, suspects := range []bool{false, true} {
		for i := range c.Points {
			p := &c.Points[i]
			if suspects != (len(p.Suspect) > 0) {
				continue
			}
			px, py := d.x.at(xs[i]), d.y.at(ys[i])
			d.mark(p, px, py, fmt.Sprintf("%s: %s %s, %s %s", p.Y.Cell.ID.Row, p.X.Quantity.Symbol, p.X.Cell.Text, p.Y.Quantity.Symbol, p.Y.Cell.Text))
			d.taken = append(d.taken, box{px - 7, py - 7, px + 7, py + 7})
		}
	}
	for i := range c.Points {
		if p := &c.Points[i]; len(p.Suspect) > 0 {
			colour := doubtColour
			if p.Suspect[0].Severity == validate.Blocking {
				colour = blockingColour
			}
			d.name(d.x.at(xs[i]), d.y.at(ys[i]), suspectName(p), colour, top, bottom)
		}
	}

	y = d.legend(c, bottom+62)
	y = d.lines(y+4, smallTextSize, ` fill="#555555"`, "Caution: "+publish.Caution)
	height := int(math.Ceil(y))
	head := fmt.Sprintf(`%s viewBox="0 0 %d %d" width="%d" height="%d" role="img" font-family="Helvetica, Arial, 'Liberation Sans', sans-serif" fill="%s">`,
		plotHead, plotWidth, height, plotWidth, height, inkColour)
	return []byte(head + "\n<title>" + svgText(title+"; "+strings.Join(about, ", ")+"; "+configured(c)) + "</title>\n" +
		fmt.Sprintf(`<rect width="%d" height="%d" fill="#ffffff"/>`, plotWidth, height) + "\n" + d.b.String() + "</svg>\n")
}

// legend explains the marks below the plot and lists what was noticed.
func (d *drawing) legend(c *validate.Curve, y float64) float64 {
	sample := func(p *validate.CurvePoint, text string) {
		// A sample is no point of the plot.
		was := d.b.String()
		d.mark(p, 30, y-4, text)
		drawn := strings.Replace(strings.TrimPrefix(d.b.String(), was), `class="point `, `class="sample `, 1)
		d.b.Reset()
		d.b.WriteString(was + drawn)
		for _, l := range folded(text, textSize, 46) {
			d.text(46, y, textSize, "", l)
			y += 19
		}
	}
	count := map[string]int{}
	for i := range c.Points {
		switch p := &c.Points[i]; {
		case len(p.Suspect) > 0:
			count[string(p.Suspect[0].Severity)]++
		case p.Fitted && !p.LeftOut:
			count["fitted"]++
		default:
			count["outside"]++
		}
	}
	if n := count["fitted"]; n > 0 {
		sample(&validate.CurvePoint{Fitted: true}, counted(n, "point")+" of the fit")
	}
	if n := count["outside"]; n > 0 {
		text := counted(n, "point") + " outside the range of the fit, or left out of it"
		if len(c.Fits) == 0 {
			text = counted(n, "point") + "; too few in the range of a fit to fit one"
		}
		sample(&validate.CurvePoint{}, text)
	}
	for _, sev := range []validate.Severity{validate.Blocking, validate.Doubt} {
		if n := count[string(sev)]; n > 0 {
			text := counted(n, "suspect point") + " with a finding that blocks an edition"
			if sev == validate.Doubt {
				text = counted(n, "suspect point") + " with a doubt"
			}
			sample(&validate.CurvePoint{Suspect: []validate.Finding{{Severity: sev}}}, text)
		}
	}
	for i := range c.Fits {
		colour, dash := inkColour, ""
		if i > 0 {
			colour, dash = secondColour, ` stroke-dasharray="8 4"`
		}
		d.put(`<path d="M20 %.1fh20" stroke="%s" stroke-width="1.6"%s/>`, y-4, colour, dash)
		for _, l := range folded(equation(&c.Fits[i]), textSize, 46) {
			d.text(46, y, textSize, "", l)
			y += 19
		}
	}
	if len(c.Fits) > 0 {
		f := &c.Fits[0]
		d.text(46, y, textSize, "", "s.e.: standard error, from the scatter of the points of the fit alone")
		y += 19
		part := "straight part of the lift curve"
		if plotKind(c) == "drag-polar" {
			part = "part of the polar below the stall that a parabola holds for"
		}
		unit := ""
		if u := c.X.Canonical; u != "1" {
			unit = " " + u
		}
		d.put(`<rect x="20" y="%.1f" width="20" height="13" fill="#e6eef6" stroke="#9db4cc" stroke-width="0.6"/>`, y-11)
		d.text(46, y, textSize, "", fmt.Sprintf("range of the fit, the %s: %.4g to %.4g%s", part, f.From, f.To, unit))
		y += 19
	}
	d.put(`<path d="M30 %.1fv14" stroke="#555555" stroke-width="1.2" stroke-dasharray="2 4"/>`, y-12)
	g := c.Greatest()
	angle := g.X.Unit.Name
	if g.X.Unit.UCUM == "deg" {
		angle = "deg"
	}
	text := "greatest C_L of the curve, " + g.Y.Cell.Text + " at " + g.X.Cell.Text + " " + angle
	if plotKind(c) == "drag-polar" {
		text = "greatest C_L of the curve, " + g.X.Cell.Text
	}
	d.text(46, y, textSize, "", text+", as printed")
	y += 19
	d.put(`<g fill="none" stroke="%s" stroke-width="1">`, pointColour)
	d.bar(22, y-4, 38, y-4)
	d.put(`</g>`)
	d.text(46, y, textSize, "", "half-width: what rounding leaves, or the source's stated accuracy where that is coarser; marks hide shorter ones")
	y += 24

	if n := len(c.Missing); n > 0 {
		y = d.lines(y, smallTextSize, "", counted(n, "row")+" of the table not drawn, for a figure in dispute, withheld or refused, or for want of a subject: "+strings.Join(c.Missing, ", "))
	}
	listed := 0
	var seen []string
	for i := range c.Points {
		p := &c.Points[i]
		for k := range p.Suspect {
			f := &p.Suspect[k]
			if slices.Contains(seen, f.ID) {
				continue
			}
			seen = append(seen, f.ID)
			if listed++; listed <= suspectsListed {
				y = d.lines(y, smallTextSize, "", f.Where+" — "+f.Check+", "+string(f.Severity)+": "+f.Message)
			}
		}
	}
	for i := range c.Whole {
		f := &c.Whole[i]
		if listed++; listed <= suspectsListed {
			y = d.lines(y, smallTextSize, "", "the curve — "+f.Check+", "+string(f.Severity)+": "+f.Message)
		}
	}
	if n := listed - suspectsListed; n > 0 {
		y = d.lines(y, smallTextSize, "", "and "+counted(n, "finding")+" more: windtally findings "+c.Table.Name)
	}
	return y
}
