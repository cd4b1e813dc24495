package backtest

import (
	"math"

	"bankyear/sim/bank"
)

// Age is how old cells are by the law of ageing: calendar ageing of Naumann et
// al. 2018 and cycle wear by Miner's rule, which add,
//
//	loss = √(square·y) + 20 %·wear·y
//
// with the temperatures and states of charge of a year like the one that was
// logged, or like the simulated one.
type Age struct {
	Loss       float64  `json:"loss_fraction" doc:"Capacity lost by the last states of health, mean of the modules."`
	ByLog      *float64 `json:"equivalent_by_log_y,omitzero" required:"false" doc:"Years like the logged one, from new, that lose as much; left out where temperature or state of charge was not logged, or the chemistry has no published law."`
	BySimulate *float64 `json:"equivalent_by_simulation_y,omitzero" required:"false" doc:"Years like the simulated one that do; left out without a system."`
	Since      *float64 `json:"since_installed_y,omitzero" required:"false" doc:"Years from installed to the last row; left out where installed is not given."`
	LawLoss    *float64 `json:"loss_by_law_fraction,omitzero" required:"false" doc:"What the law says was lost by then, in years like the logged one (like the simulated one where there is no such): less than the loss is a bank that ages faster than the law."`
}

// Ageing is what a year does to the cells: the growth of the square of calendar
// loss, %², and cycle wear, part of the life to 80 %.
type Ageing struct{ Square, Wear float64 }

// loss is in per cent after some years.
func (a Ageing) loss(years float64) float64 {
	return math.Sqrt(a.Square*years) + 20*a.Wear*years
}

// years is the time to a loss, per cent; nil when it is never.
func (a Ageing) years(loss float64) *float64 {
	y := bank.YearsTo(loss, a.Square, 20*a.Wear)
	if math.IsInf(y, 0) || math.IsNaN(y) {
		return nil
	}
	return &y
}

// Logged is the ageing of a logged year, the mean of the modules; ok is false
// where it is not known.
func (p *Past) Logged() (a Ageing, ok bool) {
	n := 0.
	for i := range p.Modules {
		if x := &p.Modules[i]; x.hasLaw && x.Wear != nil {
			a.Square, a.Wear, n = a.Square+x.square, a.Wear+*x.Wear, n+1
		}
	}
	return Ageing{a.Square / n, a.Wear / n}, n > 0
}

// Loss is the mean loss of capacity by the last states of health.
func (p *Past) Loss() (fraction float64, ok bool) {
	n := 0.
	for i := range p.Modules {
		if x := p.Modules[i].LastSoH; x != nil {
			fraction, n = fraction+1-*x, n+1
		}
	}
	return math.Max(0, fraction/math.Max(1, n)), n > 0
}

// AgeBy fills the age: by the log, by a simulated year (nil for none), and
// against the years since installation (NaN for unknown).
func (p *Past) AgeBy(simulated *Ageing, since float64) {
	loss, ok := p.Loss()
	if !ok {
		return
	}
	logged, known := p.Logged()
	if !known && simulated == nil {
		return
	}
	p.Age = &Age{Loss: loss}
	law := simulated
	if known {
		p.Age.ByLog, law = logged.years(100*loss), &logged
	}
	if simulated != nil {
		p.Age.BySimulate = simulated.years(100 * loss)
	}
	if !math.IsNaN(since) {
		by := law.loss(since) / 100
		p.Age.Since, p.Age.LawLoss = &since, &by
	}
}
