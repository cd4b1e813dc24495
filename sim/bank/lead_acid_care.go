package bank

import "math"

// AcidUsableDepth is the depth to which a lead-acid bank is planned to be used,
// so that it lasts (common practice, no source).
const AcidUsableDepth = 0.5

// Days without a full charge after which the sulphate of the plates is a caution,
// and after which it is damage (common practice, no source: full at least every
// one or two weeks).
const (
	SulfationCautionDays = 14.
	SulfationDamageDays  = 30.
)

// Sulfation says "pass", "caution" or "fail" of the longest time that a lead-acid
// bank went without a full charge, days.
func Sulfation(daysSinceFull float64) string {
	switch {
	case daysSinceFull > SulfationDamageDays:
		return "fail"
	case daysSinceFull > SulfationCautionDays:
		return "caution"
	}
	return "pass"
}

// EqualiseDueInS is the time until the next equalisation, s, when the last one
// ended sinceS ago and one is made every intervalDays: 0 when it is due, +Inf
// when the interval is 0, never. It begins with the next absorption that ends.
func EqualiseDueInS(sinceS, intervalDays float64) float64 {
	if intervalDays == 0 {
		return math.Inf(1)
	}
	return max(0, intervalDays*86400-sinceS)
}

// CompensatedV is a voltage set-point of the bank at a temperature (°C) that the
// charger senses: setV + perC·(T − 25), with perC in V/K for the whole bank,
// negative for lead-acid.
func CompensatedV(setV, perC, celsius float64) float64 { return setV + perC*(celsius-25) }

// AcidCyclesByDepth are typical cycles to 80 % of the capacity of lead-acid
// cells: pairs of depth and cycles (common practice, no source: vented deep-cycle
// and sealed glass-mat cells of the middle class). Depth times cycles is nearly
// the same everywhere.
func AcidCyclesByDepth(chemistry string) [][2]float64 {
	switch chemistry {
	case "lead_acid_vented":
		return [][2]float64{{.1, 7000}, {.2, 3600}, {.3, 2450}, {.5, 1500}, {.8, 900}, {1, 650}}
	case "lead_acid_sealed":
		return [][2]float64{{.1, 3800}, {.2, 1950}, {.3, 1300}, {.5, 800}, {.8, 450}, {1, 320}}
	}
	panic("bank: " + chemistry + " is not a lead-acid chemistry")
}
