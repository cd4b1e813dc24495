package sim

// latch keeps the disconnect open after several trips of a kind in a time: over
// current and over-voltage, never temperature. Only somebody on site resets it.
type latch struct {
	latched uint16 // bit a kind
	trips   [tripKinds]struct {
		first float64
		count int
	}
}

// latchAfter is how many trips of a kind in how many seconds latch; 0 is never.
func (r *rules) latchAfter(k tripKind) (count int, seconds float64) {
	p := &r.protection
	switch k {
	case tripChargeA, tripDisA:
		return p.OverALatchCount, p.OverALatchS
	case tripOverV:
		return p.OverVLatchCount, p.OverVLatchS
	}
	return 0, 0
}

// opened notes a trip, and latches it when it is the last of its number.
func (m *machine) opened(k tripKind) {
	m.tripped |= 1 << k
	m.counts.trips[k]++
	count, seconds := m.p.latchAfter(k)
	if count == 0 {
		return
	}
	t := &m.latch.trips[k]
	if t.count == 0 || m.now-t.first > seconds {
		t.count, t.first = 0, m.now
	}
	if t.count++; t.count >= count {
		t.count = 0
		m.latched |= 1 << k
	}
}
