package normalize

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/normalize/air"
	"windtally/normalize/unit"
)

// headDoubts compares what a person states of a column with what the printed head,
// label or caption says, and returns what does not go together. after is the text
// behind a given figure ("x 10^6" in "Reynolds number 3.4 x 10^6"), where a factor
// multiplies the figure; in a head it multiplies the quantity.
func headDoubts(head, after string, q *Quantity, stated unit.Unit, basis extract.Basis) []string {
	var list []string
	add := func(msg string) {
		if msg != "" {
			list = append(list, msg)
		}
	}
	whole := head
	if unit := unitAfter(after); unit != "" {
		whole += " " + unit
	}
	if e, ok := factorOfHead(head, q); !ok || e != -2 || basis.Coefficients != "hundredfold" {
		add(scaleInHead(head, after, q, stated))
	}
	add(againstHead(whole, q, stated))
	add(foreignInHead(whole, q))
	add(quantityInHead(head, q))
	add(airspeedInHead(head, q, basis))
	add(dragInHead(head, q, basis))
	add(ratingInHead(head, q, basis))
	add(conditionInHead(head, q, basis))
	add(placeInHead(head, q))
	return list
}

const powerOfTenText = `(?:10\s*(?:\^|\*\*)?\s*([-−–⁻]?\s*[0-9⁰¹²³⁴⁵⁶⁷⁸⁹]{1,2})\b|10\s*([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)|(10{1,2}(?:[ ,]?000)*|1(?:[ ,]?000)+)\b)`

