package publish

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"windtally/datasets"
	"windtally/extract"
	"windtally/validate"
)

var monday = time.Date(1938, time.May, 2, 9, 0, 0, 0, time.UTC)

const (
	polarID  = "t0000000a"
	addedID  = "t0000000b"
	stallsID = "t0000000c"
	limitsID = "t0000000d"
)

// report is a valid study of the invented Tarnholm laboratory: a wing with a polar at
// two deflections and the increments of its flap, an aeroplane with stall speeds and
// limits. A case changes one thing in it.
func report(t testing.TB) *extract.Study {
	t.Helper()
	s := &extract.Study{
		Dir: t.TempDir(),
		Settings: extract.Settings{Schema: 1, Name: "tarnholm", Title: "Tarnholm", Licence: "CC0-1.0",
			People: []extract.Person{{Initials: "ab", Name: "A. Vendel"}}},
		Sources: []*extract.Source{{Schema: 1, Name: "report-12", File: "report-12.pdf", Designation: "Report No. 12", Title: "Tests of a Wing", Year: 1936,
			Rights: "invented", SHA256: strings.Repeat("0", 64), Pages: 20, FirstPage: 41}},
		Readings: map[string][]*extract.Reading{}, Registers: map[string]*extract.Register{},
	}
	if err := os.WriteFile(filepath.Join(s.Dir, "rulings.csv"), []byte(extract.RulingsHead), 0o666); err != nil {
		t.Fatal(err)
	}
	wing := extract.Basis{Article: "wing", Coefficients: "absolute", ReferenceArea: "original", ReferenceChord: "chord", MomentCenter: "quarter-chord point", MomentSign: "nose-up",
		AngleDatum: "chord", Drag: "total", Walls: "corrected", AspectRatioBasis: "as-tested", ReynoldsKind: "effective", Reynolds: "given re",
		CenterOfGravity: "none", Configuration: extract.Configuration{Flap: "split", Deflection: "column flap"}}
	re := []extract.Column{{Key: "re", Quantity: "Reynolds number", Unit: "1"}}
	table(s, extract.Table{ID: polarID, Name: "polar", Caption: "TABLE I.—THE WING", Basis: wing, Givens: re, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "alpha", Quantity: "angle of attack", Unit: "deg"},
		{Key: "cl", Quantity: "lift coefficient", Unit: "1"},
		{Key: "cd", Quantity: "drag coefficient", Unit: "1"},
	}}, "0|0|.158|.0115", "0|2|.316|.0159", "0|4|.474|.0232", "30|0|.858|.0911", "30|2|1.016|.1063", "30.0|4|1.174|.1258")
	given(s, polarID, "re", "3,400,000")
	wing.Configuration.Deflection = "column flap"
	table(s, extract.Table{ID: addedID, Name: "increments", Basis: wing, Givens: append(re, extract.Column{Key: "alpha", Quantity: "angle of attack", Unit: "deg"}),
		Columns: []extract.Column{
			{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
			{Key: "dcl", Quantity: "lift increment", Unit: "1", Basis: &extract.Basis{Increment: "constant-angle"}},
			{Key: "dcd", Quantity: "drag increment", Unit: "1", Basis: &extract.Basis{Increment: "constant-angle"}},
			{Key: "dclmax", Quantity: "lift increment", Unit: "1", Basis: &extract.Basis{Increment: "between-maxima"}},
		}}, "30|.70|.080|.62")
	given(s, addedID, "re", "3,400,000")
	given(s, addedID, "alpha", "2")
	flight := extract.Basis{Article: "aeroplane", Stall: "break", EntryRate: "1 knot per second", AirspeedKind: "IAS", AirspeedMeaning: "the reading of the instrument", Weight: "given w",
		WeightCondition: "test", CenterOfGravity: "26 percent", Configuration: extract.Configuration{Flap: "split", Deflection: "column flap", Gear: "fixed", Power: "idle"}}
	table(s, extract.Table{ID: stallsID, Name: "stalls", Basis: flight, Givens: []extract.Column{{Key: "w", Quantity: "test weight", Unit: "lb"}}, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"},
		{Key: "speed", Quantity: "stall speed", Unit: "knots"},
	}}, "0|56", "30|49")
	given(s, stallsID, "w", "3,980")
	up := extract.Configuration{Flap: "split", Deflection: "up"}
	table(s, extract.Table{ID: limitsID, Name: "limits", Caption: "LIMITATIONS", Layout: "list", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
		Rows: []extract.RowRule{
			{Label: "Maximum weight, lb.", Quantity: "weight", Unit: "lb", Basis: &extract.Basis{WeightCondition: "maximum"}},
			{Label: "Wing area, sq. ft.", Quantity: "wing area", Unit: "sq ft", Basis: &extract.Basis{ReferenceArea: "gross"}},
			{Label: "Flaps 30 deg., knots", Quantity: "flap limit speed", Unit: "knots", Basis: &extract.Basis{AirspeedKind: "CAS", Configuration: extract.Configuration{Flap: "split", Deflection: "30"}}},
			{Label: "Load factor", Quantity: "positive load factor", Unit: "1", Basis: &extract.Basis{Limit: "limit", Weight: "given w", Configuration: up}},
		}, Givens: []extract.Column{{Key: "w", Quantity: "test weight", Unit: "lb"}}}, "Maximum weight, lb.|4,150", "Wing area, sq. ft.|236.0", "Flaps 30 deg., knots|95", "Load factor|5.5")
	given(s, limitsID, "w", "4,150")
	s.Subjects = []*extract.Subject{
		{Schema: 1, Name: "wing-a", Kind: "wing", Title: "Wing A", Tables: []extract.SubjectTable{{Table: "polar"}, {Table: "increments"}}},
		{Schema: 1, Name: "craft-a", Kind: "aeroplane", Title: "Craft A", Tables: []extract.SubjectTable{{Table: "stalls"}, {Table: "limits"}}},
	}
	return s
}

