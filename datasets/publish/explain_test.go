package publish

import (
	"bufio"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"windtally/datasets"
	"windtally/extract"
	"windtally/validate"
)

func explained(t *testing.T, s *extract.Study, what string) *Chain {
	t.Helper()
	c, err := Explain(run(t, s), what)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// told is the steps of those names, all where none is given.
func told(c *Chain, names ...string) []string {
	var list []string
	for _, step := range c.Steps {
		if len(names) == 0 || slices.Contains(names, step.Name) {
			list = append(list, step.Name+": "+step.Says)
		}
	}
	return list
}

func wantTold(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A knot is 463/900 m/s, NIST SP 811 (2008) B.8: 1852/3600; a pound-force 4.4482216152605 N.
func TestExplainWhole(t *testing.T) {
	s := report(t)
	e := edition(t, s, "0.1.0")
	v := value(t, e, "stalls", "r02", "speed")
	c := explained(t, s, "stalls:r02:speed")
	if c.Cell.String() != stallsID+"/r02/speed" || c.Where != "stalls:r02:speed" || !slices.Equal(c.ValueIDs, []string{v.ValueID}) {
		t.Errorf("it is of cell %s, %s, values %q; want value %s", c.Cell, c.Where, c.ValueIDs, v.ValueID)
	}
	record := v.ValueID + " of craft-a is 25.208 m/s, half-width 0.2573, unwitnessed; repeated in speed of stall_speeds " + e.StallSpeeds[slices.IndexFunc(e.StallSpeeds, func(x datasets.StallSpeed) bool { return x.Speed.ValueID == v.ValueID })].StallSpeedID
	wantTold(t, told(c),
		"source: Report No. 12, Tests of a Wing, 1936 (report-12)",
		"place: page 3 of the file, which bears the number 43, rectangle 140.00 212.00 170.00 221.50 (left, top, right, bottom as the page is seen)",
		"table: stalls",
		"row: r02",
		"column: speed",
		`reading: text reads "49"`,
		`print: the print says "49" (unwitnessed)`,
		`numeral: "49" is the number 49, 2 significant digits, no digit after the point, a unit of its last digit is 1`,
		"quantity: stall speed, V_s; its canonical unit is metre per second, UCUM m/s",
		`unit: that of the column is "knots", understood as knot, UCUM [kn_i]`,
		"conversion: 1 [kn_i] = 463/900 m/s exactly, so the value is 49 x (463/900) = 22687/900 m/s, about 25.2077777778",
		"rounding: once, to 4 digits after the point, which moves it by less than a thousandth of the half-width: 25.2078",
		"half-width: 0.2573 m/s, half a unit of the last printed digit (0.5 [kn_i])",
		"basis: stated for the table: article: aeroplane; airspeed kind: IAS; airspeed meaning: the reading of the instrument; flap: split; deflection: column flap; gear: fixed; power: idle; stall: break; entry rate: 1 knot per second; center of gravity: 26 percent; weight: given w; weight condition: test",
		`reference: deflection, column flap: cell stalls:r02:flap prints "30" (unwitnessed): flap deflection 30 deg`,
		`reference: weight, given w: cell stalls:given:w prints "3,980" (unwitnessed): test weight 17703.922 N`,
		"checks: another figure here (its negative, ten times, a tenth, twice, half, six or four fifths of it) would have set off stall-speed, magnitude, flap-effect",
		"finding: none concerns it, its row, its column or its table",
		"ruling: nobody ruled on it",
		"published: would be published now: "+strings.Replace(record, "25.208", "25.2078", 1),
		"edition: edition 0.1.0, line "+line(t, s, "0.1.0", v.ValueID)+" of values.csv: "+strings.Replace(record, "25.208", "25.2078", 1))
	// Its id leads to the same, also when the study no longer says so.
	if by := explained(t, s, v.ValueID); !slices.Equal(told(by), told(c)) {
		t.Errorf("by its id it tells\n%s", strings.Join(told(by), "\n"))
	}
	set(s, stallsID, "r02", "speed", "48")
	wantTold(t, told(explained(t, s, v.ValueID), "print", "published", "edition"),
		`print: the print says "48" (unwitnessed)`,
		"published: would be published now: "+strings.Replace(record, "25.208", "24.6933", 1),
		"edition: edition 0.1.0, line "+line(t, s, "0.1.0", v.ValueID)+" of values.csv: "+strings.Replace(record, "25.208", "25.2078", 1))
}

// line is the line of values.csv on which a value stands, found in the file itself.
func line(t *testing.T, s *extract.Study, version, valueID string) string {
	t.Helper()
	f, err := os.Open(filepath.Join(s.Dir, "editions", version, "data", "values.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	n := 0
	for scan := bufio.NewScanner(f); scan.Scan(); {
		n++
		if strings.HasPrefix(scan.Text(), valueID+",") {
			return strconv.Itoa(n)
		}
	}
	t.Fatalf("%s is not in values.csv", valueID)
	return ""
}

func TestExplainEmended(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Emend, Value: ".326", Reason: "the curve says so"})
	ruling := run(t, s).Rulings[0].ID
	c := explained(t, s, "polar:r02:cl")
	wantTold(t, told(c, "print", "numeral", "ruling", "published"),
		`print: the print says ".316" and is wrong: a person put ".326" in its place (emended)`,
		`numeral: ".326" is the number 0.326, 3 significant digits, 3 digits after the point, a unit of its last digit is 0.001`,
		"ruling: "+ruling+` of the cell by A. Vendel (ab) on 1938-05-02T09:00:00Z: emend ".326", because: the curve says so (stands)`,
		"published: would be published now: "+c.ValueIDs[0]+" of wing-a is 0.326, half-width 0.0005, emended; repeated in lift_coefficient of polars "+polarOf(t, s, c.ValueIDs[0]))
	rule(t, s, "polar:r02:cl", validate.Act{Undo: true, Reason: "the curve was misread"})
	c = explained(t, s, "polar:r02:cl")
	if got := told(c, "ruling"); len(got) != 2 || !strings.Contains(got[0], "emend \".326\", because: the curve says so (superseded by u") || !strings.Contains(got[1], "(takes back "+ruling+")") {
		t.Errorf("rulings: %q", got)
	}
	wantTold(t, told(c, "print"), `print: the print says ".316" (unwitnessed)`)
}

func polarOf(t *testing.T, s *extract.Study, valueID string) string {
	t.Helper()
	for _, p := range Edition(run(t, s)).Polars {
		if p.LiftCoefficient.ValueID == valueID {
			return p.PolarID + " " + strconv.Itoa(p.Point)
		}
	}
	t.Fatalf("no point of a polar has %s", valueID)
	return ""
}

func TestExplainNotPublished(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Withhold, Reason: "a blot"})
	c := explained(t, s, "polar:r02:cl")
	if c.ValueIDs != nil {
		t.Errorf("a withheld figure has the values %q", c.ValueIDs)
	}
	ids := Edition(run(t, s)).Findings
	wantTold(t, told(c, "print", "if published", "numeral", "quantity", "unit", "conversion", "rounding", "half-width", "not published", "withheld"),
		`print: the print says ".316", and a person keeps it back (withheld)`,
		"if published: a ruling keeps the figure back; what follows is its way without that ruling, and nothing of it is published",
		`numeral: ".316" is the number 0.316, 3 significant digits, 3 digits after the point, a unit of its last digit is 0.001`,
		"quantity: lift coefficient, C_L; its canonical unit is 1, a number without unit",
		`unit: that of the column is "1", understood as 1, a number without unit`,
		"conversion: none: the canonical unit is that of the print, and the value is the number itself",
		"half-width: 0.0005, half a unit of the last printed digit (0.0005)",
		"not published: it is withheld by a ruling",
		"withheld: findings.csv says so in "+ids[slices.IndexFunc(ids, func(f datasets.Finding) bool { return f.Check == "withheld" })].FindingID+": polar:r02:cl is withheld: a blot")

	for _, x := range []struct {
		name   string
		change func(s *extract.Study)
		what   string
		want   string
	}{
		{"no subject", func(s *extract.Study) { s.Subjects = s.Subjects[1:] }, "polar:r02:cl", "no subject's record names its row"},
		{"unclassified", func(s *extract.Study) { s.Tables[0].Columns[2].Quantity = "unclassified" }, "polar:r02:cl", "its quantity is unclassified"},
		{"refused", func(s *extract.Study) { s.Tables[0].Basis.Coefficients = "" }, "polar:r02:cl", "what it means was refused: see the findings of its column and of its row"},
		{"label", func(s *extract.Study) { s.Tables[0].Columns[0].Quantity = "label" }, "polar:r02:flap", "it is a label and no figure"},
		{"blank", func(s *extract.Study) { set(s, polarID, "r02", "cl", "") }, "polar:r02:cl", "nothing that is printed there is a figure with a meaning"},
		{"no deflection", func(s *extract.Study) { set(s, polarID, "r02", "flap", "") }, "polar:r02:cl", "what it means could not be settled: see its findings"},
		{"disputed", func(s *extract.Study) {
			second := *s.Readings[polarID][0]
			second.Meta.Reader = "keyed-ab"
			second.Cells = slices.Clone(second.Cells)
			for i := range second.Cells {
				if second.Cells[i].Row == "r02" && second.Cells[i].Column == "cl" {
					second.Cells[i].Text = ".376"
				}
			}
			s.Readings[polarID] = append(s.Readings[polarID], &second)
		}, "polar:r02:cl", "its readings are disputed, and nobody has ruled yet"},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := report(t)
			x.change(s)
			wantTold(t, told(explained(t, s, x.what), "published", "not published"), "not published: "+x.want)
		})
	}
}

