package press

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
)

// content is what a table says, before it is set.
type content struct {
	title  string
	givens []given // in the caption
	foot   []given // in a footnote
	cols   []col
	blocks []block
}

type col struct {
	key, head, over string
	dec             int
}

type block struct {
	sub  *given
	rows [][]item
}

type item struct {
	text  string // "" for a blank
	blank bool
	note  string
}

// given is a figure with the words before and after it.
type given struct{ key, before, figure, after string }

// Kinds lists the kinds of table.
func Kinds() []string {
	return []string{"polar", "ordinates", "pressure", "flap", "stall", "propeller", "listing", "slope"}
}

func fixedTo(v float64, dec int) string {
	s := strconv.FormatFloat(v, 'f', dec, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

func thousands(s string, on bool) string {
	if !on || strings.Contains(s, ".") {
		return s
	}
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if neg {
		s = "-" + s
	}
	return s
}

// write makes the figures of table number n of the page.
func write(d Design, r *rand.Rand, n int) content {
	var c content
	switch d.Kind {
	case "polar":
		c = polar(d, r)
	case "ordinates":
		c = ordinates(d, r)
	case "pressure":
		c = pressure(d, r)
	case "flap":
		c = flap(d, r)
	case "stall":
		c = stall(d, r)
	case "propeller":
		c = propeller(d, r)
	case "listing":
		c = listing(d, r, n)
	default:
		c = slope(d, r)
	}
	numeral := []string{"I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"}[r.IntN(10)]
	c.title = "TABLE " + numeral + ".—" + c.title
	convene(&c, d, r)
	return c
}

func (d Design) marks() string {
	if d.Marks == "" {
		return "abc"
	}
	return d.Marks
}

// convene applies the print's conventions: blanks, noughts, commas, footnote marks.
func convene(c *content, d Design, r *rand.Rand) {
	marks := d.marks()
	for b := range c.blocks {
		rows := c.blocks[b].rows
		for i := range rows {
			for j := range rows[i] {
				it := &rows[i][j]
				label := j == 0
				if !label && i > 0 && r.Float64() < d.Blanks {
					it.text, it.blank = "", true
					continue
				}
				if !label && r.Float64() < d.Notes {
					it.note = string(marks[r.IntN(len(marks))])
				}
				if d.BareZero && strings.Trim(it.text, "0.") == "" && i > 0 {
					it.text = "0"
					continue
				}
				it.text = thousands(it.text, d.Thousands)
				if d.Zero == ZeroNever || d.Zero == ZeroFirst && i > 0 {
					it.text = strings.Replace(it.text, "-0.", "-.", 1)
					if strings.HasPrefix(it.text, "0.") {
						it.text = it.text[1:]
					}
				}
			}
		}
	}
}

// blocksOf says how many blocks of n rows come nearest to the wanted rows.
func blocksOf(d Design, n int) int {
	if !d.SubHeads {
		return 1
	}
	return max(1, int(math.Round(float64(d.Rows)/float64(n))))
}

func reynolds(r *rand.Rand) given {
	n := 50000 + 10000*r.IntN(800)
	return given{"reynolds-number", "Reynolds number, ", thousands(strconv.Itoa(n), true), ""}
}

func aspect(r *rand.Rand) given {
	return given{"aspect-ratio", "Aspect ratio, ", fixedTo(4+0.5*float64(r.IntN(13)), 1), ""}
}

// polar is a lift and drag table: CD = CD0 + CL^2/(pi A e), L/D = CL/CD, and
// moments about the quarter chord with the centre of pressure that follows.
func polar(d Design, r *rand.Rand) content {
	c := content{title: "FORCE TESTS OF WING WITH FLAP"}
	all := []col{{"alpha", "α (deg.)", "", 1}, {"cl", "CL", "Lift and drag", 3}, {"cd", "CD", "Lift and drag", 4}, {"l-over-d", "L/D", "Lift and drag", 2},
		{"cm", "Cm c/4", "Moments", 3}, {"cp", "c.p.", "Moments", 3}, {"cd0", "CD0", "Section", 4}, {"cy", "CY", "Section", 4}, {"cl-roll", "Cl", "Rolling and yawing", 5}, {"cn", "Cn", "Rolling and yawing", 5}}
	if r.IntN(2) == 0 {
		all[0].dec = 0
	}
	c.cols = all[:min(max(d.Columns, 4), len(all))]
	step := []float64{1, 2, 2, 0.5}[r.IntN(4)]
	if step < 1 {
		all[0].dec = 1
	}
	from := -8 + 2*float64(r.IntN(3))
	per := 15
	if !d.SubHeads {
		per = d.Rows
		step = []float64{0.5, 1}[r.IntN(2)]
		if per > 30 {
			step = 0.5
		}
		if step < 1 {
			all[0].dec = 1
		}
	}
	a := 5 + 3*r.Float64()
	e := 0.78 + 0.15*r.Float64()
	lift := 2 * math.Pi * a / (a + 2.4) * math.Pi / 180
	zero := -1 - 3*r.Float64()
	cd00 := 0.008 + 0.01*r.Float64()
	cm0 := -0.03 - 0.06*r.Float64()
	for b := range blocksOf(d, per) {
		var k block
		df := 10 * float64(b)
		if d.SubHeads {
			k.sub = &given{"flap-deflection", "Flap deflection ", fixedTo(df, 0), "°"}
		}
		clMax := 1.35 + 0.02*df + 0.1*r.Float64()
		for i := range per {
			al := from + step*float64(i)
			ideal := lift * (al - zero + 0.35*df)
			// The curve bends over before the maximum and falls after it.
			cl := ideal
			if bend := 0.82 * clMax; ideal > bend {
				x := ideal - bend
				cl = bend + x*math.Exp(-x/(0.5*clMax))*0.75
			}
			cd0 := cd00 + 0.0005*df*(1+0.01*df) + 0.004*math.Pow(math.Max(0, cl-0.3), 2)
			cd := cd0 + cl*cl/(math.Pi*a*e) + math.Max(0, ideal-cl)*0.11
			cm := cm0 - 0.003*df + 0.008*math.Sin(al/4)
			row := []float64{al, cl, cd, cl / cd, cm, 0.25 - cm/math.Copysign(math.Max(0.02, math.Abs(cl)), cl), cd0, 0.002*math.Sin(al/5) + 0.0011*al, 0.00002 * al * (30 - al) * (1 + 0.1*df), -0.00031*al + 0.00007*df}
			var items []item
			for j, k := range c.cols {
				dec := k.dec
				if d.SlideRule && (k.key == "cd" || k.key == "cd0") && row[j] >= 0.0995 {
					dec = 3
				}
				items = append(items, item{text: fixedTo(row[j], dec)})
			}
			k.rows = append(k.rows, items)
		}
		c.blocks = append(c.blocks, k)
	}
	c.givens = []given{aspect(r), reynolds(r)}
	return c
}

// ordinates are those of sections with a thickness of four terms and a parabolic mean line.
func ordinates(d Design, r *rand.Rand) content {
	c := content{title: "ORDINATES OF SECTIONS IN PERCENT OF CHORD"}
	st := []float64{0, 1.25, 2.5, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 95, 100}
	dec := 2 + r.IntN(2)
	c.cols = []col{{"station", "Station", "", 2}}
	pairs := max(1, (d.Columns-1)/2)
	type sec struct{ t, m float64 }
	n := blocksOf(d, len(st))
	if n == 1 && d.Rows > 30 {
		var more []float64
		for x := 0.0; x <= 100; x += 100 / float64(d.Rows-1) {
			more = append(more, math.Round(x*100)/100)
		}
		st = more
	}
	for p := range pairs {
		over := fmt.Sprintf("T.A.L. %d", 12+p*3)
		c.cols = append(c.cols, col{fmt.Sprintf("upper-%d", p+1), "Upper", over, dec}, col{fmt.Sprintf("lower-%d", p+1), "Lower", over, dec})
	}
	for b := range n {
		var k block
		camber := float64(b * 2)
		if d.SubHeads {
			k.sub = &given{"camber", "Camber ", fixedTo(camber, 1), " percent of chord"}
		} else {
			camber = 2 + 2*r.Float64()
		}
		secs := make([]sec, pairs)
		for p := range secs {
			secs[p] = sec{0.08 + 0.03*float64(p) + 0.005*r.Float64(), camber / 100}
		}
		for _, x := range st {
			it := []item{{text: fixedTo(x, 2)}}
			u := x / 100
			for _, s := range secs {
				y := 5 * s.t * (0.2969*math.Sqrt(u) - 0.126*u - 0.3516*u*u + 0.2843*u*u*u - 0.1015*u*u*u*u)
				mean := 4 * s.m * u * (1 - u)
				it = append(it, item{text: fixedTo(100*(mean+y), dec)}, item{text: fixedTo(100*(mean-y), dec)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.foot = []given{{"nose-radius", "Leading-edge radius, ", fixedTo(0.7+2*r.Float64(), 2), " percent chord"}}
	return c
}

// pressure is a table of pressure coefficients along the chord at several angles.
func pressure(d Design, r *rand.Rand) content {
	c := content{title: "PRESSURES ON UPPER SURFACE, VALUES OF p/q"}
	dec := 2 + r.IntN(2)
	c.cols = []col{{"station", "x/c", "", 3}}
	angles := max(3, d.Columns-1)
	for i := range angles {
		al := -4 + 2*i
		c.cols = append(c.cols, col{fmt.Sprintf("alpha-%d", i+1), thousands(strconv.Itoa(al), false) + "°", "Angle of attack", dec})
	}
	per := 14
	n := blocksOf(d, per)
	if n == 1 {
		per = d.Rows
	}
	for b := range n {
		var k block
		span := 0.2 * float64(b)
		if d.SubHeads {
			k.sub = &given{"spanwise-station", "Spanwise station ", fixedTo(span, 1), ""}
		}
		peak := 0.3 + 0.1*r.Float64()
		for i := range per {
			x := 0.0125 + 0.97*math.Pow(float64(i)/float64(per-1), 1.4)
			it := []item{{text: fixedTo(x, 3)}}
			for j := range angles {
				al := float64(-4 + 2*j)
				load := math.Sqrt(math.Max(0, 1-span*span))
				p := 0.22 - peak*math.Sin(math.Pi*math.Sqrt(x)) - 0.075*(al+2)*load*math.Sqrt((1-x)/(x+0.03))*0.7
				it = append(it, item{text: fixedTo(p, dec)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.givens = []given{{"dynamic-pressure", "Dynamic pressure, ", fixedTo(16.37+r.Float64(), 2), " pounds per square foot"}, reynolds(r)}
	return c
}

// flap gives increments of lift, drag and moment against deflection for several chords.
func flap(d Design, r *rand.Rand) content {
	c := content{title: "INCREMENTS DUE TO FLAPS"}
	c.cols = []col{{"deflection", "δf (deg.)", "", 0}}
	chords := max(2, (d.Columns-1)/3)
	for i := range chords {
		over := fmt.Sprintf("cf/c = %.2f", 0.1+0.1*float64(i))
		c.cols = append(c.cols, col{fmt.Sprintf("d-cl-%d", i+1), "ΔCL", over, 3}, col{fmt.Sprintf("d-cd-%d", i+1), "ΔCD", over, 4}, col{fmt.Sprintf("d-cm-%d", i+1), "ΔCm", over, 3})
	}
	step := 5.0
	per := 13
	n := blocksOf(d, per)
	if n == 1 {
		per = d.Rows
		if step = math.Floor(60 / float64(per)); step < 1 {
			step = 1
		}
	}
	k0 := 0.9 + 0.3*r.Float64()
	for b := range n {
		var k block
		ratio := 0.4 + 0.2*float64(b)
		if d.SubHeads {
			k.sub = &given{"flap-span", "Flap span ratio ", fixedTo(ratio, 2), ""}
		}
		for i := range per {
			df := step * float64(i)
			it := []item{{text: fixedTo(df, 0)}}
			for j := range chords {
				cf := 0.1 + 0.1*float64(j)
				s := math.Sin(df * math.Pi / 180)
				dcl := k0 * ratio * 2.1 * math.Sqrt(cf) * math.Sin(math.Min(math.Pi/2, df*math.Pi/180*1.35))
				it = append(it, item{text: fixedTo(dcl, 3)}, item{text: fixedTo(1.7*math.Pow(cf, 1.38)*ratio*s*s, 4)}, item{text: fixedTo(-0.24*dcl*(1-cf), 3)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.givens = []given{reynolds(r)}
	c.foot = []given{{"gap", "Gap sealed; clearance ", fixedTo(0.002+0.001*float64(r.IntN(5)), 3), "c"}}
	return c
}

// stall gives stalling speeds: V = sqrt(2 W / (rho S CLmax)), in miles an hour.
func stall(d Design, r *rand.Rand) content {
	c := content{title: "STALLING SPEEDS, MILES PER HOUR"}
	dec := 1
	c.cols = []col{{"weight", "Weight (lb.)", "", 0}}
	settings := max(3, d.Columns-1)
	for i := range settings {
		c.cols = append(c.cols, col{fmt.Sprintf("flap-%d", i+1), fmt.Sprintf("%d°", i*5), "Flap setting", dec})
	}
	area := 180 + 20*float64(r.IntN(12))
	clMax := 1.3 + 0.3*r.Float64()
	per := 12
	n := blocksOf(d, per)
	if n == 1 {
		per = d.Rows
	}
	for b := range n {
		var k block
		h := 2000 * b
		if d.SubHeads {
			k.sub = &given{"altitude", "Altitude ", thousands(strconv.Itoa(h), true), " feet"}
		}
		sigma := math.Pow(1-6.8756e-6*float64(h), 4.2561)
		for i := range per {
			w := 2000 + 150*float64(i)
			it := []item{{text: fixedTo(w, 0)}}
			for j := range settings {
				v := math.Sqrt(2*w/(0.0023769*sigma*area*(clMax+0.11*float64(j)*(1-0.02*float64(j))))) / 1.46667
				it = append(it, item{text: fixedTo(v, dec)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.givens = []given{{"wing-area", "Wing area, ", fixedTo(area, 0), " square feet"}}
	return c
}

// propeller gives coefficients against the advance ratio: efficiency = J CT/CP, and
// the speed of rotation with the power absorbed.
func propeller(d Design, r *rand.Rand) content {
	c := content{title: "PROPELLER CHARACTERISTICS"}
	all := []col{{"advance-ratio", "V/nD", "", 2}, {"ct", "CT", "Coefficients", 4}, {"cp", "CP", "Coefficients", 4}, {"efficiency", "η", "Coefficients", 3}, {"rpm", "r.p.m.", "Engine", 0}, {"bhp", "b.hp.", "Engine", 1}, {"cs", "Cs", "Speed-power", 3}, {"thrust", "Thrust (lb.)", "Speed-power", 0}}
	c.cols = all[:min(max(5, d.Columns), len(all))]
	per := 12
	n := blocksOf(d, per)
	if n == 1 {
		per = d.Rows
	}
	first := 15 + 2*float64(r.IntN(5)) // blade angle
	solid := 0.85 + 0.4*r.Float64()
	speed := 1500 + 25*float64(r.IntN(25))
	dia := 8 + 0.5*float64(r.IntN(6))
	for b := range n {
		var k block
		blade := first + 5*float64(b)
		if d.SubHeads {
			k.sub = &given{"blade-angle", "Blade angle ", fixedTo(blade, 1), "° at 0.75 R"}
		}
		jz := math.Pi * 0.75 * math.Tan(blade*math.Pi/180) * 1.25
		for i := range per {
			j := math.Round((0.1+(jz*0.94-0.1)*float64(i)/float64(per-1))*100) / 100
			ct := solid * (0.11*(1-math.Pow(j/jz, 1.6)) + 0.004)
			cp := solid * (0.028 + 0.0021*(blade-10)) * (1.12 - 0.55*math.Pow(j/jz, 2))
			eta := j * ct / cp
			if eta > 0.86 {
				cp = j * ct / 0.86 * (1 + 0.05*j)
				eta = j * ct / cp
			}
			rpm := speed + 60*j*7 - 9*blade
			rps := rpm / 60
			row := []float64{j, ct, cp, eta, rpm, cp * 0.0023769 * rps * rps * rps * math.Pow(dia, 5) / 550, j / math.Pow(cp, 0.2), ct * 0.0023769 * rps * rps * math.Pow(dia, 4)}
			var it []item
			for m := range c.cols {
				it = append(it, item{text: fixedTo(row[m], c.cols[m].dec)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.foot = []given{{"diameter", "Diameter of propeller, ", fixedTo(dia, 1), " feet"}}
	return c
}

// listing is a computed list with four to six decimals.
func listing(d Design, r *rand.Rand, n int) content {
	c := content{title: "COMPUTED FUNCTIONS"}
	dec := 4 + r.IntN(3)
	c.cols = []col{{"k", "k", "", dec}}
	cols := max(3, d.Columns-1)
	names := []string{"F", "G", "A", "B", "M", "N", "P", "Q", "R", "S"}
	type f struct{ amp, rate, phase, sign float64 }
	fs := make([]f, cols)
	for i := range fs {
		c.cols = append(c.cols, col{strings.ToLower(names[i%10]), names[i%10], "", dec})
		fs[i] = f{0.1 + r.Float64(), 2 + 12*r.Float64(), math.Pi * r.Float64(), float64(1 - 2*(i%2))}
	}
	step := 0.0025 * float64(1+r.IntN(4))
	per := d.Rows
	blocks := 1
	if d.SubHeads {
		per = 20
		blocks = blocksOf(d, per)
	}
	start := step * float64(1+n*per)
	for b := range blocks {
		var k block
		m := 0.1 * float64(b)
		if d.SubHeads {
			k.sub = &given{"mach-number", "Mach number ", fixedTo(m, 1), ""}
		}
		for i := range per {
			x := start + step*float64(i)
			it := []item{{text: fixedTo(x, dec)}}
			for _, q := range fs {
				v := q.sign * q.amp * (math.Exp(-q.rate*x) + 0.3*math.Sin(q.rate*x*0.7+q.phase)*x) * (1 + m)
				it = append(it, item{text: fixedTo(v, dec)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	return c
}

// slope gives lift-curve slopes or span loads against aspect ratio and taper.
func slope(d Design, r *rand.Rand) content {
	c := content{title: "ADDITIONAL LIFT OF TAPERED WINGS"}
	c.cols = []col{{"aspect-ratio", "A", "", 0}}
	tapers := max(3, min(11, d.Columns-1))
	for i := range tapers {
		c.cols = append(c.cols, col{fmt.Sprintf("taper-%d", i+1), fixedTo(float64(i)/10, 1), "Taper ratio", 3})
	}
	as := []float64{2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20}
	n := blocksOf(d, len(as))
	if n == 1 && d.Rows > 20 {
		as = nil
		for i := range d.Rows {
			as = append(as, 2+float64(i))
		}
	}
	k0 := 0.95 + 0.1*r.Float64()
	for b := range n {
		var k block
		y := math.Min(0.975, 0.2*float64(b))
		if d.SubHeads {
			dec := 1
			if y > 0.8 {
				dec = 3
			}
			k.sub = &given{"spanwise-station", "Spanwise station ", fixedTo(y, dec), ""}
		}
		for _, a := range as {
			it := []item{{text: fixedTo(a, 0)}}
			for i := range tapers {
				t := float64(i) / 10
				ell := 4 / math.Pi * math.Sqrt(1-y*y)
				chord := 2 / (1 + t) * (1 - (1-t)*y)
				w := a / (a + 4.5)
				it = append(it, item{text: fixedTo(k0*((1-w)*ell+w*(0.55*chord+0.45*ell)), 3)})
			}
			k.rows = append(k.rows, it)
		}
		c.blocks = append(c.blocks, k)
	}
	c.givens = []given{{"taper-tip", "Tips rounded; thickness ratio, ", fixedTo(0.09+0.01*float64(r.IntN(10)), 2), ""}}
	return c
}
