package normalize

import (
	"fmt"
	"math/big"
	"regexp"
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
	// Value is in the quantity's canonical unit; exact, but for pi to 100 digits.
	Value Exact
	// Half is half a unit of the last printed digit (or of the column's own coarser
	// steps), in the canonical unit. Rounding is not accuracy.
	Half *big.Rat
	// Accuracy is the half-width that the source states for the column, or nil.
	Accuracy *big.Rat
	// Factor is what the system of coefficients multiplies by, nil where the printed
	// coefficient is the absolute one; Value and Half have it in them.
	Factor *big.Rat
}

// Sense is what the figures of a column mean that have one basis. They share it,
// and what is shared is never changed: a figure with another basis has another.
type Sense struct {
	Quantity *Quantity // nil where unclassified, or where the column was refused
	Basis    extract.Basis
	Unit     unit.Unit // as printed
	// Formula says how Value follows from the print; "" where it is the printed
	// number itself.
	Formula string

	conversion *unit.Conversion
	// settled is the configuration of each figure where nothing of it stands in
	// the figure's row, nil before it is known and where something does.
	settled *State
	over    map[*extract.Basis]*Sense
}

// State is the configuration that figures are in; they share it, and it is never
// changed.
type State struct{ Config Configuration }

// laid returns the sense with another basis laid over it.
func (s *Sense) laid(o *extract.Basis) *Sense {
	if o == nil {
		return s
	}
	if known := s.over[o]; known != nil {
		return known
	}
	other := *s
	other.Basis, other.settled, other.over = s.Basis.Over(o), nil, nil
	if s.over == nil {
		s.over = map[*extract.Basis]*Sense{}
	}
	s.over[o] = &other
	return &other
}

// Configuration is the state of the tested article, resolved for one row.
type Configuration struct {
	Flap, State, Slats, Gear, Propeller, Power, Trim string
	// DeflectionDatum and DeflectionPlane say how the deflection is measured, "" where the source does not.
	DeflectionDatum, DeflectionPlane string
	// Deflection is the flap deflection in degrees as text, "" where not stated;
	// DeflectionCell is the cell that prints it, nil for "up" and figures in labels.
	Deflection     string
	DeflectionCell *Datum
}

// Key tells configurations apart by what they are: 15 and 15.0 deg are one
// setting, wherever they are printed.
func (c Configuration) Key() string {
	d := c.Deflection
	if r, ok := new(big.Rat).SetString(d); ok {
		d = r.RatString()
	}
	parts := []string{c.Flap, d, c.State, c.Slats, c.Gear, c.Propeller, c.Power, c.Trim}
	if c.DeflectionDatum != "" || c.DeflectionPlane != "" {
		parts = append(parts, c.DeflectionDatum, c.DeflectionPlane)
	}
	return strings.Join(parts, "|")
}

// Datum is one figure of a table with what it means.
type Datum struct {
	Cell *extract.Collated
	// Above is the cell that prints the figure where Cell has a ditto mark, else nil.
	Above *extract.Collated
	*Sense
	*State
	// Refused says that what the figure means could not be settled for this row, as
	// a problem tells: relations may use its digits, nothing else may.
	Refused bool
	Measurement
}

// Number is the value as it is published, rounded once: the printed digits where
// the unit is the printed one.
func (d *Datum) Number() numeral.Decimal {
	if d.Unit.UCUM == d.Quantity.Canonical && d.Factor == nil && d.Numeral.Finite {
		return d.Numeral.Decimal // the value need not be worked out
	}
	return Published(d.Value.Rat(), d.Half, false, d.Numeral)
}

// SameState reports whether two figures were measured in one state, so that a row
// that has both makes a point: all of the basis is the same but what bears on one
// of the two quantities alone.
func SameState(a, b *Datum) bool {
	plain := func(d *Datum) extract.Basis {
		x := d.Basis
		x.AngleDatum, x.Drag, x.MomentCenter, x.MomentSign, x.ReferenceChord, x.Increment, x.Note = "", "", "", "", "", "", ""
		x.AirspeedKind, x.AirspeedMeaning, x.Weight, x.WeightCondition = "", "", "", ""
		if !a.Quantity.Coefficient() || !b.Quantity.Coefficient() {
			x.Coefficients, x.Density = "", "" // a ratio of coefficients is in no system
		}
		return x
	}
	return plain(a) == plain(b) && a.Config.Key() == b.Config.Key()
}

// Row is one row of a series.
type Row struct {
	Key    string
	Labels map[string]string // the printed text of the label columns, by column key

	data *gridData
	at   int // the index of the row
}

// gridData is the figures of a series: by column, and in each by row, as they lie together.
// What has no Cell is no figure.
type gridData struct {
	keys    []string // of the columns
	columns [][]Datum
}

// At returns the figure of the row in a column of the table, by the column's index;
// nil where the cell has no number.
func (r *Row) At(column int) *Datum {
	of := r.data.columns[column]
	if of == nil || of[r.at].Cell == nil {
		return nil
	}
	return &of[r.at]
}

// Datum returns the figure of the row in the column of that key, or nil.
func (r *Row) Datum(key string) *Datum {
	i := slices.Index(r.data.keys, key)
	if i < 0 {
		return nil
	}
	return r.At(i)
}

// Empty reports whether the row has no figure.
func (r *Row) Empty() bool {
	for i := range r.data.keys {
		if r.At(i) != nil {
			return false
		}
	}
	return true
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
	HeadDiffers       ProblemKind = "head-says-otherwise"
)

// Problem is something that keeps figures from a meaning.
type Problem struct {
	Kind  ProblemKind
	What  string           // tells problems of one kind about the same cells apart; never a value
	Cells []extract.CellID // empty where a whole column is meant
	Where string           // table:row:column in words
	Msg   string
	Hint  string
}

