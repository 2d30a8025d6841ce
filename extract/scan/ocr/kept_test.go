//go:build unix

package ocr

import (
	"context"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"windtally/extract/scan/cache"
	"windtally/extract/scan/press"
)

// watchedEngine is Tesseract behind a script that notes each image that it is given,
// and that stops dead after the first sheet where the file "hang" stands.
type watchedEngine struct {
	dir, script string
}

func newWatched(t *testing.T) *watchedEngine {
	t.Helper()
	real, err := exec.LookPath("tesseract")
	if err != nil {
		t.Fatal("tesseract is not installed: apt-get install tesseract-ocr")
	}
	w := &watchedEngine{dir: t.TempDir()}
	w.script = filepath.Join(w.dir, "tesseract")
	text := `#!/bin/sh
case "$1" in
--*) exec ` + real + ` "$@" ;;
list) cat list >>` + w.dir + `/seen ;;
*) echo "$1" >>` + w.dir + `/seen ;;
esac
if [ -e ` + w.dir + `/hang ]; then
	` + real + ` "$@" | awk '/<div class=.ocr_page/ { n++ } { print } n == 2 { exit }'
	echo >` + w.dir + `/hung
	exec sleep 600
fi
exec ` + real + ` "$@"
`
	if err := os.WriteFile(w.script, []byte(text), 0o700); err != nil {
		t.Fatal(err)
	}
	t.Setenv(EnvPath, w.script)
	return w
}

func (w *watchedEngine) locate(t *testing.T, d *cache.Dir) *Engine {
	t.Helper()
	e, err := Locate()
	if err != nil {
		t.Fatal(err)
	}
	e.Cache = d
	return e
}

// seen returns how many images the engine was given since the last call.
func (w *watchedEngine) seen(t *testing.T) int {
	t.Helper()
	name := filepath.Join(w.dir, "seen")
	data, err := os.ReadFile(name)
	if os.IsNotExist(err) {
		return 0
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	return strings.Count(string(data), "\n")
}

// madeCells are cells of a made page, and the page.
func madeCells(t *testing.T) ([]*image.Gray, *image.Gray) {
	t.Helper()
	fonts, err := press.Fonts()
	if err != nil {
		t.Fatal(err)
	}
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		t.Fatal(err)
	}
	for _, spec := range plan {
		if !spec.Ordinary || spec.DPI != 300 || spec.Design.Turn != 0 {
			continue
		}
		page, err := press.Make(spec, fonts)
		if err != nil {
			t.Fatal(err)
		}
		b := page.Image.Bounds()
		grey := image.NewGray(b)
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				grey.Set(x, y, page.Image.At(x, y))
			}
		}
		var cells []*image.Gray
		for _, table := range page.Tables {
			for _, row := range table.Rows {
				for _, c := range row.Cells {
					if c.Figure() {
						r := image.Rect(int(c.Box.X0)-3, int(c.Box.Y0)-3, int(c.Box.X1)+4, int(c.Box.Y1)+4).Intersect(b)
						cells = append(cells, grey.SubImage(r).(*image.Gray))
					}
				}
			}
		}
		if len(cells) < 100 {
			continue
		}
		return cells[:100], grey // three sheets
	}
	t.Fatal("the plan has no ordinary page of 100 figures at 300 dpi")
	return nil, nil
}

