package validate

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/air"
	"windtally/normalize/unit"
	"windtally/validate/flight"
)

// convertedFrom is the system of a coefficient that is printed in another than the
// absolute one, for the digest of evidence; it is empty for all other figures.
func convertedFrom(d *normalize.Datum) string {
	if d.Factor == nil {
		return ""
	}
	return "\t" + d.Basis.Coefficients + "\t" + d.Factor.RatString()
}

var systemBounds = bounds{"coefficient-system", []Bound{
	{"clmax-low", 0.9, "least greatest lift coefficient of a curve that reaches its stall, or C_Lmax"},
	{"clmax-high", 4, "greatest lift coefficient"},
	{"slope-low", 3.4, "least slope per radian of a wing of unknown aspect ratio (0.06 per degree)"},
	{"slope-biplane-low", 2.4, "the same of a biplane on the area of all its wings"},
	{"slope-high", 6.6, "greatest slope per radian of a wing of unknown aspect ratio (0.115 per degree)"},
	{"implied", 0.18, "relative miss between a C_Lmax and that which a stall speed implies"},
	{"speed", 0.04, "relative miss between stall speeds in another unit and those of the C_Lmax"},
}}

func systemCheck() Check {
	return Check{Name: systemBounds.check, Bounds: systemBounds.list, run: systems,
		About: "where the figures of a table do not have the size of the stated system of coefficients, unit of slope or angle, or unit of speed, and have that of another. " +
			"With f the ratio of the two systems (2 for k_L taken for C_L) the greatest lift, the slope and the span efficiency e = 1/(pi A k) of the polar all become f times themselves; " +
			"two of them must be out of bounds as stated and in bounds as the other system, and none out of bounds then; V_s = sqrt(2 (W/S)/(rho C_Lmax)) in another unit for two settings at least",
		Range: "sections, wings, models, aeroplanes (silent on rotors); a greatest lift counts only where the curve falls again behind it, for a table that stops below the stall has a small one honestly; " +
			"slopes and polars as in the checks lift-curve-slope and drag-polar, whose findings on the same cells, like those of magnitude and stall-speed, it takes the place of",
		Source: "sizes of C_Lmax and slopes in the systems: from memory; bounds common practice, no source",
	}
}

// sign is one quantity whose size tells the system.
type sign struct {
	kind, what string
	value      float64
	low, high  float64 // as an absolute coefficient, a slope per radian, degrees
	cells      []extract.CellID
}

// The kinds of signs.
const (
	ofMaximum = "greatest lift"
	ofSlope   = "slope"
	ofStated  = "stated slope"
	ofInduced = "span efficiency"
	ofImplied = "ratio to the implied C_Lmax"
)

// reading of the columns otherwise than stated: what the coefficients, the stated
// slopes and the fitted slopes are to be multiplied by.
type otherwise struct {
	says, write          string
	lift, stated, fitted float64
}

func (o otherwise) of(s sign) float64 {
	switch s.kind {
	case ofSlope:
		return s.value * o.lift * o.fitted
	case ofStated:
		return s.value * o.lift * o.stated
	}
	return s.value * o.lift
}

func (s sign) fits(v float64) bool { return v >= s.low && v <= s.high }

// systemGroup is the signs of one table of a record in one system.
type systemGroup struct {
	table                 *extract.Table
	system                string
	percent, degree, angl bool // stated units: percent, slopes per degree, angles in degrees
	signs                 []sign
}

func systems(r *Report) []draft {
	var list []draft
	for i := range r.Records {
		rec := &r.Records[i]
		if rec.Subject.Kind == "rotor" {
			continue
		}
		groups := r.systemGroups(rec)
		for _, g := range groups {
			if d, ok := r.judgeSystem(rec, g, groups); ok {
				list = append(list, d)
			}
		}
		list = append(list, r.speedUnits(rec)...)
	}
	return list
}

