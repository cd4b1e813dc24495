package bank

import "math"

// Calendar ageing of lithium iron phosphate cells, Naumann et al. 2018, J.
// Energy Storage 17, 153–169:
//
//	Q_loss[%] = k·exp[(Ea/R)(1/298.15 − 1/T)]·(c(SoC − .5)³ + d)·√t, T in K, t in s
//
// Under changing conditions the loss goes on from its virtual time, which is
// Q² = ∫ rate(T, SoC)² dt.
const (
	calendarK  = 0.0012571
	calendarEa = 17126.
	calendarC  = 2.8575
	calendarD  = 0.60225
	gasR       = 8.31446
)

// CalendarRate is k·k_T·k_SoC of the law above, %/√s, at a cell temperature (°C)
// and state of charge (0 to 1).
func CalendarRate(celsius, soc float64) float64 {
	return CalendarByTemperature(celsius) * CalendarBySoC(soc)
}

// CalendarByTemperature is k·k_T, %/√s.
func CalendarByTemperature(celsius float64) float64 {
	return calendarK * math.Exp(calendarEa/gasR*(1/298.15-1/(celsius+273.15)))
}

// CalendarBySoC is k_SoC.
func CalendarBySoC(soc float64) float64 {
	x := soc - 0.5
	return calendarC*x*x*x + calendarD
}

// YearsTo is the time, years, until a loss of capacity (%) is reached by
// calendar ageing, whose square grows by squareAYear (%²) a year, and cycle
// ageing of cyclesAYear (%) a year, which add:
//
//	√(squareAYear·y) + cyclesAYear·y = loss
//
// +Inf when neither ages.
func YearsTo(loss, squareAYear, cyclesAYear float64) float64 {
	if squareAYear == 0 && cyclesAYear == 0 {
		return math.Inf(1)
	}
	// with u = √y: cyclesAYear·u² + √squareAYear·u − loss = 0
	b := math.Sqrt(squareAYear)
	u := 2 * loss / (b + math.Sqrt(b*b+4*cyclesAYear*loss))
	return u * u
}
