package normalize

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// tested is the basis of a wing in a tunnel.
func tested() extract.Basis {
	b := full()
	b.Article, b.Walls, b.Configuration, b.Weight = "wing", "corrected", extract.Configuration{Flap: "none"}, ""
	return b
}

func changed(change func(b *extract.Basis)) extract.Basis {
	b := tested()
	change(&b)
	return b
}

var polarColumns = []extract.Column{
	{Key: "a", Quantity: "angle of attack", Unit: "deg"},
	{Key: "l", Quantity: "lift coefficient", Unit: "1"},
	{Key: "d", Quantity: "drag coefficient", Unit: "1"},
}

func column(quantity, unit string, basis *extract.Basis) []extract.Column {
	return []extract.Column{{Key: "x", Quantity: quantity, Unit: unit, Basis: basis}}
}

func aspectRatio(t *testing.T, printed string) *Series {
	return named(t, "wings", column("aspect ratio", "1", nil), tested(), printed)
}

// induced is what a request came to, with what the figures then mean.
func induced(record []Figure, ask extract.Derivation) []string {
	done, not := Derive(record, ask)
	var list []string
	for _, d := range done {
		h, _ := d.Half.Float64()
		list = append(list, fmt.Sprintf("%s = %s +- %.5g | %s, %s, %s", d.Formula, d.Number(), h, d.Basis.Walls, d.Basis.AspectRatioBasis, d.Basis.Drag))
	}
	for _, u := range not {
		list = append(list, strings.TrimSuffix("refused: "+u.Msg+" | "+u.Hint, " | "))
	}
	return list
}

func wantInduced(t *testing.T, record []Figure, ask extract.Derivation, want ...string) {
	t.Helper()
	if got := induced(record, ask); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func derivedAs(t *testing.T, record []Figure, ask extract.Derivation) float64 {
	t.Helper()
	done, not := Derive(record, ask)
	if len(done) != 1 || len(not) != 0 {
		t.Fatalf("%d derived, refused %v", len(done), not)
	}
	v, _ := done[0].Value.Float64()
	return v
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6f, want %v within %v", what, got, want, tolerance)
	}
}

var toSection = &extract.AspectRatio{To: "infinite", FromPlanform: "elliptic"}

// TRADE.md 1.7 (DERIVED): for A = 6 and elliptic loading the induced angle is 3.040 deg
// and the induced drag 0.05305 at C_L = 1: 4.0 - 3.0396 = 0.9604 deg, .0700 - .05305 =
// .01695. Half-widths by hand, from the farthest corners:
// 3.95 - 18.23781*1.0005/5.995 is .0540562 deg from it, and .06995 -
// .3183099*1.0005^2/5.995 is .000147356.
func TestWingToSection(t *testing.T) {
	record := figures(named(t, "polar", polarColumns, tested(), "4.0|1.000|.0700"), aspectRatio(t, "6.00"))
	wantInduced(t, record, extract.Derivation{Quantity: "angle of attack", AspectRatio: toSection},
		"{0} + 180 / pi * {1} * ((0 - 1 / {2}) / pi) = 0.96036 +- 0.054056 | corrected, infinite, profile")
	wantInduced(t, record, extract.Derivation{Quantity: "drag coefficient", AspectRatio: toSection},
		"{0} + {1} * {1} * ((0 - 1 / {2}) / pi) = 0.0169484 +- 0.00014736 | corrected, infinite, profile")
	// Glauert's factors of the rectangular wing of A = 6, a0 about 6: tau 0.17 to 0.18,
	// delta about 0.05 (TRADE.md 1.7, FROM MEMORY); collocation at 320 points, worked
	// apart from this program, gives 0.165898 and 0.051076 (DERIVED): 4 - 3.03964*1.165898
	// = 0.45609 deg and .0700 - .0530516*1.051076 = .0142387.
	box := &extract.AspectRatio{To: "infinite", FromPlanform: "rectangular", SectionSlope: "6"}
	angle := derivedAs(t, record, extract.Derivation{Quantity: "angle of attack", AspectRatio: box})
	within(t, "angle with Glauert's tau 0.17", angle, 4-3.0396*1.17, 0.02)
	within(t, "angle", angle, 0.45609, 1e-5)
	drag := derivedAs(t, record, extract.Derivation{Quantity: "drag coefficient", AspectRatio: box})
	within(t, "drag with Glauert's delta 0.05", drag, .0700-.05305*1.05, 1e-4)
	within(t, "drag", drag, .0142387, 1e-7)
	// Tapered 0.5 with square tips: tau 0.05274 and delta 0.01245 (DERIVED, as above).
	tapered := append(record, figures(named(t, "taper", column("taper ratio", "1", nil), tested(), ".50"))...)
	box = &extract.AspectRatio{To: "infinite", FromPlanform: "tapered", SectionSlope: "6"}
	within(t, "tapered", derivedAs(t, tapered, extract.Derivation{Quantity: "angle of attack", AspectRatio: box}), 4-3.03964*1.05274, 1e-4)
	done, _ := Derive(tapered, extract.Derivation{Quantity: "drag coefficient", AspectRatio: box})
	if len(done) != 1 || done[0].Formula != "{0} + {1} * {1} * ((0 - (1 + DELTA({2}, 6, {3})) / {2}) / pi)" || len(done[0].Parents) != 4 {
		t.Errorf("tapered: %+v", done)
	}
	within(t, "tapered drag", derivedAs(t, tapered, extract.Derivation{Quantity: "drag coefficient", AspectRatio: box}), .0700-.0530516*1.01245, 1e-6)
}

