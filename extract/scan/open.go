package scan

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/image/tiff"

	"windtally/extract"
)

// Limits on what is opened. They hold a page of A3 at 600 dpi and more, and keep
// decoding and preparing under a gigabyte.
const (
	maxFile   = 200 << 20  // bytes of a file
	maxPixels = 60_000_000 // of a page
	maxSide   = 30_000     // pixels
	maxFrames = 10_000     // pages of a TIFF file
	// maxDecoded bounds what a decoder holds, in bytes: pixels with 16 bits a channel
	// and progressive JPEG take several times what a plain page takes.
	maxDecoded = 500 << 20
)

// The least and the greatest resolution that is believed.
const minDPI, maxDPI = 50, 2400

// want ends every message on a file that is no page image.
const want = "want a page image as PNG, JPEG or TIFF"

// File is an image file with one page or, as TIFF, with several.
type File struct {
	// Frames is the number of pages. Thumbnails and masks that a TIFF file carries
	// beside its pages are not counted.
	Frames int

	path   string
	format format
	ifds   []uint32 // offset of each page of a TIFF file
}

type format int

const (
	formatPNG format = iota + 1
	formatJPEG
	formatTIFF
)

// Open looks at the head of an image file; no pixels are decoded yet. Errors name
// the file without its folder, say what was read, and what would be right.
func Open(file string) (*File, error) {
	name := filepath.Base(file)
	r, err := os.Open(file)
	if err != nil {
		var pe *os.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return nil, &extract.Error{File: name, Msg: fmt.Sprintf("cannot be opened: %v", err)}
	}
	defer r.Close()
	st, err := r.Stat()
	if err != nil {
		return nil, &extract.Error{File: name, Msg: fmt.Sprintf("cannot be opened: %v", err)}
	}
	if !st.Mode().IsRegular() {
		return nil, &extract.Error{File: name, Msg: "not a regular file: " + want}
	}
	if st.Size() > maxFile {
		return nil, &extract.Error{File: name,
			Msg: fmt.Sprintf("the file has %d bytes: want at most %d", st.Size(), maxFile)}
	}
	f := &File{path: file, Frames: 1}
	head := make([]byte, 32)
	n, err := r.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return nil, &extract.Error{File: name, Msg: fmt.Sprintf("cannot be read: %v", err)}
	}
	if f.format, err = recognize(head[:n]); err != nil {
		return nil, &extract.Error{File: name, Msg: err.Error()}
	}
	if f.format == formatTIFF {
		if f.ifds, err = tiffPages(r); err != nil {
			return nil, &extract.Error{File: name, Msg: err.Error()}
		}
		f.Frames = len(f.ifds)
	} else if _, err := lookAt(r, f.format, 0); err != nil {
		return nil, &extract.Error{File: name, Msg: err.Error()}
	}
	return f, nil
}

// Frame decodes page n, counted from 1, turned as its file says that it is shown.
// dpi is 0 where the file gives no resolution or an absurd one.
func (f *File) Frame(n int) (img image.Image, dpi float64, err error) {
	name := filepath.Base(f.path)
	fail := func(err error) (image.Image, float64, error) {
		e := &extract.Error{File: name, Msg: err.Error()}
		if f.Frames > 1 {
			e.Page = n
		}
		return nil, 0, e
	}
	if n < 1 || n > f.Frames {
		return nil, 0, &extract.Error{File: name, Page: n,
			Msg: fmt.Sprintf("the file has no such page: want 1 to %d", f.Frames)}
	}
	r, err := os.Open(f.path)
	if err != nil {
		return fail(err)
	}
	defer r.Close()
	var ifd uint32
	if f.format == formatTIFF {
		ifd = f.ifds[n-1]
	}
	img, dpi, err = decode(r, f.format, ifd)
	if err != nil {
		return fail(err)
	}
	return img, dpi, nil
}

