package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/normalize/air"
)

var (
	needAltitudeKind = need{"altitude_kind", func(b extract.Basis) string { return b.AltitudeKind },
		"pressure, density, geometric or not-stated: what the source calls its altitudes"}
	needCorrectionSign = need{"correction_sign", func(b extract.Basis) string { return b.CorrectionSign },
		"added (to the indicated airspeed) or indicated-minus-true (the error of the instrument), as head or text of the source say"}
)

// airspeed builds the way from the kind of a figure to the one asked for, up or down
// the row IAS, CAS, EAS, TAS.
func (v *deriver) airspeed(f *Figure) (*expression, *refused) {
	v.meaning = ""
	kind, err := airspeedKind(f.Basis)
	if err != nil {
		return nil, refuse("", "%v", err)
	}
	to, err := air.ParseKind(v.ask.AirspeedKind)
	if err != nil {
		return nil, refuse("", "%v", err)
	}
	x := &expression{parents: []*Figure{f}, formula: "{0}", value: func(x []*big.Rat) (*big.Rat, error) { return x[0], nil }}
	if (kind == air.IAS || to == air.IAS) && v.ask.PositionError == nil {
		is := fmt.Sprintf("it is an %s", kind)
		if kind != air.IAS {
			is = fmt.Sprintf("an IAS follows from a %s by position errors", kind)
		}
		return nil, refuse("write position_error: {table: ..., indicated: ..., calibrated: ...} in the entry of derive:", "%s, and no table of position errors is named", is)
	}
	var no *refused
	if kind == air.IAS {
		if x, no = v.calibrate(f); no != nil {
			return nil, no
		}
		kind = air.CAS
	}
	if end := max(to, air.CAS); end != kind {
		if x, no = aloft(f, x, kind, end); no != nil {
			return nil, no
		}
	}
	if to == air.IAS {
		return v.indicate(f, x)
	}
	return x, nil
}

// station is the air in which an airspeed was flown.
type station struct {
	standard          air.Standard
	pressure, density string // the altitudes in the formula
	height, warm      int    // the parents with altitude and temperature, -1 for none
	dense             bool   // the altitude is a density altitude
}

// stationOf finds the air that the basis of a figure states, and adds its figures to
// the parents.
func stationOf(f *Figure, parents *[]*Figure) (*station, *refused) {
	s := &station{standard: map[string]air.Standard{"modern": air.Modern, "period": air.Period}[f.Basis.Atmosphere], pressure: "0", height: -1, warm: -1}
	table := f.Series.Table.Name
	if s.standard == 0 {
		return nil, refuse("write atmosphere: modern or atmosphere: period in the basis of table "+table, "its basis does not state the standard atmosphere")
	}
	add := func(d *Datum) int {
		row := f.Row
		if d.Cell.ID.Row == extract.Given {
			row = nil
		}
		*parents = append(*parents, &Figure{f.Series, row, d})
		return len(*parents) - 1
	}
	switch ref := f.Basis.Altitude; ref {
	case "":
		return nil, refuse("write altitude: sea-level, column KEY or given KEY in the basis of table "+table, "its basis does not state the altitude")
	case "sea-level":
	default:
		d := f.Series.Ref(f.Row, ref)
		if d == nil || d.Quantity == nil || d.Quantity.Name != "altitude" {
			return nil, refuse("", "the altitude (%s) has no figure here", ref)
		}
		switch d.Basis.AltitudeKind {
		case "pressure":
		case "density":
			s.dense = true
		default:
			return nil, refuse("where the source says it, write altitude_kind: pressure or altitude_kind: density in the basis of that column",
				"the altitude (%s) is one of kind %q, which tells neither pressure nor density of the air", ref, d.Basis.AltitudeKind)
		}
		s.height = add(d)
		s.pressure = fmt.Sprintf("{%d}", s.height)
	}
	s.density = s.pressure
	if ref := f.Basis.Temperature; ref != "" && !s.dense {
		d := f.Series.Ref(f.Row, ref)
		if d == nil || d.Quantity == nil || d.Quantity.Name != "air temperature" {
			return nil, refuse("", "the temperature of the air (%s) has no figure here", ref)
		}
		s.warm = add(d)
		s.density = fmt.Sprintf("density_altitude(%s, {%d}, %s)", s.pressure, s.warm, f.Basis.Atmosphere)
	}
	return s, nil
}

