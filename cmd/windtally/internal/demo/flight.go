package demo

import (
	"math"
	"time"

	"windtally/extract"
)

const (
	casMeaning = "report: the indicated speed corrected for instrument and position errors"
	iasMeaning = "notes: the reading of the instrument in the cabin"
	notesCAS   = "notes: corrected for the errors of the instrument and of its position"
)

// report15 is the report of the flight tests.
func report15() (Document, []Truth, error) {
	d := Document{File: "tarnholm-report-15.pdf", Source: "tarnholm-15", Designation: "Report No. 15",
		Title: "Flight Tests of the Sandmark 2 Monoplane with Split Flaps", Authors: []string{"R. Toskamp", "I. Maarsund"},
		Year: 1937, Publisher: publisher, Rights: rights, FirstPage: 1, Scanned: true, printed: time.Date(1937, time.October, 18, 9, 0, 0, 0, time.UTC)}
	s := newSheet("Times", 10.5, d.Title, "REPORT No. 15.—TARNHOLM AERODYNAMIC LABORATORY", d.FirstPage, d.printed)
	var tables []Truth
	keep := keeper(d.File, &tables)

	s.letterhead("REPORT No. 15")
	s.line("FLIGHT TESTS OF THE SANDMARK 2 MONOPLANE", "", 12, 16)
	s.line("WITH SPLIT FLAPS", "", 12, 24)
	s.line("By R. Toskamp and I. Maarsund", "", 11, 30)
	s.heading("SUMMARY")
	s.paragraph("The stalling speed of a cabin monoplane with split flaps was measured in flight at five deflections of the flaps and at four weights. The flaps lowered the " +
		"stalling speed by about one sixth. The maximum lift coefficients that follow are compared with those of the tunnel.")
	s.heading("INTRODUCTION")
	s.paragraph("Report No. 12 of this laboratory gives the characteristics of a wing with flaps of several kinds in the wind tunnel. On an airplane the flaps do not reach over the " +
		"full span, the tail carries a load, and the body disturbs the flow on the middle of the wing. The present tests were made in order to learn how much of the lift that is found in " +
		"the tunnel remains on an airplane in service.")
	s.heading("THE AIRPLANE")
	s.paragraph("The Sandmark 2 is a low-wing monoplane with a closed cabin, a fixed landing gear, and one air-cooled engine. Its particulars are given in table I. The wing area includes the " +
		"part of the wing that is covered by the body. The weights are those of the airplane as weighed before the tests.")
	s.heading("METHOD")
	s.paragraph("The airplane was slowed at constant height by one mile per hour in each second until it could no longer be held level, with the engine throttled. The least steady speed " +
		"is called the stalling speed. The mean of at least six stalls is given. All tests were made between 3,000 and 5,000 feet, in the early morning, and the center of gravity lay at 26 percent of the mean chord.")
	s.paragraph("By the indicated speed is meant the reading of the service instrument. By true air speed corrected to sea level is meant the reading corrected " +
		"for the errors of the instrument and of the position of its head, which were found by towing a suspended head on a long cable. At the speeds in question the effect of compressibility is not " +
		"perceptible.")

	s.newPage()
	s.y += captionUp
	if err := keep(particulars15(), func(t *Truth) { s.particulars(t, 126, 290, 70, 0) }); err != nil {
		return d, nil, err
	}
	s.heading("RESULTS")
	s.paragraph("Table II gives the stalling speeds at the weight of the tests. Up to a deflection of 30 degrees the stall was preceded by a shaking of the tail; with flaps farther down it " +
		"came without warning, and one wing fell. The ailerons remained useful to within two miles per hour of the stall.")
	s.y += 14
	if err := keep(stallTable(), func(t *Truth) {
		s.table(t, []column{{width: 86, head: []string{"Flap", "deflection", "(deg.)"}}, {width: 90, head: []string{"Indicated"}, group: "Stalling speed (m.p.h.)"},
			{width: 90, head: []string{"Correction"}, group: "Stalling speed (m.p.h.)"}, {width: 110, head: []string{"True, corrected", "to sea level"}, group: "Stalling speed (m.p.h.)"}}, 118)
	}); err != nil {
		return d, nil, err
	}
	s.paragraph("The correction is that for position and instrument together. It is nearly independent of the deflection of the flaps, the head being carried well forward of the left wing.")
	s.paragraph("From the corrected speeds, the weight, and the wing area the maximum lift coefficients of table III were computed. They include the lift of the tail, which at " +
		"the stall was downward and equal to about 2 percent of the weight.")

	s.newPage()
	s.y += captionUp
	if err := keep(liftTable(), func(t *Truth) {
		s.table(t, []column{{width: 90, head: []string{"Flap deflection", "(deg.)"}}, {width: 90, head: []string{"C_Lmax"}}, {width: 110, head: []string{"Reynolds", "number"}}}, 161)
	}); err != nil {
		return d, nil, err
	}
	s.paragraph("With flaps up the tunnel gave 1.38 for a wing of the same section, with split flaps of full span at 60 degrees 2.16. On the airplane 1.46 and 2.05 were found. " +
		"The flaps of the airplane extend over 62 percent of the span; when this is allowed for, the agreement is as good as can be hoped for.")
	s.paragraph("The dependence on weight was tested with flaps up and with flaps fully down. The results, which are given in table IV in knots for the use of pilots, follow the square " +
		"root of the weight within the accuracy of the tests.")
	s.y += 14
	if err := keep(weightTable(), func(t *Truth) {
		s.table(t, []column{{width: 100, head: []string{"Weight", "(lb.)"}}, {width: 100, head: []string{"Flaps up"}, group: "Stalling speed (knots)"},
			{width: 100, head: []string{"Flaps down"}, group: "Stalling speed (knots)"}}, 156)
	}); err != nil {
		return d, nil, err
	}
	s.heading("CONCLUDING REMARKS")
	s.paragraph("The flaps reduced the stalling speed from 66.7 to 56.3 miles per hour at the weight of the tests. For approaches a speed of 1.3 times the " +
		"stalling speed was found comfortable by all pilots. With flaps beyond 45 degrees the glide becomes so steep that some practice is needed in judging the moment of the flare.")
	s.y += 12
	s.put("TARNHOLM AERODYNAMIC LABORATORY,", "", 9, leftMargin, s.y)
	s.put("Tarnholm, 18 October 1937.", "I", 9, leftMargin+22, s.y+13)
	d.Pages = s.page
	var err error
	d.PDF, err = s.bytes()
	return d, tables, err
}

