package page_test

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"net/http"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/weather"
)

// figures runs the field station from its files with a change, without the page
// and without HTTP.
func figures(t *testing.T, patch string) *sim.Figures {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	base, faults := document.Parse(raw)
	require.Empty(t, faults)
	change, faults := document.Parse([]byte(patch))
	require.Empty(t, faults)
	cases := api.Cases{Open: func(name string) (io.ReadCloser, error) { return os.Open("../../testdata/scenarios/" + name) }}
	c, faults := cases.Prepare(document.Merge(base, change), nil)
	require.Empty(t, faults)
	return &c.Plan().Run(false).Figures
}

// shown reads a number as the page writes it: three digits at most, a minus sign,
// thousands with commas.
func shown(t *testing.T, written string) float64 {
	t.Helper()
	number, _, _ := strings.Cut(strings.TrimSpace(written), "\u00a0")
	x, err := strconv.ParseFloat(strings.NewReplacer(",", "", "−", "-", " h", "").Replace(number), 64)
	require.NoError(t, err, written)
	return x
}

// near is within half of the last digit shown.
func near(t *testing.T, want float64, written string) {
	t.Helper()
	half := 0.5
	switch size := math.Abs(want); {
	case size < 0.095:
		half = 0.005
	case size < 9.95:
		half = 0.05
	}
	assert.InDelta(t, want, shown(t, written), half+1e-9, written)
}

const darkOf = `document.querySelector('[data-dark="%"]').textContent`

func dark(s *screen, side string) string { return js[string](s, strings.Replace(darkOf, "%", side, 1)) }

// row reads a row of the table of figures.
func row(s *screen, name string) []string {
	return js[[]string](s, `[...document.querySelectorAll('.figures tr')].filter(r => r.firstChild.textContent === `+text(name)+`).flatMap(r => [...r.children].map(c => c.textContent))`)
}

// The page starts with two against four modules of the field station, and shows
// what the engine says of them.
func TestPage_Answer(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	two, four := figures(t, `{"bank":{"modules":2}}`), figures(t, `{}`)
	near(t, two.DowntimeH, dark(s, "a"))
	near(t, four.DowntimeH, dark(s, "b"))
	for name, values := range map[string][2]float64{
		"Generator hours": {two.GeneratorH, four.GeneratorH}, "Fuel": {two.FuelL, four.FuelL}, "Full cycles": {two.EquivalentCycles, four.EquivalentCycles},
		"Dark nights": {float64(two.DarkNights), float64(four.DarkNights)}, "Lowest state of charge": {100 * two.LowestSoC, 100 * four.LowestSoC},
	} {
		r := row(s, name)
		require.Len(t, r, 4, name)
		near(t, values[0], r[1])
		near(t, values[1], r[2])
		less := "less"
		if values[1] > values[0] {
			less = "more"
		}
		assert.True(t, strings.HasSuffix(r[3], less), "%s: %s", name, r[3])
	}
	assert.Contains(t, js[string](s, `document.querySelector('.sentence').textContent`), "Bank B")
	assert.Contains(t, js[string](s, `document.querySelector('.verdict').textContent`), "expect darker years")

	// The grid of months and hours holds all dark hours of the year, as do the
	// outages.
	js[bool](s, `document.querySelectorAll('details.table').forEach(d => d.open = true) ?? true`)
	sum := js[float64](s, `[...document.querySelectorAll('.grids')][0].closest('section').querySelectorAll('table')[0].querySelectorAll('td').values().reduce((sum, c) => sum + Number(c.textContent), 0)`)
	assert.InDelta(t, two.DowntimeH, sum, 0.05*two.DowntimeH, "each cell is rounded")
	js[bool](s, `document.querySelector('.outage-list').scrollIntoView() === undefined`) // what is near is fetched at once
	s.until(`document.querySelectorAll('.outage-list li').length > 0`)
	assert.Len(t, js[[]string](s, `[...document.querySelectorAll('.outage-list')[0].querySelectorAll('li')].map(l => l.textContent)`), two.Outages+two.ShortOutages)

	// An outage opens to what led to it, what happened during it and what ended it.
	js[bool](s, `(document.querySelector('.outage-list details').open = true)`)
	s.until(`document.querySelectorAll('.outage-list details .chain').length === 2`)
	assert.Regexp(t, `Ended by (sun|generator)\.`, js[string](s, `document.querySelector('.outage-list details').textContent`))
	assert.Contains(t, js[string](s, `document.querySelectorAll('.outage-list details .chain')[0].textContent`), "load stops: bank empty")
	assert.Regexp(t, `inverter: runs|generator: takes load`, js[string](s, `document.querySelectorAll('.outage-list details .chain')[1].lastChild.textContent`))

	// Below them is what else happened: the links that were lost, and decisions.
	js[bool](s, `document.querySelectorAll('.outage-list')[1].querySelectorAll('details').forEach((d) => { d.open = true; }) ?? true`)
	s.until(`document.querySelectorAll('.outage-list')[1].querySelectorAll('.chain').length === 2`)
	below := js[[]string](s, `[...document.querySelectorAll('.outage-list')[1].querySelectorAll('.chain')].map((l) => l.textContent)`)
	assert.Equal(t, four.LinkLosses, strings.Count(below[0], "data link lost"))
	assert.Equal(t, four.DecisionsOtherwise, strings.Count(below[1], "reported"))
	s.clean()
}

