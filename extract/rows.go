package extract

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// RawRow is one row as a reader found it, before it bears a key.
type RawRow struct {
	Page  int
	Box   Rect            // empty for a keyed row
	Cells map[string]Cell // by column key; the cells' Row is still empty
}

// Register is readings/<table>.rows.json: every row that any reading of a table
// ever had, in print order. A row keeps its key for life; a key is never used
// again, so a row that a later reading loses is still known to be lost.
type Register struct {
	Schema  int        `json:"schema"`
	TableID string     `json:"table_id"`
	Rows    []KnownRow `json:"rows"`
}

// KnownRow is a row of the register and where it stood when it was last seen. X0
// and X1 are the furthest that any reading saw of it: they tell a row from the one
// beside it where a table stands in two blocks on one page.
type KnownRow struct {
	Key  string  `json:"key"`
	Page int     `json:"page,omitempty"`
	X0   float64 `json:"x0,omitempty"`
	Y0   float64 `json:"y0,omitempty"`
	X1   float64 `json:"x1,omitempty"`
	Y1   float64 `json:"y1,omitempty"`
}

// seen puts the row where a reader found it; a keyed row has no box and leaves it
// where it was.
func (r *KnownRow) seen(raw RawRow) {
	if raw.Box.Empty() {
		if r.Page == 0 {
			r.Page = raw.Page
		}
		return
	}
	box := raw.Box.Rounded()
	if r.Page != raw.Page || r.X1 <= r.X0 {
		r.X0, r.X1 = box.X0, box.X1
	}
	r.Page, r.Y0, r.Y1 = raw.Page, box.Y0, box.Y1
	r.X0, r.X1 = min(r.X0, box.X0), max(r.X1, box.X1)
}

// clone is a copy that can grow without changing g.
func (g *Register) clone() *Register {
	c := *g
	c.Rows = slices.Clone(g.Rows)
	return &c
}

// Keys lists the rows in print order.
func (g *Register) Keys() []string {
	keys := make([]string, len(g.Rows))
	for i, r := range g.Rows {
		keys[i] = r.Key
	}
	return keys
}

// Marshal writes the register, one row a line.
func (g *Register) Marshal() ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "{\"schema\": %d, \"table_id\": %q, \"rows\": [", Schema, g.TableID)
	for i, r := range g.Rows {
		line, err := json.Marshal(r)
		if err != nil {
			return nil, err
		}
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n")
		b.Write(line)
	}
	b.WriteString("\n]}\n")
	return b.Bytes(), nil
}

// UnmarshalRegister reads what Marshal wrote.
func UnmarshalRegister(file string, data []byte) (*Register, error) {
	g := &Register{}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(g); err != nil {
		return nil, &Error{File: file, Msg: "is not a register of rows: " + err.Error()}
	}
	if _, err := dec.Token(); err != io.EOF {
		return nil, &Error{File: file, Msg: "goes on after the register of rows; it should end there", Hint: restoreRegister}
	}
	if g.Schema != Schema {
		return nil, &Error{File: file, Msg: fmt.Sprintf("schema is %d; this program reads schema: %d", g.Schema, Schema)}
	}
	if !tableIDForm.MatchString(g.TableID) {
		return nil, &Error{File: file, Msg: fmt.Sprintf("table_id is %q; it should be the id of a table", g.TableID), Hint: restoreRegister}
	}
	seen := map[string]bool{}
	for _, r := range g.Rows {
		switch {
		case !keyForm.MatchString(r.Key) || r.Key == Given:
			return nil, &Error{File: file, Msg: fmt.Sprintf("row key %q should be a letter followed by letters and figures", r.Key), Hint: restoreRegister}
		case seen[r.Key]:
			return nil, &Error{File: file, Msg: fmt.Sprintf("row key %q stands twice", r.Key), Hint: restoreRegister}
		case r.Page < 0:
			return nil, &Error{File: file, Row: r.Key, Msg: fmt.Sprintf("page is %d; it should be a whole number from 1", r.Page), Hint: restoreRegister}
		}
		seen[r.Key] = true
	}
	return g, nil
}

const restoreRegister = "the program alone writes this file: restore it"

