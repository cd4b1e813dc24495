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

// BenchmarkYearWithHours is the same with every hour and all that is told of it.
func BenchmarkYearWithHours(b *testing.B) {
	p := plan(b)
	b.ReportAllocs()
	for b.Loop() {
		p.Run(true)
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

// BenchmarkAcidYear is one hourly year of the same station on the lead-acid bank
// that it had, figures only: without a generator, and with one.
func BenchmarkAcidYear(b *testing.B) {
	for _, c := range keptBanks {
		p := plan(b, c.patches...)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p.Run(false)
			}
			b.ReportMetric(float64(p.Segments()), "segments")
		})
	}
}

// keptBanks are the station's lead-acid banks.
var keptBanks = []struct {
	name    string
	patches []string
}{
	{"vented alone", []string{noModule, vented, noSet}},
	{"vented", []string{noModule, vented, acidRules}},
	{"sealed alone", []string{noModule, sealed, noSet}},
	{"sealed", []string{noModule, sealed, acidRules}},
}

// acidRules start a generator at half of the charge, or by voltages under load at
// which a lead-acid bank is near its end.
const acidRules = `{"generators":{"main":{"start_soc_fraction":0.5,"stop_soc_fraction":0.9,"start_below":[{"v":47.5,"hold_s":900},{"v":46.5,"hold_s":120}]}}}`
