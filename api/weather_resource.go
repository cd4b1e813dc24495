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
			y.Quality, y.Months, y.Stored = nil, nil, storedAt(one.Stored)
			out.Weather = append(out.Weather, *y)
		}
		return err
	}, weatherKind, setKind)
	if p != nil {
		return nil, p
	}
	return told(out), nil
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

// deleteWeather removes a year, or a set without its years.
func (s *Service) deleteWeather(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return s.remove(r, func(id string) error { return errors.Join(s.inNoSet(id), s.inNoSystem(id)) }, weatherKind, setKind)
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
			return errInUse{"The set " + one.ID + " has it."}
		}
	}
	return nil
}
