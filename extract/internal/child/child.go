// Package child holds what the readers that run another program have in common: a
// process group that can be killed whole, the size of a process, and why it was stopped.
package child

import (
	"bytes"
	"sync"
)

// Watch remembers why a child was stopped; the first reason stands.
type Watch struct {
	Kill func()

	mu  sync.Mutex
	why error
}

// Stop notes the reason and kills the child.
func (w *Watch) Stop(why error) {
	w.mu.Lock()
	if w.why == nil {
		w.why = why
	}
	w.mu.Unlock()
	w.Kill()
}

// Reason returns why the child was stopped, nil where nobody stopped it.
func (w *Watch) Reason() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.why
}

// Opening keeps the first Most bytes of a stream and takes the rest without keeping it.
type Opening struct {
	Most int
	Full func() // called once when there is more; may be nil

	b    bytes.Buffer
	told bool
}

func (o *Opening) Write(p []byte) (int, error) {
	room := o.Most - o.b.Len()
	o.b.Write(p[:min(room, len(p))])
	if len(p) > room && o.Full != nil && !o.told {
		o.told = true
		o.Full()
	}
	return len(p), nil
}

// Bytes returns what was kept.
func (o *Opening) Bytes() []byte { return o.b.Bytes() }

func (o *Opening) String() string { return o.b.String() }
