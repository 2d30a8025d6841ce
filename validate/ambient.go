package validate

import (
	"fmt"
	"math"

	"windtally/extract"
	"windtally/normalize/air"
)

// What the air of a day differs from the standard at a height, where pressure or
// temperature is not known: 3 to 4 % in pressure, 20 K in temperature, which is 7 % in
// density and 5 % in viscosity (common practice, no source).
const (
	pressureOfTheDay  = 0.04
	densityOfTheDay   = 0.08
	viscosityOfTheDay = 0.05
)

// surroundings is the air in which a figure was measured.
type surroundings struct {
	// at is its state where altitude and temperature move by so much.
	at           func(dh, dt float64) (air.State, error)
	height, warm float64 // half-widths of the two
	cells        []extract.CellID
	where        string
	// density and viscosity are the relative room where the standard is taken for
	// want of a figure.
	density, viscosity float64
}

// surroundingsOf finds the air that the basis of a figure states: the density of a
// density altitude, that of a pressure altitude and a temperature, and the standard's
// at a pressure altitude alone; at a geometric height the standard is an approximation.
func surroundingsOf(e *Entry, standard air.Standard) (surroundings, bool) {
	var s surroundings
	h, kind := 0.0, "pressure"
	switch ref := e.Basis.Altitude; ref {
	case "":
		return s, false
	case "sea-level":
		s.where = "at sea level"
	default:
		d := e.Series.Ref(e.Row, ref)
		if d == nil || d.Quantity == nil || !d.Value.Known() {
			return s, false
		}
		h, s.height, kind = float(d.Value), width(d), d.Basis.AltitudeKind
		s.cells = append(s.cells, d.Cell.ID)
		s.where = fmt.Sprintf("at %s %s", d.Cell.Text, d.Unit.Name)
	}
	t := 0.0
	if ref := e.Basis.Temperature; ref != "" {
		d := e.Series.Ref(e.Row, ref)
		if d == nil || d.Quantity == nil || !d.Value.Known() {
			return s, false
		}
		t, s.warm = float(d.Value), width(d)
		s.cells = append(s.cells, d.Cell.ID)
		s.where += fmt.Sprintf(" and %s %s", d.Cell.Text, d.Unit.Name)
	}
	switch kind {
	case "pressure":
	case "density":
		s.where += " of density altitude"
		if t == 0 {
			s.viscosity = viscosityOfTheDay
		}
	default:
		s.where += ", no pressure or density altitude,"
		if s.density, s.viscosity = densityOfTheDay, viscosityOfTheDay; t > 0 {
			s.density, s.viscosity = pressureOfTheDay, 0
		}
	}
	s.at = func(dh, dt float64) (air.State, error) {
		state, err := standard.At(h + dh)
		if err != nil || t == 0 {
			return state, err
		}
		// The viscosity of air is one of its temperature alone: that of the standard
		// where it is as warm.
		const seaLevel, lapse = 288.15, 0.0065
		same, err := standard.At((seaLevel - t - dt) / lapse)
		if err != nil {
			return state, err
		}
		// p = rho R T
		ratio := (t + dt) / state.Temperature
		if kind == "density" {
			state.Pressure *= ratio
			state.Delta *= ratio
		} else {
			state.Density /= ratio
			state.Sigma /= ratio
		}
		state.Temperature, state.Theta = t+dt, state.Theta*ratio
		state.SoundSpeed *= math.Sqrt(ratio)
		state.Viscosity = same.Viscosity
		return state, nil
	}
	return s, true
}

// densityWithin is the density, and how far relative to it half-widths and room leave
// it.
func (s *surroundings) densityWithin() (density, room float64, ok bool) {
	state, err := s.at(0, 0)
	if err != nil {
		return 0, 0, false
	}
	for _, move := range [][2]float64{{s.height, 0}, {0, s.warm}} {
		moved, err := s.at(move[0], move[1])
		if err != nil {
			return 0, 0, false
		}
		room += math.Abs(moved.Density/state.Density - 1)
	}
	return state.Density, room + s.density, true
}
