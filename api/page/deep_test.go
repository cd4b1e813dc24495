package page_test

import (
	"math"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
)

// What takes other runs than the years themselves follows the numbers, and is what
// the service says to any client: the verdict, people, limits, what is in reserve.
func TestPage_Deep(t *testing.T) {
	s := open(t, 1440, "a.bank.modules=2&calendar_year=2026")
	s.drawn(0)
	s.until(`document.querySelector('.parts').classList.contains('shallow') === false`)
	hash := js[[]string](s, `[...document.querySelectorAll('dd code')].map((c) => c.textContent)`)[0]
	var a api.Answer
	s.get("/v1/simulations/"+hash+"?detail=reliefs,headroom,endurance,bands", &a)

	assert.Contains(t, js[string](s, `document.querySelector('.rests').textContent`), "Bank B is dark less than bank A.")
	people := js[string](s, `document.querySelector('.figures.four').closest('section').textContent`)
	assert.Contains(t, people, a.People.Words)
	rows := js[[][]string](s, `[...document.querySelectorAll('.figures.four tbody tr')].map((r) => [...r.children].map((c) => c.textContent))`)
	require.Equal(t, "Dark hours", rows[0][0])
	near(t, a.People.Attended.DowntimeH, rows[0][1])
	near(t, a.People.Nobody.DowntimeH, rows[0][2])

	limits := js[[][]string](s, `[...document.querySelectorAll('h3')].find((h) => h.textContent === 'What each limit costs').closest('section').querySelectorAll('.bar-row').values().map((r) => [r.firstChild.textContent, r.querySelector('.bar span').textContent]).toArray()`)
	saves := map[string]float64{}
	for _, r := range a.Reliefs.ByHours {
		saves[r.What] = r.SavesH
	}
	require.NotEmpty(t, limits)
	last := math.Inf(1)
	for _, row := range limits {
		near(t, saves[row[0]+"."], row[1])
		assert.LessOrEqual(t, saves[row[0]+"."], last+5, "ranked by the better of both banks")
		last = math.Max(saves[row[0]+"."], 0)
	}
	assert.Contains(t, js[string](s, `document.querySelector('#answer').textContent`), a.Headroom.Words)
	s.clean()
}

// Prices are stated among the inputs, and money stands among the figures.
func TestPage_Money(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	n := s.pictures()
	js[bool](s, `[...document.querySelectorAll('#answer button')].find((b) => b.textContent.startsWith('Try it with')).click() ?? true`)
	s.drawn(n)
	hash := js[[]string](s, `[...document.querySelectorAll('dd code')].map((c) => c.textContent)`)[1]
	var a api.Answer
	s.get("/v1/simulations/"+hash, &a)
	require.NotNil(t, a.Money)
	near(t, a.Money.PresentValue, row(s, "Present value")[2])
	near(t, a.Money.Capital, row(s, "Paid at the start")[2])
	assert.InDelta(t, 4*1500+7.2*1000+600+3000+6000+400+5000, a.Money.Capital, 1e-9, "four modules, 7.2 kW, one charger, inverter, generator, link, works")
	s.clean()
}

// get reads what the service answers.
func (s *screen) get(path string, into any) {
	s.t.Helper()
	r, err := http.Get(s.url + path)
	require.NoError(s.t, err)
	defer r.Body.Close()
	require.Equal(s.t, http.StatusOK, r.StatusCode)
	decode(s.t, r.Body, into)
}
