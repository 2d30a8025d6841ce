package datasets

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// edit changes one file of an edition.
func edit(t *testing.T, dir, path string, change func(string) string) {
	t.Helper()
	name := filepath.Join(dir, filepath.FromSlash(path))
	before := readFile(t, name)
	after := change(before)
	if after == before {
		t.Fatalf("the mutation does not change %s", path)
	}
	if err := os.WriteFile(name, []byte(after), 0o644); err != nil {
		t.Fatal(err)
	}
}

func replace(old, new string) func(string) string {
	return func(s string) string { return strings.Replace(s, old, new, 1) }
}

var sealPattern = regexp.MustCompile(`"path": "([^"]*)",(\s+"format": "csv",\s+"mediatype": "text/csv",\s+"encoding": "utf-8",\s+)"bytes": [0-9]+,(\s+)"hash": "sha256:[0-9a-f]{64}"`)

// reseal makes the digests fit a mutated edition again, so that what is wrong with
// its content is seen by itself.
func reseal(t *testing.T, dir string) {
	t.Helper()
	description := readFile(t, dir, "datapackage.json")
	description = sealPattern.ReplaceAllStringFunc(description, func(m string) string {
		p := sealPattern.FindStringSubmatch(m)
		data := readFile(t, dir, p[1])
		return fmt.Sprintf(`"path": "%s",%s"bytes": %d,%s"hash": "sha256:%x"`, p[1], p[2], len(data), p[3], sha256.Sum256([]byte(data)))
	})
	if err := os.WriteFile(filepath.Join(dir, "datapackage.json"), []byte(description), 0o644); err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, line := range strings.Split(strings.TrimSuffix(readFile(t, dir, "SHA256SUMS"), "\n"), "\n") {
		path := line[66:]
		lines = append(lines, fmt.Sprintf("%x  %s\n", sha256.Sum256([]byte(readFile(t, dir, path))), path))
	}
	if err := os.WriteFile(filepath.Join(dir, "SHA256SUMS"), []byte(strings.Join(lines, "")), 0o644); err != nil {
		t.Fatal(err)
	}
}

func problemTexts(t *testing.T, dir string) []string {
	t.Helper()
	problems, err := Verify(dir)
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	for _, p := range problems {
		texts = append(texts, p.String())
	}
	return texts
}

func TestVerifyIsSilentOnASoundEdition(t *testing.T) {
	for _, e := range []*Edition{tarnholm(), tarnholmNext()} {
		if got := problemTexts(t, write(t, e)); got != nil {
			t.Errorf("%s: %q", e.Version, got)
		}
	}
}

