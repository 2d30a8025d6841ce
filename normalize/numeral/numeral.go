// Package numeral turns the text of a printed figure into an exact decimal, by
// the conventions of printed tables, and refuses whatever is not a figure under
// them. It never guesses: a text with anything left over is an error that says
// what stands where a figure should be.
//
// What is understood:
//
//	-.014  −0.5  –2  —2  --.983    minus in its glyphs; "--" only before a figure or point
//	.30  15.  0·50                 no leading zero, bare trailing point, raised point
//	1,234,567  1 234 567           thousands in groups of three (thin or no-break spaces)
//	1.2x10^3  1.2×10⁻³  1.2E-03    powers of ten; an E needs the sign of its exponent
//	5½  5 1/2  3/4  5-1/2          fractions; the hyphen only for halves ... sixty-fourths
//	10°  10°30'  10° 30′ 15″       degrees, minutes, seconds
//	45%  45 %                      percent, not divided by 100
//	0.50*  0.50b  0.50 b  1.5¹     footnote marks, taken off and kept
//	..... 0.050   20 .....         dotted leaders, dropped
//	-  --  —  ....  …              missing
//	"  ″  ''  ditto  do.  〃        ditto
//
// Refused because it is ambiguous: a decimal comma (12,34), a space inside a
// figure or after its sign, a leading zero without a point (075 is most likely
// .075 that lost its point), minus zero with a bare point (-0.), an improper
// fraction (51/2 is most likely 5 1/2) or one that no print has (10/20: two settings), an integer after a leader (its point may
// be in the leader), a power of ten without a factor (10^6 has no last digit),
// 10² (power or mark), a superscript zero (10⁰ is most likely 10°), "±", and
// letters that stand for misread figures (l, I, O, o, S, ...).
package numeral

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind says what a printed cell holds.
type Kind uint8

// The kinds of a cell.
const (
	Blank   Kind = iota // nothing is printed
	Missing             // a dash or leader: the source says that it has no value
	Ditto               // a mark that repeats the entry above
	Number
)

func (k Kind) String() string {
	switch k {
	case Blank:
		return "blank"
	case Missing:
		return "missing"
	case Ditto:
		return "ditto"
	case Number:
		return "number"
	}
	return "kind " + strconv.Itoa(int(k))
}

// Numeral is one printed cell, understood.
type Numeral struct {
	Kind Kind
	// Finite says that the value is a finite decimal and that Decimal holds it;
	// 1/3 and 10°20' are not.
	Finite bool
	// LetterMark says that an ordinary lower-case letter was taken off as a mark
	// ("0.50b", "0.50 b"). In a text layer it may be a misread figure (b for 6, g for
	// 9): compare the decimals with the rest of the column.
	LetterMark bool
	// MarkAttached says that such a letter stood directly against the last figure
	// ("0.50b"), where a misread figure is likelier still.
	MarkAttached bool
	Grouped      bool // thousands separators were printed; a decimal comma with three digits looks the same
	Degrees      bool // a degree sign was printed
	Percent      bool // a percent sign was printed; the value is NOT divided

	Decimal Decimal
	// Decimals is the number of digits after the point of the figure written
	// plainly: 2 for ".30", 0 for "15.", 4 for "1.2x10^-3", 0 for "1.2x10^3". It
	// is 0 for fractions, degrees with minutes: for the precision use Step.
	Decimals int

	more *more // nil for most figures
}

// more is what few printed figures have. It is never changed once it is read.
type more struct {
	marks []string
	value *big.Rat // nil where Decimal is the value
	step  *big.Rat // nil where the step is a power of ten
	// filled is how many zeros of Decimal a printed power of ten fills up: 2 for
	// 1.2x10^3, whose step is 100.
	filled int
}

// Marks returns the footnote marks that were taken off, in order of print.
func (n Numeral) Marks() []string {
	if n.more == nil {
		return nil
	}
	return n.more.marks
}

// Rat returns the exact value in a new big.Rat, or nil unless Kind is Number.
func (n Numeral) Rat() *big.Rat {
	switch {
	case n.Kind != Number:
		return nil
	case n.more != nil && n.more.value != nil:
		return new(big.Rat).Set(n.more.value)
	}
	return n.Decimal.Rat()
}

// Plain returns a short decimal as coef * 10^-scale whose step is 10^-scale, as
// most printed figures are; ok is false for any other and unless Kind is Number.
func (n *Numeral) Plain() (coef int64, scale int, ok bool) {
	d := &n.Decimal
	if n.Kind != Number || d.wide != nil || n.more != nil && (n.more.value != nil || n.more.step != nil || n.more.filled > 0) {
		return 0, 0, false
	}
	return d.coef, d.scale, true
}

