package api

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/sim/advice"
)

// A sheet is read off the system, with weather or without, as JSON and as text.
func TestService_Sheet(t *testing.T) {
	s := New(Config{})
	request := with(t, station(t), `{"load":null,"bank":{"operation":"data_linked"}}`)
	w := call(t, s, "POST", "/v1/sheets", text(t, request))
	require.Equal(t, 200, w.Code, w.Body.String())
	var sheet SettingsSheet
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &sheet))
	absorb := sheet.Settings.Rows[slices.IndexFunc(sheet.Settings.Rows, func(r advice.Row) bool { return r.Setting == "absorption voltage" })]
	assert.Equal(t, 56.0, absorb.Value, "16 cells × 3.5 V, common practice")
	assert.Equal(t, advice.WhileSilent, absorb.Owner)
	assert.NotEmpty(t, absorb.Rule)
	assert.NotEmpty(t, absorb.IfWrong)
	assert.NotNil(t, sheet.Settings.Linked)
	assert.NotEmpty(t, sheet.Wake)
	assert.Nil(t, sheet.SiteAir.LowestAirC, "no weather")
	assert.NotEmpty(t, sheet.Assumed)
	for _, a := range sheet.Assumed {
		assert.NotEqual(t, "load", firstToken(a.Pointer))
	}

	withAir := call(t, s, "POST", "/v1/sheets", text(t, withWeather(request, textWeather(t))))
	require.Equal(t, 200, withAir.Code, withAir.Body.String())
	var air SettingsSheet
	require.NoError(t, json.Unmarshal(withAir.Body.Bytes(), &air))
	require.NotNil(t, air.SiteAir.LowestAirC)
	assert.Less(t, *air.SiteAir.LowestAirC, -15.0, "a cold valley")
	assert.NotEqual(t, sheet.Hash, air.Hash)

	plain := call(t, s, "POST", "/v1/sheets", text(t, request), "Accept", media.Plain)
	require.Equal(t, 200, plain.Code)
	assert.Equal(t, "text/plain; charset=utf-8", plain.Header().Get("Content-Type"))
	for _, part := range []string{"Hut on a ridge", "absorption voltage", "How a bank that sleeps", "By a visit: possible", "the BMS closes on it", "Fit check", "Cautions", sheet.Hash} {
		assert.Contains(t, plain.Body.String(), part)
	}
	assert.Equal(t, 406, call(t, s, "POST", "/v1/sheets", text(t, request), "Accept", "image/png").Code)

	wrong := call(t, s, "POST", "/v1/sheets", text(t, with(t, request, `{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"tail_a":10,"float_v":54,"restart_charge_v":53,"charge_a":70,"compensation_v_per_c":-0.096}}}`)))
	require.NoError(t, json.Unmarshal(wrong.Body.Bytes(), &sheet))
	require.NotEmpty(t, sheet.Wrong)
	assert.Equal(t, "temperature_compensation", sheet.Wrong[0].Check)
}

// Faults come at once, and what is left out is none.
func TestService_SheetFaults(t *testing.T) {
	p := problemOf(t, call(t, New(Config{}), "POST", "/v1/sheets", text(t, with(t, station(t), `{"load":null,"site":null,"bank":{"modules":0,"operation":"sometimes"}}`))), 422)
	var at []string
	for _, f := range p.Faults {
		at = append(at, f.Pointer)
	}
	assert.ElementsMatch(t, []string{"/site", "/bank/modules", "/bank/operation"}, at)
}

// The document's body has the members that the decoder knows.
func TestSheetRequest_Members(t *testing.T) {
	members := func(v any) (list []string) {
		for _, f := range reflect.VisibleFields(reflect.TypeOf(v)) {
			list = append(list, memberName(f))
		}
		slices.Sort(list)
		return list
	}
	assert.Equal(t, members(Request{}), members(SheetRequest{}))
}
