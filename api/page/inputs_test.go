package page_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
)

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

// The form of hours is shown at their field before a wrong one is refused.
func TestPage_HoursForm(t *testing.T) {
	s := open(t, 1440, "controls.operator.awake=06-20")
	s.drawn(0)
	hint := `document.querySelector('[data-path="%s"] .range').textContent`
	assert.Equal(t, "such as 22-07 or 12-14,22:30-07", js[string](s, strings.Replace(hint, "%s", "generators.main.no_start_hours", 1)))
	assert.Equal(t, "such as 07-22", js[string](s, strings.Replace(hint, "%s", "controls.operator.awake", 1)))
	s.clean()
}

// What the service refuses is told at the field, and the inputs stay.
func TestPage_Fault(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	n := s.pictures()
	s.enter("b.bank.modules", "0")
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
