package validate

import (
	"testing"

	"windtally/extract"
)

// rows replaces the rows of a table.
func rows(s *extract.Study, id string, list ...string) {
	s.Readings[id] = nil
	s.Registers[id] = &extract.Register{Schema: 1, TableID: id}
	for i := range list {
		s.Registers[id].Rows = append(s.Registers[id].Rows, extract.KnownRow{Key: "r" + string(rune('0'+(i+1)/10)) + string(rune('0'+(i+1)%10))})
	}
	addReading(s, table(s, id), "keyed-ab", list...)
}

// liftOnly keeps angle and lift of the wing's polar.
func liftOnly(s *extract.Study, list ...string) {
	t := table(s, polarID)
	t.Columns, t.Relations = t.Columns[:2], nil
	rows(s, polarID, list...)
}

// dragOnly makes the wing's polar lift and drag.
func dragOnly(s *extract.Study, list ...string) {
	t := table(s, polarID)
	t.Columns, t.Relations = t.Columns[1:3], nil
	rows(s, polarID, list...)
}

// asSection makes the wing a section.
func asSection(s *extract.Study) {
	t := table(s, polarID)
	t.Basis.Article, t.Basis.ReferenceArea, t.Basis.Drag = "section", "", "profile"
	s.Subjects[0].Kind, s.Subjects[0].Tables = "section", s.Subjects[0].Tables[:1]
	s.Tables = s.Tables[:1]
}

// asRotor makes the wing a rotor.
func asRotor(s *extract.Study) {
	asSection(s)
	t := table(s, polarID)
	t.Basis.Article, t.Basis.ReferenceArea, t.Basis.Drag, t.Basis.AngleDatum, t.Basis.Configuration.Flap = "rotor", "disc", "total", "disc-plane", ""
	s.Subjects[0].Kind = "rotor"
}

// stated adds a slope that is stated for the wing.
func stated(s *extract.Study, unit, text string) {
	b := wingBasis()
	addTable(s, extract.Table{ID: "t00000001", Name: "slope", Basis: b, Columns: []extract.Column{{Key: "a", Quantity: "lift-curve slope", Unit: unit}}}, "keyed-ab", text)
	s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "slope"})
}

// NACA 0012 at Re 6,000,000, 80 grit (VERIFIED-2ND, from Ladson's files):
// angle, lift and drag coefficient.
var ladson = []string{"-4.04|-0.4417|.00871", "-2.14|-.2385|.00800", "-.05|-.0126|.00809", "2.05|.2125|.00816", "4.04|.4316|.00823", "6.09|.6546|.00885",
	"8.30|.8873|.01050", "10.12|1.0707|.01201", "11.13|1.1685|.01239", "12.12|1.2605|.01332", "13.08|1.3455|.01503", "14.22|1.4365|.01625", "15.26|1.5129|.01900",
	"16.30|1.5739|.02218", "17.13|1.6116|.02560", "18.02|.9967|.18785"}

