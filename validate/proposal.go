package validate

import (
	"math"
	"slices"
	"strings"

	"windtally/normalize/numeral"
)

// Proposal is a numeral that a slip could have made of what was read. It is shown,
// never applied.
type Proposal struct {
	Text string // as it would be printed
	Slip string // what would have happened
}

// mostProposals is how many are shown of one cell.
const mostProposals = 3

// alike are figures that readers and typists take for each other, most alike first
// (TRADE.md 5.2, from memory).
var alike = map[byte]string{'0': "68", '1': "74", '2': "73", '3': "852", '4': "19", '5': "362", '6': "850", '7': "12", '8': "3609", '9': "48"}

// proposals are the numerals nearest to what is expected, within the bound, that one
// slip could have turned into the printed text: likely slips before unlikely ones.
func proposals(n numeral.Numeral, text string, expected, bound float64) []Proposal {
	type scored struct {
		Proposal
		cost, off float64
	}
	var list []scored
	have := map[string]bool{text: true}
	try := func(t, slip string, cost float64) {
		if have[t] {
			return
		}
		have[t] = true
		m, err := numeral.Parse(t)
		if err != nil || !m.Finite || m.Decimals != n.Decimals && !strings.HasPrefix(slip, "point") {
			return
		}
		if off := math.Abs(m.Float64() - expected); off <= bound {
			list = append(list, scored{Proposal{t, slip}, cost, off / bound})
		}
	}
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	for i := range len(text) {
		if !digit(text[i]) {
			continue
		}
		for to := byte('0'); to <= '9'; to++ {
			if to != text[i] {
				cost := 2.0
				if k := strings.IndexByte(alike[text[i]], to); k >= 0 {
					cost = 1 + 0.1*float64(k)
				}
				try(text[:i]+string(to)+text[i+1:], string(text[i])+" for "+string(to), cost)
			}
		}
		j := i + 1
		if j < len(text) && text[j] == '.' {
			j++
		}
		if j < len(text) && digit(text[j]) {
			b := []byte(text)
			b[i], b[j] = b[j], b[i]
			try(string(b), "two figures exchanged", 1.2)
		}
	}
	sign := strings.TrimLeft(text, "+-−–")
	if sign == text {
		try("-"+text, "sign lost", 1)
	} else {
		try(sign, "a sign too many", 1.5)
	}
	bare := strings.Replace(sign, ".", "", 1)
	lead := text[:len(text)-len(sign)]
	for k := 0; k <= len(bare); k++ {
		try(lead+bare[:k]+"."+bare[k:], "point moved or lost", 1.3)
	}
	for k := 1; k <= 2; k++ {
		try(lead+"."+strings.Repeat("0", k)+bare, "point moved or lost", 1.4)
	}
	slices.SortStableFunc(list, func(a, b scored) int {
		switch x, y := a.cost+a.off, b.cost+b.off; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return strings.Compare(a.Text, b.Text)
	})
	var out []Proposal
	for _, s := range list[:min(len(list), mostProposals)] {
		out = append(out, s.Proposal)
	}
	return out
}
