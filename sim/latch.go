package sim

// latch keeps the disconnect open after several trips of a kind in a time: over
// current and over-voltage, never temperature. Only somebody on site resets it.
type latch struct {
	latched uint16 // bit a kind
	trips   [tripKinds]tripRun
}

// tripRun are the times of the last trips of a kind.
type tripRun []float64

// last notes a time, and tells whether it is the last of a number within the
// seconds before it; then it begins anew.
func (r *tripRun) last(now float64, count int, seconds float64) bool {
	at := append(*r, now)
	old := 0
	for now-at[old] > seconds {
		old++
	}
	at = at[:copy(at, at[old:])]
	full := len(at) >= count
	if full {
		at = at[:0]
	}
	*r = at
	return full
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
	if m.latches(k, &m.latch.trips[k]) {
		m.latched |= 1 << k
	}
}

// latches notes a trip, and tells whether it is the last of its number.
func (m *machine) latches(k tripKind, t *tripRun) bool {
	count, seconds := m.p.latchAfter(k)
	if count == 0 || !t.last(m.now, count, seconds) {
		return false
	}
	m.counts.latches++
	return true
}
