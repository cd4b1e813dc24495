package sim

import (
	"math"
	"slices"

	"bankyear/sim/inverter"
)

// motors is every start that the load asks for, compiled; a plan without any
// has none.
type motors struct {
	kinds []motor
	rows  []starts
	list  []kindCount // of all rows, one after the other
	asked float64     // starts in the year
	short float64     // few-second over steady resistance
	// For a quick look at a row: no kind has a higher peak or a higher voltage
	// to stay above than these.
	mostA, mostV float64
}

// motor is one kind of start.
type motor struct {
	appliance    string
	dc, flexible bool
	w, vars      float64 // while it starts, of one
	insideW      float64 // of the row's load, what is its own
	insideVars   float64
	lastsS       float64
	gapS         float64 // between two starts
	peakA        float64 // what the bank gives for that time
	cutV         float64 // voltage below which the load stops, or the bank opens, within that time
	short        bool    // the few-second resistance counts
	ratedVA      float64 // what the inverter gives for that time, before derating
	onceARow     bool    // it starts when it is switched on, else again and again
}

// starts is the starts of a row: where they are in the list, and the hardest of
// them while all load is on and while only essential load is.
type starts struct {
	from, to       uint32
	all, essential hardest
}

type kindCount struct{ kind, count uint16 }

// hardest bounds what any start of a row asks: power, power for each ampere
// that the bank may give, and volt-amperes for each that the inverter may give.
type hardest struct{ watts, volts, inverter float64 }

// fewSeconds is how long the short resistance holds, s.
const fewSeconds = 5

// compileMotors lists the starts of every row.
func compileMotors(p *Plan, s *System, l *Load) {
	m := &motors{short: s.Bank.Module.ShortFactor}
	on := [][]bool{}
	for k := range l.Starts {
		if st := &l.Starts[k]; st.InrushS > 0 && st.InrushMultiple > 1 {
			m.kinds = append(m.kinds, newMotor(p, s, st))
			on = append(on, st.On)
		}
	}
	if len(m.kinds) == 0 {
		return
	}
	for _, k := range m.kinds {
		m.mostA, m.mostV = max(m.mostA, k.peakA), max(m.mostV, k.cutV)
	}
	if twin := m.twin(p); twin != nil {
		p.motors = twin
		return
	}
	m.rows, m.list = make([]starts, len(p.sky.rows)), make([]kindCount, 0, len(p.sky.rows)*len(m.kinds))
	ran := make([]float64, len(m.kinds)) // starts so far, and the part of one that is begun
	for i := range m.rows {
		r := &m.rows[i]
		r.from = uint32(len(m.list))
		var all, essential alongside
		for k := range m.kinds {
			n := 0.
			switch kind := &m.kinds[k]; {
			case !on[k][i]:
			case !kind.onceARow:
				was := math.Ceil(ran[k] - 1e-9)
				ran[k] += p.sky.stepS / kind.gapS
				n = math.Ceil(ran[k]-1e-9) - was
			case i == 0 || !on[k][i-1]:
				n = math.Round(p.sky.stepS / kind.gapS)
			}
			if n == 0 {
				continue
			}
			m.asked += n
			m.list = append(m.list, kindCount{uint16(k), uint16(min(n, math.MaxUint16))})
			if all.row == nil { // the first of the row
				all, essential = beside(p, i, false), beside(p, i, true)
			}
			kind := &m.kinds[k]
			r.all.raise(kind, kind.need(p, &all))
			if !kind.flexible {
				r.essential.raise(kind, kind.need(p, &essential))
			}
		}
		r.to = uint32(len(m.list))
	}
	p.motors = m
}

// twin is the starts of a plan on the same rows whose motors and draws are the
// same.
func (m *motors) twin(p *Plan) *motors {
	for _, q := range p.twins {
		if q.motors != nil && q.ownW == p.ownW && q.motors.short == m.short && slices.Equal(q.motors.kinds, m.kinds) {
			return q.motors
		}
	}
	return nil
}

