package validate

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/air"
	"windtally/validate/flight"
)

var slopeBounds = bounds{"lift-curve-slope", []Bound{
	{"section-low", 0.75, "least ratio to 2 pi of a section"},
	{"section-high", 1.10, "greatest ratio to 2 pi of a section"},
	{"wing-doubt", 0.10, "relative miss of a wing's slope that is doubtful"},
	{"wing-blocking", 0.20, "relative miss of a wing's slope that blocks"},
	{"point", 5, "studentized residual at which a point of the lift curve is doubtful"},
	{"coarse-low", 0.5, "least slope per radian from the first point to the greatest lift, of a curve with too few points for a fit"},
	{"coarse-high", 9, "greatest slope per radian of the same"},
}}

func slopeCheck() Check {
	return Check{Name: slopeBounds.check, Bounds: slopeBounds.list, run: slopes,
		About: "slope of C_L over the linear range against finite-wing theory a = a0/(sqrt(1+x^2)+x), x = a0/(pi A), a0 = 2 pi, " +
			"and for sections against 2 pi; a slope per radian that is stated lies in the same range; no angle beyond 90 deg",
		Range: "sections, wings, models, aeroplanes (silent on rotors); fits with at least 4 points between -5 deg and 60 % of the greatest C_L; " +
			"theory for a wing only where its aspect ratio is in the record",
		Source: "section bounds from Ladson's NACA 0012 (0.985 to 0.996 of 2 pi) and from memory; wing bounds common practice, no source",
	}
}

var polarBounds = bounds{"drag-polar", []Bound{
	{"e-low", 0.50, "least span efficiency"},
	{"e-high", 1.05, "greatest span efficiency"},
	{"point", 6, "studentized residual at which a point of the polar is doubtful"},
}}

func polarCheck() Check {
	return Check{Name: polarBounds.check, Bounds: polarBounds.list, run: polars,
		About:  "C_D = C_D0 + k C_L^2 with standard errors; span efficiency e = 1/(pi A k); no C_D at or below zero; points far off the parabola",
		Range:  "at least 5 points with C_L between -0.2 and 70 % of the greatest C_L of the polar; span efficiency only for total drag of wings, models and aeroplanes whose aspect ratio is in the record, walls corrected or free flight; silent on rotors",
		Source: "bounds of e: common practice, no source (0.7 to 0.85 is usual for whole aeroplanes); points: studentized residual",
	}
}

var stallBounds = bounds{"stall-speed", []Bound{
	{"doubt", 0.05, "relative miss in speed that is doubtful"},
	{"blocking", 0.09, "relative miss in speed that blocks"},
	{"clmax-none", 2.0, "greatest C_Lmax without flap"},
	{"clmax-none-doubt", 1.7, "C_Lmax without flap above which a speed is doubtful"},
	{"clmax-plain-doubt", 2.2, "the same with plain flaps"},
	{"clmax-split-doubt", 2.3, "the same with split flaps"},
	{"clmax-slotted-doubt", 2.5, "the same with slotted flaps"},
	{"clmax-area-increasing-doubt", 3.2, "the same with area-increasing flaps"},
	{"clmax-plain", 2.6, "greatest with plain flaps"},
	{"clmax-split", 2.7, "greatest with split flaps"},
	{"clmax-slotted", 3.2, "greatest with slotted flaps"},
	{"clmax-area-increasing", 3.8, "greatest with area-increasing flaps"},
}}

func stallCheck() Check {
	return Check{Name: stallBounds.check, Bounds: stallBounds.list, run: stalls,
		About:  "V_s = sqrt(2 (W/S) / (rho C_Lmax)) at the stated weight, sea-level density for EAS and CAS, the density of altitude and temperature for TAS; without a C_Lmax, the C_Lmax that the speed implies must be possible for the flap",
		Range:  "aeroplanes whose wing area and weight are in the record; CAS is taken for EAS, which holds below 200 knots and 10,000 ft; indicated speeds are judged by the implied C_Lmax alone",
		Source: "5 %: flight and tunnel of one aeroplane miss by 4.5 % in NACA TN 604; greatest C_Lmax by flap: 1.7 and 2.2 expected of light aeroplanes, others common practice, no source",
	}
}

var aspectBounds = bounds{"aspect-ratio", []Bound{
	{"doubt", 0.01, "relative miss beyond rounding that is doubtful"},
	{"blocking", 0.03, "relative miss beyond rounding that blocks"},
}}

func aspectCheck() Check {
	return Check{Name: aspectBounds.check, Bounds: aspectBounds.list, run: aspects,
		About:  "A = b^2/S for the stated span b and area S, and mean chord c = S/b",
		Range:  "wings, models and aeroplanes with all three in the record; silent on biplanes (area of all wings), on net and extended areas, and on rotors",
		Source: "areas of one aeroplane scatter by 1 % between drawings (engrXiv 1700)",
	}
}

var loadingBounds = bounds{"wing-loading", []Bound{
	{"doubt", 0.01, "relative miss beyond rounding that is doubtful"},
	{"blocking", 0.03, "relative miss beyond rounding that blocks"},
}}

func loadingCheck() Check {
	return Check{Name: loadingBounds.check, Bounds: loadingBounds.list, run: loadings,
		About:  "wing loading W/S for the stated weight W and area S",
		Range:  "models and aeroplanes with all three in the record",
		Source: "as for the aspect ratio",
	}
}

