package extract

import (
	"fmt"
	"slices"
	"strings"
)

// Schema is the version of every file that people write.
const Schema = 1

// Settings is study.yaml: what the study is and what it asks of its numbers.
type Settings struct {
	Schema int    `yaml:"schema" validate:"eq=1"`
	Name   string `yaml:"name" validate:"required,slug"`
	Title  string `yaml:"title" validate:"required,plain"`
	// People lists who works on the study; the initials sign readings and rulings.
	People  []Person `yaml:"people" validate:"required,min=1,unique=Initials,dive"`
	Licence string   `yaml:"licence" validate:"required,plain"`
	// Eyes is how many independent readings or persons a value needs before it may
	// be published: 0 publishes the state unwitnessed with the number.
	Eyes       int         `yaml:"eyes" validate:"min=0,max=2"`
	Tolerances []Tolerance `yaml:"tolerances,omitempty" validate:"dive"`
}

// Person is somebody who keys, rules or reviews.
type Person struct {
	Initials string `yaml:"initials" validate:"required,initials"`
	Name     string `yaml:"name" validate:"required,plain"`
}

// Tolerance is a bound that this study sets otherwise than the check's own, and why.
type Tolerance struct {
	Check  string `yaml:"check" validate:"required"`
	Name   string `yaml:"name" validate:"required"`
	Value  string `yaml:"value" validate:"required"`
	Reason string `yaml:"reason" validate:"required,plain"`
}

// Source is sources/<name>.yaml: the citation of one report or manual.
type Source struct {
	Schema      int      `yaml:"schema" validate:"eq=1"`
	File        string   `yaml:"file" validate:"required"`
	Designation string   `yaml:"designation" validate:"required,plain"`
	Title       string   `yaml:"title" validate:"required,plain"`
	Authors     []string `yaml:"authors,omitempty" validate:"dive,plain"`
	Year        int      `yaml:"year" validate:"required,min=1880,max=2100"`
	Publisher   string   `yaml:"publisher,omitempty" validate:"omitempty,plain"`
	Rights      string   `yaml:"rights" validate:"required,plain"`
	URL         string   `yaml:"url,omitempty" validate:"omitempty,plain"`
	SHA256      string   `yaml:"sha256" validate:"required,len=64,hexadecimal"`
	Pages       int      `yaml:"pages" validate:"min=0"`
	// FirstPage is the printed number that page 1 of the file bears; 0 where it
	// bears none.
	FirstPage int `yaml:"first_page" validate:"min=0"`

	Name string `yaml:"-"`
}

// Table is tables/<name>.yaml: where one printed table stands and what it means.
type Table struct {
	Schema int `yaml:"schema" validate:"eq=1"`
	// ID names the table for life; the file's name may change.
	ID     string `yaml:"id" validate:"required,tableid"`
	Status string `yaml:"status" validate:"oneof=draft ready"`
	Source string `yaml:"source" validate:"required"`
	Pages  string `yaml:"pages,omitempty"`
	// Regions is one rectangle a page, in the seen frame: [x0, y0, x1, y1].
	Regions []Region `yaml:"regions,omitempty" validate:"dive"`
	Sheet   string   `yaml:"sheet,omitempty"`
	Range   string   `yaml:"range,omitempty"`
	Number  string   `yaml:"number,omitempty"`
	Caption string   `yaml:"caption,omitempty"`
	// Orientation is how the table stands on the seen page.
	Orientation string `yaml:"orientation,omitempty" validate:"omitempty,oneof=upright sideways"`
	Origin      string `yaml:"origin" validate:"oneof=print figure"`
	// Accuracy is the reading error of a figure, or the accuracy that the report
	// states, by the key of a column or given figure: "0.005" in its printed unit,
	// "1 mph", or "2 %" of each figure.
	Accuracy map[string]string `yaml:"accuracy,omitempty"`
	// Layout is grid (a head over columns) or list (particulars: one row a quantity).
	Layout    string    `yaml:"layout" validate:"oneof=grid list"`
	Columns   []Column  `yaml:"columns" validate:"required,min=1,unique=Key,dive"`
	Rows      []RowRule `yaml:"rows,omitempty" validate:"dive"`
	Givens    []Column  `yaml:"givens,omitempty" validate:"unique=Key,dive"`
	Basis     Basis     `yaml:"basis,omitempty"`
	Relations []string  `yaml:"relations,omitempty"`
	Note      string    `yaml:"note,omitempty" validate:"omitempty,plain"`

	Name string `yaml:"-"`
}

