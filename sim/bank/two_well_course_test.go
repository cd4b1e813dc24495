package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// stepped integrates the two differential equations of Manwell & McGowan 1993
// by the classical Runge-Kutta method, with any current that follows the level.
func stepped(b bank.TwoWell, w bank.Wells, timeS float64, steps int, currentA func(level float64) float64) bank.Wells {
	c := b.AvailableFraction
	valve := b.RatePerS * c * (1 - c)
	rate := func(w bank.Wells) bank.Wells {
		flow := valve * (w.BoundLevel - w.Level)
		return bank.Wells{Level: (currentA(w.Level)/b.CapacityAs + flow) / c, BoundLevel: -flow / (1 - c)}
	}
	add := func(w, d bank.Wells, s float64) bank.Wells {
		return bank.Wells{Level: w.Level + d.Level*s, BoundLevel: w.BoundLevel + d.BoundLevel*s}
	}
	h := timeS / float64(steps)
	for range steps {
		a := rate(w)
		b2 := rate(add(w, a, h/2))
		c3 := rate(add(w, b2, h/2))
		d := rate(add(w, c3, h))
		w = add(add(add(add(w, a, h/6), b2, h/3), c3, h/3), d, h/6)
	}
	return w
}

func drawCourse(t *rapid.T) (b bank.TwoWell, w bank.Wells, i, slope, s float64) {
	b, w = drawBattery(t)
	perHour := b.CapacityAs / 3600
	i = perHour * rapid.Float64Range(-1, 1).Draw(t, "capacities an hour")
	slope = perHour * rapid.SampledFrom([]float64{0, -1e-6, -.01, -.3, -2, -10, .02, .1}).Draw(t, "slope")
	return b, w, i, slope, rapid.Float64Range(60, 7200).Draw(t, "s")
}

func TestCourseSolvesTheEquations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, w, i, slope, s := drawCourse(t)
		h := w.Level
		c := b.Course(w, i, slope)
		want := stepped(b, w, s, 4000, func(level float64) float64 { return i + slope*(level-h) })
		got := c.At(s)
		const near = 1e-7
		if math.Abs(got.Level-want.Level) > near || math.Abs(got.BoundLevel-want.BoundLevel) > near {
			t.Fatalf("%+v, want %+v", got, want)
		}
		charge := (b.SoC(want) - b.SoC(w)) * b.CapacityAs
		if math.Abs(c.ChargeAs(s)-charge) > near*b.CapacityAs {
			t.Fatalf("charge %g, want %g", c.ChargeAs(s), charge)
		}
		if got, want := c.CurrentA(s), i+slope*(want.Level-h); math.Abs(got-want) > 1e-6*(math.Abs(i)+math.Abs(slope)) {
			t.Fatalf("current %g, want %g", got, want)
		}
		// the mean, by Simpson
		const n = 2000
		sum := c.Level(0) + c.Level(s)
		for k := 1; k < n; k++ {
			sum += float64(2+2*(k%2)) * c.Level(s*float64(k)/n)
		}
		if mean := sum / (3 * n); math.Abs(c.MeanLevel(s)-mean) > 1e-7*(1+math.Abs(mean)) {
			t.Fatalf("mean level %g, want %g", c.MeanLevel(s), mean)
		}
	})
}

// Two pieces are the whole.
func TestCourseSplits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, w, i, slope, s := drawCourse(t)
		at := s * rapid.Float64Range(.01, .99).Draw(t, "split")
		whole := b.Course(w, i, slope)
		middle := whole.At(at)
		rest := b.Course(middle, i+slope*(middle.Level-w.Level), slope)
		a, z := whole.At(s), rest.At(s-at)
		if math.Abs(a.Level-z.Level) > 1e-10 || math.Abs(a.BoundLevel-z.BoundLevel) > 1e-10 {
			t.Fatalf("%+v, in two pieces %+v", a, z)
		}
	})
}

// The first time: on the level, and not on it before, looked for on a grid.
func TestTimeToIsTheFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, w, i, slope, s := drawCourse(t)
		c := b.Course(w, i, slope)
		level := c.Level(s * rapid.Float64Range(0, 1.2).Draw(t, "somewhere near"))
		got := c.TimeToS(level, s)
		const n = 1000
		for k := 1; k <= n; k++ {
			t1 := s * float64(k) / n
			if t1 >= got {
				break
			}
			before, after := c.Level(s*float64(k-1)/n)-level, c.Level(t1)-level
			if before*after < 0 && math.Abs(before) > 1e-12 && math.Abs(after) > 1e-12 {
				t.Fatalf("found %g s, but it is passed before %g s", got, t1)
			}
		}
		if !math.IsInf(got, 1) && (got <= 0 || got > s || math.Abs(c.Level(got)-level) > 1e-11*(1+math.Abs(level))) {
			t.Fatalf("at %g s of %g the level is %g, want %g", got, s, c.Level(got), level)
		}
	})
}

// A battery drawn down and then left alone fills its available well from the
// bound one and does not lose charge; a level on which it starts counts only
// when it comes back.
func TestCourseTurns(t *testing.T) {
	w := bank.Wells{Level: .25, BoundLevel: .9}
	c := hourly.Course(w, -8, 0)
	turn := c.TurnS()
	assert.False(t, math.IsInf(turn, 1))
	assert.Greater(t, c.Level(turn), c.Level(turn-60))
	assert.Greater(t, c.Level(turn), c.Level(turn+60))
	back := c.TimeToS(.25, 86400)
	assert.Greater(t, back, turn)
	assert.InDelta(t, .25, c.Level(back), 1e-12)
	assert.True(t, math.IsInf(c.TimeToS(.25, turn), 1))
	at := c.Moment(turn)
	onto := at.Onto(hourly, .3) // wherever it is set, no charge is lost
	assert.Equal(t, .3, onto.Level)
	assert.InDelta(t, hourly.SoC(c.At(turn)), hourly.SoC(onto), 1e-14)
	for _, slope := range []float64{-200, -20, 5} {
		c := hourly.Course(w, -8, slope)
		turn := c.TurnS()
		for _, s := range []float64{turn - 60, turn + 60} {
			assert.Less(t, c.Level(s), c.Level(turn), "slope %g", slope)
		}
	}
	rest := hourly.Course(w, 0, 0)
	assert.True(t, math.IsInf(rest.TurnS(), 1))
	assert.InDelta(t, .64, rest.Level(1e6), 1e-12)
}

func BenchmarkCourse(b *testing.B) {
	w := bank.Wells{Level: .75, BoundLevel: .67}
	for _, run := range []struct {
		name  string
		slope float64
	}{{"steady", 0}, {"falling", -100}} {
		b.Run(run.name, func(b *testing.B) {
			b.ReportAllocs()
			var sum float64
			for b.Loop() {
				c := hourly.Course(w, 12, run.slope)
				sum += c.At(900).Level + c.TimeToS(.8, 3600)
			}
			if sum == 0 {
				b.Fatal("no course")
			}
		})
	}
}
