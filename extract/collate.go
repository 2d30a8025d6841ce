package extract

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"iter"
	"slices"
	"strings"

	"windtally/normalize/numeral"
)

// State says how far a cell's text is vouched for.
type State string

// The states of a cell. A confirmed, reread or emended cell has a person's ruling.
const (
	Unwitnessed State = "unwitnessed" // one reading, nobody's eye on it
	Keyed       State = "keyed"       // one person typed it, nothing else speaks
	Agreed      State = "agreed"      // two independent witnesses say the same
	Disputed    State = "disputed"    // witnesses differ: no text until a person rules
	Doubtful    State = "doubtful"    // no reader vouches for its text: none until a person rules
	Confirmed   State = "confirmed"
	Reread      State = "reread"
	Emended     State = "emended"
	Withheld    State = "withheld"
)

// Waits reports whether the cell has no text until a person rules.
func (s State) Waits() bool { return s == Disputed || s == Doubtful }

// Settled is what a person ruled about a cell.
type Settled struct {
	State  State  // Confirmed, Reread, Emended or Withheld
	Print  string // what the print says; "" leaves the readings' text, unless Reread
	Value  string // for Emended: the text that stands in place of the print's
	Ruling string // id of the ruling
	By     string // initials
}

// Witness is one reader's word about a cell.
type Witness struct {
	Reader     string
	Text       string
	Place      Place
	Confidence float64
	Doubt      string   // why the reader does not vouch for the text, or ""
	Candidates []string // what else it took the print for, best first
	Scan       bool     // the text layer of a page image: somebody else's OCR
}

// String says what the reader gave, in words.
func (w Witness) String() string {
	s := fmt.Sprintf("%s reads %q", w.Reader, w.Text)
	var more []string
	if w.Confidence >= 0 && w.image() && !strings.HasPrefix(w.Doubt, "confidence") {
		more = append(more, fmt.Sprintf("confidence %.2f", w.Confidence))
	}
	if w.Doubt != "" {
		more = append(more, "doubts it: "+w.Doubt)
	}
	if len(w.Candidates) > 0 {
		var list []string
		for _, c := range w.Candidates {
			list = append(list, fmt.Sprintf("%q", c))
		}
		more = append(more, "or "+strings.Join(list, ", "))
	}
	if len(more) > 0 {
		s += " (" + strings.Join(more, "; ") + ")"
	}
	return s
}

// Collated is a cell after all readings were laid side by side.
type Collated struct {
	ID        CellID
	Witnesses []Witness
	State     State
	// Print is the text as printed; "" while the State waits.
	Print string
	// Text is what the study goes on with: Print, or the emendation.
	Text    string
	Settled *Settled
}

// Place returns the most exact place that any witness gives.
func (c *Collated) Place() Place {
	var best Place
	rank := -1
	for _, w := range c.Witnesses {
		r := 0
		switch {
		case !w.Place.Box.Empty():
			r = 3
		case w.Place.Ref != "":
			r = 2
		case w.Place.Page > 0:
			r = 1
		}
		if r > rank {
			rank, best = r, w.Place
		}
	}
	return best
}

// Readers lists the witnesses' readers.
func (c *Collated) Readers() []string {
	var names []string
	for _, w := range c.Witnesses {
		names = append(names, w.Reader)
	}
	return names
}

// Evidence is the digest of what the readings say of the cell and doubt about it, and
// of which they are. A ruling keeps the digest that it was made on and lapses when that changes:
// also when a further reading comes that says the same, or one goes.
func (c *Collated) Evidence() string {
	lines := make([]string, 0, len(c.Witnesses))
	for _, w := range c.Witnesses {
		lines = append(lines, w.Reader+"\t"+w.Text)
		if w.Doubt != "" {
			lines = append(lines, "doubt\t"+w.Reader+"\t"+w.Doubt)
		}
	}
	return Digest(lines...)
}

