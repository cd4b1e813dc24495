package bank

import (
	"fmt"
	"slices"
	"strconv"

	"bankyear/sim/fault"
)

// Check records what the members mean together and cannot work.
func (s *Spec) Check(c fault.Collector) {
	m := &s.Module
	m.check(c.At("module"))
	if !slices.Contains(m.Operations, s.Operation) {
		c.At("operation").Add(s.Operation, fmt.Sprintf("one of %v", m.Operations), "", "is not possible with this module")
	}
	if s.Modules > m.ParallelLimit {
		c.At("modules").Add(s.Modules, fmt.Sprintf("at most %d, the module's parallel_limit", m.ParallelLimit), "modules", "are more than the maker allows in parallel")
	}
	s.LinkFaults.check(c.At("link_faults"))
	s.Link.Gateway.Faults.check(c.At("link", "gateway", "faults"))
	if o := &s.ModulesOut; o.Modules > 0 {
		if _, err := o.At(); err != nil {
			c.At("modules_out", "start").Add(o.Start, "a local time such as 2025-01-15T08:00", "", "is not a local time")
		}
		if o.Modules >= s.Modules {
			c.At("modules_out", "modules").Add(o.Modules, fmt.Sprintf("below the bank's %d", s.Modules), "modules", "leave none in service")
		}
	}
	if l := s.LinkChain; l != nil {
		at := c.At("link_chain")
		if _, err := l.At(); err != nil {
			at.At("start").Add(l.Start, "a local time such as 2025-01-15T08:00", "", "is not a local time")
		}
		if l.BreakAfter >= s.Modules {
			at.At("break_after_modules").Add(l.BreakAfter, fmt.Sprintf("below the bank's %d", s.Modules), "modules", "has none behind it")
		}
		if s.ModulesOut.Modules > 0 {
			at.Addf("given", "is given beside modules_out: take them one at a time")
		}
	}
	if s.ModulesOut.Modules > 0 && !s.ActTogether() {
		c.At("modules_act_together").Addf(false, "is given beside modules_out: take them one at a time")
	}
	e := &s.Enclosure
	above(c.At("enclosure"), "heater_off_c", e.HeaterOffC, "heater_on_c", e.HeaterOnC)
	if f := e.Fan; f != nil {
		above(c.At("enclosure", "fan"), "on_c", f.OnC, "off_c", f.OffC)
	}
	k := s.Estimate.Kind
	if s.Operation == "data_linked" && k != "bms" && k != "exact" {
		c.At("estimate", "kind").Add(k, "bms or exact", "", "is not what a data-linked bank reports")
	}
	set := s.Settings
	at := c.At("settings")
	if set.AbsorbV < set.FloatV { // equal is no float, which works
		at.At("absorb_v").Add(set.AbsorbV, fmt.Sprintf("at least float_v, %g", set.FloatV), "V", "lies below float_v")
	}
	above(at, "float_v", set.FloatV, "restart_charge_v", set.RestartV)
	if set.EqualiseV > 0 {
		above(at, "equalise_v", set.EqualiseV, "float_v", set.FloatV)
	}
}

func (m *Module) check(c fault.Collector) {
	switch {
	case m.Chemistry == "table" && len(m.OpenCircuit) < 2:
		c.At("open_circuit_by_soc_v").Add(len(m.OpenCircuit), "at least 2", "pairs", "is needed for chemistry table")
	case m.Chemistry != "table" && len(m.OpenCircuit) > 0:
		c.At("open_circuit_by_soc_v").Addf(len(m.OpenCircuit), "is only for chemistry table")
	case m.Chemistry == "table":
		rising(c.At("open_circuit_by_soc_v"), m.OpenCircuit, false)
		first, last := m.OpenCircuit[0][0], m.OpenCircuit[len(m.OpenCircuit)-1][0]
		if first != 0 || last != 1 {
			c.At("open_circuit_by_soc_v").Add(fmt.Sprintf("%g to %g", first, last), "0 to 1", "", "does not span all states of charge")
		}
		for i := range m.OpenCircuit[1:] {
			if a, b := m.OpenCircuit[i][1], m.OpenCircuit[i+1][1]; b < a || i == 0 && a <= 0 {
				c.At("open_circuit_by_soc_v", strconv.Itoa(i+1), "1").Add(b, fmt.Sprintf("at least %g", a), "V", "falls with rising SoC, or starts at no voltage")
			}
		}
	}
	m.checkHysteresis(c.At("hysteresis"))
	rising(c.At("resistance_factor_by_c"), m.ResistanceByC, false)
	rising(c.At("resistance_factor_by_soc"), m.ResistanceBySoC, false)
	rising(c.At("capacity_factor_by_c"), m.CapacityByC, false)
	rising(c.At("cycles_by_depth"), m.CyclesByDepth, false)
	rising(c.At("discharge_peaks_a_s"), m.PeakAS, false)
	for _, table := range []struct {
		name string
		rows [][2]float64
		zero bool
	}{
		{"resistance_factor_by_c", m.ResistanceByC, false}, {"resistance_factor_by_soc", m.ResistanceBySoC, false},
		{"capacity_factor_by_c", m.CapacityByC, true}, {"cycles_by_depth", m.CyclesByDepth, false},
	} {
		for i, row := range table.rows {
			if row[1] < 0 || row[1] == 0 && !table.zero {
				c.At(table.name, strconv.Itoa(i), "1").Add(row[1], "above 0", "", "is outside the allowed range")
			}
		}
	}
	falling(c.At("cycles_by_depth"), m.CyclesByDepth, "")
	falling(c.At("discharge_peaks_a_s"), m.PeakAS, "s")
	if m.LeadAcid() {
		m.checkLeadAcid(c)
		return
	}
	m.checkBMS(c)
}

