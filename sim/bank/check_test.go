package bank_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/profiles"
	"bankyear/sim/bank"
	"bankyear/sim/fault"
)

// catalogued is a bank of four modules of a catalogue entry.
func catalogued(t *testing.T, key string) *bank.Spec {
	s := &bank.Spec{Modules: 4, Operation: "data_linked", OnLinkLoss: "fall_back", Estimate: bank.Estimate{Kind: "bms"}}
	for _, e := range profiles.List() {
		if e.Kind == "module" && e.Key == key {
			require.NoError(t, json.Unmarshal(e.Values, &s.Module))
		}
	}
	require.NotZero(t, s.Module.CellsInSeries, key)
	if s.Module.LeadAcid() {
		s.Operation, s.Estimate.Kind = "voltage_only", "shunt"
	}
	set := s.DeriveSettings()
	s.Settings, s.Enclosure.HeaterOnC, s.Enclosure.HeaterOffC = &set, 3, 8
	return s
}

func pointersOf(s *bank.Spec) (out []string) {
	c := fault.New()
	s.Check(c)
	for _, f := range c.Faults() {
		out = append(out, f.Pointer)
	}
	return out
}

func TestCatalogueModulesPass(t *testing.T) {
	for _, e := range profiles.List() {
		if e.Kind == "module" {
			assert.Empty(t, pointersOf(catalogued(t, e.Key)), e.Key)
		}
	}
}

