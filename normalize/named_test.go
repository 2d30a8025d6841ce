package normalize

import (
	"strings"
	"testing"

	"windtally/extract"
	"windtally/normalize/unit"
)

// Units that captions, labels and sub-heads name, each beside a clean twin. The prints
// are common practice, no source.
func TestUnitsOutsideTheHead(t *testing.T) {
	speed := func(unit string) extract.Column {
		return extract.Column{Key: "x", Quantity: "stall speed", Unit: unit}
	}
	for _, tc := range []struct {
		caption      string
		labels       []string
		column, twin extract.Column
		want         string
	}{
		{"Stalling speeds in miles per hour", nil, speed("knots"), speed("m.p.h."),
			`head-says-otherwise table:x: the caption says statute mile per hour; the unit is stated as knot`},
		{"Stalling speeds (m.p.h., flaps at 30 deg.)", nil, speed("knots"), speed("m.p.h."),
			`head-says-otherwise table:x: the caption says statute mile per hour; the unit is stated as knot`},
		{"Stalling speeds in knots", nil, extract.Column{Key: "x", Head: "Speed, m.p.h.", Quantity: "stall speed", Unit: "knots"}, extract.Column{Key: "x", Head: "Speed, m.p.h.", Quantity: "stall speed", Unit: "m.p.h."},
			`head-says-otherwise table:x: the print says "m.p.h." in "Speed, m.p.h.", which is statute mile per hour; the unit is stated as knot`},
		{"", []string{"Speeds in m.p.h.", "Speeds in knots"}, speed("m.p.h."), extract.Column{},
			`head-says-otherwise table:x: the label "Speeds in knots" says knot; the unit is stated as statute mile per hour`},
		{"", []string{"m.p.h.", "knots"}, speed("m.p.h."), extract.Column{},
			`head-says-otherwise table:x: the label "knots" says knot; the unit is stated as statute mile per hour`},
		{"Weights in thousands of pounds", nil, extract.Column{Key: "x", Quantity: "weight", Unit: "lb"}, extract.Column{},
			`head-says-otherwise table:caption: the caption says "in thousands", and no column has a scaled unit`},
		{"Drag coefficients, multiplied by 10,000", nil, extract.Column{Key: "x", Quantity: "drag coefficient", Unit: "1"}, extract.Column{Key: "x", Quantity: "drag coefficient", Unit: "10*-4"},
			`head-says-otherwise table:caption: the caption says "multiplied by 10", and no column has a scaled unit`},
		{"Flap chord in percent of the wing chord", nil, extract.Column{Key: "x", Quantity: "flap-chord ratio", Unit: "1"}, extract.Column{Key: "x", Quantity: "flap-chord ratio", Unit: "%"},
			`head-says-otherwise table:x: the caption says percent; the unit is stated as one`},
	} {
		made := func(c extract.Column) *Series {
			labels := tc.labels
			if labels == nil {
				labels = []string{"A", "B"}
			}
			tb, r := grid([]extract.Column{{Key: "of", Quantity: "label"}, c}, full(), labels[0]+"|60", labels[1]+"|52")
			tb.Caption = tc.caption
			return series(tb, r)
		}
		wantProblems(t, made(tc.column), tc.want)
		if tc.twin.Key != "" {
			wantProblems(t, made(tc.twin))
		}
	}
	// Texts with units that are not those of the figures.
	for _, label := range []string{"At 60 knots wind", "2,400 lb.", "Altitude in feet", "Loaded to 45 knots", "Span of 36 ft. in a 20-ft. tunnel"} {
		tb, r := grid([]extract.Column{{Key: "of", Quantity: "label"}, speed("m.p.h.")}, full(), label+"|60", "B|52")
		tb.Caption = "Stalling speeds at 60 knots of wind; altitudes in feet; R.N. 3.4 x 10^6 to two millions"
		wantProblems(t, series(tb, r))
	}
}

