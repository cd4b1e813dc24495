package weather

import (
	"slices"
	"time"
)

// Sky models of Sky.Model and diffuse splits of Sky.Split.
const (
	Perez1990     = "perez_1990"
	HayDavies1980 = "hay_davies_1980"
	LiuJordan1963 = "liu_jordan_1963"

	Erbs1982 = "erbs_1982"
	Disc1987 = "disc_1987"
)

// Sky is how irradiance on the horizontal becomes irradiance on a plane.
type Sky struct {
	Model string `json:"sky_model" enum:"perez_1990,hay_davies_1980,liu_jordan_1963" default:"perez_1990" basis:"the model in widest use" doc:"Model that puts diffuse irradiance on a tilted plane: Perez et al. 1990, Hay & Davies 1980, or Liu & Jordan 1963."`
	Split string `json:"diffuse_split" enum:"erbs_1982,disc_1987" default:"erbs_1982" basis:"the split in widest use" doc:"How global irradiance is split into beam and diffuse when only global is known: Erbs, Klein & Duffie 1982, or Maxwell 1987."`
	// AlbedoFraction holds all year unless MonthlyAlbedoFraction is given.
	AlbedoFraction        float64   `json:"albedo_fraction" minimum:"0" maximum:"1" default:"0.2" basis:"grass and soil, common practice" doc:"Part of global irradiance that the ground reflects."`
	MonthlyAlbedoFraction []float64 `json:"monthly_albedo_fraction,omitzero" minItems:"12" maxItems:"12" minimum:"0" maximum:"1" required:"false" doc:"Ground reflection of each month, January first, in place of albedo_fraction; snow is about 0.6 to 0.8."`
	Horizon               Horizon   `json:"horizon,omitzero" maxItems:"720" required:"false" doc:"Far horizon, azimuths strictly increasing; hides the sun and the bright sky around it."`
}

// albedo is the ground's reflection in each month of a year.
type albedo struct {
	fraction [12]float64
	year     *Year
}

func newAlbedo(y *Year, sky Sky) albedo {
	a := albedo{year: y}
	switch len(sky.MonthlyAlbedoFraction) {
	case 0:
		for m := range a.fraction {
			a.fraction[m] = sky.AlbedoFraction
		}
	case 12:
		copy(a.fraction[:], sky.MonthlyAlbedoFraction)
	default:
		panic("weather: monthly albedo needs twelve values")
	}
	return a
}

// each calls f for the row ranges of the months in turn, up to row n.
func (a albedo) each(n int, f func(from, to int, fraction float64)) {
	from := 0
	for m := 1; m <= 12; m++ {
		to := n
		if m < 12 {
			to = min(n, a.year.rowOfMonth(m+1))
		}
		f(from, to, a.fraction[m-1])
		from = to
	}
}

// rowOfMonth is the first row of a month, January being 1.
func (y *Year) rowOfMonth(month int) int {
	day := time.Date(y.CalendarYear, time.Month(month), 1, 0, 0, 0, 0, time.UTC).YearDay()
	return (day - 1) * (86400 / y.StepS)
}

// known panics for a name that is not among the choices: the service checks
// requests before they come here.
func known(name string, choices ...string) {
	if !slices.Contains(choices, name) {
		panic("weather: no model is called " + name)
	}
}
