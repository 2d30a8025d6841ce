package transcribe

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/scan/sorts"
)

// Figure is a number of running text as the two readers have it: the engine, and the
// sorts of the table's own figures. Both words carry a doubt unless the two agree on
// every figure, sign and point: nothing else bears such a number out, for it has no
// column.
type Figure struct {
	Place      extract.Rect // seen frame
	Sorts, OCR Word
}

// Accepted reports whether the two readers vouch for one text.
func (f Figure) Accepted() bool { return f.Sorts.Doubt == "" && f.OCR.Doubt == "" }

// numberForm is what is understood of a number in running text.
var numberForm = regexp.MustCompile(`^-?(?:[0-9]+|[0-9]*\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?)$`)

// commaLike is the form of a number whose thousands a comma would part where it has a
// point: both readers take a worn or clogged comma for one.
var commaLike = regexp.MustCompile(`^-?[1-9][0-9]{0,2}(?:,[0-9]{3})*\.[0-9]{3}$`)

// Figure reads the number of the given text in some words of the page of a part, which
// the engine read and which stand in reading order; where words hold it several times
// or not at all it is not read.
func (r *Result) Figure(part int, words []Prose, text string) Figure {
	line := ""
	starts := make([]int, len(words))
	for i, w := range words {
		starts[i] = len(line)
		line += w.Text + " "
	}
	at := strings.Index(line, text)
	if text == "" || at < 0 || strings.Contains(line[at+1:], text) {
		var f Figure
		f.OCR = Word{Text: text, Confidence: 0}
		f.doubt(part, r, words, "it is not known in which words it stands")
		return f
	}
	first, last := 0, 0
	for i := range words {
		if starts[i] <= at {
			first = i
		}
		if starts[i] < at+len(text) {
			last = i
		}
	}
	return r.figure(part, words[first:last+1], at-starts[first], len(text))
}

// figure reads the number that begins at a byte of the first of the words, which
// hold nothing but it and what is set to it without a space.
func (r *Result) figure(part int, words []Prose, from, n int) Figure {
	p := r.parts[part].Page
	var joined strings.Builder // without spaces
	in := sorts.Prose{Part: part}
	pos, to := 0, 0
	f := Figure{OCR: Word{Confidence: 1}}
	for i, w := range words {
		for k, c := range w.Text + " " {
			if pos+k == from {
				in.From = joined.Len()
			}
			if c != ' ' {
				joined.WriteRune(extract.OneDash(c))
			}
			if pos+k < from+n {
				to = joined.Len()
			}
		}
		pos += len(w.Text) + 1
		in.Words = append(in.Words, w.Box)
		f.OCR.Confidence = math.Min(f.OCR.Confidence, w.Confidence)
		if i > 0 && !sameLine(words[0].Box, w.Box) {
			f.OCR.Text = Said(words)[from : from+n]
			f.doubt(part, r, words, "it runs over two lines")
			return f
		}
	}
	in.Text, in.To = joined.String(), to
	number := in.Text[in.From:in.To]
	// What the person's words end with may have closed the phrase.
	if cut := strings.TrimRight(number, ",;:.)]}°"); cut != "" {
		in.To -= len(number) - len(cut)
		number = cut
	}
	f.OCR.Text = number
	if before := p.before(words[0]); before != nil {
		in.Prev = before.Text
	}
	// A degree sign may be a word of its own.
	third := ""
	if behind := p.behind(words[len(words)-1]); behind != nil {
		in.Next = behind.Text
		if more := p.behind(*behind); more != nil {
			third = more.Text
		}
	}
	got := r.read.Prose(in)
	f.Place = p.placeOf(words)
	f.Sorts = Word{Text: got.Text, Confidence: got.Confidence, Candidates: got.Candidates}
	switch {
	case !numberForm.MatchString(number):
		f.OCR.Text = strings.TrimSpace(Said(words)[from : from+n])
		f.doubt(part, r, words, "its form is not understood from the print")
	case in.To == len(in.Text) && in.Next != "" && goesOn(in.Next, third):
		f.doubt(part, r, words, fmt.Sprintf("it may go on with %q", strings.TrimSpace(in.Next+" "+third)))
	case len(got.Doubts) > 0:
		f.doubt(part, r, words, strings.Join(got.Doubts, "; "))
	case got.Text != number:
		f.doubt(part, r, words, fmt.Sprintf("sorts reads %q and ocr reads %q", got.Text, number))
	case commaLike.MatchString(number):
		f.doubt(part, r, words, "its point may be a comma that parts thousands")
	case len(got.Shaky) > 0 && f.OCR.Confidence < leastConfidence:
		// Without the engine's full confidence a shape that is not clear stays so.
		f.doubt(part, r, words, strings.Join(got.Shaky, "; "))
	}
	return f
}

