package validate

import (
	"strings"
	"testing"

	"windtally/normalize/numeral"
)

// Slips of the catalogue (TRADE.md 5.2, from memory) on figures of published lessons and
// reports: 0.589 for 0.598 (5.1, VERIFIED there), .0039 for .0059, 5.62 for 3.62 (S1).
func TestProposals(t *testing.T) {
	for _, c := range []struct {
		printed         string
		expected, bound float64
		want            string
	}{
		{"0.589", 0.5985, 0.001, "0.598 (two figures exchanged), 0.599 (8 for 9)"},
		{".0039", 0.0059, 0.0001, ".0059 (3 for 5)"},
		{"5.62", 3.6, 0.1, "3.62 (5 for 3)"},
		{"5.62", 0.56, 0.01, ".562 (point moved or lost)"},
		{".168", -0.168, 0.0005, "-.168 (sign lost)"},
		{"-.0201", 0.02003, 0.0004, ".0201 (a sign too many)"},
		{"1.429", 0.1428, 0.0003, ".1429 (point moved or lost)"},
		{".841", 0.994, 0.002, ""}, // the row above again: no slip of one figure
	} {
		n, err := numeral.Parse(c.printed)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, p := range proposals(n, c.printed, c.expected, c.bound) {
			got = append(got, p.Text+" ("+p.Slip+")")
		}
		if s := strings.Join(got, ", "); s != c.want {
			t.Errorf("%s for %v: %q, want %q", c.printed, c.expected, s, c.want)
		}
	}
}
