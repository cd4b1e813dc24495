package weather

import (
	"math"
	"sync/atomic"
	"time"
)

// SolarConstantWM2 is the extraterrestrial irradiance at 1 AU: Kopp & Lean
// 2011, Geophys. Res. Lett. 38, L01706 (1360.8, rounded).
const SolarConstantWM2 = 1361.0

// Sun is the sun over a weather year, one row an interval of it.
type Sun struct {
	// ZenithDeg and AzimuthDeg are the true topocentric position (SunPosition).
	ZenithDeg, AzimuthDeg []float64
	// East, North and CosZenith are the same as a unit vector. CosZenith is
	// negative while the sun is down.
	East, North, CosZenith []float64
	// ExtraterrestrialWM2 is the irradiance normal to the sun outside the
	// atmosphere, day and night.
	ExtraterrestrialWM2 []float64
	// AirMass is the relative optical air mass at sea level of Kasten & Young
	// 1989, Applied Optics 28, 4735: 1/(cos z + 0.50572 (96.07995 − z)^−1.6364),
	// z in degrees; 0 while the sun is down.
	AirMass []float64
	// SunlitFraction is the part of the interval in which the sun's centre is
	// above the horizon, 0 to 1.
	SunlitFraction []float64
}

// Sun computes the sun for each interval at the middle of its sunlit part,
// which is the interval's middle except at sunrise and sunset. A mean over the
// interval then belongs to a sun that is really up: mid-hour positions would
// place a few hundred bright hours a year below the horizon.
func (y *Year) Sun() *Sun {
	if kept := y.keptSun(); kept != nil {
		return kept
	}
	return y.sun(true)
}

// SunAtMiddle computes the sun at the middle of each interval throughout, as
// most published plane totals do. SunlitFraction is 0 or 1.
func (y *Year) SunAtMiddle() *Sun { return y.sun(false) }

// sun walks the grid day by day. The time of day of a row, and with it the
// hour angle of the mean sun, is the same every day and is tabulated.
func (y *Year) sun(sunlit bool) *Sun {
	n := y.Len()
	s := newSun(n)
	perDay := 86400 / y.StepS
	frame := newLocalFrame(y.Site.LatitudeDeg)
	nodes := sunNodes(y.CalendarYear)
	half := math.Pi / float64(perDay) // half an interval as an angle

	rows := make([]rowOfDay, perDay)
	for j := range rows {
		rows[j] = newRowOfDay(y.Site, (float64(j)+0.5)/float64(perDay))
	}
	inParts(n, func(from, to int) {
		for i := from; i < to; i++ {
			row := &rows[i%perDay]
			day := float64(i/perDay) + row.utcDay
			node := interpolate(nodes, day)
			lit := 1.0
			v := frame.direction(node, row.cosMean, row.sinMean)
			if sunlit && math.Abs(v.up) < frame.cos*half+2*parallax {
				mean := math.Atan2(row.sinMean, row.cosMean)
				var shift float64
				shift, lit = sunlitPart(frame, node, mean, half)
				if shift != 0 {
					node = interpolate(nodes, day+shift/turn)
					v = frame.direction(node, math.Cos(mean+shift), math.Sin(mean+shift))
				}
			}
			s.set(i, v, lit, node.r)
		}
	})
	return s
}

// rowOfDay is what the rows at one time of day share.
type rowOfDay struct {
	utcDay           float64 // the middle, in days since 0 h UTC on the local date
	cosMean, sinMean float64 // of the local hour angle of the mean sun there
}

func newRowOfDay(site Site, localDay float64) rowOfDay {
	r := rowOfDay{utcDay: localDay - site.UTCOffsetH/24}
	r.sinMean, r.cosMean = math.Sincos(turn * (r.utcDay - 0.5 + site.LongitudeDeg/360))
	return r
}

// nodesBefore days lie before 1 January in the list of nodes: a day for the
// UTC offset and a day for the interpolation.
const nodesBefore = 2

