package normalize

import (
	"fmt"
	"math/big"
	"reflect"
	"strings"

	"windtally/extract"
	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

// Step is one step of the way of a figure from its print, in words and as data.
type Step struct {
	Name  string // numeral, quantity, unit, conversion, half-width ...
	Says  string
	Facts []Fact
}

// Fact is one thing that a step states.
type Fact struct{ Name, Value string }

func step(name, says string, facts ...Fact) Step {
	var kept []Fact
	for _, f := range facts {
		if f.Value != "" {
			kept = append(kept, f)
		}
	}
	return Step{name, says, kept}
}

// At returns the figure of a cell with its row (nil for a given figure), nil where
// the cell has none; relations may use a figure that has no quantity.
func (s *Series) At(id extract.CellID) (*Row, *Datum) {
	if id.Row == extract.Given {
		return nil, s.Givens[id.Column]
	}
	for i := range s.Rows {
		if s.Rows[i].Key == id.Row {
			return &s.Rows[i], s.Rows[i].Datum(id.Column)
		}
	}
	return nil, nil
}

// Explain lists the steps from the text of a cell to its value in the canonical unit:
// the numeral, its quantity and unit, the conversion, the half-width, and the basis
// with the cells that it refers to. Nothing in it is remembered from Normalize: each
// factor is worked out anew from the units, and where that does not lead to the
// figure's value the step says so.
func (s *Series) Explain(id extract.CellID) []Step {
	cell := s.Collation.Cell(id.Row, id.Column)
	if cell == nil {
		return nil
	}
	row, d := s.At(id)
	if d == nil {
		if cell.State == extract.Withheld || cell.State.Waits() {
			return []Step{step("numeral", fmt.Sprintf("the cell is %s, so that no number is taken from it", cell.State))}
		}
		if n, err := numeral.Parse(cell.Text); err == nil && n.Kind == numeral.Number {
			return []Step{numeralStep(cell, nil, n), step("quantity", "the number has no meaning here, so that nothing follows from it")}
		} else if err == nil {
			return []Step{step("numeral", fmt.Sprintf("%q is no number: %s", cell.Text, n.Kind), Fact{"kind", n.Kind.String()})}
		}
		return []Step{step("numeral", fmt.Sprintf("%q is no number", cell.Text))}
	}
	list := []Step{numeralStep(cell, d.Above, d.Numeral)}
	if d.Quantity == nil {
		if c := s.Table.Column(id.Column); c != nil && c.Quantity == Unclassified {
			return append(list, step("quantity", "unclassified: its digits serve the relations of the table and nothing else", Fact{"quantity", Unclassified}))
		}
		return append(list, step("quantity", "none: what it means was refused, so that its digits serve the relations of the table and nothing else"))
	}
	canonical, _ := unit.Lookup(d.Quantity.Canonical)
	list = append(list,
		step("quantity", fmt.Sprintf("%s, %s; its canonical unit is %s", d.Quantity.Name, d.Quantity.Symbol, unitName(canonical)),
			Fact{"quantity", d.Quantity.Name}, Fact{"symbol", d.Quantity.Symbol}, Fact{"unit", d.Quantity.Canonical}),
		s.unitStep(row, id, d))
	list = append(list, conversion(d, canonical), rounding(d, canonical), halfWidth(d, canonical))
	if d.Accuracy != nil {
		list = append(list, step("accuracy", fmt.Sprintf("the source states an accuracy of %s %s for the column, which is kept apart from rounding", PublishedHalf(d.Accuracy), d.Quantity.Canonical),
			Fact{"accuracy", PublishedHalf(d.Accuracy).String()}))
	}
	return append(list, s.basisSteps(row, d)...)
}

// numeralStep says what the printed text was understood as.
func numeralStep(cell, above *extract.Collated, n numeral.Numeral) Step {
	says := fmt.Sprintf("%q is the number %s", cell.Text, written(n))
	facts := []Fact{{"number", written(n)}, {"step", n.Step().RatString()}}
	if above != nil {
		says = fmt.Sprintf("%q repeats row %s, %q: the number %s", cell.Text, above.ID.Row, above.Text, written(n))
		facts = append(facts, Fact{"repeats", above.ID.String()})
	}
	sign := "positive"
	switch n.Rat().Sign() {
	case 0:
		sign = "none"
	case -1:
		sign = "negative"
	}
	facts = append(facts, Fact{"sign", sign})
	if n.Finite {
		figures := strings.TrimLeft(strings.ReplaceAll(strings.TrimPrefix(n.Decimal.String(), "-"), ".", ""), "0")
		says += fmt.Sprintf(", %s, %s after the point", counted(len(figures), "significant digit"), counted(n.Decimals, "digit"))
		facts = append(facts, Fact{"digits", figures}, Fact{"decimals", fmt.Sprint(n.Decimals)})
	}
	says += ", a unit of its last digit is " + exact(n.Step())
	if sign == "negative" {
		says += ", and its sign is minus"
	}
	if n.Grouped {
		says += "; thousands are parted"
		facts = append(facts, Fact{"thousands", "parted"})
	}
	if n.Degrees {
		says += "; it bears a degree sign"
		facts = append(facts, Fact{"degrees", "printed"})
	}
	if n.Percent {
		says += "; it bears a percent sign"
		facts = append(facts, Fact{"percent", "printed"})
	}
	if len(n.Marks()) > 0 {
		marks := strings.Join(n.Marks(), " ")
		says += "; the footnote mark " + marks + " was taken off"
		facts = append(facts, Fact{"marks", marks})
	}
	return step("numeral", says, facts...)
}

// statedUnit is the unit of a cell as the print or the table's file has it, and where.
func (s *Series) statedUnit(row *Row, id extract.CellID) (stated, by string) {
	switch c := s.Table.Column(id.Column); {
	case id.Row == extract.Given && s.Table.GivenFigure(id.Column) != nil:
		stated, by = s.Table.GivenFigure(id.Column).Unit, "of the given figure"
	case s.Table.Layout == "list" && row != nil:
		by = "of the row"
		for i := range s.Table.Rows {
			if extract.Label(s.Table.Rows[i].Label) == row.Labels["label"] {
				stated = s.Table.Rows[i].Unit
			}
		}
		if at := s.Collation.Cell(id.Row, "unit"); at != nil && stated == "" {
			stated, by = strings.TrimSpace(at.Text), "printed in the row"
		}
	case c != nil:
		stated, by = c.Unit, "of the column"
	}
	return stated, by
}

// unitStep says the unit as it is stated and what it was understood as.
func (s *Series) unitStep(row *Row, id extract.CellID, d *Datum) Step {
	stated, by := s.statedUnit(row, id)
	says := fmt.Sprintf("that %s is %q, understood as %s", by, stated, unitName(d.Unit))
	return step("unit", says, Fact{"stated", stated}, Fact{"name", d.Unit.Name}, Fact{"ucum", d.Unit.UCUM})
}

// conversion says how the value follows from the numeral, with the exact factor.
func conversion(d *Datum, canonical unit.Unit) Step {
	printed := d.Numeral.Rat()
	got, err := unit.Convert(printed, d.Unit, canonical)
	// Another conversion than that of the units (a coefficient system, a kind of
	// airspeed) says itself what it is.
	if err != nil || got.Approx().Cmp(d.Value.Rat()) != 0 {
		return step("conversion", fmt.Sprintf("the value is %s%s, by more than a change of unit: %s", about(d.Value.Rat()), inUnit(canonical), d.Formula),
			Fact{"formula", d.Formula}, Fact{"value", about(d.Value.Rat())}, Fact{"exact", "no"})
	}
	if d.Unit.UCUM == canonical.UCUM {
		return step("conversion", "none: the canonical unit is that of the print, and the value is the number itself", Fact{"exact", exact(d.Value.Rat())})
	}
	factor := new(big.Rat).Quo(d.Unit.Factor, canonical.Factor)
	pi := d.Unit.Pi - canonical.Pi
	number := written(d.Numeral)
	formula := fmt.Sprintf("%s x %s%s", number, inBrackets(factor), timesPi(pi))
	if d.Unit.Offset != nil {
		formula = fmt.Sprintf("(%s + %s) x %s%s", number, exact(d.Unit.Offset), inBrackets(factor), timesPi(pi))
	}
	if canonical.Offset != nil {
		formula += " - " + exact(canonical.Offset)
	}
	says := fmt.Sprintf("1 %s = %s%s%s exactly, so the value is %s", d.Unit.UCUM, exact(factor), timesPi(pi), inUnit(canonical), formula)
	if d.Unit.Offset != nil || canonical.Offset != nil {
		says = fmt.Sprintf("from %s to %s, exactly: %s", d.Unit.UCUM, canonical.UCUM, formula)
	}
	value := exact(got.Rat) + timesPi(got.Pi)
	says += " = " + value + inUnit(canonical)
	if near := about(d.Value.Rat()); near != value {
		says += ", about " + near
	}
	if plainFormula := fmt.Sprintf("%s from %s", canonical.UCUM, d.Unit.UCUM); !strings.HasPrefix(d.Formula, plainFormula) && d.Formula != "" {
		says += " (" + d.Formula + ")"
	}
	return step("conversion", says, Fact{"from", d.Unit.UCUM}, Fact{"to", canonical.UCUM}, Fact{"factor", factor.RatString()}, Fact{"pi", power(pi)},
		Fact{"formula", formula}, Fact{"exact", got.Rat.RatString()}, Fact{"exact_pi", power(got.Pi)}, Fact{"value", about(d.Value.Rat())})
}

// rounding says what the one rounding before publication does.
func rounding(d *Datum, canonical unit.Unit) Step {
	n := d.Number()
	if d.Unit.UCUM == canonical.UCUM && d.Numeral.Finite && n.String() == d.Numeral.Decimal.String() {
		return step("rounding", "none: the printed digits are published, "+n.String(), Fact{"published", n.String()})
	}
	return step("rounding", fmt.Sprintf("once, to %s after the point, which moves it by less than a thousandth of the half-width: %s", counted(n.Scale(), "digit"), n),
		Fact{"decimals", fmt.Sprint(n.Scale())}, Fact{"published", n.String()})
}

// halfWidth says where the half-width comes from.
func halfWidth(d *Datum, canonical unit.Unit) Step {
	shown := PublishedHalf(d.Half)
	facts := []Fact{{"half_width", shown.String()}, {"unit", canonical.UCUM}}
	says := shown.String() + inUnit(canonical)
	from, plain := d.Unit, canonical
	from.Offset, plain.Offset = nil, nil
	digit, err := unit.Convert(new(big.Rat).Mul(d.Numeral.Step(), big.NewRat(1, 2)), from, plain)
	if err != nil || digit.Rat.Sign() == 0 {
		return step("half-width", says, facts...)
	}
	times := new(big.Rat).Quo(d.Half, digit.Approx())
	half := new(big.Rat).Mul(times, new(big.Rat).Mul(d.Numeral.Step(), big.NewRat(1, 2)))
	in := inUnit(d.Unit)
	one := big.NewRat(1, 1)
	otherwise := func() {
		says += ", otherwise than by the last printed digit"
		if d.Formula != "" {
			says += ": " + d.Formula
		}
		facts = append(facts, Fact{"from", "formula"})
	}
	// Where more than the unit was changed, the half-width may have gone with the value.
	if plainly, err := unit.Convert(d.Numeral.Rat(), d.Unit, canonical); err == nil && plainly.Approx().Cmp(d.Value.Rat()) != 0 {
		ratio := new(big.Rat)
		if plainly.Rat.Sign() != 0 {
			ratio.Quo(d.Value.Rat(), plainly.Approx())
		}
		if ratio.Abs(ratio).Cmp(times) == 0 {
			says += fmt.Sprintf(", half a unit of the last printed digit (%s%s), changed as the value is", exact(new(big.Rat).Quo(half, times)), in)
			facts = append(facts, Fact{"from", "last printed digit"})
		} else {
			otherwise()
		}
		return step("half-width", says, facts...)
	}
	switch {
	case times.Cmp(one) == 0:
		says += fmt.Sprintf(", half a unit of the last printed digit (%s%s)", exact(half), in)
		facts = append(facts, Fact{"from", "last printed digit"})
	case d.Quantity.zeros && zeroStep(d.Numeral).Cmp(new(big.Rat).Mul(times, d.Numeral.Step())) == 0:
		says += fmt.Sprintf(", half a unit of the last digit that is not zero (%s%s); the zeros behind it fill up", exact(half), in)
		facts = append(facts, Fact{"from", "last digit that is not zero"})
	case !d.Quantity.stepped || !times.IsInt() || !new(big.Rat).Quo(d.Numeral.Rat(), new(big.Rat).Mul(times, d.Numeral.Step())).IsInt():
		otherwise()
	default:
		says += fmt.Sprintf(", half of the column's own steps of %s%s, which are coarser than its last digit", exact(new(big.Rat).Add(half, half)), in)
		facts = append(facts, Fact{"from", "steps of the column"})
	}
	return step("half-width", says, facts...)
}

// basisSteps says what was stated of the figure, for what part of the table, and
// follows each reference to its cell.
func (s *Series) basisSteps(row *Row, d *Datum) []Step {
	var own *extract.Basis
	id := d.Cell.ID
	if c := s.Table.Column(id.Column); c != nil && id.Row != extract.Given {
		own = c.Basis
	} else if c := s.Table.GivenFigure(id.Column); c != nil && id.Row == extract.Given {
		own = c.Basis
	}
	var column []Fact
	if own != nil {
		column = Stated(*own)
	}
	table := Stated(s.Table.Basis)
	said := func(list []Fact, f Fact) bool {
		for _, o := range list {
			if o == f {
				return true
			}
		}
		return false
	}
	by := map[string][]Fact{}
	for _, f := range Stated(d.Basis) {
		level := "rows"
		switch {
		case said(column, f):
			level = "column"
			if id.Row == extract.Given {
				level = "given figure"
			}
		case said(table, f):
			level = "table"
		}
		by[level] = append(by[level], f)
	}
	var list []Step
	for _, level := range []string{"table", "column", "given figure", "rows"} {
		if len(by[level]) == 0 {
			continue
		}
		var words []string
		for _, f := range by[level] {
			words = append(words, fieldName(f.Name)+": "+f.Value)
		}
		of := "for the " + level
		if level == "rows" {
			of = "for rows of this label"
		}
		list = append(list, step("basis", "stated "+of+": "+strings.Join(words, "; "), append([]Fact{{"stated_for", level}}, by[level]...)...))
	}
	if len(list) == 0 {
		list = append(list, step("basis", "nothing is stated, and the quantity needs nothing stated"))
	}
	for _, f := range Stated(d.Basis) {
		name := fieldName(f.Name)
		if _, _, ok := extract.CellRef(f.Value); !ok {
			if f.Name == "configuration.deflection" && plainFigure(f.Value) && f.Value == d.Config.Deflection {
				list = append(list, step("reference", fmt.Sprintf("%s, %s: stands in the printed label of the row", name, f.Value), Fact{"field", f.Name}, Fact{"refers_to", "label"}, Fact{"printed", f.Value}))
			}
			continue
		}
		at := s.Ref(row, f.Value)
		switch {
		case at == d:
		case at == nil:
			list = append(list, step("reference", fmt.Sprintf("%s, %s: has no figure", name, f.Value), Fact{"field", f.Name}, Fact{"refers_to", f.Value}))
		case at.Quantity == nil || !at.Value.Known():
			list = append(list, step("reference", fmt.Sprintf("%s, %s: cell %s:%s:%s prints %q (%s), which has no meaning", name, f.Value, s.Table.Name, at.Cell.ID.Row, at.Cell.ID.Column, at.Cell.Print, at.Cell.State),
				Fact{"field", f.Name}, Fact{"refers_to", f.Value}, Fact{"cell", at.Cell.ID.String()}))
		default:
			u, _ := unit.Lookup(at.Quantity.Canonical)
			list = append(list, step("reference", fmt.Sprintf("%s, %s: cell %s:%s:%s prints %q (%s): %s %s%s", name, f.Value, s.Table.Name, at.Cell.ID.Row, at.Cell.ID.Column, at.Cell.Print, at.Cell.State,
				at.Quantity.Name, at.Number(), inUnit(u)), Fact{"field", f.Name}, Fact{"refers_to", f.Value}, Fact{"cell", at.Cell.ID.String()}, Fact{"printed", at.Cell.Print},
				Fact{"state", string(at.Cell.State)}, Fact{"quantity", at.Quantity.Name}, Fact{"value", at.Number().String()}, Fact{"unit", at.Quantity.Canonical}))
		}
	}
	return list
}

// fieldName is the name of a field of a basis as words.
func fieldName(name string) string {
	return strings.NewReplacer("_", " ", "configuration.", "").Replace(name)
}

// Stated lists what a basis says, field by field, under the names that the table's
// file has for them.
func Stated(b extract.Basis) []Fact {
	var list []Fact
	for _, f := range fieldsOf(b) {
		if f.Value != "" {
			list = append(list, f)
		}
	}
	return list
}

// fieldsOf lists every field of a basis, stated or not.
func fieldsOf(b extract.Basis) []Fact {
	var list []Fact
	var walk func(prefix string, v reflect.Value)
	walk = func(prefix string, v reflect.Value) {
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("yaml"), ",")
			switch f := v.Field(i); {
			case f.Kind() == reflect.Struct:
				walk(prefix+name+".", f)
			case f.IsZero():
				list = append(list, Fact{prefix + name, ""})
			default:
				list = append(list, Fact{prefix + name, fmt.Sprint(f.Interface())})
			}
		}
	}
	walk("", reflect.ValueOf(b))
	return list
}

