package normalize

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// What the words of the period say (common practice, no source). An empty want is a
// text that says nothing.
func TestHear(t *testing.T) {
	for text, want := range map[string]string{
		"Flaps down 40 deg.":                   "flap=down 40°",
		"Flaps up":                             "flap=up",
		"Flap fully down, gear down":           "configuration.gear=down flap=down",
		"Flaps and gear down":                  "configuration.gear=down flap=down",
		"Landing gear and flaps up":            "configuration.gear=up flap=up",
		"flaps up and down":                    "flap=up/down",
		"Stalling speeds, flaps up, power on":  "configuration.power=on flap=up",
		"Without flap":                         "flap=none",
		"40° split flap":                       "kind=split 40°",
		"Slotted flap, δf = 30°":               "kind=slotted 30°",
		"Flap -5°":                             "-5°",
		"flap 0° to 45°":                       "",
		"Flaps 15, 30, and 45 deg.":            "",
		"20% chord flap":                       "",
		"flap of 20 percent chord":             "",
		"Undercarriage retracted":              "configuration.gear=up",
		"wheels down":                          "configuration.gear=down",
		"fixed landing gear":                   "configuration.gear=fixed",
		"power-off":                            "configuration.power=off",
		"power on and off":                     "configuration.power=off/on",
		"Engine throttled":                     "configuration.power=idle",
		"Full throttle":                        "configuration.power=on",
		"Slots open":                           "configuration.slats=open",
		"Automatic slots":                      "configuration.slats=automatic",
		"Slotted wing":                         "",
		"Propeller windmilling":                "configuration.propeller=windmilling",
		"Propeller removed":                    "configuration.propeller=removed",
		"airscrew stopped":                     "configuration.propeller=stopped",
		"Minimum steady speed":                 "stall=minimum-steady",
		"Minimum speed":                        "stall=minimum-speed",
		"Speed at first buffeting":             "stall=buffet",
		"Ultimate factor":                      "limit=ultimate",
		"Failing load factor":                  "limit=ultimate",
		"Proof load factor":                    "limit=proof",
		"Limit load factor":                    "limit=limit",
		"Load factor":                          "",
		"ΔC_L at constant angle":               "increment=constant-angle",
		"ΔC_Lmax":                              "increment=between-maxima",
		"C_mc/4":                               "moment_center=quarter chord",
		"C_m about the leading edge":           "moment_center=leading edge",
		"Diving moment":                        "moment_sign=nose-down",
		"Moments, positive nose-heavy":         "moment_sign=nose-down",
		"stalling moments positive":            "moment_sign=nose-up",
		"Induced drag":                         "drag=neither total nor profile",
		"Flap angle from wing chord, deg.":     "configuration.deflection_datum=chord",
		"Flap angle to lower surface":          "configuration.deflection_datum=lower-surface",
		"Flap angle from neutral":              "configuration.deflection_datum=neutral",
		"Flap angle, normal to the hinge axis": "configuration.deflection_plane=hinge",
		"Effect of c.g. position":              "center_of_gravity=stated",
		"Speed lost at 1 m.p.h. per second":    "entry_rate=stated",
		"TABLE I.—LIFT AND DRAG OF THE WING":   "",
		"Angle of attack, deg.":                "",
		"Lift coefficient":                     "",
		"Supported on the tail":                "",
		"Upper wing":                           "",
		"Gearing of the engine":                "",
		"Stalling speed, V_s":                  "",
		"TABLE III.—LIFT, DRAG, AND PITCHING MOMENT OF THE WING WITH SPLIT FLAP": "kind=split",
	} {
		got := ""
		if h := hear(text, asCaption); h != nil {
			for _, field := range slices.Sorted(maps.Keys(h.said)) {
				got += " " + field + "=" + strings.Join(h.said[field], "/")
			}
			for _, f := range h.flaps {
				got += " " + f + "°"
			}
		}
		if got = strings.TrimSpace(got); got != want {
			t.Errorf("%q says %q, want %q", text, got, want)
		}
	}
}

