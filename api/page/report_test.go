package page_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// printed is what the browser prints on paper of a size in inches: how many pages.
func (s *screen) printed(width, height float64) int {
	s.t.Helper()
	raw, err := chromedp.Run(s.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperSize{Width: width, Height: height}), chromedp.PDFPrintBackground()))
	require.NoError(s.t, err)
	return len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(raw, -1))
}

// The sizes of paper: ISO 216 A4 is 210 mm × 297 mm, ANSI/ASME Y14.1 A is 8.5 in × 11 in.
var papers = map[string][2]float64{"A4": {210 / 25.4, 297 / 25.4}, "Letter": {8.5, 11}}

// The report says what the page says, prints on both papers, and leads to the PDF.
func TestPage_Report(t *testing.T) {
	s := open(t, 1024, "")
	s.do(chromedp.Navigate(s.url + "/report#b.bank.modules=3"))
	s.until(`document.documentElement.dataset.complete === 'yes'`)
	two, three := figures(t, `{"bank":{"modules":2}}`), figures(t, `{"bank":{"modules":3}}`)
	near(t, two.DowntimeH, dark(s, "a"))
	near(t, three.DowntimeH, dark(s, "b"))
	said := js[string](s, `document.body.innerText`)
	for _, title := range []string{"Field station, cold valley", "What to program: bank A", "What to program: bank B", "Do the parts fit each other?", "How a sleeping bank would be woken", "In short", "Twenty years behind it", "Side by side", "Why it is dark", "What served the load", "What was stated", "What was assumed", "To make this again", "Cautions"} {
		assert.Contains(t, said, title)
	}
	assert.Equal(t, []string{"2", "3"}, js[[]string](s, `[...document.querySelectorAll('[data-group="inputs"] table')[0].querySelectorAll('td')].map((c) => c.textContent)`), "in what the banks differ")
	pages := s.printed(papers["A4"][0], papers["A4"][1])
	assert.Greater(t, pages, 5)
	assert.Less(t, pages, 40)
	// 16 cells × 3.50 V: what an LFP bank of 51.2 V is charged to (common practice, no source).
	assert.Equal(t, "56\u00a0V", js[string](s, `document.querySelector('.sheet-of-a .program td').textContent`))
	assert.Equal(t, js[int](s, `document.querySelectorAll('.finding').length`), js[int](s, `document.querySelectorAll('.finding.fail, .finding.caution, .finding.pass').length`))
	assert.Greater(t, js[int](s, `document.querySelectorAll('.finding').length`), 20)
	link := js[string](s, `document.querySelector('a.pdf').href`)
	assert.Regexp(t, `/v1/simulations/[0-9a-f]{64}/report\.pdf\?against=[0-9a-f]{64}&paper=a4&units=metric$`, link)
	assert.Equal(t, "application/pdf", js[string](s, `fetch(`+text(link)+`).then((r) => r.headers.get('Content-Type'))`))

	js[bool](s, `document.querySelector('#show-inputs').click() ?? true`)
	assert.Equal(t, "?show=summary,pictures,settings,fit", js[string](s, `decodeURIComponent(location.search)`))
	assert.False(t, js[bool](s, `document.querySelector('[data-group="inputs"]').checkVisibility()`))
	assert.Less(t, s.printed(papers["Letter"][0], papers["Letter"][1]), pages)
	s.clean()
}

// A wide window shows the report as one column with nothing drawn across it, and says
// no longer that it waits for the first year once that is there.
func TestPage_ReportWide(t *testing.T) {
	s := open(t, 1440, "")
	s.do(chromedp.Navigate(s.url + "/report"))
	s.drawn(0)
	assert.Equal(t, "none", js[string](s, `getComputedStyle(document.querySelector('main'), '::before').content`))
	assert.False(t, js[bool](s, `document.querySelector('.status').checkVisibility()`))
	s.do(chromedp.EmulateViewport(390, 1000))
	assert.LessOrEqual(t, js[int](s, `document.documentElement.scrollWidth`), 390)
	s.until(`document.querySelectorAll('.sheet-of-a .program td').length > 0`)
	assert.LessOrEqual(t, js[float64](s, `Math.max(...[...document.querySelectorAll('.program td')].map((e) => e.getBoundingClientRect().right))`), 390.0, "nothing of a settings sheet is beyond a telephone's edge")
	assert.Equal(t, `"If it is wrong: "`, js[string](s, `getComputedStyle(document.querySelector('.sheet-of-a .program td:last-child'), '::before').content`))
	s.clean()
}