// densityAltitude works the altitude out that the density has in the standard.
func (s *station) densityAltitude(p []*big.Rat) (float64, error) {
	h := s.pressureAltitude(p)
	if s.warm < 0 {
		return h, nil
	}
	t, _ := p[s.warm].Float64()
	return s.standard.DensityAltitude(h, t)
}

// pressureAltitude is the altitude as printed, which is a density altitude where dense.
func (s *station) pressureAltitude(p []*big.Rat) float64 {
	if s.height < 0 {
		return 0
	}
	h, _ := p[s.height].Float64()
	return h
}

// aloft goes on between CAS, EAS and TAS, up or down. Compressibility depends on the
// pressure alone, and what turns an EAS into a TAS on the density alone.
func aloft(f *Figure, x *expression, kind, to air.Kind) (*expression, *refused) {
	parents := slices.Clone(x.parents)
	s, no := stationOf(f, &parents)
	if no != nil {
		return nil, no
	}
	if s.dense && (kind == air.CAS || to == air.CAS) {
		return nil, refuse("name a column of pressure altitudes as the altitude, or ask for EAS or TAS of an EAS or a TAS",
			"the step between CAS and EAS depends on the pressure of the air, and the altitude (%s) is a density altitude", f.Basis.Altitude)
	}
	type step struct {
		name    string
		density bool
		convert func(float64, air.State) (float64, error)
	}
	var steps []step
	switch {
	case kind == air.CAS:
		steps = append(steps, step{"EAS", false, air.CASToEAS})
	case kind == air.TAS:
		steps = append(steps, step{"EAS_of_TAS", true, air.TASToEAS})
	}
	switch {
	case to == air.TAS:
		steps = append(steps, step{"TAS", true, air.EASToTAS})
	case to == air.CAS:
		steps = append(steps, step{"CAS_of_EAS", false, air.EASToCAS})
	}
	formula := x.formula
	for _, t := range steps {
		height := s.pressure
		if t.density {
			height = s.density
		}
		formula = fmt.Sprintf("%s(%s, %s, %s)", t.name, formula, height, f.Basis.Atmosphere)
	}
	before := x.value
	return &expression{parents: parents, formula: formula, value: func(p []*big.Rat) (*big.Rat, error) {
		speed, err := before(p)
		if err != nil {
			return nil, err
		}
		at, _ := speed.Float64()
		for _, t := range steps {
			h := s.pressureAltitude(p)
			if t.density {
				if h, err = s.densityAltitude(p); err != nil {
					return nil, err
				}
			}
			state, err := s.standard.At(h)
			if err != nil {
				return nil, err
			}
			if at, err = t.convert(at, state); err != nil {
				return nil, err
			}
		}
		return rational(at, "speed")
	}}, nil
}

func rational(x float64, what string) (*big.Rat, error) {
	r := new(big.Rat).SetFloat64(x)
	if r == nil {
		return nil, fmt.Errorf("the %s comes to no number", what)
	}
	return r, nil
}

// altitude builds the density altitude of a pressure altitude and the temperature of
// the air.
func (v *deriver) altitude(f *Figure) (*expression, *refused) {
	table := f.Series.Table.Name
	if kind := f.Basis.AltitudeKind; kind != "pressure" {
		return nil, refuse("where the source says it, write altitude_kind: pressure in the basis of that column", "it is an altitude of kind %q, and a density altitude follows from a pressure altitude", kind)
	}
	standard := map[string]air.Standard{"modern": air.Modern, "period": air.Period}[f.Basis.Atmosphere]
	if standard == 0 {
		return nil, refuse("write atmosphere: modern or atmosphere: period in the basis of table "+table, "its basis does not state the standard atmosphere")
	}
	if f.Basis.Temperature == "" {
		return nil, refuse("write temperature: column KEY or given KEY in the basis of table "+table, "its basis does not state the temperature of the air")
	}
	d := f.Series.Ref(f.Row, f.Basis.Temperature)
	if d == nil || d.Quantity == nil || d.Quantity.Name != "air temperature" {
		return nil, refuse("", "the temperature of the air (%s) has no figure here", f.Basis.Temperature)
	}
	row := f.Row
	if d.Cell.ID.Row == extract.Given {
		row = nil
	}
	return &expression{parents: []*Figure{f, {f.Series, row, d}}, formula: fmt.Sprintf("density_altitude({0}, {1}, %s)", f.Basis.Atmosphere),
		value: func(p []*big.Rat) (*big.Rat, error) {
			h, _ := p[0].Float64()
			t, _ := p[1].Float64()
			at, err := standard.DensityAltitude(h, t)
			if err != nil {
				return nil, err
			}
			return rational(at, "altitude")
		}}, nil
}