// A misprint of .6 in one lift coefficient, and a slope spoiled as a whole, against
// theory: 2 pi A/(2 + sqrt(A^2+4)) is 0.0790 per degree at A = 6 (DERIVED), 4.53 per
// radian; 2 pi is 0.10966 per degree.
func TestSlopeCheck(t *testing.T) {
	runChanges(t, []change{
		{"the section NACA 0012 as measured", wingStudy, func(s *extract.Study) {
			asSection(s)
			tb := table(s, polarID)
			tb.Columns, tb.Relations = tb.Columns[:3], nil
			rows(s, polarID, ladson...)
		}, nil},
		{"a point off the line", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.158", "-2|.001", "0|.159", "2|.616", "4|.474", "6|.632", "8|.791", "10|.948", "12|1.100", "14|1.200")
		}, []string{
			`blocking difference polar:r04:cl: .616 stands off its neighbours, which put it at 0.3165 | expected 0.3165 to within 0.0034, from the figures around it and their scatter | t0000000a/r04/cl | miss 599.00`,
			`doubt lift-curve-slope polar:r04:cl: C_L .616 at 2 deg stands off the straight part of the lift curve by 0.2997 (studentized residual 467.0) | expected 0.316, from a line through the other 5 points of polar | t0000000a/r04/alpha t0000000a/r04/cl | miss 599.33`,
		}},
		{"a point off the line by half a unit of the last figure", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.158", "-2|.001", "0|.159", "2|.317", "4|.474", "6|.632", "8|.791", "10|.948", "12|1.100", "14|1.200")
		}, nil},
		{"radians taken for degrees", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[0].Unit = "rad" }, []string{
			`blocking lift-curve-slope polar:alpha: angle of attack -4 radian is -229 deg | expected an angle between -90 and 90 deg | t0000000a/r01/alpha t0000000a/r02/alpha t0000000a/r04/alpha t0000000a/r05/alpha t0000000a/r06/alpha t0000000a/r07/alpha t0000000a/r08/alpha t0000000a/r09/alpha t0000000a/r10/alpha`,
		}},
		{"half coefficients", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.079", "-2|.000", "0|.079", "2|.158", "4|.237", "6|.316", "8|.395", "10|.474", "12|.550", "14|.600")
		}, []string{
			`blocking lift-curve-slope polar: the slope of polar, fitted over 6 points, is 2.263 per radian (0.0395 per degree), -50 % from theory | expected 4.529 per radian, from finite-wing theory at aspect ratio 6.00 with a section slope of 2 pi | t0000000a/r01/alpha t0000000a/r01/cl t0000000a/r02/alpha t0000000a/r02/cl t0000000a/r03/alpha t0000000a/r03/cl t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r06/alpha t0000000a/r06/cl t0000000b/r04/value`,
		}},
		{"15 percent below theory", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.134", "-2|.000", "0|.134", "2|.269", "4|.403", "6|.537", "8|.672", "10|.806", "12|.920", "14|1.000")
		}, []string{
			`doubt lift-curve-slope polar: the slope of polar, fitted over 6 points, is 3.846 per radian (0.0671 per degree), -15 % from theory | expected 4.529 per radian, from finite-wing theory at aspect ratio 6.00 with a section slope of 2 pi | t0000000a/r01/alpha t0000000a/r01/cl t0000000a/r02/alpha t0000000a/r02/cl t0000000a/r03/alpha t0000000a/r03/cl t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r06/alpha t0000000a/r06/cl t0000000b/r04/value | miss 170.20`,
		}},
		{"a section's slope in a wing's record", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.216", "-2|.000", "0|.216", "2|.432", "4|.648", "6|.864", "8|1.080", "10|1.296", "12|1.500", "14|1.600")
		}, []string{
			`blocking lift-curve-slope polar: the slope of polar, fitted over 6 points, is 6.188 per radian (0.1080 per degree), +37 % from theory | expected 4.529 per radian, from finite-wing theory at aspect ratio 6.00 with a section slope of 2 pi | t0000000a/r01/alpha t0000000a/r01/cl t0000000a/r02/alpha t0000000a/r02/cl t0000000a/r03/alpha t0000000a/r03/cl t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r06/alpha t0000000a/r06/cl t0000000b/r04/value`,
		}},
		{"the same, corrected to infinite aspect ratio", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.216", "-2|.000", "0|.216", "2|.432", "4|.648", "6|.864", "8|1.080", "10|1.296", "12|1.500", "14|1.600")
			table(s, polarID).Basis.AspectRatioBasis = "infinite"
		}, nil},
		{"a section with a wing's slope", wingStudy, func(s *extract.Study) {
			asSection(s)
			liftOnly(s, "-4|-.158", "-2|.000", "0|.158", "2|.316", "4|.474", "6|.632", "8|.790", "10|.948", "12|1.100", "14|1.200")
		}, []string{
			`blocking lift-curve-slope polar: the slope of polar, fitted over 6 points, is 4.526 per radian, 0.72 of 2 pi | expected 0.75 to 1.10 of 2 pi, from thin-aerofoil theory | t0000000a/r01/alpha t0000000a/r01/cl t0000000a/r02/alpha t0000000a/r02/cl t0000000a/r03/alpha t0000000a/r03/cl t0000000a/r04/alpha t0000000a/r04/cl t0000000a/r05/alpha t0000000a/r05/cl t0000000a/r06/alpha t0000000a/r06/cl`,
		}},
		{"the same numbers of a rotor", wingStudy, func(s *extract.Study) {
			asRotor(s)
			liftOnly(s, "-4|-.158", "-2|.300", "0|.158", "2|.316", "4|.474", "6|.632", "8|.790", "10|.948", "12|1.100", "14|1.200")
		}, []string{
			`blocking difference polar:r02:cl: .300 stands off its neighbours, which put it at -0.0000 | expected -0.0000 to within 0.0024, from the figures around it and their scatter | t0000000a/r02/cl | miss 600.00`,
		}},
		{"a wing of unknown aspect ratio", wingStudy, func(s *extract.Study) {
			s.Subjects[0].Tables = s.Subjects[0].Tables[:1]
			s.Tables = s.Tables[:1]
			liftOnly(s, "-4|-.134", "-2|.000", "0|.134", "2|.269", "4|.403", "6|.537", "8|.672", "10|.806", "12|.920", "14|1.000")
		}, nil},
		{"stated per degree", wingStudy, func(s *extract.Study) { stated(s, "per deg", ".079") }, nil},
		{"stated per radian", wingStudy, func(s *extract.Study) { stated(s, "per radian", "4.53") }, nil},
		{"a slope per degree declared per radian", wingStudy, func(s *extract.Study) { stated(s, "per radian", ".079") }, []string{
			`blocking coefficient-system slope: the slopes are stated per radian, and their sizes are those of a slope per degree: the stated slope, 0.079 per radian, would be 4.53; the slope of polar, 4.53 per radian fits | expected stated slope between 3.62 and 5.43; slope between 3.62 and 5.43 | t00000001/r01/a t0000000b/r04/value`,
		}},
		{"a slope per radian declared per degree", wingStudy, func(s *extract.Study) { stated(s, "per deg", "4.53") }, []string{
			`blocking coefficient-system slope: the slopes are stated per degree, and their sizes are those of a slope per radian: the stated slope, 260 per radian, would be 4.53; the slope of polar, 4.53 per radian fits | expected stated slope between 3.62 and 5.43; slope between 3.62 and 5.43 | t00000001/r01/a t0000000b/r04/value`,
		}},
		{"a misprinted slope", wingStudy, func(s *extract.Study) { stated(s, "per deg", ".097") }, []string{
			`blocking lift-curve-slope slope:r01:a: the stated slope is 5.558 per radian (0.0970 per degree), +23 % from theory | expected 4.529 per radian, from finite-wing theory at aspect ratio 6.00 with a section slope of 2 pi | t00000001/r01/a t0000000b/r04/value | miss 35.92`,
		}},
	})
}

