package normalize

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"windtally/extract"
)

// backAsk asks for indicated airspeeds of the table speeds.
func backAsk(calibrated, correction string) extract.Derivation {
	return extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: "IAS", PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: calibrated, Correction: correction}}
}

func calibratedBasis() extract.Basis {
	b := flight()
	b.AirspeedKind, b.AirspeedMeaning = "rectified", "" // "rectified" means CAS
	return b
}

// The rows 24.0 -> 25.5 and 29.0 -> 30.0 m/s turned round, by hand: 27.3 m/s
// calibrated is 24 + 5*1.8/4.5 = 26.0 m/s indicated. The farthest corner is
// 24.05 + 5(27.35 - 25.45)/(29.95 - 25.45) = 26.161111.
func TestPositionErrorsAreTurnedRound(t *testing.T) {
	column := []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}
	rows := []string{"24.0|25.5|1.5", "29.0|30.0|1.0", "34.0|34.6|0.6"}
	errors := func(sign string, rows ...string) *Series {
		b := flight()
		b.CorrectionSign = sign
		return named(t, "errors", errorColumns, b, rows...)
	}
	speeds := named(t, "speeds", column, calibratedBasis(), "27.3")
	record := figures(speeds, errors("added", rows...))
	wantTold(t, record, backAsk("cas", ""), "{1} + ({2} - {1}) * ({0} - {3}) / ({4} - {3}) = 26.0000 +- 0.16111 IAS")
	// The derived airspeed is indicated as the table of position errors means it.
	if done, _ := Derive(record, backAsk("cas", "")); len(done) != 1 || done[0].Basis.AirspeedMeaning != "the reading of the instrument" {
		t.Errorf("got %+v", done)
	}
	// Corrections that are added, and errors with the other sign, say the same.
	corrected := "{1} + ({2} - {1}) * ({0} - ({1} %[1]s {3})) / (({2} %[1]s {4}) - ({1} %[1]s {3})) = 26.0000 "
	if got := told(record, backAsk("", "add")); len(got) != 1 || !strings.HasPrefix(got[0], fmt.Sprintf(corrected, "+")) {
		t.Errorf("got %q", got)
	}
	record = figures(speeds, errors("indicated-minus-true", "24.0|25.5|-1.5", "29.0|30.0|-1.0", "34.0|34.6|-0.6"))
	if got := told(record, backAsk("", "add")); len(got) != 1 || !strings.HasPrefix(got[0], fmt.Sprintf(corrected, "-")) {
		t.Errorf("got %q", got)
	}
	forward := backAsk("", "add")
	forward.AirspeedKind = "CAS"
	indicated := figures(named(t, "speeds", column, flight(), "26"), errors("indicated-minus-true", "24.0|25.5|-1.5", "29.0|30.0|-1.0"))
	if got := told(indicated, forward); len(got) != 1 || !strings.HasPrefix(got[0], "{0} - ({3} + ({4} - {3}) * ({0} - {1}) / ({2} - {1})) = 27.3000 +- ") {
		t.Errorf("got %q", got)
	}
	// The sign matters: taken the other way the same print is 26 - 1.3 = 24.7 m/s.
	indicated = figures(named(t, "speeds", column, flight(), "26"), errors("indicated-minus-true", rows...))
	if got := told(indicated, forward); len(got) != 1 || !strings.Contains(got[0], " = 24.7000 +- ") {
		t.Errorf("got %q", got)
	}

	refused := `refused: airspeed "%s" at speeds:r1:v is not derived as IAS: %s`
	wantTold(t, figures(speeds, errors("added", "24.0|25.5|1.5", "29.0|25.4|-3.6", "34.0|34.6|0.6")), backAsk("cas", ""),
		fmt.Sprintf(refused, "27.3", "the calibrated airspeeds of the table of position errors errors do not rise from row r1 to row r2, so no indicated airspeed follows from them | withhold the row that is wrong, or name a table that can be turned round"))
	wantTold(t, figures(speeds, errors("added", "24.0|25.5|1.5", "29.0|25.5|-3.5", "34.0|34.6|0.6")), backAsk("", "add"),
		fmt.Sprintf(refused, "27.3", "the calibrated airspeeds of the table of position errors errors do not rise from row r1 to row r2, so no indicated airspeed follows from them | withhold the row that is wrong, or name a table that can be turned round"))
	for _, beyond := range []string{"25.4", "34.7"} {
		wantTold(t, figures(named(t, "speeds", column, calibratedBasis(), beyond), errors("added", rows...)), backAsk("cas", ""),
			fmt.Sprintf(refused, beyond, "the table of position errors errors goes from 24.0 to 34.0 metre per second indicated for flap split, 30 deg, gear down, and the figure is beyond | nothing is taken beyond the ends of the table"))
	}
	bare := backAsk("", "")
	bare.PositionError = nil
	wantTold(t, figures(speeds), bare, fmt.Sprintf(refused, "27.3", "an IAS follows from a CAS by position errors, and no table of position errors is named | write position_error: {table: ..., indicated: ..., calibrated: ...} in the entry of derive:"))
	other := calibratedBasis()
	other.Configuration.Deflection = "up"
	wantTold(t, figures(named(t, "speeds", column, other, "27.3"), errors("added", rows...)), backAsk("cas", ""),
		fmt.Sprintf(refused, "27.3", "it is measured with flap split, 0 deg, gear down, and the table of position errors errors is for flap split, 30 deg, gear down | name a table of position errors for this configuration"))
}

