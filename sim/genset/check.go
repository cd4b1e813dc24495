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
	if s.StartSoCFraction == 0 && len(s.StartBelow) == 0 && s.TopUp == nil {
		c.Addf(nil, "has no rule that starts it: give start_soc_fraction, start_below or before_no_start")
	}
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

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
