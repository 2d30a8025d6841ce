package validate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
)

var repeatedBounds = bounds{"repeated-row", []Bound{
	{"step", 6, "least median step of a column from row to row, in half-widths, from which a figure that does not move tells something"},
	{"still", 0.2, "greatest share of steps of a column that are none, of a column that moves"},
}}

func repeatedCheck() Check {
	return Check{Name: repeatedBounds.check, Bounds: repeatedBounds.list, run: repeatedRows,
		About: "no row repeats the figures of the row above it, nor is one row printed twice: y_i = y_(i-1) in every column that moves elsewhere; " +
			"in a table of one such column, y_i = y_(i-1) between two steps to the same side",
		Range: "grids of at least 5 rows; angles of attack and conditions are arguments, where there are none the first column, and the second where three others stand still; columns tell whose figures move from row to row by more than rounding; " +
			"silent on ditto marks, and on a column that stands still where it turns",
		Source: "row shift and duplicated row, TRADE.md 5.2 (from memory); bounds common practice, no source",
	}
}

// moving is a column of a series, and how it goes from row to row.
type moving struct {
	key   string
	data  []*normalize.Datum // by row, nil where there is none to compare
	y     []float64          // as printed
	half  []float64          // half a step of the last digit
	tells bool               // moves by more than rounding
	goes  bool               // moves at every step but one
	// argues says that the column is what others depend on.
	argues bool
}

func repeatedRows(r *Report) []draft {
	var list []draft
	step, still := r.bound(repeatedBounds, "step"), r.bound(repeatedBounds, "still")
	for _, s := range r.Series {
		if s.Table.Layout == "list" || len(s.Rows) < 5 {
			continue
		}
		list = append(list, repeatedIn(s, movingColumns(s, step, still), step)...)
	}
	return list
}

// movingColumns are the columns of figures of a grid.
func movingColumns(s *normalize.Series, step, still float64) []moving {
	var columns []moving
	for k, key := range s.Table.ColumnKeys() {
		c := moving{key: key, data: make([]*normalize.Datum, len(s.Rows)), y: make([]float64, len(s.Rows)), half: make([]float64, len(s.Rows))}
		figures, steps, none := 0, make([]float64, 0, len(s.Rows)), 0
		for i := range s.Rows {
			d := s.Rows[i].At(k)
			if d == nil || d.Above != nil || d.Cell.State == extract.Withheld || d.Cell.State.Waits() {
				continue
			}
			c.data[i], c.y[i], c.half[i] = d, d.Numeral.Float64(), math.Pow10(-d.Numeral.Decimals)/2
			figures++
			if i > 0 && c.data[i-1] != nil {
				size := math.Abs(c.y[i] - c.y[i-1])
				if size == 0 {
					none++
				}
				steps = append(steps, size/c.half[i])
			}
		}
		if figures == 0 {
			continue
		}
		if len(steps) >= 4 {
			slices.Sort(steps)
			c.goes = none <= 1
			c.tells = steps[len(steps)/2] >= step && float64(none) <= max(1, still*float64(len(steps)))
		}
		if k < len(s.Table.Columns) {
			of, ok := normalize.Find(s.Table.Columns[k].Quantity)
			c.argues = ok && (of.Group == normalize.Condition || of.Name == "angle of attack")
		}
		columns = append(columns, c)
	}
	if !slices.ContainsFunc(columns, func(c moving) bool { return c.argues }) && len(columns) > 0 {
		first := max(0, slices.IndexFunc(columns, func(c moving) bool { return c.goes }))
		if first > 1 {
			first = 0
		}
		columns[first].argues = true
	}
	return columns
}

