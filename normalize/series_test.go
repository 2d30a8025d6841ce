package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/normalize/numeral"
	"windtally/normalize/unit"

	"pgregory.net/rapid"
)

// full states all that any quantity needs.
func full() extract.Basis {
	return extract.Basis{Article: "aeroplane", Coefficients: "absolute", ReferenceArea: "gross", ReferenceChord: "mean chord", MomentCenter: "quarter-chord point", MomentSign: "nose-up",
		AngleDatum: "chord", Drag: "total", Walls: "free-flight", AspectRatioBasis: "as-tested", ReynoldsKind: "effective", Reynolds: "given re",
		AirspeedKind: "IAS", AirspeedMeaning: "the reading of the instrument", Increment: "constant-angle", Stall: "break", Limit: "limit",
		Weight: "given w", WeightCondition: "test", PowerRating: "rated", AltitudeKind: "pressure", CorrectionSign: "added",
		Configuration: extract.Configuration{Flap: "split", Deflection: "given flap", Gear: "fixed", Power: "idle"}}
}

// grid is a table of the columns with what rows print, cells with strokes between,
// and the given figures that full refers to.
func grid(columns []extract.Column, basis extract.Basis, rows ...string) (*extract.Table, *extract.Reading) {
	t := &extract.Table{Schema: 1, ID: "t00000001", Name: "table", Status: "ready", Origin: "print", Layout: "grid", Columns: columns, Basis: basis,
		Givens: []extract.Column{
			{Key: "re", Quantity: "Reynolds number", Unit: "1"},
			{Key: "w", Quantity: "test weight", Unit: "lb"},
			{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		}}
	r := &extract.Reading{Meta: extract.ReadingMeta{TableID: t.ID, Reader: "keyed-ab"}}
	for i, row := range rows {
		for k, text := range strings.Split(row, "|") {
			r.Cells = append(r.Cells, extract.Cell{Row: fmt.Sprintf("r%d", i+1), Column: columns[k].Key, Text: text, Confidence: -1})
		}
	}
	for key, text := range map[string]string{"re": "3,400,000", "w": "3,980", "flap": "30"} {
		r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: key, Text: text, Confidence: -1})
	}
	return t, r
}

func series(t *extract.Table, r *extract.Reading) *Series {
	return Normalize(extract.Collate(t, nil, []*extract.Reading{r}, nil))
}

func problems(s *Series) []string {
	var list []string
	for _, p := range s.Problems {
		list = append(list, string(p.Kind)+" "+p.Where+": "+p.Msg)
	}
	return list
}

