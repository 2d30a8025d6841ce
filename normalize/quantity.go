// Package normalize gives printed figures their meaning: the quantity, the unit,
// the basis on which it holds, and an exact value in the canonical unit with a
// half-width. It converts exactly and refuses what does not say what it means.
package normalize

import (
	"fmt"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/air"
)

// Group says in which part of a record a quantity is published.
type Group string

// The groups of quantities.
const (
	LabelGroup     Group = "label"     // a text that names the row
	Polar          Group = "polar"     // a point of a lift curve or drag polar
	Increment      Group = "increment" // what a flap adds
	Stall          Group = "stall"
	Limit          Group = "limit"
	Power          Group = "power"
	Characteristic Group = "characteristic"
	Condition      Group = "condition" // governs other figures: deflection, Reynolds number, weight
)

// need is one thing that a basis must say before a quantity has a meaning.
type need struct {
	name  string // as in the table's file
	value func(b extract.Basis) string
	write string // what to write
}

var (
	needArticle = need{"article", func(b extract.Basis) string { return b.Article }, "section, wing, model, rotor or aeroplane"}
	needSystem  = need{"coefficients", func(b extract.Basis) string { return b.Coefficients }, "absolute, british-k, hundredfold, engineering-mph, engineering-fps, metric-k or metric-kmh"}
	needArea    = need{"reference_area", func(b extract.Basis) string {
		if b.Article == "section" {
			return "section"
		}
		return b.ReferenceArea
	}, "gross, net, original, extended, all-wings, disc or not-stated"}
	needChord = need{"reference_chord", func(b extract.Basis) string { return b.ReferenceChord }, "the chord that moments are formed on, or \"not stated\""}
	needDatum = need{"angle_datum", func(b extract.Basis) string { return b.AngleDatum }, "chord, root-chord, lower-surface, thrust-line, fuselage-datum, zero-lift, disc-plane or not-stated"}
	// A setting is the chord's, from a line of the aeroplane.
	needSetting = need{"angle_datum", func(b extract.Basis) string {
		if d := b.AngleDatum; d == "thrust-line" || d == "fuselage-datum" || d == "not-stated" {
			return d
		}
		return ""
	}, "thrust-line, fuselage-datum or not-stated: the line from which the source counts the setting of the chord, which is none itself"}
	needDrag     = need{"drag", func(b extract.Basis) string { return b.Drag }, "total or profile"}
	needCenter   = need{"moment_center", func(b extract.Basis) string { return b.MomentCenter }, "the point that moments are taken about"}
	needSign     = need{"moment_sign", func(b extract.Basis) string { return b.MomentSign }, "nose-up or nose-down (the moment that the print has as positive), or not-stated"}
	needWalls    = need{"walls", func(b extract.Basis) string { return b.Walls }, "corrected, uncorrected, free-flight or not-stated"}
	needInfinite = need{"aspect_ratio_basis", func(b extract.Basis) string {
		if b.Article != "wing" {
			return "does not apply"
		}
		return b.AspectRatioBasis
	}, "as-tested or infinite"}
	needIncrement = need{"increment", func(b extract.Basis) string { return b.Increment }, "constant-angle, constant-lift or between-maxima"}
	needStall     = need{"stall", func(b extract.Basis) string { return b.Stall }, "minimum-speed, minimum-steady, break, buffet, control-stop, landing or not-stated"}
	needLimit     = need{"limit", func(b extract.Basis) string { return b.Limit }, "limit, proof, ultimate (the failing load) or not-stated"}
	// The greatest speed that the strength was worked out for is not the permitted one.
	needLimitOfSpeed = need{"limit", func(b extract.Basis) string { return b.Limit }, "limit (the greatest that is permitted), proof, ultimate (the greatest of the strength calculation) or not-stated"}
	needRating       = need{"power_rating", func(b extract.Basis) string { return b.PowerRating }, "take-off, rated, continuous, emergency or not-stated"}
	needFlap         = need{"configuration.flap", func(b extract.Basis) string {
		if b.Article == "rotor" {
			return "does not apply"
		}
		return b.Configuration.Flap
	}, "none, plain, split, slotted, area-increasing, other, two of them joined by a plus sign, or not-stated"}
	needDeflection = need{"configuration.deflection", func(b extract.Basis) string {
		if f := b.Configuration.Flap; f == "" || f == "none" || f == "not-stated" {
			return "does not apply"
		}
		return b.Configuration.Deflection
	}, "up, column KEY, given KEY, the figure that stands in the row's label, or not-stated"}
	// needPower and needGear speak of a whole aeroplane alone.
	needPower  = need{"configuration.power", ofAeroplane(func(b extract.Basis) string { return b.Configuration.Power }), "off, idle, on, none or not-stated"}
	needGear   = need{"configuration.gear", ofAeroplane(func(b extract.Basis) string { return b.Configuration.Gear }), "up, down, fixed, none or not-stated"}
	needWeight = need{"weight", func(b extract.Basis) string {
		if b.Weight == "" && b.WeightCondition == "not-stated" {
			return b.WeightCondition
		}
		return b.Weight
	}, "column KEY or given KEY, or weight_condition: not-stated"}
	needCondition = need{"weight_condition", func(b extract.Basis) string { return b.WeightCondition }, "test, normal, maximum, empty or not-stated"}
	needReynolds  = need{"reynolds_kind", func(b extract.Basis) string { return b.ReynoldsKind }, "test, effective or not-stated"}
	// A kind without its number says that a number stands in the print and was left there.
	needReynoldsNumber = need{"reynolds", func(b extract.Basis) string {
		if b.ReynoldsKind == "" || b.ReynoldsKind == "not-stated" {
			return "does not apply"
		}
		return b.Reynolds
	}, "column KEY or given KEY, or reynolds_kind: not-stated"}
	needAirspeed = need{"airspeed_kind", func(b extract.Basis) string {
		if _, err := airspeedKind(b); err != nil {
			return ""
		}
		return b.AirspeedKind
	}, "IAS, CAS, EAS or TAS (never assumed)"}
	// An indicated airspeed is what its source calls so: the reading of an
	// instrument, or the corrected reading, or V sqrt(sigma).
	needMeaning = need{"airspeed_meaning", func(b extract.Basis) string {
		if k, err := airspeedKind(b); err != nil || k != air.IAS {
			return "does not apply"
		}
		return b.AirspeedMeaning
	}, "the source's own words for its indicated airspeed, or \"not stated\""}
)

