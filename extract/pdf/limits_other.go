//go:build !linux

package pdf

import "os"

// peak and backstop know nothing here: the worker watches its own heap instead, and
// the WebAssembly memory is bounded.
func peak(*os.ProcessState) uint64 { return 0 }

func backstop(uint64) {}
