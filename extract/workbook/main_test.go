package workbook

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestMain serves as the child process in which a hostile file is read, so that
// the memory it takes can be measured apart from the tests.
func TestMain(m *testing.M) {
	if name := os.Getenv("WORKBOOK_TEST_READ"); name != "" {
		os.Exit(readInChild(name))
	}
	os.Exit(m.Run())
}

// python runs a script with openpyxl, a reader and writer of workbooks that shares
// no code with the library used here, and returns what it prints.
func python(t *testing.T, script string, args ...string) string {
	t.Helper()
	exe := "/usr/bin/python3" // Debian's, which sees Debian's packages
	if _, err := os.Stat(exe); err != nil {
		exe = "python3"
	}
	if out, err := exec.Command(exe, "-c", "import openpyxl").CombinedOutput(); err != nil {
		t.Fatalf("this test needs openpyxl: apt-get install python3-openpyxl\n%s", out)
	}
	out, err := exec.Command(exe, append([]string{"-c", script}, args...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("python: %v\n%s", err, out)
	}
	return string(out)
}

func parseJSON(t *testing.T, text string, into any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), into); err != nil {
		t.Fatalf("json: %v\n%s", err, text)
	}
}

// material gives a path in the material folder; where that is not set, the test
// says how many cases do not run.
func material(t *testing.T, notRun string, elem ...string) string {
	t.Helper()
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		t.Skipf("NOT RUN: %s, WINDTALLY_MATERIAL is not set", notRun)
	}
	name := filepath.Join(append([]string{root}, elem...)...)
	if _, err := os.Stat(name); err != nil {
		t.Fatalf("material is missing: %v", err)
	}
	return name
}

func write(t *testing.T, base, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), base)
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// wantFaults asserts that an error tells each of the lines, with the file's
// directory taken off, and no more than those.
func wantFaults(t *testing.T, err error, dir string, want ...string) {
	t.Helper()
	if err == nil {
		t.Fatalf("no error; want\n%s", strings.Join(want, "\n"))
	}
	got := strings.Split(strings.ReplaceAll(err.Error(), dir+string(filepath.Separator), ""), "\n")
	for i := 0; i < max(len(got), len(want)); i++ {
		g, w := "", ""
		if i < len(got) {
			g = got[i]
		}
		if i < len(want) {
			w = want[i]
		}
		if w == "" || !strings.HasPrefix(g, w) {
			t.Errorf("fault %d:\n got %q\nwant %q...", i+1, g, w)
		}
	}
}
