package press

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Fount is one face that pages are set in.
type Fount struct {
	Name    string
	File    string // under the root of a FontSource
	Package string // the Debian package that brings the file
	// Minus is the character that the fount sets for a minus sign.
	Minus rune
	// Typewriter marks a face with one width for all characters and one sort for
	// each, so that a worn type prints worn every time.
	Typewriter bool
	// Scale makes the figures of all founts about equally high at one size.
	Scale float64
	// Heft is the spread of ink, in mil, that the fount's print has by itself: light
	// faces are drawn for screens with hairlines thinner than metal type prints.
	Heft float64
	// Fallback names the fount that lends characters which this one lacks or draws
	// in a manner that no table print has.
	Fallback string
	// lacks lists characters that the file maps to something else.
	lacks string
}

// Founts returns the faces, all with lining figures (each was looked at), in a fixed order.
// GFS Bodoni Classic is left out: its figures are old-style.
func Founts() []Fount {
	const tt, ot = "truetype/", "opentype/"
	return []Fount{
		{Name: "century", File: tt + "fonts-century-catalogue/Century-Catalogue.ttf", Package: "fonts-century-catalogue", Minus: '–', Scale: 1, Heft: 0.35, Fallback: "oldstandard"},
		{Name: "oldstandard", File: tt + "fonts-oldstandard/OldStandard-Regular.ttf", Package: "fonts-oldstandard", Minus: '–', Scale: 1.05, Heft: 0.6, Fallback: "libertine"},
		{Name: "libertine", File: ot + "linux-libertine/LinLibertine_R.otf", Package: "fonts-linuxlibertine", Minus: '–', Scale: 1.03, Heft: 0.35, Fallback: "oldstandard"},
		{Name: "bookman", File: ot + "urw-base35/URWBookman-Light.otf", Package: "fonts-urw-base35", Minus: '–', Scale: 0.96, Fallback: "oldstandard"},
		{Name: "times", File: ot + "urw-base35/NimbusRoman-Regular.otf", Package: "fonts-urw-base35", Minus: '−', Scale: 1, Heft: 0.3, Fallback: "oldstandard"},
		{Name: "courier-prime", File: ot + "courier-prime/Courier Prime.otf", Package: "fonts-courier-prime", Minus: '-', Typewriter: true, Scale: 1.1, Heft: 0.2, Fallback: "cm-typewriter"},
		{Name: "cm-typewriter", File: tt + "cmu/cmuntt.ttf", Package: "fonts-cmu", Minus: '-', Typewriter: true, Scale: 1.12, Heft: 0.2, Fallback: "courier-prime"},
		{Name: "schoolbook", File: ot + "urw-base35/C059-Roman.otf", Package: "fonts-urw-base35", Minus: '–', Scale: 0.96, Fallback: "oldstandard"},
		{Name: "cm-roman", File: tt + "cmu/cmunrm.ttf", Package: "fonts-cmu", Minus: '−', Scale: 1.03, Heft: 1.4, Fallback: "oldstandard"},
		{Name: "didot", File: ot + "didot/GFSDidot.otf", Package: "fonts-gfs-didot", Minus: '–', Scale: 0.97, Heft: 0.3, Fallback: "oldstandard"},
		{Name: "didot-classic", File: ot + "didot-classic/GFSDidotClassic.otf", Package: "fonts-gfs-didot-classic", Minus: '-', Scale: 1, Heft: 0.3, Fallback: "oldstandard"},
		{Name: "palatino", File: ot + "urw-base35/P052-Roman.otf", Package: "fonts-urw-base35", Minus: '–', Scale: 1, Heft: 0.1, Fallback: "oldstandard"},
		{Name: "nimbus-mono", File: ot + "urw-base35/NimbusMonoPS-Regular.otf", Package: "fonts-urw-base35", Minus: '-', Typewriter: true, Scale: 1.1, Heft: 0.8, Fallback: "cm-typewriter"},
		{Name: "gnu-typewriter", File: tt + "gnutypewriter/GNUTypewriter.ttf", Package: "fonts-gnutypewriter", Minus: '-', Typewriter: true, Scale: 1.02, Fallback: "cm-typewriter", lacks: "()[]"},
	}
}

// ByName returns the fount of the name.
func ByName(name string) (Fount, error) {
	for _, f := range Founts() {
		if f.Name == name {
			return f, nil
		}
	}
	return Fount{}, fmt.Errorf("fount %q is not known: %q would be one", name, Founts()[0].Name)
}

// FontSource is where font files stand.
type FontSource struct {
	FS fs.FS // its paths are those of Fount.File
}

