package sim

// Books is where the energy went, kWh. Each part closes on its own:
//
//	solar      available = to load + to bank + charger loss + curtailed
//	load       demand = from solar + from bank + from generator + from grid + unserved
//	generator  made = to AC load + AC charger input + dumped;
//	           charger input = to load + to bank + charger loss
//	grid       likewise, with nothing dumped
//	bank       charge = stored change + discharge + resistive, coulombic and hysteresis loss + draw and self-discharge
//	inverter   DC in = AC out + loss
//	heater     from solar + from generator + from grid + from bank, the sun first
//	bus        from solar + from generator + from grid + from bank = inverter DC in + DC load + own draws + heater + to bank
type Books struct {
	SolarAvailableKWh    float64 `json:"solar_available_kwh" doc:"What the planes could have given at the chargers' input."`
	SolarToLoadKWh       float64 `json:"solar_to_load_kwh" doc:"To the DC bus's consumers, inverter loss included, and from PV inverters to the AC load."`
	SolarToBankKWh       float64 `json:"solar_to_bank_kwh" doc:"Into the bank's terminals."`
	SolarLossKWh         float64 `json:"solar_loss_kwh" doc:"Lost in the solar chargers, the PV inverters and, on their way to the bank, the AC charger."`
	CurtailedKWh         float64 `json:"curtailed_kwh" doc:"What nothing took."`
	LoadKWh              float64 `json:"load_kwh" doc:"Demand, essential and flexible."`
	LoadFromSolarKWh     float64 `json:"load_from_solar_kwh" doc:"Served by the sun at that moment."`
	LoadFromBankKWh      float64 `json:"load_from_bank_kwh" doc:"Served by the bank."`
	LoadFromGeneratorKWh float64 `json:"load_from_generator_kwh" doc:"Served by the generator."`
	LoadFromGridKWh      float64 `json:"load_from_grid_kwh" doc:"Served by the grid."`
	UnservedKWh          float64 `json:"unserved_kwh" doc:"Demand not served."`
	GeneratorKWh         float64 `json:"generator_kwh" doc:"Made by the generator, a surplus below its minimum load included."`
	GeneratorToACKWh     float64 `json:"generator_to_ac_load_kwh" doc:"Passed through to the AC load."`
	GeneratorToLoadKWh   float64 `json:"generator_to_dc_load_kwh" doc:"By way of the AC charger to the DC bus's consumers."`
	GeneratorToBankKWh   float64 `json:"generator_to_bank_kwh" doc:"By way of the AC charger into the bank."`
	GeneratorLossKWh     float64 `json:"generator_loss_kwh" doc:"Lost in the AC charger."`
	GeneratorDumpedKWh   float64 `json:"generator_dumped_kwh" doc:"Surplus below the minimum load."`
	GridKWh              float64 `json:"grid_kwh" doc:"Taken from the grid."`
	GridToACKWh          float64 `json:"grid_to_ac_load_kwh" doc:"Passed through to the AC load."`
	GridToLoadKWh        float64 `json:"grid_to_dc_load_kwh" doc:"By way of the AC charger to the DC bus's consumers."`
	GridToBankKWh        float64 `json:"grid_to_bank_kwh" doc:"By way of the AC charger into the bank."`
	GridLossKWh          float64 `json:"grid_loss_kwh" doc:"Lost in the AC charger."`
	BankChargeKWh        float64 `json:"bank_charge_kwh" doc:"Into the bank's terminals."`
	BankDischargeKWh     float64 `json:"bank_discharge_kwh" doc:"Out of the bank's terminals."`
	BankStoredKWh        float64 `json:"bank_stored_kwh" doc:"Change of the stored energy, ∫E dq; with hysteresis less what that loses."`
	BankResistiveKWh     float64 `json:"bank_resistive_kwh" doc:"Lost in the resistance."`
	BankCoulombicKWh     float64 `json:"bank_coulombic_kwh" doc:"Lost to coulombic efficiency."`
	BankHysteresisKWh    float64 `json:"bank_hysteresis_kwh,omitzero" required:"false" doc:"Lost to the hysteresis of the open-circuit voltage, for modules that state one."`
	BankDrawKWh          float64 `json:"bank_draw_kwh" doc:"Taken inside the modules: BMS draw and self-discharge."`
	InverterInKWh        float64 `json:"inverter_in_kwh" doc:"DC into the inverter."`
	InverterOutKWh       float64 `json:"inverter_out_kwh" doc:"AC out of the inverter."`
	InverterLossKWh      float64 `json:"inverter_loss_kwh" doc:"Lost in the inverter, idle loss included."`
	DCLoadKWh            float64 `json:"dc_load_kwh" doc:"DC load served."`
	OwnDrawKWh           float64 `json:"own_draw_kwh" doc:"Housekeeping, a link's gateway, chargers at night, inverter when off, fan."`
	FanKWh               float64 `json:"fan_kwh" doc:"Of this, the enclosure's fan."`
	HeaterKWh            float64 `json:"heater_kwh" doc:"Bank heater."`
	HeaterSolarKWh       float64 `json:"heater_from_solar_kwh" doc:"Of this, from the sun at that moment: what the heater takes counts as the sun's first, then as that of generator or grid, and last as the bank's."`
	HeaterGeneratorKWh   float64 `json:"heater_from_generator_kwh" doc:"Of this, from the generator."`
	HeaterGridKWh        float64 `json:"heater_from_grid_kwh" doc:"Of this, from the grid."`
	HeaterBankKWh        float64 `json:"heater_from_bank_kwh" doc:"Of this, from the bank: none, or a rounding, where it runs from sources only."`
}

