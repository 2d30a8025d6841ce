package normalize

import (
	"fmt"
	"strings"
	"testing"

	"windtally/extract"
)

var momentColumns = []extract.Column{
	{Key: "a", Quantity: "angle of attack", Unit: "deg"}, {Key: "cl", Quantity: "lift coefficient", Unit: "1"},
	{Key: "cd", Quantity: "drag coefficient", Unit: "1"}, {Key: "cm", Quantity: "pitching-moment coefficient", Unit: "1"},
}

func noseUp() extract.Basis {
	b := full()
	b.MomentSign = "nose-up"
	return b
}

// By hand at 30 deg: C_N = 1.00 cos + 0.500 sin = 1.1160254, so that from the quarter
// chord to 30 percent C_m is -0.100 + 1.1160254*0.05 = -0.0441987. The farthest
// corner, -0.0995 + 0.05(1.005 cos 29.95 + 0.5005 sin 29.95), is 0.000731998 from it.
func TestMomentsGoToAnotherPoint(t *testing.T) {
	polar := named(t, "polar", momentColumns, noseUp(), "30.0|1.00|.500|-.100")
	ask := extract.Derivation{Quantity: "pitching-moment coefficient", MomentCenter: "30 percent chord"}
	wantMoment := func(record []Figure, ask extract.Derivation, want ...string) {
		t.Helper()
		done, not := Derive(record, ask)
		var got []string
		for _, d := range done {
			h, _ := d.Half.Float64()
			got = append(got, strings.Join([]string{d.Formula, d.Number().String(), d.Basis.MomentCenter, exactFigures(h)}, " | "))
		}
		for _, u := range not {
			got = append(got, strings.TrimSuffix("refused: "+u.Msg+" | "+u.Hint, " | "))
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	wantMoment(figures(polar), ask, "{0} + ({1} * cosd({3}) + {2} * sind({3})) * (0.3 - 0.25) | -0.0441987 | 30 percent chord | 0.000732")
	refused := `refused: pitching-moment coefficient "-.100" at polar:r1:cm is not derived as 30 percent chord: `
	for _, c := range []struct {
		change func(b *extract.Basis)
		want   string
	}{
		{func(b *extract.Basis) { b.MomentCenter = "centre of gravity, 26 percent aft and 4 percent below" },
			`its moment_center "centre of gravity, 26 percent aft and 4 percent below" is read as no point of the chord | write moment_center: quarter chord, leading edge, or 30 percent chord in the basis of table polar, where the source says it`},
		{func(b *extract.Basis) { b.MomentCenter = "25 percent of the root chord" }, `a point of the root chord is named, and its reference_chord is "mean chord" | state the same chord in both`},
		{func(b *extract.Basis) { b.AngleDatum = "thrust-line" }, `the angle of attack of its row is counted from "thrust-line", and the normal force is normal to the chord | where the chord is meant, write angle_datum: chord`},
		{func(b *extract.Basis) { b.Drag = "profile" }, "the drag of its row is the profile drag alone, and the normal force is of the whole"},
		{func(b *extract.Basis) { b.MomentCenter = "0.30 c" }, `it is about that point, in other words ("0.30 c") | take the entry out of derive:`},
	} {
		b := noseUp()
		c.change(&b)
		wantMoment(figures(named(t, "polar", momentColumns, b, "30.0|1.00|.500|-.100")), ask, refused+c.want)
	}
	unsigned := figures(polar)
	for i, f := range unsigned {
		sense, d := *f.Sense, *f.Datum
		sense.Basis.MomentSign = "not-stated"
		d.Sense, unsigned[i].Datum = &sense, &d
	}
	wantMoment(unsigned, ask, refused+"its basis does not state which moments are positive | write moment_sign: nose-up or nose-down in the basis of table polar, as the source says")
	wantMoment(figures(named(t, "polar", []extract.Column{momentColumns[0], momentColumns[1], momentColumns[3]}, noseUp(), "30.0|1.00|-.100")), ask,
		refused+"its row has no drag coefficient in the same state, on the same area, which the normal force follows from")
	// Lift on another area than the moment is no part of its normal force.
	net := append([]extract.Column{}, momentColumns...)
	net[1].Basis = &extract.Basis{ReferenceArea: "net"}
	wantMoment(figures(named(t, "polar", net, noseUp(), "30.0|1.00|.500|-.100")), ask, refused+"its row has no lift coefficient in the same state, on the same area, which the normal force follows from")
	vague := ask
	vague.MomentCenter = "aerodynamic center"
	wantMoment(figures(polar), vague, `refused: pitching-moment coefficient "-.100" at polar:r1:cm is not derived as aerodynamic center: the moment_center "aerodynamic center" is read as no point of the chord | write moment_center: quarter chord, leading edge, or 30 percent chord in the entry of derive:`)
	wantMoment(figures(polar), extract.Derivation{Quantity: "lift coefficient", MomentCenter: "leading edge"}, "refused: moment_center: leading edge is asked for lift coefficient, which is no pitching-moment coefficient of a polar")
}

func exactFigures(x float64) string {
	return fmt.Sprintf("%.5g", x)
}

// Two relations of textbooks (FROM MEMORY). A thin flat plate: c_l = 2 pi alpha and
// c_m about the leading edge -c_l/4, so that there is none about the quarter chord;
// at 2 deg c_l is 0.2193 and c_m -0.0548. And Anderson, Fundamentals of Aerodynamics, on
// the 4412 at 4 deg: c_l 0.85, c_m about the quarter chord -0.09, centre of pressure
// at 0.25 + 0.09/0.85 = 0.356 chord: there is no moment about it.
func TestMomentsOfTextbooks(t *testing.T) {
	b := noseUp()
	b.MomentCenter = "leading edge"
	for _, c := range []struct {
		basis   extract.Basis
		row, to string
	}{
		{b, "2.0|.2193|.0000|-.0548", "quarter chord"},
		{noseUp(), "4.0|.850|.006|-.0900", "0.356 chord"},
	} {
		done, not := Derive(figures(named(t, "polar", momentColumns, c.basis, c.row)), extract.Derivation{Quantity: "pitching-moment coefficient", MomentCenter: c.to})
		if len(done) != 1 || len(not) != 0 {
			t.Fatalf("%d derived, %v", len(done), not)
		}
		if m, _ := done[0].Value.Float64(); m < -2e-4 || m > 2e-4 {
			t.Errorf("%s about %s: %v; there is none", c.row, c.to, m)
		}
	}
}

func TestPointsOfTheChord(t *testing.T) {
	for text, want := range map[string]string{
		"quarter-chord point": "0.25", "Quarter chord": "0.25", "c/4": "0.25", "leading edge": "0", "the leading-edge": "0", "25 percent of the mean chord": "0.25 mean", "24.5 per cent chord": "0.245",
		"25% chord": "0.25", "0.30 c": "0.3", ".35c": "0.35", "30 percent of the chord": "0.3", "25 percent of the mean aerodynamic chord": "0.25 mean aerodynamic",
		"aerodynamic center": "", "c.g.": "", "25 percent": "", "120 percent chord": "", "25 percent chord, 5 percent below": "", "not stated": "", "": "", "3 in. aft of the leading edge": "",
	} {
		got := ""
		if x, which, ok := chordPoint(text); ok {
			got = strings.TrimSpace(exact(x) + " " + which)
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// alpha_chord = alpha_line + i (TRADE.md 1.4, VERIFIED), up and down: 4.0 deg from the
// thrust line, settings 1.5 deg to it and 2.0 to the fuselage datum: 4.0 + 1.5 - 2.0 =
// 3.5 deg from the datum. 4.0 deg from the tangent of the lower surface, whose chord
// stands 1.8 deg to it, is 5.8. 6.3 deg from zero lift, which lies at -2.3 from the
// chord, is 4.0.
func TestAnglesGoBetweenLines(t *testing.T) {
	from := func(datum string) extract.Basis {
		b := full()
		b.AngleDatum = datum
		return b
	}
	alpha := []extract.Column{{Key: "a", Quantity: "angle of attack", Unit: "deg"}}
	settings := []extract.Column{{Key: "i", Quantity: "angle of wing setting", Unit: "deg"},
		{Key: "f", Quantity: "angle of wing setting", Unit: "deg", Basis: &extract.Basis{AngleDatum: "fuselage-datum"}},
		{Key: "e", Quantity: "angle of chord", Unit: "deg", Basis: &extract.Basis{AngleDatum: "lower-surface"}},
		{Key: "z", Quantity: "zero-lift angle", Unit: "deg", Basis: &extract.Basis{AngleDatum: "chord"}}}
	particulars := named(t, "particulars", settings, from("thrust-line"), "1.5|2.0|1.8|-2.3")
	ask := func(datum string) extract.Derivation {
		return extract.Derivation{Quantity: "angle of attack", AngleDatum: datum}
	}
	polar := func(datum, figure string) *Series { return named(t, "polar", alpha, from(datum), figure) }
	wantTold(t, figures(polar("thrust-line", "4.0"), particulars), ask("fuselage-datum"), "{0} + {1} - {2} = 3.5000 +- 0.15 fuselage-datum")
	wantTold(t, figures(polar("lower-surface", "4.0"), particulars), ask("chord"), "{0} + {1} = 5.8000 +- 0.1 chord")
	wantTold(t, figures(polar("chord", "5.8"), particulars), ask("lower-surface"), "{0} - {1} = 4.0000 +- 0.1 lower-surface")
	wantTold(t, figures(polar("zero-lift", "6.3"), particulars), ask("chord"), "{0} + {1} = 4.0000 +- 0.1 chord")
	wantTold(t, figures(polar("chord", "4.0"), particulars), ask("zero-lift"), "{0} - {1} = 6.3000 +- 0.1 zero-lift")

	refused := `refused: angle of attack "4.0" at polar:r1:a is not derived as `
	wantTold(t, figures(polar("root-chord", "4.0"), particulars), ask("chord"), refused+"chord: it is counted from the root-chord; a setting leads to the chord from thrust-line, fuselage-datum and lower-surface alone")
	wantTold(t, figures(polar("disc-plane", "4.0"), particulars), ask("chord"), refused+"chord: it is the angle of a disc")
	wantTold(t, figures(polar("zero-lift", "4.0"), particulars), ask("thrust-line"),
		refused+"thrust-line: the record has no zero-lift angle from the thrust-line with flap split, 30 deg, gear fixed, power idle | take the table that prints it under tables:")
	// The setting of the wing to the thrust line is no angle of the lower surface.
	wing := named(t, "particulars", settings[:1], from("thrust-line"), "1.5")
	wantTold(t, figures(polar("lower-surface", "4.0"), wing), ask("chord"), refused+"chord: the record has no angle of chord from the lower-surface | take the table that prints it under tables:, with angle_datum: lower-surface in its basis")
	wantTold(t, figures(particulars), extract.Derivation{Quantity: "angle of chord", AngleDatum: "chord"}, "refused: angle_datum: chord is asked for angle of chord, which is no angle of attack to be counted from it")
}
