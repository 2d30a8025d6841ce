package normalize

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"windtally/extract"
	"windtally/normalize/air"
)

// heard is what the words of a head, a label or a caption say of a configuration and
// of what figures mean, by the field of the basis. Two answers to one field are both
// there: "flaps up and down".
type heard struct {
	text string
	in   place
	said map[string][]string
	// flaps are the deflections of a flap in degrees, as printed.
	flaps []string
}

// place is where a text stands: the shorter the text, the less it takes to be plain.
type place uint8

const (
	asHead place = 1 << iota
	asLabel
	asCaption
)

// The answers of flapPosition beside figures.
const (
	flapUp   = "up"
	flapDown = "down"
)

// A phrase is a way of the period to say something of a field.
type phrase struct {
	pattern
	in    place // where it says so
	field string
	as    string // what the basis calls it
}

// say makes a phrase of whole words.
func say(field, as, alternatives string) phrase {
	return sayIn(asHead|asLabel|asCaption, field, as, alternatives)
}

func sayIn(in place, field, as, alternatives string) phrase {
	return phrase{patternOf(`(?i)(?:^|[^\pL])(?:` + alternatives + `)(?:$|[^\pL])`), in, field, as}
}

// speed makes a phrase that names a kind of airspeed: in a head the adjective is
// enough, in a longer text it belongs to a speed. Initials of longer texts are capitals.
func speed(kind, adjective, headInitials, initials string) []phrase {
	return []phrase{
		{patternOf(`(?i)\b` + adjective + `\b|` + headInitials), asHead, "airspeed_kind", kind},
		{patternOf(`(?i)\b` + adjective + `\s+(?:air\s*)?speeds?\b|(?-i:` + initials + `)`), asLabel | asCaption, "airspeed_kind", kind},
	}
}

const (
	gearWords  = `(?:landing[\s-]*gear|under[\s-]*carriage|gear|wheels|u/c)`
	flapWords  = `flaps?`
	slatWords  = `(?:slots?|slats?)`
	screwWords = `(?:propeller|airscrew|prop\.?)`
	upWords    = `(?:fully\s+)?(?:up|retracted|raised|housed)`
	downWords  = `(?:fully\s+|full\s+|half\s+|partly\s+|partially\s+)?(?:down|lowered|extended)`
	ofWeight   = `(?:\s+(?:gross|all-up|flying|permissible|total))?\s+weight`
	gap        = `\s*[,:(]?\s*`
	ofAngle    = `(?:^angles?|angles?\s+of\s+(?:attack|incidence)|incidences?|attack|alpha|α|attitude)(?:\s*,)?\s+(?:(?:is|are|being)\s+)?(?:measured\s+)?(?:of|to|from|relative\s+to|between)\s+(?:the\s+)?`
	wallWords  = `(?:tunnel|jet|boundary|wall)[\s-]*(?:walls?|boundar(?:y|ies))?|walls?|wall[\s-]*interference|constraint`
	both       = `\s*(?:and|or|&|/)\s*`
)

