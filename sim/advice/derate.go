package advice

import (
	"fmt"
	"strings"
)

// derating says what heat and thin air leave of the ratings that are held
// against the bank elsewhere without it.
func (f *fit) derating() {
	elevation := f.s.Site.ElevationM
	where, hot := fixed(elevation, 0)+" m", 0.0
	if f.site.HighestAirC != nil {
		hot = *f.site.HighestAirC
		where += " and " + celsius(hot)
	} else {
		where += " (the highest air temperature is not stated)"
	}
	rated := f.s.Inverter.RatedAtW(elevation, hot)
	parts := []string{fmt.Sprintf("the inverter gives %s of %s", watts(rated), watts(f.s.Inverter.RatedW))}
	values := []Value{val("inverter_w", rated)}
	verdict := Pass
	if rated < f.s.Inverter.RatedW {
		verdict = Caution
	}
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		c := f.s.Array.Chargers[name]
		a := c.OutputLimitA(elevation, hot)
		if a < c.RatedA {
			verdict = Caution
		}
		parts = append(parts, fmt.Sprintf("solar charger %s %s of %s", name, amps(a), amps(c.RatedA)))
		values = append(values, val(name+"_a", a))
	}
	if f.site.HighestAirC == nil {
		verdict = Caution
	}
	f.add("derating", "ratings in the site's heat and thin air", verdict, "derating of the parts, "+practice,
		fmt.Sprintf("At %s %s.", where, strings.Join(parts, ", ")), values...)
}
