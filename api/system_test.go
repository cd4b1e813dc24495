package api

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/store"
)

// hut is the station of the tests with its weather stored, as a system.
func hut(t testing.TB, s *Service) map[string]any {
	t.Helper()
	year, err := typicalYear()
	require.NoError(t, err)
	return withWeather(station(t), map[string]any{"id": uploaded(t, s, "/v1/weather", []byte(year), noType...).ID})
}

func putHut(t testing.TB, s *Service, name string, system map[string]any, headers ...string) SystemVersion {
	t.Helper()
	w := call(t, s, "PUT", "/v1/systems/"+name, text(t, system), headers...)
	require.Contains(t, []int{200, 201}, w.Code, w.Body.String())
	var v SystemVersion
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &v))
	assert.Equal(t, v.ETag, w.Header().Get("ETag"))
	return v
}

// What is stored is what was sent, in every version and by the next process.
func TestSystems_Versions(t *testing.T) {
	dir := t.TempDir()
	s := storing(t, dir)
	system := hut(t, s)
	assert.Equal(t, 404, call(t, s, "GET", "/v1/systems/hut", nil).Code)
	first := call(t, s, "PUT", "/v1/systems/hut", text(t, system))
	require.Equal(t, 201, first.Code, first.Body.String())
	assert.Equal(t, "/v1/systems/hut", first.Header().Get("Location"))
	v := putHut(t, s, "hut", system)
	assert.Equal(t, 1, v.Version, "the same bytes are no new version")
	bigger := with(t, system, `{"bank":{"modules":4}}`)
	v = putHut(t, s, "hut", bigger)
	assert.Equal(t, 2, v.Version)
	assert.Equal(t, "Hut on a ridge", v.Name)

	for _, s := range []*Service{s, storing(t, dir)} {
		for target, want := range map[string]map[string]any{"": bigger, "?version=2": bigger, "?version=1": system} {
			got := call(t, s, "GET", "/v1/systems/hut"+target, nil)
			assert.Equal(t, string(text(t, want)), got.Body.String(), target)
		}
		var list SystemList
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/systems", nil).Body.Bytes(), &list))
		require.Len(t, list.Systems, 1)
		assert.Equal(t, v, list.Systems[0])
		var versions SystemVersions
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/systems/hut/versions?limit=1", nil).Body.Bytes(), &versions))
		require.Len(t, versions.Versions, 1)
		assert.Equal(t, 2, versions.Before)
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/systems/hut/versions?before=2", nil).Body.Bytes(), &versions))
		require.Len(t, versions.Versions, 1)
		assert.Equal(t, 1, versions.Versions[0].Version)
	}
	t.Run("a stored system is a request", func(t *testing.T) {
		got := call(t, s, "GET", "/v1/systems/hut", nil)
		assert.Equal(t, "2", got.Header().Get("System-Version"))
		answer := call(t, s, "POST", "/v1/simulations", got.Body.Bytes())
		require.Equal(t, 200, answer.Code)
		assert.Equal(t, "/v1/simulations/"+v.Hash, answer.Header().Get("Content-Location"), "the hash that was told when it was stored")
	})
}

