package main_test

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// listed is what go list says of one package.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
	Module                             *struct{ Path string }
}

const modulePath = "windtally/"

// The line that data follows. An import goes from a later stage to an earlier one.
var stages = []string{"extract", "normalize", "validate", "datasets/publish", "cmd/windtally"}

// Leaves that any package may import, because they import the standard library alone.
var leaves = []string{"normalize/unit", "normalize/numeral", "normalize/air", "validate/flight"}

const (
	program = "cmd/windtally"
	demo    = "cmd/windtally/internal/demo"
)

func within(path, folder string) bool { return path == folder || strings.HasPrefix(path, folder+"/") }

// stageOf returns the place of a package on the line, -1 where it has none.
func stageOf(path string) int {
	return slices.IndexFunc(stages, func(s string) bool { return within(path, s) })
}

// published reports whether the package is one of the published form: datasets
// and what consumes it, all but the gate.
func published(path string) bool {
	return within(path, "datasets") && !within(path, "datasets/publish")
}

// forbidden says why package a may not import package b, both relative to the
// module; "" where it may. test is for an import in a test file of a.
func forbidden(a, b string, test bool) string {
	from, to := stageOf(a), stageOf(b)
	switch {
	case slices.Contains(leaves, a) && !test:
		return "a leaf imports the standard library alone"
	case slices.Contains(leaves, b):
		return ""
	case within(b, demo) && a != program && !within(a, demo):
		return "the demo is for the program alone"
	case within(b, program) && !within(a, program):
		return "nothing outside the program imports it"
	case published(a) && to >= 0:
		return "the published form imports no stage"
	case published(b) && from >= 0 && from < slices.Index(stages, "datasets/publish"):
		return "a stage does not import the published form, which comes after it"
	case from >= 0 && to > from:
		return fmt.Sprintf("%s comes before %s, and an import goes to an earlier stage", stages[from], stages[to])
	}
	return ""
}

// broken lists the imports that break a rule, as "A imports B: why not".
func broken(packages []listed) []string {
	var list []string
	for _, p := range packages {
		a, own := strings.CutPrefix(p.ImportPath, modulePath)
		if !own || stageOf(a) < 0 && !published(a) {
			list = append(list, fmt.Sprintf("%s is no stage and no part of one", p.ImportPath))
			continue
		}
		judge := func(imports []string, test bool) {
			for _, path := range imports {
				b, own := strings.CutPrefix(path, modulePath)
				why := ""
				switch {
				case own && a != b:
					why = forbidden(a, b, test)
				case !own && !test && slices.Contains(leaves, a) && strings.Contains(strings.Split(path, "/")[0], "."):
					why = "a leaf imports the standard library alone"
				}
				if why == "" {
					continue
				}
				who := a
				if test {
					who += " (its tests)"
				}
				list = append(list, fmt.Sprintf("%s imports %s: %s", who, strings.TrimPrefix(path, modulePath), why))
			}
		}
		judge(p.Imports, false)
		judge(p.TestImports, true)
		judge(p.XTestImports, true)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// list runs go list at the top of the module for one platform.
func list(t *testing.T, goos, goarch string, args ...string) []listed {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	cmd.Dir = "../.."
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0")
	var stderr strings.Builder
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %s for %s: %v\n%s", strings.Join(args, " "), goos, err, &stderr)
	}
	var packages []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); err == io.EOF {
			return packages
		} else if err != nil {
			t.Fatal(err)
		}
		packages = append(packages, p)
	}
}

func TestImportsRunOneWay(t *testing.T) {
	for _, platform := range [][2]string{{"linux", "amd64"}, {"darwin", "arm64"}, {"windows", "amd64"}} {
		packages := list(t, platform[0], platform[1], "-json=ImportPath,Imports,TestImports,XTestImports", "./...")
		for _, want := range append(slices.Concat(stages, leaves), "datasets") {
			if !slices.ContainsFunc(packages, func(p listed) bool { return p.ImportPath == modulePath+want }) {
				t.Errorf("%s: go list does not see the package %s", platform[0], want)
			}
		}
		for _, fault := range broken(packages) {
			t.Errorf("%s: %s", platform[0], fault)
		}
	}
}

