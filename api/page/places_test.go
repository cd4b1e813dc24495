package page

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/weather"
)

var update = flag.Bool("update", false, "write the files that are made from testdata")

// place is a site that the page offers, and its typical year in the form in
// which a request takes it.
type place struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Sky   string `json:"sky"`
	// SnowFraction is the snow on the array by month; common practice for a
	// steep array in a cold valley, no source.
	SnowFraction []float64   `json:"snow_fraction"`
	Site         weatherSite `json:"site"`
}

type weatherSite struct {
	LatitudeDeg  float64 `json:"latitude_deg"`
	LongitudeDeg float64 `json:"longitude_deg"`
	ElevationM   float64 `json:"elevation_m"`
	UTCOffsetH   float64 `json:"utc_offset_h"`
}

type columns struct {
	StepS    int       `json:"step_s"`
	GHI      []float64 `json:"ghi_w_m2"`
	DNI      []float64 `json:"dni_w_m2"`
	DHI      []float64 `json:"dhi_w_m2"`
	AmbientC []float64 `json:"ambient_c"`
	WindMS   []float64 `json:"wind_m_s"`
}

var (
	snow   = []float64{0.1, 0.1, 0.04, 0, 0, 0, 0, 0, 0, 0, 0.04, 0.1}
	noSnow = []float64{0}
	places = []place{
		{Key: "burlington_vt", Title: "Burlington, Vermont", Sky: "cold valley", SnowFraction: snow},
		{Key: "chicago_ohare_il", Title: "Chicago, Illinois", Sky: "cold plain", SnowFraction: snow},
		{Key: "arcata_ca", Title: "Arcata, California", Sky: "cloudy coast", SnowFraction: noSnow},
		{Key: "daggett_ca", Title: "Daggett, California", Sky: "hot desert", SnowFraction: noSnow},
		{Key: "tucson_az", Title: "Tucson, Arizona", Sky: "sunny highland", SnowFraction: noSnow},
		{Key: "miami_fl", Title: "Miami, Florida", Sky: "humid and warm", SnowFraction: noSnow},
	}
)

// The typical years that the page offers are those of the open weather files,
// sample by sample (testdata/SOURCES.md): a request from the page has the same
// weather hash as one that names the file.
func TestPlaces(t *testing.T) {
	for i := range places {
		p := &places[i]
		y := typicalYear(t, p)
		p.Site = weatherSite(y.Site)
		golden(t, "places/"+p.Key+".json", columns{y.StepS, y.GHI, y.DNI, y.DHI, y.AmbientC, y.WindMS})

		raw, err := os.ReadFile("static/places/" + p.Key + ".json")
		require.NoError(t, err)
		var c columns
		require.NoError(t, json.Unmarshal(raw, &c))
		again := weather.Year{Site: y.Site, CalendarYear: y.CalendarYear, StepS: c.StepS, GHI: c.GHI, DNI: c.DNI, DHI: c.DHI, AmbientC: c.AmbientC, WindMS: c.WindMS}
		assert.Equal(t, y.Hash(), again.Hash(), p.Key)
	}
	golden(t, "places.json", places)
}

// typicalYear reads the open weather file of a place.
func typicalYear(t *testing.T, p *place) *weather.Year {
	t.Helper()
	f, err := os.Open("../../testdata/weather/" + p.Key + "_tmy3.csv.gz")
	require.NoError(t, err)
	reading, err := weather.Read(f, weather.ReadOptions{CalendarYear: 2025})
	require.NoError(t, err)
	require.NoError(t, f.Close())
	return reading.Year
}

// golden compares a file of the page with what it is made from, or writes it.
func golden(t *testing.T, name string, v any) {
	t.Helper()
	want, err := json.Marshal(v)
	require.NoError(t, err)
	want = append(want, '\n')
	if *update {
		require.NoError(t, os.WriteFile("static/"+name, want, 0o644))
		return
	}
	got, err := os.ReadFile("static/" + name)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(want, got), "static/%s is not what testdata gives: go test ./api/page -update", name)
}

// The station that the page starts with is the scenario of the project's tests
// and README, without the weather, which the page takes from its places.
func TestStation(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	var station map[string]any
	require.NoError(t, json.Unmarshal(raw, &station))
	file := station["weather"].(map[string]any)["file"].(string)
	assert.True(t, strings.HasSuffix(file, places[0].Key+"_tmy3.csv.gz"), "the first place is the station's")
	site := station["site"].(map[string]any)
	delete(station, "weather")
	delete(station, "site")
	golden(t, "station.json", station)
	assert.InDelta(t, site["latitude_deg"], typicalYear(t, &places[0]).Site.LatitudeDeg, 1e-9)
}
