package api

import (
	"slices"
	"sync"

	"bankyear/sim"
)

// subject is a case while its answer is made.
type subject struct {
	c    *Case
	plan *sim.Plan // nil until it is needed
	year *sim.Year
	more *more
	fork *sim.Fork // the year before anything waited for people; nil where it is not known
	// peopled are the years by presences, as far as they were run.
	peopled [2]*sim.Year
}

// more is what an answer tells from other runs than the year itself, as far as
// it was asked for: each part is nil before. It is kept with the year.
type more struct {
	mu        sync.Mutex
	people    *People
	bands     *Bands
	headroom  *Headroom
	endurance *Endurance
	reliefs   *Reliefs
	wrong     *[]WrongSetting
	fit       []string // that the fit check fails, where it does; known with wrong
}

// task is one part of an answer: runs, in no order, and what is made of them.
type task struct {
	runs []func()
	end  func()
}

// prepare makes the plan.
func (x *subject) prepare(by *crew, others ...*sim.Plan) {
	if x.plan == nil {
		x.plan = by.plans.compile(x.c, others...)
	}
}

// run runs the year itself. As soon as it shows that who is on site makes a
// difference, it calls parts, which may be nil.
func (x *subject) run(by *crew, hours bool, parts func(), others ...*sim.Plan) {
	x.prepare(by, others...)
	x.year = x.plan.RunForking(hours, x.c.Given.RepairsByPeople(), func(f *sim.Fork) {
		if x.fork = f; parts != nil {
			parts()
		}
	})
	by.count()
}

// runWithPeople runs the year itself, and beside it, as far as there are places, the
// years with and without somebody on site, which an answer tells too.
func (x *subject) runWithPeople(by *crew) {
	var waits []func()
	x.run(by, false, func() {
		for i, onSite := range presences {
			if onSite == x.c.System.Controls.Operator.OnSite {
				continue
			}
			if wait, ok := by.meanwhile(func() { x.peopled[i] = x.onSite(by, onSite) }); ok {
				waits = append(waits, wait)
			}
		}
	})
	for _, wait := range waits {
		wait()
	}
}

// onSite runs the year with another operator: from where it parts, if that is known.
func (x *subject) onSite(by *crew, onSite string) *sim.Year {
	s := x.c.Given.Attended(onSite)
	if x.fork == nil {
		return x.again(by, s, 1)
	}
	y := x.fork.Run(s)
	by.count()
	return y
}

// peopleMatter tells whether the year may differ with who is on site.
func (x *subject) peopleMatter() bool {
	return x.year.Waited || x.year.Broke && x.c.Given.RepairsByPeople()
}

// again runs the year of another system with another load, in the weather of the
// case.
func (x *subject) again(by *crew, s *sim.System, loadFactor float64) *sim.Year {
	y := sim.CompileLike(s, x.c.Weather, x.c.Load.Times(loadFactor), x.plan).Run(false)
	by.count()
	return y
}

func (c *crew) count() {
	if c.ran != nil {
		c.ran()
	}
}

// deepen computes what the details ask for and is not known yet. It returns false
// when nobody waits any more.
func deepen(by *crew, subjects []*subject, details ...Detail) bool {
	var tasks []task
	for _, x := range subjects {
		tasks = append(tasks, x.tasks(by, details)...)
	}
	var runs []func()
	for _, t := range tasks {
		runs = append(runs, t.runs...)
	}
	if !by.each(len(runs), func(i int) { runs[i]() }) {
		return false
	}
	return by.each(len(tasks), func(i int) { tasks[i].end() })
}

// tasks lists the parts that are missing.
func (x *subject) tasks(by *crew, details []Detail) []task {
	m := x.more
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []task
	for _, d := range details {
		switch {
		case d == WithPeople && m.people == nil:
			out = append(out, x.peopleTask(by))
		case d == WithSettings && m.wrong == nil:
			out = append(out, x.wrongTask(by))
		case d == WithBands && m.bands == nil:
			out = append(out, x.bandsTask(by))
		case d == WithHeadroom && m.headroom == nil:
			out = append(out, x.headroomTask(by))
		case d == WithEndurance && m.endurance == nil:
			out = append(out, x.enduranceTask(by))
		case d == WithReliefs && m.reliefs == nil:
			out = append(out, x.reliefsTask(by))
		}
	}
	if len(out) > 0 {
		x.prepare(by)
	}
	return out
}

// set changes what is known.
func (m *more) set(change func()) {
	m.mu.Lock()
	defer m.mu.Unlock()
	change()
}

// tell adds the parts that the details ask for to an answer.
func (m *more) tell(a *Answer, details ...Detail) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, d := range details {
		switch d {
		case WithPeople:
			a.People = m.people
		case WithSettings:
			a.Wrong = *m.wrong
			for i, w := range a.Wrong {
				a.Findings = slices.Insert(a.Findings, i, w.Reason+" "+w.Seen)
			}
			a.Findings = slices.Insert(a.Findings, len(a.Wrong), m.fit...)
		case WithBands:
			a.Bands = m.bands
		case WithHeadroom:
			a.Headroom = m.headroom
		case WithEndurance:
			a.Endurance = m.endurance
		case WithReliefs:
			a.Reliefs = m.reliefs
		}
	}
}
