package sorts

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// shape is a mask that is as like each of the given masks as said, and otherwise of
// its own.
func shape(r *rand.Rand, like map[*[]float32]float64) []float32 {
	sum := make([]float64, maskW*maskH)
	rest := 1.0
	for m, k := range like {
		for i, v := range *m {
			sum[i] += k * float64(v)
		}
		rest -= k * k
	}
	own := make([]float64, len(sum))
	length := 0.0
	for i := range own {
		own[i] = r.NormFloat64()
		length += own[i] * own[i]
	}
	for i := range sum {
		sum[i] += math.Sqrt(rest) * own[i] / math.Sqrt(length)
	}
	return unit(sum)
}

// group is glyphs of one mask; each letter of the votes is that of one glyph.
func group(mask []float32, votes string) *sort {
	s := &sort{}
	for _, v := range votes {
		g := &glyph{fine: mask, of: s}
		if v != ' ' {
			g.votes = []byte{byte(v)}
		}
		s.members = append(s.members, g)
	}
	s.average()
	s.count()
	return s
}

// TestNamesOfWornShapes: a reader that errs on a worn shape errs on all of it. Its votes
// must not make a 4 of what is a 1, be the group large or small.
func TestNamesOfWornShapes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	one := shape(r, nil)
	four := shape(r, map[*[]float32]float64{&one: 0.65})
	for _, c := range []struct {
		about, votes string
		like         float64 // of the worn shape to the 1
		name         byte
		astray       byte
	}{
		{"many glyphs of the shape of a 1", strings.Repeat("4", 12), 0.98, 0, 0},
		{"a few glyphs of the shape of a 1", "44444", 0.98, 0, 0},
		{"many glyphs nearer to a 1 than to a 4", strings.Repeat("4", 12), 0.75, '4', '1'},
		{"many glyphs of the shape of a 1, named so", strings.Repeat("1", 12), 0.98, '1', 0},
	} {
		worn := group(shape(r, map[*[]float32]float64{&one: c.like}), c.votes)
		groups := []*sort{group(one, strings.Repeat("1", 40)), group(four, strings.Repeat("4", 40)), worn}
		if err := nameAll(t.Context(), groups, Input{}); err != nil {
			t.Fatal(err)
		}
		if worn.name != c.name || worn.astray != c.astray {
			t.Errorf("%s: named %q and more like %q, want %q and %q", c.about, worn.name, worn.astray, c.name, c.astray)
		}
		if c.name != 0 {
			continue
		}
		g := worn.members[0]
		newReader(groups).read(g)
		if g.name != '1' || g.margin < leastMargin {
			t.Errorf("%s: read as %q with the margin %.2f, want 1 with %.2f and more", c.about, g.name, g.margin, leastMargin)
		}
	}
}

// TestNamesByExclusion: where the votes of a group are of several figures, and all but
// one have sure groups that look otherwise, it is that one.
func TestNamesByExclusion(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	five := shape(r, nil)
	for _, c := range []struct {
		about string
		like  float64 // of the 3 to the 5
		three string  // votes of its group
		alone bool
	}{
		{"the 3 is another shape", 0.6, strings.Repeat("3", 30), true},
		{"the 3 is much like it", 0.85, strings.Repeat("3", 30), false},
		{"the group of the 3 is not sure itself", 0.6, strings.Repeat("3", 20) + strings.Repeat("8", 10), false},
		{"nothing else is a 3", 0.6, "", false},
	} {
		mixed := group(five, strings.Repeat("5", 13)+strings.Repeat("3", 7))
		groups := []*sort{mixed}
		if c.three != "" {
			groups = append(groups, group(shape(r, map[*[]float32]float64{&five: c.like}), c.three))
		}
		if err := nameAll(t.Context(), groups, Input{}); err != nil {
			t.Fatal(err)
		}
		if mixed.name != '5' || mixed.alone != c.alone {
			t.Errorf("%s: named %q, no other name can be its own: %v; want 5 and %v", c.about, mixed.name, mixed.alone, c.alone)
		}
	}
}

// TestPitchOfSides: where figures have lost their thin strokes, the pitch is not the
// distance of the sides of one figure.
func TestPitchOfSides(t *testing.T) {
	const height, want = 19.0, 17.4
	var widths, skips []float64
	var steps []step
	for word := range 40 {
		x, last, before := 0.0, math.NaN(), math.NaN()
		for figure := range 3 {
			at := float64(figure) * want
			sides := []float64{at - 4, at + 4}
			if (word+figure)%9 == 0 {
				sides = []float64{at} // whole
			}
			for _, x = range sides {
				w := 6.0
				if len(sides) == 1 {
					w = 13
				}
				widths = append(widths, w)
				if !math.IsNaN(last) {
					steps = append(steps, step{x - last, 6})
				}
				if !math.IsNaN(before) {
					skips = append(skips, x-before)
				}
				last, before = x, last
			}
		}
	}
	if p, _ := pitch(widths, steps, skips, height); math.Abs(p-want) > 0.4 {
		t.Errorf("the pitch is %.1f, want %.1f", p, want)
	}
}
