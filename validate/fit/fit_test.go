package fit

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func decimals(t testing.TB, text string) []*big.Rat {
	t.Helper()
	var values []*big.Rat
	for field := range strings.FieldsSeq(text) {
		values = append(values, decimal(t, field))
	}
	return values
}

func compare(t *testing.T, what string, got, want []float64, relative float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range want {
		if !(math.Abs(got[i]-want[i]) <= relative*math.Abs(want[i])) {
			t.Errorf("%s %d: %.15g, want %.15g", what, i+1, got[i], want[i])
		}
	}
}

// Wanted values: R 4.2.2, lm(), hatvalues(), rstudent(), residuals/(1-hatvalues),
// on NIST's Longley data. R computes in float64 on an ill-conditioned design,
// hence the tolerance.
func TestLeverageAndDeletedResidualsAgainstR(t *testing.T) {
	d := readStRD(t, "Longley")
	r, err := Linear(columns(d.x), d.y)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "leverage", r.Leverage, []float64{
		0.4245369306265, 0.5649782977023, 0.3620747123656, 0.3722277828218,
		0.6155110941741, 0.3695736338318, 0.4915315399828, 0.5046561544993,
		0.4571170438960, 0.3306152138103, 0.3598815746183, 0.4831241305764,
		0.3743084084439, 0.2283784708836, 0.3728704100733, 0.6886146016939}, 1e-10)
	compare(t, "studentized residual", r.Studentized, []float64{
		1.18111170245066, -0.44628100759113, 0.17958957193867, -1.94170474037255,
		1.84402668842853, -1.03393056075170, -0.73513645939725, -0.05792907420206,
		0.06005614730650, 2.16944818241627, -0.06677100455491, -0.16829964322758,
		-0.62273087164673, -0.30335316493520, 1.51478684485216, -1.25336135110136}, 1e-9)
	compare(t, "deleted residual", r.Deleted, []float64{
		464.56505028338, -216.11322355245, 72.55891662357, -653.28571527795,
		805.52282801237, -395.46444867951, -322.63349508457, -26.60850030962,
		26.34964395035, 680.31736595638, -26.97770667129, -75.55981006862,
		-248.60486491191, -111.02762793599, 545.23262727998, -663.99332248227}, 1e-8)
	if rows, worst := r.Extreme(); !slices.Equal(rows, []int{9}) || math.Abs(worst-2.16944818241627) > 1e-9 {
		t.Errorf("extreme %v, %v: want row 10 of the print, 2.169", rows, worst)
	}
	// 16 * 2 * pt(-2.169448, 8)
	compare(t, "chance", []float64{r.ExtremeChance()}, []float64{0.9899473695938}, 1e-9)
}

