package grid

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"windtally/extract"
)

// Given finds a figure that stands in running text on a page: in a caption, a
// sub-head or a footnote. The pattern is the words around it with * for the
// figure, for example "Reynolds number, approximately *". Case and spaces do not
// matter; the figure ends where the next word of the pattern begins, and without
// one after the first word that has a figure in it. ok is false where the words
// are not on the page. Where they stand twice the first from the top is taken.
func Given(p extract.Page, pattern string) (cell Cell, ok bool, err error) {
	before, after, starred := strings.Cut(pattern, "*")
	if !starred || strings.Contains(after, "*") || strings.TrimSpace(before)+strings.TrimSpace(after) == "" {
		return Cell{}, false, fmt.Errorf("words: %q; write the words that stand beside the figure, with one * for the figure itself", pattern)
	}
	words := readingOrder(p)
	var text strings.Builder
	var starts []int
	for _, w := range words {
		starts = append(starts, text.Len())
		text.WriteString(w.Text)
		text.WriteByte(' ')
	}
	figure := `(\S*[0-9]\S*?)`
	if strings.TrimSpace(after) != "" {
		figure = `(\S(?:.{0,40}?\S)?)`
	}
	expression := `(?i)` + spaced(before)
	if before == "" || strings.HasSuffix(before, " ") {
		expression += `\s*`
	}
	expression += figure
	if strings.TrimSpace(after) == "" {
		expression += `[,;:.)\]]*\s`
	} else {
		expression += `\s*` + spaced(strings.TrimSpace(after))
	}
	re, err := regexp.Compile(expression)
	if err != nil {
		return Cell{}, false, fmt.Errorf("words: %q: %v", pattern, err)
	}
	m := re.FindStringSubmatchIndex(text.String())
	if m == nil {
		return Cell{}, false, nil
	}
	cell.Text = text.String()[m[2]:m[3]]
	for i, w := range words {
		if end := starts[i] + len(w.Text); starts[i] < m[3] && end > m[2] {
			cell.Box = cell.Box.Union(w.Box)
			cell.Words++
		}
	}
	return cell, true, nil
}

// spaced quotes the words of a pattern for a regular expression, any space between.
func spaced(text string) string {
	fields := strings.Fields(text)
	for i, f := range fields {
		fields[i] = regexp.QuoteMeta(f)
	}
	return strings.Join(fields, `\s+`)
}

// readingOrder sorts the upright words of a page into lines, top to bottom, each
// from left to right. Words are on one line when their middles lie within half a
// height of each other.
func readingOrder(p extract.Page) []extract.Word {
	var words []extract.Word
	for _, w := range p.Words {
		if w.Turn == 0 {
			words = append(words, w)
		}
	}
	slices.SortStableFunc(words, func(a, b extract.Word) int { return cmpFloat(a.Box.MidY(), b.Box.MidY()) })
	var out []extract.Word
	for i := 0; i < len(words); {
		j := i + 1
		for j < len(words) && words[j].Box.MidY()-words[j-1].Box.MidY() < 0.3*words[j-1].Box.Height() {
			j++
		}
		line := words[i:j]
		slices.SortStableFunc(line, func(a, b extract.Word) int { return cmpFloat(a.Box.X0, b.Box.X0) })
		out = append(out, line...)
		i = j
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
