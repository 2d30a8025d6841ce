package extract

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"testing"

	ut "github.com/go-playground/universal-translator"
	"github.com/go-playground/validator/v10"
)

const goodSettings = `schema: 1
name: tarnholm
title: Flap tests of the Tarnholm laboratory
people:
  - initials: ab
    name: Anna Berg
licence: CC0-1.0
eyes: 1
`

const goodTable = `schema: 1
id: t0000000a
status: ready
source: tarnholm-12
pages: 3-4
regions:
  - page: 3
    box: [50, 100, 500, 700]
origin: print
layout: grid
columns:
  - key: alpha
    x: [50, 90]
    quantity: angle_of_attack
    unit: deg
  - key: cl
    x: [90, 130]
basis:
  article: wing
  configuration:
    deflection: "60"
`

const goodSource = `schema: 1
file: tarnholm-12.pdf
designation: Tarnholm Report 12
title: Wing with four flaps
year: 1936
rights: public domain
sha256: abababababababababababababababababababababababababababababababab
pages: 6
first_page: 0
`

const goodSubject = `schema: 1
kind: wing
title: Sandmark wing
tables:
  - table: polar
    where: {column: flap, is: split}
`

func instead(t *testing.T, text, from, to string) string {
	t.Helper()
	if strings.Count(text, from) != 1 {
		t.Fatalf("%q stands %d times in the sample", from, strings.Count(text, from))
	}
	return strings.Replace(text, from, to, 1)
}

func TestGoodYAML(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		out  any
	}{
		"settings": {goodSettings, &Settings{}}, "table": {goodTable, &Table{}}, "source": {goodSource, &Source{}}, "subject": {goodSubject, &Subject{}},
		"byte order mark":    {"\ufeff" + goodSettings, &Settings{}},
		"DOS line ends":      {strings.ReplaceAll(goodTable, "\n", "\r\n"), &Table{}},
		"comment and marker": {"# of ours\n---\n" + goodSettings, &Settings{}},
		"one page":           {instead(t, goodTable, "3-4", "3"), &Table{}},
		"anchor":             {instead(t, goodTable, "  - key: cl\n", "  - key: cl\n    basis: &b {article: wing, weight_condition: test}\n  - key: cd\n    basis: *b\n"), &Table{}},
	} {
		for _, e := range decodeYAML("f.yaml", []byte(c.text), c.out) {
			t.Errorf("%s: %v", name, e)
		}
	}
	// Words that other readers of YAML take for yes and no.
	table := Table{}
	decodeYAML("f.yaml", []byte(instead(t, goodTable, `deflection: "60"`, "power: off")), &table)
	if table.Basis.Configuration.Power != "off" {
		t.Errorf("power %q", table.Basis.Configuration.Power)
	}
	// What is quoted stays as it was printed.
	table = Table{}
	decodeYAML("f.yaml", []byte(instead(t, goodTable, `"60"`, `"1.20"`)), &table)
	if table.Basis.Configuration.Deflection != "1.20" {
		t.Errorf("deflection %q", table.Basis.Configuration.Deflection)
	}
}

