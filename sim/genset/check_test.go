package genset

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/fault"
)

func TestCheck(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*Spec)
		want   []string // pointers at fault
	}{
		{"as it is", func(*Spec) {}, nil},
		{"no rule", func(s *Spec) { s.StartSoCFraction = 0 }, []string{""}},
		{"equal thresholds", func(s *Spec) { s.StopSoCFraction = .25 }, []string{"/stop_soc_fraction"}},
		{"stop below start", func(s *Spec) { s.StopSoCFraction = .2 }, []string{"/stop_soc_fraction"}},
		{"stops on tail only", func(s *Spec) { s.StopSoCFraction, s.StopTailA = 0, 5 }, nil},
		{"runs longer than it may", func(s *Spec) { s.MinRunS = 9 * 3600 }, []string{"/min_run_s"}},
		{"ladder", func(s *Spec) {
			s.StartBelow = []VoltageStart{{V: 51.2, HoldS: 900}, {V: 50.4, HoldS: 120}, {V: 49.6, HoldS: 15}}
		}, nil},
		{"equal rungs", func(s *Spec) { s.StartBelow = []VoltageStart{{V: 51.2, HoldS: 900}, {V: 51.2, HoldS: 120}} }, []string{"/start_below/1/v"}},
		{"rising ladder", func(s *Spec) { s.StartBelow = []VoltageStart{{V: 50.4, HoldS: 120}, {V: 51.2, HoldS: 900}} },
			[]string{"/start_below/1/v", "/start_below/1/hold_s"}},
		{"hours that do not parse", func(s *Spec) { s.NoStartHours = "22 to 07" }, []string{"/no_start_hours"}},
		{"the whole day", func(s *Spec) { s.NoStartHours = "07-22,22-07" }, []string{"/no_start_hours"}},
		{"top-up", func(s *Spec) { s.NoStartHours, s.TopUp = "22-07", &TopUp{"19:00", .5, .8} }, nil},
		{"top-up before nothing", func(s *Spec) { s.TopUp = &TopUp{"19:00", .5, .8} }, []string{"/before_no_start"}},
		{"top-up too late", func(s *Spec) { s.NoStartHours, s.TopUp = "22-07", &TopUp{"22:00", .5, .8} }, []string{"/before_no_start/at"}},
		{"top-up at midnight", func(s *Spec) { s.NoStartHours, s.TopUp = "22-07", &TopUp{"24:00", .5, .8} }, []string{"/before_no_start/at"}},
		{"load that stops no lower", func(s *Spec) { s.StartLoadW, s.StopLoadW = 3000, 3000 }, []string{"/stop_load_w"}},
		{"started by load alone", func(s *Spec) { s.StartSoCFraction, s.StartLoadW = 0, 3000 }, nil},
		{"fuel map", func(s *Spec) { s.FuelPoints = [][2]float64{{0, .5}, {8, 3}} }, nil},
		{"fuel map of a point", func(s *Spec) { s.FuelPoints = [][2]float64{{0, .5}} }, []string{"/fuel_points_kw_l_per_h"}},
		{"fuel map that falls", func(s *Spec) { s.FuelPoints = [][2]float64{{0, .5}, {0, .6}, {4, .4}} }, []string{"/fuel_points_kw_l_per_h/1/0", "/fuel_points_kw_l_per_h/2/1"}},
		{"deliveries to no store", func(s *Spec) { s.Deliveries = &Deliveries{EveryDays: 30} }, []string{"/fuel_deliveries"}},
		{"deliveries that never come", func(s *Spec) { s.FuelStoreL, s.Deliveries = 100, &Deliveries{L: 20} }, []string{"/fuel_deliveries"}},
		{"dates", func(s *Spec) { s.FuelStoreL, s.Deliveries = 100, &Deliveries{On: []string{"02-29", "3-1", "13-01"}} }, []string{"/fuel_deliveries/on/1", "/fuel_deliveries/on/2"}},
		{"exercise", func(s *Spec) { s.Exercise = &Exercise{30, 1200, "10:00"} }, nil},
		{"exercise too long, at no time", func(s *Spec) { s.Exercise = &Exercise{30, 9 * 3600, "ten"} }, []string{"/exercise/at", "/exercise/run_s"}},
		{"all at once", func(s *Spec) {
			s.MinRunS, s.StopSoCFraction, s.NoStartHours = 1e6, .1, "x"
			s.StartBelow = []VoltageStart{{V: 50, HoldS: 60}, {V: 50, HoldS: 60}}
			s.TopUp = &TopUp{"7pm", .5, .5}
		}, []string{"/min_run_s", "/stop_soc_fraction", "/start_below/1/v", "/start_below/1/hold_s", "/no_start_hours",
			"/before_no_start/at", "/before_no_start/run_to_soc_fraction"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := diesel()
			row.change(s)
			c := fault.New()
			s.Check(c)
			var got []string
			for _, f := range c.Faults() {
				got = append(got, f.Pointer)
				assert.NotEmpty(t, f.Message)
			}
			assert.Equal(t, row.want, got)
		})
	}
}

