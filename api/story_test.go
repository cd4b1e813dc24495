package api

import (
	"encoding/json"
	"fmt"
	"mime"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/api/store"
)

// teller makes the examples of the story against a service.
type teller struct {
	s    *Service
	doc  map[string]any
	left map[string]string
}

func newTeller(t testing.TB, s *Service) *teller {
	return &teller{s: s, doc: document31(t), left: map[string]string{}}
}

// operationOf finds a registered operation.
func (x *teller) operationOf(t testing.TB, id string) operation {
	t.Helper()
	for _, o := range x.s.operations() {
		if o.id == id {
			return o
		}
	}
	t.Fatal("no operation " + id)
	return operation{}
}

// make makes an example, and keeps what it leaves.
func (x *teller) make(t testing.TB, e *example, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	o := x.operationOf(t, e.id)
	w := call(t, x.s, o.method, e.target(o.path, x.left), e.body(x.left), headers...)
	if e.leaves != "" && w.Code < 300 && strings.HasPrefix(w.Header().Get("Content-Type"), media.JSON) {
		var answer struct{ ID, Hash string }
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &answer))
		if x.left[e.leaves] = answer.ID; e.leaves == "hash" {
			x.left["hash"] = answer.Hash
		}
	}
	return w
}

// documented checks an answer against what the document says of its operation.
func (x *teller) documented(t testing.TB, o *operation, w *httptest.ResponseRecorder) {
	t.Helper()
	where := fmt.Sprintf("%s %s → %d", o.method, o.path, w.Code)
	responses := at(t, x.doc, "paths", o.path, strings.ToLower(o.method), "responses").(map[string]any)
	response, ok := responses[fmt.Sprint(w.Code)].(map[string]any)
	if !assert.True(t, ok, "%s is documented: %s", where, w.Body.String()) {
		return
	}
	if w.Code == 204 || w.Code == 304 {
		assert.Zero(t, w.Body.Len(), where)
		return
	}
	for name := range asObject(response["headers"]) {
		assert.NotEmpty(t, w.Header().Get(name), "%s has %s", where, name)
	}
	mediaType, _, err := mime.ParseMediaType(w.Header().Get("Content-Type"))
	require.NoError(t, err, where)
	content, ok := asObject(response["content"])[mediaType].(map[string]any)
	if !assert.True(t, ok, "%s: %s is documented", where, mediaType) {
		return
	}
	if strings.HasSuffix(mediaType, "json") && !strings.HasSuffix(mediaType, "ndjson") {
		var v any
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &v), where)
		wrong := conforms(x.doc, asObject(content["schema"]), v, "")
		assert.Empty(t, wrong[:min(len(wrong), 5)], where)
	}
}

func asObject(v any) map[string]any {
	object, _ := v.(map[string]any)
	return object
}

// removing is where the story begins to take away what it has built.
func removing() int {
	for i, e := range story {
		if e.id == "cancelStudy" {
			return i
		}
	}
	panic("api: the story has no end")
}

// Every operation has an example. Each is made, in order, and what is answered is
// what the OpenAPI document says: status, headers, media type and, of JSON, the
// schema. So is every other media type that the operation can be asked for, and a
// second request with the entity tag is 304.
func TestConformance_Examples(t *testing.T) {
	x := newTeller(t, studying(t, t.TempDir()))
	told := map[string]bool{}
	for i := range story {
		e := &story[i]
		o := x.operationOf(t, e.id)
		told[e.id] = true
		if body := e.body(pretend); body != nil {
			var v any
			require.NoError(t, json.Unmarshal(body, &v), e.id)
			schema := at(t, x.doc, "paths", o.path, strings.ToLower(o.method), "requestBody", "content", media.JSON, "schema")
			assert.Empty(t, conforms(x.doc, schema.(map[string]any), v, ""), "the example of %s", e.id)
		}
		w := x.make(t, e)
		require.Less(t, w.Code, 300, "%s: %s", e.id, w.Body.String())
		x.documented(t, &o, w)
		if o.method == "DELETE" {
			continue
		}
		for mediaType := range o.answers {
			other := *e
			if query := e.as[mediaType]; query != "" {
				other.query = query
			}
			again := x.make(t, &other, "Accept", mediaType)
			assert.Less(t, again.Code, 300, "%s as %s", e.id, mediaType)
			if again.Code != 204 { // a stream that has been read
				got, _, _ := mime.ParseMediaType(again.Header().Get("Content-Type"))
				assert.Equal(t, mediaType, got, e.id)
				x.documented(t, &o, again)
			}
		}
		if tag := w.Header().Get("ETag"); o.method == "GET" && tag != "" && e.id != "metrics" && e.id != "study" {
			w := x.make(t, e, "If-None-Match", tag)
			assert.Equal(t, 304, w.Code, e.id)
			x.documented(t, &o, w)
		}
	}
	for _, o := range x.s.operations() {
		assert.True(t, told[o.id], "operation %s has an example: add it to story in examples.go", o.id)
	}
}

