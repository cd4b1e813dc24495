package sim

import (
	"math"
	"slices"

	"bankyear/sim/inverter"
)

// motors is every start that the load asks for, compiled; a plan without any
// has none.
type motors struct {
	*startTable
	kinds []motor
	share float64 // modules over the worst one's share
	short float64 // few-second over steady resistance
	// For a quick look at a row: no kind has a higher peak or a higher voltage
	// to stay above than these.
	mostA, mostV float64
}

// startTable is the starts of every row: what does not depend on how many modules
// there are, nor on what stops their discharge.
type startTable struct {
	rows  []starts
	list  []kindCount // of all rows, one after the other
	asked float64     // starts in the year
	of    []motorKind // that it was made for
	ownW  float64     // likewise
}

// motor is one kind of start, and what the bank does about it.
type motor struct {
	motorKind
	peakA float64 // what the bank gives for that time
	cutV  float64 // voltage below which the load stops, or the bank opens, within that time
}

// motorKind is one kind of start.
type motorKind struct {
	appliance    string
	dc, flexible bool
	w, vars      float64 // while it starts, of one
	insideW      float64 // of the row's load, what is its own
	insideVars   float64
	lastsS       float64
	gapS         float64 // between two starts
	moduleA      float64 // what the worst module gives for that time
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

// hardest bounds what any start of a row asks: power, power for each ampere that
// the worst module may give, and volt-amperes for each that the inverter may give.
type hardest struct{ watts, volts, inverter float64 }

// fewSeconds is how long the short resistance holds, s.
const fewSeconds = 5

// compileMotors lists the starts of every row, or takes them over from a twin.
func compileMotors(p *Plan, s *System, l *Load, twins []*Plan) {
	m := &motors{share: float64(s.Bank.Modules) / s.Bank.Module.WorstShare, short: s.Bank.Module.ShortFactor}
	var kinds []motorKind
	on := [][]bool{}
	for k := range l.Starts {
		if st := &l.Starts[k]; st.InrushS > 0 && st.InrushMultiple > 1 {
			kind := newKind(p, s, st)
			kinds, on = append(kinds, kind), append(on, st.On)
			m.kinds = append(m.kinds, motor{kind, kind.moduleA * m.share, cutV(s, st)})
		}
	}
	if len(kinds) == 0 {
		return
	}
	for _, k := range m.kinds {
		if m.mostV = max(m.mostV, k.cutV); k.peakA <= math.MaxFloat64 { // lead-acid has no limit but its voltage
			m.mostA = max(m.mostA, k.peakA)
		}
	}
	if m.startTable = tableOf(p, kinds, twins); m.startTable == nil {
		m.startTable = newTable(p, kinds, on)
	}
	p.motors = m
}

// tableOf is the starts of a twin whose motors and draws are the same.
func tableOf(p *Plan, kinds []motorKind, twins []*Plan) *startTable {
	for _, q := range twins {
		if t := q.motors; t != nil && t.ownW == p.ownW && slices.Equal(t.of, kinds) {
			return t.startTable
		}
	}
	return nil
}

// newTable goes through the year.
func newTable(p *Plan, kinds []motorKind, on [][]bool) *startTable {
	t := &startTable{of: kinds, ownW: p.ownW, rows: make([]starts, len(p.sky.rows)), list: make([]kindCount, 0, len(p.sky.rows)*len(kinds))}
	ran := make([]float64, len(kinds)) // starts so far, and the part of one that is begun
	for i := range t.rows {
		r := &t.rows[i]
		r.from = uint32(len(t.list))
		var all, essential alongside
		for k := range kinds {
			n := 0.
			kind := &kinds[k]
			switch {
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
			t.asked += n
			t.list = append(t.list, kindCount{uint16(k), uint16(min(n, math.MaxUint16))})
			if all.row == nil { // the first of the row
				all, essential = beside(p, i, false), beside(p, i, true)
			}
			need := kind.need(p, &all)
			r.all.raise(kind, &need)
			if !kind.flexible {
				if essential != all {
					need = kind.need(p, &essential)
				}
				r.essential.raise(kind, &need)
			}
		}
		r.to = uint32(len(t.list))
	}
	return t
}

func newKind(p *Plan, s *System, st *Start) motorKind {
	k := motorKind{
		appliance: st.Appliance, dc: st.DC, flexible: st.Flexible, w: st.RunningW * st.InrushMultiple, lastsS: st.InrushS,
		onceARow: st.StartsPerH == 0, short: st.InrushS <= fewSeconds, ratedVA: s.Inverter.RatedW,
	}
	k.vars = k.w * st.reactive()
	k.insideW = st.RunningW * st.MeanFraction
	k.insideVars = k.insideW * st.reactive()
	if k.onceARow {
		k.gapS = p.sky.stepS / float64(st.Count)
	} else {
		k.gapS = 3600 / (st.StartsPerH * float64(st.Count))
	}
	if k.gapS >= st.InrushS+s.Inverter.ShortRestS {
		k.ratedVA = inverterVA(&s.Inverter, st.InrushS)
	}
	m := &s.Bank.Module
	k.moduleA = m.DischargeA
	for _, peak := range m.PeakAS {
		if peak[1] >= st.InrushS && k.gapS >= st.InrushS+m.PeakRestS {
			k.moduleA = max(k.moduleA, peak[0])
		}
	}
	return k
}

// cutV is the voltage below which the load stops, or the bank opens, within the time
// of a start.
func cutV(s *System, st *Start) float64 {
	low, pr := &s.Controls.LowEnd, &s.Bank.Module.Protection
	v := s.Inverter.MinV
	if st.InrushS >= pr.UnderDelayS {
		v = max(v, pr.UnderV)
	}
	if s.Bank.Operation == "voltage_only" {
		if st.InrushS >= low.FastCutOffDelayS {
			v = max(v, low.FastCutOffV)
		}
		if st.InrushS >= low.CutOffDelayS {
			v = max(v, low.CutOffV)
		}
	}
	return v
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
func (kind *motorKind) need(p *Plan, load *alongside) startNeed {
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

func (h *hardest) raise(k *motorKind, n *startNeed) {
	if n.dcW > h.watts {
		h.watts = n.dcW
	}
	if volts := n.dcW / k.moduleA; volts > h.volts {
		h.volts = volts
	}
	if n.inverter > h.inverter {
		h.inverter = n.inverter
	}
}
