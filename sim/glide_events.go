package sim

import (
	"math"

	"bankyear/sim/bank"
)

// drift is the law of a glide's current, for what may end it before its time: at
// constant power, held by a charge ceiling, or at a constant voltage.
type drift struct {
	law               flowMode
	power, set        float64 // what drives it: constant power, W; constant voltage, V
	e, g, r, rs       float64
	i0, r0            float64 // current and rate of charge at the start
	eta, perEta, draw float64
	ceilingA, c1      float64 // charge ceiling at the start, and how it falls with the way
	slope, bend       float64 // at constant power: of the current, with the way
}

// at is the current at a way.
func (c *drift) at(x float64) float64 {
	switch c.law {
	case ceiling:
		return c.i0 + c.c1*x
	case constant:
		return (c.set - c.e - c.g*x) / (c.r + c.rs*x)
	}
	i, _, _ := bank.CurrentA(c.e+c.g*x, c.r+c.rs*x, c.power, 0)
	return i
}

// volts is the terminal voltage at a way, V.
func (c *drift) volts(x float64) float64 {
	if c.law == constant {
		return c.set
	}
	return c.e + c.g*x + c.at(x)*(c.r+c.rs*x)
}

// way is how far the charge goes in a time.
func (c *drift) way(tau float64) float64 {
	whole := c.r0 * tau
	switch c.law {
	case ceiling:
		return whole * bank.Growth(c.eta*c.c1*tau)
	case constant:
		return c.held(tau, math.Inf(1))
	}
	return whole * series(c.eta*c.slope*tau, c.eta*c.bend*(whole*tau))
}

// held is how far the charge goes in a time at a constant voltage, at most about to a
// limit (its sign does not matter).
func (c *drift) held(tau, limit float64) float64 {
	whole := c.r0 * tau
	x := whole
	for range 2 {
		if x = within(x, limit); x == 0 {
			break
		}
		z := (c.eta*c.at(x) - c.draw - c.r0) / x * tau
		x = whole * bank.Growth(z)
		if z*z < straight || c.rs == 0 { // one look is enough for a straight line
			break
		}
	}
	return x
}

// near is the current at a way by slope and bend.
func (c *drift) near(x float64) float64 {
	if c.law != power {
		return c.at(x)
	}
	return c.i0 + x*(c.eta*c.slope+x*(c.eta*c.bend)*.5)*c.perEta
}

// after is the time of a way; 0 where it is only approached, or not within tau.
func (c *drift) after(x, tau float64) float64 {
	r1 := c.eta*c.at(x) - c.draw
	if r1*c.r0 <= 0 || x == 0 {
		return 0
	}
	if t := x / bank.LogMean(c.r0, r1); t <= tau {
		return t
	}
	return 0
}

// toCeiling is the way at which the current comes to the ceiling, without end where
// it does not within a way.
func (c *drift) toCeiling(x float64) float64 {
	i1 := c.at(x)
	if i1 <= c.ceilingA+c.c1*x || c.i0 >= c.ceilingA-justOffA {
		return math.Inf(1)
	}
	f := flow{mode: power, e: c.e, g: c.g, r: c.r, rs: c.rs, p: c.power, current: c.i0, ceilingA: c.ceilingA, c1: c.c1}
	return f.wayToCeiling(x, i1)
}

// sooner takes an event at a way where that comes before what ends the glide so far, at
// a way and a time. The time is 0 where that cannot be told, or the way is only
// approached.
func (c *drift) sooner(to event, at float64, what event, x, tau float64) (event, float64, float64) {
	switch far := at / x; {
	case to == noEvent, far > 1+1e-9, far > 1 && what == noEvent:
		return what, x, tau
	case far < 0, far > 1-1e-9 && what != noEvent:
		return what, x, 0
	}
	return to, at, c.after(at, tau)
}

// toVolts is the threshold of voltage that something waits for, passed upward or
// downward within a way, from a voltage at its start, and the way to it.
func (c *drift) toVolts(m *machine, x, volts float64) (what event, way float64) {
	v1 := c.volts(x)
	i, what := m.nextVolt(v1)
	up := v1 > volts
	if what == noEvent || up != (what == voltUp) {
		return noEvent, 0
	}
	at := m.p.volts[i]
	if up == (volts >= at) { // within the slack of a level
		return what, 0
	}
	return what, c.wayTo(at)
}

// toSet is where the chargers begin to hold their set-point, or shut ones give again:
// whether within a way, from a voltage at its start, and the way to it.
func (c *drift) toSet(x, volts float64) (what event, way float64) {
	v1 := c.volts(x)
	if v1 > volts && volts < c.set-justBelow && v1 >= c.set || v1 <= volts && volts > c.set+justBelow && v1 <= c.set {
		return turn, c.wayTo(c.set)
	}
	return noEvent, 0
}

// wayTo is the way to a voltage that it passes.
func (c *drift) wayTo(volts float64) float64 {
	f := flow{mode: c.law, e: c.e, g: c.g, r: c.r, rs: c.rs, p: c.power, c0: c.i0, c1: c.c1}
	return f.wayTo(volts, c.r0)
}

// toCelsius is the time at which the cells come to a threshold of temperature, within
// a time in which the charge goes a way and the mean heat is known; and the way, the
// mean heat and the temperature then.
func (c *drift) toCelsius(m *machine, target, heat, tau, x float64) (t, way, heatW, celsius float64) {
	t = m.untilCelsius(target, heat, tau, func(t float64) (float64, float64) {
		x = c.way(t)
		heat, celsius = c.warmth(m, x, t, c.at(x))
		return heat, celsius
	})
	return t, x, heat, celsius
}

// toSoC is the time at which the reported SoC comes to a threshold, within a time in
// which the charge goes a way, and the way to it.
func (c *drift) toSoC(m *machine, target, tau, whole float64) (t, x float64) {
	count := func(x, t float64) float64 { return m.countOf((x+c.draw*t)*c.perEta, t) }
	t = m.tangents(target-m.soc, tau, count(whole, tau), c.i0, func(t float64) (sum, current float64) {
		x = c.way(t)
		return count(x, t), c.near(x)
	})
	return t, x
}

// warmth is the mean heat in the cells over a time in which the charge goes a way, W,
// and their temperature at its end, °C.
func (c *drift) warmth(m *machine, x, tau, i1 float64) (heat, celsius float64) {
	mean := (x*(1/tau) + c.draw) * c.perEta
	other := mean
	if c.law != power {
		other = (c.i0 + i1) / 2
	}
	heat = mean*other*(c.r+c.rs*x*.5) + c.draw*c.e
	if c.i0 > 0 {
		heat += (1 - c.eta) * c.e * mean
	}
	final := m.row.envC + heat*m.p.perW
	return heat, final + (m.celsius-final)*m.decay(tau)
}
