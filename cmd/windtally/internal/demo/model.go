package demo

import (
	"math"
	"strconv"
	"strings"
)

// The wing of report 12 in inches, and the aeroplane of report 15 in feet and pounds.
const (
	wingSpan, wingChord = 60.0, 10.0
	wingAspect          = wingSpan / wingChord

	aeroplaneSpan, aeroplaneArea             = 37.40, 240.0
	grossWeight, testWeight, emptyWeight     = 4150.0, 3980.0, 2780.0
	ratedPower, takeOffPower                 = 330.0, 365.0
	seaLevelDensity                          = 0.0023769 // slug/ft3, standard atmosphere
	seaLevelViscosity                        = 1.5723e-4 // kinematic, ft2/s, standard atmosphere
	feetPerSecondInMPH, feetPerSecondInKnots = 3600 / 5280.0, 0.3048 * 3600 / 1852
	slopeUp                                  = 0.0765 // per degree, wing of aspect ratio 6
)

// wing is the wing of report 12 with one kind of flap at one deflection:
//
//	C_L = a (alpha - alpha0) up to the bend, then a parabola to C_Lmax at alphaS,
//	C_D = C_D0 + C_L^2/(pi A e), and more from two degrees before the bend.
//
// Angles in degrees, a per degree.
type wing struct {
	flap                string // as report 12 prints it
	deflection          float64
	slope, alpha0       float64
	clMax, alphaS       float64
	cd0, spanEfficiency float64
	cm0, cmPerDegree    float64
}

// flapped returns the wing with a flap that adds deltaCL at constant angle below
// the stall, without a change of slope.
func flapped(flap string, deflection, deltaCL, clMax, alphaS, cd0, e, cm0 float64) wing {
	return wing{flap, deflection, slopeUp, -1.8 - deltaCL/slopeUp, clMax, alphaS, cd0, e, cm0, -0.0006}
}

var (
	wingUp    = wing{"None", 0, slopeUp, -1.8, 1.38, 18, 0.0092, 0.92, -0.038, 0.0002}
	plain20   = flapped("Plain", 20, 0.42, 1.67, 17, 0.0215, 0.88, -0.118)
	plain40   = flapped("Plain", 40, 0.66, 1.82, 16, 0.0640, 0.86, -0.164)
	plain60   = flapped("Plain", 60, 0.75, 1.87, 15, 0.1120, 0.84, -0.181)
	split30   = flapped("Split", 30, 0.62, 1.95, 17, 0.0570, 0.87, -0.152)
	split60   = flapped("Split", 60, 0.86, 2.16, 16, 0.1270, 0.85, -0.197)
	slotted20 = flapped("Slotted", 20, 0.55, 1.92, 17, 0.0182, 0.89, -0.149)
	slotted40 = flapped("Slotted", 40, 0.95, 2.26, 16, 0.0490, 0.87, -0.243)
	// Coefficients on the original area: the slope grows with the area that the
	// flap uncovers.
	area20 = wing{"Area-increasing", 20, 0.0815, -10.9, 2.31, 18, 0.0231, 0.86, -0.262, -0.0008}
	area40 = wing{"Area-increasing", 40, 0.0824, -16.4, 2.72, 17, 0.0585, 0.84, -0.371, -0.0008}
)

// bend returns the angle where the lift curve leaves the straight line: the
// parabola meets the line there with the line's slope.
func (w wing) bend() float64 {
	return w.alphaS - 2*(w.alphaS-w.alpha0-w.clMax/w.slope)
}

func (w wing) lift(alpha float64) float64 {
	past := alpha - w.alphaS
	switch {
	case alpha <= w.bend():
		return w.slope * (alpha - w.alpha0)
	case past <= 0:
		return w.clMax - w.slope*past*past/(2*(w.alphaS-w.bend()))
	}
	return w.clMax - 0.012*past - 0.024*past*past
}

func (w wing) drag(alpha float64) float64 {
	cl := w.lift(math.Min(alpha, w.alphaS)) // beyond the stall drag does not fall with lift
	excess := math.Max(0, alpha-w.bend()+2)
	return w.cd0 + cl*cl/(math.Pi*wingAspect*w.spanEfficiency) + 0.0013*excess*excess + 0.012*math.Max(0, alpha-w.alphaS)
}

// moment is about the quarter-chord point.
func (w wing) moment(alpha float64) float64 {
	return w.cm0 + w.cmPerDegree*alpha - 0.009*math.Max(0, alpha-w.alphaS)
}

// leastDrag is the least over the angles of the test, from -4 degrees upwards.
func (w wing) leastDrag() float64 {
	least := math.Inf(1)
	for alpha := -4.0; alpha <= w.alphaS; alpha++ {
		least = math.Min(least, w.drag(alpha))
	}
	return least
}

// stall is the aeroplane of report 15 with its split flap at one deflection.
type stall struct {
	deflection, clMax float64
	positionError     float64 // mph, to be added to the indicated speed near the stall
}

var stalls = []stall{{0, 1.46, 1.9}, {15, 1.66, 2.0}, {30, 1.84, 2.2}, {45, 1.97, 2.3}, {60, 2.05, 2.4}}

// speed returns the stalling speed in ft/s at sea level: sqrt(2 W/(rho S C_Lmax)).
func (s stall) speed(weight float64) float64 {
	return math.Sqrt(2 * weight / (seaLevelDensity * aeroplaneArea * s.clMax))
}

// figure rounds to decimals and prints as the laboratory does: no zero before the
// point, thousands apart by commas.
func figure(v float64, decimals int) string {
	text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, part, _ := strings.Cut(text, ".")
	negative := v < 0 && strings.Trim(text, "0.") != ""
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if decimals > 0 {
		if whole == "0" {
			whole = ""
		}
		whole += "." + part
	}
	if negative {
		return "–" + whole
	}
	return whole
}