// One mutation a case. A sealed case has fitting digests, as somebody who changes
// an edition and seals it anew would leave it.
func TestVerifyFindsEveryMutation(t *testing.T) {
	cases := []struct {
		name   string
		sealed bool
		mutate func(t *testing.T, dir string)
		want   []string
	}{
		{"bit flip in the master", false, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("theory,0.1", "theory,0.3"))
		}, []string{
			"data/tolerances.csv: has the SHA-256 #1, SHA256SUMS says #2",
			"data/tolerances.csv: has sha256:#1, datapackage.json says sha256:#2",
		}},
		{"bit flip in a subject", false, func(t *testing.T, dir string) {
			edit(t, dir, "subjects/heron-wing.json", replace(`"half_width": 0.05`, `"half_width": 0.04`))
		}, []string{
			"subjects/heron-wing.json: has the SHA-256 #1, SHA256SUMS says #2",
			`subjects/heron-wing.json:17: is not what the CSV files say: it reads ` + "`" + `", "half_width": 0.04, "accuracy": null, "printed": "2.0", "` + "`" + `, it would be right as ` + "`" + `", "half_width": 0.05, "accuracy": null, "printed": "2.0", "` + "`",
		}},
		{"trailing zero lost in a subject", true, func(t *testing.T, dir string) {
			edit(t, dir, "subjects/heron-wing.json", replace(`"lift_coefficient": 0.30`, `"lift_coefficient": 0.3`))
		}, []string{
			`subjects/heron-wing.json:32: is not what the CSV files say: it reads ` + "`" + `ft_coefficient": 0.3, "lift_coefficient_half_width": 0.005, ` + "`" + `, it would be right as ` + "`" + `ft_coefficient": 0.30, "lift_coefficient_half_width": 0.005,` + "`",
		}},
		{"caution taken out of the readme", true, func(t *testing.T, dir string) {
			edit(t, dir, "README.md", replace("**Caution.** Not for flight: period measurements, published for study.\n\n", ""))
		}, []string{
			"README.md:5: is not what the CSV files say: it reads `Licence of the data: CC0-1.0 (Creative Commons Zero v1.0 Uni`, it would be right as `**Caution.** Not for flight: period measurements, published `",
		}},
		{"stray file", false, func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, "data", "notes.txt"), []byte("x\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}, []string{
			"SHA256SUMS: data/notes.txt is not listed",
			"data/notes.txt: is no file of this edition",
		}},
		{"stray subject", false, func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, "subjects", "gull.json"), []byte("{}\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}, []string{
			"SHA256SUMS: subjects/gull.json is not listed",
			"subjects/gull.json: is no file of this edition",
		}},
		{"stray folder", false, func(t *testing.T, dir string) {
			if err := os.Mkdir(filepath.Join(dir, "pages"), 0o755); err != nil {
				t.Fatal(err)
			}
		}, []string{"pages: is a folder that no edition has"}},
		{"missing resource", false, func(t *testing.T, dir string) {
			if err := os.Remove(filepath.Join(dir, "data", "limits.csv")); err != nil {
				t.Fatal(err)
			}
		}, []string{
			"data/limits.csv: is missing",
			"SHA256SUMS:10: data/limits.csv is listed and is not there",
		}},
		{"missing subject", false, func(t *testing.T, dir string) {
			if err := os.Remove(filepath.Join(dir, "subjects", "heron-wing.json")); err != nil {
				t.Fatal(err)
			}
		}, []string{
			"SHA256SUMS:21: subjects/heron-wing.json is listed and is not there",
			"subjects/heron-wing.json: is missing",
		}},
		{"link in place of a file", false, func(t *testing.T, dir string) {
			name := filepath.Join(dir, "README.md")
			if err := os.Rename(name, filepath.Join(filepath.Dir(dir), "elsewhere")); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(filepath.Join("..", "elsewhere"), name); err != nil {
				t.Fatal(err)
			}
		}, []string{
			"README.md: is not a plain file",
			"README.md: is missing",
			"SHA256SUMS:2: README.md is listed and is not there",
		}},
		{"digest changed", false, func(t *testing.T, dir string) {
			edit(t, dir, "SHA256SUMS", func(s string) string {
				last := strings.LastIndex(strings.TrimSuffix(s, "\n"), "\n") + 1
				return s[:last] + strings.Repeat("0", 64) + s[last+64:]
			})
		}, []string{"subjects/heron-wing.json: has the SHA-256 #1, SHA256SUMS says #2"}},
		{"line of SHA256SUMS taken out", false, func(t *testing.T, dir string) {
			edit(t, dir, "SHA256SUMS", func(s string) string { return s[strings.Index(s, "\n")+1:] })
		}, []string{"SHA256SUMS: CHANGES.md is not listed"}},
		{"line of SHA256SUMS broken", false, func(t *testing.T, dir string) {
			edit(t, dir, "SHA256SUMS", func(s string) string { return "#" + s[1:] })
		}, []string{
			`SHA256SUMS:1: "#XXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXX  CHANGES.md" is not a line of digest, two spaces and path`,
		}},
		{"description is not JSON", true, func(t *testing.T, dir string) {
			edit(t, dir, "datapackage.json", replace(`"tarnholm-heron",`, `"tarnholm-heron"`))
		}, []string{`datapackage.json: is not JSON at line 4: invalid character '"' after object key:value pair`}},
		{"unit changed in the schema", true, func(t *testing.T, dir string) {
			edit(t, dir, "datapackage.json", replace(`"name": "speed", "type": "number", "unit": "m/s"`, `"name": "speed", "type": "number", "unit": "km/h"`))
		}, []string{
			"datapackage.json:339: is not what the CSV files say: it reads ` \"number\", \"unit\": \"km/h\", \"description\": \"stalling speed, o`, it would be right as ` \"number\", \"unit\": \"m/s\", \"description\": \"stalling speed, of`",
		}},
		{"edition of a later format", true, func(t *testing.T, dir string) {
			edit(t, dir, "datapackage.json", replace(`"edition_format": 1`, `"edition_format": 2`))
		}, []string{"datapackage.json: edition_format: is 2, this program knows 1"}},
		{"row taken out", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/values.csv", func(s string) string {
				from := strings.Index(s, "v09,")
				return s[:from] + s[from+strings.Index(s[from:], "\n")+1:]
			})
		}, []string{"data/limits.csv:2: value_id: v09 is not in data/values.csv"}},
		{"point of a polar taken out", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", func(s string) string { return s[:strings.Index(s, "heron-plain,2")] })
		}, []string{
			`datapackage.json:4: is not what the CSV files say: it reads ` + "`" + `  "id": "urn:uuid:#3` + "`" + `, it would be right as ` + "`" + `  "id": "urn:uuid:#4` + "`",
			"subjects/heron-wing.json:31: is not what the CSV files say: it reads `ent_value_id\": null},`, it would be right as `ent_value_id\": null}`",
		}},
		{"rows in another order", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/configurations.csv", func(s string) string {
				lines := strings.SplitAfter(s, "\n")
				return lines[0] + lines[2] + lines[1]
			})
		}, []string{"data/configurations.csv:3: plain stands after split-30, rows are sorted by primary key"}},
		{"row twice", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", func(s string) string { return s + s[strings.Index(s, "\n")+1:] })
		}, []string{"data/subjects.csv:3: heron-wing is there twice, a primary key is unique"}},
		{"columns exchanged", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("kind,title", "title,kind"))
		}, []string{`data/subjects.csv:1: column 2 is "title", it would be right as "kind"`}},
		{"column added", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", func(s string) string {
				return strings.ReplaceAll(s, "\n", ",\n")
			})
		}, []string{"data/subjects.csv:1: the head row has 5 columns, it would be right with 4"}},
		{"cell too few", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("Heron wing,", "Heron wing"))
		}, []string{"data/subjects.csv:2: the row has 3 cells, it would be right with 4"}},
		{"carriage return", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") })
		}, []string{"data/subjects.csv:1: holds a carriage return, lines end in a line feed alone"}},
		{"byte order mark", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", func(s string) string { return "\ufeff" + s })
		}, []string{"data/subjects.csv:1: begins with a byte order mark, the file would be right without it"}},
		{"latin-1", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("Heron wing", "H\xe9ron wing"))
		}, []string{"data/subjects.csv:2: byte 0xe9 is not UTF-8"}},
		{"cut short", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", func(s string) string { return s[:len(s)-3] })
		}, []string{"data/subjects.csv:2: the last line does not end in a line feed, the file is cut short"}},
		{"quote left open", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("Heron wing", `"Heron wing`))
		}, []string{`data/subjects.csv:2: cannot be split into cells: extraneous or missing " in quoted-field`}},
		{"quotes that are not needed", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("Heron wing", `"Heron wing"`))
		}, []string{`data/subjects.csv:2: is not in the one canonical form: it reads ` + "`heron-wing,wing,\"Heron wing\",`, it would be right as `heron-wing,wing,Heron wing,`"}},
		{"dangling foreign key", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/limits.csv", replace("l1,heron-wing,split-30", "l1,heron-wing,split-45"))
		}, []string{"data/limits.csv:2: configuration_id: split-45 is not in data/configurations.csv",
			`data/limits.csv:2: value: value v09 is of configuration split-30, the row is of "split-45"`}},
		{"exponent", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("theory,0.1", "theory,1e-1"))
		}, []string{`data/tolerances.csv:2: value: "1e-1" has an exponent, a number is a plain decimal such as 0.0012`}},
		{"not a number", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("theory,0.1", "theory,NaN"))
		}, []string{`data/tolerances.csv:2: value: "NaN" is not a number, a number is a plain decimal such as -12.50`}},
		{"decimal comma", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("theory,0.1", `theory,"0,1"`))
		}, []string{`data/tolerances.csv:2: value: "0,1" has a comma, a number has a point before its decimals`}},
		{"half-width of zero", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/characteristics.csv", replace("18.58,0.05", "18.58,0"))
		}, []string{"data/characteristics.csv:2: half_width: is 0, it would be right empty or positive"}},
		{"zero for a missing half-width", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/stall_speeds.csv", replace("true,23.25,0.2235", "true,23.25,0.00"))
		}, []string{"data/stall_speeds.csv:2: speed_half_width: is 0.00, it would be right empty or positive"}},
		{"formula in a text", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace("Heron wing", "=1+1"))
		}, []string{`data/subjects.csv:2: title: "=1+1" begins with "=", a spreadsheet program would take it for a formula`}},
		{"formula behind a minus in the print", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/values.csv", replace("-.12", "-1+A1"))
		}, []string{`data/values.csv:6: printed: "-1+A1" begins with "-" and is no numeral, a spreadsheet program would take it for a formula`}},
		{"id that a spreadsheet program makes a date of", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("slope", "mar-1"))
		}, []string{`data/tolerances.csv:2: check: "mar-1" looks like a date to a spreadsheet program, an id must not`}},
		{"id in upper case", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/tolerances.csv", replace("slope", "Slope"))
		}, []string{`data/tolerances.csv:2: check: "Slope" is not an id, an id is a lower-case letter and then lower-case letters, digits, dots, dashes and underscores`}},
		{"word that is not in the list", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/subjects.csv", replace(",wing,", ",kite,"))
		}, []string{`data/subjects.csv:2: kind: "kite" is not among section, wing, rotor, model, aeroplane`}},
		{"number that is not its value", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.31,0.005,v02"))
		}, []string{"data/polars.csv:3: lift_coefficient: is 0.31, value v02 is 0.30"}},
		{"trailing zero lost", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.3,0.005,v02"))
		}, []string{"data/polars.csv:3: lift_coefficient: is 0.3, value v02 is 0.30"}},
		{"half-width that is not its value's", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.30,,v02"))
		}, []string{`data/polars.csv:3: lift_coefficient_half_width: is "", value v02 has "0.005"`}},
		{"number without a value", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.30,0.005,"))
		}, []string{"data/polars.csv:3: lift_coefficient_value_id: is empty, a published number names its record in values"}},
		{"value and record changed alike, print left", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.31,0.005,v02"))
			edit(t, dir, "data/values.csv", replace("lift coefficient,0.30,", "lift coefficient,0.31,"))
		}, []string{`data/values.csv:3: value: is 0.31, printed is ".30*" in the same unit`}},
		{"converted value and record changed alike, print left", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/stall_speeds.csv", replace("true,23.25,", "true,26.25,"))
			edit(t, dir, "data/values.csv", replace("stall speed,23.25,", "stall speed,26.25,"))
		}, []string{`data/values.csv:8: value: is 26.25, printed "52" in [mi_i]/h comes to 23.25 in m/s`}},
		{"print changed, converted value left", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/values.csv", replace(",,52,,0,", ",,99,,0,"))
		}, []string{`data/values.csv:8: value: is 23.25, printed "99" in [mi_i]/h comes to 44.26 in m/s`}},
		{"unit of the print changed, converted value left", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/values.csv", replace(",,52,,0,[mi_i]/h,", ",,52,,0,[kn_i],"))
		}, []string{
			`data/values.csv:8: formula: is "m/s from [mi_i]/h", it would be right as "m/s from [kn_i]" between printed "52" in [kn_i] and a value in m/s`,
			`data/values.csv:8: value: is 23.25, printed "52" in [kn_i] comes to 26.75 in m/s`,
			`data/values.csv:8: half_width: is 0.2235, printed "52" in [kn_i] is rounded to 0.2572 m/s at best`,
		}},
		{"half-width finer than the print", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.30,0.0005,v02"))
			edit(t, dir, "data/values.csv", replace("0.30,1,0.005", "0.30,1,0.0005"))
		}, []string{`data/values.csv:3: half_width: is 0.0005, printed ".30*" is rounded to 0.005 at best`}},
		{"another quantity's value", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/polars.csv", replace("0.30,0.005,v02", "0.62,0.005,v0b"))
		}, []string{
			"data/polars.csv:3: lift_coefficient: value v0b is a lift increment, it would be right as lift coefficient",
			`data/polars.csv:3: lift_coefficient: value v0b is of configuration split-30, the row is of "plain"`,
		}},
		{"decimals that the print has not", true, func(t *testing.T, dir string) {
			edit(t, dir, "data/values.csv", replace(".30*,,2,", ".30*,,1,"))
		}, []string{`data/values.csv:3: decimals: is "1", printed ".30*" has 2`}},
		{"edition before that the change list does not know", true, func(t *testing.T, dir string) {
			edit(t, dir, "datapackage.json", replace(`"caution":`, `"previous": "0.9.9",`+"\n  "+`"caution":`))
		}, []string{"CHANGES.md:3: is not what the CSV files say: it reads `This is the first edition.`, it would be right as `Nothing changed against 0.9.9.`"}},
	}
	digest := regexp.MustCompile(`[0-9a-f]{64}`)
	uuid := regexp.MustCompile(`[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}",`)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := write(t, tarnholm())
			c.mutate(t, dir)
			if c.sealed {
				reseal(t, dir)
			}
			got := problemTexts(t, dir)
			for i := range got {
				// Digests are told apart by their order, which is what matters here.
				n := 0
				got[i] = digest.ReplaceAllStringFunc(got[i], func(string) string { n++; return fmt.Sprintf("#%d", n) })
				n = 2
				got[i] = uuid.ReplaceAllStringFunc(got[i], func(string) string { n++; return fmt.Sprintf("#%d", n) })
				got[i] = regexp.MustCompile(`#[0-9a-f]{63}`).ReplaceAllString(got[i], "#"+strings.Repeat("X", 64))
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
			if _, err := Load(dir); err == nil {
				t.Error("Load takes the edition")
			}
		})
	}
}