// TRADE.md 1.7 (FROM MEMORY: Betz, Prandtl, Munk): alpha2 = alpha1 + 57.3 CL/pi (1/A2 - 1/A1),
// CD2 = CD1 + CL^2/pi (1/A2 - 1/A1): from 6 to 8 at C_L .80, -.80*18.2378/24 = -.60793 deg and
// -.64/pi/24 = -.0084883. And back, for the same angle again.
func TestWingToWing(t *testing.T) {
	record := figures(named(t, "polar", polarColumns, tested(), "5.0|.80|.0500"), aspectRatio(t, "6.00"))
	ask := &extract.AspectRatio{To: "8", ToPlanform: "elliptic", FromPlanform: "elliptic"}
	within(t, "angle", derivedAs(t, record, extract.Derivation{Quantity: "angle of attack", AspectRatio: ask}), 4.39207, 1e-5)
	within(t, "drag", derivedAs(t, record, extract.Derivation{Quantity: "drag coefficient", AspectRatio: ask}), .0415117, 1e-7)
	done, _ := Derive(record, extract.Derivation{Quantity: "drag coefficient", AspectRatio: &extract.AspectRatio{To: "8", ToPlanform: "tapered", ToTaper: "0.5", FromPlanform: "rectangular", SectionSlope: "5.7"}})
	if len(done) != 1 || done[0].Formula != "{0} + {1} * {1} * (((1 + DELTA(8, 5.7, 0.5)) / 8 - (1 + DELTA({2}, 5.7, 1)) / {2}) / pi)" ||
		done[0].Basis.AspectRatioBasis != "8, tapered 0.5, section slope 5.7 per radian" || done[0].Basis.Drag != "total" {
		t.Errorf("got %+v", done)
	}
	section := changed(func(b *extract.Basis) { b.Article, b.Drag, b.AspectRatioBasis = "section", "profile", "" })
	wantInduced(t, figures(named(t, "polar", polarColumns, section, "4.0|1.000|.0100")),
		extract.Derivation{Quantity: "drag coefficient", AspectRatio: &extract.AspectRatio{To: "6", ToPlanform: "elliptic"}},
		"{0} + {1} * {1} * ((1 / 6 - 0) / pi) = 0.0630516 +- 0.00010306 | corrected, 6, elliptic, total")
}

