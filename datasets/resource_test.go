package datasets

import (
	"slices"
	"testing"
)

// Every column says what it is, and every number its unit, save those whose unit
// stands in the row, is the page's own, or is the check's.
func TestEveryColumnIsDescribed(t *testing.T) {
	kinds := []string{"id", "text", "print", "list", "number", "integer", "boolean", "datetime", "digest", "uri", "unit"}
	unitElsewhere := map[string][]string{
		"values":          {"value", "half_width", "accuracy", "x0", "y0", "x1", "y1"},
		"limits":          {"value", "half_width"},
		"characteristics": {"value", "half_width"},
		"derived":         {"value", "half_width", "accuracy"},
		"tolerances":      {"value"},
	}
	if n := len(resources()); n != 16 {
		t.Errorf("%d resources", n)
	}
	for _, r := range resources() {
		names := make(map[string]bool)
		for _, c := range r.columns {
			where := r.name + "." + c.name
			if c.name == "" || names[c.name] {
				t.Errorf("%s: no name or one that is there twice", where)
			}
			names[c.name] = true
			if !slices.Contains(kinds, c.kind) {
				t.Errorf("%s: type %q", where, c.kind)
			}
			if c.doc == "" {
				t.Errorf("%s: says nothing of itself", where)
			}
			if c.change.rank() < 1 {
				t.Errorf("%s: change %q", where, c.change)
			}
			if c.ref != "" && resourceNamed(c.ref) == nil {
				t.Errorf("%s: points to %q", where, c.ref)
			}
			if elsewhere := slices.Contains(unitElsewhere[r.name], c.name); c.kind == "number" && (c.unit == "") != elsewhere {
				t.Errorf("%s: unit %q", where, c.unit)
			}
		}
		for _, m := range r.measured {
			if m.quantity[0] == "" {
				t.Errorf("%s.%s: no quantity", r.name, r.columns[m.value].name)
			}
		}
	}
}

func TestPlainNumeral(t *testing.T) {
	for _, c := range []struct {
		text     string
		number   Number
		decimals int
		ok       bool
	}{
		{".30", "0.30", 2, true},
		{"0.30*", "0.30", 2, true},
		{"−.014", "-0.014", 3, true},
		{"—4", "-4", 0, true},
		{"0·50", "0.50", 2, true},
		{"15.", "15", 0, true},
		{"-.000", "0.000", 3, true},
		{"1,234,567", "1234567", 0, true},
		{"8\u2009000\u202f000", "8000000", 0, true},
		{"8 000 000", "", 0, false},
		{"12,34", "", 0, false},
		{"1234,567", "", 0, false},
		{"5½", "", 0, false},
		{"5 1/2", "", 0, false},
		{"30°", "", 0, false},
		{"1.2x10^3", "", 0, false},
		{"45%", "", 0, false},
		{`"`, "", 0, false},
		{"-", "", 0, false},
		{"", "", 0, false},
		{"l.5", "", 0, false},
	} {
		number, decimals, ok := plainNumeral(c.text)
		if number != c.number || decimals != c.decimals || ok != c.ok {
			t.Errorf("%q: got %q, %d, %v", c.text, number, decimals, ok)
		}
	}
}

func TestPrintedTextThatBeginsWithASign(t *testing.T) {
	c := column{kind: "print"}
	for _, text := range []string{"-.12", "-0.12*", "--.983", "+0.5", "-", "--", "---", "-½", "-⅝", "-5½", "-5 1/2", "-1/4", "-1.2x10^-3", "-1.2×10⁻³", "-1.2E-03", "-10°30'", "-0.50b", "-45%", "−4"} {
		if why := c.wrong(text); why != "" {
			t.Errorf("%q: %s", text, why)
		}
	}
	for _, text := range []string{"-1+1", "-A1", "-2-3", "+SUM(A1)", "-1|x", "=1", "@a", "-1*2", "+", "-1/2/2031x", "-1;2"} {
		if c.wrong(text) == "" {
			t.Errorf("%q is taken", text)
		}
	}
}
