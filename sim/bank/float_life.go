package bank

import "math"

// FloatLifeYears is how long lead-acid cells that are hardly cycled keep 80 % of their
// capacity at 25 °C, years, until their positive grids are corroded: vented deep-cycle plates
// 12, sealed glass-mat ones 8 (common practice, no source: the middle of the classes that
// makers sell). 0 for another chemistry.
func FloatLifeYears(chemistry string) float64 {
	switch chemistry {
	case "lead_acid_vented":
		return 12
	case "lead_acid_sealed":
		return 8
	}
	return 0
}

// FloatLifePace is how much faster the float life passes at a cell temperature (°C) than at
// 25 °C:
//
//	2^((T − 25)/10), at least 1
//
// the rule that life halves for every 8 to 10 K more (IEEE Std 450 and 1188, from memory; the
// milder of the two). Colder cells are not credited with more (common practice).
func FloatLifePace(celsius float64) float64 { return math.Exp2(max(0, celsius-25) / 10) }
