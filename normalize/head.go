package normalize

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/normalize/unit"
)

// headDoubts compares what a person states of a column with what the printed head,
// label or caption says, and returns what does not go together. after is the text
// behind a given figure ("x 10^6" in "Reynolds number 3.4 x 10^6"), where a factor
// multiplies the figure; in a head it multiplies the quantity.
func (n *normalizer) headDoubts(head, after string, q *Quantity, stated unit.Unit, basis extract.Basis) []string {
	if head == "" && after == "" {
		return nil
	}
	var list []string
	add := func(msg string) {
		if msg != "" {
			list = append(list, msg)
		}
	}
	canonical, _ := unit.Lookup(q.Canonical)
	e, scaled := factorOfHead(head, q, canonical.Dim)
	if !scaled || e != -2 || basis.Coefficients != "hundredfold" {
		add(scaleInHead(head, after, e, scaled, q, stated))
	}
	whole := head
	if unit := unitAfter(after); unit != "" {
		whole += " " + unit
	}
	texts := unitTexts(metricHead(whole))
	add(againstHead(whole, texts, canonical.Dim, stated))
	add(foreignInHead(whole, q))
	add(quantityInHead(head, q))
	said := n.hearing(head, asHead)
	for _, c := range said.told(q, basis) {
		msg := saysOtherwise(head, which("", c.said), c.name, c.is)
		if c.name == needAirspeed.name {
			msg += ", and no airspeed_meaning says so"
		}
		add(msg)
	}
	add(placeInHead(head, texts, q))
	return list
}

const powerOfTenText = `(?:10\s*(?:\^|\*\*)?\s*([-−–⁻]?\s*[0-9⁰¹²³⁴⁵⁶⁷⁸⁹]{1,2})\b|10\s*([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)|(10{1,2}(?:[ ,]?000)*|1(?:[ ,]?000)+)\b)`

// What heads print when the figures under them are scaled.
var (
	factorTimes  = patternOf(`(?:(?:^|[^0-9\s]\s+|[^\pL0-9\s])[xX]|(?:^|[^0-9\s])\s*[×*])\s*` + powerOfTenText) // C_D x 10^4
	factorFirst  = patternOf(`^\s*` + powerOfTenText + `\s*[xX×*]?\s*[\pL(]`)                                   // 1000 C_D
	factorUnder  = patternOf(`[^0-9\s]\s*[÷/]\s*` + powerOfTenText)                                             // R.N. ÷ 1,000,000
	factorAlone  = patternOf(`(?:[(\[,]|\bin)\s*` + powerOfTenText + `\s*(.*)`)                                 // R.N. (10^6); (1000 ft.)
	factorInWord = patternOf(`(?i)\b(millions?|thousands?|millionths?|thousandths?)\b`)
	percentFirst = regexp.MustCompile(`(?i)^\s*\d+[\s-]*(%|per\s?cent)`)
	factorBehind = patternOf(`^\s*[xX×*]\s*` + powerOfTenText) // behind a figure
)

// exponentOf reads the power of ten in a match of powerOfTenText, whose groups
// begin at m[at].
func exponentOf(m []string, at int) (int, bool) {
	text := m[at] + m[at+1]
	if m[at+2] != "" {
		text = strconv.Itoa(strings.Count(m[at+2], "0"))
	} else if m[at] != "" && strings.Trim(m[at], "0") == "" {
		text = strconv.Itoa(1 + len(m[at])) // 10 and 00: a thousand, no power
	}
	text = strings.Map(func(r rune) rune {
		switch {
		case r == ' ':
			return -1
		case strings.ContainsRune("−–⁻", r):
			return '-'
		}
		for i, s := range []rune("⁰¹²³⁴⁵⁶⁷⁸⁹") {
			if r == s {
				return '0' + rune(i)
			}
		}
		return r
	}, text)
	e, err := strconv.Atoi(text)
	return e, err == nil && e != 0
}

// factorOfHead finds the power of ten by which the figures under a head are to be
// multiplied: -4 under C_D x 10^4, 6 under R.N. (millions).
func factorOfHead(head string, q *Quantity, dim unit.Dimension) (exponent int, ok bool) {
	folded := fold(head)
	if m := factorTimes.find(head, folded); m != nil {
		e, ok := exponentOf(m, 1)
		return -e, ok
	}
	if m := factorUnder.find(head, folded); m != nil {
		if e, ok := exponentOf(m, 1); ok && e != 1 {
			return e, true
		}
	}
	if m := factorAlone.find(head, folded); m != nil {
		// 1000 ft. scales a length, and is a place in the head of a speed; (10) and
		// (104) number a column.
		rest := strings.TrimSpace(strings.Trim(strings.TrimSpace(m[4]), ")]"))
		_, err := unit.ParseFor(rest, dim)
		e, ok := exponentOf(m, 1)
		power := strings.ContainsAny(m[1]+m[2], "-−–⁻⁰¹²³⁴⁵⁶⁷⁸⁹") || strings.Contains(m[0], "^")
		round := m[3] != "" || m[1] != "" && strings.Trim(m[1], "0") == ""
		if ok && rest == "" && dim == unit.Dimensionless && (power || round && e > 2) || ok && rest != "" && err == nil && (power || round && e > 1) {
			return e, true
		}
	}
	if m := factorFirst.find(head, folded); m != nil && q.Canonical == "1" && !percentFirst.MatchString(head) {
		if e, ok := exponentOf(m, 1); ok && e != 1 {
			return -e, true
		}
	}
	if m := factorInWord.find(head, folded); m != nil {
		word, e := strings.TrimSuffix(strings.ToLower(m[1]), "s"), 3
		if strings.HasPrefix(word, "million") {
			e = 6
		}
		if strings.HasSuffix(word, "th") {
			e = -e
		}
		return e, true
	}
	return 0, false
}

