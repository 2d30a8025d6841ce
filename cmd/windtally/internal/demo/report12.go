package demo

import (
	"fmt"
	"time"

	"windtally/extract"
)

const (
	publisher = "Tarnholm Aerodynamic Laboratory (invented)"
	rights    = "Invented for the demonstration; no rights are claimed (CC0 1.0)"
)

func wingBasis() extract.Basis {
	return extract.Basis{Article: "wing", Coefficients: "absolute", ReferenceArea: "original", ReferenceChord: "original chord, 10.00 in.",
		MomentCenter: "quarter-chord point", MomentSign: "nose-up", AngleDatum: "chord", Drag: "total", Walls: "corrected", AspectRatioBasis: "as-tested",
		ReynoldsKind: "effective", Reynolds: "given reynolds"}
}

func reynoldsGiven(words string) Given {
	return Given{extract.Column{Key: "reynolds", Words: words, Quantity: "Reynolds number", Unit: "1"}, "3,400,000"}
}

func deflectionGiven(words, text string) Given {
	return Given{extract.Column{Key: "flap", Words: words, Quantity: "flap deflection", Unit: "deg"}, text}
}

// polarTable makes the table of one wing; the columns are those of keys.
func polarTable(name, number, caption, governing string, w wing, flap string, angles []float64, keys ...string) Truth {
	t := Truth{Source: "tarnholm-12", Name: name, Number: number, Caption: caption, Governing: governing, Layout: "grid", Basis: wingBasis()}
	t.Basis.Configuration = extract.Configuration{Flap: flap}
	if w.deflection > 0 {
		t.Basis.Configuration = extract.Configuration{Flap: flap, Deflection: "given flap", State: "lowered"}
	}
	all := map[string]extract.Column{
		"alpha": {Key: "alpha", Quantity: "angle of attack", Unit: "deg"},
		"cl":    {Key: "cl", Quantity: "lift coefficient", Unit: "1"},
		"cd":    {Key: "cd", Quantity: "drag coefficient", Unit: "1"},
		"ld":    {Key: "ld", Quantity: "lift-drag ratio", Unit: "1"},
		"cm":    {Key: "cm", Quantity: "pitching-moment coefficient", Unit: "1"},
	}
	for _, k := range keys {
		t.Columns = append(t.Columns, all[k])
		if k == "ld" {
			t.Relations = []string{"ld = cl / cd"}
		}
	}
	for _, a := range angles {
		var cells []string
		for _, k := range keys {
			cells = append(cells, map[string]string{
				"alpha": figure(a, 0), "cl": figure(w.lift(a), 3), "cd": figure(w.drag(a), 4),
				"ld": figure(w.lift(a)/w.drag(a), 1), "cm": figure(w.moment(a), 3)}[k])
		}
		t.Rows = append(t.Rows, Row{Cells: cells})
	}
	return t
}

// angles runs from first to last in steps, then by single degrees to end.
func angles(first, last, step, end float64) []float64 {
	var list []float64
	for a := first; a <= last; a += step {
		list = append(list, a)
	}
	for a := last + 1; a <= end; a++ {
		list = append(list, a)
	}
	return list
}

