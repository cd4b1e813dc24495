package sim

// judge says what a solved flow means: what is served, whether the site is
// dark, and what refuses solar energy.
func (m *machine) judge(f *flow) {
	row := m.row
	f.acServed = f.acByGen + f.acBySun + f.acByInv
	f.dark = f.acServed < row.acEss*(1-1e-9) || f.dcServed < row.dcEss*(1-1e-9)
	f.blocked = m.refusal(f)
	if row.solarInW+row.acSunInW > 0 {
		f.bind = m.refusedBy(f)
	}
}

// refusal tells whether cells too cold or too hot refuse all of a charge that
// there is power for.
func (m *machine) refusal(f *flow) Cause {
	if m.row.solarInW == 0 && f.genInput == 0 {
		return NoCause
	}
	var cause Cause
	switch {
	case m.tripped&(1<<tripCold) != 0 || !m.following() && m.coldWindow && m.p.anySensor:
		cause = TooCold
	case m.tripped&(1<<tripHot) != 0 || !m.following() && m.hotWindow && m.p.anySensor:
		cause = TooHot
	case m.following() && !m.full && m.zoneCeiling() <= 0:
		cause = m.side()
	default:
		return NoCause
	}
	if !f.alive || f.current > 0 {
		return m.openRefusal(f, cause)
	}
	if f.mode == ceiling || f.mode == pushed || f.setS > 0 && f.solarW+f.solarA+f.genW+f.genA == 0 {
		return cause
	}
	return NoCause
}

// openRefusal is a refusal by a bank that is off the bus.
func (m *machine) openRefusal(f *flow, cause Cause) Cause {
	if !f.alive && m.tripped&chargeTrips != 0 {
		return cause
	}
	return NoCause
}

// side names a temperature that lowers the ceiling: cold below 25 °C.
func (m *machine) side() Cause {
	if m.celsius < 25 {
		return TooCold
	}
	return TooHot
}

// zoneCeiling is the linked ceiling of the bank at its temperature, A.
func (m *machine) zoneCeiling() float64 {
	z := &m.p.zones[m.lt]
	return z.ceiling + z.ceilings*(m.celsius-z.lo)
}

// refusedBy names what refuses solar energy, or would: the least of the limits,
// in the order temperature, SoC, voltage, charger.
func (m *machine) refusedBy(f *flow) Cause {
	float, ceiled := m.byStages(0) && m.stages[0].filled(), f.mode == ceiling || f.hearShut
	switch {
	case m.asleep:
		return Asleep
	case m.latched != 0 || m.tripped&chargeTrips != 0 || m.tripped != 0 && f.mode == apart:
		return ProtectionOff
	case m.lost && (f.mode == apart || m.chargersStopped()):
		return LinkLoss
	case f.mode == apart:
		return ChargerLimit
	case m.row.acSunW > 0 && !f.inverterOn: // no AC bus to feed
		return ProtectionOff
	case m.anySensorStops():
		return m.side()
	case ceiled && m.full:
		return BankFull
	case ceiled && m.zoneCeiling() < m.p.ceilingA*(1-1e-9):
		return m.side()
	case ceiled:
		return ChargeCeiling
	case (f.mode == constant || f.solarOff || f.tooHigh) && float:
		return BankFull
	case f.mode == constant || f.solarOff || f.tooHigh:
		return VoltageTaper
	case f.solarA > 0 && !m.following() && m.settingBinds(f):
		return ChargeCeiling
	}
	return ChargerLimit
}

// settingBinds tells whether any solar charger is held by the current setting, which is
// below its own rating.
func (m *machine) settingBinds(f *flow) bool {
	sky, base := m.p.sky, m.i*m.p.chargers
	for k := range m.p.chargers {
		if m.p.setA < sky.solarA[base+k] && sky.solarW[base+k] > m.p.setA*f.volts {
			return true
		}
	}
	return false
}

// connected tells whether the bank is on the bus.
func (m *machine) connected() bool {
	return !m.asleep && m.latched == 0 && !(m.lost && m.p.onLoss == bankOpens) && !(m.p.oneSwitch && m.tripped != 0)
}

// following tells whether the chargers follow the BMS; else they work by
// voltage.
func (m *machine) following() bool { return m.p.linked && !m.lost }

// siteStopped tells whether a lost link stops inverter and chargers; the bank
// stays on the bus, and what else is on it goes on drawing.
func (m *machine) siteStopped() bool { return m.lost && m.p.onLoss == allStop }

// chargersStopped tells whether a lost link stops the chargers that hear it.
func (m *machine) chargersStopped() bool {
	return m.lost && (m.p.onLoss == chargeStops || m.p.onLoss == allStop)
}

// sunStopped tells whether it stops all solar chargers.
func (m *machine) sunStopped() bool { return m.chargersStopped() && !(m.p.mixed && m.p.some) }

// acStopped tells whether it stops the AC charger.
func (m *machine) acStopped() bool { return m.chargersStopped() && !(m.p.mixed && m.p.acToo) }

// sensorStops tells whether a solar charger stops by its own temperature
// sensor.
func (m *machine) sensorStops(k int) bool {
	return m.p.sensor[k] && !m.following() && (m.coldWindow || m.hotWindow)
}

func (m *machine) anySensorStops() bool {
	return m.p.anySensor && !m.following() && (m.coldWindow || m.hotWindow)
}
