package sim

import "math"

// socError is how far the reported state of charge was from the true one: month by
// month and at its worst. The mean is of the ends of intervals, the largest of every
// segment's end.
type socError struct {
	sum, most [12]float64
	largest   float64
	at        float64 // end of the interval that had it
}

// sample takes the end of an interval, at which the true charge is soc, and begins
// the next.
func (e *socError) sample(m *machine, soc float64) {
	month := m.row.month
	e.sum[month] += math.Abs(m.soc - soc)
	if most := m.extreme.socError; most > e.most[month] {
		e.most[month] = most
		if most > e.largest {
			e.largest, e.at = most, m.now
		}
	}
	m.extreme.socError = 0
}
