package backtest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"bankyear/sim/backtest"
	"bankyear/sim/bank"
)

// truth is a bank of our own in steps of ten seconds, written from the equations
// and not from the fit's code: a straight open-circuit voltage between its own
// knots, Euler's steps.
type truth struct {
	capacityAh, resistanceOhm, offsetA, start float64
	modules                                   float64
}

// module is the one that the truths differ from: 100 Ah, 25 mΩ.
func module() bank.Spec {
	return bank.Spec{Modules: 2, CableOhm: 0.002, Module: bank.Module{
		Chemistry: "lfp", CellsInSeries: 16, CapacityAh: 100, ResistanceOhm: 0.025,
		ResistanceByC:     [][2]float64{{-20, 6}, {-10, 3.8}, {0, 2.5}, {10, 1.7}, {25, 1}, {45, 0.8}},
		ResistanceBySoC:   [][2]float64{{0.05, 1.5}, {0.9, 1}, {0.95, 1.5}, {1, 2.5}},
		CoulombicFraction: 0.998, SelfDischargeFraction: 0.02, BMSDrawW: 3,
	}}
}

// cell is the open-circuit voltage of Sunil, Pattipati & Balasingam 2025, IEEE
// Trans. Instrum. Meas.: its break points.
var cell = [10][2]float64{{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872}, {.0885, 3.1942}, {.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981}}

func between(table [][2]float64, x float64) float64 {
	if x <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		if x <= table[i][0] {
			a, b := table[i-1], table[i]
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return table[len(table)-1][1]
}

// drive runs the truth through a demand for current (A at a moment, charge
// positive, cut where the charger's voltage limit is met), and logs means over
// stepS. celsius is the cells' temperature.
func (x truth) drive(days float64, stepS int, limitV float64, demand, celsius func(t float64) float64) *backtest.Log {
	return x.driveOf(module().Module, days, stepS, limitV, demand, celsius)
}

func (x truth) driveOf(m bank.Module, days float64, stepS int, limitV float64, demand, celsius func(t float64) float64) *backtest.Log {
	s := x.start
	log := &backtest.Log{}
	var v, a, c, half, perSoC float64
	if h := m.Hysteresis; h != nil {
		half, perSoC = 8*h.WidthV, 16*h.WidthV/h.TurnFraction
	}
	offset := -half // of the open-circuit voltage, by hysteresis
	const dt = 10
	for t := 0; t < int(days*86400); t += dt {
		now := float64(t)
		temperature := celsius(now)
		e := 16*between(cell[:], s) + offset
		r := x.resistanceOhm/x.modules*between(m.ResistanceByC, temperature)*between(m.ResistanceBySoC, s) + 0.002
		current := demand(now)
		if most := (limitV - e) / r; current > 0 && current > most {
			current = math.Max(0, most)
		}
		if t%stepS == 0 && t > 0 {
			log.V, log.A, log.CellC = append(log.V, v*dt/float64(stepS)), append(log.A, a*dt/float64(stepS)+x.offsetA), append(log.CellC, c*dt/float64(stepS))
			log.Seconds = append(log.Seconds, 1.7356896e9+float64(t-stepS)) // 2025-01-01
			v, a, c = 0, 0, 0
		}
		v, a, c = v+e+r*current, a+current, c+temperature
		inner := current - 3*x.modules/e
		if inner > 0 {
			inner *= 0.998
		}
		before := s
		s = math.Min(1, math.Max(0, s+dt*(inner/(x.capacityAh*x.modules*3600)-s*0.02/(730*3600))))
		offset = math.Min(half, math.Max(-half, offset+perSoC*(s-before)))
	}
	return log
}

// sunny is a day's current: a load by night and a charge by day that differs from
// day to day.
func sunny(strength func(day int) float64) func(float64) float64 {
	return func(t float64) float64 {
		hour := math.Mod(t, 86400) / 3600
		load := 6.
		if hour > 17 && hour < 22 {
			load = 22
		}
		return strength(int(t/86400))*math.Max(0, math.Sin(math.Pi*(hour-7)/10))*b2f(hour > 7 && hour < 17) - load
	}
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// noise adds errors of the loggers: normal ones, of a seeded PCG, that go together
// from row to row by a first-order autoregression.
func noise(log *backtest.Log, seed uint64, sigmaV, sigmaA, keep float64) {
	rng := rand.New(rand.NewPCG(seed, 1))
	var v, a float64
	fresh := math.Sqrt(1 - keep*keep)
	for i := range log.V {
		v, a = keep*v+fresh*rng.NormFloat64(), keep*a+fresh*rng.NormFloat64()
		log.V[i] += sigmaV * v
		log.A[i] += sigmaA * a
	}
}

func run(t testing.TB, log *backtest.Log, which backtest.Fit) *backtest.Result {
	t.Helper()
	spec := module()
	r, err := backtest.Run(log, &spec, nil, which)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
