package ocr

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"windtally/extract/scan/cache"
)

// answerForm goes into each key: another figure where answers are kept otherwise. What
// is made of an answer is not kept, so a change of its reader needs none.
const answerForm = "tesseract answer 1"

var dataFolder = regexp.MustCompile(`List of available languages in "(.+)"`)

// identify returns a digest over what decides what the engine reads: what it tells of
// itself and its libraries, its binary, and its data.
func identify(path, told, listed string) (string, error) {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q %q\n", told, os.Getenv("LD_LIBRARY_PATH"), listed)
	folder := dataFolder.FindStringSubmatch(listed)
	if folder == nil {
		return "", errors.New("tesseract does not say where its data lies")
	}
	for _, name := range []string{path, filepath.Join(folder[1], "eng.traineddata"), filepath.Join(folder[1], "osd.traineddata")} {
		f, err := os.Open(name)
		if errors.Is(err, os.ErrNotExist) && strings.HasPrefix(filepath.Base(name), "osd.") {
			continue // it need not be there
		}
		if err != nil {
			return "", err
		}
		_, err = io.Copy(h, f)
		f.Close()
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "\n%q\n", filepath.Base(name))
	}
	return fmt.Sprintf("%x", h.Sum(nil)), nil
}

// Identity stands for what the engine reads: engines with the same identity answer
// alike. It is "" where that cannot be told, and then no answer is kept.
func (e *Engine) Identity() string {
	if e.identity == nil {
		return ""
	}
	return e.identity()
}

// key is that of the engine's answer about one image; ok is false where none is kept.
func (e *Engine) key(args []string, pgm []byte) (k cache.Key, ok bool) {
	if e.Cache == nil {
		return k, false
	}
	id := e.Identity()
	return cache.KeyOf([]byte(answerForm), []byte(id), fmt.Appendf(nil, "%q", args), pgm), id != ""
}

// recall returns the kept answer about an image.
func (e *Engine) recall(args []string, pgm []byte) ([]byte, bool) {
	k, ok := e.key(args, pgm)
	if !ok {
		return nil, false
	}
	return e.Cache.Get(k)
}

// keep keeps an answer that could be read.
func (e *Engine) keep(args []string, pgm, answer []byte) {
	if k, ok := e.key(args, pgm); ok {
		e.Cache.Put(k, answer)
	}
}

// pageMark begins the answer about a page.
var pageMark = []byte("<div class='ocr_page'")

// pieces parts an answer about several images into those about each. The last one of
// an answer that was cut short is not whole.
func pieces(answer []byte) (out [][]byte) {
	if end := bytes.LastIndex(answer, []byte("</body>")); end >= 0 {
		answer = answer[:end]
	}
	for {
		at := bytes.Index(answer, pageMark)
		if at < 0 {
			return out
		}
		answer = answer[at:]
		next := bytes.Index(answer[len(pageMark):], pageMark)
		if next < 0 {
			return append(out, answer)
		}
		out = append(out, answer[:len(pageMark)+next])
		answer = answer[len(pageMark)+next:]
	}
}

// parsePiece reads the answer about one image.
func parsePiece(piece []byte) ([]word, error) {
	pages, err := parse(slices.Concat([]byte("<html>"), piece, []byte("</html>")))
	if err == nil && len(pages) != 1 {
		err = fmt.Errorf("it is about %d images: want 1", len(pages))
	}
	if err != nil {
		return nil, err
	}
	return pages[0], nil
}

// keepSheets keeps what an answer says of each sheet, of one that was cut short as
// far as it is whole.
func (e *Engine) keepSheets(args []string, sheets []sheet, answer []byte, whole bool) {
	if e.Cache == nil {
		return
	}
	list := pieces(answer)
	if !whole && len(list) > 0 {
		list = list[:len(list)-1]
	}
	if len(list) > len(sheets) || whole && len(list) != len(sheets) {
		return
	}
	for i, piece := range list {
		// The engine leaves out an image that it cannot read.
		if !bytes.Contains(piece[:min(len(piece), 300)], fmt.Appendf(nil, `image "%s"`, sheetFile(i))) {
			return
		}
		if _, err := parsePiece(piece); err == nil {
			e.keep(args, sheets[i].pgm(), piece)
		}
	}
}

// counter counts the beginnings of pages in a stream.
type counter struct {
	begun func() // called at each
	tail  []byte
}

func (c *counter) see(p []byte) {
	c.tail = append(c.tail, p...)
	for {
		at := bytes.Index(c.tail, pageMark)
		if at < 0 {
			break
		}
		c.tail = c.tail[at+len(pageMark):]
		c.begun()
	}
	if n := len(c.tail) - len(pageMark); n > 0 {
		c.tail = append(c.tail[:0], c.tail[n:]...)
	}
}
