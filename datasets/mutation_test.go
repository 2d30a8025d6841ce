package datasets

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// withEveryForm is withConversions with a number of each form that it lacks. Every
// printed figure is within 0.001. The numbers and half-widths are of a few lines of
// Python: the formulas in all corners of their figures, with collocation of its own for
// TAU and DELTA.
func withEveryForm() *Edition {
	e := withConversions()
	as := func(id string, change func(c *Conditions)) {
		c := Conditions{ConditionsID: id, Article: "wing", ReferenceArea: "gross wing area"}
		change(&c)
		e.Conditions = append(e.Conditions, c)
	}
	value := func(id, configuration, conditions, quantity, unit string, number Number) {
		v := e.Values[5]
		v.ValueID, v.ConfigurationID, v.ConditionsID, v.Quantity, v.Printed, v.PrintedUnit, v.Row = id, configuration, conditions, quantity, string(number), unit, "r7"
		v.Value, v.Unit, v.HalfWidth, v.Decimals, v.Formula = number, unit, "0.001", "3", ""
		e.Values = append(e.Values, v)
	}
	derived := func(id, of, conditions, value, half, parents, formula string) {
		at := slices.IndexFunc(e.Values, func(v Value) bool { return v.ValueID == of })
		v := e.Values[at]
		e.Derived = append(e.Derived, Derived{DerivedID: id, SubjectID: "heron-wing", ConfigurationID: v.ConfigurationID, ConditionsID: conditions, Quantity: v.Quantity,
			Value: Number(value), HalfWidth: Number(half), Unit: v.Unit, Of: of, Parents: parents, Formula: formula, Checked: "agreed"})
	}
	moments := func(center string) func(c *Conditions) {
		return func(c *Conditions) { c.MomentCenter, c.MomentSign, c.AngleDatum = center, "nose-up", "chord" }
	}
	as("about-quarter", moments("quarter-chord point"))
	as("about-edge", moments("leading edge"))
	value("v20", "", "about-quarter", "angle of attack", "deg", "4.000")
	value("v21", "", "about-quarter", "lift coefficient", "1", "0.474")
	value("v22", "", "about-quarter", "drag coefficient", "1", "0.023")
	value("v23", "", "about-quarter", "pitching-moment coefficient", "1", "-0.050")
	derived("d6", "v23", "about-edge", "-0.1686124", "0.001267", "v20 v21 v22 v23", "v23 + (v21 * cosd(v20) + v22 * sind(v20)) * (0 - 0.25)")

	as("ias", func(c *Conditions) { c.AirspeedKind, c.AirspeedDefinition = "IAS", "the reading of the instrument" })
	as("cas", func(c *Conditions) { c.AirspeedKind = "CAS" })
	as("added", func(c *Conditions) { c.CorrectionSign = "added" })
	value("v24", "split-30", "ias", "airspeed", "m/s", "24.000")
	value("v25", "split-30", "ias", "airspeed", "m/s", "29.000")
	value("v26", "split-30", "cas", "airspeed", "m/s", "25.500")
	value("v27", "split-30", "cas", "airspeed", "m/s", "30.000")
	value("v28", "split-30", "cas", "airspeed", "m/s", "27.300")
	value("v29", "split-30", "added", "airspeed correction", "m/s", "1.500")
	value("v2a", "split-30", "added", "airspeed correction", "m/s", "1.000")
	for i, row := range map[string]string{"v24": "r1", "v26": "r1", "v29": "r1", "v25": "r2", "v27": "r2", "v2a": "r2"} {
		e.Values[slices.IndexFunc(e.Values, func(v Value) bool { return v.ValueID == i })].Row = row
	}
	derived("d7", "v28", "ias", "26", "0.003223", "v24 v25 v26 v27 v28", "v24 + (v25 - v24) * (v28 - v26) / (v27 - v26)")
	derived("d8", "v28", "ias", "26", "0.002334", "v24 v25 v28 v29 v2a", "v24 + (v25 - v24) * (v28 - (v24 + v29)) / ((v25 + v2a) - (v24 + v29))")

	as("fuselage", func(c *Conditions) { c.AngleDatum = "fuselage-datum" })
	as("zero", func(c *Conditions) { c.AngleDatum = "zero-lift" })
	for _, id := range []string{"fuselage", "zero"} { // but for the datum they are those of the angle itself
		c := &e.Conditions[slices.IndexFunc(e.Conditions, func(c Conditions) bool { return c.ConditionsID == id })]
		datum := c.AngleDatum
		*c = e.Conditions[0]
		c.ConditionsID, c.AngleDatum = id, datum
	}
	value("v38", "", "fuselage", "angle of wing setting", "deg", "2.000")
	value("v39", "", "thrust", "zero-lift angle", "deg", "-4.100")
	derived("d9", "v12", "fuselage", "3.5", "0.003", "v12 v13 v38", "v12 + v13 - v38")
	derived("da", "v12", "zero", "8.1", "0.002", "v12 v39", "v12 - v39")

	tunnel := func(walls, ratio, drag string) func(c *Conditions) {
		return func(c *Conditions) { c.Walls, c.AspectRatioBasis, c.DragKind = walls, ratio, drag }
	}
	const closed = "corrected for a closed section, delta 0.125"
	as("tunnel", tunnel("uncorrected", "as-tested", "total"))
	as("no-walls", tunnel(closed, "as-tested", "total"))
	as("to-section", tunnel(closed, "infinite", "profile"))
	as("to-eight", tunnel(closed, "8, rectangular, section slope 6 per radian", "total"))
	value("v30", "", "tunnel", "angle of attack", "deg", "4.000")
	value("v31", "", "tunnel", "lift coefficient", "1", "1.000")
	value("v32", "", "tunnel", "drag coefficient", "1", "0.070")
	value("v33", "", "tunnel", "lift-curve slope", "/rad", "4.400")
	value("v34", "", "tunnel", "aspect ratio", "1", "6.000")
	value("v35", "", "tunnel", "taper ratio", "1", "0.500")
	value("v36", "", "tunnel", "wing area", "m2", "6.000")
	value("v37", "", "tunnel", "tunnel section area", "m2", "50.000")
	derived("db", "v30", "no-walls", "4.859437", "0.002021", "v30 v31 v36 v37", "v30 + 180 / pi * v31 * (0.125 * v36 / v37)")
	derived("dc", "v30", "to-section", "1.819801", "0.003848", "v30 v31 v34 v36 v37", "v30 + 180 / pi * v31 * (0.125 * v36 / v37 + (0 - 1 / v34) / pi)")
	derived("dd", "v32", "to-eight", "0.0718584", "0.001016", "v31 v32 v34 v36 v37", "v32 + v31 * v31 * (0.125 * v36 / v37 + ((1 + DELTA(8, 6, 1)) / 8 - (1 + DELTA(v34, 6, 1)) / v34) / pi)")
	derived("de", "v33", "to-section", "5.364147", "0.002074", "v33 v34 v35 v36 v37", "v33 / (1 + v33 * (0.125 * v36 / v37 + (0 - (1 + TAU(v34, 6, v35)) / v34) / pi))")
	return e
}

