package study

import (
	"reflect"
	"slices"
	"strings"

	"bankyear/sim"
	"bankyear/sim/fault"
)

// Figure is one number among the figures of a year.
type Figure struct {
	// Name is as in the answer; a member of an object has a dot:
	// downtime_by_cause_h.empty.
	Name  string
	Unit  string
	field int
	key   reflect.Value // in a map
}

// Figures lists every number among the figures of a year, in the order of the
// answer; what is split by cause, kind or window has one for each. Texts, such as
// dates, are left out.
func Figures() []Figure {
	var list []Figure
	t := reflect.TypeFor[sim.Figures]()
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		f := Figure{Name: name, Unit: fault.UnitOf(name), field: i}
		switch t.Field(i).Type.Kind() {
		case reflect.Float64, reflect.Int:
			list = append(list, f)
		case reflect.Map:
			for _, part := range partsOf(name) {
				f.Name, f.key = name+"."+part, reflect.ValueOf(part)
				list = append(list, f)
			}
		}
	}
	return list
}

// partsOf says into what a figure is split.
func partsOf(name string) []string {
	causes := func(list []sim.Cause) (names []string) {
		for _, c := range list {
			names = append(names, c.String())
		}
		return names
	}
	switch name {
	case "downtime_by_cause_h":
		return causes(sim.DowntimeCauses())
	case "curtailed_by_cause_kwh":
		return causes(sim.CurtailmentCauses())
	case "trips_by_kind":
		return sim.TripKinds()
	case "cell_h_by_window":
		return sim.CellWindows()
	}
	return nil
}

// Column is the place of a figure in a row, or −1 when there is none of the name.
func Column(name string) int {
	return slices.IndexFunc(Figures(), func(f Figure) bool { return f.Name == name })
}

// Row writes the given figures of a year to row, one each in its own unit.
func Row(row []float64, figures []Figure, y *sim.Figures) {
	v := reflect.ValueOf(y).Elem()
	for i, f := range figures {
		x := v.Field(f.field)
		if f.key.IsValid() {
			if x = x.MapIndex(f.key); !x.IsValid() {
				row[i] = 0
				continue
			}
		}
		if x.CanInt() {
			row[i] = float64(x.Int())
		} else {
			row[i] = x.Float()
		}
	}
}
