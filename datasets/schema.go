package datasets

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// descriptor is datapackage.json: Data Package 2.0, with four properties of our
// own, which are edition_format, previous, caution and the unit of a field.
type descriptor struct {
	Schema        string                  `json:"$schema"`
	Name          string                  `json:"name"`
	ID            string                  `json:"id"`
	Title         string                  `json:"title"`
	Description   string                  `json:"description,omitempty"`
	Version       string                  `json:"version"`
	Created       string                  `json:"created"`
	EditionFormat int                     `json:"edition_format"`
	Previous      string                  `json:"previous,omitempty"`
	Caution       string                  `json:"caution"`
	Licenses      []licenseDescriptor     `json:"licenses"`
	Contributors  []contributorDescriptor `json:"contributors,omitempty"`
	Sources       []sourceDescriptor      `json:"sources,omitempty"`
	Resources     []resourceDescriptor    `json:"resources"`
}

type licenseDescriptor struct {
	Name  string `json:"name"`
	Path  string `json:"path,omitempty"`
	Title string `json:"title,omitempty"`
}

type contributorDescriptor struct {
	Title string   `json:"title"`
	Roles []string `json:"roles,omitempty"`
}

type sourceDescriptor struct {
	Title   string `json:"title"`
	Path    string `json:"path,omitempty"`
	Version string `json:"version,omitempty"`
}

type resourceDescriptor struct {
	Name      string            `json:"name"`
	Type      string            `json:"type"`
	Title     string            `json:"title"`
	Path      string            `json:"path"`
	Format    string            `json:"format"`
	Mediatype string            `json:"mediatype"`
	Encoding  string            `json:"encoding"`
	Bytes     int               `json:"bytes"`
	Hash      string            `json:"hash"`
	Dialect   dialectDescriptor `json:"dialect"`
	Schema    schemaDescriptor  `json:"schema"`
}

type dialectDescriptor struct {
	LineTerminator string `json:"lineTerminator"`
}

