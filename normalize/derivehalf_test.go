package normalize

import (
	"fmt"
	"maps"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// The equations again in plain floating point, apart from the program's: pitot tube and
// standard atmosphere (constants of ISO 2533, from memory), below 11 km.
const (
	gravity, gasConstant, lapse = 9.80665, 287.05287, 0.0065
	warmth, weightOfAir         = 288.15, 101325.0 // K, Pa
)

func standardWarmth(height float64) float64 { return warmth - lapse*height }

func pressureAgain(height float64) float64 {
	return weightOfAir * math.Pow(standardWarmth(height)/warmth, gravity/(gasConstant*lapse))
}

// machAgain is the Mach number of an airspeed of a kind, at a pressure and a temperature.
func machAgain(kind string, v, p, t float64) float64 {
	switch kind {
	case "CAS":
		impact := weightOfAir * (math.Pow(1+v*v/(5*1.4*gasConstant*warmth), 3.5) - 1)
		return math.Sqrt(5 * (math.Pow(impact/p+1, 2.0/7) - 1))
	case "EAS":
		return v / math.Sqrt(1.4*p/(weightOfAir/(gasConstant*warmth)))
	}
	return v / math.Sqrt(1.4*gasConstant*t)
}

func speedAgain(kind string, mach, p, t float64) float64 {
	switch kind {
	case "CAS":
		impact := p * (math.Pow(1+mach*mach/5, 3.5) - 1)
		return math.Sqrt(5 * 1.4 * gasConstant * warmth * (math.Pow(impact/weightOfAir+1, 2.0/7) - 1))
	case "EAS":
		return mach * math.Sqrt(1.4*p/(weightOfAir/(gasConstant*warmth)))
	}
	return mach * math.Sqrt(1.4*gasConstant*t)
}

// densityAgain is the height at which the standard has the density of p and t.
func densityAgain(p, t float64) float64 {
	thinner := p / t / (weightOfAir / warmth)
	return warmth / lapse * (1 - math.Pow(thinner, 1/(gravity/(gasConstant*lapse)-1)))
}

// glauertAgain is tau and delta by collocation (Glauert, ch. XI), twice over and
// extrapolated; lines keeps what was worked out.
func glauertAgain(aspect, slope, taper float64, lines map[[3]float64][2]float64) [2]float64 {
	if known, ok := lines[[3]float64{aspect, slope, taper}]; ok {
		return known
	}
	solve := func(n int) [2]float64 {
		m := make([][]float64, n)
		for k := range m {
			theta := float64(k+1) * math.Pi / 2 / float64(n)
			chord := 2 / aspect / (1 + taper) * (1 - (1-taper)*math.Cos(theta))
			for i := 1; i < 2*n; i += 2 {
				m[k] = append(m[k], math.Sin(float64(i)*theta)*(4*math.Sin(theta)/(slope*chord)+float64(i)))
			}
			m[k] = append(m[k], math.Sin(theta))
		}
		for i := range m { // Gauss and Jordan
			best := i
			for k := i; k < n; k++ {
				if math.Abs(m[k][i]) > math.Abs(m[best][i]) {
					best = k
				}
			}
			m[i], m[best] = m[best], m[i]
			for k := range m {
				for c := n; k != i && c >= i; c-- {
					m[k][c] -= m[k][i] / m[i][i] * m[i][c]
				}
			}
		}
		first, delta := m[0][n]/m[0][0], 0.0
		for i := 1; i < n; i++ {
			share := m[i][n] / m[i][i] / first
			delta += float64(2*i+1) * share * share
		}
		return [2]float64{1/first - math.Pi*aspect/slope - 1, delta}
	}
	coarse, fine := solve(24), solve(48)
	part := 1.0 / 3
	if taper == 1 {
		part = 1.0 / 15
	}
	for i := range fine {
		fine[i] += (fine[i] - coarse[i]) * part
	}
	lines[[3]float64{aspect, slope, taper}] = fine
	return fine
}

// widthCase is one conversion with figures drawn at random.
type widthCase struct {
	ask    extract.Derivation
	record func() []Figure
	// again is the conversion from the parents by the keys of their columns, with the
	// row where the table is that of the position errors.
	again func(x map[string]float64) float64
	room  float64 // of the half-width, that the arithmetic of again leaves
}

// oneOf lists what the tag of a field leaves to write; not-stated is no statement.
func oneOf[T any](t *testing.T, field string) []string {
	of := reflect.TypeFor[T]()
	f, ok := of.FieldByName(field)
	_, list, found := strings.Cut(f.Tag.Get("validate"), "oneof=")
	if !ok || !found {
		t.Fatalf("%s.%s: no list", of, field)
	}
	return strings.Fields(list)
}

// knownConversions lists every conversion that a request can ask for, from the keys of
// a request and what they leave to write: a new key, or word, is a new conversion.
func knownConversions(t *testing.T) []string {
	var list []string
	add := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	pairs := func(words []string, each func(from, to string)) {
		for _, from := range words {
			for _, to := range words {
				if from != to {
					each(from, to)
				}
			}
		}
	}
	fields := reflect.TypeFor[extract.Derivation]()
	for i := range fields.NumField() {
		switch name := fields.Field(i).Name; name {
		case "Quantity", "Table", "Column", "PositionError": // which figures, and with AirspeedKind
		case "AirspeedKind":
			pairs(oneOf[extract.Derivation](t, name), func(from, to string) {
				airs := []string{"pressure"}
				if from == "TAS" || to == "TAS" {
					airs = append(airs, "warm")
				}
				if from+to == "EASTAS" || from+to == "TASEAS" {
					airs = append(airs, "density")
				}
				if from+to == "IASCAS" || from+to == "CASIAS" {
					airs = []string{"no"}
				}
				ways := []string{""}
				if from == "IAS" || to == "IAS" {
					ways = append([]string{"calibrated"}, oneOf[extract.Basis](t, "CorrectionSign")...)
				}
				for _, air := range airs {
					for _, way := range ways {
						add("airspeed %s to %s, %s air, %s", from, to, air, way)
					}
				}
			})
		case "ReferenceArea":
			pairs(oneOf[extract.Derivation](t, name), func(from, to string) { add("area %s to %s", from, to) })
		case "AngleDatum":
			pairs(oneOf[extract.Derivation](t, name), func(from, to string) { add("angle %s to %s", from, to) })
		case "AltitudeKind":
			for _, to := range oneOf[extract.Derivation](t, name) {
				add("altitude pressure to %s", to)
			}
		case "MomentCenter":
			add("moment")
		case "AspectRatio":
			planforms := oneOf[extract.AspectRatio](t, "FromPlanform")
			if to := oneOf[extract.AspectRatio](t, "ToPlanform"); !slices.Equal(to, planforms) {
				t.Fatalf("planforms from %v, to %v", planforms, to)
			}
			for _, q := range inducedQuantities {
				for _, planform := range planforms {
					add("%s, %s to %s", q, planform, planform)
				}
				pairs(append([]string{"infinite"}, planforms...), func(from, to string) { add("%s, %s to %s", q, from, to) })
			}
		case "Walls":
			for _, q := range inducedQuantities {
				for _, section := range oneOf[extract.Walls](t, "Section") {
					add("%s, walls %s", q, section)
					add("%s, walls %s and elliptic to infinite", q, section)
				}
			}
		default:
			t.Fatalf("a request has the key %s: list what it converts, and write rows for it", name)
		}
	}
	return list
}

// widthCases are the rows of TestDerivedHalfWidthsHold, by the conversion.
func widthCases(t *testing.T, r *rand.Rand) map[string]widthCase {
	cases := map[string]widthCase{}
	put := func(name string, c widthCase) {
		if _, twice := cases[name]; twice {
			t.Fatalf("two rows for %s", name)
		}
		cases[name] = c
	}
	// A decimal from the interval, in whole units of the last place.
	draw := func(low, high float64, places int) string {
		unit := math.Pow10(-places)
		return fmt.Sprintf("%.*f", places, low+unit*float64(r.IntN(int((high-low)/unit)+1)))
	}
	one := func(key, quantity, unit string, b *extract.Basis) extract.Column {
		return extract.Column{Key: key, Quantity: quantity, Unit: unit, Basis: b}
	}

	// Airspeeds of 30 to 50 m/s up to 3 km, between two rows of position errors.
	speedCase := func(from, to, air, way string) widthCase {
		b := flight()
		b.AirspeedKind, b.CorrectionSign = from, "added"
		if from != "IAS" {
			b.AirspeedMeaning = ""
		}
		if air != "no" {
			b.Altitude = "column h"
		}
		if air == "density" {
			b.AltitudeKind = "density"
		}
		if air == "warm" {
			b.Temperature = "column t"
		}
		ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: to}
		wrong := flight()
		switch way {
		case "":
		case "calibrated":
			ask.PositionError = &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}
		default:
			ask.PositionError, wrong.CorrectionSign = &extract.PositionError{Table: "errors", Indicated: "ias", Correction: "add"}, way
		}
		calibrated := func(x map[string]float64, row string) float64 {
			switch way {
			case "added":
				return x["ias"+row] + x["add"+row]
			case "indicated-minus-true":
				return x["ias"+row] - x["add"+row]
			}
			return x["cas"+row]
		}
		return widthCase{ask: ask, room: 1e-8,
			record: func() []Figure {
				speeds := named(t, "speeds", []extract.Column{one("h", "altitude", "m", nil), one("t", "air temperature", "K", nil), one("v", "airspeed", "m/s", nil)}, b,
					draw(500, 3000, 1)+"|"+draw(260, 310, 1)+"|"+draw(32, 50, 1))
				errors := named(t, "errors", []extract.Column{one("ias", "airspeed", "m/s", nil), one("cas", "airspeed", "m/s", &extract.Basis{AirspeedKind: "CAS"}), one("add", "airspeed correction", "m/s", nil)}, wrong,
					draw(19, 21, 1)+"|"+draw(20, 24, 1)+"|"+draw(-1, 2, 1), draw(60, 62, 1)+"|"+draw(58, 64, 1)+"|"+draw(-2, 2, 1))
				return figures(speeds, errors)
			},
			again: func(x map[string]float64) float64 {
				v, kind := x["v"], from
				if from == "IAS" {
					c1, c2 := calibrated(x, "r1"), calibrated(x, "r2")
					share := (v - x["iasr1"]) / (x["iasr2"] - x["iasr1"])
					if v, kind = c1+share*(c2-c1), "CAS"; way != "calibrated" {
						// What lies between two rows is the correction.
						v = x["v"] + (c1 - x["iasr1"]) + share*((c2-x["iasr2"])-(c1-x["iasr1"]))
					}
				}
				target := to
				if to == "IAS" {
					target = "CAS"
				}
				if kind != target {
					p, warm := pressureAgain(x["h"]), standardWarmth(x["h"])
					if air == "warm" {
						warm = x["t"]
					}
					v = speedAgain(target, machAgain(kind, v, p, warm), p, warm)
				}
				if to == "IAS" {
					c1, c2 := calibrated(x, "r1"), calibrated(x, "r2")
					v = x["iasr1"] + (x["iasr2"]-x["iasr1"])*(v-c1)/(c2-c1)
				}
				return v
			}}
	}
	kinds := []string{"IAS", "CAS", "EAS", "TAS"}
	for _, from := range kinds {
		for _, to := range kinds {
			for _, air := range []string{"no", "pressure", "warm", "density"} {
				trueSpeed := from == "TAS" || to == "TAS"
				between := from+to == "IASCAS" || from+to == "CASIAS"
				if from == to || between != (air == "no") || air == "warm" && !trueSpeed || air == "density" && from+to != "EASTAS" && from+to != "TASEAS" {
					continue
				}
				for _, way := range []string{"", "calibrated", "added", "indicated-minus-true"} {
					if (from == "IAS" || to == "IAS") != (way != "") {
						continue
					}
					put(fmt.Sprintf("airspeed %s to %s, %s air, %s", from, to, air, way), speedCase(from, to, air, way))
				}
			}
		}
	}

	wing := full()
	areas := []string{"gross", "net", "original", "extended", "all-wings"}
	for _, from := range areas {
		for _, to := range areas {
			if from == to {
				continue
			}
			b := wing
			b.ReferenceArea = from
			put("area "+from+" to "+to, widthCase{ask: extract.Derivation{Quantity: "lift coefficient", ReferenceArea: to}, record: func() []Figure {
				return figures(named(t, "polar", []extract.Column{one("cl", "lift coefficient", "1", nil)}, b, draw(-0.9, 2, 1)),
					named(t, "areas", []extract.Column{one("from", "wing area", "m2", &extract.Basis{ReferenceArea: from}), one("to", "wing area", "m2", &extract.Basis{ReferenceArea: to})}, wing, draw(12, 20, 1)+"|"+draw(12, 20, 1)))
			}, again: func(x map[string]float64) float64 { return x["cl"] * x["from"] / x["to"] }})
		}
	}

	lines := []string{"chord", "lower-surface", "thrust-line", "fuselage-datum", "zero-lift"}
	for _, from := range lines {
		for _, to := range lines {
			if from == to {
				continue
			}
			b := wing
			b.AngleDatum = from
			at := func(datum string) *extract.Basis { return &extract.Basis{AngleDatum: datum} }
			put("angle "+from+" to "+to, widthCase{ask: extract.Derivation{Quantity: "angle of attack", AngleDatum: to}, record: func() []Figure {
				columns := []extract.Column{one("thrust-line", "angle of wing setting", "deg", at("thrust-line")), one("fuselage-datum", "angle of wing setting", "deg", at("fuselage-datum")), one("lower-surface", "angle of chord", "deg", at("lower-surface"))}
				row := draw(-2, 3, 1) + "|" + draw(-2, 3, 1) + "|" + draw(1, 3, 1)
				for _, line := range lines[:4] {
					columns = append(columns, one("zero-"+line, "zero-lift angle", "deg", at(line)))
					row += "|" + draw(-9, -1, 1)
				}
				return figures(named(t, "polar", []extract.Column{one("a", "angle of attack", "deg", nil)}, b, draw(-8, 12, 1)), named(t, "particulars", columns, wing, row))
			}, again: func(x map[string]float64) float64 {
				switch {
				case to == "zero-lift":
					return x["a"] - x["zero-"+from]
				case from == "zero-lift":
					return x["a"] + x["zero-"+to]
				}
				return x["a"] + x[from] - x[to] // none for the chord
			}})
		}
	}

	high := flight()
	high.Altitude, high.Temperature = "column h", "column t"
	put("altitude pressure to density", widthCase{ask: extract.Derivation{Quantity: "altitude", AltitudeKind: "density"}, record: func() []Figure {
		return figures(named(t, "heights", []extract.Column{one("h", "altitude", "m", nil), one("t", "air temperature", "K", nil)}, high, draw(0, 4000, 0)+"|"+draw(255, 305, 1)))
	}, again: func(x map[string]float64) float64 { return densityAgain(pressureAgain(x["h"]), x["t"]) }, room: 1e-8})

	put("moment", widthCase{ask: extract.Derivation{Quantity: "pitching-moment coefficient", MomentCenter: "leading edge"}, record: func() []Figure {
		return figures(named(t, "polar", momentColumns, noseUp(), draw(-4, 16, 1)+"|"+draw(-.2, 1.6, 2)+"|"+draw(.02, .2, 3)+"|"+draw(-.2, .05, 3)))
	}, again: func(x map[string]float64) float64 {
		sin, cos := math.Sincos(x["a"] / 180 * math.Pi)
		return x["cm"] - (x["cl"]*cos+x["cd"]*sin)/4
	}, room: 1e-8})

	// Angle, drag and slope: with T of the walls and wings, alpha + CL T in rad, CD + CL^2 T
	// and 1/a + T. Glauert's factors of again are within some 1e-5 of their limits.
	known := map[[3]float64][2]float64{}
	inducedCase := func(quantity, walls, from, to string) widthCase {
		ask := extract.Derivation{Quantity: quantity}
		b := changed(func(b *extract.Basis) {
			if walls != "" {
				b.Walls = "uncorrected"
			}
			if from == "infinite" {
				b.Article, b.Drag, b.AspectRatioBasis = "section", "profile", ""
			}
		})
		delta := 0.0
		switch walls {
		case "closed":
			ask.Walls, delta = &extract.Walls{Section: "closed", Delta: "+0.125"}, 0.125
		case "open":
			ask.Walls, delta = &extract.Walls{Section: "open", Delta: "-0.12"}, -0.12
		}
		if from != "" {
			a := &extract.AspectRatio{To: "8", ToPlanform: to}
			if a.FromPlanform = from; from == "infinite" {
				a.FromPlanform = ""
			}
			switch to {
			case "infinite":
				a.To, a.ToPlanform = to, ""
			case "tapered":
				a.ToTaper = "0.6"
			}
			if from == "rectangular" || from == "tapered" || to == "rectangular" || to == "tapered" {
				a.SectionSlope = "5.7"
			}
			ask.AspectRatio = a
		}
		side := func(planform string, aspect, taper float64) float64 {
			which := 0
			if quantity == "drag coefficient" {
				which = 1
			}
			switch planform {
			case "infinite", "":
				return 0
			case "elliptic":
				return 1 / aspect
			case "rectangular":
				taper = 1
			}
			return (1 + glauertAgain(aspect, 5.7, taper, known)[which]) / aspect
		}
		room := 1e-8
		if ask.AspectRatio != nil && ask.AspectRatio.SectionSlope != "" {
			room = 2e-3
		}
		return widthCase{ask: ask, room: room, record: func() []Figure {
			all := []*Series{named(t, "polar", polarColumns, b, draw(-4, 10, 1)+"|"+draw(-.04, 1.0, 2)+"|"+draw(.08, .16, 4)),
				named(t, "slopes", column("lift-curve slope", "/rad", nil), b, draw(3.6, 4.4, 2))}
			if from == "infinite" {
				return figures(all...)
			}
			return figures(append(all, named(t, "wings", []extract.Column{one("A", "aspect ratio", "1", nil), one("taper", "taper ratio", "1", nil), one("S", "wing area", "m2", nil), one("C", "tunnel section area", "m2", nil)}, b,
				draw(5, 7.5, 2)+"|"+draw(.2, .8, 1)+"|"+draw(.8, 1.2, 2)+"|"+draw(8, 12, 1)))...)
		}, again: func(x map[string]float64) float64 {
			turn := (side(to, 8, 0.6) - side(from, x["A"], x["taper"])) / math.Pi
			if walls != "" {
				turn += delta * x["S"] / x["C"]
			}
			switch quantity {
			case "angle of attack":
				return x["a"] + x["l"]*turn*180/math.Pi
			case "drag coefficient":
				return x["d"] + x["l"]*x["l"]*turn
			}
			return 1 / (1/x["x"] + turn)
		}}
	}
	planforms := []string{"infinite", "elliptic", "rectangular", "tapered"}
	for _, q := range []string{"angle of attack", "drag coefficient", "lift-curve slope"} {
		for _, from := range planforms {
			for _, to := range planforms {
				if from+to != "infiniteinfinite" {
					put(q+", "+from+" to "+to, inducedCase(q, "", from, to))
				}
			}
		}
		for _, walls := range []string{"closed", "open"} {
			put(q+", walls "+walls, inducedCase(q, walls, "", ""))
			put(q+", walls "+walls+" and elliptic to infinite", inducedCase(q, walls, "elliptic", "infinite"))
		}
	}
	return cases
}

