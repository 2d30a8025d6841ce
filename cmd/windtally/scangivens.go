package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/transcribe"
)

// governing carries the figures of sub-heads on page images into the rows under them,
// as each of the two readers has them.
type governing struct {
	heads  *subHeads
	result *transcribe.Result
	read   map[string][2]extract.Cell // by key of the column: sorts, ocr
}

// subHead takes one sub-head of the k-th part and returns what must be told of it.
func (g *governing) subHead(t *extract.Table, page int, part transcribe.Part, k int, head *layout.Line) ([]extract.Note, error) {
	words := part.Page.Within(head.Box)
	line := textOf(words)
	if len(words) == 0 {
		line = head.Text
	}
	place := extract.Place{Page: page, Box: part.Page.Sheet.SeenOfFlat(head.Box).Rounded()}
	said, err := g.heads.note(t, line, place)
	if err != nil {
		return nil, err
	}
	for _, b := range g.heads.blocks {
		if b.cell.Text == "" || b.cell.Place != place {
			continue
		}
		switch {
		case len(words) == 0:
			g.both(b, "a sub-head governs its block, and no character recognition is installed that reads its words")
		case b.wholeLine() && strings.ContainsFunc(line, unicode.IsLetter):
			g.both(b, "a sub-head governs its block, and its words are read by character recognition alone")
		default:
			f := g.result.Figure(k, words, b.cell.Text)
			g.read[b.key] = [2]extract.Cell{wordCell(f.Sorts, extract.Place{Page: page, Box: f.Place}), wordCell(f.OCR, extract.Place{Page: page, Box: f.Place})}
		}
	}
	return said, nil
}

// both gives the two readers of a block the text of its sub-head with a doubt.
func (g *governing) both(b *block, doubt string) {
	c := b.cell
	c.Doubt, c.Confidence = doubt, 0
	g.read[b.key] = [2]extract.Cell{c, c}
}

// cells are those of a row under the sub-heads so far.
func (g *governing) cells(b *block) (sorts, ocr extract.Cell) {
	if c, ok := g.read[b.key]; ok && b.cell.Text != "" {
		return c[0], c[1]
	}
	c := b.cell
	c.Doubt = "no sub-head over the row states it"
	return c, c
}

func textOf(words []transcribe.Prose) string {
	var out []string
	for _, w := range words {
		out = append(out, w.Text)
	}
	return strings.Join(out, " ")
}

// readGivens finds the figures outside the grid by the words beside them, as in a text
// layer, and has the two readers read them.
func (s *scannedTable) readGivens(t *extract.Table, parts []transcribe.Part, res *transcribe.Result) error {
	if !s.Engine {
		for _, g := range t.Givens {
			s.Notes = append(s.Notes, extract.Note{Kind: extract.GivenLost, Text: fmt.Sprintf("given %s: no character recognition is installed, and nothing else finds words on page images", g.Key)})
		}
		return nil
	}
	page := map[int]extract.Page{}
	partOf := map[int]int{}
	for k, part := range parts {
		n := t.Regions[k].Page
		if _, ok := partOf[n]; !ok {
			page[n], partOf[n] = part.Page.Text(), k
		}
	}
	found, lost, err := readGivens(t, page, func(r extract.Region) extract.Rect {
		return parts[partOf[r.Page]].Page.Sheet.FlatOfSeen(r.Rect())
	})
	if err != nil {
		return err
	}
	s.Notes = append(s.Notes, lost...)
	for _, c := range found {
		k := partOf[c.Place.Page]
		f := res.Given(k, grid.Cell{Text: c.Text, Box: c.Place.Box})
		for _, rd := range []struct {
			to   *[]extract.Cell
			word transcribe.Word
		}{{&s.SortsGivens, f.Sorts}, {&s.OCRGivens, f.OCR}} {
			cell := wordCell(rd.word, extract.Place{Page: c.Place.Page, Box: f.Place})
			cell.Column = c.Column
			*rd.to = append(*rd.to, cell)
		}
	}
	return nil
}

// qualifiers are words that take something from the figures beside them.
var qualifiers = regexp.MustCompile(`(?i)\b(?:estimat\w*|est\.|approx\w*|interpolat\w*|extrapolat\w*|assumed|uncertain|doubtful|provisional|preliminary|faired)`)

// qualified tells of words in caption, sub-heads and notes of a table that qualify its
// figures; they are the engine's alone.
func qualified(page int, part transcribe.Part) []extract.Note {
	var out []extract.Note
	tell := func(where string, l layout.Line) {
		text := textOf(part.Page.Within(l.Box))
		if word := qualifiers.FindString(text); word != "" {
			n := extract.Note{Kind: extract.Qualified, Text: fmt.Sprintf("page %d: %s has the word %q: %q", page, where, word, text)}
			if !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	tell("the caption", part.Table.Caption)
	for _, h := range part.Table.Heads {
		tell("a head", h)
	}
	for _, row := range part.Table.Rows {
		if row.SubHead != nil {
			tell("a sub-head", *row.SubHead)
		}
	}
	for _, n := range part.Table.Notes {
		tell("a note under the table", n)
	}
	return out
}

// withNotes adds to the doubt of a cell that bears a raised mark what the notes under
// the table say: its own note where it is tied to one, else all of them.
func withNotes(doubt string, part transcribe.Part, cell layout.Cell) string {
	if !strings.Contains(doubt, "raised mark") {
		return doubt
	}
	tied := cell.Noted
	if len(tied) == 0 {
		for i := range part.Table.Notes {
			tied = append(tied, i)
		}
	}
	var said []string
	for _, i := range tied {
		if text := textOf(part.Page.Within(part.Table.Notes[i].Box)); text != "" {
			said = append(said, fmt.Sprintf("%q", text))
		}
	}
	switch {
	case len(said) == 0:
		return doubt
	case len(cell.Noted) > 0:
		return doubt + "; its note says " + strings.Join(said, ", ")
	}
	return doubt + "; the notes under the table say " + strings.Join(said, ", ")
}
