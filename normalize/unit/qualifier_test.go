package unit

import "testing"

// TestQualified: a rating, a condition and a kind of airspeed are parted from the
// unit and kept (common practice, no source).
func TestQualified(t *testing.T) {
	tests := []struct{ printed, bare, said, kind string }{
		{"take-off hp", "hp", "take-off", Rating},
		{"hp. (take-off)", "hp.", "take-off", Rating},
		{"h.p., rated", "h.p.", "rated", Rating},
		{"War emergency b.hp.", "b.hp.", "War emergency", Rating},
		{"max. continuous PS", "PS", "max. continuous", Rating},
		{"maximum hp", "hp", "maximum", Condition},
		{"lb. gross", "lb.", "gross", Condition},
		{"all-up lb", "lb", "all-up", Condition},
		{"m.p.h. I.A.S.", "m.p.h.", "I.A.S.", AirspeedKind},
		{"m.p.h. (I. A. S.)", "m.p.h.", "I. A. S.", AirspeedKind},
		{"knots, true indicated", "knots", "true indicated", AirspeedKind},
		{"true m.p.h.", "m.p.h.", "true", AirspeedKind},
	}
	for _, tt := range tests {
		bare, q, ok := Qualified(tt.printed)
		if !ok || bare != tt.bare || q.Printed != tt.said || q.Kind != tt.kind {
			t.Errorf("Qualified(%q) = %q, %+v, %t; want %q, %q, %s", tt.printed, bare, q, ok, tt.bare, tt.said, tt.kind)
		}
	}
	for _, none := range []string{"hp", "m.p.h.", "take-off", "gross mph", "rated lb", "true ft", "sq. ft. gross", ""} {
		if bare, q, ok := Qualified(none); ok {
			t.Errorf("Qualified(%q) = %q, %+v", none, bare, q)
		}
	}
}

// TestQualifiersAreNoUnits: what stands with the unit is named, never dropped.
func TestQualifiersAreNoUnits(t *testing.T) {
	tests := []struct {
		printed string
		dim     Dimension
		want    string
	}{
		{"take-off hp", Power, `unit "take-off hp" holds more than a unit: "take-off" is the rating of a power; write the unit alone, "hp", and state the other where the table says what its figures mean`},
		{"mph (IAS)", Speed, `unit "mph (IAS)" holds more than a unit: "IAS" is a kind of airspeed; write the unit alone, "mph", and state the other where the table says what its figures mean`},
		{"gross lb.", Force, `unit "gross lb." holds more than a unit: "gross" is the condition of a weight; write the unit alone, "lb.", and state the other where the table says what its figures mean`},
	}
	for _, tt := range tests {
		if u, err := ParseFor(tt.printed, tt.dim); err == nil || err.Error() != tt.want {
			t.Errorf("ParseFor(%q) = %q, error\n\t%v\nwant\n\t%s", tt.printed, u.UCUM, err, tt.want)
		}
	}
}

func TestPlaceOfPower(t *testing.T) {
	for printed, want := range map[string]string{
		"b.hp.": "brake", "B.H.P.": "brake", "bhp": "brake", "brake horsepower": "brake", "t.hp.": "thrust", "thrust horsepower": "thrust", "i.h.p.": "indicated", "s.hp.": "shaft",
		"hp": "", "h.p.": "", "PS": "", "": "",
	} {
		if got := PlaceOfPower(printed); got != want {
			t.Errorf("PlaceOfPower(%q) = %q, want %q", printed, got, want)
		}
	}
}

// TestTemperatureDifferences: a difference and a point of a scale are not
// converted into each other, and a width takes no offset. SP 811 B.8: a
// temperature interval of 1 degF is 5/9 K.
func TestTemperatureDifferences(t *testing.T) {
	for _, point := range []string{"K", "Cel", "[degF]", "[degR]"} {
		for _, difference := range []string{"K{difference}", "[degR]{difference}"} {
			if _, err := Convert(rat(t, "9"), lookup(t, point), lookup(t, difference)); err == nil {
				t.Errorf("%s is converted to %s", point, difference)
			}
			if _, err := Convert(rat(t, "9"), lookup(t, difference), lookup(t, point)); err == nil {
				t.Errorf("%s is converted to %s", difference, point)
			}
		}
	}
	_, err := Convert(rat(t, "9"), lookup(t, "[degF]"), lookup(t, "K{difference}"))
	const want = "cannot convert degree Fahrenheit (temperature) to kelvin difference (temperature difference)"
	if err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
	for _, tt := range []struct {
		printed string
		dim     Dimension
		want    string
	}{
		{"deg F", TemperatureDifference, `unit "deg F" is degree Fahrenheit (temperature), but a unit of temperature difference is wanted, such as kelvin difference, degree Fahrenheit difference`},
		{"deg F difference", Temperature, `unit "deg F difference" is degree Fahrenheit difference (temperature difference), but a unit of temperature is wanted, such as kelvin, degree Celsius, degree Fahrenheit`},
	} {
		if _, err := ParseFor(tt.printed, tt.dim); err == nil || err.Error() != tt.want {
			t.Errorf("error\n\t%v\nwant\n\t%s", err, tt.want)
		}
	}
	for _, tt := range []struct{ from, to, want string }{
		{"[degF]", "K", "5"}, {"[degF]", "Cel", "5"}, {"Cel", "[degF]", "16.2"}, {"Cel", "K", "9"}, {"[degF]", "[degR]", "9"},
	} {
		e, err := Width(rat(t, "9"), lookup(t, tt.from), lookup(t, tt.to))
		if err != nil || e.Rat.Cmp(rat(t, tt.want)) != 0 {
			t.Errorf("a width of 9 %s = %v %s, %v; want %s", tt.from, e.Rat, tt.to, err, tt.want)
		}
	}
}
