package profiles

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawAppliance(t *rapid.T, name string) Appliance {
	return one(func(a *Appliance) {
		a.W = rapid.Float64Range(1, 5000).Draw(t, name+" w")
		a.StandbyW = a.W * rapid.Float64Range(0, 1).Draw(t, name+" standby")
		a.DutyFraction = rapid.Float64Range(.01, 1).Draw(t, name+" duty")
		from, length := rapid.IntRange(0, 1439).Draw(t, name+" from"), rapid.IntRange(1, 1439).Draw(t, name+" minutes")
		to := (from + length) % 1440
		a.Hours = fmt.Sprintf("%02d:%02d-%02d:%02d", from/60, from%60, to/60, to%60)
		a.Weekdays = rapid.SampledFrom([]string{"", "mon-fri", "sat,sun", "wed", "sun-tue"}).Draw(t, name+" weekdays")
		a.Months = rapid.SampledFrom([]string{"", "may-sep", "nov-feb", "jan"}).Draw(t, name+" months")
	})
}

// The energy of a year does not depend on the grid that it is put on.
func TestBuild_EnergyOnAnyGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &Spec{Appliances: map[string]Appliance{"it": drawAppliance(t, "it")}}
		year := rapid.IntRange(1990, 2040).Draw(t, "year")
		hourly, _ := s.Build(year, 3600, nil)
		stepS := rapid.SampledFrom(steps[1:5]).Draw(t, "step")
		fine, _ := s.Build(year, stepS, nil)
		a, b := hourly.MeanKWhPerDay(), fine.MeanKWhPerDay()
		if math.Abs(a-b) > 1e-9*a {
			t.Fatalf("%g kWh/d hourly, %g kWh/d in steps of %d s", a, b, stepS)
		}
	})
}

// Appliances add: together they are the sum of each alone, and n equal ones
// are n times one; no row is negative.
func TestBuild_AppliancesAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawAppliance(t, "a"), drawAppliance(t, "b")
		a.Count = rapid.IntRange(1, 5).Draw(t, "count")
		single := a
		single.Count = 1
		both, _ := (&Spec{Appliances: map[string]Appliance{"a": a, "b": b}}).Build(2025, 3600, nil)
		onlyA, _ := (&Spec{Appliances: map[string]Appliance{"a": single}}).Build(2025, 3600, nil)
		onlyB, _ := (&Spec{Appliances: map[string]Appliance{"b": b}}).Build(2025, 3600, nil)
		for i, w := range both.ACEssentialW {
			want := float64(a.Count)*onlyA.ACEssentialW[i] + onlyB.ACEssentialW[i]
			if w < 0 || math.Abs(w-want) > 1e-9*(1+want) {
				t.Fatalf("row %d: %g W, alone %g W", i, w, want)
			}
		}
	})
}

// What is read as hours covers each minute of a day at most once and as long as
// the spans are; what is read as names or dates does not panic in use.
func FuzzCalendarTexts(f *testing.F) {
	for _, text := range []string{"09-11", "06-09,17:30-22", "22-02", "24-07", "mon-fri", "sat,sun", "fri-mon", "nov-feb", "12-24/01-02", "02-29", "9-", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if spans, err := parseHours(text); err == nil {
			length, covered := 0, 0.0
			for _, s := range spans {
				length += s.toS - s.fromS
			}
			today, next := cover(spans, 60)
			for i := range today {
				if today[i]+next[i] > 1 {
					t.Fatalf("%q: minute %d twice", text, i)
				}
				covered += today[i] + next[i]
			}
			if length == 0 || math.Abs(covered*60-float64(length)) > 1e-6 {
				t.Fatalf("%q: %d s of spans cover %g s", text, length, covered*60)
			}
		}
		for _, names := range [][]string{weekdays, months} {
			if in, err := parseNames(text, names); err == nil && len(in) != len(names) {
				t.Fatalf("%q: %d marks", text, len(in))
			}
		}
		if d, err := parseDates(text); err == nil && (!d.has(d.from) || !d.has(d.to)) {
			t.Fatalf("%q does not hold its own ends", text)
		}
	})
}
