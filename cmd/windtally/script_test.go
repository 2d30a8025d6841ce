package main

import (
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"windtally/extract"
	"windtally/extract/scan/press"

	"github.com/go-pdf/fpdf"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/xuri/excelize/v2"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

var update = flag.Bool("update", false, "write into the scripts what the program prints")

// The scripts pin stdout, stderr and exit codes. Besides the usual commands:
//
//	exits CODE PROGRAM ARG...  runs a program that must end with CODE
//	subst FILE OLD NEW         replaces a text of a file, as a person would; it must stand there once
//	ready FILE                 makes a draft the table of wing A: keys, units, basis
//	digest NAME DIR            remembers the names and bytes of all files under DIR
//	same NAME DIR              fails unless they are what they were
//	tables-pdf FILE            typesets two pages, a table on each
//	scan-pdf FILE              a PDF of one page that bears an image and no text
//	locked-pdf FILE            a PDF that opens with a password
//	polar-xlsx FILE            a workbook of two sheets, a table on each
//	page-png FILE              a page image
//	cells-png FILE             a page image of 600 x 400 pixels: three rows of two marks
//	pressed-png FILE           a scan of a table with sub-heads, a caption with figures and footnotes
//	blotted-png FILE           the same, with a blot on the first figure of its aspect ratio
//	polar-png FILE             a scan: a table of two columns that has all ten figures
//	name-shapes FILE NAME...   writes into a file of names what each picture shows, in order
//	fill FILE TEXT...          types rows into an entry workbook, one text a row, cells parted by blanks
//	reading STUDY TABLE READER FILE  writes FILE, cells as a reading has them, as what READER read
//	page-of-findings FILE  proves that FILE is a whole page without markup that is not ours, its
//	                       pictures sound, and prints its commands as a shell understands them
func TestScripts(t *testing.T) {
	testscript.Run(t, scripts("testdata/script"))
}

func scripts(dir string) testscript.Params {
	return testscript.Params{
		Dir:           dir,
		UpdateScripts: *update,
		// The compiled PDF reader is kept in the cache folder of the user.
		Setup: func(e *testscript.Env) error {
			cache, err := os.UserCacheDir()
			e.Setenv("XDG_CACHE_HOME", cache)
			e.Setenv("WINDTALLY_STUDY", "")
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":      exits,
			"subst":      subst,
			"ready":      ready,
			"digest":     digest,
			"same":       same,
			"tables-pdf": made(tablesPDF),
			"scan-pdf":   made(scanPDF),
			"locked-pdf": made(lockedPDF),
			"polar-xlsx": made(polarXLSX),
			"page-png":   made(pagePNG),
			"cells-png":  made(cellsPNG),

			"pressed-png": made(pressedPNG),
			"blotted-png": made(blottedPNG),
			"polar-png":   made(polarPNG),
			"fill":        fill,
			"reading":     takeReading,

			"name-shapes":      nameShapes,
			"page-of-findings": pageOfFindings,
			"plot-of-curve":    plotOfCurve,
		},
	}
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARG...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var e *exec.ExitError
		if !errors.As(err, &e) {
			ts.Fatalf("%v", err)
		}
		got = e.ExitCode()
	}
	if got != want {
		ts.Fatalf("%s: exit %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}

func subst(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: subst FILE OLD NEW")
	}
	newline := strings.NewReplacer(`\n`, "\n")
	old, text := newline.Replace(args[1]), ts.ReadFile(args[0])
	if n := strings.Count(text, old); n != 1 {
		ts.Fatalf("%s: %q stands %d times, want once", args[0], old, n)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(text, old, newline.Replace(args[2]), 1)), 0o666))
}