func particulars15() Truth {
	row := func(label, value string) Row { return Row{Cells: []string{label, value}} }
	rule := func(label, quantity, unit string, b *extract.Basis) extract.RowRule {
		return extract.RowRule{Label: label, Quantity: quantity, Unit: unit, Basis: b}
	}
	return Truth{Source: "tarnholm-15", Name: "tarnholm-15-table-1", Number: "I", Caption: "TABLE I.—PARTICULARS OF THE AIRPLANE", Layout: "list",
		Basis:   extract.Basis{Article: "aeroplane"},
		Columns: []extract.Column{{Key: "label", Quantity: "label"}, {Key: "value"}},
		Rows: []Row{
			row("Span, ft.", figure(aeroplaneSpan, 2)),
			row("Wing area, sq. ft.", figure(aeroplaneArea, 1)),
			row("Aspect ratio", figure(aeroplaneSpan*aeroplaneSpan/aeroplaneArea, 2)),
			row("Mean chord, ft.", figure(aeroplaneArea/aeroplaneSpan, 2)),
			row("Span of flaps, ft.", figure(0.62*aeroplaneSpan, 1)),
			row("Weight empty, lb.", figure(emptyWeight, 0)),
			row("Gross weight, lb.", figure(grossWeight, 0)),
			row("Wing loading, lb. per sq. ft.", figure(grossWeight/aeroplaneArea, 1)),
			row("Rated power, hp.", figure(ratedPower, 0)),
			row("Power for take-off, hp.", figure(takeOffPower, 0)),
			row("Power loading, lb. per hp., rated", figure(grossWeight/ratedPower, 1)),
		},
		RowRules: []extract.RowRule{
			rule("Span, ft.", "wing span", "ft", nil),
			rule("Wing area, sq. ft.", "wing area", "sq. ft.", &extract.Basis{ReferenceArea: "gross"}),
			rule("Aspect ratio", "aspect ratio", "1", nil),
			rule("Mean chord, ft.", "mean chord", "ft", nil),
			rule("Span of flaps, ft.", "flap span", "ft", nil),
			rule("Weight empty, lb.", "weight", "lb", &extract.Basis{WeightCondition: "empty"}),
			rule("Gross weight, lb.", "weight", "lb", &extract.Basis{WeightCondition: "normal"}),
			rule("Wing loading, lb. per sq. ft.", "wing loading", "lb/sq ft", &extract.Basis{WeightCondition: "normal"}),
			rule("Rated power, hp.", "power", "hp", &extract.Basis{PowerRating: "rated"}),
			rule("Power for take-off, hp.", "power", "hp", &extract.Basis{PowerRating: "take-off"}),
			rule("Power loading, lb. per hp., rated", "power loading", "lb/hp", &extract.Basis{WeightCondition: "normal", PowerRating: "rated"}),
		}}
}

