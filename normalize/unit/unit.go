// Package unit holds the units of period reports with exact factors: rational
// numbers over math/big, and for angles a rational times a power of pi. A unit is
// known by its UCUM code (https://ucum.org/ucum); Parse understands the spellings
// of printed reports and refuses the ambiguous ones.
//
// Conventions that the print leaves open and this package settles: a mile is the
// statute mile, a knot the international knot of 1852 m/h, a horsepower 550 ft
// lbf/s unless it says metric (PS, CV, ch), a horsepower's place of measurement
// (brake, shaft, indicated) is not part of the unit, mercury has 13595.1 kg/m3
// under standard gravity 9.80665 m/s2 (in. Hg = 3386.388640341 Pa; sources differ
// in the sixth digit, UCUM's own definition gives 3386.3788).
package unit

import (
	"fmt"
	"math/big"
	"strings"
)

// Dimension is a product of powers of the base dimensions. The plane angle is
// counted as a dimension of its own, so that degrees are never taken for numbers.
type Dimension struct {
	Length, Mass, Time, Temperature, Angle int8
	// Difference is 1 for a temperature difference. Its units have no offset, and
	// none of them converts to a temperature: 9 degF is -12.8 degC on the scale and
	// 5 degrees as a difference.
	Difference int8
}

// Dimensions of the quantities that reports tabulate.
var (
	Dimensionless      = Dimension{}
	Length             = Dimension{Length: 1}
	Area               = Dimension{Length: 2}
	Volume             = Dimension{Length: 3}
	Time               = Dimension{Time: 1}
	Mass               = Dimension{Mass: 1}
	Force              = Dimension{Length: 1, Mass: 1, Time: -2}
	Pressure           = Dimension{Length: -1, Mass: 1, Time: -2} // also wing loading
	Power              = Dimension{Length: 2, Mass: 1, Time: -3}
	PowerLoading       = Dimension{Length: -1, Time: 1} // force per power
	SpanLoading        = Dimension{Mass: 1, Time: -2}   // force per length
	FuelConsumption    = Dimension{Length: -2, Time: 2} // mass per power and time
	Moment             = Dimension{Length: 2, Mass: 1, Time: -2}
	Speed              = Dimension{Length: 1, Time: -1}
	Acceleration       = Dimension{Length: 1, Time: -2}
	Density            = Dimension{Length: -3, Mass: 1}
	KinematicViscosity = Dimension{Length: 2, Time: -1}
	DynamicViscosity   = Dimension{Length: -1, Mass: 1, Time: -1}
	Temperature        = Dimension{Temperature: 1}
	// TemperatureDifference is a dimension of its own: see Dimension.
	TemperatureDifference = Dimension{Difference: 1}
	Angle                 = Dimension{Angle: 1}
	AngularSpeed          = Dimension{Angle: 1, Time: -1}
	AngularAcceleration   = Dimension{Angle: 1, Time: -2}
	MomentOfInertia       = Dimension{Length: 2, Mass: 1}
	PerAngle              = Dimension{Angle: -1} // slopes
)

// String names the dimension in plain English, or spells out its powers.
func (d Dimension) String() string {
	switch d {
	case Dimensionless:
		return "dimensionless"
	case Length:
		return "length"
	case Area:
		return "area"
	case Volume:
		return "volume"
	case Time:
		return "time"
	case Mass:
		return "mass"
	case Force:
		return "force"
	case Pressure:
		return "pressure"
	case Power:
		return "power"
	case PowerLoading:
		return "power loading"
	case Moment:
		return "moment"
	case Speed:
		return "speed"
	case Acceleration:
		return "acceleration"
	case Density:
		return "density"
	case KinematicViscosity:
		return "kinematic viscosity"
	case DynamicViscosity:
		return "viscosity"
	case Temperature:
		return "temperature"
	case TemperatureDifference:
		return "temperature difference"
	case SpanLoading:
		return "force per length"
	case FuelConsumption:
		return "fuel consumption"
	case AngularAcceleration:
		return "angular acceleration"
	case MomentOfInertia:
		return "moment of inertia"
	case Angle:
		return "angle"
	case AngularSpeed:
		return "angular speed"
	case PerAngle:
		return "per angle"
	}
	var parts []string
	for _, p := range []struct {
		name  string
		power int8
	}{{"length", d.Length}, {"mass", d.Mass}, {"time", d.Time}, {"temperature", d.Temperature}, {"angle", d.Angle}, {"temperature difference", d.Difference}} {
		switch p.power {
		case 0:
		case 1:
			parts = append(parts, p.name)
		default:
			parts = append(parts, fmt.Sprintf("%s^%d", p.name, p.power))
		}
	}
	return strings.Join(parts, " ")
}