func table(s *extract.Study, t extract.Table, rows ...string) {
	t.Schema, t.Status, t.Source, t.Pages, t.Origin = 1, "ready", "report-12", "3", "print"
	if t.Layout == "" {
		t.Layout = "grid"
	}
	g := &extract.Register{Schema: 1, TableID: t.ID}
	r := &extract.Reading{Meta: extract.ReadingMeta{Schema: 1, TableID: t.ID, Reader: "text"}}
	for i, row := range rows {
		key := fmt.Sprintf("r%02d", i+1)
		g.Rows = append(g.Rows, extract.KnownRow{Key: key, Page: 3})
		for k, text := range strings.Split(row, "|") {
			x, y := 100+40*float64(k), 200+12*float64(i)
			r.Cells = append(r.Cells, extract.Cell{Row: key, Column: t.Columns[k].Key, Text: text, Place: extract.Place{Page: 3, Box: extract.Rect{X0: x, Y0: y, X1: x + 30, Y1: y + 9.5}}, Confidence: -1})
		}
	}
	s.Tables, s.Registers[t.ID], s.Readings[t.ID] = append(s.Tables, &t), g, []*extract.Reading{r}
}

func given(s *extract.Study, table, key, text string) {
	r := s.Readings[table][0]
	r.Cells = append(r.Cells, extract.Cell{Row: extract.Given, Column: key, Text: text, Place: extract.Place{Page: 3}, Confidence: -1})
}

func set(s *extract.Study, table, row, column, text string) {
	for i := range s.Readings[table][0].Cells {
		if c := &s.Readings[table][0].Cells[i]; c.Row == row && c.Column == column {
			c.Text = text
		}
	}
}

func run(t testing.TB, s *extract.Study) *validate.Report {
	t.Helper()
	list, err := validate.ReadRulings(s.Dir)
	if err != nil {
		t.Fatal(err)
	}
	return validate.Run(s, list)
}

func rule(t testing.TB, s *extract.Study, target string, act validate.Act) {
	t.Helper()
	act.Who = "ab"
	if act.When.IsZero() {
		act.When = monday
	}
	if _, err := run(t, s).Decide(target, act); err != nil {
		t.Fatal(err)
	}
}

