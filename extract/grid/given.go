package grid

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"windtally/extract"
)

// Given finds a figure that stands in running text on a page: in a caption, a
// sub-head or a footnote. The pattern is the words around it with * for the
// figure, for example "Reynolds number, approximately *". Case and spaces do not
// matter. The figure is one word with a figure in it, and what follows of figures
// alone ("8, 000, 000"); brackets and points that close the phrase are no part of it.
//
// What continues the figure is taken with it ("3.4 x 10^6", "5,200 to 5,400",
// "35 ft. 6 in."): a part of a figure is a wrong figure, and the whole of it is for
// the numeral to read or to refuse.
//
// The words are looked for in the region of the table first, since its neighbour
// may say the same with another figure, then on the whole page; outside says that
// they were found there only. ok is false where they are not there; that they stand
// there twice with different figures is an error.
func Given(p extract.Page, region extract.Rect, pattern string) (cell Cell, ok, outside bool, err error) {
	re, err := patternOf(pattern)
	if err != nil {
		return Cell{}, false, false, err
	}
	var inside []extract.Word
	for _, w := range p.Words {
		if within(region, w.Box) {
			inside = append(inside, w)
		}
	}
	for i, words := range [][]extract.Word{readingOrder(inside), readingOrder(p.Words)} {
		found, err := matches(words, re, pattern)
		if err != nil {
			return Cell{}, false, false, err
		}
		if len(found) > 0 {
			return found[0], true, i > 0, nil
		}
	}
	return Cell{}, false, false, nil
}

// Captured finds the figure in one line of text by the words beside it, as Given
// does on a page, and like it refuses words that stand there twice with different
// figures.
func Captured(line, pattern string) (figure string, ok bool, err error) {
	re, err := patternOf(pattern)
	if err != nil {
		return "", false, err
	}
	text := strings.Join(strings.Fields(line), " ") + " "
	for _, m := range re.FindAllStringSubmatchIndex(text, -1) {
		from, to := wholeFigure(text, m)
		found := text[from:to]
		if ok && found != figure {
			return "", false, twice(pattern, figure, found)
		}
		figure, ok = found, true
	}
	return figure, ok, nil
}

// twice is the fault of words that stand beside two figures.
func twice(pattern, one, other string) error {
	return fmt.Errorf("words: %q: the words stand twice, with %s and with %s; write more of the words beside the figure", pattern, one, other)
}

var (
	// what goes on behind a figure: a power of ten, millions, the end of a range, a
	// tolerance
	continues = regexp.MustCompile(`(?i)^[,.)\]]*\s*(?:[x×·*]\s*10\S*|(?:million|thousand|hundred)s?\b|(?:to|and|or|±|\+/?-)\s*[^\s\[(]*[0-9]\S*|[-–—]\s*[0-9.]\S*)`)
	// a smaller unit behind a figure and its unit: 35 ft. 6 in., 20 deg. 30 min.
	smaller = regexp.MustCompile(`(?i)^\s*[0-9]\S*\s*(?:in|ins|inch|inches|ft|min|mins|minutes|sec|oz|lb|lbs)\b\.?|^\s*[0-9]+\s*['"′″]`)
	// what comes before the second figure of a range
	comesFrom = regexp.MustCompile(`(?i)(?:^|\s)([^\s\[(]*[0-9]\S*\s*(?:to|and|or|±|[-–—])\s*)$`)
)

// wholeFigure widens the match m of a pattern in text to all that the print gives as one
// figure.
func wholeFigure(text string, m []int) (from, to int) {
	from, to = m[2], m[2]+len(closed(text[m[2]:m[3]]))
	if rest := text[m[3]:]; m[1] > m[3] && strings.TrimSpace(text[m[3]:m[1]]) != "" {
		if tail := smaller.FindString(text[m[1]:]); tail != "" {
			to = m[1] + len(tail)
		} else if tail := continues.FindString(text[m[1]:]); tail != "" {
			to = m[1] + len(closed(tail))
		}
	} else if tail := continues.FindString(rest); tail != "" {
		to = m[3] + len(closed(tail))
	} else if tail := continues.FindString(text[to:]); tail != "" {
		to += len(closed(tail))
	}
	if head := comesFrom.FindStringSubmatchIndex(text[:from]); head != nil {
		from = head[2]
	}
	return from, to
}

// closed drops what closes the phrase in which a figure stands.
func closed(figure string) string { return strings.TrimRight(figure, ",;:.)]") }

// patternOf makes the expression whose group is the figure.
func patternOf(pattern string) (*regexp.Regexp, error) {
	before, after, starred := strings.Cut(pattern, "*")
	if !starred || strings.Contains(after, "*") || strings.TrimSpace(before)+strings.TrimSpace(after) == "" {
		return nil, fmt.Errorf("words: %q; write the words that stand beside the figure, with one * for the figure itself", pattern)
	}
	expression := `(?i)` + spaced(before)
	if strings.HasSuffix(before, " ") {
		expression += `\s+`
	}
	if strings.TrimSpace(after) == "" {
		expression += `([^\s\[(]*[0-9]\S*(?:\s[0-9]\S*)*)`
	} else {
		expression += `([^\s\[(]*[0-9]\S*?(?:\s[0-9.,]+)*?)\s*` + spaced(after)
	}
	re, err := regexp.Compile(expression)
	if err != nil {
		return nil, fmt.Errorf("words: %q: %v", pattern, err)
	}
	return re, nil
}

// matches finds the figures that the expression captures, and refuses two that
// differ.
func matches(words []extract.Word, re *regexp.Regexp, pattern string) ([]Cell, error) {
	var text strings.Builder
	var starts []int
	for _, w := range words {
		starts = append(starts, text.Len())
		text.WriteString(w.Text)
		text.WriteByte(' ')
	}
	var found []Cell
	for _, m := range re.FindAllStringSubmatchIndex(text.String(), -1) {
		m[2], m[3] = wholeFigure(text.String(), m)
		cell := Cell{Text: text.String()[m[2]:m[3]]}
		for i, w := range words {
			if end := starts[i] + len(w.Text); starts[i] < m[3] && end > m[2] {
				cell.Box = cell.Box.Union(w.Box)
				cell.Words++
			}
		}
		if len(found) > 0 && found[0].Text != cell.Text {
			return nil, twice(pattern, found[0].Text, cell.Text)
		}
		found = append(found, cell)
	}
	return found, nil
}

// spaced quotes the words of a pattern for a regular expression, any space between.
func spaced(text string) string {
	fields := strings.Fields(text)
	for i, f := range fields {
		fields[i] = regexp.QuoteMeta(f)
	}
	return strings.Join(fields, `\s+`)
}

// onLine is how far, in heights of a word, the middle of the next word may lie below
// it on one line.
const onLine = 0.3

// readingOrder sorts upright words into lines, top to bottom, each from left to right.
func readingOrder(all []extract.Word) []extract.Word {
	var words []extract.Word
	for _, w := range all {
		if w.Turn == 0 {
			words = append(words, w)
		}
	}
	slices.SortStableFunc(words, func(a, b extract.Word) int { return cmp.Compare(a.Box.MidY(), b.Box.MidY()) })
	var out []extract.Word
	for i := 0; i < len(words); {
		j := i + 1
		for j < len(words) && words[j].Box.MidY()-words[j-1].Box.MidY() < onLine*words[j-1].Box.Height() {
			j++
		}
		line := words[i:j]
		slices.SortStableFunc(line, func(a, b extract.Word) int { return cmp.Compare(a.Box.X0, b.Box.X0) })
		out = append(out, line...)
		i = j
	}
	return out
}
