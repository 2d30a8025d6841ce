package flight

// WingLoading returns W/S in N/m2: weight in N, area in m2, both more than 0.
// The area is the reference area of the source, which for a biplane is that of
// all wings.
func WingLoading(weight, area float64) (float64, error) {
	d := domain{relation: "wing loading"}
	d.positive("weight (N)", weight)
	d.positive("area (m2)", area)
	return d.result(weight / area)
}

// AspectRatio returns A = b^2/S: span in m, area in m2, both more than 0. A
// monoplane; for a biplane b^2/S overstates the wing's merit, which Munk's span
// factor corrects (NASA SP-468, appendix C).
func AspectRatio(span, area float64) (float64, error) {
	d := domain{relation: "aspect ratio"}
	d.positive("span (m)", span)
	d.positive("area (m2)", area)
	return d.result(span * span / area)
}

// MeanChord returns the geometric mean chord S/b in m: area in m2, span in m,
// both more than 0. It is not the mean aerodynamic chord, which is larger on a
// tapered wing.
func MeanChord(area, span float64) (float64, error) {
	d := domain{relation: "mean chord"}
	d.positive("area (m2)", area)
	d.positive("span (m)", span)
	return d.result(area / span)
}

// PowerLoading returns W/P in N/W: weight in N, power in W, both more than 0.
func PowerLoading(weight, power float64) (float64, error) {
	d := domain{relation: "power loading"}
	d.positive("weight (N)", weight)
	d.positive("power (W)", power)
	return d.result(weight / power)
}

// ReynoldsNumber returns the test Reynolds number
//
//	Re = rho V c / mu
//
// density in kg/m3, trueAirspeed in m/s, chord in m, viscosity (dynamic) in
// N s/m2; all more than 0. An effective Reynolds number is this times the
// turbulence factor of the tunnel.
// Source: NACA, Aeronautic Symbols, section 3.
func ReynoldsNumber(density, trueAirspeed, chord, viscosity float64) (float64, error) {
	d := domain{relation: "Reynolds number"}
	d.positive("density (kg/m3)", density)
	d.positive("true airspeed (m/s)", trueAirspeed)
	d.positive("chord (m)", chord)
	d.positive("viscosity (N s/m2)", viscosity)
	return d.result(density * trueAirspeed * chord / viscosity)
}
