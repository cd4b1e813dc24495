package api

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"bankyear/sim"
	"bankyear/sim/bank"
)

// systemNotes are what is allowed in a system and yet seldom meant: a clock that does not
// belong to the longitude, planes that turn their back on the midday sun, dates that lie
// outside the calendar year; and what is stated and not simulated, for a year says nothing
// of it.
func systemNotes(s *sim.System) []string {
	return slices.Concat(clockNotes(s), planeNotes(s), dateNotes(s), makeUpNotes(s))
}

// makeUpNotes say that a bank of unequal parts is run as equal ones.
func makeUpNotes(s *sim.System) []string {
	if m := &s.Bank.MakeUp; m.InSeries <= 1 && m.Older == 0 && m.BesideChemistry == "" {
		return nil
	}
	return []string{"The bank is run as equal modules of one age in parallel: what bank.make_up says of modules in series, of older ones and of another chemistry on the bus is judged by the fit check alone. Read it before these figures."}
}

// clockOffH is how far a site's standard time may be from its mean solar time: no country
// is further than about three hours and a quarter (from memory).
const clockOffH = 3.5

// clockNotes holds the clock against the longitude: 15° an hour.
func clockNotes(s *sim.System) []string {
	off := math.Remainder(s.Site.UTCOffsetH-s.Site.LongitudeDeg/15, 24)
	if math.Abs(off) <= clockOffH {
		return nil
	}
	noon := time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC).Add(time.Duration(off * float64(time.Hour))).Format("15:04")
	return []string{fmt.Sprintf("At longitude %s° and a UTC offset of %s h the sun is highest at about %s of the site's time: look at the signs of both. Weather and load are taken in that time.", exact(s.Site.LongitudeDeg), exact(s.Site.UTCOffsetH), noon)}
}

// planeNotes names the fixed, tilted planes outside the tropics that face within 60° of
// the pole. The tilt and the angle are common practice, no source.
func planeNotes(s *sim.System) (out []string) {
	const tropicDeg, leastTiltDeg, nearPoleDeg = 23.5, 15, 60
	lat, pole := s.Site.LatitudeDeg, 0.
	if lat < 0 {
		pole = 180
	}
	for _, name := range slices.Sorted(maps.Keys(s.Array.Planes)) {
		p := s.Array.Planes[name]
		if math.Abs(lat) > tropicDeg && p.Tracker == nil && p.TiltDeg >= leastTiltDeg && math.Abs(math.Remainder(p.AzimuthDeg-pole, 360)) < nearPoleDeg {
			out = append(out, fmt.Sprintf("Plane %s faces away from the midday sun: azimuth %s° at latitude %s°. Azimuths are clockwise from north.", name, exact(p.AzimuthDeg), exact(lat)))
		}
	}
	return out
}

// dateNotes names what is listed by date and does not touch the calendar year.
func dateNotes(s *sim.System) (out []string) {
	from := time.Date(s.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)
	to := from.AddDate(1, 0, 0)
	outside := func(what, start string, at time.Time, err error, hours float64) {
		if end := at.Add(time.Duration(hours * float64(time.Hour))); err == nil && (!at.Before(to) || !end.After(from)) {
			out = append(out, fmt.Sprintf("%s of %s lies outside %d and is no part of this year.", what, start, s.CalendarYear))
		}
	}
	b := &s.Bank
	faults := func(what string, list []bank.LinkFault) {
		for i := range list {
			at, err := list[i].At()
			outside(what, list[i].Start, at, err, list[i].Hours)
		}
	}
	faults("The fault of the link", b.LinkFaults.Listed)
	faults("The fault of the gateway", b.Link.Gateway.Faults.Listed)
	if c := b.LinkChain; c != nil {
		at, err := c.At()
		outside("The break of the link's chain", c.Start, at, err, c.Hours)
	}
	if m := &b.ModulesOut; m.Modules > 0 {
		at, err := m.At()
		outside("The failure of modules", m.Start, at, err, 8784)
	}
	if s.Grid != nil {
		for i := range s.Grid.Outages.Listed {
			o := &s.Grid.Outages.Listed[i]
			at, err := o.At()
			outside("The outage of the grid", o.Start, at, err, o.Hours)
		}
	}
	return out
}