// Region is the part of a page in which a table stands.
type Region struct {
	Page int       `yaml:"page" validate:"min=1"`
	Box  []float64 `yaml:"box,flow" validate:"len=4"`
	// DX is how far the columns on this page stand to the right of where columns:
	// has them, for a table that goes on over several pages.
	DX float64 `yaml:"dx,omitempty"`
}

// Rect returns the region's rectangle.
func (r Region) Rect() Rect { return Rect{r.Box[0], r.Box[1], r.Box[2], r.Box[3]} }

// Column is one column of a table, or one figure given outside its grid.
type Column struct {
	Key  string `yaml:"key" validate:"required,key"`
	Head string `yaml:"head,omitempty"`
	// X bounds the column on the page, in points: [x0, x1].
	X []float64 `yaml:"x,flow,omitempty" validate:"omitempty,len=2"`
	// At is the column of a workbook (B) or the head in a text file.
	At string `yaml:"at,omitempty"`
	// Words is what stands on the page with the figure that is given: the program
	// finds the figure between the words before and after it ("Reynolds number, * ").
	Words    string `yaml:"words,omitempty"`
	Quantity string `yaml:"quantity,omitempty"`
	Unit     string `yaml:"unit,omitempty"`
	Basis    *Basis `yaml:"basis,omitempty"`
}

// RowRule says what the rows that bear a label mean: the quantity of a row of a
// list, or the configuration of a row of a grid.
type RowRule struct {
	Label string `yaml:"label" validate:"required"`
	// Column is the key of the label column that the rule speaks of, needed where
	// the label stands in two of them.
	Column   string `yaml:"column,omitempty" validate:"omitempty,key"`
	Quantity string `yaml:"quantity,omitempty"`
	Unit     string `yaml:"unit,omitempty"`
	// Accuracy is what the report states of this row of a list; as Table.Accuracy.
	Accuracy string `yaml:"accuracy,omitempty"`
	Basis    *Basis `yaml:"basis,omitempty"`
}