func ofAeroplane(value func(b extract.Basis) string) func(b extract.Basis) string {
	return func(b extract.Basis) string {
		if b.Article != "aeroplane" {
			return "does not apply"
		}
		return value(b)
	}
}

// needs joins lists of needs.
func needs(lists ...[]need) []need { return slices.Concat(lists...) }

// aeroNeeds is what every measured aerodynamic figure needs beside its own.
func aeroNeeds() []need {
	return []need{needArticle, needWalls, needReynolds, needReynoldsNumber, needInfinite}
}

// forceNeeds is what a coefficient of force or moment needs.
func forceNeeds() []need {
	return needs(aeroNeeds(), []need{needSystem, needDensity, needArea, needFlap, needDeflection, needPower})
}

func speedNeeds() []need { return []need{needAirspeed, needMeaning} }

// airspeedKind reads the declared kind. "True indicated" and "correct indicated"
// speeds mean CAS in some sources and V sqrt(sigma) in others, so the source's own
// definition must have been turned into one of the four kinds by a person, who
// quotes it in airspeed_meaning.
func airspeedKind(b extract.Basis) (air.Kind, error) {
	return air.ParseKind(b.AirspeedKind)
}

// Quantity is a quantity of the trade, its canonical unit and what a basis must say.
type Quantity struct {
	Name      string
	Symbol    string
	Canonical string // UCUM code
	Group     Group
	needs     []need
	// stepped marks quantities that people print in coarse steps (a manual's 60,
	// 65, 70): the column's own steps may set the half-width.
	stepped bool
	// zeros marks quantities whose trailing zeros are seldom significant.
	zeros bool
	// also lists the heads under which reports print the quantity.
	also []string
}

