package profiles

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// steps are the intervals that a year can have, in seconds.
var steps = []int{3600, 1800, 900, 600, 300, 60}

// Build turns the spec into columns for a calendar year on a grid of stepS
// seconds (3600, 1800, 900, 600, 300 or 60; anything else panics). ambientC is
// the outdoor air on the same grid, for appliances that run by temperature; it
// may be nil when there are none.
//
// It reports every problem of meaning: columns of a wrong length, hours, names
// and dates that do not read, metered data that make no year, nothing to build
// from. Ranges of single values have been checked by the tags before. With
// problems there is no load.
func (s *Spec) Build(calendarYear, stepS int, ambientC []float64) (*Load, []Problem) {
	if !slices.Contains(steps, stepS) {
		panic(fmt.Sprintf("profiles: no grid has steps of %d s", stepS))
	}
	p := problems{list: new([]Problem)}
	days := calendar(calendarYear, s.Occupancy, p)
	b := builder{stepS: stepS, days: days, rows: (len(days) - 1) * dayS / stepS, ambientC: ambientC, load: &Load{StepS: stepS}}
	if ambientC != nil && len(ambientC) != b.rows {
		panic(fmt.Sprintf("profiles: %d air temperatures for %d rows", len(ambientC), b.rows))
	}
	if len(s.ACEssentialW)+len(s.ACFlexibleW)+len(s.DCEssentialW)+len(s.DCFlexibleW)+len(s.Appliances) == 0 && s.Meter == nil {
		p.add(nil, "", "", "holds no load: give a series such as ac_essential_w, appliances or a meter")
	}
	b.series(s, p)
	if s.Meter != nil {
		b.meter(s.Meter, p.at("meter"))
	}
	for _, name := range slices.Sorted(maps.Keys(s.Appliances)) {
		a := s.Appliances[name]
		b.appliance(name, &a, p.at("appliances", name))
	}
	b.scale(s, p)
	if len(*p.list) > 0 {
		return nil, *p.list
	}
	return b.load, nil
}

type builder struct {
	stepS, rows int
	days        []day
	ambientC    []float64
	load        *Load
}

// series copies the given columns, hourly ones onto the grid.
func (b *builder) series(s *Spec, p problems) {
	hours := (len(b.days) - 1) * 24
	allowed := fmt.Sprint(hours)
	if b.rows != hours {
		allowed = fmt.Sprintf("%d (one for each hour) or %d (one for each interval of the weather)", hours, b.rows)
	}
	given := [4][]float64{s.ACEssentialW, s.ACFlexibleW, s.DCEssentialW, s.DCFlexibleW}
	names := [4]string{"ac_essential_w", "ac_flexible_w", "dc_essential_w", "dc_flexible_w"}
	for i, column := range b.load.columns() {
		switch n := len(given[i]); n {
		case 0:
		case b.rows:
			*column = slices.Clone(given[i])
		case hours:
			*column = make([]float64, b.rows)
			for row := range *column {
				(*column)[row] = given[i][row*b.stepS/3600]
			}
		default:
			p.at(names[i]).add(n, allowed, "rows", "has a wrong number of rows for the calendar year")
		}
	}
}

// scale brings the whole load to the daily energy that was asked for, and
// grows it.
func (b *builder) scale(s *Spec, p problems) {
	factor := 1.0
	if s.ScaleKWhDay > 0 && len(*p.list) == 0 {
		mean := b.load.MeanKWhPerDay()
		if mean == 0 {
			p.at("scale_to_kwh_per_day").add(s.ScaleKWhDay, "", "kWh/d", "cannot be reached: there is no load to scale")
			return
		}
		factor = s.ScaleKWhDay / mean
	}
	if s.Growth != nil {
		factor *= math.Pow(1+s.Growth.PerYearFraction, s.Growth.Years)
	}
	if factor == 1 {
		return
	}
	for _, column := range b.load.columns() {
		for i := range *column {
			(*column)[i] *= factor
		}
	}
	for i := range b.load.Starts { // it runs more or less; what it takes when it runs stays
		b.load.Starts[i].MeanFraction *= factor
	}
	for i := range b.load.Shifts {
		b.load.Shifts[i].scaled(factor)
	}
}
