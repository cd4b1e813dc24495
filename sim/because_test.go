package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// The reason of an outage is the largest energy refused or missed since the bank
// was last full (common practice, no source): systems in which one thing is
// clearly wrong are told so.
func TestBecause(t *testing.T) {
	for name, c := range map[string]struct {
		patch string
		want  sim.Reason
	}{
		"low_sun":             {`{"generators":null,"bank":{"modules":2}}`, sim.ByLowSun},
		"no_start_hours":      {`{"bank":{"modules":2},"generators":{"main":{"no_start_hours":"16-15"}}}`, sim.ByNoStartHours},
		"generator_failed":    {`{"bank":{"modules":2},"generators":{"main":{"failed_start_fraction":1,"no_start_hours":null}}}`, sim.ByGenerator},
		"no_fuel":             {`{"bank":{"modules":2},"generators":{"main":{"fuel_store_l":1,"no_start_hours":null}}}`, sim.ByFuel},
		"settings, a cap":     {`{"bank":{"modules":2},"generators":{"main":{"no_start_hours":null,"daily_cap_h":0.1,"min_run_s":60}}}`, sim.BySettings},
		"grid_outage":         {`{"generators":null,"bank":{"modules":2},"array":{"planes":{"roof":{"rated_kw":0.5}}},"grid":{"limit_w":4000,"outages":{"mean_hours_between":300,"mean_h":60}}}`, sim.ByGrid},
		"charge_blocked_cold": {`{"generators":null,"bank":{"modules":4,"enclosure":{"kind":"fixed","fixed_c":-1,"heater_w_per_module":0}}}`, sim.ByCold},
		// lead-acid compensation left on: trips on every cold morning
		"settings": {`{"generators":null,"bank":{"operation":"voltage_only","modules":3,"enclosure":{"kind":"outdoor","heater_w_per_module":0},"module":{"protection":{"charge_cold_c":-59,"charge_cold_release_c":-50,"over_voltage_latch_count":100},"key":"lfp_16s_100ah_one_switch"},
			"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":16,"charge_a":100,"compensation_v_per_c":-0.096}}}`, sim.BySettings},
		"settings, too low":  {`{"generators":null,"bank":{"operation":"voltage_only","settings":{"absorb_v":53.4,"float_v":52.8,"restart_charge_v":51,"tail_a":16,"charge_a":100}}}`, sim.BySettings},
		"charge_blocked_hot": {`{"generators":null,"bank":{"modules":12,"enclosure":{"insulation_c_per_w":1}}}`, sim.ByHot},
		"link_loss":          {`{"generators":null,"array":{"planes":{"roof":{"rated_kw":14}},"chargers":{"south":{"rated_a":300,"rated_array_kw":20}}},"bank":{"modules":12,"enclosure":{"kind":"ventilated_room"},"on_link_loss":"charge_stops","link_faults":{"listed":[{"start":"2025-07-01T00:00","hours":1000}],"mean_hours_between":0}}}`, sim.ByLink},
	} {
		y := plan(t, c.patch).Run(true)
		require.NotEmpty(t, y.Outages, name)
		told := map[string]int{}
		for _, o := range y.Outages {
			told[o.Because.String()]++
		}
		most := ""
		for reason, n := range told {
			if n > told[most] || n == told[most] && reason == name {
				most = reason
			}
		}
		assert.Equal(t, c.want.String(), most, "%s: %v", name, told)
	}
}

// An outage tells what changed in the 48 h before, in order, and what the sun
// and the load did.
func TestOutageChain(t *testing.T) {
	y := plan(t, `{"bank":{"modules":2}}`).Run(true)
	require.NotEmpty(t, y.Outages)
	for _, o := range y.Outages {
		require.NotEmpty(t, o.Chain)
		for i, e := range o.Chain {
			assert.LessOrEqual(t, e.At, o.Start)
			if i > 0 {
				assert.LessOrEqual(t, o.Chain[i-1].At, e.At)
			}
		}
		whats := make([]string, len(o.Chain))
		for i, e := range o.Chain {
			whats[i] = e.What
		}
		assert.Contains(t, whats, "load stops")
		assert.Equal(t, "inverter", whats[len(whats)-1])
		assert.Greater(t, o.Before.LoadKWh, 0.)
		assert.LessOrEqual(t, o.Before.SolarUsedKWh, o.Before.SolarAvailableKWh+1e-9)
	}
	assert.Equal(t, "generator is wanted and may not start", whatBefore(y.Outages[0].Chain, "load stops"))
}

// whatBefore is the event before the last of a name.
func whatBefore(chain []sim.Event, what string) string {
	for i := len(chain) - 1; i > 0; i-- {
		if chain[i].What == what {
			return chain[i-1].What
		}
	}
	return ""
}

// An outage that the BMS makes of temperature has no reason among energies, for a full bank
// goes dark too; one of a voltage that latches it open is the settings' (common practice, no
// source).
func TestBecause_WhatNoChargeWouldHelp(t *testing.T) {
	const outdoors = `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0},"module":{"protection":{"discharge_cold_c":-5,"discharge_cold_release_c":2}}}}`
	for name, c := range map[string]struct {
		patches []string
		cause   sim.Cause
		want    sim.Reason
	}{
		"discharge window":       {[]string{outdoors, `{"bank":{"operation":"data_linked"}}`}, sim.TooCold, sim.NoReason},
		"trip of discharge":      {[]string{outdoors, `{"bank":{"operation":"voltage_only","module":{"protection":{"discharge_cold_c":0}}}}`}, sim.ProtectionOff, sim.NoReason},
		"latched by its voltage": {[]string{`{"bank":{"operation":"voltage_only","settings":{"absorb_v":58.4,"float_v":54,"restart_charge_v":51,"tail_a":16,"charge_a":100}}}`}, sim.ProtectionOff, sim.BySettings},
	} {
		n := 0
		for _, o := range plan(t, c.patches...).Run(true).Outages {
			if o.Cause == c.cause {
				n++
				assert.Equal(t, c.want, o.Because, "%s: %s at %v", name, o.Start, o.SoC)
			}
		}
		assert.NotZero(t, n, name)
	}
}
