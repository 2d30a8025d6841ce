// Package publish is the gate between a study and an edition: it refuses while a
// blocking finding has no ruling, and otherwise turns series, findings and rulings
// into the published form of package datasets.
package publish

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"windtally/datasets"
	"windtally/extract"
	"windtally/normalize"
	"windtally/normalize/numeral"
	"windtally/validate"

	"github.com/Masterminds/semver/v3"
)

// Caution goes with every edition.
const Caution = "The data serve study and simulation. They are not for flight planning or for the operation of a real aircraft: the approved flight manual of the individual aircraft and local rules govern, and licensed practice decides."

// RefusedError says that blocking findings are open.
type RefusedError struct {
	Blocking []*validate.Finding
}

func (e *RefusedError) Error() string {
	return fmt.Sprintf("blocking findings without a ruling: %d; nothing was published\nhint: windtally findings lists them, windtally rule settles them", len(e.Blocking))
}

// Study publishes the study as editions/<version> and returns the edition and its
// folder. An empty version takes the least step from the edition before.
func Study(r *validate.Report, version string) (*datasets.Edition, string, error) {
	if b := r.Blocking(); len(b) > 0 {
		return nil, "", &RefusedError{b}
	}
	folder := filepath.Join(r.Study.Dir, "editions")
	previous, before, err := newest(folder)
	if err != nil {
		return nil, "", err
	}
	e := Edition(r)
	if len(e.Values) == 0 {
		return nil, "", fmt.Errorf("no figure of the study is published: no ready table with a reading is in a subject's record\nhint: write subjects/*.yaml, and see windtally findings")
	}
	if before != nil {
		e.Previous = previous
		e.Changes = datasets.Compare(before, e)
		// A version that only repeats the edition before would be a second name for
		// the same data.
		if e.Changes.Least() == "" {
			return nil, "", fmt.Errorf("nothing changed since edition %s; nothing was published", previous)
		}
	}
	if version == "" {
		if version, err = next(previous, e.Changes.Least()); err != nil {
			return nil, "", err
		}
	}
	e.Version = version
	if err := datasets.CheckVersion(previous, version, e.Changes); err != nil {
		return nil, "", err
	}
	dir := filepath.Join(folder, version)
	if err := datasets.Write(dir, e); err != nil {
		return nil, "", err
	}
	return e, dir, nil
}

// newest loads the edition with the highest version, nil where there is none.
func newest(folder string) (string, *datasets.Edition, error) {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", nil, err
	}
	var best *semver.Version
	for _, entry := range entries {
		if v, err := semver.StrictNewVersion(entry.Name()); err == nil && entry.IsDir() && (best == nil || v.GreaterThan(best)) {
			best = v
		}
	}
	if best == nil {
		return "", nil, nil
	}
	e, err := datasets.Load(filepath.Join(folder, best.Original()))
	if err != nil {
		return "", nil, fmt.Errorf("the edition before, %s, does not load: %w", best.Original(), err)
	}
	return best.Original(), e, nil
}

func next(previous string, step datasets.Step) (string, error) {
	if previous == "" {
		return "0.1.0", nil
	}
	v, err := semver.StrictNewVersion(previous)
	if err != nil {
		return "", err
	}
	switch step {
	case datasets.Major:
		up := v.IncMajor()
		return up.String(), nil
	case datasets.Minor:
		up := v.IncMinor()
		return up.String(), nil
	}
	up := v.IncPatch()
	return up.String(), nil
}

// id is a letter and a hash of what names the record, never of a value.
func id(letter string, parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\n")))
	return letter + hex.EncodeToString(sum[:6])
}

type builder struct {
	r       *validate.Report
	e       *datasets.Edition
	values  map[string]bool // by value id
	configs map[string]int  // index by configuration id
	conds   map[string]bool
	sources map[string]bool
	byCell  map[string][]string  // cell id -> value ids
	follow  []*normalize.Derived // what e.Derived was made from, one for one
}

// Edition gathers the published records of a study. It does not judge; Study does.
func Edition(r *validate.Report) *datasets.Edition { return build(r).e }

