package pdf

import (
	"encoding/binary"
	"fmt"
	"io"
)

// A request is one line of JSON on the worker's standard input, followed by the
// bytes of the file. The answer on standard output is a sequence of frames:
// one byte of kind, four bytes of length (big endian), payload.
type request struct {
	Op     string
	Size   int64   // of the file that follows
	Pages  []int   // from 1; null means all
	DPI    float64 // render and scan only
	Cache  string  // folder of the compilation cache; "" for the user's
	Memory uint64  // bytes
}

const (
	opInfo   = "info"
	opPages  = "pages"
	opRender = "render"
	opScan   = "scan"   // as render, on the pixels of the picture that fills the page
	opGlyphs = "glyphs" // the second reader of a self-check
)

const (
	frameReady  byte = 'r' // the reader is loaded; the call's clock begins
	frameCount  byte = 'n' // number of pages, decimal
	frameInfo   byte = 'i' // Info as JSON
	framePage   byte = 'p' // extract.Page as JSON
	frameImage  byte = 'g' // PNG
	frameDPI    byte = 'u' // resolution of the image, decimal
	frameGlyphs byte = 't' // []glyph as JSON
	frameError  byte = 'e' // extract.Error as JSON; ends the answer
	frameDone   byte = 'd' // ends the answer
)

// maxRequest bounds the line of the request; the numbers of maxPages pages are far
// shorter.
const maxRequest = 1 << 20

// maxFrame bounds a frame: a page image of maxPixels that does not compress.
const maxFrame = 4 * maxPixels

func writeFrame(w io.Writer, kind byte, payload []byte) error {
	if len(payload) > maxFrame {
		return fmt.Errorf("an answer of %d MB is too long; the limit is %d MB", len(payload)>>20, maxFrame>>20)
	}
	head := [5]byte{kind}
	binary.BigEndian.PutUint32(head[1:], uint32(len(payload)))
	if _, err := w.Write(head[:]); err != nil {
		return err
	}
	_, err := w.Write(payload)
	return err
}

// readFrame returns io.EOF only where a stream ends between two frames.
func readFrame(r io.Reader) (byte, []byte, error) {
	var head [5]byte
	if _, err := io.ReadFull(r, head[:1]); err != nil {
		return 0, nil, err
	}
	if _, err := io.ReadFull(r, head[1:]); err != nil {
		return 0, nil, io.EOF
	}
	n := binary.BigEndian.Uint32(head[1:])
	if n > maxFrame {
		return 0, nil, fmt.Errorf("a frame of %d bytes is beyond the limit of %d", n, maxFrame)
	}
	payload := make([]byte, n)
	if _, err := io.ReadFull(r, payload); err != nil {
		return 0, nil, io.EOF
	}
	return head[0], payload, nil
}
