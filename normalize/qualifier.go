package normalize

import (
	"fmt"
	"regexp"
	"strings"

	"windtally/extract"
	"windtally/normalize/unit"
)

// What heads say beside the unit: the rating of a power, the condition of a weight.
var (
	ratingWords = []said{
		{word(`take[\s-]*off`), "take-off"},
		{word(`war[\s-]*emergency|emergency|combat|military`), "emergency"},
		{word(`(?:max(?:imum|\.)?\s*)?continuous|cont\.`), "continuous"},
		{word(`(?:normal\s+)?rated|rating`), "rated"},
	}
	conditionWords = []said{
		{word(`test|as\s+tested|as\s+flown|during\s+(?:the\s+)?tests?`), "test"},
		{word(`normal`), "normal"},
		{word(`maximum|max\.?|overload`), "maximum"},
		{word(`empty|tare`), "empty"},
	}
)

type said struct {
	words *regexp.Regexp
	as    string // what the basis calls it
}

func word(alternatives string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(?:^|[^\pL])(?:` + alternatives + `)(?:$|[^\pL])`)
}

// saidIn lists what the words of a head say, in the order of the list.
func saidIn(head string, list []said) []string {
	var found []string
	for _, s := range list {
		if s.words.MatchString(head) {
			found = append(found, s.as)
		}
	}
	return found
}

// ratingInHead holds the rating that a head prints beside the unit (take-off hp)
// against the stated one, which is part of the basis and never of the unit.
func ratingInHead(head string, q *Quantity, basis extract.Basis) string {
	return basisInHead(head, q, needRating, basis, ratingWords)
}

// ofPower is what a head says of a power and not of a weight: normal rated power,
// maximum continuous power.
var ofPower = regexp.MustCompile(`(?i)(?:normal|max(?:imum|\.)?)\s*(?:rated|continuous|power|hp|h\.p\.|b\.?h\.?p\.?|speed)`)

// conditionInHead does the same for the condition of a weight (maximum weight, lb.).
func conditionInHead(head string, q *Quantity, basis extract.Basis) string {
	return basisInHead(ofPower.ReplaceAllString(head, " "), q, needCondition, basis, conditionWords)
}

func basisInHead(head string, q *Quantity, n need, basis extract.Basis, words []said) string {
	if !q.spoken(n) {
		return ""
	}
	found, stated := saidIn(head, words), n.value(basis)
	switch {
	case len(found) == 0 || stated == "" || len(found) == 1 && found[0] == stated:
		return ""
	case len(found) > 1:
		return fmt.Sprintf("the print says %q, which may be %s; %s is stated as %s", head, strings.Join(found, " or "), n.name, stated)
	}
	return fmt.Sprintf("the print says %q (%s); %s is stated as %s", head, found[0], n.name, stated)
}

// placeInHead raises a doubt about a power that is not that of the shaft: a thrust
// power has the propeller's losses taken off, an indicated power has the engine's
// friction in it.
func placeInHead(head string, q *Quantity) string {
	if !q.spoken(needRating) {
		return ""
	}
	for _, text := range append(unitTexts(head), strings.Fields(head)...) {
		text = strings.Trim(text, "()[],;")
		if bare, _, ok := unit.Qualified(text); ok {
			text = bare
		}
		if place := unit.PlaceOfPower(text); place == "thrust" || place == "indicated" {
			return fmt.Sprintf("the print says %q, a power measured as %s power; the quantity is stated as %s, which is that of the shaft: write unclassified, or confirm if the words mean something else", head, place, q.Name)
		}
	}
	return ""
}
