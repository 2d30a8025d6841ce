package validate

import "windtally/extract"

var trapList = []trap{
	// 2.4: speeds
	{"mph declared knots, two settings", flown("", "knots", nil, "61.0", "52.9"), []string{
		`blocking coefficient-system stalls:speed: the stall speeds are stated in knot, and they fit their C_Lmax as statute mile per hour: 61.0 implies C_Lmax 1.17 where 1.546 is printed; 52.9 implies C_Lmax 1.55 where 2.052 is printed`,
	}, flown("", "mph", nil, "61.0", "52.9")},
	{"mph declared knots, one setting", flown("", "knots", nil, "61.0"), []string{
		`blocking stall-speed stalls:r001:speed: 61.0 knot (31.38 m/s CAS) is +15.1 % from the speed that C_Lmax 1.546 gives; it implies C_Lmax 1.17`,
	}, flown("", "mph", nil, "61.0")},
	{"mph declared knots, the head says so", flown("Stalling speed, m.p.h.", "knots", nil, "53", "46"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "m.p.h." in "Stalling speed, m.p.h.", which is statute mile per hour; the unit is stated as knot`,
	}, flown("Stalling speed, knots", "knots", nil, "53", "46")},
	{"knots declared mph, two settings", flown("", "mph", nil, "53", "46"), []string{
		`blocking coefficient-system stalls:speed: the stall speeds are stated in statute mile per hour, and they fit their C_Lmax as knot: 53 implies C_Lmax 2.05 where 1.546 is printed; 46 implies C_Lmax 2.72 where 2.052 is printed`,
	}, flown("", "knots", nil, "53", "46")},
	{"knots declared mph, one setting", flown("", "mph", nil, "53"), []string{
		`blocking stall-speed stalls:r001:speed: 53 statute mile per hour (23.69 m/s CAS) is -13.1 % from the speed that C_Lmax 1.546 gives; it implies C_Lmax 2.05`,
	}, flown("", "knots", nil, "53")},
	{"km/h declared mph", flown("", "mph", nil, "98.2", "85.2"), []string{
		`blocking coefficient-system stalls:speed: the stall speeds are stated in statute mile per hour, and they fit their C_Lmax as kilometre per hour: 98.2 implies C_Lmax 0.60 where 1.546 is printed; 85.2 implies C_Lmax 0.79 where 2.052 is printed`,
	}, flown("", "km/h", nil, "98.2", "85.2")},
	{"mph declared km/h", flown("", "km/h", nil, "61.0", "52.9"), []string{
		`blocking coefficient-system stalls:speed: the stall speeds are stated in kilometre per hour, and they fit their C_Lmax as statute mile per hour: 61.0 implies C_Lmax 4.00 where 1.546 is printed; 52.9 implies C_Lmax 5.32 where 2.052 is printed`,
	}, flown("", "mph", nil, "61.0", "52.9")},
	{"a German report in km/h declared mph", flown("Stalling speed, km/h", "mph", nil, "61.0", "52.9"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "km/h" in "Stalling speed, km/h", which is kilometre per hour; the unit is stated as statute mile per hour`,
	}, flown("Stalling speed, km/h", "km/h", nil, "98.2", "85.2")},
	{"knots per hour as a unit", flown("", "knots per hour", nil, "53", "46"), []string{
		`blocking unit stalls:speed: unit of stall speed: unit "knots per hour" is ambiguous: a knot is a nautical mile per hour already; write "knots" if a speed is meant`,
	}, flown("", "knots", nil, "53", "46")},
	{"knots per hour in a head, declared mph", flown("Stalling speed, knots per hour", "mph", nil, "61.0", "52.9"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "knots per hour" in "Stalling speed, knots per hour": a knot is a nautical mile per hour already; write "knots" if a speed is meant; the unit is stated as statute mile per hour`,
	}, flown("Stalling speed, knots per hour", "knots", nil, "53", "46")},
	{"knots an hour in a head, declared mph", flown("Stalling speed, knots an hour", "mph", nil, "61.0", "52.9"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "knots an hour" in "Stalling speed, knots an hour": a knot is a nautical mile per hour already; write "knots" if a speed is meant; the unit is stated as statute mile per hour`,
	}, flown("Stalling speed, knots an hour", "knots", nil, "53", "46")},
	{"a British speed in mph A.S.I. declared calibrated", flown("Stalling speed, m.p.h. A.S.I.", "mph", nil, "61.0", "52.9"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "Stalling speed, m.p.h. A.S.I." (IAS); airspeed_kind is stated as CAS, and no airspeed_meaning says so`,
	},
		flown("Stalling speed, m.p.h. A.S.I.", "mph", kind("IAS", "reading of the instrument"), "61.0", "52.9")},
	{"mph A.S.I. as a unit", flown("", "mph ASI", nil, "61.0", "52.9"), []string{
		`blocking unit stalls:speed: unit of stall speed: unit "mph ASI" holds more than a unit: "ASI" is a kind of airspeed; write the unit alone, "mph", and state the other where the table says what its figures mean`,
	}, flown("", "mph", kind("IAS", "reading of the instrument"), "61.0", "52.9")},
	{"one speed in two columns, both declared mph", of("aeroplane", stallsInTwo("mph", "mph")), []string{
		`blocking two-units stalls:speed and again: the stall speed is printed twice and is not one value: 61.0 in statute mile per hour and 53.0 in statute mile per hour, a ratio of 0.8689; it would be one with the second in knot`,
	}, of("aeroplane", stallsInTwo("mph", "knots"))},

	// 2.4: powers
	{"metric hp declared hp, the head says PS", powers(particular{"Rated power, PS", "power", "hp", "233", rated}), []string{
		`blocking head-says-otherwise craft:r003:value: the print says "PS" in "Rated power, PS", which is metric horsepower; the unit is stated as horsepower`,
	},
		powers(particular{"Rated power, hp", "power", "hp", "230", rated})},
	{"horsepower (metric) declared hp", metricList("Rated power, horsepower (metric)", "[HP]", "233"), []string{
		`blocking head-says-otherwise craft:r003:value: the print says "metric hp" in "Rated power, horsepower (metric)", which is metric horsepower; the unit is stated as horsepower`,
	}, metricList("Rated power, horsepower (metric)", "PS", "233")},
	{"hp in a report whose other figures are metric", metricList("Rated power, hp", "hp", "233"), []string{
		`doubt horsepower craft:r003:value: the power is stated in hp (550 ft lbf/s), and all other figures of report-12 are in metric units (wing span, weight)`,
	}, metricList("Rated power, hp", "[HP]", "233")},
	{"metric hp in a report whose other figures are British", powers(particular{"Rated power", "power", "CV", "233", rated}), []string{
		`doubt horsepower craft:r003:value: the power is stated in metric horsepower, and all other figures of report-12 are in British units (wing span, weight)`,
	}, powers(particular{"Rated power", "power", "hp", "230", rated})},
	{"power in two columns, both declared hp", of("aeroplane", powersInTwo("hp", "hp")), []string{
		`blocking two-units engine:a and b: the power is printed twice and is not one value: 230 in horsepower and 233.2 in horsepower, a ratio of 1.0139; it would be one with the second in metric horsepower`,
	}, of("aeroplane", powersInTwo("hp", "PS"))},
	{"power in two columns, the units exchanged", of("aeroplane", powersInTwo("PS", "hp")), []string{
		`blocking two-units engine:a and b: the power is printed twice and is not one value: 230 in metric horsepower and 233.2 in horsepower, a ratio of 1.0280; it would be one with the two units exchanged`,
	}, of("aeroplane", powersInTwo("hp", "PS"))},
	{"power twice in a list, both declared hp", powers(particular{"Power, hp", "power", "hp", "230.0", rated}, particular{"Power", "power", "hp", "233.2", rated}), []string{
		`doubt two-units craft:r003 and r004: the power is printed twice and is not one value: 230.0 in horsepower and 233.2 in horsepower, a ratio of 1.0139; it would be one with the second in metric horsepower`,
	},
		powers(particular{"Power, hp", "power", "hp", "230.0", rated}, particular{"Power", "power", "PS", "233.2", rated})},
	{"metric hp declared hp, by the power loading", powers(particular{"Power", "power", "hp", "233.2", rated}, particular{"Power loading, lb. per hp", "power loading", "lb/hp", "10.00", with(normal, rated)}), []string{
		`doubt power-loading craft:r004:value: power loading 10.00 (0.05965 in N/W) is +1.4 % from W/P`,
	},
		powers(particular{"Power", "power", "hp", "230.0", rated}, particular{"Power loading, lb. per hp", "power loading", "lb/hp", "10.00", with(normal, rated)})},
	{"take-off power declared rated, the head says so", powers(particular{"Take-off hp", "power", "hp", "240", rated}), []string{
		`blocking head-says-otherwise craft:r003:value: the print says "Take-off hp" (take-off); power_rating is stated as rated`,
	}, powers(particular{"Take-off hp", "power", "hp", "240", takeOff})},
	{"take-off power in the power loading at rated power", powers(particular{"Power", "power", "hp", "250.0", rated}, particular{"Power loading, lb. per hp", "power loading", "lb/hp", "10.00", with(normal, rated)}), []string{
		`blocking power-loading craft:r004:value: power loading 10.00 (0.05965 in N/W) is +8.7 % from W/P`,
	},
		powers(particular{"Take-off power", "power", "hp", "250.0", takeOff}, particular{"Power", "power", "hp", "230.0", rated}, particular{"Power loading, lb. per hp", "power loading", "lb/hp", "10.00", with(normal, rated)})},
	{"take-off and continuous power mixed in one column", graded(takeOff, "", nil, "Take-off|240", "Max. continuous|210"), []string{
		`blocking head-says-otherwise engine:power: the print says "Max. continuous" (continuous); power_rating is stated as take-off`,
	},
		graded(extract.Basis{}, "", []extract.RowRule{{Label: "Take-off", Basis: &takeOff}, {Label: "Max. continuous", Basis: &extract.Basis{PowerRating: "continuous"}}}, "Take-off|240", "Max. continuous|210")},
	{"rated power declared take-off, the caption says so", graded(takeOff, "Normal rated power at altitude", nil, "Sea level|240", "At 5,000|230"), []string{
		`blocking head-says-otherwise engine:power: the print says "Normal rated power at altitude" (rated); power_rating is stated as take-off`,
	}, graded(rated, "Normal rated power at altitude", nil, "Sea level|240", "At 5,000|230")},

	// 2.4: weights
	{"kg declared newton", weights("", "N", "1200", "", "", ""), []string{
		`blocking wing-loading craft:r003:value: wing loading 75.0 (735.5 in Pa) is +880.7 % from W/S`,
	}, weights("", "kg", "1200", "", "", "")},
	{"kg declared lb, the head says so", weights("Weight, kg", "lb", "1200", "", "", ""), []string{
		`blocking head-says-otherwise craft:r002:value: the print says "kg" in "Weight, kg", which is kilogram-force; the unit is stated as pound-force`,
		`blocking wing-loading craft:r003:value: wing loading 75.0 (735.5 in Pa) is +120.5 % from W/S`,
	}, weights("Weight, kg", "kg", "1200", "", "", "")},
	{"mass in W/g declared kg", weights("", "kg", "1200", "mass", "kg", "122.4"), []string{
		`blocking mass craft:r004:value: mass 122.4 (122.4 in kg) is -89.8 % from W/g`,
	}, weights("", "kg", "1200", "mass", "kg", "1200")},
	{"mass in slugs declared lb", weights("", "lb", "2646", "mass", "lb", "82.2"), []string{
		`blocking mass craft:r004:value: mass 82.2 (37.29 in kg) is -96.9 % from W/g`,
	}, weights("", "lb", "2646", "mass", "slug", "82.2")},
	{"weight declared as mass in slugs", weights("", "lb", "2646", "mass", "slug", "2646"), []string{
		`blocking mass craft:r004:value: mass 2646 (3.862e+04 in kg) is +3117.4 % from W/g`,
	}, weights("", "lb", "2646", "mass", "lb", "2646")},
	{"tons as a unit", weights("", "tons", "1.18", "", "", ""), []string{
		`blocking unit craft:r002:value: unit of weight (head "Weight"): unit "tons" is ambiguous: long (2240 lb), short (2000 lb) or metric? write "long ton", "short ton" or "metric ton"`,
	}, weights("", "metric tons", "1.20", "", "", "")},
	{"tons in a head, declared lb", weights("Weight, tons", "lb", "2646", "", "", ""), []string{
		`blocking head-says-otherwise craft:r002:value: the print says "tons" in "Weight, tons": long (2240 lb), short (2000 lb) or metric? write "long ton", "short ton" or "metric ton"; the unit is stated as pound-force`,
	}, weights("Weight, tons", "long tons", "1.181", "", "", "")},
	{"short tons declared long", weights("", "long tons", "1.323", "", "", ""), []string{
		`blocking wing-loading craft:r003:value: wing loading 75.0 (735.5 in Pa) is -10.7 % from W/S`,
	}, weights("", "short tons", "1.323", "", "", "")},
	{"stalls at the weight of the test, named the maximum weight", stallsAt(maximum, "test", ""), []string{
		`blocking head-says-otherwise stalls:speed: weight_condition is stated as test, and the weight (given weight) is stated as the maximum weight`,
	}, stallsAt(maximum, "maximum", "")},
	{"stalls at the weight of the test, the caption says maximum weight", stallsAt(extract.Basis{WeightCondition: "test"}, "test", "Stalling speeds at maximum gross weight"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "Stalling speeds at maximum gross weight" (maximum); weight_condition is stated as test`,
		`blocking head-says-otherwise stalls:weight: the print says "Stalling speeds at maximum gross weight" (maximum); weight_condition is stated as test`,
	},
		stallsAt(maximum, "maximum", "Stalling speeds at maximum gross weight")},
	{"the maximum weight for stalls flown at another", stallsOf("3000"), []string{
		`doubt stall-speed stalls:r001:speed: 53 knot (27.27 m/s CAS) is -7.8 % from the speed that C_Lmax 1.546 gives; it implies C_Lmax 1.82`,
		`doubt stall-speed stalls:r002:speed: 46 knot (23.66 m/s CAS) is -7.8 % from the speed that C_Lmax 2.052 gives; it implies C_Lmax 2.41`,
	}, stallsOf("2550")},

	// 1.2, 1.3: magnitudes
	{"k_L declared absolute", polar(.5, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of british-k: the greatest lift coefficient 0.600000 would be 1.2; the slope of polar, 2.26 per radian, would be 4.53; the span efficiency of polar, 0.45, would be 0.901`,
	}, polar(.5, 1, inUnits("british-k", ""))},
	{"absolute declared k_L", polar(1, 1, inUnits("british-k", "")), []string{
		`blocking coefficient-system polar: the coefficients are stated as british-k, and their sizes are those of absolute: the greatest lift coefficient 1.200000, which is 2.4 as stated, would be 1.2; the slope of polar, 9.05 per radian, would be 4.53; the span efficiency of polar, 1.8, would be 0.901`,
	}, polar(1, 1, nil)},
	{"100 c_a declared absolute", polar(100, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of hundredfold or percent: the greatest lift coefficient 120.000000 would be 1.2; the slope of polar, 453 per radian, would be 4.53; the span efficiency of polar, 90.1, would be 0.901`,
	}, polar(100, 1, inUnits("hundredfold", ""))},
	{"percent declared fraction", polar(100, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of hundredfold or percent: the greatest lift coefficient 120.000000 would be 1.2; the slope of polar, 453 per radian, would be 4.53; the span efficiency of polar, 90.1, would be 0.901`,
	}, polar(100, 1, func(t *extract.Table) { t.Columns[1].Unit, t.Columns[2].Unit = "%", "%" })},
	{"fractions declared percent", polar(1, 1, func(t *extract.Table) { t.Columns[1].Unit, t.Columns[2].Unit = "%", "%" }), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute in percent, and their sizes are those of fractions and not percent: the greatest lift coefficient 1.200000, which is 0.012 as stated, would be 1.2; the slope of polar, 0.0453 per radian, would be 4.53; the span efficiency of polar, 0.00901, would be 0.901`,
	}, polar(1, 1, nil)},
	{"K per (mph)^2 declared absolute", polar(1/390.98068, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of engineering-mph: the greatest lift coefficient 0.003069 would be 1.2; the slope of polar, 0.0116 per radian, would be 4.53; the span efficiency of polar, 0.0023, would be 0.901`,
	}, polar(1/390.98068, 1, inUnits("engineering-mph", "standard-period"))},
	{"K per (ft/s)^2 declared per (mph)^2", polar(1/841.04289, 1, inUnits("engineering-mph", "standard-period")), []string{
		`blocking coefficient-system polar: the coefficients are stated as engineering-mph, and their sizes are those of engineering-fps: the greatest lift coefficient 0.001427, which is 0.558 as stated, would be 1.2; the slope of polar, 2.1 per radian, would be 4.53; the span efficiency of polar, 0.419, would be 0.901`,
	}, polar(1/841.04289, 1, inUnits("engineering-fps", "standard-period"))},
	{"metric K per (m/s)^2 declared absolute", polar(1/16.003841, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of metric-k: the greatest lift coefficient 0.074982 would be 1.2; the slope of polar, 0.283 per radian, would be 4.53; the span efficiency of polar, 0.0563, would be 0.901`,
	}, polar(1/16.003841, 1, inUnits("metric-k", "standard-period"))},
	{"metric K per (km/h)^2 declared absolute", polar(1/207.40978, 1, nil), []string{
		`blocking coefficient-system polar: the coefficients are stated as absolute, and their sizes are those of metric-kmh: the greatest lift coefficient 0.005786 would be 1.2; the slope of polar, 0.0218 per radian, would be 4.53; the span efficiency of polar, 0.00434, would be 0.901`,
	}, polar(1/207.40978, 1, inUnits("metric-kmh", "standard-period"))},
	{"metric K per (km/h)^2 declared per (m/s)^2", polar(1/207.40978, 1, inUnits("metric-k", "standard-period")), []string{
		`blocking coefficient-system polar: the coefficients are stated as metric-k, and their sizes are those of metric-kmh: the greatest lift coefficient 0.005786, which is 0.0926 as stated, would be 1.2; the slope of polar, 0.349 per radian, would be 4.53; the span efficiency of polar, 0.0695, would be 0.901`,
	}, polar(1/207.40978, 1, inUnits("metric-kmh", "standard-period"))},
	{"metric K per (m/s)^2 declared per (km/h)^2", polar(1/16.003841, 1, inUnits("metric-kmh", "standard-period")), []string{
		`blocking coefficient-system polar: the coefficients are stated as metric-kmh, and their sizes are those of metric-k: the greatest lift coefficient 0.074982, which is 15.6 as stated, would be 1.2; the slope of polar, 58.7 per radian, would be 4.53; the span efficiency of polar, 11.7, would be 0.901`,
	}, polar(1/16.003841, 1, inUnits("metric-k", "standard-period"))},
	{"a slope per degree declared per radian", slopeAndMaximum("per radian", ".0790", "1.30"), []string{
		`blocking coefficient-system list: the slopes are stated per radian, and their sizes are those of a slope per degree: the maximum lift coefficient 1.30 fits; the stated slope, 0.079 per radian, would be 4.53`,
	}, slopeAndMaximum("per deg", ".0790", "1.30")},
	{"a slope per radian declared per degree", slopeAndMaximum("per deg", "4.53", "1.30"), []string{
		`blocking coefficient-system list: the slopes are stated per degree, and their sizes are those of a slope per radian: the maximum lift coefficient 1.30 fits; the stated slope, 260 per radian, would be 4.53`,
	}, slopeAndMaximum("per radian", "4.53", "1.30")},
	{"a slope per degree of a k_L curve declared absolute", slopeAndMaximum("per deg", ".0395", ".65"), []string{
		`blocking coefficient-system list: the coefficients are stated as absolute, and their sizes are those of british-k: the maximum lift coefficient .65 would be 1.3; the stated slope, 2.26 per radian, would be 4.53`,
	}, slopeAndMaximum("per deg", ".0790", ".65")},
	{"radians declared degrees", polar(1, .0174533, nil), []string{
		`blocking coefficient-system polar: the angles are stated in degrees, and their sizes are those of angles in radians: the greatest lift coefficient 1.200000 fits; the slope of polar, 259 per radian, would be 4.51; the span efficiency of polar, 0.901 fits`,
	}, polar(1, .0174533, func(t *extract.Table) { t.Columns[0].Unit = "rad" })},

	// 5.3: live specimens
	{"S2: a temperature is no quantity here", oneColumn(extract.Column{Quantity: "temperature", Unit: "deg C"}, nil, "-25.96"), []string{
		`blocking meaning-missing table:x: the quantity "temperature" is not in the list`,
	}, oneColumn(extract.Column{Quantity: "aspect ratio", Unit: "1"}, nil, "6.00")},
	{"S3: a bank in radians declared degrees", turns("deg", ".524|1.155", ".785|1.414", "1.047|2.000"), []string{
		`blocking bank turns:bank: the banks are stated in degree, and the load factors fit them in radians: a bank of 1.047 has the load factor 2.000`,
	}, turns("rad", ".524|1.155", ".785|1.414", "1.047|2.000")},
	{"S3: a bank in degrees declared radians", turns("rad", "30|1.155", "45|1.414", "60|2.000"), []string{
		`blocking bank turns:bank: the banks are stated in radian, and the load factors fit them in degrees: a bank of 60 has the load factor 2.000`,
		`doubt magnitude turns:r001:bank: the bank angle is 1718.87 (printed 30)`,
	}, turns("deg", "30|1.155", "45|1.414", "60|2.000")},
	{"S4: one wrong row in a computed table", turns("deg", "0|1.0", "10|1.015", "30|1.154", "45|1.414", "60|2.000", "70|2.923", "80|5.747", "85|11.473"), []string{
		`doubt bank turns:r007:n: the load factor 5.747 at a bank of 80 does not fit 1/cos(phi), and 7 of the 8 rows fit to the last digit`,
	},
		turns("deg", "0|1.0", "10|1.015", "30|1.154", "45|1.414", "60|2.000", "70|2.923", "80|5.758", "85|11.473")},
	{"S5: flap labels exchanged over stall speeds", flown("", "knots", nil, "46", "53"), []string{
		`blocking flap-effect stalls:speed: the stall speed is 53 with the flap lowered by 40 deg and 46 with it up`,
		`blocking stall-speed stalls:r001:speed: 46 knot (23.66 m/s CAS) is -13.2 % from the speed that C_Lmax 1.546 gives; it implies C_Lmax 2.05`,
		`blocking stall-speed stalls:r002:speed: 53 knot (27.27 m/s CAS) is +15.2 % from the speed that C_Lmax 2.052 gives; it implies C_Lmax 1.55`,
	}, flown("", "knots", nil, "53", "46")},
	{"S5: flap labels exchanged over maxima", of("aeroplane", maxima("3.48", "1.52")), []string{
		`blocking flap-effect maxima:clmax: C_Lmax is 1.52 with the flap lowered by 40 deg and 3.48 with it up`,
	}, of("aeroplane", maxima("1.52", "3.48"))},
	{"S9: an indicated speed taken for calibrated", of("aeroplane", particulars("craft", particular{"Wing area, sq. ft.", "wing area", "sq ft", "174", gross}), stallDown("40")), []string{
		`doubt stall-speed stalls:r001:speed: 40 knot (20.58 m/s CAS) implies C_Lmax 2.71`,
	},
		of("aeroplane", particulars("craft", particular{"Wing area, sq. ft.", "wing area", "sq ft", "174", gross}), stallDown("48"))},
	{"S11: the caption says CAS, the column is indicated", speedLimits("Airspeed limits (CAS)", "Speed, m.p.h.", "IAS", "182"), []string{
		`blocking head-says-otherwise limits:speed: the print says "Airspeed limits (CAS)" (CAS); airspeed_kind is stated as IAS`,
	}, speedLimits("Airspeed limits (CAS)", "Speed, m.p.h.", "CAS", "182")},
	{"S11: the caption says CAS, the head IAS", speedLimits("Airspeed limits (CAS)", "Speed, m.p.h. IAS", "IAS", "182"), []string{
		`blocking head-says-otherwise limits:speed: the print says "Airspeed limits (CAS)" (CAS) and "Speed, m.p.h. IAS" (IAS), against itself; airspeed_kind is stated as IAS`,
	}, speedLimits("Airspeed limits (CAS and IAS)", "Speed, m.p.h. IAS", "IAS", "182")},
	{"S11: the caption says CAS, and of two columns one is indicated", speedPair("Airspeed limits (CAS)", "Speed, m.p.h. IAS", "Speed, m.p.h."), []string{
		`blocking head-says-otherwise limits:ias: the print says "Airspeed limits (CAS)" (CAS) and "Speed, m.p.h. IAS" (IAS), against itself; airspeed_kind is stated as IAS`,
	}, speedPair("Airspeed limits (CAS)", "Speed, m.p.h. IAS", "Speed, m.p.h. CAS")},
	{"S11: one line with both", speedLimits("Airspeed limits (CAS)", "Speed, m.p.h.", "CAS", "IAS 110 / CAS 112"), []string{
		`blocking not-a-number limits:r001:speed: "IAS 110 / CAS 112" is not a number: letter I where a figure should be`,
	}, speedLimits("Airspeed limits (CAS)", "Speed, m.p.h.", "CAS", "112")},

	// Read off trials by hand: what a curator or a report gets wrong.
	{"revolutions in a column of speeds", flown("R.P.M.", "m.p.h.", nil, "61.0", "52.9"), []string{
		`blocking head-says-otherwise stalls:speed: the print says "R.P.M." in "R.P.M.", a unit of angular speed; the quantity is stated as stall speed, which is one of speed`,
	}, flown("M.P.H.", "m.p.h.", nil, "61.0", "52.9")},
	{"a lost point in a net area", otherArea("173.5", "15.00"), []string{
		`doubt areas craft:r002:value: the net wing area is 1.394 m2 (printed 15.00), and the gross one 16.12 m2 (printed 173.5)`,
		`blocking magnitude maxima:r001:clmax: the maximum lift coefficient that is derived from 1.546 is 17.8821`,
	}, otherArea("173.5", "150.0")},
	{"net and gross exchanged", otherArea("150.0", "173.5"), []string{
		`doubt areas craft:r002:value: the net wing area is 16.12 m2 (printed 173.5), and the gross one 13.94 m2 (printed 150.0)`,
	}, otherArea("173.5", "150.0")},

	// Bad input
	{"a unit that does not fit its quantity", oneColumn(extract.Column{Head: "Aspect ratio", Quantity: "aspect ratio", Unit: "ft"}, nil, "6.00"), []string{
		`blocking unit table:x: unit of aspect ratio (head "Aspect ratio"): unit "ft" is foot (length), but a unit of dimensionless is wanted, such as one, percent, thousandth`,
	}, oneColumn(extract.Column{Head: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"}, nil, "6.00")},
	{"two units in one head", flown("Stalling speed, m.p.h. (knots)", "knots", nil, "53", "46"), []string{
		`blocking head-says-otherwise stalls:speed: the print names two units in "Stalling speed, m.p.h. (knots)": "knots" (knot) and "m.p.h." (statute mile per hour); the unit is stated as knot: a column has one unit, so write a column for each, or confirm if all figures are in the stated one`,
	}, flown("Stalling speed (knots)", "knots", nil, "53", "46")},
	{"a conversion without its density", oneColumn(extract.Column{Head: "K_y", Quantity: "maximum lift coefficient", Unit: "1"}, coefficients("engineering-mph", ""), ".0033"), []string{
		`blocking meaning-missing table:x: maximum lift coefficient (head "K_y") needs its density, which the basis does not state; write density: column KEY or given KEY of a figure of the quantity air density, standard-period (0.002378 slug/ft3, 0.12497 kgf s2/m4) or standard-modern (1.225 kg/m3)`,
	},
		oneColumn(extract.Column{Head: "K_y", Quantity: "maximum lift coefficient", Unit: "1"}, coefficients("engineering-mph", "standard-period"), ".0033")},
	{"a conversion whose density is not there", oneColumn(extract.Column{Head: "K_y", Quantity: "maximum lift coefficient", Unit: "1"}, coefficients("engineering-mph", "column rho"), ".0033"), []string{
		`blocking reference table:x: the density (column rho) has no figure here, and a coefficient of engineering-mph is not absolute without it, so these figures are not published`,
	},
		oneColumn(extract.Column{Head: "K_y", Quantity: "maximum lift coefficient", Unit: "1"}, coefficients("engineering-mph", "standard-modern"), ".0033")},
	{"a conversion without its area", otherArea("173.5", ""), []string{
		`doubt derivation subjects/tarn.yaml:derive[0]: 2 figures of maximum lift coefficient in maxima are not derived as net: the record has no net wing area`,
	}, otherArea("173.5", "150.0")},
	{"a mixture of systems in one column", mixed("british-k"), []string{
		`blocking meaning-missing maxima:x: maximum lift coefficient (head "Maximum lift coefficient"): its rows are in several systems of coefficients: absolute (rows r001), british-k (rows r002); a column should be in one`,
	}, mixed("absolute")},
	{"two systems in one head", oneColumn(extract.Column{Head: "C_L or k_L", Quantity: "maximum lift coefficient", Unit: "1"}, nil, "1.30"), []string{
		`blocking meaning-missing table:x: maximum lift coefficient (head "C_L or k_L"): the head names several systems of coefficients, C and k; a column should be in one`,
	}, oneColumn(extract.Column{Head: "C_L", Quantity: "maximum lift coefficient", Unit: "1"}, nil, "1.30")},
}

func with(a, b extract.Basis) extract.Basis { return a.Over(&b) }

func coefficients(system, density string) func(b *extract.Basis) {
	return func(b *extract.Basis) { b.Coefficients, b.Density = system, density }
}

// stallsInTwo is one speed in two columns: 60 mph are 52.1 kt.
func stallsInTwo(first, second string) printed {
	p := stallTable("Speed", first, nil)
	p.Columns = append(p.Columns, extract.Column{Key: "again", Head: "Speed", Quantity: "stall speed", Unit: second})
	p.rows = []string{"0|61.0|53.0", "40|52.9|46.0"}
	return p
}

// powersInTwo is one power in two columns; 1 hp is 1.01387 PS (DERIVED from NIST SP 811).
func powersInTwo(first, second string) printed {
	return printed{Table: extract.Table{Name: "engine", Basis: rated, Columns: []extract.Column{
		{Key: "item", Quantity: "label"}, {Key: "a", Head: "Power", Quantity: "power", Unit: first}, {Key: "b", Head: "Power", Quantity: "power", Unit: second}}},
		rows: []string{"Engine A|230|233.2", "Engine B|450|456.2"}}
}

// weights is an aeroplane of 1200 kg, 16.00 sq. m and 75.0 kg per sq. m.
func weights(label, unit, figure, quantity, itsUnit, itsFigure string) *extract.Study {
	if label == "" {
		label = "Weight"
	}
	list := []particular{{"Wing area, sq. m", "wing area", "sq m", "16.00", gross}, {label, "weight", unit, figure, normal}, {"Wing loading, kg per sq. m", "wing loading", "kg/m2", "75.0", normal}}
	if quantity != "" {
		list = append(list, particular{"Mass", quantity, itsUnit, itsFigure, normal})
	}
	return of("aeroplane", particulars("craft", list...))
}

// stallsAt is stall speeds at a weight in the caption, of a condition.
func stallsAt(weight extract.Basis, condition, caption string) *extract.Study {
	p := stallTable("", "knots", func(b *extract.Basis) { b.WeightCondition = condition }, "53", "46")
	p.Caption = caption
	p.Givens[0].Quantity, p.Givens[0].Basis = "weight", &weight
	return of("aeroplane", particulars("craft", particular{"Wing area, sq. ft.", "wing area", "sq ft", "173.5", gross}), p, maxima("1.546", "2.052"))
}

func stallsOf(weight string) *extract.Study {
	p := stallTable("", "knots", nil, "53", "46")
	p.givens = []string{"weight = " + weight}
	return of("aeroplane", particulars("craft", particular{"Wing area, sq. ft.", "wing area", "sq ft", "173.5", gross}), p, maxima("1.546", "2.052"))
}

// stallDown is one stall speed with slotted flaps down, without a C_Lmax.
func stallDown(speed string) printed {
	p := stallTable("", "knots", func(b *extract.Basis) { b.Configuration.Flap = "slotted" })
	p.rows = []string{"40|" + speed}
	return p
}

// mixed is a column of maxima whose second row is of another system.
func mixed(second string) *extract.Study {
	b := wingBasis()
	b.Coefficients = ""
	return of("wing", printed{Table: extract.Table{Name: "maxima", Basis: b, Rows: []extract.RowRule{{Label: "Wing A", Basis: &extract.Basis{Coefficients: "absolute"}}, {Label: "Wing B", Basis: &extract.Basis{Coefficients: second}}},
		Columns: []extract.Column{{Key: "wing", Quantity: "label"}, {Key: "x", Head: "Maximum lift coefficient", Quantity: "maximum lift coefficient", Unit: "1"}}}, rows: []string{"Wing A|1.30", "Wing B|1.28"}})
}

// otherArea asks for a maximum on the net area.
func otherArea(area, net string) *extract.Study {
	list := []particular{{"Wing area, sq. ft.", "wing area", "sq ft", area, gross}}
	if net != "" {
		list = append(list, particular{"Net wing area, sq. ft.", "wing area", "sq ft", net, extract.Basis{ReferenceArea: "net"}})
	}
	s := of("aeroplane", particulars("craft", list...), maxima("1.546", "2.052"))
	s.Subjects[0].Derive = []extract.Derivation{{Quantity: "maximum lift coefficient", ReferenceArea: "net"}}
	return s
}
