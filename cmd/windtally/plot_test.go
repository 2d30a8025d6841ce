package main

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// plotOfCurve reads a plot as an XML document with the standard library's reader and
// holds what is in it against what the test's data say:
// plot-of-curve FILE POINTS SUSPECTS [NAME...].
func plotOfCurve(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 {
		ts.Fatalf("usage: plot-of-curve FILE POINTS SUSPECTS [NAME...]")
	}
	text := ts.ReadFile(args[0])
	classes := map[string]int{}
	var names []string
	depth, inName, width, height := 0, false, 0.0, 0.0
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		ts.Check(err)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			ts.Fatalf("%s: the number %q", args[0], s)
		}
		return v
	}
	dec := xml.NewDecoder(strings.NewReader(text))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		ts.Check(err)
		switch tok := tok.(type) {
		case xml.StartElement:
			at := map[string]string{}
			for _, a := range tok.Attr {
				at[a.Name.Local] = a.Value
			}
			depth++
			if depth == 1 {
				if tok.Name.Local != "svg" || tok.Name.Space != "http://www.w3.org/2000/svg" {
					ts.Fatalf("%s: begins with %v", args[0], tok.Name)
				}
				width, height = number(at["width"]), number(at["height"])
				if width != 800 {
					ts.Fatalf("%s is %v wide, want 800", args[0], width)
				}
			}
			for c := range strings.FieldsSeq(at["class"]) {
				classes[c]++
			}
			inName = at["class"] == "name"
			if tok.Name.Local == "text" && at["transform"] == "" {
				if x, y := number(at["x"]), number(at["y"]); x < 0 || x > width || y < 10 || y > height {
					ts.Fatalf("%s: a text at %v %v is outside the plot of %v x %v", args[0], x, y, width, height)
				}
			}
		case xml.CharData:
			if inName {
				names = append(names, string(tok))
				inName = false
			}
		case xml.EndElement:
			depth--
		}
	}
	if got, want := classes["point"], int(number(args[1])); got != want {
		ts.Fatalf("%s: %d points, want %d", args[0], got, want)
	}
	if got, want := classes["bar"], 2*int(number(args[1]))+1; got != want { // one in the legend
		ts.Fatalf("%s: %d bars, want %d", args[0], got, want)
	}
	suspects := 0
	for _, kind := range []string{"blocking", "doubt"} {
		suspects += len(regexp.MustCompile(`class="point `+kind+`"`).FindAllString(text, -1))
	}
	if want := int(number(args[2])); suspects != want {
		ts.Fatalf("%s: %d suspects, want %d", args[0], suspects, want)
	}
	slices.Sort(names)
	if !slices.Equal(names, args[3:]) && len(names)+len(args[3:]) > 0 {
		ts.Fatalf("%s: suspects named %q, want %q", args[0], names, args[3:])
	}
}

func TestFolded(t *testing.T) {
	if got := folded("", 12, 20); len(got) != 0 {
		t.Errorf("nothing folds to %q", got)
	}
	long := strings.Repeat("W", 300)
	got := folded("a "+long+" b", 12, 20)
	if strings.ReplaceAll(strings.Join(got, ""), " ", "") != "a"+long+"b" {
		t.Errorf("a long word folds to %q", got)
	}
	for _, l := range got {
		if widthOf(l, 12) > 756 {
			t.Errorf("%q is wider than a line", l)
		}
	}
}

// The ticks are round numbers within the axis, as a person would choose them.
func TestAxis(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		count     int
		want      string
	}{
		{-4.6, 20.6, 14, "−4 −2 0 2 4 6 8 10 12 14 16 18 20"},
		{0, 0.226, 8, "0.00 0.05 0.10 0.15 0.20"},
		{-0.2, 1.45, 8, "0.0 0.5 1.0"},
		{0.9, 0.9, 4, "0.85 0.90 0.95"},
		{0, 1300, 8, "0 200 400 600 800 1000 1200"},
	} {
		a := newAxis(c.low, c.high, 0, 100, c.count)
		var got []string
		for _, v := range a.ticks() {
			got = append(got, a.label(v))
			if at := a.at(v); at < -1e-6 || at > 100+1e-6 {
				t.Errorf("%v to %v: a tick at %v", c.low, c.high, at)
			}
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v to %v: ticks %s, want %s", c.low, c.high, strings.Join(got, " "), c.want)
		}
	}
}
