package api

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// FigureRow is one figure of every candidate.
type FigureRow struct {
	Figure      string             `json:"figure" doc:"Name of the figure; a dotted path for a cause."`
	Unit        string             `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Values      map[string]any     `json:"values" doc:"Value by candidate; a number that does not apply to one is left out there."`
	Shown       map[string]string  `json:"shown,omitzero" required:"false" doc:"The value without false decimals, for people: a range where the year is chaotic, see bands."`
	Differences map[string]float64 `json:"differences,omitzero" required:"false" doc:"Value minus that of the reference, by candidate; for numbers."`
	// DifferenceBands are over members, see Bands.
	DifferenceBands map[string]study.Band `json:"difference_bands,omitzero" required:"false" doc:"The difference as a range, member by member, where a year is chaotic."`
	Words           map[string]string     `json:"words,omitzero" required:"false" doc:"The difference with its sign and unit, for people; a range where a year is chaotic."`
}

// Figure is one headline figure.
type Figure struct {
	Name, Unit, Doc string
	Value           any  // float64, or text
	LeftOut         bool // of the answer in JSON: a number that does not apply to the system
}

// FiguresOf lists the figures of a year in their order, those by cause as dotted
// paths in the order of the causes.
func FiguresOf(f *sim.Figures) []Figure {
	var out []Figure
	v := reflect.ValueOf(f).Elem()
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		unit := fault.UnitOf(name)
		add := func(name string, value any) {
			left := value == 0.0 && strings.Contains(options, "omitzero") // as the JSON encoder has it; else 0 is 0
			out = append(out, Figure{Name: name, Unit: unit, Doc: field.Tag.Get("doc"), Value: value, LeftOut: left})
		}
		switch x := v.Field(i); {
		case x.CanFloat():
			add(name, x.Float())
		case x.CanInt():
			add(name, float64(x.Int()))
		case x.Kind() == reflect.String:
			add(name, x.String())
		case x.Kind() == reflect.Map:
			for _, key := range sortedKeys(x) {
				if n := x.MapIndex(reflect.ValueOf(key)); n.CanFloat() {
					add(name+"."+key, n.Float())
				} else {
					add(name+"."+key, float64(n.Int()))
				}
			}
		default:
			panic("api: a figure cannot be of type " + x.Type().String())
		}
	}
	return out
}

func sortedKeys(m reflect.Value) []string {
	keys := make([]string, 0, m.Len())
	for _, k := range m.MapKeys() {
		keys = append(keys, k.String())
	}
	return slices.Sorted(slices.Values(keys))
}

// sideBySide puts the figures of candidates beside each other. A cause that one
// year does not have is 0 there; a number that does not apply to a candidate is
// left out, and where it applies to none the row.
func sideBySide(candidates []judged) []FigureRow {
	var order []Figure
	byName, left := map[string]map[string]any{}, map[string]bool{}
	for _, c := range candidates {
		for _, x := range FiguresOf(c.f) {
			if byName[x.Name] == nil {
				byName[x.Name] = map[string]any{}
				order = append(order, x)
			}
			if x.LeftOut {
				left[x.Name+"\n"+c.name] = true
			} else {
				byName[x.Name][c.name] = x.Value
			}
		}
	}
	rows := make([]FigureRow, 0, len(order))
	for _, x := range order {
		row := FigureRow{Figure: x.Name, Unit: x.Unit, Values: byName[x.Name]}
		if len(row.Values) == 0 {
			continue
		}
		if _, isNumber := x.Value.(float64); isNumber {
			row.difference(candidates, func(candidate string) bool { return left[x.Name+"\n"+candidate] })
		}
		rows = append(rows, row)
	}
	return rows
}

// furtherRows put figures of other runs beside each other, those numbers that belong to
// the details told. One that a candidate has not is left out there, and where none has it
// the row; nothing is known of how they vary.
func furtherRows(subjects []*subject, names []string, told []Detail) []FigureRow {
	var rows []FigureRow
	for _, f := range furtherFigures {
		if f.text || f.detail != WithEndurance && f.detail != WithHeadroom || !slices.Contains(told, f.detail) {
			continue
		}
		row := FigureRow{Figure: f.name, Unit: fault.UnitOf(f.name), Values: map[string]any{}, Shown: map[string]string{}, Differences: map[string]float64{}, Words: map[string]string{}}
		base, hasBase := f.value(subjects[0]).(float64)
		for i, x := range subjects {
			value, has := f.value(x).(float64)
			if !has {
				row.Shown[names[i]] = "–"
				continue
			}
			row.Values[names[i]] = value
			row.Shown[names[i]] = study.BandOf([]float64{value}).Words(row.Unit)
			if i > 0 && hasBase {
				row.Differences[names[i]], row.Words[names[i]] = value-base, signed(value-base, row.Unit)
			}
		}
		if len(row.Values) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// difference fills what a row of numbers says against its first candidate.
func (row *FigureRow) difference(candidates []judged, leftOut func(candidate string) bool) {
	row.Shown = map[string]string{}
	for _, c := range candidates {
		switch {
		case leftOut(c.name):
			row.Shown[c.name] = "–"
			continue
		case row.Values[c.name] == nil:
			row.Values[c.name] = 0.0
		}
		row.Shown[c.name] = c.band(row.Figure)
	}
	row.Differences, row.Words = map[string]float64{}, map[string]string{}
	for i := range candidates[1:] {
		base, c := &candidates[0], &candidates[i+1]
		if leftOut(base.name) || leftOut(c.name) {
			continue
		}
		d := row.Values[c.name].(float64) - row.Values[base.name].(float64)
		row.Differences[c.name], row.Words[c.name] = d, signed(d, row.Unit)
		if !base.bands.Chaotic && !c.bands.Chaotic {
			continue
		}
		band := difference(base, c, row.Figure)
		if row.DifferenceBands == nil {
			row.DifferenceBands = map[string]study.Band{}
		}
		row.DifferenceBands[c.name] = band
		if words := band.DifferenceWords(row.Unit); max(math.Abs(band.Low), math.Abs(band.High)) >= 5e-4 {
			row.Words[c.name] = words
		}
	}
}

// signed writes a difference with its sign and unit.
func signed(d float64, unit string) string {
	text := strconv.FormatFloat(d, 'f', 3, 64)
	switch {
	case d != 0 && d == math.Trunc(d):
		text = strconv.FormatFloat(d, 'f', 0, 64)
	case d >= 99.95 || d <= -99.95:
		text = strconv.FormatFloat(d, 'f', 0, 64)
	case d >= 0.0995 || d <= -0.0995:
		text = strconv.FormatFloat(d, 'f', 1, 64)
	case d > -0.0005 && d < 0.0005:
		return strings.TrimSpace("±0 " + unit)
	}
	if d > 0 {
		text = "+" + text
	} else {
		text = "−" + text[1:]
	}
	return strings.TrimSpace(text + " " + unit)
}