// Digest hashes lines in sorted order, each ended by a newline, to the first 16
// hexadecimal figures of their SHA-256. Within a line, backslash, newline, carriage
// return and tab are escaped as in a file of cells, so that no two lists of lines
// read alike.
func Digest(lines ...string) string {
	escaped := make([]string, len(lines))
	for i, l := range lines {
		escaped[i] = escapeText(l) + "\n"
	}
	slices.Sort(escaped)
	sum := sha256.Sum256([]byte(strings.Join(escaped, "")))
	return hex.EncodeToString(sum[:8])
}

// DifferenceKind says in what two readings differ.
type DifferenceKind string

// The kinds of difference. A row or a column that one reading lacks is a
// difference like any other.
const (
	TextDiffers DifferenceKind = "text"
	RowLost     DifferenceKind = "row"
	ColumnLost  DifferenceKind = "column"
)

// Difference is one thing in which the readings of a table do not agree.
type Difference struct {
	Kind   DifferenceKind
	Row    string // for text and row
	Column string // for text and column
	Reader string // for row and column: the reading that lacks it
}

// Collation is all readings of one table, cell by cell.
type Collation struct {
	Table       *Table
	Readers     []string
	Rows        []string // print order, every row that was ever read
	Differences []Difference

	rows            map[string]int // where each row stands in Rows
	columns, givens []string       // keys, in the order of Table
	cells           []Collated     // column after column, as a column is read as one
	given           []Collated
}

// Cell returns the collated cell, or nil.
func (c *Collation) Cell(row, column string) *Collated {
	if row == Given {
		if i := slices.Index(c.givens, column); i >= 0 {
			return c.given[i].known()
		}
		return nil
	}
	r, ok := c.rows[row]
	i := slices.Index(c.columns, column)
	if !ok || i < 0 {
		return nil
	}
	return c.At(r, i)
}

// At returns the cell of the row Rows[row] in the column Table.Columns[column], or nil.
func (c *Collation) At(row, column int) *Collated {
	return c.cells[column*len(c.Rows)+row].known()
}

// Cells lists every cell: those of the grid column by column, then the given figures.
func (c *Collation) Cells() iter.Seq[*Collated] {
	return func(yield func(*Collated) bool) {
		for _, list := range [][]Collated{c.cells, c.given} {
			for i := range list {
				if cell := list[i].known(); cell != nil && !yield(cell) {
					return
				}
			}
		}
	}
}

// known is the cell, or nil where no reading and no ruling speaks of it.
func (c *Collated) known() *Collated {
	if len(c.Witnesses) == 0 && c.Settled == nil {
		return nil
	}
	return c
}

