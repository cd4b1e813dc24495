package page_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const weatherInput = `[data-path="place"] ~ details input[type="file"]`

// The weather file of the station, uploaded, is the place that comes with the page:
// the same figures and the same content hash, and a report that can be read.
func TestPage_UploadWeather(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	hashes := `[...document.querySelectorAll('dd code')].map((c) => c.textContent)`
	before := js[[]string](s, hashes)
	file, err := filepath.Abs("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	require.NoError(t, err)
	n := s.pictures()
	js[bool](s, `document.querySelectorAll('details.more').forEach((d) => d.open = true) ?? true`)
	s.do(chromedp.SetUploadFiles(weatherInput, []string{file}))
	s.drawn(n)
	s.until(`location.hash.startsWith("#place=w-")`)
	assert.Equal(t, before, js[[]string](s, hashes))
	assert.Contains(t, js[string](s, `document.querySelector('.report').textContent`), "8760 rows")
	assert.Greater(t, js[int](s, `document.querySelectorAll('.report .checks li').length`), 3)
	s.until(`document.querySelectorAll('.report svg rect').length === 12 * 24`)

	s.visit(js[string](s, `location.hash.slice(1)`))
	s.drawn(0)
	assert.Equal(t, before, js[[]string](s, hashes), "the address names the uploaded year")
	s.clean()
}

// What is no weather is refused, and says why.
func TestPage_UploadRefused(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	file := filepath.Join(t.TempDir(), "notes.csv")
	require.NoError(t, os.WriteFile(file, []byte("time,mood\n2025-01-01T00:00,good\n"), 0o600))
	js[bool](s, `document.querySelectorAll('details.more').forEach((d) => d.open = true) ?? true`)
	s.do(chromedp.SetUploadFiles(weatherInput, []string{file}))
	s.until(`document.querySelectorAll('.report li').length > 0`)
	assert.Contains(t, js[string](s, `document.querySelector('.report').textContent`), "notes.csv was not taken")
	s.clean("422")
}

// Meter readings that are dropped on the load become the load, as they are.
func TestPage_UploadMeter(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	dropped := js[bool](s, `(() => {
		document.querySelectorAll('details.more').forEach((d) => d.open = true);
		document.querySelector('#meter-unit').value = 'kw';
		const rows = ['time,kW'];
		for (let i = 0; i < 8760; i++) rows.push(new Date(Date.UTC(2025, 0, 1) + i * 3600e3).toISOString().slice(0, 16).replace('T', ' ') + ',0.3');
		const files = new DataTransfer();
		files.items.add(new File([rows.join('\n')], 'meter.csv'));
		const group = document.querySelector('[data-path="load.key"]').closest('fieldset');
		group.dispatchEvent(new DragEvent('dragover', {dataTransfer: files, bubbles: true, cancelable: true}));
		if (!group.querySelector('.drop').classList.contains('over')) return false;
		group.dispatchEvent(new DragEvent('drop', {dataTransfer: files, bubbles: true, cancelable: true}));
		return !group.querySelector('.drop').classList.contains('over') })()`)
	assert.True(t, dropped, "the place to drop at shows it while a file is over it")
	s.until(`location.hash.startsWith("#load.id=l-")`)
	s.until(`document.querySelectorAll('.report')[1].textContent.includes('7.2 kWh a day')`) // 24 × 0.3
	constant := `{"bank":{"modules":2},"load":{"appliances":null,"scale_to_kwh_per_day":null,"ac_essential_w":[`
	for i := range 8760 {
		if i > 0 {
			constant += ","
		}
		constant += "300"
	}
	want := figures(t, constant+`]}}`)
	s.until(`document.querySelector('[data-path="load.key"] option').textContent === 'Your meter'`)
	near(t, want.DowntimeH, dark(s, "a"))
	near(t, want.GeneratorH, row(s, "Generator hours")[1])
	s.clean()
}
