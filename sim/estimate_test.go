package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// shunt is a voltage-only ideal bank, half full, behind a counter without error
// but what a test adds.
const shunt = `{"bank":{"operation":"voltage_only","initial_soc_fraction":0.5,"estimate":{"kind":"shunt","gain_fraction":0,"offset_a":0,"dead_band_a":0,"assumed_efficiency_fraction":1}}}`

func number[T ~float32 | ~float64](x T) float64 { return float64(x) }

// Drift of an amp-hour counter at rest, computed from its offset and 280 Ah:
// .05, .1, .25 and .5 A are .429, .857, 2.143 and 4.286 % a day (error sources:
// Movassagh et al. 2021, Energies 14(14), 4074).
func TestOffsetDrifts(t *testing.T) {
	w := steady(0)
	for offset, percent := range map[float64]float64{.05: .429, .1: .857, .25: 2.143, .5: 4.286, -.1: -.857} {
		y := run(t, w, &sim.Load{}, ideal, shunt, patch(`{"bank":{"module":{"capacity_ah":280},"estimate":{"offset_a":%g}}}`, offset))
		reported := values(t, y, "reported_soc_fraction")
		assert.InDelta(t, percent/100, number(reported[23])-.5, 1e-5, "offset %g A", offset)
		assert.InDelta(t, 5*percent/100, number(reported[5*24-1])-.5, 3e-5, "offset %g A", offset)
		assert.InDelta(t, .5, values(t, y, "soc_fraction")[5*24-1], 1e-9)
		last := .5 // the reading ends at full or at empty
		assert.InDelta(t, last, y.Figures.SoCErrorMax, 1e-9)
	}
}

// The error of a counter that drifts by .1 A of 280 Ah, by hand: e·t after t days,
// e = .1·24/280, so at the ends of the hours of January e·31/2·745/744 in the mean and
// e·31 at most; .5, where it reads full, after 1400 h, and that from there on.
func TestSoCErrorByMonth(t *testing.T) {
	w := steady(0)
	y := run(t, w, &sim.Load{}, ideal, shunt, `{"bank":{"module":{"capacity_ah":280},"estimate":{"offset_a":0.1}}}`)
	const e = .1 * 24 / 280
	january, june := y.Months()[0], y.Months()[5]
	assert.InDelta(t, e*31/2*745/744, january.SoCErrorMean, 1e-6)
	assert.InDelta(t, e*31, january.SoCErrorMax, 1e-6)
	assert.InDelta(t, .5, june.SoCErrorMean, 1e-9)
	assert.InDelta(t, .5, june.SoCErrorMax, 1e-9)
	assert.Contains(t, []string{"2025-02-28T08:00:00", "2025-02-28T09:00:00"}, y.Figures.SoCErrorMaxAt, "1400 h are 58 days and 8 h; rounding may leave the rest to the next")
	most := 0.
	for _, m := range y.Months() {
		most = max(most, m.SoCErrorMax)
	}
	assert.Equal(t, most, y.Figures.SoCErrorMax)
	none := run(t, w, &sim.Load{}, ideal, shunt, `{"bank":{"estimate":{"kind":"none"}}}`)
	assert.Empty(t, none.Figures.SoCErrorMaxAt)
	assert.Zero(t, none.Months()[0].SoCErrorMean)
}

// One row of charge or discharge, as the counter adds it up, by hand: 100 Ah at
// 51.2 V.
func TestCounting(t *testing.T) {
	const amperes = 20.
	for name, c := range map[string]struct {
		patch             string
		charge, discharge float64 // reported, over true
	}{
		"exact":                 {`{}`, 1, 1},
		"gain":                  {`{"gain_fraction":0.005}`, 1.005, 1.005},
		"assumed efficiency":    {`{"assumed_efficiency_fraction":0.98}`, .98, 1},
		"both":                  {`{"gain_fraction":0.005,"assumed_efficiency_fraction":0.98}`, 1.005 * .98, 1.005},
		"offset":                {`{"offset_a":1}`, 1.05, .95},
		"assumed draw":          {`{"assumed_draw_a":0.4}`, .98, 1.02},
		"assumed capacity":      {`{"assumed_capacity_ah":80}`, 1.25, 1.25},
		"above the dead band":   {`{"dead_band_a":19.9}`, 1, 1},
		"inside the dead band":  {`{"dead_band_a":20.1}`, 0, 0},
		"offset lifts it above": {`{"dead_band_a":20.1,"offset_a":1}`, 1.05, 0},
	} {
		for _, sign := range []float64{1, -1} {
			w := dayThen(1, max(0, sign)*amperes*51.2/10, 0)
			y := run(t, w, forHours(1, max(0, -sign)*amperes*51.2), ideal, shunt, `{"bank":{"estimate":`+c.patch+`}}`)
			moved := number(values(t, y, "soc_fraction")[0]) - .5
			assert.InDelta(t, sign*.2, moved, 1e-5)
			want := c.charge
			if sign < 0 {
				want = c.discharge
			}
			assert.InDelta(t, want*moved, number(values(t, y, "reported_soc_fraction")[0])-.5, 2e-6, "%s, %g", name, sign)
		}
	}
}

