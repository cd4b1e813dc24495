package backtest

import "math"

// begin looks for the best start of each stretch on a grid, over a few
// capacities when that may move.
func (p *problem) begin() []float64 {
	factors := []float64{0}
	if p.which.Capacity {
		factors = []float64{0, -1, -0.5, 0.5}
	}
	n := p.which.count()
	best, least := make([]float64, p.dim()), math.Inf(1)
	for _, f := range factors {
		x := make([]float64, p.dim())
		if p.which.Capacity {
			x[0] = f
		}
		sum, at := 0., 0
		vals := p.at(x)
		for k, rows := range p.data.stretches {
			start, misfit := p.bestStart(rows, p.width[at:at+len(rows)], vals, p.centre[k])
			at += len(rows)
			x[n+k] = (start - p.centre[k]) / p.spread
			sum += misfit
		}
		if sum < least {
			best, least = x, sum
		}
	}
	return best
}

// bestStart is the state of charge at which a stretch starts that makes its
// voltages fit best, among what is believed.
func (p *problem) bestStart(rows stretch, width []float64, x *values, centre float64) (start, misfit float64) {
	v, soc := make([]float64, len(rows)), make([]float64, len(rows))
	misfit = math.Inf(1)
	const grid = 50
	for i := range grid + 1 {
		s := float64(i) / grid
		if math.Abs(s-centre) > 3*p.spread {
			continue
		}
		p.m.run(rows, x, s, v, soc)
		sum := 0.
		for k := range rows {
			sum += huber((v[k] - rows[k].v) / (width[k] * leastNoise * math.Max(rows[k].v, 1) * 3))
		}
		if sum < misfit {
			start, misfit = s, sum
		}
	}
	return start, misfit
}
