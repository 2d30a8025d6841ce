package normalize

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"windtally/extract"
)

// configurationOf is what the basis of a figure says of its configuration. A Reynolds
// number is in none, and a deflection in none but how it is measured.
func configurationOf(d *Datum) extract.Configuration {
	c := d.Basis.Configuration
	switch {
	case d.Quantity.Group != Condition || d.Quantity.Canonical == "m/s":
		return c
	case d.Quantity.Name == "flap deflection":
		return extract.Configuration{DeflectionDatum: c.DeflectionDatum, DeflectionPlane: c.DeflectionPlane}
	}
	return extract.Configuration{}
}

// stated is an answer, "" where it says that the source gives none.
func stated(text string) string {
	if text == "not-stated" {
		return ""
	}
	return text
}

// measuredFrom takes over, from the cell that prints a deflection, how it is measured,
// and refuses a figure whose own basis says otherwise.
func (n *normalizer) measuredFrom(d, at *Datum) {
	for _, m := range []struct {
		field    string
		mine     *string
		own, its string
	}{
		{"deflection_datum", &d.Config.DeflectionDatum, d.Basis.Configuration.DeflectionDatum, at.Basis.Configuration.DeflectionDatum},
		{"deflection_plane", &d.Config.DeflectionPlane, d.Basis.Configuration.DeflectionPlane, at.Basis.Configuration.DeflectionPlane},
	} {
		switch own, its := stated(m.own), stated(m.its); {
		case own == "":
			*m.mine = its
		case its != "" && its != own:
			d.Refused = true
			n.group(Meaning, m.field, d.Cell.ID, ":"+d.Cell.ID.Column, "", fmt.Sprintf("%s is stated as %s here, and as %s for the figure that prints the deflection (%s); state it once", m.field, own, its, d.Basis.Configuration.Deflection))
		}
	}
}

// moment reports whether the quantity is a coefficient of pitching moment.
func (q *Quantity) moment() bool { return q.spoken(needSign) }

// noseUp turns a moment that is printed positive nose down into one that is positive
// nose up, as all are published:
//
//	C_m = -c_m
//
// after the change of system, whose factor takes the sign. The half-width stays.
func (n *normalizer) noseUp(d *Datum) {
	if d.Basis.MomentSign != "nose-down" || !d.Value.Known() || d.Refused || !d.Quantity.moment() {
		return
	}
	from := fmt.Sprintf("%s from %s x ", d.Quantity.Canonical, d.Unit.UCUM)
	formula, sense := "", *d.Sense // what is shared is never changed
	if d.Factor == nil {
		d.Factor = big.NewRat(-1, 1)
		formula = from + "-1 (nose-down: C_m = -c_m)"
		if _, ditto, is := strings.Cut(d.Formula, "ditto: "); is {
			formula += "; ditto: " + ditto
		}
	} else {
		d.Factor = new(big.Rat).Neg(d.Factor)
		formula = from + "-" + strings.TrimPrefix(d.Formula, from)
	}
	sense.Formula = formula
	d.Value, d.Sense = ExactOf(new(big.Rat).Neg(d.Value.Rat())), &sense
}

// PublishedSign is what an edition says of the sign of moments: they are positive nose
// up, and whether the print has them so; "" where the source does not say.
func PublishedSign(b extract.Basis) string {
	if b.MomentSign == "nose-down" {
		return "nose-up, converted from nose-down"
	}
	return stated(b.MomentSign)
}

// extending reports whether a flap of the kind makes the wing larger as it goes down.
func extending(flap string) bool { return slices.Contains(strings.Split(flap, "+"), "area-increasing") }

// onWhichArea refuses a coefficient of a wing with an area-increasing flap that does
// not say whether it is on the original area or on the extended one: the two differ by
// the chord extension c'/c, a fifth or more (TRADE.md 1.5, of two reports that differ in
// it). An increment must say it; of another coefficient it is a doubt that what is
// called gross, or not stated, may be either.
func (n *normalizer) onWhichArea(m columnMeaning, where, of string, b extract.Basis) bool {
	q := m.quantity
	if !q.Coefficient() || !extending(b.Configuration.Flap) || b.Configuration.Deflection == "up" || b.ReferenceArea == "original" || b.ReferenceArea == "extended" {
		return true
	}
	if b.ReferenceArea == "" && b.Article != "section" {
		return true // asked for as of every coefficient of a wing
	}
	is := "is not stated"
	if b.ReferenceArea != "" && b.ReferenceArea != "not-stated" {
		is = "is " + b.ReferenceArea
	}
	if q.Group != Increment && b.ReferenceArea != "" {
		n.problem(OddPrint, "reference_area"+of, nil, where, "write original or extended where another page of the source says so; else confirm, and it is published without",
			"%s with an area-increasing flap%s, whose reference_area %s: on the original area it is greater than on the extended one by the chord extension", q.Name, of, is)
		return true
	}
	n.problem(Meaning, "reference_area", nil, where, "where the source does not say, write unclassified",
		"%s with an area-increasing flap%s, whose reference_area %s: on the original area it is greater than on the extended one by the chord extension; write reference_area: original or extended", q.Name, of, is)
	return false
}

// unstated raises a doubt about what a basis says that the source does not say, where
// the figure is easily taken for another thing.
func (n *normalizer) unstated(m columnMeaning, where, of string, b extract.Basis) {
	q := m.quantity
	const hint = "state it where another page of the source says so; else confirm, and it is published without"
	if q.Canonical == "m/s" && q.spoken(needLimit) && b.Limit == "not-stated" {
		n.problem(OddPrint, "limit"+of, nil, where, hint, "%s%s, and limit is not-stated: a diving speed may be the greatest that the strength was worked out for, and not the greatest that is permitted", q.Name, of)
	} else if q.spoken(needLimit) && b.Limit == "not-stated" {
		n.problem(OddPrint, "limit"+of, nil, where, hint, "%s%s, and limit is not-stated: a factor of the period is often that of the failing load, half as much again as the limit", q.Name, of)
	}
	if q.moment() && b.MomentSign == "not-stated" {
		n.problem(OddPrint, "moment_sign"+of, nil, where, hint, "%s%s, and moment_sign is not-stated: some sources have nose-down moments positive", q.Name, of)
	}
}
