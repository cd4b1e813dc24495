package bank

import (
	"fmt"
	"slices"
	"strings"

	"bankyear/sim/fault"
)

// WellSpec are the two wells of a lead-acid module (TwoWell).
type WellSpec struct {
	AvailableFraction float64 `json:"available_fraction" exclusiveMinimum:"0" exclusiveMaximum:"1" doc:"Part of the capacity in the well that current is drawn from."`
	RatePerH          float64 `json:"rate_per_h" exclusiveMinimum:"0" maximum:"1000" doc:"Rate at which the wells level, 1/h: k of Manwell & McGowan 1993."`
	CapacityAh        float64 `json:"capacity_ah" minimum:"1" maximum:"20000" doc:"Capacity at vanishing current and 25 °C, both wells together."`
}

// LeadAcid tells whether the chemistry is a lead-acid one: two wells, no BMS.
func (m *Module) LeadAcid() bool { return strings.HasPrefix(m.Chemistry, "lead_acid") }

// TwoWell are the wells of n modules in parallel: those of the module itself, or
// those that its three capacities give. ok is false where no two wells do.
func (m *Module) TwoWell(n float64) (b TwoWell, ok bool) {
	if w := m.Wells; w != nil {
		return TwoWell{AvailableFraction: w.AvailableFraction, RatePerS: w.RatePerH / 3600, CapacityAs: n * w.CapacityAh * 3600}, true
	}
	if len(m.CapacitiesAh) != 3 {
		return b, false
	}
	b, ok = FitTwoWell([3][2]float64(m.CapacitiesAh))
	b.CapacityAs *= n
	return b, ok
}

// UsableDepthFraction is the depth of discharge that the bank is planned for, 0
// to 1: as given, else the chemistry's.
func (m *Module) UsableDepthFraction() float64 {
	if m.UsableDepth > 0 {
		return m.UsableDepth
	}
	return CellSettingsOf(m.Chemistry).UsableDepthFraction
}

// checkLeadAcid wants one way to the wells, and nothing of a BMS.
func (m *Module) checkLeadAcid(c fault.Collector) {
	switch wells, ok := m.TwoWell(1); {
	case m.Wells == nil && len(m.CapacitiesAh) == 0:
		c.At("capacities_by_h_ah").Addf(nil, "is needed for lead-acid, or wells")
	case ok && wells.CapacityAs < m.CapacityAh*3600*(1-1e-9):
		c.At("capacity_ah").Add(m.CapacityAh, fmt.Sprintf("at most %.4g, what the wells hold", wells.CapacityAs/3600), "Ah", "is more than the wells can give at any current")
	case !ok:
		c.At("capacities_by_h_ah").Add(fmt.Sprint(m.CapacitiesAh), "hours and Ah both rising, by less from each pair to the next", "Ah", "are not the capacities of any two wells")
	}
	for _, given := range []struct {
		name string
		is   bool
	}{
		{"data_linked", len(m.Linked.CeilingByC) > 0}, {"protection", m.Protection.OverV > 0}, {"disconnect", m.Disconnect != ""},
		{"resistance_factor_by_soc", len(m.ResistanceBySoC) > 0},
	} {
		if given.is {
			c.At(given.name).Addf("given", "belongs to a BMS, which lead-acid has not: leave it out, or null it in a patch")
		}
	}
	if slices.Contains(m.Operations, "data_linked") {
		c.At("operations_possible").Add(m.Operations, "[voltage_only]", "", "needs a BMS, which lead-acid has not")
	}
}
