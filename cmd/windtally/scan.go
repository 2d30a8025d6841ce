package main

import (
	"errors"
	"fmt"
	"image"
	"maps"
	"runtime"
	"slices"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/transcribe"

	"github.com/urfave/cli/v2"
)

// scanDPI is the resolution at which a page of a PDF is drawn to be read: that of
// most scans of reports.
const scanDPI = 300

// readers says with what the page images of a source are read; remark says what is
// missing.
func (p *program) readers(c *cli.Context, s *extract.Study, src *extract.Source) (o transcribe.Options, remark string, err error) {
	o.Parallel = runtime.NumCPU()
	if o.Names, err = namedPictures(s, src.Name); err != nil {
		return o, "", err
	}
	if c.Bool("no-ocr") {
		return o, "figures are read by their shapes alone, which a person names, and words are not read, as --no-ocr asks", nil
	}
	o.Engine, err = ocr.Locate()
	if errors.Is(err, ocr.ErrMissing) {
		return o, lacking(err), nil
	}
	return o, "", err
}

// pageImage returns one page of a source as a person sees it, and its resolution: of a
// PDF drawn at dpi, of an image file as the file says.
func (p *program) pageImage(c *cli.Context, s *extract.Study, src *extract.Source, page int, dpi float64) (image.Image, float64, error) {
	file := s.SourceFile(src)
	if sourceKind(src.File) == "image" {
		f, err := scan.Open(file)
		if err != nil {
			return nil, 0, err
		}
		return f.Frame(page)
	}
	r, err := p.pdfReader()
	if err != nil {
		return nil, 0, err
	}
	data, err := r.Render(c.Context, file, page, dpi)
	if err != nil {
		return nil, 0, err
	}
	img, _, err := scan.Decode(data, src.File)
	return img, dpi, err
}

// scanPage makes one page of a source ready to be read.
func (p *program) scanPage(c *cli.Context, s *extract.Study, src *extract.Source, page int, o transcribe.Options) (*transcribe.Page, error) {
	img, dpi, err := p.pageImage(c, s, src, page, scanDPI)
	if err != nil {
		return nil, placed(err, "sources/"+src.File, src.File)
	}
	so := scan.Options{Page: page, DPI: dpi, Unit: 1, Turn: -1}
	if sourceKind(src.File) == "pdf" {
		so.Unit = 72 / dpi
	}
	pg, err := transcribe.Open(c.Context, img, so, o)
	if err != nil {
		return nil, err
	}
	if why := pg.Sheet.Unreadable; why != "" {
		return nil, &extract.Error{File: "sources/" + src.File, Page: page, Msg: "cannot be read: " + why,
			Hint: "cite a better scan, or key its tables: windtally entry TABLE"}
	}
	return pg, nil
}

// scanTables lists the tables of a page image in the form in which those of a text
// layer come.
func scanTables(pg *transcribe.Page) []grid.Table {
	var out []grid.Table
	// Without an engine no word is read; what stands for it says of what ink it is.
	words := func(text string) string {
		if pg.Prose == nil {
			return ""
		}
		return text
	}
	for _, t := range pg.Tables {
		if pg.Prose == nil {
			t.Region = body(t)
		}
		region, columns := layout.SeenColumns(pg.Sheet, t)
		g := grid.Table{Region: region, Number: t.Number, Caption: words(t.Caption.Text)}
		if turn := pg.Sheet.Turn; turn == 90 || turn == 270 {
			g.Turn = turn
		}
		for i, col := range t.Columns {
			g.Columns = append(g.Columns, grid.Column{X0: columns[i][0], X1: columns[i][1], Head: words(col.Head), Figures: col.Figures, Words: col.Words})
		}
		for _, r := range t.Rows {
			row := grid.Row{}
			if r.SubHead != nil {
				row.SubHead = r.SubHead.Text
			} else {
				row.Cells = make([]grid.Cell, len(r.Cells))
			}
			g.Rows = append(g.Rows, row)
		}
		for _, n := range t.Notes {
			g.Notes = append(g.Notes, grid.Line{Text: words(n.Text)})
		}
		out = append(out, g)
	}
	return out
}

// body is the region of a table's rows of figures: without an engine nothing tells its
// caption and notes from the text of the page.
func body(t layout.Table) (r extract.Rect) {
	const margin = 0.4 // heights of a figure
	for _, row := range t.Rows {
		r = r.Union(extract.Rect{X0: t.Columns[0].X0, Y0: row.Top - margin*t.Figure, X1: t.Columns[len(t.Columns)-1].X1, Y1: row.Bottom + margin*t.Figure})
	}
	return r
}

// scannedTable is the two readings of a table on page images.
type scannedTable struct {
	sorts, ocr []extract.RawRow
	notes      []extract.Note
	turned     map[int]int
	engine     bool
	named      string // who named shapes that were read
}

// oneReader says why a figure in a sub-head waits for a person.
const oneReader = "a figure in a sub-head governs its block and is read by character recognition alone"