var quantities = []Quantity{
	{Name: "label", Group: LabelGroup, also: []string{"wing", "airfoil", "section", "item", "condition", "configuration", "model"}},

	{Name: "angle of attack", Symbol: "alpha", Canonical: "deg", Group: Polar, needs: needs(aeroNeeds(), []need{needDatum}), also: []string{"alpha", "α", "a (deg)", "angle of incidence"}},
	{Name: "lift coefficient", Symbol: "C_L", Canonical: "1", Group: Polar, needs: forceNeeds(), also: []string{"cl", "c_l", "k_l", "k_y", "c_a", "c_z"}},
	{Name: "drag coefficient", Symbol: "C_D", Canonical: "1", Group: Polar, needs: needs(forceNeeds(), []need{needDrag}), also: []string{"cd", "c_d", "k_d", "k_x", "c_w", "c_x"}},
	{Name: "pitching-moment coefficient", Symbol: "C_m", Canonical: "1", Group: Polar, needs: needs(forceNeeds(), []need{needChord, needCenter, needSign}), also: []string{"cm", "c_m", "cmc/4"}},
	{Name: "lift-drag ratio", Symbol: "L/D", Canonical: "1", Group: Polar, needs: needs(aeroNeeds(), []need{needDrag, needFlap, needDeflection, needPower}), also: []string{"l/d", "lift/drag"}},

	{Name: "lift increment", Symbol: "Delta C_L", Canonical: "1", Group: Increment, needs: needs(forceNeeds(), []need{needIncrement}), also: []string{"Δcl", "delta cl", "dcl"}},
	{Name: "drag increment", Symbol: "Delta C_D", Canonical: "1", Group: Increment, needs: needs(forceNeeds(), []need{needIncrement, needDrag}), also: []string{"Δcd", "delta cd", "dcd"}},
	{Name: "pitching-moment increment", Symbol: "Delta C_m", Canonical: "1", Group: Increment, needs: needs(forceNeeds(), []need{needIncrement, needChord, needCenter, needSign}), also: []string{"Δcm", "delta cm", "dcm"}},

	{Name: "maximum lift coefficient", Symbol: "C_Lmax", Canonical: "1", Group: Characteristic, needs: forceNeeds(), also: []string{"clmax", "c_lmax", "cl max", "cl...", "k_lmax"}},
	{Name: "minimum drag coefficient", Symbol: "C_Dmin", Canonical: "1", Group: Characteristic, needs: needs(forceNeeds(), []need{needDrag}), also: []string{"cdmin", "cd0min", "c_dmin", "cd0"}},
	{Name: "lift-curve slope", Symbol: "a", Canonical: "/rad", Group: Characteristic, needs: forceNeeds(), also: []string{"lift-curve slope", "slope of lift curve", "dcl/dα", "dcl/da", "dkl/dα", "dkl/da"}},
	{Name: "zero-lift angle", Symbol: "alpha_L0", Canonical: "deg", Group: Characteristic, needs: needs(aeroNeeds(), []need{needDatum, needFlap, needDeflection}), also: []string{"αl0", "alpha l0", "angle of zero lift"}},
	{Name: "stalling angle", Symbol: "alpha_s", Canonical: "deg", Group: Characteristic, needs: needs(aeroNeeds(), []need{needDatum, needFlap, needDeflection}), also: []string{"angle of stall", "angle of maximum lift"}},
	{Name: "zero-lift moment coefficient", Symbol: "C_m0", Canonical: "1", Group: Characteristic, needs: needs(forceNeeds(), []need{needChord, needSign}), also: []string{"cm0", "c_m0"}},
	{Name: "aspect ratio", Symbol: "A", Canonical: "1", Group: Characteristic, also: []string{"aspect ratio"}},
	{Name: "taper ratio", Symbol: "lambda", Canonical: "1", Group: Characteristic, also: []string{"taper ratio"}},
	{Name: "wing area", Symbol: "S", Canonical: "m2", Group: Characteristic, needs: []need{needArea}, also: []string{"wing area", "area of wing"}},
	{Name: "wing span", Symbol: "b", Canonical: "m", Group: Characteristic, also: []string{"span"}},
	{Name: "mean chord", Symbol: "c", Canonical: "m", Group: Characteristic, also: []string{"mean chord", "mean geometric chord"}},
	{Name: "flap chord", Symbol: "c_f", Canonical: "m", Group: Characteristic, also: []string{"flap chord"}},
	{Name: "flap span", Symbol: "b_f", Canonical: "m", Group: Characteristic, also: []string{"flap span"}},
	{Name: "flap area", Symbol: "S_f", Canonical: "m2", Group: Characteristic, also: []string{"flap area"}},
	{Name: "flap-chord ratio", Symbol: "c_f/c", Canonical: "1", Group: Characteristic, needs: []need{needFlap}, also: []string{"cf/c", "c_f/c", "flap-chord ratio", "flap chord ratio", "ratio of flap chord"}},
	{Name: "flap-span ratio", Symbol: "b_f/b", Canonical: "1", Group: Characteristic, needs: []need{needFlap}, also: []string{"bf/b", "b_f/b", "flap-span ratio", "flap span ratio", "ratio of flap span"}},
	// of an area-increasing flap: chord with the flap out to chord with it drawn in
	{Name: "chord extension", Symbol: "c'/c", Canonical: "1", Group: Characteristic, needs: []need{needFlap, needDeflection}, also: []string{"c'/c", "chord extension", "extended chord ratio"}},
	{Name: "length", Symbol: "l", Canonical: "m", Group: Characteristic, also: []string{"length"}},
	{Name: "wing loading", Symbol: "W/S", Canonical: "Pa", Group: Characteristic, needs: []need{needCondition}, also: []string{"wing loading"}, stepped: true},
	{Name: "power loading", Symbol: "W/P", Canonical: "N/W", Group: Characteristic, needs: []need{needCondition, needRating}, also: []string{"power loading"}, stepped: true},
	{Name: "mass", Symbol: "m", Canonical: "kg", Group: Characteristic, needs: []need{needCondition}, also: []string{"mass"}, stepped: true},
	{Name: "weight", Symbol: "W", Canonical: "N", Group: Characteristic, needs: []need{needCondition}, also: []string{"weight", "gross weight", "all-up weight"}, stepped: true},
	{Name: "angle of wing setting", Symbol: "i_w", Canonical: "deg", Group: Characteristic, needs: []need{needSetting}, also: []string{"angle of setting", "wing setting"}},
	// of the chord to the tangent of the lower surface: alpha of the one less alpha of the other
	{Name: "angle of chord", Symbol: "epsilon", Canonical: "deg", Group: Characteristic, needs: []need{needDatum}, also: []string{"angle of chord to lower surface"}},
	{Name: "dihedral", Symbol: "Gamma", Canonical: "deg", Group: Characteristic, also: []string{"dihedral"}},

	{Name: "stall speed", Symbol: "V_s", Canonical: "m/s", Group: Stall, needs: needs([]need{needArticle, needStall, needWeight, needFlap, needDeflection, needPower, needGear}, speedNeeds()), stepped: true, also: []string{"stall", "stalling speed", "stall speed"}},

	{Name: "flap limit speed", Symbol: "V_f", Canonical: "m/s", Group: Limit, needs: needs(speedNeeds(), []need{needFlap, needDeflection}), stepped: true, also: []string{"flap limit speed", "maximum speed flaps"}},
	{Name: "limit speed", Symbol: "V_lim", Canonical: "m/s", Group: Limit, needs: needs(speedNeeds(), []need{needLimitOfSpeed}), stepped: true, also: []string{"never exceed", "maximum diving speed", "limit speed"}},
	{Name: "positive load factor", Symbol: "n", Canonical: "1", Group: Limit, needs: []need{needLimit, needWeight, needFlap, needDeflection}, also: []string{"load factor", "positive load factor"}},
	{Name: "negative load factor", Symbol: "n", Canonical: "1", Group: Limit, needs: []need{needLimit, needWeight, needFlap, needDeflection}, also: []string{"negative load factor"}},

	{Name: "power", Symbol: "P", Canonical: "W", Group: Power, needs: []need{needRating}, stepped: true, also: []string{"power", "horsepower", "brake horsepower"}},

	{Name: "airspeed", Symbol: "V", Canonical: "m/s", Group: Condition, needs: speedNeeds(), stepped: true, also: []string{"speed", "airspeed"}},
	{Name: "airspeed correction", Symbol: "Delta V", Canonical: "m/s", Group: Condition, needs: []need{needFlap, needDeflection, needCorrectionSign}, also: []string{"airspeed correction", "correction to airspeed"}},
	{Name: "flap deflection", Symbol: "delta_f", Canonical: "deg", Group: Condition, also: []string{"flap deflection", "flap angle", "deflection", "δf", "delta f"}},
	{Name: "Reynolds number", Symbol: "Re", Canonical: "1", Group: Condition, needs: []need{needReynolds}, zeros: true, also: []string{"reynolds number", "r.n.", "effective reynolds number"}},
	{Name: "Mach number", Symbol: "M", Canonical: "1", Group: Condition, also: []string{"mach number"}},
	// Tc = T / (rho V^2 D^2) in most reports: the source's own definition holds
	{Name: "thrust coefficient", Symbol: "T_c", Canonical: "1", Group: Condition, also: []string{"tc", "t_c", "thrust coefficient"}},
	{Name: "test weight", Symbol: "W", Canonical: "N", Group: Condition, stepped: true, also: []string{"test weight", "weight as tested"}},
	{Name: "air density", Symbol: "rho", Canonical: "kg/m3", Group: Condition, also: []string{"air density", "density of air", "ρ"}},
	{Name: "tunnel section area", Symbol: "C", Canonical: "m2", Group: Condition, also: []string{"tunnel section area", "area of tunnel section", "cross-section of tunnel"}},
	{Name: "altitude", Symbol: "h", Canonical: "m", Group: Condition, needs: []need{needAltitudeKind}, stepped: true, also: []string{"altitude", "height"}},
	{Name: "air temperature", Symbol: "T", Canonical: "K", Group: Condition, also: []string{"air temperature", "temperature of the air", "temperature of air"}},
	{Name: "center-of-gravity position", Symbol: "x_cg/c", Canonical: "1", Group: Condition, needs: []need{needChord}, also: []string{"c.g. position", "center of gravity", "centre of gravity"}},
	{Name: "load factor in flight", Symbol: "n", Canonical: "1", Group: Condition, also: []string{"normal acceleration"}},
	{Name: "bank angle", Symbol: "phi", Canonical: "deg", Group: Condition, also: []string{"bank", "angle of bank"}},
	{Name: "turn radius", Symbol: "R", Canonical: "m", Group: Condition, also: []string{"radius of turn", "turning radius"}},
	{Name: "turn rate", Symbol: "omega", Canonical: "deg/s", Group: Condition, also: []string{"rate of turn"}},
}

