package bank

import (
	"fmt"
	"math"

	"bankyear/sim/fault"
)

// Hysteresis is that of a cell's open-circuit voltage, which is higher after
// charge than after discharge. Of lithium iron phosphate the width is about 20 mV
// (Safari & Delacourt 2011, J. Electrochem. Soc. 158, A562).
type Hysteresis struct {
	WidthV       float64 `json:"width_v" minimum:"0" maximum:"0.2" doc:"Open-circuit voltage of a cell after charge less that after discharge, about 0.02 for lithium iron phosphate (Safari & Delacourt 2011); the table of the open-circuit voltage is the mean of both. 0 for none."`
	TurnFraction float64 `json:"turn_fraction" minimum:"0.001" maximum:"0.5" default:"0.03" doc:"Part of the capacity over which a reversal of the current moves the voltage from one branch to the other, in a straight line." basis:"an assumption: a few percent of the capacity"`
}

// Loop is the hysteresis of a bank. Its open-circuit voltage is E(q) + h, E the
// mean of both branches, and the offset h follows the charge q and not the time:
//
//	dh/dq = 2H/w,  −H ≤ h ≤ H
//
// with H half the width between the branches and w the charge of a turn. This is
// the stop operator, Prandtl's element of a spring and a dry friction in series
// (Prandtl 1928, Z. angew. Math. Mech. 8, 85; Brokate & Sprekels 1996, Hysteresis
// and Phase Transitions; both from memory). Between the branches it keeps what
// ∫h dq puts in, h²·w/4H; on a branch H a unit of charge is lost, as heat. A full
// cycle of a depth D > w loses the area of its loop, 2H·(D − w).
type Loop struct {
	HalfV float64 // H, V; 0 without hysteresis
	Slope float64 // 2H/w, V a unit of the charge
}

// Loop is the hysteresis of modules of a capacity, in any unit of charge.
func (m *Module) Loop(capacity float64) Loop {
	h := m.Hysteresis
	if h == nil || h.WidthV == 0 {
		return Loop{}
	}
	width := h.WidthV * float64(m.CellsInSeries)
	return Loop{HalfV: width / 2, Slope: width / (h.TurnFraction * capacity)}
}

// Begin is the offset (V) of cells of which nothing is known but their state of
// charge: full ones were charged, all others discharged last.
func (l Loop) Begin(soc float64) float64 {
	if soc >= 1 {
		return l.HalfV
	}
	return -l.HalfV
}

// After is the offset (V) after a charge from an offset.
func (l Loop) After(offsetV, charge float64) float64 {
	return min(max(offsetV+l.Slope*charge, -l.HalfV), l.HalfV)
}

// Way is the charge from an offset to the branch that charge (sign 1) or discharge
// (sign −1) leads to, with that sign; 0 on that branch, and without hysteresis.
func (l Loop) Way(offsetV, sign float64) float64 {
	if offsetV == sign*l.HalfV {
		return 0
	}
	return (sign*l.HalfV - offsetV) / l.Slope
}

// BranchV is the module's open-circuit voltage after long charge (sign 1) or
// discharge (sign −1), in the form of OpenCircuitV.
func (m *Module) BranchV(sign float64) [][2]float64 {
	ocv, offset := m.OpenCircuitV(), math.Copysign(m.Loop(1).HalfV, sign)
	for i := range ocv {
		ocv[i][1] += offset
	}
	return ocv
}

// checkHysteresis wants cells that have a table, and a voltage on both branches.
func (m *Module) checkHysteresis(c fault.Collector) {
	h := m.Hysteresis
	if h == nil {
		return
	}
	if m.LeadAcid() {
		c.Addf("given", "is not for lead-acid: its voltage follows its wells")
		return
	}
	if least := m.OpenCircuitV(); len(least) > 0 && least[0][1] <= m.Loop(1).HalfV {
		cell := least[0][1] / float64(m.CellsInSeries)
		c.At("width_v").Add(h.WidthV, fmt.Sprintf("below %g, twice the voltage of an empty cell", 2*cell), "V", "leaves no voltage after discharge")
	}
}