// Slopes per degree, TRADE.md 1.7 (DERIVED): a0 0.100 gives 0.0767 at A = 6 with elliptic
// loading, 0.0738 with tau 0.17. TRADE.md 3.7: A = 6 Prandtl 0.0822 from 2 pi. And the trap
// S8 of TRADE.md 5.3: 2 pi A/(A+2) is Prandtl's and not Helmbold's: at A = 10 it is 5.236
// per radian, where Helmbold has 5.15 (VERIFIED-2ND); the conversion is Prandtl's.
func TestSlopesBetweenAspectRatios(t *testing.T) {
	section := changed(func(b *extract.Basis) { b.Article, b.AspectRatioBasis = "section", "" })
	slope := func(b extract.Basis, unit, printed string, ask extract.AspectRatio, more ...*Series) float64 {
		t.Helper()
		all := append([]*Series{named(t, "slopes", column("lift-curve slope", unit, nil), b, printed)}, more...)
		return derivedAs(t, figures(all...), extract.Derivation{Quantity: "lift-curve slope", AspectRatio: &ask})
	}
	degree := math.Pi / 180
	elliptic := extract.AspectRatio{To: "6", ToPlanform: "elliptic"}
	within(t, "elliptic", degree*slope(section, "/deg", ".100", elliptic), .0767, .00005)
	within(t, "rectangular", degree*slope(section, "/deg", ".100", extract.AspectRatio{To: "6", ToPlanform: "rectangular", SectionSlope: "5.73"}), .0738, .0001)
	within(t, "Prandtl, A 6", degree*slope(section, "/rad", "6.2832", elliptic), .0822, .00005)
	within(t, "Prandtl, A 10", slope(section, "/rad", "6.2832", extract.AspectRatio{To: "10", ToPlanform: "elliptic"}), 5.236, .0005)
	within(t, "and back", slope(tested(), "/rad", "5.2360", *toSection, aspectRatio(t, "10.00")), 6.2832, .0002)
	wantInduced(t, figures(named(t, "slopes", column("lift-curve slope", "/rad", nil), tested(), "4.40"), aspectRatio(t, "6.00")),
		extract.Derivation{Quantity: "lift-curve slope", AspectRatio: toSection}, // 4.40/.766573; the farthest corner 4.405/(1 - 4.405/(5.995 pi)) = 5.7498076
		"{0} / (1 + {0} * ((0 - 1 / {1}) / pi)) = 5.739834 +- 0.0099741 | corrected, infinite, profile")
}

