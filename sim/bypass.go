package sim

import "math"

// bypass is a cable that somebody lays by hand from the source of AC to the load, past
// inverter and bank: common practice, no source.
type bypass struct {
	came        bool // somebody who can lay it is at the dark site
	laid        bool
	laidS, from float64 // time that it lay, and since when it lies
}

// bypassStep lays the cable where a source of AC is on load and reaches the load
// neither through the inverter nor beside it, and somebody has come in this darkness.
// It is taken up when the run ends, or when the inverter runs and would bear the load.
func (m *machine) bypassStep(f *flow) bool {
	b := &m.bypass
	carries := m.inv == running && m.canInvert(f) && math.IsInf(m.bearsS(), 1)
	on := m.gen.phase == loaded
	switch {
	case b.laid && (!on || carries):
		b.laid = false
		b.laidS += m.now - b.from
		return true
	case b.laid:
		return false
	case !f.dark:
		b.came = false
	case b.came && on && !carries && f.acServed < m.row.acEss*(1-1e-9):
		b.laid, b.from = true, m.now
		return true
	}
	return false
}

// bearsS is how long the inverter bears all of the AC load, s.
func (m *machine) bearsS() float64 {
	if m.shed {
		return m.row.overEss
	}
	return m.row.overAll
}

// begin starts the counted year.
func (b *bypass) begin() { b.laidS, b.from = 0, 0 }

// hours is the time that the cable lay, h.
func (b *bypass) hours(now float64) float64 {
	if b.laid {
		return (b.laidS + now - b.from) / 3600
	}
	return b.laidS / 3600
}