// Step returns the worth of one unit of the last printed digit in a new big.Rat,
// or nil unless Kind is Number: 1/100 for ".30", 1 for "15.", 100 for
// "1.2x10^3", 1/2 for "5 1/2", 1/60 for "10°20'".
func (n Numeral) Step() *big.Rat {
	switch {
	case n.Kind != Number:
		return nil
	case n.more == nil:
		return ratPowerOfTen(-n.Decimal.scale)
	case n.more.step != nil:
		return new(big.Rat).Set(n.more.step)
	}
	return ratPowerOfTen(n.more.filled - n.Decimal.scale)
}

// Float64 returns the float64 nearest to the value, or 0 unless Kind is Number.
func (n Numeral) Float64() float64 {
	switch {
	case n.Kind != Number:
		return 0
	case n.more != nil && n.more.value != nil:
		f, _ := n.more.value.Float64()
		return f
	}
	return n.Decimal.Float64()
}

// maxText is the longest text, in bytes, that is looked at: a cell that is longer
// is no figure.
const maxText = 200

// maxExponent bounds a printed power of ten; no quantity of the trade comes near.
const maxExponent = 30

// Parse reads the text of one cell as printed.
func Parse(text string) (Numeral, error) {
	if n, ok := parsePlain(text); ok {
		return n, nil
	}
	core := strings.TrimSpace(text)
	switch {
	case core == "":
		return Numeral{Kind: Blank}, nil
	case len(core) > maxText:
		return Numeral{}, fmt.Errorf("%s is not a number: longer than %d bytes", quote(core), maxText)
	case !utf8.ValidString(core):
		return Numeral{}, fmt.Errorf("%s is not a number: not valid UTF-8", quote(core))
	}
	p := &parser{text: core, rest: core}
	n, err := p.cell()
	if err != nil {
		return Numeral{}, err
	}
	return n, nil
}

// parsePlain is the fast path: sign, figures, point, figures, all ASCII. It says
// no to whatever needs thought, including leading zeros.
func parsePlain(text string) (Numeral, bool) {
	i, negative := 0, false
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		negative = text[i] == '-'
		i++
	}
	if len(text)-i > 18 || i == len(text) {
		return Numeral{}, false
	}
	start, point, coef := i, -1, int64(0)
	for ; i < len(text); i++ {
		c := text[i]
		switch {
		case isDigit(c):
			coef = coef*10 + int64(c-'0')
		case c == '.' && point < 0:
			point = i
		default:
			return Numeral{}, false
		}
	}
	whole, decimals := len(text)-start, 0
	if point >= 0 {
		whole, decimals = point-start, len(text)-point-1
	}
	if whole+decimals == 0 || whole > 1 && text[start] == '0' || negative && coef == 0 && decimals == 0 && point >= 0 {
		return Numeral{}, false
	}
	if negative {
		coef = -coef
	}
	return Numeral{Kind: Number, Finite: true, Decimal: Decimal{coef: coef, scale: decimals}, Decimals: decimals}, true
}

// parser walks a text from left to right; rest is what it has not yet read.
type parser struct {
	text, rest string
	out        Numeral
}

func (p *parser) fail(format string, args ...any) error {
	return fmt.Errorf("%s is not a number: %s", quote(p.text), fmt.Sprintf(format, args...))
}

// more is what few figures have, made where it is first wanted.
func (p *parser) more() *more {
	if p.out.more == nil {
		p.out.more = &more{}
	}
	return p.out.more
}

func (p *parser) mark(text string) { p.more().marks = append(p.more().marks, text) }

// peek returns the next rune, 0 at the end.
func (p *parser) peek() rune {
	if p.rest == "" {
		return 0
	}
	r, _ := utf8.DecodeRuneInString(p.rest)
	return r
}

func (p *parser) skip(r rune) { p.rest = p.rest[utf8.RuneLen(r):] }

// skipSpace drops white space and reports whether there was any.
func (p *parser) skipSpace() bool {
	trimmed := strings.TrimLeftFunc(p.rest, unicode.IsSpace)
	was := len(trimmed) < len(p.rest)
	p.rest = trimmed
	return was
}

// digits takes a run of ASCII figures.
func (p *parser) digits() string {
	i := 0
	for i < len(p.rest) && isDigit(p.rest[i]) {
		i++
	}
	run := p.rest[:i]
	p.rest = p.rest[i:]
	return run
}

