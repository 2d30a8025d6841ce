package normalize

import (
	"maps"
	"math/rand/v2"
	"regexp/syntax"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// allPatterns are the patterns that stand behind a first test, by what they look for.
func allPatterns() map[string]pattern {
	list := map[string]pattern{
		"together": together, "degrees behind": degreesBehind, "degrees before": degreesBefore, "degrees many": degreesMany, "metric hp": metricBehind,
		"factor times": factorTimes, "factor first": factorFirst, "factor under": factorUnder, "factor alone": factorAlone, "factor in a word": factorInWord, "factor behind": factorBehind,
		"hundred": hundredSymbol, "absolute": absoluteSymbol, "k": kSymbol, "engineer": engineerSymbol,
	}
	for _, p := range phrases {
		list[p.field+" "+p.as+" "+p.String()] = p.pattern
	}
	return list
}

// What a pattern matches passes its first test. The texts are made from the
// expression itself, by chance and in letters of any case.
func TestTheFirstTestLosesNoMatch(t *testing.T) {
	chance := rand.New(rand.NewPCG(4, 1))
	patterns := allPatterns()
	for _, name := range slices.Sorted(maps.Keys(patterns)) {
		p := patterns[name]
		tree, err := syntax.Parse(p.String(), syntax.Perl)
		if err != nil {
			t.Fatal(err)
		}
		matched, folds := 0, 0
		for range 400 {
			var b strings.Builder
			write(&b, tree, chance)
			for _, text := range []string{b.String(), "The " + b.String() + " of it", "(" + b.String() + ") 3"} {
				if !p.MatchString(text) {
					continue
				}
				matched++
				if fold(text) != text {
					folds++
				}
				if !p.may(fold(text)) {
					t.Fatalf("%s matches %q, and its first test, %q, does not pass it", name, text, p.needs)
				}
			}
		}
		if matched < 20 || folds == 0 {
			t.Errorf("%s: %d texts made of it match, %d of them with small letters; too few to try its first test", name, matched, folds)
		}
	}
}

// Every phrase has a first test, or most texts are read by all of them.
func TestEveryPatternHasAFirstTest(t *testing.T) {
	for name, p := range allPatterns() {
		if p.needs == nil {
			t.Errorf("%s has no first test", name)
		}
	}
	if p := patternOf(`\d+|x`); p.needs != nil || !p.may("7") {
		t.Errorf("a figure has no letters, and the first test is %q", p.needs)
	}
	p := patternOf(`(?i)gear\s+(?:up|do?wn)`)
	if !p.may(fold("Gear dwn")) || p.may(fold("Gear in")) || p.may("UP") {
		t.Errorf("the first test of gear up or down is %q", p.needs)
	}
}

// The lexicon finds what each pattern finds alone.
func TestLexicon(t *testing.T) {
	for _, text := range []string{"Flaps down 40 deg.", "M.P.H. AND \u212AIAS", "C_m about the c.g.", "δf = 30°", "", "Höchstgeſchwindigkeit", "Take-off rating, nose-heavy moments positive", "\xff test \xfe"} {
		folded := fold(text)
		may := phraseLexicon.may(folded)
		for i := range phrases {
			if got, want := may != nil && may[i], phrases[i].may(folded); got != want {
				t.Errorf("%q and %s: %v, alone %v", text, phrases[i].Regexp, got, want)
			}
			if phrases[i].MatchString(text) && !(may != nil && may[i]) {
				t.Errorf("%q is lost on %s", text, phrases[i].Regexp)
			}
		}
	}
	if phraseLexicon.may(fold("7 15")) != nil {
		t.Error("figures are taken for words")
	}
}

// write writes a text that a part of an expression may match.
func write(b *strings.Builder, re *syntax.Regexp, chance *rand.Rand) {
	repeat := func(least, most int) {
		for range least + chance.IntN(most-least+1) {
			write(b, re.Sub[0], chance)
		}
	}
	switch re.Op {
	case syntax.OpLiteral:
		for _, r := range re.Rune {
			if re.Flags&syntax.FoldCase != 0 {
				for range chance.IntN(4) {
					r = unicode.SimpleFold(r)
				}
			}
			b.WriteRune(r)
		}
	case syntax.OpCharClass:
		i := 2 * chance.IntN(len(re.Rune)/2)
		span := min(int(re.Rune[i+1]-re.Rune[i]), 90)
		b.WriteRune(re.Rune[i] + rune(chance.IntN(span+1)))
	case syntax.OpAnyChar, syntax.OpAnyCharNotNL:
		b.WriteByte('z')
	case syntax.OpCapture:
		write(b, re.Sub[0], chance)
	case syntax.OpStar:
		repeat(0, 2)
	case syntax.OpPlus:
		repeat(1, 2)
	case syntax.OpQuest:
		repeat(0, 1)
	case syntax.OpRepeat:
		most := re.Max
		if most < 0 {
			most = re.Min + 2
		}
		repeat(re.Min, most)
	case syntax.OpConcat:
		for _, sub := range re.Sub {
			write(b, sub, chance)
		}
	case syntax.OpAlternate:
		write(b, re.Sub[chance.IntN(len(re.Sub))], chance)
	}
}