func wantProblems(t *testing.T, s *Series, want ...string) {
	t.Helper()
	if got := problems(s); !slices.Equal(got, want) {
		t.Errorf("problems:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// one is a table with a single column of that quantity and unit.
func one(quantity, unit string, rows ...string) *Series {
	return series(grid([]extract.Column{{Key: "x", Quantity: quantity, Unit: unit}}, full(), rows...))
}

// printedUnit is a unit for each canonical one.
func printedUnit(canonical string) string {
	if canonical == "N/W" {
		return "lb/hp"
	}
	return canonical
}

// What each quantity must say, by the demands of the design on a basis (tested
// article, coefficient system, angle datum, airspeed kind with the source's own
// definition of an indicated one, reference area, chord and moment centre, kind of
// drag, walls, Reynolds number and its kind, configuration with flap and power,
// kind of increment, definition of stall, limits with weight and configuration).
func TestABasisThatDoesNotSayIsRefused(t *testing.T) {
	blank := map[string]func(b *extract.Basis){
		"article":                  func(b *extract.Basis) { b.Article = "" },
		"coefficients":             func(b *extract.Basis) { b.Coefficients = "" },
		"reference_area":           func(b *extract.Basis) { b.ReferenceArea = "" },
		"reference_chord":          func(b *extract.Basis) { b.ReferenceChord = "" },
		"moment_center":            func(b *extract.Basis) { b.MomentCenter = "" },
		"moment_sign":              func(b *extract.Basis) { b.MomentSign = "" },
		"angle_datum":              func(b *extract.Basis) { b.AngleDatum = "" },
		"drag":                     func(b *extract.Basis) { b.Drag = "" },
		"walls":                    func(b *extract.Basis) { b.Walls = "" },
		"aspect_ratio_basis":       func(b *extract.Basis) { b.Article, b.AspectRatioBasis = "wing", "" },
		"reynolds_kind":            func(b *extract.Basis) { b.ReynoldsKind = "" },
		"reynolds":                 func(b *extract.Basis) { b.Reynolds = "" },
		"airspeed_kind":            func(b *extract.Basis) { b.AirspeedKind = "" },
		"airspeed_meaning":         func(b *extract.Basis) { b.AirspeedMeaning = "" },
		"increment":                func(b *extract.Basis) { b.Increment = "" },
		"stall":                    func(b *extract.Basis) { b.Stall = "" },
		"limit":                    func(b *extract.Basis) { b.Limit = "" },
		"weight":                   func(b *extract.Basis) { b.Weight = "" },
		"weight_condition":         func(b *extract.Basis) { b.WeightCondition = "" },
		"power_rating":             func(b *extract.Basis) { b.PowerRating = "" },
		"altitude_kind":            func(b *extract.Basis) { b.AltitudeKind = "" },
		"correction_sign":          func(b *extract.Basis) { b.CorrectionSign = "" },
		"configuration.flap":       func(b *extract.Basis) { b.Configuration.Flap = "" },
		"configuration.deflection": func(b *extract.Basis) { b.Configuration.Deflection = "" },
		"configuration.power":      func(b *extract.Basis) { b.Configuration.Power = "" },
		"configuration.gear":       func(b *extract.Basis) { b.Configuration.Gear = "" },
	}
	const aero = "article walls reynolds_kind reynolds aspect_ratio_basis "
	const force = aero + "coefficients reference_area configuration.flap configuration.deflection configuration.power "
	const angle = aero + "angle_datum configuration.flap configuration.deflection"
	const speed = "airspeed_kind airspeed_meaning "
	needs := map[string]string{
		"angle of attack":              aero + "angle_datum",
		"lift coefficient":             force,
		"drag coefficient":             force + "drag",
		"pitching-moment coefficient":  force + "reference_chord moment_center moment_sign",
		"lift-drag ratio":              aero + "drag configuration.flap configuration.deflection configuration.power",
		"lift increment":               force + "increment",
		"drag increment":               force + "increment drag",
		"pitching-moment increment":    force + "increment reference_chord moment_center moment_sign",
		"maximum lift coefficient":     force,
		"minimum drag coefficient":     force + "drag",
		"lift-curve slope":             force,
		"zero-lift angle":              angle,
		"stalling angle":               angle,
		"zero-lift moment coefficient": force + "reference_chord moment_sign",
		"wing area":                    "reference_area",
		"wing loading":                 "weight_condition",
		"power loading":                "weight_condition power_rating",
		"mass":                         "weight_condition",
		"weight":                       "weight_condition",
		"stall speed":                  speed + "article stall weight configuration.flap configuration.deflection configuration.power configuration.gear",
		"flap limit speed":             speed + "configuration.flap configuration.deflection",
		"limit speed":                  speed + "limit",
		"angle of wing setting":        "angle_datum",
		"positive load factor":         "limit weight configuration.flap configuration.deflection",
		"negative load factor":         "limit weight configuration.flap configuration.deflection",
		"flap-chord ratio":             "configuration.flap",
		"flap-span ratio":              "configuration.flap",
		"chord extension":              "configuration.flap configuration.deflection",
		"power":                        "power_rating",
		"airspeed":                     speed,
		"airspeed correction":          "configuration.deflection configuration.flap correction_sign",
		"altitude":                     "altitude_kind",
		"angle of chord":               "angle_datum",
		"Reynolds number":              "reynolds_kind",
		"center-of-gravity position":   "reference_chord",
	}
	suited := func(q Quantity) extract.Basis {
		b := full()
		if q.Name == "angle of wing setting" { // which is the chord's
			b.AngleDatum = "thrust-line"
		}
		return b
	}
	for _, q := range Quantities() {
		if q.Name == "label" {
			continue
		}
		wanted := strings.Fields(needs[q.Name])
		for name, change := range blank {
			b := suited(q)
			change(&b)
			figure := "1"
			if q.Name == "negative load factor" {
				figure = "-1"
			}
			tb, r := grid([]extract.Column{{Key: "x", Quantity: q.Name, Unit: printedUnit(q.Canonical)}}, b, figure)
			s := series(tb, r)
			var said []string
			for _, p := range s.Problems {
				if p.Where == "table:x" {
					said = append(said, p.Msg)
				}
			}
			prefix := fmt.Sprintf("%s needs its %s, which the basis does not state; write %s: ", q.Name, name, name)
			refused := len(said) == 1 && strings.HasPrefix(said[0], prefix)
			if missing := slices.Contains(wanted, name); missing != refused || len(said) > 0 != missing {
				t.Errorf("%s without %s: %q; is to be refused: %v", q.Name, name, said, missing)
			}
			if d := s.Rows[0].Datum("x"); refused && (d == nil || !d.Refused) {
				t.Errorf("%s without %s has a figure that is not refused: %+v", q.Name, name, d)
			}
		}
		figure := "1"
		if q.Name == "negative load factor" {
			figure = "-1"
		}
		tb, r := grid([]extract.Column{{Key: "x", Quantity: q.Name, Unit: printedUnit(q.Canonical)}}, suited(q), figure)
		wantProblems(t, series(tb, r))
	}
}

// The honest answer that the report does not say is taken.
func TestNotStatedIsAnAnswer(t *testing.T) {
	b := full()
	b.ReferenceArea, b.AngleDatum, b.Walls, b.ReynoldsKind, b.Reynolds, b.Stall, b.Limit, b.PowerRating = "not-stated", "not-stated", "not-stated", "not-stated", "", "not-stated", "not-stated", "not-stated"
	b.Weight, b.WeightCondition, b.AirspeedMeaning = "", "not-stated", "not stated"
	b.Configuration = extract.Configuration{Flap: "split", Deflection: "not-stated", Gear: "not-stated", Power: "not-stated"}
	for _, q := range Quantities() {
		if q.Name == "label" {
			continue
		}
		figure := "1"
		if q.Name == "negative load factor" {
			figure = "-1"
		}
		tb, r := grid([]extract.Column{{Key: "x", Quantity: q.Name, Unit: printedUnit(q.Canonical)}}, b, figure)
		s := series(tb, r)
		var doubts []string
		if strings.HasSuffix(q.Name, "load factor") {
			doubts = append(doubts, "odd-print table:x: "+q.Name+", and limit is not-stated: a factor of the period is often that of the failing load, half as much again as the limit")
		}
		if q.Name == "limit speed" {
			doubts = append(doubts, "odd-print table:x: limit speed, and limit is not-stated: a diving speed may be the greatest that the strength was worked out for, and not the greatest that is permitted")
		}
		wantProblems(t, s, doubts...)
		if d := s.Rows[0].Datum("x"); d == nil || d.Refused || d.Config.Deflection != "" {
			t.Errorf("%s: %+v", q.Name, d)
		}
	}
}

// An airspeed kind is never defaulted, and words that mean several are refused.
func TestAirspeedKindIsNeverDefaulted(t *testing.T) {
	for kind, want := range map[string]string{
		"CAS": "", "E.A.S.": "", "true": "", "K.C.A.S.": "",
		"":               "stall speed needs its airspeed_kind, which the basis does not state; write airspeed_kind: IAS, CAS, EAS or TAS (never assumed)",
		"true indicated": `airspeed_kind: airspeed kind "true indicated" has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))`,
	} {
		b := full()
		b.AirspeedKind = kind
		s := series(grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, b, "56"))
		if want == "" {
			wantProblems(t, s)
			continue
		}
		wantProblems(t, s, "meaning-missing table:x: "+want)
	}
}

// Factors of NIST SP 811, App. B.8; values worked out by hand.
func TestValueAndHalfWidth(t *testing.T) {
	for _, c := range []struct {
		quantity, unit, printed string
		value, half             string // as published
	}{
		{"flap deflection", "deg", "0.1", "0.1", "0.05"},
		{"flap deflection", "deg", "15", "15", "0.5"},
		{"flap deflection", "deg", "15.0", "15.0", "0.05"},
		{"flap deflection", "deg", "7½", "7.5", "0.25"},
		{"flap deflection", "rad", "0.5", "28.648", "2.865"}, // 90/pi = 28.647890
		{"flap deflection", "deg", "10°30'", "10.5", "0.008334"},
		{"lift coefficient", "1", ".30", "0.30", "0.005"},
		{"lift coefficient", "1", "−0.05", "-0.05", "0.005"},
		{"drag coefficient", "%", "1.2", "0.0120000", "0.0005"},
		{"stall speed", "knots", "56", "28.8089", "0.2573"},
		{"stall speed", "m.p.h.", "46.8", "20.92147", "0.02236"},
		{"stall speed", "km/h", "0", "0.0000", "0.1389"},
		{"wing area", "sq. ft.", "174", "16.16513", "0.04646"},
		{"weight", "lb", "2,550", "11342.965", "2.225"},
		{"weight", "kg", "1000", "9806.650", "4.904"},
		{"lift-curve slope", "per degree", ".079", "4.52637", "0.02866"},
		{"Reynolds number", "1", "8,000,000", "8000000", "500000"},
		{"Reynolds number", "1", "3,410,000", "3410000", "5000"},
		{"Reynolds number", "1", "3.40×10^6", "3400000", "5000"}, // no zero fills up where a power is printed
		{"Reynolds number", "1", "0", "0", "0.5"},
		{"altitude", "ft", "0", "0.0000", "0.1524"},
	} {
		s := one(c.quantity, c.unit, c.printed)
		wantProblems(t, s)
		d := s.Rows[0].Datum("x")
		if d == nil {
			continue
		}
		if v, h := d.Number().String(), d.HalfWidth().String(); v != c.value || h != c.half {
			t.Errorf("%s %s %s: %s +- %s, want %s +- %s", c.quantity, c.printed, c.unit, v, h, c.value, c.half)
		}
	}
}

// A manual that prints 60, 65, 70 is rounded to 5, whatever its digits say.
func TestTheColumnsOwnSteps(t *testing.T) {
	for _, c := range []struct {
		name, quantity, unit string
		rows                 []string
		half                 string
	}{
		{"fives", "stall speed", "mph", []string{"60", "65", "70", "85"}, "1.118"}, // 2.5 x .44704
		{"tens", "stall speed", "mph", []string{"60", "70", "80", "90"}, "2.236"},  // 5 x .44704
		{"three figures say nothing", "stall speed", "mph", []string{"60", "65", "70"}, "0.2236"},
		{"three different ones neither", "stall speed", "mph", []string{"60", "65", "70", "60"}, "0.2236"},
		{"one that is not", "stall speed", "mph", []string{"60", "65", "70", "72"}, "0.2236"},
		{"one that is printed finer", "stall speed", "mph", []string{"60", "65", "70", "75.0"}, "0.2236"},
		{"angles are set in steps", "angle of attack", "deg", []string{"0", "5", "10", "15"}, "0.5"},
	} {
		s := one(c.quantity, c.unit, c.rows...)
		wantProblems(t, s)
		if h := PublishedHalf(s.Rows[0].Datum("x").Half).String(); h != c.half {
			t.Errorf("%s: half-width %s, want %s", c.name, h, c.half)
		}
	}
}

func TestAccuracy(t *testing.T) {
	make := func(origin, accuracy string) *Series {
		tb, r := grid([]extract.Column{{Key: "x", Quantity: "lift coefficient", Unit: "1"}}, full(), "1.20")
		tb.Origin = origin
		if accuracy != "" {
			tb.Accuracy = map[string]string{"x": accuracy}
		}
		return series(tb, r)
	}
	s := make("figure", "0.02")
	wantProblems(t, s)
	if d := s.Rows[0].Datum("x"); d.Accuracy.Cmp(big.NewRat(1, 50)) != 0 || d.Half.Cmp(big.NewRat(1, 200)) != 0 {
		t.Errorf("half-width %s, accuracy %s; want 1/200 and 1/50", d.Half, d.Accuracy)
	}
	wantProblems(t, make("figure", ""), "meaning-missing table:x: lift coefficient was read off a plotted curve, and its reading error is not stated; write accuracy: {x: ...} in the column's unit")
	wantProblems(t, make("print", ""))
	for wrong, why := range map[string]string{
		"0": "is not positive", "-0.02": "is not positive", "small": "is no number with or without a unit", "0.02 of value": "speaks of a share and gives no percentage", "100 %": "is the whole of each figure or more",
		"2°":   `has no fitting unit: unit "°" is degree (angle), but a unit of dimensionless is wanted, such as one, percent, thousandth`,
		"2 %%": `has no fitting unit: unit "%%" is not known; did the source mean "%"?`,
	} {
		wantProblems(t, make("figure", wrong), fmt.Sprintf(`meaning-missing table:x: accuracy of column x is %q, which %s; it should be a positive number in the column's unit ("0.005"), a number with its unit, or a share of each figure ("2 %%")`, wrong, why))
	}
}

// A list has no column of one unit that an accuracy could be in.
func TestAListHasNoAccuracy(t *testing.T) {
	tb, r := grid([]extract.Column{{Key: "label"}, {Key: "value"}}, full(), "Span|36.0")
	tb.Layout, tb.Rows = "list", []extract.RowRule{{Label: "Span", Quantity: "wing span", Unit: "ft"}}
	wantProblems(t, series(tb, r))
	tb.Accuracy = map[string]string{"value": "0.1"}
	wantProblems(t, series(tb, r), "meaning-missing table:r1:value: the rows of a list have units of their own, so that no accuracy can be stated for all of them; write accuracy: with the row, under rows:")
	tb.Accuracy, tb.Origin = nil, "figure"
	wantProblems(t, series(tb, r), "meaning-missing table:r1:value: wing span was read off a plotted curve, and its reading error is not stated; write accuracy: with the row, under rows:")
	tb.Rows[0].Accuracy = "0 ft"
	wantProblems(t, series(tb, r), `meaning-missing table:r1:value: accuracy of "Span" is "0 ft", which is not positive; it should be a positive number in the column's unit ("0.005"), a number with its unit, or a share of each figure ("2 %")`)
	tb.Rows[0].Accuracy = "3 in."
	s := series(tb, r)
	wantProblems(t, s)
	if d := s.Rows[0].Datum("value"); d.Accuracy.Cmp(big.NewRat(762, 10000)) != 0 {
		t.Errorf("3 in. of 36 ft are %s m", d.Accuracy)
	}
}

// Published rounding takes nothing away: the printed digits come back from the
// published value.
func TestThePrintedDigitsComeBack(t *testing.T) {
	type kind struct{ quantity, unit string }
	kinds := []kind{{"stall speed", "knots"}, {"stall speed", "mph"}, {"stall speed", "km/h"}, {"stall speed", "ft/s"}, {"wing area", "sq ft"}, {"wing area", "sq in"},
		{"weight", "lb"}, {"weight", "kg"}, {"weight", "long tons"}, {"wing loading", "lb/sq ft"}, {"wing loading", "kg/m2"}, {"power", "hp"}, {"power", "PS"},
		{"wing span", "ft"}, {"wing span", "in"}, {"lift-curve slope", "per degree"}, {"angle of attack", "rad"}, {"power loading", "lb/hp"}, {"lift coefficient", "1"}, {"drag coefficient", "%"}}
	count := 0
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.SampledFrom(kinds).Draw(rt, "kind")
		q, _ := Find(k.quantity)
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(k.unit, canonical.Dim)
		if err != nil {
			rt.Fatal(err)
		}
		for range 100 {
			count++
			decimals := rapid.IntRange(0, 5).Draw(rt, "decimals")
			digits := rapid.Int64Range(-99_999_999, 99_999_999).Draw(rt, "digits")
			text := new(big.Rat).SetFrac(big.NewInt(digits), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)).FloatString(decimals)
			num, err := numeral.Parse(text)
			if err != nil {
				rt.Fatalf("%s: %v", text, err)
			}
			n := &normalizer{t: &extract.Table{}}
			d, err := n.datum(nil, &extract.Collated{Text: text}, &columnMeaning{quantity: q, unit: u}, &num, 1)
			if err != nil {
				rt.Fatal(err)
			}
			back, err := unit.Convert(d.Number().Rat(), canonical, u)
			if err != nil {
				rt.Fatal(err)
			}
			if got := back.Approx().FloatString(decimals); got != text && new(big.Rat).Abs(num.Rat()).Sign() != 0 {
				rt.Errorf("%s %s is published as %s %s, which is %s again", text, k.unit, d.Number(), q.Canonical, got)
			}
		}
	})
	if count < 9_000 {
		t.Errorf("%d numerals were tried, about 10,000 are wanted", count)
	}
}