var magnitudeBounds = bounds{"magnitude", []Bound{
	{"reynolds", 10000, "least Reynolds number that is not doubtful"},
	{"lift-coefficient", 6, "greatest C_L, of either sign"},
	{"clmax-low", 0.2, "least C_Lmax"},
	{"clmax-high", 6, "greatest C_Lmax"},
	{"drag-coefficient", 5, "greatest C_D"},
	{"aspect-low", 0.5, "least aspect ratio"},
	{"aspect-high", 60, "greatest aspect ratio"},
	{"load-factor", 20, "greatest load factor, of either sign"},
	{"density-low", 0.3, "least density of air in kg/m3 that is not doubtful"},
	{"density-high", 1.5, "greatest density of air in kg/m3 that is not doubtful"},
}}

func magnitudeCheck() Check {
	return Check{Name: magnitudeBounds.check, Bounds: magnitudeBounds.list, run: magnitudes,
		About:  "C_L, C_Lmax, C_D, aspect ratio, load factor, density of air, Reynolds and Mach number, ratios, angles, speeds, temperatures and altitudes are of a size that wings and aeroplanes have",
		Range:  "every figure of a record; silent on the drag of rotors",
		Source: "common practice, no source",
	}
}

// magnitudes finds figures beyond all that is flown or tested: a scale taken for
// another, a lost point. A column is named once, with the cells that are beyond.
func magnitudes(r *Report) []draft {
	var list []draft
	index := map[string]int{}
	for i := range r.Records {
		rec := &r.Records[i]
		for _, e := range rec.Entries {
			if e.Cell.State == extract.Withheld {
				continue
			}
			f, v, ok := r.magnitude(rec, e.Quantity, e.Basis, float(e.Value))
			if ok {
				continue
			}
			key := e.Series.Table.ID + "/" + e.Column + "/" + e.Quantity.Name
			k, known := index[key]
			if !known {
				k = len(list)
				index[key] = k
				f.Table, f.Where = e.Series.Table.Name, e.Series.Table.Name+":"+e.Cell.ID.Row+":"+e.Column
				f.Message = fmt.Sprintf("the %s is %s", e.Quantity.Name, plain(v))
				if plain(v) != e.Cell.Text {
					f.Message += fmt.Sprintf(" (printed %s)", e.Cell.Text)
				}
				list = append(list, draft{f, e.Quantity.Name})
			}
			if !slices.Contains(list[k].Cells, e.Cell.ID) { // two subjects may share a figure
				list[k].Cells = append(list[k].Cells, e.Cell.ID)
			}
		}
	}
	for i := range r.Records {
		rec := &r.Records[i]
		for k := range rec.Derived {
			d := &rec.Derived[k]
			f, v, ok := r.magnitude(rec, d.Of.Quantity, d.Basis, float(d.Value))
			if _, _, own := r.magnitude(rec, d.Of.Quantity, d.Of.Basis, float(d.Of.Value)); ok || !own {
				continue // or its print has been named
			}
			table := d.Of.Series.Table
			key := table.ID + "/" + d.Of.Cell.ID.Column + "/" + d.Of.Quantity.Name + "/derived"
			at, known := index[key]
			if !known {
				at = len(list)
				index[key] = at
				f.Table, f.Where = table.Name, table.Name+":"+d.Of.Cell.ID.Row+":"+d.Of.Cell.ID.Column
				f.Message = fmt.Sprintf("the %s that is derived from %s is %s", d.Of.Quantity.Name, d.Of.Cell.Text, strconv.FormatFloat(v, 'g', 6, 64))
				f.Hint = "look at the print and the unit of each figure that the conversion uses: explain DERIVED_ID names them"
				list = append(list, draft{f, d.Of.Quantity.Name + " derived"})
			}
			for _, p := range d.Parents {
				if !slices.Contains(list[at].Cells, p.Cell.ID) {
					list[at].Cells = append(list[at].Cells, p.Cell.ID)
				}
			}
		}
	}
	return list
}

// magnitude holds a figure of a quantity against what is flown or tested, and returns
// the finding that a miss makes, and the figure as it shows it.
func (r *Report) magnitude(rec *Record, q *normalize.Quantity, basis extract.Basis, v float64) (f Finding, shown float64, ok bool) {
	f = Finding{Check: magnitudeBounds.check, Severity: Blocking, Why: "no such figure is flown or tested; a miss shows a wrong unit or scale, a lost point or a wrong figure",
		Hint: "look at the print and at unit: of the column; confirm if it is so"}
	within := func(low, high float64) bool {
		f.Expected = fmt.Sprintf("%s between %s and %s", q.Name, plain(low), plain(high))
		return v >= low && v <= high
	}
	ok = true
	switch q.Name {
	case "lift coefficient":
		high := r.bound(magnitudeBounds, "lift-coefficient")
		ok = within(-high, high)
	case "maximum lift coefficient":
		ok = within(r.bound(magnitudeBounds, "clmax-low"), r.bound(magnitudeBounds, "clmax-high"))
	case "drag coefficient", "minimum drag coefficient":
		high := r.bound(magnitudeBounds, "drag-coefficient")
		ok = rec.Subject.Kind == "rotor" || basis.Article == "rotor" || v <= high
		f.Expected = fmt.Sprintf("%s up to %s", q.Name, plain(high))
	case "aspect ratio":
		ok = within(r.bound(magnitudeBounds, "aspect-low"), r.bound(magnitudeBounds, "aspect-high"))
	case "positive load factor", "negative load factor", "load factor in flight":
		high := r.bound(magnitudeBounds, "load-factor")
		ok = within(-high, high)
	case "air density":
		v = math.Round(v*1000) / 1000 // of a unit mistaken, not of a figure
		ok = within(r.bound(magnitudeBounds, "density-low"), r.bound(magnitudeBounds, "density-high"))
		f.Severity, f.Hint = Doubt, "is its unit slug, lb or kgf s2/m4? the air of a pressure tunnel may be as dense"
	case "Reynolds number":
		low := r.bound(magnitudeBounds, "reynolds")
		ok = v >= low
		f.Severity, f.Expected = Doubt, fmt.Sprintf("%s of at least %s", q.Name, plain(low))
		f.Hint = "is the column scaled? under a head in millions the unit is 10*6"
	default:
		if size, known := sizeOf(q.Name); known {
			v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
			ok = within(size.low, size.high)
			f.Severity, f.Hint = Doubt, size.hint
			if unit := q.Canonical; unit != "1" {
				f.Expected += " " + unit
			}
		}
	}
	return f, v, ok
}

