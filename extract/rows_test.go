package extract

import (
	"fmt"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// laid is one printed row of a made-up table, and what a reading makes of it.
type laid struct {
	page  int
	box   Rect
	texts map[string]string
}

// rawRows is what a reader gives: with places for the text layer, without for a
// person who keys.
func rawRows(rows []laid, placed bool) []RawRow {
	var raw []RawRow
	for _, r := range rows {
		w := RawRow{Page: r.page, Cells: map[string]Cell{}}
		if placed {
			w.Box = r.box
		}
		for column, text := range r.texts {
			c := Cell{Text: text, Place: Place{Page: r.page}, Confidence: -1}
			if placed {
				c.Place.Box = r.box
			}
			w.Cells[column] = c
		}
		raw = append(raw, w)
	}
	return raw
}

// take matches rows into the register as AddReading does, without the files.
func take(t *Table, g *Register, readings []*Reading, reader string, rows []RawRow) *Reading {
	keys := g.Match(rows, Texts(readings))
	r := &Reading{Meta: ReadingMeta{TableID: t.ID, Reader: reader}}
	for i, row := range rows {
		for _, column := range t.ColumnKeys() {
			if c, ok := row.Cells[column]; ok {
				c.Row, c.Column = keys[i], column
				r.Cells = append(r.Cells, c)
			}
		}
	}
	return r
}

func copyRows(rows []laid) []laid {
	var out []laid
	for _, r := range rows {
		texts := map[string]string{}
		for k, v := range r.texts {
			texts[k] = v
		}
		r.texts = texts
		out = append(out, r)
	}
	return out
}

// drawPrint makes a table over one or two pages in which rows are much alike, and
// some the same.
func drawPrint(t *rapid.T) (*Table, []laid) {
	table := &Table{ID: "t00000001", Name: "wing", Layout: "grid"}
	for i := range rapid.IntRange(2, 5).Draw(t, "columns") {
		table.Columns = append(table.Columns, Column{Key: "c" + strconv.Itoa(i)})
	}
	n := rapid.IntRange(2, 12).Draw(t, "rows")
	second := rapid.IntRange(1, n).Draw(t, "rows on the first page")
	var rows []laid
	for i := range n {
		r := laid{page: 4, texts: map[string]string{}}
		y := 100 + 12*float64(i)
		if i >= second {
			r.page, y = 5, 100+12*float64(i-second)
		}
		r.box = Rect{50, y, 300, y + 9}
		for _, c := range table.Columns {
			r.texts[c.Key] = rapid.SampledFrom([]string{"0.50", ".51", "0.52", "-1.2", "−1.3", "10", "", "—", "2.40*"}).Draw(t, "text")
		}
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "same as above") == 0 {
			r.texts = copyRows(rows[i-1 : i])[0].texts
		}
		rows = append(rows, r)
	}
	return table, rows
}

var garbage = rapid.SampledFrom([]string{"l.O2", "~", "", ".5O", "10 .", "0.5b", "--", "%", "0.50", "I", "-1.2", "...... 1"})

func spoil(t *rapid.T, rows []laid) []laid {
	rows = copyRows(rows)
	for _, r := range rows {
		for _, column := range slices.Sorted(mapKeys(r.texts)) {
			if rapid.Bool().Draw(t, "spoil") {
				r.texts[column] = garbage.Draw(t, "garbage")
			}
		}
	}
	return rows
}

func mapKeys(m map[string]string) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// readers are drawn as a text layer with places that may be spoiled, and one or two
// persons, in an order of time that is drawn too.
type reader struct {
	name   string
	placed bool
	rows   []laid
}

func drawReaders(t *rapid.T, print []laid) []reader {
	readers := []reader{{"text", true, copyRows(print)}, {"keyed-ab", false, copyRows(print)}}
	if rapid.Bool().Draw(t, "garbage in the text layer") {
		readers[0].rows = spoil(t, print)
	}
	if rapid.Bool().Draw(t, "third reading") {
		readers = append(readers, reader{"keyed-cd", false, copyRows(print)})
	}
	return rapid.Permutation(readers).Draw(t, "order")
}

