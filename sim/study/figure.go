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
	Name string
	Unit string
	Doc  string
	// Whole numbers are counts. MayLack: a value of 0 means that there is none.
	Whole, MayLack bool
	field          int
	key            reflect.Value // in a map
}

// Figures lists every number among the figures of a year, in the order of the
// answer; what is split by cause or kind has one for each. Texts are apart.
func Figures() []Figure {
	var list []Figure
	t := reflect.TypeFor[sim.Figures]()
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		name, options, _ := strings.Cut(tag.Get("json"), ",")
		kind := t.Field(i).Type
		f := Figure{Name: name, Unit: fault.UnitOf(name), Doc: tag.Get("doc"), MayLack: options == "omitzero", field: i}
		switch f.Whole = kind.Kind() == reflect.Int; kind.Kind() {
		case reflect.Float64, reflect.Int:
			list = append(list, f)
		case reflect.Map:
			f.Whole = kind.Elem().Kind() == reflect.Int
			for _, part := range partsOf(name) {
				f.Name, f.key = name+"."+part, reflect.ValueOf(part)
				list = append(list, f)
			}
		}
	}
	return list
}

// partsOf says what a figure is split by. It panics for one that it does not know.
func partsOf(name string) (parts []string) {
	var causes []sim.Cause
	switch name {
	case "downtime_by_cause_h":
		causes = sim.DowntimeCauses()
	case "curtailed_by_cause_kwh":
		causes = sim.CurtailmentCauses()
	case "trips_by_kind":
		return sim.TripKinds()
	case "decisions_otherwise_by_kind":
		return sim.Decisions()
	case "cell_h_by_window":
		return sim.CellWindows()
	default:
		panic("study: figure " + name + " is split by what is not known here")
	}
	for _, c := range causes {
		parts = append(parts, c.String())
	}
	return parts
}

// TextFigure is one text among the figures of a year, such as the date of the lowest
// state of charge; it is empty where there is none.
type TextFigure struct {
	Name, Doc string
	field     int
}

// TextFigures lists every text among the figures of a year.
func TextFigures() []TextFigure {
	var list []TextFigure
	t := reflect.TypeFor[sim.Figures]()
	for i := range t.NumField() {
		if f := t.Field(i); f.Type.Kind() == reflect.String {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			list = append(list, TextFigure{name, f.Tag.Get("doc"), i})
		}
	}
	return list
}

// Of is the text of a year.
func (t *TextFigure) Of(y *sim.Figures) string {
	return reflect.ValueOf(y).Elem().Field(t.field).String()
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
