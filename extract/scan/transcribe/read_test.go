package transcribe

import (
	"strings"
	"testing"
)

// TestDistrust: of a table of which most is doubted nothing is vouched for; words and
// blank cells do not count.
func TestDistrust(t *testing.T) {
	table := func(clear, doubted int) []Cell {
		var out []Cell
		for range clear {
			out = append(out, Cell{Sorts: Word{Text: "1.5"}, OCR: Word{Text: "1.5"}})
		}
		for range doubted {
			out = append(out, Cell{Sorts: Word{Text: "1.5", Doubt: "a doubt"}, OCR: Word{Text: "1.5"}})
		}
		return append(out, Cell{Blank: true}, Cell{Letters: true, OCR: Word{Text: "do."}})
	}
	for _, c := range []struct {
		clear, doubted, accepted int
		doubt                    string
	}{
		{10, 2, 10, ""},
		{10, 10, 10, ""},
		{10, 11, 0, "of the table's 21 figures 10 alone are clear"},
		{0, 30, 0, ""},
		{2, 5, 2, ""}, // too few to tell
	} {
		cells := table(c.clear, c.doubted)
		distrust(cells)
		accepted := 0
		for _, k := range cells {
			if _, ok, _ := k.Settle(); ok && !k.Blank && !k.Letters {
				accepted++
			}
		}
		doubt := ""
		if strings.HasPrefix(cells[0].Sorts.Doubt, "of the") {
			doubt = cells[0].Sorts.Doubt
		}
		if accepted != c.accepted || doubt != c.doubt {
			t.Errorf("%d clear and %d doubted: %d accepted, doubt %q; want %d and %q", c.clear, c.doubted, accepted, doubt, c.accepted, c.doubt)
		}
		if _, ok, _ := cells[len(cells)-1].Settle(); !ok {
			t.Errorf("%d clear and %d doubted: a word is doubted with the figures", c.clear, c.doubted)
		}
	}
}
