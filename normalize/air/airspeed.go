package air

import (
	"fmt"
	"math"
	"strings"
)

// Kind is the kind of an airspeed. The zero Kind is unknown: it is never defaulted.
type Kind int

// The kinds of airspeed.
const (
	IAS Kind = iota + 1 // indicated: as the instrument reads
	CAS                 // calibrated: corrected for instrument and position error
	EAS                 // equivalent: CAS corrected for compressibility, V sqrt(sigma)
	TAS                 // true: relative to the undisturbed air
)

func (k Kind) String() string {
	switch k {
	case IAS:
		return "IAS"
	case CAS:
		return "CAS"
	case EAS:
		return "EAS"
	case TAS:
		return "TAS"
	}
	return fmt.Sprintf("airspeed kind %d", int(k))
}

var pointsAndHyphens = strings.NewReplacer(".", "", "-", " ")

// ParseKind reads the kind of an airspeed as a source or a table's description
// names it: IAS (also A.S.I.), CAS (calibrated, rectified, R.A.S.), EAS
// (equivalent), TAS (true), with K before it for knots. "Indicated" in words, "true
// indicated" and "correct indicated" are refused: reports use them for readings, for
// CAS and for V sqrt(sigma), so that the source's own definition is needed. Source
// of the vocabulary: common practice, no source.
func ParseKind(printed string) (Kind, error) {
	s := strings.ToLower(printed)
	s = pointsAndHyphens.Replace(s)
	s = strings.Join(strings.Fields(s), " ")
	s = strings.ReplaceAll(s, "air speed", "airspeed")
	s = strings.TrimSpace(strings.TrimSuffix(s, "airspeed"))
	s = strings.TrimSpace(strings.TrimSuffix(s, " speed"))
	switch s {
	case "ias", "kias", "asi", "i a s", "a s i":
		return IAS, nil
	case "cas", "kcas", "ras", "calibrated", "rectified", "c a s", "r a s":
		return CAS, nil
	case "eas", "keas", "equivalent", "e a s":
		return EAS, nil
	case "tas", "ktas", "true", "t a s":
		return TAS, nil
	case "indicated", "true indicated", "correct indicated", "corrected indicated", "tias", "tia", "t i a s":
		return 0, fmt.Errorf("airspeed kind %q has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))", printed)
	case "":
		return 0, fmt.Errorf("no airspeed kind is given: IAS, CAS, EAS or TAS is wanted")
	}
	return 0, fmt.Errorf("airspeed kind %q is not known: IAS, CAS, EAS or TAS is wanted", printed)
}

// The pitot relation below Mach 1, gamma = 1.4:
//
//	qc = p [(1 + 0.2 M^2)^3.5 - 1]
//
// An airspeed indicator is graduated with it for the pressure p0 and speed of sound
// a0 at sea level. Source: textbook relation, from memory.

// impact returns qc/p at a Mach number; expm1 and log1p keep the digits of low
// speeds.
func impact(mach float64) float64 {
	return math.Expm1(3.5 * math.Log1p(0.2*mach*mach))
}

// machOf is the inverse of impact.
func machOf(impact float64) float64 {
	return math.Sqrt(5 * math.Expm1(math.Log1p(impact)/3.5))
}

// CASToEAS converts a calibrated airspeed in m/s to the equivalent airspeed in air
// of the given state:
//
//	qc = p0 [(1 + 0.2 (Vc/a0)^2)^3.5 - 1], M from qc/p, Ve = a0 M sqrt(delta)
//
// It is an error for a speed that is negative or above Mach 1.
func CASToEAS(cas float64, at State) (float64, error) {
	a0, err := seaLevelSound(cas, at)
	if err != nil {
		return 0, err
	}
	mach := machOf(impact(cas/a0) / at.Delta)
	if cas > a0 || mach > 1 {
		return 0, fmt.Errorf("calibrated airspeed %g m/s is above the speed of sound at delta %g", cas, at.Delta)
	}
	return a0 * mach * math.Sqrt(at.Delta), nil
}

// EASToCAS is the inverse of CASToEAS.
func EASToCAS(eas float64, at State) (float64, error) {
	a0, err := seaLevelSound(eas, at)
	if err != nil {
		return 0, err
	}
	mach := eas / (a0 * math.Sqrt(at.Delta))
	if mach > 1 {
		return 0, fmt.Errorf("equivalent airspeed %g m/s is above the speed of sound at delta %g", eas, at.Delta)
	}
	cas := a0 * machOf(impact(mach)*at.Delta)
	if cas > a0 {
		return 0, fmt.Errorf("equivalent airspeed %g m/s is above the range of an airspeed indicator's subsonic graduation", eas)
	}
	return cas, nil
}

// EASToTAS converts an equivalent airspeed in m/s to the true one: V = Ve/sqrt(sigma).
func EASToTAS(eas float64, at State) (float64, error) {
	if _, err := seaLevelSound(eas, at); err != nil {
		return 0, err
	}
	return eas / math.Sqrt(at.Sigma), nil
}

// TASToEAS converts a true airspeed in m/s to the equivalent one: Ve = V sqrt(sigma).
func TASToEAS(tas float64, at State) (float64, error) {
	if _, err := seaLevelSound(tas, at); err != nil {
		return 0, err
	}
	return tas * math.Sqrt(at.Sigma), nil
}

// seaLevelSound returns the speed of sound at sea level of the atmosphere that at
// belongs to, after a look at the arguments.
func seaLevelSound(speed float64, at State) (float64, error) {
	if !(speed >= 0) || math.IsInf(speed, 1) {
		return 0, fmt.Errorf("airspeed %g m/s: a finite speed, not negative, is wanted", speed)
	}
	if !(at.Delta > 0 && at.Sigma > 0 && at.Theta > 0 && at.SoundSpeed > 0) {
		return 0, fmt.Errorf("the state of the air is not set: it comes from Modern.At or Period.At")
	}
	return at.SoundSpeed / math.Sqrt(at.Theta), nil
}
