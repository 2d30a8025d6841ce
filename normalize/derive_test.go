package normalize

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// flight is the basis of indicated airspeeds with split flaps at 30 deg.
func flight() extract.Basis {
	return extract.Basis{Article: "aeroplane", AirspeedKind: "IAS", AirspeedMeaning: "the reading of the instrument", Weight: "given w", WeightCondition: "test",
		Altitude: "sea-level", Atmosphere: "modern", AltitudeKind: "pressure", CorrectionSign: "added", ReynoldsKind: "not-stated", Configuration: extract.Configuration{Flap: "split", Deflection: "given flap", Gear: "down"}}
}

// named is a series of a table of that name, which must be without a problem.
func named(t *testing.T, name string, columns []extract.Column, basis extract.Basis, rows ...string) *Series {
	t.Helper()
	table, reading := grid(columns, basis, rows...)
	table.Name = name
	s := series(table, reading)
	wantProblems(t, s)
	return s
}

func figures(all ...*Series) []Figure {
	var list []Figure
	for _, s := range all {
		for r := range s.Rows {
			for _, key := range s.Table.ColumnKeys() {
				if d := s.Rows[r].Datum(key); d != nil && d.Quantity != nil {
					list = append(list, Figure{s, &s.Rows[r], d})
				}
			}
		}
	}
	return list
}

// on is what the derived figure's basis says of what was asked for.
func on(ask extract.Derivation, b extract.Basis) string {
	switch {
	case ask.AirspeedKind != "":
		return b.AirspeedKind
	case ask.ReferenceArea != "":
		return b.ReferenceArea
	}
	return b.AngleDatum
}

// told is what a request came to: figures in canonical units, or refusals.
func told(record []Figure, ask extract.Derivation) []string {
	done, not := Derive(record, ask)
	var list []string
	for _, d := range done {
		h, _ := d.Half.Float64()
		list = append(list, fmt.Sprintf("%s = %s +- %.5g %s", d.Formula, d.Number(), h, on(ask, d.Basis)))
	}
	for _, u := range not {
		list = append(list, strings.TrimSuffix("refused: "+u.Msg+" | "+u.Hint, " | "))
	}
	return list
}

