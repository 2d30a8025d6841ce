package validate

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/numeral"
	"windtally/validate/difference"
)

var smoothBounds = bounds{"difference", []Bound{
	{"blocking", 3, "bounds of the neighbours' scatter beyond which a figure blocks"},
}}

func smoothCheck() Check {
	return Check{Name: smoothBounds.check, Bounds: smoothBounds.list, run: smooths,
		About: "each figure of a smooth column, or of a table of two arguments, lies where the figures around it put it, " +
			"within their own scatter and never less than what rounding makes",
		Range: "columns of at least seven figures, and tables of two arguments, over arguments that rise or fall; lift curves and polars up to 85 percent of the greatest lift; silent on L/D, " +
			"and where more than a tenth of a table, or an eighth of a column, would be suspect",
		Source: "the method of differences (a slip e puts e, -4e, 6e, -4e, e into the fourth differences); Student's t of the neighbours' scatter, at 0.2 percent in tables and 0.1 percent in columns; 3.5 standard deviations of rounding",
	}
}

// leastRun is how many rows an argument goes on in one direction for its columns to
// be a function of it.
const leastRun = 5

// figures is the printed figures of one column by row; NaN where there is none.
type figures struct {
	column int
	value  []float64
	data   []*normalize.Datum
}

func smooths(r *Report) []draft {
	var list []draft
	for _, s := range r.Series {
		if s.Table.Layout == "list" || len(s.Rows) < leastRun {
			continue
		}
		list = append(list, r.smooth(s)...)
	}
	return list
}

// smooth tests the columns of one table, block by block: an argument that starts
// again starts another block.
func (r *Report) smooth(s *normalize.Series) []draft {
	columns := printedFigures(s)
	x := argument(s, columns)
	if x < 0 {
		return nil
	}
	var list []draft
	for _, run := range monotonicRuns(columns[x].value) {
		end := run[1]
		if name := quantityOf(s, columns[x].column); name == "angle of attack" {
			end = uptoStall(s, columns, run)
		}
		if end-run[0] < leastRun {
			continue
		}
		for _, group := range columnGroups(s, columns, x) {
			list = append(list, r.smoothGroup(s, columns[x], group, run[0], end)...)
		}
	}
	return list
}

// printedFigures is the columns that hold figures, as they are printed: a smooth
// function stays one in any unit.
func printedFigures(s *normalize.Series) []figures {
	var list []figures
	for i := range s.Table.Columns {
		f := figures{column: i, value: make([]float64, len(s.Rows)), data: make([]*normalize.Datum, len(s.Rows))}
		count := 0
		for r := range s.Rows {
			f.value[r] = math.NaN()
			d := s.Rows[r].At(i)
			switch {
			case d != nil && d.Cell != nil && d.Cell.State != extract.Withheld && d.Above == nil && d.Numeral.Finite:
				f.value[r], f.data[r] = d.Numeral.Float64(), d
			case d == nil: // a label may be the argument
				if n, err := numeral.Parse(s.Rows[r].Labels[s.Table.Columns[i].Key]); err == nil && n.Finite {
					f.value[r] = n.Float64()
				}
			}
			if !math.IsNaN(f.value[r]) {
				count++
			}
		}
		if count >= leastRun {
			list = append(list, f)
		}
	}
	return list
}

func quantityOf(s *normalize.Series, column int) string {
	if q, ok := normalize.Find(s.Table.Columns[column].Quantity); ok {
		return q.Name
	}
	return s.Table.Columns[column].Quantity
}

// argument is the index of the column whose figures the others are a function of: the
// angle of attack, else a label, else the first that goes on in one direction through
// most of the table; -1 where none does.
func argument(s *normalize.Series, columns []figures) int {
	best, rank := -1, 0
	for i, f := range columns {
		covered := 0
		for _, run := range monotonicRuns(f.value) {
			covered += run[1] - run[0]
		}
		if 5*covered < 4*len(s.Rows) {
			continue
		}
		its := 1
		switch quantityOf(s, f.column) {
		case "angle of attack":
			its = 3
		case "label":
			its = 2
		}
		if its > rank {
			best, rank = i, its
		}
	}
	return best
}

// monotonicRuns parts a column where it does not go on in the direction in which it
// went, and leaves out what is too short for a block.
func monotonicRuns(x []float64) [][2]int {
	var runs [][2]int
	for a := 0; a < len(x); {
		b := a + 1
		for b < len(x) && !math.IsNaN(x[a]) && !math.IsNaN(x[b]) && x[b] != x[b-1] && (b == a+1 || x[b] > x[b-1] == (x[a+1] > x[a])) {
			b++
		}
		if b-a >= leastRun {
			runs = append(runs, [2]int{a, b})
		}
		a = b
	}
	return runs
}

// nearStall is the share of the greatest lift above which a lift curve may bend from
// one row to the next, and drag with it. Common practice, no source.
const nearStall = 0.85

// uptoStall ends a block where the lift curve may bend. Each lift is taken with its two
// neighbours, the middle one of the three, lest a slip be taken for the stall.
func uptoStall(s *normalize.Series, columns []figures, run [2]int) int {
	end := run[1]
	for _, f := range columns {
		if quantityOf(s, f.column) != "lift coefficient" {
			continue
		}
		middle := make([]float64, run[1])
		at := run[0]
		for r := run[0]; r < run[1]; r++ {
			v := slices.Clone(f.value[max(run[0], r-1):min(run[1], r+2)])
			slices.Sort(v)
			if middle[r] = v[(len(v)-1)/2]; middle[r] > middle[at] {
				at = r
			}
		}
		for r := at; r > run[0] && middle[at] > 0 && middle[r] >= nearStall*middle[at]; r-- {
			end = min(end, r)
		}
	}
	return end
}

