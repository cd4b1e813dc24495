package api

import (
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"

	"golang.org/x/sync/singleflight"

	"bankyear/api/store"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// content is what was uploaded: on disk by id, and what was used last decoded in
// memory. Safe for concurrent use.
type content struct {
	disk    *store.Store
	log     *slog.Logger
	years   *recent[string, *storedYear]
	loads   *recent[string, *storedLoad]
	demands *recent[string, *demand]
	once    singleflight.Group // one decodes what several ask for
}

// storedYear is a stored year of weather, decoded. Nobody changes it.
type storedYear struct {
	reading *weather.Reading
	mu      sync.Mutex
	skies   map[place]*sky // as requests asked for it; the columns are shared
}

// mostSkies is how many sites and calendar years of one stored year are
// remembered.
const mostSkies = 16

// newContent keeps up to heldBytes decoded in memory.
func newContent(disk *store.Store, log *slog.Logger, heldBytes int64) *content {
	return &content{disk: disk, log: log,
		years:   newRecent[string](heldBytes/2, (*storedYear).bytes),
		loads:   newRecent[string](heldBytes/4, func(l *storedLoad) int64 { return 2 * l.text }),
		demands: newRecent[string](heldBytes/4, (*demand).bytes),
	}
}

func (y *storedYear) bytes() int64 {
	n := int64(0)
	for _, c := range columnsOf(y.reading.Year) {
		n += int64(8 * len(c.values))
	}
	return n
}

// year finds a stored year. Errors are those of the store.
func (c *content) year(id string) (*storedYear, error) {
	return found(c, c.years, id, func(head, body []byte) (*storedYear, error) {
		_, r, err := readWeather(head, body)
		if err != nil {
			return nil, err
		}
		return &storedYear{reading: r, skies: map[place]*sky{}}, nil
	})
}

// found is content decoded, from memory or from the disk. What is not on the
// disk any more is not found, whatever is in memory.
func found[V any](c *content, held *recent[string, V], id string, decode func(head, body []byte) (V, error)) (value V, err error) {
	if v, ok := held.get(id); ok {
		if c.disk.Has(id) {
			return v, nil
		}
		held.drop(id)
		return value, store.ErrNotFound
	}
	v, err, _ := c.once.Do(id, func() (any, error) {
		head, body, err := c.disk.Read(id)
		if err != nil {
			return nil, err
		}
		v, err := decode(head, body)
		if err != nil {
			return nil, err
		}
		if held.put(id, v); !c.disk.Has(id) { // removed while it was decoded
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
	y, err := c.year(id)
	if err != nil || !strings.HasPrefix(id, weatherKind+"-") {
		notStored(w.At("id"), id, "weather", err)
		return nil, w.Faults()
	}
	y.mu.Lock()
	defer y.mu.Unlock()
	if known, ok := y.skies[at]; ok {
		return known, nil
	}
	s, faults := at.settle(y.reading)
	if s != nil && s.year.Len() == y.reading.Year.Len() {
		if len(y.skies) == mostSkies {
			clear(y.skies)
		}
		y.skies[at] = s
	}
	return s, faults
}

// yearOfSet is the one year of a set that a request can mean, or "".
func (c *content) yearOfSet(id string, at place, w fault.Collector) string {
	head, err := c.disk.Head(id)
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
