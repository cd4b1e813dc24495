package page_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Whatever module of 48 V a bank of the page is made of, its generator starts by voltages of
// its own cells: the fit check finds nothing against them. What the question states stays,
// and so do the station's own.
func TestPage_LadderOfTheCells(t *testing.T) {
	s := open(t, 1440, "")
	s.drawn(0)
	asked := js[map[string]string](s, `(async () => {
		const { Question } = await import('/page/question.js');
		const [station, places] = await Promise.all(['/page/station.json', '/page/places.json'].map((a) => fetch(a).then((r) => r.json())));
		const entries = (await fetch('/v1/catalogue?kind=module').then((r) => r.json())).entries;
		const out = {};
		for (const { key } of entries) {
			if (/_(8|12)s_/.test(key)) continue; // of 24 V
			const q = new Question(station, places);
			q.set('b.bank.module.key', key);
			if (key.startsWith('lead_acid')) q.set('b.bank.operation', 'voltage_only');
			const sheet = await fetch('/v1/sheets', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(q.system('b')) }).then((r) => r.json());
			out[key] = sheet.fit.find((f) => f.check === 'generator_voltage_ladder').verdict + ' ' + JSON.stringify(q.system('b').generators.main.start_below.map((r) => r.v));
			out['a of ' + key] = JSON.stringify(q.system('a').generators.main.start_below.map((r) => r.v));
		}
		const q = new Question(station, places);
		q.set('b.bank.module.key', 'lead_acid_vented_24s_400ah');
		q.set('generators.main.start_below', [{ v: 47.2, hold_s: 60 }]);
		out.stated = JSON.stringify(q.system('b').generators.main.start_below);
		q.set('generators.main.start_below', null);
		out.none = String(q.system('b').generators.main.start_below);
		return out; })()`)
	assert.Equal(t, "pass [48,47.5,47]", asked["lead_acid_vented_24s_400ah"])
	assert.Equal(t, "pass [51.2,50.4,49.6]", asked["lfp_16s_280ah"])
	assert.Equal(t, `[{"v":47.2,"hold_s":60}]`, asked["stated"])
	assert.Equal(t, "undefined", asked["none"])
	delete(asked, "stated")
	delete(asked, "none")
	assert.Len(t, asked, 22)
	for key, told := range asked {
		if len(key) > 5 && key[:5] == "a of " {
			assert.Equal(t, "[51.2,50.4,49.6]", told, key)
			continue
		}
		assert.Regexp(t, "^pass ", told, key)
	}
	s.clean()
}
