package main

import (
	"fmt"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/extract/grid"
)

// subHeads carries what sub-heads say into the rows under them. A column whose
// words are "*" takes the whole line of a sub-head that no other column knows;
// the others take the figure beside their words.
type subHeads struct {
	blocks []*block
	// levels are the sets of columns that one sub-head stated, in order of first
	// appearance: a head of an earlier level ends the blocks of the later ones.
	levels [][]string
}

// block is a column whose text stands in the sub-heads.
type block struct {
	key, words string
	cell       extract.Cell
}

func (b *block) wholeLine() bool { return strings.TrimSpace(b.words) == "*" }

func (b *block) blank() { b.cell = extract.Cell{Confidence: -1} }

func (h *subHeads) add(key, words string) {
	b := &block{key: key, words: words}
	b.blank()
	h.blocks = append(h.blocks, b)
}

// note takes one sub-head of the table and returns the note on it, if any.
func (h *subHeads) note(t *extract.Table, line string, place extract.Place) ([]extract.Note, error) {
	said, err := h.take(line, place)
	switch {
	case err != nil:
		return nil, &extract.Error{File: "tables/" + t.Name + ".yaml", Page: place.Page, Table: t.Name, Msg: err.Error()}
	case said == "":
		return nil, nil
	}
	return []extract.Note{{Kind: extract.SubHead, Text: fmt.Sprintf("page %d: %s", place.Page, said)}}, nil
}

// take reads one sub-head and returns what must be told of it, or "".
func (h *subHeads) take(line string, place extract.Place) (said string, err error) {
	var stated []string
	for _, b := range h.blocks {
		if b.wholeLine() {
			continue
		}
		text, ok, err := grid.Captured(line, b.words)
		if err != nil {
			return "", err
		}
		if ok {
			stated = append(stated, b.key)
			b.cell = extract.Cell{Text: text, Place: place, Confidence: -1}
		}
	}
	if len(stated) == 0 {
		for _, b := range h.blocks {
			if b.wholeLine() {
				stated = append(stated, b.key)
				b.cell = extract.Cell{Text: line, Place: place, Confidence: -1}
			}
		}
	}
	if len(stated) == 0 {
		if strings.ContainsAny(line, "0123456789") {
			// It gives figures that nobody understood: the blocks above end here.
			for _, b := range h.blocks {
				b.blank()
			}
		}
		return fmt.Sprintf("no column takes up the sub-head %q", line), nil
	}
	return h.level(line, stated), nil
}

// level ends the blocks of lower heads, and tells of a head that says less than the
// like head before it, whose other figures would be held over.
func (h *subHeads) level(line string, stated []string) (said string) {
	at := slices.IndexFunc(h.levels, func(l []string) bool { return slices.Equal(l, stated) })
	if at < 0 {
		for i, l := range h.levels {
			if within(stated, l) || within(l, stated) {
				at = i
				break
			}
		}
		if at < 0 {
			h.levels = append(h.levels, stated)
			return ""
		}
	}
	var ended []string
	for below, l := range h.levels[at:] {
		for _, b := range h.blocks {
			if !slices.Contains(l, b.key) || slices.Contains(stated, b.key) {
				continue
			}
			b.blank()
			if below == 0 {
				ended = append(ended, b.key)
			}
		}
	}
	if len(stated) > len(h.levels[at]) {
		h.levels[at] = stated
	}
	if len(ended) == 0 {
		return ""
	}
	return fmt.Sprintf("the sub-head %q says nothing of %s, which the like sub-head before it did", line, strings.Join(ended, " and "))
}

// within reports whether every key of a is in b.
func within(a, b []string) bool {
	return !slices.ContainsFunc(a, func(k string) bool { return !slices.Contains(b, k) })
}
