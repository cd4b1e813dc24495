package profiles

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// one is an appliance with the defaults of its tags.
func one(change func(*Appliance)) Appliance {
	a := Appliance{W: 100, Count: 1, DutyFraction: 1, PowerFactor: 1, Tier: "essential", Supply: "ac"}
	change(&a)
	return a
}

func build(t testing.TB, s *Spec, year, stepS int) *Load {
	t.Helper()
	load, problems := s.Build(year, stepS, nil)
	require.Empty(t, problems)
	return load
}

func alone(change func(*Appliance)) *Spec {
	return &Spec{Appliances: map[string]Appliance{"it": one(change)}}
}

// A pump of 750 W from 9 to 11: 1.5 kWh a day, by hand.
func TestBuild_Hours(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.W, a.Hours, a.Tier = 750, "09-11", "flexible" }), 2025, 3600)
	require.Len(t, load.ACFlexibleW, 8760)
	assert.Nil(t, load.ACEssentialW)
	assert.InDelta(t, 1.5, load.MeanKWhPerDay(), 1e-12)
	for row, w := range load.ACFlexibleW {
		want := 0.0
		if h := row % 24; h == 9 || h == 10 {
			want = 750
		}
		require.Equal(t, want, w, "row %d", row)
	}
}

func TestBuild_LeapYear(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.Months = "feb" }), 2024, 900)
	assert.Len(t, load.ACEssentialW, 8784*4)
	days := 0.0
	for _, w := range load.ACEssentialW {
		days += w / 100 / 96
	}
	assert.InDelta(t, 29, days, 1e-9)
}

// Days by hand from the calendar of 2025 (365 days from a Wednesday: 53
// Wednesdays, 52 of any other day).
func TestBuild_DaysOn(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*Appliance)
		occ    *Occupancy
		want   float64
	}{
		{"every day", func(*Appliance) {}, nil, 365},
		{"wednesdays", func(a *Appliance) { a.Weekdays = "wed" }, nil, 53},
		{"working days", func(a *Appliance) { a.Weekdays = "mon-fri" }, nil, 261},
		{"weekends", func(a *Appliance) { a.Weekdays = "sat,sun" }, nil, 104},
		{"over the week's end", func(a *Appliance) { a.Weekdays = "fri-mon" }, nil, 208},
		{"summer", func(a *Appliance) { a.Months = "may-sep" }, nil, 153},
		{"winter", func(a *Appliance) { a.Months = "nov-feb" }, nil, 120},
		{"july mondays", func(a *Appliance) { a.Weekdays, a.Months = "mon", "jul" }, nil, 4},
		{"follows nobody's coming and going", func(*Appliance) {}, &Occupancy{Weekdays: "sat,sun"}, 365},
		{"weekend house", func(a *Appliance) { a.Follows = true }, &Occupancy{Weekdays: "sat,sun"}, 104},
		{"summer house", func(a *Appliance) { a.Follows = true }, &Occupancy{Months: "jun-aug"}, 92},
		{"away over new year", func(a *Appliance) { a.Follows = true }, &Occupancy{Away: []string{"12-24/01-02"}}, 365 - 10},
		{"a day away", func(a *Appliance) { a.Follows = true }, &Occupancy{Away: []string{"07-04"}}, 364},
		{"a holiday on a Thursday is a Sunday", func(a *Appliance) { a.Weekdays = "sun" }, &Occupancy{Holidays: []string{"12-25"}}, 53},
		{"no work on it", func(a *Appliance) { a.Weekdays = "mon-fri" }, &Occupancy{Holidays: []string{"12-25/12-26"}}, 259},
		{"twice the people for a week", func(a *Appliance) { a.Follows = true }, &Occupancy{Guests: []Guests{{"07-01/07-07", 2}}}, 372},
		{"guests in an empty house", func(a *Appliance) { a.Follows = true }, &Occupancy{Months: "jan", Guests: []Guests{{"07-01/07-07", 1}}}, 38},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := alone(row.change)
			s.Occupancy = row.occ
			assert.InDelta(t, row.want, build(t, s, 2025, 3600).MeanKWhPerDay()*365/2.4, 1e-9)
		})
	}
}