// Decode decodes one page image held in memory, for example a rendered page; name
// stands in errors. Of a TIFF file it is the first page.
func Decode(data []byte, name string) (image.Image, float64, error) {
	fail := func(err error) (image.Image, float64, error) {
		return nil, 0, &extract.Error{File: name, Msg: err.Error()}
	}
	if len(data) > maxFile {
		return fail(fmt.Errorf("the image has %d bytes: want at most %d", len(data), maxFile))
	}
	format, err := recognize(data[:min(32, len(data))])
	if err != nil {
		return fail(err)
	}
	r := bytes.NewReader(data)
	var ifd uint32
	if format == formatTIFF {
		ifds, err := tiffPages(r)
		if err != nil {
			return fail(err)
		}
		ifd = ifds[0]
	}
	img, dpi, err := decode(r, format, ifd)
	if err != nil {
		return fail(err)
	}
	return img, dpi, nil
}

// recognize tells the format from the first bytes.
func recognize(head []byte) (format, error) {
	is := func(at int, s string) bool {
		return len(head) >= at+len(s) && string(head[at:at+len(s)]) == s
	}
	switch {
	case len(head) == 0:
		return 0, errors.New("the file is empty: " + want)
	case is(0, "\x89PNG\r\n\x1a\n"):
		return formatPNG, nil
	case is(0, "\xff\xd8\xff"):
		return formatJPEG, nil
	case is(0, "II*\x00"), is(0, "MM\x00*"):
		return formatTIFF, nil
	case is(0, "II+\x00"), is(0, "MM\x00+"):
		return 0, errors.New("BigTIFF is not read: want classic TIFF, PNG or JPEG")
	case is(0, "GIF8"):
		return 0, errors.New("GIF is not read, for it may be animated and holds few greys: want the scan itself as PNG, JPEG or TIFF")
	case is(0, "RIFF") && is(8, "WEBP"):
		return 0, errors.New("WebP is not read: want the scan itself as PNG, JPEG or TIFF")
	case is(0, "BM"):
		return 0, errors.New("a Windows bitmap is not read: " + want)
	case is(0, "\x00\x00\x00\x0cjP  "), is(0, "\xff\x4f\xff\x51"):
		return 0, errors.New("JPEG 2000 is not read: " + want)
	case is(4, "ftyp"):
		return 0, errors.New("HEIF or AVIF is not read: " + want)
	case is(0, "%PDF"):
		return 0, errors.New("this is a PDF file, not an image: want it given as a paged source")
	}
	return 0, fmt.Errorf("not an image, it begins with %q: %s", head[:min(8, len(head))], want)
}

// shape is what the head of an image says.
type shape struct {
	w, h   int
	held   int64 // bytes that its decoder will hold
	dpi    float64
	orient int // 1 to 8 as in TIFF 6.0, tag 274; 0 where it is not given
}

func (s shape) check() error {
	switch {
	case s.w <= 0 || s.h <= 0:
		return fmt.Errorf("the image claims to have %d x %d pixels: want at least 1 x 1", s.w, s.h)
	case s.w > maxSide || s.h > maxSide:
		return fmt.Errorf("the image claims to have %d x %d pixels: want sides of at most %d", s.w, s.h, maxSide)
	case int64(s.w)*int64(s.h) > maxPixels:
		return fmt.Errorf("the image claims to have %d x %d pixels: want at most %d in all; a page at 600 dpi has about 34 million", s.w, s.h, maxPixels)
	case s.held > maxDecoded:
		return fmt.Errorf("the image of %d x %d pixels would take %d bytes to decode: want at most %d, so 8 bits a channel and, as JPEG, not progressive", s.w, s.h, s.held, maxDecoded)
	}
	return nil
}

// lookAt reads the head of an image and refuses what is out of bounds.
func lookAt(r io.ReaderAt, f format, ifd uint32) (s shape, err error) {
	switch f {
	case formatPNG:
		s, err = lookAtPNG(r)
	case formatJPEG:
		s, err = lookAtJPEG(r)
	default:
		s, err = lookAtTIFF(r, ifd)
	}
	if err == nil {
		err = s.check()
	}
	return s, err
}

