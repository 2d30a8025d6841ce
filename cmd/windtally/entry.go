package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"windtally/extract"
	"windtally/extract/workbook"
	"windtally/normalize"
	"windtally/normalize/unit"

	"github.com/urfave/cli/v2"
)

func (p *program) entryCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "entry",
		Usage:     "write a workbook to type a table into, or take a filled one back as a keyed reading",
		ArgsUsage: "TABLE",
		Description: "Without --take: writes an entry workbook with the table's columns.\n" +
			"With --take: reads a filled entry workbook, or a CSV file whose first line names the columns by key or head.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "out", Usage: "write the workbook to `FILE` (default: TABLE-entry.xlsx in the study's folder)"},
			&cli.StringFlag{Name: "take", Usage: "take in `FILE`, a filled entry workbook or a CSV file"},
			&cli.StringFlag{Name: "by", Usage: "`INITIALS` of the person who typed, as in study.yaml"},
			&cli.IntFlag{Name: "rows", Usage: "lay out `N` rows", Value: 60},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			name, err := argument(c, "TABLE")
			if err != nil {
				return err
			}
			if c.IsSet("take") != c.IsSet("by") {
				return usagef("entry: --take FILE and --by INITIALS go together")
			}
			if c.IsSet("take") && (c.IsSet("out") || c.IsSet("rows")) {
				return usagef("entry: --out and --rows lay a workbook out, and --take takes one in; give the one or the other")
			}
			if c.Int("rows") < 1 {
				return usagef("entry: --rows %d; a table has one row or more", c.Int("rows"))
			}
			return p.change(c, func(s *extract.Study) error {
				t := s.Table(name)
				if t == nil {
					return s.NoTable(name)
				}
				if c.IsSet("take") {
					return p.takeEntry(c, s, t)
				}
				return p.writeEntry(c, s, t)
			})
		},
	})
}

func (p *program) writeEntry(c *cli.Context, s *extract.Study, t *extract.Table) error {
	src := s.Source(t.Source)
	e := workbook.Entry{TableID: t.ID, Table: t.Name, Source: src.Designation, Pages: t.Pages, Caption: t.Caption, Rows: c.Int("rows")}
	entryColumn := func(col extract.Column) (workbook.EntryColumn, error) {
		c := workbook.EntryColumn{Key: col.Key, Head: col.Head, Quantity: col.Quantity, Hint: "as printed"}
		fault := func(msg string) error {
			return &extract.Error{File: "tables/" + t.Name + ".yaml", Table: t.Name, Column: col.Key, Msg: msg, Hint: "windtally quantities lists quantities and units"}
		}
		if _, known := normalize.Find(col.Quantity); !known && col.Quantity != "" && col.Quantity != normalize.Unclassified {
			return c, fault(fmt.Sprintf("the quantity %q is not known", col.Quantity))
		}
		if col.Unit != "" {
			// The workbook offers units by their codes, whatever the report calls them.
			u, err := unitOf(col.Quantity, col.Unit)
			if err != nil {
				return c, fault(err.Error())
			}
			c.Unit = u.UCUM
			if u.UCUM != "1" {
				c.Hint += ", in " + u.Name
			}
		}
		if col.Quantity == "label" {
			c.Hint = "label as printed"
		}
		return c, nil
	}
	for _, col := range t.Columns {
		c, err := entryColumn(col)
		if err != nil {
			return err
		}
		e.Columns = append(e.Columns, c)
	}
	for _, g := range t.Givens {
		c, err := entryColumn(g)
		if err != nil {
			return err
		}
		e.Givens = append(e.Givens, c)
	}
	for _, q := range normalize.Quantities() {
		e.Quantities = append(e.Quantities, q.Name)
	}
	e.Quantities = append(e.Quantities, normalize.Unclassified)
	for _, u := range unit.All() {
		e.Units = append(e.Units, u.UCUM)
	}
	for _, r := range t.Rows {
		e.Configurations = append(e.Configurations, r.Label)
	}
	var b bytes.Buffer
	if err := workbook.WriteEntry(&b, e); err != nil {
		return err
	}
	out := c.String("out")
	if out == "" {
		out = filepath.Join(s.Dir, t.Name+"-entry.xlsx")
	}
	if _, err := os.Stat(out); err == nil {
		return &extract.Error{File: out, Msg: "is there already; nothing was written over it", Hint: "move it away, or name another file with --out"}
	}
	if st, err := os.Stat(filepath.Dir(out)); err != nil || !st.IsDir() {
		return &extract.Error{File: filepath.ToSlash(out), Msg: "cannot be written: its folder is not there", Hint: "make the folder, or name a file in another with --out"}
	}
	if err := extract.WriteFile(out, nil, b.Bytes()); err != nil {
		return err
	}
	shown := filepath.ToSlash(out)
	if c.Bool("json") {
		return p.writeJSON(entryJSON{t.Name, shown})
	}
	p.printf("wrote %s\nnext: type the table in as printed, then %s entry %s --take %s --by INITIALS\n", shown, next(c), t.Name, shown)
	return nil
}

// entryJSON is what entry says of the workbook that it wrote.
type entryJSON struct {
	Table string `json:"table"`
	File  string `json:"file"`
}

