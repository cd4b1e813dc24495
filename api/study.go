package api

import (
	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// StudyRequest is a base and what its runs change in it.
type StudyRequest struct {
	Name  string         `json:"name,omitzero" required:"false" hash:"-" doc:"What the customer calls it; repeated in the answer."`
	Notes string         `json:"notes,omitzero" required:"false" hash:"-" doc:"For people; not repeated."`
	Base  *document.Node `json:"base" doc:"A request, as for a simulation. Every run is the base with the values of its axes, its weather year and its draws of chance set in it (JSON Merge Patch, RFC 7396)."`
	study.Spec
	Further []string `json:"further_figures,omitzero" required:"false" enum:"autonomy_h,days_to_damage,recharge_by_sun_h,recharge_by_generator_h,load_headroom_fraction,breaks_first,breaks_second,attended_downtime_h,nobody_there_downtime_h,downtime_low_h,downtime_high_h,downtime_words" doc:"Figures that each run tells beside those of its year, as columns after the others, from further years of its system that take as long again: load_headroom_fraction and breaks_… together about 20 years a run, downtime_low_h to downtime_words 4 where the year is chaotic, attended_… and nobody_there_… up to 2, autonomy_h to recharge_… together less than one. The estimate counts them. A sizing cannot limit them."`
}

// Study is a study whose structure passed its checks: what its runs are is known,
// not yet whether each of them can be simulated.
type Study struct {
	Name    string
	Plan    *study.Plan
	request *StudyRequest
	base    *document.Node
	nodes   map[levelKey]*document.Node // of the separate values of the axes
	varied  []variable
	// unread is what is wrong with axes, taken alone; check tells it.
	unread fault.Faults
}

// variable is a member that runs set, and where the study says so.
type variable struct {
	path    string
	pointer string // in the study
	numeric bool   // each of its values is a number
}

// levelKey is a value of an axis.
type levelKey struct{ path, text string }

// readStudy takes the JSON of a study. isJSON is false when its faults are that it
// is no JSON. A study without faults is still to be checked.
func readStudy(raw []byte) (s *Study, faults fault.Faults, isJSON bool) {
	tree, faults := document.Parse(raw)
	if tree == nil {
		return nil, faults, false
	}
	s = &Study{request: &StudyRequest{}, nodes: map[levelKey]*document.Node{}}
	_, more := document.Decode(tree, s.request)
	ranges := fault.New()
	fault.CheckTags(ranges, s.request)
	if faults = beyond(faults, more); len(faults) > 0 || len(ranges.Faults()) > 0 {
		return nil, condense(beyond(faults, ranges.Faults())), true
	}
	if s.Plan, faults = s.request.Plan(); len(faults) > 0 {
		return nil, condense(faults), true
	}
	s.Name, s.base = s.request.Name, withoutNames(s.request.Base)
	s.unread = s.readAxes()
	return s, nil, true
}

// withoutNames leaves out of a request what is for people alone.
func withoutNames(request *document.Node) *document.Node {
	null := &document.Node{}
	return document.Merge(request, mustSet(mustSet(nil, "name", null), "notes", null))
}

// readAxes reads the values of every axis by the type of the member that it leads
// to.
func (s *Study) readAxes() fault.Faults {
	c := fault.New()
	r := s.request
	for i := range r.Axes {
		s.readAxis(c.At("axes", itoa(i)), &r.Axes[i])
	}
	if r.Years != nil {
		s.readAxis(c.At("years"), r.Years)
	}
	if r.Chance != nil {
		for i, path := range r.Chance.SeedPaths {
			at := c.At("chance", "seed_paths", itoa(i))
			s.varied = append(s.varied, variable{path, at.Pointer(), true})
			if s.readPath(at, path) {
				s.readLevel(at, path, "1")
			}
		}
		for i := range r.Chance.Draws {
			s.readAxis(c.At("chance", "draws", itoa(i)), &r.Chance.Draws[i])
		}
	}
	return c.Faults()
}

func (s *Study) readAxis(at fault.Collector, a *study.Axis) {
	s.varied = append(s.varied, variable{a.Path, at.Pointer(), a.Choices == nil})
	if !s.readPath(at.At("path"), a.Path) {
		return
	}
	for i, level := range a.Levels() {
		place := at
		switch {
		case a.Numbers != nil:
			place = at.At("numbers", itoa(i))
		case a.Choices != nil:
			place = at.At("choices", itoa(i))
		case a.Range != nil:
			place = at.At("range")
		case a.LogRange != nil:
			place = at.At("log_range")
		}
		s.readLevel(place, a.Path, level.String())
	}
}

// readPath tells whether a path leads to a member of a request.
func (s *Study) readPath(at fault.Collector, path string) bool {
	_, err := document.TypeAt(requestType, path)
	if err == nil {
		return true
	}
	f := err.(fault.Fault)
	at.Add(path, f.Allowed, f.Unit, "leads to "+f.Pointer+", which "+f.Message)
	return false
}

// readLevel reads one value by the type of its member.
func (s *Study) readLevel(at fault.Collector, path, text string) {
	patch, faults := document.SetText(nil, requestType, path, text)
	for _, f := range faults {
		at.Add(f.Value, f.Allowed, f.Unit, f.Message)
	}
	if len(faults) == 0 {
		s.nodes[levelKey{path, text}] = valueAt(patch, path)
	}
}

// node is the value of an assignment as it is set in a request.
func (s *Study) node(a study.Assignment) *document.Node {
	if x, isNumber := a.Value.Number(); isNumber {
		if n := s.nodes[levelKey{a.Path, a.Value.String()}]; n != nil {
			return n
		}
		return document.NumberOf(x)
	}
	return s.nodes[levelKey{a.Path, a.Value.String()}]
}

// patch is a merge patch that makes the assignments.
func (s *Study) patch(list []study.Assignment) *document.Node {
	var patch *document.Node
	for _, a := range list {
		patch = mustSet(patch, a.Path, s.node(a)) // no two paths of a study meet
	}
	return patch
}

// Request is the request of one run, as a single simulation would state it.
func (s *Study) Request(run int) *document.Node {
	return document.Merge(s.base, s.patch(s.Plan.Run(run).Assignments))
}