// k = 1/(pi A e): at A = 6 and e = 0.9 it is .0589, at e = 0.4 it is .1326.
func TestPolarCheck(t *testing.T) {
	low := []string{".000|.0100", ".158|.0133", ".316|.0232", ".474|.0398", ".632|.0630", ".790|.0928", ".948|.1292", "1.200|.2010"}
	runChanges(t, []change{
		{"e of 0.9", wingStudy, func(s *extract.Study) {
			dragOnly(s, ".000|.0100", ".158|.0115", ".316|.0159", ".474|.0232", ".632|.0335", ".790|.0468", ".948|.0630", "1.200|.0949")
		}, nil},
		{"a planted point", wingStudy, func(s *extract.Study) {
			dragOnly(s, ".000|.0100", ".158|.0115", ".316|.0159", ".474|.0322", ".632|.0335", ".790|.0468", ".840|.0516", "1.200|.0949")
		}, []string{
			`blocking difference polar:r04:cd: .0322 stands off its neighbours, which put it at 0.02324 | expected 0.02324 to within 0.00022, from the figures around it and their scatter | t0000000a/r04/cd | miss 179.25`,
			`doubt drag-polar polar:r04:cd: C_D .0322 at C_L .474 stands off the polar by 0.0090 (studentized residual 233.4) | expected 0.0232, from a parabola through the other 6 points of polar | t0000000a/r04/cl t0000000a/r04/cd | miss 179.21`,
		}},
		{"e of 0.4", wingStudy, func(s *extract.Study) { dragOnly(s, low...) }, []string{
			`doubt drag-polar polar: C_D = 0.0100 (s.e. 0.0000) + 0.1327 (s.e. 0.0000) C_L^2 over 6 points of polar: span efficiency e = 0.40 | expected e between 0.50 and 1.05 at aspect ratio 6.00 | t0000000a/r01/cl t0000000a/r01/cd t0000000a/r02/cl t0000000a/r02/cd t0000000a/r03/cl t0000000a/r03/cd t0000000a/r04/cl t0000000a/r04/cd t0000000a/r05/cl t0000000a/r05/cd t0000000a/r06/cl t0000000a/r06/cd t0000000b/r04/value`,
		}},
		{"the same, walls not corrected", wingStudy, func(s *extract.Study) { dragOnly(s, low...); table(s, polarID).Basis.Walls = "uncorrected" }, nil},
		{"the same, profile drag", wingStudy, func(s *extract.Study) { dragOnly(s, low...); table(s, polarID).Basis.Drag = "profile" }, nil},
		{"the same, a biplane", wingStudy, func(s *extract.Study) { dragOnly(s, low...); table(s, polarID).Basis.ReferenceArea = "all-wings" }, nil},
		{"the same, a section", wingStudy, func(s *extract.Study) { asSection(s); dragOnly(s, low...) }, nil},
		{"the same, a rotor", wingStudy, func(s *extract.Study) { asRotor(s); dragOnly(s, low...) }, nil},
		{"e of 1.5", wingStudy, func(s *extract.Study) {
			dragOnly(s, ".000|.0100", ".158|.0109", ".316|.0135", ".474|.0179", ".632|.0241", ".790|.0321", ".948|.0418", "1.200|.0609")
		}, []string{
			`doubt drag-polar polar: C_D = 0.0100 (s.e. 0.0000) + 0.0354 (s.e. 0.0001) C_L^2 over 6 points of polar: span efficiency e = 1.50 | expected e between 0.50 and 1.05 at aspect ratio 6.00 | t0000000a/r01/cl t0000000a/r01/cd t0000000a/r02/cl t0000000a/r02/cd t0000000a/r03/cl t0000000a/r03/cd t0000000a/r04/cl t0000000a/r04/cd t0000000a/r05/cl t0000000a/r05/cd t0000000a/r06/cl t0000000a/r06/cd t0000000b/r04/value`,
		}},
		{"a drag coefficient that lost its figures", wingStudy, func(s *extract.Study) {
			dragOnly(s, ".000|.0000", ".158|.0115", ".316|.0159", ".474|.0232", ".632|.0335", ".790|.0468", ".948|.0630", "1.200|.0949")
		}, []string{
			`blocking difference polar:r01:cd: .0000 stands off its neighbours, which put it at 0.01008 | expected 0.01008 to within 0.00178, from the figures around it and their scatter | t0000000a/r01/cd | miss 201.59`,
			`blocking drag-polar polar:r01:cd: the drag coefficient .0000 is not above zero | expected a positive drag coefficient | t0000000a/r01/cd`,
		}},
		{"a negative C_D0", wingStudy, func(s *extract.Study) {
			table(s, polarID).Basis.Drag = "profile"
			dragOnly(s, ".200|.0010", ".300|.0060", ".400|.0130", ".500|.0220", ".600|.0330", ".700|.0460", "1.100|.1180")
		}, []string{
			`doubt drag-polar polar: C_D = -0.0030 (s.e. 0.0000) + 0.1000 (s.e. 0.0000) C_L^2 over 6 points of polar gives a negative C_D0 | expected C_D0 above zero | t0000000a/r01/cl t0000000a/r01/cd t0000000a/r02/cl t0000000a/r02/cd t0000000a/r03/cl t0000000a/r03/cd t0000000a/r04/cl t0000000a/r04/cd t0000000a/r05/cl t0000000a/r05/cd t0000000a/r06/cl t0000000a/r06/cd`,
		}},
	})
}