// A column of position errors without its sign has no meaning.
func TestACorrectionWithoutItsSignIsRefused(t *testing.T) {
	b := flight()
	b.CorrectionSign = ""
	s := series(grid([]extract.Column{{Key: "x", Quantity: "airspeed correction", Unit: "m/s"}}, b, "1.5"))
	wantProblems(t, s, "meaning-missing table:x: airspeed correction needs its correction_sign, which the basis does not state; write correction_sign: added (to the indicated airspeed) or indicated-minus-true (the error of the instrument), as head or text of the source say")
	// A column of another kind of airspeed is no calibrated one.
	mixed := []extract.Column{errorColumns[0], {Key: "cas", Quantity: "airspeed", Unit: "m/s", Basis: &extract.Basis{AirspeedKind: "EAS"}}}
	record := figures(named(t, "speeds", []extract.Column{{Key: "v", Quantity: "airspeed", Unit: "m/s"}}, calibratedBasis(), "27.3"), named(t, "errors", mixed, flight(), "24.0|25.5", "29.0|30.0"))
	wantTold(t, record, backAsk("cas", ""), `refused: airspeed "27.3" at speeds:r1:v is not derived as IAS: column cas of the table of position errors errors holds no CAS | state it in table errors`)
}

// "True indicated" and its like are refused until the study writes the kind that the
// source's own definition makes it.
func TestTrueIndicatedWaitsForItsDefinition(t *testing.T) {
	for _, c := range []struct{ kind, want string }{
		{"true indicated", `meaning-missing table:x: airspeed_kind: airspeed kind "true indicated" has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))`},
		{"correct indicated", `meaning-missing table:x: airspeed_kind: airspeed kind "correct indicated" has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))`},
		{"rectified", ""}, {"EAS", ""},
	} {
		b := flight()
		b.AirspeedKind = c.kind
		s := series(grid([]extract.Column{{Key: "x", Quantity: "airspeed", Unit: "m/s"}}, b, "50"))
		if c.want == "" {
			wantProblems(t, s)
			continue
		}
		wantProblems(t, s, c.want)
	}
}

var airColumns = []extract.Column{
	{Key: "h", Quantity: "altitude", Unit: "ft"},
	{Key: "t", Quantity: "air temperature", Unit: "K"},
	{Key: "v", Quantity: "airspeed", Unit: "knots"},
}

// flown is one airspeed of that kind in that air.
func flownAt(t *testing.T, kind string, change func(b *extract.Basis), row string) []Figure {
	b := calibratedBasis()
	b.AirspeedKind, b.Altitude = kind, "column h"
	if change != nil {
		change(&b)
	}
	return figures(named(t, "speeds", airColumns, b, row))
}