// plain writes a number in as many figures as it needs, without an exponent.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// winged reports whether a subject has a wing that finite-wing theory speaks of.
func winged(s *extract.Subject) bool {
	return s.Kind == "wing" || s.Kind == "model" || s.Kind == "aeroplane"
}

// float is the float64 nearest to a number: a *big.Rat, or a normalize.Exact.
func float(number interface{ Float64() (float64, bool) }) float64 { f, _ := number.Float64(); return f }

// scalars returns the entries of one quantity, one for each cell.
func (rec *Record) scalars(quantity string) []Entry {
	var list []Entry
	for _, e := range rec.Entries {
		if e.Quantity.Name == quantity && e.Cell.State != extract.Withheld {
			list = append(list, e)
		}
	}
	return list
}

// only returns the entry of a quantity where the record has just one value of it:
// that of the preferred source, else the most exact of several that agree within
// their half-widths.
func (rec *Record) only(quantity string) (Entry, bool) {
	list := rec.scalars(quantity)
	for _, p := range rec.Subject.Prefer {
		if p.Quantity != quantity {
			continue
		}
		if own := slices.DeleteFunc(slices.Clone(list), func(e Entry) bool { return e.Source() != p.Source }); len(own) > 0 {
			list = own
		}
	}
	if len(list) == 0 {
		return Entry{}, false
	}
	best := list[0]
	for _, e := range list[1:] {
		if e.Half.Cmp(best.Half) < 0 {
			best = e
		}
	}
	for _, e := range list {
		if apart := new(big.Rat).Sub(e.Value.Rat(), best.Value.Rat()); apart.Abs(apart).Cmp(new(big.Rat).Add(e.Half, best.Half)) > 0 {
			return Entry{}, false
		}
	}
	return best, true
}

// width is the half-width within which a figure is known: what its digits leave,
// or the accuracy that the source states where that is coarser.
func width(d *normalize.Datum) float64 {
	if d.Accuracy != nil && d.Accuracy.Cmp(d.Half) > 0 {
		return float(d.Accuracy)
	}
	return float(d.Half)
}

// flapKey tells flap settings apart, whatever gear and power do. A flap that is up
// is no flap, whatever its type.
func flapKey(c normalize.Configuration) string {
	d := c.Deflection
	if c.Flap == "none" {
		d = "0"
	}
	r, ok := new(big.Rat).SetString(d)
	switch {
	case ok && r.Sign() == 0:
		return "up"
	case ok:
		d = r.RatString()
	}
	return c.Flap + "|" + d
}

// curve is the points of one table and configuration with all the quantities wanted.
type curve struct {
	rec    *Record
	series *normalize.Series
	config normalize.Configuration
	basis  extract.Basis
	points []map[string]Entry
}

// curves groups a record's rows that have every one of the quantities, each on one
// basis. Where a row has two figures of a quantity on one basis (total and profile
// drag), each makes a curve of its own.
func (rec *Record) curves(want ...string) []curve {
	type rowKey struct {
		s   *normalize.Series
		row *normalize.Row
	}
	rows := map[rowKey][]Entry{}
	var order []rowKey
	for _, e := range rec.Entries {
		if e.Row == nil || !slices.Contains(want, e.Quantity.Name) || e.Cell.State == extract.Withheld {
			continue
		}
		k := rowKey{e.Series, e.Row}
		if rows[k] == nil {
			order = append(order, k)
		}
		rows[k] = append(rows[k], e)
	}
	var list []curve
	index := map[string]int{}
	lead := want[len(want)-1]
	for _, k := range order {
		for _, e := range rows[k] {
			if e.Quantity.Name != lead {
				continue
			}
			point := map[string]Entry{lead: e}
			for _, o := range rows[k] {
				if o.Quantity.Name == lead || !together(e, o) {
					continue
				}
				if _, twice := point[o.Quantity.Name]; twice {
					delete(point, o.Quantity.Name) // two that fit: it is not said which
					break
				}
				point[o.Quantity.Name] = o
			}
			if len(point) != len(want) {
				continue
			}
			key := strings.Join([]string{k.s.Table.ID, e.Column, e.Config.Key(), e.stateText("Reynolds number", e.Basis.Reynolds), e.stateText("Mach number", e.Basis.Mach), e.stateText("thrust coefficient", e.Basis.Thrust)}, "|")
			i, ok := index[key]
			if !ok {
				i = len(list)
				index[key] = i
				list = append(list, curve{rec: rec, series: k.s, config: e.Config, basis: e.Basis})
			}
			list[i].points = append(list[i].points, point)
		}
	}
	return list
}

