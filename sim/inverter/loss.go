package inverter

import "math"

// LossW is what the inverter turns into heat while it makes acW of AC power
// from DC, by Schmidt & Sauer 1996 (Sonnenenergie 4):
//
//	P_loss = P_r (p0 + k1 x + k2 x²),  x = P_ac / P_r
//
// with P_r = RatedW. At acW 0 it is the idle loss of a held AC bus. Below
// SearchBelowW it is the draw of search mode. Watts in, watts out; acW is not
// negative.
func (s *Spec) LossW(acW float64) float64 {
	if acW < s.SearchBelowW {
		return s.SearchDrawW
	}
	return s.RatedW*s.IdleFraction + acW*(s.LinearFraction+s.QuadraticFraction*acW/s.RatedW)
}

// DCPowerW is the DC power that acW of AC power takes, idle loss included.
func (s *Spec) DCPowerW(acW float64) float64 { return acW + s.LossW(acW) }

// ACPowerW is the AC power that dcW of DC power makes: the inverse of
// DCPowerW, and 0 when dcW does not cover the idle loss.
func (s *Spec) ACPowerW(dcW float64) float64 {
	net := dcW - s.RatedW*s.IdleFraction
	if net <= 0 {
		return 0
	}
	b := 1 + s.LinearFraction
	return 2 * net / (b + math.Sqrt(b*b+4*s.QuadraticFraction/s.RatedW*net))
}