// TRADE.md 2.2 (DERIVED apart from this program), turned round: TAS 270.5 kt at 20,000
// ft is CAS 200, EAS 197.47 is CAS 200; TAS 465.9 at 30,000 is EAS 285.00. The digits
// of the table leave 0.05 kt.
func TestAirspeedsComeDown(t *testing.T) {
	for _, c := range []struct {
		from, row, to string
		knots, within float64
		formula       string
	}{
		{"TAS", "20,000|248.5|270.5", "CAS", 200, 0.05, "CAS_of_EAS(EAS_of_TAS({0}, {1}, modern), {1}, modern)"},
		{"EAS", "20,000|248.5|197.47", "CAS", 200, 0.006, "CAS_of_EAS({0}, {1}, modern)"},
		{"TAS", "30,000|228.7|465.9", "EAS", 285.00, 0.04, "EAS_of_TAS({0}, {1}, modern)"},
		{"EAS", "10,000|268.3|199.00", "CAS", 200, 0.006, "CAS_of_EAS({0}, {1}, modern)"},
	} {
		done, not := Derive(flownAt(t, c.from, nil, c.row), extract.Derivation{Quantity: "airspeed", AirspeedKind: c.to})
		if len(done) != 1 || len(not) != 0 {
			t.Fatalf("%d derived, refused %v", len(done), not)
		}
		v, _ := done[0].Value.Float64()
		if v *= 3600.0 / 1852; v < c.knots-c.within || v > c.knots+c.within || done[0].Formula != c.formula {
			t.Errorf("%s %s: %s %.4f kt by %s; want %v by %s", c.from, c.row, c.to, v, done[0].Formula, c.knots, c.formula)
		}
	}
}

// From the instrument up to the true airspeed and back: what comes back is what was
// there within 1e-12 (issue: airspeed kinds go through compressible flow).
func TestAirspeedsGoThereAndBack(t *testing.T) {
	b := calibratedBasis()
	b.Altitude = "column h"
	plain := figures(named(t, "speeds", airColumns, b, "10,000|270|100.0"))
	b.Temperature = "column t"
	warm := figures(named(t, "speeds", airColumns, b, "10,000|270|100.0"))
	table := figures(named(t, "errors", errorColumns, flight(), "24.0|25.5|1.5", "29.0|30.0|1.0", "200.0|201|1.0"))
	rapid.Check(t, func(r *rapid.T) {
		record := append([]Figure{}, plain...)
		if rapid.Bool().Draw(r, "temperature") {
			record = append([]Figure{}, warm...)
		}
		period := rapid.Bool().Draw(r, "period")
		at := func(i int, x float64, kind string) {
			d, sense := *record[i].Datum, *record[i].Sense
			d.Value = ExactOf(new(big.Rat).SetFloat64(x))
			sense.Basis.Atmosphere = "modern" // the row keeps what the case before left
			if period {
				sense.Basis.Atmosphere = "period"
			}
			if kind != "" {
				sense.Basis.AirspeedKind = kind
			}
			d.Sense = &sense
			record[i].Datum = &d
			*record[i].Row.Datum(d.Cell.ID.Column) = d
		}
		at(0, rapid.Float64Range(-1000, 9000).Draw(r, "h"), "")
		at(1, rapid.Float64Range(220, 310).Draw(r, "T"), "")
		v := rapid.Float64Range(25.5, 150).Draw(r, "v")
		at(2, v, "CAS")
		asked := func(kind string, in []Figure) float64 {
			ask := extract.Derivation{Quantity: "airspeed", Table: "speeds", AirspeedKind: kind, PositionError: &extract.PositionError{Table: "errors", Indicated: "ias", Calibrated: "cas"}}
			x, no := (&deriver{record: in, ask: ask}).airspeed(&in[2])
			if no != nil {
				r.Fatalf("%s: %s", kind, no.msg)
			}
			values := make([]*big.Rat, len(x.parents))
			for i, p := range x.parents {
				values[i] = p.Value.Rat()
			}
			out, err := x.value(values)
			if err != nil {
				r.Skip(err.Error()) // above the speed of sound
			}
			f, _ := out.Float64()
			return f
		}
		all := append(append([]Figure{}, record...), table...)
		for _, kind := range []string{"IAS", "EAS", "TAS"} {
			at(2, v, "CAS")
			copy(all, record)
			there := asked(kind, all)
			at(2, there, kind)
			record[2].Sense.Basis.AirspeedMeaning = map[bool]string{true: "the reading of the instrument"}[kind == "IAS"]
			copy(all, record)
			if back := asked("CAS", all); back < v*(1-1e-12) || back > v*(1+1e-12) {
				r.Fatalf("CAS %v m/s is %s %v and comes back as %v", v, kind, there, back)
			}
		}
	})
}