// edition publishes the study, verifies what was written and loads it.
func edition(t testing.TB, s *extract.Study, version string) *datasets.Edition {
	t.Helper()
	r := run(t, s)
	_, dir, err := Study(r, version)
	if err != nil {
		for _, f := range r.Blocking() {
			t.Logf("blocking: %s: %s", f.Where, f.Message)
		}
		t.Fatal(err)
	}
	if problems, err := datasets.Verify(dir); err != nil || len(problems) > 0 {
		t.Fatalf("the edition does not verify: %v %v", err, problems)
	}
	e, err := datasets.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func value(t testing.TB, e *datasets.Edition, table, row, column string) datasets.Value {
	t.Helper()
	for _, v := range e.Values {
		if v.Table == table && v.Row == row && v.Column == column {
			return v
		}
	}
	t.Fatalf("%s:%s:%s is not published", table, row, column)
	return datasets.Value{}
}

func has(e *datasets.Edition, table, row, column string) bool {
	return slices.ContainsFunc(e.Values, func(v datasets.Value) bool { return v.Table == table && v.Row == row && v.Column == column })
}

func conditions(t testing.TB, e *datasets.Edition, id string) datasets.Conditions {
	t.Helper()
	for _, c := range e.Conditions {
		if c.ConditionsID == id {
			return c
		}
	}
	t.Fatalf("no conditions %s", id)
	return datasets.Conditions{}
}

func configuration(t testing.TB, e *datasets.Edition, id string) datasets.Configuration {
	t.Helper()
	for _, c := range e.Configurations {
		if c.ConfigurationID == id {
			return c
		}
	}
	t.Fatalf("no configuration %q", id)
	return datasets.Configuration{}
}

// files is every file of a folder with its content.
func files(t testing.TB, dir string) map[string]string {
	t.Helper()
	m := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		m[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestARefusedStudyWritesNothing(t *testing.T) {
	s := report(t)
	set(s, polarID, "r02", "cl", ".3l6")
	before := files(t, s.Dir)
	_, _, err := Study(run(t, s), "")
	var refused *RefusedError
	if !errors.As(err, &refused) || len(refused.Blocking) != 1 || refused.Blocking[0].Where != "polar:r02:cl" {
		t.Fatalf("got %v", err)
	}
	if msg := "blocking findings without a ruling: 1; nothing was published\nhint: windtally findings lists them, windtally rule settles them"; err.Error() != msg {
		t.Errorf("got %s\nwant %s", err, msg)
	}
	if after := files(t, s.Dir); !maps.Equal(after, before) {
		t.Errorf("the study's folder has now %v", slices.Sorted(maps.Keys(after)))
	}
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Reread, Value: ".316"})
	e := edition(t, s, "")
	if v := value(t, e, "polar", "r02", "cl"); v.Value != "0.316" || v.Printed != ".316" || v.Checked != "reread" || v.RulingID == "" || v.Decimals != "3" || v.HalfWidth != "0.0005" {
		t.Errorf("published as %+v", v)
	}
}

func TestSameStudySameBytes(t *testing.T) {
	a, b := report(t), report(t)
	rule(t, a, "polar:r01:cl", validate.Act{Decision: validate.Confirm})
	data, err := os.ReadFile(filepath.Join(a.Dir, "rulings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.Dir, "rulings.csv"), data, 0o666); err != nil {
		t.Fatal(err)
	}
	slices.Reverse(b.Tables) // the order in which files are found is not part of a study
	slices.Reverse(b.Subjects)
	e := edition(t, a, "1.0.0")
	edition(t, b, "1.0.0")
	x, y := files(t, filepath.Join(a.Dir, "editions", "1.0.0")), files(t, filepath.Join(b.Dir, "editions", "1.0.0"))
	if len(x) < 15 {
		t.Fatalf("an edition of %d files", len(x))
	}
	for _, name := range slices.Sorted(maps.Keys(x)) {
		if x[name] != y[name] {
			t.Errorf("%s differs:\n%s\n%s", name, x[name], y[name])
		}
		if strings.Contains(x[name], a.Dir) {
			t.Errorf("%s names the study's folder", name)
		}
	}
	if e.Created != "1938-05-02T09:00:00Z" {
		t.Errorf("created %s, the newest ruling is of 1938-05-02 9:00", e.Created)
	}
}

func TestWithoutARulingCreatedIsNoDate(t *testing.T) {
	e := edition(t, report(t), "")
	if e.Created != "1970-01-01T00:00:00Z" || !strings.HasSuffix(e.Description, "Nobody has ruled on any figure yet, so that the edition bears no date of its own: created stands at 1970.") {
		t.Errorf("created %s, %s", e.Created, e.Description)
	}
}

func TestPolarsAreGroupedBySetting(t *testing.T) {
	e := edition(t, report(t), "")
	got := map[string][]string{}
	for _, p := range e.Polars {
		c := configuration(t, e, p.ConfigurationID)
		got[p.PolarID+" "+string(c.FlapDeflection.Value)] = append(got[p.PolarID+" "+string(c.FlapDeflection.Value)], fmt.Sprintf("%d: %s %s %s", p.Point, p.AngleOfAttack.Value, p.LiftCoefficient.Value, p.DragCoefficient.Value))
	}
	var list []string
	for k, points := range got {
		list = append(list, strings.Split(k, " ")[1]+" deg: "+strings.Join(points, "; "))
	}
	slices.Sort(list)
	want := []string{"0 deg: 1: 0 0.158 0.0115; 2: 2 0.316 0.0159; 3: 4 0.474 0.0232", "30 deg: 1: 0 0.858 0.0911; 2: 2 1.016 0.1063; 3: 4 1.174 0.1258"}
	if !slices.Equal(list, want) {
		t.Errorf("polars:\n%s\nwant:\n%s", strings.Join(list, "\n"), strings.Join(want, "\n"))
	}
	c := conditions(t, e, e.Polars[0].ConditionsID)
	if c.Article != "wing" || c.DragKind != "total" || c.AngleDatum != "chord" || c.Walls != "corrected" || c.ReynoldsKind != "effective" || c.Reynolds.Value != "3400000" || c.Reynolds.HalfWidth != "50000" || c.Reynolds.ValueID == "" || c.MomentCenter != "" {
		t.Errorf("the polar's conditions are %+v", c)
	}
}

func TestConditionsCarryWhatBearsOnTheQuantity(t *testing.T) {
	e := edition(t, report(t), "")
	cl, alpha := conditions(t, e, value(t, e, "polar", "r01", "cl").ConditionsID), conditions(t, e, value(t, e, "polar", "r01", "alpha").ConditionsID)
	if cl.DragKind != "" || cl.AngleDatum != "" || cl.CoefficientSystem != "absolute" || cl.ReferenceArea != "original" {
		t.Errorf("a lift coefficient has conditions %+v", cl)
	}
	if alpha.AngleDatum != "chord" || alpha.CoefficientSystem != "" || alpha.ReferenceArea != "" || alpha.DragKind != "" {
		t.Errorf("an angle has conditions %+v", alpha)
	}
	area := conditions(t, e, value(t, e, "limits", "r02", "value").ConditionsID)
	if area != (datasets.Conditions{ConditionsID: area.ConditionsID, Article: "aeroplane", ReferenceArea: "gross"}) {
		t.Errorf("an area has conditions %+v", area)
	}
	stall := conditions(t, e, e.StallSpeeds[0].ConditionsID)
	if stall != (datasets.Conditions{ConditionsID: stall.ConditionsID, Article: "aeroplane", AirspeedKind: "IAS", AirspeedDefinition: "the reading of the instrument",
		StallDefinition: "break", EntryRate: "1 knot per second", CenterOfGravity: "26 percent", WeightCondition: "test"}) {
		t.Errorf("a stall speed has conditions %+v", stall)
	}
}

// Figures with power on hold at the thrust coefficient that their table gives, and at
// none where it gives none.
func TestThrustCoefficientGoesWithTheFigures(t *testing.T) {
	before := conditions(t, edition(t, report(t), ""), value(t, edition(t, report(t), ""), "polar", "r01", "cl").ConditionsID)
	s := report(t)
	for _, x := range s.Tables {
		if x.Name == "polar" {
			x.Givens = append(x.Givens, extract.Column{Key: "tc", Quantity: "thrust coefficient", Unit: "1"})
			x.Basis.Thrust = "given tc"
		}
	}
	given(s, polarID, "tc", "0.20")
	e := edition(t, s, "")
	c := conditions(t, e, value(t, e, "polar", "r01", "cl").ConditionsID)
	if c.ThrustCoefficient.Value != "0.20" || c.ThrustCoefficient.HalfWidth != "0.005" || c.ThrustCoefficient.ValueID == "" || c.ConditionsID == before.ConditionsID {
		t.Errorf("the conditions are %+v", c)
	}
	other := conditions(t, e, value(t, e, "increments", "r01", "dcl").ConditionsID)
	if other.ThrustCoefficient != (datasets.Measured{}) {
		t.Errorf("a table without a thrust coefficient has %+v", other.ThrustCoefficient)
	}
}

// An increment at constant angle and one between maxima are two records, whatever
// row they stand in.
func TestIncrements(t *testing.T) {
	e := edition(t, report(t), "")
	var got []string
	for _, i := range e.FlapIncrements {
		c := configuration(t, e, i.ConfigurationID)
		got = append(got, fmt.Sprintf("%s at %q: lift %q drag %q, flap %s %s", conditions(t, e, i.ConditionsID).IncrementBasis, i.AtAngleOfAttack.Value, i.LiftIncrement.Value, i.DragIncrement.Value, c.FlapType, c.FlapDeflection.Value))
	}
	slices.Sort(got)
	want := []string{`between-maxima at "": lift "0.62" drag "", flap split 30`, `constant-angle at "2": lift "0.70" drag "0.080", flap split 30`}
	if !slices.Equal(got, want) {
		t.Errorf("increments:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// 1 knot is 1852/3600 m/s and 1 lb is 4.4482216152605 N (NIST SP 811, App. B.8): 56
// knots are 28.808889 m/s, half a knot .2572222 m/s; 3,980 lb are 17703.922 N.
func TestStallSpeedsAndLimits(t *testing.T) {
	e := edition(t, report(t), "")
	if len(e.StallSpeeds) != 2 || len(e.Limits) != 2 {
		t.Fatalf("%d stall speeds, %d limits; want 2 of each", len(e.StallSpeeds), len(e.Limits))
	}
	for _, s := range e.StallSpeeds {
		c := configuration(t, e, s.ConfigurationID)
		if c.FlapDeflection.Value != "0" {
			continue
		}
		if s.Speed.Value != "28.8089" || s.Speed.HalfWidth != "0.2573" || s.AirspeedKind != "IAS" || s.Weight.Value != "17703.922" || c.Gear != "fixed" || c.PowerState != "idle" {
			t.Errorf("56 knots I.A.S. at 3,980 lb.: %+v in %+v", s, c)
		}
	}
	for _, l := range e.Limits {
		c := configuration(t, e, l.ConfigurationID)
		switch l.Quantity {
		case "flap limit speed":
			// 95 knots are 48.872222 m/s; the deflection stands in the label.
			if l.Value != "48.8722" || l.AirspeedKind != "CAS" || c.FlapDeflection != (datasets.Measured{Value: "30"}) || l.LimitKind != "" {
				t.Errorf("95 knots with flaps 30: %+v in %+v", l, c)
			}
		case "positive load factor":
			// 4,150 lb are 18460.1197 N.
			if l.Value != "5.5" || l.LimitKind != "limit" || l.Weight.Value != "18460.120" || c.FlapDeflection.Value != "0" {
				t.Errorf("load factor: %+v in %+v", l, c)
			}
		}
	}
}

// A stall speed takes the bank and the load factor of its row; of two it takes none.
func TestBankAndLoadFactorOfAStallSpeed(t *testing.T) {
	for _, second := range []string{"bank angle", "unclassified"} {
		s := report(t)
		at := slices.IndexFunc(s.Tables, func(x *extract.Table) bool { return x.ID == stallsID })
		table := s.Tables[at]
		table.Columns = append(slices.Clone(table.Columns), extract.Column{Key: "bank", Quantity: "bank angle", Unit: "deg"},
			extract.Column{Key: "more", Quantity: second, Unit: "deg"}, extract.Column{Key: "n", Quantity: "load factor in flight", Unit: "1"})
		r := s.Readings[stallsID][0]
		for _, c := range []extract.Cell{{Column: "bank", Text: "45"}, {Column: "more", Text: "60"}, {Column: "n", Text: "1.41"}} {
			for _, row := range r.RowKeys() {
				c.Row, c.Place = row, extract.Place{Page: 3}
				r.Cells = append(r.Cells, c)
			}
		}
		e := edition(t, s, "")
		bank := datasets.Number("45")
		if second == "bank angle" {
			bank = ""
		}
		for _, v := range e.StallSpeeds {
			if v.Bank.Value != bank || v.LoadFactor.Value != "1.41" {
				t.Errorf("beside %s: bank %+v, load factor %+v; want %q and 1.41", second, v.Bank, v.LoadFactor, bank)
			}
		}
	}
}

func TestTheStateGoesWithTheNumber(t *testing.T) {
	s := report(t)
	r := *s.Readings[polarID][0]
	r.Meta.Reader = "keyed-ab"
	r.Cells = slices.Clone(r.Cells)
	s.Readings[polarID] = append(s.Readings[polarID], &r)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Confirm})
	e := edition(t, s, "")
	for _, c := range []struct{ table, row, column, checked, readers string }{
		{"stalls", "r01", "speed", "unwitnessed", "text"},
		{"polar", "r01", "cl", "agreed", "keyed-ab text"},
		{"polar", "r02", "cl", "confirmed", "keyed-ab text"},
	} {
		if v := value(t, e, c.table, c.row, c.column); v.Checked != c.checked || v.Readers != c.readers {
			t.Errorf("%s:%s:%s is %s by %s, want %s by %s", c.table, c.row, c.column, v.Checked, v.Readers, c.checked, c.readers)
		}
	}
	if v := value(t, e, "polar", "r01", "cl"); v.Page != 3 || v.X0 != "180.00" || v.Y0 != "200.00" || v.X1 != "210.00" || v.Y1 != "209.50" {
		t.Errorf("its place is %+v", v)
	}
}

func TestAWithheldCellIsAbsentAndSaidSo(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Withhold, Reason: "the print is blotted"})
	e := edition(t, s, "")
	if has(e, "polar", "r02", "cl") {
		t.Error("the withheld figure is published")
	}
	for name, text := range files(t, filepath.Join(s.Dir, "editions", "0.1.0")) {
		if strings.HasPrefix(name, "data/values") && strings.Contains(text, ",.316,") {
			t.Errorf("%s holds the withheld text", name)
		}
	}
	if len(e.Findings) != 1 || e.Findings[0].State != "withheld" || e.Findings[0].Message != "polar:r02:cl is withheld: the print is blotted" || e.Findings[0].Cells != polarID+"/r02/cl" || e.Findings[0].RulingID == "" {
		t.Errorf("findings: %+v", e.Findings)
	}
	// Angle and drag of the row still make a point.
	if len(e.Polars) != 6 {
		t.Errorf("%d points, want 6", len(e.Polars))
	}
}

func TestAWithheldFindingIsAbsentAndSaidSo(t *testing.T) {
	s := report(t)
	set(s, polarID, "r02", "cl", ".316b")
	f := run(t, s).Findings[0]
	rule(t, s, f.ID, validate.Act{Decision: validate.Withhold, Reason: "a letter stands there"})
	e := edition(t, s, "")
	if has(e, "polar", "r02", "cl") {
		t.Error("the withheld figure is published")
	}
	if len(e.Findings) != 1 || e.Findings[0].FindingID != f.ID || e.Findings[0].State != "withheld" || e.Findings[0].Severity != "doubt" {
		t.Errorf("findings: %+v", e.Findings)
	}
}

// A deflection that is withheld takes with it what was measured at it.
func TestAWithheldDeflection(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r04:flap", validate.Act{Decision: validate.Withhold, Reason: "blotted"})
	_, _, err := Study(run(t, s), "")
	var refused *RefusedError
	if !errors.As(err, &refused) || len(refused.Blocking) != 2 {
		t.Fatalf("got %v", err)
	}
	for _, f := range refused.Blocking {
		rule(t, s, f.ID, validate.Act{Decision: validate.Withhold, Reason: "in no known configuration"})
	}
	e := edition(t, s, "")
	for _, column := range []string{"flap", "cl", "cd"} {
		if has(e, "polar", "r04", column) {
			t.Errorf("polar:r04:%s is published", column)
		}
	}
}

func TestAnEmendedValueKeepsThePrint(t *testing.T) {
	s := report(t)
	set(s, polarID, "r02", "cl", ".361")
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Emend, Value: ".316", Reason: "digits exchanged"})
	rule(t, s, "polar:given:re", validate.Act{Decision: validate.Emend, Value: "4,300,000", Reason: "the text says so"})
	e := edition(t, s, "")
	if v := value(t, e, "polar", "r02", "cl"); v.Value != "0.316" || v.Printed != ".361" || v.PrintEmended != ".316" || v.Checked != "emended" || v.RulingID == "" {
		t.Errorf("published as %+v", v)
	}
	c := conditions(t, e, value(t, e, "polar", "r02", "cl").ConditionsID)
	if v := value(t, e, "polar", "given", "re"); c.Reynolds.Value != "4300000" || c.Reynolds.ValueID != v.ValueID || v.Printed != "3,400,000" || v.PrintEmended != "4,300,000" {
		t.Errorf("Reynolds number %+v, provenance %+v", c.Reynolds, v)
	}
}

