package workbook

import (
	"archive/zip"
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func written(t *testing.T) []byte {
	t.Helper()
	b := New()
	charts := b.Sheet("Charts", 0, 10)
	s := b.Sheet("It's a sheet", 1, 20, 8)
	s.Row(Head("month"), Head("dark hours"))
	for month := range 12 {
		require.Equal(t, month+2, s.Next())
		require.Equal(t, month+2, s.Row(month+1, 1.5*float64(month)))
	}
	s.Row("year", Formula{Text: "SUM(B2:B13)", Value: 99.}, Entered{Value: 7}, Time(45658.5), true, nil, Wrapped("=1+1"))
	b.Chart(charts, "A1", Lines, "Dark hours", "month", "h", []Series{{Name: On("It's a sheet", Fixed(2, 1)), Categories: Down("It's a sheet", 1, 2, 13), Values: Down("It's a sheet", 2, 2, 13)}})
	out, err := b.Bytes()
	require.NoError(t, err)
	return out
}

func TestBook(t *testing.T) {
	book := written(t)
	for range 5 { // the library's maps come in another order each time
		assert.True(t, bytes.Equal(book, written(t)), "the same rows make the same bytes")
	}
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	require.NoError(t, err)
	var parts []string
	for _, f := range z.File {
		parts = append(parts, f.Name)
	}
	assert.Equal(t, "[Content_Types].xml", parts[0])
	assert.True(t, slices.IsSorted(parts[1:]))
	assert.Contains(t, parts, "xl/charts/chart1.xml")

	chart, err := z.Open("xl/charts/chart1.xml")
	require.NoError(t, err)
	drawn, err := io.ReadAll(chart)
	require.NoError(t, err)
	assert.Regexp(t, `<a:ln [^>]*><a:solidFill><a:srgbClr val="`+palette[0]+`"`, string(drawn), "a line has its colour of the palette")

	f, err := excelize.OpenReader(bytes.NewReader(book))
	require.NoError(t, err)
	assert.Equal(t, []string{"Charts", "It's a sheet"}, f.GetSheetList())
	for address, want := range map[string]string{"A1": "month", "B13": "16.5", "B14": "99", "C14": "7", "D14": "45658.5", "E14": "1", "F14": "", "G14": "=1+1"} {
		got, err := f.GetCellValue("It's a sheet", address, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		assert.Equal(t, want, got, address)
	}
	total, err := f.CalcCellValue("It's a sheet", "B14")
	require.NoError(t, err)
	assert.Equal(t, "99", total)
	formula, err := f.GetCellFormula("It's a sheet", "G14")
	require.NoError(t, err)
	assert.Empty(t, formula, "a text that looks like a formula is a text")
}

// The first thing that goes wrong is told at the end.
func TestBook_Error(t *testing.T) {
	b := New()
	b.Sheet("a name that is longer than a sheet may have", 0, 10).Row(1)
	b.Sheet("good", 0, 10).Row(strings.Repeat("x", 10))
	_, err := b.Bytes()
	assert.ErrorContains(t, err, "workbook: ")
}

// Addresses as spreadsheets write them (ECMA-376 part 1, 18.17.2.3).
func TestPlaces(t *testing.T) {
	assert.Equal(t, "A", Column(1))
	assert.Equal(t, "AA", Column(27))
	assert.Equal(t, "C7", Cell(3, 7))
	assert.Equal(t, "$C$7", Fixed(3, 7))
	assert.Equal(t, "'It''s'!A1", On("It's", "A1"))
	assert.Equal(t, "'Months'!$B$2:$B$13", Down("Months", 2, 2, 13))
	for _, bad := range []func(){func() { Cell(0, 1) }, func() { Fixed(1, 0) }, func() { Column(0) }} {
		assert.Panics(t, bad)
	}
}
