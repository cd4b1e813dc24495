package api

import (
	"errors"
	"log/slog"
	"net/http"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/mux"
	"golang.org/x/sync/singleflight"

	"bankyear/api/document"
	"bankyear/api/page"
	"bankyear/api/store"
)

// Config is what a service is started with. A zero member takes its default.
type Config struct {
	MaxBodyBytes int64 // largest body once decoded; default 64 MiB: a year of minutes in six columns is about 20
	MaxHeldBytes int64 // memory of all bodies that are read or wait; default 512 MiB
	MaxRunning   int   // simulations at once; default one a processor
	MaxWaiting   int   // requests that wait for one; default 64
	MaxAnswers   int   // answers kept for GET; default 64, up to a megabyte each
	Log          *slog.Logger

	// AllowOrigins are the origins of pages that may ask from a browser
	// (CheckOrigin); none by default.
	AllowOrigins []string

	// Store is where uploads are kept; without it there are none.
	Store           *store.Store
	MaxUploadBytes  int64 // largest weather file, as sent and once decoded; default 1 GiB: twenty years of minutes
	MaxContentBytes int64 // memory for what was used last of what is stored or came with requests; default 256 MiB

	// Studies runs studies; without it there are none, until RunStudies brings it where
	// StudiesFollow says so.
	Studies       *Studies
	StudiesFollow bool
}

// Service answers over HTTP.
type Service struct {
	config  Config
	router  *mux.Router
	log     *slog.Logger
	slots   *slots
	uploads *slots // an upload may take seconds, and must not keep simulations waiting
	memory  *memory
	content *content // nil when nothing is stored
	known   *known

	// What spreadsheets ask for.
	cellSlots *slots
	trees     *recent[string, *document.Node] // of stored systems, by name and version
	figures   *recent[string, []Figure]       // by content hash
	cells     *recent[string, *cell]          // by name, version and changes
	once      singleflight.Group              // one runs what several ask for
	answers   answers
	lastPlans *plans
	metrics   *metrics
	studies   atomic.Pointer[Studies] // nil when there are none
	closing   atomic.Bool
	ending    chan struct{} // closed when the service closes
	openAPI   []byte
	docs      func() []byte
	sheets    func() []byte
	start     func() []byte
	paper     func() []byte
}

