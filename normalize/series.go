package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/numeral"
	"windtally/normalize/unit"
)

// Measurement is a printed figure as a quantity: its exact value in the canonical
// unit, the half-width that its digits leave, and where it comes from.
type Measurement struct {
	Numeral numeral.Numeral
	Unit    unit.Unit // as printed
	// Value is in the quantity's canonical unit; exact, but for pi to 60 digits.
	Value *big.Rat
	// Half is half a unit of the last printed digit (or of the column's own coarser
	// steps), in the canonical unit. Rounding is not accuracy.
	Half *big.Rat
	// Accuracy is the half-width that the source states for the column, or nil.
	Accuracy *big.Rat
	// Formula says how Value follows from the print; "" where it is the printed
	// number itself.
	Formula string
}

// Configuration is the state of the tested article, resolved for one row.
type Configuration struct {
	Flap, State, Slats, Gear, Propeller, Power, Trim string
	// Deflection is the flap deflection in degrees as text, "" where not stated;
	// DeflectionCell is the cell that prints it, nil for "up" and figures in labels.
	Deflection     string
	DeflectionCell *Datum
}

// Datum is one figure of a table with what it means.
type Datum struct {
	Cell     *extract.Collated
	Quantity *Quantity // nil where unclassified
	Basis    extract.Basis
	Config   Configuration
	// Refused says that what the figure means could not be settled for this row, as
	// a problem tells: relations may use its digits, nothing else may.
	Refused bool
	Measurement
}

// Row is one row of a series.
type Row struct {
	Key    string
	Labels map[string]string // the printed text of the label columns, by column key
	Data   map[string]*Datum // by column key; a cell without a number has no datum
}

// Series is a table after normalization, each figure still bound to its cell.
type Series struct {
	Table     *extract.Table
	Collation *extract.Collation
	Rows      []Row
	Givens    map[string]*Datum
	Problems  []Problem
}

// ProblemKind sorts what normalization could not do.
type ProblemKind string

// The kinds of problem. Meaning and Unit refuse a whole column, once; Numeral and
// Reference are about cells; Blank and Odd are doubts; Unclassified is a note.
const (
	Numeral           ProblemKind = "not-a-number"
	Meaning           ProblemKind = "meaning-missing"
	Unit              ProblemKind = "unit"
	Reference         ProblemKind = "reference"
	Blank             ProblemKind = "blank-cell"
	OddPrint          ProblemKind = "odd-print"
	UnclassifiedKind  ProblemKind = "unclassified"
	UnknownListedRow  ProblemKind = "row-without-meaning"
	DeflectionNoPrint ProblemKind = "deflection-not-in-print"
)

// Problem is something that keeps figures from a meaning.
type Problem struct {
	Kind  ProblemKind
	Cells []extract.CellID // empty where a whole column is meant
	Where string           // table:row:column in words
	Msg   string
	Hint  string
}

// Normalize gives the figures of a collated table their meaning. It never fails:
// what it cannot do is in Problems, and the figures concerned have no datum.
func Normalize(c *extract.Collation) *Series {
	n := &normalizer{s: &Series{Table: c.Table, Collation: c, Givens: map[string]*Datum{}}, t: c.Table, c: c, grouped: map[string]int{}}
	for i := range c.Table.Givens {
		n.given(&c.Table.Givens[i])
	}
	if c.Table.Layout == "list" {
		n.list()
	} else {
		n.grid()
	}
	return n.s
}

type normalizer struct {
	s *Series
	t *extract.Table
	c *extract.Collation
	// grouped is the index of the problem that gathers like cells, by what is wrong.
	grouped map[string]int
}

// group says once for many cells what is wrong with each.
func (n *normalizer) group(kind ProblemKind, cell extract.CellID, where, hint, msg string) {
	key := string(kind) + where + msg
	if i, ok := n.grouped[key]; ok {
		n.s.Problems[i].Cells = append(n.s.Problems[i].Cells, cell)
		return
	}
	n.problem(kind, []extract.CellID{cell}, where, hint, "%s", msg)
	n.grouped[key] = len(n.s.Problems) - 1
}

func (n *normalizer) problem(kind ProblemKind, cells []extract.CellID, where, hint, format string, args ...any) {
	n.s.Problems = append(n.s.Problems, Problem{Kind: kind, Cells: cells, Where: n.t.Name + where, Msg: fmt.Sprintf(format, args...), Hint: hint})
}

