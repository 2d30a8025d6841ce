package datasets

import (
	"path/filepath"
	"strings"
	"testing"
)

// withConversions is the edition of tarnholm with three more conversions. A few lines
// of Python with the equations of the standard atmosphere and of the pitot tube give:
// TAS 59.787584 m/s at 3,048 m is CAS 51.4444 (TRADE.md 2.2: 100 kt, TAS 116.2); the
// density at 1,524 m and 324.661 K is that of 3,048 m (TRADE.md 4.1).
func withConversions() *Edition {
	e := withDerived()
	add := func(id, conditions, quantity string, number Number, unit string) {
		v := e.Values[5]
		v.ValueID, v.ConfigurationID, v.ConditionsID, v.Quantity, v.Printed, v.PrintedUnit = id, "", conditions, quantity, string(number), unit
		v.Value, v.Unit, v.HalfWidth, v.Decimals, v.Formula = number, unit, "0.001", "3", ""
		e.Values = append(e.Values, v)
	}
	as := func(id string, change func(c *Conditions)) {
		c := e.Conditions[0]
		c.ConditionsID = id
		change(&c)
		e.Conditions = append(e.Conditions, c)
	}
	warm := Measured{"324.661", "0.001", "v10"}
	as("pressure-warm", func(c *Conditions) { c.AltitudeKind, c.Atmosphere, c.Temperature = "pressure", "modern", warm })
	as("density-warm", func(c *Conditions) { c.AltitudeKind, c.Atmosphere, c.Temperature = "density", "modern", warm })
	as("thrust", func(c *Conditions) { c.AngleDatum = "thrust-line" })
	as("chord", func(c *Conditions) { c.AngleDatum = "chord" })
	add("v10", "wing-8m", "air temperature", "324.661", "K")
	add("v11", "pressure-warm", "altitude", "1524.000", "m")
	add("v12", "thrust", "angle of attack", "4.000", "deg")
	add("v13", "thrust", "angle of wing setting", "1.500", "deg")
	tas := e.Values[len(e.Values)-1]
	tas.ValueID, tas.ConditionsID, tas.ConfigurationID, tas.Quantity, tas.Value, tas.Printed, tas.Unit, tas.PrintedUnit, tas.Formula = "v14", "flight-tas", "split-30", "airspeed", "59.788", "59.788", "m/s", "m/s", ""
	e.Values = append(e.Values, tas)
	derived := func(id, of, conditions, value, half, parents, formula string) {
		var v Value
		for _, have := range e.Values {
			if have.ValueID == of {
				v = have
			}
		}
		e.Derived = append(e.Derived, Derived{DerivedID: id, SubjectID: "heron-wing", ConfigurationID: v.ConfigurationID, ConditionsID: conditions, Quantity: v.Quantity,
			Value: Number(value), HalfWidth: Number(half), Unit: v.Unit, Of: of, Parents: parents, Formula: formula, Checked: "agreed"})
	}
	derived("d3", "v11", "density-warm", "3048.0295", "0.03107", "v10 v11", "density_altitude(v11, v10, modern)")
	derived("d4", "v12", "chord", "5.5", "0.002", "v12 v13", "v12 + v13")
	derived("d5", "v14", "flight-cas", "51.4448", "0.04099", "v0f v14", "CAS_of_EAS(EAS_of_TAS(v14, v0f, modern), v0f, modern)")
	return e
}

// Each fault in a formula, in what it is of or in its conditions is told by Write.
func TestVerifyHoldsEachConversionToItsForm(t *testing.T) {
	const path = "data/derived.csv:"
	derivedOf := func(e *Edition, id string) *Derived {
		for i := range e.Derived {
			if e.Derived[i].DerivedID == id {
				return &e.Derived[i]
			}
		}
		return nil
	}
	for _, c := range []struct {
		name, id string
		edit     func(e *Edition, d *Derived)
		want     []string // parts of the lines that are said
	}{
		{"sound", "d3", func(*Edition, *Derived) {}, nil},
		{"the temperature of nobody", "d3", func(e *Edition, d *Derived) {
			e.Conditions[5].Temperature, e.Conditions[6].Temperature = Measured{}, Measured{}
		},
			[]string{`it would be right as density_altitude(v11, the temperature of its conditions, their atmosphere), a density altitude`}},
		{"of a density altitude", "d3", func(e *Edition, d *Derived) {
			e.Conditions[5].AltitudeKind, e.Conditions[6].AltitudeKind = "density", "pressure"
		},
			[]string{`it would be right as density_altitude(v11, the temperature of its conditions, their atmosphere), a density altitude`}},
		{"the other standard", "d3", func(e *Edition, d *Derived) { d.Formula = "density_altitude(v11, v10, period)" },
			[]string{`it would be right as density_altitude(v11, the temperature of its conditions, their atmosphere), a density altitude`}},
		{"sign of a setting", "d4", func(e *Edition, d *Derived) { d.Formula, d.Value = "v12 - v13", "2.5" }, []string{`it would be right as v12 + the angle of wing setting from the thrust-line`}},
		{"a setting to another line", "d4", func(e *Edition, d *Derived) { e.Conditions[7].AngleDatum = "lower-surface" }, []string{`value v13 is a angle of wing setting, it would be right as angle of chord`}},
		{"up for down", "d5", func(e *Edition, d *Derived) { d.Formula = "TAS(EAS(v14, v0f, modern), v0f, modern)" }, []string{`CAS_of_EAS(...) would be right where "TAS(EAS(v14, v0f, modern), v0f, modern)" stands`}},
		{"half the way", "d5", func(e *Edition, d *Derived) { d.Formula, d.Value = "CAS_of_EAS(v14, v0f, modern)", "59.9" }, []string{`EAS_of_TAS(...) would be right where "v14" stands`}},
		{"a geometric height", "d5", func(e *Edition, d *Derived) { e.Conditions[4].AltitudeKind = "geometric" }, []string{`value v0f has altitude_kind "geometric", it would be right as "pressure"`}},
		{"compressibility by a density altitude", "d5", func(e *Edition, d *Derived) { e.Conditions[4].AltitudeKind = "density" }, []string{`value v0f has altitude_kind "density", it would be right as "pressure"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := withConversions()
			c.edit(e, derivedOf(e, c.id))
			got := ""
			if err := Write(filepath.Join(t.TempDir(), "1.0.0"), e); err != nil {
				got = err.Error()
			}
			if c.want == nil && got != "" {
				t.Fatalf("got\n%s", got)
			}
			for _, part := range c.want {
				if !strings.Contains(got, path) || !strings.Contains(got, part) {
					t.Errorf("got\n%s\nwant in it\n%s", got, part)
				}
			}
		})
	}
}

func TestPointOfTheChordInConditions(t *testing.T) {
	for text, want := range map[string]float64{"quarter-chord point": 0.25, "leading edge": 0, "30 percent chord": 0.3, "24.5 per cent of the chord": 0.245, "25% chord": 0.25, "0.35 c": 0.35, ".35c": 0.35} {
		if got, ok := chordShareOf(text); !ok || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "aerodynamic center", "26 percent aft and 4 percent below"} {
		if got, ok := chordShareOf(text); ok {
			t.Errorf("%q: %v", text, got)
		}
	}
}
