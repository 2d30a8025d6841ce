package validate

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"

	"windtally/extract"
)

// written puts a study on disk by the ways that people use and opens it again, so that
// a case goes the whole way: files, collation, normalization, checks.
func written(t *testing.T, s *extract.Study) *extract.Study {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "study")
	if err := extract.NewStudy(dir, s.Settings); err != nil {
		t.Fatal(err)
	}
	open := func() *extract.Study {
		t.Helper()
		w, err := extract.OpenStudy(dir)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	w := open()
	for _, src := range s.Sources {
		file := filepath.Join(t.TempDir(), src.Name+".pdf")
		if err := os.WriteFile(file, []byte(src.Name), 0o666); err != nil {
			t.Fatal(err)
		}
		if err := w.AddSource(&extract.Source{Name: src.Name, Designation: src.Designation, Title: src.Title, Year: src.Year, Rights: src.Rights, Pages: src.Pages}, file); err != nil {
			t.Fatal(err)
		}
	}
	for _, table := range s.Tables {
		if err := w.AddTable(table); err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Readings[table.ID] {
			var rows []extract.RawRow
			var givens []extract.Cell
			last := ""
			for _, c := range r.Cells {
				if c.Row == extract.Given {
					givens = append(givens, c)
					continue
				}
				if c.Row != last {
					rows = append(rows, extract.RawRow{Page: 3, Cells: map[string]extract.Cell{}})
					last = c.Row
				}
				rows[len(rows)-1].Cells[c.Column] = c
			}
			if _, err := w.AddReading(table, extract.ReadingMeta{Reader: r.Meta.Reader, Program: "windtally 0.1.0", Settings: "none"}, rows, givens); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, sub := range s.Subjects {
		var b bytes.Buffer
		if err := yaml.NewEncoder(&b).Encode(sub); err != nil {
			t.Fatal(err)
		}
		if err := extract.WriteFile(filepath.Join(dir, "subjects", sub.Name+".yaml"), nil, b.Bytes()); err != nil {
			t.Fatal(err)
		}
	}
	return open()
}

// printed is one table of a case: its rows with strokes between the cells, and its
// given figures as KEY = TEXT.
type printed struct {
	extract.Table
	rows, givens []string
}

// of makes a study of one subject of the tables.
func of(kind string, tables ...printed) *extract.Study {
	s := newStudy()
	sub := &extract.Subject{Schema: 1, Name: "tarn", Kind: kind, Title: "Tarn"}
	for i, p := range tables {
		p.Table.ID = fmt.Sprintf("t%08x", i+1)
		if p.Name == "" {
			p.Table.Name = "table"
		}
		table := addTable(s, p.Table, "keyed-ab", p.rows...)
		for _, g := range p.givens {
			key, text, _ := strings.Cut(g, " = ")
			addGiven(s, table, key, text)
		}
		sub.Tables = append(sub.Tables, extract.SubjectTable{Table: table.Name})
	}
	s.Subjects = []*extract.Subject{sub}
	return s
}

// particulars is a list: label, quantity, unit, figure, and what the basis says.
type particular struct {
	label, quantity, unit, figure string
	basis                         extract.Basis
}

func particulars(name string, list ...particular) printed {
	p := printed{Table: extract.Table{Name: name, Layout: "list", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}}}}
	for _, q := range list {
		p.Rows = append(p.Rows, extract.RowRule{Label: q.label, Quantity: q.quantity, Unit: q.unit, Basis: &q.basis})
		p.rows = append(p.rows, q.label+"|"+q.figure)
	}
	return p
}

// stallTable is stall speeds with flap up and down at a weight in the caption.
func stallTable(head, unit string, basis func(b *extract.Basis), speeds ...string) printed {
	b := flightBasis()
	b.Weight = "given weight"
	if basis != nil {
		basis(&b)
	}
	p := printed{Table: extract.Table{Name: "stalls", Basis: b, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "speed", Head: head, Quantity: "stall speed", Unit: unit}},
		Givens: []extract.Column{{Key: "weight", Quantity: "test weight", Unit: "lb"}}}, givens: []string{"weight = 2550"}}
	for i, v := range speeds {
		p.rows = append(p.rows, fmt.Sprintf("%d|%s", i*40, v))
	}
	return p
}