func flightBasis() extract.Basis {
	return extract.Basis{Article: "aeroplane", Stall: "minimum-speed", EntryRate: "1 mile per hour in each second", CenterOfGravity: "26 percent of the mean chord", Walls: "free-flight",
		Configuration: extract.Configuration{Flap: "split", Deflection: "column deflection", State: "lowered", Gear: "fixed", Power: "idle"}}
}

// stallTable is table II: speeds printed to a tenth, each rounded by itself.
func stallTable() Truth {
	t := Truth{Source: "tarnholm-15", Name: "tarnholm-15-table-2", Number: "II", Caption: "TABLE II.—STALLING SPEEDS, ENGINE THROTTLED",
		Governing: "[Test weight 3,980 lb. Center of gravity at 26 percent of the mean chord]", Layout: "grid", Basis: flightBasis(), Relations: []string{"cas = ias + correction"},
		Columns: []extract.Column{
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "ias", Quantity: "stall speed", Unit: "m.p.h.", Basis: &extract.Basis{AirspeedKind: "IAS", AirspeedMeaning: "report: the reading of the service instrument"}},
			{Key: "correction", Quantity: "unclassified"},
			{Key: "cas", Quantity: "stall speed", Unit: "m.p.h.", Basis: &extract.Basis{AirspeedKind: "CAS", AirspeedMeaning: casMeaning}},
		},
		Givens: []Given{{extract.Column{Key: "weight", Words: "Test weight * lb.", Quantity: "test weight", Unit: "lb"}, figure(testWeight, 0)}}}
	t.Basis.Weight, t.Basis.WeightCondition = "given weight", "test"
	for _, st := range stalls {
		mph := st.speed(testWeight) * feetPerSecondInMPH
		t.Rows = append(t.Rows, Row{Cells: []string{figure(st.deflection, 0), figure(mph-st.positionError, 1), figure(st.positionError, 1), figure(mph, 1)}})
	}
	return t
}

func liftTable() Truth {
	t := Truth{Source: "tarnholm-15", Name: "tarnholm-15-table-3", Number: "III", Caption: "TABLE III.—MAXIMUM LIFT COEFFICIENTS FROM FLIGHT", Layout: "grid", Basis: flightBasis(),
		Columns: []extract.Column{
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"},
			{Key: "reynolds", Quantity: "Reynolds number", Unit: "1"},
		}}
	t.Basis.Coefficients, t.Basis.ReferenceArea, t.Basis.ReynoldsKind, t.Basis.Reynolds = "absolute", "gross", "test", "column reynolds"
	for _, st := range stalls {
		re := st.speed(testWeight) * aeroplaneArea / aeroplaneSpan / seaLevelViscosity
		t.Rows = append(t.Rows, Row{Cells: []string{figure(st.deflection, 0), figure(st.clMax, 2), figure(math.Round(re/10000)*10000, 0)}})
	}
	return t
}

func weightTable() Truth {
	t := Truth{Source: "tarnholm-15", Name: "tarnholm-15-table-4", Number: "IV", Caption: "TABLE IV.—STALLING SPEED AND WEIGHT, ENGINE THROTTLED",
		Governing: "[True air speed corrected to sea level; flaps up and flaps 60 degrees down]", Layout: "grid", Basis: flightBasis(),
		Columns: []extract.Column{
			{Key: "weight", Quantity: "test weight", Unit: "lb"},
			{Key: "up", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{Configuration: extract.Configuration{Flap: "split", Deflection: "up"}}},
			{Key: "down", Quantity: "stall speed", Unit: "knots", Basis: &extract.Basis{Configuration: extract.Configuration{Flap: "split", Deflection: "given flap"}}},
		},
		Givens: []Given{deflectionGiven("and flaps * degrees down", "60")}}
	t.Basis.AirspeedKind, t.Basis.AirspeedMeaning, t.Basis.Weight, t.Basis.WeightCondition = "CAS", casMeaning, "column weight", "test"
	t.Basis.Configuration.Deflection = ""
	for _, w := range []float64{grossWeight, testWeight, 3700, 3400} {
		t.Rows = append(t.Rows, Row{Cells: []string{figure(w, 0), figure(stalls[0].speed(w)*feetPerSecondInKnots, 1), figure(stalls[4].speed(w)*feetPerSecondInKnots, 1)}})
	}
	return t
}

