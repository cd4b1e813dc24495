package api

import (
	"bytes"
	"compress/zlib"
	"io"
	"math"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/report"
)

// pdfFile is a PDF taken apart by the rules of ISO 32000-1 §7.5: the table of
// references, and the streams, decoded.
type pdfFile struct {
	objects int
	streams []string
}

func readPDF(t *testing.T, raw []byte) pdfFile {
	t.Helper()
	require.True(t, bytes.HasPrefix(raw, []byte("%PDF-1.")))
	require.True(t, bytes.HasSuffix(bytes.TrimSpace(raw), []byte("%%EOF")))
	start := regexp.MustCompile(`startxref\s+(\d+)`).FindSubmatch(raw)
	require.NotNil(t, start)
	at, err := strconv.Atoi(string(start[1]))
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(raw[at:], []byte("xref")))
	var out pdfFile
	for i, entry := range regexp.MustCompile(`(?m)^(\d{10}) \d{5} ([nf])`).FindAllSubmatch(raw[at:], -1) {
		if string(entry[2]) == "f" {
			continue
		}
		place, err := strconv.Atoi(strings.TrimLeft(string(entry[1]), "0"))
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(raw[place:], []byte(strconv.Itoa(i)+" 0 obj")), "object %d is where the table says", i)
		out.objects++
	}
	for _, m := range regexp.MustCompile(`(?s)/FlateDecode.*?stream\n`).FindAllIndex(raw, -1) {
		z, err := zlib.NewReader(bytes.NewReader(raw[m[1]:]))
		if err != nil {
			continue
		}
		body, err := io.ReadAll(z)
		require.NoError(t, err)
		out.streams = append(out.streams, string(body))
	}
	return out
}

