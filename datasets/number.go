package datasets

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Number is a decimal exactly as published: plain ("0.30", "-12.5"), with its
// trailing zeros, and never with an exponent. The empty Number is a missing one;
// zero is "0", "0.0" and so on.
type Number string

// maxNumber is the longest text of a Number. 64 characters hold every printed
// figure with room to spare, and keep a hostile file from costing time.
const maxNumber = 64

// Integer returns n as a Number.
func Integer(n int) Number { return Number(strconv.Itoa(n)) }

// Valid returns an error that says what is wrong where n is neither empty nor a
// plain decimal in its one canonical form.
func (n Number) Valid() error {
	s := string(n)
	switch {
	case s == "":
		return nil
	case len(s) > maxNumber:
		return fmt.Errorf("%q... is %d characters long, a number has at most %d", s[:20], len(s), maxNumber)
	case strings.ContainsAny(s, "eE") && isFloat(s):
		return fmt.Errorf("%q has an exponent, a number is a plain decimal such as 0.0012", s)
	case strings.HasPrefix(s, "+"):
		return fmt.Errorf("%q has a plus sign, a number has a sign only where it is negative", s)
	case strings.Contains(s, ",") && !strings.Contains(s, "."):
		return fmt.Errorf("%q has a comma, a number has a point before its decimals", s)
	}
	digits := strings.TrimPrefix(s, "-")
	whole, frac, point := strings.Cut(digits, ".")
	switch {
	case !allDigits(whole) && whole != "" || !allDigits(frac) && frac != "" || whole == "" && frac == "":
		return fmt.Errorf("%q is not a number, a number is a plain decimal such as -12.50", s)
	case whole == "":
		return fmt.Errorf("%q has no digit before its point, it would be right as %q", s, strings.Replace(s, ".", "0.", 1))
	case point && frac == "":
		return fmt.Errorf("%q ends in a point, it would be right as %q", s, strings.TrimSuffix(s, "."))
	case len(whole) > 1 && whole[0] == '0':
		return fmt.Errorf("%q has a leading zero", s)
	case digits != s && strings.Trim(digits, "0.") == "":
		return fmt.Errorf("%q is a negative zero, it would be right as %q", s, digits)
	}
	return nil
}

// Float64 returns the nearest float64, and false where n is missing or not valid.
func (n Number) Float64() (float64, bool) {
	if n == "" || n.Valid() != nil {
		return 0, false
	}
	f, err := strconv.ParseFloat(string(n), 64)
	if err != nil || math.IsInf(f, 0) {
		return 0, false
	}
	return f, true
}

// Rat returns the exact value, and false where n is missing or not valid.
func (n Number) Rat() (*big.Rat, bool) {
	if n == "" || n.Valid() != nil {
		return nil, false
	}
	return new(big.Rat).SetString(string(n))
}

// MarshalJSON writes the literal itself, so that trailing zeros are kept, or
// null where the number is missing.
func (n Number) MarshalJSON() ([]byte, error) {
	if err := n.Valid(); err != nil {
		return nil, err
	}
	if n == "" {
		return []byte("null"), nil
	}
	return []byte(n), nil
}

// UnmarshalJSON takes a number literal or null, and refuses what Valid refuses.
func (n *Number) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = ""
		return nil
	}
	var j json.Number
	if len(b) > 0 && b[0] == '"' {
		return fmt.Errorf("%s is a string, a number is a literal without quotes, or null", b)
	}
	if err := json.Unmarshal(b, &j); err != nil {
		return fmt.Errorf("%s is not a number: %w", b, err)
	}
	if err := Number(j).Valid(); err != nil {
		return err
	}
	*n = Number(j)
	return nil
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

func isFloat(s string) bool {
	_, err := strconv.ParseFloat(s, 64)
	return err == nil || strings.Contains(err.Error(), strconv.ErrRange.Error())
}