func build(r *validate.Report) *builder {
	set := r.Study.Settings
	created := validate.Newest(r.Rulings)
	description := "Figures of printed reports, each with its place in the print, its half-width and how it was checked."
	if created.IsZero() {
		// A study that nobody ruled on has no time of its own, and the clock would
		// give the same data other bytes.
		created = time.Unix(0, 0)
		description += " Nobody has ruled on any figure yet, so that the edition bears no date of its own: created stands at 1970."
	}
	b := &builder{r: r, values: map[string]bool{}, configs: map[string]int{}, conds: map[string]bool{}, sources: map[string]bool{}, byCell: map[string][]string{}}
	b.e = &datasets.Edition{
		Name: set.Name, Title: set.Title, Created: created.UTC().Format(time.RFC3339), Format: datasets.Format,
		Description: description,
		Licence:     licence(set.Licence), Caution: Caution,
	}
	for _, p := range set.People {
		b.e.Contributors = append(b.e.Contributors, datasets.Contributor{Title: p.Name, Roles: []string{"curator"}})
	}
	for i := range r.Records {
		b.record(&r.Records[i])
	}
	for _, src := range r.Study.Sources {
		if !b.sources[src.Name] {
			continue
		}
		first := ""
		if src.FirstPage > 0 {
			first = strconv.Itoa(src.FirstPage)
		}
		b.e.Sources = append(b.e.Sources, datasets.Source{SourceID: src.Name, Designation: src.Designation, Title: src.Title,
			Authors: strings.Join(src.Authors, "; "), Year: src.Year, Publisher: src.Publisher, Rights: src.Rights, SHA256: src.SHA256,
			Pages: max(src.Pages, 1), FirstPage: first, URL: src.URL})
	}
	b.reviews()
	b.findings()
	for _, t := range set.Tolerances {
		b.e.Tolerances = append(b.e.Tolerances, datasets.Tolerance{Check: t.Check, Name: t.Name, Value: datasets.Number(t.Value), Reason: t.Reason})
	}
	return b
}

func licence(name string) datasets.Licence {
	if name == "CC0-1.0" {
		return datasets.Licence{Name: name, Path: "https://creativecommons.org/publicdomain/zero/1.0/", Title: "Creative Commons Zero 1.0 Universal"}
	}
	return datasets.Licence{Name: name, Title: name}
}

// published reports whether a figure may go out.
func published(d *normalize.Datum) bool {
	return d != nil && d.Quantity != nil && !d.Refused && d.Value.Known() && d.Cell.State != extract.Withheld && !d.Cell.State.Waits()
}

func (b *builder) record(rec *validate.Record) {
	sub := rec.Subject
	before := len(b.e.Values)
	preferred := map[string]string{}
	for _, p := range sub.Prefer {
		preferred[p.Quantity] = p.Source
	}
	for i := range rec.Entries {
		if published(rec.Entries[i].Datum) {
			b.value(rec, &rec.Entries[i])
		}
	}
	if len(b.e.Values) == before {
		return
	}
	b.e.Subjects = append(b.e.Subjects, datasets.Subject{SubjectID: sub.Name, Kind: sub.Kind, Title: sub.Title, Note: sub.Note})

	var polars, increments rows
	for i := range rec.Entries {
		e := &rec.Entries[i]
		if !published(e.Datum) {
			continue
		}
		switch e.Quantity.Group {
		case normalize.Polar:
			polars.add(e)
		case normalize.Increment:
			increments.add(e)
		case normalize.Stall:
			b.stall(rec, e)
		case normalize.Limit:
			b.limit(rec, e)
		case normalize.Power:
			b.power(rec, e)
		case normalize.Characteristic:
			if p := preferred[e.Quantity.Name]; p != "" && p != e.Source() && hasFrom(rec, e, p) {
				continue // the preferred source speaks; this figure stays in values
			}
			b.characteristic(rec, e)
		}
	}
	b.derived(rec)
	points := map[string]int{}
	for _, row := range polars {
		b.polars(rec, row, points)
	}
	for _, row := range increments {
		for i, entries := range pointsOf(row) {
			b.increment(rec, entries, i)
		}
	}
}

// rows is the entries of a record row by row, in print order.
type rows [][]*validate.Entry

// add puts an entry to those of its row; a given figure stands in none.
func (r *rows) add(e *validate.Entry) {
	if e.Row == nil {
		return
	}
	for i := len(*r) - 1; i >= 0; i-- {
		if first := (*r)[i][0]; first.Series == e.Series && first.Row == e.Row {
			(*r)[i] = append((*r)[i], e)
			return
		}
	}
	*r = append(*r, []*validate.Entry{e})
}

