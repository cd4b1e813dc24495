package sim_test

import (
	"math"

	"bankyear/sim/bank"
)

// refAcid is a lead-acid bank: constants, and the filling of its two wells.
type refAcid struct {
	c, kPerS, capacityAs float64
	ratedAs              float64 // what the state of charge is of
	emptyV, fullV, cells float64
	ohm, cableOhm, gasA  float64
	gasLeavesV           float64 // what a gassed ampere-second takes away, J
	available, bound     float64 // 0 to 1 each
}

// newRefAcid is nil but for lead-acid. A cell has 1.96 V empty and 2.12 V full,
// sealed 2.14 V.
func newRefAcid(b *bank.Spec) *refAcid {
	m, n := &b.Module, float64(b.Modules)
	if !refAcidic(m) {
		return nil
	}
	c, kPerH, capacityAh := refWells(m)
	a := &refAcid{c: c, kPerS: kPerH / 3600, capacityAs: n * capacityAh * 3600, cells: float64(m.CellsInSeries),
		ohm: m.ResistanceOhm / n, cableOhm: b.CableOhm, gasA: m.SelfDischargeFraction * m.CapacityAh * n / 730,
		ratedAs: m.CapacityAh * n * 3600}
	a.available = max(0, 1-(1-b.InitialSoC)*a.ratedAs/a.capacityAs)
	a.bound = a.available
	a.emptyV, a.fullV = 1.96*a.cells, 2.14*a.cells
	if m.Chemistry == "lead_acid_vented" {
		a.fullV, a.gasLeavesV = 2.12*a.cells, 1.48*a.cells
	}
	return a
}

func (a *refAcid) rest(level float64) float64 { return a.emptyV + (a.fullV-a.emptyV)*level }

// soc is 1 less what is drawn of the rated capacity; 0 where it is more.
func (a *refAcid) soc() float64 {
	drawn := a.c*(1-a.available) + (1-a.c)*(1-a.bound)
	return max(0, 1-drawn*a.capacityAs/a.ratedAs)
}

// ohms is the resistance of a discharge and of a charge at a temperature factor.
func (a *refAcid) ohms(factor float64) (out, in float64) {
	r := a.ohm * factor
	return r + a.cableOhm, r*(1+0.888*a.available/(1.001-a.available)) + a.cableOhm
}

// step is one second at a bus voltage, the voltage that gasses, and a current; it
// answers the heat.
func (a *refAcid) step(v, gasV, i, celsius float64) (heatW float64) {
	gas := a.gasA * math.Exp(11*(gasV-a.fullV)/a.cells+0.06*(celsius-25))
	if a.available <= 0 {
		gas = 0
	}
	down := a.kPerS * a.c * (1 - a.c) * a.capacityAs * (a.available - a.bound) // into the bound well
	gained := a.rest(a.available)*(i-gas-down) + a.rest(a.bound)*down
	a.available = max(0, a.available+(i-gas-down)/(a.c*a.capacityAs))
	a.bound += down / ((1 - a.c) * a.capacityAs)
	return v*i - gained - a.gasLeavesV*gas
}
