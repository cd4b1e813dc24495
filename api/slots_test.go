package api

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSlots(t *testing.T) {
	s := newSlots(1, 1)
	leave, p := s.take(t.Context())
	require.Nil(t, p)
	second := make(chan func())
	go func() {
		leave, p := s.take(context.Background())
		assert.Nil(t, p)
		second <- leave
	}()
	for len(s.waiting) < 2 { // the second is in the queue
	}
	_, p = s.take(t.Context())
	require.NotNil(t, p, "one runs, one waits: no place")
	assert.Equal(t, 429, p.Status)
	assert.Equal(t, "1", p.header["Retry-After"])
	leave()
	(<-second)()
	assert.Empty(t, s.running)
	assert.Empty(t, s.waiting)
}

func TestSlots_ClientGoesAway(t *testing.T) {
	s := newSlots(1, 1)
	leave, p := s.take(t.Context())
	require.Nil(t, p)
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	_, p = s.take(gone)
	assert.NotNil(t, p)
	leave()
	assert.Empty(t, s.waiting)
}

// A full service says so to the client.
func TestService_Busy(t *testing.T) {
	s := New(Config{MaxRunning: 1, MaxWaiting: 1})
	for range cap(s.slots.waiting) {
		s.slots.waiting <- struct{}{}
	}
	w := call(t, s, "POST", "/v1/simulations", []byte("{}"))
	problemOf(t, w, 429)
	assert.Equal(t, "1", w.Header().Get("Retry-After"))
}
