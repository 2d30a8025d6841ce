package extract

import (
	"fmt"
	"strings"
)

// Derivation asks for a series that follows from printed figures of a record by a
// conversion. It never takes their place. Of the keys that a basis has too
// (airspeed_kind, reference_area, angle_datum, altitude_kind, moment_center) one says
// what the derived figures are to be on.
type Derivation struct {
	Quantity string `yaml:"quantity" validate:"required"`
	// Table and Column narrow the figures down; empty, all of the record are meant.
	Table  string `yaml:"table,omitempty"`
	Column string `yaml:"column,omitempty" validate:"omitempty,key"`

	AirspeedKind  string `yaml:"airspeed_kind,omitempty" validate:"omitempty,oneof=IAS CAS EAS TAS"`
	ReferenceArea string `yaml:"reference_area,omitempty" validate:"omitempty,oneof=gross net original extended all-wings"`
	AngleDatum    string `yaml:"angle_datum,omitempty" validate:"omitempty,oneof=chord lower-surface thrust-line fuselage-datum zero-lift"`
	AltitudeKind  string `yaml:"altitude_kind,omitempty" validate:"omitempty,oneof=density"`
	// MomentCenter is a point of the chord: "quarter chord", "30 percent chord".
	MomentCenter string `yaml:"moment_center,omitempty" validate:"omitempty,plain"`

	// AspectRatio and Walls may be asked for at once.
	AspectRatio *AspectRatio `yaml:"aspect_ratio,omitempty"`
	Walls       *Walls       `yaml:"walls,omitempty"`

	PositionError *PositionError `yaml:"position_error,omitempty"`
}

// PositionError names the table that turns indicated into calibrated airspeeds, or
// back, and the keys of its columns: the indicated airspeed, and the calibrated one
// or the correction, whose basis says by correction_sign which way it goes.
type PositionError struct {
	Table      string `yaml:"table" validate:"required"`
	Indicated  string `yaml:"indicated" validate:"required,key"`
	Calibrated string `yaml:"calibrated,omitempty" validate:"omitempty,key"`
	Correction string `yaml:"correction,omitempty" validate:"omitempty,key"`
}

// derivations says what in the subject's derive: is no whole request.
func (s *Study) derivations(sub *Subject, add func(path, format string, args ...any)) {
	column := func(t *Table, path, key string) {
		if key != "" && t.Column(key) == nil && t.GivenFigure(key) == nil {
			add(path, "table %s has no column %s; its columns: %s", t.Name, key, strings.Join(t.ColumnKeys(), ", "))
		}
	}
	takes := func(name string) *Table {
		for _, st := range sub.Tables {
			if st.Table == name {
				return s.Table(name)
			}
		}
		return nil
	}
	for i := range sub.Derive {
		d := &sub.Derive[i]
		path := fmt.Sprintf("derive[%d]", i)
		said := 0
		for _, key := range []string{d.AirspeedKind, d.ReferenceArea, d.AngleDatum, d.AltitudeKind, d.MomentCenter} {
			if key != "" {
				said++
			}
		}
		if d.AspectRatio != nil || d.Walls != nil {
			said++
			d.induced(path, add)
		}
		if said != 1 {
			add(path, "%d of airspeed_kind, reference_area, angle_datum, altitude_kind, moment_center, and aspect_ratio with walls are stated; write the one that the derived %s is to be on", said, d.Quantity)
		}
		switch t := takes(d.Table); {
		case d.Table == "" && d.Column != "":
			add(path+".column", "column %s of which table? write table: beside column:", d.Column)
		case d.Table == "":
		case t == nil:
			add(path+".table", "the subject does not take the table %q; name it under tables:", d.Table)
		default:
			column(t, path+".column", d.Column)
		}
		pe := d.PositionError
		if pe == nil {
			continue
		}
		if d.AirspeedKind == "" {
			add(path+".position_error", "a position error bears on airspeeds alone; write airspeed_kind: IAS, CAS, EAS or TAS beside it, or leave it out")
		}
		if (pe.Calibrated == "") == (pe.Correction == "") {
			add(path+".position_error", "write calibrated: or correction:, one of the two, with the key of its column")
		}
		t := takes(pe.Table)
		if t == nil {
			add(path+".position_error.table", "the subject does not take the table %q; name it under tables:, so that its figures are published with what follows from them", pe.Table)
			continue
		}
		for _, c := range [][2]string{{"indicated", pe.Indicated}, {"calibrated", pe.Calibrated}, {"correction", pe.Correction}} {
			if c[1] != "" && t.Column(c[1]) == nil {
				add(path+".position_error."+c[0], "table %s has no column %s; its columns: %s", t.Name, c[1], strings.Join(t.ColumnKeys(), ", "))
			}
		}
	}
}
