package normalize

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"windtally/extract"
)

// heard is what the words of a head, a label or a caption say of a configuration and
// of what figures mean, by the field of the basis. Two answers to one field are both
// there: "flaps up and down".
type heard struct {
	text string
	said map[string][]string
	// flaps are the deflections of a flap in degrees, as printed.
	flaps []string
}

// The answers of flapPosition beside figures.
const (
	flapUp   = "up"
	flapDown = "down"
)

// A phrase is a way of the period to say something of a field.
type phrase struct {
	words *regexp.Regexp
	field string
	as    string
}

func say(field, as, alternatives string) phrase { return phrase{word(alternatives), field, as} }

const (
	gearWords  = `(?:landing[\s-]*gear|under[\s-]*carriage|gear|wheels|u/c)`
	flapWords  = `flaps?`
	slatWords  = `(?:slots?|slats?)`
	screwWords = `(?:propeller|airscrew|prop\.?)`
	upWords    = `(?:fully\s+)?(?:up|retracted|raised|housed)`
	downWords  = `(?:fully\s+|full\s+|half\s+|partly\s+|partially\s+)?(?:down|lowered|extended)`
	gap        = `\s*[,:(]?\s*`
	ofAngle    = `(?:^angles?|angles?\s+of\s+(?:attack|incidence)|incidences?|attack|alpha|α|attitude)(?:\s*,)?\s+(?:(?:is|are|being)\s+)?(?:measured\s+)?(?:of|to|from|relative\s+to|between)\s+(?:the\s+)?`
	wallWords  = `(?:tunnel|jet|boundary|wall)[\s-]*(?:walls?|boundar(?:y|ies))?|walls?|wall[\s-]*interference|constraint`
	both       = `\s*(?:and|or|&|/)\s*`
)

// phrases is never changed. Common practice, no source.
var phrases = []phrase{
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
}

// propellerWords are what a basis says of a propeller, in any words.
var propellerWords = []said{
	{word(`wind[\s-]*milling`), "windmilling"},
	{word(`stopped|stationary|locked|at\s+rest`), "stopped"},
	{word(`removed|off|without|none`), "removed"},
	{word(`feathered`), "feathered"},
}

var (
	// "Flaps and gear down" says the same of both.
	together     = regexp.MustCompile(`(?i)\b(flaps?|` + gearWords[3:len(gearWords)-1] + `)\s*(?:and|&)\s*(?:the\s+)?(flaps?|` + gearWords[3:len(gearWords)-1] + `)\s+(up|down|retracted|lowered|extended|raised)\b`)
	notCorrected = regexp.MustCompile(`(?i)\bnot\s+(?:been\s+)?corrected\b`)
	// 40 deg flap; flaps down 40°; flap deflection, 40 degrees; δf = 40°.
	degreesBehind = regexp.MustCompile(`(?i)(?:\bflaps?\b|[δ]\s?_?\s?f\b)[^.;0-9%]{0,24}?([-−]?\d+(?:\.\d+)?)\s*-?\s*(?:°|deg)`)
	degreesBefore = regexp.MustCompile(`(?i)(?:^|[^0-9.])(\d+(?:\.\d+)?)\s*-?\s*(?:°|deg(?:rees?|\.)?)\s*-?\s*(?:(?:split|slotted|plain)[\s-]*)?flaps?\b`)
	// A range or a list of deflections is none of them.
	degreesMany = regexp.MustCompile(`(?i)\bflaps?\b[^.;]{0,24}?\d+(?:\.\d+)?\s*(?:°|deg(?:rees?|\.)?)?\s*(?:,|-|–|to|and|or|/)\s*\d+(?:\.\d+)?\s*(?:°|deg)`)
)

