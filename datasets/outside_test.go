package datasets

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/dlclark/regexp2"
	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// What general-purpose tools say about an edition.

// standards returns a file of the published standards, which are not committed.
func standards(t *testing.T, notRun string, parts ...string) string {
	t.Helper()
	dir := os.Getenv("WINDTALLY_STANDARDS")
	if dir == "" {
		t.Skipf("not run: %s, WINDTALLY_STANDARDS is not set", notRun)
	}
	name := filepath.Join(append([]string{dir}, parts...)...)
	if _, err := os.Stat(name); err != nil {
		t.Fatalf("WINDTALLY_STANDARDS: %v", err)
	}
	return name
}

// ecma runs the patterns of a schema as ECMAScript has them: the published profile
// looks ahead, which package regexp cannot.
type ecma struct{ *regexp2.Regexp }

func (e ecma) MatchString(s string) bool {
	found, err := e.Regexp.MatchString(s)
	return err == nil && found
}

func compileECMA(pattern string) (jsonschema.Regexp, error) {
	re, err := regexp2.Compile(pattern, regexp2.ECMAScript)
	if err != nil {
		return nil, err
	}
	return ecma{re}, nil
}

func compileSchema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.UseRegexpEngine(compileECMA)
	c.AssertFormat()
	schema, err := c.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func instance(t *testing.T, text string) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The profile is the one that the Data Package standard publishes
// (frictionless, datapackage.json).
func TestDescriptionFitsThePublishedProfile(t *testing.T) {
	profile := compileSchema(t, standards(t, "3 descriptions and 1 mutation against the Data Package profile", "frictionless", "datapackage.json"))
	for _, e := range []*Edition{tarnholm(), tarnholmNext(), withDerived()} {
		text := readFile(t, write(t, e), "datapackage.json")
		if err := profile.Validate(instance(t, text)); err != nil {
			t.Errorf("%s: %v", e.Version, err)
		}
	}
	// And the profile is not silent on everything.
	text := readFile(t, write(t, tarnholm()), "datapackage.json")
	bad := strings.Replace(text, `"type": "table"`, `"type": "json"`, 1)
	if err := profile.Validate(instance(t, bad)); err == nil || !strings.Contains(err.Error(), "'/resources/0/type'") {
		t.Errorf("type json: got %v", err)
	}
}

func TestSubjectFitsItsSchema(t *testing.T) {
	dir := write(t, withDerived())
	schema := compileSchema(t, filepath.Join(dir, "schema", "subject.schema.json"))
	text := readFile(t, dir, "subjects", "heron-wing.json")
	if err := schema.Validate(instance(t, text)); err != nil {
		t.Error(err)
	}
	for _, c := range []struct{ name, old, new, where string }{
		{"number as a text", `"lift_coefficient": 0.30`, `"lift_coefficient": "0.30"`, "'/polars/1/lift_coefficient'"},
		{"half-width of zero", `"half_width": 0.05`, `"half_width": 0`, "'/values/0/half_width'"},
		{"caution taken out", `"caution": "Not for flight: period measurements, published for study.",`, "", "caution"},
		{"empty caution", `"caution": "Not for flight: period measurements, published for study."`, `"caution": ""`, "'/caution'"},
		{"unit taken out", `"unit": "deg", `, "", "'/values/0'"},
		{"missing unit", `"unit": "deg"`, `"unit": null`, "'/values/0/unit'"},
		{"column of nobody", `"note": null`, `"remark": null`, "'/subject'"},
		{"derived number as a text", `"value": 0.315807`, `"value": "0.315807"`, "'/derived/0/value'"},
		{"derived number without its formula", `"formula": "v02 * v06 / v0d"`, `"formula": null`, "'/derived/0/formula'"},
		{"derived number that names no parent", `"parents": "v02 v06 v0d", `, "", "'/derived/0'"},
		{"kind of nobody", `"kind": "wing"`, `"kind": "kite"`, "'/subject/kind'"},
		{"time", `"created": "2031-05-04T10:00:00Z"`, `"created": "yesterday"`, "'/edition/created'"},
	} {
		bad := strings.Replace(text, c.old, c.new, 1)
		if bad == text {
			t.Errorf("%s: the mutation changes nothing", c.name)
		}
		if err := schema.Validate(instance(t, bad)); err == nil || !strings.Contains(err.Error(), c.where) {
			t.Errorf("%s: got %v, want a fault at %s", c.name, err, c.where)
		}
	}
}