// pointsOf sorts the entries of one row into the points that they make: those
// measured in one state belong together. Where one quantity is there twice in a
// state (total and profile drag), each makes a point with the others; where two
// quantities are, nothing says which belongs to which, and they make none.
func pointsOf(row []*validate.Entry) [][]*validate.Entry {
	var states [][]*validate.Entry
	for _, e := range row {
		i := slices.IndexFunc(states, func(s []*validate.Entry) bool {
			return normalize.SameState(s[0].Datum, e.Datum) && s[0].Basis.Increment == e.Basis.Increment
		})
		if i < 0 {
			states = append(states, nil)
			i = len(states) - 1
		}
		states[i] = append(states[i], e)
	}
	var points [][]*validate.Entry
	for _, state := range states {
		count := map[string]int{}
		for _, e := range state {
			count[e.Quantity.Name]++
		}
		twice := ""
		several := false
		for _, e := range state {
			if name := e.Quantity.Name; count[name] > 1 {
				several = several || twice != "" && twice != name
				twice = name
			}
		}
		if several {
			continue
		}
		if twice == "" {
			points = append(points, state)
			continue
		}
		for _, one := range state {
			if one.Quantity.Name != twice {
				continue
			}
			var point []*validate.Entry
			for _, e := range state {
				if e == one || e.Quantity.Name != twice {
					point = append(point, e)
				}
			}
			points = append(points, point)
		}
	}
	return points
}

// hasFrom reports whether the preferred source gives the same quantity in the same
// configuration and meaning: an empty weight does not speak for a gross weight.
func hasFrom(rec *validate.Record, e *validate.Entry, source string) bool {
	meaning := func(x extract.Basis) [9]string {
		return [...]string{x.Article, x.Fitted, x.ReferenceArea, x.Drag, x.AngleDatum, x.AspectRatioBasis, x.ReynoldsKind, x.WeightCondition, x.PowerRating}
	}
	return slices.ContainsFunc(rec.Entries, func(o validate.Entry) bool {
		return published(o.Datum) && o.Source() == source && o.Quantity.Name == e.Quantity.Name && o.Config.Key() == e.Config.Key() && meaning(o.Basis) == meaning(e.Basis)
	})
}

func configText(c normalize.Configuration) string {
	cell := ""
	if c.DeflectionCell != nil {
		cell = c.DeflectionCell.Cell.ID.String()
	}
	parts := []string{c.Flap, c.Deflection, cell, c.State, c.Slats, c.Gear, c.Propeller, c.Power, c.Trim}
	if c.DeflectionDatum != "" || c.DeflectionPlane != "" {
		parts = append(parts, c.DeflectionDatum, c.DeflectionPlane) // ids without them stay what they were
	}
	return strings.Join(parts, "\x1f")
}

func (b *builder) valueID(rec *validate.Record, d *normalize.Datum) string {
	// Subject, quantity, configuration and cell; never the value. The deflection is
	// itself a value, so only the cell that prints it takes part.
	c := d.Config
	if c.DeflectionCell != nil {
		c.Deflection = ""
	}
	return id("v", rec.Subject.Name, d.Quantity.Name, configText(c), d.Cell.ID.String())
}

// measured repeats a value where it is published for this subject.
func (b *builder) measured(rec *validate.Record, d *normalize.Datum) datasets.Measured {
	if !published(d) {
		return datasets.Measured{}
	}
	v := b.valueID(rec, d)
	if !b.values[v] {
		return datasets.Measured{}
	}
	return datasets.Measured{Value: number(d), HalfWidth: half(d), ValueID: v}
}

func number(d *normalize.Datum) datasets.Number {
	return plain(d.Number())
}

// plain is the one form of a number in an edition; -0.00 is 0.00.
func plain(d numeral.Decimal) datasets.Number {
	s := d.String()
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return datasets.Number(s)
}

func half(d *normalize.Datum) datasets.Number {
	return plain(d.HalfWidth())
}

