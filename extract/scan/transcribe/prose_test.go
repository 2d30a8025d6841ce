package transcribe

import (
	"testing"

	"windtally/extract"
	"windtally/extract/scan"
)

// What is understood of a number in running text, and what is left to a person.
func TestNumberForm(t *testing.T) {
	for text, want := range map[string]bool{
		"0": true, "45": true, "-10": true, "0.25": true, ".25": true, "-.5": true, "8,000,000": true, "1,250.5": true,
		"": false, ".": false, "45.": false, "+5": false, "±5": false, "5½": false, "1/2": false, "3.4x10": false, "106°": false,
		"8,00": false, "1.234.000": false, "1,2345": false, "5-10": false, "5to10": false, "1O": false, "$5": false, "35ft.6in.": false,
	} {
		if got := numberForm.MatchString(text); got != want {
			t.Errorf("%q: understood is %t, want %t", text, got, want)
		}
	}
}

// Words behind a number that may belong to it.
func TestGoesOn(t *testing.T) {
	for _, c := range []struct {
		next, third string
		want        bool
	}{
		{"x", "10°", true}, {"K", "106", true}, {"million", "", true}, {"milllon", "", true}, {"mi1lion", "", true}, {"thousand", "", true},
		{"½", "", true}, {"1/2", "", true}, {"%", "", true}, {"-", "5", true}, {"±", "0.1", true}, {".5", "", true},
		{"feet", "", false}, {"°", "at", false}, {"(mean)", "", false}, {"in", "all", false}, {"pounds", "10", false}, {"miles", "per", false},
	} {
		if got := goesOn(c.next, c.third); got != c.want {
			t.Errorf("%q %q: may go on is %t, want %t", c.next, c.third, got, c.want)
		}
	}
}

// Words of several lines come line by line, each from left to right, whatever the
// order in which the engine gave them.
func TestWithin(t *testing.T) {
	at := func(x, y float64, text string) Prose {
		return Prose{Text: text, Box: extract.Rect{X0: x, Y0: y, X1: x + 40, Y1: y + 20}}
	}
	p := &Page{Sheet: &scan.Sheet{W: 1000, H: 1000, Unit: 1}, Prose: []Prose{at(100, 40, "c"), at(200, 12, "b"), at(100, 10, "a"), at(900, 10, "far")}}
	got := ""
	for _, w := range p.Within(extract.Rect{X0: 50, Y0: 0, X1: 400, Y1: 100}) {
		got += w.Text
	}
	if got != "abc" {
		t.Errorf("words come as %q, want %q", got, "abc")
	}
}
