package normalize

import (
	"math/big"
	"strings"
	"testing"

	"windtally/extract"
)

// inSystem is one figure of a quantity in a system, with a density that stands in
// the caption.
func inSystem(system, density, quantity, unit, head, figure string) *Series {
	b := full()
	b.Coefficients, b.Density = system, density
	t, r := grid([]extract.Column{{Key: "x", Head: head, Quantity: quantity, Unit: unit}}, b, figure)
	t.Givens = append(t.Givens, extract.Column{Key: "rho", Quantity: "air density", Unit: "slug/cu ft"}, extract.Column{Key: "rhom", Quantity: "air density", Unit: "kg s2/m4"})
	for key, text := range map[string]string{"rho": "0.00230", "rhom": "0.125"} {
		r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: key, Text: text, Confidence: -1})
	}
	return series(t, r)
}

// Values worked out apart from this program, in exact fractions by Python, from the
// definitions and the standard densities of NACA's page of symbols, 0.002378 slug/ft3
// and 0.12497 kgf s2/m4 (VERIFIED in TR 824): (88/60)^2 0.002378/2 = 0.00255767 lb/sq ft
// at 1 mph, whence C = 390.98068 K; 0.002378/2 = 0.001189 at 1 ft/s; C = 16.0038 K in
// metric units, and 16 K at 0.125. The definitions of the systems: from memory.
func TestSystemsBecomeAbsolute(t *testing.T) {
	for _, c := range []struct {
		system, density, quantity, unit, printed string
		value, half                              string // as published
	}{
		{"absolute", "", "lift coefficient", "1", "1.304", "1.304", "0.0005"},
		{"british-k", "", "lift coefficient", "1", ".652", "1.304000", "0.001"},
		{"british-k", "", "lift coefficient", "1", "-.010", "-0.020000", "0.001"},
		{"british-k", "", "lift coefficient", "1", ".000", "0.000000", "0.001"},
		{"british-k", "", "drag coefficient", "1", ".0052", "0.0104000", "0.0001"},
		{"british-k", "", "pitching-moment coefficient", "1", "-.040", "-0.080000", "0.001"},
		{"british-k", "", "lift increment", "1", ".25", "0.50000", "0.01"},
		{"british-k", "", "drag increment", "1", ".05", "0.10000", "0.01"},
		{"british-k", "", "pitching-moment increment", "1", "-.05", "-0.10000", "0.01"},
		{"british-k", "", "maximum lift coefficient", "1", ".63", "1.26000", "0.01"},
		{"british-k", "", "minimum drag coefficient", "1", ".0048", "0.0096000", "0.0001"},
		{"british-k", "", "zero-lift moment coefficient", "1", "-.025", "-0.050000", "0.001"},
		// 2 x .0385 x 180/pi = 4.41177503
		{"british-k", "", "lift-curve slope", "per deg", ".0385", "4.411775", "0.00573"},
		{"british-k", "", "lift-curve slope", "per radian", "2.206", "4.412000", "0.001"},
		{"hundredfold", "", "lift coefficient", "1", "63.2", "0.6320000", "0.0005"},
		{"hundredfold", "", "drag coefficient", "1", "1.15", "0.01150000", "0.00005"},
		{"hundredfold", "", "lift-curve slope", "per deg", "7.9", "4.52637", "0.02865"},
		// .00330/(.002378/2 (88/60)^2) = 1.29023632
		{"engineering-mph", "standard-period", "lift coefficient", "1", ".00330", "1.290236", "0.001955"},
		{"engineering-mph", "standard-period", "lift coefficient", "10*-3", "3.30", "1.290236", "0.001955"},
		{"engineering-mph", "standard-period", "drag coefficient", "1", ".0000360", "0.01407530", "0.00001955"},
		// At 0.0023769 slug/ft3, which is 1.225 kg/m3: .00330/.00255648 = 1.290837.
		{"engineering-mph", "standard-modern", "lift coefficient", "1", ".00330", "1.290837", "0.001956"},
		// .000200 x 390.98068 x 57.295780 = 4.480309
		{"engineering-mph", "standard-period", "lift-curve slope", "per deg", ".000200", "4.48031", "0.01121"},
		// .001545/.001189 = 1.29941127
		{"engineering-fps", "standard-period", "lift coefficient", "1", ".001545", "1.2994113", "0.0004206"},
		// .0813/(.12497/2) = 1.30111227
		{"metric-k", "standard-period", "lift coefficient", "1", ".0813", "1.3011123", "0.0008002"},
		// .00627 x 12.96/(.12497/2) = 1.30045931
		{"metric-kmh", "standard-period", "lift coefficient", "1", ".00627", "1.300459", "0.001038"},
		// At 0.00230: .00330/(.00115 (88/60)^2) = 1.33399216; the farthest,
		// .003305/(.0011475 (88/60)^2), is 1.33892437.
		{"engineering-mph", "given rho", "lift coefficient", "1", ".00330", "1.333992", "0.004932"},
		// At 0.125: 16 x .0813 = 1.3008; the farthest, .08135/.06225, is 1.30682731.
		{"metric-k", "given rhom", "lift coefficient", "1", ".0813", "1.300800", "0.006028"},
	} {
		s := inSystem(c.system, c.density, c.quantity, c.unit, "", c.printed)
		wantProblems(t, s)
		d := s.Rows[0].Datum("x")
		if d == nil || d.Refused {
			t.Errorf("%s %s %s: %+v", c.system, c.quantity, c.printed, d)
			continue
		}
		if got, half := d.Number().String(), PublishedHalf(d.Half).String(); got != c.value || half != c.half {
			t.Errorf("%s %s %s %s: %s half %s, want %s half %s", c.system, c.density, c.quantity, c.printed, got, half, c.value, c.half)
		}
		if d.Numeral.Rat().Sign() != d.Value.Sign() {
			t.Errorf("%s %s: the sign is lost", c.system, c.printed)
		}
	}
}

