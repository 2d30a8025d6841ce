package air

import (
	"fmt"
	"math"
)

// DensityAltitude returns the geopotential altitude in metres at which the standard
// atmosphere has the density that air has at a pressure altitude in metres and a
// temperature in K:
//
//	rho = p/(R T), p that of the standard at the pressure altitude
//	H_rho = H1 + (T1/L) [(rho1/rho)^(1/(1 + g0/(R L))) - 1]   L != 0
//	H_rho = H1 + (R T1/g0) ln(rho1/rho)                       L  = 0
//
// in the layer with base values T1, rho1 at H1 and gradient L in which rho lies. The
// density falls with altitude in every layer, so there is one. At the standard's own
// temperature the two altitudes are one. It is an error where either is outside the
// standard. Source: the equations of Standard.At, solved for the altitude.
func (s Standard) DensityAltitude(pressureAltitude, temperature float64) (float64, error) {
	here, err := s.At(pressureAltitude)
	if err != nil {
		return 0, err
	}
	if !(temperature > 0) || math.IsInf(temperature, 1) {
		return 0, fmt.Errorf("temperature %g K: a finite temperature above zero is wanted", temperature)
	}
	gas := here.Pressure / (here.Density * here.Temperature) // of this standard
	density := here.Pressure / (gas * temperature)
	top := float64(highest)
	if s == Period {
		top = periodTropopause
	}
	for _, end := range []float64{lowest, top} {
		edge, err := s.At(end)
		if err != nil {
			return 0, err
		}
		if beyond := density - edge.Density; end == lowest && beyond > 0 || end == top && beyond < 0 {
			return 0, fmt.Errorf("density %.4g kg/m3 (pressure altitude %g m, %g K) is that of no altitude of the %s", density, pressureAltitude, temperature, s)
		}
	}
	all := layers()
	i := 0
	var base State
	for k, l := range all {
		if l.base > top {
			break
		}
		state, err := s.At(l.base)
		if err != nil {
			return 0, err
		}
		if k > 0 && state.Density < density {
			break
		}
		i, base = k, state
	}
	ratio, l := base.Density/density, all[i]
	if l.lapse == 0 {
		return l.base + gas*base.Temperature/gravity*math.Log(ratio), nil
	}
	return l.base + base.Temperature/l.lapse*math.Expm1(math.Log(ratio)/(1+gravity/(gas*l.lapse))), nil
}
