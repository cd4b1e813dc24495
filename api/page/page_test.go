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

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
	"bankyear/sim"
)

// figures runs the field station from its files with a change, without the page
// and without HTTP.
func figures(t *testing.T, patch string) *sim.Figures {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	cases := api.Cases{Open: func(name string) (io.ReadCloser, error) { return os.Open("../../testdata/scenarios/" + name) }}
	body := `{"base":` + string(raw) + `,"candidates":{"x":` + patch + `}}`
	c, faults := cases.Compare([]byte(body))
	require.Empty(t, faults)
	for _, x := range c.Candidates {
		if x.Candidate == "x" {
			return &x.Answer.Figures
		}
	}
	t.Fatal("no candidate x")
	return nil
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
	assert.Len(t, js[[]string](s, `[...document.querySelectorAll('.outage-list')[0].querySelectorAll('li')].map(l => l.textContent)`), two.Outages+two.ShortOutages)
	s.clean()
}

// A slider changes the picture and the address; the address gives the picture
// again.
func TestPage_LiveAndLink(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	n := s.pictures()
	s.do(chromedp.Focus(`[data-path="a.bank.modules"] input[type="range"]`), chromedp.KeyEvent(kb.ArrowRight))
	s.drawn(n)
	three := figures(t, `{"bank":{"modules":3}}`)
	near(t, three.DowntimeH, dark(s, "a"))
	s.until(`location.hash === "#a.bank.modules=3"`)

	n = s.pictures()
	js[bool](s, `(() => { const e = document.querySelector('`+field("b.bank.operation")+`'); e.selectedIndex = 1; e.dispatchEvent(new Event('change', {bubbles: true})); return true })()`)
	s.drawn(n)
	s.until(`location.hash.includes("b.bank.operation=voltage_only")`)
	before := js[string](s, `document.querySelector('.figures').textContent`)
	link := js[string](s, `location.hash.slice(1)`)

	s.visit(link)
	s.drawn(0)
	assert.Equal(t, before, js[string](s, `document.querySelector('.figures').textContent`))
	assert.Equal(t, "3", js[string](s, `document.querySelector('`+field("a.bank.modules")+`').value`))
	s.clean()
}

// A path that has no field on the page gets one when the address states it.
func TestPage_AnyInput(t *testing.T) {
	s := open(t, 1440, "controls.settle_days=0&a.bank.initial_soc_fraction=0.4")
	s.drawn(0)
	near(t, figures(t, `{"bank":{"modules":2,"initial_soc_fraction":0.4},"controls":{"settle_days":0}}`).DowntimeH, dark(s, "a"))
	assert.Equal(t, "40", js[string](s, `document.querySelector('`+field("a.bank.initial_soc_fraction")+`').value`))
	s.clean()
}

// What the service refuses is told at the field, and the inputs stay.
func TestPage_Fault(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	n := s.pictures()
	s.enter("b.bank.modules", "99")
	s.until(`document.querySelector('[data-path="b.bank.modules"] .problem:not([hidden])') !== null`)
	assert.Contains(t, js[string](s, `document.querySelector('[data-path="b.bank.modules"] .problem').textContent`), "1 to 64")
	assert.Equal(t, "true", js[string](s, `document.querySelector('`+field("b.bank.modules")+`').getAttribute('aria-invalid')`))
	assert.True(t, js[bool](s, `document.querySelector('.parts').classList.contains('stale')`))
	assert.Equal(t, n, s.pictures(), "the last answer stays")

	s.enter("b.bank.modules", "5")
	s.drawn(n)
	assert.True(t, js[bool](s, `document.querySelectorAll('.problem:not([hidden])').length === 0`))
	s.clean("422")
}

// A module that does not suit the inverter is told at the module of that bank.
func TestPage_FaultOfAKey(t *testing.T) {
	s := open(t, 1440, "b.bank.module.key=lfp_8s_100ah")
	s.until(`document.querySelector('[data-path="b.bank.module.key"] .problem:not([hidden])') !== null`)
	assert.True(t, js[bool](s, `document.querySelector('[data-path="a.bank.module.key"] .problem').hidden`))
	s.clean("422")
}

