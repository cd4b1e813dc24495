package api

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// BenchmarkCompare is two candidates on a base: parts of its answer apart, on one
// plan that is compiled already.
func BenchmarkCompare(b *testing.B) {
	var cases Cases
	c, faults, _ := cases.Read(text(b, complete(b)))
	require.Empty(b, faults)
	by := alone()
	x := &subject{c: c, more: &more{}}
	x.run(by, false, nil)
	b.Run("year", func(b *testing.B) {
		for b.Loop() {
			x.plan.Run(false)
		}
	})
	b.Run("compile like", func(b *testing.B) {
		for b.Loop() {
			sim.CompileLike(&c.System, c.Weather, c.Load, x.plan)
		}
	})
	for _, d := range []Detail{WithPeople, WithBands, WithEndurance, WithHeadroom, WithReliefs} {
		b.Run(string(d), func(b *testing.B) {
			for b.Loop() {
				x.more = &more{}
				deepen(by, []*subject{x}, d)
			}
		})
	}
}