// together reports whether two figures of one row were measured in one state. An
// angle is set for every state in the row, unless it says otherwise.
func together(a, b Entry) bool {
	if a.Quantity.Name == "angle of attack" || b.Quantity.Name == "angle of attack" {
		// An angle that walls turn, or that of a section, is not that of a coefficient without.
		fits := func(x, y string) bool { return x == y || x == "" || y == "" || x == "not-stated" || y == "not-stated" }
		return fits(a.Basis.Walls, b.Basis.Walls) && fits(a.Basis.AspectRatioBasis, b.Basis.AspectRatioBasis)
	}
	return normalize.SameState(a.Datum, b.Datum)
}

// stateText is a figure that governs the entry, exactly, or "".
func (e *Entry) stateText(quantity, ref string) string {
	if d := e.Series.Ref(e.Row, ref); d != nil && d.Quantity != nil && d.Quantity.Name == quantity {
		return d.Value.RatString()
	}
	return ""
}

func (c *curve) name() string {
	text := c.series.Table.Name
	if k := flapKey(c.config); k != "up" && c.config.Flap != "" {
		text += " (" + strings.TrimSuffix(strings.ReplaceAll(k, "|", " flap "), " flap ") + ")"
	}
	return text
}

// columns takes x and y of the points.
func (c *curve) columns(points []map[string]Entry, x, y string) (xs, ys []*big.Rat, cells []extract.CellID) {
	for _, p := range points {
		xs = append(xs, p[x].Value.Rat())
		ys = append(ys, p[y].Value.Rat())
		cells = append(cells, p[x].Cell.ID, p[y].Cell.ID)
	}
	return xs, ys, cells
}

func slopes(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		list = append(list, wideAngles(rec)...)
		if rec.Subject.Kind == "rotor" {
			continue
		}
		for _, e := range rec.scalars("lift-curve slope") {
			if e.Basis.Article == "rotor" {
				continue
			}
			if f, bad := r.judgeSlope(rec, float(e.Value), width(e.Datum), e.Basis, []extract.CellID{e.Cell.ID}, "the stated slope"); bad {
				f.Table, f.Where = e.Series.Table.Name, e.Series.Table.Name+":"+e.Cell.ID.Row+":"+e.Column
				list = append(list, draft{f, "stated"})
			}
		}
		var straight []one
		for _, c := range rec.curves("angle of attack", "lift coefficient") {
			drafts, f := r.liftCurve(&c)
			list = append(list, drafts...)
			if f != nil && c.config.Power != "on" {
				straight = append(straight, one{&c, f})
			}
		}
		r.pool(straight, "lift-curve slope", "a", "/rad", 180/math.Pi, 1)
	}
	return list
}

// wideAngles finds columns of angles that no article is set to: radians and degrees
// taken for each other, which leave too few points for a slope.
func wideAngles(rec *Record) []draft {
	var list []draft
	index := map[string]int{}
	for _, e := range rec.Entries {
		if name := e.Quantity.Name; name != "angle of attack" && name != "zero-lift angle" && name != "stalling angle" || math.Abs(float(e.Value)) <= 90 {
			continue
		}
		key := e.Series.Table.ID + "/" + e.Column
		i, ok := index[key]
		if !ok {
			i = len(list)
			index[key] = i
			list = append(list, draft{Finding{Check: "lift-curve-slope", Severity: Blocking, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Column,
				Message:  fmt.Sprintf("%s %s %s is %.0f deg", e.Quantity.Name, e.Cell.Text, e.Unit.Name, float(e.Value)),
				Expected: "an angle between -90 and 90 deg", Why: "no article is set to such an angle; a miss shows a wrong unit or figure",
				Hint: "is the column in degrees or in radians?"}, "angle"})
		}
		list[i].Cells = append(list[i].Cells, e.Cell.ID)
	}
	return list
}

// linear is the points of a lift curve on its straight part, nil where they are too
// few for a slope.
func (c *curve) linear() []map[string]Entry {
	greatest := max(0, float(c.points[greatest(c.points)]["lift coefficient"].Value))
	var linear []map[string]Entry
	for _, p := range c.points {
		if a, cl := float(p["angle of attack"].Value), float(p["lift coefficient"].Value); a >= -5 && cl <= 0.6*greatest && a <= 12 {
			linear = append(linear, p)
		}
	}
	if len(linear) < 4 || greatest <= 0 {
		return nil
	}
	return linear
}

