package backtest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/backtest"
	"bankyear/sim/bank"
)

// logged is the module of the histories: no charge below 0 °C, 10 A to 5 °C, 50 A
// from 15 °C, less above 40, none from 50 (the catalogue's generic module).
func logged() *bank.Module {
	m := module().Module
	m.Linked.CeilingByC = [][2]float64{{0, 0}, {0, 10}, {5, 10}, {5, 20}, {10, 20}, {10, 35}, {15, 35}, {15, 50}, {40, 50}, {45, 25}, {50, 0}}
	m.CyclesByDepth = [][2]float64{{0.5, 10000}, {0.8, 6000}, {1, 4000}}
	return &m
}

// history makes rows of one module, hourly.
func history(hours int, row func(i int, h *backtest.History)) *backtest.History {
	h := &backtest.History{}
	for i := range hours {
		h.Seconds = append(h.Seconds, 1.7356896e9+float64(i)*3600)
		h.Module = append(h.Module, "a")
		row(i, h)
	}
	return h
}

const hoursAYear = 8766

// Cells at rest at 25 °C and half charge for ten years lose 13.449 %, one year
// 4.253 %, and 40 °C 5.921 % in a year (Naumann et al. 2018, computed from their
// equation): a state of health of that much is that old.
func TestLook_AgeByTheLaw(t *testing.T) {
	for _, c := range []struct{ celsius, loss, years float64 }{{25, 13.449, 10}, {25, 4.253, 1}, {40, 5.921, 1}, {10, 9.327, 10}} {
		h := history(hoursAYear, func(_ int, h *backtest.History) {
			h.SoC, h.SoH = append(h.SoC, 0.5), append(h.SoH, 1-c.loss/100)
			h.CellMinC, h.CellMaxC = append(h.CellMinC, c.celsius), append(h.CellMaxC, c.celsius)
		})
		p := h.Look(logged())
		p.AgeBy(nil, c.years)
		require.NotNil(t, p.Age)
		assert.InEpsilon(t, c.years, *p.Age.ByLog, 0.001)
		assert.InEpsilon(t, c.loss/100, *p.Age.LawLoss, 0.001)
		assert.InDelta(t, 0, *p.Modules[0].FullCycles, 1e-12)
		assert.Nil(t, p.Age.BySimulate)
	}
}

// A cycle a day of half the capacity is 182.6 full cycles a year and, of 10,000
// such cycles, 3.65 % of the life.
func TestLook_Cycles(t *testing.T) {
	h := history(hoursAYear, func(i int, h *backtest.History) {
		h.SoC = append(h.SoC, 0.65+0.25*math.Cos(2*math.Pi*float64(i)/24))
	})
	x := h.Look(logged()).Modules[0]
	assert.InEpsilon(t, 365.25*0.5, *x.FullCycles, 0.005)
	assert.InEpsilon(t, 365.25/10000, *x.Wear, 0.005)
	assert.InDelta(t, 0.4, *x.LowestSoC, 1e-9)
	assert.Nil(t, x.WindowH)
	assert.Nil(t, x.FirstSoH)
}

// Time in windows by the module's own ceilings, the coldest cell deciding on the
// cold side and the hottest on the hot side; gaps are not covered.
func TestLook_Windows(t *testing.T) {
	at := [][2]float64{{-4, -1}, {2, 4}, {12, 14}, {20, 24}, {30, 35}, {38, 43}, {48, 52}, {-1, 3}, {15, 16}, {24, 26}}
	h := history(10*240, func(i int, h *backtest.History) {
		h.CellMinC, h.CellMaxC = append(h.CellMinC, at[i/240][0]), append(h.CellMaxC, at[i/240][1])
		h.SoC = append(h.SoC, 0.3+float64(i)/10000) // it always rises
	})
	x := h.Look(logged()).Modules[0]
	total := 0.
	for _, v := range x.WindowH {
		total += v
	}
	assert.InEpsilon(t, hoursAYear, total, 1e-9)
	for name, share := range map[string]float64{"no_charge_cold": 0.2, "less_charge_cold": 0.2, "full_charge": 0.4, "less_charge_hot": 0.1, "no_charge_hot": 0.1} {
		assert.InDelta(t, share, x.WindowH[name]/total, 0.001, name)
	}
	assert.InDelta(t, 0.2*hoursAYear, *x.TooColdH, 5)
	assert.InDelta(t, -4, *x.LowestC, 0)
	assert.InDelta(t, 52, *x.HighestC, 0)
	bare := logged()
	bare.Linked.CeilingByC = nil // a module that works by voltage alone
	assert.Nil(t, h.Look(bare).Modules[0].WindowH)
	h.Seconds[2399] += 1e6
	assert.InDelta(t, 2398+3, h.Look(logged()).Modules[0].CoveredH, 1e-9)
}

