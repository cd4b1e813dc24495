package study_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/study"
)

func TestBandInWords(t *testing.T) {
	for want, b := range map[string]study.Band{
		"about 37 h (30–46)":      {About: 37.2, Low: 29.9, High: 46.1},
		"about 370 h (300–460)":   {About: 372, Low: 299, High: 461},
		"about 3.7 h (3.0–4.6)":   {About: 3.71, Low: 3.02, High: 4.6},
		"about 0 h (0–5)":         {About: 0, Low: 0, High: 5.2},
		"1200 h":                  {About: 1203.7, Low: 1200.6, High: 1207},
		"25.9 h":                  {About: 25.87, Low: 25.6, High: 26.1},
		"12 h":                    {About: 12, Low: 12, High: 12},
		"about 12 h (11–12)":      {About: 12, Low: 11, High: 12},
		"37.2 h":                  {About: 37.2144, Low: 37.2144, High: 37.2144},
		"1230 h":                  {About: 1234, Low: 1234, High: 1234},
		"0.0123 h":                {About: .012345, Low: .012345, High: .012345},
		"0 h":                     {},
		"about −12 h (−20 to −5)": {About: -12.1, Low: -20.4, High: -5},
		"about −1 h (−4 to 3)":    {About: -1.2, Low: -4, High: 3},
		"about 0 h (−4 to 3)":     {About: -.2, Low: -4, High: 3},
	} {
		assert.Equal(t, want, b.Words("h"))
	}
	assert.Equal(t, "about +12 h (+5 to +20)", study.Band{About: 12, Low: 5, High: 20}.DifferenceWords("h"))
	assert.Equal(t, "about −3 (−5 to 0)", study.Band{About: -3, Low: -5, High: .2}.DifferenceWords(""))
	assert.Equal(t, "+0.5", study.Band{About: .5, Low: .5, High: .5}.DifferenceWords("")[:4])
}

func TestBandOfMembers(t *testing.T) {
	assert.Equal(t, study.Band{About: 5, Low: 1, High: 9}, study.BandOf([]float64{9, 10, 0, 1, 2, 3, 8, 7, 6, 5, 4}))
	assert.Equal(t, study.Band{About: 5, Low: 5, High: 5}, study.BandOf([]float64{5}))
	nights := study.BandOf([]float64{12, 12, 11, 12, 12})
	assert.Equal(t, "about 12 (11–12)", nights.Words(""), "there are no 11.4 nights")
	assert.Equal(t, study.Band{About: 3.5, Low: 2.5, High: 4.5}, study.BandOf([]float64{2.5, 3.5, 4.5, 3.5, 2.5, 4.5}))
}
