package flight

import (
	"fmt"
	"math"
	"sort"
)

// MaxLiftingLineTerms bounds the series of LiftingLine, whose work grows as the
// cube of the terms; 40 to 80 are plenty.
const MaxLiftingLineTerms = 256

// Points of quadrature over the semispan: enough that a kink of the planform
// between two points moves no factor by 1e-6.
const (
	leastStations   = 2048
	stationsPerTerm = 16
)

// SpanFunction is a quantity over the semispan, of eta = 2 y/b, 0 at the root and
// 1 at the tip; the wing is the same on both sides.
type SpanFunction func(eta float64) float64

// Uniform is the same value over the whole span.
func Uniform(value float64) SpanFunction {
	return func(float64) float64 { return value }
}

// LinearOverSpan runs straight from root to tip.
func LinearOverSpan(root, tip float64) SpanFunction {
	return func(eta float64) float64 { return root + (tip-root)*eta }
}

// TableOverSpan interpolates linearly in a table of values at stations eta, which
// start at 0, end at 1 and increase strictly; every value is finite.
func TableOverSpan(eta, values []float64) (SpanFunction, error) {
	d := domain{relation: "table over the span"}
	d.require(len(eta) >= 2, "number of stations", float64(len(eta)), "2 or more")
	d.require(len(values) == len(eta), "number of values", float64(len(values)), fmt.Sprintf("%d, one a station", len(eta)))
	if d.err != nil {
		return nil, d.err
	}
	last := len(eta) - 1
	d.require(eta[0] == 0, "first station", eta[0], "0, the root")
	d.require(eta[last] == 1, "last station", eta[last], "1, the tip")
	for i := range eta {
		if i > 0 {
			d.require(eta[i] > eta[i-1], fmt.Sprintf("station %d", i+1), eta[i], fmt.Sprintf("more than %v, the station before", eta[i-1]))
		}
		d.finite(fmt.Sprintf("value %d", i+1), values[i])
	}
	if d.err != nil {
		return nil, d.err
	}
	stations, table := append([]float64(nil), eta...), append([]float64(nil), values...)
	return func(eta float64) float64 {
		i := min(max(sort.SearchFloat64s(stations, eta), 1), last)
		part := (eta - stations[i-1]) / (stations[i] - stations[i-1])
		return table[i-1]*(1-part) + table[i]*part
	}, nil
}

// EllipticChord is the chord of an elliptic wing:
//
//	c = root sqrt(1 - eta^2)
//
// in the unit of its root chord.
func EllipticChord(root float64) SpanFunction {
	return func(eta float64) float64 { return root * math.Sqrt((1-eta)*(1+eta)) }
}

// TaperedChord returns the chord, as a fraction of the span, of a straight-tapered
// wing with square or rounded tips:
//
//	c = cs (1 - (1-lambda) eta)                                     to eta = 1-h
//	c = cs (1 - (1-lambda) eta) sqrt(1 - ((eta-(1-h))/h)^2)         beyond
//	h = tipLength ct/(b/2),  ct = lambda cs
//
// cs is the root chord that makes b^2/S the aspectRatio, S being the area WITHIN
// the rounding; ct is the chord that leading and trailing edge would reach at the
// extreme tip, so that taperRatio lambda, 0 to 1, is ct/cs. The tip is rounded by
// half an ellipse over a spanwise length of tipLength ct, tipLength 0 or more: 0 is
// a square tip, 1 the tip of NACA TR 572, which is formed within a trapezoidal tip
// as long as its chord. aspectRatio more than 0 and so great that the rounding does
// not pass the root.
func TaperedChord(aspectRatio, taperRatio, tipLength float64) (SpanFunction, error) {
	d := domain{relation: "chord of a tapered wing"}
	d.positive("aspect ratio", aspectRatio)
	d.require(taperRatio >= 0 && taperRatio <= 1, "taper ratio", taperRatio, "0 to 1")
	d.notNegative("length of the tip (in tip chords)", tipLength)
	if d.err != nil {
		return nil, d.err
	}
	// With the semispan as unit, area(r) is S for a root chord r. What the rounding
	// takes away is the integral of chord (1 - sqrt(1-s^2)), s = 0 to 1.
	area := func(r float64) float64 {
		h := taperRatio * r * tipLength
		lost := h * ((taperRatio+(1-taperRatio)*h)*(1-math.Pi/4) - (1-taperRatio)*h/6)
		return 2 * r * ((1+taperRatio)/2 - lost)
	}
	want := 4 / aspectRatio
	low, high := 0.0, 8/aspectRatio // the rounding takes less than half
	if taperRatio*tipLength*high > 1 {
		high = 1 / (taperRatio * tipLength)
	}
	d.require(area(high) >= want, "aspect ratio", aspectRatio, fmt.Sprintf("%.4g or more, where the rounding of the tips meets at the root", 4/area(high)))
	if d.err != nil {
		return nil, d.err
	}
	for range 200 {
		middle := low + (high-low)/2
		if area(middle) < want {
			low = middle
		} else {
			high = middle
		}
	}
	root, h := high/2, taperRatio*high*tipLength // root in spans, h in semispans
	return func(eta float64) float64 {
		chord := root * (1 - (1-taperRatio)*eta)
		if eta > 1-h {
			s := (eta - (1 - h)) / h
			chord *= math.Sqrt(max(0, (1-s)*(1+s)))
		}
		return chord
	}, nil
}

