package profiles

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"
)

// Load is what a site asks for over one year, one row for each interval of
// StepS seconds, each the interval's mean power in W. AC load goes through the
// inverter, DC load straight to the bus; flexible load is shed first. A nil
// column is no load.
type Load struct {
	StepS                     int
	ACEssentialW, ACFlexibleW []float64
	DCEssentialW, DCFlexibleW []float64
	// Starts is the appliances whose inrush or power factor matters to an
	// inverter, by name.
	Starts []Start
	// Shifts is the appliances that may shift within their hours; their energy is
	// in no column.
	Shifts []Shift
	// Meter is what was found in metered data; nil when there is none. It is no
	// part of the hash.
	Meter *MeterReport
}

// Start is an appliance as the inverter meets it.
type Start struct {
	Appliance      string
	DC, Flexible   bool
	Count          int     // equal ones, each starting on its own
	RunningW       float64 // one of them
	MeanFraction   float64 // mean over running power while it is on, any scaling of the load included
	PowerFactor    float64 // while running
	InrushMultiple float64 // starting over running current; 1 when there is no inrush
	InrushS        float64 // how long that lasts; 0 when there is no inrush
	// StartsPerH is the starts of one in each hour that it is on; 0 is once
	// each time it is switched on.
	StartsPerH float64
	// On marks the rows of the load in which it is on for some of the time.
	On []bool
}

// RunningVA is what one of them loads an inverter with while it runs.
func (s *Start) RunningVA() float64 { return s.RunningW / s.PowerFactor }

// InrushVA is what one of them loads an inverter with while it starts.
func (s *Start) InrushVA() float64 { return s.RunningVA() * s.InrushMultiple }

// columns lists the columns in their fixed order.
func (l *Load) columns() [4]*[]float64 {
	return [4]*[]float64{&l.ACEssentialW, &l.ACFlexibleW, &l.DCEssentialW, &l.DCFlexibleW}
}

// MeanKWhPerDay is the energy of the year over its days.
func (l *Load) MeanKWhPerDay() float64 {
	sum, rows := 0.0, 0
	for _, c := range l.columns() {
		for _, w := range *c {
			sum += w
		}
		rows = max(rows, len(*c))
	}
	for _, s := range l.Shifts {
		rows = max(rows, len(s.On))
		for _, on := range s.On {
			sum += on * s.W * s.MeanFraction
		}
	}
	if rows == 0 {
		return 0
	}
	return sum / float64(rows) * 24 / 1000
}

// Hash names the load by what it says and not by how it was given: SHA-256, in
// hexadecimal, over the step, the columns as little-endian float64 (−0 as 0),
// and the starts. A column of zeros is the same as none.
func (l *Load) Hash() string {
	w := hasher{h: sha256.New()}
	w.number(float64(l.StepS))
	for _, c := range l.columns() {
		w.column(*c)
	}
	for _, s := range l.Starts {
		w.number(float64(len(s.Appliance)))
		w.write([]byte(s.Appliance))
		for _, x := range []float64{
			flag(s.DC), flag(s.Flexible), float64(s.Count), s.RunningW, s.MeanFraction, s.PowerFactor, s.InrushMultiple, s.InrushS, s.StartsPerH,
		} {
			w.number(x)
		}
		w.number(float64(len(s.On)))
		w.marks(s.On)
	}
	for _, s := range l.Shifts {
		w.number(float64(len(s.Appliance)))
		w.write([]byte(s.Appliance))
		for _, x := range []float64{flag(s.DC), s.W, s.MeanFraction} {
			w.number(x)
		}
		w.column(s.On)
	}
	w.flush()
	return hex.EncodeToString(w.h.Sum(nil))
}

func flag(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// hasher gathers small writes before they are hashed.
type hasher struct {
	h      hash.Hash
	buffer [4096]byte
	n      int
}

func (w *hasher) column(values []float64) {
	empty := true
	for _, x := range values {
		if x != 0 {
			empty = false
			break
		}
	}
	if empty {
		w.number(0)
		return
	}
	w.number(float64(len(values)))
	for _, x := range values {
		w.number(x)
	}
}

// marks writes eight marks a byte, the first in the lowest bit.
func (w *hasher) marks(on []bool) {
	packed := make([]byte, (len(on)+7)/8)
	for i, mark := range on {
		if mark {
			packed[i/8] |= 1 << (i % 8)
		}
	}
	w.write(packed)
}

func (w *hasher) number(x float64) {
	if x == 0 {
		x = 0 // −0
	}
	if w.n+8 > len(w.buffer) {
		w.flush()
	}
	binary.LittleEndian.PutUint64(w.buffer[w.n:], math.Float64bits(x))
	w.n += 8
}

func (w *hasher) write(b []byte) {
	if w.n+len(b) > len(w.buffer) {
		w.flush()
	}
	if len(b) > len(w.buffer) {
		w.h.Write(b)
		return
	}
	w.n += copy(w.buffer[w.n:], b)
}

func (w *hasher) flush() {
	w.h.Write(w.buffer[:w.n])
	w.n = 0
}