// Collate lays the readings of a table side by side. Rows come from the register,
// so that a row which every reading lost is still missed. settled holds the
// rulings that stand.
func Collate(t *Table, register *Register, readings []*Reading, settled map[CellID]Settled) *Collation {
	c := &Collation{Table: t, columns: t.ColumnKeys(), givens: t.KeysOf(Given), rows: map[string]int{}}
	readings = slices.Clone(readings)
	slices.SortFunc(readings, func(a, b *Reading) int { return strings.Compare(a.Meta.Reader, b.Meta.Reader) })
	if register != nil {
		c.Rows = register.Keys()
	}
	known := map[string]bool{}
	for _, k := range c.Rows {
		known[k] = true
	}
	indexes := make([]map[[2]string]*Cell, len(readings))
	for i, r := range readings {
		c.Readers = append(c.Readers, r.Meta.Reader)
		indexes[i] = r.index()
		for _, k := range r.RowKeys() {
			if !known[k] {
				known[k] = true
				c.Rows = append(c.Rows, k)
			}
		}
	}

	lacksRow := make([]map[string]bool, len(readings))
	lacksColumn := make([]map[string]bool, len(readings))
	for i, r := range readings {
		lacksRow[i], lacksColumn[i] = map[string]bool{}, map[string]bool{}
		has := map[string]bool{}
		for _, k := range r.RowKeys() {
			has[k] = true
		}
		for _, row := range c.Rows {
			if !has[row] {
				lacksRow[i][row] = true
				c.Differences = append(c.Differences, Difference{Kind: RowLost, Row: row, Reader: r.Meta.Reader})
			}
		}
		hasColumn := map[string]bool{}
		for _, k := range r.columnKeys() {
			hasColumn[k] = true
		}
		for _, column := range t.ColumnKeys() {
			if !hasColumn[column] && len(r.Cells) > 0 {
				lacksColumn[i][column] = true
				c.Differences = append(c.Differences, Difference{Kind: ColumnLost, Column: column, Reader: r.Meta.Reader})
			}
		}
	}

	for i, row := range c.Rows {
		c.rows[row] = i
	}
	c.cells = make([]Collated, len(c.Rows)*len(c.columns))
	c.given = make([]Collated, len(c.givens))
	witnesses := make([]Witness, (len(c.cells)+len(c.given))*len(readings)) // those of a cell lie together
	collate := func(cell *Collated, at int, row, column string) {
		cell.ID = CellID{t.ID, row, column}
		at *= len(readings)
		cell.Witnesses = witnesses[at : at : at+len(readings)]
		for i, r := range readings {
			if got, ok := indexes[i][[2]string{row, column}]; ok {
				cell.Witnesses = append(cell.Witnesses, Witness{r.Meta.Reader, got.Text, got.Place, got.Confidence, got.Doubt, got.Candidates, r.layer()})
			} else if row != Given && !lacksRow[i][row] && !lacksColumn[i][column] {
				cell.Witnesses = append(cell.Witnesses, Witness{Reader: r.Meta.Reader, Confidence: -1, Scan: r.layer()})
			}
		}
		if s, ok := settled[cell.ID]; ok {
			cell.Settled = &s
		}
		if cell.known() == nil {
			return
		}
		cell.settle()
		if cell.State == Disputed {
			c.Differences = append(c.Differences, Difference{Kind: TextDiffers, Row: row, Column: column})
		}
	}
	for r, row := range c.Rows {
		for i, column := range c.columns {
			at := i*len(c.Rows) + r
			collate(&c.cells[at], at, row, column)
		}
	}
	for i, key := range c.givens {
		collate(&c.given[i], len(c.cells)+i, Given, key)
	}
	return c
}

// Read is what the readings alone say of the cell, whatever was ruled. text is what
// a person who confirms the cell puts their name to; one is false where the readings
// leave several texts, so that there is nothing to confirm.
//
//	no reader without doubt                            Doubtful
//	readers without doubt differ                       Disputed
//	two with evidence of their own say the same        Agreed
//	one, that does not bear by itself (see evidence)   Doubtful
//	one person                                         Keyed
//	one machine                                        Unwitnessed
func (c *Collated) Read() (state State, text string, one bool) {
	said := c.Witnesses
	sure := slices.DeleteFunc(slices.Clone(said), func(w Witness) bool { return w.Doubt != "" })
	if i := slices.IndexFunc(sure, func(w Witness) bool { return w.image() }); i >= 0 {
		text := sure[i].Text
		sure = slices.DeleteFunc(sure, func(w Witness) bool { return w.Scan && !SameText(w.Text, text) })
	}
	evidence := map[string]bool{}
	for _, w := range sure {
		evidence[w.evidence()] = true
	}
	switch {
	case len(said) == 0:
		return Unwitnessed, "", true
	case len(sure) == 0, len(evidence) == 1 && c.leans(sure[0]):
		state = Doubtful
	default:
		said = sure
		_, person := KeyedBy(sure[0].Reader)
		switch {
		case differ(sure):
			state = Disputed
		case len(evidence) > 1:
			state = Agreed
		case person:
			state = Keyed
		default:
			state = Unwitnessed
		}
	}
	if differ(said) {
		return state, "", false
	}
	return state, nearest(said), true
}

// leans reports whether a reader that stands alone does not bear by itself, because
// of what others doubt.
func (c *Collated) leans(alone Witness) bool {
	return slices.ContainsFunc(c.Witnesses, func(w Witness) bool {
		return w.Doubt != "" && (alone.Scan && w.image() || alone.Reader == "ocr" && w.Reader == "sorts")
	})
}

