package unit

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// TestConversionIsConvert: what is worked out once gives what Convert gives, for
// every two units of one dimension, in lowest terms, and leaves its storage alone.
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
			stored := new(big.Rat)
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
				want, got := e.Approx(), c.Decimal(stored, coef, scale)
				// The texts show whether the fraction is in lowest terms.
				if got != stored || got.String() != want.String() || c.Value(v).Cmp(want) != 0 {
					t.Fatalf("%d e-%d %s = %s %s, want %s", coef, scale, from.UCUM, got, to.UCUM, want)
				}
				w, err := Width(v, from, to)
				if err != nil || c.Width(v).Cmp(w.Approx()) != 0 {
					t.Fatalf("a width of %s %s = %s %s, %v", v, from.UCUM, c.Width(v), to.UCUM, err)
				}
			}
		}
	}
}
