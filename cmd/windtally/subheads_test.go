package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// Each line is a sub-head; after it stands what the rows under it take, and what is
// told of it.
func TestSubHeads(t *testing.T) {
	for name, tc := range map[string]struct {
		columns map[string]string // key -> words
		lines   []string
	}{
		"one figure": {map[string]string{"d": "deflection, *"}, []string{
			"Flap deflection, 20 deg. | d=20",
			"Flap deflection, 40 deg. | d=40",
		}},
		"two figures in one head": {map[string]string{"d": "deflection, * deg.", "re": "R.N., *"}, []string{
			"Flap deflection, 20 deg.; R.N., 3,000,000 | d=20 re=3,000,000",
			"Flap deflection, 40 deg.; R.N., 3,500,000 | d=40 re=3,500,000",
		}},
		"a head that lost one of them holds nothing over": {map[string]string{"d": "deflection, * deg.", "re": "R.N., *"}, []string{
			"Flap deflection, 20 deg.; R.N., 3,000,000 | d=20 re=3,000,000",
			`Flap deflection, 40 deg.; R. N., 3,500,000 | d=40 re= | the sub-head "Flap deflection, 40 deg.; R. N., 3,500,000" says nothing of re, which the like sub-head before it did`,
		}},
		"a ruined head ends the block": {map[string]string{"d": "deflection, * deg."}, []string{
			"Flap deflection, 20 deg. | d=20",
			`Flap deflec1ion, 40 deg. | d= | no column takes up the sub-head "Flap deflec1ion, 40 deg."`,
		}},
		"a remark without figures does not": {map[string]string{"d": "deflection, * deg."}, []string{
			"Flap deflection, 20 deg. | d=20",
			`(Continued) | d=20 | no column takes up the sub-head "(Continued)"`,
		}},
		"two levels": {map[string]string{"wing": "*", "d": "Flap *"}, []string{
			"Wing A | d= wing=Wing A",
			"Flap 20 | d=20 wing=Wing A",
			"Flap 40 | d=40 wing=Wing A",
			"Wing B | d= wing=Wing B",
			"Flap 20 | d=20 wing=Wing B",
		}},
		"a whole line": {map[string]string{"block": "*"}, []string{
			"Flap up | block=Flap up",
			"Flap down 30 | block=Flap down 30",
		}},
	} {
		h := &subHeads{}
		for _, key := range slices.Sorted(maps.Keys(tc.columns)) {
			h.add(key, tc.columns[key])
		}
		for _, line := range tc.lines {
			parts := strings.Split(line, " | ")
			said, err := h.take(parts[0], extract.Place{Page: 1})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, b := range h.blocks {
				got = append(got, fmt.Sprintf("%s=%s", b.key, b.cell.Text))
			}
			want := ""
			if len(parts) > 2 {
				want = parts[2]
			}
			if strings.Join(got, " ") != parts[1] || said != want {
				t.Errorf("%s: after %q the rows take %q, told %q; want %q, %q", name, parts[0], strings.Join(got, " "), said, parts[1], want)
			}
		}
	}
}
