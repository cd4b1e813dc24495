package page_test

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked is what the page asks of the service for bank A, without site and weather.
const asked = `(async () => {
	const { Question } = await import('/page/question.js');
	const [station, places] = await Promise.all(['/page/station.json', '/page/places.json'].map((a) => fetch(a).then((r) => r.json())));
	const q = new Question(station, places);
	q.read(location.hash);
	return q.system('a'); })()`

// press clicks a button of the inputs by its text.
func (s *screen) press(name string) {
	s.t.Helper()
	require.True(s.t, js[bool](s, `(() => {
		const button = [...document.querySelectorAll('#have button')].find((b) => b.textContent === `+text(name)+` && b.checkVisibility());
		button?.click();
		return button !== undefined })()`), name)
}

// choose takes an entry of a list by its text.
func (s *screen) choose(path, name string) {
	s.t.Helper()
	require.True(s.t, js[bool](s, `(() => {
		const list = document.querySelector('`+field(path)+`');
		list.selectedIndex = [...list.options].findIndex((o) => o.textContent === `+text(name)+`);
		list.dispatchEvent(new Event('change', {bubbles: true}));
		return list.selectedIndex >= 0 })()`), name)
}

// put gives a field a number in one go, which asks once.
func (s *screen) put(path, value string) {
	s.t.Helper()
	n := s.pictures()
	js[bool](s, `(() => { const e = document.querySelector('`+field(path)+`'); e.value = `+text(value)+`; e.dispatchEvent(new Event('input', {bubbles: true})); return true })()`)
	s.drawn(n)
}

// A grid is put in by its box, has a role, and is taken out and put in again as it was;
// the address gives it again.
func TestPage_Grid(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	box := `document.querySelector('#has-grid')`
	seen := func(path string) bool {
		return js[bool](s, `document.querySelector('`+field(path)+`').checkVisibility()`)
	}
	assert.False(t, seen("grid.limit_w"))

	n := s.pictures()
	s.do(chromedp.Focus(`#has-grid`), chromedp.KeyEvent(" "))
	s.drawn(n)
	near(t, figures(t, `{"bank":{"modules":2},"grid":{"limit_w":5000}}`).GridKWh, row(s, "Taken from the grid")[1])
	assert.False(t, seen("grid.connect_soc_fraction"), "only where the grid stands by")

	n = s.pictures()
	s.choose("grid.use", "while the bank is low")
	s.drawn(n)
	require.True(t, seen("grid.connect_soc_fraction"))
	s.put("grid.limit_w", "1500")
	s.put("grid.outages.mean_hours_between", "200")
	want := figures(t, `{"bank":{"modules":2},"grid":{"limit_w":1500,"use":"self_use","outages":{"mean_hours_between":200}}}`)
	near(t, want.GridH, row(s, "Hours on the grid")[1])
	near(t, want.DowntimeH, dark(s, "a"))

	n = s.pictures()
	js[bool](s, box+`.click() ?? true`)
	s.drawn(n)
	near(t, figures(t, `{"bank":{"modules":2}}`).DowntimeH, dark(s, "a"))
	assert.Empty(t, row(s, "Hours on the grid"))
	n = s.pictures()
	js[bool](s, box+`.click() ?? true`)
	s.drawn(n)
	near(t, want.GridH, row(s, "Hours on the grid")[1])

	s.until(`location.hash.startsWith('#grid=%7B') && location.hash.includes('grid.limit_w=1500')`)
	s.visit(js[string](s, `location.hash.slice(1)`))
	s.drawn(0)
	near(t, want.GridH, row(s, "Hours on the grid")[1])
	assert.Equal(t, "1500", js[string](s, `document.querySelector('`+field("grid.limit_w")+`').value`))

	// What nobody can do with a grid is told at its field.
	s.enter("grid.disconnect_soc_fraction", "10")
	s.until(`!document.querySelector('[data-path="grid.disconnect_soc_fraction"] .problem').hidden`)
	s.enter("grid.limit_w", kb.Delete)
	s.until(`!location.hash.includes('grid.limit_w')`)
	assert.True(t, seen("grid.limit_w"), "an emptied field stays")
	s.clean("422")
	s.visit("")
}