// columnMeaning is a column's quantity, unit and basis, or why it has none.
type columnMeaning struct {
	key      string
	quantity *Quantity
	unit     unit.Unit
	basis    extract.Basis
	ok       bool
	label    bool
}

// meaning resolves quantity, unit and basis; everything that is missing is said
// once for the column.
func (n *normalizer) meaning(where, quantity, printedUnit string, basis extract.Basis) columnMeaning {
	m := columnMeaning{basis: basis}
	switch quantity {
	case "":
		n.problem(Meaning, nil, where, "windtally quantities lists them; unclassified is allowed and is not published",
			"no quantity is stated")
		return m
	case Unclassified:
		n.problem(UnclassifiedKind, nil, where, "", "is unclassified: read, collated and checked by relations, and not published")
		return m
	case "label":
		m.label = true
		return m
	}
	q, ok := Find(quantity)
	if !ok {
		n.problem(Meaning, nil, where, "windtally quantities lists the quantities; write unclassified for one that is not there",
			"the quantity %q is not in the list", quantity)
		return m
	}
	m.quantity = q
	bad := false
	canonical, _ := unit.Lookup(q.Canonical)
	if printedUnit == "" {
		bad = true
		n.problem(Unit, nil, where, "", "no unit is stated for %s; write it as printed (1 for a number without unit)", q.Name)
	} else if u, err := unit.ParseFor(printedUnit, canonical.Dim); err != nil {
		bad = true
		n.problem(Unit, nil, where, "", "unit of %s: %v", q.Name, err)
	} else if u.Dim != canonical.Dim {
		bad = true
		n.problem(Unit, nil, where, "", "the unit %q (%s) does not fit %s, which is measured in units such as %s", printedUnit, u.Name, q.Name, canonical.Name)
	} else {
		m.unit = u
	}
	if basis.AirspeedKind != "" {
		if _, err := airspeedKind(basis); err != nil {
			bad = true
			n.problem(Meaning, nil, where, "", "airspeed_kind: %v", err)
		}
	}
	for _, need := range q.missing(basis) {
		if need.name == "airspeed_kind" && basis.AirspeedKind != "" {
			continue // said above, more exactly
		}
		if n.t.Layout == "grid" && len(n.t.Rows) > 0 {
			continue // rows: may state it; asked for row by row
		}
		bad = true
		n.problem(Meaning, nil, where, "", "%s needs its %s, which the basis does not state; write %s: %s", q.Name, need.name, need.name, need.write)
	}
	m.ok = !bad
	return m
}

func (n *normalizer) grid() {
	columns := make([]columnMeaning, len(n.t.Columns))
	for i := range n.t.Columns {
		col := &n.t.Columns[i]
		columns[i] = n.meaning(":"+col.Key, col.Quantity, col.Unit, n.t.Basis.Over(col.Basis))
		columns[i].key = col.Key
	}
	n.s.Rows = make([]Row, len(n.c.Rows))
	for r, key := range n.c.Rows {
		n.s.Rows[r] = Row{Key: key, Labels: map[string]string{}, Data: map[string]*Datum{}}
	}
	for i, m := range columns {
		if m.label {
			for r := range n.s.Rows {
				if cell := n.c.Cell(n.s.Rows[r].Key, m.key); cell != nil {
					n.s.Rows[r].Labels[m.key] = extract.Label(cell.Text)
					n.blank(cell, "no label was read")
				}
			}
			continue
		}
		n.column(i, m)
	}
	for r := range n.s.Rows {
		n.rowBasis(&n.s.Rows[r], columns)
	}
}