// A published number, or half-width, that somebody changes in the file and seals anew
// is found in each form, with what it comes to.
func TestVerifyFindsAChangedNumberOfEveryForm(t *testing.T) {
	dir := write(t, withEveryForm())
	sound := readFile(t, dir, "data", "derived.csv")
	if got := problemTexts(t, dir); got != nil {
		t.Fatalf("got\n%s", strings.Join(got, "\n"))
	}
	for _, c := range []struct{ id, value, half, tamperedValue, tamperedHalf, comesTo, wide string }{
		{"d3", "3048.0295", "0.03107", "3058.0295", "0.0010", "3048.03", "0.0310689"},
		{"d4", "5.5", "0.002", "2.5", "0.001", "5.5", "0.002"},
		{"d5", "51.4448", "0.04099", "59.788", "0.001", "51.4448", "0.0409765"},
		{"d6", "-0.1686124", "0.001267", "-0.1686224", "0.001", "-0.168612", "0.00126688"},
		{"d7", "26", "0.003223", "28.6", "0.001", "26", "0.00322222"},
		{"d8", "26", "0.002334", "28.6", "0.003223", "26", "0.00233333"},
		{"d9", "3.5", "0.003", "7.5", "0.001", "3.5", "0.003"},
		{"da", "8.1", "0.002", "-0.1", "0.001", "8.1", "0.002"},
		{"db", "4.859437", "0.002021", "4", "0.001", "4.85944", "0.00202003"},
		{"dc", "1.819801", "0.003848", "0.9604", "0.001", "1.8198", "0.00384798"},
		{"dd", "0.0718584", "0.001016", "0.0718684", "0.001", "0.0718584", "0.00101529"},
		{"de", "5.364147", "0.002074", "5.36616", "0.001", "5.36415", "0.00207305"},
	} {
		lines := strings.Split(sound, "\n")
		row := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, c.id+",") })
		formula := ""
		for _, d := range withEveryForm().Derived {
			if d.DerivedID == c.id {
				formula = d.Formula
			}
		}
		for _, m := range []struct{ from, to, want string }{
			{"," + c.value + ",", "," + c.tamperedValue + ",", fmt.Sprintf("data/derived.csv:%d: value: is %s, %s comes to %s", row+1, c.tamperedValue, formula, c.comesTo)},
			{"," + c.half + ",,", "," + c.tamperedHalf + ",,", fmt.Sprintf("data/derived.csv:%d: half_width: is %s, those of its parents come to %s", row+1, c.tamperedHalf, c.wide)},
		} {
			changed := slices.Clone(lines)
			changed[row] = strings.Replace(lines[row], m.from, m.to, 1)
			edit(t, dir, "data/derived.csv", func(string) string { return strings.Join(changed, "\n") })
			reseal(t, dir)
			if got := problemTexts(t, dir); !slices.Contains(got, m.want) {
				t.Errorf("%s: got\n%s\nwant among them\n%s", c.id, strings.Join(got, "\n"), m.want)
			}
			edit(t, dir, "data/derived.csv", func(string) string { return sound })
		}
	}
}

