package sim_test

// Modules that leave the bus one by one, and a link from module to module that
// breaks.

// refLine is what is off the bus.
type refLine struct {
	open     int     // modules that tripped alone
	parkedAh float64 // charge in them
	by       int     // quantity that opened the last
	stuck    bool
	over     refHold // what opened it is over
	rounds   [quantities][]int
	broken   bool
	behindAh float64 // charge of the modules behind the break
}

// onBus makes a number of modules the ones that are on the bus. What leaves takes
// its share of the charge with it, which this tells.
func (r *reference) onBus(n float64) (leavesAh float64) {
	st := &r.st
	share := st.q / r.n
	leavesAh = share * (r.n - n)
	st.q -= leavesAh
	r.n, r.capacityAh = n, r.moduleAh*n
	r.openCircuit = r.restTable()
	r.tables()
	return leavesAh
}

// tables are what goes with the number of modules on the bus.
func (r *reference) tables() {
	m := r.m
	if r.counter.Kind == "bms" {
		r.counter.AssumedAh = r.capacityAh
	}
	r.linkedByC = newRefTable(m.Linked.CeilingByC, 1, r.known*r.n/m.WorstShare)
	r.outTables()
	r.chargeOverA, r.contA = r.n*m.Protection.ChargeOverA/m.WorstShare, r.n*m.DischargeA/m.WorstShare
	spread := r.spread
	if r.st.line.open > 0 {
		spread = 0 // the one whose highest cell stood highest is off
	}
	r.overV = m.Protection.OverV - spread*float64(m.CellsInSeries)
}

// opensAlone takes one module off the bus, where they do not act together and it is
// not the last.
func (r *reference) opensAlone(q int) bool {
	l := &r.st.line
	if refHears(r.s.Bank.Together) || r.n < 2 || q != qOverV && q != qChargeOver && q != qOutOver {
		return false
	}
	l.open, l.by, l.over = l.open+1, q, refHold{}
	if l.open == 1 {
		p, count, seconds := &r.m.Protection, 0, 0.0
		if count, seconds = p.OverALatchCount, p.OverALatchS; q == qOverV {
			count, seconds = p.OverVLatchCount, p.OverVLatchS
		}
		at := append(l.rounds[q], r.now)
		for float64(r.now-at[0]) > seconds {
			at = at[1:]
		}
		if l.stuck = len(at) >= count; l.stuck {
			at = at[:0]
		}
		l.rounds[q] = at
	}
	l.parkedAh += r.onBus(r.n - 1)
	r.st.peak.since, r.st.peakRested = r.now, false
	return true
}

// lineStep closes modules that opened alone, and breaks and mends the chain.
func (r *reference) lineStep() bool {
	l, c := &r.st.line, r.s.Bank.LinkChain
	changed := false
	if c != nil && r.dataLinked {
		from := int(refSecond(c.Start))
		if broken := r.now >= from && r.now < from+int(3600*c.Hours); broken != l.broken {
			l.broken, changed = broken, true
			r.closeAll()
			if broken {
				seen := float64(c.BreakAfter)
				on := r.whole
				if c.Behind == "open" {
					on = seen
				}
				known := seen
				if c.Assume == "there" {
					known = r.whole
				}
				r.known = known / on
				l.behindAh = r.onBus(on)
			} else {
				r.known = 1
				r.back(r.whole, l.behindAh)
			}
		}
	}
	if l.open > 0 && l.over.past(!l.stuck && (l.by != qOverV || r.moduleV() < r.m.Protection.OverReleaseV), r.now, r.m.Protection.RecloseS) {
		r.closeAll()
		changed = true
	}
	return changed
}

// closeAll puts modules that opened alone back.
func (r *reference) closeAll() {
	l := &r.st.line
	if l.open == 0 {
		return
	}
	n := r.n + float64(l.open)
	l.open = 0
	r.back(n, l.parkedAh)
	l.parkedAh, l.stuck, l.over = 0, false, refHold{}
}

// back makes a number of modules the ones on the bus, with the charge that comes.
func (r *reference) back(n, comesAh float64) {
	q := r.st.q + comesAh
	r.onBus(n)
	r.st.q = q
}
