package normalize

import (
	"fmt"
	"regexp"
	"strings"

	"windtally/normalize/unit"
)

// factorInHead matches what heads print when the figures under them are scaled:
// "C_D x 10^4", "R.N. (millions)".
var factorInHead = regexp.MustCompile(`(?i)[x×*]\s*10\s*[\^⁰¹²³⁴⁵⁶⁷⁸⁹⁻-]|10\s*[\^⁻]|10[⁰¹²³⁴⁵⁶⁷⁸⁹]|\bmillions?\b|\bthousand(th)?s?\b`)

// againstHead compares the unit that a person states with what the printed head,
// label or caption says, and returns what does not go together, or "". A head whose
// words are no unit says nothing.
func againstHead(head string, q *Quantity, stated unit.Unit) string {
	if factorInHead.MatchString(head) && !strings.HasPrefix(stated.UCUM, "10*") {
		return fmt.Sprintf("the print says %q, a scaled figure, and the unit is stated as %s; under a head C_D x 10^4 the unit is 10*-4, for millions it is 10*6", head, stated.UCUM)
	}
	canonical, _ := unit.Lookup(q.Canonical)
	for _, text := range unitTexts(head) {
		u, err := unit.ParseFor(text, canonical.Dim)
		if err != nil || u.Dim != canonical.Dim || u.UCUM == stated.UCUM {
			continue
		}
		return fmt.Sprintf("the print says %q in %q, which is %s; the unit is stated as %s", text, head, u.Name, stated.Name)
	}
	return ""
}

var bracketed = regexp.MustCompile(`[(\[]([^()\[\]]+)[)\]]`)

// unitTexts are the parts of a head that may name a unit: what stands in brackets,
// and what stands after the last comma or after "in".
func unitTexts(head string) []string {
	var texts []string
	for _, m := range bracketed.FindAllStringSubmatch(head, -1) {
		texts = append(texts, strings.TrimSpace(m[1]))
	}
	if i := strings.LastIndexByte(head, ','); i >= 0 {
		texts = append(texts, strings.TrimSpace(head[i+1:]))
	}
	if _, after, ok := strings.Cut(head, " in "); ok {
		texts = append(texts, strings.TrimSpace(after))
	}
	var out []string
	for _, t := range texts {
		// A bare letter or figure in brackets numbers a column or marks a footnote.
		if len(t) > 1 || strings.ContainsAny(t, "°%'\"") {
			out = append(out, t)
		}
	}
	return out
}

// unitAfter is what stands behind the figure in the words by which a given figure
// is found ("Test weight * lb."), in brackets so that it is taken for a unit.
func unitAfter(words string) string {
	_, after, ok := strings.Cut(words, "*")
	if after = strings.Trim(strings.TrimSpace(after), "]),;"); !ok || after == "" {
		return ""
	}
	return "(" + after + ")"
}