// A second and a third generator set are added, changed, named and removed; what the
// form does not show of a set stays with it.
func TestPage_GeneratorSets(t *testing.T) {
	s := open(t, 1440, "generators.main.stop_tail_a=5")
	s.drawn(0)
	n := s.pictures()
	s.press("Add another set")
	s.drawn(n)
	assert.Equal(t, "generators.second", js[string](s, `document.activeElement.closest('.set').dataset.path`), "the new set has the focus")
	n = s.pictures()
	s.choose("generators.second.key", "Petrol set, 3 kW, electric start")
	s.drawn(n)
	rules := `"no_start_hours":"20-08","start_below":[{"hold_s":900,"v":51.2},{"hold_s":120,"v":50.4},{"hold_s":15,"v":49.6}],"start_soc_fraction":0.25,"stop_soc_fraction":0.8,"stop_tail_a":5`
	two := func(name string) string {
		return `{"bank":{"modules":2},"generators":{"main":{"stop_tail_a":5},"` + name + `":{"key":"petrol_3kw","lead_order":2,` + rules + `}}}`
	}
	near(t, figures(t, two("second")).GeneratorH, row(s, "Generator hours")[1])

	// It takes over where the first breaks down: what it is for.
	s.put("generators.main.failed_start_fraction", "100")
	near(t, figures(t, `{"bank":{"modules":2},"generators":{"main":{"stop_tail_a":5,"failed_start_fraction":1},"second":{"key":"petrol_3kw","lead_order":2,`+rules+`}}}`).FuelL, row(s, "Fuel")[1])

	js[bool](s, `document.querySelectorAll('.set details').forEach((d) => { d.open = true; }) ?? true`)
	name := func(set, wanted string) {
		s.do(chromedp.Focus("#set-" + set))
		js[bool](s, `document.querySelector('#set-`+set+`').select() ?? true`)
		s.do(chromedp.KeyEvent(wanted + kb.Enter))
	}
	name("second", "main")
	s.until(`document.querySelector('#set-second-wrong').textContent === 'There is a set “main” already.'`)
	name("second", "Stand-by")
	s.until(`document.activeElement.id === 'set-stand_by'`)
	name("main", "Large")
	s.until(`document.activeElement.id === 'set-large' && location.hash.includes('generators.large')`)
	sets := func() map[string]any { return js[map[string]any](s, asked)["generators"].(map[string]any) }
	got := sets()
	require.Len(t, got, 2)
	assert.Equal(t, "petrol_3kw", got["stand_by"].(map[string]any)["key"])
	assert.EqualValues(t, 5, got["large"].(map[string]any)["stop_tail_a"], "what the form does not show of a set has its new name")
	assert.Equal(t, "20-08", got["large"].(map[string]any)["no_start_hours"])
	assert.EqualValues(t, 1, got["large"].(map[string]any)["failed_start_fraction"])

	s.visit(js[string](s, `location.hash.slice(1)`))
	s.drawn(0)
	assert.Equal(t, []string{"large", "stand_by"}, js[[]string](s, `[...document.querySelectorAll('.set')].filter((e) => !e.hidden).map((e) => e.querySelector('input[type="text"][id^="set-"]').value)`), "as they lead")
	s.press("Add another set")
	assert.False(t, js[bool](s, `[...document.querySelectorAll('#have button')].some((b) => b.textContent === 'Add another set' && b.checkVisibility())`), "three are all that there can be")
	for _, set := range []string{"main", "large", "stand_by"} {
		s.press("Remove “" + set + "”")
	}
	s.until(`document.activeElement.textContent === 'Add a generator'`)
	s.until(`!location.hash.includes('stand_by')`)
	assert.Empty(t, sets())
	s.until(`[...document.querySelectorAll('.study-form option')].filter((o) => o.disabled).length === 4`) // rules of the set that is not there
	n = s.pictures()
	s.press("Add a generator")
	s.until(`location.hash === ''`)
	s.drawn(n)
	near(t, figures(t, `{"bank":{"modules":2}}`).DowntimeH, dark(s, "a"))
	s.clean()
}

