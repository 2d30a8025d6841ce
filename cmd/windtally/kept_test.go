//go:build unix

package main

import (
	"errors"
	"image/png"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/go-pdf/fpdf"

	"windtally/extract/scan/press"
)

// watchedTesseract puts a script before Tesseract that notes what it is asked to read.
// Where the file "hang" stands in the folder it stops dead over cells, after the first
// sheet of them.
func watchedTesseract(t *testing.T) (dir string) {
	t.Helper()
	real, err := exec.LookPath("tesseract")
	if err != nil {
		t.Fatal("tesseract is not installed: apt-get install tesseract-ocr")
	}
	dir = t.TempDir()
	script := `#!/bin/sh
case "$1" in
--*) exec ` + real + ` "$@" ;;
list) cat list >>` + dir + `/seen ;;
*) echo "$1" >>` + dir + `/seen ;;
esac
if [ "$1" = list ] && [ -e ` + dir + `/hang ]; then
	` + real + ` "$@" | awk '/<div class=.ocr_page/ { n++ } { print } n == 2 { exit }'
	echo $$ >` + dir + `/pid
	mv ` + dir + `/pid ` + dir + `/hung
	exec sleep 600
fi
exec ` + real + ` "$@"
`
	write(t, filepath.Join(dir, "tesseract"), script)
	if err := os.Chmod(filepath.Join(dir, "tesseract"), 0o700); err != nil {
		t.Fatal(err)
	}
	t.Setenv("WINDTALLY_TESSERACT", filepath.Join(dir, "tesseract"))
	return dir
}

// imagesSeen returns how many images the engine was given since the last call.
func imagesSeen(t *testing.T, dir string) int {
	t.Helper()
	name := filepath.Join(dir, "seen")
	data, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
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

// ownCache gives the test a cache folder of its own, with the compiled PDF reader of
// the user's.
func ownCache(t *testing.T) (dir string) {
	t.Helper()
	user, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "windtally"), 0o700); err != nil {
		t.Fatal(err)
	}
	compiled, err := filepath.Glob(filepath.Join(user, "windtally", "wazero-*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range compiled {
		if err := os.Symlink(c, filepath.Join(dir, "windtally", filepath.Base(c))); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("XDG_CACHE_HOME", dir)
	return dir
}

// scannedStudy is a study of one source: a PDF of n made pages at 300 dpi, images
// without a text layer, with a table of about so many rows on each.
func scannedStudy(t *testing.T, n, rows int) (study string) {
	t.Helper()
	fonts, err := press.Fonts()
	if err != nil {
		t.Fatal(err)
	}
	plan, err := press.Plan(press.Tuned)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "scan.pdf")
	doc := fpdf.New("P", "pt", "A4", "")
	for _, spec := range plan {
		if n == 0 || !spec.Ordinary || spec.DPI != 300 || spec.Design.Turn != 0 || spec.Design.Across > 1 || spec.Design.Columns < 5 {
			continue
		}
		n--
		spec.Design.Rows = rows
		page, err := press.Make(spec, fonts)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), "page.png")
		f, err := os.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(png.Encode(f, page.Image), f.Close()); err != nil {
			t.Fatal(err)
		}
		b := page.Image.Bounds()
		w, h := float64(b.Dx())*72/page.DPI, float64(b.Dy())*72/page.DPI
		doc.AddPageFormat("P", fpdf.SizeType{Wd: w, Ht: h})
		doc.ImageOptions(name, 0, 0, w, h, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	}
	if err := doc.OutputFileAndClose(file); err != nil || n > 0 {
		t.Fatalf("%d pages are missing: %v", n, err)
	}
	study = newStudy(t)
	must(t, study, "cite", file, "--designation", "TAL R 31", "--title", "Loads", "--year", "1938", "--rights", "invented", "--name", "loads")
	return study
}

// readings returns all readings of a study, file by file.
func readings(t *testing.T, study string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(study, "readings", "*.*[vn]"))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString("== " + filepath.Base(name) + "\n" + string(data))
	}
	return b.String()
}