// Fonts returns Debian's font folder. It fails, naming every package to install,
// where a file is missing.
func Fonts() (FontSource, error) {
	const root = "/usr/share/fonts"
	s := FontSource{FS: os.DirFS(root)}
	var missing []error
	for _, f := range Founts() {
		if _, err := fs.Stat(s.FS, f.File); err != nil {
			missing = append(missing, fmt.Errorf("font file %s of fount %s is missing: it comes with the Debian package %s", path.Join(root, f.File), f.Name, f.Package))
		}
	}
	return s, errors.Join(missing...)
}

// face is a fount ready to be set.
type face struct {
	Fount
	font  *sfnt.Font
	buf   sfnt.Buffer
	back  *face
	cache map[rune]*outline
}

// outline is a glyph in ems, y down from the baseline.
type outline struct {
	segs    []segment
	advance float64
	x0, x1  float64 // extent of the ink
	y0, y1  float64
}

type segment struct {
	op sfnt.SegmentOp
	p  [3][2]float64
}

func openFace(src FontSource, name string, fallback bool) (*face, error) {
	f, err := ByName(name)
	if err != nil {
		return nil, err
	}
	b, err := fs.ReadFile(src.FS, f.File)
	if err != nil {
		return nil, fmt.Errorf("fount %s: %w: it comes with the Debian package %s", f.Name, err, f.Package)
	}
	font, err := sfnt.Parse(b)
	if err != nil {
		return nil, fmt.Errorf("fount %s: %s: %w", f.Name, f.File, err)
	}
	out := &face{Fount: f, font: font, cache: map[rune]*outline{}}
	if fallback {
		if out.back, err = openFace(src, f.Fallback, false); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// glyph returns the outline of r, from the fallback where the fount has none.
func (f *face) glyph(r rune) (*outline, error) {
	if o, ok := f.cache[r]; ok {
		return o, nil
	}
	var x sfnt.GlyphIndex
	known := true
	for _, l := range f.lacks {
		known = known && l != r
	}
	if known {
		var err error
		if x, err = f.font.GlyphIndex(&f.buf, r); err != nil {
			return nil, fmt.Errorf("fount %s: %q: %w", f.Name, r, err)
		}
	}
	if x == 0 {
		if f.back == nil {
			return nil, fmt.Errorf("fount %s has no character %q", f.Name, r)
		}
		o, err := f.back.glyph(r)
		if err != nil {
			return nil, fmt.Errorf("fount %s has no character %q, and its stand-in neither: %w", f.Name, r, err)
		}
		c := *o
		k := f.back.Scale / f.Scale
		c.segs = append([]segment(nil), o.segs...)
		for i := range c.segs {
			for j := range c.segs[i].p {
				c.segs[i].p[j][0] *= k
				c.segs[i].p[j][1] *= k
			}
		}
		c.advance *= k
		c.x0, c.x1, c.y0, c.y1 = c.x0*k, c.x1*k, c.y0*k, c.y1*k
		f.cache[r] = &c
		return &c, nil
	}
	// Outlines are taken at 1000 dots per em, far finer than any page is drawn.
	const ppem = 1000
	segs, err := f.font.LoadGlyph(&f.buf, x, fixed.I(ppem), nil)
	if err != nil {
		return nil, fmt.Errorf("fount %s: outline of %q: %w", f.Name, r, err)
	}
	adv, err := f.font.GlyphAdvance(&f.buf, x, fixed.I(ppem), font.HintingNone)
	if err != nil {
		return nil, fmt.Errorf("fount %s: width of %q: %w", f.Name, r, err)
	}
	o := &outline{advance: float64(adv) / 64 / ppem, x0: 1e9, x1: -1e9, y0: 1e9, y1: -1e9}
	for _, s := range segs {
		g := segment{op: s.Op}
		n := map[sfnt.SegmentOp]int{sfnt.SegmentOpMoveTo: 1, sfnt.SegmentOpLineTo: 1, sfnt.SegmentOpQuadTo: 2, sfnt.SegmentOpCubeTo: 3}[s.Op]
		for i := 0; i < n; i++ {
			x, y := float64(s.Args[i].X)/64/ppem, float64(s.Args[i].Y)/64/ppem
			g.p[i] = [2]float64{x, y}
			o.x0, o.x1 = min(o.x0, x), max(o.x1, x)
			o.y0, o.y1 = min(o.y0, y), max(o.y1, y)
		}
		o.segs = append(o.segs, g)
	}
	if len(segs) == 0 {
		o.x0, o.x1, o.y0, o.y1 = 0, 0, 0, 0
	}
	f.cache[r] = o
	return o, nil
}

// figure returns the width that every figure is set to, in ems: that of the widest,
// so that proportional figures stand on a fixed pitch as in table print.
func (f *face) figure() (float64, error) {
	w := 0.0
	for r := '0'; r <= '9'; r++ {
		o, err := f.glyph(r)
		if err != nil {
			return 0, err
		}
		w = max(w, o.advance)
	}
	return w, nil
}