// wrong says what stands at the head of the rest, where a figure should be.
func (p *parser) wrong() error {
	r := p.peek()
	switch {
	case r == 0:
		return p.fail("a figure is wanted at the end")
	case unicode.IsSpace(r):
		return p.fail("space inside a figure")
	case unicode.IsLetter(r):
		return p.fail("letter %c where a figure should be", r)
	case r == '.':
		return p.fail("a point too many")
	case r == ',':
		return p.fail("a comma that does not part thousands; a decimal comma must be entered as a point")
	case r == '±' || r == '∓':
		return p.fail("%c is not one sign: enter the value, or the two values", r)
	case isDash(r):
		return p.fail("a dash where a figure should be")
	case isDigitRune(r):
		return p.fail("more than one figure in the cell")
	}
	return p.fail("%s where a figure should be", strconv.QuoteRune(r))
}

func (p *parser) cell() (Numeral, error) {
	if isDitto(p.text) {
		return Numeral{Kind: Ditto}, nil
	}
	if ok, err := p.absent(); ok || err != nil {
		return p.out, err
	}
	if err := p.leader(); err != nil {
		return p.out, err
	}
	if len(p.rest) < len(p.text) {
		if ok, err := p.absent(); ok || err != nil {
			return p.out, err
		}
	}
	for p.symbolMark() {
	}
	if len(p.out.Marks()) > 0 {
		p.skipSpace()
	}
	negative, err := p.sign()
	if err != nil {
		return p.out, err
	}
	p.out.Kind = Number
	if err := p.figure(negative); err != nil {
		return p.out, err
	}
	if err := p.tail(); err != nil {
		return p.out, err
	}
	return p.out, nil
}

// absent reads a dash or dotted leader that stands for a value that the source
// does not have, with or without footnote marks; ok reports whether it was one.
func (p *parser) absent() (ok bool, err error) {
	rest, dashes, dots := p.rest, 0, 0
	for rest != "" {
		r, size := utf8.DecodeRuneInString(rest)
		switch {
		case isDash(r):
			dashes++
		case r == '.' || r == '·':
			dots++
		case r == '…' || r == '‥':
			dots += 2
		case unicode.IsSpace(r):
		default:
			size = 0
		}
		if size == 0 {
			break
		}
		rest = rest[size:]
	}
	if dashes > 0 && dots > 0 || dashes == 0 && dots == 0 {
		return false, nil
	}
	if dots == 1 {
		if rest == "" {
			return false, p.fail("a point alone")
		}
		return false, nil
	}
	q := &parser{text: p.text, rest: strings.TrimRightFunc(rest, unicode.IsSpace)}
	spaced := strings.HasSuffix(p.rest[:len(p.rest)-len(rest)], " ")
	for q.rest != "" {
		if q.symbolMark() || spaced && (q.bracketMark() || q.letterMark()) {
			spaced = q.skipSpace()
			continue
		}
		return false, nil // a figure after a sign or leader, or an error that figure will name
	}
	p.rest = ""
	p.out = Numeral{Kind: Missing, more: q.out.more, LetterMark: q.out.LetterMark}
	return true, nil
}

// leader drops a dotted leader before a figure, but only where the leader's last
// point cannot be the figure's own: the figure has a sign, a point or a thousands
// separator of its own. "..... 345" is refused: text layers also put a space after
// the decimal point.
func (p *parser) leader() error {
	rest, dots, longest, run := p.rest, 0, 0, 0
	for rest != "" {
		r, size := utf8.DecodeRuneInString(rest)
		switch {
		case r == '.' || r == '·':
			dots, run = dots+1, run+1
		case r == '…' || r == '‥':
			dots, run = dots+3, run+3
		case unicode.IsSpace(r) && dots > 0:
			run = 0
		default:
			size = 0
		}
		if size == 0 {
			break
		}
		longest = max(longest, run)
		rest = rest[size:]
	}
	if dots < 2 {
		return nil // none, or the figure's own point
	}
	first := firstRune(rest)
	own := false
	if i := strings.IndexFunc(rest, func(r rune) bool { return !isDigitRune(r) }); i > 0 {
		r := firstRune(rest[i:])
		own = r == '.' || r == '·' || r == ','
	}
	switch {
	case isDash(first) || first == '+' || own:
	case run == 1 && longest >= 2 && isDigitRune(first):
		rest = "." + rest // "..... .050": a point apart from the leader and at the figure
	case isDigitRune(first):
		return p.fail("whether the last point belongs to the leader or to the figure cannot be told")
	}
	p.rest = rest
	return nil
}