func collateAll(table *Table, readers []reader) (*Register, *Collation) {
	g := &Register{Schema: Schema, TableID: table.ID}
	var readings []*Reading
	for _, r := range readers {
		readings = append(readings, take(table, g, readings, r.name, rawRows(r.rows, r.placed)))
	}
	return g, Collate(table, g, readings, nil)
}

func lostBy(c *Collation, kind DifferenceKind, reader string) []Difference {
	var list []Difference
	for _, d := range c.Differences {
		if d.Kind == kind && d.Reader == reader {
			list = append(list, d)
		}
	}
	return list
}

func TestAnyRowDeletedIsReported(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, print := drawPrint(t)
		readers := drawReaders(t, print)
		victim := rapid.IntRange(0, len(readers)-1).Draw(t, "victim")
		row := rapid.IntRange(0, len(print)-1).Draw(t, "row")
		readers[victim].rows = slices.Delete(readers[victim].rows, row, row+1)
		_, c := collateAll(table, readers)
		lost := lostBy(c, RowLost, readers[victim].name)
		if len(lost) == 0 {
			t.Fatalf("row %d deleted from %s: not reported; differences %v", row, readers[victim].name, c.Differences)
		}
		for _, d := range lost {
			if c.Describe(d) == "" {
				t.Fatalf("difference %v has no description", d)
			}
		}
	})
}

// With readings that are right, the row that is reported is the row that is gone
// (or one that reads the same), and nothing else is.
func TestDeletedRowIsTheOneReported(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, print := drawPrint(t)
		readers := rapid.Permutation([]reader{{"text", true, copyRows(print)}, {"keyed-ab", false, copyRows(print)}, {"keyed-cd", false, copyRows(print)}}).Draw(t, "order")
		victim := rapid.IntRange(0, 2).Draw(t, "victim")
		row := rapid.IntRange(0, len(print)-1).Draw(t, "row")
		for _, text := range print[row].texts {
			if text != "" {
				goto printed
			}
		}
		t.Skip("a row with nothing in it")
	printed:
		readers[victim].rows = slices.Delete(readers[victim].rows, row, row+1)
		_, c := collateAll(table, readers)
		if len(c.Rows) != len(print) {
			t.Fatalf("%d rows printed, %d after collation: %v", len(print), len(c.Rows), c.Differences)
		}
		if len(c.Differences) != 1 || c.Differences[0].Kind != RowLost || c.Differences[0].Reader != readers[victim].name {
			t.Fatalf("row %d deleted from %s: differences %v", row, readers[victim].name, c.Differences)
		}
		for column, want := range print[row].texts {
			if got := c.Cell(c.Differences[0].Row, column).Print; !SameText(got, want) {
				t.Fatalf("row %d is gone from %s; %s is reported, in which %s reads %q, not %q", row, readers[victim].name, c.Differences[0].Row, column, got, want)
			}
		}
	})
}

func TestAnyColumnDeletedIsReported(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, print := drawPrint(t)
		readers := drawReaders(t, print)
		victim := rapid.IntRange(0, len(readers)-1).Draw(t, "victim")
		column := rapid.SampledFrom(table.ColumnKeys()).Draw(t, "column")
		for _, r := range readers[victim].rows {
			delete(r.texts, column)
		}
		_, c := collateAll(table, readers)
		for _, d := range lostBy(c, ColumnLost, readers[victim].name) {
			if d.Column == column {
				if want := "column " + column + " of the table is not in " + readers[victim].name; c.Describe(d) != want {
					t.Fatalf("described as %q, want %q", c.Describe(d), want)
				}
				return
			}
		}
		t.Fatalf("column %s deleted from %s: not reported; differences %v", column, readers[victim].name, c.Differences)
	})
}