func TestSystems_Conditions(t *testing.T) {
	s := storing(t, t.TempDir())
	system := hut(t, s)
	problemOf(t, call(t, s, "PUT", "/v1/systems/hut", text(t, system), "If-Match", "*"), 412)
	first := putHut(t, s, "hut", system, "If-None-Match", "*")
	problemOf(t, call(t, s, "PUT", "/v1/systems/hut", text(t, system), "If-None-Match", "*"), 412)
	bigger := with(t, system, `{"bank":{"modules":4},"notes":"`+strings.Repeat("long enough to be compressed ", 40)+`"}`)
	second := putHut(t, s, "hut", bigger, "If-Match", first.ETag)
	problemOf(t, call(t, s, "PUT", "/v1/systems/hut", text(t, system), "If-Match", first.ETag), 412)
	problemOf(t, call(t, s, "PUT", "/v1/systems/hut", text(t, system), "If-Match", "W/"+second.ETag), 412)
	got := call(t, s, "GET", "/v1/systems/hut", nil, "Accept-Encoding", "gzip")
	require.Equal(t, "gzip", got.Header().Get("Content-Encoding"))
	assert.NotEqual(t, second.ETag, got.Header().Get("ETag"))
	assert.Equal(t, 304, call(t, s, "GET", "/v1/systems/hut", nil, "If-None-Match", second.ETag).Code)
	problemOf(t, call(t, s, "DELETE", "/v1/systems/hut", nil, "If-Match", first.ETag), 412)
	assert.Equal(t, 3, putHut(t, s, "hut", system, "If-Match", got.Header().Get("ETag")).Version, "the tag of any coding is that of the version")
	problemOf(t, call(t, s, "DELETE", "/v1/systems/hut", nil, "If-Match", second.ETag), 412)
	assert.Equal(t, 204, call(t, s, "DELETE", "/v1/systems/hut", nil, "If-Match", first.ETag).Code, "the third has the bytes of the first")
}

// Many who add to what they have read lose nothing.
func TestSystems_NoLostUpdates(t *testing.T) {
	s := storing(t, t.TempDir())
	system := hut(t, s)
	putHut(t, s, "hut", with(t, system, `{"notes":""}`))
	var all sync.WaitGroup
	for n := range 8 {
		all.Go(func() {
			for {
				got := call(t, s, "GET", "/v1/systems/hut", nil)
				var now map[string]any
				if !assert.NoError(t, json.Unmarshal(got.Body.Bytes(), &now)) {
					return
				}
				now["notes"] = now["notes"].(string) + strconv.Itoa(n)
				code := call(t, s, "PUT", "/v1/systems/hut", text(t, now), "If-Match", got.Header().Get("ETag")).Code
				if code == 200 {
					return
				}
				if !assert.Equal(t, 412, code) {
					return
				}
			}
		})
	}
	all.Wait()
	var now map[string]any
	require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/systems/hut", nil).Body.Bytes(), &now))
	for n := range 8 {
		assert.Contains(t, now["notes"], strconv.Itoa(n))
	}
}

func TestSystems_Removed(t *testing.T) {
	s := storing(t, t.TempDir())
	system := hut(t, s)
	load := call(t, s, "POST", "/v1/loads", text(t, system["load"]))
	var l StoredLoad
	require.NoError(t, json.Unmarshal(load.Body.Bytes(), &l))
	w := call(t, s, "PUT", "/v1/systems/hut", text(t, merged(with(t, system, `{"load":null}`), map[string]any{"load": map[string]any{"id": l.ID}})))
	require.Equal(t, 201, w.Code, w.Body.String())
	putHut(t, s, "hut", system)

	t.Run("what a version names stays", func(t *testing.T) {
		p := problemOf(t, call(t, s, "DELETE", "/v1/loads/"+l.ID, nil), 409)
		assert.Equal(t, "Version 1 of the system hut names it.", p.Detail)
		problemOf(t, call(t, s, "DELETE", "/v1/weather/"+system["weather"].(map[string]any)["id"].(string), nil), 409)
	})
	assert.Equal(t, 204, call(t, s, "DELETE", "/v1/systems/hut", nil).Code)
	for _, target := range []string{"", "?version=1", "?version=3", "/versions"} {
		problemOf(t, call(t, s, "GET", "/v1/systems/hut"+target, nil), 404)
	}
	problemOf(t, call(t, s, "DELETE", "/v1/systems/hut", nil), 404)
	assert.Equal(t, 204, call(t, s, "DELETE", "/v1/loads/"+l.ID, nil).Code)
	assert.Equal(t, 4, putHut(t, s, "hut", system).Version, "a number is not used again")
}

