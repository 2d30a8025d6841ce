package press

import (
	"fmt"
	"math/rand/v2"
)

// A kind of damage is drawn at a strength: up to 1 is what an ordinary scan of a
// period report shows, 2 and over is heavy. All pages share skew, a trace of blur and
// of ragged edges, which no scan of print is without.

// Damages lists the kinds of damage of a half, "tuned" or "held-out", in order. Skew
// and bilevel scanning are in both and not listed.
func Damages(half string) []string {
	if half == Tuned {
		return []string{"thick", "ragged", "noise", "salt", "uneven", "gradient", "streaks", "jpeg", "jitter"}
	}
	return []string{"thin", "clogged", "broken", "worn", "stains", "tint", "specks", "tight", "blur"}
}

// The halves of the plan.
const (
	Tuned   = "tuned"
	HeldOut = "held-out"
)

// add lays a kind of damage of strength k over d.
func add(d *Damage, kind string, k float64) error {
	switch kind {
	case "skew":
		d.RowSlope, d.ColumnSlope = 0.013*k, 0.017*k
	case "thick":
		d.Gain = 1.1 * k
	case "thin":
		d.Gain = -0.55 * k
	case "ragged":
		d.Rough = 0.8 + 0.7*k
	case "clogged":
		d.Clog, d.Gain = min(1, 0.45*k), 0.6*k
	case "broken":
		d.Break, d.Gap = min(0.6, 0.08*k*k), 3+1.5*k
	case "worn":
		d.Worn, d.Chip = min(1, 0.25*k), 0.015+0.025*k
	case "jitter":
		d.Jitter, d.Tilt = 0.012*k, 0.7*k
	case "tight":
		d.Tight = 0.085 * k
	case "uneven":
		d.Uneven = 0.55 * k
	case "stains":
		d.Stains, d.Stain = int(1+2*k), 0.16*k
	case "gradient":
		d.Gradient = 0.2 * k
	case "tint":
		d.Tint, d.Paper, d.Ink = true, 0.95-0.07*k, 0.1+0.08*k
	case "streaks":
		d.Streaks, d.Streak = int(1+3*k), 0.12*k
	case "specks":
		d.Specks, d.Speck = 1.2*k*k, 3+1.2*k
	case "salt":
		d.Salt = 0.0012 * k * k
	case "noise":
		d.Noise = 4 + 9*k
	case "blur":
		d.Blur = 1 + 1.9*k
	case "jpeg":
		d.JPEG = int(max(12, 85-45*k))
	default:
		return fmt.Errorf("damage %q is not known: %q would be one", kind, "thick")
	}
	return nil
}

// Ordinary is one kind of damage at the full strength that counts as ordinary.
func Ordinary(kind string) (Damage, error) {
	d := Damage{Blur: 1}
	err := add(&d, kind, 1)
	return d, err
}

// Heavy is one kind of damage at a strength at which a page may be refused.
func Heavy(kind string) (Damage, error) {
	d := Damage{Blur: 1}
	err := add(&d, kind, 2.5)
	return d, err
}

// greyOnly tells the kinds that a bilevel scan does not show.
func greyOnly(kind string) bool {
	switch kind {
	case "jpeg", "tint", "gradient", "stains", "noise", "streaks":
		return true
	}
	return false
}

const (
	ordinaryPages = 112 // of each half
	heavyPages    = 18
)

// Plan lists the pages of a half of the benchmark, "tuned" or "held-out": the halves
// share no fount, and of the kinds of damage only skew and bilevel scanning. The last
// pages are the heavy ones and those at 150 dpi.
func Plan(half string) ([]Spec, error) {
	seed := uint64(1936)
	if half == HeldOut {
		seed = 3001
	}
	return PlanOf(half, seed)
}

