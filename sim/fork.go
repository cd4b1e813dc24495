package sim

import "slices"

// forkDays is how many days a fork lies before the year parts at most: the state is
// laid aside so often.
const forkDays = 20

// Fork is a year as it stood some days before anything in it waited for people, or
// broke that they repair. Until then nobody had anything to do, so that the year with
// another operator is the same up to here. Many goroutines may go on from one at once.
type Fork struct {
	m    machine
	next int
}

// lay lays a state aside, before a row.
func (f *Fork) lay(m *machine, next int) {
	f.next, f.m = next, *m
	f.m.unshare()
}

// Run goes on with who comes to another system, which was completed and may differ in
// controls.operator and in how long repairs take alone; in the latter only where the
// year was asked to part for them. It has figures only.
func (f *Fork) Run(s *System) *Year {
	m := f.m
	m.unshare()
	m.people = compilePeople(s, m.whole.from.weather)
	return m.run(f.next, false, false, nil)
}

// unshare gives a copied machine all of its own that a run writes to. What it holds
// for one segment alone is made anew by the next.
func (m *machine) unshare() {
	m.stretch, m.rec = stretch{}, nil
	m.books = new(ledger) // the months have theirs in the machine
	for k := range m.trips {
		m.trips[k] = slices.Clone(m.trips[k])
	}
	for k := range m.line.rounds {
		m.line.rounds[k] = slices.Clone(m.line.rounds[k])
	}
	m.cutOffs = slices.Clone(m.cutOffs)
	if m.flow.Rainflow != nil {
		m.flow.Rainflow = m.flow.Clone(m.countCycle)
	}
}
