package main

import (
	"errors"
	"fmt"
	"image"
	"maps"
	"runtime"
	"slices"
	"sync/atomic"

	"windtally/extract"
	"windtally/extract/grid"
	"windtally/extract/pdf"
	"windtally/extract/scan"
	"windtally/extract/scan/layout"
	"windtally/extract/scan/ocr"
	"windtally/extract/scan/sorts"
	"windtally/extract/scan/transcribe"

	"github.com/urfave/cli/v2"
)

// scanDPI is the resolution at which a page of a PDF is drawn to be read where it holds
// no scan: that of most scans of reports.
const scanDPI = 300

// readers says with what the page images of a source are read, and where results are
// kept; remark says what is missing.
func (p *program) readers(c *cli.Context, s *extract.Study, src *extract.Source) (o transcribe.Options, k keeper, remark string, err error) {
	k = newKeeper()
	o.Parallel = runtime.GOMAXPROCS(0)
	if o.Names, err = namedPictures(s, src.Name); err != nil {
		return o, k, "", err
	}
	if c.Bool("no-ocr") {
		return o, k, "figures are read by their shapes alone, which a person names, and words are not read, as --no-ocr asks", nil
	}
	o.Engine, err = ocr.Locate()
	if errors.Is(err, ocr.ErrMissing) {
		return o, k, lacking(err), nil
	}
	if err == nil {
		o.Engine.Cache = k.dir
	}
	return o, k, "", err
}

// pageImage returns one page of a source as a person sees it, and its resolution: of a
// PDF drawn at dpi, of an image file as the file says.
func (p *program) pageImage(c *cli.Context, s *extract.Study, src *extract.Source, page int, dpi float64) (image.Image, float64, error) {
	return p.draw(c, s, src, page, func(r pdf.Reader, file string) ([]byte, float64, error) {
		data, err := r.Render(c.Context, file, page, dpi)
		return data, dpi, err
	})
}

// scannedPage returns one page of a source as pageImage does, a scanned page of a PDF on
// the pixels of its scan.
func (p *program) scannedPage(c *cli.Context, s *extract.Study, src *extract.Source, page int) (image.Image, float64, error) {
	return p.draw(c, s, src, page, func(r pdf.Reader, file string) ([]byte, float64, error) {
		return r.Scan(c.Context, file, page, scanDPI)
	})
}

func (p *program) draw(c *cli.Context, s *extract.Study, src *extract.Source, page int, draw func(pdf.Reader, string) ([]byte, float64, error)) (image.Image, float64, error) {
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
	data, dpi, err := draw(r, file)
	if err != nil {
		return nil, 0, err
	}
	img, _, err := scan.Decode(data, src.File)
	return img, dpi, err
}

// openPage makes one page of a source ready to be read, or says on its sheet why it
// cannot be.
func (p *program) openPage(c *cli.Context, s *extract.Study, src *extract.Source, page int, o transcribe.Options, r *room) (*transcribe.Page, error) {
	img, dpi, err := p.scannedPage(c, s, src, page)
	if err != nil {
		return nil, placed(err, "sources/"+src.File, src.File)
	}
	so := scan.Options{Page: page, DPI: dpi, Unit: 1, Turn: -1}
	if sourceKind(src.File) == "pdf" {
		so.Unit = 72 / dpi
	}
	give := r.take(img.Bounds().Dx() * img.Bounds().Dy())
	defer give()
	return transcribe.Open(c.Context, img, so, o)
}

func unreadable(src *extract.Source, page int, why string) error {
	return &extract.Error{File: "sources/" + src.File, Page: page, Msg: "cannot be read: " + why,
		Hint: "cite a better scan, or key its tables: windtally entry TABLE"}
}

// listing is what is seen on a page image: its tables, or why it cannot be read.
type listing struct {
	Tables     []grid.Table
	Unreadable string
}

// listPages sees what is on page images.
func (p *program) listPages(c *cli.Context, s *extract.Study, src *extract.Source, pages []int) (found map[int]listing, faults map[int]error, remark string, err error) {
	if len(pages) == 0 {
		return nil, nil, "", nil // it takes the start of two processes to find what reads them
	}
	o, k, remark, err := p.readers(c, s, src)
	if err != nil {
		return nil, nil, "", err
	}
	step, done := p.progress(len(pages), "page images")
	defer done()
	list, errs := make([]listing, len(pages)), make([]error, len(pages))
	r := newRoom()
	err = eachPage(c.Context, len(pages), func(i int) error {
		list[i], errs[i] = kept(k, "listing", src, o, pages[i], func() (listing, error) {
			pg, err := p.openPage(c, s, src, pages[i], o, r)
			if err != nil {
				return listing{}, err
			}
			return listing{scanTables(pg, o.Engine != nil), pg.Sheet.Unreadable}, nil
		})
		if errs[i] == nil && list[i].Unreadable != "" {
			errs[i] = unreadable(src, pages[i], list[i].Unreadable)
		}
		step()
		// A page of a PDF that cannot be read is a remark on it, other faults end the run.
		if sourceKind(src.File) == "pdf" && c.Context.Err() == nil {
			return nil
		}
		return errs[i]
	})
	if err != nil {
		return nil, nil, "", err
	}
	found, faults = map[int]listing{}, map[int]error{}
	for i, page := range pages {
		found[page] = list[i]
		if errs[i] != nil {
			faults[page] = errs[i]
		}
	}
	return found, faults, remark, nil
}

