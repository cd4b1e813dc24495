package weather

import (
	"bytes"
	"strings"
)

// header is what the column names of a plain or satellite CSV mean.
type header struct {
	field [columns]int // from 1, 0 where there is none
	unit  [columns]conversion
	// perInterval marks columns that hold energy in the interval: their
	// conversion is to be divided by the step in hours.
	perInterval [columns]bool
	time        timeFields
	filled      int // the field with the marks of filled samples, 0 for none
	limit       int // fields of a row that are of interest
	assumed     []Assumed
}

// timeFields tells where a row holds its time (from 1, 0 where it is not): in
// one field, in a date and a clock field, or in parts.
type timeFields struct{ whole, date, clock, year, month, day, hour, minute int }

func (t timeFields) none() bool { return t.whole == 0 && t.date == 0 && t.year == 0 }

// headerNames are the names by which a column is recognised, in lower case
// with every other sign as an underscore. Names of energy meteorology and of
// the trade; common practice, no source.
var headerNames = [columns][]string{
	ghi: {"ghi", "global_horizontal_irradiance", "global_horizontal_irradiation", "global_horizontal", "global_horiz", "global_horizontal_radiation",
		"global_irradiance", "global_radiation", "shortwave_radiation", "shortwave_down", "gh"},
	dni: {"dni", "direct_normal_irradiance", "direct_normal_irradiation", "direct_normal", "direct_normal_radiation", "beam_normal_irradiance", "beam_normal", "bni"},
	dhi: {"dhi", "dif", "diffuse_horizontal_irradiance", "diffuse_horizontal_irradiation", "diffuse_horizontal", "diffuse_horiz", "diffuse_horizontal_radiation",
		"diffuse_irradiance", "diffuse_radiation", "diffuse"},
	plane: {"plane", "poa", "poa_global", "poa_irradiance", "plane_of_array", "plane_of_array_irradiance", "gti", "global_tilted_irradiance", "global_tilted", "tilted_irradiance"},
	ambient: {"ambient", "ambient_temperature", "ambient_temp", "temperature", "temp", "air_temperature", "air_temp", "temp_air", "temperature_air",
		"temperature_2m", "t2m", "dry_bulb", "drybulb", "dry_bulb_temperature", "tamb", "t_amb", "ta"},
	wind: {"wind", "wind_speed", "windspeed", "wind_speed_10m", "ws", "ws10m", "wspd", "wind_velocity"},
}

var timeNames = []struct {
	at    func(*timeFields) *int
	names []string
}{
	{func(t *timeFields) *int { return &t.whole }, []string{"start", "time", "timestamp", "time_stamp", "datetime", "date_time", "date_and_time", "time_utc", "utc", "local_time", "end", "period_start", "period_end"}},
	{func(t *timeFields) *int { return &t.date }, []string{"date", "day_date"}},
	{func(t *timeFields) *int { return &t.year }, []string{"year", "yyyy"}},
	{func(t *timeFields) *int { return &t.month }, []string{"month", "mo"}},
	{func(t *timeFields) *int { return &t.day }, []string{"day", "day_of_month"}},
	{func(t *timeFields) *int { return &t.hour }, []string{"hour", "hh"}},
	{func(t *timeFields) *int { return &t.minute }, []string{"minute", "min"}},
}

// parseHeader finds out what the columns are. Stated names and units (o) come
// first, then recognised ones.
func parseHeader(p *Problems, line int, fields [][]byte, o ReadOptions) *header {
	h := &header{}
	stated := h.statedColumns(p, line, fields, o)
	for i, f := range fields {
		if stated[i] {
			continue
		}
		name, bracket := splitUnit(string(f))
		if name == filledColumn {
			h.filled = i + 1
			continue
		}
		if h.timeColumn(p, line, i+1, name) {
			continue
		}
		c, unitText, ok := recognise(name)
		if !ok {
			continue
		}
		if bracket != "" {
			unitText = bracket
		}
		if h.field[c] != 0 {
			p.add(Problem{Line: line, Column: i + 1, Member: c.String(), Index: -1, Value: string(f), Message: "is the second column of this meaning; state columns", Cause: ErrColumn})
			continue
		}
		h.field[c] = i + 1
		h.setUnit(p, line, c, unitText, o)
	}
	if h.time.whole != 0 && h.time.date != 0 { // "date" and "time": the clock
		h.time.clock, h.time.whole = h.time.whole, 0
	}
	for _, at := range append(h.field[:], h.filled, h.time.whole, h.time.date, h.time.clock, h.time.year, h.time.month, h.time.day, h.time.hour, h.time.minute) {
		h.limit = max(h.limit, at)
	}
	return h
}

// statedColumns places the columns that the caller named.
func (h *header) statedColumns(p *Problems, line int, fields [][]byte, o ReadOptions) map[int]bool {
	taken := map[int]bool{}
	find := func(member string) int {
		text, ok := o.Columns[member]
		if !ok {
			return 0
		}
		for i, f := range fields {
			if string(f) == strings.TrimSpace(text) {
				taken[i] = true
				return i + 1
			}
		}
		p.add(Problem{Line: line, Member: member, Index: -1, Value: text, Message: "no column has the stated header text", Cause: ErrColumn})
		return 0
	}
	h.time.whole = find("time")
	for c := range columns {
		if at := find(c.String()); at != 0 {
			h.field[c] = at
			name, unitText := splitUnit(string(fields[at-1]))
			if _, suffix, ok := recognise(name); ok && unitText == "" {
				unitText = suffix
			}
			h.setUnit(p, line, c, unitText, o)
		}
	}
	return taken
}

func (h *header) timeColumn(p *Problems, line, at int, name string) bool {
	name = normal(name)
	for _, t := range timeNames {
		for _, known := range t.names {
			if name != known {
				continue
			}
			to := t.at(&h.time)
			if *to != 0 {
				if known == "end" || known == "period_end" || known == "utc" || known == "time_utc" {
					return true // beside a start
				}
				p.add(Problem{Line: line, Column: at, Member: "time", Index: -1, Value: name, Message: "is the second column of this meaning; state columns", Cause: ErrColumn})
				return true
			}
			*to = at
			return true
		}
	}
	return false
}

// recognise tells which column a name means, and the unit that its end names.
func recognise(name string) (c column, unitText string, ok bool) {
	name = normal(name)
	for c := range columns {
		for _, known := range headerNames[c] {
			if name == known {
				return c, "", true
			}
			if suffix, is := strings.CutPrefix(name, known+"_"); is {
				if _, isUnit := unitsOf(c)[strings.ReplaceAll(suffix, "_", "")]; isUnit {
					return c, suffix, true
				}
			}
		}
	}
	return 0, "", false
}

// splitUnit cuts a unit in brackets off a header text: "GHI (W/m²)".
func splitUnit(text string) (name, unitText string) {
	text = strings.TrimSpace(text)
	for _, pair := range []string{"()", "[]"} {
		if at := strings.IndexByte(text, pair[0]); at > 0 && text[len(text)-1] == pair[1] {
			return strings.TrimSpace(text[:at]), text[at+1 : len(text)-1]
		}
	}
	return text, ""
}

// normal is a name in lower case with runs of other signs as one underscore.
func normal(name string) string {
	var b strings.Builder
	gap := false
	for _, c := range bytes.ToLower([]byte(name)) {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteByte(c)
			continue
		}
		gap = true
	}
	return b.String()
}
