package sorts

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls f for 0 to n-1 on all cores; the order is not fixed, so f(i) must
// write only what belongs to i.
func parallel(n int, f func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for {
				// From the back: in a triangle the long rows come first.
				i := n - int(next.Add(1))
				if i < 0 {
					return
				}
				f(i)
			}
		})
	}
	wait.Wait()
}
