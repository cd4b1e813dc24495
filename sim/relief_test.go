package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/fault"
)

// Every relief makes a system that still passes its check, leaves the base as it
// was, and with nothing lifted changes nothing; on the field station with two
// modules the generator's quiet hours and the size of the bank are what costs.
func TestReliefs(t *testing.T) {
	s := system(t, `{"bank":{"modules":2}}`)
	w, err := burlington()
	require.NoError(t, err)
	l := load(t, &s.Load, w)
	raw := s.System
	raw.Bank.Settings, raw.Bank.Enclosure.SurfaceCPerW = nil, 0 // as before Complete
	base := sim.Compile(&s.System, w, l).Run(false)
	saved := map[string]float64{}
	for _, r := range sim.Reliefs(&raw) {
		lifted := r.Lift(&raw)
		lifted.Complete()
		c := fault.New()
		fault.CheckTags(c, lifted)
		lifted.Check(c)
		require.NoError(t, c.Err(), r.Name)
		if r.LoadFactor == 1 {
			saved[r.Name] = base.Figures.DowntimeH - sim.Compile(lifted, w, l).Run(false).Figures.DowntimeH
		}
	}
	require.Equal(t, base, sim.Compile(&s.System, w, l).Run(false), "the base is not changed")
	require.Greater(t, base.Figures.DowntimeH, 10.)
	require.InDelta(t, base.Figures.DowntimeH, saved["generator_always_ready"], 1)
	require.Greater(t, saved["one_more_module"], base.Figures.DowntimeH/2)
	require.Less(t, saved["no_charge_ceiling"], base.Figures.DowntimeH/2)
}