func (b *builder) value(rec *validate.Record, e *validate.Entry) {
	d := e.Datum
	v := b.valueID(rec, d)
	if b.values[v] {
		return
	}
	b.values[v] = true
	t := e.Series.Table
	b.sources[t.Source] = true
	b.byCell[d.Cell.ID.String()] = append(b.byCell[d.Cell.ID.String()], v)
	place := b.place(t, d.Cell)
	out := datasets.Value{
		ValueID: v, SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, d), ConditionsID: b.conditions(rec, e.Series, e.Row, d),
		Quantity: d.Quantity.Name, Value: number(d), Unit: d.Quantity.Canonical, HalfWidth: half(d),
		Printed: d.Cell.Print, PrintedUnit: d.Unit.UCUM, SourceID: t.Source, Table: t.Name, Caption: safe(t.Caption),
		Page: place.Page, Row: d.Cell.ID.Row, Column: d.Cell.ID.Column, Sheet: place.Sheet, Ref: place.Ref, Line: place.Line,
		Readers: strings.Join(d.Cell.Readers(), " "), Checked: string(checked(d)), Formula: d.Formula,
	}
	if out.Readers == "" {
		out.Readers = "ruling" // a figure that only a person's ruling gives
	}
	if d.Numeral.Finite {
		out.Decimals = datasets.Integer(d.Numeral.Decimals)
	}
	if known, stated := d.PublishedAccuracy(); stated {
		out.Accuracy = plain(known)
	}
	if !place.Box.Empty() {
		two := func(v float64) datasets.Number { return datasets.Number(strconv.FormatFloat(v, 'f', 2, 64)) }
		out.X0, out.Y0, out.X1, out.Y1 = two(place.Box.X0), two(place.Box.Y0), two(place.Box.X1), two(place.Box.Y1)
	}
	if s := d.Cell.Settled; s != nil {
		out.RulingID = s.Ruling
		if s.State == extract.Emended {
			out.PrintEmended = s.Value
		}
	}
	b.e.Values = append(b.e.Values, out)
}

// place is where a figure stands. One that only a person's ruling gives stands on
// the page of its row, or of its table where that has one page.
func (b *builder) place(t *extract.Table, c *extract.Collated) extract.Place {
	place := c.Place()
	if place != (extract.Place{}) {
		return place
	}
	if g := b.r.Study.Registers[t.ID]; g != nil {
		for _, row := range g.Rows {
			if row.Key == c.ID.Row {
				place.Page = row.Page
			}
		}
	}
	if pages, err := extract.ParsePages(t.Pages); place.Page == 0 && err == nil && len(pages) == 1 {
		place.Page = pages[0]
	}
	return place
}

// checked is how a figure was checked. Of a ditto mark and the figure that it
// repeats the less certain one counts.
func checked(d *normalize.Datum) extract.State {
	order := []extract.State{extract.Unwitnessed, extract.Keyed, extract.Agreed, extract.Confirmed, extract.Reread, extract.Emended}
	if d.Above != nil && slices.Index(order, d.Above.State) < slices.Index(order, d.Cell.State) {
		return d.Above.State
	}
	return d.Cell.State
}

// safe keeps a text from the print from being taken for a formula.
func safe(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if text != "" && strings.ContainsRune("=+-@", rune(text[0])) {
		return "(" + text + ")"
	}
	return text
}

func (b *builder) configuration(rec *validate.Record, d *normalize.Datum) string {
	c := d.Config
	if c == (normalize.Configuration{}) {
		return ""
	}
	deflection := datasets.Measured{Value: datasets.Number(c.Deflection)}
	if at := c.DeflectionCell; at != nil {
		deflection = datasets.Measured{}
		if published(at) {
			b.later(rec, at)
			deflection = b.measured(rec, at)
		}
	}
	// One configuration a setting, wherever the setting is printed: the cell that
	// prints it is told once, by the smallest id.
	key := c
	key.DeflectionCell, key.Deflection = nil, plainZeros(string(deflection.Value))
	cid := id("c", rec.Subject.Name, configText(key))
	if i, known := b.configs[cid]; known {
		have := &b.e.Configurations[i].FlapDeflection
		if deflection.ValueID != "" && (have.ValueID == "" || deflection.ValueID < have.ValueID) {
			*have = deflection
		}
		return cid
	}
	flap := c.Flap
	if flap == "not-stated" {
		flap = ""
	}
	b.configs[cid] = len(b.e.Configurations)
	b.e.Configurations = append(b.e.Configurations, datasets.Configuration{ConfigurationID: cid, SubjectID: rec.Subject.Name, FlapType: flap,
		FlapDeflection: deflection, FlapDeflectionState: c.State, FlapDeflectionDatum: c.DeflectionDatum, FlapDeflectionPlane: c.DeflectionPlane, Slats: c.Slats, Gear: c.Gear, Propeller: c.Propeller, PowerState: c.Power, Trim: c.Trim})
	return cid
}

// plainZeros writes 15.0 as 15, so that one setting has one name.
func plainZeros(n string) string {
	if strings.Contains(n, ".") {
		n = strings.TrimSuffix(strings.TrimRight(n, "0"), ".")
	}
	return n
}

// later publishes the entry of a figure that another record refers to.
func (b *builder) later(rec *validate.Record, d *normalize.Datum) {
	for i := range rec.Entries {
		if rec.Entries[i].Datum == d {
			b.value(rec, &rec.Entries[i])
			return
		}
	}
}

