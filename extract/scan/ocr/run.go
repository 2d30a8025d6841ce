package ocr

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"windtally/extract/internal/child"
)

const (
	maxMemory = 1000 << 20 // default bound on the resident size of a child
	maxStdout = 64 << 20   // a full page gives 2 MB
	maxStderr = 4096       // what is kept of a complaint
	// pipeTime is allowed for the pipes to close when the child has ended: a
	// grandchild that keeps them open must not keep us waiting.
	pipeTime = time.Second
	// watchEvery is how often the resident size is looked at.
	watchEvery = 20 * time.Millisecond
)

// run starts the engine in folder dir, "" for its own empty one, and returns what
// it wrote to stdout and the beginning of what it wrote to stderr. The child and
// all that it started are killed when ctx ends, when limit has passed, when it
// grows beyond the bound, or when it writes more than any page gives.
func (e *Engine) run(ctx context.Context, args []string, dir string, limit time.Duration) (stdout []byte, stderr string, err error) {
	return e.watched(ctx, args, dir, limit, func([]byte) {})
}

// watched is run, which shows seen what the engine writes as it comes. With an error
// it returns what came before.
func (e *Engine) watched(ctx context.Context, args []string, dir string, limit time.Duration, seen func(p []byte)) (stdout []byte, stderr string, err error) {
	if err := ctx.Err(); err != nil {
		return nil, "", fmt.Errorf("tesseract was not started: %w", context.Cause(ctx))
	}
	if dir == "" {
		dir, err = os.MkdirTemp("", "windtally-ocr-")
		if err != nil {
			return nil, "", fmt.Errorf("no folder for tesseract: %w", err)
		}
		defer os.RemoveAll(dir)
	}
	if e.Timeout > 0 {
		limit = e.Timeout
	}
	memory := e.Memory
	if memory == 0 {
		memory = maxMemory
	}
	cmd := exec.Command(e.Path, args...)
	cmd.Dir = dir
	cmd.Env = environment(dir)
	cmd.WaitDelay = pipeTime
	child.OwnGroup(cmd)
	w := child.Watch{Kill: func() { child.KillGroup(cmd) }}
	out := &child.Opening{Most: maxStdout, Full: func() { w.Stop(fmt.Errorf("wrote more than %d MB", maxStdout>>20)) }}
	complaint := &child.Opening{Most: maxStderr}
	cmd.Stdout, cmd.Stderr = &shown{out, seen}, complaint
	if err := cmd.Start(); err != nil {
		return nil, "", fmt.Errorf("tesseract cannot be started: %w", err)
	}
	done := make(chan struct{})
	var watching sync.WaitGroup
	watching.Go(func() {
		clock := time.NewTimer(limit)
		defer clock.Stop()
		tick := time.NewTicker(watchEvery)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-ctx.Done():
				w.Stop(context.Cause(ctx))
				return
			case <-clock.C:
				w.Stop(fmt.Errorf("took longer than %v", limit))
				return
			case <-tick.C:
				if child.Resident(cmd.Process.Pid) > memory {
					w.Stop(fmt.Errorf("passed %d MB", memory>>20))
					return
				}
			}
		}
	})
	err = cmd.Wait()
	close(done)
	watching.Wait()
	if errors.Is(err, exec.ErrWaitDelay) {
		child.KillRest(cmd) // its pipes are held open
	}
	if why := w.Reason(); why != nil {
		return out.Bytes(), complaint.String(), fmt.Errorf("tesseract was stopped: %w", why)
	}
	if err != nil {
		line, _, _ := strings.Cut(strings.TrimSpace(complaint.String()), "\n")
		if line == "" {
			return nil, "", fmt.Errorf("tesseract failed: %w", err)
		}
		return nil, complaint.String(), fmt.Errorf("tesseract failed: %w: %s", err, line)
	}
	return out.Bytes(), complaint.String(), nil
}

// shown is a stream that is looked at on its way.
type shown struct {
	to   *child.Opening
	seen func(p []byte)
}

func (s *shown) Write(p []byte) (int, error) {
	s.seen(p)
	return s.to.Write(p)
}

// environment is all that the child learns of ours: where libraries and data lie.
// One thread is faster than several for lines of print and keeps the load known.
func environment(dir string) []string {
	env := []string{"OMP_THREAD_LIMIT=1", "LC_ALL=C", "TMPDIR=" + dir, "HOME=" + dir}
	for _, k := range []string{"PATH", "TESSDATA_PREFIX", "LD_LIBRARY_PATH", "SystemRoot"} {
		if v, ok := os.LookupEnv(k); ok {
			env = append(env, k+"="+v)
		}
	}
	return env
}