// What blocks an edition is told beside what would be published.
func TestExplainWhileBlocked(t *testing.T) {
	s := report(t)
	set(s, polarID, "r03", "cl", "47.4")
	c := explained(t, s, "polar:r02:cl")
	got := told(c, "published")
	if len(got) != 1 || !strings.HasPrefix(got[0], "published: would be published once the blocking findings of the study are settled (") {
		t.Errorf("got %q", got)
	}
	c = explained(t, s, "polar:r03:cl")
	if got := strings.Join(told(c, "finding"), "\n"); !strings.Contains(got, "finding: magnitude, of the cell: polar:r03:cl: ") || !strings.Contains(got, "; blocking, open)") {
		t.Errorf("got %s", got)
	}
}

func TestExplainRefuses(t *testing.T) {
	s := report(t)
	for _, c := range []struct{ what, want string }{
		{"wings:r01:cl", `there is no table "wings"; known tables: polar, increments, stalls, limits`},
		{"polar:r9:cl", `polar:r9:cl: the table has no row "r9"; known rows: r01, r02, r03, r04, r05, r06, given`},
		{"polar:r02:cm", `polar:r02:cm: row r02 has no column "cm"; known columns: flap, alpha, cl, cd`},
		{"polar:given:w", `polar:given:w: row given has no column "w"; known columns: re`},
		{"polar:r02", `"polar:r02" is no cell; it should be TABLE:ROW:COLUMN, for example polar:r01:cd`},
		{"polar:r02:", `"polar:r02:" is no cell; it should be TABLE:ROW:COLUMN, for example polar:r01:cd`},
	} {
		if _, err := Explain(run(t, s), c.what); err == nil || err.Error() != c.want {
			t.Errorf("%s: got %v, want %s", c.what, err, c.want)
		}
	}
	id := explained(t, s, "polar:r02:cl").ValueIDs[0]
	near := id[:12] + "x"
	if id[12] != 'f' {
		near = id[:12] + "f"
	}
	_, err := Explain(run(t, s), near)
	if want := "no value " + near + " is in an edition of the study, nor would be published now; the nearest ids are " + id + ", "; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want it to begin %q", err, want)
	}
	_, err = Explain(run(t, s), "CLmax")
	if want := `"CLmax" is neither a value's id (v and twelve hexadecimal figures, as in column value_id of values.csv, or d and twelve as in derived.csv) nor a cell (TABLE:ROW:COLUMN, as windtally show prints their keys); the nearest ids are `; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want it to begin %q", err, want)
	}
	s.Tables[0].Status = "draft"
	if _, err := Explain(run(t, s), "polar:r02:cl"); err == nil || err.Error() != "polar:r02:cl: the table is a draft, so that none of its figures has a meaning\nhint: complete tables/polar.yaml and set status: ready; windtally show polar prints what was read" {
		t.Errorf("a draft: %v", err)
	}
	s.Subjects = nil
	_, err = Explain(run(t, s), near)
	if want := "no value " + near + " is in an edition of the study, nor would be published now; nothing is published yet"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	// The table of a published value is gone.
	s = report(t)
	e := edition(t, s, "0.1.0")
	v := value(t, e, "polar", "r02", "cl")
	s.Tables, s.Subjects = s.Tables[1:], s.Subjects[1:]
	if _, err := Explain(run(t, s), v.ValueID); err == nil || err.Error() != "value "+v.ValueID+" of edition 0.1.0 was printed in polar:r02:cl, and the study no longer has a table of that name; known tables: increments, stalls, limits" {
		t.Errorf("a table that is gone: %v", err)
	}
}

