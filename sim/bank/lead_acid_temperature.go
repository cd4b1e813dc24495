package bank

// acidFactorByF are the cell-size temperature factors of IEEE 485 for lead-acid
// cells of 1.215 nominal specific gravity: pairs of °F and factor. The rows
// below 40 °F and the odd fives are from memory.
var acidFactorByF = [][2]float64{
	{25, 1.52}, {30, 1.43}, {35, 1.35}, {40, 1.3}, {45, 1.25}, {50, 1.19}, {55, 1.15}, {60, 1.11}, {65, 1.08},
	{70, 1.04}, {77, 1}, {80, .98}, {85, .96}, {90, .94}, {95, .93}, {100, .91}, {105, .89}, {110, .88}, {115, .87}, {120, .86},
}

// AcidTemperatureFactor is the cell-size factor of IEEE 485 at a cell
// temperature (°C): 1 at 25 °C, above 1 in the cold. The capacity is the rated
// one divided by it. Below 25 °F (−3.9 °C) it goes on in the straight line of
// the last two rows, an assumption; above 120 °F (48.9 °C) it holds.
func AcidTemperatureFactor(celsius float64) float64 {
	f := celsius*9/5 + 32
	if a, b := acidFactorByF[0], acidFactorByF[1]; f < a[0] {
		return a[1] + (b[1]-a[1])*(f-a[0])/(b[0]-a[0])
	}
	return At(acidFactorByF, f)
}

// AcidFloor is the level of the wells, 0 to 1, below which nothing can be drawn
// at a cell temperature (°C): cold locks charge, it does not lose it. The wells'
// equations do not change when both are counted from it, so that every capacity
// at constant current is the one at 25 °C divided by the factor. Above 25 °C the
// floor stays 0: more than the rated charge is not stored.
func AcidFloor(celsius float64) float64 {
	return max(0, 1-1/AcidTemperatureFactor(celsius))
}

// AcidCapacityByC is the usable part of the capacity that follows, as a table:
// pairs of cell °C and fraction, at the rows of IEEE 485 up to 25 °C and at
// −20 °C.
func AcidCapacityByC() [][2]float64 {
	out := [][2]float64{{-20, 1 / AcidTemperatureFactor(-20)}}
	for _, row := range acidFactorByF {
		if row[1] >= 1 {
			out = append(out, [2]float64{(row[0] - 32) * 5 / 9, 1 / row[1]})
		}
	}
	return out
}
