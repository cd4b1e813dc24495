package sim

// Load is what the site asks for, one row an interval of the weather, W. AC
// load goes through the inverter, DC load straight to the bus. Essential load
// is what downtime is counted on; flexible load is shed first. A nil column is
// no load.
type Load struct {
	ACEssentialW, ACFlexibleW []float64
	DCEssentialW, DCFlexibleW []float64
}