// phrases is never changed. Common practice, no source.
var phrases = slices.Concat([]phrase{
	say("flap", flapUp, flapWords+gap+`(?:`+upWords+`|closed|drawn\s+in|neutral|in\s+neutral)|(?:retracted|raised|closed|undeflected)\s+`+flapWords),
	say("flap", flapUp, flapWords+gap+downWords+both+upWords),
	say("flap", flapDown, flapWords+gap+`(?:`+downWords+`|deflected|drawn\s+out)|(?:lowered|extended|deflected)\s+`+flapWords),
	say("flap", flapDown, flapWords+gap+upWords+both+downWords),
	say("flap", "none", `(?:no|without)\s+(?:wing\s+)?`+flapWords+`|`+flapWords+gap+`(?:removed|off)`),

	say("kind", "split", `split[\s-]*(?:trailing[\s-]*edge\s+)?`+flapWords),
	say("kind", "slotted", `slotted[\s-]*`+flapWords),
	say("kind", "plain", `plain[\s-]*`+flapWords),
	say("kind", "area-increasing", `(?:area[\s-]*increasing|extension|extensible)[\s-]*`+flapWords),

	say("configuration.gear", "up", gearWords+gap+upWords+`|(?:retracted|raised)\s+`+gearWords),
	say("configuration.gear", "up", gearWords+gap+downWords+both+upWords),
	say("configuration.gear", "down", gearWords+gap+downWords+`|(?:lowered|extended)\s+`+gearWords),
	say("configuration.gear", "down", gearWords+gap+upWords+both+downWords),
	say("configuration.gear", "fixed", `fixed\s+`+gearWords+`|`+gearWords+gap+`fixed`),
	say("configuration.gear", "none", `(?:no|without)\s+`+gearWords+`|`+gearWords+gap+`(?:removed|off)`),

	say("configuration.power", "off", `(?:power|engines?|motors?)`+gap+`(?:on`+both+`)?(?:off|stopped|cut)|power[\s-]off|(?:without|no)\s+power`),
	say("configuration.power", "idle", `(?:engines?|motors?|throttle|power)`+gap+`(?:idling|idle|closed|throttled(?:\s+(?:back|down))?)`),
	say("configuration.power", "on", `(?:power|engines?|motors?)`+gap+`(?:off`+both+`)?on|power[\s-]on|(?:full|open)[\s-]*throttle|full\s+power|throttle`+gap+`(?:full|open|wide\s+open)`),

	say("configuration.slats", "open", slatWords+gap+`(?:fully\s+)?open|open\s+`+slatWords),
	say("configuration.slats", "open", slatWords+gap+`(?:closed|shut)`+both+`open`),
	say("configuration.slats", "closed", slatWords+gap+`(?:open`+both+`)?(?:closed|shut)|closed\s+`+slatWords),
	say("configuration.slats", "automatic", `automatic\s+`+slatWords+`|`+slatWords+gap+`automatic`),
	say("configuration.slats", "none", `(?:no|without)\s+(?:leading[\s-]*edge\s+)?`+slatWords+`|`+slatWords+gap+`(?:removed|off)`),

	say("configuration.propeller", "windmilling", screwWords+gap+`wind[\s-]*milling|wind[\s-]*milling\s+`+screwWords),
	say("configuration.propeller", "stopped", screwWords+gap+`(?:stopped|stationary|locked|at\s+rest)|(?:stopped|stationary|locked)\s+`+screwWords),
	say("configuration.propeller", "removed", screwWords+gap+`(?:removed|off)|(?:without|no)\s+`+screwWords),
	say("configuration.propeller", "feathered", screwWords+gap+`feathered|feathered\s+`+screwWords),

	say("stall", "minimum-steady", `min(?:imum|\.)?\s+steady(?:\s+flight|\s+flying)?\s+speed|least\s+steady\s+speed`),
	say("stall", "minimum-speed", `(?:min(?:imum|\.)?|least)\s+(?:flying\s+)?speed`),
	say("stall", "buffet", `(?:buffet(?:ing)?|shak(?:e|ing)|first\s+separation|peel(?:ing)?)`),
	say("stall", "break", `(?:nose|wing)[\s-]*drop(?:s|ped|ping)?|break\s+of\s+the\s+stall`),
	say("stall", "landing", `landing\s+speed|touch[\s-]*down`),

	say("limit", "ultimate", `ultimate|failing|breaking|collapse|collapsing|failure`),
	say("limit", "proof", `proof`),
	say("limit", "limit", `limit|permissible|allowable|permitted`),

	say("increment", "constant-angle", `(?:constant|same|fixed|equal)\s+(?:angle|incidence)`),
	say("increment", "constant-lift", `(?:constant|same|fixed|equal)\s+(?:lift|c_?l)`),
	say("increment", "between-maxima", `(?:max(?:imum|ima|\.)?\s+lift|lift\s+max(?:imum|ima|\.)?)|(?:[Δδd]|delta)?\s*c_?\s?l\s?_?\s?max\.?`),

	say("moment_center", "quarter chord", `quarter[\s-]*chord|(?:c_?m_?|m_?)\s*,?\s*c/4|0?\.25\s*c`),
	say("moment_center", "leading edge", `leading[\s-]*edge|c_?m_?\s*l\.?e\.?`),
	say("moment_center", "aerodynamic center", `aerodynamic[\s-]*cent(?:er|re)|c_?m_?\s*a\.?c\.?`),
	say("moment_center", "center of gravity", `cent(?:er|re)[\s-]*of[\s-]*gravity|c_?m_?\s*c\.?g\.?`),

	say("moment_sign", "nose-up", `(?:stalling|nose[\s-]*up)\s+moments?|(?:moments?|positive)[^.;]{0,24}(?:stalling|nose[\s-]*up)|(?:stalling|nose[\s-]*up)[^.;]{0,12}positive`),
	say("moment_sign", "nose-down", `(?:diving|nose[\s-]*(?:down|heavy))\s+moments?|(?:moments?|positive)[^.;]{0,24}(?:diving|nose[\s-]*(?:down|heavy))|(?:diving|nose[\s-]*(?:down|heavy))[^.;]{0,12}positive`),

	say("drag", "neither total nor profile", `(?:induced|parasite|parasitic)`),

	say("configuration.deflection_datum", "chord", `(?:from|to|relative\s+to|with|and)\s+(?:the\s+)?(?:wing[\s-]*)?chord(?:[\s-]*line)?`),
	say("configuration.deflection_datum", "lower-surface", `(?:from|to|relative\s+to|with|and)\s+(?:the\s+)?(?:wing\s+)?(?:lower|under)[\s-]*surface`),
	say("configuration.deflection_datum", "neutral", `(?:from|to|relative\s+to)\s+(?:the\s+|its\s+)?(?:neutral|closed|retracted|up)(?:\s+position)?`),
	say("configuration.deflection_plane", "hinge", `(?:normal|perpendicular|square)\s+to\s+(?:the\s+|its\s+)?hinge(?:[\s-]*(?:line|axis))?`),
	say("configuration.deflection_plane", "stream", `streamwise|(?:parallel\s+to|in)\s+(?:the\s+)?(?:plane\s+of\s+symmetry|stream|wind)`),

	say("angle_datum", "thrust-line", ofAngle+`thrust[\s-]*(?:line|axis)`),
	say("angle_datum", "lower-surface", ofAngle+`(?:flat\s+)?(?:lower|under)[\s-]*surface`),
	say("angle_datum", "fuselage-datum", ofAngle+`(?:fuselage|body|datum|airplane|aeroplane)[\s-]*(?:datum|axis|(?:reference[\s-]*)?line)`),
	say("angle_datum", "zero-lift", ofAngle+`(?:angle\s+of\s+|angle\s+for\s+)?(?:zero|no)[\s-]*lift|absolute\s+(?:angles?|incidences?)`),
	say("angle_datum", "chord", ofAngle+`(?:(?:wing|mean|root|airfoil|aerofoil)\s+)?chord(?:[\s-]*line)?`),

	say("walls", "uncorrected", `uncorrected\s+(?:for\s+)?[^.;]{0,30}(?:`+wallWords+`)|(?:no|without)\s+(?:`+wallWords+`)[^.;,]{0,25}corrections?|(?:no|without)\s+corrections?\s+for[^.;,]{0,30}(?:`+wallWords+`)`),
	say("walls", "corrected", `corrected\s+for[^.;]{0,40}(?:`+wallWords+`)|(?:`+wallWords+`)[\s-]*(?:corrections?|effects?|interference)\s+(?:applied|allowed\s+for)`),

	say("aspect_ratio_basis", "infinite", `infinite\s+(?:aspect[\s-]*ratio|span)|aspect[\s-]*ratio[\s,=]*(?:of\s+)?(?:∞|infinity)|section\s+(?:characteristics|coefficients|lift|drag)`),

	say("reference_area", "net", `net\s+(?:wing\s+)?area|area\s*,?\s*\(?net`),
	say("reference_area", "gross", `gross\s+(?:wing\s+)?area|area\s*,?\s*\(?gross`),
	say("reference_area", "extended", `(?:extended|increased)\s+(?:wing\s+)?area|(?:wing\s+)?area\s+with\s+(?:the\s+)?flaps?\s+(?:extended|out|down|lowered)`),
	say("reference_area", "original", `original\s+(?:wing\s+)?area|(?:wing\s+)?area\s+with\s+(?:the\s+)?flaps?\s+(?:retracted|closed|in|up)`),
	say("reference_area", "all-wings", `area\s+of\s+(?:both|all|the\s+two)\s+(?:wings|planes)`),
	say("reference_area", "one wing of several", `area\s*,?\s*(?:of\s+)?(?:the\s+)?(?:one|each|upper|lower|top|bottom)\s+(?:wing|plane)|(?:upper|lower|top|bottom)[\s-]*(?:wing|plane)\s+area`),

	say("altitude_kind", "density", `density[\s-]*(?:altitudes?|heights?)`),
	say("altitude_kind", "pressure", `pressure[\s-]*(?:altitudes?|heights?)`),
	say("altitude_kind", "geometric", `(?:geometric|true|tapeline)[\s-]*(?:altitudes?|heights?)`),

	say("reynolds_kind", "effective", `effective\s+(?:reynolds|r\.?\s?n)\w*`),
	say("reynolds_kind", "test", `test\s+(?:reynolds|r\.?\s?n)\w*`),

	say("correction_sign", "added", `to\s+be\s+added|added\s+to|additive`),
	say("correction_sign", "indicated-minus-true", `(?:to\s+be\s+)?(?:subtracted|deducted)|errors?\s+of\s+(?:the\s+)?(?:air[\s-]*speed\s+)?(?:instrument|indicator|meter)|indicated\s+(?:minus|less)\s+(?:true|calibrated|correct)`),
	say("moment_sign", "nose-down", `^[-−–]\s*c_?\s?m\w*`),

	// what is no quantity of the list, and is printed in its unit
	say("wing span", "the half of it", `(?:semi|half)[\s-]*spans?`),
	say("weight", "a load, not the aeroplane", `(?:useful|pay|disposable|military|commercial)[\s-]*loads?`),
	say("weight", "a loading", `weights?\s+per|lbs?\.?\s+per|kg\.?\s+per`),
	say("mean chord", "another chord", `(?:root|tip|center|centre)[\s-]*chord|chord\s+(?:at|of)\s+(?:the\s+)?(?:root|tip|cent(?:er|re))`),
	say("temperature", "a difference of temperatures", `temperatures?\s+(?:differences?|rises?|drops?|excess|increments?|deviations?)|(?:differences?|rises?|drops?|excess|deviations?|departures?)\s+(?:of|in|from)\s+(?:the\s+)?(?:air\s+)?(?:standard\s+)?temperatures?|temperatures?[^.;,]{0,12}(?:above|below|over|from)\s+(?:the\s+)?standard`),

	say("center_of_gravity", "stated", `c\.\s?g\.|cent(?:er|re)[\s-]*of[\s-]*gravity`),
	say("entry_rate", "stated", `rate\s+of\s+(?:approach|deceleration|loss\s+of\s+speed)|(?:m\.?p\.?h\.?|knots?|mile\s+per\s+hour|ft\.?\s+per\s+sec\w*\.?)\s*(?:/|per|in\s+each|a)\s*sec(?:ond|\.)?`),

	// The rating of a power and the condition of a weight. A longer text says of what:
	// a "normal wing" has no weight.
	sayIn(asHead|asLabel, "power_rating", "take-off", `take[\s-]*off`),
	sayIn(asHead|asLabel, "power_rating", "emergency", `war[\s-]*emergency|emergency|combat|military`),
	sayIn(asHead|asLabel, "power_rating", "continuous", `(?:max(?:imum|\.)?\s*)?continuous|cont\.`),
	sayIn(asHead|asLabel, "power_rating", "rated", `(?:normal\s+)?rated|rating`),
	sayIn(asCaption, "power_rating", "take-off", `take[\s-]*off\s+(?:horse)?(?:power|rating)`),
	sayIn(asCaption, "power_rating", "emergency", `(?:war[\s-]*)?(?:emergency|combat|military)\s+(?:horse)?(?:power|rating)`),
	sayIn(asCaption, "power_rating", "continuous", `(?:max(?:imum|\.)?\s*)?continuous\s+(?:horse)?(?:power|rating)`),
	sayIn(asCaption, "power_rating", "rated", `(?:normal\s+)?rated\s+(?:horse)?power`),

	sayIn(asHead, "weight_condition", "test", `test|as\s+tested|as\s+flown|during\s+(?:the\s+)?tests?`),
	sayIn(asHead, "weight_condition", "normal", `normal`),
	sayIn(asHead, "weight_condition", "maximum", `maximum|max\.?|overload`),
	sayIn(asHead, "weight_condition", "empty", `empty|tare`),
	sayIn(asLabel|asCaption, "weight_condition", "test", `test`+ofWeight+`|weights?\s+(?:as\s+(?:flown|tested)|(?:in|during)\s+(?:the\s+)?tests?)`),
	sayIn(asLabel|asCaption, "weight_condition", "normal", `normal`+ofWeight),
	sayIn(asLabel|asCaption, "weight_condition", "maximum", `(?:maximum|max\.?)`+ofWeight),
	sayIn(asLabel|asCaption, "weight_condition", "empty", `(?:empty|tare)\s+weight|weight\s+empty`),

	sayIn(asHead, "kind of drag", "profile", `profile`),
	sayIn(asHead, "kind of drag", "total", `total`),
	sayIn(asLabel|asCaption, "kind of drag", "profile", `profile[\s-]*drag`),
	sayIn(asLabel|asCaption, "kind of drag", "total", `total[\s-]*drag`),

	sayIn(asLabel|asCaption, "airspeed_kind", "IAS", `(?:readings?\s+of\s+the|as\s+read\s+(?:on|from))\s+[^.;,]{0,30}\b(?:instrument|indicator)`),
},
	speed("IAS", `indicated`, `\bK?I\.?A\.?S\b|\bA\.?S\.?I\b`, `\bK?I\.?A\.?S\b|\bA\.S\.I\b`),
	speed("CAS", `(?:calibrated|rectified)`, `\bK?C\.?A\.?S\b`, `\bK?C\.?A\.?S\b`),
	speed("EAS", `equivalent`, `\bK?E\.?A\.?S\b`, `\bK?E\.?A\.?S\b`),
	speed("TAS", `true`, `\bK?T\.?A\.?S\b`, `\bK?T\.?A\.?S\b`),
)