func TestRules(t *testing.T) {
	s := diesel()
	assert.Equal(t, []string{
		"Starts when the reported SoC falls to 25 %.",
		"Stops when the reported SoC reaches 80 %, when the bank is full (its BMS says so, or the AC charger floats) or after 8 h on load, whichever comes first, but not before 1 h on load.",
	}, s.Rules())

	s.StartBelow = []VoltageStart{{V: 51.2, HoldS: 900}, {V: 49.6, HoldS: 15}}
	s.NoStartHours = "12-13,22:30-07"
	s.OverrideWhenDark = true
	s.TopUp = &TopUp{"19:00", .5, .8}
	s.StopTailA = 5
	s.MinRunS = 1800
	assert.Equal(t, []string{
		"Starts when the reported SoC falls to 25 %, unless it is between 12:00 and 13:00 or between 22:30 and 07:00 and the site is lit.",
		"Starts when the bus stays below 51.2 V for 15 min, unless it is between 12:00 and 13:00 or between 22:30 and 07:00 and the site is lit.",
		"Starts when the bus stays below 49.6 V for 15 s, unless it is between 12:00 and 13:00 or between 22:30 and 07:00 and the site is lit.",
		"Starts at 19:00 when the reported SoC is below 50 %, and runs until it is 80 %.",
		"Stops when the reported SoC reaches 80 %, when the bank's current falls to 5 A in absorption, when the bank is full (its BMS says so, or the AC charger floats) or after 8 h on load, whichever comes first, but not before 30 min on load.",
	}, s.Rules())

	s = diesel()
	s.StartLoadW, s.StartLoadHoldS, s.StopRefusedS, s.DailyCapH = 3000, 60, 600, 4
	s.Exercise = &Exercise{30, 1200, "10:00"}
	assert.Equal(t, []string{
		"Starts when the reported SoC falls to 25 %.",
		"Starts when the AC load stays above 3000 W for 1 min.",
		"Runs at 10:00 for 20 min when it has not run that long for 30 days.",
		"Stops when the reported SoC reaches 80 %, when the bank is full (its BMS says so, or the AC charger floats) or after 8 h on load, whichever comes first, but not before 1 h on load.",
		"Does not stop while the AC load is above 2400 W; a run that the load started stops once it is below.",
		"Stops when the bank has refused all charge for 10 min, the load fits the inverter and no rule would start it again.",
		"Runs on load for 4 h a day at most.",
	}, s.Rules())

	s = &Spec{RatedKW: 8, MaxRunH: 1.5, StartBelow: []VoltageStart{{V: 25.6, HoldS: 90}, {V: 25.2, HoldS: 60, LoadCorrected: true}}}
	assert.Equal(t, []string{
		"Starts when the bus stays below 25.6 V for 90 s.",
		"Starts when the bus, without the sag of the load, stays below 25.2 V for 1 min.",
		"Stops when the bank is full (its BMS says so, or the AC charger floats) or after 90 min on load, whichever comes first.",
	}, s.Rules())
}
