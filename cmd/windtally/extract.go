package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/workbook"
	"windtally/normalize"

	"github.com/urfave/cli/v2"
)

func (p *program) extractCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "extract",
		Usage:     "list the tables of a source and draft them, or read one table",
		ArgsUsage: "SOURCE|TABLE",
		Description: "With a source: lists the tables that it sees and writes a draft tables/*.yaml for each that the study does not have yet.\n" +
			"With a table: reads its cells and writes a reading.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "pages", Usage: "only these `PAGES` of a source, as in 12-14,20"},
			&cli.BoolFlag{Name: "list", Usage: "only list, write no draft"},
			&cli.BoolFlag{Name: "image", Usage: "read the image of a PDF page, not its text layer"},
			&cli.BoolFlag{Name: "no-ocr", Usage: "read page images by shape alone, also where tesseract is installed"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			name, err := argument(c, "SOURCE or TABLE")
			if err != nil {
				return err
			}
			var pages []int
			if text := c.String("pages"); text != "" {
				if pages, err = extract.ParsePages(text); err != nil {
					return usagef("%v", err)
				}
			}
			return p.change(c, func(s *extract.Study) error {
				if src := s.Source(name); src != nil {
					if pages != nil && src.Pages == 0 {
						return usagef("--pages %s: the source %s has no pages", c.String("pages"), src.Name)
					}
					if n := len(pages); n > 0 && pages[n-1] > src.Pages {
						return usagef("--pages %s: %s has %s", c.String("pages"), src.File, counted(src.Pages, "page"))
					}
					return p.extractSource(c, s, src, pages)
				}
				if t := s.Table(name); t != nil {
					if pages != nil {
						return usagef("--pages goes with a source; the pages of table %s stand in tables/%s.yaml", t.Name, t.Name)
					}
					return p.extractTable(c, s, t)
				}
				return fmt.Errorf("there is neither a source nor a table %q; sources: %s; tables: %s", name, names(s.Sources, func(v *extract.Source) string { return v.Name }),
					names(s.Tables, func(v *extract.Table) string { return v.Name }))
			})
		},
	})
}

func names[T any](list []T, name func(T) string) string {
	var all []string
	for _, v := range list {
		all = append(all, name(v))
	}
	if all == nil {
		return "none yet"
	}
	return strings.Join(all, ", ")
}

// seen is a table as extract lists it.
type seen struct {
	Table      string   `json:"table"` // name of the draft, or of the table that is there already
	New        bool     `json:"new"`
	Pages      string   `json:"pages,omitempty"`
	Sheet      string   `json:"sheet,omitempty"`
	Number     string   `json:"number,omitempty"`
	Caption    string   `json:"caption"`
	Rows       int      `json:"rows"`
	Columns    int      `json:"columns"`
	Heads      []string `json:"heads"`
	Quantities []string `json:"quantities"` // believed, for a person to confirm
	Strays     int      `json:"strays"`
}

func (p *program) extractSource(c *cli.Context, s *extract.Study, src *extract.Source, pages []int) error {
	if e := s.CheckSource(src); e != nil {
		return e
	}
	var drafts []*extract.Table
	var list []seen
	switch kind := sourceKind(src.File); kind {
	case "pdf", "image":
		if pages == nil {
			for n := 1; n <= src.Pages; n++ {
				pages = append(pages, n)
			}
		}
		var remarks []string
		var err error
		if drafts, list, remarks, err = p.draftPDF(c, s, src, pages); err != nil {
			return err
		}
		to := p.stdout
		if c.Bool("json") {
			to = p.stderr
		}
		for _, r := range remarks {
			fmt.Fprintln(to, r)
		}
	case "workbook":
		sheets, err := workbook.ReadFile(s.SourceFile(src))
		if err != nil {
			return placed(err, "sources/"+src.File, s.SourceFile(src))
		}
		if drafts, list, err = draftSheets(src, sheets); err != nil {
			return err
		}
	}
	var written []string
	for i, t := range drafts {
		known := knownTable(s, t)
		if known != nil {
			list[i].Table = known.Name
			continue
		}
		list[i].Table = uniqueName(s, drafts[:i], t.Name)
		t.Name = list[i].Table
		list[i].New = true
		if c.Bool("list") {
			continue
		}
		if err := s.AddTable(t); err != nil {
			// All drafts or none: half of a list looks like the whole of it.
			for _, name := range written {
				err = errors.Join(err, os.Remove(name))
			}
			return err
		}
		written = append(written, filepath.Join(s.Dir, "tables", t.Name+".yaml"))
	}
	if c.Bool("json") {
		if list == nil {
			list = []seen{}
		}
		return p.writeJSON(list)
	}
	if len(list) == 0 {
		where := "in " + src.File
		if src.Pages > 0 {
			where = "on " + counted(len(pages), "page")
		}
		p.printf("%s: no table seen %s\n", src.Name, where)
		return nil
	}
	for _, v := range list {
		where := "page " + v.Pages
		if v.Pages == "" {
			where = v.Sheet
		}
		caption := v.Caption
		if v.Number != "" && !strings.Contains(caption, v.Number) {
			caption = "Table " + v.Number + ": " + caption
		}
		if caption = strings.TrimSpace(caption); caption != "" {
			caption = ": " + caption
		}
		p.printf("%s: %s, %d rows x %d columns%s\n", v.Table, where, v.Rows, v.Columns, caption)
		for i, h := range v.Heads {
			q := v.Quantities[i]
			if q == "" {
				q = "?"
			}
			p.printf("    %-40s %s\n", h, q)
		}
		switch {
		case v.New && c.Bool("list"):
			p.printf("    not drafted\n")
		case v.New:
			p.printf("    drafted tables/%s.yaml\n", v.Table)
		default:
			p.printf("    known as tables/%s.yaml, left as it is\n", v.Table)
		}
	}
	return nil
}

