package pdf

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"windtally/extract"
)

func wantError(t *testing.T, err error, parts ...string) {
	t.Helper()
	var e *extract.Error
	if !errors.As(err, &e) {
		t.Fatalf("got %v, want an error with a place", err)
	}
	for _, p := range parts {
		if !strings.Contains(err.Error(), p) {
			t.Errorf("got %q, want %q in it", err, p)
		}
	}
}

func bad(kind string) Reader { return Reader{Worker: []string{os.Args[0], kind}} }

func TestRefusedBeforeReading(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good := write("good.pdf", "%PDF-1.4\n")
	_, err := Reader{}.Info(ctx(t), good)
	wantError(t, err, "good.pdf: no worker is set")
	_, err = reader().Info(ctx(t), filepath.Join(dir, "none.pdf"))
	wantError(t, err, "none.pdf: cannot be opened: ")
	if strings.Contains(err.Error(), dir) {
		t.Errorf("%q: the folder must not be in the message", err)
	}
	_, err = reader().Info(ctx(t), dir)
	wantError(t, err, "is not a regular file")
	_, err = reader().Info(ctx(t), write("empty.pdf", ""))
	wantError(t, err, "empty.pdf: is empty")
	_, err = reader().Info(ctx(t), write("letter.pdf", "Dear Sir, herewith the polar of your wing."))
	wantError(t, err, "letter.pdf: this is not a PDF: want %PDF- at its beginning")
	_, err = reader().Info(ctx(t), write("stub.pdf", "%PDF-1.4\nand nothing more"))
	wantError(t, err, "stub.pdf: this PDF is damaged beyond repair")
	_, err = Reader{Worker: []string{filepath.Join(dir, "no-such-program")}}.Info(ctx(t), good)
	wantError(t, err, "good.pdf: the worker cannot be started")

	// A sparse file takes no room on disk.
	big := write("big.pdf", "%PDF-1.4\n")
	if err := os.Truncate(big, maxFile+1<<20); err != nil {
		t.Fatal(err)
	}
	_, err = bad("worker-hang").Info(ctx(t), big)
	wantError(t, err, "big.pdf: has 201 MB; the limit is 200 MB")
}

// A worker that does wrong is stopped or told apart, and the caller lives on.
func TestBadWorkers(t *testing.T) {
	file := build(t, letter, "")
	hang := bad("worker-hang")
	hang.Timeout = 200 * time.Millisecond
	_, err := hang.Info(ctx(t), file)
	wantError(t, err, "made.pdf: took longer than 200ms and was stopped")

	short, cancel := context.WithTimeout(ctx(t), 200*time.Millisecond)
	defer cancel()
	_, err = bad("worker-hang").Pages(short, file, []int{1})
	wantError(t, err, "made.pdf:p1: stopped before it was read: context deadline exceeded")
	if !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("%v cannot be told from a fault of the file", err)
	}

	_, err = bad("worker-die").Info(ctx(t), file)
	wantError(t, err, "made.pdf: the worker ended without an answer: out of luck")
	_, err = bad("worker-babble").Info(ctx(t), file)
	wantError(t, err, "made.pdf: the worker's answer cannot be read: a frame of ")

	if runtime.GOOS == "linux" {
		hog := bad("worker-hog")
		hog.Memory = 300 << 20
		used, err := hog.call(ctx(t), file, request{Op: opInfo}, func(byte, []byte) error { return nil })
		wantError(t, err, "made.pdf: the worker passed 300 MB and was stopped")
		if used.peak > 600<<20 {
			t.Errorf("the worker reached %d MB before it was stopped at 300", used.peak>>20)
		}
	}
}

// The compilation cache: shared by two that start at once, damaged, or impossible.
func TestCache(t *testing.T) {
	file := build(t, letter, "BT /F1 10 Tf 72 700 Td (1.25) Tj ET")
	check := func(r Reader) {
		t.Helper()
		pages, err := r.Pages(ctx(t), file, nil)
		if err != nil {
			t.Error(err)
		} else if got := texts(pages[0]); len(got) != 1 || got[0] != "1.25" {
			t.Errorf("got %q, want 1.25", got)
		}
	}
	r := reader()
	r.CacheDir = filepath.Join(t.TempDir(), "a", "b")
	var both sync.WaitGroup
	for range 2 {
		both.Go(func() { check(r) })
	}
	both.Wait()
	var entries int
	err := filepath.WalkDir(r.CacheDir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		entries++
		st, err := d.Info()
		if err != nil {
			return err
		}
		return os.Truncate(path, st.Size()/2)
	})
	if err != nil || entries == 0 {
		t.Fatalf("the cache holds %d entries, %v", entries, err)
	}
	check(r)

	r.CacheDir = file // a file where a folder should be
	check(r)
}
