package api

import (
	"reflect"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// Weather is a year of weather: stored, as text, file or columns, or made from
// monthly means.
type Weather struct {
	ID   string `json:"id,omitzero" required:"false" doc:"Content id of weather that was uploaded (POST /v1/weather). Of a set of years, calendar_year picks one."`
	Text string `json:"text,omitzero" required:"false" doc:"A whole weather file as text: typical year (TMY3), EPW or CSV."`
	File string `json:"file,omitzero" required:"false" doc:"On the command line only: name of a weather file, relative to the request's own file; gzip and zstd are read as well."`

	Format        string            `json:"format,omitzero" required:"false" enum:"tmy3,epw,satellite_csv,plain_csv,parquet" doc:"Format of the text or file; left out: recognised by its first lines."`
	IntervalLabel string            `json:"interval_label,omitzero" required:"false" enum:"start,end,middle,instant" doc:"What a time in a plain or satellite CSV stands for: start, end or middle of the interval that the row is the mean of, or an instant. Left out: start in a plain CSV, instant in a satellite CSV."`
	TimeZone      string            `json:"time_zone,omitzero" required:"false" enum:"site,utc" doc:"Clock of the times in a plain CSV that carry no offset: the site's standard time (left out: this) or UTC."`
	DateOrder     string            `json:"date_order,omitzero" required:"false" enum:"ymd,mdy,dmy" doc:"Order of day and month in dates such as 03/04/2016, which can be read two ways."`
	Columns       map[string]string `json:"columns,omitzero" required:"false" doc:"Header text of a plain CSV's column for time, ghi_w_m2, dni_w_m2, dhi_w_m2, plane_w_m2, ambient_c or wind_m_s, where it is not recognised."`
	FillGapsUpToH *float64          `json:"fill_gaps_up_to_h,omitzero" required:"false" minimum:"0" maximum:"720" doc:"Longest gap that is filled, each filled sample marked: up to 3 h by interpolation (left out: 3), longer from the days around. 0: every gap is a fault."`
	Units         map[string]string `json:"units,omitzero" required:"false" doc:"Unit of a plain CSV's column, for example ghi_w_m2: kW/m2, where the header does not say it."`

	Monthly *Monthly `json:"monthly,omitzero" required:"false" doc:"Twelve monthly means, from which an hourly year is made (Aguiar, Collares-Pereira & Conde 1988; Aguiar & Collares-Pereira 1992) for the site and the calendar year; the same on every machine."`
	Seed    *uint64  `json:"seed,omitzero" required:"false" doc:"With monthly: chooses the ensemble of years; 0 when left out."`
	Member  *uint64  `json:"member,omitzero" required:"false" doc:"With monthly: number of the year in the ensemble, from 0; 0 when left out. Members are independent."`

	StepS    int       `json:"step_s,omitzero" required:"false" minimum:"60" maximum:"3600" doc:"Interval of the columns below: 3600, 1800, 900, 600, 300 or 60; 3600 when left out."`
	GHI      []float64 `json:"ghi_w_m2,omitzero" required:"false" minimum:"0" maximum:"2000" doc:"Global horizontal irradiance, one row an interval, each the mean over its interval, from 1 January 00:00 standard time."`
	DNI      []float64 `json:"dni_w_m2,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Direct normal irradiance; with dhi_w_m2 or not at all."`
	DHI      []float64 `json:"dhi_w_m2,omitzero" required:"false" minimum:"0" maximum:"1400" doc:"Diffuse horizontal irradiance; with dni_w_m2 or not at all."`
	PlaneWM2 []float64 `json:"plane_w_m2,omitzero" required:"false" minimum:"0" maximum:"2000" doc:"Irradiance in the plane of the array, instead of the three above; serves every plane."`
	AmbientC []float64 `json:"ambient_c,omitzero" required:"false" minimum:"-90" maximum:"60" doc:"Air temperature."`
	WindMS   []float64 `json:"wind_m_s,omitzero" required:"false" minimum:"0" maximum:"115" doc:"Wind speed."`
}

// Monthly is what a climate table gives of a site.
type Monthly struct {
	GHIKWhM2D []float64 `json:"ghi_kwh_m2_d" minItems:"12" maxItems:"12" minimum:"0" maximum:"12" doc:"Twelve monthly means of daily global irradiation on the horizontal, kWh/m² a day."`
	AmbientC  []float64 `json:"ambient_c" minItems:"12" maxItems:"12" minimum:"-60" maximum:"45" doc:"Twelve monthly means of the air temperature."`
	WindMS    []float64 `json:"wind_m_s,omitzero" required:"false" maxItems:"12" minimum:"0" maximum:"20" doc:"Twelve monthly means of the wind speed; left out: the year has no wind."`
}

// ways are the ways in which weather can be given, each with the members that go
// with it alone.
var ways = []struct {
	name    string
	given   func(w *Weather) bool
	members []string
}{
	{"id", func(w *Weather) bool { return w.ID != "" }, nil},
	{"text", func(w *Weather) bool { return w.Text != "" }, fileMembers},
	{"file", func(w *Weather) bool { return w.File != "" }, fileMembers},
	{"monthly", func(w *Weather) bool { return w.Monthly != nil }, []string{"seed", "member"}},
	{"columns", func(w *Weather) bool {
		return w.GHI != nil || w.DNI != nil || w.DHI != nil || w.PlaneWM2 != nil || w.AmbientC != nil || w.WindMS != nil
	}, []string{"step_s"}},
}

var fileMembers = []string{"format", "interval_label", "time_zone", "date_order", "columns", "fill_gaps_up_to_h", "units"}

const allWays = "exactly one of id, text, monthly, columns such as ghi_w_m2, or (on the command line) file"

// way is the one way in which the weather is given, "" when it is not one; then
// and when other members do not go with it there are faults.
func (w *Weather) way(c fault.Collector) string {
	var found, takes, others []string
	for _, way := range ways {
		if way.given(w) {
			found, takes = append(found, way.name), append(takes, way.members...)
		}
		others = append(others, way.members...)
	}
	switch len(found) {
	case 0:
		c.Add(nil, allWays, "", "holds no weather")
		return ""
	case 1:
		w.refuse(c, takes, others)
		return found[0]
	}
	c.Add(nil, allWays, "", "is given in several ways: "+strings.Join(found, " and "))
	return ""
}

// refuse reports members that are given and do not go with the rest.
func (w *Weather) refuse(c fault.Collector, takes, others []string) {
	with := map[string]string{"seed": "monthly", "member": "monthly", "step_s": "columns such as ghi_w_m2; anything else has its own interval"}
	v := reflect.ValueOf(w).Elem()
	for i := range v.NumField() {
		name := memberName(v.Type().Field(i))
		if v.Field(i).IsZero() || slices.Contains(takes, name) || !slices.Contains(others, name) {
			continue
		}
		goesWith, ok := with[name]
		if !ok {
			goesWith = "text or file"
		}
		c.At(name).Addf(nil, "only goes with %s", goesWith)
	}
}

// memberName is the JSON name of a field.
func memberName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

// siteFromFile tells whether the site was left out and the weather may carry it.
func siteFromFile(tree *document.Node) bool {
	w := tree.Get("weather")
	return tree.Kind() == document.Object && tree.Get("site") == nil && (w.Get("text") != nil || w.Get("file") != nil || w.Get("id") != nil)
}
