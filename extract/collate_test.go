package extract

import (
	"reflect"
	"strings"
	"testing"
)

func TestSameText(t *testing.T) {
	// Conventions of printed tables: common practice, no source.
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"", "", true},
		{"0.50", ".50", true},
		{".50", ".5", false}, // a digit printed is a digit known
		{"15.", "15", true},
		{"1,234", "1234", true},
		{"1,234", "1.234", false},
		{"1200", "1.2x10^3", false},
		{"12x10^2", "1.2×10³", true},
		{"-0.014", "−.014", true},
		{"–2", "—2", true},
		{"--.983", "-.983", true},
		{"-.983", ".983", false},
		{"0·50", "0.50", true},
		{"0.50*", "0.50", true},
		{"0.50†", "0.50*", true},
		{"0.50 b", "0.50", true},
		{"0.50b", "0.50", false}, // may be 0.506 that both lost in their own way
		{"0.50b", "0.50b", true},
		{"0.50b", "0.50c", false},
		{"0.50b", "0.506", false},
		{"10°", "10", true},
		{"10°30'", "10.5", false},
		{"5½", "5 1/2", true},
		{"5 1/2", "5.5", false},
		{"45%", "45", false},
		{"45 %", "45%", true},
		{"0.45", "45%", false},
		{"—", "--", true},
		{"—", "....", true},
		{"—", "", false}, // a dash says that there is no value; nothing says nothing
		{"—", "0", false},
		{"", "0", false},
		{"″", "do.", true},
		{"″", "0.50", false},
		{"″", "—", false},
		{"1O.2", "10.2", false},
		{"1O.2", "1O.2", true},
		{"l.2", "1.2", false},
		{"Weight, gross . . . . .", "Weight,  gross", true},
		{"Weight, gross", "Weight, net", false},
		{"Split flap — 60°", "Split flap - 60°", true},
		{"pilot’s", "pilot's", true},
		{"Plain", "plain", false},
		{"NACA 0012", "0012", false},
	} {
		if got := SameText(c.a, c.b); got != c.want {
			t.Errorf("SameText(%q, %q) = %v", c.a, c.b, got)
		}
		if got := SameText(c.b, c.a); got != c.want {
			t.Errorf("SameText(%q, %q) = %v, the other way round", c.b, c.a, got)
		}
	}
}

