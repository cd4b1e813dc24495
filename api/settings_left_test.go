package api

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of the chargers' settings one may be given alone: the others are those of the module, as
// if they were written out, and are listed as assumed. Equalisation may be switched off.
func TestSettings_OneAlone(t *testing.T) {
	read := func(patch string) *Case {
		var cases Cases
		c, faults, _ := cases.Read(text(t, with(t, with(t, complete(t), `{"bank":{"module":null,"settings":null}}`), patch)))
		require.Empty(t, faults)
		return c
	}
	bare := read(`{"bank":{"module":{"key":"lfp_16s_100ah"},"operation":"voltage_only"}}`)
	one := read(`{"bank":{"module":{"key":"lfp_16s_100ah"},"operation":"voltage_only","settings":{"absorb_v":56.5}}}`)
	want := *bare.System.Bank.Settings
	want.AbsorbV = 56.5
	assert.Equal(t, want, *one.System.Bank.Settings)
	all := read(`{"bank":{"module":{"key":"lfp_16s_100ah"},"operation":"voltage_only","settings":` + string(text(t, want)) + `}}`)
	assert.Equal(t, all.Hash, one.Hash)
	listed := map[string]bool{}
	for _, a := range one.Assumed {
		assert.False(t, listed[a.Pointer], "%s twice", a.Pointer)
		listed[a.Pointer] = true
	}
	assert.True(t, listed["/bank/settings/tail_a"] && listed["/bank/settings/compensation_v_per_c"])
	assert.False(t, listed["/bank/settings/absorb_v"])

	const acid = `{"bank":{"module":{"key":"lead_acid_vented_24s_400ah"},"modules":1,"operation":"voltage_only","link_faults":null,"settings":`
	vented := read(acid + `{"absorb_v":58}}}`).System.Bank.Settings
	assert.Negative(t, vented.CompensationV)
	assert.Positive(t, vented.EqualiseV)
	assert.Zero(t, read(acid+`{"equalise_v":0}}}`).System.Bank.Settings.EqualiseV)
}

// A cell may ask for one setting.
func TestSettings_OneInTheQuery(t *testing.T) {
	s, _ := sheet(t)
	w := call(t, s, "GET", "/v1/systems/hut/figures/curtailed_kwh?bank.operation=voltage_only&bank.settings.absorb_v=55.4", nil)
	require.Equal(t, 200, w.Code, w.Body.String())
	rule := call(t, s, "GET", "/v1/systems/hut/figures/curtailed_kwh?bank.operation=voltage_only", nil)
	assert.NotEqual(t, rule.Body.String(), w.Body.String())
}
