package weather

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// shortest is the fewest rows that are worth a goroutine of their own.
const shortest = 1000

// inParts has rows 0 to n − 1 done in runs of them side by side, one a processor. do may
// write nothing but its own rows, so that the parts change no bit of them. What a part
// panics with the caller does.
func inParts(n int, do func(from, to int)) {
	parts := min(runtime.GOMAXPROCS(0), n/shortest)
	var failed atomic.Pointer[any]
	part := func(k int) {
		defer func() {
			if cause := recover(); cause != nil {
				failed.CompareAndSwap(nil, &cause)
			}
		}()
		do(n*k/parts, n*(k+1)/parts)
	}
	if parts <= 1 {
		do(0, n)
		return
	}
	var others sync.WaitGroup
	for k := 1; k < parts; k++ {
		others.Go(func() { part(k) })
	}
	part(0)
	others.Wait()
	if cause := failed.Load(); cause != nil {
		panic(*cause)
	}
}