// The speed is that of 2 (W/S) / (rho C_Lmax) with W/S = 812.1 N/m2 (DERIVED):
// 28.79 m/s (55.96 knots, 64.39 mph) at 1.60 and 25.13 m/s (48.84 knots) at 2.10.
func TestStallCheck(t *testing.T) {
	noLift := func(s *extract.Study) {
		s.Subjects[0].Tables, s.Tables = s.Subjects[0].Tables[:2], s.Tables[:2]
	}
	// A light aeroplane of 2550 lb and 174 sq ft stalls with its slotted flap down at
	// 48 knots CAS, which its instrument shows as 40 (C_Lmax 1.88 from
	// CAS; 2.71 if the indicated speed is taken for CAS, DERIVED).
	light := func(s *extract.Study, kind, speed string) {
		noLift(s)
		tb := table(s, stallsID)
		tb.Basis.AirspeedKind, tb.Basis.Configuration.Flap = kind, "slotted"
		tb.Columns[1].Unit = "lb"
		rows(s, stallsID, "30|2550|"+speed)
		table(s, craftID).Rows[1].Label, table(s, craftID).Rows[1].Unit = "Wing area, sq. ft.", "sq ft"
		s.Subjects[0].Tables[0].Where = &extract.Where{Column: "label", Is: "Wing area, sq. ft."}
		set(s, craftID, "r02", "label", "Wing area, sq. ft.")
		set(s, craftID, "r02", "value", "174")
	}
	// NACA TN 604 (VERIFIED): C_Lmax 1.51 and 2.12 in the tunnel, 46.8
	// and 41.3 mph in flight. With a loading that fits flap up, flap down misses by 4.5 %.
	flight := func(s *extract.Study) {
		table(s, stallsID).Columns[2].Unit = "mph"
		rows(s, stallsID, "0|6544|46.8", "30|6544|41.3")
		rows(s, liftID, "0|1.51", "30|2.12")
		rows(s, craftID, "Span, m|10.912", "Wing area, sq. m|16.165", "Aspect ratio|7.366", "Weight, N|6544", "Wing loading, N per sq. m|404.8")
	}
	runChanges(t, []change{
		{"miles declared knots", craftStudy, func(s *extract.Study) { rows(s, stallsID, "0|13127.5|64.4", "40|13127.5|48.8") }, []string{
			`blocking stall-speed stalls:r01:speed: 64.4 knot (33.13 m/s CAS) is +15.1 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 1.21 | expected 28.79 m/s, from W/S = 812 N/m2, C_Lmax 1.60 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax | miss 168.87`,
		}},
		{"miles declared miles", craftStudy, func(s *extract.Study) {
			table(s, stallsID).Columns[2].Unit = "mph"
			rows(s, stallsID, "0|13127.5|64.4", "40|13127.5|56.2")
		}, nil},
		{"knots declared miles", craftStudy, func(s *extract.Study) { table(s, stallsID).Columns[2].Unit = "mph" }, []string{
			`blocking coefficient-system stalls:speed: the stall speeds are stated in statute mile per hour, and they fit their C_Lmax as knot: 56.0 implies C_Lmax 2.12 where 1.60 is printed; 48.8 implies C_Lmax 2.79 where 2.10 is printed | expected the implied C_Lmax that are printed, to within 8 %, as in knot | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax t0000000d/r02/speed t0000000d/r02/weight t0000000e/r02/clmax`,
		}},
		{"the weight of another condition", craftStudy, func(s *extract.Study) { rows(s, stallsID, "0|10000|56.0", "40|13127.5|48.8") }, []string{
			`blocking stall-speed stalls:r01:speed: 56.0 knot (28.81 m/s CAS) is +14.7 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 1.22 | expected 25.12 m/s, from W/S = 619 N/m2, C_Lmax 1.60 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax | miss 143.23`,
		}},
		{"7 percent too high", craftStudy, func(s *extract.Study) { rows(s, stallsID, "0|13127.5|60.0", "40|13127.5|48.8") }, []string{
			`doubt stall-speed stalls:r01:speed: 60.0 knot (30.87 m/s CAS) is +7.2 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 1.39 | expected 28.79 m/s, from W/S = 812 N/m2, C_Lmax 1.60 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax | miss 80.87`,
		}},
		{"flap labels exchanged", craftStudy, func(s *extract.Study) { rows(s, stallsID, "40|13127.5|56.0", "0|13127.5|48.8") }, []string{
			`blocking flap-effect stalls:speed: the stall speed is 56.0 with the flap lowered by 40 deg and 48.8 with it up | expected a lower speed with the flap down | t0000000d/r02/speed t0000000d/r01/speed`,
			`blocking stall-speed stalls:r01:speed: 56.0 knot (28.81 m/s CAS) is +14.7 % from the speed that C_Lmax 2.10 gives; it implies C_Lmax 1.60 | expected 25.13 m/s, from W/S = 812 N/m2, C_Lmax 2.10 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r02/clmax | miss 143.14`,
			`blocking stall-speed stalls:r02:speed: 48.8 knot (25.10 m/s CAS) is -12.8 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 2.10 | expected 28.79 m/s, from W/S = 812 N/m2, C_Lmax 1.60 and sea-level density | t0000000d/r02/speed t0000000d/r02/weight t0000000c/r02/value t0000000e/r01/clmax | miss 143.13`,
		}},
		{"flight against tunnel", craftStudy, flight, nil},
		{"two maxima of one setting, one of which fits", craftStudy, func(s *extract.Study) { rows(s, liftID, "0|1.60", "0|1.20", "40|2.10") }, []string{
			`doubt stall-speed stalls:r01:speed: 56.0 knot (28.81 m/s CAS) is -13.3 % from the speed that C_Lmax 1.20 gives; it implies C_Lmax 1.60; with C_Lmax 1.60, of the same setting, it agrees | expected 33.24 m/s, from W/S = 812 N/m2, C_Lmax 1.20 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r02/clmax | miss 172.26`,
		}},
		{"true airspeed at altitude", craftStudy, func(s *extract.Study) {
			// 10,000 ft: rho is .73848 of sea level, so TAS is 1.16367 of EAS (DERIVED).
			tb := table(s, stallsID)
			tb.Basis.AirspeedKind, tb.Basis.Altitude = "TAS", "given h"
			tb.Givens = []extract.Column{{Key: "h", Quantity: "altitude", Unit: "ft", Basis: &extract.Basis{AltitudeKind: "pressure"}}}
			rows(s, stallsID, "0|13127.5|65.1", "40|13127.5|56.8")
			addGiven(s, tb, "h", "10000")
		}, nil},
		{"true airspeed at altitude taken for calibrated", craftStudy, func(s *extract.Study) { rows(s, stallsID, "0|13127.5|65.1", "40|13127.5|56.8") }, []string{
			`blocking coefficient-system stalls:speed: the stall speeds are stated in knot, and they fit their C_Lmax as statute mile per hour: 65.1 implies C_Lmax 1.18 where 1.60 is printed; 56.8 implies C_Lmax 1.55 where 2.10 is printed | expected the implied C_Lmax that are printed, to within 8 %, as in statute mile per hour | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax t0000000d/r02/speed t0000000d/r02/weight t0000000e/r02/clmax`,
		}},
		{"true airspeed at no stated altitude", craftStudy, func(s *extract.Study) {
			table(s, stallsID).Basis.AirspeedKind = "TAS"
			rows(s, stallsID, "0|13127.5|65.1", "40|13127.5|56.8")
		}, nil},
		{"engine on", craftStudy, func(s *extract.Study) {
			table(s, stallsID).Basis.Configuration.Power = "on"
			rows(s, stallsID, "0|13127.5|45.0", "40|13127.5|40.0")
		}, nil},
		{"calibrated, no maximum stated", craftStudy, func(s *extract.Study) { light(s, "CAS", "48") }, []string{
			`note row-without-subject craft: 4 of 5 rows are in no subject's record and are not published: r01 r03 r04 r05`,
		}},
		{"indicated taken for calibrated", craftStudy, func(s *extract.Study) { light(s, "CAS", "40") }, []string{
			`note row-without-subject craft: 4 of 5 rows are in no subject's record and are not published: r01 r03 r04 r05`,
			`doubt stall-speed stalls:r01:speed: 40 knot (20.58 m/s CAS) implies C_Lmax 2.71 | expected C_Lmax between 0.5 and 2.5 with flap slotted, from W/S = 702 N/m2 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value`,
		}},
		{"no flap and more lift than any wing", craftStudy, func(s *extract.Study) {
			noLift(s)
			rows(s, stallsID, "0|13127.5|45.0")
		}, []string{
			`blocking stall-speed stalls:r01:speed: 45.0 knot (23.15 m/s CAS) implies C_Lmax 2.47 | expected C_Lmax between 0.5 and 2.0 with flap none, from W/S = 812 N/m2 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value`,
		}},
		{"hardly any lift", craftStudy, func(s *extract.Study) {
			noLift(s)
			rows(s, stallsID, "0|13127.5|110")
		}, []string{
			`blocking stall-speed stalls:r01:speed: 110 knot (56.59 m/s CAS) implies C_Lmax 0.41 | expected C_Lmax between 0.5 and 2.0 with flap none, from W/S = 812 N/m2 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value`,
		}},
		{"15 and 15.0 deg are one setting", craftStudy, func(s *extract.Study) {
			rows(s, stallsID, "15|13127.5|66.0")
			rows(s, liftID, "15.0|1.60")
		}, []string{
			`blocking stall-speed stalls:r01:speed: 66.0 knot (33.95 m/s CAS) is +17.9 % from the speed that C_Lmax 1.60 gives; it implies C_Lmax 1.15 | expected 28.79 m/s, from W/S = 812 N/m2, C_Lmax 1.60 and sea-level density | t0000000d/r01/speed t0000000d/r01/weight t0000000c/r02/value t0000000e/r01/clmax | miss 200.87`,
		}},
		{"a maximum on extended area is of no use", craftStudy, func(s *extract.Study) {
			table(s, liftID).Basis.ReferenceArea = "extended"
			rows(s, liftID, "0|1.60", "40|1.50")
		}, nil},
	})
}

