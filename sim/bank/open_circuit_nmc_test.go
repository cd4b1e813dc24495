package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// Electrode potentials of Chen et al. 2020, J. Electrochem. Soc. 167, 080534
// (from memory), V, against stoichiometry, and the stoichiometries of a full and
// an empty cell, which the paper gives for 4.2 and 2.5 V.
func chenCell(soc float64) float64 {
	tanh := math.Tanh
	x := .0279 + (.9014-.0279)*soc
	y := .9084 + (.2661-.9084)*soc
	positive := -.8090*y + 4.4875 - .0428*tanh(18.5138*(y-.5542)) - 17.7326*tanh(15.7890*(y-.3117)) + 17.5842*tanh(15.9308*(y-.3120))
	negative := 1.9793*math.Exp(-39.3631*x) + .2482 - .0909*tanh(29.8538*(x-.1234)) - .04478*tanh(14.9159*(x-.2769)) - .0205*tanh(30.4444*(x-.6103))
	return positive - negative
}

func TestOpenCircuitOfNMC(t *testing.T) {
	assert.InDelta(t, 4.2, chenCell(1), .01, "the functions are remembered right: the paper's own ends")
	assert.InDelta(t, 2.5, chenCell(0), .01)
	m := bank.Module{Chemistry: "nmc", CellsInSeries: 1}
	table := m.OpenCircuitV()
	for i := range 1001 {
		soc := float64(i) / 1000
		assert.InDelta(t, chenCell(soc), bank.At(table, soc), .0085, "SoC %g", soc)
	}
	// half full about 3.7 V, a fifth 3.45 V (common practice, no source)
	assert.InDelta(t, 3.7, bank.At(table, .5), .03)
	assert.InDelta(t, 3.45, bank.At(table, .2), .03)
	m.CellsInSeries = 14
	assert.InDelta(t, 14*table[3][1], m.OpenCircuitV()[3][1], 1e-12)
}