// phraseLexicon finds the phrases that are worth a closer look.
var phraseLexicon = func() *lexicon {
	list := make([]pattern, len(phrases))
	for i := range phrases {
		list[i] = phrases[i].pattern
	}
	return lexiconOf(list)
}()

// propellerWords are what a basis says of a propeller, in any words.
var propellerWords = []phrase{
	say("", "windmilling", `wind[\s-]*milling`),
	say("", "stopped", `stopped|stationary|locked|at\s+rest`),
	say("", "removed", `removed|off|without|none`),
	say("", "feathered", `feathered`),
}

// ofPower is what a head says of a power and not of a weight: normal rated power,
// maximum continuous power.
var ofPower = regexp.MustCompile(`(?i)(?:normal|max(?:imum|\.)?)\s*(?:rated|continuous|power|hp|h\.p\.|b\.?h\.?p\.?|speed)`)

var (
	// "Flaps and gear down" says the same of both.
	together     = patternOf(`(?i)\b(flaps?|` + gearWords[3:len(gearWords)-1] + `)\s*(?:and|&)\s*(?:the\s+)?(flaps?|` + gearWords[3:len(gearWords)-1] + `)\s+(up|down|retracted|lowered|extended|raised)\b`)
	notCorrected = patternOf(`(?i)\bnot\s+(?:been\s+)?corrected\b`)
	// 40 deg flap; flaps down 40°; flap deflection, 40 degrees; δf = 40°.
	degreesBehind = patternOf(`(?i)(?:\bflaps?\b|[δ]\s?_?\s?f\b)[^.;0-9%]{0,24}?([-−]?\d+(?:\.\d+)?)\s*-?\s*(?:°|deg)`)
	degreesBefore = patternOf(`(?i)(?:^|[^0-9.])(\d+(?:\.\d+)?)\s*-?\s*(?:°|deg(?:rees?|\.)?)\s*-?\s*(?:(?:split|slotted|plain)[\s-]*)?flaps?\b`)
	// A range or a list of deflections is none of them.
	degreesMany = patternOf(`(?i)\bflaps?\b[^.;]{0,24}?\d+(?:\.\d+)?\s*(?:°|deg(?:rees?|\.)?)?\s*(?:,|-|–|to|and|or|/)\s*\d+(?:\.\d+)?\s*(?:°|deg)`)
)