// pagesAtOnce is how many pages one child process reads: few enough that progress
// shows, many enough that its start does not matter.
const pagesAtOnce = 8

func (p *program) readPages(c *cli.Context, file string, pages []int) ([]extract.Page, error) {
	r, err := p.pdfReader()
	if err != nil {
		return nil, err
	}
	step, done := p.progress(len(pages), "pages")
	defer done()
	var all []extract.Page
	for chunk := range slices.Chunk(pages, pagesAtOnce) {
		got, err := r.Pages(c.Context, file, chunk)
		if err != nil {
			return nil, err
		}
		for range got {
			step()
		}
		all = append(all, got...)
	}
	return all, nil
}

func (p *program) draftPDF(c *cli.Context, s *extract.Study, src *extract.Source, numbers []int) (drafts []*extract.Table, list []seen, remarks []string, err error) {
	var pages []extract.Page
	paged := sourceKind(src.File) == "pdf"
	if paged {
		if pages, err = p.readPages(c, s.SourceFile(src), numbers); err != nil {
			return nil, nil, nil, placed(err, "sources/"+src.File, src.File)
		}
	} else {
		for _, n := range numbers {
			pages = append(pages, extract.Page{Number: n, Images: 1})
		}
	}
	asImage := func(page extract.Page) bool { return page.Images > 0 && (len(page.Words) == 0 || c.Bool("image")) }
	var images []int
	for _, page := range pages {
		if asImage(page) {
			images = append(images, page.Number)
		}
	}
	onImages, faults, remark, err := p.listPages(c, s, src, images)
	if err != nil {
		return nil, nil, nil, err
	}
	var lastPage int
	var bare []int
	for _, page := range pages {
		var found []grid.Table
		if asImage(page) {
			found = onImages[page.Number].Tables
			if err := faults[page.Number]; err != nil {
				remarks = append(remarks, err.Error())
			}
		} else {
			if len(page.Words) == 0 {
				bare = append(bare, page.Number)
			}
			found = grid.Find(page)
			remarks = append(remarks, remarksOn(page, found)...)
		}
		for i, g := range found {
			if i == 0 && g.Continued && lastPage == page.Number-1 && len(drafts) > 0 {
				// A table that goes on over a page: same columns, no caption of its own.
				t, v := drafts[len(drafts)-1], &list[len(list)-1]
				if dx, ok := sameColumns(t, g); ok {
					r := g.Region.Rounded()
					t.Regions = append(t.Regions, extract.Region{Page: page.Number, Box: []float64{r.X0, r.Y0, r.X1, r.Y1}, DX: dx})
					before, _ := extract.ParsePages(t.Pages)
					t.Pages = extract.FormatPages(append(before, page.Number))
					v.Pages, v.Rows, v.Strays = t.Pages, v.Rows+bodyRows(g), v.Strays+len(g.Stray)
					continue
				}
			}
			t, err := draftTable(src, page.Number, i, g)
			if err != nil {
				return nil, nil, nil, err
			}
			drafts = append(drafts, t)
			v := seen{Pages: t.Pages, Number: g.Number, Caption: g.Caption, Rows: bodyRows(g), Columns: len(g.Columns), Strays: len(g.Stray)}
			for _, col := range t.Columns {
				v.Heads = append(v.Heads, col.Head)
				v.Quantities = append(v.Quantities, col.Quantity)
			}
			list = append(list, v)
		}
		if len(found) > 0 {
			lastPage = page.Number
		}
	}
	if remark != "" {
		remarks = append(remarks, remark)
	}
	if len(bare) > 0 {
		remarks = append(remarks, fmt.Sprintf("%s: not read, neither a word nor an image that could be read; look at the print", onPages(bare)))
	}
	return drafts, list, remarks, nil
}

