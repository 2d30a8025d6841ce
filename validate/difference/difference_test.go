package difference

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
)

// The classic example of the method of differences (TRADE.md 5.1, VERIFIED there of two
// published lessons): the fourth differences of 1 2 4 8 16 26 42 64 93 are 1 -4 6 -4 1
// about the fifth entry, which should be 15. Nine figures that bend so much are too few
// to call it suspect, but none is further off, and all others are likeliest without it.
func TestClassicExample(t *testing.T) {
	tb := column9(1, 2, 4, 8, 16, 26, 42, 64, 93)
	tb.Half = slices.Repeat([]float64{0.05}, 9) // whole numbers that are exact
	v, err := tb.Judge()
	if err != nil {
		t.Fatal(err)
	}
	for i := range v {
		if i != 4 && v[i].excess() > v[4].excess() {
			t.Errorf("entry %d is further off than the fifth: %+v, %+v", i, v[i], v[4])
		}
	}
	if math.Abs(v[4].Expected-15) > 0.1 {
		t.Errorf("the fifth entry should be %v, want 15", v[4].Expected)
	}
}

func column9(v ...float64) *Table {
	t := &Table{Value: v}
	for i := range v {
		t.Rows = append(t.Rows, float64(i))
		t.Half = append(t.Half, 0.5)
	}
	return t
}

// On equal steps a cubic through two neighbours on either side misses by a sixth of the
// fourth difference, y0 - 4 y1 + 6 y2 - 4 y3 + y4; unequal ones agree with Lagrange.
func TestCubicIsTheFourthDifference(t *testing.T) {
	w := newBasis([]float64{0, 1, 3, 4}, 3).weights(2)
	for i, want := range []float64{-1. / 6, 4. / 6, 4. / 6, -1. / 6} {
		if math.Abs(w[i]-want) > 1e-12 {
			t.Errorf("weights %v", w)
		}
	}
	x := []float64{0, 1.5, 2, 7}
	w = newBasis(x, 3).weights(3)
	for i := range x {
		want := 1.0
		for k := range x {
			if k != i {
				want *= (3 - x[k]) / (x[i] - x[k])
			}
		}
		if math.Abs(w[i]-want) > 1e-12 {
			t.Errorf("weight %d is %v, want %v", i, w[i], want)
		}
	}
}

// NACA TR 572, Table II, stations 0 and 0.2 (keyed twice, ../../testdata/keyed): a table
// of two arguments whose last digit scatters. How many of its figures are suspect, and
// how many slips of 10 and of 5 units of the last place are found, was measured and is
// held here within a little.
func TestTR572(t *testing.T) {
	flagged, cells := 0, 0
	found := map[int]int{}
	for _, tb := range tr572(t) {
		w := tb.work()
		for c := range tb.Value {
			if cells++; w.judge(c).Suspect() {
				flagged++
			}
			for _, units := range []int{-10, -5, 5, 10} {
				w.set(c, tb.Value[c]+float64(units)*.001)
				if w.judge(c).Suspect() {
					found[max(units, -units)]++
				}
			}
			w.set(c, tb.Value[c])
		}
	}
	t.Logf("%d of %d figures are suspect; slips of 10 units found %d of %d, of 5 units %d", flagged, cells, found[10], 2*cells, found[5])
	if cells != 286 || flagged > 8 || found[10] < 560 || found[5] < 480 {
		t.Errorf("%d figures, %d suspect, found %v", cells, flagged, found)
	}
}

func tr572(t *testing.T) []*Table {
	t.Helper()
	f, err := os.Open("../../testdata/keyed/naca-tr-572-p22-table-2-stations-0-and-0.2.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []*Table
	station := ""
	for _, r := range rows[1:] {
		if r[0] != station {
			station = r[0]
			list = append(list, &Table{})
			for k := range 11 {
				list[len(list)-1].Cols = append(list[len(list)-1].Cols, float64(k)/10)
			}
		}
		tb := list[len(list)-1]
		for i, text := range r[1:] {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				tb.Rows = append(tb.Rows, v)
				continue
			}
			tb.Value, tb.Half = append(tb.Value, v), append(tb.Half, .0005)
		}
	}
	return list
}

