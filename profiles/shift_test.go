package profiles

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An appliance that may shift is in no column, and owes what it would have taken.
func TestBuild_Shift(t *testing.T) {
	pump := one(func(a *Appliance) {
		a.W, a.Hours, a.DutyFraction, a.Tier, a.Shifts, a.Count = 750, "09-17", .25, "flexible", true, 2
	})
	s := &Spec{Appliances: map[string]Appliance{"pump": pump}}
	load := build(t, s, 2025, 3600)
	require.Len(t, load.Shifts, 1)
	for _, column := range load.columns() {
		for _, w := range *column {
			require.Zero(t, w)
		}
	}
	assert.Equal(t, 1500.0, load.Shifts[0].W)
	assert.Equal(t, 1.0, load.Shifts[0].On[9])
	assert.Zero(t, load.Shifts[0].On[17])
	assert.InDelta(t, 1.5*.25*8, load.MeanKWhPerDay(), 1e-9)
	fixed := pump
	fixed.Shifts = false
	assert.InDelta(t, load.MeanKWhPerDay(), build(t, &Spec{Appliances: map[string]Appliance{"pump": fixed}}, 2025, 3600).MeanKWhPerDay(), 1e-9)
	s.ScaleKWhDay = 18 // more than the hours hold at 1500 W
	assert.InDelta(t, 18, build(t, s, 2025, 3600).MeanKWhPerDay(), 1e-9)
	assert.NotEqual(t, load.Hash(), build(t, s, 2025, 3600).Hash())
}

func TestBuild_ShiftProblems(t *testing.T) {
	for name, change := range map[string]func(*Appliance){
		"essential":   func(a *Appliance) { a.Tier = "essential" },
		"all day":     func(a *Appliance) { a.Hours = "" },
		"standby":     func(a *Appliance) { a.StandbyW = 5 },
		"temperature": func(a *Appliance) { a.Temperature = &Temperature{CoolWPerC: 10} },
	} {
		a := one(func(a *Appliance) { a.Hours, a.Tier, a.Shifts = "09-17", "flexible", true })
		change(&a)
		_, problems := (&Spec{Appliances: map[string]Appliance{"it": a}}).Build(2025, 3600, make([]float64, 8760))
		require.Len(t, problems, 1, name)
		assert.Equal(t, "/appliances/it/shifts", problems[0].Pointer, name)
	}
}
