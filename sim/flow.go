package sim

import (
	"math"

	"bankyear/sim/bank"
)

// flowMode is the law that the bank's current follows within a segment.
type flowMode uint8

const (
	apart    flowMode = iota // the bank is off the bus, or takes and gives nothing
	power                    // (E + I·R)·I = P + (E + I·R)·I_s
	ceiling                  // I = c0 + c1·x, a charge ceiling
	constant                 // (V − E)/R, a voltage limit; behind the cable where its drop is made up
	pushed                   // the bank takes nothing from a bus that its chargers hold
)

// flow is everything that moves in a segment, with the state as it is at its
// start. Powers in W, charge positive.
type flow struct {
	mode           flowMode
	e, g           float64 // open-circuit voltage and its slope against charge
	r, rs          float64 // resistance and its slope against charge
	p, source      float64 // power mode: constant power and constant current
	root           float64 // power mode: E + R(2I − I_s)
	c0, c1         float64 // ceiling mode
	v              float64 // constant mode
	current, volts float64 // at the start; volts is the DC bus's
	collapse       bool    // the demand is more than the bank can carry

	alive      bool    // the DC bus has voltage
	inverterOn bool    // the inverter carries load
	acServed   float64 // AC demand served, W
	acByGen    float64 // of this, passed through from the generator
	acBySun    float64 // of this, from PV inverters
	acByInv    float64 // of this, through the inverter
	invIn      float64 // DC into the inverter
	dcServed   float64
	own        float64 // housekeeping, night draw, inverter when off
	heater     float64
	demand     float64 // all of the DC bus's consumers
	dark       bool    // essential load is not fully served

	solarW, solarA float64 // what the solar chargers can give: power, and current where amperes bind
	genW, genA     float64 // likewise the AC charger
	genInput       float64 // AC power that the AC charger may take, W
	acThere        bool    // AC stands at its input, if the load takes all of it
	genFirst       bool    // the AC charger gives all it can before the solar chargers
	solarOff       bool    // the bus is above the solar chargers' set-point
	genOff         bool    // the bus is above the AC charger's set-point
	ceilingA       float64 // charge ceiling of the bank, A
	bind           Cause   // what refuses solar
	setS, setG     float64 // voltage set-points
	setD           float64 // set-point of the solar chargers that do not hear the link
	on, holders    uint32  // parties that give, and those that hold the voltage (mixture)
	sense          float64 // constant mode: resistance of the cable whose drop is made up, Ω
	cable          float64 // of the bank, where it tells the voltage at the bank from the bus's, Ω
	tooHigh        bool    // solar chargers are shut above a set-point that others pass
	hearShut       bool    // the others are shut by the ceiling
	blocked        Cause   // charge refused altogether for cells too cold or too hot
}

const maxChargers = 16

// bankless tells whether the chargers hold the bus and the bank has no part in it.
func (f *flow) bankless() bool { return f.mode == pushed || f.mode == apart && f.alive }

// inner is the voltage on the cells' side of the modules' switches, V: that of the
// DC bus, unless open switches part them.
func (f *flow) inner() float64 {
	if f.mode == pushed || f.mode == apart {
		return f.e
	}
	return f.volts - f.current*f.cable
}

// at is the current at a way x from the segment's start, A.
func (f *flow) at(x float64) float64 {
	switch f.mode {
	case power:
		i, _, _ := bank.CurrentA(f.e+f.g*x, f.r+f.rs*x, f.p, f.source)
		return i
	case ceiling:
		return f.c0 + f.c1*x
	case constant:
		return (f.v - f.e - f.g*x) / (f.r - f.sense + f.rs*x)
	}
	return 0
}

