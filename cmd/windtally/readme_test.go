package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"windtally/cmd/windtally/internal/demo"
	"windtally/extract"

	"go.yaml.in/yaml/v3"
)

// shLine is a command line of README.md and the code that it must end with.
type shLine struct {
	line int
	text string
	exit int
}

var exitMark = regexp.MustCompile(`\s+# exit (\d+)$`)

// shLines returns the command lines in the ```sh blocks of a Markdown text. A line
// that ends with a backslash goes on in the next one. A line that ends with
// "# exit N" must end with that code, any other with 0; a line that is a comment is
// for the reader alone.
func shLines(text string) (list []shLine, err error) {
	inside, more := false, false
	for i, l := range strings.Split(text, "\n") {
		switch {
		case !inside:
			inside = strings.TrimSpace(l) == "```sh"
			continue
		case strings.HasPrefix(strings.TrimSpace(l), "```"):
			inside = false
			continue
		case strings.TrimSpace(l) == "", strings.HasPrefix(strings.TrimSpace(l), "#"):
			continue
		}
		l, goesOn := strings.CutSuffix(l, `\`)
		if more {
			list[len(list)-1].text += l
		} else {
			list = append(list, shLine{line: i + 1, text: l})
		}
		if more = goesOn; more {
			continue
		}
		last := &list[len(list)-1]
		if m := exitMark.FindStringSubmatch(last.text); m != nil {
			if last.exit, err = strconv.Atoi(m[1]); err != nil {
				return nil, err
			}
			last.text = strings.TrimSuffix(last.text, m[0])
		}
	}
	if inside || more {
		return nil, errors.New("a block or a line of it does not end")
	}
	return list, nil
}

// Every command line of README.md runs, in the order of the text and in one folder
// that is empty at first. "go run ./cmd/windtally" is the program that is tested,
// and a line that calls make is only looked up in the Makefile: it would run this
// test again.
func TestReadmeRuns(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	lines, err := shLines(string(text))
	if err != nil {
		t.Fatalf("README.md: %v", err)
	}
	makefile, err := os.ReadFile(filepath.Join("..", "..", "Makefile"))
	if err != nil {
		t.Fatal(err)
	}
	program, err := exec.LookPath("windtally")
	if err != nil {
		t.Fatalf("the program that TestMain puts on the path: %v", err)
	}
	dir := t.TempDir()
	ran := 0
	for _, l := range lines {
		if target, ok := strings.CutPrefix(l.text, "make "); ok {
			if !regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(target) + `:`).Match(makefile) {
				t.Errorf("README.md:%d: %s: the Makefile has no such target", l.line, l.text)
			}
			continue
		}
		command := strings.ReplaceAll(l.text, "go run ./cmd/windtally", "windtally")
		if word, _, _ := strings.Cut(command, " "); word == "windtally" {
			ran++
		}
		cmd := exec.Command("sh", "-c", command)
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), "WINDTALLY_STUDY=", "PATH="+filepath.Dir(program)+string(os.PathListSeparator)+os.Getenv("PATH"))
		out, err := cmd.CombinedOutput()
		got := 0
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			got = exit.ExitCode()
		} else if err != nil {
			t.Fatal(err)
		}
		if got != l.exit {
			t.Fatalf("README.md:%d: %s\nexit %d, the text promises %d; nothing after it was run\n%s", l.line, l.text, got, l.exit, out)
		}
		if command == "windtally demo" {
			// 629 printed cells that are not blank and the unit that the aspect ratio has
			// not; the 11 are the labels of the scan's table I, which are words.
			for _, want := range []string{"a person looked at 10 pictures of the shapes",
				"of the 630 printed, 619 were read right, 11 wrongly with a finding, 0 wrongly and marked unwitnessed, 0 wrongly in silence",
				"590 values of 2 subjects (555 unwitnessed, 23 agreed, 3 confirmed, 3 reread, 6 emended), and 25 derived from them: stalling speeds calibrated by a table, angles of attack from zero lift", "Found 8 of 8 planted misprints"} {
				if !strings.Contains(string(out), want) {
					t.Errorf("the demonstration does not say %q but\n%s", want, out)
				}
			}
		}
	}
	if ran < 5 {
		t.Errorf("README.md: %d command lines of windtally in ```sh blocks; a tutorial has more", ran)
	}
}

func TestShLines(t *testing.T) {
	got, err := shLines("text\n```sh\n# for the reader\nwindtally findings # exit 1\n\nwindtally cite \\\n  a.pdf\n```\n```yaml\nkey: value\n```\n```sh\nmake test\n```\n")
	want := []shLine{{4, "windtally findings", 1}, {6, "windtally cite   a.pdf", 0}, {13, "make test", 0}}
	if err != nil || len(got) != len(want) {
		t.Fatalf("got %v, %v; want %v", got, err, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("got %v, want %v", got[i], want[i])
		}
	}
	if _, err := shLines("```sh\nwindtally\n"); err == nil {
		t.Error("a block without an end was taken")
	}
}

// The table's file in the README is the one that the demonstration completes, so
// that nobody copies words that the program refuses.
func TestReadmeShowsARealTable(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(text), "```yaml\n")
	shown, _, closed := strings.Cut(rest, "```")
	if !ok || !closed {
		t.Fatal("README.md has no ```yaml block")
	}
	var got extract.Table
	dec := yaml.NewDecoder(strings.NewReader(shown))
	dec.KnownFields(true)
	if err := dec.Decode(&got); err != nil {
		t.Fatal(err)
	}
	tables, err := demo.Tables()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(tables, func(d demo.Truth) bool { return d.Name == "tarnholm-15-table-2" })
	if i < 0 {
		t.Fatal("the demonstration has no table tarnholm-15-table-2")
	}
	want := tables[i].File()
	for k := range want.Columns {
		want.Columns[k].Head, want.Columns[k].X = "", nil
	}
	for k := range want.Givens {
		want.Givens[k].Head = ""
	}
	want = extract.Table{Columns: want.Columns, Givens: want.Givens, Basis: want.Basis, Relations: want.Relations}
	a, errA := yaml.Marshal(got)
	b, errB := yaml.Marshal(want)
	if errA != nil || errB != nil || string(a) != string(b) {
		t.Errorf("README.md shows\n%s\nthe demonstration completes\n%s", a, b)
	}
}