// conditions is the part of a basis that bears on one quantity: a lift coefficient
// has no kind of drag.
func (b *builder) conditions(rec *validate.Record, s *normalize.Series, row *normalize.Row, data ...*normalize.Datum) string {
	var c datasets.Conditions
	var re, mach, thrust, altitude, temperature, gravity *normalize.Datum
	var notes []string
	for _, d := range data {
		x := d.Basis
		name := d.Quantity.Name
		set := func(dst *string, value string, when bool) {
			if when && value != "" && value != "not-stated" {
				*dst = value
			}
		}
		aero := d.Quantity.Aerodynamic()
		stall := d.Quantity.Group == normalize.Stall || name == "maximum lift coefficient" || name == "stalling angle"
		angle := name == "angle of attack" || name == "zero-lift angle" || name == "stalling angle"
		speed := d.Quantity.Canonical == "m/s"
		c.Article = rec.Subject.Kind
		set(&c.Article, x.Article, true)
		set(&c.Fitted, x.Fitted, true)
		// A ratio of coefficients is in no system of another kind.
		set(&c.CoefficientSystem, normalize.PublishedSystem(x), aero && !angle && (d.Quantity.Coefficient() || x.Coefficients == normalize.Absolute))
		set(&c.ReferenceArea, x.ReferenceArea, aero && !angle || name == "wing area" || name == "wing loading")
		set(&c.ReferenceChord, x.ReferenceChord, strings.Contains(name, "moment") || name == "Reynolds number" || name == "center-of-gravity position")
		set(&c.MomentCenter, x.MomentCenter, strings.Contains(name, "moment"))
		set(&c.MomentSign, normalize.PublishedSign(x), strings.Contains(name, "moment"))
		set(&c.AngleDatum, x.AngleDatum, angle || name == "angle of wing setting" || name == "angle of chord")
		set(&c.DragKind, x.Drag, strings.Contains(name, "drag"))
		set(&c.Walls, x.Walls, aero)
		set(&c.AspectRatioBasis, x.AspectRatioBasis, aero)
		set(&c.ReynoldsKind, x.ReynoldsKind, aero || name == "Reynolds number")
		set(&c.Surface, x.Surface, aero)
		if speed {
			if k, err := normalize.AirspeedKind(x.AirspeedKind); err == nil {
				c.AirspeedKind = k
			}
			set(&c.AirspeedDefinition, x.AirspeedMeaning, true)
		}
		set(&c.IncrementBasis, x.Increment, d.Quantity.Group == normalize.Increment)
		set(&c.StallDefinition, x.Stall, stall)
		set(&c.EntryRate, x.EntryRate, stall)
		if at := s.Ref(row, x.CenterOfGravity); at != nil && (aero || stall) {
			gravity = at
		} else if _, _, isRef := extract.CellRef(x.CenterOfGravity); !isRef {
			set(&c.CenterOfGravity, x.CenterOfGravity, aero || stall)
		}
		set(&c.LimitKind, x.Limit, limited(name))
		set(&c.WeightCondition, x.WeightCondition, strings.Contains(name, "weight") || name == "mass" || d.Quantity.Group == normalize.Stall || strings.Contains(name, "loading") || d.Quantity.Group == normalize.Limit)
		set(&c.PowerRating, x.PowerRating, d.Quantity.Group == normalize.Power || name == "power loading")
		set(&c.Atmosphere, x.Atmosphere, speed || name == "altitude")
		set(&c.AltitudeKind, x.AltitudeKind, name == "altitude")
		set(&c.CorrectionSign, x.CorrectionSign, name == "airspeed correction")
		if speed || name == "altitude" || d.Quantity.Group == normalize.Power {
			if at := s.Ref(row, x.Temperature); at != nil {
				temperature = at
			}
		}
		if x.Note != "" {
			notes = append(notes, x.Note)
		}
		if aero {
			// What one figure does not say does not take away what another does.
			if at := s.Ref(row, x.Reynolds); at != nil {
				re = at
			}
			if at := s.Ref(row, x.Mach); at != nil {
				mach = at
			}
			if at := s.Ref(row, x.Thrust); at != nil {
				thrust = at
			}
		}
		if x.Altitude != "" && (speed || d.Quantity.Group == normalize.Power) {
			altitude = s.Ref(row, x.Altitude)
			if x.Altitude == "sea-level" {
				c.Altitude = datasets.Measured{Value: "0"}
			}
		}
	}
	slices.Sort(notes)
	c.Note = safe(strings.Join(slices.Compact(notes), "; "))
	parts := []string{rec.Subject.Name}
	for _, ref := range []struct {
		d   *normalize.Datum
		dst *datasets.Measured
	}{{re, &c.Reynolds}, {mach, &c.Mach}, {altitude, &c.Altitude}, {thrust, &c.ThrustCoefficient}, {temperature, &c.Temperature}, {gravity, &c.GravityPosition}} {
		if ref.d == nil && (ref.dst == &c.ThrustCoefficient || ref.dst == &c.Temperature || ref.dst == &c.GravityPosition) {
			continue // ids of conditions without it stay what they were
		}
		if published(ref.d) && !slices.Contains(data, ref.d) {
			b.later(rec, ref.d)
			*ref.dst = b.measured(rec, ref.d)
		}
		parts = append(parts, ref.dst.ValueID, string(ref.dst.Value))
		if ref.dst.ValueID != "" {
			parts[len(parts)-1] = "" // an id is never of a value
		}
	}
	parts = append(parts, c.Article, c.Fitted, c.CoefficientSystem, c.ReferenceArea, c.ReferenceChord, c.MomentCenter, c.AngleDatum, c.DragKind, c.Walls,
		c.AspectRatioBasis, c.ReynoldsKind, c.Surface, c.AirspeedKind, c.AirspeedDefinition, c.IncrementBasis, c.StallDefinition, c.EntryRate, c.CenterOfGravity,
		c.LimitKind, c.WeightCondition, c.PowerRating, c.Atmosphere, c.Note)
	for _, later := range [][2]string{{"altitude", c.AltitudeKind}, {"correction", c.CorrectionSign}, {"moment", c.MomentSign}} {
		if later[1] != "" { // ids of conditions without it stay what they were
			parts = append(parts, later[0]+" "+later[1])
		}
	}
	c.ConditionsID = id("k", parts...)
	if !b.conds[c.ConditionsID] {
		b.conds[c.ConditionsID] = true
		b.e.Conditions = append(b.e.Conditions, c)
	}
	return c.ConditionsID
}

