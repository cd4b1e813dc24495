package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// followed follows a drive for a time, course by course: what a caller does.
// pieceS cuts it into shorter segments besides.
func followed(b bank.TwoWell, w bank.Wells, timeS, pieceS float64, drive bank.AcidDrive) (after bank.Wells, terminalAs float64, courses int) {
	var c bank.AcidCourse
	for timeS > 0 {
		drive.Follow(&c, b, w, min(timeS, pieceS))
		end := c.Moment(c.UntilS)
		w = end.Wells
		terminalAs += c.TerminalAs(end)
		timeS -= c.UntilS
		courses++
	}
	return w, terminalAs, courses
}

// The lines against the laws themselves, integrated in small steps: current, power
// and voltage held, from anywhere, within 1 % of the charge also where most of it
// gasses.
func TestLinesAgainstTheLaws(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	const celsius = 30.
	rapid.Check(t, func(t *rapid.T) {
		w := drawWells(t, .3, .97)
		s := rapid.Float64Range(300, 4*3600).Draw(t, "s")
		held := rapid.Float64Range(54, 60).Draw(t, "V")
		power := rapid.Float64Range(-600, 300).Draw(t, "W")
		source := rapid.SampledFrom([]float64{0, 3}).Draw(t, "A beside it")
		current := rapid.Float64Range(-10, 4).Draw(t, "A")
		for _, drive := range []struct {
			name  string
			drive bank.AcidDrive
			law   func(level float64) float64 // at the terminals
		}{
			{"held", a.Held(held, celsius), func(h float64) float64 { return a.HeldA(h, held) }},
			{"powered", a.Powered(power, source, celsius), func(h float64) float64 { i, _ := a.PowerA(h, power, source); return i }},
			{"carried", a.Carried(current, celsius), func(float64) float64 { return current }},
		} {
			const steps = 1000
			want := stepped(b, w, s, steps, func(h float64) float64 {
				i := drive.law(h)
				return i - a.GassingA(a.TerminalV(h, i), celsius)
			})
			if want.Level < .05 || want.Level > .995 || w.Level > 1 {
				continue // emptied or filled: the caller's event
			}
			if top := max(w.Level, want.Level); a.TerminalV(top, drive.law(top)) > 60 {
				continue // beyond any charger's limit
			}
			if drive.law(w.Level) > 0 != (drive.law(want.Level) > 0) {
				continue // the current turns: the caller's event
			}
			got, terminal, n := followed(b, w, s, 1e9, drive.drive)
			fine, _, _ := followed(b, w, s, 97, drive.drive)
			// of the charge through the terminals, or of .2 % of the capacity
			through := math.Abs(terminal)/b.CapacityAs + .002
			for i, x := range []bank.Wells{got, fine} {
				if off := math.Abs(b.SoC(x)-b.SoC(want)) / through; off > .01 {
					t.Fatalf("%s, %d: SoC %.6f, want %.6f", drive.name, i, b.SoC(x), b.SoC(want))
				}
				if math.Abs(x.Level-want.Level) > .001 {
					t.Fatalf("%s, %d: level %.6f, want %.6f", drive.name, i, x.Level, want.Level)
				}
			}
			if n > 40 {
				t.Fatalf("%s: %d courses", drive.name, n)
			}
			if gas := terminal - (b.SoC(got)-b.SoC(w))*b.CapacityAs; gas < -.01*through*b.CapacityAs { // the lines' own tolerance
				t.Fatalf("%s: gas %g As", drive.name, gas)
			}
		}
	})
}

// A course begins with the law's own currents and voltage. Its mean current and
// voltage are the means of the law's, by Simpson's rule along it, and the voltage at
// its end the law's there.
func TestLinesHaveTheMeansOfTheLaw(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	const celsius = 35.
	rapid.Check(t, func(t *rapid.T) {
		w := drawWells(t, .4, .95)
		w.BoundLevel = w.Level + (w.BoundLevel-w.Level)/3
		power := rapid.Float64Range(-400, 250).Draw(t, "W")
		source := rapid.SampledFrom([]float64{0, 4}).Draw(t, "A beside it")
		law := func(h float64) (i, v float64) {
			i, _ = a.PowerA(h, power, source)
			return i, a.TerminalV(h, i)
		}
		var c bank.AcidCourse
		drive := a.Powered(power, source, celsius)
		drive.Follow(&c, b, w, 3600)
		i, v := law(w.Level)
		end := c.Moment(c.UntilS)
		last, lastV := law(end.Level)
		if i > 0 != (last > 0) || max(v, lastV) > 60 {
			return
		}
		const near = 1e-9
		if math.Abs(c.TerminalA(w.Level)-i) > near || math.Abs(c.CurrentAt(w.Level)-i+a.GassingA(v, celsius)) > near || math.Abs(c.EndV-lastV)+math.Abs(c.EndA-last) > 1e-6 {
			t.Fatalf("begins with %g A, want %g; ends at %g V, want %g", c.TerminalA(w.Level), i, c.EndV, lastV)
		}
		const n = 200
		sumA, sumV := i+last, v+lastV
		for k := 1; k < n; k++ {
			i, v := law(c.Level(c.UntilS * float64(k) / n))
			sumA += float64(2+2*(k%2)) * i
			sumV += float64(2+2*(k%2)) * v
		}
		if got, want := c.TerminalAs(end)/c.UntilS, sumA/(3*n); math.Abs(got-want) > .01*math.Abs(want)+1e-4 {
			t.Fatalf("mean of %g A, want %g", got, want)
		}
		if got, want := c.MeanV(end), sumV/(3*n); math.Abs(got-want) > .005*want {
			t.Fatalf("mean of %g V, want %g", got, want)
		}
	})
}

