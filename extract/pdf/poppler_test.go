package pdf

import (
	"bytes"
	"fmt"
	"html"
	"image/png"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"windtally/extract"
)

func poppler(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing, and this check compares with it: apt-get install poppler-utils", name)
	}
	out, err := exec.Command(path, args...).Output()
	if err != nil {
		t.Fatalf("%s %q: %v", name, args, err)
	}
	return out
}

// popplerWords reads the output of pdftotext -bbox: points, y down, as displayed.
func popplerWords(t *testing.T, file string, page int) []extract.Word {
	t.Helper()
	n := strconv.Itoa(page)
	out := poppler(t, "pdftotext", "-bbox", "-f", n, "-l", n, file, "-")
	line := regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`)
	var words []extract.Word
	for _, m := range line.FindAllSubmatch(out, -1) {
		var v [4]float64
		for i := range v {
			f, err := strconv.ParseFloat(string(m[i+1]), 64)
			if err != nil {
				t.Fatal(err)
			}
			v[i] = f
		}
		words = append(words, extract.Word{Text: html.UnescapeString(string(m[5])), Box: extract.Rect{X0: v[0], Y0: v[1], X1: v[2], Y1: v[3]}})
	}
	return words
}

// TestPopplerWords compares words and boxes with Debian's poppler-utils
// (pdftotext -bbox, version 22.12), another program on another library. A word
// agrees when its text is equal and both its ends along the writing are within
// half a point; across the writing the two take ascent and descent from
// different tables of the font, so there the middles may differ by 3 points.
func TestPopplerWords(t *testing.T) {
	const along, across = 0.5, 3.0
	cases := []struct {
		folder, file string
		page         int
		words        int // that poppler sees
		differ       int // at most, and why:
		why          string
	}{
		{"malformed", "base14_courier.pdf", 1, 190, 0, ""},
		{"malformed", "base14_times.pdf", 1, 190, 0, ""},
		{"malformed", "groff_tbl.pdf", 1, 9, 0, ""},
		{"malformed", "rot90.pdf", 1, 133, 0, ""},
		{"malformed", "rottext.pdf", 1, 182, 0, ""},
		{"malformed", "mediabox_offset.pdf", 1, 6, 0, ""},
		{"malformed", "formxobj.pdf", 1, 184, 0, ""},
		{"malformed", "tw_spacing.pdf", 1, 70, 0, ""},
		{"reports", "naca-tr-572.pdf", 22, 1090, 2, "poppler parts letters that leave a tenth of an em: I0 and its leaders"},
		{"reports", "naca-tr-572.pdf", 24, 251, 4, "the same, twice"},
		{"reports", "nasa-tm-4741.pdf", 22, 698, 0, ""},
		{"reports", "naca-tr-903.pdf", 13, 788, 0, ""},
		{"reports", "ussa-1976-excerpt.pdf", 1, 164, 0, ""},
	}
	at := material(t, len(cases), "pages against poppler")
	for _, c := range cases {
		t.Run(fmt.Sprintf("%s-p%d", c.file, c.page), func(t *testing.T) {
			file := at(c.folder, c.file)
			want := popplerWords(t, file, c.page)
			if len(want) != c.words {
				t.Errorf("poppler sees %d words, want %d: is it another version?", len(want), c.words)
			}
			pages, err := reader().Pages(ctx(t), file, []int{c.page})
			if err != nil {
				t.Fatal(err)
			}
			used := make([]bool, len(pages[0].Words))
			var missing []extract.Word
			worst := 0.0
		next:
			for _, w := range want {
				for i, g := range pages[0].Words {
					a0, a1, b := g.Box.X0-w.Box.X0, g.Box.X1-w.Box.X1, g.Box.MidY()-w.Box.MidY()
					if g.Turn%180 == 90 {
						a0, a1, b = g.Box.Y0-w.Box.Y0, g.Box.Y1-w.Box.Y1, g.Box.MidX()-w.Box.MidX()
					}
					a := math.Max(math.Abs(a0), math.Abs(a1))
					if !used[i] && g.Text == w.Text && a <= along && math.Abs(b) <= across {
						used[i] = true
						worst = math.Max(worst, a)
						continue next
					}
				}
				missing = append(missing, w)
			}
			t.Logf("%d of %d words agree; largest difference along the writing %.3f points", len(want)-len(missing), len(want), worst)
			if len(missing) > c.differ {
				for i, w := range missing {
					if i == 10 {
						break
					}
					t.Logf("only poppler: %q at %v", w.Text, w.Box)
				}
				for i, w := range pages[0].Words {
					if !used[i] {
						t.Logf("only pdfium: %q at %v", w.Text, w.Box)
					}
				}
				t.Errorf("%d words of %d differ, want at most %d %s", len(missing), len(want), c.differ, c.why)
			}
		})
	}
}

// TestPopplerImage compares page images with pdftoppm at 72 dpi: the size, and
// the darkness of each of 48 fields, which a page turned or mirrored would upset.
func TestPopplerImage(t *testing.T) {
	cases := []struct {
		folder, file string
		page         int
		width, high  int
	}{
		{"malformed", "rot90.pdf", 1, 612, 792},
		{"malformed", "rottext.pdf", 1, 612, 792},
		{"malformed", "mediabox_offset.pdf", 1, 612, 792},
		{"malformed", "scan_ccitt.pdf", 1, 612, 792},
		{"malformed", "scan_jbig2.pdf", 1, 612, 792},
		{"reports", "ussa-1976-excerpt.pdf", 1, 610, 791},
		{"reports", "nasa-tm-4741.pdf", 22, 814, 610},
	}
	at := material(t, len(cases), "page images against poppler")
	for _, c := range cases {
		t.Run(fmt.Sprintf("%s-p%d", c.file, c.page), func(t *testing.T) {
			file := at(c.folder, c.file)
			n := strconv.Itoa(c.page)
			pgm := poppler(t, "pdftoppm", "-r", "72", "-gray", "-f", n, "-l", n, file)
			var w, h, top int
			if _, err := fmt.Sscanf(string(pgm[:min(len(pgm), 40)]), "P5\n%d %d\n%d\n", &w, &h, &top); err != nil {
				t.Fatal(err)
			}
			pixels := pgm[len(pgm)-w*h:]
			data, err := reader().Render(ctx(t), file, c.page, 72)
			if err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			if img.Bounds().Dx() != w || img.Bounds().Dy() != h || w != c.width || h != c.high {
				t.Fatalf("pdfium %v, poppler %d x %d, want %d x %d", img.Bounds(), w, h, c.width, c.high)
			}
			const across, down = 6, 8
			for fy := range down {
				for fx := range across {
					var a, b, n float64
					for y := fy * h / down; y < (fy+1)*h/down; y++ {
						for x := fx * w / across; x < (fx+1)*w/across; x++ {
							r, g, bl, _ := img.At(x, y).RGBA()
							a += float64(r+g+bl) / 3 / 257
							b += float64(pixels[y*w+x])
							n++
						}
					}
					if math.Abs(a-b)/n > 8 {
						t.Errorf("field %d, %d: grey %.1f, poppler %.1f of 255", fx, fy, a/n, b/n)
					}
				}
			}
		})
	}
}

func TestRenderBounds(t *testing.T) {
	file := build(t, letter, "1 0 0 rg 0 0 306 792 re f")
	_, err := reader().Render(ctx(t), file, 1, 720)
	wantError(t, err, "made.pdf:p1: at 720 dpi the page has 6120 x 7920 = 48 million pixels; the limit is 40 million")
	_, err = reader().Render(ctx(t), file, 1, 1e300)
	wantError(t, err, "made.pdf:p1: at 1e+300 dpi the page has ")
	for _, dpi := range []float64{0, -300, math.NaN(), math.Inf(1)} {
		_, err = reader().Render(ctx(t), file, 1, dpi)
		wantError(t, err, "want a positive number")
	}
	data, err := reader().Render(ctx(t), file, 1, 36)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 306 || b.Dy() != 396 {
		t.Fatalf("%v, want 306 x 396", b)
	}
	if r, g, b, a := img.At(50, 200).RGBA(); r != 0xFFFF || g != 0 || b != 0 || a != 0xFFFF {
		t.Errorf("left half %x %x %x %x, want red", r, g, b, a)
	}
	if r, g, b, _ := img.At(250, 200).RGBA(); r != 0xFFFF || g != 0xFFFF || b != 0xFFFF {
		t.Errorf("right half %x %x %x, want white", r, g, b)
	}
}