func onPages(pages []int) string {
	if len(pages) == 1 {
		return fmt.Sprintf("page %d", pages[0])
	}
	return "pages " + extract.FormatPages(pages)
}

// remarksOn tells what a person should know of a page beside its tables: tables that
// it announces and that were not seen, and words that the file gives no meaning.
func remarksOn(page extract.Page, found []grid.Table) (remarks []string) {
	for _, l := range grid.Announced(page, found) {
		remarks = append(remarks, fmt.Sprintf("page %d: %q is announced and no table was seen under it; give it a region by hand, or key it", page.Number, l.Text))
	}
	dumb := 0
	for _, w := range page.Words {
		if strings.ContainsRune(w.Text, '\uFFFD') {
			dumb++
		}
	}
	if dumb > 0 && len(found) > 0 {
		remarks = append(remarks, fmt.Sprintf("page %d: the file gives no meaning to the glyphs of %s (\uFFFD); key the tables that hold them", page.Number, counted(dumb, "word")))
	}
	return remarks
}

func bodyRows(g grid.Table) int {
	n := 0
	for _, r := range g.Rows {
		if len(r.Cells) > 0 {
			n++
		}
	}
	return n
}

// sameColumns reports whether g has the columns of t, shifted as a whole by dx.
func sameColumns(t *extract.Table, g grid.Table) (dx float64, ok bool) {
	var columns []extract.Column
	for _, c := range t.Columns {
		if len(c.X) == 2 {
			columns = append(columns, c)
		}
	}
	if len(g.Columns) != len(columns) {
		return 0, false
	}
	// Slots end at the table's edges on both pages, so middles of inner columns tell.
	mid := func(a, b float64) float64 { return (a + b) / 2 }
	var shifts []float64
	for i, col := range g.Columns {
		shifts = append(shifts, mid(col.X0, col.X1)-mid(columns[i].X[0], columns[i].X[1]))
	}
	slices.Sort(shifts)
	dx = shifts[len(shifts)/2]
	for i, col := range g.Columns {
		width := columns[i].X[1] - columns[i].X[0]
		if off := mid(col.X0, col.X1) - mid(columns[i].X[0], columns[i].X[1]) - dx; off > width/2 || off < -width/2 {
			return 0, false
		}
	}
	return roundTo2(dx), true
}

func roundTo2(v float64) float64 { return math.Round(v*100) / 100 }

func draftTable(src *extract.Source, page, index int, g grid.Table) (*extract.Table, error) {
	id, err := extract.NewID("t")
	if err != nil {
		return nil, err
	}
	r := g.Region.Rounded()
	t := &extract.Table{Schema: extract.Schema, ID: id, Status: "draft", Source: src.Name, Pages: strconv.Itoa(page), Number: g.Number, Caption: g.Caption,
		Regions: []extract.Region{{Page: page, Box: []float64{r.X0, r.Y0, r.X1, r.Y1}}}, Orientation: "upright", Origin: "print", Layout: "grid"}
	if g.Turn != 0 {
		t.Orientation = "sideways"
	}
	t.Name = fmt.Sprintf("%s-p%d-%d", src.Name, page, index+1)
	if n := slug("table " + g.Number); g.Number != "" && n != "table" {
		t.Name = src.Name + "-" + n
	}
	t.Basis.Configuration = normalize.ConfigurationOf(g.Caption)
	for i, col := range g.Columns {
		out := extract.Column{Key: fmt.Sprintf("c%d", i+1), Head: col.Head, X: []float64{roundTo2(col.X0), roundTo2(col.X1)}, Quantity: normalize.Guess(col.Head), Basis: saidBy(col.Head)}
		if i == 0 && col.Words > col.Figures {
			out.Key, out.Quantity = "label", "label"
		}
		t.Columns = append(t.Columns, out)
	}
	if hasSubHeads(g) {
		// The figure in a sub-head governs the rows of its block.
		t.Columns = append(t.Columns, extract.Column{Key: "block", Head: "(sub-head)", Words: "*", Quantity: "label"})
	}
	for _, n := range g.Notes {
		t.Note = strings.TrimSpace(t.Note + " / " + n.Text)
	}
	t.Note = plainNote(t.Note)
	return t, nil
}

