package difference

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
)

func tr572(t *testing.T) map[string]*Table {
	f, err := os.Open("/work/shared/material/truth/naca-tr-572-p22-table-2-stations-0-and-0.2.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, _ := csv.NewReader(f).ReadAll()
	m := map[string]*Table{}
	for _, r := range rows[1:] {
		tb := m[r[0]]
		if tb == nil {
			tb = &Table{}
			for k := range 11 {
				tb.Cols = append(tb.Cols, float64(k)/10)
			}
			m[r[0]] = tb
		}
		v, _ := strconv.ParseFloat(r[1], 64)
		tb.Rows = append(tb.Rows, v)
		for _, c := range r[2:] {
			v, _ := strconv.ParseFloat(c, 64)
			tb.Value = append(tb.Value, v)
			tb.Half = append(tb.Half, .0005)
		}
	}
	return m
}

func TestTry(t *testing.T) {
	try(t)
}

func try(t *testing.T) {
	fl, n := 0, 0
	var found, all [11]int
	for _, tb := range tr572(t) {
		v, err := tb.Judge()
		if err != nil {
			t.Fatal(err)
		}
		for c, x := range v {
			n++
			if x.Suspect() {
				fmt.Println("flag", c/11, c%11, x)
				fl++
			}
		}
		for c := range tb.Value {
			for _, s := range []float64{2, 5, 10} {
				for _, sg := range []float64{1, -1} {
					old := tb.Value[c]
					tb.Value[c] += s * sg * .001
					w := tb.work()
					if v := w.judge(c); v.Suspect() {
						found[int(s)]++
					} else if s == 10 {
						fmt.Println("missed", c/11, c%11, sg, v)
					}
					all[int(s)]++
					tb.Value[c] = old
				}
			}
		}
	}
	fmt.Println("flag", fl, n, "found", found, all)
	lad := &Table{Rows: []float64{-4.04, -2.14, -.05, 2.05, 4.04, 6.09, 8.30, 10.12, 11.13, 12.12, 13.08, 14.22, 15.26, 16.30, 17.13, 18.02},
		Value: []float64{-0.4417, -.2385, -.0126, .2125, .4316, .6546, .8873, 1.0707, 1.1685, 1.2605, 1.3455, 1.4365, 1.5129, 1.5739, 1.6116, .9967}}
	for range lad.Rows {
		lad.Half = append(lad.Half, .00005)
	}
	v, _ := lad.Judge()
	for i, x := range v {
		if x.Suspect() {
			fmt.Printf("%7.2f %8.4f %v miss %8.4f bound %.4f det %.4f\n", lad.Rows[i], lad.Value[i], x.Suspect(), x.Miss, x.Bound, x.Detectable)
		}
	}
	for _, tb := range tr572(t) {
		var whole, part, none, rough int
		for c := range tb.Value {
			for _, sg := range []float64{10, -10} {
				old := tb.Value[c]
				tb.Value[c] += sg * .001
				l, smooth, _ := tb.Suspects()
				tb.Value[c] = old
				if !smooth {
					rough++
				}
				hit := 0
				for _, s := range l {
					if s.At == c && len(s.Or) == 0 {
						hit = 2
					} else if hit == 0 && (s.At == c || slices.Contains(s.Or, c)) {
						hit = 1
					}
				}
				switch hit {
				case 2:
					whole++
				case 1:
					part++
				default:
					none++
				}
			}
		}
		fmt.Println("located", whole, "in a set", part, "not", none, "rough", rough)
	}
	_ = math.Pi
}
