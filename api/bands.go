package api

import (
	"bankyear/sim"
	"bankyear/sim/study"
)

// Bands are the figures as a quote should say them: a year that a generator, a
// shedding or an estimate decides is chaotic, and a thousandth more load moves it
// as much as anything; its figures come as a range.
type Bands struct {
	Chaotic    bool                  `json:"chaotic" doc:"Whether a generator, shedding or the reported state of charge decided anything in the year."`
	Members    int                   `json:"members" doc:"Years behind the bands: the year itself, and as many with a little more or less load. 1 when it is not chaotic."`
	LoadSpread float64               `json:"load_spread_fraction" doc:"The loads of the members lie evenly within this of the load."`
	Figures    map[string]FigureBand `json:"figures" doc:"Every number among the figures, by name; a dotted path for a cause."`

	values map[string][]float64 // by figure, member by member, the year itself first
}

// FigureBand is a figure over the members.
type FigureBand struct {
	study.Band
	Words string `json:"words" doc:"The band without false decimals."`
}

// bandMembers is how many years stand beside the year itself, evenly over the
// spread: few enough for an answer at once. Of five years the tenth percentile
// lies between the least and the next. A study takes more.
const (
	bandMembers    = 4
	bandLoadSpread = 1e-3
)

// bandFactor is the load of a member, 0 to bandMembers − 1, over the load.
func bandFactor(member int) float64 {
	return 1 + bandLoadSpread*float64(2*member+1-bandMembers)/bandMembers
}

// chaotic tells whether a generator, shedding or an estimate decided anything.
func chaotic(f *sim.Figures) bool {
	return f.GeneratorStarts > 0 || f.ShedKWh > 0 || f.SuddenStops > 0 || f.DowntimeH > 0
}

func (x *subject) bandsTask(by *crew) task {
	years := []*sim.Year{x.year}
	var t task
	if chaotic(&x.year.Figures) {
		years = append(years, make([]*sim.Year, bandMembers)...)
		for i := range bandMembers {
			t.runs = append(t.runs, func() { years[i+1] = x.again(by, &x.c.System, bandFactor(i)) })
		}
	}
	t.end = func() {
		b := bandsOf(years)
		x.more.set(func() { x.more.bands = b })
	}
	return t
}

func bandsOf(years []*sim.Year) *Bands {
	b := &Bands{Chaotic: len(years) > 1, Members: len(years), LoadSpread: bandLoadSpread, Figures: map[string]FigureBand{}, values: map[string][]float64{}}
	figures := study.Figures()
	row := make([]float64, len(figures))
	for _, y := range years {
		study.Row(row, figures, &y.Figures)
		for i, f := range figures {
			b.values[f.Name] = append(b.values[f.Name], row[i])
		}
	}
	for _, f := range figures {
		band := study.BandOf(b.values[f.Name])
		b.Figures[f.Name] = FigureBand{band, band.Words(f.Unit)}
	}
	return b
}