// Unclassified is what a column is called whose quantity is not in the list: read,
// collated, checked by relations, and not published.
const Unclassified = "unclassified"

// Find returns the quantity of that name.
func Find(name string) (*Quantity, bool) {
	for i := range quantities {
		if quantities[i].Name == name {
			return &quantities[i], true
		}
	}
	return nil, false
}

// Quantities lists the quantities in the order of the documentation.
func Quantities() []Quantity { return quantities[:len(quantities):len(quantities)] }

// Aerodynamic reports whether the quantity is measured on an article in an air
// stream, so that Reynolds number, walls and surface bear on it.
func (q *Quantity) Aerodynamic() bool {
	return q.Group == Polar || q.Group == Increment || strings.Contains(q.Name, "coefficient") && q.Group != Condition ||
		q.Name == "lift-curve slope" || q.Name == "zero-lift angle" || q.Name == "stalling angle"
}

// weighed reports whether a weight bears on the quantity.
func (q *Quantity) weighed() bool { return q.Group == Stall || q.Group == Limit }

// flapped reports whether the position of the flap bears on the quantity.
func (q *Quantity) flapped() bool { return q.spoken(needFlap) }

// spoken reports whether the basis of the quantity must say what n asks for.
func (q *Quantity) spoken(n need) bool {
	return slices.ContainsFunc(q.needs, func(o need) bool { return o.name == n.name })
}

