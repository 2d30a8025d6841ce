package validate

import (
	"math"
	"slices"

	"windtally/extract"
	"windtally/normalize"
	"windtally/validate/fit"
)

// Curve is a lift curve or a drag polar of one subject, table and configuration as
// the checks lift-curve-slope and drag-polar take it: the same points, the same range
// of the fit.
type Curve struct {
	X, Y    *normalize.Quantity // angle of attack and lift coefficient, or lift and drag coefficient
	Subject *extract.Subject
	Table   *extract.Table
	Config  normalize.Configuration
	Basis   extract.Basis
	// State is the figures that govern the curve, as printed: Reynolds number, Mach
	// number and thrust coefficient, where the table states them.
	State  []Entry
	Points []CurvePoint
	Fits   []CurveFit // none where the points are too few for one
	// Missing are the keys of the table's rows that print both figures and are on no
	// curve of them: one is in dispute, withheld or refused, or no subject has the row.
	Missing []string
	// Whole are the open findings that name more of the curve than a few points.
	Whole []Finding
}

// CurvePoint is one point of a curve. Half-widths are in the canonical unit of the
// quantity: what rounding leaves, or the accuracy that the source states where that
// is coarser.
type CurvePoint struct {
	X, Y         Entry
	HalfX, HalfY float64
	Fitted       bool // within the range of the fit
	LeftOut      bool // within it, but named by the check and left out of the fit
	// Suspect are the open findings above a note that name the point, worst first.
	Suspect []Finding
}

// Greatest is the point of the greatest lift coefficient, the first of several.
func (c *Curve) Greatest() *CurvePoint {
	lift := func(p *CurvePoint) normalize.Exact {
		if p.X.Quantity.Name == "lift coefficient" {
			return p.X.Value
		}
		return p.Y.Value
	}
	top := &c.Points[0]
	for i := range c.Points {
		if p := &c.Points[i]; lift(p).Cmp(lift(top)) > 0 {
			top = p
		}
	}
	return top
}

// CurveFit is a least-squares fit y = sum of Coefficients[i] x^Powers[i] over the
// points that are Fitted and not LeftOut.
type CurveFit struct {
	Form                    string // the equation in ASCII, with symbols for the coefficients
	Powers                  []int
	Coefficients, StdErrors []float64
	From, To                float64 // the range of x of its points
	Points                  int
}

// At is the fitted y.
func (f *CurveFit) At(x float64) float64 {
	y := 0.0
	for i, p := range f.Powers {
		term := f.Coefficients[i]
		for range p {
			term *= x
		}
		y += float64(term) // never fused: the same digits on every processor
	}
	return y
}

// Curves returns the lift curves, then the drag polars of each subject, in the order
// of the records and of the print. A figure that is withheld, or that a point lacks
// the other coordinate for, is on none of them; neither are rotors.
func (r *Report) Curves() []Curve {
	var list []Curve
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind == "rotor" {
			continue
		}
		for _, c := range rec.curves("angle of attack", "lift coefficient") {
			if c.basis.Article == "rotor" {
				continue
			}
			linear := c.linear()
			var left []fit.Outlier
			if line, err := resist(linear, "angle of attack", "lift coefficient", r.bound(slopeBounds, "point"), 0, 1); err == nil {
				left = line.Left
			}
			list = append(list, r.drawn(&c, "angle of attack", "lift coefficient", linear, left, curveForm{"C_L = b + a alpha", []int{0, 1}}))
		}
		for _, c := range rec.curves("lift coefficient", "drag coefficient") {
			if c.basis.Article == "rotor" {
				continue
			}
			used := c.parabolic()
			var left []fit.Outlier
			if general, err := resist(used, "lift coefficient", "drag coefficient", r.bound(polarBounds, "point"), 0, 1, 2); err == nil {
				left = general.Left
			}
			list = append(list, r.drawn(&c, "lift coefficient", "drag coefficient", used, left,
				curveForm{"C_D = C_D0 + k C_L^2", []int{0, 2}}, curveForm{"C_D = c0 + c1 C_L + c2 C_L^2", []int{0, 1, 2}}))
		}
	}
	r.missing(list)
	return list
}