// Nothing printed where the reading has a figure: the figure goes, its ruling stays.
func TestARereadOfNothing(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Reread, Reason: "a blot, no figure"})
	e := edition(t, s, "")
	if has(e, "polar", "r02", "cl") {
		t.Error("a figure is published where nothing is printed")
	}
	if len(e.Reviews) != 1 || e.Reviews[0].Decision != "reread" || e.Reviews[0].Value != "" || e.Reviews[0].Reason != "a blot, no figure" {
		t.Errorf("reviews: %+v", e.Reviews)
	}
}

// A figure that only a ruling gives stands on the page of its table.
func TestAFigureThatOnlyARulingGives(t *testing.T) {
	s := report(t)
	r := s.Readings[polarID][0]
	r.Cells = slices.DeleteFunc(r.Cells, func(c extract.Cell) bool { return c.Row == extract.Given })
	rule(t, s, "polar:given:re", validate.Act{Decision: validate.Reread, Value: "3,400,000", Reason: "the caption says so"})
	e := edition(t, s, "")
	if v := value(t, e, "polar", "given", "re"); v.Page != 3 || v.Readers != "ruling" || v.Checked != "reread" || v.Printed != "3,400,000" {
		t.Errorf("published as %+v", v)
	}
}

// A ditto mark is as certain as the figure that it repeats.
func TestDitto(t *testing.T) {
	s := report(t)
	set(s, stallsID, "r02", "speed", `"`)
	rule(t, s, "stalls:r02:speed", validate.Act{Decision: validate.Confirm})
	e := edition(t, s, "")
	if v := value(t, e, "stalls", "r02", "speed"); v.Printed != `"` || v.Value != "28.8089" || v.Checked != "unwitnessed" || v.Formula != "m/s from [kn_i]; ditto: the figure of row r01" {
		t.Errorf("published as %+v", v)
	}
	set(s, polarID, "r02", "flap", `"`)
	if v := value(t, edition(t, s, ""), "polar", "r02", "flap"); v.Printed != `"` || v.Value != "0" || v.Formula != "ditto: the figure of row r01" {
		t.Errorf("published as %+v", v)
	}
	// What the mark repeats is withheld: so is the mark.
	rule(t, s, "stalls:r01:speed", validate.Act{Decision: validate.Withhold, Reason: "blotted"})
	r := run(t, s)
	if b := r.Blocking(); len(b) != 1 || b[0].Where != "stalls:r02:speed" || b[0].Message != `a ditto mark "\"" stands under no figure` {
		t.Errorf("blocking: %v", b)
	}
}

