package study_test

import (
	"testing"

	"bankyear/sim/study"
)

// Naming the assignments of a run of a sampled study.
func BenchmarkRun(b *testing.B) {
	s := sweepOf(modules(2, 4, 6, 8), study.Axis{Path: "kw", Range: &study.Range{Start: 1, End: 9}}, study.Axis{Path: "ohm", LogRange: &study.LogRange{Start: .01, End: 1}})
	s.Points, s.Samples = "sobol", 10_000
	p := planOf(b, s)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		p.Run(i % p.Runs())
		i++
	}
}

// Expanding a sizing of 10,000 candidates, in its order.
func BenchmarkPlan(b *testing.B) {
	s := sizingOf(study.Axis{Path: "a", Range: &study.Range{Start: 1, End: 100, Step: 1}}, study.Axis{Path: "b", Range: &study.Range{Start: 1, End: 100, Step: 1}})
	b.ReportAllocs()
	for b.Loop() {
		planOf(b, s)
	}
}

// Percentiles and their intervals of 1,000 years.
func BenchmarkSummarise(b *testing.B) {
	values := make([]float64, 1000)
	for i := range values {
		values[i] = float64(i * 7919 % 1000)
	}
	b.ReportAllocs()
	for b.Loop() {
		study.Summarise(values, 5, precise)
	}
}

// Judging a sizing of 10,000 candidates and finding its frontier and border.
func BenchmarkSizing(b *testing.B) {
	p := planOf(b, sizingOf(study.Axis{Path: "a", Range: &study.Range{Start: 1, End: 100, Step: 1}}, study.Axis{Path: "b", Range: &study.Range{Start: 1, End: 100, Step: 1}}))
	rows := make([][]float64, p.Runs())
	for i := range rows {
		rows[i] = make([]float64, len(study.Figures()))
		a := p.Run(i).Assignments
		rows[i][study.Column("downtime_h")] = max(0, 2000-value(a, "a", 0)*value(a, "b", 0))
	}
	for b.Loop() {
		z := p.Sizer()
		for i, row := range rows {
			z.Add(i, row)
		}
		z.Answer(written)
	}
}
