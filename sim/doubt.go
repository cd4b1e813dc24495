package sim

// doubt counts the decisions by reported state of charge that would have gone
// otherwise with the true one: at the ends of intervals, where the two lie on
// different sides of a threshold that decides something then. A decision that stays
// wrong counts once.
type doubt struct {
	shadow bool // flexible load would be shed
	wrong  [decisions]bool
	count  [decisions]int
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

// sample takes the end of an interval.
func (d *doubt) sample(m *machine) {
	p, row, soc := m.p, m.row, m.q/m.p.qMax
	c, g := &p.controls, p.gen
	window(&d.shadow, soc <= c.ShedSoC, soc >= c.ReturnSoC)
	d.note(decideShed, d.shadow != m.shed && row.acAll+row.dcAll > row.acEss+row.dcEss)
	if g != nil {
		standing, running := m.gen.phase == standing, m.gen.phase == loaded
		d.note(decideStart, standing && g.StartSoCFraction > 0 && (soc <= g.StartSoCFraction) != (m.soc <= g.StartSoCFraction))
		d.note(decideStop, running && g.StopSoCFraction > 0 && (soc >= g.StopSoCFraction) != (m.soc >= g.StopSoCFraction))
	}
	low := &c.LowEnd
	at := low.StopSoC
	if m.stopped {
		at = low.ResumeSoC
	}
	d.note(decideLoad, m.following() && (soc < at) != (m.soc < at))
}

func (d *doubt) note(decision int, wrong bool) {
	if wrong && !d.wrong[decision] {
		d.count[decision]++
	}
	d.wrong[decision] = wrong
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
