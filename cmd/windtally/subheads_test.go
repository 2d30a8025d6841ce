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

// On page images each line is a sub-head as the engine reads it ("" where it sees no
// word); after it stands what the rows under it take, and what is doubted.
func TestSubHeadsOfPageImages(t *testing.T) {
	const gone = "the words of the sub-head over the row were not read: character recognition saw none"
	misread := func(line string) string {
		return fmt.Sprintf("the sub-head %q, over the row, says nothing of it or was misread", line)
	}
	for name, tc := range map[string]struct {
		columns map[string]string
		lines   [][]string // head, then for each column text and doubt
		notes   []string
	}{
		"misread, nothing like a figure in it": {map[string]string{"d": "deflection, *"}, [][]string{
			{"Flap deflection, 20", "20", ""},
			{"F1ap def1ection, ZO", "", "no sub-head over the row states it"},
		}, []string{`page 1: no column takes up the sub-head "F1ap def1ection, ZO"`}},
		"misread without a figure, until it is restated": {map[string]string{"d": "deflection, *"}, [][]string{
			{"Flap deflection, 20", "20", ""},
			{"Flap dellection, ZO", "20", misread("Flap dellection, ZO")},
			{"Flap deflection, 60", "60", ""},
		}, []string{`page 1: no column takes up the sub-head "Flap dellection, ZO"`}},
		"misread, and the column of whole lines takes it": {map[string]string{"d": "Flap *", "wing": "*"}, [][]string{
			{"Flap 20", "20", "", "", "no sub-head over the row states it"},
			{"Hap 40", "20", misread("Hap 40"), "Hap 40", ""},
			{"Flap 60", "60", "", "", "no sub-head over the row states it"},
		}, nil},
		"two levels of figures": {map[string]string{"d": "Flap *", "re": "R.N. *"}, [][]string{
			{"R.N. 3000000", "", "no sub-head over the row states it", "3000000", ""},
			{"Flap 20", "20", "", "3000000", ""},
			{"Flap 40", "40", "", "3000000", ""},
			{"(Continued)", "40", misread("(Continued)"), "3000000", misread("(Continued)")},
			{"Flap 60", "60", "", "3000000", misread("(Continued)")},
		}, []string{`page 1: no column takes up the sub-head "(Continued)"`}},
		"words not seen": {map[string]string{"d": "Flap *"}, [][]string{
			{"Flap 20", "20", ""},
			{"", "", gone},
			{"Flap 60", "60", ""},
		}, []string{"page 1: the words of sub-head 2 of the table were not read: character recognition saw none"}},
		"words not seen, of a column of whole lines": {map[string]string{"wing": "*"}, [][]string{
			{"Wing A", "Wing A", ""},
			{"", "", gone},
		}, nil},
	} {
		g := &governing{heads: &subHeads{}, engine: true, read: map[string][2]extract.Cell{}, doubt: map[string]string{}}
		for _, key := range slices.Sorted(maps.Keys(tc.columns)) {
			g.heads.add(key, tc.columns[key])
		}
		var notes []string
		for i, line := range tc.lines {
			place := extract.Place{Page: 1, Box: extract.Rect{Y0: float64(i), X1: 9, Y1: float64(i) + 1}}
			g.nth++
			var said []extract.Note
			if line[0] == "" {
				said = g.unread(place)
			} else {
				var err error
				if said, err = g.heads.note(&extract.Table{Name: "t"}, line[0], place); err != nil {
					t.Fatal(err)
				}
				for _, b := range g.takenFrom(line[0], place) {
					g.read[b.key] = [2]extract.Cell{b.cell, b.cell}
				}
			}
			for _, n := range said {
				if n.Kind != extract.SubHead {
					t.Errorf("%s: %+v", name, n)
				}
				notes = append(notes, n.Text)
			}
			var got []string
			for _, b := range g.heads.blocks {
				sorts, ocr := g.cells(b)
				if ocr.Text != sorts.Text || ocr.Doubt != sorts.Doubt {
					t.Errorf("%s: sorts has %+v and ocr %+v", name, sorts, ocr)
				}
				got = append(got, sorts.Text, sorts.Doubt)
			}
			if !slices.Equal(got, line[1:]) {
				t.Errorf("%s: under %q the rows take %q, want %q", name, line[0], got, line[1:])
			}
		}
		if !slices.Equal(notes, tc.notes) {
			t.Errorf("%s: told %q, want %q", name, notes, tc.notes)
		}
	}
}