// elsewhere are problems that the examples cannot provoke, and the tests that do.
var elsewhere = map[string]string{
	"internal":      "TestService_Panic",
	"key-in-flight": "TestStudies_IdempotencyKey",
	"studies-full":  "TestStudies_Full",
}

// Each problem that an operation documents is reached, and is as documented:
// for every kind of problem there are ways to spoil the operation's example.
func TestConformance_Problems(t *testing.T) {
	whole := newTeller(t, studying(t, t.TempDir()))
	for i := range story[:removing()] {
		require.Less(t, whole.make(t, &story[i]).Code, 300, story[i].id)
	}
	services := spoiltServices(t, whole)
	for i := range story {
		e := &story[i]
		o := whole.operationOf(t, e.id)
		kinds := append([]kindOfProblem{}, o.problems...)
		if len(o.pathValues) > 0 && e.id != "storeSystem" {
			kinds = append(kinds, notFound)
		}
		for _, k := range kinds {
			if elsewhere[k.name] != "" {
				continue
			}
			reached := false
			var seen []string
			for _, spoil := range waysTo(k) {
				w := spoil(t, services, whole, &o, e)
				if w == nil {
					continue
				}
				var p Problem
				if w.Code >= 400 {
					require.NoError(t, json.Unmarshal(w.Body.Bytes(), &p), w.Body.String())
					whole.documented(t, &o, w)
				}
				seen = append(seen, fmt.Sprintf("%d %s", w.Code, p.Type))
				if reached = p.Type == "/docs#problem-"+k.name && w.Code == k.status; reached {
					break
				}
			}
			assert.True(t, reached, "%s: %s is reached, not only %v", o.id, k.name, seen)
		}
	}
}

// spoiltServices are services that cannot answer, by the problem that they have.
func spoiltServices(t testing.TB, whole *teller) map[string]*Service {
	t.Helper()
	open := func(dir string, most int64) *store.Store {
		disk, err := store.Open(dir, most)
		require.NoError(t, err)
		return disk
	}
	out := map[string]*Service{
		"no-store":   New(Config{Studies: whole.s.desk()}),
		"no-studies": New(Config{Store: open(t.TempDir(), 1<<30)}),
		"store-full": New(Config{Store: open(t.TempDir(), 100)}),
		"too-large":  New(Config{Store: open(t.TempDir(), 1<<30), Studies: whole.s.desk(), MaxBodyBytes: 10, MaxUploadBytes: 10}),
	}
	// One that is busy has the same content, and no place to run.
	busyOne := New(Config{Store: whole.s.config.Store, Studies: whole.s.desk()})
	if k, ok := whole.s.answers.get(whole.left["hash"]); ok {
		busyOne.answers.put(k)
	}
	for _, queue := range []*slots{busyOne.slots, busyOne.uploads, busyOne.cellSlots} {
		for range cap(queue.waiting) {
			queue.waiting <- struct{}{}
		}
	}
	out["busy"] = busyOne
	// One whose files are damaged was told the story once.
	dir := t.TempDir()
	damaged := newTeller(t, New(Config{Store: open(dir, 1<<30)}))
	for _, e := range story[:removing()] {
		if o := damaged.operationOf(t, e.id); o.problems != nil && !strings.HasPrefix(o.path, "/v1/studies") {
			damaged.make(t, &e)
		}
	}
	require.NoError(t, filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(name)
		if err != nil || len(raw) == 0 {
			return err
		}
		for i := range raw {
			raw[i] ^= 0x55
		}
		return os.WriteFile(name, raw, 0o600)
	}))
	// One that has no room for more than weather and load.
	full := newTeller(t, New(Config{Store: open(filepath.Join(dir, "full"), 1<<30)}))
	for _, id := range []string{"uploadWeather", "uploadLoad"} {
		e, _ := exampleOf(id)
		full.make(t, &e)
	}
	out["store-full later"] = New(Config{Store: open(filepath.Join(dir, "full"), 100)})
	out["damaged-content"] = New(Config{Store: open(dir, 1<<30)})
	return out
}