// ready completes the draft of the four columns alpha, CL, CD and L/D.
func ready(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: ready FILE")
	}
	text := ts.ReadFile(args[0])
	for _, c := range []struct{ key, quantity, unit string }{
		{"alpha", "angle of attack", "deg"}, {"CL", "lift coefficient", `"1"`}, {"CD", "drag coefficient", `"1"`}, {"LD", "lift-drag ratio", `"1"`},
	} {
		if strings.Count(text, "quantity: "+c.quantity+"\n") != 1 {
			ts.Fatalf("%s: the draft has no column that is believed to be %s:\n%s", args[0], c.quantity, text)
		}
		text = strings.Replace(text, "quantity: "+c.quantity+"\n", "quantity: "+c.quantity+"\n    unit: "+c.unit+"\n", 1)
	}
	for i, key := range []string{"alpha", "CL", "CD", "LD"} {
		text = strings.Replace(text, fmt.Sprintf("key: c%d\n", i+1), "key: "+key+"\n", 1)
	}
	text = strings.Replace(text, "status: draft", "status: ready", 1)
	text += basis + "relations: [LD = CL / CD]\n"
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}

// basis says of wing A all that its figures need.
const basis = `basis:
  article: wing
  coefficients: absolute
  reference_area: gross
  angle_datum: chord
  drag: total
  walls: corrected
  aspect_ratio_basis: as-tested
  reynolds_kind: not-stated
  surface: smooth
  configuration: {flap: none, slats: none, gear: none, propeller: none, power: none, trim: not-stated}
`

func treeDigest(ts *testscript.TestScript, dir string) string {
	h := sha256.New()
	n := 0
	ts.Check(filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		fmt.Fprintf(h, "%s %v\n", filepath.ToSlash(rel), d.IsDir())
		if d.IsDir() {
			return nil
		}
		n++
		data, err := os.ReadFile(path)
		fmt.Fprintf(h, "%d\n%s", len(data), data)
		return err
	}))
	if n == 0 {
		ts.Fatalf("%s: no file stands there", dir)
	}
	return fmt.Sprintf("%d files, %x", n, h.Sum(nil))
}

func digest(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: digest NAME DIR")
	}
	ts.Setenv("DIGEST_"+args[0], treeDigest(ts, ts.MkAbs(args[1])))
}

func same(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: same NAME DIR")
	}
	was, is := ts.Getenv("DIGEST_"+args[0]), treeDigest(ts, ts.MkAbs(args[1]))
	if was == "" || neg == (was == is) {
		ts.Fatalf("%s: was %s, is %s", args[1], was, is)
	}
}

func made(write func(name string) error) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) {
		if neg || len(args) != 1 {
			ts.Fatalf("want one file")
		}
		ts.Check(write(ts.MkAbs(args[0])))
	}
}

// polar is the invented table of the scripts: alpha, CL, CD, L/D.
var polar = [][]string{
	{"-2", ".05", ".0101", "4.95"},
	{"0", ".20", ".0110", "18.2"},
	{"2", ".35", ".0130", "26.9"},
	{"4", ".50", ".0160", "31.2"},
	{"6", ".65", ".0205", "31.7"},
	{"8", ".80", ".0262", "30.5"},
}

func tablesPDF(name string) error {
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.SetFont("Helvetica", "", 11)
	for page, caption := range []string{"TABLE I", "TABLE II"} {
		pdf.AddPage()
		y := 100.0
		centred := func(x float64, s string) { pdf.Text(x-pdf.GetStringWidth(s)/2, y, s) }
		centred(297, caption)
		y += 18
		centred(297, []string{"LIFT AND DRAG OF TARNHOLM WING A", "LIFT AND DRAG OF TARNHOLM WING B"}[page])
		y += 26
		for i, head := range []string{"alpha", "CL", "CD", "L/D"} {
			centred(150+float64(i)*95, head)
		}
		for _, row := range polar {
			y += 16
			for i, s := range row {
				centred(150+float64(i)*95, s)
			}
		}
	}
	return pdf.OutputFileAndClose(name)
}

