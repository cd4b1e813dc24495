package sim

import (
	"math"
	"reflect"
	"slices"
	"time"

	"bankyear/sim/array"
	"bankyear/weather"
)

// Compile makes the plan of a system that passed Check, with a weather year and
// a load on the same grid. It panics where their lengths differ. Sun and planes
// are most of the work: CompileLike takes them over.
func Compile(s *System, w *weather.Year, l *Load) *Plan { return CompileLike(s, w, l) }

// CompileLike is Compile, and takes over from the first of other plans that has
// them what does not differ: the sun and the planes where site, array and weather
// are the same, and every row where the load, the inverter, the generator and the
// air around the bank are too. The plan is the same as Compile's. Weather and
// load are the same when they are the same objects.
func CompileLike(s *System, w *weather.Year, l *Load, others ...*Plan) *Plan {
	n := w.Len()
	for _, col := range [][]float64{l.ACEssentialW, l.ACFlexibleW, l.DCEssentialW, l.DCFlexibleW} {
		if col != nil && len(col) != n {
			panic("sim: load and weather have different lengths")
		}
	}
	s = asOneInverter(s)
	p := &Plan{stepS: s.Controls.InternalStepS, sagOhm: s.Bank.NominalOhm(), from: originOf(s, w, l)}
	if p.stepS == 0 {
		p.stepS = float64(w.StepS)
	}
	p.inverter = compileInverter(&s.Inverter)
	p.sky = p.from.shared(others)
	if p.sky == nil {
		p.sky = compileSky(p, s, w, l, p.from.sunlit(others))
	}
	compileElectrical(p, s, w, l, slices.DeleteFunc(slices.Clone(others), func(q *Plan) bool { return q.sky != p.sky })...)
	compileFewer(p, s, w, l)
	c := &compiling{w, l}
	compileCascade(p, s, c)
	compileChain(p, s, w, c)
	return p
}

// asOneInverter is the system with the units in parallel as one inverter.
func asOneInverter(s *System) *System {
	if s.Inverter.Units <= 1 {
		return s
	}
	one := *s
	one.Inverter = s.Inverter.Together()
	return &one
}

// compileElectrical makes everything but the rows. Twins are plans on the same ones.
func compileElectrical(p *Plan, s *System, w *weather.Year, l *Load, twins ...*Plan) {
	s = withoutBMS(aged(s))
	compileCells(p, s)
	compileHeat(p, s)
	compileLimits(p, s)
	compileSources(p, s)
	compileRules(p, s, w)
	compileAcid(p, s)
	compileDeaf(p, s)
	compileParties(p, s)
	compileOwnCount(p, s)
	compileMotors(p, s, l, twins)
	compileShifts(p, l)
	compileDischarge(p, s)
	compileSets(p, s, w) // it copies the plan
	compileFan(p, s)     // last: it copies those
}

// compileSky makes the rows: what the sun gives, what the load asks, and the
// air around the bank. What the sun gives is that of like, if there is one, and what
// else has the same origin there.
func compileSky(p *Plan, s *System, w *weather.Year, l *Load, like *Plan) *skyPlan {
	var sky skyPlan
	if like != nil {
		sky = *like.sky
		sky.rows = slices.Clone(like.sky.rows)
	} else {
		sky = *compileSun(s, w)
	}
	if like == nil || like.from.air != p.from.air {
		for i, celsius := range surroundings(&s.Bank.Enclosure, w) {
			sky.rows[i].envC = celsius
		}
	}
	if like == nil || !reflect.DeepEqual(like.from.inverter, p.from.inverter) {
		for i := range sky.rows {
			sky.rows[i].derate = s.Inverter.DerateFraction(s.Site.ElevationM, w.AmbientC[i])
		}
	}
	if like == nil || !reflect.DeepEqual(like.from.generators, p.from.generators) {
		sky.genW = nil
		for _, name := range leadOrder(s) {
			g := s.Generators[name]
			rated := make([]float64, len(sky.rows))
			for i := range rated {
				rated[i] = 1000 * g.RatedAtKW(s.Site.ElevationM, w.AmbientC[i])
			}
			sky.genW = append(sky.genW, rated)
		}
	}
	compileDemand(&sky, s, l, &p.inverter)
	return &sky
}