// decode decodes an image whose head has been found sound.
func decode(r io.ReaderAt, f format, ifd uint32) (img image.Image, dpi float64, err error) {
	s, err := lookAt(r, f, ifd)
	if err != nil {
		return nil, 0, err
	}
	defer func() {
		// The decoders are not ours; what they do on a broken file must not end us.
		if p := recover(); p != nil {
			img, dpi, err = nil, 0, fmt.Errorf("the image is broken, its decoder gave up: %v", p)
		}
	}()
	kind := ""
	section := bufio.NewReaderSize(io.NewSectionReader(r, 0, maxFile), 1<<16)
	switch f {
	case formatPNG:
		kind = "PNG"
		img, err = png.Decode(section)
	case formatJPEG:
		kind = "JPEG"
		img, err = jpeg.Decode(section)
	default:
		kind = "TIFF"
		img, err = tiff.Decode(&tiffView{r: r, ifd: ifd})
	}
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF),
		// The decoders' own words for data that end within a row or a code.
		err != nil && (strings.Contains(err.Error(), "not enough pixel data") ||
			strings.Contains(err.Error(), "short Huffman data") || strings.Contains(err.Error(), "unexpected EOF")):
		return nil, 0, fmt.Errorf("the %s data end before the %d x %d pixels are complete: want the whole file", kind, s.w, s.h)
	case err != nil:
		return nil, 0, fmt.Errorf("the %s data are broken: %v; want a sound file of 8 bits a channel, grey, RGB or two-level", kind, err)
	}
	if b := img.Bounds(); b.Dx() != s.w || b.Dy() != s.h {
		return nil, 0, fmt.Errorf("the %s head claims %d x %d pixels, its data give %d x %d", kind, s.w, s.h, b.Dx(), b.Dy())
	}
	return orient(img, s.orient), s.dpi, nil
}

// believed returns the resolution of two axes in dots per inch, 0 where it is absurd
// or the pixels are not square.
func believed(x, y float64) float64 {
	ok := func(v float64) bool { return v >= minDPI && v <= maxDPI }
	if !ok(x) || !ok(y) || math.Abs(x-y) > 0.05*math.Max(x, y) {
		return 0
	}
	return math.Sqrt(x * y)
}

const metersPerInch = 0.0254

// lookAtPNG reads the chunks before the first data (ISO/IEC 15948, clauses 5 and 11).
func lookAtPNG(r io.ReaderAt) (shape, error) {
	var s shape
	var head [8]byte
	at := int64(8)
	for range 10_000 {
		if _, err := r.ReadAt(head[:], at); err != nil {
			return s, errors.New("the PNG file ends before its data begin: want the whole file")
		}
		n := int64(binary.BigEndian.Uint32(head[:4]))
		body := make([]byte, min(n, 16))
		if _, err := r.ReadAt(body, at+8); err != nil && len(body) > 0 {
			return s, errors.New("the PNG file ends before its data begin: want the whole file")
		}
		kind := string(head[4:])
		if at == 8 && (kind != "IHDR" || n != 13) {
			return s, fmt.Errorf("the PNG file begins with chunk %q of %d bytes: want IHDR of 13", kind, n)
		}
		switch kind {
		case "IHDR":
			s.w, s.h = side(binary.BigEndian.Uint32(body)), side(binary.BigEndian.Uint32(body[4:]))
			channels := int64(1)
			switch body[9] {
			case 2, 6: // RGB; decoded with four
				channels = 4
			case 4:
				channels = 4
			}
			depth := int64(1)
			if body[8] == 16 {
				depth = 2
			}
			s.held = int64(s.w) * int64(s.h) * channels * depth
			if body[12] != 0 { // interlaced: the passes beside the whole
				s.held = s.held * 3 / 2
			}
		case "acTL":
			return s, errors.New("an animated PNG is not read: want the page as one still image")
		case "pHYs":
			if n == 9 && body[8] == 1 {
				s.dpi = believed(float64(binary.BigEndian.Uint32(body))*metersPerInch,
					float64(binary.BigEndian.Uint32(body[4:]))*metersPerInch)
			}
		case "IDAT":
			return s, nil
		case "IEND":
			return s, errors.New("the PNG file has no data: want an IDAT chunk before IEND")
		}
		at += 12 + n
	}
	return s, errors.New("the PNG file has more than 10000 chunks before its data: want a plain image")
}

