package cache

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

func TestGetPut(t *testing.T) {
	d := Open(filepath.Join(t.TempDir(), "a", "b"), Most)
	k := KeyOf([]byte("ab"), []byte("c"))
	if _, ok := d.Get(k); ok {
		t.Fatal("an empty folder has a result")
	}
	for _, want := range []string{"", "0.123", string(bytes.Repeat([]byte{0, 255}, 1<<20))} {
		d.Put(k, []byte(want))
		if got, ok := d.Get(k); !ok || string(got) != want {
			t.Errorf("put %d bytes, got %d, %v", len(want), len(got), ok)
		}
	}
	for _, other := range []Key{KeyOf([]byte("a"), []byte("bc")), KeyOf([]byte("abc")), KeyOf([]byte("ab"), []byte("c"), nil)} {
		if other == k {
			t.Error("parts that differ in their bounds have one key")
		}
		if _, ok := d.Get(other); ok {
			t.Error("a result was found under another key")
		}
	}
}

// Each byte that is changed, each length that is cut, and another name: missing, and
// never another result.
func TestDamage(t *testing.T) {
	d := Open(t.TempDir(), Most)
	k, other := KeyOf([]byte("one")), KeyOf([]byte("two"))
	d.Put(k, []byte("0.123 0.456"))
	name := d.file(k)
	sound, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	try := func(what string, data []byte) {
		t.Helper()
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if got, ok := d.Get(k); ok {
			t.Errorf("%s: got %q", what, got)
		}
	}
	for i := range sound {
		bad := bytes.Clone(sound)
		bad[i] ^= 0x10
		try(fmt.Sprintf("byte %d changed", i), bad)
		try(fmt.Sprintf("cut to %d bytes", i), sound[:i])
	}
	try("longer", append(bytes.Clone(sound), 0))
	if err := os.MkdirAll(filepath.Dir(d.file(other)), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(d.file(other), sound, 0o600); err != nil {
		t.Fatal(err)
	}
	if got, ok := d.Get(other); ok {
		t.Errorf("under another name: got %q", got)
	}
	d.Put(k, []byte("0.789"))
	if got, ok := d.Get(k); !ok || string(got) != "0.789" {
		t.Errorf("put again: got %q, %v", got, ok)
	}
}

func TestNoFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, d := range []*Dir{nil, Open(file, Most), Open(filepath.Join(file, "below"), Most)} {
		d.Put(Key{}, []byte("1"))
		if _, ok := d.Get(Key{}); ok {
			t.Error("got a result where none can be kept")
		}
		n := 0
		for range 2 {
			if got, err := Of(d, Key{}, func() (int, error) { n++; return 7, nil }); got != 7 || err != nil {
				t.Errorf("got %d, %v", got, err)
			}
		}
		if n != 2 {
			t.Errorf("worked %d times, want 2", n)
		}
	}
}

func TestOldestGoFirst(t *testing.T) {
	path := t.TempDir()
	d := Open(path, 20_000)
	noise := func(i int) []byte { // does not pack
		k := KeyOf([]byte{byte(i)})
		var out []byte
		for len(out) < 4000 {
			k = KeyOf(k[:])
			out = append(out, k[:]...)
		}
		return out
	}
	key := func(i int) Key { return KeyOf(fmt.Append(nil, i)) }
	now := time.Now()
	for i := range 10 {
		d.Put(key(i), noise(i))
		at := now.Add(time.Duration(i-20) * time.Minute)
		if err := os.Chtimes(d.file(key(i)), at, at); err != nil {
			t.Fatal(err)
		}
	}
	left := filepath.Join(path, partial+"left")
	if err := os.WriteFile(left, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	long := now.Add(-2 * abandoned)
	if err := os.Chtimes(left, long, long); err != nil {
		t.Fatal(err)
	}
	later := Open(path, 20_000) // another process, with its first write
	later.Put(key(10), noise(10))
	for i := range 11 {
		if _, ok := d.Get(key(i)); ok != (i >= 7) {
			t.Errorf("result %d is kept: %v; want the last four of 4 kB in 20 kB", i, ok)
		}
	}
	if _, err := os.Stat(left); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("what a dead process left half written is still there: %v", err)
	}
}

func TestUseKeepsAResult(t *testing.T) {
	d := Open(t.TempDir(), Most)
	d.Put(Key{}, []byte("1"))
	long := time.Now().Add(-30 * freshFor)
	if err := os.Chtimes(d.file(Key{}), long, long); err != nil {
		t.Fatal(err)
	}
	d.Get(Key{})
	st, err := os.Stat(d.file(Key{}))
	if err != nil || time.Since(st.ModTime()) > freshFor {
		t.Errorf("a result that was used counts as of %v, %v", st.ModTime(), err)
	}
}

func TestMany(t *testing.T) {
	path := t.TempDir()
	var all sync.WaitGroup
	for g := range 8 {
		all.Go(func() {
			d := Open(path, 50_000) // a process
			for i := range 50 {
				k := KeyOf(fmt.Append(nil, i%10))
				want := bytes.Repeat(fmt.Append(nil, i%10), 5000)
				if got, ok := d.Get(k); ok && !bytes.Equal(got, want) {
					t.Errorf("goroutine %d: a result of another key", g)
				}
				d.Put(k, want)
			}
		})
	}
	all.Wait()
}

func TestOf(t *testing.T) {
	type result struct {
		Text  []string
		Small float64
		lost  int
	}
	d := Open(t.TempDir(), Most)
	for _, c := range []struct {
		name string
		v    result
		want int // times that it is worked for in two runs
	}{
		{"exact", result{Text: []string{".05", "-0"}, Small: 0.1 + 0.2}, 1},
		{"nothing", result{}, 1},
		{"JSON loses a field", result{lost: 3}, 2},
		{"JSON cannot say it", result{Small: 1 / func() float64 { return 0 }()}, 2},
	} {
		n := 0
		for range 2 {
			got, err := Of(d, KeyOf([]byte(c.name)), func() (result, error) { n++; return c.v, nil })
			if err != nil || got.Small != c.v.Small || got.lost != c.v.lost || len(got.Text) != len(c.v.Text) {
				t.Errorf("%s: got %+v, %v", c.name, got, err)
			}
		}
		if n != c.want {
			t.Errorf("%s: worked %d times, want %d", c.name, n, c.want)
		}
	}
	fault := errors.New("no ink")
	n := 0
	for range 2 {
		if _, err := Of(d, KeyOf([]byte("fault")), func() (int, error) { n++; return 0, fault }); err != fault {
			t.Errorf("got %v", err)
		}
	}
	if n != 2 {
		t.Errorf("a fault was kept: worked %d times, want 2", n)
	}
}