// Normalize gives the figures of a collated table their meaning. It never fails:
// what it cannot do is in Problems, and the figures concerned have no datum.
func Normalize(c *extract.Collation) *Series {
	n := &normalizer{s: &Series{Table: c.Table, Collation: c, Givens: map[string]*Datum{}}, t: c.Table, c: c, grouped: map[string]int{},
		data: &gridData{keys: c.Table.ColumnKeys(), columns: make([][]Datum, len(c.Table.Columns))}}
	for i := range c.Table.Givens {
		n.given(&c.Table.Givens[i])
	}
	for i := range c.Table.Givens {
		if d := n.s.Givens[c.Table.Givens[i].Key]; d != nil {
			n.resolve(nil, d, nil)
		}
	}
	if c.Table.Layout == "list" {
		n.list()
	} else {
		n.grid()
	}
	n.unitsAgainst()
	n.listen()
	return n.s
}

type normalizer struct {
	s    *Series
	t    *extract.Table
	c    *extract.Collation
	data *gridData
	// grouped is the index of the problem that gathers like cells, by what is wrong.
	grouped map[string]int
	heard   heardTexts
	work    work
	said    int    // how often anything was said
	state   *State // the last that was settled
}

// group says once for many cells what is wrong with each.
func (n *normalizer) group(kind ProblemKind, what string, cell extract.CellID, where, hint, msg string) {
	n.said++
	key := string(kind) + where + msg
	if i, ok := n.grouped[key]; ok {
		n.s.Problems[i].Cells = append(n.s.Problems[i].Cells, cell)
		return
	}
	n.problem(kind, what, []extract.CellID{cell}, where, hint, "%s", msg)
	n.grouped[key] = len(n.s.Problems) - 1
}

func (n *normalizer) problem(kind ProblemKind, what string, cells []extract.CellID, where, hint, format string, args ...any) {
	n.said++
	n.s.Problems = append(n.s.Problems, Problem{Kind: kind, What: what, Cells: cells, Where: n.t.Name + where, Msg: fmt.Sprintf(format, args...), Hint: hint})
}

// columnMeaning is a column's quantity, unit and basis, or why it has none.
type columnMeaning struct {
	key      string
	head     string // as printed, for messages
	quantity *Quantity
	unit     unit.Unit
	basis    extract.Basis
	accuracy accuracy
	sense    *Sense
	halves   []*big.Rat // by decimals, each shared
	ok       bool
	label    bool
}

// meaning resolves quantity and unit of a column; what is missing is said once.
func (n *normalizer) meaning(where, key, head, after, quantity, printedUnit string, basis extract.Basis) columnMeaning {
	m := columnMeaning{key: key, head: head, basis: basis}
	switch quantity {
	case "":
		n.problem(Meaning, "quantity", nil, where, "windtally quantities lists them; unclassified is allowed and is not published",
			"no quantity is stated")
		return m
	case Unclassified:
		n.problem(UnclassifiedKind, "", nil, where, "", "is unclassified: read, collated and checked by relations, and not published")
		return m
	case "label":
		m.label = true
		return m
	}
	q, ok := Find(quantity)
	if !ok {
		n.problem(Meaning, "quantity", nil, where, "windtally quantities lists the quantities; write unclassified for one that is not there",
			"the quantity %q is not in the list", quantity)
		return m
	}
	m.quantity, m.ok = q, true
	canonical, _ := unit.Lookup(q.Canonical)
	if printedUnit == "" {
		m.ok = false
		n.problem(Unit, "unit", nil, where, "", "no unit is stated for %s%s; write it as printed (1 for a number without unit)", q.Name, inHead(head))
	} else if u, err := unit.ParseFor(printedUnit, canonical.Dim); err != nil {
		m.ok = false
		n.problem(Unit, "unit", nil, where, "", "unit of %s%s: %v", q.Name, inHead(head), err)
	} else {
		m.unit = u
		for _, msg := range n.headDoubts(head, after, q, u, basis) {
			n.problem(HeadDiffers, key, nil, where, "mend the table's file; or confirm, if the head's words mean something else", "%s", msg)
		}
		if u.UCUM == "%" && q.Group == Increment {
			n.problem(OddPrint, "percent", nil, where, "confirm if the print gives the increment itself in hundredths; else write unclassified",
				"%s is stated in percent: percent of what? An increase of 45 per cent is no increment of 0.45", q.Name)
		}
	}
	n.accuracy(&m, where, key, head)
	return m
}

// stated reports whether a basis says all that the quantity needs, and says what
// is missing. of names the rows that lack it, "" for the whole column.
func (n *normalizer) stated(m columnMeaning, where, of string, basis extract.Basis) bool {
	if m.quantity == nil {
		return m.ok
	}
	ok := n.onWhichArea(m, where, of, basis)
	n.unstated(m, where, of, basis)
	if _, known := FindSystem(basis.Coefficients); basis.Coefficients != "" && m.quantity.Coefficient() && !known {
		ok = false
		n.problem(Meaning, "coefficients", nil, where, "", "coefficients is %q%s, which is no known system; write %s", basis.Coefficients, of, needSystem.write)
	}
	if basis.AirspeedKind != "" && m.quantity.spoken(needAirspeed) {
		if _, err := airspeedKind(basis); err != nil {
			ok = false
			n.problem(Meaning, "airspeed_kind", nil, where, "", "airspeed_kind: %v%s", err, of)
		}
	}
	for _, need := range m.quantity.missing(basis) {
		if need.name == "airspeed_kind" && basis.AirspeedKind != "" {
			continue // said above, more exactly
		}
		ok = false
		n.problem(Meaning, need.name, nil, where, "", "%s%s needs its %s, which the basis does not state%s; write %s: %s", m.quantity.Name, inHead(m.head), need.name, of, need.name, need.write)
	}
	return ok
}

// rowMeaning is what the labels of one row of a grid say of its figures.
type rowMeaning struct {
	labels []string // in the order of the label columns
	keys   []string // of the label columns, by label
	rule   string   // labels of the rules that govern it, for messages
	basis  *extract.Basis
	lost   bool // its label is withheld or in dispute: nothing says what its figures mean
}

