package advice

import "fmt"

// Asked is what the BMS asks for while linked; bank currents are module
// currents times modules over the worst one's share.
type Asked struct {
	VoltageV       float64   `json:"voltage_v" doc:"Voltage that the BMS asks for."`
	ByC            []AskedA  `json:"charge_by_c" doc:"Charge ceiling by cell temperature, in rising ranges."`
	BySoC          []AskedAt `json:"charge_factor_by_soc" doc:"Factor on the ceiling by reported state of charge, linear between the points."`
	OutByC         []AskedA  `json:"discharge_by_c,omitzero" required:"false" doc:"Discharge ceiling by cell temperature, likewise; left out where the BMS reports none."`
	OutBySoC       []AskedAt `json:"discharge_factor_by_soc,omitzero" required:"false" doc:"Factor on that by reported state of charge, linear between the points."`
	FullV          float64   `json:"full_v" doc:"Full when the voltage is at least this..."`
	FullA          float64   `json:"full_a" doc:"... and the bank's current at most this..."`
	FullHoldS      float64   `json:"full_hold_s" doc:"... for this time; then it asks for no current."`
	ResumeBelowSoC float64   `json:"resume_below_soc_fraction" doc:"Below this reported state of charge it asks for charge again..."`
	ResumeBelowV   float64   `json:"resume_below_v,omitzero" doc:"... or below this voltage for the same time; left out where it does not look at that."`
	Owner          Owner     `json:"owner" enum:"pushed" doc:"Whose values they are."`
	Rule           string    `json:"rule" doc:"Where they come from."`
}

// AskedA is a ceiling of current over one range of cell temperature, linear
// between its ends.
type AskedA struct {
	FromC       *float64 `json:"from_c,omitzero" required:"false" doc:"Lower end; left out for everything below."`
	ToC         *float64 `json:"to_c,omitzero" required:"false" doc:"Upper end; left out for everything above."`
	FromModuleA float64  `json:"from_module_a" doc:"One module, at the lower end."`
	ToModuleA   float64  `json:"to_module_a" doc:"One module, at the upper end."`
	FromBankA   float64  `json:"from_bank_a" doc:"The bank, at the lower end."`
	ToBankA     float64  `json:"to_bank_a" doc:"The bank, at the upper end."`
}

// AskedAt is the factor on the ceiling at one reported state of charge.
type AskedAt struct {
	SoC    float64 `json:"soc_fraction" doc:"Reported state of charge."`
	Factor float64 `json:"factor_fraction" doc:"Factor on the ceiling."`
}

func (x *sheet) asked() *Asked {
	l := &x.m.Linked
	out := &Asked{VoltageV: l.VoltageV, FullV: l.FullV, FullA: l.FullA * x.n, FullHoldS: l.FullHoldS, ResumeBelowSoC: l.ResumeBelowSoC, ResumeBelowV: l.ResumeBelowV, Owner: Pushed,
		Rule: fmt.Sprintf("data_linked of the module; bank = module × %d / %s", x.s.Bank.Modules, fixed(x.m.WorstShare, 2))}
	out.ByC, out.BySoC = x.ranges(l.CeilingByC), points(l.CeilingBySoC)
	if l.LimitsDischarge() {
		out.OutByC, out.OutBySoC = x.ranges(x.m.DischargeCeilingByC()), points(l.DischargeFactorBySoC())
	}
	return out
}

// ranges are a table of one module's amperes by cell temperature, for it and the bank.
func (x *sheet) ranges(table [][2]float64) (out []AskedA) {
	add := func(from, to *float64, a, b float64) {
		out = append(out, AskedA{from, to, a, b, a * x.share, b * x.share})
	}
	first, last := table[0], table[len(table)-1]
	add(nil, &first[0], first[1], first[1])
	for i := range table[1:] {
		if a, b := table[i], table[i+1]; b[0] > a[0] {
			add(&a[0], &b[0], a[1], b[1])
		}
	}
	add(&last[0], nil, last[1], last[1])
	return out
}

func points(table [][2]float64) (out []AskedAt) {
	for _, row := range table {
		out = append(out, AskedAt{row[0], row[1]})
	}
	return out
}

// AfterLoss is what follows once the link of a data-linked bank is lost.
type AfterLoss struct {
	TimeoutS     float64  `json:"timeout_s" doc:"Silence before it."`
	Outcome      string   `json:"outcome" enum:"bank_opens,all_stop,charge_stops,fall_back" doc:"What bank and chargers do."`
	Holds        string   `json:"holds,omitzero" required:"false" doc:"Which settings the chargers hold; when they fall back."`
	Rows         []Row    `json:"rows" doc:"What they hold; empty when they do not charge."`
	Consequences []string `json:"consequences" doc:"What follows, in sentences."`
}

func (x *sheet) afterLoss() *AfterLoss {
	b := &x.s.Bank
	out := &AfterLoss{TimeoutS: b.Link.TimeoutS, Outcome: b.OnLinkLoss, Rows: []Row{}, Consequences: consequences(x.fit)}
	if !x.solo.acts {
		return out
	}
	out.Holds = b.Link.AfterLoss
	owner, rule := Installer, "the last that the installer set"
	switch out.Holds {
	case "factory_lead_acid":
		owner, rule = OwnedByMaker, "the factory's, for lead-acid of the same system voltage"
	case "pushed_kept":
		owner, rule = Pushed, "the last that the BMS pushed; what it does not push is the installer's"
	}
	set, trip := &x.solo.set, x.m.OverVoltageV()
	at0 := setPointV(set, set.AbsorbV, 0)
	wrong := fmt.Sprintf("At 0 °C it is %s, below the %s at which the highest cell trips.", volts(at0), volts(trip))
	if at0 >= trip {
		wrong = fmt.Sprintf("At 0 °C it is %s, not below the %s at which the highest cell trips: over-voltage trips in the cold.", volts(at0), volts(trip))
	}
	held := sheet{fit: x.fit}
	held.row(chargers, "absorption voltage", set.AbsorbV, "V", owner, rule, wrong)
	held.row(chargers, "float voltage", set.FloatV, "V", owner, rule, "As on the sheet.")
	held.row(chargers, "temperature compensation", tenths(1000*set.CompensationV), "mV/K", owner, rule, "Anything but 0 moves the set-points of LFP in the cold and in the heat.")
	all, _, words := total(x.sources(set.ChargeA))
	limit := b.VoltageOnlyCeilingA()
	sum := fmt.Sprintf("Together %s, within the %s that the bank is allowed without a link.", words, amps(limit))
	if all > limit {
		sum = fmt.Sprintf("Together %s, above the %s that the bank is allowed without a link.", words, amps(limit))
	}
	for _, c := range x.sources(set.ChargeA) {
		held.row(c.name, "current limit", tenths(c.a), "A", owner, rule, sum)
	}
	out.Rows = held.rows
	return out
}