func (r *Report) liftCurve(c *curve) ([]draft, *fitted) {
	if c.basis.Article == "rotor" {
		return nil, nil
	}
	linear := c.linear()
	if linear == nil {
		return r.coarseSlope(c), nil
	}
	line, err := resist(linear, "angle of attack", "lift coefficient", r.bound(slopeBounds, "point"), 0, 1)
	if err != nil {
		return nil, nil // all points at one angle: there is no slope to judge
	}
	var list []draft
	// Points that spoil the line are the likelier fault: name them before the slope.
	for _, o := range line.Left {
		p := linear[o.Row]
		e := p["lift coefficient"]
		list = append(list, draft{Finding{Check: "lift-curve-slope", Severity: Doubt, Table: c.series.Table.Name,
			Where: c.series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column, Cells: []extract.CellID{p["angle of attack"].Cell.ID, e.Cell.ID},
			Message:  fmt.Sprintf("C_L %s at %s deg stands off the straight part of the lift curve by %.4f (%s)", e.Cell.Text, p["angle of attack"].Cell.Text, o.Apart, offBy(o.Studentized, "line")),
			Expected: fmt.Sprintf("%.3f, from a line through the other %d points of %s", float(e.Value)-o.Apart, len(line.Used), c.name()),
			Miss:     math.Abs(o.Apart) / float(e.Half),
			Why:      "below the stall lift grows in proportion to the angle of attack",
			Hint:     "look at both figures of the row, and at the rows beside it"}, "point"})
	}
	cells, _ := line.cells()
	slope, se := line.Coefficients[1]*180/math.Pi, line.StdErrors[1]*180/math.Pi
	f, bad := r.judgeSlope(c.rec, slope, 2*se, c.basis, cells, fmt.Sprintf("the slope of %s, fitted over %d points,", c.name(), len(line.Used)))
	if bad {
		f.Table, f.Where = c.series.Table.Name, c.name()
		list = append(list, draft{f, "fit"})
	}
	r.record(c, line, "lift-curve slope", "a", "/rad", slope, se, line.Rounding[1]*180/math.Pi).Doubted = bad
	angle, standard, rounding := line.Root()
	r.record(c, line, "zero-lift angle", "alpha_L0", "deg", angle, standard, rounding).Doubted = bad
	return list, line
}

// offBy says how far a spoiler stands out; it has no finite residual where the
// others leave none.
func offBy(t float64, of string) string {
	if math.IsInf(t, 0) {
		return "the other points lie on one " + of
	}
	return fmt.Sprintf("studentized residual %.1f", t)
}

// judgeSlope compares a slope per radian, known to within half, with theory.
func (r *Report) judgeSlope(rec *Record, slope, half float64, basis extract.Basis, cells []extract.CellID, what string) (Finding, bool) {
	f := Finding{Check: "lift-curve-slope", Severity: Blocking, Cells: cells, Why: "the slope is fixed by aspect ratio within narrow bounds; a miss shows a wrong unit, coefficient system or figure"}
	perDegree := slope * math.Pi / 180
	if slope < 0.5 || slope-half > 2*math.Pi*r.bound(slopeBounds, "section-high") {
		f.Message = fmt.Sprintf("%s is %.3f per radian (%.4f per degree), which no wing or section has", what, slope, perDegree)
		f.Expected = "between about 2 and 6.5 per radian (0.035 to 0.115 per degree), from thin-aerofoil and finite-wing theory"
		f.Hint = "is the column per degree or per radian, absolute or k_L?"
		return f, true
	}
	if rec.Subject.Kind == "section" || basis.Article == "section" || basis.AspectRatioBasis == "infinite" {
		ratio := slope / (2 * math.Pi)
		if ratio >= r.bound(slopeBounds, "section-low") {
			return f, false
		}
		f.Message = fmt.Sprintf("%s is %.3f per radian, %.2f of 2 pi", what, slope, ratio)
		f.Expected = fmt.Sprintf("%.2f to %.2f of 2 pi, from thin-aerofoil theory", r.bound(slopeBounds, "section-low"), r.bound(slopeBounds, "section-high"))
		f.Miss = missIn(2*math.Pi*r.bound(slopeBounds, "section-low")-slope, half)
		return f, true
	}
	if !winged(rec.Subject) || basis.ReferenceArea == "all-wings" {
		return f, false // a biplane's wings are not one wing of the aspect ratio of each
	}
	aspect, ok := rec.only("aspect ratio")
	if !ok {
		return f, false
	}
	theory, err := flight.SlopeHelmbold(2*math.Pi, float(aspect.Value))
	if err != nil {
		return f, false
	}
	off := math.Abs(slope-theory) - half
	switch {
	case off > r.bound(slopeBounds, "wing-blocking")*theory:
	case off > r.bound(slopeBounds, "wing-doubt")*theory:
		f.Severity = Doubt
	default:
		return f, false
	}
	f.Cells = append(slices.Clone(cells), aspect.Cell.ID)
	f.Message = fmt.Sprintf("%s is %.3f per radian (%.4f per degree), %+.0f %% from theory", what, slope, perDegree, 100*(slope/theory-1))
	f.Expected = fmt.Sprintf("%.3f per radian, from finite-wing theory at aspect ratio %s with a section slope of 2 pi", theory, aspect.Cell.Text)
	f.Miss = missIn(math.Abs(slope-theory), half)
	return f, true
}

func missIn(size, half float64) float64 {
	if half <= 0 {
		return 0
	}
	return math.Abs(size) / half
}

func polars(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		for _, e := range rec.Entries {
			if e.Quantity.Name != "drag coefficient" && e.Quantity.Name != "minimum drag coefficient" || e.Cell.State == extract.Withheld {
				continue
			}
			if e.Value.Sign() <= 0 && e.Config.Power != "on" { // with thrust in it, drag may be anything
				list = append(list, draft{Finding{Check: "drag-polar", Severity: Blocking, Table: e.Series.Table.Name,
					Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column, Cells: []extract.CellID{e.Cell.ID},
					Message: fmt.Sprintf("the drag coefficient %s is not above zero", e.Cell.Text), Expected: "a positive drag coefficient",
					Why: "drag never pushes"}, "sign"})
			}
		}
		if rec.Subject.Kind == "rotor" {
			continue
		}
		var parabolas []one
		for _, c := range rec.curves("lift coefficient", "drag coefficient") {
			if c.basis.Article == "rotor" {
				continue
			}
			drafts, f := r.dragPolar(&c)
			list = append(list, drafts...)
			if f != nil {
				parabolas = append(parabolas, one{&c, f})
			}
		}
		r.pool(parabolas, "lift-dependent drag factor", "k", "1", 1, 2)
	}
	return list
}

