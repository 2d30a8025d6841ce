// Package flight holds the relations of flight mechanics that a printed record
// can be judged by: stalls, turns, geometry, lift-curve slopes, polars, flaps,
// Reynolds number, the lifting line and what follows from it between aspect ratios
// and between tunnel walls. One pure function a relation.
//
// Units are coherent SI: N, m, m2, m/s, kg/m3, W, N/m2. Angles that stand in
// tables (bank, sweep, descent) are in degrees and their names end in Deg;
// lift-curve slopes are per radian; rates of turn are in rad/s.
//
// Every function returns an error, of type *DomainError, for an argument outside
// the range that its comment states, and for NaN and infinities; the number is
// then zero and means nothing. Every result is finite. An aspect ratio may be
// infinite where the comment says so.
//
// Results are computed in float64 and good to about 1e-14 of their size. Their
// last digit may differ between processors, so they are rounded before they are
// written to a file.
//
// Sources are named where a relation was read; "standard" marks what every
// textbook of the field gives.
package flight

import (
	"fmt"
	"math"
)

// StandardGravity is the standard acceleration of free fall in m/s2, exact
// (3rd General Conference on Weights and Measures, 1901).
const StandardGravity = 9.80665

// DomainError says which argument a relation does not hold for.
type DomainError struct {
	Relation string  // what was to be computed
	Argument string  // which argument, with its unit
	Value    float64 // what was given
	Want     string  // what would have been right
}

func (e *DomainError) Error() string {
	return fmt.Sprintf("%s: %s is %v: want %s", e.Relation, e.Argument, e.Value, e.Want)
}

// domain gathers the first argument that is out of range.
type domain struct {
	relation string
	err      error
}

func (d *domain) require(ok bool, argument string, value float64, want string) {
	if d.err != nil {
		return
	}
	if math.IsNaN(value) || math.IsInf(value, 0) {
		ok, want = false, "a finite number"
	}
	if !ok {
		d.err = &DomainError{Relation: d.relation, Argument: argument, Value: value, Want: want}
	}
}

func (d *domain) positive(argument string, value float64) {
	d.require(value > 0, argument, value, "more than 0")
}

func (d *domain) notNegative(argument string, value float64) {
	d.require(value >= 0, argument, value, "0 or more")
}

func (d *domain) finite(argument string, value float64) {
	d.require(true, argument, value, "")
}

// angle requires an angle between, and not at, -90 and 90 degrees.
func (d *domain) angle(argument string, value float64) {
	d.require(value > -90 && value < 90, argument, value, "between -90 and 90 deg")
}

// result returns the value, or the error of an argument, or an error where finite
// arguments overflowed.
func (d *domain) result(value float64) (float64, error) {
	d.require(true, "the result", value, "")
	if d.err != nil {
		return 0, d.err
	}
	return value, nil
}

func radians(deg float64) float64 { return deg * (math.Pi / 180) }
func degrees(rad float64) float64 { return rad * (180 / math.Pi) }
