package sim

import "math"

// The ladder of voltages that start a set. A rung goes by the bus voltage, or, where
// its controller measures the current, by the voltage without the sag of the load:
//
//	V + I·R,  I the discharge current, 0 in charge, R the resistance it was told
//
// Such a plan runs on the located path.

// ladder tells whether the voltage has stayed below any rung for its time, and
// is not back above every rung since, unless the load is still off.
func (m *machine) ladder(f *flow, asked bool) bool {
	if v := &m.p.v; !v.sagless && m.lb > v.ladderTop && m.timers.from(tLadder)&(1<<rungs-1) == 0 {
		return asked && m.stopped
	}
	low := false
	for k := range m.p.v.ladder {
		below := m.below(&m.p.v.ladder[k], f)
		low = low || below
		if m.held(tLadder+k, below && !asked, m.p.gen.StartBelow[k].HoldS) {
			asked = true
		}
	}
	return asked && (low || m.stopped)
}

// onLadder tells whether the voltage is below any rung.
func (m *machine) onLadder(f *flow) bool {
	for k := range m.p.v.ladder {
		if m.below(&m.p.v.ladder[k], f) {
			return true
		}
	}
	return false
}

// below tells whether the voltage is below a rung.
func (m *machine) below(r *rung, f *flow) bool {
	if r.sagless {
		return f.volts+max(0, -f.current)*m.p.sagOhm <= r.v
	}
	return m.lb <= r.at
}

// sagging is the terminal voltage at which the segment's constant power, beside its
// constant current, has a voltage without the sag: from V + R·I = v and the discharge
// current I = −(P/V + I_s)
//
//	V² − (v + R·I_s)·V − R·P = 0
//
// NaN where the load takes the bus lower than any.
func (f *flow) sagging(v, ohm float64) float64 {
	if f.p/v+f.source >= 0 {
		return v
	}
	b := v + ohm*f.source
	return (b + math.Sqrt(b*b+4*ohm*f.p)) / 2
}

// rungEvents considers the rungs that go by the voltage without the sag, for a set
// that stands; knee takes the terminal voltage of each.
func (m *machine) rungEvents(f *flow, knee func(volts float64)) {
	if m.gen.phase != standing {
		return
	}
	for _, r := range m.p.v.ladder {
		if r.sagless {
			knee(f.sagging(r.v, m.p.sagOhm))
		}
	}
}
