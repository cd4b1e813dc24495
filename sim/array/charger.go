package array

// OutputLimitA is the highest output current at a height above sea level and
// an air temperature: the rating times one line for heat and one for thin air,
// never below 0. Common practice, no source.
func (c *Charger) OutputLimitA(elevationM, ambientC float64) float64 {
	heat := 1 + c.DerateFractionPC*max(0, ambientC-c.DerateAboveC)
	air := 1 + c.AltitudeFractionPer100M*max(0, elevationM-c.AltitudeFreeM)/100
	return c.RatedA * max(0, heat) * max(0, air)
}

// Hears tells whether the bank's data link reaches the charger.
func (c *Charger) Hears() bool { return c.HearsLink == nil || *c.HearsLink }

// SensesAtBank tells whether the charger measures the voltage that it holds at the
// bank's terminals.
func (c *Charger) SensesAtBank() bool { return c.VoltageSensedAt == "bank" }

// TakenW is what the charger takes of the array's power: up to its rated
// array power, above which it moves off the point of highest power.
func (c *Charger) TakenW(arrayW float64) float64 { return min(arrayW, c.RatedArrayKW*1000) }

// OutputW is what the charger can put on the DC bus while no limit of current
// or voltage holds it back.
func (c *Charger) OutputW(arrayW float64) float64 { return c.TakenW(arrayW) * c.EfficiencyFraction }
