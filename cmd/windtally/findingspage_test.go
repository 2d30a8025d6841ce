package main

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg"
	_ "image/png"
	"io"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"windtally/extract"

	"github.com/rogpeppe/go-internal/testscript"
)

// The elements and attributes of the page; what else stands in it came from a text.
var pageElements = strings.Fields("html head meta title style body h1 h2 h3 p section figure figcaption span img svg a rect table tr th td code ul li")

var pageAttributes = strings.Fields("lang data-made-by charset http-equiv content name class id style src width height alt viewBox preserveAspectRatio aria-hidden href x y")

// pageOfFindings reads the page as XML with HTML's own tags left open, which a page
// with every attribute quoted is.
func pageOfFindings(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: page-of-findings FILE")
	}
	text := ts.ReadFile(args[0])
	if !strings.HasPrefix(text, findingsPageHead) {
		ts.Fatalf("%s begins with %.80q", args[0], text)
	}
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	ids, links := map[string]bool{}, map[string]bool{}
	images := 0
	var stack []string
	var command strings.Builder
	var width, height int
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		ts.Check(err)
		switch tok := tok.(type) {
		case xml.StartElement:
			name := tok.Name.Local
			if !slices.Contains(pageElements, name) {
				ts.Fatalf("the page has the element %s", name)
			}
			stack = append(stack, name)
			at := map[string]string{}
			for _, a := range tok.Attr {
				if !slices.Contains(pageAttributes, a.Name.Local) {
					ts.Fatalf("%s has the attribute %s=%q", name, a.Name.Local, a.Value)
				}
				at[a.Name.Local] = a.Value
			}
			if id := at["id"]; id != "" {
				if ids[id] {
					ts.Fatalf("the id %s stands twice", id)
				}
				ids[id] = true
			}
			number := func(key string) int {
				n, err := strconv.Atoi(at[key])
				ts.Check(err)
				return n
			}
			switch name {
			case "img":
				images++
				_, data, ok := strings.Cut(at["src"], ";base64,")
				if !ok || !strings.HasPrefix(at["src"], "data:image/") {
					ts.Fatalf("a picture from %.60s", at["src"])
				}
				raw, err := base64.StdEncoding.DecodeString(data)
				ts.Check(err)
				img, _, err := image.Decode(bytes.NewReader(raw))
				ts.Check(err)
				width, height = number("width"), number("height")
				if b := img.Bounds(); b.Dx() != width || b.Dy() != height {
					ts.Fatalf("a picture of %v pixels is given as %d x %d", b, width, height)
				}
				if !inked(img) {
					ts.Fatalf("a picture without print: %s", at["alt"])
				}
			case "rect":
				x, y, w, h := number("x"), number("y"), number("width"), number("height")
				if x < 0 || y < 0 || w < 1 || h < 1 || x+w > width || y+h > height {
					ts.Fatalf("an outline at %d %d, %d x %d, in a picture of %d x %d", x, y, w, h, width, height)
				}
			case "a":
				links[at["href"]] = true
			}
		case xml.CharData:
			if n := len(stack); n > 1 && stack[n-1] == "code" && stack[n-2] == "li" {
				command.Write(tok)
			}
		case xml.EndElement:
			if n := len(stack); n > 1 && stack[n-1] == "code" && stack[n-2] == "li" {
				words, err := exec.Command("sh", "-c", "set -- "+command.String()+`; printf '%s\0' "$@"`).Output()
				ts.Check(err)
				fmt.Fprintf(ts.Stdout(), "%q\n", strings.Split(strings.TrimSuffix(string(words), "\x00"), "\x00"))
				command.Reset()
			}
			if n := len(stack); n == 0 || stack[n-1] != tok.Name.Local {
				ts.Fatalf("%s ends within %v", tok.Name.Local, stack)
			}
			stack = stack[:len(stack)-1]
		}
	}
	for l := range links {
		if id, ok := strings.CutPrefix(l, "#"); !ok || !ids[id] {
			ts.Fatalf("a link to %s, which is not on the page", l)
		}
	}
	if images == 0 {
		ts.Fatalf("the page has no picture")
	}
	if len(text) > images*100_000 {
		ts.Check(errors.New("more than 100 kB a picture"))
	}
}

