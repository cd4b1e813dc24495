package weather

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Monthly is what a climate table gives of a site: the stuff of a synthetic
// year.
type Monthly struct {
	Site Site `json:"site" doc:"Where."`
	// GHIKWhM2D is the mean daily global irradiation on the horizontal.
	GHIKWhM2D []float64 `json:"ghi_kwh_m2_d" minItems:"12" maxItems:"12" minimum:"0" maximum:"12" doc:"Twelve monthly means of daily global irradiation on the horizontal, kWh/m² a day."`
	AmbientC  []float64 `json:"ambient_c" minItems:"12" maxItems:"12" minimum:"-60" maximum:"45" doc:"Twelve monthly means of the air temperature."`
	WindMS    []float64 `json:"wind_m_s,omitzero" required:"false" maxItems:"12" minimum:"0" maximum:"20" doc:"Twelve monthly means of the wind speed; left out: the year has no wind."`
}

// Synthesis says which of the years that fit the means to make.
type Synthesis struct {
	CalendarYear int    `json:"calendar_year" minimum:"1900" maximum:"2100" doc:"Dates the year."`
	Seed         uint64 `json:"seed" doc:"Chooses the ensemble."`
	Member       uint64 `json:"member" default:"0" doc:"Number of the year in the ensemble, from 0; members are independent."`
}

// Synthesise makes an hourly year of GHI, air temperature and, where given,
// wind from twelve monthly means: daily clearness by a Markov chain (Aguiar,
// Collares-Pereira & Conde 1988), hours of it by an autoregressive series
// (Aguiar & Collares-Pereira 1992), temperature by a seasonal and a daily wave
// (Erbs, Klein & Beckman 1983). Monthly means are kept. The same input gives
// the same bits on every platform; the draws are those of PCG (O'Neill 2014),
// seeded by Seed and Member.
//
// The error is a *Problems: a wrong number of months, a value out of range, or
// more sun than a sky without clouds lets through.
func Synthesise(m Monthly, s Synthesis) (*Year, error) {
	p := &Problems{}
	m.check(p, s)
	if err := p.Err(); err != nil {
		return nil, err
	}
	days := outsideYear(m.Site, s.CalendarYear)
	clear := clearShareAt(m.Site.ElevationM)
	most := mostOfDays(days, clear)
	monthK := m.clearness(p, s.CalendarYear, days, most)
	if err := p.Err(); err != nil {
		return nil, err
	}
	draw := rand.NewPCG(s.Seed, s.Member)
	lengths := monthLengths(s.CalendarYear)
	dayK := chainOfDays(days, most, monthK, lengths, draw)

	y := &Year{Site: m.Site, CalendarYear: s.CalendarYear, StepS: 3600}
	y.GHI = make([]float64, 0, len(days)*24)
	state := gaussian(draw)
	for d := range days {
		hours := hoursOf(&days[d], dayK[d], clear, &state, draw)
		y.GHI = append(y.GHI, hours[:]...)
	}
	y.AmbientC = temperatures([12]float64(m.AmbientC), monthK, dayK, lengths, draw)
	if m.WindMS != nil {
		y.WindMS = winds([12]float64(m.WindMS), lengths, draw)
	}
	return y, nil
}

// check holds the months against their number and ranges.
func (m *Monthly) check(p *Problems, s Synthesis) {
	(&Year{CalendarYear: s.CalendarYear, StepS: 3600}).checkGrid(p)
	for _, list := range []struct {
		name, unit string
		values     []float64
		lo, hi     float64
		optional   bool
	}{
		{"ghi_kwh_m2_d", "kWh/m²", m.GHIKWhM2D, 0, 12, false},
		{"ambient_c", "°C", m.AmbientC, -60, 45, false},
		{"wind_m_s", "m/s", m.WindMS, 0, 20, true},
	} {
		if list.optional && list.values == nil {
			continue
		}
		if len(list.values) != 12 {
			p.add(Problem{Member: list.name, Index: -1, Value: len(list.values), Allowed: "12", Unit: "months", Message: "has a wrong number of months", Cause: ErrLength})
		}
		for i, x := range list.values {
			if !(x >= list.lo && x <= list.hi) {
				p.add(Problem{Member: list.name, Index: i, Value: shown(x), Allowed: fmt.Sprintf("%g to %g", list.lo, list.hi), Unit: list.unit, Message: "is outside the allowed range", Cause: ErrRange})
			}
		}
	}
	if y := (&Year{Site: m.Site}); !y.onEarth() || math.IsNaN(m.Site.ElevationM) || math.Abs(m.Site.ElevationM) > 6000 {
		p.add(Problem{Member: "site", Index: -1, Message: "is not a place on earth", Cause: ErrRange})
	}
}

// mostOfDays is the greatest clearness of each day, by the hours' greatest.
func mostOfDays(days []dayOutside, clear clearShare) []float64 {
	most := make([]float64, len(days))
	for d := range days {
		for _, o := range days[d].hours {
			if o.wm2 > 0 {
				most[d] += float64(clear.of(o.sinHeight) * o.wm2)
			}
		}
		if days[d].wh > 0 {
			most[d] /= days[d].wh
		}
	}
	return most
}

// highestShare of what a sky without clouds lets through is the most that a
// month may have: some days must be left to differ.
const highestShare = 0.98

// clearness is the mean clearness of each month: its irradiation over what
// arrives outside the atmosphere.
func (m *Monthly) clearness(p *Problems, calendarYear int, days []dayOutside, most []float64) [12]float64 {
	var k [12]float64
	d := 0
	for month, n := range monthLengths(calendarYear) {
		outside, highest := 0.0, 0.0
		for range n {
			outside += days[d].wh
			highest += float64(days[d].wh * most[d])
			d++
		}
		wanted := float64(m.GHIKWhM2D[month]*1000) * float64(n)
		if wanted > float64(highest*highestShare) {
			p.add(Problem{Member: "ghi_kwh_m2_d", Index: month, Value: m.GHIKWhM2D[month], Unit: "kWh/m²", Cause: ErrRange,
				Allowed: fmt.Sprintf("at most %.2f", highest*highestShare/1000/float64(n)), Message: "is more than a sky without clouds lets through"})
			continue
		}
		if outside > 0 {
			k[month] = wanted / outside
		}
	}
	return k
}

// chainOfDays draws the clearness of every day. The chain runs in for a
// December before it counts.
func chainOfDays(days []dayOutside, most []float64, monthK [12]float64, lengths [12]int, draw *rand.PCG) []float64 {
	last := monthK[11]
	for range 31 {
		last = classOf(monthK[11]).after(last, draw)
	}
	var all []float64
	for month, n := range lengths {
		outside, wanted := make([]float64, n), 0.0
		from := len(all)
		for i := range outside {
			outside[i] = days[from+i].wh
			wanted += float64(outside[i] * monthK[month])
		}
		drawn := classOf(monthK[month]).monthOfDays(outside, most[from:from+n], wanted, last, draw)
		last = drawn[n-1]
		all = append(all, drawn...)
	}
	return all
}

func monthLengths(calendarYear int) [12]int {
	var lengths [12]int
	for m := range lengths {
		lengths[m] = daysIn(calendarYear, m+1)
	}
	return lengths
}