func scanPDF(name string) error {
	image := name + ".png"
	if err := pagePNG(image); err != nil {
		return err
	}
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.AddPage()
	pdf.ImageOptions(image, 0, 0, 500, 0, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	return errors.Join(pdf.OutputFileAndClose(name), os.Remove(image))
}

func lockedPDF(name string) error {
	pdf := fpdf.New("P", "pt", "A4", "")
	pdf.SetProtection(fpdf.CnProtectPrint, "reader", "owner")
	pdf.SetFont("Helvetica", "", 11)
	pdf.AddPage()
	pdf.Text(100, 100, "TABLE I")
	return pdf.OutputFileAndClose(name)
}

func pagePNG(name string) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(png.Encode(f, image.NewGray(image.Rect(0, 0, 40, 60))), f.Close())
}

// pressed is a page of which press says: aspect ratio 5.5, Reynolds number 4,100,000,
// flap deflections 0 and 10 degrees.
func pressed() (*image.Gray, error) {
	fonts, err := press.Fonts()
	if err != nil {
		return nil, err
	}
	p, err := press.Make(press.Spec{Name: "pressed", Seed: 6, Fount: "century", DPI: 300, Damage: press.Damage{Blur: 1},
		Design: press.Design{Kind: "polar", Rows: 24, Columns: 5, Across: 1, Zero: press.ZeroAlways, Ruling: press.RulesOpen, SubHeads: true, Notes: 0.03, Marks: "*", Size: 8, Pitch: 1.25}}, fonts)
	if err != nil {
		return nil, err
	}
	img, ok := p.Image.(*image.Gray)
	if !ok {
		return nil, fmt.Errorf("the page is %T, want grey", p.Image)
	}
	return img, nil
}

func pressedPNG(name string) error {
	img, err := pressed()
	if err != nil {
		return err
	}
	return writePNG(name, img)
}

func blottedPNG(name string) error {
	img, err := pressed()
	if err != nil {
		return err
	}
	draw.Draw(img, blot, image.Black, image.Point{}, draw.Src)
	return writePNG(name, img)
}

// blot lies on the pressed page so that a 5 may be a 6.
var blot = image.Rect(1138, 317, 1143, 330)

func writePNG(name string, img image.Image) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(png.Encode(f, img), f.Close())
}

func cellsPNG(name string) error {
	page := image.NewGray(image.Rect(0, 0, 600, 400))
	for i := range page.Pix {
		page.Pix[i] = 255
	}
	for row := range 3 {
		for column := range 2 {
			x, y := 100+200*column, 100+50*row
			draw.Draw(page, image.Rect(x, y, x+10, y+24), image.Black, image.Point{}, draw.Src)
			draw.Draw(page, image.Rect(x+16, y, x+30, y+24), image.Black, image.Point{}, draw.Src)
		}
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(png.Encode(f, page), f.Close())
}

// polarPNG draws with a font of a Go module, so that it needs no package of fonts.
func polarPNG(name string) error {
	ttf, err := opentype.Parse(gomono.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(ttf, &opentype.FaceOptions{Size: 10, DPI: 300})
	if err != nil {
		return err
	}
	page := image.NewGray(image.Rect(0, 0, 1200, 1500))
	for i := range page.Pix {
		page.Pix[i] = 255
	}
	for i, row := range [][]string{{"-12", ".1057"}, {"-10", ".2346"}, {"-8", ".3891"}, {"-6", ".4602"}, {"-4", ".5713"}, {"-2", ".6824"}, {"0", ".7935"},
		{"2", ".8046"}, {"4", ".9157"}, {"6", "1.0268"}, {"8", "1.1379"}, {"10", "1.2480"}, {"12", "1.3591"}, {"14", "1.4733"}} {
		for k, text := range row {
			whole, _, _ := strings.Cut(text, ".")
			d := font.Drawer{Dst: page, Src: image.Black, Face: face}
			d.Dot = fixed.P(500+350*k, 250+60*i)
			d.Dot.X -= d.MeasureString(whole)
			d.DrawString(text)
		}
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(png.Encode(f, page), f.Close())
}

// nameShapes is a person who fills a file of names.
func nameShapes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: name-shapes FILE NAME...")
	}
	var out []string
	n := 0
	for _, line := range strings.SplitAfter(ts.ReadFile(args[0]), "\n") {
		if strings.HasPrefix(line, "    name: ") {
			if n++; n < len(args) {
				line = fmt.Sprintf("    name: %q\n", args[n])
			}
		}
		out = append(out, line)
	}
	if n < len(args)-1 {
		ts.Fatalf("%s: %d pictures, and %d names", args[0], n, len(args)-1)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Join(out, "")), 0o666))
}