// A cell stands in its outline however the page is turned, and in the picture of the
// table too.
func TestPictureTurned(t *testing.T) {
	cell := extract.Rect{X0: 200, Y0: 300, X1: 260, Y1: 320}
	for _, turn := range []int{0, 90, 180, 270} {
		page := image.NewGray(image.Rect(0, 0, 600, 800))
		for i := range page.Pix {
			page.Pix[i] = 255
		}
		box := cell
		if turn == 90 || turn == 270 {
			box = extract.Rect{X0: 300, Y0: 200, X1: 320, Y1: 260}
		}
		// The head of the cell as read: its left half is ink.
		ink := image.Rect(int(box.X0), int(box.Y0), int(box.X1), int(box.Y1))
		switch turn {
		case 0:
			ink.Max.X -= 30
		case 90: // turned clockwise, what is lowest comes first
			ink.Min.Y += 30
		case 180:
			ink.Min.X += 30
		case 270:
			ink.Max.Y -= 30
		}
		draw.Draw(page, ink, image.Black, image.Point{}, draw.Src)
		for _, whole := range []bool{false, true} {
			m := &picture{area: box, outlines: []outline{{box: box, about: true}}, whole: whole}
			if whole {
				m.area = extract.Rect{X0: 0, Y0: 0, X1: 600, Y1: 800}
			}
			if err := m.cut(page, 1, turn); err != nil {
				t.Fatal(err)
			}
			_, data, _ := strings.Cut(string(m.URL), ";base64,")
			raw, err := base64.StdEncoding.DecodeString(data)
			if err != nil {
				t.Fatal(err)
			}
			img, _, err := image.Decode(bytes.NewReader(raw))
			if err != nil {
				t.Fatal(err)
			}
			dark := image.Rectangle{}
			for y := range m.Height {
				for x := range m.Width {
					if r, _, _, _ := img.At(x, y).RGBA(); r < 0x4000 {
						dark = dark.Union(image.Rect(x, y, x+1, y+1))
					}
				}
			}
			b := m.Boxes[0]
			want := image.Rect(b.X+3, b.Y+3, b.X+33, b.Y+23)
			if dark != want || b.Width != 66 || b.Height != 26 {
				t.Errorf("turned by %d, whole %v: ink at %v, outline %+v", turn, whole, dark, b)
			}
		}
	}
}

// A hundred pictures of cells on the noisiest paper stay below ten megabytes.
func TestPictureSize(t *testing.T) {
	page := image.NewGray(image.Rect(0, 0, 2550, 3300))
	rnd := rand.New(rand.NewPCG(1, 2))
	for i := range page.Pix {
		page.Pix[i] = uint8(140 + rnd.IntN(100))
	}
	box := extract.Rect{X0: 300, Y0: 300, X1: 325, Y1: 309.6}
	m := &picture{area: box, near: grown(box, 100, 0), outlines: []outline{{box: box}}}
	if err := m.cut(page, 300.0/72, 0); err != nil {
		t.Fatal(err)
	}
	if len(m.URL) > 100_000 {
		t.Errorf("a picture of %d x %d pixels takes %d bytes", m.Width, m.Height, len(m.URL))
	}
}

func TestQuoted(t *testing.T) {
	for _, c := range []struct{ word, want string }{
		{"polar:r001:CL", "polar:r001:CL"},
		{"--reread=-.12", "--reread=-.12"},
		{"", "''"},
		{"a b", "'a b'"},
		{"it's", `'it'\''s'`},
		{"$(x)", "'$(x)'"},
		{"~", "'~'"},
		{"½", "'½'"},
	} {
		if got := quoted(c.word); got != c.want {
			t.Errorf("%q quoted as %s, want %s", c.word, got, c.want)
		}
	}
}

// inked reports whether there is print in a picture: some dark, most light.
func inked(img image.Image) bool {
	dark, all := 0, 0
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			all++
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x4000 {
				dark++
			}
		}
	}
	return dark > all/1000 && dark < all/2
}