// While the service is away the page says so, keeps the inputs and asks again.
func TestPage_Away(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	n := s.pictures()
	s.away.Store(true)
	s.enter("load.scale_to_kwh_per_day", "11")
	s.until(`!document.querySelector('#notice').hidden`)
	assert.Contains(t, js[string](s, `document.querySelector('#notice').textContent`), "inputs are kept")
	s.away.Store(false)
	s.drawn(n)
	assert.True(t, js[bool](s, `document.querySelector('#notice').hidden`))
	assert.Equal(t, "11", js[string](s, `document.querySelector('`+field("load.scale_to_kwh_per_day")+`').value`))
	near(t, figures(t, `{"bank":{"modules":2},"load":{"scale_to_kwh_per_day":11}}`).DowntimeH, dark(s, "a"))
	s.clean("ERR_EMPTY_RESPONSE", "ERR_CONNECTION", "Failed to load resource")
}

// The newest of many changes wins.
func TestPage_NewestWins(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	js[bool](s, `(async () => {
		const thumb = document.querySelector('[data-path="array.planes.roof.rated_kw"] input[type="range"]');
		for (let kw = 3; kw <= 9; kw += 0.5) { thumb.value = kw; thumb.dispatchEvent(new Event('input', {bubbles: true})); await new Promise((r) => setTimeout(r, 15)); }
		return true })()`)
	want := figures(t, `{"bank":{"modules":2},"array":{"planes":{"roof":{"rated_kw":9}}}}`)
	s.until(`document.querySelector('[data-dark="a"]').textContent === ` + text(strconv.Itoa(int(math.Round(want.DowntimeH)))))
	s.clean()
}

// Nothing but files of the service itself, and no script or style in the markup,
// may run: the policy is sent, and it holds.
func TestPage_Policy(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	r, err := http.Get(s.url + "/")
	require.NoError(t, err)
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	policy := r.Header.Get("Content-Security-Policy")
	assert.Contains(t, policy, "default-src 'none'")
	assert.NotContains(t, policy, "unsafe")
	for _, inline := range []string{"<style", " style=", "<script>", "onclick=", "https://", "http://"} {
		assert.NotContains(t, string(body), inline)
	}
	hosts := js[[]string](s, `[...new Set(performance.getEntriesByType('resource').map((r) => new URL(r.name).origin))]`)
	assert.Equal(t, []string{s.url}, hosts)
	s.clean()
	assert.Equal(t, "script-src-elem", js[string](s, `new Promise((told) => {
		addEventListener('securitypolicyviolation', (e) => told(e.effectiveDirective));
		const script = document.createElement('script'); script.textContent = 'window.ran = true'; document.body.append(script); })`))
	assert.False(t, js[bool](s, `window.ran === true`))
}

// Compressed, all that the first picture needs is at most 400 kB.
func TestPage_Weight(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	bytes := js[int](s, `performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation')).reduce((sum, r) => sum + r.encodedBodySize, 0)`)
	assert.Less(t, bytes, 400_000)
	assert.Greater(t, bytes, 50_000, "something was counted")
}

// From a phone to a wide screen nothing is cut off at the side.
func TestPage_Widths(t *testing.T) {
	for _, width := range []int64{390, 768, 1024, 1440, 1920} {
		s := open(t, width, "")
		s.drawn(0)
		assert.LessOrEqual(t, js[int](s, `document.scrollingElement.scrollWidth`), int(width), "at %d px", width)
		s.clean()
	}
}

// The year can be read with the keyboard alone.
func TestPage_Keyboard(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	s.do(chromedp.Focus(`.cloth canvas`), chromedp.KeyEvent(kb.ArrowRight+kb.ArrowDown+kb.ArrowDown+kb.ArrowDown))
	read := js[string](s, `document.activeElement.closest('section').querySelector('.readout').textContent`)
	assert.Regexp(t, `^Wed,? 1 Jan, 03:00: A \d+ % full`, read, "the first arrow begins at the first hour")
	unnamed := js[[]string](s, `[...document.querySelectorAll('input, select, button, canvas, [role="img"]')].filter((e) => !(e.labels?.length || e.getAttribute("aria-labelledby") || e.getAttribute('aria-label') || e.textContent.trim())).map((e) => e.outerHTML.slice(0, 120))`)
	assert.Empty(t, unnamed, "every control and picture has a name")
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
	n := s.pictures()
	js[bool](s, `history.back() ?? true`)
	s.drawn(n)
	assert.Equal(t, js[string](s, `document.querySelectorAll('.pairs a')[4].textContent`), js[string](s, `document.querySelector('.question h3').textContent`), "back is the pair before")
	s.clean()
}