// hear finds what a text says, nil where it says nothing of the kind.
func hear(text string, in place) *heard {
	h := &heard{text: text, in: in}
	whole, folded := text, fold(text)
	if together.may(folded) {
		whole = together.ReplaceAllString(text, "$1 $3, $2 $3")
		folded = fold(whole)
	}
	if notCorrected.may(folded) {
		whole = notCorrected.ReplaceAllString(whole, "uncorrected")
		folded = fold(whole)
	}
	for i, may := range phraseLexicon.may(folded) {
		p := &phrases[i]
		if !may || p.in&in == 0 {
			continue
		}
		words := whole
		if p.field == "weight_condition" && in == asHead {
			words = ofPower.ReplaceAllString(whole, " ")
		}
		if p.MatchString(words) && !slices.Contains(h.said[p.field], p.as) {
			if h.said == nil {
				h.said = map[string][]string{}
			}
			h.said[p.field] = append(h.said[p.field], p.as)
		}
	}
	if got := h.said["stall"]; len(got) > 1 && got[0] == "minimum-steady" {
		h.said["stall"] = slices.Delete(got, 1, 2) // its words are in the other's
	}
	if (degreesBehind.may(folded) || degreesBefore.may(folded)) && !degreesMany.MatchString(whole) {
		for _, m := range slices.Concat(degreesBehind.FindAllStringSubmatch(whole, -1), degreesBefore.FindAllStringSubmatch(whole, -1)) {
			if f := strings.Replace(m[1], "−", "-", 1); !slices.Contains(h.flaps, f) {
				h.flaps = append(h.flaps, f)
			}
		}
	}
	if len(h.said) == 0 && len(h.flaps) == 0 {
		return nil
	}
	return h
}