func TestBadYAML(t *testing.T) {
	bomb := "schema: 1\na: &a [x, x, x, x, x, x, x, x, x]\n"
	for c := 'b'; c <= 'k'; c++ {
		bomb += fmt.Sprintf("%c: &%c [%s]\n", c, c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c, ", c-1), 9), ", "))
	}
	var bombFaults []string
	for i, key := range []string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k"} {
		bombFaults = append(bombFaults, fmt.Sprintf("f.yaml:%d: the key %q is not known here; known keys: schema, name, title, people, licence, eyes, tolerances", i+2, key))
	}
	bombed := "schema: 1\nname: x\npeople: &a [{initials: ab, name: A}]\ntolerances: *a\n" // a wrong type by an alias
	columns := "key, head, x, at, words, quantity, unit, basis"
	for _, c := range []struct {
		name, text string
		out        any
		want       string // every fault, a line each
	}{
		{"empty", "", &Settings{}, "f.yaml:1: is empty; it should begin with schema: 1"},
		{"only a comment", "# nothing\n", &Settings{}, "f.yaml:1: is empty; it should begin with schema: 1"},
		{"null", "~\n", &Settings{}, "f.yaml:1: is empty; it should begin with schema: 1"},
		{"a list", "# x\n- 1\n", &Settings{}, "f.yaml:2: should be a block of keys that begins with schema: 1"},
		{"a word", "schema\n", &Settings{}, "f.yaml:1: should be a block of keys that begins with schema: 1"},
		{"broken", instead(t, goodSettings, "people:", "people: ["), &Settings{}, "f.yaml:4: is not YAML: did not find expected node content"},
		{"broken quote", instead(t, goodTable, `"60"`, `"60`), &Table{}, "f.yaml:21: is not YAML: found unexpected end of stream"},
		{"tab", instead(t, goodSettings, "    name: Anna", "\tname: Anna"), &Settings{}, "f.yaml:5: is not YAML: found a tab character that violates indentation"},
		{"two documents", goodSettings + "---\nschema: 1\n", &Settings{}, "f.yaml:9: holds more than one YAML document; keep one"},
		{"broken second document", goodSettings + "---\n[\n", &Settings{}, "f.yaml:10: is not YAML: did not find expected node content"},
		{"unknown key", instead(t, goodTable, "unit: deg", "units: deg"), &Table{}, `f.yaml:15: the key "units" is not known here; known keys: ` + columns},
		{"unknown key with a space", instead(t, goodSettings, "eyes: 1", "two eyes: 1"), &Settings{}, `f.yaml:8: the key "two eyes" is not known here; known keys: schema, name, title, people, licence, eyes, tolerances`},
		{"two unknown keys", instead(t, instead(t, goodTable, "unit: deg", "units: deg"), "status", "state"), &Table{},
			`f.yaml:3: the key "state" is not known here; known keys: schema, id, status, source, pages, regions, sheet, range, number, caption, orientation, origin, accuracy, layout, columns, rows, givens, basis, relations, note` + "\n" +
				`f.yaml:15: the key "units" is not known here; known keys: ` + columns},
		{"doubled key", goodSettings + "eyes: 2\n", &Settings{}, `f.yaml:9: the key "eyes" stands twice, first at line 8; keep one`},
		{"word for a number", instead(t, goodSettings, "eyes: 1", "eyes: two"), &Settings{}, `f.yaml:8: "two" stands where a whole number should be`},
		{"fraction for a whole number", instead(t, goodSettings, "eyes: 1", "eyes: 1.5"), &Settings{}, "f.yaml:8: eyes is 1.5; it should be a whole number"},
		{"page with a fraction", instead(t, goodTable, "page: 3", "page: 3.9"), &Table{}, "f.yaml:7: regions[0].page is 3.9; it should be a whole number"},
		{"page with a zero before", instead(t, goodTable, "page: 3", "page: 010"), &Table{}, "f.yaml:7: regions[0].page is 010, which YAML may read in another base; write the number plainly, without zeros before it"},
		{"x with a zero before", instead(t, goodTable, "[50, 90]", "[050, 90]"), &Table{}, "f.yaml:13: columns[0].x[0] is 050, which YAML may read in another base; write the number plainly, without zeros before it"},
		{"list for a text", instead(t, goodSettings, "name: tarnholm", "name: [a]"), &Settings{}, `f.yaml:2: a list stands where a text should be`},
		{"text for a list", instead(t, goodTable, "[50, 90]", "50-90"), &Table{}, `f.yaml:13: "50-90" stands where a list should be`},
		{"text for a block", instead(t, goodTable, "basis:\n  article: wing\n  configuration:\n    deflection: \"60\"\n", "basis: wing\n"), &Table{}, `f.yaml:18: "wing" stands where a block of keys should be`},
		{"missing keys", "schema: 1\n", &Source{}, "f.yaml:1: file is missing; it should be given\nf.yaml:1: designation is missing; it should be given\nf.yaml:1: title is missing; it should be given\n" +
			"f.yaml:1: year is missing; it should be given\nf.yaml:1: rights is missing; it should be given\nf.yaml:1: sha256 is missing; it should be given"},
		{"schema missing", instead(t, goodSource, "schema: 1\n", ""), &Source{}, "f.yaml:1: schema is missing; write schema: 1"},
		{"schema of another version", instead(t, goodSource, "schema: 1", "schema: 2"), &Source{}, "f.yaml:1: schema is 2; this program reads schema: 1"},
		{"key without value", instead(t, goodSource, "rights: public domain", "rights:"), &Source{}, "f.yaml:6: rights is empty; it should not be"},
		{"year", instead(t, goodSource, "1936", "36"), &Source{}, "f.yaml:5: year is 36; it should be at least 1880"},
		{"year to come", instead(t, goodSource, "1936", "19360"), &Source{}, "f.yaml:5: year is 19360; it should be at most 2100"},
		{"digest", instead(t, goodSource, strings.Repeat("ab", 32), "abc"), &Source{}, `f.yaml:7: sha256 is "abc"; it should have 64 characters`},
		{"digest not hexadecimal", instead(t, goodSource, strings.Repeat("ab", 32), strings.Repeat("g", 64)), &Source{}, `f.yaml:7: sha256 is "` + strings.Repeat("g", 64) + `"; it should be hexadecimal`},
		{"formula", instead(t, goodSource, "Wing with four flaps", "=1+1"), &Source{}, "f.yaml:4: title begins with '=', which spreadsheet programs take for a formula; begin with a letter or a figure"},
		{"two lines", instead(t, goodSource, "Wing with four flaps", `"a\nb"`), &Source{}, `f.yaml:4: title holds the control character '\n'; write it on one line`},
		{"eyes", instead(t, goodSettings, "eyes: 1", "eyes: 3"), &Settings{}, "f.yaml:8: eyes is 3; it should be at most 2"},
		{"nobody", instead(t, goodSettings, "  - initials: ab\n    name: Anna Berg\n", "  []\n"), &Settings{}, "f.yaml:4: people has 0 entries; it should have at least 1"},
		{"initials", instead(t, goodSettings, "initials: ab", "initials: AB"), &Settings{}, `f.yaml:5: people[0].initials is "AB"; initials are two to four small letters`},
		{"initials twice", instead(t, goodSettings, "licence", "  - {initials: ab, name: Axel Bo}\nlicence"), &Settings{}, `f.yaml:4: people: two entries bear the same initials; each should have its own`},
		{"name", instead(t, goodSettings, "name: tarnholm", "name: Tarnholm 12"), &Settings{}, `f.yaml:2: name is "Tarnholm 12"; write small letters, figures and hyphens, a letter first`},
		{"id", instead(t, goodTable, "t0000000a", "polar"), &Table{}, `f.yaml:2: id is "polar"; a table's id is t and eight hexadecimal figures, and stays as the program gave it`},
		{"status", instead(t, goodTable, "ready", "done"), &Table{}, `f.yaml:3: status is "done"; it should be one of: draft, ready`},
		{"status missing", instead(t, goodTable, "status: ready\n", ""), &Table{}, `f.yaml:1: status is missing; it should be one of: draft, ready`},
		{"key", instead(t, goodTable, "key: cl", "key: C_L max!"), &Table{}, `f.yaml:16: columns[1].key is "C_L max!"; a key is a letter followed by letters, figures, _ . or -`},
		{"key twice", instead(t, goodTable, "key: cl", "key: alpha"), &Table{}, `f.yaml:11: columns: two entries bear the same key; each should have its own`},
		{"three ends", instead(t, goodTable, "[50, 90]", "[50, 90, 95]"), &Table{}, `f.yaml:13: columns[0].x has 3 numbers; it should have 2`},
		{"no ends", instead(t, goodTable, "[50, 90]", "[]"), &Table{}, `f.yaml:13: columns[0].x has 0 numbers; it should have 2`},
		{"box", instead(t, goodTable, "[50, 100, 500, 700]", "[50, 100, 500]"), &Table{}, `f.yaml:8: regions[0].box has 3 numbers; it should have 4`},
		{"no box", instead(t, goodTable, "    box: [50, 100, 500, 700]\n", ""), &Table{}, `f.yaml:7: regions[0].box has 0 numbers; it should have 4`},
		{"article", instead(t, goodTable, "article: wing", "article: aerofoil"), &Table{}, `f.yaml:19: basis.article is "aerofoil"; it should be one of: section, wing, model, rotor, aeroplane`},
		{"article of a column", instead(t, goodTable, "  - key: cl\n", "  - key: cl\n    basis: {article: aerofoil}\n"), &Table{}, `f.yaml:17: columns[1].basis.article is "aerofoil"; it should be one of: section, wing, model, rotor, aeroplane`},
		{"reference", instead(t, goodTable, "article: wing", "reynolds: 3080000"), &Table{}, `f.yaml:19: basis.reynolds is "3080000"; name the cell that prints it: column KEY or given KEY`},
		{"altitude", instead(t, goodTable, "article: wing", "altitude: low"), &Table{}, `f.yaml:19: basis.altitude is "low"; name the cell that prints it: column KEY or given KEY, or sea-level`},
		{"bare number", instead(t, goodTable, `"60"`, "1.20"), &Table{}, `f.yaml:21: basis.configuration.deflection is the bare number 1.20 where a text should be; write "1.20" in quotes, so that it stays as printed`},
		{"bare number with a zero before", instead(t, goodTable, `"60"`, "010"), &Table{}, `f.yaml:21: basis.configuration.deflection is the bare number 010 where a text should be; write "010" in quotes, so that it stays as printed`},
		{"bare number in a label", instead(t, goodSubject, "is: split", "is: .50"), &Subject{}, `f.yaml:6: tables[0].where.is is the bare number .50 where a text should be; write ".50" in quotes, so that it stays as printed`},
		{"bare number in a map", goodTable + "accuracy:\n  cl: 0.010\n", &Table{}, `f.yaml:23: accuracy.cl is the bare number 0.010 where a text should be; write "0.010" in quotes, so that it stays as printed`},
		{"bare number in a list", goodTable + "relations: [1.0]\n", &Table{}, `f.yaml:22: relations[0] is the bare number 1.0 where a text should be; write "1.0" in quotes, so that it stays as printed`},
		{"huge", goodSettings + "#" + strings.Repeat("x", maxYAML), &Settings{}, "f.yaml: has more than 4194304 bytes; a file that people write in a study has at most that"},
		{"a long value", instead(t, goodSettings, "name: tarnholm", "name: "+strings.Repeat("X", 5000)), &Settings{}, `f.yaml:2: name is "` + strings.Repeat("X", 100) + `..."; write small letters, figures and hyphens, a letter first`},
		{"alias bomb", bomb, &Settings{}, strings.Join(bombFaults, "\n")},
		{"alias of another type", bombed, &Settings{}, `f.yaml:3: the key "initials" is not known here; known keys: check, name, value, reason`},
		{"alias of nothing", "schema: *x\n", &Settings{}, "f.yaml: is not YAML: unknown anchor 'x' referenced"},
		{"alias of itself", "schema: 1\nname: x\ntolerances: &a [*a]\n", &Settings{}, "f.yaml:3: a list stands where a block of keys should be"},
		{"deep", strings.Repeat("[", 100000), &Settings{}, "f.yaml: is not YAML: exceeded max depth of 10000"},
	} {
		var got []string
		for _, e := range decodeYAML("f.yaml", []byte(c.text), c.out) {
			got = append(got, e.Error())
		}
		if text := strings.Join(got, "\n"); text != c.want {
			t.Errorf("%s:\n%.400s\nwant\n%s", c.name, text, c.want)
		}
	}
}

