package api

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The words tell a difference only where the numbers that they show differ.
func TestPeople_Words(t *testing.T) {
	say := func(a, n Glance) string {
		p := People{Attended: a, Nobody: n}
		p.Differs = a != n
		return p.words()
	}
	dark := func(h, link float64) Glance { return Glance{DowntimeH: h, LinkDownH: link} }
	assert.Equal(t, "The site is not dark, whether somebody is there or not.", say(dark(0, 3), dark(0, 3)))
	assert.Equal(t, "With somebody always on site 2 h dark, with nobody there 5 h; the data link is down for 1 h and 9 h.", say(dark(2, 1), dark(5, 9)))
	assert.Equal(t, "With somebody always on site 2 h dark, with nobody there 5 h.", say(dark(2, 54.3021), dark(5, 54.3026)))
	assert.Equal(t, "The site is not dark, whether somebody is there or not; the generator runs for 3 h and 1 h.", say(Glance{GeneratorH: 3}, Glance{GeneratorH: 1}))
	assert.Equal(t, "Whether somebody is there or not, 168 h dark; the generator runs for 3 h and 1 h.",
		say(Glance{DowntimeH: 168.2, GeneratorH: 3}, Glance{DowntimeH: 168.4, GeneratorH: 1}))
}
