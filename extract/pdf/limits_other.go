//go:build !linux

package pdf

import "os"

// resident returns 0: only Linux tells the size of another process cheaply.
// The worker watches its own heap instead, and the WebAssembly memory is bounded.
func resident(int) uint64 { return 0 }

func peak(*os.ProcessState) uint64 { return 0 }

func backstop(uint64) {}