func maxima(up, down string) printed {
	b := flightBasis()
	b.Weight, b.WeightCondition = "", ""
	return printed{Table: extract.Table{Name: "maxima", Basis: b, Columns: []extract.Column{
		{Key: "flap", Quantity: "flap deflection", Unit: "deg"}, {Key: "clmax", Quantity: "maximum lift coefficient", Unit: "1"}}}, rows: []string{"0|" + up, "40|" + down}}
}

var (
	gross   = extract.Basis{ReferenceArea: "gross"}
	normal  = extract.Basis{WeightCondition: "normal"}
	maximum = extract.Basis{WeightCondition: "maximum"}
	rated   = extract.Basis{PowerRating: "rated"}
	takeOff = extract.Basis{PowerRating: "take-off"}
)

// The wing area of 173.5 sq. ft., 2550 lb and 53 and 46 kt of a light aeroplane's
// manual (TRADE.md 4.7, VERIFIED; C_Lmax 1.546 and 2.052 DERIVED) under invented names.
func flown(head, unit string, basis func(b *extract.Basis), speeds ...string) *extract.Study {
	return of("aeroplane", particulars("craft", particular{"Wing area, sq. ft.", "wing area", "sq ft", "173.5", gross}), stallTable(head, unit, basis, speeds...), maxima("1.546", "2.052"))
}

// metricList is a list of an aeroplane in metric units with one power.
func metricList(label, unit, figure string) *extract.Study {
	return of("aeroplane", particulars("craft",
		particular{"Span, m", "wing span", "m", "11.00", extract.Basis{}},
		particular{"Weight, kg", "weight", "kg", "1200", normal},
		particular{label, "power", unit, figure, rated}))
}

// powers is a list of an aeroplane in British units with powers.
func powers(list ...particular) *extract.Study {
	return of("aeroplane", particulars("craft", append([]particular{
		{"Span, ft.", "wing span", "ft", "36.0", extract.Basis{}},
		{"Gross weight, lb.", "weight", "lb", "2300", normal}}, list...)...))
}

// graded is a column of powers with a label in each row.
func graded(basis extract.Basis, caption string, rules []extract.RowRule, list ...string) *extract.Study {
	return of("aeroplane", printed{Table: extract.Table{Name: "engine", Caption: caption, Basis: basis, Rows: rules, Columns: []extract.Column{
		{Key: "item", Head: "Condition", Quantity: "label"}, {Key: "power", Head: "Power, hp", Quantity: "power", Unit: "hp"}}}, rows: list},
		particulars("craft", particular{"Span, ft.", "wing span", "ft", "36.0", extract.Basis{}}))
}

func turns(unit string, list ...string) *extract.Study {
	return of("aeroplane", printed{Table: extract.Table{Name: "turns", Basis: extract.Basis{Article: "aeroplane"}, Columns: []extract.Column{
		{Key: "bank", Quantity: "bank angle", Unit: unit}, {Key: "n", Quantity: "load factor in flight", Unit: "1"}}}, rows: list})
}

// speedLimits is a column of limit speeds under a caption.
func speedLimits(caption, head, kind, figure string) *extract.Study {
	b := flightBasis()
	b.AirspeedKind, b.AirspeedMeaning, b.Limit, b.Weight, b.WeightCondition, b.Configuration = kind, "", "limit", "", "", extract.Configuration{Flap: "none"}
	if kind == "IAS" {
		b.AirspeedMeaning = "not stated"
	}
	return of("aeroplane", printed{Table: extract.Table{Name: "limits", Caption: caption, Basis: b, Columns: []extract.Column{
		{Key: "item", Quantity: "label"}, {Key: "speed", Head: head, Quantity: "limit speed", Unit: "mph"}}}, rows: []string{"Never exceed|" + figure}})
}