// saidBy drafts what the words of a head say of the configuration, nil where they say
// nothing.
func saidBy(head string) *extract.Basis {
	c := normalize.ConfigurationOf(head)
	if c == (extract.Configuration{}) {
		return nil
	}
	return &extract.Basis{Configuration: c}
}

func hasSubHeads(g grid.Table) bool {
	return slices.ContainsFunc(g.Rows, func(r grid.Row) bool { return len(r.Cells) == 0 })
}

// plainNote makes a note of printed text fit for a file that people write.
func plainNote(text string) string {
	return strings.TrimLeft(strings.Join(strings.Fields(text), " "), "=+-@/ ")
}

func draftSheets(src *extract.Source, sheets []workbook.Sheet) (drafts []*extract.Table, list []seen, err error) {
	for _, sheet := range sheets {
		for i, found := range workbook.Find(sheet) {
			id, err := extract.NewID("t")
			if err != nil {
				return nil, nil, err
			}
			t := &extract.Table{Schema: extract.Schema, ID: id, Status: "draft", Source: src.Name, Sheet: found.Sheet, Range: found.Region,
				Caption: found.Caption, Origin: "print", Layout: "grid", Basis: extract.Basis{Configuration: normalize.ConfigurationOf(found.Caption)}}
			t.Name = src.Name
			if found.Sheet != "" {
				t.Name += "-" + strings.Trim(notSlug.ReplaceAllString(strings.ToLower(found.Sheet), "-"), "-")
			}
			t.Name += fmt.Sprintf("-%d", i+1)
			v := seen{Sheet: strings.TrimSpace(found.Sheet + " " + found.Region), Caption: found.Caption, Rows: len(found.Rows), Columns: len(found.Heads)}
			for k, h := range found.Heads {
				col := extract.Column{Key: fmt.Sprintf("c%d", k+1), Head: h.Text, At: columnOf(found, k), Quantity: normalize.Guess(h.Text), Basis: saidBy(h.Text)}
				t.Columns = append(t.Columns, col)
				v.Heads = append(v.Heads, h.Text)
				v.Quantities = append(v.Quantities, col.Quantity)
			}
			drafts = append(drafts, t)
			list = append(list, v)
		}
	}
	return drafts, list, nil
}

var sheetColumn = regexp.MustCompile(`^[A-Z]+`)

// columnOf names the sheet column of a found column ("B"), or its number from 1 in
// a text file.
func columnOf(t workbook.Table, k int) string {
	for _, row := range t.Rows {
		if k < len(row) && row[k].Place.Ref != "" {
			return sheetColumn.FindString(row[k].Place.Ref)
		}
	}
	return strconv.Itoa(k + 1)
}

// knownTable finds the table of the study that stands where the draft does.
func knownTable(s *extract.Study, draft *extract.Table) *extract.Table {
	for _, t := range s.Tables {
		if t.Source != draft.Source {
			continue
		}
		if draft.Range != "" && t.Sheet == draft.Sheet && t.Range == draft.Range {
			return t
		}
		for _, a := range t.Regions {
			for _, b := range draft.Regions {
				if a.Page != b.Page {
					continue
				}
				in := extract.Rect{X0: max(a.Box[0], b.Box[0]), Y0: max(a.Box[1], b.Box[1]), X1: min(a.Box[2], b.Box[2]), Y1: min(a.Box[3], b.Box[3])}
				smaller := min(a.Rect().Width()*a.Rect().Height(), b.Rect().Width()*b.Rect().Height())
				if !in.Empty() && in.Width()*in.Height() > smaller/2 {
					return t
				}
			}
		}
	}
	return nil
}

func uniqueName(s *extract.Study, drafts []*extract.Table, name string) string {
	taken := func(n string) bool {
		return s.Table(n) != nil || slices.ContainsFunc(drafts, func(t *extract.Table) bool { return t.Name == n })
	}
	if !taken(name) {
		return name
	}
	for i := 2; ; i++ {
		if n := fmt.Sprintf("%s-%d", name, i); !taken(n) {
			return n
		}
	}
}
