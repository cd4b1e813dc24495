package genset

import (
	"math"
	"slices"
)

// NoStart is the stretches of every day in which the set may not start; nil
// when it always may. It panics when the hours do not parse: Check reports
// that.
func (s *Spec) NoStart() []Span {
	if s.NoStartHours == "" {
		return nil
	}
	return MustHours(s.NoStartHours)
}

// MustHours is ParseHours for hours that a Check has passed; it panics on others.
func MustHours(text string) []Span {
	spans, err := ParseHours(text)
	if err != nil {
		panic("genset: hours not checked: " + err.Error())
	}
	return spans
}

// MayStartAt tells whether a second of the day, 0 to 86399, lies outside the
// hours in which the set may not start.
func MayStartAt(noStart []Span, second int) bool {
	return !slices.ContainsFunc(noStart, func(s Span) bool { return s.Has(second) })
}

// AtS is the time of day of the run, in seconds after midnight. It panics when
// the time does not parse: Check reports that.
func (t *TopUp) AtS() int {
	second, err := ParseTime(t.At)
	if err != nil {
		panic("genset: before_no_start.at not checked: " + err.Error())
	}
	return second % DayS
}

// AtS is the time of day of an exercise, likewise.
func (e *Exercise) AtS() int {
	second, err := ParseTime(e.At)
	if err != nil {
		panic("genset: exercise.at not checked: " + err.Error())
	}
	return second % DayS
}

// StopsBelowW is the AC load above which the set does not stop, +Inf where load
// does not start it.
func (s *Spec) StopsBelowW() float64 {
	switch {
	case s.StartLoadW == 0:
		return math.Inf(1)
	case s.StopLoadW > 0:
		return s.StopLoadW
	}
	return 0.8 * s.StartLoadW
}
