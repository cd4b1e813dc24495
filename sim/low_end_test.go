package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/weather"
)

// sagging is a voltage-only bank whose terminals fall to 47 V under 1 kW: E 51.2
// V, R 0.2 Ω, 100 Ah.
const sagging = `{"bank":{"operation":"voltage_only","module":{"resistance_ohm":0.2}},"controls":{"low_end":{"return_v":51}}}`

// dayThen is one irradiance for some hours, and another after.
func dayThen(hours int, first, then float64) *weather.Year {
	return year(3600, func(row int) float64 {
		if row < hours {
			return first
		}
		return then
	}, always(25))
}

// Data-linked, load stops at a reported SoC and comes back at a higher one,
// half a minute of restart later. By hand: 5.12 kWh, 500 W of load, then 1 kW
// of sun.
func TestLowEndDataLinked(t *testing.T) {
	w := dayThen(11, 0, 100)
	y := run(t, w, ac(w, 500), ideal, topped, `{"controls":{"low_end":{"stop_soc_fraction":0.1,"resume_soc_fraction":0.2}}}`)
	require.Len(t, y.Outages, 1)
	dark := y.Outages[0]
	assert.Equal(t, sim.Empty, dark.Cause)
	assert.InDelta(t, .1, dark.SoC, 1e-9)
	stops, returns := .899*5120/500, 11+.1*5120/1000+30./3600 // h
	assert.InDelta(t, returns-stops, dark.Hours, 1e-4)
	assert.Equal(t, 1, y.Figures.Restarts)
	assert.Zero(t, y.Figures.SuddenStops)
}

// Voltage-only, load stops when the voltage has been below a threshold for its
// time, 49.6 V for 30 s and 46 V for 1 s (common practice), or below what the
// inverter works at; with the sag gone the rest voltage brings the load back.
func TestLowEndVoltageOnly(t *testing.T) {
	w := steady(0)
	for name, c := range map[string]struct {
		patch      string
		watts, lit float64 // load, and how long it is lit before each stop, s
	}{
		"slow":             {`{}`, 1000, 30},
		"fast":             {`{}`, 1500, 1}, // 51.2 − 0.2·34 = 44.3 V
		"inverter":         {`{"inverter":{"min_v":47.5},"controls":{"low_end":{"fast_cut_off_v":44}}}`, 1000, 1},
		"delay of its own": {`{"controls":{"low_end":{"cut_off_delay_s":600}}}`, 1000, 600},
	} {
		y := run(t, w, dc(w, c.watts), ideal, sagging, c.patch, `{"controls":{"visit_response_h":8784}}`)
		// three stops within an hour, then nothing until a visit
		assert.InDelta(t, 3*c.lit, (8760-y.Figures.DowntimeH)*3600, 1e-3, name)
		assert.Equal(t, 3, y.Figures.SuddenStops, "the counter reads nearly full: %s", name)
		assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["sudden_stop"], 1e-9)
	}
}

// Three cut-offs within an hour lock the load out until a visit, 72 h later;
// cut-offs further apart do not (common practice).
func TestLockOut(t *testing.T) {
	w := steady(0)
	const lit, away = 30., 72 * 3600.
	y := run(t, w, dc(w, 1000), ideal, sagging, `{"controls":{"visit_response_h":72}}`)
	visits := 8760 * 3600 / (3*lit + away)
	assert.InDelta(t, visits*3*lit, (8760-y.Figures.DowntimeH)*3600, 3*lit)
	assert.InDelta(t, visits, y.Figures.Outages, 1)

	for within, locks := range map[int]bool{62: true, 61: false} { // a cut-off every 30 s of load and one of rest, until 85 Ah are gone
		y = run(t, w, dc(w, 1000), ideal, sagging, patch(`{"controls":{"low_end":{"lock_out_s":%d},"visit_response_h":8784}}`, within))
		stops := 3.
		if !locks {
			stops = .85 * 100 / ((51.2 - math.Sqrt(51.2*51.2-800)) / .4) * 120
		}
		assert.InDelta(t, stops, y.Figures.SuddenStops, 1, "three within %d s", within)
	}
}

// return_needs_charge keeps the load off until charge flows (common practice).
func TestReturnNeedsCharge(t *testing.T) {
	w := dayThen(5, 0, 200)
	for needs, hours := range map[string]float64{"true": 5 - 30/3600., "false": 0} {
		y := run(t, w, dc(w, 1000), ideal, sagging, `{"controls":{"low_end":{"return_needs_charge":`+needs+`,"lock_out_count":100}}}`)
		require.NotEmpty(t, y.Outages)
		if hours > 0 {
			assert.InDelta(t, hours, y.Outages[0].Hours, 1e-6)
			assert.Len(t, y.Outages, 1)
		} else {
			assert.Greater(t, y.Figures.SuddenStops, 1)
		}
	}
}

// A stop is sudden when the reported SoC did not announce it: above the SoC at
// which load would come back.
func TestSuddenOrEmpty(t *testing.T) {
	w := steady(0)
	for from, cause := range map[float64]sim.Cause{.5: sim.SuddenStop, .16: sim.SuddenStop, .14: sim.Empty} {
		y := run(t, w, dc(w, 1000), ideal, sagging, patch(`{"bank":{"initial_soc_fraction":%g}}`, from))
		assert.Equal(t, cause, y.Outages[0].Cause, "from %g", from)
	}
	y := run(t, w, dc(w, 1000), ideal, sagging, `{"bank":{"estimate":{"kind":"none"}}}`)
	assert.Equal(t, sim.Empty, y.Outages[0].Cause, "nobody reports anything")
}

// More than a bank can carry at any voltage, E²/4R, is a collapse at once.
func TestCollapse(t *testing.T) {
	w := steady(0)
	y := run(t, w, dc(w, 3300), ideal, sagging) // 51.2²/0.8 = 3277 W
	assert.InDelta(t, 8760, y.Figures.DowntimeH, 1e-3)
	y = run(t, w, dc(w, 3200), ideal, sagging, `{"inverter":{"min_v":10},"bank":{"module":{"protection":{"under_v":1}}},"controls":{"low_end":{"cut_off_v":11,"fast_cut_off_v":5}}}`)
	assert.Less(t, y.Figures.DowntimeH, 8760.-.5)
}

// The default low ends of both operations leave the same reserve at light
// load: 6 % data-linked, about 6 % at 49.6 V (common practice).
func TestLowEndsLeaveTheSameReserve(t *testing.T) {
	w := steady(0)
	for _, operation := range []string{`{}`, voltageOnly} {
		y := run(t, w, dc(w, 50), generic, `{"generators":null,"bank":{"initial_soc_fraction":0.3,"modules":2}}`, operation)
		require.NotEmpty(t, y.Outages)
		assert.InDelta(t, .06, y.Outages[0].SoC, .005, operation)
	}
}

// A bank that is drained to nothing gives nothing until 0.1 % of its charge is
// back. By hand: 50 W of sun against a load of 100 W empty 2 % of 5.12 kWh, and
// then fill and drain 5.12 Wh in turn.
func TestDrainedBankRests(t *testing.T) {
	w := steady(5)
	y := run(t, w, dc(w, 100), ideal, `{"bank":{"initial_soc_fraction":0.02}}`)
	first, turn := .02*5120/50, 5.12/50 // h
	assert.InDelta(t, (8760-first)/(2*turn), y.Figures.Outages, 1)
	assert.InDelta(t, turn, y.Figures.LongestOutageH, 1e-3)
	assert.InDelta(t, (8760-first)/2, y.Figures.DowntimeH, turn)
	assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["empty"], 1e-9)
}
