package sim

// A gateway may speak to some chargers only. Those that do not hear the link, the
// deaf ones, work by terminal voltage and on the installer's settings beside those
// that follow the BMS: a ceiling holds back only what hears of it. Such a plan runs
// on the located path.
type deafness struct {
	mixed bool   // data-linked, and some charger does not hear
	deaf  []bool // solar chargers by number
	some  bool   // any of them
	acToo bool   // the AC charger
	hand  stageSettings
	handA float64
	moves float64 // compensation of the installer's settings, V/K
}

// compileDeaf finds what does not hear.
func compileDeaf(p *Plan, s *System) {
	d := &p.deafness
	for _, name := range sortedKeys(s.Array.Chargers) {
		charger := s.Array.Chargers[name]
		hears := charger.Hears()
		d.deaf = append(d.deaf, !hears)
		d.some = d.some || !hears
	}
	d.acToo = !s.Inverter.ChargerHears()
	d.mixed = p.linked && (d.some || d.acToo)
	set := *s.Bank.Settings
	d.hand, d.handA, d.moves = stagesOf(&set), set.ChargeA, set.CompensationV
	p.located = p.located || d.mixed
}

// mixes tells whether deaf chargers work beside others that follow the BMS, or
// that a lost link has stopped.
func (m *machine) mixes() bool {
	return m.p.mixed && (m.following() || m.chargersStopped())
}

// mixedLimitA is the ampere limit of a solar charger of a mixed plan.
func (m *machine) mixedLimitA(i int) float64 {
	a := m.p.sky.solarA[i]
	switch {
	case !m.mixes():
		return min(a, m.p.setA)
	case m.p.deaf[i-m.i*m.p.chargers]:
		return min(a, m.p.handA)
	}
	return a
}

// deafStage tells whether a kind of charger, 0 solar and 1 AC, works by voltage
// while others follow the BMS.
func (m *machine) deafStage(k int) bool {
	return m.mixes() && (k == 0 && m.p.some || k == 1 && m.p.acToo)
}

// byStages tells whether a kind of charger works by voltage now.
func (m *machine) byStages(k int) bool { return !m.following() && !m.mixes() || m.deafStage(k) }

// stageSet are the settings that chargers which work by voltage hold now.
func (m *machine) stageSet() *stageSettings {
	if m.mixes() {
		return &m.p.hand
	}
	return &m.p.solo
}
