package sorts

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
)

// Named is the picture of a sort that a person was asked to name.
type Named struct {
	Picture Picture
	// Name is "0" to "9"; "?" where the person saw no one figure in it; "" where
	// nobody has looked yet.
	Name string
	By   string // initials
}

// Unclear is the name of a picture in which a person saw no one figure.
const Unclear = "?"

const (
	// leastNamed is how like a group's mean must be to a named picture.
	leastNamed = 0.97
	// leastApart is by how much it must be liker to it than to any of another name.
	leastApart = 0.06
	// telling is how many glyphs make a mean that tells whether the fount is that of
	// the pictures.
	telling = 8
)

// Digest stands for the picture: the first 12 hexadecimal figures of the SHA-256 of
// its width, its height and its pixels.
func (p Picture) Digest() string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %d\n", p.W, p.H) // a hash takes every write
	h.Write(p.Pix)
	return hex.EncodeToString(h.Sum(nil)[:6])
}

// mask turns a picture back into the mean that it was made from, to a grey step.
func (p Picture) mask() ([]float32, error) {
	if p.W != maskW || p.H != maskH || len(p.Pix) != maskW*maskH {
		return nil, fmt.Errorf("a picture of %d by %d pixels (%d values); those of groups have %d by %d", p.W, p.H, len(p.Pix), maskW, maskH)
	}
	v := make([]float64, len(p.Pix))
	for i, g := range p.Pix {
		v[i] = 255 - float64(g)
	}
	return unit(v), nil
}

// likeness is the greatest correlation of two masks with a pixel of play each way.
func likeness(a, b []float32) float32 {
	best := dot(a, b)
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if dx != 0 || dy != 0 {
				best = max(best, dot(shifted(a, dx, dy), b))
			}
		}
	}
	return best
}

// named is a person's picture made ready to be compared.
type named struct {
	Named
	index  int
	mask   []float32
	digest string
}

// readNames makes the pictures ready. Two of the same looks with different names are
// an error: nobody could tell which of them a group is.
func readNames(list []Named) ([]named, error) {
	var out []named
	for i, n := range list {
		if n.Name != "" && n.Name != Unclear && (len(n.Name) != 1 || n.Name[0] < '0' || n.Name[0] > '9') {
			return nil, fmt.Errorf("picture %s is named %q; one of 0 to 9, or ?, would be right", n.Picture.Digest(), n.Name)
		}
		mask, err := n.Picture.mask()
		if err != nil {
			return nil, err
		}
		digest := n.Picture.Digest()
		for _, o := range out {
			if digest == o.digest && n.Name != o.Name {
				return nil, fmt.Errorf("picture %s is named %q and %q; keep one of the two", digest, o.Name, n.Name)
			}
		}
		out = append(out, named{n, i, mask, digest})
	}
	return out, nil
}

// match is the picture that a group's mean is like.
type match struct {
	picture int // index in Input.Names, -1 where none is like enough
	like    float32
	name    string // the name that the group takes from it, "" for none
	itself  bool   // the mean is the picture
}

// matchTo finds the picture of a mean. Where it is the very mean that a person named,
// the name is the person's. Else it counts only where no picture of another name is
// nearly as like; a picture that waits for its name rivals none, and where it is the
// likest the group waits with it.
func matchTo(mean []float32, list []named) match {
	own := picture(mean).Digest()
	for _, n := range list {
		if n.digest == own {
			return match{n.index, 1, n.Name, true}
		}
	}
	best := match{picture: -1, like: -2}
	likes := make([]float32, len(list))
	for i, n := range list {
		likes[i] = likeness(mean, n.mask)
		if likes[i] > best.like {
			best = match{n.index, likes[i], n.Name, false}
		}
	}
	if best.like < leastNamed {
		return match{picture: -1, like: best.like}
	}
	for i, n := range list {
		if n.Name != "" && n.Name != best.name && best.like-likes[i] < leastApart {
			// It is put forward as a picture of its own, so that a person decides.
			if best.name != "" {
				return match{picture: -1, like: best.like}
			}
		}
	}
	return best
}

// Torn reports whether the group is as like to a named picture as those of its sort
// are, and took no name: two names are near, or the fount is another one.
func (g Group) Torn() bool { return g.Of < 0 && g.Like >= leastNamed }

// nameByPerson gives the groups the names of the pictures that they are like, before
// anything else may name them.
func nameByPerson(groups []*sort, list []named) {
	for _, s := range groups {
		s.match = match{picture: -1}
		if len(list) > 0 {
			s.match = matchTo(s.mean, list)
		}
	}
	if !sameFount(groups, list) {
		for _, s := range groups {
			if !s.match.itself {
				s.match = match{picture: -1, like: s.match.like}
			}
		}
	}
	var heard []*sort
	for _, s := range groups {
		if s.match.name == "" {
			continue
		}
		s.by, s.purity = "person", 1
		if s.match.name == Unclear {
			s.refused = true
			continue
		}
		s.name = s.match.name[0]
		// Others may disagree with the person, and are heard.
		if _, _, total := s.top(); total >= 8 {
			s.purity = float64(s.votes[s.name]) / float64(total)
			heard = append(heard, s)
		}
	}
	for _, s := range heard {
		s.rival, s.doubled = s.mixed(heard)
	}
}

// sameFount reports whether the groups are of the fount of the pictures: of the
// likenesses, the greatest as many as there can be pairs, most are those of one sort.
// Single sorts of two founts may be as like as that, a broken 4 and a 1 among them.
func sameFount(groups []*sort, list []named) bool {
	var large, all []float64
	for _, s := range groups {
		if len(s.members) >= telling {
			large = append(large, float64(s.match.like))
		}
		if len(s.members) >= smallest {
			all = append(all, float64(s.match.like))
		}
	}
	if len(large) < 3 {
		large = all
	}
	slices.Sort(large)
	n := min(len(large), len(list))
	return n > 0 && median(large[len(large)-n:]) >= leastNamed
}

// hold marks the groups whose glyphs must not be read as the nearest named sort: where
// nothing else votes, a sort that nobody has named yet is likest to some other.
func hold(groups []*sort) {
	var known [10]bool
	for _, s := range groups {
		if s.name != 0 {
			known[s.name-'0'] = true
		}
	}
	all := !slices.Contains(known[:], false)
	for _, s := range groups {
		if s.name == 0 && s.by == "" && len(s.votes) == 0 {
			// A few glyphs may be worn ones of any sort, or those of a figure that is rare.
			s.waits = len(s.members) >= smallest || !all
		}
	}
}

// mostOdd is how many glyphs a group shows beside its mean.
const mostOdd = 4

// odd is the glyphs that are least like their group's mean: where it holds two
// figures, a person sees it there.
func (s *sort) odd() []Picture {
	order := slices.Clone(s.members)
	slices.SortStableFunc(order, func(a, b *glyph) int { return cmp.Compare(dot(a.fine, s.mean), dot(b.fine, s.mean)) })
	var out []Picture
	for _, g := range order[:min(mostOdd, len(order))] {
		out = append(out, picture(g.fine))
	}
	return out
}
