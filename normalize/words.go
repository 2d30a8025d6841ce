package normalize

import (
	"regexp"
	"regexp/syntax"
	"strings"
	"unicode"
)

// A pattern is a regular expression with a cheap first test, which most texts fail:
// each match has in it all the literals of one of the needs. The needs are worked out
// from the expression itself, so that no match is lost.
type pattern struct {
	*regexp.Regexp
	needs [][]string // in the form of fold; nil where anything may match
}

func patternOf(expression string) pattern {
	tree, err := syntax.Parse(expression, syntax.Perl)
	if err != nil {
		return pattern{Regexp: regexp.MustCompile(expression)} // which says the same
	}
	return pattern{regexp.MustCompile(expression), needsOf(tree)}
}

// may reports whether a text, in the form of fold, may have a match.
func (p *pattern) may(folded string) bool {
	if p.needs == nil {
		return true
	}
	for _, all := range p.needs {
		if hasAll(folded, all) {
			return true
		}
	}
	return false
}

// find is FindStringSubmatch behind the first test.
func (p *pattern) find(text, folded string) []string {
	if !p.may(folded) {
		return nil
	}
	return p.FindStringSubmatch(text)
}

// matches is MatchString behind the first test.
func (p *pattern) matches(text, folded string) bool { return p.may(folded) && p.MatchString(text) }

func hasAll(folded string, literals []string) bool {
	for _, l := range literals {
		if !strings.Contains(folded, l) {
			return false
		}
	}
	return true
}

// needsOf returns alternatives, of which each match has all the literals of one, the
// longest first; nil where nothing is sure.
func needsOf(re *syntax.Regexp) [][]string {
	switch re.Op {
	case syntax.OpLiteral:
		return [][]string{{fold(string(re.Rune))}}
	case syntax.OpCharClass:
		var any [][]string
		for i := 0; i < len(re.Rune); i += 2 {
			if re.Rune[i+1]-re.Rune[i] > 3 || len(any) > 3 {
				return nil
			}
			for r := re.Rune[i]; r <= re.Rune[i+1]; r++ {
				any = append(any, []string{fold(string(r))})
			}
		}
		return any
	case syntax.OpCapture, syntax.OpPlus:
		return needsOf(re.Sub[0])
	case syntax.OpRepeat:
		if re.Min > 0 {
			return needsOf(re.Sub[0])
		}
	case syntax.OpAlternate:
		var any [][]string
		for _, sub := range re.Sub {
			needs := needsOf(sub)
			if needs == nil {
				return nil
			}
			any = append(any, needs...)
		}
		return any
	case syntax.OpConcat:
		var best [][]string
		var sure []string // literals that are in each match
		for _, sub := range re.Sub {
			switch needs := needsOf(sub); {
			case needs == nil:
			case len(needs) == 1:
				sure = append(sure, needs[0]...)
			case best == nil || shortest(needs) > shortest(best):
				best = needs
			}
		}
		if best == nil && sure == nil {
			return nil
		}
		if best == nil {
			best = [][]string{nil}
		}
		var any [][]string
		for _, all := range best {
			any = append(any, longestFirst(append(sure[:len(sure):len(sure)], all...)))
		}
		return any
	}
	return nil
}

func shortest(needs [][]string) int {
	n := len(needs[0][0])
	for _, all := range needs {
		n = min(n, len(all[0]))
	}
	return n
}

func longestFirst(literals []string) []string {
	for i, l := range literals {
		if len(l) > len(literals[0]) {
			literals[0], literals[i] = l, literals[0]
		}
	}
	return literals
}

// fold brings letters that a regular expression takes for the same whatever their
// case to one of them.
func fold(text string) string {
	for i := 0; i < len(text); i++ {
		if text[i] >= 0x80 {
			return strings.Map(foldRune, text)
		}
	}
	return strings.ToUpper(text)
}

func foldRune(r rune) rune {
	least := r
	for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
		least = min(least, f)
	}
	return least
}

// A lexicon tells which of many patterns may match a text in one walk over it. It is
// never changed.
type lexicon struct {
	size   int
	always []int
	by     [256][]trigger // by the first byte
}

type trigger struct {
	literals []string // all needed; the walk meets the first
	pattern  int
}

func lexiconOf(patterns []pattern) *lexicon {
	l := &lexicon{size: len(patterns)}
	for i := range patterns {
		if patterns[i].needs == nil {
			l.always = append(l.always, i)
		}
		for _, all := range patterns[i].needs {
			l.by[all[0][0]] = append(l.by[all[0][0]], trigger{all, i})
		}
	}
	return l
}

// may tells for each pattern whether it may match a text in the form of fold; nil
// where none may.
func (l *lexicon) may(folded string) []bool {
	var is []bool
	mark := func(i int) {
		if is == nil {
			is = make([]bool, l.size)
		}
		is[i] = true
	}
	for _, i := range l.always {
		mark(i)
	}
	for at := 0; at < len(folded); at++ {
		for k := range l.by[folded[at]] {
			t := &l.by[folded[at]][k]
			if strings.HasPrefix(folded[at:], t.literals[0]) && (is == nil || !is[t.pattern]) && hasAll(folded, t.literals[1:]) {
				mark(t.pattern)
			}
		}
	}
	return is
}
