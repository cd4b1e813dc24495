package sim_test

// A brute-force reference of the simulation: explicit steps of one second,
// each at the powers of its middle, no event is located, no closed form is used. It shares with the simulation the
// structs of parameters, and takes as inputs the decoded system before anything left
// out is filled in, the weather year with the times at which its sun is up, and the
// rows of the load. It computes nothing with the simulation's code (a test asserts it),
// and has what is the same by its nature twice: published tables and constants. Its laws are those that DEVELOPERS.md lists under
// "The kernel's choices". The files reference_*_test.go hold it; the
// comparison is in reference_compare_test.go.

// refTable is a piecewise-linear table read at a slowly moving x: it remembers
// the piece it was read in. Outside the table the end values hold; at a step
// (two pairs at one x) the second pair holds from there up.
type refTable struct {
	x, y, slope []float64
	piece       int
}

func newRefTable(pairs [][2]float64, scaleX, scaleY float64) refTable {
	t := refTable{}
	for i, p := range pairs {
		t.x, t.y = append(t.x, p[0]*scaleX), append(t.y, p[1]*scaleY)
		if i > 0 {
			s := 0.0
			if dx := t.x[i] - t.x[i-1]; dx > 0 {
				s = (t.y[i] - t.y[i-1]) / dx
			}
			t.slope = append(t.slope, s)
		}
	}
	return t
}

// at is the value at x.
func (t *refTable) at(x float64) float64 {
	last := len(t.x) - 1
	if x < t.x[0] {
		return t.y[0]
	}
	if x >= t.x[last] {
		return t.y[last]
	}
	i := t.piece
	for x < t.x[i] {
		i--
	}
	for x >= t.x[i+1] {
		i++
	}
	t.piece = i
	return t.y[i] + t.slope[i]*(x-t.x[i])
}

// refHold is a condition with a delay: it acts once it has held without a
// break for a time.
type refHold struct {
	on    bool
	since int
}

// past tells whether a condition has held for s seconds at second now.
func (h *refHold) past(condition bool, now int, s float64) bool {
	if !condition {
		h.on = false
		return false
	}
	if !h.on {
		h.on, h.since = true, now
	}
	return float64(now-h.since) >= s
}
