package weather

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// MonthShift is how far a month's irradiance lies from solar noon.
type MonthShift struct {
	Month   int     `json:"month" minimum:"1" maximum:"12"`
	ShiftM  float64 `json:"shift_min" doc:"Minutes that the irradiance comes late (positive) or early."`
	Verdict string  `json:"verdict" enum:"pass,caution,fail,not_tested"`
}

// Minutes of shift from which a month cautions and fails. The sound open years
// stay within 9 minutes; a wrong interval label is half or a whole interval.
const shiftCautionMin, shiftFailMin = 15, 25

// envelopeRank: the third brightest day stands for a clear one at each time of
// day, so that one bad value decides nothing.
const envelopeRank = 3

// timeShift holds the middle of the day's light against the sun. The brightest
// values of each hour of the day in a month make a clear day, which lies even
// about solar noon whatever the clouds do; the distance of its centroid from
// that of a clear-sky model, taken the same way, is the shift.
func (r *report) timeShift() QualityCheck {
	c := QualityCheck{Name: "time_shift", Rule: fmt.Sprintf("The bright days of each month lie within %d min of the sun (from %d min: fail)", shiftCautionMin, shiftFailMin)}
	if r.y.GHI == nil {
		return c.without("horizontal irradiance")
	}
	measured, clear := r.hourly(r.y.GHI), r.hourly(r.clear.GHI)
	hour := 0
	var names []string
	for m := 1; m <= 12; m++ {
		hours := daysIn(r.y.CalendarYear, m) * 24
		one := MonthShift{Month: m, Verdict: VerdictNotTested}
		if shift, ok := shiftOf(measured[hour:hour+hours], clear[hour:hour+hours]); ok {
			one.ShiftM = math.Round(shift*10) / 10
			one.Verdict = shiftVerdict(shift)
			c.Tested++
		}
		if one.Verdict == VerdictCaution || one.Verdict == VerdictFail {
			c.Failed++
			names = append(names, time.Month(m).String())
		}
		c.Months = append(c.Months, one)
		hour += hours
	}
	c.Verdict, c.Message = VerdictPass, "Every month lies even about solar noon."
	switch {
	case c.Tested == 0:
		c.Verdict, c.Message = VerdictNotTested, "No month has enough light."
	case c.Failed > 0:
		c.Verdict = VerdictCaution
		for _, m := range c.Months {
			if m.Verdict == VerdictFail {
				c.Verdict = VerdictFail
			}
		}
		c.Message = "The light is shifted in time in " + strings.Join(names, ", ") + ": a wrong interval label, UTC offset or daylight saving."
	}
	return c
}

func shiftVerdict(minutes float64) string {
	switch off := math.Abs(minutes); {
	case off >= shiftFailMin:
		return VerdictFail
	case off >= shiftCautionMin:
		return VerdictCaution
	}
	return VerdictPass
}

// hourly takes the means of a column over whole hours.
func (r *report) hourly(values []float64) []float64 {
	per := 3600 / r.y.StepS
	out := make([]float64, len(values)/per)
	for h := range out {
		for _, x := range values[h*per : (h+1)*per] {
			out[h] += x / float64(per)
		}
	}
	return out
}

// shiftOf compares the bright days of one month. ok is false in a month with
// no light to speak of.
func shiftOf(measured, clear []float64) (minutes float64, ok bool) {
	noon, peak := centroid(envelope(clear), 12)
	if peak < 100 {
		return 0, false
	}
	noon, _ = centroid(envelope(clear), noon)
	centre, peak := centroid(envelope(measured), noon)
	if peak < 20 {
		return 0, false
	}
	return (centre - noon) * 60, true
}

// envelope is the third highest value of each hour of the day.
func envelope(values []float64) [24]float64 {
	var out [24]float64
	for k := range out {
		var day []float64
		for i := k; i < len(values); i += 24 {
			day = append(day, values[i])
		}
		slices.Sort(day)
		out[k] = day[len(day)-envelopeRank]
	}
	return out
}

// centroid is the hour of the middle of a day's light, counted in the 24 hours
// about a given one, and the day's peak.
func centroid(day [24]float64, about float64) (hour, peak float64) {
	weight, sum := 0.0, 0.0
	for k, x := range day {
		at := math.Mod(float64(k)+0.5-about+36, 24) - 12
		weight += x
		sum += x * at
		peak = max(peak, x)
	}
	if weight == 0 {
		return about, 0
	}
	return about + sum/weight, peak
}

// daysIn is the length of a month.
func daysIn(year, month int) int {
	return time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}