func (r *Report) systemGroups(rec *Record) []*systemGroup {
	var groups []*systemGroup
	group := func(s *normalize.Series, d *normalize.Datum) *systemGroup {
		for _, g := range groups {
			if g.table == s.Table && g.system == d.Basis.Coefficients {
				return g
			}
		}
		groups = append(groups, &systemGroup{table: s.Table, system: d.Basis.Coefficients})
		return groups[len(groups)-1]
	}
	low, high := r.bound(systemBounds, "clmax-low"), r.bound(systemBounds, "clmax-high")
	maximum := func(g *systemGroup, e Entry, stalled bool, cells []extract.CellID) {
		s := sign{kind: ofMaximum, value: float(e.Value), low: low, high: high, cells: cells}
		s.what = fmt.Sprintf("the %s %s", map[bool]string{true: "greatest lift coefficient", false: "maximum lift coefficient"}[e.Quantity.Name == "lift coefficient"], e.Cell.Text)
		if stated := new(big.Rat).Sub(e.Value.Rat(), e.Numeral.Rat()); stated.Sign() != 0 {
			s.what += fmt.Sprintf(", which is %.3g as stated,", s.value)
		}
		if !stalled {
			if s.value <= high {
				return // a table that stops below the stall
			}
			s.low = 0
		}
		g.percent = g.percent || e.Unit.UCUM == "%"
		g.signs = append(g.signs, s)
	}
	for _, c := range rec.curves("angle of attack", "lift coefficient") {
		if c.basis.Article == "rotor" {
			continue
		}
		top := c.points[0]
		for _, p := range c.points {
			if p["lift coefficient"].Value.Cmp(top["lift coefficient"].Value) > 0 {
				top = p
			}
		}
		stalled := slices.ContainsFunc(c.points, func(p map[string]Entry) bool {
			return p["angle of attack"].Value.Cmp(top["angle of attack"].Value) > 0 && p["lift coefficient"].Value.Cmp(top["lift coefficient"].Value) < 0
		})
		e := top["lift coefficient"]
		g := group(c.series, e.Datum)
		maximum(g, e, stalled, c.all("lift coefficient"))
		linear := c.linear()
		if linear == nil {
			continue
		}
		_, _, cells := c.columns(linear, "angle of attack", "lift coefficient")
		line, err := resist(linear, "angle of attack", "lift coefficient", r.bound(slopeBounds, "point"), 0, 1)
		if err != nil {
			continue
		}
		s := sign{kind: ofSlope, value: line.Coefficients[1] * 180 / math.Pi, cells: append(cells, c.all("lift coefficient")...)}
		s.what = fmt.Sprintf("the slope of %s, %.3g per radian,", c.name(), s.value)
		r.slopeBand(rec, c.basis, &s)
		g.angl = top["angle of attack"].Unit.UCUM == "deg"
		g.signs = append(g.signs, s)
	}
	for _, e := range rec.scalars("maximum lift coefficient") {
		if e.Basis.Article != "rotor" && e.Config.Power != "on" {
			maximum(group(e.Series, e.Datum), e, true, []extract.CellID{e.Cell.ID})
		}
	}
	for _, e := range rec.scalars("lift-curve slope") {
		if e.Basis.Article == "rotor" {
			continue
		}
		g := group(e.Series, e.Datum)
		s := sign{kind: ofStated, value: float(e.Value), cells: []extract.CellID{e.Cell.ID}}
		s.what = fmt.Sprintf("the stated slope, %.3g per radian,", s.value)
		r.slopeBand(rec, e.Basis, &s)
		g.degree = e.Unit.UCUM == "/deg"
		g.signs = append(g.signs, s)
	}
	if aspect, ok := rec.only("aspect ratio"); ok {
		for _, c := range rec.curves("lift coefficient", "drag coefficient") {
			used := c.parabolic()
			if used == nil || !c.induced() {
				continue
			}
			_, _, cells := c.columns(used, "lift coefficient", "drag coefficient")
			parabola, _, err := r.parabola(used)
			if err != nil {
				continue
			}
			e, err := flight.SpanEfficiency(float(aspect.Value), parabola.Coefficients[1])
			if err != nil {
				continue
			}
			g := group(c.series, used[0]["lift coefficient"].Datum)
			g.signs = append(g.signs, sign{kind: ofInduced, what: fmt.Sprintf("the span efficiency of %s, %.3g,", c.name(), e), value: e,
				low: r.bound(polarBounds, "e-low"), high: r.bound(polarBounds, "e-high"), cells: append(append(cells, c.all("drag coefficient")...), aspect.Cell.ID)})
		}
	}
	miss := 1 + r.bound(systemBounds, "implied")
	rec.impliedLift(func(speed, c Entry, expected, implied float64, cells []extract.CellID) {
		v := float(c.Value) / implied
		g := group(c.Series, c.Datum)
		g.signs = append(g.signs, sign{kind: ofImplied, what: fmt.Sprintf("C_Lmax %s over %.3g, which the stall speed %s %s implies,", c.Cell.Text, implied, speed.Cell.Text, speed.Unit.Name), value: v,
			low: 1 / miss, high: miss, cells: cells})
	})
	return groups
}

