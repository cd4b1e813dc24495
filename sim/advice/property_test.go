package advice

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

var noNumber = regexp.MustCompile(`NaN|Inf|%!`)

// Whatever the system: every finding has a verdict and a reason, each check
// comes once, numbers are finite, and the texts hold their width.
func TestFitAndSheetOfAnySystem(t *testing.T) {
	base := station(t)
	rapid.Check(t, func(t *rapid.T) {
		s := *base
		b := &s.Bank
		b.Modules = rapid.IntRange(1, 64).Draw(t, "modules")
		b.Operation = rapid.SampledFrom([]string{"data_linked", "voltage_only"}).Draw(t, "operation")
		b.OnLinkLoss = rapid.SampledFrom([]string{"bank_opens", "all_stop", "charge_stops", "fall_back"}).Draw(t, "loss")
		b.Link.AfterLoss = rapid.SampledFrom([]string{"pushed_kept", "last_hand_set", "factory_lead_acid"}).Draw(t, "after")
		b.Module.Chemistry, b.Module.OpenCircuit = rapid.SampledFrom([]string{"lfp", "nmc", "table"}).Draw(t, "chemistry"), nil
		if b.Module.Chemistry == "table" {
			b.Module.OpenCircuit = [][2]float64{{0, 3}, {1, rapid.Float64Range(3, 4.5).Draw(t, "full cell")}}
		}
		b.Module.CellsInSeries = rapid.IntRange(1, 40).Draw(t, "cells")
		b.Module.ResistanceOhm = rapid.Float64Range(.00001, 1).Draw(t, "ohm")
		b.Module.Disconnect = rapid.SampledFrom([]string{"one_switch", "directional"}).Draw(t, "disconnect")
		b.Enclosure.Kind = rapid.SampledFrom([]string{"outdoor", "ventilated_room", "insulated_cupboard", "fixed", "seasonal"}).Draw(t, "enclosure")
		b.Estimate = bank.Estimate{Kind: rapid.SampledFrom([]string{"", "bms", "shunt", "none", "exact"}).Draw(t, "kind")}
		set := b.DeriveSettings()
		set.AbsorbV = rapid.Float64Range(1, 200).Draw(t, "absorb")
		set.FloatV = rapid.Float64Range(1, 200).Draw(t, "float")
		set.ChargeA = rapid.Float64Range(.1, 1000).Draw(t, "charge")
		set.CompensationV = rapid.Float64Range(-1, 1).Draw(t, "compensation")
		b.Settings = &set
		s.Inverter.RatedW = rapid.Float64Range(1, 1e6).Draw(t, "rated")
		s.Controls.LowEnd.CutOffV = rapid.Float64Range(.1, 200).Draw(t, "cut off")
		if rapid.Bool().Draw(t, "no generator") {
			s.Generators = nil
		}
		var site Extremes
		if rapid.Bool().Draw(t, "site known") {
			low := rapid.Float64Range(-60, 30).Draw(t, "low")
			high := low + rapid.Float64Range(0, 50).Draw(t, "swing")
			site = Extremes{LowestAirC: &low, HighestAirC: &high}
		}
		findings, sheet := Fit(&s, site), SheetOf(&s)
		others := func(f Finding) bool { return !slices.Contains(wrongOrder, f.Check) }
		assert.Equal(t, slices.DeleteFunc(slices.Clone(findings), others), slices.DeleteFunc(charging(&s, site), others))
		seen := map[string]bool{}
		for _, f := range findings {
			if seen[f.Check] || f.Subject == "" || f.Reason == "" || f.Basis == "" || f.Verdict.rank() < 0 {
				t.Fatalf("%+v", f)
			}
			seen[f.Check] = true
			names := map[string]bool{}
			for _, v := range f.Values {
				if names[v.Name] {
					t.Fatalf("%s has %s twice", f.Check, v.Name)
				}
				names[v.Name] = true
				if math.IsNaN(v.Value) || math.IsInf(v.Value, 0) {
					t.Fatalf("%s: %s is %v", f.Check, v.Name, v.Value)
				}
			}
		}
		for _, text := range []string{Text(findings), sheet.Text()} {
			if bad := noNumber.FindString(text); bad != "" {
				t.Fatalf("%s in %s", bad, text)
			}
		}
		if _, err := json.Marshal([]any{findings, sheet}); err != nil {
			t.Fatal(err)
		}
		for _, r := range sheet.Rows {
			if r.Device == "" || r.Setting == "" || r.Rule == "" || r.IfWrong == "" || r.Value == nil {
				t.Fatalf("%+v", r)
			}
		}
	})
}

// A system of another name of the same parts: nothing but the order of the
// checks orders the findings.
func TestFitIsTheSameTwice(t *testing.T) {
	two := `{"array": {"planes": {"a": {"rated_kw": 1, "tilt_deg": 30, "azimuth_deg": 180, "charger": "b"}}, "chargers": {"b": {"key": "solar_charger_60a"}, "a": {"key": "solar_charger_60a"}, "c": {"key": "solar_charger_60a"}}}}`
	first := Text(Fit(station(t, two), between(-10, 30)))
	for range 20 {
		assert.Equal(t, first, Text(Fit(station(t, two), between(-10, 30))))
	}
}

// The common current setting is the one at which the chargers' sum is the limit.
func TestEqualSettingMeetsTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outputs := rapid.SliceOfN(rapid.Float64Range(1, 300), 1, 6).Draw(t, "outputs")
		limit := rapid.Float64Range(1, 1000).Draw(t, "limit")
		var sources []source
		whole := 0.0
		for _, a := range outputs {
			sources, whole = append(sources, source{a: a}), whole+a
		}
		each := equalSetting(sources, limit)
		got := 0.0
		for _, a := range outputs {
			got += min(a, each)
		}
		if want := min(limit, whole); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%v A each gives %v A, not %v", each, got, want)
		}
	})
}

func TestTextHoldsItsWidth(t *testing.T) {
	var out strings.Builder
	paragraph(&out, "  1  ", strings.Repeat("a b c d 57.92 V, ", 30))
	for i, line := range strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), textWidth)
		assert.False(t, strings.HasSuffix(line, "57.92"), "a number stays with its unit")
		if i > 0 {
			assert.True(t, strings.HasPrefix(line, "     a") || strings.HasPrefix(line, "     b") || strings.HasPrefix(line, "     c") || strings.HasPrefix(line, "     d") || strings.HasPrefix(line, "     5"), line)
		}
	}
	assert.Equal(t, Fail, Worst([]Finding{{Verdict: Caution}, {Verdict: Fail}, {Verdict: Pass}}))
	assert.Equal(t, Pass, Worst(nil))
}