// StraightWing is an unswept wing without dihedral, the same on both sides, as the
// lifting line sees it.
type StraightWing struct {
	Span         float64      // b, in the unit of the chord
	Chord        SpanFunction // more than 0 inboard of the tip, where it may be 0
	SectionSlope SpanFunction // a0 per rad, more than 0
	// Twist is the angle in rad from the reference line of the wing up to the
	// direction of zero lift of the section: positive where the section meets the
	// air at more. Nil is no twist.
	Twist SpanFunction
}

// SpanLoading is what the lifting line finds for a StraightWing. The circulation
// is a sine series in theta, cos(theta) = eta, of odd n:
//
//	c cl = 4 b sum A_n sin(n theta),  A_n = CL AdditionalTerms + BasicTerms
//
// AdditionalTerms per unit of CL, the first being 1/(pi A); BasicTerms in rad, the
// first 0, all 0 without twist. Element i belongs to n = 2 i + 1.
type SpanLoading struct {
	Span, Area, AspectRatio float64
	MeanSectionSlope        float64 // integral of a0 c over S, per rad
	Slope                   float64 // a = dCL/d(alpha), per rad
	ZeroLiftAngle           float64 // of the reference line at CL = 0, rad
	Tau                     float64 // a = a0/(1 + a0 (1+tau)/(pi A)), a0 the MeanSectionSlope
	Delta                   float64 // CDi = CL^2 (1+delta)/(pi A) without twist
	AdditionalTerms         []float64
	BasicTerms              []float64
}