// Each case is what the print says beside a basis that says otherwise, or nothing, and
// a twin of it in which the basis says the same.
func TestWordsOfTheConfiguration(t *testing.T) {
	config := func(b *extract.Basis) *extract.Configuration { return &b.Configuration }
	for _, tc := range []struct {
		head, caption, quantity, unit string
		basis, twin                   func(b *extract.Basis)
		want                          string
	}{
		{head: "V_s, gear down", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Gear = "up" }, twin: func(b *extract.Basis) { config(b).Gear = "down" },
			want: `head-says-otherwise table:x: the print says "V_s, gear down" (down); configuration.gear is stated as up`},
		{head: "V, gear down", quantity: "limit speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Gear = "" }, twin: func(b *extract.Basis) { config(b).Gear = "down" },
			want: `head-says-otherwise table:x: the print says "V, gear down" (down); configuration.gear is not stated`},
		{caption: "STALLING SPEEDS, POWER OFF", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Power = "on" }, twin: func(b *extract.Basis) { config(b).Power = "idle" },
			want: `head-says-otherwise table:caption: the print says "STALLING SPEEDS, POWER OFF" (off); configuration.power is stated as on`},
		{head: "Power on", caption: "STALLING SPEEDS, POWER OFF", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Power = "off" }, twin: func(b *extract.Basis) { config(b).Power = "on" },
			want: `head-says-otherwise table:x: the print says "Power on" (on); configuration.power is stated as off`},
		{head: "C_L, slots open", quantity: "maximum lift coefficient", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { config(b).Slats = "open" },
			want: `head-says-otherwise table:x: the print says "C_L, slots open" (open); configuration.slats is not stated`},
		{caption: "PROPELLER WINDMILLING", quantity: "drag coefficient", unit: "1", basis: func(b *extract.Basis) { config(b).Propeller = "stopped" }, twin: func(b *extract.Basis) { config(b).Propeller = "two blades, windmilling" },
			want: `head-says-otherwise table:caption: the print says "PROPELLER WINDMILLING" (windmilling); configuration.propeller is stated as stopped`},
		{head: "Flaps down 45°", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) {}, twin: nil,
			want: `head-says-otherwise table:x: the print says "Flaps down 45°" (flap at 45 deg); configuration.deflection is stated as 30`},
		{head: "Flaps down 30°", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Deflection = "not-stated" }, twin: func(b *extract.Basis) {},
			want: `head-says-otherwise table:x: the print says "Flaps down 30°" (flap at 30 deg); configuration.deflection is stated as not-stated`},
		{head: "Flaps down", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Deflection = "up" }, twin: func(b *extract.Basis) { config(b).Deflection = "not-stated" },
			want: `head-says-otherwise table:x: the print says "Flaps down" (flap down); configuration.deflection is stated as 0`},
		{head: "Flaps up", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) { config(b).Deflection = "not-stated" }, twin: func(b *extract.Basis) { config(b).Deflection = "up" },
			want: `head-says-otherwise table:x: the print says "Flaps up" (flap up); configuration.deflection is stated as not-stated`},
		{head: "Slotted flap", quantity: "lift increment", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { config(b).Flap = "slotted" },
			want: `head-says-otherwise table:x: the print says "Slotted flap" (slotted); configuration.flap is stated as split`},
		{head: "Minimum steady speed", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Stall = "minimum-steady" },
			want: `head-says-otherwise table:x: the print says "Minimum steady speed" (minimum-steady); stall is stated as break`},
		{head: "Speed at first buffeting", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Stall = "buffet" },
			want: `head-says-otherwise table:x: the print says "Speed at first buffeting" (buffet); stall is stated as break`},
		{caption: "STALLING SPEEDS, C.G. AT 26 PERCENT", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.CenterOfGravity = "26 percent" },
			want: `odd-print table:caption: the print says "STALLING SPEEDS, C.G. AT 26 PERCENT"; center_of_gravity is not stated`},
		{caption: "STALLING SPEEDS, 1 M.P.H. PER SECOND", quantity: "stall speed", unit: "knots", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.EntryRate = "1 m.p.h. per second" },
			want: `odd-print table:caption: the print says "STALLING SPEEDS, 1 M.P.H. PER SECOND"; entry_rate is not stated`},
		{head: "Failing load factor", quantity: "positive load factor", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Limit = "ultimate" },
			want: `head-says-otherwise table:x: the print says "Failing load factor" (ultimate); limit is stated as limit`},
		{head: "Load factor", quantity: "positive load factor", unit: "1", basis: func(b *extract.Basis) { b.Limit = "not-stated" }, twin: func(b *extract.Basis) { b.Limit = "ultimate" },
			want: `odd-print table:x: positive load factor, and limit is not-stated: a factor of the period is often that of the failing load, half as much again as the limit`},
		{head: "Factor", quantity: "positive load factor", unit: "1", basis: func(b *extract.Basis) { b.Limit = "" }, twin: func(b *extract.Basis) { b.Limit = "ultimate" },
			want: `meaning-missing table:x: positive load factor (head "Factor") needs its limit, which the basis does not state; write limit: limit, proof, ultimate (the failing load) or not-stated`},
		{head: "V_D", quantity: "limit speed", unit: "knots", basis: func(b *extract.Basis) { b.Limit = "not-stated" }, twin: func(b *extract.Basis) { b.Limit = "ultimate" },
			want: `odd-print table:x: limit speed, and limit is not-stated: a diving speed may be the greatest that the strength was worked out for, and not the greatest that is permitted`},
		{head: "V_D", quantity: "limit speed", unit: "knots", basis: func(b *extract.Basis) { b.Limit = "" }, twin: func(b *extract.Basis) {},
			want: `meaning-missing table:x: limit speed (head "V_D") needs its limit, which the basis does not state; write limit: limit (the greatest that is permitted), proof, ultimate (the greatest of the strength calculation) or not-stated`},
		{head: "Load factor", quantity: "positive load factor", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Limit = "ultimate" },
			want: `odd-print table:x: the print says "Load factor" and not of which load; limit is stated as limit: a factor of the period is often that of the failing load, half as much again`},
		{head: "Factor", caption: "LOADS AT A", quantity: "positive load factor", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Limit = "proof" },
			want: `odd-print table:x: the print says "Factor" and not of which load; limit is stated as limit: a factor of the period is often that of the failing load, half as much again`},
		{head: "ΔC_Lmax", quantity: "lift increment", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.Increment = "between-maxima" },
			want: `head-says-otherwise table:x: the print says "ΔC_Lmax" (between-maxima); increment is stated as constant-angle`},
		{caption: "MOMENTS ABOUT THE LEADING EDGE", quantity: "pitching-moment coefficient", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.MomentCenter = "leading edge of the root" },
			want: `head-says-otherwise table:caption: the print says "MOMENTS ABOUT THE LEADING EDGE" (leading edge); moment_center is stated as quarter-chord point`},
		{head: "Diving moment", quantity: "pitching-moment coefficient", unit: "1", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { b.MomentSign = "nose-down" },
			want: `head-says-otherwise table:x: the print says "Diving moment" (nose-down); moment_sign is stated as nose-up`},
		{head: "Induced drag", quantity: "drag coefficient", unit: "1", basis: func(b *extract.Basis) { b.Drag = "profile" }, twin: nil,
			want: `head-says-otherwise table:x: the print says "Induced drag" (neither total nor profile); drag is stated as profile`},
		{head: "Flap angle from chord, deg.", quantity: "flap deflection", unit: "deg", basis: func(b *extract.Basis) {}, twin: func(b *extract.Basis) { config(b).DeflectionDatum = "chord" },
			want: `head-says-otherwise table:x: the print says "Flap angle from chord, deg." (chord); configuration.deflection_datum is not stated`},
		{head: "Flap angle, square to the hinge", quantity: "flap deflection", unit: "deg", basis: func(b *extract.Basis) { config(b).DeflectionPlane = "stream" }, twin: func(b *extract.Basis) { config(b).DeflectionPlane = "hinge" },
			want: `head-says-otherwise table:x: the print says "Flap angle, square to the hinge" (hinge); configuration.deflection_plane is stated as stream`},
	} {
		made := func(change func(b *extract.Basis)) *Series {
			b := full()
			change(&b)
			tb, r := grid([]extract.Column{{Key: "x", Head: tc.head, Quantity: tc.quantity, Unit: tc.unit}}, b, "1")
			tb.Caption = tc.caption
			return series(tb, r)
		}
		wantProblems(t, made(tc.basis), tc.want)
		if tc.twin != nil {
			wantProblems(t, made(tc.twin))
		}
	}
	// Head or caption says that the factor is the limit; n alone says nothing.
	for _, tc := range [][2]string{{"Limit load factor", ""}, {"Load factor", "TABLE II.—LIMITATIONS"}, {"Permissible factor", ""}, {"n", ""}, {"", ""}} {
		tb, r := grid([]extract.Column{{Key: "x", Head: tc[0], Quantity: "positive load factor", Unit: "1"}}, full(), "1")
		tb.Caption = tc[1]
		wantProblems(t, series(tb, r))
	}
	// A line from which a chord is set is not the chord.
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "angle of wing setting", Unit: "deg"}}, full(), "1")
	wantProblems(t, series(tb, r), `meaning-missing table:x: angle of wing setting needs its angle_datum, which the basis does not state; write angle_datum: thrust-line, fuselage-datum or not-stated: the line from which the source counts the setting of the chord, which is none itself`)
}

