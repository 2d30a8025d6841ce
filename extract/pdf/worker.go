package pdf

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime/metrics"
	"strconv"
	"strings"
	"time"

	"github.com/klippa-app/go-pdfium"
	"github.com/klippa-app/go-pdfium/enums"
	pdfiumerrors "github.com/klippa-app/go-pdfium/errors"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"
	"github.com/klippa-app/go-pdfium/structs"
	"github.com/klippa-app/go-pdfium/webassembly"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"

	"windtally/extract"
)

// Work is the body of the worker: it reads one request from stdin, answers on
// stdout, and returns. What is wrong with the file is part of the answer; the
// error returned says that no answer could be given. It belongs in a process
// of its own, which the caller ends when Work returns: it sets limits on the
// whole process, and a file that will not end leaves a goroutine behind.
func Work(stdin io.Reader, stdout io.Writer, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("worker: unexpected argument %q: requests come on standard input", args[0])
	}
	in := bufio.NewReader(io.LimitReader(stdin, maxRequest+maxFile))
	line, err := in.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("worker: no request on standard input: %w", err)
	}
	var req request
	if err := json.Unmarshal(line, &req); err != nil {
		return fmt.Errorf("worker: request: %w", err)
	}
	if req.Size < 1 || req.Size > maxFile || req.Memory < minMemory {
		return fmt.Errorf("worker: request: file of %d bytes in %d MB of memory", req.Size, req.Memory>>20)
	}
	backstop(req.Memory)
	file := make([]byte, req.Size)
	if _, err := io.ReadFull(in, file); err != nil {
		return fmt.Errorf("worker: the file ends early: %w", err)
	}

	out := bufio.NewWriterSize(stdout, 1<<16)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- answer(ctx, req, file, out) }()
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	parent := os.Getppid()
	for {
		select {
		case err := <-done:
			var e *extract.Error
			switch {
			case err == nil:
				err = writeFrame(out, frameDone, nil)
			case errors.As(err, &e):
				err = writeJSON(out, frameError, e)
			}
			if err != nil {
				return err
			}
			return out.Flush()
		case <-tick.C:
			if os.Getppid() != parent {
				return errors.New("the caller is gone")
			}
			if heap() > req.Memory {
				// The answer may be half written; the parent sees the stream end
				// and shows this line.
				return fmt.Errorf("the worker passed %s and stopped", size(req.Memory))
			}
		}
	}
}

// heap returns the bytes of Go memory in use, the WebAssembly memory's whole
// reservation included.
func heap() uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	if sample[0].Value.Kind() != metrics.KindUint64 {
		return 0
	}
	return sample[0].Value.Uint64()
}

func writeJSON[T any](w io.Writer, kind byte, v T) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return writeFrame(w, kind, b)
}

func answer(ctx context.Context, req request, file []byte, out *bufio.Writer) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &extract.Error{Msg: fmt.Sprintf("the reader failed on this file: %v", p)}
		}
	}()
	if req.Op == opGlyphs {
		if err := ready(out); err != nil {
			return err
		}
		return answerGlyphs(req, file, out)
	}
	memory := &linear{bytes: make([]byte, min(req.Memory/2, maxWasm))}
	in, err := load(ctx, req.Cache, memory)
	if err != nil {
		return fmt.Errorf("worker: %w", err)
	}
	if err := ready(out); err != nil {
		return err
	}
	d := &document{in: in, memory: memory}
	if err := d.open(file); err != nil {
		return err
	}
	file = nil // the reader has its own copy
	if err := writeFrame(out, frameCount, []byte(strconv.Itoa(d.count))); err != nil {
		return err
	}
	if err := out.Flush(); err != nil {
		return err
	}
	if req.Op == opInfo {
		return writeJSON(out, frameInfo, d.info())
	}
	pages, err := wanted(req.Pages, d.count)
	if err != nil {
		return err
	}
	for _, n := range pages {
		switch req.Op {
		case opPages:
			var p extract.Page
			if p, err = d.page(n); err == nil {
				err = writeJSON(out, framePage, p)
			}
		case opRender, opScan:
			var img []byte
			var dpi float64
			if img, dpi, err = d.render(n, req.DPI, req.Op == opScan); err == nil {
				if err = writeFrame(out, frameDPI, strconv.AppendFloat(nil, dpi, 'g', -1, 64)); err == nil {
					err = writeFrame(out, frameImage, img)
				}
			}
		default:
			err = fmt.Errorf("worker: request: unknown operation %q", req.Op)
		}
		if err != nil {
			return err
		}
		if err := out.Flush(); err != nil {
			return err
		}
	}
	return nil
}

