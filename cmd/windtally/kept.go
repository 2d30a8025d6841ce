package main

import (
	"context"
	"encoding/json"
	"os"
	"runtime"
	"sync"
	"sync/atomic"

	"windtally/extract"
	"windtally/extract/scan/cache"
	"windtally/extract/scan/transcribe"
)

const (
	// pagesInFlight is the most page images that are worked on at a time: one takes
	// a child of about 120 MB to be drawn and as much again to be cut.
	pagesInFlight = 4
	// pixelsInFlight bounds by their size as well those that are being cut and read: a
	// page at 300 dpi has 8.4 million, and one that is larger than the bound is worked
	// on alone. How large a page is shows only when it is decoded, so that up to
	// pagesInFlight decoded ones may wait beside these, each within the limits of what
	// draws or decodes it.
	pixelsInFlight = 40_000_000
)

// keeper finds results of earlier runs. The zero value keeps nothing.
type keeper struct {
	dir *cache.Dir
	// program is the digest of this very binary: what other code has found is never
	// taken for what this would find.
	program string
}

func newKeeper() keeper {
	self, err := os.Executable()
	if err != nil {
		return keeper{}
	}
	digest, err := extract.FileSHA256(self)
	if err != nil {
		return keeper{}
	}
	return keeper{cache.User(), digest}
}

// kept returns what work gives: of an earlier run of the same program with the same
// options, source and particulars (all that the result follows from), or else anew.
func kept[T any](k keeper, what string, src *extract.Source, o transcribe.Options, particulars any, work func() (T, error)) (T, error) {
	settings, ok := o.Settings()
	if k.dir == nil || k.program == "" || !ok {
		return work()
	}
	data, err := json.Marshal(particulars)
	if err != nil {
		return work()
	}
	key := cache.KeyOf([]byte(what), []byte(k.program), []byte(src.SHA256), []byte(src.File), []byte(settings), data)
	return cache.Of(k.dir, key, work)
}

// room bounds what is in use at a time.
type room struct {
	mu   sync.Mutex
	used int
	free sync.Cond
}

func newRoom() *room {
	r := &room{}
	r.free.L = &r.mu
	return r
}

// take waits for n pixels; what is larger than the whole waits until it is alone.
func (r *room) take(n int) (give func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for r.used > 0 && r.used+n > pixelsInFlight {
		r.free.Wait()
	}
	r.used += n
	return func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.used -= n
		r.free.Broadcast()
	}
}

// eachPage does the work of pages 0 to n-1 on all cores. Its error is that of the
// first page that failed; what comes after that page may be left undone.
func eachPage(ctx context.Context, n int, work func(i int) error) error {
	errs := make([]error, n)
	var next, end atomic.Int64
	end.Store(int64(n))
	var workers sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0), pagesInFlight) {
		workers.Go(func() {
			for {
				i := next.Add(1) - 1
				if i >= end.Load() {
					return
				}
				if errs[i] = ctx.Err(); errs[i] == nil {
					errs[i] = work(int(i))
				}
				for errs[i] != nil {
					e := end.Load()
					if i >= e || end.CompareAndSwap(e, i) {
						break
					}
				}
			}
		})
	}
	workers.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
