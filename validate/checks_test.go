package validate

import (
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// a case is one change of a valid study, and all the findings that it makes: none
// where a check must stay silent.
type change struct {
	name   string
	study  func() *extract.Study
	change func(s *extract.Study)
	want   []string
}

func table(s *extract.Study, id string) *extract.Table { return s.Table(id) }

func runChanges(t *testing.T, list []change) {
	for _, c := range list {
		t.Run(c.name, func(t *testing.T) {
			s := c.study()
			c.change(s)
			check(t, s, c.want...)
		})
	}
}

func second(s *extract.Study, id string, rows ...string) *extract.Reading {
	return addReading(s, table(s, id), "keyed-rt", rows...)
}

func TestCollationCheck(t *testing.T) {
	lift := []string{"0.0|1.60", "40.0|2.10"}
	runChanges(t, []change{
		{"two readings that say the same", craftStudy, func(s *extract.Study) { second(s, liftID, lift...) }, nil},
		{"the same figure in other glyphs", wingStudy, func(s *extract.Study) {
			r := second(s, polarID, "-4|-.158|.0115|-13.7", "-2|.000|.0100|0.0", "0|.158|.0115|13.7", "2|.316|.0159|19.9", "4|.474|.0232|20.4",
				"6|.632|.0335|18.9", "8|.790|.0468|16.9", "10|.948|.0630|15.0", "12|1.100|.0813|13.5", "14|1.200|.0949|12.6")
			r.Cells[1].Text = "−0.158"
		}, nil},
		{"a figure", craftStudy, func(s *extract.Study) { second(s, liftID, "0.0|1.66", "40.0|2.10") }, []string{
			`blocking collation lift:r01:clmax: keyed-ab reads "1.60", keyed-rt reads "1.66" | t0000000e/r01/clmax`,
		}},
		{"a digit less is another figure", craftStudy, func(s *extract.Study) { second(s, liftID, "0.0|1.6", "40.0|2.10") }, []string{
			`blocking collation lift:r01:clmax: keyed-ab reads "1.60", keyed-rt reads "1.6" | t0000000e/r01/clmax`,
		}},
		{"a row lost", craftStudy, func(s *extract.Study) { second(s, liftID, "0.0|1.60") }, []string{
			`blocking collation lift:r02: row r02 is in keyed-ab and not in keyed-rt | t0000000e/r02/flap t0000000e/r02/clmax`,
		}},
		{"a row lost by all readings", craftStudy, func(s *extract.Study) {
			s.Registers[liftID].Rows = append(s.Registers[liftID].Rows, extract.KnownRow{Key: "r03"})
		}, []string{
			`blocking collation lift:r03: row r03 is in an earlier reading and not in keyed-ab`,
		}},
		{"a column lost", craftStudy, func(s *extract.Study) {
			r := second(s, liftID, lift...)
			r.Cells = slices.DeleteFunc(r.Cells, func(c extract.Cell) bool { return c.Column == "clmax" })
		}, []string{
			`blocking collation lift:column clmax: column clmax of the table is not in keyed-rt`,
		}},
	})
}

func TestMeaningCheck(t *testing.T) {
	text := func(s *extract.Study, id string) {
		for _, r := range s.Readings[id] {
			r.Meta.Reader = "text"
		}
	}
	runChanges(t, []change{
		{"a letter for a figure", wingStudy, func(s *extract.Study) { set(s, polarID, "r05", "cd", ".O232") }, []string{
			`blocking not-a-number polar:r05:cd: ".O232" is not a number: letter O where a figure should be | t0000000a/r05/cd`,
		}},
		{"a decimal comma", wingStudy, func(s *extract.Study) { set(s, polarID, "r05", "cd", "0,0232") }, []string{
			`blocking not-a-number polar:r05:cd: "0,0232" is not a number: a comma that does not part thousands; a decimal comma must be entered as a point | t0000000a/r05/cd`,
		}},
		{"a dash is the source's word that there is no value", wingStudy, func(s *extract.Study) { set(s, polarID, "r05", "ld", "—") }, nil},
		{"a blank", wingStudy, func(s *extract.Study) { set(s, polarID, "r05", "ld", "") }, []string{
			`doubt blank-cell polar:r05:ld: no figure was read in a row that has other cells | t0000000a/r05/ld`,
		}},
		{"a blank that two persons keyed", craftStudy, func(s *extract.Study) {
			set(s, liftID, "r02", "clmax", "")
			second(s, liftID, "0.0|1.60", "40.0|")
		}, nil},
		{"a unit that does not fit", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[1].Unit = "deg" }, []string{
			`blocking unit polar:cl: unit of lift coefficient: unit "deg" is degree (angle), but a unit of dimensionless is wanted, such as one, percent, thousandth`,
		}},
		{"no unit", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[1].Unit = "" }, []string{
			`blocking unit polar:cl: no unit is stated for lift coefficient; write it as printed (1 for a number without unit)`,
		}},
		{"no quantity", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[3].Quantity = "" }, []string{
			`blocking meaning-missing polar:ld: no quantity is stated`,
		}},
		{"a quantity that is not in the list", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[3].Quantity = "glide ratio" }, []string{
			`blocking meaning-missing polar:ld: the quantity "glide ratio" is not in the list`,
		}},
		{"unclassified", wingStudy, func(s *extract.Study) { table(s, polarID).Columns[3].Quantity = "unclassified" }, []string{
			`note unclassified polar:ld: is unclassified: read, collated and checked by relations, and not published`,
		}},
		{"a basis that does not say drag of what", wingStudy, func(s *extract.Study) { table(s, polarID).Basis.Drag = "" }, []string{
			`blocking meaning-missing polar:cd: drag coefficient needs its drag, which the basis does not state; write drag: total or profile`,
			`blocking meaning-missing polar:ld: lift-drag ratio needs its drag, which the basis does not state; write drag: total or profile`,
		}},
		{"an airspeed of no kind", craftStudy, func(s *extract.Study) { table(s, stallsID).Basis.AirspeedKind = "" }, []string{
			`blocking meaning-missing stalls:speed: stall speed needs its airspeed_kind, which the basis does not state; write airspeed_kind: IAS, CAS, EAS or TAS (never assumed)`,
		}},
		{"an airspeed of an ambiguous kind", craftStudy, func(s *extract.Study) { table(s, stallsID).Basis.AirspeedKind = "true indicated" }, []string{
			`blocking meaning-missing stalls:speed: airspeed_kind: airspeed kind "true indicated" has more than one meaning: look for the source's own definition and write IAS (as the instrument reads), CAS (corrected for instrument and position error) or EAS (V sqrt(sigma))`,
		}},
		{"a lost point in a text layer", wingStudy, func(s *extract.Study) { text(s, polarID); set(s, polarID, "r05", "ld", "204") }, []string{
			`blocking relation polar:r05:ld: ld = cl / cd: 204 printed, but .474 / .0232 lies between 20.37 and 20.50 | expected ld between 20.37 and 20.50, from the printed digits of cl and cd | t0000000a/r05/cl t0000000a/r05/cd t0000000a/r05/ld | miss 367.01`,
			`doubt odd-print polar:r05:ld: "204" has no decimal point where 9 of the column's 10 figures have one | t0000000a/r05/ld`,
		}},
		{"a letter after a figure in a text layer", craftStudy, func(s *extract.Study) { text(s, liftID); set(s, liftID, "r01", "clmax", "1.60b") }, []string{
			`doubt odd-print lift:r01:clmax: "1.60b" was read as 1.60 with a footnote mark; the letter may be a misread figure | t0000000e/r01/clmax`,
		}},
		{"the same letter keyed by a person", craftStudy, func(s *extract.Study) { set(s, liftID, "r01", "clmax", "1.60b") }, []string{
			"doubt odd-print lift: figures bear the mark b: what does the footnote say? It is not published | t0000000e/r01/clmax"}},
		{"a workbook that stores a number", craftStudy, func(s *extract.Study) {
			for _, r := range s.Readings[liftID] {
				r.Meta.Reader = "workbook"
				r.Cells[1].Confidence = 0
			}
		}, []string{
			`doubt odd-print lift:r01:clmax: the workbook shows "1.60", but stores a number or a formula, so the digits as printed are not certain | t0000000e/r01/clmax`,
		}},
		{"a deflection that is not in the print", craftStudy, func(s *extract.Study) {
			table(s, liftID).Columns[0].Quantity = "label"
			table(s, liftID).Basis.Configuration.Deflection = "45"
		}, []string{
			`blocking deflection-not-in-print lift:r01:clmax: the deflection "45" stands nowhere in the row's label "0.0"; no number enters other than through a reading | t0000000e/r01/clmax`,
			`blocking deflection-not-in-print lift:r02:clmax: the deflection "45" stands nowhere in the row's label "40.0"; no number enters other than through a reading | t0000000e/r02/clmax`,
		}},
		{"a deflection that stands in the label", craftStudy, func(s *extract.Study) {
			tb := table(s, liftID)
			tb.Columns[0].Quantity, tb.Columns[0].Unit = "label", ""
			tb.Basis.Configuration.Deflection = ""
			tb.Rows = []extract.RowRule{{Label: "Flap up", Basis: &extract.Basis{Configuration: extract.Configuration{Deflection: "up"}}},
				{Label: "Flap 40°", Basis: &extract.Basis{Configuration: extract.Configuration{Deflection: "40"}}}}
			set(s, liftID, "r01", "flap", "Flap up")
			set(s, liftID, "r02", "flap", "Flap 40°")
		}, nil},
		{"a reference to a figure that is not there", craftStudy, func(s *extract.Study) { set(s, stallsID, "r02", "weight", "—") }, []string{
			`blocking reference stalls:speed: the weight (column weight) has no figure here, and a stall speed without its weight is not published | t0000000d/r02/speed`,
		}},
		{"a reference to a figure of another quantity", craftStudy, func(s *extract.Study) { table(s, stallsID).Basis.Weight = "column flap" }, []string{
			`blocking meaning-missing stalls:speed: the basis names column flap as the weight, and its quantity is flap deflection; it should be weight or test weight | t0000000d/r01/speed t0000000d/r02/speed`,
		}},
		{"a reference to an unclassified figure", craftStudy, func(s *extract.Study) { table(s, stallsID).Columns[0].Quantity = "unclassified" }, []string{
			`blocking meaning-missing stalls:speed: the basis names column flap as the flap deflection, and its quantity is unclassified; it should be flap deflection | t0000000d/r01/speed t0000000d/r02/speed`,
			`note unclassified stalls:flap: is unclassified: read, collated and checked by relations, and not published`,
		}},
		{"a row of particulars without a rule", craftStudy, func(s *extract.Study) { set(s, craftID, "r01", "label", "Spam, m") }, []string{
			`blocking reference craft:Span, m: rows: names "Span, m", and no row of the table bears that label`,
			`doubt row-without-meaning craft:r01:value: the row "Spam, m" is not named under rows:, so its figure "10.912" has no meaning and is not published | t0000000c/r01/value`,
		}},
		{"a table that is not ready", wingStudy, func(s *extract.Study) { table(s, polarID).Status = "draft" }, []string{
			`note draft polar: is a draft: nothing of it is checked or published`,
			`note subject-table subjects/wing-a.yaml: names the table polar, which is not ready`,
		}},
		{"a table without a reading", wingStudy, func(s *extract.Study) { s.Readings[polarID], s.Registers[polarID] = nil, nil }, []string{
			`doubt no-reading polar: has no reading`,
		}},
	})
}

