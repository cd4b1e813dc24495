package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/genset"
)

// ensemble is the downtime of members with load · (1 ± 10⁻³) and draws of their
// own: with hysteresis a single year proves nothing, their means do.
func ensemble(t *testing.T, patches ...string) (mean, err float64) {
	const members = 8
	w, e := burlington()
	require.NoError(t, e)
	s := system(t, patches...)
	l := load(t, &s.Load, w)
	like := sim.Compile(&s.System, w, l)
	sum, squares := 0., 0.
	for k := range members {
		x := s.System
		x.Generators = map[string]genset.Spec{}
		for name, g := range s.Generators {
			g.Seed = uint64(k + 1)
			x.Generators[name] = g
		}
		grown := l.Times(1 + 1e-3*(2*(float64(k)+.5)/members-1))
		h := sim.CompileLike(&x, w, grown, like).Run(false).Figures.DowntimeH
		sum += h
		squares += h * h
	}
	mean = sum / members
	return mean, math.Sqrt(max(0, squares/members-mean*mean) / members)
}

// neverDarker holds where the first ensemble is darker than the second by no more
// than three standard errors of the difference, or half an hour.
func neverDarker(t *testing.T, name string, better, worse []string) {
	a, errA := ensemble(t, better...)
	b, errB := ensemble(t, worse...)
	assert.LessOrEqual(t, a, b+max(.5, 3*math.Hypot(errA, errB)), name)
}

// Means of ensembles: shedding never raises essential downtime, a larger fuel
// store is never darker, nor is a generator that always starts, a spare set, a
// grid, or fuel that is brought.
func TestNeverDarker(t *testing.T) {
	const dim = `{"bank":{"modules":2}}`
	const small = `{"bank":{"modules":2},"generators":{"main":{"no_start_hours":null,"fuel_store_l":%g,"seed":3}}}`
	alone := `{"generators":{"main":null}}`
	neverDarker(t, "shedding", []string{dim, alone}, []string{dim, alone, `{"controls":{"shed_soc_fraction":0,"return_soc_fraction":0.01}}`})
	neverDarker(t, "shedding by voltage", []string{dim, alone, voltageOnly}, []string{dim, alone, voltageOnly, `{"controls":{"shed_soc_fraction":0,"return_soc_fraction":0.01}}`})
	for _, litres := range []float64{20, 60, 150} {
		neverDarker(t, "larger store", []string{patch(small, 2*litres)}, []string{patch(small, litres)})
	}
	neverDarker(t, "fuel that is brought", []string{patch(small, 30.), `{"generators":{"main":{"fuel_deliveries":{"every_days":30}}}}`}, []string{patch(small, 30.)})
	const fails = `{"generators":{"main":{"failed_start_fraction":%g,"start_tries":2,"call_out_h":72}}}`
	for _, chance := range []float64{.1, .3, .6} {
		neverDarker(t, "always starts", []string{dim, patch(fails, 0.)}, []string{dim, patch(fails, chance)})
	}
	neverDarker(t, "spare set", []string{dim, patch(fails, .6), `{"generators":{"other":{"key":"petrol_3kw","no_start_hours":"20-08","lead_order":2}}}`}, []string{dim, patch(fails, .6)})
	neverDarker(t, "grid", []string{dim, `{"grid":{"limit_w":3000,"outages":{"mean_hours_between":200,"mean_h":6}}}`}, []string{dim})
}
