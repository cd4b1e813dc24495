package api

import (
	"strconv"

	"bankyear/sim/fault"
	"bankyear/weather"
)

// weatherFaults turns problems of weather data into faults of the request.
// member is "text", "file" or "monthly", or "" for columns.
func weatherFaults(problems *weather.Problems, member string) fault.Faults {
	root := fault.New()
	for _, p := range problems.List {
		c := root.At("weather")
		switch {
		case p.Member == "calendar_year" || p.Member == "site":
			c = root.At(p.Member)
		case member == "text" || member == "file":
			c = c.At(member)
		default:
			c = row(inside(c, member), p)
		}
		c.Add(p.Value, p.Allowed, p.Unit, lead(p, member)+p.Message)
	}
	if problems.More > 0 {
		inside(root.At("weather"), member).Addf(problems.More, "has more faults than are listed")
	}
	return root.Faults()
}

// inside is the place of a member, or the place itself when there is no member.
func inside(c fault.Collector, member string) fault.Collector {
	if member == "" {
		return c
	}
	return c.At(member)
}

// row is the place of a problem with a list that was given as one.
func row(c fault.Collector, p weather.Problem) fault.Collector {
	if c = inside(c, p.Member); p.Index >= 0 {
		c = c.At(strconv.Itoa(p.Index))
	}
	return c
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
