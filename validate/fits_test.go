package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

func toldFits(r *Report) []string {
	var list []string
	for _, f := range r.Fits {
		text := fmt.Sprintf("%s %s:%s %s %s = %.5g %s, s.e. %.3g, half %.3g, %d cells", f.Subject, f.Table, f.Column, f.Name, f.Symbol, f.Value, f.Unit, f.StdError, f.Half, len(f.Cells))
		if len(f.LeftOut) > 0 {
			text += " without " + strings.Join(cellTexts(f.LeftOut), " ")
		}
		if f.Doubted {
			text += ", doubted"
		}
		if f.Pooled {
			text += fmt.Sprintf(", pooled over %d, chance %.3g", len(f.Configs), f.Chance)
		}
		list = append(list, text)
	}
	return list
}

func compareFits(t *testing.T, r *Report, want ...string) {
	t.Helper()
	if got := toldFits(r); !slices.Equal(got, want) {
		t.Errorf("fits:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Wanted values: numpy and scipy, normal equations, Student's t and Fisher's F of the
// same points; half-widths 1.96 sqrt(h^2/3 (X'X)^-1) where that is wider.
func TestFitsOfAReport(t *testing.T) {
	compareFits(t, check(t, wingStudy()),
		"wing-a polar:cl lift-curve slope a = 4.5264 /rad, s.e. 0, half 0.00387, 12 cells",
		"wing-a polar:cl zero-lift angle alpha_L0 = -2 deg, s.e. 0, half 0.00389, 12 cells",
		"wing-a polar:cd zero-lift drag coefficient C_D0 = 0.010009 1, s.e. 1.63e-05, half 4.19e-05, 14 cells",
		"wing-a polar:cd lift-dependent drag factor k = 0.058897 1, s.e. 5.51e-05, half 0.000142, 14 cells",
		"wing-a polar:cd span efficiency e = 0.90076 1, s.e. 0.000843, half 0.00292, 15 cells")
}

// A figure lost its place to another and two figures are exchanged: neither moves
// the fit, and both are named. Wanted values as above, of the other points.
func TestTwoWrongFiguresMoveNoFit(t *testing.T) {
	s := wingStudy()
	liftOnly(s, "-4|-.159", "-3|-.078", "-2|.001", "-1|.178", "0|.159", "1|.236", "2|.317", "3|.349", "4|.475", "5|.552", "6|.633", "7|.711",
		"8|.789", "9|.868", "10|.948", "12|1.100", "14|1.250")
	compareFits(t, check(t, s,
		`doubt lift-curve-slope polar:r04:cl: C_L .178 at -1 deg stands off the straight part of the lift curve by 0.0987 (studentized residual 91.5) | expected 0.079, from a line through the other 10 points of polar | t0000000a/r04/alpha t0000000a/r04/cl | miss 197.41`,
		`doubt lift-curve-slope polar:r08:cl: C_L .349 at 3 deg stands off the straight part of the lift curve by -0.0463 (studentized residual -43.6) | expected 0.395, from a line through the other 10 points of polar | t0000000a/r08/alpha t0000000a/r08/cl | miss 92.60`),
		"wing-a polar:cl lift-curve slope a = 4.5265 /rad, s.e. 0.00497, half 0.0115, 20 cells without t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r08/alpha t0000000a/r08/cl",
		"wing-a polar:cl zero-lift angle alpha_L0 = -2.0037 deg, s.e. 0.00565, half 0.013, 20 cells without t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r08/alpha t0000000a/r08/cl")
	s = wingStudy()
	dragOnly(s, ".000|.0101", ".100|.0105", ".200|.0154", ".300|.0152", ".400|.0195", ".500|.0246", ".600|.0343", ".700|.0388", ".800|.0478", "1.200|.0949")
	compareFits(t, check(t, s,
		`doubt drag-polar polar:r03:cd: C_D .0154 at C_L .200 stands off the polar by 0.0031 (studentized residual 26.6) | expected 0.0123, from a parabola through the other 7 points of polar | t0000000a/r03/cl t0000000a/r03/cd | miss 61.78`,
		`doubt drag-polar polar:r07:cd: C_D .0343 at C_L .600 stands off the polar by 0.0031 (studentized residual 27.0) | expected 0.0312, from a parabola through the other 7 points of polar | t0000000a/r07/cl t0000000a/r07/cd | miss 62.70`),
		"wing-a polar:cd zero-lift drag coefficient C_D0 = 0.0099668 1, s.e. 5.96e-05, half 0.000153, 14 cells without t0000000a/r03/cl t0000000a/r03/cd t0000000a/r07/cl t0000000a/r07/cd",
		"wing-a polar:cd lift-dependent drag factor k = 0.058983 1, s.e. 0.000182, half 0.000469, 14 cells without t0000000a/r03/cl t0000000a/r03/cd t0000000a/r07/cl t0000000a/r07/cd",
		"wing-a polar:cd span efficiency e = 0.89944 1, s.e. 0.00278, half 0.0079, 15 cells without t0000000a/r03/cl t0000000a/r03/cd t0000000a/r07/cl t0000000a/r07/cd")
}

// A curve that bends at its ends has no wrong figure there, and a tenfold figure on
// the straight part is no greatest lift: the range that is fitted stays as it was.
func TestBendsAndPeaksAreNoRange(t *testing.T) {
	s := wingStudy()
	liftOnly(s, "-5|-.290", "-4|-.180", "-3|-.079", "-2|.000", "-1|.079", "0|.158", "1|.237", "2|.316", "3|.395", "4|.474", "5|.553", "6|.612", "7|.661", "14|1.200")
	for _, f := range check(t, s).Fits {
		if len(f.LeftOut) > 0 {
			t.Errorf("%s without %v", f.Name, f.LeftOut)
		}
	}
	s = wingStudy()
	set(s, polarID, "r05", "cl", "4.74") // .474 at 4 deg
	set(s, polarID, "r05", "ld", "204.3")
	for _, f := range Run(s, nil).Fits {
		if want := map[string]int{"lift-curve slope": 10, "zero-lift angle": 10, "zero-lift drag coefficient": 12, "lift-dependent drag factor": 12, "span efficiency": 13}[f.Name]; len(f.Cells) != want {
			t.Errorf("%s of %d cells, want %d: %v", f.Name, len(f.Cells), want, f.Cells)
		}
	}
}

// flapped makes the wing's polar a table of lift curves with a plain flap.
func flapped(s *extract.Study, list ...string) {
	t := table(s, polarID)
	t.Columns, t.Relations = append([]extract.Column{{Key: "flap", Quantity: "flap deflection", Unit: "deg"}}, t.Columns[:2]...), nil
	t.Basis.Configuration = extract.Configuration{Flap: "plain", Deflection: "column flap"}
	rows(s, polarID, list...)
}

// Wanted values as above; the pooled line's F by numpy's polyfit of each curve.
func TestPooledFitsOfAReport(t *testing.T) {
	up := []string{"0|-4|-.158", "0|-2|.001", "0|0|.157", "0|2|.316", "0|4|.475", "0|6|.631", "0|8|.790", "0|10|.948", "0|14|1.200"}
	s := wingStudy()
	flapped(s, append(slices.Clone(up), "20|-4|.342", "20|-2|.500", "20|0|.659", "20|2|.816", "20|4|.974", "20|6|1.133", "20|8|1.291", "20|10|1.450", "20|14|1.900")...)
	r := Run(s, nil)
	compareFits(t, r,
		"wing-a polar:cl lift-curve slope a = 4.5231 /rad, s.e. 0.00665, half 0.0185, 12 cells",
		"wing-a polar:cl zero-lift angle alpha_L0 = -2.0022 deg, s.e. 0.00669, half 0.0186, 12 cells",
		"wing-a polar:cl lift-curve slope a = 4.5296 /rad, s.e. 0.0036, half 0.00999, 12 cells",
		"wing-a polar:cl zero-lift angle alpha_L0 = -8.3266 deg, s.e. 0.00789, half 0.0219, 12 cells",
		"wing-a polar:cl lift-curve slope a = 4.5264 /rad, s.e. 0.00373, half 0.00843, 24 cells, pooled over 2, chance 0.412")
	last := r.Fits[len(r.Fits)-1]
	if !last.Supported() || last.Configs[0].Deflection != "0" || last.Configs[1].Deflection != "20" {
		t.Errorf("%+v", last)
	}
	// Another slope of the lowered flap: no slope is shared.
	s = wingStudy()
	flapped(s, append(slices.Clone(up), "20|-4|.302", "20|-2|.480", "20|0|.659", "20|2|.836", "20|4|1.014", "20|6|1.193", "20|8|1.371", "20|10|1.550", "20|14|2.000")...)
	r = Run(s, nil)
	if last := r.Fits[len(r.Fits)-1]; !last.Pooled || last.Supported() || !last.Doubted || !(last.Chance < 1e-6) || math.IsNaN(last.Half) {
		t.Errorf("%+v", last)
	}
}
