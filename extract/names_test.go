package extract

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const namedOne = `schema: 1
by: "ab"
pictures:
  - picture: "aaaaaaaaaaaa"
    glyphs: 9
    name: "3"
`

// namesStudy is a study in which one picture has its name.
func namesStudy(t *testing.T) *Study {
	t.Helper()
	s := &Study{Dir: t.TempDir(), Names: []*Names{{Schema: Schema, By: "ab", Source: "scan", Pictures: []NamedPicture{{Picture: "aaaaaaaaaaaa", Glyphs: 9, Name: "3"}}}}}
	if err := os.MkdirAll(filepath.Join(s.Dir, "names", "scan"), 0o777); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"scan.yaml": namedOne, "scan/aaaaaaaaaaaa.png": "three"} {
		if err := os.WriteFile(filepath.Join(s.Dir, "names", name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func namesText(t *testing.T, s *Study, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(s.Dir, "names", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestAddPictures(t *testing.T) {
	s := namesStudy(t)
	// One is known, one is there without an entry, one is new and comes twice.
	orphan := filepath.Join(s.Dir, "names", "scan", "bbbbbbbbbbbb.png")
	if err := os.WriteFile(orphan, []byte("five"), 0o444); err != nil {
		t.Fatal(err)
	}
	added, err := s.AddPictures("scan", []NewPicture{{"aaaaaaaaaaaa", 4, []byte("drawn otherwise")}, {"bbbbbbbbbbbb", 5, []byte("five")}, {"cccccccccccc", 6, []byte("six")}, {"cccccccccccc", 6, []byte("six")}})
	if err != nil || added != 2 {
		t.Fatalf("added %d: %v", added, err)
	}
	if got, want := namesText(t, s, "scan.yaml"), namedOne+`  - picture: "bbbbbbbbbbbb"
    glyphs: 5
    name: ""
  - picture: "cccccccccccc"
    glyphs: 6
    name: ""
`; got != want {
		t.Errorf("scan.yaml:\n%s", got)
	}
	if got := namesText(t, s, "scan/aaaaaaaaaaaa.png") + namesText(t, s, "scan/cccccccccccc.png"); got != "threesix" {
		t.Errorf("pictures %s", got)
	}
	if n := s.Named("scan").Open(); n != 2 {
		t.Errorf("%d wait for a name", n)
	}
	if added, err := s.AddPictures("scan", []NewPicture{{"cccccccccccc", 6, []byte("six")}}); added != 0 || err != nil {
		t.Errorf("the same again: %d added, %v", added, err)
	}
}

func TestAddPicturesRefused(t *testing.T) {
	for name, tc := range map[string]struct {
		spoil func(s *Study) error
		want  string
	}{
		"another picture of the name": {func(s *Study) error {
			return os.WriteFile(filepath.Join(s.Dir, "names/scan/bbbbbbbbbbbb.png"), []byte("other"), 0o666)
		}, "names/scan/bbbbbbbbbbbb.png: is there already, is not in names/scan.yaml and shows something else than the shape that was read"},
		"a folder of the name": {func(s *Study) error {
			return os.Mkdir(filepath.Join(s.Dir, "names/scan/bbbbbbbbbbbb.png"), 0o777)
		}, "is a directory"},
		"named meanwhile": {func(s *Study) error {
			return os.WriteFile(filepath.Join(s.Dir, "names/scan.yaml"), []byte(strings.Replace(namedOne, `"3"`, `"8"`, 1)), 0o666)
		}, "names/scan.yaml: was changed after the program had read it, and nothing was added to it"},
		"half written meanwhile": {func(s *Study) error {
			return os.WriteFile(filepath.Join(s.Dir, "names/scan.yaml"), []byte(namedOne+"  - pic"), 0o666)
		}, "names/scan.yaml: was changed after the program had read it, and nothing was added to it"},
		"removed meanwhile": {func(s *Study) error { return os.Remove(filepath.Join(s.Dir, "names/scan.yaml")) },
			"names/scan.yaml: was changed after the program had read it, and nothing was added to it"},
		"written meanwhile": {func(s *Study) error { s.Names = nil; return nil },
			"names/scan.yaml: was changed after the program had read it, and nothing was added to it"},
	} {
		s := namesStudy(t)
		if err := tc.spoil(s); err != nil {
			t.Fatal(err)
		}
		before, _ := os.ReadFile(filepath.Join(s.Dir, "names/scan.yaml")) // one case removes it
		added, err := s.AddPictures("scan", []NewPicture{{"bbbbbbbbbbbb", 5, []byte("five")}, {"cccccccccccc", 6, []byte("six")}})
		var e *Error
		if added != 0 || err == nil || !strings.Contains(err.Error(), tc.want) || !errors.As(err, &e) && name != "a folder of the name" {
			t.Errorf("%s: %d added, %v, want %s", name, added, err, tc.want)
		}
		after, _ := os.ReadFile(filepath.Join(s.Dir, "names/scan.yaml"))
		if string(after) != string(before) {
			t.Errorf("%s: scan.yaml was changed:\n%s", name, after)
		}
		if _, err := os.Stat(filepath.Join(s.Dir, "names/scan/cccccccccccc.png")); err == nil {
			t.Errorf("%s: a picture was written", name)
		}
	}
	// A comment that a person adds meanwhile stays.
	s := namesStudy(t)
	if err := os.WriteFile(filepath.Join(s.Dir, "names/scan.yaml"), []byte("# mine\n"+namedOne), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddPictures("scan", []NewPicture{{"bbbbbbbbbbbb", 5, []byte("five")}}); err != nil || !strings.HasPrefix(namesText(t, s, "scan.yaml"), "# mine\n"+namedOne+"  - picture: ") {
		t.Errorf("%v:\n%s", err, namesText(t, s, "scan.yaml"))
	}
}