func TestDittoMarks(t *testing.T) {
	s := one("stall speed", "knots", "56", `"`, "do.", "49")
	wantProblems(t, s)
	for i, want := range []string{"28.8089", "28.8089", "28.8089", "25.2078"} {
		d := s.Rows[i].Datum("x")
		if d.Number().String() != want || (d.Above != nil) != (i == 1 || i == 2) {
			t.Errorf("row %d: %s, above %v", i+1, d.Number(), d.Above)
		}
	}
	if d := s.Rows[2].Datum("x"); d.Above.ID.Row != "r1" || d.Formula != "m/s from [kn_i]; ditto: the figure of row r1" {
		t.Errorf("the second mark repeats %s: %s", d.Above.ID, d.Formula)
	}
	wantProblems(t, one("stall speed", "knots", `"`, "49"), `not-a-number table:r1:x: a ditto mark "\"" stands under no figure`)
	wantProblems(t, one("stall speed", "knots", "—", `"`), `not-a-number table:r2:x: a ditto mark "\"" stands under no figure`)
}

func labelled(rules []extract.RowRule, rows ...string) *Series {
	b := full()
	b.Configuration.Flap, b.Configuration.Deflection = "none", ""
	tb, r := grid([]extract.Column{{Key: "flap", Quantity: "label"}, {Key: "x", Quantity: "maximum lift coefficient", Unit: "1"}}, b, rows...)
	tb.Rows = rules
	return series(tb, r)
}

