package bank

import "time"

// linkFaultLayout is how a fault's start is written: local standard time
// without zone.
const linkFaultLayout = "2006-01-02T15:04"

// At is the fault's local start.
func (f *LinkFault) At() (time.Time, error) { return time.Parse(linkFaultLayout, f.Start) }
