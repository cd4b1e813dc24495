package profiles

// appliance adds one entry to its column.
func (b *builder) appliance(name string, a *Appliance, p problems) {
	before := len(*p.list)
	spans, err := parseHours(a.Hours)
	if err != nil {
		p.at("hours").add(a.Hours, "hours such as 09-11 or 06-09,17:30-22", "", err.Error())
	}
	onWeekdays, onMonths := namesIn(a.Weekdays, weekdays, p.at("weekdays")), namesIn(a.Months, months, p.at("months"))
	a.check(b.ambientC != nil, p)
	if len(*p.list) > before {
		return
	}
	people := func(d day) float64 {
		switch {
		case !onWeekdays[d.weekday] || !onMonths[d.month]:
			return 0
		case a.Follows:
			return d.people
		}
		return 1
	}
	if a.Shifts {
		b.shift(name, a, spans, people)
		return
	}
	b.add(name, a, spans, people)
}

func (a *Appliance) check(hasAir bool, p problems) {
	if a.StandbyW > a.W {
		p.at("standby_w").add(a.StandbyW, "at most w", "W", "is more than the running power")
	}
	a.checkInrush(p)
	a.checkShift(p)
	if a.DutyFraction == 0 && a.Temperature == nil {
		p.at("duty_fraction").add(0, "above 0", "", "leaves it off for ever, without a temperature that makes it run")
	}
	if a.Temperature != nil && !hasAir {
		p.at("temperature").add(nil, "", "", "needs the outdoor air temperature, which the weather does not have")
	}
}

// add puts the mean power of an appliance on every row:
//
//	count · (standby + on·people·mean·(1 − standby/w))
//
// on is the part of the interval that lies in its hours, people its multiple on
// a day (0 when it stays off), mean its power while it is on. Products are
// rounded before they are added, so that every platform gives the same bytes.
func (b *builder) add(name string, a *Appliance, spans []span, people func(day) float64) {
	column := b.column(a)
	today, next := cover(spans, b.stepS)
	perDay := len(today)
	count := float64(a.Count)
	standby := count * a.StandbyW
	above := count * a.aboveStandbyW(a.DutyFraction*a.W)
	start := b.start(name, a)
	meanW, sumOn, sumW := a.DutyFraction*a.W, 0.0, 0.0
	yesterday := people(b.days[0])
	for d, day := range b.days[1:] {
		now := people(day)
		rows := column[d*perDay : (d+1)*perDay]
		for i := range rows {
			on := float64(now*today[i]) + float64(yesterday*next[i])
			w := standby
			if on > 0 {
				extra := above
				if a.Temperature != nil {
					meanW = a.meanW(b.ambientC[d*perDay+i])
					extra = count * a.aboveStandbyW(meanW)
				}
				w += float64(on * extra)
				if start != nil {
					start.On[d*perDay+i] = true
					sumOn += on
					sumW += float64(on * meanW)
				}
			}
			rows[i] += w
		}
		yesterday = now
	}
	if sumOn > 0 {
		start.MeanFraction = sumW / sumOn / a.W
	}
}

// aboveStandbyW is what running at a mean of meanW adds to the standby power.
func (a *Appliance) aboveStandbyW(meanW float64) float64 {
	return meanW - float64(a.StandbyW*(meanW/a.W))
}

// meanW is the mean power while it is on, in outdoor air of ambientC.
func (a *Appliance) meanW(ambientC float64) float64 {
	t := a.Temperature
	w := float64(a.DutyFraction*a.W) + float64(t.HeatWPerC*max(0, t.HeatBelowC-ambientC)) + float64(t.CoolWPerC*max(0, ambientC-t.CoolAboveC))
	return min(w, a.W)
}

// column is the column that an appliance draws from, made on first use.
func (b *builder) column(a *Appliance) []float64 {
	i := 0
	if a.Tier == "flexible" {
		i++
	}
	if a.Supply == "dc" {
		i += 2
	}
	column := b.load.columns()[i]
	if *column == nil {
		*column = make([]float64, b.rows)
	}
	return *column
}

// start lists an appliance whose inrush or power factor matters, with no row
// marked yet; nil for any other.
func (b *builder) start(name string, a *Appliance) *Start {
	multiple := a.inrushMultiple()
	if multiple <= 1 && a.PowerFactor == 1 {
		return nil
	}
	s := Start{
		Appliance: name, DC: a.Supply == "dc", Flexible: a.Tier == "flexible", Count: a.Count, RunningW: a.W,
		PowerFactor: a.PowerFactor, InrushMultiple: max(1, multiple), InrushS: a.InrushS, StartsPerH: a.StartsPerH,
		On: make([]bool, b.rows),
	}
	b.load.Starts = append(b.load.Starts, s)
	return &b.load.Starts[len(b.load.Starts)-1]
}