// solve finds the flows for the state as it is.
func (m *machine) solve(f *flow) {
	if !m.predicted {
		m.predict()
	}
	p, ohm := m.p, m.ohm
	*f = flow{ceilingA: math.Inf(1)}
	if p.acid != nil {
		m.acidCells(f)
	} else {
		dx := m.q - p.knots[m.knot].q
		f.e, f.g = p.knots[m.knot].e+p.knots[m.knot].g*dx+m.offsetV, p.knots[m.knot].g
		f.r, f.rs = ohm*(p.knots[m.knot].f+p.knots[m.knot].fs*dx)+p.cableR, ohm*p.knots[m.knot].fs
	}
	closed := m.connected()
	f.alive = closed || p.holdBus
	m.consume(f)
	m.limit(f)
	if m.disagrees() {
		m.solveParties(f, closed)
		m.judge(f)
		return
	}
	m.offer(f, f.e)
	m.warm(f)
	m.settle(f, closed)
	if f.alive && m.offer(f, f.volts) { // other chargers are at their ampere limit at this voltage
		m.settle(f, closed)
	}
	m.judge(f)
}

// consume finds what the site takes: AC through the generator first, the rest
// through the inverter; then what the DC bus must carry, before the heater.
func (m *machine) consume(f *flow) {
	p, row := m.p, m.row
	ac, inv, dc := row.acAll, row.invAll, row.dcAll
	if m.shed {
		ac, inv, dc = row.acEss, row.invEss, row.dcEss
	}
	passes := f.alive || p.inverter.passesAlone
	if reached := !m.siteStopped() && (passes || p.genStartsBus); m.gen.phase == loaded && (reached || m.laid) {
		input, rated := p.acInputW, p.genW[m.i]
		if input == 0 {
			input = 0.8 * rated
		}
		input = min(input, rated)
		switch {
		case m.laid:
			f.acByGen = min(ac, rated)
			ac, input = f.acByGen, min(input+f.acByGen, rated)
		case passes:
			f.acByGen = min(ac, input)
		}
		if !p.passOnly && reached {
			f.genInput, f.acThere = input-f.acByGen, true
		}
		inv = 0 // the charger's efficiency holds the idle loss
		if rest := ac - f.acByGen; rest > 0 {
			inv = p.inverter.dc(rest)
		}
	}
	f.inverterOn = f.alive && m.inv == running
	if f.inverterOn && row.acSunW > 0 && m.gen.phase != loaded {
		f.acBySun = min(ac, row.acSunW)
		f.genInput = row.acSunW - f.acBySun // the AC charger takes what the load leaves
		f.acThere = f.genInput > 0
		inv = 0
		if rest := ac - f.acBySun; rest > 0 || f.genInput == 0 {
			inv = p.inverter.dc(rest)
		}
	}
	if f.inverterOn {
		f.acByInv, f.invIn = ac-f.acByGen-f.acBySun, inv
	}
	if f.alive {
		if m.loadOn() || m.chargerW(f) > dc+p.ownW { // the AC charger holds the bus up
			f.dcServed = dc
		}
		f.own = p.ownW + row.nightDrawW
		if !f.inverterOn && (f.acByGen == 0 || m.laid) {
			f.own += p.inverter.offW
		}
	}
	f.demand = f.invIn + f.dcServed + f.own
}

// chargerW is what the AC charger could give at the bank's open-circuit voltage,
// W.
func (m *machine) chargerW(f *flow) float64 {
	if m.acStopped() {
		return 0
	}
	return min(f.genInput*m.p.genEta, m.acLimitA()*f.e)
}

// limit finds the charge ceiling and the voltage set-points; a set-point of 0
// is a charger that is told to stop.
func (m *machine) limit(f *flow) {
	if !f.alive {
		return
	}
	if !m.chargersStopped() {
		f.setS, f.setG = m.setV(0), m.setV(1)
	}
	if m.following() {
		f.ceilingA, f.c1 = m.linkedCeiling(f.e)
	}
	if m.tripped&chargeTrips != 0 {
		f.ceilingA, f.c1 = 0, 0
	}
}