// unstalled leaves out the points beyond the greatest lift: by their angles where
// the rows have any, else by the order of print where the greatest lift stands in
// the second half.
func (c *curve) unstalled() []map[string]Entry {
	top := greatest(c.points)
	angle := func(p map[string]Entry) *big.Rat {
		e := p["lift coefficient"]
		for _, key := range e.Series.Table.ColumnKeys() {
			if d := e.Row.Datum(key); d != nil && d.Quantity != nil && d.Quantity.Name == "angle of attack" && d.Value.Known() {
				return d.Value.Rat()
			}
		}
		return nil
	}
	stall := angle(c.points[top])
	var list []map[string]Entry
	for i, p := range c.points {
		if a := angle(p); a != nil && stall != nil && a.Cmp(stall) > 0 || stall == nil && i > top && top >= len(c.points)/2 {
			continue
		}
		list = append(list, p)
	}
	return list
}

// parabolic is the points of a polar below the stall, nil where they are too few for
// a parabola.
func (c *curve) parabolic() []map[string]Entry {
	greatest := max(0, float(c.points[greatest(c.points)]["lift coefficient"].Value))
	var used []map[string]Entry
	for _, p := range c.unstalled() {
		if cl := float(p["lift coefficient"].Value); cl >= -0.2 && cl <= 0.7*greatest && p["drag coefficient"].Value.Sign() > 0 {
			used = append(used, p)
		}
	}
	if len(used) < 5 {
		return nil
	}
	return used
}

// induced reports whether the induced drag of a wing of the record's aspect ratio
// can be told from the polar.
func (c *curve) induced() bool {
	return winged(c.rec.Subject) && c.config.Power != "on" && c.basis.Article != "section" && c.basis.Article != "rotor" && c.basis.Drag == "total" &&
		c.basis.Walls != "uncorrected" && c.basis.Walls != "not-stated" && c.basis.AspectRatioBasis != "infinite" && c.basis.ReferenceArea != "all-wings"
}

func (r *Report) dragPolar(c *curve) ([]draft, *fitted) {
	used := c.parabolic()
	if used == nil {
		return nil, nil
	}
	var list []draft
	parabola, general, err := r.parabola(used)
	if general != nil {
		for _, o := range general.Left {
			e, at := used[o.Row]["drag coefficient"], used[o.Row]["lift coefficient"]
			list = append(list, draft{Finding{Check: "drag-polar", Severity: Doubt, Table: c.series.Table.Name,
				Where: c.series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column, Cells: []extract.CellID{at.Cell.ID, e.Cell.ID},
				Message:  fmt.Sprintf("C_D %s at C_L %s stands off the polar by %.4f (%s)", e.Cell.Text, at.Cell.Text, o.Apart, offBy(o.Studentized, "parabola")),
				Expected: fmt.Sprintf("%.4f, from a parabola through the other %d points of %s", float(e.Value)-o.Apart, len(general.Used), c.name()),
				Miss:     math.Abs(o.Apart) / float(e.Half),
				Why:      "below the stall drag is nearly a parabola over lift",
				Hint:     "look at both figures of the row"}, "point"})
		}
	}
	if err != nil || c.config.Power == "on" {
		return list, nil
	}
	cells, _ := parabola.cells()
	k, seK, cd0, seCD0 := parabola.Coefficients[1], parabola.StdErrors[1], parabola.Coefficients[0], parabola.StdErrors[0]
	said := fmt.Sprintf("C_D = %.4f (s.e. %.4f) + %.4f (s.e. %.4f) C_L^2 over %d points of %s", cd0, seCD0, k, seK, len(parabola.Used), c.name())
	if cd0 <= 0 {
		list = append(list, draft{Finding{Check: "drag-polar", Severity: Doubt, Table: c.series.Table.Name, Where: c.name(), Cells: cells,
			Message: said + " gives a negative C_D0", Expected: "C_D0 above zero", Why: "a wrong figure or a coefficient system taken for another bends the polar"}, "cd0"})
	}
	r.record(c, parabola, "zero-lift drag coefficient", "C_D0", "1", cd0, seCD0, parabola.Rounding[0]).Doubted = cd0 <= 0
	factor := len(r.Fits)
	r.record(c, parabola, "lift-dependent drag factor", "k", "1", k, seK, parabola.Rounding[1]).Doubted = k <= 0
	if !c.induced() {
		return list, parabola
	}
	aspect, ok := c.rec.only("aspect ratio")
	if !ok {
		return list, parabola
	}
	e, err := flight.SpanEfficiency(float(aspect.Value), k)
	low, high := r.bound(polarBounds, "e-low"), r.bound(polarBounds, "e-high")
	bad := err != nil || e < low || e > high
	if err == nil {
		r.Fits[factor].Doubted = bad
		r.recordEfficiency(c, parabola, aspect, e).Doubted = bad
	}
	if !bad {
		return list, parabola
	}
	said += fmt.Sprintf(": span efficiency e = %.2f", e)
	if err != nil {
		said += fmt.Sprintf(" (%v)", err)
	}
	return append(list, draft{Finding{Check: "drag-polar", Severity: Doubt, Table: c.series.Table.Name, Where: c.name(),
		Cells: append(cells, aspect.Cell.ID), Message: said,
		Expected: fmt.Sprintf("e between %.2f and %.2f at aspect ratio %s", low, high, aspect.Cell.Text),
		Why:      "the induced drag of a wing of known aspect ratio is known within narrow bounds; a miss shows a wrong area, coefficient system or aspect ratio"}, "e"}), parabola
}

