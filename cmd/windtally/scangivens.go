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
	engine bool
	read   map[string][2]extract.Cell // by key of the column: sorts, ocr
	doubt  map[string]string          // by key of the column: why it may not hold here
	nth    int                        // sub-heads so far
}

// subHead takes one sub-head of the k-th part and returns what must be told of it.
func (g *governing) subHead(t *extract.Table, page int, part transcribe.Part, k int, head *layout.Line) ([]extract.Note, error) {
	g.nth++
	words := part.Page.Within(head.Box)
	place := extract.Place{Page: page, Box: part.Page.Sheet.SeenOfFlat(head.Box).Rounded()}
	if len(words) == 0 {
		return g.unread(place), nil
	}
	line := transcribe.Said(words)
	said, err := g.heads.note(t, line, place)
	if err != nil {
		return nil, err
	}
	for _, b := range g.takenFrom(line, place) {
		if b.wholeLine() && strings.ContainsFunc(line, unicode.IsLetter) {
			c := b.cell
			c.Doubt, c.Confidence = "a sub-head governs its block, and its words are read by character recognition alone", 0
			g.read[b.key] = [2]extract.Cell{c, c}
			continue
		}
		f := g.result.Figure(k, words, b.cell.Text)
		g.read[b.key] = [2]extract.Cell{wordCell(f.Sorts, extract.Place{Page: page, Box: f.Place}), wordCell(f.OCR, extract.Place{Page: page, Box: f.Place})}
	}
	return said, nil
}

// takenFrom returns the blocks that the sub-head at a place states. Where it states no
// figure at all it may be one that was misread, so that those still in force are doubted.
func (g *governing) takenFrom(line string, place extract.Place) (stated []*block) {
	figure := false
	for _, b := range g.heads.blocks {
		if b.cell.Text != "" && b.cell.Place == place {
			stated = append(stated, b)
			delete(g.doubt, b.key)
			figure = figure || !b.wholeLine()
		}
	}
	for _, b := range g.heads.blocks {
		if !figure && !b.wholeLine() && b.cell.Text != "" {
			g.doubt[b.key] = fmt.Sprintf("the sub-head %q, over the row, says nothing of it or was misread", line)
		}
	}
	return stated
}

// unread takes a sub-head of which no word is known: nothing is in force under it.
func (g *governing) unread(place extract.Place) []extract.Note {
	why := "no character recognition was used"
	if g.engine {
		why = "character recognition saw none"
	}
	whole := false
	for _, b := range g.heads.blocks {
		whole = whole || b.wholeLine()
		b.cell = extract.Cell{Place: place, Confidence: -1}
		g.doubt[b.key] = "the words of the sub-head over the row were not read: " + why
	}
	if whole {
		return nil // its cells wait for a person, who gives them the line
	}
	return []extract.Note{{Kind: extract.SubHead, Text: fmt.Sprintf("page %d: the words of sub-head %d of the table were not read: %s", place.Page, g.nth, why)}}
}

// cells are those of a row under the sub-heads so far.
func (g *governing) cells(b *block) (sorts, ocr extract.Cell) {
	doubt := g.doubt[b.key]
	if b.cell.Text == "" {
		c := b.cell
		if c.Doubt = doubt; doubt == "" {
			c.Doubt = "no sub-head over the row states it"
		}
		return c, c
	}
	c := g.read[b.key]
	if doubt != "" {
		for i := range c {
			c[i].Confidence = 0
			if c[i].Doubt != "" {
				c[i].Doubt += "; "
			}
			c[i].Doubt += doubt
		}
	}
	return c[0], c[1]
}

// readGivens finds the figures outside the grid by the words beside them, as in a text
// layer, and has the two readers read them.
func (s *scannedTable) readGivens(t *extract.Table, parts []transcribe.Part, res *transcribe.Result) error {
	if !s.Engine {
		for _, g := range t.Givens {
			s.Notes = append(s.Notes, extract.Note{Kind: extract.GivenLost, Text: fmt.Sprintf("given %s: no character recognition was used, and nothing else finds words on page images", g.Key)})
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
	s.Said = append(s.Said, lost...)
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
		text := transcribe.Said(part.Page.Within(l.Box))
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
		if text := transcribe.Said(part.Page.Within(part.Table.Notes[i].Box)); text != "" {
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