func TestValueIDsAreOfNoValue(t *testing.T) {
	ids := func(s *extract.Study) []string {
		var list []string
		for _, v := range edition(t, s, "").Values {
			list = append(list, v.ValueID)
		}
		slices.Sort(list)
		return list
	}
	a, b := report(t), report(t)
	set(b, polarID, "r02", "cl", ".317")
	set(b, polarID, "r02", "flap", "1")
	set(b, polarID, "given", "re", "3,500,000")
	set(b, stallsID, "given", "w", "3,990")
	set(b, stallsID, "r01", "speed", "57")
	if x, y := ids(a), ids(b); !slices.Equal(x, y) {
		t.Errorf("with other values the ids are\n%v\nwant\n%v", y, x)
	}
}

func TestPreferredSource(t *testing.T) {
	s := report(t)
	s.Sources = append(s.Sources, &extract.Source{Schema: 1, Name: "notes", File: "notes.pdf", Designation: "Notes", Title: "Notes", Year: 1938, Rights: "invented", SHA256: strings.Repeat("1", 64), Pages: 9})
	table(s, extract.Table{ID: "t00000001", Name: "notes", Layout: "list", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
		Rows: []extract.RowRule{
			{Label: "Weight, lb.", Quantity: "weight", Unit: "lb", Basis: &extract.Basis{WeightCondition: "empty"}},
			{Label: "Area, sq. ft.", Quantity: "wing area", Unit: "sq ft", Basis: &extract.Basis{ReferenceArea: "gross"}},
		}}, "Weight, lb.|2,900", "Area, sq. ft.|236.2")
	s.Table("notes").Source = "notes"
	s.Subjects[1].Tables = append(s.Subjects[1].Tables, extract.SubjectTable{Table: "notes"})
	s.Subjects[1].Prefer = []extract.Preference{{Quantity: "wing area", Source: "notes"}, {Quantity: "weight", Source: "notes"}}
	e := edition(t, s, "")
	count := map[string]int{}
	for _, c := range e.Characteristics {
		count[c.Quantity]++
		if v := value(t, e, "notes", "r02", "value"); c.Quantity == "wing area" && c.ValueID != v.ValueID {
			t.Errorf("the area is %+v, the notes are preferred", c)
		}
	}
	// An empty weight does not speak for the maximum weight.
	if count["wing area"] != 1 || count["weight"] != 2 || !has(e, "limits", "r02", "value") {
		t.Errorf("characteristics: %v", count)
	}
}

