package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// tenA is a discharge ceiling of 10 A, 512 W of the ideal bank.
const tenA = `{"bank":{"module":{"data_linked":{"discharge_a_by_c":[[25,10]]}}}}`

// first is 1 in the year's first hours, else 0.
func first(row, hours int) float64 {
	if row < hours {
		return 1
	}
	return 0
}

// Essential 400 W and flexible 200 W ask 11.7 A: the flexible goes a second after they
// began. At 2 h it falls to 50 W, 450 W are 8.8 A of the 9 A that let it come back; at
// 480 W, 9.4 A, it stays off though the ceiling would carry it. Looked at every 300 s
// (common practice, no source).
func TestDischargeCeilingShedsFlexibleLoad(t *testing.T) {
	w := steady(0)
	for later, off := range map[float64]float64{50: 7201, 80: 4 * 3600} {
		l := &sim.Load{ACEssentialW: column(w.Len(), func(row int) float64 { return 400 * first(row, 4) }),
			ACFlexibleW: column(w.Len(), func(row int) float64 {
				if row < 2 {
					return 200
				}
				return later * first(row, 4)
			})}
		y := run(t, w, l, ideal, tenA)
		assert.InDelta(t, (200*7199+later*(off-7200))/3.6e6, y.Figures.ShedKWh, 1e-9, "%g W", later)
		assert.Zero(t, y.Figures.DowntimeH)
		if later == 50 {
			assert.InDelta(t, 7200./3600, y.Figures.HeldBackH, 1e-9)
		}
		closeBooks(t, &y.Books)
	}
}

// An essential load of 600 W is too much: off after two seconds, back at the first look
// after it has fallen to 400 W, and 30 s of restart later.
func TestDischargeCeilingStopsTheLoad(t *testing.T) {
	w := steady(0)
	l := &sim.Load{ACEssentialW: column(w.Len(), func(row int) float64 {
		if row < 3 {
			return 600
		}
		return 400 * first(row, 5)
	})}
	y := run(t, w, l, ideal, tenA)
	require.Len(t, y.Outages, 1)
	o := y.Outages[0]
	assert.Equal(t, "2025-01-01T00:00:02", o.Start)
	assert.InDelta(t, (300*36+30)/3600., o.Hours, 1e-9)
	assert.Equal(t, sim.OverCurrent, o.Cause)
	assert.Equal(t, sim.EndLoad, o.EndedBy)
	assert.Equal(t, 1, y.Figures.Restarts)
	assert.Zero(t, y.Figures.Trips)

	// beside 1 kW of sun nothing is asked of the bank
	sunny := run(t, steady(100), l, ideal, topped, tenA)
	assert.Zero(t, sunny.Figures.DowntimeH)
	// a voltage-only bank has nobody who would tell
	alone := run(t, w, l, ideal, tenA, voltageOnly)
	assert.Equal(t, run(t, w, l, ideal, voltageOnly), alone)
}

// A factor that falls with the charge stops 300 W, 5.86 A, at a charge of .586; cells
// that cool from 20 °C toward −10 °C stop 500 W, 9.77 A, where a ceiling of T + 10 K
// passes that, whatever the internal step.
func TestDischargeCeilingIsLocated(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 300), ideal, `{"bank":{"module":{"data_linked":{"discharge_a_by_c":[[25,10]],"discharge_factor_by_soc":[[0,0],[1,1]]}}}}`)
	only, at := onlyDark(t, y)
	assert.InDelta(t, (1-300/512.)*5120/300*3600+2, at, .1)
	assert.Equal(t, sim.Empty, only.Cause)

	cold := year(3600, always(0), step(20, -10))
	loss := 500 / 51.2 * 500 / 51.2 * 1e-5 // W, behind 1 K/W
	for _, stepS := range []int{3600, 600} {
		y = run(t, cold, ac(cold, 500), ideal, lump, patch(`{"controls":{"internal_step_s":%d},"bank":{"module":{"capacity_ah":1000,"data_linked":{"discharge_a_by_c":[[-10,0],[10,20]]}}}}`, stepS))
		only, at = onlyDark(t, y)
		assert.InDelta(t, 3600+tau*math.Log((30-loss)/(500/51.2-loss))+2, at, .1)
		assert.Equal(t, sim.TooCold, only.Cause)
	}
}

// Two of four modules that carry half as much: what the bank may give follows those
// that are in service.
func TestDischargeCeilingOfModules(t *testing.T) {
	w := steady(0)
	l := &sim.Load{ACEssentialW: column(w.Len(), func(row int) float64 { return 1500 * first(row, 3) })}
	const four = `{"bank":{"modules":4}}`
	assert.Zero(t, run(t, w, l, ideal, tenA, four).Figures.DowntimeH, "29.3 of 40 A")
	y := run(t, w, l, ideal, tenA, four, `{"bank":{"modules_out":{"modules":2,"start":"2025-01-01T01:00","found_after_h":1,"repair_h":1}}}`)
	require.Len(t, y.Outages, 1)
	assert.Equal(t, "2025-01-01T01:00:02", y.Outages[0].Start)
	assert.Equal(t, sim.OverCurrent, y.Outages[0].Cause)
}
