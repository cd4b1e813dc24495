package sim

// status is everything whose changes are events.
type status struct {
	tripped, latched                  uint16
	asleep, stopped, locked, stuck    bool
	tooHigh                           bool
	held                              dischargeStage
	why                               Cause
	inverter                          inverterState
	generator                         genPhase
	charge                            int
	gridDown                          bool
	down, lost, full, shed, warm, fan bool
	coldDischarge, hotDischarge       bool
	out                               outPhase
	open                              int
	chain                             chainState
	floatS, floatG, floor             bool
	kept                              Reason
	byHand, bypassed                  bool
	visits, failed                    int // visits, and motors that did not start, so far
	dry                               int // sets without fuel
	fails                             wakeFailures
}

// wakeFailures are the links of the chains of waking that fail at this moment, ""
// where nothing is tried: the sun at a bank asleep, a generator that runs, and one
// that would be started by a signal from the dead bus.
type wakeFailures struct{ sun, set, start string }

func (m *machine) status() status {
	s := status{
		tripped: m.tripped, latched: m.latched, asleep: m.asleep, stopped: m.stopped, locked: m.locked, stuck: m.line.stuck, tooHigh: m.tooHigh, held: m.discharging.stage, why: m.why, inverter: m.inv,
		generator: m.gen.phase, charge: m.charge, gridDown: m.aside.grid.down, down: m.down, lost: m.lost, full: m.full, shed: m.shedBySoC || m.shedByV, byHand: m.byHand, bypassed: m.laid, warm: m.heaterOn, fan: m.fanOn,
		coldDischarge: m.coldDischarge, hotDischarge: m.hotDischarge, out: m.out.phase, open: m.line.open, chain: m.line.chain,
		floatS: m.byStages(0) && m.stages[0].float, floatG: m.byStages(1) && m.stages[1].float, floor: m.floorHit, kept: m.gen.kept,
		visits: m.counts.visits, failed: m.inrush.failed, fails: m.wakeFailures(),
	}
	for set, p := range m.p.sets {
		if !p.grid && m.state(set).fuelL <= 0 {
			s.dry++
		}
	}
	return s
}

// wakeFailures tells what has just failed to wake a bank that is still asleep.
func (m *machine) wakeFailures() (w wakeFailures) {
	p := m.p
	if m.asleep && m.row.solarInW > 0 {
		switch {
		case m.sunStopped():
			w.sun = linkChargersMay
		case !p.sunStartsBus:
			w.sun = linkSunStarts
		default:
			w.sun = linkCloses
		}
	}
	if m.asleep && m.gen.phase == loaded {
		if w.set = linkCloses; !p.genStartsBus {
			w.set = linkSetStarts
		}
	}
	if g := p.gen; g != nil && !p.grid && m.gen.phase == standing && m.gen.wanted && m.gen.kept == NoReason &&
		(!m.solved.alive || m.siteStopped()) && g.SignalFedFrom != "own_battery" {
		w.start = linkFed
	}
	return w
}

var phaseNames = [...]string{standing: "stands", starting: "gets the start signal", warming: "warms up", loaded: "takes load",
	cooling: "cools down", retrying: "failed to start", broken: "failed to start at every try"}

// watch notes what has changed since the last look, in the order of the automata.
func (r *recorder) watch(m *machine) {
	was, now := r.status, m.status()
	if now == was {
		return
	}
	r.status = now
	r.turn(m, was.down, now.down, "data link down", "data link up")
	switch {
	case now.lost && !was.lost:
		r.tell(m, "data link lost", "")
	case was.lost && !now.lost:
		r.tell(m, "data link followed again", "")
	}
	if now.visits != was.visits {
		r.visited(m, &was, &now)
	}
	r.modules(m, &was, &now)
	r.disconnect(m, &was, &now)
	r.sleeps(m, &was, &now)
	r.turn(m, was.floor, now.floor, "cells give no more at their temperature", "")
	r.turn(m, was.coldDischarge, now.coldDischarge, "cells too cold to discharge", "cells may discharge again")
	r.turn(m, was.hotDischarge, now.hotDischarge, "cells too hot to discharge", "cells may discharge again")
	switch {
	case now.stopped && !was.stopped:
		r.note(m, "load stops", now.why.String())
	case was.stopped && !now.stopped:
		r.note(m, "load may come back", "")
	}
	switch {
	case now.held == was.held:
	case now.held == loadOff:
		r.tell(m, "discharge ceiling stops the load", m.discharging.why.String())
	case was.held == loadOff:
		r.note(m, "discharge ceiling lets essential load on", "")
	case now.held == flexibleOff:
		r.note(m, "discharge ceiling sheds flexible load", "")
	default:
		r.note(m, "discharge ceiling lets all load on", "")
	}
	if now.tooHigh && !was.tooHigh {
		r.tell(m, "bus stands above the inverter's highest voltage", "")
	}
	r.turn(m, was.tooHigh, now.tooHigh, "", "bus is back in the inverter's window")
	if now.locked && !was.locked {
		r.tell(m, "load is locked out until a visit", "")
	}
	r.turn(m, was.locked, now.locked, "", "lock-out is reset")
	switch {
	case now.failed != was.failed:
		r.tell(m, "inverter restarts after a motor did not start", m.p.motors.kinds[m.inrush.blamed].appliance)
	case was.inverter != now.inverter:
		r.note(m, "inverter", [...]string{running: "runs", off: "is off", restarting: "restarts", overloaded: "gives up on the load"}[now.inverter])
	}
	r.turn(m, was.gridDown, now.gridDown, "grid goes", "grid comes back")
	r.generator(m, &was, &now)
	r.turn(m, was.full, now.full, "BMS says full", "BMS asks for charge again")
	r.turn(m, was.floatS, now.floatS, "solar chargers float", "")
	r.turn(m, was.floatG, now.floatG, "AC charger floats", "")
	r.turn(m, was.bypassed, now.bypassed, "load is cabled past the inverter", "load is back on the inverter's output")
	r.turn(m, was.byHand, now.byHand, "operator sheds flexible load", "operator puts flexible load back")
	r.turn(m, was.shed, now.shed, "flexible load is shed", "flexible load returns")
	r.turn(m, was.warm, now.warm, "heater on", "heater off")
	r.turn(m, was.fan, now.fan, "fan on", "fan off")
	r.mends(m, &was, &now)
}

