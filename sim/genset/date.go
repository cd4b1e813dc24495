package genset

import (
	"fmt"
	"time"
)

// ParseDate reads a day of any year, such as 03-15 (month-day).
func ParseDate(text string) (time.Month, int, error) {
	t, err := time.Parse("2006-01-02", "2024-"+text) // a leap year: 02-29 is a date
	if err != nil {
		return 0, 0, fmt.Errorf("%q is not a date such as 03-15", text)
	}
	return t.Month(), t.Day(), nil
}

// Days are the days of the year, 0 for the first of January, on which fuel is
// brought whatever the store holds. It panics on dates that Check reports; the
// 29th of February is the first of March in other years.
func (d *Deliveries) Days(calendarYear int) []float64 {
	first := time.Date(calendarYear, 1, 1, 0, 0, 0, 0, time.UTC)
	length := time.Date(calendarYear+1, 1, 1, 0, 0, 0, 0, time.UTC).Sub(first).Hours() / 24
	var days []float64
	for _, text := range d.On {
		month, day, err := ParseDate(text)
		if err != nil {
			panic("genset: fuel_deliveries not checked: " + err.Error())
		}
		days = append(days, time.Date(calendarYear, month, day, 0, 0, 0, 0, time.UTC).Sub(first).Hours()/24)
	}
	if d.EveryDays > 0 {
		for day := d.EveryDays; day < length; day += d.EveryDays {
			days = append(days, day)
		}
	}
	return days
}
