package sim_test

import (
	"slices"
	"time"

	"bankyear/sim"
)

// sunStarts tells whether a solar charger puts voltage on a dead bus now,
// setStarts whether the AC charger does.
func (r *reference) sunStarts() bool {
	for i, c := range r.chargers {
		if c.StartsWithoutBank && !(r.hearingStop() && refHears(c.HearsLink)) && r.in.arrayW[i] > 0 {
			return true
		}
	}
	return false
}

func (r *reference) setStarts() bool {
	return r.s.Inverter.ChargerStartsWithoutBank && r.loaded()
}

// sleepStep puts the modules to sleep after a lasting under-voltage trip, and
// wakes them.
func (r *reference) sleepStep() bool {
	st, by := &r.st, r.s.Bank.WokenBy
	if st.asleep {
		if slices.Contains(by, "solar") && r.sunStarts() || slices.Contains(by, "generator") && r.setStarts() {
			r.wake()
			return true
		}
		return false
	}
	if !st.drowsy.past(st.trip[qUnderV].tripped, r.now, 3600*r.m.Protection.AsleepAfterH) {
		return false
	}
	st.asleep = true
	if st.dark {
		r.dark[len(r.dark)-1].slept = true
		st.darkCause = sim.Asleep // counted under it from now on; the outage keeps the name of its start
	}
	return true
}

func (r *reference) wake() {
	r.st.asleep, r.st.drowsy, r.st.trip[qUnderV] = false, refHold{}, refTrip{}
}

// visitStep lets somebody act on a site that is dark.
func (r *reference) visitStep() bool {
	st, o := &r.st, &r.s.Controls.Operator
	if !st.dark || r.now < st.visitAt {
		return false
	}
	may := func(what string) bool { return !st.byOperator || slices.Contains(o.Does, what) }
	for k := range r.sets {
		if g := &st.engines[k]; may("reset") && g.notBefore > r.now {
			g.notBefore, g.failures, g.broken = r.now, 0, false
		}
	}
	if may("reset") {
		st.latched, st.line.stuck = 0, false
		if st.lost && !st.linkDown {
			st.resetAt = r.now
		}
		if st.locked {
			st.locked, st.stopped = false, false
		}
	}
	if st.asleep && slices.Contains(r.s.Bank.WokenBy, "visit") && may("wake_bank") {
		r.wake()
		st.broughtUp = float64(r.now) + 24*3600
	}
	st.hand.there = st.hand.there || may("bypass_inverter")
	lost := st.lost && !(may("reset") && !st.linkDown)
	still := lost && r.s.Bank.OnLinkLoss == "all_stop" // nothing passes the inverter
	open := r.oneSwitch && r.tripped(0, quantities) || st.latched != 0 || st.asleep || lost && r.s.Bank.OnLinkLoss == "bank_opens"
	dead := open && !r.s.Controls.ChargersHoldBus && !r.s.Inverter.ChargerStartsWithoutBank && !r.s.Inverter.PassesWithoutBank
	if may("start_generator") && (st.hand.there || !still && !dead) {
		r.startByHand()
	}
	r.nextVisit(3600) // they try again after an hour at the soonest
	return true
}

// nextVisit sets when somebody acts on a site that is dark now.
func (r *reference) nextVisit(least int) {
	st, c := &r.st, &r.s.Controls
	visitS := 3600 * c.VisitResponseH
	if c.RemoteView {
		visitS = 3600 * c.RemoteVisitH
	}
	st.visitAt, st.byOperator = r.someone(r.now+max(int(visitS), least), least)
}

// never is after every year.
const never = 1 << 40

// someone is when somebody acts on what began now: the operator, in waking hours on the
// days that they are there, or a visitor at a time, whoever is sooner.
func (r *reference) someone(visitor, least int) (at int, byOperator bool) {
	c := &r.s.Controls
	if c.Operator.OnSite == "never" {
		return visitor, false
	}
	awake := refHours(c.Operator.Awake)
	for t := r.now + max(int(3600*c.Operator.ResponseH), least); t < visitor; t++ {
		day := r.yearStart().Add(time.Duration(t) * time.Second).Weekday()
		here := c.Operator.OnSite == "always" || day == time.Saturday || day == time.Sunday
		if here && refWithin(awake, t) {
			return t, true
		}
	}
	return visitor, false
}
