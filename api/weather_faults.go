package api

import (
	"strconv"

	"bankyear/sim/fault"
	"bankyear/weather"
)

// weatherFaults turns problems of weather data into faults of the request.
// member is "text" or "file", or "" for columns.
func weatherFaults(problems *weather.Problems, member string) fault.Faults {
	root := fault.New()
	for _, p := range problems.List {
		c := root.At("weather")
		switch {
		case p.Member == "calendar_year" || p.Member == "site":
			c = root.At(p.Member)
		case member != "":
			c = c.At(member)
		case p.Member != "":
			if c = c.At(p.Member); p.Index >= 0 {
				c = c.At(strconv.Itoa(p.Index))
			}
		}
		c.Add(p.Value, p.Allowed, p.Unit, lead(p, member)+p.Message)
	}
	if problems.More > 0 {
		c := root.At("weather")
		if member != "" {
			c = c.At(member)
		}
		c.Addf(problems.More, "has more faults than are listed")
	}
	return root.Faults()
}

// lead is where in a file a problem is.
func lead(p weather.Problem, member string) string {
	if member == "" || p.Line == 0 {
		return ""
	}
	text := "line " + strconv.Itoa(p.Line)
	if p.Column > 0 {
		text += ", column " + strconv.Itoa(p.Column)
	}
	if p.Member != "" {
		text += " (" + p.Member + ")"
	}
	return text + ": "
}
