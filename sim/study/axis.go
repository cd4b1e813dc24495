package study

import (
	"math"
	"strconv"
	"strings"
)

// Axis is one member of a request that a study varies, and the values it takes,
// given in exactly one way.
type Axis struct {
	Path     string    `json:"path" doc:"Dotted path of the member, such as bank.modules."`
	Numbers  []float64 `json:"numbers,omitzero" required:"false" minItems:"1" maxItems:"10000" doc:"The values, where they are numbers."`
	Choices  []string  `json:"choices,omitzero" required:"false" minItems:"1" maxItems:"10000" doc:"The values as texts, read as the member's type: words, true and false, null (which removes the member), JSON for a list or an object."`
	Range    *Range    `json:"range,omitzero" required:"false" doc:"Evenly spaced numbers."`
	LogRange *LogRange `json:"log_range,omitzero" required:"false" doc:"Numbers with even ratios between neighbours."`
}

// Range is numbers from Start to End in the member's unit.
type Range struct {
	Start float64 `json:"start" doc:"First value, in the member's unit."`
	End   float64 `json:"end" doc:"Not exceeded."`
	Step  float64 `json:"step,omitzero" required:"false" exclusiveMinimum:"0" doc:"Between neighbours. Left out: every number between, for sampled axes."`
}

// LogRange is numbers from Start to End, each the same multiple of the one
// before.
type LogRange struct {
	Start float64 `json:"start" exclusiveMinimum:"0" doc:"First value, in the member's unit."`
	End   float64 `json:"end" exclusiveMinimum:"0" doc:"Last value."`
	Count int     `json:"count,omitzero" required:"false" minimum:"2" maximum:"10000" doc:"How many values. Left out: every number between, for sampled axes."`
}

// mostLevels is the largest number of values of one axis.
const mostLevels = 10000

// mostDecimals is up to how many digits after the point a start or step is one
// that a person wrote.
const mostDecimals = 15

// count is the number of values in a range with a step: those that do not
// exceed the end, which counts as reached when a millionth of a step is missing.
func (r *Range) count() float64 { return math.Floor((r.End-r.Start)/r.Step+1e-6) + 1 }

// levels are the values of a range with a step, without the dirt of binary
// fractions: from 0 in steps of 0.1, the fourth value is 0.3.
func (r *Range) levels() []Value {
	digits := max(decimals(r.Start), decimals(r.Step))
	list := make([]Value, int(r.count()))
	for i := range list {
		x := r.Start + float64(i)*r.Step
		if digits <= mostDecimals {
			x = clean(strconv.FormatFloat(x, 'f', digits, 64))
		}
		list[i] = Number(x)
	}
	return list
}

func (r *LogRange) levels() []Value {
	list := make([]Value, r.Count)
	for i := range list {
		list[i] = Number(r.at(float64(i) / float64(r.Count-1)))
	}
	list[0], list[r.Count-1] = Number(r.Start), Number(r.End)
	return list
}

// at is the value at a share u of the way, u in [0, 1].
func (r *LogRange) at(u float64) float64 {
	return significant(math.Exp((1-u)*math.Log(r.Start) + u*math.Log(r.End)))
}

func (r *Range) at(u float64) float64 { return significant((1-u)*r.Start + u*r.End) }

// significant rounds to nine digits: values stay readable and the same on every
// platform.
func significant(x float64) float64 { return clean(strconv.FormatFloat(x, 'g', 9, 64)) }

// clean reads a formatted number; −0 becomes 0.
func clean(text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("study: formatted number cannot be read: " + text)
	}
	return x + 0
}

// decimals is the number of digits after the point of the shortest form of x.
func decimals(x float64) int {
	_, fraction, _ := strings.Cut(strconv.FormatFloat(x, 'f', -1, 64), ".")
	return len(fraction)
}

// continuous tells whether the axis has every number between two ends.
func (a *Axis) continuous() bool {
	return a.Range != nil && a.Range.Step == 0 || a.LogRange != nil && a.LogRange.Count == 0
}

// Levels are the separate values of an axis; of a continuous one, its ends. The
// axis has passed its check.
func (a *Axis) Levels() []Value { return a.levels() }

// levels are the separate values of an axis; of a continuous one, its ends. The
// axis has passed its check.
func (a *Axis) levels() []Value {
	switch {
	case a.Range != nil && a.Range.Step == 0:
		return []Value{Number(a.Range.Start), Number(a.Range.End)}
	case a.Range != nil:
		return a.Range.levels()
	case a.LogRange != nil && a.LogRange.Count == 0:
		return []Value{Number(a.LogRange.Start), Number(a.LogRange.End)}
	case a.LogRange != nil:
		return a.LogRange.levels()
	}
	list := make([]Value, 0, len(a.Numbers)+len(a.Choices))
	for _, x := range a.Numbers {
		list = append(list, Number(x))
	}
	for _, s := range a.Choices {
		list = append(list, Text(s))
	}
	return list
}
