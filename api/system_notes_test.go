package api

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/grid"
	"bankyear/weather"
)

// Time zones of 2024, from memory: the furthest from their sun are the west of China (2.9
// h), of Alaska in winter and Samoa, whose date is the next; a wrong sign is told.
func TestSystemNotes_Clock(t *testing.T) {
	for _, c := range []struct {
		longitude, offset float64
		noon              string
	}{
		{-73.15, -5, ""}, {76, 8, ""}, {-165, -9, ""}, {-171.8, 13, ""}, {179.9, -12, ""}, {0, 0, ""},
		{-73.15, 5, "21:52"}, {73.15, -5, "02:07"}, {149.1, 0, "02:03"},
	} {
		notes := systemNotes(&sim.System{Site: weather.Site{LongitudeDeg: c.longitude, UTCOffsetH: c.offset}})
		if c.noon == "" {
			assert.Empty(t, notes, "%v", c)
		} else if assert.Len(t, notes, 1, "%v", c) {
			assert.Contains(t, notes[0], "highest at about "+c.noon)
		}
	}
}

func TestSystemNotes_Planes(t *testing.T) {
	count := func(latitude float64, p array.Plane) int {
		return len(systemNotes(&sim.System{Site: weather.Site{LatitudeDeg: latitude}, Array: array.Spec{Planes: map[string]array.Plane{"roof": p}}}))
	}
	south, north, east := array.Plane{TiltDeg: 50, AzimuthDeg: 180}, array.Plane{TiltDeg: 50, AzimuthDeg: 350}, array.Plane{TiltDeg: 50, AzimuthDeg: 90}
	assert.Equal(t, []int{0, 1, 0}, []int{count(44, south), count(44, north), count(44, east)})
	assert.Equal(t, []int{1, 0, 0}, []int{count(-35, south), count(-35, north), count(-35, east)})
	flat, turned := array.Plane{TiltDeg: 10, AzimuthDeg: 180}, south
	turned.Tracker = new(array.Tracker)
	assert.Equal(t, []int{0, 0, 0}, []int{count(-35, flat), count(-35, turned), count(-10, south)}, "flat, on a tracker, in the tropics")
}

func TestSystemNotes_Dates(t *testing.T) {
	s := sim.System{CalendarYear: 2025, Grid: new(grid.Spec)}
	s.Bank.LinkFaults.Listed = []bank.LinkFault{{Start: "2024-12-31T20:00", Hours: 5}, {Start: "2024-12-31T20:00", Hours: 4}, {Start: "2025-06-01T00:00", Hours: 1}}
	s.Bank.ModulesOut = bank.ModulesOut{Modules: 1, Start: "2026-01-01T00:00"}
	s.Grid.Outages.Listed = []grid.Outage{{Start: "2025-12-31T23:00", Hours: 9}, {Start: "2023-05-01T00:00", Hours: 9}}
	assert.Equal(t, []string{
		"The fault of the link of 2024-12-31T20:00 lies outside 2025 and is no part of this year.",
		"The failure of modules of 2026-01-01T00:00 lies outside 2025 and is no part of this year.",
		"The outage of the grid of 2023-05-01T00:00 lies outside 2025 and is no part of this year.",
	}, systemNotes(&s))
}

// What is judged and not simulated is said beside the figures.
func TestSystemNotes_MakeUp(t *testing.T) {
	count := func(m bank.MakeUp) int { return len(systemNotes(&sim.System{Bank: bank.Spec{MakeUp: m}})) }
	assert.Equal(t, 0, count(bank.MakeUp{}))
	assert.Equal(t, 0, count(bank.MakeUp{InSeries: 1}))
	assert.Equal(t, 1, count(bank.MakeUp{BesideChemistry: "lead_acid_vented"}))
	assert.Equal(t, 1, count(bank.MakeUp{Older: 2}))
	assert.Equal(t, 1, count(bank.MakeUp{InSeries: 2}))
}
