package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"bankyear/api/store"
	"bankyear/weather"
)

// Kinds of content, which their ids begin with.
const (
	weatherKind = "w"
	setKind     = "ws"
	loadKind    = "l"
)

// StoredWeather is a year of weather that was uploaded.
type StoredWeather struct {
	ID           string             `json:"id" doc:"Content id: a request refers to it by this, and the same upload has the same."`
	Hash         string             `json:"hash" doc:"SHA-256 of site, calendar year, step and columns: the same for the same weather in any format."`
	Format       string             `json:"format" enum:"tmy3,epw,satellite_csv,plain_csv,parquet,columns,monthly" doc:"What it was read from."`
	Site         weather.Site       `json:"site" doc:"Where it was measured."`
	CalendarYear int                `json:"calendar_year" doc:"Year that dates the rows."`
	Dated        bool               `json:"dated" doc:"Whether the data carry their date. Weather that does not takes the calendar_year of the request."`
	StepS        int                `json:"step_s" doc:"Length of an interval."`
	Rows         int                `json:"rows" doc:"Intervals."`
	From         string             `json:"from" doc:"Start of the first interval, standard time of the site."`
	To           string             `json:"to" doc:"End of the last interval."`
	Columns      []string           `json:"columns" doc:"Columns that there are."`
	Filled       []FilledSamples    `json:"filled" doc:"Samples that were not measured but filled, by column and rule."`
	Assumed      []weather.Assumed  `json:"assumed" doc:"What the data did not state, and what was changed in them."`
	Verdict      string             `json:"verdict" enum:"pass,caution,fail" doc:"The worst verdict of the quality checks."`
	Quality      *weather.Quality   `json:"quality,omitzero" required:"false" doc:"Whether it can be trusted: a verdict for each check, counts and the worst examples."`
	Months       []weather.MonthSky `json:"months,omitzero" required:"false" doc:"How clear each month is: irradiation, clearness index and the clear sky as a bound."`
	Stored       string             `json:"stored_at,omitzero" required:"false" doc:"When it was stored, UTC; in lists."`
}

// FilledSamples counts samples that were filled by one rule.
type FilledSamples struct {
	Member  string `json:"member" doc:"Column."`
	Rule    string `json:"rule" enum:"closure,interpolated,nearby_days,leap_day" doc:"How they were filled."`
	Samples int    `json:"samples" doc:"How many."`
}

// SetOfYears is what a file of several years is stored as, beside its years.
type SetOfYears struct {
	ID    string      `json:"id" doc:"Content id of the set."`
	Years []YearOfSet `json:"years" doc:"Its years, in order."`
}

// YearOfSet is a year of a set.
type YearOfSet struct {
	ID           string `json:"id" doc:"Content id of the year."`
	CalendarYear int    `json:"calendar_year" doc:"Year that dates its rows."`
}

// shortHash is the form of a hash in a content id: 128 bits in hexadecimal.
func shortHash(kind string, parts ...[]byte) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d\n", len(p))
		h.Write(p)
	}
	return kind + "-" + hex.EncodeToString(h.Sum(nil)[:16])
}

// DescribeWeather is what is stored of a reading beside its columns. Its id
// covers all that an answer can depend on: the columns, and what the answer
// lists as assumed.
func DescribeWeather(r *weather.Reading) *StoredWeather {
	y := r.Year
	s := &StoredWeather{
		Hash: y.Hash(), Format: r.Format, Site: y.Site, CalendarYear: y.CalendarYear, Dated: !isUndated(r), StepS: y.StepS, Rows: y.Len(),
		From: y.Start(0).Format(stampLayout), To: y.Start(y.Len()).Format(stampLayout),
		Columns: []string{}, Filled: []FilledSamples{}, Assumed: orEmpty(r.Assumed), Quality: y.Quality(r.Filled), Months: y.MonthlySky(y.Sun()),
	}
	s.Verdict = s.Quality.Verdict
	for _, c := range columnsOf(y) {
		if c.values != nil {
			s.Columns = append(s.Columns, c.name)
		}
	}
	for _, f := range r.Filled {
		n := len(s.Filled)
		i := 0
		for i < n && (s.Filled[i].Member != f.Member || s.Filled[i].Rule != f.Rule) {
			i++
		}
		if i == n {
			s.Filled = append(s.Filled, FilledSamples{Member: f.Member, Rule: f.Rule})
		}
		s.Filled[i].Samples += f.Count
	}
	how, err := json.Marshal(struct {
		Format  string
		Assumed []weather.Assumed
		Filled  []weather.Fill
	}{r.Format, r.Assumed, r.Filled})
	if err != nil {
		panic("api: what a reader assumed: " + err.Error())
	}
	s.ID = shortHash(weatherKind, []byte(s.Hash), how)
	return s
}

// namedColumn is a column of a year under its name in JSON.
type namedColumn struct {
	name   string
	values []float64
}

func columnsOf(y *weather.Year) []namedColumn {
	return []namedColumn{{"ghi_w_m2", y.GHI}, {"dni_w_m2", y.DNI}, {"dhi_w_m2", y.DHI}, {"plane_w_m2", y.PlaneWM2}, {"ambient_c", y.AmbientC}, {"wind_m_s", y.WindMS}}
}

// putWeather adds a reading to what is to be stored.
func putWeather(b *store.Batch, r *weather.Reading) (*StoredWeather, error) {
	s := DescribeWeather(r)
	head, err := json.Marshal(s)
	if err != nil {
		panic("api: stored weather: " + err.Error())
	}
	var body bytes.Buffer
	if err := weather.WriteParquet(&body, r.Year, r.Filled); err != nil {
		panic("api: weather that passed its checks: " + err.Error())
	}
	return s, b.Put(s.ID, head, body.Bytes())
}

// putSet adds the set of several years, after the years themselves.
func putSet(b *store.Batch, years []*StoredWeather) (*SetOfYears, error) {
	set := &SetOfYears{}
	for _, y := range years {
		set.Years = append(set.Years, YearOfSet{y.ID, y.CalendarYear})
	}
	head, err := json.Marshal(set.Years)
	if err != nil {
		panic("api: set of years: " + err.Error())
	}
	set.ID = shortHash(setKind, head)
	return set, b.Put(set.ID, head, nil)
}

// weatherHead reads what putWeather wrote beside the columns.
func weatherHead(head []byte) (*StoredWeather, error) {
	var s StoredWeather
	if err := json.Unmarshal(head, &s); err != nil {
		return nil, fmt.Errorf("%w: %w", store.ErrDamaged, err)
	}
	return &s, nil
}

// readWeather reads what putWeather wrote. The columns are held against their
// hash.
func readWeather(head, body []byte) (*StoredWeather, *weather.Reading, error) {
	s, err := weatherHead(head)
	if err != nil {
		return nil, nil, err
	}
	r, err := weather.Read(bytes.NewReader(body), weather.ReadOptions{Format: weather.FormatParquet})
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", store.ErrDamaged, err)
	}
	if r.Year.Hash() != s.Hash {
		return nil, nil, fmt.Errorf("%w: other columns than its hash says", store.ErrDamaged)
	}
	r.Format, r.Assumed = s.Format, s.Assumed
	return s, r, nil
}

// readSet reads what putSet wrote.
func readSet(id string, head []byte) (*SetOfYears, error) {
	set := &SetOfYears{ID: id}
	if err := json.Unmarshal(head, &set.Years); err != nil {
		return nil, fmt.Errorf("%w: %w", store.ErrDamaged, err)
	}
	return set, nil
}

func storedAt(t time.Time) string { return t.UTC().Format(time.RFC3339) }