func newMotor(p *Plan, s *System, st *Start) motor {
	k := motor{
		appliance: st.Appliance, dc: st.DC, flexible: st.Flexible, w: st.RunningW * st.InrushMultiple, lastsS: st.InrushS,
		onceARow: st.StartsPerH == 0, short: st.InrushS <= fewSeconds, ratedVA: s.Inverter.RatedW,
	}
	k.vars = k.w * st.reactive()
	if k.onceARow {
		k.gapS = p.sky.stepS / float64(st.Count)
		k.insideW = st.RunningW * st.MeanFraction
		k.insideVars = k.insideW * st.reactive()
	} else {
		k.gapS = 3600 / (st.StartsPerH * float64(st.Count))
	}
	if k.gapS >= st.InrushS+s.Inverter.ShortRestS {
		k.ratedVA = inverterVA(&s.Inverter, st.InrushS)
	}
	k.peakA = p.dischargeA
	for _, peak := range p.peaks {
		if peak[1] >= st.InrushS && k.gapS >= st.InrushS+p.peakRestS {
			k.peakA = max(k.peakA, peak[0])
		}
	}
	low, pr := &s.Controls.LowEnd, &s.Bank.Module.Protection
	k.cutV = s.Inverter.MinV
	if st.InrushS >= pr.UnderDelayS {
		k.cutV = max(k.cutV, pr.UnderV)
	}
	if s.Bank.Operation == "voltage_only" {
		if st.InrushS >= low.FastCutOffDelayS {
			k.cutV = max(k.cutV, low.FastCutOffV)
		}
		if st.InrushS >= low.CutOffDelayS {
			k.cutV = max(k.cutV, low.CutOffV)
		}
	}
	return k
}

// inverterVA is the highest of its ratings that lasts for a time.
func inverterVA(s *inverter.Spec, seconds float64) float64 {
	va := s.RatedW
	for _, r := range s.Short {
		if r[1] >= seconds {
			va = max(va, r[0])
		}
	}
	return va
}

// need is what a start of kind k asks in row i, all that runs beside it
// included.
func (m *motors) need(p *Plan, k, i int, shed bool) startNeed {
	load := beside(p, i, shed)
	return m.kinds[k].need(p, &load)
}

// alongside is what runs in a row when a motor starts.
type alongside struct {
	row         *row
	w, dc, vars float64
}

// beside is what runs in row i, with all load or with essential load alone.
func beside(p *Plan, i int, shed bool) alongside {
	row := &p.sky.rows[i]
	w, dc, va := row.acAll, row.dcAll, row.vaAll
	if shed {
		w, dc, va = row.acEss, row.dcEss, row.vaEss
	}
	return alongside{row, w, dc, w * math.Sqrt(va*va-1)}
}

// need is what a start of the kind asks beside what runs.
func (kind *motor) need(p *Plan, load *alongside) startNeed {
	row, w, dc, vars := load.row, load.w, load.dc, load.vars
	if kind.dc {
		dc = max(0, dc-kind.insideW) + kind.w
	} else {
		w = max(0, w-kind.insideW) + kind.w
		vars = max(0, vars-kind.insideVars) + kind.vars
	}
	n := startNeed{acW: w, va: math.Sqrt(w*w + vars*vars), dcW: p.inverter.dc(w) + dc + p.ownW + row.nightDrawW}
	if !kind.dc {
		n.inverter = n.va / (kind.ratedVA * row.derate)
	}
	return n
}

// startNeed is the AC power, the volt-amperes and the DC power while a motor
// starts, and the volt-amperes over the inverter's rating.
type startNeed struct{ acW, va, dcW, inverter float64 }

func (h *hardest) raise(k *motor, n startNeed) {
	h.watts = max(h.watts, n.dcW)
	h.volts = max(h.volts, n.dcW/k.peakA)
	h.inverter = max(h.inverter, n.inverter)
}
