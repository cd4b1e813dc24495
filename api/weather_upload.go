package api

import (
	"context"
	"errors"
	"net/http"
	"reflect"
	"slices"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/weather"
)

// WeatherUpload is weather as JSON that is to be stored: what a request takes
// inline, with the site and the calendar year that stand beside it there.
type WeatherUpload struct {
	Site         *weather.Site `json:"site,omitzero" required:"false" doc:"Where it was measured; mandatory unless a text says it."`
	CalendarYear int           `json:"calendar_year,omitzero" required:"false" minimum:"1950" maximum:"2050" doc:"Year that dates the rows. Left out: columns and typical years take that of each request; means are made for 2025."`
	Years        int           `json:"years,omitzero" required:"false" minimum:"1" maximum:"100" doc:"With monthly: how many years to make, members of one ensemble that follow each other; 1 when left out."`
	Weather
}

// defaultCalendarYear is that of a request.
const defaultCalendarYear = 2025

// WeatherResource is what is stored under one id: a year, or a set of years.
type WeatherResource struct {
	ID    string          `json:"id" doc:"Content id to refer to: of the year, or of the set when there are several."`
	Years []StoredWeather `json:"years" doc:"The year, or the years of the set in order."`
	Data  *WeatherUpload  `json:"data,omitzero" required:"false" doc:"The columns of a year, in the form in which they can be uploaded."`
}

// postWeather stores weather.
func (s *Service) postWeather(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	t, p := typeOfUpload(r, fileTypes)
	if p != nil {
		return nil, p
	}
	if t == media.JSON {
		if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
			return nil, p
		}
		raw, free, p := s.readBody(w, r)
		if p != nil {
			return nil, p
		}
		defer free()
		return s.storeWeather(r.Context(), func(add func(*weather.Reading)) *Problem { return readWeatherJSON(r.Context(), raw, add) })
	}
	var o weather.ReadOptions
	if p := readParameters(r.URL.Query(), &o); p != nil {
		return nil, p
	}
	if o.Format == "" && (t == media.Parquet || t == parquetAlias) {
		o.Format = weather.FormatParquet
	}
	u, p := s.receive(w, r)
	if p != nil {
		return nil, p
	}
	defer u.close()
	return s.storeWeather(r.Context(), func(add func(*weather.Reading)) *Problem { return s.readWeatherFile(r, u, t, o, add) })
}

// storeWeather stores what read gives, all or nothing.
func (s *Service) storeWeather(ctx context.Context, read func(add func(*weather.Reading)) *Problem) (*reply, *Problem) {
	leave, p := s.uploads.take(ctx)
	if p != nil {
		return nil, p
	}
	defer leave()
	batch := s.content.disk.Add()
	defer batch.Discard()
	var years []*StoredWeather
	var failed error
	p = read(func(reading *weather.Reading) {
		if failed == nil {
			var y *StoredWeather
			y, failed = putWeather(batch, reading)
			years = append(years, y)
		}
	})
	if p == nil && ctx.Err() != nil { // what was read may not be all of it
		p = gone()
	}
	if p != nil {
		return nil, p
	}
	out := WeatherResource{}
	if failed == nil && len(years) > 1 {
		var set *SetOfYears
		if set, failed = putSet(batch, years); failed == nil {
			out.ID = set.ID
		}
	}
	if failed != nil {
		return nil, s.storeProblem(failed)
	}
	if len(years) == 1 {
		out.ID = years[0].ID
	}
	for _, y := range years {
		out.Years = append(out.Years, *y)
	}
	added, err := batch.Commit()
	if err != nil {
		return nil, s.storeProblem(err)
	}
	return created(out, "/v1/weather/"+out.ID, slices.Contains(added, out.ID)), nil
}

// created is the answer to an upload: 201 with its Location when it is new, 200
// when it was there before.
func created(v any, location string, isNew bool) *reply {
	a := told(v)
	a.keep = "no-store"
	if isNew {
		a.created = location
	}
	return a
}

// readWeatherFile reads a file of one or more years.
func (s *Service) readWeatherFile(r *http.Request, u *upload, t string, o weather.ReadOptions, add func(*weather.Reading)) *Problem {
	plain, closeAll, err := u.open(r.Context())
	if err != nil {
		return s.openProblem(r, err)
	}
	defer closeAll()
	if head, _ := plain.Peek(1024); t == "" && looksLikeJSON(head) {
		if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
			return p
		}
		raw, err := readAll(plain, s.config.MaxBodyBytes, -1, u.held)
		if err != nil {
			return bodyProblem(r, err, s.config.MaxBodyBytes)
		}
		return readWeatherJSON(r.Context(), raw, add)
	}
	err = weather.ReadYears(plain, o, add)
	if problems := (*weather.Problems)(nil); errors.As(err, &problems) {
		return fileProblem(problems)
	}
	if err != nil {
		return s.openProblem(r, err)
	}
	return nil
}

// fileProblem is the problem of a file with faults, each at its line and column.
// A fault of what the query says is at its parameter.
func fileProblem(problems *weather.Problems) *Problem {
	p := faultyInput.problem(count(len(problems.List)+problems.More, "fault") + ", each with its line and column where it has them.")
	for _, one := range problems.List {
		f := Fault{Value: tellable(one.Value), Allowed: one.Allowed, Unit: one.Unit, Message: one.Message, Line: one.Line, Column: one.Column}
		switch {
		case one.Line == 0 && isParameter(one.Member):
			f.Parameter = one.Member
		case one.Member != "":
			f.Message = one.Member + ": " + f.Message
		}
		p.Faults = append(p.Faults, f)
	}
	if problems.More > 0 {
		p.Faults = append(p.Faults, Fault{Value: problems.More, Message: "has more faults than are listed"})
	}
	return p
}

// isParameter tells whether a file's reader names one of its own options.
func isParameter(member string) bool {
	_, err := document.TypeAt(reflect.TypeFor[weather.ReadOptions](), member)
	return member != "" && err == nil
}
