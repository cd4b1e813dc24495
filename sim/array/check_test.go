package array

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/fault"
)

func TestCheck(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*Spec)
		want   []string // pointers at fault
	}{
		{"as it is", func(*Spec) {}, nil},
		{"no array at all", func(s *Spec) { *s = Spec{} }, nil},
		{"unknown charger", func(s *Spec) { p := s.Planes["roof"]; p.Charger = "north"; s.Planes["roof"] = p },
			[]string{"/planes/roof/charger", "/chargers/south"}},
		{"no charger", func(s *Spec) { s.Chargers = nil }, []string{"/planes/roof/charger"}},
		{"charger without a plane", func(s *Spec) { s.Chargers["west"] = *charger() }, []string{"/chargers/west"}},
		{"lists", func(s *Spec) {
			p := s.Planes["roof"]
			p.Losses.SoilingFraction, p.Losses.SnowFraction = []float64{.1, .1}, make([]float64, 11)
			s.Planes["roof"] = p
		}, []string{"/planes/roof/losses/soiling_fraction", "/planes/roof/losses/snow_fraction"}},
		{"snow stated twice", func(s *Spec) {
			p := s.Planes["roof"]
			p.Losses.SnowAt60DegFraction = []float64{.1, .1}
			s.Planes["roof"] = p
		}, []string{"/planes/roof/losses/snow_at_60_deg_fraction", "/planes/roof/losses/snow_at_60_deg_fraction"}},
		{"snow at a tilt of a tracker", func(s *Spec) {
			p := s.Planes["roof"]
			p.Tracker, p.Losses.SnowFraction, p.Losses.SnowAt60DegFraction = &Tracker{}, nil, []float64{.1}
			s.Planes["roof"] = p
		}, []string{"/planes/roof/losses/snow_at_60_deg_fraction"}},
		{"tracker that does not turn", func(s *Spec) {
			p := s.Planes["roof"]
			p.Tracker, p.TiltDeg = &Tracker{}, 0
			s.Planes["roof"] = p
		}, []string{"/planes/roof/tilt_deg"}},
		{"data sheet", func(s *Spec) {
			p := s.Planes["roof"]
			p.SingleDiode = &SingleDiode{ShortCircuitA: 9, OpenCircuitV: 38, HighestPowerA: 9, HighestPowerV: 31}
			s.Planes["roof"] = p
		}, []string{"/planes/roof/single_diode/highest_power_a"}},
		{"strings without voltages", func(s *Spec) {
			p := s.Planes["roof"]
			p.Strings = &Strings{InSeries: 3}
			s.Planes["roof"] = p
		}, []string{"/planes/roof/strings/open_circuit_v", "/planes/roof/strings/highest_power_v"}},
		{"strings of no module", func(s *Spec) {
			p := s.Planes["roof"]
			p.Strings = &Strings{InSeries: 3, OpenCircuitV: 37, HighestPowerV: 45}
			s.Planes["roof"] = p
		}, []string{"/planes/roof/strings/highest_power_v"}},
		{"twelve", func(s *Spec) {
			p := s.Planes["roof"]
			p.Losses.SnowFraction = make([]float64, 12)
			s.Planes["roof"] = p
		}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := &Spec{Planes: map[string]Plane{"roof": *roof()}, Chargers: map[string]Charger{"south": *charger()}}
			row.change(s)
			c := fault.New()
			s.Check(c)
			var got []string
			for _, f := range c.Faults() {
				got = append(got, f.Pointer)
				assert.NotEmpty(t, f.Message)
			}
			assert.Equal(t, row.want, got)
		})
	}
}