func (p *program) readScannedTable(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table) (*scannedTable, error) {
	keys, heads, err := pagedColumns(src, t)
	if err != nil {
		return nil, err
	}
	o, remark, err := p.readers(c, s, src)
	if err != nil {
		return nil, err
	}
	out := &scannedTable{turned: map[int]int{}, engine: o.Engine != nil}
	if remark != "" {
		out.notes = append(out.notes, note("%s", remark))
	}
	step, done := p.progress(len(t.Regions), "pages")
	defer done()
	pages := map[int]*transcribe.Page{}
	var parts []transcribe.Part
	for _, region := range t.Regions {
		pg := pages[region.Page]
		if pg == nil {
			if pg, err = p.scanPage(c, s, src, region.Page, o); err != nil {
				return nil, err
			}
			pages[region.Page] = pg
			if pg.Sheet.Turn != 0 {
				out.turned[region.Page] = pg.Sheet.Turn
			}
		}
		lt, err := pg.Find(region.Rect(), columnsOn(t, region))
		if err != nil {
			return nil, unfit(t, region, err)
		}
		parts = append(parts, transcribe.Part{Page: pg, Table: lt})
		step()
	}
	// A small table borrows the figures of its neighbours on the page.
	lent := len(parts)
	for _, number := range slices.Sorted(maps.Keys(pages)) {
		for _, other := range pages[number].Tables {
			if !slices.ContainsFunc(parts[:lent], func(q transcribe.Part) bool { return q.Page == pages[number] && q.Table.Region.Overlaps(other.Region) }) {
				parts = append(parts, transcribe.Part{Page: pages[number], Table: other})
			}
		}
	}
	res, err := transcribe.Read(c.Context, parts, o)
	if err != nil {
		return nil, err
	}
	out.named = signers(res.Groups, o.Names)
	if o.Engine == nil {
		todo, err := p.askForNames(c, s, src, t, res.Groups, o.Names)
		if err != nil {
			return nil, err
		}
		for _, text := range todo {
			out.notes = append(out.notes, note("%s", text))
		}
	}
	for k, part := range parts[:lent] {
		page := t.Regions[k].Page
		sheet := part.Page.Sheet
		for _, d := range part.Table.Doubts {
			n := extract.Note{Kind: extract.Geometry, Text: fmt.Sprintf("page %d: %s", page, d.Text)}
			if !slices.Contains(out.notes, n) {
				out.notes = append(out.notes, n)
			}
		}
		cells := res.Cells[k]
		for r, row := range part.Table.Rows {
			if row.SubHead != nil {
				said, err := heads.note(t, row.SubHead.Text, extract.Place{Page: page, Box: sheet.SeenOfFlat(row.SubHead.Box).Rounded()})
				if err != nil {
					return nil, err
				}
				out.notes = append(out.notes, said...)
				continue
			}
			a := extract.RawRow{Page: page, Cells: map[string]extract.Cell{}}
			b := extract.RawRow{Page: page, Cells: map[string]extract.Cell{}}
			for len(cells) > 0 && cells[0].Row == r {
				cell := cells[0]
				cells = cells[1:]
				a.Box = a.Box.Union(cell.Place)
				place := extract.Place{Page: page, Box: cell.Place}
				a.Cells[keys[cell.Column]] = wordCell(cell.Sorts, place)
				b.Cells[keys[cell.Column]] = wordCell(cell.OCR, place)
			}
			b.Box = a.Box
			for _, h := range heads.blocks {
				cell := h.cell
				cell.Doubt = oneReader
				a.Cells[h.key], b.Cells[h.key] = cell, cell
			}
			out.sorts, out.ocr = append(out.sorts, a), append(out.ocr, b)
		}
	}
	return out, nil
}

func wordCell(w transcribe.Word, place extract.Place) extract.Cell {
	c := extract.Cell{Text: w.Text, Place: place, Confidence: w.Confidence, Doubt: w.Doubt}
	for _, t := range w.Candidates {
		if t != w.Text {
			c.Candidates = append(c.Candidates, t)
		}
	}
	return c
}

// extractScanned reads a table from page images and writes its readings: sorts, and
// ocr where there is an engine.
func (p *program) extractScanned(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table) error {
	got, err := p.readScannedTable(c, s, src, t)
	if err != nil {
		return err
	}
	if len(got.sorts) == 0 {
		return &extract.Error{File: "tables/" + t.Name + ".yaml", Table: t.Name, Msg: "no row was read where the table is said to stand; no reading was written",
			Hint: "mend the table's regions: windtally extract " + src.Name + " --list shows what is seen; or key it: windtally entry " + t.Name}
	}
	notes := got.notes
	for _, g := range t.Givens {
		notes = append(notes, extract.Note{Kind: extract.GivenLost, Text: fmt.Sprintf("given %s: figures outside the grid are not yet read from page images", g.Key)})
	}
	var texts []string
	for _, n := range notes {
		texts = append(texts, n.Text)
	}
	kept := slices.DeleteFunc(slices.Clone(notes), func(n extract.Note) bool { return n.Kind == extract.Remark })
	shapes := "figures grouped by shape, cells cut by layout"
	if got.named != "" {
		shapes += ", shapes named by " + got.named
	}
	var last *extract.Reading
	for _, rd := range []struct {
		name, settings string
		rows           []extract.RawRow
	}{{"ocr", "tesseract on cells cut by layout", got.ocr}, {"sorts", shapes, got.sorts}} {
		if rd.name == "ocr" && !got.engine {
			continue
		}
		if hasReading(s, t, rd.name) {
			texts = append(texts, "replaces the reading "+rd.name+" that was there")
		}
		meta := extract.ReadingMeta{Reader: rd.name, Source: src.Name, SourceSHA256: src.SHA256, Program: "windtally " + version, Settings: rd.settings, Scan: true, Turned: got.turned}
		if rd.name == "sorts" {
			meta.Notes = kept
		}
		if last, err = s.AddReading(t, meta, rd.rows, nil); err != nil {
			return err
		}
	}
	return p.told(c, t, last, texts)
}
