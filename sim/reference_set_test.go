package sim_test

import (
	"strconv"
	"strings"
	"time"

	"bankyear/sim/genset"
)

// What a generator set gives and burns, and the hours that people write.

const refDayS = 86400

// refRatedW is the rating in thin air and heat.
func refRatedW(g *genset.Spec, elevationM, airC float64) float64 {
	return 1000 * g.RatedKW * refDerate(g.AltitudeFractionPer100M/100, elevationM, g.AltitudeFreeM) * refDerate(g.HeatFractionPC, airC, g.HeatFreeC)
}

// refLeastW is the lowest load that it is run at.
func refLeastW(g *genset.Spec) float64 { return 1000 * g.RatedKW * g.MinLoadFraction }

// refFuelLPerH is the fuel at a power, W: F = f0·P_rated + f1·P (Skarstein & Uhlen
// 1989), or a map with straight lines between its points and on beyond them.
func refFuelLPerH(g *genset.Spec, w float64) float64 {
	kw := w / 1000
	points := g.FuelPoints
	if len(points) == 0 {
		return g.NoLoadLPerKWh*g.RatedKW + g.SlopeLPerKWh*kw
	}
	for len(points) > 2 && kw > points[1][0] {
		points = points[1:]
	}
	perKW := (points[1][1] - points[0][1]) / (points[1][0] - points[0][0])
	return max(0, points[0][1]+perKW*(kw-points[0][0]))
}

// refStopLoadW is the load above which a run does not stop that load may start, W: 80 %
// of what starts it, where nothing else is said (common practice, no source).
func refStopLoadW(g *genset.Spec) float64 {
	if g.StopLoadW == 0 {
		return g.StartLoadW * 80 / 100
	}
	return g.StopLoadW
}

// refClockS is a time of day such as 7, 07 or 19:30, seconds.
func refClockS(text string) int {
	hour, minute, _ := strings.Cut(strings.TrimSpace(text), ":")
	s := 0
	for unit, part := range map[int]string{3600: hour, 60: minute} {
		if part == "" {
			continue
		}
		n, err := strconv.Atoi(part)
		if err != nil {
			panic("reference: time " + text)
		}
		s += unit * n
	}
	return s
}

// refHours are stretches of the day such as 22-07,12-14: first second, first after.
func refHours(text string) (list [][2]int) {
	if text == "" {
		return nil
	}
	for _, part := range strings.Split(text, ",") {
		from, to, _ := strings.Cut(part, "-")
		list = append(list, [2]int{refClockS(from), refClockS(to)})
	}
	return list
}

// refWithin tells whether a second of the year lies in one of them.
func refWithin(list [][2]int, now int) bool {
	for _, span := range list {
		long := (span[1] - span[0] + refDayS) % refDayS
		if long == 0 {
			long = refDayS
		}
		if (now-span[0]+refDayS)%refDayS < long {
			return true
		}
	}
	return false
}

// refSecond is a local time as a second of its year.
func refSecond(local string) float64 {
	at, err := time.Parse("2006-01-02T15:04", local)
	if err != nil {
		panic(err)
	}
	return float64((at.YearDay()-1)*refDayS + at.Hour()*3600 + at.Minute()*60)
}