func flapRule(label, flap, deflection string) extract.RowRule {
	return extract.RowRule{Label: label, Basis: &extract.Basis{Configuration: extract.Configuration{Flap: flap, Deflection: deflection}}}
}

func TestRowRules(t *testing.T) {
	none, split := flapRule("None", "none", ""), flapRule("Split 60°", "split", "60")
	for _, c := range []struct {
		name   string
		rules  []extract.RowRule
		rows   []string
		config string // of the last row
		want   []string
	}{
		{"each its own", []extract.RowRule{none, split}, []string{"None|1.38", "Split 60°|2.16"}, "split 60", nil},
		{"a ditto mark repeats a label", []extract.RowRule{none, split}, []string{"None|1.38", "Split 60°|2.16", "do.|2.17"}, "split 60", nil},
		{"a ditto mark under no label", []extract.RowRule{none}, []string{`"|2.16`, "None|1.38"}, "none",
			[]string{`reference table:r1:flap: a ditto mark "\"" stands under no label, so the row's figures have no meaning`}},
		{"a label that no rule names", []extract.RowRule{none, split}, []string{"None|1.38", "Split 60°|2.16", "Slotted|2.2"}, "none",
			[]string{`row-without-meaning table:Slotted: 1 rows bear the label "Slotted", which rows: does not name; they take the basis of the table alone`}},
		{"a rule that no row bears", []extract.RowRule{none, split}, []string{"None|1.38", "Split 60 deg|2.16"}, "none", []string{
			`row-without-meaning table:Split 60 deg: 1 rows bear the label "Split 60 deg", which rows: does not name; they take the basis of the table alone`,
			`reference table:Split 60°: rows: names "Split 60°", and no row of the table bears that label`}},
		{"a rule twice", []extract.RowRule{none, split, flapRule("Split 60°", "plain", "60")}, []string{"None|1.38", "Split 60°|2.16"}, "split 60", []string{
			`meaning-missing table:Split 60°: rows: names "Split 60°" twice; keep one`,
			`reference table:Split 60°: rows: names "Split 60°", and no row of the table bears that label`}},
		{"a quantity in a grid's rule", []extract.RowRule{{Label: "None", Quantity: "drag coefficient"}}, []string{"None|1.38"}, "none",
			[]string{`meaning-missing table:None: rows: gives "None" a quantity, a unit or an accuracy; in a grid these are the columns'`}},
		{"what the rule leaves out", []extract.RowRule{none, flapRule("Split 60°", "split", "")}, []string{"None|1.38", "Split 60°|2.16"}, "",
			[]string{`meaning-missing table:x: maximum lift coefficient needs its configuration.deflection, which the basis does not state for the rows r2; write configuration.deflection: up, column KEY, given KEY, the figure that stands in the row's label, or not-stated`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := labelled(c.rules, c.rows...)
			wantProblems(t, s, c.want...)
			if d := s.Rows[len(s.Rows)-1].Datum("x"); d == nil || c.config != "" && strings.TrimSpace(d.Config.Flap+" "+d.Config.Deflection) != c.config {
				t.Errorf("the last row is in %+v, want %s", d, c.config)
			}
		})
	}
}

