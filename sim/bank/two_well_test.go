package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// hourly is a battery of c 0.4, k 1/h and 100 Ah.
var hourly = bank.TwoWell{AvailableFraction: .4, RatePerS: 1. / 3600, CapacityAs: 100 * 3600}

// The equations of Manwell & McGowan 1993, Solar Energy 50(5), 399, evaluated
// elsewhere: q1 40, q2 60 Ah, 20 A out for an hour; the full battery's greatest
// current for an hour; its capacities at 5, 10 and 20 h.
func TestTwoWellByHand(t *testing.T) {
	full := bank.Rested(1)
	assert.InDelta(t, 40*3600, hourly.AvailableAs(full), 1e-9)
	assert.InDelta(t, 60*3600, hourly.BoundAs(full), 1e-9)
	c := hourly.Course(full, -20, 0)
	w := c.At(3600)
	assert.InDelta(t, 24.41455, hourly.AvailableAs(w)/3600, 5e-6)
	assert.InDelta(t, 55.58545, hourly.BoundAs(w)/3600, 5e-6)
	assert.InDelta(t, -51.3299, hourly.CurrentToA(full, 0, 3600), 5e-5)
	for _, row := range [][2]float64{{5, 77.0429}, {10, 86.9570}, {20, 93.0233}} {
		assert.InDelta(t, row[1], hourly.DeliveredAs(row[0]*3600)/3600, 5e-5, "%g h", row[0])
	}
}

// The paper's own form of the same equations, with its sign: positive out.
func paper(b bank.TwoWell, w bank.Wells, currentA, timeS float64) (availableAs, boundAs, mostOutA, mostInA float64) {
	c, k, q1, q2 := b.AvailableFraction, b.RatePerS, b.AvailableAs(w), b.BoundAs(w)
	q0, r, i := q1+q2, math.Exp(-k*timeS), currentA
	below := 1 - r + c*(k*timeS-1+r)
	availableAs = q1*r + ((q0*k*c-i)*(1-r)-i*c*(k*timeS-1+r))/k
	boundAs = q2*r + q0*(1-c)*(1-r) - i*(1-c)*(k*timeS-1+r)/k
	mostOutA = (k*q1*r + q0*k*c*(1-r)) / below
	mostInA = (-k*c*b.CapacityAs + k*q1*r + q0*k*c*(1-r)) / below
	return availableAs, boundAs, mostOutA, mostInA
}

func drawBattery(t *rapid.T) (bank.TwoWell, bank.Wells) {
	b := bank.TwoWell{
		AvailableFraction: rapid.Float64Range(.1, .9).Draw(t, "c"),
		RatePerS:          rapid.Float64Range(.1, 5).Draw(t, "k per hour") / 3600,
		CapacityAs:        rapid.Float64Range(10, 2000).Draw(t, "Ah") * 3600,
	}
	return b, drawWells(t, 0, 1)
}

func drawWells(t *rapid.T, from, to float64) bank.Wells {
	level := rapid.Float64Range(from, to)
	return bank.Wells{Level: level.Draw(t, "level"), BoundLevel: level.Draw(t, "bound level")}
}

func TestTwoWellIsThePapers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, w := drawBattery(t)
		i := b.CapacityAs / 3600 * rapid.Float64Range(-1, 1).Draw(t, "capacities an hour")
		s := rapid.Float64Range(60, 36000).Draw(t, "s")
		available, bound, out, in := paper(b, w, -i, s)
		c := b.Course(w, i, 0)
		got := c.At(s)
		near := 1e-9 * b.CapacityAs * (1 + 1/(b.RatePerS*s)) // the paper's form loses digits at short times
		if math.Abs(b.AvailableAs(got)-available) > near || math.Abs(b.BoundAs(got)-bound) > near {
			t.Fatalf("%+v, want %g and %g As", got, available, bound)
		}
		for level, want := range map[float64]float64{0: -out, 1: -in} {
			if got := b.CurrentToA(w, level, s); math.Abs(got-want) > 1e-6*math.Abs(want)+1e-9*b.CapacityAs/s {
				t.Fatalf("current to level %g: %g, want %g", level, got, want)
			}
		}
	})
}

// Jongerden & Haverkort 2009, IET Software 3(6), 445: a battery of 7200 As, c
// .625 and k′ 4.5e-5/s lives 91 min at 0.96 A and 203 min on a square wave of
// half a duty (1 Hz here; from memory, computed 91.14 and 202.94).
func TestPublishedLifetimes(t *testing.T) {
	const c = .625
	b := bank.TwoWell{AvailableFraction: c, RatePerS: 4.5e-5 / (c * (1 - c)), CapacityAs: 7200}
	w := bank.Rested(1)
	run := b.Course(w, -.96, 0)
	life := run.TimeToS(0, 7200) / 60
	assert.InDelta(t, 91, life, .5)
	assert.InDelta(t, 91.14, life, .005)

	for s := 0.; ; s++ {
		on := b.Course(w, -.96, 0)
		if empty := on.TimeToS(0, .5); !math.IsInf(empty, 1) {
			life = (s + empty) / 60
			break
		}
		off := b.Course(on.At(.5), 0, 0)
		w = off.At(.5)
	}
	assert.InDelta(t, 203, life, .5)
	assert.InDelta(t, 202.94, life, .02)
}

// The greatest current for a time empties, or fills, the available well in just
// that time.
func TestTimeToIsTheInverseOfTheGreatestCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, w := drawBattery(t)
		s := rapid.Float64Range(60, 36000).Draw(t, "s")
		level := rapid.SampledFrom([]float64{0, .3, 1}).Draw(t, "to level")
		i := b.CurrentToA(w, level, s)
		c := b.Course(w, i, 0)
		if math.Abs(w.Level-level) < 1e-6 {
			return
		}
		got := c.TimeToS(level, 2*s)
		if got < s*(1-1e-9) { // then it was there before, and turned
			if c.TurnS() < got || math.Abs(c.Level(got)-level) > 1e-9 {
				t.Fatalf("level %g at %g s of %g", level, got, s)
			}
			return
		}
		if math.Abs(got-s) > 1e-6*s {
			t.Fatalf("reached after %g s, want %g", got, s)
		}
		at := c.Moment(got)
		onto := at.Onto(b, level)
		if after := c.At(got); onto.Level != level || math.Abs(b.SoC(onto)-b.SoC(after)) > 1e-14 {
			t.Fatalf("%+v of %+v: not onto the level, or charge lost", onto, after)
		}
	})
}

// A full available well takes k·c(1−c)·Q·(1 − h2) and falls by e^(−k·c·t); from
// the differential equations of the paper.
func TestAcceptance(t *testing.T) {
	w := bank.Wells{Level: 1, BoundLevel: .5}
	assert.InDelta(t, 1*.4*.6*100*(1-.5), hourly.AcceptedA(w), 1e-9)
	assert.InDelta(t, 7200, hourly.AcceptanceTimeS(w, 12*math.Exp(-.8)), 1e-6)
	assert.Zero(t, hourly.AcceptanceTimeS(w, 12))
}