// Basis is what numbers mean. An empty field says that the table does not say;
// package normalize refuses a quantity that needs it. A column's or a row's basis
// is laid over the table's, field by field.
type Basis struct {
	Article string `yaml:"article,omitempty" validate:"omitempty,oneof=section wing model rotor aeroplane"`
	Fitted  string `yaml:"fitted,omitempty" validate:"omitempty,plain"`
	// Coefficients is the system that coefficients are printed in; Density is the air
	// density on which those of the engineering systems were formed.
	Coefficients string `yaml:"coefficients,omitempty" validate:"omitempty,oneof=absolute british-k hundredfold engineering-mph engineering-fps metric-k metric-kmh"`
	Density      string `yaml:"density,omitempty" validate:"omitempty,cellref|eq=standard-period|eq=standard-modern"`
	// ReferenceArea is the area that force coefficients are formed on.
	ReferenceArea  string `yaml:"reference_area,omitempty" validate:"omitempty,oneof=gross net original extended all-wings disc section not-stated"`
	ReferenceChord string `yaml:"reference_chord,omitempty" validate:"omitempty,plain"`
	MomentCenter   string `yaml:"moment_center,omitempty" validate:"omitempty,plain"`
	// MomentSign says which moments the print has as positive ones.
	MomentSign string `yaml:"moment_sign,omitempty" validate:"omitempty,oneof=nose-up nose-down not-stated"`
	AngleDatum string `yaml:"angle_datum,omitempty" validate:"omitempty,oneof=chord root-chord lower-surface thrust-line fuselage-datum zero-lift disc-plane not-stated"`
	Drag       string `yaml:"drag,omitempty" validate:"omitempty,oneof=total profile"`
	Walls      string `yaml:"walls,omitempty" validate:"omitempty,oneof=corrected uncorrected free-flight not-stated"`
	// AspectRatioBasis says for which aspect ratio coefficients hold: as-tested or infinite.
	AspectRatioBasis string `yaml:"aspect_ratio_basis,omitempty" validate:"omitempty,oneof=as-tested infinite"`
	ReynoldsKind     string `yaml:"reynolds_kind,omitempty" validate:"omitempty,oneof=test effective not-stated"`
	Reynolds         string `yaml:"reynolds,omitempty" validate:"omitempty,cellref"`
	Mach             string `yaml:"mach,omitempty" validate:"omitempty,cellref"`
	// Thrust is the cell with the thrust coefficient Tc, for figures with power on.
	Thrust          string        `yaml:"thrust,omitempty" validate:"omitempty,cellref"`
	Surface         string        `yaml:"surface,omitempty" validate:"omitempty,plain"`
	AirspeedKind    string        `yaml:"airspeed_kind,omitempty"`
	AirspeedMeaning string        `yaml:"airspeed_meaning,omitempty" validate:"omitempty,plain"`
	Configuration   Configuration `yaml:"configuration,omitempty"`
	Increment       string        `yaml:"increment,omitempty" validate:"omitempty,oneof=constant-angle constant-lift between-maxima"`
	Stall           string        `yaml:"stall,omitempty" validate:"omitempty,oneof=minimum-speed minimum-steady break buffet control-stop landing not-stated"`
	EntryRate       string        `yaml:"entry_rate,omitempty" validate:"omitempty,plain"`
	CenterOfGravity string        `yaml:"center_of_gravity,omitempty" validate:"omitempty,plain"`
	Limit           string        `yaml:"limit,omitempty" validate:"omitempty,oneof=limit proof ultimate not-stated"`
	Weight          string        `yaml:"weight,omitempty" validate:"omitempty,cellref"`
	WeightCondition string        `yaml:"weight_condition,omitempty" validate:"omitempty,oneof=test normal maximum empty not-stated"`
	PowerRating     string        `yaml:"power_rating,omitempty" validate:"omitempty,oneof=take-off rated continuous emergency not-stated"`
	Altitude        string        `yaml:"altitude,omitempty" validate:"omitempty,cellref|eq=sea-level"`
	Atmosphere      string        `yaml:"atmosphere,omitempty" validate:"omitempty,oneof=modern period"`
	// AltitudeKind says of figures of altitude where the standard atmosphere has the
	// pressure, or the density, of the air there; geometric is the height itself.
	AltitudeKind string `yaml:"altitude_kind,omitempty" validate:"omitempty,oneof=pressure density geometric not-stated"`
	// Temperature is the cell with the temperature of the air.
	Temperature string `yaml:"temperature,omitempty" validate:"omitempty,cellref"`
	// CorrectionSign says of an airspeed correction whether it is added to the
	// indicated airspeed, or is the error of the instrument: indicated less true.
	CorrectionSign string `yaml:"correction_sign,omitempty" validate:"omitempty,oneof=added indicated-minus-true"`
	Note           string `yaml:"note,omitempty" validate:"omitempty,plain"`
}

// Configuration is the state of the tested article. A deflection is "up",
// "not-stated", a reference to a cell ("column KEY", "given KEY"), or a quoted figure that must
// stand in the row's own printed label. A flap of two kinds is both joined by a plus
// sign: "slotted+area-increasing". DeflectionDatum is the line that a deflection is
// counted from, neutral being the flap's own place when it is up; DeflectionPlane is
// square to the hinge, or along the stream.
type Configuration struct {
	Flap            string `yaml:"flap,omitempty" validate:"omitempty,flaptype"`
	Deflection      string `yaml:"deflection,omitempty"`
	DeflectionDatum string `yaml:"deflection_datum,omitempty" validate:"omitempty,oneof=neutral chord lower-surface not-stated"`
	DeflectionPlane string `yaml:"deflection_plane,omitempty" validate:"omitempty,oneof=hinge stream not-stated"`
	State           string `yaml:"state,omitempty" validate:"omitempty,oneof=lowered loaded"`
	Slats           string `yaml:"slats,omitempty" validate:"omitempty,oneof=none closed open automatic not-stated"`
	Gear            string `yaml:"gear,omitempty" validate:"omitempty,oneof=up down fixed none not-stated"`
	Propeller       string `yaml:"propeller,omitempty" validate:"omitempty,plain"`
	Power           string `yaml:"power,omitempty" validate:"omitempty,oneof=off idle on not-stated none"`
	Trim            string `yaml:"trim,omitempty" validate:"omitempty,oneof=trimmed untrimmed not-stated"`
}