// The reference is read without scrolling sideways where a window is wide, and on a
// telephone each page is as wide as the window; what an input means stands beside its name.
func TestPage_ReferenceWidths(t *testing.T) {
	s := open(t, 1280, "")
	s.do(chromedp.Navigate(s.url + "/docs"))
	assert.Empty(t, js[[]string](s, `[...document.querySelectorAll('.wide')].filter((e) => e.scrollWidth > e.clientWidth).map((e) => e.textContent.slice(0, 80))`))
	s.do(chromedp.EmulateViewport(390, 1000))
	assert.LessOrEqual(t, js[float64](s, `document.querySelector('#inputs ~ .wide td.what').getBoundingClientRect().right`), 390.0)
	for _, page := range []string{"/docs", "/docs/resources", "/docs/answer", "/docs/models", "/docs/limits", "/docs/spreadsheets"} {
		s.do(chromedp.Navigate(s.url + page))
		assert.LessOrEqual(t, js[int](s, `document.documentElement.scrollWidth`), 390, page)
	}
	s.clean()
}

// A prepared pair prints as one sheet with its question, pictures and answer.
func TestPage_Sheets(t *testing.T) {
	s := open(t, 1024, "")
	s.drawn(0)
	for i := range 6 {
		n := s.pictures()
		js[bool](s, `document.querySelectorAll('.pairs a')[`+text(i)+`].click() ?? true`)
		s.drawn(n)
		question := js[string](s, `document.querySelector('.question h3').textContent`)
		if i == 3 { // the longest, with all that is filled in later
			s.until(`!document.querySelector('.parts').classList.contains('shallow')`)
		}
		assert.Equal(t, 1, s.printed(papers["Letter"][0], papers["Letter"][1]), "%s on Letter", question)
		if i == 3 {
			assert.Equal(t, 1, s.printed(papers["A4"][0], papers["A4"][1]), "%s on A4", question)
		}
	}
	s.clean()
}

// axe-core finds nothing serious on the page, in light and dark, nor on the report.
func TestPage_Accessible(t *testing.T) {
	s := open(t, 1440, `grid={"limit_w":5000,"use":"self_use"}&generators.second={"key":"petrol_3kw","lead_order":2,"start_soc_fraction":0.2}`)
	s.until(`document.querySelectorAll('.set').length === 2`)
	s.drawn(0)
	engine := axe(t)
	check := func(where, rules string) {
		t.Helper()
		_, err := chromedp.Run(s.ctx, chromedp.Evaluate[bool](engine+`; true`))
		require.NoError(t, err)
		found := js[[]string](s, `axe.run(document, `+rules+`).then((r) => r.violations.filter((v) => ['serious', 'critical'].includes(v.impact)).flatMap((v) => v.nodes.map((n) => v.id + ': ' + n.html.slice(0, 160) + ' ' + n.any.map((a) => a.message).join('; ').slice(0, 200))))`)
		assert.Empty(t, found, "%s:\n%s", where, strings.Join(found, "\n"))
	}
	js[bool](s, `document.querySelectorAll('details.more').forEach((d) => { d.open = true; }) ?? true`)
	check("light", `{resultTypes: ['violations']}`)
	js[bool](s, `(() => { const p = document.querySelector('#paper'); p.value = 'dark'; p.dispatchEvent(new Event('change')); return true })()`)
	check("dark", `{resultTypes: ['violations'], runOnly: ['color-contrast']}`) // nothing else depends on the colours
	js[bool](s, `(() => { const p = document.querySelector('#paper'); p.value = 'auto'; p.dispatchEvent(new Event('change')); localStorage.clear(); return true })()`)
	s.do(chromedp.Navigate(s.url + "/report#"))
	s.until(`document.documentElement.dataset.complete === 'yes'`)
	js[bool](s, `document.querySelectorAll('[data-group="inputs"] details').forEach((d) => { d.open = false; }) ?? true`) // three hundred rows of one kind
	check("report", `{resultTypes: ['violations']}`)
	s.clean()
}
