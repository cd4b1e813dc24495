package sim

import (
	"maps"
	"reflect"

	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/genset"
	"bankyear/sim/inverter"
	"bankyear/weather"
)

// origin is what the rows of a plan were made of, to tell whether another plan
// has the same.
type origin struct {
	weather    *weather.Year
	load       *Load
	site       weather.Site
	sky        weather.Sky
	array      array.Spec
	inverter   inverter.Spec
	generators map[string]genset.Spec
	air        bank.Enclosure // as far as it decides the air around the bank
}

func originOf(s *System, w *weather.Year, l *Load) *origin {
	o := &origin{weather: w, load: l, site: s.Site, sky: s.Sky, array: s.Array, inverter: s.Inverter, generators: maps.Clone(s.Generators)}
	o.array.Planes, o.array.Chargers, o.array.Inverters = maps.Clone(s.Array.Planes), maps.Clone(s.Array.Chargers), maps.Clone(s.Array.Inverters)
	for _, name := range sortedKeys(o.generators) {
		g := o.generators[name]
		g.CallOutH = nil // decides no row
		o.generators[name] = g
	}
	o.air = s.Bank.Enclosure
	o.air.SurfaceCPerW, o.air.HeaterW, o.air.HeaterFrom, o.air.Fan = 0, 0, "", nil // around the cells, not around the bank
	return o
}

// sameSun tells whether sun and planes are the same.
func (o *origin) sameSun(x *origin) bool {
	return o.weather == x.weather && o.site == x.site && reflect.DeepEqual(o.sky, x.sky) && reflect.DeepEqual(o.array, x.array)
}

// sunlit is the first plan under the same sun, nil when none is.
func (o *origin) sunlit(plans []*Plan) *Plan {
	for _, p := range plans {
		if o.sameSun(p.from) {
			return p
		}
	}
	return nil
}

// shared is the rows of the first plan that has the same, nil when none has.
func (o *origin) shared(plans []*Plan) *skyPlan {
	for _, p := range plans {
		if x := p.from; o.load == x.load && o.air == x.air && o.sameSun(x) &&
			reflect.DeepEqual(o.inverter, x.inverter) && reflect.DeepEqual(o.generators, x.generators) {
			return p.sky
		}
	}
	return nil
}

// SameRows tells whether two plans share their rows.
func (p *Plan) SameRows(q *Plan) bool { return p.sky == q.sky }

// Rows is the number of intervals of a plan.
func (p *Plan) Rows() int { return len(p.sky.rows) }
