package normalize

import (
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// says lists the steps of one cell under the names wanted, as "name: words".
func says(s *Series, row, column string, names ...string) []string {
	var list []string
	for _, step := range s.Explain(extract.CellID{Table: "t00000001", Row: row, Column: column}) {
		if len(names) == 0 || slices.Contains(names, step.Name) {
			list = append(list, step.Name+": "+step.Says)
		}
	}
	return list
}

func wantSays(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Factors: NIST SP 811 (2008) B.8: a knot is 1852/3600 m/s, which is 463/900; a foot
// 0.3048 m, exact; a statute mile per hour 0.44704 m/s, exact; a degree pi/180 rad, so that
// per degree is 180/pi per radian.
func TestExplainConversions(t *testing.T) {
	for _, c := range []struct {
		quantity, unit, text string
		want                 []string
	}{
		{"stall speed", "knots", "55.8", []string{
			`unit: that of the column is "knots", understood as knot, UCUM [kn_i]`,
			`conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 55.8 x (463/900) = 28.706 m/s`,
			`rounding: once, to 5 digits after the point, which moves it by less than a thousandth of the half-width: 28.70600`,
			`half-width: 0.02573 m/s, half a unit of the last printed digit (0.05 [kn_i])`}},
		{"stall speed", "m.p.h.", "60", []string{
			`unit: that of the column is "m.p.h.", understood as statute mile per hour, UCUM [mi_i]/h`,
			`conversion: 1 [mi_i]/h = 0.44704 m/s exactly, so the value is 60 x 0.44704 = 26.8224 m/s`,
			`rounding: once, to 4 digits after the point, which moves it by less than a thousandth of the half-width: 26.8224`,
			`half-width: 0.2236 m/s, half a unit of the last printed digit (0.5 [mi_i]/h)`}},
		{"lift-curve slope", "per deg", ".0765", []string{
			`unit: that of the column is "per deg", understood as per degree, UCUM /deg`,
			`conversion: 1 /deg = 180 / pi /rad exactly, so the value is 0.0765 x 180 / pi = 13.77 / pi /rad, about 4.38312713275`,
			`rounding: once, to 6 digits after the point, which moves it by less than a thousandth of the half-width: 4.383127`,
			`half-width: 0.002865 /rad, half a unit of the last printed digit (0.00005 /deg)`}},
		{"angle of attack", "rad", "-.20", []string{
			`unit: that of the column is "rad", understood as radian, UCUM rad`,
			`conversion: 1 rad = 180 / pi deg exactly, so the value is -0.20 x 180 / pi = -36 / pi deg, about -11.4591559026`,
			`rounding: once, to 4 digits after the point, which moves it by less than a thousandth of the half-width: -11.4592`,
			`half-width: 0.2865 deg, half a unit of the last printed digit (0.005 rad)`}},
		{"lift coefficient", "1", "1.20", []string{
			`unit: that of the column is "1", understood as 1, a number without unit`,
			`conversion: none: the canonical unit is that of the print, and the value is the number itself`,
			`rounding: none: the printed digits are published, 1.20`,
			`half-width: 0.005, half a unit of the last printed digit (0.005)`}},
		{"drag coefficient", "10*-4", "123", []string{
			`unit: that of the column is "10*-4", understood as ten-thousandth, UCUM 10*-4`,
			`conversion: 1 10*-4 = 0.0001 exactly, so the value is 123 x 0.0001 = 0.0123`,
			`rounding: once, to 8 digits after the point, which moves it by less than a thousandth of the half-width: 0.01230000`,
			`half-width: 0.00005, half a unit of the last printed digit (0.5 10*-4)`}},
		{"wing span", "ft", "35 1/3", []string{
			`unit: that of the column is "ft", understood as foot, UCUM [ft_i]`,
			`conversion: 1 [ft_i] = 0.3048 m exactly, so the value is 106/3 x 0.3048 = 10.7696 m`,
			`rounding: once, to 5 digits after the point, which moves it by less than a thousandth of the half-width: 10.76960`,
			`half-width: 0.0508 m, half a unit of the last printed digit (1/6 [ft_i])`}},
		{"Reynolds number", "1", "3,400,000", []string{
			`unit: that of the column is "1", understood as 1, a number without unit`,
			`conversion: none: the canonical unit is that of the print, and the value is the number itself`,
			`rounding: none: the printed digits are published, 3400000`,
			`half-width: 50000, half a unit of the last digit that is not zero (50000); the zeros behind it fill up`}},
	} {
		t.Run(c.quantity+" "+c.text, func(t *testing.T) {
			wantSays(t, says(one(c.quantity, c.unit, c.text), "r1", "x", "unit", "conversion", "rounding", "half-width"), c.want...)
		})
	}
}

func TestExplainNumerals(t *testing.T) {
	s := one("lift coefficient", "1", "–.168", "1.20*", "\"", "", "1.2.3")
	wantSays(t, says(s, "r1", "x", "numeral"), `numeral: "–.168" is the number -0.168, 3 significant digits, 3 digits after the point, a unit of its last digit is 0.001, and its sign is minus`)
	wantSays(t, says(s, "r2", "x", "numeral"), `numeral: "1.20*" is the number 1.20, 3 significant digits, 2 digits after the point, a unit of its last digit is 0.01; the footnote mark * was taken off`)
	wantSays(t, says(s, "r3", "x", "numeral"), `numeral: "\"" repeats row r2, "1.20*": the number 1.20, 3 significant digits, 2 digits after the point, a unit of its last digit is 0.01; the footnote mark * was taken off`)
	wantSays(t, says(s, "r4", "x"), `numeral: "" is no number: blank`)
	wantSays(t, says(s, "r5", "x"), `numeral: "1.2.3" is no number`)
	wantSays(t, says(one("weight", "lb", "4,150"), "r1", "x", "numeral"), `numeral: "4,150" is the number 4150, 4 significant digits, no digit after the point, a unit of its last digit is 1; thousands are parted`)
	wantSays(t, says(s, "r9", "x"))
	// A unit that does not fit refuses the column: digits are left, and say so.
	wantSays(t, says(one("lift coefficient", "lb", "1.20"), "r1", "x"),
		`numeral: "1.20" is the number 1.20, 3 significant digits, 2 digits after the point, a unit of its last digit is 0.01`,
		`quantity: none: what it means was refused, so that its digits serve the relations of the table and nothing else`)
	wantSays(t, says(one("unclassified", "", "1.20"), "r1", "x", "quantity"), `quantity: unclassified: its digits serve the relations of the table and nothing else`)
}

// A manual that prints 60, 65, 70 is rounded to 5 (DESIGN, half-width).
func TestExplainSteps(t *testing.T) {
	s := one("stall speed", "knots", "60", "65", "70", "80")
	wantSays(t, says(s, "r2", "x", "half-width"), `half-width: 1.287 m/s, half of the column's own steps of 5 [kn_i], which are coarser than its last digit`)
}

func TestExplainAccuracy(t *testing.T) {
	table, reading := grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, full(), "55")
	table.Accuracy = map[string]string{"x": "2"}
	wantSays(t, says(series(table, reading), "r1", "x", "half-width", "accuracy"),
		`half-width: 0.2573 m/s, half a unit of the last printed digit (0.5 [kn_i])`,
		`accuracy: the source states an accuracy of 1.029 m/s for the column, which is kept apart from rounding`)
}

func TestExplainBasis(t *testing.T) {
	basis := extract.Basis{Article: "aeroplane", Stall: "break", AirspeedKind: "IAS", AirspeedMeaning: "the reading of the instrument", Weight: "given w", WeightCondition: "test",
		Configuration: extract.Configuration{Gear: "fixed", Power: "idle"}}
	table, reading := grid([]extract.Column{{Key: "name", Quantity: "label"}, {Key: "x", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{Stall: "landing"}}}, basis, "Flap 30|55")
	table.Rows = []extract.RowRule{{Label: "Flap 30", Basis: &extract.Basis{Configuration: extract.Configuration{Flap: "split", Deflection: "30"}}}}
	wantSays(t, says(series(table, reading), "r1", "x", "basis", "reference"),
		`basis: stated for the table: article: aeroplane; airspeed kind: IAS; airspeed meaning: the reading of the instrument; gear: fixed; power: idle; weight: given w; weight condition: test`,
		`basis: stated for the column: stall: landing`,
		`basis: stated for rows of this label: flap: split; deflection: 30`,
		`reference: deflection, 30: stands in the printed label of the row`,
		`reference: weight, given w: cell table:given:w prints "3,980" (keyed): test weight 17703.922 N`) // 3980 lbf x 4.4482216152605 N (SP 811)
}

// A value that the units alone do not give is never told as theirs.
func TestExplainOtherValue(t *testing.T) {
	s := one("stall speed", "knots", "55")
	d := s.Rows[0].Datum("x")
	d.Value, d.Formula = ExactOf(big.NewRat(30, 1)), "CAS from IAS by the position-error table"
	d.Half = new(big.Rat).Mul(d.Half, big.NewRat(3, 2))
	wantSays(t, says(s, "r1", "x", "conversion", "half-width"),
		`conversion: the value is 30 m/s, by more than a change of unit: CAS from IAS by the position-error table`,
		`half-width: 0.3859 m/s, otherwise than by the last printed digit: CAS from IAS by the position-error table`)
}

// The half-width of a value that was changed as a whole, as from half coefficients, goes
// with it and is no step of the column.
func TestExplainChangedAsTheValue(t *testing.T) {
	s := one("lift coefficient", "1", ".60")
	d := s.Rows[0].Datum("x")
	d.Value, d.Half, d.Formula = ExactOf(new(big.Rat).Mul(d.Value.Rat(), big.NewRat(2, 1))), new(big.Rat).Mul(d.Half, big.NewRat(2, 1)), "C_L = 2 k_L"
	wantSays(t, says(s, "r1", "x", "conversion", "half-width"),
		`conversion: the value is 1.2, by more than a change of unit: C_L = 2 k_L`,
		`half-width: 0.01, half a unit of the last printed digit (0.005), changed as the value is`)
}

// Every field of a basis is told, under the key that the table's file has for it.
func TestStatedTellsEveryField(t *testing.T) {
	var b extract.Basis
	count := 0
	var fill func(v reflect.Value)
	fill = func(v reflect.Value) {
		for i := range v.NumField() {
			switch f := v.Field(i); f.Kind() {
			case reflect.Struct:
				fill(f)
			case reflect.String:
				f.SetString("said")
				count++
			}
		}
	}
	fill(reflect.ValueOf(&b).Elem())
	got := Stated(b)
	if len(got) != count || count < 30 {
		t.Errorf("%d fields are told of %d; a basis has more than 30", len(got), count)
	}
	for _, f := range got {
		if f.Value != "said" || f.Name == "" || strings.HasSuffix(f.Name, ".") {
			t.Errorf("field %q says %q", f.Name, f.Value)
		}
	}
	if want := (Fact{"article", "said"}); got[0] != want {
		t.Errorf("the first is %v, want %v", got[0], want)
	}
	if !slices.Contains(got, Fact{"configuration.deflection", "said"}) {
		t.Errorf("no configuration.deflection in %v", got)
	}
}

func TestAgree(t *testing.T) {
	weight := func(text string) Holding {
		s := one("test weight", "lb", text)
		return Holding{Name: "weight", Text: text + " lb", Value: s.Rows[0].Datum("x")}
	}
	for _, c := range []struct {
		name string
		a, b Holding
		want string
	}{
		{"one choice", Holding{Text: "corrected"}, Holding{Text: "corrected"}, "same"},
		{"another choice", Holding{Text: "corrected"}, Holding{Text: "uncorrected"}, "differs"},
		{"one side silent", Holding{Text: "corrected"}, Holding{}, "cannot be told"},
		{"the other silent", Holding{}, Holding{Text: "corrected"}, "cannot be told"},
		{"both silent", Holding{}, Holding{}, "cannot be told"},
		{"both silent on what is seldom said", Holding{Seldom: true}, Holding{Seldom: true}, "same"},
		{"one side silent on what is seldom said", Holding{Text: "rough", Seldom: true}, Holding{Seldom: true}, "cannot be told"},
		{"other words", Holding{Text: "smooth", Words: true}, Holding{Text: "polished", Words: true}, "cannot be told"},
		{"same words, other spaces", Holding{Text: "quarter chord", Words: true}, Holding{Text: "quarter  chord.", Words: true}, "same"},
		{"one figure", weight("3,980"), weight("3,980"), "same"},
		{"figures within their half-widths", weight("3,980"), weight("3,980.4"), "same"}, // 0.4 <= 0.5 + 0.05
		{"figures beyond them", weight("3,980"), weight("3,980.6"), "differs"},           // 0.6 > 0.55
		{"labels", Holding{Text: "15"}, Holding{Text: "15.0"}, "same"},
		{"a figure and sea level", weight("3,980"), Holding{Text: "sea-level"}, "differs"},
	} {
		if got := c.a.Agree(c.b).String(); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if got := c.b.Agree(c.a).String(); got != c.want {
			t.Errorf("%s, turned round: %s, want %s", c.name, got, c.want)
		}
	}
}

// What bears on a quantity, and what does not.
func TestConditionsThatBear(t *testing.T) {
	names := func(quantity, unit, text string, basis extract.Basis) string {
		s := series(grid([]extract.Column{{Key: "x", Quantity: quantity, Unit: unit}}, basis, text))
		var list []string
		for _, c := range s.Conditions(&s.Rows[0], s.Rows[0].Datum("x")) {
			list = append(list, c.Name)
		}
		return strings.Join(list, ", ")
	}
	wing := full()
	wing.Article = "wing"
	for _, c := range []struct {
		quantity, unit, text string
		basis                extract.Basis
		want                 string
	}{
		{"drag coefficient", "1", ".0101", wing, "article, Reynolds number, kind of Reynolds number, Mach number, walls, reference area, aspect-ratio basis, kind of drag, flap, flap deflection, deflection state, deflection datum, deflection plane, slats, coefficients, center of gravity, surface, fitted, note"},
		{"stall speed", "knots", "55", full(), "article, power, trim, flap, flap deflection, deflection state, deflection datum, deflection plane, slats, gear, propeller, airspeed kind, airspeed meaning, weight, weight condition, stall, entry rate, center of gravity, fitted, altitude, atmosphere, altitude kind, air temperature, note"},
		{"zero-lift angle", "deg", "-2", wing, "article, Reynolds number, kind of Reynolds number, Mach number, walls, aspect-ratio basis, angle datum, flap, flap deflection, deflection state, deflection datum, deflection plane, slats, center of gravity, surface, fitted, note"},
		{"wing span", "ft", "36", wing, "article, note"},
	} {
		if got := names(c.quantity, c.unit, c.text, c.basis); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.quantity, got, c.want)
		}
	}
	// The coefficient of a row is one at the angle of its row.
	basis := wing
	basis.AngleDatum = ""
	s := series(grid([]extract.Column{{Key: "alpha", Quantity: "angle of attack", Unit: "deg", Basis: &extract.Basis{AngleDatum: "lower-surface"}},
		{Key: "cl", Quantity: "lift coefficient", Unit: "1"}}, basis, "2|.35"))
	i := slices.IndexFunc(s.Conditions(&s.Rows[0], s.Rows[0].Datum("cl")), func(c Holding) bool { return c.Name == "angle datum" && c.Text == "lower-surface" })
	if i < 0 {
		t.Errorf("the lift coefficient has not the datum of its angle: %+v", s.Conditions(&s.Rows[0], s.Rows[0].Datum("cl")))
	}
}