// What the cells lose and the BMS takes inside the modules no counter sees, and
// a counter that assumes no loss reads high: computed from the input.
func TestUnseenDraw(t *testing.T) {
	y := run(t, steady(0), &sim.Load{}, ideal, shunt, `{"bank":{"module":{"bms_draw_w":3,"self_discharge_per_month_fraction":0.02}}}`)
	assert.InDelta(t, .5, values(t, y, "reported_soc_fraction")[240-1], 1e-9)
	assert.InDelta(t, .5-240*3/5120.-.02*240/730*.43, values(t, y, "soc_fraction")[240-1], 1e-3)
}

// A counter is put right at its own end of charge, at a voltage and a small
// current held for a time; an absorption that only timed out does not (common
// practice).
func TestResetAtFull(t *testing.T) {
	w := steady(300)
	drifting := `{"bank":{"estimate":{"kind":"shunt","gain_fraction":-0.1,"offset_a":0,"dead_band_a":0.1,"full_seen_at_v":55.2,"full_seen_a":12,"full_seen_hold_s":60}}}`
	for name, c := range map[string]struct {
		patch string
		reset bool
	}{
		"tail": {`{}`, true}, "timed out before": {`{"bank":{"settings":{"absorb_max_s":600}}}`, false},
		"voltage never seen": {`{"bank":{"estimate":{"full_seen_at_v":56.1}}}`, false}, "never as small": {`{"bank":{"estimate":{"full_seen_a":5}}}`, false},
	} {
		y := run(t, w, forHours(0, 0), ideal, sloping, drifting, c.patch)
		reported, soc := number(values(t, y, "reported_soc_fraction")[5]), number(values(t, y, "soc_fraction")[5])
		if c.reset {
			assert.Equal(t, 1., reported, name)
		} else {
			assert.Less(t, reported, soc, "gain of −10 %% reads low: %s", name)
		}
	}
}

// A BMS counter is put right at the low knee as well: 3.0 V a cell is 5 %
// (common practice).
func TestResetAtLowKnee(t *testing.T) {
	for knee, reported := range map[string]float64{"3": .03, "0": .25} {
		y := run(t, steady(0), forHours(8, 512), ideal, `{"bank":{"initial_soc_fraction":0.5,
		  "module":{"open_circuit_by_soc_v":[[0,2.9],[0.05,3],[0.2,3.2],[1,3.3]]},
		  "estimate":{"kind":"bms","gain_fraction":0,"offset_a":5,"dead_band_a":0,"assumed_efficiency_fraction":1,"low_knee_cell_v":`+knee+`}}}`)
		row := 0
		for soc := values(t, y, "soc_fraction"); soc[row] > .05; row++ {
		}
		got := number(values(t, y, "reported_soc_fraction")[row])
		assert.InDelta(t, reported, got, .03, "knee at %s V a cell", knee)
	}
}

// The classic false full: a counter left on lead-acid values, 52.8 V and 4 % of
// capacity, calls full at any dawn, for LFP rests at 52.8 V at 51 % (common
// practice; open-circuit table of Sunil, Pattipati & Balasingam 2025).
func TestFalseFull(t *testing.T) {
	w := dayThen(1, 0, 15) // 150 W of sun at dawn: 2.8 A into 100 Ah
	for volts, full := range map[string]bool{"52.8": true, "55.2": false} {
		y := run(t, w, &sim.Load{}, ideal, shunt, `{"bank":{"initial_soc_fraction":0.52,"module":{"chemistry":"lfp","open_circuit_by_soc_v":null,"resistance_ohm":0.025},
		  "estimate":{"full_seen_at_v":`+volts+`,"full_seen_a":4,"full_seen_hold_s":60}}}`)
		assert.InDelta(t, .55, values(t, y, "soc_fraction")[1], .01)
		assert.Equal(t, full, values(t, y, "reported_soc_fraction")[1] == 1, "full seen at %s V", volts)
	}
}