func (n *normalizer) grid() {
	columns := make([]columnMeaning, len(n.t.Columns))
	for i := range n.t.Columns {
		col := &n.t.Columns[i]
		columns[i] = n.meaning(":"+col.Key, col.Key, col.Head, "", col.Quantity, col.Unit, n.t.Basis.Over(col.Basis))
	}
	n.s.Rows = make([]Row, len(n.c.Rows))
	rows := make([]rowMeaning, len(n.c.Rows))
	for r, key := range n.c.Rows {
		n.s.Rows[r] = Row{Key: key, data: n.data, at: r}
	}
	for i, m := range columns {
		if m.label {
			n.labels(i, m.key, rows)
		}
	}
	n.rules(rows)
	for i, m := range columns {
		if m.label {
			continue
		}
		if m.ok {
			m.ok = n.needsOfRows(m, n.t.Columns[i].Basis, rows) && n.oneSystem(m, n.t.Columns[i].Head, ":"+m.key, n.systemsOf(&m, rows))
		}
		n.column(i, &m, rows)
	}
	for r := range n.s.Rows {
		row := &n.s.Rows[r]
		for i := range columns {
			if d := row.At(i); d != nil {
				if rows[r].basis != nil {
					d.Sense = d.Sense.laid(rows[r].basis)
				}
				n.resolve(row, d, rows[r].labels)
			}
		}
	}
}

// labels reads one label column; a ditto mark repeats the label above.
func (n *normalizer) labels(column int, key string, rows []rowMeaning) {
	for r := range n.s.Rows {
		rows[r].keys = append(rows[r].keys, key)
		row := &n.s.Rows[r]
		cell := n.c.At(r, column)
		if cell == nil {
			rows[r].labels = append(rows[r].labels, "")
			continue
		}
		label := extract.Label(cell.Text)
		switch num, err := numeral.Parse(cell.Text); {
		case cell.State == extract.Withheld, cell.State.Waits():
			rows[r].lost, label = true, ""
			if cell.State == extract.Withheld {
				n.problem(UnknownListedRow, "label", []extract.CellID{cell.ID}, ":"+row.Key, "", "the row's label is withheld, so its figures have no meaning and are not published")
			}
		case err == nil && num.Kind == numeral.Ditto:
			label = ""
			if r > 0 {
				label = n.s.Rows[r-1].Labels[key]
			}
			if label == "" {
				rows[r].lost = true
				n.problem(Reference, "label", []extract.CellID{cell.ID}, ":"+row.Key+":"+key, "rule reread on the label above, or on this one with its words",
					"a ditto mark %q stands under no label, so the row's figures have no meaning", cell.Text)
			}
		default:
			n.blank(cell, "no label was read")
		}
		if row.Labels == nil {
			row.Labels = map[string]string{}
		}
		row.Labels[key] = label
		rows[r].labels = append(rows[r].labels, label)
	}
}

// rules finds the rules that govern each row of a grid and says which govern none,
// which rows have none, and which contradict each other.
func (n *normalizer) rules(rows []rowMeaning) {
	used := make([]bool, len(n.t.Rows))
	n.doubled()
	for i := range n.t.Rows {
		if rule := &n.t.Rows[i]; rule.Quantity != "" || rule.Unit != "" || rule.Accuracy != "" {
			n.problem(Meaning, "rule", nil, ":"+rule.Label, "", "rows: gives %q a quantity, a unit or an accuracy; in a grid these are the columns'", rule.Label)
		}
		n.twoColumns(&n.t.Rows[i], rows)
	}
	without := map[string]int{}
	var order []string
	for r := range rows {
		for l, label := range rows[r].labels {
			i := slices.IndexFunc(n.t.Rows, func(rule extract.RowRule) bool {
				return label != "" && extract.Label(rule.Label) == label && (rule.Column == "" || rule.Column == rows[r].keys[l])
			})
			if i < 0 {
				continue
			}
			rule := &n.t.Rows[i]
			used[i] = true
			basis := extract.Basis{}.Over(rule.Basis)
			if rows[r].basis == nil {
				rows[r].basis, rows[r].rule = &basis, rule.Label
				continue
			}
			if opposed(rows[r].basis, &basis) {
				n.problem(Meaning, "rule", nil, ":"+n.s.Rows[r].Key, "", "rows: %q and %q both govern the row %s and contradict each other", rows[r].rule, rule.Label, n.s.Rows[r].Key)
			}
			both := rows[r].basis.Over(&basis)
			rows[r].basis, rows[r].rule = &both, rows[r].rule+" and "+rule.Label
		}
		if rows[r].basis == nil && len(n.t.Rows) > 0 && !rows[r].lost {
			label := strings.Join(rows[r].labels, " ")
			if without[label] == 0 {
				order = append(order, label)
			}
			without[label]++
		}
	}
	for _, label := range order {
		n.problem(UnknownListedRow, "rule/"+label, nil, ":"+label, "add it under rows:, if only with its label",
			"%d rows bear the label %q, which rows: does not name; they take the basis of the table alone", without[label], label)
	}
	for i := range used {
		if !used[i] && len(rows) > 0 {
			n.unknownRule(&n.t.Rows[i])
		}
	}
}

// twoColumns refuses a rule for a label that stands in two label columns, unless it
// says of which it speaks: Wing 1 is not Flap 1.
func (n *normalizer) twoColumns(rule *extract.RowRule, rows []rowMeaning) {
	if rule.Column != "" {
		if c := n.t.Column(rule.Column); c == nil || c.Quantity != "label" {
			n.problem(Meaning, "rule", nil, ":"+rule.Label, "", "rows: %q names the column %s, which is no label column of the table", rule.Label, rule.Column)
		}
		return
	}
	var in []string
	for r := range rows {
		for l, label := range rows[r].labels {
			if label != "" && label == extract.Label(rule.Label) && !slices.Contains(in, rows[r].keys[l]) {
				in = append(in, rows[r].keys[l])
			}
		}
	}
	if len(in) > 1 {
		n.problem(Meaning, "rule", nil, ":"+rule.Label, "", "rows: the label %q stands in the columns %s; write column: with the one that is meant", rule.Label, strings.Join(in, " and "))
	}
}

func (n *normalizer) unknownRule(rule *extract.RowRule) {
	n.problem(Reference, "rule", nil, ":"+rule.Label, "write the label as the collated reading has it",
		"rows: names %q, and no row of the table bears that label", rule.Label)
}

