package inverter

import "math"

// DerateFraction is the part of every rating that holds at an air temperature
// and a height above sea level: the product of one line for heat and one for
// thin air, never below 0. Common practice, no source.
func (s *Spec) DerateFraction(elevationM, ambientC float64) float64 {
	heat := 1 + s.DerateFractionPC*max(0, ambientC-s.DerateAboveC)
	air := 1 + s.AltitudeFractionPer100M*max(0, elevationM-s.AltitudeFreeM)/100
	return max(0, heat) * max(0, air)
}

// ChargerSensesAtBank tells whether the AC charger measures the voltage that it holds
// at the bank's terminals.
func (s *Spec) ChargerSensesAtBank() bool { return s.ChargerVoltageSensedAt == "bank" }

// ChargerHears tells whether the bank's data link reaches the AC charger.
func (s *Spec) ChargerHears() bool { return s.ChargerHearsLink == nil || *s.ChargerHearsLink }

// RatedAtW is the continuous AC rating at an air temperature and a height
// above sea level.
func (s *Spec) RatedAtW(elevationM, ambientC float64) float64 {
	return s.RatedW * s.DerateFraction(elevationM, ambientC)
}

// AllowedS is how long acW may last: without end up to RatedW, above it the
// time of the smallest short rating that is at least acW, and 0 above all of
// them. It reads the ratings as listed; in heat or thin air, pass
// acW / DerateFraction, which lowers all of them alike.
func (s *Spec) AllowedS(acW float64) float64 {
	if acW <= s.RatedW {
		return math.Inf(1)
	}
	for _, r := range s.Short {
		if acW <= r[0] {
			return r[1]
		}
	}
	return 0
}

// ACInputLimitW is the most that charger and pass-through together take from a
// generator of a rating (derated, watts): ac_input_w, or 80 % of the rating
// when that was left out. Common practice, no source.
func (s *Spec) ACInputLimitW(generatorRatedW float64) float64 {
	if s.ACInputW > 0 {
		return s.ACInputW
	}
	return 0.8 * generatorRatedW
}

// HighReturnV is the DC voltage below which it starts again after a stop above its
// highest, V: as stated, or 31/32 of that (common practice, no source).
func (s *Spec) HighReturnV() float64 {
	if s.MaxReturnV > 0 {
		return s.MaxReturnV
	}
	return s.MaxV * 31 / 32
}
