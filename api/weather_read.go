package api

import (
	"errors"
	"io"
	"reflect"
	"slices"
	"strings"

	"bankyear/sim/fault"
	"bankyear/weather"
)

// defaultStepS is the interval of columns when it is not stated.
const defaultStepS = 3600

// Formats of weather that is not read from a file, beside those of the readers.
const (
	formatColumns = "columns"
	formatMonthly = "monthly"
)

// sources is where weather comes from that a request only names.
type sources struct {
	open    func(name string) (io.ReadCloser, error) // nil where files cannot be named
	content *content                                 // nil where nothing is stored
	known   *known
}

// read makes the year of weather. Pointers of the faults start at the request.
func (w *Weather) read(at place, from sources) (*sky, fault.Faults) {
	c := fault.New().At("weather")
	way := w.way(c)
	if way == "" || len(c.Faults()) > 0 {
		return nil, c.Faults()
	}
	if way == "id" {
		if from.content == nil {
			c.At("id").Add(w.ID, "text, monthly, or columns such as ghi_w_m2", "", "can only be used at a service that stores it")
			return nil, c.Faults()
		}
		return from.content.sky(w.ID, at, c)
	}
	reading, hash, faults := w.reading(way, at, from, c)
	if reading == nil {
		return nil, faults
	}
	s, faults := at.settle(reading, hash)
	if s != nil {
		s.year = from.known.sameYear(s.hash, s.year)
	}
	return s, faults
}

// reading makes the year as it is given, before the request's site and calendar
// year are put on it, and its hash there where that is known already. No reading and
// no faults: it needs a site, which is missing.
func (w *Weather) reading(way string, at place, from sources, c fault.Collector) (r *weather.Reading, hash string, faults fault.Faults) {
	switch way {
	case "columns":
		return w.fromColumns(at, from.known)
	case "monthly":
		r, faults = w.fromMonths(at)
		return r, "", faults
	case "text":
		r, faults = w.fromFile(way, at, strings.NewReader(w.Text), c.At(way))
		return r, "", faults
	}
	if from.open == nil {
		c.At("file").Add(w.File, "text, monthly, or columns such as ghi_w_m2", "", "can only be read on the command line")
		return nil, "", c.Faults()
	}
	f, err := from.open(w.File)
	if err != nil {
		c.At("file").Addf(w.File, "cannot be read: %s", err)
		return nil, "", c.Faults()
	}
	defer f.Close()
	r, faults = w.fromFile(way, at, f, c.At(way))
	return r, "", faults
}

// fromColumns takes a year that is known as it is: it was checked.
func (w *Weather) fromColumns(at place, known *known) (r *weather.Reading, hash string, faults fault.Faults) {
	r = &weather.Reading{Format: formatColumns, Assumed: at.undated(nil)}
	step := w.StepS
	if step == 0 {
		step = defaultStepS
		r.Assumed = append(r.Assumed, weather.Assumed{Member: "step_s", Value: step, Basis: "hourly"})
	}
	r.Year = &weather.Year{Site: at.site, CalendarYear: at.calendarYear, StepS: step,
		GHI: w.GHI, DNI: w.DNI, DHI: w.DHI, PlaneWM2: w.PlaneWM2, AmbientC: w.AmbientC, WindMS: w.WindMS}
	hash = r.Year.Hash()
	if known.year(hash) != nil {
		return r, hash, nil
	}
	r.Year.KeepSun()
	if problems := r.Year.Check(); len(problems.List) > 0 {
		return nil, "", weatherFaults(problems, "")
	}
	return r, hash, nil
}

func (w *Weather) fromMonths(at place) (*weather.Reading, fault.Faults) {
	if !at.sited {
		return nil, nil
	}
	m := weather.Monthly{Site: at.site, GHIKWhM2D: w.Monthly.GHIKWhM2D, AmbientC: w.Monthly.AmbientC, WindMS: w.Monthly.WindMS}
	r := &weather.Reading{Format: formatMonthly, Assumed: at.undated(nil)}
	s := weather.Synthesis{CalendarYear: at.calendarYear}
	for _, x := range []struct {
		name   string
		stated *uint64
		value  *uint64
		basis  string
	}{{"seed", w.Seed, &s.Seed, "one ensemble of many"}, {"member", w.Member, &s.Member, "the first of the ensemble"}} {
		if x.stated != nil {
			*x.value = *x.stated
			continue
		}
		r.Assumed = append(r.Assumed, weather.Assumed{Member: x.name, Value: 0, Basis: x.basis})
	}
	var err error
	r.Year, err = weather.Synthesise(m, s)
	if problems := (*weather.Problems)(nil); errors.As(err, &problems) {
		problems.List = slices.DeleteFunc(problems.List, func(p weather.Problem) bool { return p.Member == "site" }) // its members tell
		return nil, weatherFaults(problems, "monthly")
	}
	if err != nil {
		panic("api: synthesis: " + err.Error())
	}
	return r, nil
}

func (w *Weather) fromFile(member string, at place, text io.Reader, c fault.Collector) (*weather.Reading, fault.Faults) {
	reading, err := weather.Read(text, w.options(at))
	if problems := (*weather.Problems)(nil); errors.As(err, &problems) {
		return nil, weatherFaults(problems, member)
	}
	if err != nil {
		c.Addf(nil, "cannot be read: %s", err)
		return nil, c.Faults()
	}
	return reading, nil
}

// options are the members that say how to read a file, field by field.
func (w *Weather) options(at place) (o weather.ReadOptions) {
	from, to := reflect.ValueOf(w).Elem(), reflect.ValueOf(&o).Elem()
	for i := range to.NumField() {
		if v := from.FieldByName(to.Type().Field(i).Name); v.IsValid() {
			to.Field(i).Set(v)
		}
	}
	if at.sited {
		o.Site = &at.site
	}
	if at.yearStated {
		o.CalendarYear = at.calendarYear
	}
	return o
}