func polarXLSX(name string) error {
	f := excelize.NewFile()
	for i, sheet := range []string{"Wing A", "Wing B"} {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", sheet); err != nil {
				return err
			}
		} else if _, err := f.NewSheet(sheet); err != nil {
			return err
		}
		if err := f.SetSheetRow(sheet, "B2", &[]string{"alpha", "CL", "CD", "L/D"}); err != nil {
			return err
		}
		for k, row := range polar {
			if err := f.SetSheetRow(sheet, fmt.Sprintf("B%d", k+3), &row); err != nil {
				return err
			}
		}
	}
	return errors.Join(f.SaveAs(name), f.Close())
}

// takeReading gives a table a reading as a reader of images would. Of a page that the
// reader turned, the READER is written READER@PAGE:DEGREES; a file that a note is in
// follows FILE.
func takeReading(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 4 || len(args) > 5 {
		ts.Fatalf("usage: reading STUDY TABLE READER FILE [NOTE]")
	}
	s, err := extract.OpenStudy(ts.MkAbs(args[0]))
	ts.Check(err)
	cells, err := extract.UnmarshalCells(args[3], []byte(ts.ReadFile(args[3])))
	ts.Check(err)
	var rows []extract.RawRow
	var givens []extract.Cell
	last := ""
	for _, c := range cells {
		if c.Row == extract.Given {
			givens = append(givens, c)
			continue
		}
		if c.Row != last {
			last = c.Row
			rows = append(rows, extract.RawRow{Page: c.Place.Page, Cells: map[string]extract.Cell{}})
		}
		row := &rows[len(rows)-1]
		row.Box = row.Box.Union(c.Place.Box)
		row.Cells[c.Column] = c
	}
	reader, turned, ok := strings.Cut(args[2], "@")
	meta := extract.ReadingMeta{Reader: reader, Program: "windtally devel", Settings: "none", Scan: true}
	if ok {
		var page, degrees int
		_, err := fmt.Sscanf(turned, "%d:%d", &page, &degrees)
		ts.Check(err)
		meta.Turned = map[int]int{page: degrees}
	}
	if len(args) == 5 {
		meta.Notes = []extract.Note{{Kind: extract.Geometry, Text: strings.TrimSpace(ts.ReadFile(args[4]))}}
	}
	_, err = s.AddReading(s.Table(args[1]), meta, rows, givens)
	ts.Check(err)
}

// fill types into the sheet of an entry workbook that a person types into: below
// the row whose hidden cells are the keys of the columns.
func fill(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: fill FILE TEXT...")
	}
	f, err := excelize.OpenFile(ts.MkAbs(args[0]))
	ts.Check(err)
	sheet := f.GetSheetList()[0]
	rows, err := f.GetRows(sheet)
	ts.Check(err)
	first := slices.IndexFunc(rows, func(row []string) bool { return len(row) > 0 && row[0] == "1" })
	column := slices.IndexFunc(rows[0], func(key string) bool { return strings.Contains(key, "/column/") })
	if first < 0 || column < 0 {
		ts.Fatalf("%s, sheet %s: no first row to type into:\n%q", args[0], sheet, rows)
	}
	for i, text := range args[1:] {
		for k, v := range strings.Fields(text) {
			cell, err := excelize.CoordinatesToCellName(column+1+k, first+1+i)
			ts.Check(err)
			ts.Check(f.SetCellStr(sheet, cell, v))
		}
	}
	ts.Check(errors.Join(f.Save(), f.Close()))
}