// sign reads an optional sign that stands directly before a figure or point.
func (p *parser) sign() (negative bool, err error) {
	r := p.peek()
	name := "plus"
	switch {
	case r == '+':
		p.skip(r)
	case isDash(r):
		name, negative = "minus", true
		p.skip(r)
		if r == '-' && p.peek() == '-' {
			p.skip('-') // scans' text layers spell a long dash so
		}
	default:
		return false, nil
	}
	if next := p.peek(); unicode.IsSpace(next) {
		return false, p.fail("a space parts the %s from its figure", name)
	} else if isDash(next) || next == '+' {
		return false, p.fail("more than one sign")
	}
	return negative, nil
}

// figure reads the figure itself with its power of ten, fraction, degrees,
// minutes and percent sign.
func (p *parser) figure(negative bool) error {
	if f, ok := vulgar(p.peek()); ok {
		p.skip(p.peek())
		p.setFraction("0", f, negative)
		return p.degrees("", negative)
	}
	whole, err := p.whole()
	if err != nil {
		return err
	}
	if whole != "" {
		if done, err := p.fraction(whole, negative); err != nil {
			return err
		} else if done {
			return p.degrees("", negative)
		}
	}
	fraction, point := "", false
	switch r := p.peek(); {
	case r == '.':
		p.skip(r)
		point = true
		fraction = p.digits()
	case r == '·' && whole != "":
		after := strings.TrimPrefix(p.rest, "·")
		run := len(after) - len(strings.TrimLeft(after, "0123456789"))
		if strings.HasPrefix(after, "10^") {
			break // a factor times a power of ten
		}
		if _, super := superscript(firstRune(after[run:])); super && after[:run] == "10" {
			return p.fail("a raised point before 10 and a superscript: decimal point or times sign cannot be told")
		}
		p.skip(r)
		if fraction = p.digits(); fraction == "" {
			return p.wrong()
		}
		point = true
	}
	if whole == "" && fraction == "" {
		if point && unicode.IsSpace(p.peek()) {
			return p.fail("a space parts the point from its figures")
		}
		return p.wrong()
	}
	if point && fraction == "" && unicode.IsSpace(p.peek()) {
		if next := firstRune(strings.TrimLeftFunc(p.rest, unicode.IsSpace)); isDigitRune(next) {
			return p.fail("a space parts the point from its figures")
		}
	}
	if len(whole) > 1 && whole[0] == '0' {
		if !point {
			return p.fail("a leading zero without a point; was a point lost?")
		}
		return p.fail("a needless leading zero; was a point or a figure misread?")
	}
	if negative && point && fraction == "" && whole == "0" {
		return p.fail("minus zero with a bare point; were decimals lost?")
	}
	exponent, err := p.power()
	if err != nil {
		return err
	}
	decimals := len(fraction) - exponent
	figures := whole + fraction
	if decimals < 0 {
		figures += strings.Repeat("0", -decimals)
		p.more().filled = -decimals
		decimals = 0
	}
	p.out.Finite = true
	p.out.Decimal = decimalFromDigits(figures, decimals, negative)
	p.out.Decimals = decimals
	if exponent == 0 && !point {
		return p.degrees(whole, negative)
	}
	return p.degrees("", negative)
}

// whole reads the figures before the point, with thousands separators.
func (p *parser) whole() (string, error) {
	run := p.digits()
	if run == "" {
		return "", nil
	}
	sep := p.peek()
	switch {
	case sep == ',':
	case isGroupSpace(sep) && groupFollows(p.rest[utf8.RuneLen(sep):]):
	default:
		return run, nil
	}
	if len(run) > 3 || run[0] == '0' {
		if sep == ',' {
			return "", p.wrong()
		}
		return run, nil
	}
	var groups strings.Builder
	groups.WriteString(run)
	for p.peek() == sep {
		after := p.rest[utf8.RuneLen(sep):]
		if !groupFollows(after) {
			if sep == ',' {
				if unicode.IsSpace(firstRune(after)) {
					if next := firstRune(strings.TrimLeftFunc(after, unicode.IsSpace)); isDigitRune(next) {
						return "", p.fail("a space after a comma inside a figure")
					}
				}
				return "", p.wrong()
			}
			break
		}
		groups.WriteString(after[:3])
		p.rest = after[3:]
	}
	p.out.Grouped = true
	return groups.String(), nil
}

