package sim_test

import "testing"

// BenchmarkYear is one hourly year of the field station, figures only.
func BenchmarkYear(b *testing.B) {
	p := plan(b)
	b.ReportAllocs()
	for b.Loop() {
		p.Run(false)
	}
}
