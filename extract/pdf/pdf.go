// Package pdf reads PDF files: words with boxes, printed rules, and page
// images, by PDFium compiled to WebAssembly (github.com/klippa-app/go-pdfium).
//
// A file is never opened in the calling process. Each call starts a child
// process with limits of time and memory, hands it the bytes of the file, and
// turns whatever goes wrong there into an *extract.Error that names the file.
package pdf

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"windtally/extract"
	"windtally/extract/internal/child"
)

const (
	// maxFile bounds the file, which is held twice for a moment: once as bytes
	// and once inside the WebAssembly memory.
	maxFile = 200 << 20
	// maxMemory is the default bound on the resident size of a child.
	maxMemory = 1000 << 20
	// minMemory is the least bound that a worker takes: the reader alone needs more.
	minMemory = 64 << 20
	// maxWasm bounds the WebAssembly memory; it is half of the resident bound so
	// that the file's bytes and an image being encoded find room beside it.
	maxWasm = 512 << 20
	// startTime is allowed for the child to load the reader, apart from the time
	// for the file: the first run of all compiles it, on a busy machine slowly.
	startTime = 90 * time.Second
	// callTime is the default time for a call, and pageTime is added a page.
	callTime = 10 * time.Second
	pageTime = 2 * time.Second
	// endTime is allowed for the child to end after its answer, and pipeTime for
	// the pipes to close then: a grandchild that keeps them open must not keep us
	// waiting.
	endTime  = 2 * time.Second
	pipeTime = time.Second
	// maxRest bounds what is read, and thrown away, after an answer, and maxStderr
	// what is kept of a child's complaint.
	maxRest   = 1 << 20
	maxStderr = 4096
	// watchEvery is how often the resident size is looked at; at the fastest
	// growth seen (about 2 GB/s) the overshoot stays below 50 MB.
	watchEvery = 20 * time.Millisecond
	// maxPages is more than any report has; beyond it the count is a lie or the
	// answer would not fit.
	maxPages = 20000
	// maxSide is the largest page side in points, 200 inches, which is the limit
	// of the PDF format before version 1.6 and of common viewers since.
	maxSide = 14400
	// maxPixels bounds a page image: letter size at 600 dpi is 33.7 million.
	maxPixels = 40_000_000
)

// Reader reads PDF files in child processes with limits. The zero value has the
// default limits but no worker, and so refuses every call.
type Reader struct {
	// Worker is the command line that starts the worker: a program that calls
	// Work with its standard input and output. Without one every call fails;
	// there is no run in the calling process.
	Worker []string
	// CacheDir is where the compiled reader is kept between runs. Empty means
	// the folder windtally in the user's cache folder; a folder that cannot be
	// made or written means that every call compiles anew, in seconds.
	CacheDir string
	// Timeout bounds the wall clock of a call; 0 means 10 s, and 2 s more for each
	// page beyond the first. The time in which the child starts is bounded apart.
	Timeout time.Duration
	// Memory bounds the resident size of the child in bytes; 0 means 1 GB.
	// The bound is watched from outside on Linux and by the child itself elsewhere.
	Memory uint64
}

// Info is what a file says of itself.
type Info struct {
	Pages     int
	Encrypted bool   // encrypted, but open to a reader who has no password
	Repaired  bool   // the table of objects was broken and had to be rebuilt
	Title     string // from the document's information, often wrong or empty
}

// Info opens the file and returns what it says of itself.
func (r Reader) Info(ctx context.Context, file string) (Info, error) {
	var info Info
	_, err := r.call(ctx, file, request{Op: opInfo}, func(kind byte, payload []byte) error {
		if kind == frameInfo {
			return json.Unmarshal(payload, &info)
		}
		return nil
	})
	if err != nil {
		return Info{}, err
	}
	return info, nil
}