// notes is the pilot's notes, typewritten.
func notes() (Document, []Truth, error) {
	d := Document{File: "sandmark-2-pilots-notes.pdf", Source: "sandmark-notes", Designation: "Pilot's Notes No. 3", Title: "Sandmark 2: Pilot's Notes",
		Year: 1938, Publisher: publisher, Rights: rights, FirstPage: 1}
	s := newSheet("Courier", 10, d.Title, "SANDMARK 2 - PILOT'S NOTES", d.FirstPage, time.Date(1938, time.May, 2, 9, 0, 0, 0, time.UTC))
	var tables []Truth
	keep := keeper(d.File, &tables)
	s.y += 10
	s.line("TARNHOLM AERODYNAMIC LABORATORY", "B", 13, 16)
	s.line("FLIGHT SECTION", "", 11, 34)
	s.line("PILOT'S NOTES No. 3", "B", 12, 18)
	s.line("SANDMARK 2", "B", 16, 12)
	s.rule(pageWidth/2-150, pageWidth/2+150, s.y, 0.8)
	s.y += 26
	s.paragraph("1. These notes are for pilots who are already in practice on single-engined aeroplanes. They are to be read with the weight sheet " +
		"of the individual aeroplane. Nothing in them takes the place of the pilot's own judgment.")
	s.paragraph("2. Speeds marked I.A.S. are readings of the instrument in the cabin. Speeds marked C.A.S. are corrected for the errors of the " +
		"instrument and of its position. The instrument reads low by about two knots near the stall.")
	s.paragraph("3. The limitations of table 1 are not to be exceeded. The load factors are limit load factors; the structure has in addition " +
		"the usual factor of safety.")
	s.y += 16
	if err := keep(limits(), func(t *Truth) { s.particulars(t, 96, 350, 70, 0) }); err != nil {
		return d, nil, err
	}
	s.paragraph("4. The flaps are lowered by hand. About eight seconds are needed for the full travel of 60 degrees.")

	s.newPage()
	s.y += 14
	s.paragraph("5. The stalling speeds of table 2 are rounded to the nearest five knots. They hold for the engine throttled, the wings level, and " +
		"the control column brought back slowly.")
	s.y += 16
	if err := keep(stallNotes(), func(t *Truth) {
		s.table(t, []column{{width: 100, head: []string{"Flaps", "(deg.)"}}, {width: 110, head: []string{"Weight", "(lb.)"}}, {width: 130, head: []string{"Stalling speed", "(knots I.A.S.)"}}}, 136)
	}); err != nil {
		return d, nil, err
	}
	s.paragraph("6. Table 3 gives the calibrated speed for readings of the instrument near the stall, engine throttled. For speeds between its lines take a straight line.")
	s.y += 16
	if err := keep(positionErrors(), func(t *Truth) {
		s.table(t, []column{{width: 100, head: []string{"Flaps", "(deg.)"}}, {width: 120, head: []string{"Reading", "(knots I.A.S.)"}}, {width: 120, head: []string{"Calibrated", "(knots C.A.S.)"}}}, 136)
	}); err != nil {
		return d, nil, err
	}
	s.paragraph("7. CAUTION. In a turn the stalling speed is higher: in a turn with 45 degrees of bank by one fifth, with 60 degrees of bank by two fifths. " +
		"With flaps at 60 degrees the stall comes without warning and one wing falls. Do not turn steeply with flaps down.")
	s.paragraph("8. Raise the flaps in two stages after a baulked landing. The aeroplane sinks if they are raised at once.")
	s.paragraph("9. Approach at 75 knots I.A.S. with flaps up and at 65 knots I.A.S. with flaps fully down. Add five knots in gusty air.")
	d.Pages = s.page
	var err error
	d.PDF, err = s.bytes()
	return d, tables, err
}