// A fade of 2 % a year under the noise of a coarse state of health is found
// inside its interval.
func TestLook_Fade(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	h := &backtest.History{}
	for day := range 3 * 365 {
		for k, name := range []string{"a", "b"} {
			h.Seconds = append(h.Seconds, 1.7356896e9+float64(day)*86400)
			h.Module = append(h.Module, name)
			fade := []float64{0.02, 0.035}[k]
			h.SoH = append(h.SoH, math.Round(100*(1-fade*float64(day)/365.25+0.004*rng.NormFloat64()))/100)
			h.SoC = append(h.SoC, 0.5+0.06*float64(k))
			h.CellMinV, h.CellMaxV = append(h.CellMinV, 3.30-0.01*float64(k)), append(h.CellMaxV, 3.32)
		}
	}
	p := h.Look(logged())
	require.Len(t, p.Modules, 2)
	for k, fade := range []float64{0.02, 0.035} {
		x := p.Modules[k]
		assert.InDelta(t, fade, *x.Fade, 0.001)
		assert.Less(t, x.FadeLow, fade)
		assert.Greater(t, x.FadeHigh, fade)
	}
	b := p.Between
	assert.Equal(t, 3*365, b.Moments)
	assert.Equal(t, "b", b.Weakest)
	assert.InDelta(t, 0.06, *b.SoCMedian, 1e-9)
	assert.InDelta(t, 0.03, *b.CellSpreadV, 1e-9)
	assert.InDelta(t, 0.045, *b.SoHSpread, 0.02)
	assert.InDelta(t, 0.02, *p.Modules[0].SpreadV, 1e-9)
	assert.InDelta(t, 3, p.Years, 0.01)
	assert.Equal(t, "2025-01-01T00:00:00", p.From)
}

func TestLook_Trips(t *testing.T) {
	counter := []float64{4, 4, 5, 5, 7, 0, 1, math.NaN(), 1, 2} // a counter that was re-set once
	status := []string{"ok", "tripped", "tripped", "ok", "tripped", "", "ok", "asleep", "tripped", "ok"}
	h := history(10, func(i int, h *backtest.History) {
		h.Trips, h.Status = append(h.Trips, counter[i]), append(h.Status, status[i])
	})
	x := h.Look(logged()).Modules[0]
	assert.Equal(t, 1+2+1+1, x.Trips)
	assert.Equal(t, map[string]float64{"ok": 3, "tripped": 4, "asleep": 1}, roundedHours(x.StatusH))
	h.Trips = nil
	assert.Equal(t, 3, h.Look(logged()).Modules[0].Trips)
	p := h.Look(logged())
	p.AgeBy(&backtest.Ageing{Square: 16, Wear: 0.01}, math.NaN())
	assert.Nil(t, p.Age, "no state of health")
}

func roundedHours(m map[string]float64) map[string]float64 {
	for k, v := range m {
		m[k] = math.Round(v)
	}
	return m
}

// By a simulated year: √(16·y) + 0.2·y = 8.8 % after 4 years (by hand).
func TestPast_AgeBySimulation(t *testing.T) {
	h := history(3, func(_ int, h *backtest.History) { h.SoH = append(h.SoH, 0.912) })
	p := h.Look(logged())
	p.AgeBy(&backtest.Ageing{Square: 16, Wear: 0.01}, 4)
	assert.InEpsilon(t, 4, *p.Age.BySimulate, 1e-9)
	assert.InEpsilon(t, 0.088, *p.Age.LawLoss, 1e-9)
	assert.Nil(t, p.Age.ByLog)
}