// groupFollows reports whether exactly three figures stand at the head of s, and
// not the numerator of a fraction.
func groupFollows(s string) bool {
	if len(s) < 3 || !isDigit(s[0]) || !isDigit(s[1]) || !isDigit(s[2]) {
		return false
	}
	next := firstRune(s[3:])
	return !isDigitRune(next) && next != '/' && next != '⁄'
}

// fraction reads what makes whole a mixed number or the numerator of a simple
// fraction: "½", " ½", "/2", " 1/2", "-1/2".
func (p *parser) fraction(whole string, negative bool) (done bool, err error) {
	r := p.peek()
	if f, ok := vulgar(r); ok {
		p.skip(r)
		return true, p.mixed(whole, f, negative)
	}
	if r == '/' || r == '⁄' {
		p.skip(r)
		f, err := p.denominator(whole)
		if err != nil {
			return false, err
		}
		p.setFraction("0", f, negative)
		return true, nil
	}
	hyphen := r == '-'
	if !hyphen && !unicode.IsSpace(r) {
		return false, nil
	}
	q := &parser{text: p.text, rest: p.rest[utf8.RuneLen(r):]}
	if f, ok := vulgar(q.peek()); ok && !hyphen {
		q.skip(q.peek())
		p.rest = q.rest
		return true, p.mixed(whole, f, negative)
	}
	numerator := q.digits()
	if slash := q.peek(); numerator == "" || slash != '/' && slash != '⁄' {
		return false, nil
	}
	q.skip(q.peek())
	f, err := q.denominator(numerator)
	if err != nil {
		return false, err
	}
	if hyphen && (f.den > 64 || f.den&(f.den-1) != 0) {
		return false, p.fail("a hyphen before a fraction is read as a mixed number for halves to sixty-fourths only")
	}
	p.rest = q.rest
	return true, p.mixed(whole, f, negative)
}

func (p *parser) mixed(whole string, f simple, negative bool) error {
	if whole[0] == '0' {
		return p.fail("a mixed number whose whole part begins with 0")
	}
	if len(whole) > 6 {
		return p.fail("a mixed number with a whole part of more than six figures")
	}
	p.setFraction(whole, f, negative)
	return nil
}

// simple is a proper fraction.
type simple struct{ num, den int64 }

