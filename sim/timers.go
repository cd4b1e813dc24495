package sim

import (
	"math"
	"math/bits"
)

// Timers, by index. A timer is a moment at which something ends if its
// condition lasts; +Inf when it does not run.
const (
	tLink     = iota
	tClock                       // next change of the no-start hours, or what is wanted at a time of day
	tModule                      // modules drop out, are found missing, are back
	tShift                       // flexible energy is looked at
	tGrid                        // the grid goes or comes back
	tNursed                      // under-voltage trips again: until then somebody brings the bank up by the maker's procedure
	tChain                       // the link from module to module breaks, or is mended
	tFuel                        // next delivery, one a source of AC
	tAside    = tFuel + maxSets  // end of a phase of a source that is not in charge, likewise
	transient = tAside + maxSets // those before leave everything as it is until they end
)

const (
	tLinkLost  = transient + iota
	tRejoin    // somebody resets what a lost link has left
	tHand      // the operator sheds flexible load, or puts it back
	tAbsorb    // two: solar chargers, AC charger
	_          //
	tTail      // two
	_          //
	tRestart   // two
	_          //
	tFull      // the BMS's full
	tAgain     // it asks for charge again by voltage
	tCount     // the counter's full
	tShed      // flexible load is shed by voltage
	tCut       // slow cut-off
	tFast      // fast cut-off
	tMinV      // inverter's lowest voltage
	tMaxV      // inverter's highest voltage
	tOver      // above the discharge ceiling
	tLookBack  // what that keeps off is looked at
	tSleep     // the modules fall asleep
	tVisit     // somebody is on site
	tInverter  // inverter is back
	tOverload  // inverter gives up
	tRest      // it has rested from an overload
	tInrush    // next start in an interval in which starts fail
	tPeak      // discharge over-current trips
	tPeakRest  // another peak is allowed
	tHeavy     // the load has been heavy
	tRefused   // the bank has refused charge
	tGenerator // present phase ends
	tGeneratorMin
	tGeneratorMax
	tTrip      // one a kind of trip
	tClose     = tTrip + int(tripKinds)
	tLadder    = tClose + int(tripKinds) // one a rung
	tEqual     = tLadder + rungs         // two: equalisation ends
	tCascade   = tEqual + 2              // modules that opened close again
	tStopped   = tEqual + 3              // the load that has stopped may come back
	timerCount = tEqual + 4
)

// rungs is how many a ladder of voltages may have.
const rungs = 8

type timers struct {
	due   [timerCount]float64
	live  [(timerCount + 63) / 64]uint64 // bit a timer: it runs
	next  float64
	stale bool
	count int // timers that run
	lasts int // of these, the ones before transient
}

func (t *timers) clear() {
	for i := range t.due {
		t.due[i] = math.Inf(1)
	}
	t.next = math.Inf(1)
}

// set starts a timer.
func (t *timers) set(i int, at float64) {
	t.stop(i)
	t.due[i] = at
	t.next = min(t.next, at)
	t.live[i/64] |= 1 << (i % 64)
	t.count++
	if i < transient {
		t.lasts++
	}
}

// stop clears a timer.
func (t *timers) stop(i int) {
	if t.running(i) {
		t.halt(i)
	}
}

// halt clears a timer that runs.
func (t *timers) halt(i int) {
	if t.due[i] == t.next {
		t.stale = true
	}
	t.due[i] = math.Inf(1)
	t.live[i/64] &^= 1 << (i % 64)
	t.count--
	if i < transient {
		t.lasts--
	}
}

// running tells whether a timer runs.
func (t *timers) running(i int) bool { return t.due[i] <= math.MaxFloat64 }

// from is the timers that run, a bit each, from an index on.
func (t *timers) from(i int) uint64 {
	bits := t.live[i/64] >> (i % 64)
	if next := i/64 + 1; next < len(t.live) {
		bits |= t.live[next] << (64 - i%64)
	}
	return bits
}

// soonest is the next moment at which any timer ends.
func (t *timers) soonest() float64 {
	if t.stale {
		t.next, t.stale = math.Inf(1), false
		for w, live := range t.live {
			for ; live != 0; live &= live - 1 {
				t.next = min(t.next, t.due[w*64+bits.TrailingZeros64(live)])
			}
		}
	}
	return t.next
}

// held tells whether a condition has lasted for the delay. It starts the timer
// when the condition begins and stops it when it ends; it answers true once.
func (m *machine) held(i int, condition bool, delay float64) bool {
	return (condition || m.running(i)) && m.follows(i, condition, delay)
}

// follows is held, of a condition that holds or has held.
func (m *machine) follows(i int, condition bool, delay float64) bool {
	switch {
	case !condition:
		m.stop(i)
	case !m.running(i):
		m.set(i, m.now+delay)
	case m.now >= m.due[i]:
		m.stop(i)
		return true
	}
	return false
}

// ended tells whether a running timer has ended, and stops it.
func (m *machine) ended(i int) bool {
	if m.now < m.due[i] {
		return false
	}
	m.stop(i)
	return true
}
