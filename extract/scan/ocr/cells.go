package ocr

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Figures is the set of characters that a table of numbers is read with.
const Figures = "0123456789.-"

// Options of a reading.
type Options struct {
	// Allow is the set of characters that may be read; "" means Figures. A space
	// between characters is always allowed and is dropped from figures.
	Allow string
	// Letters reads labels: every character is allowed and words stay apart.
	Letters bool
	// Parallel is the number of child processes at a time; 0 means 1. It has no
	// influence on the result.
	Parallel int
	// Done, where there is one, is called as images are read, with how many more; by
	// several goroutines at a time.
	Done func(n int)
}

const (
	// sheetRows is the number of images set one under another on a sheet. A line's
	// reading leans a little on its sheet, for the engine estimates heights over
	// all lines; a fixed number keeps it apart from Options.Parallel.
	sheetRows = 40
	// sheetMargin is white on all four sides of an image on its sheet, in pixels:
	// half the white between two lines.
	sheetMargin = 20
	// batchSheets is the most sheets a child reads, so that its bound of time stays
	// short; a start costs 0.2 s.
	batchSheets = 16

	batchTime = 20 * time.Second // for a child to start on a busy machine
	cellTime  = 150 * time.Millisecond
)

// Cells reads many prepared cells: black print on white, figures about 36 to 40
// pixels high, with or without white around. The results stand in the order of the
// images. It fails as a whole when an image is refused or the engine fails.
func (e *Engine) Cells(ctx context.Context, imgs []*image.Gray, o Options) ([]Result, error) {
	for i, img := range imgs {
		if err := check(fmt.Sprintf("cell %d of %d", i+1, len(imgs)), img, maxCellW, maxCellH); err != nil {
			return nil, err
		}
	}
	return e.lines(ctx, imgs, o)
}

// lines reads images of one line each, which were checked.
func (e *Engine) lines(ctx context.Context, imgs []*image.Gray, o Options) ([]Result, error) {
	out := make([]Result, len(imgs))
	var sheets []sheet
	var s sheet
	for i, img := range imgs {
		if !s.add(i, img) {
			sheets = append(sheets, s)
			s = sheet{}
			s.add(i, img)
		}
	}
	if len(s.rows) > 0 {
		sheets = append(sheets, s)
	}
	if e.Cache != nil {
		args := cellArgs(o)
		sheets = slices.DeleteFunc(sheets, func(s sheet) bool {
			piece, ok := e.recall(args, s.pgm())
			if !ok {
				return false
			}
			words, err := parsePiece(piece)
			if err != nil {
				return false
			}
			s.results(words, o.Letters, out)
			o.done(len(s.rows))
			return true
		})
	}
	if len(sheets) == 0 {
		return out, nil
	}
	parallel := max(1, min(o.Parallel, len(sheets)))
	per := min(batchSheets, (len(sheets)+parallel-1)/parallel)
	var batches [][]sheet
	for ; len(sheets) > per; sheets = sheets[per:] {
		batches = append(batches, sheets[:per])
	}
	batches = append(batches, sheets)

	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	errs := make([]error, len(batches))
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(parallel, len(batches)) {
		workers.Go(func() {
			for b := range next {
				if errs[b] = e.batch(ctx, batches[b], o, out); errs[b] != nil {
					cancel(errs[b])
				}
			}
		})
	}
	for b := range batches {
		next <- b
	}
	close(next)
	workers.Wait()
	if err := context.Cause(ctx); err != nil {
		for _, e := range errs { // the first that failed by itself says more
			if e != nil && e == err {
				return nil, e
			}
		}
	}
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (o Options) done(n int) {
	if o.Done != nil {
		o.Done(n)
	}
}

// sheet is a column of images, one a line.
type sheet struct {
	rows []row
	w, h int
}

type row struct {
	index int // of the image
	img   *image.Gray
	at    image.Point // of its first pixel on the sheet
}

// add sets an image on the sheet and reports whether there was room for it.
func (s *sheet) add(index int, img *image.Gray) bool {
	b := img.Bounds()
	h := s.h + b.Dy() + 2*sheetMargin
	w := max(s.w, b.Dx()+2*sheetMargin)
	if len(s.rows) > 0 && (len(s.rows) == sheetRows || h > maxSide || w*h > maxPixels) {
		return false
	}
	s.rows = append(s.rows, row{index: index, img: img, at: image.Pt(sheetMargin, s.h+sheetMargin)})
	s.w, s.h = w, h
	return true
}

// pgm draws the sheet as a portable grey map.
func (s *sheet) pgm() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "P5\n%d %d\n255\n", s.w, s.h)
	head := b.Len()
	out := append(b.Bytes(), bytes.Repeat([]byte{255}, s.w*s.h)...)
	pix := out[head:]
	for _, r := range s.rows {
		box := r.img.Bounds()
		for y := range box.Dy() {
			from := r.img.PixOffset(box.Min.X, box.Min.Y+y)
			copy(pix[(r.at.Y+y)*s.w+r.at.X:], r.img.Pix[from:from+box.Dx()])
		}
	}
	return out
}

