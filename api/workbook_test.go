package api

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/cost"
)

// comparedAs is a comparison of the station as a workbook, and what the answer
// in JSON says in the same detail.
func comparedAs(t testing.TB, raw []byte) (book []byte, answer Comparison) {
	t.Helper()
	s := New(Config{})
	const target = "/v1/comparisons?detail=months,hours&columns=generator_w,soc_fraction"
	w := call(t, s, "POST", target, raw, "Accept", media.Workbook)
	require.Equal(t, 200, w.Code, w.Body.String())
	require.Equal(t, media.Workbook, w.Header().Get("Content-Type"))
	again := call(t, s, "POST", target, raw, "Accept", media.Workbook)
	assert.Equal(t, w.Header().Get("ETag"), again.Header().Get("ETag"), "the same bytes twice")
	asJSON := call(t, s, "POST", "/v1/comparisons?detail=months", raw)
	require.Equal(t, 200, asJSON.Code)
	require.NoError(t, json.Unmarshal(asJSON.Body.Bytes(), &answer))
	return w.Body.Bytes(), answer
}

const (
	workbookCandidates = `{"one":{"bank":{"modules":1}},"two":{},"linked":{"bank":{"modules":3,"operation":"data_linked"},"generators":{"main":{"key":"diesel_8kw"}}}}`
	workbookPrices     = `{"prices":{"currency":"coins","module_each":1500,"array_per_kw":700,"solar_charger_each":350,"inverter_each":2100,"generator_each":6000,"data_link":400,"works":2500,"fuel_per_l":1.9,"generator_service_each":180,"visit_each":250,"discount_rate_fraction":0.04}}`
)

// priced is a comparison with prices.
func priced(t testing.TB) []byte {
	t.Helper()
	var candidates map[string]any
	require.NoError(t, json.Unmarshal([]byte(workbookCandidates), &candidates))
	return text(t, map[string]any{"name": "Quote 17", "base": with(t, complete(t), workbookPrices), "candidates": candidates})
}

// rowNamed is the row of a sheet that begins with a text.
func rowNamed(t testing.TB, sheet [][]officeCell, name string) []officeCell {
	t.Helper()
	for _, row := range sheet {
		if len(row) > 0 && row[0].Text == name {
			return row
		}
	}
	require.Fail(t, "no row "+name)
	return nil
}