// No field of a basis is left out when sources are laid side by side: each bears on some
// quantity of some article.
func TestEveryFieldIsACondition(t *testing.T) {
	s := one("lift coefficient", "1", "1.20")
	mark := *s.Rows[0].Datum("x")
	cell := *mark.Cell
	cell.Text = "said"
	mark.Cell = &cell
	s.Givens["mark"] = &mark
	kind := reflect.TypeOf(extract.Basis{})
	count := 0
	try := func(name, tag string, set func(b *extract.Basis, value string)) {
		count++
		value := "said"
		if strings.Contains(tag, "cellref") && !strings.Contains(name, "deflection") {
			value = "given mark"
		}
		for _, article := range []string{"wing", "aeroplane"} {
			for i := range quantities {
				b := extract.Basis{Article: article}
				set(&b, value)
				if b.Article == article && name == "article" {
					t.Fatal("the article is not set")
				}
				if strings.HasPrefix(name, "airspeed_meaning") {
					b.AirspeedKind = "IAS"
				}
				c := b.Configuration
				d := &Datum{Cell: &cell, Sense: &Sense{Quantity: &quantities[i], Basis: b}, State: &State{Configuration{Flap: c.Flap, State: c.State, Slats: c.Slats, Gear: c.Gear, Propeller: c.Propeller,
					Power: c.Power, Trim: c.Trim, Deflection: c.Deflection,
					DeflectionDatum: c.DeflectionDatum, DeflectionPlane: c.DeflectionPlane}}}
				for _, h := range s.Conditions(nil, d) {
					if strings.HasPrefix(h.Text, "said") {
						return
					}
				}
			}
		}
		t.Errorf("%s bears on no quantity: two sources that differ in it would be combined", name)
	}
	for i := range kind.NumField() {
		f := kind.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if f.Type.Kind() != reflect.Struct {
			try(name, f.Tag.Get("validate"), func(b *extract.Basis, value string) { reflect.ValueOf(b).Elem().Field(i).SetString(value) })
			continue
		}
		for k := range f.Type.NumField() {
			sub, _, _ := strings.Cut(f.Type.Field(k).Tag.Get("yaml"), ",")
			try(name+"."+sub, f.Type.Field(k).Tag.Get("validate"), func(b *extract.Basis, value string) {
				reflect.ValueOf(b).Elem().Field(i).Field(k).SetString(value)
			})
		}
	}
	if count < 30 {
		t.Errorf("%d fields tried; a basis has more than 30", count)
	}
}
