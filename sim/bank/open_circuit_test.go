package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/bank"
)

// cell is the open-circuit voltage of one LFP cell.
func cell(soc float64) float64 {
	m := bank.Module{Chemistry: "lfp", CellsInSeries: 1}
	return bank.At(m.OpenCircuitV(), soc)
}

// restingAt is the SoC at which 16 cells in series rest at a voltage.
func restingAt(t *testing.T, volts float64) float64 {
	m := bank.Module{Chemistry: "lfp", CellsInSeries: 16}
	table := m.OpenCircuitV()
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if a[1] <= volts && volts <= b[1] {
			return a[0] + (b[0]-a[0])*(volts-a[1])/(b[1]-a[1])
		}
	}
	require.Failf(t, "no such rest", "%g V", volts)
	return math.NaN()
}

// Break points of Sunil, Pattipati & Balasingam 2025, IEEE Trans. Instrum.
// Meas., LFP at C/32 and room temperature.
func TestOpenCircuitAtBreakPoints(t *testing.T) {
	for _, p := range [][2]float64{
		{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872},
		{.0885, 3.1942}, {.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981},
	} {
		assert.InDelta(t, p[1], cell(p[0]), 1e-12, "SoC %g", p[0])
	}
	middle := (.2972 + .9833) / 2
	assert.InDelta(t, (3.2772+3.3511)/2, cell(middle), 1e-12, "a straight line between")
}

// Safari & Delacourt 2011, J. Electrochem. Soc. 158, A562, electrode functions
// combined: another laboratory's cell, which agrees within 14 mV.
func TestOpenCircuitAgainstAnotherCell(t *testing.T) {
	other := []float64{3.1991, 3.2518, 3.2835, 3.3022, 3.3090, 3.3134, 3.3239, 3.3380, 3.3441}
	for i, v := range other {
		soc := float64(i+1) / 10
		assert.InDelta(t, v, cell(soc), 0.014, "SoC %g", soc)
	}
	// the same authors: the plateau's slope is about 1.1 mV for each percent
	assert.InDelta(t, 1.1e-3, (cell(0.9)-cell(0.3))/60, 0.1e-3)
}

// What the trade sees of 16 cells at rest, computed from the table above:
// common practice.
func TestRestingVoltages(t *testing.T) {
	for _, at := range []struct{ volts, soc float64 }{{51.2, .10}, {52.0, .23}, {52.8, .51}} {
		assert.InDelta(t, at.soc, restingAt(t, at.volts), 0.005, "%g V", at.volts)
	}
}

// Where charging meets the voltage limit, E = V − R·I, computed from the table
// above for one module: common practice.
func TestTaperBegins(t *testing.T) {
	for _, c := range []struct{ volts, amperes, ohm, soc float64 }{
		{55.2, 50, .045, .60}, {55.2, 50, .025, .99}, {56.0, 40, .045, .99}, {56.0, 40, .025, .99},
	} {
		assert.InDelta(t, c.soc, restingAt(t, c.volts-c.amperes*c.ohm), 0.006, "%+v", c)
	}
}

func TestOwnOpenCircuitTable(t *testing.T) {
	m := bank.Module{Chemistry: "table", CellsInSeries: 4, OpenCircuit: [][2]float64{{0, 3}, {.5, 3.2}, {1, 3.6}}}
	assert.Equal(t, [][2]float64{{0, 12}, {.5, 12.8}, {1, 14.4}}, m.OpenCircuitV())
}