// FlapType reports whether a text names a kind of flap, or says that there is none or
// that the source does not say.
func FlapType(s string) bool {
	if s == "none" || s == "not-stated" {
		return true
	}
	kinds := strings.Split(s, "+")
	for i, k := range kinds {
		if !slices.Contains([]string{"plain", "split", "slotted", "area-increasing", "other"}, k) || slices.Contains(kinds[:i], k) {
			return false
		}
	}
	return true
}

// Subject is subjects/<name>.yaml: which rows of which tables make up the record
// of one section, wing, rotor, model or aeroplane.
type Subject struct {
	Schema int            `yaml:"schema" validate:"eq=1"`
	Kind   string         `yaml:"kind" validate:"oneof=section wing rotor model aeroplane"`
	Title  string         `yaml:"title" validate:"required,plain"`
	Note   string         `yaml:"note,omitempty" validate:"omitempty,plain"`
	Tables []SubjectTable `yaml:"tables" validate:"required,min=1,dive"`
	Prefer []Preference   `yaml:"prefer,omitempty" validate:"dive"`
	// Derive lists the conversions that are published beside the printed figures.
	Derive []Derivation `yaml:"derive,omitempty" validate:"dive"`

	Name string `yaml:"-"`
}

// SubjectTable selects a table, or the rows of it whose printed label is Is.
type SubjectTable struct {
	Table string `yaml:"table" validate:"required"`
	Where *Where `yaml:"where,omitempty"`
}

// Where selects rows by the printed text of a label column.
type Where struct {
	Column string `yaml:"column" validate:"required"`
	Is     string `yaml:"is" validate:"required"`
}

// Preference says which source speaks for a quantity that several give.
type Preference struct {
	Quantity string `yaml:"quantity" validate:"required"`
	Source   string `yaml:"source" validate:"required"`
}

// Column returns the column that bears the key, or nil.
func (t *Table) Column(key string) *Column {
	for i := range t.Columns {
		if t.Columns[i].Key == key {
			return &t.Columns[i]
		}
	}
	return nil
}

// GivenFigure returns the given figure that bears the key, or nil.
func (t *Table) GivenFigure(key string) *Column {
	for i := range t.Givens {
		if t.Givens[i].Key == key {
			return &t.Givens[i]
		}
	}
	return nil
}

// ColumnKeys lists the keys of the columns in print order.
func (t *Table) ColumnKeys() []string {
	keys := make([]string, len(t.Columns))
	for i := range t.Columns {
		keys[i] = t.Columns[i].Key
	}
	return keys
}

// KeysOf lists the keys of the cells that a row has, in print order: of the row
// Given those of the given figures.
func (t *Table) KeysOf(row string) []string {
	if row != Given {
		return t.ColumnKeys()
	}
	keys := make([]string, len(t.Givens))
	for i := range t.Givens {
		keys[i] = t.Givens[i].Key
	}
	return keys
}