// words is the text of the pages: strings of UTF-16, each a line or a part of one.
func (f pdfFile) words() string {
	var out strings.Builder
	unescape := strings.NewReplacer(`\\`, `\`, `\(`, `(`, `\)`, `)`, `\r`, "\r")
	for _, s := range f.streams {
		for _, m := range regexp.MustCompile(`(?s)\(((?:[^\\()]|\\.)*)\)\s*Tj`).FindAllStringSubmatch(s, -1) {
			raw := unescape.Replace(m[1])
			var units []uint16
			for i := 0; i+1 < len(raw); i += 2 {
				units = append(units, uint16(raw[i])<<8|uint16(raw[i+1]))
			}
			out.WriteString(string(utf16.Decode(units)) + "\n")
		}
	}
	return out.String()
}

// pagesEndAbove counts the pages whose lowest text above the foot is higher than a
// base line, in points from the lower edge: ISO 32000-1 §8.3.2.3 counts from there.
func pagesEndAbove(f pdfFile, line float64) int {
	n := 0
	for _, s := range f.streams {
		lowest := math.Inf(1)
		for _, m := range regexp.MustCompile(`BT [0-9.]+ ([0-9.]+) Td`).FindAllStringSubmatch(s, -1) {
			if y, err := strconv.ParseFloat(m[1], 64); err == nil && y > 40 {
				lowest = min(lowest, y)
			}
		}
		if !math.IsInf(lowest, 0) && lowest > line {
			n++
		}
	}
	return n
}

// The report is a PDF of the size asked for, its charts are vectors, and it says
// what the answer says.
func TestService_Report(t *testing.T) {
	s := New(Config{})
	hashes := compared(t, s, `{"two": {"bank": {"modules": 2}}, "four": {"bank": {"modules": 4}}}`)
	target := "/v1/simulations/" + hashes["two"] + "/report.pdf?against=" + hashes["four"]
	w := call(t, s, "GET", target, nil)
	require.Equal(t, 200, w.Code, w.Body.String())
	assert.Equal(t, "application/pdf", w.Header().Get("Content-Type"))
	assert.Regexp(t, `^inline; filename="[a-z0-9-]+\.pdf"$`, w.Header().Get("Content-Disposition"))
	raw := w.Body.Bytes()
	f := readPDF(t, raw)
	assert.Contains(t, string(raw), "/MediaBox [0 0 595.28 841.89]", "ISO 216: A4 is 210 mm × 297 mm, 595.28 × 841.89 points of 1/72 inch")
	assert.NotContains(t, string(raw), "/Subtype /Image", "no picture is made of dots")
	lines, fills := 0, 0
	for _, page := range f.streams {
		lines += strings.Count(page, " l\n") + strings.Count(page, " l S\n")
		fills += strings.Count(page, " re f")
	}
	assert.Greater(t, lines, 2*365, "the state of charge of every day is on a line")
	assert.GreaterOrEqual(t, fills, 12*2, "a column for each month and bank")

	assert.Less(t, pagesEndAbove(f, 0.4*841.89), 2, "a page is filled before the next is begun: only the last may end in its upper part")

	words := f.words()
	two, _ := s.answers.get(hashes["two"])
	require.Greater(t, two.year.Figures.DowntimeH, 9.95, "from there on no decimals are shown")
	assert.Contains(t, words, "\n"+strconv.FormatFloat(two.year.Figures.DowntimeH, 'f', 0, 64)+"\n")
	for _, said := range []string{"Bank B is dark less than bank A", "In short", "Twenty years behind it", "What it rests on", "What each limit costs", "What is in reserve", "With somebody there, and with nobody", "The figures", "What to program", "Do the parts fit each other?", "In what the banks differ", "Ended by", "During the longest of these, from ", "Load may come back", "How a bank that sleeps after over-discharge would be woken", "By a visit: possible", "bank.modules", "What was assumed",
		"To make this again", hashes["two"], hashes["four"], Engine(), "Cautions", "A simulation is no design approval. Local codes and licensed practice decide.", "One typical year has no bad winter in it: expect darker years."} {
		assert.True(t, strings.Contains(words, said), said)
	}
	assert.NotContains(t, words, "grid\n")
	for _, raw := range []string{`["`, "{}", "[0", "start_generator", " -"} {
		assert.NotContains(t, words, raw, "what was assumed and what is below 0 is written for people")
	}
	body := comparisonOf(t, `{"two": {"bank": {"modules": 2}, "grid": {"limit_w": 3000}}, "four": {}}`)
	letter := callAs(t, s, "?paper=letter&units=us", "application/pdf", body)
	require.Equal(t, 200, letter.Code, letter.Body.String())
	assert.Contains(t, letter.Body.String(), "/MediaBox [0 0 612.00 792.00]", "ANSI/ASME Y14.1 A: 8.5 in × 11 in")
	words = readPDF(t, letter.Body.Bytes()).words()
	assert.Contains(t, words, "°F")
	assert.Contains(t, words, "two: 2 ×")
	for _, said := range []string{"\ngrid\n", "Hours on the grid", "Taken from the grid", "The site is on the grid for"} {
		assert.Contains(t, words, said)
	}
	assert.True(t, bytes.Equal(letter.Body.Bytes(), callAs(t, s, "?paper=letter&units=us", "application/pdf", body).Body.Bytes()), "the same question, the same bytes")
}

// callAs posts a comparison and asks for a media type.
func callAs(t *testing.T, s *Service, query, accept string, body []byte) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest("POST", "/v1/comparisons"+query, bytes.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Accept", accept)
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func TestService_ReportRefused(t *testing.T) {
	s := New(Config{})
	hashes := compared(t, s, `{"two": {"bank": {"modules": 2}}, "leap": {"calendar_year": 2026}}`)
	two := "/v1/simulations/" + hashes["two"] + "/report.pdf"
	none := strings.Repeat("0", 64)
	for target, status := range map[string]int{
		"/v1/simulations/" + none + "/report.pdf":            404,
		two + "?against=" + none:                             404,
		two + "?against=" + hashes["leap"]:                   400,
		two + "?against=" + strings.Repeat(none+",", 4) + "": 400,
		two + "?paper=a3":                                    400,
	} {
		assert.Equal(t, status, call(t, s, "GET", target, nil).Code, target)
	}
}

// What is stated is listed by path; long lists only by their length.
func TestStatedInputs(t *testing.T) {
	c := read(t, with(t, complete(t), `{"name": "x", "generators": {"main": {"key": "diesel_8kw", "start_below": [{"v": 51.2, "hold_s": 900}, {"v": 49.6, "hold_s": 15, "load_corrected": true}]}}, "array": {"planes": {"roof": {"losses": {"soiling_fraction": [0.1, 0.2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]}}}}}`))
	assert.NotContains(t, c.Stated, "name")
	assert.Equal(t, "8760 values", c.Stated["weather.ghi_w_m2"])
	assert.Equal(t, "hold\u00a0900\u00a0s, 51.2\u00a0V; hold\u00a015\u00a0s, load corrected\u00a0true, 49.6\u00a0V", c.Stated["generators.main.start_below"])
	assert.Equal(t, "0.1, 0.2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0", c.Stated["array.planes.roof.losses.soiling_fraction"])
	for _, x := range []struct {
		value any
		text  string
	}{{[]string{"start_generator", "reset"}, "start generator, reset"}, {[]float64{0.03}, "0.03"}, {map[string]int{}, "none"}, {[]string{}, "none"}, {1e6, "1000000"}, {-0.0351234, "−0.035123"}, {false, "false"}, {"data_linked", "data linked"}} {
		assert.Equal(t, x.text, assumedText(x.value))
	}
	same, differs := report.Inputs([]map[string]string{{"x": "1", "y": "2"}, {"x": "1", "y": "3", "z": "4"}})
	assert.Equal(t, []report.Line{{Path: "x", Values: []string{"1"}}}, same)
	assert.Equal(t, []report.Line{{Path: "y", Values: []string{"2", "3"}}, {Path: "z", Values: []string{"–", "4"}}}, differs)
}
