package document

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Distances by hand; kitten to sitting is the usual example (Levenshtein 1966,
// from memory).
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"kitten", "sitting", 3}, {"rated_w", "rated_kw", 1}, {"modules", "module", 1}, {"ab", "ba", 2}} {
		assert.Equal(t, c.want, distance(c.a, c.b), "%s, %s", c.a, c.b)
	}
}

func TestNearest(t *testing.T) {
	names := []string{"module", "modules", "operation", "w"}
	for wrong, want := range map[string]string{
		"moduls": "module", "oparation": "operation", "modul": "module", "x": "", "v": "", "count": "",
		strings.Repeat("operation", 10): "",
	} {
		assert.Equal(t, want, nearest(wrong, names), wrong)
	}
}