// What heads print when the figures under them are scaled.
var (
	factorTimes  = regexp.MustCompile(`(?:(?:^|[^0-9\s]\s+|[^\pL0-9\s])[xX]|(?:^|[^0-9\s])\s*[×*])\s*` + powerOfTenText) // C_D x 10^4
	factorFirst  = regexp.MustCompile(`^\s*` + powerOfTenText + `\s*[xX×*]?\s*[\pL(]`)                                   // 1000 C_D
	factorUnder  = regexp.MustCompile(`[^0-9\s]\s*[÷/]\s*` + powerOfTenText)                                             // R.N. ÷ 1,000,000
	factorAlone  = regexp.MustCompile(`(?:[(\[,]|\bin)\s*` + powerOfTenText + `\s*(.*)`)                                 // R.N. (10^6); (1000 ft.)
	factorInWord = regexp.MustCompile(`(?i)\b(millions?|thousands?|millionths?|thousandths?)\b`)
	percentFirst = regexp.MustCompile(`(?i)^\s*\d+[\s-]*(%|per\s?cent)`)
	factorBehind = regexp.MustCompile(`^\s*[xX×*]\s*` + powerOfTenText) // behind a figure
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
func factorOfHead(head string, q *Quantity) (exponent int, ok bool) {
	if m := factorTimes.FindStringSubmatch(head); m != nil {
		e, ok := exponentOf(m, 1)
		return -e, ok
	}
	if m := factorUnder.FindStringSubmatch(head); m != nil {
		if e, ok := exponentOf(m, 1); ok && e != 1 {
			return e, true
		}
	}
	if m := factorAlone.FindStringSubmatch(head); m != nil {
		// 1000 ft. scales a length, and is a place in the head of a speed; (10) and
		// (104) number a column.
		rest := strings.TrimSpace(strings.Trim(strings.TrimSpace(m[4]), ")]"))
		canonical, _ := unit.Lookup(q.Canonical)
		_, err := unit.ParseFor(rest, canonical.Dim)
		e, ok := exponentOf(m, 1)
		power := strings.ContainsAny(m[1]+m[2], "-−–⁻⁰¹²³⁴⁵⁶⁷⁸⁹") || strings.Contains(m[0], "^")
		round := m[3] != "" || m[1] != "" && strings.Trim(m[1], "0") == ""
		if ok && rest == "" && canonical.Dim == unit.Dimensionless && (power || round && e > 2) || ok && rest != "" && err == nil && (power || round && e > 1) {
			return e, true
		}
	}
	if m := factorFirst.FindStringSubmatch(head); m != nil && q.Canonical == "1" && !percentFirst.MatchString(head) {
		if e, ok := exponentOf(m, 1); ok && e != 1 {
			return -e, true
		}
	}
	if m := factorInWord.FindStringSubmatch(head); m != nil {
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
func scaleInHead(head, after string, q *Quantity, stated unit.Unit) string {
	e, ok := factorOfHead(head, q)
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

// againstHead compares the unit that a person states with the unit that the head
// names, and returns what does not go together, or "". A head whose words are no
// unit says nothing.
func againstHead(head string, q *Quantity, stated unit.Unit) string {
	canonical, _ := unit.Lookup(q.Canonical)
	if msg := twoUnits(head, canonical.Dim, stated); msg != "" {
		return msg
	}
	for _, text := range unitTexts(metricHead(head)) {
		if why := unit.Refused(text); why != "" {
			if !settles(text, stated) {
				return fmt.Sprintf("the print says %q in %q: %s; the unit is stated as %s", text, head, why, stated.Name)
			}
			continue
		}
		u, err := unit.ParseFor(text, canonical.Dim)
		if bare, _, ok := unit.Qualified(text); err != nil && ok {
			u, err = unit.ParseFor(bare, canonical.Dim) // take-off hp, m.p.h. I.A.S.
		}
		if err != nil || u.Dim != canonical.Dim || u.UCUM == stated.UCUM || strings.HasPrefix(u.UCUM, "10*") || u.UCUM == "1" {
			continue
		}
		return fmt.Sprintf("the print says %q in %q, which is %s; the unit is stated as %s", text, head, u.Name, stated.Name)
	}
	return ""
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

// unitTexts are the parts of a head that may name a unit: what stands in brackets,
// after the last comma, after "in", and the last words.
func unitTexts(head string) []string {
	var texts []string
	for _, m := range bracketed.FindAllStringSubmatch(head, -1) {
		// A letter or figure in brackets numbers a column or marks a footnote, but
		// nobody counts up to m.
		if t := strings.TrimSpace(m[1]); len(t) > 1 || strings.ContainsAny(t, "°%'\"mKCF") {
			texts = append(texts, t)
		}
	}
	plain := strings.TrimSpace(bracketed.ReplaceAllString(head, " "))
	var open []string
	if i := strings.LastIndexByte(plain, ','); i >= 0 {
		open = append(open, strings.TrimSpace(plain[i+1:]))
	}
	if _, after, ok := strings.Cut(plain, " in "); ok {
		open = append(open, strings.TrimSpace(after))
	}
	for _, t := range open {
		if len(t) > 1 || strings.ContainsAny(t, "°%'\"mKCF") { // Span, m
			texts = append(texts, t)
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
			return append(texts, t)
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
	plain := strings.TrimSpace(bracketed.ReplaceAllString(head, " "))
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

var airspeedWords = []struct {
	words *regexp.Regexp
	kind  air.Kind
}{
	{regexp.MustCompile(`(?i)\bindicated\b|\bK?I\.?A\.?S\b|\bA\.?S\.?I\b`), air.IAS},
	{regexp.MustCompile(`(?i)\bcalibrated\b|\bK?C\.?A\.?S\b`), air.CAS},
	{regexp.MustCompile(`(?i)\bequivalent\b|\bK?E\.?A\.?S\b`), air.EAS},
	{regexp.MustCompile(`(?i)\btrue\b|\bK?T\.?A\.?S\b`), air.TAS},
}

// airspeedInHead holds the words of a head against the stated kind of airspeed. A
// source may call calibrated speeds true or indicated: then its own definition in
// airspeed_meaning says so.
func airspeedInHead(head string, q *Quantity, basis extract.Basis) string {
	kind, err := airspeedKind(basis)
	if err != nil || !q.spoken(needAirspeed) {
		return ""
	}
	var said []air.Kind
	for _, w := range airspeedWords {
		if w.words.MatchString(head) {
			said = append(said, w.kind)
		}
	}
	defined := basis.AirspeedMeaning != "" && !strings.EqualFold(strings.ReplaceAll(basis.AirspeedMeaning, "-", " "), "not stated")
	if len(said) == 1 && said[0] == air.IAS {
		// A corrected speed that the print calls indicated is told by its definition.
		defined = defined && airspeedWords[0].words.MatchString(basis.AirspeedMeaning)
	}
	if len(said) == 0 || len(said) == 1 && said[0] == kind || defined {
		return ""
	}
	return fmt.Sprintf("the print says %q (%s); airspeed_kind is stated as %s, and no airspeed_meaning says so", head, said[0], kind)
}

var (
	profileWord = regexp.MustCompile(`(?i)\bprofile\b`)
	totalWord   = regexp.MustCompile(`(?i)\btotal\b`)
)

// dragInHead holds the words of a head against the stated kind of drag.
func dragInHead(head string, q *Quantity, basis extract.Basis) string {
	profile, total := profileWord.MatchString(head), totalWord.MatchString(head)
	if !q.spoken(needDrag) || profile == total || profile && basis.Drag != "total" || total && basis.Drag != "profile" {
		return ""
	}
	return fmt.Sprintf("the print says %q; the drag is stated as %s", head, basis.Drag)
}