// scaleInHead demands exactly the unit that undoes a printed factor.
func scaleInHead(head, after string, e int, ok bool, q *Quantity, stated unit.Unit) string {
	if _, behind, found := strings.Cut(after, "*"); found {
		if m := factorBehind.FindStringSubmatch(behind); m != nil {
			if e, ok = exponentOf(m, 1); ok {
				head = strings.TrimSpace(m[0])
			}
		}
	}
	if !ok {
		return ""
	}
	want := fmt.Sprintf("10*%d", e)
	if e == -2 {
		want = "%"
	}
	_, known := unit.Lookup(want)
	switch {
	case q.Canonical != "1":
		return fmt.Sprintf("the print says %q, a scaled figure, and %s has no scaled unit: write unclassified or key the figures in the unit itself", head, q.Name)
	case !known:
		return fmt.Sprintf("the print says %q, a scaled figure, and there is no unit of 10 to the %d: write unclassified", head, e)
	case stated.UCUM != want:
		return fmt.Sprintf("the print says %q, a scaled figure, whose unit is %s (a figure of 123 means 123 x 10^%d); the unit is stated as %s", head, want, e, stated.UCUM)
	}
	return ""
}

// metricBehind is a horsepower that a head calls metric behind its name, as the
// symbol pages of reports do: horsepower (metric).
var metricBehind = patternOf(`(?i)\b(horse[\s-]?power|b\.?\s?h\.?\s?p\.?|h\.?\s?p\.?)\s*[(\[,]\s*metric\s*[)\]]?`)

// metricHead writes such a horsepower as the unit that it is.
func metricHead(head string) string {
	if !metricBehind.may(fold(head)) {
		return head
	}
	return metricBehind.ReplaceAllString(head, "metric hp ")
}

// againstHead compares the unit that a person states with the unit that the head
// names in one of its texts, and returns what does not go together, or "". A head
// whose words are no unit says nothing; one that names two units of the dimension
// leaves it to a person which of them the figures are in.
func againstHead(head string, texts []string, dim unit.Dimension, stated unit.Unit) string {
	var found []unit.Unit
	var names []string
	other := "" // the first text that says otherwise
	say := func(text, is string) {
		if other == "" {
			other = fmt.Sprintf("the print says %q in %q%s; the unit is stated as %s", text, head, is, stated.Name)
		}
	}
	for _, text := range texts {
		why := unit.Refused(text)
		if why != "" && !settles(text, stated) {
			say(text, ": "+why)
		}
		u, err := unit.ParseFor(text, dim)
		if err != nil {
			if bare, _, ok := unit.Qualified(text); ok {
				u, err = unit.ParseFor(bare, dim) // take-off hp, m.p.h. I.A.S.
			}
		}
		if err != nil || u.UCUM == "1" || strings.HasPrefix(u.UCUM, "10*") {
			continue
		}
		if !slices.ContainsFunc(found, func(o unit.Unit) bool { return o.UCUM == u.UCUM }) {
			found, names = append(found, u), append(names, fmt.Sprintf("%q (%s)", text, u.Name))
		}
		if why == "" && u.UCUM != stated.UCUM {
			say(text, ", which is "+u.Name)
		}
	}
	if len(found) > 1 {
		return fmt.Sprintf("the print names two units in %q: %s; the unit is stated as %s: a column has one unit, so write a column for each, or confirm if all figures are in the stated one", head, strings.Join(names, " and "), stated.Name)
	}
	return other
}

// settles reports whether the stated unit is one of those that an ambiguous print
// may mean: long tons for "tons".
func settles(text string, stated unit.Unit) bool {
	for _, stem := range []string{"ton", "knot"} {
		if strings.Contains(strings.ToLower(text), stem) && strings.Contains(stated.Name, stem) {
			return true
		}
	}
	return strings.HasPrefix(stated.Name, "kilogram-force per") && strings.Contains(stated.Name, "horsepower")
}

var bracketed = regexp.MustCompile(`[(\[]([^()\[\]]+)[)\]]`)

// unbracketed is a head without what stands in brackets.
func unbracketed(head string) string {
	if strings.ContainsAny(head, "([") {
		head = bracketed.ReplaceAllString(head, " ")
	}
	return strings.TrimSpace(head)
}

