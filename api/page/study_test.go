package page_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A study is started from the page, followed by its events, drawn as a map, and a
// run of it is loaded as bank B; the address gives the study again.
func TestPage_Study(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	start := `[...document.querySelectorAll('.study-form button')].find((b) => b.textContent === 'Start').click() ?? true`
	set := func(n int, value string) {
		js[bool](s, `(document.querySelectorAll('.study-form input[type="number"]')[`+text(n)+`].value = `+text(value)+`) !== ''`)
	}
	for n, value := range []string{"10", "6", "8", "1", "2", "4", "1"} { // limit; across from, to, step; down likewise
		set(n, value)
	}
	js[bool](s, start)
	s.until(`document.documentElement.dataset.runs === '9' && document.querySelectorAll('button.heat').length === 9`)
	cells := js[[][]string](s, `[...document.querySelectorAll('.study-map tbody tr')].map((r) => [...r.children].map((c) => c.textContent))`)
	require.Len(t, cells, 3, "four modules at the top")
	near(t, figures(t, `{"bank":{"modules":2},"array":{"planes":{"roof":{"rated_kw":6}}}}`).DowntimeH, cells[2][1])
	near(t, figures(t, `{"bank":{"modules":3},"array":{"planes":{"roof":{"rated_kw":8}}}}`).DowntimeH, cells[1][3])
	s.until(`/study=s-[0-9a-f]+/.test(location.hash)`)

	n := s.pictures()
	js[bool](s, `document.querySelectorAll('.study-map tbody tr')[1].querySelectorAll('button')[2].click() ?? true`)
	s.drawn(n)
	near(t, figures(t, `{"bank":{"modules":3},"array":{"planes":{"roof":{"rated_kw":8}}}}`).DowntimeH, dark(s, "b"))
	s.until(`location.hash.includes('b.array.planes.roof.rated_kw=8') && location.hash.includes('b.bank.modules=3')`)

	js[bool](s, `(() => { const kind = document.querySelector('.study-form select'); kind.value = 'sizing'; kind.dispatchEvent(new Event('change')); return true })()`)
	set(0, "5")
	js[bool](s, start)
	s.until(`document.querySelectorAll('.frontier li').length > 0`)
	smallest := 64.
	for modules := 2.; modules <= 4; modules++ {
		for kw := 6.; kw <= 8; kw++ {
			if figures(t, `{"bank":{"modules":`+text(modules)+`},"array":{"planes":{"roof":{"rated_kw":`+text(kw)+`}}}}`).DowntimeH <= 5 {
				smallest = math.Min(smallest, modules)
			}
		}
	}
	assert.Contains(t, js[string](s, `document.querySelector('.frontier li').textContent`), "Modules "+text(smallest))

	link := js[string](s, `location.hash.slice(1)`)
	s.visit(link)
	s.until(`document.querySelectorAll('button.heat').length === 9 && document.querySelectorAll('.frontier li').length > 0`)
	s.clean()
}

// A range that makes no values is told, and nothing starts.
func TestPage_StudyRefused(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	js[bool](s, `(document.querySelectorAll('.study-form input[type="number"]')[3].value = '0') !== ''`)
	js[bool](s, `[...document.querySelectorAll('.study-form button')].find((b) => b.textContent === 'Start').click() ?? true`)
	s.until(`document.querySelectorAll('ul.wrongs li').length > 0`)
	assert.Contains(t, js[string](s, `document.querySelector('ul.wrongs').textContent`), "/axes/")
	s.clean("422")
	s.visit("")
}
