package page_test

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
	"bankyear/api/store"
)

// patience is how long a test waits for something in the browser; never how fast
// it must be.
const patience = 60 * time.Second

// chromium is one browser for all tests, each with a tab of its own.
var chromium = sync.OnceValue(func() context.Context {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("lang", "en-GB"))
	ctx, _ := chromedp.NewExecAllocator(context.Background(), options...)
	browser, _ := chromedp.NewContext(ctx)
	return browser
})

func TestMain(m *testing.M) {
	code := m.Run()
	if shared != nil {
		_ = chromedp.Cancel(chromium())
		shared.server.Close()
		shared.studies.Close()
		_ = os.RemoveAll(shared.folder)
	}
	os.Exit(code)
}

// screen is a tab with the page in it, and the service behind it. All tests have
// the same one: a page is loaded anew only where a test is about that.
type screen struct {
	t       *testing.T
	tab     context.Context
	ctx     context.Context
	url     string
	folder  string
	server  *httptest.Server
	studies *api.Studies
	away    atomic.Bool // the service breaks off every connection
	mu      sync.Mutex
	console []string
}

var shared *screen

// start starts a service and a tab.
func start(t *testing.T) *screen {
	t.Helper()
	s := &screen{}
	var err error
	s.folder, err = os.MkdirTemp("", "bankyear-page-")
	require.NoError(t, err)
	disk, err := store.Open(s.folder, 1<<30)
	require.NoError(t, err)
	s.studies, err = api.OpenStudies(context.Background(), api.StudiesConfig{Dir: s.folder + "/studies", Workers: 2})
	require.NoError(t, err)
	service := api.New(api.Config{Store: disk, Studies: s.studies})
	s.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if s.away.Load() {
			panic(http.ErrAbortHandler)
		}
		service.ServeHTTP(w, r)
	}))
	s.url = s.server.URL
	require.NoError(t, chromedp.Do(chromium())) // starts the browser
	s.tab, _ = chromedp.NewContext(chromium())
	messages := chromedp.Console(s.tab)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			s.mu.Lock()
			s.console = append(s.console, m.String())
			s.mu.Unlock()
		}
	}()
	return s
}

// open shows the page in a width with what is stated in the address.
func open(t *testing.T, width int64, stated string) *screen {
	t.Helper()
	if _, err := exec.LookPath("chromium"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no chromium: the page's tests need one (Debian's package chromium)")
		}
		t.Skip("no chromium here: the page is not tested (Debian's package chromium)")
	}
	fresh := shared == nil
	if fresh {
		shared = start(t)
	}
	s := shared
	s.t = t
	ctx, cancel := context.WithTimeout(s.tab, 2*patience)
	t.Cleanup(cancel)
	s.ctx = ctx
	s.away.Store(false)
	s.do(chromedp.EmulateViewport(width, 1000))
	s.mu.Lock()
	s.console = nil
	s.mu.Unlock()
	if fresh || !js[bool](s, `location.pathname === '/' && document.documentElement.dataset.pictures > 0 && document.querySelector('#units').value === 'metric' && document.querySelectorAll('details[open]').length === 0`) {
		s.visit(stated)
		return s
	}
	js[bool](s, `(() => {
		if (location.hash.slice(1) !== `+text(stated)+`) {
			document.documentElement.dataset.pictures = 0;
			location.hash = `+text(stated)+`;
		}
		return true })()`)
	return s
}

// visit goes to the page with what is stated in the address, anew.
func (s *screen) visit(stated string) {
	s.t.Helper()
	s.do(chromedp.Navigate("about:blank"), chromedp.Navigate(s.url+"/#"+stated))
}

func (s *screen) do(steps ...chromedp.Action[chromedp.Void]) {
	s.t.Helper()
	require.NoError(s.t, chromedp.Do(s.ctx, steps...))
}

// js evaluates an expression, or a promise of it.
func js[T any](s *screen, expression string) T {
	s.t.Helper()
	v, err := chromedp.Run(s.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(s.t, err, expression)
	return v
}

// until waits for an expression to be true.
func (s *screen) until(expression string) {
	s.t.Helper()
	poll := chromedp.Poll[bool](expression, chromedp.WithPollingInterval(20*time.Millisecond), chromedp.WithPollingTimeout(patience))
	_, err := chromedp.Run(s.ctx, poll)
	for tries := 0; err != nil && strings.Contains(err.Error(), "Cannot find context") && tries < 5; tries++ {
		_, err = chromedp.Run(s.ctx, poll) // it began in the document that was left
	}
	require.NoError(s.t, err, "waiting for %s; the page shows: %s", expression, js[string](s, `document.body.innerText.slice(0, 2000)`))
}

// pictures is how many answers were drawn.
func (s *screen) pictures() int {
	return js[int](s, `Number(document.documentElement.dataset.pictures ?? 0)`)
}

// drawn waits for a picture after the n-th.
func (s *screen) drawn(n int) {
	s.t.Helper()
	s.until(`Number(document.documentElement.dataset.pictures ?? 0) > ` + text(n))
}

// enter puts a value into the field of a path as a person would: the browser's own
// input events.
func (s *screen) enter(path, value string) {
	s.t.Helper()
	s.do(chromedp.Focus(field(path)))
	js[bool](s, `document.querySelector('`+field(path)+`').select() ?? true`)
	s.do(chromedp.KeyEvent(value))
}

// field selects the control of a path.
func field(path string) string {
	return `[data-path="` + path + `"] .controls :is(select, input:not([type="range"]))`
}

// clean asserts that the browser complained of nothing but the answers named.
func (s *screen) clean(but ...string) {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, message := range s.console {
		expected := false
		for _, b := range but {
			expected = expected || strings.Contains(message, b)
		}
		assert.True(s.t, expected, "console: %s", message)
	}
}

func decode(t *testing.T, from io.Reader, into any) {
	t.Helper()
	require.NoError(t, json.NewDecoder(from).Decode(into))
}

func text(v any) string {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(raw)
}