// missing finds for each curve the rows that are on none of its table and columns.
func (r *Report) missing(list []Curve) {
	type pair struct{ table, x, y string }
	of := func(c *Curve) pair { return pair{c.Table.ID, c.Points[0].X.Column, c.Points[0].Y.Column} }
	on := map[pair]map[string]bool{}
	for i := range list {
		k := of(&list[i])
		if on[k] == nil {
			on[k] = map[string]bool{}
		}
		for _, p := range list[i].Points {
			on[k][p.Y.Cell.ID.Row] = true
		}
	}
	for i := range list {
		k, c := of(&list[i]), r.seriesOf(list[i].Table).Collation
		for _, row := range c.Rows {
			x, y := c.Cell(row, k.x), c.Cell(row, k.y)
			if !on[k][row] && x != nil && y != nil && occupied(x) && occupied(y) {
				list[i].Missing = append(list[i].Missing, row)
			}
		}
	}
}

// occupied reports whether something stands in a cell, be it in dispute or withheld.
func occupied(c *extract.Collated) bool {
	return c.Text != "" || c.State.Waits() || c.State == extract.Withheld
}

// curveForm is an equation that is fitted, and its powers of x in the order in which
// it names their coefficients.
type curveForm struct {
	text   string
	powers []int
}

// drawn makes a curve of the points, of which used are in the range of the fit and
// those of left are left out of it.
func (r *Report) drawn(c *curve, x, y string, used []map[string]Entry, left []fit.Outlier, forms ...curveForm) Curve {
	d := Curve{Subject: c.rec.Subject, Table: c.series.Table, Config: c.config, Basis: c.basis}
	isUsed := map[extract.CellID]bool{}
	isLeft := map[extract.CellID]bool{}
	var kept []map[string]Entry
	for i, p := range used {
		id := p[y].Cell.ID
		isUsed[id] = true
		if slices.ContainsFunc(left, func(o fit.Outlier) bool { return o.Row == i }) {
			isLeft[id] = true
			continue
		}
		kept = append(kept, p)
	}
	at := map[extract.CellID][]int{} // cell -> indices of points
	for i, p := range c.points {
		d.X, d.Y = p[x].Quantity, p[y].Quantity
		id := p[y].Cell.ID
		d.Points = append(d.Points, CurvePoint{X: p[x], Y: p[y], HalfX: width(p[x].Datum), HalfY: width(p[y].Datum),
			Fitted: isUsed[id], LeftOut: isLeft[id]})
		at[id] = append(at[id], i)
		at[p[x].Cell.ID] = append(at[p[x].Cell.ID], i)
	}
	first := &d.Points[0].Y
	for _, ref := range []string{c.basis.Reynolds, c.basis.Mach, c.basis.Thrust} {
		if g := first.Series.Ref(first.Row, ref); g != nil && g.Quantity != nil {
			d.State = append(d.State, Entry{Series: c.series, Column: g.Cell.ID.Column, Datum: g})
		}
	}
	for _, form := range forms {
		result, err := plainly(kept, x, y, form.powers...)
		if err != nil {
			continue // the powers cannot be told apart: there is nothing to draw
		}
		f := CurveFit{Form: form.text, Powers: form.powers, Coefficients: result.Coefficients, StdErrors: result.StdErrors,
			From: math.Inf(1), To: math.Inf(-1), Points: len(kept)}
		for _, p := range kept {
			v := float(p[x].Value)
			f.From, f.To = min(f.From, v), max(f.To, v)
		}
		d.Fits = append(d.Fits, f)
	}
	for _, f := range r.Findings {
		if !f.Open() || f.Severity == Note {
			continue
		}
		named := map[int]bool{}
		for _, id := range f.Cells {
			for _, i := range at[id] {
				named[i] = true
			}
		}
		switch {
		case len(named) == 0:
		case len(named) > 1 && (2*len(named) >= len(d.Points) || d.allFitted(named)):
			d.Whole = append(d.Whole, f)
		default:
			for i := range d.Points {
				if named[i] {
					d.Points[i].Suspect = append(d.Points[i].Suspect, f)
				}
			}
		}
	}
	for i := range d.Points {
		slices.SortStableFunc(d.Points[i].Suspect, Finding.worse)
	}
	slices.SortStableFunc(d.Whole, Finding.worse)
	return d
}

// allFitted reports whether every point of the fit is among those named: a finding
// about the fit names no point of it.
func (c *Curve) allFitted(named map[int]bool) bool {
	some := false
	for i, p := range c.Points {
		if p.Fitted && !p.LeftOut && !named[i] {
			return false
		}
		some = some || p.Fitted
	}
	return some
}

var severityRank = [...]Severity{Blocking, Doubt, Note}

// worse orders findings: by severity, then by the size of the miss in half-widths.
func (f Finding) worse(o Finding) int {
	if c := slices.Index(severityRank[:], f.Severity) - slices.Index(severityRank[:], o.Severity); c != 0 {
		return c
	}
	switch {
	case f.Miss > o.Miss:
		return -1
	case f.Miss < o.Miss:
		return 1
	}
	return 0
}