func TestAnyRowInsertedIsReported(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, print := drawPrint(t)
		readers := drawReaders(t, print)
		victim := rapid.IntRange(0, len(readers)-1).Draw(t, "victim")
		at := rapid.IntRange(0, len(print)-1).Draw(t, "row")
		extra := copyRows(print[at : at+1])[0]
		extra.box.Y0, extra.box.Y1 = extra.box.Y1+.5, extra.box.Y1+2.5
		if rapid.Bool().Draw(t, "other texts") {
			for column := range extra.texts {
				extra.texts[column] = "9.9"
			}
		}
		readers[victim].rows = slices.Insert(readers[victim].rows, at+1, extra)
		_, c := collateAll(table, readers)
		for _, r := range readers {
			if r.name != readers[victim].name && len(lostBy(c, RowLost, r.name)) == 0 {
				t.Fatalf("a row put into %s: %s does not lack it; differences %v", readers[victim].name, r.name, c.Differences)
			}
		}
	})
}

// A reading by the same reader from the same page keeps every key, whatever the
// text layer has become meanwhile.
func TestRereadingKeepsKeys(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, print := drawPrint(t)
		g := &Register{Schema: Schema, TableID: table.ID}
		first := take(table, g, nil, "text", rawRows(print, true))
		keys := g.Keys()
		again := spoil(t, print)
		for i := range again {
			// Within the half height of a row, as other settings move a box.
			again[i].box.Y0 += float64(rapid.IntRange(-40, 40).Draw(t, "shift")) / 10
			again[i].box.Y1 = again[i].box.Y0 + 9
		}
		lost := -1
		if rapid.Bool().Draw(t, "lose a row") {
			lost = rapid.IntRange(0, len(again)-1).Draw(t, "row")
			again = slices.Delete(again, lost, lost+1)
		}
		second := take(table, g, []*Reading{first}, "text", rawRows(again, true))
		want := slices.Clone(keys)
		if lost >= 0 {
			want = slices.Delete(want, lost, lost+1)
		}
		if got := second.RowKeys(); !slices.Equal(got, want) {
			t.Fatalf("rows %v, read again as %v, want %v", keys, got, want)
		}
		if !slices.Equal(g.Keys(), keys) {
			t.Fatalf("the register was %v and is %v", keys, g.Keys())
		}
	})
}

// A row that every reading has lost is still in the register, and its key is not
// given to another.
func TestRowLostByEveryReadingIsMissed(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}, {Key: "b"}}}
	var print []laid
	for i := range 4 {
		y := 100 + 12*float64(i)
		print = append(print, laid{page: 1, box: Rect{50, y, 200, y + 9}, texts: map[string]string{"a": strconv.Itoa(10 * i), "b": fmt.Sprintf("0.%d5", i)}})
	}
	g := &Register{Schema: Schema, TableID: table.ID}
	first := take(table, g, nil, "text", rawRows(print, true))
	less := slices.Delete(copyRows(print), 3, 4)
	text := take(table, g, []*Reading{first}, "text", rawRows(less, true))
	keyed := take(table, g, []*Reading{text}, "keyed-ab", rawRows(less, false))
	c := Collate(table, g, []*Reading{text, keyed}, nil)
	want := []Difference{{Kind: RowLost, Row: "r004", Reader: "keyed-ab"}, {Kind: RowLost, Row: "r004", Reader: "text"}}
	if !slices.Equal(c.Differences, want) {
		t.Fatalf("differences %v, want %v", c.Differences, want)
	}
	if got := c.Describe(want[0]); got != "row r004 is in an earlier reading and not in keyed-ab" {
		t.Errorf("described as %q", got)
	}
	// A further row further down gets a key of its own.
	more := append(copyRows(less), laid{page: 1, box: Rect{50, 148, 200, 157}, texts: map[string]string{"a": "99", "b": "9.9"}})
	after := take(table, g, []*Reading{text, keyed}, "text", rawRows(more, true))
	if got := after.RowKeys(); !slices.Equal(got, []string{"r001", "r002", "r003", "r005"}) {
		t.Errorf("rows %v", got)
	}
	if got := g.Keys(); !slices.Equal(got, []string{"r001", "r002", "r003", "r004", "r005"}) {
		t.Errorf("register %v", got)
	}
}