// A span over midnight belongs to the day on which it starts: Fridays from 22
// to 2 light the first hours of Saturday. 31 December 2024 was a Tuesday.
func TestBuild_OverMidnight(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.Weekdays, a.Hours = "fri", "22-02" }), 2025, 3600)
	friday := 2 * 24 // 3 January 2025
	assert.Equal(t, []float64{0, 100, 100, 100, 100, 0}, load.ACEssentialW[friday+21:friday+27])
	assert.Equal(t, []float64{0, 0, 0}, load.ACEssentialW[friday:friday+3])

	load = build(t, alone(func(a *Appliance) { a.Weekdays, a.Hours = "tue", "22-02" }), 2025, 3600)
	assert.Equal(t, []float64{100, 100, 0}, load.ACEssentialW[:3], "runs in from the year before")
}

// By hand: 30 minutes of a 17:30–22 span lie in the hour from 17; a kettle of
// 2000 W at a duty of .1 is 200 W.
func TestBuild_PartsOfHours(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.W, a.DutyFraction, a.Hours = 2000, .1, "17:30-22" }), 2025, 3600)
	assert.Equal(t, []float64{0, 100, 200, 200, 200, 200, 0}, load.ACEssentialW[16:23])
}

// By hand: a printer of 400 W for 2 h a day at a duty of .25, 10 W whenever it
// does not run: .2 kWh running, 23.5 h · 10 W = .235 kWh standing by.
func TestBuild_Standby(t *testing.T) {
	load := build(t, alone(func(a *Appliance) { a.W, a.Hours, a.DutyFraction, a.StandbyW = 400, "9-11", .25, 10 }), 2025, 3600)
	assert.InDelta(t, .435, load.MeanKWhPerDay(), 1e-12)
	assert.InDelta(t, 10, load.ACEssentialW[8], 1e-12)
	assert.InDelta(t, .25*400+.75*10, load.ACEssentialW[9], 1e-12)
}

func TestBuild_SupplyAndTier(t *testing.T) {
	s := &Spec{
		DCEssentialW: constant(8760, 15),
		Appliances: map[string]Appliance{
			"ac_e": one(func(a *Appliance) { a.W = 1 }),
			"ac_f": one(func(a *Appliance) { a.W, a.Tier = 2, "flexible" }),
			"dc_e": one(func(a *Appliance) { a.W, a.Supply = 4, "dc" }),
			"dc_f": one(func(a *Appliance) { a.W, a.Tier, a.Supply = 8, "flexible", "dc" }),
		},
	}
	load := build(t, s, 2025, 3600)
	assert.Equal(t, []float64{1, 2, 19, 8}, []float64{load.ACEssentialW[0], load.ACFlexibleW[0], load.DCEssentialW[0], load.DCFlexibleW[0]})
	assert.Equal(t, 15.0, s.DCEssentialW[0], "what was given is not changed")
}

func constant(n int, w float64) []float64 {
	c := make([]float64, n)
	for i := range c {
		c[i] = w
	}
	return c
}

func TestBuild_SeriesOnGrid(t *testing.T) {
	hourly, fine := constant(8760, 0), constant(8760*4, 0)
	for i := range hourly {
		hourly[i] = float64(i)
	}
	for i := range fine {
		fine[i] = float64(i)
	}
	load := build(t, &Spec{ACEssentialW: hourly, ACFlexibleW: fine}, 2025, 900)
	assert.Equal(t, []float64{0, 0, 0, 0, 1, 1, 1, 1, 2}, load.ACEssentialW[:9])
	assert.Equal(t, 8759.0, load.ACEssentialW[8760*4-1])
	assert.Equal(t, fine, load.ACFlexibleW)
}

func TestBuild_Scale(t *testing.T) {
	s := alone(func(a *Appliance) { a.Hours = "0-12" })
	s.DCEssentialW = constant(8760, 50)
	s.ScaleKWhDay = 9
	load := build(t, s, 2025, 3600)
	assert.InDelta(t, 9, load.MeanKWhPerDay(), 1e-9)
	assert.InDelta(t, 2, load.ACEssentialW[0]/load.DCEssentialW[0], 1e-12, "the shape stays")

	s.Growth = &Growth{PerYearFraction: .03, Years: 10}
	assert.InDelta(t, 9*math.Pow(1.03, 10), build(t, s, 2025, 3600).MeanKWhPerDay(), 1e-9)
}