func wantTold(t *testing.T, record []Figure, ask extract.Derivation, want ...string) {
	t.Helper()
	if got := told(record, ask); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

var errorColumns = []extract.Column{
	{Key: "ias", Quantity: "airspeed", Unit: "m/s"},
	{Key: "cas", Quantity: "airspeed", Unit: "m/s", Basis: &extract.Basis{AirspeedKind: "CAS"}},
	{Key: "add", Quantity: "airspeed correction", Unit: "m/s"},
}

// The speed is 26 m/s in a table with rows 24.0 -> 25.5 and 29.0 -> 30.0 m/s, by hand
// 25.5 + 4.5*2/5 = 27.3 m/s. The farthest corner has the speed at 26.5, the rows' IAS
// at 23.95 and 28.95 and their CAS at 25.55 and 30.05: 25.55 + 4.5*2.55/5 = 27.845, half-width 0.545.
// At 24 it is 23.5, 24.05, 28.95, 25.45, 30.05: 25.45 - 4.6*.55/4.9 = 24.93367, half-width 0.56633;
// at 34, 34.5, 29.05, 33.95, 29.95, 34.65: 29.95 + 4.7*5.45/4.9 = 35.17755, half-width 0.57755.
func TestPositionErrorsAreInterpolated(t *testing.T) {
	rows := []string{"24.0|25.5|1.5", "29.0|30.0|1.0", "34.0|34.6|0.6"}
	ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "CAS", PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}}
	column := []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}
	record := func(speed string, change func(speeds, errors *extract.Basis)) []Figure {
		a, b := flight(), flight()
		if change != nil {
			change(&a, &b)
		}
		return figures(named(t, "speeds", column, a, speed), named(t, "errors", errorColumns, b, rows...))
	}
	const line = "{3} + ({4} - {3}) * ({0} - {1}) / ({2} - {1})"
	wantTold(t, record("26", nil), ask, line+" = 27.3000 +- 0.545 CAS")
	// The ends of the table are in it, what is beyond is not.
	wantTold(t, record("24", nil), ask, line+" = 25.5000 +- 0.56633 CAS")
	wantTold(t, record("34", nil), ask, line+" = 34.6000 +- 0.57755 CAS")
	beyond := func(speed string) string {
		return fmt.Sprintf("refused: airspeed %q at speeds:r1:v is not derived as CAS: the table of position errors errors goes from 24.0 to 34.0 metre per second for flap split, 30 deg, gear down | nothing is taken beyond the ends of the table", speed)
	}
	wantTold(t, record("23", nil), ask, beyond("23"))
	wantTold(t, record("35", nil), ask, beyond("35"))
	// A correction is added: 26 + 1.5 - 0.5*2/5 = 27.3 m/s.
	add := ask
	add.PositionError = &extract.PositionError{Table: "errors", Indicated: "ias", Correction: "add"}
	if got := told(record("26", nil), add); len(got) != 1 || !strings.HasPrefix(got[0], "{0} + {3} + ({4} - {3}) * ({0} - {1}) / ({2} - {1}) = 27.3000 +- ") {
		t.Errorf("got %q", got)
	}
	// "Rectified" means CAS.
	wantTold(t, record("26", func(_, e *extract.Basis) {}), extract.Derivation{Quantity: "airspeed", Table: "errors", Column: "cas", AirspeedKind: "CAS"},
		"refused: airspeed_kind: CAS is asked for airspeed, and all 3 figures of table errors, column cas are on it as printed | take the entry out of derive:")

	refused := func(what string) string {
		return `refused: airspeed "26" at speeds:r1:v is not derived as CAS: ` + what
	}
	for name, c := range map[string]struct {
		change func(speeds, errors *extract.Basis)
		want   string
	}{
		"flap": {func(_, e *extract.Basis) { e.Configuration.Flap = "slotted" },
			"it is measured with flap split, 30 deg, gear down, and the table of position errors errors is for flap slotted, 30 deg, gear down | name a table of position errors for this configuration"},
		"deflection": {func(_, e *extract.Basis) { e.Configuration.Deflection = "up" },
			"it is measured with flap split, 30 deg, gear down, and the table of position errors errors is for flap split, 0 deg, gear down | name a table of position errors for this configuration"},
		"gear": {func(_, e *extract.Basis) { e.Configuration.Gear = "up" },
			"it is measured with flap split, 30 deg, gear down, and the table of position errors errors is for flap split, 30 deg, gear up | name a table of position errors for this configuration"},
		"power": {func(s, e *extract.Basis) { s.Configuration.Power, e.Configuration.Power = "idle", "on" },
			"it is measured with flap split, 30 deg, gear down, power idle, and the table of position errors errors is for flap split, 30 deg, gear down, power on | name a table of position errors for this configuration"},
		"gear not stated": {func(s, _ *extract.Basis) { s.Configuration.Gear = "not-stated" },
			"the position error depends on flap and gear, and the figure's basis does not state its configuration.gear | write configuration.gear in the basis of table speeds"},
		"flap not stated": {func(_, e *extract.Basis) { e.Configuration.Flap, e.Configuration.Deflection = "not-stated", "" },
			"the position error depends on flap and gear, and row r1 of errors does not state its configuration.flap | write configuration.flap in the basis of table errors"},
		"meaning of indicated": {func(_, e *extract.Basis) { e.AirspeedMeaning = "corrected for the instrument" },
			`its source calls indicated "the reading of the instrument", and row r1 of errors "corrected for the instrument" | where both mean the same, write the same words in both`},
		"article": {func(_, e *extract.Basis) { e.Article = "model" },
			`it is of an article of kind "aeroplane", and row r1 of errors of "model" | state article: in both tables' bases`},
	} {
		t.Run(name, func(t *testing.T) { wantTold(t, record("26", c.change), ask, refused(c.want)) })
	}
	t.Run("no table", func(t *testing.T) {
		bare := ask
		bare.PositionError = nil
		wantTold(t, record("26", nil), bare, refused("it is an IAS, and no table of position errors is named | write position_error: {table: ..., indicated: ..., calibrated: ...} in the entry of derive:"))
	})
	t.Run("two rows at one speed", func(t *testing.T) {
		r := figures(named(t, "speeds", column, flight(), "26"), named(t, "errors", errorColumns, flight(), "24.0|25.5|1.5", "24.0|26.5|2.5", "34.0|34.6|0.6"))
		wantTold(t, r, ask, refused("rows r1 and r2 of errors give two position errors at 24.0 | withhold one, or state what tells them apart in the configuration"))
	})
	t.Run("one row", func(t *testing.T) {
		r := figures(named(t, "speeds", column, flight(), "26"), named(t, "errors", errorColumns, flight(), "26.0|27.5|1.5"))
		wantTold(t, r, ask, refused("the table of position errors errors has one row for flap split, 30 deg, gear down, and two at least make a line"))
	})
	t.Run("backwards", func(t *testing.T) {
		b := flight()
		b.AirspeedKind, b.AirspeedMeaning = "TAS", ""
		wantTold(t, figures(named(t, "speeds", column, b, "26")), ask,
			"CAS_of_EAS(EAS_of_TAS({0}, 0, modern), 0, modern) = 26.0000 +- 0.5 CAS")
	})
}