// Over lays o over b: a field that o states replaces b's. What b says of a thing
// that o replaces goes with it: the words that define another kind of airspeed,
// the deflection of a flap that is not there, the Reynolds number that is not
// stated, the weight of another condition.
func (b Basis) Over(o *Basis) Basis {
	if o == nil {
		return b
	}
	lay := func(dst *string, src string) {
		if src != "" {
			*dst = src
		}
	}
	replaced := func(was, is string) bool { return was != "" && is != "" && was != is }
	if replaced(b.AirspeedKind, o.AirspeedKind) {
		b.AirspeedMeaning = ""
	}
	if o.Configuration.Flap == "none" || o.Configuration.Flap == "not-stated" && replaced(b.Configuration.Flap, "not-stated") {
		b.Configuration.Deflection, b.Configuration.State = "", ""
		b.Configuration.DeflectionDatum, b.Configuration.DeflectionPlane = "", ""
	}
	if o.ReynoldsKind == "not-stated" {
		b.Reynolds = ""
	}
	if replaced(b.WeightCondition, o.WeightCondition) {
		b.Weight = ""
	}
	lay(&b.Article, o.Article)
	lay(&b.Fitted, o.Fitted)
	lay(&b.Coefficients, o.Coefficients)
	lay(&b.Density, o.Density)
	lay(&b.ReferenceArea, o.ReferenceArea)
	lay(&b.ReferenceChord, o.ReferenceChord)
	lay(&b.MomentCenter, o.MomentCenter)
	lay(&b.MomentSign, o.MomentSign)
	lay(&b.AngleDatum, o.AngleDatum)
	lay(&b.Drag, o.Drag)
	lay(&b.Walls, o.Walls)
	lay(&b.AspectRatioBasis, o.AspectRatioBasis)
	lay(&b.ReynoldsKind, o.ReynoldsKind)
	lay(&b.Reynolds, o.Reynolds)
	lay(&b.Mach, o.Mach)
	lay(&b.Thrust, o.Thrust)
	lay(&b.Surface, o.Surface)
	lay(&b.AirspeedKind, o.AirspeedKind)
	lay(&b.AirspeedMeaning, o.AirspeedMeaning)
	lay(&b.Configuration.Flap, o.Configuration.Flap)
	lay(&b.Configuration.Deflection, o.Configuration.Deflection)
	lay(&b.Configuration.DeflectionDatum, o.Configuration.DeflectionDatum)
	lay(&b.Configuration.DeflectionPlane, o.Configuration.DeflectionPlane)
	lay(&b.Configuration.State, o.Configuration.State)
	lay(&b.Configuration.Slats, o.Configuration.Slats)
	lay(&b.Configuration.Gear, o.Configuration.Gear)
	lay(&b.Configuration.Propeller, o.Configuration.Propeller)
	lay(&b.Configuration.Power, o.Configuration.Power)
	lay(&b.Configuration.Trim, o.Configuration.Trim)
	lay(&b.Increment, o.Increment)
	lay(&b.Stall, o.Stall)
	lay(&b.EntryRate, o.EntryRate)
	lay(&b.CenterOfGravity, o.CenterOfGravity)
	lay(&b.Limit, o.Limit)
	lay(&b.Weight, o.Weight)
	lay(&b.WeightCondition, o.WeightCondition)
	lay(&b.PowerRating, o.PowerRating)
	lay(&b.Altitude, o.Altitude)
	lay(&b.Atmosphere, o.Atmosphere)
	lay(&b.AltitudeKind, o.AltitudeKind)
	lay(&b.Temperature, o.Temperature)
	lay(&b.CorrectionSign, o.CorrectionSign)
	lay(&b.Note, o.Note)
	return b
}

// Geometry is the digest of what binds the columns of the table to the print for one
// reader: for a keyed reading the keys in their order, for others also regions,
// sheet, range and where each column and given figure stands. A reading made under
// another geometry may have its figures under the wrong keys.
func (t *Table) Geometry(reader string) string {
	var lines []string
	add := func(format string, args ...any) {
		lines = append(lines, fmt.Sprintf("%03d ", len(lines))+fmt.Sprintf(format, args...))
	}
	_, keyed := KeyedBy(reader)
	if !keyed {
		add("%q %q", t.Sheet, t.Range)
		for _, r := range t.Regions {
			add("%d %v %v", r.Page, r.Box, r.DX)
		}
	}
	for _, list := range [][]Column{t.Columns, t.Givens} {
		for _, c := range list {
			if keyed {
				add("%s", c.Key)
			} else {
				add("%s %v %q %q", c.Key, c.X, c.At, c.Words)
			}
		}
		add("")
	}
	return Digest(lines...)
}

// CellRef splits "column KEY" or "given KEY".
func CellRef(ref string) (kind, key string, ok bool) {
	kind, key, ok = strings.Cut(strings.TrimSpace(ref), " ")
	key = strings.TrimSpace(key)
	return kind, key, ok && (kind == "column" || kind == "given") && keyForm.MatchString(key)
}

// CellID names a cell for life: table id, row key, column key.
type CellID struct {
	Table, Row, Column string
}

func (c CellID) String() string { return c.Table + "/" + c.Row + "/" + c.Column }

// ParseCellID reads the form that String writes.
func ParseCellID(text string) (CellID, bool) {
	parts := strings.Split(text, "/")
	if len(parts) != 3 || parts[0] == "" || parts[1] == "" || parts[2] == "" {
		return CellID{}, false
	}
	return CellID{parts[0], parts[1], parts[2]}, true
}
