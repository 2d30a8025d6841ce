package extract

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Names is names/<source>.yaml: what a person saw in the pictures of the figures of a
// scanned source. The pictures stand in the folder names/<source>.
type Names struct {
	Schema int `yaml:"schema" validate:"eq=1"`
	// By is who named the pictures that do not say so themselves.
	By       string         `yaml:"by" validate:"omitempty,initials"`
	Pictures []NamedPicture `yaml:"pictures" validate:"unique=Picture,dive"`

	Source string `yaml:"-"`
}

// NamedPicture is one picture of a figure's shape.
type NamedPicture struct {
	Picture string `yaml:"picture" validate:"required,len=12,hexadecimal"` // its file is <picture>.png
	Glyphs  int    `yaml:"glyphs" validate:"min=1"`                        // that it stood for when it was put forward
	Name    string `yaml:"name" validate:"shapename"`                      // "" waits for a person
	By      string `yaml:"by,omitempty" validate:"omitempty,initials"`
}

// File is the path of the file in a study.
func (n *Names) File() string { return "names/" + n.Source + ".yaml" }

// PictureFile is the path of a picture's file in a study.
func (n *Names) PictureFile(picture string) string {
	return "names/" + n.Source + "/" + picture + ".png"
}

// Open counts the pictures that wait for a name.
func (n *Names) Open() int {
	count := 0
	for _, p := range n.Pictures {
		if p.Name == "" {
			count++
		}
	}
	return count
}

// Who is who named a picture.
func (n *Names) Who(p NamedPicture) string {
	if p.By != "" {
		return p.By
	}
	return n.By
}

// Named returns the names of the pictures of a source, or nil.
func (s *Study) Named(source string) *Names {
	for _, n := range s.Names {
		if n.Source == source {
			return n
		}
	}
	return nil
}

// Renamed returns those of the pictures that bear another name today, each with what
// it was read as: name is "" where the picture waits again or is there no longer.
func (s *Study) Renamed(source string, used []PictureName) (changed []Renaming) {
	now := map[string]string{}
	if n := s.Named(source); n != nil {
		for _, p := range n.Pictures {
			now[p.Picture] = p.Name
		}
	}
	for _, u := range used {
		if name := now[u.Picture]; name != u.Name {
			changed = append(changed, Renaming{u.Picture, u.Name, name})
		}
	}
	return changed
}

// Renaming is a picture that a person calls otherwise than when it was used.
type Renaming struct{ Picture, Was, Is string }

// checkNames looks at what a file of names says of sources and people.
func (s *Study) checkNames(add func(file, path, format string, args ...any)) {
	for _, n := range s.Names {
		if s.Source(n.Source) == nil {
			add(n.File(), "schema", "is named after no source; known sources: %s", s.sourceNames())
		}
		if n.By != "" {
			if err := s.Person(n.By); err != nil {
				add(n.File(), "by", "%v", err)
			}
		}
		for i, p := range n.Pictures {
			at := fmt.Sprintf("pictures[%d]", i)
			if p.By != "" {
				if err := s.Person(p.By); err != nil {
					add(n.File(), at+".by", "picture %s: %v", p.Picture, err)
				}
			}
			if p.Name != "" && n.Who(p) == "" {
				add(n.File(), at+".name", "picture %s is named %q and nobody signs it; write the initials of who named it at by:", p.Picture, p.Name)
			}
		}
	}
}

// NewPicture is a picture to be put forward for a name.
type NewPicture struct {
	Picture string // 12 hexadecimal figures that stand for what it shows
	Glyphs  int
	PNG     []byte
}

const namesHead = `# The shapes of the figures of %[1]s, for a person to name, once for the whole source.
# names/%[1]s.html shows them all. Write between the quotes of name: the one figure that
# the picture shows, 0 to 9, or ? where it shows none, or where two figures are mixed.
# Write your initials, as in study.yaml, between the quotes of by:.
schema: 1
by: ""
pictures:
`