// run runs a program and returns its standard output.
func run(t *testing.T, dir string, env []string, name string, args ...string) (string, error) {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), env...)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	if err != nil {
		err = fmt.Errorf("%s: %w: %s", name, err, stderr.String())
	}
	return stdout.String(), err
}

func need(t *testing.T, program, install string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Fatalf("%s is not installed: %s", program, install)
	}
}

func TestSumsWithSha256sum(t *testing.T) {
	need(t, "sha256sum", "apt-get install coreutils")
	dir := write(t, tarnholmNext())
	out, err := run(t, dir, nil, "sha256sum", "--strict", "-c", "SHA256SUMS")
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out, ": OK\n"); n != 21 || strings.Count(out, "\n") != 21 {
		t.Errorf("got\n%s", out)
	}
	edit(t, dir, "data/polars.csv", replace("0.30", "0.31"))
	out, err = run(t, dir, nil, "sha256sum", "--strict", "-c", "SHA256SUMS")
	if err == nil || !strings.Contains(out, "data/polars.csv: FAILED\n") {
		t.Errorf("a changed file: got %v\n%s", err, out)
	}
}

// Python's own csv and json modules, with decimals kept, see the same rows in the
// CSV files and in the document of the one subject.
func TestSubjectEqualsMasterForPython(t *testing.T) {
	need(t, "python3", "apt-get install python3")
	const script = `
import csv, decimal, json, sys
class D(str): pass
def constant(name): raise ValueError(name)
doc = json.load(open("subjects/heron-wing.json", encoding="utf-8"), parse_float=D, parse_int=D, parse_constant=constant)
def text(v):
    if v is None: return ""
    if v is True: return "true"
    if v is False: return "false"
    return str(v)
out = []
for name, rows in doc.items():
    if not isinstance(rows, list): continue
    with open("data/" + name + ".csv", encoding="utf-8", newline="") as f:
        master = list(csv.DictReader(f, strict=True))
    same = [{k: text(v) for k, v in row.items()} for row in rows] == master
    out.append("%s %d %s" % (name, len(rows), "same" if same else "other"))
print("\n".join(out))
`
	out, err := run(t, write(t, withDerived()), nil, "python3", "-c", script)
	if err != nil {
		t.Fatal(err)
	}
	want := `sources 1 same
configurations 2 same
conditions 5 same
values 15 same
polars 2 same
flap_increments 1 same
stall_speeds 1 same
limits 1 same
power 1 same
characteristics 1 same
derived 2 same
reviews 2 same
findings 2 same
`
	if diff := cmp.Diff(want, out); diff != "" {
		t.Error(diff)
	}
}