// A head that names the unit of another quantity, and a single letter that is a unit.
func TestUnitOfAnotherQuantity(t *testing.T) {
	for _, tc := range []struct{ head, quantity, unit, want string }{
		{"R.P.M.", "stall speed", "m.p.h.", `the print says "R.P.M." in "R.P.M.", a unit of angular speed; the quantity is stated as stall speed, which is one of speed`},
		{"Pressure, in. Hg", "altitude", "ft", `the print says "in. Hg" in "Pressure, in. Hg", a unit of pressure; the quantity is stated as altitude, which is one of length`},
		{"Rate of climb (ft./min.)", "altitude", "ft", `the print says "ft./min." in "Rate of climb (ft./min.)", a unit of speed; the quantity is stated as altitude, which is one of length`},
		{"Lift, lb.", "lift coefficient", "1", ""}, // lb alone is a force or a mass
		{"Speed at 5,000 ft.", "stall speed", "m.p.h.", ""},
		{"Drag coefficient, min.", "minimum drag coefficient", "1", ""},
		{"Speed (standard atmosphere)", "airspeed", "m.p.h.", ""},
		{"Power loading, lb. per normal hp.", "power loading", "lb/hp", ""},
		{"Load factor (g)", "load factor in flight", "1", ""},
		{"C, m", "pitching-moment coefficient", "1", ""},
		{"Span, m", "wing span", "ft", `the print says "m" in "Span, m", which is metre; the unit is stated as foot`},
		{"Span in m", "wing span", "ft", `the print says "m" in "Span in m", which is metre; the unit is stated as foot`},
		{"Span, m", "wing span", "m", ""},
		{"Air temperature, F", "air temperature", "deg C", `the print says "F" in "Air temperature, F", which is degree Fahrenheit; the unit is stated as degree Celsius`},
		{"Air temperature, F", "air temperature", "deg F", ""},
	} {
		q, ok := Find(tc.quantity)
		if !ok {
			t.Fatalf("no quantity %q", tc.quantity)
		}
		canonical, _ := unit.Lookup(q.Canonical)
		u, err := unit.ParseFor(tc.unit, canonical.Dim)
		if err != nil {
			t.Fatal(err)
		}
		b := full()
		b.PowerRating, b.WeightCondition = "not-stated", "not-stated"
		if tc.quantity == "power loading" {
			b.WeightCondition = "normal"
		}
		if got := strings.Join((&normalizer{}).headDoubts(tc.head, "", q, u, b), "; "); got != tc.want {
			t.Errorf("%q as %s in %s:\n%s\nwant\n%s", tc.head, tc.quantity, tc.unit, got, tc.want)
		}
	}
}