// unitTexts are the parts of a head that may name a unit: what stands in brackets,
// after the last comma, after "in", and the last words.
func unitTexts(head string) []string {
	var texts []string
	add := func(t string) {
		if !slices.Contains(texts, t) {
			texts = append(texts, t)
		}
	}
	if strings.ContainsAny(head, "([") {
		for _, m := range bracketed.FindAllStringSubmatch(head, -1) {
			// A letter or figure in brackets numbers a column or marks a footnote, but
			// nobody counts up to m.
			if t := strings.TrimSpace(m[1]); len(t) > 1 || strings.ContainsAny(t, "°%'\"mKCF") {
				add(t)
			}
		}
	}
	plain := unbracketed(head)
	var open []string
	if i := strings.LastIndexByte(plain, ','); i >= 0 {
		open = append(open, strings.TrimSpace(plain[i+1:]))
	}
	if _, after, ok := strings.Cut(plain, " in "); ok {
		open = append(open, strings.TrimSpace(after))
	}
	for _, t := range open {
		if len(t) > 1 || strings.ContainsAny(t, "°%'\"mKCF") { // Span, m
			add(t)
		}
	}
	words := strings.Fields(plain)
	for n := min(4, len(words)); n > 0; n-- {
		// "Flap drawn in", "Angle, min." and "Lift coefficient" name no unit.
		t := strings.Join(words[len(words)-n:], " ")
		if n == 1 && (len(t) < 2 || slices.Contains([]string{"in", "min", "min.", "one", "none", "ratio", "coefficient", "g.", "c.", "f.", "k.", "s.", "t."}, strings.ToLower(t))) {
			continue
		}
		if unitOfSomething(t) || unit.Refused(t) != "" {
			add(t)
			return texts
		}
	}
	return texts
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

// stands lists the quantities that a head in general words may stand for beside
// its own: a column C_L holds the maximum lift coefficients of a table of maxima.
var stands = map[string][]string{
	"lift coefficient":             {"maximum lift coefficient", "lift increment"},
	"drag coefficient":             {"minimum drag coefficient", "drag increment"},
	"pitching-moment coefficient":  {"zero-lift moment coefficient", "pitching-moment increment"},
	"maximum lift coefficient":     {"lift coefficient", "lift increment"},
	"minimum drag coefficient":     {"drag coefficient", "drag increment"},
	"zero-lift moment coefficient": {"pitching-moment coefficient", "pitching-moment increment"},
	"angle of attack":              {"stalling angle", "zero-lift angle", "angle of wing setting"},
	"stalling angle":               {"angle of attack"},
	"zero-lift angle":              {"angle of attack"},
	"airspeed":                     {"stall speed", "flap limit speed", "limit speed"},
	"stall speed":                  {"airspeed"},
	"limit speed":                  {"flap limit speed", "airspeed"},
	"flap limit speed":             {"limit speed", "airspeed"},
	"weight":                       {"test weight", "mass"},
	"test weight":                  {"weight", "mass"},
	"mass":                         {"weight", "test weight"},
	"positive load factor":         {"negative load factor", "load factor in flight"},
	"load factor in flight":        {"positive load factor", "negative load factor"},
}

// quantityInHead says where a head as a whole is the name or the symbol of another
// quantity than the stated one. Words within a longer head say nothing.
func quantityInHead(head string, q *Quantity) string {
	plain := unbracketed(head)
	first, _, _ := strings.Cut(plain, ",")
	for _, text := range []string{plain, first} {
		form := guessForm(text)
		if len(form) < 2 {
			continue
		}
		for _, i := range byForm[form] {
			o := &quantities[i]
			if o.Group == LabelGroup || o.Name == q.Name {
				continue
			}
			if names(q, form) || slices.Contains(stands[o.Name], q.Name) || strings.Contains(guessForm(q.Name), form) {
				return ""
			}
			return fmt.Sprintf("the print says %q, which is the %s; the quantity is stated as %s", head, o.Name, q.Name)
		}
	}
	return ""
}

// byForm tells which quantities bear a name, by its guessForm, in the order of their
// list. It is never changed.
var byForm = formsOf(quantities)

func formsOf(list []Quantity) map[string][]int {
	m := map[string][]int{}
	for i := range list {
		for _, name := range append([]string{list[i].Name}, list[i].also...) {
			if form := guessForm(name); !slices.Contains(m[form], i) {
				m[form] = append(m[form], i)
			}
		}
	}
	return m
}

// names reports whether a text in the form of guessForm is all of one of the
// quantity's names.
func names(q *Quantity, form string) bool {
	if form == guessForm(q.Name) {
		return true
	}
	return slices.ContainsFunc(q.also, func(a string) bool { return form == guessForm(a) })
}

// placeInHead raises a doubt about a power that is not that of the shaft: a thrust
// power has the propeller's losses taken off, an indicated power has the engine's
// friction in it.
func placeInHead(head string, texts []string, q *Quantity) string {
	if !q.spoken(needRating) {
		return ""
	}
	for _, text := range slices.Concat(texts, strings.Fields(head)) {
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