// saidIn lists what a text says, in the order of the list.
func saidIn(text string, list []phrase) []string {
	var found []string
	for i := range list {
		if list[i].MatchString(text) {
			found = append(found, list[i].as)
		}
	}
	return found
}

// saysOtherwise is the one wording of a print against a statement.
func saysOtherwise(text, means, name, is string) string {
	msg := fmt.Sprintf("the print says %q", text)
	if means != "" {
		msg += " (" + means + ")"
	}
	if is == "" {
		return msg + "; " + name + " is not stated"
	}
	return msg + "; " + name + " is stated as " + is
}

// which joins what a text says of one thing.
func which(of string, said []string) string {
	if len(said) > 1 {
		of = "which may be " + of
	}
	return of + strings.Join(said, " or ")
}

// speaks reports whether the text says anything of the field.
func (h *heard) speaks(field string) bool {
	return h != nil && (len(h.said[field]) > 0 || field == "flap" && len(h.flaps) > 0)
}

var (
	factorWord = regexp.MustCompile(`(?i)\bfactors?\b`)
	// limitWord is found within a word too: limitations.
	limitWord = regexp.MustCompile(`(?i)limit|permissible|permitted|allowable|proof|ultimate|fail|break|collapse`)
)

// bareFactors raises a doubt about load factors that are stated as limits where the
// print calls them factors and nothing else: with the period that often is the factor
// of the failing load (common practice, no source).
func (n *normalizer) bareFactors() {
	factor := func(quantity string) bool {
		q, ok := Find(quantity)
		return ok && strings.HasSuffix(q.Name, "load factor")
	}
	if !slices.ContainsFunc(n.t.Columns, func(c extract.Column) bool { return factor(c.Quantity) }) && !slices.ContainsFunc(n.t.Rows, func(r extract.RowRule) bool { return factor(r.Quantity) }) ||
		limitWord.MatchString(n.t.Caption) {
		return
	}
	for r := range n.s.Rows {
		row := &n.s.Rows[r]
		labels := ""
		for i := range n.t.Columns {
			labels += " " + row.Labels[n.t.Columns[i].Key]
		}
		for i := range n.t.Columns {
			c := &n.t.Columns[i]
			d := row.Datum(c.Key)
			if d == nil || d.Quantity == nil || d.Refused || !strings.HasSuffix(d.Quantity.Name, "load factor") || d.Basis.Limit != "limit" {
				continue
			}
			said := labels
			if n.t.Layout != "list" {
				said = c.Head + " " + labels
			}
			if said = strings.Join(strings.Fields(said), " "); !factorWord.MatchString(said) || limitWord.MatchString(said) {
				continue
			}
			where := ":" + c.Key
			msg := fmt.Sprintf("the print says %q and not of which load; limit is stated as limit: a factor of the period is often that of the failing load, half as much again", said)
			if n.heardOnce(where + msg) {
				n.problem(OddPrint, "bare factor", nil, where, "confirm where another page of the source says that it is the limit; else mend the table's file", "%s", msg)
			}
		}
	}
}

// heardTexts is what each text of a table says, nil where it says nothing.
type heardTexts map[heardText]*heard

type heardText struct {
	text string
	in   place
}

// hearing hears a text once a table.
func (n *normalizer) hearing(text string, in place) *heard {
	if !strings.ContainsFunc(text, unicode.IsLetter) {
		return nil // a figure says nothing of the kind
	}
	key := heardText{text, in}
	h, is := n.heard[key]
	if !is {
		if n.heard == nil {
			n.heard = heardTexts{}
		}
		h = hear(text, in)
		n.heard[key] = h
	}
	return h
}

// telling is a part of a basis that a text names outright, so that any other answer
// is held against it, whatever a nearer text says.
type telling struct {
	field, name string
	bears       func(q *Quantity, in place) bool
	stated      func(b extract.Basis, h *heard) string // "" where another finding says so, or nothing is to be said
}

func spokenOf(n need) func(*Quantity, place) bool {
	return func(q *Quantity, _ place) bool { return q.spoken(n) }
}

var tellings = []telling{
	{"airspeed_kind", "airspeed_kind", spokenOf(needAirspeed), func(b extract.Basis, h *heard) string {
		if k, err := airspeedKind(b); err == nil && !definesAnother(b, k, h) {
			return k.String()
		}
		return ""
	}},
	{"kind of drag", "drag", spokenOf(needDrag), func(b extract.Basis, _ *heard) string { return b.Drag }},
	{"power_rating", "power_rating", spokenOf(needRating), func(b extract.Basis, _ *heard) string { return b.PowerRating }},
	{"weight_condition", "weight_condition", func(q *Quantity, in place) bool { return q.spoken(needCondition) || in != asHead && q.weighed() },
		func(b extract.Basis, _ *heard) string { return b.WeightCondition }},
}

