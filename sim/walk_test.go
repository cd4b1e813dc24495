package sim

// Walk runs the year without settling days, each row in equal parts, and calls
// visit at the start and after every segment: seconds since the last call,
// charge (As) and cell temperature (°C).
func (p *Plan) Walk(parts int, visit func(seconds, chargeAs, cellC float64)) *Year {
	m := newMachine(p)
	m.count(false)
	visit(0, m.q, m.celsius)
	for i := range p.sky.rows {
		m.i, m.row = i, &p.sky.rows[i]
		m.books = &m.months[m.row.month]
		start := m.now
		for k := range parts {
			end := start + float64(k+1)*p.sky.stepS/float64(parts)
			for m.stepEnd, m.predicted = end, false; m.now < end; {
				before := m.now
				m.segment(end)
				visit(m.now-before, m.q, m.celsius)
			}
		}
		m.nightfall()
	}
	return m.year()
}

// Segments is the number of segments that the counted year takes.
func (p *Plan) Segments() int {
	m := newMachine(p)
	m.count(false)
	for i := range p.sky.rows {
		m.interval(i)
	}
	return m.counts.segments
}