// A table that stands in two blocks side by side on one page: a row is not the one
// beside it, though both stand at one height.
func TestBlocksSideBySideKeepApart(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}, {Key: "b"}}}
	block := func(x float64, from int) []laid {
		var rows []laid
		for i := range 3 {
			y := 100 + 12*float64(i)
			rows = append(rows, laid{page: 1, box: Rect{x, y, x + 120, y + 9}, texts: map[string]string{"a": strconv.Itoa(from + i), "b": "0.5"}})
		}
		return rows
	}
	left, right := block(50, 1), block(300, 4)
	g := &Register{Schema: Schema, TableID: table.ID}
	first := take(table, g, nil, "text", rawRows(right, true))
	if got := first.RowKeys(); !slices.Equal(got, []string{"r001", "r002", "r003"}) {
		t.Fatalf("rows %v", got)
	}
	second := take(table, g, []*Reading{first}, "text", rawRows(append(left, right...), true))
	if got := second.RowKeys(); !slices.Equal(got, []string{"r004", "r005", "r006", "r001", "r002", "r003"}) {
		t.Errorf("rows %v: the right block's keys went to the left", got)
	}
}

// Rows at one height on two pages are two rows, keyed rows too.
func TestPagesKeepApart(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}}}
	one := laid{page: 1, box: Rect{50, 100, 200, 109}, texts: map[string]string{"a": "0.5"}}
	two := laid{page: 2, box: Rect{50, 100, 200, 109}, texts: map[string]string{"a": "0.5"}}
	g := &Register{Schema: Schema, TableID: table.ID}
	text := take(table, g, nil, "text", rawRows([]laid{one, two}, true))
	keyed := take(table, g, []*Reading{text}, "keyed-ab", rawRows([]laid{two}, false))
	if got := keyed.RowKeys(); !slices.Equal(got, []string{"r002"}) {
		t.Fatalf("the keyed row of page 2 became %v", got)
	}
	keyed = take(table, g, []*Reading{text}, "keyed-cd", rawRows([]laid{one}, false))
	if got := keyed.RowKeys(); !slices.Equal(got, []string{"r001"}) {
		t.Fatalf("the keyed row of page 1 became %v", got)
	}
}

// A keyed row that is like none is not laid on the row that stands there.
func TestUnlikeRowsAreNotPaired(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}, {Key: "b"}}}
	row := func(y float64, a, b string) laid {
		return laid{page: 1, box: Rect{50, y, 200, y + 9}, texts: map[string]string{"a": a, "b": b}}
	}
	g := &Register{Schema: Schema, TableID: table.ID}
	text := take(table, g, nil, "text", rawRows([]laid{row(100, "-4", ".168"), row(112, "-2", ".014"), row(124, "0", ".160")}, true))
	keyed := take(table, g, []*Reading{text}, "keyed-ab", rawRows([]laid{row(0, "-4", ".168"), row(0, "97", "5"), row(0, "0", ".160")}, false))
	c := Collate(table, g, []*Reading{text, keyed}, nil)
	want := []Difference{{Kind: RowLost, Row: "r002", Reader: "keyed-ab"}, {Kind: RowLost, Row: "r004", Reader: "text"}}
	if !slices.Equal(c.Differences, want) {
		t.Fatalf("differences %v, want %v", c.Differences, want)
	}
}

// A row in which nothing is printed is matched with its like.
func TestBlankRowsArePaired(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}}}
	rows := []laid{{page: 1, texts: map[string]string{"a": "1"}}, {page: 1, texts: map[string]string{"a": ""}}, {page: 1, texts: map[string]string{"a": "2"}}}
	g := &Register{Schema: Schema, TableID: table.ID}
	first := take(table, g, nil, "keyed-ab", rawRows(rows, false))
	second := take(table, g, []*Reading{first}, "keyed-cd", rawRows(rows, false))
	if got := second.RowKeys(); !slices.Equal(got, []string{"r001", "r002", "r003"}) {
		t.Errorf("rows %v", got)
	}
}