// Wanted values: R 4.2.2, lm(y ~ x, weights = w) and lm(y ~ 0 + x, weights = w),
// summary(), vcov(), hatvalues(), rstudent(). The figures are invented.
func TestWeightedAgainstR(t *testing.T) {
	x := decimals(t, "-4 -2 0 2 4 6 8")
	y := decimals(t, "-.44 -.24 -.01 .21 .43 .65 .98")
	w := decimals(t, "1 1 4 4 4 2 1")
	r, err := Weighted(columns([][]*big.Rat{x}), y, w)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "coefficient", r.Coefficients, []float64{-0.01261682242991, 0.11406542056075}, 1e-12)
	compare(t, "standard error", r.StdErrors, []float64{0.012926870012624, 0.003469459649654}, 1e-12)
	compare(t, "covariance", slices.Concat(r.Covariance...), []float64{
		0.0001671039683233, -2.690657117070e-05, -2.690657117070e-05, 1.203715026058e-05}, 1e-12)
	compare(t, "residual SD and R-squared", []float64{r.ResidualSD, r.RSquared}, []float64{0.04264173726538, 0.9953955119272}, 1e-12)
	compare(t, "leverage", r.Leverage, []float64{
		0.3161993769470, 0.1775700934579, 0.3676012461059, 0.2367601246106,
		0.3177570093458, 0.3052959501558, 0.2788161993769}, 1e-12)
	compare(t, "studentized residual", r.Studentized, []float64{
		0.78722324844405, 0.01729350804669, 0.13837442391728, -0.26712675498487,
		-0.73877898760276, -0.84067283539463, 13.45469501367694}, 1e-11)
	if rows, _ := r.Extreme(); !slices.Equal(rows, []int{6}) {
		t.Errorf("extreme rows %v, want the last, 6", rows)
	}
	// 7 * 2 * pt(-13.454695, 4)
	compare(t, "chance", []float64{r.ExtremeChance()}, []float64{0.001235740323095}, 1e-9)

	var origin [][]*big.Rat
	for _, abscissa := range x {
		origin = append(origin, []*big.Rat{abscissa})
	}
	if r, err = Weighted(origin, y, w); err != nil {
		t.Fatal(err)
	}
	if r.Centred {
		t.Error("centred R-squared without an intercept")
	}
	compare(t, "without intercept", []float64{r.Coefficients[0], r.StdErrors[0], r.ResidualSD, r.RSquared},
		[]float64{0.1120338983051, 0.00276475609788, 0.04247298909024, 0.9963593243143}, 1e-12)

	// The scale of the weights acts on the residual SD alone.
	scaled := decimals(t, ".01 .01 .04 .04 .04 .02 .01")
	s, err := Weighted(origin, y, scaled)
	if err != nil {
		t.Fatal(err)
	}
	if s.Coefficients[0] != r.Coefficients[0] || s.StdErrors[0] != r.StdErrors[0] || !slices.Equal(s.Studentized, r.Studentized) {
		t.Error("weights of a tenth the size change a coefficient, its standard error or a studentized residual")
	}
	compare(t, "residual SD with weights/100", []float64{s.ResidualSD}, []float64{0.004247298909024}, 1e-12)
}

// Wanted values: R 4.2.2, lm(y ~ x + I(x^3)). The figures are invented.
func TestPowersAgainstR(t *testing.T) {
	x := decimals(t, "-4 -2 0 2 4 6 8")
	y := decimals(t, "-.44 -.24 -.01 .21 .43 .65 .98")
	r, err := Powers(x, y, 0, 1, 3)
	if err != nil {
		t.Fatal(err)
	}
	compare(t, "coefficient", r.Coefficients, []float64{-0.0129365079365079, 0.1036772486772487, 0.0003009259259259}, 1e-12)
	compare(t, "standard error", r.StdErrors, []float64{7.755678029557e-03, 3.331042664256e-03, 7.174859111689e-05}, 1e-12)
	compare(t, "residual SD and R-squared", []float64{r.ResidualSD, r.RSquared}, []float64{0.01789519754677, 0.9991497566218}, 1e-12)
}

