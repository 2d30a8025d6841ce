package difference

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

type shapeFn struct {
	name string
	x    func(n int, r *rand.Rand) []float64
	f    func(x float64) float64
	ulp  float64
}

func grid(a, b float64) func(n int, r *rand.Rand) []float64 {
	return func(n int, r *rand.Rand) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = a + (b-a)*float64(i)/float64(n-1)
		}
		return x
	}
}

var fns = []shapeFn{
	{"lift", grid(-4, 14), func(a float64) float64 {
		s := 14.5
		l := .08 * (a + 2)
		if a > s-6 {
			l -= .0025 * math.Pow(a-s+6, 2)
		}
		return l
	}, .001},
	{"polar", grid(-.2, 1.2), func(c float64) float64 { return .012 + .055*c*c }, .0001},
	{"polar4", grid(-.2, 1.4), func(c float64) float64 { return .012 + .055*c*c + .02*math.Pow(max(0, c-.8), 4) }, .0001},
	{"drag-alpha", grid(-4, 14), func(a float64) float64 { c := .08 * (a + 2); return .012 + .055*c*c }, .0001},
	{"sin", grid(0, 3), func(x float64) float64 { return math.Sin(x) }, .001},
	{"sqrt", grid(1, 9), func(x float64) float64 { return 50 * math.Sqrt(x) }, .1},
}

func TestSim(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{8, 12, 20} {
		for _, noise := range []float64{0, 1, 5} {
			for _, f := range fns {
				cells, alarms, checkable, rough, part := 0, 0, 0, 0, 0
				var det []float64
				foundD, foundH, tries, loc := 0, 0, 0, 0
				for range 60 {
					x := f.x(n, r)
					tb := &Table{Rows: x}
					for _, v := range x {
						y := f.f(v) + noise*f.ulp*r.NormFloat64()
						tb.Value = append(tb.Value, math.Round(y/f.ulp)*f.ulp)
						tb.Half = append(tb.Half, f.ulp/2)
					}
					var err error
					l, smooth := tb.columnSuspects()
					if err != nil {
						t.Fatal(err)
					}
					if !smooth {
						rough++
					}
					cells += n
					alarms += len(l)
					v := tb.columnJudge()
					c := r.IntN(n)
					for _, w := range v {
						if w.Checkable {
							checkable++
							det = append(det, w.Detectable/f.ulp)
						}
					}
					if v[c].Checkable {
						tries++
						sg := float64(2*r.IntN(2) - 1)
						old := tb.Value[c]
						tb.Value[c] = old + sg*v[c].Detectable*1.01
						l, _ := tb.columnSuspects()
						for _, s := range l {
							if s.At == c {
								foundD++
								if len(s.Or) == 0 {
									loc++
								}
							}
							for _, o := range s.Or {
								if o == c {
									part++
								}
							}
						}
						tb.Value[c] = old + sg*v[c].Detectable*.5
						l, _ = tb.columnSuspects()
						for _, s := range l {
							if s.At == c {
								foundH++
							}
						}
					}
				}
				med := 0.0
				if len(det) > 0 {
					med = quant(det, .5)
				}
				fmt.Printf("n %2d noise %g %-10s alarms/1000 %6.2f rough %3d checkable %.2f median D %6.1f ulp; at D found %.2f (+%d in sets) located %.2f, at D/2 %.2f\n", n, noise, f.name, 1000*float64(alarms)/float64(cells), rough, float64(checkable)/float64(cells), med, float64(foundD)/float64(max(1, tries)), part, float64(loc)/float64(max(1, tries)), float64(foundH)/float64(max(1, tries)))
			}
		}
	}
}

func quant(x []float64, q float64) float64 {
	for i := range x {
		for j := i; j > 0 && x[j] < x[j-1]; j-- {
			x[j], x[j-1] = x[j-1], x[j]
		}
	}
	return x[int(q*float64(len(x)-1))]
}