var (
	headFigure = regexp.MustCompile(`[-−+]?(?:\d+(?:\.\d+)?|\.\d+)\s*(?:°|deg\.?)?\s*$`)
	bareFigure = strings.NewReplacer("−", "-", "°", "", "deg.", "", "deg", "", " ", "")
)

// figureOfHead is the figure that a column's head ends in, NaN where it ends in none.
func figureOfHead(s *normalize.Series, f figures) float64 {
	v, err := strconv.ParseFloat(bareFigure.Replace(headFigure.FindString(s.Table.Columns[f.column].Head)), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// columnGroups gathers the columns beside the argument: those of one quantity whose
// heads end in figures that rise or fall make one table of two arguments, if they are
// enough for one; any other column stands by itself.
func columnGroups(s *normalize.Series, columns []figures, x int) [][]figures {
	var runs [][]figures
	for i, f := range columns {
		switch name := quantityOf(s, f.column); {
		case i == x, name == "label":
			continue
		case name == "lift-drag ratio":
			continue // it has its greatest value where few rows are; the quotient proves it
		}
		if k := len(runs) - 1; k >= 0 && goesOn(s, runs[k], f) {
			runs[k] = append(runs[k], f)
			continue
		}
		runs = append(runs, []figures{f})
	}
	var groups [][]figures
	for _, run := range runs {
		if len(run) >= leastRun {
			groups = append(groups, run)
			continue
		}
		for _, f := range run {
			groups = append(groups, []figures{f})
		}
	}
	return groups
}

// goesOn reports whether a column goes on with those of a run: beside the last, of the
// same quantity and unit, its head's figure in the direction of theirs.
func goesOn(s *normalize.Series, run []figures, f figures) bool {
	last := run[len(run)-1]
	a, b := s.Table.Columns[run[0].column], s.Table.Columns[f.column]
	now, before := figureOfHead(s, f), figureOfHead(s, last)
	if a.Quantity != b.Quantity || a.Unit != b.Unit || last.column != f.column-1 || math.IsNaN(now) || math.IsNaN(before) || now == before {
		return false
	}
	return len(run) == 1 || now > before == (figureOfHead(s, run[1]) > figureOfHead(s, run[0]))
}

// typicalSize is the middle of the sizes of a column of drag coefficients, 0 of any
// other. Drag is known to a share of itself: near the stall it is many times what it
// was, and so is its scatter.
func typicalSize(s *normalize.Series, f figures, a, b int) float64 {
	if quantityOf(s, f.column) != "drag coefficient" {
		return 0
	}
	var sizes []float64
	for _, v := range f.value[a:b] {
		if !math.IsNaN(v) {
			sizes = append(sizes, math.Abs(v))
		}
	}
	if len(sizes) == 0 {
		return 0
	}
	slices.Sort(sizes)
	return sizes[len(sizes)/2]
}

// smoothGroup tests the rows from a to b of one column, or of columns that make a
// table of two arguments.
func (r *Report) smoothGroup(s *normalize.Series, x figures, group []figures, a, b int) []draft {
	t := difference.Table{Rows: x.value[a:b]}
	typical := make([]float64, len(group))
	for k, f := range group {
		typical[k] = typicalSize(s, f, a, b)
		if len(group) > 1 {
			t.Cols = append(t.Cols, figureOfHead(s, f))
		}
	}
	at := make([]*normalize.Datum, 0, (b-a)*len(group))
	for row := a; row < b; row++ {
		for k, f := range group {
			d, v, half := f.data[row], math.NaN(), 1.0
			if d != nil {
				v = f.value[row]
				half, _ = d.Numeral.Step().Float64()
				half /= 2
				if typical[k] > 0 {
					half *= max(1, math.Abs(v)/typical[k])
				}
			}
			t.Value, t.Half, at = append(t.Value, v), append(t.Half, half), append(at, d)
		}
	}
	suspects, smooth, err := t.Suspects()
	if err != nil || !smooth {
		return nil // an argument that is none, or figures that are no smooth function of it
	}
	var list []draft
	for _, p := range suspects {
		d := at[p.At]
		text := func(v float64) string { return strconv.FormatFloat(v, 'f', max(0, d.Numeral.Decimals+1), 64) }
		f := Finding{Check: smoothBounds.check, Severity: Doubt, Table: s.Table.Name, Where: s.Table.Name + ":" + d.Cell.ID.Row + ":" + d.Cell.ID.Column,
			Cells:    []extract.CellID{d.Cell.ID},
			Message:  fmt.Sprintf("%s stands off its neighbours, which put it at %s", d.Cell.Text, text(p.Expected)),
			Expected: fmt.Sprintf("%s to within %s, from the figures around it and their scatter", text(p.Expected), text(p.Bound)),
			Miss:     missIn(p.Miss, t.Half[p.At]),
			Why:      "a column of measured or computed figures goes on smoothly; a figure that does not is misread, misprinted, or the beginning of something real",
			Hint:     "look at the print; reread or emend what is wrong, confirm if it is so",

			Proposals: proposals(d.Numeral, d.Cell.Text, p.Expected, p.Bound),
		}
		if math.Abs(p.Miss) > r.bound(smoothBounds, "blocking")*p.Bound {
			f.Severity = Blocking
		}
		if len(p.Or) > 0 {
			var others []string
			for _, o := range p.Or {
				f.Cells = append(f.Cells, at[o].Cell.ID)
				others = append(others, at[o].Cell.ID.Row+":"+at[o].Cell.ID.Column)
			}
			f.Message += "; what is wrong may as well be " + strings.Join(others, " or ")
		}
		list = append(list, draft{f, ""})
	}
	return list
}
