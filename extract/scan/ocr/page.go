package ocr

import (
	"context"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

const (
	// pageMode finds the layout by itself (3).
	pageMode = "3"

	pageTime      = 30 * time.Second // for a page, whatever its size
	megapixelTime = 10 * time.Second // more for each million pixels
)

// Word is a word of a page.
type Word struct {
	Text       string
	Box        image.Rectangle // pixels of the image
	Confidence float64         // 0..1
	// Block, Par and Line number, from 1, the block of print, its paragraph and the
	// line in that paragraph, as the engine found them.
	Block, Par, Line int
}

// Page reads the prose of a page: captions, heads, footnotes. It is one plain pass
// and no way to read dense figures. dpi is that of the scan, 0 where it is unknown.
func (e *Engine) Page(ctx context.Context, img *image.Gray, dpi float64) ([]Word, error) {
	return e.page(ctx, img, dpi, pageMode)
}

func (e *Engine) page(ctx context.Context, img *image.Gray, dpi float64, mode string) ([]Word, error) {
	if err := check("page", img, maxSide, maxSide); err != nil {
		return nil, err
	}
	var words []Word
	_, err := e.one(ctx, img, dpi, func(answer []byte) (err error) {
		words, err = parseTSV(answer, img.Bounds().Min)
		return err
	}, "-l", "eng", "--psm", mode, "-c", "tessedit_create_tsv=1")
	return words, err
}

// one has take read what the engine answers about one image, or what it answered
// before.
func (e *Engine) one(ctx context.Context, img *image.Gray, dpi float64, take func(answer []byte) error, args ...string) (complaint string, err error) {
	b := img.Bounds()
	s := sheet{w: b.Dx(), h: b.Dy(), rows: []row{{img: img}}}
	pgm := s.pgm()
	args = append([]string{"page.pgm", "stdout"}, args...)
	if dpi > 0 {
		args = append(args, "--dpi", strconv.Itoa(int(dpi+0.5)))
	}
	if answer, ok := e.recall(args, pgm); ok && take(answer) == nil {
		return "", nil
	}
	dir, err := os.MkdirTemp("", "windtally-ocr-")
	if err != nil {
		return "", fmt.Errorf("no folder for tesseract: %w", err)
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, "page.pgm"), pgm, 0o600); err != nil {
		return "", fmt.Errorf("no image for tesseract: %w", err)
	}
	limit := pageTime + time.Duration(float64(b.Dx()*b.Dy())/1e6*float64(megapixelTime))
	answer, complaint, err := e.run(ctx, args, dir, limit)
	if err != nil {
		return complaint, err
	}
	if err := take(answer); err != nil {
		return complaint, err
	}
	e.keep(args, pgm, answer)
	return complaint, nil
}

// parseTSV reads the words of an answer in tab separated values: level, page,
// block, paragraph, line, word, left, top, width, height, confidence, text.
func parseTSV(answer []byte, at image.Point) ([]Word, error) {
	lines := strings.Split(strings.TrimSuffix(string(answer), "\n"), "\n")
	if !strings.HasPrefix(lines[0], "level\t") {
		return nil, fmt.Errorf("the answer of tesseract cannot be read: it begins with %.40q, want the head of a table", lines[0])
	}
	var out []Word
	for i, line := range lines[1:] {
		f := strings.SplitN(line, "\t", 12)
		if len(f) < 11 {
			return nil, fmt.Errorf("the answer of tesseract cannot be read: line %d has %d fields, want 12", i+2, len(f))
		}
		if f[0] != "5" || len(f) < 12 || strings.TrimSpace(f[11]) == "" {
			continue // not a word
		}
		var n [8]int // block, paragraph, line, word, left, top, width, height
		for k := range n {
			v, err := strconv.Atoi(f[k+2])
			if err != nil {
				return nil, fmt.Errorf("the answer of tesseract cannot be read: line %d: %q is not a whole number", i+2, f[k+2])
			}
			n[k] = v
		}
		conf, err := strconv.ParseFloat(f[10], 64)
		if err != nil {
			return nil, fmt.Errorf("the answer of tesseract cannot be read: line %d: %q is not a confidence", i+2, f[10])
		}
		out = append(out, Word{
			Text:       strings.TrimSpace(f[11]),
			Box:        image.Rect(n[4], n[5], n[4]+n[6], n[5]+n[7]).Add(at),
			Confidence: min(max(conf/100, 0), 1),
			Block:      n[0], Par: n[1], Line: n[2],
		})
	}
	return out, nil
}

// Orientation tells by which clockwise quarter turn, 0, 90, 180 or 270 degrees, the
// page comes upright, and the engine's confidence in it. That confidence is a
// difference of log scores: 0 means none, above about 2 the answer is usually
// right; a page with too little print gives 0 and 0. Without the data for it the
// error is ErrNoOrientation.
func (e *Engine) Orientation(ctx context.Context, img *image.Gray) (turn int, confidence float64, err error) {
	if !e.orientation {
		return 0, 0, ErrNoOrientation
	}
	if err := check("page", img, maxSide, maxSide); err != nil {
		return 0, 0, err
	}
	complaint, err := e.one(ctx, img, 0, func(answer []byte) (err error) {
		turn, confidence, err = parseOrientation(answer)
		return err
	}, "--psm", "0")
	if strings.Contains(complaint, "Too few characters") {
		return 0, 0, nil
	}
	return turn, confidence, err
}

func parseOrientation(answer []byte) (turn int, confidence float64, err error) {
	found := 0
	for line := range strings.Lines(string(answer)) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch key {
		case "Rotate":
			turn, err = strconv.Atoi(value)
			found++
		case "Orientation confidence":
			confidence, err = strconv.ParseFloat(value, 64)
			found++
		}
		if err != nil {
			return 0, 0, fmt.Errorf("the answer of tesseract cannot be read: %q", strings.TrimSpace(line))
		}
	}
	if found != 2 || turn%90 != 0 || turn < 0 || turn > 270 {
		return 0, 0, fmt.Errorf("the answer of tesseract cannot be read: want a quarter turn and its confidence, got %.200q", answer)
	}
	return turn, confidence, nil
}
