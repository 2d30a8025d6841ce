package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/pdf"
	"windtally/extract/workbook"

	"github.com/urfave/cli/v2"
)

// readNote is what extract says of a reading.
type readNote struct {
	Table   string   `json:"table"`
	Reader  string   `json:"reader"`
	Rows    int      `json:"rows"`
	Columns int      `json:"columns"`
	Cells   int      `json:"cells"`
	Notes   []string `json:"notes"`
}

// note is a remark on a reading that no check needs to know of.
func note(format string, args ...any) extract.Note {
	return extract.Note{Kind: extract.Remark, Text: fmt.Sprintf(format, args...)}
}

func (p *program) extractTable(c *cli.Context, s *extract.Study, t *extract.Table) error {
	src := s.Source(t.Source)
	if e := s.CheckSource(src); e != nil {
		return e
	}
	var rows []extract.RawRow
	var givens []extract.Cell
	var notes []extract.Note
	var err error
	reader, settings := "text", ""
	switch kind := sourceKind(src.File); {
	case kind == "image" || kind == "pdf" && c.Bool("image"):
		return p.extractScanned(c, s, src, t)
	case kind == "pdf":
		settings = "pdfium words, columns from tables/" + t.ID
		if rows, givens, notes, err = p.readPDFTable(c, s, src, t); errors.Is(err, errNoLayer) {
			return p.extractScanned(c, s, src, t)
		}
	default:
		reader, settings = "workbook", strings.TrimSpace(t.Sheet+" "+t.Range)
		rows, notes, err = readSheetTable(s, src, t)
	}
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		return &extract.Error{File: "tables/" + t.Name + ".yaml", Table: t.Name, Msg: "no row was read where the table is said to stand; no reading was written",
			Hint: "mend the table's regions or range: windtally extract " + src.Name + " --list shows what is seen; or key it: windtally entry " + t.Name}
	}
	replaced := hasReading(s, t, reader)
	r, err := s.AddReading(t, extract.ReadingMeta{Reader: reader, Source: src.Name, SourceSHA256: src.SHA256, Program: "windtally " + version,
		Settings: settings, Notes: slices.DeleteFunc(slices.Clone(notes), func(n extract.Note) bool { return n.Kind == extract.Remark })}, rows, givens)
	if err != nil {
		return err
	}
	var texts []string
	for _, n := range notes {
		texts = append(texts, n.Text)
	}
	if replaced {
		texts = append(texts, "replaces the reading "+reader+" that was there")
	}
	return p.told(c, t, r, texts)
}

func (p *program) told(c *cli.Context, t *extract.Table, r *extract.Reading, texts []string) error {
	if c.Bool("json") {
		if texts == nil {
			texts = []string{}
		}
		return p.writeJSON(readNote{t.Name, r.Meta.Reader, r.Meta.Rows, r.Meta.Columns, len(r.Cells), texts})
	}
	p.printf("%s: reading %s, %d rows x %d columns, %d cells\n", t.Name, r.Meta.Reader, r.Meta.Rows, r.Meta.Columns, len(r.Cells))
	for _, n := range texts {
		p.printf("    %s\n", n)
	}
	return nil
}

// pagedColumns returns the keys of the columns that stand on the page, and the columns
// that sub-heads state.
func pagedColumns(src *extract.Source, t *extract.Table) (keys []string, heads *subHeads, err error) {
	file := "tables/" + t.Name + ".yaml"
	if len(t.Regions) == 0 {
		return nil, nil, &extract.Error{File: file, Table: t.Name, Msg: "names no region of a page", Hint: "windtally extract " + src.Name + " drafts tables with their regions; or key the table: windtally entry " + t.Name}
	}
	unit := "points"
	if sourceKind(src.File) == "image" {
		unit = "pixels"
	}
	heads = &subHeads{}
	for i := range t.Columns {
		col := &t.Columns[i]
		switch {
		case len(col.X) == 2:
			keys = append(keys, col.Key)
		case col.Words != "":
			heads.add(col.Key, col.Words)
		default:
			return nil, nil, &extract.Error{File: file, Table: t.Name, Column: col.Key, Msg: "has no x: [x0, x1], so it cannot be found on the page",
				Hint: "give the column's left and right edge in " + unit + ", as the draft does for the others; a column that the sub-heads state has words: instead"}
		}
	}
	return keys, heads, nil
}

// columnsOn returns the ranges of the columns that stand on the region's page.
func columnsOn(t *extract.Table, region extract.Region) (ranges [][2]float64) {
	for _, col := range t.Columns {
		if len(col.X) == 2 {
			ranges = append(ranges, [2]float64{col.X[0] + region.DX, col.X[1] + region.DX})
		}
	}
	return ranges
}

