package extract

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/go-playground/validator/v10"
	"go.yaml.in/yaml/v3"
)

var (
	keyForm      = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]*$`)
	slugForm     = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
	initialsForm = regexp.MustCompile(`^[a-z]{2,4}$`)
	tableIDForm  = regexp.MustCompile(`^t[0-9a-f]{8}$`)

	shapeNameForm = regexp.MustCompile(`^[0-9?]?$`)
)

// maxYAML bounds a file that a person writes; a larger one is not hand-written,
// and YAML aliases can make a small file expand without end.
const maxYAML = 4 << 20

// PlainText reports why a text may not enter an edition: a control character, white
// space at an end, or a first character that spreadsheet programs take for a formula.
func PlainText(s string) error {
	if err := OneLine(s); err != nil {
		return err
	}
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return fmt.Errorf("begins with %q, which spreadsheet programs take for a formula; begin with a letter or a figure", s[0])
	}
	return nil
}

// maxPlain bounds a text that enters an edition, in bytes: the longest caption is far
// shorter.
const maxPlain = 10000

// OneLine reports why a text is not one line of plain characters, without white space
// at its ends.
func OneLine(s string) error {
	if len(s) > maxPlain {
		return fmt.Errorf("is %d bytes long; write at most %d", len(s), maxPlain)
	}
	if !utf8.ValidString(s) {
		return fmt.Errorf("%q is not UTF-8", s)
	}
	for _, r := range s {
		switch {
		case unicode.IsControl(r), r == '\u2028', r == '\u2029':
			return fmt.Errorf("holds the control character %q; write it on one line", r)
		case r == '\ufeff', r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
			return fmt.Errorf("holds the control character %U, which nobody sees; leave it out", r)
		}
	}
	if strings.TrimSpace(s) != s {
		return fmt.Errorf("is %q, with white space at an end; write it without", s)
	}
	return nil
}

func newValidator() *validator.Validate {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string {
		name, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if name == "-" {
			return ""
		}
		return name
	})
	form := func(re *regexp.Regexp) validator.Func {
		return func(fl validator.FieldLevel) bool { return re.MatchString(fl.Field().String()) }
	}
	rules := map[string]validator.Func{
		"key":       form(keyForm),
		"slug":      form(slugForm),
		"initials":  form(initialsForm),
		"tableid":   form(tableIDForm),
		"shapename": form(shapeNameForm),
		"plain":     func(fl validator.FieldLevel) bool { return PlainText(fl.Field().String()) == nil },
		"flaptype":  func(fl validator.FieldLevel) bool { return FlapType(fl.Field().String()) },
		"cellref":   func(fl validator.FieldLevel) bool { _, _, ok := CellRef(fl.Field().String()); return ok },
	}
	for name, fn := range rules {
		if err := v.RegisterValidation(name, fn); err != nil {
			// A fault in this table of rules, never in data.
			panic(err)
		}
	}
	return v
}

var checker = newValidator()

// decodeYAML reads one document that a person wrote, refuses unknown and doubled
// keys, checks the values, and says for every fault the file, the line and what
// would have been right.
func decodeYAML(file string, data []byte, out any) []*Error {
	if len(data) > maxYAML {
		return []*Error{{File: file, Msg: fmt.Sprintf("has more than %d bytes; a file that people write in a study has at most that", maxYAML)}}
	}
	var root yaml.Node
	dec := yaml.NewDecoder(bytes.NewReader(data))
	if err := dec.Decode(&root); err != nil {
		if errors.Is(err, io.EOF) {
			return []*Error{{File: file, Line: 1, Msg: "is empty; it should begin with schema: 1"}}
		}
		return yamlErrors(file, err)
	}
	body := &root
	if body.Kind == yaml.DocumentNode && len(body.Content) > 0 {
		body = body.Content[0]
	}
	switch {
	case body.Kind == 0 || body.Tag == "!!null":
		return []*Error{{File: file, Line: 1, Msg: "is empty; it should begin with schema: 1"}}
	case body.Kind != yaml.MappingNode:
		return []*Error{{File: file, Line: body.Line, Msg: "should be a block of keys that begins with schema: 1"}}
	}
	var second yaml.Node
	if err := dec.Decode(&second); err == nil {
		return []*Error{{File: file, Line: second.Line, Msg: "holds more than one YAML document; keep one"}}
	} else if !errors.Is(err, io.EOF) {
		return yamlErrors(file, err)
	}
	strict := yaml.NewDecoder(bytes.NewReader(data))
	strict.KnownFields(true)
	if err := strict.Decode(out); err != nil {
		return yamlErrors(file, err)
	}
	list := bareNumbers(file, body, reflect.TypeOf(out), "")
	err := checker.Struct(out)
	var faults validator.ValidationErrors
	if errors.As(err, &faults) {
		for _, f := range faults {
			_, path, _ := strings.Cut(f.Namespace(), ".")
			line, there := nodeAt(&root, path)
			list = append(list, &Error{File: file, Line: line, Msg: faultText(path, f, there)})
		}
	} else if err != nil {
		list = append(list, &Error{File: file, Msg: err.Error()})
	}
	return list
}

// bareNumbers finds numbers that YAML may take for others: unquoted where a text
// should be (this program would keep 1.20, other readers make it 1.2, so a printed
// number is quoted; a whole number that every reader keeps is let pass, pages: 24),
// a fraction where a whole number should be (the decoder would cut it off), and a
// number in another base (010 is 8).
func bareNumbers(file string, n *yaml.Node, t reflect.Type, path string) []*Error {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	var list []*Error
	switch {
	case n.Kind == yaml.ScalarNode && t.Kind() == reflect.String:
		bare := n.Tag == "!!float" || n.Tag == "!!int" && !wholeForm.MatchString(n.Value)
		if bare && n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0 {
			list = append(list, &Error{File: file, Line: n.Line, Msg: fmt.Sprintf("%s is the bare number %s where a text should be; write \"%s\" in quotes, so that it stays as printed", path, n.Value, n.Value)})
		}
	case n.Kind == yaml.ScalarNode && (t.Kind() == reflect.Int || t.Kind() == reflect.Float64):
		if t.Kind() == reflect.Int && n.Tag == "!!float" {
			list = append(list, &Error{File: file, Line: n.Line, Msg: fmt.Sprintf("%s is %s; it should be a whole number", path, n.Value)})
		} else if n.Tag == "!!int" && !wholeForm.MatchString(n.Value) && n.Value != "-0" {
			list = append(list, &Error{File: file, Line: n.Line, Msg: fmt.Sprintf("%s is %s, which YAML may read in another base; write the number plainly, without zeros before it", path, n.Value)})
		}
	case n.Kind == yaml.SequenceNode && t.Kind() == reflect.Slice:
		for i, item := range n.Content {
			list = append(list, bareNumbers(file, item, t.Elem(), fmt.Sprintf("%s[%d]", path, i))...)
		}
	case n.Kind == yaml.MappingNode && t.Kind() == reflect.Map:
		for i := 0; i+1 < len(n.Content); i += 2 {
			list = append(list, bareNumbers(file, n.Content[i+1], t.Elem(), path+"."+n.Content[i].Value)...)
		}
	case n.Kind == yaml.MappingNode && t.Kind() == reflect.Struct:
		fields := map[string]reflect.Type{}
		for i := range t.NumField() {
			name, _, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
			fields[name] = t.Field(i).Type
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			if ft, ok := fields[n.Content[i].Value]; ok {
				list = append(list, bareNumbers(file, n.Content[i+1], ft, strings.TrimPrefix(path+"."+n.Content[i].Value, "."))...)
			}
		}
	}
	return list
}

// wholeForm is a whole number that any reader of YAML writes back as it stands.
var wholeForm = regexp.MustCompile(`^(0|-?[1-9][0-9]{0,14})$`)

var (
	yamlLine    = regexp.MustCompile(`^(?:yaml: )?line (\d+): (.*)$`)
	unknownKey  = regexp.MustCompile(`^field (.+) not found in type (\S+)$`)
	doubledKey  = regexp.MustCompile(`^mapping key "([^"]*)" already defined at line (\d+)$`)
	wrongScalar = regexp.MustCompile("^cannot unmarshal !!(\\w+)(?: `(.*)`)? into (\\S+)$")
)

