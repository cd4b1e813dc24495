package sim_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// toV is how long a steep bank without resistance takes from 54 V to a voltage under
// chargers of 40 A and a load of 200 W: with V = 48 V + 12 V·SoC and
// dq/dt = 40 A − 200 W/V it is Q/(12·40)·(ΔV + 5·ln((V − 5)/(54 − 5))), s.
func toV(v float64) float64 { return 360000. / 480 * (v - 54 + 5*math.Log((v-5)/49)) }

// compensated are settings whose set-points a cold enclosure of 5 °C moves up by so
// many volts.
func compensated(absorbV, volts float64) string {
	return patch(`{"bank":{"module":{"resistance_ohm":0.00001},"enclosure":{"fixed_c":5},"settings":{"absorb_v":%g,"compensation_v_per_c":%g}}}`, absorbV, -volts/20)
}

// Compensation left on lifts a set-point of 56.5 V to 58.5 V at 5 °C. The inverter,
// good for 57 V, stops a second after the bus passes that, and is back 30 s after
// a DC load has drawn the bank down to 31/32 of it (common practice, no source).
func TestInverterStopsAboveItsHighestVoltage(t *testing.T) {
	w := dayThen(6, 400, 0)
	l := ac(w, 200)
	l.DCFlexibleW = column(w.Len(), func(row int) float64 {
		if row < 6 {
			return 0
		}
		return 480
	})
	const window = `{"bank":{"module":{"protection":{"over_v":70}}},"inverter":{"max_v":57}}`
	for back, v := range map[string]float64{`{}`: 57 * 31 / 32., `{"inverter":{"max_return_v":56.5}}`: 56.5} {
		y := run(t, w, l, ideal, steep, compensated(56.5, 2), window, back)
		require.NotEmpty(t, y.Outages)
		o := y.Outages[0]
		stops := toV(57.01) + 1                       // 10 mV above it
		drawn := (58.5*58.5 - v*v) / 2 * 30000 / 480. // ∫V dq, 30,000 As a volt
		assert.InDelta(t, stops, 21600+drawn+30-o.Hours*3600, .3, "10 µΩ are not quite none")
		assert.Equal(t, sim.InverterLimit, o.Cause)
		assert.Equal(t, sim.EndBus, o.EndedBy)
		assert.Equal(t, sim.BySettings, o.Because)
		assert.Equal(t, 1, y.Figures.HighStops)
		assert.Zero(t, y.Figures.Openings)
		closeBooks(t, &y.Books)
	}
	y := run(t, w, l, ideal, steep, compensated(56.5, .5), window)
	assert.Zero(t, y.Figures.HighStops, "set to just what the inverter bears")
	assert.Equal(t, sim.Empty, y.Outages[0].Cause)
}

// A directional disconnect that blocks charge leaves the bus to the chargers: they
// hold it at their set-point, above what the inverter bears, until the sun goes: by
// their own output, for by a shunt they would see the tail of a full bank, and float.
// Chargers of 40 A beside 200 W are opened at 57.92 V.
func TestChargersHoldTheBusAboveTheInverter(t *testing.T) {
	w := dayThen(6, 400, 0)
	l := ac(w, 150)
	l.DCEssentialW = dc(w, 50).DCEssentialW // which stays on
	for maxV, dark := range map[float64]bool{60: true, 60.6: false} {
		y := run(t, w, l, ideal, steep, compensated(57.5, 3), `{"bank":{"settings":{"tail_seen":"own_output"}}}`, patch(`{"inverter":{"max_v":%g}}`, maxV))
		assert.Equal(t, 1, y.Figures.TripsByKind["over_voltage"])
		assert.Equal(t, 1, y.Figures.Openings)
		assert.InDelta(t, 40-200/57.92, y.Figures.OpeningMostA, 1e-3)
		assert.Equal(t, clockOf(toV(57.92)+2), y.Figures.OpeningMostAt)
		if !dark {
			assert.Zero(t, y.Figures.HighStops, "%g V", maxV)
			continue
		}
		o := y.Outages[0]
		assert.Equal(t, sim.InverterLimit, o.Cause)
		assert.InDelta(t, toV(57.92)+2+1, 21600+30-o.Hours*3600, .1)
		assert.Equal(t, 1, y.Figures.HighStops)
	}
}

// A bank that leaves the bus for a lost link does so under sun or not.
func TestOpeningsOfALostLink(t *testing.T) {
	w := year(3600, func(row int) float64 { return 50 * float64(row%24/12) }, always(25)) // 500 W from noon
	for hour, count := range map[string]int{"14": 1, "02": 0} {
		y := run(t, w, dc(w, 100), ideal, topped, `{"bank":{"initial_soc_fraction":0.2,"on_link_loss":"bank_opens","link_faults":{"listed":[{"start":"2025-01-01T`+hour+`:00","hours":1}]}}}`)
		assert.Equal(t, count, y.Figures.Openings)
		if count > 0 {
			assert.InDelta(t, 400/51.2, y.Figures.OpeningMostA, 1e-3)
			assert.Equal(t, clockOf(14*3600+60), y.Figures.OpeningMostAt)
		}
	}
}

// clockOf is the local time of seconds after the year's start, as answers write it.
func clockOf(s float64) string {
	return time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(math.Floor(s)) * time.Second).Format("2006-01-02T15:04:05")
}