// polars makes the points of one row. The angle of attack is set for all that is
// measured in the row, unless its basis says otherwise.
func (b *builder) polars(rec *validate.Record, row []*validate.Entry, points map[string]int) {
	var angles, forces []*validate.Entry
	for _, e := range row {
		switch e.Quantity.Name {
		case "angle of attack":
			angles = append(angles, e)
		case "lift coefficient", "drag coefficient", "pitching-moment coefficient":
			forces = append(forces, e)
		}
	}
	for _, point := range pointsOf(forces) {
		var of []*validate.Entry
		for _, a := range angles {
			if angleOf(a, point[0]) {
				of = append(of, a)
			}
		}
		if len(of) == 1 {
			point = append(slices.Clone(point), of[0])
		}
		b.polar(rec, point, points)
	}
}

// angleOf reports whether nothing in the meaning of an angle keeps it from being
// that of a force in its row.
func angleOf(angle, force *validate.Entry) bool {
	fits := func(a, f string) bool { return a == "" || a == "not-stated" || a == f }
	x, y := angle.Basis, force.Basis
	return (angle.Config == normalize.Configuration{} || angle.Config.Key() == force.Config.Key()) && x.Article == y.Article && fits(x.Fitted, y.Fitted) &&
		fits(x.Walls, y.Walls) && fits(x.AspectRatioBasis, y.AspectRatioBasis) && fits(x.ReynoldsKind, y.ReynoldsKind) && fits(x.Reynolds, y.Reynolds) &&
		fits(x.Mach, y.Mach) && fits(x.Thrust, y.Thrust) && fits(x.Surface, y.Surface) && fits(x.CenterOfGravity, y.CenterOfGravity)
}

func (b *builder) polar(rec *validate.Record, entries []*validate.Entry, points map[string]int) {
	if len(entries) < 2 {
		return // a single coefficient is no point of a polar; it stays in values
	}
	first := entries[0]
	p := datasets.Polar{SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, first.Datum),
		ConditionsID: b.conditions(rec, first.Series, first.Row, dataOf(entries)...), SourceID: first.Series.Table.Source, Table: first.Series.Table.Name}
	for _, e := range entries {
		m := b.measured(rec, e.Datum)
		switch e.Quantity.Name {
		case "angle of attack":
			p.AngleOfAttack = m
		case "lift coefficient":
			p.LiftCoefficient = m
		case "drag coefficient":
			p.DragCoefficient = m
		case "pitching-moment coefficient":
			p.MomentCoefficient = m
		}
	}
	p.PolarID = id("p", rec.Subject.Name, first.Series.Table.ID, p.ConfigurationID, p.ConditionsID)
	points[p.PolarID]++
	p.Point = points[p.PolarID]
	b.e.Polars = append(b.e.Polars, p)
}

