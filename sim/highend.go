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
	p, held := m.p, m.heldV(f)
	above := f.alive && (m.lv > p.v.tooHigh || held >= p.inverter.tooHighV)
	if m.tooHigh {
		if m.lv > p.v.highBack || held >= p.inverter.highBackV {
			return false
		}
		m.tooHigh = false
		return true
	}
	if !m.held(tMaxV, above, 1) {
		return false
	}
	if m.tooHigh = true; m.inv == running {
		m.counts.highStops++
	}
	return true
}

// heldV is the voltage at which chargers hold a bus whose bank blocks charge alone: the
// highest set-point at which those that go so far carry all that the bus takes; 0
// where they hold none.
func (m *machine) heldV(f *flow) float64 {
	if f.mode != ceiling || m.tripped&chargeTrips == 0 {
		return 0
	}
	of := [parties]party{hearing: {f.solarW, f.solarA, f.setS}, fromAC: {f.genW, f.genA, f.setG}}
	if m.mixes() {
		of = m.mixture.of
	}
	most := 0.
	for _, at := range of {
		sum := 0.
		for _, x := range of {
			if x.set >= at.set {
				sum += x.w + x.a*at.set
			}
		}
		if sum >= f.demand && at.w+at.a > 0 {
			most = max(most, at.set)
		}
	}
	return most
}