// What an address states of sets and grid, in whatever form, is shown at their fields and
// asked whole, also after an edit beside it.
func TestPage_SourcesOfTheAddress(t *testing.T) {
	s := open(t, 1440, `generators.aux={"key":"petrol_3kw","stop_refused_s":600,"lead_order":3}&generators.aux.start_soc_fraction=0.2&grid={"limit_w":800,"outages":{"listed":[{"start":"2025-01-15T08:00","hours":72}]}}&grid.tariff.bands=[{"hours":"22-06","price_per_kwh":0.1}]`)
	s.until(`document.querySelector('` + field("generators.aux.start_soc_fraction") + `')?.value === '20'`)
	s.choose("generators.aux.key", "Diesel set, 12 kW")
	s.enter("grid.limit_w", "900")
	s.until(`location.hash.includes('grid.limit_w=900')`)
	got := js[map[string]any](s, asked)
	assert.Equal(t, map[string]any{"key": "diesel_12kw", "stop_refused_s": 600., "lead_order": 3., "start_soc_fraction": 0.2}, got["generators"].(map[string]any)["aux"])
	assert.Equal(t, map[string]any{"limit_w": 900., "outages": map[string]any{"listed": []any{map[string]any{"start": "2025-01-15T08:00", "hours": 72.}}}, "tariff": map[string]any{"bands": []any{map[string]any{"hours": "22-06", "price_per_kwh": 0.1}}}}, got["grid"])
	js[bool](s, `document.querySelector('#has-grid').click() ?? true`)
	s.until(`location.hash.includes('grid=null')`)
	js[bool](s, `document.querySelector('#has-grid').click() ?? true`)
	s.until(`!location.hash.includes('grid=null')`)
	assert.Equal(t, got["grid"], js[map[string]any](s, asked)["grid"], "out and in again it is the same")
	s.visit("")
}

// What is stated of both banks shows at each that has nothing of its own, in whatever order
// the address says it; a fault that several values share is told once.
func TestPage_StatedOfBoth(t *testing.T) {
	s := open(t, 1440, "b.bank.modules=5&bank.modules=3")
	s.drawn(0)
	s.until(`document.querySelector('` + field("a.bank.modules") + `').value === '3'`)
	assert.Equal(t, "5", js[string](s, `document.querySelector('`+field("b.bank.modules")+`').value`))
	near(t, figures(t, `{"bank":{"modules":3}}`).GeneratorH, row(s, "Generator hours")[1])
	near(t, figures(t, `{"bank":{"modules":5}}`).GeneratorH, row(s, "Generator hours")[2])

	s.visit("calendar_year=2024")
	s.until(`document.querySelector('[data-path="place"] .problem')?.hidden === false`)
	assert.Equal(t, 1, strings.Count(js[string](s, `document.querySelector('[data-path="place"] .problem').textContent`), "2024 has 366"))
	s.clean("422")
	s.visit("")
}

// The report says whose a member is, and writes a list of rungs in words.
func TestReport_Sources(t *testing.T) {
	s := open(t, 1440, "")
	s.do(chromedp.Navigate(s.url + `/report?show=inputs#grid={"limit_w":3000,"tariff":{"bands":[{"hours":"22-06","price_per_kwh":0.2}]}}&generators.second={"key":"petrol_3kw","lead_order":2}`))
	s.until(`document.querySelector('[data-group="inputs"] table') !== null`)
	rows := js[map[string]string](s, `Object.fromEntries([...document.querySelectorAll('[data-group="inputs"] section:first-child tbody tr')].map((r) => [r.querySelector('code')?.textContent ?? '', r.textContent]))`)
	assert.Equal(t, "Second: kind of set generators.second.keyPetrol set, 3 kW, electric start", rows["generators.second.key"])
	assert.Equal(t, "Grid: most that it gives grid.limit_w3,000 W", rows["grid.limit_w"])
	assert.Contains(t, strings.ReplaceAll(rows["generators.main.start_below"], "\u00a0", " "), "hold 900 s, 51.2 V; hold 120 s, 50.4 V; hold 15 s, 49.6 V")
	assert.Contains(t, strings.ReplaceAll(rows["grid.tariff.bands"], "\u00a0", " "), "hours 22-06, price 0.2 /kWh", "the unit is the one of the OpenAPI document")
	s.until(`document.documentElement.dataset.complete === 'yes'`)
	s.clean()
	s.visit("")
}
