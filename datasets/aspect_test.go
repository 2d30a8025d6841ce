package datasets

import (
	"math"
	"testing"
)

// Glauert's factors of the rectangular wing at A/a0 = 1 (FROM MEMORY, two digits, of four
// points of collocation): tau 0.17, delta 0.049.
// 320 points, worked apart from this program, give
// 0.165898 and 0.051076, and for a taper of 0.2 at A = 12 0.069604 and 0.037482 (DERIVED).
func TestFormulasKnowTheLiftingLine(t *testing.T) {
	for _, c := range []struct {
		formula         string
		want, tolerance float64
	}{
		{"TAU(6, 6, 1)", 0.17, 0.008},
		{"DELTA(6, 6, 1)", 0.049, 0.006},
		{"TAU(6, 6, 1)", 0.165898, 1e-6},
		{"DELTA(6, 6, 1)", 0.051076, 1e-6},
		{"TAU(12, 6, 0.2)", 0.069604, 1e-6},
		{"DELTA(12, 6, 0.2)", 0.037482, 1e-6},
		{"TAU(v01, 6, 1) * 2", 2 * 0.165898, 2e-6},
		{"180 / pi", 57.29578, 1e-5},
		{"-0.125 * v01 + 1", 0.25, 1e-12},
	} {
		f, err := parseFormula(c.formula, map[[3]float64][2]float64{})
		if err != nil {
			t.Errorf("%s: %v", c.formula, err)
			continue
		}
		if got, err := f.value(map[string]float64{"v01": 6}); err != nil || !(math.Abs(got-c.want) <= c.tolerance) {
			t.Errorf("%s = %v (%v), want %v", c.formula, got, err, c.want)
		}
	}
	for text, want := range map[string]string{
		"TAU(6, 6)":       `")" stands where "," would be right`,
		"TAU 6":           `"6" stands where "(" would be right`,
		"DELTA(6, 6, 1":   `"" stands where ")" would be right`,
		"TAU(6, 6, 1, 1)": `"," stands where ")" would be right`,
	} {
		if _, err := parseFormula(text, map[[3]float64][2]float64{}); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", text, err, want)
		}
	}
	for text, want := range map[string]string{
		"TAU(0, 6, 1)":     "TAU(0, 6, 1) is of no wing: aspect ratio, section slope per radian and taper ratio would be right",
		"DELTA(6, 0.1, 1)": "DELTA(6, 0.1, 1) is of no wing: aspect ratio, section slope per radian and taper ratio would be right",
		"TAU(6, 6, 1.5)":   "TAU(6, 6, 1.5) is of no wing: aspect ratio, section slope per radian and taper ratio would be right",
	} {
		f, err := parseFormula(text, map[[3]float64][2]float64{})
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if _, err := f.value(nil); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", text, err, want)
		}
	}
}
