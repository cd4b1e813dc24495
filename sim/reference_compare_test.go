package sim_test

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"bankyear/sim"
)

// within is how near simulation and reference must be.
type within struct {
	name     string
	stepS    float64 // longest internal step of the simulation
	outageS  float64 // begin and end of each downtime
	energy   float64 // part of what went through
	soc      float64 // at the end of each hour and when the site goes dark
	believed float64 // likewise, reported
	cellC    float64
	volts    float64 // of the bus, mean of each hour; near empty a hundredth of charge is 6 V
	curtailS float64 // curtailment of one cause may be shifted by this time of full sun
}

// Two steps: one short enough that the temperature foreseen for its middle, at
// which the simulation takes resistance and ceiling, is the temperature; and the
// longest, in which an event that comes early in an hour has them for its
// middle (the tolerance of 0.1 h between internal steps).
var refSteps = []within{
	{name: "60 s", stepS: 60, outageS: 2, energy: .003, soc: .001, believed: .001, cellC: .05, volts: .1, curtailS: 20},
	{name: "1 h", stepS: 3600, outageS: 360, energy: .003, soc: .01, believed: .025, cellC: .5, volts: 6, curtailS: 360},
}

// Simulation and reference agree on every downtime, on energies, temperatures
// and both states of charge, over the first days of each system.
func TestReference(t *testing.T) {
	outages, days, events := map[sim.Cause]int{}, map[sim.Cause]int{}, map[string]int{}
	ran := 0
	var mu sync.Mutex
	t.Run("system", func(t *testing.T) {
		for _, c := range slices.Concat(refCases, refSources, refHysteresis, refDisagree) {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				r := c.compare(t)
				mu.Lock()
				defer mu.Unlock()
				r.tally(outages, days)
				for what, at := range r.events {
					events[what] += len(at)
				}
				ran++
			})
		}
	})
	if ran < len(refCases)+len(refSources)+len(refHysteresis)+len(refDisagree) {
		return // only some were asked for
	}
	for _, cause := range sim.DowntimeCauses() {
		if n := outages[cause]; n < 5 {
			t.Errorf("downtime by %s came %d times, must come 5 times", cause, n)
		}
	}
	for _, words := range refTurns {
		if events[words[0]] == 0 {
			t.Errorf("%q never came", words[0])
		}
	}
	for _, name := range refTripNames {
		if events["disconnect trips, "+name] == 0 {
			t.Errorf("no trip by %s", name)
		}
	}
	for _, cause := range sim.CurtailmentCauses() {
		if n := days[cause]; n < 5 {
			t.Errorf("curtailment by %s came on %d days, must come on 5", cause, n)
		}
	}
}

// compare runs the reference, and the simulation with each internal step; over are
// further patches.
func (c *refCase) compare(t *testing.T, over ...string) *reference {
	s := system(t, append([]string{refBase, c.patch}, over...)...)
	w, l := c.inputs(&s.System)
	r := newReference(&given(t, append([]string{refBase, c.patch}, over...)...).System, w, l)
	r.run(c.days)
	for _, near := range refSteps {
		near.outageS = max(near.outageS, c.outageS)
		near.soc, near.believed = max(near.soc, c.soc), max(near.believed, c.soc)
		s.Controls.InternalStepS = near.stepS
		plan := sim.Compile(&s.System, w, l)
		y := plan.Run(true)
		compareOutages(t, c, r, y, near)
		compareHours(t, r, y, near)
		compareCurtailment(t, c, r, y, near)
		compareHand(t, r, y, near)
		compareEvents(t, c, r, plan.EventTimes(len(r.hours)), near)
		compareOpenings(t, r, y, near)
		if alone := r.counter.Kind == "shunt" && len(r.sets) == 0; alone && near.stepS < 3600 && y.Figures.Resets != r.st.resets { // nothing charges after the compared days
			t.Errorf("%s: %d re-sets of the counter, reference %d", near.name, y.Figures.Resets, r.st.resets)
		}
	}
	return r
}

// tally counts the outages and the days of curtailment by cause.
func (r *reference) tally(outages, days map[sim.Cause]int) {
	for _, o := range r.dark {
		outages[o.cause]++
		if o.slept {
			outages[sim.Asleep]++
		}
	}
	for _, cause := range sim.CurtailmentCauses() {
		for day := range len(r.hours) / 24 {
			wh := 0.0
			for h := range 24 {
				wh += r.hours[day*24+h].curtailedBy[cause] / 3600
			}
			if wh > 10 {
				days[cause]++
			}
		}
	}
}

func refClock(s float64) string {
	return fmt.Sprintf("day %d %s", int(s)/86400, time.Unix(int64(s), 0).UTC().Format("15:04:05"))
}

// compareOutages compares the downtimes one by one.
func compareOutages(t *testing.T, c *refCase, r *reference, y *sim.Year, near within) {
	t.Helper()
	end := float64(c.days * 86400)
	var list []sim.Outage
	for _, o := range y.Outages {
		if refStart(t, o.Start) < end-1 {
			list = append(list, o)
		}
	}
	if len(list) != len(r.dark) {
		t.Errorf("%s: %d downtimes, reference %d", near.name, len(list), len(r.dark))
	}
	for i := range min(len(list), len(r.dark)) {
		o, want := list[i], r.dark[i]
		from := refStart(t, o.Start)
		to := min(end, from+o.Hours*3600)
		if math.Abs(from-float64(want.from)) > near.outageS || math.Abs(to-float64(want.to)) > near.outageS || o.Cause != want.cause {
			t.Errorf("%s: downtime %s to %s by %s, reference %s to %s by %s", near.name,
				refClock(from), refClock(to), o.Cause, refClock(float64(want.from)), refClock(float64(want.to)), want.cause)
			return // what follows from it is no news
		}
		reported := want.believed
		if o.Reported != nil {
			reported = *o.Reported
		}
		if math.Abs(o.SoC-want.soc) > near.soc || math.Abs(reported-want.believed) > near.believed || math.Abs(o.CellC-want.cellC) > near.cellC {
			t.Errorf("%s: downtime at %s: SoC %.5f, reported %.5f, %.3f °C; reference %.5f, %.5f, %.3f °C", near.name, refClock(from),
				o.SoC, reported, o.CellC, want.soc, want.believed, want.cellC)
		}
	}
}

func refStart(t *testing.T, local string) float64 {
	t.Helper()
	at, err := time.Parse("2006-01-02T15:04:05", local)
	if err != nil {
		t.Fatal(err)
	}
	return at.Sub(time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC)).Seconds()
}

// compareCurtailment compares what was refused by each cause: the month's books
// hold only the compared days, for there is no sun after them.
func compareCurtailment(t *testing.T, c *refCase, r *reference, y *sim.Year, near within) {
	t.Helper()
	var by [32]float64
	most := 0.0
	for i := range r.hours {
		most = max(most, r.hours[i].available/3600)
		for cause, ws := range r.hours[i].curtailedBy {
			by[cause] += ws / 3.6e6
		}
	}
	for _, cause := range sim.CurtailmentCauses() {
		got, want := y.Months()[0].CurtailedByCause[cause.String()], by[cause]
		if math.Abs(got-want) > near.energy*want+float64(c.days)*near.curtailS*most/3.6e6 {
			t.Errorf("%s: curtailed by %s %.4f kWh, reference %.4f", near.name, cause, got, want)
		}
	}
}