func firstTable(t *testing.T, study string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(study, "tables", "*.yaml"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no table was drafted: %v", err)
	}
	return strings.TrimSuffix(filepath.Base(names[0]), ".yaml")
}

func TestPagesAreNotReadTwice(t *testing.T) {
	home := ownCache(t)
	study := scannedStudy(t, 2, 14)
	engine := watchedTesseract(t)
	list := func() string { return must(t, study, "extract", "--list", "loads") }
	first := list()
	if n := imagesSeen(t, engine); n < 2 {
		t.Fatalf("the engine was given %d images for two pages", n)
	}
	if !strings.Contains(first, "page 1,") || !strings.Contains(first, "page 2,") {
		t.Fatalf("not a table on each page:\n%s", first)
	}
	if second := list(); second != first {
		t.Errorf("the second list differs:\n%s\n%s", first, second)
	}
	if n := imagesSeen(t, engine); n != 0 {
		t.Errorf("the second list gave the engine %d images", n)
	}
	must(t, study, "extract", "loads")
	table := firstTable(t, study)

	read := func(what string) (images int) {
		t.Helper()
		must(t, study, "extract", table)
		return imagesSeen(t, engine)
	}
	if n := read("first"); n < 2 {
		t.Fatalf("the engine was given %d sheets for a table", n)
	}
	want := readings(t, study)
	check := func(what string, images, least, most int) {
		t.Helper()
		if images < least || images > most {
			t.Errorf("%s: the engine was given %d images, want %d to %d", what, images, least, most)
		}
		if got := readings(t, study); got != want {
			t.Errorf("%s: the readings differ", what)
		}
	}
	check("second", read("second"), 0, 0)

	// Serial, and without what was kept.
	pages := filepath.Join(home, "windtally", "pages")
	if err := os.RemoveAll(pages); err != nil {
		t.Fatal(err)
	}
	before := runtime.GOMAXPROCS(1)
	serial := list()
	runtime.GOMAXPROCS(4)
	if err := os.RemoveAll(pages); err != nil {
		t.Fatal(err)
	}
	parallel := list()
	check("anew and in parallel", read("parallel"), 2, 99)
	runtime.GOMAXPROCS(before)
	if serial != parallel {
		t.Errorf("one after the other and in parallel:\n%s\n%s", serial, parallel)
	}

	// Damaged.
	damaged := 0
	err := filepath.WalkDir(pages, func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		damaged++
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if damaged%2 == 0 {
			return os.WriteFile(name, data[:len(data)*2/3], 0o600)
		}
		data[len(data)/2] ^= 4
		return os.WriteFile(name, data, 0o600)
	})
	if err != nil || damaged < 5 {
		t.Fatalf("%d results were damaged: %v", damaged, err)
	}
	check("damaged", read("damaged"), 2, 99)
	check("mended", read("mended"), 0, 0)

	// Other settings: columns that stand a little to the right.
	file := filepath.Join(study, "tables", table+".yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	write(t, file, strings.Replace(string(text), "    box: [", "    dx: 0.01\n    box: [", 1))
	results := entries(t, pages)
	read("other settings")
	if n := entries(t, pages); n <= results {
		t.Errorf("a table with other columns was taken for the one that was read")
	}
	write(t, file, string(text))

	// Another version of the engine.
	script := filepath.Join(engine, "tesseract")
	old, err := os.ReadFile(script)
	if err != nil {
		t.Fatal(err)
	}
	write(t, script, strings.Replace(string(old), "case \"$1\" in\n", "case \"$1\" in\n--version) echo tesseract 5.9.9 ;;\n", 1))
	check("another version", read("another version"), 2, 99)
	check("another version again", read("another version again"), 0, 0)

	// A cache folder that cannot be: below a file.
	blocked := filepath.Join(t.TempDir(), "file")
	write(t, blocked, "")
	t.Setenv("XDG_CACHE_HOME", blocked)
	check("no folder", read("no folder"), 2, 99)
	t.Setenv("XDG_CACHE_HOME", "not absolute")
	check("no such folder", read("no such folder"), 2, 99)

	// Nothing of it is in the study.
	for _, name := range []string{"pages", "windtally", ".cache"} {
		if _, err := os.Stat(filepath.Join(study, name)); err == nil {
			t.Errorf("the study holds %s", name)
		}
	}
}

func entries(t *testing.T, dir string) (n int) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			n++
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// A run that is interrupted ends soon, leaves no child and no reading, and the next
// one goes on from there.
func TestInterrupted(t *testing.T) {
	ownCache(t)
	study := scannedStudy(t, 1, 30)
	engine := watchedTesseract(t)
	must(t, study, "extract", "loads")
	imagesSeen(t, engine)
	table := firstTable(t, study)
	hang := filepath.Join(engine, "hang")
	write(t, hang, "")

	cmd := exec.Command("windtally", "--study", study, "extract", table)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	var stderr strings.Builder
	cmd.Stderr = &stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var pid int
	for range 1200 {
		if data, err := os.ReadFile(filepath.Join(engine, "hung")); err == nil {
			if pid, err = strconv.Atoi(strings.TrimSpace(string(data))); err != nil {
				t.Fatal(err)
			}
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if pid == 0 {
		t.Fatal("the engine was not started within a minute")
	}
	// Twice, as impatient people do: the second one must not end it before its children.
	for range 2 {
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		time.Sleep(2 * time.Millisecond)
	}
	killed := time.AfterFunc(time.Minute, func() { _ = cmd.Process.Kill() })
	err := cmd.Wait()
	if !killed.Stop() {
		t.Fatal("it went on for a minute")
	}
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != exitFailed {
		t.Errorf("got %v, want exit code %d", err, exitFailed)
	}
	if want := "windtally: interrupted; run the command again\n"; stderr.String() != want {
		t.Errorf("stderr:\n%swant:\n%s", &stderr, want)
	}
	if err := syscall.Kill(pid, 0); !errors.Is(err, syscall.ESRCH) {
		t.Errorf("the engine lives on: %v", err)
	}
	if got := readings(t, study); got != "" {
		t.Errorf("readings were written:\n%s", got)
	}
	begun := imagesSeen(t, engine)

	if err := os.Remove(hang); err != nil {
		t.Fatal(err)
	}
	must(t, study, "extract", table)
	resumed := imagesSeen(t, engine)
	got := readings(t, study)
	ownCache(t)
	must(t, study, "extract", table)
	whole := imagesSeen(t, engine)
	if readings(t, study) != got {
		t.Error("what was read in two runs differs from what is read in one")
	}
	// The page's words and one sheet of cells were read before the interruption.
	if begun < 2 || resumed >= whole-1 || resumed == 0 {
		t.Errorf("the engine was given %d images before the interruption, %d after, %d in a run of its own", begun, resumed, whole)
	}
}

func TestEachPage(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(4))
	faults := map[int]error{7: errors.New("seven"), 3: errors.New("three")}
	for range 50 {
		err := eachPage(t.Context(), 20, func(i int) error {
			if i == 3 {
				time.Sleep(time.Millisecond) // page 7 fails first
			}
			return faults[i]
		})
		if err != faults[3] {
			t.Fatalf("got %v, want the fault of the first page that has one", err)
		}
	}
	var done [20]bool
	if err := eachPage(t.Context(), len(done), func(i int) error { done[i] = true; return nil }); err != nil {
		t.Fatal(err)
	}
	for i, ok := range done {
		if !ok {
			t.Errorf("page %d was left out", i)
		}
	}
}

func TestRoom(t *testing.T) {
	r := newRoom()
	give := r.take(2 * pixelsInFlight) // alone, it may be larger than the whole
	taken := make(chan bool)
	go func() { r.take(1)(); taken <- true }()
	select {
	case <-taken:
		t.Error("a page was let in beside one that fills all")
	case <-time.After(50 * time.Millisecond):
	}
	give()
	<-taken
	a, b := r.take(pixelsInFlight/2), r.take(pixelsInFlight/2)
	a()
	b()
}
