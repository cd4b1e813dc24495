package sim

import "math"

// inrush follows the starts of motors. A start is looked at with the bank as it
// is at the interval's start, and the motors that fail then with the bank as it
// is at each of their starts.
type inrush struct {
	bank, inverter worst   // worst start of the year by each
	news, newsI    float64 // what a start has to be below by each; in the settling days only those that fail
	failed         int
	blamed         int     // of the kinds whose start failed last, the one that asked for most
	gapS, endS     float64 // in an interval in which starts fail: the time between them, and its end
}

// worst is the start with the least margin so far.
type worst struct {
	margin       float64 // what it may ask over what it asks, less one
	startNeed            // what it asks
	kind         int
	at           float64 // s
	weakest      string
	e, r         float64 // open circuit, and what the resistance of all modules in service would be for its time, without the cable
	supportW     float64 // what the sun gives towards it
	soc, celsius float64
}

// begin forgets the starts of the settling days.
func (n *inrush) begin(counted bool) {
	*n = inrush{news: beyond, newsI: beyond, bank: worst{margin: math.Inf(1)}, inverter: worst{margin: math.Inf(1)}, gapS: n.gapS, endS: n.endS}
	if counted {
		n.news, n.newsI = n.bank.news(), n.inverter.news()
	}
}

// news is what a start has to be below to be worse than the worst, or to fail:
// what it may ask over what it asks.
func (w *worst) news() float64 { return min(beyond+max(0, w.margin), math.MaxFloat64) }

// beyond is just below 1: the same start at the same hour of the next day is no
// worse.
const beyond = 1 - 1e-9

// starts looks at the starts of an interval that ends at a time, and sets the
// timer of those that fail.
func (m *machine) starts(end float64) {
	ms := m.p.motors
	row := &ms.rows[m.i]
	if m.running(tInrush) {
		m.stop(tInrush)
	}
	if row.from == row.to || m.inv != running || m.gen.phase == loaded {
		return
	}
	h := &row.all
	if m.shed {
		h = &row.essential
	}
	n := &m.inrush
	e, r := m.openCircuit(), m.coldOhm()+m.p.cableR
	if (e-ms.mostA*r)*ms.share > n.news*h.volts && ms.mostV*(e-ms.mostV) > n.news*h.watts*r && 1 > n.newsI*h.inverter {
		return
	}
	most := m.look(true)
	if m.counted {
		n.news, n.newsI = n.bank.news(), n.inverter.news()
	}
	if most > 0 {
		n.endS, n.gapS = end, (end-m.now)/float64(most)
		m.set(tInrush, m.now)
	}
}

// coldOhm is the steady resistance of the modules at their present temperature
// and charge, Ω.
func (m *machine) coldOhm() float64 {
	z := &m.p.zones[m.lt]
	return (z.r + z.rs*(m.celsius-z.lo)) * (m.p.knots[m.knot].f + m.p.knots[m.knot].fs*(m.q-m.p.knots[m.knot].q))
}

// look tells how many starts the present interval has of the motor that starts
// most often of those that fail now, 0 where none fails, and notes the worst.
func (m *machine) look(note bool) (most int) {
	p, ms := m.p, m.p.motors
	row := &ms.rows[m.i]
	e, ohm := m.openCircuit(), m.coldOhm()
	support := m.support(e)
	least := 0.
	for _, listed := range ms.list[row.from:row.to] {
		k := &ms.kinds[listed.kind]
		if m.shed && k.flexible {
			continue
		}
		need := ms.need(p, int(listed.kind), m.i, m.shed)
		w := worst{startNeed: need, kind: int(listed.kind), at: m.now, e: e, r: ohm, supportW: support, soc: m.trueSoC(), celsius: m.celsius}
		if k.short {
			w.r *= ms.short
		}
		w.margin, w.weakest = k.bankMargin(e, w.r+p.cableR, need.dcW-support, 1)
		w.r *= p.modules / m.whole.modules
		margin := w.margin
		if note && m.counted && w.margin < m.inrush.bank.margin {
			m.inrush.bank = w
		}
		if !k.dc {
			w.margin, w.weakest = 1/need.inverter-1, byInverter
			margin = min(margin, w.margin)
			if note && m.counted && w.margin < m.inrush.inverter.margin {
				m.inrush.inverter = w
			}
		}
		if margin < 0 {
			most = max(most, int(listed.count))
		}
		if margin < least {
			least, m.inrush.blamed = margin, int(listed.kind)
		}
	}
	return most
}

// support is what the sun gives towards a start, W: as much as the chargers can
// give at the bank's open-circuit voltage.
func (m *machine) support(e float64) float64 {
	p, w := m.p, 0.
	if m.row.solarInW == 0 || m.sunStopped() {
		return 0
	}
	for k := range p.chargers {
		if i := m.i*p.chargers + k; !m.sensorStops(k) && !(m.chargersStopped() && !p.deaf[k]) {
			w += min(p.sky.solarW[i], m.solarLimitA(i)*e)
		}
	}
	return w
}

// bankMargin is how much more power a start could take than the bank has to
// give for it, less one, and what would fail first: its peak current I at
// (E − I·R)·I, or the voltage that may not be undercut at V·(E − V)/R. Neither
// is more than E²/4R. share multiplies the peak current.
func (k *motor) bankMargin(e, r, watts, share float64) (margin float64, weakest string) {
	if watts <= 0 {
		return math.Inf(1), byPeak
	}
	most, peak := e*e/(4*r), k.peakA*share
	byCurrent, byVoltage := most, most
	if peak < e/(2*r) {
		byCurrent = peak * (e - peak*r)
	}
	if k.cutV > e/2 {
		byVoltage = max(0, k.cutV*(e-k.cutV)/r)
	}
	if byVoltage < byCurrent {
		return byVoltage/watts - 1, bySag
	}
	return byCurrent/watts - 1, byPeak
}

// Links of the chain that a start hangs on.
const (
	byPeak     = "bank_peak_current"
	bySag      = "voltage_sag"
	byInverter = "inverter"
)

// inrushStep lets the starts of an interval in which they fail come one by one:
// one that fails takes the inverter off for its restart time.
func (m *machine) inrushStep() bool {
	if m.now < m.due[tInrush] {
		return false
	}
	n := &m.inrush
	m.stop(tInrush)
	if next := m.now + n.gapS; next < n.endS-1e-6 {
		m.set(tInrush, next)
	}
	if m.inv != running || m.gen.phase == loaded || m.look(false) == 0 {
		return false
	}
	m.inv, m.why = restarting, Inrush
	m.set(tInverter, m.now+m.p.inverter.restartS)
	if m.counted {
		n.failed++
	}
	return true
}