// LiftingLine solves Prandtl's equation of the lifting line,
//
//	sum A_n sin(n theta) (4 b/(a0 c) + n/sin(theta)) = alpha + twist
//
// for the odd n below 2 terms, as SpanLoading has it. It is multiplied by
// sin(theta) sin(m theta) and integrated over the span for each m, rather than met
// at as many points as there are terms: the matrix is then symmetric and positive
// definite, and the slope converges from below, the faster for being stationary.
// With one point a term it would be Glauert's collocation.
//
// span more than 0; terms 1 to MaxLiftingLineTerms. Measured on straight tapers with
// and without twist, 40 terms are within 2e-4 of their limit in the loading at A = 6
// and 6e-4 at A = 20, nearly all of it at the kink of the root, and within 1e-6 in
// slope, delta and angle of zero lift; twice the terms leave a quarter. Good for
// aspect ratios from about 4, incompressible flow, below the stall, where the
// sections are linear in alpha; no sweep. A step of chord, slope or twist is placed
// to 1/2000 of the span, and the loading rings beside it: give it width. A tip that
// runs out to a cusp (chord falling as (1-eta)^2) is refused.
// Source: Prandtl; Glauert, The Elements of Aerofoil and Airscrew Theory, ch. XI.
func LiftingLine(w StraightWing, terms int) (SpanLoading, error) {
	d := domain{relation: "lifting line"}
	d.positive("span", w.Span)
	d.require(terms >= 1 && terms <= MaxLiftingLineTerms, "number of terms", float64(terms), fmt.Sprintf("1 to %d", MaxLiftingLineTerms))
	d.require(w.Chord != nil, "chord", 0, "a function of eta")
	d.require(w.SectionSlope != nil, "section slope", 0, "a function of eta")
	if d.err != nil {
		return SpanLoading{}, d.err
	}

	stations := max(leastStations, stationsPerTerm*terms)
	step := math.Pi / 2 / float64(stations)
	matrix := make([][]float64, terms)
	for i := range matrix {
		matrix[i] = make([]float64, i+1)
		matrix[i][i] = float64(2*i+1) * math.Pi / 4
	}
	twist := make([]float64, terms)
	sines := make([]float64, terms)
	var area, slopeArea, largest float64
	// From the root outwards, so that the tip is judged by the largest chord.
	for j := stations - 1; j >= 0; j-- {
		theta := (float64(j) + 0.5) * step
		sin, cos := math.Sincos(theta)
		chord, slope, angle := w.Chord(cos), w.SectionSlope(cos), 0.0
		if w.Twist != nil {
			angle = w.Twist(cos)
		}
		largest = max(largest, slope*chord)
		// Asked as one question, for the texts cost more than the sums.
		if !(positiveFinite(chord) && positiveFinite(slope) && !math.IsNaN(angle) && !math.IsInf(angle, 0)) || j == 0 {
			at := fmt.Sprintf(" at eta %.6f", cos)
			d.positive("chord"+at, chord)
			d.positive("section slope (per rad)"+at, slope)
			d.finite("twist (rad)"+at, angle)
			if j == 0 {
				d.require(slope*chord > 1e-4*largest*(1-cos), "chord times section slope"+at, slope*chord, "a tip that does not run out to a cusp")
			}
			if d.err != nil {
				return SpanLoading{}, d.err
			}
		}
		area += chord * sin * step
		slopeArea += slope * chord * sin * step
		weight := 4 * w.Span / (slope * chord) * sin * step
		for i := range sines {
			sines[i] = math.Sin(float64(2*i+1) * theta)
			twist[i] += angle * sin * sines[i] * step
		}
		for i, row := range matrix {
			scaled := weight * sines[i]
			for k := range row {
				row[k] += scaled * sines[k]
			}
		}
	}
	area *= w.Span // the semispan, twice
	unit := make([]float64, terms)
	unit[0] = math.Pi / 4 // the integral of sin(theta) sin(m theta) is 0 for the others
	d.require(factorize(matrix), "number of terms", float64(terms), "fewer, or a smoother wing: the equations are singular")
	if d.err != nil {
		return SpanLoading{}, d.err
	}
	solve(matrix, unit)
	solve(matrix, twist)

	l := SpanLoading{
		Span: w.Span, Area: area, AspectRatio: w.Span * w.Span / area,
		MeanSectionSlope: slopeArea * w.Span / area,
		ZeroLiftAngle:    -twist[0] / unit[0],
		AdditionalTerms:  make([]float64, terms),
		BasicTerms:       make([]float64, terms),
	}
	round := math.Pi * l.AspectRatio
	l.Slope = round * unit[0]
	l.Tau = round*(1/l.Slope-1/l.MeanSectionSlope) - 1
	for i := range unit {
		ratio := unit[i] / unit[0]
		l.AdditionalTerms[i] = ratio / round
		if i > 0 {
			l.Delta += float64(2*i+1) * ratio * ratio
			l.BasicTerms[i] = twist[i] - ratio*twist[0]
		}
	}
	d.finite("area", l.Area)
	d.positive("lift-curve slope", l.Slope)
	d.finite("tau", l.Tau)
	d.finite("delta", l.Delta)
	d.finite("angle of zero lift", l.ZeroLiftAngle)
	if d.err != nil {
		return SpanLoading{}, d.err
	}
	return l, nil
}

// Additional returns the loading by lift at the station eta, 0 to 1, for any twist:
//
//	La = c cl/(CL S/b) = 4 A sum AdditionalTerms sin(n theta)
//
// the quantity of NACA TR 572, Table II, and 4/pi sqrt(1-eta^2) where it is
// elliptic.
func (l SpanLoading) Additional(eta float64) (float64, error) {
	return l.loading("additional span loading", l.AdditionalTerms, eta)
}

// Basic returns the loading at no lift, by twist alone, at the station eta, 0 to 1:
//
//	c clb/(S/b) = 4 A sum BasicTerms sin(n theta)
//
// Over twist at the tip times a0 it is Lb of NACA TR 572, Table I.
func (l SpanLoading) Basic(eta float64) (float64, error) {
	return l.loading("basic span loading", l.BasicTerms, eta)
}

func (l SpanLoading) loading(relation string, terms []float64, eta float64) (float64, error) {
	d := domain{relation: relation}
	d.require(eta >= 0 && eta <= 1, "station eta", eta, "0 to 1")
	if d.err != nil {
		return 0, d.err
	}
	theta := math.Acos(eta)
	sum := 0.0
	for i := len(terms) - 1; i >= 0; i-- {
		sum += terms[i] * math.Sin(float64(2*i+1)*theta)
	}
	return d.result(4 * l.AspectRatio * sum)
}