// A program that loads an edition compiles almost nothing else: of this module the
// leaves of units and of air (to work derived airspeeds out again), of others semver
// alone.
func TestPublishedFormIsLight(t *testing.T) {
	own := []string{modulePath + "datasets", modulePath + "normalize/air", modulePath + "normalize/unit"}
	const other = "github.com/Masterminds/semver/v3"
	var seen []string
	for _, p := range list(t, "linux", "amd64", "-deps", "-json=ImportPath,Module", "windtally/datasets") {
		switch {
		case p.Module == nil: // the standard library
		case strings.HasPrefix(p.ImportPath, modulePath):
			seen = append(seen, p.ImportPath)
		case p.Module.Path != other:
			t.Errorf("datasets drags in %s: of the modules outside the standard library it needs %s alone", p.ImportPath, other)
		}
	}
	slices.Sort(seen)
	if !slices.Equal(seen, own) {
		t.Errorf("datasets is made of %q, want %q: of the module it needs these alone", seen, own)
	}
}

// The rules themselves, each broken once and each kept once.
func TestImportRules(t *testing.T) {
	for _, c := range []struct {
		a, b string
		test bool
		want string
	}{
		{"extract", "normalize", false, "extract imports normalize: extract comes before normalize, and an import goes to an earlier stage"},
		{"extract/grid", "normalize", false, "extract/grid imports normalize: extract comes before normalize, and an import goes to an earlier stage"},
		{"normalize", "validate", false, "normalize imports validate: normalize comes before validate, and an import goes to an earlier stage"},
		{"normalize", "validate", true, "normalize (its tests) imports validate: normalize comes before validate, and an import goes to an earlier stage"},
		{"validate/fit", "datasets/publish", false, "validate/fit imports datasets/publish: validate comes before datasets/publish, and an import goes to an earlier stage"},
		{"validate", "datasets", false, "validate imports datasets: a stage does not import the published form, which comes after it"},
		{"datasets", "extract", false, "datasets imports extract: the published form imports no stage"},
		{"datasets", "datasets/publish", false, "datasets imports datasets/publish: the published form imports no stage"},
		{"datasets/turn", "validate/fit", false, "datasets/turn imports validate/fit: the published form imports no stage"},
		{"datasets/publish", "cmd/windtally/internal/review", false, "datasets/publish imports cmd/windtally/internal/review: nothing outside the program imports it"},
		{"validate", "cmd/windtally", true, "validate (its tests) imports cmd/windtally: nothing outside the program imports it"},
		{"cmd/windtally/internal/review", "cmd/windtally/internal/demo", false, "cmd/windtally/internal/review imports cmd/windtally/internal/demo: the demo is for the program alone"},
		{"extract", "cmd/windtally/internal/demo", true, "extract (its tests) imports cmd/windtally/internal/demo: the demo is for the program alone"},
		{"normalize/unit", "normalize/numeral", false, "normalize/unit imports normalize/numeral: a leaf imports the standard library alone"},
		{"validate/flight", "gonum.org/v1/gonum/floats", false, "validate/flight imports gonum.org/v1/gonum/floats: a leaf imports the standard library alone"},

		{"extract", "normalize/numeral", false, ""},
		{"extract/pdf", "extract", false, ""},
		{"extract/pdf", "github.com/tetratelabs/wazero", false, ""},
		{"normalize", "extract", false, ""},
		{"normalize/air", "math", false, ""},
		{"normalize/unit", "pgregory.net/rapid", true, ""},
		{"validate", "normalize", false, ""},
		{"datasets", "normalize/unit", false, ""},
		{"datasets/turn", "datasets", false, ""},
		{"datasets/turn", "validate/flight", false, ""},
		{"datasets/publish", "datasets", false, ""},
		{"datasets/publish", "validate", false, ""},
		{"cmd/windtally", "cmd/windtally/internal/demo", true, ""},
		{"cmd/windtally/internal/demo", "datasets/publish", false, ""},
	} {
		path := c.b
		if stageOf(c.b) >= 0 || published(c.b) {
			path = modulePath + c.b
		}
		p := listed{ImportPath: modulePath + c.a}
		if c.test {
			p.XTestImports = []string{path}
		} else {
			p.Imports = []string{path}
		}
		if got := strings.Join(broken([]listed{p}), "\n"); got != c.want {
			t.Errorf("%s -> %s (test %v):\n got %q\nwant %q", c.a, c.b, c.test, got, c.want)
		}
	}
	got := broken([]listed{{ImportPath: modulePath + "helpers"}})
	if want := []string{"windtally/helpers is no stage and no part of one"}; !slices.Equal(got, want) {
		t.Errorf("a stray package: got %q, want %q", got, want)
	}
}