// goesOn reports whether the words behind a number may belong to it: the rest of a
// range, a fraction, a power of ten or its name, be they read rightly or not.
func goesOn(next, third string) bool {
	c, _ := utf8.DecodeRuneInString(next)
	return !unicode.IsLetter(c) && !strings.ContainsRune("°([", c) ||
		len([]rune(next)) <= 2 && strings.HasPrefix(third, "10") ||
		magnitude.MatchString(next)
}

// magnitude is the name of a power of ten, or what the engine may make of it.
var magnitude = regexp.MustCompile(`(?i)^(?:m[il1|]{3}|thou|hund)`)

// Said is the texts of words, parted by spaces.
func Said(words []Prose) string {
	var out []string
	for _, w := range words {
		out = append(out, w.Text)
	}
	return strings.Join(out, " ")
}

// doubt gives both words a doubt, with both texts as candidates.
func (f *Figure) doubt(part int, r *Result, words []Prose, why string) {
	f.Place = r.parts[part].Page.placeOf(words)
	also := f.Sorts.Candidates
	for _, w := range []*Word{&f.Sorts, &f.OCR} {
		w.Doubt = "a figure in running text: " + why
		w.Candidates = nil
		for _, t := range append([]string{f.Sorts.Text, f.OCR.Text}, also...) {
			if t != "" && !slices.Contains(w.Candidates, t) {
				w.Candidates = append(w.Candidates, t)
			}
		}
	}
}

func (p *Page) placeOf(words []Prose) extract.Rect {
	var box extract.Rect
	for _, w := range words {
		box = box.Union(p.flatBox(w.Box))
	}
	return p.Sheet.SeenOfFlat(box).Rounded()
}

// flatBox is a box of the sheet in the flat frame, its size kept.
func (p *Page) flatBox(b extract.Rect) extract.Rect {
	x, y := p.Sheet.Flat(b.MidX(), b.MidY())
	w, h := b.Width()/2, b.Height()/2
	return extract.Rect{X0: x - w, Y0: y - h, X1: x + w, Y1: y + h}
}

func sameLine(a, b extract.Rect) bool {
	return math.Min(a.Y1, b.Y1)-math.Max(a.Y0, b.Y0) > 0.3*math.Min(a.Height(), b.Height()) && b.MidX() > a.MidX()
}

// Within returns the words of running text whose middle lies in a flat rectangle, line
// by line.
func (p *Page) Within(flat extract.Rect) []Prose {
	var out []Prose
	for _, w := range p.Prose {
		if b := p.flatBox(w.Box); flat.Contains(b.MidX(), b.MidY()) {
			out = append(out, w)
		}
	}
	middle := func(w Prose) float64 { return p.flatBox(w.Box).MidY() }
	slices.SortStableFunc(out, func(a, b Prose) int { return cmp.Compare(middle(a), middle(b)) })
	for i := 0; i < len(out); {
		j := i + 1
		for j < len(out) && middle(out[j])-middle(out[j-1]) < 0.4*out[j-1].Box.Height() {
			j++
		}
		slices.SortStableFunc(out[i:j], func(a, b Prose) int { return cmp.Compare(a.Box.X0, b.Box.X0) })
		i = j
	}
	return out
}