// fault stands for a value that breaks one rule.
type fault struct {
	validator.FieldError
	tag, param string
	value      any
}

func (f fault) Tag() string                    { return f.tag }
func (f fault) Param() string                  { return f.param }
func (f fault) Value() any                     { return f.value }
func (f fault) Kind() reflect.Kind             { return reflect.ValueOf(f.value).Kind() }
func (f fault) Translate(ut.Translator) string { return "" }

// Every rule in the tags of what people write has a message that says what would
// have been right, so that a new rule cannot come without one.
func TestEveryRuleHasAMessage(t *testing.T) {
	right := regexp.MustCompile(`should|write |is one of|initials are|a key is|a table's id is|name the cell|this program reads|begin with`)
	rules := 0
	seen := map[reflect.Type]bool{}
	var visit func(reflect.Type)
	visit = func(ty reflect.Type) {
		for ty.Kind() == reflect.Pointer || ty.Kind() == reflect.Slice {
			ty = ty.Elem()
		}
		if ty.Kind() != reflect.Struct || seen[ty] {
			return
		}
		seen[ty] = true
		if got := knownKeys(ty.String()); strings.Contains(got, "README") {
			t.Errorf("the keys of %s are not known to the message about an unknown key", ty)
		}
		for i := range ty.NumField() {
			f := ty.Field(i)
			if f.Tag.Get("yaml") == "" {
				t.Errorf("%s.%s has no yaml key", ty, f.Name)
			}
			visit(f.Type)
			for _, rule := range strings.Split(f.Tag.Get("validate"), ",") {
				tag, param, _ := strings.Cut(rule, "=")
				if strings.Contains(rule, "|") {
					tag, param = rule, ""
				}
				if tag == "" || tag == "omitempty" || tag == "dive" {
					continue
				}
				rules++
				value := reflect.Zero(f.Type).Interface()
				if f.Type.Kind() == reflect.String || strings.Contains(f.Tag.Get("validate"), "dive,"+rule) {
					value = "=x"
				}
				for _, there := range []bool{true, false} {
					got := faultText("some.path", fault{tag: tag, param: param, value: value}, there)
					if strings.Contains(got, "which fails") || !strings.HasPrefix(got, "some.path") || !right.MatchString(got) {
						t.Errorf("%s.%s, rule %s: the message is %q", ty, f.Name, rule, got)
					}
				}
			}
		}
	}
	for _, v := range []any{Settings{}, Source{}, Table{}, Subject{}} {
		visit(reflect.TypeOf(v))
	}
	if rules < 60 {
		t.Errorf("only %d rules found", rules)
	}
}