// all is the cells of one quantity in a curve: what is in the wrong system is the
// whole column, and who withholds a finding withholds it.
func (c *curve) all(quantity string) []extract.CellID {
	var cells []extract.CellID
	for _, p := range c.points {
		cells = append(cells, p[quantity].Cell.ID)
	}
	return cells
}

// slopeBand sets the bounds of a slope: those of the check lift-curve-slope.
func (r *Report) slopeBand(rec *Record, basis extract.Basis, s *sign) {
	s.low, s.high = r.bound(systemBounds, "slope-low"), r.bound(systemBounds, "slope-high")
	if rec.Subject.Kind == "section" || basis.Article == "section" || basis.AspectRatioBasis == "infinite" {
		s.low, s.high = 2*math.Pi*r.bound(slopeBounds, "section-low"), 2*math.Pi*r.bound(slopeBounds, "section-high")
		return
	}
	if basis.ReferenceArea == "all-wings" {
		s.low = r.bound(systemBounds, "slope-biplane-low")
		return
	}
	if aspect, ok := rec.only("aspect ratio"); ok && winged(rec.Subject) {
		if theory, err := flight.SlopeHelmbold(2*math.Pi, float(aspect.Value)); err == nil {
			wide := r.bound(slopeBounds, "wing-blocking")
			s.low, s.high = theory*(1-wide), theory*(1+wide)
			s.cells = append(slices.Clone(s.cells), aspect.Cell.ID)
		}
	}
}

// impliedLift calls do for each pair of a stall speed and a maximum lift coefficient
// of one setting, with the speed that follows from the one and the coefficient that
// follows from the other.
func (rec *Record) impliedLift(do func(speed, c Entry, expected, implied float64, cells []extract.CellID)) {
	area, ok := rec.only("wing area")
	if rec.Subject.Kind != "aeroplane" || !ok || area.Value.Sign() <= 0 {
		return
	}
	for _, e := range rec.scalars("stall speed") {
		weight := e.Series.Ref(e.Row, e.Basis.Weight)
		kind, density, _, _, ok := ambient(e)
		if !ok || kind == air.IAS || weight == nil || !weight.Value.Known() || weight.Value.Sign() <= 0 || e.Value.Sign() <= 0 || e.Config.Power == "on" {
			continue
		}
		loading := float(weight.Value) / float(area.Value)
		implied, err := flight.CLMaxFromStall(loading, density, float(e.Value))
		if err != nil {
			continue
		}
		for _, c := range rec.scalars("maximum lift coefficient") {
			if !likeSetting(c, e) {
				continue
			}
			if v, err := flight.StallSpeed(loading, density, float(c.Value)); err == nil {
				do(e, c, v, implied, []extract.CellID{e.Cell.ID, weight.Cell.ID, area.Cell.ID, c.Cell.ID})
			}
		}
	}
}

// others lists what the figures of a group may be instead of what is stated.
func (g *systemGroup) others() []otherwise {
	var list []otherwise
	stated, ok := normalize.FindSystem(g.system)
	if !ok {
		return nil
	}
	factor := func(s normalize.System) float64 {
		f, err := s.Factor(nil)
		if err != nil {
			return math.NaN()
		}
		return float(f)
	}
	for _, s := range normalize.Systems() {
		if s.Name == g.system {
			continue
		}
		says, write := s.Name, "coefficients: "+s.Name
		if s.Name == "hundredfold" && g.system == normalize.Absolute {
			says, write = "hundredfold or percent", "coefficients: hundredfold (or unit: %)"
		}
		list = append(list, otherwise{says, write, factor(s) / factor(stated), 1, 1})
	}
	if g.percent && g.system == normalize.Absolute {
		list = append(list, otherwise{"fractions and not percent", "unit: 1", 100, 1, 1})
	}
	slope := otherwise{"per degree", "unit: per deg", 1, 180 / math.Pi, 1}
	if g.degree {
		slope = otherwise{"per radian", "unit: per radian", 1, math.Pi / 180, 1}
	}
	if slices.ContainsFunc(g.signs, func(s sign) bool { return s.kind == ofStated }) {
		for _, o := range slices.Clone(list) {
			list = append(list, otherwise{o.says + " and the slope " + slope.says, o.write + " and for the slope " + slope.write, o.lift, slope.stated, 1})
		}
		list = append(list, otherwise{"a slope " + slope.says, slope.write, 1, slope.stated, 1})
	}
	if g.angl {
		list = append(list, otherwise{"angles in radians", "unit: rad for the angle of attack", 1, 1, math.Pi / 180})
	}
	return list
}