// TRADE.md 2.2 (DERIVED): CAS 200 kt at 20,000 ft is EAS 197.47 and TAS 270.5; at sea
// level in the standard atmosphere all three are one. Without an altitude or an
// atmosphere nothing is assumed, and the two atmospheres are kept apart.
func TestAirspeedsAtAltitude(t *testing.T) {
	columns := []extract.Column{{Key: "h", Quantity: "altitude", Unit: "ft"}, {Key: "v", Quantity: "airspeed", Unit: "knots"}}
	record := func(change func(b *extract.Basis)) []Figure {
		b := flight()
		b.AirspeedKind, b.AirspeedMeaning, b.Altitude = "rectified", "", "column h" // "rectified" means CAS
		change(&b)
		return figures(named(t, "speeds", columns, b, "20,000|200.0"))
	}
	knots := func(record []Figure, kind string) float64 {
		t.Helper()
		done, not := Derive(record, extract.Derivation{Quantity: "airspeed", AirspeedKind: kind})
		if len(done) != 1 || len(not) != 0 {
			t.Fatalf("%d derived, refused %v", len(done), not)
		}
		v, _ := done[0].Value.Float64()
		return v * 3600 / 1852
	}
	same := func(b *extract.Basis) {}
	if v := knots(record(same), "EAS"); v < 197.465 || v > 197.475 {
		t.Errorf("EAS %.4f kt", v)
	}
	if v := knots(record(same), "TAS"); v < 270.45 || v > 270.55 {
		t.Errorf("TAS %.4f kt", v)
	}
	low := func(b *extract.Basis) { b.Altitude = "sea-level" }
	for _, kind := range []string{"EAS", "TAS"} {
		if v := knots(record(low), kind); v < 199.999999 || v > 200.000001 {
			t.Errorf("%s at sea level %.9f kt", kind, v)
		}
	}
	// EAS alone goes to TAS through density alone: 197.4718 kt / sqrt(0.53281), sigma
	// of the standard atmosphere at 20,000 ft (published table: 0.53281).
	if v := knots(record(func(b *extract.Basis) { b.AirspeedKind = "EAS" }), "TAS"); v < 273.98 || v > 274.02 {
		t.Errorf("TAS of EAS 200 kt: %.4f kt, want 200/sqrt(0.53281) = 274.00", v)
	}
	done, _ := Derive(record(func(b *extract.Basis) { b.Atmosphere = "period" }), extract.Derivation{Quantity: "airspeed", AirspeedKind: "TAS"})
	if len(done) != 1 || done[0].Formula != "TAS(EAS({0}, {1}, period), {1}, period)" {
		t.Errorf("period: %v", done)
	}
	ask := extract.Derivation{Quantity: "airspeed", AirspeedKind: "EAS"}
	wantTold(t, record(func(b *extract.Basis) { b.Atmosphere = "" }), ask,
		`refused: airspeed "200.0" at speeds:r1:v is not derived as EAS: its basis does not state the standard atmosphere | write atmosphere: modern or atmosphere: period in the basis of table speeds`)
	wantTold(t, record(func(b *extract.Basis) { b.Altitude = "" }), ask,
		`refused: airspeed "200.0" at speeds:r1:v is not derived as EAS: its basis does not state the altitude | write altitude: sea-level, column KEY or given KEY in the basis of table speeds`)
	b := flight()
	b.AirspeedKind, b.AirspeedMeaning, b.Altitude, b.Atmosphere = "CAS", "", "column h", "period"
	wantTold(t, figures(named(t, "speeds", columns, b, "40,000|200.0")), ask,
		`refused: airspeed "200.0" at speeds:r1:v is not derived as EAS: geopotential altitude 12192 m is outside the NACA standard atmosphere: -5000 m to 10769 m is wanted`)
}