// scanTables lists the tables of a page image in the form in which those of a text
// layer come; engine says whether words were read.
func scanTables(pg *transcribe.Page, engine bool) []grid.Table {
	var out []grid.Table
	// Without an engine no word is read; what stands for it says of what ink it is.
	words := func(text string) string {
		if !engine {
			return ""
		}
		return text
	}
	for _, t := range pg.Tables {
		if !engine {
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
				row.SubHead = words(r.SubHead.Text) // a row without cells, its words read or not
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

// scannedTable is the two readings of a table on page images. Its fields are seen from
// outside because JSON keeps it.
type scannedTable struct {
	Sorts, OCR []extract.RawRow
	// The figures outside the grid, as each of the two readers has them.
	SortsGivens, OCRGivens []extract.Cell
	// Notes rest on the ink, Said on words that the engine read. They go with the
	// reading of the same kind: a later one without words must not take Said away.
	Notes, Said []extract.Note
	Turned      map[int]int
	Engine      bool
	Signers     string // who named shapes that were read
	Named       []extract.PictureName
	Groups      []sorts.Group // where a person is to name them

	pictures []sorts.Named // that were known when it was read
}

func (p *program) readScannedTable(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table) (*scannedTable, error) {
	o, k, remark, err := p.readers(c, s, src)
	if err != nil {
		return nil, err
	}
	tell, done := p.stages()
	defer done()
	o.Progress = tell
	out, err := kept(k, "reading", src, o, t, func() (*scannedTable, error) { return p.readPageImages(c, s, src, t, o) })
	if err != nil {
		return nil, err
	}
	if remark != "" { // it says why there is no engine, which is not in the key of what is kept
		out.Notes = slices.Insert(out.Notes, 0, note("%s", remark))
	}
	out.pictures = o.Names
	return out, nil
}

// readPageImages reads a table.
func (p *program) readPageImages(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table, o transcribe.Options) (*scannedTable, error) {
	keys, heads, err := pagedColumns(src, t)
	if err != nil {
		return nil, err
	}
	out := &scannedTable{Turned: map[int]int{}, Engine: o.Engine != nil}
	if o.Engine == nil {
		out.Notes = append(out.Notes, extract.Note{Kind: extract.WordsUnread,
			Text: "caption, heads and notes were not read, for no character recognition was used; words that qualify the figures may stand there"})
	}
	pages, err := p.openPages(c, s, src, t, o)
	if err != nil {
		return nil, err
	}
	var parts []transcribe.Part
	for _, region := range t.Regions {
		pg := pages[region.Page]
		if pg.Sheet.Turn != 0 {
			out.Turned[region.Page] = pg.Sheet.Turn
		}
		lt, err := pg.Find(region.Rect(), columnsOn(t, region))
		if err != nil {
			return nil, unfit(t, region, err)
		}
		parts = append(parts, transcribe.Part{Page: pg, Table: lt})
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
	gov := &governing{heads: heads, result: res, engine: o.Engine != nil, read: map[string][2]extract.Cell{}, doubt: map[string]string{}}
	out.Signers, out.Named = signers(res.Groups, o.Names), usedNames(res.Groups, o.Names)
	if o.Engine == nil {
		out.Groups = res.Groups
	}
	for k, part := range parts[:lent] {
		page := t.Regions[k].Page
		for _, d := range part.Table.Doubts {
			n := extract.Note{Kind: extract.Geometry, Text: fmt.Sprintf("page %d: %s", page, d.Text)}
			if !slices.Contains(out.Notes, n) {
				out.Notes = append(out.Notes, n)
			}
		}
		out.Said = append(out.Said, qualified(page, part)...)
		cells := res.Cells[k]
		for r, row := range part.Table.Rows {
			if row.SubHead != nil {
				said, err := gov.subHead(t, page, part, k, row.SubHead)
				if err != nil {
					return nil, err
				}
				if o.Engine != nil {
					out.Said = append(out.Said, said...)
				} else {
					out.Notes = append(out.Notes, said...)
				}
				continue
			}
			a := extract.RawRow{Page: page, Cells: map[string]extract.Cell{}}
			b := extract.RawRow{Page: page, Cells: map[string]extract.Cell{}}
			for len(cells) > 0 && cells[0].Row == r {
				cell := cells[0]
				cells = cells[1:]
				a.Box = a.Box.Union(cell.Place)
				place := extract.Place{Page: page, Box: cell.Place}
				cell.Sorts.Doubt = withNotes(cell.Sorts.Doubt, part, row.Cells[cell.Column])
				a.Cells[keys[cell.Column]] = wordCell(cell.Sorts, place)
				b.Cells[keys[cell.Column]] = wordCell(cell.OCR, place)
			}
			b.Box = a.Box
			for _, h := range heads.blocks {
				a.Cells[h.key], b.Cells[h.key] = gov.cells(h)
			}
			out.Sorts, out.OCR = append(out.Sorts, a), append(out.OCR, b)
		}
	}
	return out, out.readGivens(t, parts[:lent], res)
}

// openPages makes the pages of a table ready.
func (p *program) openPages(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table, o transcribe.Options) (map[int]*transcribe.Page, error) {
	var numbers []int
	for _, region := range t.Regions {
		if !slices.Contains(numbers, region.Page) {
			numbers = append(numbers, region.Page)
		}
	}
	list := make([]*transcribe.Page, len(numbers))
	var ready atomic.Int64
	tell := func(at int) {
		if o.Progress != nil {
			o.Progress("pages", at, len(numbers))
		}
	}
	tell(0)
	r := newRoom()
	err := eachPage(c.Context, len(numbers), func(i int) (err error) {
		if list[i], err = p.openPage(c, s, src, numbers[i], o, r); err != nil {
			return err
		}
		if why := list[i].Sheet.Unreadable; why != "" {
			return unreadable(src, numbers[i], why)
		}
		tell(int(ready.Add(1)))
		return nil
	})
	if err != nil {
		return nil, err
	}
	pages := map[int]*transcribe.Page{}
	for i, n := range numbers {
		pages[n] = list[i]
	}
	return pages, nil
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

// carried adds to the notes of a reading without words those of the reading sorts that
// it replaces, where the table still stands so: words may have had a part in them.
func carried(s *extract.Study, t *extract.Table, notes []extract.Note) []extract.Note {
	for _, r := range s.Readings[t.ID] {
		if r.Meta.Reader != "sorts" || r.Meta.Geometry != t.Geometry("sorts") {
			continue
		}
		for _, n := range r.Meta.Notes {
			if !slices.Contains(notes, n) {
				notes = append(notes, n)
			}
		}
	}
	return notes
}

// extractScanned reads a table from page images and writes its readings: sorts, and
// ocr where there is an engine.
func (p *program) extractScanned(c *cli.Context, s *extract.Study, src *extract.Source, t *extract.Table) error {
	got, err := p.readScannedTable(c, s, src, t)
	if err != nil {
		return err
	}
	if len(got.Sorts) == 0 {
		return &extract.Error{File: "tables/" + t.Name + ".yaml", Table: t.Name, Msg: "no row was read where the table is said to stand; no reading was written",
			Hint: "mend the table's regions: windtally extract " + src.Name + " --list shows what is seen; or key it: windtally entry " + t.Name}
	}
	stays := !got.Engine && hasReading(s, t, "ocr")
	if stays {
		got.Notes = carried(s, t, got.Notes)
	}
	var texts []string
	for _, n := range slices.Concat(got.Notes, got.Said) {
		texts = append(texts, n.Text)
	}
	shapes := "figures grouped by shape, cells cut by layout"
	if got.Signers != "" {
		shapes += ", shapes named by " + got.Signers
	}
	if stays {
		texts = append(texts, "the reading ocr that was there stays, with what it says of the words of the page")
		// Figures among the words had been read by shape too, perhaps with a doubt.
		for _, g := range t.Givens {
			got.SortsGivens = append(got.SortsGivens, extract.Cell{Column: g.Key, Confidence: 0, Doubt: "read without words, by which the figure is found"})
		}
	}
	var last *extract.Reading
	for _, rd := range []struct {
		name, settings string
		rows           []extract.RawRow
		givens         []extract.Cell
		notes          []extract.Note
	}{{"ocr", "tesseract on cells cut by layout", got.OCR, got.OCRGivens, got.Said}, {"sorts", shapes, got.Sorts, got.SortsGivens, got.Notes}} {
		if rd.name == "ocr" && !got.Engine {
			continue
		}
		if hasReading(s, t, rd.name) {
			texts = append(texts, "replaces the reading "+rd.name+" that was there")
		}
		meta := extract.ReadingMeta{Reader: rd.name, Source: src.Name, SourceSHA256: src.SHA256, Program: "windtally " + version, Settings: rd.settings, Scan: true, Turned: got.Turned, Named: got.Named,
			Notes: slices.DeleteFunc(slices.Clone(rd.notes), func(n extract.Note) bool { return n.Kind == extract.Remark })}
		if last, err = s.AddReading(t, meta, rd.rows, rd.givens); err != nil {
			return err
		}
	}
	if !got.Engine {
		// Not before the readings are written: what fails leaves the study as it was.
		todo, err := p.askForNames(c, s, src, t, got.Groups, got.pictures)
		if err != nil {
			return err
		}
		texts = append(texts, todo...)
	}
	return p.told(c, t, last, texts)
}
