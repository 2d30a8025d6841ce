// Package cache keeps results of long work on page images between runs, in a folder
// that may be removed at any time. A result is found again by a key over all that it
// follows from, and it is believed only where its digest is right: what is damaged,
// cut short or put under another name counts as missing.
package cache

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"time"
)

const (
	// Most is how many bytes a folder may hold: about two thousand pages of tables.
	Most = 512 << 20
	// tidyEvery is how many bytes are written before the folder is measured again.
	tidyEvery = 16 << 20
	// roomAfter is the share of the bound that is left in use when the oldest results
	// are removed, so that this does not happen at every write.
	roomAfter = 0.9
	// maxEntry bounds one result, packed and unpacked.
	maxEntry = 64 << 20
	// freshFor is how long a use of a result counts as the latest one: a time of
	// change is not written at every reading.
	freshFor = 24 * time.Hour
	// abandoned is the age at which a half-written file has no writer any more.
	abandoned = time.Hour

	magic   = "windtally result 1\n"
	partial = "partial-"
)

// Key names a result by all that it follows from.
type Key [sha256.Size]byte

// KeyOf is the key of the given parts; their order and their bounds count.
func KeyOf(parts ...[]byte) Key {
	h := sha256.New()
	for _, p := range parts {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(p)))
		h.Write(n[:])
		h.Write(p)
	}
	return Key(h.Sum(nil))
}

// Dir is a folder of results. A nil Dir keeps nothing. It is safe for use by several
// goroutines, and the folder by several processes.
type Dir struct {
	path string
	most int64

	mu      sync.Mutex
	written int64 // since the folder was last measured
	tidied  bool
}

// Open returns the folder, which is made at the first write and may hold most bytes.
// A folder that cannot be made, read or written keeps nothing, and nothing fails.
func Open(path string, most int64) *Dir { return &Dir{path: path, most: most} }

// User is the folder of the user who runs the program, nil where the system knows none.
func User() *Dir {
	dir, err := os.UserCacheDir()
	if err != nil {
		return nil
	}
	return Open(filepath.Join(dir, "windtally", "pages"), Most)
}

func (d *Dir) file(k Key) string {
	name := hex.EncodeToString(k[:])
	return filepath.Join(d.path, name[:2], name[2:])
}

// digest is over key and content: a result under a wrong name is none.
func digest(k Key, packed []byte) [sha256.Size]byte {
	h := sha256.New()
	h.Write(k[:])
	h.Write(packed)
	return [sha256.Size]byte(h.Sum(nil))
}

// Get returns the result of a key, where it is kept and sound.
func (d *Dir) Get(k Key) (data []byte, ok bool) {
	if d == nil {
		return nil, false
	}
	name := d.file(k)
	st, err := os.Stat(name)
	if err != nil || !st.Mode().IsRegular() || st.Size() > maxEntry {
		return nil, false
	}
	raw, err := os.ReadFile(name)
	if err != nil {
		return nil, false
	}
	rest, ok := bytes.CutPrefix(raw, []byte(magic))
	if !ok || len(rest) < sha256.Size {
		return nil, false
	}
	packed := rest[sha256.Size:]
	if digest(k, packed) != [sha256.Size]byte(rest[:sha256.Size]) {
		return nil, false
	}
	data, err = io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(packed)), maxEntry+1))
	if err != nil || len(data) > maxEntry {
		return nil, false
	}
	if now := time.Now(); now.Sub(st.ModTime()) > freshFor {
		_ = os.Chtimes(name, now, now) // it is only removed sooner
	}
	return data, true
}

// Put keeps a result, where that is possible.
func (d *Dir) Put(k Key, data []byte) {
	if d == nil || len(data) > maxEntry {
		return
	}
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestSpeed)
	if err != nil {
		return
	}
	if _, err := w.Write(data); err != nil || w.Close() != nil || packed.Len() > maxEntry-1024 {
		return
	}
	sum := digest(k, packed.Bytes())
	name := d.file(k)
	if os.MkdirAll(filepath.Dir(name), 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(filepath.Dir(name), partial)
	if err != nil {
		return
	}
	_, err = f.Write(slices.Concat([]byte(magic), sum[:], packed.Bytes()))
	if f.Close() != nil || err != nil || os.Rename(f.Name(), name) != nil {
		_ = os.Remove(f.Name()) // if not, it goes when it is old
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.written += int64(packed.Len())
	if !d.tidied || d.written > tidyEvery {
		d.tidied, d.written = true, 0
		d.tidy()
	}
}

// tidy removes the oldest results of a folder that has grown beyond its bound.
func (d *Dir) tidy() {
	type entry struct {
		name string
		size int64
		used time.Time
	}
	var all []entry
	var sum int64
	_ = filepath.WalkDir(d.path, func(name string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return nil // it may have gone meanwhile, or is none of ours
		}
		st, err := e.Info()
		if err != nil {
			return nil
		}
		if strings.HasPrefix(e.Name(), partial) {
			if time.Since(st.ModTime()) > abandoned {
				_ = os.Remove(name)
			}
			return nil
		}
		all = append(all, entry{name, st.Size(), st.ModTime()})
		sum += st.Size()
		return nil
	})
	if sum <= d.most {
		return
	}
	slices.SortFunc(all, func(a, b entry) int {
		if c := a.used.Compare(b.used); c != 0 {
			return c
		}
		return strings.Compare(a.name, b.name)
	})
	for _, e := range all {
		if float64(sum) <= roomAfter*float64(d.most) {
			break
		}
		if os.Remove(e.name) == nil {
			sum -= e.size
		}
	}
}

// Of returns the result of a key, from the folder or else from work. A result that
// does not come back from JSON as it went in is not kept.
func Of[T any](d *Dir, k Key, work func() (T, error)) (T, error) {
	var v T
	if data, ok := d.Get(k); ok && json.Unmarshal(data, &v) == nil {
		return v, nil
	}
	v, err := work()
	if err != nil || d == nil {
		return v, err
	}
	var again T
	if data, err := json.Marshal(v); err == nil && json.Unmarshal(data, &again) == nil && reflect.DeepEqual(v, again) {
		d.Put(k, data)
	}
	return v, nil
}