func (p *program) takeEntry(c *cli.Context, s *extract.Study, t *extract.Table) error {
	by := c.String("by")
	if err := s.Person(by); err != nil {
		return err
	}
	file := c.String("take")
	src := s.Source(t.Source)
	var filled []workbook.FilledRow
	var givens []extract.Cell
	var notes []string
	if strings.EqualFold(filepath.Ext(file), ".xlsx") {
		f, err := workbook.ReadEntryFor(file, t.ID)
		if err != nil {
			return err
		}
		filled, givens = f.Rows, f.Givens
		for i, col := range f.Columns {
			if i < len(t.Columns) && (col.Quantity != t.Columns[i].Quantity || !sameUnit(t.Columns[i].Quantity, col.Unit, t.Columns[i].Unit)) && col.Quantity+col.Unit != "" {
				notes = append(notes, "column "+col.Key+": the workbook says "+strings.TrimSpace(col.Quantity+" "+col.Unit)+"; tables/"+t.Name+".yaml governs and was left as it is")
			}
		}
	} else {
		var heads []string
		for _, col := range t.Columns {
			heads = append(heads, col.Head)
		}
		var err error
		if filled, err = workbook.ReadKeyed(file, t.ColumnKeys(), heads); err != nil {
			return err
		}
		for _, g := range t.Givens {
			notes = append(notes, "given "+g.Key+": a text file has no place for it; the entry workbook has")
		}
	}
	// The place of a keyed figure is the page of the print, not the file that it was
	// typed into.
	pages, err := tablePages(t, src)
	if err != nil {
		return err
	}
	page := 0
	if len(pages) == 1 {
		page = pages[0]
	}
	var rows []extract.RawRow
	for i, f := range filled {
		at := f.Page
		switch {
		case at == 0:
			at = page
		case src.Pages == 0:
			return &extract.Error{File: file, Table: t.Name, Msg: fmt.Sprintf("row %d: page %d is named, and the source %s has no pages", i+1, at, src.Name),
				Hint: "leave the column page blank"}
		case !slices.Contains(pages, at):
			return &extract.Error{File: file, Table: t.Name, Msg: fmt.Sprintf("row %d: page %d is named; the table stands on %s", i+1, at, extract.FormatPages(pages)),
				Hint: "pages are counted as the file counts them; mend the row, or pages: in tables/" + t.Name + ".yaml"}
		}
		if at == 0 && src.Pages > 0 {
			return &extract.Error{File: file, Table: t.Name, Msg: fmt.Sprintf("row %d does not say on which page it stands, and the table may be on any of pages %s", i+1, extract.FormatPages(pages)),
				Hint: "fill the column page, or give pages: in tables/" + t.Name + ".yaml"}
		}
		if f.Configuration != "" {
			notes = append(notes, fmt.Sprintf("row %d: the configuration %q was not taken in; rows: in tables/%s.yaml governs", i+1, f.Configuration, t.Name))
		}
		raw := extract.RawRow{Page: at, Cells: map[string]extract.Cell{}}
		for _, cell := range f.Cells {
			place := extract.Place{Page: at}
			if at == 0 {
				place = cell.Place
			}
			raw.Cells[cell.Column] = extract.Cell{Column: cell.Column, Text: cell.Text, Place: place, Confidence: -1}
		}
		rows = append(rows, raw)
	}
	if len(rows) == 0 {
		return &extract.Error{File: file, Table: t.Name, Msg: "no row is filled in", Hint: "type the table's rows below its heads"}
	}
	for i := range givens {
		givens[i].Place = extract.Place{Page: page}
		givens[i].Confidence = -1
	}
	if hasReading(s, t, "keyed-"+by) {
		notes = append(notes, "replaces the reading keyed-"+by+" that was there")
	}
	r, err := s.AddReading(t, extract.ReadingMeta{Reader: "keyed-" + by, Source: src.Name, SourceSHA256: src.SHA256, Program: "windtally " + version,
		Settings: "keyed from " + filepath.Base(file)}, rows, givens)
	if err != nil {
		return err
	}
	return p.told(c, t, r, notes)
}

// tablePages lists the pages on which the table may stand, none where its source
// has no pages.
func tablePages(t *extract.Table, src *extract.Source) ([]int, error) {
	if src.Pages == 0 {
		return nil, nil
	}
	if t.Pages != "" {
		return extract.ParsePages(t.Pages)
	}
	var pages []int
	for _, r := range t.Regions {
		pages = append(pages, r.Page)
	}
	if pages == nil {
		for n := range src.Pages {
			pages = append(pages, n+1)
		}
	}
	slices.Sort(pages)
	return slices.Compact(pages), nil
}

// unitOf reads a unit as a table's file spells it; what the quantity is tells which
// pound is meant.
func unitOf(quantity, spelling string) (unit.Unit, error) {
	if q, known := normalize.Find(quantity); known {
		if canonical, ok := unit.Lookup(q.Canonical); ok {
			return unit.ParseFor(spelling, canonical.Dim)
		}
	}
	return unit.Parse(spelling)
}

// sameUnit reports whether two spellings name one unit of the quantity.
func sameUnit(quantity, a, b string) bool {
	if a == b {
		return true
	}
	u, errU := unitOf(quantity, a)
	v, errV := unitOf(quantity, b)
	return errU == nil && errV == nil && u.UCUM == v.UCUM
}

func hasReading(s *extract.Study, t *extract.Table, reader string) bool {
	return slices.ContainsFunc(s.Readings[t.ID], func(r *extract.Reading) bool { return r.Meta.Reader == reader })
}
