package weather

// time is the time of a row on the site's clock, in minutes since 1970, and
// the field that holds it.
func (d *dated) time(fields [][]byte) (minute int64, field int, err error) {
	t := d.header.time
	at := func(i int) []byte {
		if i == 0 || i > len(fields) {
			return nil
		}
		return fields[i-1]
	}
	var s stamp
	switch {
	case t.whole != 0:
		field = t.whole
		s, err = parseStamp(at(field), d.o.DateOrder)
	case t.date != 0:
		if s, err = parseStamp(at(t.date), d.o.DateOrder); err != nil {
			return 0, t.date, err
		}
		field = t.clock
		s.minute, err = d.clock(s.minute, t, at)
	default:
		field = t.year
		s.minute, err = d.parts(t, at)
	}
	if err != nil {
		return 0, field, err
	}
	return d.onSiteClock(s), field, nil
}

// onSiteClock turns a time into minutes on the site's standard clock.
func (d *dated) onSiteClock(s stamp) int64 {
	switch {
	case s.hasOffset:
		return s.minute + int64(d.site.UTCOffsetH*60) - int64(s.offset)
	case d.o.TimeZone == "utc":
		return s.minute + int64(d.site.UTCOffsetH*60)
	}
	return s.minute
}

// clock adds the time of day beside a date.
func (d *dated) clock(day int64, t timeFields, at func(int) []byte) (int64, error) {
	if t.clock != 0 {
		minutes, rest, err := parseClock(at(t.clock))
		if err == nil && len(rest) > 0 {
			err = errNoTime
		}
		return day + int64(minutes), err
	}
	err := d.addHour(&day, t, at)
	return day, err
}

// parts puts a time together from year, month, day, hour and minute.
func (d *dated) parts(t timeFields, at func(int) []byte) (int64, error) {
	year, ok1 := whole(at(t.year))
	month, ok2 := whole(at(t.month))
	day, ok3 := whole(at(t.day))
	if !ok1 || !ok2 || !ok3 {
		return 0, errNoTime
	}
	minute, err := minuteOf(year, month, day, 0)
	if err != nil {
		return 0, err
	}
	err = d.addHour(&minute, t, at)
	return minute, err
}

func (d *dated) addHour(minute *int64, t timeFields, at func(int) []byte) error {
	hour, ok := whole(at(t.hour))
	past := 0
	if ok && t.minute != 0 {
		past, ok = whole(at(t.minute))
	}
	if !ok {
		return errNoTime
	}
	if hour > 24 || past > 59 {
		return errNoSuchDay
	}
	*minute += int64(hour*60 + past)
	return nil
}
