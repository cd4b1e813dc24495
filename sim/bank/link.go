package bank

import "time"

// localLayout is how the start of a fault is written: local standard time
// without zone.
const localLayout = "2006-01-02T15:04"

// At is the fault's local start.
func (f *LinkFault) At() (time.Time, error) { return time.Parse(localLayout, f.Start) }

// At is the local time of the break.
func (l *LinkChain) At() (time.Time, error) { return time.Parse(localLayout, l.Start) }

// ActTogether tells whether one trip opens all modules.
func (s *Spec) ActTogether() bool { return s.Together == nil || *s.Together }

// At is the local time at which the modules drop out.
func (o *ModulesOut) At() (time.Time, error) { return time.Parse(localLayout, o.Start) }