// Boxes so high that each reaches over its neighbours' middles do not shift the keys
// when the first row is lost.
func TestHighBoxesKeepKeys(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}}}
	var rows []laid
	for i := range 6 {
		y := 100 + 12*float64(i)
		rows = append(rows, laid{page: 1, box: Rect{50, y, 200, y + 30}, texts: map[string]string{"a": strconv.Itoa(i)}})
	}
	for lost := range rows {
		g := &Register{Schema: Schema, TableID: table.ID}
		first := take(table, g, nil, "text", rawRows(rows, true))
		want := slices.Delete(first.RowKeys(), lost, lost+1)
		again := slices.Delete(copyRows(rows), lost, lost+1)
		for i := range again {
			again[i].box.Y0 -= 3 // other settings
			again[i].box.Y1 -= 2
		}
		if got := take(table, g, []*Reading{first}, "text", rawRows(again, true)).RowKeys(); !slices.Equal(got, want) {
			t.Errorf("without row %d: rows %v, want %v", lost+1, got, want)
		}
	}
}

func BenchmarkMatch(b *testing.B) {
	table := &Table{ID: "t00000001"}
	for i := range 6 {
		table.Columns = append(table.Columns, Column{Key: "c" + strconv.Itoa(i)})
	}
	var rows []laid
	for i := range 500 {
		r := laid{page: 1, texts: map[string]string{}}
		for k, c := range table.Columns {
			r.texts[c.Key] = fmt.Sprintf("%d.%03d", i/100+k, i)
		}
		rows = append(rows, r)
	}
	g := &Register{Schema: Schema, TableID: table.ID}
	first := take(table, g, nil, "keyed-ab", rawRows(rows, false))
	for b.Loop() {
		take(table, g.clone(), []*Reading{first}, "keyed-cd", rawRows(rows, false))
	}
}

// A person who keys rows in another order than the print, or two neighbours
// swapped, is told, and no cell passes for agreed that is not.
func TestOrderOtherThanThePrintIsReported(t *testing.T) {
	table := &Table{ID: "t00000001", Columns: []Column{{Key: "a"}, {Key: "b"}}}
	var print []laid
	for i := range 6 {
		y := 100 + 12*float64(i)
		print = append(print, laid{page: 1, box: Rect{50, y, 200, y + 9}, texts: map[string]string{"a": strconv.Itoa(2 * i), "b": fmt.Sprintf("0.%d1", i)}})
	}
	for name, change := range map[string]func([]laid){
		"two neighbours swapped":                  func(r []laid) { r[2], r[3] = r[3], r[2] },
		"from the bottom up":                      func(r []laid) { slices.Reverse(r) },
		"one row keyed twice in place of another": func(r []laid) { r[3] = copyRows(r[2:3])[0] },
	} {
		for _, ruined := range []bool{false, true} {
			text := copyRows(print)
			if ruined {
				for _, r := range text {
					r.texts["a"], r.texts["b"] = "~", "O.l"
				}
			}
			keyed := copyRows(print)
			change(keyed)
			g := &Register{Schema: Schema, TableID: table.ID}
			first := take(table, g, nil, "text", rawRows(text, true))
			second := take(table, g, []*Reading{first}, "keyed-ab", rawRows(keyed, false))
			c := Collate(table, g, []*Reading{first, second}, nil)
			if len(c.Differences) == 0 {
				t.Errorf("%s (ruined %v): no difference", name, ruined)
			}
			// What stands at a place is known: the first six keys are the print's rows.
			for i, r := range print {
				for column, want := range r.texts {
					if cell := c.Cell(fmt.Sprintf("r%03d", i+1), column); cell != nil && cell.State == Agreed && !SameText(cell.Print, want) {
						t.Errorf("%s (ruined %v): row %d column %s agreed on %q, printed %q", name, ruined, i+1, column, cell.Print, want)
					}
				}
			}
		}
	}
}