// Unit is a unit of measurement. A value v in it is, in coherent SI units and
// radians,
//
//	(v + Offset) * Factor * pi^Pi
//
// Offset is nil except for the Celsius and Fahrenheit scales.
type Unit struct {
	Name   string // plain English, singular: "foot", "pound-force per square foot"
	UCUM   string
	Dim    Dimension
	Factor *big.Rat
	Pi     int
	Offset *big.Rat
}

func (u Unit) String() string { return u.Name }

// copied returns u with its own rationals, so that no caller can change the table.
func (u Unit) copied() Unit {
	u.Factor = new(big.Rat).Set(u.Factor)
	if u.Offset != nil {
		u.Offset = new(big.Rat).Set(u.Offset)
	}
	return u
}

// Lookup returns the unit with the UCUM code, in the spelling of this package.
func Lookup(code string) (Unit, bool) {
	i, ok := index[code]
	if !ok {
		return Unit{}, false
	}
	return table[i].copied(), true
}

// All returns every unit, in the order of the table.
func All() []Unit {
	all := make([]Unit, len(table))
	for i, u := range table {
		all[i] = u.copied()
	}
	return all
}

// Exact is a rational times a power of pi: Rat * pi^Pi.
type Exact struct {
	Rat *big.Rat
	Pi  int
}

// Convert expresses v, which is in from, in to:
//
//	((v + from.Offset) * from.Factor / to.Factor) * pi^(from.Pi - to.Pi) - to.Offset
//
// exactly. Between a scale with an offset (Celsius, Fahrenheit) and kelvin or
// Rankine, v is a point on the scale; a temperature difference has units and a
// dimension of its own. For the width of an interval of v see Width. It is an error
// when the dimensions differ. Source: the definitions beside each row of the table.
func Convert(v *big.Rat, from, to Unit) (Exact, error) {
	if v == nil || from.Factor == nil || to.Factor == nil {
		return Exact{}, fmt.Errorf("cannot convert from %q to %q: value or factor is absent", from.Name, to.Name)
	}
	if from.Dim != to.Dim {
		return Exact{}, fmt.Errorf("cannot convert %s (%s) to %s (%s)", from.Name, from.Dim, to.Name, to.Dim)
	}
	if to.Factor.Sign() == 0 {
		return Exact{}, fmt.Errorf("cannot convert to %s: its factor is zero", to.Name)
	}
	r := new(big.Rat).Set(v)
	if from.Offset != nil {
		r.Add(r, from.Offset)
	}
	r.Mul(r, from.Factor)
	r.Quo(r, to.Factor)
	if to.Offset != nil {
		r.Sub(r, to.Offset)
	}
	e := Exact{Rat: r, Pi: from.Pi - to.Pi}
	if r.Sign() == 0 {
		e.Pi = 0
	}
	return e, nil
}

// Width expresses the width w of an interval of values in from, in to:
//
//	w * from.Factor / to.Factor * pi^(from.Pi - to.Pi)
//
// It takes the factors and no offset: a reading of 59 degF within 1 degF is 15 degC
// within 5/9 degC.
func Width(w *big.Rat, from, to Unit) (Exact, error) {
	from.Offset, to.Offset = nil, nil
	return Convert(w, from, to)
}

// piDigits is pi cut to 100 digits after the point.
const piDigits = "3.1415926535897932384626433832795028841971693993751058209749445923078164062862089986280348253421170679"

// approximatePi is piDigits; it is never changed.
var approximatePi = func() *big.Rat {
	pi, _ := new(big.Rat).SetString(piDigits)
	return pi
}()

// Approx returns e as a rational: exact where Pi is 0, otherwise with pi to 100
// digits after the point.
func (e Exact) Approx() *big.Rat {
	if e.Rat == nil {
		return new(big.Rat)
	}
	r := new(big.Rat).Set(e.Rat)
	if e.Pi == 0 {
		return r
	}
	pi := approximatePi
	for i := 0; i < e.Pi; i++ {
		r.Mul(r, pi)
	}
	for i := 0; i > e.Pi; i-- {
		r.Quo(r, pi)
	}
	return r
}

// Float64 returns the float64 nearest to e.
func (e Exact) Float64() float64 {
	f, _ := e.Approx().Float64()
	return f
}
