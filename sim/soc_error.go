package sim

import "math"

// socError is how far the reported state of charge was from the true one: month by
// month and at its worst. The mean is of the ends of intervals, the largest of every
// segment's end.
type socError struct {
	sum     [12]float64 // of the ends of intervals
	most    [12]float64
	largest float64
	at      float64 // end of the interval that had it
}

// sample takes the end of an interval, and begins the next.
func (e *socError) sample(m *machine) {
	most, month := m.extreme.socError, m.row.month
	m.extreme.socError = 0
	e.sum[month] += math.Abs(m.soc - m.q/m.p.qMax)
	e.most[month] = max(e.most[month], most)
	if most > e.largest {
		e.largest, e.at = most, m.now
	}
}
