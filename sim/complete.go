package sim

import "bankyear/sim/bank"

// Filled is a value that was left out and that another value decides; the
// answer lists it under `assumed`.
type Filled struct {
	Pointer string `json:"pointer"`
	Value   any    `json:"value"`
	Basis   string `json:"basis"`
}

// Complete fills what follows from other members, and lists it: the voltage-only
// charger settings and the voltages of the low end from the cells, the kind of
// counter from the operation, the thermal resistance from the modules, how long
// repairs take from who is there, snow from the tilt of the planes.
func (s *System) Complete() []Filled {
	var out []Filled
	list := func(pointer string, value any, basis string) { out = append(out, Filled{pointer, value, basis}) }
	b := &s.Bank
	if b.Settings == nil {
		out = s.CompleteSettings(func(string) bool { return true })
	}
	cut, fast, back := b.Module.LowEndV()
	low := &s.Controls.LowEnd
	for _, v := range []struct {
		name  string
		value *float64
		is    float64
	}{{"cut_off_v", &low.CutOffV, cut}, {"fast_cut_off_v", &low.FastCutOffV, fast}, {"return_v", &low.ReturnV, back}} {
		if *v.value == 0 {
			*v.value = v.is
			list("/controls/low_end/"+v.name, v.is, "from the cells, common practice")
		}
	}
	if s.Inverter.MaxReturnV == 0 {
		list("/inverter/max_return_v", s.Inverter.HighReturnV(), "31/32 of max_v, common practice")
	}
	if b.Estimate.Kind == "" {
		b.Estimate.Kind = b.Counter().Kind
		list("/bank/estimate/kind", b.Estimate.Kind, "bms when data-linked, shunt when voltage-only")
	}
	e, c := &b.Estimate, b.Counter()
	for _, v := range []struct {
		name  string
		value **float64
		is    float64
	}{
		{"gain_fraction", &e.GainFraction, c.GainFraction}, {"offset_a", &e.OffsetA, c.OffsetA}, {"dead_band_a", &e.DeadBandA, c.DeadBandA},
		{"assumed_efficiency_fraction", &e.AssumedFraction, c.AssumedFraction}, {"full_seen_at_v", &e.FullV, c.FullV},
		{"full_seen_a", &e.FullA, c.FullA}, {"full_seen_hold_s", &e.FullHoldS, c.FullHoldS},
	} {
		if *v.value == nil && (e.Kind == "bms" || e.Kind == "shunt" || e.Kind == "inverter_own") {
			is := v.is
			*v.value = &is
			list("/bank/estimate/"+v.name, is, "default of this kind of counter, the error that reads high; common practice")
		}
	}
	if b.Enclosure.SurfaceCPerW == 0 {
		b.Enclosure.SurfaceCPerW = b.SurfaceCPerW()
		list("/bank/enclosure/surface_c_per_w", b.Enclosure.SurfaceCPerW, "0.6·n^−0.63 for n modules, common practice")
	}
	if b.AgeYears > 0 && b.AgedCapacity == 0 {
		b.AgedCapacity = b.AgedCapacityFraction()
		basis := "a straight line to 80 % at the end of the warranty, common practice"
		if b.Module.Chemistry == "lfp" {
			basis = "calendar loss at 25 °C and 50 % (Naumann et al. 2018) and a cycle of half the capacity a day"
		}
		list("/bank/aged_capacity_fraction", b.AgedCapacity, basis)
	}
	if b.AgedCapacity > 0 && b.AgedResistance == 0 {
		b.AgedResistance = b.AgedResistanceFactor()
		list("/bank/aged_resistance_factor", b.AgedResistance, "half as much again (lead-acid: double) where a fifth of the capacity is lost, common practice")
	}
	if e := &b.Enclosure; e.Kind == "insulated_cupboard" && e.InsulationCPerW == 0 {
		e.InsulationCPerW = b.InsulationCPerW()
		list("/bank/enclosure/insulation_c_per_w", e.InsulationCPerW, "a cupboard for four modules, larger for more; common practice")
	}
	s.completeRepairs(list)
	s.completeSnow(list)
	return out
}

// CompleteSettings gives the members of the chargers' settings that were left out what
// follows from the module, and lists them.
func (s *System) CompleteSettings(left func(name string) bool) (out []Filled) {
	b := &s.Bank
	rule, set := b.DeriveSettings(), bank.Settings{}
	if b.Settings != nil {
		set = *b.Settings
	}
	b.Settings = &set
	list := func(name string, value any, basis string) {
		out = append(out, Filled{"/bank/settings/" + name, value, basis})
	}
	const basis = "from the module's cells and capacity, common practice"
	if left("tail_seen") {
		set.TailSeen = rule.TailSeen
		list("tail_seen", rule.TailSeen, basis)
	}
	for _, v := range []struct {
		name  string
		value *float64
		is    float64
		basis string
	}{
		{"absorb_v", &set.AbsorbV, rule.AbsorbV, basis}, {"absorb_max_s", &set.AbsorbMaxS, rule.AbsorbMaxS, basis},
		{"tail_a", &set.TailA, rule.TailA, basis}, {"tail_hold_s", &set.TailHoldS, rule.TailHoldS, basis},
		{"float_v", &set.FloatV, rule.FloatV, basis},
		{"restart_charge_v", &set.RestartV, rule.RestartV, basis}, {"restart_hold_s", &set.RestartHoldS, rule.RestartHoldS, basis},
		{"charge_a", &set.ChargeA, rule.ChargeA, "voltage_only_charge_a × modules / worst_share"},
		{"compensation_v_per_c", &set.CompensationV, rule.CompensationV, "off for LFP, right for lead-acid; common practice"},
	} {
		if left(v.name) {
			*v.value = v.is
			list(v.name, v.is, v.basis)
		}
	}
	if rule.EqualiseV > 0 && left("equalise_v") {
		for _, v := range []struct {
			name  string
			value *float64
			is    float64
		}{{"equalise_v", &set.EqualiseV, rule.EqualiseV}, {"equalise_s", &set.EqualiseS, rule.EqualiseS}, {"equalise_every_d", &set.EqualiseDays, rule.EqualiseDays}} {
			if left(v.name) {
				*v.value = v.is
				list(v.name, v.is, basis)
			}
		}
	}
	return out
}

// completeSnow lists the loss by snow of planes that leave it to their tilt, or
// have none.
func (s *System) completeSnow(list func(pointer string, value any, basis string)) {
	for _, name := range sortedKeys(s.Array.Planes) {
		p := s.Array.Planes[name]
		if p.Losses.SnowFraction != nil {
			continue
		}
		basis := "snow_at_60_deg_fraction times 4 − tilt/20°: 2.5 times at 30°, common practice"
		if p.Losses.SnowAt60DegFraction == nil {
			basis = "none unless given"
			p.Losses.SnowFraction = p.SnowFraction()
			s.Array.Planes[name] = p
		}
		list("/array/planes/"+name+"/losses/snow_fraction", p.SnowFraction(), basis)
	}
}