// linkedCeiling is the charge ceiling while the chargers follow the BMS, A, and how it
// falls with the charge, A/As, at an open-circuit voltage.
func (m *machine) linkedCeiling(e float64) (ceilingA, slope float64) {
	if m.full {
		return 0, 0
	}
	p, z := m.p, &m.p.zones[m.lt]
	whole := max(0, z.ceiling+z.ceilings*(m.middleC-z.lo))
	ceilingA = whole * (p.factorAt[m.ls] + p.factorSlope[m.ls]*(m.soc-m.levelSoC()))
	if slope = whole * p.factorSlope[m.ls]; slope != 0 {
		slope *= m.countByCharge(ceilingA, e)
	}
	return ceilingA, slope
}

// setV is the voltage set-point of a kind of charger, 0 solar and 1 AC, V.
func (m *machine) setV(k int) float64 {
	if m.following() {
		return m.p.pushedV
	}
	return m.stages[k].volts(&m.p.solo) + m.p.compensate*(m.feltC()-25)
}

// feltC is the temperature that chargers which work by voltage compensate by, °C.
func (m *machine) feltC() float64 {
	if m.p.feelsCells {
		return m.middleC
	}
	return m.row.envC
}

// levelSoC is the threshold at or below the reported SoC.
func (m *machine) levelSoC() float64 {
	if m.ls == 0 {
		return 0
	}
	return m.p.limits.soc[m.ls-1]
}

// offer finds what the chargers can give at a bus voltage: those below their
// ampere limit a power, the others a current. It tells whether that differs
// from before.
func (m *machine) offer(f *flow, volts float64) bool {
	p := m.p
	oldS, oldG := f.solarA, f.genA
	f.solarW, f.solarA, f.genW, f.genA = 0, 0, 0, 0
	if f.setS > 0 && m.row.solarInW > 0 {
		if m.row.mostOutW <= m.wattsBelow(volts) && !m.anySensorStops() {
			f.solarW = m.row.solarOutW
		} else {
			m.offerEach(f, volts)
		}
	}
	if w := f.genInput * p.genEta; w > 0 && f.setG > 0 {
		if a := m.acLimitA(); w > a*volts {
			f.genA = a
		} else {
			f.genW = w
		}
	}
	return f.solarA != oldS || f.genA != oldG
}

// offerEach adds up the solar chargers one by one.
func (m *machine) offerEach(f *flow, volts float64) {
	base := m.i * m.p.chargers
	for k := range m.p.chargers {
		if w, a := m.p.sky.solarW[base+k], m.solarLimitA(base+k); m.sensorStops(k) {
			continue
		} else if w > a*volts {
			f.solarA += a
		} else {
			f.solarW += w
		}
	}
}

// solarLimitA is a solar charger's ampere limit: its own, and the current
// setting when it works by voltage.
func (m *machine) solarLimitA(i int) float64 {
	if m.p.mixed {
		return m.mixedLimitA(i)
	}
	if m.following() {
		return m.p.sky.solarA[i]
	}
	return min(m.p.sky.solarA[i], m.p.setA)
}

// acLimitA is likewise the AC charger's.
func (m *machine) acLimitA() float64 {
	a := m.p.genA * m.row.derate
	switch {
	case m.p.mixed && m.p.acToo && m.mixes():
		return min(a, m.p.handA)
	case m.following():
		return a
	}
	return min(a, m.p.setA)
}

// wattsBelow is the power up to which no solar charger is at its ampere limit at
// a voltage.
func (m *machine) wattsBelow(volts float64) float64 {
	a := m.row.leastA
	if !m.following() {
		a = min(a, m.p.setA)
	}
	if m.p.mixed {
		a = min(a, m.p.handA)
	}
	return a * volts
}

// warm adds the bank's heater to the consumers. From sources only, it takes
// what they can give up to its power.
func (m *machine) warm(f *flow) {
	if !m.heaterOn || !f.alive {
		return
	}
	f.heater = m.p.heaterW
	if !m.p.fromBank {
		f.heater = min(f.heater, f.solarW+f.genW+(f.solarA+f.genA)*f.e)
	}
	f.demand += f.heater
}
