package sim

// doubt counts the decisions by reported state of charge that would have gone
// otherwise with the true one: at the ends of intervals, where the two lie on
// different sides of a threshold that decides something then. A decision that stays
// wrong counts once.
type doubt struct {
	shadow bool // flexible load would be shed
	wrong  [decisions]bool
	count  [decisions]int
	onS    float64 // a source of AC was on for that alone
}

// Decisions by state of charge.
const (
	decideShed  = iota // flexible load off or back
	decideStart        // the generator starts
	decideStop         // the generator stops
	decideLoad         // data-linked: the load stops or comes back
	decisions
)

var decisionNames = [decisions]string{"shed", "generator_start", "generator_stop", "load_stop"}

// doubtless is the reported SoC above which it decides nothing but the stop of a
// source of AC that runs.
func doubtless(s *System) float64 {
	c := &s.Controls
	at := max(c.ShedSoC, c.ReturnSoC, c.LowEnd.StopSoC, c.LowEnd.ResumeSoC)
	for _, g := range s.Generators {
		at = max(at, g.StartSoCFraction)
	}
	if s.Grid != nil {
		at = max(at, s.Grid.ConnectSoC)
	}
	return at
}

// sample takes the end of an interval.
func (d *doubt) sample(m *machine) {
	p, row, soc := m.p, m.row, m.trueSoC()
	c, g := &p.controls, p.gen
	if soc > p.doubtless && m.soc > p.doubtless && !d.shadow && !m.shedBySoC && d.wrong == [decisions]bool{} && m.gen.phase != loaded {
		return
	}
	window(&d.shadow, soc <= c.ShedSoC, soc >= c.ReturnSoC)
	d.note(m, decideShed, d.shadow != m.shedBySoC && row.acAll+row.dcAll > row.acEss+row.dcEss)
	if g != nil {
		standing, running := m.gen.phase == standing, m.gen.phase == loaded
		d.note(m, decideStart, standing && g.StartSoCFraction > 0 && (soc <= g.StartSoCFraction) != (m.soc <= g.StartSoCFraction))
		d.note(m, decideStop, running && g.StopSoCFraction > 0 && (soc >= g.StopSoCFraction) != (m.soc >= g.StopSoCFraction))
		if m.misledOn(soc) {
			d.onS += p.sky.stepS
		}
	}
	low := &c.LowEnd
	at := low.StopSoC
	if m.stopped {
		at = low.ResumeSoC
	}
	d.note(m, decideLoad, m.following() && (soc < at) != (m.soc < at))
}

func (d *doubt) note(m *machine, decision int, wrong bool) {
	if wrong && !d.wrong[decision] {
		d.count[decision]++
		if m.rec != nil {
			m.rec.doubted(m, decision)
		}
	}
	d.wrong[decision] = wrong
}

// Decision is one by the reported state of charge that would have gone otherwise
// with the true one.
type Decision struct {
	At       string  `json:"at" doc:"Local end of the interval at which it was found."`
	Decision string  `json:"decision" enum:"shed,generator_start,generator_stop,load_stop" doc:"What was decided, or was not: flexible load off or back, the generator's start, its stop, the load's stop or return."`
	Reported float64 `json:"reported_soc_fraction" doc:"Reported SoC."`
	SoC      float64 `json:"soc_fraction" doc:"True SoC."`
}

// decisionsMost is how many decisions are listed, the first of the year; all are
// counted.
const decisionsMost = 500

// doubted lists a decision.
func (r *recorder) doubted(m *machine, decision int) {
	if len(r.decisions) < decisionsMost {
		r.decisions = append(r.decisions, Decision{At: m.p.sky.date(m.now), Decision: decisionNames[decision], Reported: m.soc, SoC: m.trueSoC()})
	}
}

// byDecision is the count of each by name, and their sum.
func (d *doubt) byDecision() (sum int, out map[string]int) {
	out = map[string]int{}
	for k, n := range d.count {
		sum += n
		out[decisionNames[k]] = n
	}
	return sum, out
}