// unfit says that a region and its columns do not fit the page.
func unfit(t *extract.Table, region extract.Region, err error) error {
	return &extract.Error{File: "tables/" + t.Name + ".yaml", Page: region.Page, Table: t.Name, Msg: strings.TrimPrefix(err.Error(), fmt.Sprintf("page %d: ", region.Page)),
		Hint: "mend regions: and x: of the columns, or key the table: windtally entry " + t.Name}
}

// errNoLayer says that the pages of a table are images without a text layer.
var errNoLayer = errors.New("no text layer")

func (p *program) readPDFTable(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table) (rows []extract.RawRow, givens []extract.Cell, notes []extract.Note, err error) {
	keys, heads, err := pagedColumns(src, t)
	if err != nil {
		return nil, nil, nil, err
	}
	var numbers []int
	for _, r := range t.Regions {
		numbers = append(numbers, r.Page)
	}
	slices.Sort(numbers)
	pages, err := p.readPages(c, s.SourceFile(src), slices.Compact(numbers))
	if err != nil {
		return nil, nil, nil, placed(err, "sources/"+src.File, src.File)
	}
	page := map[int]extract.Page{}
	bare := 0
	for _, pg := range pages {
		page[pg.Number] = pg
		if len(pg.Words) == 0 && pg.Images > 0 {
			bare++
		}
	}
	if bare == len(pages) {
		return nil, nil, nil, errNoLayer
	}
	for _, region := range t.Regions {
		var columns []grid.Column
		for _, x := range columnsOn(t, region) {
			columns = append(columns, grid.Column{X0: x[0], X1: x[1]})
		}
		g, strays, err := grid.Read(page[region.Page], region.Rect(), columns)
		if err != nil {
			return nil, nil, nil, unfit(t, region, err)
		}
		for _, row := range g.Rows {
			if len(row.Cells) == 0 {
				said, err := heads.note(t, row.SubHead, extract.Place{Page: region.Page, Box: row.Box})
				if err != nil {
					return nil, nil, nil, err
				}
				notes = append(notes, said...)
				continue
			}
			raw := extract.RawRow{Page: region.Page, Box: row.Box, Cells: map[string]extract.Cell{}}
			for i, cell := range row.Cells {
				raw.Cells[keys[i]] = extract.Cell{Text: cell.Text, Place: extract.Place{Page: region.Page, Box: cell.Box}, Confidence: -1}
			}
			for _, b := range heads.blocks {
				raw.Cells[b.key] = b.cell
			}
			rows = append(rows, raw)
		}
		for _, w := range strays {
			notes = append(notes, extract.Note{Kind: extract.Stray, Text: fmt.Sprintf("page %d: %q at %.0f,%.0f stands in the region and in no cell: %s", region.Page, w.Text, w.Box.X0, w.Box.Y0, w.Why)})
		}
	}
	givens, lost, err := readGivens(t, page, extract.Region.Rect)
	if err != nil {
		return nil, nil, nil, err
	}
	notes = append(notes, lost...)
	for _, pg := range pages {
		if pg.Images == 0 {
			notes = append(notes, p.selfCheck(c, s.SourceFile(src), pg.Number, t)...)
		}
	}
	return rows, givens, notes, nil
}

// readGivens finds the figures that stand outside the grid, by the words beside them.
// rect is where a region stands among the words of its page.
func readGivens(t *extract.Table, page map[int]extract.Page, rect func(extract.Region) extract.Rect) (givens []extract.Cell, lost []extract.Note, err error) {
	for _, g := range t.Givens {
		if g.Words == "" {
			lost = append(lost, extract.Note{Kind: extract.GivenLost, Text: fmt.Sprintf("given %s has no words: by which it could be found; key it or rule on it", g.Key)})
			continue
		}
		var found *extract.Cell
		for _, region := range t.Regions {
			cell, ok, outside, err := grid.Given(page[region.Page], rect(region), g.Words)
			if err == nil && ok && found != nil && found.Text != cell.Text {
				err = fmt.Errorf("words: %q: page %d says %s and page %d says %s; write more of the words beside the figure", g.Words, found.Place.Page, found.Text, region.Page, cell.Text)
			}
			if err != nil {
				return nil, nil, &extract.Error{File: "tables/" + t.Name + ".yaml", Page: region.Page, Table: t.Name, Column: g.Key, Msg: err.Error()}
			}
			if ok && found == nil {
				found = &extract.Cell{Column: g.Key, Text: cell.Text, Place: extract.Place{Page: region.Page, Box: cell.Box}, Confidence: -1}
				if outside {
					lost = append(lost, extract.Note{Kind: extract.GivenOutside, Text: fmt.Sprintf("given %s: %q was found on page %d outside the table's region; it may belong to a neighbour", g.Key, cell.Text, region.Page)})
				}
			}
		}
		if found == nil {
			lost = append(lost, extract.Note{Kind: extract.GivenLost, Text: fmt.Sprintf("given %s: the words %q stand on no page of the table", g.Key, g.Words)})
			continue
		}
		givens = append(givens, *found)
	}
	return givens, lost, nil
}

