package api

import (
	"context"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// Work of one request takes the places that are free, and no more than there are.
func TestCrew(t *testing.T) {
	s := newSlots(3, 8)
	leave, _ := s.take(t.Context()) // the request's own
	defer leave()
	by := &crew{ctx: t.Context(), slots: s}
	var now, most, done atomic.Int64
	var meet sync.WaitGroup
	meet.Add(3)
	assert.True(t, by.each(60, func(i int) {
		if i < 3 { // three are at work at once
			meet.Done()
			meet.Wait()
		}
		n := now.Add(1)
		for m := most.Load(); n > m && !most.CompareAndSwap(m, n); m = most.Load() {
		}
		done.Add(1)
		now.Add(-1)
	}))
	assert.Equal(t, int64(60), done.Load())
	assert.LessOrEqual(t, most.Load(), int64(3))
	assert.Len(t, s.running, 1, "places are given back")

	t.Run("a request that waits gets the place of a helper", func(t *testing.T) {
		s := newSlots(2, 8)
		leave, _ := s.take(t.Context())
		defer leave()
		by := &crew{ctx: t.Context(), slots: s}
		arrived := make(chan struct{})
		var begun sync.Once
		by.each(1000, func(i int) {
			begun.Do(func() {
				go func() {
					other, p := s.take(context.Background())
					assert.Nil(t, p)
					other()
					close(arrived)
				}()
			})
			if i == 999 {
				<-arrived // before the work is over
			}
			time.Sleep(time.Microsecond)
		})
	})
	t.Run("nobody waits", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		by := &crew{ctx: ctx, slots: s}
		n := 0
		assert.False(t, (&crew{ctx: ctx, slots: newSlots(1, 0)}).each(1, func(int) { cancel() }))
		assert.False(t, by.each(10, func(int) { n++ }))
		assert.Zero(t, n)
	})
	t.Run("a mistake is told to the request", func(t *testing.T) {
		assert.PanicsWithValue(t, "broken", func() { by.each(20, func(i int) { panic("broken") }) })
		assert.Len(t, s.running, 1)
	})
	t.Run("beside, as long as there is a place", func(t *testing.T) {
		var waits []func()
		hold, begun := make(chan struct{}), make(chan struct{}, 2)
		for range 2 {
			wait, ok := by.meanwhile(func() { begun <- struct{}{}; <-hold })
			assert.True(t, ok)
			waits = append(waits, wait)
		}
		<-begun
		<-begun
		_, ok := by.meanwhile(func() { t.Error("there is no place") })
		assert.False(t, ok)
		close(hold)
		for _, wait := range waits {
			wait()
		}
		assert.Len(t, s.running, 1)
		wait, _ := by.meanwhile(func() { panic("broken") })
		assert.PanicsWithValue(t, "broken", wait)
		assert.Len(t, s.running, 1)
	})
}