// definesAnother reports whether the source's own words say what it means by its
// name of the speed, so that the name alone proves nothing: a source may call
// calibrated speeds true or indicated.
func definesAnother(b extract.Basis, k air.Kind, h *heard) bool {
	said := h.said["airspeed_kind"]
	switch {
	case b.AirspeedMeaning == "" || strings.EqualFold(strings.ReplaceAll(b.AirspeedMeaning, "-", " "), "not stated"):
		return false
	case h.in != asHead:
		return k != air.IAS
	case len(said) == 1 && said[0] == air.IAS.String():
		// A corrected speed that the print calls indicated is told by its definition.
		meant := hear(b.AirspeedMeaning, asHead)
		return meant != nil && slices.Contains(meant.said["airspeed_kind"], said[0])
	}
	return true
}

// told lists what a text says outright otherwise than the basis.
func (h *heard) told(q *Quantity, b extract.Basis) []contradiction {
	if h == nil {
		return nil
	}
	var list []contradiction
	for i := range tellings {
		t := &tellings[i]
		said := h.said[t.field]
		if len(said) == 0 || !t.bears(q, h.in) {
			continue
		}
		stated := t.stated(b, h)
		if stated == "" || len(said) == 1 && said[0] == stated || h.in == asCaption && slices.Contains(said, stated) {
			continue
		}
		list = append(list, contradiction{t, said, stated})
	}
	return list
}

type contradiction struct {
	*telling
	said []string
	is   string
}

// tells reports whether a text says anything outright.
func (h *heard) tells() bool {
	return h != nil && slices.ContainsFunc(tellings, func(t telling) bool { return len(h.said[t.field]) > 0 })
}

// toldAgainst says of a figure what a label or a caption says outright otherwise.
// near are the texts that go before a caption, and are held against it where no column
// is what the caption says.
func (n *normalizer) toldAgainst(h *heard, d *Datum, near ...*heard) {
	for _, c := range h.told(d.Quantity, d.Basis) {
		what, hint := c.name+"/label", "mend the table's file: a basis for the row under rows:; or confirm, if the label's words mean something else"
		msg := saysOtherwise(h.text, which("", c.said), c.name, c.is)
		if h.in == asCaption {
			what, hint = c.name+"/caption", "look which of the two the figures are; mend the table's file, or confirm"
			for _, o := range near {
				if o != nil && slices.Contains(o.said[c.field], c.is) {
					if n.columnSays(c.field, c.said) {
						msg = ""
						break
					}
					msg = fmt.Sprintf("the print says %q (%s) and %q (%s), against itself; %s is stated as %s", h.text, which("", c.said), o.text, c.is, c.name, c.is)
					break
				}
			}
		}
		if msg != "" {
			n.group(HeadDiffers, what, d.Cell.ID, ":"+d.Cell.ID.Column, hint, msg)
		}
	}
}

// columnSays reports whether a column or a given says itself what the caption says:
// "calibrated speeds" stand beside the indicated ones that they come from.
func (n *normalizer) columnSays(field string, said []string) bool {
	says := func(text string) bool {
		h := n.hearing(text, asHead)
		return h != nil && slices.ContainsFunc(said, func(as string) bool { return slices.Contains(h.said[field], as) })
	}
	return slices.ContainsFunc(n.t.Columns, func(c extract.Column) bool { return says(c.Head) }) ||
		slices.ContainsFunc(n.t.Givens, func(g extract.Column) bool { return says(strings.TrimSpace(g.Head + " " + g.Words)) })
}

// listen holds the words of the caption, of each head and of each row's labels
// against what the basis of the figures under them states, and the weight that a
// basis names against the condition that it states. What heads say outright of a
// whole column is said with the column's meaning.
func (n *normalizer) listen() {
	n.bareFactors()
	list := n.t.Layout == "list"
	labelled := asLabel
	if list {
		labelled = asHead // a line of its own
	}
	caption := n.hearing(n.t.Caption, asCaption)
	captionTells := caption.tells()
	for i := range n.t.Givens {
		g := &n.t.Givens[i]
		d := n.s.Givens[g.Key]
		if d == nil || d.Quantity == nil || d.Refused {
			continue
		}
		h := n.hearing(strings.TrimSpace(g.Head+" "+g.Words), asHead)
		if captionTells {
			n.toldAgainst(caption, d, h)
		}
		n.weightAgainst(nil, d)
		if h != nil {
			n.against(h, d, ":given:"+g.Key, nil)
		}
	}
	heads := make([]*heard, len(n.t.Columns))
	quiet := caption == nil
	for i := range n.t.Columns {
		if !list {
			heads[i] = n.hearing(n.t.Columns[i].Head, asHead)
			quiet = quiet && heads[i] == nil
		}
	}
	type met struct {
		sense  *Sense
		state  *State
		column int
		label  string
	}
	seen := map[met]bool{}
	last := make([]met, len(n.t.Columns)) // the figure above mostly is of the same
	for r := range n.s.Rows {
		row := &n.s.Rows[r]
		var labels []*heard
		var texts []string
		for i := range n.t.Columns {
			if len(row.Labels) == 0 {
				break
			}
			text := row.Labels[n.t.Columns[i].Key]
			if text == "" {
				continue
			}
			texts = append(texts, text)
			if h := n.hearing(text, labelled); h != nil {
				labels = append(labels, h)
			}
		}
		label := strings.Join(texts, " ")
		var whole *heard // what the labels of a row say together
		if !list && label != "" {
			if whole = n.hearing(label, asLabel); !whole.tells() {
				whole = nil
			}
		}
		for i := range n.t.Columns {
			d := row.At(i)
			if d == nil || d.Quantity == nil || d.Refused || d.State == nil {
				continue
			}
			if d.Basis.Weight != "" {
				n.weightAgainst(row, d)
			}
			if quiet && len(labels) == 0 && whole == nil {
				continue
			}
			if whole != nil {
				n.toldAgainst(whole, d)
			}
			if captionTells {
				own := heads[i]
				if list {
					own = n.hearing(row.Labels["label"], asHead)
				}
				n.toldAgainst(caption, d, own, whole)
			}
			key := met{d.Sense, d.State, i, label}
			if last[i] == key || seen[key] {
				continue
			}
			seen[key], last[i] = true, key
			column := ":" + n.t.Columns[i].Key
			for k, h := range labels {
				others := slices.Concat(labels[:k], labels[k+1:])
				n.against(h, d, column, func(field string) bool {
					return slices.ContainsFunc(others, func(o *heard) bool { return o.speaks(field) && !slices.Equal(o.said[field], h.said[field]) })
				})
			}
			if heads[i] != nil {
				n.against(heads[i], d, column, nil)
			}
			if caption != nil {
				n.against(caption, d, ":caption", func(field string) bool {
					return len(caption.said[field]) > 1 || field == "flap" && len(caption.flaps) > 1 || heads[i].speaks(field) || slices.ContainsFunc(labels, func(h *heard) bool { return h.speaks(field) })
				})
			}
		}
	}
}