// New makes a service.
func New(c Config) *Service {
	if c.MaxBodyBytes == 0 {
		c.MaxBodyBytes = 64 << 20
	}
	if c.MaxHeldBytes == 0 {
		c.MaxHeldBytes = 512 << 20
	}
	if c.MaxUploadBytes == 0 {
		c.MaxUploadBytes = 1 << 30
	}
	if c.MaxContentBytes == 0 {
		c.MaxContentBytes = 256 << 20
	}
	if c.MaxRunning == 0 {
		c.MaxRunning = runtime.GOMAXPROCS(0)
	}
	if c.MaxWaiting == 0 {
		c.MaxWaiting = 64
	}
	if c.MaxAnswers == 0 {
		c.MaxAnswers = 64
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	s := &Service{config: c, log: c.Log, slots: newSlots(c.MaxRunning, c.MaxWaiting), memory: &memory{most: c.MaxHeldBytes}, answers: newAnswers(c.MaxAnswers), metrics: newMetrics(), lastPlans: &plans{mostRows: mostPlanRows}, ending: make(chan struct{})}
	s.studies.Store(c.Studies)
	s.uploads = newSlots(max(1, c.MaxRunning/2), c.MaxWaiting)
	s.known = newKnown(c.MaxContentBytes / 4)
	if c.Store != nil {
		s.content = newContent(c.Store, c.Log, c.MaxContentBytes)
	}
	s.cellSlots = s.slots.beside(mostWaitingCells)
	s.trees = newRecent[string](256, func(*document.Node) int64 { return 1 })
	s.figures = newRecent[string](mostCells, func([]Figure) int64 { return 1 })
	s.cells = newRecent[string](mostCells, func(c *cell) int64 { return c.weight })
	s.openAPI = openAPI(s.operations())
	s.docs = sync.OnceValue(func() []byte { return s.render("docs.html") })
	s.sheets = sync.OnceValue(func() []byte { return s.render("spreadsheets.html") })
	s.start = sync.OnceValue(func() []byte { return page.Index(Cautions, Engine()) })
	s.paper = sync.OnceValue(func() []byte { return page.Report(Cautions, Engine()) })
	s.router = s.route()
	return s
}

// RunStudies gives the service studies that were opened after it began to answer.
func (s *Service) RunStudies(d *Studies) { s.studies.Store(d) }

// desk is what runs studies, nil when nothing does.
func (s *Service) desk() *Studies { return s.studies.Load() }

// Close makes /readyz refuse, so that no new work is sent here while requests in
// flight end, and ends streams of events.
func (s *Service) Close() {
	if !s.closing.Swap(true) {
		close(s.ending)
	}
}

// cases reads one request.
func (s *Service) cases() *Cases { return &Cases{content: s.content, known: s.known} }

// handler answers one request with a reply or a problem, never both.
type handler func(w http.ResponseWriter, r *http.Request) (*reply, *Problem)

// route builds the router from the operations. Every path answers HEAD where it
// answers GET, and a problem for other methods and unknown paths.
func (s *Service) route() *mux.Router {
	router := mux.NewRouter().SkipClean(true) // a path with // is not found, not redirected
	methods := map[string][]string{}
	for _, o := range s.operations() {
		allowed := []string{o.method}
		if o.method == http.MethodGet {
			allowed = append(allowed, http.MethodHead)
		}
		methods[o.path] = append(methods[o.path], allowed...)
		router.Handle(o.path, s.serve(o.path, o.handle)).Methods(allowed...)
	}
	for path, allowed := range methods {
		slices.Sort(allowed)
		allow := strings.Join(allowed, ", ")
		router.Handle(path, s.serve(path, func(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
			if s.preflight(w, r, allow) {
				return &reply{status: http.StatusNoContent}, nil
			}
			return nil, methodNotAllowed.problem(r.Method+" is not one of "+allow+".").with("Allow", allow)
		}))
	}
	router.PathPrefix(page.Prefix).Handler(s.serve(page.Prefix+"{file}", s.getPageFile))
	router.NotFoundHandler = s.serve("other", func(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
		return nil, notFound.problem("No resource has the address " + r.URL.Path + ".")
	})
	return router
}

// ServeHTTP implements http.Handler.
func (s *Service) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.router.ServeHTTP(w, r) }

// serve sends what a handler answers, counts it, and turns a panic into a
// problem.
func (s *Service) serve(route string, handle handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begin := time.Now()
		out := &counted{ResponseWriter: w}
		s.metrics.inFlight.Add(1)
		defer func() {
			if cause := recover(); cause != nil {
				if err, ok := cause.(error); ok && errors.Is(err, http.ErrAbortHandler) {
					panic(cause)
				}
				s.log.Error("panic", "route", route, "cause", cause, "stack", string(debug.Stack()))
				if out.status == 0 {
					sendProblem(out, internal.problem("The log of the service says more."))
				}
			}
			s.metrics.inFlight.Add(-1)
			s.metrics.count(route, r.Method, out.status, time.Since(begin))
		}()
		h := out.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Vary", s.vary())
		s.letIn(out, r)
		a, p := handle(out, r)
		if p == nil {
			p = send(out, r, a)
		}
		if p != nil {
			sendProblem(out, p)
		}
	})
}

// counted remembers the status.
type counted struct {
	http.ResponseWriter
	status int
}

func (c *counted) WriteHeader(status int) {
	c.status = status
	c.ResponseWriter.WriteHeader(status)
}

func (c *counted) Write(b []byte) (int, error) {
	if c.status == 0 {
		c.status = http.StatusOK
	}
	return c.ResponseWriter.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (c *counted) Unwrap() http.ResponseWriter { return c.ResponseWriter }