// judgeSystem finds what the figures of a group are instead of what is stated.
func (r *Report) judgeSystem(rec *Record, g *systemGroup, groups []*systemGroup) (draft, bool) {
	var best []otherwise
	most := 0
	signsFor := func(o otherwise) []sign {
		signs := slices.Clone(g.signs)
		if o.lift != 1 {
			return signs
		}
		for _, other := range groups { // other tables bear out a unit, they are not scaled with it
			for _, s := range other.signs {
				if other != g && (s.kind == ofMaximum || s.kind == ofSlope && o.fitted == 1) {
					signs = append(signs, s)
				}
			}
		}
		return signs
	}
	for _, o := range g.others() {
		mended, fitting, against := 0, 0, false
		signs := signsFor(o)
		for _, kind := range []string{ofMaximum, ofSlope, ofStated, ofInduced, ofImplied} {
			wrong, right, n := 0, 0, 0
			for _, s := range signs {
				if s.kind != kind {
					continue
				}
				n++
				if !s.fits(s.value) {
					wrong++
				}
				switch v := o.of(s); {
				case s.fits(v):
					right++
				case kind == ofMaximum && v < s.low: // small maxima are honest
				case kind != ofInduced && kind != ofImplied:
					against = true
				}
			}
			if n == 0 || right < n && !(kind == ofMaximum && right > 0) {
				continue
			}
			fitting++
			if wrong == n || kind == ofMaximum && wrong > 0 {
				mended++
			}
		}
		if against || mended == 0 || fitting < 2 || mended < 2 && o.lift != 1 {
			continue
		}
		if mended > most {
			best, most = nil, mended
		}
		if mended == most {
			best = append(best, o)
		}
	}
	if len(best) == 0 {
		return draft{}, false
	}
	f := Finding{Check: systemBounds.check, Severity: Blocking, Table: g.table.Name, Where: g.table.Name, meaning: true,
		Why: "a coefficient of another system, or a slope or angle in another unit, is a right figure with the wrong meaning"}
	o := best[0]
	var says, write, parts, expected []string
	for _, o := range best {
		says, write = append(says, o.says), append(write, o.write)
	}
	shown := map[string]bool{}
	for i, s := range signsFor(o) {
		v := o.of(s)
		if !s.fits(v) || s.fits(s.value) && slices.ContainsFunc(g.signs, func(t sign) bool { return t.kind == s.kind && !t.fits(t.value) }) {
			continue
		}
		for _, id := range s.cells { // those of other tables only bear it out
			if i < len(g.signs) && !slices.Contains(f.Cells, id) {
				f.Cells = append(f.Cells, id)
			}
		}
		if shown[s.kind] {
			continue
		}
		shown[s.kind] = true
		part := fmt.Sprintf("%s would be %.3g", s.what, v)
		if v == s.value {
			part = s.what + " fits"
		}
		parts = append(parts, strings.ReplaceAll(part, ", fits", " fits"))
		expected = append(expected, fmt.Sprintf("%s between %.3g and %.3g", s.kind, s.low, s.high))
	}
	stated := "coefficients are stated as " + g.system
	switch {
	case o.lift == 1 && o.stated != 1 && g.degree:
		stated = "slopes are stated per degree"
	case o.lift == 1 && o.stated != 1:
		stated = "slopes are stated per radian"
	case o.lift == 1:
		stated = "angles are stated in degrees"
	case g.percent:
		stated += " in percent"
	}
	f.Message = fmt.Sprintf("the %s, and their sizes are those of %s: %s", stated, strings.Join(says, " or of "), strings.Join(parts, "; "))
	f.Expected = strings.Join(expected, "; ")
	f.Hint = "look for the definition in the report; if it is so, write " + strings.Join(write, " or ") + " in tables/" + g.table.Name + ".yaml, else confirm"
	return draft{f, "system"}, true
}