func TestColumnAndRowThatContradict(t *testing.T) {
	b := full()
	tb, r := grid([]extract.Column{{Key: "flap", Quantity: "label"}, {Key: "x", Quantity: "maximum lift coefficient", Unit: "1",
		Basis: &extract.Basis{Configuration: extract.Configuration{Deflection: "up"}}}}, b, "Split 60°|2.16")
	tb.Rows = []extract.RowRule{flapRule("Split 60°", "split", "60")}
	wantProblems(t, series(tb, r), `meaning-missing table:x: the basis of the column and that of the rows "Split 60°" contradict each other`)
}

// A deflection is in the label with its sign, or it is in no print.
func TestDeflectionInALabel(t *testing.T) {
	for _, c := range []struct {
		label, deflection string
		ok                bool
	}{
		{"Flap 15°", "15", true}, {"flaps 15. Gear fixed", "15", true}, {"Flap 15°", "5", false}, {"Flap 15.5°", "15", false},
		{"Flap −5°", "-5", true}, {"Flap −5°", "5", false}, {"-5", "-5", true}, {"Flaps 0-60", "60", true}, {"Flaps 0-60", "-60", false}, {"Flap up", "15", false},
	} {
		s := labelled([]extract.RowRule{flapRule(c.label, "split", c.deflection)}, c.label+"|2.16")
		if ok := len(s.Problems) == 0; ok != c.ok {
			t.Errorf("%s in %q: %v, want %v", c.deflection, c.label, problems(s), c.ok)
		}
	}
	s := labelled([]extract.RowRule{flapRule("Flap full", "split", "full")}, "Flap full|2.16")
	wantProblems(t, s, `deflection-not-in-print table:r1:x: the deflection is "full"; it should be up, not-stated, column KEY, given KEY, or a figure in degrees that stands in the row's label`)
}

