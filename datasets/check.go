package datasets

import (
	"errors"
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"windtally/normalize/unit"
)

// Problem is one thing that is not right with an edition.
type Problem struct {
	File    string // path in the edition, with slashes
	Row     int    // line of the file, from 1; 0 where the file as a whole is meant
	Column  string // column or property, or ""
	Message string // what was read, and what would have been right
}

func (p Problem) String() string {
	where := p.File
	if p.Row > 0 {
		where += ":" + strconv.Itoa(p.Row)
	}
	if p.Column != "" {
		where += ": " + p.Column
	}
	return where + ": " + p.Message
}

// joined returns problems as one error, nil where there are none. Of a great many
// it names the first hundred, since more help nobody.
func joined(problems []Problem) error {
	const most = 100
	var list []error
	for i, p := range problems {
		if i == most {
			list = append(list, fmt.Errorf("and %d more", len(problems)-most))
			break
		}
		list = append(list, errors.New(p.String()))
	}
	return errors.Join(list...)
}

// sorted returns a copy of e with the rows of each resource in published order.
func sorted(e *Edition) (*Edition, map[string][][]string) {
	s := *e
	rows := make(map[string][][]string)
	for _, r := range resources() {
		rows[r.name] = r.rows(e)
		// Cells that are not integers were ints already, so filling loses nothing.
		r.fill(&s, rows[r.name])
	}
	return &s, rows
}

// checker gathers the problems of a sorted edition.
type checker struct {
	e          *Edition
	rows       map[string][][]string
	conditions map[string][]string // rows of conditions by id
	problems   []Problem
	lines      map[[3]float64][2]float64 // lifting lines by what they are of
}

func (k *checker) fail(r *resource, i int, column, format string, args ...any) {
	k.problems = append(k.problems, Problem{File: r.path, Row: i + 2, Column: column, Message: fmt.Sprintf(format, args...)})
}

// check returns all problems of a sorted edition. Row numbers are lines of the
// published files.
func check(e *Edition, rows map[string][][]string) []Problem {
	k := &checker{e: e, rows: rows, conditions: make(map[string][]string)}
	for _, row := range rows["conditions"] {
		k.conditions[row[0]] = row
	}
	k.metadata()
	for _, r := range resources() {
		k.cells(r)
	}
	if len(k.problems) == 0 { // what follows takes every cell to be well-formed
		k.references()
		k.subjects()
		k.configurations()
		k.measured()
		k.values()
		k.repeats()
		k.derived()
		k.reviews()
		k.problems = append(k.problems, checkChanges(e)...)
	}
	return k.problems
}