func ready(out *bufio.Writer) error {
	if err := writeFrame(out, frameReady, nil); err != nil {
		return err
	}
	return out.Flush()
}

// load compiles PDFium, or takes it from the cache, and starts one instance
// that sees no file system.
func load(ctx context.Context, dir string, memory *linear) (pdfium.Pdfium, error) {
	// The module declares 2 GB and is refused under a smaller limit of the
	// runtime, so the limit is set where its memory is handed out. There is one
	// instance, and it has one memory.
	ctx = experimental.WithMemoryAllocator(ctx, experimental.MemoryAllocatorFunc(func(_, _ uint64) experimental.LinearMemory {
		return memory
	}))
	start := func(cache wazero.CompilationCache) (pdfium.Pdfium, error) {
		config := wazero.NewRuntimeConfig().
			// PDFium's own error handling needs exceptions.
			WithCoreFeatures(api.CoreFeaturesV2 | experimental.CoreFeaturesExceptionHandling).
			WithCloseOnContextDone(true)
		if cache != nil {
			config = config.WithCompilationCache(cache)
		}
		pool, err := webassembly.Init(webassembly.Config{
			Context:       ctx,
			MaxTotal:      1,
			FSConfig:      wazero.NewFSConfig(),
			RuntimeConfig: config,
			Stdout:        io.Discard,
			Stderr:        io.Discard,
		})
		if err != nil {
			return nil, err
		}
		return pool.GetInstance(startTime)
	}
	cache := openCache(dir)
	in, err := start(cache)
	if err != nil && cache != nil {
		// A cache that cannot be used must not stop anybody.
		in, err = start(nil)
	}
	return in, err
}

// linear is a WebAssembly memory of fixed bound. It is reserved at once, so that
// growing does not copy; only what is touched becomes resident.
type linear struct {
	bytes   []byte
	refused bool // more was asked for than there is
}

func (m *linear) Reallocate(size uint64) []byte {
	if size > uint64(len(m.bytes)) {
		m.refused = true
		return nil // the module sees that it gets no more
	}
	return m.bytes[:size:size]
}

func (m *linear) Free() {}

// openCache returns nil where there is no folder to keep the compiled code in.
// Entries are written to a temporary file and renamed, so two processes may
// share the folder.
func openCache(dir string) wazero.CompilationCache {
	if dir == "" {
		user, err := os.UserCacheDir()
		if err != nil {
			return nil
		}
		dir = filepath.Join(user, "windtally")
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil
	}
	trial, err := os.CreateTemp(dir, "trial")
	if err != nil {
		return nil
	}
	_ = trial.Close()
	_ = os.Remove(trial.Name()) // an empty file left behind harms nobody
	cache, err := wazero.NewCompilationCacheWithDir(dir)
	if err != nil {
		return nil
	}
	return cache
}

// document is an open file inside the worker.
type document struct {
	in     pdfium.Pdfium
	memory *linear
	doc    references.FPDF_DOCUMENT
	count  int
}

func (d *document) open(file []byte) error {
	opened, err := d.in.OpenDocument(&requests.OpenDocument{File: &file})
	if err != nil {
		return d.openError(err, file)
	}
	d.doc = opened.Document
	count, err := d.in.FPDF_GetPageCount(&requests.FPDF_GetPageCount{Document: d.doc})
	if err != nil {
		return d.readError(0, err)
	}
	d.count = count.PageCount
	claim := claimedPages(file)
	switch {
	case d.count < 1:
		return &extract.Error{Msg: "the file is damaged: it has no page that can be found"}
	case claim > maxPages:
		return &extract.Error{Msg: fmt.Sprintf("the file says that it has %d pages, and %d can be found; the limit is %d", claim, d.count, maxPages)}
	case d.count > maxPages || d.count > len(file):
		// Every page takes some bytes even in a compressed file.
		return &extract.Error{Msg: fmt.Sprintf("the file of %d bytes says that it has %d pages; the limit is %d", len(file), d.count, min(maxPages, len(file)))}
	}
	return nil
}

