package sim

import (
	"fmt"

	"bankyear/sim/fault"
	"bankyear/sim/genset"
)

// Check records what the members mean together and cannot work. It expects a
// system that Complete has filled and whose single members are in their ranges.
func (s *System) Check(c fault.Collector) {
	s.Array.Check(c.At("array"))
	s.Inverter.Check(c.At("inverter"))
	s.Bank.Check(c.At("bank"))
	for _, name := range sortedKeys(s.Generators) {
		g := s.Generators[name]
		g.Check(c.At("generators", name))
	}
	if n := len(s.Generators); n > maxGenerators {
		c.At("generators").Add(n, fmt.Sprintf("at most %d", maxGenerators), "generators", "has more sets than the model runs")
	}
	s.checkGrid(c.At("grid"))
	for _, i := range s.Sky.Horizon.OutOfOrder() {
		c.At("sky", "horizon", fmt.Sprint(i)).Addf(s.Sky.Horizon[i], "azimuth does not rise")
	}
	if n := len(s.Array.Chargers); n > maxChargers {
		c.At("array", "chargers").Add(n, fmt.Sprintf("at most %d", maxChargers), "chargers", "has more chargers than the model runs")
	}
	s.checkControls(c.At("controls"))
	if _, err := genset.ParseHours(s.Controls.Operator.Awake); err != nil {
		c.At("controls", "operator", "awake").Add(s.Controls.Operator.Awake, "hours of the day such as 07-22", "", err.Error())
	}
	s.checkWindow(c)
}

// checkGrid wants hours that can be read, a reported SoC where it decides, and no
// AC-coupled planes beside a grid that is there for good: PV inverters give
// nothing while another source holds the AC bus.
func (s *System) checkGrid(c fault.Collector) {
	if s.Grid == nil {
		return
	}
	s.Grid.Check(c)
	for i, b := range s.Grid.Tariff.Bands {
		if _, err := genset.ParseHours(b.Hours); err != nil {
			c.At("tariff", "bands", fmt.Sprint(i), "hours").Add(b.Hours, "hours of the day such as 22-06", "", err.Error())
		}
	}
	if s.Grid.Use == "self_use" && s.Bank.Counter().Kind == "none" {
		c.At("use").Add(s.Grid.Use, "backup", "", "needs a reported state of charge, and bank.estimate.kind is none")
	}
	if s.Grid.Use == "backup" && len(s.Array.Inverters) > 0 {
		c.At("use").Add(s.Grid.Use, "self_use", "", "leaves AC-coupled planes without use: nothing is exported, and their inverters give only while no other source holds the AC bus")
	}
}

// checkControls wants each pair of thresholds apart: equal ones chatter.
func (s *System) checkControls(c fault.Collector) {
	k, low := &s.Controls, &s.Controls.LowEnd
	above(c, "return_soc_fraction", k.ReturnSoC, "shed_soc_fraction", k.ShedSoC)
	if k.ShedBelowV > 0 {
		above(c, "return_above_v", k.ReturnAboveV, "shed_below_v", k.ShedBelowV)
	} else if k.ReturnAboveV > 0 {
		c.At("return_above_v").Addf(k.ReturnAboveV, "returns what shed_below_v sheds, which is not given")
	}
	above(c.At("operator"), "return_soc_fraction", k.Operator.ReturnSoC, "shed_soc_fraction", k.Operator.ShedSoC)
	l := c.At("low_end")
	above(l, "resume_soc_fraction", low.ResumeSoC, "stop_soc_fraction", low.StopSoC)
	above(l, "return_v", low.ReturnV, "cut_off_v", low.CutOffV)
	above(l, "cut_off_v", low.CutOffV, "fast_cut_off_v", low.FastCutOffV)
}

// above records a fault where a threshold is not above the one it belongs to.
func above(c fault.Collector, name string, value float64, other string, than float64) {
	if value <= than {
		c.At(name).Add(value, fmt.Sprintf("above %s, %g", other, than), fault.UnitOf(name), "does not lie above "+other)
	}
}

// checkWindow wants a bank whose voltages the inverter can work in: the voltage
// that it charges to, and the one at its low end.
func (s *System) checkWindow(c fault.Collector) {
	m, inv := &s.Bank.Module, &s.Inverter
	window := fmt.Sprintf("%g to %g, the inverter's window", inv.MinV, inv.MaxV)
	outside := func(v float64) bool { return v < inv.MinV || v > inv.MaxV }
	bank := c.At("bank")
	if v := m.Linked.VoltageV; s.Bank.Operation == "data_linked" && !m.LeadAcid() && outside(v) {
		bank.At("module", "data_linked", "voltage_v").Add(v, window, "V", "is a charge voltage that the inverter cannot work at")
	}
	if v := s.Bank.Settings.AbsorbV; outside(v) {
		bank.At("settings", "absorb_v").Add(v, window, "V", "is a charge voltage that the inverter cannot work at")
	}
	if v := s.Controls.LowEnd.CutOffV; outside(v) {
		c.At("controls", "low_end", "cut_off_v").Add(v, window, "V", "is a low end that the inverter cannot work at")
	}
}