// Text is the words of running text as package grid looks through them, with their
// boxes in the flat frame.
func (p *Page) Text() extract.Page {
	out := extract.Page{Number: p.Sheet.Page}
	for _, w := range p.Prose {
		out.Words = append(out.Words, extract.Word{Text: w.Text, Box: p.flatBox(w.Box)})
	}
	return out
}

// Given reads the figure that grid.Given found in Text.
func (r *Result) Given(part int, cell grid.Cell) Figure {
	p := r.parts[part].Page
	const hair = 0.01
	var words []Prose
	for _, w := range p.Prose {
		b := p.flatBox(w.Box)
		if b.X0 > cell.Box.X0-hair && b.X1 < cell.Box.X1+hair && b.Y0 > cell.Box.Y0-hair && b.Y1 < cell.Box.Y1+hair {
			words = append(words, w)
		}
	}
	slices.SortStableFunc(words, func(a, b Prose) int { return cmp.Compare(a.Box.X0, b.Box.X0) })
	return r.Figure(part, words, cell.Text)
}

// behind and before return the next and the last word of the line, if there is one.
func (p *Page) behind(w Prose) (next *Prose) {
	for i := range p.Prose {
		if o := &p.Prose[i]; sameLine(w.Box, o.Box) && o.Box.X0-w.Box.X1 < 3*w.Box.Height() && (next == nil || o.Box.X0 < next.Box.X0) {
			next = o
		}
	}
	return next
}

func (p *Page) before(w Prose) (last *Prose) {
	for i := range p.Prose {
		if o := &p.Prose[i]; sameLine(o.Box, w.Box) && w.Box.X0-o.Box.X1 < 3*w.Box.Height() && (last == nil || o.Box.X1 > last.Box.X1) {
			last = o
		}
	}
	return last
}

// Numbers reads all numbers of the running text of a part's page, whatever they mean,
// but those that stand in cells.
func (r *Result) Numbers(part int) []Figure {
	p := r.parts[part].Page
	inCell := func(w Prose) bool {
		for _, t := range p.Tables {
			b := p.flatBox(w.Box)
			for _, row := range t.Rows {
				if row.SubHead == nil && b.MidY() > row.Top && b.MidY() < row.Bottom && b.MidX() > t.Region.X0 && b.MidX() < t.Region.X1 {
					return true
				}
			}
		}
		return false
	}
	var out []Figure
	for i := 0; i < len(p.Prose); i++ {
		w := p.Prose[i]
		from := strings.IndexFunc(w.Text, func(c rune) bool { return c < unicode.MaxASCII && unicode.IsDigit(c) })
		if from < 0 || inCell(w) {
			continue
		}
		// The figure goes as far back and forth as signs and points do.
		for from > 0 && strings.ContainsRune(".-+", rune(w.Text[from-1])) {
			from--
		}
		n := strings.IndexFunc(w.Text[from:]+" ", func(c rune) bool { return !strings.ContainsRune("0123456789.,-+", c) })
		words := []Prose{w}
		for i+1 < len(p.Prose) && from+n == len(Said(words)) && strings.ContainsRune(".,", rune(Said(words)[from+n-1])) {
			next := p.Prose[i+1]
			if !sameLine(w.Box, next.Box) || next.Box.X0-words[len(words)-1].Box.X1 > 0.6*w.Box.Height() || next.Text == "" || next.Text[0] < '0' || next.Text[0] > '9' {
				break
			}
			words = append(words, next)
			n += 1 + strings.IndexFunc(next.Text+" ", func(c rune) bool { return !strings.ContainsRune("0123456789.,", c) })
			i++
		}
		out = append(out, r.figure(part, words, from, n))
	}
	return out
}