// Month is one calendar month of the counted year.
type Month struct {
	Month            int                `json:"month" doc:"1 to 12."`
	DowntimeH        float64            `json:"downtime_h" doc:"Time in which essential load is not fully served."`
	DowntimeByCauseH map[string]float64 `json:"downtime_by_cause_h" doc:"The same, by cause."`
	CurtailedByCause map[string]float64 `json:"curtailed_by_cause_kwh" doc:"Solar energy that nothing took, by cause."`
	GeneratorH       float64            `json:"generator_h" doc:"Time that generators ran."`
	FuelL            float64            `json:"fuel_l" doc:"Fuel burnt."`
	LowestSoC        float64            `json:"lowest_soc_fraction" doc:"Lowest true state of charge."`
	MeanCellC        float64            `json:"mean_cell_c" doc:"Mean of the cell temperature at the ends of the intervals."`
	SoCErrorMean     float64            `json:"soc_error_mean_fraction" doc:"Mean difference of reported from true SoC, at the ends of the intervals; 0 where nothing is reported."`
	SoCErrorMax      float64            `json:"soc_error_max_fraction" doc:"Largest difference of reported from true SoC."`
	Books            Books              `json:"books"`
}

// monthSums is what a year keeps of a month.
type monthSums struct {
	ledger
	meanC, meanSoCError, mostSoCError float64
}

// Months are the calendar months of the year; none of a year that was not run.
func (y *Year) Months() []Month {
	if y.months == nil {
		return nil
	}
	list := make([]Month, len(y.months))
	for i := range y.months {
		s := &y.months[i]
		list[i] = Month{
			Month: i + 1, DowntimeH: s.downS / 3600, DowntimeByCauseH: byCause(s.downBy[:], DowntimeCauses(), 1./3600),
			CurtailedByCause: byCause(s.curtBy[:], CurtailmentCauses(), 1/3.6e6), GeneratorH: s.genS / 3600, FuelL: s.fuelL,
			LowestSoC: s.lowSoC, MeanCellC: s.meanC, SoCErrorMean: s.meanSoCError, SoCErrorMax: s.mostSoCError, Books: s.books(),
		}
	}
	return list
}

// ledger is what the run adds to: seconds, watt-seconds, ampere-seconds and
// litres. One is kept a month; the year is their sum.
type ledger struct {
	solarAvail, solarToLoad, solarToBank, solarLoss, curtailed float64
	load, loadSolar, loadBank, unserved, shed                  float64
	ac                                                         [2]acLedger // generator, grid
	charge, discharge, stored, resistive, coulombic, draw      float64
	hysteresis                                                 float64
	invIn, invOut, dcLoad, own, fan                            float64
	heater, heaterSolar, heaterBank                            float64
	chargeAs, dischargeAs                                      float64
	genS, lowS, fuelL, gridS, gridCost, shifted                float64
	downS                                                      float64
	coldAs, coldS, blockedColdS, blockedHotS, ceilingS, linkS  float64
	heldBackS                                                  float64
	downBy                                                     [causeCount]float64
	windowS                                                    [windowKinds]float64
	curtBy                                                     [allCauses]float64
	lowSoC                                                     float64
}

// acLedger is what a kind of source of AC made, and where it went.
type acLedger struct{ made, ac, load, bank, loss, dumped, served, heater float64 }

const (
	fromGenerator = iota
	fromGrid
)