// column reads the figures of one column of a grid.
func (n *normalizer) column(i int, m columnMeaning) {
	col := &n.t.Columns[i]
	numerals := make([]*numeral.Numeral, len(n.s.Rows))
	cells := make([]*extract.Collated, len(n.s.Rows))
	filled, points := 0, 0
	for r := range n.s.Rows {
		cell := n.c.Cell(n.s.Rows[r].Key, col.Key)
		cells[r] = cell
		if cell == nil || cell.State == extract.Withheld || cell.State == extract.Disputed {
			continue
		}
		num, err := numeral.Parse(cell.Text)
		switch {
		case err != nil:
			n.problem(Numeral, []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+col.Key, "", "%v", err)
		case num.Kind == numeral.Ditto:
			if r == 0 || numerals[r-1] == nil {
				n.problem(Numeral, []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+col.Key, "",
					"a ditto mark %q stands under no figure", cell.Text)
				continue
			}
			numerals[r] = numerals[r-1]
			filled++
		case num.Kind == numeral.Number:
			numerals[r] = &num
			filled++
			if num.Decimals > 0 {
				points++
			}
			n.oddPrint(cell, &num)
		case num.Kind == numeral.Blank:
			n.blank(cell, "no figure was read")
		}
	}
	for r, num := range numerals {
		// A point is the first thing that a text layer loses.
		if num != nil && num.Decimals == 0 && num.Finite && num.Decimal.Sign() != 0 && cells[r].State == extract.Unwitnessed &&
			filled >= 5 && points >= filled-filled/5 {
			n.problem(OddPrint, []extract.CellID{cells[r].ID}, ":"+cells[r].ID.Row+":"+col.Key, "look at the print, then confirm or reread",
				"%q has no decimal point where %d of the column's %d figures have one", cells[r].Text, points, filled)
		}
	}
	if !m.ok {
		// Relations use the figures of unclassified columns too.
		if m.quantity == nil {
			for r := range n.s.Rows {
				if numerals[r] != nil {
					n.s.Rows[r].Data[col.Key] = &Datum{Cell: cells[r], Basis: m.basis, Measurement: Measurement{Numeral: *numerals[r]}}
				}
			}
		}
		return
	}
	grain := grainOf(m.quantity, numerals)
	for r := range n.s.Rows {
		if numerals[r] == nil {
			continue
		}
		d, err := n.datum(cells[r], m, *numerals[r], grain, col.Key)
		if err != nil {
			n.problem(Unit, []extract.CellID{cells[r].ID}, ":"+cells[r].ID.Row+":"+col.Key, "", "%v", err)
			continue
		}
		n.s.Rows[r].Data[col.Key] = d
	}
}

// blank raises a doubt about a cell in which a single reading has nothing and of
// which no person has said so.
func (n *normalizer) blank(cell *extract.Collated, what string) {
	if strings.TrimSpace(cell.Text) != "" || cell.State != extract.Unwitnessed && cell.State != extract.Keyed {
		return
	}
	n.problem(Blank, []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column,
		"look at the print: rule reread with the text, or confirm that nothing is printed there", "%s in a row that has other cells", what)
}

// oddPrint raises a doubt about a figure that parses but that a text layer is
// known to spoil in just this way.
func (n *normalizer) oddPrint(cell *extract.Collated, num *numeral.Numeral) {
	if cell.State != extract.Unwitnessed {
		return
	}
	for _, w := range cell.Witnesses {
		if w.Reader == "workbook" && w.Confidence == 0 {
			n.problem(OddPrint, []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column, "look at the workbook's cell, then confirm or reread",
				"the workbook shows %q, but stores a number or a formula, so the digits as printed are not certain", cell.Text)
			return
		}
	}
	if !num.LetterMark {
		return
	}
	n.problem(OddPrint, []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column, "look at the print, then confirm or reread",
		"%q was read as %s with a footnote mark; the letter may be a misread figure", cell.Text, num.Decimal)
}

// datum turns a numeral into a measurement in the canonical unit.
func (n *normalizer) datum(cell *extract.Collated, m columnMeaning, num numeral.Numeral, grain int64, column string) (*Datum, error) {
	if num.Percent && m.unit.UCUM != "%" {
		return nil, fmt.Errorf("%q bears a percent sign; the column's unit is %s", cell.Text, m.unit.Name)
	}
	if num.Degrees && m.unit.UCUM != "deg" {
		return nil, fmt.Errorf("%q bears a degree sign; the column's unit is %s", cell.Text, m.unit.Name)
	}
	d := &Datum{Cell: cell, Quantity: m.quantity, Basis: m.basis}
	d.Numeral, d.Unit = num, m.unit
	canonical, _ := unit.Lookup(m.quantity.Canonical)
	value, err := unit.Convert(num.Rat(), m.unit, canonical)
	if err != nil {
		return nil, err
	}
	d.Value = value.Approx()
	scale := func(printed *big.Rat) (*big.Rat, error) {
		// A width is a difference: it takes the factor and not the offset.
		plain := m.unit
		plain.Offset = nil
		to := canonical
		to.Offset = nil
		e, err := unit.Convert(printed, plain, to)
		if err != nil {
			return nil, err
		}
		return e.Approx(), nil
	}
	half := new(big.Rat).Mul(num.Step(), big.NewRat(grain, 2))
	if m.quantity.zeros && grain == 1 {
		half = new(big.Rat).Mul(zeroStep(num), big.NewRat(1, 2))
	}
	if d.Half, err = scale(half); err != nil {
		return nil, err
	}
	if a, ok := n.t.Accuracy[column]; ok {
		num, err := numeral.Parse(a)
		if err != nil || num.Kind != numeral.Number || num.Rat().Sign() <= 0 {
			return nil, fmt.Errorf("accuracy of column %s is %q; it should be a positive number in the column's unit", column, a)
		}
		if d.Accuracy, err = scale(num.Rat()); err != nil {
			return nil, err
		}
	}
	if m.unit.UCUM != canonical.UCUM {
		d.Formula = fmt.Sprintf("%s from %s", canonical.UCUM, m.unit.UCUM)
	}
	return d, nil
}

