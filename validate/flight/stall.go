package flight

import "math"

// StallSpeed returns the speed in m/s at which a wing carries its load at CLmax
// in unaccelerated flight:
//
//	Vs = sqrt(2 (W/S) / (rho CLmax))
//
// wingLoading in N/m2, density in kg/m3; all more than 0. With the density of the
// air flown in the result is a true airspeed; with that of the standard sea level
// it is an equivalent airspeed. clMax is that of the whole aeroplane in its
// configuration, at the Reynolds number of the stall. Standard.
func StallSpeed(wingLoading, density, clMax float64) (float64, error) {
	d := domain{relation: "stall speed"}
	d.positive("wing loading (N/m2)", wingLoading)
	d.positive("density (kg/m3)", density)
	d.positive("CLmax", clMax)
	return d.result(math.Sqrt(2 * wingLoading / (density * clMax)))
}

// CLMaxFromStall returns the CLmax that a stall speed implies:
//
//	CLmax = 2 (W/S) / (rho Vs^2)
//
// wingLoading in N/m2, density in kg/m3, stallSpeed in m/s; all more than 0. The
// speed is of the kind that the density makes it: true with the air's own
// density, equivalent with the standard sea level's. A speed as indicated is
// neither, and gives a CLmax that may be far too large. Standard.
func CLMaxFromStall(wingLoading, density, stallSpeed float64) (float64, error) {
	d := domain{relation: "CLmax from the stall speed"}
	d.positive("wing loading (N/m2)", wingLoading)
	d.positive("density (kg/m3)", density)
	d.positive("stall speed (m/s)", stallSpeed)
	return d.result(2 * wingLoading / (density * stallSpeed * stallSpeed))
}

// StallSpeedAtLoadFactor returns the stall speed at a load factor:
//
//	Vs(n) = Vs sqrt(n)
//
// in the unit of stallSpeed, which is that at load factor 1; both more than 0.
// CLmax is taken as the same at both speeds.
// Source: FAA, Pilot's Handbook of Aeronautical Knowledge, load factors and
// stalling speeds.
func StallSpeedAtLoadFactor(stallSpeed, loadFactor float64) (float64, error) {
	d := domain{relation: "stall speed at a load factor"}
	d.positive("stall speed", stallSpeed)
	d.positive("load factor", loadFactor)
	return d.result(stallSpeed * math.Sqrt(loadFactor))
}

// StallSpeedAtWeight returns the stall speed at another weight:
//
//	Vs2 = Vs1 sqrt(W2/W1)
//
// in the unit of stallSpeed; the weights in one unit; all more than 0. CLmax,
// density and configuration are the same. Standard.
func StallSpeedAtWeight(stallSpeed, weight, otherWeight float64) (float64, error) {
	d := domain{relation: "stall speed at another weight"}
	d.positive("stall speed", stallSpeed)
	d.positive("weight", weight)
	d.positive("other weight", otherWeight)
	return d.result(stallSpeed * math.Sqrt(otherWeight/weight))
}

// StallSpeedAtCLMax returns the stall speed at another CLmax, as with flaps:
//
//	Vs2 = Vs1 sqrt(CLmax1/CLmax2)
//
// in the unit of stallSpeed; all more than 0. Both CLmax are on the same area.
// Standard. Measured pairs miss it: NACA TN 604 by 4.5 % of the speed between
// tunnel and flight.
func StallSpeedAtCLMax(stallSpeed, clMax, otherCLMax float64) (float64, error) {
	d := domain{relation: "stall speed at another CLmax"}
	d.positive("stall speed", stallSpeed)
	d.positive("CLmax", clMax)
	d.positive("other CLmax", otherCLMax)
	return d.result(stallSpeed * math.Sqrt(clMax/otherCLMax))
}

// LiftLimitedLoadFactor returns the load factor at which the wing stalls:
//
//	n = (V/Vs)^2
//
// speed 0 or more and stallSpeed (at load factor 1) more than 0, in one unit and
// of one kind. Valid to the corner speed, where the limit load factor takes over.
// Standard.
func LiftLimitedLoadFactor(speed, stallSpeed float64) (float64, error) {
	d := domain{relation: "lift-limited load factor"}
	d.notNegative("speed", speed)
	d.positive("stall speed", stallSpeed)
	ratio := speed / stallSpeed
	return d.result(ratio * ratio)
}

// CornerSpeed returns the least speed at which the limit load factor is reached:
//
//	Vc = Vs sqrt(n limit)
//
// in the unit of stallSpeed, which is more than 0; limitLoadFactor 1 or more.
// Standard.
func CornerSpeed(stallSpeed, limitLoadFactor float64) (float64, error) {
	d := domain{relation: "corner speed"}
	d.positive("stall speed", stallSpeed)
	d.require(limitLoadFactor >= 1, "limit load factor", limitLoadFactor, "1 or more")
	return d.result(stallSpeed * math.Sqrt(limitLoadFactor))
}
