package extract

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestParsePages(t *testing.T) {
	for _, c := range []struct {
		text string
		want []int
	}{
		{"7", []int{7}},
		{"12-14,20", []int{12, 13, 14, 20}},
		{" 20 , 12 - 14 ", []int{12, 13, 14, 20}},
		{"3,3,2-3", []int{2, 3}},
		{"5000", []int{5000}},
	} {
		got, err := ParsePages(c.text)
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("ParsePages(%q) = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"", `pages "": "" is not a page or a range; write pages as in 12-14,20`},
		{"12,,14", `pages "12,,14": "" is not a page or a range; write pages as in 12-14,20`},
		{"-5", `pages "-5": "-5" is not a page or a range; write pages as in 12-14,20`},
		{"5-", `pages "5-": "5-" is not a page or a range; write pages as in 12-14,20`},
		{"1-2-3", `pages "1-2-3": "1-2-3" is not a page or a range; write pages as in 12-14,20`},
		{"+5", `pages "+5": "+5" is not a page or a range; write pages as in 12-14,20`},
		{"1.5", `pages "1.5": "1.5" is not a page or a range; write pages as in 12-14,20`},
		{"xii", `pages "xii": "xii" is not a page or a range; write pages as in 12-14,20`},
		{"99999999999999999999", `pages "99999999999999999999": "99999999999999999999" is not a page or a range; write pages as in 12-14,20`},
		{"0", `pages "0": "0" runs outside 1 to 5000 or backwards`},
		{"14-12", `pages "14-12": "14-12" runs outside 1 to 5000 or backwards`},
		{"12-14000", `pages "12-14000": "12-14000" runs outside 1 to 5000 or backwards`},
	} {
		got, err := ParsePages(c.text)
		if err == nil || err.Error() != c.want {
			t.Errorf("ParsePages(%q) = %v, %v; want the error %s", c.text, got, err, c.want)
		}
	}
}

func TestFormatPages(t *testing.T) {
	for _, c := range []struct {
		pages []int
		want  string
	}{
		{nil, ""}, {[]int{3}, "3"}, {[]int{3, 4}, "3-4"}, {[]int{1, 3, 4, 5, 9}, "1,3-5,9"},
	} {
		if got := FormatPages(c.pages); got != c.want {
			t.Errorf("FormatPages(%v) = %q, want %q", c.pages, got, c.want)
		}
	}
}

func TestPagesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pages := rapid.SliceOfNDistinct(rapid.OneOf(rapid.IntRange(1, 12), rapid.IntRange(1, maxPage)), 1, 30, rapid.ID[int]).Draw(t, "pages")
		slices.Sort(pages)
		text := FormatPages(pages)
		got, err := ParsePages(text)
		if err != nil || !slices.Equal(got, pages) {
			t.Fatalf("%v is written %q and read back as %v, %v", pages, text, got, err)
		}
		if again := FormatPages(got); again != text {
			t.Fatalf("%q is written back as %q", text, again)
		}
	})
}