// claimedPages returns the largest count that the file states of a branch of its
// pages (or bookmarks); PDFium passes over an absurd one in silence.
func claimedPages(file []byte) int {
	most := 0
	key := []byte("/Count")
	for {
		i := bytes.Index(file, key)
		if i < 0 {
			return most
		}
		file = file[i+len(key):]
		rest := bytes.TrimLeft(file[:min(len(file), 40)], " \t\r\n\f\x00")
		n := 0
		for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
			n++
		}
		if v, err := strconv.Atoi(string(rest[:n])); err == nil {
			most = max(most, v)
		} else if n > 0 {
			most = math.MaxInt // longer than any number of pages
		}
	}
}

func (d *document) openError(err error, file []byte) error {
	e := &extract.Error{}
	switch {
	case errors.Is(err, pdfiumerrors.ErrPassword):
		e.Msg = "this PDF needs a password"
		e.Hint = "save a copy without a password, if its owner allows that"
	case errors.Is(err, pdfiumerrors.ErrSecurity):
		e.Msg = "this PDF is encrypted in a way that cannot be read"
	case errors.Is(err, pdfiumerrors.ErrFormat), errors.Is(err, pdfiumerrors.ErrFile):
		if !bytes.Contains(file[:min(len(file), 1024)], []byte("%PDF-")) {
			e.Msg = "this is not a PDF: want %PDF- at its beginning"
		} else {
			e.Msg = "this PDF is damaged beyond repair: its table of objects or its pages cannot be found"
		}
	default:
		return d.readError(0, err)
	}
	return e
}

func (d *document) readError(page int, err error) error {
	msg, _, _ := strings.Cut(err.Error(), "\n") // the rest is a stack of WebAssembly frames
	switch {
	case d.memory.refused:
		msg = fmt.Sprintf("needs more than %d MB of memory to read, which is the limit: it is damaged or made to do harm", len(d.memory.bytes)>>20)
	case errors.Is(err, pdfiumerrors.ErrPage):
		msg = "the page cannot be found in the file, or is damaged"
	case strings.Contains(msg, "wasm error"), strings.Contains(msg, "panic occurred"):
		msg = "the reader gave up on this file; it is damaged (" + msg + ")"
	default:
		msg = "cannot be read: " + msg
	}
	return &extract.Error{Page: page, Msg: msg}
}

func (d *document) info() Info {
	info := Info{Pages: d.count}
	if r, err := d.in.FPDF_GetSecurityHandlerRevision(&requests.FPDF_GetSecurityHandlerRevision{Document: d.doc}); err == nil {
		info.Encrypted = r.SecurityHandlerRevision > 0
	}
	if v, err := d.in.FPDF_DocumentHasValidCrossReferenceTable(&requests.FPDF_DocumentHasValidCrossReferenceTable{Document: d.doc}); err == nil {
		info.Repaired = !v.DocumentHasValidCrossReferenceTable
	}
	if t, err := d.in.FPDF_GetMetaText(&requests.FPDF_GetMetaText{Document: d.doc, Tag: "Title"}); err == nil {
		info.Title = strings.TrimSpace(strings.ToValidUTF8(t.Value, "\uFFFD"))
	}
	return info
}

// loadPage opens a page and finds its frame.
func (d *document) loadPage(n int) (references.FPDF_PAGE, frame, error) {
	loaded, err := d.in.FPDF_LoadPage(&requests.FPDF_LoadPage{Document: d.doc, Index: n - 1})
	if err != nil {
		return "", frame{}, d.readError(n, err)
	}
	ref := requests.Page{ByReference: &loaded.Page}
	box, err := d.in.FPDF_GetPageBoundingBox(&requests.FPDF_GetPageBoundingBox{Page: ref})
	if err != nil {
		return "", frame{}, d.readError(n, err)
	}
	rot, err := d.in.FPDFPage_GetRotation(&requests.FPDFPage_GetRotation{Page: ref})
	if err != nil {
		return "", frame{}, d.readError(n, err)
	}
	f := frame{left: float64(box.Rect.Left), bottom: float64(box.Rect.Bottom), right: float64(box.Rect.Right), top: float64(box.Rect.Top),
		turn: int(rot.PageRotation) % 4 * 90}
	w, h := f.size()
	if !(w > 0 && h > 0 && w <= maxSide && h <= maxSide) {
		return "", frame{}, &extract.Error{Page: n, Msg: fmt.Sprintf("the page is %g x %g points; the limit is %d x %d", w, h, maxSide, maxSide)}
	}
	return loaded.Page, f, nil
}

