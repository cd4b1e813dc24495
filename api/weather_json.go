package api

import (
	"context"
	"errors"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// readWeatherJSON reads weather that was sent as JSON.
func readWeatherJSON(ctx context.Context, raw []byte, add func(*weather.Reading)) *Problem {
	tree, faults := document.Parse(raw)
	if tree == nil {
		return refused(faults, false)
	}
	var u WeatherUpload
	decoded, more := document.Decode(tree, &u)
	faults = beyond(faults, more)
	ranges := fault.New()
	fault.CheckTags(ranges, &u)
	faults = append(faults, decoded.Beyond(faults, ranges.Faults())...)
	if len(faults) > 0 {
		add = func(*weather.Reading) {} // and say what else is wrong
	}
	faults = append(faults, decoded.Beyond(faults, u.read(ctx, add))...)
	return refused(condense(faults), true)
}

// read makes the years. Pointers of the faults start at the upload.
func (u *WeatherUpload) read(ctx context.Context, add func(*weather.Reading)) fault.Faults {
	c := fault.New()
	way := u.way(c)
	if u.Years != 0 && way != "monthly" {
		c.At("years").Addf(u.Years, "only goes with monthly")
	}
	if u.Site == nil && (way == "monthly" || way == "columns") {
		c.At("site").Addf(nil, "is missing")
	}
	if way == "id" || way == "file" {
		c.At(way).Add(nil, "text, monthly, or columns such as ghi_w_m2", "", "holds nothing to store")
	}
	if len(c.Faults()) > 0 {
		return c.Faults()
	}
	if way == "text" {
		return u.readText(u.place(), add)
	}
	return u.readYears(ctx, way, u.place(), add)
}

func (u *WeatherUpload) place() place {
	at := place{calendarYear: defaultCalendarYear}
	if u.CalendarYear != 0 {
		at.calendarYear, at.yearStated = u.CalendarYear, true
	}
	if u.Site != nil {
		at.site, at.sited = *u.Site, true
	}
	return at
}

// readText reads the years of a text.
func (u *WeatherUpload) readText(at place, add func(*weather.Reading)) fault.Faults {
	err := weather.ReadYears(strings.NewReader(u.Text), u.options(at), add)
	if problems := (*weather.Problems)(nil); errors.As(err, &problems) {
		return outOfWeather(weatherFaults(problems, "text"))
	}
	if err != nil {
		c := fault.New().At("text")
		c.Addf(nil, "cannot be read: %s", err)
		return c.Faults()
	}
	return nil
}

// readYears makes a year of columns, or years of monthly means.
func (u *WeatherUpload) readYears(ctx context.Context, way string, at place, add func(*weather.Reading)) fault.Faults {
	first := u.Member
	for i := range max(1, u.Years) {
		if ctx.Err() != nil {
			return nil // nobody waits for the answer
		}
		if i > 0 {
			member := uint64(i)
			if first != nil {
				member += *first
			}
			u.Member = &member
		}
		reading, _, faults := u.reading(way, at, sources{}, fault.New())
		if len(faults) > 0 {
			return outOfWeather(faults)
		}
		add(reading)
	}
	return nil
}

// outOfWeather takes /weather off pointers, which a request has.
func outOfWeather(faults fault.Faults) fault.Faults {
	for i := range faults {
		faults[i].Pointer = strings.TrimPrefix(faults[i].Pointer, "/weather")
	}
	return faults
}