// The factor, and its reciprocal, against literals (DERIVED from TRADE.md 1.1's
// constants in exact fractions by Python); and the way back, which is exact.
func TestSystemFactors(t *testing.T) {
	for name, want := range map[string][2]string{
		"absolute":        {"1.0000000000", "1.0000000000"},
		"british-k":       {"2.0000000000", "0.5000000000"},
		"hundredfold":     {"0.0100000000", "100.0000000000"},
		"engineering-mph": {"390.9806838165", "0.0025576711"}, // (88/60)^2 x .001189
		"engineering-fps": {"841.0428931876", "0.0011890000"},
		"metric-k":        {"16.0038409218", "0.0624850000"},
		"metric-kmh":      {"207.4097783468", "0.0048213735"}, // TRADE.md 1.1: q = .0048214 V_kmh^2
	} {
		s, ok := FindSystem(name)
		if !ok {
			t.Fatal(name)
		}
		f, err := s.Factor(nil)
		if err != nil {
			t.Fatal(err)
		}
		back := new(big.Rat).Inv(f)
		if f.FloatString(10) != want[0] || back.FloatString(10) != want[1] {
			t.Errorf("%s: %s and back %s, want %v", name, f.FloatString(10), back.FloatString(10), want)
		}
		k := big.NewRat(652, 1000)
		c := new(big.Rat).Mul(k, f)
		if c.Mul(c, back).Cmp(k) != 0 {
			t.Errorf("%s: there and back is not the same", name)
		}
	}
	if len(Systems()) != 7 {
		t.Errorf("%d systems, the test knows 7", len(Systems()))
	}
	s, _ := FindSystem("metric-k")
	for _, rho := range []*big.Rat{new(big.Rat), big.NewRat(-1, 1)} {
		if _, err := s.Factor(rho); err == nil || !strings.HasSuffix(err.Error(), "; it should be above zero") {
			t.Errorf("density %s: %v", rho, err)
		}
	}
}