func stalls(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind != "aeroplane" {
			continue
		}
		area, haveArea := rec.only("wing area")
		for _, e := range rec.scalars("stall speed") {
			weight := e.Series.Ref(e.Row, e.Basis.Weight)
			if !haveArea || weight == nil || area.Value.Sign() <= 0 || weight.Value.Sign() <= 0 || e.Value.Sign() <= 0 {
				continue
			}
			if f, bad := r.judgeStall(rec, e, weight, area); bad {
				list = append(list, draft{f, ""})
			}
		}
	}
	return list
}

// ambient is the kind of a stall speed, and the density and what it is that turn the
// speed into a dynamic pressure.
// room is the part of the density that its figures leave open.
func ambient(e Entry) (kind air.Kind, density, room float64, what string, ok bool) {
	kind, err := air.ParseKind(e.Basis.AirspeedKind)
	if err != nil {
		return kind, 0, 0, "", false
	}
	switch kind {
	case air.TAS:
		standard := air.Modern
		if e.Basis.Atmosphere == "period" {
			standard = air.Period
		}
		s, known := surroundingsOf(&e, standard)
		if !known {
			return kind, 0, 0, "", false // no ambient density: nothing can be said
		}
		if density, room, ok = s.densityWithin(); !ok {
			return kind, 0, 0, "", false
		}
		what = "the density " + strings.TrimSuffix(s.where, ",")
	default:
		state, err := air.Modern.At(0)
		if err != nil {
			return kind, 0, 0, "", false
		}
		density, what = state.Density, "sea-level density"
	}
	return kind, density, room, what, true
}

// likeSetting reports whether a maximum lift coefficient is one of the setting in
// which a stall speed was measured.
func likeSetting(c, e Entry) bool {
	return flapKey(c.Config) == flapKey(e.Config) && c.Value.Sign() > 0 && c.Config.Power != "on" && c.Basis.Article != "section" && c.Basis.ReferenceArea != "extended" &&
		(c.Config.Slats == "" || e.Config.Slats == "" || c.Config.Slats == e.Config.Slats)
}

func (r *Report) judgeStall(rec *Record, e Entry, weight *normalize.Datum, area Entry) (Finding, bool) {
	kind, density, room, what, ok := ambient(e)
	if !ok {
		return Finding{}, false
	}
	loading := float(weight.Value) / float(area.Value)
	implied, err := flight.CLMaxFromStall(loading, density, float(e.Value))
	if err != nil {
		return Finding{}, false
	}
	f := Finding{Check: "stall-speed", Severity: Blocking, Table: e.Series.Table.Name, Where: e.Series.Table.Name + ":" + e.Cell.ID.Row + ":" + e.Column,
		Cells: []extract.CellID{e.Cell.ID, weight.Cell.ID, area.Cell.ID},
		Why:   "stalling speed, weight, area and maximum lift coefficient hang together; a miss shows a wrong figure, unit, weight or airspeed kind"}
	shown := fmt.Sprintf("%s %s (%.2f m/s %s)", e.Cell.Text, e.Unit.Name, float(e.Value), kind)

	// Tail lift and trim are in neither figure; only like settings compare.
	speed := float(e.Value)
	half := width(e.Datum) + speed*room/2 // V goes as the root of the density
	type likely struct {
		Entry
		speed, rel float64
	}
	var same []likely
	for _, c := range rec.scalars("maximum lift coefficient") {
		if !likeSetting(c, e) {
			continue
		}
		if v, err := flight.StallSpeed(loading, density, float(c.Value)); err == nil {
			same = append(same, likely{c, v, (math.Abs(v-speed) - half) / v})
		}
	}
	if kind != air.IAS && e.Config.Power != "on" && len(same) > 0 {
		// Where several sources give a C_Lmax of the setting, the speed blocks only
		// where it fits none; that it fits one and not another is still a doubt.
		best, worst := same[0], same[0]
		for _, c := range same[1:] {
			if c.rel < best.rel {
				best = c
			}
			if c.rel > worst.rel {
				worst = c
			}
		}
		at := best
		switch {
		case best.rel > r.bound(stallBounds, "blocking"):
		case best.rel > r.bound(stallBounds, "doubt"):
			f.Severity = Doubt
		case worst.rel > r.bound(stallBounds, "blocking"):
			f.Severity, at = Doubt, worst
		default:
			return f, false
		}
		f.Cells = append(f.Cells, at.Cell.ID)
		f.Message = fmt.Sprintf("%s is %+.1f %% from the speed that C_Lmax %s gives; it implies C_Lmax %.2f", shown, 100*(speed/at.speed-1), at.Cell.Text, implied)
		if at.Cell != best.Cell {
			f.Message += fmt.Sprintf("; with C_Lmax %s, of the same setting, it agrees", best.Cell.Text)
		}
		f.Expected = fmt.Sprintf("%.2f m/s, from W/S = %.0f N/m2, C_Lmax %s and %s", at.speed, loading, at.Cell.Text, what)
		f.Miss = missIn(speed-at.speed, float(e.Half))
		f.Hint = "mph or knots? indicated or calibrated? the weight of the test or the maximum?"
		return f, true
	}
	flap := e.Config.Flap
	if flapKey(e.Config) == "up" {
		flap = "none"
	}
	if !slices.Contains([]string{"none", "plain", "split", "slotted", "area-increasing"}, flap) || e.Config.Power == "on" || e.Config.Slats == "open" || e.Config.Slats == "automatic" {
		return f, false
	}
	// The least and the greatest that the printed digits of the speed leave.
	low, high := implied*math.Pow(speed/(speed+half), 2), math.Inf(1)
	if half < speed {
		high = implied * math.Pow(speed/(speed-half), 2)
	}
	limit := r.bound(stallBounds, "clmax-"+flap)
	switch {
	case low > limit || high < 0.5:
	case low > r.bound(stallBounds, "clmax-"+flap+"-doubt"):
		f.Severity, limit = Doubt, r.bound(stallBounds, "clmax-"+flap+"-doubt")
	default:
		return f, false
	}
	f.Message = fmt.Sprintf("%s implies C_Lmax %.2f", shown, implied)
	f.Expected = fmt.Sprintf("C_Lmax between 0.5 and %.1f with flap %s, from W/S = %.0f N/m2 and %s", limit, flap, loading, what)
	f.Hint = "indicated speeds read low near the stall; mph or knots?"
	return f, true
}

