package sim

import (
	"math"

	"bankyear/sim/bank"
)

// warmth finds the mean heat in the cells over the segment, and ends the
// segment where the cell temperature passes a threshold:
//
//	C dT/dt = (T_env − T)/R_th + losses + heater
//
// exact with the segment's mean heat; the moment is t = −ln((T* − T∞)/(T − T∞))·C·R_th.
func (m *machine) warmth(s *stretch) {
	p := m.p
	m.heatOf(s)
	final := m.row.envC + s.heatW*p.perW
	var target float64
	var what event
	switch at := p.celsius; {
	case final > m.celsius && m.lt < len(at) && at[m.lt] < final:
		target, what = at[m.lt], tempUp
	case final < m.celsius && m.lt > 0 && at[m.lt-1] > final:
		target, what = at[m.lt-1], tempDown
	default:
		return
	}
	if math.Abs(target-m.celsius) > math.Abs(final-m.celsius)*p.heat.rate*s.tau {
		return // not there in a straight line, which is faster
	}
	m.untilCelsius(target, s.heatW, s.tau, func(t float64) (float64, float64) {
		m.shorten(s, t, what)
		return s.heatW, m.cellAfter(s)
	})
}

// untilCelsius is the time at which the cells come to a threshold of temperature,
// within a whole of a known mean heat; all of it where they do not. look answers the
// mean heat up to a time, W, and the temperature then, °C.
func (m *machine) untilCelsius(target, heatW, whole float64, look func(t float64) (heatW, celsius float64)) (t float64) {
	final := m.row.envC + heatW*m.p.perW
	for k := range 5 { // a shorter segment has another mean heat
		t = max(-math.Log((target-final)/(m.celsius-final))/m.p.heat.rate, m.tempDwell-m.now)
		if t >= whole && k == 0 {
			return whole
		}
		t = max(min(t, whole), 0)
		var after float64
		heatW, after = look(t)
		if final = m.row.envC + heatW*m.p.perW; math.Abs(after-target) < onC || (final-target)*(target-m.celsius) <= 0 {
			break
		}
	}
	return t
}

// onC is how near to a threshold of temperature its event is located, K.
const onC = 1e-4

// dwellS is the shortest time between two passes of a temperature threshold,
// which keeps a heat that drives the cells back and forth over one from
// standing still in time.
const dwellS = 1

// heatOf is the mean heat over the segment: resistive and coulombic loss, BMS
// draw and self-discharge, heater. At constant power the mean of the current's square
// is taken for the square of its mean, which is by (ΔI/I)²/12 less, and else for that
// of a straight line of the way.
func (m *machine) heatOf(s *stretch) {
	f := s.f
	if s.acid != nil {
		s.acid.heat(m, s)
		return
	}
	mean := f.current // over time; over the way it is (I₀ + I₁)/2
	if s.r0 != 0 && s.tau > 0 {
		mean = (s.x*(1/s.tau) + s.draw) * s.perEta
	}
	other := mean
	if f.mode != power {
		other = (f.current + s.i1) / 2
	}
	s.heatW = mean*other*(f.r+f.rs*s.x*.5) + s.draw*f.e + f.heater
	if s.lostV != 0 && s.tau > 0 {
		s.heatW += s.lostV * s.x / s.tau
	}
	if f.current > 0 {
		kept := s.eta
		if s.r0 == 0 && m.q >= m.p.topQ { // beyond the top
			kept = 0
		}
		s.heatW += (1 - kept) * f.e * mean
	}
}

// meanC is the mean cell temperature over a segment that has just ended, °C.
func (m *machine) meanC(s *stretch) float64 {
	final := m.row.envC + s.heatW*m.p.perW
	return final + (m.celsius-final)*bank.Growth(m.p.heat.rate*s.tau)
}

// decay is what is left of a difference of temperature after a time.
func (m *machine) decay(tau float64) float64 {
	if tau == m.p.wholeS {
		return m.p.wholeLeft
	}
	return bank.Decay(m.p.heat.rate * tau)
}

// cellAfter is the cell temperature after the segment, °C.
func (m *machine) cellAfter(s *stretch) float64 {
	final := m.row.envC + s.heatW*m.p.perW
	return final + (m.celsius-final)*m.decay(s.tau)
}