func TestLabel(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Wing area . . . . . . .", "Wing area"},
		{"Wing area……", "Wing area"},
		{"  Wing   area ", "Wing area"},
		{"Wing–body", "Wing-body"},
		{"Fin no. 2", "Fin no. 2"},
		{"....", ""},
	} {
		if got := Label(c.text); got != c.want {
			t.Errorf("Label(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

// reading makes a reading of one column from row key and text, in turn.
func reading(reader string, rowsAndTexts ...string) *Reading {
	r := &Reading{Meta: ReadingMeta{TableID: "t00000001", Reader: reader}}
	for i := 0; i < len(rowsAndTexts); i += 2 {
		r.Cells = append(r.Cells, Cell{Row: rowsAndTexts[i], Column: "cl", Text: rowsAndTexts[i+1], Place: Place{Page: 3}, Confidence: -1})
	}
	return r
}

func TestStates(t *testing.T) {
	table := &Table{ID: "t00000001", Name: "wing", Columns: []Column{{Key: "cl"}}}
	g := &Register{Schema: Schema, TableID: table.ID, Rows: []KnownRow{{Key: "r001"}}}
	id := CellID{"t00000001", "r001", "cl"}
	for _, c := range []struct {
		name        string
		readings    []*Reading
		settled     *Settled
		state       State
		print, text string
		described   string
	}{
		{name: "one machine", readings: []*Reading{reading("text", "r001", ".50")}, state: Unwitnessed, print: ".50", text: ".50"},
		{name: "one person", readings: []*Reading{reading("keyed-ab", "r001", ".50")}, state: Keyed, print: ".50", text: ".50"},
		{name: "person and machine", readings: []*Reading{reading("text", "r001", "0.50"), reading("keyed-ab", "r001", ".50")}, state: Agreed, print: ".50", text: ".50"},
		{name: "two persons", readings: []*Reading{reading("keyed-ab", "r001", ".50"), reading("keyed-cd", "r001", ".50")}, state: Agreed, print: ".50", text: ".50"},
		{name: "one reader twice is one witness", readings: []*Reading{reading("keyed-ab", "r001", ".50"), reading("keyed-ab", "r001", ".50")}, state: Keyed, print: ".50", text: ".50"},
		{name: "a figure differs", readings: []*Reading{reading("text", "r001", ".60"), reading("keyed-ab", "r001", ".50")}, state: Disputed,
			described: `keyed-ab reads ".50", text reads ".60"`},
		{name: "a decimal more", readings: []*Reading{reading("text", "r001", ".5"), reading("keyed-ab", "r001", ".50")}, state: Disputed,
			described: `keyed-ab reads ".50", text reads ".5"`},
		{name: "the third differs", readings: []*Reading{reading("text", "r001", ".60"), reading("keyed-ab", "r001", ".50"), reading("keyed-cd", "r001", ".50")}, state: Disputed,
			described: `keyed-ab reads ".50", keyed-cd reads ".50", text reads ".60"`},
		{name: "nothing against a figure", readings: []*Reading{reading("text", "r001", ""), reading("keyed-ab", "r001", ".50")}, state: Disputed,
			described: `keyed-ab reads ".50", text reads ""`},
		{name: "confirmed", readings: []*Reading{reading("text", "r001", ".50")}, settled: &Settled{State: Confirmed, Ruling: "u1", By: "ab"}, state: Confirmed, print: ".50", text: ".50"},
		{name: "confirmed though the readings differ", readings: []*Reading{reading("text", "r001", ".60"), reading("keyed-ab", "r001", ".50")},
			settled: &Settled{State: Confirmed, Ruling: "u1", By: "ab"}, state: Disputed, described: `keyed-ab reads ".50", text reads ".60"`},
		{name: "reread", readings: []*Reading{reading("text", "r001", ".60"), reading("keyed-ab", "r001", ".50")},
			settled: &Settled{State: Reread, Print: ".50", Ruling: "u1", By: "ab"}, state: Reread, print: ".50", text: ".50"},
		{name: "reread as nothing", readings: []*Reading{reading("text", "r001", ".60")}, settled: &Settled{State: Reread, Ruling: "u1", By: "ab"}, state: Reread},
		{name: "emended", readings: []*Reading{reading("text", "r001", ".50")}, settled: &Settled{State: Emended, Value: ".60", Ruling: "u1", By: "ab"}, state: Emended, print: ".50", text: ".60"},
		{name: "withheld", readings: []*Reading{reading("text", "r001", ".50")}, settled: &Settled{State: Withheld, Ruling: "u1", By: "ab"}, state: Withheld, print: ".50", text: ".50"},
	} {
		settled := map[CellID]Settled{}
		if c.settled != nil {
			settled[id] = *c.settled
		}
		got := Collate(table, g, c.readings, settled)
		cell := got.Cell("r001", "cl")
		if cell == nil {
			t.Errorf("%s: no cell", c.name)
			continue
		}
		if cell.State != c.state || cell.Print != c.print || cell.Text != c.text {
			t.Errorf("%s: state %s, print %q, text %q; want %s, %q, %q", c.name, cell.State, cell.Print, cell.Text, c.state, c.print, c.text)
		}
		var described []string
		for _, d := range got.Differences {
			described = append(described, got.Describe(d))
		}
		if strings.Join(described, "; ") != c.described {
			t.Errorf("%s: differences %q, want %q", c.name, described, c.described)
		}
	}
}

// witnesses reads a line such as "sorts:.50 ocr:.56? scan:.50": reader and text, a
// question mark where the reader doubts it, scan for the text layer of a page image.
func witnesses(line string) []*Reading {
	var list []*Reading
	for _, w := range strings.Fields(line) {
		reader, text, _ := strings.Cut(w, ":")
		text, doubts := strings.CutSuffix(text, "?")
		layer := reader == "scan"
		if layer {
			reader = "text"
		}
		r := reading(reader, "r001", text)
		r.Meta.Scan = layer || reader == "sorts" || reader == "ocr"
		if doubts {
			r.Cells[0].Doubt = "the second figure lies between 0 and 6"
		}
		list = append(list, r)
	}
	return list
}

// The rules of the design: what is without doubt and has evidence of its own.
func TestDoubts(t *testing.T) {
	table := &Table{ID: "t00000001", Name: "wing", Columns: []Column{{Key: "cl"}}}
	g := &Register{Schema: Schema, TableID: table.ID, Rows: []KnownRow{{Key: "r001"}}}
	for _, c := range []struct {
		witnesses string
		state     State
		print     string
		confirmed string // what a confirm makes of it; "none" where there is nothing to confirm
	}{
		// Nobody is without doubt.
		{"sorts:.50?", Doubtful, "", ".50"},
		{"ocr:.50?", Doubtful, "", ".50"},
		{"text:.50?", Doubtful, "", ".50"},
		{"keyed-ab:.50?", Doubtful, "", ".50"},
		{"sorts:.50? ocr:.50?", Doubtful, "", ".50"},
		{"sorts:.50? ocr:0.50?", Doubtful, "", ".50"},
		{"sorts:.50? ocr:.56?", Doubtful, "", "none"},
		{"sorts:?", Doubtful, "", ""},
		// One alone.
		{"sorts:.50", Unwitnessed, ".50", ".50"},
		{"ocr:.50", Unwitnessed, ".50", ".50"},
		{"scan:.50", Unwitnessed, ".50", ".50"},
		{"sorts:.50 ocr:.56?", Unwitnessed, ".50", ".50"},
		{"sorts:.50 ocr:.50?", Unwitnessed, ".50", ".50"},
		{"keyed-ab:.50 sorts:.56?", Keyed, ".50", ".50"},
		{"keyed-ab:.50 sorts:.56? ocr:.58?", Keyed, ".50", ".50"},
		// ocr has the cell from the cut that sorts doubts.
		{"sorts:.50? ocr:.50", Doubtful, "", ".50"},
		{"sorts:.50? ocr:.56", Doubtful, "", "none"},
		// Two with evidence of their own.
		{"sorts:.50 ocr:0.50", Agreed, ".50", ".50"},
		{"ocr:0.50 sorts:.50 keyed-ab:.500", Disputed, "", "none"},
		{"ocr:0.50 sorts:.50 keyed-ab:.50", Agreed, ".50", ".50"},
		{"keyed-ab:.50 keyed-cd:.50 sorts:.56?", Agreed, ".50", ".50"},
		{"keyed-ab:.50 keyed-cd:.56 sorts:.50?", Disputed, "", "none"},
		{"sorts:.50 ocr:.56", Disputed, "", "none"},
		{"sorts:.50 keyed-ab:.56", Disputed, "", "none"},
		{"sorts:.50 keyed-ab:.56 ocr:.50", Disputed, "", "none"},
		{"sorts: ocr:.50", Disputed, "", "none"},
		// A text layer that is the file's own disputes.
		{"sorts:.50 text:.56", Disputed, "", "none"},
		{"sorts:.50 text:.50", Agreed, ".50", ".50"},
		// That of a scan supports an image reader or is passed over.
		{"sorts:.50 scan:.50", Agreed, ".50", ".50"},
		{"ocr:.50 scan:.50", Agreed, ".50", ".50"},
		{"sorts:.50 scan:.5O", Unwitnessed, ".50", ".50"},
		{"ocr:.50 scan:.56", Unwitnessed, ".50", ".50"},
		{"sorts:.50 scan:", Unwitnessed, ".50", ".50"},
		{"sorts: scan:.50", Unwitnessed, "", ""},
		{"sorts:.50 ocr:.50 scan:.56", Agreed, ".50", ".50"},
		{"sorts:.50 ocr:.56 scan:.50", Disputed, "", "none"},
		{"sorts:.50 ocr:.56 scan:.56", Disputed, "", "none"},
		{"sorts:.50 keyed-ab:.50 scan:.56", Agreed, ".50", ".50"},
		{"sorts:.50 keyed-ab:.56 scan:.56", Disputed, "", "none"},
		{"sorts:.50? ocr:.50 scan:.50", Agreed, ".50", ".50"},
		{"sorts:.50? ocr:.50 scan:.56", Doubtful, "", "none"},
		// It bears nothing alone where an image reader has looked and doubts.
		{"sorts:.50? scan:.50", Doubtful, "", ".50"},
		{"ocr:.50? scan:.50", Doubtful, "", ".50"},
		{"sorts:.50? ocr:.50? scan:.56", Doubtful, "", "none"},
		// Against a person alone it disputes as ever.
		{"keyed-ab:.50 scan:.56", Disputed, "", "none"},
		{"keyed-ab:.50 scan:.50", Agreed, ".50", ".50"},
		{"keyed-ab:.50 scan:.56 sorts:.50?", Disputed, "", "none"},
		{"keyed-ab:.50 scan:.50 sorts:.56?", Agreed, ".50", ".50"},
	} {
		got := Collate(table, g, witnesses(c.witnesses), nil)
		cell := got.Cell("r001", "cl")
		if cell.State != c.state || cell.Print != c.print || cell.Text != c.print {
			t.Errorf("%s: %s, print %q, text %q; want %s, %q", c.witnesses, cell.State, cell.Print, cell.Text, c.state, c.print)
		}
		if n := len(got.Differences); (n == 1) != (c.state == Disputed) {
			t.Errorf("%s: differences %v", c.witnesses, got.Differences)
		}
		settled := map[CellID]Settled{cell.ID: {State: Confirmed, Ruling: "u1", By: "ab"}}
		after := Collate(table, g, witnesses(c.witnesses), settled).Cell("r001", "cl")
		if c.confirmed == "none" {
			if after.State != c.state || after.Settled != nil || after.Text != "" {
				t.Errorf("%s confirmed: %s %q; there is nothing to confirm", c.witnesses, after.State, after.Text)
			}
		} else if after.State != Confirmed || after.Print != c.confirmed || after.Text != c.confirmed {
			t.Errorf("%s confirmed: %s, print %q, text %q; want %q", c.witnesses, after.State, after.Print, after.Text, c.confirmed)
		}
		settled[cell.ID] = Settled{State: Reread, Print: ".58", Ruling: "u1", By: "ab"}
		if after := Collate(table, g, witnesses(c.witnesses), settled).Cell("r001", "cl"); after.State != Reread || after.Text != ".58" {
			t.Errorf("%s reread: %s %q", c.witnesses, after.State, after.Text)
		}
		settled[cell.ID] = Settled{State: Withheld, Ruling: "u1", By: "ab"}
		if after := Collate(table, g, witnesses(c.witnesses), settled).Cell("r001", "cl"); after.State != Withheld || after.Text != c.print {
			t.Errorf("%s withheld: %s %q", c.witnesses, after.State, after.Text)
		}
		// An emendation keeps the print's text also where only a confirm gave it.
		if c.confirmed != "none" {
			settled[cell.ID] = Settled{State: Emended, Value: ".99", Ruling: "u1", By: "ab"}
			if after := Collate(table, g, witnesses(c.witnesses), settled).Cell("r001", "cl"); after.Print != c.confirmed || after.Text != ".99" {
				t.Errorf("%s emended: print %q, text %q", c.witnesses, after.Print, after.Text)
			}
		}
	}
}

// Of all sets of witnesses: no text goes on that no reader vouches for, none against
// one that disputes, and a further doubt never lets a text through.
func TestDoubtsInAllCombinations(t *testing.T) {
	table := &Table{ID: "t00000001", Name: "wing", Columns: []Column{{Key: "cl"}}}
	says := []string{"", ".50", ".56", ".50?", ".56?"}
	readers := []string{"keyed-ab", "keyed-cd", "ocr", "sorts", "layer"}
	n := 0
	var all func(k int, line []string)
	all = func(k int, line []string) {
		if k < len(readers) {
			for _, s := range says {
				if s == "" {
					all(k+1, line)
					continue
				}
				if readers[k] != "layer" {
					all(k+1, append(line[:len(line):len(line)], readers[k]+":"+s))
					continue
				}
				all(k+1, append(line[:len(line):len(line)], "scan:"+s))
				all(k+1, append(line[:len(line):len(line)], "text:"+s))
			}
			return
		}
		if len(line) == 0 {
			return
		}
		n++
		text := strings.Join(line, " ")
		has := func(readers ...string) (a, b, doubts int) {
			for _, w := range line {
				reader, said, _ := strings.Cut(w, ":")
				for _, r := range readers {
					switch {
					case reader != r:
					case strings.HasSuffix(said, "?"):
						doubts++
					case said == ".50":
						a++
					default:
						b++
					}
				}
			}
			return a, b, doubts
		}
		cell := Collate(table, nil, witnesses(text), nil).Cell("r001", "cl")
		a, b, _ := has("keyed-ab", "keyed-cd", "ocr", "sorts", "text")
		la, lb, _ := has("scan")
		ia, ib, id := has("ocr", "sorts")
		switch {
		case a > 0 && b > 0:
			if cell.State != Disputed {
				t.Errorf("%s: %s; readers without doubt differ", text, cell.State)
			}
		case a+b+la+lb == 0:
			if cell.State != Doubtful {
				t.Errorf("%s: %s; nobody is without doubt", text, cell.State)
			}
		case a+b == 0 && id > 0:
			if cell.State != Doubtful {
				t.Errorf("%s: %s; a layer alone against a reader that doubts", text, cell.State)
			}
		}
		if cell.State.Waits() != (cell.Print == "") {
			t.Errorf("%s: %s with the print %q", text, cell.State, cell.Print)
		}
		vouch := map[string]int{".50": a + la, ".56": b + lb}
		if !cell.State.Waits() && vouch[cell.Print] == 0 {
			t.Errorf("%s: goes on with %q, which nobody vouches for", text, cell.Print)
		}
		if cell.State == Agreed && vouch[cell.Print] < 2 {
			t.Errorf("%s: agreed by %d", text, vouch[cell.Print])
		}
		if ia+ib == 0 && (la > 0 && b > 0 || lb > 0 && a > 0) && cell.State != Disputed {
			t.Errorf("%s: %s; the layer disputes where no image reader is without doubt", text, cell.State)
		}
	}
	all(0, nil)
	if n != 5*5*5*5*9-1 {
		t.Errorf("%d sets of witnesses", n)
	}
}

// A reading that has a row but nothing in one of its columns says that nothing is
// printed there: it is a witness, and differs.
func TestCellLeftOutIsBlank(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "cl"}, {Key: "cd"}}}
	full := reading("keyed-ab", "r001", ".50", "r002", ".60")
	less := reading("text", "r001", ".50", "r002", ".60")
	for _, r := range []string{"r001", "r002"} {
		full.Cells = append(full.Cells, Cell{Row: r, Column: "cd", Text: ".012"})
	}
	less.Cells = append(less.Cells, Cell{Row: "r001", Column: "cd", Text: ".012"})
	c := Collate(table, nil, []*Reading{full, less}, nil)
	want := []Difference{{Kind: TextDiffers, Row: "r002", Column: "cd"}}
	if !reflect.DeepEqual(c.Differences, want) {
		t.Fatalf("differences %v, want %v", c.Differences, want)
	}
	if got := c.Describe(want[0]); got != `keyed-ab reads ".012", text reads ""` {
		t.Errorf("described as %s", got)
	}
}