// doubled says which label stands twice under rows:, of which only one would count.
func (n *normalizer) doubled() {
	seen := map[string]bool{}
	for i := range n.t.Rows {
		label := extract.Label(n.t.Rows[i].Label) + "\t" + n.t.Rows[i].Column
		if seen[label] {
			n.problem(Meaning, "rule", nil, ":"+n.t.Rows[i].Label, "", "rows: names %q twice; keep one", n.t.Rows[i].Label)
		}
		seen[label] = true
	}
}

// opposed reports whether both bases state one thing, and differently.
func opposed(a, b *extract.Basis) bool {
	if a == nil || b == nil {
		return false
	}
	x, y := *a, *b
	x.Note, y.Note = "", ""
	return x.Over(&y) != y.Over(&x)
}

// needsOfRows looks for what the basis of a column does not say, row by row where
// rules govern the rows.
func (n *normalizer) needsOfRows(m columnMeaning, own *extract.Basis, rows []rowMeaning) bool {
	where := ":" + m.key
	if len(rows) > 0 && !slices.ContainsFunc(rows, func(r rowMeaning) bool { return r.basis != nil }) {
		return n.stated(m, where, "", m.basis)
	}
	type kind struct {
		basis extract.Basis
		rows  []string
	}
	var kinds []kind
	of := 0
	for r := range rows {
		if r > 0 && rows[r].basis == rows[r-1].basis {
			last := &kinds[of]
			last.rows = append(last.rows, n.s.Rows[r].Key)
			continue
		}
		basis := m.basis.Over(rows[r].basis)
		i := slices.IndexFunc(kinds, func(k kind) bool { return k.basis == basis })
		if i < 0 {
			i = len(kinds)
			kinds = append(kinds, kind{basis: basis})
			if opposed(own, rows[r].basis) {
				n.problem(Meaning, "rule/"+rows[r].rule, nil, where, "state it once, for the column or for the row",
					"the basis of the column and that of the rows %q contradict each other", rows[r].rule)
			}
		}
		kinds[i].rows = append(kinds[i].rows, n.s.Rows[r].Key)
		of = i
	}
	if len(kinds) < 2 {
		basis := m.basis
		if len(kinds) == 1 {
			basis = kinds[0].basis
		}
		return n.stated(m, where, "", basis)
	}
	ok := true
	for _, k := range kinds {
		ok = n.stated(m, where, " for the rows "+strings.Join(k.rows, " "), k.basis) && ok
	}
	return ok
}

// column reads the figures of one column of a grid.
func (n *normalizer) column(i int, m *columnMeaning, rows []rowMeaning) {
	col := &n.t.Columns[i]
	data := make([]Datum, len(n.s.Rows))
	n.data.columns[i] = data
	numerals, cells, above := n.work.cleared(len(n.s.Rows))
	filled, points := 0, 0
	for r := range n.s.Rows {
		cell := n.c.At(r, i)
		cells[r] = cell
		if cell == nil || cell.State == extract.Withheld || cell.State.Waits() {
			continue
		}
		num, err := numeral.Parse(cell.Text)
		switch {
		case err != nil, thousands(m, cell, &num, &err):
			n.problem(Numeral, "", []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+col.Key, "", "%v", err)
		case num.Kind == numeral.Ditto:
			if r == 0 || numerals[r-1] == nil {
				n.problem(Numeral, "", []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+col.Key, "",
					"a ditto mark %q stands under no figure", cell.Text)
				continue
			}
			numerals[r] = numerals[r-1]
			if above[r] = above[r-1]; above[r] == nil {
				above[r] = cells[r-1]
			}
			filled++
			if numerals[r].Decimals > 0 {
				points++
			}
		case num.Kind == numeral.Number:
			data[r].Numeral = num
			numerals[r] = &data[r].Numeral
			filled++
			if num.Decimals > 0 {
				points++
			}
			n.oddPrint(cell, numerals[r])
			n.footnotes(m, cell, numerals[r])
		case num.Kind == numeral.Blank:
			n.blank(cell, "no figure was read")
		}
	}
	for r, num := range numerals {
		// A point is the first thing that a text layer loses.
		if filled >= 5 && points >= filled-filled/5 && num != nil && above[r] == nil && cells[r].State == extract.Unwitnessed &&
			num.Decimals == 0 && num.Finite && num.Decimal.Sign() != 0 && num.Step().Cmp(big.NewRat(1, 1)) == 0 {
			n.problem(OddPrint, "point", []extract.CellID{cells[r].ID}, ":"+cells[r].ID.Row+":"+col.Key, "look at the print, then confirm or reread",
				"%q has no decimal point where %d of the column's %d figures have one", cells[r].Text, points, filled)
		}
	}
	if !m.ok {
		// Relations use the digits of unclassified and of refused columns too.
		refused := &Sense{Basis: m.basis}
		for r := range n.s.Rows {
			if numerals[r] != nil {
				data[r].Cell, data[r].Above, data[r].Sense, data[r].State, data[r].Refused = cells[r], above[r], refused, noConfiguration, true
				data[r].Numeral = *numerals[r]
			}
		}
		return
	}
	grain := grainOf(m.quantity, numerals)
	for r := range n.s.Rows {
		if numerals[r] == nil || rows[r].lost {
			continue
		}
		d, err := n.datum(&data[r], cells[r], m, numerals[r], grain)
		if err != nil {
			n.problem(Unit, "sign", []extract.CellID{cells[r].ID}, ":"+cells[r].ID.Row+":"+col.Key, "", "%v", err)
			continue
		}
		if above[r] != nil {
			d.Above = above[r]
			ditto := *d.Sense
			ditto.Formula = strings.TrimPrefix(d.Formula+"; ditto: the figure of row "+above[r].ID.Row, "; ")
			ditto.settled, ditto.over = nil, nil
			d.Sense = &ditto
		}
		n.signed(d)
	}
}

// work is what reading a column takes on the way, by row; one column after the other
// uses it.
type work struct {
	numerals []*numeral.Numeral
	cells    []*extract.Collated
	above    []*extract.Collated // of dittos: the cell that prints the figure
}