func (g *Register) nextSerial() int {
	highest := 0
	for _, r := range g.Rows {
		if n, err := strconv.Atoi(strings.TrimPrefix(r.Key, "r")); err == nil && n > highest {
			highest = n
		}
	}
	return highest + 1
}

// Costs of the alignment. Two unmatched rows cost 2*gapCost; a pair of rows is
// worth its likeness less evenPair. A ruined row (likeness near 0.1) is thus still
// paired when it stands alone between two good pairs, and a deleted row is not.
const (
	gapCost   = 0.10
	evenPair  = 0.25
	samePlace = 3.0
	elsewhere = -10.0
)

// Match gives each raw row the key of the known row that it is, by where it
// stands where both have a place, else by the order and likeness of the texts,
// and mints keys for rows not seen before. The register grows in print order.
//
// known holds the texts that earlier readings gave to each row, by row key and
// column key.
func (g *Register) Match(raw []RawRow, known map[string]map[string][]string) (keys []string) {
	n, m := len(g.Rows), len(raw)
	knownSaid, rawSaid := sayings(g.Rows, raw, known)
	// Where no reading is left, and the rows have no place, their order is all that
	// is known of them.
	orderAlone := len(known) == 0
	score := make([][]float64, n+1)
	step := make([][]byte, n+1)
	for i := range score {
		score[i] = make([]float64, m+1)
		step[i] = make([]byte, m+1)
	}
	for i := 1; i <= n; i++ {
		score[i][0], step[i][0] = -gapCost*float64(i), 'k'
	}
	for j := 1; j <= m; j++ {
		score[0][j], step[0][j] = -gapCost*float64(j), 'r'
	}
	for i := 1; i <= n; i++ {
		for j := 1; j <= m; j++ {
			pair := score[i-1][j-1] + pairWorth(&g.Rows[i-1], &raw[j-1], func() float64 {
				if orderAlone {
					return 2 * evenPair
				}
				return rowLikeness(knownSaid[i-1], rawSaid[j-1])
			})
			skipKnown, skipRaw := score[i-1][j]-gapCost, score[i][j-1]-gapCost
			switch {
			case pair >= skipKnown && pair >= skipRaw:
				score[i][j], step[i][j] = pair, 'p'
			case skipKnown >= skipRaw:
				score[i][j], step[i][j] = skipKnown, 'k'
			default:
				score[i][j], step[i][j] = skipRaw, 'r'
			}
		}
	}
	keys = make([]string, m)
	var merged []KnownRow // built backwards
	paired := map[string]bool{}
	for i, j := n, m; i > 0 || j > 0; {
		switch step[i][j] {
		case 'p':
			i--
			j--
			row := g.Rows[i]
			row.seen(raw[j])
			keys[j], paired[row.Key] = row.Key, true
			merged = append(merged, row)
		case 'k':
			i--
			merged = append(merged, g.Rows[i])
		default:
			j--
			var row KnownRow
			row.seen(raw[j])
			merged = append(merged, row) // keyed below, in print order
		}
	}
	slices.Reverse(merged)
	// Between two pairs the alignment does not say whether a new row stands above or
	// below one that was lost; where both have a place, the place says it.
	for sorted := false; !sorted; {
		sorted = true
		for k := 1; k < len(merged); k++ {
			a, b := &merged[k-1], &merged[k]
			if (a.Key == "") != (b.Key == "") && !paired[a.Key] && !paired[b.Key] && b.above(a) {
				*a, *b, sorted = *b, *a, false
			}
		}
	}
	serial := g.nextSerial()
	fresh := 0
	for k := range merged {
		if merged[k].Key == "" {
			merged[k].Key = fmt.Sprintf("r%03d", serial)
			serial++
			for keys[fresh] != "" {
				fresh++
			}
			keys[fresh] = merged[k].Key
		}
	}
	g.Rows = merged
	return keys
}

// above reports whether r is known to stand above s, in one block of one page.
func (r *KnownRow) above(s *KnownRow) bool {
	return r.Page == s.Page && r.Y1 > r.Y0 && s.Y1 > s.Y0 && r.Y0+r.Y1 < s.Y0+s.Y1 && r.X0 < s.X1 && s.X0 < r.X1
}

