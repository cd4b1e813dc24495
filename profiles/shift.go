package profiles

// Shift is an appliance that may shift within its hours: in each stretch of rows
// on end in which it is on it owes the energy of W · MeanFraction.
type Shift struct {
	Appliance    string
	DC           bool
	W            float64   // all of them, while they run
	MeanFraction float64   // at most 1
	On           []float64 // part of each row in its hours
}

// shift lists an appliance that may shift, with its standby power in the column.
func (b *builder) shift(name string, a *Appliance, spans []span, people func(day) float64) {
	today, next := cover(spans, b.stepS)
	perDay := len(today)
	s := Shift{Appliance: name, DC: a.Supply == "dc", W: float64(a.Count) * a.W, MeanFraction: a.DutyFraction, On: make([]float64, b.rows)}
	start := b.start(name, a)
	yesterday := people(b.days[0])
	for d, day := range b.days[1:] {
		now := people(day)
		for i := range perDay {
			on := min(1, float64(now*today[i])+float64(yesterday*next[i]))
			if on == 0 {
				continue
			}
			s.On[d*perDay+i] = on
			if start != nil {
				start.On[d*perDay+i] = true
			}
		}
		yesterday = now
	}
	if start != nil {
		start.MeanFraction = a.DutyFraction
	}
	b.load.Shifts = append(b.load.Shifts, s)
}

// checkShift wants energy that has room to shift in: hours, and nothing that
// decides on its own when it runs.
func (a *Appliance) checkShift(p problems) {
	if !a.Shifts {
		return
	}
	p = p.at("shifts")
	switch {
	case a.Tier != "flexible":
		p.add(true, "", "", "is only for tier flexible")
	case a.Hours == "":
		p.add(true, "", "", "needs hours to shift within")
	case a.Temperature != nil:
		p.add(true, "", "", "does not go with temperature, which says when it runs")
	case a.StandbyW > 0:
		p.add(true, "", "", "does not go with standby_w; list that as an appliance of its own")
	}
}

// scaled takes more or less energy: within the power as long as the hours hold
// it.
func (s *Shift) scaled(factor float64) {
	s.MeanFraction *= factor
	if s.MeanFraction > 1 {
		s.W, s.MeanFraction = s.W*s.MeanFraction, 1
	}
}