func TestFormulaSaysTheSystem(t *testing.T) {
	for _, c := range []struct{ system, density, unit, want, published string }{
		{"absolute", "", "1", "", "absolute"},
		{"british-k", "", "1", "1 from 1 x 2 (british-k: C = 2 k)", "absolute, converted from british-k (k = F/(rho V^2 S))"},
		{"hundredfold", "", "1", "1 from 1 x 0.01 (hundredfold: C = c/100)", "absolute, converted from hundredfold (100 F/(q S))"},
		{"engineering-mph", "standard-period", "10*-3", "1 from 10*-3 x 390.980683816528 (engineering-mph: C = K/(rho/2), rho 0.002378 slug/ft3, standard-period)",
			"absolute, converted from engineering-mph (K = F/(S V^2) in lb per sq ft per (mile per hour)^2) with the standard density of the period, 0.002378 slug/ft3"},
		{"engineering-fps", "standard-modern", "1", "1 from 1 x 841.434805539912 (engineering-fps: C = K/(rho/2), rho 1.225 kg/m3, standard-modern)",
			"absolute, converted from engineering-fps (K = F/(S V^2) in lb per sq ft per (ft per s)^2) with the modern standard density, 1.225 kg/m3"},
		{"metric-k", "given rhom", "1", "1 from 1 x 16 (metric-k: C = K/(rho/2), rho 1.225831 kg/m3, cell given/rhom)",
			"absolute, converted from metric-k (K = F/(S V^2) in kgf per sq m per (m per s)^2) with the density that the source states"},
	} {
		d := inSystem(c.system, c.density, "lift coefficient", c.unit, "", "1").Rows[0].Datum("x")
		if d.Formula != c.want {
			t.Errorf("%s: formula %q, want %q", c.system, d.Formula, c.want)
		}
		if got := PublishedSystem(d.Basis); got != c.published {
			t.Errorf("%s: published as %q, want %q", c.system, got, c.published)
		}
	}
}

// A stated accuracy goes through the factor, and the density's digits join it: the
// farthest, .0833/.06225 = 1.3381526, is .0373526 from .0813/.0625 = 1.3008.
func TestAccuracyGoesThroughASystem(t *testing.T) {
	b := full()
	b.Coefficients, b.Density = "metric-k", "given rhom"
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "lift coefficient", Unit: "1"}}, b, ".0813")
	tb.Givens = append(tb.Givens, extract.Column{Key: "rhom", Quantity: "air density", Unit: "kg s2/m4"})
	r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: "rhom", Text: "0.125", Confidence: -1})
	tb.Accuracy = map[string]string{"x": ".002"}
	d := series(tb, r).Rows[0].Datum("x")
	if got := d.Accuracy.FloatString(7); got != "0.0373526" {
		t.Errorf("accuracy %s, want 0.0373526", got)
	}
	b.Coefficients, b.Density = "british-k", ""
	tb, r = grid([]extract.Column{{Key: "x", Quantity: "lift coefficient", Unit: "1"}}, b, ".652")
	tb.Accuracy = map[string]string{"x": ".005"}
	if got := series(tb, r).Rows[0].Datum("x").Accuracy.FloatString(4); got != "0.0100" {
		t.Errorf("accuracy %s, want 0.0100", got)
	}
}

