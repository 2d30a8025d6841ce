package pdf

import (
	"math"
	"strings"
	"unicode"

	"windtally/extract"
)

// char is one character of a page in PDF user space (y up).
type char struct {
	text string
	// space says that the character separates words and prints nothing.
	space bool
	// made says that the reader put the character in because of a gap; the
	// file does not have it.
	made           bool
	x0, y0, x1, y1 float64
	ox, oy         float64 // origin on the baseline
	angle          float64 // direction of writing, radians counter-clockwise
	em, high       float64 // size along and across the direction of writing, points
}

// frame turns PDF user space into what a person sees.
type frame struct {
	left, bottom, right, top float64 // crop box
	turn                     int     // degrees clockwise: 0, 90, 180, 270
}

func (f frame) size() (width, height float64) {
	w, h := f.right-f.left, f.top-f.bottom
	if f.turn == 90 || f.turn == 270 {
		return h, w
	}
	return w, h
}

func (f frame) point(x, y float64) (float64, float64) {
	switch f.turn {
	case 90:
		return y - f.bottom, x - f.left
	case 180:
		return f.right - x, y - f.bottom
	case 270:
		return f.top - y, f.right - x
	}
	return x - f.left, f.top - y
}

func (f frame) rect(x0, y0, x1, y1 float64) extract.Rect {
	ax, ay := f.point(x0, y0)
	bx, by := f.point(x1, y1)
	return extract.Rect{X0: math.Min(ax, bx), Y0: math.Min(ay, by), X1: math.Max(ax, bx), Y1: math.Max(ay, by)}
}

// seenTurn returns the direction of writing in the seen frame, to the nearest
// quarter, degrees clockwise.
func (f frame) seenTurn(angle float64) int {
	quarter := int(math.Round(-angle/(math.Pi/2))) + f.turn/90
	return ((quarter % 4) + 4) % 4 * 90
}

// Where a word ends, in parts of the size of the letters. A step in the
// baseline or in the size beside a digit parts an exponent or a footnote mark
// from its number: 10 and 5 must never become 105.
const (
	wordGap     = 0.25 // a wider gap ends a word even without a space
	madeGap     = 0.12 // a gap at which the reader saw a space, and so do we
	backStep    = 0.5  // a step back begins a new word
	overlap     = 0.1  // another letter within this distance is printed over the first
	twice       = 0.1  // the same letter within this distance is one letter, printed twice to look bold
	twiceWord   = 0.2  // the same for whole words
	baseStep    = 0.1  // a change of baseline
	leastStep   = 0.5  // in points, below which a baseline does not change
	sizeStep    = 1.2  // ratio of sizes, beside a digit
	leastLetter = 0.01 // points; a size below it is unknown
)

// words groups characters into words. Their order is PDFium's reading order,
// which within a line is mostly, but not always, that of the file.
func words(chars []char, f frame) []extract.Word {
	width, height := f.size()
	seen := extract.Rect{X0: 0, Y0: 0, X1: width, Y1: height}
	var out []extract.Word
	var text []string
	var box extract.Rect
	var first, last char
	open := false
	flush := func() {
		if open {
			w := extract.Word{Text: strings.Join(text, ""), Box: box.Rounded(), Turn: f.seenTurn(first.angle), Size: math.Round(first.high*100) / 100}
			// What lies wholly outside the crop box nobody sees.
			if box.Empty() || box.Overlaps(seen) {
				out = append(out, w)
			}
		}
		text = text[:0]
		box = extract.Rect{}
		open = false
	}
	madeSpace := false
	for _, c := range chars {
		if c.space {
			if c.made {
				madeSpace = true
				continue
			}
			flush()
			continue
		}
		if open && bold(last, c) {
			continue
		}
		if open && blot(last, c) {
			text[len(text)-1] = unread
			last.text = unread
			box = join(box, f.rect(c.x0, c.y0, c.x1, c.y1))
			continue
		}
		if open && parts(last, c, madeSpace) {
			flush()
		}
		madeSpace = false
		r := f.rect(c.x0, c.y0, c.x1, c.y1)
		if !open {
			first, box, open = c, r, true
		} else {
			box = join(box, r)
		}
		text = append(text, c.text)
		last = c
	}
	flush()
	return once(out)
}

// bold reports whether b is a printed a second time to look bold.
func bold(a, b char) bool {
	return a.text == b.text && math.Hypot(a.ox-b.ox, a.oy-b.oy) < twice*math.Min(a.em, b.em) &&
		(a.ox != b.ox || a.oy != b.oy) // two letters of one glyph have one origin
}

