package flight

import "math"

// ThinAerofoilSlope is the lift-curve slope of a thin aerofoil in two-dimensional
// incompressible flow, per radian. Standard.
const ThinAerofoilSlope = 2 * math.Pi

// SlopePrandtl returns the lift-curve slope per radian of a straight wing with
// elliptic loading, by lifting-line theory:
//
//	a = a0 / (1 + a0/(pi A))
//
// sectionSlope a0 per radian, more than 0; aspectRatio more than 0, the theory
// being good from about 4. Incompressible, unswept. With a0 = 2 pi it is
// 2 pi A/(A+2), which some pages print under Helmbold's name. Standard (Prandtl).
func SlopePrandtl(sectionSlope, aspectRatio float64) (float64, error) {
	d := wing("wing lift-curve slope (Prandtl)", sectionSlope, aspectRatio)
	return d.result(sectionSlope / (1 + sectionSlope/(math.Pi*aspectRatio)))
}

// SlopeHelmbold returns the lift-curve slope per radian of a straight wing of any
// aspect ratio:
//
//	a = a0 / (sqrt(1 + x^2) + x),  x = a0/(pi A)
//
// arguments as SlopePrandtl. Incompressible, unswept. With a0 = 2 pi it is
// 2 pi A/(2 + sqrt(A^2+4)); multiplying that by a0/(2 pi) instead is 2.8 % low at
// A = 6 and a0 = 0.1 per degree. Standard (Helmbold 1942, from memory).
func SlopeHelmbold(sectionSlope, aspectRatio float64) (float64, error) {
	d := wing("wing lift-curve slope (Helmbold)", sectionSlope, aspectRatio)
	x := sectionSlope / (math.Pi * aspectRatio)
	return d.result(sectionSlope / (math.Hypot(1, x) + x))
}

// SlopePolhamus returns the lift-curve slope per radian of a swept wing in
// subsonic flow, the formula of the USAF DATCOM:
//
//	a = 2 pi A / (2 + sqrt(4 + (A beta/kappa)^2 (1 + (tan L / beta)^2)))
//	beta^2 = 1 - M^2,  kappa = a0/(2 pi)
//
// sectionSlope a0 per radian in INCOMPRESSIBLE flow, more than 0; aspectRatio
// more than 0; L the sweep of the half-chord line, between -90 and 90 deg; Mach
// number 0 or more and less than 1, and below the wing's critical one. Without
// sweep and Mach number it is Helmbold's. Standard.
func SlopePolhamus(sectionSlope, aspectRatio, halfChordSweepDeg, mach float64) (float64, error) {
	d := wing("wing lift-curve slope (Polhamus)", sectionSlope, aspectRatio)
	d.angle("half-chord sweep", halfChordSweepDeg)
	d.require(mach >= 0 && mach < 1, "Mach number", mach, "0 or more and less than 1")
	beta2 := (1 - mach) * (1 + mach)
	tan := math.Tan(radians(halfChordSweepDeg))
	// x = A/kappa; 4 + x^2 (beta^2 + tan^2) is the radicand above, multiplied out.
	x := ThinAerofoilSlope * aspectRatio / sectionSlope
	return d.result(2 * math.Pi * aspectRatio / (2 + math.Sqrt(4+x*x*(beta2+tan*tan))))
}

// DragCoefficient returns CD of a parabolic polar:
//
//	CD = CD0 + k CL^2
//
// cd0 and k 0 or more, cl any. Valid in the range of CL that the polar was fitted
// in, below the bend before the stall. Standard.
func DragCoefficient(cd0, k, cl float64) (float64, error) {
	d := domain{relation: "drag coefficient"}
	d.notNegative("CD0", cd0)
	d.notNegative("k", k)
	d.finite("CL", cl)
	return d.result(cd0 + k*cl*cl)
}

// InducedDragFactor returns k of the parabolic polar:
//
//	k = 1/(pi A e)
//
// both arguments more than 0. Standard.
func InducedDragFactor(aspectRatio, spanEfficiency float64) (float64, error) {
	d := domain{relation: "induced drag factor"}
	d.positive("aspect ratio", aspectRatio)
	d.positive("span efficiency", spanEfficiency)
	return d.result(1 / (math.Pi * aspectRatio * spanEfficiency))
}

// SpanEfficiency returns the span-efficiency factor that k of a polar implies:
//
//	e = 1/(pi A k)
//
// both arguments more than 0. From a polar of the whole aeroplane it is Oswald's
// factor, 0.7 to 0.85 at moderate aspect ratio with flaps up; more than 1 is
// possible only where walls are uncorrected or the area is not the wing's own.
// Standard.
func SpanEfficiency(aspectRatio, k float64) (float64, error) {
	d := domain{relation: "span efficiency"}
	d.positive("aspect ratio", aspectRatio)
	d.positive("k", k)
	return d.result(1 / (math.Pi * aspectRatio * k))
}

// MaxLiftDrag returns the greatest L/D of a parabolic polar:
//
//	(L/D)max = 1/(2 sqrt(CD0 k))
//
// at CL = sqrt(CD0/k), see BestLiftCoefficient; both arguments more than 0. The
// analytic optimum lies above the best row of a table with steps. Standard.
func MaxLiftDrag(cd0, k float64) (float64, error) {
	d := domain{relation: "greatest L/D"}
	d.positive("CD0", cd0)
	d.positive("k", k)
	return d.result(1 / (2 * math.Sqrt(cd0) * math.Sqrt(k)))
}

// BestLiftCoefficient returns the CL of the greatest L/D of a parabolic polar:
//
//	CL = sqrt(CD0/k)
//
// both arguments more than 0; meaningless where it exceeds the range of the
// polar. Standard.
func BestLiftCoefficient(cd0, k float64) (float64, error) {
	d := domain{relation: "CL of the greatest L/D"}
	d.positive("CD0", cd0)
	d.positive("k", k)
	return d.result(math.Sqrt(cd0 / k))
}

// FlapEffectiveness returns tau = -d(alpha L0)/d(delta) of a plain trailing-edge
// flap on a thin aerofoil:
//
//	tau = 1 - (theta - sin(theta))/pi,  theta = arccos(2 E - 1)
//
// chordRatio E = flap chord / chord, 0 to 1, the hinge on the chord line. Then
// d(cl)/d(delta) = 2 pi tau per radian at constant angle of attack. Small
// deflections in two-dimensional, incompressible flow without separation: an
// upper bound, of which real plain flaps reach 60 to 85 % to 10-15 deg (from
// memory) and less beyond.
// Source: Glauert; Houghton and Carpenter, Aerodynamics for Engineering Students,
// eq. 4.52.
func FlapEffectiveness(chordRatio float64) (float64, error) {
	d := domain{relation: "flap effectiveness"}
	d.require(chordRatio >= 0 && chordRatio <= 1, "flap chord ratio", chordRatio, "0 to 1")
	// theta = 2 arcsin(sqrt(1-E)); by its supplement u = pi - theta, tau is
	// (u + sin u)/pi, which keeps its digits for a narrow flap.
	u := 2 * math.Asin(math.Sqrt(chordRatio))
	return d.result((u + math.Sin(u)) / math.Pi)
}

func wing(relation string, sectionSlope, aspectRatio float64) domain {
	d := domain{relation: relation}
	d.positive("section slope (per rad)", sectionSlope)
	d.positive("aspect ratio", aspectRatio)
	return d
}
