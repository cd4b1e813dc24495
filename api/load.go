package api

import (
	"slices"

	"bankyear/profiles"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// demand is a load that passed its checks.
type demand struct {
	load *sim.Load
	hash string
}

// buildLoad makes the load's columns on the grid of the weather.
func buildLoad(spec *profiles.Spec, w *weather.Year) (*demand, fault.Faults) {
	load, problems := spec.Build(w.CalendarYear, w.StepS, w.AmbientC)
	var faults fault.Faults
	for _, p := range problems {
		faults = append(faults, fault.Fault{Pointer: p.Pointer, Value: p.Value, Allowed: p.Allowed, Unit: p.Unit, Message: p.Message})
	}
	if len(faults) > 0 {
		return nil, below(faults, "load")
	}
	return &demand{
		load: &sim.Load{ACEssentialW: load.ACEssentialW, ACFlexibleW: load.ACFlexibleW, DCEssentialW: load.DCEssentialW, DCFlexibleW: load.DCFlexibleW},
		hash: load.Hash(),
	}, nil
}

// loadFaultsAlone is what can be said of a load while its weather is at fault:
// everything but the length of its columns beside a file whose interval is not
// known.
func loadFaultsAlone(r *Request) fault.Faults {
	grid := &weather.Year{CalendarYear: r.CalendarYear, StepS: r.Weather.StepS}
	if !slices.Contains([]int{1800, 900, 600, 300, 60}, grid.StepS) {
		grid.StepS = defaultStepS
	}
	if grid.CalendarYear < 1950 || grid.CalendarYear > 2050 {
		return nil
	}
	grid.AmbientC = make([]float64, grid.Len())
	_, faults := buildLoad(&r.Load, grid)
	if r.Weather.Text != "" || r.Weather.File != "" {
		faults = slices.DeleteFunc(faults, func(f fault.Fault) bool { return f.Unit == "rows" })
	}
	return faults
}