// compileDemand adds what the load asks, of the inverter and of its ratings.
func compileDemand(sky *skyPlan, s *System, l *Load, inv *inverterRules) {
	at := func(col []float64, i int) float64 {
		if col == nil {
			return 0
		}
		return col[i]
	}
	reactive := l.reactives()
	for i := range sky.rows {
		r := &sky.rows[i]
		r.acEss, r.dcEss = at(l.ACEssentialW, i), at(l.DCEssentialW, i)
		r.acAll, r.dcAll = r.acEss+at(l.ACFlexibleW, i), r.dcEss+at(l.DCFlexibleW, i)
		qEss, qAll := 0., 0.
		for k := range reactive {
			if x := &reactive[k]; x.on[i] {
				if qAll += x.vars; !x.flexible {
					qEss += x.vars
				}
			}
		}
		r.invEss, r.vaEss = inv.dc(r.acEss), apparent(r.acEss, qEss)
		r.overEss = s.Inverter.AllowedS(r.acEss * r.vaEss / r.derate)
		if r.invAll, r.vaAll, r.overAll = r.invEss, r.vaEss, r.overEss; r.acAll != r.acEss || qAll != qEss {
			r.invAll, r.vaAll = inv.dc(r.acAll), apparent(r.acAll, qAll)
			r.overAll = s.Inverter.AllowedS(r.acAll * r.vaAll / r.derate)
		}
		r.strained = !math.IsInf(r.overAll, 1)
		r.rough = r.strained || r.acSunW > 0
	}
}

// compileSun makes what site, array and weather decide: dates, sun and planes.
func compileSun(s *System, w *weather.Year) *skyPlan {
	n := w.Len()
	sky := &skyPlan{rows: make([]row, n), stepS: float64(w.StepS), offsetS: int(math.Round(s.Site.UTCOffsetH * 3600))}
	start := w.Start(0)
	sky.startMs = start.UnixMilli() + int64(sky.offsetS)*1000
	sky.date = func(seconds float64) string {
		return start.Add(time.Duration(math.Round(seconds * float64(time.Second)))).Format("2006-01-02T15:04:05")
	}
	sun := w.Sun()
	months := monthOf(w)
	compileArray(sky, s, w, sun, months)
	night := 0.
	for _, name := range sortedKeys(s.Array.Chargers) {
		night += s.Array.Chargers[name].NightDrawW
	}
	for i := range sky.rows {
		r := &sky.rows[i]
		r.month = uint8(months[i] - 1)
		if r.solarInW == 0 {
			r.nightDrawW = night
		}
		r.sunlit = sun.SunlitFraction[i] > 0
	}
	sky.columns.zenith, sky.columns.azimuth = narrow(sun.ZenithDeg), narrow(sun.AzimuthDeg)
	sky.columns.ambient = narrow(w.AmbientC)
	return sky
}

// compileArray adds every plane's power to its charger.
func compileArray(sky *skyPlan, s *System, w *weather.Year, sun *weather.Sun, months []int) {
	n := len(sky.rows)
	chargers := sortedKeys(s.Array.Chargers)
	index := map[string]int{}
	for k, name := range chargers {
		index[name] = k
	}
	input := make([]float64, n*len(chargers))
	sky.columns.plane = make([]float32, n)
	mean := make([]float64, n)
	rated := 0.
	for _, name := range sortedKeys(s.Array.Planes) {
		plane := s.Array.Planes[name]
		rated += plane.RatedKW
		if _, dc := s.Array.Chargers[plane.Charger]; !dc {
			continue
		}
		addPlane(input[index[plane.Charger]:], len(chargers), mean, &plane, w, sun, s.Sky, months)
	}
	sky.solarW, sky.solarA = make([]float64, len(input)), make([]float64, len(input))
	for k, name := range chargers {
		c := s.Array.Chargers[name]
		for i := range n {
			in := input[i*len(chargers)+k]
			sky.rows[i].solarInW += in
			sky.solarW[i*len(chargers)+k] = c.OutputW(in)
			sky.solarA[i*len(chargers)+k] = c.OutputLimitA(s.Site.ElevationM, w.AmbientC[i])
		}
	}
	for i := range sky.rows {
		sumChargers(sky, s, chargers, i)
	}
	compileACArray(sky, s, w, sun, months, mean)
	if rated > 0 {
		for i, g := range mean {
			sky.columns.plane[i] = float32(g / rated)
		}
	}
}

