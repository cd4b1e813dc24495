package genset

import (
	"strconv"

	"bankyear/sim/fault"
)

// Check records what is wrong with the meaning of the values: rules that start
// a set must lie below those that stop it (equal ones would start and stop
// without end), rungs of the voltage ladder must fall in voltage and in time,
// hours must parse and leave time to start in. Ranges of single values are not
// its business.
func (s *Spec) Check(c fault.Collector) {
	if s.MinRunS > s.MaxRunH*3600 {
		c.At("min_run_s").Add(s.MinRunS, "at most "+number(s.MaxRunH*3600), "s", "is longer than max_run_h")
	}
	if s.StartSoCFraction == 0 && len(s.StartBelow) == 0 && s.TopUp == nil && s.StartLoadW == 0 {
		c.Addf(nil, "has no rule that starts it: give start_soc_fraction, start_below, start_load_w or before_no_start")
	}
	if s.StopLoadW > 0 && s.StopLoadW >= s.StartLoadW {
		c.At("stop_load_w").Add(s.StopLoadW, "below "+number(s.StartLoadW), "W", "is not below start_load_w")
	}
	s.checkFuel(c)
	if s.StartSoCFraction > 0 && s.StopSoCFraction > 0 && s.StopSoCFraction <= s.StartSoCFraction {
		c.At("stop_soc_fraction").Add(s.StopSoCFraction, "above "+number(s.StartSoCFraction), "",
			"is not above start_soc_fraction")
	}
	s.checkLadder(c.At("start_below"))
	s.checkHours(c)
}

func (s *Spec) checkLadder(c fault.Collector) {
	for i := 1; i < len(s.StartBelow); i++ {
		above, rung, at := s.StartBelow[i-1], s.StartBelow[i], c.At(strconv.Itoa(i))
		if rung.V >= above.V {
			at.At("v").Add(rung.V, "below "+number(above.V), "V", "is not below the rung before it")
		}
		if rung.HoldS >= above.HoldS {
			at.At("hold_s").Add(rung.HoldS, "below "+number(above.HoldS), "s",
				"is not shorter than that of the rung before it, so the rung would never act")
		}
	}
}

func (s *Spec) checkHours(c fault.Collector) {
	var noStart []Span
	if s.NoStartHours != "" {
		var err error
		noStart, err = ParseHours(s.NoStartHours)
		if err != nil {
			c.At("no_start_hours").Add(s.NoStartHours, "hours such as 22-07 or 12-14,22:30-07", "", err.Error())
		}
		length := 0
		for _, span := range noStart {
			length += span.LengthS()
		}
		if length == DayS {
			c.At("no_start_hours").Add(s.NoStartHours, "less than the whole day", "", "leaves no time to start in")
		}
	}
	if e := s.Exercise; e != nil {
		at := c.At("exercise")
		if _, err := ParseTime(e.At); err != nil {
			at.At("at").Add(e.At, "a time such as 10:00", "", err.Error())
		}
		if e.RunS > s.MaxRunH*3600 {
			at.At("run_s").Add(e.RunS, "at most "+number(s.MaxRunH*3600), "s", "is longer than max_run_h")
		}
	}
	if s.TopUp == nil {
		return
	}
	c = c.At("before_no_start")
	if s.NoStartHours == "" {
		c.Addf(nil, "runs before no_start_hours, but there are none")
	}
	second, err := ParseTime(s.TopUp.At)
	switch {
	case err != nil:
		c.At("at").Add(s.TopUp.At, "a time such as 19:00", "", err.Error())
	case !MayStartAt(noStart, second%DayS):
		c.At("at").Add(s.TopUp.At, "a time outside "+s.NoStartHours, "", "lies in no_start_hours")
	}
	if s.TopUp.RunToSoCFraction <= s.TopUp.IfSoCBelow {
		c.At("run_to_soc_fraction").Add(s.TopUp.RunToSoCFraction, "above "+number(s.TopUp.IfSoCBelow), "",
			"is not above if_soc_below_fraction")
	}
}

// checkFuel wants a map that rises, and deliveries to a store.
func (s *Spec) checkFuel(c fault.Collector) {
	if n := len(s.FuelPoints); n == 1 {
		c.At("fuel_points_kw_l_per_h").Add(n, "at least 2", "pairs", "is no line")
	}
	for i := 1; i < len(s.FuelPoints); i++ {
		below, point, at := s.FuelPoints[i-1], s.FuelPoints[i], c.At("fuel_points_kw_l_per_h", strconv.Itoa(i))
		if point[0] <= below[0] {
			at.At("0").Add(point[0], "above "+number(below[0]), "kW", "does not rise")
		}
		if point[1] < below[1] {
			at.At("1").Add(point[1], "at least "+number(below[1]), "l/h", "falls with rising power")
		}
	}
	d := s.Deliveries
	if d == nil {
		return
	}
	at := c.At("fuel_deliveries")
	if s.FuelStoreL == 0 {
		at.Addf(nil, "bring fuel to no store: give fuel_store_l")
	}
	if len(d.On) == 0 && d.EveryDays == 0 && d.OrderBelowL == 0 {
		at.Addf(nil, "never come: give on, every_days or order_below_l")
	}
	for i, text := range d.On {
		if _, _, err := ParseDate(text); err != nil {
			at.At("on", strconv.Itoa(i)).Add(text, "a date such as 03-15", "", err.Error())
		}
	}
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
