package sim_test

import (
	"math"
	"slices"
	"testing"

	"bankyear/sim"
)

// What the operator does by hand, and a visitor.

// refHand is what is done by hand.
type refHand struct {
	there, cabled  bool // somebody who lays a cable has come; it lies
	spares, sheds  bool // flexible load should be off; the operator has it off
	actAt          int  // when they switch it; 0 for no plan
	cabledS, turns int  // time that the cable lay; times that they switched
}

// bypassStep lays the cable past the inverter, and takes it up.
func (r *reference) bypassStep() bool {
	st, f, h := &r.st, &r.flow, &r.st.hand
	works := st.inverterOn && r.inverterMay() && f.acWantW*r.apparent() <= r.in.ratedW
	if h.cabled {
		h.cabled = r.loaded() && !works
		return !h.cabled
	}
	if !f.dark {
		h.there = false
	}
	h.cabled = h.there && r.loaded() && !works && f.passW+f.invOutW < r.in.acEss-1e-6
	return h.cabled
}

// handStep has the operator shed flexible load and put it back.
func (r *reference) handStep() {
	st, h, o := &r.st, &r.st.hand, &r.s.Controls.Operator
	if !slices.Contains(o.Does, "shed_by_hand") || o.OnSite == "never" {
		return
	}
	off, on := st.believed <= o.ShedSoC, st.believed >= o.ReturnSoC
	if r.counter.Kind == "none" {
		sun, set := r.byVoltage() && r.in.sun && st.solar.floating, r.byVoltage() && r.loaded() && st.ac.floating
		off, on = st.dark, !st.dark && (sun || set || r.linked() && st.bmsFull)
	}
	switch {
	case off:
		h.spares = true
	case on:
		h.spares = false
	}
	if h.spares == h.sheds {
		h.actAt = 0
		return
	}
	if h.actAt == 0 {
		h.actAt, _ = r.someone(never, 1)
	}
	if r.now >= h.actAt {
		h.sheds = h.spares
		h.turns++
	}
}

// compareHand compares how long the cable past the inverter lay.
func compareHand(t *testing.T, r *reference, y *sim.Year, near within) {
	t.Helper()
	got, want := 3600*y.Figures.BypassedH, float64(r.st.hand.cabledS)
	if math.Abs(got-want) > near.outageS*float64(1+len(r.dark)) {
		t.Errorf("%s: cabled past the inverter for %.0f s, reference %.0f s", near.name, got, want)
	}
}
