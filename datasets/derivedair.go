package datasets

import (
	"fmt"
	"math"

	"windtally/normalize/air"
)

// air reads the arguments of a function of the standard atmosphere: a speed and an
// altitude, or for density_altitude an altitude and a temperature.
func (p *formulaParser) air(name string) (term, error) {
	if err := p.want("("); err != nil {
		return nil, err
	}
	first, err := p.sum()
	if err == nil {
		err = p.want(",")
	}
	if err != nil {
		return nil, err
	}
	second, err := p.sum()
	if err == nil {
		err = p.want(",")
	}
	if err != nil {
		return nil, err
	}
	var standard air.Standard
	switch t := p.next(); t {
	case "modern":
		standard = air.Modern
	case "period":
		standard = air.Period
	default:
		return nil, fmt.Errorf("%q is no standard atmosphere, it would be right as modern or period", t)
	}
	return func(at map[string]float64) (float64, error) {
		x, err := first(at)
		if err != nil {
			return 0, err
		}
		y, err := second(at)
		if err != nil {
			return 0, err
		}
		if name == "density_altitude" {
			return standard.DensityAltitude(x, y)
		}
		state, err := standard.At(y)
		if err != nil {
			return 0, err
		}
		switch name {
		case "EAS":
			return air.CASToEAS(x, state)
		case "TAS":
			return air.EASToTAS(x, state)
		case "CAS_of_EAS":
			return air.EASToCAS(x, state)
		}
		return air.TASToEAS(x, state)
	}, p.want(")")
}

// circle reads the argument of cosd or sind, an angle in degrees.
func (p *formulaParser) circle(name string) (term, error) {
	if err := p.want("("); err != nil {
		return nil, err
	}
	angle, err := p.sum()
	if err == nil {
		err = p.want(")")
	}
	return func(at map[string]float64) (float64, error) {
		degrees, err := angle(at)
		if err != nil {
			return 0, err
		}
		if name == "cosd" {
			return math.Cos(degrees * math.Pi / 180), nil
		}
		return math.Sin(degrees * math.Pi / 180), nil
	}, err
}