// NACA 0012 by Ladson (TRADE.md 4.4, VERIFIED-2ND), 80 grit: real scatter, uneven steps.
// Below the stall nothing is suspect; a lift of .8873 that lost its first figure's place
// is.
func TestLadson(t *testing.T) {
	tb := &Table{Rows: []float64{-4.04, -2.14, -.05, 2.05, 4.04, 6.09, 8.30, 10.12, 11.13, 12.12, 13.08},
		Value: []float64{-.4417, -.2385, -.0126, .2125, .4316, .6546, .8873, 1.0707, 1.1685, 1.2605, 1.3455}}
	tb.Half = slices.Repeat([]float64{.00005}, len(tb.Rows))
	if list, smooth, err := tb.Suspects(); len(list) != 0 || !smooth || err != nil {
		t.Errorf("got %+v, %v, %v", list, smooth, err)
	}
	tb.Value[6] = .8373
	list, _, err := tb.Suspects()
	if err != nil || len(list) != 1 || list[0].At != 6 || math.Abs(list[0].Expected-.8873) > .01 {
		t.Errorf("got %+v, %v; want .8873 for .8373", list, err)
	}
}

// Made columns with rounding alone and with scatter besides: honest figures are seldom
// suspect, slips of the stated size are mostly found, of half of it mostly not.
func TestDetectableSizes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, noise := range []float64{0, 1, 5} {
		cells, alarms, tries, whole, half := 0, 0, 0, 0, 0
		var sizes []float64
		for range 200 {
			n := 10 + r.IntN(15)
			unit := math.Pow(10, -float64(r.IntN(4)))
			a, b, c := 100*r.Float64(), 40*r.NormFloat64(), 20*r.NormFloat64()
			tb := &Table{}
			for i := range n {
				x := float64(i) / float64(n-1)
				y := a + b*x + c*x*x + noise*r.NormFloat64()
				tb.Rows, tb.Value, tb.Half = append(tb.Rows, x), append(tb.Value, math.Round(y)*unit), append(tb.Half, unit/2)
			}
			suspects := func() []Suspect {
				list, _, err := tb.Suspects()
				if err != nil {
					t.Fatal(err)
				}
				return list
			}
			cells, alarms = cells+n, alarms+len(suspects())
			v, _ := tb.Judge()
			k := r.IntN(n)
			if !v[k].Checkable {
				t.Fatalf("entry %d of %d is not checkable", k, n)
			}
			for _, w := range v {
				sizes = append(sizes, w.Detectable/unit)
			}
			was, sign := tb.Value[k], float64(2*r.IntN(2)-1)
			finds := func(times float64) int {
				tb.Value[k] = was + sign*times*v[k].Detectable
				defer func() { tb.Value[k] = was }()
				for _, s := range suspects() {
					if s.At == k || slices.Contains(s.Or, k) {
						return 1
					}
				}
				return 0
			}
			tries, whole, half = tries+1, whole+finds(1), half+finds(.5)
		}
		slices.Sort(sizes)
		median := sizes[len(sizes)/2]
		t.Logf("scatter of %g units: %d of %d honest figures suspect; %d of %d slips of the detectable size found, %d of half of it; median size %.1f units", noise, alarms, cells, whole, tries, half, median)
		if alarms > cells*4/1000 || whole < tries*9/10 || 2*half > tries || noise == 0 && median > 4 {
			t.Errorf("scatter of %g units: %d alarms in %d, found %d and %d of %d, median %.1f", noise, alarms, cells, whole, half, tries, median)
		}
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		tb   Table
		want string
	}{
		{Table{Rows: []float64{1, 2}, Value: []float64{1}, Half: []float64{1, 1}}, "difference: 2 rows and 1 columns want 2 values and half-widths, not 1 and 2"},
		{Table{Rows: []float64{1, 2, 2}, Value: make([]float64, 3), Half: []float64{1, 1, 1}}, "difference: the argument of the rows or columns does not rise or fall throughout"},
		{Table{Rows: []float64{1, 2}, Value: []float64{1, 2}, Half: []float64{1, 0}}, "difference: entry 1 is 2 with half-width 0"},
	} {
		if _, _, err := c.tb.Suspects(); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
		if _, err := c.tb.Judge(); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
	// Too few figures prove nothing, and are no error.
	if list, smooth, err := column9(1, 2, 3, 9, 5).Suspects(); len(list) != 0 || !smooth || err != nil {
		t.Errorf("got %v, %v, %v", list, smooth, err)
	}
}