// InducedAngle returns the angle in rad by which the flow at the station eta, 0 to
// less than 1, is turned down, at the lift coefficient cl of the wing:
//
//	alpha_i = sum n A_n sin(n theta)/sin(theta)
//
// CL/(pi A) all along where the loading is elliptic. Close to a tip of finite
// chord the series converges slowly.
func (l SpanLoading) InducedAngle(cl, eta float64) (float64, error) {
	d := domain{relation: "induced angle"}
	d.finite("CL", cl)
	d.require(eta >= 0 && eta < 1, "station eta", eta, "0 to less than 1")
	if d.err != nil {
		return 0, d.err
	}
	theta := math.Acos(eta)
	sum := 0.0
	for i := len(l.AdditionalTerms) - 1; i >= 0; i-- {
		n := float64(2*i + 1)
		sum += n * (cl*l.AdditionalTerms[i] + l.BasicTerms[i]) * math.Sin(n*theta)
	}
	return d.result(sum / math.Sin(theta))
}

// InducedDrag returns the coefficient of induced drag at the lift coefficient cl:
//
//	CDi = pi A sum n A_n^2
//
// twist included: with it the drag is least, and CL^2 (1+delta)/(pi A) wrong, at a
// CL that is not 0.
func (l SpanLoading) InducedDrag(cl float64) (float64, error) {
	d := domain{relation: "induced drag"}
	d.finite("CL", cl)
	sum := 0.0
	for i := len(l.AdditionalTerms) - 1; i >= 0; i-- {
		a := cl*l.AdditionalTerms[i] + l.BasicTerms[i]
		sum += float64(2*i+1) * a * a
	}
	return d.result(math.Pi * l.AspectRatio * sum)
}

// Factors returns what the relations between aspect ratios need of the wing; they
// hold for it where it has no twist.
func (l SpanLoading) Factors() WingFactors {
	return WingFactors{AspectRatio: l.AspectRatio, Tau: l.Tau, Delta: l.Delta}
}

// WingFactors is a wing as the relations between aspect ratios see it.
type WingFactors struct {
	AspectRatio float64 // more than 0; +Inf is the section
	Tau         float64 // of the slope, more than -1; 0 where the loading is elliptic
	Delta       float64 // of the induced drag, 0 or more; 0 where the loading is elliptic
}

// EllipticWing is a wing of elliptic loading.
func EllipticWing(aspectRatio float64) WingFactors {
	return WingFactors{AspectRatio: aspectRatio}
}

// Section is a wing of infinite aspect ratio.
func Section() WingFactors {
	return WingFactors{AspectRatio: math.Inf(1)}
}

func (w WingFactors) check(d *domain, which string) {
	if !math.IsInf(w.AspectRatio, 1) {
		d.positive("aspect ratio"+which, w.AspectRatio)
	}
	d.require(w.Tau > -1, "tau"+which, w.Tau, "more than -1")
	d.notNegative("delta"+which, w.Delta)
}

// AngleBetweenAspectRatios returns, in rad, the angle of attack at which the wing
// to has the lift coefficient cl that the wing from has at alpha, in rad:
//
//	alpha2 = alpha1 + CL/pi ((1+tau2)/A2 - (1+tau1)/A1)
//
// Same section, no twist or the same, no sweep; below the stall; A from about 4.
// Standard (Prandtl, Glauert).
func AngleBetweenAspectRatios(alpha, cl float64, from, to WingFactors) (float64, error) {
	d := betweenAspectRatios("angle of attack at another aspect ratio", "angle of attack (rad)", alpha, cl, from, to)
	return d.result(alpha + cl/math.Pi*((1+to.Tau)/to.AspectRatio-(1+from.Tau)/from.AspectRatio))
}

// DragBetweenAspectRatios returns the drag coefficient of the wing to at the lift
// coefficient cl, where the wing from has cd:
//
//	CD2 = CD1 + CL^2/pi ((1+delta2)/A2 - (1+delta1)/A1)
//
// cd 0 or more; the result may be less than 0, and then what was put in does not
// belong together. Validity as AngleBetweenAspectRatios. Standard (Prandtl, Glauert).
func DragBetweenAspectRatios(cd, cl float64, from, to WingFactors) (float64, error) {
	d := betweenAspectRatios("drag coefficient at another aspect ratio", "CD", cd, cl, from, to)
	d.notNegative("CD", cd)
	return d.result(cd + cl*cl/math.Pi*((1+to.Delta)/to.AspectRatio-(1+from.Delta)/from.AspectRatio))
}