// Total and profile drag beside one lift coefficient are two polars.
func TestTwoKindsOfDragInARow(t *testing.T) {
	s := report(t)
	tb := s.Table("polar")
	tb.Columns = append(tb.Columns, extract.Column{Key: "cd0", Quantity: "drag coefficient", Unit: "1", Basis: &extract.Basis{Drag: "profile"}})
	r := s.Readings[polarID][0]
	for i, text := range []string{".0100", ".0101", ".0102", ".0500", ".0502", ".0505"} {
		r.Cells = append(r.Cells, extract.Cell{Row: fmt.Sprintf("r%02d", i+1), Column: "cd0", Text: text, Place: extract.Place{Page: 3}, Confidence: -1})
	}
	kinds := map[string]string{}
	for _, p := range edition(t, s, "").Polars {
		e := p.DragCoefficient.Value
		kinds[string(e)] = string(p.LiftCoefficient.Value) + " " + string(p.AngleOfAttack.Value)
	}
	if len(kinds) != 12 || kinds["0.0101"] != "0.316 2" || kinds["0.0159"] != "0.316 2" {
		t.Errorf("drag with lift and angle: %v", kinds)
	}
}

// A table with one angle and a lift coefficient for each of two Reynolds numbers.
func TestOneAngleForTwoStates(t *testing.T) {
	s := report(t)
	tb := s.Table("polar")
	tb.Basis.ReynoldsKind, tb.Basis.Reynolds = "not-stated", ""
	tb.Columns[2].Basis = &extract.Basis{ReynoldsKind: "effective", Reynolds: "given re"}
	tb.Columns[3] = extract.Column{Key: "cd", Quantity: "lift coefficient", Unit: "1"}
	var got []string
	for _, p := range edition(t, s, "").Polars {
		got = append(got, fmt.Sprintf("%s %s", p.AngleOfAttack.Value, p.LiftCoefficient.Value))
	}
	slices.Sort(got)
	want := []string{"0 0.0115", "0 0.0911", "0 0.158", "0 0.858", "2 0.0159", "2 0.1063", "2 0.316", "2 1.016", "4 0.0232", "4 0.1258", "4 0.474", "4 1.174"}
	if !slices.Equal(got, want) {
		t.Errorf("points %v, want %v", got, want)
	}
}

