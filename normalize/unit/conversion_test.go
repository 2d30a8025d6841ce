package unit

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestConversionIsConvert: what is worked out once gives what Convert gives, for
// every two units of one dimension.
func TestConversionIsConvert(t *testing.T) {
	all := All()
	r := rand.New(rand.NewPCG(6, 4))
	coefs := []int64{0, 1, -1, 5, 10, 64, 100, math.MaxInt64, math.MinInt64, math.MinInt64 + 1}
	for _, from := range all {
		for _, to := range all {
			c, err := NewConversion(from, to)
			if from.Dim != to.Dim {
				if err == nil {
					t.Errorf("%s is converted to %s", from.UCUM, to.UCUM)
				}
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			for i := range 60 {
				scale := r.IntN(12)
				if i%20 == 19 {
					scale = 15 + r.IntN(20)
				}
				coef := r.Int64N(2_000_001) - 1_000_000
				if i < len(coefs) {
					coef = coefs[i]
				}
				v := new(big.Rat).SetFrac(big.NewInt(coef), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale)), nil))
				e, err := Convert(v, from, to)
				if err != nil {
					t.Fatal(err)
				}
				want := e.Approx()
				if got := c.Value(v); got.Cmp(want) != 0 {
					t.Fatalf("%d e-%d %s = %s %s, want %s", coef, scale, from.UCUM, got, to.UCUM, want)
				}
				worth, ok := c.Worth(scale)
				if offset := from.UCUM != to.UCUM && (from.Offset != nil || to.Offset != nil); ok == offset {
					t.Fatalf("%s to %s: one is so many times the other: %v", from.UCUM, to.UCUM, ok)
				}
				if got := new(big.Rat).SetInt64(coef); ok && got.Mul(got, worth).Cmp(want) != 0 {
					t.Fatalf("%d times %s = %s %s, want %s", coef, worth, got, to.UCUM, want)
				}
				w, err := Width(v, from, to)
				if err != nil || c.Width(v).Cmp(w.Approx()) != 0 {
					t.Fatalf("a width of %s %s = %s %s, %v", v, from.UCUM, c.Width(v), to.UCUM, err)
				}
			}
		}
	}
}