// Given figures are cells too.
func TestGivenFigures(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "cl"}}, Givens: []Column{{Key: "re"}}}
	a, b := reading("text", "r001", ".50"), reading("keyed-ab", "r001", ".50")
	a.Cells = append(a.Cells, Cell{Row: Given, Column: "re", Text: "3,080,000"})
	b.Cells = append(b.Cells, Cell{Row: Given, Column: "re", Text: "3,060,000"})
	c := Collate(table, nil, []*Reading{a, b}, nil)
	if cell := c.Cell(Given, "re"); cell == nil || cell.State != Disputed || cell.Print != "" {
		t.Fatalf("given figure %+v", cell)
	}
	if want := []Difference{{Kind: TextDiffers, Row: Given, Column: "re"}}; !reflect.DeepEqual(c.Differences, want) {
		t.Errorf("differences %v, want %v", c.Differences, want)
	}
	if !reflect.DeepEqual(c.Rows, []string{"r001"}) {
		t.Errorf("rows %v", c.Rows)
	}
}

func TestEvidence(t *testing.T) {
	evidence := func(w ...Witness) string { c := Collated{Witnesses: w}; return c.Evidence() }
	base := evidence(Witness{Reader: "text", Text: ".50"})
	// printf 'text\\t.50\n' | sha256sum | cut -c1-16
	if base != "bb58933032d0e87e" {
		t.Errorf("evidence %s", base)
	}
	for name, other := range map[string]string{
		"another text":               evidence(Witness{Reader: "text", Text: ".5"}),
		"another reader":             evidence(Witness{Reader: "keyed-ab", Text: ".50"}),
		"a further one that agrees":  evidence(Witness{Reader: "text", Text: ".50"}, Witness{Reader: "keyed-ab", Text: ".50"}),
		"none":                       evidence(),
		"a doubt":                    evidence(Witness{Reader: "text", Text: ".50", Doubt: "no point"}),
		"a text that looks like two": evidence(Witness{Reader: "text", Text: ".50\nkeyed-ab\t.50"}),
	} {
		if other == base {
			t.Errorf("%s: the evidence did not change", name)
		}
	}
	if evidence(Witness{Reader: "a", Text: "1\nb\t2"}) == evidence(Witness{Reader: "a", Text: "1"}, Witness{Reader: "b", Text: "2"}) {
		t.Error("one text with a newline is the evidence of two")
	}
	if evidence(Witness{Reader: "a", Text: `1\n`}) == evidence(Witness{Reader: "a", Text: "1\n"}) {
		t.Error("an escape written out is the evidence of a newline")
	}
	one, two := Witness{Reader: "a", Text: "1"}, Witness{Reader: "b", Text: "2"}
	if evidence(one, two) != evidence(two, one) {
		t.Error("the evidence depends on the order of the witnesses")
	}
	doubt := evidence(Witness{Reader: "sorts", Text: ".50", Doubt: "no point"})
	// printf 'sorts\\t.50\ndoubt\\tsorts\\tno point\n' | sort | sha256sum | cut -c1-16
	if doubt != "d2ec02a04d168c40" {
		t.Errorf("evidence of a doubt %s", doubt)
	}
	if doubt == evidence(Witness{Reader: "sorts", Text: ".50", Doubt: "no sign"}) {
		t.Error("the evidence does not depend on the doubt")
	}
	if doubt == evidence(Witness{Reader: "sorts", Text: ".50"}, Witness{Reader: "ocr", Text: ".50", Doubt: "no point"}) {
		t.Error("the evidence does not depend on whose the doubt is")
	}
	// The place is no part of it: a redrawn region lapses no ruling.
	if evidence(Witness{Reader: "text", Text: ".50", Place: Place{Page: 9}}) != base {
		t.Error("the evidence depends on the place")
	}
	if Digest() == Digest("") {
		t.Error("no line and an empty line are one")
	}
}

