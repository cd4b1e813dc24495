package backtest

import "math"

// begin looks for the best start of each stretch on a grid, over a few capacities
// and resistances where these may move.
func (p *problem) begin() []float64 {
	capacities, resistances := []float64{0}, []float64{0}
	if p.which.Capacity {
		capacities = []float64{0, -1, -0.5, 0.5}
	}
	if p.which.Resistance {
		resistances = []float64{0, -0.6, 0.6}
	}
	n := p.which.count()
	best, least := make([]float64, p.dim()), math.Inf(1)
	for _, c := range capacities {
		for _, r := range resistances {
			x := make([]float64, p.dim())
			if p.which.Capacity {
				x[0] = c
			}
			if p.which.Resistance {
				x[b2i(p.which.Capacity)] = r
			}
			sum := (c*c + r*r) / 2
			vals := p.at(x)
			for k, rows := range p.data.stretches {
				start, misfit := p.bestStart(rows, vals, p.centre[k])
				x[n+k] = (start - p.centre[k]) / p.spread
				sum += misfit
			}
			if sum < least {
				best, least = x, sum
			}
		}
	}
	return best
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// coarse is by how much rows err more than at least while starts are looked for.
const coarse = 5

// bestStart is the state of charge at which a stretch starts that makes its
// voltages fit best, among what is believed.
func (p *problem) bestStart(rows stretch, x *values, centre float64) (start, misfit float64) {
	states := p.states[:len(rows)]
	misfit = math.Inf(1)
	const grid = 33
	for i := range grid + 1 {
		s := float64(i) / grid
		if math.Abs(s-centre) > 3*p.spread {
			continue
		}
		p.m.run(rows, x, s, states)
		sum := 0.
		for k := range rows {
			sum += huber(p.m.err(&rows[k], x, &states[k]) / coarse)
		}
		if sum < misfit {
			start, misfit = s, sum
		}
	}
	return start, misfit
}