// What texts say of datum, walls, area, altitude and Reynolds number, beside a basis
// that says otherwise and one that says the same.
func TestWordsOfMeaning(t *testing.T) {
	for _, tc := range []struct {
		text, quantity, unit string
		basis, twin          func(b *extract.Basis)
		says                 string
	}{
		{"Angle of attack of thrust line, deg.", "angle of attack", "deg", func(b *extract.Basis) { b.AngleDatum = "chord" }, func(b *extract.Basis) { b.AngleDatum = "thrust-line" }, "(thrust-line); angle_datum is stated as chord"},
		{"Incidence to the flat lower surface, deg.", "angle of attack", "deg", func(b *extract.Basis) { b.AngleDatum = "chord" }, func(b *extract.Basis) { b.AngleDatum = "lower-surface" }, "(lower-surface); angle_datum is stated as chord"},
		{"Absolute angle of attack", "angle of attack", "deg", func(b *extract.Basis) { b.AngleDatum = "chord" }, func(b *extract.Basis) { b.AngleDatum = "zero-lift" }, "(zero-lift); angle_datum is stated as chord"},
		{"Angle of attack from chord line", "angle of attack", "deg", func(b *extract.Basis) { b.AngleDatum = "zero-lift" }, func(b *extract.Basis) { b.AngleDatum = "root-chord" }, "(chord); angle_datum is stated as zero-lift"},
		{"Not corrected for tunnel-wall interference", "lift coefficient", "1", func(b *extract.Basis) { b.Walls = "corrected" }, func(b *extract.Basis) { b.Walls = "uncorrected" }, "(uncorrected); walls is stated as corrected"},
		{"Lift corrected for wall effect", "lift coefficient", "1", func(b *extract.Basis) { b.Walls = "not-stated" }, func(b *extract.Basis) { b.Walls = "corrected" }, "(corrected); walls is stated as not-stated"},
		{"For infinite aspect ratio", "drag coefficient", "1", func(b *extract.Basis) { b.Article, b.AspectRatioBasis = "wing", "as-tested" }, func(b *extract.Basis) { b.Article, b.AspectRatioBasis = "wing", "infinite" }, "(infinite); aspect_ratio_basis is stated as as-tested"},
		{"Based on net wing area", "lift coefficient", "1", func(b *extract.Basis) { b.ReferenceArea = "gross" }, func(b *extract.Basis) { b.ReferenceArea = "net" }, "(net); reference_area is stated as gross"},
		{"Area of upper wing, sq. ft.", "wing area", "sq ft", func(b *extract.Basis) { b.ReferenceArea = "all-wings" }, nil, "(one wing of several); reference_area is stated as all-wings"},
		{"Density altitude, ft.", "altitude", "ft", func(b *extract.Basis) { b.AltitudeKind = "pressure" }, func(b *extract.Basis) { b.AltitudeKind = "density" }, "(density); altitude_kind is stated as pressure"},
		{"Effective Reynolds number", "Reynolds number", "1", func(b *extract.Basis) { b.ReynoldsKind = "test" }, func(b *extract.Basis) { b.ReynoldsKind = "effective" }, "(effective); reynolds_kind is stated as test"},
		{"Correction, m.p.h., to be subtracted", "airspeed correction", "m.p.h.", func(b *extract.Basis) { b.CorrectionSign = "added" }, func(b *extract.Basis) { b.CorrectionSign = "indicated-minus-true" }, "(indicated-minus-true); correction_sign is stated as added"},
		{"-C_m", "pitching-moment coefficient", "1", func(b *extract.Basis) { b.MomentSign = "nose-up" }, func(b *extract.Basis) { b.MomentSign = "nose-down" }, "(nose-down); moment_sign is stated as nose-up"},
		{"Semi-span, ft.", "wing span", "ft", func(b *extract.Basis) {}, nil, "(the half of it); wing span is stated as the whole"},
		{"Useful load, lb.", "weight", "lb", func(b *extract.Basis) {}, nil, "(a load, not the aeroplane); weight is stated as that of the aeroplane"},
		{"Tip chord, ft.", "mean chord", "ft", func(b *extract.Basis) {}, nil, "(another chord); mean chord is stated as the mean"},
		{"Temperature above standard, deg. C", "air temperature", "deg C", func(b *extract.Basis) {}, nil, "(a difference of temperatures); temperature is stated as the air's own"},
	} {
		made := func(change func(b *extract.Basis)) *Series {
			b := full()
			change(&b)
			tb, r := grid([]extract.Column{{Key: "x", Head: tc.text, Quantity: tc.quantity, Unit: tc.unit}}, b, "1")
			return series(tb, r)
		}
		wantProblems(t, made(tc.basis), `head-says-otherwise table:x: the print says "`+tc.text+`" `+tc.says)
		if tc.twin != nil {
			wantProblems(t, made(tc.twin))
		}
	}
	for _, text := range []string{"Split flap hinged at lower surface", "Flap angle from wing chord", "Wing of 20 percent chord flap", "Angle of attack, net wing", "Air temperature"} {
		for _, field := range []string{"angle_datum", "walls", "reference_area", "aspect_ratio_basis", "temperature", "reynolds_kind"} {
			if h := hear(text, asHead); h.speaks(field) {
				t.Errorf("%q says %s of %s", text, h.said[field], field)
			}
		}
	}
}

// The letters of a caption speak for heads that have none.
func TestSystemInTheCaption(t *testing.T) {
	made := func(caption, system string) *Series {
		b := full()
		b.Coefficients = system
		tb, r := grid([]extract.Column{{Key: "x", Head: "Lift", Quantity: "lift coefficient", Unit: "1"}}, b, ".5")
		tb.Caption = caption
		return series(tb, r)
	}
	wantProblems(t, made("Lift and drag coefficients k_L and k_D", "absolute"),
		`head-says-otherwise table:x: the print says "Lift and drag coefficients k_L and k_D", a symbol of british-k, engineering-mph, engineering-fps, metric-k, metric-kmh; coefficients is stated as absolute`)
	wantProblems(t, made("Lift and drag coefficients k_L and k_D", "british-k"))
	wantProblems(t, made("Lift at 60 km per hour", "absolute"))
}

// A caption that names the kind of one column says nothing of the one beside it, whose
// head has its own; alone it contradicts it.
func TestACaptionOfTheColumnBeside(t *testing.T) {
	ias := extract.Column{Key: "x", Head: "Reading (knots I.A.S.)", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "IAS", AirspeedMeaning: "not stated"}}
	cas := extract.Column{Key: "y", Head: "Calibrated (knots C.A.S.)", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS"}}
	made := func(columns []extract.Column, row string) *Series {
		tb, r := grid(columns, full(), row)
		tb.Caption = "Readings corrected to calibrated airspeeds"
		return series(tb, r)
	}
	wantProblems(t, made([]extract.Column{ias, cas}, "60|58"))
	wantProblems(t, made([]extract.Column{ias}, "60"),
		`head-says-otherwise table:x: the print says "Readings corrected to calibrated airspeeds" (CAS) and "Reading (knots I.A.S.)" (IAS), against itself; airspeed_kind is stated as IAS`)
}