// weightAgainst holds the condition of the weight that a basis names against that
// which it states: a stall at the weight of the test is not one at the maximum weight.
func (n *normalizer) weightAgainst(row *Row, d *Datum) {
	if d.Quantity == nil || !d.Quantity.weighed() {
		return
	}
	at := n.s.Ref(row, d.Basis.Weight)
	if at == nil || at.Quantity == nil || at.Quantity.Name != "weight" {
		return
	}
	of, is := stated(at.Basis.WeightCondition), stated(d.Basis.WeightCondition)
	if of == "" || is == "" || of == is {
		return
	}
	n.group(HeadDiffers, "weight_condition/weight", d.Cell.ID, ":"+d.Cell.ID.Column, "mend the table's file: name the weight of that condition; or confirm, if both are one weight",
		fmt.Sprintf("weight_condition is stated as %s, and the weight (%s) is stated as the %s weight", is, d.Basis.Weight, of))
}

// against says what a text says otherwise than the basis of a figure, or what the
// basis does not say. settled tells the fields that a nearer text speaks of.
func (n *normalizer) against(h *heard, d *Datum, where string, settled func(field string) bool) {
	for _, c := range claims(d) {
		said := h.said[c.field]
		if !c.bears || len(said) == 0 && !(c.field == "flap" && len(h.flaps) > 0) || settled != nil && settled(c.field) {
			continue
		}
		if c.field == "flap" {
			n.flapAgainst(h, d, where)
			continue
		}
		name, is := c.field, c.stated
		if c.field == "kind" {
			name = "configuration.flap"
		}
		if c.open && stated(is) != "" {
			continue
		}
		// Of two states in one text one is to be stated.
		if !c.open && slices.ContainsFunc(said, c.fits) {
			continue
		}
		n.contradict(h, name, is, which("", said), c.open, where)
	}
}

// contradict says once a column or a caption what a text says otherwise.
func (n *normalizer) contradict(h *heard, name, is, means string, open bool, where string) {
	kind, msg, hint := HeadDiffers, saysOtherwise(h.text, means, name, is), "mend the table's file; or confirm, if the print's words mean something else"
	if open {
		kind, msg = OddPrint, saysOtherwise(h.text, "", name, is)
	}
	if !n.heardOnce(where + msg) {
		return
	}
	n.problem(kind, name, nil, where, hint, "%s", msg)
}

// heardOnce reports whether a message is new.
func (n *normalizer) heardOnce(key string) bool {
	if _, said := n.grouped["heard"+key]; said {
		return false
	}
	n.grouped["heard"+key] = -1
	return true
}

// claim is one thing that texts speak of, and what a figure's basis states of it.
type claim struct {
	field, stated string
	bears         bool // on the quantity
	fits          func(said string) bool
	// open marks what the text only mentions: any statement answers it.
	open bool
}

