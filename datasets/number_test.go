package datasets

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestNumber(t *testing.T) {
	for _, text := range []string{"", "0", "0.0", "0.30", "-12.5", "8000000", "-0.01", "3"} {
		if err := Number(text).Valid(); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	for text, want := range map[string]string{
		"1e5":                   `"1e5" has an exponent, a number is a plain decimal such as 0.0012`,
		"1E999":                 `"1E999" has an exponent, a number is a plain decimal such as 0.0012`,
		"+1":                    `"+1" has a plus sign, a number has a sign only where it is negative`,
		"1,5":                   `"1,5" has a comma, a number has a point before its decimals`,
		".30":                   `".30" has no digit before its point, it would be right as "0.30"`,
		"-.30":                  `"-.30" has no digit before its point, it would be right as "-0.30"`,
		"15.":                   `"15." ends in a point, it would be right as "15"`,
		"007":                   `"007" has a leading zero`,
		"-0":                    `"-0" is a negative zero, it would be right as "0"`,
		"-0.00":                 `"-0.00" is a negative zero, it would be right as "0.00"`,
		"NaN":                   `"NaN" is not a number, a number is a plain decimal such as -12.50`,
		"Inf":                   `"Inf" is not a number, a number is a plain decimal such as -12.50`,
		"0x1p4":                 `"0x1p4" is not a number, a number is a plain decimal such as -12.50`,
		"1_000":                 `"1_000" is not a number, a number is a plain decimal such as -12.50`,
		"−1":                    `"−1" is not a number, a number is a plain decimal such as -12.50`,
		"-":                     `"-" is not a number, a number is a plain decimal such as -12.50`,
		".":                     `"." is not a number, a number is a plain decimal such as -12.50`,
		"1.2.3":                 `"1.2.3" is not a number, a number is a plain decimal such as -12.50`,
		" 1":                    `" 1" is not a number, a number is a plain decimal such as -12.50`,
		"٣":                     `"٣" is not a number, a number is a plain decimal such as -12.50`,
		strings.Repeat("7", 65): `"77777777777777777777"... is 65 characters long, a number has at most 64`,
	} {
		if err := Number(text).Valid(); err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

func TestNumberFloat64(t *testing.T) {
	for _, c := range []struct {
		number Number
		want   float64
		ok     bool
	}{{"0.30", 0.3, true}, {"-12.5", -12.5, true}, {"0", 0, true}, {"", 0, false}, {"1e5", 0, false}, {"NaN", 0, false}} {
		if got, ok := c.number.Float64(); got != c.want || ok != c.ok {
			t.Errorf("%q: got %v, %v", c.number, got, ok)
		}
	}
}

func TestNumberJSON(t *testing.T) {
	var got struct{ A, B, C Number }
	if err := json.Unmarshal([]byte(`{"A": 0.30, "B": null, "C": -12}`), &got); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(got)
	if err != nil || string(text) != `{"A":0.30,"B":null,"C":-12}` {
		t.Errorf("got %s, %v", text, err)
	}
	for text, want := range map[string]string{
		`{"A": "0.30"}`: `"0.30" is a string, a number is a literal without quotes, or null`,
		`{"A": 3e1}`:    `"3e1" has an exponent, a number is a plain decimal such as 0.0012`,
		`{"A": true}`:   "true is not a number: json: cannot unmarshal bool into Go value of type json.Number",
	} {
		if err := json.Unmarshal([]byte(text), &got); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", text, err, want)
		}
	}
	if _, err := json.Marshal(Number("1e5")); err == nil || !strings.HasSuffix(err.Error(), `"1e5" has an exponent, a number is a plain decimal such as 0.0012`) {
		t.Errorf("an exponent: got %v", err)
	}
}