// node is one row of a table of position errors.
type node struct{ indicated, other *Figure }

// calibrated is the calibrated airspeed of a row: that of its column, or the
// indicated one with the correction added or the error taken off.
func (n node) calibrated() *big.Rat {
	switch n.sign() {
	case "+":
		return new(big.Rat).Add(n.indicated.Value.Rat(), n.other.Value.Rat())
	case "-":
		return new(big.Rat).Sub(n.indicated.Value.Rat(), n.other.Value.Rat())
	}
	return n.other.Value.Rat()
}

// sign is how the other figure stands to the indicated airspeed in a formula: "+" for
// a correction that is added, "-" for an error, "" for a calibrated airspeed.
func (n node) sign() string {
	if n.other.Quantity.Name != "airspeed correction" {
		return ""
	}
	return map[string]string{"added": "+", "indicated-minus-true": "-"}[n.other.Basis.CorrectionSign]
}

// table gathers the rows of the table of position errors.
func (v *deriver) table(pe *extract.PositionError) ([]node, *refused) {
	key, wanted := pe.Calibrated, "CAS"
	if pe.Correction != "" {
		key, wanted = pe.Correction, "airspeed correction"
	}
	var nodes []node
	for i := range v.record {
		in := &v.record[i]
		if in.Row == nil || in.Series.Table.Name != pe.Table || in.Cell.ID.Column != pe.Indicated {
			continue
		}
		if kind, err := airspeedKind(in.Basis); err != nil || kind != air.IAS || !in.Quantity.spoken(needAirspeed) {
			return nil, refuse("state airspeed_kind: IAS in the basis of that column", "column %s of the table of position errors %s holds no IAS", pe.Indicated, pe.Table)
		}
		for k := range v.record {
			o := &v.record[k]
			if o.Series != in.Series || o.Row != in.Row || o.Cell.ID.Column != key {
				continue
			}
			kind, err := airspeedKind(o.Basis)
			if pe.Correction == "" && (err != nil || kind != air.CAS || !o.Quantity.spoken(needAirspeed)) || pe.Correction != "" && o.Quantity.Name != wanted {
				return nil, refuse("state it in table "+pe.Table, "column %s of the table of position errors %s holds no %s", key, pe.Table, wanted)
			}
			if o.Config.Key() != in.Config.Key() {
				return nil, refuse("state the configuration for the whole row in table "+pe.Table, "row %s of the table of position errors %s has two configurations: %s, and %s",
					in.Row.Key, pe.Table, in.Config.words(), o.Config.words())
			}
			n := node{in, o}
			if pe.Correction != "" && n.sign() == "" {
				return nil, refuse("write "+needCorrectionSign.name+": "+needCorrectionSign.write, "column %s of the table of position errors %s does not state its correction_sign", key, pe.Table)
			}
			nodes = append(nodes, n)
			if first := nodes[0]; first.sign() != n.sign() {
				return nil, refuse("state one correction_sign for the whole column", "rows %s and %s of the table of position errors %s differ in their correction_sign", first.indicated.Row.Key, in.Row.Key, pe.Table)
			}
		}
	}
	if len(nodes) == 0 {
		return nil, refuse("", "the table of position errors %s has no row with both %s and %s", pe.Table, pe.Indicated, key)
	}
	return nodes, nil
}