func claims(d *Datum) []claim {
	q, b, c := d.Quantity, d.Basis, d.Config
	flown := q.Aerodynamic() || q.Group == Stall
	whole := b.Article == "aeroplane" || b.Article == "model" || b.Article == ""
	is := func(stated string) func(string) bool { return func(said string) bool { return said == stated } }
	deflected := q.Name == "flap deflection" || q.flapped() && c.Deflection != "" && c.Deflection != "0" && c.DeflectionCell == nil
	return []claim{
		{field: "flap", bears: q.flapped() || q.Group == Limit},
		{field: "kind", stated: c.Flap, bears: (q.flapped() || q.Group == Limit) && c.Flap != "none" && c.Flap != "other", fits: func(said string) bool { return slices.Contains(strings.Split(c.Flap, "+"), said) }},
		{field: "configuration.gear", stated: c.Gear, bears: (flown || q.Group == Limit) && whole, fits: is(c.Gear)},
		// in flight, power off mostly is an engine that idles
		{field: "configuration.power", stated: c.Power, bears: flown && whole, fits: func(said string) bool {
			return said == c.Power || said == "off" && (c.Power == "idle" || c.Power == "none")
		}},
		{field: "configuration.slats", stated: c.Slats, bears: flown, fits: is(c.Slats)},
		{field: "configuration.propeller", stated: c.Propeller, bears: flown && whole, fits: func(said string) bool {
			return slices.Contains(saidIn(c.Propeller, propellerWords), said)
		}},
		{field: "stall", stated: b.Stall, bears: q.Group == Stall, fits: func(said string) bool {
			return said == b.Stall || said == "minimum-speed" && b.Stall == "minimum-steady"
		}},
		{field: "limit", stated: b.Limit, bears: q.spoken(needLimit), fits: is(b.Limit)},
		{field: "increment", stated: b.Increment, bears: q.Group == Increment, fits: is(b.Increment)},
		{field: "moment_center", stated: b.MomentCenter, bears: q.spoken(needCenter), fits: func(said string) bool {
			center := hear(b.MomentCenter, asCaption)
			return !center.speaks("moment_center") || slices.Contains(center.said["moment_center"], said)
		}},
		{field: "moment_sign", stated: b.MomentSign, bears: q.moment(), fits: is(b.MomentSign)},
		{field: "drag", stated: b.Drag, bears: q.Name == "drag coefficient" || q.Name == "minimum drag coefficient", fits: func(string) bool { return false }},
		{field: "configuration.deflection_datum", stated: c.DeflectionDatum, bears: deflected, fits: is(c.DeflectionDatum)},
		{field: "configuration.deflection_plane", stated: c.DeflectionPlane, bears: deflected, fits: is(c.DeflectionPlane)},
		{field: "angle_datum", stated: b.AngleDatum, bears: q.spoken(needDatum), fits: func(said string) bool {
			return said == b.AngleDatum || said == "chord" && b.AngleDatum == "root-chord"
		}},
		{field: "walls", stated: b.Walls, bears: q.spoken(needWalls), fits: is(b.Walls)},
		{field: "aspect_ratio_basis", stated: b.AspectRatioBasis, bears: q.spoken(needInfinite) && b.Article == "wing", fits: is(b.AspectRatioBasis)},
		{field: "reference_area", stated: b.ReferenceArea, bears: q.spoken(needArea), fits: is(b.ReferenceArea)},
		{field: "altitude_kind", stated: b.AltitudeKind, bears: q.spoken(needAltitudeKind), fits: is(b.AltitudeKind)},
		{field: "reynolds_kind", stated: b.ReynoldsKind, bears: q.spoken(needReynolds), fits: is(b.ReynoldsKind)},
		{field: "correction_sign", stated: b.CorrectionSign, bears: q.spoken(needCorrectionSign), fits: is(b.CorrectionSign)},
		{field: "wing span", stated: "the whole", bears: q.Name == "wing span", fits: func(string) bool { return false }},
		{field: "weight", stated: "that of the aeroplane", bears: q.Name == "weight" || q.Name == "test weight", fits: func(string) bool { return false }},
		{field: "mean chord", stated: "the mean", bears: q.Name == "mean chord", fits: func(string) bool { return false }},
		{field: "temperature", stated: "the air's own", bears: q.Name == "air temperature", fits: func(string) bool { return false }},
		{field: "center_of_gravity", stated: b.CenterOfGravity, bears: q.Group == Stall || q.Name == "maximum lift coefficient", open: true},
		{field: "entry_rate", stated: b.EntryRate, bears: q.Group == Stall || q.Name == "maximum lift coefficient", open: true},
	}
}

// flapAgainst holds a printed position of the flap against the configuration.
func (n *normalizer) flapAgainst(h *heard, d *Datum, where string) {
	said, c := h.said["flap"], d.Config
	value, figure := new(big.Rat).SetString(c.Deflection)
	up := c.Flap == "none" || figure && value.Sign() == 0
	is := c.Deflection
	switch {
	case c.Flap == "none":
		is = "no flap"
	case is == "" && d.Basis.Configuration.Deflection == "not-stated":
		is = "not-stated"
	}
	fits := func(said string) bool {
		switch said {
		case flapUp:
			return up
		case flapDown:
			return c.Flap != "none" && !up && (figure || is == "not-stated")
		}
		return c.Flap == "none"
	}
	if len(h.flaps) > 0 {
		for _, f := range h.flaps {
			if v, ok := new(big.Rat).SetString(f); ok && (figure && v.Cmp(value) == 0 || c.Flap == "none" && v.Sign() == 0) {
				return
			}
		}
		n.contradict(h, "configuration.deflection", is, which("flap at ", h.flaps)+" deg", false, where)
		return
	}
	if len(said) == 1 && fits(said[0]) || len(said) > 1 && is != "" && is != "not-stated" && slices.ContainsFunc(said, fits) {
		return
	}
	n.contradict(h, "configuration.deflection", is, which("flap ", said), false, where)
}

// ConfigurationOf proposes the configuration that the words of a printed head or
// caption state, for a person to confirm; it is never used without one. What has two
// answers, or a figure, which is a cell of its own, is left open.
func ConfigurationOf(text string) extract.Configuration {
	h := hear(text, asCaption)
	if h == nil {
		return extract.Configuration{}
	}
	one := func(field string) string {
		if got := h.said[field]; len(got) == 1 {
			return got[0]
		}
		return ""
	}
	c := extract.Configuration{Flap: one("kind"), Gear: one("configuration.gear"), Slats: one("configuration.slats"), Propeller: one("configuration.propeller"), Power: one("configuration.power")}
	if c.Power == "off" {
		c.Power = "" // or idle: the source's text says
	}
	switch position := one("flap"); {
	case len(h.flaps) > 0:
	case position == "none" && c.Flap == "":
		c.Flap = "none"
	case position == flapUp:
		c.Deflection = "up"
	}
	return c
}
