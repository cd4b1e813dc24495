package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/weather"
)

// FuzzWeatherJSON: an upload is refused with faults, or gives years that pass
// their checks and can be written and read back.
func FuzzWeatherJSON(f *testing.F) {
	const site = `"site":{"latitude_deg":44,"longitude_deg":-73,"elevation_m":100,"utc_offset_h":-5}`
	f.Add([]byte(`{` + site + `,"monthly":{"ghi_kwh_m2_d":[1.8,2.8,3.9,4.6,5.5,6,6,5.2,4.1,2.7,1.7,1.4],"ambient_c":[-8,-6,-1,7,14,19,21,20,15,9,3,-4]},"seed":7,"years":2}`))
	f.Add([]byte(`{"text":"# latitude_deg: 44\n# longitude_deg: -73\n# elevation_m: 1\n# utc_offset_h: -5\ntime,ghi_w_m2,ambient_c\n2021-01-01T00:00,0,5\n","fill_gaps_up_to_h":720}`))
	f.Add([]byte(`{` + site + `,"calendar_year":2024,"step_s":60,"plane_w_m2":[0,1],"ambient_c":[1]}`))
	f.Add([]byte(`{"id":"w-1","years":3,"member":1e300,"seed":-1}`))
	f.Add([]byte(`{"monthly":null,"text":[],"site":{}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var years []*weather.Reading
		p := readWeatherJSON(t.Context(), raw, func(r *weather.Reading) { years = append(years, r) })
		if p == nil == (len(years) == 0) {
			t.Fatalf("%d years and %+v", len(years), p)
		}
		if p != nil {
			checkProblem(t, p)
			return
		}
		for _, r := range years[:1] {
			if err := r.Year.Check().Err(); err != nil {
				t.Fatal(err)
			}
			head, err := json.Marshal(DescribeWeather(r))
			require.NoError(t, err)
			var body bytes.Buffer
			require.NoError(t, weather.WriteParquet(&body, r.Year, r.Filled))
			_, again, err := readWeather(head, body.Bytes())
			require.NoError(t, err)
			require.Equal(t, r.Year.Hash(), again.Year.Hash())
		}
	})
}

func checkProblem(t *testing.T, p *Problem) {
	t.Helper()
	if len(p.Faults) == 0 && p.Detail == "" {
		t.Fatalf("says nothing: %+v", p)
	}
	for _, x := range p.Faults {
		if !pointerForm.MatchString(x.Pointer) || x.Message == "" {
			t.Fatalf("fault %+v", x)
		}
	}
	if _, err := encodeJSON(p); err != nil {
		t.Fatal(err)
	}
}

// FuzzLoadJSON: a load is refused with faults, or is stored as something that is
// the same load again.
func FuzzLoadJSON(f *testing.F) {
	f.Add([]byte(`{"key":"hut","scale_to_kwh_per_day":3}`))
	f.Add([]byte(`{"appliances":{"heater":{"w":900,"duty_fraction":0,"temperature":{"heat_w_per_c":30}},"b":{"w":1,"hours":"22-06","weekdays":"mon"}}}`))
	f.Add([]byte(`{"meter":{"csv":"2023-01-01 00:00,1\n2023-01-01 00:30,2\n","unit":"wh"},"growth":{"per_year_fraction":-0.5,"years":50}}`))
	f.Add([]byte(`{"ac_essential_w":[1,2,3],"id":"l-1","x":null}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		tree, faults := document.Parse(raw)
		if tree == nil {
			return
		}
		load, faults := describeLoad(tree, faults)
		if load == nil == (len(faults) == 0) {
			t.Fatalf("%+v and %v", load, faults)
		}
		if load == nil {
			checkProblem(t, refused(faults, true))
			return
		}
		tree, faults = document.Parse(load.Load)
		again, more := describeLoad(tree, faults)
		if again == nil || again.ID != load.ID {
			t.Fatalf("written canonically it is another load: %v", more)
		}
	})
}

// FuzzWeatherOptions: a query is refused at the names of its parameters, or reads
// as options.
func FuzzWeatherOptions(f *testing.F) {
	f.Add("site.latitude_deg=44&site.longitude_deg=-73&site.elevation_m=1&site.utc_offset_h=-5&units.ghi_w_m2=kW/m2&columns.time=Zeit")
	f.Add("format=epw&calendar_year=1e99&fill_gaps_up_to_h=NaN&date_order=")
	f.Add("a..b=1&.=&site=%7B%7D&columns=null&site.x.y=1&%FF=%FF&~/=1")
	f.Fuzz(func(t *testing.T, text string) {
		query, err := url.ParseQuery(text)
		if err != nil {
			return
		}
		_, faults := WeatherOptions(query)
		if len(faults) == 0 {
			return
		}
		for _, x := range badParameters(faults).Faults {
			if x.Pointer != "" || x.Message == "" {
				t.Fatalf("fault %+v", x)
			}
		}
	})
}

// FuzzUpload: whatever is sent, in whatever coding, comes out bounded or not at
// all.
func FuzzUpload(f *testing.F) {
	disk, err := store.Open(f.TempDir(), 1<<30)
	require.NoError(f, err)
	f.Add([]byte("time,ghi"), media.Identity)
	f.Add(media.Encode([]byte("time,ghi"), media.Gzip), media.Zstd)
	f.Add(media.Encode(media.Encode([]byte(strings.Repeat("x", 5000)), media.Gzip), media.Zstd), media.Zstd)
	f.Add(media.Encode(media.Encode(media.Encode([]byte("x"), media.Zstd), media.Zstd), media.Gzip), media.Gzip)
	f.Fuzz(func(t *testing.T, data []byte, coding string) {
		const limit = 4000
		file, err := disk.Spool(bytes.NewReader(data), 1<<20)
		if errors.Is(err, store.ErrTooLong) {
			return
		}
		require.NoError(t, err)
		u := &upload{file: file, coding: coding, limit: limit, held: (&memory{most: 1 << 40}).hold()}
		defer u.close()
		r, closeAll, err := u.open(t.Context())
		if err != nil {
			return
		}
		defer closeAll()
		out, err := io.ReadAll(r)
		if len(out) > limit || err == nil && media.CodingOf(out) != media.Identity {
			t.Fatalf("%d bytes of %d, %v", len(out), len(data), err)
		}
	})
}
