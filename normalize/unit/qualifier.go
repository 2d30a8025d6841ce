package unit

import (
	"slices"
	"strings"
)

// Qualifier is a word that heads print with a unit and that is none: the rating of
// a power, the condition of a weight, the kind of an airspeed.
type Qualifier struct {
	Printed string // "take-off"
	Kind    string // "the rating of a power"
}

// Kinds of qualifier.
const (
	Rating       = "the rating of a power"
	Condition    = "the condition of a weight"
	AirspeedKind = "a kind of airspeed"
)

// qualifiers is in the order in which they are tried, the longer first.
var qualifiers = []struct{ form, kind string }{
	{"war emergency", Rating}, {"normal rated", Rating}, {"maximum continuous", Rating}, {"max continuous", Rating},
	{"take off", Rating}, {"takeoff", Rating}, {"rated", Rating}, {"continuous", Rating}, {"emergency", Rating}, {"military", Rating}, {"combat", Rating}, {"cruising", Rating}, {"climbing", Rating},
	{"gross", Condition}, {"all up", Condition}, {"empty", Condition}, {"loaded", Condition}, {"landing", Condition}, {"test", Condition}, {"normal", Condition}, {"maximum", Condition}, {"max", Condition},
	{"true indicated", AirspeedKind}, {"correct indicated", AirspeedKind}, {"indicated", AirspeedKind}, {"calibrated", AirspeedKind}, {"rectified", AirspeedKind}, {"equivalent", AirspeedKind}, {"true", AirspeedKind},
	{"kias", AirspeedKind}, {"ias", AirspeedKind}, {"asi", AirspeedKind}, {"cas", AirspeedKind}, {"eas", AirspeedKind}, {"tas", AirspeedKind}, {"ras", AirspeedKind},
}

// Qualified parts a printed unit from a qualifier before or behind it: "take-off
// hp" is "hp" with a rating, "m.p.h. (I.A.S.)" is "m.p.h." with a kind of airspeed.
// ok is false where there is no qualifier or what is left is no unit of what the
// qualifier speaks of; the caller must state the qualifier elsewhere, never drop it.
func Qualified(printed string) (bare string, q Qualifier, ok bool) {
	words := strings.Fields(parters.Replace(printed))
	for cut := 1; cut < len(words) && cut <= 5; cut++ {
		for _, behind := range []bool{true, false} {
			left, right := words[:len(words)-cut], words[len(words)-cut:]
			said, rest := right, left
			if !behind {
				said, rest = words[:cut], words[cut:]
			}
			text := strings.Join(said, " ")
			form := qualifierForm(text)
			i := slices.IndexFunc(qualifiers, func(q struct{ form, kind string }) bool { return q.form == form })
			if i < 0 {
				continue
			}
			bare = strings.Join(rest, " ")
			if q = (Qualifier{Printed: text, Kind: qualifiers[i].kind}); speaksOf(q.Kind, bare) {
				return bare, q, true
			}
		}
	}
	return "", Qualifier{}, false
}

// qualifierForm is lower case, hyphens as spaces, "I. A. S." and "I.A.S." as "ias".
func qualifierForm(text string) string {
	return initials(strings.Fields(pointsAndHyphens.Replace(strings.ToLower(text))))
}

var (
	parters          = strings.NewReplacer("(", " ", ")", " ", ",", " ", ";", " ", "[", " ", "]", " ")
	pointsAndHyphens = strings.NewReplacer(".", " ", "-", " ", "–", " ")
)

// speaksOf reports whether a bare text is a unit of what the kind of qualifier
// qualifies.
func speaksOf(kind, bare string) bool {
	dims := map[string][]Dimension{Rating: {Power}, Condition: {Power, Force, Mass}, AirspeedKind: {Speed}}[kind]
	return slices.ContainsFunc(dims, func(dim Dimension) bool {
		codes, found := compounds[normalize(bare)]
		if !found {
			return false
		}
		return slices.ContainsFunc(codes, func(code string) bool { u, _ := Lookup(code); return u.Dim == dim })
	})
}

// PlaceOfPower returns where a printed unit of power says that the power is
// measured: "brake", "shaft", "indicated", "thrust", or "". All of them are one
// unit and not one quantity: the thrust power is the propeller's, the indicated
// power that of the cylinders.
func PlaceOfPower(printed string) string {
	form := qualifierForm(printed)
	for _, p := range []struct{ place, short, spaced string }{
		{"thrust", "thp", "t hp"}, {"indicated", "ihp", "i hp"}, {"shaft", "shp", "s hp"}, {"brake", "bhp", "b hp"},
	} {
		if form == p.short || form == p.spaced || form == p.place+" horsepower" || form == p.place+" horse power" || form == p.place+" hp" {
			return p.place
		}
	}
	return ""
}
