package main

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/extract/scan/sorts"

	"github.com/urfave/cli/v2"
)

// A picture's file shows the mean at the left, each of its pixels as a square, so that
// the file gives it back exactly, and at the right the glyphs least like it.
const (
	meanScale = 6
	oddScale  = 3
)

// drawGroup draws the file of a group's picture.
func drawGroup(g sorts.Group) ([]byte, error) {
	w, h := g.Picture.W*meanScale, g.Picture.H*meanScale
	img := image.NewGray(image.Rect(0, 0, 2*w, h))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	put := func(p sorts.Picture, x0, y0, k int) {
		for y := range p.H * k {
			for x := range p.W * k {
				if x0+x < 2*w && y0+y < h {
					img.Pix[(y0+y)*img.Stride+x0+x] = p.Pix[y/k*p.W+x/k]
				}
			}
		}
	}
	put(g.Picture, 0, 0, meanScale)
	for i, o := range g.Odd {
		put(o, w+i%2*o.W*oddScale, i/2*o.H*oddScale, oddScale)
	}
	var b bytes.Buffer
	err := png.Encode(&b, img)
	return b.Bytes(), err
}

// readGroup takes the mean out of a picture's file.
func readGroup(data []byte) (sorts.Picture, error) {
	cfg, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return sorts.Picture{}, err
	}
	const most = 4096 // pixels a side; ours have 384 by 240
	if cfg.Width > most || cfg.Height > most {
		return sorts.Picture{}, fmt.Errorf("%d by %d pixels", cfg.Width, cfg.Height)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return sorts.Picture{}, err
	}
	grey, ok := img.(*image.Gray)
	if !ok {
		return sorts.Picture{}, errors.New("is not grey")
	}
	p := sorts.Picture{W: cfg.Width / 2 / meanScale, H: cfg.Height / meanScale}
	p.Pix = make([]uint8, p.W*p.H)
	for y := range p.H {
		for x := range p.W {
			p.Pix[y*p.W+x] = grey.Pix[y*meanScale*grey.Stride+x*meanScale]
		}
	}
	return p, nil
}

// namedPictures is what a person named in a source, and what waits for a name.
func namedPictures(s *extract.Study, source string) ([]sorts.Named, error) {
	n := s.Named(source)
	if n == nil {
		return nil, nil
	}
	var out []sorts.Named
	var faults extract.Faults
	for _, p := range n.Pictures {
		file := n.PictureFile(p.Picture)
		fault := func(format string, args ...any) {
			faults = append(faults, &extract.Error{File: file, Msg: fmt.Sprintf(format, args...),
				Hint: "put the file back as the program wrote it, or take picture " + p.Picture + " out of " + n.File()})
		}
		data, err := os.ReadFile(filepath.Join(s.Dir, filepath.FromSlash(file)))
		if errors.Is(err, fs.ErrNotExist) {
			fault("is not there, and %s names it", n.File())
			continue
		}
		if err != nil {
			return nil, err
		}
		picture, err := readGroup(data)
		if err != nil {
			fault("is not a picture of a figure's shape: %v", err)
			continue
		}
		if got := picture.Digest(); got != p.Picture {
			fault("shows another picture, %s, than the one that %s names", got, n.File())
			continue
		}
		out = append(out, sorts.Named{Picture: picture, Name: p.Name, By: n.Who(p)})
	}
	if faults != nil {
		return nil, faults
	}
	return out, nil
}

// unnamed are the groups of a reading that wait for a person: those of no picture yet,
// and how many are of a picture that nobody has named yet.
func unnamed(groups []sorts.Group, names []sorts.Named) (fresh []sorts.Group, waiting int) {
	for _, g := range groups {
		switch {
		case !g.Matters() || g.Name != "":
		case g.Of < 0:
			fresh = append(fresh, g)
		case names[g.Of].Name == "":
			waiting++
		}
	}
	return fresh, waiting
}