func (a *acLedger) add(o *acLedger) {
	a.made += o.made
	a.ac += o.ac
	a.load += o.load
	a.bank += o.bank
	a.loss += o.loss
	a.dumped += o.dumped
	a.served += o.served
	a.heater += o.heater
}

// add sums two ledgers.
func (l *ledger) add(o *ledger) {
	l.solarAvail += o.solarAvail
	l.solarToLoad += o.solarToLoad
	l.solarToBank += o.solarToBank
	l.solarLoss += o.solarLoss
	l.curtailed += o.curtailed
	l.load += o.load
	l.loadSolar += o.loadSolar
	l.loadBank += o.loadBank
	l.unserved += o.unserved
	l.shed += o.shed
	for i := range l.ac {
		l.ac[i].add(&o.ac[i])
	}
	l.charge += o.charge
	l.discharge += o.discharge
	l.stored += o.stored
	l.resistive += o.resistive
	l.coulombic += o.coulombic
	l.hysteresis += o.hysteresis
	l.draw += o.draw
	l.invIn += o.invIn
	l.invOut += o.invOut
	l.dcLoad += o.dcLoad
	l.own += o.own
	l.fan += o.fan
	l.heater += o.heater
	l.heaterSolar += o.heaterSolar
	l.heaterBank += o.heaterBank
	l.chargeAs += o.chargeAs
	l.dischargeAs += o.dischargeAs
	l.genS += o.genS
	l.lowS += o.lowS
	l.gridS += o.gridS
	l.shifted += o.shifted
	l.gridCost += o.gridCost
	l.fuelL += o.fuelL
	l.downS += o.downS
	l.coldAs += o.coldAs
	l.coldS += o.coldS
	l.blockedColdS += o.blockedColdS
	l.blockedHotS += o.blockedHotS
	l.ceilingS += o.ceilingS
	l.linkS += o.linkS
	l.heldBackS += o.heldBackS
	for i := range l.downBy {
		l.downBy[i] += o.downBy[i]
	}
	for i := range l.curtBy {
		l.curtBy[i] += o.curtBy[i]
	}
	for i := range l.windowS {
		l.windowS[i] += o.windowS[i]
	}
	l.lowSoC = min(l.lowSoC, o.lowSoC)
}

// books converts a ledger to kWh.
func (l *ledger) books() Books {
	const k = 1 / 3.6e6
	gen, net := &l.ac[fromGenerator], &l.ac[fromGrid]
	return Books{
		SolarAvailableKWh: l.solarAvail * k, SolarToLoadKWh: l.solarToLoad * k, SolarToBankKWh: l.solarToBank * k,
		SolarLossKWh: l.solarLoss * k, CurtailedKWh: l.curtailed * k,
		LoadKWh: l.load * k, LoadFromSolarKWh: l.loadSolar * k, LoadFromBankKWh: l.loadBank * k,
		LoadFromGeneratorKWh: gen.served * k, LoadFromGridKWh: net.served * k, UnservedKWh: l.unserved * k,
		GeneratorKWh: gen.made * k, GeneratorToACKWh: gen.ac * k, GeneratorToLoadKWh: gen.load * k,
		GeneratorToBankKWh: gen.bank * k, GeneratorLossKWh: gen.loss * k, GeneratorDumpedKWh: gen.dumped * k,
		GridKWh: net.made * k, GridToACKWh: net.ac * k, GridToLoadKWh: net.load * k, GridToBankKWh: net.bank * k, GridLossKWh: net.loss * k,
		BankChargeKWh: l.charge * k, BankDischargeKWh: l.discharge * k, BankStoredKWh: l.stored * k,
		BankResistiveKWh: l.resistive * k, BankCoulombicKWh: l.coulombic * k, BankHysteresisKWh: l.hysteresis * k, BankDrawKWh: l.draw * k,
		InverterInKWh: l.invIn * k, InverterOutKWh: l.invOut * k, InverterLossKWh: (l.invIn - l.invOut) * k,
		DCLoadKWh: l.dcLoad * k, OwnDrawKWh: l.own * k, FanKWh: l.fan * k, HeaterKWh: l.heater * k,
		HeaterSolarKWh: l.heaterSolar * k, HeaterGeneratorKWh: gen.heater * k, HeaterGridKWh: net.heater * k, HeaterBankKWh: l.heaterBank * k,
	}
}

// byCause is the named, non-zero entries of a table of causes, scaled.
func byCause(values []float64, causes []Cause, scale float64) map[string]float64 {
	out := make(map[string]float64, len(causes))
	for _, c := range causes {
		out[c.String()] = values[c] * scale
	}
	return out
}