// pairWorth is what pairing a known row with a raw one is worth; alike gives the
// likeness of their texts.
func pairWorth(row *KnownRow, raw *RawRow, alike func() float64) float64 {
	if row.Y1 > row.Y0 && !raw.Box.Empty() {
		mid, rawMid := (row.Y0+row.Y1)/2, raw.Box.MidY()
		level := mid >= raw.Box.Y0 && mid <= raw.Box.Y1 || rawMid >= row.Y0 && rawMid <= row.Y1
		beside := row.X1 > row.X0 && (raw.Box.X1 <= row.X0 || raw.Box.X0 >= row.X1)
		if row.Page == raw.Page && level && !beside {
			// Where high boxes reach into their neighbours, the nearest row is the one.
			return samePlace - math.Abs(mid-rawMid)/(row.Y1-row.Y0+raw.Box.Height())
		}
		return elsewhere
	}
	if raw.Page > 0 && row.Page > 0 && raw.Page != row.Page {
		return elsewhere
	}
	return alike() - evenPair
}

// said is a text made ready for comparison.
type said struct {
	key   string // two texts say the same where it is the same
	runes []rune
}

// maxCompared bounds the part of a text that is compared figure by figure.
const maxCompared = 80

func say(text string) said {
	runes := []rune(text)
	return said{sameKey(text), runes[:min(len(runes), maxCompared)]}
}

// sayings makes the texts of raw and known rows ready: by row and, in one order of
// the columns, the texts that the row has there; nil where a raw row has no cell.
func sayings(rows []KnownRow, raw []RawRow, known map[string]map[string][]string) (knownSaid, rawSaid [][][]said) {
	columns := map[string]bool{}
	for _, r := range raw {
		for c := range r.Cells {
			columns[c] = true
		}
	}
	order := slices.Sorted(maps.Keys(columns))
	for _, r := range rows {
		line := make([][]said, len(order))
		for k, c := range order {
			for _, t := range known[r.Key][c] {
				line[k] = append(line[k], say(t))
			}
		}
		knownSaid = append(knownSaid, line)
	}
	for _, r := range raw {
		line := make([][]said, len(order))
		for k, c := range order {
			if cell, ok := r.Cells[c]; ok {
				line[k] = []said{say(cell.Text)}
			}
		}
		rawSaid = append(rawSaid, line)
	}
	return knownSaid, rawSaid
}

// rowLikeness is the mean likeness of the cells that either side has, from 0 to 1;
// a row in which nothing is printed is wholly like another such row.
func rowLikeness(known, raw [][]said) float64 {
	var sum float64
	count, both := 0, false
	for k := range raw {
		if raw[k] == nil {
			continue
		}
		both = both || known[k] != nil
		here := raw[k][0]
		best, any := 0.0, len(here.runes) > 0
		for _, there := range known[k] {
			any = any || len(there.runes) > 0
			if len(there.runes) > 0 && len(here.runes) > 0 {
				best = max(best, likeness(there, here))
			}
		}
		if any {
			count++
			sum += best
		}
	}
	switch {
	case count > 0:
		return sum / float64(count)
	case both:
		return 1
	}
	return 0
}

// likeness is 1 for texts that say the same, else at most 0.8 by edit distance.
func likeness(a, b said) float64 {
	if a.key == b.key {
		return 1
	}
	x, y := a.runes, b.runes
	var row [maxCompared + 1]int
	prev := row[:len(y)+1]
	for j := range prev {
		prev[j] = j
	}
	for i := range x {
		diag := prev[0]
		prev[0] = i + 1
		for j := range y {
			cost := diag
			if x[i] != y[j] {
				cost++
			}
			diag = prev[j+1]
			prev[j+1] = min(cost, prev[j]+1, prev[j+1]+1)
		}
	}
	return 0.8 * (1 - float64(prev[len(y)])/float64(max(len(x), len(y))))
}

// Texts gathers what readings say of each row, for Match.
func Texts(readings []*Reading) map[string]map[string][]string {
	m := map[string]map[string][]string{}
	for _, r := range readings {
		for _, c := range r.Cells {
			if m[c.Row] == nil {
				m[c.Row] = map[string][]string{}
			}
			m[c.Row][c.Column] = append(m[c.Row][c.Column], c.Text)
		}
	}
	return m
}