// quotient judges whether a stated quantity agrees with the value that follows from
// others, known to within relHalf of itself, within rounding and a relative tolerance.
func (r *Report) quotient(c bounds, name string, stated Entry, value, relHalf float64, from []Entry, formula string) (draft, bool) {
	got := float(stated.Value)
	slack := relHalf*math.Abs(value) + width(stated.Datum)
	off := math.Abs(got-value) - slack
	f := Finding{Check: c.check, Severity: Blocking, Table: stated.Series.Table.Name, Where: stated.Series.Table.Name + ":" + stated.Cell.ID.Row + ":" + stated.Column}
	switch {
	case off > r.bound(c, "blocking")*math.Abs(value):
	case off > r.bound(c, "doubt")*math.Abs(value):
		f.Severity = Doubt
	default:
		return draft{}, false
	}
	f.Cells = []extract.CellID{stated.Cell.ID}
	var parts []string
	for _, e := range from {
		f.Cells = append(f.Cells, e.Cell.ID)
		parts = append(parts, fmt.Sprintf("%s %s %s", e.Quantity.Name, e.Cell.Text, e.Unit.Name))
	}
	shown := name + " " + stated.Cell.Text
	if unit := stated.Quantity.Canonical; unit != "1" {
		shown += fmt.Sprintf(" (%.4g in %s)", got, unit)
	}
	f.Message = fmt.Sprintf("%s is %+.1f %% from %s", shown, 100*(got/value-1), formula)
	f.Expected = fmt.Sprintf("%.4g, from %s", value, strings.Join(parts, " and "))
	f.Miss = missIn(math.Abs(got-value), float(stated.Half))
	f.Why = "figures of one list of particulars belong to one aeroplane; a miss shows a wrong figure, unit or reference area"
	f.Hint = "look at all of them, and at what the source says the area includes"
	return draft{f, formula}, true
}

func aspects(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		span, okSpan := rec.only("wing span")
		area, okArea := rec.only("wing area")
		if !winged(rec.Subject) || !okSpan || !okArea || slices.Contains([]string{"all-wings", "net", "extended", "disc"}, area.Basis.ReferenceArea) {
			continue
		}
		b, s := float(span.Value), float(area.Value)
		if a, err := flight.AspectRatio(b, s); err == nil {
			for _, stated := range rec.scalars("aspect ratio") {
				rel := 2*width(span.Datum)/b + width(area.Datum)/s
				if d, bad := r.quotient(aspectBounds, "aspect ratio", stated, a, rel, []Entry{span, area}, "b^2/S"); bad {
					list = append(list, d)
				}
			}
		}
		if c, err := flight.MeanChord(s, b); err == nil {
			for _, stated := range rec.scalars("mean chord") {
				rel := width(span.Datum)/b + width(area.Datum)/s
				if d, bad := r.quotient(aspectBounds, "mean chord", stated, c, rel, []Entry{area, span}, "S/b"); bad {
					list = append(list, d)
				}
			}
		}
	}
	return list
}

func said(text string) bool { return text != "" && text != "not-stated" }

func loadings(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind != "aeroplane" && rec.Subject.Kind != "model" {
			continue
		}
		area, okArea := rec.only("wing area")
		if !okArea {
			continue
		}
		for _, stated := range rec.scalars("wing loading") {
			// The weight of the same condition, else the only weight there is.
			var weights []Entry
			for _, w := range rec.scalars("weight") {
				if w.Basis.WeightCondition == stated.Basis.WeightCondition {
					weights = append(weights, w)
				}
			}
			if len(weights) != 1 {
				only, ok := rec.only("weight")
				if !ok || said(only.Basis.WeightCondition) && said(stated.Basis.WeightCondition) {
					continue // the weight of another condition
				}
				weights = []Entry{only}
			}
			w := weights[0]
			ws, err := flight.WingLoading(float(w.Value), float(area.Value))
			if err != nil {
				continue
			}
			rel := width(w.Datum)/float(w.Value) + width(area.Datum)/float(area.Value)
			if d, bad := r.quotient(loadingBounds, "wing loading", stated, ws, rel, []Entry{w, area}, "W/S"); bad {
				list = append(list, d)
			}
		}
	}
	return list
}