// TRADE.md 1.8 (FROM MEMORY): 57.3 delta (S/C) C_L and delta (S/C) C_L^2, always added, with
// delta +0.125 in a round closed section and -0.125 in a round open jet: for 6.00 of 50.0 sq ft
// at C_L = 1, 0.85944 deg and .0150, and 1/a + 0.125*0.12 for the slope.
func TestWallsAreAdded(t *testing.T) {
	raw := changed(func(b *extract.Basis) { b.Walls = "uncorrected" })
	polar := named(t, "polar", polarColumns, raw, "4.0|1.000|.0700")
	areas := []*Series{named(t, "wing", column("wing area", "sq ft", nil), raw, "6.00"), named(t, "tunnel", column("tunnel section area", "sq ft", nil), raw, "50.0")}
	record := figures(append(areas, polar, aspectRatio(t, "6.00"))...)
	closed, open := &extract.Walls{Section: "closed", Delta: "+0.125"}, &extract.Walls{Section: "open", Delta: "-0.125"}
	// The farthest corner: 4.05 + 57.29578*1.0005*0.125*6.005/49.95 = 4.9114444
	wantInduced(t, record, extract.Derivation{Quantity: "angle of attack", Walls: closed},
		"{0} + 180 / pi * {1} * (0.125 * {2} / {3}) = 4.85944 +- 0.052008 | corrected for a closed section, delta 0.125, as-tested, total")
	within(t, "open jet", derivedAs(t, record, extract.Derivation{Quantity: "angle of attack", Walls: open}), 4-.85944, 1e-5)
	wantInduced(t, record, extract.Derivation{Quantity: "drag coefficient", Walls: open},
		"{0} + {1} * {1} * (-0.125 * {2} / {3}) = 0.05500000 +- 9.2559e-05 | corrected for an open jet, delta -0.125, as-tested, total")
	slope := figures(append(areas, named(t, "slopes", column("lift-curve slope", "/rad", nil), raw, "4.40"))...)
	within(t, "slope", derivedAs(t, slope, extract.Derivation{Quantity: "lift-curve slope", Walls: closed}), 1/(1/4.40+.015), 1e-9)
	// Walls and aspect ratio at once: 4 + .85944 - 3.03964.
	both := extract.Derivation{Quantity: "angle of attack", Walls: closed, AspectRatio: toSection}
	within(t, "both", derivedAs(t, record, both), 1.81980, 1e-5)
	if got := induced(record, both); !strings.HasPrefix(got[0], "{0} + 180 / pi * {1} * (0.125 * {2} / {3} + (0 - 1 / {4}) / pi) = ") {
		t.Errorf("got %q", got)
	}

	no := `refused: angle of attack "4.0" at polar:r1:a is not derived as corrected for a closed section, delta 0.125: `
	ask := extract.Derivation{Quantity: "angle of attack", Walls: closed}
	with := func(change func(b *extract.Basis)) []Figure {
		b := raw
		change(&b)
		return figures(append(areas, named(t, "polar", polarColumns, b, "4.0|1.000|.0700"))...)
	}
	wantInduced(t, with(func(b *extract.Basis) { b.Walls = "not-stated" }), ask,
		no+"its basis does not say whether it is corrected for the walls, and to correct twice is as wrong as not at all | write walls: uncorrected or walls: corrected in the basis of table polar, where the source says it")
	wantInduced(t, with(func(b *extract.Basis) { b.Walls = "free-flight" }), ask, no+"it was measured in free flight, where there are no walls | take walls: out of the entry of derive:")
	wantInduced(t, with(func(b *extract.Basis) { b.Walls = "corrected" }), ask,
		"refused: derive: corrected for a closed section, delta 0.125 is asked for angle of attack, and all 1 figures of the record are on it as printed | take the entry out of derive:")
	wantInduced(t, append(with(func(b *extract.Basis) { b.Walls = "corrected" }), figures(aspectRatio(t, "6"))...), both,
		`refused: angle of attack "4.0" at polar:r1:a is not derived as corrected for a closed section, delta 0.125, aspect ratio infinite: its basis says that it is corrected for the walls already | take walls: out of the entry of derive:`)
	wantInduced(t, with(func(b *extract.Basis) { b.Article = "section" }), ask,
		no+"it is of a section, which spans the tunnel; its walls are to be corrected for the curvature of the flow, which the program does not")
	wantInduced(t, with(func(b *extract.Basis) { b.Drag = "profile" }), extract.Derivation{Quantity: "drag coefficient", Walls: closed},
		`refused: drag coefficient ".0700" at polar:r1:d is not derived as corrected for a closed section, delta 0.125: it is a profile drag, and walls change the induced drag alone | name the column of total drag with table: and column:`)
	wantInduced(t, with(func(b *extract.Basis) { b.ReferenceArea = "not-stated" }), ask,
		no+"its basis does not state the area that the lift coefficient is formed on | write reference_area: in the basis of table polar, where the source says it")
	wantInduced(t, with(func(b *extract.Basis) { b.ReferenceArea = "net" }), ask,
		no+"the record has no net wing area | take the table that prints it under tables:, with reference_area: net in its basis")
	wantInduced(t, figures(polar, areas[0]), ask,
		no+"the record has no tunnel section area | take the table that prints it under tables:; it is the area of the cross-section of the tunnel's stream")
	wantInduced(t, figures(polar, areas[0], named(t, "tunnel", column("tunnel section area", "sq ft", nil), raw, "5.0")), ask,
		no+`the wing area "6.00" at wing:r1:x is not less than the section of the tunnel, "5.0" at tunnel:r1:x | look at the areas and their units in the print`)
	model := raw
	model.Article = "model"
	wantInduced(t, figures(polar, named(t, "wing", column("wing area", "sq ft", nil), model, "6.00"), areas[1]), ask,
		no+`it is of an article of kind "wing", and the wing area at wing:r1:x of "model" | give the two a subject each`)
	wantInduced(t, record, extract.Derivation{Quantity: "lift coefficient", Walls: closed},
		"refused: corrected for a closed section, delta 0.125 is asked for lift coefficient, and at one lift coefficient the induced flow bears on angle of attack, drag coefficient, lift-curve slope alone")
}

