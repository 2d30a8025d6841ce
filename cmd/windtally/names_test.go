package main

import (
	"slices"
	"testing"

	"windtally/extract"
	"windtally/extract/scan/sorts"
)

func TestWhyShapesTookNoName(t *testing.T) {
	named := []sorts.Named{{Name: "1"}, {Name: ""}}
	of := func(of int, like float64) sorts.Group { return sorts.Group{Size: 9, Of: of, Like: like} }
	const (
		fount = "no shape of this table is that of a picture named before: its type is another one, and its pictures are named for themselves"
		one   = "1 shape is like pictures of two names: look whether one of the two is named wrongly, and name its own picture, or write ? where nobody can tell"
		two   = "2 shapes are like pictures of two names each: look whether one of the two is named wrongly, and name their own pictures, or write ? where nobody can tell"
	)
	for name, tc := range map[string]struct {
		groups []sorts.Group
		names  []sorts.Named
		want   []string
	}{
		"nothing is named yet":  {[]sorts.Group{of(-1, 0.99)}, named[1:], nil},
		"all took names":        {[]sorts.Group{of(0, 0.99), of(1, 0.99)}, named, nil},
		"a new shape":           {[]sorts.Group{of(0, 0.99), of(-1, 0.9)}, named, nil},
		"between two names":     {[]sorts.Group{of(0, 0.99), of(-1, 0.98)}, named, []string{one}},
		"two between two names": {[]sorts.Group{of(0, 0.99), of(-1, 0.98), of(-1, 0.97)}, named, []string{two}},
		"a few glyphs":          {[]sorts.Group{of(0, 0.99), {Size: 2, Of: -1, Like: 0.99}}, named, nil},
		"another fount":         {[]sorts.Group{of(-1, 0.98), of(-1, 0.8)}, named, []string{fount}},
		"no shape":              {nil, named, nil},
	} {
		if got := besides(tc.groups, tc.names); !slices.Equal(got, tc.want) {
			t.Errorf("%s: %q, want %q", name, got, tc.want)
		}
	}
}

// A reading is bound to the pictures that lent it a name, "?" among them, and to no other.
func TestUsedNames(t *testing.T) {
	var names []sorts.Named
	for i, name := range []string{"8", "3", "?", "", "1"} {
		names = append(names, sorts.Named{Picture: sorts.Picture{W: 1, H: 1, Pix: []uint8{uint8(i)}}, Name: name, By: "ab"})
	}
	groups := []sorts.Group{{Of: 2, By: "person"}, {Of: 1, By: "person", Name: "3"}, {Of: 1, By: "person", Name: "3"}, {Of: 3}, {Of: -1, Name: "4", By: "votes"}, {Of: 0, By: "person", Name: "8"}}
	// Of 8, 3 and ?: printf '1 1\n\0' | sha256sum, and \1 and \2.
	want := []extract.PictureName{{Picture: "166910952edf", Name: "?"}, {Picture: "90613cab2b0a", Name: "8"}, {Picture: "f03f5fa081e0", Name: "3"}}
	if got := usedNames(groups, names); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Without words nothing vanishes that the reading before it told with their help.
func TestNotesCarried(t *testing.T) {
	table := &extract.Table{ID: "t00000001", Columns: []extract.Column{{Key: "a", X: []float64{0, 9}}}}
	lost := extract.Note{Kind: extract.Geometry, Text: "page 1: a row may be lost"}
	unread := extract.Note{Kind: extract.WordsUnread, Text: "not read"}
	read := func(reader, geometry string, notes ...extract.Note) *extract.Reading {
		return &extract.Reading{Meta: extract.ReadingMeta{Reader: reader, Geometry: geometry, Notes: notes}}
	}
	now := table.Geometry("sorts")
	for name, tc := range map[string]struct {
		old  *extract.Reading
		want []extract.Note
	}{
		"the table as it was":          {read("sorts", now, unread, lost), []extract.Note{unread, lost}},
		"columns that stand elsewhere": {read("sorts", "other", lost), []extract.Note{unread}},
		"the reading that stays":       {read("ocr", now, lost), []extract.Note{unread}},
	} {
		s := &extract.Study{Readings: map[string][]*extract.Reading{table.ID: {tc.old}}}
		if got := carried(s, table, []extract.Note{unread}); !slices.Equal(got, tc.want) {
			t.Errorf("%s: %v, want %v", name, got, tc.want)
		}
	}
}