func dataOf(entries []*validate.Entry) []*normalize.Datum {
	data := make([]*normalize.Datum, len(entries))
	for i, e := range entries {
		data[i] = e.Datum
	}
	return data
}

func (b *builder) increment(rec *validate.Record, entries []*validate.Entry, ordinal int) {
	first := entries[0]
	out := datasets.FlapIncrement{SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, first.Datum),
		ConditionsID: b.conditions(rec, first.Series, first.Row, dataOf(entries)...)}
	for _, e := range entries {
		m := b.measured(rec, e.Datum)
		switch e.Quantity.Name {
		case "lift increment":
			out.LiftIncrement = m
		case "drag increment":
			out.DragIncrement = m
		case "pitching-moment increment":
			out.MomentIncrement = m
		}
	}
	switch first.Basis.Increment {
	case "constant-angle":
		out.AtAngleOfAttack = b.at(rec, first, "angle of attack")
	case "constant-lift":
		out.AtLiftCoefficient = b.at(rec, first, "lift coefficient")
	}
	out.IncrementID = id("i", rec.Subject.Name, first.Series.Table.ID, first.Row.Key, out.ConfigurationID, first.Basis.Increment, strconv.Itoa(ordinal))
	b.e.FlapIncrements = append(b.e.FlapIncrements, out)
}

// at is the figure of a quantity at which an entry is taken: that of its row, else
// the one given for the whole table; none where there are two.
func (b *builder) at(rec *validate.Record, of *validate.Entry, quantity string) datasets.Measured {
	for _, row := range []*normalize.Row{of.Row, nil} {
		var found []*validate.Entry
		for i := range rec.Entries {
			if e := &rec.Entries[i]; e.Series == of.Series && e.Row == row && e.Quantity.Name == quantity {
				found = append(found, e)
			}
		}
		switch len(found) {
		case 0:
		case 1:
			return b.measured(rec, found[0].Datum)
		default:
			return datasets.Measured{}
		}
	}
	return datasets.Measured{}
}

func (b *builder) stall(rec *validate.Record, e *validate.Entry) {
	kind, _ := normalize.AirspeedKind(e.Basis.AirspeedKind) // its needs were checked
	out := datasets.StallSpeed{StallSpeedID: id("s", b.valueID(rec, e.Datum)), SubjectID: rec.Subject.Name,
		ConfigurationID: b.configuration(rec, e.Datum), ConditionsID: b.conditions(rec, e.Series, e.Row, e.Datum),
		AirspeedKind: kind, Speed: b.measured(rec, e.Datum)}
	if w := e.Series.Ref(e.Row, e.Basis.Weight); w != nil {
		out.Weight = b.measured(rec, w)
	}
	if a := e.Series.Ref(e.Row, e.Basis.Altitude); a != nil {
		out.Altitude = b.measured(rec, a)
	} else if e.Basis.Altitude == "sea-level" {
		out.Altitude = datasets.Measured{Value: "0"}
	}
	out.LoadFactor = b.at(rec, e, "load factor in flight")
	out.Bank = b.at(rec, e, "bank angle")
	b.e.StallSpeeds = append(b.e.StallSpeeds, out)
}

func (b *builder) limit(rec *validate.Record, e *validate.Entry) {
	m := b.measured(rec, e.Datum)
	out := datasets.Limit{LimitID: id("l", m.ValueID), SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, e.Datum),
		ConditionsID: b.conditions(rec, e.Series, e.Row, e.Datum), Quantity: e.Quantity.Name, Value: m.Value, HalfWidth: m.HalfWidth,
		Unit: e.Quantity.Canonical, ValueID: m.ValueID}
	if e.Basis.Limit != "not-stated" && limited(e.Quantity.Name) {
		out.LimitKind = e.Basis.Limit
	}
	if e.Quantity.Canonical == "m/s" {
		out.AirspeedKind, _ = normalize.AirspeedKind(e.Basis.AirspeedKind)
	}
	if w := e.Series.Ref(e.Row, e.Basis.Weight); w != nil {
		out.Weight = b.measured(rec, w)
	}
	b.e.Limits = append(b.e.Limits, out)
}