// A position error depends on the lift coefficient, and so on the weight.
func TestPositionErrorsOfAnotherWeightAreRefused(t *testing.T) {
	columns := []extract.Column{{Key: "w", Quantity: "weight", Unit: "lb"}, {Key: "v", Quantity: "airspeed", Unit: "m/s"}}
	ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "CAS", PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}}
	b := flight()
	b.Weight = "column w"
	table := named(t, "errors", errorColumns, flight(), "24.0|25.5|1.5", "29.0|30.0|1.0")
	if got := told(figures(named(t, "speeds", columns, b, "3,981|26"), table), ask); len(got) != 1 || !strings.HasSuffix(got[0], " = 27.3000 +- 0.545 CAS") {
		t.Errorf("within the half-widths of the weights: %q", got)
	}
	wantTold(t, figures(named(t, "speeds", columns, b, "4,150|26"), table), ask,
		`refused: airspeed "26" at speeds:r1:v is not derived as CAS: it is at the weight 4,150 pound-force, and row r1 of errors at 3,980 pound-force; the position error depends on the lift coefficient | name a table of position errors for this weight`)
}

// Areas of 236.0 sq ft gross and 200.0 sq ft net: 1.50*236/200 = 1.77 and -0.120*236/200
// = -0.1416, by hand, whatever the unit. Half-widths by the farthest corner:
// 1.505*236.05/199.95 = 1.7767204 and 0.1205*236.05/199.95 = 0.14225569.
func TestCoefficientsGoToAnotherArea(t *testing.T) {
	wing := full()
	wing.Configuration.Deflection = "up"
	of := func(kind string) *extract.Basis { return &extract.Basis{ReferenceArea: kind} }
	coefficients := []extract.Column{{Key: "cl", Quantity: "lift coefficient", Unit: "1"}, {Key: "d", Quantity: "lift increment", Unit: "1"}}
	areas := named(t, "areas", []extract.Column{{Key: "gross", Quantity: "wing area", Unit: "sq ft"}, {Key: "net", Quantity: "wing area", Unit: "sq ft", Basis: of("net")}}, wing, "236.0|200.0")
	polar := named(t, "polar", coefficients, wing, "1.50|-.120")
	ask := extract.Derivation{Quantity: "lift coefficient", ReferenceArea: "net"}
	wantTold(t, figures(polar, areas), ask, "{0} * {1} / {2} = 1.770000 +- 0.0067204 net")
	ask.Quantity = "lift increment"
	wantTold(t, figures(polar, areas), ask, "{0} * {1} / {2} = -0.1416000 +- 0.00065569 net")

	ask.Quantity = "lift coefficient"
	refused := `refused: lift coefficient "1.50" at polar:r1:cl is not derived as `
	wantTold(t, figures(polar), ask, refused+"net: the record has no gross wing area | take the table that prints it under tables:, with reference_area: gross in its basis")
	extended := ask
	extended.ReferenceArea = "extended"
	ext := named(t, "extended", []extract.Column{{Key: "s", Quantity: "wing area", Unit: "sq ft", Basis: of("extended")}}, full(), "260.0")
	wantTold(t, figures(polar, areas, ext), extended,
		refused+"extended: the record has no extended wing area with flap split, 0 deg, gear fixed, power idle | take the table that prints it under tables:, with reference_area: extended in its basis and its flap and deflection under configuration:")
	lowered := named(t, "polar", coefficients, full(), "1.50|.120")
	if got := told(figures(lowered, areas, ext), extended); len(got) != 1 || !strings.HasPrefix(got[0], "{0} * {1} / {2} = 1.361538 +- ") { // 1.50*236/260
		t.Errorf("got %q", got)
	}
	other := named(t, "other", []extract.Column{{Key: "s", Quantity: "wing area", Unit: "sq ft"}}, wing, "240.0")
	wantTold(t, figures(polar, areas, other), ask,
		refused+`net: the record has 2 figures for gross wing area, which differ: "236.0" at areas:r1:gross, "240.0" at other:r1:s | withhold what does not hold for these figures, or give them a subject of their own`)
	unstated := wing
	unstated.ReferenceArea = "not-stated"
	wantTold(t, figures(named(t, "polar", coefficients, unstated, "1.50|.12"), areas), ask,
		refused+"net: its basis does not state the area that it is formed on | write reference_area: in the basis of table polar, where the source says it")
	model := wing
	model.Article = "model"
	wantTold(t, figures(named(t, "polar", coefficients, model, "1.50|.12"), areas), ask,
		refused+`net: it is of an article of kind "model", and the wing area at areas:r1:gross of "aeroplane" | give the model and the aeroplane a subject each`)
	wantTold(t, figures(polar, areas), extract.Derivation{Quantity: "pitching-moment coefficient", ReferenceArea: "net"},
		"refused: reference_area: net is asked for pitching-moment coefficient, which is no coefficient of lift or drag | a moment coefficient is formed on a chord too, and is not converted")
}

