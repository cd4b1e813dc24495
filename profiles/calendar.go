package profiles

import (
	"fmt"
	"strings"
	"time"
)

// day is one day of the year that a load is built for.
type day struct {
	month   int // 0 to 11
	date    int // month·100 + day of the month, to compare dates by
	weekday int // 0 Sunday to 6 Saturday; a holiday is a Sunday
	people  float64
}

// calendar holds the day before the year (its spans may run into the year) and
// then each day of the year. people is 0 when nobody is there, 1 as usual, and
// more with guests.
func calendar(year int, o *Occupancy, p problems) []day {
	days := make([]day, 1+time.Date(year, 12, 31, 0, 0, 0, 0, time.UTC).YearDay())
	for i := range days {
		t := time.Date(year, 1, i, 0, 0, 0, 0, time.UTC)
		days[i] = day{month: int(t.Month()) - 1, date: int(t.Month())*100 + t.Day(), weekday: int(t.Weekday()), people: 1}
	}
	if o != nil {
		o.mark(days, p.at("occupancy"))
	}
	return days
}

func (o *Occupancy) mark(days []day, p problems) {
	onWeekdays, onMonths := namesIn(o.Weekdays, weekdays, p.at("weekdays")), namesIn(o.Months, months, p.at("months"))
	holidays, away := datesIn(o.Holidays, p.at("holidays")), datesIn(o.Away, p.at("away"))
	guests := make([]dates, len(o.Guests))
	for i, g := range o.Guests {
		var err error
		if guests[i], err = parseDates(g.Dates); err != nil {
			p.at("guests", fmt.Sprint(i), "dates").add(g.Dates, allowedDates, "", err.Error())
		}
	}
	for i := range days {
		d := &days[i]
		if anyHas(holidays, d.date) {
			d.weekday = int(time.Sunday)
		}
		if !onWeekdays[d.weekday] || !onMonths[d.month] || anyHas(away, d.date) {
			d.people = 0
		}
		for k, g := range guests {
			if g.has(d.date) {
				d.people = max(d.people, o.Guests[k].Multiple)
			}
		}
	}
}

// namesIn is parseNames with its error as a problem; all names then count.
func namesIn(text string, names []string, p problems) []bool {
	in, err := parseNames(text, names)
	if err != nil {
		p.add(text, "a list such as "+names[1]+"-"+names[5]+" or "+names[6]+","+names[0], "", err.Error())
		in, _ = parseNames("", names)
	}
	return in
}

// dates is a stretch of the year, both days included, as month·100 + day.
type dates struct{ from, to int }

func (d dates) has(date int) bool {
	if d.from <= d.to {
		return d.from <= date && date <= d.to
	}
	return d.from <= date || date <= d.to
}

func anyHas(list []dates, date int) bool {
	for _, d := range list {
		if d.has(date) {
			return true
		}
	}
	return false
}

const allowedDates = "two dates such as 12-24/01-02, month-day"

// parseDates reads 12-24/01-02; one date alone is a single day.
func parseDates(text string) (dates, error) {
	first, last, two := strings.Cut(text, "/")
	if !two {
		last = first
	}
	from, err := time.Parse("2006-01-02", "2000-"+first) // a leap year, for 02-29
	if err != nil {
		return dates{}, fmt.Errorf("%q is not a date such as 12-24", first)
	}
	to, err := time.Parse("2006-01-02", "2000-"+last)
	if err != nil {
		return dates{}, fmt.Errorf("%q is not a date such as 12-24", last)
	}
	return dates{int(from.Month())*100 + from.Day(), int(to.Month())*100 + to.Day()}, nil
}

func datesIn(texts []string, p problems) []dates {
	list := make([]dates, len(texts))
	for i, text := range texts {
		var err error
		if list[i], err = parseDates(text); err != nil {
			p.at(fmt.Sprint(i)).add(text, allowedDates, "", err.Error())
		}
	}
	return list
}
