package sim

// Ending is what ended an outage: the last change before it that let the load be
// served. What had only to wait for it, such as the inverter's restart, is none.
type Ending string

// Endings.
const (
	EndSun       Ending = "sun"               // it charged the bank, woke it, or carried the load
	EndGenerator Ending = "generator"         // a rule started it; it took load, or charged or woke the bank
	EndGrid      Ending = "grid"              // it came back
	EndVisit     Ending = "visit"             // somebody woke the bank or started the generator
	EndReset     Ending = "reset"             // somebody reset a latch or a lock-out
	EndLink      Ending = "link_back"         // the data link came back
	EndClosed    Ending = "disconnect_closed" // a trip of the disconnect was over
	EndWindow    Ending = "cells_in_window"   // the cells' temperature allows discharge again
	EndBus       Ending = "bus_in_window"     // the bus is no longer above the inverter's highest voltage
	EndLoad      Ending = "load_fell"         // the load is no longer more than inverter or bank give
	EndRecovered Ending = "voltage_recovered" // the voltage came back without charge
	EndRestart   Ending = "restart"           // the inverter restarted after a motor did not start
	EndOfTheYear Ending = "year_end"          // nothing: it is dark still
)

// begin starts the course of an outage.
func (r *recorder) begin() {
	r.course, r.ending, r.byHand = course{list: r.course.list[:0]}, "", false
}

// mends notes a change that may let the load be served again.
func (r *recorder) mends(m *machine, was, now *status) {
	visit := now.visits != was.visits
	switch now.generator {
	case standing, cooling, broken:
		r.byHand = false
	}
	if visit && now.generator == starting && was.generator != starting {
		r.byHand = true
	}
	if m.outage.cause == NoCause {
		return
	}
	if was.inverter == overloaded && now.inverter == restarting {
		r.ending = EndLoad
	}
	if was.coldDischarge && !now.coldDischarge || was.hotDischarge && !now.hotDischarge {
		r.ending = EndWindow
	}
	opens := uint16(dischargeTrips)
	if m.p.oneSwitch {
		opens |= chargeTrips
	}
	if was.held == loadOff && now.held != loadOff {
		x, by := &m.discharging, r.source(m)
		risen := m.following() && x.askedA <= m.dischargeCeilingA(m.celsius, m.soc) // far enough for the load as it was
		switch {
		case risen && (x.why == TooCold || x.why == TooHot):
			r.ending = EndWindow
		case by != EndRecovered:
			r.ending = by
		default:
			r.ending = EndLoad
		}
	}
	if was.tooHigh && !now.tooHigh {
		r.ending = EndBus
	}
	switch was, now := was.tripped&opens, now.tripped&opens; {
	case was == 0 || now != 0:
	case was == 1<<tripUnderV: // charge closes it, or a voltage that is back
		r.ending = r.source(m)
	default:
		r.ending = EndClosed
	}
	if was.stopped && !now.stopped {
		r.ending = r.source(m)
	}
	if stops := m.p.onLoss == bankOpens || m.p.onLoss == allStop; was.lost && !now.lost && (stops || was.stopped && !now.stopped) {
		r.ending = EndLink
	}
	if now.generator == loaded && (was.generator != loaded || was.charge != now.charge) {
		r.ending = r.source(m)
	}
	switch {
	case !visit:
	case was.latched&^now.latched != 0, was.locked && !now.locked, was.stuck && !now.stuck:
		r.ending = EndReset
	case was.asleep && !now.asleep:
		r.ending = EndVisit
	}
}

// source names what the load, or the charge, comes from now.
func (r *recorder) source(m *machine) Ending {
	switch {
	case m.gen.phase == loaded && m.p.grid:
		return EndGrid
	case m.gen.phase == loaded && r.byHand:
		return EndVisit
	case m.gen.phase == loaded:
		return EndGenerator
	case m.row.solarInW+m.row.acSunInW > 0 && !m.sunStopped():
		return EndSun
	}
	return EndRecovered
}

// ended is what ended an outage that is over.
func (r *recorder) ended(m *machine) Ending {
	switch {
	case r.ending != "":
		return r.ending
	case m.outage.cause == Inrush:
		return EndRestart
	}
	if by := r.source(m); by != EndRecovered {
		return by
	}
	return EndLoad
}