// compileACArray adds the planes that feed the AC bus.
func compileACArray(sky *skyPlan, s *System, w *weather.Year, sun *weather.Sun, months []int, mean []float64) {
	for _, inverter := range sortedKeys(s.Array.Inverters) {
		pv := s.Array.Inverters[inverter]
		input := make([]float64, len(sky.rows))
		for _, name := range sortedKeys(s.Array.Planes) {
			if plane := s.Array.Planes[name]; plane.Charger == inverter {
				addPlane(input, 1, mean, &plane, w, sun, s.Sky, months)
			}
		}
		for i, in := range input {
			sky.rows[i].acSunInW += in
			sky.rows[i].acSunW += pv.OutputW(in)
		}
	}
}

// sumChargers finds what a row's chargers give together.
func sumChargers(sky *skyPlan, s *System, chargers []string, i int) {
	r := &sky.rows[i]
	in := 0.
	for k, name := range chargers {
		w, a := sky.solarW[i*len(chargers)+k], sky.solarA[i*len(chargers)+k]
		r.solarOutW += w
		r.mostOutW = max(r.mostOutW, w)
		if k == 0 || a < r.leastA {
			r.leastA = a
		}
		in += w / s.Array.Chargers[name].EfficiencyFraction
	}
	if r.solarOutW > 0 {
		r.perSolarEta = in / r.solarOutW
	}
}

// leastKW is the rating below which a plane gives nothing: a microwatt, where a charge
// still has all of its digits.
const leastKW = 1e-9

// addPlane adds one plane's DC power to dst[i·stride], and its irradiance
// times its rating to mean.
func addPlane(dst []float64, stride int, mean []float64, plane *array.Plane, w *weather.Year, sun *weather.Sun, sky weather.Sky, months []int) {
	if plane.RatedKW < leastKW {
		return
	}
	lies := attitude(plane)
	on := w.OnPlane(sun, lies, sky)
	converter := plane.Converter()
	var tilts []float64
	if lies.Tracker != nil {
		tilts = lies.Tracker.TiltsDeg(sun)
	}
	for i := range months {
		if tilts != nil {
			converter.TurnTo(tilts[i])
		}
		var g, watts float64
		if on.MeasuredWM2 != nil {
			g = on.MeasuredWM2[i]
			watts = converter.PlainPowerW(g, w.AmbientC[i], w.WindMS[i], months[i])
		} else {
			beam := on.BeamWM2[i] + on.CircumsolarWM2[i]
			g = beam + on.SkyWM2[i] + on.GroundWM2[i]
			if g > 0 {
				watts = converter.PowerW(beam, on.SkyWM2[i], on.GroundWM2[i], on.CosIncidence[i], w.AmbientC[i], w.WindMS[i], months[i])
			}
		}
		dst[i*stride] += watts
		mean[i] += g * plane.RatedKW
	}
}

// attitude is how a plane lies, or turns: a tracker's axis points where its
// azimuth does, and it turns as far as its tilt.
func attitude(p *array.Plane) weather.Plane {
	if p.Tracker == nil {
		return weather.Plane{TiltDeg: p.TiltDeg, AzimuthDeg: p.AzimuthDeg}
	}
	return weather.Plane{Tracker: &weather.Tracker{
		AxisAzimuthDeg: p.AzimuthDeg, MaxTiltDeg: p.TiltDeg, GroundCoverFraction: p.Tracker.GroundCoverFraction,
	}}
}

// monthOf is the calendar month of every row, 1 to 12.
func monthOf(w *weather.Year) []int {
	months := make([]int, w.Len())
	perDay := 86400 / w.StepS
	day := time.Date(w.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < len(months); i += perDay {
		for k := i; k < i+perDay; k++ {
			months[k] = int(day.Month())
		}
		day = day.AddDate(0, 0, 1)
	}
	return months
}

func narrow(values []float64) []float32 {
	out := make([]float32, len(values))
	for i, x := range values {
		out[i] = float32(x)
	}
	return out
}
