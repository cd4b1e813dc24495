package api

import (
	"errors"
	"fmt"
	"log/slog"
	"strings"

	"golang.org/x/sync/singleflight"

	"bankyear/api/store"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// content is what was uploaded: on disk by id, and what was used last decoded in
// memory. Safe for concurrent use.
type content struct {
	disk   *store.Store // nil where the content came with a study
	pieces pieces
	log    *slog.Logger
	years  *recent[string, *weather.Reading] // as they are stored; nobody changes them
	skies  *recent[skyID, *sky]              // as requests asked for them
	loads  *recent[string, *storedLoad]
	once   singleflight.Group // one decodes what several ask for
}

// pieces is where content is read from. Errors are those of a store.
type pieces interface {
	Has(id string) bool
	Head(id string) ([]byte, error)
	Read(id string) (head, body []byte, err error)
}

// skyID is stored weather at a site and in a calendar year.
type skyID struct {
	id string
	at place
}

// newContent keeps up to heldBytes decoded in memory.
func newContent(disk *store.Store, log *slog.Logger, heldBytes int64) *content {
	c := contentOf(disk, log, heldBytes)
	c.disk = disk
	return c
}

// contentOf is content that is read from anywhere.
func contentOf(from pieces, log *slog.Logger, heldBytes int64) *content {
	return &content{pieces: from, log: log,
		years: newRecent[string](heldBytes/4, func(r *weather.Reading) int64 { return yearBytes(r.Year) }),
		skies: newRecent[skyID](heldBytes/2, func(s *sky) int64 { return yearBytes(s.year) + sunBytes*int64(s.year.Len()) }),
		loads: newRecent[string](heldBytes/8, func(l *storedLoad) int64 { return 2 * l.text }),
	}
}

// sunBytes is what a kept sun takes for each row.
const sunBytes = 8 * 8

func yearBytes(y *weather.Year) int64 {
	n := int64(0)
	for _, c := range columnsOf(y) {
		n += int64(8 * len(c.values))
	}
	return n
}

// year finds a stored year. Errors are those of the store.
func (c *content) year(id string) (*weather.Reading, error) {
	return found(c, c.years, id, func(head, body []byte) (*weather.Reading, error) {
		_, r, err := readWeather(head, body)
		return r, err
	})
}

// found is content decoded, from memory or from the disk. What is not on the
// disk any more is not found, whatever is in memory.
func found[V any](c *content, held *recent[string, V], id string, decode func(head, body []byte) (V, error)) (value V, err error) {
	if v, ok := held.get(id); ok {
		if c.pieces.Has(id) {
			return v, nil
		}
		held.drop(id)
		return value, store.ErrNotFound
	}
	v, err, _ := c.once.Do(id, func() (any, error) {
		head, body, err := c.pieces.Read(id)
		if err != nil {
			return nil, err
		}
		v, err := decode(head, body)
		if err != nil {
			return nil, err
		}
		if held.put(id, v); !c.pieces.Has(id) { // removed while it was decoded
			held.drop(id)
		}
		return v, nil
	})
	if err != nil {
		if !errors.Is(err, store.ErrNotFound) {
			c.log.Error("stored content", "id", id, "error", err)
		}
		return value, err
	}
	return v.(V), nil
}

// forget drops what is in memory of content that was removed.
func (c *content) forget(id string) {
	c.years.drop(id)
	c.loads.drop(id)
}

// sky is stored weather as a request asks for it.
func (c *content) sky(id string, at place, w fault.Collector) (*sky, fault.Faults) {
	if strings.HasPrefix(id, setKind+"-") {
		if id = c.yearOfSet(id, at, w.At("id")); id == "" {
			return nil, w.Faults()
		}
	}
	key := skyID{id, at}
	if s, ok := c.skies.get(key); ok && c.pieces.Has(id) {
		return s, nil
	}
	r, err := c.year(id)
	if err != nil || !strings.HasPrefix(id, weatherKind+"-") {
		notStored(w.At("id"), id, "weather", err)
		return nil, w.Faults()
	}
	s, faults := at.settle(r, "")
	if s != nil {
		s.year.KeepSun()
		c.skies.put(key, s)
	}
	return s, faults
}

// yearOfSet is the one year of a set that a request can mean, or "".
func (c *content) yearOfSet(id string, at place, w fault.Collector) string {
	head, err := c.pieces.Head(id)
	var set *SetOfYears
	if err == nil {
		set, err = readSet(id, head)
	}
	if err != nil {
		notStored(w, id, "weather", err)
		return ""
	}
	var ids []string
	for _, y := range set.Years {
		if at.yearStated && y.CalendarYear == at.calendarYear {
			ids = append(ids, y.ID)
		}
	}
	if len(ids) == 1 {
		return ids[0]
	}
	allowed := make([]string, len(set.Years))
	for i, y := range set.Years {
		allowed[i] = fmt.Sprintf("%s (%d)", y.ID, y.CalendarYear)
	}
	w.Add(id, "one of "+strings.Join(allowed, ", "), "", fmt.Sprintf("is a set of %s: name one of them, or state a calendar_year that one of them has alone", count(len(set.Years), "year")))
	return ""
}

// notStored reports an id that leads to nothing that can be used.
func notStored(c fault.Collector, id, what string, err error) {
	message := "is not stored here"
	switch {
	case err == nil || errors.Is(err, store.ErrNotFound):
	case errors.Is(err, store.ErrDamaged):
		message = "is stored here, but its file is damaged: upload it again"
	default:
		message = "is stored here and cannot be read: the log of the service says more"
	}
	where := map[string]string{"weather": "/v1/weather", "load": "/v1/loads"}[what]
	c.Add(id, "an id that POST "+where+" has answered", "", message)
}
