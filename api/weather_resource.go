package api

import (
	"bytes"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/weather"
)

// WeatherList is what is stored.
type WeatherList struct {
	Weather []StoredWeather `json:"weather" doc:"Years, by id."`
	Sets    []SetOfYears    `json:"sets" doc:"Sets of years, by id."`
	Damaged []string        `json:"damaged" doc:"Ids whose files do not read back as they were written."`
	Next    string          `json:"next,omitzero" required:"false" doc:"Id to ask after for more; left out at the end."`
}

// listParameter is the query of a list.
type listParameter struct {
	After string `json:"after,omitzero" query:"after" required:"false" doc:"Lists what follows this id: next of the list before."`
	Limit int    `json:"limit" query:"limit" minimum:"1" maximum:"1000" default:"1000" doc:"How many at most."`
}

// listed gives the heads of what is stored of some kinds, in the order of ids.
func (s *Service) listed(r *http.Request, each func(one store.Info, head []byte) error, kinds ...string) (damaged []string, next string, p *Problem) {
	damaged = []string{}
	if p := s.noStore(); p != nil {
		return nil, "", p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, "", p
	}
	var q listParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, "", p
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, "", p
	}
	defer leave()
	all, err := s.content.disk.List("")
	if err != nil {
		return nil, "", s.storeProblem(err)
	}
	all = slices.DeleteFunc(all, func(one store.Info) bool {
		kind, _, _ := strings.Cut(one.ID, "-")
		return one.ID <= q.After || !slices.Contains(kinds, kind)
	})
	if len(all) > q.Limit {
		all = all[:q.Limit]
		next = all[q.Limit-1].ID
	}
	for _, one := range all {
		head, err := s.content.disk.Head(one.ID)
		if err == nil {
			err = each(one, head)
		}
		switch {
		case err == nil || errors.Is(err, store.ErrNotFound): // deleted meanwhile
		case errors.Is(err, store.ErrDamaged):
			damaged = append(damaged, one.ID)
		default:
			return nil, "", s.storeProblem(err)
		}
	}
	return damaged, next, nil
}

// getWeatherList lists what is stored.
func (s *Service) getWeatherList(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	out := WeatherList{Weather: []StoredWeather{}, Sets: []SetOfYears{}}
	var p *Problem
	out.Damaged, out.Next, p = s.listed(r, func(one store.Info, head []byte) error {
		if strings.HasPrefix(one.ID, setKind+"-") {
			set, err := readSet(one.ID, head)
			if err == nil {
				out.Sets = append(out.Sets, *set)
			}
			return err
		}
		y, err := weatherHead(head)
		if err == nil {
			y.Quality, y.Stored = nil, storedAt(one.Stored)
			out.Weather = append(out.Weather, *y)
		}
		return err
	}, weatherKind, setKind)
	if p != nil {
		return nil, p
	}
	return told(out), nil
}

// told is an answer in JSON.
func told(v any) *reply {
	body, err := encodeJSON(v)
	if err != nil {
		panic(err)
	}
	return &reply{mediaType: media.JSON, body: body}
}

// stored reads what a request's path names, which must be of one of the kinds.
func (s *Service) stored(r *http.Request, kinds ...string) (id, kind string, head, body []byte, p *Problem) {
	if p := s.noStore(); p != nil {
		return "", "", nil, nil, p
	}
	id = mux.Vars(r)["id"]
	kind, _, _ = strings.Cut(id, "-")
	err := store.ErrNotFound
	if slices.Contains(kinds, kind) {
		head, body, err = s.content.disk.Read(id)
	}
	if err != nil {
		return "", "", nil, nil, s.storeProblem(err)
	}
	return id, kind, head, body, nil
}

