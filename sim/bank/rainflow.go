package bank

import "math"

// Rainflow counts cycles by ASTM E1049-85 (reapproved) §5.4.4 as the reversals
// come: X is the newest range, Y the one before; X < Y reads on; X ≥ Y counts
// Y, as a half when it holds the starting point and then the first point goes,
// else as one and both its points go. What is left at the end counts as
// halves. The first and last points of a history are reversals, and equal
// neighbours are one point.
type Rainflow struct {
	stack  []float64
	last   float64
	toward float64 // which way the history goes: 1 up, −1 down, 0 not yet
	begun  bool
	count  func(depth, mean, cycles float64)
}

// NewRainflow returns a counter that reports each cycle to count. room is the
// depth of the stack to set aside.
func NewRainflow(room int, count func(depth, mean, cycles float64)) *Rainflow {
	return &Rainflow{stack: make([]float64, 0, room), count: count}
}

// Clone is a counter that has read the same and reports to count from now on.
func (r *Rainflow) Clone(count func(depth, mean, cycles float64)) *Rainflow {
	c := *r
	c.stack, c.count = append(make([]float64, 0, cap(r.stack)), r.stack...), count
	return &c
}

// Add reads the next point of the history.
func (r *Rainflow) Add(x float64) {
	if (x-r.last)*r.toward > 0 { // still the same way
		r.last = x
	} else {
		r.turn(x)
	}
}

// turn reads a point that does not go on the way of the last ones.
func (r *Rainflow) turn(x float64) {
	switch {
	case !r.begun:
		r.begun = true
		r.stack = append(r.stack, x)
	case x == r.last:
		return
	default:
		if r.toward != 0 {
			r.reversal(r.last)
		}
		r.toward = math.Copysign(1, x-r.last)
	}
	r.last = x
}

// Finish counts the last point and the residue as half cycles.
func (r *Rainflow) Finish() {
	if r.begun && r.last != r.stack[len(r.stack)-1] {
		r.reversal(r.last)
	}
	for i := 1; i < len(r.stack); i++ {
		r.report(r.stack[i-1], r.stack[i], 0.5)
	}
	r.stack = r.stack[:0]
	r.begun, r.toward = false, 0
}

func (r *Rainflow) reversal(x float64) {
	r.stack = append(r.stack, x)
	for {
		n := len(r.stack)
		if n < 3 {
			return
		}
		newest := abs(r.stack[n-1] - r.stack[n-2])
		before := abs(r.stack[n-2] - r.stack[n-3])
		if newest < before {
			return
		}
		if n == 3 {
			r.report(r.stack[0], r.stack[1], 0.5)
			r.stack[0], r.stack[1] = r.stack[1], r.stack[2]
			r.stack = r.stack[:2]
			continue
		}
		r.report(r.stack[n-3], r.stack[n-2], 1)
		r.stack[n-3] = r.stack[n-1]
		r.stack = r.stack[:n-2]
	}
}

func (r *Rainflow) report(a, b, cycles float64) { r.count(abs(a-b), (a+b)/2, cycles) }

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