// A ruling on a finding keeps its cells back; the figure says so, and by whose word.
func TestExplainWithheldThroughAFinding(t *testing.T) {
	s := report(t)
	set(s, polarID, "r03", "cl", "47.4")
	r := run(t, s)
	i := slices.IndexFunc(r.Findings, func(f validate.Finding) bool { return f.Check == "magnitude" })
	if i < 0 {
		t.Fatal("no finding on a lift coefficient of 47.4")
	}
	id := r.Findings[i].ID
	rule(t, s, id, validate.Act{Decision: validate.Withhold, Reason: "a lost point"})
	c := explained(t, s, "polar:r03:cl")
	ruling := run(t, s).Rulings[0].ID
	wantTold(t, told(c, "print", "ruling", "not published"),
		`print: the print says "47.4", and a person keeps it back (withheld)`,
		"ruling: "+ruling+" of the finding "+id+" by A. Vendel (ab) on 1938-05-02T09:00:00Z: withhold, because: a lost point (stands)",
		"not published: it is withheld by a ruling")
	if got := strings.Join(told(c, "finding"), "\n"); !strings.Contains(got, "finding: magnitude, of the cell: ") || !strings.Contains(got, "blocking, ruled: withhold by ab, "+ruling+")") {
		t.Errorf("findings: %s", got)
	}
	if got := told(c, "withheld"); len(got) == 0 || !strings.HasPrefix(got[0], "withheld: findings.csv says so in "+id+": ") {
		t.Errorf("withheld: %q", got)
	}
}