// blot reports whether b is printed over a and one of them belongs to a number:
// nobody can read that, although the file holds both. It happens where the
// widths of a font are lost. An accent over its letter is no blot.
func blot(a, b char) bool {
	return math.Hypot(a.ox-b.ox, a.oy-b.oy) < overlap*math.Min(a.em, b.em) && (inNumber(a.text) || inNumber(b.text))
}

func inNumber(s string) bool { return s == unread || hasDigit(s) || strings.Contains(".,+-\u2212", s) }

// unread stands for a glyph without a meaning.
const unread = "\uFFFD"

// once drops a word that is printed again on top of itself.
func once(list []extract.Word) []extract.Word {
	at := make(map[string][]extract.Rect)
	var out []extract.Word
next:
	for _, w := range list {
		near := twiceWord * w.Size
		for _, r := range at[w.Text] {
			if math.Abs(r.X0-w.Box.X0) <= near && math.Abs(r.Y0-w.Box.Y0) <= near && math.Abs(r.X1-w.Box.X1) <= near && math.Abs(r.Y1-w.Box.Y1) <= near {
				continue next
			}
		}
		at[w.Text] = append(at[w.Text], w.Box)
		out = append(out, w)
	}
	return out
}

// join is Union that keeps a rectangle without area, such as that of a glyph
// without width, from vanishing.
func join(a, b extract.Rect) extract.Rect {
	return extract.Rect{X0: math.Min(a.X0, b.X0), Y0: math.Min(a.Y0, b.Y0), X1: math.Max(a.X1, b.X1), Y1: math.Max(a.Y1, b.Y1)}
}

// parts reports whether a new word begins between two characters.
func parts(a, b char, madeSpace bool) bool {
	if a.x0 == b.x0 && a.x1 == b.x1 && a.y0 == b.y0 && a.y1 == b.y1 {
		return false // one glyph that stands for two letters
	}
	if turn := math.Abs(math.Remainder(a.angle-b.angle, 2*math.Pi)); turn > math.Pi/18 {
		return true
	}
	em, high := math.Min(a.em, b.em), math.Min(a.high, b.high)
	if em < leastLetter || high < leastLetter {
		return madeSpace
	}
	// Along and across the direction of writing.
	ux, uy := math.Cos(a.angle), math.Sin(a.angle)
	along := func(x, y float64) float64 { return x*ux + y*uy }
	across := math.Abs((b.oy-a.oy)*ux - (b.ox-a.ox)*uy)
	if across > math.Max(leastStep, baseStep*high) {
		return true
	}
	if r := a.high / b.high; (r > sizeStep || r < 1/sizeStep) && (hasDigit(a.text) || hasDigit(b.text)) {
		return true
	}
	// The boxes are upright. For writing along a slope that is not a quarter turn
	// they are too long on both ends by the same amount, so the gap is measured
	// along the nearer axis.
	_, aEnd := a.span(ux, uy)
	bStart, _ := b.span(ux, uy)
	gap := bStart - aEnd
	if gap > wordGap*em || madeSpace && gap > madeGap*em {
		return true
	}
	return along(b.ox, b.oy) < along(a.ox, a.oy)-backStep*em
}

// span returns where a character begins and ends along the axis of the page
// that is nearest to the direction of writing.
func (c char) span(ux, uy float64) (start, end float64) {
	switch {
	case math.Abs(ux) >= math.Abs(uy) && ux >= 0:
		return c.x0, c.x1
	case math.Abs(ux) >= math.Abs(uy):
		return -c.x1, -c.x0
	case uy >= 0:
		return c.y0, c.y1
	}
	return -c.y1, -c.y0
}

func hasDigit(s string) bool { return strings.ContainsFunc(s, unicode.IsDigit) }

// printed turns a code point of the text layer into what is kept. A glyph that
// the file gives no meaning becomes U+FFFD, so that its cell is an error later
// and never a guess.
func printed(code rune, unmapped, hyphen bool) (text string, space bool) {
	switch {
	case hyphen, code == 0x02, code == 0xFFFE, code == 0xAD:
		// The reader marks a hyphen at the end of a line in one of these ways.
		return "-", false
	case code == 0, unmapped && code != ' ':
		return unread, false
	case unicode.IsSpace(code), code == 0x200B:
		return "", true
	case code < 0x20, code == 0x7F, code >= 0x80 && code < 0xA0,
		unicode.Is(unicode.Co, code), code > unicode.MaxRune, code >= 0xD800 && code < 0xE000:
		return unread, false
	}
	return string(code), false
}
