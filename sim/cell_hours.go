package sim

// window is a stretch of cell temperature by what the cells' maker allows there.
type windowKind uint8

const (
	noChargeCold windowKind = iota // no charge, cells too cold
	lessCold                       // less than the highest charge current, on the cold side
	wholeCurrent                   // the highest charge current
	lessHot                        // less, on the hot side
	noChargeHot                    // no charge, cells too hot
	windowKinds
)

var windowNames = [windowKinds]string{"no_charge_cold", "less_charge_cold", "full_charge", "less_charge_hot", "no_charge_hot"}

// windowOf is the window of a zone: by the charge ceiling at its ends against
// the highest, cold below 25 °C.
func windowOf(z *zone, hi, highest float64) windowKind {
	end := z.ceiling
	if z.ceilings != 0 {
		end += z.ceilings * (hi - z.lo)
	}
	most, least := max(z.ceiling, end), min(z.ceiling, end)
	cold := z.lo < 25 && hi <= 25
	switch {
	case most <= 0 && cold:
		return noChargeCold
	case most <= 0:
		return noChargeHot
	case least >= highest*(1-1e-9):
		return wholeCurrent
	case cold:
		return lessCold
	}
	return lessHot
}
