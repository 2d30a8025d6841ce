// Package air holds the standard atmosphere, as it is today and as reports of the
// 1920s to 1940s took it, and the kinds of airspeed.
//
// Units are SI throughout: metres, kelvins, pascals, kg/m3, m/s, Pa s.
package air

import (
	"fmt"
	"math"
)

// Standard names a standard atmosphere. The zero Standard is none, so that no
// atmosphere is assumed where a source does not say which it used.
type Standard int

const (
	// Modern is the ICAO and ISO 2533 standard atmosphere, which is the U.S.
	// Standard Atmosphere 1976 but for the seventh digit of the gas constant
	// (287.05287 against 287.05307 J/(kg K)): 1e-6 of the pressure at 3 km.
	Modern Standard = iota + 1
	// Period is the NACA standard of 1925 to 1950 as its symbol pages print it:
	// density 0.002378 slug/ft3 at 15 C and 760 mm Hg, kinematic viscosity from
	// Reynolds number 935,400 for 1 ft at 100 mph. Its troposphere alone is given.
	Period
)

func (s Standard) String() string {
	switch s {
	case Modern:
		return "standard atmosphere"
	case Period:
		return "NACA standard atmosphere"
	}
	return fmt.Sprintf("standard %d", int(s))
}

// Constants of both standards. Source: U.S. Standard Atmosphere 1976, tables 2 and
// 4; the temperature, pressure and lapse of the period standard are the same
// (NACA TR 824, aeronautic symbols: 15 C, 760 mm; lapse FROM MEMORY of NACA TR 218).
const (
	gravity             = 9.80665   // m/s2, at sea level
	seaLevelTemperature = 288.15    // K
	seaLevelPressure    = 101325    // Pa
	gasConstant         = 287.05287 // J/(kg K), ISO 2533
	heatRatio           = 1.4
	earthRadius         = 6356766 // m, effective

	sutherlandFactor   = 1.458e-6 // kg/(m s sqrt K)
	sutherlandConstant = 110.4    // K; the text and the errata; table 2 of the print has 110
)

const (
	periodDensity = 0.002378 * 515.378818393196203 // slug/ft3 to kg/m3
	// 1 ft at 100 mph has Reynolds number 935,400 (NACA TR 824, aeronautic symbols).
	periodKinematicViscosity = 0.3048 * 44.704 / 935400 // m2/s
	// periodTropopause is where 15 C less 6.5 K/km reaches -55 C.
	periodTropopause = 70 / 0.0065 // m
)

// Limits of the geopotential altitude, in metres.
const (
	lowest  = -5000 // where the tables of 1976 begin
	highest = 79000 // above it the mean molecular weight is not constant
)

// layer is one layer of the 1976 atmosphere: its base and temperature gradient.
type layer struct {
	base  float64 // geopotential m
	lapse float64 // K/m
}

// layers returns the layers in rising order. Source: U.S. Standard Atmosphere
// 1976, table 4.
func layers() [7]layer {
	return [7]layer{{0, -0.0065}, {11000, 0}, {20000, 0.001}, {32000, 0.0028}, {47000, 0}, {51000, -0.0028}, {71000, -0.002}}
}

// State is the state of still air at one altitude.
type State struct {
	Temperature float64 // K
	Pressure    float64 // Pa
	Density     float64 // kg/m3
	SoundSpeed  float64 // m/s
	Viscosity   float64 // dynamic, Pa s
	Sigma       float64 // density over that at sea level
	Delta       float64 // pressure over that at sea level
	Theta       float64 // temperature over that at sea level
}

// At returns the state of the air at a geopotential altitude in metres; a
// geometric altitude goes through Geopotential first. In each layer, with base
// values T1, p1 at H1 and gradient L,
//
//	T = T1 + L (H - H1)
//	p = p1 (T1/T)^(g0/(R L))            L != 0
//	p = p1 exp(-g0 (H - H1)/(R T1))     L  = 0
//	rho = p/(R T), a = sqrt(1.4 p/rho), mu = 1.458e-6 T^1.5/(T + 110.4)
//
// Range: -5,000 m to 79,000 m, for Period to 10,769 m; outside it is an error.
// Under Period, R follows from its own sea-level density, and the viscosity is
// scaled to its own printed value. Source: U.S. Standard Atmosphere 1976, equations
// 23, 33a, 33b, 42, 50, 51.
func (s Standard) At(geopotential float64) (State, error) {
	top := float64(highest)
	gas, muScale := gasConstant, 1.0
	switch s {
	case Modern:
	case Period:
		top = periodTropopause
		gas = seaLevelPressure / (periodDensity * seaLevelTemperature)
		muScale = periodDensity * periodKinematicViscosity / sutherland(seaLevelTemperature)
	default:
		return State{}, fmt.Errorf("no standard atmosphere is named: Modern or Period is wanted")
	}
	if !(geopotential >= lowest && geopotential <= top) { // also NaN
		return State{}, fmt.Errorf("geopotential altitude %g m is outside the %s: %d m to %.0f m is wanted", geopotential, s, lowest, top)
	}
	t, p := seaLevelTemperature, float64(seaLevelPressure)
	all := layers()
	for i, l := range all {
		step := geopotential - l.base
		last := i+1 == len(all) || geopotential <= all[i+1].base
		if !last {
			step = all[i+1].base - l.base
		}
		next := t + l.lapse*step
		if l.lapse == 0 {
			p *= math.Exp(-gravity * step / (gas * t))
		} else {
			p *= math.Pow(t/next, gravity/(gas*l.lapse))
		}
		t = next
		if last {
			break
		}
	}
	density := p / (gas * t)
	seaLevelDensity := seaLevelPressure / (gas * seaLevelTemperature)
	return State{
		Temperature: t,
		Pressure:    p,
		Density:     density,
		SoundSpeed:  math.Sqrt(heatRatio * gas * t),
		Viscosity:   muScale * sutherland(t),
		Sigma:       density / seaLevelDensity,
		Delta:       p / seaLevelPressure,
		Theta:       t / seaLevelTemperature,
	}, nil
}

// sutherland returns the dynamic viscosity of air in Pa s at a temperature in K.
func sutherland(temperature float64) float64 {
	return sutherlandFactor * temperature * math.Sqrt(temperature) / (temperature + sutherlandConstant)
}

// Geopotential turns a geometric altitude into a geopotential one, both in metres:
//
//	H = r Z/(r + Z), r = 6,356,766 m
//
// At 9,144 m (30,000 ft) they differ by 13 m and the pressures by 0.2 %. Source:
// U.S. Standard Atmosphere 1976, equation 18.
func Geopotential(geometric float64) float64 {
	return earthRadius * geometric / (earthRadius + geometric)
}

// Geometric is the inverse of Geopotential: Z = r H/(r - H).
func Geometric(geopotential float64) float64 {
	return earthRadius * geopotential / (earthRadius - geopotential)
}

// DynamicPressure returns q = rho V^2/2 in Pa for a density in kg/m3 and a true
// airspeed in m/s; with the density at sea level the speed is the equivalent one.
func DynamicPressure(density, speed float64) float64 {
	return density * speed * speed / 2
}

// Reynolds returns the Reynolds number rho V c/mu of a chord in m at a true
// airspeed in m/s.
func (s State) Reynolds(speed, chord float64) float64 {
	return s.Density * speed * chord / s.Viscosity
}