// cleared gives the lists, empty, for so many rows.
func (w *work) cleared(rows int) (numerals []*numeral.Numeral, cells, above []*extract.Collated) {
	if w.numerals == nil {
		*w = work{make([]*numeral.Numeral, rows), make([]*extract.Collated, rows), make([]*extract.Collated, rows)}
	}
	clear(w.numerals)
	clear(w.cells)
	clear(w.above)
	return w.numerals, w.cells, w.above
}

// thousands refuses a comma that a table of the quantity does not print between
// thousands: most likely it is a decimal comma. Reynolds numbers, altitudes and
// figures in feet or pounds have their thousands.
func thousands(m *columnMeaning, cell *extract.Collated, num *numeral.Numeral, err *error) bool {
	if !num.Grouped || m.quantity == nil {
		return false
	}
	q := m.quantity
	switch {
	case q.Canonical == "1" && (q.Name != "Reynolds number" || m.unit.UCUM != "1"):
	case q.Canonical == "deg", q.Canonical == "/rad":
	case m.unit.UCUM == "m" && q.Name != "altitude":
	default:
		return false
	}
	*err = fmt.Errorf("%q would be %s by thousands, and %s is not printed in thousands here: a decimal comma?", cell.Text, num.Decimal, q.Name)
	return true
}

// footnotes asks, once a mark, what a footnote says of the figures that bear it;
// one reading that has the mark is enough.
func (n *normalizer) footnotes(m *columnMeaning, cell *extract.Collated, num *numeral.Numeral) {
	if m.quantity == nil || len(num.Marks()) == 0 && oneText(cell) {
		return
	}
	var marks []string
	for _, text := range append([]string{cell.Text}, witnessTexts(cell)...) {
		num, err := numeral.Parse(text)
		if err != nil || num.LetterMark && cell.State == extract.Unwitnessed {
			continue // oddPrint asks whether the letter is a mark at all
		}
		for _, mark := range num.Marks() {
			if !slices.Contains(marks, mark) {
				marks = append(marks, mark)
			}
		}
	}
	for _, mark := range marks {
		n.group(OddPrint, "footnote/"+mark, cell.ID, "", "look at the footnote: confirm if it changes nothing, else mend the table's file or withhold the figures",
			fmt.Sprintf("figures bear the mark %s: what does the footnote say? It is not published", mark))
	}
}

// oneText reports whether every witness has the very text of the cell.
func oneText(cell *extract.Collated) bool {
	for i := range cell.Witnesses {
		if cell.Witnesses[i].Text != cell.Text {
			return false
		}
	}
	return true
}

func witnessTexts(cell *extract.Collated) []string {
	var texts []string
	for _, w := range cell.Witnesses {
		texts = append(texts, w.Text)
	}
	return texts
}

// signed raises a doubt about a load factor whose sign is not that of its name.
func (n *normalizer) signed(d *Datum) {
	sign := d.Value.Sign()
	if d.Quantity.Name == "negative load factor" && sign > 0 || d.Quantity.Name == "positive load factor" && sign < 0 {
		n.problem(OddPrint, "load factor", []extract.CellID{d.Cell.ID}, ":"+d.Cell.ID.Row+":"+d.Cell.ID.Column,
			"confirm if the print means just this, else rule emend with the sign", "%q stands for a %s and is published with the sign as printed", d.Cell.Text, d.Quantity.Name)
	}
}

// blank raises a doubt about a cell in which a single reading has nothing and of
// which no person has said so.
func (n *normalizer) blank(cell *extract.Collated, what string) {
	if strings.TrimSpace(cell.Text) != "" || cell.State != extract.Unwitnessed && cell.State != extract.Keyed {
		return
	}
	n.problem(Blank, "", []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column,
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
			n.problem(OddPrint, "workbook", []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column, "look at the workbook's cell, then confirm or reread",
				"the workbook shows %q, but stores a number or a formula, so the digits as printed are not certain", cell.Text)
			return
		}
	}
	if !num.LetterMark {
		return
	}
	n.problem(OddPrint, "mark", []extract.CellID{cell.ID}, ":"+cell.ID.Row+":"+cell.ID.Column, "look at the print, then confirm or reread",
		"%q was read as %s with a footnote mark; the letter may be a misread figure", cell.Text, num.Decimal)
}

// datum turns a numeral into a measurement in the canonical unit.
// d is where it stands, a new one where it is nil.
func (n *normalizer) datum(d *Datum, cell *extract.Collated, m *columnMeaning, num *numeral.Numeral, grain int64) (*Datum, error) {
	if d == nil {
		d = &Datum{}
	}
	if num.Percent && m.unit.UCUM != "%" {
		return nil, fmt.Errorf("%q bears a percent sign; the column's unit is %s", cell.Text, m.unit.Name)
	}
	if num.Degrees && m.unit.UCUM != "deg" {
		return nil, fmt.Errorf("%q bears a degree sign; the column's unit is %s", cell.Text, m.unit.Name)
	}
	sense, err := m.meant()
	if err != nil {
		return nil, err
	}
	d.Cell, d.Sense, d.State = cell, sense, noConfiguration
	if num != &d.Numeral {
		d.Numeral = *num
	}
	conversion := sense.conversion
	if coef, decimals, plain := num.Plain(); plain {
		if worth, ok := conversion.Worth(decimals); ok {
			d.Value = Exact{coef, worth}
		}
		if !m.quantity.zeros || grain != 1 {
			d.Half = m.half(decimals, grain)
		}
	}
	if !d.Value.Known() {
		d.Value = ExactOf(conversion.Value(num.Rat()))
	}
	if d.Half == nil {
		step := num.Step()
		if m.quantity.zeros && grain == 1 {
			step = zeroStep(*num)
		}
		d.Half = conversion.Width(step.Mul(step, big.NewRat(grain, 2)))
	}
	if m.accuracy.stated() {
		if known := m.accuracy.of(num.Rat()); known != nil {
			d.Accuracy = conversion.Width(known)
		}
	}
	return d, nil
}

