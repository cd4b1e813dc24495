package weather

// MonthSky is how bright one month of a year is, against the sky outside the
// atmosphere and against one without a cloud.
type MonthSky struct {
	Month                 int     `json:"month" minimum:"1" maximum:"12" doc:"Month, January being 1."`
	ExtraterrestrialKWhM2 float64 `json:"extraterrestrial_kwh_m2" doc:"What arrives outside the atmosphere on the horizontal."`
	ClearSkyKWhM2         float64 `json:"clear_sky_kwh_m2" doc:"Global irradiation of the month without a cloud in very clean air (Ineichen & Perez 2002, Linke turbidity 2): a bound."`
	GHIKWhM2              float64 `json:"ghi_kwh_m2,omitzero" required:"false" doc:"Global irradiation of the month; left out where irradiance was measured in the plane, or the sun does not rise."`
	ClearnessFraction     float64 `json:"clearness_fraction,omitzero" required:"false" doc:"Clearness index: global irradiation over that outside the atmosphere; left out likewise."`
	ClearSkyRatio         float64 `json:"clear_sky_ratio,omitzero" required:"false" doc:"Global irradiation over that of the clear sky; left out likewise. Above 1 the record is brighter than the sky can be."`
}

// MonthlySky gives the twelve months of a year. Outside the atmosphere the
// hours are integrated exactly; the clear sky is that of ClearSky with the sun
// given, whose rows must be those of the year.
func (y *Year) MonthlySky(sun *Sun) []MonthSky {
	months := make([]MonthSky, 12)
	clear := y.ClearSky(sun, clearestTurbidity)
	days := outsideYear(y.Site, y.CalendarYear)
	day := 0
	for m, length := range monthLengths(y.CalendarYear) {
		month := &months[m]
		month.Month = m + 1
		for range length {
			month.ExtraterrestrialKWhM2 += days[day].wh / 1000
			day++
		}
		month.ClearSkyKWhM2 = y.monthKWhM2(clear.GHI, m+1)
		if y.GHI == nil || month.ExtraterrestrialKWhM2 == 0 {
			continue
		}
		month.GHIKWhM2 = y.monthKWhM2(y.GHI, m+1)
		month.ClearnessFraction = month.GHIKWhM2 / month.ExtraterrestrialKWhM2
		if month.ClearSkyKWhM2 > 0 {
			month.ClearSkyRatio = month.GHIKWhM2 / month.ClearSkyKWhM2
		}
	}
	return months
}

// MonthlyMeans are the twelve means of a year, to make other years of the same
// climate from (Synthesise). A year without GHI has none of irradiation and
// panics.
func (y *Year) MonthlyMeans() Monthly {
	if y.GHI == nil {
		panic("weather: monthly means need GHI")
	}
	m := Monthly{Site: y.Site}
	for month, length := range monthLengths(y.CalendarYear) {
		from, to := y.month(month + 1)
		m.GHIKWhM2D = append(m.GHIKWhM2D, y.monthKWhM2(y.GHI, month+1)/float64(length))
		m.AmbientC = append(m.AmbientC, mean(y.AmbientC[from:to]))
		if y.WindMS != nil {
			m.WindMS = append(m.WindMS, mean(y.WindMS[from:to]))
		}
	}
	return m
}

// monthKWhM2 sums the rows, W/m², of a month, January being 1.
func (y *Year) monthKWhM2(wm2 []float64, month int) float64 {
	from, to := y.month(month)
	total := 0.0
	for _, x := range wm2[from:to] {
		total += x
	}
	return total * float64(y.StepS) / 3.6e6
}

// month is the range of rows of a month.
func (y *Year) month(month int) (from, to int) {
	from = y.rowOfMonth(month)
	return from, from + daysIn(y.CalendarYear, month)*86400/y.StepS
}