// selfCheck has a second library read the strings of a born-digital page. It is no
// witness: both read the same layer. Where it cannot read the page it says nothing.
func (p *program) selfCheck(c *cli.Context, file string, page int, t *extract.Table) []extract.Note {
	r, err := p.pdfReader()
	if err != nil {
		return nil
	}
	check, err := r.SelfCheck(c.Context, file, page)
	if err != nil || check.Note != "" {
		return nil
	}
	return selfCheckNotes(check, t)
}

func selfCheckNotes(check pdf.SelfCheck, t *extract.Table) []extract.Note {
	second := map[string]bool{}
	for _, w := range check.Second {
		second[oneDash(w)] = true
	}
	var words []string
	inside := 0
	for _, w := range check.First {
		for _, region := range t.Regions {
			if region.Page == check.Page && region.Rect().Contains(w.Box.MidX(), w.Box.MidY()) {
				inside++
				if !second[oneDash(w.Text)] {
					words = append(words, fmt.Sprintf("%q", w.Text))
				}
			}
		}
	}
	switch {
	case len(words) == 0:
		return nil
	case inside > check.Agreed:
		return []extract.Note{note("page %d: self-check: a second library could not place the words of this page", check.Page)}
	}
	return []extract.Note{note("page %d: self-check: a second library does not see these words of the table: %s", check.Page, strings.Join(words, " "))}
}

// oneDash writes every glyph of a dash as a hyphen: the libraries differ in them.
func oneDash(s string) string { return strings.Map(extract.OneDash, s) }

func readSheetTable(s *extract.Study, src *extract.Source, t *extract.Table) (rows []extract.RawRow, notes []extract.Note, err error) {
	file := "tables/" + t.Name + ".yaml"
	sheet, err := workbook.ReadSheet(s.SourceFile(src), t.Sheet, t.Range)
	if err != nil {
		return nil, nil, placed(err, "sources/"+src.File, s.SourceFile(src))
	}
	var found *workbook.Table
	var regions []string
	for _, f := range workbook.Find(sheet) {
		regions = append(regions, f.Region)
		if found == nil && (t.Range == "" || f.Region == t.Range) {
			found = &f
		}
	}
	if t.Range == "" && len(regions) > 1 {
		return nil, nil, &extract.Error{File: file, Table: t.Name, Msg: fmt.Sprintf("names no range, and %d tables stand there: %s", len(regions), strings.Join(regions, ", ")),
			Hint: "give range: one of them"}
	}
	if found == nil {
		return nil, nil, &extract.Error{File: file, Table: t.Name, Msg: fmt.Sprintf("no table stands in %s of sources/%s", strings.TrimSpace(t.Sheet+" "+t.Range), src.File),
			Hint: "windtally extract " + src.Name + " --list shows where the tables stand"}
	}
	position := map[string]int{}
	var names []string
	for k := range found.Heads {
		names = append(names, columnOf(*found, k))
		position[names[k]] = k
	}
	for _, values := range found.Rows {
		raw := extract.RawRow{Cells: map[string]extract.Cell{}}
		for i := range t.Columns {
			col := &t.Columns[i]
			k, ok := position[col.At]
			if !ok {
				return nil, nil, &extract.Error{File: file, Table: t.Name, Column: col.Key, Msg: fmt.Sprintf("at is %q; the columns of the table in sources/%s are %s", col.At, src.File, strings.Join(names, ", "))}
			}
			cell := extract.Cell{Confidence: -1}
			if k < len(values) {
				v := values[k]
				cell.Text, cell.Place = v.Text, v.Place
				switch {
				case v.Stored != "":
					cell.Confidence = 0
					notes = append(notes, note("%s: shows %q and stores %s", v.Place, v.Text, v.Stored))
				case v.Formula:
					cell.Confidence = 0
					notes = append(notes, note("%s: %q is the stored result of a formula", v.Place, v.Text))
				case v.Number:
					cell.Confidence = 0
					notes = append(notes, note("%s: %q is stored as a number, so zeros at its end are lost", v.Place, v.Text))
				}
			}
			raw.Cells[col.Key] = cell
		}
		rows = append(rows, raw)
	}
	return rows, notes, nil
}
