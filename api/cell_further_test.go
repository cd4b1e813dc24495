package api

import (
	"encoding/json"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

// A cell may ask for figures that take other runs: each is that of the answer.
func TestCells_FurtherFigures(t *testing.T) {
	s, system := sheet(t)
	w := call(t, s, "POST", "/v1/simulations?detail=endurance,headroom,bands", text(t, with(t, system, `{"bank":{"modules":3}}`)))
	require.Equal(t, 200, w.Code, w.Body.String())
	var a Answer
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
	ask := func(figure string) string {
		w := call(t, s, "GET", "/v1/systems/hut/figures/"+figure+"?bank.modules=3", nil)
		require.Equal(t, 200, w.Code, "%s: %s", figure, w.Body.String())
		assert.Equal(t, asciiUnit(fault.UnitOf(figure)), w.Header().Get("Figure-Unit"))
		assert.Equal(t, a.Hash, w.Header().Get("Simulation-Hash"))
		return w.Body.String()
	}
	as := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	assert.Equal(t, as(*a.Endurance.AutonomyH), ask("autonomy_h"))
	assert.Equal(t, as(*a.Endurance.DaysToDamage), ask("days_to_damage"))
	assert.Equal(t, as(a.Headroom.Fraction), ask("load_headroom_fraction"))
	assert.Equal(t, a.Headroom.BreaksFirst, ask("breaks_first"))
	assert.Equal(t, as(a.People.Attended.DowntimeH), ask("attended_downtime_h"))
	assert.Equal(t, as(a.People.Nobody.DowntimeH), ask("nobody_there_downtime_h"))
	assert.Equal(t, a.Bands.Figures["downtime_h"].Words, ask("downtime_words"))
	for _, r := range a.Endurance.Recharge {
		if r.By == "sun" && r.When == "winter" && r.Operation == "voltage_only" {
			assert.Equal(t, as(*r.Hours), ask("recharge_by_sun_h"))
		}
	}
	assert.Equal(t, 404, call(t, s, "GET", "/v1/systems/hut/figures/recharge_by_generator_h", nil).Code, "there is none")
	for _, f := range furtherFigures {
		assert.Nil(t, lookup(map[string]any{}, f.name))
		assert.NotContains(t, figureNames(), f.name)
	}
}
