package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/fault"
)

// Flexible load is shed at a reported SoC of .30 and returns at .50; essential
// load stays on, and none of it is downtime (common practice). By hand: 5.12
// kWh, 300 W essential and 200 W flexible, then 1 kW of sun.
func TestShedAndReturn(t *testing.T) {
	w := dayThen(8, 0, 100)
	for name, l := range map[string]*sim.Load{
		"AC": {ACEssentialW: column(8760, always(300)), ACFlexibleW: column(8760, always(200))},
		"DC": {DCEssentialW: column(8760, always(300)), DCFlexibleW: column(8760, always(200))},
	} {
		y := run(t, w, l, ideal, topped)
		shed := .699 * 5120 / 500 // h
		low := .3 - (8-shed)*300/5120
		back := 8 + (.5-low)*5120/700
		assert.InDelta(t, .2*(back-shed), y.Figures.ShedKWh, 1e-4, name)
		assert.InDelta(t, y.Figures.ShedKWh, y.Figures.UnservedKWh, 1e-9, name)
		assert.Zero(t, y.Figures.DowntimeH)
		assert.InDelta(t, low, y.Figures.LowestSoC, 1e-4)
	}
	y := run(t, w, &sim.Load{ACFlexibleW: column(8760, always(500))}, ideal, `{"controls":{"shed_soc_fraction":0,"return_soc_fraction":0.01},"bank":{"initial_soc_fraction":0.1}}`)
	assert.Positive(t, y.Figures.UnservedKWh)
	assert.Zero(t, y.Figures.DowntimeH, "downtime is counted on essential load")
}

// shedsByVoltage has no counter: flexible load is shed below 50 V for ten minutes and
// is back above 52.5 V. 48 to 57.6 V over 100 Ah behind 0.1 Ω, half full.
const shedsByVoltage = `{"bank":{"operation":"voltage_only","initial_soc_fraction":0.5,"estimate":{"kind":"none"},
  "module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.1},
  "settings":{"absorb_v":56,"absorb_max_s":86400,"tail_a":10,"float_v":54,"restart_charge_v":53,"charge_a":1000}},
  "controls":{"shed_below_v":50,"shed_below_hold_s":600,"return_above_v":52.5,"low_end":{"cut_off_v":46,"fast_cut_off_v":45,"return_v":47}}}`

// Where nothing reports a state of charge flexible load is shed by voltage (common
// practice). By hand, in steps of a second: 300 W essential and 200 W flexible, no
// sun for four hours, then 1 kW; V = E − R·I, P = V·I.
func TestShedByVoltage(t *testing.T) {
	const essential, flexible, sun = 300., 200., 1000.
	q, shed, low, shedS, times := .5, false, 0, 0., 0
	for s := range 12 * 3600 {
		p := -essential
		if !shed {
			p -= flexible
		}
		if s >= 4*3600 {
			p += sun
		}
		e := 48 + 9.6*q
		i := 2 * p / (e + math.Sqrt(e*e+4*.1*p))
		v := e + .1*i
		switch {
		case !shed && v < 50:
			if low++; low > 600 {
				shed = true
				times++
			}
		case shed && v > 52.5:
			shed, low = false, 0
		default:
			low = 0
		}
		if shed {
			shedS++
		}
		q += i / 360000
		if q > .8 { // far from absorption still
			break
		}
	}
	require.Equal(t, 1, times)
	require.Greater(t, shedS, 3600.)
	w := dayThen(4, 0, 100)
	l := &sim.Load{ACEssentialW: column(8760, always(essential)), ACFlexibleW: column(8760, always(flexible))}
	y := run(t, w, l, ideal, shedsByVoltage)
	assert.InDelta(t, flexible*shedS/3.6e6, y.Figures.ShedKWh, 2e-4)
	assert.InDelta(t, y.Figures.ShedKWh, y.Figures.UnservedKWh, 1e-9)
	assert.Zero(t, y.Figures.DowntimeH)

	// a sag that is shorter than the hold sheds nothing
	w = year(600, always(0), always(25))
	brief := &sim.Load{ACEssentialW: column(w.Len(), func(row int) float64 {
		if row == 1 {
			return 3000 // at 80 % 55.7 V, and 49.7 V under it
		}
		return 0
	}), ACFlexibleW: column(w.Len(), func(row int) float64 {
		if row < 100 {
			return 10
		}
		return 0
	})}
	for hold, sheds := range map[string]bool{"601": false, "600": false, "500": true} {
		y := run(t, w, brief, ideal, shedsByVoltage, `{"bank":{"initial_soc_fraction":0.8},"controls":{"shed_below_hold_s":`+hold+`}}`)
		assert.Equal(t, sheds, y.Figures.ShedKWh > 0, "%s s", hold)
	}
}

// A return that does not lie above where it is shed chatters, and one of nothing is a
// slip.
func TestShedCheck(t *testing.T) {
	for name, c := range map[string]struct {
		below, above float64
		pointers     []string
	}{
		"neither": {0, 0, nil}, "both": {52, 53, nil}, "no return": {52, 0, []string{"/controls/return_above_v"}},
		"equal": {52, 52, []string{"/controls/return_above_v"}}, "return alone": {0, 53, []string{"/controls/return_above_v"}},
	} {
		s := system(t).System
		s.Controls.ShedBelowV, s.Controls.ReturnAboveV = c.below, c.above
		faults := fault.New()
		s.Check(faults)
		var got []string
		for _, f := range faults.Faults() {
			got = append(got, f.Pointer)
		}
		assert.Equal(t, c.pointers, got, name)
	}
}