func differ(list []Witness) bool {
	return slices.ContainsFunc(list, func(w Witness) bool { return !SameText(list[0].Text, w.Text) })
}

// nearest picks of texts that say the same the one nearest to the print: a person's,
// else that of the shapes, else the first reader's.
func nearest(list []Witness) string {
	for _, w := range list {
		if _, ok := KeyedBy(w.Reader); ok {
			return w.Text
		}
	}
	for _, w := range list {
		if w.Reader == "sorts" {
			return w.Text
		}
	}
	return list[0].Text
}

// settle finds the cell's state and text from its witnesses and its ruling.
func (c *Collated) settle() {
	state, text, one := c.Read()
	c.State = state
	if !state.Waits() {
		c.Print = text
	}
	c.Text = c.Print
	if s := c.Settled; s != nil {
		if !one && s.State == Confirmed {
			c.Settled = nil // it says of no reading that it is the right one
			return
		}
		c.State = s.State
		switch {
		case s.Print != "" || s.State == Reread:
			c.Print = s.Print
		case s.State == Confirmed || s.State == Emended:
			c.Print = text
		}
		c.Text = c.Print
		if s.State == Emended {
			c.Text = s.Value
		}
	}
}

// SameText reports whether two transcriptions say the same: the same numeral with
// the same printed decimals (the glyph of a minus sign, a missing leading zero and
// footnote marks apart), or the same words (leaders and spaces apart). A letter that
// stands directly at the last figure may be a figure misread ("0.50b" for "0.506"),
// so it is no mark unless both have it.
func SameText(a, b string) bool { return a == b || sameKey(a) == sameKey(b) }

// sameKey is the same for texts that say the same, and for no others.
func sameKey(text string) string {
	n, err := numeral.Parse(text)
	switch {
	case err != nil:
		return "words " + Label(text)
	case n.Kind != numeral.Number:
		return n.Kind.String()
	}
	key := "number " + n.Rat().RatString() + " step " + n.Step().RatString()
	if n.Percent {
		key += " percent"
	}
	if n.MarkAttached {
		key += " mark " + strings.Join(n.Marks(), " ")
	}
	return key
}

// Label is the form in which a printed label is compared with another reading's, or
// with what a person wrote of it: leaders dropped, spaces and the glyphs of a dash
// folded.
func Label(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '’' || r == '‘' {
			return '\''
		}
		return OneDash(r)
	}, s)
	return strings.Join(strings.Fields(strings.TrimRight(s, " .…·")), " ")
}

// OneDash writes every glyph that readers take a printed dash or minus sign for as a
// hyphen, and leaves any other rune as it is.
func OneDash(r rune) rune {
	switch r {
	case '–', '—', '−', '‐', '‑':
		return '-'
	}
	return r
}

// Describe says a difference in plain words.
func (c *Collation) Describe(d Difference) string {
	switch d.Kind {
	case RowLost:
		return fmt.Sprintf("row %s is in %s and not in %s", d.Row, c.whoHas(d.Row, d.Reader), d.Reader)
	case ColumnLost:
		return fmt.Sprintf("column %s of the table is not in %s", d.Column, d.Reader)
	}
	var parts []string
	if cell := c.Cell(d.Row, d.Column); cell != nil {
		for _, w := range cell.Witnesses {
			parts = append(parts, w.String())
		}
	}
	return strings.Join(parts, ", ")
}

func (c *Collation) whoHas(row, except string) string {
	has := map[string]bool{}
	for _, column := range c.Table.ColumnKeys() {
		if cell := c.Cell(row, column); cell != nil {
			for _, w := range cell.Witnesses {
				has[w.Reader] = true
			}
		}
	}
	var names []string
	for _, r := range c.Readers {
		if has[r] && r != except {
			names = append(names, r)
		}
	}
	if len(names) == 0 {
		return "an earlier reading"
	}
	return strings.Join(names, " and ")
}