// The words of a label speak of its row alone, and those of a caption give way to them.
func TestWordsOfLabels(t *testing.T) {
	made := func(gear string) *Series {
		rule := func(label, gear string) extract.RowRule {
			return extract.RowRule{Label: label, Basis: &extract.Basis{Configuration: extract.Configuration{Gear: gear}}}
		}
		tb, r := grid([]extract.Column{{Key: "state", Quantity: "label"}, {Key: "x", Quantity: "stall speed", Unit: "knots"}}, full(), "Gear up|58", "Gear down|55", "Gear down|54")
		tb.Caption = "STALLING SPEEDS, GEAR DOWN"
		tb.Rows = []extract.RowRule{rule("Gear up", "up"), rule("Gear down", gear)}
		return series(tb, r)
	}
	wantProblems(t, made("down"))
	wantProblems(t, made("up"), `head-says-otherwise table:x: the print says "Gear down" (down); configuration.gear is stated as up`)

	// In a list each row is held against its own label.
	list := func(gear string) *Series {
		b := full()
		tb, r := grid([]extract.Column{{Key: "label", Quantity: "label"}, {Key: "value"}, {Key: "unit"}}, b, "Stall, gear down|55|knots")
		tb.Layout = "list"
		tb.Rows = []extract.RowRule{{Label: "Stall, gear down", Quantity: "stall speed", Basis: &extract.Basis{Configuration: extract.Configuration{Gear: gear}}}}
		return series(tb, r)
	}
	wantProblems(t, list("down"))
	wantProblems(t, list("fixed"), `head-says-otherwise table:value: the print says "Stall, gear down" (down); configuration.gear is stated as fixed`)
}

// A caption that speaks of two states says nothing of either.
func TestACaptionOfTwoStates(t *testing.T) {
	tb, r := grid([]extract.Column{{Key: "x", Quantity: "stall speed", Unit: "knots"}}, full(), "55")
	tb.Caption = "STALLING SPEEDS, FLAPS UP AND DOWN, POWER ON AND OFF"
	wantProblems(t, series(tb, r))
}

func TestConfigurationOf(t *testing.T) {
	for text, want := range map[string]extract.Configuration{
		"Flaps up, gear down":                {Deflection: "up", Gear: "down"},
		"Slotted flap 30°, slots open":       {Flap: "slotted", Slats: "open"},
		"Without flap, propeller removed":    {Flap: "none", Propeller: "removed"},
		"Power off":                          {}, // or idle
		"Full throttle":                      {Power: "on"},
		"Flaps up and down, gear up or down": {},
		"LIFT AND DRAG":                      {},
	} {
		if got := ConfigurationOf(text); got != want {
			t.Errorf("%q proposes %+v, want %+v", text, got, want)
		}
	}
}