func TestAnswersAreKept(t *testing.T) {
	cells, page := madeCells(t)
	w := newWatched(t)
	ctx := context.Background()
	bare, err := w.locate(t, nil).Cells(ctx, cells, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := w.seen(t); n != 3 {
		t.Fatalf("the engine was given %d sheets, want 3 of at most %d cells", n, sheetRows)
	}
	path := t.TempDir()
	read := func(what string, images int, o Options) []Result {
		t.Helper()
		got, err := w.locate(t, cache.Open(path, cache.Most)).Cells(ctx, cells, o)
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if n := w.seen(t); n != images {
			t.Errorf("%s: the engine was given %d sheets, want %d", what, n, images)
		}
		return got
	}
	same := func(what string, got []Result) {
		t.Helper()
		if !reflect.DeepEqual(got, bare) {
			t.Errorf("%s: differs from what the engine reads without a cache", what)
		}
	}
	same("first", read("first", 3, Options{Parallel: 2}))
	told := 0
	same("second", read("second", 0, Options{Done: func(n int) { told += n }}))
	if told != len(cells) {
		t.Errorf("told of %d cells, want %d", told, len(cells))
	}
	read("other characters", 3, Options{Allow: "0123456789"})
	read("letters", 3, Options{Letters: true})

	// The page as a whole.
	var words [2][]Word
	for i := range words {
		e := w.locate(t, cache.Open(path, cache.Most))
		if words[i], err = e.Page(ctx, page, 300); err != nil {
			t.Fatal(err)
		}
		if n := w.seen(t); n != 1-i {
			t.Errorf("run %d: the engine was given %d pages, want %d", i+1, n, 1-i)
		}
	}
	if len(words[0]) == 0 || !reflect.DeepEqual(words[0], words[1]) {
		t.Errorf("the kept words of the page differ: %d and %d", len(words[0]), len(words[1]))
	}

	// Damaged, each result in another way.
	k := 0
	err = filepath.WalkDir(path, func(name string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		switch k++; k % 3 {
		case 0:
			data = data[:len(data)/2]
		case 1:
			data[len(data)-1-k] ^= 1
		case 2:
			data = nil
		}
		return os.WriteFile(name, data, 0o600)
	})
	if err != nil || k != 10 {
		t.Fatalf("%d results were damaged, want 10: %v", k, err)
	}
	same("damaged", read("damaged", 3, Options{}))
	same("mended", read("mended", 0, Options{}))

	// Another engine: one that tells another version, one of another binary.
	script, err := os.ReadFile(w.script)
	if err != nil {
		t.Fatal(err)
	}
	for _, change := range []string{"# another build\n", "# yet another\n"} {
		if err := os.WriteFile(w.script, append(script, change...), 0o700); err != nil {
			t.Fatal(err)
		}
		same(change, read(change, 3, Options{}))
	}
	data := t.TempDir()
	for _, name := range []string{"eng", "osd"} {
		text, err := os.ReadFile(filepath.Join(tessdata(t), name+".traineddata"))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(data, name+".traineddata"), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("TESSDATA_PREFIX", data)
	first := w.locate(t, nil).Identity()
	if err := os.Remove(filepath.Join(data, "osd.traineddata")); err != nil {
		t.Fatal(err)
	}
	if id := w.locate(t, nil).Identity(); id == "" || first == "" || id == first {
		t.Errorf("with other data the engine is %q, before %q", id, first)
	}
}

func tessdata(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("tesseract", "--list-langs").CombinedOutput()
	if err != nil {
		t.Fatal(err)
	}
	m := dataFolder.FindStringSubmatch(string(out))
	if m == nil {
		t.Fatalf("tesseract does not say where its data lies: %s", out)
	}
	return m[1]
}

// What the engine had read when it was stopped is not read again.
func TestStoppedBatch(t *testing.T) {
	cells, _ := madeCells(t)
	w := newWatched(t)
	hang := filepath.Join(w.dir, "hang")
	if err := os.WriteFile(hang, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	path := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	stop := make(chan struct{})
	go func() {
		defer close(stop)
		for range 600 {
			if _, err := os.Stat(filepath.Join(w.dir, "hung")); err == nil {
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		cancel()
	}()
	told := 0
	_, err := w.locate(t, cache.Open(path, cache.Most)).Cells(ctx, cells, Options{Done: func(n int) { told += n }})
	<-stop
	if err == nil || !strings.Contains(err.Error(), "tesseract was stopped: context canceled") {
		t.Fatalf("got %v", err)
	}
	if n := w.seen(t); n != 3 || told != sheetRows {
		t.Errorf("the engine was given %d sheets and told of %d cells, want 3 and %d", n, told, sheetRows)
	}
	if err := os.Remove(hang); err != nil {
		t.Fatal(err)
	}
	got, err := w.locate(t, cache.Open(path, cache.Most)).Cells(context.Background(), cells, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := w.seen(t); n != 2 {
		t.Errorf("after the stop the engine was given %d sheets, want the 2 that it had not read", n)
	}
	want, err := w.locate(t, nil).Cells(context.Background(), cells, Options{})
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("what was read in two runs differs from what is read in one: %v", err)
	}
}

func TestPieces(t *testing.T) {
	page := func(n int) string {
		return fmt.Sprintf("<div class='ocr_page' title='image \"%d.pgm\"'><span class='ocrx_word'><span class='ocrx_cinfo' title='x_bboxes 1 2 3 4; x_conf 90'>%d</span></span></div>\n", n, n)
	}
	whole := "<html><body>" + page(0) + page(1) + "</body></html>"
	for n := range len(whole) {
		list := pieces([]byte(whole[:n]))
		if len(list) > 0 {
			list = list[:len(list)-1] // as after a stop
		}
		for i, p := range list {
			words, err := parsePiece(p)
			if err != nil || len(words) != 1 || words[0][0].Text != fmt.Sprint(i) {
				t.Fatalf("cut to %d bytes: piece %d is %v, %v", n, i, words, err)
			}
		}
	}
	list := pieces([]byte(whole))
	if len(list) != 2 || string(list[0]) != page(0) || string(list[1]) != page(1) {
		t.Errorf("got %q", list)
	}
}
