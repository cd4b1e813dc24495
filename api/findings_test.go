package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
	"bankyear/sim/bank"
	"bankyear/sim/inverter"
)

func TestFindings(t *testing.T) {
	system := func(operation, onLoss string) *sim.System {
		return &sim.System{Inverter: inverter.Spec{MaxV: 64}, Bank: bank.Spec{Operation: operation, OnLinkLoss: onLoss, Module: bank.Module{VoltageOnlyA: 40,
			Linked: bank.LinkedLimits{CeilingByC: [][2]float64{{0, 0}, {15, 50}, {50, 0}}}}}}
	}
	for _, c := range []struct {
		name    string
		system  *sim.System
		figures sim.Figures
		says    []string
	}{
		{"a ceiling that never acts, voltage-only", system("voltage_only", ""), sim.Figures{HighestModuleA: 29.04, DowntimeH: 1},
			[]string{"The chargers give at most 29 A a module: the ceiling of 40 A never acts."}},
		{"data-linked, a link without fault", system("data_linked", "fall_back"), sim.Figures{HighestModuleA: 29.04, DowntimeH: 1},
			[]string{"the ceiling of 50 A never acts.", "The data link never failed"}},
		{"a ceiling that acts", system("voltage_only", ""), sim.Figures{HighestModuleA: 40, AtCeilingH: 3, DowntimeH: 1}, nil},
		{"damage", system("voltage_only", ""), sim.Figures{HighestModuleA: 40, ChargedTooColdH: 59.53, ChargedTooColdAh: 198.9, DowntimeH: 1},
			[]string{"for 59.5 h (199 Ah): that is damage"}},
		{"link down", system("data_linked", "bank_opens"), sim.Figures{HighestModuleA: 50, AtCeilingH: 1, LinkDownH: 54.3, DowntimeH: 1},
			[]string{"down for 54.3 h; meanwhile the bank was off the bus."}},
		{"opened under charge", system("voltage_only", ""), sim.Figures{HighestModuleA: 40, Openings: 2, OpeningMostA: 36.54, OpeningMostAt: "2025-01-15T08:12:40", DowntimeH: 1},
			[]string{"opened 2 times while charge current flowed, at most 36.5 A of it on 2025-01-15"}},
		{"a bus too high", system("voltage_only", ""), sim.Figures{HighestModuleA: 40, HighStops: 1, DowntimeH: 1}, []string{"stopped once because the bus stood above its highest 64 V"}},
		{"reset by hand", func() *sim.System {
			s := system("data_linked", "bank_opens")
			s.Bank.OnLinkReturn = "until_reset"
			return s
		}(), sim.Figures{HighestModuleA: 50, AtCeilingH: 1, LinkDownH: 54.3, LinkLosses: 2, LongestLinkLossH: 80, DowntimeH: 1},
			[]string{"down for 54.3 h;", "only once somebody had reset it: the longest loss was 80 h."}},
		{"sudden stop", system("voltage_only", ""), sim.Figures{HighestModuleA: 40, SuddenStops: 1, DowntimeH: 1}, []string{"without warning once"}},
		{"lit", system("voltage_only", ""), sim.Figures{HighestModuleA: 40}, []string{"No dark hour in this year."}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := findings(c.system, &sim.Year{Figures: c.figures})
			if assert.Len(t, got, len(c.says), strings.Join(got, "\n")) {
				for i, s := range c.says {
					assert.Contains(t, got[i], s)
				}
			}
		})
	}
}

func TestFindings_EveryOutcomeOfALostLink(t *testing.T) {
	for _, in := range Inputs() {
		if in.Path == "bank.on_link_loss" {
			for outcome := range strings.SplitSeq(in.Allowed, ", ") {
				assert.NotEmpty(t, afterLoss[outcome], outcome)
			}
			return
		}
	}
	t.Fatal("bank.on_link_loss is no input")
}