// checkBMS wants what every module with a BMS has.
func (m *Module) checkBMS(c fault.Collector) {
	needed := func(name string, missing bool) {
		if missing {
			c.At(name).Addf(nil, "is needed for every chemistry but lead-acid")
		}
	}
	needed("disconnect", m.Disconnect == "")
	needed("resistance_factor_by_soc", len(m.ResistanceBySoC) == 0)
	needed("data_linked", len(m.Linked.CeilingByC) == 0)
	needed("protection", m.Protection.OverV == 0)
	if len(m.CapacitiesAh) > 0 || m.Wells != nil {
		c.At("chemistry").Add(m.Chemistry, "lead_acid_vented or lead_acid_sealed", "", "has no wells: leave out wells and capacities_by_h_ah")
	}
	linked := c.At("data_linked")
	rising(linked.At("charge_a_by_c"), m.Linked.CeilingByC, true)
	rising(linked.At("charge_factor_by_soc"), m.Linked.CeilingBySoC, false)
	rising(linked.At("discharge_a_by_c"), m.Linked.DischargeByC, true)
	rising(linked.At("discharge_factor_by_soc"), m.Linked.DischargeBySoC, false)
	notNegative(linked.At("charge_a_by_c"), m.Linked.CeilingByC)
	if most := notNegative(linked.At("discharge_a_by_c"), m.Linked.DischargeByC); len(m.Linked.DischargeByC) > 0 && most == 0 {
		linked.At("discharge_a_by_c").Addf(most, "allows discharge at no temperature")
	}
	if m.Protection.OverV > 0 {
		m.checkProtection(c.At("protection"))
	}
	if l := &m.Linked; l.FullV > l.VoltageV {
		linked.At("full_v").Add(l.FullV, fmt.Sprintf("at most voltage_v, %g", l.VoltageV), "V", "is above the voltage that the BMS asks for, so that it is never full")
	}
	if l := &m.Linked; l.ResumeBelowV > 0 && l.ResumeBelowV >= l.FullV {
		linked.At("resume_below_v").Add(l.ResumeBelowV, fmt.Sprintf("below full_v, %g", l.FullV), "V", "asks for charge again as soon as it is full")
	}
}

// notNegative records a fault where a current of a table by temperature is below 0, and
// gives the highest.
func notNegative(c fault.Collector, table [][2]float64) (most float64) {
	for i, row := range table {
		if most = max(most, row[1]); row[1] < 0 {
			c.At(strconv.Itoa(i), "1").Add(row[1], "at least 0", "A", "is outside the allowed range")
		}
	}
	return most
}

// checkProtection wants each release on the inner side of its trip, for equal ones
// chatter, and between the two trips of a quantity room for both releases: else a module
// that has opened on one side never closes.
func (m *Module) checkProtection(c fault.Collector) {
	p := &m.Protection
	above(c, "over_v", p.OverV, "over_v_release_v", p.OverReleaseV)
	above(c, "under_v_release_v", p.UnderReleaseV, "under_v", p.UnderV)
	above(c, "charge_cold_release_c", p.ChargeColdReleaseC, "charge_cold_c", p.ChargeColdC)
	above(c, "charge_hot_c", p.ChargeHotC, "charge_hot_release_c", p.ChargeHotReleaseC)
	above(c, "discharge_cold_release_c", p.DischargeColdReleaseC, "discharge_cold_c", p.DischargeColdC)
	above(c, "discharge_hot_c", p.DischargeHotC, "discharge_hot_release_c", p.DischargeHotReleaseC)
	above(c, "over_v_release_v", p.OverReleaseV, "under_v", p.UnderV)
	above(c, "over_v", p.OverV, "under_v_release_v", p.UnderReleaseV)
	above(c, "charge_hot_release_c", p.ChargeHotReleaseC, "charge_cold_c", p.ChargeColdC)
	above(c, "charge_hot_c", p.ChargeHotC, "charge_cold_release_c", p.ChargeColdReleaseC)
	above(c, "discharge_hot_release_c", p.DischargeHotReleaseC, "discharge_cold_c", p.DischargeColdC)
	above(c, "discharge_hot_c", p.DischargeHotC, "discharge_cold_release_c", p.DischargeColdReleaseC)
}

// rising records a fault where the first numbers of a table's pairs do not
// rise; a step of two equal ones may be allowed.
func rising(c fault.Collector, table [][2]float64, step bool) {
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1][0], table[i][0]; b < a || b == a && (!step || i > 1 && table[i-2][0] == a) {
			c.At(strconv.Itoa(i), "0").Add(b, fmt.Sprintf("above %g", a), "", "does not rise")
		}
	}
}

// falling records a fault where the second numbers of a table's pairs rise.
func falling(c fault.Collector, table [][2]float64, unit string) {
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1][1], table[i][1]; b > a {
			c.At(strconv.Itoa(i), "1").Add(b, fmt.Sprintf("at most %g", a), unit, "rises from the pair before it")
		}
	}
}

// above records a fault where a threshold is not above the one it belongs to.
func above(c fault.Collector, name string, value float64, other string, than float64) {
	if value <= than {
		c.At(name).Add(value, fmt.Sprintf("above %s, %g", other, than), fault.UnitOf(name), "does not lie above "+other)
	}
}

// check records starts of faults that are no time.
func (f *LinkFaults) check(c fault.Collector) {
	for i, listed := range f.Listed {
		if _, err := listed.At(); err != nil {
			c.At("listed", strconv.Itoa(i), "start").Add(listed.Start, "a local time such as 2025-01-15T08:00", "", "is not a local time")
		}
	}
}
