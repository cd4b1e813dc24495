package sim

// bookGlide writes a glide into the ledger: a time in which the consumers take a power and
// the sun can give one (W), what went into the bank's terminals, into its open-circuit
// voltage, into store and to the modules' own draw (J), and the charge through the
// terminals (As).
func (m *machine) bookGlide(law flowMode, shut bool, tau, demand, sun, into, charge, stored, inside, through float64) {
	p, l, row := m.p, m.books, m.row
	ac, inv, dc := row.acAll, row.invAll, row.dcAll
	if m.shed {
		ac, inv, dc = row.acEss, row.invEss, row.dcEss
	}
	consumers, wanted, byBus := demand*tau, (row.acAll+row.dcAll)*tau, (ac+dc)*tau
	solarToLoad, part := 0., 0.
	if consumers > 0 {
		part = byBus / consumers
	}
	if row.solarInW > 0 {
		solarToLoad = m.glideSun(consumers+into, consumers, tau, sun, wanted, law, shut)
		l.loadSolar += part * solarToLoad
	} else {
		m.since.load += wanted
		if m.full || !p.linked && m.stages[0].filled() && !p.setLow {
			m.since = balance{}
		}
	}
	l.load += wanted
	l.loadBank += part * (consumers - solarToLoad)
	if m.shed {
		unserved := max(0, wanted-byBus)
		l.unserved += unserved
		l.shed += unserved
	}
	l.invIn += inv * tau
	l.invOut += ac * tau
	l.dcLoad += dc * tau
	l.own += (p.ownW + row.nightDrawW) * tau
	l.stored += stored
	l.resistive += into - charge
	if through > 0 {
		l.charge += into
		l.chargeAs += through
		if over := m.tooCold(through, tau); over > 0 {
			l.coldS += tau
			l.coldAs += over
		}
		if law == ceiling && !m.full {
			l.ceilingS += tau
		}
	} else {
		l.discharge -= into
		l.dischargeAs -= through
	}
	l.draw += inside
	l.coulombic += charge - stored - inside
	l.windowS[p.zones[m.lt].window] += tau
}

// glideSun books what the sun gave by day, of a need of bank and consumers (J), and
// answers what of it went to the consumers; nothing from chargers that are shut.
func (m *machine) glideSun(need, consumers, tau, sun, wanted float64, law flowMode, shut bool) (solarToLoad float64) {
	p, l, row := m.p, m.books, m.row
	solar := 0.
	if need > 0 && sun*tau != 0 {
		solar = need
	}
	solarToLoad = min(solar, consumers)
	available, used := row.solarInW*tau, solar*row.perSolarEta
	if used > available || available-used < 1e-9*available {
		used = available
	}
	l.solarAvail += available
	l.solarToLoad += solarToLoad
	l.solarToBank += solar - solarToLoad
	l.solarLoss += used - solar
	lost := max(0, available-used)
	bind := ChargerLimit
	switch {
	case law == power && !shut:
	case law == constant, shut:
		if bind = VoltageTaper; !p.linked && m.stages[0].filled() {
			bind = BankFull
		}
	case m.full:
		bind = BankFull
	case m.zoneCeiling() < p.ceilingA*(1-1e-9):
		bind = m.side()
	default:
		bind = ChargeCeiling
	}
	if lost > 0 {
		l.curtailed += lost
		l.curtBy[bind] += lost
	}
	if b := &m.since; m.full || !p.linked && m.stages[0].filled() && !p.setLow {
		*b = balance{}
	} else {
		b.curtailed[bind] += lost
		if m.wrongly(bind) {
			b.wrong += lost
		}
		b.load += wanted
		b.sun += available
	}
	return solarToLoad
}