func TestSystemsRefuse(t *testing.T) {
	refused := func(s *Series, want ...string) {
		t.Helper()
		wantProblems(t, s, want...)
		if d := s.Rows[0].Datum("x"); d == nil || !d.Refused {
			t.Errorf("not refused: %+v", d)
		}
	}
	refused(inSystem("engineering-mph", "", "lift coefficient", "1", "", ".0033"),
		`meaning-missing table:x: lift coefficient needs its density, which the basis does not state; write density: column KEY or given KEY of a figure of the quantity air density, standard-period (0.002378 slug/ft3, 0.12497 kgf s2/m4) or standard-modern (1.225 kg/m3)`)
	refused(inSystem("metric-k", "given nothing", "lift coefficient", "1", "", ".08"),
		`reference table:x: the density (given nothing) has no figure here, and a coefficient of metric-k is not absolute without it, so these figures are not published`)
	refused(inSystem("metric-k", "given w", "lift coefficient", "1", "", ".08"),
		`meaning-missing table:x: the basis names given w as the density, and its quantity is test weight; it should be air density`)
	refused(inSystem("french", "", "lift coefficient", "1", "", ".08"),
		`meaning-missing table:x: coefficients is "french", which is no known system; write absolute, british-k, hundredfold, engineering-mph, engineering-fps, metric-k or metric-kmh`)
	refused(inSystem("hundredfold", "", "lift coefficient", "%", "", "63"),
		`meaning-missing table:x: the coefficients are stated as hundredfold and the unit as percent, which would divide by 100 twice; write unit: 1, or coefficients: absolute`)
	refused(inSystem("british-k", "", "lift coefficient", "1", "k_L or C_L", ".6"),
		`meaning-missing table:x: lift coefficient (head "k_L or C_L"): the head names several systems of coefficients, C and k; a column should be in one`)

	// A rule for some rows puts them in another system than their column.
	b := full()
	b.Coefficients = "british-k"
	tb, r := grid([]extract.Column{{Key: "wing", Quantity: "label"}, {Key: "x", Head: "Lift", Quantity: "lift coefficient", Unit: "1"}}, b, "A|.652", "B|1.304")
	tb.Rows = []extract.RowRule{{Label: "A"}, {Label: "B", Basis: &extract.Basis{Coefficients: "absolute"}}}
	refused(series(tb, r),
		`meaning-missing table:x: lift coefficient (head "Lift"): its rows are in several systems of coefficients: british-k (rows r1), absolute (rows r2); a column should be in one`)
	tb.Rows[0].Basis, tb.Basis.Coefficients = &extract.Basis{Coefficients: "absolute"}, ""
	wantProblems(t, series(tb, r))
}

// The letters of other systems are guessed at for a person to confirm. From memory.
func TestGuessKnowsTheLettersOfSystems(t *testing.T) {
	for head, want := range map[string]string{"k_L": "lift coefficient", "kL": "lift coefficient", "Ky": "lift coefficient", "c_a": "lift coefficient", "Cz": "lift coefficient",
		"k D": "drag coefficient", "K_x": "drag coefficient", "c_w": "drag coefficient", "Cx": "drag coefficient", "kLmax": "maximum lift coefficient", "dkL/dα": "lift-curve slope",
		"Density of air": "air density", "km": "", "k": ""} {
		if got := Guess(head); got != want {
			t.Errorf("%q is guessed as %q, want %q", head, got, want)
		}
	}
}

// The symbols of heads against the stated system, each beside a clean twin. Letters
// from memory.
func TestHeadAgainstSystem(t *testing.T) {
	const density = "standard-period"
	k, engineer := "british-k, engineering-mph, engineering-fps, metric-k, metric-kmh", "engineering-mph, engineering-fps, metric-k, metric-kmh"
	for _, c := range []struct{ head, system, unit, fits string }{
		{"k_L", "absolute", "1", k}, {"kL", "absolute", "1", k}, {"k L max.", "absolute", "1", k}, {"kL", "british-k", "1", ""}, {"kL", "hundredfold", "1", k},
		{"K_y", "absolute", "1", engineer}, {"Ky", "british-k", "1", engineer}, {"Ky", "engineering-mph", "1", ""}, {"Kz", "metric-k", "1", ""},
		{"C_L", "british-k", "1", "absolute"}, {"C_L", "absolute", "1", ""}, {"C_y", "absolute", "1", ""}, {"Cz", "metric-k", "1", "absolute"}, {"c_a", "absolute", "1", ""},
		{"100 c_a", "hundredfold", "1", ""}, {"100 Cz", "british-k", "1", "hundredfold"}, {"100 c_a", "absolute", "%", ""},
		{"Lift coefficient", "british-k", "1", ""}, {"Clark Y", "british-k", "1", ""},
	} {
		s := inSystem(c.system, density, "lift coefficient", c.unit, c.head, ".6")
		var got []string
		for _, p := range s.Problems {
			if strings.Contains(p.Msg, "coefficients is stated") {
				got = append(got, p.Msg)
			}
		}
		want := ""
		if c.fits != "" {
			want = `the print says "` + c.head + `", a symbol of ` + c.fits + "; coefficients is stated as " + c.system
		}
		if strings.Join(got, "; ") != want {
			t.Errorf("%q as %s: %q, want %q", c.head, c.system, got, want)
		}
		if c.fits == "" && len(s.Problems) > 0 {
			t.Errorf("%q as %s: %q", c.head, c.system, problems(s))
		}
	}
	// 100 c_a as absolute ones: the unit says what to write.
	wantProblems(t, inSystem("absolute", "", "lift coefficient", "1", "100 c_a", "63"),
		`head-says-otherwise table:x: the print says "100 c_a", a scaled figure, whose unit is % (a figure of 123 means 123 x 10^-2); the unit is stated as 1`)
}