// sunNodes lists the sun at 0 h UTC of each day that a calendar year needs. Those asked
// for last are kept: all sites share them, and most requests are of one year.
func sunNodes(calendarYear int) []sunNode {
	if last := lastNodes.Load(); last != nil && last.calendarYear == calendarYear {
		return last.nodes
	}
	first := daysSinceJ2000(time.Date(calendarYear, 1, 1, 0, 0, 0, 0, time.UTC))
	nodes := make([]sunNode, HoursInYear(calendarYear)/24+2*nodesBefore+1)
	for d := range nodes {
		nodes[d] = apparentSun(first + float64(d-nodesBefore))
	}
	lastNodes.Store(&nodesOfYear{calendarYear, nodes})
	return nodes
}

// nodesOfYear are nodes that nobody changes.
type nodesOfYear struct {
	calendarYear int
	nodes        []sunNode
}

var lastNodes atomic.Pointer[nodesOfYear]

// interpolate is the parabola through three nodes; day counts from 1 January
// 0 h UTC. Its error is under 1e-6 (0.0001°).
func interpolate(nodes []sunNode, day float64) sunNode {
	day += nodesBefore
	k := int(day)
	p := day - float64(k)
	a, b, c := &nodes[k-1], &nodes[k], &nodes[k+1]
	wa, wb, wc := p*(p-1)/2, 1-p*p, p*(p+1)/2
	return sunNode{
		wa*a.x + wb*b.x + wc*c.x,
		wa*a.y + wb*b.y + wc*c.y,
		wa*a.z + wb*b.z + wc*c.z,
		wa*a.r + wb*b.r + wc*c.r,
	}
}

// sunlitPart says where the sunlit part of an interval lies: the shift of its
// middle from the interval's (hour angle, radians) and its share of the
// interval. The sun is up while |H| < H0, cos H0 = −tan φ tan δ (less the
// parallax). When the sun sets and rises in the same interval the longer part
// gives the middle.
func sunlitPart(f localFrame, n sunNode, mean, half float64) (shift, fraction float64) {
	cosDeclination := math.Sqrt(n.x*n.x + n.y*n.y)
	set := math.Acos(max(-1, min(1, (parallax/n.r-f.sin*n.z)/(f.cos*cosDeclination))))
	switch set {
	case 0: // polar night
		return 0, 0
	case math.Pi: // polar day
		return 0, 1
	}
	h := math.Remainder(mean+math.Atan2(n.y, n.x), turn)
	longest := 0.0
	for k := -1.0; k <= 1; k++ {
		lo, hi := max(h-half, k*turn-set), min(h+half, k*turn+set)
		if hi <= lo {
			continue
		}
		fraction += (hi - lo) / (2 * half)
		if hi-lo > longest {
			longest = hi - lo
			shift = (lo+hi)/2 - h
		}
	}
	return shift, min(fraction, 1)
}

func newSun(n int) *Sun {
	all := make([]float64, 8*n)
	column := func() []float64 {
		c := all[:n:n]
		all = all[n:]
		return c
	}
	return &Sun{
		ZenithDeg: column(), AzimuthDeg: column(), East: column(), North: column(), CosZenith: column(),
		ExtraterrestrialWM2: column(), AirMass: column(), SunlitFraction: column(),
	}
}

func (s *Sun) set(i int, v vector, lit, distanceAU float64) {
	zenith := v.zenithDeg()
	s.ZenithDeg[i], s.AzimuthDeg[i] = zenith, v.azimuthDeg()
	s.East[i], s.North[i], s.CosZenith[i] = v.east, v.north, v.up
	s.ExtraterrestrialWM2[i] = SolarConstantWM2 / (distanceAU * distanceAU)
	if v.up > 0 {
		s.SunlitFraction[i] = lit
		s.AirMass[i] = 1 / (v.up + 0.50572*math.Exp(-1.6364*math.Log(96.07995-zenith)))
	}
}