// A refit without the row must predict the deleted residual to the last bit,
// since both are exact values rounded once; the textbook sums about the mean must
// give slope and intercept to the last bit for the same reason.
func TestLineAgainstRefitsAndTextbookSums(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 37))
	for range 60 {
		n := 4 + random.IntN(12)
		var x, y []*big.Rat
		for i := range n {
			x = append(x, big.NewRat(int64(i*20)+random.Int64N(19), 10))
			y = append(y, big.NewRat(random.Int64N(20001)-10000, 10000))
		}
		line, err := Line(x, y)
		if err != nil {
			t.Fatal(err)
		}

		mx, my := mean(x), mean(y)
		sxx, sxy := new(big.Rat), new(big.Rat)
		for i := range x {
			dx, dy := new(big.Rat).Sub(x[i], mx), new(big.Rat).Sub(y[i], my)
			sxx.Add(sxx, new(big.Rat).Mul(dx, dx))
			sxy.Add(sxy, dy.Mul(dy, dx))
		}
		slope := new(big.Rat).Quo(sxy, sxx)
		intercept := new(big.Rat).Sub(my, new(big.Rat).Mul(slope, mx))
		if want, _ := slope.Float64(); line.Slope != want {
			t.Errorf("slope %v, want %v", line.Slope, want)
		}
		if want, _ := intercept.Float64(); line.Intercept != want {
			t.Errorf("intercept %v, want %v", line.Intercept, want)
		}
		// Textbook: var(slope) = s^2/sxx.
		gap, _ := sxx.Float64()
		compare(t, "standard error of the slope", []float64{line.SlopeSE}, []float64{line.ResidualSD / math.Sqrt(gap)}, 1e-14)
		sum := 0.0
		for _, h := range line.Leverage {
			sum += h
		}
		compare(t, "sum of leverage", []float64{sum}, []float64{2}, 1e-13)
		root, _ := new(big.Rat).Neg(intercept.Quo(intercept, slope)).Float64()
		if line.Root != root {
			t.Errorf("root %v, want %v", line.Root, root)
		}
		// First-order error of the root in its other form, about the mean of x:
		// (s/b) sqrt(1/n + (root-mean)^2/sxx).
		mid, _ := mx.Float64()
		compare(t, "standard error of the root", []float64{line.RootSE},
			[]float64{line.ResidualSD / math.Abs(line.Slope) * math.Sqrt(1/float64(n)+(root-mid)*(root-mid)/gap)}, 1e-12)

		for i := range x {
			rest, err := Line(slices.Delete(slices.Clone(x), i, i+1), slices.Delete(slices.Clone(y), i, i+1))
			if err != nil {
				t.Fatal(err)
			}
			xi, _ := x[i].Float64()
			yi, _ := y[i].Float64()
			predicted := rest.Intercept + rest.Slope*xi
			if math.Abs(line.Deleted[i]-(yi-predicted)) > 1e-13 {
				t.Errorf("deleted residual %v, a refit gives %v", line.Deleted[i], yi-predicted)
			}
			variance := rest.ResidualSD*rest.ResidualSD + rest.Covariance[0][0] + 2*xi*rest.Covariance[0][1] + xi*xi*rest.Covariance[1][1]
			compare(t, "studentized residual", []float64{line.Studentized[i]}, []float64{(yi - predicted) / math.Sqrt(variance)}, 1e-9)
		}
	}
}

func mean(values []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, value := range values {
		sum.Add(sum, value)
	}
	return sum.Quo(sum, big.NewRat(int64(len(values)), 1))
}

// A figure with two digits exchanged in a table that is otherwise exact: the other
// rows fit perfectly, so the row is named with certainty.
func TestExtremeNamesTheSpoiledRow(t *testing.T) {
	x := decimals(t, "0 1 2 3 4 5")
	y := decimals(t, "0.10 0.22 0.34 0.64 0.58 0.70") // 0.46 printed as 0.64
	line, err := Line(x, y)
	if err != nil {
		t.Fatal(err)
	}
	rows, size := line.Extreme()
	if !slices.Equal(rows, []int{3}) || !math.IsInf(size, 1) {
		t.Errorf("extreme rows %v, %v: want row 3, +Inf", rows, size)
	}
	if chance := line.ExtremeChance(); chance != 0 {
		t.Errorf("chance %v, want 0", chance)
	}
	if line.Deleted[3] != 0.18 {
		t.Errorf("deleted residual %v, want 0.18 exactly", line.Deleted[3])
	}

	y[3] = decimal(t, "0.46")
	if line, err = Line(x, y); err != nil {
		t.Fatal(err)
	}
	if rows, size := line.Extreme(); rows != nil || size != 0 || line.ExtremeChance() != 1 {
		t.Errorf("extreme rows %v, %v of a perfect fit: want none, at a chance of 1", rows, size)
	}
	if line.Slope != 0.12 || line.Intercept != 0.1 || line.SlopeSE != 0 || line.InterceptSE != 0 || line.ResidualSD != 0 || line.RSquared != 1 {
		t.Errorf("perfect fit: %+v", line)
	}
	if line.RootSE != 0 || line.Root != -5.0/6 {
		t.Errorf("root %v, standard error %v: want -5/6 and 0", line.Root, line.RootSE)
	}

	// Two rows that miss alike on either side of a symmetrical table share the
	// largest value, and both are named.
	if line, err = Line(decimals(t, "-2 -1 0 1 2"), decimals(t, "0.1 0 0 0 0.1")); err != nil {
		t.Fatal(err)
	}
	if rows, _ := line.Extreme(); !slices.Equal(rows, []int{0, 4}) {
		t.Errorf("extreme rows %v, want 0 and 4", rows)
	}
}

