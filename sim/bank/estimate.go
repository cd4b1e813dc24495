package bank

// Counter is how the reported state of charge is kept: an Estimate with
// everything filled in. Currents are the bank's.
type Counter struct {
	Kind                         string
	GainFraction, OffsetA        float64
	DeadBandA, AssumedFraction   float64
	AssumedDrawA, AssumedAh      float64
	FullV, FullA, FullHoldS      float64
	LowKneeV, LowKneeSoCFraction float64 // LowKneeV 0: no re-set at the low knee
}

// Counter fills the estimate with the defaults of its kind (common practice,
// no source). A year takes the error that reads high.
//
//	bms    gain +1 %, dead band 0.3 A a module, full as the BMS sees it, 5 % at the low knee
//	shunt  gain +0.5 %, offset +0.05 A, dead band 0.1 A, assumed efficiency the
//	       chemistry's (LFP: 0.99),
//	       full at the chemistry's voltage and part of the capacity (LFP: 3.45 V a cell
//	       and 6 %) for 60 s
//	inverter_own  gain +2 %, dead band 1 A, full as a shunt; it sees what goes
//	       through the inverter only
//	exact  no error
func (s *Spec) Counter() Counter {
	e, m, n := &s.Estimate, &s.Module, float64(s.Modules)
	cell := CellSettingsOf(m.Chemistry)
	c := Counter{Kind: e.Kind, AssumedFraction: m.CoulombicFraction, AssumedDrawA: e.AssumedDrawA, AssumedAh: m.CapacityAh * n,
		FullV: m.Linked.FullV, FullA: m.Linked.FullA * n, FullHoldS: m.Linked.FullHoldS}
	if c.Kind == "" {
		c.Kind = "shunt"
		if s.Operation == "data_linked" {
			c.Kind = "bms"
		}
	}
	switch c.Kind {
	case "bms":
		c.GainFraction, c.DeadBandA = 0.01, 0.3*n
		c.LowKneeV, c.LowKneeSoCFraction = cell.LowKneeV*float64(m.CellsInSeries), 0.05
	case "shunt", "inverter_own":
		c.GainFraction, c.OffsetA, c.DeadBandA, c.AssumedFraction = 0.005, 0.05, 0.1, cell.CountFraction
		if c.Kind == "inverter_own" {
			c.GainFraction, c.OffsetA, c.DeadBandA = 0.02, 0, 1
		}
		c.FullV, c.FullA, c.FullHoldS = round(cell.CountFullV*float64(m.CellsInSeries)), cell.CountFullA*m.CapacityAh*n, 60
	}
	for _, given := range []struct {
		from *float64
		to   *float64
	}{
		{e.GainFraction, &c.GainFraction}, {e.OffsetA, &c.OffsetA}, {e.DeadBandA, &c.DeadBandA},
		{e.AssumedFraction, &c.AssumedFraction}, {e.FullV, &c.FullV}, {e.FullA, &c.FullA}, {e.FullHoldS, &c.FullHoldS},
		{e.LowKneeSoC, &c.LowKneeSoCFraction},
	} {
		if given.from != nil {
			*given.to = *given.from
		}
	}
	if e.AssumedAh > 0 {
		c.AssumedAh = e.AssumedAh
	}
	if e.LowKneeCellV != nil {
		c.LowKneeV = *e.LowKneeCellV * float64(m.CellsInSeries)
	}
	return c
}