func TestEditionsAndTheirSteps(t *testing.T) {
	s := report(t)
	first := edition(t, s, "")
	if first.Version != "0.1.0" || len(first.Changes) != 0 {
		t.Errorf("the first edition is %s with %d changes", first.Version, len(first.Changes))
	}
	if _, _, err := Study(run(t, s), ""); err == nil || err.Error() != "nothing changed since edition 0.1.0; nothing was published" {
		t.Errorf("the same again: %v", err)
	}
	old := value(t, first, "polar", "r02", "cl")
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Emend, Value: ".326", Reason: "misprint"})
	if _, _, err := Study(run(t, s), "0.1.1"); err == nil || !strings.HasPrefix(err.Error(), "version 0.1.1 is too small a step from 0.1.0: the least is minor, 0.2.0 or later, because of ") {
		t.Errorf("a number changed in a patch: %v", err)
	}
	second := edition(t, s, "")
	if second.Version != "0.2.0" || second.Previous != "0.1.0" {
		t.Errorf("the second edition is %s after %s", second.Version, second.Previous)
	}
	var found bool
	for _, c := range second.Changes {
		if c.Resource == "values" && c.Key == old.ValueID && c.Field == "value" {
			found = c.Old == "0.316" && c.New == "0.326" && c.Step == datasets.Minor
		}
	}
	if !found {
		t.Errorf("the change of %s from 0.316 to 0.326 is not listed: %v", old.ValueID, second.Changes)
	}
	rule(t, s, "stalls:r02:speed", validate.Act{Decision: validate.Withhold, Reason: "in doubt", When: monday.Add(time.Hour)})
	if _, _, err := Study(run(t, s), "0.3.0"); err == nil || !strings.Contains(err.Error(), "the least is major, 1.0.0 or later") {
		t.Errorf("a record withdrawn in a minor step: %v", err)
	}
	if third := edition(t, s, ""); third.Version != "1.0.0" {
		t.Errorf("the third edition is %s", third.Version)
	}
	names, _ := os.ReadDir(filepath.Join(s.Dir, "editions"))
	if len(names) != 3 {
		t.Errorf("%d editions, want 3 and nothing beside them", len(names))
	}
}