// A ditto mark leads to the figure that it repeats, and to what was ruled on that.
func TestExplainDitto(t *testing.T) {
	s := report(t)
	set(s, polarID, "r02", "cd", "\"")
	rule(t, s, "polar:r01:cd", validate.Act{Decision: validate.Confirm, Reason: "looked at"})
	ruling := run(t, s).Rulings[0].ID
	wantTold(t, told(explained(t, s, "polar:r02:cd"), "print", "numeral", "ruling"),
		`print: the print says "\"" (unwitnessed)`,
		`numeral: "\"" repeats row r01, ".0115": the number 0.0115, 3 significant digits, 4 digits after the point, a unit of its last digit is 0.0001`,
		"ruling: "+ruling+" of the figure that it repeats by A. Vendel (ab) on 1938-05-02T09:00:00Z: confirm, because: looked at (stands)")
}

// What the chain of each value arrives at is what is published.
func TestExplainArrivesAtTheEdition(t *testing.T) {
	s := report(t)
	arrives(t, run(t, s), 30)
}

func arrives(t *testing.T, r *validate.Report, least int) {
	t.Helper()
	e := Edition(r)
	if len(e.Values) < least {
		t.Fatalf("%d values; the study has at least %d", len(e.Values), least)
	}
	for _, v := range e.Values {
		c, err := Explain(r, v.ValueID)
		if err != nil {
			t.Errorf("%s: %v", v.ValueID, err)
			continue
		}
		got := map[string]string{}
		for _, step := range c.Steps {
			for _, f := range step.Facts {
				got[step.Name+" "+f.Name] = f.Value
			}
		}
		for _, x := range []struct{ fact, want string }{
			{"rounding published", string(v.Value)}, {"half-width half_width", string(v.HalfWidth)}, {"print printed", v.Printed}, {"print state", v.Checked},
			{"unit ucum", v.PrintedUnit}, {"quantity quantity", v.Quantity}, {"quantity unit", v.Unit}, {"source source", v.SourceID}, {"table table", v.Table},
			{"numeral decimals", string(v.Decimals)}, {"place page", strconv.Itoa(v.Page)}, {"ruling ruling", v.RulingID},
		} {
			if have := got[x.fact]; have != x.want && !(x.fact == "ruling ruling" && x.want == "") {
				t.Errorf("%s: %s is %q, the edition has %q", c.Where, x.fact, have, x.want)
			}
		}
	}
}
