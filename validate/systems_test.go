package validate

import (
	"fmt"
	"strings"
	"testing"

	"windtally/extract"
)

// The polar of a wing of aspect ratio 6, scaled: Helmbold's slope of 0.0790 per degree
// (DERIVED), C_D = .0100 + C_L^2/(pi 6 0.9), greatest C_L 1.20 and a stall behind it.
var (
	polarAngles = []float64{-4, -2, 0, 2, 4, 6, 8, 10, 12, 14, 16}
	polarLift   = []float64{-.158, 0, .158, .316, .474, .632, .790, .948, 1.100, 1.200, 1.100}
	polarDrag   = []float64{.0115, .0100, .0115, .0159, .0232, .0335, .0468, .0630, .0813, .0949, .1500}
)

// scaledPolar prints the polar with all coefficients multiplied by factor.
func scaledPolar(s *extract.Study, factor, angle float64, points int) {
	t := table(s, polarID)
	t.Columns, t.Relations = t.Columns[:3], nil
	var list []string
	for i := range polarAngles[:points] {
		list = append(list, fmt.Sprintf("%.3f|%.6f|%.7f", polarAngles[i]*angle, polarLift[i]*factor, polarDrag[i]*factor))
	}
	rows(s, polarID, list...)
}

// says keeps of each finding what a case compares: check and message.
func says(t *testing.T, s *extract.Study, want ...string) {
	t.Helper()
	var got []string
	for _, f := range Run(s, nil).Findings {
		if f.Severity != Blocking || f.Mend {
			t.Errorf("%s does not block, or cannot be ruled on: %s", f.Check, f.Message)
		}
		got = append(got, f.Check+": "+f.Message+" | "+f.Hint)
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("findings:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Each trap, and its clean twin. The systems' factors: 2, 1/100, 391 and 16 (from
// memory and DERIVED, see the tests of package normalize).
func TestSystemOfAPolar(t *testing.T) {
	const look = " | look for the definition in the report; if it is so, write "
	stated := func(s *extract.Study, system, density string) {
		table(s, polarID).Basis.Coefficients, table(s, polarID).Basis.Density = system, density
	}
	for _, c := range []struct {
		name   string
		change func(s *extract.Study)
		want   []string
	}{
		{"absolute", func(s *extract.Study) { scaledPolar(s, 1, 1, 11) }, nil},
		{"k_L declared absolute", func(s *extract.Study) { scaledPolar(s, .5, 1, 11) }, []string{
			"coefficient-system: the coefficients are stated as absolute, and their sizes are those of british-k: the greatest lift coefficient 0.600000 would be 1.2; the slope of polar, 2.26 per radian, would be 4.53; the span efficiency of polar, 0.45, would be 0.901" +
				look + "coefficients: british-k in tables/polar.yaml, else confirm"}},
		{"k_L declared k_L", func(s *extract.Study) { scaledPolar(s, .5, 1, 11); stated(s, "british-k", "") }, nil},
		{"absolute declared k_L", func(s *extract.Study) { scaledPolar(s, 1, 1, 11); stated(s, "british-k", "") }, []string{
			"coefficient-system: the coefficients are stated as british-k, and their sizes are those of absolute: the greatest lift coefficient 1.200000, which is 2.4 as stated, would be 1.2; the slope of polar, 9.05 per radian, would be 4.53; the span efficiency of polar, 1.8, would be 0.901" +
				look + "coefficients: absolute in tables/polar.yaml, else confirm"}},
		{"k_L declared absolute, a table that stops below the stall", func(s *extract.Study) { scaledPolar(s, .5, 1, 9) }, []string{
			"coefficient-system: the coefficients are stated as absolute, and their sizes are those of british-k: the slope of polar, 2.26 per radian, would be 4.53; the span efficiency of polar, 0.451, would be 0.903" +
				look + "coefficients: british-k in tables/polar.yaml, else confirm"}},
		{"absolute, a table that stops below the stall", func(s *extract.Study) { scaledPolar(s, 1, 1, 7) }, nil},
		{"100 C declared absolute", func(s *extract.Study) { scaledPolar(s, 100, 1, 11) }, []string{
			"coefficient-system: the coefficients are stated as absolute, and their sizes are those of hundredfold or percent: the greatest lift coefficient 120.000000 would be 1.2; the slope of polar, 453 per radian, would be 4.53; the span efficiency of polar, 90.1, would be 0.901" +
				look + "coefficients: hundredfold (or unit: %) in tables/polar.yaml, else confirm",
		}},
		{"100 C declared hundredfold", func(s *extract.Study) { scaledPolar(s, 100, 1, 11); stated(s, "hundredfold", "") }, nil},
		{"fractions declared percent", func(s *extract.Study) {
			scaledPolar(s, 1, 1, 11)
			table(s, polarID).Columns[1].Unit, table(s, polarID).Columns[2].Unit = "%", "%"
		}, []string{
			"coefficient-system: the coefficients are stated as absolute in percent, and their sizes are those of fractions and not percent: the greatest lift coefficient 1.200000, which is 0.012 as stated, would be 1.2; the slope of polar, 0.0453 per radian, would be 4.53; the span efficiency of polar, 0.00901, would be 0.901" +
				look + "unit: 1 in tables/polar.yaml, else confirm"}},
		{"absolute declared hundredfold", func(s *extract.Study) { scaledPolar(s, 1, 1, 11); stated(s, "hundredfold", "") }, []string{
			"coefficient-system: the coefficients are stated as hundredfold, and their sizes are those of absolute: the greatest lift coefficient 1.200000, which is 0.012 as stated, would be 1.2; the slope of polar, 0.0453 per radian, would be 4.53; the span efficiency of polar, 0.00901, would be 0.901" +
				look + "coefficients: absolute in tables/polar.yaml, else confirm"}},
		{"lb per sq ft per (mph)^2 declared absolute", func(s *extract.Study) { scaledPolar(s, 1/390.98068, 1, 11) }, []string{
			"coefficient-system: the coefficients are stated as absolute, and their sizes are those of engineering-mph: the greatest lift coefficient 0.003069 would be 1.2; the slope of polar, 0.0116 per radian, would be 4.53; the span efficiency of polar, 0.0023, would be 0.901" +
				look + "coefficients: engineering-mph in tables/polar.yaml, else confirm"}},
		{"the same declared so", func(s *extract.Study) {
			scaledPolar(s, 1/390.98068, 1, 11)
			stated(s, "engineering-mph", "standard-period")
		}, nil},
		{"metric K declared british-k", func(s *extract.Study) { scaledPolar(s, 1/16.00384, 1, 11); stated(s, "british-k", "") }, []string{
			"coefficient-system: the coefficients are stated as british-k, and their sizes are those of metric-k: the greatest lift coefficient 0.074982, which is 0.15 as stated, would be 1.2; the slope of polar, 0.566 per radian, would be 4.53; the span efficiency of polar, 0.113, would be 0.901" +
				look + "coefficients: metric-k in tables/polar.yaml, else confirm"}},
		{"metric K declared so", func(s *extract.Study) { scaledPolar(s, 1/16.00384, 1, 11); stated(s, "metric-k", "standard-period") }, nil},
		{"radians declared degrees", func(s *extract.Study) { scaledPolar(s, 1, .0174533, 11) }, []string{
			"coefficient-system: the angles are stated in degrees, and their sizes are those of angles in radians: the greatest lift coefficient 1.200000 fits; the slope of polar, 259 per radian, would be 4.51; the span efficiency of polar, 0.901 fits" +
				look + "unit: rad for the angle of attack in tables/polar.yaml, else confirm"}},
		// A small wing at a low Reynolds number: a small maximum, and an honest slope.
		{"a small maximum alone", func(s *extract.Study) {
			dragOnly(s)
			table(s, polarID).Columns = wingStudy().Tables[0].Columns[:2]
			rows(s, polarID, "-4|-.158", "-2|.000", "0|.158", "2|.316", "4|.474", "5|.553", "6|.620", "8|.700", "10|.720", "12|.690")
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := wingStudy()
			c.change(s)
			says(t, s, c.want...)
		})
	}
}

// Maxima and slopes in one table of characteristics, and stall speeds beside C_Lmax.
func TestSystemOfCharacteristics(t *testing.T) {
	const look = " | look for the definition in the report; if it is so, write "
	list := func(system, unit, slope, maximum string) *extract.Study {
		s := wingStudy()
		s.Tables, s.Subjects[0].Tables = s.Tables[1:], s.Subjects[0].Tables[1:]
		b := wingBasis()
		b.Coefficients = system
		addTable(s, extract.Table{ID: "t00000001", Name: "list", Basis: b, Columns: []extract.Column{{Key: "a", Quantity: "lift-curve slope", Unit: unit}, {Key: "m", Quantity: "maximum lift coefficient", Unit: "1"}}}, "keyed-ab", slope+"|"+maximum)
		s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "list"})
		return s
	}
	says(t, list("absolute", "per deg", ".0790", "1.30"))
	says(t, list("british-k", "per deg", ".0395", ".65"))
	says(t, list("absolute", "per deg", ".0395", ".65"),
		"coefficient-system: the coefficients are stated as absolute, and their sizes are those of british-k: the maximum lift coefficient .65 would be 1.3; the stated slope, 2.26 per radian, would be 4.53"+look+"coefficients: british-k in tables/list.yaml, else confirm")
	says(t, list("absolute", "per radian", ".0790", "1.30"),
		"coefficient-system: the slopes are stated per radian, and their sizes are those of a slope per degree: the maximum lift coefficient 1.30 fits; the stated slope, 0.079 per radian, would be 4.53"+look+"unit: per deg in tables/list.yaml, else confirm")
	says(t, list("absolute", "per deg", "4.53", "1.30"),
		"coefficient-system: the slopes are stated per degree, and their sizes are those of a slope per radian: the maximum lift coefficient 1.30 fits; the stated slope, 260 per radian, would be 4.53"+look+"unit: per radian in tables/list.yaml, else confirm")
	says(t, list("absolute", "per radian", ".0395", ".65"),
		"coefficient-system: the coefficients are stated as absolute, and their sizes are those of british-k and the slope per degree: the maximum lift coefficient .65 would be 1.3; the stated slope, 0.0395 per radian, would be 4.53"+look+"coefficients: british-k and for the slope unit: per deg in tables/list.yaml, else confirm")
	// A small maximum and a right slope: silent.
	says(t, list("absolute", "per deg", ".0790", ".70"))

	lift := func(system, up, down string) *extract.Study {
		s := craftStudy()
		table(s, liftID).Basis.Coefficients = system
		rows(s, liftID, "0.0|"+up, "40.0|"+down)
		return s
	}
	says(t, lift("absolute", "1.60", "2.10"))
	says(t, lift("british-k", ".800", "1.050"))
	says(t, lift("absolute", ".800", "1.050"),
		"coefficient-system: the coefficients are stated as absolute, and their sizes are those of british-k: the maximum lift coefficient .800 would be 1.6; C_Lmax .800 over 1.6, which the stall speed 56.0 knot implies, would be 1"+look+"coefficients: british-k in tables/lift.yaml, else confirm")
	speeds := func(unit, up, down string) *extract.Study {
		s := craftStudy()
		table(s, stallsID).Columns[2].Unit = unit
		rows(s, stallsID, "0|13127.5|"+up, "40|13127.5|"+down)
		return s
	}
	const mend = " | look at the head; if it is so, mend unit: in tables/stalls.yaml. True airspeeds at height, or another weight, may miss by as much; confirm, if the unit is as stated"
	says(t, speeds("mph", "64.4", "56.2"))
	says(t, speeds("knots", "64.4", "56.2"), "coefficient-system: the stall speeds are stated in knot, and they fit their C_Lmax as statute mile per hour: 64.4 implies C_Lmax 1.21 where 1.60 is printed; 56.2 implies C_Lmax 1.59 where 2.10 is printed"+mend)
	says(t, speeds("km/h", "103.7", "90.4"))
	says(t, speeds("mph", "103.7", "90.4"), "coefficient-system: the stall speeds are stated in statute mile per hour, and they fit their C_Lmax as kilometre per hour: 103.7 implies C_Lmax 0.62 where 1.60 is printed; 90.4 implies C_Lmax 0.81 where 2.10 is printed"+mend)
	says(t, speeds("km/h", "64.4", "56.2"), "coefficient-system: the stall speeds are stated in kilometre per hour, and they fit their C_Lmax as statute mile per hour: 64.4 implies C_Lmax 4.14 where 1.60 is printed; 56.2 implies C_Lmax 5.44 where 2.10 is printed"+mend)
}

// Who withholds the finding withholds the columns in the wrong system, and no more than
// these and what bears on them; another fault keeps its own finding.
func TestAFindingOnTheSystemHasTheWholeColumns(t *testing.T) {
	s := wingStudy()
	scaledPolar(s, .5, 1, 11)
	r := Run(s, nil)
	if len(r.Findings) != 1 {
		t.Fatalf("findings: %v", tell(r))
	}
	counts := map[string]int{}
	for _, id := range r.Findings[0].Cells {
		counts[id.Table+" "+id.Column]++
	}
	if counts[polarID+" cl"] != 11 || counts[polarID+" cd"] != 11 || counts[wingID+" value"] != 1 {
		t.Errorf("cells: %v", counts)
	}

	// A misprinted point stays a finding of its own.
	set(s, polarID, "r04", "cl", ".258000")
	var checks []string
	for _, f := range Run(s, nil).Findings {
		checks = append(checks, string(f.Severity)+" "+f.Check+" "+f.Where)
	}
	if got := strings.Join(checks, "; "); !strings.Contains(got, "doubt lift-curve-slope polar:r04:cl") || !strings.Contains(got, "blocking coefficient-system polar") {
		t.Errorf("findings: %s", got)
	}
}