// hear finds what a text says, nil where it says nothing of the kind.
func hear(text string) *heard {
	h := &heard{text: text, said: map[string][]string{}}
	whole := notCorrected.ReplaceAllString(together.ReplaceAllString(text, "$1 $3, $2 $3"), "uncorrected")
	for _, p := range phrases {
		if p.words.MatchString(whole) && !slices.Contains(h.said[p.field], p.as) {
			h.said[p.field] = append(h.said[p.field], p.as)
		}
	}
	if got := h.said["stall"]; len(got) > 1 && got[0] == "minimum-steady" {
		h.said["stall"] = slices.Delete(got, 1, 2) // its words are in the other's
	}
	if !degreesMany.MatchString(whole) {
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

// speaks reports whether the text says anything of the field.
func (h *heard) speaks(field string) bool {
	return h != nil && (len(h.said[field]) > 0 || field == "flap" && len(h.flaps) > 0)
}

// listen holds the words of the caption, of each head and of each row's labels
// against what the basis of the figures under them states.
func (n *normalizer) listen() {
	known := map[string]*heard{}
	hearing := func(text string) *heard {
		if !strings.ContainsFunc(text, unicode.IsLetter) {
			return nil // a figure says nothing of the kind
		}
		h, is := known[text]
		if !is {
			h = hear(text)
			known[text] = h
		}
		return h
	}
	list := n.t.Layout == "list"
	caption := hearing(n.t.Caption)
	heads := make([]*heard, len(n.t.Columns))
	quiet := caption == nil
	for i := range n.t.Columns {
		if !list {
			heads[i] = hearing(n.t.Columns[i].Head)
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
		all := ""
		for i := range n.t.Columns {
			text := row.Labels[n.t.Columns[i].Key]
			if h := hearing(text); h != nil {
				labels = append(labels, h)
				all += text + "\n"
			}
		}
		if quiet && len(labels) == 0 {
			continue
		}
		for i := range n.t.Columns {
			d := row.Datum(n.t.Columns[i].Key)
			if d == nil || d.Quantity == nil || d.Refused || d.State == nil {
				continue
			}
			key := met{d.Sense, d.State, i, all}
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
	for i := range n.t.Givens {
		g := &n.t.Givens[i]
		d := n.s.Givens[g.Key]
		if d == nil || d.Quantity == nil || d.Refused || d.State == nil {
			continue
		}
		if h := hearing(strings.TrimSpace(g.Head + " " + g.Words)); h != nil {
			n.against(h, d, ":given:"+g.Key, nil)
		}
	}
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
		means := strings.Join(said, " or ")
		if len(said) > 1 {
			means = "which may be " + means
		}
		n.contradict(h, name, is, means, c.open, where)
	}
}

// contradict says once a column or a caption what a text says otherwise.
func (n *normalizer) contradict(h *heard, name, is, means string, open bool, where string) {
	says := fmt.Sprintf("%s is stated as %s", name, is)
	if is == "" {
		says = name + " is not stated"
	}
	kind, text, hint := HeadDiffers, fmt.Sprintf("the print says %q (%s)", h.text, means), "mend the table's file; or confirm, if the print's words mean something else"
	if open {
		kind, text = OddPrint, fmt.Sprintf("the print says %q", h.text)
	}
	msg := text + "; " + says
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
			center := hear(b.MomentCenter)
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
		means := "flap at " + strings.Join(h.flaps, " or ") + " deg"
		if len(h.flaps) > 1 {
			means = "which may be " + means
		}
		n.contradict(h, "configuration.deflection", is, means, false, where)
		return
	}
	if len(said) == 1 && fits(said[0]) || len(said) > 1 && is != "" && is != "not-stated" && slices.ContainsFunc(said, fits) {
		return
	}
	means := "flap " + strings.Join(said, " or ")
	if len(said) > 1 {
		means = "which may be " + means
	}
	n.contradict(h, "configuration.deflection", is, means, false, where)
}

// ConfigurationOf proposes the configuration that the words of a printed head or
// caption state, for a person to confirm; it is never used without one. What has two
// answers, or a figure, which is a cell of its own, is left open.
func ConfigurationOf(text string) extract.Configuration {
	h := hear(text)
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