func betweenAspectRatios(relation, argument string, value, cl float64, from, to WingFactors) domain {
	d := domain{relation: relation}
	d.finite(argument, value)
	d.finite("CL", cl)
	from.check(&d, " of the first wing")
	to.check(&d, " of the second wing")
	return d
}

// SlopeFromSection returns the lift-curve slope per radian of a wing:
//
//	a = a0/(1 + a0 (1+tau)/(pi A))
//
// sectionSlope a0 per radian, more than 0. Validity as AngleBetweenAspectRatios.
// SlopePrandtl is the same with tau 0. Standard (Glauert).
func SlopeFromSection(sectionSlope float64, w WingFactors) (float64, error) {
	d := domain{relation: "wing lift-curve slope from the section's"}
	d.positive("section slope (per rad)", sectionSlope)
	w.check(&d, "")
	return d.result(sectionSlope / (1 + sectionSlope*(1+w.Tau)/(math.Pi*w.AspectRatio)))
}

// SlopeOfSection returns the section lift-curve slope per radian that the slope of
// a wing implies:
//
//	a0 = a/(1 - a (1+tau)/(pi A))
//
// wingSlope a per radian, more than 0 and less than pi A/(1+tau), which no section
// reaches. The inverse of SlopeFromSection.
func SlopeOfSection(wingSlope float64, w WingFactors) (float64, error) {
	d := domain{relation: "section lift-curve slope from the wing's"}
	d.positive("wing slope (per rad)", wingSlope)
	w.check(&d, "")
	if most := math.Pi * w.AspectRatio / (1 + w.Tau); d.err == nil {
		d.require(wingSlope < most, "wing slope (per rad)", wingSlope, fmt.Sprintf("less than %.4g, pi A/(1+tau)", most))
	}
	return d.result(wingSlope / (1 - wingSlope*(1+w.Tau)/(math.Pi*w.AspectRatio)))
}

// WallAngle returns, in rad, what the walls of a wind tunnel are to be corrected
// by; it is always ADDED to the measured angle of attack:
//
//	Delta alpha = delta (S/C) CL
//
// wallFactor delta signed, -1 to 1: more than 0 for a closed section, less for an
// open jet (+0.125 and -0.125 for a circle, small span; from memory). wingArea S
// more than 0 and less than sectionArea C. Standard (Prandtl, Glauert; from memory).
func WallAngle(wallFactor, wingArea, sectionArea, cl float64) (float64, error) {
	d := wall("wall correction of the angle of attack", wallFactor, wingArea, sectionArea, cl)
	return d.result(wallFactor * (wingArea / sectionArea) * cl)
}

// WallDrag returns what the walls of a wind tunnel take from the drag coefficient;
// it is always ADDED to the measured one:
//
//	Delta CD = delta (S/C) CL^2
//
// arguments and source as WallAngle.
func WallDrag(wallFactor, wingArea, sectionArea, cl float64) (float64, error) {
	d := wall("wall correction of the drag", wallFactor, wingArea, sectionArea, cl)
	return d.result(wallFactor * (wingArea / sectionArea) * cl * cl)
}

func wall(relation string, wallFactor, wingArea, sectionArea, cl float64) domain {
	d := domain{relation: relation}
	d.require(wallFactor >= -1 && wallFactor <= 1, "wall factor delta", wallFactor, "-1 to 1")
	d.positive("wing area", wingArea)
	d.positive("area of the tunnel's section", sectionArea)
	d.require(wingArea < sectionArea, "wing area", wingArea, fmt.Sprintf("less than %v, the area of the tunnel's section", sectionArea))
	d.finite("CL", cl)
	return d
}

func positiveFinite(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// factorize replaces the lower triangle of a symmetric positive definite matrix by
// its Cholesky factor, and reports whether it is one.
func factorize(m [][]float64) bool {
	for i, row := range m {
		for k, other := range m[:i+1] {
			sum := row[k]
			for j := range k {
				sum -= row[j] * other[j]
			}
			if k < i {
				row[k] = sum / other[k]
				continue
			}
			if !(sum > 0) || math.IsInf(sum, 1) {
				return false
			}
			row[i] = math.Sqrt(sum)
		}
	}
	return true
}

// solve replaces v by the solution for the factor of the matrix.
func solve(factor [][]float64, v []float64) {
	for i, row := range factor {
		for k := range i {
			v[i] -= row[k] * v[k]
		}
		v[i] /= row[i]
	}
	for i := len(v) - 1; i >= 0; i-- {
		for k := i + 1; k < len(v); k++ {
			v[i] -= factor[k][i] * v[k]
		}
		v[i] /= factor[i][i]
	}
}