func TestUndefinedFigures(t *testing.T) {
	// y does not vary: the fit is perfect and R-squared is 0/0.
	line, err := Line(decimals(t, "0 1 2"), decimals(t, "1.9 1.9 1.9"))
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(line.RSquared) || line.Slope != 0 || line.Intercept != 1.9 || line.ResidualSD != 0 || !math.IsNaN(line.Root) || !math.IsNaN(line.RootSE) {
		t.Errorf("constant y: %+v", line)
	}
	// One degree of freedom: no deviation is left when a row is.
	if line, err = Line(decimals(t, "0 1 2"), decimals(t, "0 1 1")); err != nil {
		t.Fatal(err)
	}
	if rows, size := line.Extreme(); rows != nil || size != 0 || !math.IsNaN(line.Studentized[0]) {
		t.Errorf("one degree of freedom: studentized %v, extreme %v", line.Studentized, rows)
	}
	if chance := line.ExtremeChance(); chance != 1 {
		t.Errorf("one degree of freedom: chance %v, want 1", chance)
	}
	compare(t, "deleted residual", line.Deleted, []float64{-1, 0.5, -1}, 0)
	// A row that alone carries a parameter: leverage exactly 1.
	if line, err = Line(decimals(t, "0 0 0 2"), decimals(t, "1 2 4 7")); err != nil {
		t.Fatal(err)
	}
	if line.Leverage[3] != 1 || line.Residuals[3] != 0 || !math.IsNaN(line.Deleted[3]) || !math.IsNaN(line.Studentized[3]) {
		t.Errorf("row that determines itself: leverage %v, deleted %v", line.Leverage, line.Deleted)
	}
	if rows, _ := line.Extreme(); !slices.Equal(rows, []int{2}) {
		t.Errorf("extreme rows %v, want 2", rows)
	}
}

func TestCentred(t *testing.T) {
	y := decimals(t, "1 2 4 4.5")
	tests := []struct {
		name   string
		design [][]*big.Rat
		want   bool
	}{
		{"a column of ones", [][]*big.Rat{decimals(t, "1 0"), decimals(t, "1 1"), decimals(t, "1 2"), decimals(t, "1 3")}, true},
		{"a column of twos", [][]*big.Rat{decimals(t, "2 0"), decimals(t, "2 1"), decimals(t, "2 2"), decimals(t, "2 3")}, true},
		{"a mean for each of two groups", [][]*big.Rat{decimals(t, "1 0"), decimals(t, "1 0"), decimals(t, "0 1"), decimals(t, "0 1")}, true},
		{"through the origin", [][]*big.Rat{decimals(t, "0 0"), decimals(t, "1 1"), decimals(t, "2 4"), decimals(t, "3 9")}, false},
	}
	for _, test := range tests {
		r, err := Linear(test.design, y)
		if err != nil {
			t.Fatal(err)
		}
		if r.Centred != test.want {
			t.Errorf("%s: centred %v, want %v", test.name, r.Centred, test.want)
		}
	}
}

