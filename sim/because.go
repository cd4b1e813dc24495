package sim

import (
	"fmt"
	"slices"
)

// Reason is why a site went dark: the largest energy that was refused to the
// bank or missed by it since it was last full. The cause names the state of a
// dark hour, the reason what brought it about (common practice, no source).
type Reason uint8

// Reasons, in the order in which equal energies are told apart.
const (
	NoReason       Reason = iota
	ByLink                // refused for a lost link
	ByModule              // modules that were out of service
	ByCold                // refused by cells too cold, as a request or as a trip
	ByHot                 // refused by cells too hot
	ByGenerator           // a generator that did not start
	ByFuel                // a generator without fuel
	ByNoStartHours        // a generator that was wanted in its no-start hours
	ByGrid                // a grid that was not there
	ByEstimate            // a reported SoC that kept the generator or the shedding from acting
	BySettings            // refused for chargers that are set wrong, or kept by a generator's: the day's cap, a start by hand
	ByCeiling             // refused by a charge ceiling, a charger or a voltage limit
	ByLowSun              // the sun gave less than the load took
	reasonCount
)

var reasonNames = [reasonCount]string{"", "link_loss", "module_out", "charge_blocked_cold", "charge_blocked_hot", "generator_failed", "no_fuel", "no_start_hours",
	"grid_outage", "estimate_wrong", "settings", "ceiling", "low_sun"}

// String is the reason's name in every answer.
func (r Reason) String() string { return reasonNames[r] }

// MarshalText writes the name.
func (r Reason) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the name.
func (r *Reason) UnmarshalText(name []byte) error {
	i := slices.Index(reasonNames[:], string(name))
	if i < 0 {
		return fmt.Errorf("sim: %q is no reason", name)
	}
	*r = Reason(i)
	return nil
}

// balance is what has been refused and missed since the bank was last full, J.
type balance struct {
	curtailed [allCauses]float64
	load, sun float64
	wrong     float64              // of what was refused, by wrong settings
	kept      [reasonCount]float64 // what a generator that was kept from running would have given
}

// keptReason is why a generator that is wanted does not run.
func (m *machine) keptReason() Reason {
	s := &m.gen
	switch {
	case s.phase == broken || s.phase == retrying:
		return ByGenerator
	case s.phase == standing && s.wanted && s.fuelL <= 0:
		return ByFuel
	case s.phase == standing && s.wanted && s.forbids:
		return ByNoStartHours
	case s.phase == standing && s.wanted && !m.p.grid && (m.capped(m.p, s) || m.p.gen.StartSignal == "by_hand"):
		return BySettings
	}
	return NoReason
}

// weigh adds a segment to the balance, which begins anew at full.
func (m *machine) weigh(s *stretch, refused float64) {
	b := &m.since
	if m.full || !m.following() && m.stages[0].filled() && !m.p.setLow || m.q >= m.p.qMax {
		*b = balance{}
		return
	}
	b.curtailed[s.f.bind] += refused
	if m.wrongly(s.f.bind) {
		b.wrong += refused
	}
	b.load += (m.row.acAll + m.row.dcAll) * s.tau
	b.sun += (m.row.solarInW + m.row.acSunInW) * s.tau
	if m.aside.grid.down {
		b.kept[ByGrid] += (m.row.acAll + m.row.dcAll) * s.tau
	}
	if m.gen.kept != NoReason {
		b.kept[m.gen.kept] += 0.8 * m.p.genW[m.i] * m.p.genEta * s.tau
	}
}

// settingTrips are what only wrong settings of the chargers bring about.
const settingTrips = 1<<tripOverV | 1<<tripChargeA

// wrongly tells whether what refuses solar energy does so for settings of the
// chargers that are not what the module's cells ask for: a trip of over-voltage or
// of charge current, which no right setting reaches, or a voltage or a tail that
// ends the charge early.
func (m *machine) wrongly(bind Cause) bool {
	switch bind {
	case ProtectionOff:
		return (m.tripped|m.latched)&settingTrips != 0 && m.byStages(0)
	case VoltageTaper, BankFull:
		return m.p.setLow && m.byStages(0)
	}
	return false
}

// because is the reason of an outage that begins now.
func (m *machine) because(cause Cause) Reason {
	b := &m.since
	var e [reasonCount]float64
	e[ByLink] = b.curtailed[LinkLoss]
	e[ByCold], e[ByHot] = b.curtailed[TooCold], b.curtailed[TooHot]
	if m.tripped&(1<<tripCold) != 0 || m.coldWindow {
		e[ByCold] += b.curtailed[ProtectionOff]
	}
	e[ByCeiling] = b.curtailed[ChargeCeiling] + b.curtailed[ChargerLimit] + b.curtailed[VoltageTaper]
	e[BySettings] = b.wrong
	if m.p.setLow {
		e[ByCeiling] -= b.curtailed[VoltageTaper]
	}
	missing := m.p.qMax*m.openCircuit() - m.q*m.openCircuit() // what the bank lacks of full
	e[ByLowSun] = min(max(0, b.load-b.sun), missing)
	if m.p.modules != m.whole.modules { // what the missing modules would have held
		e[ByModule] = (m.whole.qMax - m.p.qMax) * m.openCircuit()
	}
	for _, r := range []Reason{ByGenerator, ByFuel, ByNoStartHours, BySettings, ByGrid} {
		e[r] += min(b.kept[r], missing)
	}
	if cause == SuddenStop && m.p.reports {
		e[ByEstimate] = max(0, m.soc-m.q/m.p.qMax) * m.p.qMax * m.openCircuit()
	}
	switch cause {
	case LinkLoss:
		return ByLink
	case ProtectionOff:
		switch {
		case m.latched&settingTrips != 0:
			return BySettings
		case m.tripped&(1<<tripDisCold|1<<tripDisHot) != 0 && m.tripped&(1<<tripUnderV) == 0:
			return NoReason
		}
	case ChargeTrip:
		switch {
		case (m.tripped|m.latched)&settingTrips != 0:
			return BySettings
		case m.tripped&(1<<tripHot) != 0:
			return ByHot
		}
		return ByCold
	case InverterLimit:
		if m.tooHigh { // no right set-point goes there
			return BySettings
		}
		return NoReason
	case TooCold, TooHot, OverCurrent, Inrush: // a full bank would not have helped
		return NoReason
	}
	best := NoReason
	for r := ByLink; r < reasonCount; r++ {
		if e[r] > e[best] {
			best = r
		}
	}
	return best
}