func TestSubjects(t *testing.T) {
	runChanges(t, []change{
		{"a table in no subject", wingStudy, func(s *extract.Study) { s.Subjects[0].Tables = s.Subjects[0].Tables[1:] }, []string{
			`note row-without-subject polar: 10 of 10 rows are in no subject's record and are not published: r01 r02 r03 r04 r05 r06 r07 r08 r09 r10`,
		}},
		{"rows of a label that no row bears", craftStudy, func(s *extract.Study) {
			s.Subjects[0].Tables[0].Where = &extract.Where{Column: "label", Is: "Wing span"}
		}, []string{
			`blocking subject-table subjects/craft-a.yaml: tables[0] asks for rows of craft whose label is "Wing span"; no row has that label`,
			`note row-without-subject craft: 5 of 5 rows are in no subject's record and are not published: r01 r02 r03 r04 r05`,
		}},
		{"a row in two records", wingStudy, func(s *extract.Study) {
			other := *s.Subjects[0]
			other.Name, other.Tables = "wing-b", []extract.SubjectTable{{Table: "polar"}}
			s.Subjects = append(s.Subjects, &other)
			table(s, polarID).Columns = table(s, polarID).Columns[:1]
			table(s, polarID).Relations = nil
			for _, r := range s.Readings[polarID] {
				r.Cells = r.Cells[:1]
			}
			s.Registers[polarID].Rows = s.Registers[polarID].Rows[:1]
		}, []string{
			`doubt row-of-two-subjects polar:r01: the row is in the record of wing-a and of wing-b`,
		}},
		{"a wing's figures in an aeroplane's record", wingStudy, func(s *extract.Study) {
			s.Subjects[0].Kind, s.Subjects[0].Tables, s.Tables = "aeroplane", s.Subjects[0].Tables[:1], s.Tables[:1]
		}, []string{
			`doubt article subjects/wing-a.yaml: the subject is of kind aeroplane, and figures of the table polar were measured on an article of kind wing`,
		}},
		{"a table named twice by one subject", craftStudy, func(s *extract.Study) {
			s.Subjects[0].Tables = append(s.Subjects[0].Tables, extract.SubjectTable{Table: "lift"})
		}, nil},
	})
}