// A density that stands in a column goes with its own row; a row that has none is
// refused, and its neighbours are not. In a list each row may be in a system of its own.
func TestDensityOfARow(t *testing.T) {
	b := full()
	b.Coefficients, b.Density = "metric-k", "column rho"
	s := series(grid([]extract.Column{{Key: "rho", Quantity: "air density", Unit: "kg s2/m4"}, {Key: "x", Quantity: "lift coefficient", Unit: "1"}}, b, "0.125|.0813", "0.120|.0813", "-|.0813"))
	wantProblems(t, s, "reference table:x: the density (column rho) has no figure here, and a coefficient of metric-k is not absolute without it, so these figures are not published")
	var got []string
	for i := range s.Rows {
		d := s.Rows[i].Datum("x")
		if d.Refused {
			got = append(got, "refused")
			continue
		}
		got = append(got, d.Number().String())
	}
	// 16 x .0813 = 1.3008; .0813/.06 = 1.355.
	if strings.Join(got, " ") != "1.300800 1.355000 refused" {
		t.Errorf("values %v", got)
	}
	if got := problems(s); len(s.Problems) == 1 && len(s.Problems[0].Cells) != 1 {
		t.Errorf("%v: %v", got, s.Problems[0].Cells)
	}

	b = full()
	tb := &extract.Table{Schema: 1, ID: "t00000001", Name: "table", Status: "ready", Origin: "print", Layout: "list", Basis: b,
		Columns: []extract.Column{{Key: "label"}, {Key: "value"}}, Givens: nil,
		Rows: []extract.RowRule{
			{Label: "Maximum k_L", Quantity: "maximum lift coefficient", Unit: "1", Basis: &extract.Basis{Coefficients: "british-k"}},
			{Label: "Maximum C_L", Quantity: "maximum lift coefficient", Unit: "1"},
			{Label: "Least C_D", Quantity: "minimum drag coefficient", Unit: "1", Basis: &extract.Basis{Coefficients: "british-k"}},
		}}
	tb.Basis.Reynolds, tb.Basis.ReynoldsKind, tb.Basis.Configuration.Deflection = "", "not-stated", "up"
	r := &extract.Reading{Meta: extract.ReadingMeta{TableID: tb.ID, Reader: "keyed-ab"}}
	for i, row := range []string{"Maximum k_L|.63", "Maximum C_L|1.26", "Least C_D|.0048"} {
		label, value, _ := strings.Cut(row, "|")
		key := "r" + string(rune('1'+i))
		r.Cells = append(r.Cells, extract.Cell{Row: key, Column: "label", Text: label, Confidence: -1}, extract.Cell{Row: key, Column: "value", Text: value, Confidence: -1})
	}
	s = series(tb, r)
	wantProblems(t, s, `head-says-otherwise table:r3:value: the print says "Least C_D", a symbol of absolute; coefficients is stated as british-k`)
	for i, want := range []string{"1.26000", "1.26", "0.0096000"} {
		if got := s.Rows[i].Datum("value").Number().String(); got != want {
			t.Errorf("row %d: %s, want %s", i, got, want)
		}
	}
}