func TestReferences(t *testing.T) {
	b := full()
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, b, "56", "49")
	r.Cells = slices.DeleteFunc(r.Cells, func(c extract.Cell) bool { return c.Column == "w" })
	s := series(tb, r)
	wantProblems(t, s, "reference table:given:w: no reading has the figure", "reference table:x: the weight (given w) has no figure here, and a stall speed without its weight is not published")
	if d := s.Rows[0].Datum("x"); !d.Refused {
		t.Error("a stall speed without its weight is not refused")
	}
	tb, r = grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, b, "56")
	tb.Givens[1].Quantity, tb.Givens[1].Unit = "mass", "kg"
	s = series(tb, r)
	wantProblems(t, s, "meaning-missing table:x: the basis names given w as the weight, and its quantity is mass; it should be weight or test weight")
	if d := s.Rows[0].Datum("x"); !d.Refused {
		t.Error("a stall speed at a mass is not refused")
	}
	// A given figure has a configuration like any other.
	tb, r = grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, b, "56")
	tb.Givens = append(tb.Givens, extract.Column{Key: "v", Quantity: "stall speed", Unit: "knots"})
	r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: "v", Text: "50", Confidence: -1})
	s = series(tb, r)
	wantProblems(t, s)
	if d := s.Givens["v"]; d.Config.Flap != "split" || d.Config.Deflection != "30" {
		t.Errorf("the given speed is in %+v", d.Config)
	}
}

func TestFootnoteMarksAndPercent(t *testing.T) {
	s := one("lift coefficient", "1", "1.38*", "1.38†", "1.38*", "1.38")
	wantProblems(t, s, "odd-print table: figures bear the mark *: what does the footnote say? It is not published",
		"odd-print table: figures bear the mark †: what does the footnote say? It is not published")
	if got := fmt.Sprint(s.Problems[0].Cells); got != "[t00000001/r1/x t00000001/r3/x]" {
		t.Errorf("* is said of %s", got)
	}
	// One reading that has the mark is enough, and what is not published bears none.
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "lift coefficient", Unit: "1"}, {Key: "y", Quantity: Unclassified}}, full(), "1.38|2.0*")
	_, marked := grid(tb.Columns, full(), "1.38*|2.0*")
	marked.Meta.Reader = "keyed-cd"
	wantProblems(t, Normalize(extract.Collate(tb, nil, []*extract.Reading{r, marked}, nil)), "unclassified table:y: is unclassified: read, collated and checked by relations, and not published",
		"odd-print table: figures bear the mark *: what does the footnote say? It is not published")
	if got := s.Rows[0].Datum("x").Number().String(); got != "1.38" {
		t.Errorf("1.38* is %s", got)
	}
	wantProblems(t, one("lift coefficient", "1", "1.38%"), `unit table:r1:x: "1.38%" bears a percent sign; the column's unit is one`)
	wantProblems(t, one("flap deflection", "rad", "15°"), `unit table:r1:x: "15°" bears a degree sign; the column's unit is radian`)
}

func particulars(rules []extract.RowRule, rows ...string) *Series {
	tb, r := grid([]extract.Column{{Key: "label"}, {Key: "value"}, {Key: "unit"}}, full(), rows...)
	tb.Layout, tb.Rows = "list", rules
	return series(tb, r)
}

