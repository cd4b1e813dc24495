package sim

import (
	"math"

	"bankyear/sim/bank"
)

// recorder keeps every interval of the counted year.
type recorder struct {
	hours *Hours
	row   int
	last  [12]ledger // the ledgers as they were at the interval's start
	sums  struct{ volts, celsius, ceilingA float64 }
	up    bool

	status    status
	events    []Event      // of the last 48 h
	course    course       // of the present outage
	ending    Ending       // what would have ended it, so far
	byHand    bool         // somebody started the generator
	failed    wakeFailures // told of in the present sleep
	incidents []Event      // of the year
	decisions []Decision
}

func newRecorder(p *Plan) *recorder {
	n := len(p.sky.rows)
	h := &Hours{
		StartLocalMs: make([]int64, n), UTCOffsetS: p.sky.offsetS,
		Values: make([][]float32, len(NumberColumns())), Downtime: make([]Cause, n), Curtailed: make([]Cause, n), LinkUp: make([]bool, n),
	}
	for i := range h.Values {
		h.Values[i] = make([]float32, n)
	}
	for i := range n {
		h.StartLocalMs[i] = p.sky.startMs + int64(float64(i)*p.sky.stepS*1000)
	}
	c := &p.sky.columns
	copy(h.Values[colZenith], c.zenith)
	copy(h.Values[colAzimuth], c.azimuth)
	copy(h.Values[colPlane], c.plane)
	copy(h.Values[colAmbient], c.ambient)
	return &recorder{hours: h, up: p.linked}
}

// segment adds what the ledgers do not hold.
func (r *recorder) segment(m *machine, s *stretch) {
	r.sums.volts += (s.f.volts + s.v1) / 2 * s.tau
	r.sums.celsius += m.meanC(s) * s.tau
	r.sums.ceilingA = s.f.ceilingA
	if s.f.mode == apart {
		r.sums.ceilingA = 0
	} else if !m.following() && s.f.ceilingA > 0 {
		r.sums.ceilingA = m.p.setA * float64(m.p.chargers)
	}
	r.up = r.up && !m.down
}

// glide adds the same of a glide: its mean voltage, the temperature that its heat leads
// to and the one at its end, its time, and the open-circuit voltage at its start.
func (r *recorder) glide(m *machine, volts, finalC, endC, tau, e float64) {
	r.sums.volts += volts * tau
	r.sums.celsius += (finalC + (endC-finalC)*bank.Growth(m.p.heat.rate*tau)) * tau
	r.sums.ceilingA = m.p.setA * float64(m.p.chargers)
	if m.p.linked {
		r.sums.ceilingA, _ = m.linkedCeiling(e)
	}
}

// interval writes one row from what the ledger gained.
func (r *recorder) interval(m *machine) {
	l, was, i := m.books, &r.last[m.row.month], r.row
	per := 1 / m.p.sky.stepS
	put := func(c int, x float64) { r.hours.Values[c][i] = float32(x + 0) }
	put(colCell, r.sums.celsius*per)
	put(colSolarAvail, (l.solarAvail-was.solarAvail)*per)
	curtailed := (l.curtailed - was.curtailed) * per
	put(colSolarUsed, remainder((l.solarAvail-was.solarAvail)*per, curtailed))
	put(colCurtailed, curtailed)
	put(colLoad, (l.load-was.load)*per)
	put(colServed, remainder((l.load-was.load)*per, (l.unserved-was.unserved)*per))
	put(colBankW, (l.charge-was.charge-(l.discharge-was.discharge))*per)
	put(colBankA, (l.chargeAs-was.chargeAs-(l.dischargeAs-was.dischargeAs))*per)
	put(colBankV, r.sums.volts*per)
	put(colSoC, m.trueSoC())
	reported := math.NaN()
	if soc := m.reportedSoC(); soc != nil {
		reported = *soc
	}
	put(colReported, reported)
	put(colCeiling, r.sums.ceilingA)
	put(colGenerator, (l.ac[fromGenerator].made-was.ac[fromGenerator].made)*per)
	put(colGrid, (l.ac[fromGrid].made-was.ac[fromGrid].made)*per)
	put(colFuel, l.fuelL-was.fuelL)
	put(colInverterLoss, (l.invIn-was.invIn-(l.invOut-was.invOut))*per)
	put(colHeater, (l.heater-was.heater)*per)
	if l.downS != was.downS {
		put(colDowntime, (l.downS-was.downS)*per)
		for k, c := range DowntimeCauses() {
			put(colFirstCause+k, (l.downBy[c]-was.downBy[c])*per)
		}
		r.hours.Downtime[i] = largest(l.downBy[:], was.downBy[:], DowntimeCauses())
	}
	if l.curtailed != was.curtailed {
		r.hours.Curtailed[i] = largest(l.curtBy[:], was.curtBy[:], CurtailmentCauses())
	}
	r.hours.LinkUp[i] = r.up
	*was = *l
	r.row++
	r.sums.volts, r.sums.celsius = 0, 0
	r.up = m.p.linked
}

// remainder is what is left of a whole without a part of it: nothing where both
// are the same but for the digits that the ledgers' sums have lost.
func remainder(whole, part float64) float64 {
	if left := whole - part; left > 1e-9*whole {
		return left
	}
	return 0
}

// largest is the cause that gained most; NoCause when none did.
func largest(now, was []float64, causes []Cause) Cause {
	best, gain := NoCause, 0.
	for _, c := range causes {
		if g := now[c] - was[c]; g > gain {
			best, gain = c, g
		}
	}
	return best
}