// A bank that rests at the voltage at which it is held is charged as its level
// falls, and discharged, against less resistance, as it rises.
func TestHeldAtItsRest(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	var c bank.AcidCourse
	for _, bound := range []float64{.4, .6} {
		w := bank.Wells{Level: .5, BoundLevel: bound}
		drive := a.Held(a.RestV(w.Level), 25)
		drive.Follow(&c, b, w, 600)
		end := c.Moment(c.UntilS)
		assert.Equal(t, bound > .5, c.EndA < 0)
		assert.InEpsilon(t, a.HeldA(end.Level, a.RestV(w.Level)), c.EndA, 1e-9, "bound well at %g", bound)
	}
}

// A recharge by voltage, as the trade knows it for half-discharged vented cells
// (common practice, no source): at a tenth of the capacity an hour the absorption
// voltage comes at 75 to 90 % of the charge, absorption to a tail of 2 % takes 2
// to 5 h, and all of it 6 to 10 h; coulombic efficiency 85 to 98 %.
func TestRecharge(t *testing.T) {
	s, b, a := leadAcid("lead_acid_vented")
	set := bank.CellSettingsOf("lead_acid_vented").Settings(s)
	const ampere, celsius = 10., 25.
	w := bank.Rested(.5)
	in := 0.
	var c bank.AcidCourse
	to := func(drive bank.AcidDrive, level float64) (s float64) {
		for w.Level < level {
			drive.Follow(&c, b, w, 7200)
			at, reached := c.UntilS, false
			if t := c.TimeToS(level, at); t <= at {
				at, reached = t, true
			}
			end := c.Moment(at)
			if w = end.Wells; reached {
				w = end.Onto(b, level)
			}
			in, s = in+c.TerminalAs(end), s+at
			require.Less(t, s, 1e6)
		}
		return s
	}
	limit := a.LevelAtV(set.AbsorbV, ampere)
	bulkS := to(a.Carried(ampere, celsius), limit)
	assert.InDelta(t, ampere, a.HeldA(limit, set.AbsorbV), 1e-9, "no step from bulk to absorption")
	atAbsorb, begun := b.SoC(w), w
	assert.True(t, .75 < atAbsorb && atAbsorb < .9, "absorption from %g", atAbsorb)

	absorbS := to(a.Held(set.AbsorbV, celsius), a.LevelAtV(set.AbsorbV, set.TailA))
	assert.InDelta(t, set.TailA, a.HeldA(w.Level, set.AbsorbV), 1e-9)
	gas := a.GassingA(set.AbsorbV, celsius)
	law := stepped(b, begun, absorbS, 20000, func(h float64) float64 { return a.HeldA(h, set.AbsorbV) - gas })
	assert.InEpsilon(t, b.SoC(law)-atAbsorb, b.SoC(w)-atAbsorb, .001, "absorption against its law in steps of a second")
	t.Logf("absorption from %.3f, %.2f h bulk, %.2f h absorption, full %.3f, efficiency %.3f",
		atAbsorb, bulkS/3600, absorbS/3600, b.SoC(w), (b.SoC(w)-.5)*b.CapacityAs/in)
	assert.True(t, 2 < absorbS/3600 && absorbS/3600 < 5, "absorption of %g h", absorbS/3600)
	assert.True(t, 6 < (bulkS+absorbS)/3600 && (bulkS+absorbS)/3600 < 10)
	eta := (b.SoC(w) - .5) * b.CapacityAs / in
	assert.True(t, .85 < eta && eta < .98, "coulombic efficiency %g", eta)
	assert.Greater(t, b.SoC(w), .9, "the bound well is not full yet")
}

// The energy of the wells is what went in less what is lost between them, which
// is never negative: ∫E(h1)·I dt against the change of both ∫E dq.
func TestEnergyOfTheWells(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	rapid.Check(t, func(t *rapid.T) {
		w := drawWells(t, 0, 1)
		i := rapid.Float64Range(-20, 20).Draw(t, "A")
		s := rapid.Float64Range(60, 7200).Draw(t, "s")
		c := b.Course(w, i, 0)
		in := i * a.RestV(c.MeanLevel(s)) * s
		lost := in - (a.StoredJ(b, c.At(s)) - a.StoredJ(b, w))
		// ∫ flow·(E(h2) − E(h1)) dt by Simpson
		const n = 1000
		var sum float64
		for k := range n + 1 {
			x := c.At(s * float64(k) / n)
			y := -b.AcceptedA(x) * (a.RestV(x.BoundLevel) - a.RestV(x.Level))
			switch {
			case k == 0 || k == n:
				sum += y
			default:
				sum += y * float64(2+2*(k%2))
			}
		}
		want := sum * s / (3 * n)
		if math.Abs(lost-want) > 1e-6*(1+math.Abs(in)) {
			t.Fatalf("lost %g J, want %g", lost, want)
		}
		if want < 0 {
			t.Fatalf("gained %g J", -want)
		}
	})
	assert.InDelta(t, (1.96+2.12)/2*24*b.CapacityAs, a.StoredJ(b, bank.Rested(1)), 1e-3)
}