func TestSystems_Faults(t *testing.T) {
	s := storing(t, t.TempDir())
	system := hut(t, s)
	for name, c := range map[string]struct {
		target   string
		body     []byte
		status   int
		pointers []string
	}{
		"no JSON":         {"/v1/systems/hut", []byte("{"), 400, nil},
		"all at once":     {"/v1/systems/hut", text(t, with(t, system, `{"bank":{"modules":99},"inverter":null}`)), 422, []string{"/inverter", "/bank/modules"}},
		"inline weather":  {"/v1/systems/hut", text(t, withWeather(station(t), map[string]any{"monthly": map[string]any{"ghi_kwh_m2_d": []float64{1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1}, "ambient_c": []float64{0, 0, 5, 9, 14, 18, 20, 19, 15, 10, 5, 1}}})), 422, []string{"/weather"}},
		"no weather":      {"/v1/systems/hut", text(t, station(t)), 422, []string{"/weather"}},
		"unknown weather": {"/v1/systems/hut", text(t, withWeather(station(t), map[string]any{"id": "w-" + strings.Repeat("0", 32)})), 422, []string{"/weather/id"}},
		"name":            {"/v1/systems/Hut", text(t, system), 400, nil},
		"long name":       {"/v1/systems/" + strings.Repeat("a", 65), text(t, system), 400, nil},
		"query":           {"/v1/systems/hut?bank.modules=3", text(t, system), 400, nil},
		"too large":       {"/v1/systems/hut", text(t, with(t, system, `{"notes":"`+strings.Repeat("x", 1<<20)+`"}`)), 413, nil},
	} {
		t.Run(name, func(t *testing.T) {
			p := problemOf(t, call(t, s, "PUT", c.target, c.body), c.status)
			for _, f := range p.Faults {
				if c.pointers != nil {
					assert.Contains(t, c.pointers, f.Pointer)
				}
			}
			if c.pointers != nil {
				assert.Len(t, p.Faults, len(c.pointers))
			}
		})
	}
	assert.Equal(t, 404, call(t, s, "GET", "/v1/systems/hut", nil).Code, "nothing of it is stored")
	problemOf(t, call(t, New(Config{}), "PUT", "/v1/systems/hut", text(t, system)), 503)
	problemOf(t, call(t, New(Config{}), "GET", "/v1/systems/hut", nil), 503)
	problemOf(t, call(t, s, "GET", "/v1/systems/hut?version=0", nil), 400)
	problemOf(t, call(t, s, "GET", "/v1/systems/..%2Fhut", nil), 404)
}

// A damaged version is told as such; a sound one can follow it.
func TestSystems_Damaged(t *testing.T) {
	dir := t.TempDir()
	s := storing(t, dir)
	system := hut(t, s)
	putHut(t, s, "hut", system)
	file := filepath.Join(dir, "names", "systems", "hut", "1")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	data[len(data)-3] ^= 1
	require.NoError(t, os.WriteFile(file, data, 0o600))
	problemOf(t, call(t, s, "GET", "/v1/systems/hut", nil), 500)
	w := call(t, s, "PUT", "/v1/systems/hut", text(t, system))
	require.Contains(t, []int{200, 201}, w.Code, w.Body.String())
	assert.Equal(t, string(text(t, system)), call(t, s, "GET", "/v1/systems/hut", nil).Body.String())
}

// A system cannot be stored on weather that was removed after it was checked.
func TestSystems_ReferenceGone(t *testing.T) {
	dir := t.TempDir()
	s := storing(t, dir)
	system := hut(t, s)
	v, p := describeSystem(&Cases{content: s.content}, "hut", text(t, system))
	require.Nil(t, p)
	require.NoError(t, v.stillThere(s.content.disk))
	require.NoError(t, s.content.disk.Remove(v.References[0], nil))
	_, err := s.content.disk.PutVersion(systemNames, "hut", 0, v.head(), text(t, system), func() error { return v.stillThere(s.content.disk) })
	assert.Equal(t, errReferenceGone{v.References[0]}, err)
	_, err = s.content.disk.Versions(systemNames, "hut")
	assert.ErrorIs(t, err, store.ErrNotFound)
}
