package grid

import (
	"regexp"
	"strings"
	"unicode"
)

// kind says what a word looks like.
type kind int

const (
	text   kind = iota
	figure      // digits, or what a bad text layer makes of digits
	leader      // a run of dots or dashes that leads the eye to a figure
	mark        // a speck: punctuation alone
)

// speck reports whether a word is a single stroke, which a text layer makes of
// dirt and of the rules between columns.
func speck(s string) bool {
	r := []rune(s)
	return len(r) == 0 || len(r) <= 2 && strings.Trim(s, "Iil|J!1'`,.·•:;_-–—\"“”‘’/\\[](){}f¬^~") == "" && !wellFormedOne(r)
}

// wellFormedOne keeps the figures 1 and 11 from being taken for strokes.
func wellFormedOne(r []rune) bool {
	for _, c := range r {
		if c == '1' {
			return true
		}
	}
	return false
}

const (
	dots   = ".·•…_‥"
	dashes = "-–—−~="
)

// classify returns what a word looks like, and its text without a dotted leader
// at its end. A leader before a figure stays: where it ends and a decimal point
// begins cannot be told.
func classify(s string) (kind, string) {
	runes := []rune(s)
	nd, nh, other := 0, 0, 0
	for _, r := range runes {
		switch {
		case strings.ContainsRune(dots, r):
			nd++
		case strings.ContainsRune(dashes, r):
			nh++
		case strings.ContainsRune(",:;'` \"", r):
			// crumbs that recognition strews into a leader
		default:
			other++
		}
	}
	if other == 0 {
		// "--." is the sign and the point of a figure that the layer broke
		if (nd >= 3 || nh >= 4) && nd+nh >= (len(runes)+1)/2 || strings.ContainsRune(s, '…') {
			return leader, s
		}
		return mark, s
	}
	stem := strings.TrimRightFunc(s, func(r rune) bool { return strings.ContainsRune(dots, r) })
	if n := len(runes) - len([]rune(stem)); n < 3 && !strings.HasSuffix(s, "…") {
		stem = s
	}
	if looksFigure(stem) {
		return figure, stem
	}
	return text, stem
}

// looksFigure reports whether a word was probably printed as a figure, also where
// a text layer has ruined it.
func looksFigure(s string) bool {
	digits, alike, punct, letters := 0, 0, 0, 0
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9', strings.ContainsRune("½¼¾⅛⅜⅝⅞²³¹", r):
			digits++
		case strings.ContainsRune("IlOoSZBLT|!i", r):
			alike++
		case unicode.IsLetter(r):
			letters++
		default:
			punct++
		}
	}
	n := digits + alike + letters
	switch {
	case n == 0:
		return false
	case digits == 0:
		// "I." and "O" stand for 1. and 0 in figures, and for words in prose
		return letters == 0 && (n == 1 || punct > 0 && n <= 3)
	}
	return letters <= (digits+alike+punct)/3 && letters <= 3
}

// strict is a well-formed printed figure, with signs in all their glyphs,
// thousands separators, and a footnote mark.
var strict = regexp.MustCompile(`^[-–—−+±]{0,2}\(?([0-9]{1,3}(,[0-9]{3})+|[0-9]*)(\.[0-9]*)?\)?[*†‡%°]?$`)

func wellFormed(s string) bool {
	return strict.MatchString(s) && strings.ContainsAny(s, "0123456789")
}
