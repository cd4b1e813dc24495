package api

import (
	"net/http"
	"slices"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/sim/fault"
)

// furtherFigure is a figure that takes other runs than the year itself: a cell
// asks for it by name, a study by naming it among its further_figures; a table of a
// spreadsheet does not have it.
type furtherFigure struct {
	name, doc string
	detail    Detail
	text      bool                 // its value is no number
	value     func(x *subject) any // a number, a text, or nil where there is none
}

// furtherFigures are those that a quote is made of.
var furtherFigures = []furtherFigure{
	{"autonomy_h", "From a full bank until it is dark, at winter load, without sun and generator.", WithEndurance, false, func(x *subject) any { return numberOf(x.more.endurance.AutonomyH) }},
	{"days_to_damage", "From the load's stop until the cells are empty, when nobody comes.", WithEndurance, false, func(x *subject) any { return numberOf(x.more.endurance.DaysToDamage) }},
	{"recharge_by_sun_h", "From 20 to 95 % by steady bright sun of winter.", WithEndurance, false, func(x *subject) any { return x.recharge("sun") }},
	{"recharge_by_generator_h", "From 20 to 95 % by the generator in winter.", WithEndurance, false, func(x *subject) any { return x.recharge("generator") }},
	{"load_headroom_fraction", "Largest growth of all load with at most 8.76 h dark a year.", WithHeadroom, false, func(x *subject) any { return x.more.headroom.Fraction }},
	{"breaks_first", "First new cause of downtime as load grows.", WithHeadroom, true, func(x *subject) any { return wordOf(x.more.headroom.BreaksFirst) }},
	{"breaks_second", "The next.", WithHeadroom, true, func(x *subject) any { return wordOf(x.more.headroom.BreaksSecond) }},
	{"attended_downtime_h", "Downtime with somebody always on site.", WithPeople, false, func(x *subject) any { return x.more.people.Attended.DowntimeH }},
	{"nobody_there_downtime_h", "Downtime with nobody there.", WithPeople, false, func(x *subject) any { return x.more.people.Nobody.DowntimeH }},
	{"downtime_low_h", "Tenth percentile of downtime where the year is chaotic.", WithBands, false, func(x *subject) any { return x.more.bands.Figures["downtime_h"].Low }},
	{"downtime_high_h", "Ninetieth percentile.", WithBands, false, func(x *subject) any { return x.more.bands.Figures["downtime_h"].High }},
	{"downtime_words", "Downtime as a quote says it.", WithBands, true, func(x *subject) any { return x.more.bands.Figures["downtime_h"].Words }},
}

func numberOf(x *float64) any {
	if x == nil {
		return nil
	}
	return *x
}

func wordOf(text string) any {
	if text == "" {
		return nil
	}
	return text
}

// recharge is the time in winter in the operation that is set.
func (x *subject) recharge(by string) any {
	for _, r := range x.more.endurance.Recharge {
		if r.By == by && r.When == "winter" && r.Operation == x.c.System.Bank.Operation {
			return numberOf(r.Hours)
		}
	}
	return nil
}

// further finds a figure of other runs; nil when the name is none.
func further(name string) *furtherFigure {
	if i := slices.IndexFunc(furtherFigures, func(f furtherFigure) bool { return f.name == name }); i >= 0 {
		return &furtherFigures[i]
	}
	return nil
}

// furtherOf simulates a stored system with the changes of a request, and what the
// details take beside the year. It marks the answer with version and hash.
func (s *Service) furtherOf(w http.ResponseWriter, r *http.Request, details ...Detail) (*Case, *subject, *Problem) {
	q, changes, faults := readCell(r.URL.Query())
	asked, p := s.ask(mux.Vars(r)["name"], q.Version, changes, faults)
	if p != nil {
		return nil, nil, p
	}
	leave, p := s.cellSlots.take(r.Context())
	if p != nil {
		return nil, nil, p
	}
	defer leave()
	c, p := s.caseOf(asked)
	if p != nil {
		return nil, nil, p
	}
	known, _ := s.answers.get(c.Hash)
	x, p := s.simulated(r.Context(), kept{c, known.year, known.more}, false, details...)
	if p == nil {
		(&cell{version: asked.number, hash: c.Hash}).mark(w)
	}
	return c, x, p
}

// getFurther answers one figure of other runs.
func (s *Service) getFurther(w http.ResponseWriter, r *http.Request, f *furtherFigure) (*reply, *Problem) {
	_, x, p := s.furtherOf(w, r, f.detail)
	if p != nil {
		return nil, p
	}
	value := f.value(x)
	if value == nil {
		return nil, notFound.problem("There is no " + f.name + " of this system: it is longer than what is looked at, or nothing brings it. " + f.doc)
	}
	if unit := asciiUnit(fault.UnitOf(f.name)); unit != "" {
		w.Header().Set(figureUnit, unit)
	}
	return &reply{mediaType: media.Plain, body: []byte(number(value))}, nil
}

func furtherNames() []string {
	names := make([]string, len(furtherFigures))
	for i, f := range furtherFigures {
		names[i] = f.name
	}
	return names
}