// Density altitude 10,000 ft is that of pressure altitude 5,000 ft at 324.661 K (TRADE.md
// 4.1, DERIVED; see the test of air.DensityAltitude). An EAS goes to a TAS by the
// density, a CAS to an EAS by the pressure: EAS 100 kt there is TAS 116.367 (1/sqrt(sigma)
// at 10,000 ft is 1.16367).
func TestDensityAltitudeAndPressureAltitude(t *testing.T) {
	warm := func(b *extract.Basis) { b.Temperature = "column t" }
	done, not := Derive(flownAt(t, "EAS", warm, "5,000|324.661|100.00"), extract.Derivation{Quantity: "airspeed", AirspeedKind: "TAS"})
	if len(done) != 1 || len(not) != 0 || done[0].Formula != "TAS({0}, density_altitude({1}, {2}, modern), modern)" {
		t.Fatalf("%v, refused %v", done, not)
	}
	if v, _ := done[0].Value.Float64(); v*3600/1852 < 116.366 || v*3600/1852 > 116.368 {
		t.Errorf("TAS %.4f kt", v*3600/1852)
	}
	height := extract.Derivation{Quantity: "altitude", AltitudeKind: "density"}
	done, not = Derive(flownAt(t, "EAS", warm, "5,000|324.661|100.00"), height)
	if len(done) != 1 || len(not) != 0 || done[0].Formula != "density_altitude({0}, {1}, modern)" || done[0].Basis.AltitudeKind != "density" {
		t.Fatalf("%v, refused %v", done, not)
	}
	if h, _ := done[0].Value.Float64(); h < 3047.7 || h > 3048.3 { // 10,000 ft is 3048 m
		t.Errorf("density altitude %.2f m", h)
	}
	// A column that is a density altitude gives the density as it is, and no pressure.
	dense := func(b *extract.Basis) { b.AltitudeKind = "density" }
	done, _ = Derive(flownAt(t, "EAS", dense, "10,000|268.3|100.00"), extract.Derivation{Quantity: "airspeed", AirspeedKind: "TAS"})
	if len(done) != 1 || done[0].Formula != "TAS({0}, {1}, modern)" {
		t.Fatalf("%v", done)
	}
	if v, _ := done[0].Value.Float64(); v*3600/1852 < 116.366 || v*3600/1852 > 116.368 {
		t.Errorf("TAS %.4f kt", v*3600/1852)
	}
	refused := `refused: airspeed "100.00" at speeds:r1:v is not derived as EAS: `
	wantTold(t, flownAt(t, "CAS", dense, "10,000|268.3|100.00"), extract.Derivation{Quantity: "airspeed", AirspeedKind: "EAS"},
		refused+"the step between CAS and EAS depends on the pressure of the air, and the altitude (column h) is a density altitude | name a column of pressure altitudes as the altitude, or ask for EAS or TAS of an EAS or a TAS")
	for _, kind := range []string{"geometric", "not-stated"} {
		wantTold(t, flownAt(t, "CAS", func(b *extract.Basis) { b.AltitudeKind = kind }, "10,000|268.3|100.00"), extract.Derivation{Quantity: "airspeed", AirspeedKind: "EAS"},
			refused+`the altitude (column h) is one of kind "`+kind+`", which tells neither pressure nor density of the air | where the source says it, write altitude_kind: pressure or altitude_kind: density in the basis of that column`)
	}
	refused = `refused: altitude "5,000" at speeds:r1:h is not derived as density: `
	wantTold(t, flownAt(t, "CAS", nil, "5,000|300|100.00"), height, refused+"its basis does not state the temperature of the air | write temperature: column KEY or given KEY in the basis of table speeds")
	wantTold(t, flownAt(t, "CAS", func(b *extract.Basis) { b.Temperature, b.AltitudeKind = "column t", "geometric" }, "5,000|300|100.00"), height,
		refused+`it is an altitude of kind "geometric", and a density altitude follows from a pressure altitude | where the source says it, write altitude_kind: pressure in the basis of that column`)
	wantTold(t, flownAt(t, "CAS", func(b *extract.Basis) { b.Temperature, b.Atmosphere = "column t", "" }, "5,000|300|100.00"), height,
		refused+"its basis does not state the standard atmosphere | write atmosphere: modern or atmosphere: period in the basis of table speeds")
	// The period standard is kept apart, and is asked for by name.
	done, _ = Derive(flownAt(t, "CAS", func(b *extract.Basis) { b.Temperature, b.Atmosphere = "column t", "period" }, "5,000|300|100.00"), height)
	if len(done) != 1 || done[0].Formula != "density_altitude({0}, {1}, period)" {
		t.Errorf("%v", done)
	}
}