func TestErrors(t *testing.T) {
	one := func(text string) []*big.Rat { return decimals(t, text) }
	tests := []struct {
		name string
		fit  func() error
		want string
	}{
		{"rows as many as parameters", func() error { _, err := Line(one("0 1"), one("0 1")); return err },
			"2 rows for 2 parameters: a fit with standard errors needs at least 3 rows"},
		{"no rows", func() error { _, err := Line(nil, nil); return err }, "no rows to fit"},
		{"lengths of x and y", func() error { _, err := Line(one("0 1 2"), one("0 1")); return err },
			"3 values of x for 2 values of y: want as many"},
		{"lengths of design and y", func() error { _, err := Linear([][]*big.Rat{one("1"), one("2")}, one("0 1 2")); return err },
			"2 rows of the design for 3 values of y: want as many"},
		{"ragged", func() error {
			_, err := Linear([][]*big.Rat{one("1 2"), one("1"), one("1 4"), one("1 5")}, one("0 1 2 3"))
			return err
		}, "row 2 of the design has 1 columns: want 2 as in row 1"},
		{"no columns", func() error { _, err := Linear([][]*big.Rat{{}, {}}, one("0 1")); return err },
			"the design has no columns: want one for each parameter"},
		{"missing x", func() error { _, err := Line([]*big.Rat{big.NewRat(1, 1), nil, nil}, one("1 2 3")); return err },
			"x of row 2 is missing"},
		{"missing y", func() error { _, err := Line(one("1 2 3"), []*big.Rat{big.NewRat(1, 1), nil, nil}); return err },
			"y of row 2 is missing"},
		{"missing in the design", func() error { _, err := Linear([][]*big.Rat{one("1"), {nil}, one("1")}, one("1 2 3")); return err },
			"row 2, column 1 of the design is missing"},
		{"dependent columns", func() error {
			_, err := Linear([][]*big.Rat{one("1 0.1 1.1"), one("1 0.2 1.2"), one("1 0.3 1.3"), one("1 0.4 1.4")}, one("0 1 2 3"))
			return err
		}, "the design is rank deficient: column 3 is a linear combination of those before it"},
		{"a zero column", func() error { _, err := Linear([][]*big.Rat{one("0"), one("0")}, one("0 1")); return err },
			"the design is rank deficient: column 1 is zero in every row"},
		{"one abscissa", func() error { _, err := Line(one("2 2 2.0"), one("0 1 2")); return err },
			"the design is rank deficient: column 2 is a linear combination of those before it; x takes only 1 different values in 3 rows, which do not determine powers [0 1]"},
		{"symmetrical abscissae", func() error { _, err := Powers(one("-1 1 1"), one("0 1 2"), 0, 2); return err },
			"the design is rank deficient: column 2 is a linear combination of those before it; x takes only 2 different values in 3 rows, which do not determine powers [0 2]"},
		{"powers out of order", func() error { _, err := Powers(one("-1 1 1"), one("0 1 2"), 2, 0); return err },
			"powers [2 0]: want them ascending from 0"},
		{"no power", func() error { _, err := Powers(one("-1 1 1"), one("0 1 2")); return err }, "no power of x to fit: want at least one"},
		{"no parameter", func() error { _, err := Polynomial(one("-1 1 1"), one("0 1 2"), 0, false); return err },
			"degree 0 leaves no parameter: want at least 1, or 0 with an intercept"},
		{"weights", func() error {
			_, err := Weighted([][]*big.Rat{one("1"), one("2")}, one("0 1"), one("1"))
			return err
		}, "1 weights for 2 values of y: want one for each"},
		{"weight zero", func() error {
			_, err := Weighted([][]*big.Rat{one("1"), one("2")}, one("0 1"), one("1 0"))
			return err
		}, "weight of row 2 is 0: want one above zero"},
		{"weight missing", func() error {
			_, err := Weighted([][]*big.Rat{one("1"), one("2")}, one("0 1"), []*big.Rat{big.NewRat(1, 1), nil})
			return err
		}, "weight of row 2 is missing"},
		{"out of range", func() error { _, err := Line(one("0 1 2"), one("0 2e308 4e308")); return err },
			"coefficient 2 is outside the range of a 64-bit float; rescale the data"},
		{"below range", func() error { _, err := Line(one("0 1 2"), one("0 1e-330 2e-330")); return err },
			"coefficient 2 is outside the range of a 64-bit float; rescale the data"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := test.fit()
			if err == nil || err.Error() != test.want {
				t.Errorf("error %v\nwant  %s", err, test.want)
			}
		})
	}

	_, err := Line(one("0 1"), one("0 1"))
	var few *TooFewRowsError
	if !errors.As(err, &few) || few.Rows != 2 || few.Parameters != 2 {
		t.Errorf("error %#v, want *TooFewRowsError", err)
	}
	_, err = Line(one("2 2 2"), one("0 1 2"))
	var rank *RankError
	if !errors.As(err, &rank) || rank.Parameter != 1 {
		t.Errorf("error %#v, want *RankError of parameter 1", err)
	}
}

