package pdf

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	ledongthuc "github.com/ledongthuc/pdf"

	"windtally/extract"
)

// SelfCheck says how far two independent libraries agree on the text of a page.
// Both read the same text layer, so agreement is no second witness of the print;
// it only shows that no text was lost or garbled on the way out of the file.
type SelfCheck struct {
	Page   int
	Agreed int            // words that both readers see
	First  []extract.Word // words that only the main reader sees
	Second []string       // words that only the second reader sees
	// Note says why the comparison could not be made; then the rest is empty.
	Note string
}

// SelfCheck reads the text of one page, counted from 1, with a second library
// (github.com/ledongthuc/pdf) in a child process of its own, and compares. It is
// meant for files that were born digital. The second reader knows upright text
// only and no forms within the page; where it fails, the note says so. An error
// means that the main reader failed.
func (r Reader) SelfCheck(ctx context.Context, file string, page int) (SelfCheck, error) {
	check := SelfCheck{Page: page}
	pages, err := r.Pages(ctx, file, []int{page})
	if err != nil {
		return check, err
	}
	var glyphs []glyph
	_, err = r.call(ctx, file, request{Op: opGlyphs, Pages: []int{page}}, func(kind byte, payload []byte) error {
		if kind == frameGlyphs {
			return json.Unmarshal(payload, &glyphs)
		}
		return nil
	})
	var e *extract.Error
	switch {
	case ctx.Err() != nil:
		return check, err
	case errors.As(err, &e):
		check.Note = "the second reader failed: " + e.Msg
		return check, nil
	case err != nil:
		return check, err
	}
	if len(pages[0].Words) > 0 && len(glyphs) == 0 {
		check.Note = "the second reader finds no text on this page"
		return check, nil
	}
	check.compare(pages[0].Words, spell(glyphs))
	return check, nil
}

// compare matches the words of both readers by their text alone: the second
// reader does not always know where a word stands.
func (s *SelfCheck) compare(first []extract.Word, second []string) {
	left := make(map[string]int)
	// One sign may have two code points, of which a library chooses one.
	sign := strings.NewReplacer("\u2212", "-", "\u2010", "-", "\u2011", "-")
	for i, w := range second {
		second[i] = sign.Replace(w)
		left[second[i]]++
	}
	for _, w := range first {
		if key := sign.Replace(w.Text); left[key] > 0 {
			left[key]--
			s.Agreed++
		} else {
			s.First = append(s.First, w)
		}
	}
	for _, w := range second {
		if left[w] > 0 {
			left[w]--
			s.Second = append(s.Second, w)
		}
	}
}

// glyph is a piece of text as the second reader gives it: place of its origin in
// points, width (0 where the file does not state it), size.
type glyph struct {
	S          string
	X, Y, W, M float64
}

// answerGlyphs is the second reader's part of the worker.
func answerGlyphs(req request, file []byte, out *bufio.Writer) error {
	if len(req.Pages) != 1 {
		return fmt.Errorf("worker: request: %d pages, want 1", len(req.Pages))
	}
	n := req.Pages[0]
	doc, err := ledongthuc.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return &extract.Error{Page: n, Msg: err.Error()}
	}
	if count := doc.NumPage(); n > count {
		return &extract.Error{Page: n, Msg: fmt.Sprintf("there is no such page: the second reader sees %d", count)}
	}
	p := doc.Page(n)
	if p.V.IsNull() {
		return &extract.Error{Page: n, Msg: "the page cannot be found"}
	}
	var glyphs []glyph
	for _, t := range p.Content().Text {
		glyphs = append(glyphs, glyph{S: strings.ToValidUTF8(t.S, "\uFFFD"), X: finite(t.X), Y: finite(t.Y), W: finite(t.W), M: finite(t.FontSize)})
	}
	return writeJSON(out, frameGlyphs, glyphs)
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// spell joins glyphs into words: at spaces, gaps, steps back and new lines.
func spell(glyphs []glyph) []string {
	var out []string
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out = append(out, word.String())
		}
		word.Reset()
	}
	var last glyph
	for _, g := range glyphs {
		gap := g.X - last.X - last.W
		m := math.Min(math.Abs(g.M), math.Abs(last.M))
		if math.Abs(g.Y-last.Y) > math.Max(leastStep, baseStep*m) || gap > wordGap*m || gap < -backStep*m {
			flush()
		}
		last = g
		for _, c := range g.S {
			text, space := printed(c, false, false)
			if space {
				flush()
				continue
			}
			word.WriteString(text)
		}
	}
	flush()
	return out
}
