package sim

// openings are those of the disconnect while the bank took charge: chargers that
// give current as the bank leaves raise the bus before they hold back.
type openings struct {
	count int
	mostA float64 // the highest charge current that one cut
	at    float64 // when that was
}

// takesCharge tells whether the bank's disconnect lets charge through.
func (m *machine) takesCharge() bool { return m.connected() && m.tripped&chargeTrips == 0 }

// opening notes that the disconnect has opened under a charge current that the BMS
// counts as one (charge_seen_a). took is whether charge went through before, current
// what did.
func (m *machine) opening(took bool, current float64) {
	if !took || current < m.p.chargeSeenA || m.takesCharge() {
		return
	}
	o := &m.counts.openings
	o.count++
	if current > o.mostA {
		o.mostA, o.at = current, m.now
	}
}