// TestDerivedHalfWidthsHold: whatever the true figures are within the half-widths of
// the print, the derived one lies within its own, as worked out and as published: in
// every corner of the box and in random points of it. Every conversion that a request
// can ask for has its row, and a row that no request asks for is wrong.
func TestDerivedHalfWidthsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	cases := widthCases(t, r)
	conversions := knownConversions(t)
	for _, name := range conversions {
		if _, ok := cases[name]; !ok {
			t.Errorf("no row for %s", name)
		}
	}
	for name := range cases {
		if !slices.Contains(conversions, name) {
			t.Errorf("a row for %s, which no request asks for", name)
		}
	}
	corners, points := 0, 0
	for _, name := range slices.Sorted(maps.Keys(cases)) {
		c := cases[name]
		reached := 0.0 // of the half-width, by the farthest corner
		rounds := 10
		if c.room > 1e-6 { // lifting lines take their time
			rounds = 2
		}
		for range rounds {
			done, not := Derive(c.record(), c.ask)
			if len(done) != 1 {
				t.Fatalf("%s: %d derived, %v", name, len(done), not)
			}
			d := done[0]
			value, half := float(d.Value), float(d.Half)
			number, published := float(d.Number().Rat()), float(d.HalfWidth().Rat())
			if d.HalfWidth().Rat().Cmp(d.Half) < 0 || published > half*1.003 {
				t.Errorf("%s: half-width %v, published %v", name, half, published)
			}
			x := map[string]float64{}
			keys := make([]string, len(d.Parents))
			at, wide := make([]float64, len(d.Parents)), make([]float64, len(d.Parents))
			for i, p := range d.Parents {
				at[i], wide[i] = float(p.Value.Rat()), float(p.Half)
				if keys[i] = p.Cell.ID.Column; slices.Contains([]string{"ias", "cas", "add"}, keys[i]) {
					keys[i] += p.Cell.ID.Row
				}
				if _, twice := x[keys[i]]; twice {
					t.Fatalf("%s: two parents %s", name, keys[i])
				}
				x[keys[i]] = at[i]
			}
			if y := c.again(x); math.Abs(y-value) > half*c.room+1e-12 {
				t.Fatalf("%s: %v comes to %v by the equation, %v by the program", name, x, y, value)
			}
			holds := func() float64 {
				y := c.again(x)
				apart := math.Abs(y - value)
				if room := 1 + 1e-9 + c.room; apart > half*room || math.Abs(y-number) > published*room {
					t.Fatalf("%s: %v about %v gives %v, outside of %v +- %v (published %v +- %v)", name, x, at, y, value, half, number, published)
				}
				return apart
			}
			for corner := range 1 << len(at) {
				for i := range at {
					x[keys[i]] = at[i] + wide[i]*float64(2*(corner>>i&1)-1)
				}
				reached = max(reached, holds()/half)
				corners++
			}
			for range 40 {
				for i := range at {
					x[keys[i]] = at[i] + wide[i]*(2*r.Float64()-1)
				}
				holds()
				points++
			}
		}
		if reached < 1-1e-9-c.room {
			t.Errorf("%s: no corner goes farther than %.9f of the half-width", name, reached)
		}
	}
	if len(cases) != 135 || points != 40*(10*99+2*36) || corners < 20*len(cases) {
		t.Errorf("%d rows, %d corners and %d points", len(cases), corners, points)
	}
}