// TableReport is what was noticed about one table.
type TableReport struct {
	Name     string // "" for what concerns no table alone
	Figures  int    // cells with something printed, or in doubt, but for row labels
	States   map[extract.State]int
	Blocking int // open
	Doubts   int // open
	Notes    int // open
	// Suspects are the figures that open findings above a note name, each once.
	Suspects int
	// ByRelation and ByFit are the figures that a relation printed in the table, and
	// the fit of a lift curve or polar, were compared with.
	ByRelation, ByFit int
	Findings          []Finding // all, those ruled on too, worst first
}

// Tables reports by table, worst first: by blocking findings, doubts, the greatest
// miss, notes, then by name. What concerns no single table comes first, for it may
// concern all.
func (r *Report) Tables() []TableReport {
	list := []TableReport{{}}
	index := map[string]int{"": 0}
	of := func(name string) *TableReport {
		if _, known := index[name]; !known {
			index[name] = len(list)
			list = append(list, TableReport{Name: name, States: map[extract.State]int{}})
		}
		return &list[index[name]]
	}
	fits := map[extract.CellID]bool{}
	for _, c := range r.Curves() {
		for _, p := range c.Points {
			if p.Fitted && len(c.Fits) > 0 {
				fits[p.X.Cell.ID], fits[p.Y.Cell.ID] = true, true
			}
		}
	}
	for _, s := range r.Series {
		t := of(s.Table.Name)
		byRelation := related(s)
		for c := range s.Collation.Cells() {
			if c.Text == "" && !c.State.Waits() || !numeric(s.Table, c.ID) {
				continue
			}
			t.Figures++
			t.States[c.State]++
			if byRelation[c.ID] {
				t.ByRelation++
			}
			if fits[c.ID] {
				t.ByFit++
			}
		}
	}
	suspects := map[string]map[extract.CellID]bool{}
	for _, f := range r.Findings {
		t := of(f.Table)
		t.Findings = append(t.Findings, f)
		switch {
		case !f.Open():
			continue
		case f.Severity == Blocking:
			t.Blocking++
		case f.Severity == Doubt:
			t.Doubts++
		default:
			t.Notes++
			continue
		}
		for _, id := range f.Cells {
			table := r.Study.Table(id.Table)
			if table == nil {
				continue
			}
			if suspects[table.Name] == nil {
				suspects[table.Name] = map[extract.CellID]bool{}
			}
			suspects[table.Name][id] = true
		}
	}
	for i := range list {
		list[i].Suspects = len(suspects[list[i].Name])
		slices.SortStableFunc(list[i].Findings, Finding.worse)
	}
	if len(list[0].Findings) == 0 {
		list = list[1:]
	}
	slices.SortStableFunc(list, TableReport.worse)
	return list
}

// numeric reports whether a cell is one for figures: not a label, nor the unit in a list.
func numeric(t *extract.Table, id extract.CellID) bool {
	column := t.Column(id.Column)
	switch {
	case id.Row == extract.Given || column == nil:
		return true
	case t.Layout == "list":
		return id.Column == "value"
	}
	return column.Quantity != "label"
}

// related are the cells of the table that its relations judge.
func related(s *normalize.Series) map[extract.CellID]bool {
	cells := map[extract.CellID]bool{}
	for _, text := range s.Table.Relations {
		rel, err := parseRelation(text, s.Table)
		if err != nil {
			continue // which is a finding
		}
		for i := range s.Rows {
			res, a, b := s.Rows[i].Datum(rel.result), s.Rows[i].Datum(rel.a), s.Rows[i].Datum(rel.b)
			if res == nil || a == nil || b == nil {
				continue
			}
			if _, ok := combine(printedInterval(a), rel.op, printedInterval(b)); ok {
				cells[res.Cell.ID], cells[a.Cell.ID], cells[b.Cell.ID] = true, true, true
			}
		}
	}
	return cells
}

func (t TableReport) worse(o TableReport) int {
	miss := func(t TableReport) (most float64) {
		for _, f := range t.Findings {
			if f.Open() {
				most = max(most, f.Miss)
			}
		}
		return most
	}
	switch {
	case (t.Name == "") != (o.Name == ""):
		if t.Name == "" {
			return -1
		}
		return 1
	case t.Blocking != o.Blocking:
		return o.Blocking - t.Blocking
	case t.Doubts != o.Doubts:
		return o.Doubts - t.Doubts
	case miss(t) != miss(o):
		if miss(t) > miss(o) {
			return -1
		}
		return 1
	case t.Notes != o.Notes:
		return o.Notes - t.Notes
	}
	return 0
}