func (b *builder) power(rec *validate.Record, e *validate.Entry) {
	out := datasets.Power{PowerID: id("w", b.valueID(rec, e.Datum)), SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, e.Datum),
		ConditionsID: b.conditions(rec, e.Series, e.Row, e.Datum), Power: b.measured(rec, e.Datum)}
	if e.Basis.PowerRating != "not-stated" {
		out.Rating = e.Basis.PowerRating
	}
	if a := e.Series.Ref(e.Row, e.Basis.Altitude); a != nil {
		out.Altitude = b.measured(rec, a)
	} else if e.Basis.Altitude == "sea-level" {
		out.Altitude = datasets.Measured{Value: "0"}
	}
	b.e.Power = append(b.e.Power, out)
}

func (b *builder) characteristic(rec *validate.Record, e *validate.Entry) {
	m := b.measured(rec, e.Datum)
	b.e.Characteristics = append(b.e.Characteristics, datasets.Characteristic{CharacteristicID: id("h", m.ValueID), SubjectID: rec.Subject.Name,
		ConfigurationID: b.configuration(rec, e.Datum), ConditionsID: b.conditions(rec, e.Series, e.Row, e.Datum), Quantity: e.Quantity.Name,
		Value: m.Value, HalfWidth: m.HalfWidth, Unit: e.Quantity.Canonical, ValueID: m.ValueID})
}

func (b *builder) person(initials string) string {
	for _, p := range b.r.Study.Settings.People {
		if p.Initials == initials {
			return p.Name
		}
	}
	return initials
}

func (b *builder) reviews() {
	for _, u := range b.r.Rulings {
		if u.Lifts() {
			u.Reason = "takes back the ruling that it supersedes, and decides nothing: " + u.Reason
		}
		b.e.Reviews = append(b.e.Reviews, datasets.Review{RulingID: u.ID, Supersedes: u.Supersedes, Target: u.Target, Decision: string(u.Decision),
			Value: u.Value, Reason: u.Reason, Who: b.person(u.Who), When: u.When.UTC().Format(time.RFC3339)})
	}
}

// unpublished are the findings that say what the study still lacks, not what an
// edition holds.
var unpublished = []string{"draft", "no-reading", "subject-table", "unclassified", "row-without-subject", "relation-undeclared"}

func (b *builder) findings() {
	for i := range b.r.Findings {
		f := &b.r.Findings[i]
		if slices.Contains(unpublished, f.Check) {
			continue
		}
		out := datasets.Finding{FindingID: f.ID, Check: f.Check, State: "open", Severity: string(f.Severity), Message: safe(f.Where + ": " + f.Message),
			Expected: safe(f.Expected)}
		if f.Ruling != nil {
			out.State, out.RulingID = "ruled", f.Ruling.ID
			if f.Ruling.Decision == validate.Withhold {
				out.State = "withheld"
			}
		}
		if f.Miss > 0 {
			out.Miss = datasets.Number(strconv.FormatFloat(f.Miss, 'f', 2, 64))
		}
		b.about(&out, f.Cells)
		b.e.Findings = append(b.e.Findings, out)
	}
	// A cell that a person withheld is said to be withheld, so that no reader takes
	// its absence for a gap in the print.
	for _, s := range b.r.Series {
		for _, row := range append(slices.Clone(s.Collation.Rows), extract.Given) {
			for _, column := range s.Table.KeysOf(row) {
				c := s.Collation.Cell(row, column)
				if c == nil || c.State != extract.Withheld || c.Settled == nil {
					continue
				}
				var u *validate.Ruling
				for k := range b.r.Rulings {
					if b.r.Rulings[k].ID == c.Settled.Ruling && b.r.Rulings[k].Target == c.ID.String() {
						u = &b.r.Rulings[k]
					}
				}
				if u == nil {
					continue // withheld through a finding, which says so itself
				}
				out := datasets.Finding{FindingID: id("f", "withheld", c.ID.String()), Check: "withheld", State: "withheld", Severity: "note",
					Message: safe(fmt.Sprintf("%s:%s:%s is withheld: %s", s.Table.Name, row, column, u.Reason)), RulingID: u.ID}
				b.about(&out, []extract.CellID{c.ID})
				b.e.Findings = append(b.e.Findings, out)
			}
		}
	}
}

func (b *builder) about(f *datasets.Finding, cells []extract.CellID) {
	var texts, values []string
	for _, c := range cells {
		texts = append(texts, c.String())
		values = append(values, b.byCell[c.String()]...)
	}
	slices.Sort(texts)
	slices.Sort(values)
	f.Cells, f.ValueIDs = strings.Join(slices.Compact(texts), " "), strings.Join(slices.Compact(values), " ")
}

// limited reports whether a quantity is one of a limit, proof or ultimate kind.
func limited(quantity string) bool {
	return quantity == "limit speed" || strings.Contains(quantity, "load factor")
}