func TestSettingsCheck(t *testing.T) {
	tolerance := func(list ...extract.Tolerance) func(s *extract.Study) {
		return func(s *extract.Study) { s.Settings.Tolerances = list }
	}
	runChanges(t, []change{
		{"a known tolerance", wingStudy, tolerance(extract.Tolerance{Check: "drag-polar", Name: "e-low", Value: "0.4", Reason: "thick wing"}), nil},
		{"an unknown check", wingStudy, tolerance(extract.Tolerance{Check: "drag", Name: "e-low", Value: "0.4", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[0]: there is no check "drag" with a tolerance; known: difference, lift-curve-slope, drag-polar, stall-speed, aspect-ratio, wing-loading, reynolds-number, magnitude, coefficient-system, correction-sign, power-loading, mass, two-units, flap-effect, bank, repeated-row, given-twice, stall-ratio, symmetry, extremes, flap-growth, turn`,
		}},
		{"an unknown tolerance", wingStudy, tolerance(extract.Tolerance{Check: "aspect-ratio", Name: "e-low", Value: "0.4", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[0]: check aspect-ratio has no tolerance "e-low"; known: doubt, blocking`,
		}},
		{"a tolerance that is no number", wingStudy, tolerance(extract.Tolerance{Check: "aspect-ratio", Name: "doubt", Value: "wide", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[0]: the tolerance doubt of aspect-ratio is "wide"; it should be a positive number such as 0.05`,
		}},
		{"a tolerance without bounds", wingStudy, tolerance(extract.Tolerance{Check: "aspect-ratio", Name: "doubt", Value: "Inf", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[0]: the tolerance doubt of aspect-ratio is "Inf"; it should be a positive number such as 0.05`,
		}},
		{"a tolerance that an edition cannot hold", wingStudy, tolerance(extract.Tolerance{Check: "aspect-ratio", Name: "doubt", Value: "1e-2", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[0]: the tolerance doubt of aspect-ratio is "1e-2"; it should be a positive number such as 0.05`,
		}},
		{"a tolerance twice", wingStudy, tolerance(extract.Tolerance{Check: "aspect-ratio", Name: "doubt", Value: "0.02", Reason: "r"},
			extract.Tolerance{Check: "aspect-ratio", Name: "doubt", Value: "0.03", Reason: "r"}), []string{
			`blocking settings study.yaml:tolerances[1]: the tolerance doubt of aspect-ratio stands twice; keep one`,
		}},
	})
}

func TestEyesCheck(t *testing.T) {
	eyes := func(n int, more ...func(s *extract.Study)) func(s *extract.Study) {
		return func(s *extract.Study) {
			s.Settings.Eyes = n
			s.Subjects[0].Tables = s.Subjects[0].Tables[2:]
			s.Tables, s.Readings = s.Tables[2:], map[string][]*extract.Reading{liftID: s.Readings[liftID]}
			for _, f := range more {
				f(s)
			}
		}
	}
	by := func(reader string) func(s *extract.Study) {
		return func(s *extract.Study) { s.Readings[liftID][0].Meta.Reader = reader }
	}
	also := func(reader string) func(s *extract.Study) {
		return func(s *extract.Study) { addReading(s, table(s, liftID), reader, "0.0|1.60", "40.0|2.10") }
	}
	runChanges(t, []change{
		{"none asked for", craftStudy, eyes(0, by("text")), nil},
		{"one, keyed by one", craftStudy, eyes(1), nil},
		{"one, a text layer alone", craftStudy, eyes(1, by("text")), []string{
			`blocking eyes lift: 4 figures have fewer than 1 independent witnesses (one machine's reading by itself is none) | expected study.yaml asks for eyes: 1 | t0000000e/r01/flap t0000000e/r01/clmax t0000000e/r02/flap t0000000e/r02/clmax`,
		}},
		{"one, two machines", craftStudy, eyes(1, by("text"), also("ocr")), nil},
		{"two, keyed by one", craftStudy, eyes(2), []string{
			`blocking eyes lift: 4 figures have fewer than 2 independent witnesses (one machine's reading by itself is none) | expected study.yaml asks for eyes: 2 | t0000000e/r01/flap t0000000e/r01/clmax t0000000e/r02/flap t0000000e/r02/clmax`,
		}},
		{"two, keyed by one and a machine", craftStudy, eyes(2, also("text")), nil},
		{"two, keyed by two", craftStudy, eyes(2, also("keyed-rt")), nil},
	})
}

func TestRelationCheck(t *testing.T) {
	with := func(op string, rows ...string) func() *extract.Study {
		return func() *extract.Study {
			s := newStudy()
			addTable(s, extract.Table{ID: polarID, Name: "sums", Relations: []string{"c = a " + op + " b"}, Columns: []extract.Column{
				{Key: "a", Quantity: "unclassified"}, {Key: "b", Quantity: "unclassified"}, {Key: "c", Quantity: "unclassified"}}}, "keyed-ab", rows...)
			s.Subjects = []*extract.Subject{{Name: "x", Kind: "wing", Tables: []extract.SubjectTable{{Table: "sums"}}}}
			return s
		}
	}
	relationsOf := func(s *extract.Study) []string {
		var list []string
		for _, text := range tell(Run(s, nil)) {
			if !strings.Contains(text, " unclassified ") {
				list = append(list, text)
			}
		}
		return list
	}
	for _, c := range []struct {
		name, op, row string
		want          string
	}{
		// 1.2 stands for 1.15 to 1.25, and so on: the ends are worked out by hand.
		{"quotient", "/", "1.2|.40|3.0", ""},
		{"quotient at its lower end", "/", "1.2|.40|2.8", ""}, // 1.15/.405 = 2.8395, 2.8 is up to 2.85
		{"quotient below its lower end", "/", "1.2|.40|2.7", `blocking relation sums:r01:c: c = a / b: 2.7 printed, but 1.2 / .40 lies between 2.840 and 3.165 | expected c between 2.840 and 3.165, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 2.79`}, // 2.7 is up to 2.75
		{"quotient above its upper end", "/", "1.2|.40|3.3", `blocking relation sums:r01:c: c = a / b: 3.3 printed, but 1.2 / .40 lies between 2.840 and 3.165 | expected c between 2.840 and 3.165, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 2.71`}, // 1.25/.395 = 3.1646, 3.3 is from 3.25
		{"quotient of a negative figure", "/", "-1.2|.40|3.0", `blocking relation sums:r01:c: c = a / b: 3.0 printed, but -1.2 / .40 lies between -3.165 and -2.840 | expected c between -3.165 and -2.840, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 116.79`},
		{"division by an interval that holds zero", "/", "1.2|.00|99", ""},
		{"division by an interval that ends at zero", "/", "1.2|.5|9", `blocking relation sums:r01:c: c = a / b: 9 printed, but 1.2 / .5 lies between 2.09 and 2.78 | expected c between 2.09 and 2.78, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 12.44`}, // .45 to .55
		{"division by a half-width about zero", "/", "1|0|7", ""},
		{"product", "*", "1.5|2.5|3.8", ""}, // 1.45*2.45 = 3.5525 to 1.55*2.55 = 3.9525
		{"product out of it", "*", "1.5|2.5|3.4", `blocking relation sums:r01:c: c = a * b: 3.4 printed, but 1.5 * 2.5 lies between 3.553 and 3.953 | expected c between 3.553 and 3.953, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 3.05`}, // 3.4 is up to 3.45
		{"product with a change of sign", "*", "0.0|-2.5|0.1", ""}, // -.05*-2.55 = .1275
		{"sum", "+", "1.50|2.25|3.75", ""},
		{"sum within three roundings", "+", "1.50|2.25|3.76", ""}, // 3.74 to 3.76
		{"sum out of them", "+", "1.50|2.25|3.77", `blocking relation sums:r01:c: c = a + b: 3.77 printed, but 1.50 + 2.25 lies between 3.7400 and 3.7600 | expected c between 3.7400 and 3.7600, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 2.00`}, // 3.77 is from 3.765
		{"difference", "-", "62.5|1.5|61.0", ""},
		{"difference with its sign lost", "-", "1.5|62.5|61.0", `blocking relation sums:r01:c: c = a - b: 61.0 printed, but 1.5 - 62.5 lies between -61.100 and -60.900 | expected c between -61.100 and -60.900, from the printed digits of a and b | t0000000a/r01/a t0000000a/r01/b t0000000a/r01/c | miss 2438.00`},
		{"a missing figure", "/", "1.2|—|2.7", ""},
		{"figures of other precision", "/", "1.2|.4|2.7", ""}, // 1.15/.45 = 2.5556 to 1.25/.35
	} {
		t.Run(c.name, func(t *testing.T) {
			got := strings.Join(relationsOf(with(c.op, c.row)()), "\n")
			if got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
	runChanges(t, []change{
		{"a relation that cannot be read", wingStudy, func(s *extract.Study) { table(s, polarID).Relations = []string{"L/D = CL/CD"} }, []string{
			`blocking relation tables/polar.yaml: relation "L/D = CL/CD"; write RESULT = A / B with one of + - * / between two column keys, spaces around it`,
		}},
		{"a relation of a column that is not there", wingStudy, func(s *extract.Study) { table(s, polarID).Relations = []string{"ld = cl / cdmin"} }, []string{
			`blocking relation tables/polar.yaml: relation "ld = cl / cdmin": the table has no column cdmin; its columns: alpha, cl, cd, ld`,
		}},
		{"a misread figure in a polar", wingStudy, func(s *extract.Study) { set(s, polarID, "r05", "ld", "26.4") }, []string{
			`blocking relation polar:r05:ld: ld = cl / cd: 26.4 printed, but .474 / .0232 lies between 20.366 and 20.497 | expected ld between 20.366 and 20.497, from the printed digits of cl and cd | t0000000a/r05/cl t0000000a/r05/cd t0000000a/r05/ld | miss 118.06`,
		}},
	})
}

func TestUndeclaredRelation(t *testing.T) {
	undeclared := func(s *extract.Study) { table(s, polarID).Relations = nil }
	runChanges(t, []change{
		{"L/D beside lift and drag", wingStudy, undeclared, []string{
			"note relation-undeclared polar:ld: L/D stands beside C_L and C_D, and no relation says that it is their quotient"}},
		{"no drag beside it", wingStudy, func(s *extract.Study) { undeclared(s); table(s, polarID).Columns[2].Quantity = "unclassified" }, []string{
			"note unclassified polar:cd: is unclassified: read, collated and checked by relations, and not published"}},
		{"a relation the other way round", wingStudy, func(s *extract.Study) { table(s, polarID).Relations = []string{"cl = ld * cd"} }, nil},
	})
	s := wingStudy()
	undeclared(s)
	f := Run(s, nil).Findings[0]
	if want := `add to tables/polar.yaml: relations: ["ld = cl / cd"]`; f.Hint != want || f.Blocks() || !f.Mend {
		t.Errorf("%+v; want the hint %s", f, want)
	}
}