// Pages returns the words, rules and number of images of the given pages,
// counted from 1, in the order asked for; nil means all pages. It fails as a
// whole when one page cannot be read.
func (r Reader) Pages(ctx context.Context, file string, pages []int) ([]extract.Page, error) {
	if pages != nil && len(pages) == 0 {
		return nil, nil
	}
	var out []extract.Page
	_, err := r.call(ctx, file, request{Op: opPages, Pages: pages}, func(kind byte, payload []byte) error {
		if kind != framePage {
			return nil
		}
		var p extract.Page
		if err := json.Unmarshal(payload, &p); err != nil {
			return err
		}
		out = append(out, p)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Render returns the page, counted from 1, as a PNG image, grey where the page
// has no colour and RGB otherwise, turned as a person sees it, on white.
// A size beyond 40 million pixels is refused.
func (r Reader) Render(ctx context.Context, file string, page int, dpi float64) ([]byte, error) {
	image, _, err := r.draw(ctx, file, page, opRender, dpi)
	return image, err
}

// Scan returns the page as Render does. Where one picture fills most of the page, as the
// scan of a printed page does, it is drawn on the pixels of that picture, so that none
// is made of two: used is its resolution in dots an inch, and dpi that of other pages.
// A picture finer than 450 dots an inch is drawn at a whole fraction of its resolution.
func (r Reader) Scan(ctx context.Context, file string, page int, dpi float64) (image []byte, used float64, err error) {
	return r.draw(ctx, file, page, opScan, dpi)
}

func (r Reader) draw(ctx context.Context, file string, page int, op string, dpi float64) (image []byte, used float64, err error) {
	if !(dpi > 0) || math.IsInf(dpi, 0) {
		return nil, 0, &extract.Error{File: filepath.Base(file), Page: page,
			Msg: fmt.Sprintf("resolution %g dpi: want a positive number, for example 300", dpi)}
	}
	_, err = r.call(ctx, file, request{Op: op, Pages: []int{page}, DPI: dpi}, func(kind byte, payload []byte) error {
		switch kind {
		case frameImage:
			image = bytes.Clone(payload)
		case frameDPI:
			v, err := strconv.ParseFloat(string(payload), 64)
			if err != nil {
				return err
			}
			used = v
		}
		return nil
	})
	if err != nil {
		return nil, 0, err
	}
	return image, used, nil
}

// usage is what a finished child used; the tests hold it against the limits.
type usage struct {
	peak uint64 // resident bytes, 0 where the system does not tell
}

// call runs one request in a child and gives every frame to take.
func (r Reader) call(ctx context.Context, file string, req request, take func(kind byte, payload []byte) error) (usage, error) {
	base := filepath.Base(file)
	page := 0
	if len(req.Pages) == 1 {
		page = req.Pages[0]
	}
	fail := func(format string, args ...any) error {
		return &extract.Error{File: base, Page: page, Msg: fmt.Sprintf(format, args...)}
	}
	for _, p := range req.Pages {
		if p < 1 {
			return usage{}, &extract.Error{File: base, Msg: fmt.Sprintf("page %d: pages are counted from 1", p)}
		}
	}
	if len(r.Worker) == 0 {
		return usage{}, fail("no worker is set, and a PDF is never read in the calling process: set Reader.Worker to a command that calls Work")
	}
	f, err := os.Open(file)
	if err != nil {
		var pe *os.PathError
		if errors.As(err, &pe) {
			err = pe.Err // the path of this machine stays out of the message
		}
		return usage{}, fail("cannot be opened: %v", err)
	}
	defer f.Close()
	st, err := f.Stat()
	switch {
	case err != nil:
		return usage{}, fail("cannot be read: %v", err)
	case !st.Mode().IsRegular():
		return usage{}, fail("is not a regular file")
	case st.Size() == 0:
		return usage{}, fail("is empty: want a PDF")
	case st.Size() > maxFile:
		return usage{}, fail("has %d MB; the limit is %d MB: split the file", st.Size()>>20, maxFile>>20)
	}

	memory := r.Memory
	if memory == 0 {
		memory = maxMemory
	}
	limit := r.Timeout
	if limit == 0 {
		limit = callTime + time.Duration(max(len(req.Pages)-1, 0))*pageTime
	}
	req.Size = st.Size()
	req.Cache = r.CacheDir
	req.Memory = memory
	head, err := json.Marshal(req)
	if err != nil {
		return usage{}, fail("the request cannot be written: %v", err)
	}

	cmd := exec.Command(r.Worker[0], r.Worker[1:]...)
	// The collector works harder near the bound, instead of letting garbage
	// count as the file's need.
	cmd.Env = append(os.Environ(), "GOMEMLIMIT="+strconv.FormatUint(memory-memory/8, 10))
	cmd.Stdin = io.MultiReader(bytes.NewReader(append(head, '\n')), io.LimitReader(f, st.Size()))
	stderr := &child.Opening{Most: maxStderr}
	cmd.Stderr = stderr
	cmd.WaitDelay = pipeTime
	child.OwnGroup(cmd)
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return usage{}, fail("the worker cannot be started: %v", err)
	}
	if err := cmd.Start(); err != nil {
		return usage{}, fail("the worker cannot be started: %v", err)
	}

	w := child.Watch{Kill: func() { child.KillGroup(cmd) }}
	ready := make(chan struct{}, 1)
	grow := make(chan time.Duration, 1)
	done := make(chan struct{})
	var watching sync.WaitGroup
	watching.Go(func() {
		started := false
		clock := time.NewTimer(startTime)
		defer clock.Stop()
		tick := time.NewTicker(watchEvery)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-ctx.Done():
				w.Stop(fmt.Errorf("stopped before it was read: %w", context.Cause(ctx)))
				return
			case <-ready:
				started = true
				clock.Reset(limit)
			case more := <-grow:
				limit += more
				clock.Reset(limit)
			case <-clock.C:
				if !started {
					w.Stop(fmt.Errorf("the worker did not start within %v", startTime))
				} else {
					w.Stop(fmt.Errorf("took longer than %v and was stopped", limit))
				}
				return
			case <-tick.C:
				if rss := child.Resident(cmd.Process.Pid); rss > memory {
					w.Stop(fmt.Errorf("the worker passed %s and was stopped", size(memory)))
					return
				}
			}
		}
	})

	var problem error
	finished := false
	in := bufio.NewReaderSize(stdout, 1<<16)
read:
	for {
		kind, payload, err := readFrame(in)
		if err != nil {
			if err != io.EOF {
				problem = fail("the worker's answer cannot be read: %v", err)
			}
			break
		}
		switch kind {
		case frameReady:
			select {
			case ready <- struct{}{}:
			default: // told already
			}
		case frameCount:
			n, err := strconv.Atoi(string(payload))
			if err == nil && r.Timeout == 0 && req.Pages == nil && n > 1 {
				select {
				case grow <- time.Duration(min(n, maxPages)-1) * pageTime:
				default: // told already
				}
			}
		case frameDone:
			finished = true
			break read
		case frameError:
			var e extract.Error
			if err := json.Unmarshal(payload, &e); err != nil {
				problem = fail("the worker's error cannot be read: %v", err)
				break read
			}
			e.File = base
			problem = &e
			break read
		default:
			if err := take(kind, payload); err != nil {
				problem = fail("the worker's answer cannot be read: %v", err)
				break read
			}
		}
	}
	if !finished && problem == nil {
		// The stream ended early: the child is dead or dying.
		problem = errEnded
	}
	// What follows an answer is of no use; the child may hang in its clean-up.
	killUnlessDone := time.AfterFunc(endTime, w.Kill)
	_, _ = io.Copy(io.Discard, io.LimitReader(stdout, maxRest))
	waitErr := cmd.Wait()
	killUnlessDone.Stop()
	close(done)
	watching.Wait()
	used := usage{peak: peak(cmd.ProcessState)}
	if reason := w.Reason(); reason != nil && !finished {
		return used, &stopped{fail("%v", reason), reason}
	}
	if problem == errEnded {
		msg := errEnded.Error()
		if line := firstLine(stderr.String()); line != "" {
			msg += ": " + line
		} else if waitErr != nil {
			msg += ": " + waitErr.Error()
		}
		return used, fail("%s", msg)
	}
	return used, problem
}

var errEnded = errors.New("the worker ended without an answer")

// firstLine returns the first line of a child's complaint.
func firstLine(complaint string) string {
	line, _, _ := strings.Cut(strings.TrimSpace(complaint), "\n")
	return strings.TrimSpace(line)
}

func size(n uint64) string {
	if n >= 1000<<20 {
		return fmt.Sprintf("%.3g GB", float64(n)/(1000<<20))
	}
	return fmt.Sprintf("%d MB", n>>20)
}

// wanted checks the asked pages against the file's count and fills in all.
func wanted(asked []int, count int) ([]int, error) {
	if asked == nil {
		all := make([]int, count)
		for i := range all {
			all[i] = i + 1
		}
		return all, nil
	}
	for _, p := range asked {
		if p < 1 || p > count {
			return nil, &extract.Error{Page: p, Msg: fmt.Sprintf("there is no such page: the file has %d", count)}
		}
	}
	return slices.Clone(asked), nil
}

// stopped is the fault of a file whose reading was ended, and why it was.
type stopped struct{ fault, why error }

func (s *stopped) Error() string   { return s.fault.Error() }
func (s *stopped) Unwrap() []error { return []error{s.fault, s.why} }