func TestParticulars(t *testing.T) {
	span := func(unit string) []extract.RowRule {
		return []extract.RowRule{{Label: "Span", Quantity: "wing span", Unit: unit}}
	}
	for _, c := range []struct {
		name  string
		rules []extract.RowRule
		rows  []string
		value string
		want  []string
	}{
		{"the unit of the print", span(""), []string{"Span ....|36.0|ft."}, "10.97280", nil},
		{"the unit of the rule", span("ft"), []string{"Span|36.0|"}, "10.97280", nil},
		{"both say the same", span("feet"), []string{"Span|36.0|ft."}, "10.97280", nil},
		{"they differ", span("in."), []string{"Span|36.0|ft."}, "", []string{`unit table:r1:value: rows: says "in." for "Span"; the print says "ft."`}},
		{"the print's unit is of something else", span("ft"), []string{"Span|36.0|sq. ft."}, "", []string{`unit table:r1:value: rows: says "ft" for "Span"; the print says "sq. ft."`}},
		{"kilograms for pounds", []extract.RowRule{{Label: "Span", Quantity: "weight", Unit: "kg"}}, []string{"Span|36.0|lb."}, "",
			[]string{`unit table:r1:value: rows: says "kg" for "Span"; the print says "lb."`}},
		{"the print's unit is a word", span("ft"), []string{"Span|36.0|over all"}, "10.97280", []string{`odd-print table:r1:value: the print's unit "over all" is not known here; rows: says "ft"`}},
		{"a ditto mark is not inches", span(""), []string{`Span|36.0|"`}, "", []string{`unit table:r1:value: "\"" may be a ditto mark or inches; write the unit under rows:`}},
		{"a ditto mark beside a unit of the rule", span("ft"), []string{`Span|36.0|"`}, "10.97280", nil},
		{"no unit at all", span(""), []string{"Span|36.0|"}, "", []string{"unit table:r1:value: no unit is stated for wing span (head \"Span\"); write it as printed (1 for a number without unit)"}},
		{"a label on two rows", span("ft"), []string{"Span|36.0|", "Span|10.0|"}, "10.97280", []string{
			`reference table:r1:value: the label "Span" stands in the rows r1 r2, and one rule governs them all`,
			`reference table:r2:value: the label "Span" stands in the rows r1 r2, and one rule governs them all`}},
		{"a rule that no row bears", span("ft"), []string{"Spam|36.0|"}, "", []string{
			`row-without-meaning table:r1:value: the row "Spam" is not named under rows:, so its figure "36.0" has no meaning and is not published`,
			`reference table:Span: rows: names "Span", and no row of the table bears that label`}},
		{"a blank", span("ft"), []string{"Span||"}, "", []string{"blank-cell table:r1:value: no figure was read in a row that has other cells"}},
		{"a dash", span("ft"), []string{"Span|—|"}, "", nil},
		{"a ditto mark", span("ft"), []string{`Span|"|`}, "", []string{`not-a-number table:r1:value: a ditto mark "\"" in a list of particulars has no figure above it`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := particulars(c.rules, c.rows...)
			wantProblems(t, s, c.want...)
			got := ""
			if d := s.Rows[0].Datum("value"); d != nil && !d.Refused {
				got = d.Number().String()
			}
			if got != c.value {
				t.Errorf("published %q, want %q", got, c.value)
			}
		})
	}
}

func TestConfigurationKey(t *testing.T) {
	a := Configuration{Flap: "split", Deflection: "15"}
	b := Configuration{Flap: "split", Deflection: "15.0", DeflectionCell: &Datum{}}
	if a.Key() != b.Key() || a.Key() == (Configuration{Flap: "split", Deflection: "16"}).Key() || a.Key() == (Configuration{Flap: "plain", Deflection: "15"}).Key() {
		t.Errorf("%s, %s", a.Key(), b.Key())
	}
}

// A comma where the quantity has no thousands is a decimal comma, most likely.
func TestCommaThatMayBeDecimal(t *testing.T) {
	for _, tc := range []struct{ quantity, unit, text, says string }{
		{"lift coefficient", "1", "1,105", "1105"},
		{"drag coefficient", "10*-4", "1,105", "1105"},
		{"aspect ratio", "1", "6,125", "6125"},
		{"Reynolds number", "10*6", "3,400", "3400"},
		{"angle of attack", "deg", "12,500", "12500"},
		{"lift-curve slope", "per radian", "4,512", "4512"},
		{"wing span", "m", "11,250", "11250"},
		{"Reynolds number", "1", "3,400,000", ""},
		{"altitude", "m", "1,500", ""},
		{"altitude", "ft", "10,000", ""},
		{"test weight", "lb", "3,980", ""},
		{"wing area", "sq ft", "1,250", ""},
		{"wing span", "mm", "11,250", ""},
	} {
		s := one(tc.quantity, tc.unit, tc.text)
		if tc.says == "" {
			wantProblems(t, s)
			continue
		}
		msg := fmt.Sprintf("%q would be %s by thousands, and %s is not printed in thousands here: a decimal comma?", tc.text, tc.says, tc.quantity)
		wantProblems(t, s, "not-a-number table:r1:x: "+msg)
		if s.Rows[0].Datum("x") != nil {
			t.Errorf("%s %s has a figure", tc.quantity, tc.text)
		}
		s = particulars([]extract.RowRule{{Label: "Item", Quantity: tc.quantity, Unit: tc.unit}}, "Item|"+tc.text+"|")
		wantProblems(t, s, "not-a-number table:r1:value: "+msg)
		tb, r := grid([]extract.Column{{Key: "x", Quantity: Unclassified}}, full(), "1")
		tb.Givens = append(tb.Givens, extract.Column{Key: "g", Quantity: tc.quantity, Unit: tc.unit})
		r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: "g", Text: tc.text, Confidence: -1})
		s = series(tb, r)
		if got := problems(s); s.Givens["g"] != nil || !slices.Contains(got, "not-a-number table:given:g: "+msg) {
			t.Errorf("given %s %s: %q", tc.quantity, tc.text, got)
		}
	}
}