// zeroStep is the unit of the last figure that is not zero: 1,000,000 for
// 8,000,000, whose zeros fill up. Common practice, no source.
func zeroStep(num numeral.Numeral) *big.Rat {
	step := num.Step()
	v := num.Rat()
	if v.Sign() == 0 || !step.IsInt() {
		return step
	}
	ten := big.NewRat(10, 1)
	for {
		next := new(big.Rat).Mul(step, ten)
		if q := new(big.Rat).Quo(v, next); !q.IsInt() {
			return step
		}
		step = next
	}
}

// grainOf finds the column's own steps where they are coarser than a unit of the
// last digit: a manual that prints 60, 65, 70 is rounded to 5. It takes at least
// four different figures, all printed with one precision, that are all multiples
// of 5 or of 10 (20, 50, 100 ...) units of the last digit.
func grainOf(q *Quantity, numerals []*numeral.Numeral) int64 {
	if q == nil || !q.stepped {
		return 1
	}
	seen := map[string]bool{}
	var step *big.Rat
	var units []*big.Int
	for _, num := range numerals {
		if num == nil {
			continue
		}
		if step == nil {
			step = num.Step()
		}
		if num.Step().Cmp(step) != 0 {
			return 1
		}
		u := new(big.Rat).Quo(num.Rat(), step)
		if !u.IsInt() {
			return 1
		}
		if !seen[u.Num().String()] {
			seen[u.Num().String()] = true
			units = append(units, u.Num())
		}
	}
	if len(units) < 4 {
		return 1
	}
	for _, g := range []int64{1000, 500, 100, 50, 10, 5} {
		all := true
		for _, u := range units {
			all = all && new(big.Int).Rem(u, big.NewInt(g)).Sign() == 0
		}
		if all {
			return g
		}
	}
	return 1
}

// given reads a figure that stands outside the grid.
func (n *normalizer) given(g *extract.Column) {
	m := n.meaning(":given:"+g.Key, g.Quantity, g.Unit, n.t.Basis.Over(g.Basis))
	cell := n.c.Cell(extract.Given, g.Key)
	if cell == nil {
		n.problem(Reference, nil, ":given:"+g.Key, "read the table again with words: set, key it, or rule reread on the cell",
			"no reading has the figure")
		return
	}
	if m.label || !m.ok || cell.State == extract.Withheld || cell.State == extract.Disputed {
		return
	}
	num, err := numeral.Parse(cell.Text)
	if err == nil && num.Kind != numeral.Number {
		err = fmt.Errorf("%q is not a number", cell.Text)
	}
	if err == nil {
		var d *Datum
		if d, err = n.datum(cell, m, num, 1, g.Key); err == nil {
			n.s.Givens[g.Key] = d
			return
		}
	}
	n.problem(Numeral, []extract.CellID{cell.ID}, ":given:"+g.Key, "", "%v", err)
}

