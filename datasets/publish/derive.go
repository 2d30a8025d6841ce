package publish

import (
	"fmt"
	"slices"
	"strings"

	"windtally/datasets"
	"windtally/extract"
	"windtally/validate"
)

// vouched is how figures are vouched for, the least first.
var vouched = [...]extract.State{extract.Unwitnessed, extract.Keyed, extract.Agreed, extract.Confirmed, extract.Reread, extract.Emended}

// derived publishes the derived figures of a record all of whose parents are
// published.
func (b *builder) derived(rec *validate.Record) {
	seen := map[string]bool{}
	for i := range rec.Derived {
		d := &rec.Derived[i]
		ids := make([]string, len(d.Parents))
		least := len(vouched)
		whole := true
		for k, p := range d.Parents {
			ids[k] = b.valueID(rec, p)
			whole = whole && published(p) && b.values[ids[k]]
			least = min(least, slices.Index(vouched[:], checked(p)))
		}
		if !whole || least < 0 {
			continue
		}
		formula := d.Formula
		for k, v := range ids {
			formula = strings.ReplaceAll(formula, fmt.Sprintf("{%d}", k), v)
		}
		parents := slices.Compact(slices.Sorted(slices.Values(ids)))
		meant := *d.Of.Datum
		sense := *meant.Sense
		sense.Basis, meant.Sense = d.Basis, &sense
		q := d.Of.Quantity
		out := datasets.Derived{SubjectID: rec.Subject.Name, ConfigurationID: b.configuration(rec, d.Of.Datum), ConditionsID: b.conditions(rec, d.Of.Series, d.Of.Row, &meant),
			Quantity: q.Name, Value: plain(d.Number()), HalfWidth: plain(d.HalfWidth()), Unit: q.Canonical, Of: ids[0],
			Parents: strings.Join(parents, " "), Formula: formula, Checked: string(vouched[least])}
		if a, stated := d.PublishedAccuracy(); stated {
			out.Accuracy = plain(a)
		}
		// What it is on and what it follows from; never the value.
		meaning := []string{rec.Subject.Name, q.Name, d.Basis.AirspeedKind, d.Basis.ReferenceArea, d.Basis.AngleDatum}
		was := d.Of.Basis
		if d.Basis.AltitudeKind != was.AltitudeKind {
			meaning = append(meaning, d.Basis.AltitudeKind)
		}
		if d.Basis.MomentCenter != was.MomentCenter {
			meaning = append(meaning, d.Basis.MomentCenter)
		}
		meaning = append(meaning, ids...)
		if was.Walls != d.Basis.Walls || was.AspectRatioBasis != d.Basis.AspectRatioBasis {
			// The formula says of which planform the tested wing is taken to be.
			meaning = append(meaning, d.Basis.Walls, d.Basis.AspectRatioBasis, formula)
		}
		out.DerivedID = id("d", meaning...)
		if !seen[out.DerivedID] { // two requests may ask for one figure
			seen[out.DerivedID] = true
			b.e.Derived, b.follow = append(b.e.Derived, out), append(b.follow, d)
		}
	}
}