func yamlErrors(file string, err error) []*Error {
	var lines []string
	var te *yaml.TypeError
	if errors.As(err, &te) {
		lines = te.Errors
	} else {
		lines = []string{err.Error()}
	}
	var list []*Error
	for _, l := range lines {
		e := &Error{File: file, Msg: strings.TrimPrefix(l, "yaml: ")}
		if m := yamlLine.FindStringSubmatch(l); m != nil {
			e.Line, _ = strconv.Atoi(m[1])
			e.Msg = m[2]
		}
		if m := unknownKey.FindStringSubmatch(e.Msg); m != nil {
			e.Msg = fmt.Sprintf("the key %q is not known here; known keys: %s", m[1], knownKeys(m[2]))
		} else if m := doubledKey.FindStringSubmatch(e.Msg); m != nil {
			e.Msg = fmt.Sprintf("the key %q stands twice, first at line %s; keep one", m[1], m[2])
		} else if m := wrongScalar.FindStringSubmatch(e.Msg); m != nil {
			what := m[2]
			if what == "" {
				what = yamlKind(m[1])
			} else {
				what = strconv.Quote(what)
			}
			e.Msg = fmt.Sprintf("%s stands where %s should be", what, plainType(m[3]))
		} else {
			e.Msg = "is not YAML: " + e.Msg
		}
		list = append(list, e)
	}
	return list
}