func limits() Truth {
	row := func(label, value string) Row { return Row{Cells: []string{label, value}} }
	ias := func(b extract.Basis) *extract.Basis {
		b.AirspeedKind, b.AirspeedMeaning = "IAS", iasMeaning
		return &b
	}
	flap := func(deflection string) extract.Configuration {
		return extract.Configuration{Flap: "split", Deflection: deflection}
	}
	return Truth{Source: "sandmark-notes", Name: "sandmark-notes-table-1", Number: "1", Caption: "TABLE 1.-LIMITATIONS",
		Governing: "[Load factors at 4,150 lb. in all cases]", Layout: "list", Basis: extract.Basis{Article: "aeroplane"},
		Columns: []extract.Column{{Key: "label", Quantity: "label"}, {Key: "value"}},
		Rows: []Row{
			row("Maximum weight, lb.", figure(grossWeight, 0)),
			row("Maximum speed, dive, knots C.A.S.", "190"),
			row("Maximum speed, flaps 15 deg., knots I.A.S.", "110"),
			row("Maximum speed, flaps 60 deg., knots I.A.S.", "85"),
			row("Load factor, flaps up", "5.5"),
			row("Load factor, flaps up, inverted", "-2.5"),
			row("Load factor, flaps 60 deg.", "2.0"),
		},
		RowRules: []extract.RowRule{
			{Label: "Maximum weight, lb.", Quantity: "weight", Unit: "lb", Basis: &extract.Basis{WeightCondition: "maximum"}},
			{Label: "Maximum speed, dive, knots C.A.S.", Quantity: "limit speed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS",
				AirspeedMeaning: notesCAS, Limit: "limit"}},
			{Label: "Maximum speed, flaps 15 deg., knots I.A.S.", Quantity: "flap limit speed", Unit: "knots", Basis: ias(extract.Basis{Configuration: flap("15")})},
			{Label: "Maximum speed, flaps 60 deg., knots I.A.S.", Quantity: "flap limit speed", Unit: "knots", Basis: ias(extract.Basis{Configuration: flap("60")})},
			{Label: "Load factor, flaps up", Quantity: "positive load factor", Unit: "1", Basis: &extract.Basis{Limit: "limit", Weight: "given weight", Configuration: flap("up")}},
			{Label: "Load factor, flaps up, inverted", Quantity: "negative load factor", Unit: "1", Basis: &extract.Basis{Limit: "limit", Weight: "given weight", Configuration: flap("up")}},
			{Label: "Load factor, flaps 60 deg.", Quantity: "positive load factor", Unit: "1", Basis: &extract.Basis{Limit: "limit", Weight: "given weight", Configuration: flap("60")}},
		},
		Givens: []Given{{extract.Column{Key: "weight", Words: "factors at * lb.", Quantity: "test weight", Unit: "lb"}, figure(grossWeight, 0)}}}
}

func stallNotes() Truth {
	t := Truth{Source: "sandmark-notes", Name: "sandmark-notes-table-2", Number: "2", Caption: "TABLE 2.-STALLING SPEEDS, ENGINE THROTTLED", Layout: "grid",
		Basis: extract.Basis{Article: "aeroplane", AirspeedKind: "IAS", AirspeedMeaning: iasMeaning, Stall: "not-stated",
			Weight: "column weight", WeightCondition: "not-stated", Configuration: extract.Configuration{Flap: "split", Deflection: "column deflection", Gear: "fixed", Power: "idle"}},
		Columns: []extract.Column{
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "weight", Quantity: "test weight", Unit: "lb"},
			{Key: "ias", Quantity: "stall speed", Unit: "knots"},
		}}
	for _, st := range []stall{stalls[0], stalls[1], stalls[4]} {
		for _, w := range []float64{grossWeight, 3600, 3000} {
			knots := (st.speed(w)*feetPerSecondInMPH - st.positionError) / feetPerSecondInMPH * feetPerSecondInKnots
			t.Rows = append(t.Rows, Row{Cells: []string{figure(st.deflection, 0), figure(w, 0), figure(5*math.Round(knots/5), 0)}})
		}
	}
	return t
}

// positionErrors is the table by which the stalling speeds of the notes are calibrated:
// the instrument reads two knots low near the stall, and one above it.
func positionErrors() Truth {
	t := Truth{Source: "sandmark-notes", Name: "sandmark-notes-table-3", Number: "3", Caption: "TABLE 3.-CALIBRATED SPEEDS, ENGINE THROTTLED", Layout: "grid",
		Basis: extract.Basis{Article: "aeroplane", AirspeedKind: "IAS", AirspeedMeaning: iasMeaning,
			Configuration: extract.Configuration{Flap: "split", Deflection: "column deflection", Gear: "fixed", Power: "idle"}},
		Columns: []extract.Column{
			{Key: "deflection", Quantity: "flap deflection", Unit: "deg"},
			{Key: "ias", Quantity: "airspeed", Unit: "knots"},
			{Key: "cas", Quantity: "airspeed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS", AirspeedMeaning: notesCAS}},
		}}
	for i, st := range []stall{stalls[0], stalls[1], stalls[4]} {
		low := 44 - 5*float64(i) // below the slowest stall
		for _, v := range []struct{ ias, error float64 }{{low, 2}, {low + 19, 2}, {low + 43, 1}} {
			t.Rows = append(t.Rows, Row{Cells: []string{figure(st.deflection, 0), figure(v.ias, 0), figure(v.ias+v.error, 0)}})
		}
	}
	return t
}
