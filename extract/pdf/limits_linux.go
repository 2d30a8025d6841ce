package pdf

import (
	"os"
	"syscall"
)

// peak returns the largest resident size of a finished process.
func peak(st *os.ProcessState) uint64 {
	if ru, ok := st.SysUsage().(*syscall.Rusage); ok {
		return uint64(ru.Maxrss) << 10
	}
	return 0
}

// backstop sets limits on the worker itself that hold even when nobody watches
// it any more: no core file, a bound on processor time, and one on address
// space, which is generous because the runtime reserves much that it never uses.
func backstop(memory uint64) {
	set := func(resource int, n uint64) {
		_ = syscall.Setrlimit(resource, &syscall.Rlimit{Cur: n, Max: n}) // best effort: the parent watches as well
	}
	set(syscall.RLIMIT_CORE, 0)
	set(syscall.RLIMIT_CPU, maxProcessor)
	set(syscall.RLIMIT_AS, memory+reserved)
}

const (
	maxProcessor = 3600    // seconds
	reserved     = 3 << 30 // address space that the Go runtime and the compiler reserve
)
