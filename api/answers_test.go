package api

import (
	"fmt"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

func TestAnswers_KeepsTheLatestUsed(t *testing.T) {
	a := newAnswers(2)
	put := func(hash, name string) { a.put(kept{&Case{Hash: hash, Name: name}, &sim.Year{}, nil}) }
	put("a", "first")
	put("b", "")
	_, ok := a.get("a") // now b is the one not used for longest
	assert.True(t, ok)
	put("c", "")
	_, ok = a.get("b")
	assert.False(t, ok)
	put("a", "second")
	k, ok := a.get("a")
	assert.True(t, ok)
	assert.Equal(t, "second", k.c.Name)
	assert.Equal(t, 2, a.len())
}

// Many at once: each client gets the bytes of its own request.
func TestService_AtOnce(t *testing.T) {
	s := New(Config{MaxRunning: 2, MaxAnswers: 2})
	base := complete(t)
	raw, want := make([][]byte, 3), make([]string, 3)
	for i := range raw {
		raw[i] = text(t, with(t, base, fmt.Sprintf(`{"name":"number %d","bank":{"modules":%d}}`, i, 2+i)))
		want[i] = call(t, New(Config{}), "POST", "/v1/simulations?detail=months", raw[i]).Body.String()
	}
	var all sync.WaitGroup
	for n := range 12 {
		all.Go(func() {
			w := call(t, s, "POST", "/v1/simulations?detail=months", raw[n%3])
			assert.Equal(t, 200, w.Code)
			assert.True(t, want[n%3] == w.Body.String(), n)
		})
	}
	all.Wait()
	assert.Empty(t, s.slots.running)
	assert.Empty(t, s.slots.waiting)
}