func TestRegisterFile(t *testing.T) {
	g := &Register{Schema: Schema, TableID: "t00000001", Rows: []KnownRow{{Key: "r001", Page: 3, X0: 50, Y0: 100.25, X1: 200, Y1: 109}, {Key: "r002"}}}
	text, err := g.Marshal()
	if err != nil {
		t.Fatal(err)
	}
	want := `{"schema": 1, "table_id": "t00000001", "rows": [
{"key":"r001","page":3,"x0":50,"y0":100.25,"x1":200,"y1":109},
{"key":"r002"}
]}
`
	if string(text) != want {
		t.Errorf("written as\n%s\nwant\n%s", text, want)
	}
	const hint = "\nhint: the program alone writes this file: restore it"
	for _, c := range []struct{ text, want string }{
		{`{"schema": 2, "table_id": "t00000001", "rows": []}`, "f: schema is 2; this program reads schema: 1"},
		{`{"schema": 1, "table_id": "wing", "rows": []}`, `f: table_id is "wing"; it should be the id of a table` + hint},
		{`{"schema": 1, "table_id": "t00000001", "rows": [{"key":"r001"},{"key":"r001"}]}`, `f: row key "r001" stands twice` + hint},
		{`{"schema": 1, "table_id": "t00000001", "rows": [{"key":"given"}]}`, `f: row key "given" should be a letter followed by letters and figures` + hint},
		{`{"schema": 1, "table_id": "t00000001", "rows": [{"key":"1"}]}`, `f: row key "1" should be a letter followed by letters and figures` + hint},
		{`{"schema": 1, "table_id": "t00000001", "rows": [{"key":"r001","page":-1}]}`, `f:r001: page is -1; it should be a whole number from 1` + hint},
		{`{"schema": 1, "table_id": "t00000001", "rows": []} {}`, `f: goes on after the register of rows; it should end there` + hint},
		{`{"schema": 1, "table_id": "t00000001", "lines": []}`, `f: is not a register of rows: json: unknown field "lines"`},
		{``, `f: is not a register of rows: EOF`},
	} {
		got, err := UnmarshalRegister("f", []byte(c.text))
		if err == nil || err.Error() != c.want {
			t.Errorf("%s read as %v, %v; want the error %q", c.text, got, err, c.want)
		}
	}
}

func FuzzRegister(f *testing.F) {
	f.Add([]byte(`{"schema": 1, "table_id": "t00000001", "rows": [` + "\n" + `{"key":"r001","page":3,"x0":50,"y0":100.25,"x1":200,"y1":109}]}`))
	f.Add([]byte(`{"schema": 1, "table_id": "tdeadbeef", "rows": []}`))
	f.Add([]byte(`{"rows":[{"key":"r001","y0":1e300}],"schema":1,"table_id":"t00000001"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		g, err := UnmarshalRegister("f", data)
		if err != nil {
			return
		}
		text, err := g.Marshal()
		if err != nil {
			t.Fatal(err)
		}
		again, err := UnmarshalRegister("f", text)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		twice, err := again.Marshal()
		if err != nil || string(twice) != string(text) {
			t.Fatalf("%s is written back as %s, %v", text, twice, err)
		}
	})
}

// A user who moves the only reading away and reads again gets the same rows back:
// without places and without texts their order is all that is known of them.
func TestRowsComeBackWithoutAReading(t *testing.T) {
	raw := func(texts ...string) []RawRow {
		var rows []RawRow
		for i, text := range texts {
			rows = append(rows, RawRow{Cells: map[string]Cell{"cl": {Text: text, Place: Place{Line: i + 2}}}})
		}
		return rows
	}
	g := &Register{TableID: "t0000000a"}
	first := g.Match(raw("0.1", "0.2", "0.3"), nil)
	again := g.Match(raw("0.1", "0.2", "0.3"), nil)
	if !slices.Equal(first, []string{"r001", "r002", "r003"}) || !slices.Equal(again, first) || len(g.Rows) != 3 {
		t.Errorf("first %v, again %v, %d rows in the register", first, again, len(g.Rows))
	}
}