// The geometry of a textbook aeroplane, b 10.912 m, S 16.165 m2.
func TestGeometryChecks(t *testing.T) {
	chord := func(s *extract.Study, text string) {
		table(s, craftID).Rows = append(table(s, craftID).Rows, extract.RowRule{Label: "Mean chord, m", Quantity: "mean chord", Unit: "m"})
		rows(s, craftID, "Span, m|10.912", "Wing area, sq. m|16.165", "Aspect ratio|7.366", "Weight, N|13127.5", "Wing loading, N per sq. m|812.1", "Mean chord, m|"+text)
	}
	runChanges(t, []change{
		{"aspect ratio 2 percent off", craftStudy, func(s *extract.Study) { set(s, craftID, "r03", "value", "7.51") }, []string{
			`doubt aspect-ratio craft:r03:value: aspect ratio 7.51 is +2.0 % from b^2/S | expected 7.366, from wing span 10.912 metre and wing area 16.165 square metre | t0000000c/r03/value t0000000c/r01/value t0000000c/r02/value | miss 28.80`,
		}},
		{"aspect ratio misprinted", craftStudy, func(s *extract.Study) { set(s, craftID, "r03", "value", "7.866") }, []string{
			`blocking aspect-ratio craft:r03:value: aspect ratio 7.866 is +6.8 % from b^2/S | expected 7.366, from wing span 10.912 metre and wing area 16.165 square metre | t0000000c/r03/value t0000000c/r01/value t0000000c/r02/value | miss 999.96`,
		}},
		{"aspect ratio rounded", craftStudy, func(s *extract.Study) { set(s, craftID, "r03", "value", "7.4") }, nil},
		{"a net area has another aspect ratio", craftStudy, func(s *extract.Study) {
			table(s, craftID).Rows[1].Basis.ReferenceArea = "net"
			set(s, craftID, "r02", "value", "14.5")
			set(s, craftID, "r05", "value", "905.3")
			s.Subjects[0].Tables = s.Subjects[0].Tables[:1]
			s.Tables = s.Tables[:1]
		}, nil},
		{"feet declared metres", craftStudy, func(s *extract.Study) { set(s, craftID, "r01", "value", "35.80") }, []string{
			`blocking aspect-ratio craft:r03:value: aspect ratio 7.366 is -90.7 % from b^2/S | expected 79.28, from wing span 35.80 metre and wing area 16.165 square metre | t0000000c/r03/value t0000000c/r01/value t0000000c/r02/value | miss 143837.75`,
		}},
		{"mean chord", craftStudy, func(s *extract.Study) { chord(s, "1.481") }, nil},
		{"mean chord misprinted", craftStudy, func(s *extract.Study) { chord(s, "1.841") }, []string{
			`blocking aspect-ratio craft:r06:value: mean chord 1.841 (1.841 in m) is +24.3 % from S/b | expected 1.481, from wing area 16.165 square metre and wing span 10.912 metre | t0000000c/r06/value t0000000c/r02/value t0000000c/r01/value | miss 719.21`,
		}},
		{"wing loading misprinted", craftStudy, func(s *extract.Study) { set(s, craftID, "r05", "value", "821.1") }, []string{
			`doubt wing-loading craft:r05:value: wing loading 821.1 (821.1 in Pa) is +1.1 % from W/S | expected 812.1, from weight 13127.5 newton and wing area 16.165 square metre | t0000000c/r05/value t0000000c/r04/value t0000000c/r02/value | miss 180.12`,
		}},
		{"wing loading of another weight", craftStudy, func(s *extract.Study) { set(s, craftID, "r05", "value", "900") }, []string{
			`blocking wing-loading craft:r05:value: wing loading 900 (900 in Pa) is +10.8 % from W/S | expected 812.1, from weight 13127.5 newton and wing area 16.165 square metre | t0000000c/r05/value t0000000c/r04/value t0000000c/r02/value | miss 175.81`,
		}},
		{"wing loading of a condition whose weight is not there", craftStudy, func(s *extract.Study) {
			table(s, craftID).Rows[4].Basis.WeightCondition = "maximum"
			set(s, craftID, "r05", "value", "900")
		}, nil},
		{"two areas that agree", craftStudy, func(s *extract.Study) {
			table(s, craftID).Rows = append(table(s, craftID).Rows, extract.RowRule{Label: "Area, sq. m", Quantity: "wing area", Unit: "sq. m", Basis: &extract.Basis{ReferenceArea: "gross"}})
			rows(s, craftID, "Span, m|10.912", "Wing area, sq. m|16.165", "Aspect ratio|7.866", "Weight, N|13127.5", "Wing loading, N per sq. m|812.1", "Area, sq. m|16.2")
		}, []string{
			`blocking aspect-ratio craft:r03:value: aspect ratio 7.866 is +6.8 % from b^2/S | expected 7.366, from wing span 10.912 metre and wing area 16.165 square metre | t0000000c/r03/value t0000000c/r01/value t0000000c/r02/value | miss 999.96`,
		}},
		{"two areas that do not", craftStudy, func(s *extract.Study) {
			table(s, craftID).Rows = append(table(s, craftID).Rows, extract.RowRule{Label: "Area, sq. m", Quantity: "wing area", Unit: "sq. m", Basis: &extract.Basis{ReferenceArea: "gross"}})
			rows(s, craftID, "Span, m|10.912", "Wing area, sq. m|16.165", "Aspect ratio|7.866", "Weight, N|13127.5", "Wing loading, N per sq. m|812.1", "Area, sq. m|17.2")
		}, nil},
	})
}