// speedUnits finds columns of stall speeds in another unit than the stated one: those
// of two settings at least miss what their C_Lmax give by one factor, which is the
// ratio of two units.
func (r *Report) speedUnits(rec *Record) []draft {
	type column struct {
		f        Finding
		unit     unit.Unit
		ratios   []float64
		settings []string
		shown    []string
	}
	var list []*column
	rec.impliedLift(func(speed, c Entry, expected, implied float64, cells []extract.CellID) {
		where := speed.Series.Table.Name + ":" + speed.Column
		i := slices.IndexFunc(list, func(c *column) bool { return c.f.Where == where && c.unit.UCUM == speed.Unit.UCUM })
		if i < 0 {
			i = len(list)
			list = append(list, &column{unit: speed.Unit, f: Finding{Check: systemBounds.check, Severity: Blocking, Table: speed.Series.Table.Name, Where: where, meaning: true,
				Why: "a speed in the wrong unit is a right figure with the wrong meaning"}})
		}
		k := list[i]
		k.ratios = append(k.ratios, float(speed.Value)/expected)
		if key := flapKey(speed.Config); !slices.Contains(k.settings, key) {
			k.settings = append(k.settings, key)
		}
		for _, id := range cells {
			if !slices.Contains(k.f.Cells, id) {
				k.f.Cells = append(k.f.Cells, id)
			}
		}
		k.shown = append(k.shown, fmt.Sprintf("%s implies C_Lmax %.2f where %s is printed", speed.Cell.Text, implied, c.Cell.Text))
	})
	var drafts []draft
	for _, k := range list {
		if len(k.settings) < 2 {
			continue // one miss of 15 % is a wrong weight as well as another unit
		}
		for _, code := range []string{"[kn_i]", "[mi_i]/h", "km/h", "m/s", "[ft_i]/s"} {
			other, ok := unit.Lookup(code)
			if !ok || other.UCUM == k.unit.UCUM {
				continue
			}
			times := float(other.Factor) / float(k.unit.Factor)
			fits := !slices.ContainsFunc(k.ratios, func(ratio float64) bool {
				return math.Abs(ratio*times-1) > r.bound(systemBounds, "speed") || math.Abs(ratio-1) <= r.bound(stallBounds, "doubt")
			})
			if !fits {
				continue
			}
			k.f.Message = fmt.Sprintf("the stall speeds are stated in %s, and they fit their C_Lmax as %s: %s", k.unit.Name, other.Name, strings.Join(k.shown, "; "))
			k.f.Expected = fmt.Sprintf("the implied C_Lmax that are printed, to within %.0f %%, as in %s", 200*r.bound(systemBounds, "speed"), other.Name)
			k.f.Hint = "look at the head; if it is so, mend unit: in tables/" + k.f.Table + ".yaml. True airspeeds at height, or another weight, may miss by as much; confirm, if the unit is as stated"
			drafts = append(drafts, draft{k.f, "speed"})
			break
		}
	}
	return drafts
}

// explained leaves out the findings on slope, polar, size and stall speed that say of
// the same cells what a finding on their system says: one fault, one finding. A point
// that stands off a curve stays.
func explained(drafts []draft) []draft {
	var covered [][]extract.CellID
	for _, d := range drafts {
		if d.Check == systemBounds.check {
			covered = append(covered, d.Cells)
		}
	}
	return slices.DeleteFunc(drafts, func(d draft) bool {
		switch {
		case d.Check == slopeBounds.check && (d.detail == "fit" || d.detail == "stated"):
		case d.Check == polarBounds.check && d.detail == "e":
		case d.Check == stallBounds.check, d.Check == magnitudeBounds.check && strings.Contains(d.detail, "coefficient"):
		case d.Check == ratioBounds.check && d.detail != "power":
			// A speed that is off by itself is named once, by the check that says more of it.
			return slices.ContainsFunc(drafts, func(o draft) bool {
				return (o.Check == stallBounds.check || o.Check == flapBounds.check || o.Check == magnitudeBounds.check) &&
					slices.ContainsFunc(d.Cells, func(id extract.CellID) bool { return slices.Contains(o.Cells, id) })
			})
		default:
			return false
		}
		return slices.ContainsFunc(covered, func(cells []extract.CellID) bool {
			return !slices.ContainsFunc(d.Cells, func(id extract.CellID) bool { return !slices.Contains(cells, id) })
		})
	})
}