// yamlKind says in words what kind of value YAML read.
func yamlKind(tag string) string {
	switch tag {
	case "seq":
		return "a list"
	case "map":
		return "a block of keys"
	case "int":
		return "a whole number"
	case "float":
		return "a number"
	case "bool":
		return "yes or no"
	case "null":
		return "nothing"
	}
	return "a text"
}

func plainType(goType string) string {
	switch {
	case goType == "string":
		return "a text"
	case goType == "int":
		return "a whole number"
	case strings.HasPrefix(goType, "[]"):
		return "a list"
	case goType == "float64":
		return "a number"
	}
	return "a block of keys"
}

// knownKeys lists the YAML keys of one of the types that people write.
func knownKeys(typeName string) string {
	for _, v := range []any{Settings{}, Person{}, Tolerance{}, Source{}, Table{}, Region{}, Column{}, RowRule{}, Basis{},
		Configuration{}, Subject{}, SubjectTable{}, Where{}, Preference{}, Derivation{}, AspectRatio{}, Walls{}, PositionError{}, Names{}, NamedPicture{}} {
		t := reflect.TypeOf(v)
		if t.String() != typeName {
			continue
		}
		var keys []string
		for i := range t.NumField() {
			if name, _, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ","); name != "-" {
				keys = append(keys, name)
			}
		}
		return strings.Join(keys, ", ")
	}
	return "see the study's README"
}

// nodeAt finds the line on which the value at a path such as columns[2].unit
// stands; a missing key gives the line of the nearest block that exists.
func nodeAt(root *yaml.Node, path string) (line int, there bool) {
	n := root
	if n.Kind == yaml.DocumentNode && len(n.Content) > 0 {
		n = n.Content[0]
	}
	line = n.Line
	for _, step := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		var next *yaml.Node
		switch n.Kind {
		case yaml.MappingNode:
			for i := 0; i+1 < len(n.Content); i += 2 {
				if n.Content[i].Value == step {
					next = n.Content[i+1]
					line = n.Content[i].Line
				}
			}
		case yaml.SequenceNode:
			if i, err := strconv.Atoi(step); err == nil && i < len(n.Content) {
				next = n.Content[i]
				line = next.Line
			}
		}
		if next == nil {
			return line, false
		}
		n = next
		if n.Kind == yaml.AliasNode && n.Alias != nil {
			n = n.Alias
		}
	}
	return line, true
}

// maxQuoted bounds how much of a value a message repeats.
const maxQuoted = 100