// rowBasis lays the row's own rule over its figures and resolves what the basis
// refers to.
func (n *normalizer) rowBasis(row *Row, columns []columnMeaning) {
	var rule *extract.RowRule
	var label string
	for _, m := range columns {
		if !m.label {
			continue
		}
		label = row.Labels[m.key]
		if rule = n.rule(label); rule != nil {
			break
		}
	}
	var keys []string
	for key := range row.Data {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	if rule == nil && len(n.t.Rows) > 0 && len(keys) > 0 {
		n.group(UnknownListedRow, row.Data[keys[0]].Cell.ID, "", "write the label under rows: as the collated reading has it",
			"rows: states the meaning of some rows, and these rows bear none of its labels")
	}
	for _, key := range keys {
		d := row.Data[key]
		if rule != nil {
			d.Basis = d.Basis.Over(rule.Basis)
		}
		n.resolve(row, d, label)
		if d.Quantity == nil || len(n.t.Rows) == 0 {
			continue
		}
		for _, need := range d.Quantity.missing(d.Basis) {
			d.Refused = true
			n.group(Meaning, d.Cell.ID, ":"+key, "", fmt.Sprintf("%s needs its %s, which neither the basis nor rows: states for these rows; write %s: %s", d.Quantity.Name, need.name, need.name, need.write))
		}
	}
}

func (n *normalizer) rule(label string) *extract.RowRule {
	for i := range n.t.Rows {
		if extract.Label(n.t.Rows[i].Label) == label {
			return &n.t.Rows[i]
		}
	}
	return nil
}

// Ref returns the figure that a basis refers to ("column KEY", "given KEY").
func (s *Series) Ref(row *Row, ref string) *Datum {
	kind, key, ok := extract.CellRef(ref)
	switch {
	case !ok:
		return nil
	case kind == "given":
		return s.Givens[key]
	case row == nil:
		return nil
	}
	return row.Data[key]
}

// resolve settles the configuration of a datum and proves that what its basis
// refers to is there.
func (n *normalizer) resolve(row *Row, d *Datum, label string) {
	if d.Quantity == nil {
		return
	}
	c := d.Basis.Configuration
	if d.Quantity.Group == Condition && d.Quantity.Canonical != "m/s" {
		c = extract.Configuration{} // a Reynolds number or a deflection is in no configuration
	}
	d.Config = Configuration{Flap: c.Flap, State: c.State, Slats: c.Slats, Gear: c.Gear, Propeller: c.Propeller, Power: c.Power, Trim: c.Trim}
	where := ":" + d.Cell.ID.Row + ":" + d.Cell.ID.Column
	switch _, _, isRef := extract.CellRef(c.Deflection); {
	case c.Deflection == "":
	case c.Deflection == "up":
		d.Config.Deflection = "0"
	case isRef:
		if at := n.s.Ref(row, c.Deflection); at != nil {
			d.Config.DeflectionCell = at
			d.Config.Deflection = Published(at.Value, at.Half, at.Formula == "", at.Numeral).String()
		} else if d.Quantity.Group != Condition {
			d.Refused = true
			n.group(Reference, d.Cell.ID, ":"+d.Cell.ID.Column, "", fmt.Sprintf("the flap deflection (%s) has no figure here, so these figures are in no known configuration and are not published", c.Deflection))
		}
	default:
		if !slices.ContainsFunc(strings.FieldsFunc(label, notFigure), func(f string) bool { return f == c.Deflection }) {
			d.Refused = true
			n.problem(DeflectionNoPrint, []extract.CellID{d.Cell.ID}, where, "refer to the cell that prints it: column KEY or given KEY",
				"the deflection %q stands nowhere in the row's label %q; no number enters other than through a reading", c.Deflection, label)
			return
		}
		d.Config.Deflection = c.Deflection
	}
	for _, ref := range []struct{ what, ref string }{{"Reynolds number", d.Basis.Reynolds}, {"Mach number", d.Basis.Mach}, {"weight", d.Basis.Weight}, {"altitude", d.Basis.Altitude}} {
		if ref.ref == "" || ref.ref == "sea-level" || d.Quantity.Group == Condition {
			continue
		}
		if n.s.Ref(row, ref.ref) != nil {
			continue
		}
		what := fmt.Sprintf("the %s (%s) has no figure here", ref.what, ref.ref)
		if ref.what == "weight" && d.Quantity.Group == Stall {
			d.Refused = true
			what += ", and a stall speed without its weight is not published"
		}
		n.group(Reference, d.Cell.ID, ":"+d.Cell.ID.Column, "", what)
	}
}

func notFigure(r rune) bool { return (r < '0' || r > '9') && r != '.' }

// list reads particulars: one row a quantity.
func (n *normalizer) list() {
	for _, key := range n.c.Rows {
		row := Row{Key: key, Labels: map[string]string{}, Data: map[string]*Datum{}}
		labelCell, cell := n.c.Cell(key, "label"), n.c.Cell(key, "value")
		label := ""
		if labelCell != nil {
			label = extract.Label(labelCell.Text)
			row.Labels["label"] = label
		}
		where := ":" + key + ":value"
		rule := n.rule(label)
		switch {
		case cell == nil || cell.State == extract.Withheld || cell.State == extract.Disputed:
		case labelCell != nil && labelCell.State == extract.Disputed:
		case rule == nil:
			n.problem(UnknownListedRow, []extract.CellID{cell.ID}, where, "add it under rows:, with quantity: unclassified where it is not wanted",
				"the row %q is not named under rows:, so its figure %q has no meaning and is not published", label, cell.Text)
		default:
			n.listRow(&row, cell, rule, where, label)
		}
		n.s.Rows = append(n.s.Rows, row)
	}
	for i := range n.t.Rows {
		if !slices.ContainsFunc(n.s.Rows, func(r Row) bool { return r.Labels["label"] == extract.Label(n.t.Rows[i].Label) }) {
			n.problem(Reference, nil, ":"+n.t.Rows[i].Label, "write the label as the collated reading has it",
				"rows: names %q, and no row of the table bears that label", n.t.Rows[i].Label)
		}
	}
	for r := range n.s.Rows {
		for _, d := range n.s.Rows[r].Data {
			n.resolve(&n.s.Rows[r], d, n.s.Rows[r].Labels["label"])
		}
	}
}

func (n *normalizer) listRow(row *Row, cell *extract.Collated, rule *extract.RowRule, where, label string) {
	printed := rule.Unit
	unitCell := n.c.Cell(row.Key, "unit")
	text := cell.Text
	if unitCell != nil && strings.TrimSpace(unitCell.Text) != "" {
		inPrint := strings.TrimSpace(unitCell.Text)
		if printed == "" {
			printed = inPrint
		} else if a, errA := unit.Parse(printed); errA == nil {
			// What a person wrote must not contradict the print.
			if b, err := unit.ParseFor(inPrint, a.Dim); err == nil && b.UCUM != a.UCUM {
				n.problem(Unit, []extract.CellID{cell.ID}, where, "", "rows: says %q for %q; the print says %q", printed, label, inPrint)
				return
			}
		}
	}
	m := n.meaning(where, rule.Quantity, printed, n.t.Basis.Over(rule.Basis))
	num, err := numeral.Parse(text)
	if err == nil && num.Kind == numeral.Ditto {
		err = fmt.Errorf("a ditto mark %q in a list of particulars has no figure above it", text)
	}
	if err != nil {
		n.problem(Numeral, []extract.CellID{cell.ID}, where, "", "%v", err)
		return
	}
	if num.Kind != numeral.Number || m.label {
		return
	}
	n.oddPrint(cell, &num)
	if !m.ok {
		if m.quantity == nil {
			row.Data["value"] = &Datum{Cell: cell, Basis: m.basis, Measurement: Measurement{Numeral: num}}
		}
		return
	}
	d, err := n.datum(cell, m, num, 1, "value")
	if err != nil {
		n.problem(Unit, []extract.CellID{cell.ID}, where, "", "%v", err)
		return
	}
	row.Data["value"] = d
}

// guardDigits is how many decimal places below the half-width a converted value
// keeps, so that its rounding moves it by at most a thousandth of the half-width.
const guardDigits = 3

// Published rounds a value for publication, once. A value in the printed unit
// keeps the printed digits; a converted one keeps decimals to a thousandth of its
// half-width, from which the printed digits can be had again.
func Published(value, half *big.Rat, sameUnit bool, num numeral.Numeral) numeral.Decimal {
	if sameUnit && num.Finite {
		return num.Decimal
	}
	return numeral.RoundTo(value, max(0, placesOf(half)+guardDigits))
}

// PublishedHalf rounds a half-width to four figures; zeros at its end say nothing.
func PublishedHalf(half *big.Rat) numeral.Decimal {
	d := numeral.Round(half, 4)
	for d.Scale() > 0 {
		shorter := numeral.RoundTo(half, d.Scale()-1)
		if shorter.Cmp(d) != 0 {
			break
		}
		d = shorter
	}
	return d
}

// placesOf is the number of decimals at which a unit of the last place is at most
// half: 2 for 0.05, 0 for 5 (never negative digits are cut from whole numbers).
func placesOf(half *big.Rat) int {
	if half == nil || half.Sign() <= 0 {
		return 6
	}
	places := 0
	unit := big.NewRat(1, 1)
	tenth := big.NewRat(1, 10)
	for places < 60 && unit.Cmp(half) > 0 {
		unit = new(big.Rat).Mul(unit, tenth)
		places++
	}
	return places
}
