package bank

import "math"

// Hysteresis is the difference between the open-circuit voltages after charge
// and after discharge, with one state between −1 (discharged into) and 1
// (charged into) that follows the charge moved, not the time: Plett 2004, J.
// Power Sources 134, 252–292 (from memory),
//
//	ds/d|q| = (±1 − s)·γ/Q
//
// so that it is exact at any length of segment. LFP: WidthV 0.02 V a cell
// (Safari & Delacourt 2011, J. Electrochem. Soc. 158, A562: about 20 mV).
type Hysteresis struct {
	WidthV     float64 // between both branches, of the module
	TurnSoC    float64 // part of the capacity that turns 63 % of it, 1/γ; above 0
	CapacityAs float64
}

// LFPHysteresis is that of a module of LFP cells in series, of a capacity (As);
// it turns within a few percent of the capacity, an assumption: 3 %.
func LFPHysteresis(cells, capacityAs float64) Hysteresis {
	return Hysteresis{WidthV: 0.02 * cells, TurnSoC: 0.03, CapacityAs: capacityAs}
}

// After is the state after a charge (As, positive into the cells) from a state.
func (h Hysteresis) After(state, chargeAs float64) float64 {
	branch := math.Copysign(1, chargeAs)
	return branch + (state-branch)*math.Exp(-math.Abs(chargeAs)/(h.TurnSoC*h.CapacityAs))
}

// OffsetV is what the state adds to the open-circuit voltage, which is the mean
// of both branches.
func (h Hysteresis) OffsetV(state float64) float64 { return h.WidthV / 2 * state }