// report12 is the wind-tunnel report.
func report12() (Document, []Truth, error) {
	d := Document{File: "tarnholm-report-12.pdf", Source: "tarnholm-12", Designation: "Report No. 12",
		Title: "Wind-Tunnel Tests of a Rectangular Wing with Plain, Split, Slotted, and Area-Increasing Flaps", Authors: []string{"A. Vendel", "R. Toskamp"},
		Year: 1936, Publisher: publisher, Rights: rights, FirstPage: 41}
	s := newSheet("Times", 10.5, d.Title, "REPORT No. 12.—TARNHOLM AERODYNAMIC LABORATORY", d.FirstPage, time.Date(1936, time.March, 4, 9, 0, 0, 0, time.UTC))

	var tables []Truth
	keep := keeper(d.File, &tables)

	s.letterhead("REPORT No. 12")
	s.line("WIND-TUNNEL TESTS OF A RECTANGULAR WING WITH PLAIN,", "", 12, 16)
	s.line("SPLIT, SLOTTED, AND AREA-INCREASING FLAPS", "", 12, 24)
	s.line("By A. Vendel and R. Toskamp", "", 11, 30)
	s.heading("SUMMARY")
	s.paragraph("A rectangular wing of aspect ratio 6 was tested in the closed tunnel of the laboratory with four kinds of flap of full span and of " +
		"20 percent of the chord. The lift, the drag, and the pitching moment were measured from –4 degrees to beyond the stall. The results " +
		"are given in tables so that the designer may interpolate for any deflection within the range of the tests.")
	s.paragraph("The split flap raised the maximum lift coefficient from 1.38 to 2.16 at the cost of much drag. The slotted flap gave a little more lift for less " +
		"than half of that drag. The area-increasing flap gave the greatest lift of all, 2.72 when reckoned on the area of the wing with the flap drawn in.")
	s.heading("INTRODUCTION")
	s.paragraph("Of the devices by which an airplane may be made to fly slowly, the flap at the trailing edge is the simplest, and the kinds now in use differ " +
		"widely in what they give and in what they cost. Tests of single kinds are not wanting. They have been made, however, on wings of different section and plan form, at different " +
		"speeds, and in tunnels whose corrections are not alike, and a comparison drawn from them is seldom better than a guess.")
	s.paragraph("The present tests were made on one wing, in one tunnel, by one method. They form the first part of a series; the second part, in flight, " +
		"is described in Report No. 15 of this laboratory.")
	s.heading("APPARATUS AND METHOD")
	s.paragraph("The wing was of laminated mahogany, of constant section and without twist. Flaps of sheet brass were fixed by brackets at each deflection, the gaps being " +
		"sealed with plasticine except at the slot of the slotted flap. The deflection was measured from the position of the flap when drawn in, with the " +
		"tunnel at rest; it did not change by more than half a degree under load.")
	s.paragraph("All coefficients are absolute. They are based on the original area and the original chord of the wing, also where the area-increasing flap " +
		"was extended, and they are corrected for the influence of the tunnel walls. The angle of attack is that of the chord line. Drag is the total drag " +
		"of the wing. Moments are taken about the quarter-chord point, positive nose up. Angles were set within a tenth of a degree.")

	s.newPage()
	s.y += captionUp
	list := Truth{Source: d.Source, Name: "tarnholm-12-table-1", Number: "I", Caption: "TABLE I.—PARTICULARS OF THE WING", Layout: "list", Basis: extract.Basis{Article: "wing"},
		Columns: []extract.Column{{Key: "label", Quantity: "label"}, {Key: "value"}, {Key: "unit"}},
		Rows: []Row{
			{Cells: []string{"Span", figure(wingSpan, 2), "in."}},
			{Cells: []string{"Chord", figure(wingChord, 2), "in."}},
			{Cells: []string{"Area, flap drawn in", figure(wingSpan*wingChord, 0), "sq. in."}},
			{Cells: []string{"Aspect ratio", figure(wingAspect, 2), ""}},
			{Cells: []string{"Chord of each flap", figure(0.2*wingChord, 2), "in."}},
			{Cells: []string{"Span of each flap", figure(wingSpan, 2), "in."}},
		},
		RowRules: []extract.RowRule{
			{Label: "Span", Quantity: "wing span", Unit: "in."},
			{Label: "Chord", Quantity: "mean chord", Unit: "in."},
			{Label: "Area, flap drawn in", Quantity: "wing area", Unit: "sq. in.", Basis: &extract.Basis{ReferenceArea: "original"}},
			{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"},
			{Label: "Chord of each flap", Quantity: "flap chord", Unit: "in."},
			{Label: "Span of each flap", Quantity: "flap span", Unit: "in."},
		}}
	if err := keep(list, func(t *Truth) { s.particulars(t, 166, 190, 44, 50) }); err != nil {
		return d, nil, err
	}
	s.paragraph("The air speed was 80 miles per hour. On account of the turbulence of the stream the results hold for an effective Reynolds number higher than " +
		"that of the test; its value stands at the head of each table. Table II is for the wing with the flap drawn in.")
	s.y += 14
	two := polarTable("tarnholm-12-table-2", "II", "TABLE II.—LIFT, DRAG, AND PITCHING MOMENT OF THE WING, FLAP UP",
		"[At an effective Reynolds number of 3,400,000 after correction for the tunnel walls]", wingUp, "none", angles(-4, 14, 2, 20), "alpha", "cl", "cd", "ld", "cm")
	two.Givens = []Given{reynoldsGiven("number of * after")}
	full := []column{{width: 80, head: []string{"Angle of", "attack", "(deg.)"}}, {width: 72, head: []string{"C_L"}}, {width: 76, head: []string{"C_D"}},
		{width: 66, head: []string{"L/D"}}, {width: 80, head: []string{"C_m"}}}
	ruled := append([]column(nil), full...)
	for i := range ruled {
		ruled[i].heavy = i > 0
	}
	if err := keep(two, func(t *Truth) { s.table(t, ruled, 119) }); err != nil {
		return d, nil, err
	}
	s.heading("RESULTS WITH SPLIT FLAP")
	s.paragraph("The split flap was tested at two deflections. Table III gives the results at 30 degrees, at which the flap has about three quarters of its effect on " +
		"lift and less than half of its final drag; table IV gives those at 60 degrees, by single degrees, as the stall with this deflection is abrupt.")
	s.paragraph("The ratio of lift to drag is so far reduced that the glide may be made steep at will, which is the chief use of this flap in landing over obstacles.")

	s.newPage()
	s.y += captionUp
	three := polarTable("tarnholm-12-table-3", "III", "TABLE III.—LIFT, DRAG, AND PITCHING MOMENT OF THE WING WITH SPLIT FLAP",
		"[Flap 30 degrees down. At an effective Reynolds number of 3,400,000 after correction for the tunnel walls]", split30, "split", angles(-4, 14, 2, 19), "alpha", "cl", "cd", "ld", "cm")
	three.Givens = []Given{reynoldsGiven("number of * after"), deflectionGiven("Flap * degrees down", "30")}
	if err := keep(three, func(t *Truth) { s.table(t, full, 119) }); err != nil {
		return d, nil, err
	}
	s.paragraph("With the flap at 60 degrees the least drag that was measured is more than ten times that of the wing alone. The lift curve is displaced by more than " +
		"11 degrees, and the angle of maximum lift is lower by 2 degrees than with the flap drawn in, so that the airplane lands in a flatter attitude.")
	s.y += 14
	four := polarTable("tarnholm-12-table-4", "IV", "TABLE IV.—LIFT, DRAG, AND PITCHING MOMENT OF THE WING WITH SPLIT FLAP",
		"[Flap 60 degrees down. At an effective Reynolds number of 3,400,000 after correction for the tunnel walls]", split60, "split", angles(-4, 18, 1, 18), "alpha", "cl", "cd", "ld", "cm")
	four.Givens = []Given{reynoldsGiven("number of * after"), deflectionGiven("Flap * degrees down", "60")}
	if err := keep(four, func(t *Truth) { s.table(t, full, 119) }); err != nil {
		return d, nil, err
	}
	s.heading("RESULTS WITH SLOTTED FLAP")
	s.paragraph("The slot between wing and flap was 1.5 percent of the chord wide at each deflection. The air that flows through it keeps the flow on the flap, " +
		"and the lift continues to grow up to a deflection of about 40 degrees. Tables V and VI give lift and drag. The pitching moment was measured at a few " +
		"angles only and is not tabulated; it is more negative than with the split flap by about a quarter.")
	s.paragraph("Up to a lift coefficient of about 1.6 the drag with the slotted flap at 20 degrees is smaller than with any other flap tested. For the take-off of heavily loaded " +
		"airplanes this is of more value than the greatest lift.")
	s.paragraph("At 40 degrees the flow over the flap was watched with tufts of wool. They lay close along its upper surface up to the stall of the wing itself, " +
		"whereas on the plain flap they were unsteady from a deflection of 20 degrees on. It is believed that the difference in drag between the two is to be explained in this way.")

	s.newPage()
	s.y += captionUp
	narrow := []column{{width: 66, head: []string{"Angle of", "attack", "(deg.)"}}, {width: 70, head: []string{"C_L"}}, {width: 72, head: []string{"C_D"}}}
	five := polarTable("tarnholm-12-table-5", "V", "TABLE V.—WING WITH SLOTTED FLAP",
		"[Flap 20 degrees down. At an effective Reynolds number of 3,400,000 with wall corrections]", slotted20, "slotted", angles(-4, 14, 2, 19), "alpha", "cl", "cd")
	five.Givens = []Given{reynoldsGiven("number of * with"), deflectionGiven("Flap * degrees down", "20")}
	six := polarTable("tarnholm-12-table-6", "VI", "TABLE VI.—WING WITH SLOTTED FLAP",
		"[Flap 40 degrees down. At an effective Reynolds number of 3,400,000 with wall corrections]", slotted40, "slotted", angles(-4, 14, 2, 19), "alpha", "cl", "cd")
	six.Givens = []Given{reynoldsGiven("number of * with"), deflectionGiven("Flap * degrees down", "40")}
	level := s.y
	if err := keep(five, func(t *Truth) { s.table(t, narrow, leftMargin) }); err != nil {
		return d, nil, err
	}
	s.y = level
	if err := keep(six, func(t *Truth) { s.table(t, narrow, rightMargin-208) }); err != nil {
		return d, nil, err
	}
	s.heading("COMPARISON OF THE FLAPS")
	s.paragraph("In table VII are collected the maximum lift coefficient, the angle at which it was reached, the least drag coefficient of the test, the slope of the " +
		"straight part of the lift curve, and the angle of zero lift, which was found by extending the straight part. Table VIII gives what each flap adds, as is " +
		"convenient for the design of a wing of other plan form.")
	s.y += 14
	if err := keep(summary(), func(t *Truth) {
		s.table(t, []column{
			{width: 100, head: []string{"Flap"}, label: true}, {width: 58, head: []string{"Deflection", "(deg.)"}},
			{width: 50, head: []string{"C_Lmax"}, group: "Maximum lift"}, {width: 50, head: []string{"Angle", "(deg.)"}, group: "Maximum lift"},
			{width: 60, head: []string{"C_Dmin"}}, {width: 66, head: []string{"Slope", "(per deg.)"}, group: "Lift curve"}, {width: 66, head: []string{"Zero lift", "(deg.)"}, group: "Lift curve"},
		}, 81)
	}); err != nil {
		return d, nil, err
	}

	s.newPage()
	s.y += captionUp
	if err := keep(increments(), func(t *Truth) {
		s.table(t, []column{
			{width: 110, head: []string{"Flap"}, label: true}, {width: 70, head: []string{"Deflection", "(deg.)"}},
			{width: 76, head: []string{"Lift"}, group: "Increment at constant angle"}, {width: 76, head: []string{"Drag"}, group: "Increment at constant angle"},
			{width: 90, head: []string{"Increment of", "maximum lift"}},
		}, 95)
	}); err != nil {
		return d, nil, err
	}
	s.heading("DISCUSSION")
	s.paragraph("The plain flap loses its effect beyond a deflection of about 40 degrees: from 40 to 60 degrees the maximum lift coefficient is increased by .05 only, " +
		"while the least drag is increased by two thirds. The split flap behaves better, because the flow on the upper surface of the wing is helped by the low pressure behind the flap.")
	s.paragraph("The area-increasing flap owes most of its advantage over the slotted flap to the area itself. On the extended area its maximum lift coefficient " +
		"would be 2.34 at a deflection of 40 degrees, not far from that of the slotted flap. Whether the weight of the track is worth the gain can be decided for each design alone.")
	s.paragraph("It is to be noted that the increments in table VIII are for flaps of full span. For partial span the increment of lift may be taken as proportional " +
		"to the area in front of the flap, the error being small for flaps that begin at the middle of the wing.")
	s.heading("PRECISION")
	s.paragraph("Repeated tests agreed within .01 in the maximum lift coefficient and within .0004 in the least drag coefficient of the wing alone. With flaps the drag is " +
		"uncertain by about 2 percent. The moments are the least certain of all, for at large deflections they were disturbed by the supports.")
	s.heading("CONCLUSIONS")
	s.paragraph("1. The slotted flap gives high lift with the least drag, and is to be preferred where the take-off governs the design.")
	s.paragraph("2. The split flap is the simplest means to a steep and slow approach.")
	s.paragraph("3. The area-increasing flap gives the lowest landing speed of all.")
	s.y += 12
	s.put("TARNHOLM AERODYNAMIC LABORATORY,", "", 9, leftMargin, s.y)
	s.put("Tarnholm, 4 March 1936.", "I", 9, leftMargin+22, s.y+13)
	d.Pages = s.page
	var err error
	d.PDF, err = s.bytes()
	return d, tables, err
}

// flapsByType is in the order of the summary.
var flapsByType = []wing{wingUp, plain20, plain40, plain60, split30, split60, slotted20, slotted40, area20, area40}

func flapRules() []extract.RowRule {
	rule := func(label, flap, deflection string) extract.RowRule {
		return extract.RowRule{Label: label, Basis: &extract.Basis{Configuration: extract.Configuration{Flap: flap, Deflection: deflection}}}
	}
	return []extract.RowRule{rule("None", "none", ""), rule("Plain", "plain", "column deflection"), rule("Split", "split", "column deflection"),
		rule("Slotted", "slotted", "column deflection"), rule("Area-increasing*", "area-increasing", "column deflection")}
}

func flapLabel(w wing) string {
	if w.flap == "Area-increasing" {
		return w.flap + "*"
	}
	return w.flap
}

const areaNote = "* Coefficients based on the original area, flap drawn in."

// summary is table VII.
func summary() Truth {
	t := Truth{Source: "tarnholm-12", Name: "tarnholm-12-table-7", Number: "VII", Caption: "TABLE VII.—CHARACTERISTICS OF THE WING WITH FLAPS",
		Governing: "[At an effective Reynolds number of 3,400,000 after correction for the tunnel walls]", Layout: "grid", Basis: wingBasis(),
		Columns: []extract.Column{
			{Key: "flap", Quantity: "label"},
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"},
			{Key: "angle", Quantity: "stalling angle", Unit: "deg"},
			{Key: "cdmin", Quantity: "minimum drag coefficient", Unit: "1"},
			{Key: "slope", Quantity: "lift-curve slope", Unit: "per deg"},
			{Key: "zero", Quantity: "zero-lift angle", Unit: "deg"},
		},
		RowRules: flapRules(), Givens: []Given{reynoldsGiven("number of * after")}, Notes: []string{areaNote}}
	for _, w := range flapsByType {
		t.Rows = append(t.Rows, Row{Cells: []string{flapLabel(w), figure(w.deflection, 0), figure(w.clMax, 2), figure(w.alphaS, 0),
			figure(w.leastDrag(), 4), figure(w.slope, 4), figure(w.alpha0, 1)}})
	}
	return t
}

const constantAngle = 8.0

// increments is table VIII.
func increments() Truth {
	t := Truth{Source: "tarnholm-12", Name: "tarnholm-12-table-8", Number: "VIII", Caption: "TABLE VIII.—INCREMENTS DUE TO FLAPS",
		Governing: fmt.Sprintf("[Constant angle of attack %s degrees. At an effective Reynolds number of 3,400,000 after correction for the tunnel walls]", figure(constantAngle, 0)),
		Layout:    "grid", Basis: wingBasis(),
		Columns: []extract.Column{
			{Key: "flap", Quantity: "label"},
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "dcl", Quantity: "lift increment", Unit: "1", Basis: &extract.Basis{Increment: "constant-angle"}},
			{Key: "dcd", Quantity: "drag increment", Unit: "1", Basis: &extract.Basis{Increment: "constant-angle"}},
			{Key: "dclmax", Quantity: "lift increment", Unit: "1", Basis: &extract.Basis{Increment: "between-maxima"}},
		},
		RowRules: flapRules()[1:], Notes: []string{areaNote},
		Givens: []Given{reynoldsGiven("number of * after"),
			{extract.Column{Key: "alpha", Words: "of attack * degrees", Quantity: "angle of attack", Unit: "deg"}, figure(constantAngle, 0)}}}
	// Each row states its flap; what the rows lay over must state one too.
	t.Basis.Configuration.Flap = "not-stated"
	for _, w := range flapsByType[1:] {
		t.Rows = append(t.Rows, Row{Cells: []string{flapLabel(w), figure(w.deflection, 0), figure(w.lift(constantAngle)-wingUp.lift(constantAngle), 2),
			figure(w.drag(constantAngle)-wingUp.drag(constantAngle), 3), figure(w.clMax-wingUp.clMax, 2)}})
	}
	return t
}