// visited tells of somebody who acted, and whether that changed anything.
func (r *recorder) visited(m *machine, was, now *status) {
	what, of := "visitor comes", ""
	if m.operatorCame {
		what = "operator acts"
	}
	if was.latched == now.latched && was.stuck == now.stuck && was.locked == now.locked && was.asleep == now.asleep && was.lost == now.lost && was.byHand == now.byHand &&
		was.generator == now.generator && was.charge == now.charge {
		of = "without effect"
	}
	r.tell(m, what, of)
}

// modules tells of modules that go off the bus and come back, and of the link
// between them.
func (r *recorder) modules(m *machine, was, now *status) {
	if was.out != now.out {
		r.tell(m, [...]string{allIn: "", outUnseen: "modules drop out", outSeen: "modules are found missing", backIn: "modules are back"}[now.out], "")
	}
	switch {
	case now.stuck && !was.stuck:
		r.tell(m, "a module latches open", tripNames[m.line.by])
	case now.open > was.open:
		r.tell(m, "a module opens alone", tripNames[m.line.by])
	case now.open < was.open:
		r.note(m, "modules close again", tripNames[m.line.by])
	}
	if was.chain != now.chain {
		r.tell(m, [...]string{chainWhole: "", chainBroken: "link from module to module breaks", chainMended: "link from module to module is mended"}[now.chain], "")
	}
}

// disconnect tells of trips, by what tripped.
func (r *recorder) disconnect(m *machine, was, now *status) {
	for k := range tripKinds {
		switch bit := uint16(1) << k; {
		case now.latched&^was.latched&bit != 0:
			r.tell(m, "disconnect latches open", tripNames[k])
		case was.latched&^now.latched&bit != 0:
			r.tell(m, "disconnect is reset", tripNames[k])
		case now.tripped&^was.tripped&bit != 0:
			r.tell(m, "disconnect trips", tripNames[k])
		case now.latched&bit != 0: // its trip is over, and it stays open
		case was.tripped&^now.tripped&bit != 0:
			r.note(m, "disconnect closes", tripNames[k])
		}
	}
}

// sleeps tells of a bank that falls asleep, of what fails to wake it, and of what
// wakes it. Of the mornings on which the sun fails the first is an incident.
func (r *recorder) sleeps(m *machine, was, now *status) {
	switch {
	case now.asleep && !was.asleep:
		r.tell(m, "bank falls asleep", "")
	case was.asleep && !now.asleep:
		r.tell(m, "bank is woken", r.wokenBy(m, was, now))
		r.failed = wakeFailures{}
	}
	try := func(was, now string, told *string, what string) {
		switch {
		case now == "" || now == was:
		case now == *told:
			r.note(m, what, now)
		default:
			*told = now
			r.tell(m, what, now)
		}
	}
	try(was.fails.sun, now.fails.sun, &r.failed.sun, "waking by the sun fails at")
	try(was.fails.set, now.fails.set, &r.failed.set, "waking by the generator fails at")
	try(was.fails.start, now.fails.start, &r.failed.start, "starting the generator fails at")
}

// wokenBy names what woke the bank.
func (r *recorder) wokenBy(m *machine, was, now *status) string {
	switch {
	case now.visits != was.visits && m.p.wokenByVisit:
		return "visit"
	case m.sunWakes():
		return "solar"
	}
	return "generator"
}

// generator tells of the source of AC in charge.
func (r *recorder) generator(m *machine, was, now *status) {
	switch p := m.p; {
	case was.generator == now.generator && was.charge == now.charge:
	case p.grid && now.generator == loaded:
		r.note(m, "site is on the grid", "")
	case p.grid && was.generator == loaded && was.charge == now.charge:
		r.note(m, "site leaves the grid", "")
	case p.grid:
	default:
		what := "generator"
		if len(p.sets) > 1 {
			what += " " + p.name
		}
		r.add(m, what, phaseNames[now.generator], now.generator == broken)
	}
	if now.kept != was.kept && now.kept != NoReason && now.kept != ByGenerator { // what failed has said so
		of := now.kept.String()
		switch {
		case now.kept != BySettings:
		case m.capped(m.p, &m.gen):
			of = "hours of the day used up"
		default:
			of = "started by hand only"
		}
		r.note(m, "generator is wanted and may not start", of)
	}
	switch {
	case now.dry > was.dry:
		r.tell(m, "fuel is used up", "")
	case now.dry < was.dry:
		r.note(m, "fuel is brought", "")
	}
}