// Two rows that their rounding may lay on one another have no line through them.
func TestRowsThatMayFallTogetherAreRefused(t *testing.T) {
	ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "CAS", PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}}
	record := figures(named(t, "speeds", []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}, flight(), "25.0"),
		named(t, "errors", errorColumns, flight(), "25.0|26.0|1", "25.1|26.1|1"))
	wantTold(t, record, ask, `refused: airspeed "25.0" at speeds:r1:v is not derived as CAS: its half-width cannot be carried through: where the figures that it follows from move by theirs, two rows of the table of position errors fall together, within their half-widths`)
}

// The same the other way, where the rounding of two rows may turn them round.
func TestRowsThatMayBeTurnedRoundAreRefused(t *testing.T) {
	record := figures(named(t, "speeds", []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}, calibratedBasis(), "25.5"),
		named(t, "errors", errorColumns, flight(), "24.0|25.5|1.5", "26.0|25.6|-.4"))
	for _, ask := range []extract.Derivation{backAsk("cas", ""), backAsk("", "add")} {
		wantTold(t, record, ask, `refused: airspeed "25.5" at speeds:r1:v is not derived as IAS: its half-width cannot be carried through: where the figures that it follows from move by theirs, two rows of the table of position errors fall together, within their half-widths`)
	}
}

