package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Whatever happens, the course of an outage tells 60 events at most, in order, and
// accounts for every one; an incident is left out only when nothing else is left.
func TestCourse(t *testing.T) {
	whats := []string{"a", "b", "c", "d", "e", "f", "g"}
	rapid.Check(t, func(r *rapid.T) {
		var c course
		n, at, incidents := rapid.IntRange(0, 400).Draw(r, "events"), 0., map[string]bool{}
		for range n {
			at += rapid.Float64Range(0, 40000).Draw(r, "after")
			e := Event{What: rapid.SampledFrom(whats).Draw(r, "what"), seconds: at}
			e.incident = e.What <= "b"
			incidents[e.What] = incidents[e.What] || e.incident
			c.add(e)
		}
		told, routine, first := 0, 0, map[string]bool{}
		for i, e := range c.list {
			told += max(1, e.Times)
			first[e.What] = true
			if !e.incident {
				routine++
			}
			if i > 0 && e.seconds < c.list[i-1].seconds {
				r.Fatalf("event %d comes before the one before it", i)
			}
		}
		if len(c.list) > eventsMost || told+c.left != n || (c.left > 0) && len(c.list) < eventsMost {
			r.Fatalf("%d events, %d told in %d, %d left out", n, told, len(c.list), c.left)
		}
		for what, is := range incidents {
			if is && !first[what] && routine > 1 { // the last may be what has just come
				r.Fatalf("incident %s is left out, and %d that are none are told", what, routine)
			}
		}
	})
}

// What repeats on a day is one event with its number, at its first time.
func TestMerge(t *testing.T) {
	var list []Event
	for _, e := range []Event{{What: "a", seconds: 10}, {What: "b", seconds: 20}, {What: "a", seconds: 30}, {What: "a", Of: "x", seconds: 40}, {What: "a", seconds: 50}, {What: "a", seconds: 86400}} {
		list = merge(list, e)
	}
	assert.Equal(t, []Event{{What: "a", Times: 3, seconds: 10}, {What: "b", seconds: 20}, {What: "a", Of: "x", seconds: 40}, {What: "a", seconds: 86400}}, list)
	assert.Equal(t, list, merged(list))
}
