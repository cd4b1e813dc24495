package sim

import (
	"math"
	"slices"
)

// Load is what the site asks for, one row an interval of the weather, W. AC
// load goes through the inverter, DC load straight to the bus. Essential load
// is what downtime is counted on; flexible load is shed first. A nil column is
// no load.
type Load struct {
	ACEssentialW, ACFlexibleW []float64
	DCEssentialW, DCFlexibleW []float64
	// Starts is the appliances that start with more than their running current,
	// or run at a power factor. Their energy is in the columns.
	Starts []Start
	// Shifts is flexible energy that is in no column: each may be taken at any
	// time of its hours.
	Shifts []Shift
}

// Shift is an appliance that may shift within its hours: in each stretch of rows
// on end with a part of On it owes the energy of W · MeanFraction · On.
type Shift struct {
	Appliance    string
	DC           bool
	W            float64 // while it runs
	MeanFraction float64 // above 0, at most 1
	On           []float64
}

// Start is an appliance as the inverter and the bank meet it when it starts.
type Start struct {
	Appliance      string
	DC, Flexible   bool
	Count          int     // equal ones, each starting on its own
	RunningW       float64 // one of them
	MeanFraction   float64 // mean over running power while it is on
	PowerFactor    float64 // above 0, at most 1
	InrushMultiple float64 // starting over running current, 1 for none
	InrushS        float64 // how long that lasts, 0 for none
	// StartsPerH is the starts of one in each hour that it is on; 0 is once
	// each time it is switched on.
	StartsPerH float64
	// On marks the rows in which it is on for some of the time.
	On []bool
}

// reactive is the reactive power that one watt of it takes, var/W.
func (s *Start) reactive() float64 {
	return math.Sqrt(1-s.PowerFactor*s.PowerFactor) / s.PowerFactor
}

// reactive is what takes reactive power while it is on, var in the mean.
type reactive struct {
	on       []bool
	flexible bool
	vars     float64
}

func (l *Load) reactives() []reactive {
	var list []reactive
	for k := range l.Starts {
		if s := &l.Starts[k]; !s.DC {
			list = append(list, reactive{s.On, s.Flexible, float64(s.Count) * s.RunningW * s.MeanFraction * s.reactive()})
		}
	}
	return list
}

// apparent is volt-amperes over watts of AC load:
//
//	S/P = √(P² + Q²)/P, Q the mean reactive power of what is on
//
// 1 where there is no reactive load.
func apparent(watts, vars float64) float64 {
	if vars == 0 || watts == 0 {
		return 1
	}
	return math.Sqrt(watts*watts+vars*vars) / watts
}

// Times is the load with every power times a factor, that of motors too; the
// same object for 1.
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
	scaled.Starts = slices.Clone(l.Starts)
	for i := range scaled.Starts {
		scaled.Starts[i].RunningW *= factor
	}
	scaled.Shifts = slices.Clone(l.Shifts)
	for i := range scaled.Shifts {
		scaled.Shifts[i].W *= factor
	}
	return &scaled
}
