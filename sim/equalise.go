package sim

import "bankyear/sim/bank"

// care is what keeps a bank well and how long it was left without: the moments of
// the last full charge and of the last equalisation.
type care struct {
	fullAt      float64
	longestS    float64 // longest time without a full charge
	equalisedAt float64
}

// sawFull notes a full charge: an absorption that its tail current ended, or the
// BMS's full. An absorption that its longest time ended is none.
func (m *machine) sawFull() {
	m.care.longestS = max(m.care.longestS, m.now-m.care.fullAt)
	m.care.fullAt = m.now
}

// absorbed goes on after an absorption: to an equalisation when one is due, else
// to float. It is held for its time from here, and falls to the next cycle when
// the source goes before.
func (m *machine) absorbed(k int) {
	set := m.stageSet()
	if set.equaliseV > 0 && set.equaliseS > 0 && bank.EqualiseDueInS(m.now-m.care.equalisedAt, set.equaliseDays) == 0 {
		m.stages[k].equal = true
		m.set(tEqual+k, m.now+set.equaliseS)
		return
	}
	m.stages[k].float = true
}

// equalised ends an equalisation.
func (m *machine) equalised(k int) bool {
	if !m.ended(tEqual + k) {
		return false
	}
	m.stages[k].equal, m.stages[k].float = false, true
	m.care.equalisedAt = m.now
	return true
}
