package advice

import (
	"reflect"
	"slices"

	"bankyear/sim"
)

// wrongOrder is the wrong settings that Righted can set right, in the order of how
// often they are met after a bank was swapped: common practice, no source.
var wrongOrder = []string{leadAcidHeld, "temperature_compensation", "equalisation", "absorption_voltage", "float_voltage", "counter_full", "counter_capacity", lowCutOff}

const (
	leadAcidHeld = "lead_acid_settings_held"
	lowCutOff    = "low_cut_off" // the inverter's: not what chargers hold after a loss
)

// Wrong lists the settings of a system that Fit finds wrong and that Righted
// changes, the one met most often first.
func Wrong(s *sim.System, site Extremes) []Finding {
	var out []Finding
	all := charging(s, site)
	if heldLeadAcid(s) {
		reason := "After a link loss the chargers hold the factory's settings for lead-acid."
		for _, f := range all {
			if f.Verdict != Pass && f.Check != lowCutOff && slices.Contains(wrongOrder, f.Check) {
				reason += " " + f.Reason
			}
		}
		out = []Finding{{Check: leadAcidHeld, Subject: "settings that the chargers hold after a link loss", Verdict: Fail, Reason: reason, Values: []Value{}, Basis: practice}}
	}
	for _, check := range wrongOrder {
		if len(out) > 0 && out[0].Check == leadAcidHeld && check != lowCutOff {
			continue
		}
		for _, f := range all {
			if f.Check == check && f.Verdict != Pass && !reflect.DeepEqual(Righted(s, check), s) {
				out = append(out, f)
			}
		}
	}
	return out
}

// charging is the part of Fit that every check of wrongOrder is in.
func charging(s *sim.System, site Extremes) []Finding {
	f := newFit(s, site)
	if f.m.LeadAcid() {
		f.leadAcid()
		return f.out
	}
	f.settings()
	f.counter()
	f.lowCutOff()
	return f.out
}

func heldLeadAcid(s *sim.System) bool {
	return s.Bank.Operation == "data_linked" && s.Bank.OnLinkLoss == "fall_back" && s.Bank.Link.AfterLoss == "factory_lead_acid"
}

// Righted is a copy of a system that Complete has filled, with one setting, named
// by its check, as the rule has it, within the bounds of the module.
func Righted(s *sim.System, check string) *sim.System {
	c := *s
	set, rule := *s.Bank.Settings, s.Bank.DeriveSettings()
	absorb, float := s.Bank.Module.ChargeBounds()
	rule.AbsorbV = min(max(rule.AbsorbV, absorb.Least), absorb.Most)
	rule.FloatV = min(max(rule.FloatV, float.Least), float.Most, rule.AbsorbV)
	switch check {
	case leadAcidHeld:
		c.Bank.Link.AfterLoss = "last_hand_set"
	case "temperature_compensation":
		set.CompensationV, set.Senses = rule.CompensationV, rule.Senses
	case "equalisation":
		set.EqualiseV, set.EqualiseS, set.EqualiseDays = rule.EqualiseV, rule.EqualiseS, rule.EqualiseDays
	case "absorption_voltage":
		set.AbsorbV = rule.AbsorbV
		set.FloatV = min(set.FloatV, rule.AbsorbV)
	case "float_voltage":
		set.FloatV, set.RestartV = min(rule.FloatV, set.AbsorbV), rule.RestartV
		if set.RestartV >= set.FloatV {
			set.RestartV = 0.98 * set.FloatV
		}
	case "counter_full":
		e := &c.Bank.Estimate
		e.FullV, e.FullA, e.FullHoldS = nil, nil, nil
		rule := c.Bank.Counter()
		e.FullV, e.FullA, e.FullHoldS = &rule.FullV, &rule.FullA, &rule.FullHoldS
	case "counter_capacity":
		c.Bank.Estimate.AssumedAh = 0
	case lowCutOff:
		low := &c.Controls.LowEnd
		low.CutOffV, low.FastCutOffV, low.ReturnV = s.Bank.Module.LowEndV()
	}
	c.Bank.Settings = &set
	return &c
}
