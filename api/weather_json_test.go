package api

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Years made from monthly means: one ensemble, each year what a request makes of
// the same means inline.
func TestWeatherUpload_Monthly(t *testing.T) {
	s := storing(t, t.TempDir())
	means := map[string]any{
		"ghi_kwh_m2_d": []float64{1.8, 2.8, 3.9, 4.6, 5.5, 6.0, 6.0, 5.2, 4.1, 2.7, 1.7, 1.4},
		"ambient_c":    []float64{-8, -6, -1, 7, 14, 19, 21, 20, 15, 9, 3, -4},
	}
	site := station(t)["site"]
	body := map[string]any{"site": site, "monthly": means, "seed": 7, "years": 3, "calendar_year": 2030}
	out := uploaded(t, s, "/v1/weather", text(t, body))
	assert.Regexp(t, "^ws-", out.ID)
	require.Len(t, out.Years, 3)
	hashes := map[string]bool{}
	for i, y := range out.Years {
		hashes[y.Hash] = true
		assert.Equal(t, "monthly", y.Format)
		inline := map[string]any{"monthly": means, "seed": 7}
		if i > 0 {
			inline["member"] = i
		}
		request := with(t, station(t), `{"calendar_year":2030}`)
		want := call(t, s, "POST", "/v1/simulations", text(t, withWeather(request, inline)))
		require.Equal(t, 200, want.Code, want.Body.String())
		s.answers.drop(strings.TrimPrefix(want.Header().Get("Content-Location"), "/v1/simulations/"))
		got := call(t, s, "POST", "/v1/simulations", text(t, withWeather(request, map[string]any{"id": y.ID})))
		assert.Equal(t, want.Body.String(), got.Body.String())
	}
	assert.Len(t, hashes, 3)
	later := maps.Clone(body)
	later["member"], later["years"] = 2, 1
	assert.Equal(t, out.Years[2].ID, uploaded(t, s, "/v1/weather", text(t, later)).ID, "the third year alone")
	// The sum of the year is that of the means, which are kept within 1 %.
	stored, err := s.content.year(out.Years[0].ID)
	require.NoError(t, err)
	january := 0.0
	for _, x := range stored.Year.GHI[:31*24] {
		january += x / 1000
	}
	assert.InEpsilon(t, 1.8*31, january, 0.01)
	p := problemOf(t, call(t, s, "POST", "/v1/simulations", text(t, withWeather(with(t, station(t), `{"calendar_year":2026}`), map[string]any{"id": uploaded(t, s, "/v1/weather", text(t, map[string]any{"site": site, "monthly": means})).ID}))), 422)
	assert.Equal(t, "/calendar_year", p.Faults[0].Pointer, "means were made into a year of 2025, and the request states another")
}

// A wrong site of monthly means is told by its members, and by them alone.
func TestMonthly_WrongSite(t *testing.T) {
	s := storing(t, t.TempDir())
	means := `{"ghi_kwh_m2_d":[1,2,3,4,5,6,6,5,4,3,2,1],"ambient_c":[0,0,5,9,14,18,20,19,15,10,5,1]}`
	wrong := `{"site":{"latitude_deg":100,"elevation_m":7000},%s}`
	upload := with(t, map[string]any{"site": station(t)["site"]}, fmt.Sprintf(wrong, `"monthly":`+means))
	inline := with(t, station(t), fmt.Sprintf(wrong, `"weather":{"file":null,"monthly":`+means+`}`))
	for path, body := range map[string]map[string]any{"/v1/weather": upload, "/v1/simulations": inline} {
		var got []string
		for _, f := range problemOf(t, call(t, s, "POST", path, text(t, body)), 422).Faults {
			got = append(got, f.Pointer)
		}
		assert.ElementsMatch(t, []string{"/site/latitude_deg", "/site/elevation_m"}, got, path)
	}
}

// Faults of JSON, all at once.
func TestWeatherUpload_FaultsOfJSON(t *testing.T) {
	s := storing(t, t.TempDir())
	site := `"site":{"latitude_deg":44,"longitude_deg":-73,"elevation_m":100,"utc_offset_h":-5}`
	months := func(x float64) string {
		return strings.TrimSuffix(strings.Repeat(fmt.Sprintf("%g,", x), 12), ",")
	}
	for body, want := range map[string][]string{
		`{}`:                                 {""},
		`{"id":"w-1"}`:                       {"/id"},
		`{"file":"x"}`:                       {"/file"},
		`{"text":"x","ghi_w_m2":[]}`:         {""},
		`{"text":"x","years":2}`:             {"/years"},
		`{"ghi_w_m2":[0],"ambient_c":[0]}`:   {"/site"},
		`{"text":"x","seed":1,"step_s":600}`: {"/seed", "/step_s"},
		`{` + site + `,"ghi_w_m2":[-1],"ambient_c":[0,1],"colour":1}`:                                                  {"/ambient_c", "/colour", "/ghi_w_m2", "/ghi_w_m2/0"},
		`{` + site + `,"monthly":{"ghi_kwh_m2_d":[1],"ambient_c":[` + months(5) + `]},"years":101}`:                    {"/monthly/ghi_kwh_m2_d", "/years"},
		`{` + site + `,"monthly":{"ghi_kwh_m2_d":[` + months(9) + `],"ambient_c":[` + months(5) + `]},"seed":1}`:       {"/monthly/ghi_kwh_m2_d/0", "/monthly/ghi_kwh_m2_d/1", "/monthly/ghi_kwh_m2_d/10", "/monthly/ghi_kwh_m2_d/11", "/monthly/ghi_kwh_m2_d/2", "/monthly/ghi_kwh_m2_d/3", "/monthly/ghi_kwh_m2_d/4", "/monthly/ghi_kwh_m2_d/5", "/monthly/ghi_kwh_m2_d/6", "/monthly/ghi_kwh_m2_d/7", "/monthly/ghi_kwh_m2_d/8", "/monthly/ghi_kwh_m2_d/9"},
		`{"calendar_year":1,"monthly":{"ghi_kwh_m2_d":[` + months(1) + `],"ambient_c":[` + months(5) + `]},"seed":-1}`: {"/calendar_year", "/seed", "/site"},
	} {
		p := problemOf(t, call(t, s, "POST", "/v1/weather", []byte(body)), 422)
		var got []string
		for _, f := range p.Faults {
			got = append(got, f.Pointer)
		}
		slices.Sort(got)
		assert.Equal(t, want, got, body)
	}
	problemOf(t, call(t, s, "POST", "/v1/weather", []byte("{")), 400)
	problemOf(t, call(t, s, "POST", "/v1/weather", []byte("{"), noType...), 400)
	assert.Zero(t, s.content.disk.Used())
}
