package sim_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// refusing is a voltage-only bank of 51.2 V and 100 Ah, half full, whose directional
// disconnect blocks charge for cold 10 s after the sun begins it. Its chargers hold
// 56 V until the current has been below 5 A for 10 min, then 54 V.
const refusing = `{"bank":{"operation":"voltage_only","initial_soc_fraction":0.5,"enclosure":{"fixed_c":-1},
  "settings":{"absorb_v":56,"absorb_max_s":3600,"tail_a":5,"tail_hold_s":600,"float_v":54,"restart_charge_v":50,"charge_a":1000}}}`

// With the charge switch open the cells are no part of the bus: it stands where the
// chargers hold it, and they take the current that is not there for the tail of a
// full bank. By hand: 10 s of charge at 51.2 V, 10 min at 56 V, then 54 V; 100 Ah take
// 10 s of 600 W. With less sun than load the bank gives the rest at its own voltage
// (common practice, no source).
func TestBusOverABlockedBank(t *testing.T) {
	w := year(3600, func(row int) float64 {
		switch row {
		case 0, 1:
			return 100 // 1 kW
		}
		return 30
	}, always(20))
	y := run(t, w, dc(w, 400), ideal, refusing)
	volts, amperes, soc := values(t, y, "bank_v"), values(t, y, "bank_a"), values(t, y, "soc_fraction")
	assert.InDelta(t, (10*51.2+600*56+2990*54)/3600, volts[0], 1e-3)
	assert.InDelta(t, 54, volts[1], 1e-5)
	assert.InDelta(t, .5+600/51.2*10/360000, soc[1], 1e-6)
	assert.InDelta(t, 51.2, volts[2], 1e-3)
	assert.InDelta(t, -100/51.2, amperes[2], 1e-3)
	assert.Equal(t, sim.ProtectionOff, y.Hours.Curtailed[1], "float of a bank that took nothing is not full")

	// a shunt, which sees the bus at its full voltage and no current, says full
	shunt := values(t, run(t, w, dc(w, 400), ideal, refusing, `{"bank":{"estimate":{"kind":"shunt"}}}`), "reported_soc_fraction")
	assert.InDelta(t, 1, shunt[1], 1e-6)

	// a set-point below the bank's own voltage shuts the chargers: the bank carries all
	y = run(t, w, dc(w, 400), ideal, refusing, `{"bank":{"settings":{"float_v":51,"restart_charge_v":50}}}`)
	volts, amperes = values(t, y, "bank_v"), values(t, y, "bank_a")
	assert.InDelta(t, 51.2, volts[1], 1e-3)
	assert.InDelta(t, -400/51.2, amperes[1], 1e-3)
}

// Low end and cut-off read the bus: over cells of 48 V, which are below the cut-off of
// 49.6 V, a load that the sun carries stays on; one that it does not carry is stopped
// 30 s after, comes back at the set-point a second later, and is locked out by the third stop
// within the hour (common practice, no source).
func TestLowEndReadsTheBus(t *testing.T) {
	w := steady(50) // 500 W
	weak := `{"bank":{"module":{"open_circuit_by_soc_v":[[0,3],[1,3]]}},"controls":{"visit_response_h":8784,"low_end":{"return_needs_charge":%s}}}`
	for _, needsCharge := range []string{"false", "true"} { // held by chargers it counts as charged
		y := run(t, w, dc(w, 400), ideal, refusing, `{"bank":{"module":{"protection":{"charge_seen_a":1}}}}`, fmt.Sprintf(weak, needsCharge))
		assert.Zero(t, y.Figures.DowntimeH)
		assert.Zero(t, y.Figures.SuddenStops)

		y = run(t, w, dc(w, 600), ideal, refusing, fmt.Sprintf(weak, needsCharge))
		// 30 s over the bank, then 10 s of charge that is blocked, and twice 30 s more
		assert.InDelta(t, 3*30., (8760-y.Figures.DowntimeH)*3600, 1e-3)
		require.NotEmpty(t, y.Outages)
		assert.InDelta(t, 10, y.Outages[0].Hours*3600, 1e-3)
		assert.InDelta(t, 1, y.Outages[1].Hours*3600, 1e-3)
		assert.Len(t, y.Outages, 3)
	}
}

// The BMS looks at its cells: behind a bus of 54 V its own draw takes them down to the
// under-voltage of 44.8 V, 5 s after which the bank opens discharge too, and the
// inverter stops. By hand: the cells give ∫E dq between the two voltages, and the 10 s
// of charge, less what steps of a minute take the draw for (common practice, no source).
func TestCellsBehindABusGoLow(t *testing.T) {
	w := steady(100) // 1 kW
	const load, draw, from = 400., 100., .2
	const e0, e1 = 16 * (2.7 + .6*from), 44.8
	y := run(t, w, ac(w, load), ideal, refusing, patch(`{"bank":{"initial_soc_fraction":%g,"module":{"bms_draw_w":%g,"open_circuit_by_soc_v":[[0,2.7],[1,3.3]],"protection":{"under_v":44.8,"under_v_delay_s":5}}},
		"controls":{"low_end":{"cut_off_v":44,"fast_cut_off_v":43.5}}}`, from, draw), `{"controls":{"internal_step_s":60},"bank":{"enclosure":{"surface_c_per_w":0.001}}}`)
	const wh = 100 * (e0 - e1) / (16 * .6) * (e0 + e1) / 2
	lit := (wh+(1000-load)*10/3600)/draw + 5/3600.
	assert.InDelta(t, 2-lit, values(t, y, "downtime_fraction")[1], 1e-4)
	assert.Equal(t, sim.ProtectionOff, y.Outages[0].Cause)
}
