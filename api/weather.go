package api

import (
	"errors"
	"io"
	"reflect"
	"strconv"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// Weather is a year of weather: text, file or columns.
type Weather struct {
	Text string `json:"text,omitzero" required:"false" doc:"A whole weather file as text: typical year (TMY3), EPW or CSV."`
	File string `json:"file,omitzero" required:"false" doc:"On the command line only: name of a weather file, relative to the request's own file; gzip and zstd are read as well."`

	Format        string            `json:"format,omitzero" required:"false" enum:"tmy3,epw,satellite_csv,plain_csv,parquet" doc:"Format of the text or file; left out: recognised by its first lines."`
	IntervalLabel string            `json:"interval_label,omitzero" required:"false" enum:"start,end,middle,instant" doc:"What a time in a plain or satellite CSV stands for: start, end or middle of the interval that the row is the mean of, or an instant. Left out: start in a plain CSV, instant in a satellite CSV."`
	TimeZone      string            `json:"time_zone,omitzero" required:"false" enum:"site,utc" doc:"Clock of the times in a plain CSV that carry no offset: the site's standard time (left out: this) or UTC."`
	DateOrder     string            `json:"date_order,omitzero" required:"false" enum:"ymd,mdy,dmy" doc:"Order of day and month in dates such as 03/04/2016, which can be read two ways."`
	Columns       map[string]string `json:"columns,omitzero" required:"false" doc:"Header text of a plain CSV's column for time, ghi_w_m2, dni_w_m2, dhi_w_m2, plane_w_m2, ambient_c or wind_m_s, where it is not recognised."`
	FillGapsUpToH *float64          `json:"fill_gaps_up_to_h,omitzero" required:"false" minimum:"0" maximum:"720" doc:"Longest gap that is filled, each filled sample marked: up to 3 h by interpolation (left out: 3), longer from the days around. 0: every gap is a fault."`
	Units         map[string]string `json:"units,omitzero" required:"false" doc:"Unit of a plain CSV's column, for example ghi_w_m2: kW/m2, where the header does not say it."`

	StepS    int       `json:"step_s,omitzero" required:"false" minimum:"60" maximum:"3600" doc:"Interval of the columns below: 3600, 1800, 900, 600, 300 or 60; 3600 when left out."`
	GHI      []float64 `json:"ghi_w_m2,omitzero" required:"false" minimum:"0" maximum:"2000" doc:"Global horizontal irradiance, one row an interval, each the mean over its interval, from 1 January 00:00 standard time."`
	DNI      []float64 `json:"dni_w_m2,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Direct normal irradiance; with dhi_w_m2 or not at all."`
	DHI      []float64 `json:"dhi_w_m2,omitzero" required:"false" minimum:"0" maximum:"1400" doc:"Diffuse horizontal irradiance; with dni_w_m2 or not at all."`
	PlaneWM2 []float64 `json:"plane_w_m2,omitzero" required:"false" minimum:"0" maximum:"2000" doc:"Irradiance in the plane of the array, instead of the three above; serves every plane."`
	AmbientC []float64 `json:"ambient_c,omitzero" required:"false" minimum:"-90" maximum:"60" doc:"Air temperature."`
	WindMS   []float64 `json:"wind_m_s,omitzero" required:"false" minimum:"0" maximum:"115" doc:"Wind speed."`
}

// defaultStepS is the interval of columns when it is not stated.
const defaultStepS = 3600

// siteFromFile tells whether the site was left out and a weather file may carry
// it.
func siteFromFile(tree *document.Node) bool {
	w := tree.Get("weather")
	return tree.Kind() == document.Object && tree.Get("site") == nil && (w.Get("text") != nil || w.Get("file") != nil)
}

// ways lists in which ways the weather is given.
func (w *Weather) ways() []string {
	var list []string
	if w.Text != "" {
		list = append(list, "text")
	}
	if w.File != "" {
		list = append(list, "file")
	}
	if w.GHI != nil || w.DNI != nil || w.DHI != nil || w.PlaneWM2 != nil || w.AmbientC != nil || w.WindMS != nil {
		list = append(list, "columns")
	}
	return list
}

// sky is a year of weather that passed its checks, and what it had to assume.
type sky struct {
	year    *weather.Year
	hash    string
	assumed []document.Assumption
	notes   []string
}

// place is what a request says of its weather from outside: where and when.
type place struct {
	site         *weather.Site // nil: from the file
	calendarYear int
	yearStated   bool
}

// read makes the year of weather. open reads a file by name, nil where there is
// none to read. Pointers of the faults start at the request.
func (w *Weather) read(at place, open func(string) (io.ReadCloser, error)) (*sky, fault.Faults) {
	c := fault.New().At("weather")
	switch ways := w.ways(); {
	case len(ways) == 0:
		c.Add(nil, "exactly one of text, columns such as ghi_w_m2, or (on the command line) file", "", "holds no weather")
	case len(ways) > 1:
		c.Add(nil, "exactly one of text, columns such as ghi_w_m2, or (on the command line) file", "", "is given in several ways: "+strings.Join(ways, " and "))
	case ways[0] == "columns":
		w.refuse(c, "only goes with text or file", "format", "interval_label", "time_zone", "date_order", "columns", "fill_gaps_up_to_h", "units")
		if len(c.Faults()) == 0 {
			return w.fromColumns(at, c)
		}
	case ways[0] == "file" && open == nil:
		c.At("file").Add(w.File, "text, or columns such as ghi_w_m2", "", "can only be read on the command line")
	default:
		w.refuse(c, "only goes with columns such as ghi_w_m2; a file has its own interval", "step_s")
		if len(c.Faults()) == 0 {
			return w.fromFile(at, open, c)
		}
	}
	return nil, c.Faults()
}

// refuse reports members that are given and do not go with the rest.
func (w *Weather) refuse(c fault.Collector, message string, names ...string) {
	v := reflect.ValueOf(w).Elem()
	for i := range v.NumField() {
		name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		for _, n := range names {
			if n == name && !v.Field(i).IsZero() {
				c.At(name).Addf(nil, "%s", message)
			}
		}
	}
}

func (w *Weather) fromColumns(at place, c fault.Collector) (*sky, fault.Faults) {
	s := &sky{}
	step := w.StepS
	if step == 0 {
		step = defaultStepS
		s.assumed = append(s.assumed, document.Assumption{Pointer: c.At("step_s").Pointer(), Value: step, Unit: "s", Basis: "hourly"})
	}
	s.year = &weather.Year{CalendarYear: at.calendarYear, StepS: step,
		GHI: w.GHI, DNI: w.DNI, DHI: w.DHI, PlaneWM2: w.PlaneWM2, AmbientC: w.AmbientC, WindMS: w.WindMS}
	if at.site != nil {
		s.year.Site = *at.site
	}
	if problems := s.year.Check(); len(problems.List) > 0 {
		return nil, weatherFaults(problems, "")
	}
	s.hash = s.year.Hash()
	return s, nil
}

func (w *Weather) fromFile(at place, open func(string) (io.ReadCloser, error), c fault.Collector) (*sky, fault.Faults) {
	member := "text"
	var text io.Reader = strings.NewReader(w.Text)
	if w.File != "" {
		member = "file"
		f, err := open(w.File)
		if err != nil {
			c.At(member).Addf(w.File, "cannot be read: %s", err)
			return nil, c.Faults()
		}
		defer f.Close()
		text = f
	}
	options := w.options()
	options.Site = at.site
	if at.yearStated {
		options.CalendarYear = at.calendarYear
	}
	reading, err := weather.Read(text, options)
	if problems := (*weather.Problems)(nil); errors.As(err, &problems) {
		return nil, weatherFaults(problems, member)
	}
	if err != nil {
		c.At(member).Addf(nil, "cannot be read: %s", err)
		return nil, c.Faults()
	}
	return at.settle(reading, member), nil
}

// options are the members that say how to read a file, field by field.
func (w *Weather) options() (o weather.ReadOptions) {
	from, to := reflect.ValueOf(w).Elem(), reflect.ValueOf(&o).Elem()
	for i := range to.NumField() {
		if v := from.FieldByName(to.Type().Field(i).Name); v.IsValid() {
			to.Field(i).Set(v)
		}
	}
	return o
}

// settle brings a reading and the request together. A site in the request wins.
// A typical year, which has no date of its own, takes the request's or its
// default; a file that has one keeps it unless the request states another.
func (at place) settle(reading *weather.Reading, member string) *sky {
	s := &sky{year: reading.Year}
	here := fault.New().At("weather", member).Pointer()
	dated := !at.yearStated // by a real date in the file
	for _, a := range reading.Assumed {
		if a.Member == "calendar_year" && dated && weather.HoursInYear(at.calendarYear) == weather.HoursInYear(s.year.CalendarYear) {
			s.year.CalendarYear, dated = at.calendarYear, false // Decode has listed it
			continue
		}
		s.assumed = append(s.assumed, document.Assumption{Pointer: here, Value: a.Value, Basis: a.Member + ": " + a.Basis})
	}
	if dated {
		s.assumed = append(s.assumed, document.Assumption{Pointer: "/calendar_year", Value: s.year.CalendarYear, Basis: "as the weather file says"})
	}
	switch {
	case at.site == nil:
		s.assumed = append(s.assumed, document.Assumption{Pointer: "/site", Value: s.year.Site, Basis: "as the weather file says"})
	case *at.site != s.year.Site:
		if farApart(*at.site, s.year.Site) {
			s.notes = append(s.notes, "The weather was measured somewhere else: the file's own site is "+describeSite(s.year.Site)+". The request's site was used for the sun's position.")
		}
		s.year.Site = *at.site
	}
	s.hash = s.year.Hash()
	return s
}

// farApart is true for sites more than about 10 km or 100 m of height apart, or
// with another clock.
func farApart(a, b weather.Site) bool {
	far := func(x, y, d float64) bool { return x-y > d || y-x > d }
	return far(a.LatitudeDeg, b.LatitudeDeg, 0.1) || far(a.LongitudeDeg, b.LongitudeDeg, 0.1) ||
		far(a.ElevationM, b.ElevationM, 100) || a.UTCOffsetH != b.UTCOffsetH
}

func describeSite(s weather.Site) string {
	f := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	return "latitude " + f(s.LatitudeDeg) + "°, longitude " + f(s.LongitudeDeg) + "°, " + f(s.ElevationM) + " m, UTC offset " + f(s.UTCOffsetH) + " h"
}
