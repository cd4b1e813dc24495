package page_test

import (
	"io"
	"net/http"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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
	s.visit("")
	s.drawn(0)
	bytes := js[int](s, `performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation')).reduce((sum, r) => sum + r.encodedBodySize, 0)`)
	assert.Less(t, bytes, 400_000)
	assert.Greater(t, bytes, 50_000, "something was counted")
}

// From a phone to a wide screen nothing is cut off at the side.
func TestPage_Widths(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	for _, width := range []int64{390, 768, 1024, 1440, 1920} {
		s.do(chromedp.EmulateViewport(width, 1000))
		s.until(`innerWidth === ` + text(width))
		assert.LessOrEqual(t, js[int](s, `document.scrollingElement.scrollWidth`), int(width), "at %d px", width)
	}
	s.clean()
}

// What is chosen is read whole: its words and the arrow, which takes about 20 px (no
// source, seen in the browser), are no wider than the field, or stand below it. None of
// what the page begins with needs that in a wide window or on a telephone.
func TestPage_ChoicesWhole(t *testing.T) {
	const cut = `(() => {
		const pen = document.createElement('canvas').getContext('2d');
		return [...document.querySelectorAll('.field select')].filter((e) => {
			const { fontSize, fontFamily } = getComputedStyle(e);
			pen.font = fontSize + ' ' + fontFamily;
			return e.checkVisibility() && pen.measureText(e.selectedOptions[0].text).width > e.clientWidth - 20;
		});
	})()`
	s := open(t, 1440, "")
	s.drawn(0)
	js[bool](s, `document.querySelectorAll('details.more').forEach((d) => { d.open = true; }) ?? true`)
	for _, width := range []int64{390, 768, 1024, 1440, 1920} {
		s.do(chromedp.EmulateViewport(width, 1000))
		s.until(`innerWidth === ` + text(width))
		s.until(cut + `.every((e) => e.closest('.field').querySelector('.whole').textContent === e.selectedOptions[0].text)`)
		paths := js[[]string](s, cut+`.map((e) => e.closest('.field').dataset.path)`)
		if width == 1024 {
			assert.Contains(t, paths, "place", "the columns are narrow here")
		} else if width != 768 {
			assert.Empty(t, paths, "at %d px", width)
		}
	}
	s.clean()
}

// The year can be read with the keyboard alone.
func TestPage_Keyboard(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	s.do(chromedp.Focus(`.cloth canvas`), chromedp.KeyEvent(kb.ArrowRight+kb.ArrowDown+kb.ArrowDown+kb.ArrowDown))
	read := js[string](s, `document.activeElement.closest('section').querySelector('.readout').textContent`)
	assert.Regexp(t, `^Wed,? 1 Jan, 03:00: A \d+ % full`, read, "the first arrow begins at the first hour")
	unnamed := js[[]string](s, `[...document.querySelectorAll('input, select, button, canvas, [role="img"]')].filter((e) => !(e.parentElement.closest('[role="img"]') || e.labels?.length || e.getAttribute("aria-labelledby") || e.getAttribute('aria-label') || e.textContent.trim())).map((e) => e.outerHTML.slice(0, 120))`)
	assert.Empty(t, unnamed, "every control and picture has a name")
	s.clean()
}