// Wing 1 is not Flap 1.
func TestALabelOfTwoColumns(t *testing.T) {
	make := func(rules ...extract.RowRule) *Series {
		tb, r := grid([]extract.Column{{Key: "w", Quantity: "label"}, {Key: "f", Quantity: "label"}, {Key: "x", Quantity: "stall speed", Unit: "mph"}}, full(),
			"1|1|65", "1|2|60", "2|1|66", "2|2|61")
		tb.Rows = rules
		return series(tb, r)
	}
	none := &extract.Basis{Configuration: extract.Configuration{Flap: "none"}}
	s := make(extract.RowRule{Label: "1", Column: "f", Basis: none}, extract.RowRule{Label: "2", Column: "f"})
	wantProblems(t, s)
	for i, want := range []string{"none", "split", "none", "split"} {
		if got := s.Rows[i].Datum("x").Config.Flap; got != want {
			t.Errorf("row %d has flap %s, want %s", i+1, got, want)
		}
	}
	s = make(extract.RowRule{Label: "1", Basis: none}, extract.RowRule{Label: "2", Column: "f"})
	if got, want := problems(s)[0], `meaning-missing table:1: rows: the label "1" stands in the columns w and f; write column: with the one that is meant`; got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	s = make(extract.RowRule{Label: "1", Column: "x"}, extract.RowRule{Label: "1", Column: "f"}, extract.RowRule{Label: "2", Column: "f"})
	if got, want := problems(s)[0], `meaning-missing table:1: rows: "1" names the column x, which is no label column of the table`; got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	wantProblems(t, particulars([]extract.RowRule{{Label: "Span", Column: "value", Quantity: "wing span", Unit: "ft"}}, "Span|36|"),
		`meaning-missing table:Span: rows: "Span" names the column value; in a list labels stand in the column label`)
}

func TestFiguresThatAreNoDeflection(t *testing.T) {
	for label, want := range map[string]string{
		"Flaps 20% chord, down 45":         "45",
		"Flaps 20 per cent chord, down 45": "45",
		"20-percent flap at 45 deg.":       "45",
		"Flap of 8 in. chord at 30°":       "30",
		"Flap chord 8 inches, 30 down":     "30",
		"Flap 1.5 ft. wide, 15":            "15",
		"Chord 0.25 m, -5":                 "-5",
		"Flaps 30 down":                    "30",
		"Flap 20 in mid position":          "20",
	} {
		if got := strings.Join(figuresIn(label), " "); got != want {
			t.Errorf("%q has the figures %q, want %q", label, got, want)
		}
	}
}

func TestSignOfALoadFactor(t *testing.T) {
	wantProblems(t, one("negative load factor", "1", "3.0"), `odd-print table:r1:x: "3.0" stands for a negative load factor and is published with the sign as printed`)
	wantProblems(t, one("negative load factor", "1", "-3.0"))
	wantProblems(t, one("positive load factor", "1", "-6.0"), `odd-print table:r1:x: "-6.0" stands for a positive load factor and is published with the sign as printed`)
	wantProblems(t, one("positive load factor", "1", "6.0"))
}

func TestIncrementInPercent(t *testing.T) {
	wantProblems(t, one("lift increment", "per cent", "45"), "odd-print table:x: lift increment is stated in percent: percent of what? An increase of 45 per cent is no increment of 0.45")
	wantProblems(t, one("lift increment", "1", "45 %"), `unit table:r1:x: "45 %" bears a percent sign; the column's unit is one`)
	wantProblems(t, one("lift increment", "1", "0.45"))
}

// A fraction lost no decimal point.
func TestAFractionHasNoPoint(t *testing.T) {
	make := func(last string) *Series {
		tb, r := grid([]extract.Column{{Key: "x", Quantity: "airspeed", Unit: "mph"}}, full(), "60.5", "61.5", "62.5", "63.5", "64.5", last)
		r.Meta.Reader = "layer"
		return series(tb, r)
	}
	wantProblems(t, make("78½"))
	wantProblems(t, make("785"), `odd-print table:r6:x: "785" has no decimal point where 5 of the column's 6 figures have one`)
}
