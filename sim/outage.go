package sim

// shortOutageS separates outages from those that are counted apart.
const shortOutageS = 300

// outage is the present downtime and the year's list.
type outage struct {
	cause   Cause
	start   float64
	seconds float64
	first   Outage

	list         []Outage
	short, long  int
	longest      float64
	longestStart float64
}

func (o *outage) reset() { *o = outage{} }

// begin opens an outage.
func (o *outage) begin(m *machine, cause Cause) {
	o.cause, o.start, o.seconds = cause, m.now, 0
	o.first = Outage{Cause: cause, SoC: m.q / m.p.qMax, Reported: m.soc, CellC: m.celsius}
	if m.rec != nil {
		o.first.Because = m.because(cause)
		o.first.Chain, o.first.Before = m.rec.chain(m)
	}
}

// lightUp closes the present outage.
func (m *machine) lightUp() {
	o := &m.outage
	if o.cause == NoCause {
		return
	}
	if o.seconds > 0 {
		o.close(m)
	}
	o.cause = NoCause
}

func (o *outage) close(m *machine) {
	if o.seconds > o.longest {
		o.longest, o.longestStart = o.seconds, o.start
	}
	if o.seconds <= shortOutageS {
		o.short++
	} else {
		o.long++
	}
	if m.rec != nil {
		o.first.Start, o.first.Hours = m.p.sky.date(o.start), o.seconds/3600
		o.list = append(o.list, o.first)
	}
}

// night gathers downtime from sunset to sunrise.
type night struct {
	dark    bool
	seconds float64
	count   int
	touched int     // intervals with any downtime
	before  float64 // downtime of the month so far
	month   uint8
}

// nightfall is called after each interval: a night ends when the sun is up.
func (m *machine) nightfall() {
	n := &m.night
	if n.month != m.row.month {
		n.month, n.before = m.row.month, 0
	}
	if m.books.downS > n.before {
		n.touched++
		n.before = m.books.downS
	}
	if m.row.sunlit {
		if n.dark && n.seconds > shortOutageS {
			n.count++
		}
		n.dark, n.seconds = false, 0
		return
	}
	n.dark = true
}
