package sim

// Located makes a plan look for events in every segment.
func (p *Plan) Located() *Plan {
	q := *p
	q.located = true
	return &q
}
