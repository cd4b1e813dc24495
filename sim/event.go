package sim

// Event is one change of state in the hours before an outage.
type Event struct {
	At       string  `json:"at" doc:"Local time."`
	What     string  `json:"what" doc:"What changed."`
	Of       string  `json:"of,omitzero" doc:"Of what kind."`
	SoC      float64 `json:"soc_fraction" doc:"True SoC."`
	Reported float64 `json:"reported_soc_fraction" doc:"Reported SoC."`
	CellC    float64 `json:"cell_c" doc:"Cell temperature."`
	seconds  float64
}

// Before is what the 48 h before an outage brought.
type Before struct {
	Hours             float64 `json:"hours" doc:"Time that is told of: 48 h, less at the year's start."`
	SolarAvailableKWh float64 `json:"solar_available_kwh" doc:"What the planes could have given."`
	SolarUsedKWh      float64 `json:"solar_used_kwh" doc:"What was taken of it."`
	LoadKWh           float64 `json:"load_kwh" doc:"Demand."`
	GeneratorKWh      float64 `json:"generator_kwh" doc:"What the generator made."`
	ColdestCellC      float64 `json:"coldest_cell_c" doc:"Lowest mean cell temperature of an interval."`
}

const (
	beforeS   = 48 * 3600 // how far back the chain goes
	chainMost = 60        // events that a chain tells at most, the last ones
)

// status is everything whose changes are events.
type status struct {
	tripped, latched                  uint16
	asleep, stopped, locked           bool
	why                               Cause
	inverter                          inverterState
	generator                         genPhase
	charge                            int
	gridDown                          bool
	down, lost, full, shed, warm, fan bool
	out                               outPhase
	open                              int
	chain                             chainState
	floatS, floatG, floor, prohibited bool
}

func (m *machine) status() status {
	return status{
		tripped: m.tripped, latched: m.latched, asleep: m.asleep, stopped: m.stopped, locked: m.locked, why: m.why, inverter: m.inv,
		generator: m.gen.phase, charge: m.charge, gridDown: m.aside.grid.down, down: m.down, lost: m.lost, full: m.full, shed: m.shed, warm: m.heaterOn, fan: m.fanOn, out: m.out.phase, open: m.line.open, chain: m.line.chain,
		floatS: m.byStages(0) && m.stages[0].float, floatG: m.byStages(1) && m.stages[1].float, floor: m.floorHit, prohibited: m.gen.kept != NoReason,
	}
}

var phaseNames = [...]string{standing: "stands", starting: "gets the start signal", warming: "warms up", loaded: "takes load",
	cooling: "cools down", retrying: "failed to start", broken: "failed to start at every try"}

// watch notes what has changed since the last look.
func (r *recorder) watch(m *machine) {
	now := m.status()
	was := r.status
	if now == was {
		return
	}
	r.status = now
	note := func(what, of string) {
		r.events = append(r.events, Event{What: what, Of: of, SoC: m.q / m.p.qMax, Reported: m.soc, CellC: m.celsius, seconds: m.now})
	}
	turn := func(before, after bool, on, off string) {
		if before != after {
			if what := map[bool]string{true: on, false: off}[after]; what != "" {
				note(what, "")
			}
		}
	}
	turn(was.down, now.down, "data link down", "data link up")
	turn(was.lost, now.lost, "data link lost", "data link followed again")
	for k := range tripKinds {
		switch bit := uint16(1) << k; {
		case now.latched&^was.latched&bit != 0:
			note("disconnect latches", tripNames[k])
		case now.tripped&^was.tripped&bit != 0:
			note("disconnect trips", tripNames[k])
		case was.tripped&^now.tripped&bit != 0:
			note("disconnect closes", tripNames[k])
		}
	}
	if was.out != now.out {
		note([...]string{allIn: "", outUnseen: "modules drop out", outSeen: "modules are found missing", backIn: "modules are back"}[now.out], "")
	}
	if was.open != now.open {
		what := "a module opens alone"
		if now.open < was.open {
			what = "modules close again"
		}
		note(what, tripNames[m.line.by])
	}
	if was.chain != now.chain {
		note([...]string{chainWhole: "", chainBroken: "link from module to module breaks", chainMended: "link from module to module is mended"}[now.chain], "")
	}
	turn(was.asleep, now.asleep, "bank falls asleep", "bank is woken")
	turn(was.floor, now.floor, "cells give no more at their temperature", "")
	if was.stopped != now.stopped {
		if now.stopped {
			note("load stops", now.why.String())
		} else {
			note("load may come back", "")
		}
	}
	turn(was.locked, now.locked, "load is locked out until a visit", "")
	if was.inverter != now.inverter {
		note("inverter", [...]string{running: "runs", off: "is off", restarting: "restarts", overloaded: "gives up on the load"}[now.inverter])
	}
	turn(was.gridDown, now.gridDown, "grid goes", "grid comes back")
	switch p := m.p; {
	case was.generator == now.generator && was.charge == now.charge:
	case p.grid && now.generator == loaded:
		note("site is on the grid", "")
	case p.grid && was.generator == loaded && was.charge == now.charge:
		note("site leaves the grid", "")
	case !p.grid && len(p.sets) == 1:
		note("generator", phaseNames[now.generator])
	case !p.grid:
		note("generator "+p.name, phaseNames[now.generator])
	}
	turn(was.prohibited, now.prohibited, "generator is wanted and may not start", "")
	turn(was.full, now.full, "BMS says full", "BMS asks for charge again")
	turn(was.floatS, now.floatS, "solar chargers float", "")
	turn(was.floatG, now.floatG, "AC charger floats", "")
	turn(was.shed, now.shed, "flexible load is shed", "flexible load returns")
	turn(was.warm, now.warm, "heater on", "heater off")
	turn(was.fan, now.fan, "fan on", "fan off")
	for len(r.events) > 0 && r.events[0].seconds < m.now-beforeS {
		r.events = r.events[1:]
	}
}

// chain is what led to an outage that begins now: the events of the 48 h before.
func (r *recorder) chain(m *machine) ([]Event, Before) {
	from := max(0, len(r.events)-chainMost)
	list := make([]Event, 0, len(r.events)-from)
	for _, e := range r.events[from:] {
		e.At = m.p.sky.date(e.seconds)
		list = append(list, e)
	}
	rows := min(r.row, int(beforeS/m.p.sky.stepS))
	b := Before{Hours: float64(rows) * m.p.sky.stepS / 3600, ColdestCellC: m.celsius}
	const kwh = 1. / 1000
	h := m.p.sky.stepS / 3600
	for i := r.row - rows; i < r.row; i++ {
		at := func(c int) float64 { return float64(r.hours.Values[c][i]) }
		b.SolarAvailableKWh += at(colSolarAvail) * h * kwh
		b.SolarUsedKWh += at(colSolarUsed) * h * kwh
		b.LoadKWh += at(colLoad) * h * kwh
		b.GeneratorKWh += at(colGenerator) * h * kwh
		b.ColdestCellC = min(b.ColdestCellC, at(colCell))
	}
	return list, b
}