// fitting lists the rows of the table of position errors that hold for a figure, by
// rising indicated airspeed.
func (v *deriver) fitting(f *Figure) ([]node, *refused) {
	pe := v.ask.PositionError
	if v.nodes == nil && v.none == nil {
		v.nodes, v.none = v.table(pe)
	}
	if v.none != nil {
		return nil, v.none
	}
	nodes := v.nodes
	if what := f.Config.unstated(); what != "" {
		return nil, refuse("write "+what+" in the basis of table "+f.Series.Table.Name, "the position error depends on flap and gear, and the figure's basis does not state its %s", what)
	}
	var fit []node
	var others []string
	for _, n := range nodes {
		if what := n.indicated.Config.unstated(); what != "" {
			return nil, refuse("write "+what+" in the basis of table "+pe.Table, "the position error depends on flap and gear, and row %s of %s does not state its %s", n.indicated.Row.Key, pe.Table, what)
		}
		if n.indicated.Config.suits(f.Config) {
			fit = append(fit, n)
		} else if w := n.indicated.Config.words(); !slices.Contains(others, w) {
			others = append(others, w)
		}
	}
	if len(fit) == 0 {
		return nil, refuse("name a table of position errors for this configuration", "it is measured with %s, and the table of position errors %s is for %s", f.Config.words(), pe.Table, strings.Join(others, "; for "))
	}
	kind, _ := airspeedKind(f.Basis)
	for _, n := range fit {
		if a, b := f.Basis.Article, n.indicated.Basis.Article; a != b {
			return nil, refuse("state article: in both tables' bases", "it is of an article of kind %q, and row %s of %s of %q", a, n.indicated.Row.Key, pe.Table, b)
		}
		if a, b := meaningWords(f.Basis), meaningWords(n.indicated.Basis); kind == air.IAS && a != b {
			return nil, refuse("where both mean the same, write the same words in both", "its source calls indicated %q, and row %s of %s %q", f.Basis.AirspeedMeaning, n.indicated.Row.Key, pe.Table, n.indicated.Basis.AirspeedMeaning)
		}
		if a, b := f.Series.Ref(f.Row, f.Basis.Weight), n.indicated.Series.Ref(n.indicated.Row, n.indicated.Basis.Weight); a != nil && b != nil && apart(a, b) {
			return nil, refuse("name a table of position errors for this weight", "it is at the weight %s %s, and row %s of %s at %s %s; the position error depends on the lift coefficient",
				a.Cell.Text, a.Unit.Name, n.indicated.Row.Key, pe.Table, b.Cell.Text, b.Unit.Name)
		}
	}
	slices.SortStableFunc(fit, func(a, b node) int { return a.indicated.Value.Cmp(b.indicated.Value) })
	for i := 1; i < len(fit); i++ {
		if a, b := fit[i-1].indicated, fit[i].indicated; a.Value.Cmp(b.Value) == 0 {
			return nil, refuse("withhold one, or state what tells them apart in the configuration", "rows %s and %s of %s give two position errors at %s", a.Row.Key, b.Row.Key, pe.Table, a.Cell.Text)
		}
	}
	if len(fit) == 1 {
		return nil, refuse("", "the table of position errors %s has one row for %s, and two at least make a line", pe.Table, f.Config.words())
	}
	return fit, nil
}

// calibrate builds the way from an indicated to a calibrated airspeed: a straight
// line between the two neighbouring rows of the table of position errors,
//
//	t = (V_I - V_I0)/(V_I1 - V_I0), V_C = V_C0 + t (V_C1 - V_C0)
//	or, with corrections that are added, V_C = V_I + D_0 + t (D_1 - D_0)
//	or, with errors (indicated less true), V_C = V_I - (E_0 + t (E_1 - E_0))
func (v *deriver) calibrate(f *Figure) (*expression, *refused) {
	fit, no := v.fitting(f)
	if no != nil {
		return nil, no
	}
	first, last := fit[0].indicated, fit[len(fit)-1].indicated
	if f.Value.Cmp(first.Value) < 0 || f.Value.Cmp(last.Value) > 0 {
		return nil, refuse("nothing is taken beyond the ends of the table", "the table of position errors %s goes from %s to %s %s for %s", v.ask.PositionError.Table, first.Cell.Text, last.Cell.Text, last.Unit.Name, f.Config.words())
	}
	i := 0
	for i < len(fit)-2 && f.Value.Cmp(fit[i+1].indicated.Value) >= 0 {
		i++
	}
	return between(f, fit[i], fit[i+1]), nil
}

// places finds where each of the figures stands among the parents, and adds those
// that are not there. A figure that is itself one of the rows' stands in the formula once.
func (x *expression) places(figures ...*Figure) []int {
	at := make([]int, len(figures))
	for k, p := range figures {
		i := slices.IndexFunc(x.parents, func(have *Figure) bool { return have.Datum == p.Datum })
		if i < 0 {
			x.parents, i = append(x.parents, p), len(x.parents)
		}
		at[k] = i
	}
	return at
}

// between is the straight line between two rows.
func between(f *Figure, n0, n1 node) *expression {
	x := &expression{parents: []*Figure{f}}
	at := x.places(n0.indicated, n1.indicated, n0.other, n1.other)
	i0, i1, o0, o1 := at[0], at[1], at[2], at[3]
	sign := n0.sign()
	x.formula = fmt.Sprintf("{%d} + ({%d} - {%d}) * ({0} - {%d}) / ({%d} - {%d})", o0, o1, o0, i0, i1, i0)
	switch sign {
	case "+":
		x.formula = "{0} + " + x.formula
	case "-":
		x.formula = "{0} - (" + x.formula + ")"
	}
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		run := new(big.Rat).Sub(p[i1], p[i0])
		if run.Sign() <= 0 {
			return nil, fmt.Errorf("two rows of the table of position errors fall together, within their half-widths")
		}
		r := new(big.Rat).Sub(p[o1], p[o0])
		r.Mul(r, new(big.Rat).Sub(p[0], p[i0]))
		r.Quo(r, run).Add(r, p[o0])
		switch sign {
		case "+":
			r.Add(p[0], r)
		case "-":
			r.Sub(p[0], r)
		}
		return r, nil
	}
	return x
}

