package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// steep is a voltage-only bank of 48 to 60 V over 100 Ah behind 10 mΩ, whose
// over-voltage trips at 58.4 V less 16 times 30 mV of cell spread (common
// practice).
const steep = `{"bank":{"operation":"voltage_only","initial_soc_fraction":0.5,"module":{"open_circuit_by_soc_v":[[0,3],[1,3.75]],"resistance_ohm":0.01},
  "settings":{"absorb_v":56,"absorb_max_s":86400,"tail_a":0,"float_v":54,"restart_charge_v":53,"charge_a":40}}}`

// The BMS opens when the mean voltage and the spread of the cells pass the
// limit for 2 s; below 54.4 V it closes again 60 s later. By hand: 40 A up to
// 57.92 V less 0.4 V of resistance.
func TestOverVoltageCountsTheSpread(t *testing.T) {
	w := steady(400)
	for absorb, trips := range map[float64]bool{57.9: false, 58.2: true} {
		y := run(t, w, forHours(0, 0), ideal, steep, patch(`{"bank":{"settings":{"absorb_v":%g}}}`, absorb))
		assert.Equal(t, trips, y.Figures.TripsByKind["over_voltage"] > 0, "absorption at %g V", absorb)
		soc := values(t, y, "soc_fraction")
		if trips { // a full bank stays above the release: it opens once, at 57.52 V open circuit and 2 s more
			assert.InDelta(t, (57.92-.4-48)/12+40*2./360000, soc[100], 2e-5)
			assert.Equal(t, 1, y.Figures.Trips)
		} else {
			assert.InDelta(t, (57.9-48)/12, soc[100], 1e-4)
		}
	}
}

// An open disconnect sees its own cells, not the bus that chargers hold beside it:
// 57.52 V behind 58.2 V are below a release of 57.7 V. It closes 60 s later and opens
// again 2 s after that, until the fifth time within an hour (common practice).
func TestOverVoltageReleasesByTheCells(t *testing.T) {
	y := run(t, steady(400), forHours(0, 0), ideal, steep, `{"bank":{"module":{"disconnect":"one_switch","protection":{"over_v_release_v":57.7}},"settings":{"absorb_v":58.2}},
	  "controls":{"chargers_hold_bus":true,"visit_response_h":8784}}`)
	assert.Equal(t, 5, y.Figures.TripsByKind["over_voltage"])
	assert.Equal(t, 5, y.Figures.Openings)
	assert.InDelta(t, 40, y.Figures.OpeningMostA, 1e-6)
}

// Settings left on lead-acid, 57.6 V and −4 mV a cell and kelvin, are 60 V at
// 0 °C: over-voltage trips on winter mornings (common practice).
func TestCompensationLeftOnTripsInWinter(t *testing.T) {
	leadAcid := `{"bank":{"enclosure":{"heater_w_per_module":0,"kind":"fixed","fixed_c":25},"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":4,"absorb_max_s":7200,"charge_a":100,"compensation_v_per_c":%g}}}`
	for _, c := range []struct {
		perC, airC float64
		trips      bool
	}{{0, 5, false}, {-.096, 25, false}, {-.096, 5, true}} {
		w := year(3600, func(row int) float64 {
			if h := row % 24; h >= 9 && h < 15 {
				return 500
			}
			return 0
		}, always(c.airC))
		y := run(t, w, dc(w, 150), generic, `{"generators":null,"array":{"planes":{"roof":{"rated_kw":6}}}}`, voltageOnly, patch(leadAcid, c.perC), patch(`{"bank":{"enclosure":{"fixed_c":%g}}}`, math.Max(c.airC, 5)))
		assert.Equal(t, c.trips, y.Figures.TripsByKind["over_voltage"] > 0, "%+v: %v", c, y.Figures.TripsByKind)
	}
}

// More charge current than the modules bear for 10 s opens them (common
// practice); two chargers that each keep their own setting can push it.
func TestChargeOverCurrent(t *testing.T) {
	w := dayThen(1, 600, 0) // 6 kW: 117 A
	for limit, trips := range map[float64]int{118: 0, 116: 3600/(10+60) + 1} {
		y := run(t, w, forHours(0, 0), ideal, steep, patch(`{"bank":{"initial_soc_fraction":0.1,"module":{"capacity_ah":1000,"open_circuit_by_soc_v":[[0,3.2],[1,3.2]],"resistance_ohm":0.00001,
			"protection":{"charge_over_a":%g,"over_current_latch_count":100}},"settings":{"charge_a":500}}}`, limit))
		assert.InDelta(t, trips, y.Figures.TripsByKind["charge_over_current"], 1, "limit of %g A", limit)
	}
}

// Under-voltage of 44.8 V for 5 s opens a bank under load; above 49.6 V, or with
// one switch when there is charge voltage, it closes (common practice).
func TestUnderVoltage(t *testing.T) {
	w := steady(0)
	low := `{"bank":{"operation":"voltage_only","module":{"resistance_ohm":0.2}},"controls":{"low_end":{"cut_off_v":42.5,"fast_cut_off_v":42.2,"cut_off_delay_s":3600,"return_v":51}}}`
	for watts, trips := range map[float64]bool{1400: false, 1450: true} { // 44.98 and 44.69 V
		y := run(t, w, forHours(1, watts), ideal, low, patch(`{"bank":{"module":{"capacity_ah":1000}}}`))
		assert.Equal(t, trips, y.Figures.TripsByKind["under_voltage"] > 0, "%g W", watts)
		if trips { // 5 s of load and 60 s of rest in turn
			assert.InDelta(t, 3600/65., y.Figures.TripsByKind["under_voltage"], 2)
			assert.InDelta(t, 60/65., y.Figures.DowntimeH, .02)
			assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["protection"], 1e-9)
		}
	}
}

// Outside the discharge window a voltage-only bank opens 10 s later; a linked
// one asks the inverter to stop and stays closed (common practice).
func TestDischargeWindow(t *testing.T) {
	w := steady(0)
	for airC, kind := range map[float64]string{-21: "discharge_too_cold", 56: "discharge_too_hot"} {
		window := patch(`{"bank":{"enclosure":{"fixed_c":%g}}}`, airC)
		alone := run(t, w, ac(w, 100), ideal, voltageOnly, window)
		assert.Equal(t, 1, alone.Figures.TripsByKind[kind])
		_, at := onlyDark(t, alone)
		assert.InDelta(t, 10, at, 1e-6)
		linked := run(t, w, ac(w, 100), ideal, window)
		assert.Zero(t, linked.Figures.Trips)
		assert.InDelta(t, 8760, linked.Figures.DowntimeH, 1e-6)
		sensed := run(t, w, dc(w, 100), ideal, window)
		assert.Zero(t, sensed.Figures.Trips, "a DC load draws on: nobody opens the bank")
	}
	// hysteresis: cells that come back inside are let go at the release, 4 K on
	warm := year(3600, always(0), func(row int) float64 { return -19 })
	warm.AmbientC[0] = -21
	y := run(t, warm, ac(warm, 100), ideal, lump, `{"bank":{"enclosure":{"kind":"outdoor"}}}`)
	assert.InDelta(t, 8760, y.Figures.DowntimeH, 1e-6, "−19 °C is below the release of −16 °C")
}
