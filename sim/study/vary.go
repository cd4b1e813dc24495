package study

import (
	"strconv"
	"strings"

	"bankyear/sim/fault"
)

// ParseAxis reads an axis from one text, as in a query parameter or on a command
// line: bank.modules:2..10/2 is a range with a step, bank.modules:2,4,8 a list,
// array.planes.roof.rated_kw:1..16*5 five numbers with even ratios, and
// bank.operation:data_linked,voltage_only a list of texts. The first colon ends
// the path. A list is one of numbers when all of it are numbers. The error is a
// fault.Faults; its pointers start at the axis.
func ParseAxis(text string) (Axis, error) {
	c := fault.New()
	path, values, found := strings.Cut(text, ":")
	a := Axis{Path: path}
	switch {
	case !found || values == "":
		c.Add(text, "path:start..end/step, path:start..end*count or path:value,value", "", "is not an axis")
		return Axis{}, c.Err()
	case strings.Contains(values, ".."):
		a.parseRange(c, values)
	default:
		a.parseList(c, strings.Split(values, ","))
	}
	if len(c.Faults()) == 0 {
		fault.CheckTags(c, &a)
	}
	if len(c.Faults()) == 0 {
		a.check(c, false)
		checkPath(c.At("path"), path, map[string]string{})
	}
	if err := c.Err(); err != nil {
		return Axis{}, err
	}
	return a, nil
}

func (a *Axis) parseRange(c fault.Collector, values string) {
	start, rest, _ := strings.Cut(values, "..")
	read := func(text string, member ...string) float64 {
		x, ok := parseNumber(text)
		if !ok {
			c.At(member...).Add(text, "", fault.UnitOf(a.Path), "is not a number")
		}
		return x
	}
	if end, count, ok := strings.Cut(rest, "*"); ok {
		n, err := strconv.Atoi(count)
		if err != nil || n == 0 { // 0 would read as left out
			c.At("log_range", "count").Add(count, "2 to 10000", "", "is no number of values")
		}
		a.LogRange = &LogRange{Start: read(start, "log_range", "start"), End: read(end, "log_range", "end"), Count: n}
		return
	}
	end, step, ok := strings.Cut(rest, "/")
	if !ok {
		step = "1"
	}
	a.Range = &Range{Start: read(start, "range", "start"), End: read(end, "range", "end"), Step: read(step, "range", "step")}
	if a.Range.Step == 0 && len(c.Faults()) == 0 { // would read as left out
		c.At("range", "step").Add(0., "above 0", fault.UnitOf(a.Path), "is outside the allowed range")
	}
}

func (a *Axis) parseList(c fault.Collector, items []string) {
	for i, item := range items {
		if item == "" {
			c.At("choices", strconv.Itoa(i)).Addf(item, "is empty; null removes the member")
		}
		if x, ok := parseNumber(item); ok {
			a.Numbers = append(a.Numbers, x)
		}
	}
	if len(a.Numbers) < len(items) {
		a.Numbers, a.Choices = nil, items
	}
}

// parseNumber reads a decimal number; words such as nan are none.
func parseNumber(text string) (float64, bool) {
	if strings.Trim(text, "0123456789+-.eE") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x + 0, err == nil
}