// Every bound that a check asks for stands in its list, so that the panic for one
// that does not is out of reach.
func TestEveryBoundIsThere(t *testing.T) {
	r := &Report{Study: newStudy()}
	for _, c := range []bounds{slopeBounds, polarBounds, stallBounds, aspectBounds, loadingBounds, systemBounds, powerLoadingBounds, massBounds, twinBounds, flapBounds, bankBounds} {
		for _, b := range c.list {
			if got := r.bound(c, b.Name); got != b.Value {
				t.Errorf("%s %s is %v, want %v", c.check, b.Name, got, b.Value)
			}
		}
	}
	for _, flap := range []string{"none", "plain", "split", "slotted", "area-increasing"} {
		if hard, soft := r.bound(stallBounds, "clmax-"+flap), r.bound(stallBounds, "clmax-"+flap+"-doubt"); soft >= hard {
			t.Errorf("%s: doubtful above %v, blocking above %v", flap, soft, hard)
		}
	}
	r.Study.Settings.Tolerances = []extract.Tolerance{{Check: "stall-speed", Name: "doubt", Value: "0.5"}, {Check: "stall-speed", Name: "blocking", Value: "x"}}
	if got := r.bound(stallBounds, "doubt"); got != 0.5 {
		t.Errorf("the study's own bound is 0.5, got %v", got)
	}
	if got := r.bound(stallBounds, "blocking"); got != 0.09 {
		t.Errorf("a bound that is no number leaves the check's own 0.09, got %v", got)
	}
}