// A formula, a parent or a condition that somebody changes is found: where the number
// still follows from the formula, by what the formula means.
func TestVerifyFindsAChangedMeaningOfEveryForm(t *testing.T) {
	for _, c := range []struct {
		name, id string
		edit     func(e *Edition, d *Derived, v func(id string) *Value, m func(id string) *Conditions)
		want     string
	}{
		{"sound", "d6", func(*Edition, *Derived, func(string) *Value, func(string) *Conditions) {}, ""},

		{"moment: points exchanged", "d6", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v23 + (v21 * cosd(v20) + v22 * sind(v20)) * (0.25 - 0)", "0.0686124"
		}, `0.25 is not where the derived number has its moment_center, "leading edge"`},
		{"moment: another point printed", "d6", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("about-quarter").MomentCenter = "30 percent chord"
		}, `0.25 is not where the value v23 has its moment_center, "30 percent chord"`},
		{"moment: nose-down", "d6", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("about-quarter").MomentSign, m("about-edge").MomentSign = "", ""
		}, `value v23 has moment_sign "", it would be right as "nose-up"`},
		{"moment: lift and drag exchanged", "d6", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v23 + (v22 * cosd(v20) + v21 * sind(v20)) * (0 - 0.25)", "-0.0640021"
		}, `value v22 is a drag coefficient, it would be right as lift coefficient`},
		{"moment: drag left out", "d6", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Parents, d.Value = "v23 + v21 * cosd(v20) * (0 - 0.25)", "v20 v21 v23", "-0.1682113"
		}, `it would be right as v23 + (lift * cosd(angle) + drag * sind(angle)) * (the new point - the old)`},
		{"moment: lift of another row", "d6", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) { v("v21").Row = "r8" },
			`value v21 stands in row r8 of table-4, value v23 in row r7 of table-4`},
		{"moment: angle from another line", "d6", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v20").ConditionsID = "thrust"
		}, `value v20 has angle_datum "thrust-line", it would be right as "chord"`},

		{"indicated: rows exchanged", "d7", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula = "v25 + (v24 - v25) * (v28 - v27) / (v26 - v27)"
		}, `v28 does not lie between v27 and v26`},
		{"indicated: calibrated taken for indicated", "d7", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value, d.HalfWidth = "v26 + (v27 - v26) * (v28 - v24) / (v25 - v24)", "28.47", "0.003600"
		}, `value v26 has airspeed_kind "CAS", it would be right as "IAS"`},
		{"indicated: of another configuration", "d7", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v24").ConfigurationID = "plain"
		}, `value v24 is of the configuration flap`},
		{"indicated: sign of the correction", "d8", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("added").CorrectionSign = "indicated-minus-true"
		}, `value v29 has correction_sign "indicated-minus-true", it would be right as "added"`},
		{"indicated: correction of the first row twice", "d8", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Parents, d.Value, d.HalfWidth = "v24 + (v25 - v24) * (v28 - (v24 + v29)) / ((v25 + v29) - (v24 + v29))", "v24 v25 v28 v29", "25.8", "0.002"
		}, `value v29 stands in row r1 of table-4, value v25 in row r2 of table-4`},
		{"indicated: no inverse", "d8", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Parents, d.Value, d.HalfWidth = "v28 - v29", "v28 v29", "25.8", "0.002"
		}, `"v28 - v29" is no way back along a straight line between two rows of a table of position errors`},

		{"density altitude: printed as a temperature", "d3", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v10").Quantity = "air density"
		}, `value v10 is a air density, it would be right as air temperature`},
		{"density altitude: geometric print", "d3", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("pressure-warm").AltitudeKind = "geometric"
		}, `value v11 has altitude_kind "geometric", it would be right as "pressure"`},

		{"angles: settings exchanged", "d9", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v12 + v38 - v13", "4.5"
		}, `value v38 has angle_datum "fuselage-datum", it would be right as "thrust-line"`},
		{"angles: signs exchanged", "d9", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v12 - v13 + v38", "4.5"
		}, `it would be right as v12 + the angle of wing setting from the thrust-line - the angle of wing setting from the fuselage-datum`},
		{"angles: half the way", "d9", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Parents, d.Value, d.HalfWidth = "v12 + v13", "v12 v13", "5.5", "0.002"
		}, `it would be right as v12 + the angle of wing setting from the thrust-line - the angle of wing setting from the fuselage-datum`},
		{"angles: zero lift added", "da", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v12 + v39", "-0.1"
		}, `it would be right as v12 - the zero-lift angle from the thrust-line`},
		{"angles: zero lift of another line", "da", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v39").ConditionsID = "chord"
		}, `value v39 has angle_datum "chord", it would be right as "thrust-line"`},
		{"angles: zero lift of another configuration", "da", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v39").ConfigurationID = "split-30"
		}, `value v39 is of the configuration split-30, value v12 of `},

		{"walls: sign", "db", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula, d.Value = "v30 + 180 / pi * v31 * (-0.125 * v36 / v37)", "3.140563"
		}, `the factor of the walls is "-0.125", the conditions have "corrected for a closed section, delta 0.125"`},
		{"walls: corrected twice", "db", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("tunnel").Walls = "corrected"
		}, `it corrects for walls, and the conditions of value v30 have walls "corrected", they would be right as uncorrected`},
		{"walls: another wing area", "db", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v36").ConditionsID = "wing-net"
		}, `value v36 has reference_area "net wing area", it would be right as "gross wing area"`},
		{"walls: lift of another row", "db", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) { v("v31").Row = "r8" },
			`value v31 does not stand in the row of value v30`},
		{"aspect ratio: of the section before", "dc", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("tunnel").Article, m("to-section").Article = "section", "section"
		}, `"1 / v34" stands where 0 would be right, value v30 is that of the section`},
		{"aspect ratio: a taper for it", "dc", func(_ *Edition, _ *Derived, v func(string) *Value, _ func(string) *Conditions) {
			v("v34").Quantity = "taper ratio"
		}, `value v34 is a taper ratio, it would be right as aspect ratio`},
		{"aspect ratio: left as tested", "dc", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("to-section").AspectRatioBasis, m("to-section").DragKind = "as-tested", "total"
		}, `it is for another aspect ratio, and the conditions say nothing of it`},
		{"aspect ratio: delta for tau", "de", func(_ *Edition, d *Derived, _ func(string) *Value, _ func(string) *Conditions) {
			d.Formula = strings.Replace(d.Formula, "TAU", "DELTA", 1)
		}, `"(1 + DELTA(v34, 6, v35)) / v34" is no wing, 1 / A or (1 + TAU(A, slope, taper)) / A would be right`},
		{"aspect ratio: another section slope", "dd", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("to-eight").AspectRatioBasis = "8, rectangular, section slope 5.7 per radian"
		}, `"(1 + DELTA(8, 6, 1)) / 8" stands where "(1 + DELTA(8, 5.7, 1)) / 8" would be right, the conditions have "8, rectangular, section slope 5.7 per radian"`},
		{"aspect ratio: a profile drag", "dd", func(_ *Edition, _ *Derived, _ func(string) *Value, m func(string) *Conditions) {
			m("to-eight").DragKind = "profile"
		}, `the conditions have drag_kind "profile", it would be right as "total"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := withEveryForm()
			value := func(id string) *Value {
				return &e.Values[slices.IndexFunc(e.Values, func(v Value) bool { return v.ValueID == id })]
			}
			meaning := func(id string) *Conditions {
				return &e.Conditions[slices.IndexFunc(e.Conditions, func(c Conditions) bool { return c.ConditionsID == id })]
			}
			c.edit(e, &e.Derived[slices.IndexFunc(e.Derived, func(d Derived) bool { return d.DerivedID == c.id })], value, meaning)
			got := ""
			if err := Write(filepath.Join(t.TempDir(), "1.0.0"), e); err != nil {
				got = err.Error()
			}
			if got == "" != (c.want == "") || !strings.Contains(got, c.want) {
				t.Errorf("got\n%s\nwant in it\n%s", got, c.want)
			}
		})
	}
}