// An angle of 0 rad, known within half of one, of a lift of 0 within .5 and a drag of
// .100: C_N is .5 cos(.5) + .1 sin(.5) = .487 in the farthest corner, and sqrt(.5^2 + .1^2) = .510
// at 11 deg. In degrees it is known well enough.
func TestAMomentThatTurnsRoundWithinItsAngleIsRefused(t *testing.T) {
	coarse := slices.Clone(momentColumns)
	coarse[0].Unit = "rad"
	ask := extract.Derivation{Quantity: "pitching-moment coefficient", MomentCenter: "leading edge"}
	done, not := Derive(figures(named(t, "polar", coarse, noseUp(), "0|0|.100|-.100")), ask)
	want := `pitching-moment coefficient "-.100" at polar:r1:cm is not derived as leading edge: its half-width cannot be carried through: angle of attack "0" at polar:r1:a is known so coarsely that it goes farther between the ends of its interval than at them`
	if len(done) != 0 || len(not) != 1 || not[0].Msg != want {
		t.Errorf("%d derived, %v", len(done), not)
	}
	if done, not = Derive(figures(named(t, "polar", momentColumns, noseUp(), "11|0|.100|-.100")), ask); len(done) != 1 {
		t.Errorf("refused %v", not)
	}
}

// A value that is written shorter than it is takes the rounding into its half-width:
// 1/3 +- 0.0005 is written 0.3333333 +- 0.0005001, and 1/3 lies within.
func TestRoundingOfADerivedValueWidensIt(t *testing.T) {
	for _, c := range []struct{ value, half, number, width string }{
		{"1/3", "1/2000", "0.3333333", "0.0005001"},
		{"1/4", "1/2000", "0.2500000", "0.0005"},
		{"2/3", "1234/10000", "0.6667", "0.1235"}, // 0.1234 + 0.0000333
	} {
		d := Derived{Value: ratOf(t, c.value), Half: ratOf(t, c.half), Accuracy: ratOf(t, c.half)}
		a, stated := d.PublishedAccuracy()
		if d.Number().String() != c.number || d.HalfWidth().String() != c.width || !stated || a.Cmp(d.HalfWidth()) != 0 {
			t.Errorf("%s +- %s is %s +- %s (accuracy %s), want %s +- %s", c.value, c.half, d.Number(), d.HalfWidth(), a, c.number, c.width)
		}
	}
}

func float(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