// A release on the trip itself chatters, so that it has to lie on the inner
// side; tables have to rise; what a module cannot do is refused.
func TestCheckRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil    func(*bank.Spec)
		pointers []string
	}{
		"operation":        {func(s *bank.Spec) { s.Module.Operations = []string{"voltage_only"} }, []string{"/operation"}},
		"too many modules": {func(s *bank.Spec) { s.Modules = 17 }, []string{"/modules"}},
		"date of a fault":  {func(s *bank.Spec) { s.LinkFaults.Listed = []bank.LinkFault{{Start: "2025-02-30T08:00", Hours: 1}} }, []string{"/link_faults/listed/0/start"}},
		"date of another":  {func(s *bank.Spec) { s.Link.Gateway.Faults.Listed = []bank.LinkFault{{Start: "noon", Hours: 1}} }, []string{"/link/gateway/faults/listed/0/start"}},
		"heater":           {func(s *bank.Spec) { s.Enclosure.HeaterOffC = 3 }, []string{"/enclosure/heater_off_c"}},
		"counter":          {func(s *bank.Spec) { s.Estimate.Kind = "shunt" }, []string{"/estimate/kind"}},
		"float":            {func(s *bank.Spec) { s.Settings.FloatV = 56.01 }, []string{"/settings/absorb_v"}},
		"no float":         {func(s *bank.Spec) { s.Settings.FloatV = 56 }, nil},
		"restart":          {func(s *bank.Spec) { s.Settings.RestartV = 54 }, []string{"/settings/float_v"}},
		"no own table":     {func(s *bank.Spec) { s.Module.Chemistry = "table" }, []string{"/module/open_circuit_by_soc_v"}},
		"needless table":   {func(s *bank.Spec) { s.Module.OpenCircuit = [][2]float64{{0, 3}, {1, 3.4}} }, []string{"/module/open_circuit_by_soc_v"}},
		"half a table": {func(s *bank.Spec) {
			s.Module.Chemistry, s.Module.OpenCircuit = "table", [][2]float64{{0, 3}, {.9, 3.4}}
		}, []string{"/module/open_circuit_by_soc_v"}},
		"falling voltage": {func(s *bank.Spec) {
			s.Module.Chemistry, s.Module.OpenCircuit = "table", [][2]float64{{0, 3}, {.5, 2.9}, {1, 3.4}}
		}, []string{"/module/open_circuit_by_soc_v/1/1"}},
		"falling table":            {func(s *bank.Spec) { s.Module.ResistanceByC = [][2]float64{{0, 2}, {-10, 3}} }, []string{"/module/resistance_factor_by_c/1/0"}},
		"no resistance":            {func(s *bank.Spec) { s.Module.ResistanceBySoC = [][2]float64{{0, 0}, {1, 1}} }, []string{"/module/resistance_factor_by_soc/0/1"}},
		"three at one °C":          {func(s *bank.Spec) { s.Module.Linked.CeilingByC = [][2]float64{{0, 0}, {0, 5}, {0, 10}} }, []string{"/module/data_linked/charge_a_by_c/2/0"}},
		"falling discharge table":  {func(s *bank.Spec) { s.Module.Linked.DischargeByC = [][2]float64{{0, 50}, {-10, 20}} }, []string{"/module/data_linked/discharge_a_by_c/1/0"}},
		"discharge below nothing":  {func(s *bank.Spec) { s.Module.Linked.DischargeByC = [][2]float64{{0, -5}, {10, 20}} }, []string{"/module/data_linked/discharge_a_by_c/0/1"}},
		"no discharge at all":      {func(s *bank.Spec) { s.Module.Linked.DischargeByC = [][2]float64{{0, 0}} }, []string{"/module/data_linked/discharge_a_by_c"}},
		"falling discharge factor": {func(s *bank.Spec) { s.Module.Linked.DischargeBySoC = [][2]float64{{.5, 1}, {.2, .1}} }, []string{"/module/data_linked/discharge_factor_by_soc/1/0"}},
		"asks at once":             {func(s *bank.Spec) { s.Module.Linked.ResumeBelowV = 56 }, []string{"/module/data_linked/resume_below_v"}},
		"never full":               {func(s *bank.Spec) { s.Module.Linked.FullV = 56.1 }, []string{"/module/data_linked/full_v"}},
		"over-voltage":             {func(s *bank.Spec) { s.Module.Protection.OverReleaseV = 58.4 }, []string{"/module/protection/over_v"}},
		"under-voltage":            {func(s *bank.Spec) { s.Module.Protection.UnderReleaseV = 44 }, []string{"/module/protection/under_v_release_v"}},
		"charge window": {func(s *bank.Spec) {
			s.Module.Protection.ChargeColdReleaseC, s.Module.Protection.ChargeHotReleaseC = 0, 55
		}, []string{"/module/protection/charge_cold_release_c", "/module/protection/charge_hot_c"}},
		"discharge window": {func(s *bank.Spec) {
			s.Module.Protection.DischargeColdReleaseC, s.Module.Protection.DischargeHotReleaseC = -21, 56
		}, []string{"/module/protection/discharge_cold_release_c", "/module/protection/discharge_hot_c"}},
		"peak that lasts longer": {func(s *bank.Spec) { s.Module.PeakAS = [][2]float64{{110, 10}, {150, 60}} }, []string{"/module/discharge_peaks_a_s/1/1"}},
		"deeper and longer":      {func(s *bank.Spec) { s.Module.CyclesByDepth = [][2]float64{{.5, 4000}, {.8, 6000}} }, []string{"/module/cycles_by_depth/1/1"}},
		"charge below nothing":   {func(s *bank.Spec) { s.Module.Linked.CeilingByC = [][2]float64{{0, -5}, {10, 20}} }, []string{"/module/data_linked/charge_a_by_c/0/1"}},
		"no voltage left":        {func(s *bank.Spec) { s.Module.Protection.UnderV, s.Module.Protection.UnderReleaseV = 56, 59 }, []string{"/module/protection/over_v_release_v", "/module/protection/over_v"}},
		"never warm enough": {func(s *bank.Spec) {
			s.Module.Protection.ChargeColdReleaseC, s.Module.Protection.DischargeColdReleaseC = 55, 56
		}, []string{"/module/protection/charge_hot_c", "/module/protection/discharge_hot_c"}},
		"never cool enough": {func(s *bank.Spec) {
			s.Module.Protection.ChargeHotReleaseC, s.Module.Protection.DischargeHotReleaseC = 0, -20
		}, []string{"/module/protection/charge_hot_release_c", "/module/protection/discharge_hot_release_c"}},
		"all of them": {func(s *bank.Spec) { s.Modules, s.Settings.FloatV, s.Enclosure.HeaterOffC = 17, 57, 0 }, []string{"/modules", "/enclosure/heater_off_c", "/settings/absorb_v"}},
	} {
		s := catalogued(t, "lfp_16s_100ah")
		c.spoil(s)
		assert.Equal(t, c.pointers, pointersOf(s), name)
	}
}