// askForNames puts the pictures of groups forward for a person to name, where nothing
// else names them, and says what to do.
func (p *program) askForNames(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table, groups []sorts.Group, names []sorts.Named) ([]string, error) {
	fresh, waiting := unnamed(groups, names)
	var list []extract.NewPicture
	for _, g := range fresh {
		data, err := drawGroup(g)
		if err != nil {
			return nil, err
		}
		list = append(list, extract.NewPicture{Picture: g.Key, Glyphs: g.Size, PNG: data})
	}
	added := 0
	if len(list) > 0 {
		var err error
		if added, err = s.AddPictures(src.Name, list); err != nil {
			return nil, err
		}
	}
	n := s.Named(src.Name)
	if n == nil {
		return nil, nil
	}
	sheet := "names/" + src.Name + ".html"
	if err := writeNamesSheet(s, n, sheet); err != nil {
		return nil, err
	}
	var todo []string
	if open := n.Open(); open > 0 && added+waiting > 0 {
		them := "pictures wait for their names"
		if open == 1 {
			them = "picture waits for its name"
		}
		todo = append(todo, fmt.Sprintf("%d %s: look at them in %s and write into %s which figure each shows", open, them, sheet, n.File()))
	}
	todo = append(todo, besides(groups, names)...)
	if len(todo) > 0 {
		todo = append(todo, fmt.Sprintf("then read the table again: %s extract %s; the names serve for all tables of %s", next(c), t.Name, src.Name))
	}
	return todo, nil
}

// besides says why shapes took no name from pictures that have one.
func besides(groups []sorts.Group, names []sorts.Named) []string {
	if !slices.ContainsFunc(names, func(n sorts.Named) bool { return n.Name != "" }) {
		return nil
	}
	torn, large, of := 0, 0, 0
	for _, g := range groups {
		if g.Matters() {
			large++
			if g.Of >= 0 {
				of++
			}
			if g.Torn() {
				torn++
			}
		}
	}
	switch {
	case large > 0 && of == 0:
		return []string{"no shape of this table is that of a picture named before: its type is another one, and its pictures are named for themselves"}
	case torn == 1:
		return []string{"1 shape is like pictures of two names: look whether one of the two is named wrongly, and name its own picture, or write ? where nobody can tell"}
	case torn > 1:
		return []string{fmt.Sprintf("%d shapes are like pictures of two names each: look whether one of the two is named wrongly, and name their own pictures, or write ? where nobody can tell", torn)}
	}
	return nil
}

// lacking says what is missing where there is no engine.
func lacking(err error) string {
	return "figures are read by their shapes alone, which a person names, and words are not read: " + err.Error()
}

//go:embed namespage.html
var namesPage string

var namesTemplate = template.Must(template.New("names").Parse(namesPage))

// writeNamesSheet writes one page with all pictures of a source. The program may write
// it anew at any time: nobody fills it in.
func writeNamesSheet(s *extract.Study, n *extract.Names, file string) error {
	type entry struct {
		Picture, Name, By string
		Glyphs            int
		Data              template.URL
	}
	page := struct {
		Source, File string
		Open         int
		Pictures     []entry
	}{n.Source, n.File(), n.Open(), nil}
	for _, p := range n.Pictures {
		data, err := os.ReadFile(filepath.Join(s.Dir, filepath.FromSlash(n.PictureFile(p.Picture))))
		if err != nil {
			return err
		}
		e := entry{Picture: p.Picture, Name: p.Name, Glyphs: p.Glyphs, Data: template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(data))}
		if p.Name != "" {
			e.By = n.Who(p)
		}
		page.Pictures = append(page.Pictures, e)
	}
	var b bytes.Buffer
	if err := namesTemplate.Execute(&b, page); err != nil {
		return err
	}
	name := filepath.Join(s.Dir, filepath.FromSlash(file))
	was, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return extract.WriteFile(name, was, b.Bytes())
}

// signers lists who named the pictures that groups took their names from.
func signers(groups []sorts.Group, names []sorts.Named) string {
	var list []string
	seen := map[string]bool{}
	for _, g := range groups {
		if g.By == "person" && !seen[names[g.Of].By] {
			seen[names[g.Of].By] = true
			list = append(list, names[g.Of].By)
		}
	}
	return strings.Join(list, " and ")
}

// usedNames is the pictures that groups took their names from, in order of picture.
func usedNames(groups []sorts.Group, names []sorts.Named) (used []extract.PictureName) {
	for _, g := range groups {
		if g.By == "person" {
			p := extract.PictureName{Picture: names[g.Of].Picture.Digest(), Name: names[g.Of].Name}
			if !slices.Contains(used, p) {
				used = append(used, p)
			}
		}
	}
	slices.SortFunc(used, func(a, b extract.PictureName) int { return strings.Compare(a.Picture, b.Picture) })
	return used
}