func TestPlainText(t *testing.T) {
	for _, good := range []string{"", "Wing", "0.50", "a=b", "½ chord", "(see note)"} {
		if err := PlainText(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	for text, want := range map[string]string{
		"=1":                       "begins with '=', which spreadsheet programs take for a formula; begin with a letter or a figure",
		"+1":                       "begins with '+', which spreadsheet programs take for a formula; begin with a letter or a figure",
		"-1":                       "begins with '-', which spreadsheet programs take for a formula; begin with a letter or a figure",
		"@a":                       "begins with '@', which spreadsheet programs take for a formula; begin with a letter or a figure",
		"a\tb":                     `holds the control character '\t'; write it on one line`,
		"a\u0085":                  `holds the control character '\u0085'; write it on one line`,
		"a\u2028":                  `holds the control character '\u2028'; write it on one line`,
		"a\u202eb":                 "holds the control character U+202E, which nobody sees; leave it out",
		"a ":                       `is "a ", with white space at an end; write it without`,
		"a\xff":                    `"a\xff" is not UTF-8`,
		strings.Repeat("a", 10001): "is 10001 bytes long; write at most 10000",
	} {
		if err := PlainText(text); err == nil || err.Error() != want {
			t.Errorf("%q: %v; want %s", text, err, want)
		}
	}
}

func TestYAMLRoundTrip(t *testing.T) {
	for _, c := range []struct {
		text     string
		out, two any
	}{
		{goodSettings, &Settings{}, &Settings{}}, {goodTable, &Table{}, &Table{}}, {goodSource, &Source{}, &Source{}}, {goodSubject, &Subject{}, &Subject{}},
	} {
		if faults := decodeYAML("f", []byte(c.text), c.out); len(faults) > 0 {
			t.Fatal(faults)
		}
		text, err := encodeYAML(c.out)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range decodeYAML("f", text, c.two) {
			t.Errorf("%v in\n%s", e, text)
		}
		if !reflect.DeepEqual(c.out, c.two) {
			t.Errorf("%+v became %+v", c.out, c.two)
		}
	}
}

func FuzzYAML(f *testing.F) {
	for _, seed := range []string{goodSettings, goodTable, goodSource, goodSubject, "- 1\n", "schema: *x\n", "a: &a [*a]\n", "%YAML 1.1\n---\n? [a]\n: b\n"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, out := range []any{&Settings{}, &Table{}, &Source{}, &Subject{}} {
			for _, e := range decodeYAML("f.yaml", data, out) {
				if e.File == "" || e.Msg == "" {
					t.Fatalf("a fault without file or message: %+v", e)
				}
			}
		}
	})
}
