package difference

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A column of 20 figures, with rounding alone (which is not looked at closer) and with
// scatter.
func BenchmarkColumn(b *testing.B) {
	for _, c := range []struct {
		name  string
		noise float64
	}{{"rounding", 0}, {"scatter", 2}} {
		r := rand.New(rand.NewPCG(3, 4))
		tb := &Table{}
		for i := range 20 {
			x := float64(i) / 19
			tb.Rows, tb.Half = append(tb.Rows, x), append(tb.Half, 0.5)
			tb.Value = append(tb.Value, math.Round(20+100*x+40*x*x+c.noise*r.NormFloat64()))
		}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := tb.Suspects(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/20, "ns/figure")
		})
	}
}