func TestWhatKeepsAnAspectRatioFromBeingChanged(t *testing.T) {
	ask := extract.Derivation{Quantity: "angle of attack", AspectRatio: toSection}
	no := `refused: angle of attack "4.0" at polar:r1:a is not derived as aspect ratio infinite: `
	six := aspectRatio(t, "6.00")
	polar := func(b extract.Basis) []Figure {
		return figures(named(t, "polar", polarColumns, b, "4.0|1.000|.0700"), six)
	}
	with := func(change func(b *extract.Basis)) []Figure { return polar(changed(change)) }
	good := polar(tested())
	for name, c := range map[string]struct {
		record []Figure
		ask    extract.Derivation
		want   string
	}{
		"walls not stated": {with(func(b *extract.Basis) { b.Walls = "not-stated" }), ask,
			"its basis says walls: not-stated, and walls turn the flow as the induced angle does | add walls: {section: closed, delta: ...} to the entry of derive: where the source says that no correction was made"},
		"uncorrected": {with(func(b *extract.Basis) { b.Walls = "uncorrected" }), ask,
			"its basis says walls: uncorrected, and walls turn the flow as the induced angle does | add walls: {section: closed, delta: ...} to the entry of derive: where the source says that no correction was made"},
		"no planform": {good, extract.Derivation{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "infinite"}},
			"it is of a wing, and the request does not say of which planform | write from_planform: elliptic, rectangular or tapered in the entry of derive:"},
		"aeroplane": {with(func(b *extract.Basis) {
			b.Article, b.Configuration.Gear, b.Configuration.Power = "aeroplane", "fixed", "idle"
		}), ask,
			`it is of an article of kind "aeroplane", and the lifting line is that of a wing alone`},
		"biplane": {with(func(b *extract.Basis) { b.ReferenceArea = "all-wings" }), ask,
			`the lift coefficient is formed on the area "all-wings", and the aspect ratio b^2/S on the whole of one wing's`},
		"area not stated": {with(func(b *extract.Basis) { b.ReferenceArea = "not-stated" }), ask,
			"its basis does not state the area that the lift coefficient is formed on | write reference_area: in the basis of table polar, where the source says it"},
		"flap not stated": {with(func(b *extract.Basis) { b.Configuration.Flap = "not-stated" }), ask,
			"its basis does not state the flap, and one over part of the span spreads the lift otherwise | write configuration.flap in the basis of table polar"},
		"flap lowered": {with(func(b *extract.Basis) { b.Configuration.Flap, b.Configuration.Deflection = "split", "given flap" }), ask,
			"it is measured with flap split, 30 deg, and the record does not say that the flap is over the whole span; one over part of it spreads the lift otherwise | take the table that prints the flap-span ratio, or flap span and wing span, under tables:"},
		"no aspect ratio": {figures(named(t, "polar", polarColumns, tested(), "4.0|1.000|.0700")), ask,
			"the record has no aspect ratio | take the table that prints it under tables:"},
		"two aspect ratios": {append(slices.Clone(good), figures(named(t, "other", column("aspect ratio", "1", nil), tested(), "8.00"))...), ask,
			`the record has 2 figures for aspect ratio, which differ: "6.00" at wings:r1:x, "8.00" at other:r1:x | withhold what does not hold for these figures, or give them a subject of their own`},
		"low aspect ratio": {figures(named(t, "polar", polarColumns, tested(), "4.0|1.000|.0700"), aspectRatio(t, "3.0")), ask,
			`the aspect ratio "3.0" at wings:r1:x is less than 4, below which the lifting line does not hold`},
		"no taper ratio": {good, extract.Derivation{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "infinite", FromPlanform: "tapered", SectionSlope: "6"}},
			"the record has no taper ratio | take the table that prints it under tables:"},
		"no taper": {append(slices.Clone(good), figures(named(t, "taper", column("taper ratio", "1", nil), tested(), "1.0"))...),
			extract.Derivation{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "infinite", FromPlanform: "tapered", SectionSlope: "6"}},
			`the taper ratio "1.0" at taper:r1:x is not less than 1 | where the wing does not taper, write from_planform: rectangular`},
		"no lift": {figures(named(t, "polar", polarColumns[:1], tested(), "4.0"), six), ask, "its row has no lift coefficient, and the induced flow is that of the lift"},
		"two lifts": {figures(named(t, "polar", append(slices.Clone(polarColumns), extract.Column{Key: "m", Quantity: "lift coefficient", Unit: "1"}), tested(), "4.0|1.000|.0700|1.100"), six), ask,
			"its row has 2 lift coefficients, and nothing says which it is measured at | name a table in which each row has one"},
		"lift with walls": {figures(named(t, "polar", []extract.Column{polarColumns[0], {Key: "l", Quantity: "lift coefficient", Unit: "1", Basis: &extract.Basis{Walls: "uncorrected"}}}, tested(), "4.0|1.000"), six), ask,
			`no lift coefficient of its row was measured as it was: "1.000" at polar:r1:l has walls: uncorrected, and the angle of attack corrected | what is measured under other conditions is not combined; where both mean the same, write the same in both columns' bases`},
		"lift of the section": {figures(named(t, "polar", []extract.Column{polarColumns[0], {Key: "l", Quantity: "lift coefficient", Unit: "1", Basis: &extract.Basis{AspectRatioBasis: "infinite"}}}, tested(), "4.0|1.000"), six), ask,
			`no lift coefficient of its row was measured as it was: "1.000" at polar:r1:l has aspect_ratio_basis: infinite, and the angle of attack as-tested | what is measured under other conditions is not combined; where both mean the same, write the same in both columns' bases`},
		"planform of a section": {with(func(b *extract.Basis) { b.AspectRatioBasis = "infinite" }), extract.Derivation{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "8", ToPlanform: "elliptic", FromPlanform: "elliptic"}},
			"aspect ratio 8, elliptic: it holds for the section, which has no planform | take from_planform: out of the entry of derive:, or name wings alone with table: and column:"},
		"the same": {good, extract.Derivation{Quantity: "angle of attack", AspectRatio: &extract.AspectRatio{To: "6", ToPlanform: "elliptic", FromPlanform: "elliptic"}},
			"aspect ratio 6, elliptic: its wing has the aspect ratio 6.00 and that planform as tested | take aspect_ratio: out of the entry of derive:"},
	} {
		t.Run(name, func(t *testing.T) {
			want := no + c.want
			if strings.HasPrefix(c.want, "aspect ratio ") {
				want = strings.TrimSuffix(no, "aspect ratio infinite: ") + c.want
			}
			wantInduced(t, c.record, c.ask, want)
		})
	}
	drag := extract.Derivation{Quantity: "drag coefficient", AspectRatio: toSection}
	wantInduced(t, with(func(b *extract.Basis) { b.Drag = "profile" }), drag,
		`refused: drag coefficient ".0700" at polar:r1:d is not derived as aspect ratio infinite: it is a profile drag, of which the induced drag was taken away already | name the column of total drag with table: and column:`)
	wantInduced(t, figures(named(t, "polar", polarColumns, tested(), "4.0|1.000|.0500"), six), drag,
		`refused: drag coefficient ".0500" at polar:r1:d is not derived as aspect ratio infinite: it comes to -0.0030516, which is no drag | look at the drag, the lift and the aspect ratio in the print`)
	wantInduced(t, with(func(b *extract.Basis) { b.AspectRatioBasis = "infinite" }), ask,
		"refused: derive: aspect ratio infinite is asked for angle of attack, and all 1 figures of the record are on it as printed | take the entry out of derive:")
	// A flap over the whole span, where the record says so, is one more section.
	flapped := changed(func(b *extract.Basis) { b.Configuration.Flap, b.Configuration.Deflection = "split", "given flap" })
	within(t, "full span", derivedAs(t, append(polar(flapped), figures(named(t, "flap", column("flap-span ratio", "1", nil), flapped, "1.00"))...), ask), 0.96036, 1e-5)
	spans := []extract.Column{{Key: "f", Quantity: "flap span", Unit: "in"}, {Key: "b", Quantity: "wing span", Unit: "in"}}
	within(t, "flap span", derivedAs(t, append(polar(flapped), figures(named(t, "spans", spans, flapped, "60.0|60.0"))...), ask), 0.96036, 1e-5)
	if _, not := Derive(append(polar(flapped), figures(named(t, "spans", spans, flapped, "30.0|60.0"))...), ask); len(not) != 1 {
		t.Errorf("over half the span: %v", not)
	}
	// The table's own aspect ratio goes before those of other wings.
	own := append(slices.Clone(polarColumns), extract.Column{Key: "w", Quantity: "aspect ratio", Unit: "1"})
	within(t, "own column", derivedAs(t, figures(named(t, "polar", own, tested(), "4.0|1.000|.0700|10.00"), six), ask), 4-18.23781/10, 1e-5)
}

// Beyond the greatest lift coefficient nothing is converted; up to it everything is.
func TestStalledPointsAreNotConverted(t *testing.T) {
	record := figures(named(t, "polar", polarColumns, tested(), "-14|-.90|.1", "-12|-1.00|.2", "4|.50|.03", "12|1.20|.12", "14|1.20|.16", "16|1.10|.2"), aspectRatio(t, "6.00"))
	done, not := Derive(record, extract.Derivation{Quantity: "angle of attack", AspectRatio: toSection})
	if len(done) != 4 || len(not) != 2 {
		t.Fatalf("%d derived, refused %v", len(done), not)
	}
	for i, want := range []string{
		`it lies beyond the stall, at -14; the lift coefficient is -1.00 already at -12, and a stalled wing's lift is not spread as the lifting line has it`,
		`it lies beyond the stall, at 16; the lift coefficient is 1.20 already at 14, and a stalled wing's lift is not spread as the lifting line has it`,
	} {
		if not[i].Reason != want {
			t.Errorf("got %s\nwant %s", not[i].Reason, want)
		}
	}
}
