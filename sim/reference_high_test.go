package sim_test

import (
	"math"
	"testing"

	"bankyear/sim"
)

// The upper end of the bus: openings under charge, and the inverter's highest
// voltage.

// takesCharge tells whether the bank is on the bus and would take charge.
func (r *reference) takesCharge() bool { return r.flow.bankOn && !r.chargeBlocked() }

// highStep stops the inverter a second after the bus has passed its highest voltage
// by 10 mV, and lets it back below the voltage of its return.
func (r *reference) highStep() bool {
	st, inv := &r.st, &r.s.Inverter
	back := inv.MaxReturnV
	if back == 0 {
		back = inv.MaxV * 31 / 32
	}
	v := r.busV()
	if st.tooHigh {
		if v >= back {
			return false
		}
		st.tooHigh, st.high = false, refHold{}
		return true
	}
	if st.high.past(v >= inv.MaxV+.01, r.now, 1) {
		st.tooHigh = true
		if st.inverterOn {
			r.highStops++
		}
		return true
	}
	return false
}

// compareOpenings compares how often the disconnect opened under charge, and how often
// the bus was too high for the inverter: to a tenth, where trips come in hundreds; and
// the highest current of the first.
func compareOpenings(t *testing.T, r *reference, y *sim.Year, near within) {
	t.Helper()
	for _, c := range []struct {
		name      string
		got, want float64
		part      float64
	}{
		{"openings under charge", float64(y.Figures.Openings), float64(r.openings), .1},
		{"stops above the inverter's highest voltage", float64(y.Figures.HighStops), float64(r.highStops), .1},
		{"highest current that an opening cut, A", y.Figures.OpeningMostA, r.openingA, .02 + near.outageS/4000},
	} {
		if math.Abs(c.got-c.want) > c.part*c.want {
			t.Errorf("%s: %s: %g, reference %g", near.name, c.name, c.got, c.want)
		}
	}
}