// half is the half-width of the figures with so many decimals, which share it; grain
// is the same for all of the column.
func (m *columnMeaning) half(decimals int, grain int64) *big.Rat {
	for len(m.halves) <= decimals {
		m.halves = append(m.halves, nil)
	}
	if m.halves[decimals] == nil {
		step := big.NewRat(grain, 2)
		m.halves[decimals] = m.sense.conversion.Width(step.Quo(step, pow10(decimals)))
	}
	return m.halves[decimals]
}

// meant is the sense that the figures of a column share.
func (m *columnMeaning) meant() (*Sense, error) {
	if m.sense != nil {
		return m.sense, nil
	}
	canonical, _ := unit.Lookup(m.quantity.Canonical)
	conversion, err := unit.NewConversion(m.unit, canonical)
	if err != nil {
		return nil, err
	}
	m.sense = &Sense{Quantity: m.quantity, Basis: m.basis, Unit: m.unit, conversion: conversion}
	if m.unit.UCUM != canonical.UCUM {
		m.sense.Formula = fmt.Sprintf("%s from %s", canonical.UCUM, m.unit.UCUM)
	}
	return m.sense, nil
}

// noConfiguration is that of figures which are in none; it is never changed.
var noConfiguration = &State{}

// zeroStep is the unit of the last figure that is not zero: 1,000,000 for
// 8,000,000, whose zeros fill up. Where a power of ten is printed (3.40x10^6) no
// zero fills up, and each was meant. Common practice, no source.
func zeroStep(num numeral.Numeral) *big.Rat {
	step := num.Step()
	v := num.Rat()
	if v.Sign() == 0 || step.Cmp(big.NewRat(1, 1)) != 0 {
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
	if grain, ok := plainGrain(numerals); ok {
		return grain
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

// plainGrain is grainOf for figures that are all short decimals; ok is false where
// one is not.
func plainGrain(numerals []*numeral.Numeral) (grain int64, ok bool) {
	scale, begun := 0, false
	var different []int64 // at most four
	var common int64      // greatest common divisor
	for _, num := range numerals {
		if num == nil {
			continue
		}
		coef, s, plain := num.Plain()
		switch {
		case !plain:
			return 0, false
		case begun && s != scale:
			return 1, true
		}
		scale, begun = s, true
		if len(different) < 4 && !slices.Contains(different, coef) {
			different = append(different, coef)
		}
		for coef != 0 {
			common, coef = coef, common%coef
		}
		if common%5 != 0 {
			return 1, true
		}
	}
	if len(different) < 4 {
		return 1, true
	}
	for _, g := range []int64{1000, 500, 100, 50, 10, 5} {
		if common%g == 0 {
			return g, true
		}
	}
	return 1, true
}

// given reads a figure that stands outside the grid.
func (n *normalizer) given(g *extract.Column) {
	where := ":given:" + g.Key
	m := n.meaning(where, g.Key, g.Head, g.Words, g.Quantity, g.Unit, n.t.Basis.Over(g.Basis))
	if m.ok {
		m.ok = n.stated(m, where, "", m.basis) && n.oneSystem(m, g.Head, where, []systemRows{{system: m.basis.Coefficients}})
	}
	cell := n.c.Cell(extract.Given, g.Key)
	if cell == nil {
		n.problem(Reference, "given", nil, where, "read the table again with words: set, key it, or rule reread on the cell",
			"no reading has the figure")
		return
	}
	if m.label || !m.ok || cell.State == extract.Withheld || cell.State.Waits() {
		return
	}
	num, err := numeral.Parse(cell.Text)
	if err == nil && num.Kind != numeral.Number {
		err = fmt.Errorf("%q is not a number", cell.Text)
	}
	if err == nil && !thousands(&m, cell, &num, &err) {
		var d *Datum
		if d, err = n.datum(nil, cell, &m, &num, 1); err == nil {
			n.oddPrint(cell, &num)
			n.footnotes(&m, cell, &num)
			n.signed(d)
			n.s.Givens[g.Key] = d
			return
		}
	}
	n.problem(Numeral, "", []extract.CellID{cell.ID}, where, "", "%v", err)
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
	return row.Datum(key)
}

// resolve settles the configuration of a datum and proves that what its basis
// refers to is there, and is what it is taken for.
func (n *normalizer) resolve(row *Row, d *Datum, labels []string) {
	if d.Quantity == nil {
		return
	}
	n.absolute(row, d)
	n.noseUp(d)
	if d.Sense.settled != nil {
		d.State = d.Sense.settled
		return
	}
	c := configurationOf(d)
	said := n.said
	d.State = &State{Configuration{Flap: c.Flap, State: c.State, Slats: c.Slats, Gear: c.Gear, Propeller: c.Propeller, Power: c.Power, Trim: c.Trim,
		DeflectionDatum: stated(c.DeflectionDatum), DeflectionPlane: stated(c.DeflectionPlane)}}
	defer func() {
		if n.state != nil && *n.state == *d.State {
			d.State = n.state // of the column before
		}
		n.state = d.State
		if said == n.said && !d.Refused && ofTheTable(c.Deflection, d.Basis) {
			d.Sense.settled = d.State
		}
	}()
	where := ":" + d.Cell.ID.Row + ":" + d.Cell.ID.Column
	switch _, _, isRef := extract.CellRef(c.Deflection); {
	case c.Deflection == "", c.Deflection == "not-stated":
	case c.Deflection == "up":
		d.Config.Deflection = "0"
	case isRef:
		at, ok := n.referred(row, d, "flap deflection", c.Deflection, "flap deflection")
		switch {
		case at != nil:
			d.Config.DeflectionCell = at
			d.Config.Deflection = at.Number().String()
			n.measuredFrom(d, at)
		case ok && d.Quantity.flapped():
			d.Refused = true
			n.group(Reference, "flap deflection", d.Cell.ID, ":"+d.Cell.ID.Column, "", fmt.Sprintf("the flap deflection (%s) has no figure here, so these figures are in no known configuration and are not published", c.Deflection))
		}
	case !plainFigure(c.Deflection):
		d.Refused = true
		n.problem(DeflectionNoPrint, "form", []extract.CellID{d.Cell.ID}, where, "",
			"the deflection is %q; it should be up, not-stated, column KEY, given KEY, or a figure in degrees that stands in the row's label", c.Deflection)
		return
	default:
		label := strings.Join(labels, " ")
		if !slices.Contains(figuresIn(label), c.Deflection) {
			d.Refused = true
			n.problem(DeflectionNoPrint, "label", []extract.CellID{d.Cell.ID}, where, "refer to the cell that prints it: column KEY or given KEY",
				"the deflection %q stands nowhere in the row's label %q; no number enters other than through a reading", c.Deflection, label)
			return
		}
		d.Config.Deflection = c.Deflection
	}
	aero, q := d.Quantity.Aerodynamic(), d.Quantity
	for _, ref := range []struct {
		what, ref string
		bears     bool
		quantity  []string
	}{
		{"Reynolds number", d.Basis.Reynolds, aero, []string{"Reynolds number"}},
		{"Mach number", d.Basis.Mach, aero, []string{"Mach number"}},
		{"thrust coefficient", d.Basis.Thrust, aero, []string{"thrust coefficient"}},
		{"weight", d.Basis.Weight, q.weighed(), []string{"weight", "test weight"}},
		{"center of gravity", d.Basis.CenterOfGravity, aero || q.Group == Stall, []string{"center-of-gravity position"}},
		{"altitude", d.Basis.Altitude, q.aloft() && q.Group != Condition, []string{"altitude"}},
		{"air temperature", d.Basis.Temperature, q.aloft() && q.Group != Condition, []string{"air temperature"}},
	} {
		if !ref.bears || ref.ref == "" || ref.ref == "sea-level" {
			continue
		}
		if _, _, isRef := extract.CellRef(ref.ref); !isRef && ref.what == "center of gravity" {
			continue // the source's own words
		}
		at, ok := n.referred(row, d, ref.what, ref.ref, ref.quantity...)
		if at != nil || !ok {
			continue
		}
		what := fmt.Sprintf("the %s (%s) has no figure here", ref.what, ref.ref)
		if ref.what == "weight" && q.Group == Stall {
			d.Refused = true
			what += ", and a stall speed without its weight is not published"
		}
		n.group(Reference, ref.what, d.Cell.ID, ":"+d.Cell.ID.Column, "", what)
	}
}

// ofTheTable reports whether nothing that a basis refers to stands in a row, and
// its deflection in no label.
func ofTheTable(deflection string, b extract.Basis) bool {
	for _, ref := range []string{deflection, b.Reynolds, b.Mach, b.Thrust, b.Density, b.Weight, b.Altitude, b.Temperature, b.CenterOfGravity} {
		kind, _, isRef := extract.CellRef(ref)
		if isRef && kind != "given" || !isRef && ref == deflection && deflection != "" && deflection != "up" && deflection != "not-stated" {
			return false
		}
	}
	return true
}

// referred returns the figure that a basis refers to, nil where there is none. ok
// is false where there is one of another quantity, which is said and refused.
func (n *normalizer) referred(row *Row, d *Datum, what, ref string, quantity ...string) (at *Datum, ok bool) {
	at = n.s.Ref(row, ref)
	if at == nil || at.Quantity != nil && slices.Contains(quantity, at.Quantity.Name) {
		return at, true
	}
	is := Unclassified
	if at.Quantity != nil {
		is = at.Quantity.Name
	}
	d.Refused = true
	n.group(Meaning, what, d.Cell.ID, ":"+d.Cell.ID.Column, "",
		fmt.Sprintf("the basis names %s as the %s, and its quantity is %s; it should be %s", ref, what, is, strings.Join(quantity, " or ")))
	return nil, false
}

// plainFigure reports whether a text is digits with at most one point between.
func plainFigure(s string) bool {
	whole, part, point := strings.Cut(s, ".")
	digits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	whole = strings.TrimPrefix(whole, "-")
	return digits(whole) && (len(whole) == 1 || whole[0] != '0') && (!point || digits(part))
}

// notDegrees is what stands behind a figure that is a share or a length and so no
// deflection: "20% chord", "8 in. chord".
var notDegrees = regexp.MustCompile(`(?i)^[\s-]*(%|per\s?cent|percent|pct\b|["″'′]|(ft|feet|foot|ins|inch|inches|mm|cm)\b|in\.|m\.|(in|m)[\s]*($|[,;)]))`)

// figuresIn lists the figures in a label that may be degrees, each with its sign. A
// stroke between words or figures ("0-60") is no sign.
func figuresIn(label string) []string {
	var list []string
	runes := []rune(label)
	for i := 0; i < len(runes); {
		if !figureRune(runes[i]) {
			i++
			continue
		}
		start := i
		for i < len(runes) && figureRune(runes[i]) {
			i++
		}
		f := strings.Trim(string(runes[start:i]), ".")
		if start > 0 && strings.ContainsRune("-−–", runes[start-1]) && (start == 1 || strings.ContainsRune(" (,;:", runes[start-2])) {
			f = "-" + f
		}
		if f != "" && f != "-" && !notDegrees.MatchString(string(runes[i:])) {
			list = append(list, f)
		}
	}
	return list
}

func figureRune(r rune) bool { return r >= '0' && r <= '9' || r == '.' }

// list reads particulars: one row a quantity.
func (n *normalizer) list() {
	n.doubled()
	for i := range n.t.Rows {
		if rule := &n.t.Rows[i]; rule.Column != "" && rule.Column != "label" {
			n.problem(Meaning, "rule", nil, ":"+rule.Label, "", "rows: %q names the column %s; in a list labels stand in the column label", rule.Label, rule.Column)
		}
	}
	rows := map[string][]string{} // label -> row keys
	for _, key := range n.c.Rows {
		if cell := n.c.Cell(key, "label"); cell != nil && cell.Text != "" {
			rows[extract.Label(cell.Text)] = append(rows[extract.Label(cell.Text)], key)
		}
	}
	if i := slices.Index(n.data.keys, "value"); i >= 0 {
		n.data.columns[i] = make([]Datum, len(n.c.Rows))
	}
	for r, key := range n.c.Rows {
		row := Row{Key: key, Labels: map[string]string{}, data: n.data, at: r}
		labelCell, cell := n.c.Cell(key, "label"), n.c.Cell(key, "value")
		label := ""
		if labelCell != nil {
			label = extract.Label(labelCell.Text)
			row.Labels["label"] = label
		}
		where := ":" + key + ":value"
		rule := n.rule(label)
		switch {
		case cell == nil || cell.State == extract.Withheld || cell.State.Waits():
		case labelCell != nil && labelCell.State.Waits():
		case labelCell != nil && labelCell.State == extract.Withheld:
			n.problem(UnknownListedRow, "label", []extract.CellID{labelCell.ID}, ":"+key, "", "the row's label is withheld, so its figure has no meaning and is not published")
		case rule == nil:
			n.problem(UnknownListedRow, "rule", []extract.CellID{cell.ID}, where, "add it under rows:, with quantity: unclassified where it is not wanted",
				"the row %q is not named under rows:, so its figure %q has no meaning and is not published", label, cell.Text)
		default:
			if same := rows[label]; len(same) > 1 && rule.Quantity != Unclassified {
				n.problem(Reference, "label", []extract.CellID{cell.ID}, where, "confirm if the rule holds for this row too, withhold the figure if not",
					"the label %q stands in the rows %s, and one rule governs them all", label, strings.Join(same, " "))
			}
			n.listRow(&row, cell, rule, where, label)
		}
		n.s.Rows = append(n.s.Rows, row)
	}
	for i := range n.t.Rows {
		if len(n.s.Rows) > 0 && !slices.ContainsFunc(n.s.Rows, func(r Row) bool { return r.Labels["label"] == extract.Label(n.t.Rows[i].Label) }) {
			n.unknownRule(&n.t.Rows[i])
		}
	}
	for r := range n.s.Rows {
		if d := n.s.Rows[r].Datum("value"); d != nil {
			n.resolve(&n.s.Rows[r], d, []string{n.s.Rows[r].Labels["label"]})
		}
	}
}

func (n *normalizer) rule(label string) *extract.RowRule {
	if label == "" {
		return nil
	}
	for i := range n.t.Rows {
		if extract.Label(n.t.Rows[i].Label) == label {
			return &n.t.Rows[i]
		}
	}
	return nil
}

// listUnit settles the unit of a row of particulars from the rule and the print,
// which must not contradict each other.
func (n *normalizer) listUnit(row *Row, cell *extract.Collated, rule *extract.RowRule, where, label string) (printed string, ok bool) {
	unitCell := n.c.Cell(row.Key, "unit")
	if unitCell == nil || unitCell.State == extract.Withheld || unitCell.State.Waits() || strings.TrimSpace(unitCell.Text) == "" {
		return rule.Unit, true
	}
	inPrint := strings.TrimSpace(unitCell.Text)
	if num, err := numeral.Parse(inPrint); err == nil && (num.Kind == numeral.Ditto || num.Kind == numeral.Missing) {
		if rule.Unit == "" && num.Kind == numeral.Ditto {
			n.problem(Unit, "unit", []extract.CellID{cell.ID}, where, "", "%q may be a ditto mark or inches; write the unit under rows:", inPrint)
			return "", false
		}
		return rule.Unit, true
	}
	if rule.Unit == "" {
		return inPrint, true
	}
	q, known := Find(rule.Quantity)
	if !known {
		return rule.Unit, true
	}
	canonical, _ := unit.Lookup(q.Canonical)
	said, err := unit.ParseFor(rule.Unit, canonical.Dim)
	if err != nil {
		return rule.Unit, true // meaning says what is wrong with it
	}
	switch b, err := unit.ParseFor(inPrint, canonical.Dim); {
	case err == nil && b.UCUM == said.UCUM:
	case err == nil || unitOfSomething(inPrint):
		n.problem(Unit, "unit", []extract.CellID{cell.ID}, where, "", "rows: says %q for %q; the print says %q", rule.Unit, label, inPrint)
		return "", false
	default:
		n.problem(OddPrint, "unit", []extract.CellID{unitCell.ID, cell.ID}, where, "look at the print, then confirm or reread",
			"the print's unit %q is not known here; rows: says %q", inPrint, rule.Unit)
	}
	return rule.Unit, true
}

// unitOfSomething reports whether a text is a unit at all, whatever of.
func unitOfSomething(text string) bool {
	return unit.Settled(text, unit.Force, unit.Mass, unit.Angle, unit.Length, unit.Time, unit.Dimensionless, unit.Acceleration)
}

func (n *normalizer) listRow(row *Row, cell *extract.Collated, rule *extract.RowRule, where, label string) {
	printed, ok := n.listUnit(row, cell, rule, where, label)
	if !ok {
		return
	}
	m := n.meaning(where, "value", label, "", rule.Quantity, printed, n.t.Basis.Over(rule.Basis))
	if m.ok {
		m.ok = n.stated(m, where, "", m.basis) && n.oneSystem(m, label, where, []systemRows{{system: m.basis.Coefficients}})
	}
	num, err := numeral.Parse(cell.Text)
	if err == nil && num.Kind == numeral.Ditto {
		err = fmt.Errorf("a ditto mark %q in a list of particulars has no figure above it", cell.Text)
	}
	if err != nil || thousands(&m, cell, &num, &err) {
		n.problem(Numeral, "", []extract.CellID{cell.ID}, where, "", "%v", err)
		return
	}
	if num.Kind == numeral.Blank {
		n.blank(cell, "no figure was read")
	}
	if num.Kind != numeral.Number || m.label {
		return
	}
	n.oddPrint(cell, &num)
	n.footnotes(&m, cell, &num)
	at := &n.data.columns[slices.Index(n.data.keys, "value")][row.at]
	if !m.ok {
		*at = Datum{Cell: cell, Sense: &Sense{Basis: m.basis}, State: noConfiguration, Refused: true, Measurement: Measurement{Numeral: num}}
		return
	}
	d, err := n.datum(at, cell, &m, &num, 1)
	if err != nil {
		n.problem(Unit, "sign", []extract.CellID{cell.ID}, where, "", "%v", err)
		return
	}
	n.signed(d)
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

// placesOf is the number of decimals at which a unit of the last place is at most
// half: 2 for 0.05, 0 for 5, and never fewer, since whole figures are not rounded.
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
