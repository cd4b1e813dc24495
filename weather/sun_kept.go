package weather

// keptSun is the sun of a year as the year was when it was kept.
type keptSun struct {
	site                Site
	calendarYear, stepS int
	sun                 *Sun
}

// KeepSun computes the sun once, for every later Sun of this year and of its
// copies as long as site, calendar year and step stay the same. Nobody may change
// what Sun gives then, nor use the year while KeepSun runs. A year without a grid
// keeps nothing.
func (y *Year) KeepSun() {
	p := &Problems{}
	if y.checkGrid(p); len(p.List) > 0 || y.keptSun() != nil {
		return
	}
	y.kept = &keptSun{y.Site, y.CalendarYear, y.StepS, y.sun(true)}
}

// keptSun is the sun that was kept, nil when there is none that fits.
func (y *Year) keptSun() *Sun {
	if k := y.kept; k != nil && k.site == y.Site && k.calendarYear == y.CalendarYear && k.stepS == y.StepS {
		return k.sun
	}
	return nil
}
