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
