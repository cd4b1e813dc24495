package sim

import (
	"fmt"
	"math"
	"slices"
)

// Event is one change of state.
type Event struct {
	At       string   `json:"at" doc:"Local time."`
	What     string   `json:"what" doc:"What changed."`
	Of       string   `json:"of,omitzero" doc:"Of what kind."`
	Times    int      `json:"times,omitzero" doc:"Where those of one kind on one day are told as one, the first: how often; left out for once."`
	SoC      float64  `json:"soc_fraction" doc:"True SoC."`
	Reported *float64 `json:"reported_soc_fraction,omitzero" required:"false" doc:"Reported SoC; left out where nothing reports one."`
	CellC    float64  `json:"cell_c" doc:"Cell temperature."`
	seconds  float64
	incident bool
}

// Before is what the 48 h before an outage brought.
type Before struct {
	Hours             float64 `json:"hours" doc:"Time that is told of: 48 h, less at the year's start."`
	SolarAvailableKWh float64 `json:"solar_available_kwh" doc:"What the planes could have given."`
	SolarUsedKWh      float64 `json:"solar_used_kwh" doc:"What was taken of it."`
	LoadKWh           float64 `json:"load_kwh" doc:"Demand."`
	GeneratorKWh      float64 `json:"generator_kwh" doc:"What the generator made."`
	ColdestCellC      float64 `json:"coldest_cell_c" doc:"Lowest mean cell temperature of an interval."`
}

const (
	beforeS    = 48 * 3600 // how far back the chain goes
	eventsMost = 60        // events that a chain, or the course of an outage, tells at most
)

// note adds an event to what led to the next outage and to the course of the
// present one.
func (r *recorder) note(m *machine, what, of string) { r.add(m, what, of, false) }

// tell likewise, and adds it to the incidents of the year.
func (r *recorder) tell(m *machine, what, of string) { r.add(m, what, of, true) }

func (r *recorder) add(m *machine, what, of string, incident bool) {
	e := Event{What: what, Of: of, SoC: m.trueSoC(), Reported: m.reportedSoC(), CellC: m.celsius, seconds: m.now, incident: incident}
	for len(r.events) > 0 && r.events[0].seconds < m.now-beforeS {
		r.events = r.events[1:]
	}
	r.events = append(r.events, e)
	if m.outage.cause != NoCause {
		r.course.add(e)
	}
	if incident {
		r.incidents = merge(r.incidents, e)
	}
}

// turn notes what became true or ceased to be; "" for what is not told.
func (r *recorder) turn(m *machine, was, now bool, on, off string) {
	switch {
	case now && !was && on != "":
		r.note(m, on, "")
	case was && !now && off != "":
		r.note(m, off, "")
	}
}

// course is what happens during an outage.
type course struct {
	list []Event
	left int // events that are not told
}

// add takes an event. Where there are too many they are merged, and where that does
// not help one from the middle is left out: the nearest to it that is no incident, or
// the middle itself.
func (c *course) add(e Event) {
	if len(c.list) == eventsMost {
		c.list = merged(c.list)
	}
	if len(c.list) == eventsMost {
		const middle = eventsMost / 2
		out := middle
		for d := range middle {
			if !c.list[middle+d].incident {
				out = middle + d
				break
			}
			if !c.list[middle-1-d].incident {
				out = middle - 1 - d
				break
			}
		}
		c.left += max(1, c.list[out].Times)
		c.list = slices.Delete(c.list, out, out+1)
	}
	c.list = append(c.list, e)
}

// merged makes one of the events of one kind on one day, at the time of the first.
func merged(list []Event) []Event {
	out := make([]Event, 0, len(list))
	for _, e := range list {
		out = merge(out, e)
	}
	return out
}

// merge adds an event to a list in which those of one kind on one day are one.
func merge(list []Event, e Event) []Event {
	day := func(e *Event) float64 { return math.Floor(e.seconds / 86400) }
	for i := len(list) - 1; i >= 0 && day(&list[i]) == day(&e); i-- {
		if was := &list[i]; was.What == e.What && was.Of == e.Of {
			was.Times = max(1, was.Times) + max(1, e.Times)
			return list
		}
	}
	return append(list, e)
}

// dated is a list with its times written out.
func (p *Plan) dated(list []Event) []Event {
	out := make([]Event, len(list))
	for i, e := range list {
		e.At = p.sky.date(e.seconds)
		out[i] = e
	}
	return out
}

// A re-set of the reported SoC is told where it ends this far from the truth and
// moves at all, or where it moves far (common practice, no source). A shunt's full of
// lead-acid comes at a tail current, with a part of the charge still to go.
const (
	setFalsely     = 0.05
	setFalselyAcid = 0.1
	setAtAll       = 0.01
	setFar         = 0.1
)

// reset tells of a re-set of the reported SoC, after it.
func (r *recorder) reset(m *machine, was float64) {
	from, off, moved := fmt.Sprintf("from %.0f %%", 100*was), math.Abs(m.soc-m.trueSoC()), math.Abs(m.soc-was)
	far := setFalsely
	if m.p.acid != nil {
		far = setFalselyAcid
	}
	switch {
	case moved < setAtAll:
	case off >= far && m.soc == 1:
		r.tell(m, "reported charge is set to full, falsely", from)
	case off >= far:
		r.tell(m, "reported charge is set low, falsely", from)
	case moved >= setFar:
		r.tell(m, "reported charge is set right", from)
	}
}

// chain is what led to an outage that begins now: the events of the 48 h before.
func (r *recorder) chain(m *machine) ([]Event, Before) {
	for len(r.events) > 0 && r.events[0].seconds < m.now-beforeS {
		r.events = r.events[1:]
	}
	list := r.events
	if len(list) > eventsMost {
		list = merged(list)
	}
	told := m.p.dated(list[max(0, len(list)-eventsMost):])
	rows := min(r.row, int(beforeS/m.p.sky.stepS))
	b := Before{Hours: float64(rows) * m.p.sky.stepS / 3600, ColdestCellC: m.celsius}
	const kwh = 1. / 1000
	h := m.p.sky.stepS / 3600
	for i := r.row - rows; i < r.row; i++ {
		at := func(c int) float64 { return float64(r.hours.Values[c][i]) }
		b.SolarAvailableKWh += at(colSolarAvail) * h * kwh
		b.SolarUsedKWh += at(colSolarUsed) * h * kwh
		b.LoadKWh += at(colLoad) * h * kwh
		b.GeneratorKWh += at(colGenerator) * h * kwh
		b.ColdestCellC = min(b.ColdestCellC, at(colCell))
	}
	return told, b
}