// AddPictures puts pictures forward: it writes their files and adds them to the file
// of names, below what stands there, of which nothing is changed. Pictures that are
// there already are passed over. It returns how many were added.
func (s *Study) AddPictures(source string, list []NewPicture) (added int, err error) {
	n := s.Named(source)
	known := map[string]bool{}
	if n == nil {
		n = &Names{Schema: Schema, Source: source}
	}
	for _, p := range n.Pictures {
		known[p.Picture] = true
	}
	file := filepath.Join(s.Dir, filepath.FromSlash(n.File()))
	was, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	if was != nil || len(n.Pictures) > 0 {
		now := Names{Source: source}
		if faults := decodeYAML(n.File(), was, &now); len(faults) > 0 || !reflect.DeepEqual(now, *n) {
			return 0, &Error{File: n.File(), Msg: "was changed after the program had read it, and nothing was added to it", Hint: "run the command again: it takes up what stands there now"}
		}
	}
	text := bytes.Clone(was)
	if text == nil {
		text = fmt.Appendf(nil, namesHead, source)
	}
	if !bytes.HasSuffix(text, []byte("\n")) {
		text = append(text, '\n')
	}
	indent := entryIndent(text)
	want := Names{Schema: n.Schema, By: n.By, Pictures: append([]NamedPicture(nil), n.Pictures...), Source: source}
	var writes []fileWrite
	for _, p := range list {
		if known[p.Picture] {
			continue
		}
		known[p.Picture] = true
		name := filepath.Join(s.Dir, filepath.FromSlash(n.PictureFile(p.Picture)))
		switch old, err := os.ReadFile(name); {
		case errors.Is(err, fs.ErrNotExist):
			writes = append(writes, fileWrite{name, nil, p.PNG})
		case err != nil:
			return 0, err
		case !bytes.Equal(old, p.PNG):
			return 0, &Error{File: n.PictureFile(p.Picture), Msg: "is there already, is not in " + n.File() + " and shows something else than the shape that was read",
				Hint: "move the file away and run the command again"}
		}
		added++
		text = fmt.Appendf(text, "%[1]s- picture: %[2]q\n%[1]s  glyphs: %[3]d\n%[1]s  name: \"\"\n", indent, p.Picture, p.Glyphs)
		want.Pictures = append(want.Pictures, NamedPicture{Picture: p.Picture, Glyphs: p.Glyphs})
	}
	if added == 0 {
		return 0, nil
	}
	got := Names{Source: source}
	if faults := decodeYAML(n.File(), text, &got); len(faults) > 0 || !reflect.DeepEqual(got, want) {
		return 0, &Error{File: n.File(), Line: yamlLineOf(was, "pictures"), Msg: "new pictures cannot be added below what stands there, and nothing was written",
			Hint: "write one picture under another, and pictures: as the last key of the file"}
	}
	if err := os.MkdirAll(filepath.Join(s.Dir, "names", source), 0o777); err != nil {
		return 0, err
	}
	if err := writeFiles(append(writes, fileWrite{file, was, text})); err != nil {
		return 0, err
	}
	if s.Named(source) == nil {
		s.Names = append(s.Names, n)
	}
	n.Pictures = want.Pictures
	return added, nil
}

// entryIndent is the white space before the entries of pictures:.
func entryIndent(text []byte) string {
	var root yaml.Node
	if err := yaml.Unmarshal(text, &root); err == nil && len(root.Content) == 1 {
		body := root.Content[0]
		for i := 0; i+1 < len(body.Content); i += 2 {
			if v := body.Content[i+1]; body.Content[i].Value == "pictures" && v.Kind == yaml.SequenceNode && len(v.Content) > 0 && v.Style&yaml.FlowStyle == 0 {
				return strings.Repeat(" ", max(0, v.Column-1))
			}
		}
	}
	return "  "
}
