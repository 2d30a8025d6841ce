package flight

import "math"

// LoadFactorInTurn returns the load factor of a steady, coordinated, level turn:
//
//	n = 1/cos(phi)
//
// Bank between -90 and 90 deg.
// Source: FAA, Pilot's Handbook of Aeronautical Knowledge; standard.
func LoadFactorInTurn(bankDeg float64) (float64, error) {
	d := domain{relation: "load factor in a level turn"}
	d.angle("bank", bankDeg)
	return d.result(1 / math.Cos(radians(bankDeg)))
}

// LoadFactorInDescendingTurn returns the load factor of a steady, coordinated
// turn on a straight-sided helix:
//
//	n = cos(gamma)/cos(phi)
//
// with the path inclined by gamma to the horizontal, up or down, and the bank phi
// measured about the flight path. Both between -90 and 90 deg. Standard.
func LoadFactorInDescendingTurn(bankDeg, descentDeg float64) (float64, error) {
	d := domain{relation: "load factor in a descending turn"}
	d.angle("bank", bankDeg)
	d.angle("descent", descentDeg)
	return d.result(math.Cos(radians(descentDeg)) / math.Cos(radians(bankDeg)))
}

// BankDeg returns the bank in degrees, 0 to 90, of a level turn at a load factor
// of 1 or more:
//
//	phi = arccos(1/n) = arctan(sqrt(n^2 - 1))
//
// Standard; the second form keeps its digits near n = 1.
func BankDeg(loadFactor float64) (float64, error) {
	d := domain{relation: "bank of a level turn"}
	d.require(loadFactor >= 1, "load factor", loadFactor, "1 or more")
	return d.result(degrees(math.Atan(tanBank(loadFactor))))
}

// BankForTurnRateDeg returns the bank in degrees of a level turn at a rate:
//
//	phi = arctan(V omega / g)
//
// trueAirspeed in m/s and gravity in m/s2, more than 0; turnRate in rad/s, 0 or
// more. The standard rate is 3 deg/s = pi/60 rad/s. Standard.
func BankForTurnRateDeg(trueAirspeed, turnRate, gravity float64) (float64, error) {
	d := domain{relation: "bank for a rate of turn"}
	d.positive("true airspeed (m/s)", trueAirspeed)
	d.notNegative("rate of turn (rad/s)", turnRate)
	d.positive("gravity (m/s2)", gravity)
	return d.result(degrees(math.Atan(trueAirspeed * turnRate / gravity)))
}

// TurnRadius returns the radius in m of a level turn in still air:
//
//	R = V^2 / (g tan(phi))
//
// trueAirspeed in m/s and gravity in m/s2, more than 0; bank more than 0 and less
// than 90 deg. Gravity is an argument since sources compute with their own:
// 9.8, 10, 32.2 ft/s2; StandardGravity otherwise. Standard.
func TurnRadius(trueAirspeed, bankDeg, gravity float64) (float64, error) {
	d := turn("radius of a level turn", trueAirspeed, bankDeg, gravity)
	return d.result(trueAirspeed * trueAirspeed / (gravity * math.Tan(radians(bankDeg))))
}

// TurnRate returns the rate in rad/s of a level turn:
//
//	omega = g tan(phi) / V
//
// with arguments as TurnRadius. Standard.
func TurnRate(trueAirspeed, bankDeg, gravity float64) (float64, error) {
	d := turn("rate of a level turn", trueAirspeed, bankDeg, gravity)
	return d.result(gravity * math.Tan(radians(bankDeg)) / trueAirspeed)
}

// TurnRadiusAtLoadFactor returns the radius in m of a level turn:
//
//	R = V^2 / (g sqrt(n^2 - 1))
//
// trueAirspeed in m/s and gravity in m/s2, more than 0; loadFactor more than 1.
// Standard.
func TurnRadiusAtLoadFactor(trueAirspeed, loadFactor, gravity float64) (float64, error) {
	d := turnAtLoadFactor("radius of a level turn", trueAirspeed, loadFactor, gravity)
	return d.result(trueAirspeed * trueAirspeed / (gravity * tanBank(loadFactor)))
}

// TurnRateAtLoadFactor returns the rate in rad/s of a level turn:
//
//	omega = g sqrt(n^2 - 1) / V
//
// with arguments as TurnRadiusAtLoadFactor. Standard.
func TurnRateAtLoadFactor(trueAirspeed, loadFactor, gravity float64) (float64, error) {
	d := turnAtLoadFactor("rate of a level turn", trueAirspeed, loadFactor, gravity)
	return d.result(gravity * tanBank(loadFactor) / trueAirspeed)
}

// SustainedLoadFactor returns the load factor of a level turn in which thrust
// equals drag on a parabolic polar, T = q S [CD0 + k (n W / (q S))^2]:
//
//	n = (q / (W/S)) sqrt((T/(q S) - CD0) / k)
//
// dynamicPressure q and wingLoading W/S in N/m2, more than 0; thrust over wing
// area T/S in N/m2, at least q CD0; k more than 0; cd0 0 or more. The lift
// coefficient n W/(q S) must lie within the range that the polar was measured in,
// and below CLmax: the caller checks that. A result below 1 says that level
// flight cannot be held at this speed. For a propeller T = eta P / V. Standard.
func SustainedLoadFactor(dynamicPressure, wingLoading, thrustOverArea, cd0, k float64) (float64, error) {
	d := domain{relation: "sustained load factor"}
	d.positive("dynamic pressure (N/m2)", dynamicPressure)
	d.positive("wing loading (N/m2)", wingLoading)
	d.notNegative("CD0", cd0)
	d.positive("k", k)
	excess := thrustOverArea/dynamicPressure - cd0
	d.require(excess >= 0, "thrust over wing area (N/m2)", thrustOverArea, "at least the drag at zero lift, q CD0")
	return d.result(dynamicPressure / wingLoading * math.Sqrt(excess/k))
}

// tanBank returns sqrt(n^2 - 1), factored so that it keeps its digits near n = 1
// and does not overflow.
func tanBank(loadFactor float64) float64 {
	return math.Sqrt(loadFactor-1) * math.Sqrt(loadFactor+1)
}

func turn(relation string, trueAirspeed, bankDeg, gravity float64) domain {
	d := domain{relation: relation}
	d.positive("true airspeed (m/s)", trueAirspeed)
	d.require(bankDeg > 0 && bankDeg < 90, "bank", bankDeg, "more than 0 and less than 90 deg")
	d.positive("gravity (m/s2)", gravity)
	return d
}

func turnAtLoadFactor(relation string, trueAirspeed, loadFactor, gravity float64) domain {
	d := domain{relation: relation}
	d.positive("true airspeed (m/s)", trueAirspeed)
	d.require(loadFactor > 1, "load factor", loadFactor, "more than 1")
	d.positive("gravity (m/s2)", gravity)
	return d
}
