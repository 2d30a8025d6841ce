package pdf

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The test binary is its own worker, and a few bad ones.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 {
		switch os.Args[1] {
		case "pdf-worker":
			if err := Work(os.Stdin, os.Stdout, os.Args[2:]); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			return
		case "worker-hang":
			_ = writeFrame(os.Stdout, frameReady, nil)
			time.Sleep(time.Hour)
			return
		case "worker-hog":
			_ = writeFrame(os.Stdout, frameReady, nil)
			var hoard [][]byte
			for range 4000 {
				hoard = append(hoard, bytes.Repeat([]byte{1}, 1<<20))
				time.Sleep(100 * time.Microsecond)
			}
			fmt.Fprintln(os.Stderr, len(hoard))
			return
		case "worker-babble":
			_, _ = io.WriteString(os.Stdout, "what a fine day to answer in prose")
			return
		case "worker-die":
			fmt.Fprintln(os.Stderr, "out of luck")
			os.Exit(3)
		}
	}
	// One cold compilation for the whole package.
	dir, err := os.MkdirTemp("", "windtally-pdf")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Setenv(cacheVariable, dir)
	code := m.Run()
	_ = os.RemoveAll(dir)
	os.Exit(code)
}

const cacheVariable = "WINDTALLY_PDF_TEST_CACHE"

func reader() Reader {
	return Reader{Worker: []string{os.Args[0], "pdf-worker"}, CacheDir: os.Getenv(cacheVariable)}
}

// material returns a path under WINDTALLY_MATERIAL and fails where it is missing.
// Unset, it skips and says how many cases were not run.
func material(t *testing.T, cases int, what string) func(elem ...string) string {
	t.Helper()
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		t.Skipf("NOT RUN: %d %s, WINDTALLY_MATERIAL is not set", cases, what)
	}
	return func(elem ...string) string {
		t.Helper()
		path := filepath.Join(append([]string{root}, elem...)...)
		if _, err := os.Stat(path); err != nil {
			t.Fatalf("WINDTALLY_MATERIAL is set, but %v", err)
		}
		return path
	}
}

// build writes a PDF of one page from the attributes of the page, its content
// and further objects, which are numbered from 6. Object 5 is Courier, whose
// letters are all 0.6 em wide (Adobe Font Metrics for Courier, from memory).
func build(t *testing.T, page, content string, more ...string) string {
	t.Helper()
	if !strings.Contains(page, "/Resources") {
		page += "/Resources<</Font<</F1 5 0 R>>>>"
	}
	objects := append([]string{
		"<</Type/Catalog/Pages 2 0 R>>",
		"<</Type/Pages/Kids[3 0 R]/Count 1>>",
		"<</Type/Page/Parent 2 0 R/Contents 4 0 R" + page + ">>",
		stream("", content),
		"<</Type/Font/Subtype/Type1/BaseFont/Courier/Encoding/WinAnsiEncoding>>",
	}, more...)
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n")
	var at []int
	for i, o := range objects {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, o := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(&b, "trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, start)
	path := filepath.Join(t.TempDir(), "made.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func stream(dict, content string) string {
	return fmt.Sprintf("<<%s/Length %d>>\nstream\n%s\nendstream", dict, len(content), content)
}

func ctx(t *testing.T) context.Context {
	t.Helper()
	return t.Context()
}