func (d *document) closePage(p references.FPDF_PAGE) {
	_, _ = d.in.FPDF_ClosePage(&requests.FPDF_ClosePage{Page: p}) // nothing depends on it: the process ends soon
}

func (d *document) page(n int) (extract.Page, error) {
	ref, f, err := d.loadPage(n)
	if err != nil {
		return extract.Page{}, err
	}
	defer d.closePage(ref)
	chars, err := d.chars(ref)
	if err != nil {
		return extract.Page{}, d.readError(n, err)
	}
	w, h := f.size()
	p := extract.Page{Number: n, Width: two(w), Height: two(h), Words: words(chars, f)}
	g := gather{d: d, frame: f}
	if err := g.page(ref); err != nil {
		return extract.Page{}, d.readError(n, err)
	}
	p.Rules, p.Images = g.rules, g.images
	return p, nil
}

func (d *document) chars(page references.FPDF_PAGE) ([]char, error) {
	text, err := d.in.FPDFText_LoadPage(&requests.FPDFText_LoadPage{Page: requests.Page{ByReference: &page}})
	if err != nil {
		return nil, err
	}
	defer func() {
		_, _ = d.in.FPDFText_ClosePage(&requests.FPDFText_ClosePage{TextPage: text.TextPage})
	}()
	count, err := d.in.FPDFText_CountChars(&requests.FPDFText_CountChars{TextPage: text.TextPage})
	if err != nil {
		return nil, err
	}
	chars := make([]char, 0, count.Count)
	for i := range count.Count {
		c, err := d.char(text.TextPage, i)
		if err != nil {
			return nil, fmt.Errorf("character %d of %d: %w", i+1, count.Count, err)
		}
		chars = append(chars, c)
	}
	return chars, nil
}

