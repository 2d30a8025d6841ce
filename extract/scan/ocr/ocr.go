// Package ocr reads prepared images of print with Tesseract, which runs as a child
// process with limits of time and memory. It is a witness for what is printed: it
// reports text and the engine's own confidence and judges neither.
//
// Version 4 or later is wanted, with the data for English; on Debian
// apt-get install tesseract-ocr brings both, and the data for orientation.
package ocr

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"windtally/extract/scan/cache"
)

const (
	// EnvPath names the environment variable with the path of the engine; without
	// it the engine is looked for in PATH.
	EnvPath = "WINDTALLY_TESSERACT"

	// leastVersion is the first with the line recogniser and boxes of characters.
	leastVersion = 4

	// locateTime is allowed for the engine to tell its version and its data.
	locateTime = 20 * time.Second

	maxSide   = 32767      // pixels; the engine refuses more
	maxPixels = 60_000_000 // letter size at 800 dpi is 59.8 million
	maxCellW  = 6000       // pixels of one cell, glyph or label
	maxCellH  = 1000
)

// ErrMissing says that there is no engine, or none that can be used; its text says
// what to do.
var ErrMissing = errors.New("tesseract is missing: install version 4 or later with its data for English " +
	"(Debian: apt-get install tesseract-ocr), or set " + EnvPath + " to its path")

// ErrNoOrientation says that the engine lacks the data for the orientation of a page.
var ErrNoOrientation = errors.New("tesseract has no data for orientation: install it " +
	"(Debian: apt-get install tesseract-ocr-osd)")

// Engine is a Tesseract that was found. It is safe for use by several goroutines
// as long as its fields do not change.
type Engine struct {
	Path    string // of the binary
	Version string // as it tells it, for example "5.3.0"
	// Timeout bounds the wall clock of one child process; 0 means a bound that
	// follows from the number of images or of pixels.
	Timeout time.Duration
	// Memory bounds the resident size of one child process in bytes, on Linux;
	// 0 means 1 GB.
	Memory uint64

	// Cache keeps answers, so that no image is read twice; nil keeps none. It has no
	// influence on a result.
	Cache *cache.Dir

	orientation bool // it has the data for Orientation
	identity    func() string
}

var versionLine = regexp.MustCompile(`(?m)^tesseract v?((\d+)\.\d[\w.-]*)`)

// Locate finds the engine, by WINDTALLY_TESSERACT or else in PATH, and asks for its
// version and its data. The error is ErrMissing where there is none to be used.
func Locate() (*Engine, error) {
	path := os.Getenv(EnvPath)
	if path == "" {
		path = "tesseract"
	}
	path, err := exec.LookPath(path)
	if err != nil {
		if errors.Is(err, exec.ErrNotFound) {
			return nil, ErrMissing
		}
		return nil, fmt.Errorf("%w (%v)", ErrMissing, err)
	}
	e := &Engine{Path: path}
	out, complaint, err := e.run(context.Background(), []string{"--version"}, "", locateTime)
	if err != nil {
		return nil, fmt.Errorf("%w (%v)", ErrMissing, err)
	}
	m := versionLine.FindStringSubmatch(string(out) + "\n" + complaint) // version 4.0 tells it on stderr
	if m == nil {
		return nil, fmt.Errorf("%w (%s --version names no version)", ErrMissing, path)
	}
	if major, err := strconv.Atoi(m[2]); err != nil || major < leastVersion {
		return nil, fmt.Errorf("%w (%s is version %s)", ErrMissing, path, m[1])
	}
	e.Version = m[1]
	told := string(out) + "\n" + complaint
	out, complaint, err = e.run(context.Background(), []string{"--list-langs"}, "", locateTime)
	if err != nil {
		return nil, fmt.Errorf("%w (%v)", ErrMissing, err)
	}
	listed := string(out) + "\n" + complaint
	langs := strings.Fields(listed)
	if !slices.Contains(langs, "eng") {
		return nil, fmt.Errorf("%w (%s has no data for English: Debian: apt-get install tesseract-ocr-eng)", ErrMissing, path)
	}
	e.orientation = slices.Contains(langs, "osd")
	// It costs the digest of some megabytes, which only a cache asks for.
	e.identity = sync.OnceValue(func() string {
		id, err := identify(path, told, listed)
		if err != nil {
			return ""
		}
		return id
	})
	return e, nil
}

// Char is one character of a reading with the engine's confidence in it and its
// box in pixels of the image that was given.
type Char struct {
	Text       string
	Confidence float64 // 0..1
	Box        image.Rectangle
}

// Result is what the engine read in one image. Text is "" where it read nothing.
type Result struct {
	// Text has no space in it when figures were read; labels keep one space between
	// words.
	Text string
	// Confidence is that of the least certain character, 0..1, and 0 without text.
	Confidence float64
	Chars      []Char
}

// check refuses an image that the engine would choke on.
func check(what string, img *image.Gray, w, h int) error {
	if img == nil {
		return fmt.Errorf("%s: there is no image", what)
	}
	b := img.Bounds()
	if b.Dx() < 1 || b.Dy() < 1 || b.Dx() > w || b.Dy() > h || b.Dx()*b.Dy() > maxPixels {
		return fmt.Errorf("%s: %d by %d pixels: want 1 by 1 to %d by %d and at most %d million in all",
			what, b.Dx(), b.Dy(), w, h, maxPixels/1_000_000)
	}
	return nil
}