// indicate is the inverse of calibrate: from a calibrated airspeed back to the
// indicated one on the same line,
//
//	V_I = V_I0 + (V_I1 - V_I0)(V_C - V_C0)/(V_C1 - V_C0)
//
// with V_C = V_I + D or V_I - E where the table has corrections or errors. It is
// refused where the calibrated airspeeds of the table do not rise from row to row with
// the indicated ones: one of them would then stand for several.
func (v *deriver) indicate(f *Figure, before *expression) (*expression, *refused) {
	fit, no := v.fitting(f)
	if no != nil {
		return nil, no
	}
	pe := v.ask.PositionError
	for i := 1; i < len(fit); i++ {
		a, b := fit[i-1], fit[i]
		if a.calibrated().Cmp(b.calibrated()) >= 0 {
			return nil, refuse("withhold the row that is wrong, or name a table that can be turned round",
				"the calibrated airspeeds of the table of position errors %s do not rise from row %s to row %s, so no indicated airspeed follows from them", pe.Table, a.indicated.Row.Key, b.indicated.Row.Key)
		}
		if meaningWords(a.indicated.Basis) != meaningWords(b.indicated.Basis) {
			return nil, refuse("where both mean the same, write the same words in both", "rows %s and %s of %s differ in what they call indicated", a.indicated.Row.Key, b.indicated.Row.Key, pe.Table)
		}
	}
	values := make([]*big.Rat, len(before.parents))
	for i, p := range before.parents {
		values[i] = p.Value.Rat()
	}
	calibrated, err := before.value(values)
	if err != nil {
		return nil, refuse("", "%v", err)
	}
	first, last := fit[0], fit[len(fit)-1]
	if calibrated.Cmp(first.calibrated()) < 0 || calibrated.Cmp(last.calibrated()) > 0 {
		return nil, refuse("nothing is taken beyond the ends of the table", "the table of position errors %s goes from %s to %s %s indicated for %s, and the figure is beyond", pe.Table,
			first.indicated.Cell.Text, last.indicated.Cell.Text, last.indicated.Unit.Name, f.Config.words())
	}
	i := 0
	for i < len(fit)-2 && calibrated.Cmp(fit[i+1].calibrated()) >= 0 {
		i++
	}
	v.meaning = first.indicated.Basis.AirspeedMeaning
	n0, n1 := fit[i], fit[i+1]
	x := &expression{parents: slices.Clone(before.parents)}
	at := x.places(n0.indicated, n1.indicated, n0.other, n1.other)
	i0, i1, o0, o1 := at[0], at[1], at[2], at[3]
	c0, c1 := fmt.Sprintf("{%d}", o0), fmt.Sprintf("{%d}", o1)
	sign := n0.sign()
	if sign != "" {
		c0, c1 = fmt.Sprintf("({%d} %s {%d})", i0, sign, o0), fmt.Sprintf("({%d} %s {%d})", i1, sign, o1)
	}
	x.formula = fmt.Sprintf("{%d} + ({%d} - {%d}) * (%s - %s) / (%s - %s)", i0, i1, i0, before.formula, c0, c1, c0)
	of := func(p []*big.Rat, i, o int) *big.Rat {
		switch sign {
		case "+":
			return new(big.Rat).Add(p[i], p[o])
		case "-":
			return new(big.Rat).Sub(p[i], p[o])
		}
		return p[o]
	}
	x.value = func(p []*big.Rat) (*big.Rat, error) {
		cas, err := before.value(p)
		if err != nil {
			return nil, err
		}
		low := of(p, i0, o0)
		rise := new(big.Rat).Sub(of(p, i1, o1), low)
		if rise.Sign() <= 0 {
			return nil, fmt.Errorf("two rows of the table of position errors fall together, within their half-widths")
		}
		r := new(big.Rat).Sub(p[i1], p[i0])
		r.Mul(r, new(big.Rat).Sub(cas, low))
		return r.Quo(r, rise).Add(r, p[i0]), nil
	}
	return x, nil
}