// nodeModules installs the pinned packages of testdata/node, once for each lock
// file, into the user's cache.
func nodeModules(t *testing.T) string {
	t.Helper()
	const install = "install node and npm (apt-get install nodejs npm), the packages then come by themselves"
	need(t, "node", install)
	need(t, "npm", install)
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	lock := readFile(t, "testdata", "node", "package-lock.json")
	dir := filepath.Join(cache, fmt.Sprintf("windtally-test-node-%x", sha256.Sum256([]byte(lock)))[:40])
	modules := filepath.Join(dir, "node_modules")
	if _, err := os.Stat(modules); err == nil {
		return modules
	}
	if err := os.MkdirAll(cache, 0o755); err != nil {
		t.Fatal(err)
	}
	temporary, err := os.MkdirTemp(cache, "windtally-test-node-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(temporary)
	for _, name := range []string{"package.json", "package-lock.json"} {
		if err := os.WriteFile(filepath.Join(temporary, name), []byte(readFile(t, "testdata", "node", name)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := run(t, temporary, nil, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"); err != nil {
		t.Fatal(err)
	}
	// Another test binary may have been faster, then its folder serves as well.
	if err := os.Rename(temporary, dir); err != nil {
		if _, err := os.Stat(modules); err != nil {
			t.Fatal(err)
		}
	}
	return modules
}

// report is what testdata/node/validate.js prints.
type report struct {
	Profile    []string
	Documents  map[string][]string
	Descriptor []string
	Rows       map[string]int
	Errors     []string
}

// npm ajv reads the schemas, npm datapackage and tableschema read every row with
// its type, its constraints and its foreign keys.
func TestEditionForNodeValidators(t *testing.T) {
	modules := nodeModules(t)
	script, err := filepath.Abs(filepath.Join("testdata", "node", "validate.js"))
	if err != nil {
		t.Fatal(err)
	}
	profile := "-"
	t.Run("profile", func(t *testing.T) {
		profile = standards(t, "9 descriptions against the Data Package profile by ajv", "frictionless", "datapackage.json")
	})
	// The validators see faults, so that their silence on the sound edition means
	// something.
	faults := []struct{ name, path, old, new, want string }{
		{"dangling foreign key", "data/limits.csv", "l1,heron-wing,split-30", "l1,heron-wing,split-45", `limits: Foreign key "configuration_id" violation in row 2`},
		{"text for a number", "data/stall_speeds.csv", "23.25", "fast", `stall_speeds: The value "fast" in column "speed" is not type "number" and format "default"`},
		{"word that is not in the list", "data/subjects.csv", ",wing,", ",kite,", `subjects: The value "kite" does not conform to the "enum" constraint for column "kind"`},
		{"derived number of none", "data/derived.csv", ",v0e,v0e v0f,", ",v1e,v0e v0f,", `derived: Foreign key "of" violation in row 3`},
		{"derived number under no conditions", "data/derived.csv", ",flight-tas,", ",flight-eas,", `derived: Foreign key "conditions_id" violation in row 3`},
		{"text for a derived number", "data/derived.csv", "59.78758", "fast", `derived: The value "fast" in column "value" is not type "number" and format "default"`},
		{"derived number checked by nobody", "data/derived.csv", "modern)\",agreed", "modern)\",believed", `derived: The value "believed" does not conform to the "enum" constraint for column "checked"`},
		{"ruling that supersedes none", "data/reviews.csv", "u2,u1,", "u2,u7,", `reviews: Foreign key "supersedes" violation in row 3`},
	}
	args := []string{script, profile, write(t, tarnholmNext()), write(t, withDerived())}
	for _, c := range faults {
		dir := write(t, withDerived())
		edit(t, dir, c.path, replace(c.old, c.new))
		reseal(t, dir)
		args = append(args, dir)
	}
	out, err := run(t, ".", []string{"NODE_PATH=" + modules}, "node", args...)
	if err != nil {
		t.Fatal(err)
	}
	var got []report
	if err := json.Unmarshal([]byte(out), &got); err != nil || len(got) != 2+len(faults) {
		t.Fatalf("%v: %s", err, out)
	}
	want := report{
		Profile: []string{}, Documents: map[string][]string{"heron-wing.json": {}}, Descriptor: []string{}, Errors: []string{},
		Rows: map[string]int{"sources": 2, "subjects": 1, "configurations": 2, "conditions": 1, "values": 10, "polars": 1, "flap_increments": 1, "stall_speeds": 1,
			"limits": 1, "power": 1, "characteristics": 1, "derived": 0, "reviews": 2, "findings": 2, "tolerances": 1, "changes": 9},
	}
	if diff := cmp.Diff(want, got[0]); diff != "" {
		t.Error(diff)
	}
	want.Rows = map[string]int{"sources": 1, "subjects": 1, "configurations": 2, "conditions": 5, "values": 15, "polars": 2, "flap_increments": 1, "stall_speeds": 1,
		"limits": 1, "power": 1, "characteristics": 1, "derived": 2, "reviews": 2, "findings": 2, "tolerances": 1, "changes": 0}
	if diff := cmp.Diff(want, got[1]); diff != "" {
		t.Error(diff)
	}
	for i, c := range faults {
		if !slices.Contains(got[i+2].Errors, c.want) {
			t.Errorf("%s: got %q", c.name, got[i+2].Errors)
		}
	}
}