// Degree hours by hand: 60 W for each kelvin below 16 °C, nothing in mild air,
// never more than the appliance can draw.
func TestBuild_Temperature(t *testing.T) {
	s := alone(func(a *Appliance) {
		a.W, a.DutyFraction = 1200, 0
		a.Temperature = &Temperature{HeatBelowC: 16, HeatWPerC: 60, CoolAboveC: 26, CoolWPerC: 50}
	})
	air := constant(8760, 20)
	copy(air, []float64{16, 15, 0, -4, -30, 26, 30, 90})
	load, problems := s.Build(2025, 3600, air)
	require.Empty(t, problems)
	assert.Equal(t, []float64{0, 60, 960, 1200, 1200, 0, 200, 1200, 0}, load.ACEssentialW[:9])
}

func TestBuild_Starts(t *testing.T) {
	s := &Spec{Appliances: map[string]Appliance{
		"well": one(func(a *Appliance) {
			a.W, a.Hours, a.InrushMultiple, a.InrushS, a.StartsPerH, a.PowerFactor, a.Count = 750, "09-11", 6, .8, 2, .85, 2
		}),
		"lamp": one(func(*Appliance) {}),
		"fan":  one(func(a *Appliance) { a.PowerFactor, a.Tier, a.Hours, a.Weekdays = .7, "flexible", "23-01", "tue" }),
	}}
	load := build(t, s, 2025, 3600)
	require.Len(t, load.Starts, 2)
	fan, well := load.Starts[0], load.Starts[1]
	assert.Equal(t, "fan", fan.Appliance)
	assert.True(t, fan.Flexible)
	assert.Equal(t, 1.0, fan.InrushMultiple)
	assert.Equal(t, []bool{true, false}, fan.On[:2], "Tuesday's span runs into the year")
	assert.Equal(t, Start{Appliance: "well", Count: 2, RunningW: 750, MeanFraction: 1, PowerFactor: .85, InrushMultiple: 6, InrushS: .8, StartsPerH: 2, On: well.On}, well)
	assert.Equal(t, []bool{false, true, true, false}, well.On[8:12])
}

func TestBuild_Problems(t *testing.T) {
	s := &Spec{
		ACEssentialW: constant(8784, 1), DCFlexibleW: constant(24, 1),
		Occupancy: &Occupancy{
			Weekdays: "weekend", Months: "summer", Away: []string{"12-24/01-02", "13-01"}, Holidays: []string{"02-30"},
			Guests: []Guests{{"july", 2}},
		},
		Appliances: map[string]Appliance{
			"a": one(func(a *Appliance) { a.Hours, a.Weekdays, a.Months = "9", "mo", "may-" }),
			"b": one(func(a *Appliance) { a.StandbyW, a.InrushMultiple, a.DutyFraction = 200, 5, 0 }),
			"c": one(func(a *Appliance) { a.Temperature = &Temperature{} }),
		},
	}
	load, problems := s.Build(2025, 1800, nil)
	assert.Nil(t, load)
	var pointers []string
	for _, p := range problems {
		pointers = append(pointers, p.Pointer)
		assert.NotEmpty(t, p.Message)
	}
	assert.Equal(t, []string{
		"/occupancy/weekdays", "/occupancy/months", "/occupancy/holidays/0", "/occupancy/away/1", "/occupancy/guests/0/dates",
		"/ac_essential_w", "/dc_flexible_w",
		"/appliances/a/hours", "/appliances/a/weekdays", "/appliances/a/months",
		"/appliances/b/standby_w", "/appliances/b/inrush_s", "/appliances/b/duty_fraction",
		"/appliances/c/temperature",
	}, pointers)
	assert.Equal(t, 8784, problems[5].Value)
	assert.Equal(t, "8760 (one for each hour) or 17520 (one for each interval of the weather)", problems[5].Allowed)

	_, problems = (&Spec{}).Build(2025, 3600, nil)
	assert.Len(t, problems, 1)
	_, problems = (&Spec{ACEssentialW: constant(8760, 0), ScaleKWhDay: 5}).Build(2025, 3600, nil)
	require.Len(t, problems, 1)
	assert.Equal(t, "/scale_to_kwh_per_day", problems[0].Pointer)
	assert.Panics(t, func() { (&Spec{}).Build(2025, 7, nil) })
	assert.Panics(t, func() { (&Spec{}).Build(2025, 3600, []float64{1}) })
}