// The workbook opens in an office suite, and what its formulas come to there is
// what they are written with, and what the answer in JSON says.
func TestWorkbook_Office(t *testing.T) {
	raw := priced(t)
	book, answer := comparedAs(t, raw)
	file := filepath.Join(t.TempDir(), "comparison.xlsx")
	require.NoError(t, os.WriteFile(file, book, 0o600))
	sheets := recalculated(t, file)
	written, err := excelize.OpenFile(file)
	require.NoError(t, err)
	formulas := 0
	for name, rows := range sheets {
		for r, row := range rows {
			for c, cell := range row {
				if cell.Formula == "" {
					continue
				}
				formulas++
				require.False(t, cell.Error, "%s: %s", name, cell.Formula)
				address, err := excelize.CoordinatesToCellName(c+1, r+1)
				require.NoError(t, err)
				want, err := written.GetCellValue(name, address, excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				switch {
				case cell.IsText:
					assert.Equal(t, want, cell.Text, "%s!%s", name, address)
				default:
					x := 0.0
					if want != "" {
						_, err = fmt.Sscan(want, &x)
						require.NoError(t, err, "%s!%s %s", name, address, cell.Formula)
					}
					assert.InDelta(t, x, cell.Number, 1e-9*max(1, x, -x), "%s!%s %s", name, address, cell.Formula)
				}
			}
		}
	}
	assert.Greater(t, formulas, 500)
	t.Run("figures and cost", func(t *testing.T) {
		for i, c := range answer.Candidates {
			assert.Equal(t, c.Candidate, sheets[summarySheet][2][2+i].Text)
			assert.InDelta(t, c.Answer.Figures.DowntimeH, rowNamed(t, sheets[summarySheet], "dark hours")[2+i].Number, 1e-9)
			assert.InDelta(t, c.Answer.Money.PresentValue, rowNamed(t, sheets[costSheet], "present value")[2+i].Number, 1e-6)
			assert.InDelta(t, *c.Answer.Money.CostPerKWh, rowNamed(t, sheets[summarySheet], "cost of a kWh served")[2+i].Number, 1e-9)
			assert.Equal(t, c.Answer.Hash, rowNamed(t, sheets[summarySheet], "content hash")[2+i].Text)
			months := sheets[monthsSheet][13]
			assert.InDelta(t, c.Answer.Figures.DowntimeH, months[1+i].Number, 1e-9)
			assert.InDelta(t, c.Answer.Figures.FuelL, months[1+2*len(answer.Candidates)+i].Number, 1e-9)
		}
		assert.Equal(t, "coins", rowNamed(t, sheets[costSheet], "capital")[1].Text)
	})
	t.Run("hours", func(t *testing.T) {
		hours := sheets[hoursSheet]
		require.GreaterOrEqual(t, len(hours), 8761)
		assert.Equal(t, "2025-01-01 00:00", hours[1][0].Text)
		assert.Equal(t, "2025-01-01 01:00", hours[2][0].Text)
		assert.Equal(t, "2025-12-31 23:00", hours[8760][0].Text)
		column := -1
		for i, cell := range hours[0] {
			if cell.Text == "generator_w linked" {
				column = i
			}
		}
		require.Positive(t, column)
		kwh := 0.0
		for _, row := range hours[1:8761] {
			kwh += row[column].Number / 1000
		}
		for _, c := range answer.Candidates {
			if c.Candidate == "linked" {
				assert.InDelta(t, c.Answer.Books.GeneratorKWh, kwh, 1e-4*kwh)
			}
		}
	})
	t.Run("inputs", func(t *testing.T) {
		assert.Equal(t, "FALSE", rowNamed(t, sheets[inputsSheet], "bank.modules")[5].Text)
		assert.Equal(t, "TRUE", rowNamed(t, sheets[inputsSheet], "array.planes.roof.tilt_deg")[5].Text)
		assert.Equal(t, "FALSE", rowNamed(t, sheets[inputsSheet], "generators.main.key")[5].Text)
		assert.NotEmpty(t, rowNamed(t, sheets[inputsSheet], "bank.cable_ohm")[6].Text, "why")
	})
	t.Run("settings and fit", func(t *testing.T) {
		assert.Greater(t, len(sheets[settingsSheet]), 40)
		assert.Contains(t, []string{"pass", "caution", "fail"}, sheets[fitSheet][1][1].Text)
	})
}

// Whoever enters another price gets the cost of that price.
func TestWorkbook_OtherPrices(t *testing.T) {
	raw := comparisonOf(t, workbookCandidates) // no prices at all
	s := New(Config{})
	w := call(t, s, "POST", "/v1/comparisons?detail=figures", raw, "Accept", media.Workbook)
	require.Equal(t, 200, w.Code, w.Body.String())
	book, err := excelize.OpenReader(w.Body)
	require.NoError(t, err)
	assert.NotContains(t, book.GetSheetList(), hoursSheet)
	p := *noPrices()
	entered := map[string]float64{"module_each": 1234.5, "generator_each": 5000, "fuel_per_l": 2.1, "generator_service_each": 99, "discount_rate_fraction": 0, "converter_life_y": 7, "inverter_each": 1800, "module_life_y": 9.5, "horizon_y": 15, "visit_each": 70, "works": 10, "insulated_cupboard": 500}
	rows, err := book.GetRows(costSheet)
	require.NoError(t, err)
	for r, row := range rows {
		if len(row) > 0 {
			if x, ok := entered[row[0]]; ok {
				require.NoError(t, book.SetCellValue(costSheet, fmt.Sprintf("C%d", r+1), x))
				delete(entered, row[0])
				v := reflect.ValueOf(&p).Elem()
				for _, f := range reflect.VisibleFields(v.Type()) {
					if memberName(f) == row[0] {
						v.FieldByIndex(f.Index).Set(reflect.ValueOf(x).Convert(f.Type))
					}
				}
			}
		}
	}
	require.Empty(t, entered)
	file := filepath.Join(t.TempDir(), "other.xlsx")
	require.NoError(t, book.SaveAs(file))
	sheets := recalculated(t, file)
	for i, name := range []string{"two", "linked", "one"} {
		request := with(t, complete(t), map[string]string{"two": "{}", "one": `{"bank":{"modules":1}}`, "linked": `{"bank":{"modules":3,"operation":"data_linked"},"generators":{"main":{"key":"diesel_8kw"}}}`}[name])
		c := read(t, request)
		bill := cost.Of(&p, &c.System, c.Plan().Run(false))
		assert.InDelta(t, bill.PresentValue, rowNamed(t, sheets[costSheet], "present value")[2+i].Number, 1e-6*bill.PresentValue, name)
		assert.InDelta(t, bill.Replacement, rowNamed(t, sheets[costSheet], "bought again, present value")[2+i].Number, 1e-6*bill.PresentValue, name)
		assert.InDelta(t, bill.Residual, rowNamed(t, sheets[costSheet], "left at the end, present value")[2+i].Number, 1e-6*bill.PresentValue, name)
	}
}

// Every part of a bill is in the workbook.
func TestWorkbook_EveryPart(t *testing.T) {
	c := read(t, with(t, complete(t), `{"generators":{"main":{"key":"diesel_8kw"}},"bank":{"operation":"data_linked","enclosure":{"kind":"insulated_cupboard","heater_w_per_module":80}}}`))
	c.System.Array.Inverters = nil
	bill := cost.Of(unitPrices(*noPrices()), &c.System, &sim.Year{})
	for _, p := range bill.Parts {
		assert.Contains(t, costParts, p.Part)
		assert.Contains(t, partPrices, p.Part)
		assert.Equal(t, p.Count, p.Capital, "%s has the price that the workbook takes", p.Part)
	}
	assert.GreaterOrEqual(t, len(bill.Parts), 9)
	assert.Len(t, partPrices, len(costParts))
}

func TestWorkbook_Refused(t *testing.T) {
	s := New(Config{})
	var many []string
	for i := range 9 {
		many = append(many, fmt.Sprintf(`"c%d":{"bank":{"cable_ohm":%g}}`, i, 0.001+0.0001*float64(i)))
	}
	raw := comparisonOf(t, "{"+strings.Join(many, ",")+"}")
	p := problemOf(t, call(t, s, "POST", "/v1/comparisons", raw, "Accept", media.Workbook), 400)
	assert.Equal(t, "detail", p.Faults[0].Parameter)
	problemOf(t, call(t, s, "POST", "/v1/comparisons", raw, "Accept", "text/csv"), 406)
}

func BenchmarkWorkbook(b *testing.B) {
	s := New(Config{})
	raw := comparisonOf(b, `{"one":{"bank":{"modules":1}},"two":{}}`)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		w := call(b, s, "POST", "/v1/comparisons", raw, "Accept", media.Workbook)
		require.Equal(b, 200, w.Code)
		size = w.Body.Len()
	}
	b.ReportMetric(float64(size), "bytes")
}