// denominator reads the figures below the stroke.
func (p *parser) denominator(numerator string) (simple, error) {
	below := p.digits()
	if below == "" {
		return simple{}, p.wrong()
	}
	if len(numerator) > 3 || len(below) > 3 || numerator[0] == '0' || below[0] == '0' {
		return simple{}, p.fail("not a simple fraction")
	}
	num, _ := strconv.ParseInt(numerator, 10, 64)
	den, _ := strconv.ParseInt(below, 10, 64)
	if num >= den {
		return simple{}, p.fail("an improper fraction; was the space of a mixed number lost?")
	}
	// Rules are divided so; a print reduces its fractions. Two flap settings (10/20)
	// are neither. Common practice, no source.
	switch den {
	case 2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64:
		if gcd(num, den) == 1 {
			return simple{num, den}, nil
		}
	}
	return simple{}, p.fail("%s/%s is not a fraction as printed: two settings?", numerator, below)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (p *parser) setFraction(whole string, f simple, negative bool) {
	w, _ := strconv.ParseInt(whole, 10, 64)
	num := w*f.den + f.num
	if negative {
		num = -num
	}
	p.setValue(big.NewRat(num, f.den), big.NewRat(1, f.den))
}

func (p *parser) setValue(value, step *big.Rat) {
	p.more().value, p.more().step = value, step
	p.out.Decimal, p.out.Finite = finiteDecimal(value)
	p.out.Decimals = 0
}

// power reads an optional power of ten after a factor.
func (p *parser) power() (int, error) {
	if r := p.peek(); r == 'E' || r == 'e' {
		return p.exponentE(r)
	}
	q := &parser{text: p.text, rest: p.rest}
	q.skipSpace()
	switch r := q.peek(); r {
	case 'x', 'X', '×', '·', '⋅':
		q.skip(r)
	case '*':
		// An asterisk is a footnote mark unless a power of ten follows it.
		if !strings.HasPrefix(q.rest, "*10^") {
			return 0, nil
		}
		q.skip(r)
	default:
		return 0, nil
	}
	q.skipSpace()
	if !strings.HasPrefix(q.rest, "10") {
		return 0, p.fail("a times sign is not followed by a power of ten, as in 1.2x10^3")
	}
	q.rest = q.rest[2:]
	negative := false
	var figures string
	if q.peek() == '^' {
		q.skip('^')
		if r := q.peek(); isDash(r) || r == '+' {
			negative = r != '+'
			q.skip(r)
		}
		if figures = q.digits(); figures == "" {
			return 0, q.wrong()
		}
	} else {
		if r := q.peek(); r == '⁻' || r == '⁺' {
			negative = r == '⁻'
			q.skip(r)
		}
		for {
			digit, ok := superscript(q.peek())
			if !ok {
				break
			}
			figures += string(digit)
			q.skip(q.peek())
		}
		switch {
		case figures == "":
			return 0, p.fail("the exponent is not raised, or lost: enter it as in 1.2x10^3")
		case len(figures) > 1:
			return 0, p.fail("exponent and footnote mark cannot be told apart: enter it as in 1.2x10^12")
		}
	}
	exponent, err := p.exponent(figures, negative)
	p.rest = q.rest
	return exponent, err
}

// exponentE reads E+03 and the like, as programs print them. The sign is asked
// for because E in the midst of figures is also a misread 8 or 6.
func (p *parser) exponentE(e rune) (int, error) {
	q := &parser{text: p.text, rest: p.rest}
	q.skip(e)
	sign := q.peek()
	if sign != '+' && sign != '-' && sign != '−' {
		return 0, p.fail("letter %c where a figure should be; a power of ten is written 1.2x10^3 or 1.2E+3", e)
	}
	q.skip(sign)
	figures := q.digits()
	if figures == "" {
		return 0, q.wrong()
	}
	exponent, err := p.exponent(figures, sign != '+')
	p.rest = q.rest
	return exponent, err
}

func (p *parser) exponent(figures string, negative bool) (int, error) {
	exponent, err := strconv.Atoi(figures)
	if err != nil || exponent > maxExponent {
		return 0, p.fail("a power of ten beyond %d", maxExponent)
	}
	if negative {
		exponent = -exponent
	}
	return exponent, nil
}

// degrees reads a degree sign and, after whole degrees, minutes and seconds;
// otherwise a percent sign. whole is "" where minutes may not follow.
func (p *parser) degrees(whole string, negative bool) error {
	q := &parser{text: p.text, rest: p.rest}
	q.skipSpace()
	switch q.peek() {
	case '%':
		q.skip('%')
		p.rest = q.rest
		p.out.Percent = true
		return nil
	case '°', 'º', '˚':
		q.skip(q.peek())
	default:
		return nil
	}
	p.rest = q.rest
	p.out.Degrees = true
	if whole == "" {
		return nil
	}
	// Grouped thousands or a very long figure cannot be degrees with minutes.
	degrees, err := strconv.ParseInt(whole, 10, 32)
	if err != nil {
		return nil
	}
	minutes, minuteStep, tenths, ok, err := p.sixtieths(isMinuteSign, "minutes")
	if err != nil || !ok {
		return err
	}
	sum := new(big.Rat).SetInt64(degrees)
	sum.Add(sum, minutes.Quo(minutes, big.NewRat(60, 1)))
	step := minuteStep.Quo(minuteStep, big.NewRat(60, 1))
	if !tenths {
		seconds, secondStep, _, ok, err := p.sixtieths(isSecondSign, "seconds")
		if err != nil {
			return err
		}
		if ok {
			sum.Add(sum, seconds.Quo(seconds, big.NewRat(3600, 1)))
			step = secondStep.Quo(secondStep, big.NewRat(3600, 1))
		}
	}
	if negative {
		sum.Neg(sum)
	}
	p.setValue(sum, step)
	return nil
}

// sixtieths reads minutes or seconds: one or two figures below 60, decimals
// allowed, and the sign. ok is false, and nothing is read, where no figure follows.
func (p *parser) sixtieths(isSign func(string) int, name string) (value, step *big.Rat, decimals, ok bool, err error) {
	q := &parser{text: p.text, rest: p.rest}
	q.skipSpace()
	whole := q.digits()
	if whole == "" {
		return nil, nil, false, false, nil
	}
	fraction := ""
	if q.peek() == '.' {
		q.skip('.')
		if fraction = q.digits(); fraction == "" {
			return nil, nil, false, false, q.wrong()
		}
	}
	size := isSign(q.rest)
	if size == 0 {
		return nil, nil, false, false, p.fail("figures after the degree sign without the sign of %s", name)
	}
	if n, _ := strconv.Atoi(whole); len(whole) > 2 || n > 59 {
		return nil, nil, false, false, p.fail("%s %s: fewer than 60 are wanted", whole, name)
	}
	p.rest = q.rest[size:]
	d := decimalFromDigits(whole+fraction, len(fraction), false)
	return d.Rat(), ratPowerOfTen(-len(fraction)), fraction != "", true, nil
}

// tail reads the footnote marks and dotted leader after a complete figure.
func (p *parser) tail() error {
	// A letter directly after decimals can be a mark; after an integer, "1b", it
	// is as likely a misread figure.
	attached := p.out.Decimals > 0 && (p.out.more == nil || p.out.more.value == nil) && !p.out.Degrees && !p.out.Percent &&
		len(p.rest) > 0 && p.isPrintedDigitBefore()
	if p.peek() == '⁰' {
		if _, more := superscript(firstRune(strings.TrimPrefix(p.rest, "⁰"))); !more {
			return p.fail("a superscript zero; a degree sign was most likely printed")
		}
	}
	if isTen(p) {
		if _, ok := superscript(p.peek()); ok || p.peek() == '⁻' || p.peek() == '^' {
			return p.fail("a power of ten without a factor has no last digit, and a superscript may be a footnote mark: enter the value")
		}
	}
	spaced := p.skipSpace()
	comma := false
	for p.rest != "" {
		switch {
		case p.symbolMark(), p.bracketMark():
		case (spaced || attached || comma) && p.letterMark():
			p.out.MarkAttached = p.out.MarkAttached || attached && !spaced
		case p.trailingLeader(spaced):
			continue
		default:
			return p.wrong()
		}
		attached = false
		spaced = p.skipSpace()
		comma = false
		if p.peek() == ',' {
			comma = true
			p.skip(',')
			spaced = p.skipSpace() || spaced
			if p.rest == "" {
				return p.fail("a comma at the end")
			}
		}
	}
	return nil
}

// isPrintedDigitBefore reports whether the last thing read was an ASCII figure.
func (p *parser) isPrintedDigitBefore() bool {
	before := p.text[:len(p.text)-len(p.rest)]
	return before != "" && isDigit(before[len(before)-1])
}

// isTen reports whether the figure read is a bare 10.
func isTen(p *parser) bool {
	before := strings.TrimLeft(p.text[:len(p.text)-len(p.rest)], "+-−–—‒")
	return before == "10"
}

// trailingLeader drops a dotted leader after a figure: two points or more after
// a space, three or more where they touch it. Neither changes the value.
func (p *parser) trailingLeader(spaced bool) bool {
	dots := 0
	for _, r := range p.rest {
		switch {
		case r == '.' || r == '·':
			dots++
		case r == '…' || r == '‥':
			dots += 3
		case unicode.IsSpace(r):
		default:
			return false
		}
	}
	if dots >= 3 || spaced && dots >= 2 {
		p.rest = ""
		return true
	}
	return false
}

// symbolMark takes one footnote mark that cannot be a figure: a run of one
// symbol, a run of superscript figures, or one superscript letter.
func (p *parser) symbolMark() bool {
	r := p.peek()
	end := 0
	switch {
	case strings.ContainsRune("*†‡§‖¶", r) && r != 0:
		for end < len(p.rest) && strings.HasPrefix(p.rest[end:], string(r)) {
			end += utf8.RuneLen(r)
		}
	case isSuperscriptLetter(r):
		end = utf8.RuneLen(r)
	default:
		for {
			next := firstRune(p.rest[end:])
			if _, ok := superscript(next); !ok {
				break
			}
			end += utf8.RuneLen(next)
		}
		if end == 0 || p.rest[:end] == "⁰" {
			return false
		}
	}
	p.mark(p.rest[:end])
	p.rest = p.rest[end:]
	return true
}

// bracketMark takes a footnote mark in parentheses: one or two figures, or one
// lower-case letter. The figures may also be a modern author's uncertainty in the
// last digits; the value is the same.
func (p *parser) bracketMark() bool {
	if p.peek() != '(' {
		return false
	}
	inner, _, ok := strings.Cut(p.rest[1:], ")")
	if !ok {
		return false
	}
	switch {
	case len(inner) == 1 && (isDigit(inner[0]) || 'a' <= inner[0] && inner[0] <= 'z'):
	case len(inner) == 2 && isDigit(inner[0]) && isDigit(inner[1]):
	default:
		return false
	}
	p.mark(p.rest[:len(inner)+2])
	p.rest = p.rest[len(inner)+2:]
	return true
}

// letterMark takes one lower-case letter a to h as a footnote mark, never e (an
// exponent or a misread figure), and only where it stands alone.
func (p *parser) letterMark() bool {
	r := p.peek()
	if r < 'a' || r > 'h' || r == 'e' {
		return false
	}
	switch next := firstRune(p.rest[1:]); {
	case next == 0 || next == ',' || next == '(' || unicode.IsSpace(next) || strings.ContainsRune("*†‡§‖¶", next):
	default:
		return false
	}
	p.mark(p.rest[:1])
	p.out.LetterMark = true
	p.rest = p.rest[1:]
	return true
}

func isDitto(s string) bool {
	switch s {
	case `"`, "″", "''", "’’", "‘‘", "′′", "”", "“", "„", "〃", ",,":
		return true
	}
	switch strings.ToLower(s) {
	case "ditto", "ditto.", "do", "do.":
		return true
	}
	return false
}

// isMinuteSign returns the length of a minute sign at the head of s, or 0.
func isMinuteSign(s string) int {
	r := firstRune(s)
	if r != 0 && strings.ContainsRune("'′’‘ʹ", r) {
		size := utf8.RuneLen(r)
		if firstRune(s[size:]) == r {
			return 0 // doubled: a second sign
		}
		return size
	}
	return 0
}

// isSecondSign returns the length of a second sign at the head of s, or 0.
func isSecondSign(s string) int {
	for _, sign := range []string{`"`, "″", "”", "“", "''", "′′", "’’"} {
		if strings.HasPrefix(s, sign) {
			return len(sign)
		}
	}
	return 0
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isDigitRune(r rune) bool { return '0' <= r && r <= '9' }

// isDash reports whether r is a glyph that prints use for minus or for "no
// value": hyphen-minus, hyphen, non-breaking hyphen, figure, en and em dash,
// horizontal bar, minus sign.
func isDash(r rune) bool {
	switch r {
	case '-', '\u2010', '\u2011', '\u2012', '\u2013', '\u2014', '\u2015', '\u2212':
		return true
	}
	return false
}

// isGroupSpace reports whether r is a space that printers set between thousands:
// no-break, narrow no-break, thin, figure or four-per-em space.
func isGroupSpace(r rune) bool {
	switch r {
	case '\u00a0', '\u202f', '\u2009', '\u2007', '\u2005':
		return true
	}
	return false
}

func superscript(r rune) (digit byte, ok bool) {
	switch r {
	case '¹':
		return '1', true
	case '²':
		return '2', true
	case '³':
		return '3', true
	}
	if r == '⁰' || '⁴' <= r && r <= '⁹' {
		return byte(r-'⁰') + '0', true
	}
	return 0, false
}

// isSuperscriptLetter reports whether r is a raised letter that is a footnote
// mark; a raised o is left out, since it is most likely a degree sign.
func isSuperscriptLetter(r rune) bool {
	return r != 0 && strings.ContainsRune("ªᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵖʳˢᵗᵘᵛʷˣʸᶻ", r)
}

func vulgar(r rune) (simple, bool) {
	switch r {
	case '½':
		return simple{1, 2}, true
	case '⅓':
		return simple{1, 3}, true
	case '⅔':
		return simple{2, 3}, true
	case '¼':
		return simple{1, 4}, true
	case '¾':
		return simple{3, 4}, true
	case '⅕':
		return simple{1, 5}, true
	case '⅖':
		return simple{2, 5}, true
	case '⅗':
		return simple{3, 5}, true
	case '⅘':
		return simple{4, 5}, true
	case '⅙':
		return simple{1, 6}, true
	case '⅚':
		return simple{5, 6}, true
	case '⅐':
		return simple{1, 7}, true
	case '⅛':
		return simple{1, 8}, true
	case '⅜':
		return simple{3, 8}, true
	case '⅝':
		return simple{5, 8}, true
	case '⅞':
		return simple{7, 8}, true
	case '⅑':
		return simple{1, 9}, true
	case '⅒':
		return simple{1, 10}, true
	}
	return simple{}, false
}

// firstRune returns the first rune of s, 0 where s is empty.
func firstRune(s string) rune {
	if s == "" {
		return 0
	}
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

// quote quotes a text for an error, shortened where it is long.
func quote(s string) string {
	const most = 60
	if len(s) > most {
		cut := most
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		s = s[:cut] + "…"
	}
	return strconv.Quote(s)
}