type schemaDescriptor struct {
	Fields        []fieldDescriptor      `json:"fields"`
	MissingValues []string               `json:"missingValues"`
	PrimaryKey    []string               `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKeyDescriptor `json:"foreignKeys,omitempty"`
}

type fieldDescriptor struct {
	Name        string                 `json:"name"`
	Type        string                 `json:"type"`
	Format      string                 `json:"format,omitempty"`
	Unit        string                 `json:"unit,omitempty"`
	Description string                 `json:"description"`
	Constraints *constraintsDescriptor `json:"constraints,omitempty"`
}

type constraintsDescriptor struct {
	Required         bool     `json:"required,omitempty"`
	Pattern          string   `json:"pattern,omitempty"`
	Enum             []string `json:"enum,omitempty"`
	Minimum          *int     `json:"minimum,omitempty"`
	ExclusiveMinimum *int     `json:"exclusiveMinimum,omitempty"`
}

type foreignKeyDescriptor struct {
	Fields    []string            `json:"fields"`
	Reference referenceDescriptor `json:"reference"`
}

type referenceDescriptor struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

const (
	packageSchema = "https://datapackage.org/profiles/2.0/datapackage.json"
	jsonSchema    = "https://json-schema.org/draft/2020-12/schema"
)

// describe returns the Data Package descriptor of a sorted edition whose CSV
// files are given by path.
func describe(e *Edition, files map[string][]byte) *descriptor {
	d := &descriptor{
		Schema:        packageSchema,
		Name:          e.Name,
		Title:         e.Title,
		Description:   e.Description,
		Version:       e.Version,
		Created:       e.Created,
		EditionFormat: Format,
		Previous:      e.Previous,
		Caution:       e.Caution,
		Licenses:      []licenseDescriptor{{e.Licence.Name, e.Licence.Path, e.Licence.Title}},
	}
	for _, c := range e.Contributors {
		d.Contributors = append(d.Contributors, contributorDescriptor(c))
	}
	for _, s := range e.Sources {
		d.Sources = append(d.Sources, sourceDescriptor{Title: s.Designation + ": " + s.Title, Path: s.URL, Version: "sha256:" + s.SHA256})
	}
	// The id follows from what is published, so that two different editions never
	// share one and the same edition always has the same: a UUID of version 8
	// (RFC 9562, section 5.8) from the SHA-256 of name, version and CSV digests.
	identity := sha256.New()
	fmt.Fprintf(identity, "%s\n%s\n", e.Name, e.Version)
	for _, r := range resources() {
		data := files[r.path]
		digest := sha256.Sum256(data)
		fmt.Fprintf(identity, "%x  %s\n", digest, r.path)
		d.Resources = append(d.Resources, resourceDescriptor{
			Name:      r.name,
			Type:      "table",
			Title:     r.title,
			Path:      r.path,
			Format:    "csv",
			Mediatype: "text/csv",
			Encoding:  "utf-8",
			Bytes:     len(data),
			Hash:      "sha256:" + hex.EncodeToString(digest[:]),
			Dialect:   dialectDescriptor{LineTerminator: "\n"},
			Schema:    r.schema(),
		})
	}
	u := identity.Sum(nil)[:16]
	u[6] = u[6]&0x0f | 0x80
	u[8] = u[8]&0x3f | 0x80
	d.ID = fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:])
	return d
}

// schema returns the Table Schema of a resource.
func (r *resource) schema() schemaDescriptor {
	s := schemaDescriptor{MissingValues: []string{""}}
	whole := true
	for _, c := range r.columns {
		f := fieldDescriptor{Name: c.name, Unit: c.unit, Description: c.doc}
		k := constraintsDescriptor{Required: c.need, Enum: c.enum}
		switch c.kind {
		case "number", "integer", "boolean", "datetime":
			f.Type = c.kind
		case "uri":
			f.Type, f.Format = "string", "uri"
		default:
			f.Type = "string"
			k.Pattern = c.pattern()
		}
		if c.hasMin {
			k.Minimum = &c.min
		}
		if c.above0 {
			zero := 0
			k.ExclusiveMinimum = &zero
		}
		if k.Required || k.Pattern != "" || k.Enum != nil || k.Minimum != nil || k.ExclusiveMinimum != nil {
			f.Constraints = &k
		}
		s.Fields = append(s.Fields, f)
		if c.key {
			s.PrimaryKey = append(s.PrimaryKey, c.name)
			whole = whole && c.need
		}
		if c.ref != "" && c.kind == "id" {
			target := resourceNamed(c.ref)
			reference := referenceDescriptor{Resource: c.ref, Fields: []string{target.columns[0].name}}
			if c.ref == r.name {
				reference.Resource = "" // the standard's way to say: this resource
			}
			s.ForeignKeys = append(s.ForeignKeys, foreignKeyDescriptor{[]string{c.name}, reference})
		}
	}
	if !whole {
		s.PrimaryKey = nil // the standard wants no empty cell in a primary key
	}
	return s
}

func (c *column) pattern() string {
	switch c.kind {
	case "id":
		return idPattern.String()
	case "list":
		return listPattern.String()
	case "digest":
		return digestPattern.String()
	}
	return ""
}

// documentResources are the resources of which a subject's document holds rows.
func documentResources() []*resource {
	return slices.DeleteFunc(slices.Clone(resources()), func(r *resource) bool {
		return r.name == "subjects" || r.name == "tolerances" || r.name == "changes"
	})
}

// property is one property of a JSON object whose order is kept; its value is
// JSON already.
type property struct {
	name  string
	value []byte
}

type object []property

// json writes the properties in their order.
func (o object) json() []byte {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, p := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		b.Write(quote(p.name))
		b.WriteByte(':')
		b.Write(p.value)
	}
	b.WriteByte('}')
	return b.Bytes()
}

// quote returns a text as JSON.
func quote(text string) []byte {
	b, _ := marshal(text) // a string always has a JSON form
	return b
}

// quoteAll returns texts as a JSON array.
func quoteAll(texts ...string) []byte {
	b, _ := marshal(texts) // so has a slice of them
	return b
}

func marshal[T string | []string | *descriptor](v T) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(b.Bytes(), []byte{'\n'}), nil
}

// maxLine is the length up to which a JSON value is laid out on one line, so that
// a field of a schema stands on a line of its own and a diff shows it well.
const maxLine = 360

// layout returns compact JSON with line feeds for a person to read.
func layout(compact []byte) ([]byte, error) {
	var b bytes.Buffer
	if err := layoutValue(&b, compact, "\n"); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

func layoutValue(b *bytes.Buffer, value json.RawMessage, newline string) error {
	if value[0] != '{' && value[0] != '[' {
		b.Write(value)
		return nil
	}
	decoder := json.NewDecoder(bytes.NewReader(value))
	if _, err := decoder.Token(); err != nil {
		return err
	}
	long := len(value) > maxLine
	for i := 0; decoder.More(); i++ {
		switch {
		case i > 0 && long:
			b.WriteString("," + newline + "  ")
		case i > 0:
			b.WriteString(", ")
		case long:
			b.WriteByte(value[0])
			b.WriteString(newline + "  ")
		default:
			b.WriteByte(value[0])
		}
		var part json.RawMessage
		if value[0] == '{' {
			name, err := decoder.Token()
			if err != nil {
				return err
			}
			text, ok := name.(string)
			if !ok {
				return fmt.Errorf("%v is not the name of a property", name)
			}
			b.Write(quote(text))
			b.WriteString(": ")
		}
		if err := decoder.Decode(&part); err != nil {
			return err
		}
		if err := layoutValue(b, part, newline+"  "); err != nil {
			return err
		}
	}
	switch {
	case len(value) == 2:
		b.Write(value)
		return nil
	case long:
		b.WriteString(newline)
	}
	b.WriteByte(value[len(value)-1])
	return nil
}

// subjectSchema returns the JSON Schema of a subject's document.
func subjectSchema() ([]byte, error) {
	text := func(description string) []byte {
		return object{{"type", quote("string")}, {"description", quote(description)}}.json()
	}
	row := func(r *resource) []byte {
		var properties object
		for _, c := range r.columns {
			properties = append(properties, property{c.name, c.property()})
		}
		return object{
			{"type", quote("object")},
			{"properties", properties.json()},
			{"required", quoteAll(r.head()...)},
			{"additionalProperties", []byte("false")},
		}.json()
	}
	format := object{{"const", []byte(strconv.Itoa(Format))}}.json()
	properties := object{
		{"$schema", object{{"const", quote("../" + schemaPath)}}.json()},
		{"edition", object{
			{"type", quote("object")},
			{"properties", object{
				{"name", text("name of the edition")},
				{"title", text("title of the edition")},
				{"version", object{{"type", quote("string")}, {"pattern", quote(`^(0|[1-9][0-9]*)(\.(0|[1-9][0-9]*)){2}$`)}, {"description", quote("version of the data")}}.json()},
				{"created", object{{"type", quote("string")}, {"format", quote("date-time")}, {"description", quote("time of the edition, in UTC")}}.json()},
				{"edition_format", format},
				{"licence", text("licence of the data, SPDX identifier")},
			}.json()},
			{"required", quoteAll("name", "title", "version", "created", "edition_format", "licence")},
			{"additionalProperties", []byte("false")},
		}.json()},
		{"caution", object{{"type", quote("string")}, {"minLength", []byte("1")}, {"description", quote("what the data must not be used for")}}.json()},
		{"subject", row(resourceNamed("subjects"))},
	}
	required := []string{"$schema", "edition", "caution", "subject"}
	for _, r := range documentResources() {
		properties = append(properties, property{r.name, object{
			{"description", quote(r.title)},
			{"type", quote("array")},
			{"items", row(r)},
		}.json()})
		required = append(required, r.name)
	}
	return layout(object{
		{"$schema", quote(jsonSchema)},
		{"title", quote("All published records of one subject")},
		{"description", quote("The rows of the CSV files of the edition that belong to one subject, with the same names. Numbers keep their trailing zeros; null is a missing one.")},
		{"type", quote("object")},
		{"properties", properties.json()},
		{"required", quoteAll(required...)},
		{"additionalProperties", []byte("false")},
	}.json())
}

// property returns the JSON Schema of a column in a subject's document.
func (c *column) property() []byte {
	kind := "string"
	switch c.kind {
	case "number", "integer", "boolean":
		kind = c.kind
	}
	var o object
	add := func(name string, value []byte) { o = append(o, property{name, value}) }
	if c.need {
		add("type", quote(kind))
	} else {
		add("type", quoteAll(kind, "null"))
	}
	if c.enum != nil {
		values := quoteAll(c.enum...)
		if !c.need {
			values = append(bytes.TrimSuffix(values, []byte("]")), ",null]"...)
		}
		add("enum", values)
	}
	if p := c.pattern(); p != "" {
		add("pattern", quote(p))
	}
	switch c.kind {
	case "datetime":
		add("format", quote("date-time"))
	case "uri":
		add("format", quote("uri"))
	}
	if c.hasMin {
		add("minimum", []byte(strconv.Itoa(c.min)))
	}
	if c.above0 {
		add("exclusiveMinimum", []byte("0"))
	}
	if c.unit != "" {
		add("unit", quote(c.unit))
	}
	add("description", quote(c.doc))
	return o.json()
}

// rowJSON writes one row as a JSON object on one line.
func (r *resource) rowJSON(row []string) []byte {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, c := range r.columns {
		if i > 0 {
			b.WriteString(", ")
		}
		b.Write(quote(c.name))
		b.WriteString(": ")
		switch {
		case row[i] == "":
			b.WriteString("null")
		case c.kind == "number", c.kind == "integer", c.kind == "boolean":
			b.WriteString(row[i])
		default:
			b.Write(quote(row[i]))
		}
	}
	b.WriteByte('}')
	return b.Bytes()
}

// documents returns the JSON document of every subject by path, each row on a
// line of its own. rows holds the sorted rows of each resource.
func documents(e *Edition, rows map[string][][]string) map[string][]byte {
	cell := func(r *resource, row []string, column string) string { return row[r.column(column)] }
	files := make(map[string][]byte)
	subjects := resourceNamed("subjects")
	for _, subject := range rows["subjects"] {
		id := subject[0]
		// What the subject's own rows point to goes with them.
		mine := make(map[string][][]string)
		pointed := map[string]map[string]bool{"sources": {}, "conditions": {}, "reviews": {}, "values": {}}
		point := func(r *resource, row []string) {
			for i, c := range r.columns {
				if c.ref != "" && pointed[c.ref] != nil {
					pointed[c.ref][row[i]] = true
				}
			}
		}
		for _, r := range documentResources() {
			if r.column("subject_id") < 0 {
				continue
			}
			for _, row := range rows[r.name] {
				if cell(r, row, "subject_id") == id {
					mine[r.name] = append(mine[r.name], row)
					point(r, row)
				}
			}
		}
		own := make(map[string]bool)
		for _, row := range mine["values"] {
			own[row[0]] = true
		}
		findings := resourceNamed("findings")
		for _, row := range rows["findings"] {
			if slices.ContainsFunc(strings.Fields(cell(findings, row, "value_ids")), func(v string) bool { return own[v] }) {
				mine["findings"] = append(mine["findings"], row)
				point(findings, row)
			}
		}
		reviews := resourceNamed("reviews")
		for more := true; more; {
			more = false
			for _, row := range rows["reviews"] {
				before := cell(reviews, row, "supersedes")
				if pointed["reviews"][row[0]] && before != "" && !pointed["reviews"][before] {
					pointed["reviews"][before] = true
					more = true
				}
			}
		}
		for _, name := range []string{"sources", "conditions", "reviews"} {
			for _, row := range rows[name] {
				if pointed[name][row[0]] {
					mine[name] = append(mine[name], row)
				}
			}
		}

		var b bytes.Buffer
		fmt.Fprintf(&b, "{\n\"$schema\": %s,\n", quote("../"+schemaPath))
		fmt.Fprintf(&b, "\"edition\": {\"name\": %s, \"title\": %s, \"version\": %s, \"created\": %s, \"edition_format\": %d, \"licence\": %s},\n",
			quote(e.Name), quote(e.Title), quote(e.Version), quote(e.Created), Format, quote(e.Licence.Name))
		fmt.Fprintf(&b, "\"caution\": %s,\n", quote(e.Caution))
		fmt.Fprintf(&b, "\"subject\": %s", subjects.rowJSON(subject))
		for _, r := range documentResources() {
			fmt.Fprintf(&b, ",\n%s: [", quote(r.name))
			for i, row := range mine[r.name] {
				if i > 0 {
					b.WriteByte(',')
				}
				b.WriteByte('\n')
				b.Write(r.rowJSON(row))
			}
			if len(mine[r.name]) > 0 {
				b.WriteByte('\n')
			}
			b.WriteByte(']')
		}
		b.WriteString("\n}\n")
		files[documentPath(id)] = b.Bytes()
	}
	return files
}

func documentPath(subject string) string { return "subjects/" + subject + ".json" }
