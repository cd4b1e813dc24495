package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A module that drops out takes its share of the charge with it: 100 Ah of two
// modules at 51.2 V last 5.12 kWh/P hours less half of what was left at that
// moment. Without a link it is found at the next outage.
func TestModuleOut_ByHand(t *testing.T) {
	w := steady(0)
	const watts = 512.
	y := run(t, w, dc(w, watts), ideal, `{"bank":{"modules":2,"operation":"data_linked","modules_out":{"modules":1,"start":"2025-01-01T05:00","found_after_h":8784}}}`)
	require.NotEmpty(t, y.Outages)
	// 20 h at 512 W; after 5 h 15 h are left, half of it goes
	assert.Contains(t, []string{"2025-01-01T12:29:59", "2025-01-01T12:30:00"}, y.Outages[0].Start)
	assert.InDelta(t, 7.5, y.Figures.UnnoticedH, 1e-3)
	assert.InDelta(t, 7.5+72, y.Figures.ModulesOutH, 1e-3)
	assert.Equal(t, "module_out", y.Outages[0].Because.String())
}

// Over a link it is found within hours and back after the repair; without one it
// stays out until an outage tells.
func TestModuleOut_Found(t *testing.T) {
	const out = `{"bank":{"modules_out":{"modules":1,"start":"2025-06-01T00:00"}}}`
	y := plan(t, out).Run(true)
	assert.InDelta(t, 6, y.Figures.UnnoticedH, 1e-6)
	assert.InDelta(t, 78, y.Figures.ModulesOutH, 1e-6)
	y = plan(t, out, `{"bank":{"operation":"voltage_only"}}`).Run(true)
	assert.Greater(t, y.Figures.UnnoticedH, 24*30.)
}

// Without modules that drop out nothing changes.
func TestModuleOut_None(t *testing.T) {
	require.Equal(t, plan(t).Run(false), plan(t, `{"bank":{"modules_out":{"modules":0,"start":"2025-06-01T00:00"}}}`).Run(false))
	require.Equal(t, plan(t).Run(false).Figures.DowntimeH, plan(t, `{"bank":{"modules_out":{"modules":1,"start":"2026-06-01T00:00"}}}`).Run(false).Figures.DowntimeH)
}
