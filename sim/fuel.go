package sim

import (
	"math"

	"bankyear/sim/genset"
)

// supply is the fuel that is brought to a set.
type supply struct {
	nextDelivery int     // index of the next that is planned
	orderedFor   float64 // when fuel that was ordered comes, s; +Inf for none
	broughtL     float64
	deliveries   int
}

// order orders fuel when a run has left little of it.
func (m *machine) order() {
	d, s := m.p.gen.Deliveries, &m.gen
	if d == nil || !m.counted || d.OrderBelowL == 0 || s.fuelL >= d.OrderBelowL || s.orderedFor < forever {
		return
	}
	day := math.Floor(m.now/genset.DayS) + math.Ceil(d.ArrivesAfterDays)
	if s.orderedFor = day*genset.DayS + noonS; s.orderedFor <= m.now {
		s.orderedFor += genset.DayS
	}
	m.awaitFuel(m.p, s)
}

// awaitFuel sets the timer of a set's next delivery.
func (m *machine) awaitFuel(p *Plan, s *generator) {
	at := s.orderedFor
	if s.nextDelivery < len(p.deliverS) {
		at = min(at, p.deliverS[s.nextDelivery])
	}
	m.stop(tFuel + p.set)
	if at < forever {
		m.set(tFuel+p.set, at)
	}
}

// fuelStep brings fuel.
func (m *machine) fuelStep() (brought bool) {
	for _, p := range m.p.sets {
		if m.now < m.due[tFuel+p.set] {
			continue
		}
		m.stop(tFuel + p.set)
		s, d := m.state(p.set), p.gen.Deliveries
		if s.orderedFor <= m.now {
			s.orderedFor = math.Inf(1)
		} else {
			s.nextDelivery++
		}
		l := p.gen.FuelStoreL - s.fuelL
		if d.L > 0 {
			l = min(l, d.L)
		}
		s.fuelL += l
		s.broughtL += l
		s.deliveries++
		m.awaitFuel(p, s)
		brought = true
	}
	return brought
}