func TestPlaceOfCell(t *testing.T) {
	c := Collated{Witnesses: []Witness{{Place: Place{Page: 3}}, {Place: Place{Page: 3, Box: Rect{10, 20, 30, 28}}}, {Place: Place{Sheet: "Data", Ref: "C7"}}}}
	if got := c.Place().String(); got != "p3 [10.00 20.00 30.00 28.00]" {
		t.Errorf("place %s", got)
	}
	if got := (&Collated{}).Place().String(); got != "" {
		t.Errorf("place %q of a cell that nobody read", got)
	}
	if got := (Place{Sheet: "Data", Ref: "C7"}).String(); got != "Data!C7" {
		t.Errorf("place %s", got)
	}
	if got := (Place{Line: 12}).String(); got != "line 12" {
		t.Errorf("place %s", got)
	}
}

func TestErrorText(t *testing.T) {
	for _, c := range []struct {
		e    Error
		want string
	}{
		{Error{Msg: "m"}, "m"},
		{Error{File: "tables/a.yaml", Line: 5, Msg: "m"}, "tables/a.yaml:5: m"},
		{Error{File: "r.pdf", Page: 14, Table: "polar", Row: "r005", Column: "cl", Msg: "m", Hint: "h"}, "r.pdf:p14:polar:r005:cl: m\nhint: h"},
		{Error{Table: "polar", Column: "cl", Msg: "m"}, "polar:column cl: m"},
		{Error{Table: "polar", Row: "r005", Msg: "m"}, "polar:r005: m"},
	} {
		if got := c.e.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Over lays every field, also one that is added later.
func TestOverLaysEveryField(t *testing.T) {
	var base, over Basis
	var fill func(v reflect.Value, prefix string)
	fill = func(v reflect.Value, prefix string) {
		for i := range v.NumField() {
			name := prefix + v.Type().Field(i).Name
			switch f := v.Field(i); f.Kind() {
			case reflect.String:
				f.SetString(name)
			case reflect.Struct:
				fill(f, name+".")
			default:
				t.Fatalf("Basis.%s is neither text nor block: teach Over about it", name)
			}
		}
	}
	fill(reflect.ValueOf(&over).Elem(), "over ")
	if got := base.Over(&over); got != over {
		t.Errorf("laid over nothing: %+v, want %+v", got, over)
	}
	fill(reflect.ValueOf(&base).Elem(), "base ")
	if got := base.Over(&over); got != over {
		t.Errorf("laid over a full basis: %+v, want %+v", got, over)
	}
	if got := base.Over(&Basis{}); got != base {
		t.Errorf("an empty basis changed %+v", got)
	}
	if got := base.Over(nil); got != base {
		t.Errorf("no basis changed %+v", got)
	}
}

// What a basis says of a thing goes when the thing is replaced: it would be said
// of another.
func TestOverDropsWhatNoLongerHolds(t *testing.T) {
	for _, tc := range []struct {
		name             string
		base, over, want Basis
	}{
		{"another kind of airspeed", Basis{AirspeedKind: "IAS", AirspeedMeaning: "the reading"}, Basis{AirspeedKind: "CAS"}, Basis{AirspeedKind: "CAS"}},
		{"another kind with its own words", Basis{AirspeedKind: "IAS", AirspeedMeaning: "the reading"}, Basis{AirspeedKind: "CAS", AirspeedMeaning: "corrected"},
			Basis{AirspeedKind: "CAS", AirspeedMeaning: "corrected"}},
		{"the same kind", Basis{AirspeedKind: "IAS", AirspeedMeaning: "the reading"}, Basis{AirspeedKind: "IAS"}, Basis{AirspeedKind: "IAS", AirspeedMeaning: "the reading"}},
		{"a kind where only the words were", Basis{AirspeedMeaning: "the reading"}, Basis{AirspeedKind: "IAS"}, Basis{AirspeedKind: "IAS", AirspeedMeaning: "the reading"}},
		{"no flap", Basis{Configuration: Configuration{Flap: "split", Deflection: "column d", State: "loaded"}}, Basis{Configuration: Configuration{Flap: "none"}},
			Basis{Configuration: Configuration{Flap: "none"}}},
		{"flap not stated", Basis{Configuration: Configuration{Flap: "split", Deflection: "column d"}}, Basis{Configuration: Configuration{Flap: "not-stated"}},
			Basis{Configuration: Configuration{Flap: "not-stated"}}},
		{"another flap", Basis{Configuration: Configuration{Flap: "split", Deflection: "column d"}}, Basis{Configuration: Configuration{Flap: "plain"}},
			Basis{Configuration: Configuration{Flap: "plain", Deflection: "column d"}}},
		{"a flap not stated with its deflection", Basis{Configuration: Configuration{Flap: "split", Deflection: "column d"}},
			Basis{Configuration: Configuration{Flap: "not-stated", Deflection: "column e"}}, Basis{Configuration: Configuration{Flap: "not-stated", Deflection: "column e"}}},
		{"Reynolds number not stated", Basis{ReynoldsKind: "test", Reynolds: "given re"}, Basis{ReynoldsKind: "not-stated"}, Basis{ReynoldsKind: "not-stated"}},
		{"another kind of Reynolds number", Basis{ReynoldsKind: "test", Reynolds: "given re"}, Basis{Reynolds: "column re"}, Basis{ReynoldsKind: "test", Reynolds: "column re"}},
		{"another weight condition", Basis{Weight: "given w", WeightCondition: "test"}, Basis{WeightCondition: "maximum"}, Basis{WeightCondition: "maximum"}},
		{"a weight for the same condition", Basis{Weight: "given w", WeightCondition: "test"}, Basis{Weight: "column w"}, Basis{Weight: "column w", WeightCondition: "test"}},
	} {
		if got := tc.base.Over(&tc.over); got != tc.want {
			t.Errorf("%s: %+v, want %+v", tc.name, got, tc.want)
		}
	}
}

func TestCellID(t *testing.T) {
	id := CellID{"t00000001", "r005", "cl"}
	if got, ok := ParseCellID(id.String()); !ok || got != id {
		t.Errorf("%s read back as %v, %v", id, got, ok)
	}
	for _, bad := range []string{"", "a/b", "a/b/c/d", "//", "a//c", "f0123456789abcdef"} {
		if got, ok := ParseCellID(bad); ok {
			t.Errorf("%q read as the cell %v", bad, got)
		}
	}
}
