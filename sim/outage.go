package sim

// shortOutageS separates outages from those that are counted apart.
const shortOutageS = 300

// outage is the present downtime and the year's list.
type outage struct {
	cause   Cause
	start   float64
	seconds float64
	seen    bool // somebody has looked at it
	first   Outage

	list         []Outage
	short, long  int
	hour, four   int     // of those, longer than one hour and than four
	ever         bool    // also in the settling days
	firstAt      float64 // start of the first, if ever
	longest      float64
	longestStart float64
}

func (o *outage) reset() { *o = outage{ever: o.ever, firstAt: o.firstAt} }

// begin opens an outage.
func (o *outage) begin(m *machine, cause Cause) {
	m.waited = true
	if !o.ever {
		o.ever, o.firstAt = true, m.now
	}
	o.cause, o.start, o.seconds, o.seen = cause, m.now, 0, false
	o.first = Outage{Cause: cause, SoC: m.trueSoC(), CellC: m.celsius}
	if m.rec != nil {
		o.first.Because, o.first.Reported = m.because(cause), m.reportedSoC()
		o.first.Chain, o.first.Before = m.rec.chain(m)
		m.rec.begin()
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
	if o.seconds > 3600 {
		o.hour++
	}
	if o.seconds > 4*3600 {
		o.four++
	}
	if m.rec != nil {
		o.first.Start, o.first.Hours = m.p.sky.date(o.start), o.seconds/3600
		o.first.During, o.first.LeftOut, o.first.EndedBy = m.p.dated(m.rec.course.list), m.rec.course.left, m.rec.ended(m)
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