// speedPair is limits as they are indicated, and as they are calibrated.
func speedPair(caption, indicated, calibrated string) *extract.Study {
	s := speedLimits(caption, calibrated, "CAS", "112")
	t := s.Tables[0]
	t.Columns = append(t.Columns, extract.Column{Key: "ias", Head: indicated, Quantity: "limit speed", Unit: "mph",
		Basis: &extract.Basis{AirspeedKind: "IAS", AirspeedMeaning: "not stated"}})
	return of("aeroplane", printed{Table: *t, rows: []string{"Never exceed|112|110"}})
}

// polar is the wing's polar in a system, scaled.
func polar(factor, angle float64, change func(t *extract.Table)) *extract.Study {
	s := wingStudy()
	scaledPolar(s, factor, angle, 11)
	if change != nil {
		change(table(s, polarID))
	}
	return s
}

func inUnits(system, density string) func(t *extract.Table) {
	return func(t *extract.Table) { t.Basis.Coefficients, t.Basis.Density = system, density }
}

// slopeAndMaximum is one wing's slope and greatest lift in a list.
func slopeAndMaximum(unit, slope, maximum string) *extract.Study {
	b := wingBasis()
	return of("wing", printed{Table: extract.Table{Name: "list", Basis: b, Columns: []extract.Column{{Key: "a", Quantity: "lift-curve slope", Unit: unit}, {Key: "m", Quantity: "maximum lift coefficient", Unit: "1"}}}, rows: []string{slope + "|" + maximum}},
		printed{Table: extract.Table{Name: "wing", Layout: "list", Basis: extract.Basis{Article: "wing"}, Columns: []extract.Column{{Key: "label"}, {Key: "value"}},
			Rows: []extract.RowRule{{Label: "Aspect ratio", Quantity: "aspect ratio", Unit: "1"}}}, rows: []string{"Aspect ratio|6.00"}})
}

// oneColumn is a table of one column, for what is refused before any figure counts.
func oneColumn(c extract.Column, change func(b *extract.Basis), rows ...string) *extract.Study {
	b := wingBasis()
	if change != nil {
		change(&b)
	}
	c.Key = "x"
	return of("wing", printed{Table: extract.Table{Name: "table", Basis: b, Columns: []extract.Column{c}}, rows: rows})
}

func kind(kind, meaning string) func(b *extract.Basis) {
	return func(b *extract.Basis) { b.AirspeedKind, b.AirspeedMeaning = kind, meaning }
}

// trap is one mis-statement, all the findings that it makes, and its clean twin, which
// makes none.
type trap struct {
	name  string
	study *extract.Study
	want  []string // severity, check, place: message
	twin  *extract.Study
}

func traps() []trap {
	return trapList
}

// Each trap of TRADE.md 2.4, each magnitude of 1.2 and 1.3, each live specimen of 5.3
// that concerns meaning, and the bad input of conversions. Specimens that are left out
// concern digits (S1, S6, the digits of S2 and S3), or prose that no column holds: S7 is a
// rule of thumb, S8 a formula's name, which the tests of package flight have.
func TestTraps(t *testing.T) {
	for _, c := range traps() {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, f := range Run(written(t, c.study), nil).Findings {
				got = append(got, fmt.Sprintf("%s %s %s: %s", f.Severity, f.Check, f.Where, f.Message))
			}
			if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
				t.Errorf("%d findings:\n%s\nwant %d:\n%s", len(got), strings.Join(got, "\n"), len(c.want), strings.Join(c.want, "\n"))
			}
			if c.twin == nil {
				t.Fatal("the trap has no clean twin")
			}
			for _, f := range Run(written(t, c.twin), nil).Findings {
				t.Errorf("the clean twin: %s %s %s: %s", f.Severity, f.Check, f.Where, f.Message)
			}
		})
	}
}
