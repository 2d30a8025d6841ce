package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The test binary stands in for the program: where it starts itself as a worker,
// and, copied under the program's name, in scripts.
func TestMain(m *testing.M) {
	program := func() { os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr)) }
	if len(os.Args) > 1 && os.Args[1] == pdfWorker {
		program()
	}
	testscript.Main(m, map[string]func(){"windtally": program})
}

// windtally runs the program in the test's own process, in a study.
func windtally(t *testing.T, study string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(append([]string{"windtally", "--study", study}, args...), strings.NewReader(""), &out, &errs)
	return code, out.String(), errs.String()
}

// must runs the program and fails the test where it does not end with code 0.
func must(t *testing.T, study string, args ...string) string {
	t.Helper()
	code, out, errs := windtally(t, study, args...)
	if code != exitDone {
		t.Fatalf("windtally %s: exit %d\n%s%s", strings.Join(args, " "), code, out, errs)
	}
	return out
}

func newStudy(t *testing.T, args ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "study")
	code, out, errs := windtally(t, ".", append(append([]string{"new", "--by", "ab", "--name", "A. Berg"}, args...), dir)...)
	if code != exitDone {
		t.Fatalf("new: exit %d\n%s%s", code, out, errs)
	}
	return dir
}

func write(t *testing.T, name, content string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
}