// alpha_chord = alpha_thrust + i_w and alpha_a = alpha - alpha_L0 (NACA symbols page;
// TRADE.md 1.4, VERIFIED): 4.0 + 1.5 = 5.5 and 4.0 - (-2.3) = 6.3 deg, each half-width
// 0.05 + 0.05 = 0.1 deg.
func TestAnglesGoToAnotherDatum(t *testing.T) {
	thrust := full()
	thrust.AngleDatum = "thrust-line"
	alpha := []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}}
	setting := []extract.Column{{Key: "i", Quantity: "angle of wing setting", Unit: "deg"}}
	zero := []extract.Column{{Key: "z", Quantity: "zero-lift angle", Unit: "deg"}}
	polar, set := named(t, "polar", alpha, thrust, "4.0"), named(t, "particulars", setting, thrust, "1.5")
	chord := extract.Derivation{Quantity: "angle of attack", AngleDatum: "chord"}
	wantTold(t, figures(polar, set), chord, "{0} + {1} = 5.5000 +- 0.1 chord")
	lift := extract.Derivation{Quantity: "angle of attack", AngleDatum: "zero-lift"}
	wantTold(t, figures(polar, named(t, "zero", zero, thrust, "-2.3")), lift, "{0} - {1} = 6.3000 +- 0.1 zero-lift")

	refused := `refused: angle of attack "4.0" at polar:r1:a is not derived as `
	fuselage := thrust
	fuselage.AngleDatum = "fuselage-datum"
	wantTold(t, figures(polar, named(t, "particulars", setting, fuselage, "1.5")), chord,
		refused+"chord: the record has no angle of wing setting from the thrust-line | take the table that prints it under tables:, with angle_datum: thrust-line in its basis")
	lower := thrust
	lower.AngleDatum = "lower-surface"
	wantTold(t, figures(named(t, "polar", alpha, lower, "4.0"), set), chord,
		refused+"chord: the record has no angle of chord from the lower-surface | take the table that prints it under tables:, with angle_datum: lower-surface in its basis")
	unstated := thrust
	unstated.AngleDatum = "not-stated"
	wantTold(t, figures(named(t, "polar", alpha, unstated, "4.0"), set), chord,
		refused+"chord: its basis does not state the line that it is counted from | write angle_datum: in the basis of table polar, where the source says it")
	// A zero-lift angle with flaps up is not that with flaps down.
	up := thrust
	up.Configuration.Deflection = "up"
	wantTold(t, figures(polar, named(t, "zero", zero, up, "-2.3")), lift,
		refused+"zero-lift: the record has no zero-lift angle from the thrust-line with flap split, 30 deg, gear fixed, power idle | take the table that prints it under tables:")
	wantTold(t, figures(polar, named(t, "zero", zero, full(), "-2.3")), lift,
		refused+"zero-lift: the record has no zero-lift angle from the thrust-line with flap split, 30 deg, gear fixed, power idle | take the table that prints it under tables:")
}

func TestWhatCannotBeAskedFor(t *testing.T) {
	record := figures(named(t, "polar", []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}}, full(), "4.0"))
	for _, c := range []struct {
		ask  extract.Derivation
		want string
	}{
		{extract.Derivation{Quantity: "lift", ReferenceArea: "net"}, `refused: the quantity "lift" is not in the list | windtally quantities lists the quantities`},
		{extract.Derivation{Quantity: "lift coefficient", AirspeedKind: "TAS"}, "refused: airspeed_kind: TAS is asked for lift coefficient, which is no airspeed"},
		{extract.Derivation{Quantity: "airspeed", AngleDatum: "chord"}, "refused: angle_datum: chord is asked for airspeed, which is no angle of attack to be counted from it"},
		{extract.Derivation{Quantity: "airspeed", AirspeedKind: "TAS"}, "refused: airspeed_kind: TAS is asked for airspeed, and the record has no such figure"},
		{extract.Derivation{Quantity: "airspeed", Table: "polar", Column: "a", AirspeedKind: "TAS"}, "refused: airspeed_kind: TAS is asked for airspeed, and table polar, column a has no such figure"},
	} {
		wantTold(t, record, c.ask, c.want)
	}
}