func repeatedIn(s *normalize.Series, columns []moving, step float64) []draft {
	first := slices.IndexFunc(columns, func(c moving) bool { return c.argues })
	if first < 0 {
		return nil
	}
	argument := &columns[first]
	var list []draft
	say := func(row, of int, cells []extract.CellID, message, detail string) {
		list = append(list, draft{Finding{Check: repeatedBounds.check, Severity: Doubt, Table: s.Table.Name, Where: s.Table.Name + ":" + s.Rows[row].Key, Cells: cells,
			Message: message, Expected: "figures that move from row to row, as those of the other rows do",
			Why:  "a row that is keyed or set twice takes the place of another",
			Hint: fmt.Sprintf("look at the rows %s and %s of the print", s.Rows[of].Key, s.Rows[row].Key)}, detail})
	}
	texts := func(row int) string {
		var out []string
		for i := range columns {
			if d := columns[i].data[row]; d != nil {
				out = append(out, d.Cell.Text)
			}
		}
		return strings.Join(out, ", ")
	}
	// The same row twice, in one place or two: every figure and label is the same.
	seen := map[string]int{}
	twice := map[int]bool{}
	for i := range s.Rows {
		telling := 0
		var key strings.Builder
		var cells []extract.CellID
		for k := range columns {
			d := columns[k].data[i]
			key.WriteByte('|')
			if d == nil {
				continue
			}
			key.WriteString(d.Cell.Text)
			cells = append(cells, d.Cell.ID)
			if columns[k].tells {
				telling++
			}
		}
		for _, c := range s.Table.ColumnKeys() {
			key.WriteString("|" + s.Rows[i].Labels[c])
		}
		if telling < 2 {
			continue
		}
		of, known := seen[key.String()]
		if !known {
			seen[key.String()] = i
			continue
		}
		twice[i] = true
		for k := range columns {
			if d := columns[k].data[of]; d != nil {
				cells = append(cells, d.Cell.ID)
			}
		}
		say(i, of, cells, fmt.Sprintf("the row %s is the same as the row %s: %s", s.Rows[i].Key, s.Rows[of].Key, texts(i)), "twice")
	}
	for i := 1; i < len(s.Rows); i++ {
		if twice[i] {
			continue
		}
		var cells []extract.CellID
		var same, other []string
		moved, strayed := false, false
		var only *moving
		for k := range columns {
			c := &columns[k]
			if c.data[i] == nil || c.data[i-1] == nil {
				continue
			}
			differs := c.y[i] != c.y[i-1]
			switch {
			case differs && c.argues:
				other = append(other, c.key)
			case differs && k < 2:
				other, strayed = append(other, c.key), true // perhaps an argument too
			case differs:
				moved = moved || c.tells
			case c.tells && !c.argues:
				only = c
				cells = append(cells, c.data[i-1].Cell.ID, c.data[i].Cell.ID)
				same = append(same, c.key+" "+c.data[i].Cell.Text)
			}
		}
		what := "at another " + strings.Join(other, " and ")
		if len(other) == 0 {
			what = "under another label" // else it is the same row twice
		}
		if moved || len(same) == 0 || (strayed || len(other) == 0) && len(same) < 3 || len(same) == 1 && !stands(argument, only, i, step) {
			continue
		}
		say(i, i-1, cells, fmt.Sprintf("the row %s repeats figures of the row above, %s, %s: %s", s.Rows[i].Key, s.Rows[i-1].Key, what, strings.Join(same, ", ")), "neighbour")
	}
	return list
}

// stands reports whether a column stands still from row i-1 to row i between two clear
// steps to one side, over an argument that goes on, where its slope changes little
// elsewhere: of measurements that scatter nothing can be said.
func stands(x, y *moving, i int, step float64) bool {
	if i < 2 || i+1 >= len(y.data) {
		return false
	}
	slope := func(k int) (float64, bool) {
		if x.data[k] == nil || x.data[k-1] == nil || y.data[k] == nil || y.data[k-1] == nil || x.y[k] == x.y[k-1] {
			return 0, false
		}
		return (y.y[k] - y.y[k-1]) / (x.y[k] - x.y[k-1]), true
	}
	before, okBefore := slope(i - 1)
	after, okAfter := slope(i + 1)
	forward := func(k int) bool { return x.y[k] > x.y[k-1] }
	if !okBefore || !okAfter || forward(i-1) != forward(i) || forward(i) != forward(i+1) || (before > 0) != (after > 0) ||
		min(math.Abs(y.y[i-1]-y.y[i-2]), math.Abs(y.y[i+1]-y.y[i])) < step*y.half[i] {
		return false
	}
	var changes []float64
	for k := 2; k < len(y.data); k++ {
		a, okA := slope(k - 1)
		b, okB := slope(k)
		if okA && okB && (k < i || k > i+2) {
			changes = append(changes, math.Abs(b-a))
		}
	}
	return len(changes) >= 2 && median(changes) <= min(math.Abs(before), math.Abs(after))/4
}