// PlanOf lists as many pages of other tables and damages in the founts of a half.
func PlanOf(half string, seed uint64) ([]Spec, error) {
	founts := Founts()
	switch half {
	case Tuned:
		founts = founts[:7]
	case HeldOut:
		founts = founts[7:]
	default:
		return nil, fmt.Errorf("half %q is not known: %q or %q would be right", half, Tuned, HeldOut)
	}
	kinds := Damages(half)
	var out []Spec
	for i := range ordinaryPages + heavyPages {
		r := chance(seed, uint64(1000+i))
		s := Spec{Name: fmt.Sprintf("%s-%03d", half, i+1), Seed: seed*1000 + uint64(i), Fount: founts[i%len(founts)].Name, Ordinary: i < ordinaryPages}
		// Founts and kinds of table have no common factor: all pairs occur.
		s.Design = design(Kinds()[i%len(Kinds())], founts[i%len(founts)], r)
		s.DPI = []int{200, 300, 300, 300, 400}[i*3/2%5]
		if s.DPI == 200 {
			s.Design.Size = max(s.Design.Size, 8.8) // smaller print loses hairlines at 200 dpi
		}
		d := Damage{Blur: 0.8 + 0.7*r.Float64(), Rough: 0.3 + 0.4*r.Float64(), Gain: 0.5 * (r.Float64() - 0.4), Noise: 1 + 2*r.Float64(), Worn: 0.03, Chip: 0.02, Jitter: 0.004, Tilt: 0.2,
			Paper: 0.93 + 0.07*r.Float64(), Ink: 0.02 + 0.12*r.Float64()}
		skew := 0.012 * (2*r.Float64() - 1)
		d.RowSlope, d.ColumnSlope = skew+0.002*r.NormFloat64(), -skew+0.004*r.NormFloat64()
		first := kinds[i%len(kinds)]
		second := kinds[(i+1+r.IntN(len(kinds)-1))%len(kinds)]
		if !s.Ordinary {
			k := 2 + 0.6*r.Float64()
			if i%2 == 1 {
				s.DPI = 150
				k = 0.8 + 0.6*r.Float64()
			}
			if err := add(&d, first, k); err != nil {
				return nil, err
			}
			s.Kinds = []string{"skew", first}
		} else {
			for n, kind := range []string{first, second} {
				k := 0.4 + 0.6*r.Float64()
				if n == 1 {
					k *= 0.6
					if r.IntN(2) == 0 {
						continue
					}
				}
				if err := add(&d, kind, k); err != nil {
					return nil, err
				}
				s.Kinds = append(s.Kinds, kind)
			}
			s.Kinds = append([]string{"skew"}, s.Kinds...)
		}
		grey := false
		for _, k := range s.Kinds {
			grey = grey || greyOnly(k)
		}
		if !grey && r.IntN(4) > 0 || grey && d.JPEG == 0 && !d.Tint && r.IntN(6) == 0 {
			d.Bilevel = true
			d.Threshold = 0.42 + 0.16*r.Float64()
			s.Kinds = append(s.Kinds, "bilevel")
		}
		s.Damage = d
		out = append(out, s)
	}
	return out, nil
}

// design draws a design of the kind in the manner that the fount calls for.
func design(kind string, f Fount, r *rand.Rand) Design {
	one := func(share float64) bool { return r.Float64() < share }
	d := Design{Kind: kind, Across: 1, Size: 7.2 + 1.6*r.Float64(), Pitch: 1.12 + 0.25*r.Float64(), SubHeads: one(0.7), Fives: one(0.3), Prose: one(0.25), Spanning: one(0.5)}
	d.Zero = []Zero{ZeroAlways, ZeroFirst, ZeroFirst, ZeroNever}[r.IntN(4)]
	d.Ruling = []Ruling{RulesOpen, RulesBox, RulesLevel, RulesNone}[r.IntN(4)]
	if one(0.5) {
		d.PointSpace = 0.14 + 0.16*r.Float64()
	}
	d.Leader = []string{"", ".", "-"}[r.IntN(3)]
	d.BareZero, d.SlideRule = one(0.4), one(0.4)
	if one(0.4) {
		d.Blanks, d.Blank = 0.015, []string{"", ".....", "-----"}[r.IntN(3)]
	}
	if one(0.35) {
		d.Notes = 0.012
		d.Marks = []string{"", "123", "*"}[r.IntN(3)]
	}
	d.Thousands = kind == "stall" || one(0.2)
	if f.Typewriter {
		d.Pitch += 0.15
		d.PointSpace = 0
		if one(0.6) {
			d.Zero = ZeroAlways
		}
		if one(0.6) {
			d.Ruling = RulesNone
		}
	}
	// Columns that the kind can have, then rows for 260 to 560 cells.
	span := map[string][2]int{"polar": {5, 10}, "ordinates": {5, 11}, "pressure": {6, 11}, "flap": {7, 10}, "stall": {6, 10}, "propeller": {5, 8}, "listing": {5, 9}, "slope": {7, 11}}[kind]
	d.Columns = span[0] + r.IntN(span[1]-span[0]+1)
	if kind == "ordinates" {
		d.Columns |= 1
	}
	want := 270 + r.IntN(280)
	d.Rows = min(62, want/d.Columns)
	if d.Columns <= 6 && (kind == "listing" || kind == "polar" || kind == "propeller" || kind == "ordinates") {
		d.Across, d.Rows = 2, min(50, want/2/d.Columns)
		d.Size = min(d.Size, 7.8)
	}
	if one(0.08) {
		d.Turn = 90 * (1 + r.IntN(3))
	}
	// The page is 11 inches high, or 8.5 where the table lies on its side.
	room := 600.0
	if d.Turn == 90 || d.Turn == 270 {
		room = 430
	}
	if d.Prose {
		room -= 80
	}
	each := d.Size * d.Pitch
	if d.Fives {
		each *= 1.1
	}
	if d.SubHeads {
		each += 4 * d.Size / 13
	}
	if most := int(room / each); d.Rows > most {
		d.Rows = most
	}
	return d
}

// figuresIn counts the figures of the tables of a spec without setting them.
func figuresIn(s Spec) int {
	r := chance(s.Seed, chanceFigures)
	n := 0
	for k := range max(1, s.Design.Across) {
		for _, b := range write(s.Design, r, k).blocks {
			for _, row := range b.rows {
				for _, it := range row {
					if !it.blank {
						n++
					}
				}
			}
		}
	}
	return n
}