// getWeather answers stored weather: a year in any form, a set as JSON.
func (s *Service) getWeather(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	offers := []string{media.JSON, media.CSV, media.Parquet, parquetAlias}
	if strings.HasPrefix(mux.Vars(r)["id"], setKind+"-") {
		offers = offers[:1]
	}
	t, ok := media.Choose(field(r, "Accept"), offers...)
	if !ok {
		return nil, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + strings.Join(offers, ", ") + ".")
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	id, kind, head, body, p := s.stored(r, weatherKind, setKind)
	if p != nil {
		return nil, p
	}
	switch {
	case kind == setKind:
		return s.tellSet(id, head)
	case t == media.Parquet || t == parquetAlias: // as it is stored
		return &reply{mediaType: t, body: body, filename: id + ".parquet"}, nil
	}
	y, reading, err := readWeather(head, body)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	if t == media.CSV {
		var out bytes.Buffer
		if err := weather.WriteCSV(&out, reading.Year, reading.Filled); err != nil {
			panic(err)
		}
		return &reply{mediaType: t, body: out.Bytes(), filename: id + ".csv"}, nil
	}
	return told(WeatherResource{ID: id, Years: []StoredWeather{*y}, Data: dataOf(reading)}), nil
}

// dataOf is a reading in the form in which it can be uploaded.
func dataOf(r *weather.Reading) *WeatherUpload {
	y := r.Year
	u := &WeatherUpload{Site: &y.Site, Weather: Weather{StepS: y.StepS, GHI: y.GHI, DNI: y.DNI, DHI: y.DHI, PlaneWM2: y.PlaneWM2, AmbientC: y.AmbientC, WindMS: y.WindMS}}
	if !isUndated(r) {
		u.CalendarYear = y.CalendarYear
	}
	return u
}

// tellSet answers a set of years.
func (s *Service) tellSet(id string, head []byte) (*reply, *Problem) {
	set, err := readSet(id, head)
	out := WeatherResource{ID: id, Years: []StoredWeather{}}
	for i := 0; err == nil && i < len(set.Years); i++ {
		var y *StoredWeather
		if head, err = s.content.disk.Head(set.Years[i].ID); err == nil {
			if y, err = weatherHead(head); err == nil {
				out.Years = append(out.Years, *y)
			}
		}
	}
	if err != nil {
		return nil, s.storeProblem(err)
	}
	return told(out), nil
}

// getQuality answers the quality report of a stored year.
func (s *Service) getQuality(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	_, _, head, _, p := s.stored(r, weatherKind)
	if p != nil {
		return nil, p
	}
	y, err := weatherHead(head)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	return told(y.Quality), nil
}

// errInSet is the error of removing a year that a set has.
type errInSet struct{ set string }

func (e errInSet) Error() string { return "api: belongs to the set " + e.set }

// deleteWeather removes a year, or a set without its years.
func (s *Service) deleteWeather(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return s.remove(r, func(id string) error { return s.inNoSet(id) }, weatherKind, setKind)
}

// remove removes what a request's path names.
func (s *Service) remove(r *http.Request, keep func(id string) error, kinds ...string) (*reply, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	id := mux.Vars(r)["id"]
	if kind, _, _ := strings.Cut(id, "-"); !slices.Contains(kinds, kind) {
		return nil, s.storeProblem(store.ErrNotFound)
	}
	err := s.content.disk.Remove(id, func() error { return keep(id) })
	var held errInSet
	if errors.As(err, &held) {
		return nil, inUse.problem("The set " + held.set + " has it.")
	}
	if err != nil {
		return nil, s.storeProblem(err)
	}
	s.content.forget(id)
	return &reply{status: http.StatusNoContent}, nil
}

// inNoSet is nil for content that no set of years has.
func (s *Service) inNoSet(id string) error {
	sets, err := s.content.disk.List(setKind)
	if err != nil {
		return err
	}
	for _, one := range sets {
		head, err := s.content.disk.Head(one.ID)
		if err != nil {
			continue // damaged: it has nothing any more
		}
		if set, err := readSet(one.ID, head); err == nil && slices.ContainsFunc(set.Years, func(y YearOfSet) bool { return y.ID == id }) {
			return errInSet{one.ID}
		}
	}
	return nil
}
