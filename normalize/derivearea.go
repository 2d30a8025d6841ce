package normalize

import (
	"fmt"
	"math/big"
	"strings"
)

// one finds the one figure of the record that is meant, among those that suit.
// Where several print it with one value the first will do.
func (v *deriver) one(quantity, what, hint string, suits func(f *Figure) bool) (*Figure, *refused) {
	var found *Figure
	var places []string
	differ := false
	for i := range v.record {
		f := &v.record[i]
		if f.Quantity == nil || f.Quantity.Name != quantity || !suits(f) {
			continue
		}
		if found == nil {
			found = f
		}
		differ = differ || f.Value.Cmp(found.Value) != 0
		places = append(places, fmt.Sprintf("%q at %s", f.Cell.Text, f.where()))
	}
	switch {
	case found == nil:
		return nil, refuse(hint, "the record has no %s", what)
	case differ:
		return nil, refuse("withhold what does not hold for these figures, or give them a subject of their own", "the record has %d figures for %s, which differ: %s", len(places), what, strings.Join(places, ", "))
	}
	return found, nil
}

// area builds C S_from/S_to.
func (v *deriver) area(f *Figure) (*expression, *refused) {
	from, to := f.Basis.ReferenceArea, v.ask.ReferenceArea
	switch from {
	case "", "not-stated":
		return nil, refuse("write reference_area: in the basis of table "+f.Series.Table.Name+", where the source says it", "its basis does not state the area that it is formed on")
	case "section", "disc":
		return nil, refuse("", "it is formed on the area %q, which no wing area takes the place of", from)
	}
	of := func(kind string) (*Figure, *refused) {
		what := kind + " wing area"
		hint := fmt.Sprintf("take the table that prints it under tables:, with reference_area: %s in its basis", kind)
		if kind == "extended" {
			what += " with " + f.Config.words()
			hint += " and its flap and deflection under configuration:"
		}
		return v.one("wing area", what, hint, func(s *Figure) bool {
			if s.Basis.ReferenceArea != kind {
				return false
			}
			// An area that a flap adds to is that of one setting.
			set := func(c Configuration) string { return Configuration{Flap: c.Flap, Deflection: c.Deflection}.Key() }
			return kind != "extended" || f.Config.Deflection != "" && set(s.Config) == set(f.Config)
		})
	}
	s1, no := of(from)
	if no != nil {
		return nil, no
	}
	s2, no := of(to)
	if no != nil {
		return nil, no
	}
	for _, s := range []*Figure{s1, s2} {
		if a, b := s.Basis.Article, f.Basis.Article; a != "" && b != "" && a != b {
			return nil, refuse("give the model and the aeroplane a subject each", "it is of an article of kind %q, and the wing area at %s of %q", b, s.where(), a)
		}
		if s.Value.Sign() <= 0 {
			return nil, refuse("", "the wing area %q at %s is not above zero", s.Cell.Text, s.where())
		}
	}
	return &expression{parents: []*Figure{f, s1, s2}, formula: "{0} * {1} / {2}", value: func(x []*big.Rat) (*big.Rat, error) {
		if x[2].Sign() <= 0 {
			return nil, fmt.Errorf("a wing area is zero")
		}
		r := new(big.Rat).Mul(x[0], x[1])
		return r.Quo(r, x[2]), nil
	}}, nil
}
