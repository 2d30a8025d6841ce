package extract

import (
	"math/big"
	"regexp"
	"strings"
)

// AspectRatio asks for figures of another aspect ratio, at the same lift coefficient.
// What is written here is a choice of whoever asks and no figure of a source: it is
// taken as exact.
type AspectRatio struct {
	To         string `yaml:"to" validate:"required"` // infinite (the section), or a number
	ToPlanform string `yaml:"to_planform,omitempty" validate:"omitempty,oneof=elliptic rectangular tapered"`
	ToTaper    string `yaml:"to_taper,omitempty"`
	// FromPlanform is that of the tested wing, empty where figures hold for the section.
	FromPlanform string `yaml:"from_planform,omitempty" validate:"omitempty,oneof=elliptic rectangular tapered"`
	// SectionSlope is the lift-curve slope per radian of the section, on which the
	// lifting line of a wing that is not elliptic depends.
	SectionSlope string `yaml:"section_slope,omitempty"`
}

// Walls asks for figures corrected for the walls of the tunnel.
type Walls struct {
	Section string `yaml:"section" validate:"required,oneof=closed open"`
	// Delta is the signed factor of the correction, which is always added.
	Delta string `yaml:"delta" validate:"required"`
}

// The bounds of what may be asked for: the lifting line holds from an aspect ratio of
// about 4; sections have slopes of 5 to 6.5 per radian (a slope per degree is 0.1);
// wall factors are 0.1 to 0.2 in size (common practice, no source).
var (
	leastAspectRatio = big.NewRat(4, 1)
	mostAspectRatio  = big.NewRat(1000, 1)
	leastSlope       = big.NewRat(4, 1)
	mostSlope        = big.NewRat(15, 2)
	mostDelta        = big.NewRat(1, 2)
)

var plainNumber = regexp.MustCompile(`^(0|[1-9][0-9]{0,5})(\.[0-9]{1,9})?$`)

// plain reports whether a text is a number within the two bounds.
func plain(text string, low, high *big.Rat) bool {
	x, ok := new(big.Rat).SetString(text)
	return plainNumber.MatchString(text) && ok && x.Cmp(low) >= 0 && x.Cmp(high) <= 0
}

// Basis is what an aspect_ratio_basis says of the figures that are asked for.
func (a *AspectRatio) Basis() string {
	if a.To == "infinite" {
		return a.To
	}
	text := a.To + ", " + a.ToPlanform
	if a.ToPlanform == "tapered" {
		text += " " + a.ToTaper
	}
	if a.ToPlanform != "elliptic" {
		text += ", section slope " + a.SectionSlope + " per radian"
	}
	return text
}

// Basis is what walls says of the figures that are asked for.
func (w *Walls) Basis() string {
	of := "a closed section"
	if w.Section == "open" {
		of = "an open jet"
	}
	return "corrected for " + of + ", delta " + strings.TrimPrefix(w.Delta, "+")
}

// Target says what the derived figures are to be on.
func (d *Derivation) Target() string {
	var list []string
	for _, s := range []string{d.AirspeedKind, d.ReferenceArea, d.AngleDatum, d.AltitudeKind, d.MomentCenter} {
		if s != "" {
			list = append(list, s)
		}
	}
	if d.Walls != nil {
		list = append(list, d.Walls.Basis())
	}
	if d.AspectRatio != nil {
		list = append(list, "aspect ratio "+d.AspectRatio.Basis())
	}
	return strings.Join(list, ", ")
}

// induced says what in the request is no whole one.
func (d *Derivation) induced(path string, add func(path, format string, args ...any)) {
	if w := d.Walls; w != nil {
		path := path + ".walls.delta"
		size := strings.TrimLeft(w.Delta, "+-")
		switch sign := strings.TrimSuffix(w.Delta, size); {
		case sign != "+" && sign != "-" || !plain(size, new(big.Rat), mostDelta) || strings.Trim(size, "0.") == "":
			add(path, "delta is %q; the factor of the wall correction is written with its sign, more than 0 and at most 0.5 in size, such as \"+0.125\" for a closed section and \"-0.125\" for an open jet", w.Delta)
		case w.Section == "closed" && sign == "-":
			add(path, "delta is %s in a closed section; there it is more than 0: walls hold the flow up, and the correction is always added", w.Delta)
		case w.Section == "open" && sign == "+":
			add(path, "delta is %s in an open jet; there it is less than 0, and the correction is always added", w.Delta)
		}
	}
	a := d.AspectRatio
	if a == nil {
		return
	}
	path += ".aspect_ratio"
	if a.To == "infinite" {
		if a.ToPlanform != "" {
			add(path+".to_planform", "an infinite aspect ratio is that of the section, which has no planform; leave to_planform: out")
		}
	} else {
		if !plain(a.To, leastAspectRatio, mostAspectRatio) {
			add(path+".to", "the aspect ratio asked for is %q; write infinite, or a number of 4 or more: the lifting line does not hold below", a.To)
		}
		if a.ToPlanform == "" {
			add(path+".to_planform", "of which planform is the wing of aspect ratio %s? write to_planform: elliptic, rectangular or tapered", a.To)
		}
	}
	tapered := a.To != "infinite" && a.ToPlanform == "tapered"
	switch {
	case tapered && (!plain(a.ToTaper, new(big.Rat), big.NewRat(1, 1)) || strings.Trim(a.ToTaper, "0.") == "" || plain(a.ToTaper, big.NewRat(1, 1), big.NewRat(1, 1))):
		add(path+".to_taper", "the taper ratio of the wing asked for is %q; write to_taper: with tip chord over root chord, more than 0 and less than 1", a.ToTaper)
	case !tapered && a.ToTaper != "":
		add(path+".to_taper", "a taper ratio is asked for and the wing is not tapered; write to_planform: tapered, or leave to_taper: out")
	}
	lined := func(p string) bool { return p == "rectangular" || p == "tapered" }
	switch needed := lined(a.FromPlanform) || lined(a.ToPlanform); {
	case needed && !plain(a.SectionSlope, leastSlope, mostSlope):
		add(path+".section_slope", "the section's lift-curve slope is %q; the lifting line of a wing that is not elliptic depends on it: write section_slope: with 4 to 7.5 per radian (a slope per degree times 57.3)", a.SectionSlope)
	case !needed && a.SectionSlope != "":
		add(path+".section_slope", "an elliptic wing's induced angle does not depend on the section's slope; leave section_slope: out")
	}
}
