package normalize

import (
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

// TestPrintedDigitsComeBack: a printed figure that went to any other unit of its
// dimension, and was rounded there as it is published, gives the printed digits when
// it goes back to its own unit, for 100,000 random numerals. The exact value comes
// back as the exact rational, with no power of pi left over.
func TestPrintedDigitsComeBack(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	all := unit.All()
	same := map[unit.Dimension][]unit.Unit{}
	for _, u := range all {
		same[u.Dim] = append(same[u.Dim], u)
	}
	const cases = 100_000
	far, offset, turned := 0, 0, 0
	for range cases {
		// The digits as they are written, and the print of them: thousands may be parted,
		// a zero before the point left out, the minus sign another.
		digits := make([]byte, 1+r.IntN(7))
		for i := range digits {
			digits[i] = byte('0' + r.IntN(10))
		}
		places := r.IntN(5)
		for len(digits) <= places {
			digits = append([]byte{'0'}, digits...)
		}
		whole := strings.TrimLeft(string(digits[:len(digits)-places]), "0")
		part := string(digits[len(digits)-places:])
		print, want := whole, whole
		if want == "" {
			want = "0"
		}
		if len(whole) > 3 && r.IntN(2) == 0 {
			print = ""
			for i, d := range whole {
				if i > 0 && (len(whole)-i)%3 == 0 {
					print += ","
				}
				print += string(d)
			}
		}
		if places > 0 {
			print, want = print+"."+part, want+"."+part
		}
		if whole == "" && (places == 0 || r.IntN(2) == 0) {
			print = "0" + print
		}
		if strings.Trim(want, "0.") != "" && r.IntN(3) == 0 {
			print, want = []string{"-", "−", "–"}[r.IntN(3)]+print, "-"+want
		}
		n, err := numeral.Parse(print)
		if err != nil || n.Kind != numeral.Number || n.Decimals != places {
			t.Fatalf("%q: %v, %d digits after the point", print, err, n.Decimals)
		}
		from := all[r.IntN(len(all))]
		to := same[from.Dim][r.IntN(len(same[from.Dim]))]
		value, err := unit.Convert(n.Rat(), from, to)
		if err != nil {
			t.Fatal(err)
		}
		half, err := unit.Width(new(big.Rat).Mul(n.Step(), big.NewRat(1, 2)), from, to)
		if err != nil {
			t.Fatal(err)
		}
		published := Published(value.Approx(), half.Approx(), from.UCUM == to.UCUM, n)
		back, err := unit.Convert(published.Rat(), to, from)
		if err != nil {
			t.Fatal(err)
		}
		if got := numeral.RoundTo(back.Approx(), places).String(); got != want {
			t.Fatalf("%q %s is published as %s %s, and read back as %s, want %s", print, from.UCUM, published, to.UCUM, got, want)
		}
		exact, err := unit.Convert(value.Rat, to, from)
		if err != nil || exact.Rat.Cmp(n.Rat()) != 0 || n.Rat().Sign() != 0 && value.Pi+exact.Pi != 0 {
			t.Fatalf("%q %s -> %s pi^%d %s -> %s pi^%d, %v", print, from.UCUM, value.Rat, value.Pi, to.UCUM, exact.Rat, exact.Pi, err)
		}
		if from.UCUM != to.UCUM {
			far++
		}
		if from.Offset != nil || to.Offset != nil {
			offset++
		}
		if value.Pi != 0 {
			turned++
		}
	}
	if far < 50_000 || offset < 1_000 || turned < 1_000 {
		t.Errorf("of %d numerals %d went to another unit, %d to or from a scale with an offset, %d through pi", cases, far, offset, turned)
	}
}