// side returns a claimed side as an int that check refuses when it is too large.
func side(v uint32) int { return int(min(v, math.MaxInt32)) }

// lookAtJPEG reads the segments up to the frame header (ITU-T T.81, annex B; JFIF
// 1.02; Exif 2.3 for resolution and orientation).
func lookAtJPEG(r io.ReaderAt) (shape, error) {
	var s shape
	short := errors.New("the JPEG file ends before its frame header: want the whole file")
	at := int64(2)
	var exif shape
	for range 10_000 {
		var head [4]byte
		if _, err := r.ReadAt(head[:], at); err != nil {
			return s, short
		}
		if head[0] != 0xff {
			return s, fmt.Errorf("the JPEG file has %#02x at byte %d: want a marker", head[0], at)
		}
		m := head[1]
		if m == 0xff || m == 0x01 || m >= 0xd0 && m <= 0xd7 { // fill and lone markers
			at++
			if m != 0xff {
				at++
			}
			continue
		}
		if m == 0xd9 || m == 0xda {
			return s, errors.New("the JPEG file has no frame header before its data: want a whole image")
		}
		n := int64(head[2])<<8 | int64(head[3])
		if n < 2 {
			return s, fmt.Errorf("the JPEG file has a segment of %d bytes at byte %d: want at least 2", n, at)
		}
		body := make([]byte, n-2)
		if _, err := r.ReadAt(body, at+4); err != nil && len(body) > 0 {
			return s, short
		}
		switch {
		case m == 0xe0 && len(body) >= 12 && string(body[:5]) == "JFIF\x00":
			x, y := float64(body[8])*256+float64(body[9]), float64(body[10])*256+float64(body[11])
			switch body[7] {
			case 1:
				s.dpi = believed(x, y)
			case 2:
				s.dpi = believed(x*2.54, y*2.54)
			}
		case m == 0xe1 && len(body) > 14 && string(body[:6]) == "Exif\x00\x00":
			exif = lookAtExif(body[6:])
		case m >= 0xc0 && m <= 0xcf && m != 0xc4 && m != 0xc8 && m != 0xcc:
			if len(body) < 6 {
				return s, short
			}
			s.h, s.w = int(body[1])<<8|int(body[2]), int(body[3])<<8|int(body[4])
			channels := int64(body[5])
			s.held = int64(s.w) * int64(s.h) * channels
			if m == 0xc2 { // progressive: four bytes a coefficient beside the pixels
				s.held *= 5
			}
			s.orient = exif.orient
			if s.dpi == 0 {
				s.dpi = exif.dpi
			}
			return s, nil
		}
		at += 2 + n
	}
	return s, errors.New("the JPEG file has more than 10000 segments before its frame header: want a plain image")
}

// lookAtExif reads resolution and orientation from the first directory of an Exif
// block, which is laid out as TIFF. A broken block says nothing.
func lookAtExif(b []byte) shape {
	r := bytes.NewReader(b)
	order, first, err := tiffHead(r)
	if err != nil {
		return shape{}
	}
	d, _, err := readIFD(r, order, first)
	if err != nil {
		return shape{}
	}
	return shape{dpi: d.dpi(), orient: int(d.number(tagOrientation, 0))}
}

// orient turns and mirrors the image as the orientation of its file says.
func orient(img image.Image, how int) image.Image {
	if how < 2 || how > 8 {
		return img
	}
	g := grey(img)
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	ow, oh := w, h
	if how >= 5 {
		ow, oh = h, w
	}
	out := image.NewGray(image.Rect(0, 0, ow, oh))
	for y := 0; y < oh; y++ {
		for x := 0; x < ow; x++ {
			var sx, sy int
			switch how {
			case 2:
				sx, sy = w-1-x, y
			case 3:
				sx, sy = w-1-x, h-1-y
			case 4:
				sx, sy = x, h-1-y
			case 5:
				sx, sy = y, x
			case 6: // shown turned 90 degrees clockwise
				sx, sy = y, h-1-x
			case 7:
				sx, sy = w-1-y, h-1-x
			case 8:
				sx, sy = w-1-y, x
			}
			out.Pix[y*out.Stride+x] = g[sy*w+sx]
		}
	}
	return out
}
