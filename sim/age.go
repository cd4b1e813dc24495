package sim

import (
	"sync"

	"bankyear/sim/bank"
)

// ageing is the calendar ageing of the year, which follows the interval's end:
// temperature and SoC move slowly against an interval.
type ageing struct {
	square  float64 // ∫ rate(T, SoC)² dt, %²
	floated float64 // ∫ pace(T) dt over the float life, of lead-acid
}

// ageLo is the lowest row of the table of the ageing rate, °C.
const ageLo = -60

// ageTable is k·k_T squared at each whole degree from ageLo up, %²/s; empty for
// a chemistry without a published law.
func ageTable(chemistry string) []float64 {
	if chemistry != "lfp" {
		return nil
	}
	return lfpAge()
}

var lfpAge = sync.OnceValue(func() []float64 {
	table := make([]float64, 161)
	for i := range table {
		k := bank.CalendarByTemperature(float64(ageLo + i))
		table[i] = k * k
	}
	return table
})

// grow adds an interval.
func (a *ageing) grow(p *Plan, celsius, soc float64) {
	if p.floatPace > 0 {
		a.floated += p.floatPace * bank.FloatLifePace(celsius) * p.sky.stepS
	}
	if p.ageByC == nil {
		return
	}
	at := min(max(celsius-ageLo, 0), float64(len(p.ageByC)-2))
	i := int(at)
	k := p.ageByC[i] + (p.ageByC[i+1]-p.ageByC[i])*(at-float64(i))
	s := bank.CalendarBySoC(soc)
	a.square += k * s * s * p.sky.stepS
}

// aged is a system with its bank as it is at its age.
func aged(s *System) *System {
	if s.Bank.AgeYears == 0 && s.Bank.AgedCapacity == 0 && s.Bank.AgedResistance == 0 {
		return s
	}
	c := *s
	c.Bank = s.Bank.Aged()
	return &c
}
