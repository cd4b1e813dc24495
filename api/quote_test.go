package api

import (
	"fmt"
	unescape "html"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The quote workbook in an office suite: cells that ask with WEBSERVICE and a
// sheet that is linked to a table have, once recalculated, the numbers that the
// service answers.
func TestQuote_Office(t *testing.T) {
	s, _ := sheet(t)
	system := with(t, hut(t, s), `{"generators":{"main":{"key":"diesel_8kw"}}}`)
	putHut(t, s, "hut", system)
	server := httptest.NewServer(s)
	defer server.Close()
	book := call(t, s, "GET", quotePath, nil).Body.String()
	require.Equal(t, 2, strings.Count(book, quoteAddress))
	file := filepath.Join(t.TempDir(), "quote.fods")
	require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(book, quoteAddress, server.URL)), 0o600))
	sheets := recalculated(t, file)

	figures := func(modules int, operation string) map[string]any {
		return figuresByJSON(t, s, with(t, system, fmt.Sprintf(`{"bank":{"modules":%d,"operation":%q}}`, modules, operation)))
	}
	want := figures(2, "data_linked")
	quote := sheets["Quote"]
	require.Len(t, quote[:18], 18)
	for row, figure := range map[int]string{9: "downtime_h", 10: "generator_h", 11: "fuel_l", 12: "lowest_soc_fraction"} {
		cell := quote[row-1][1]
		assert.Contains(t, cell.Formula, "WEBSERVICE")
		assert.False(t, cell.Error, figure)
		asWritten(t, want[figure], cell.Number)
	}
	assert.Positive(t, want["downtime_h"], "there is something to compare")
	assert.Positive(t, want["fuel_l"])
	assert.Equal(t, want["lowest_soc_at"], quote[12][1].Text)
	assert.InDelta(t, 2*1500+want["fuel_l"].(float64)*1.9*10, quote[13][1].Number, 1e-9)
	assert.Equal(t, "error: bank.modules: is outside the allowed range, got 99, allowed 1 to 64", quote[16][1].Text)
	assert.True(t, quote[17][1].Error, "by its status alone an error is one for the office suite too")

	sizes := sheets["Sizes"]
	fewest := 0
	for i, modules := range []int{2, 3, 4, 5, 6} {
		for j, operation := range []string{"data_linked", "voltage_only"} {
			row := sizes[1+2*i+j]
			f := figures(modules, operation)
			assert.Equal(t, float64(modules), row[0].Number)
			assert.Equal(t, operation, row[1].Text)
			asWritten(t, f["downtime_h"], row[2].Number)
			asWritten(t, f["fuel_l"], row[3].Number)
			if operation == "data_linked" && f["downtime_h"].(float64) <= 24 && fewest == 0 {
				fewest = modules
			}
		}
	}
	assert.Equal(t, "downtime_h", sizes[0][2].Text)
	assert.Equal(t, float64(fewest), quote[15][1].Number, "cells reckon with the linked sheet")
}

// What the page about spreadsheets shows can be asked.
func TestSpreadsheets_Page(t *testing.T) {
	s, _ := sheet(t)
	w := call(t, s, "GET", "/docs/spreadsheets", nil)
	require.Equal(t, 200, w.Code)
	addresses := regexp.MustCompile(quoteAddress+`/v1/systems/hut/figures[^\s"<]*`).FindAllString(unescape.UnescapeString(w.Body.String()), -1)
	require.GreaterOrEqual(t, len(addresses), 7)
	for _, address := range addresses {
		got := call(t, s, "GET", strings.TrimPrefix(address, quoteAddress), nil)
		assert.Equal(t, 200, got.Code, "%s: %s", address, got.Body.String())
	}
	assert.Equal(t, 200, call(t, s, "GET", "/docs/quote.fods", nil).Code)
}

// asWritten compares to the 15 digits that the office suite writes into its
// file, the last of which it may round either way.
func asWritten(t *testing.T, want any, got float64) {
	t.Helper()
	x := want.(float64)
	assert.InDelta(t, x, got, 2e-14*max(x, -x))
}
