package sim_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// BenchmarkYear is one hourly year of the field station, figures only.
func BenchmarkYear(b *testing.B) {
	p := plan(b)
	b.ReportAllocs()
	for b.Loop() {
		p.Run(false)
	}
}

// BenchmarkYearWithoutStarts is the same without a look at any motor's start.
func BenchmarkYearWithoutStarts(b *testing.B) {
	s := system(b)
	w, err := burlington()
	require.NoError(b, err)
	l := load(b, &s.Load, w)
	l.Starts = nil
	p := sim.Compile(&s.System, w, l)
	b.ReportAllocs()
	for b.Loop() {
		p.Run(false)
	}
}
