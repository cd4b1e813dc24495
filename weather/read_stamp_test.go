package weather

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestParseStamp(t *testing.T) {
	at := func(y, mo, d, h, mi int) int64 {
		return time.Date(y, time.Month(mo), d, h, mi, 0, 0, time.UTC).Unix() / 60
	}
	for _, c := range []struct {
		text, order string
		want        stamp
	}{
		{"2016-01-31T13:30", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"2016-01-31 13:30:00", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"2016-1-2 3:05", "", stamp{at(2016, 1, 2, 3, 5), 0, false}},
		{"2016-02-29", "", stamp{at(2016, 2, 29, 0, 0), 0, false}},
		{"2016-12-31T24:00", "", stamp{at(2017, 1, 1, 0, 0), 0, false}},
		{"2016-01-31T13:30Z", "", stamp{at(2016, 1, 31, 13, 30), 0, true}},
		{"2016-01-31T13:30:00.000+05:45", "", stamp{at(2016, 1, 31, 13, 30), 345, true}},
		{"2016-01-31 13:30 -0330", "", stamp{at(2016, 1, 31, 13, 30), -210, true}},
		{"2016-01-31T13:30-07", "", stamp{at(2016, 1, 31, 13, 30), -420, true}},
		{"2016/01/31 13:30", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"31.01.2016 13:30", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"01/31/2016 13:30", "mdy", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"3/4/2016 13:30", "dmy", stamp{at(2016, 4, 3, 13, 30), 0, false}},
		{"20160131", "", stamp{at(2016, 1, 31, 0, 0), 0, false}},
		{"20160131:1330", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
		{"20160131T133000Z", "", stamp{at(2016, 1, 31, 13, 30), 0, true}},
		{"201601311330", "", stamp{at(2016, 1, 31, 13, 30), 0, false}},
	} {
		got, err := parseStamp([]byte(c.text), c.order)
		assert.NoError(t, err, c.text)
		assert.Equal(t, c.want, got, c.text)
	}
	for _, c := range []struct {
		text, order string
		want        error
	}{
		{"", "", errNoTime}, {"noon", "", errNoTime}, {"2016", "", errNoTime}, {"2016-01", "", errNoTime}, {"2016-01-31T", "", errNoTime},
		{"2016-01-31T13:3", "", errNoTime}, {"2016-01-31T13:30 PM", "", errNoTime}, {"2016-01-31T13:30+1", "", errNoTime}, {"2016-01/31", "", errNoTime},
		{"31-01-2016", "", errTwoWays}, {"1/31/2016", "", errTwoWays}, {"01/31/16", "mdy", errNoTime}, {"12016-01-31", "", errNoTime},
		{"2015-02-29", "", errNoSuchDay}, {"2016-13-01", "", errNoSuchDay}, {"2016-00-01", "", errNoSuchDay}, {"2016-01-31T24:01", "", errNoSuchDay},
		{"2016-01-31T12:60", "", errNoSuchDay}, {"1899-12-31", "", errNoSuchDay}, {"01/31/2016", "dmy", errNoSuchDay},
		{"2016-01-31T13:30:30", "", errSeconds}, {"2016-01-31T13:30:00.5", "", errSeconds},
	} {
		_, err := parseStamp([]byte(c.text), c.order)
		assert.Equal(t, c.want, err, c.text)
	}
}

// The count of minutes is that of package time for every date.
func TestMinuteOf_MeetsPackageTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.Int64Range(0, 201*525_600).Draw(t, "minutes")) * time.Minute)
		got, err := minuteOf(want.Year(), int(want.Month()), want.Day(), want.Hour()*60+want.Minute())
		if err != nil || got != want.Unix()/60 || yearOf(got) != want.Year() {
			t.Fatalf("%v: %d, %v", want, got, err)
		}
	})
}

func TestNumber(t *testing.T) {
	for text, want := range map[string]float64{
		"0": 0, "-9.4": -9.4, "+7": 7, "5.1000000000000005": 5.1000000000000005, "1e3": 1000, "12,5": 12.5, ".5": 0.5, "1E-300": 1e-300,
	} {
		got, ok := number([]byte(text))
		assert.True(t, ok, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "NaN", "nan", "Inf", "-inf", "0x10", "1_000", "1,234.5", "1,2,3", "1 000", "--1", "e", "1e999", "12W", "٣"} {
		_, ok := number([]byte(text))
		assert.False(t, ok, text)
	}
}

func TestRecognise(t *testing.T) {
	for text, want := range map[string]struct {
		c    column
		unit string
	}{
		"GHI": {ghi, ""}, "ghi_w_m2": {ghi, "w_m2"}, "Global Horizontal Irradiance": {ghi, ""}, "DNI_kW_m2": {dni, "kw_m2"}, "diffuse": {dhi, ""},
		"POA Global": {plane, ""}, "plane_w_m2": {plane, "w_m2"}, "temp_air": {ambient, ""}, "Temperature_F": {ambient, "f"}, "T2m": {ambient, ""},
		"WS10m": {wind, ""}, "wind_speed_m_s": {wind, "m_s"}, "wind_m_s": {wind, "m_s"},
	} {
		c, unit, ok := recognise(text)
		assert.True(t, ok, text)
		assert.Equal(t, want.c, c, text)
		assert.Equal(t, want.unit, unit, text)
	}
	for _, text := range []string{"Relative Humidity", "Clearsky GHI", "ghi_qc", "temp_cell", "wind_dir", "dew_point_c", "GHI uncert", "pressure"} {
		_, _, ok := recognise(text)
		assert.False(t, ok, text)
	}
}
