package sim

import "math"

// InrushAnswer is what the starts of motors ask of bank and inverter: at the
// worst start of the year, the state of charge, the temperature and the load
// that it met.
type InrushAnswer struct {
	Starts         int         `json:"starts" doc:"Starts that the load asks for in the year."`
	Failed         int         `json:"failed_starts" doc:"Of these, the ones that took the inverter off for its restart time."`
	Weakest        string      `json:"weakest" enum:"bank_peak_current,voltage_sag,inverter" doc:"What would fail first at the worst start: the bank's peak current for its seconds, the voltage that may not be undercut, or the inverter's short rating."`
	MarginFraction float64     `json:"margin_fraction" doc:"How much more the worst start could ask before that fails; below 0 it failed."`
	OneModuleOut   *float64    `json:"one_module_out_margin_fraction" doc:"The same with one module out of service; null for a bank of one."`
	At             string      `json:"at" doc:"Local time of the worst start."`
	Appliance      string      `json:"appliance" doc:"What started."`
	ACW            float64     `json:"ac_w" doc:"AC power while it starts, of all that runs."`
	ACVA           float64     `json:"ac_va" doc:"Volt-amperes of that."`
	BankA          float64     `json:"bank_a" doc:"Current that the bank would have to give."`
	BankV          float64     `json:"bank_v" doc:"Voltage at its terminals then; 0 where it collapses."`
	SoC            float64     `json:"soc_fraction" doc:"True SoC then."`
	CellC          float64     `json:"cell_c" doc:"Cell temperature then."`
	ModulesToPass  *int        `json:"modules_to_pass" doc:"Least number of modules with which every such start passes, at that state of charge and temperature; null where no number helps."`
	ByModules      []InrushRow `json:"by_modules" doc:"Margin by number of modules, at that state of charge and temperature."`
}

// InrushRow is the margin with another number of modules.
type InrushRow struct {
	Modules        int     `json:"modules" doc:"Modules on the bus."`
	MarginFraction float64 `json:"margin_fraction" doc:"How much more the worst start could ask."`
	Weakest        string  `json:"weakest" enum:"bank_peak_current,voltage_sag,inverter" doc:"What would fail first."`
}

// mostModules is how far the table of modules goes at most.
const mostModules = 64

// inrushAnswer is nil where no start was looked at.
func (m *machine) inrushAnswer() *InrushAnswer {
	p, n := m.whole, &m.inrush
	if p.motors == nil || n.bank.margin > math.MaxFloat64 && n.inverter.margin > math.MaxFloat64 {
		return nil
	}
	now := int(p.modules)
	a := &InrushAnswer{Starts: int(p.motors.asked), Failed: n.failed}
	at := &n.bank
	if n.inverter.margin < at.margin {
		at = &n.inverter
	}
	a.Weakest, a.MarginFraction = at.weakest, at.margin
	if now > 1 {
		out := m.withModules(now - 1).MarginFraction
		a.OneModuleOut = &out
	}
	a.At, a.Appliance = p.sky.date(at.at), p.motors.kinds[at.kind].appliance
	a.ACW, a.ACVA, a.SoC, a.CellC = at.acW, at.va, at.soc, at.celsius
	r := at.r + p.cableR
	if root := at.e*at.e - 4*r*(at.dcW-at.supportW); root >= 0 {
		a.BankV = (at.e + math.Sqrt(root)) / 2
		a.BankA = (at.e - a.BankV) / r
	} else {
		a.BankA = at.e / (2 * r)
	}
	for k := 1; k <= mostModules; k++ {
		row := m.withModules(k)
		if row.MarginFraction >= 0 && a.ModulesToPass == nil {
			pass := k
			a.ModulesToPass = &pass
		}
		if k <= 2*now || a.ModulesToPass == nil && n.inverter.margin >= 0 || a.ModulesToPass != nil && k <= *a.ModulesToPass {
			a.ByModules = append(a.ByModules, row)
		}
	}
	return a
}

// withModules is the least margin of the worst starts with another number of
// modules, which share peak current and resistance; the cable stays.
func (m *machine) withModules(modules int) InrushRow {
	p, n := m.whole, &m.inrush
	row := InrushRow{Modules: modules, MarginFraction: n.inverter.margin, Weakest: byInverter}
	for _, w := range [2]*worst{&n.bank, &n.inverter} {
		if w.margin > math.MaxFloat64 {
			continue
		}
		share := float64(modules) / p.modules
		margin, weakest := p.motors.kinds[w.kind].bankMargin(w.e, w.r/share+p.cableR, w.dcW-w.supportW, share)
		if margin < row.MarginFraction {
			row.MarginFraction, row.Weakest = margin, weakest
		}
	}
	return row
}
