package sim

// highEnd is the upper end of the inverter's DC window.
type highEnd struct {
	tooHigh bool // stopped above it
}

// clearOfMaxV is how far above its highest voltage the inverter takes the bus for
// too high, V: chargers that are set to that voltage hold it.
const clearOfMaxV = 0.01

// highEndStep stops the inverter where the bus has stood above its highest voltage
// for a second, and lets it start again below the voltage of its return (common
// practice, no source).
func (m *machine) highEndStep(f *flow) bool {
	v := &m.p.v
	if m.tooHigh {
		if m.lb > v.highBack {
			return false
		}
		m.tooHigh = false
		return true
	}
	if !m.held(tMaxV, f.alive && m.lb > v.tooHigh, 1) {
		return false
	}
	if m.tooHigh = true; m.inv == running {
		m.counts.highStops++
	}
	return true
}
