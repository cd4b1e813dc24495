package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/profiles"
)

// bytesOf is the whole answer, hours and all.
func bytesOf(t testing.TB, c *Case) string {
	t.Helper()
	body, err := encodeJSON(NewAnswer(c, c.Plan().Run(true), Hours))
	require.NoError(t, err)
	return string(body)
}

func TestHash_SameBytes(t *testing.T) {
	request := complete(t)
	c := read(t, request)
	assert.Regexp(t, "^[0-9a-f]{64}$", c.Hash)
	want := bytesOf(t, c)
	t.Run("twice", func(t *testing.T) {
		assert.Equal(t, want, bytesOf(t, read(t, request)))
	})
	t.Run("one plan run twice", func(t *testing.T) {
		plan := c.Plan()
		plan.Run(false)
		body, err := encodeJSON(NewAnswer(c, plan.Run(true), Hours))
		require.NoError(t, err)
		assert.Equal(t, want, string(body))
	})
	t.Run("members in another order", func(t *testing.T) {
		var cases Cases
		other, faults, _ := cases.Read(reversed(t, text(t, request)))
		require.Empty(t, faults)
		assert.Equal(t, want, bytesOf(t, other))
	})
	t.Run("columns and text", func(t *testing.T) {
		columns := with(t, request, `{"weather":{"step_s":3600}}`)
		assert.Equal(t, bytesOf(t, read(t, columns)), bytesOf(t, read(t, withWeather(station(t), textWeather(t)))))
	})
}

// What does not change what is computed is no part of the hash; what does is.
func TestHash_OfWhat(t *testing.T) {
	base := complete(t)
	hash := read(t, base).Hash
	for name, patch := range map[string]string{
		"name":           `{"name":"another"}`,
		"notes":          `{"notes":"another"}`,
		"stated default": `{"bank":{"cable_ohm":0.002}}`,
		"−0":             `{"bank":{"estimate":{"assumed_draw_a":-0.0}}}`,
	} {
		assert.Equal(t, hash, read(t, with(t, base, patch)).Hash, name)
	}
	for name, patch := range map[string]string{
		"modules":     `{"bank":{"modules":3}}`,
		"latitude":    `{"site":{"latitude_deg":44.468}}`,
		"a weather":   `{"weather":{"wind_m_s":null}}`,
		"a load":      `{"load":{"appliances":{"lights":{"w":41}}}}`,
		"weekdays":    `{"calendar_year":2026}`,
		"an override": `{"bank":{"module":{"capacity_ah":99}}}`,
	} {
		assert.NotEqual(t, hash, read(t, with(t, base, patch)).Hash, name)
	}
	t.Run("by key and spelled out", func(t *testing.T) {
		values, ok := profiles.Lookup("module", "lfp_16s_100ah")
		require.True(t, ok)
		spelled := with(t, with(t, base, `{"bank":{"module":null}}`), `{"bank":{"module":`+string(values)+`}}`)
		assert.Equal(t, hash, read(t, spelled).Hash)
	})
}

func TestEngine(t *testing.T) {
	assert.True(t, strings.HasPrefix(Engine(), "bankyear-"), Engine())
	assert.GreaterOrEqual(t, strings.Count(Engine(), "/"), 1, "version and architecture")
}