func sheetFile(i int) string { return strconv.Itoa(i) + ".pgm" }

// cellArgs is the engine's command line for sheets of cells.
func cellArgs(o Options) []string {
	// A block of lines (6) with a space allowed: a sparse layout (11) drops "-0."
	// with high confidence, and without the space figures beyond a gap are lost.
	args := []string{"list", "stdout", "-l", "eng", "--dpi", "300", "--psm", "6",
		"-c", "tessedit_create_hocr=1", "-c", "hocr_char_boxes=1", "-c", "tessedit_do_invert=0"}
	if !o.Letters {
		allow := o.Allow
		if allow == "" {
			allow = Figures
		}
		args = append(args, "-c", "tessedit_char_whitelist="+allow+" ")
	}
	return args
}

// batch reads sheets in one child and puts the results into their places in out.
func (e *Engine) batch(ctx context.Context, sheets []sheet, o Options, out []Result) error {
	dir, err := os.MkdirTemp("", "windtally-ocr-")
	if err != nil {
		return fmt.Errorf("no folder for tesseract: %w", err)
	}
	defer os.RemoveAll(dir)
	var list strings.Builder
	cells := 0
	for i := range sheets {
		name := sheetFile(i)
		if err := os.WriteFile(filepath.Join(dir, name), sheets[i].pgm(), 0o600); err != nil {
			return fmt.Errorf("no image for tesseract: %w", err)
		}
		list.WriteString(name + "\n")
		cells += len(sheets[i].rows)
	}
	if err := os.WriteFile(filepath.Join(dir, "list"), []byte(list.String()), 0o600); err != nil {
		return fmt.Errorf("no list for tesseract: %w", err)
	}
	args := cellArgs(o)
	// A sheet is read when the answer about the next one begins.
	begun := 0
	seen := counter{begun: func() {
		if begun++; begun > 1 && begun <= len(sheets) {
			o.done(len(sheets[begun-2].rows))
		}
	}}
	answer, _, err := e.watched(ctx, args, dir, batchTime+time.Duration(cells)*cellTime, seen.see)
	if err != nil {
		e.keepSheets(args, sheets, answer, false)
		return err
	}
	pages, err := parse(answer)
	if err != nil {
		return fmt.Errorf("the answer of tesseract cannot be read: %w", err)
	}
	if len(pages) != len(sheets) {
		return fmt.Errorf("tesseract answered for %d of %d sheets", len(pages), len(sheets))
	}
	for i := range sheets {
		sheets[i].results(pages[i], o.Letters, out)
	}
	if begun > 0 {
		o.done(len(sheets[min(begun, len(sheets))-1].rows))
	}
	e.keepSheets(args, sheets, answer, true)
	return nil
}

// results gives each image the characters whose middle lies in its band.
func (s *sheet) results(words []word, letters bool, out []Result) {
	band := func(y int) *row {
		for i := range s.rows {
			if r := &s.rows[i]; y < r.at.Y+r.img.Bounds().Dy()+sheetMargin {
				return r
			}
		}
		return &s.rows[len(s.rows)-1]
	}
	for _, w := range words {
		last := -1
		for _, c := range w {
			r := band((c.Box.Min.Y + c.Box.Max.Y) / 2)
			res := &out[r.index]
			if letters && last != r.index && res.Text != "" {
				res.Text += " "
			}
			last = r.index
			if len(res.Chars) == 0 || c.Confidence < res.Confidence {
				res.Confidence = c.Confidence
			}
			c.Box = c.Box.Sub(r.at).Add(r.img.Bounds().Min)
			res.Text += c.Text
			res.Chars = append(res.Chars, c)
		}
	}
}
