package fit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func floatsOf(values []*big.Rat) []float64 {
	list := make([]float64, len(values))
	for i, v := range values {
		list[i], _ = v.Float64()
	}
	return list
}

func floatRows(rows [][]*big.Rat) [][]float64 {
	list := make([][]float64, len(rows))
	for i, row := range rows {
		list[i] = floatsOf(row)
	}
	return list
}

func same(text string, n int) []*big.Rat {
	list := make([]*big.Rat, n)
	for i := range list {
		list[i], _ = new(big.Rat).SetString(text)
	}
	return list
}

// Wanted values: NIST StRD. Half-widths that are all alike are no weights.
func TestHalfWidthsAgainstStRD(t *testing.T) {
	for name, powers := range map[string][]int{"Norris": {0, 1}, "Pontius": {0, 1, 2}, "NoInt1": {1}, "NoInt2": {1},
		"Filip": {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, "Wampler1": {0, 1, 2, 3, 4, 5}, "Wampler5": {0, 1, 2, 3, 4, 5}} {
		d := readStRD(t, name)
		design := PowersDesign(d.x[0], powers...)
		plain, err := Linear(design, d.y)
		if err != nil {
			t.Fatal(err)
		}
		for _, half := range []string{"1", "1/2000"} {
			k, err := HalfWidths(design, d.y, same(half, len(d.y)))
			if err != nil {
				t.Fatal(err)
			}
			for j := range d.coefficient {
				if digits(t, k.Coefficients[j], d.coefficient[j]) < 13 || digits(t, k.StdErrors[j], d.stdError[j]) < 13 {
					t.Errorf("%s, half-width %s: %v (%v), certified %s (%s)", name, half, k.Coefficients[j], k.StdErrors[j], d.coefficient[j], d.stdError[j])
				}
			}
			if half == "1" && !reflect.DeepEqual(k.Result, plain) {
				t.Errorf("%s: half-widths of 1 give another result than no weights", name)
			}
			if !slices.Equal(k.Coefficients, plain.Coefficients) || !slices.Equal(k.StdErrors, plain.StdErrors) {
				t.Errorf("%s: half-widths of %s change a coefficient or a standard error", name, half)
			}
		}
	}
}

// Wanted values: scipy's curve_fit with sigma, both with and without its own scale.
func TestHalfWidthsAgainstScipy(t *testing.T) {
	d := readStRD(t, "Pontius")
	half := make([]*big.Rat, len(d.y))
	for i := range half {
		half[i] = big.NewRat(int64(1+i*i%7), 20000)
	}
	design := PowersDesign(d.x[0], 0, 1, 2)
	k, err := HalfWidths(design, d.y, half)
	if err != nil {
		t.Fatal(err)
	}
	want := reference(t, map[string]any{"x": floatsOf(d.x[0]), "y": floatsOf(d.y), "h": floatsOf(half)}, `
from scipy.optimize import curve_fit
from scipy import stats
x=np.array(d["x"])/1e6; y=np.array(d["y"]); h=np.array(d["h"])
s=np.array([1,1e-6,1e-12])
f=lambda x,a,b,c: a+b*x+c*x*x
jac=lambda x,a,b,c: np.vander(x,3,increasing=True)
b,cov=curve_fit(f,x,y,sigma=h,p0=[0,1,0],jac=jac,method="lm",ftol=1e-15,xtol=1e-15)
out["b"]=b*s; out["se"]=np.sqrt(np.diag(cov))*s
b,cov=curve_fit(f,x,y,sigma=h/np.sqrt(3),absolute_sigma=True,p0=[0,1,0],jac=jac,method="lm",ftol=1e-15,xtol=1e-15)
out["rounding"]=np.sqrt(np.diag(cov))*s
out["half"]=[max(stats.t.ppf(.975,len(x)-3)*a,stats.norm.ppf(.975)*c) for a,c in zip(out["se"],out["rounding"])]`)
	compare(t, "coefficient", k.Coefficients, want["b"], 1e-6)
	compare(t, "standard error", k.StdErrors, want["se"], 1e-6)
	compare(t, "rounding", k.Rounding, want["rounding"], 1e-6)
	compare(t, "half-width", []float64{k.Half(0, .95), k.Half(1, .95), k.Half(2, .95)}, want["half"], 1e-6)
	// The root of a line: LineResult has it exactly.
	norris := readStRD(t, "Norris")
	line, err := Line(norris.x[0], norris.y)
	if err != nil {
		t.Fatal(err)
	}
	known, err := HalfWidths(PowersDesign(norris.x[0], 0, 1), norris.y, same("1/20", len(norris.y)))
	if err != nil {
		t.Fatal(err)
	}
	root, standard, rounding := known.Root()
	compare(t, "root", []float64{root, standard, rounding}, []float64{line.Root, line.RootSE, line.RootSE / line.ResidualSD / 20 / math.Sqrt(3)}, 1e-9)
	if x, _, _ := k.Root(); !math.IsNaN(x) {
		t.Error("a root of a parabola")
	}
	if !math.IsNaN(k.Half(0, 1)) {
		t.Error("a half-width of certainty")
	}
}

func TestHalfWidthErrors(t *testing.T) {
	y := decimals(t, "1 2 3")
	design := PowersDesign(decimals(t, "0 1 2"), 0, 1)
	for _, c := range []struct {
		half []*big.Rat
		want string
	}{
		{decimals(t, "1 1"), "2 half-widths for 3 values of y: want one for each"},
		{decimals(t, "1 0 1"), "half-width of row 2 is 0: want one above zero"},
		{[]*big.Rat{big.NewRat(1, 1), nil, nil}, "half-width of row 2 is missing"},
	} {
		_, err := HalfWidths(design, y, c.half)
		_, robust := Biweight(design, y, c.half)
		if err == nil || err.Error() != c.want || robust == nil || robust.Error() != c.want {
			t.Errorf("%v and %v, want %q", err, robust, c.want)
		}
	}
	_, err := Biweight(design, y, nil)
	var few *TooFewRowsError
	if !errors.As(err, &few) || few.Rows != 3 || few.Parameters != 4 {
		t.Errorf("a robust line through three points: %v", err)
	}
}

// A lift curve, a polar and Norris's line with wrong rows, some of them in x.
func planted(t *testing.T) map[string]struct {
	design  [][]*big.Rat
	y, half []*big.Rat
	wrong   []int
} {
	type data = struct {
		design  [][]*big.Rat
		y, half []*big.Rat
		wrong   []int
	}
	norris := readStRD(t, "Norris")
	y := slices.Clone(norris.y)
	wrong := []int{3, 11, 19, 24, 30}
	for _, i := range wrong {
		y[i] = new(big.Rat).Add(y[i], big.NewRat(int64(40+i), 1))
	}
	lever := decimals(t, "-4 -2 0 2 4 60 8 10")
	unequal := decimals(t, ".0005 .0005 .005 .0005 .0005 .0005 .0005 .0005 .005 .0005")
	return map[string]data{
		"Norris":       {PowersDesign(norris.x[0], 0, 1), y, nil, wrong},
		"lift":         {PowersDesign(decimals(t, "-4 -2 0 2 4 6 8 10"), 0, 1), decimals(t, "-.162 .003 .155 .616 .478 .331 .795 .944"), nil, []int{3, 5}},
		"lift, angle":  {PowersDesign(lever, 0, 1), decimals(t, "-.162 .003 .155 .321 .478 .631 .795 .944"), nil, []int{5}},
		"polar":        {PowersDesign(decimals(t, "0 .1 .2 .3 .4 .5 .6 .7 .8 .9"), 0, 2), decimals(t, ".0101 .0106 .0123 .0255 .0196 .0246 .0311 .0390 .0177 .0578"), nil, []int{3, 8}},
		"polar, halfs": {PowersDesign(decimals(t, "0 .1 .2 .3 .4 .5 .6 .7 .8 .9"), 0, 2), decimals(t, ".0101 .0106 .01 .0255 .0196 .0246 .0311 .0390 .05 .0578"), unequal, []int{3}},
	}
}

// Wanted values: the start by trying every subset with numpy, its scale by the
// formula of Rousseeuw and Leroy (from memory); from there statsmodels' RLM with
// Tukey's biweight at that scale, covariance H1; and scipy's least_squares on the
// loss of the biweight.
func TestBiweightAgainstScipyAndStatsmodels(t *testing.T) {
	cases, fits, data := planted(t), map[string]*Robust{}, map[string]any{}
	for name, c := range cases {
		r, err := Biweight(c.design, c.y, c.half)
		if err != nil {
			t.Fatal(err)
		}
		half := c.half
		if half == nil {
			half = same("1", len(c.y))
		}
		fits[name] = r
		data[name] = map[string]any{"X": floatRows(c.design), "y": floatsOf(c.y), "h": floatsOf(half), "floor": c.half != nil, "every": len(c.y) < 12, "scale": r.Scale}
	}
	want := reference(t, data, `
from itertools import combinations
from scipy.optimize import least_squares
import statsmodels.api as sm
for name,d in d.items():
    h=np.array(d["h"]); X=np.array(d["X"])/h[:,None]; y=np.array(d["y"])/h
    n,p=X.shape; q=(n+p+1)//2
    if d["every"]:
        fits=[np.linalg.lstsq(X[list(c)],y[list(c)],rcond=None)[0] for c in combinations(range(n),q)]
        start=min(fits,key=lambda b: np.sort((y-X@b)**2)[:q].sum())
        s=1.4826*(1+5/(n-p))*np.median(abs(y-X@start))
        if d["floor"]: s=max(s,1/np.sqrt(3))
        out[name+"/scale"]=s
    else:
        s=d["scale"]
        start=np.linalg.lstsq(X,y,rcond=None)[0]
        for _ in range(200):
            keep=np.argsort((y-X@start)**2)[:q]
            start=np.linalg.lstsq(X[keep],y[keep],rcond=None)[0]
    c=4.685
    def loss(z):
        u=np.minimum(z/c**2,1)
        return np.array([c*c/3*(1-(1-u)**3),(1-u)**2,np.where(u<1,-2/c**2*(1-u),0)])
    fit=least_squares(lambda b:y-X@b,start,lambda b:-X,loss=loss,f_scale=s,xtol=1e-15,ftol=1e-15,gtol=1e-15,x_scale=abs(start)+1e-9)
    out[name+"/scipy"]=fit.x
    m=np.median(abs(y-X@start))/0.674489750196082
    rlm=sm.RLM(y,X,M=sm.robust.norms.TukeyBiweight(c=c*s/m)).fit(start_params=start,update_scale=False,maxiter=2000,conv="coefs",tol=1e-15)
    out[name+"/rlm"]=rlm.params; out[name+"/se"]=rlm.bse; out[name+"/weights"]=rlm.weights`)
	for name, c := range cases {
		r := fits[name]
		if w := want[name+"/scale"]; w != nil {
			compare(t, name+": scale", []float64{r.Scale}, w, 1e-4)
		} else if len(c.y) < 12 {
			t.Errorf("%s: no scale to compare with", name)
		}
		compare(t, name+": coefficient, scipy", r.Coefficients, want[name+"/scipy"], 1e-5)
		compare(t, name+": coefficient, statsmodels", r.Coefficients, want[name+"/rlm"], 1e-6)
		compare(t, name+": standard error, statsmodels", r.StdErrors, want[name+"/se"], 1e-5)
		if len(want[name+"/weights"]) != len(c.y) {
			t.Fatalf("%s: %d weights", name, len(want[name+"/weights"]))
		}
		for i, w := range want[name+"/weights"] {
			if math.Abs(w-r.Weights[i]) > 1e-5 {
				t.Errorf("%s: weight of row %d is %v, in statsmodels %v", name, i+1, r.Weights[i], w)
			}
		}
		if !slices.Equal(r.Left, c.wrong) {
			t.Errorf("%s: left out %v, planted %v", name, r.Left, c.wrong)
		}
		again, err := Biweight(c.design, c.y, c.half)
		if err != nil || !reflect.DeepEqual(again, r) {
			t.Errorf("%s: a second fit differs", name)
		}
	}
}

// Wanted values: NIST StRD. Least squares are moved by the wrong rows; the robust
// fits give the certified values back, to every digit where the data are perfect.
func TestRobustAgainstStRD(t *testing.T) {
	for _, c := range []struct {
		name   string
		degree int
		wrong  []int
	}{{"Norris", 1, []int{3, 11, 19, 24, 30}}, {"Pontius", 2, []int{8, 21}}, {"Wampler1", 5, []int{4, 13}}, {"Wampler2", 5, []int{4, 13, 14}}} {
		d := readStRD(t, c.name)
		var powers []int
		for p := range c.degree + 1 {
			powers = append(powers, p)
		}
		design, y := PowersDesign(d.x[0], powers...), slices.Clone(d.y)
		for k, i := range c.wrong {
			y[i] = new(big.Rat).Mul(y[i], big.NewRat(int64(3+k), 2))
			y[i].Add(y[i], big.NewRat(7, 1))
		}
		if moved, err := Linear(design, y); err != nil || digits(t, moved.Coefficients[c.degree], d.coefficient[c.degree]) > 2 {
			t.Fatalf("%s: least squares are not moved: %v", c.name, err)
		}
		r, err := Biweight(design, y, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(r.Left, c.wrong) {
			t.Errorf("%s: left out %v, planted %v", c.name, r.Left, c.wrong)
		}
		for j := range r.Coefficients {
			certified, _ := decimal(t, d.coefficient[j]).Float64()
			se, _ := decimal(t, d.stdError[j]).Float64()
			if miss := math.Abs(r.Coefficients[j] - certified); miss > 1.5*se+1e-6*math.Abs(certified) {
				t.Errorf("%s: coefficient %d is %v, certified %v with standard error %v", c.name, j+1, r.Coefficients[j], certified, se)
			}
		}
		half := same("1/1000000", len(y))
		resistant, err := Resist(design, y, half, Bounds{Studentized: 5, HalfWidths: 3, Most: 5})
		if err != nil {
			t.Fatal(err)
		}
		var left []int
		for _, o := range resistant.Left {
			left = append(left, o.Row)
			if miss, _ := new(big.Rat).Sub(y[o.Row], d.y[o.Row]).Float64(); math.Abs(o.Apart/miss-1) > 0.1 {
				t.Errorf("%s: row %d stands off by %v, planted %v", c.name, o.Row+1, o.Apart, miss)
			}
		}
		if !slices.Equal(left, c.wrong) {
			t.Errorf("%s: resistant fit left out %v, planted %v", c.name, left, c.wrong)
		}
		for j := range d.coefficient {
			if got := digits(t, resistant.Coefficients[j], d.coefficient[j]); strings.HasPrefix(c.name, "Wampler") && got < 15 {
				t.Errorf("%s: coefficient %d is %v, certified %s", c.name, j+1, resistant.Coefficients[j], d.coefficient[j])
			}
		}
	}
}

// Without a wrong row it is plain least squares to the last bit.
func TestResistOfSoundRows(t *testing.T) {
	for name, degree := range map[string]int{"Norris": 1, "Pontius": 2, "Wampler1": 5, "Wampler4": 5, "NoInt2": 0} {
		d := readStRD(t, name)
		powers := []int{0, 1, 2, 3, 4, 5}[:degree+1]
		if name == "NoInt2" {
			powers = []int{1}
		}
		design := PowersDesign(d.x[0], powers...)
		plain, err := Linear(design, d.y)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Resist(design, d.y, same("1", len(d.y)), Bounds{5, 0, 5})
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Left) > 0 || !reflect.DeepEqual(r.Result, plain) {
			t.Errorf("%s: rows %v left out, or another result than Linear", name, r.Left)
		}
	}
}

// Wanted values: statsmodels' anova_lm of the two models.
func TestPoolAgainstStatsmodels(t *testing.T) {
	x := decimals(t, "-4 -2 0 2 4 6")
	lift := func(y string) Group { return Group{X: x, Y: decimals(t, y), Half: decimals(t, "1 1 2 1 1 2")} }
	up, down := lift("-.162 .003 .155 .321 .478 .631"), lift(".342 .500 .663 .818 .981 1.137")
	other := lift(".342 .520 .703 .878 1.061 1.237")
	for name, groups := range map[string][]Group{"one slope": {up, down}, "two slopes": {up, down, other}} {
		p, err := Pool(groups, []int{1}, []int{0})
		if err != nil {
			t.Fatal(err)
		}
		var xs, ys, hs, gs []float64
		for g, group := range groups {
			xs, ys, hs = append(xs, floatsOf(group.X)...), append(ys, floatsOf(group.Y)...), append(hs, floatsOf(group.Half)...)
			gs = append(gs, slices.Repeat([]float64{float64(g)}, len(group.X))...)
		}
		want := reference(t, map[string]any{"x": xs, "y": ys, "h": hs, "g": gs}, `
import pandas as pd
import statsmodels.formula.api as smf
from statsmodels.stats.anova import anova_lm
f=pd.DataFrame({k:d[k] for k in "xyhg"})
one=smf.wls("y ~ x + C(g) - 1",f,weights=f.h**-2.0).fit()
two=smf.wls("y ~ x:C(g) + C(g) - 1",f,weights=f.h**-2.0).fit()
a=anova_lm(one,two)
own=[i for i in one.params.index if i!="x"]
out["b"]=[one.params["x"]]+[one.params[i] for i in own]
out["se"]=[one.bse["x"]]+[one.bse[i] for i in own]
out["f"]=[a.F[1],a["Pr(>F)"][1],a.df_diff[1],a.df_resid[1]]`)
		got, se := slices.Clone(p.Shared), slices.Clone(p.SharedSE)
		for g := range groups {
			got, se = append(got, p.Own[g]...), append(se, p.OwnSE[g]...)
		}
		compare(t, name+": coefficient", got, want["b"], 1e-10)
		compare(t, name+": standard error", se, want["se"], 1e-10)
		compare(t, name+": F, chance and freedom", []float64{p.F, p.Chance, float64(p.DF1), float64(p.DF2)}, want["f"], 1e-5)
		if supported := p.Chance >= 0.01; supported != (name == "one slope") {
			t.Errorf("%s: chance %v", name, p.Chance)
		}
	}
}

func TestPoolErrorsAndPerfectGroups(t *testing.T) {
	a := Group{decimals(t, "0 1 2"), decimals(t, "1 2 3"), decimals(t, "1 1 1")}
	b := Group{decimals(t, "0 1 2"), decimals(t, "5 6 7"), decimals(t, "1 1 1")}
	bent := Group{decimals(t, "0 1 2"), decimals(t, "5 7 9"), decimals(t, "1 1 1")}
	still := Group{decimals(t, "1 1 1"), decimals(t, "5 7 9"), decimals(t, "1 1 1")}
	if p, err := Pool([]Group{a, b}, []int{1}, []int{0}); err != nil || p.F != 0 || p.Chance != 1 || p.Shared[0] != 1 || p.Own[1][0] != 5 {
		t.Errorf("two parallel lines: %+v, %v", p, err)
	}
	if p, err := Pool([]Group{a, bent}, []int{1}, []int{0}); err != nil || !math.IsInf(p.F, 1) || p.Chance != 0 {
		t.Errorf("two perfect lines of two slopes: %+v, %v", p, err)
	}
	for _, c := range []struct {
		groups      []Group
		shared, own []int
		want        string
	}{
		{[]Group{a}, []int{1}, []int{0}, "1 groups: want at least two to pool"},
		{[]Group{a, b}, nil, []int{0}, "no shared power: want at least one"},
		{[]Group{a, b}, []int{1}, []int{1}, "powers [1] shared and [1] own: want each once, from 0"},
		{[]Group{a, still}, []int{1}, []int{0}, "group 2: the design is rank deficient: column 2 is a linear combination of those before it"},
		{[]Group{a, {X: a.X, Y: a.Y}}, []int{1}, []int{0}, "group 2: 3 values of x and 0 half-widths for 3 values of y: want as many"},
		{[]Group{a, {X: a.X[:1], Y: a.Y[:1], Half: a.Half[:1]}}, []int{1}, []int{0}, "group 2: 1 rows for 2 parameters: a fit with standard errors needs at least 3 rows"},
	} {
		if _, err := Pool(c.groups, c.shared, c.own); err == nil || err.Error() != c.want {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

func BenchmarkResist(b *testing.B) {
	for _, n := range []int64{8, 16, 50} {
		var x, y []*big.Rat
		for i := range n {
			x = append(x, big.NewRat(-400+17*i+i*i%7, 100))
			y = append(y, big.NewRat(-4417+183*i+(i*i*31)%97, 10000))
		}
		design, half := PowersDesign(x, 0, 1), same("1/1000", len(y))
		b.Run(fmt.Sprintf("%dx2", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Resist(design, y, half, Bounds{5, 3, 3}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Clean lines and parabolas of normal scatter, rounded as print rounds: two or more
// rows are left out of at most 1 in 100 (the chance that Resist states), and one of
// as few as the bound of Student's t allows. Two rows wrong by 30 of the larger of
// scatter and rounding are named, both and no other, in at least 95 of 100.
func TestResistOnMadeRows(t *testing.T) {
	random := rand.New(rand.NewPCG(45, 6))
	const trials = 300
	for _, c := range []struct {
		n       int
		powers  []int
		scatter float64 // in half-widths
	}{{8, []int{0, 1}, 0}, {8, []int{0, 1}, 3}, {12, []int{0, 1}, 1}, {16, []int{0, 1}, 6}, {9, []int{0, 1, 2}, 0}, {14, []int{0, 1, 2}, 2}} {
		several, one, found := 0, 0, 0
		for range trials {
			var x, y []*big.Rat
			for i := range c.n {
				x = append(x, big.NewRat(int64(i), 1))
				value := 100.3 + 79.1*float64(i) + 4.37*float64(i*i)*float64(len(c.powers)-2) + c.scatter/2*random.NormFloat64()
				y = append(y, big.NewRat(int64(math.Round(value)), 1000))
			}
			design, half := PowersDesign(x, c.powers...), same(".0005", c.n)
			r, err := Resist(design, y, half, Bounds{5, 3, 3})
			if err != nil {
				t.Fatal(err)
			}
			switch len(r.Left) {
			case 0:
			case 1:
				one++
			default:
				several++
			}
			a := 1 + random.IntN(c.n-2)
			b := (a + 1 + random.IntN(c.n-1)) % c.n
			for k, i := range []int{a, b} {
				size := int64(15 * (1 + c.scatter))
				if random.IntN(2) == 0 {
					size = -size
				}
				y[i] = new(big.Rat).Add(y[i], big.NewRat(size+int64(k), 1000))
			}
			if r, err = Resist(design, y, half, Bounds{5, 3, 3}); err != nil {
				t.Fatal(err)
			}
			if len(r.Left) == 2 && r.Left[0].Row == min(a, b) && r.Left[1].Row == max(a, b) {
				found++
			}
		}
		t.Logf("%d rows, powers %v, scatter %v half-widths: of %d clean %d with one left out, %d with several; %d of two wrong rows named", c.n, c.powers, c.scatter, trials, one, several, found)
		if several > trials/100 || one > trials/20 {
			t.Errorf("%d rows, powers %v, scatter %v: of %d clean, one is left out of %d and several of %d", c.n, c.powers, c.scatter, trials, one, several)
		}
		if found < trials*95/100 {
			t.Errorf("%d rows, powers %v, scatter %v: both wrong rows are named in %d of %d", c.n, c.powers, c.scatter, found, trials)
		}
	}
}