// The question that the page asks is what the scenario file asks, but for names.
func TestPage_AsksTheScenario(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	hashes := js[[]string](s, `[...document.querySelectorAll('dd code')].map((c) => c.textContent)`)
	require.Len(t, hashes, 2)
	r, err := http.Get(s.url + "/v1/simulations/" + hashes[1])
	require.NoError(t, err)
	defer r.Body.Close()
	var a struct{ Figures map[string]any }
	require.NoError(t, json.NewDecoder(r.Body).Decode(&a))
	var want map[string]any
	require.NoError(t, json.NewDecoder(bytes.NewReader([]byte(text(figures(t, `{}`))))).Decode(&want))
	assert.Equal(t, want, a.Figures)
}

// Every prepared pair is one click, asks what the service takes, and shows what
// its question is about: bank A leaves the site darker than bank B, by the cause
// that it is named for.
func TestPage_Pairs(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	causes := []string{"link_loss", "charge_trip", "sudden_stop", "asleep", "protection", "sudden_stop"}
	require.Equal(t, len(causes), js[int](s, `document.querySelectorAll('.pairs a').length`))
	for i, cause := range causes {
		n := s.pictures()
		js[bool](s, `document.querySelectorAll('.pairs a')[`+text(i)+`].click() ?? true`)
		s.drawn(n)
		question := js[string](s, `document.querySelector('.question h3').textContent`)
		assert.Equal(t, js[string](s, `document.querySelectorAll('.pairs a')[`+text(i)+`].textContent`), question)
		assert.Greater(t, shown(t, dark(s, "a")), 2*shown(t, dark(s, "b")), question)
		hashes := js[[]string](s, `[...document.querySelectorAll('dd code')].map((c) => c.textContent)`)
		by := func(hash string) float64 {
			r, err := http.Get(s.url + "/v1/simulations/" + hash)
			require.NoError(t, err)
			defer r.Body.Close()
			var a struct {
				Figures struct {
					By map[string]float64 `json:"downtime_by_cause_h"`
				}
			}
			require.NoError(t, json.NewDecoder(r.Body).Decode(&a))
			return a.Figures.By[cause]
		}
		assert.Greater(t, by(hashes[0]), 2*by(hashes[1])+1, "%s: %s", question, cause)
	}
	js[bool](s, `history.back() ?? true`) // back is the pair before
	s.until(`document.querySelector('.question h3')?.textContent === document.querySelectorAll('.pairs a')[4].textContent`)
	s.clean()
}

// US units are shown and read; the request stays metric.
func TestPage_Units(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	litres := row(s, "Fuel")
	js[bool](s, `(() => { const e = document.querySelector('#units'); e.value = 'us'; e.dispatchEvent(new Event('change')); return true })()`)
	gallons := row(s, "Fuel")
	assert.Contains(t, gallons[1], "gal")
	assert.InDelta(t, shown(t, litres[1])/3.785411784, shown(t, gallons[1]), 0.6, "a US liquid gallon is 231 cubic inches, 3.785411784 l (NIST Handbook 44)")
	js[bool](s, `localStorage.clear() ?? true`)
}

// Twenty years stand behind the typical one: each is the same question with a year
// made from the monthly means of the open weather file, asked here without the page.
func TestPage_Years(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	s.until(`document.querySelectorAll('.years .sentence span').length === 2`)
	js[bool](s, `(document.querySelector('.years details').open = true)`)
	s.until(`document.querySelectorAll('.years tbody tr').length === 20`)
	rows := js[[][]string](s, `[...document.querySelectorAll('.years tbody tr')].map((r) => [...r.children].map((c) => c.textContent))`)
	monthly := monthlyMeans(t)
	for _, member := range []int{0, 19} {
		two := figures(t, `{"bank":{"modules":2},"weather":{"file":null,"monthly":`+monthly+`,"seed":1,"member":`+text(member)+`}}`)
		near(t, two.DowntimeH, rows[member][1])
	}
	s.clean()
}

// monthlyMeans are those of the field station's weather file, to four decimals as
// the page sends them.
func monthlyMeans(t *testing.T) string {
	t.Helper()
	f, err := os.Open("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	require.NoError(t, err)
	defer f.Close()
	reading, err := weather.Read(f, weather.ReadOptions{CalendarYear: 2025})
	require.NoError(t, err)
	y := reading.Year
	mean := func(rows []float64, scale float64) []float64 {
		out, n := make([]float64, 12), make([]float64, 12)
		for i, v := range rows {
			m := y.Start(i).Month() - 1
			out[m] += v
			n[m]++
		}
		for m := range out {
			out[m] = math.Round(1e4*scale*out[m]/n[m]) / 1e4
		}
		return out
	}
	return text(map[string][]float64{"ghi_kwh_m2_d": mean(y.GHI, 24./1000), "ambient_c": mean(y.AmbientC, 1), "wind_m_s": mean(y.WindMS, 1)})
}