func TestAnUndoIsNoConfirmation(t *testing.T) {
	s := report(t)
	rule(t, s, "polar:r02:cl", validate.Act{Decision: validate.Reread, Value: ".361"})
	rule(t, s, "polar:r02:cl", validate.Act{Undo: true, Reason: "wrong row"})
	e := edition(t, s, "")
	if v := value(t, e, "polar", "r02", "cl"); v.Value != "0.316" || v.Checked != "unwitnessed" || v.RulingID != "" {
		t.Errorf("published as %+v", v)
	}
	for _, r := range e.Reviews {
		if r.Supersedes != "" && r.Reason != "takes back the ruling that it supersedes, and decides nothing: wrong row" {
			t.Errorf("the undo is published as %+v", r)
		}
	}
	if len(e.Reviews) != 2 {
		t.Errorf("%d reviews, want both rulings", len(e.Reviews))
	}
}

func TestUnclassifiedIsNotPublished(t *testing.T) {
	s := report(t)
	s.Table("polar").Columns[3].Quantity = "unclassified"
	if e := edition(t, s, ""); has(e, "polar", "r01", "cd") || !has(e, "polar", "r01", "cl") {
		t.Error("the unclassified column is published, or its neighbour is not")
	}
}

func TestNothingToPublish(t *testing.T) {
	s := report(t)
	s.Subjects = nil
	if _, _, err := Study(run(t, s), ""); err == nil || err.Error() != "no figure of the study is published: no ready table with a reading is in a subject's record\nhint: write subjects/*.yaml, and see windtally findings" {
		t.Errorf("got %v", err)
	}
}
