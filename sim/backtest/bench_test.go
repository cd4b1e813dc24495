package backtest_test

import "testing"

// A season of ten-minute rows: about as many as a fit looks at.
func BenchmarkRun(b *testing.B) {
	log := truth{88, 0.034, 0.3, 0.6, 2}.drive(120, 600, 56, sunny(changing), cold)
	noise(log, 7, 0.02, 0.2, 0)
	b.ResetTimer()
	for b.Loop() {
		run(b, log, everything)
	}
}