// The root is correctly rounded: the exact square of a bound half a unit in the
// last place away lies on the other side of the value.
func TestSqrtIsCorrectlyRounded(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 15))
	for range 3000 {
		exponent := uint(random.IntN(400))
		value := big.NewRat(1+random.Int64N(math.MaxInt64), 1+random.Int64N(math.MaxInt64))
		scale := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), exponent))
		if random.IntN(2) == 0 {
			scale.Inv(scale)
		}
		value.Mul(value, scale)
		got := sqrt(value)
		low := middle(math.Nextafter(got, 0), got)
		high := middle(got, math.Nextafter(got, math.Inf(1)))
		if low.Mul(low, low).Cmp(value) > 0 || high.Mul(high, high).Cmp(value) < 0 {
			t.Fatalf("sqrt(%v) = %v is not the nearest float64", value, got)
		}
	}
	for _, exact := range []struct{ value, want string }{{"0", "0"}, {"4", "2"}, {"0.0625", "0.25"}, {"1e-40", "1e-20"}, {"1e40", "1e20"}, {"2.25", "1.5"}} {
		if want, _ := decimal(t, exact.want).Float64(); sqrt(decimal(t, exact.value)) != want {
			t.Errorf("sqrt(%s) = %v, want %s", exact.value, sqrt(decimal(t, exact.value)), exact.want)
		}
	}
}

func middle(a, b float64) *big.Rat {
	sum := new(big.Rat).SetFloat64(a)
	sum.Add(sum, new(big.Rat).SetFloat64(b))
	return sum.Quo(sum, big.NewRat(2, 1))
}

// NACA 0012 at a Reynolds number of 6 million and Mach 0.15, transition fixed with
// 80 grit: C. L. Ladson, NASA TM 4074, 1988 (rows by way of the published
// transcription, VERIFIED-2ND). The bounds were DERIVED by another program from
// these rows and those of 120 and 180 grit.
func TestNACA0012Ladson(t *testing.T) {
	alpha := decimals(t, "-4.04 -2.14 -.05 2.05 4.04 6.09 8.30 10.12 11.13")
	cl := decimals(t, "-.4417 -.2385 -.0126 .2125 .4316 .6546 .8873 1.0707 1.1685")
	cd := decimals(t, ".00871 .00800 .00809 .00816 .00823 .00885 .01050 .01201 .01239")

	const linear = 7 // alpha from -5 to 8.5 deg
	line, err := Line(alpha[:linear], cl[:linear])
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("slope %.8f +- %.5f per deg, zero-lift angle %.4f +- %.4f deg, residual SD %.5f, R-squared %.6f",
		line.Slope, line.SlopeSE, line.Root, line.RootSE, line.ResidualSD, line.RSquared)
	if math.Abs(line.Slope-0.10799) > 0.000005 {
		t.Errorf("slope %v per deg, want 0.10799", line.Slope)
	}
	if line.Root < 0.04 || line.Root > 0.10 {
		t.Errorf("zero-lift angle %v deg, want 0.04 to 0.10", line.Root)
	}
	if line.ResidualSD < 0.002 || line.ResidualSD > 0.0045 || line.RSquared < 0.9999 {
		t.Errorf("residual SD %v, R-squared %v: want 0.002 to 0.004 and at least 0.9999", line.ResidualSD, line.RSquared)
	}
	for i, residual := range line.Residuals {
		if math.Abs(residual) > 0.009 {
			t.Errorf("residual %v at row %d, want at most 0.009", residual, i+1)
		}
	}

	polar, err := Powers(cl, cd, 0, 2) // cl below 1.2
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("cd0 %.6f +- %.6f, k %.6f +- %.6f, residual SD %.6f, R-squared %.4f",
		polar.Coefficients[0], polar.StdErrors[0], polar.Coefficients[1], polar.StdErrors[1], polar.ResidualSD, polar.RSquared)
	if cd0 := polar.Coefficients[0]; cd0 < 0.00775 || cd0 > 0.00795 {
		t.Errorf("cd0 %v, want 0.0078 to 0.0079", cd0)
	}
	if k := polar.Coefficients[1]; k < 0.00315 || k > 0.00345 {
		t.Errorf("k %v, want 0.0032 to 0.0034", k)
	}
	if polar.RSquared < 0.958 || polar.RSquared > 0.981 {
		t.Errorf("R-squared %v, want 0.958 to 0.981", polar.RSquared)
	}
}