// written is the number of a numeral: its printed decimals, or the fraction.
func written(n numeral.Numeral) string {
	if n.Finite {
		return n.Decimal.String()
	}
	return n.Rat().RatString()
}

// exact writes a rational as a decimal where that is short and exact, else as a fraction.
func exact(r *big.Rat) string {
	const most = 12 // decimals that a person still reads
	if places, finite := r.FloatPrec(); finite && places <= most {
		return r.FloatString(places)
	}
	return r.RatString()
}

// inBrackets is exact with brackets around a fraction, or a sign, that stands in a formula.
func inBrackets(r *big.Rat) string {
	if s := exact(r); strings.ContainsAny(s, "/-") {
		return "(" + s + ")"
	} else {
		return s
	}
}

// about writes a value to twelve significant digits, and shorter where it is exact.
func about(r *big.Rat) string {
	if places, finite := r.FloatPrec(); finite && places <= 6 {
		return r.FloatString(places)
	}
	return numeral.Round(r, 12).String()
}

func timesPi(p int) string {
	switch p {
	case 0:
		return ""
	case 1:
		return " x pi"
	case -1:
		return " / pi"
	}
	return fmt.Sprintf(" x pi^%d", p)
}

func power(p int) string {
	if p == 0 {
		return ""
	}
	return fmt.Sprint(p)
}

// inUnit is the unit as it stands behind a number.
func inUnit(u unit.Unit) string {
	if u.UCUM == "1" {
		return ""
	}
	return " " + u.UCUM
}

func unitName(u unit.Unit) string {
	if u.UCUM == "1" {
		return "1, a number without unit"
	}
	return fmt.Sprintf("%s, UCUM %s", u.Name, u.UCUM)
}

func counted(n int, noun string) string {
	switch n {
	case 0:
		return "no " + noun
	case 1:
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