// Common practice, no source.
func TestMagnitudeCheck(t *testing.T) {
	one := func(quantity, text string) func(s *extract.Study) {
		return func(s *extract.Study) {
			b := flightBasis()
			b.Weight, b.WeightCondition, b.Drag, b.Limit = "not-stated", "not-stated", "total", "limit"
			b.Configuration.Flap, b.Configuration.Deflection = "none", ""
			s.Tables = nil
			addTable(s, extract.Table{ID: "t00000001", Name: "one", Basis: b, Columns: []extract.Column{{Key: "x", Quantity: quantity, Unit: "1"}}}, "keyed-ab", text)
			s.Subjects[0].Tables = []extract.SubjectTable{{Table: "one"}}
		}
	}
	const at = " | t00000001/r01/x"
	runChanges(t, []change{
		{"a lift coefficient of a scaled column", craftStudy, one("lift coefficient", "63.2"), []string{
			"blocking magnitude one:r01:x: the lift coefficient is 63.2 | expected lift coefficient between -6 and 6" + at}},
		{"the same below", craftStudy, one("lift coefficient", "-6.01"), []string{
			"blocking magnitude one:r01:x: the lift coefficient is -6.01 | expected lift coefficient between -6 and 6" + at}},
		{"a lift coefficient", craftStudy, one("lift coefficient", "6.00"), nil},
		{"a greatest lift too small", craftStudy, one("maximum lift coefficient", ".19"), []string{
			"blocking magnitude one:r01:x: the maximum lift coefficient is 0.19 (printed .19) | expected maximum lift coefficient between 0.2 and 6" + at}},
		{"a greatest lift too large", craftStudy, one("maximum lift coefficient", "16"), []string{
			"blocking magnitude one:r01:x: the maximum lift coefficient is 16 | expected maximum lift coefficient between 0.2 and 6" + at}},
		{"a drag coefficient", craftStudy, one("drag coefficient", "115"), []string{
			"blocking magnitude one:r01:x: the drag coefficient is 115 | expected drag coefficient up to 5" + at}},
		{"an aspect ratio too small", craftStudy, one("aspect ratio", ".4"), []string{
			"blocking magnitude one:r01:x: the aspect ratio is 0.4 (printed .4) | expected aspect ratio between 0.5 and 60" + at}},
		{"an aspect ratio without its point", craftStudy, one("aspect ratio", "75"), []string{
			"blocking magnitude one:r01:x: the aspect ratio is 75 | expected aspect ratio between 0.5 and 60" + at}},
		{"a load factor", craftStudy, one("load factor in flight", "38"), []string{
			"blocking magnitude one:r01:x: the load factor in flight is 38 | expected load factor in flight between -20 and 20" + at}},
		{"a load factor that is flown", craftStudy, one("load factor in flight", "3.8"), nil},
		{"a bound of the study's own", craftStudy, func(s *extract.Study) {
			one("aspect ratio", "75")(s)
			s.Settings.Tolerances = []extract.Tolerance{{Check: "magnitude", Name: "aspect-high", Value: "80", Reason: "a sailplane"}}
		}, nil},
		{"millions taken for ones", craftStudy, func(s *extract.Study) {
			one("Reynolds number", "3.4")(s)
			table(s, "t00000001").Basis.ReynoldsKind = "test"
		}, []string{
			"doubt magnitude one:r01:x: the Reynolds number is 3.4 | expected Reynolds number of at least 10000" + at}},
		{"pounds taken for slugs", craftStudy, func(s *extract.Study) {
			one("air density", ".0765")(s)
			table(s, "t00000001").Columns[0].Unit = "slug/cu ft"
		}, []string{
			"doubt magnitude one:r01:x: the air density is 39.426 (printed .0765) | expected air density between 0.3 and 1.5" + at}},
		{"pounds", craftStudy, func(s *extract.Study) {
			one("air density", ".0765")(s)
			table(s, "t00000001").Columns[0].Unit = "lb/cu ft"
		}, nil},
		{"millions", craftStudy, func(s *extract.Study) {
			one("Reynolds number", "3.4")(s)
			table(s, "t00000001").Basis.ReynoldsKind, table(s, "t00000001").Columns[0].Unit = "test", "10*6"
		}, nil},
		{"a ratio of percent taken for one", craftStudy, func(s *extract.Study) {
			one("flap-chord ratio", "20")(s)
			table(s, "t00000001").Basis.Configuration.Flap = "split"
		}, []string{
			"doubt magnitude one:r01:x: the flap-chord ratio is 20 | expected flap-chord ratio between 0 and 1" + at}},
		{"a ratio in percent", craftStudy, func(s *extract.Study) {
			one("flap-chord ratio", "20")(s)
			table(s, "t00000001").Basis.Configuration.Flap, table(s, "t00000001").Columns[0].Unit = "split", "%"
		}, nil},
		{"a Mach number in percent", craftStudy, one("Mach number", "34"), []string{
			"doubt magnitude one:r01:x: the Mach number is 34 | expected Mach number between 0 and 5" + at}},
		{"a Mach number", craftStudy, one("Mach number", ".34"), nil},
		{"Fahrenheit taken for Celsius", craftStudy, func(s *extract.Study) {
			one("air temperature", "72")(s)
			table(s, "t00000001").Columns[0].Unit = "deg C"
		}, []string{
			"doubt magnitude one:r01:x: the air temperature is 345.15 (printed 72) | expected air temperature between 190 and 330 K" + at}},
		{"Fahrenheit", craftStudy, func(s *extract.Study) {
			one("air temperature", "72")(s)
			table(s, "t00000001").Columns[0].Unit = "deg F"
		}, nil},
		{"the drag of a rotor's disc", wingStudy, func(s *extract.Study) {
			asRotor(s)
			dragOnly(s, "0.10|6.0")
		}, nil},
		{"a column is named once", craftStudy, func(s *extract.Study) {
			one("lift coefficient", "63.2")(s)
			rows(s, "t00000001", "63.2", "1.2", "71.0")
		}, []string{
			"blocking magnitude one:r01:x: the lift coefficient is 63.2 | expected lift coefficient between -6 and 6 | t00000001/r01/x t00000001/r03/x"}},
	})
}

func TestSpoilerNeedsSixPoints(t *testing.T) {
	runChanges(t, []change{
		// Lines of slope 0.0790 per degree but for .616 at 2 deg.
		{"a line through three others proves nothing", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-2|.000", "0|.158", "2|.346", "4|.474", "14|1.200")
		}, nil},
		{"five points on one line", wingStudy, func(s *extract.Study) {
			liftOnly(s, "-4|-.160", "-2|.000", "0|.160", "2|.500", "4|.480", "6|.640", "14|1.200")
		}, []string{
			`doubt lift-curve-slope polar:r04:cl: C_L .500 at 2 deg stands off the straight part of the lift curve by 0.1800 (the other points lie on one line) | expected 0.320, from a line through the other 5 points of polar | t0000000a/r04/alpha t0000000a/r04/cl | miss 360.00`,
		}},
	})
}
