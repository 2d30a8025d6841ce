package validate

import (
	"encoding/csv"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// planted is a mis-statement that an honest study may be given: right figures, the
// wrong meaning.
type planted struct {
	name string
	do   func(s *extract.Study)
}

// near reports whether the two systems are a factor of 1.8 to 2.2 apart, which is the
// hardest to tell.
func (p planted) near() bool {
	of := func(system string) float64 {
		for _, in := range printedIn {
			if in.system == system {
				return in.factor
			}
		}
		return 0
	}
	words := strings.Fields(p.name) // system A as B
	return len(words) == 4 && words[0] == "system" && math.Abs(math.Log(of(words[1])/of(words[3]))) < .8
}

// maker makes honest studies: each draw of its generator is a figure that such an
// article may have, with the scatter of measurement.
type maker struct{ *rand.Rand }

func (m maker) in(low, high float64) float64 { return low + (high-low)*m.Float64() }
func (m maker) noise(sigma float64) float64  { return sigma * max(-2, min(2, m.NormFloat64())) }
func (m maker) chance(p float64) bool        { return m.Float64() < p }

// The systems of coefficients: what an absolute coefficient is divided by for the
// print (DERIVED, TRADE.md 1.1), and how many decimals more it needs.
var printedIn = []struct {
	system, density string
	factor          float64
	more            int
}{
	{"absolute", "", 1, 0}, {"british-k", "", 2, 0}, {"hundredfold", "", .01, -2}, {"engineering-mph", "standard-period", 390.98068, 3},
	{"engineering-fps", "standard-period", 841.04289, 3}, {"metric-k", "standard-period", 16.003841, 1}, {"metric-kmh", "standard-period", 207.40978, 3},
}

func fixed(v float64, places int) string { return fmt.Sprintf("%.*f", max(0, places), v) }

// curvePoint is a point of a made curve.
type curvePoint struct{ alpha, cl, cd float64 }

// curve makes lift and drag of an article: slope per radian, greatest lift, profile
// drag, and the induced factor (0 for a section).
func (m maker) curve(slope, clmax, cd0, k float64, truncated bool) []curvePoint {
	zero := m.in(-6, 0)
	step := []float64{1, 2, 2, 3}[m.IntN(4)]
	camber, profile := m.in(0, .25)*clmax, m.in(.002, .008)
	var list []curvePoint
	straight := .75 * clmax
	knee := zero + straight/slope*180/math.Pi
	stall := knee + 2*(clmax-straight)/slope*180/math.Pi // a parabola from the straight part to the top
	last := stall + m.in(2, 6)
	if truncated {
		last = zero + m.in(.55, .8)*(stall-zero)
	}
	for a := math.Ceil(zero - 2); a <= last; a += step {
		cl := slope * (a - zero) * math.Pi / 180
		switch {
		case a > stall:
			cl = clmax * (1 - .04*(a-stall))
		case a > knee:
			u := (a - knee) / (stall - knee)
			cl = straight + (clmax-straight)*(2*u-u*u)
		}
		cd := cd0 + profile*math.Pow((cl-camber)/max(clmax, .5), 2) + k*cl*cl
		if a > knee {
			cd += .004 * (a - knee) * (a - knee)
		}
		list = append(list, curvePoint{a, cl + m.noise(.004), cd * (1 + m.noise(.008))})
	}
	return list
}

func (m maker) conditions(basis *extract.Basis, re float64) (givens []extract.Column, texts []string) {
	basis.ReynoldsKind, basis.Reynolds = "test", "given re"
	return []extract.Column{{Key: "re", Quantity: "Reynolds number", Unit: "1"}}, []string{"re = " + fixed(math.Round(re/1e4)*1e4, 0)}
}

// polarStudy is a lift curve and polar of a wing, section, model or sailplane's wing.
func (m maker) polarStudy(kind string) (*extract.Study, []planted) {
	re, clmax, a0, e, aspect := m.in(1e6, 8e6), m.in(1.1, 1.7), m.in(.094, .108)*180/math.Pi, m.in(.72, .95), m.in(4, 10)
	switch kind {
	case "low": // a small model: small maxima, slopes 15 % below theory
		re, clmax, a0, aspect = m.in(4e4, 2.5e5), m.in(.5, .95), m.in(.088, .102)*180/math.Pi, m.in(5, 8)
	case "high": // a sailplane's wing
		aspect, e, clmax = m.in(14, 30), m.in(.8, .98), m.in(1.1, 1.5)
	}
	basis := wingBasis()
	slope, k := a0/(1+a0*(1+m.in(.05, .2))/(math.Pi*aspect)), 1/(math.Pi*aspect*e)
	cd0 := m.in(.007, .02)
	section := kind == "section"
	if section {
		slope, k = m.in(.86, 1.02)*2*math.Pi, 0
		basis.Article, basis.ReferenceArea, basis.AspectRatioBasis, basis.Drag = "section", "", "", "profile"
		re, clmax = m.in(6e4, 9e6), m.in(.7, 1.8)
	}
	truncated := m.chance(.35)
	points := m.curve(slope, clmax, cd0, k, truncated)
	in := printedIn[0]
	if m.chance(.5) {
		in = printedIn[m.IntN(len(printedIn))]
	}
	basis.Coefficients, basis.Density = in.system, in.density
	p := printed{Table: extract.Table{Name: "polar"}}
	p.Givens, p.givens = m.conditions(&basis, re)
	angle, unitOfAngle, places := 1.0, "deg", 1
	if m.chance(.1) {
		angle, unitOfAngle, places = math.Pi/180, "rad", 4
	}
	coefficient, scale, fewer := "1", 1.0, 0
	if in.system == "absolute" && m.chance(.1) {
		coefficient, scale, fewer = "%", 100, 2
	}
	p.Basis = basis
	p.Columns = []extract.Column{{Key: "alpha", Quantity: "angle of attack", Unit: unitOfAngle}, {Key: "cl", Quantity: "lift coefficient", Unit: coefficient}, {Key: "cd", Quantity: "drag coefficient", Unit: coefficient}}
	digits := 2 + m.IntN(2)
	for _, q := range points {
		p.rows = append(p.rows, fixed(q.alpha*angle, places)+"|"+fixed(q.cl/in.factor*scale, digits+in.more-fewer)+"|"+fixed(q.cd/in.factor*scale, 4+in.more-fewer))
	}
	tables := []printed{p}
	article := "wing"
	if section {
		article = "section"
	} else if m.chance(.8) {
		tables = append(tables, printed{Table: extract.Table{Name: "wing", Layout: "list", Basis: extract.Basis{Article: "wing"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
			Rows: []extract.RowRule{{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"}}}, rows: []string{"Aspect ratio|" + fixed(aspect, 1)}})
	}
	var plants []planted
	for _, other := range printedIn {
		if other.system != in.system && coefficient == "1" {
			plants = append(plants, planted{"system " + in.system + " as " + other.system, func(s *extract.Study) {
				s.Tables[0].Basis.Coefficients, s.Tables[0].Basis.Density = other.system, other.density
			}})
		}
	}
	if in.system == "absolute" {
		to := map[string]string{"1": "%", "%": "1"}[coefficient]
		plants = append(plants, planted{"coefficients in " + coefficient + " as " + to, func(s *extract.Study) { s.Tables[0].Columns[1].Unit, s.Tables[0].Columns[2].Unit = to, to }})
	}
	to := map[string]string{"deg": "rad", "rad": "deg"}[unitOfAngle]
	plants = append(plants, planted{"angles in " + unitOfAngle + " as " + to, func(s *extract.Study) { s.Tables[0].Columns[0].Unit = to }})
	return of(article, tables...), plants
}

// flapStudy is a wing's slope and its greatest lift by flap deflection.
func (m maker) flapStudy() (*extract.Study, []planted) {
	aspect := m.in(5, 9)
	a0 := m.in(.094, .108) * 180 / math.Pi
	slope := a0 / (1 + a0*(1+m.in(.05, .2))/(math.Pi*aspect))
	flap := []string{"plain", "split", "slotted", "area-increasing"}[m.IntN(4)]
	clean, gain := m.in(1.15, 1.6), map[string]float64{"plain": m.in(.4, .8), "split": m.in(.5, 1), "slotted": m.in(.6, 1.3), "area-increasing": m.in(1, 1.8)}[flap]
	in := printedIn[m.IntN(2)]
	basis := wingBasis()
	basis.Coefficients, basis.Density = in.system, in.density
	basis.Configuration = extract.Configuration{Flap: flap, Deflection: "column flap"}
	if flap == "area-increasing" {
		basis.ReferenceArea = "original"
	}
	p := printed{Table: extract.Table{Name: "maxima", Basis: basis, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"}}}}
	for d := 0; d <= 75; d += 15 {
		share := math.Sin(math.Min(float64(d)/60, 1) * math.Pi / 2) // a plateau beyond 60 deg
		p.rows = append(p.rows, fmt.Sprintf("%d|%s", d, fixed((clean+gain*share+m.noise(.01))/in.factor, 2+m.IntN(2))))
	}
	plain := wingBasis()
	plain.Coefficients, plain.Density = in.system, in.density
	unitOfSlope, value, places := "per deg", slope*math.Pi/180, 4
	if m.chance(.3) {
		unitOfSlope, value, places = "per radian", slope, 2
	}
	q := printed{Table: extract.Table{Name: "wing", Layout: "list", Basis: plain, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
		Rows: []extract.RowRule{{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"}, {Label: "Slope of lift curve", Quantity: "lift-curve slope", Unit: unitOfSlope}}},
		rows: []string{"Aspect ratio|" + fixed(aspect, 2), "Slope of lift curve|" + fixed(value/in.factor, places)}}
	to := map[string]string{"per deg": "per radian", "per radian": "per deg"}[unitOfSlope]
	other := printedIn[1]
	if in.system == "british-k" {
		other = printedIn[0]
	}
	return of("wing", p, q), []planted{
		{"slope " + unitOfSlope + " as " + to, func(s *extract.Study) { s.Tables[1].Rows[1].Unit = to }},
		{"system " + in.system + " as " + other.system, func(s *extract.Study) {
			s.Tables[0].Basis.Coefficients, s.Tables[1].Basis.Coefficients = other.system, other.system
		}},
		{"flap labels exchanged", func(s *extract.Study) {
			last := fmt.Sprintf("r%02d", len(s.Registers[s.Tables[0].ID].Rows))
			set(s, s.Tables[0].ID, "r01", "flap", "60")
			set(s, s.Tables[0].ID, last, "flap", "0")
		}},
	}
}

// craftStudy makes an aeroplane, sailplane to fighter, in the units of its country.
func (m maker) craft(kind string) (*extract.Study, []planted) {
	loading, area, aspect := m.in(400, 1100), m.in(12, 30), m.in(5.5, 9) // N/m2, m2
	clean, down := m.in(1.25, 1.6), 0.0
	switch kind {
	case "sailplane":
		loading, area, aspect, clean = m.in(150, 400), m.in(10, 20), m.in(12, 30), m.in(1.2, 1.5)
	case "fighter":
		loading, area, aspect, clean = m.in(1200, 2400), m.in(16, 32), m.in(5, 6.5), m.in(1.3, 1.6)
	}
	flap := []string{"plain", "split", "slotted", "area-increasing"}[m.IntN(4)]
	down = clean + map[string]float64{"plain": m.in(.3, .6), "split": m.in(.4, .7), "slotted": m.in(.5, .9), "area-increasing": m.in(.8, 1.5)}[flap]
	weight := loading * area
	watts := weight / m.in(.03, .13)
	british := m.chance(.6)
	long, square, heavy, pressure, engine, ratio := "m", "sq m", "kg", "kg/m2", "PS", "kg per metric hp"
	foot, pound, hp := 1.0, 9.80665, 735.49875
	if british {
		long, square, heavy, pressure, engine, ratio = "ft", "sq ft", "lb", "lb/sq ft", "hp", "lb/hp"
		foot, pound, hp = .3048, 4.4482216, 745.69987
	}
	label := func(name, unit string) string { // half of the prints have the unit in the label
		if m.chance(.5) {
			return name + ", " + unit
		}
		return name
	}
	w, p := fixed(weight/pound, 0), fixed(watts/hp, 0)
	list := []particular{
		{label("Span", long), "wing span", long, fixed(math.Sqrt(aspect*area)/foot, 2), extract.Basis{}},
		{label("Wing area", square), "wing area", square, fixed(area/foot/foot, 1), gross},
		{"Aspect ratio", "aspect ratio", "1", fixed(aspect, 1), extract.Basis{}},
		{label("Gross weight", heavy), "weight", heavy, w, normal},
		{"Wing loading", "wing loading", pressure, fixed(loading/pound*foot*foot, 1), normal},
	}
	powered := kind != "sailplane"
	if powered {
		list = append(list, particular{label("Rated power", engine), "power", engine, p, rated}, particular{"Power loading", "power loading", ratio, fixed(weight/pound/(watts/hp), 2), with(normal, rated)})
	}
	if m.chance(.3) {
		mass := particular{"Mass", "mass", "kg", fixed(weight/9.80665, 0), normal}
		if british {
			mass = particular{"Mass", "mass", "slug", fixed(weight/14.593903/9.80665, 1), normal}
			mass.figure = fixed(weight/9.80665/14.593903, 1)
		}
		list = append(list, mass)
	}
	speedUnit, speed := "km/h", 1/3.6
	if british {
		speedUnit, speed = "mph", .44704
		if m.chance(.4) {
			speedUnit, speed = "knots", 1852./3600
		}
	}
	b := flightBasis()
	b.Weight, b.Configuration.Flap = "given weight", flap
	stalls := printed{Table: extract.Table{Name: "stalls", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "speed", Quantity: "stall speed", Unit: speedUnit}},
		Givens: []extract.Column{{Key: "weight", Quantity: "test weight", Unit: heavy}}}, givens: []string{"weight = " + w}}
	b.Weight, b.WeightCondition = "", ""
	in := printedIn[0]
	if m.chance(.25) {
		in = printedIn[1]
	}
	b.Coefficients = in.system
	if flap == "area-increasing" {
		b.ReferenceArea = "original"
	}
	most := printed{Table: extract.Table{Name: "maxima", Basis: b, Columns: []extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"}}}}
	for i, c := range []float64{clean, down} {
		v := math.Sqrt(2*loading/1.225/c) * (1 + m.noise(.015)) // flight and tunnel miss by 2 to 4 %
		stalls.rows = append(stalls.rows, fmt.Sprintf("%d|%s", i*40, fixed(v/speed, m.IntN(2))))
		most.rows = append(most.rows, fmt.Sprintf("%d|%s", i*40, fixed(c/in.factor, 2)))
	}
	var plants []planted
	for _, to := range []string{"mph", "knots", "km/h"} {
		if to != speedUnit {
			plants = append(plants, planted{"speeds in " + speedUnit + " as " + to, func(s *extract.Study) { s.Tables[1].Columns[1].Unit = to }})
		}
	}
	other := printedIn[1]
	if in.system == "british-k" {
		other = printedIn[0]
	}
	plants = append(plants, planted{"maxima in " + in.system + " as " + other.system, func(s *extract.Study) { s.Tables[2].Basis.Coefficients = other.system }},
		planted{"flap labels exchanged", func(s *extract.Study) {
			for _, id := range []string{s.Tables[1].ID, s.Tables[2].ID} {
				set(s, id, "r01", "flap", "40")
				set(s, id, "r02", "flap", "0")
			}
		}},
		planted{"weight in " + heavy + " as newton", func(s *extract.Study) { s.Tables[0].Rows[3].Unit = "N" }})
	if powered {
		to := map[string]string{"hp": "PS", "PS": "hp"}[engine]
		plants = append(plants, planted{"power in " + engine + " as " + to, func(s *extract.Study) { s.Tables[0].Rows[5].Unit = to }},
			planted{"take-off power as rated", func(s *extract.Study) { set(s, s.Tables[0].ID, "r06", "value", fixed(watts/hp*1.08, 0)) }})
	}
	if i := slices.IndexFunc(list, func(p particular) bool { return p.quantity == "mass" }); i >= 0 {
		to := map[string]string{"kg": "lb", "slug": "lb"}[list[i].unit]
		plants = append(plants, planted{"mass in " + list[i].unit + " as " + to, func(s *extract.Study) { s.Tables[0].Rows[i].Unit = to }})
	}
	return of("aeroplane", particulars("craft", list...), stalls, most), plants
}

// turnStudy is banks and load factors, computed or measured.
func (m maker) turnStudy() (*extract.Study, []planted) {
	computed, places := m.chance(.5), 2+m.IntN(2)
	unit, times, angle := "deg", 1.0, 0
	if m.chance(.2) {
		unit, times, angle = "rad", math.Pi/180, 4
	}
	var list []string
	for bank := 10.; bank <= 75; bank += []float64{5, 10, 15}[m.IntN(3)] {
		n := 1 / math.Cos(bank*math.Pi/180)
		if !computed {
			n *= 1 + m.noise(.04)
		}
		if computed && m.chance(.3) {
			n = math.Floor(n*math.Pow10(places)) / math.Pow10(places) // cut off
		}
		list = append(list, fixed(bank*times, angle)+"|"+fixed(n, places))
	}
	to := map[string]string{"deg": "rad", "rad": "deg"}[unit]
	return turns(unit, list...), []planted{{"banks in " + unit + " as " + to, func(s *extract.Study) { s.Tables[0].Columns[0].Unit = to }}}
}

// Heads and captions as reports print them (common practice, no source).
var (
	headsOf = map[string][]string{
		"angle of attack deg": {"Angle of attack, α (deg.)", "α°", "α, degrees", "Angle of incidence, deg.", "a (deg)"}, "angle of attack rad": {"α, radians", "Angle of attack (rad.)"},
		"lift coefficient 1 absolute": {"C_L", "CL", "Lift coefficient, C_L", "c_a", "Cz", "C_y", "Absolute lift coefficient"}, "drag coefficient 1 absolute": {"C_D", "Drag coefficient", "c_w", "Cx"},
		"lift coefficient 1 british-k": {"k_L", "kL", "Lift coefficient k_L"}, "drag coefficient 1 british-k": {"k_D", "kD"},
		"lift coefficient 1 hundredfold": {"100 c_a", "100 Cz", "100 C_L"}, "drag coefficient 1 hundredfold": {"100 c_w", "100 Cx"},
		"lift coefficient 1 engineering-mph": {"K_y", "Ky", "Lift coefficient"}, "drag coefficient 1 engineering-mph": {"K_x", "Kx"},
		"lift coefficient 1 engineering-fps": {"K_y"}, "drag coefficient 1 engineering-fps": {"K_x"}, "lift coefficient 1 metric-k": {"K_z", "Ky"}, "drag coefficient 1 metric-k": {"Kx"},
		"lift coefficient 1 metric-kmh": {"K_y"}, "drag coefficient 1 metric-kmh": {"K_x"}, "lift coefficient % absolute": {"C_L, per cent", "C_L (%)"}, "drag coefficient % absolute": {"C_D, per cent"},
		"flap deflection deg":                 {"δ_f, deg.", "Flap angle (degrees)", "Flap deflection, deg.", "Deflection of flaps"},
		"maximum lift coefficient 1 absolute": {"C_Lmax", "Maximum lift coefficient", "C_L max."}, "maximum lift coefficient 1 british-k": {"k_L max.", "k_Lmax"},
		"stall speed mph": {"Stalling speed, m.p.h.", "V_s (m.p.h.)", "Stalling speed (miles per hour)", "Stall, mph"}, "stall speed knots": {"Stalling speed, knots", "V_s (kt)", "Stalling speed (knots)"},
		"stall speed km/h": {"Stalling speed, km/h", "V_min, km/h", "Vs (km. per hr.)"},
		"bank angle deg":   {"Bank, deg.", "Angle of bank (degrees)"}, "bank angle rad": {"Bank, radians"}, "load factor in flight 1": {"n", "Load factor", "Normal acceleration, g"},
	}
	captions = []string{"", "Table II. Results of tests at the speeds indicated", "Table IV. Characteristics of the normal wing at maximum lift", "Test 3: true scale, walls corrected", "Summary of maximum figures",
		"Table 1. Lift, drag and moment of the airfoil, smooth, take-off flap", "Results for the rated scale of turbulence", "Profile tests of series C"}
)

// dressed gives a study heads and captions that fit it.
func (m maker) dressed(s *extract.Study) {
	for _, t := range s.Tables {
		t.Caption = captions[m.IntN(len(captions))]
		for i := range t.Columns {
			c := &t.Columns[i]
			for _, key := range []string{c.Quantity + " " + c.Unit, c.Quantity + " " + c.Unit + " " + t.Basis.Coefficients} {
				if list := headsOf[key]; len(list) > 0 {
					c.Head = list[m.IntN(len(list))]
				}
			}
		}
	}
}

// honest makes the study of a number, always the same; half of them have heads and
// captions.
func honest(number int) (*extract.Study, []planted) {
	m := maker{rand.New(rand.NewPCG(20, uint64(number)))}
	var s *extract.Study
	var plants []planted
	switch number % 10 {
	case 0, 1:
		s, plants = m.polarStudy("wing")
	case 2:
		s, plants = m.polarStudy("low")
	case 3:
		s, plants = m.polarStudy("high")
	case 4:
		s, plants = m.polarStudy("section")
	case 5:
		s, plants = m.flapStudy()
	case 6:
		s, plants = m.craft("light")
	case 7:
		s, plants = m.craft("sailplane")
	case 8:
		s, plants = m.craft("fighter")
	default:
		s, plants = m.turnStudy()
	}
	if number/10%2 == 1 {
		m.dressed(s)
	}
	return s, plants
}

// ofMeaning are the checks that speak of meaning by size or by words; the others of
// physics are counted beside them.
var ofMeaning = []string{"coefficient-system", "magnitude", "two-units", "horsepower", "power-loading", "mass", "flap-effect", "bank", "head-says-otherwise", "aspect-ratio", "wing-loading", "stall-speed"}

// TestFalseAlarms counts what the checks say of honest studies, and of the same with
// one mis-statement each; and of all polars whose coefficients may be taken for those of
// a system that is near.
func TestFalseAlarms(t *testing.T) {
	const studies = 300
	alarms, others := map[string]int{}, map[string]int{}
	planted, hit, named := map[string]int{}, map[string]int{}, map[string]int{}
	var missed, missedNear []string
	hits, near, nearHits, nearNamed := 0, 0, 0, 0
	for i := range studies {
		s, plants := honest(i)
		before := map[string]bool{}
		for _, f := range Run(s, nil).Findings {
			before[f.Check+f.Where+f.Message] = true
			switch {
			case slices.Contains(ofMeaning, f.Check):
				alarms[f.Check]++
				t.Errorf("false alarm in study %d: %s %s %s: %s", i, f.Severity, f.Check, f.Where, f.Message)
			case f.Severity == Doubt && (f.Check == "lift-curve-slope" || f.Check == "drag-polar" || f.Check == "difference"):
				others[f.Check]++
			default:
				t.Errorf("study %d is not honest: %s %s %s: %s", i, f.Severity, f.Check, f.Where, f.Message)
			}
		}
		try := func(p func(s *extract.Study)) (found, spoken bool) {
			s, _ := honest(i)
			p(s)
			for _, f := range Run(s, nil).Findings {
				if !before[f.Check+f.Where+f.Message] {
					found = true
					spoken = spoken || slices.Contains(ofMeaning, f.Check)
				}
			}
			return found, spoken
		}
		p := plants[(i/10)%len(plants)]
		found, spoken := try(p.do)
		g := strings.Join(strings.Fields(p.name)[:2], " ")
		planted[g]++
		if found {
			hit[g]++
			hits++
		} else {
			missed = append(missed, fmt.Sprintf("study %d: %s", i, p.name))
		}
		if spoken {
			named[g]++
		}
		for _, p := range plants {
			if !p.near() {
				continue
			}
			near++
			found, spoken := try(p.do)
			if found {
				nearHits++
			} else {
				missedNear = append(missedNear, fmt.Sprintf("study %d: %s", i, p.name))
			}
			if spoken {
				nearNamed++
			}
			break
		}
	}
	t.Logf("%d honest studies: false alarms of the checks on meaning %v; doubts of slope, polar and neighbours %v", studies, alarms, others)
	for _, g := range slices.Sorted(maps.Keys(planted)) {
		t.Logf("planted: %-24s %3d, found %3d, by a check on meaning %3d", g, planted[g], hit[g], named[g])
	}
	t.Logf("%d of %d mis-statements are found; not: %s", hits, studies, strings.Join(missed, "; "))
	t.Logf("%d of %d coefficients in a system that is near are found, %d by a check on meaning; not: %s", nearHits, near, nearNamed, strings.Join(missedNear, "; "))
	if n := others["difference"]; n > studies/30 {
		t.Errorf("%d doubts of neighbours in %d honest studies", n, studies)
	}
	if n := others["lift-curve-slope"] + others["drag-polar"]; n > studies/10 {
		t.Errorf("%d doubts on slope and polar of %d honest studies, at most one in ten was measured", n, studies)
	}
	if hits < studies*97/100 || near < 80 || nearHits < near*85/100 {
		t.Errorf("%d of %d mis-statements are found, and %d of %d near ones", hits, studies, nearHits, near)
	}
}

// TestKeyedTables: what is keyed from real reports raises nothing on meaning.
func TestKeyedTables(t *testing.T) {
	read := func(name string) [][]string {
		f, err := os.Open(filepath.Join("..", "testdata", "keyed", name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		list, err := csv.NewReader(f).ReadAll()
		if err != nil || len(list) < 5 {
			t.Fatalf("%s: %d rows, %v", name, len(list), err)
		}
		return list[1:]
	}
	take := func(list [][]string, columns ...int) []string {
		var rows []string
		for _, r := range list {
			var cells []string
			for _, c := range columns {
				cells = append(cells, r[c])
			}
			rows = append(rows, strings.Join(cells, "|"))
		}
		return rows
	}
	b := wingBasis()
	b.Drag = "profile"
	five := printed{Table: extract.Table{Name: "five", Basis: b, Columns: []extract.Column{{Key: "wing", Quantity: "label"}, {Key: "clmax", Head: "C_Lmax", Quantity: "maximum lift coefficient", Unit: "1"},
		{Key: "cd", Head: "C_Dmin", Quantity: "minimum drag coefficient", Unit: "1"}}}, rows: take(read("naca-tr-572-p24-table-5.csv"), 0, 1, 2)}
	six := printed{Table: extract.Table{Name: "six", Basis: wingBasis(), Columns: []extract.Column{{Key: "wing", Quantity: "label"},
		{Key: "c0", Head: "alpha_L0 calc", Quantity: "zero-lift angle", Unit: "deg"}, {Key: "e0", Head: "alpha_L0 exp", Quantity: "zero-lift angle", Unit: "deg"},
		{Key: "ca", Head: "a calc", Quantity: "lift-curve slope", Unit: "per deg"}, {Key: "ea", Head: "a exp", Quantity: "lift-curve slope", Unit: "per deg"}}}, rows: take(read("naca-tr-572-p24-table-6.csv"), 0, 5, 6, 7, 8)}
	rotor := wingBasis()
	rotor.Article, rotor.ReferenceArea, rotor.AngleDatum, rotor.Configuration = "rotor", "disc", "disc-plane", extract.Configuration{}
	third := printed{Table: extract.Table{Name: "third", Basis: rotor, Relations: []string{"ld = cl / cd"}, Columns: []extract.Column{
		{Key: "alpha", Quantity: "angle of attack", Unit: "deg"}, {Key: "cl", Quantity: "lift coefficient", Unit: "1"}, {Key: "cd", Quantity: "drag coefficient", Unit: "1"}, {Key: "ld", Quantity: "lift-drag ratio", Unit: "1"}}},
		rows: take(read("naca-tr-515-table-3.csv"), 1, 2, 3, 4)}
	for name, s := range map[string]*extract.Study{"wings": of("wing", five, six), "rotor": of("rotor", third)} {
		for _, f := range Run(s, nil).Findings {
			if slices.Contains(ofMeaning, f.Check) {
				t.Errorf("%s: %s %s %s: %s", name, f.Severity, f.Check, f.Where, f.Message)
			} else {
				t.Logf("%s: %s %s %s: %s", name, f.Severity, f.Check, f.Where, f.Message)
			}
		}
	}
}
