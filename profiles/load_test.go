package profiles

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The hash is a stated function of the columns: computed here from its
// description alone, by the standard library.
func TestHash_AsDescribed(t *testing.T) {
	l := &Load{StepS: 3600, ACEssentialW: []float64{1.5, 0, 3}, DCEssentialW: []float64{0, 0, 0}}
	var bytes []byte
	for _, x := range []float64{3600, 3, 1.5, 0, 3, 0, 0, 0} { // step; rows and column; three empty columns
		bytes = binary.LittleEndian.AppendUint64(bytes, math.Float64bits(x))
	}
	sum := sha256.Sum256(bytes)
	assert.Equal(t, hex.EncodeToString(sum[:]), l.Hash())
}

func TestHash_SaysWhatTheLoadSays(t *testing.T) {
	series := build(t, &Spec{ACEssentialW: constant(8760, 100)}, 2025, 3600)
	appliance := build(t, alone(func(*Appliance) {}), 2025, 3600)
	assert.Equal(t, series.Hash(), appliance.Hash(), "as a series or as an appliance")

	zeros := &Load{StepS: 3600, ACEssentialW: constant(8760, 100), DCFlexibleW: constant(8760, 0)}
	assert.Equal(t, series.Hash(), zeros.Hash(), "a column of zeros is no column")

	negative := &Load{StepS: 3600, ACEssentialW: []float64{1, math.Copysign(0, -1)}}
	assert.Equal(t, (&Load{StepS: 3600, ACEssentialW: []float64{1, 0}}).Hash(), negative.Hash(), "−0 is 0")

	base := func() *Load { return &Load{StepS: 3600, ACEssentialW: constant(8760, 100)} }
	seen := map[string]int{base().Hash(): -1}
	for i, change := range []func(*Load){
		func(l *Load) { l.StepS = 1800 },
		func(l *Load) { l.ACEssentialW[8759] = math.Nextafter(100, 101) },
		func(l *Load) { l.ACEssentialW, l.ACFlexibleW = nil, l.ACEssentialW },
		func(l *Load) { l.DCFlexibleW = constant(8760, 1) },
		func(l *Load) { l.ACEssentialW = l.ACEssentialW[:8759] },
		func(l *Load) { l.Starts = []Start{{Appliance: "it", InrushMultiple: 5, On: make([]bool, 9000)}} },
		func(l *Load) { l.Starts = []Start{{Appliance: "it", InrushMultiple: 6, On: make([]bool, 9000)}} },
	} {
		l := base()
		change(l)
		if other, twice := seen[l.Hash()]; twice {
			t.Errorf("changes %d and %d have the same hash", other, i)
		}
		seen[l.Hash()] = i
	}
}

// A year of 40 appliances.
func forty() *Spec {
	s := &Spec{Appliances: map[string]Appliance{}, ScaleKWhDay: 9}
	for i := range 40 {
		s.Appliances[fmt.Sprintf("appliance_%02d", i)] = one(func(a *Appliance) {
			a.W, a.StandbyW, a.DutyFraction, a.Hours = 50+10*float64(i), 2, .5, fmt.Sprintf("%02d-09,17:30-%02d", i%6, 18+i%7)
			if i%3 == 0 {
				a.Weekdays, a.Months, a.InrushMultiple, a.InrushS = "mon-fri", "apr-oct", 5, .5
			}
			if i%2 == 0 {
				a.Tier = "flexible"
			}
		})
	}
	return s
}

func BenchmarkBuild40(b *testing.B) {
	s := forty()
	build(b, s, 2025, 3600)
	b.ReportAllocs()
	for b.Loop() {
		s.Build(2025, 3600, nil)
	}
}

func BenchmarkHash(b *testing.B) {
	l := build(b, forty(), 2025, 3600)
	for b.Loop() {
		l.Hash()
	}
}
