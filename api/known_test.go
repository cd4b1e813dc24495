package api

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The same weather and load are the same objects in the next request, however they
// are given, and each answer tells of its own request.
func TestKnown(t *testing.T) {
	s := New(Config{})
	readBy := func(request map[string]any) *Case {
		c, faults, _ := s.cases().Read(text(t, request))
		require.Empty(t, faults)
		return c
	}
	columns := complete(t)
	first := readBy(columns)
	for name, request := range map[string]map[string]any{
		"another bank":  with(t, columns, `{"bank":{"modules":3}}`),
		"text":          withWeather(station(t), textWeather(t)),
		"a stated step": with(t, columns, `{"weather":{"step_s":3600}}`),
	} {
		c, alone := readBy(request), read(t, request)
		assert.Same(t, first.Weather, c.Weather, name)
		assert.Same(t, first.Load, c.Load, name)
		assert.Equal(t, alone.Hash, c.Hash, name)
		assert.Equal(t, alone.Assumed, c.Assumed, name)
		assert.Equal(t, alone.Notes, c.Notes, name)
	}
	for name, patch := range map[string]string{"site": `{"site":{"latitude_deg":44.468}}`, "year": `{"calendar_year":2026}`, "wind": `{"weather":{"wind_m_s":null}}`} {
		request := with(t, columns, patch)
		c := readBy(request)
		assert.NotSame(t, first.Weather, c.Weather, name)
		assert.Equal(t, read(t, request).Hash, c.Hash, name)
	}
	series := make([]float64, 8760)
	series[7] = 100
	given := with(t, columns, `{"load":null}`)
	given["load"] = map[string]any{"ac_essential_w": series}
	assert.Same(t, readBy(given).Load, readBy(given).Load)
	series[8] = 100
	assert.NotEqual(t, readBy(given).Hash, readBy(with(t, given, `{"load":{"ac_essential_w":null,"appliances":{"lights":{"w":10}}}}`)).Hash)
	t.Run("what is wrong is wrong again", func(t *testing.T) {
		for range 2 {
			_, faults, _ := s.cases().Read(text(t, with(t, columns, `{"weather":{"ambient_c":[1,2]}}`)))
			require.NotEmpty(t, faults)
		}
	})
}
