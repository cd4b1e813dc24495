package sim_test

import "math"

// demand is what is asked of inverter and generator.
func (r *reference) demand(f *refFlow) {
	st, in := &r.st, &r.in
	f.acWantW, f.dcWantW = in.acEss, in.dcEss
	if !st.shed {
		f.acWantW += in.acFlex
		f.dcWantW += in.dcFlex
		ac, dc := r.shifted()
		f.acWantW += ac
		f.dcWantW += dc
	}
	loaded := r.loaded()
	through := loaded && (f.bankOn || r.s.Inverter.PassesWithoutBank || r.s.Controls.ChargersHoldBus) && !r.lostBy("all_stop")
	if through {
		f.passW = min(f.acWantW, in.passLimitW[st.charge])
	}
	f.restW = f.acWantW - f.passW
	if st.hand.cabled {
		f.passW, f.restW, through = min(f.acWantW, in.setW[st.charge]), 0, true
	}
	f.ownW = r.alwaysW() + in.nightW
	if st.fan {
		f.ownW += r.s.Bank.Enclosure.Fan.W
	}
	if st.inverterOn {
		f.invOutW = f.restW
		if !through || f.restW > 0 {
			f.invInW = refDCPowerW(&r.s.Inverter, f.restW)
		}
	} else if f.passW == 0 || st.hand.cabled {
		f.ownW += r.s.Inverter.OffDrawW
	}
}

// setPoints is what holds the sources back.
func (r *reference) setPoints(f *refFlow) {
	f.ceilingA = math.Inf(1)
	switch {
	case r.byVoltage():
		shift := 0.0
		if r.set.CompensationV != 0 {
			feels := r.enclosureC()
			if r.acid != nil {
				feels = r.st.cellC
			}
			shift = r.set.CompensationV * (feels - 25)
		}
		f.setV, f.setACV = r.set.AbsorbV+shift, r.set.AbsorbV+shift
		if r.st.solar.floating {
			f.setV = r.set.FloatV + shift
		}
		if r.st.ac.floating {
			f.setACV = r.set.FloatV + shift
		}
		if r.st.solar.equalises {
			f.setV = r.set.EqualiseV + shift
		}
		if r.st.ac.equalises {
			f.setACV = r.set.EqualiseV + shift
		}
	default:
		f.setV, f.setACV = r.m.Linked.VoltageV, r.m.Linked.VoltageV
		f.ceilingA = r.linkedByC.at(r.st.cellC) * r.linkedBySoC.at(r.st.believed)
		if r.st.bmsFull {
			f.ceilingA = 0
		}
	}
	if r.chargeBlocked() {
		f.ceilingA = 0
	}
}

// sources lists the solar chargers and then the AC charger.
func (r *reference) sources(f *refFlow, src []refSource, guess float64) int {
	st, in := &r.st, &r.in
	own := math.Inf(1)
	if r.byVoltage() {
		own = r.set.ChargeA
	}
	stopped := r.hearingStop()
	k := 0
	for c := range r.chargers {
		deaf := r.mixes() && !refHears(r.chargers[c].HearsLink)
		s := refSource{p: in.solarW[c], a: min(in.solarA[c], own)}
		if deaf {
			s.a = min(in.solarA[c], r.hand.ChargeA)
		}
		if (r.byVoltage() || deaf) && r.chargers[c].TemperatureSensor && (st.coldCharge || st.hotCharge) {
			s, f.sensorShut = refSource{}, true
		}
		if stopped && !deaf {
			s = refSource{}
		}
		src[k] = s
		f.sourceW += min(s.p, s.a*guess)
		k++
	}
	s := refSource{}
	if r.loaded() && (!r.sets[st.charge].grid || r.s.Grid.ChargesBank) && (!stopped || r.mixes() && r.acDeaf && !r.lostBy("all_stop")) { // it is a part of the inverter
		if r.mixes() && r.acDeaf {
			own = r.hand.ChargeA
		}
		left := in.passLimitW[st.charge] - f.passW
		if st.hand.cabled {
			left = min(in.passLimitW[st.charge], in.setW[st.charge]-f.passW)
		}
		s = refSource{p: left * r.s.Inverter.ChargerEfficiencyFraction, a: min(r.s.Inverter.ChargerA*in.derate, own)}
	}
	src[k] = s
	f.fullChargerW = min(s.p, s.a*guess)
	f.sourceW += f.fullChargerW
	return k + 1
}

// heaterW is what the bank heater takes.
func (r *reference) heaterW(f *refFlow) float64 {
	if !r.st.heater {
		return 0
	}
	e := &r.s.Bank.Enclosure
	if w := e.HeaterW * r.n; e.HeaterFrom == "sources_and_bank" {
		return w
	} else {
		return min(w, f.sourceW)
	}
}

// dcLoad is the DC load that is on.
func (r *reference) dcLoad(f *refFlow) {
	if r.loadMay() || f.fullChargerW > f.dcWantW+r.alwaysW() {
		f.dcW = f.dcWantW
	}
}

// alwaysW is what the site itself draws as long as the bus has voltage.
func (r *reference) alwaysW() float64 {
	if r.dataLinked {
		return r.s.Controls.HousekeepingW + r.s.Bank.Link.Gateway.DrawW
	}
	return r.s.Controls.HousekeepingW
}
