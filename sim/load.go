package sim

// Load is what the site asks for, one row an interval of the weather, W. AC
// load goes through the inverter, DC load straight to the bus. Essential load
// is what downtime is counted on; flexible load is shed first. A nil column is
// no load.
type Load struct {
	ACEssentialW, ACFlexibleW []float64
	DCEssentialW, DCFlexibleW []float64
}

// Times is the load with every power times a factor; the same object for 1.
func (l *Load) Times(factor float64) *Load {
	if factor == 1 {
		return l
	}
	scaled := *l
	for _, column := range []*[]float64{&scaled.ACEssentialW, &scaled.ACFlexibleW, &scaled.DCEssentialW, &scaled.DCFlexibleW} {
		if *column == nil {
			continue
		}
		from := *column
		*column = make([]float64, len(from))
		for i, w := range from {
			(*column)[i] = w * factor
		}
	}
	return &scaled
}
