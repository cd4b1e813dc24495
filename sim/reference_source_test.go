package sim_test

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"time"

	"bankyear/sim/genset"
)

// refSet is one source of AC: a generator, or the grid.
type refSet struct {
	spec       genset.Spec
	grid       bool
	name       string
	noStart    [][2]int
	deliveries []int // planned, seconds
}

// addSources lists the sources of AC as they lead: the grid, then generators by
// lead_order and name. The grid is a set that is ready in a second and burns
// nothing.
func (r *reference) addSources() {
	if g := r.s.Grid; g != nil {
		spec := genset.Spec{MaxRunH: 1e6, SignalFedFrom: "own_battery"}
		if g.Use == "self_use" {
			spec.StartSoCFraction, spec.StopSoCFraction = g.ConnectSoC, g.DisconnectSoC
		}
		r.sets = append(r.sets, refSet{spec: spec, grid: true})
		for _, o := range g.Outages.Listed {
			from := refSecond(o.Start)
			r.outages = append(r.outages, [2]float64{from, from + 3600*o.Hours})
		}
	}
	names := slices.SortedFunc(maps.Keys(r.s.Generators), func(a, b string) int {
		return cmp.Or(cmp.Compare(r.s.Generators[a].LeadOrder, r.s.Generators[b].LeadOrder), cmp.Compare(a, b))
	})
	for _, name := range names {
		set := refSet{spec: r.s.Generators[name], name: name}
		set.noStart = refHours(set.spec.NoStartHours)
		if d := set.spec.Deliveries; d != nil {
			for _, text := range d.On {
				at, err := time.Parse("2006-01-02", strconv.Itoa(r.w.CalendarYear)+"-"+text)
				if err != nil {
					panic(err)
				}
				set.deliveries = append(set.deliveries, (at.YearDay()-1)*refDayS+refDayS/2)
			}
			for day := d.EveryDays; day > 0 && day < 365; day += d.EveryDays {
				set.deliveries = append(set.deliveries, int(day*refDayS)+refDayS/2)
			}
		}
		r.sets = append(r.sets, set)
	}
}

func (r *reference) engine() *refEngine { return &r.st.engines[r.st.charge] }

func (r *reference) spec() *genset.Spec {
	if len(r.sets) == 0 {
		return nil
	}
	return &r.sets[r.st.charge].spec
}

func (r *reference) loaded() bool { return len(r.sets) > 0 && r.engine().phase == phaseLoaded }

// startByHand starts the set in charge, or the first that stands by with fuel.
func (r *reference) startByHand() {
	if len(r.sets) == 0 || r.engine().phase != phaseOff {
		return
	}
	order := []int{r.st.charge}
	for k := range r.sets {
		order = append(order, k)
	}
	for _, k := range order {
		if g := &r.st.engines[k]; !r.sets[k].grid && g.phase == phaseOff && g.fuelL > 0 {
			r.st.charge = k
			g.begin(r.now, 's')
			return
		}
	}
}