func (d *document) char(page references.FPDF_TEXTPAGE, i int) (char, error) {
	code, err := d.in.FPDFText_GetUnicode(&requests.FPDFText_GetUnicode{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	made, err := d.in.FPDFText_IsGenerated(&requests.FPDFText_IsGenerated{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	if made.IsGenerated {
		return char{space: true, made: true}, nil
	}
	bad, err := d.in.FPDFText_HasUnicodeMapError(&requests.FPDFText_HasUnicodeMapError{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	hyphen, err := d.in.FPDFText_IsHyphen(&requests.FPDFText_IsHyphen{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	var c char
	c.text, c.space = printed(rune(uint32(code.Unicode)), bad.HasUnicodeMapError, hyphen.IsHyphen)
	if c.space {
		return c, nil
	}
	// The loose box runs from origin to origin and from descent to ascent, like
	// that of other readers; the tight one hugs the ink and is empty for the
	// invisible letters of a scan.
	box, err := d.in.FPDFText_GetLooseCharBox(&requests.FPDFText_GetLooseCharBox{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	c.x0, c.x1 = order(float64(box.Rect.Left), float64(box.Rect.Right))
	c.y0, c.y1 = order(float64(box.Rect.Bottom), float64(box.Rect.Top))
	origin, err := d.in.FPDFText_GetCharOrigin(&requests.FPDFText_GetCharOrigin{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	c.ox, c.oy = origin.X, origin.Y
	font, err := d.in.FPDFText_GetFontSize(&requests.FPDFText_GetFontSize{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	m, err := d.in.FPDFText_GetMatrix(&requests.FPDFText_GetMatrix{TextPage: page, Index: i})
	if err != nil {
		return char{}, err
	}
	a, b := float64(m.Matrix.A), float64(m.Matrix.B)
	cc, dd := float64(m.Matrix.C), float64(m.Matrix.D)
	if font.FontSize < 0 {
		a, b = -a, -b
	}
	c.angle = math.Atan2(b, a)
	c.em = math.Abs(font.FontSize) * math.Hypot(a, b)
	c.high = math.Abs(font.FontSize) * math.Hypot(cc, dd)
	return c, nil
}

func order(a, b float64) (float64, float64) { return math.Min(a, b), math.Max(a, b) }

// gather walks the objects of a page for rules and images.
type gather struct {
	d      *document
	frame  frame
	rules  []extract.Rule
	images int
	points int

	pictured bool // whether pictures are wanted, and nothing else
	pictures []picture
}

// picture is an image on a page: where a person sees it, in points, and how many pixels
// it has that way up.
type picture struct {
	box           extract.Rect
	width, height float64
}

func (g *gather) picture(obj references.FPDF_PAGEOBJECT, m matrix) error {
	own, err := g.matrix(obj)
	if err != nil {
		return err
	}
	m = own.then(m)
	size, err := g.d.in.FPDFImageObj_GetImagePixelSize(&requests.FPDFImageObj_GetImagePixelSize{ImageObject: obj})
	if err != nil {
		return nil // a broken image is drawn as far as it goes
	}
	x0, y0 := m.point(0, 0)
	x1, y1 := m.point(1, 1)
	p := picture{box: g.frame.rect(x0, y0, x1, y1), width: float64(size.Width), height: float64(size.Height)}
	level, upright := math.Abs(m.a)+math.Abs(m.d), math.Abs(m.b)+math.Abs(m.c)
	switch {
	case math.Min(level, upright) > 0.001*math.Max(level, upright):
		return nil // askew: its pixels cannot be kept
	case (upright > level) != (g.frame.turn == 90 || g.frame.turn == 270):
		p.width, p.height = p.height, p.width
	}
	g.pictures = append(g.pictures, p)
	return nil
}

func (g *gather) page(page references.FPDF_PAGE) error {
	ref := requests.Page{ByReference: &page}
	count, err := g.d.in.FPDFPage_CountObjects(&requests.FPDFPage_CountObjects{Page: ref})
	if err != nil {
		return err
	}
	for i := range count.Count {
		obj, err := g.d.in.FPDFPage_GetObject(&requests.FPDFPage_GetObject{Page: ref, Index: i})
		if err != nil {
			return err
		}
		if err := g.object(obj.PageObject, matrix{a: 1, d: 1}, 0); err != nil {
			return err
		}
	}
	return nil
}

func (g *gather) object(obj references.FPDF_PAGEOBJECT, m matrix, depth int) error {
	kind, err := g.d.in.FPDFPageObj_GetType(&requests.FPDFPageObj_GetType{PageObject: obj})
	if err != nil {
		return err
	}
	switch kind.Type {
	case enums.FPDF_PAGEOBJ_IMAGE:
		g.images++
		if g.pictured {
			return g.picture(obj, m)
		}
	case enums.FPDF_PAGEOBJ_PATH:
		if g.pictured {
			return nil
		}
		return g.path(obj, m)
	case enums.FPDF_PAGEOBJ_FORM:
		if depth >= maxNest {
			return nil
		}
		own, err := g.matrix(obj)
		if err != nil {
			return err
		}
		count, err := g.d.in.FPDFFormObj_CountObjects(&requests.FPDFFormObj_CountObjects{PageObject: obj})
		if err != nil {
			return err
		}
		for i := range count.Count {
			child, err := g.d.in.FPDFFormObj_GetObject(&requests.FPDFFormObj_GetObject{PageObject: obj, Index: uint64(i)})
			if err != nil {
				return err
			}
			if err := g.object(child.PageObject, own.then(m), depth+1); err != nil {
				return err
			}
		}
	}
	return nil
}

func (g *gather) matrix(obj references.FPDF_PAGEOBJECT) (matrix, error) {
	r, err := g.d.in.FPDFPageObj_GetMatrix(&requests.FPDFPageObj_GetMatrix{PageObject: obj})
	if err != nil {
		return matrix{}, err
	}
	return matrix{float64(r.Matrix.A), float64(r.Matrix.B), float64(r.Matrix.C), float64(r.Matrix.D), float64(r.Matrix.E), float64(r.Matrix.F)}, nil
}

func (g *gather) path(obj references.FPDF_PAGEOBJECT, m matrix) error {
	if len(g.rules) >= maxRules || g.points >= maxPoints {
		return nil
	}
	mode, err := g.d.in.FPDFPath_GetDrawMode(&requests.FPDFPath_GetDrawMode{PageObject: obj})
	if err != nil {
		return err
	}
	filled, stroked := mode.FillMode != enums.FPDF_FILLMODE_NONE, mode.Stroke
	if filled {
		// White on the page is a patch, not a rule. A fill whose colour is not
		// plain, such as a pattern, has no answer here and counts as seen.
		if c, err := g.d.in.FPDFPageObj_GetFillColor(&requests.FPDFPageObj_GetFillColor{PageObject: obj}); err == nil {
			filled = c.FillColor.A > 0 && (c.FillColor.R < 250 || c.FillColor.G < 250 || c.FillColor.B < 250)
		}
	}
	if !filled && !stroked {
		return nil
	}
	own, err := g.matrix(obj)
	if err != nil {
		return err
	}
	m = own.then(m)
	count, err := g.d.in.FPDFPath_CountSegments(&requests.FPDFPath_CountSegments{PageObject: obj})
	if err != nil {
		return err
	}
	var o outline
	flush := func() {
		g.rules = append(g.rules, o.rules(filled, stroked)...)
		o = outline{}
	}
	for i := range count.Count {
		if g.points++; g.points >= maxPoints {
			break
		}
		seg, err := g.d.in.FPDFPath_GetPathSegment(&requests.FPDFPath_GetPathSegment{PageObject: obj, Index: i})
		if err != nil {
			return err
		}
		kind, err := g.d.in.FPDFPathSegment_GetType(&requests.FPDFPathSegment_GetType{PathSegment: seg.PathSegment})
		if err != nil {
			return err
		}
		p, err := g.d.in.FPDFPathSegment_GetPoint(&requests.FPDFPathSegment_GetPoint{PathSegment: seg.PathSegment})
		if err != nil {
			return err
		}
		closed, err := g.d.in.FPDFPathSegment_GetClose(&requests.FPDFPathSegment_GetClose{PathSegment: seg.PathSegment})
		if err != nil {
			return err
		}
		if kind.Type == enums.FPDF_SEGMENT_MOVETO {
			flush()
		}
		if kind.Type == enums.FPDF_SEGMENT_BEZIERTO {
			o.curved = true
		}
		x, y := m.point(float64(p.X), float64(p.Y))
		x, y = g.frame.point(x, y)
		o.points = append(o.points, point{x, y})
		o.closed = o.closed || closed.IsClose
	}
	flush()
	return nil
}

// raster is a grid of pixels on a page: scale is pixels a point, shift where the page's
// corner lies.
type raster struct {
	scaleX, scaleY, shiftX, shiftY float64
	width, height                  int
}

const (
	// leastFilled is the share of a page that a picture fills which is its scan.
	leastFilled = 0.5
	// finest is the resolution, in dots an inch, beyond which a scan is drawn smaller:
	// figures gain nothing from more.
	finest, coarser = 450.0, 300.0
	// leastScan is what no scan of print is below.
	leastScan = 60.0
)

// scanned returns the raster of the picture that fills a page, the finest where several
// do.
func (d *document) scanned(page references.FPDF_PAGE, f frame) (raster, bool) {
	g := gather{d: d, frame: f, pictured: true}
	if err := g.page(page); err != nil {
		return raster{}, false
	}
	w, h := f.size()
	var best raster
	for _, p := range g.pictures {
		if p.box.Width()*p.box.Height() < leastFilled*w*h {
			continue
		}
		r := raster{scaleX: p.width / p.box.Width(), scaleY: p.height / p.box.Height()}
		if n := math.Round(72 * r.scaleX / coarser); 72*r.scaleX > finest {
			r.scaleX, r.scaleY = r.scaleX/n, r.scaleY/n
		}
		// Pixels that are not square would be seen so.
		if r.scaleX <= best.scaleX || 72*r.scaleX < leastScan || math.Abs(r.scaleX/r.scaleY-1) > 0.02 {
			continue
		}
		r.shiftX = math.Round(p.box.X0*r.scaleX) - p.box.X0*r.scaleX
		r.shiftY = math.Round(p.box.Y0*r.scaleY) - p.box.Y0*r.scaleY
		if pw, ph := math.Ceil(w*r.scaleX-1e-3), math.Ceil(h*r.scaleY-1e-3); pw*ph <= maxPixels {
			r.width, r.height = max(int(pw), 1), max(int(ph), 1)
			best = r
		}
	}
	return best, best.width > 0
}

// render draws a page on white, as a person sees it: at dpi or, where a scan is wanted
// and fills the page, on its pixels.
func (d *document) render(n int, dpi float64, scan bool) (image []byte, used float64, err error) {
	ref, f, err := d.loadPage(n)
	if err != nil {
		return nil, 0, err
	}
	defer d.closePage(ref)
	r, ok := raster{}, false
	if scan {
		r, ok = d.scanned(ref, f)
	}
	if ok {
		dpi = 72 * (r.scaleX + r.scaleY) / 2
	} else {
		w, h := f.size()
		pw, ph := math.Ceil(w*dpi/72-1e-6), math.Ceil(h*dpi/72-1e-6)
		if pw*ph > maxPixels {
			return nil, 0, &extract.Error{Page: n, Msg: fmt.Sprintf("at %g dpi the page has %.0f x %.0f = %.0f million pixels; the limit is %d million", dpi, pw, ph, pw*ph/1e6, maxPixels/1_000_000)}
		}
		r.width, r.height = max(int(pw), 1), max(int(ph), 1)
	}
	width, height := r.width, r.height
	bmp, err := d.in.FPDFBitmap_Create(&requests.FPDFBitmap_Create{Width: width, Height: height})
	if err != nil {
		return nil, 0, d.readError(n, err)
	}
	if _, err := d.in.FPDFBitmap_FillRect(&requests.FPDFBitmap_FillRect{Bitmap: bmp.Bitmap, Width: width, Height: height, Color: 0xFFFFFFFF}); err != nil {
		return nil, 0, d.readError(n, err)
	}
	const flags = enums.FPDF_RENDER_FLAG_ANNOT | enums.FPDF_RENDER_FLAG_RENDER_LIMITEDIMAGECACHE
	if ok {
		_, err = d.in.FPDF_RenderPageBitmapWithMatrix(&requests.FPDF_RenderPageBitmapWithMatrix{
			Bitmap: bmp.Bitmap, Page: requests.Page{ByReference: &ref}, Flags: flags,
			Matrix:   structs.FPDF_FS_MATRIX{A: float32(r.scaleX), D: float32(r.scaleY), E: float32(r.shiftX), F: float32(r.shiftY)},
			Clipping: structs.FPDF_FS_RECTF{Right: float32(width), Bottom: float32(height)},
		})
	} else {
		_, err = d.in.FPDF_RenderPageBitmap(&requests.FPDF_RenderPageBitmap{
			Bitmap: bmp.Bitmap, Page: requests.Page{ByReference: &ref}, SizeX: width, SizeY: height, Flags: flags,
		})
	}
	if err != nil {
		return nil, 0, d.readError(n, err)
	}
	stride, err := d.in.FPDFBitmap_GetStride(&requests.FPDFBitmap_GetStride{Bitmap: bmp.Bitmap})
	if err != nil {
		return nil, 0, d.readError(n, err)
	}
	buf, err := d.in.FPDFBitmap_GetBuffer(&requests.FPDFBitmap_GetBuffer{Bitmap: bmp.Bitmap})
	if err != nil {
		return nil, 0, d.readError(n, err)
	}
	img := seenImage(buf.Buffer, width, height, stride.Stride)
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&out, img); err != nil {
		return nil, 0, d.readError(n, err)
	}
	return out.Bytes(), dpi, nil
}

// seenImage turns pixels of blue, green, red and one unused byte into an image.
func seenImage(buf []byte, width, height, stride int) image.Image {
	grey := true
scan:
	for y := range height {
		row := buf[y*stride : y*stride+4*width]
		for x := 0; x < len(row); x += 4 {
			if row[x] != row[x+1] || row[x] != row[x+2] {
				grey = false
				break scan
			}
		}
	}
	bounds := image.Rect(0, 0, width, height)
	if grey {
		img := image.NewGray(bounds)
		for y := range height {
			row := buf[y*stride : y*stride+4*width]
			for x := range width {
				img.Pix[y*img.Stride+x] = row[4*x]
			}
		}
		return img
	}
	img := image.NewNRGBA(bounds)
	for y := range height {
		row := buf[y*stride : y*stride+4*width]
		for x := range width {
			p := img.Pix[y*img.Stride+4*x:]
			p[0], p[1], p[2], p[3] = row[4*x+2], row[4*x+1], row[4*x], 255
		}
	}
	return img
}