// faultText says which rule a value breaks and what would have been right; there
// is false where the file does not have the key.
func faultText(path string, f validator.FieldError, there bool) string {
	got := fmt.Sprintf("%v", f.Value())
	if short := []rune(got); len(short) > maxQuoted {
		got = string(short[:maxQuoted]) + "..."
	}
	is := fmt.Sprintf("%s is %q", path, got)
	if !there {
		is = path + " is missing"
	}
	switch f.Tag() {
	case "required":
		if there && f.Kind() == reflect.String {
			return path + " is empty; it should not be"
		}
		return path + " is missing; it should be given"
	case "eq":
		if path == "schema" {
			if !there {
				return fmt.Sprintf("schema is missing; write schema: %d", Schema)
			}
			return fmt.Sprintf("schema is %s; this program reads schema: %d", got, Schema)
		}
		return fmt.Sprintf("%s; it should be %s", is, f.Param())
	case "shapename":
		return fmt.Sprintf("%s; it should be the one figure that the picture shows, \"0\" to \"9\", \"?\" where it shows none or two mixed, or \"\" as long as nobody has looked", is)
	case "oneof":
		return fmt.Sprintf("%s; it should be one of: %s", is, strings.ReplaceAll(f.Param(), " ", ", "))
	case "flaptype":
		return fmt.Sprintf("%s; it should be one of: none, plain, split, slotted, area-increasing, other, not-stated, or two kinds of flap joined by a plus sign", is)
	case "key":
		return fmt.Sprintf("%s is %q; a key is a letter followed by letters, figures, _ . or -", path, got)
	case "slug":
		return fmt.Sprintf("%s is %q; write small letters, figures and hyphens, a letter first", path, got)
	case "initials":
		return fmt.Sprintf("%s is %q; initials are two to four small letters", path, got)
	case "tableid":
		return fmt.Sprintf("%s is %q; a table's id is t and eight hexadecimal figures, and stays as the program gave it", path, got)
	case "plain":
		return fmt.Sprintf("%s %v", path, PlainText(fmt.Sprint(f.Value())))
	case "cellref", "cellref|eq=sea-level", "cellref|eq=standard-period|eq=standard-modern":
		more := ""
		if strings.Contains(f.Tag(), "standard") {
			more = ", or standard-period, or standard-modern"
		}
		if strings.Contains(f.Tag(), "sea-level") {
			more = ", or sea-level"
		}
		return fmt.Sprintf("%s is %q; name the cell that prints it: column KEY or given KEY%s", path, got, more)
	case "unique":
		return fmt.Sprintf("%s: two entries bear the same %s; each should have its own", path, strings.ToLower(f.Param()))
	case "min", "max":
		word := "at least"
		if f.Tag() == "max" {
			word = "at most"
		}
		if f.Kind() == reflect.Slice {
			return fmt.Sprintf("%s has %d entries; it should have %s %s", path, reflect.ValueOf(f.Value()).Len(), word, f.Param())
		}
		if !there {
			return fmt.Sprintf("%s is missing; it should be %s %s", path, word, f.Param())
		}
		return fmt.Sprintf("%s is %s; it should be %s %s", path, got, word, f.Param())
	case "len":
		if f.Kind() == reflect.Slice {
			return fmt.Sprintf("%s has %d numbers; it should have %s", path, reflect.ValueOf(f.Value()).Len(), f.Param())
		}
		return fmt.Sprintf("%s; it should have %s characters", is, f.Param())
	case "hexadecimal":
		return fmt.Sprintf("%s is %q; it should be hexadecimal", path, got)
	}
	return fmt.Sprintf("%s is %q, which fails %s", path, got, f.Tag())
}

// encodeYAML writes what the program drafts for people, with two-space indents.
func encodeYAML(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := yaml.NewEncoder(&b)
	enc.SetIndent(2)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	if err := enc.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// yamlLineOf is the line of nodeAt for a file's text; 0 where it is not YAML.
func yamlLineOf(data []byte, path string) int {
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil || root.Kind == 0 {
		return 0
	}
	line, _ := nodeAt(&root, path)
	return line
}
