package backtest

import (
	"errors"
	"math"
	"time"

	"gonum.org/v1/gonum/mat"

	"bankyear/sim/bank"
	"bankyear/sim/inverter"
)

// Result is what a log says of a bank.
type Result struct {
	From     string   `json:"from" doc:"Start of the first row that was used, on the log's own clock."`
	To       string   `json:"to" doc:"End of the last."`
	StepS    float64  `json:"step_s" doc:"Median step of the log."`
	Rows     int      `json:"rows" doc:"Rows that were used."`
	Left     int      `json:"rows_left_out" doc:"Rows that were not: without voltage or current, or in stretches of fewer than 8 rows between gaps."`
	Together int      `json:"rows_averaged_together" doc:"Rows of the log that were averaged into one, so that at most 9000 are looked at."`
	Gaps     int      `json:"gaps" doc:"Steps beyond 15 min and three of the log's own; each stretch between gaps starts at a state of charge of its own."`
	Stated   []Follow `json:"as_stated" doc:"How the model follows with the values of the system; only the state of charge at the start is looked for."`
	Fitted   []Follow `json:"as_fitted" doc:"The same with the values below."`
	Values   []Value  `json:"values" doc:"Values that make the model follow best."`
	Load     *Load    `json:"load,omitzero" required:"false" doc:"What the site took; left out where solar_w is not logged."`
	Charge   *Charge  `json:"charge,omitzero" required:"false" doc:"The largest charge in the log: ceiling, voltage limit, taper and full point; left out where there is none."`
}

// Value is one value that was looked for.
type Value struct {
	Member  string  `json:"member" doc:"Member of the system, as a dotted path."`
	Unit    string  `json:"unit" doc:"Unit of all of them."`
	Stated  float64 `json:"stated" doc:"Value of the system; 0 for an offset."`
	Value   float64 `json:"value" doc:"Value that follows best; the stated one where it was not looked for."`
	Low     float64 `json:"low" doc:"Lower end of the 95 % interval."`
	High    float64 `json:"high" doc:"Upper end."`
	Fitted  bool    `json:"fitted" doc:"Whether it was looked for."`
	FromLog float64 `json:"from_log_fraction" doc:"How much of the interval the log decides: 1 − variance after / variance before. Below about 0.5 the log says little, and the interval is mostly what was believed before: ± a factor of 2 for the capacity, of 5 for the resistance, ± 4 % of the capacity per hour for the offset."`
}

// ErrTooShort is the error of a log with too few rows in a piece.
var ErrTooShort = errors.New("backtest: fewer than 20 rows with voltage and current in pieces of at least 8 rows without a gap")

const twoSided95 = 1.959964 // of the normal distribution

// What no log can tell, because the fit sees currents and temperatures as the
// logger does, as standard deviations: its gain, half a class of 0.5 %; a third of
// a kelvin, by which a resistance in the cold moves 1 %; and the drift of its
// offset, of the capacity per hour (common practice, no source).
const (
	sensorGain  = 0.0025
	sensorC     = 0.01
	sensorDrift = 0.0001
)

// Run holds a bank against a log. inv may be nil: load is then DC power.
func Run(l *Log, s *bank.Spec, inv *inverter.Spec, which Fit) (*Result, error) {
	data := l.sort()
	if data.rows < fewestFit {
		return nil, ErrTooShort
	}
	stated, x0, _ := solve(s, &data, Fit{})
	fitted, x, covariance := solve(s, &data, which)
	first, last := data.stretches[0], data.stretches[len(data.stretches)-1]
	r := &Result{
		From: stamp(first[0].t), To: stamp(last[len(last)-1].t + last[len(last)-1].dt),
		StepS: data.stepS, Rows: data.rows, Left: data.left, Together: data.together, Gaps: data.gaps,
		Stated: stated.follow(x0), Fitted: fitted.follow(x), Values: fitted.told(x, covariance, s.Modules),
	}
	offset := fitted.at(x).offsetA
	r.Load = l.load(inv, offset, r)
	r.Charge = largestCharge(&data, fitted, x)
	return r, nil
}

func stamp(seconds float64) string {
	return time.Unix(int64(math.Floor(seconds)), 0).UTC().Format("2006-01-02T15:04:05")
}

// told are the values with their intervals: ± 1.96 standard deviations, of the
// logarithm for capacity and resistance.
func (p *problem) told(x []float64, covariance *mat.SymDense, modules int) []Value {
	vals, n := p.at(x), float64(modules)
	i := 0
	value := func(member, unit string, stated, is, spread, least float64, fitted, logarithm bool) Value {
		out := Value{Member: member, Unit: unit, Stated: stated, Value: is, Low: is, High: is, Fitted: fitted}
		if !fitted {
			return out
		}
		variance := math.Min(1, covariance.At(i, i))
		i++
		half := twoSided95 * math.Hypot(spread*math.Sqrt(variance), least)
		out.FromLog = 1 - variance
		if out.Low, out.High = is-half, is+half; logarithm {
			out.Low, out.High = is*math.Exp(-half), is*math.Exp(half)
		}
		return out
	}
	return []Value{
		value("bank.module.capacity_ah", "Ah", p.m.capacityAh/n, vals.capacityAh/n, beliefCapacity, sensorGain, p.which.Capacity, true),
		value("bank.module.resistance_ohm", "Ω", p.m.resistanceOhm*n, vals.resistanceOhm*n, beliefResistance, sensorC, p.which.Resistance, true),
		value("bank.estimate.offset_a", "A", 0, vals.offsetA, beliefOffset*p.m.capacityAh, sensorDrift*p.m.capacityAh, p.which.Offset, false),
	}
}