var (
	namePattern = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]*$`)
	spdxPattern = regexp.MustCompile(`^[-a-zA-Z0-9.]+$`)
)

func (k *checker) metadata() {
	e := k.e
	fail := func(property, format string, args ...any) {
		k.problems = append(k.problems, Problem{File: descriptorPath, Column: property, Message: fmt.Sprintf(format, args...)})
	}
	text := func(property, value string, need bool) {
		c := column{kind: "text", need: need}
		if why := c.wrong(value); why != "" {
			fail(property, "%s", why)
		}
	}
	if !namePattern.MatchString(e.Name) {
		fail("name", "%q is not a name of lower-case letters, digits, dots, dashes and underscores", e.Name)
	}
	if e.Format != Format && e.Format != 0 {
		fail("edition_format", "is %d, this program knows %d", e.Format, Format)
	}
	text("title", e.Title, true)
	text("description", e.Description, false)
	text("caution", e.Caution, true)
	if !isTime(e.Created) {
		fail("created", "%q is not a time, it would be right in UTC to the second, as 2031-05-04T10:00:00Z", e.Created)
	}
	if !spdxPattern.MatchString(e.Licence.Name) {
		fail("licenses", "name %q is not an SPDX identifier, such as CC0-1.0", e.Licence.Name)
	}
	text("licenses", e.Licence.Title, false)
	path := column{kind: "uri"}
	if why := path.wrong(e.Licence.Path); why != "" {
		fail("licenses", "path %s", why)
	}
	for _, c := range e.Contributors {
		text("contributors", c.Title, true)
		for _, role := range c.Roles {
			text("contributors", role, true)
		}
	}
	if err := CheckVersion(e.Previous, e.Version, e.Changes); err != nil {
		fail("version", "%s", err)
	}
}

// cells checks each cell by itself, and that keys are unique.
func (k *checker) cells(r *resource) {
	rows := k.rows[r.name]
	for i, row := range rows {
		for j := range r.columns {
			if why := r.columns[j].wrong(row[j]); why != "" {
				k.fail(r, i, r.columns[j].name, "%s", why)
			}
		}
		if i > 0 && r.compare(rows[i-1], row) == 0 {
			k.fail(r, i, "", "%s is there twice, a primary key is unique", r.keyOf(row))
		}
	}
}

// references checks that what rows point to is there.
func (k *checker) references() {
	present := make(map[string]map[string]bool)
	for _, r := range resources() {
		present[r.name] = make(map[string]bool)
		for _, row := range k.rows[r.name] {
			present[r.name][row[0]] = true
		}
	}
	for _, r := range resources() {
		for i, row := range k.rows[r.name] {
			for j, c := range r.columns {
				if c.ref == "" {
					continue
				}
				for _, id := range strings.Fields(row[j]) {
					if !present[c.ref][id] {
						k.fail(r, i, c.name, "%s is not in %s", id, resourceNamed(c.ref).path)
					}
				}
			}
		}
	}
}

// reservedPattern is what Windows takes for a device, with any ending.
var reservedPattern = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)

// subjects checks that each subject can have a file of its name.
func (k *checker) subjects() {
	for i, s := range k.e.Subjects {
		if reservedPattern.MatchString(s.SubjectID) {
			k.fail(resourceNamed("subjects"), i, "subject_id", "%q cannot be the name of a file on every system", s.SubjectID)
		}
	}
}

// configurations checks that a row and its configuration are about one subject.
func (k *checker) configurations() {
	subject := make(map[string]string)
	for _, c := range k.e.Configurations {
		subject[c.ConfigurationID] = c.SubjectID
	}
	for _, r := range resources() {
		mine, configuration := r.column("subject_id"), r.column("configuration_id")
		if mine < 0 || configuration < 1 {
			continue
		}
		for i, row := range k.rows[r.name] {
			if s, ok := subject[row[configuration]]; ok && s != row[mine] {
				k.fail(r, i, "configuration_id", "%s is a configuration of %s, the row is about %s", row[configuration], s, row[mine])
			}
		}
	}
}

// byID returns the records of values.
func (k *checker) byID() map[string]*Value {
	byID := make(map[string]*Value, len(k.e.Values))
	for i := range k.e.Values {
		byID[k.e.Values[i].ValueID] = &k.e.Values[i]
	}
	return byID
}

// measured checks that every number of a record is the one in values.
func (k *checker) measured() {
	values := k.byID()
	for _, r := range resources() {
		for _, m := range r.measured {
			c := r.columns[m.value]
			for i, row := range k.rows[r.name] {
				number, half, id := row[m.value], row[m.value+1], row[m.value+2]
				v := values[id]
				switch {
				case number == "" && half != "":
					k.fail(r, i, c.name+"_half_width", "is %s, it would be right empty where there is no %s", half, c.name)
				case number == "" && id != "":
					k.fail(r, i, c.name+"_value_id", "is %s, it would be right empty where there is no %s", id, c.name)
				case number == "":
				case id == "" && !m.said:
					k.fail(r, i, c.name+"_value_id", "is empty, a published number names its record in values")
				case v != nil:
					if !slices.Contains(m.quantity, v.Quantity) {
						k.fail(r, i, c.name, "value %s is a %s, it would be right as %s", v.ValueID, v.Quantity, strings.Join(m.quantity, " or "))
					}
					k.repeat(r, i, row, c.name, c.name+"_half_width", number, half, c.unit, v, !m.said)
				}
			}
		}
	}
}

// repeat checks one number against its record in values. A number that is the
// record's own, and not what the basis says beside it, has its configuration too,
// and conditions that do not contradict.
func (k *checker) repeat(r *resource, i int, row []string, name, halfName, number, half, unit string, v *Value, own bool) {
	if number != string(v.Value) {
		k.fail(r, i, name, "is %s, value %s is %s", number, v.ValueID, v.Value)
	}
	if half != string(v.HalfWidth) {
		k.fail(r, i, halfName, "is %q, value %s has %q", half, v.ValueID, v.HalfWidth)
	}
	if unit != v.Unit {
		k.fail(r, i, name, "is in %s, value %s is in %s", unit, v.ValueID, v.Unit)
	}
	if j := r.column("subject_id"); j >= 0 && row[j] != v.SubjectID {
		k.fail(r, i, name, "value %s is about %s, the row is about %s", v.ValueID, v.SubjectID, row[j])
	}
	if !own {
		return
	}
	if j := r.column("configuration_id"); j > 0 && v.ConfigurationID != "" && row[j] != v.ConfigurationID {
		k.fail(r, i, name, "value %s is of configuration %s, the row is of %q", v.ValueID, v.ConfigurationID, row[j])
	}
	// The conditions of a row may say more than those of one of its numbers (the
	// kind of drag does not govern an angle), and never otherwise.
	if j := r.column("conditions_id"); j > 0 && row[j] != v.ConditionsID {
		conditions := resourceNamed("conditions")
		mine, its := k.conditions[row[j]], k.conditions[v.ConditionsID]
		for n, c := range conditions.columns {
			if mine == nil || its == nil || c.key || c.name == "note" || its[n] == "" || its[n] == mine[n] {
				continue
			}
			k.fail(r, i, name, "value %s has conditions with %s %s, those of the row have %q", v.ValueID, c.name, its[n], mine[n])
		}
	}
}

// repeats checks limits and characteristics, whose unit stands in the row.
func (k *checker) repeats() {
	values := k.byID()
	for _, name := range []string{"limits", "characteristics"} {
		r := resourceNamed(name)
		at := func(row []string, column string) string { return row[r.column(column)] }
		for i, row := range k.rows[name] {
			v := values[at(row, "value_id")]
			if v == nil {
				continue // references said so
			}
			if q := at(row, "quantity"); q != v.Quantity {
				k.fail(r, i, "quantity", "is %s, value %s is %s", q, v.ValueID, v.Quantity)
			}
			k.repeat(r, i, row, "value", "half_width", at(row, "value"), at(row, "half_width"), at(row, "unit"), v, true)
		}
	}
}

// values checks that each record of provenance holds together.
func (k *checker) values() {
	r := resourceNamed("values")
	reviews := make(map[string]*Review)
	superseded := make(map[string]string)
	for i := range k.e.Reviews {
		review := &k.e.Reviews[i]
		reviews[review.RulingID] = review
		if review.Supersedes != "" {
			superseded[review.Supersedes] = review.RulingID
		}
	}
	needed := map[string]string{"confirmed": "confirm", "reread": "reread", "emended": "emend"}
	for i, v := range k.e.Values {
		fail := func(column, format string, args ...any) { k.fail(r, i, column, format, args...) }
		if v.Page == 0 && v.Sheet == "" && v.Ref == "" && v.Line == 0 {
			fail("", "%s has no place, it would be right with a page, a sheet and cell, or a line", v.ValueID)
		}
		corners := []Number{v.X0, v.Y0, v.X1, v.Y1}
		given := 0
		for _, c := range corners {
			if c != "" {
				given++
			}
		}
		switch given {
		case 0:
		case len(corners):
			x0, _ := v.X0.Rat()
			x1, _ := v.X1.Rat()
			y0, _ := v.Y0.Rat()
			y1, _ := v.Y1.Rat()
			if x0.Cmp(x1) >= 0 || y0.Cmp(y1) >= 0 {
				fail("x0", "the rectangle %s %s %s %s encloses nothing, its left and top edges come first", v.X0, v.Y0, v.X1, v.Y1)
			}
		default:
			fail("x0", "the rectangle has %d of its 4 edges", given)
		}

		ruling := reviews[v.RulingID]
		switch {
		case needed[v.Checked] != "" && ruling == nil:
			fail("ruling_id", "is empty, a value that is %s names its ruling", v.Checked)
		case ruling == nil:
		case ruling.Decision == "withhold":
			fail("ruling_id", "%s withholds the value, it must not be published", v.RulingID)
		case superseded[v.RulingID] != "":
			fail("ruling_id", "%s is superseded by %s", v.RulingID, superseded[v.RulingID])
		case needed[v.Checked] != "" && ruling.Decision != needed[v.Checked]:
			fail("checked", "is %s, the decision of %s is %s", v.Checked, v.RulingID, ruling.Decision)
		}
		switch {
		case v.Checked == "emended" && v.PrintEmended == "":
			fail("print_emended", "is empty, it holds the text that an emendation puts in place of the print")
		case v.Checked != "emended" && v.PrintEmended != "":
			fail("print_emended", "is %q, it would be right empty in a value that is %s", v.PrintEmended, v.Checked)
		}

		text, column := v.Printed, "printed"
		if v.PrintEmended != "" {
			text, column = v.PrintEmended, "print_emended"
		}
		from, known := unit.Lookup(v.PrintedUnit)
		if !known {
			fail("printed_unit", "%q is not the UCUM code of a unit that is known", v.PrintedUnit)
		}
		to, knownTo := unit.Lookup(v.Unit)
		if !knownTo {
			fail("unit", "%q is not the UCUM code of a unit that is known", v.Unit)
		}
		number, decimals, ok := plainNumeral(text)
		if !ok {
			continue // a fraction, a ditto mark or the like: its formula says how it is read
		}
		if string(v.Decimals) != strconv.Itoa(decimals) {
			fail("decimals", "is %q, %s %q has %d", v.Decimals, column, text, decimals)
		}
		formula := ""
		if v.Unit != v.PrintedUnit {
			formula = v.Unit + " from " + v.PrintedUnit
		}
		// The system of a converted coefficient stands in its conditions too.
		var factor *big.Rat
		system, turned := convertedFrom(k.conditions[v.ConditionsID]), k.turned(v.ConditionsID)
		if turned && system == "" {
			system = "nose-down"
		}
		if system != "" {
			wants := fmt.Sprintf("%s from %s x FACTOR (%s: EQUATION)", v.Unit, v.PrintedUnit, system)
			sign := 1
			if turned {
				sign, wants = -1, strings.Replace(wants, "FACTOR", "-FACTOR", 1)
			}
			if factor = systemFactor(v.Formula, v.Unit+" from "+v.PrintedUnit, system); factor == nil || factor.Sign() != sign {
				factor = nil
				formula = wants
			} else {
				formula = v.Formula
			}
		}
		if v.Formula != formula {
			fail("formula", "is %q, it would be right as %q between %s %q in %s and a value in %s", v.Formula, formula, column, text, v.PrintedUnit, v.Unit)
		}
		if known && knownTo {
			follows(&v, number, decimals, from, to, factor, column, text, fail)
		}
	}
}

// follows checks that value and half-width are what a plain numeral in the printed
// unit comes to. In the same unit the value is the printed number. A converted one
// is
//
//	((printed + from.Offset) * from.Factor / to.Factor) * pi^(from.Pi - to.Pi) - to.Offset
//
// to one unit of its own last decimal, which may be no coarser than a tenth of what
// the print leaves open, so that few decimals do not hide another number. factor is
// what the system of coefficients multiplies by, or nil.
func follows(v *Value, number Number, decimals int, from, to unit.Unit, factor *big.Rat, column, text string, fail func(column, format string, args ...any)) {
	printed, good := number.Rat()
	value, given := v.Value.Rat()
	if !good || !given {
		fail(column, "%q is no number to hold the value against, a number has at most %d characters", text, maxNumber)
		return
	}
	half := new(big.Rat).Mul(big.NewRat(1, 2), place(decimals))
	width, stated := v.HalfWidth.Rat()
	// Rounding may be coarser than the last digit shows, and never finer.
	if v.Unit == v.PrintedUnit && factor == nil {
		if printed.Cmp(value) != 0 {
			fail("value", "is %s, %s is %q in the same unit", v.Value, column, text)
		}
		if stated && width.Cmp(half) < 0 {
			fail("half_width", "is %s, %s %q is rounded to %s at best", v.HalfWidth, column, text, half.FloatString(decimals+1))
		}
		return
	}
	exact, err := unit.Convert(printed, from, to)
	if err != nil {
		fail("unit", "is %s, %s is %q in %s: %s", v.Unit, column, text, v.PrintedUnit, err)
		return
	}
	// A width is a difference: it takes the factors and not the offsets.
	from.Offset, to.Offset = nil, nil
	converted, err := unit.Convert(half, from, to)
	if err != nil {
		fail("unit", "is %s, %s is %q in %s: %s", v.Unit, column, text, v.PrintedUnit, err)
		return
	}
	half = converted.Approx()
	if factor != nil {
		half.Mul(half, new(big.Rat).Abs(factor))
	}
	_, fraction, _ := strings.Cut(string(v.Value), ".")
	right := exact.Approx()
	if factor != nil {
		right.Mul(right, factor)
	}
	miss := new(big.Rat).Sub(value, right)
	miss.Abs(miss)
	tenth := new(big.Rat).Quo(half, big.NewRat(10, 1))
	if miss.Cmp(place(len(fraction))) > 0 || miss.Cmp(tenth) > 0 {
		shown := len(fraction)
		for shown < maxNumber && place(shown).Cmp(tenth) > 0 {
			shown++
		}
		fail("value", "is %s, %s %q in %s comes to %s in %s", v.Value, column, text, v.PrintedUnit, right.FloatString(shown), v.Unit)
	}
	// Published half-widths have four figures.
	least := new(big.Rat).Mul(half, big.NewRat(999, 1000))
	if stated && width.Cmp(least) < 0 {
		f, _ := half.Float64()
		fail("half_width", "is %s, %s %q in %s is rounded to %s %s at best", v.HalfWidth, column, text, v.PrintedUnit, strconv.FormatFloat(f, 'g', 4, 64), v.Unit)
	}
}

// convertedFrom is the system of coefficients that conditions say figures were
// converted from ("absolute, converted from british-k (k = F/(rho V^2 S))"), or "".
func convertedFrom(conditions []string) string {
	column := resourceNamed("conditions").column("coefficient_system")
	if conditions == nil || column < 0 {
		return ""
	}
	rest, ok := strings.CutPrefix(conditions[column], "absolute, converted from ")
	if !ok {
		return ""
	}
	system, _, _ := strings.Cut(rest, " ")
	return system
}

// turned reports whether conditions say that moments were printed positive nose down,
// so that the published ones have the other sign.
func (k *checker) turned(conditions string) bool {
	row := k.conditions[conditions]
	return row != nil && row[resourceNamed("conditions").column("moment_sign")] == "nose-up, converted from nose-down"
}

// systemFactor reads the factor of a formula such as "1 from 1 x 2 (british-k: C = 2
// k)", that of a coefficient which was converted from the system; nil where the formula
// is another. A moment that was printed positive nose down has a minus in it.
func systemFactor(formula, units, system string) *big.Rat {
	rest, ok := strings.CutPrefix(formula, units+" x ")
	text, equation, named := strings.Cut(rest, " ("+system+": ")
	factor, good := Number(text).Rat()
	if !ok || !named || !good || factor.Sign() == 0 || !strings.HasSuffix(equation, ")") {
		return nil
	}
	return factor
}

// place is a unit of the last of so many decimals: 1/100 for 2.
func place(decimals int) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
}

// plainNumeral understands a printed text that is nothing but a decimal numeral,
// with its minus in any glyph, thousands in groups of three and one mark of a
// footnote after it. It is apart from the understanding of print that made the
// edition, so that one is a check on the other; all other texts it leaves alone.
func plainNumeral(text string) (number Number, decimals int, ok bool) {
	s := strings.TrimRightFunc(text, func(c rune) bool {
		return unicode.IsSpace(c) || strings.ContainsRune("*†‡§¹²³", c)
	})
	negative := false
	for _, sign := range []string{"-", "−", "–", "—"} {
		if rest, found := strings.CutPrefix(s, sign); found {
			s, negative = rest, true
			break
		}
	}
	s = strings.Replace(s, "·", ".", 1)
	whole, frac, point := strings.Cut(s, ".")
	groups := strings.FieldsFunc(whole, func(c rune) bool { return c == ',' || c == '\u2009' || c == '\u202f' })
	for i, g := range groups {
		if !allDigits(g) || i > 0 && len(g) != 3 || i == 0 && len(groups) > 1 && len(g) > 3 {
			return "", 0, false
		}
	}
	whole = strings.Join(groups, "")
	if point && frac != "" && !allDigits(frac) || whole == "" && frac == "" {
		return "", 0, false
	}
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	plain := whole
	if frac != "" {
		plain += "." + frac
	}
	if negative && strings.Trim(plain, "0.") != "" {
		plain = "-" + plain
	}
	return Number(plain), len(frac), true
}

// reviews checks rulings and findings.
func (k *checker) reviews() {
	r := resourceNamed("reviews")
	for i, v := range k.e.Reviews {
		if v.Supersedes == v.RulingID {
			k.fail(r, i, "supersedes", "%s supersedes itself", v.RulingID)
		}
		switch v.Decision {
		case "reread": // an empty text says that nothing is printed there
		case "emend":
			if v.Value == "" {
				k.fail(r, i, "value", "is empty, a ruling to %s gives the text", v.Decision)
			}
		default:
			if v.Value != "" {
				k.fail(r, i, "value", "is %q, a ruling to %s gives none", v.Value, v.Decision)
			}
		}
		if (v.Decision == "emend" || v.Decision == "withhold") && v.Reason == "" {
			k.fail(r, i, "reason", "is empty, a ruling to %s says why", v.Decision)
		}
	}
	f := resourceNamed("findings")
	for i, v := range k.e.Findings {
		switch {
		case v.State == "open" && v.Severity == "blocking":
			k.fail(f, i, "state", "is open and blocking, such a finding needs a ruling before anything is published")
		case v.State != "open" && v.RulingID == "":
			k.fail(f, i, "ruling_id", "is empty, a finding that is %s names its ruling", v.State)
		}
	}
}