// aloft reports whether an altitude bears on the quantity.
func (q *Quantity) aloft() bool { return q.Canonical == "m/s" || q.Group == Power }

// Needs says what the basis of the quantity must state, each with what to write.
func (q *Quantity) Needs() []string {
	var list []string
	for _, n := range q.needs {
		list = append(list, fmt.Sprintf("%s: %s", n.name, n.write))
	}
	return list
}

// missing lists what the basis does not say and the quantity needs.
func (q *Quantity) missing(b extract.Basis) []need {
	var list []need
	for _, n := range q.needs {
		if n.value(b) == "" {
			list = append(list, n)
		}
	}
	return list
}

// Guess proposes the quantity that a printed head may mean, for a person to
// confirm; it is never used without one.
func Guess(head string) string {
	h := guessForm(head)
	if h == "" {
		return ""
	}
	best, length := "", 0
	for _, q := range quantities {
		for _, a := range append([]string{q.Name}, q.also...) {
			// A symbol of a letter or two would be found in any word.
			a = guessForm(a)
			if len(a) > length && (h == a || len(a) > 3 && strings.Contains(h, a)) {
				best, length = q.Name, len(a)
			}
		}
	}
	return best
}

// guessForm drops what a text layer puts between a symbol and its subscript.
func guessForm(head string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '_' || r == '-' {
			return -1
		}
		return r
	}, strings.ToLower(head))
}

// AirspeedKind is the published name (IAS, CAS, EAS, TAS) of a declared kind.
func AirspeedKind(declared string) (string, error) {
	k, err := air.ParseKind(declared)
	if err != nil {
		return "", err
	}
	return k.String(), nil
}
