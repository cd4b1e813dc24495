package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A bank that is kept at 25 °C loses what Naumann et al. 2018 publish for a year
// at its states of charge: 4.25 % at half charge and 6.78 % at full.
func TestYear_CalendarFade(t *testing.T) {
	for name, patch := range map[string]string{"seldom cycled": `{}`, "two modules": `{"bank":{"modules":2}}`} {
		y := plan(t, patch, `{"bank":{"enclosure":{"kind":"fixed","fixed_c":25,"heater_w_per_module":0}}}`).Run(false)
		require.Greater(t, y.Figures.CalendarFade, 0.042, name)
		require.Less(t, y.Figures.CalendarFade, 0.068, name)
		require.Less(t, y.Figures.YearsTo80Pct, 22.3, name)
		require.Greater(t, y.Figures.YearsTo80Pct, 5., name)
	}
}

// An aged bank is dark more often, and has the years left that a new one has more:
// but for the pace, which its deeper cycles quicken.
func TestYear_Aged(t *testing.T) {
	base := `{"bank":{"modules":2,"link_faults":null},"generators":null}`
	fresh, old := plan(t, base).Run(false).Figures, plan(t, base, `{"bank":{"age_years":6}}`).Run(false).Figures
	require.Greater(t, old.DowntimeH, fresh.DowntimeH)
	require.Greater(t, old.EquivalentCycles, fresh.EquivalentCycles)
	require.Less(t, old.YearsTo80Pct, fresh.YearsTo80Pct-5)
	require.Less(t, old.FadePerYear, fresh.FadePerYear, "the first year takes most")
	require.InEpsilon(t, 2.5*old.FadePerYear, old.GrowthPerYear, 1e-12)
	require.InEpsilon(t, 20/fresh.YearsTo80Pct, fresh.FadePerYear*100, 2, "mean and first year")
	stated := plan(t, base, `{"bank":{"aged_capacity_fraction":0.75}}`).Run(false).Figures
	require.Zero(t, stated.YearsTo80Pct, "below it already")
	acid := plan(t, base, noModule, vented, `{"bank":{"age_years":2}}`).Run(false).Figures
	require.Zero(t, acid.YearsTo80Pct+acid.FadePerYear, "no law")
}
